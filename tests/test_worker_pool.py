"""Work in other processes: the same answers, the same faults, wherever it was done."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from quiltpath.errors import FormatLimitError, InputError
from quiltpath.worker_pool import map_in_parallel


def process_and_square(number: int) -> tuple[int, int]:
    return os.getpid(), number * number


LOADED: list[int] = []


def load() -> None:
    LOADED.append(os.getpid())


def where_loaded(_: object) -> tuple[int, list[int]]:
    return os.getpid(), LOADED


def fail(error: Exception) -> None:
    raise error


def die_elsewhere(parent: int) -> str:
    if os.getpid() != parent:
        os._exit(9)
    return "done here"


@pytest.fixture(params=[1, 2], ids=["one core", "two cores"])
def cores(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> int:
    monkeypatch.setattr(os, "cpu_count", lambda: request.param)
    return int(request.param)


@pytest.mark.parametrize("tasks", [[], [7], range(5)], ids=len)
def test_answers_come_in_the_order_of_the_tasks(cores: int, tasks: Sequence[int]) -> None:
    answers = list(map_in_parallel(process_and_square, tasks))
    assert [answer for _, answer in answers] == [task * task for task in tasks]
    elsewhere = {process for process, _ in answers} - {os.getpid()}
    assert bool(elsewhere) == (cores > 1 and len(tasks) > 1)


@pytest.mark.usefixtures("cores")
@pytest.mark.parametrize(
    "error", [InputError("a.toml", "key", "is wrong", "mend it"), FormatLimitError("too long")]
)
def test_a_fault_of_the_work_is_raised_as_it_was(error: Exception) -> None:
    with pytest.raises(type(error)) as caught:
        list(map_in_parallel(fail, [error, error]))
    assert str(caught.value) == str(error)


@pytest.mark.usefixtures("cores")
def test_a_process_that_dies_has_its_work_done_here() -> None:
    assert list(map_in_parallel(die_elsewhere, [os.getpid()] * 3)) == ["done here"] * 3


BESIDE = """
import os, sys, threading
from functools import partial
from tests.test_worker_pool import die_elsewhere, fail, load, process_and_square, where_loaded
from quiltpath.errors import InputError
from quiltpath.process import take_over
from quiltpath.worker_pool import Beside
os.cpu_count = lambda: 2
"""


def printed_by(script: str) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-c", BESIDE + script], capture_output=True, text=True, check=True
    )
    return done.stdout.split()


linux_only = pytest.mark.skipif(sys.platform != "linux", reason="no process is copied elsewhere")


@linux_only
def test_the_command_lines_process_has_work_done_beside_it() -> None:
    process, square, here = printed_by(
        "take_over()\nwith Beside(load) as beside:\n"
        "    print(*beside.begin(process_and_square, 7)(), os.getpid())"
    )
    assert (square, process != here) == ("49", True)


@linux_only
def test_what_the_work_needs_is_loaded_beside_before_there_is_any() -> None:
    process, *loaded = printed_by(
        "take_over()\nwith Beside(load) as beside:\n"
        "    process, loaded = beside.begin(where_loaded, 0)()\n"
        "print(process, *loaded, *where_loaded(0)[1])"
    )
    assert loaded == [process]


@linux_only
def test_a_fault_found_beside_is_raised_where_it_is_waited_for() -> None:
    told = printed_by(
        "take_over(); error = InputError('a.toml', 'key', 'wrong', 'mend')\n"
        "try:\n    with Beside(load) as beside: beside.begin(fail, error)()\n"
        "except InputError as error: print(error)"
    )
    assert " ".join(told) == "a.toml: key: wrong; mend"


@linux_only
@pytest.mark.parametrize("prepare", ["load", "partial(die_elsewhere, os.getpid())"])
def test_work_whose_process_dies_is_done_here(prepare: str) -> None:
    """In the midst of it, or before there was any."""
    told = printed_by(
        f"take_over()\nwith Beside({prepare}) as beside:\n"
        "    print(beside.begin(die_elsewhere, os.getpid())())"
    )
    assert " ".join(told) == "done here"


@linux_only
@pytest.mark.parametrize(
    ("handler", "told"), [("default_int_handler", ["ended"]), ("SIG_IGN", ["49", "again"])]
)
def test_ctrl_c_is_told_by_the_first_process_alone(handler: str, told: list[str]) -> None:
    """It reaches both; the one beside has nothing to do at the moment, or does not heed it."""
    script = (
        f"{BESIDE}\nimport signal, time\nsignal.signal(signal.SIGINT, signal.{handler})\n"
        "take_over()\ntry:\n"
        "    with Beside(load) as beside:\n"
        "        process = beside.begin(process_and_square, 6)()[0]\n"
        "        os.killpg(0, signal.SIGINT); time.sleep(0.2)\n"
        "        again, square = beside.begin(process_and_square, 7)()\n"
        "        print(square, 'again' if process == again else 'here')\n"
        "except KeyboardInterrupt: print('ended')"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, start_new_session=True
    )
    assert (done.stdout.split(), done.stderr) == (told, "")


def alive(process: int) -> bool:
    """Whether it still runs; one that has ended and waits to be noticed does not."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


@linux_only
@pytest.mark.parametrize("copied", [True, False], ids=["a copy", "a fresh one"])
def test_no_process_outlives_the_one_that_began_it(copied: bool) -> None:
    """Its parent is killed while it waits for more work."""
    begun = "take_over(); pool = _copies(1)" if copied else "pool = fresh_processes(1)"
    script = (
        f"{BESIDE}\nfrom quiltpath.worker_pool import _copies, fresh_processes\n{begun}\n"
        "print(pool.submit(process_and_square, 7).result()[0], flush=True); sys.stdin.read()"
    )
    started = subprocess.Popen(
        [sys.executable, "-c", script], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert started.stdout is not None
    child = int(started.stdout.readline())
    assert alive(child)
    started.kill()
    started.wait()
    deadline = time.monotonic() + 20
    while alive(child) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not alive(child)


@pytest.mark.parametrize(
    "before",
    [
        "",
        "take_over(); os.cpu_count = lambda: 1",
        "take_over(); threading.Thread(target=threading.Event().wait, daemon=True).start()",
    ],
    ids=["somebody else's process", "one core", "another thread"],
)
def test_nothing_is_copied_where_that_gains_nothing_or_is_not_safe(before: str) -> None:
    process, square, here = printed_by(
        f"{before}\nwith Beside(load) as beside:\n"
        "    print(*beside.begin(process_and_square, 7)(), os.getpid())"
    )
    assert (process, square) == (here, "49")


def test_an_input_error_survives_being_sent_to_another_process() -> None:
    error = InputError("a.toml", "grid.along", "do not add up", "change one")
    again = pickle.loads(pickle.dumps(error))
    assert (again.where, again.key, again.fault, again.remedy, str(again)) == (
        error.where,
        error.key,
        error.fault,
        error.remedy,
        str(error),
    )
