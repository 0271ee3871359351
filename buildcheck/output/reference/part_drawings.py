"""Drawings of parts and of their measures, seen from the side: schematic, not to scale."""

from __future__ import annotations

from collections.abc import Iterator

from buildcheck.output.reference.svg_sheet import Drawing, area, box, dimension, disc, height, stroke, text


def lash_cap() -> Drawing:
    """A valve stem without and with a lash cap."""
    parts = [
        text(110, 18, "without lash cap", weight="bold"), text(330, 18, "with lash cap", weight="bold"),
        box(90, 80, 40, 110, "#ccc"), text(110, 210, "tip of the valve stem"),
        box(310, 80, 40, 110, "#ccc"), area("M298 56H362V112H350V80H310V112H298Z", "#fff"),
        text(330, 210, "the cap raises the tip and widens it"), *height(394, 56, 80, "raised"),
    ]  # fmt: skip
    alt = "Left: the tip of a valve stem. Right: the same tip under a cap, which is higher and wider than the stem."
    return Drawing("Lash cap", alt, (480, 224), tuple(parts))


def turns() -> Drawing:
    """A checking pushrod one turn longer than before."""
    parts = []
    for number, (name, out) in enumerate((("before", 0), ("one turn out", 24))):
        y = 62 + 84 * number
        parts += [text(20, y + 5, name, "start"), box(130, y - 16, 150, 32, "#ccc"), disc(116, y, 14, "#ccc")]
        parts += [box(280, y - 9, 60 + out, 18), *_thread(280, 340 + out, y), disc(356 + out, y, 16)]
    parts += dimension(372, 396, 182, "one turn = one pitch of the thread")
    alt = (
        "An adjustable checking pushrod twice. After one turn out its threaded end reaches further by one pitch of "
        "the thread."
    )
    return Drawing("Turns of the checking pushrod", alt, (520, 212), tuple(parts))


def _thread(left: int, right: int, y: int) -> Iterator[str]:
    for x in range(left + 12, right, 12):
        yield stroke(f"M{x} {y - 9}l-6 18", 1)


def shim() -> Drawing:
    """A pedestal without and with a shim."""
    parts = [text(120, 18, "without shim", weight="bold"), text(340, 18, "with shim", weight="bold")]
    for x, up in ((120, 0), (340, 24)):
        parts += [area(f"M{x - 22} {86 - up}H{x + 22}L{x + 34} {160 - up}H{x - 34}Z", "#fff")]
        parts += [disc(x, 74 - up, 12, "#ccc"), box(x - 90, 160, 180, 20, "#ccc")]
    parts += [box(300, 136, 80, 24, "#000"), text(392, 154, "shim", "start"), text(120, 202, "head")]
    parts += [stroke("M136 74H470", 0.7, dashed=True), *height(440, 50, 74, "pivot higher"), text(340, 202, "head")]
    alt = (
        "Left: a pedestal on the head. Right: the same pedestal on a shim; its pivot is higher by the thickness of it."
    )
    return Drawing("Shim under a pedestal", alt, (560, 216), tuple(parts))


def stages() -> Drawing:
    """The stages of a build in order."""
    names = ("planning", "measuring", "ordering", "assembled", "closed")
    parts = []
    for number, name in enumerate(names):
        x = 10 + 112 * number
        parts += [box(x, 20, 92, 34, "#eee"), text(x + 46, 42, name)]
        parts += [stroke(f"M{x + 92} 37h18m-6 -5l6 5l-6 5")] if number < 4 else []
    parts += [
        stroke("M234 70V92H566m-8 -6l8 6l-8 6"),
        text(240, 112, "a rule of stage ordering blocks from here on", "start"),
    ]
    alt = "Five boxes in a row: planning, measuring, ordering, assembled, closed. A rule blocks from its own stage on."
    return Drawing("Stages of a build", alt, (580, 126), tuple(parts))


def concession() -> Drawing:
    """Which values a limit, a concession and nothing allow."""
    parts = [box(20, 50, 180, 30, "#fff"), box(200, 50, 160, 30, "#eee"), box(360, 50, 160, 30, "#ccc")]
    parts += [text(110, 70, "passes"), text(280, 70, "accepted by name"), text(440, 70, "blocks again")]
    parts += [stroke("M200 42V96", 2.5), stroke("M360 42V96", 2.5, dashed=True)]
    parts += [
        text(200, 34, "limit"),
        text(360, 34, "up_to"),
        stroke("M20 106H520m-8 -6l8 6l-8 6"),
        text(270, 126, "value"),
    ]
    alt = (
        "A scale of values. Up to the limit the rule passes. From the limit to up_to the value is accepted by name. "
        "Beyond up_to the failure blocks again."
    )
    return Drawing("Concession", alt, (540, 140), tuple(parts))


def undecided() -> Drawing:
    """Values with their uncertainty against a minimum."""
    parts = [
        stroke("M60 96H500m-8 -6l8 6l-8 6"),
        stroke("M260 22V108", 2.5),
        text(260, 16, "minimum"),
        text(500, 116, "value"),
    ]
    for x, y, name in ((150, 40, "failed"), (262, 60, "undecided"), (390, 80, "passed")):
        parts += [
            stroke(f"M{x - 50} {y}h100m0 -6v12m-100 -12v12"),
            disc(x, y, 4, "#000"),
            text(x + 60, y + 4, name, "start"),
        ]
    alt = (
        "Three values with bars of uncertainty beside a minimum. A bar below it fails, a bar above it passes, and a "
        "bar that spans it is undecided."
    )
    return Drawing("Passed, failed and undecided", alt, (540, 126), tuple(parts))


def valve_spring() -> Drawing:
    """A spring with the valve closed and at full lift."""
    parts = [text(150, 18, "valve closed", weight="bold"), text(310, 18, "full lift", weight="bold")]
    for x, top in ((150, 50), (310, 110)):
        parts += [
            box(x - 60, 210, 120, 14, "#ccc"),
            box(x - 14, 170, 28, 40, "#eee"),
            box(x - 5, top - 14, 10, 224 - top + 14, "#fff"),
        ]
        parts += [box(x - 50, top - 10, 100, 10, "#ccc"), *_coils(x, top, 210)]
    parts += height(78, 50, 210, "installed\nheight", "end")
    parts += [*height(378, 110, 170, "retainer\nto seal"), text(150, 244, "seat"), text(310, 244, "seat")]
    alt = (
        "A valve spring between seat and retainer. Left, valve closed: the installed height is from seat to retainer. "
        "Right, at full lift: the coils are close, and the retainer is near the valve seal."
    )
    return Drawing("Valve spring", alt, (460, 258), tuple(parts))


def _coils(x: int, top: int, seat: int) -> Iterator[str]:
    step = (seat - top) / 5
    for number in range(5):
        yield stroke(f"M{x - 46} {top + step * number + 8:g}L{x + 46} {top + step * (number + 1) - 8:g}", 5)
