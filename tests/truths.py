"""What is true of the four example engines and stands in none of their files: pushrods, mark centres, pivot heights.

In order: cylinder 1 onwards. Inches, or millimetres for the vee eight and the inline four.
"""

from __future__ import annotations

from math import cos, radians

from simulate import Key, Train, Truth, cap

INCH, MM = 0.0254, 0.001


def _valves(**rows: list[tuple[float, ...]]) -> dict[Key, Truth]:
    return {(cylinder, valve): Truth(*row) for valve, own in rows.items() for cylinder, row in enumerate(own, 1)}


def _stock(first: float, last: float, step: float, unit: float = 1.0) -> tuple[float, ...]:
    return tuple(round((first + n * step) * unit, 6) for n in range(round((last - first) / step) + 1))


LIFT_SIX = {"intake": 0.280 * 1.6, "exhaust": 0.285 * 1.6}
PER_HEIGHT_SIX = cos(radians(4)) + 1 / 1.6
DUNLIN = Train(
    unit=INCH, valve_arm=1.550, ratio=1.6, lift=LIFT_SIX, best={v: lift / 2 for v, lift in LIFT_SIX.items()},
    tip={"intake": 0.310, "exhaust": 0.310}, band=0.012, per_height=PER_HEIGHT_SIX, pivot_free=True,
    hidden=2 * cap(5 / 32, 0.060) + (1.905 - 1.890), shim=0.0,
    rod_adds=dict.fromkeys(LIFT_SIX, 0.5 / 24 * (1 + 1 / 1.6)), room=0.050 * PER_HEIGHT_SIX,
    stock=_stock(9.000, 9.900, 0.050), stated_less=2 * cap(5 / 32, 0.120),
    measured_less=2 * cap(5 / 32, 0.080),
    valves=_valves(
        intake=[(9.441, 0.004), (9.447, -0.003), (9.444, 0.006), (9.449, 0.002), (9.443, 0.0), (9.438, -0.005)],
        exhaust=[(9.450, 0.009), (9.446, 0.003), (9.453, 0.011), (9.449, 0.005), (9.444, -0.002), (9.447, 0.007)],
    ),
)  # fmt: skip

LIFT_EIGHT = {"intake": 7.40 * 1.7, "exhaust": 7.50 * 1.7}
VEE_EIGHT = Train(
    unit=MM, valve_arm=39.0, ratio=1.7, lift=LIFT_EIGHT, best={v: lift / 2 for v, lift in LIFT_EIGHT.items()},
    tip={"intake": 7.00, "exhaust": 7.00}, band=0.30, per_height=cos(radians(6)) + 1 / 1.7, pivot_free=False,
    hidden=2 * cap(3.97, 2.0), shim=0.75, rod_adds=dict.fromkeys(LIFT_EIGHT, 1.00), room=0.5 - 0.12,
    stock=_stock(185.0, 200.0, 0.5), stated_less=0.0, measured_less=2 * cap(3.97, 2.0),
    valves=_valves(
        intake=[
            (190.93, 0.14, 0.22), (190.99, 0.10, 0.30), (190.95, 0.18, 0.25), (191.01, 0.12, 0.18),
            (191.04, 0.08, 0.20), (191.09, 0.15, 0.26), (191.02, 0.20, 0.31), (191.06, 0.11, 0.24),
        ],
        exhaust=[
            (191.92, -0.12, 0.12), (191.97, -0.06, 0.05), (191.99, -0.10, 0.16), (191.94, -0.15, 0.10),
            (192.05, -0.08, 0.08), (192.01, -0.11, 0.14), (192.08, -0.05, 0.02), (192.03, -0.13, 0.11),
        ],
    ),
)  # fmt: skip

LIFT_FLAT = {"intake": 0.300 * 1.4, "exhaust": 0.305 * 1.4}
FLAT_FOUR = Train(
    unit=INCH, valve_arm=1.420, ratio=1.4, lift=LIFT_FLAT, best={v: lift / 2 for v, lift in LIFT_FLAT.items()},
    tip={"intake": 0.340, "exhaust": 0.340}, band=0.014, per_height=cos(radians(3)) + 1 / 1.4, pivot_free=False,
    hidden=0.0, shim=0.030, rod_adds={"intake": 0.020 - 0.015 / 1.4, "exhaust": 0.020 - 0.018 / 1.4}, room=0.100,
    stock=_stock(10.400, 10.900, 0.025), stated_less=0.0, measured_less=0.0,
    valves=_valves(
        intake=[(10.588, 0.006, -0.010), (10.594, 0.003, -0.004), (10.590, 0.008, -0.007), (10.597, 0.004, 0.0)],
        exhaust=[(10.592, -0.004, 0.012), (10.599, 0.002, 0.006), (10.595, -0.007, 0.009), (10.601, 0.001, 0.015)],
    ),
)  # fmt: skip

LIFT_PAD_TIP = {"intake": 6.50 * 1.5, "exhaust": 6.60 * 1.5}
PER_HEIGHT_PAD_TIP = cos(radians(5)) + 1 / 1.5
INLINE_FOUR = Train(
    unit=MM, valve_arm=36.0, ratio=1.5, lift=LIFT_PAD_TIP, best={"intake": 17.6, "exhaust": 17.8},
    tip={"intake": 7.20, "exhaust": 7.20}, band=0.60, per_height=PER_HEIGHT_PAD_TIP, pivot_free=True,
    hidden=2 * cap(3.97, 2.0), shim=0.0, rod_adds=dict.fromkeys(LIFT_PAD_TIP, 0.5 * 1.25 * (1 + 1 / 1.5)), room=2.5,
    stock=_stock(7.500, 8.300, 0.050, 25.4), stated_less=2 * cap(3.97, 3.556),
    measured_less=2 * cap(3.97, 2.0),
    valves=_valves(
        intake=[(199.92, 0.0), (200.06, 0.0), (200.01, 0.0), (199.88, 0.0)],
        exhaust=[(200.11, 0.0), (199.97, 0.0), (200.14, 0.0), (200.05, 0.0)],
    ),
)  # fmt: skip
