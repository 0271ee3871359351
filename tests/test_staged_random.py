"""Random edits are staged and random ones are not: the hook finds what it finds with nothing unstaged on the disk."""

from __future__ import annotations

import os
import random

import pytest
from garage import BUILDS, Garage
from test_staged_tree import is_limited
from thorough import sample

Dice = random.Random


def stage(garage: Garage, dice: Dice) -> None:
    """Edit, break or remove files of one or two builds, and stage that."""
    for build in dice.sample(sorted(BUILDS), dice.randrange(1, 3)):
        files = sorted(path for path in (garage.root / build).glob("*.yaml") if path.name != "build.yaml")
        path = dice.choice(files)
        text = path.read_text(encoding="utf-8")
        texts = (f"{text}# looked at again\n", f"{text}zz: 1\n", text.replace("0.1", "0.0", dice.randrange(1, 5)), None)
        edited = dice.choice(texts)
        path.unlink() if edited is None else path.write_text(edited, encoding="utf-8")
    garage.git("add", "--all")


def scribble(garage: Garage, dice: Dice) -> None:
    """Edit, break, remove or replace any tracked files, and stage nothing of it; every build.yaml stays there."""
    tracked = [name for name in garage.git("ls-files").split() if name.endswith(".yaml")]
    for path in (garage.root / name for name in dice.sample(tracked, dice.randrange(1, 9))):
        content, to = path.read_bytes(), garage.root / dice.choice(tracked)
        contents = (b"", b"zz: 1\n", content.replace(b"\n", b"\r\n"), content.replace(b"0.", b"0.9", 3), None)
        edited = dice.choice(contents)
        if edited is not None:
            path.write_bytes(edited)
        elif to != path and not to.is_symlink():
            path.unlink()
            path.symlink_to(os.path.relpath(to, path.parent))
        elif path.name != "build.yaml":
            path.unlink()


@pytest.mark.parametrize("seed", sample(range(60), 6))
def test_what_is_not_staged_changes_nothing(garage: Garage, seed: int) -> None:
    dice = Dice(seed)
    stage(garage, dice)
    clean = garage.buildcheck("check", "--touched")
    scribble(garage, dice)
    assert garage.git("diff", "--name-only") != ""
    assert not is_limited(garage) or garage.buildcheck("check", "--touched") == clean
