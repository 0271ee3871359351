"""Loads all rules: the shipped ones, then the team's, with every problem found in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path

from buildcheck.core.package_data import prepared_rules_file, rules_dir
from buildcheck.core.problem import Place, Problem
from buildcheck.record import replace
from buildcheck.repo.file_tree import DISK, Tree
from buildcheck.repo.misnamed_files import misnamed_rules
from buildcheck.rules.limit_reader import RuleError, place_of
from buildcheck.rules.prepared_rules import decode_rules, encode_rules, key_of_rules
from buildcheck.rules.rule import Rule, RuleSet
from buildcheck.rules.rule_controls import control_error, shared_controls
from buildcheck.rules.rule_reader import rule
from buildcheck.schema.validation import validate
from buildcheck.yamlio.documents import Document

MOST_RULES = 500


def load_rules(extra: Iterable[tuple[Path, str]] = (), tree: Tree = DISK) -> tuple[RuleSet, tuple[Problem, ...]]:
    """The shipped rules, then each extra folder's (path, and as shown) of a tree: all rules and all problems."""
    rules, problems = dict(shipped_rules()[0]), list(shipped_rules()[1])
    for folder, rel_path in extra:
        problems += _load(tree, folder, rel_path, rules)
    problems += shared_controls(rules.values())
    return RuleSet(tuple(rules[key] for key in sorted(rules))), tuple(sorted(problems))


@cache
def shipped_rules() -> tuple[Mapping[str, Rule], tuple[Problem, ...]]:
    """The shipped rules by their ids, and what is wrong with them."""
    prepared = _prepared()
    return (prepared, ()) if prepared is not None else _parsed()


def prepare_rules() -> str:
    """The shipped rules as the wheel holds them beside their files. Raises ValueError if one of them is wrong."""
    rules, problems = _parsed()
    if problems:
        raise ValueError("\n".join(f"{one.place}: {one.path}: {one.message}" for one in problems))
    return encode_rules(rules.values(), key_of_rules(rules_dir(), DISK.yaml_files(rules_dir())))


def _parsed() -> tuple[Mapping[str, Rule], tuple[Problem, ...]]:
    rules: dict[str, Rule] = {}
    return rules, tuple(_load(DISK, rules_dir(), "rules", rules))


def _prepared() -> Mapping[str, Rule] | None:
    """The rules that were prepared from the files as they are now; None if there are none, as in a checkout."""
    try:
        text = prepared_rules_file().read_text(encoding="utf-8")
        return decode_rules(text, key_of_rules(rules_dir(), DISK.yaml_files(rules_dir())))
    except (OSError, ValueError, TypeError, LookupError):  # absent, or not whole
        return None


def _load(source: Tree, folder: Path, rel_path: str, rules: dict[str, Rule]) -> Iterator[Problem]:
    """Put a folder's rules to those that are known, and report what is wrong with them."""
    files = source.yaml_files(folder)
    yield from misnamed_rules(folder, rel_path, source)
    if not files:
        yield Problem(Place(rel_path), "", "holds no rule: a rule is one file <id>.yaml")
    if len(files) > MOST_RULES:
        yield Problem(Place(rel_path), "", f"holds more than {MOST_RULES} rules: no team needs that")
    for path in files[:MOST_RULES]:
        try:
            document = source.read(path, f"{rel_path}/{path.relative_to(folder).as_posix()}")
            rule, replaces = _read(path, document, folder == rules_dir())
            _refuse_twins(rule, replaces, rules)
            rule = _in_place_of(rules.get(rule.id), rule)
            _refuse_control(rule, document)
            rules[rule.id] = rule
        except RuleError as error:
            yield error.problem
        except RuleFileError as error:
            yield from error.problems


class RuleFileError(ValueError):
    """A rule file that cannot be read, or does not match its schema."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__(f"{len(problems)} problems")
        self.problems = problems


def _read(path: Path, document: Document, shipped: bool) -> tuple[Rule, bool]:
    problems = list(document.problems)
    if document.root is not None:
        problems += validate("rule", document.root, document.file)
    if problems or document.root is None:
        raise RuleFileError(problems or [Problem(Place(document.file), "", "is empty: a rule is expected")])
    root = document.root
    if (name := root.word("id")) != path.stem:
        raise RuleError(place_of(root, "id"), "id", f"{name} differs from the file's name: call the file {name}.yaml")
    replaces = root.get("replaces")
    return rule(root, path.parent.name, shipped), replaces is not None and bool(replaces.value)


def _refuse_twins(rule: Rule, replaces: bool, known: dict[str, Rule]) -> None:
    if rule.id in known and not replaces:
        raise RuleError(
            rule.place,
            "id",
            f"{rule.id} exists at {known[rule.id].place}: write 'replaces: true' to replace it",
        )
    if replaces and rule.id not in known:
        raise RuleError(rule.place, "replaces", f"there is no rule {rule.id} to replace")


def _in_place_of(old: Rule | None, rule: Rule) -> Rule:
    if old is None:
        return rule
    controls = rule.controls or old.controls
    return replace(rule, replaces=old.replaces or old, controls=controls, inherits_control=not rule.controls)


def _refuse_control(rule: Rule, document: Document) -> None:
    if error := control_error(rule):
        raise RuleError(place_of(document.root, "controls") if document.root else rule.place, "controls", error)
