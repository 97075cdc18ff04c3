"""JSON from outside, read once and checked at the edge, for the pages, the API and the command line.

A NUL or another control character, half a surrogate pair, a number that is none: refused here with a
sentence, so that nothing further in needs to expect them.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from typing import Any

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem
from domain.proposals import Change
from webapp.wording.problems import InputProblem

LARGEST_DOCUMENT = 8_000_000
"""Bytes. 5,000 assemblies take about 3 MB."""

_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


def parse_json(body: bytes) -> Any:
    """JSON from bytes: UTF-8, finite numbers, clean text, sane depth; BadInput otherwise."""
    try:
        value = json.loads(body.decode("utf-8-sig"), object_pairs_hook=_fields)
    except UnicodeDecodeError:
        raise BadInput([Problem.of((), "bytes", InputProblem.NOT_UTF8)]) from None
    except RecursionError:
        raise BadInput([Problem.of((), "brackets", InputProblem.TOO_DEEP)]) from None
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        rest = error.doc[error.pos : error.pos + 20] or "the end"
        reason = error.msg.lower()
        raise BadInput([Problem.of((place,), rest, InputProblem.NOT_JSON, reason_text=reason)]) from None
    except BadInput:
        raise
    except ValueError:  # Python refuses whole numbers of thousands of digits
        raise BadInput([Problem.of((), "a number", InputProblem.TOO_MANY_DIGITS)]) from None
    if not _is_clean(value):
        _refuse_what_is_not_clean(value)
    return value


def _fields(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object's fields; one written twice would silently lose the first."""
    fields = dict(pairs)
    if len(fields) < len(pairs):
        counted = Counter(name for name, _ in pairs)
        twice = next(name for name, count in counted.items() if count > 1)
        raise BadInput([Problem.of((), twice, InputProblem.FIELD_TWICE)])
    return fields


def _is_clean(document: Any) -> bool:
    """Whether everything in it can be used; without recursion, for the depth is the sender's choice.

    A path for each of a million values would take most of the time of reading them.
    """
    waiting = [document]
    while waiting:
        value = waiting.pop()
        if isinstance(value, str):
            if _UNPRINTABLE.search(value):
                return False
        elif isinstance(value, float):
            if not math.isfinite(value):
                return False
        elif isinstance(value, dict):
            waiting.extend(value)
            waiting.extend(value.values())
        elif isinstance(value, list):
            waiting.extend(value)
    return True


def _refuse_what_is_not_clean(document: Any) -> None:
    """Raise BadInput with the place of what cannot be used."""
    waiting: list[tuple[Path, Any]] = [((), document)]
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, str):
            refuse_unprintable(path, value)
        elif isinstance(value, float) and not math.isfinite(value):
            raise BadInput([Problem.of(path, value, InputProblem.NOT_FINITE)])
        elif isinstance(value, dict):
            for name, inner in value.items():
                refuse_unprintable(path, name)
                waiting.append(((*path, name), inner))
        elif isinstance(value, list):
            waiting.extend(((*path, index), inner) for index, inner in enumerate(value))


def refuse_unprintable(path: Path, text: str) -> None:
    """Raise BadInput where ``text`` holds what no person types."""
    if _UNPRINTABLE.search(text):
        raise BadInput([Problem.of(path, text, InputProblem.CONTROL_CHARACTER)])


def sent_changes(text: str) -> tuple[Change, ...]:
    """Changes of an assembly from JSON. Raises BadInput for what is none."""
    sent = parse_json(text.encode())
    if not isinstance(sent, list):
        raise BadInput([Problem.of(("changes",), sent, ProblemCode.NOT_A_LIST)])
    for each in sent:
        if not (isinstance(each, dict) and isinstance(each.get("path"), str) and "/" in each["path"]):
            raise BadInput([Problem.of(("changes",), each, ProblemCode.NOT_AN_OBJECT)])
    return tuple(Change.at(each["path"], each.get("value")) for each in sent)
