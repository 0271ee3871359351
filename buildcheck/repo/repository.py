"""The team's repository: its root, its buildcheck.yaml, and what that says of rules, builds and reports."""

from __future__ import annotations

from fnmatch import fnmatchcase
from functools import cached_property
from pathlib import Path
from posixpath import normpath

from buildcheck.core.files import real
from buildcheck.core.problem import Problem
from buildcheck.record import Record
from buildcheck.repo.file_tree import CONFIG, DISK, Tree, root_of
from buildcheck.schema.validation import validate
from buildcheck.units.quantity import quoted
from buildcheck.yamlio.documents import Node, find

REPORT = "REPORT.md"
INDEX = "BUILDS.md"


class Repository(Record):
    """Root folder, the team's settings where there are any, what is wrong with them, and where all is read from."""

    __slots__ = ("__dict__",)

    root: Path
    config: Node | None
    problems: tuple[Problem, ...]
    tree: Tree = DISK

    @property
    def report_name(self) -> str:
        """Name of the report inside each build folder."""
        return (self.config.word("report") if self.config is not None else "") or REPORT

    @property
    def index_name(self) -> str:
        """Name of the overview of all builds, at the root."""
        return (self.config.word("index") if self.config is not None else "") or INDEX

    @property
    def rule_pages(self) -> str:
        """Address of the page of each rule, as written; empty if the team names none."""
        return self.config.word("rule_pages") if self.config is not None else ""

    def rule_page(self, rule: str) -> str:
        """Address of the page of a rule; empty if the team names none."""
        pages = self.rule_pages
        if "{rule}" in pages:
            return pages.replace("{rule}", rule)
        return f"{pages.rstrip('/')}/{rule}" if pages else ""

    def listed(self, key: str) -> list[Node]:
        """A list of the settings; empty where it is not written."""
        node = find(self.config, [key]) if self.config is not None else None
        return node.items if node is not None else []

    def rule_folders(self) -> tuple[list[tuple[Path, str]], list[Problem]]:
        """The team's rule folders (path, and as shown), and those that are not there or lie outside."""
        folders, problems = [], []
        for node in self.listed("rules"):
            named = str(node.value).rstrip("/")
            if wrong := self._refusal(named):
                problems.append(Problem(node.place, "rules", wrong))
            else:
                folders.append((self.root / named, named))
        return folders, problems

    def _refusal(self, named: str) -> str:
        """What is wrong with the name of a rule folder, empty where it may be read."""
        try:
            folder = real(self.root / named)
            if not folder.is_relative_to(real(self.root)):
                return f"{named} lies outside the repository"
            return "" if self.tree.is_dir(folder) else f"there is no folder {named}"
        except (OSError, ValueError) as error:  # no path at all: too long, or with a character that none may hold
            return f"{quoted(named)} cannot be read: {error.strerror if isinstance(error, OSError) else error}"

    def is_build(self, rel_path: str) -> bool:
        """Whether a folder, by its path from the root, counts as a build: 'builds' covers it and 'ignore' does not."""
        return self.matches_builds(rel_path) and not self.is_ignored(rel_path)

    def is_ignored(self, rel_path: str) -> bool:
        """Whether an entry of 'ignore' covers a folder, by its path from the root."""
        return bool(self._ignored) and any(fnmatchcase(rel_path, pattern) for pattern in self._ignored)

    def matches_builds(self, rel_path: str) -> bool:
        """Whether 'builds' covers a folder, by its path from the root: every folder, if there are no patterns."""
        return not self._covered or any(fnmatchcase(rel_path, pattern) for pattern in self._covered)

    @cached_property
    def _ignored(self) -> list[str]:
        return [normpath(entry.word("build")) for entry in self.listed("ignore")]

    @cached_property
    def _covered(self) -> list[str]:
        return [normpath(str(node.value)) for node in self.listed("builds")]


def repository_of(path: Path, tree: Tree = DISK) -> Repository:
    """The repository that holds a path, with its settings where there are any."""
    root = repository_root(path, tree)
    return _read(root, tree) if tree.exists(root / CONFIG) else Repository(root, None, (), tree)


def repository_root(path: Path, tree: Tree = DISK) -> Path:
    """The root of the repository that holds a path."""
    return root_of(path if path.is_dir() else path.parent, tree)


def _read(root: Path, tree: Tree) -> Repository:
    document = tree.read(root / CONFIG, CONFIG)
    problems = list(document.problems)
    if document.root is not None:
        problems += validate("buildcheck", document.root, CONFIG)
    return Repository(root, document.root if not problems else None, tuple(sorted(problems)), tree)
