"""Several runners on one backing: apart, inside, and as short as can be."""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.materials.nesting import Nesting, nest

SAMPLES = Path(__file__).parents[2] / "samples"


def apart(nested: Nesting) -> float:
    """Least distance of two runners along or across, whichever is the greater of the two."""
    gaps = []
    for (_, a), (_, b) in combinations(nested.places, 2):
        across, along = max(a[0], b[0]) - min(a[2], b[2]), max(a[1], b[1]) - min(a[3], b[3])
        gaps.append(max(across, along))
    return min(gaps, default=float("inf"))


def shortest(sizes: list[tuple[int, int]], width: int, turns: bool) -> int:
    """The exact least length, by a constraint solver that knows nothing of skylines."""
    from ortools.sat.python import cp_model

    model, intervals, ends = cp_model.CpModel(), [[], []], []
    longest = sum(max(size) for size in sizes)
    for number, (along, across) in enumerate(sizes):
        turned = model.new_bool_var(f"t{number}") if turns else model.new_constant(0)
        for axis, limit in ((0, longest), (1, width)):
            size = model.new_int_var(1, longest, "")
            straight, other = (along, across) if axis == 0 else (across, along)
            model.add(size == straight + (other - straight) * turned)
            start, end = model.new_int_var(0, limit, ""), model.new_int_var(0, limit, "")
            intervals[axis].append(model.new_interval_var(start, size, end, ""))
            if axis == 0:
                ends.append(end)
    model.add_no_overlap_2d(*intervals)
    length = model.new_int_var(0, longest, "length")
    model.add_max_equality(length, ends)
    model.minimize(length)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers, solver.parameters.random_seed = 1, 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def random_runners(seed: int, count: int) -> list[tuple[int, int]]:
    generator = np.random.default_rng(seed)
    return [
        (int(generator.integers(60, 250)), int(generator.integers(20, 60))) for _ in range(count)
    ]


@pytest.mark.parametrize("turns", [True, False])
@pytest.mark.parametrize("seed", range(6))
def test_up_to_four_runners_take_the_least_length(seed: int, turns: bool) -> None:
    sizes = random_runners(seed, 2 + seed % 3)
    runners = [(str(i), float(a), float(b)) for i, (a, b) in enumerate(sizes)]
    nested = nest(runners, 150.0, apart_mm=0.0, edge_mm=0.0, turns=turns)
    assert nested.backing_mm[1] == pytest.approx(shortest(sizes, 150, turns))


@pytest.mark.parametrize("count", [1, 3, 5, 7, 12])
def test_runners_lie_inside_the_edge_and_a_strip_apart(count: int) -> None:
    runners = [
        (str(i), float(a), float(b)) for i, (a, b) in enumerate(random_runners(count, count))
    ]
    nested = nest(runners, 200.0, apart_mm=5.0, edge_mm=8.0)
    assert apart(nested) >= 5.0 - 1e-6
    wide, long = nested.backing_mm
    for (name, box), turned, (_, length, width) in zip(
        nested.places, nested.turned, runners, strict=True
    ):
        assert box[0] >= 8 - 1e-6 and box[1] >= 8 - 1e-6, name
        assert box[2] <= wide - 8 + 1e-6 and box[3] <= long - 8 + 1e-6, name
        size = (length, width) if turned else (width, length)
        assert (box[2] - box[0], box[3] - box[1]) == pytest.approx(size)
    assert nested.bound_mm <= long + 1e-6


def test_two_place_mats_side_by_side_share_the_strip_between_them() -> None:
    """Two of 300 x 450 mm, 100 mm apart and 100 mm all round: 900 mm wide, 650 mm long."""
    mats = [("mat", 450.0, 300.0)] * 2
    nested = nest(mats, 900.0, apart_mm=100.0, edge_mm=100.0)
    assert nested.backing_mm == pytest.approx((900, 650))


@pytest.mark.parametrize("copies", [5, 6, 7])
@pytest.mark.parametrize(("along", "across", "width"), [(45, 30, 130), (47, 31, 100), (52, 20, 95)])
def test_a_set_of_place_mats_takes_the_least_length(
    along: int, across: int, width: int, copies: int
) -> None:
    """More than are tried in every order, but all of one size; the solver knows the least."""
    nested = nest([("mat", float(along), float(across))] * copies, width, apart_mm=0, edge_mm=0)
    exact = shortest([(along, across)] * copies, width, turns=True)
    assert nested.backing_mm[1] == pytest.approx(exact)
    assert nested.bound_mm <= exact + 1e-6
    assert apart(nested) >= -1e-6


@pytest.mark.parametrize("seed", range(8))
def test_the_bound_is_below_every_layout_and_proves_what_it_reaches(seed: int) -> None:
    """Against the solver, which is exact: the bound holds whichever way runners are turned."""
    sizes = random_runners(seed, 4)
    width = int(np.random.default_rng(seed).integers(70, 260))
    runners = [(str(i), float(a), float(b)) for i, (a, b) in enumerate(sizes)]
    nested = nest(runners, width, apart_mm=0, edge_mm=0)
    exact = shortest(sizes, width, turns=True)
    assert nested.bound_mm <= exact + 1e-6
    assert not nested.is_least or nested.backing_mm[1] == pytest.approx(exact)


def test_runners_wider_than_half_the_backing_come_one_after_the_other() -> None:
    """60 and 70 mm wide on 100 mm, too long to lie across: 300 and 200 mm make 500, no less."""
    nested = nest([("a", 300, 60), ("b", 200, 70)], 100, apart_mm=0, edge_mm=0)
    assert nested.backing_mm[1] == nested.bound_mm == 500 and nested.is_least


def test_a_runner_wider_than_the_backing_is_told() -> None:
    with pytest.raises(InputError, match="wider backing"):
        nest([("long one", 2200, 320)], 400, apart_mm=100, edge_mm=100)


def test_the_command_lays_out_projects_and_says_when_the_cloth_is_short(tmp_path: Path) -> None:
    galley = str(SAMPLES / "galley" / "runner.toml")
    base = ["nest", galley, galley, "--width", "60 in"]
    out = tmp_path / "nest"
    answer = CliRunner().invoke(main, [*base, "--out", str(out)])
    assert answer.exit_code == 0, answer.output
    told = json.loads((out / "report.json").read_text())["nest"]
    assert len(told["runners"]) == 2
    short = CliRunner().invoke(main, [*base, "--length", "1 ft", "--out", str(out)])
    assert short.exit_code == 2 and "--length" in short.output
