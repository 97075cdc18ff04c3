"""Reading what was typed or sent into a model: every problem kept, in our words and with our paths."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from domain.lengths import HOW_TO_WRITE, LengthError
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem, Refused

Model = TypeVar("Model", bound=BaseModel)
MOST_PROBLEMS = 1_000
"""Nobody mends more in one round; a file that is none of ours can have a problem in every field."""

ASSEMBLY_KINDS = ("mitred_frame", "railed_frame", "box", "carcass", "single_joint")
"""Pydantic puts the kind that an assembly was read as into the paths of its problems."""


def read(model: type[Model], data: object) -> Model:
    """Validate ``data`` as ``model``. Raises BadInput with the problems seen at once, up to MOST_PROBLEMS."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        details = error.errors(include_url=False, include_context=True)[:MOST_PROBLEMS]
        own = (detail for detail in details if not _comes_of_another(detail, details))
        raise BadInput(map(problem_of, own)) from None


def check_format(document: object, wanted: str) -> None:
    """Raise BadInput for a document that is of another format, before anything else about it is said."""
    if isinstance(document, Mapping) and document.get("format") != wanted:
        words = f'"{wanted}"'
        problem = Problem.of(("format",), document.get("format"), ProblemCode.NOT_THE_WORD, words_text=words)
        raise BadInput([problem])


def problem_of(detail: ErrorDetails) -> Problem:
    """One of pydantic's errors as a problem."""
    path, kind, context = _path(detail["loc"]), detail["type"], detail.get("ctx", {})
    if kind == "missing":
        return Problem.of(path, "missing", ProblemCode.MISSING)
    error = context.get("error")
    if isinstance(error, Refused):
        return error.at(path, detail["input"])
    if isinstance(error, LengthError):
        return Problem.of(path, detail["input"], ProblemCode.NOT_A_LENGTH, how_text=HOW_TO_WRITE)
    code = _CODES.get(kind)
    if code is None:
        message = detail["msg"]
        told = message[:1].lower() + message[1:] if error is None else str(error)
        return Problem.of(path, detail["input"], ProblemCode.AS_TOLD, told_text=told)
    return Problem.of(path, detail["input"], code, **_figures(kind, context))


def _comes_of_another(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """A list that seems too short only because its items are bad: the items' own problems say it."""
    place = detail["loc"]
    return detail["type"] == "too_short" and any(
        len(other["loc"]) > len(place) and other["loc"][: len(place)] == place for other in details
    )


def _path(location: tuple[int | str, ...]) -> Path:
    """Pydantic puts the name of the assembly's kind into the path; people do not write it there."""
    kind_at = 2 if location[:1] == ("assemblies",) else 0
    if len(location) > max(kind_at, 1) and location[kind_at] in ASSEMBLY_KINDS:
        return location[:kind_at] + location[kind_at + 1 :]
    return location


_CODES = {
    "extra_forbidden": ProblemCode.NOT_A_FIELD,
    "int_type": ProblemCode.NOT_WHOLE,
    "int_parsing": ProblemCode.NOT_WHOLE,
    "int_from_float": ProblemCode.NOT_WHOLE,
    "float_type": ProblemCode.NOT_A_NUMBER,
    "float_parsing": ProblemCode.NOT_A_NUMBER,
    "finite_number": ProblemCode.NOT_FINITE,
    "string_type": ProblemCode.NOT_TEXT,
    "tuple_type": ProblemCode.NOT_A_LIST,
    "dict_type": ProblemCode.NOT_AN_OBJECT,
    "model_type": ProblemCode.NOT_AN_OBJECT,
    "model_attributes_type": ProblemCode.NOT_AN_OBJECT,
    "string_pattern_mismatch": ProblemCode.PATTERN,
    "string_too_long": ProblemCode.TEXT_TOO_LONG,
    "string_too_short": ProblemCode.TEXT_TOO_SHORT,
    "string_unicode": ProblemCode.UNPRINTABLE,
    "too_short": ProblemCode.TOO_FEW_ITEMS,
    "too_long": ProblemCode.TOO_MANY_ITEMS,
    "greater_than": ProblemCode.NOT_ABOVE,
    "greater_than_equal": ProblemCode.BELOW,
    "less_than": ProblemCode.NOT_BELOW,
    "less_than_equal": ProblemCode.ABOVE,
    "literal_error": ProblemCode.NOT_THE_WORD,
    "enum": ProblemCode.NOT_AMONG,
    "union_tag_invalid": ProblemCode.UNKNOWN_KIND,
    "union_tag_not_found": ProblemCode.NO_KIND,
}
_FIGURES = {
    "pattern": "pattern_text",
    "max_length": "most_n",
    "min_length": "least_n",
    "gt": "bound_n",
    "ge": "bound_n",
    "lt": "bound_n",
    "le": "bound_n",
    "expected": "words_text",
    "expected_tags": "words_text",
}
"""What pydantic calls the figures of its errors, and what they are in ours."""


def _figures(kind: str, context: Mapping[str, Any]) -> dict[str, float | str]:
    if kind == "union_tag_not_found":
        return {"words_text": ", ".join(ASSEMBLY_KINDS)}
    return {_FIGURES[name]: value for name, value in context.items() if name in _FIGURES}
