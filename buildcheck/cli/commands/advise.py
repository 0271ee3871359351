"""``buildcheck advise``: what the marks of one build say, and what to do next at the bench."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator

from buildcheck.advice.valve_advice import Advice, advice, lacking, unmeasured
from buildcheck.advice.what_if import what_if
from buildcheck.app.build_check import CheckedBuild
from buildcheck.build.trials import ASSUMED_TO_APPLY, assumed_to_apply, void_causes
from buildcheck.cli.build_arguments import add_build
from buildcheck.cli.one_build import readable_build
from buildcheck.cli.valve_name import subject_of
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.usage_error import UsageError
from buildcheck.output import advice_json
from buildcheck.output import what_if_output as whatif
from buildcheck.output.advice_text import valve_blocks
from buildcheck.output.next_readings_wording import next_reading_lines
from buildcheck.output.wording import subjects_text


def arguments(parser: argparse.ArgumentParser) -> None:
    """Options of ``advise``."""
    parser.epilog = "example: buildcheck advise engines/dunlin --valve 3/exhaust"
    add_build(parser)
    parser.add_argument("--valve", metavar="CYLINDER/VALVE", help="one valve only, such as 3/exhaust")
    parser.add_argument(
        "--with",
        action="append",
        dest="assumed",
        default=[],
        metavar="PART=SIZE",
        help="show the effect of a change, such as --with head_milled='0.010 in'; can be repeated",
    )
    parser.add_argument("--format", choices=("json", "text"), default="text", help="output format (default: text)")


def run(args: argparse.Namespace) -> int:
    """Print the advice; 0, or 2 where the build cannot be read."""
    if (checked := readable_build(args.build, "advice")) is None:
        return 2
    if args.assumed:
        answer = what_if(checked.facts, args.assumed)
        sys.stdout.write((whatif.data if args.format == "json" else whatif.text)(checked, answer))
        return 0
    found = _selected(checked, args.valve)
    sys.stdout.write(
        advice_json.write(checked, found) if args.format == "json" else _text(checked, found, args.valve is None)
    )
    return 0


def _selected(checked: CheckedBuild, valve: str | None) -> list[Advice]:
    found = advice(checked.facts)
    if valve is None:
        return found
    subject = subject_of(valve)
    if reason := lacking(checked.facts):
        raise UsageError(f"no advice yet: {reason}")
    selected = [one for one in found if one.subject == subject]
    if not selected:
        known = subject in checked.facts.subjects("valve")
        raise UsageError(
            f"{subject.text} is not measured yet: {_plan(checked)}" if known else f"this engine has no {subject.text}"
        )
    return selected


def _plan(checked: CheckedBuild) -> str:
    facts = checked.facts
    first = f"{facts.missing('marks').reason}; " if facts.node("marks") is None else ""
    return f"{first}'buildcheck plan {one_line(checked.build.display_path)}' shows where to turn the crank"


def _text(checked: CheckedBuild, found: list[Advice], whole: bool) -> str:
    """The advice on the valves found; ``whole``: on the build, so with the valves and readings that are left."""
    blocks = [f"{at_line_start(checked.build.name)} ({one_line(checked.build.display_path)})"]
    blocks += valve_blocks(checked, found, every=len(found) == 1)
    if reason := lacking(checked.facts):
        blocks.append(f"No advice yet: {reason}.")
    elif not found:
        blocks += [f"No valve is measured yet: {_plan(checked)}.", *_void(checked)]
    elif whole:
        blocks += _left(checked)
    return "\n\n".join(filter(None, blocks)) + "\n"


def _left(checked: CheckedBuild) -> Iterator[str]:
    """The valves that are not measured, void readings, and what to read next."""
    rest = list(unmeasured(checked.facts))
    yield f"Not measured: {subjects_text(rest)}." if rest else ""
    yield from _void(checked)
    yield "\n".join(map(one_line, next_reading_lines(checked)))
    yield f"{ASSUMED_TO_APPLY}." if assumed_to_apply(checked.facts) else ""


def _void(checked: CheckedBuild) -> Iterator[str]:
    for subject in checked.facts.subjects("valve_type"):
        for cause in void_causes(checked.facts, subject):
            yield one_line(f"{subject.text[:1].upper()}{subject.text[1:]}, {cause}.")
