"""The choice of a section with one of its cutters, as one set of radio buttons."""

from __future__ import annotations

from collections.abc import Iterable

from domain.spec.catalogue import CutterKind, Section
from webapp.form.fields import Options

WHICH_TOOL = "choose the section and the cutter that milled it"
Tool = tuple[str, CutterKind]
"""A section's name and one of its cutters."""


def tool_value(section: str, cutter: CutterKind) -> str:
    """What a form sends for a section and cutter.

    >>> tool_value("14", CutterKind.CLOSE), read_tool("free:1:4"), read_tool("14")
    ('close:14', ('1:4', <CutterKind.FREE: 'free'>), None)
    """
    return f"{cutter}:{section}"


def read_tool(text: str) -> Tool | None:
    """The section and cutter that a form sent; None where it sent none."""
    cutter, colon, section = text.partition(":")
    return (section, CutterKind(cutter)) if colon and section and cutter in set(CutterKind) else None


def tools(sections: Iterable[Section]) -> Options:
    """Every section with every cutter that it has, as value and words."""
    return tuple(
        (tool_value(section.name, cutter), tool_words(section.name, cutter))
        for section in sections
        for cutter in CutterKind
        if section.tip(cutter) is not None
    )


def tool_words(section: str, cutter: CutterKind) -> str:
    """A section and cutter in words.

    >>> tool_words("14", CutterKind.FREE)
    'Section 14, free-fit cutter'
    """
    return f"Section {section}, {cutter.words} cutter"
