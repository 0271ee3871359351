"""Every drawing of the documentation by its file name."""

from __future__ import annotations

from collections.abc import Callable

from parts_figures import (
    base_circle,
    concession,
    degree_wheel_figure,
    lash_cap,
    reading_a_mark,
    slack_and_tight,
    stages,
    three_lengths,
    turns,
)
from rocker_figures import contact_lines, fixed_and_free, good_and_bad, pivot_height, roller_and_pad

FIGURES: dict[str, Callable[[], str]] = {
    "base-circle": base_circle,
    "concession": concession,
    "contact-lines": contact_lines,
    "degree-wheel": degree_wheel_figure,
    "fixed-and-free-pivot": fixed_and_free,
    "good-and-bad-mark": good_and_bad,
    "lash-cap": lash_cap,
    "pivot-height": pivot_height,
    "reading-a-mark": reading_a_mark,
    "roller-and-pad-tip": roller_and_pad,
    "slack-and-tight": slack_and_tight,
    "stages": stages,
    "three-lengths": three_lengths,
    "turns": turns,
}
