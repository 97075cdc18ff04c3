"""The form by which a file comes in: chosen or pasted, looked at before anything is stored, refused in whole."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Sequence
from dataclasses import dataclass

from fastapi import Request
from starlette._utils import get_route_path

from domain.problems import Problem, path_text, shown
from webapp.site.incoming import SentForm

MOST_SHOWN = 200
"""Problems, or changes, listed on a page; of more it says how many."""
LONGEST_PASTE = 400_000
"""Bytes of a refused file that are put into the text field, to be mended there."""

Listed = tuple[str, str, str]
"""A problem as the page lists it: place, value, what would work."""


@dataclass(frozen=True, slots=True)
class FileForm:
    """The form as it is shown: the pasted text, the problems listed, and how many more there are."""

    text: str = ""
    problems: Sequence[Listed] = ()
    more: int = 0

    @classmethod
    def refused(
        cls, body: bytes, problems: Sequence[Problem], place: Callable[[Problem], str] | None = None
    ) -> FileForm:
        """The form for a file with these problems, its text in the field unless it is too long to mend there."""
        text = body.decode("utf-8-sig", "replace") if len(body) <= LONGEST_PASTE else ""
        return cls(text, listed(problems, place), max(0, len(problems) - MOST_SHOWN))


def listed(problems: Sequence[Problem], place: Callable[[Problem], str] | None = None) -> list[Listed]:
    """The problems that a page has room for; ``place`` words where one stands, the path unless given."""
    told = place or (lambda problem: path_text(problem.path))
    return [(told(one), shown(one.value), one.text()) for one in problems[:MOST_SHOWN]]


def file_form(room: int) -> Callable[[Request], AsyncIterator[SentForm]]:
    """Dependency: a form that may carry a file of ``room`` bytes. Its text is checked where it is parsed."""

    async def read(request: Request) -> AsyncIterator[SentForm]:
        sent = await request.form(max_files=1, max_fields=10, max_part_size=room)
        try:
            form = SentForm(sent, get_route_path(request.scope))
            request.state.sent_fields = form.fields
            yield form
        finally:
            await sent.close()

    return read


def sent_file(form: SentForm, most: int) -> bytes:
    """The chosen file's bytes, one more than ``most`` where it has more, or else the pasted text's."""
    file = form.file("file")
    return pasted(form) if file is None else file.file.read(most + 1)


def pasted(form: SentForm) -> bytes:
    """The text that the form carries as the file."""
    return form.text("document").encode("utf-8", "surrogatepass")
