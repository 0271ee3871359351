"""Holds a file's nodes against its schema: accepted at once, or refused with all that is wrong, by place."""

from __future__ import annotations

from functools import cache
from typing import Any

from buildcheck.core.problem import Problem
from buildcheck.schema.fast_validator import Accepts, UnknownKeyword, fast_validator
from buildcheck.schema.fields import Schema, load_schema
from buildcheck.yamlio.documents import Node, plain


def validate(name: str, root: Node, file: str) -> list[Problem]:
    """Hold a file's nodes against the schema of that name (``marks``): all that is wrong, by place.

    ``file`` is the file's name as shown; the nodes' own places already carry it.
    """
    data = plain(root)
    return [] if _accepts(name)(data) else _refused(load_schema(name), data, root)


@cache
def _accepts(name: str) -> Accepts:
    try:
        return fast_validator(load_schema(name))
    except UnknownKeyword:
        return lambda data: False


def _refused(schema: Schema, data: Any, root: Node) -> list[Problem]:
    """The validator's word, which is what counts; it takes a while to load, and most files never need it."""
    from buildcheck.schema.error_messages import problems
    from buildcheck.schema.validation_errors import validation_errors

    errors = validation_errors(schema, data)
    return sorted({problem for error in errors for problem in problems(error, root, schema["$defs"])})
