"""What report and rules show of readings that were carried over, of void ones, and of dates and parts to note."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from altered import EIGHT, SIX, altered
from history import commit, git, replace
from rewritten import Edit, copied, judged_by
from test_states import HEADS_MILLED, OTHER_ROCKERS, in_state, result, states

from buildcheck.build.trials import ASSUMED_TO_APPLY
from buildcheck.cli.main import main
from buildcheck.core.subject import BUILD, Subject
from buildcheck.output.cause_groups import cause_groups, group_text
from buildcheck.output.finding_wording import message
from buildcheck.output.report.state_rows import carried_rows, void_rows
from buildcheck.output.report.view import report_view

INTAKE = Subject(None, "intake")


def test_the_report_shows_what_was_carried_over_from_what_and_by_how_much(tmp_path: Path) -> None:
    found = altered(tmp_path, EIGHT, *HEADS_MILLED)
    [row] = [row for row in carried_rows(found) if "0.250" in row.changes and "intake" in row.who]
    assert row.state == "measured"
    assert row.changes == "pedestal raised +0.250 mm; head milled +0.750 mm ± 0.020 mm"
    assert row.length.startswith("-0.353 mm ± 0.0")  # 0.25 (1 + 1/1.7) - 0.75
    assert row.height.startswith("-0.250 mm ± 0.0")


def test_the_report_shows_void_readings_with_their_cause_and_place(tmp_path: Path) -> None:
    found = altered(tmp_path, SIX, *OTHER_ROCKERS)
    rows = void_rows(found)
    assert {row.cause for row in rows} == {"taken with a pivot-to-tip length of 1.550 in, now 1.450 in"}
    assert rows[0].who == "intake 2 (trial 1), 3 (trial 1), 6 (trial 1)"
    assert all(row.place.file == "marks.yaml" for row in rows)


def test_a_build_without_states_has_neither_section(tmp_path: Path) -> None:
    details = report_view(altered(tmp_path, SIX)).details
    assert (details.carried, details.void) == ((), ())


def test_an_order_on_carried_lengths_alone_is_blocked_from_assembled_on(tmp_path: Path) -> None:
    found = altered(tmp_path, EIGHT, *HEADS_MILLED)
    own = result(found, "read-again-after-change", INTAKE)
    assert (own.kind, own.blocks, own.due) == ("fail", False, "assembled")
    assert "all lengths were read before a change (pedestal raised, head milled)" in message(found, own)


READ_AGAIN: Edit = ("marks.yaml", "cylinder: 1\n    valve: intake\n    state: measured\n",
                    "cylinder: 1\n    valve: intake\n    state: heads milled\n")  # fmt: skip


def test_one_valve_read_again_settles_its_type(tmp_path: Path) -> None:
    found = altered(tmp_path, EIGHT, *HEADS_MILLED, READ_AGAIN)
    assert result(found, "read-again-after-change", INTAKE).kind == "pass"
    assert result(found, "read-again-after-change", Subject(None, "exhaust")).kind == "fail"


def test_the_risk_of_assumed_valves_names_void_readings(tmp_path: Path) -> None:
    found = altered(tmp_path, SIX, *OTHER_ROCKERS)
    [own] = judged_by(found, "assumed-valves-safe")
    assert own.kind == "open"
    assert "readings void, taken with a pivot-to-tip length of 1.550 in" in message(found, own)


def remarks(tmp_path: Path, folder: str, *edits: Edit) -> str:
    found = altered(tmp_path, folder, *edits)
    own = result(found, "reading-remarks", BUILD)
    assert (own.kind, own.level, own.blocks) == ("fail", "note", False)
    return message(found, own)


def test_dates_out_of_order_are_a_note(tmp_path: Path) -> None:
    days = {"{length: 9.4000 in": "2026-11-20", "{length: 9.4255 in": "2026-11-18"}
    dated = [("marks.yaml", old, f"{{on: {day}, {old[1:]}") for old, day in days.items()]
    said = remarks(tmp_path, SIX, *dated)
    assert "cylinder 1 intake: trial 3 is dated 2026-11-18, before 2026-11-20 of a trial above it" in said


def test_parts_unknown_then_are_a_note(tmp_path: Path) -> None:
    assert "state 'measured' does not give" in remarks(tmp_path, EIGHT, *HEADS_MILLED)


def test_the_same_part_measured_again_is_a_note(tmp_path: Path) -> None:
    one = states("{name: now, parts: {rockers.shim: 0.030 in +/- 0.001 in}}")
    again = ("rockers.yaml", "shim: 0.75 mm", "shim: 0.77 mm +/- 0.02 mm")
    assert "measured again, 0.762 mm then and 0.770 mm now: today's is used" in remarks(tmp_path, EIGHT, one, again)


def test_advice_and_comparison_mention_readings_without_states(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    build = copied(tmp_path, SIX)
    git(tmp_path, "init", "--quiet")
    commit(tmp_path, "measured")
    replace(build / "marks.yaml", "to: 0.172 in}, shut_at", "to: 0.173 in}, shut_at")
    monkeypatch.chdir(tmp_path)
    for command in (["advise", "build"], ["compare", "HEAD"], ["compare", "HEAD", "--format", "markdown"]):
        main(command)
        assert ASSUMED_TO_APPLY in capsys.readouterr().out
    one_state = "\nstates:\n  - {name: measured, parts: {rockers.valve_arm: 1.550 in}}\nvalves:"
    replace(build / "marks.yaml", "\nvalves:", one_state)
    for command in (["advise", "build"], ["compare", "HEAD"], ["compare", "HEAD", "--format", "markdown"]):
        main(command)
        assert "lists no states" not in capsys.readouterr().out


def test_readings_that_are_void_for_a_whole_type_are_one_cause(tmp_path: Path) -> None:
    """What cannot be determined without a reading is folded under the rule that requires one."""
    both = states("{name: then, parts: {rockers.valve_arm: 1.550 in}}", "{name: now, parts: {}}")
    arm: Edit = ("rockers.yaml", "valve_arm: 1.550 in", "valve_arm: 1.450 in")
    found = altered(
        tmp_path, SIX, both, arm, *in_state("then", SIX), ("clearances.yaml", "intake:", "state: then\nintake:")
    )
    leads = [group.lead for group in cause_groups(found) if group.blocks]
    assert [(one.rule, one.subject.valve) for one in leads] == [
        ("second-cylinder-checked", "intake"), ("second-cylinder-checked", "exhaust"),
    ]  # fmt: skip
    assert not any("reading applies" in group_text(found, group) for group in cause_groups(found))


def test_advice_lists_void_readings_and_what_to_read_after_a_single_valve(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build = copied(tmp_path, SIX, *OTHER_ROCKERS)
    main(["advise", str(build)])
    assert (
        "Intake, cylinders 2, 3, 6: readings void, taken with a pivot-to-tip length of 1.550 in"
        in capsys.readouterr().out
    )
    marks = (build / "marks.yaml").read_text(encoding="utf-8")
    again = "trials:\n      - length: 9.5005 in"
    (build / "marks.yaml").write_text(
        marks.replace(again, again.replace("- length", "- void: lost\n        length")).replace(
            "{length: 9.4295 in", "{void: lost, length: 9.4295 in"
        ),
        encoding="utf-8",
    )
    main(["advise", str(build)])
    text = capsys.readouterr().out
    assert "Not measured: intake 2, 3, 4, 5, 6; exhaust 1, 2, 3, 4, 5, 6." in text
    assert "required before an order can be decided." in text
    main(["advise", str(build), "--valve", "1/intake"])
    assert "Not measured" not in capsys.readouterr().out
    main(["advise", str(build), "--format", "json"])
    data = json.loads(capsys.readouterr().out)
    assert [one["cylinder"] for one in data["not_measured"] if one["valve"] == "intake"] == [2, 3, 4, 5, 6]
    entered, changed = (next(one for one in data["void_readings"] if one["by_change"] is by) for by in (False, True))
    assert (entered["reason"], entered["file"]) == ("lost", "marks.yaml")
    assert changed["reason"] == "taken with a pivot-to-tip length of 1.550 in, now 1.450 in"
    assert "length: " in (build / "marks.yaml").read_text(encoding="utf-8").splitlines()[changed["line"] - 1]
