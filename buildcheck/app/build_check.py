"""The story of a check: read the folder, compute the quantities, judge by every rule, sort, add up."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import chain
from operator import attrgetter

from buildcheck.app.acceptance import Acceptance, acceptance, informing, informs_only
from buildcheck.build.build_folder import Build
from buildcheck.build.clearance_readings import clearance_void
from buildcheck.build.facts import Facts, LimitLookup
from buildcheck.build.named_limits import NAMED_LIMITS
from buildcheck.build.reading_problems import reading_problems
from buildcheck.core.problem import Problem
from buildcheck.core.reason import underlying
from buildcheck.core.subject import BUILD, Subject, on_each_cylinder
from buildcheck.core.value import Value
from buildcheck.ordering.order import Order, order
from buildcheck.record import Record, replace
from buildcheck.registry.engine_wide import ENGINE_WIDE
from buildcheck.registry.quantity_table import QUANTITIES
from buildcheck.rules.concession_sides import meeting_the_limit
from buildcheck.rules.concessions import IDLE, Granted, IdleFacts, concede, loosened, read_concessions
from buildcheck.rules.consequences import Key, causes
from buildcheck.rules.families import Family, family_limits
from buildcheck.rules.judging import JudgingOptions, judge, refuse_other_fuel
from buildcheck.rules.limits import Limits, Override, names_in_force, read_limits
from buildcheck.rules.results import Result, verdict
from buildcheck.rules.rule import Bound, Rule, RuleSet


class CheckedBuild(Record):
    """A build with everything that was found: what every output is written from."""

    __slots__ = ("__dict__",)

    build: Build
    facts: Facts
    rules: RuleSet
    limits: Limits
    options: JudgingOptions
    judge: Callable[[], tuple[Result, ...]]
    problems: tuple[Problem, ...]
    acceptance: Acceptance | None = None

    @cached_property
    def results(self) -> tuple[Result, ...]:
        """Every rule judged, when that is first needed: for a plan, advice or the answer to a reading it is not."""
        return self.judge()

    @cached_property
    def unmet(self) -> tuple[Result, ...]:
        """The results that fail or are undecided: only such a result blocks, is conceded or was accepted before."""
        return tuple([result for result in self.results if result.kind in ("fail", "open")])

    @cached_property
    def order(self) -> Order:
        """The pushrods to order; none where the build cannot be read."""
        return order(self.facts) if not self.problems else Order((), ())

    @cached_property
    def causes(self) -> Mapping[Key, Result]:
        """For each consequence, by rule and subject, the result that is its cause."""
        return causes(self.unmet, self.rules)

    @cached_property
    def informing(self) -> int:
        """How many results and problems do not block only because the build was accepted before."""
        problems = self.acceptance.problems if self.acceptance is not None else ()
        return sum(result.accepted for result in self.unmet) + len(problems)

    @cached_property
    def exit_code(self) -> int:
        """0 nothing blocks, 1 something does, 2 the input cannot be read."""
        return 2 if self.problems else int(self.verdict != "pass")

    @cached_property
    def verdict(self) -> str:
        """fail, open or pass."""
        return verdict(self.unmet, self.problems)

    @property
    def may_order(self) -> bool:
        """Whether the order is whole: nothing blocks, and nothing would if the build had not been accepted before."""
        return self.verdict == "pass" and not self.informing


def check_build(
    build: Build,
    rules: RuleSet,
    team: Mapping[str, Override],
    stage: str | None = None,
    strict: bool = False,
    families: Sequence[Family] = (),
) -> CheckedBuild:
    """Check one build as read. Where its data cannot be read no rule is judged: no half truth is reported."""
    build_limits, problems = read_limits(build.roots.get("build"), rules, "build")
    granted, refused = read_concessions(build.roots.get("concessions"), rules) if not build.problems else ([], [])
    options = JudgingOptions(stage or build.stage, strict)
    granted = [replace(one, ended=one.until != "" and options.is_due(one.until)) for one in granted]
    limits = Limits(team, *_family_limits(build, families), build_limits, system=build.unit_system)
    lookup = _limit_lookup(rules, limits, granted)
    facts = Facts(build, QUANTITIES, lookup, clearance_void)
    unfit = reading_problems(facts) if not build.problems else []
    sound = not (build.problems or problems or refused or unfit)
    misplaced = meeting_the_limit(granted, rules, limits, facts) if sound else ()
    accepted = acceptance(build, rules, limits)
    outer = tuple(sorted([*problems, *refused, *unfit, *misplaced]))
    if outer and not build.problems and informs_only(accepted, build, options):
        accepted, outer = replace(accepted, problems=outer), ()
    read_problems = tuple(sorted([*build.problems, *outer]))
    if read_problems:
        facts = Facts(replace(build, roots={}), QUANTITIES, lookup, clearance_void)
        return CheckedBuild(build, facts, rules, limits, options, tuple, read_problems, accepted)

    def results() -> tuple[Result, ...]:
        order(facts)  # an error of our own in it is one in every format, also in those that show no order
        return informing(_results(rules, limits, facts, options, granted), accepted, build, rules, options)

    return CheckedBuild(build, facts, rules, limits, options, results, (), accepted)


def _family_limits(build: Build, families: Sequence[Family]) -> list[Mapping[str, Override]]:
    """The limits of the families that a build belongs to, by its files as read: no limit decides that."""
    if not families or build.problems:
        return []
    return list(family_limits(families, facts_as_read(build)))


def facts_as_read(build: Build) -> Facts:
    """What the files of a build give, without limits: to look at before anything is judged."""
    return Facts(build, QUANTITIES, lambda facts, name, subject: None, clearance_void)


def _results(
    rules: RuleSet, limits: Limits, facts: Facts, options: JudgingOptions, granted: Sequence[Granted]
) -> tuple[Result, ...]:
    """All rules judged, concessions applied; rules about idle concessions come last, as they ask what those did."""
    late = rules.that_need(IDLE)
    rest = [rule for rule in rules.rules if rule.id not in late]
    first = [result for rule in rest for result in judge_subjects(rule, limits, facts, options)]
    results, idle = concede(first, granted)
    facts.once(IDLE, tuple, idle)
    for rule in late.values():
        each = [judge(rule, limits.in_force(rule), IdleFacts(facts, one), BUILD, options) for one in idle]
        results += each or judge_subjects(rule, limits, facts, options)
    return tuple(sorted(results, key=attrgetter("rule")))


def quantities(facts: Facts, names: Iterable[str] = QUANTITIES) -> Iterator[tuple[str, dict[Subject, Value]]]:
    """Every named quantity that can be determined, with its values; by cylinder only where cylinders differ."""
    for name in sorted(names):
        per = QUANTITIES[name].per
        subjects = facts.subjects(per)
        if _may_differ(per, (name,), facts):
            found = dict(chain.from_iterable(_by_cylinder(name, subject, facts) for subject in subjects))
        else:
            found = {one: value for one in subjects if (value := facts.get_or_none(name, one)) is not None}
        if found:
            yield name, found


def _by_cylinder(name: str, subject: Subject, facts: Facts) -> list[tuple[Subject, Value]]:
    """A quantity of the build or a valve type on each cylinder; once if it is the same on all of them."""
    each = on_each_cylinder(subject, facts.cylinders)
    known = [(one, value) for one in each if (value := facts.get_or_none(name, one)) is not None]
    if len(each) > 1 and len(known) == len(each) and _all_alike(value for _, value in known):
        return [(subject, known[0][1])]
    return known


def _all_alike(values: Iterable[Value]) -> bool:
    return len({(value.si, value.places) for value in values}) == 1


def judge_subjects(rule: Rule, limits: Limits, facts: Facts, options: JudgingOptions) -> list[Result]:
    """One rule on each of its subjects; by cylinder only where cylinders differ."""
    bounds, subjects = limits.in_force(rule), facts.subjects(rule.for_each)
    if not _may_differ(rule.for_each, names_in_force(rule, bounds), facts):
        return [judge(rule, bounds, facts, subject, options) for subject in subjects]
    return [one for subject in subjects for one in _judge_cylinders(rule, bounds, facts, subject, options)]


def _judge_cylinders(
    rule: Rule, bounds: Mapping[str, Bound], facts: Facts, subject: Subject, options: JudgingOptions
) -> list[Result]:
    """A rule about the build or a valve type on each cylinder; one result if it is the same on all of them."""
    results = [judge(rule, bounds, facts, one, options) for one in on_each_cylinder(subject, facts.cylinders)]
    if results[0].subject == subject or not _same_for_all(results):
        return results
    return [results[0]._replace(subject=subject)]


def _same_for_all(results: Sequence[Result]) -> bool:
    """Whether all are the same, apart from the cylinder."""
    read_problems = {(one.kind, one.value and one.value.si, one.places, underlying(one.reason)) for one in results}
    return len(read_problems) == 1


def _may_differ(for_each: str, names: Iterable[str], facts: Facts) -> bool:
    """Whether the build or a valve type is judged by cylinder: if what it needs may be another one on some of them."""
    return (
        facts.has_overrides
        and for_each in ("build", "valve_type")
        and any(facts.may_differ(name) if name not in QUANTITIES else name not in ENGINE_WIDE for name in names)
    )


def _limit_lookup(rules: RuleSet, limits: Limits, granted: Sequence[Granted]) -> LimitLookup:
    def limit(facts: Facts, name: str, subject: Subject) -> Value | None:
        rule, side = rules.controlling(name), NAMED_LIMITS[name].side
        bounds = limits.in_force(rule) if rule is not None else {}
        tree = bounds[side].limit.tree(subject.valve) if rule is not None else None
        if rule is None or tree is None:
            return None
        refuse_other_fuel(rule, bounds, facts, subject)
        build_limits = tree.evaluate(facts, subject)
        return loosened(build_limits, side, [one for one in granted if one.applies_to(rule.id, subject)])

    return limit
