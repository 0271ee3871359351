"""Attempts to get a push past a mark at the edge of the valve tip, each as edits to the demo.

Each ends in one of these ways: *refused* (exit code 2), *blocks* (1), or *named*: nothing blocks, and the findings
show the mark, or what was done to it, all the same.
"""

from __future__ import annotations

from typing import NamedTuple

Edit = tuple[str, str, str]
RED: Edit = ("marks.yaml", "mark: {from: 0.145 in, to: 0.172 in}", "mark: {from: 0.005 in, to: 0.032 in}")
"""README's mark at the edge of the tip, cylinder 1 intake."""
_MARK = "mark: {from: 0.005 in, to: 0.032 in}"
_BUILD = "stage: ordering\n"
_GOOD_TRIAL = "{length: 9.4255 in, mark: {from: 0.145 in, to: 0.172 in}}"
_LATER = "shut_at: 0.153 in, open_at: 0.150 in}\n"


class Evasion(NamedTuple):
    """What is tried, the edits after ``RED``, how it ends, and words that the check then shows."""

    name: str
    edits: tuple[Edit, ...]
    outcome: str
    words: str = ""


def _conceded(rule: str, up_to: str, because: str = "it has always run") -> Edit:
    valve = "cylinder: 1, valve: intake"
    entry = f"- {{rule: {rule}, {valve}, up_to: {up_to}, because: {because}, accepted_by: foreman}}"
    return "concessions.yaml", "", f"{entry}\n"


def _limits(text: str) -> Edit:
    return "build.yaml", "limits:\n", f"limits:\n{text}"


EVASIONS = (
    Evasion("a trial without a mark below the bad one",
            (("marks.yaml", _LATER, f"{_LATER}      - {{length: 9.4255 in}}\n"),), "blocks", "mark-on-tip"),
    Evasion("the widest uncertainty on the edge", (("marks.yaml", "from: 0.005 in", "from: 0.005 in +/- 0.020 in"),),
            "blocks", "mark-on-tip"),
    Evasion("an absurd uncertainty on the edge", (("marks.yaml", "from: 0.005 in", "from: 0.005 in +/- 0.2 in"),),
            "refused", "no gauge for it is worse"),
    Evasion("a mark gauge that reads nothing",
            (("marks.yaml", "resolution: 0.001 in, uncertainty: 0.003 in", "resolution: 0.1 in, uncertainty: 0.2 in"),),
            "blocks", "mark-on-tip"),
    Evasion("the edges swapped", (("marks.yaml", _MARK, "mark: {from: 0.032 in, to: 0.005 in}"),), "blocks", "swapped"),
    Evasion("the mark entered twice", (("marks.yaml", _MARK, f"{_MARK}, mark: {{from: 0.145 in, to: 0.172 in}}"),),
            "refused", "mark"),
    Evasion("a good entry for the same valve below", (("marks.yaml", "  - cylinder: 1\n    valve: exhaust",
            "  - cylinder: 1\n    valve: intake\n"
            "    trials: [{length: 9.4255 in, mark: {from: 0.145 in, to: 0.172 in}}]\n"
            "  - cylinder: 1\n    valve: exhaust"),), "blocks", "parts-consistent"),
    Evasion("the valve moved to a cylinder that is not there",
            (("marks.yaml", "cylinder: 1", "cylinder: 7"),), "blocks", "parts-consistent"),
    Evasion("the cylinder in another base", (("marks.yaml", "cylinder: 1", "cylinder: 0x2"),), "refused",
            "another base"),
    Evasion("a tip as wide as a hand", (("heads.yaml", "tip_diameter: 0.310 in", "tip_diameter: 2.5 in"),),
            "blocks", "mark-on-tip"),
    Evasion("a pad tip, where less is required", (("rockers.yaml", "type: roller", "type: pad"),), "blocks",
            "mark-centred"),
    Evasion("a limit far below zero", (_limits("  mark-on-tip: {at_least: -5 in, because: enough}\n"),), "refused",
            "lets through too much"),
    Evasion("limits as loose as they may be",
            (_limits("  mark-on-tip: {at_least: 0 in, because: enough}\n"
                     "  mark-centred: {at_most: 0.15 in, because: enough}\n"),),
            "refused", "lets through too much"),
    Evasion("a reason of nothing that can be seen",
            (_limits("  mark-on-tip: {at_least: 0.004 in, because: \"\\u200b\\u2060\"}\n"),), "refused", "in words"),
    Evasion("a concession with a worst value that meets the limit", (_conceded("mark-on-tip", "0.040 in"),), "refused",
            "write the worst value accepted"),
    Evasion("a concession for one of the two rules", (_conceded("mark-on-tip", "0.001 in"),), "blocks", "mark-centred"),
    Evasion("a concession for data that contradict each other", (_conceded("parts-consistent", "1"),), "refused",
            "a concession is not possible"),
    Evasion("a stage that no one judges", (("build.yaml", _BUILD, "stage: Ordering\n"),), "refused",
            "did you mean ordering"),
    Evasion("an earlier stage", (("build.yaml", _BUILD, "stage: measuring\n"),), "named", "mark-on-tip"),
    Evasion("the readings off the base circle", (("marks.yaml", "crank: 107 deg", "crank: 467 deg"),), "blocks",
            "measured-on-heel"),
    Evasion("a second file of readings", (("Marks.yaml", "", "valves: []\n"),), "refused", "marks.yaml"),
    Evasion("a merge key over the mark", (("marks.yaml", _MARK, "<<: {mark: {from: 0.145 in, to: 0.172 in}}"),),
            "refused", "<<"),
    Evasion("a whole valve declared void", (("marks.yaml", "    valve: intake\n    crank: 107 deg",
            "    valve: intake\n    void: smeared\n    crank: 107 deg"),), "refused", "void"),
    Evasion("the trial declared void", (("marks.yaml", f"{_MARK}, ", f"{_MARK}, void: smeared, "),), "named",
            "void, so not used: cylinder 1 intake trial 3 (smeared)"),
    Evasion("the trial declared void without a reason", (("marks.yaml", f"{_MARK}, ", f"{_MARK}, void: ., "),),
            "refused", "in words"),
    Evasion("the trial declared void with letters that nobody can see",
            (("marks.yaml", f"{_MARK}, ", f"{_MARK}, void: \u3164\u3164, "),), "refused", "in words"),
    Evasion("a good trial behind a carriage return in a comment",
            (("marks.yaml", _LATER, f"{_LATER[:-1]} # again\r      - {_GOOD_TRIAL}\n"),), "refused",
            "carriage return"),
    Evasion("a good trial behind a line separator in a comment",
            (("marks.yaml", _LATER, f"{_LATER[:-1]} # again\u2028      - {_GOOD_TRIAL}\n"),), "refused",
            "indentation"),
    Evasion("a good trial below, dated before the bad one",
            (("marks.yaml", _LATER,
              f"{_LATER[:-2]}, on: 2026-11-20}}\n      - {_GOOD_TRIAL[:-1]}, on: 2026-11-01}}\n"),),
            "named", "is dated 2026-11-01, before 2026-11-20"),
    Evasion("the mark of a trial that was too short", (("marks.yaml", f"{_MARK}, ", f"{_MARK}, feel: slack, "),),
            "blocks", "mark-on-tip"),
    Evasion("a wide lash cap on the bad trial",
            (("marks.yaml", f"{_MARK}, ", f"{_MARK}, lash_cap: {{thickness: 0.08 in, diameter: 0.4 in}}, "),),
            "blocks", "mark-on-tip"),
    Evasion("digits of another script", (("marks.yaml", "from: 0.005 in", "from: 0.\uff1145 in"),), "refused",
            "one number"),
    Evasion("the lengths given instead of the order",
            (("pushrods.yaml", "spares: 1",
              "chosen: {intake: 9.45 in, exhaust: 9.45 in, stated_as: gauge, gauge_hole: 0.120 in}"),),
            "blocks", "mark-on-tip"),
    Evasion("concessions for every cylinder at once",
            (("concessions.yaml", "",
              "- {rule: mark-on-tip, up_to: 0.001 in, because: it has always run, accepted_by: foreman}\n"),),
            "refused", "enter cylinder and valve"),
    Evasion("a concession accepted by a dot",
            (("concessions.yaml", "", _conceded("mark-on-tip", "0.001 in")[2].replace("foreman", ".")),), "refused",
            "in words"),
    Evasion("a second document with the bad mark in the first",
            (("marks.yaml", "length_gauge", "valves: []\n---\nlength_gauge"),), "refused", "document"),
)  # fmt: skip
