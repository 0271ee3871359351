"""All named quantities: one line each. Rules, report and JSON have whatever is listed here."""

from __future__ import annotations

from types import MappingProxyType

from buildcheck.build.facts import Quantity
from buildcheck.ordering import assumed_risk as risk
from buildcheck.quantities import as_built_log as fitted
from buildcheck.quantities import base_circle_window as heels
from buildcheck.quantities import cam_events as events
from buildcheck.quantities import carried_marks as carried
from buildcheck.quantities import (
    consistency,
    engine_states,
    gauges,
    lengths,
    marks,
    pivot_height,
    pivot_motion,
    thread_turns,
    valvetrain,
)
from buildcheck.quantities import cylinder_volumes as compression
from buildcheck.quantities import implausible_values as plausibility
from buildcheck.quantities import mark_placement as placement
from buildcheck.quantities import measured_motion as motion
from buildcheck.quantities import piston_gap as piston
from buildcheck.quantities import predicted_length as prediction
from buildcheck.quantities import solid_lifters as solid
from buildcheck.quantities import trial_agreement as agreement
from buildcheck.quantities import valve_springs as springs
from buildcheck.quantities import warm_engine as growth
from buildcheck.registry import chosen_length as chosen
from buildcheck.registry import concession_use as team
from buildcheck.registry import delivered as asbuilt
from buildcheck.registry import length_spread as spread

QUANTITIES = MappingProxyType(
    {
        "adjuster_stand": Quantity("valve", "length", chosen.adjuster_position, "Screw from its required position"),
        "advance_error": Quantity("cylinder", "angle", motion.advance_error, "Cam advance, measured minus entered"),
        "bank_step": Quantity("valve_type", "length", spread.bank_step, "Length difference between banks"),
        "both_shut_from": Quantity("cylinder", "angle", heels.both_shut_from, "Both valves closed, from"),
        "both_shut_to": Quantity("cylinder", "angle", heels.both_shut_to, "Both valves closed, to"),
        "carried_over_alone": Quantity(
            "valve_type", "count", engine_states.carried_over_alone, "Valve types with carried-over lengths alone"
        ),
        "chosen_length": Quantity("valve", "length", chosen.chosen_length, "Chosen pushrod length"),
        "coil_bind_clearance": Quantity("valve_type", "length", valvetrain.coil_bind_clearance, "Coil-bind clearance"),
        "compression_ratio": Quantity("build", "ratio", compression.compression_ratio, "Compression ratio"),
        "crank_turns": Quantity("valve", "count", marks.crank_turns, "Turns of the crank for a mark"),
        "cylinders_to_measure": Quantity(
            "valve_type", "count", spread.cylinders_to_measure, "Cylinders or banks still to measure"
        ),
        "delivered_off_order": Quantity(
            "build", "length", asbuilt.delivered_off_order, "Delivered pushrod length minus order"
        ),
        "delivered_run_out": Quantity("build", "length", asbuilt.delivered_run_out, "Run-out of delivered pushrods"),
        "delivery_tolerance": Quantity(
            "build", "length", asbuilt.delivery_tolerance, "Length tolerance of delivered pushrods", listed=False
        ),
        "displacement": Quantity("build", "volume", compression.displacement, "Displacement"),
        "dynamic_compression_ratio": Quantity(
            "build", "ratio", compression.dynamic_compression_ratio, "Dynamic compression ratio"
        ),
        "drop_misfit": Quantity("valve", "length", piston.drop_misfit, "Drop off the predicted one, beyond U"),
        "engagement": Quantity("valve", "ratio", fitted.engagement, "Thread engagement, in diameters"),
        "engagement_least": Quantity(
            "build", "ratio", fitted.engagement_least, "Required thread engagement, in diameters", listed=False
        ),
        "exhaust_closes": Quantity("build", "angle", events.exhaust_closes, "Exhaust closes, after TDC"),
        "exhaust_opens": Quantity("build", "angle", events.exhaust_opens, "Exhaust opens, before BDC"),
        "firing_tdc": Quantity("cylinder", "angle", events.firing_tdc, "Firing TDC after that of cylinder 1"),
        "gap_growth": Quantity("valve_type", "length", growth.gap_growth, "Growth of the pushrod gap, hot"),
        "gauge_to_step": Quantity("build", "ratio", gauges.gauge_to_step, "Length gauge over stock step", listed=False),
        "heel_from": Quantity("valve", "angle", heels.heel_from, "Base circle, from"),
        "heel_margin": Quantity(
            "valve", "angle", heels.heel_margin, "Crank angle from the reading to the end of the base circle"
        ),
        "heel_middle": Quantity("valve", "angle", heels.heel_middle, "Middle of the base circle"),
        "heel_to": Quantity("valve", "angle", heels.heel_to, "Base circle, to"),
        "height_error": Quantity("valve", "length", pivot_height.height_error, "Pivot below mid-lift height"),
        "idle_concessions": Quantity("build", "count", team.idle_concessions, "Unused concessions"),
        "implausible_events": Quantity("build", "count", events.implausible_events, "Implausible cam events"),
        "implausible_values": Quantity("build", "count", plausibility.implausible_values, "Values that do not fit"),
        "inconsistencies": Quantity("build", "count", consistency.inconsistencies, "Contradictions in the files"),
        "intake_closes": Quantity("build", "angle", events.intake_closes, "Intake closes, after BDC"),
        "intake_opens": Quantity("build", "angle", events.intake_opens, "Intake opens, before TDC"),
        "lash": Quantity("valve", "length", chosen.lash, "Lash at the valve"),
        "lash_hot": Quantity("valve", "length", growth.lash_hot, "Lash at the valve, hot"),
        "lash_tolerance": Quantity("build", "length", chosen.lash_tolerance, "Tolerance of the lash", listed=False),
        "lash_turns": Quantity("valve_type", "ratio", solid.lash_turns, "Adjuster turns for the lash"),
        "length_asked": Quantity("valve", "length", lengths.length_asked, "Required pushrod length"),
        "length_change_for_mark": Quantity(
            "valve", "length", pivot_motion.length_change_for_mark, "Pushrod length change for the mark"
        ),
        "length_gauge_uncertainty": Quantity(
            "build", "length", gauges.length_gauge_uncertainty, "Length gauge uncertainty", listed=False
        ),
        "length_misfit": Quantity(
            "valve", "length", chosen.length_misfit, "Length outside the allowed range of the valve"
        ),
        "length_outlier": Quantity("valve", "count", spread.length_outlier, "Outlier among the lengths"),
        "length_spread": Quantity("valve_type", "length", spread.length_spread, "Spread of required lengths"),
        "length_spread_estimate": Quantity(
            "valve_type", "length", spread.length_spread_estimate, "Expected spread of required lengths"
        ),
        "lift_faults": Quantity("valve", "count", motion.lift_faults, "Lift readings that do not fit", listed=False),
        "lift_lost": Quantity("valve", "length", motion.lift_lost, "Lift lost, calculated minus measured"),
        "lines_off_mark": Quantity("valve", "length", marks.lines_off_mark, "Contact line outside the mark"),
        "lobe_separation": Quantity("build", "angle", events.lobe_separation, "Lobe separation"),
        "lobe_separation_error": Quantity(
            "cylinder", "angle", motion.lobe_separation_error, "Lobe separation, measured minus cam card"
        ),
        "mark_across": Quantity("valve", "length", placement.mark_across, "Mark centre sideways, to the front"),
        "mark_edge_margin": Quantity("valve", "length", marks.mark_edge_margin, "Mark to the valve tip edge"),
        "mark_moved": Quantity("valve", "count", agreement.mark_moved, "Mark moved although the pivot is fixed"),
        "mark_offset": Quantity("valve", "length", marks.mark_offset, "Mark centre from the tip centre"),
        "mark_position": Quantity("valve", "length", placement.mark_position, "Side of the mark"),
        "mark_width": Quantity("valve", "length", marks.mark_width, "Mark width"),
        "mark_width_least": Quantity("valve_type", "length", pivot_height.mark_width_least, "Narrowest possible mark"),
        "mark_width_running": Quantity("valve_type", "length", solid.mark_width_running, "Narrowest sweep with lash"),
        "measured_advance": Quantity("cylinder", "angle", motion.measured_advance, "Measured cam advance"),
        "measured_centreline": Quantity("valve", "angle", motion.measured_centreline, "Measured lobe centreline"),
        "measured_lift": Quantity("valve", "length", motion.measured_lift, "Measured valve lift"),
        "measured_lifter_lift": Quantity("valve", "length", motion.measured_lifter_lift, "Measured lifter lift"),
        "measured_ratio": Quantity("valve", "ratio", motion.measured_ratio, "Measured rocker ratio"),
        "offset_at_narrowest": Quantity(
            "valve", "length", placement.offset_at_narrowest, "Mark centre at its narrowest"
        ),
        "open_force_most": Quantity(
            "valve_type", "force", springs.open_force_most, "Maximum open force, cam card", listed=False
        ),
        "order_risk": Quantity(
            "build", "ratio", risk.accepted_order_risk, "Chance that any unmeasured valve needs another length"
        ),
        "overlap": Quantity("build", "angle", events.overlap, "Valve overlap"),
        "piston_gap_at": Quantity(
            "valve", "angle", piston.piston_gap_at, "Crank angle of the minimum piston gap", listed=False
        ),
        "piston_gap_least": Quantity(
            "valve", "length", piston.piston_gap_least, "Minimum piston gap over the curve", found_at="piston_gap_at"
        ),
        "piston_gap_limit": Quantity(
            "valve", "length", piston.piston_gap_limit, "Limit of the piston gap", listed=False
        ),
        "predicted_mark_far": Quantity(
            "valve", "length", carried.predicted_mark_far, "Far edge of the predicted mark", listed=False
        ),
        "predicted_mark_near": Quantity(
            "valve", "length", carried.predicted_mark_near, "Near edge of the predicted mark", listed=False
        ),
        "predicted_length": Quantity("valve_type", "length", prediction.predicted_length, "Predicted length"),
        "prediction_misfit": Quantity(
            "valve", "length", prediction.prediction_misfit, "Measured minus predicted, beyond both uncertainties"
        ),
        "preload": Quantity("valve", "length", chosen.preload, "Lifter preload"),
        "preload_by_bolt": Quantity("valve_type", "length", thread_turns.preload_by_bolt, "Preload from bolt turns"),
        "preload_hot": Quantity("valve", "length", growth.preload_hot, "Lifter preload, hot"),
        "preload_per_turn": Quantity("valve_type", "length", thread_turns.preload_per_turn, "Preload per turn"),
        "pushrod_buckling_factor": Quantity(
            "valve_type", "ratio", valvetrain.pushrod_buckling_factor, "Buckling safety factor"
        ),
        "pushrod_load": Quantity("valve_type", "force", valvetrain.pushrod_load, "Static pushrod load"),
        "quench": Quantity("build", "length", compression.quench, "Quench"),
        "ratio_error": Quantity("valve", "ratio", motion.ratio_error, "Rocker ratio off the stated one", listed=False),
        "reading_remarks": Quantity("build", "count", engine_states.reading_remarks, "Remarks on dates and states"),
        "repeat_range": Quantity("valve", "length", lengths.repeat_range, "Range of repeated zero-lash lengths"),
        "repeats_worse_than_usual": Quantity(
            "build", "count", spread.repeats_worse_than_usual, "Repeats that scatter more than usual"
        ),
        "retainer_contact": Quantity("valve_type", "count", marks.retainer_contact, "Rocker touches the retainer"),
        "retainer_to_seal_clearance": Quantity(
            "valve_type", "length", valvetrain.retainer_to_seal_clearance, "Retainer to seal"
        ),
        "rocker_torque": Quantity("valve", "torque", fitted.rocker_torque, "Rocker torque"),
        "rocker_torque_least": Quantity(
            "build", "torque", fitted.rocker_torque_least, "Minimum rocker torque", listed=False
        ),
        "rocker_torque_most": Quantity(
            "build", "torque", fitted.rocker_torque_most, "Maximum rocker torque", listed=False
        ),
        "rockers_without_oil": Quantity("build", "count", fitted.rockers_without_oil, "Rockers without oil seen"),
        "rod_length_overall": Quantity("valve_type", "length", chosen.rod_length_overall, "Overall pushrod length"),
        "rods_short": Quantity("build", "count", asbuilt.rods_short, "Pushrods still to be delivered"),
        "roller_tip": Quantity("build", "count", marks.roller_tip, "1 for a roller tip, 0 for a pad tip"),
        "seat_force": Quantity("valve_type", "force", springs.seat_force, "Spring force, valve closed"),
        "seat_force_least": Quantity(
            "valve_type", "force", springs.seat_force_least, "Minimum seat force, cam card", listed=False
        ),
        "seat_force_most": Quantity(
            "valve_type", "force", springs.seat_force_most, "Maximum seat force, cam card", listed=False
        ),
        "settings_unrecorded": Quantity("build", "count", fitted.settings_unrecorded, "Settings not recorded"),
        "shim_for_mark": Quantity("valve", "length", pivot_motion.shim_for_mark, "Shim for the mark"),
        "signature": Quantity("build", "count", fitted.signature, "Signed"),
        "solid_height_misfit": Quantity(
            "valve_type",
            "length",
            springs.solid_height_misfit,
            "Coil-bind height, measured minus calculated",
            listed=False,
        ),
        "spring_force_open": Quantity("valve_type", "force", valvetrain.spring_force_open, "Spring force, valve open"),
        "spring_load_loss": Quantity("valve_type", "ratio", springs.spring_load_loss, "Spring load lost", listed=False),
        "spring_rate": Quantity("valve_type", "rate", springs.spring_rate, "Spring rate"),
        "spring_rate_misfit": Quantity(
            "valve_type", "ratio", springs.spring_rate_misfit, "Spring rate, entered minus calculated", listed=False
        ),
        "stand_ins": Quantity("valve", "count", marks.stand_ins, "Checking parts in the last trial"),
        "stock_step": Quantity("build", "length", gauges.stock_step, "Step between stock lengths", listed=False),
        "tdc_without_stop": Quantity(
            "build", "count", motion.tdc_without_stop, "TDC not found by a stop", listed=False
        ),
        "tip_diameter": Quantity("valve_type", "length", marks.tip_diameter, "Diameter clear of the rocker"),
        "torques_unrecorded": Quantity("build", "count", fitted.torques_unrecorded, "Rocker torques not recorded"),
        "trials_in_doubt": Quantity("valve", "count", agreement.trials_in_doubt, "Trials that contradict each other"),
        "valve_lift": Quantity("valve_type", "length", valvetrain.valve_lift, "Valve lift"),
        "valve_measured": Quantity("valve", "count", spread.valve_measured, "Valve measured"),
        "warm_check": Quantity("build", "count", fitted.warm_check, "Checked warm"),
        "zero_lash_length": Quantity("valve", "length", lengths.zero_lash_length, "Zero-lash length"),
        "zero_lash_length_to_run": Quantity(
            "valve", "length", lengths.zero_lash_length_to_run, "Zero-lash length with the running lifter"
        ),
    }
)
