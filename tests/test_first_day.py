"""The first day: from an empty folder to a green commit and a red one, by the real git and the real pre-commit."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from buildcheck.cli.main import main
from buildcheck.cli.scaffold import FIRST_BUILD, SKELETON, start_build

EXECUTABLES = Path(sys.executable).parent
NAMES = {f"GIT_{role}_{what}": "colleague" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}


@pytest.fixture
def shop(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    assert main(["start", "--repository", str(tmp_path / "shop")]) == 0
    capsys.readouterr()
    return tmp_path / "shop"


def _run(shop: Path, *words: str) -> subprocess.CompletedProcess[str]:
    path = f"{EXECUTABLES}{os.pathsep}{os.environ['PATH']}"
    home = str(shop.parent / "pre-commit-home")
    settings = {"PATH": path, "PRE_COMMIT_HOME": home, "GIT_CONFIG_GLOBAL": os.devnull}
    environment = {**os.environ, **NAMES, **settings}
    return subprocess.run(words, cwd=shop, env=environment, capture_output=True, text=True, check=False)


def test_a_new_repository_passes_its_own_check(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert {path for path in SKELETON if not (shop / path).is_file()} == set()
    assert main(["check", str(shop)]) == 0
    assert "Ready to measure" in capsys.readouterr().out


def test_every_file_s_editor_schema_is_there_once_for_the_whole_repository(shop: Path) -> None:
    named = [
        (path, found[1])
        for path in shop.rglob("*.yaml")
        if (found := re.match(r"# yaml-language-server: \$schema=(\S+)\n", path.read_text(encoding="utf-8")))
    ]
    assert len(named) == 14
    assert {(path.parent / schema).resolve().parent for path, schema in named} == {(shop / ".schemas").resolve()}
    assert [schema for path, schema in named if not (path.parent / schema).is_file()] == []


def test_a_further_build_uses_the_repository_s_schemas(shop: Path) -> None:
    written = start_build(shop / "engines/six/second")
    assert not (shop / "engines/six/second/.schemas").exists()
    assert written[0].read_text(encoding="utf-8").startswith("# yaml-language-server: $schema=../../../.schemas/")


def test_the_shop_s_own_rule_works_once_the_settings_name_it(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    settings = shop / "buildcheck.yaml"
    settings.write_text(settings.read_text(encoding="utf-8").replace("#rules:", "rules:"), encoding="utf-8")
    assert main(["rules", "--test", str(shop)]) == 0
    assert "all results as expected" in capsys.readouterr().out
    assert main(["explain", "valve-lift-cap", str(shop)]) == 0


def test_nothing_is_written_over(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["start", "--repository", str(shop)]) == 2
    assert "nothing was written" in capsys.readouterr().err


def _done(shop: Path, *words: str) -> None:
    done = _run(shop, *words)
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_green_commit_and_a_red_one(shop: Path) -> None:
    """The red one is refused by both hooks: for what it orders, and for a report that is older."""
    for words in (["git", "init", "-q"], ["pre-commit", "install"], ["buildcheck", "report"], ["git", "add", "-A"]):
        _done(shop, *words)
    _done(shop, "git", "commit", "-m", "the shop's first day")
    build = shop / FIRST_BUILD / "build.yaml"
    build.write_text(build.read_text(encoding="utf-8").replace("stage: planning", "stage: ordering"), encoding="utf-8")
    red = _run(shop, "git", "commit", "-am", "order at once")
    assert red.returncode == 1
    assert "engines/first/marks.yaml:" in red.stdout + red.stderr
    assert "[second-cylinder-checked" in red.stdout + red.stderr
    assert "engines/first/REPORT.md:1:1: error: is stale" in red.stdout + red.stderr


def test_a_clean_merge_is_held_to_the_rules_as_well(shop: Path) -> None:
    """A build that one branch adds has never been judged by what the other branch sets."""

    def commit(message: str) -> None:
        assert main(["report", str(shop)]) == 0
        _done(shop, "git", "add", "-A")
        _done(shop, "git", "commit", "-q", "--no-verify", "-m", message)

    _done(shop, "git", "init", "-q", "-b", "main")
    _done(shop, "pre-commit", "install")
    commit("first day")
    _done(shop, "git", "switch", "-q", "-c", "second")
    assert main(["start", str(shop / "engines/second")]) == 0
    commit("a second engine")
    _done(shop, "git", "switch", "-q", "main")
    with (shop / "buildcheck.yaml").open("a", encoding="utf-8") as settings:
        settings.write("limits: {mark-centred: {at_most: 0.020 in, because: our own habit}}\n")
    commit("a limit of our own")
    refused = _run(shop, "git", "merge", "--no-edit", "second")
    assert refused.returncode != 0
    assert "engines/second/REPORT.md:1:1: error: is stale" in refused.stdout + refused.stderr


def test_files_that_hold_comments_alone_are_there_but_not_filled_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["start", str(tmp_path / "mine")]) == 0
    capsys.readouterr()
    main(["check", str(tmp_path / "mine")])
    result = capsys.readouterr().out
    assert "intake and exhaust: rocker clear of the spring retainer cannot be determined. clearances.yaml" in result
    assert "clearances.yaml has no entries yet (clearances.intake.rocker_to_retainer is needed)" in result
    assert "clearances.yaml does not exist yet" not in result
    (tmp_path / "mine/clearances.yaml").unlink()
    main(["check", str(tmp_path / "mine")])
    assert "clearances.yaml does not exist yet" in capsys.readouterr().out
