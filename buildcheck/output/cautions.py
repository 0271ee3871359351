"""Safety cautions of the trade, printed with every report and measuring plan: the makers' instructions come first."""

from __future__ import annotations

USUAL = (
    (
        "Before",
        "An engine that starts or turns unexpectedly can injure you. Disconnect battery and ignition, remove the spark "
        "plugs and uncouple the gearbox or propeller. Turn the crank slowly by hand and stop at the first resistance. "
        "Never use the starter while a checking pushrod, checking spring or solid checking lifter is fitted: the "
        "engine can be wrecked. Count every temporary part back out.",
    ),
    (
        "Springs",
        "Compressed springs and valve keepers can fly out and injure you. Wear eye protection. Bring the piston near "
        "top dead centre before you remove a spring so that the valve cannot drop. Keep tools and hardware clear of "
        "open ports.",
    ),
    (
        "Marks",
        "Marks made with light checking springs are not those of the assembled engine. Repeat them with the parts to "
        "be run.",
    ),
    (
        "Preload",
        "After setting preload, wait until the lifters have bled down before you turn the crank (common practice 30 "
        "minutes, longer when cold). A pumped-up lifter can push a valve into a piston.",
    ),
    (
        "Assembly",
        "A wrong assembly can destroy the engine within minutes. Fit new flat lifters with a new cam, each on its own "
        "lobe, and check that every pushrod turns. Use the maker's running-in oil and speed. Fit roller lifters with "
        "their guides. After fitting shims, check the bolt engagement and use the maker's torque. Prime the oil system "
        "and confirm oil at every rocker before you start the engine. In a boat, fuel vapour can explode: ventilate "
        "first.",
    ),
    (
        "Law and people",
        "Changed heads, cams and compression may be governed by local emissions and registration law. If a person's "
        "safety depends on the engine (aircraft, boats, road racing), a licensed or approved person must sign.",
    ),
)
"""Heading and text: common practice, no published source."""

AT_THE_BENCH = USUAL[:3]
"""Those that apply before and while the crank is turned to measure."""
