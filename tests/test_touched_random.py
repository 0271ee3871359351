"""Random edits in a shop of many builds: what the hook leaves out is what checking everything finds unchanged."""

from __future__ import annotations

import contextlib
import io
import json
import random
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from history import git
from shop import COUNT, MEASURED, SPRINGS, folder, generate, users_of

from buildcheck.cli.main import main

Dice = random.Random
Found = dict[str, Any]


def _number(shop: Path, dice: Dice) -> None:
    """A mark moved in a measured build."""
    marks = shop / folder(dice.randrange(0, COUNT, MEASURED)) / "marks.yaml"
    text = marks.read_text(encoding="utf-8")
    marks.write_text(
        text.replace("from: 0.1", f"from: 0.0{dice.randrange(10)}", dice.randrange(1, 4)), encoding="utf-8"
    )


def _file_gone(shop: Path, dice: Dice) -> None:
    dice.choice(sorted((shop / folder(dice.randrange(COUNT))).glob("*.yaml"))).unlink()


def _file_renamed(shop: Path, dice: Dice) -> None:
    path = dice.choice(sorted((shop / folder(dice.randrange(COUNT))).glob("*.yaml")))
    path.rename(path.with_suffix(dice.choice([".yml", ".txt"])))


def _broken(shop: Path, dice: Dice) -> None:
    path = dice.choice(sorted((shop / folder(dice.randrange(COUNT))).glob("*.yaml")))
    path.write_text(path.read_text(encoding="utf-8") + dice.choice(["zz: 1\n", "\t: [\n"]), encoding="utf-8")


def _part(shop: Path, dice: Dice) -> None:
    part = shop / f"parts/springs/s-{dice.randrange(SPRINGS)}.yaml"
    part.write_text(f"seat_force: {dice.randrange(60, 150)} lbf\nrate: 265 lbf/in\n", encoding="utf-8")


def _part_gone(shop: Path, dice: Dice) -> None:
    (shop / f"parts/springs/s-{dice.randrange(SPRINGS)}.yaml").unlink()


def _moved(shop: Path, dice: Dice) -> None:
    shutil.move(shop / folder(dice.randrange(COUNT)), shop / "engines" / "elsewhere")


def _settings(shop: Path, dice: Dice) -> None:
    settings = shop / "buildcheck.yaml"
    settings.write_text(settings.read_text(encoding="utf-8").replace("0.065", f"0.{dice.randrange(100, 300)}"))


def _words(shop: Path, dice: Dice) -> None:
    (shop / f"note-{dice.randrange(9)}.md").write_text("to be ordered\n", encoding="utf-8")


EDITS: tuple[Callable[[Path, Dice], None], ...] = (
    _broken, _file_gone, _file_renamed, _moved, _number, _part, _part_gone, _settings, _words,
)  # fmt: skip


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Found]:
    """All committed, one build in five failing already; and what checking everything finds there."""
    shop = tmp_path_factory.mktemp("many") / "shop"
    generate(shop)
    for number in range(0, COUNT, 5):
        (shop / folder(number) / "stackup.yaml").write_text("zz: 1\n", encoding="utf-8")
    git(shop, "init", "-q")
    git(shop, "add", "-A")
    git(shop, "commit", "-qm", "many builds")
    return shop, _check(shop, "--tracked")


def _check(shop: Path, *words: str) -> Found:
    """Every build as it was found, and under an empty name what is wrong with the repository."""
    output = io.StringIO()
    with contextlib.chdir(shop), contextlib.redirect_stdout(output):
        main(["check", *words, "--format", "json"])
    result = json.loads(output.getvalue())
    return {"": result["errors"], **{build["folder"]: build for build in result["builds"]}}


def _expected(shop: Path) -> set[str]:
    """Builds with a file that is staged, or with a spring that is."""
    names = git(shop, "diff", "--cached", "--name-only", "--no-renames").split()
    used = [users_of(int(name[-6])) for name in names if name.startswith("parts/springs/")]
    return {"/".join(name.split("/")[:2]) for name in names if name.startswith("engines/")}.union(*used)


@pytest.mark.parametrize("seed", range(len(EDITS) + 1))
def test_it_finds_what_checking_everything_finds_in_all_that_differs(shop: tuple[Path, Found], seed: int) -> None:
    top, before = shop
    dice = Dice(seed)
    edits = {EDITS[seed % len(EDITS)], *dice.sample(EDITS, seed // len(EDITS))}
    for edit in edits:
        edit(top, dice)
    git(top, "add", "-A")
    whole, touched, expected = _check(top, "--tracked"), _check(top, "--touched"), _expected(top)
    git(top, "reset", "-q", "--hard")
    differing = {name for name in whole if whole[name] != before.get(name)}
    assert {name: whole[name] for name in touched} == touched
    assert differing <= touched.keys()
    assert touched.keys() == {"", *(whole if _settings in edits else whole.keys() & expected)}
