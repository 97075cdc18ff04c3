"""Changes of an assembly carried out and planned again: nothing is proposed that was not."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import deepcopy
from dataclasses import dataclass, field, replace
from functools import cached_property, reduce
from typing import Any

from domain.advice.sizes import Size
from domain.assemblies.expand import expand
from domain.lengths import Length, Units
from domain.parts import Expansion, Joint
from domain.planning.planner import can_be_made, plan_joint
from domain.planning.plans import JointPlan
from domain.planning.sections import Question
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.proposals import RULES, Change
from domain.reading import read
from domain.spec.assemblies import Assembly, MitredFrame
from domain.spec.catalogue import Section
from domain.spec.choices import KeyChoices
from domain.spec.fields import as_number
from domain.spec.rules import Rules
from domain.spec.starts import Starts, in_this_wood
from domain.takeoff.build import take_off_expanded
from domain.takeoff.takeoff import AssemblyTakeoff


def carried_out(spec: Assembly, changes: Sequence[Change]) -> Assembly:
    """The assembly with these changes. Raises BadInput for a place that it has not, or a value that is none."""
    data: dict[str, Any] = {"kind": spec.kind, **spec.model_dump(mode="json", exclude_unset=True)}
    for change in changes:
        _put(data, change)
    return read(type(spec), data)


def _put(data: dict[str, Any], change: Change) -> None:
    """The value at its path; objects on the way that are not there yet are made."""
    place: Any = data
    for at, step in enumerate(change.path):
        last = at == len(change.path) - 1
        if isinstance(place, list) and isinstance(step, int) and 0 <= step < len(place):
            if last:
                place[step] = change.value
        elif isinstance(place, dict) and isinstance(step, str):
            if last:
                place[step] = deepcopy(change.value)
            elif place.get(step) is None:
                place[step] = {}
        else:
            raise BadInput([Problem.of(change.path, change.value, ProblemCode.NOT_A_FIELD)])
        place = place[step] if not last else place


def rules_carried_out(rules: Rules, changes: Sequence[Change]) -> Rules:
    """The rules with these changes, if any of them is of the rules. Raises BadInput for what is none."""
    own = [change for change in changes if change.of_rules]
    if not own:
        return rules
    data: dict[str, Any] = rules.model_dump(mode="json")
    for change in own:
        if len(change.path) != 2 or change.path[1] not in data:
            raise BadInput([Problem.of(change.path, change.value, ProblemCode.NOT_A_FIELD)])
        data[str(change.path[1])] = change.value
    try:
        return read(Rules, data)
    except BadInput as refusal:
        raise BadInput(problem.under(RULES) for problem in refusal.problems) from None


def taken_back(spec: Assembly, changes: Sequence[Change]) -> tuple[Change, ...]:
    """What makes the assembly again what it is now, once these changes are carried out.

    A joint's choices come back all together: one that was left open is not the same as one that is pinned open.
    """
    data: Any = {"joints": {}, **spec.model_dump(mode="json")}
    paths = dict.fromkeys(("joints",) if change.path[0] == "joints" else change.path for change in changes)
    return tuple(Change(path, reduce(lambda place, step: place[step], path, data)) for path in paths)


COARSE = {Units.MM: Length.from_mm(0.1), Units.INCH: Length(396_875)}
FINE = {Units.MM: Length.from_mm(0.01), Units.INCH: Length(25_400)}
"""What a size is rounded to: a tenth of a millimetre or 1/64 in; where less than NEAR decides, ten times finer."""
NEAR = Length.from_mm(0.5)
FURTHEST = Length.from_mm(64)
MOST_TRIES = 240
"""Plans made again for one joint. Counted, so that the same project gets the same advice on any computer."""


@dataclass(frozen=True, slots=True)
class Changed:
    """An assembly with changes carried out, taken apart, and the rules that it is planned with then."""

    spec: Assembly
    expansion: Expansion
    rules: Rules

    def joint(self, mark: str) -> Joint | None:
        """The joint of that mark, if there still is one."""
        return next((joint for joint in self.expansion.joints if joint.mark == mark), None)


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of changes: whether they do for the joint alone, and whether its whole assembly agrees."""

    alone: Callable[[tuple[Change, ...]], bool]
    bears_out: Callable[[tuple[Change, ...]], bool]

    def __call__(self, changes: tuple[Change, ...]) -> bool:
        """Both."""
        return self.alone(changes) and self.bears_out(changes)


@dataclass
class Trying:
    """An assembly with what it is planned with, and how many plans may still be made for the joint in hand.

    What changes make of the assembly is kept: many joints ask about the same ones.
    """

    spec: Assembly
    sections: Sequence[Section]
    rules: Rules
    choices: KeyChoices
    starts: Starts
    units: Units
    before: AssemblyTakeoff
    besides: tuple[Change, ...] = ()
    """What a project without rules of its own must say besides, where one is changed."""
    left: int = field(default=MOST_TRIES)
    _changed: dict[str, Changed | None] = field(default_factory=dict)
    _wholes: dict[str, AssemblyTakeoff | None] = field(default_factory=dict)

    def changed(self, changes: Sequence[Change]) -> Changed | None:
        """The assembly with the changes, taken apart once; None where its sizes clash."""
        own = [change for change in changes if not change.of_rules]
        key = repr(own)
        if key not in self._changed:
            try:
                spec = carried_out(self.spec, own)
                self._changed[key] = Changed(spec, expand(spec, self.choices), self.rules)
            except BadInput:
                self._changed[key] = None
        after = self._changed[key]
        if after is None or len(own) == len(changes):
            return after
        return replace(after, rules=rules_carried_out(self.rules, changes))

    def again(self, changes: Sequence[Change], mark: str) -> JointPlan | None:
        """One joint planned with the changes; None where the sizes clash, or no try is left."""
        found = self._tried(changes, mark)
        return None if found is None else plan_joint(found[0], self.sections, found[1], self._in_this_wood)

    def is_made(self, changes: Sequence[Change], mark: str) -> bool:
        """Whether ``again`` would find a plan."""
        found = self._tried(changes, mark)
        return found is not None and can_be_made(found[0], self.sections, found[1], self._in_this_wood)

    def _tried(self, changes: Sequence[Change], mark: str) -> tuple[Joint, Rules] | None:
        if self.left <= 0:
            return None
        self.left -= 1
        after = self.changed(changes)
        joint = None if after is None else after.joint(mark)
        return None if after is None or joint is None else (joint, after.rules)

    @cached_property
    def _in_this_wood(self) -> Starts:
        # no change is of the wood
        return in_this_wood(self.starts, self.spec.material)

    def touches(self, changes: Sequence[Change], joint: JointPlan) -> bool:
        """Whether the changes give a joint another question to ask: where they do not, its plan stays as it is."""
        if any(change.of_rules for change in changes):
            return True
        after = self.changed(changes)
        found = None if after is None else after.joint(joint.joint.mark)
        return found is None or Question.of(found) != Question.of(joint.joint)

    def with_a_hair(self, size: Size, way: int, joint: JointPlan) -> Question | None:
        """What the joint asks where a size is a hair more or less; None where there is no such size."""
        value = Length(size.value.nm + way * FINE[self.units].nm)
        after = None if value.nm <= 0 else self.changed(self.changes(size, value))
        found = None if after is None else after.joint(joint.joint.mark)
        return None if found is None else Question.of(found)

    def is_as_alone(self, joint: JointPlan) -> bool:
        """Whether the joint is planned as if there were no others: none of their slots came too near."""
        alone = plan_joint(joint.joint, self.sections, self.rules, self._in_this_wood)
        return alone.plan == joint.plan

    def whole(self, changes: Sequence[Change]) -> AssemblyTakeoff | None:
        """The whole assembly planned with the changes, once; None where its sizes clash."""
        key = repr(changes)
        if key not in self._wholes:
            after = self.changed(changes)
            self._wholes[key] = (
                None
                if after is None
                else take_off_expanded(after.spec, after.expansion, self.sections, after.rules, self.starts)
            )
        return self._wholes[key]

    def bears_out(self, changes: Sequence[Change], mark: str) -> JointPlan | None:
        """The joint of the whole assembly, planned again; None where it is not made or another one is lost."""
        after = self.whole(changes)
        if after is None:
            return None
        joint = next((each for each in after.joints if each.joint.mark == mark), None)
        was = next(each for each in self.before.joints if each.joint.mark == mark)
        gained = was.joint.quantity if was.plan is None else 0
        made = {each.joint.mark for each in self.before.joints if each.plan is not None}
        lost = any(each.joint.mark in made and each.plan is None for each in after.joints)
        if joint is None or joint.plan is None or lost:
            return None
        return joint if _unmade(after) <= _unmade(self.before) - gained else None

    def of_rules(self, *changes: Change) -> tuple[Change, ...]:
        """What changes rules of the project, which goes on with the others that it is planned with."""
        paths = {change.path for change in changes}
        return (*(other for other in self.besides if other.path not in paths), *changes)

    def changes(self, size: Size, value: Length) -> tuple[Change, ...]:
        """What gives a size another value: a shaped front goes along with its stock."""
        if size.paths[0][0] == RULES:
            return self.of_rules(Change(size.paths[0], as_number(value)))
        grows = value > size.value
        written = as_number(value)
        changes = tuple(
            Change(path, written)
            for path in size.paths
            if not grows or len(size.paths) == 1 or self._at(path) < value
        )
        return (*changes, *self._front(size, value - size.value))

    def _at(self, path: tuple[str | int, ...]) -> Length:
        value: Any = self.spec
        for step in path:
            value = getattr(value, step) if isinstance(step, str) else value[step]
        assert isinstance(value, Length)
        return value

    def _front(self, size: Size, more: Length) -> tuple[Change, ...]:
        if not isinstance(self.spec, MitredFrame) or self.spec.stock.front is None:
            return ()
        stock, front = self.spec.stock, self.spec.stock.front
        if size.paths == (("stock", "thickness"),):
            shaped = [(x, height + more) for x, height in front]
        elif size.paths == (("stock", "width"),):
            shaped = [(x + more if x == stock.width else x, height) for x, height in front]
        else:
            return ()
        return (Change(("stock", "front"), [[as_number(x), as_number(high)] for x, high in shaped]),)

    def least(self, size: Size, way: int, asked: Asked) -> Length | None:
        """The nearest value that will do of those tried, found by doubling and halving the change.

        A larger change may do less (a groove that is moved meets the next key), so the value is one that
        does, and one step less does not; there may be one in between that was not tried.
        """
        fine = self.least_near(size, way, asked)
        return fine or self.least_coarse(size, way, asked)

    def least_coarse(self, size: Size, way: int, asked: Asked) -> Length | None:
        """The same, in steps that one sets without a thought."""
        return self._found(COARSE[self.units], NEAR, FURTHEST, size, way, asked)

    def least_near(self, size: Size, way: int, asked: Asked) -> Length | None:
        """The same, where less than NEAR decides."""
        return self._found(FINE[self.units], NEAR, NEAR, size, way, asked)

    def _found(
        self, step: Length, first: Length, furthest: Length, size: Size, way: int, asked: Asked
    ) -> Length | None:
        """By what the joint alone comes to; where the others do not bear out its value, asked with all of them."""
        value = self._least_on(step, first, furthest, size, way, asked.alone)
        if value is None or asked.bears_out(self.changes(size, value)):
            return value
        return self._least_on(step, first, furthest, size, way, asked)

    def _least_on(
        self,
        step: Length,
        first: Length,
        furthest: Length,
        size: Size,
        way: int,
        will_do: Callable[[tuple[Change, ...]], bool],
    ) -> Length | None:
        start = size.value.nm // step.nm if way > 0 else -(-size.value.nm // step.nm)

        def does(steps: int) -> bool:
            value = Length((start + way * steps) * step.nm)
            return value >= size.least and value.nm > 0 and will_do(self.changes(size, value))

        low, high, most = 0, max(1, first.nm // step.nm), max(1, furthest.nm // step.nm)
        if way < 0:
            most = min(most, start - (-(-size.least.nm // step.nm)))
        high = min(high, most)
        while most > 0 and not does(high):
            if high >= most:
                return None
            low, high = high, min(2 * high, most)
        if most <= 0:
            return None
        return Length((start + way * fewest_steps(low, high, does)) * step.nm)


def fewest_steps(low: int, high: int, does: Callable[[int], bool]) -> int:
    """Between ``low`` steps, which do not do, and ``high``, which do: those that do, and one less does not."""
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if does(middle) else (middle, high)
    return high


def _unmade(takeoff: AssemblyTakeoff) -> int:
    return sum(each.joint.quantity for each in takeoff.joints if each.plan is None)
