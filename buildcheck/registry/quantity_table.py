"""All named quantities: one line each. Rules, report and JSON have whatever stands here."""

from __future__ import annotations

from types import MappingProxyType

from buildcheck.build.facts import Quantity
from buildcheck.quantities import as_built_log as fitted
from buildcheck.quantities import base_circle_window as heels
from buildcheck.quantities import cam_events as events
from buildcheck.quantities import carried_marks as carried
from buildcheck.quantities import consistency, gauges, geometry, lengths, marks, valvetrain
from buildcheck.quantities import cylinder_volumes as compression
from buildcheck.quantities import implausible_values as plausibility
from buildcheck.quantities import mark_placement as placement
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
        "adjuster_stand": Quantity("valve", "length", chosen.adjuster_stand, "Screw, from where it should stand"),
        "bank_step": Quantity("valve_type", "length", spread.bank_step, "Step between banks"),
        "both_shut_from": Quantity("cylinder", "angle", heels.both_shut_from, "Both valves shut, from"),
        "both_shut_to": Quantity("cylinder", "angle", heels.both_shut_to, "Both valves shut, to"),
        "chosen_length": Quantity("valve", "length", chosen.chosen_length, "Push rod length chosen"),
        "coil_bind_clearance": Quantity("valve_type", "length", valvetrain.coil_bind_clearance, "Coil-bind clearance"),
        "compression_ratio": Quantity("build", "ratio", compression.compression_ratio, "Compression ratio"),
        "crank_turns": Quantity("valve", "count", marks.crank_turns, "Turns of the crank for a mark"),
        "cylinders_to_measure": Quantity(
            "valve_type", "count", spread.cylinders_to_measure, "Cylinders or banks still to measure"
        ),
        "delivered_off_order": Quantity("build", "length", asbuilt.delivered_off_order, "Delivered rod off its order"),
        "delivered_run_out": Quantity("build", "length", asbuilt.delivered_run_out, "Run-out of delivered rods"),
        "delivery_tolerance": Quantity(
            "build", "length", asbuilt.delivery_tolerance, "Tolerance of delivered rods", listed=False
        ),
        "displacement": Quantity("build", "volume", compression.displacement, "Displacement"),
        "dynamic_compression_ratio": Quantity(
            "build", "ratio", compression.dynamic_compression_ratio, "Compression ratio from the intake's closing"
        ),
        "engagement": Quantity("valve", "ratio", fitted.engagement, "Thread engagement, in diameters"),
        "engagement_least": Quantity(
            "build", "ratio", fitted.engagement_least, "Least thread engagement, in diameters", listed=False
        ),
        "exhaust_closes": Quantity("build", "angle", events.exhaust_closes, "Exhaust closes, after TDC"),
        "exhaust_opens": Quantity("build", "angle", events.exhaust_opens, "Exhaust opens, before BDC"),
        "firing_tdc": Quantity("cylinder", "angle", events.firing_tdc, "Firing TDC, after cylinder 1's"),
        "gap_growth": Quantity("valve_type", "length", growth.gap_growth, "Growth of the gap at the push rod, hot"),
        "gauge_to_step": Quantity("build", "ratio", gauges.gauge_to_step, "Length gauge over stock step", listed=False),
        "heel_from": Quantity("valve", "angle", heels.heel_from, "On the heel, from"),
        "heel_margin": Quantity("valve", "angle", heels.heel_margin, "Crank from the reading to the heel's end"),
        "heel_middle": Quantity("valve", "angle", heels.heel_middle, "Middle of the heel"),
        "heel_to": Quantity("valve", "angle", heels.heel_to, "On the heel, to"),
        "height_error": Quantity("valve", "length", geometry.height_error, "Pivot below its best height"),
        "idle_concessions": Quantity("build", "count", team.idle_concessions, "Concessions that cover nothing"),
        "implausible_events": Quantity("build", "count", events.implausible_events, "Implausible cam events"),
        "implausible_values": Quantity("build", "count", plausibility.implausible_values, "Values that do not fit"),
        "inconsistencies": Quantity("build", "count", consistency.inconsistencies, "Contradictions in the files"),
        "intake_closes": Quantity("build", "angle", events.intake_closes, "Intake closes, after BDC"),
        "intake_opens": Quantity("build", "angle", events.intake_opens, "Intake opens, before TDC"),
        "lash": Quantity("valve", "length", chosen.lash, "Lash at the valve"),
        "lash_hot": Quantity("valve", "length", growth.lash_hot, "Lash at the valve, hot"),
        "lash_tolerance": Quantity("build", "length", chosen.lash_tolerance, "Tolerance of the lash", listed=False),
        "lash_turns": Quantity("valve_type", "ratio", solid.lash_turns, "Turns of the adjuster that the lash takes"),
        "length_asked": Quantity("valve", "length", lengths.length_asked, "Push rod length asked"),
        "length_change_for_mark": Quantity(
            "valve", "length", geometry.length_change_for_mark, "Change of length that the mark asks for"
        ),
        "length_misfit": Quantity("valve", "length", chosen.length_misfit, "Length outside what the valve allows"),
        "length_outlier": Quantity("valve", "count", spread.length_outlier, "Length that does not belong"),
        "length_spread": Quantity("valve_type", "length", spread.length_spread, "Spread of lengths asked"),
        "length_spread_estimate": Quantity(
            "valve_type", "length", spread.length_spread_estimate, "Expected spread of required lengths"
        ),
        "lines_off_mark": Quantity("valve", "length", marks.lines_off_mark, "Contact line outside its mark"),
        "lobe_separation": Quantity("build", "angle", events.lobe_separation, "Lobe separation"),
        "mark_edge_margin": Quantity("valve", "length", marks.mark_edge_margin, "Mark to the tip's edge"),
        "mark_moved": Quantity("valve", "count", agreement.mark_moved, "Mark moved under a fixed pivot"),
        "mark_offset": Quantity("valve", "length", marks.mark_offset, "Mark's centre from the tip's"),
        "mark_position": Quantity("valve", "length", placement.mark_position, "Mark's side, and what it tells"),
        "mark_width": Quantity("valve", "length", marks.mark_width, "Mark's width"),
        "mark_width_least": Quantity("valve_type", "length", geometry.mark_width_least, "Narrowest possible mark"),
        "mark_width_running": Quantity("valve_type", "length", solid.mark_width_running, "Narrowest sweep with lash"),
        "offset_at_narrowest": Quantity(
            "valve", "length", placement.offset_at_narrowest, "Mark's centre once at its narrowest"
        ),
        "open_force_most": Quantity(
            "valve_type", "force", springs.open_force_most, "Most open force, by the card", listed=False
        ),
        "order_risk": Quantity("build", "ratio", chosen.order_risk, "Chance that a pushrod does not suit its valve"),
        "overlap": Quantity("build", "angle", events.overlap, "Valve overlap"),
        "predicted_mark_far": Quantity(
            "valve", "length", carried.predicted_mark_far, "Far edge of the predicted mark", listed=False
        ),
        "predicted_mark_near": Quantity(
            "valve", "length", carried.predicted_mark_near, "Near edge of the predicted mark", listed=False
        ),
        "predicted_length": Quantity("valve_type", "length", prediction.predicted_length, "Predicted length"),
        "prediction_misfit": Quantity(
            "valve", "length", prediction.prediction_misfit, "Measured off predicted, beyond both uncertainties"
        ),
        "preload": Quantity("valve", "length", chosen.preload, "Lifter preload"),
        "preload_by_bolt": Quantity("valve_type", "length", geometry.preload_by_bolt, "Preload by the bolt's turns"),
        "preload_hot": Quantity("valve", "length", growth.preload_hot, "Lifter preload, hot"),
        "preload_per_turn": Quantity("valve_type", "length", geometry.preload_per_turn, "Preload per turn"),
        "pushrod_buckling_factor": Quantity(
            "valve_type", "ratio", valvetrain.pushrod_buckling_factor, "Factor against buckling"
        ),
        "pushrod_load": Quantity("valve_type", "force", valvetrain.pushrod_load, "Push rod load, static"),
        "quench": Quantity("build", "length", compression.quench, "Quench"),
        "repeat_range": Quantity("valve", "length", lengths.repeat_range, "Range of repeated zero-lash lengths"),
        "retainer_contact": Quantity("valve_type", "count", marks.retainer_contact, "Rocker touches the retainer"),
        "retainer_to_seal_clearance": Quantity(
            "valve_type", "length", valvetrain.retainer_to_seal_clearance, "Retainer to seal"
        ),
        "rocker_torque": Quantity("valve", "torque", fitted.rocker_torque, "Rocker torque"),
        "rocker_torque_least": Quantity(
            "build", "torque", fitted.rocker_torque_least, "Least rocker torque", listed=False
        ),
        "rocker_torque_most": Quantity(
            "build", "torque", fitted.rocker_torque_most, "Most rocker torque", listed=False
        ),
        "rockers_without_oil": Quantity("build", "count", fitted.rockers_without_oil, "Rockers without oil seen"),
        "rod_length_overall": Quantity("valve_type", "length", chosen.rod_length_overall, "Overall length of rod"),
        "rods_short": Quantity("build", "count", asbuilt.rods_short, "Rods needed and not delivered"),
        "roller_tip": Quantity("build", "count", marks.roller_tip, "1 for a roller tip, 0 for a pad tip"),
        "seat_force": Quantity("valve_type", "force", springs.seat_force, "Spring force shut"),
        "seat_force_least": Quantity(
            "valve_type", "force", springs.seat_force_least, "Least seat force, by the card", listed=False
        ),
        "seat_force_most": Quantity(
            "valve_type", "force", springs.seat_force_most, "Most seat force, by the card", listed=False
        ),
        "settings_unrecorded": Quantity("build", "count", fitted.settings_unrecorded, "Settings not recorded"),
        "shim_for_mark": Quantity("valve", "length", geometry.shim_for_mark, "Shim that the mark asks for"),
        "signature": Quantity("build", "count", fitted.signature, "Signed"),
        "solid_height_misfit": Quantity(
            "valve_type", "length", springs.solid_height_misfit, "Coil-bind height against wire and coils", listed=False
        ),
        "spring_force_open": Quantity("valve_type", "force", valvetrain.spring_force_open, "Spring force open"),
        "spring_load_loss": Quantity(
            "valve_type", "ratio", springs.spring_load_loss, "Load that the spring has lost", listed=False
        ),
        "spring_rate": Quantity("valve_type", "rate", springs.spring_rate, "Spring rate"),
        "spring_rate_misfit": Quantity(
            "valve_type", "ratio", springs.spring_rate_misfit, "Spring rate written against its two loads", listed=False
        ),
        "stand_ins": Quantity("valve", "count", marks.stand_ins, "Stand-ins in the last trial"),
        "tip_diameter": Quantity("valve_type", "length", marks.tip_diameter, "Diameter that the rocker may touch"),
        "torques_unrecorded": Quantity("build", "count", fitted.torques_unrecorded, "Rocker torques not recorded"),
        "trials_in_doubt": Quantity("valve", "count", agreement.trials_in_doubt, "Trials that contradict each other"),
        "valve_lift": Quantity("valve_type", "length", valvetrain.valve_lift, "Valve lift"),
        "valve_measured": Quantity("valve", "count", spread.valve_measured, "Valve measured"),
        "warm_check": Quantity("build", "count", fitted.warm_check, "Gone over warm"),
        "zero_lash_length": Quantity("valve", "length", lengths.zero_lash_length, "Zero-lash length"),
        "zero_lash_length_to_run": Quantity(
            "valve", "length", lengths.zero_lash_length_to_run, "Zero-lash length with the lifter to be run"
        ),
    }
)
