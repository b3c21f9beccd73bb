"""Work beside this process: the same answer, the same faults, wherever it was done."""

from __future__ import annotations

import os
import pickle
import signal
import threading

import pytest

from quiltpath import worker_pool as aside
from quiltpath.errors import FormatRefused, InputError
from quiltpath.progress import Tell
from quiltpath.worker_pool import Aside


def in_the_child_only(parent: int, tell: Tell) -> str:
    return "child" if os.getpid() != parent else "here"


def refused(error: Exception, tell: Tell) -> None:
    raise error


def counted(size: int, tell: Tell) -> list[int]:
    tell("counting", 1, 2)
    tell("counted", 2, 2)
    return list(range(size))


@pytest.fixture(params=[True, False], ids=["forked", "not forked"])
def is_forked(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    forked = bool(request.param) and hasattr(os, "fork")
    monkeypatch.setattr(aside, "_is_safe", lambda: forked)
    return forked


@pytest.mark.usefixtures("is_forked")
def test_the_answer_is_the_work_s_and_its_steps_are_told() -> None:
    work = Aside(counted)
    work.give(100_000)
    steps: list[tuple[str, int, int]] = []
    assert work.answer(lambda *step: steps.append(step)) == list(range(100_000))
    assert steps == [("counting", 1, 2), ("counted", 2, 2)]


@pytest.mark.usefixtures("is_forked")
@pytest.mark.parametrize(
    "error", [InputError("a.toml", "key", "is wrong", "mend it"), FormatRefused("too long")]
)
def test_a_fault_of_the_work_is_raised_as_it_was(error: Exception) -> None:
    work = Aside(refused)
    work.give(error)
    with pytest.raises(type(error)) as caught:
        work.answer()
    assert str(caught.value) == str(error)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
@pytest.mark.parametrize("dies_while", ["loading", "working", "answering"])
def test_a_child_that_dies_has_its_work_done_here(
    monkeypatch: pytest.MonkeyPatch, dies_while: str
) -> None:
    monkeypatch.setattr(aside, "_is_safe", lambda: True)
    parent = os.getpid()

    def dies_elsewhere(when: str) -> None:
        if os.getpid() != parent and when == dies_while:
            os._exit(9)

    def work(given: str, tell: Tell) -> object:
        dies_elsewhere("working")
        return given if os.getpid() == parent or dies_while != "answering" else lambda: None

    here = Aside(work, lambda: dies_elsewhere("loading"))
    here.give("done here")
    assert here.answer() == "done here"


def test_two_at_once_wait_for_neither(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second child has the first one's pipes too: neither may wait for them to be closed."""
    monkeypatch.setattr(aside, "_is_safe", lambda: hasattr(os, "fork"))
    first, second = Aside(counted), Aside(counted)
    first.give(10)
    assert first.answer() == list(range(10))
    second.close()
    third, fourth = Aside(counted), Aside(counted)
    third.close()
    fourth.give(1)
    assert fourth.answer() == [0]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
def test_a_child_that_nobody_waits_for_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(aside, "_is_safe", lambda: True)

    def endless(given: str, tell: Tell) -> None:
        tell("begun", 0, 1)
        while True:
            signal.pause()

    with Aside(endless) as work:
        work.give("for ever")
        assert work._child is not None
        process = work._child.process
    with pytest.raises(ChildProcessError):
        os.waitpid(process, os.WNOHANG)


def test_nothing_is_forked_beside_other_threads() -> None:
    held = threading.Event()
    other = threading.Thread(target=held.wait)
    other.start()
    try:
        work = Aside(in_the_child_only)
        work.give(os.getpid())
        assert work.answer() == "here"
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
