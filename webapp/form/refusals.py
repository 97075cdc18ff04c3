"""The domain's refusals as sentences at a form's fields."""

from __future__ import annotations

from collections.abc import Mapping

from domain.lengths import Units
from domain.problem_codes import ProblemCode
from domain.problems import BadInput
from webapp.form.fields import A_DAY


def field_errors(refusal: BadInput, units: Units, at: Mapping[str, str] | None = None) -> dict[str, str]:
    """The first sentence for every field; ``at`` has the fields that are called otherwise than in the domain."""
    found: dict[str, str] = {}
    for problem in refusal.problems:
        name = str(problem.path[0])
        misread = name == "day" and problem.code is ProblemCode.PATTERN
        found.setdefault((at or {}).get(name, name), A_DAY if misread else problem.text(units))
    return found
