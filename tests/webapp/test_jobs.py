"""Long work: in turn, told how far it is, and really over when it is ended, unasked for or orphaned."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from webapp.usecases.apart import ROOT, Step, Told
from webapp.usecases.jobs import MOST_WAITING, Job, Jobs, Outcome, State, Task, TooMuchAtOnce

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="looks for processes by signal 0")


def count(told: Told, most: int) -> int:
    """Tell of every number, and come to the last."""
    for number in range(most):
        told(Step(number, most, f"number {number}"))
    return most


def sleep(told: Told, where: str) -> None:
    """Write down who one is, and go on for longer than any test."""
    Path(where).write_text(str(os.getpid()))
    told(Step(0, 1, "asleep"))
    time.sleep(600)


def fail(told: Told) -> None:
    raise RuntimeError("in the middle")


def written(result: object) -> Outcome:
    return Outcome(body=str(result).encode(), name="result.pdf")


def task(work: Callable[..., object] = count, *arguments: object, same: object = None) -> Task:
    return Task("Some work", "/", work, arguments, written, same or object())


@pytest.fixture
def jobs() -> Iterator[Jobs]:
    made = Jobs(1)
    yield made
    made.stop()


def until(true: Callable[[], bool]) -> None:
    for _ in range(1_200):
        if true():
            return
        time.sleep(0.05)
    raise AssertionError("it never came to that")


def over(job: Job) -> None:
    until(lambda: not job.open)


def asleep(job: Job, where: Path) -> int:
    """The number of the process that works on it, once it does."""
    until(lambda: job.step.now == "asleep")
    return int(where.read_text())


def gone(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return True
    # a zombie, where its parent has gone first and nobody collects it
    state = Path(f"/proc/{number}/stat")
    return state.exists() and state.read_text().rpartition(")")[2].split()[0] == "Z"


def test_it_tells_how_far_it_is_and_keeps_what_came_of_it(jobs: Jobs) -> None:
    job = jobs.begin(task(count, 7), "a")
    over(job)
    assert job.state is State.DONE
    assert job.step == Step(6, 7, "number 6")
    assert (job.outcome.name, job.outcome.body) == ("result.pdf", b"")
    assert job.body() == b"7" == job.body()
    assert jobs.ask(job.key) is job


def test_what_is_ended_works_no_longer(jobs: Jobs, tmp_path: Path) -> None:
    job = jobs.begin(task(sleep, str(tmp_path / "who")), "a")
    number = asleep(job, tmp_path / "who")
    assert not gone(number)
    jobs.end(job.key)
    assert job.state is State.ENDED
    assert gone(number)
    assert job.body() == b""


def test_what_nobody_asks_after_ends_by_itself(tmp_path: Path) -> None:
    jobs = Jobs(1, unasked=2.0)
    job = jobs.begin(task(sleep, str(tmp_path / "who")), "a")
    number = asleep_while_asked(jobs, job, tmp_path / "who")
    over(job)
    assert job.state is State.ENDED
    until(lambda: gone(number))
    jobs.stop()


def asleep_while_asked(jobs: Jobs, job: Job, where: Path) -> int:
    """As ``asleep``, and somebody asks all the while."""
    until(lambda: jobs.ask(job.key) is job and job.step.now == "asleep")
    return int(where.read_text())


def test_a_killed_program_leaves_no_work_behind(tmp_path: Path) -> None:
    where = tmp_path / "who"
    program = (
        "import time; from tests.webapp.test_jobs import sleep, task; from webapp.usecases.jobs import Jobs\n"
        f"Jobs(1).begin(task(sleep, {str(where)!r}), 'a'); time.sleep(600)"
    )
    running = subprocess.Popen([sys.executable, "-c", program], cwd=ROOT)
    until(lambda: where.exists() and where.read_text() != "")
    number = int(where.read_text())
    running.send_signal(signal.SIGKILL)
    running.wait()
    until(lambda: gone(number))


def test_a_program_that_stops_ends_its_work(tmp_path: Path) -> None:
    jobs = Jobs(1)
    job = jobs.begin(task(sleep, str(tmp_path / "who")), "a")
    number = asleep(job, tmp_path / "who")
    jobs.stop()
    assert gone(number)


def test_whoever_has_nothing_at_work_comes_first(jobs: Jobs, tmp_path: Path) -> None:
    """One asks for four pieces of work, another for one: it waits for what is under way, not for all four."""
    jobs = Jobs(2)
    mine = [jobs.begin(task(sleep, str(tmp_path / f"mine {number}")), "a") for number in range(4)]
    other = jobs.begin(task(sleep, str(tmp_path / "other")), "b")
    assert [job.state for job in (*mine, other)] == [State.RUNNING] * 2 + [State.WAITING] * 3
    assert jobs.before(other) == 4
    jobs.end(mine[0].key)
    assert other.state is State.RUNNING
    assert [job.state for job in mine[1:]] == [State.RUNNING, State.WAITING, State.WAITING]
    jobs.stop()


def test_the_same_asked_for_twice_is_done_once(jobs: Jobs, tmp_path: Path) -> None:
    first = jobs.begin(task(sleep, str(tmp_path / "who"), same="draft 1"), "a")
    assert jobs.begin(task(sleep, str(tmp_path / "who"), same="draft 1"), "a") is first
    assert jobs.begin(task(sleep, str(tmp_path / "who"), same="draft 2"), "a") is not first
    jobs.end(first.key)
    assert jobs.begin(task(sleep, str(tmp_path / "who"), same="draft 1"), "a") is not first


def test_there_is_an_end_to_what_waits(jobs: Jobs, tmp_path: Path) -> None:
    for number in range(MOST_WAITING):
        jobs.begin(task(sleep, str(tmp_path / str(number))), "a")
    with pytest.raises(TooMuchAtOnce):
        jobs.begin(task(count, 1), "b")


def test_a_fault_in_the_work_is_no_result(jobs: Jobs, caplog: pytest.LogCaptureFixture) -> None:
    job = jobs.begin(task(fail), "a")
    over(job)
    assert job.state is State.FAILED
    assert "a job ended without a result: Some work" in caplog.text
    again = jobs.begin(task(count, 2), "a")
    over(again)
    assert again.body() == b"2"


def test_what_nobody_fetches_is_let_go() -> None:
    jobs = Jobs(1, unasked=60, kept=0.5)
    job = jobs.begin(task(count, 3), "a")
    over(job)
    until(lambda: job.key not in jobs._jobs)
    assert jobs.ask(job.key) is None
    assert job.file is not None
    assert job.file.closed
    jobs.stop()
