"""What a page answers with where its sheet is asked for on paper: the PDF, or the work that sets it."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import Request
from fastapi.responses import Response

from domain.lengths import Units
from domain.problems import BadInput, Refused
from webapp.pages.shop.jobs import begun
from webapp.papers.kinds import Paper
from webapp.site.failures import Words, failure
from webapp.usecases.drafts import paper_called, usual_paper
from webapp.usecases.jobs import Task

Printed = Callable[[Paper], bytes | Callable[[str], Task]]
"""A document on that paper; or, where setting it takes long, the task that sets it under a file's name."""


def paper_of(name: str) -> Paper:
    """The paper of that name, as a form or an address has it. Raises BadInput for one that there is not."""
    try:
        return paper_called(name)
    except Refused as refusal:
        raise BadInput([refusal.at(("paper",), name)]) from None


def pdf_answer(request: Request, name: str, units: Units, paper: str, printed: Printed) -> Response:
    """The document, on the usual paper of ``units`` where none is named; its file is "``name``-a4.pdf".

    Raises BadInput for a paper that there is not; what cannot be printed is answered 422 with the reasons.
    """
    size = paper_of(paper) if paper else usual_paper(units)
    file_name = f"{name}-{size.label.lower()}.pdf"
    try:
        body = printed(size)
    except BadInput as refused:
        sentence = " ".join(f"{problem}." for problem in refused.problems)
        return failure(request, 422, Words("It cannot be printed yet", sentence))
    if not isinstance(body, bytes):
        return begun(request, body(file_name))
    headers = {"Content-Disposition": f'inline; filename="{file_name}"'}
    return Response(body, media_type="application/pdf", headers=headers)
