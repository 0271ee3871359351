"""A gross typing error is noticed, but for those that docs/robustness.md lists; a good build gets no warning."""

from __future__ import annotations

from good_builds import warned
from thorough import number, sample
from typing_errors import REASONS, UNNOTICED, TypingError, all_errors, documented, figures, outcome, times
from written_values import BUILDS

ALL = all_errors()


def _key(error: TypingError) -> tuple[str, str]:
    return error.value.field, error.mistake


def test_a_sample_of_typing_errors_is_noticed_unless_the_page_lists_it() -> None:
    tried = ALL[:: number(447, 37)]
    assert len(tried) > 7
    assert {_key(error) for error in tried if outcome(error) == UNNOTICED} <= documented()


def test_the_page_counts_them_all() -> None:
    errors, values, builds, *found, share = figures()
    counted = (len(ALL), len({error.value for error in ALL}), len(BUILDS))
    assert (errors, values, builds) == counted, "run: python tests/robustness/typing_errors.py"
    assert sum(found) == errors
    assert share == round(100 * (1 - found[-1] / errors), 1)
    assert sum(times()) == found[-1]


def test_what_the_page_lists_passes_and_has_a_reason() -> None:
    assert {field for field, _ in documented()} == set(REASONS)
    assert documented() <= {_key(error) for error in ALL}
    for key in sample(sorted(documented()), 3):
        assert any(outcome(error) == UNNOTICED for error in ALL if _key(error) == key), key


def test_good_builds_get_no_warning() -> None:
    assert list(warned(range(number(4, 20)))) == []
