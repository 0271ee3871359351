"""What git's objects hold is read in one call, however many there are, and never more than a file may hold."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest
from history import commit, git

from buildcheck.core.usage_error import UsageError
from buildcheck.repo.blobs import blob_contents
from buildcheck.yamlio.yaml_text import LIMIT_BYTES

MISSING = "1" * 40


@pytest.fixture(scope="module")
def top(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("objects")
    git(top, "init", "-q")
    for number in range(120):
        (top / f"{number}.txt").write_bytes(f"{number}\n".encode() * 1000)
    (top / "empty.txt").write_bytes(b"")
    (top / "large.txt").write_bytes(b"0123456789" * LIMIT_BYTES)
    commit(top, "files")
    return top


def blob(top: Path, name: str) -> str:
    return git(top, "rev-parse", f"HEAD:{name}").strip()


def test_many_blobs_are_read_whole(top: Path) -> None:
    names = [path.name for path in sorted(top.glob("*.txt")) if path.name != "large.txt"]
    blobs = git(top, "rev-parse", *(f"HEAD:{name}" for name in names)).split()
    found = blob_contents(top, blobs)
    assert [found[one] for one in blobs] == [(top / name).read_bytes() for name in names]


def test_of_a_large_one_as_much_is_read_as_shows_that(top: Path) -> None:
    large, small = blob(top, "large.txt"), blob(top, "7.txt")
    found = blob_contents(top, [large, small])
    assert (len(found[large]), found[small]) == (LIMIT_BYTES + 1, b"7\n" * 1000)


def test_one_that_git_lacks_is_an_error(top: Path) -> None:
    with pytest.raises(UsageError, match="git lacks files of an earlier commit"):
        blob_contents(top, [blob(top, "7.txt"), MISSING])


def test_a_damaged_one_is_an_error(top: Path) -> None:
    damaged = top / "damaged.txt"
    damaged.write_bytes(random.Random(1).randbytes(50_000))
    name = git(top, "hash-object", "-w", "damaged.txt").strip()
    stored = top / ".git" / "objects" / name[:2] / name[2:]
    stored.chmod(0o644)
    os.truncate(stored, 40_000)
    with pytest.raises(UsageError, match="git cat-file fails in "):
        blob_contents(top, [name])


def test_outside_a_repository_it_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=r"git cat-file fails in .*: fatal: not a git repository"):
        blob_contents(tmp_path, [MISSING])


def test_without_blobs_git_is_not_asked(tmp_path: Path) -> None:
    assert blob_contents(tmp_path, []) == {}
