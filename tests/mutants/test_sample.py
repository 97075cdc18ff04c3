"""A sample of faults in the domain, tried one by one: at least 95 % are to be noticed.

``DOVETALLY_FAULTS`` says how many (60), ``DOVETALLY_FAULTS_SEED`` which (else the day's date: another day tries
others). What is not noticed is printed. Where it changes no result it may be listed in ``changes_nothing.txt``,
with the reason; everything else wants a test.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from queue import Queue
from random import Random

import pytest

from tests.mutants.bench import ROOT, Bench, set_up
from tests.mutants.faults import Fault, faults_in
from tests.torture import torture

NOTICED = 0.95
TESTS = ("tests/domain", "tests/published")
"""Where faults are looked for, first to last: the quick tests notice nearly all of them."""


@dataclass(frozen=True)
class Tried:
    """A fault in a module of the domain, and whether a test noticed it."""

    module: str
    fault: Fault
    noticed: bool

    def __str__(self) -> str:
        return f"{self.module}:{self.fault.line}: {self.fault.before} -> {self.fault.after}"


@torture
def test_faults_in_the_domain_are_noticed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    seed = int(os.environ.get("DOVETALLY_FAULTS_SEED", date.today().strftime("%Y%m%d")))
    count = int(os.environ.get("DOVETALLY_FAULTS", "60"))
    chosen = Random(seed).sample(list(_faults()), count)
    workers = os.cpu_count() or 1
    benches = _benches(tmp_path, workers)
    with ThreadPoolExecutor(workers) as pool:
        tried = list(pool.map(lambda each: _tried(benches, *each), chosen))
    missed = [str(each) for each in tried if not each.noticed]
    with capsys.disabled():
        print(
            f"\n{count - len(missed)} of {count} faults noticed (seed {seed}); not noticed:", *missed, sep="\n  "
        )
    assert len(missed) <= count * (1 - NOTICED)


def test_what_is_said_to_change_nothing_is_still_in_the_domain() -> None:
    here = {_signed(module, fault) for module, fault in _every_fault()}
    assert [line for line in _changing_nothing() if line not in here] == []


def _faults() -> Iterator[tuple[str, Fault]]:
    """Every fault of the domain that can change a result."""
    without = _changing_nothing()
    return (each for each in _every_fault() if _signed(*each) not in without)


def _every_fault() -> Iterator[tuple[str, Fault]]:
    for path in sorted((ROOT / "domain").rglob("*.py")):
        for fault in faults_in(path.read_text("utf-8")):
            yield path.relative_to(ROOT).as_posix(), fault


def _signed(module: str, fault: Fault) -> str:
    """A fault by what it changes, not by its line, which moves."""
    return f"{module}: {fault.before} -> {fault.after}"


def _changing_nothing() -> list[str]:
    lines = Path(__file__).with_name("changes_nothing.txt").read_text("utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")]


def _tried(benches: Queue[Bench], module: str, fault: Fault) -> Tried:
    bench = benches.get()
    try:
        noticed = any(
            bench.notices(module, fault.source, *bench.users_of(module, folder), folder) for folder in TESTS
        )
    finally:
        benches.put(bench)
    return Tried(module, fault, noticed)


def _benches(root: Path, count: int) -> Queue[Bench]:
    benches: Queue[Bench] = Queue()
    for number in range(count):
        (root / str(number)).mkdir()
        benches.put(set_up(root / str(number)))
    return benches
