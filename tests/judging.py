"""A build copied, its files rewritten in a few places, and checked as a user does: by the command, reported in JSON."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Outcome:
    """What ``buildcheck check --format json`` shows of one build, and its exit code."""

    code: int
    build: dict[str, Any]

    @property
    def verdict(self) -> str:
        return str(self.build["verdict"])

    def result(self, rule: str, key: str = "") -> dict[str, Any]:
        """The one result of a rule on a subject such as ``1/intake``."""
        [found] = [one for one in self.build["results"] if (one["rule"], subject_key(one["subject"])) == (rule, key)]
        return dict(found)

    def kinds(self, rule: str) -> dict[str, str]:
        """How a rule ended, by subject."""
        return {subject_key(one["subject"]): one["kind"] for one in self.build["results"] if one["rule"] == rule}

    def blocking(self) -> set[tuple[str, str]]:
        """Rules that block, and on what."""
        return {(one["rule"], subject_key(one["subject"])) for one in self.build["results"] if one["blocks"]}

    def lines(self) -> list[tuple[str, int, bool]]:
        """The order: length as stated, count without spares, off the shelf."""
        return [(one["length"]["text"], one["count"], one["stock"]) for one in self.build["order"]["lines"]]


def subject_key(subject: dict[str, Any]) -> str:
    return "/".join(str(part) for part in subject.values())


Judged = Callable[..., Outcome]
