"""Which quantities of the build or of a valve type are the same on every cylinder."""

from __future__ import annotations

ENGINE_WIDE = frozenset(
    {
        "bank_step",
        "carried_over_alone",
        "cylinders_to_measure",
        "delivered_off_order",
        "delivered_run_out",
        "delivery_tolerance",
        "engagement_least",
        "exhaust_closes",
        "exhaust_opens",
        "gauge_to_step",
        "idle_concessions",
        "implausible_events",
        "implausible_values",
        "inconsistencies",
        "intake_closes",
        "intake_opens",
        "length_gauge_uncertainty",
        "length_spread",
        "length_spread_estimate",
        "lobe_separation",
        "order_risk",
        "overlap",
        "reading_remarks",
        "repeats_worse_than_usual",
        "rocker_torque_least",
        "rocker_torque_most",
        "rockers_without_oil",
        "rods_short",
        "roller_tip",
        "settings_unrecorded",
        "signature",
        "stock_step",
        "tdc_without_stop",
        "torques_unrecorded",
        "warm_check",
    }
)
"""They are of the whole engine, or no file gives what they are computed from for single cylinders."""
