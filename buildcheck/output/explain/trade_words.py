"""Explains the words of the trade that the findings use; the glossary of the reference shows the same texts."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType

TRADE_WORDS = MappingProxyType(
    {
        "acceptance": (
            "The record in accepted.yaml that a finished build was accepted as it is: 'buildcheck report --accept' "
            "writes it. Later changes of rules, limits and shared parts are then shown and do not block the build."
        ),
        "adjustable checking pushrod": (
            "A pushrod of adjustable length for measuring; files and advice call it checker. Set its length, find zero "
            "lash, take the mark. Remove it before the engine is started: it can come apart and wreck the engine."
        ),
        "base circle": (
            "The round part of a cam lobe, also called the heel. While the lifter is on it, the valve is closed and "
            "the lifter is down. Find zero lash only there: 'buildcheck plan' shows the crank angle for each valve."
        ),
        "coil bind": (
            "The spring height at which its coils touch. A valve that opens further breaks parts. The coil-bind "
            "clearance is what is left at full lift."
        ),
        "concession": (
            "A decision to use a part that does not meet a rule, or for which the rule is undecided, with its worst "
            "accepted value, the reason and the name of the person who accepted it. It is entered in concessions.yaml."
        ),
        "contact line": (
            "The line where the roller touches the valve tip. Read it with the valve closed (shut_at) and at full lift "
            "(open_at), from the pivot-side edge. Both lines show whether the pivot is too low or too high."
        ),
        "dynamic compression ratio": (
            "The compression ratio from the point at which the intake valve closes. A late closing makes it smaller "
            "than the compression ratio."
        ),
        "family": (
            "Limits for all builds that have certain values in certain fields, such as solid lifters. Families are "
            "entered in buildcheck.yaml, between the limits of the team and those of a build."
        ),
        "gauge length": (
            "The length of a pushrod between the points of the supplier's gauge: the gauge has a hole that takes a "
            "part of each ball. The size of that hole differs between suppliers. Enter it as gauge_hole; it is never "
            "assumed."
        ),
        "installed height": ("The height of a valve spring in the head with the valve closed, from seat to retainer."),
        "lash": (
            "The clearance at the valve of a solid lifter, with the valve closed. It is set cold or hot, as the cam "
            "card states."
        ),
        "lash cap": (
            "A hardened cap on the valve stem tip. It raises the tip and can widen the flat. It changes the mark and "
            "the pushrod length, so enter it in heads.yaml and take new marks."
        ),
        "mid-lift": (
            "The pivot height at which the tip sweeps equally far in both halves of the lift. The mark is then at its "
            "narrowest. The pivot height error is measured from it: positive if the pivot is too low."
        ),
        "overall length": (
            "The length of a pushrod as a caliper reads it over both ends. A ball with an oil hole is shorter than the "
            "full ball, so the overall length is not the gauge length."
        ),
        "pivot": (
            "The point that the rocker turns about: on a stud with a nut you set its height, and the pushrod length "
            "sets the mark. On a pedestal or shaft the height is fixed: only a shim moves the mark."
        ),
        "preload": (
            "How far the pushrod presses the plunger of a hydraulic lifter down from its upper stop, with the valve "
            "closed."
        ),
        "required length": (
            "The pushrod length that brings the mark where it belongs, with preload or lash included. It has the "
            "uncertainty of the readings. The order compares it with the lengths in stock."
        ),
        "retainer to seal": ("The clearance from the spring retainer to the valve seal. It is smallest at full lift."),
        "shim": (
            "A flat plate under a rocker pedestal or rocker stand; a plate under a valve spring is a spring shim. It "
            "raises the pivot, moves the mark and needs a longer pushrod. Enter its thickness in rockers.yaml and in "
            "each trial that was made on it."
        ),
        "solid checking lifter": (
            "A solid lifter, or a hydraulic lifter with its plunger blocked, that is fitted while marks are taken so "
            "that the plunger cannot give way. Remove it afterwards."
        ),
        "stage": (
            "How far a build is: planning, measuring, ordering, assembled or closed. A rule blocks from its stage on. "
            "See 'buildcheck explain ordering'."
        ),
        "state": (
            "The engine with one set of parts. If a part is changed after a reading, the readings before it belong to "
            "the earlier state. States are entered in marks.yaml."
        ),
        "turns": (
            "Full rotations of a threaded part. One turn moves it by one pitch of its thread: 0.0417 in for 3/8-24, "
            "1.25 mm for M8x1.25. The checking pushrod counts from its shortest length, an adjuster from zero lash."
        ),
        "uncertainty": (
            "The value behind ±: the expanded uncertainty U with k = 2. The true value lies within it in about 95 of "
            "100 cases. Enter the U of each gauge; buildcheck computes that of each result."
        ),
        "undecided": (
            "The uncertainty of a value spans the limit, or a value is missing. The finding names the reading that "
            "decides it. Measure again with a finer gauge, or use parts that clear the limit."
        ),
        "witness mark": (
            "The ink pattern that the rocker tip leaves on the valve tip after the crank was rotated twice, also "
            "called contact pattern or sweep pattern. Its two edges are read from the pivot-side edge of the tip. It "
            "shows whether the contact is centred and how high the pivot is."
        ),
        "zero lash": (
            "The point at which the clearance is just gone, with no preload. Find it on the base circle, with the "
            "pushrod seated at both ends."
        ),
    }
)

SYNONYMS = MappingProxyType(
    {
        "accepted": "acceptance",
        "checker": "adjustable checking pushrod",
        "checking lifter": "solid checking lifter",
        "checking pushrod": "adjustable checking pushrod",
        "contact pattern": "witness mark",
        "expanded uncertainty": "uncertainty",
        "families": "family",
        "heel": "base circle",
        "mark": "witness mark",
        "pivot height": "mid-lift",
        "sweep pattern": "witness mark",
        "u": "uncertainty",
    }
)
"""Other words for a trade word -> the trade word."""


def trade_word(topic: str) -> str:
    """The trade word that a topic names, whatever its hyphens, capitals or plural; empty if there is none.

    >>> trade_word("Witness-marks"), trade_word("turn"), trade_word("heel"), trade_word("bore")
    ('witness mark', 'turns', 'base circle', '')
    """
    plain = topic.lower().replace("-", " ").replace("_", " ").rstrip("s")
    known = {word.replace("-", " ").rstrip("s"): word for word in TRADE_WORDS}
    others = {word.rstrip("s"): meant for word, meant in SYNONYMS.items()}
    return (known | others).get(plain, "")


def explain_trade_word(word: str) -> Iterator[str]:
    """A trade word and what it means."""
    yield word
    yield f"  {TRADE_WORDS[word]}"
