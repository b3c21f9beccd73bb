"""Work in another process: the same answer, the same faults, wherever it was done."""

from __future__ import annotations

import os
import pickle
import signal
import threading

import pytest

from quiltpath import worker_pool
from quiltpath.errors import FormatRefused, InputError
from quiltpath.progress import Progress
from quiltpath.worker_pool import Worker


def in_the_child_only(parent: int, progress: Progress) -> str:
    return "child" if os.getpid() != parent else "here"


def refused(error: Exception, progress: Progress) -> None:
    raise error


def counted(size: int, progress: Progress) -> list[int]:
    progress("counting", 1, 2)
    progress("counted", 2, 2)
    return list(range(size))


@pytest.fixture(params=[True, False], ids=["forked", "not forked"])
def is_forked(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    forked = bool(request.param) and hasattr(os, "fork")
    monkeypatch.setattr(worker_pool, "_is_safe", lambda: forked)
    return forked


@pytest.mark.usefixtures("is_forked")
def test_the_answer_is_the_work_s_and_its_progress_is_passed_on() -> None:
    work = Worker(counted)
    work.submit(100_000)
    steps: list[tuple[str, int, int]] = []
    assert work.result(lambda *step: steps.append(step)) == list(range(100_000))
    assert steps == [("counting", 1, 2), ("counted", 2, 2)]


@pytest.mark.usefixtures("is_forked")
@pytest.mark.parametrize(
    "error", [InputError("a.toml", "key", "is wrong", "mend it"), FormatRefused("too long")]
)
def test_a_fault_of_the_work_is_raised_as_it_was(error: Exception) -> None:
    work = Worker(refused)
    work.submit(error)
    with pytest.raises(type(error)) as caught:
        work.result()
    assert str(caught.value) == str(error)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
@pytest.mark.parametrize("dies_while", ["loading", "working", "answering"])
def test_a_child_that_dies_has_its_work_done_here(
    monkeypatch: pytest.MonkeyPatch, dies_while: str
) -> None:
    monkeypatch.setattr(worker_pool, "_is_safe", lambda: True)
    parent = os.getpid()

    def dies_elsewhere(when: str) -> None:
        if os.getpid() != parent and when == dies_while:
            os._exit(9)

    def work(given: str, progress: Progress) -> object:
        dies_elsewhere("working")
        return given if os.getpid() == parent or dies_while != "answering" else lambda: None

    here = Worker(work, lambda: dies_elsewhere("loading"))
    here.submit("done here")
    assert here.result() == "done here"


def test_two_at_once_wait_for_neither(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second child has the first one's pipes too: neither may wait for them to be closed."""
    monkeypatch.setattr(worker_pool, "_is_safe", lambda: hasattr(os, "fork"))
    first, second = Worker(counted), Worker(counted)
    first.submit(10)
    assert first.result() == list(range(10))
    second.close()
    third, fourth = Worker(counted), Worker(counted)
    third.close()
    fourth.submit(1)
    assert fourth.result() == [0]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
def test_a_child_that_nobody_waits_for_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worker_pool, "_is_safe", lambda: True)

    def endless(given: str, progress: Progress) -> None:
        progress("begun", 0, 1)
        while True:
            signal.pause()

    with Worker(endless) as work:
        work.submit("for ever")
        assert work._child is not None
        process = work._child.process
    with pytest.raises(ChildProcessError):
        os.waitpid(process, os.WNOHANG)


def test_nothing_is_forked_beside_other_threads() -> None:
    held = threading.Event()
    other = threading.Thread(target=held.wait)
    other.start()
    try:
        work = Worker(in_the_child_only)
        work.submit(os.getpid())
        assert work.result() == "here"
    finally:
        held.set()
        other.join()


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
