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
from shlex import quote

import pytest
from attacked import Call
from thorough import sample

from buildcheck.core.package_data import rules_dir

BUILD = "name: Eider\nstage: planning\npurpose: to be broken\n"
SEAL = "<!-- made from 0123456789abcdef -->\n"
OLD = "# the old report\n" * 20_000 + SEAL
NEW = "# the new report, and longer\n" * 30_000
WRITER = """\
import sys
from pathlib import Path
from buildcheck.core.files import write_whole
old = "# the old report\\n" * 20_000 + "<!-- made from 0123456789abcdef -->\\n"
new = "# the new report, and longer\\n" * 30_000
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


def test_a_kill_at_any_moment_of_a_run_leaves_a_whole_report(build: Path, call: Call) -> None:
    assert call("report").code == 0
    chance, new = random.Random(8), (build / "REPORT.md").read_text()
    assert new.startswith("# Eider\n")
    for _ in range(4):
        (build / "REPORT.md").write_text(OLD)
        running = started(build, "-m", "buildcheck", "report")
        time.sleep(chance.uniform(0.05, 0.3))
        killed(running)
        assert (build / "REPORT.md").read_text() in (OLD, new)


def test_a_full_disk_leaves_the_old_report(build: Path) -> None:
    running = started(build, "-m", "buildcheck", "report", limit=1000)
    out, err = running.communicate()
    assert running.returncode == 2
    assert "REPORT.md: cannot be written (File too large); it is unchanged" in err
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


ENDINGS = [
    ("check nothing 2>/dev/full", 2), ("check nothing 2>&-", 2), ("nonsense 2>/dev/full", 2),
    ("check >&-", 0), ("check >&- 2>&-", 0), ("check --format json >&-", 0), ("check 2>&-", 0), ("report >&- 2>&-", 0),
    ("compare HEAD >&-", 2), ("--version >&-", 0), ("check nowhere <&- >&- 2>&-", 2),
]  # fmt: skip


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize(("words", "code"), sample(ENDINGS, 6), ids=[words for words, _ in sample(ENDINGS, 6)])
def test_streams_that_are_closed_or_full_change_no_ending(build: Path, words: str, code: int) -> None:
    line = f"{quote(sys.executable)} -m buildcheck {words}"
    done = subprocess.run(line, shell=True, cwd=build, capture_output=True, text=True, check=False)
    assert (done.returncode, "Traceback" in done.stdout + done.stderr) == (code, False)
    assert "2>&-" not in words or done.stdout + done.stderr == "" or words == "check 2>&-"


OTHERS = ["# Handwritten\n", "note\r\n", "- all above\n| Build |\n", "\ufeff# Ours, with `0123456789abcdef`\n"]


@pytest.mark.parametrize("text", OTHERS, ids=range(len(OTHERS)))
@pytest.mark.parametrize(("words", "name"), [(["report"], "NOTES.md"), (["report", "--index"], "README.md")])
def test_a_file_that_somebody_wrote_is_not_overwritten(
    words: list[str], name: str, text: str, call: Call, tmp_path: Path
) -> None:
    (tmp_path / "build.yaml").write_text(BUILD)
    (tmp_path / "buildcheck.yaml").write_text("report: NOTES.md\nindex: README.md\n")
    (tmp_path / name).write_text(text, newline="")
    ended = call(*words)
    assert (ended.code, ended.err) == (2, "")
    assert f"{name}:1:1: error: was not written by buildcheck and is not overwritten" in ended.out
    assert (tmp_path / name).read_bytes() == text.encode()


@pytest.mark.parametrize("change", ["edited", "merged", "cut", "emptied", "with other line ends"])
@pytest.mark.parametrize(("words", "name"), [(["report"], "REPORT.md"), (["report", "--index"], "BUILDS.md")])
def test_what_was_written_once_is_written_again(
    words: list[str], name: str, change: str, call: Call, tmp_path: Path
) -> None:
    (tmp_path / "build.yaml").write_text(BUILD)
    assert call(*words).code == 0
    whole = (tmp_path / name).read_bytes()
    half = len(whole) * 9 // 10
    changed = {
        "edited": whole.replace(b"Eider", b"Teal"), "merged": b"<<<<<<< ours\n" + whole + b"=======\n>>>>>>> theirs\n",
        "cut": whole[half:] if name == "REPORT.md" else whole[:half], "emptied": b" \n",
        "with other line ends": whole.replace(b"\n", b"\r\n"),
    }  # fmt: skip
    (tmp_path / name).write_bytes(changed[change])
    assert (call(*words).code, (tmp_path / name).read_bytes()) == (0, whole)


def test_a_full_disk_leaves_no_half_of_what_is_kept(build: Path) -> None:
    running = started(build, "-m", "buildcheck", "check", "--cache-dir", "kept", limit=10)
    running.communicate()
    assert (running.returncode, os.listdir(build / "kept")) == (0, [])


def test_a_full_disk_names_the_folder_that_is_not_made(tmp_path: Path) -> None:
    running = started(tmp_path, "-m", "buildcheck", "start", "shop/engine", limit=10)
    _, err = running.communicate()
    assert (running.returncode, err) == (2, "buildcheck: shop/engine: cannot be made (File too large)\n")
    assert [path.name for path in tmp_path.rglob("*")] == ["shop"]


def test_three_at_once_write_one_whole_report(build: Path, call: Call) -> None:
    running = [started(build, "-m", "buildcheck", "report") for _ in range(3)]
    assert [each.communicate() and each.returncode for each in running] == [0] * 3
    assert call("report", "--check").code == 0
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
    assert ended.err == f"buildcheck: {locked}/REPORT.md: cannot be written (Permission denied); it is unchanged\n"
    assert (locked / "REPORT.md").read_text() == OLD


def test_a_folder_that_may_only_be_read_is_named_where_a_build_was_to_be_made(locked: Path, call: Call) -> None:
    ended = call("start", locked / "teal")
    assert (ended.code, ended.err) == (2, f"buildcheck: {locked}/teal: cannot be made (Permission denied)\n")


def test_a_file_that_may_not_be_read_is_reported(locked: Path, call: Call) -> None:
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
