"""Work beside this process: the same answer, the same faults, wherever it was done."""

from __future__ import annotations

import os
import pickle
import threading
from collections.abc import Callable
from functools import partial

import pytest

from quiltpath.errors import FormatRefused, InputError
from quiltpath.make import aside
from quiltpath.make.aside import Aside


def in_the_child_only(parent: int) -> str:
    return "child" if os.getpid() != parent else "here"


def refused(error: Exception) -> None:
    raise error


@pytest.fixture(params=[True, False], ids=["forked", "not forked"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Callable[..., object]:
    monkeypatch.setattr(aside, "_is_safe", lambda: request.param and hasattr(os, "fork"))
    return Aside


def test_the_answer_is_the_work_s(way: Callable[..., Aside[list[int]]]) -> None:
    assert way(partial(list, range(100_000))).answer() == list(range(100_000))


@pytest.mark.parametrize(
    "error", [InputError("a.toml", "key", "is wrong", "mend it"), FormatRefused("too long")]
)
def test_a_fault_of_the_work_is_raised_as_it_was(
    way: Callable[..., Aside[None]], error: Exception
) -> None:
    with pytest.raises(type(error)) as caught:
        way(partial(refused, error)).answer()
    assert str(caught.value) == str(error)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
def test_a_child_that_dies_has_its_work_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(aside, "_is_safe", lambda: True)
    parent = os.getpid()

    def dies_elsewhere() -> str:
        if os.getpid() != parent:
            os._exit(9)
        return "done here"

    assert Aside(dies_elsewhere).answer() == "done here"


def test_nothing_is_forked_beside_other_threads() -> None:
    held = threading.Event()
    other = threading.Thread(target=held.wait)
    other.start()
    try:
        assert Aside(partial(in_the_child_only, os.getpid())).answer() == "here"
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
