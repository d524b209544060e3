"""The work of a sizing shared among processes: the same bytes, whatever becomes of them."""

import importlib
import json
import os
import subprocess
import sys
import threading
import time
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from loop.job import Job, JobError
from loop.size import size, to_json, with_sizing
from loop.size.processes import Processes, processes_available
from loop.size.rules import Rules
from tests.loops import job_of
from tests.sizable import sizable

processes = importlib.import_module("loop.size.processes")

_LONG = 60.0  # [s], far more than any of it takes


def told(job: Job, **given: Any) -> str:
    return json.dumps(to_json(size(job, draws=50, **given)))


def short_of_flow() -> Job:
    """A loop that fails, with a pump to choose: every part of a sizing has work."""
    few = {"pumps": "demo-ac-250, demo-ac-350, demo-ac-700", "bores": "5/8 in, 3/4 in"}
    return with_sizing(job_of(("defaults", "bore", "1/2 in"), (6, "curve", "demo-ac-250")), few)


@cache
def alone() -> str:
    """The answer of one process."""
    return told(short_of_flow(), processes=1)


def where(_: Rules) -> int:
    """The process that answers."""
    time.sleep(0.02)
    return os.getpid()


def refused(_: Rules) -> int:
    raise JobError(["refused"])


def end(first: int) -> int:
    """Ends the process that answers, unless it is the first."""
    if os.getppid() == first:
        os._exit(1)
    return 7


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list["subprocess.Popen[bytes]"]:
    """The processes that are started."""
    found: list[subprocess.Popen[bytes]] = []

    def start(*words: Any, **given: Any) -> "subprocess.Popen[bytes]":
        found.append(subprocess.Popen(*words, **given))
        return found[-1]

    monkeypatch.setattr(processes, "subprocess", _Subprocess(start))
    return found


class _Subprocess:
    PIPE, DEVNULL = subprocess.PIPE, subprocess.DEVNULL

    def __init__(self, start: Any) -> None:
        self.Popen = start


def test_two_processes_and_three_give_the_answer_of_one() -> None:
    job = short_of_flow()
    assert told(job, processes=2) == alone()
    assert told(job, processes=3) == alone()


@pytest.mark.extended
def test_two_processes_give_the_answer_of_one_on_random_boats() -> None:
    for seed in range(40):
        job = sizable(np.random.default_rng(seed))
        assert told(job, processes=2) == told(job, processes=1), seed


def test_a_process_that_is_killed_changes_nothing(
    started: list["subprocess.Popen[bytes]"],
) -> None:
    job, seen = short_of_flow(), list[int]()

    def kill(done: int, _: int) -> None:
        seen.append(done)
        if len(seen) == 8:
            started[0].kill()

    assert told(job, processes=2, progress=kill) == alone()
    assert started[0].returncode is not None


def test_a_process_that_never_starts_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    job = short_of_flow()
    for start in ("import sys; sys.exit(3)", "print('nothing to be read')"):
        monkeypatch.setattr(processes, "_START", start)
        assert told(job, processes=2) == alone()
    monkeypatch.setattr(sys, "executable", "no-such-program")
    assert told(job, processes=2) == alone()


def test_a_process_that_never_answers_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(processes, "_PATIENCE", 0.1)
    mute = "import pickle, sys, time; pickle.dump(0, sys.stdout.buffer); sys.stdout.flush()"
    monkeypatch.setattr(processes, "_START", f"{mute}; time.sleep({_LONG})")
    with Processes(2) as both:
        both.share(0)
        asked = both.ask(os.path.join, "x")
        with pytest.raises(TypeError):  # worked out here, and wrong
            _when_away(asked)()


def _when_away(asked: Any) -> Any:
    until = time.monotonic() + _LONG
    while not (asked.away or asked.known) and time.monotonic() < until:
        time.sleep(0.01)
    return asked


def test_another_process_answers_and_each_ends_with_the_work(
    started: list["subprocess.Popen[bytes]"],
) -> None:
    with Processes(2) as both:
        both.share(0)
        first = _when_away(both.ask(where))
        answered_by = {asked() for asked in [first, *(both.ask(where) for _ in range(6))]}
        assert started[0].pid in answered_by
        assert os.getpid() in answered_by
    assert started[0].returncode is not None


def test_a_process_that_ends_at_a_question_leaves_it_to_be_answered() -> None:
    with Processes(2) as both:
        both.share(os.getpid())
        first = _when_away(both.ask(end))
        assert [first(), *(asked() for asked in [both.ask(end) for _ in range(4)])] == [7] * 5


def test_a_mistake_is_raised_where_its_answer_is_needed() -> None:
    for count in (1, 2):
        with Processes(count) as both:
            both.share(0)
            wrong, others = both.ask(refused), [both.ask(where) for _ in range(4)]
            assert all(asked() for asked in others)
            with pytest.raises(JobError, match="refused"):
                wrong()


def test_what_cannot_be_sent_is_answered_here() -> None:
    with Processes(2) as both:
        both.share(3)
        assert both.ask(lambda shared, more: shared + more, 4)() == 7


def test_what_is_asked_ahead_in_vain_is_not_worked_out() -> None:
    done: list[int] = []
    alone = Processes()
    alone.share(done)
    for number, asked in alone.in_order(lambda number: alone.ask(list.append, number), range(9)):
        if number == 3:
            break
        if number != 1:
            asked()
    assert done == [0, 2]


def test_the_processes_end_when_the_first_is_killed() -> None:
    script = (
        "import sys; from loop.size.processes import Processes\n"
        "with Processes(2) as both:\n"
        "    print(both._others[0].pid, flush=True)\n"
        "    sys.stdin.read()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as first:
        assert first.stdout
        other = int(first.stdout.readline())
        assert _lives(other)
        first.kill()
        first.wait()
    until = time.monotonic() + _LONG
    while _lives(other) and time.monotonic() < until:
        time.sleep(0.05)
    assert not _lives(other)


def _lives(process: int) -> bool:
    """Whether a process of that number runs; one that has ended may still be listed."""
    try:
        state = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


def test_no_more_processes_than_the_system_allows(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {3}, raising=False)
    assert processes_available() == 1
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(64)), raising=False)
    assert 1 < processes_available() <= 8
    monkeypatch.delattr(os, "sched_getaffinity")
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    assert processes_available() == 1
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    assert processes_available() == 2
    monkeypatch.setattr(sys, "frozen", True, raising=False)  # no interpreter to start
    assert processes_available() == 1


def test_a_sizing_from_a_thread() -> None:
    found: list[str] = []
    job = short_of_flow()
    thread = threading.Thread(target=lambda: found.append(told(job, processes=2)))
    thread.start()
    thread.join()
    assert found == [alone()]
