"""Other devices, seen to at the computer itself: a code to pair one, those that may come in, each ended alone."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from webapp.drawings.qr import qr_svg
from webapp.form.fields import Field, Plain, Sort, form_of
from webapp.form.filled import Filled, blank, sent
from webapp.site import urls
from webapp.site.door import Door
from webapp.site.editing import saved
from webapp.site.incoming import Form, RowId
from webapp.site.network import Network
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.devices import Device, Role
from webapp.usecases.devices import end_device, paired_devices
from webapp.usecases.pairing import Pairing, Shown
from webapp.wording.backups import moment_words
from webapp.wording.devices import ROLES

router = APIRouter(include_in_schema=False)
log = logging.getLogger("dovetally")

FORM = form_of(
    Field(
        "role", "What it may do", Sort.CHOICE, start=Role.AT_THE_MACHINE, options=tuple(ROLES.items()), tiles=True
    )
)


@dataclass(frozen=True, slots=True)
class ShownCode:
    """A code as it is shown: where it is typed, the same as a picture to scan, what for, and until when."""

    code: str
    address: str
    others: tuple[str, ...]
    picture: Markup
    role: str
    until: str


@dataclass(frozen=True, slots=True)
class DevicesPage:
    """Whether other devices may come in and where, the code that is shown, and the devices that are paired."""

    on_network: bool
    has_door: bool
    refused: str
    secure: bool
    addresses: tuple[str, ...]
    shown: ShownCode | None
    devices: tuple[Device, ...]
    roles: Mapping[str, str]
    moments: Mapping[int, tuple[str, str]]
    form: Filled


@router.get(urls.devices)
def show(request: Request) -> HTMLResponse:
    """The devices that may come in."""
    return _page(request, blank(FORM, Plain()))


@router.post(urls.device_code)
def show_code(request: Request, form: Form) -> Response:
    """Show a new code; the one before is dead."""
    typed = sent(FORM, Plain(), form, edits=False)

    def make() -> str:
        values = typed.values()
        if values["role"] not in ROLES:
            values.refuse("role", "choose what the device may do")
        values.check()
        pairing: Pairing = request.app.state.pairing
        if request.app.state.network is not None:
            pairing.show(Role(values["role"]), request.app.state.store.moment())
        return urls.devices()

    return saved(request, typed, make, lambda form, status: _page(request, form, status))


@dataclass(frozen=True, slots=True)
class DoorPage:
    """What was decided, while the program starts anew for it."""

    opens: bool


@router.post(urls.door)
def turn(request: Request, form: Form) -> Response:
    """Let other devices in, or shut them out, from now on until it is turned again or the program is stopped."""
    door: Door | None = request.app.state.door
    opens = form.text("open") == "yes"
    if door is None or not door.turn(opens):
        return go_to(request, urls.devices())
    return render(request, "shop/door.html", DoorPage(opens))


@router.post(urls.end_device)
def end(request: Request, number: RowId) -> Response:
    """Lock a device out."""
    end_device(request.app.state.store, number)
    log.info("device %d was ended", number)
    return go_to(request, urls.devices())


def _page(request: Request, form: Filled, status: int = 200) -> HTMLResponse:
    store, network = request.app.state.store, request.app.state.network
    found = paired_devices(store)
    addresses = () if network is None else network.addresses()
    shown = request.app.state.pairing.shown(store.moment())
    return render(
        request,
        "shop/devices.html",
        DevicesPage(
            on_network=network is not None,
            has_door=request.app.state.door is not None,
            refused="" if request.app.state.door is None else request.app.state.door.refused,
            secure=network is not None and network.scheme == "https",
            addresses=addresses,
            shown=None if shown is None else _shown(shown, network, addresses),
            devices=found,
            roles=ROLES,
            moments={one.number: (moment_words(one.paired), moment_words(one.seen)) for one in found},
            form=form,
        ),
        status=status,
        headers=MAIN_ONLY,
    )


def _shown(shown: Shown, network: Network, addresses: tuple[str, ...]) -> ShownCode:
    typed_at = tuple(f"{address}{urls.pair()}" for address in addresses)
    address = typed_at[0] if typed_at else ""
    return ShownCode(
        code=shown.grouped,
        address=address,
        others=typed_at[1:],
        # behind the hash it stays in the browser: it is in no request, and in no log
        picture=Markup(qr_svg(f"{address}#{shown.grouped}", scale=5, light="white")) if address else Markup(),
        role=ROLES[shown.role],
        until=f"{shown.until.astimezone():%H:%M:%S}",
    )
