"""Long work as a page: how far it is, a button that ends it, and what came of it."""

from __future__ import annotations

import time
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import Response

from webapp.site import urls
from webapp.site.failures import Words, failure
from webapp.site.gate import asked_by
from webapp.site.rendering import go_to, render, wants_fragment
from webapp.usecases.apart import Step
from webapp.usecases.jobs import Job, Jobs, State, Task, TooMuchAtOnce
from webapp.usecases.long_work import TakesLong

router = APIRouter(include_in_schema=False)

OVER = Words(
    "No longer here", "This work is over, and what came of it has been let go. Begin it again on its page."
)
TOO_MUCH = Words(
    "Too much at once", "Other long work is waiting already. Let some of it end, or end it, and try again."
)
RETRY = {"Retry-After": "10"}
SOON = 2.0
"""Seconds that somebody waits for work before its page is shown."""


@dataclass(frozen=True, slots=True)
class JobPage:
    """A job as it is told: ``leads`` is where its result is, ``before`` how many come first."""

    key: str
    title: str
    back: str
    again: str
    state: str
    step: Step
    before: int
    seconds: int
    leads: str
    reasons: tuple[str, ...]


def begun(request: Request, task: Task) -> Response:
    """The answer to what began the task: on to its page."""
    jobs: Jobs = request.app.state.jobs
    try:
        job = jobs.begin(task, asked_by(request))
    except TooMuchAtOnce:
        return failure(request, 503, TOO_MUCH, headers=RETRY)
    if task.again and jobs.wait(job, SOON) and job.state is State.DONE:
        return go_to(request, job.outcome.address)
    return go_to(request, urls.job(job.key))


def begun_first(request: Request, late: TakesLong, leads: str = "") -> Response:
    """The answer where long work comes first: it is begun, and ``leads`` on; usually to what was asked for."""
    asked = f"{request.url.path}?{request.url.query}" if request.url.query else request.url.path
    return begun(request, late.work.task(leads or asked, _above(request)))


def _above(request: Request) -> str:
    """The page above the one that was asked for: its project's, or the list of projects."""
    number = request.path_params.get("project_id", "")
    above = urls.project(number) if number else urls.projects()
    return urls.projects() if above == request.url.path else above


@router.get(urls.job)
def show(request: Request, key: str) -> Response:
    """How far it is. A page that asks again and again is led on once it is done."""
    jobs: Jobs = request.app.state.jobs
    job = jobs.ask(key)
    if job is None:
        return failure(request, 404, OVER)
    leads = _leads(job)
    if job.state is State.DONE and wants_fragment(request):
        return go_to(request, leads)
    return render(
        request,
        "shop/job.html",
        JobPage(
            key=key,
            title=job.task.title,
            back=job.task.back,
            again=job.task.again or job.task.back,
            state=job.state.value,
            step=job.step,
            before=jobs.before(job),
            seconds=int(time.monotonic() - job.begun),
            leads=leads,
            reasons=job.outcome.reasons,
        ),
        fragment="shop/_job.html",
    )


@router.post(urls.end_job)
def end(request: Request, key: str) -> Response:
    """End it; its page says that it was ended."""
    jobs: Jobs = request.app.state.jobs
    jobs.end(key)
    return go_to(request, urls.job(key))


@router.get(urls.job_result)
def result(request: Request, key: str) -> Response:
    """The file that came of it, as often as it is asked for while it is kept."""
    jobs: Jobs = request.app.state.jobs
    job = jobs.ask(key)
    body = b"" if job is None else job.body()
    if job is None or not body:
        return failure(request, 404, OVER)
    headers = {"Content-Disposition": f'inline; filename="{job.outcome.name}"'}
    return Response(body, media_type="application/pdf", headers=headers)


def _leads(job: Job) -> str:
    return job.outcome.address or (urls.job_result(job.key) if job.outcome.name else "")
