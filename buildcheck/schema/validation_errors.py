"""What the JSON Schema validator refuses in a file, with our formats and plausible ranges."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache, partial
from typing import Any, cast

from jsonschema import Draft202012Validator, FormatChecker, ValidationError
from jsonschema.validators import extend
from referencing import Registry

from buildcheck.schema.fast_validator import is_integer, is_number
from buildcheck.schema.fields import Schema
from buildcheck.schema.plausible_range import implausible, too_uncertain
from buildcheck.units.quantity import KINDS, QuantityError, check_format


def validation_errors(schema: Schema, data: Any) -> Iterator[ValidationError]:
    """All that a schema refuses in plain data."""
    # an explicit registry: without one, a reference with a scheme would be fetched
    validator = _checking()(schema, registry=Registry(), format_checker=_formats())
    yield from validator.iter_errors(data)


@cache
def _checking() -> Callable[..., Draft202012Validator]:
    numbers = {"number": lambda checker, value: is_number(value), "integer": lambda checker, value: is_integer(value)}
    strict = Draft202012Validator.TYPE_CHECKER.redefine_many(numbers)
    kind = extend(Draft202012Validator, {"x-plausible": _plausible, "x-uncertainty": _uncertain}, type_checker=strict)  # type: ignore[no-untyped-call]
    return cast("Callable[..., Draft202012Validator]", kind)


@cache
def _formats() -> FormatChecker:
    checker = FormatChecker(formats=())
    for kind in KINDS:
        checker.checks(kind, raises=QuantityError)(partial(_is_quantity, kind))
    return checker


def _is_quantity(kind: str, value: object) -> bool:
    if isinstance(value, str):
        check_format(kind, value)
    return True


def _plausible(
    validator: Draft202012Validator, usual: list[str], value: object, schema: Schema
) -> Iterator[ValidationError]:
    if isinstance(value, str):
        low, high = usual
        zero = schema.get("x-zero", False)
        if message := implausible(value, schema["format"], schema["title"], (low, high), zero):
            yield ValidationError(message)


def _uncertain(validator: Draft202012Validator, most: str, value: object, schema: Schema) -> Iterator[ValidationError]:
    if isinstance(value, str) and (message := too_uncertain(value, schema["format"], schema["title"], most)):
        yield ValidationError(message)
