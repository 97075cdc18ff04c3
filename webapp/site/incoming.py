"""What comes in from outside, read once and checked at the edge: forms, JSON and row numbers.

Text with a NUL, another control character or half a surrogate pair, and numbers that are none, are
refused here with a sentence; nothing further in needs to expect them.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from typing import Annotated, Any

from fastapi import Depends, Path, Request
from starlette._utils import get_route_path
from starlette.datastructures import FormData, UploadFile

from webapp.store.tokens import KeptSending, Sending
from webapp.usecases.booking import sent_before
from webapp.usecases.json_text import parse_json, refuse_unprintable

RowId = Annotated[int, Path(ge=1, le=2**53)]
"""A row's number in an address. Anything else is an address that does not exist (404)."""


class SentForm:
    """A form as it was sent to ``route``: plain text by field name, and files."""

    def __init__(self, sent: FormData, route: str = "", device: str = "") -> None:
        self._route, self._device = route, device
        self._texts: dict[str, list[str]] = {}
        self._files: dict[str, UploadFile] = {}
        for name, value in sent.multi_items():
            if isinstance(value, UploadFile):
                self._files[name] = value
            else:
                self._texts.setdefault(name, []).append(value)

    def text(self, name: str) -> str:
        """The field's text without outer spaces; "" when it was not sent. The last one when sent twice."""
        return self._texts.get(name, [""])[-1].strip()

    def texts(self, name: str) -> list[str]:
        """Every value sent under ``name``, in order: for rows that repeat a field."""
        return [text.strip() for text in self._texts.get(name, [])]

    def file(self, name: str) -> UploadFile | None:
        """The uploaded file; None when none was chosen. Read it with ``.file.read()``."""
        file = self._files.get(name)
        return file if file is not None and file.filename else None

    def names(self) -> list[str]:
        """The names of all text fields sent."""
        return list(self._texts)

    @property
    def fields(self) -> tuple[tuple[str, str], ...]:
        """Every text with its field's name, as they were sent."""
        return tuple((name, text) for name, texts in self._texts.items() for text in texts)

    @property
    def sending(self) -> Sending:
        """The form as what it books is kept with: its token, where it was sent, and every text."""
        return Sending.of(self.text("token"), self._route, self._texts, self._device)

    def values(self) -> dict[str, str]:
        """Every field's text, to show the form again just as it was typed."""
        return {name: texts[-1] for name, texts in self._texts.items()}


async def read_form(request: Request) -> AsyncIterator[SentForm]:
    """Dependency: the request's form. Raises BadInput for text that no person types."""
    sent = await request.form()
    try:
        for name, value in sent.multi_items():
            if isinstance(value, str):
                refuse_unprintable((name,), value)
            refuse_unprintable(("the form",), name)
        read = SentForm(sent, get_route_path(request.scope), getattr(request.state, "device_name", ""))
        request.state.sent_fields = read.fields
        request.state.token = read.text("token")
        yield read
    finally:
        await sent.close()


class SentBefore(Exception):
    """The very form has been acted on already: ``kept`` says with what result, which is told again."""

    def __init__(self, kept: KeptSending) -> None:
        self.kept = kept
        super().__init__()


def sent_once(read: Callable[[Request], AsyncIterator[SentForm]]) -> Callable[..., SentForm]:
    """Dependency: a form that ``read`` reads and that books once.

    Where it has been acted on, nothing of it is looked at again, for what it rested on has changed with it:
    raises SentBefore, or SentOtherwise where another text was acted on.
    """

    # not ``async``: the store is asked in a thread
    def new(request: Request, form: SentForm = Depends(read)) -> SentForm:  # noqa: B008  FastAPI's way
        kept = sent_before(request.app.state.store, form.sending)
        if kept is not None:
            raise SentBefore(kept)
        return form

    return new


async def read_body(request: Request) -> bytes:
    """Dependency: the request's body as it came."""
    return await request.body()


def read_json(body: Annotated[bytes, Depends(read_body)]) -> Any:
    """Dependency: the request's JSON, any value. Raises BadInput naming what cannot be read.

    Not ``async``: a large document is parsed in a thread, while others are answered.
    """
    return parse_json(body)


Form = Annotated[SentForm, Depends(read_form)]
"""A parameter type for page endpoints that store nothing: ``def look(request: Request, form: Form)``."""

OnceForm = Annotated[SentForm, Depends(sent_once(read_form))]
"""A parameter type for page endpoints that store something, once for each form."""

Json = Annotated[Any, Depends(read_json)]
"""A parameter type for API endpoints: the request's JSON, read and checked."""
