"""Reverse questions: what is at hand, and the spacing and size it is enough for."""

from __future__ import annotations

import functools
import math
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.jobs.ask import ASK, AtHand, answers, at_hand_of, greatest, least
from quiltpath.jobs.variants import resize, with_spacing
from quiltpath.project import Project, parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import MM_PER_INCH, inch_fraction, minutes_of

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


EIGHTHS = [inch_fraction(steps * MM_PER_INCH / 8) for steps in range(2, 33)]
MILLIMETRES = [f"{steps * 3} mm" for steps in range(2, 33)]


@pytest.mark.parametrize("spacing", ["1 in", "about 1 in"])
@pytest.mark.parametrize(
    ("given", "units", "rulers"),
    [
        (AtHand(thread_m=25), "inches", EIGHTHS),
        (AtHand(minutes=10), "metric", MILLIMETRES),
        (AtHand(40, 12), "inches", EIGHTHS),
    ],
)
def test_the_closest_spacing_is_that_of_trying_every_mark_of_the_ruler(
    spacing: str, given: AtHand, units: str, rulers: list[str]
) -> None:
    """Brute force over all spacings from 1/4 in to 4 in, or 6 mm to 96 mm."""
    about = "about " if spacing.startswith("about") else ""
    fitting = [
        about + text for text in rulers if given.suffices(at_spacing(spacing, units, about + text))
    ]
    assert answers(in_units(spacing, units), given).spacing == fitting[0]


def in_units(spacing: str, units: str) -> Project:
    return parse(PLAIN.format(spacing=spacing) + f'[instructions]\nunits = "{units}"\n')


@functools.cache
def at_spacing(spacing: str, units: str, text: str) -> Result:
    return compute(with_spacing(in_units(spacing, units), text).project)


def test_the_longest_runner_is_that_of_trying_every_eighth() -> None:
    """Brute force over lengths near what was found: it fits, and nothing longer does."""
    given = AtHand(thread_m=60)
    answer = answers(project(), given).longest
    assert answer is not None
    found = answer.length_mm

    def fits(length_mm: float) -> bool:
        runner = project().runner.model_copy(update={"length": length_mm})
        return given.suffices(compute(project().replaced(runner=runner)))

    assert fits(found)
    assert not any(fits(found + steps * MM_PER_INCH / 8) for steps in range(1, 40))


GRID = """
units = "in"
[runner]
length = "38 in"
width = "14 in"
[grid]
along = 3
block = ["10 in", "12 in"]
sashing = "2 in"
outer_sashing = "1 in"
[[motif]]
name = "diamond"
outline = [[0, 3], [3, 0], [6, 3], [3, 6]]
blocks = ["A1", "C1"]
[[quilting]]
pattern = "along-the-sashing"
[[quilting]]
kind = "motif"
[[quilting]]
pattern = "diagonal-crosshatch"
region = "blocks"
spacing = "about 2 in"
"""


BLOCKS = parse(GRID.replace("38 in", "36 in"))


@functools.cache
def of_blocks(count: int) -> Result:
    return compute(resize(BLOCKS, 12 * count * MM_PER_INCH, BLOCKS.runner.width or 0.0))


@pytest.mark.parametrize("given", [AtHand(thread_m=60), AtHand(minutes=25), AtHand(thread_m=12)])
def test_a_runner_with_blocks_and_motifs_grows_by_blocks(given: AtHand) -> None:
    """Brute force: 1 to 12 blocks of 10 in with 2 in of sashing between them and 1 in at the ends,
    which make 12 in for each block."""
    most = 0
    for blocks in range(1, 13):
        result = of_blocks(blocks)
        assert len(result.runner.blocks) == blocks
        most = blocks if given.suffices(result) else most
    found = answers(BLOCKS, given).longest
    if most == 0:
        assert found is None
    else:
        assert found is not None and found.blocks == most < 12
        assert found.length_mm == pytest.approx(12 * most * MM_PER_INCH)
        assert found.words.endswith(f", {most} blocks along")


def test_pointed_ends_stay_as_they_are_on_the_longest_runner() -> None:
    """An outline by its corners: found by halving, it fits, and 1/8 in more does not."""
    text = PLAIN.format(spacing="about 2 in").replace(
        "length = 900\nwidth = 300",
        "outline = [[0,150],[150,0],[750,0],[900,150],[750,300],[150,300]]",
    )
    given = AtHand(minutes=20)
    found = answers(parse(text), given).longest
    assert found is not None and found.blocks is None

    def fits(length_mm: float) -> bool:
        return given.suffices(compute(resize(parse(text), length_mm, 300.0)))

    assert fits(found.length_mm)
    assert not any(fits(found.length_mm + steps * MM_PER_INCH / 8) for steps in range(1, 20))


def test_the_longest_runner_that_half_a_yard_of_cloth_binds() -> None:
    """By hand: 18 in give 8 strips of 2 1/4 in; joined they are 8 x 40 - 7 x 2 1/4 = 304 1/4 in.
    Of it 2 1/4 in is overlap, 4 x 1/8 in mitres, 8 in ends to handle: a perimeter of 293 1/2 in,
    less twice the width of 14 in leaves 265 1/2 in for two lengths of 132 3/4 in."""
    text = PLAIN.format(spacing="about 1 in").replace("width = 300", 'width = "14 in"')
    text = text.replace('units = "mm"', 'instructions = { units = "inches" }\nunits = "mm"')
    found = answers(parse(text), at_hand_of(ASK.asked({"binding": "1/2 yd"}, parse(text))))
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
        ({}, "nothing is at hand"),
    ],
)
def test_what_cannot_be_read_is_told_in_one_line(options: dict[str, str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        ASK.asked(options, project())


def test_too_little_for_anything_says_so_and_writes_nothing(tmp_path: Path) -> None:
    file = tmp_path / "runner.toml"
    file.write_text(PLAIN.format(spacing="about 1 in"))
    answer = CliRunner().invoke(main, ["ask", str(file), "--thread", "1 m"])
    assert answer.exit_code == 0 and "not even 203 mm" in answer.output
    assert [path.name for path in tmp_path.iterdir()] == ["runner.toml"]
