"""Trials read on a rocker that stands off by a known height error, for the tests of the fit."""

from buildcheck.formulas import rocker
from buildcheck.formulas.height_fit import Roller, TrialReadings

ROLLER = Roller(1.550, 0.560, 1.625, contact_band=0.0)


def read(length, q, roller=ROLLER, band=0.0, u=0.0015, lines=False, noise=None):
    """A trial whose rocker stands off by q, read with the noise given."""
    low, high = rocker.swept(roller.valve_arm, roller.lift, q + roller.lift / 2)
    shut = rocker.contact_position(roller.valve_arm, q + roller.lift / 2, low - 0.120)
    opened = rocker.contact_position(roller.valve_arm, q - roller.lift / 2, low - 0.120)
    blur = noise or (lambda: 0.0)
    mark = (0.120 - band / 2 + blur(), 0.120 + high - low + band / 2 + blur())
    contacts = (shut + blur(), opened + blur()) if lines else None
    return TrialReadings(length, mark, contacts, u)
