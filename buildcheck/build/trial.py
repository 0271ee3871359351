"""The noun of measuring: one trial of a valve at zero lash, as read and as carried over; and a reading that is void."""

from __future__ import annotations

from buildcheck.build.changes import Change
from buildcheck.core.problem import Place
from buildcheck.core.subject import Subject
from buildcheck.core.value import Undecided, Value, exact
from buildcheck.record import Record

ZERO = exact(0.0, "length")


class Carried(Record):
    """What one change since a trial adds to its zero-lash length, m; ``height``: to its height error, m."""

    change: Change
    length: Value
    height: Value


class VoidReading(Record):
    """A trial that counts as not taken: its valve, its number, and why; ``by_change`` of a part, else as entered."""

    subject: Subject
    number: int
    reason: str
    place: Place
    by_change: bool = False


class Trial(Record):
    """One trial at zero lash.

    ``length`` is in the convention of ``measured_as``, corrected for the checker's ends, and as it would be on the
    lifter of the valve's last trial with a length; None for the reason ``length_reason``, and where
    neither length nor turns are written: the mark was made with the pushrod that the valve gets.
    ``carried``: the changes since its ``state`` that its length includes; ``height_then`` and ``lift_less`` keep how
    its pivot and lift differ from today's. ``predicted``: nothing was read, its mark is computed.
    ``across`` is where its mark lies sideways, m from the tip's middle, towards the front of the engine positive.
    ``lone_line`` is the key of a contact line that is written without the other one.
    """

    number: int
    place: Place
    length: Value | None
    length_reason: Undecided
    mark: tuple[Value, Value] | None
    contacts: tuple[Value, Value] | None
    lone_line: str
    shim: Value
    springs: str
    lifter: str
    cup_height: Value | None
    crank_turns: Value | None
    own_shim: bool = False
    cap: Value | None = None
    cap_diameter: Value | None = None
    across: Value | None = None
    feel: str = ""
    gauge: str = ""
    checker: str = ""
    state: str = ""
    carried: tuple[Carried, ...] = ()
    height_then: Value | None = None
    lift_less: Value = ZERO
    predicted: bool = False

    @property
    def pivot_height(self) -> Value:
        """How high the pivot was over the tip, m, as a shim under today's engine would put it."""
        return self.height_then or self.shim

    @property
    def mark_moves(self) -> bool:
        """Whether the engine as it is now would leave another mark than the one read."""
        return abs(self.pivot_height.si - self.shim.si) > 1e-9 or abs(self.lift_less.si) > 1e-9

    @property
    def width_counts(self) -> bool:
        """Whether its mark is as wide as the sweep: a hydraulic lifter gives way while marking."""
        return self.mark is not None and self.lifter != "hydraulic"

    @property
    def shows_height_error(self) -> bool:
        """Whether it shows the pivot's height, by its mark's width or its contact lines."""
        return self.width_counts or self.contacts is not None
