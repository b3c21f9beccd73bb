"""Reverse questions: what is at hand, and the spacing and size it is enough for."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.make import compute
from quiltpath.make.ask import AtHand, answers, at_hand, greatest, least, minutes_of
from quiltpath.make.variants import respaced
from quiltpath.project import Project, parse
from quiltpath.units import MM_PER_INCH, inch_fraction

PLAIN = """
units = "mm"
[runner]
length = 900
width = 300
[[quilting]]
kind = "straight"
angle = 90
spacing = "{spacing}"
[stitch]
length = 3.2
"""


def project(spacing: str = "about 1 in") -> Project:
    return parse(PLAIN.format(spacing=spacing))


@pytest.mark.parametrize("threshold", [1, 2, 17, 63, 64])
def test_halving_finds_the_same_as_trying_all(threshold: int) -> None:
    asked: list[int] = []

    def fits(number: int) -> bool:
        asked.append(number)
        return number >= threshold

    assert least(fits, 1, 64) == threshold
    assert len(asked) <= 2 + math.log2(64) + 1
    assert greatest(lambda number: number <= threshold, 1, 64) == threshold
    assert least(lambda number: False, 1, 64) is None
    assert greatest(lambda number: False, 1, 64) is None


@pytest.mark.parametrize("spacing", ["1 in", "about 1 in"])
@pytest.mark.parametrize("given", [AtHand(thread_m=25), AtHand(minutes=10), AtHand(40, 12)])
def test_the_closest_spacing_is_that_of_trying_every_eighth(spacing: str, given: AtHand) -> None:
    """Brute force over all spacings from 1/4 in to 4 in."""
    about = "about " if spacing.startswith("about") else ""
    words = [about + inch_fraction(steps * MM_PER_INCH / 8) for steps in range(2, 33)]
    fitting = [
        text for text in words if given.suffices(compute(respaced(project(spacing), text).project))
    ]
    assert answers(project(spacing), given).spacing == fitting[0]


def test_the_longest_runner_is_that_of_trying_every_eighth() -> None:
    """Brute force over lengths near what was found: it fits, and nothing longer does."""
    given = AtHand(thread_m=60)
    found = answers(project(), given).sewn_length_mm
    assert found is not None

    def fits(length_mm: float) -> bool:
        runner = project().runner.model_copy(update={"length": length_mm})
        return given.suffices(compute(project().replaced(runner=runner)))

    assert fits(found)
    assert not any(fits(found + steps * MM_PER_INCH / 8) for steps in range(1, 40))


def test_the_longest_runner_that_half_a_yard_of_cloth_binds() -> None:
    """By hand: 18 in give 8 strips of 2 1/4 in; joined they are 8 x 40 - 7 x 2 1/4 = 304 1/4 in.
    Of it 2 1/4 in is overlap, 4 x 1/8 in mitres, 8 in ends to handle: a perimeter of 293 1/2 in,
    less twice the width of 14 in leaves 265 1/2 in for two lengths of 132 3/4 in."""
    text = PLAIN.format(spacing="about 1 in").replace("width = 300", 'width = "14 in"')
    found = answers(parse(text), at_hand(parse(text), None, None, "1/2 yd"))
    assert found.bound_length_mm == pytest.approx(132.75 * MM_PER_INCH)


@pytest.mark.parametrize(
    ("text", "minutes"), [("2 h", 120), ("1.5 h", 90), ("90 min", 90), ("1 h 30 min", 90)]
)
def test_a_time_is_read_as_people_write_it(text: str, minutes: float) -> None:
    assert minutes_of(text) == minutes


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"thread": "ninety"}, "--thread"),
        ({"time": "soon"}, "--time"),
        ({"binding": "0 yd"}, "--binding"),
        ({}, "nothing was given"),
    ],
)
def test_what_cannot_be_read_is_told_in_one_line(options: dict[str, str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        at_hand(project(), *(options.get(key) for key in ("thread", "time", "binding")))


def test_too_little_for_anything_says_so_and_writes_nothing(tmp_path: Path) -> None:
    file = tmp_path / "runner.toml"
    file.write_text(PLAIN.format(spacing="about 1 in"))
    answer = CliRunner().invoke(main, ["ask", str(file), "--thread", "1 m"])
    assert answer.exit_code == 0 and "not even 8 in" in answer.output
    assert [path.name for path in tmp_path.iterdir()] == ["runner.toml"]
