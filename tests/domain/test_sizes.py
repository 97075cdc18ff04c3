"""The sizes of an order, one thing to be made a line. Every expected figure is worked by hand: 1 in = 25.4 mm."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import Length, Units, format_inches, format_mm
from domain.problem_codes import ProblemCode
from domain.spec.sizes import MOST_LINES, BadLine, Line, SizesLine, read_sizes

FRAME = ("width", "height")
BOX = ("length", "width", "height")
MM, INCH = Units.MM, Units.INCH


def one(text: str, axes: tuple[str, ...] = FRAME, units: Units = MM) -> SizesLine:
    (line,) = read_sizes(text, axes, units)
    assert isinstance(line, SizesLine), line
    return line


def said(line: Line) -> tuple[tuple[float, ...], int | None, str | None]:
    assert isinstance(line, SizesLine), line
    return tuple(size.mm for size in line.sizes), line.quantity, line.name


@pytest.mark.parametrize(
    ("text", "sizes", "quantity", "name"),
    [
        ("534x287*4", (534, 287), 4, None),
        ("534 X 287", (534, 287), None, None),
        ("534 × 287 * 4", (534, 287), 4, None),
        ("534 by 287, 4 off", (534, 287), 4, None),
        ("534x287 4 pcs", (534, 287), 4, None),
        ("53,4x28.7 cm, 4", (534, 287), 4, None),  # a comma between digits is a decimal comma
        ("534,5x287", (534.5, 287), None, None),
        ("534x287,4", (534, 287.4), None, None),  # and so this one is too
        ("534x287, 4", (534, 287), 4, None),
        ("534, 287, 4, Hall", (534, 287), 4, "Hall"),
        ("534;287;4;Flur, links", (534, 287), 4, "Flur, links"),
        ("534,5;287,25;4", (534.5, 287.25), 4, None),
        ("534\t287\t4\tLarge hall", (534, 287), 4, "Large hall"),
        ("534\t287\t\tHall", (534, 287), None, "Hall"),
        ("534\t287\tHall", (534, 287), None, "Hall"),
        ("534\t287\t4\t\t", (534, 287), 4, None),
        ('534\t287\t4\t"Hall, ""large"""\t', (534, 287), 4, 'Hall, "large"'),
        ('612,5\t301\t\tHall 12"\r', (612.5, 301), None, 'Hall 12"'),
        ("534x287;Hall", (534, 287), None, "Hall"),
        ("534x287*4, Hall", (534, 287), 4, "Hall"),
        ("534x287, 2nd floor", (534, 287), None, "2nd floor"),
        ("9 x 11 in, 2 off", (228.6, 279.4), 2, None),
        ('9x11"*2', (228.6, 279.4), 2, None),
        ("9 3/4 x 11", (247.65, 279.4), None, None),  # a fraction says inches, for both
        ("9 3/4 x 280 mm", (247.65, 280), None, None),
        ("1'4\" x 11", (406.4, 279.4), None, None),
        ("2 x 3 ft", (609.6, 914.4), None, None),
        ("40cm x 254mm", (400, 254), None, None),
        ("0.5 x 1.2 m", (500, 1200), None, None),
    ],
)
def test_a_line_is_read_as_orders_write_it(
    text: str, sizes: tuple[float, ...], quantity: int | None, name: str | None
) -> None:
    assert said(*read_sizes(text, FRAME, MM)) == (sizes, quantity, name)


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("9x11", (228.6, 279.4)),
        ("9.5x11 1/8", (241.3, 282.575)),
        ("230x280 mm", (230, 280)),
        ("230 mm x 11 in", (230, 279.4)),
    ],
)
def test_plain_numbers_are_the_readers_units(text: str, sizes: tuple[float, ...]) -> None:
    assert tuple(size.mm for size in one(text, units=INCH).sizes) == sizes


def test_a_box_has_three_sizes_and_a_polygon_one() -> None:
    assert said(one("333x217x96*2", BOX)) == ((333, 217, 96), 2, None)
    assert said(one("333\t217\t96\t2\tTools", BOX)) == ((333, 217, 96), 2, "Tools")
    assert said(one("455*6", ("across",))) == ((455,), 6, None)
    assert said(one("455; 6; Clock", ("across",))) == ((455,), 6, "Clock")


def test_a_pasted_block_keeps_the_numbers_of_its_lines_and_passes_over_its_heading() -> None:
    block = "Width\tHeight\tHow many\n534\t287\t4\n\n612\t301\t\n"
    lines = read_sizes(block, FRAME, MM)
    assert [(line.number, said(line)) for line in lines] == [
        (2, ((534, 287), 4, None)),
        (4, ((612, 301), None, None)),
    ]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("534", ProblemCode.SIZES_COUNT),
        ("Hall", ProblemCode.SIZES_COUNT),
        ("534x287x96", ProblemCode.SIZES_COUNT),
        ("534*287", ProblemCode.SIZES_COUNT),
        ("x287", ProblemCode.SIZES_COUNT),
        ("534,287,4", ProblemCode.SIZES_COUNT),
        ("534xabc", ProblemCode.SIZES_NO_LENGTH),
        ("534\tabc\t3", ProblemCode.SIZES_NO_LENGTH),
        ("1.250,5x300", ProblemCode.SIZES_NO_LENGTH),
        ("534x0", ProblemCode.SIZE_NOT_ABOVE_ZERO),
        ("-5x287", ProblemCode.SIZE_NOT_ABOVE_ZERO),
        ("534x287*0", ProblemCode.SIZES_HOW_MANY),
        ("534x287*2.5", ProblemCode.SIZES_HOW_MANY),
        ("534x287, -1", ProblemCode.SIZES_HOW_MANY),
        ("534x287*10001", ProblemCode.SIZES_HOW_MANY),
        ("534x287*", ProblemCode.SIZES_HOW_MANY),
        ("534x287*2, 3", ProblemCode.SIZES_MORE),
        ("534;287;2;Hall;oak", ProblemCode.SIZES_MORE),
        ("534x287;" + "n" * 121, ProblemCode.TEXT_TOO_LONG),
        ("534x287" + " " * 300 + "*2", ProblemCode.TEXT_TOO_LONG),
    ],
)
def test_a_line_that_says_no_sizes_is_named_with_what_would_do(text: str, code: ProblemCode) -> None:
    good, bad, last = read_sizes(f"600x400\n{text}\n500x300", FRAME, MM)
    assert isinstance(bad, BadLine)
    assert isinstance(good, SizesLine)
    assert isinstance(last, SizesLine)
    assert (bad.number, bad.text, bad.problem.path, bad.problem.code) == (2, text, ("sizes", 2), code)


def test_two_units_in_a_line_leave_no_plain_number() -> None:
    (bad,) = read_sizes("9 in x 254 mm x 90", BOX, MM)
    assert isinstance(bad, BadLine)
    assert bad.problem.code is ProblemCode.SIZES_UNITS
    assert said(one("9 in x 254 mm x 90 mm", BOX)) == ((228.6, 254, 90), None, None)


def test_the_refusal_says_what_a_line_of_this_kind_looks_like() -> None:
    (bad,) = read_sizes("534", BOX, MM)
    assert isinstance(bad, BadLine)
    assert bad.problem.text() == (
        "must say length × width × height and says 1 size; write 520x365x240, or 520x365x240*3 for three"
    )


def test_one_line_too_many_is_refused_and_the_rest_left() -> None:
    lines = read_sizes("600x400\n" * (MOST_LINES + 5), FRAME, MM)
    assert len(lines) == MOST_LINES + 1
    last = lines[-1]
    assert isinstance(last, BadLine)
    assert last.problem.code is ProblemCode.SIZES_TOO_MANY


TYPED = st.text(alphabet="0123456789xX×*.,;\t\n /\"'½ -bycmfotin", max_size=60) | st.text(max_size=60)


@given(TYPED, st.sampled_from([FRAME, BOX, ("across",)]), st.sampled_from([MM, INCH]))
def test_any_text_is_read_or_refused_line_by_line(text: str, axes: tuple[str, ...], units: Units) -> None:
    lines = read_sizes(text, axes, units)
    numbers = [line.number for line in lines]
    assert numbers == sorted(set(numbers))
    assert set(numbers) <= set(range(1, len(text.splitlines()) + 1))
    for line in lines:
        if isinstance(line, SizesLine):
            assert len(line.sizes) == len(axes)
            assert all(size.nm > 0 for size in line.sizes)
            assert line.quantity is None or 1 <= line.quantity <= 10_000
        else:
            assert line.problem.text(units)
            assert line.text in text


SIZE = st.integers(1, 3_000_000).map(lambda micrometres: Length(micrometres * 1000))
SIXTY_FOURTHS = st.integers(1, 64 * 300).map(lambda parts: Length(parts * 396_875))
NAMES = st.none() | st.from_regex(r"[A-Z][a-z]{1,8}( [a-z]{2,5})?", fullmatch=True)
MANY = st.none() | st.integers(1, 10_000)


@given(st.tuples(SIZE, SIZE, SIZE), MANY, NAMES, st.sampled_from(["x", " × ", " by "]), st.booleans())
def test_millimetres_survive_being_written_in_either_shape(
    sizes: tuple[Length, ...], many: int | None, name: str | None, times: str, comma: bool
) -> None:
    figures = [format_mm(size.mm).replace(".", "," if comma else ".") for size in sizes]
    wanted = (tuple(size.mm for size in sizes), many, name)
    starred = f"*{many}" if many else ""
    assert said(one(times.join(figures) + starred + (f"; {name}" if name else ""), BOX)) == wanted
    assert said(one(times.join(figures) + f" mm{starred}" + (f", {name}" if name else ""), BOX, INCH)) == wanted
    for sign in ("\t", ";"):
        assert said(one(sign.join([*figures, str(many or ""), name or ""]), BOX)) == wanted


@given(st.tuples(SIXTY_FOURTHS, SIXTY_FOURTHS), MANY)
def test_every_64th_of_an_inch_survives(sizes: tuple[Length, ...], many: int | None) -> None:
    figures = [format_inches(size.mm) for size in sizes]
    starred = f"*{many}" if many else ""
    for text in (" x ".join(figures) + starred, "x".join(f'{figure}"' for figure in figures) + starred):
        line = one(text, units=INCH)
        assert (line.sizes, line.quantity) == (sizes, many)
