"""Other devices: one is added with a secret of its own, known by it again, and ended."""

from __future__ import annotations

import hashlib
import secrets
from contextlib import suppress
from datetime import datetime, timedelta
from weakref import WeakKeyDictionary

from webapp.store import Store, devices
from webapp.store.devices import Device, Role
from webapp.store.errors import StoreError

SEEN_AGAIN = timedelta(minutes=10)
"""When a device was last seen is written down no more often than this."""
_NOTED: WeakKeyDictionary[Store, dict[int, datetime]] = WeakKeyDictionary()


def add_device(store: Store, name: str, role: Role) -> str:
    """Let a device in under this name; its secret of 256 bits, which is kept nowhere and told this once."""
    secret = secrets.token_urlsafe(32)
    with store.writing() as session:
        devices.add_device(session, name, role, _sum(secret))
    return secret


def known_device(store: Store, secret: str) -> Device | None:
    """The device that has this secret, if it may come in; that it was seen is written down now and then."""
    with store.reading() as session:
        device = devices.device_of(session, _sum(secret))
    if device is not None:
        _note_seen(store, device)
    return device


def _note_seen(store: Store, device: Device) -> None:
    noted, moment = _NOTED.setdefault(store, {}), store.moment()
    if moment - max(device.seen, noted.get(device.number, device.seen)) <= SEEN_AGAIN:
        return
    noted[device.number] = moment  # first: where writing has to wait, it is not waited for with every request
    with suppress(StoreError), store.writing() as session:
        devices.note_seen(session, device.number)


def paired_devices(store: Store) -> tuple[Device, ...]:
    """Every device that may come in, the one that was seen last first."""
    with store.reading() as session:
        return devices.list_devices(session)


def end_device(store: Store, number: int) -> None:
    """Lock the device out, from its next request on. Raises NotFound."""
    with store.writing() as session:
        devices.end_device(session, number)


def _sum(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
