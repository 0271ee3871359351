"""Do the files speak of one and the same engine: counts, orders, banks, mounts; each slip at its place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from buildcheck.build.facts import Facts
from buildcheck.build.length_conventions import minus
from buildcheck.build.mark_plausibility import mark_slip
from buildcheck.build.trial_reading import mark_of
from buildcheck.core.problem import Place
from buildcheck.core.subject import VALVE_TYPES, Subject
from buildcheck.core.value import Value
from buildcheck.units.quantity import parse, show
from buildcheck.yamlio.documents import Node

Inconsistency = tuple[Place, str]


def inconsistencies(facts: Facts, subject: Subject) -> Value:
    """Number of entries that cannot all be true; the finding names them."""
    slips = facts.once("inconsistencies", _slips, facts)
    places = tuple(dict.fromkeys(place for place, _ in slips))
    return Value(float(len(slips)), "count", {}, places, "; ".join(text for _, text in slips))


def _slips(facts: Facts) -> list[Inconsistency]:
    return [slip for check in CHECKS for slip in check(facts)]


def _firing_order(facts: Facts) -> Iterator[Inconsistency]:
    node = facts.node("block.firing_order")
    if node is not None and facts.cylinders:
        found = [str(item.value) for item in node.items]
        if sorted(found) != sorted(str(number) for number in range(1, facts.cylinders + 1)):
            yield node.place, f"firing_order must list each of the {facts.cylinders} cylinders once"


def _firing_intervals(facts: Facts) -> Iterator[Inconsistency]:
    node = facts.node("block.firing_intervals")
    if node is None:
        return
    if len(node.items) != facts.cylinders:
        yield node.place, f"{len(node.items)} firing_intervals for {facts.cylinders} cylinders"
    if sum(parse(str(item.value), "angle").si for item in node.items) != 720:
        yield node.place, "firing_intervals must add up to 720 deg"


def _banks(facts: Facts) -> Iterator[Inconsistency]:
    node, layout = facts.node("block.banks"), facts.node("block.layout")
    if layout is not None and layout.value != "inline" and node is None:
        yield layout.place, f"a {layout.value} engine needs banks in block.yaml"
    if node is not None:
        found = sorted(str(item.value) for bank in node.entries.values() for item in bank.items)
        if found != sorted(str(number) for number in range(1, facts.cylinders + 1)):
            yield node.place, f"banks must list each of the {facts.cylinders} cylinders once"


def _cylinders_exist(facts: Facts) -> Iterator[Inconsistency]:
    if not facts.cylinders:
        return
    for name, root in facts.build.roots.items():
        for entry in _entries(name, root):
            number = entry.get("cylinder")
            if number is not None and not 1 <= int(str(number.value)) <= facts.cylinders:
                yield number.place, f"{name}.yaml lists cylinder {number.value}, the engine has {facts.cylinders}"


def _entered_twice(facts: Facts) -> Iterator[Inconsistency]:
    for name, root in facts.build.roots.items():
        seen: Counter[tuple[str, ...]] = Counter()
        for entry in _entries(name, root):
            for key in [""] if name == "marks" else [key for key in entry.entries if key not in ("note", "part")]:
                who = (entry.word("cylinder"), entry.word("valve"), key)
                seen[who] += 1
                if seen[who] == 2 and key not in ("cylinder", "valve"):
                    yield entry.place, f"{name}.yaml lists cylinder {' '.join(who).strip()} twice"


def _shop_twice(facts: Facts) -> Iterator[Inconsistency]:
    """A shop's part names each mount, and each gauge with its reader, once."""
    for key, names in (("readings", ("gauge", "by")), ("valves", ("mount",))):
        node, seen = facts.node(f"marks.shop.{key}"), set[tuple[str, ...]]()
        for entry in node.items if node is not None else ():
            who = tuple(entry.word(name) for name in names)
            if who in seen:
                yield entry.place, f"the shop's {key} list {', '.join(filter(None, who))} twice: keep one"
            seen.add(who)


def _entries(name: str, root: Node) -> Iterator[Node]:
    if name == "concessions":
        return
    lists = [root.get("valves") if name == "marks" else root.get("each")]
    if name == "pushrods" and (chosen := root.get("chosen")) is not None:
        lists = [chosen.get("each")]
    for node in lists:
        yield from node.items if node is not None else ()


def _mount(facts: Facts) -> Iterator[Inconsistency]:
    mount, adjuster = facts.node("rockers.mount"), facts.node("rockers.adjuster")
    if mount is None or adjuster is None:
        return
    if adjuster.value == "nut" and mount.value != "stud":
        yield adjuster.place, f"adjuster: nut belongs to a rocker on a stud; the mount is {mount.value}"


def _ranges(facts: Facts) -> Iterator[Inconsistency]:
    pairs = [("cam.lifter.preload.at_least", "cam.lifter.preload.at_most")]
    pairs += [("cam.lifter.preload.at_most", "cam.lifter.travel")]
    pairs += [(f"heads.springs.{v}.coil_bind_height", f"heads.springs.{v}.installed_height") for v in VALVE_TYPES]
    pairs += [(f"cam.{v}.lobe_lift", "cam.base_circle_diameter") for v in VALVE_TYPES]
    for low, high in pairs:
        one, other = facts.optional(low), facts.optional(high)
        if one is not None and other is not None and one.si > other.si:
            yield one.places[0], f"{low} is more than {high}"
    wall, diameter = facts.optional("pushrods.wall"), facts.optional("pushrods.diameter")
    if wall is not None and diameter is not None and wall.si * 2 > diameter.si:
        yield wall.places[0], "pushrods.wall is more than half of pushrods.diameter"


def _aim(facts: Facts) -> Iterator[Inconsistency]:
    aim, low, high = (facts.optional(f"cam.lifter.preload.{key}") for key in ("aim", "at_least", "at_most"))
    if aim is not None and low is not None and high is not None and not low.si <= aim.si <= high.si:
        yield aim.places[0], "the preload target is outside the lifter preload range"


def _marks(facts: Facts) -> Iterator[Inconsistency]:
    for subject, number, trial in _trials(facts):
        mark = mark_of(facts, trial)
        if mark is not None and (slip := mark_slip(facts, subject, mark)) is not None:
            yield slip.places[0], f"{subject.text}, trial {number}: {slip.reason}"


def _trials(facts: Facts) -> Iterator[tuple[Subject, int, Node]]:
    valves = facts.node("marks.valves")
    for entry in valves.items if valves is not None else ():
        subject, trials = Subject(int(entry.word("cylinder")), entry.word("valve")), entry.get("trials")
        for number, trial in enumerate(trials.items if trials is not None else (), 1):
            yield subject, number, trial


def _checker(facts: Facts) -> Iterator[Inconsistency]:
    """A reading that the checking rod cannot give, by the turns that leave it thread enough."""
    zero, most = (facts.optional(f"pushrods.checker.{key}") for key in ("length_at_zero_turns", "most_turns"))
    if most is None:
        return
    thread = facts.node("pushrods.checker.thread")
    pitch = facts.pitch("pushrods.checker.thread").si if thread is not None else None
    for _, _, trial in _trials(facts):
        turns, length = trial.get("turns"), trial.get("length")
        if turns is not None and facts.reading(turns, "ratio").si > most.si:
            yield turns.place, f"the thread of the checking pushrod ends at {most.si:g} turns (most_turns)"
        if length is not None and zero is not None and pitch is not None:
            out = (facts.reading(length, "length").si - zero.si) / pitch
            if not -1 <= out <= most.si + 1:
                yield length.place, f"the checking pushrod does not reach this length: it would be {out:.1f} turns out"


def _balls(facts: Facts) -> Iterator[Inconsistency]:
    """A ball is not twice as wide as its rod: its diameter was written for its radius."""
    ends, rod = facts.node("pushrods.ends"), facts.optional("pushrods.diameter")
    for end in (ends, ends.get("lifter"), ends.get("rocker")) if ends is not None and rod is not None else ():
        radius = end.get("ball_radius") if end is not None else None
        if radius is not None and rod is not None and facts.reading(radius, "length").si >= rod.si:
            yield radius.place, "the ball is twice as wide as its pushrod: enter the radius, half the ball diameter"


def _stock(facts: Facts) -> Iterator[Inconsistency]:
    stock = facts.node("pushrods.stock")
    for entry in stock.items if stock is not None else ():
        first, last, step = (parse(entry.word(key), "length").si for key in ("from", "to", "step"))
        if first > last:
            yield entry.place, "'from' is larger than 'to': are they swapped?"
        elif step <= 0 or (last - first) / step > 2000:
            yield (
                entry.place,
                "enter the shortest and the longest pushrod and a step above zero, at most 2000 lengths",
            )


def _roller_radius(facts: Facts) -> Iterator[Inconsistency]:
    """A roller as large as the arm that carries it: the radius is wrong, or the arm."""
    kind, radius, arm = facts.node("rockers.tip.type"), facts.optional("rockers.tip.radius"), facts.optional(ARM)
    if kind is not None and kind.value == "roller" and radius is not None and arm is not None and radius.si >= arm.si:
        most, found = (show(value.si, "length", facts.system) for value in (arm, radius))
        yield radius.places[0], f"rockers.tip.radius, expected below {most} from {ARM}, found {found}"


def _stackup(facts: Facts) -> Iterator[Inconsistency]:
    """A size after the changes of stackup.yaml that is not the size written for the part itself."""
    states = facts.node("marks.states")
    if states is not None and len(states.items) > 1:
        return
    for change, path in STACKUP_SIZES:
        after, part = facts.optional(f"stackup.changes.{change}.is"), facts.optional(path)
        if after is None or part is None or abs(minus(after, part).si) <= minus(after, part).expanded + 1e-9:
            continue
        expected, found = (show(value.si, "length", facts.system) for value in (part, after))
        yield after.places[0], f"stackup.changes.{change}.is, expected {expected} from {path}, found {found}"


ARM = "rockers.valve_arm"
STACKUP_SIZES = (
    ("base_circle_diameter", "cam.base_circle_diameter"),
    ("gasket_thickness", "heads.gasket.thickness"),
    ("head_height", "heads.height"),
)
"""A change of stackup.yaml that gives a size before and after, and the part's own field."""

CHECKS = (
    _aim, _balls, _banks, _checker, _cylinders_exist, _firing_intervals, _firing_order, _marks, _mount, _ranges,
    _entered_twice, _shop_twice, _roller_radius, _stackup, _stock,
)  # fmt: skip
