"""Reads a screw thread as the standards write it: ASME B1.1 (inch) and ISO 261 with ISO 965 (metric)."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType

from buildcheck.record import Record
from buildcheck.units.metric_pitches import nearest_threads, pitches
from buildcheck.units.number import QuantityError, leading_number, quoted, tidy

_INCH = Decimal("0.0254")


def _turns(rows: str) -> dict[Decimal, Decimal]:
    return {leading_number(size)[0]: Decimal(turns) for size, turns in (row.split() for row in rows.split(", "))}


_UNIFIED = re.compile(
    r"(?:(?:#|No\. ?)(?P<number>[0-9]{1,2})"
    r"|(?P<size>[0-9]?\.[0-9]+|[0-9](?:[ -][0-9]{1,2}/[0-9]{1,2})?|[0-9]{1,2}/[0-9]{1,2}))"
    r" ?- ?(?P<turns>[0-9]{1,3}(?:\.5)?)(?: ?(?P<series>UNC|UNF|UNEF|UNS|UN))?(?: ?-? ?[123][AB])?"
)
_METRIC = re.compile(
    r"M(?P<diameter>[0-9]{1,3}(?:\.[0-9]{1,2})?)(?: ?[xX×] ?(?P<pitch>[0-9]{1,3}(?:\.[0-9]{1,3})?))?"
    r"(?: ?- ?[3-9][a-zA-Z](?:[3-9][a-zA-Z])?)?"
)
_TURNS = MappingProxyType(  # series -> diameter in inches -> turns to the inch; ASME B1.1, from memory
    {
        "UNC": _turns("0.164 32, 0.19 24, 1/4 20, 5/16 18, 3/8 16, 7/16 14, 1/2 13, 9/16 12, 5/8 11, 3/4 10"),
        "UNEF": _turns("0.216 32, 1/4 32, 5/16 32, 3/8 32, 7/16 28, 1/2 28, 9/16 24, 5/8 24, 11/16 24, 3/4 20"),
        "UNF": _turns("0.164 36, 0.19 32, 1/4 28, 5/16 24, 3/8 24, 7/16 20, 1/2 20, 9/16 18, 5/8 18, 3/4 16"),
    }
)
_CONSTANT_PITCH = (4, 6, 8, 12, 16, 20, 28, 32)
"""Turns to the inch of the series UN; ASME B1.1, from memory."""
_WHITWORTH = MappingProxyType(  # series -> diameter in inches -> turns to the inch; BS 84, from memory
    {
        "BSF": _turns("3/16 32, 7/32 28, 1/4 26, 9/32 26, 5/16 22, 3/8 20, 7/16 18, 1/2 16, 9/16 16, 5/8 14, 3/4 12"),
        "BSW": _turns("1/8 40, 3/16 24, 1/4 20, 5/16 18, 3/8 16, 7/16 14, 1/2 12, 9/16 12, 5/8 11, 3/4 10"),
    }
)
_BA = MappingProxyType(  # number -> diameter and pitch in mm; BS 93, from memory
    {
        0: ("6.0", "1.00"), 1: ("5.3", "0.90"), 2: ("4.7", "0.81"), 3: ("4.1", "0.73"), 4: ("3.6", "0.66"),
        5: ("3.2", "0.59"), 6: ("2.8", "0.53"),
    }
)  # fmt: skip
_BRITISH = re.compile(
    r"(?P<size>[0-9]{1,2}/[0-9]{1,2}|0?\.[0-9]+)(?: ?in)?(?: ?- ?(?P<turns>[0-9]{1,2}))? ?(?P<series>BSF|BSW)"
)
_NUMBERED_BA = re.compile(r"(?P<number>[0-9]{1,2}) ?BA")
KEPT = 1_024
"""Threads kept once read: a shop's builds repeat them."""
_WANTED = "write it like 3/8-24, #10-32 or M8x1.25"


class Thread(Record):
    """A thread's nominal (major) diameter and its pitch, both in m."""

    diameter: Decimal
    pitch: Decimal
    text: str


@lru_cache(maxsize=KEPT)
def parse_thread(text: str) -> Thread:
    """Read a thread's designation; the tolerance class and the series (UNC, UNF …) may stand behind it.

    Range: diameters of 1 to 100 mm. Errors: a metric size without its pitch, a pitch that no thread of that
    size has, UNC or UNF with the other's pitch.
    Source: ASME B1.1 (inch; numbered sizes are 0.060 in + 0.013 in a number), ISO 261 and ISO 965 (metric).

    BSF, BSW and BA are read too (BS 84 and BS 93, from memory), with or without their turns to the inch.

    >>> parse_thread("M8x1.25").pitch, parse_thread("2 BA").pitch
    (Decimal('0.00125'), Decimal('0.00081'))
    """
    plain = tidy(text)
    if found := _METRIC.fullmatch(plain):
        return _metric(found, text)
    if found := _UNIFIED.fullmatch(plain):
        return _plausible(_unified(found, text))
    if found := _BRITISH.fullmatch(plain):
        return _plausible(_whitworth(found, text))
    if found := _NUMBERED_BA.fullmatch(plain):
        return _plausible(_ba(found, text))
    raise QuantityError(f"{quoted(text)} is not a thread: {_WANTED}{_numbered_hint(plain)}")


def _metric(found: re.Match[str], text: str) -> Thread:
    """Plausible first: what is no thread at all is not compared with those of ISO 261."""
    if found["pitch"] is None:
        raise QuantityError(f"{quoted(text)} has no pitch: write it as M8x1.25")
    diameter, pitch = Decimal(found["diameter"]), Decimal(found["pitch"])
    thread = _plausible(Thread(diameter / 1000, pitch / 1000, text))
    if pitch not in pitches(diameter):
        raise QuantityError(f"{quoted(text)}: ISO 261 has no such pitch; write {nearest_threads(diameter, pitch)}")
    return thread


def _unified(found: re.Match[str], text: str) -> Thread:
    turns = Decimal(found["turns"])
    if not turns:
        raise QuantityError(f"{quoted(text)} has no turns to the inch: {_WANTED}")
    if found["number"]:
        number = int(found["number"])
        if number > 12:
            raise QuantityError(f"{quoted(text)}: numbered sizes go from #0 to #12; {_WANTED}")
        size = Decimal("0.060") + Decimal("0.013") * number
    else:
        size, _ = leading_number(found["size"])
    usual = _TURNS.get(found["series"] or "", {}).get(size, turns)
    if found["series"] == "UN" and turns not in _CONSTANT_PITCH:
        raise QuantityError(f"{quoted(text)}: the series UN has 4, 6, 8, 12, 16, 20, 28 or 32 turns to the inch")
    if turns != usual:
        usual_thread = f"{found['series']} of that size has {usual} turns to the inch"
        raise QuantityError(f"{quoted(text)}: {usual_thread}; one of the two is wrong")
    return Thread(size * _INCH, _INCH / turns, text)


def _whitworth(found: re.Match[str], text: str) -> Thread:
    series, (size, _) = found["series"], leading_number(found["size"])
    turns = _WHITWORTH[series].get(size)
    if turns is None:
        raise QuantityError(f"{quoted(text)}: no {series} thread of that size is known; {_WANTED}")
    if found["turns"] and Decimal(found["turns"]) != turns:
        raise QuantityError(f"{quoted(text)}: {series} of that size has {turns} turns to the inch; one is wrong")
    return Thread(size * _INCH, _INCH / turns, text)


def _ba(found: re.Match[str], text: str) -> Thread:
    sizes = _BA.get(int(found["number"]))
    if sizes is None:
        raise QuantityError(f"{quoted(text)}: BA threads from 0 BA to 6 BA are known; {_WANTED}")
    diameter, pitch = (Decimal(one) / 1000 for one in sizes)
    return Thread(diameter, pitch, text)


def _numbered_hint(plain: str) -> str:
    return f"; a numbered size is #{plain}" if re.match(r"[0-9]{1,2} ?- ?[0-9]", plain) else ""


def _plausible(thread: Thread) -> Thread:
    """Real threads run from 1/30 to 1/3.5 of their diameter: common practice, no published source."""
    if not Decimal("0.001") <= thread.diameter <= Decimal("0.1"):
        raise QuantityError(f"{quoted(thread.text)}: no such diameter on an engine; {_WANTED}")
    if not thread.diameter / 30 <= thread.pitch <= thread.diameter / Decimal("3.5"):
        hint = _numbered_hint(thread.text.strip())
        raise QuantityError(f"{quoted(thread.text)}: no thread of that diameter has that pitch; {_WANTED}{hint}")
    return thread
