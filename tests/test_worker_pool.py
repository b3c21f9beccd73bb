"""Work in other processes: the same answers, the same faults, wherever it was done."""

from __future__ import annotations

import os
import pickle
from collections.abc import Sequence

import pytest

from quiltpath.errors import FormatLimitError, InputError
from quiltpath.worker_pool import map_in_parallel


def process_and_square(number: int) -> tuple[int, int]:
    return os.getpid(), number * number


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
