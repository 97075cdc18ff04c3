"""Faults are put where they change a result, and a bench tells whether tests notice them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.mutants.bench import ROOT, Bench, set_up
from tests.mutants.faults import faults_in

SOURCE = '''
@dataclass(slots=True)
class Board:
    """Not a - b."""

    width: Annotated[float, Field(gt=0)] = 5

    def left(self, cut: float | None) -> float:
        if cut is None or not self.width:
            raise ValueError(f"no {self.width + 1}")
        return max(self.width - cut, 0)
'''


def test_each_thing_that_decides_is_changed_once() -> None:
    assert [(fault.line, fault.before, fault.after) for fault in faults_in(SOURCE)] == [
        (6, "5", "6"),
        (9, "cut is None or not self.width", "cut is None and (not self.width)"),
        (9, "cut is None", "cut is not None"),
        (9, "not self.width", "self.width"),
        (10, "raise ValueError(f'no {self.width + 1}')", "pass"),
        (11, "max(self.width - cut, 0)", "min(self.width - cut, 0)"),
        (11, "self.width - cut", "self.width + cut"),
        (11, "0", "1"),
    ]


def test_a_fault_changes_its_own_place_and_no_other() -> None:
    source = "wide = ä + b * (c - d)  # kept\nother = 1\n"
    changed = [fault.source for fault in faults_in(source)]
    assert changed == [
        "wide = (ä - b * (c - d))  # kept\nother = 1\n",
        "wide = ä + (b / (c - d))  # kept\nother = 1\n",
        "wide = ä + b * ((c + d))  # kept\nother = 1\n",
        "wide = ä + b * (c - d)  # kept\nother = (2)\n",
    ]


def test_faults_of_the_domain_are_python() -> None:
    for path in sorted((ROOT / "domain").rglob("*.py")):
        source = path.read_text("utf-8")
        faults = faults_in(source)
        for fault in faults[:: max(1, len(faults) // 4)]:  # a few of each: to compile all takes long
            assert fault.source != source, path
            compile(fault.source, path, "exec")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return set_up(tmp_path_factory.mktemp("bench"))


LENGTHS, ITS_TESTS = "domain/lengths.py", "tests/domain/test_lengths.py"


def test_a_fault_is_noticed_and_put_right_again(bench: Bench) -> None:
    source = (ROOT / LENGTHS).read_text("utf-8")
    inch = next(fault for fault in faults_in(source) if "25.4" in fault.before or "254" in fault.before)
    assert bench.notices(LENGTHS, inch.source, ITS_TESTS)
    assert (bench.root / LENGTHS).read_text("utf-8") == source
    assert not bench.notices(LENGTHS, source + "\n", ITS_TESTS)


def test_the_tests_that_import_a_module_are_tried_first(bench: Bench) -> None:
    assert ITS_TESTS in bench.users_of(LENGTHS, "tests/domain")
    assert not Path(ITS_TESTS).is_absolute()
