"""How pages look on this device: the page where that is chosen."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from webapp.form.fields import Options
from webapp.site import urls
from webapp.site.incoming import Form
from webapp.site.look import COOKIE, KEPT_FOR, Letters, Look, Scheme, look_of
from webapp.site.rendering import go_to, render

router = APIRouter(include_in_schema=False)

SCHEMES: Options = (
    (Scheme.DEVICE.value, "As the device is set"),
    (Scheme.LIGHT.value, "Light: ink on paper"),
    (Scheme.DARK.value, "Dark: chalk on slate"),
)
LETTERS: Options = (
    (Letters.USUAL.value, "Usual"),
    (Letters.LARGE.value, "Large, a quarter more"),
    (Letters.LARGER.value, "Larger, half as much again"),
)
KEYS: Options = (("yes", "On"), ("no", "Off"))


@dataclass(frozen=True, slots=True)
class LookPage:
    """The choices; ``back`` is the page that one came from."""

    look: Look
    back: str
    schemes: Options = SCHEMES
    letters: Options = LETTERS
    keys: Options = KEYS


@router.get(urls.look)
def show(request: Request, back: str = "") -> HTMLResponse:
    """The choices, with what the device has now."""
    return render(request, "shop/look.html", LookPage(look_of(request), _ours(back)))


@router.post(urls.look)
def choose(request: Request, form: Form) -> Response:
    """Keep the look on the device, and go back to where one came from. Nothing is stored here."""
    scheme, letters = form.text("scheme"), form.text("letters")
    look = Look(
        Scheme(scheme) if scheme in list(Scheme) else Scheme.DEVICE,
        Letters(letters) if letters in list(Letters) else Letters.USUAL,
        form.text("keys") != "no",
    )
    answer = go_to(request, _ours(form.text("back")))
    answer.set_cookie(COOKIE, look.text, max_age=KEPT_FOR, httponly=True, samesite="lax")
    return answer


def _ours(back: str) -> str:
    """An address of the program's own, whatever was asked for."""
    return back if back.startswith("/") and back[1:2] not in ("/", "\\") else urls.projects()
