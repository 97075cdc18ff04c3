"""Pictures made for the tests, as a camera or a stranger would send them."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from httpx import Response
from PIL import Image

from tests.client import TestClient
from webapp.form.carried import new_token
from webapp.site import urls

ORIENTATION, GPS, LATITUDE = 0x0112, 0x8825, 2
"""Tags of Exif 2.32 (CIPA DC-008), from memory."""


def a_picture(kind: str = "JPEG", size: tuple[int, int] = (60, 40), colour: Any = "peru", **saved: Any) -> bytes:
    """A picture of one colour in a format that Pillow writes."""
    mode = saved.pop("mode", "RGB")
    written = BytesIO()
    Image.new(mode, size, colour).save(written, kind, **saved)
    return written.getvalue()


def opened(body: bytes) -> Image.Image:
    """The picture in these bytes, decoded."""
    image = Image.open(BytesIO(body))
    image.load()
    return image


def send_photograph(
    client: TestClient,
    body: bytes | None,
    project: int = 1,
    *,
    token: str | None = None,
    name: str = "photo.jpg",
    **texts: str,
) -> Response:
    """Send the form that adds a photograph."""
    # a form of this kind goes in parts, also where no file was chosen
    files = {"photograph": (name, body) if body is not None else ("", b"")}
    fields = {"token": new_token() if token is None else token, "mark": ".", **texts}
    answer: Response = client.post(urls.photographs(project), data=fields, files=files)
    return answer


def add_photograph(client: TestClient, project: int = 1, **texts: str) -> Response:
    """The same with a small picture, taken."""
    answer = send_photograph(client, a_picture(), project, **texts)
    assert answer.status_code == 303
    return answer
