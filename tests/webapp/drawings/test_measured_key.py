"""The key that is being measured: words and numbers on every dimension, figures only of what is known."""

from __future__ import annotations

import re

import pytest

from domain.lengths import Length, Mm, Units
from domain.measuring.proportions import DepthOver
from domain.measuring.sketch import bare_section, sketched
from webapp.drawings.measured_key import KnownMeasures, draw_measured_key, draw_whole_key
from webapp.drawings.model import Drawing, Polygon, Role
from webapp.usecases.demo import demo_catalogue

mm = Length.from_mm
# as the list says how to measure; the sixth, the leading end, is a drawing of its own
NUMBERED = ["1 overall width", "2 waist", "3 depth,", "4 cutter tip", "5 flank"]


def words(drawing: Drawing) -> list[str]:
    return [text.words for text in drawing.texts]


def in_one_line(drawing: Drawing) -> str:
    return " | ".join(words(drawing))


def test_a_whole_key_has_every_number_with_its_word_and_its_figure() -> None:
    section = next(section for section in demo_catalogue() if section.name == "14")
    drawing = draw_whole_key(section, Units.MM)
    for word in NUMBERED:
        assert any(text.startswith(word) for text in words(drawing)), word
    # by hand: 11.45 + 2 * 6 * tan 12° = 14.0007; (14.06 − 11.45) / (2 * tan 12°) = 6.1395
    for figure in ("1 overall width 14", "11.45", "12", "4 cutter tip 14.06", "12°", "6.14"):
        assert figure in words(drawing), figure
    (key,) = [shape for shape in drawing.shapes if isinstance(shape, Polygon) and shape.role is Role.KEY]
    assert max(x for x, _ in key.points) * 2 == pytest.approx(section.overall_width)


def test_no_two_texts_touch_whatever_is_known() -> None:
    for section in demo_catalogue():
        for over in (None, *DepthOver):
            wide, tip = Mm(section.overall_width), section.tip_diameter
            known = KnownMeasures(wide, section.waist, section.half_depth, over, section.flank, tip)
            for units in Units:
                texts = draw_measured_key(section, known, units=units).texts
                for place, text in enumerate(texts):
                    for other in texts[place + 1 :]:
                        assert not text.box.overlaps(other.box), (section.name, over, text.words, other.words)


def test_nothing_known_is_words_alone() -> None:
    drawing = draw_measured_key(sketched(None, None, None, None), KnownMeasures())
    assert not re.search(r"\d", re.sub(r"(^|\| )[1-6] ", " ", in_one_line(drawing)))
    assert "Nothing is measured yet." in drawing.describes
    # both ways of measuring the depth, until one is chosen
    assert in_one_line(drawing).count("3 depth,") == 2


def test_half_of_the_measures_are_said_and_drawn() -> None:
    drawing = draw_measured_key(sketched(mm(17), mm(13.9), None, None), KnownMeasures(Mm(17.0), mm(13.9)))
    assert "1 overall width 17" in words(drawing)
    assert "13.9" in words(drawing)
    (key,) = [shape for shape in drawing.shapes if isinstance(shape, Polygon) and shape.role is Role.KEY]
    assert max(x for x, _ in key.points) * 2 == pytest.approx(17)


def test_the_depth_is_dimensioned_as_it_was_measured() -> None:
    shape = bare_section(mm(13), mm(7), 11)
    whole = draw_measured_key(shape, KnownMeasures(depth=mm(14), over=DepthOver.WHOLE_KEY))
    side = draw_measured_key(shape, KnownMeasures(depth=mm(7), over=DepthOver.ONE_SIDE))
    assert "whole key | 14" in in_one_line(whole)
    assert "one side | 7" in in_one_line(side)


def test_figures_stand_in_the_shops_units() -> None:
    drawing = draw_whole_key(demo_catalogue()[2], Units.INCH)
    figures = [text for text in words(drawing) if re.search(r"\.\d", text)]
    assert len(figures) == 5
    assert all(re.search(r"\d\.\d{3}″$", text) for text in figures)


@pytest.mark.parametrize("tip", [5, 11.45])
def test_a_cutter_that_cannot_be_is_not_drawn(tip: float) -> None:
    section = bare_section(mm(12), mm(6.2), 11)
    known = KnownMeasures(Mm(14.4), mm(12), mm(12.4), DepthOver.WHOLE_KEY, 11, mm(tip))
    assert not any("cutter" in text for text in words(draw_measured_key(section, known)))
