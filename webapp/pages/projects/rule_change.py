"""A change of the project's rules that was proposed for a joint, carried out and taken back."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from domain.advice.loosening import changes_back, loosened
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.proposals import RULES, Change
from webapp.form.carried import sent_version
from webapp.site import urls
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import go_to
from webapp.usecases import projects
from webapp.usecases.json_text import sent_changes
from webapp.wording.joint import changes_text

router = APIRouter(include_in_schema=False)

THE_SHOPS = Change((RULES,), None)
"""The project has no rules of its own any more."""


@router.post(urls.change_rules)
def change(request: Request, project_id: RowId, sent: OnceForm) -> Response:
    """Give the project the rules that the change comes to, and go back to the joint that it was proposed for."""
    store, changes = request.app.state.store, sent_changes(sent.text("changes"))
    for each in changes:
        if not each.of_rules:
            raise BadInput([Problem.of(each.path, each.value, ProblemCode.NOT_A_FIELD)])
    means = projects.bench(store, project_id).means
    own = loosened(means.rules, [each for each in changes if each != THE_SHOPS])
    version = sent_version(sent.text("project_version"))
    projects.save_rules(store, sent.sending, project_id, version, None if THE_SHOPS in changes else own)
    back = (*changes_back(means.rules, own), *(() if means.own_rules else (THE_SHOPS,)))
    mark, part = sent.text("joint"), sent.text("assembly")
    return go_to(
        request, urls.schedule(project_id, at=f"joint-{mark}", changed=part, joint=mark, back=changes_text(back))
    )
