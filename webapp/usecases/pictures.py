"""A picture that was sent: judged, and written anew as it is kept.

What is kept is never what was sent. A library that knows pictures decodes it, and a JPEG of our own is written
from the pixels alone: what a phone writes beside them, such as where it was, is left behind, and nothing but a
picture can come in under a picture's name.
"""

from __future__ import annotations

from io import BytesIO
from threading import Lock
from typing import IO

from PIL import Image, ImageOps, UnidentifiedImageError

from domain.problems import BadInput, Problem
from webapp.store.photographs import Picture
from webapp.wording.problems import InputProblem

MOST_BYTES = 8_000_000
MOST_PIXELS = 40_000_000
"""A picture of more is refused by what its head says, before anything of it is decoded."""
LONGEST_SIDE, SMALL_SIDE = 1_600, 320
"""In pixels: of a picture as it is kept, and of the small one in lists."""
_FORMATS = ("JPEG", "PNG", "WEBP")
_QUALITY = 85
_ONE_AT_A_TIME = Lock()
"""A large picture takes 300 MB while it is decoded; two at once are not needed."""

Image.MAX_IMAGE_PIXELS = MOST_PIXELS


def received(sent: IO[bytes]) -> bytes:
    """The bytes of a file that was sent. Raises BadInput for more than are read."""
    data = sent.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise _refused(InputProblem.FILE_TOO_LARGE, most_n=MOST_BYTES // 1_000_000)
    return data


def judged(data: bytes) -> Picture:
    """The picture in these bytes, upright, as it is kept. Raises BadInput with the path "photograph"."""
    if not data:
        raise _refused(InputProblem.NO_PHOTOGRAPH)
    with _ONE_AT_A_TIME:
        image = _decoded(data)
    small = image.copy()
    small.thumbnail((SMALL_SIDE, SMALL_SIDE), Image.Resampling.LANCZOS)
    return Picture(image.width, image.height, _jpeg(image), _jpeg(small))


def _decoded(data: bytes) -> Image.Image:
    try:
        with Image.open(BytesIO(data), formats=_FORMATS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise Image.DecompressionBombError
            # a JPEG can be decoded at a half, a quarter or an eighth of its size
            opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            image = _pixels_alone(ImageOps.exif_transpose(opened))
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _refused(InputProblem.TOO_MANY_PIXELS, most_n=MOST_PIXELS // 1_000_000) from None
    except UnidentifiedImageError:
        raise _refused(InputProblem.NOT_A_PHOTOGRAPH) from None
    except Exception:  # bytes of a stranger: decoders meet them with errors of a dozen kinds
        raise _refused(InputProblem.BROKEN_PHOTOGRAPH) from None
    image.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    return image


def _pixels_alone(image: Image.Image) -> Image.Image:
    """The picture in red, green and blue, on white where it is transparent, with nothing beside its pixels."""
    if image.mode.startswith("I"):  # greys of 16 bits, which would all turn white
        image = image.convert("I").point(lambda value: value * (1 / 256)).convert("L")
    made = Image.new("RGB", image.size, "white")
    if image.has_transparency_data:
        seen = image.convert("RGBA")
        made.paste(seen, mask=seen.getchannel("A"))
    else:
        made.paste(image.convert("RGB"))
    return made


def _jpeg(image: Image.Image) -> bytes:
    written = BytesIO()
    image.save(written, "JPEG", quality=_QUALITY, optimize=True)
    return written.getvalue()


def _refused(code: InputProblem, **figures: int) -> BadInput:
    return BadInput([Problem.of(("photograph",), "what was sent", code, **figures)])
