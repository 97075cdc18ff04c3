"""The five forms by kind."""

from __future__ import annotations

from webapp.form.fields import AssemblyForm
from webapp.pages.projects.kinds import box, carcass, mitred_frame, railed_frame, single_joint

FORMS: dict[str, AssemblyForm] = {
    form.kind: form for form in (mitred_frame.FORM, railed_frame.FORM, box.FORM, carcass.FORM, single_joint.FORM)
}
