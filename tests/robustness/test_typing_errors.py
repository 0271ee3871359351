"""A gross typing error is noticed, but for those that docs/robustness.md lists; a good build gets no warning."""

from __future__ import annotations

from good_builds import warned
from typing_errors import REASONS, UNNOTICED, TypingError, all_errors, documented, outcome

ALL = all_errors()


def _key(error: TypingError) -> tuple[str, str]:
    return error.value.field, error.mistake


def test_a_sample_of_typing_errors_is_noticed_unless_the_page_lists_it() -> None:
    sample = ALL[::61]
    assert len(sample) > 50
    assert {_key(error) for error in sample if outcome(error) == UNNOTICED} <= documented()


def test_what_the_page_lists_passes_and_has_a_reason() -> None:
    one_of_each = {_key(error): error for error in reversed(ALL) if _key(error) in documented()}
    assert one_of_each.keys() == documented()
    assert {field for field, _ in documented()} == set(REASONS)
    noticed = {key for key, error in list(one_of_each.items())[::3] if outcome(error) != UNNOTICED}
    assert noticed == set()


def test_good_builds_get_no_warning() -> None:
    assert list(warned(range(25))) == []
