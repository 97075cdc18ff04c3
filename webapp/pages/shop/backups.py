"""Backups: when the last one was made, one more, a second folder, what each holds, and one put back."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, HTMLResponse, Response
from starlette.background import BackgroundTask

from domain.problems import BadInput, Problem
from webapp.form.fields import Field, Plain, Sort, form_of
from webapp.form.filled import Filled, blank, sent
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import Form, OnceForm, SentBefore
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.restore import OnServer
from webapp.usecases import archiving
from webapp.usecases import backups as making
from webapp.usecases.archiving import archived, is_empty_shop, received, taken_before, with_file
from webapp.usecases.backups import Look, Overview
from webapp.wording.backups import WHY, compared, moment_words, size_words
from webapp.wording.problems import InputProblem

router = APIRouter(include_in_schema=False)

FORM = form_of(
    Field(
        "second_folder",
        "Second folder",
        Sort.TEXT,
        required=False,
        longest=400,
        hint="On another disk or a drive: its whole path. Every backup is copied there too; empty for none.",
    ),
)


@dataclass(frozen=True, slots=True)
class Row:
    """A backup in the list: in words, with its file's name and whether it stands here and in the second folder."""

    name: str
    moment: str
    why: str
    size: str
    where: str


@dataclass(frozen=True, slots=True)
class BackupsPage:
    """The backups there are; ``made`` was just made, ``before`` is what was there before a restore just done.

    ``empty`` tells that the shop may take an archive in.
    """

    seen: Overview
    rows: tuple[Row, ...]
    form: Filled
    made: str
    before: str
    empty: bool
    on_server: bool = False


@dataclass(frozen=True, slots=True)
class ServerBackupsPage:
    """What stands in place of them where the data is on a server, whose own tools back it up."""

    empty: bool
    on_server: bool = True


@dataclass(frozen=True, slots=True)
class BackupPage:
    """What one backup holds, each with its count there and here."""

    name: str
    seen: Look
    rows: tuple[tuple[str, str, str], ...]
    changed: str
    size: str


@router.get(urls.backups)
def show(request: Request, made: str = "", before: str = "") -> HTMLResponse:
    """The backups there are."""
    return _page(request, made=made, before=before)


@router.post(urls.backups)
def make(request: Request, form: OnceForm) -> Response:
    """Make one now."""
    made = making.back_up_now(request.app.state.store, form.sending)
    return go_to(request, urls.backups(made=made.path.name))


@router.post(urls.second_folder)
def choose(request: Request, form: Form) -> Response:
    """Name the second folder, or none."""
    typed = sent(FORM, Plain(), form, edits=False)

    def save() -> str:
        values = typed.values()
        values.check()
        making.choose_second_folder(request.app.state.store, values["second_folder"] or "")
        return urls.backups()

    return saved(request, typed, save, lambda form, status: _page(request, form=form, status=status))


@router.get(urls.backup)
def look(request: Request, name: str) -> HTMLResponse:
    """What a backup holds, beside what is here: nothing is changed."""
    seen = making.look_into(request.app.state.store, name)
    held = seen.held
    return render(
        request,
        "shop/backup.html",
        BackupPage(
            name,
            seen,
            compared(held.counts, seen.here),
            moment_words(held.changed) if held.changed else "never",
            size_words(held.size),
        ),
    )


@router.get(urls.backup_file)
def download(request: Request, name: str) -> FileResponse:
    """The backup's file, to be kept elsewhere."""
    return FileResponse(making.backup_file(request.app.state.store, name), filename=name)


@router.post(urls.restore)
def restore(request: Request, name: str, form: OnceForm) -> Response:
    """Put a backup in place of the data."""
    done = making.put_back(request.app.state.store, name, form.sending)
    assert done.before is not None  # a damaged store is refused while it is served
    return go_to(request, urls.backups(before=done.before.path.name))


@router.get(urls.archive)
def archive(request: Request) -> FileResponse:
    """The whole shop as one open archive."""
    held = ExitStack()
    try:
        file = held.enter_context(archived(request.app.state.store))
    except BaseException:
        held.close()
        raise
    return FileResponse(
        file, filename=file.name, media_type="application/zip", background=BackgroundTask(held.close)
    )


@router.post(urls.unarchive)
def unarchive(request: Request, form: Form) -> Response:
    """Take an archive in, where the shop is empty."""
    store, sent = request.app.state.store, form.file("archive")
    if sent is None:
        raise BadInput([Problem.of(("archive",), "nothing", InputProblem.NO_ARCHIVE)])
    with received(store, sent.file) as file:
        sending = with_file(form.sending, file)
        kept = taken_before(store, sending)
        if kept is not None:
            raise SentBefore(kept)
        archiving.unarchive(store, sending, file, sent.filename or file.name)
    return go_to(request, urls.projects())


def _page(
    request: Request, *, form: Filled | None = None, made: str = "", before: str = "", status: int = 200
) -> HTMLResponse:
    try:
        seen = making.overview(request.app.state.store)
    except OnServer:
        return render(
            request,
            "shop/server_backups.html",
            ServerBackupsPage(is_empty_shop(request.app.state.store)),
            headers=MAIN_ONLY,
        )
    named = "" if seen.second is None else str(seen.second)
    return render(
        request,
        "shop/backups.html",
        BackupsPage(
            seen,
            _rows(seen),
            form or blank(FORM, Plain(), second_folder=named),
            made,
            before,
            is_empty_shop(request.app.state.store),
        ),
        status=status,
        headers=MAIN_ONLY,
    )


def _rows(seen: Overview) -> tuple[Row, ...]:
    here, there = ({each.path.name: each for each in found} for found in (seen.backups, seen.copies))
    every = sorted({**there, **here}.values(), key=lambda each: each.name.moment, reverse=True)
    made = [
        Row(
            each.path.name,
            moment_words(each.name.moment),
            WHY[each.name.why.value],
            size_words(each.size),
            _where(each.path.name in here, each.path.name in there),
        )
        for each in every
    ]
    return (*made, *(Row(path.name, "", "before an upgrade", "", "here") for path in seen.upgrades))


def _where(here: bool, there: bool) -> str:
    return "here and there" if here and there else "here" if here else "second folder"
