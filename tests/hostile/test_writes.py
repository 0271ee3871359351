"""Reports under kill, full disk, crowd and lock: the old one stays whole, or the new one is there."""

from __future__ import annotations

import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from attacked import Call

from buildcheck.data import rules_dir

BUILD = "name: Eider\nstage: planning\npurpose: to be broken\n"
OLD = "# the old report\n" * 20_000
NEW = "# the new report, and longer\n" * 30_000
WRITER = """\
import sys
from pathlib import Path
from buildcheck.files import write_whole
old, new = "# the old report\\n" * 20_000, "# the new report, and longer\\n" * 30_000
print("ready", flush=True)
while True:
    write_whole(Path("REPORT.md"), new)
    write_whole(Path("REPORT.md"), old)
"""


@pytest.fixture
def build(tmp_path: Path) -> Path:
    (tmp_path / "build.yaml").write_text(BUILD)
    (tmp_path / "REPORT.md").write_text(OLD)
    return tmp_path


def started(folder: Path, *words: str, limit: int | None = None) -> subprocess.Popen[str]:
    def lower() -> None:
        if limit is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    command = [sys.executable, "-B", *words]
    return subprocess.Popen(
        command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=lower
    )


def killed(running: subprocess.Popen[str]) -> None:
    running.send_signal(signal.SIGKILL)
    running.communicate()


def test_a_kill_at_any_moment_of_writing_leaves_a_whole_report(build: Path) -> None:
    chance = random.Random(7)
    for _ in range(8):
        running = started(build, "-c", WRITER)
        assert running.stdout is not None
        assert running.stdout.readline() == "ready\n"
        time.sleep(chance.uniform(0, 0.02))
        killed(running)
        assert (build / "REPORT.md").read_text() in (OLD, NEW)


def test_a_kill_at_any_moment_of_a_run_leaves_a_whole_report(build: Path) -> None:
    started(build, "-m", "buildcheck", "report").communicate()
    chance, new = random.Random(8), (build / "REPORT.md").read_text()
    assert new.startswith("# Eider\n")
    for _ in range(4):
        (build / "REPORT.md").write_text(OLD)
        running = started(build, "-m", "buildcheck", "report")
        time.sleep(chance.uniform(0.05, 0.5))
        killed(running)
        assert (build / "REPORT.md").read_text() in (OLD, new)


def test_a_full_disk_leaves_the_old_report(build: Path) -> None:
    running = started(build, "-m", "buildcheck", "report", limit=1000)
    out, err = running.communicate()
    assert running.returncode == 2
    assert "REPORT.md: cannot be written (File too large); it is as it was" in err
    assert "Traceback" not in out + err
    assert (build / "REPORT.md").read_text() == OLD
    assert sorted(os.listdir(build)) == ["REPORT.md", "build.yaml"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize("form", ["text", "json"])
def test_output_that_cannot_be_written_is_no_verdict(build: Path, form: str) -> None:
    with open("/dev/full", "wb") as full:
        command = [sys.executable, "-m", "buildcheck", "check", "--format", form]
        done = subprocess.run(command, cwd=build, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert (done.returncode, done.stderr) == (2, "buildcheck: output: No space left on device\n")


def test_four_at_once_write_one_whole_report(build: Path) -> None:
    running = [started(build, "-m", "buildcheck", "report") for _ in range(4)]
    assert [each.communicate() and each.returncode for each in running] == [0] * 4
    check = started(build, "-m", "buildcheck", "report", "--check")
    check.communicate()
    assert check.returncode == 0
    assert sorted(os.listdir(build)) == ["REPORT.md", "build.yaml"]


@pytest.fixture
def locked(call: Call) -> Iterator[Path]:
    """A folder that the test may read and not write, even where it is run by root."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "build.yaml").write_text(BUILD)
        (folder / "REPORT.md").write_text(OLD)
        call("report", "--check", folder)  # imports what another user may not reach
        folder.chmod(0o555)
        root = os.geteuid() == 0
        if root:
            os.seteuid(65534)
        try:
            if not os.access(rules_dir() / "marks", os.R_OK | os.X_OK, effective_ids=True):
                pytest.skip("the checkout cannot be read by another user")
            yield folder
        finally:
            if root:
                os.seteuid(0)
            folder.chmod(0o755)


def test_a_folder_that_may_only_be_read_is_judged_but_not_written(locked: Path, call: Call) -> None:
    assert call("check", locked).code == 0
    ended = call("report", locked)
    assert ended.code == 2
    assert ended.err == f"buildcheck: {locked}/REPORT.md: cannot be written (Permission denied); it is as it was\n"
    assert (locked / "REPORT.md").read_text() == OLD


def test_a_file_that_may_not_be_read_is_told(locked: Path, call: Call) -> None:
    os.seteuid(os.getuid())
    (locked / "marks.yaml").write_text("valves: []\n")
    (locked / "marks.yaml").chmod(0)
    if os.getuid() == 0:
        os.seteuid(65534)
    ended = call("check", locked)
    assert ended.code == 2
    assert "marks.yaml:1:1: error: cannot be read: Permission denied [input]" in ended.out


def test_a_report_keeps_its_permissions(build: Path, call: Call) -> None:
    (build / "REPORT.md").chmod(0o640)
    assert call("report").code == 0
    assert (build / "REPORT.md").stat().st_mode & 0o777 == 0o640
