"""Which YAML parser reads a text: the pure one, or the compiled one where it is installed and known to agree."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib.util import find_spec
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

COMPILED = find_spec("_ruamel_yaml") is not None
"""Whether ruamel.yaml.clib is there: pip brings it where there is a wheel, and nothing needs it."""

_UNUSUAL = "\t\r\x85\u2028\u2029\ufeff?|>"
"""Characters without one of which no text has what follows; looking for them takes a tenth of the time."""
_READ_OTHERWISE = re.compile("[\t\r\x85\u2028\u2029\ufeff]|(?<!\\w)[?]|[|>][-+0-9]*#")


class ParserMismatch(YAMLError):
    """The compiled parser is not known to place this value as the pure one does."""


class PureEvents:
    """The events of a text by the pure parser: what it says counts. ``index`` is how far they have come in the text."""

    def __init__(self, text: str) -> None:
        self.index = 0
        self._events = YAML(typ="safe", pure=True).parse(text)

    def __iter__(self) -> PureEvents:
        return self

    def __next__(self) -> Any:
        event = next(self._events)
        self.index = event.end_mark.index
        return event


def c_parser_safe(text: str) -> bool:
    """Whether the compiled parser is there and reads such a text as the pure one does, if it reads it at all."""
    return COMPILED and not (any(map(text.__contains__, _UNUSUAL)) and _READ_OTHERWISE.search(text))


def compiled_events(text: str) -> Iterator[Any]:
    """The events of a text by the compiled parser. It places an empty value elsewhere, which the composer refuses."""
    from ruamel.yaml.cyaml import CParser  # type: ignore[attr-defined]

    return iter(CParser(text).get_event, None)
