"""The five forms by kind."""

from __future__ import annotations

from webapp.form.fields import AssemblyForm
from webapp.pages.projects.kinds import box, carcass, loose_joint, mitred_frame, railed_frame

FORMS: dict[str, AssemblyForm] = {
    form.kind: form for form in (mitred_frame.FORM, railed_frame.FORM, box.FORM, carcass.FORM, loose_joint.FORM)
}
