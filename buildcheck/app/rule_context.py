"""What every build of a repository is judged in: the rules and limits in force."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild, check_build
from buildcheck.build.build_folder import Build
from buildcheck.core.package_data import rules_dir
from buildcheck.core.problem import Problem
from buildcheck.record import Record
from buildcheck.repo.file_tree import CONFIG, DISK, Tree
from buildcheck.repo.repository import Repository, repository_of
from buildcheck.rules.families import Family, read_families
from buildcheck.rules.limits import Override, read_limits
from buildcheck.rules.rule import RuleSet
from buildcheck.rules.rule_loader import load_rules


class RuleContext(Record):
    """What every build of a repository is judged in: its rules, the team's limits, and what is wrong with them."""

    repository: Repository
    rules: RuleSet
    team: dict[str, Override]
    problems: tuple[Problem, ...]
    folders: tuple[Path, ...]
    families: tuple[Family, ...] = ()

    def check(self, build: Build, stage: str | None = None, strict: bool = False) -> CheckedBuild:
        """A build as read, judged by these rules and limits."""
        return check_build(build, self.rules, self.team, stage, strict, self.families)

    def files(self) -> Iterator[Path]:
        """All rule files in force and the team's settings, in order."""
        yield from DISK.yaml_files(rules_dir())
        yield from self.team_files()

    def team_files(self) -> Iterator[Path]:
        """The team's own rules and settings."""
        for folder in self.folders:
            yield from DISK.yaml_files(folder)
        if self.repository.config is not None:
            yield self.repository.root / CONFIG


def rule_context_for(path: Path, tree: Tree = DISK) -> RuleContext:
    """Rules and limits in force for the repository that holds a path."""
    repository = repository_of(path, tree)
    folders, problems = repository.rule_folders()
    rules, rule_problems = load_rules(folders, tree)
    team, limit_problems = read_limits(repository.config, rules, "team")
    families, family_problems = read_families(repository.config, rules)
    if rule_problems:
        limit_problems = family_problems = []
    return RuleContext(
        repository,
        rules,
        team,
        tuple(sorted([*repository.problems, *problems, *rule_problems, *limit_problems, *family_problems])),
        tuple(folder for folder, _ in folders),
        families,
    )
