"""The code that pairs a device: what it is made of, how long it holds, and what trying it leads to."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from domain.problems import BadInput
from tests.webapp.databases import Databases, nothing
from webapp.store import Store
from webapp.store.devices import FORGOTTEN_AFTER, Role
from webapp.store.errors import Busy, NotFound
from webapp.usecases.devices import SEEN_AGAIN, add_device, end_device, known_device, paired_devices
from webapp.usecases.pairing import (
    FROM_ONE_ADDRESS,
    IN_ALL,
    LASTS,
    LETTERS,
    LONG,
    WINDOW,
    WRONG_ONES,
    Pairing,
    Shown,
    TooManyCodes,
    pair,
)

MORNING = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)
SECOND = timedelta(seconds=1)
TABLET, PHONE = "192.168.7.31", "192.168.7.32"


class Clock:
    def __init__(self) -> None:
        self.moment = MORNING

    def __call__(self) -> datetime:
        return self.moment


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(databases: Databases, tmp_path: Path, clock: Clock) -> Iterator[Store]:
    with databases.opened("empty", nothing, tmp_path / "shop.db", clock) as opened:
        yield opened


@pytest.fixture
def pairing() -> Pairing:
    return Pairing()


def use(pairing: Pairing, code: str, address: str = TABLET, moment: datetime = MORNING) -> Role:
    with pairing.used(code, address, moment) as role:
        return role


def refused(pairing: Pairing, code: str, address: str = TABLET, moment: datetime = MORNING) -> type[BadInput]:
    with pytest.raises(BadInput) as refusal:
        use(pairing, code, address, moment)
    return type(refusal.value)


def a_wrong_one(shown: Shown) -> str:
    return ("B" if shown.code[0] == "A" else "A") + shown.code[1:]


def test_a_code_has_forty_bits_and_no_letter_that_is_taken_for_another(pairing: Pairing) -> None:
    assert len(set(LETTERS)) == len(LETTERS) == 32
    assert not set("01IO") & set(LETTERS)
    codes = [pairing.show(Role.READS, MORNING).code for _ in range(400)]
    assert len(set(codes)) == 400
    assert {len(code) for code in codes} == {LONG}
    # 3,200 letters at random leave none of 32 out: the odds of that are below 32 × (31/32)^3200, about 1e-42
    assert {letter for code in codes for letter in code} == set(LETTERS)


def test_it_is_typed_in_any_case_and_with_or_without_its_hyphen(pairing: Pairing) -> None:
    for typed in (str.lower, str.upper, lambda code: code.replace("-", ""), lambda code: f" {code} "):
        shown = pairing.show(Role.EVERYTHING, MORNING)
        assert use(pairing, typed(shown.grouped)) is Role.EVERYTHING


def test_it_holds_once(pairing: Pairing) -> None:
    shown = pairing.show(Role.READS, MORNING)
    assert use(pairing, shown.code) is Role.READS
    assert refused(pairing, shown.code) is BadInput
    assert pairing.shown(MORNING) is None


def test_it_holds_for_minutes(pairing: Pairing) -> None:
    shown = pairing.show(Role.READS, MORNING)
    assert pairing.shown(MORNING + LASTS - SECOND) == shown
    assert pairing.shown(MORNING + LASTS) is None
    assert refused(pairing, shown.code, moment=MORNING + LASTS) is BadInput


def test_another_one_is_the_end_of_it(pairing: Pairing) -> None:
    first = pairing.show(Role.EVERYTHING, MORNING)
    second = pairing.show(Role.READS, MORNING)
    assert refused(pairing, first.code) is BadInput
    assert use(pairing, second.code) is Role.READS


def test_after_some_wrong_ones_it_is_dead(pairing: Pairing) -> None:
    shown = pairing.show(Role.READS, MORNING)
    for number in range(WRONG_ONES):
        assert pairing.shown(MORNING) == shown
        refused(pairing, a_wrong_one(shown), f"192.168.7.{number}")
    assert pairing.shown(MORNING) is None
    assert refused(pairing, shown.code, PHONE) is BadInput


def test_no_code_is_looked_at_from_an_address_that_tried_too_many(pairing: Pairing) -> None:
    for _ in range(FROM_ONE_ADDRESS):
        assert refused(pairing, "AAAAAAAA") is BadInput
    shown = pairing.show(Role.READS, MORNING)
    assert refused(pairing, shown.code) is TooManyCodes
    assert refused(pairing, shown.code, moment=MORNING + LASTS - SECOND) is TooManyCodes
    assert use(pairing, shown.code, PHONE) is Role.READS
    again = pairing.show(Role.READS, MORNING + WINDOW + SECOND)
    assert use(pairing, again.code, moment=MORNING + WINDOW + SECOND) is Role.READS


def test_no_code_is_looked_at_after_too_many_from_everywhere(pairing: Pairing) -> None:
    for number in range(IN_ALL):
        assert refused(pairing, "AAAAAAAA", f"192.168.8.{number}") is BadInput
    shown = pairing.show(Role.READS, MORNING)
    assert refused(pairing, shown.code, PHONE) is TooManyCodes
    later = MORNING + WINDOW + SECOND
    assert use(pairing, pairing.show(Role.READS, later).code, PHONE, later) is Role.READS


@pytest.mark.parametrize("code", ["", "-", "é", "Ａ" * 8, "𝟐" * 8, "A" * 10_000, "%s", "' OR 1=1"])
def test_what_is_no_code_is_a_wrong_one(pairing: Pairing, code: str) -> None:
    pairing.show(Role.READS, MORNING)
    assert refused(pairing, code) is BadInput


def test_forty_devices_at_once_are_one(store: Store, pairing: Pairing) -> None:
    shown = pairing.show(Role.READS, MORNING)

    def try_it(number: int) -> bool:
        try:
            pair(store, pairing, shown.code, f"Device {number}", f"192.168.9.{number}")
        except BadInput:
            return False
        return True

    with ThreadPoolExecutor(8) as pool:
        assert sum(pool.map(try_it, range(40))) == 1
    assert len(paired_devices(store)) == 1


def test_a_code_is_not_used_up_where_nothing_was_paired(
    store: Store, pairing: Pairing, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = pairing.show(Role.READS, MORNING)

    def busy(*_: object) -> str:
        raise Busy

    with monkeypatch.context() as patched:
        patched.setattr("webapp.usecases.pairing.add_device", busy)
        with pytest.raises(Busy):
            pair(store, pairing, shown.code, "Tablet", TABLET)
    assert paired_devices(store) == ()
    assert pair(store, pairing, shown.code, "Tablet", TABLET)


def test_a_device_is_known_by_its_secret_alone(store: Store) -> None:
    secrets = [add_device(store, "Tablet", Role.AT_THE_MACHINE) for _ in range(2)]
    known = [known_device(store, secret) for secret in secrets]
    assert [device and (device.name, device.role) for device in known] == [("Tablet", Role.AT_THE_MACHINE)] * 2
    assert known[0] != known[1]
    assert known_device(store, secrets[0][:-1]) is None
    assert known_device(store, "") is None


def test_one_is_ended_and_the_other_stays(store: Store) -> None:
    first, second = (add_device(store, name, Role.READS) for name in ("Tablet", "Phone"))
    device = known_device(store, first)
    assert device is not None
    end_device(store, device.number)
    assert known_device(store, first) is None
    assert known_device(store, second) is not None
    assert [one.name for one in paired_devices(store)] == ["Phone"]
    end_device(store, device.number)  # again: nothing more happens
    with pytest.raises(NotFound):
        end_device(store, 99)


def test_when_it_was_seen_is_written_down_now_and_then(store: Store, clock: Clock) -> None:
    secret = add_device(store, "Tablet", Role.READS)
    for minutes, seen in (
        (9, MORNING),
        (11, MORNING + timedelta(minutes=11)),
        (20, MORNING + timedelta(minutes=11)),
    ):
        clock.moment = MORNING + timedelta(minutes=minutes)
        assert known_device(store, secret) is not None
        assert paired_devices(store)[0].seen == seen
    assert timedelta(minutes=9) < SEEN_AGAIN < timedelta(minutes=11)


def test_one_that_was_not_seen_for_months_is_not_known(store: Store, clock: Clock) -> None:
    secret = add_device(store, "Tablet", Role.READS)
    clock.moment = MORNING + FORGOTTEN_AFTER
    assert known_device(store, secret) is not None
    clock.moment += FORGOTTEN_AFTER + SECOND
    assert known_device(store, secret) is None
