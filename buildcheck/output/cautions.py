"""Cautions of the trade, printed with every report and measuring plan: the makers' instructions come first."""

from __future__ import annotations

USUAL = (
    (
        "Before",
        "Disconnect battery and ignition; plugs out; gearbox or propeller uncoupled. Turn slowly by bar and "
        "stop at the first resistance. Never the starter while a checking rod, checking springs or stand-in "
        "lifters are fitted; count them out afterwards. Piston near top dead centre before a spring comes "
        "off; springs are compressed: eye protection. Nothing loose near ports and plungers.",
    ),
    (
        "Marks",
        "With light checking springs they are not the assembled engine's: repeat with the parts to be run.",
    ),
    (
        "Preload",
        "After setting it wait until the lifters have bled down (common practice 30 minutes, longer when "
        "cold) before turning: pumped-up lifters put valves into pistons.",
    ),
    (
        "Assembly",
        "Flat lifters new on a new cam, each on its own lobe, every rod seen to turn, the maker's running-in "
        "oil and speed; roller lifters with their guides. After shims check bolt engagement and the maker's "
        "torque. Prime, and see oil at every rocker before starting. In a boat ventilate fuel vapour first.",
    ),
    (
        "Law and people",
        "Changed heads, cams and compression may be governed by local emissions and registration law. Where a "
        "person's safety rides on the engine (aircraft, boats, road racing) a licensed or approved person "
        "signs.",
    ),
)
"""When, and what to mind: common practice, no published source."""

AT_THE_BENCH = USUAL[:2]
"""Those that count before and while the crank is turned to measure."""
