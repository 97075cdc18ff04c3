"""A mating face at full size: to print at 100 %, lay on the wood, and prick the centres through.

Nothing is shortened and nothing enlarged: a millimetre of the drawing is one of wood. A bar of known
length stands below, to be measured before the rest is believed.
"""

from __future__ import annotations

from collections.abc import Iterator

from domain.lengths import Units
from domain.planning.fit import mouth
from domain.planning.plans import JointPlan, SectionPlan
from domain.spec.choices import Entry
from webapp.drawings.dimensions import set_figure, tick
from webapp.drawings.model import Anchor, Drawing, Line, Role, RoundEnd, Shape, Text, TextRole, finished
from webapp.drawings.wood import outline
from webapp.wording.ends import depth
from webapp.wording.joint import JOINT_KINDS, origin

EM = 3.0
"""Height of the lettering in mm."""
BARS = {Units.MM: (50.0, "50 mm"), Units.INCH: (50.8, "2 in")}
"""The bar to measure: its length in mm, and what it says."""


def draw_full_size(joint: JointPlan, units: Units) -> Drawing:
    """The face seen square on, u along the joint line and v up from the entry edge, both in mm."""
    needs, face, plan = joint.joint, joint.joint.face, joint.plan
    entry = needs.entries[0] if plan is None else plan.entry
    region = face.region if entry is Entry.BOTH else face.region_from(entry)
    below = face.ends[0] if entry is Entry.BOTH else entry
    shapes: list[Shape] = [
        Line(Role.OUTLINE, (x0 / face.sine, v0), (x1 / face.sine, v1)) for (x0, v0), (x1, v1) in outline(region)
    ]
    name = f"Joint {needs.mark}: {JOINT_KINDS[needs.kind]}, {needs.place}"
    words = [f"left: {origin(face)}", f"below: {below.value}"]
    if plan is None:
        words.insert(0, "cannot be made as it stands")
    else:
        shapes += _slots(joint, plan)
        centres = ", ".join(set_figure(centre, units) for centre in plan.centres)
        words.insert(0, f"section {plan.section.name}, centres {centres}, {depth(face, plan, units).deep}")
    y = -2.2 * EM
    texts = [
        Text(TextRole.JOINT, (0.0, y), needs.mark, EM, Anchor.START),
        *(
            Text(TextRole.WORDS, (0.0, y - 1.4 * EM * row), line, EM, Anchor.START)
            for row, line in enumerate(words, 1)
        ),
    ]
    y -= 1.4 * EM * (len(words) + 1.2)
    bar, said = BARS[units]
    shapes += [Line(Role.DIMENSION, (0.0, y), (bar, y)), tick((0.0, y), EM), tick((bar, y), EM)]
    texts.append(Text(TextRole.FIGURE, (0.0, y - EM), f"measures {said} at full size", EM, Anchor.START))
    described = f"Full size. {'; '.join(words)}."
    return finished(name, described, EM, shapes, texts)


def _slots(joint: JointPlan, plan: SectionPlan) -> Iterator[Shape]:
    """The slots' mouths, concentric with their bottoms, and their centre lines."""
    tip, face = plan.cutter.tip_diameter, joint.joint.face
    radius = mouth(plan.section, tip, plan.projection) / 2
    for slot in joint.slots:
        far = plan.entry is Entry.BOTH and slot.entry is face.ends[1]
        foot, way = (face.run, -1.0) if far else (0.0, 1.0)
        yield RoundEnd(Role.SLOT, slot.centre, radius, foot, foot + way * (slot.depth - tip / 2), far)
        start, end = foot - way * 1.2 * EM, foot + way * (slot.depth + 0.7 * EM)
        yield Line(Role.CENTRE, (slot.centre, start), (slot.centre, end))
