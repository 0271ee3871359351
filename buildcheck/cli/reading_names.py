"""The names under which the values of a reading are typed: options of ``record`` and columns of a table."""

from __future__ import annotations

from types import MappingProxyType

OF_TRIAL = MappingProxyType(
    {
        "length": ("length",),
        "turns": ("turns",),
        "feel": ("feel",),
        "known": ("known_length", "known_stated_as", "known_gauge_hole"),
        "feeler": ("feeler",),
        "plunger": ("plunger",),
        "bolt": ("bolt_turns",),
        "mark": ("mark_from", "mark_to"),
        "lines": ("shut_at", "open_at"),
        "shim": ("shim",),
        "cap": ("cap_thickness", "cap_diameter"),
        "across": ("across",),
        "checker": ("checker",),
        "on": ("on",),
        "by": ("by",),
    }
)
"""An option that belongs to a trial alone -> its columns."""
OF_MOTION = ("lift", "drop", "at", "lash")
"""What belongs to a reading of motion alone."""
OF_BOTH = ("crank", "note")
"""What belongs to either."""

MEASURED = (
    ("length", "LENGTH", "gauge reading of the checking pushrod"),
    ("turns", "TURNS", "turns of the checking pushrod, such as 9.25 or 9 1/4"),
    ("known", "PUSHROD", "a known pushrod on a fixed mount, such as 9.400 overall or 9.400 gauge 0.120"),
    ("feeler", "LENGTH", "gap at the valve tip with the rocker pressed to the known pushrod"),
    ("bolt", "TURNS", "turns of the rocker's bolt from touching to seated over the known pushrod"),
    ("mark", "FROM-TO", "both edges of the mark, such as .151-.182"),
    ("lines", "CLOSED,OPEN", "contact lines with the valve closed and at full lift"),
    ("shim", "LENGTH", "shim under the pedestal or stand in this trial"),
    ("cap", "THICKNESS,DIAMETER", "lash cap on the valve tip in this trial, if heads.yaml does not have it"),
    ("across", "LENGTH", "middle of the mark sideways, from the middle of the tip towards the front of the engine"),
    ("lift", "LENGTH", "lift read at the --crank angle, for motion.yaml"),
    ("drop", "LENGTH", "how far the valve moved down from there until it touched the piston"),
    ("lash", "LENGTH", "clearance at the valve while the lift was read (default: none)"),
)
"""Options for what is read off a gauge: name, placeholder, help. They may come in several words, such as 9 1/4."""

TRIAL_COLUMNS = tuple(column for columns in OF_TRIAL.values() for column in columns)
COLUMNS = ("cylinder", "valve", *OF_BOTH, *TRIAL_COLUMNS, *OF_MOTION)
"""Names in the first row of a table; only cylinder and valve must be there, in any order."""

_COLUMN_OF = MappingProxyType(
    {
        "from": "mark_from",
        "to": "mark_to",
        "mark": "mark_from",
        "known_pushrod": "known_length",
        "known_pushrod.length": "known_length",
        "known_pushrod.stated_as": "known_stated_as",
        "known_pushrod.gauge_hole": "known_gauge_hole",
        "lash_cap": "cap_thickness",
        "lash_cap.thickness": "cap_thickness",
        "lash_cap.diameter": "cap_diameter",
    }
)


def column_of(path: str) -> str:
    """The column of a field in marks.yaml or motion.yaml; empty if there is none.

    >>> column_of("valves[0].trials[1].mark.from"), column_of("valves[0].trials[0].known_pushrod.length")
    ('mark_from', 'known_length')
    """
    *_, key = steps = path.split(".")
    name = _COLUMN_OF.get(".".join(steps[-2:])) or _COLUMN_OF.get(key, key)
    return name if name in COLUMNS else ""
