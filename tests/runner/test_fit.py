"""The table decides the size: published rules, and what draws a piece up."""

from __future__ import annotations

import pytest

from quiltpath.errors import InputError
from quiltpath.project import parse
from quiltpath.project.runner_sections import RunnerSection
from quiltpath.result.computing import compute
from quiltpath.runner.panels import Fit, Table
from quiltpath.units import MM_PER_INCH

IN = MM_PER_INCH


def for_table(length: str, width: str, drop: str) -> RunnerSection:
    """What a project with a table says of its runner."""
    return parse(f'[table]\nlength = "{length}"\nwidth = "{width}"\ndrop = "{drop}"\n').runner


def with_drop(drop_mm: float) -> Fit:
    """A runner of a usual width on a table of 1500 by 900 mm."""
    return Fit(Table(1500, 900), 1500 + 2 * drop_mm, 300)


@pytest.mark.parametrize(("drop_in", "length_in"), [(6, 72), (10, 80)])
def test_runner_length_is_the_table_and_twice_the_drop(drop_in: float, length_in: float) -> None:
    """ "What size table runner do you need" and "How far should a table runner hang",
    engineerfix.com: a 60 in table with 6 in drop takes 72 in, with 10 in drop 80 in."""
    runner = for_table("60 in", "36 in", f"{drop_in} in")
    assert runner.length == pytest.approx(length_in * IN)
    assert Fit(Table(60 * IN, 36 * IN), runner.length, 300).drop_mm == pytest.approx(drop_in * IN)


@pytest.mark.parametrize(
    ("share", "usual"), [(1 / 3, True), (1 / 4, True), (0.5, False), (0.15, False)]
)
def test_width_is_a_quarter_to_a_third_of_the_table(share: float, usual: bool) -> None:
    """ "How big should I make a table runner", ehow.com."""
    assert Fit(Table(1800, 900), 2200, share * 900).width_is_usual is usual


def test_without_a_width_the_runner_takes_a_third() -> None:
    assert for_table("1800 mm", "900 mm", "200 mm").width == pytest.approx(300)


@pytest.mark.parametrize(("drop_in", "usual"), [(6, True), (12, True), (4, False), (14, False)])
def test_usual_drops_run_from_6_to_12_inches(drop_in: float, usual: bool) -> None:
    """Common practice."""
    assert with_drop(drop_in * IN).drop_is_usual is usual


def test_the_worked_table_folds_the_runner_at_its_drop() -> None:
    """Table 1800 x 900 mm, 200 mm drop: 2200 mm, bent 200 mm from each end (arithmetic)."""
    length = for_table("1800 mm", "900 mm", "200 mm").length
    assert length == 2200
    assert Fit(Table(1800, 900), length, 320).fold_lines_mm == (200, 2000)
    assert Fit(Table(1800, 900), 1500, 320).fold_lines_mm == ()


def test_place_mats_leave_or_do_not_leave_room() -> None:
    """900 mm table, 320 mm runner: (900 - 320) / 2 = 290 mm a side; 300 mm mats lie 10 mm over."""
    assert Fit(Table(1800, 900, 280), 2200, 320).mat_clearance_mm == pytest.approx(10)
    assert Fit(Table(1800, 900, 300), 2200, 320).mat_clearance_mm == pytest.approx(-10)


WASHED = """units = "mm"
[runner]
length = 2200
width = 300
size_is = "washed"
[quilted]
taken_up = {taken_up}
wash = {wash}
"""


def test_the_top_makes_up_for_quilting_and_washing() -> None:
    """Worked example of people who quilt: 2200 mm with 2 and 5 percent is cut at 2363 mm."""
    flat = compute(parse(WASHED.format(taken_up=0.02, wash=0.05))).states.flat
    assert round(flat.length_mm) == 2363
    assert flat.length_mm * 0.98 * 0.95 == pytest.approx(2200)


@pytest.mark.parametrize(("taken_up", "wash"), [(-0.01, 0), (1.0, 0), (0, -0.01), (0, 1.0)])
def test_a_share_of_all_or_of_less_than_nothing_is_no_share(taken_up: float, wash: float) -> None:
    with pytest.raises(InputError, match=r"quilted\.(taken_up|wash)"):
        parse(WASHED.format(taken_up=taken_up, wash=wash))


def test_inches_in_and_millimetres_in_give_the_same_size() -> None:
    inches = for_table("60 in", "36 in", "6 in")
    metric = for_table("1524 mm", "914.4 mm", "152.4 mm")
    assert inches.length == pytest.approx(metric.length, abs=1e-6)
    assert inches.width == pytest.approx(metric.width, abs=1e-6)


@pytest.mark.parametrize(
    ("drop_mm", "usual"), [(150, True), (149, False), (305, True), (306.5, False)]
)
def test_a_metric_tape_s_round_figures_are_usual_drops(drop_mm: float, usual: bool) -> None:
    assert with_drop(drop_mm).drop_is_usual is usual


@pytest.mark.parametrize(
    ("share", "usual"), [(0.221, True), (0.219, False), (0.362, True), (0.364, False)]
)
def test_three_percent_of_the_table_more_or_less_are_let_pass(share: float, usual: bool) -> None:
    assert Fit(Table(1800, 900), 2200, share * 900).width_is_usual is usual


def test_any_overhang_at_all_folds_the_runner() -> None:
    assert Fit(Table(1800, 900), 1801, 320).fold_lines_mm == (0.5, 1800.5)
    assert Fit(Table(1800, 900), 1800, 320).fold_lines_mm == ()
    assert Fit(Table(1800, 900), 1500, 320).drop_mm == -150


@pytest.mark.parametrize(
    ("units", "because"),
    [
        ("cm", "1560 mm, the table's 1160 mm and twice the drop of 200 mm"),
        (
            "in",
            "61 5/8 in (1566.5 mm), the table's 45 5/8 in (1160 mm) and twice the drop of"
            " 8 in (203 mm)",
        ),
    ],
)
def test_a_length_that_nobody_wrote_is_told_with_the_table_that_it_comes_from(
    units: str, because: str
) -> None:
    """The usual drop is 200 mm in a metric file and 8 in elsewhere (common practice)."""
    table = f'units = "{units}"\ntable = {{ length = "1160 mm", width = "390 mm" }}\n'
    blocks = 'grid = { along = 4, block = "310 mm" }\n'
    with pytest.raises(InputError) as told:
        compute(parse(table + blocks))
    assert f"but the length is {because};" in str(told.value)
    with pytest.raises(InputError) as given:
        compute(parse(f'{table}runner = {{ length = "2 m" }}\n{blocks}'))
    assert "the table's" not in str(given.value)


def test_a_width_that_nobody_wrote_is_a_third_of_the_table_s() -> None:
    table = 'units = "mm"\ntable = { length = 1160, width = 390 }\n'
    with pytest.raises(InputError, match="but the width is 130 mm, a third of the table's 390 mm;"):
        compute(parse(f"{table}grid = {{ along = 6, block = [260, 260] }}\n"))
