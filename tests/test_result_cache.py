"""Results kept from an earlier run: the same to the byte, and never taken where anything they rest on has changed."""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import shutil
import subprocess
import time
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest
from shop import ROOT, generate

from buildcheck.app.run import plan_run
from buildcheck.cli.commands.check import FORMATS
from buildcheck.cli.main import main
from buildcheck.output.result_cache import ResultCache

BUILDS = ["engines/e01", "engines/e02", "engines/e03"]
MEASURED = ["engines/e00", "engines/e01"]
MARK = "as it was kept"
Say = Callable[..., str]


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shop's repository with its first six builds."""
    top = tmp_path_factory.mktemp("generated") / "shop"
    generate(top, 6)
    subprocess.run(["git", "init", "-q", str(top)], check=True)
    return top


def lay_out(generated: Path) -> Path:
    """A copy of the repository, at the same place each time: an entry holds for one place."""
    place = generated.parent / "here"
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(generated, place / "shop")
    time.sleep(0.021)  # a part written a moment ago may have been written after it was read
    return place / "shop"


@pytest.fixture
def shop(generated: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The repository, in which the test stands."""
    top = lay_out(generated)
    monkeypatch.chdir(top)
    return top


@pytest.fixture(scope="module")
def stored(generated: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The entries of a first run, each marked."""
    with contextlib.chdir(lay_out(generated)), contextlib.redirect_stdout(io.StringIO()):
        main(["check", *BUILDS, "--cache-dir", "../kept"])
        mark(Path("../kept"))
        return Path(shutil.copytree("../kept", tmp_path_factory.mktemp("stored") / "kept"))


@pytest.fixture
def marked(shop: Path, stored: Path) -> Path:
    """The repository beside the entries of a first run, each marked."""
    shutil.copytree(stored, shop.parent / "kept")
    return shop


@pytest.fixture
def output(capsys: pytest.CaptureFixture[str]) -> Say:
    """What ``check`` writes, its results kept or not."""

    def say(*options: str, kept: str = "../kept", builds: list[str] = BUILDS, form: str = "text") -> str:
        capsys.readouterr()
        main(["check", *builds, "--format", form, *(["--cache-dir", kept] if kept else []), *options])
        result = capsys.readouterr()
        assert result.err == ""
        return result.out

    return say


def entries(kept: Path) -> list[Path]:
    return sorted(kept.glob("*.json"))


def mark(kept: Path) -> None:
    """Sign every entry, so that it shows where one is taken."""
    for path in entries(kept):
        entry = json.loads(path.read_bytes().partition(b"\n")[2])
        entry["result"][1] = [True, "", f"{MARK}\n", f"{MARK}\n"]
        text = json.dumps(entry).encode()
        path.write_bytes(sha256(text).hexdigest().encode() + b"\n" + text)


@pytest.mark.parametrize("form", FORMATS)
def test_a_second_run_says_the_same_to_the_byte(shop: Path, output: Say, form: str) -> None:
    fresh = output(kept="", form=form, builds=MEASURED)
    assert output(form=form, builds=MEASURED) == fresh
    assert output(form=form, builds=MEASURED) == fresh
    assert len(entries(shop.parent / "kept")) == len(MEASURED)


def test_what_is_as_it_was_is_not_judged_again(marked: Path, output: Say) -> None:
    assert output() == f"{MARK}\n" * len(BUILDS) + "3 of 3 builds block: , , \n"


def edit(path: str, old: str, new: str) -> Callable[[Path], None]:
    def change(shop: Path) -> None:
        snapshot = (shop / path).stat()
        text = (shop / path).read_text(encoding="utf-8")
        assert old in text
        (shop / path).write_text(text.replace(old, new, 1), encoding="utf-8")
        os.utime(shop / path, ns=(snapshot.st_atime_ns, snapshot.st_mtime_ns))

    return change


ONE, ALL = 1, 3
CHANGES = {
    "a value, with size and time as before": (edit("engines/e01/cam.yaml", "1.230 in", "1.231 in"), ONE),
    "a file more": (lambda shop: shutil.copy(ROOT / "example_build/marks.yaml", shop / "engines/e01/marks.yaml"), ONE),
    "a file less": (lambda shop: (shop / "engines/e01/rockers.yaml").unlink(), ONE),
    "a file that is called otherwise": (lambda shop: (shop / "engines/e01/mark.yml").write_text("a: b\n"), ONE),
    "a part": (edit("parts/springs/s-1.yaml", "93 lbf", "94 lbf"), ONE),
    "a part less": (lambda shop: (shop / "parts/springs/s-1.yaml").unlink(), ONE),
    "a rule of the team": (edit("shop-rules/spring-force-cap.yaml", "300 lbf", "301 lbf"), ALL),
    "a rule more": (lambda shop: shutil.copytree(shop / "shop-rules", shop / "shop-rules" / "twice"), ALL),
    "a limit of the team": (edit("buildcheck.yaml", "0.065 in", "0.066 in"), ALL),
}  # fmt: skip


@pytest.mark.parametrize("what", CHANGES)
def test_a_change_is_seen_where_it_counts(marked: Path, output: Say, what: str) -> None:
    change, counts = CHANGES[what]
    change(marked)
    if counts == ALL:
        time.sleep(0.021)  # rules of this moment would never be stored: it is their content that counts
    assert output().count(MARK) == len(BUILDS) - counts


@pytest.mark.parametrize("options", [["--stage", "assembled"], ["--strict"]])
def test_other_terms_are_judged_again(marked: Path, output: Say, options: list[str]) -> None:
    assert output(*options) == output(*options, kept="")


def test_what_another_program_kept_does_not_count(marked: Path, output: Say, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.version", "another")
    assert MARK not in output()


def test_a_build_seen_from_elsewhere_is_reported_with_its_path_from_there(
    shop: Path, output: Say, monkeypatch: pytest.MonkeyPatch
) -> None:
    output()
    monkeypatch.chdir(shop / "engines")
    there = output(kept="../../kept", builds=["e00"])
    assert there == output(kept="", builds=["e00"])
    assert "engines/e00" not in there


def test_a_file_that_left_the_index_is_seen(shop: Path, output: Say) -> None:
    subprocess.run(["git", "add", "-A"], check=True)
    output("--tracked")
    mark(shop.parent / "kept")
    assert output("--tracked").count(MARK) == len(BUILDS)
    subprocess.run(["git", "rm", "-q", "--cached", "engines/e01/cam.yaml"], check=True)
    assert "cam.yaml:1:1: error: is not in the commit" in output("--tracked")


def test_an_entry_that_was_torn_or_touched_counts_for_nothing(shop: Path, output: Say) -> None:
    fresh = output(builds=["engines/e01"])
    [entry] = entries(shop.parent / "kept")
    whole = entry.read_bytes()
    middle = len(whole) // 2
    torn = [whole[:size] for size in (0, 1, 64, 65, 66, middle, len(whole) - 1)]
    touched = [whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :] for at in (0, 63, 65, middle, len(whole) - 2)]
    planned = plan_run([Path("engines/e01")])
    kept = ResultCache(shop.parent / "kept", planned, "text")
    assert kept.load(planned.folders[0]) is not None
    for broken in [*torn, *touched, whole + b" ", b"\xff" * 99]:
        entry.write_bytes(broken)
        assert kept.load(planned.folders[0]) is None
    assert output(builds=["engines/e01"]) == fresh
    assert entry.read_bytes() == whole


def test_an_entry_that_is_no_file_counts_for_nothing(shop: Path, output: Say) -> None:
    fresh = output(builds=["engines/e01"])
    [entry] = entries(shop.parent / "kept")
    entry.unlink()
    (entry / "inside").mkdir(parents=True)
    assert output(builds=["engines/e01"]) == fresh


def test_a_build_that_cannot_be_read_is_never_kept(shop: Path, output: Say) -> None:
    edit("engines/e01/cam.yaml", "lobe_lift", "lobe_lif")(shop)
    assert "unknown key 'lobe_lif'" in output()
    assert len(entries(shop.parent / "kept")) == len(BUILDS) - 1


@pytest.mark.parametrize(
    ("path", "users"), [("engines/e01/cam.yaml", ONE), ("parts/springs/s-1.yaml", ONE), ("parts/springs", ALL)]
)
def test_what_lies_behind_a_link_is_never_kept(shop: Path, output: Say, path: str, users: int) -> None:
    (shop / path).rename(shop / f"{path}.there")
    (shop / path).symlink_to(Path(f"{path}.there").name)
    assert output() == output(kept="")
    assert len(entries(shop.parent / "kept")) == len(BUILDS) - users


def test_a_file_changed_while_it_was_judged_is_not_kept(shop: Path) -> None:
    planned = plan_run([Path("engines/e01")])
    kept = ResultCache(shop.parent / "kept", planned, "text")
    snapshot, checked = kept.snapshot(planned.folders[0]), planned.check(planned.folders[0])
    edit("engines/e01/cam.yaml", "1.230 in", "1.231 in")(shop)
    kept.store(planned.folders[0], checked, (0, "all well"), snapshot)
    assert kept.load(planned.folders[0]) is None
    assert entries(shop.parent / "kept") == []


def test_a_part_changed_while_it_was_judged_is_not_kept(shop: Path) -> None:
    planned = plan_run([Path("engines/e01")])
    kept = ResultCache(shop.parent / "kept", planned, "text")
    snapshot, checked = kept.snapshot(planned.folders[0]), planned.check(planned.folders[0])
    edit("parts/springs/s-1.yaml", "265 lbf/in", "266 lbf/in")(shop)
    kept.store(planned.folders[0], checked, (0, "all well"), snapshot)
    assert kept.load(planned.folders[0]) is None
    assert entries(shop.parent / "kept") == []


def test_a_part_that_became_a_build_s_own_file_is_seen(shop: Path, output: Say) -> None:
    (shop / "parts/cams").mkdir()
    (shop / "engines/e01/cam.yaml").rename(shop / "parts/cams/cam.yaml")
    (shop / "engines/e01/cam.yaml").write_text("uses: parts/cams/cam.yaml\n", encoding="utf-8")
    output()
    (shop / "parts/cams/build.yaml").write_text("name: Now a build\nstage: planning\n", encoding="utf-8")
    assert "is a build's own file" in output()


def test_a_folder_that_cannot_be_made_is_reported_and_one_that_takes_nothing_is_no_harm(
    shop: Path, output: Say, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", *BUILDS, "--cache-dir", "buildcheck.yaml"]) == 2
    assert "buildcheck.yaml: results cannot be kept there" in capsys.readouterr().err
    for build in BUILDS:  # where the entry should go something else stands
        (ResultCache(shop.parent / "kept", plan_run([Path(build)]), "text")._entry(Path(build)) / "x").mkdir(
            parents=True
        )
    assert output() == output(kept="")


def test_many_builds_edited_at_random_are_reported_as_if_nothing_were_kept(shop: Path, output: Say) -> None:
    draw = random.Random(7)
    everything = [f"engines/e{number:02}" for number in (1, 2, 3, 5)]
    files = [path for build in ["parts", "shop-rules", *everything] for path in sorted((shop / build).rglob("*.yaml"))]
    output(builds=everything)
    for _ in range(3):
        for path in draw.sample(files, 3):
            lines = path.read_text(encoding="utf-8").splitlines()
            del lines[draw.randrange(len(lines))]
            path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        assert output(builds=everything) == output(builds=everything, kept="")
