"""Drawings of single parts and of words of the trade."""

from __future__ import annotations

from math import cos, radians, sin

from demo import order_lengths
from rocker_view import valve_stem
from svg import DASHED, HATCH, Drawing, Point

from buildcheck.build.build_folder import STAGES
from buildcheck.output.plan.plan_drawings import degree_wheel, mark_key


def reading_a_mark() -> str:
    """Where from, to and the lines are measured: the drawing of the bench sheet."""
    alt = (
        "The valve tip from above, pivot side left, with a mark. 'from' and 'to' are the edges of the mark, and both "
        "contact lines lie inside it. All four are measured from the pivot-side edge of the tip."
    )
    return _from_sheet(mark_key(roller=True), alt, "0 0 360 190", 480, 253)


def degree_wheel_figure() -> str:
    """The middle of the base circle of the worked valve."""
    alt = (
        "A degree wheel with zero at the top dead centre of cylinder 1. The pointer is at 347 degrees. A crank angle "
        "of 707 degrees is 347 degrees of the second turn."
    )
    return _from_sheet(degree_wheel(707), alt, "-6 -6 132 132", 320, 320)


def _from_sheet(svg: str, alt: str, view: str, wide: int, tall: int) -> str:
    """A drawing of the bench sheet as a document of its own."""
    inside = svg[svg.index("</title>") + len("</title>") : svg.rindex("</svg>")]
    x, y, across, down = view.split()
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{tall}" viewBox="{view}" role="img" '
        f'font-family="sans-serif">\n<title>{alt}</title>\n'
        f'<rect x="{x}" y="{y}" width="{across}" height="{down}" fill="#fff"/>\n{inside}\n</svg>\n'
    )


def three_lengths() -> str:
    """One pushrod and the three lengths that are in use for it."""
    lengths = order_lengths()
    drawing = Drawing(
        "One pushrod with three lengths. Over the ends a caliper reads "
        f"{lengths['overall']}. Between gauge cups with a hole of {lengths['hole']} it is {lengths['gauge']}. Over the "
        f"full balls, as if they had no oil hole, it is {lengths['full']}.",
        270,
    )
    left, right, y, radius = 70.0, 410.0, 60.0, 34.0
    drawing.bar([(left + 30, y), (right - 30, y)], 34)
    for x, way in ((left, 1), (right, -1)):
        _ball_end(drawing, (x, y), radius, way)
    depth = {"full": 34.0, "overall": 28.0, "gauge": 19.0}
    text = {
        "overall": f"overall, caliper over both ends: {lengths['overall']}",
        "gauge": f"gauge length, hole of {lengths['hole']}: {lengths['gauge']}",
        "full": f"over full balls, calculated: {lengths['full']}",
    }
    for number, name in enumerate(("full", "overall", "gauge")):
        down = 128 + 44 * number
        drawing.measure((left - depth[name], down), (right + depth[name], down))
        for x in (left - depth[name], right + depth[name]):
            drawing.path([(x, y), (x, down)], 'stroke-width="1" stroke-dasharray="2 4"')
        drawing.text(240, down - 8, text[name])
    drawing.text(240, 256, "Not to scale: the ends are drawn larger than they are.")
    return drawing.document()


def _ball_end(drawing: Drawing, centre: Point, radius: float, way: int) -> None:
    """A ball with a flat at its oil hole; the part that the hole removes is dashed."""
    x, y = centre
    drawing.disc(centre, radius)
    half = 19.4
    outer, flat = x - way * 40, x - way * 28
    cut_off = [(outer, y - half), (flat, y - half), (flat, y + half), (outer, y + half)]
    drawing.path(cut_off, stroke="#fff", fill="#fff")
    middle = 180 if way == 1 else 0
    angles = [middle + step for step in range(-34, 35, 4)]
    drawing.path([(x + radius * cos(radians(a)), y + radius * sin(radians(a))) for a in angles], DASHED)
    drawing.path([(x - way * 28, y - half), (x - way * 28, y + half)])
    drawing.path([(x - way * 28, y - 6), (x + way * 40, y - 6)], 'stroke-width="1" stroke-dasharray="2 3"')
    drawing.path([(x - way * 28, y + 6), (x + way * 40, y + 6)], 'stroke-width="1" stroke-dasharray="2 3"')


def slack_and_tight() -> str:
    """Clearance between pushrod and rocker: slack, just gone, tight."""
    drawing = Drawing(
        "Three pushrods under their rocker cups. Slack: a gap is felt. Zero lash: the gap is just gone and the valve "
        "is on its seat. Tight: no gap, and the valve is pushed off its seat.",
        250,
    )
    for number, (name, gap, drop, note) in enumerate((
        ("Slack", 12.0, 0.0, "You still feel clearance."),
        ("Zero lash", 0.0, 0.0, "It is just gone: read now."),
        ("Tight", 0.0, 14.0, "The valve is off its seat."),
    )):  # fmt: skip
        left = 160 * number
        drawing.text(left + 80, 20, name, bold=True)
        _cup_and_valve(drawing, left, gap, drop)
        drawing.lines(left + 80, 222, note, 20, "middle")
    return drawing.document()


def _cup_and_valve(drawing: Drawing, left: float, gap: float, drop: float) -> None:
    pivot, cup, tip = (left + 75.0, 70.0), (left + 36.0, 84.0 - drop * 0.6), (left + 122.0, 62.0 + drop)
    drawing.bar([cup, pivot, tip], 12)
    drawing.disc(pivot, 6)
    drawing.disc(tip, 11)
    drawing.arc((cup[0], cup[1] + 10), 9, (180, 360), 'stroke-width="2.5"')
    x, y = cup[0], cup[1] + 12 + gap
    drawing.path([(x - 4, 200), (x - 4, y), (x + 4, y), (x + 4, 200)], fill="#fff")
    drawing.disc((x, y), 7)
    x, y = tip[0], tip[1] + 11
    drawing.path([(x - 6, y + 66), (x - 6, y), (x + 6, y), (x + 6, y + 66)], fill="#fff")
    drawing.path([(x - 20, y + 78), (x - 6, y + 66), (x + 6, y + 66), (x + 20, y + 78)], close=True, fill="#fff")
    for side in (-1, 1):
        drawing.path([(x + side * 34, 151), (x + side * 20, 151), (x + side * 11, 142)], 'stroke-width="3"')


def base_circle() -> str:
    """A cam lobe with its lifter on the base circle, and the nose."""
    drawing = Drawing(
        "A cam lobe with a flat lifter. On the base circle, the round part away from the nose, the lifter is down and "
        "the valve is closed.",
        230,
    )
    x, y, radius = 150.0, 130.0, 55.0
    drawing.disc((x, y), radius)
    nose = [(x + radius * cos(radians(30)), y + radius * sin(radians(30)))]
    nose += [(x + 16 * cos(radians(a)), y + 75 + 16 * sin(radians(a))) for a in range(30, 151, 10)]
    nose += [(x + radius * cos(radians(150)), y + radius * sin(radians(150)))]
    drawing.path(nose, fill="#fff")
    drawing.path([(x - 26, y - radius), (x + 26, y - radius)], 'stroke-width="3"')
    drawing.box(x - 20, y - radius - 50, 40, 50)
    drawing.text(x, y - radius - 20, "lifter")
    drawing.text(x, y + 5, "cam")
    drawing.path([(x + 50, y - 32), (270, y - 50)], 'stroke-width="1"')
    drawing.text(275, y - 46, "base circle: valve closed", "start")
    drawing.path([(x + 16, y + 84), (270, y + 70)], 'stroke-width="1"')
    drawing.text(275, y + 74, "nose: full lift", "start")
    return drawing.document()


def lash_cap() -> str:
    """A valve stem with a lash cap."""
    drawing = Drawing("A valve stem with a hardened cap on its tip. It raises the tip and can widen the flat.", 150)
    valve_stem(drawing, (120, 70))
    drawing.path([(104, 90), (104, 58), (136, 58), (136, 90)], fill=HATCH)
    drawing.path([(140, 58), (230, 50)], 'stroke-width="1"')
    drawing.text(236, 54, "lash cap: new height, new flat", "start")
    drawing.path([(130, 110), (230, 112)], 'stroke-width="1"')
    drawing.text(236, 116, "valve stem", "start")
    return drawing.document()


def turns() -> str:
    """An adjustable checking pushrod."""
    drawing = Drawing(
        "An adjustable checking pushrod. Its thread makes it longer by one pitch for each full turn outwards.", 140
    )
    drawing.bar([(40, 50), (250, 50)], 20)
    drawing.bar([(290, 50), (440, 50)], 20)
    for x in range(250, 292, 6):
        drawing.path([(x, 42), (x + 4, 58)])
    drawing.path([(250, 42), (292, 42)])
    drawing.path([(250, 58), (292, 58)])
    drawing.disc((36, 50), 13)
    drawing.disc((444, 50), 13)
    drawing.measure((250, 84), (290, 84))
    drawing.text(270, 106, "thread: turns x pitch")
    drawing.text(240, 128, "length = length at zero turns + turns x pitch")
    return drawing.document()


def stages() -> str:
    """The stages of a build in their order."""
    drawing = Drawing(f"The stages of a build in order: {', '.join(STAGES)}.", 90)
    for number, stage in enumerate(STAGES):
        x = 8 + 94 * number
        drawing.box(x, 26, 84, 34, style='rx="6"')
        drawing.text(x + 42, 48, stage)
        if number:
            drawing.path([(x - 10, 43), (x, 43)], 'stroke-width="3"')
    return drawing.document()


def concession() -> str:
    """A value below the limit that a concession accepts."""
    drawing = Drawing(
        "A scale with a limit. Values above the limit pass. Between the worst accepted value and the limit a "
        "concession accepts them. Below the worst accepted value they fail.",
        140,
    )
    drawing.path([(20, 60), (460, 60)], 'stroke-width="3"')
    drawing.box(180, 46, 120, 28, HATCH)
    for x, name in ((180, "worst accepted value"), (300, "limit")):
        drawing.path([(x, 36), (x, 84)], 'stroke-width="3"')
        drawing.text(x, 26, name)
    for x, name in ((100, "fails"), (240, "accepted by name"), (380, "passes")):
        drawing.text(x, 104, name)
    drawing.text(240, 130, "The report lists every concession with its reason and date.")
    return drawing.document()
