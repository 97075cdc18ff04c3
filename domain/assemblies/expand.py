"""Any assembly, checked and taken apart by the file that knows its kind."""

from __future__ import annotations

from collections.abc import Iterator

from domain.assemblies import box, carcass, carcass_sizes, mitred_frame, railed_frame, single_joint
from domain.parts import Expansion
from domain.problems import BadInput, Problem
from domain.spec.assemblies import Assembly, Box, Carcass, MitredFrame, RailedFrame, SingleJoint
from domain.spec.choices import NO_CHOICES, KeyChoices


def check_assembly(spec: Assembly) -> tuple[Problem, ...]:
    """Everything wrong between an assembly's own sizes, paths from the assembly."""
    found = tuple(_check(spec))
    if found:
        return found
    try:
        _expand(spec, NO_CHOICES)
    except BadInput as refusal:
        return refusal.problems
    return ()


def expand(spec: Assembly, choices: KeyChoices = NO_CHOICES) -> Expansion:
    """Members, panels and joints of an assembly; ``choices`` are the project's. Raises BadInput."""
    problems = tuple(_check(spec))
    if problems:
        raise BadInput(problems)
    return _expand(spec, choices)


def _check(spec: Assembly) -> Iterator[Problem]:
    match spec:
        case MitredFrame():
            return mitred_frame.check(spec)
        case RailedFrame():
            return railed_frame.check(spec)
        case Box():
            return box.check(spec)
        case Carcass():
            return carcass_sizes.check(spec)
        case SingleJoint():
            return single_joint.check(spec)


def _expand(spec: Assembly, choices: KeyChoices) -> Expansion:
    match spec:
        case MitredFrame():
            return mitred_frame.expand(spec, choices)
        case RailedFrame():
            return railed_frame.expand(spec, choices)
        case Box():
            return box.expand(spec, choices)
        case Carcass():
            return carcass.expand(spec, choices)
        case SingleJoint():
            return single_joint.expand(spec, choices)
