"""What is said to be saved has been brought to the disk first: counted by the system calls of a process.

A killed process shows nothing of it, for the system keeps what it wrote. What a power cut would leave
is tried in ``test_power_cut.py``.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.torture import Tally, tried
from tests.webapp.faults.power import can_trace
from webapp.store import Store

ROOT = Path(__file__).parents[3]
CALL = re.compile(r"^(?:\d+\s+)?(\w+)\((\d+)?(?:<([^>]*)>)?")
SYNCS = {"fsync", "fdatasync"}


def calls(file: Path, times: int, log: Path) -> list[tuple[str, str]]:
    """The system calls that write or sync, with the file or the words that they are about, in their order."""
    watched = "trace=fsync,fdatasync,write,pwrite64,unlink"
    subprocess.run(
        [
            *("strace", "-f", "-y", "-s", "40", "-e", watched, "-o", str(log)),
            *(sys.executable, "-m", "tests.webapp.faults.syncing", str(file), str(times)),
        ],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    found = []
    for line in log.read_text(errors="replace").splitlines():
        call = CALL.match(line)
        if call is not None:
            said = call[1] == "write" and '"saved ' in line
            found.append(("said", "") if said else (call[1], Path(call[3] or "").name))
    return found


@tried(20, 200)
def test_nothing_is_said_to_be_saved_before_it_is_on_the_disk(tmp_path: Path, tally: Tally, times: int) -> None:
    if not can_trace():
        pytest.skip("strace counts the syncs; it is not here, or may not trace")
    file = tmp_path / "shop.db"
    Store.open(file).close()
    unsynced, said, synced = False, 0, 0
    for call, about in calls(file, times, tmp_path / "log"):
        if call == "said":
            assert not unsynced, f"booking {said + 1} was told before its sync"
            assert synced > 0
            said, synced = said + 1, 0
        elif about.startswith(file.name) and call == "pwrite64":
            unsynced = unsynced or not about.endswith("-shm")
        elif call in SYNCS:
            unsynced = unsynced and not about.startswith(file.name)
            synced += 1
    assert said == times
    tally("S2 told only after the sync", times)
