"""Frozen records with named fields, as ``dataclasses`` makes them, for a program that starts before every commit.

Decorating our dataclasses and importing ``dataclasses`` took a third of a cold check. Here a class with its slots is
made once, and its ``__init__`` is compiled only if the program makes such a record.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from operator import attrgetter
from types import CodeType, FunctionType
from typing import Any, ClassVar, TypeVar, dataclass_transform


def _first_init(self: Record, *values: Any, **named: Any) -> None:
    """Compile the ``__init__`` of a class for its first record."""
    record_class: Any = type(self)
    record_class.__init__ = _compiled_init(record_class)
    record_class.__init__(self, *values, **named)


def _compiled_init(record_class: type[Record]) -> Callable[..., None]:
    """``def __init__(self, a, b=...)`` that fills the slots, which ``__setattr__`` guards."""
    fields, defaults = record_class.__match_args__, record_class._defaults
    code = _init_code(len(fields)).replace(co_varnames=("self", *fields))
    scope = {f"_set_{number}": getattr(record_class, name).__set__ for number, name in enumerate(fields)}
    return FunctionType(code, scope, "__init__", tuple(defaults.values()))


@cache
def _init_code(size: int) -> CodeType:
    """The same for any class with so many fields: compiling it takes longer than all else."""
    parameters = "".join(f", _{number}" for number in range(size))
    lines = "".join(f"\n    _set_{number}(self, _{number})" for number in range(size))
    scope: dict[str, Any] = {}
    exec(f"def __init__(self{parameters}):{lines or ' pass'}", scope)
    code: CodeType = scope["__init__"].__code__
    return code


@dataclass_transform(frozen_default=True)
class _RecordType(type):
    """Turns the annotated names of a class body into slots, and the values written there into defaults."""

    def __new__(cls, name: str, bases: tuple[type, ...], body: dict[str, Any]) -> _RecordType:
        """A record class. It names ``__dict__`` in its ``__slots__`` if it has a cached property."""
        fields = tuple(body.get("__annotations__", ())) if bases else ()
        body["_defaults"] = {field: body.pop(field) for field in fields if field in body}
        body["__slots__"] = (*body.get("__slots__", ()), *fields)
        body["__match_args__"] = fields
        body["_key"] = attrgetter("__class__", *fields)
        body["__init__"] = _first_init
        return super().__new__(cls, name, bases, body)


class Record(metaclass=_RecordType):
    """Base of all records. Records are equal if their class and all their fields are; none can be changed."""

    __match_args__: ClassVar[tuple[str, ...]]
    _defaults: ClassVar[Mapping[str, Any]]
    _key: ClassVar[attrgetter[Any]]

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{type(self).__name__}.{name} cannot be changed: use replace()")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"{type(self).__name__}.{name} cannot be deleted")

    def __eq__(self, other: object) -> bool:
        if self.__class__ is not other.__class__:
            return NotImplemented
        return bool(self._key(self) == self._key(other))

    def __hash__(self) -> int:
        return hash(self._key(self))

    def __repr__(self) -> str:
        fields = ", ".join(f"{name}={getattr(self, name)!r}" for name in self.__match_args__)
        return f"{type(self).__qualname__}({fields})"

    def __reduce__(self) -> tuple[type, tuple[Any, ...]]:
        return type(self), field_values(self)


def field_names(record: Record | type[Record]) -> tuple[str, ...]:
    """The names of a record's fields, in their order."""
    return record.__match_args__


def field_values(record: Record) -> tuple[Any, ...]:
    """The values of a record's fields, in their order."""
    return tuple(getattr(record, name) for name in record.__match_args__)


R = TypeVar("R", bound=Record)


def replace(record: R, **changes: Any) -> R:
    """The same record with some fields changed. Raises TypeError for a name that is no field."""
    return type(record)(**{**dict(zip(record.__match_args__, field_values(record), strict=True)), **changes})
