"""The form of a single joint."""

from __future__ import annotations

from domain.spec.assemblies import SingleJoint
from webapp.form.common import whole_form
from webapp.form.fields import AssemblyForm, Field, Group, Sort, Start

FORM = AssemblyForm(
    kind="single_joint",
    title="Single joint",
    use="One joint typed in by hand, for all that is none of these",
    spec=SingleJoint,
    groups=whole_form(
        Group(
            "Mating face",
            (
                Field("breadth", "Breadth along the joint line", start=Start("70", "2 3/4")),
                Field("run", "Run along the slot", start=Start("24", "15/16")),
                Field(
                    "angle",
                    "Angle to the outer edge",
                    Sort.NUMBER,
                    start="90",
                    unit="°",
                    hint="45 a square mitre, 90 a butt joint",
                ),
                Field(
                    "entry",
                    "Keys may go in from",
                    Sort.CHOICE,
                    start="back",
                    options=(("back", "Back"), ("both", "Both edges")),
                ),
            ),
        ),
        Group(
            "Wood behind the face",
            (
                Field("behind.0", "First member", start=Start("55", "2 1/8")),
                Field("behind.1", "Second member", start=Start("55", "2 1/8")),
            ),
        ),
    ),
)
