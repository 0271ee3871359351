"""Accepted builds: later changes outside their folder inform, changes inside it are judged in full."""

from __future__ import annotations

import contextlib
import io
import json
import shutil
import subprocess
from pathlib import Path

import pytest
from garage import RULE
from rewritten import copied

from buildcheck.cli.main import main

Output = pytest.CaptureFixture[str]
STRICTER = "limits: {piston-to-valve: {at_least: 0.4 in, because: new house rule}}\n"


@pytest.fixture(scope="module")
def accepted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top, output = tmp_path_factory.mktemp("accepted"), io.StringIO()
    (top / "buildcheck.yaml").write_text("{}\n")
    copied(top, "tests/builds/inline_six_closed")
    with contextlib.chdir(top), contextlib.redirect_stdout(output):
        assert main(["report", "--accept", "build"]) == 0
    assert output.getvalue() == "build: accepted at stage closed\n"
    return top


@pytest.fixture
def finished(accepted: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A closed build, accepted."""
    shutil.copytree(accepted, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path / "build"


def outcome(capsys: Output, *words: str, code: int) -> str:
    capsys.readouterr()
    assert main(["check", "build", *words]) == code
    return capsys.readouterr().out


def renamed(build: Path) -> None:
    file = build / "build.yaml"
    file.write_text(file.read_text().replace("name: ", "name: The old ", 1))


def test_a_stricter_limit_informs(finished: Path, capsys: Output) -> None:
    (finished.parent / "buildcheck.yaml").write_text(STRICTER)
    text = outcome(capsys, code=0)
    assert "warning: intake (worst; exhaust failing too): minimum piston-to-valve clearance" in text
    assert "4 checks would block it today, after changes outside its folder: rule piston-to-valve" in text
    assert main(["report", "--check", "build"]) == 0


def test_no_order_is_shown_that_today_s_terms_would_cut(tmp_path: Path, capsys: Output) -> None:
    """The demo, accepted; under a stricter limit only three of its valves would get a pushrod."""
    (tmp_path / "buildcheck.yaml").write_text("{}\n")
    build = copied(tmp_path, "example_build")
    assert main(["report", "--accept", str(build)]) == 0
    (tmp_path / "buildcheck.yaml").write_text("limits: {mark-centred: {at_most: 0.002 in, because: new house rule}}\n")
    capsys.readouterr()
    assert main(["check", str(build)]) == 0
    verdict = capsys.readouterr().out.splitlines()[-1]
    assert "Accepted on" in verdict
    assert "9.450 in" not in verdict
    assert "Before you order" not in verdict
    assert main(["report", "--order", str(build)]) == 1
    assert "The order is the one of the accepted report" in capsys.readouterr().err


def test_json_has_what_changed(finished: Path, capsys: Output) -> None:
    (finished.parent / "buildcheck.yaml").write_text(STRICTER)
    [build] = json.loads(outcome(capsys, "--format", "json", code=0))["builds"]
    assert build["accepted"]["counts"] is True
    assert build["accepted"]["outside"] == ["rule piston-to-valve"]


@pytest.mark.parametrize("words", [("--strict",), ("--stage", "assembled")])
def test_other_terms_are_judged_in_full(finished: Path, capsys: Output, words: tuple[str, ...]) -> None:
    (finished.parent / "buildcheck.yaml").write_text(STRICTER)
    assert "Not accepted" in outcome(capsys, *words, code=1)


def test_a_change_inside_the_folder_is_judged_in_full(finished: Path, capsys: Output) -> None:
    (finished.parent / "buildcheck.yaml").write_text(STRICTER)
    block = finished / "block.yaml"
    block.write_text(block.read_text() + "\n# a comment changes nothing\n")
    outcome(capsys, code=0)
    renamed(finished)
    assert "no longer counts: build.yaml changed since" in outcome(capsys, code=1)


def test_a_new_or_missing_file_is_a_change(finished: Path, capsys: Output) -> None:
    (finished.parent / "buildcheck.yaml").write_text(STRICTER)
    (finished / "concessions.yaml").write_text("[]\n")
    assert "concessions.yaml changed since" in outcome(capsys, code=1)


def test_an_edited_record_does_not_count(finished: Path, capsys: Output) -> None:
    (finished.parent / "buildcheck.yaml").write_text(STRICTER)
    record = finished / "accepted.yaml"
    record.write_text(record.read_text().replace("piston-to-valve", "piston-to-valves"))
    assert "accepted.yaml was edited or cannot be read" in outcome(capsys, code=1)
    record.write_text("accepted_on: [\n")
    assert "accepted.yaml was edited or cannot be read" in outcome(capsys, code=1)


def test_what_blocks_is_not_accepted(finished: Path, capsys: Output) -> None:
    (finished.parent / "buildcheck.yaml").write_text(STRICTER)
    before = (finished / "accepted.yaml").read_bytes()
    assert main(["report", "--accept", "build"]) == 1
    assert "build: not accepted. Not accepted: 4 checks failed" in capsys.readouterr().out
    assert (finished / "accepted.yaml").read_bytes() == before


def test_a_shared_part_that_changes_informs(finished: Path, capsys: Output) -> None:
    part = finished.parent / "parts" / "spring.yaml"
    part.parent.mkdir()
    heads = finished / "heads.yaml"
    text = heads.read_text()
    assert text.count("    wire: 0.177 in\n") == 2
    part.write_text("coil_bind_height: 29.2 mm\n")
    heads.write_text(text.replace("    coil_bind_height: 29.2 mm\n", "    uses: parts/spring.yaml\n"))
    assert main(["report", "--accept", "build"]) == 0
    part.write_text("coil_bind_height: 33 mm\n")
    text = outcome(capsys, code=0)
    assert "would block it today, after changes outside its folder: ../parts/spring.yaml" in text
    assert "[coil-bind-clearance" in text


@pytest.mark.parametrize(("since", "code"), [("2999-01-01", 0), ("2020-01-01", 1)])
def test_a_rule_informs_closed_builds_accepted_before_its_day(
    finished: Path, capsys: Output, since: str, code: int
) -> None:
    shop = finished.parent / "shop"
    shop.mkdir()
    (shop / "cap.yaml").write_text(f"since: {since}\n{RULE.replace('500', '100').replace('250', '90')}")
    (finished.parent / "buildcheck.yaml").write_text("rules: [shop/]\n")
    assert "rule cap" in outcome(capsys, code=0)
    renamed(finished)
    assert "[cap" in outcome(capsys, code=code)


def test_compare_says_that_only_the_acceptance_lets_it_pass(finished: Path, capsys: Output) -> None:
    for words in (["init", "-q"], ["add", "-A"], ["-c", "user.name=A", "-c", "user.email=a@b", "commit", "-qm", "x"]):
        subprocess.run(["git", *words], cwd=finished.parent, check=True)
    (finished.parent / "buildcheck.yaml").write_text(STRICTER)
    assert main(["compare", "HEAD"]) == 0
    assert "does not block only because of: an earlier acceptance" in capsys.readouterr().out
    assert main(["compare", "HEAD", "--strict"]) == 1
    (finished / "accepted.yaml").unlink()
    capsys.readouterr()
    assert main(["compare", "HEAD"]) == 1
    assert "accepted.yaml was removed: the build is reopened" in capsys.readouterr().out
