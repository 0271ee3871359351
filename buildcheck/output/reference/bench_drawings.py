"""Drawings of the work at the engine, seen from the side: schematic, not to scale."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from buildcheck.output.plan.plan_drawings import degree_wheel, mark_key
from buildcheck.output.reference.svg_sheet import Drawing, area, box, dimension, disc, stroke, text

PANEL = 190
ROCKER_ARM, ROLLER, LIFTED = 105, 14, 56


def pivot_heights() -> Drawing:
    """Pivot too low, right and too high, with the rocker at closed valve and at full lift."""
    parts = [text(PANEL * 1.5, 18, "Pivot height: solid = valve closed, dashed = full lift", weight="bold")]
    for number, (name, error) in enumerate((("too low", 34), ("right", 0), ("too high", -34))):
        parts += _pivot(PANEL * number + 30, 120 + error, 120, name)
    alt = (
        "Three rockers from the side. Too low: both positions of the rocker lie above the level line through the "
        "pivot. Right: the level line lies halfway between them. Too high: both lie below the line."
    )
    return Drawing("Pivot height", alt, (PANEL * 3, 240), tuple(parts))


def _pivot(x: float, y: float, middle: float, name: str) -> Iterator[str]:
    """One rocker: the roller's centre goes from half the lift above the middle to half below it."""
    yield stroke(f"M{x - 16:g} {y:g}h{ROCKER_ARM + 50}", 0.7, dashed=True)
    for dashed, centre in ((True, middle + LIFTED / 2), (False, middle - LIFTED / 2)):
        across = x + sqrt(ROCKER_ARM**2 - (centre - y) ** 2)
        yield stroke(f"M{x:g} {y:g}L{across:.1f} {centre:g}", 2.5, dashed)
        yield stroke(f"M{across - ROLLER:.1f} {centre:g}a{ROLLER} {ROLLER} 0 1 0 {2 * ROLLER} 0"
                     f"a{ROLLER} {ROLLER} 0 1 0 {-2 * ROLLER} 0", 1.5, dashed)  # fmt: skip
    yield box(x + ROCKER_ARM - 14, middle + LIFTED / 2 + ROLLER, 22, 36, "#ccc")
    yield disc(x, y, 6, "#000")
    yield text(x + 55, 228, name)


def pushrod_lengths() -> Drawing:
    """Overall, full-ball and gauge length of one pushrod."""
    radius, hole, gauge, left, right, y = 40.0, 15.0, 29.0, 90.0, 430.0, 70.0
    overall, seat = sqrt(radius**2 - hole**2), sqrt(radius**2 - gauge**2)
    parts = [text(260, 18, "Three lengths of one pushrod", weight="bold"), box(left, y - 18, right - left, 36, "#ccc")]
    for x, way in ((left, -1), (right, 1)):
        parts += [disc(x, y, radius), stroke(f"M{x + way * overall:.1f} {y - hole:g}v{2 * hole:g}", 4)]
        parts.append(stroke(f"M{x + way * seat:.1f} {y - 52:g}v{104}", 1, dashed=True))
    parts += dimension(left - seat, right + seat, 140, "gauge length: between the holes of the supplier's gauge")
    parts += dimension(left - overall, right + overall, 176, "overall length: what a caliper reads over the oil holes")
    parts += dimension(left - radius, right + radius, 212, "full-ball length: as if the balls were complete")
    alt = (
        "A pushrod with ball ends. The gauge length is the shortest, between the seats of the gauge holes. The overall "
        "length is longer, between the flats at the oil holes. The full-ball length is the longest."
    )
    return Drawing("Three lengths of one pushrod", alt, (520, 236), tuple(parts))


def roller_and_pad() -> Drawing:
    """A roller tip and a pad tip on their valves."""
    parts = [
        text(130, 18, "roller tip", weight="bold"), text(390, 18, "pad tip", weight="bold"),
        stroke("M40 70L130 70", 8), disc(130, 70, 22), disc(130, 70, 5, "#000"), box(110, 92, 40, 60, "#ccc"),
        area("M290 62L400 46Q428 70 400 92Q382 94 360 84L290 78Z", "#fff"), box(370, 92, 40, 60, "#ccc"),
        text(130, 176, "turns on the valve tip:"), text(130, 193, "a narrow mark is right"),
        text(390, 176, "slides on the valve tip:"), text(390, 193, "a broad mark is right"),
    ]  # fmt: skip
    alt = "Left: a roller at the end of a rocker on a valve tip. Right: a curved pad that slides on a valve tip."
    return Drawing("Roller tip and pad tip", alt, (520, 206), tuple(parts))


def free_and_fixed_pivot() -> Drawing:
    """A stud with a nut, and a pedestal on a shim."""
    parts = [
        text(130, 18, "free: stud and nut", weight="bold"), text(390, 18, "fixed: pedestal", weight="bold"),
        box(122, 40, 16, 130, "#ccc"), area("M60 104Q130 72 200 104L200 116Q130 88 60 116Z", "#fff"),
        box(106, 62, 48, 24), box(20, 170, 220, 18, "#ccc"),
        area("M320 82Q390 50 460 82L460 94Q390 66 320 94Z", "#fff"), area("M374 74Q390 68 406 74L424 160H356Z", "#fff"),
        box(350, 160, 80, 10, "#000"), box(280, 170, 220, 18, "#ccc"), text(438, 168, "shim", "start"),
        text(130, 208, "the nut sets the height;"), text(130, 224, "the pushrod length sets the mark"),
        text(390, 208, "only a shim moves the mark;"), text(390, 224, "the pushrod sets preload or lash"),
    ]  # fmt: skip
    alt = "Left: a rocker on a stud under a nut that sets its height. Right: a rocker on a pedestal with a shim below."
    return Drawing("Free pivot and fixed pivot", alt, (520, 236), tuple(parts))


def slack_and_tight() -> Drawing:
    """A trial with clearance, one at zero lash and one that is too long."""
    parts = []
    states = (
        ("slack", 14, 0, "clearance: too short"),
        ("zero lash", 0, 0, "clearance just gone"),
        ("tight", 0, 12, "too long"),
    )
    for number, (name, gap, lift, words) in enumerate(states):
        x, ball = PANEL * number + PANEL / 2, 76 + gap - lift
        rocker = area(f"M{x - 60:g} {48 - lift}h120v30h-36a24 16 0 0 0 -48 0h-36Z", "#fff")
        parts += [text(x, 18, name, weight="bold"), rocker, disc(x, ball, 14, "#ccc"), text(x, 208, words)]
        parts += [box(x - 6, ball + 13, 12, 147 - ball, "#ccc"), box(x - 26, 160, 52, 28)]
        parts.append(text(x + 32, 180, "lifter", "start"))
        if lift:
            parts.append(stroke(f"M{x - 72:g} 70v-30m-5 7l5 -7l5 7", 1.5))
    alt = (
        "Three pushrods under a rocker. Slack: a gap above the ball. Zero lash: the ball just touches. Tight: the "
        "pushrod lifts the rocker, which presses the plunger down or opens the valve."
    )
    return Drawing("Slack, zero lash and tight", alt, (PANEL * 3, 222), tuple(parts))


def base_circle() -> Drawing:
    """A cam lobe with the lifter on its base circle."""
    parts = (
        area("M143.9 114.1A60 60 0 1 0 252.1 114.1L217.8 42.5A22 22 0 0 0 178.2 42.5Z", "#eee"),
        stroke("M138 140a60 60 0 1 0 120 0a60 60 0 1 0 -120 0", 1, dashed=True),
        disc(198, 140, 7, "#000"), box(170, 200, 56, 18, "#ccc"),
        text(198, 240, "lifter on the base circle: valve closed"),
        text(262, 60, "nose: full lift", "start"), text(268, 150, "base circle", "start"),
    )  # fmt: skip
    alt = "A cam lobe: the round base circle with the lifter on it, and opposite the nose that lifts the valve."
    return Drawing("Base circle", alt, (400, 254), parts)


def wheel() -> Drawing:
    """The degree wheel of one stop, as the bench sheet draws it."""
    return _nested("Degree wheel at 240 deg", "A degree wheel: zero at top dead centre of cylinder 1, hand at 240 deg.",
                   degree_wheel(240.0), (260, 260), 20)  # fmt: skip


def reading_a_mark() -> Drawing:
    """Where from, to and the lines are measured, as the bench sheet draws it."""
    alt = (
        "A valve tip from above with a mark. 'from' and 'to' are the distances of the edges of the mark from the "
        "pivot-side edge of the tip; the contact lines are measured from the same edge."
    )
    return _nested("Reading a mark", alt, mark_key(roller=True), (500, 264))


def _nested(title: str, alt: str, drawn: str, size: tuple[int, int], margin: int = 0) -> Drawing:
    """A drawing of the bench sheet with room around it."""
    wide, high = (one - 2 * margin for one in size)
    place = f'x="{margin}" y="{margin}" width="{wide}" height="{high}" overflow="visible"'
    inner = drawn.replace("<svg ", f"<svg {place} ", 1)
    return Drawing(title, alt, size, (inner,))
