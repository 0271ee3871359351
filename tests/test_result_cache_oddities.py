"""With results kept a check ends and says as without, whatever lies in the folder, among the rules or on the path."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest
from shop import generate

from buildcheck.app.run import plan_run
from buildcheck.app.workers import rendered_builds
from buildcheck.cli.main import main
from buildcheck.output import text
from buildcheck.output.result_cache import ResultCache

Both = Callable[[], None]
BUILD = "engines/e01"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    generate(tmp_path / "shop", 2)
    subprocess.run(["git", "init", "-q", str(tmp_path / "shop")], check=True)
    monkeypatch.chdir(tmp_path / "shop")
    time.sleep(0.021)
    return tmp_path / "shop"


@pytest.fixture
def both(capsys: pytest.CaptureFixture[str]) -> Both:
    """Checks a build twice with results kept, and holds that against a check without."""

    def result(*options: str) -> tuple[int, str, str]:
        code = main(["check", BUILD, *options])
        output = capsys.readouterr()
        return code, output.out, output.err

    def hold() -> None:
        fresh = result()
        assert "Traceback" not in fresh[2]
        assert result("--cache-dir", "../kept") == fresh
        assert result("--cache-dir", "../kept") == fresh

    return hold


ENTRIES = [
    "{}",
    "[]",
    "null",
    '{"result": [0, "x"]}',
    '{"result": [0, {"Tally": []}]}',
    '{"result": {"code": 0}}',
    '{"rests_on": "x", "result": [0, null]}',
    "[",
    "[" * 99_999,
    "\udcff\udcfe\0",
]


def test_an_entry_that_another_version_laid_out_otherwise_counts_for_nothing(shop: Path, both: Both) -> None:
    both()
    [path] = (shop.parent / "kept").glob("*.json")
    planned = plan_run([Path(BUILD)])
    kept = ResultCache(shop.parent / "kept", planned, "text")
    assert kept.load(planned.folders[0]) is not None
    for entry in ENTRIES:
        result = os.fsencode(entry)
        path.write_bytes(sha256(result).hexdigest().encode() + b"\n" + result)
        assert kept.load(planned.folders[0]) is None, entry[:30]
    both()


def test_a_folder_in_place_of_an_entry_counts_for_nothing(shop: Path, both: Both) -> None:
    both()
    [path] = (shop.parent / "kept").glob("*.json")
    path.unlink()
    path.mkdir()
    both()


@pytest.mark.parametrize("make", [os.mkfifo, os.mkdir, lambda path: path.symlink_to("nowhere")])
def test_what_is_no_file_among_the_rules_is_reported(shop: Path, make: Callable[[Path], None]) -> None:
    make(shop / "shop-rules/odd.yaml")
    words = [sys.executable, "-m", "buildcheck", "check", BUILD, "--cache-dir", "../kept"]
    result = subprocess.run(words, capture_output=True, text=True, check=False)
    assert (result.returncode, result.stderr) == (2, "")
    assert result.stdout.startswith("shop-rules/odd.yaml:1:1: error: cannot be read")


def test_a_link_to_nothing_makes_a_part_a_build_s_own_file_too(shop: Path, both: Both) -> None:
    (shop / "parts/cams").mkdir()
    (shop / BUILD / "cam.yaml").rename(shop / "parts/cams/cam.yaml")
    (shop / BUILD / "cam.yaml").write_text("uses: parts/cams/cam.yaml\n", encoding="utf-8")
    time.sleep(0.03)
    both()
    (shop / "parts/cams/build.yaml").symlink_to("nowhere")
    both()


def test_a_repository_under_a_name_that_is_not_utf_8(shop: Path, both: Both, monkeypatch: pytest.MonkeyPatch) -> None:
    there = shop.rename(shop.parent / os.fsdecode(b"sh\xffp"))
    monkeypatch.chdir(there)
    both()
    assert len(list((there.parent / "kept").glob("*.json"))) == 1


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.parametrize(
    "change",
    [
        lambda shop: edit(shop / "buildcheck.yaml", "0.065 in", "0.9 in"),
        lambda shop: edit(shop / "shop-rules/spring-force-cap.yaml", "300 lbf", "31 lbf"),
        lambda shop: (shop / "shop-rules/second.yaml").unlink(),
        lambda shop: (shop / "buildcheck.yaml").unlink(),
    ],
)
def test_rules_that_changed_after_they_were_read_are_not_taken_for_what_was_judged(
    shop: Path, both: Both, change: Callable[[Path], None]
) -> None:
    shutil.copy(shop / "shop-rules/spring-force-cap.yaml", shop / "shop-rules/second.yaml")
    edit(shop / "shop-rules/second.yaml", "id: spring-force-cap", "id: second")
    edit(shop / "shop-rules/second.yaml", "300 lbf", "30 lbf")
    time.sleep(0.03)
    planned = plan_run([Path(BUILD)])
    change(shop)
    list(rendered_builds(planned, text.render_build, ResultCache(shop.parent / "kept", planned, "text")))
    both()


def test_a_file_that_was_another_while_it_was_read_is_not_kept(shop: Path) -> None:
    planned = plan_run([Path(BUILD)])
    kept = ResultCache(shop.parent / "kept", planned, "text")
    snapshot = kept.snapshot(planned.folders[0])
    edit(shop / BUILD / "cam.yaml", "1.230 in", "1.231 in")
    checked = planned.check(planned.folders[0])
    edit(shop / BUILD / "cam.yaml", "1.231 in", "1.230 in")
    kept.store(planned.folders[0], checked, (0, text.render_build(planned.context, checked)), snapshot)
    assert kept.load(planned.folders[0]) is None
