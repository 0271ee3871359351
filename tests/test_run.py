"""Whole runs over several builds: which folders are builds, what each is held to, how the run ends."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path
from typing import Any

import pytest
from rewritten import Edit, copied

from buildcheck.cli.main import main

SIX, FLAT = "example_build", "tests/builds/flat_four_solid"
OFF = ("marks.yaml", "mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0 in, to: 0.027 in}")
BROKEN = ("cam.yaml", "lobe_lift: 0.280 in", "lobe_lift: 0.280")
LINE = re.compile(r"(?P<file>[^:]+):(?P<line>\d+):(?P<column>\d+): (?:error|warning|note): .+ \[[a-z0-9 +-]+\]")


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def engine(shop: Path, name: str, folder: str, *edits: Edit) -> Path:
    return copied(shop / "engines" / name, folder, *edits)


def result(capsys: pytest.CaptureFixture[str], *call: str) -> tuple[int, dict[str, Any]]:
    code = main(["check", *call, "--format", "json"])
    return code, json.loads(capsys.readouterr().out)


def test_every_build_below_is_found_once_and_in_order(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("b", "a"):
        engine(shop, name, SIX)
    code, found = result(capsys, "engines", "engines/a", "engines/b/build")
    assert (code, [one["folder"] for one in found["builds"]]) == (0, ["engines/a/build", "engines/b/build"])


def test_a_file_of_a_build_represents_its_folder(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    engine(shop, "a", SIX)
    assert [one["folder"] for one in result(capsys, "engines/a/build/marks.yaml")[1]["builds"]] == ["engines/a/build"]


@pytest.mark.parametrize(("edits", "code"), [([], 0), ([OFF], 1), ([BROKEN], 2), ([OFF, BROKEN], 2)])
def test_how_a_run_of_two_builds_ends(
    shop: Path, capsys: pytest.CaptureFixture[str], edits: list[Edit], code: int
) -> None:
    engine(shop, "good", FLAT)
    for number, edit in enumerate(edits):
        engine(shop, str(number), SIX, edit)
    ended, found = result(capsys, ".")
    verdicts = {one["folder"].split("/")[1]: one["verdict"] for one in found["builds"]}
    assert (ended, verdicts.pop("good"), set(verdicts.values()) - {"fail"}) == (code, "pass", set())


def test_only_folders_that_the_settings_name_are_builds(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    engine(shop, "mine", FLAT)
    engine(shop, "spare", FLAT)
    (shop / "buildcheck.yaml").write_text("builds: [engines/mine/*]\n", encoding="utf-8")
    assert [one["folder"] for one in result(capsys, ".")[1]["builds"]] == ["engines/mine/build"]


@pytest.mark.parametrize("path", ["nowhere", "empty"])
def test_nothing_to_check_is_a_wrong_call(shop: Path, capsys: pytest.CaptureFixture[str], path: str) -> None:
    (shop / "empty").mkdir()
    assert main(["check", path]) == 2
    out, err = capsys.readouterr()
    assert (out, path in err, "Traceback" in err) == ("", True, False)


def test_every_line_of_text_shows_a_place_that_is_there(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    engine(shop, "a", SIX, OFF)
    engine(shop, "b", FLAT, ("marks.yaml", "crank: 108 deg", "crank: 408 deg"))
    assert main(["check"]) == 1
    *lines, last = [line for line in capsys.readouterr().out.splitlines() if not line.startswith("  ")]
    assert last == "2 of 2 builds block: engines/a/build, engines/b/build"
    places = [found for line in lines if (found := LINE.fullmatch(line))]
    assert len(places) == len(lines) > 4
    for found in places:
        rows = (shop / found["file"]).read_text(encoding="utf-8").splitlines()
        assert 1 <= int(found["column"]) <= len(rows[int(found["line"]) - 1]) + 1


def test_a_rule_of_the_team_judges_every_build(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    engine(shop, "a", SIX)
    engine(shop, "b", FLAT)
    (shop / "buildcheck.yaml").write_text("rules: [shop-rules/]\n", encoding="utf-8")
    (shop / "shop-rules").mkdir()
    (shop / "shop-rules" / "shop-lift.yaml").write_text(
        "id: shop-lift\ntitle: Lift\nfor_each: valve_type\nquantity: valve_lift\nat_most: 0.430 in\nlevel: error\n"
        "due: planning\nwhy: Our guides are worn.\nfix: Less cam.\nsource: common practice, no published source\n"
        "examples:\n  - {given: {valve_lift: 0.4 in}, gives: pass}\n  - {given: {valve_lift: 0.5 in}, gives: fail}\n",
        encoding="utf-8",
    )
    code, found = result(capsys, ".")
    kinds = [[one["kind"] for one in build["results"] if one["rule"] == "shop-lift"] for build in found["builds"]]
    assert (code, kinds) == (1, [["fail", "fail"], ["pass", "pass"]])


def test_only_what_git_tracks_counts_when_asked(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    build = engine(shop, "a", SIX)
    subprocess.run(["git", "init", "-q"], cwd=shop, check=True)
    subprocess.run(["git", "add", "."], cwd=shop, check=True)
    assert result(capsys, ".", "--tracked")[0] == 0
    subprocess.run(["git", "rm", "-q", "--cached", "engines/a/build/stackup.yaml"], cwd=shop, check=True)
    code, found = result(capsys, ".", "--tracked")
    assert (code, [one["file"] for one in found["builds"][0]["errors"]]) == (2, ["stackup.yaml"])
    (build / "stackup.yaml").unlink()
    assert result(capsys, ".", "--tracked")[0] == 0


def test_what_builders_write_reaches_no_terminal_raw(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = ("build.yaml", "name: Dunlin", 'note: "\\e[31m"\nname: "Dun\\e]0;x\\a\\nlin" #')
    engine(shop, "a", SIX, name, ("clearances.yaml", "1.4 mm", '"1.4 \\e[2J mm"'))
    assert main(["check", "."]) == 2
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert len(out.splitlines()) == 3
