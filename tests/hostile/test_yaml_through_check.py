"""Every file of a build, broken in every way, through the whole check: located, soon, and never a crash."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from attacked import Call
from thorough import THOROUGH

from buildcheck.repo.file_tree import FILES

BUILD = "name: Eider\nstage: planning\npurpose: to be broken\n"
BOMB = "a: &a [x, x]\n" + "".join(f"{c}: &{c} [*{p}, *{p}]\n" for p, c in zip("abcdefghi", "bcdefghij", strict=True))
BROKEN: dict[str, bytes] = {
    "empty": b"",
    "blank": b"\n \n\n",
    "nothing": b"~\n",
    "a word": b"stud\n",
    "a number": b"5\n",
    "true": b"true\n",
    "a list where a mapping belongs": b"- 1\n- [a, b]\n",
    "a mapping of unknown keys": b"zz: 1\nzzz: {a: [b]}\n",
    "many unknown keys": b"".join(b"k%d: 1\n" % number for number in range(400)),
    "a key twice": b"note: a\nnote: b\nzz: c\n",
    "a note that is a list": b"note: [a]\nzz: 1\n",
    "an alias bomb": BOMB.encode(),
    "a merge key": b"<<: {note: a}\n",
    "a tag that would run": b"note: !!python/object/apply:os.system [touch pwned]\n",
    "an include": b"note: !include /etc/passwd\n",
    "a directive": b"%YAML 1.1\n---\nnote: a\n",
    "two documents": b"note: a\n---\nnote: b\n",
    "a tab": b"note:\n\t- a\n",
    "no closing quote": b'note: "a\nzz: b\n',
    "deep lists": b"[" * 300,
    "deep mappings": b"{a: " * 300,
    "far too many values": b"note: [" + b"a," * 20_100 + b"]\n",
    "far too long": b"note: " + b"x" * 300_000,
    "not a number": b"note: .nan\nzz: -.inf\n",
    "control characters": b"note: \x1b[2J\x07\n",
    "zero bytes, as a bad disk leaves them": b"\0" * 4096,
    "half a file of random bytes": bytes(range(256)) * 16,
    "UTF-16": "note: a\n".encode("utf-16"),
    "Latin-1": "note: caf\xe9\n".encode("latin-1"),
    "hidden in escapes": b'"\\e[31m\\u202e::error::x": 1\n',
    "a conflict left in": b"<<<<<<< HEAD\nnote: a\n=======\nnote: b\n>>>>>>> other\n",
    "HTML": b"<!DOCTYPE html><html><body>404</body></html>\n",
    "JSON with comments": b'{"note": "a", // b\n"zz": 1}\n',
}


def files_for(how: str) -> list[str]:
    """Every file of a build; without THOROUGH every third, another third for the next way to break it."""
    few = 3 if len(BROKEN[how]) < 5000 else 9
    return [name for at, name in enumerate(FILES) if THOROUGH or (at + [*BROKEN].index(how)) % few == 0]


def test_every_file_is_broken_in_many_ways() -> None:
    broken = [name for how in BROKEN for name in files_for(how)]
    assert min(broken.count(name) for name in FILES) > 8
    assert all(files_for(how) for how in BROKEN)


@pytest.mark.parametrize("how", BROKEN)
def test_a_broken_file_is_reported_at_its_place(how: str, call: Call, tmp_path: Path) -> None:
    files = files_for(how)
    for name in files:
        (tmp_path / name).mkdir()
        (tmp_path / name / "build.yaml").write_text(BUILD)
        (tmp_path / name / f"{name}.yaml").write_bytes(BROKEN[how])
    ended = call("check")
    assert ended.code == 2
    assert {line.split(":")[0] for line in ended.errors} == {f"{name}/{name}.yaml" for name in files}
    assert ended.cost < 40 * len(files)
    assert not (tmp_path / "pwned").exists()


@pytest.mark.parametrize(
    "change",
    [
        lambda data: b"\xef\xbb\xbf" + data,
        lambda data: data.replace(b"\n", b"\r\n"),
        lambda data: data.rstrip(b"\n"),
        lambda data: b"\n\n# a\n" + data + b"\n\n...\n",
    ],
    ids=["byte order mark", "CRLF", "no last newline", "blank lines and a document's end"],
)
def test_what_editors_of_other_systems_leave_is_taken(change, call: Call, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "build.yaml").write_bytes(change(BUILD.encode()))
    assert call("check").code == 0


MEASURED = """\
import resource, subprocess, sys
done = subprocess.run([sys.executable, "-m", "buildcheck", "check"], stdout=subprocess.DEVNULL)
print(done.returncode, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""
"""A small process starts the check: a child is charged with the room of whoever forks it."""


def test_all_of_them_together_need_little_room(tmp_path: Path) -> None:
    for number, data in enumerate(BROKEN.values()):
        (tmp_path / str(number)).mkdir()
        (tmp_path / str(number) / "build.yaml").write_text(BUILD)
        (tmp_path / str(number) / "marks.yaml").write_bytes(data)
    done = subprocess.run([sys.executable, "-c", MEASURED], cwd=tmp_path, capture_output=True, text=True, check=True)
    code, most = map(int, done.stdout.split())
    assert code == 2
    assert most < 200 * (1024 if sys.platform == "linux" else 1024**2)
