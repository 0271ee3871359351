"""What stands where a file should: pipes, devices, links, folders, odd names. None hangs or is read."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from attacked import Call, Ended
from thorough import pairs

from buildcheck.cli.commands.check import FORMATS

BUILD = "name: Eider\nstage: planning\npurpose: to be broken\n"
SECRET = "note: this is a secret\n"


def a_socket(path: Path) -> None:
    here = os.getcwd()
    os.chdir(path.parent)  # the name of a socket is short
    with socket.socket(socket.AF_UNIX) as end:
        end.bind(path.name)
    os.chdir(here)


def a_huge_file(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(50_000_000_000)


def a_link_out(path: Path) -> None:
    outside = path.parent.parent / "outside.yaml"
    outside.write_text(SECRET)
    path.symlink_to(outside)


ODDITIES: dict[str, Callable[[Path], object]] = {
    "pipe": os.mkfifo,
    "socket": a_socket,
    "folder": os.mkdir,
    "huge file": a_huge_file,
    "link out": a_link_out,
    "link to a device": lambda path: path.symlink_to("/dev/zero"),
    "link to a terminal": lambda path: path.symlink_to("/dev/tty"),
    "link to a process": lambda path: path.symlink_to("/proc/self/environ"),
    "link to nothing": lambda path: path.symlink_to("nowhere"),
    "link to itself": lambda path: path.symlink_to(path.name),
    "link through a file": lambda path: path.symlink_to("build.yaml/marks.yaml"),
    "link with a long name": lambda path: path.symlink_to("x" * 255),
}


@pytest.fixture
def build(tmp_path: Path) -> Path:
    folder = tmp_path / "eider"
    folder.mkdir()
    (folder / "build.yaml").write_text(BUILD)
    return folder


@pytest.fixture
def odd(tmp_path: Path) -> Callable[[str], None]:
    """Lays out a build for each oddity, which stands in the place of a file."""

    def lay(file: str) -> None:
        for what, make in ODDITIES.items():
            (tmp_path / what).mkdir(exist_ok=True)
            (tmp_path / what / "build.yaml").write_text(BUILD)
            (tmp_path / what / file).unlink(missing_ok=True)
            make(tmp_path / what / file)

    return lay


def messages(ended: Ended) -> list[str]:
    return sorted(line.split(": error: ")[0] for line in ended.errors)


def test_it_is_no_file_of_a_build(odd: Callable[[str], None], call: Call) -> None:
    odd("marks.yaml")
    ended = call("check")
    assert (ended.code, messages(ended)) == (2, sorted(f"{what}/marks.yaml:1:1" for what in ODDITIES))
    assert "secret" not in ended.out
    assert ended.cost < 80


def test_it_is_no_head_of_a_build(odd: Callable[[str], None], call: Call) -> None:
    odd("build.yaml")
    ended = call("check")
    assert (ended.code, messages(ended)) == (2, sorted(f"{what}/build.yaml:1:1" for what in ODDITIES))


def test_it_is_no_rule(odd: Callable[[str], None], call: Call, tmp_path: Path) -> None:
    odd("gap.yaml")
    (tmp_path / "buildcheck.yaml").write_text(f"rules: [{', '.join(ODDITIES)}]\n")
    found = set(messages(call("check")))
    assert found >= {f"{what}/gap.yaml:1:1" for what in ODDITIES}


@pytest.mark.parametrize("what", ODDITIES)
def test_they_are_no_settings(what: str, build: Path, call: Call, tmp_path: Path) -> None:
    ODDITIES[what](tmp_path / "buildcheck.yaml")
    ended = call("check")
    assert (ended.code, messages(ended)) == (2, ["buildcheck.yaml:1:1"])


def test_it_is_no_report(odd: Callable[[str], None], call: Call, tmp_path: Path) -> None:
    odd("REPORT.md")
    ended = call("report", "--check")
    assert (ended.code, messages(ended)) == (1, sorted(f"{what}/REPORT.md:1:1" for what in ODDITIES))
    for what in ("folder", "huge file"):
        assert call("report", what).code == (2 if what == "folder" else 0)
        shutil.rmtree(tmp_path / what)
    assert (call("report").code, call("report", "--check").code) == (0, 0)
    assert [path for path in tmp_path.glob("*/REPORT.md") if path.is_symlink()] == []


def test_a_link_inside_the_folder_is_followed(build: Path, call: Call) -> None:
    (build / "kept.yaml").write_text("gauge: {name: feelers, resolution: 0.001 in}\n")
    (build / "clearances.yaml").symlink_to("kept.yaml")
    assert call("check").code == 0


def test_files_that_come_and_go_are_reported_or_not_there(build: Path, call: Call) -> None:
    stop = threading.Event()

    def flicker() -> None:
        while not stop.is_set():
            (build / "heads.yaml").write_text("zz: 1\n")
            (build / "heads.yaml").unlink()

    thread = threading.Thread(target=flicker)
    thread.start()
    try:
        assert {call("report").code for _ in range(4)} <= {0, 2}
    finally:
        stop.set()
        thread.join()


NAMES = [
    "two words", " leading", "-rf", "--format=json", "a\nb", "a\tb", "a\rb", "\x1b[31mred", "\u202egnp", "::error::x",
    "::set-output name=a::b", "##[error]x", "%0A::error::x", "a|b", "`a`", "<b>", "*", "[a](b)", "@team", "#1",
    "a" * 200, "ü", "\N{FIRE}", "$HOME", "~", "'", '"', "\\", "a:b", "{{ name }}", "{% raise %}", "&amp;", "]]>",
]  # fmt: skip
RAW = [b"caf\xe9", b"\xff\xfe", b"a\xed\xa0\x80b"]


def names_for(form: str) -> list[str]:
    """What would be an order at the start of a line, in every format; of the others some."""
    some = [name for other, name in pairs([*FORMATS], [*NAMES, *map(os.fsdecode, RAW)]) if other == form]
    return sorted({*some, *(name for name in NAMES if name.startswith((":", "#")))})


@pytest.mark.parametrize("form", FORMATS)
def test_folders_may_be_called_anything(form: str, call: Call, tmp_path: Path) -> None:
    for name in names_for(form):
        (tmp_path / name).mkdir()
        (tmp_path / name / "build.yaml").write_text(BUILD)
    if form == "text":
        assert call("report", ".").code == 0
        assert call("report", "--check", ".").code == 0
    ended = call("check", ".", "--format", form)
    assert ended.code == 0
    assert form == "github" or not [line for line in ended.out.split("\n") if line.startswith(("::", "##["))]


@pytest.mark.parametrize(
    ("name", "expected"),
    [("Marks.yaml", "marks"), ("marks.yml", "marks"), ("MARKS.YAML", "marks"), ("pushrod.yaml", "pushrods"),
     ("clearence.yaml", "clearances"), ("as-built.yaml", "as_built"), ("rocker.yaml", "rockers")],
)  # fmt: skip
def test_a_file_called_almost_right_does_not_go_unread(name: str, expected: str, build: Path, call: Call) -> None:
    (build / name).write_text("zz: 1\n")
    ended = call("check")
    assert ended.code == 2
    assert f"eider/{name}:1:1: error: is not read: rename it to {expected}.yaml" in ended.out


def test_other_files_may_lie_in_a_build(build: Path, call: Call) -> None:
    for name in ("notes.yaml", "heads.yaml.orig", "photo.jpg", "old-marks.yaml", ".hidden.yaml"):
        (build / name).write_text("zz: [\n")
    assert call("check").code == 0


def test_a_folder_that_poses_as_a_repository_runs_nothing(build: Path, call: Call, tmp_path: Path) -> None:
    subprocess.run(["git", "init", "-q", "--bare", str(build)], check=True)
    setting = f"[core]\n\tbare = false\n\tworktree = .\n\tfsmonitor = touch {tmp_path}/pwned #\n"
    (build / "config").write_text(f"{setting}\trepositoryformatversion = 0\n")
    (build / "buildcheck.yaml").write_text("note: mine\n")
    assert call("check", "--tracked", build).code == 2
    assert not (tmp_path / "pwned").exists()
