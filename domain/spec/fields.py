"""The field types that the spec is made of: lengths, names and numbers within sane bounds."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, ClassVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    PlainSerializer,
    SerializerFunctionWrapHandler,
    WithJsonSchema,
    model_serializer,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from domain.lengths import HOW_TO_WRITE, LARGEST_MM, Length, Units, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import Refused


class Spec(BaseModel):
    """Base of everything typed in: frozen, and a misspelt field is refused rather than ignored."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        arbitrary_types_allowed=True,
        # built when first used: a page that reads no spec need not wait for it
        defer_build=True,
    )


def _above_zero(length: Length) -> Length:
    if length.nm <= 0:
        raise Refused(ProblemCode.NOT_ABOVE, bound_n=0)
    return length


def _not_negative(length: Length) -> Length:
    if length.nm < 0:
        raise Refused(ProblemCode.BELOW, bound_n=0)
    return length


def as_number(length: Length) -> int | float:
    """Millimetres as the file writes them: whole numbers without a point."""
    mm: float = length.mm
    return int(mm) if mm == int(mm) else mm


def _file_length(value: object) -> Length:
    return parse_length(value, Units.MM)


LENGTH_SCHEMA = {
    "anyOf": [
        {"type": "number", "exclusiveMinimum": 0, "maximum": LARGEST_MM},
        {"type": "string", "description": HOW_TO_WRITE, "maxLength": 40},
    ]
}

_ToNumber = PlainSerializer(as_number, return_type=int | float)
Size = Annotated[
    Length,
    BeforeValidator(_file_length),
    AfterValidator(_above_zero),
    _ToNumber,
    WithJsonSchema(LENGTH_SCHEMA),
]
"""A length above zero."""
Room = Annotated[
    Length,
    BeforeValidator(_file_length),
    AfterValidator(_not_negative),
    _ToNumber,
    WithJsonSchema(LENGTH_SCHEMA),
]
"""A length that may be zero."""


class OneLength(Spec):
    """Something that is one length as a rule: a length stands for it where nothing else is said of it.

    ``rule`` is the field that the length is, a Size.
    """

    rule: ClassVar[str]

    @model_validator(mode="before")
    @classmethod
    def _read(cls, value: object) -> object:
        if isinstance(value, Mapping | cls):
            return value
        return {cls.rule: _above_zero(_file_length(value))}

    @model_serializer(mode="wrap")
    def _write(self, handler: SerializerFunctionWrapHandler) -> Any:
        written = handler(self)
        return written[self.rule] if self.is_one_length else written

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        told = handler.resolve_ref_schema(handler(schema))
        return {"anyOf": [*LENGTH_SCHEMA["anyOf"], {**told}]}

    @property
    def is_one_length(self) -> bool:
        """True where nothing but the length is said."""
        return self == type(self).model_validate({self.rule: getattr(self, self.rule)})


def _printable(text: str) -> str:
    text = " ".join(text.split())
    if not text:
        raise Refused(ProblemCode.EMPTY)
    if any(unicodedata.category(sign) in {"Cc", "Cs", "Co", "Cn"} for sign in text):
        raise Refused(ProblemCode.UNPRINTABLE)
    return text


def _printable_lines(text: str) -> str:
    r"""Lines as they were written, without blanks at their ends and blank lines around them.

    >>> _printable_lines("\n Door opens \r\nto the left \n\n")
    ' Door opens\nto the left'
    """
    lines = [line.rstrip() for line in text.splitlines()]
    told = "\n".join(lines).strip("\n")
    if not told.strip():
        raise Refused(ProblemCode.EMPTY)
    if any(unicodedata.category(sign) in {"Cc", "Cs", "Co", "Cn"} for line in lines for sign in line):
        raise Refused(ProblemCode.UNPRINTABLE)
    return told


def _no_truth_value(value: object) -> object:
    if isinstance(value, bool):
        raise Refused(ProblemCode.NOT_A_NUMBER)
    return value


Number = Annotated[float, BeforeValidator(_no_truth_value)]
"""A plain number; ``true`` is none."""
Name = Annotated[str, Field(min_length=1, max_length=120), AfterValidator(_printable)]
LONGEST_NOTE = 2_000
Note = Annotated[str, Field(min_length=1, max_length=LONGEST_NOTE), AfterValidator(_printable_lines)]
"""What somebody writes beside a thing, in as many lines as it takes."""
Mark = Annotated[str, Field(min_length=1, max_length=12, pattern=r"^[A-Za-z0-9_.]+$")]
Quantity = Annotated[int, Field(strict=True, ge=1, le=10_000)]
Money = Annotated[int, Field(strict=True, ge=0, le=100_000_000)]
"""Whole minor units of a currency."""


def _in_the_calendar(text: str) -> str:
    try:
        date.fromisoformat(text)
    except ValueError:
        raise Refused(ProblemCode.NOT_A_DAY) from None
    return text


Day = Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"), AfterValidator(_in_the_calendar)]
"""A day of the Gregorian calendar as ISO 8601 writes it: in that form, text order is time order."""
