"""How badly a height error fits the marks and contact lines read on a valve's trials."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from math import copysign
from typing import NamedTuple

from buildcheck.formulas import rocker
from buildcheck.record import Record


class Roller(Record):
    """What is known of a valve's rocker with a roller tip; lengths in m.

    length_per_height: pushrod for each unit of height, 1 + 1/R (None on a fixed mount, where the rod's
    length moves no mark); contact_band: width of ink with nothing moving (None: not measured), u_band its
    standard uncertainty.
    """

    valve_arm: float
    lift: float
    length_per_height: float | None
    contact_band: float | None = None
    u_band: float = 0.0

    @property
    def reach(self) -> float:
        """Nine tenths of the height error at which the arm would point along the valve (m)."""
        return 0.9 * (self.valve_arm - self.lift / 2)


class TrialReadings(Record):
    """One trial's readings; lengths and standard uncertainties in m.

    mark: its edges from the pivot-side edge of the tip; contacts: shut_at and open_at; u_edge: of each
    edge or line read; length with u_length, shim with u_shim; at_edge: the mark ran off, its width is a
    lower bound; lift_less: the valve lift of today's engine less the lift of this trial.
    """

    length: float
    mark: tuple[float, float] | None = None
    contacts: tuple[float, float] | None = None
    u_edge: float = 0.0
    u_length: float = 0.0
    shim: float = 0.0
    u_shim: float = 0.0
    at_edge: bool = False
    lift_less: float = 0.0


class TipDistance(Record):
    """One distance on the tip, the geometry's prediction with its slope, and the height errors that give just it."""

    value: float
    predicted: Callable[[float, float, float], tuple[float, float]]
    exact_at: tuple[float, ...]
    band: float = 0.0
    bound: bool = False


class Fitted(NamedTuple):
    """Chi-square at a height error, and the information on it (1/m^2): 1/u^2 to first order."""

    chi2: float
    information: float


class Misfit:
    """Chi-square of trials over the height error at the last; lengths, shims and band free within their u."""

    def __init__(self, trials: Sequence[TrialReadings], roller: Roller) -> None:
        lines_only = _lines_only(trials, roller)
        self.roller, self.arm = roller, roller.valve_arm
        self.reach, self.band_variance = roller.reach, roller.u_band**2
        self.readings = [list(_readings(trial, roller, lines_only)) for trial in trials]
        self.weights = [_weight(trial) for trial in trials]
        self.steps = [_height_gained(trials[-1], trial, roller) for trial in trials]
        self.freed = [_height_variance(trial, roller) for trial in trials]
        self.lifts = [roller.lift - trial.lift_less for trial in trials]
        if not any(self.readings):
            raise ValueError("no trial of this valve carries a mark or its contact lines")

    def used(self) -> list[int]:
        """The trials on which something was read."""
        return [i for i, rows in enumerate(self.readings) if rows]

    def freedom(self, chosen: Collection[int]) -> int:
        """How many readings the chosen trials have beyond the one that finds the height error."""
        return sum(not reading.bound for i in chosen for reading in self.readings[i]) - 1

    def span(self) -> tuple[float, float]:
        """The least and largest height error at the last trial that keep all within the arm's reach (m)."""
        low = max(-self.reach - step for step in self.steps)
        high = min(self.reach - step for step in self.steps)
        if low >= high:
            raise ValueError("the trials are farther apart than this rocker arm can move")
        return low, high

    def turning_points(self, chosen: Collection[int]) -> list[float]:
        """Ends of the span, and height errors at which a reading fits exactly or turns about."""
        low, high = self.span()
        found = {low, 0.0, high}
        for i in chosen:
            for reading in self.readings[i]:
                found.update(q - self.steps[i] for q in (*reading.exact_at, 0.0))
        return sorted(q for q in found if low <= q <= high)

    def at(self, q: float, chosen: Collection[int]) -> Fitted:
        """Chi-square of the chosen trials at a height error (m) of the last one, and their information on it."""
        rr = ss = rg = sg = gg = 0.0
        for i in chosen:
            own_rr, own_rs, own_ss, own_rg, own_sg, own_gg = self._sums(i, q)
            rest = self.freed[i] / (1 + self.freed[i] * own_ss)
            rr += own_rr - rest * own_rs**2
            ss += own_ss - rest * own_ss**2
            rg += own_rg - rest * own_rs * own_sg
            sg += own_sg - rest * own_ss * own_sg
            gg += own_gg - rest * own_sg**2
        rest = self.band_variance / (1 + self.band_variance * gg)
        return Fitted(max(rr - rest * rg**2, 0.0), max(ss - rest * sg**2, 0.0))

    def chi2(self, q: float, chosen: Collection[int]) -> float:
        """Chi-square of the chosen trials at a height error (m) of the last one, alone."""
        rr = rg = gg = 0.0
        for i in chosen:
            own_rr, own_rg, own_gg = self._band_terms(i, q)
            rr += own_rr
            rg += own_rg
            gg += own_gg
        return self._with_band(rr, rg, gg)

    def without_each(self, q: float, chosen: Sequence[int]) -> list[float]:
        """Chi-square at a height error (m) of the last trial, with each of the chosen trials left out in turn."""
        terms = [self._band_terms(i, q) for i in chosen]
        rr, rg, gg = (sum(term[k] for term in terms) for k in range(3))
        return [self._with_band(rr - left_out[0], rg - left_out[1], gg - left_out[2]) for left_out in terms]

    def _band_terms(self, i: int, q: float) -> tuple[float, float, float]:
        """What one trial adds to the sums of products rr, rg and gg, its length free within its uncertainty."""
        rr, rs, ss, rg, sg, gg = self._sums(i, q)
        rest = self.freed[i] / (1 + self.freed[i] * ss)
        return rr - rest * (rs * rs), rg - rest * rs * sg, gg - rest * (sg * sg)

    def _with_band(self, rr: float, rg: float, gg: float) -> float:
        """Chi-square with the contact band free within its uncertainty."""
        chi2 = rr - self.band_variance / (1 + self.band_variance * gg) * (rg * rg)
        return 0.0 if chi2 < 0.0 else chi2

    def expected(self, i: int, q: float) -> list[tuple[TipDistance, float]]:
        """What each reading of a trial should be at a height error (m) of the last one."""
        arm, lift, here = self.arm, self.lifts[i], min(max(q + self.steps[i], -self.reach), self.reach)
        return [(reading, reading.predicted(arm, lift, here)[0]) for reading in self.readings[i]]

    def _sums(self, i: int, q: float) -> tuple[float, float, float, float, float, float]:
        """Weighted sums of products of one trial's residuals r, slopes s, bands g: rr rs ss rg sg gg."""
        rr = rs = ss = rg = sg = gg = 0.0
        arm, lift, weight, reach, here = self.arm, self.lifts[i], self.weights[i], self.reach, q + self.steps[i]
        if abs(here) > reach:
            here = copysign(reach, here)
        for reading in self.readings[i]:
            predicted, s = reading.predicted(arm, lift, here)
            r = reading.value - predicted
            if reading.bound and r < 0:
                continue
            rr += r * r
            rs += r * s
            ss += s * s
            if g := reading.band:
                rg += r * g
                sg += s * g
                gg += g * g
        return rr * weight, rs * weight, ss * weight, rg * weight, sg * weight, gg * weight


def _lines_only(trials: Sequence[TrialReadings], roller: Roller) -> bool:
    """Whether marks are set aside: their band was not measured, and lines, which need none, were read."""
    return roller.contact_band is None and any(trial.contacts for trial in trials)


def _readings(trial: TrialReadings, roller: Roller, lines_only: bool) -> Iterator[TipDistance]:
    arm, lift = roller.valve_arm, roller.lift - trial.lift_less
    if trial.contacts:
        shut_at, open_at = trial.contacts
        exact = rocker.height_error_from_contacts(arm, lift, shut_at, open_at)
        yield TipDistance(shut_at - open_at, rocker.contacts_and_slope, (exact,))
    if trial.mark and not lines_only:
        width = trial.mark[1] - trial.mark[0] - (roller.contact_band or 0.0)
        exact = rocker.height_error_from_width(arm, lift, width)
        yield TipDistance(width, rocker.width_and_slope, (exact, -exact), 1.0, trial.at_edge)


def _weight(trial: TrialReadings) -> float:
    """Of a distance between two independent lines."""
    if not (trial.mark or trial.contacts):
        return 0.0
    if trial.u_edge <= 0:
        raise ValueError("enter the gauge of the mark: without an uncertainty it cannot be compared")
    return 1 / (2 * trial.u_edge**2)


def _height_gained(last: TrialReadings, trial: TrialReadings, roller: Roller) -> float:
    """How much greater this trial's height error is than the last one's (m)."""
    by_length = (last.length - trial.length) / roller.length_per_height if roller.length_per_height else 0.0
    return by_length + last.shim - trial.shim + (trial.lift_less - last.lift_less) / 2


def _height_variance(trial: TrialReadings, roller: Roller) -> float:
    by_length = trial.u_length / roller.length_per_height if roller.length_per_height else 0.0
    return by_length**2 + trial.u_shim**2
