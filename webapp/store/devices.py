"""Other devices: paired under a name and with a role, known by the SHA-256 of their secret, ended one by one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from sqlmodel import Session, col, select

from webapp.store.columns import choice_in
from webapp.store.device_tables import DeviceRow
from webapp.store.engine import now
from webapp.store.errors import NotFound
from webapp.store.rows import LARGEST_NUMBER, number_of

FORGOTTEN_AFTER = timedelta(days=90)
"""A device that was not seen for so long must be paired again."""


class Role(StrEnum):
    """What a device may do, each more than the one before."""

    READS = "reads"
    AT_THE_MACHINE = "at_the_machine"
    """Reads, and ticks off."""
    EVERYTHING = "everything"
    """All but what is done at the computer itself."""


@dataclass(frozen=True, slots=True)
class Device:
    """A paired device; the moments in UTC."""

    number: int
    name: str
    role: Role
    paired: datetime
    seen: datetime


def add_device(session: Session, name: str, role: Role, secret_sha256: str) -> int:
    """Pair a device of that name, 1 to 60 letters; its number."""
    moment = now(session)
    row = DeviceRow(
        name=name, role=role.value, secret_sha256=secret_sha256, paired_at=moment, seen_at=moment, ended_at=None
    )
    session.add(row)
    session.flush()
    return number_of(row)


def device_of(session: Session, secret_sha256: str) -> Device | None:
    """The device whose secret has that sum; None where there is none, it was ended, or not seen for too long."""
    row = session.exec(select(DeviceRow).where(col(DeviceRow.secret_sha256) == secret_sha256)).first()
    if row is None or row.ended_at is not None or now(session) - row.seen_at > FORGOTTEN_AFTER:
        return None
    return _device(row)


def list_devices(session: Session) -> tuple[Device, ...]:
    """Every device that was not ended, the one that was seen last first."""
    rows = session.exec(
        select(DeviceRow)
        .where(col(DeviceRow.ended_at).is_(None))
        .order_by(col(DeviceRow.seen_at).desc(), col(DeviceRow.id).desc())
    )
    return tuple(map(_device, rows))


def note_seen(session: Session, number: int) -> None:
    """Write down that the device was seen now."""
    _row(session, number).seen_at = now(session)


def end_device(session: Session, number: int) -> None:
    """From now on the device is not known any more; to end it again changes nothing. Raises NotFound."""
    row = _row(session, number)
    row.ended_at = row.ended_at or now(session)


def _row(session: Session, number: int) -> DeviceRow:
    row = session.get(DeviceRow, number) if 0 < number <= LARGEST_NUMBER else None
    if row is None:
        raise NotFound("device", number)
    return row


def _device(row: DeviceRow) -> Device:
    return Device(number_of(row), row.name, choice_in(Role, row.role), row.paired_at, row.seen_at)
