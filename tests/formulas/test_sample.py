"""Mean, median and standard deviation, against the standard library to the last bit."""

from __future__ import annotations

import statistics
from random import Random

from buildcheck.formulas.sample import deviation_of, mean_of, median_of


def test_they_agree_with_the_standard_library() -> None:
    drawn = Random(7)
    for count in range(2, 40):
        for scale in (1e-9, 1e-5, 1.0, 1e3):
            values = [drawn.gauss(0.24, scale) for _ in range(count)]
            assert mean_of(values) == statistics.fmean(values)
            assert median_of(values) == statistics.median(values)
            assert deviation_of(values) == statistics.stdev(values)


def test_readings_that_are_alike_do_not_scatter() -> None:
    assert deviation_of([0.1, 0.1, 0.1]) == 0.0
