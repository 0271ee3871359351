"""Entries that people make in a hurry: each is answered with what to write instead."""

from __future__ import annotations

import pytest
from rewritten import Edit, copied

from buildcheck.cli.main import main

SIX = "example_build"
TRIAL = '      - {length: 9.3500 in, mark: {from: 0.136 in, to: 0.172 in}, note: "wide, and nearer the pivot"}\n'
MERGE = f"<<<<<<< HEAD\n{TRIAL}=======\n{TRIAL}>>>>>>> other\n"


@pytest.mark.parametrize(
    ("edit", "answer"),
    [
        (
            ("marks.yaml", TRIAL, f"<<<<<<< HEAD\n{TRIAL}=======\n{TRIAL}>>>>>>> other\n"),
            "19:1: error: unresolved merge",
        ),
        (("marks.yaml", TRIAL, TRIAL.replace('"', "")), 'quote the note, "wide, and nearer the pivot"'),
        (
            ("clearances.yaml", "retainer_to_seal: 0.575 in", "retainer_to_seal: none"),
            "'none' is not a reading: enter 0 with its unit for contact, or remove the key until it is read",
        ),
    ],
)
def test_the_answer_says_what_to_write(tmp_path, capsys, edit: Edit, answer: str) -> None:  # type: ignore[no-untyped-def]
    assert main(["check", str(copied(tmp_path, SIX, edit))]) == 2
    assert answer in capsys.readouterr().out


def test_another_word_for_a_valve_is_answered(capsys: pytest.CaptureFixture[str]) -> None:
    for call in (["advise", SIX, "--valve", "1/inlet"], ["record", SIX, "1/Inlet", "--turns", "9"]):
        assert main(call) == 2
        assert "nlet: use 1/intake" in capsys.readouterr().err


@pytest.mark.parametrize("word", ["witness mark", "pivot", "turns", "shim", "lash-cap", "base circle", "Gauge length"])
def test_a_word_of_the_trade_is_explained(word: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", word]) == 0
    assert len(capsys.readouterr().out) > 100


def test_explain_alone_lists_the_topics(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain"]) == 0
    text = capsys.readouterr().out
    assert all(topic in text for topic in ("witness mark", "mark-on-tip", "preload", "ordering", "cam.advance"))


def test_a_quantity_is_explained_without_python(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "height_error"]) == 0
    text = capsys.readouterr().out
    assert "formula" in text
    assert ">>>" not in text
    assert "``" not in text
