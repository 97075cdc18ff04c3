"""Changes that make a joint only together: several choices let go at once, or two or three sizes.

Looked for where no single change makes it. All sizes that may grow are grown alike until the joint is made; then
each is taken back as far as the others allow, the size of the whole first. What is found makes the joint and each
part of it is needed; that no other set would change less is not said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import combinations

from domain.advice.sizes import UP, Size, sizes_of
from domain.advice.trying import COARSE, FURTHEST, NEAR, Trying, fewest_steps
from domain.lengths import Length
from domain.notes import Note, NoteCode
from domain.planning.plans import JointPlan
from domain.proposals import Change, Proposal

Makes = Callable[[tuple[Change, ...]], bool]
CHOICES = {
    "section": "section",
    "entry": "edge that keys come from",
    "count": "keys across the joint",
    "plug": "plug",
    "recess": "recess",
}
SAID = {2: NoteCode.TWO_SIZES_SET, 3: NoteCode.THREE_SIZES_SET}
"""More sizes than these are another design, and no advice."""


def choices_together(joint: JointPlan, makes: Makes) -> Iterator[Proposal]:
    """The fewest pinned choices that have to be let go together."""
    pinned = [name for name in CHOICES if getattr(joint.joint.choices, name) is not None]
    for count in range(2, len(pinned) + 1):
        for names in combinations(pinned, count):
            changes = tuple(Change(("joints", joint.joint.mark, name), None) for name in names)
            if makes(changes):
                *first, last = (CHOICES[name] for name in names)
                told = f"{', '.join(first)} and {last}"
                yield Proposal(Note.of(NoteCode.CHOICE_LEFT, what_text=told), changes)
                return


def sizes_together(trying: Trying, makes: Makes) -> Iterator[tuple[float, Proposal]]:
    """Two or three sizes that make it together, and by how many mm they change in all."""
    sizes = _disjoint([size for size in sizes_of(trying.spec) if UP in size.ways])
    step = COARSE[trying.units].nm
    steps = NEAR.nm // step
    grown = dict.fromkeys(range(len(sizes)), steps)
    while not makes(_changes(trying, sizes, grown)):
        steps *= 2
        if steps * step > FURTHEST.nm or trying.left <= 0:
            return
        grown = dict.fromkeys(grown, steps)
    for place in reversed(range(len(sizes))):
        grown[place] = _least(trying, sizes, grown, place, makes)
    needed = [place for place, more in grown.items() if more]
    if len(needed) not in SAID or not makes(_changes(trying, sizes, grown)):
        return
    figures: dict[str, float | str] = {}
    for number, place in enumerate(needed, 1):
        figures[f"what{number}_text"] = sizes[place].words
        figures[f"value{number}"] = _value(trying, sizes[place], grown[place]).mm
    apart = sum(_value(trying, sizes[place], grown[place]).nm - sizes[place].value.nm for place in needed)
    yield apart / 1e6, Proposal(Note.of(SAID[len(needed)], **figures), _changes(trying, sizes, grown))


def _disjoint(sizes: Sequence[Size]) -> list[Size]:
    """The sizes without those that are part of another one: both sides together, not each."""
    parts = {path for size in sizes if len(size.paths) > 1 for path in size.paths}
    return [size for size in sizes if len(size.paths) > 1 or size.paths[0] not in parts]


def _least(trying: Trying, sizes: Sequence[Size], grown: Mapping[int, int], place: int, makes: Makes) -> int:
    """How few steps will do for one size while the others stay grown."""

    def does(steps: int) -> bool:
        return makes(_changes(trying, sizes, {**grown, place: steps}))

    return 0 if does(0) else fewest_steps(0, grown[place], does)


def _value(trying: Trying, size: Size, steps: int) -> Length:
    """The size so many steps larger, on the grid that sizes are rounded to."""
    step = COARSE[trying.units].nm
    return Length((size.value.nm // step + steps) * step) if steps else size.value


def _changes(trying: Trying, sizes: Sequence[Size], grown: Mapping[int, int]) -> tuple[Change, ...]:
    return tuple(
        change
        for place, steps in grown.items()
        if steps
        for change in trying.changes(sizes[place], _value(trying, sizes[place], steps))
    )
