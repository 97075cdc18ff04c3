"""Pictures that come in: each format, upright, without what a camera writes beside them; and what is none.

What is written is read back by Pillow, which also wrote what is sent: the formats are its own matter, what is
checked is what becomes of them here.
"""

from __future__ import annotations

import struct
import zlib
from io import BytesIO

import pytest
from PIL import Image, PngImagePlugin

from domain.problems import BadInput
from tests.webapp.pages.photograph_samples import GPS, LATITUDE, ORIENTATION, a_picture, opened
from webapp.usecases.pictures import LONGEST_SIDE, MOST_BYTES, SMALL_SIDE, judged, received
from webapp.wording.problems import InputProblem

BROWN = (205, 133, 63)


def near(seen: object, wanted: tuple[int, int, int]) -> bool:
    """Whether a pixel is of that colour, but for what JPEG makes of it."""
    assert isinstance(seen, tuple)
    return all(abs(one - other) <= 6 for one, other in zip(seen, wanted, strict=True))


def refusal(data: bytes) -> object:
    with pytest.raises(BadInput) as told:
        judged(data)
    (problem,) = told.value.problems
    assert problem.path == ("photograph",)
    return problem.code


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_each_format_becomes_a_jpeg(kind: str) -> None:
    kept = judged(a_picture(kind, (60, 40)))
    image = opened(kept.body)
    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (60, 40))
    assert (kept.width, kept.height) == (60, 40)
    assert near(image.getpixel((30, 20)), BROWN)


@pytest.mark.parametrize(
    ("mode", "kind", "colour", "seen"),
    [
        ("L", "PNG", 200, (200, 200, 200)),
        ("I;16", "PNG", 200 * 256, (200, 200, 200)),
        ("1", "PNG", 1, (255, 255, 255)),
        ("CMYK", "JPEG", (0, 0, 0, 0), (255, 255, 255)),
        ("RGBA", "PNG", (205, 133, 63, 0), (255, 255, 255)),
        ("RGBA", "WEBP", (205, 133, 63, 255), BROWN),
    ],
)
def test_other_ways_to_keep_colours(mode: str, kind: str, colour: object, seen: tuple[int, int, int]) -> None:
    image = opened(judged(a_picture(kind, mode=mode, colour=colour)).body)
    assert near(image.getpixel((30, 20)), seen)


def test_a_large_one_becomes_as_large_as_is_looked_at() -> None:
    kept = judged(a_picture(size=(4_000, 3_000), colour="peru"))
    assert (kept.width, kept.height) == opened(kept.body).size == (LONGEST_SIDE, 1_200)
    assert opened(kept.thumbnail).size == (SMALL_SIDE, 240)


def test_the_busiest_picture_has_room() -> None:
    noise = Image.effect_noise((1_600, 1_600), 200).convert("RGB")
    written = BytesIO()
    noise.save(written, "JPEG", quality=70)
    kept = judged(written.getvalue())
    # what the table takes
    assert len(kept.body) <= 4_000_000
    assert len(kept.thumbnail) <= 200_000


def test_it_is_upright_and_says_nothing_of_the_place() -> None:
    image = Image.new("RGB", (60, 40), "white")
    image.paste((200, 0, 0), (0, 0, 30, 40))  # red on the left
    exif = Image.Exif()
    exif[ORIENTATION] = 6  # the camera was turned: the left is the top
    exif.get_ifd(GPS)[LATITUDE] = (48.0, 12.0, 0.0)
    written = BytesIO()
    image.save(written, "JPEG", exif=exif, comment=b"taken by somebody", quality=95)
    assert opened(written.getvalue()).getexif().get_ifd(GPS)

    kept = judged(written.getvalue())
    for body in (kept.body, kept.thumbnail):
        shown = opened(body)
        assert shown.size == (40, 60)
        assert near(shown.getpixel((20, 10)), (200, 0, 0))
        assert near(shown.getpixel((20, 50)), (255, 255, 255))
        assert dict(shown.getexif()) == {}
        assert not {"exif", "comment", "icc_profile", "xmp"} & shown.info.keys()
        assert b"Exif" not in body
        assert b"somebody" not in body


def test_words_in_a_picture_stay_outside() -> None:
    told = PngImagePlugin.PngInfo()
    told.add_text("Author", "somebody")
    assert b"somebody" not in judged(a_picture("PNG", pnginfo=told)).body


@pytest.mark.parametrize(
    "data",
    [
        b"two rails and a stile",
        b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
        b"%PDF-1.7",
        a_picture("GIF"),
        a_picture("TIFF"),
        a_picture("BMP"),
    ],
)
def test_what_is_no_such_picture(data: bytes) -> None:
    assert refusal(data) is InputProblem.NOT_A_PHOTOGRAPH


def test_nothing_is_no_picture() -> None:
    assert refusal(b"") is InputProblem.NO_PHOTOGRAPH


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_half_a_picture(kind: str) -> None:
    noise = Image.effect_noise((200, 200), 90).convert("RGB")
    written = BytesIO()
    noise.save(written, kind)
    whole = written.getvalue()
    assert refusal(whole[: len(whole) // 2]) is InputProblem.BROKEN_PHOTOGRAPH


def png_of(width: int, height: int) -> bytes:
    """The head of a PNG (ISO/IEC 15948) that claims so many pixels, and next to none of them."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 64)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(("width", "height"), [(6_400, 6_400), (10_000, 10_000), (60_000, 60_000)])
@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
def test_a_bomb_is_told_by_its_head(width: int, height: int) -> None:
    assert refusal(png_of(width, height)) is InputProblem.TOO_MANY_PIXELS


def test_more_bytes_than_are_read() -> None:
    assert received(BytesIO(b"a" * MOST_BYTES)) == b"a" * MOST_BYTES
    with pytest.raises(BadInput, match="must be at most 8 MB"):
        received(BytesIO(b"a" * (MOST_BYTES + 1)))
