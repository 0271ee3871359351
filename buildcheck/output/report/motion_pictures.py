"""The pictures of measured motion: lift curves of a cylinder with both centrelines, and the gap curve of a valve."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.advice.what_if_piston import moved_cam
from buildcheck.build.carried_motion import Curve, curve
from buildcheck.build.facts import Facts
from buildcheck.build.motion_readings import has_entry
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.core.usage_error import UsageError
from buildcheck.core.value import NotApplicable, Undecided
from buildcheck.output.report.motion_chart import Line, Point, Spot, draw_motion
from buildcheck.output.value_wording import value_text
from buildcheck.quantities.measured_motion import nose_angle
from buildcheck.quantities.piston_gap import GapCurve, gap_curve, overlap_text
from buildcheck.units.quantity import show

Drawn = tuple[str, str, str]
"""The name of a picture's file, its text alternative, and the SVG."""

BEYOND = 0.004
"""How much of the gap curve above its least point is drawn, m."""


def motion_pictures(facts: Facts) -> Iterator[Drawn]:
    """All pictures of the readings in motion.yaml; none if there are none."""
    for cylinder in facts.subjects("cylinder"):
        yield from _lifts(facts, cylinder)
    for valve in facts.subjects("valve"):
        if has_entry(facts, valve, "valve"):
            yield from _gap(facts, valve)


def _lifts(facts: Facts, cylinder: Subject) -> Iterator[Drawn]:
    lines: list[Line] = []
    texts: list[str] = []
    for valve, dashes in zip(VALVE_TYPES, ("", "7 3"), strict=True):
        subject = cylinder._replace(valve=valve)
        try:
            read = curve(facts, subject, "valve")
        except (NotApplicable, Undecided):
            continue
        if len(read.lifts) > 1:
            lines.append(Line(f"{valve} lift", tuple(zip(*read.numbers, strict=True)), dashes))
            lines += _centreline(facts, subject)
            texts.append(_described(facts, subject, read))
    if lines:
        title = f"{cylinder.text}: measured lift"
        yield f"lift-{cylinder.key}", f"{title}: {'; '.join(texts)}", draw_motion(title, "; ".join(texts), lines, [])


def _centreline(facts: Facts, subject: Subject) -> Iterator[Line]:
    full = facts.get_or_none("measured_lift", subject)
    try:
        centre = nose_angle(facts, subject).si
    except (NotApplicable, Undecided):
        return
    if full is not None:
        dashes = "3 2" if subject.valve == "intake" else "1 3"
        yield Line(f"{subject.valve} centreline", ((centre, 0.0), (centre, full.si)), dashes)


def _described(facts: Facts, subject: Subject, read: Curve) -> str:
    """Full lift and centreline of a valve, or how far it was read if it did not pass the nose."""
    full, centreline = (facts.get_or_none(name, subject) for name in ("measured_lift", "measured_centreline"))
    if full is None:
        highest = show(max(read.numbers[1]), "length", facts.system)
        return f"{subject.valve} lift read up to {highest}, nose not passed"
    text = f"{subject.valve} full lift {value_text(full, facts.system)}"
    return f"{text}; centreline {value_text(centreline, facts.system)}" if centreline is not None else text


def _gap(facts: Facts, valve: Subject) -> Iterator[Drawn]:
    try:
        found, limit = gap_curve(facts, valve), facts.get("piston_gap_limit", valve)
    except (NotApplicable, Undecided):
        return
    points, least = _near_least(found), value_text(found.least, facts.system)
    ends = points[0][0], points[-1][0]
    minimum = f"minimum {show(limit.si, 'length', facts.system)}"
    lines = [Line("gap", points), Line(minimum, tuple((at, limit.si) for at in ends), "7 3")]
    spots = [Spot(least, (found.at.si, found.least.si))]
    alt = f"least gap {least} at {overlap_text(found.at.si)}; {minimum}"
    for line, spot in _what_if(facts, valve, ends):
        lines.append(line)
        spots.append(spot)
        alt = f"{alt}; {line.text}"
    title = f"{valve.text}: gap to the piston"
    yield f"gap-{valve.key.replace('/', '-')}", f"{title}: {alt}", draw_motion(title, alt, lines, spots)


def _near_least(found: GapCurve) -> tuple[Point, ...]:
    return tuple(point for point in found.points if point[1] <= found.least.si + BEYOND)


def _what_if(facts: Facts, valve: Subject, ends: Point) -> Iterator[tuple[Line, Spot]]:
    """The gap with the cam moved towards the piston; nothing if the readings do not reach far enough."""
    try:
        moved = moved_cam(facts, valve)
    except (NotApplicable, Undecided, UsageError):
        return
    way = "advanced" if moved.ahead > 0 else "retarded"
    least = value_text(moved.curve.least, facts.system)
    points = tuple(point for point in _near_least(moved.curve) if ends[0] <= point[0] <= ends[1])
    line = Line(f"cam {way} {abs(moved.ahead):g} deg, least gap {least}", points, "3 2")
    yield line, Spot("", (moved.curve.at.si, moved.curve.least.si), hollow=True)
