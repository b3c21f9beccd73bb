"""Lines and seams: near misses, and the figures at which all seams are met or halved."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, box

from quiltpath.checks.seam_fit import (
    SeamFit,
    fit_of,
    has_one_spacing,
    in_project_words,
    seam_findings,
    seam_fit,
)
from quiltpath.checks.seam_misses import NearMiss, Seams, near_misses, seams_of, unit_vectors
from quiltpath.checks.seam_turns import best_offset
from quiltpath.geometry.runner_shapes import Patch, Region, RegionKind, Runner, Seam
from quiltpath.patterns import draw, join
from quiltpath.project import parse
from quiltpath.runner import build
from tests.checks.sewing import lines_of
from tests.patterns.runners import layer


def seamed(*x: float, length: float = 600, width: float = 300) -> Runner:
    """A runner with upright seams at ``x`` and a lengthwise one through the middle."""
    upright = [Seam(f"seam {at}", LineString([(at, 0), (at, width)])) for at in x]
    level = Seam("level", LineString([(0, width / 2), (length, width / 2)]))
    return Runner(box(0, 0, length, width), seams=(*upright, level), margin_mm=76.2)


@pytest.mark.parametrize(
    ("off", "listed"), [(0.0, 0), (0.2, 0), (0.4, 1), (1.5, 1), (2.9, 1), (3.1, 0), (12.0, 0)]
)
def test_a_line_beside_a_seam_is_listed_where_it_misses_by_less_than_3_mm(
    off: float, listed: int
) -> None:
    runner = seamed(200.0)
    crosswise = layer("straight", angle=90, spacing=1000, anchor=200 + off)
    missed = near_misses(draw(runner, [crosswise]), [0], seams_of(runner))
    assert len(missed) == listed
    assert all(miss.miss_mm == pytest.approx(off, abs=1e-6) for miss in missed)


def test_a_slanting_line_past_a_crossing_of_seams_is_listed_with_its_place() -> None:
    """The distance of (200, 150) from the line x - y = 50 + d is d / sqrt 2 (closed form)."""
    runner = seamed(200.0)
    shift = 2.0
    diagonal = layer("straight", angle=45, spacing=2000, anchor=(50 + shift + 300) / np.sqrt(2))
    (miss,) = near_misses(draw(runner, [diagonal]), [0], seams_of(runner))
    assert miss.crossing and miss.at_mm == (200.0, 150.0)
    assert miss.miss_mm == pytest.approx(shift / np.sqrt(2), abs=1e-6)


def test_a_finding_names_the_layer_and_figures_that_mend_it() -> None:
    runner = seamed(200.0, 400.0)
    wrong = layer("straight", name="Across", angle=90, spacing=50.6, anchor=0)
    (finding,) = seam_findings(runner, draw(runner, [wrong]), [wrong])
    assert finding.code == "seam-missed" and "Across" in finding.message
    fit = fit_of(runner, wrong, seams_of(runner))
    assert fit is not None and in_project_words(fit) in finding.remedy
    mended = layer("straight", angle=90, spacing=fit.gap_mm, anchor=fit.offset_mm)
    assert not seam_findings(runner, draw(runner, [mended]), [mended])


def test_the_best_offset_has_the_least_greatest_miss() -> None:
    """Brute force over offsets a two-thousandth of half a gap apart."""
    generator = np.random.default_rng(7)
    for _ in range(50):
        places = generator.uniform(0, 1000, generator.integers(1, 12))
        gap = float(generator.uniform(10, 60))
        (offset,), (worst,) = best_offset(places, np.array([gap]))
        tried = np.linspace(0, gap / 2, 2001)
        assert _miss(places, gap, np.array([offset]))[0] == pytest.approx(worst, abs=1e-9)
        assert worst <= _miss(places, gap, tried).min() + 1e-9


def _miss(places: np.ndarray, gap: float, offsets: np.ndarray) -> np.ndarray:
    """Greatest distance of the places to the lattice of lines and middles, for each offset."""
    away = (places[None] - offsets[:, None]) % (gap / 2)
    return np.minimum(away, gap / 2 - away).max(axis=1)


def test_no_number_and_offset_suit_the_seams_better() -> None:
    """Brute force over every whole number of gaps near the wish and 3,000 offsets of each."""
    places = [70.0, 130.0, 415.0]
    runner = seamed(*places)
    fit = seam_fit((Patch("runner", runner.outline),), seams_of(runner), 40.0, (90.0,))
    assert fit is not None
    best = min(
        _miss(np.array(places), 600 / number, np.linspace(0, 300 / number, 3001)).min()
        for number in range(12, 21)
    )
    assert round(fit.worst_mm, 1) <= round(best, 1) + 1e-9
    assert fit.gap_mm == pytest.approx(600 / fit.number)


def test_blocks_of_10_by_12_in_are_met_corner_to_corner_by_a_diagonal_of_11_gaps() -> None:
    """Corners of a block lie at 0, 10, 12 and 22 in along x + y: 11 gaps of 2 in along the edge
    meet all of them, 1.414 in apart (arithmetic)."""
    project = parse(
        '[runner]\nlength="72 in"\nwidth="14 in"\n[grid]\nalong=6\nacross=1\n'
        'block=["10 in","12 in"]\nsashing="2 in"\nouter_sashing="1 in"\n'
    )
    runner = build(project)
    wished = layer("grid", angles=(45, -45), region="blocks", spacing="about 1.4 in")
    fit = fit_of(runner, wished, seams_of(runner))
    assert fit is not None
    assert (fit.number, fit.halved) == (11, 0) and fit.worst_mm < 1e-3
    assert fit.gap_mm == pytest.approx(2 * 25.4 / np.sqrt(2))
    exact = layer(
        "grid", angles=(45, -45), region="blocks", spacing=fit.gap_mm, anchor=fit.offset_mm
    )
    drawn = draw(runner, [exact])
    lines = shapely.union_all(drawn.geometry)
    for block in runner.blocks:
        left, low, right, high = block.shape.bounds
        # 2 in from every corner along the edge a line ends, so the corner itself is on the next.
        for x, y in itertools.product((left + 50.8, right - 50.8), (low, high)):
            assert lines.distance(Point(x, y)) < 1e-3
    assert not near_misses(drawn, [0], seams_of(runner))


def test_an_angle_gives_way_to_one_that_runs_from_crossing_to_crossing() -> None:
    """Two crossings 200 mm along and 150 mm up from each other: 36.87 degrees (3-4-5)."""
    level = [Seam(str(y), LineString([(0, y), (600, y)])) for y in (75.0, 225.0)]
    upright = [Seam(str(x), LineString([(x, 0), (x, 300)])) for x in (100.0, 300.0, 500.0)]
    runner = Runner(box(0, 0, 600, 300), seams=(*level, *upright), margin_mm=76.2)
    fit = seam_fit((Patch("runner", runner.outline),), seams_of(runner), 30.0, (37.0,))
    assert fit is not None and fit.worst_mm < 0.1
    tried = best_over(runner, 37.0)
    assert fit.worst_mm <= tried + 1e-9


def best_over(runner: Runner, angle: float) -> float:
    """Brute force: the wished angle alone, with every number of gaps near the wish."""
    radians = np.radians(angle)
    normal = np.array([np.sin(radians), -np.cos(radians)])
    corners = np.array(list(itertools.product((0, 600), (0, 300)))) @ normal
    places = seams_of(runner).crossings @ normal - corners.min()
    width = np.ptp(corners)
    numbers = range(int(width / 40) + 1, int(width / 22.5) + 1)
    return min(
        float(_miss(places, width / n, np.linspace(0, width / n / 2, 2001)).min()) for n in numbers
    )


def test_without_seams_there_is_nothing_to_meet() -> None:
    bare = Runner(box(0, 0, 600, 300), margin_mm=76.2)
    wished = layer("grid", angles=(45, -45))
    assert fit_of(bare, wished, seams_of(bare)) is None
    assert not seam_findings(bare, draw(bare, [wished]), [wished])


def test_sashing_lines_on_the_seam_are_no_near_miss() -> None:
    """They lie in the ditch on purpose."""
    block = Region("A1", RegionKind.BLOCK, box(0, 0, 200, 300))
    runner = Runner(
        box(0, 0, 600, 300),
        regions=(block,),
        printed=(LineString([(200, 0), (200, 300)]), LineString([(0, 150), (600, 150)])),
        margin_mm=76.2,
    )
    on_it = layer("straight", angle=90, spacing=1000, anchor=200)
    assert not near_misses(draw(runner, [on_it]), [0], seams_of(runner))


def test_a_finding_tells_how_often_and_where_the_closest_is() -> None:
    """Seams at 200 and 400, lines at 201.4 and 402.8: misses of 1.4 and 2.8 mm."""
    runner = seamed(200.0, 400.0)
    twice = layer("straight", angle=90, spacing=201.4, anchor=0)
    (finding,) = seam_findings(runner, draw(runner, [twice]), [twice])
    assert finding.message == (
        "straight: a line passes close beside a seam in 2 places, less than 1/8 in (3 mm) off: it"
        " will look like a slip"
    )
    assert finding.at_mm is not None and finding.at_mm[0] == pytest.approx(200)
    once = layer("straight", name="Up", angle=90, spacing=1000, anchor=398)
    (finding,) = seam_findings(runner, draw(runner, [once]), [once])
    assert finding.message.startswith("Up: a line passes close beside a seam, less than")
    slanting = layer("straight", angle=45, spacing=2000, anchor=(52 + 300) / np.sqrt(2))
    (finding,) = seam_findings(runner, draw(runner, [slanting]), [slanting])
    assert "beside a crossing of seams, less than" in finding.message


@pytest.mark.parametrize(
    ("kind", "keys", "may_change"),
    [
        ("straight", {}, True),
        ("grid", {}, True),
        ("straight", {"spacings": [9, 12]}, False),
        ("grid", {"spacings": [9, 12]}, False),
        ("grid", {"spacing_2": 30}, False),
        ("grid", {"spacings_2": [9, 12]}, False),
        ("chevron", {"leg": 60}, False),
        ("echo", {"spacing": 9}, False),
    ],
)
def test_the_one_spacing_of_straight_lines_and_even_grids_may_be_changed(
    kind: str, keys: dict, may_change: bool
) -> None:
    assert has_one_spacing(layer(kind, **keys)) == may_change


def test_figures_are_written_as_the_project_file_has_them() -> None:
    fit = SeamFit(12, 50.0, 7.5, (90.0,), 0.1, 3, 0)
    assert in_project_words(fit) == 'spacing = "50.00 mm", anchor = "7.50 mm", angle = 90'
    fit = SeamFit(12, 50.125, 7.5, (36.869898, -36.869898), 0.1, 3, 0)
    assert in_project_words(fit) == (
        'spacing = "50.12 mm", anchor = "7.50 mm", angles = [36.87, -36.87]'
    )


@pytest.mark.parametrize(("worst", "good"), [(1.0, True), (1.01, False)])
def test_within_a_millimetre_a_seam_looks_met(worst: float, good: bool) -> None:
    assert SeamFit(12, 50.0, 7.5, (90.0,), worst, 3, 0).good == good


def slanted_seams(*points: tuple[float, float]) -> Seams:
    """Through each point a seam of 100 mm either way at 36.87 degrees, 4 along and 3 up."""
    return seams_of(
        Runner(
            box(0, 0, 600, 300),
            seams=tuple(
                Seam(f"seam {x}", LineString([(x - 80, y - 60), (x + 80, y + 60)]))
                for x, y in points
            ),
        )
    )


def misses(seams: Seams, *paths: object) -> list[NearMiss]:
    return list(near_misses(lines_of(*paths), [0], seams))


@pytest.mark.parametrize("backwards", [False, True])
def test_a_line_beside_a_slanting_seam_is_listed_whichever_way_it_was_drawn(
    backwards: bool,
) -> None:
    """2 mm off along the normal of a 3-4-5 slope: 1.2 mm to the left and 1.6 mm up."""
    line = [(158.8, 134.6), (238.8, 194.6)]
    (miss,) = misses(slanted_seams((200.0, 163.0)), line[::-1] if backwards else line)
    assert miss.miss_mm == pytest.approx(2.0) and not miss.crossing


def test_a_line_across_a_seam_or_near_its_end_is_no_near_miss() -> None:
    seams = slanted_seams((200.0, 163.0))
    assert misses(seams, [(200, 100), (200, 250)]) == []
    assert misses(seams, [(281, 223), (281, 290)]) == []


@pytest.mark.parametrize(("slope", "listed"), [(0.019, 1), (0.021, 0)])
def test_lines_run_alongside_up_to_a_fiftieth_of_their_length(slope: float, listed: int) -> None:
    """The sine of the angle between them is the rise of a metre-long line in metres."""
    seams = seams_of(
        Runner(box(0, 0, 600, 300), seams=(Seam("level", LineString([(0, 150), (600, 150)])),))
    )
    run = np.sqrt(1 - slope**2)
    assert len(misses(seams, [(300, 151), (300 + 20 * run, 151 + 20 * slope)])) == listed


def test_a_line_counts_once_for_each_seam_beside_it_unless_it_lies_in_the_ditch_of_one() -> None:
    """Seams 2 mm apart: a line 1 mm above the upper one is 3 mm from the lower one."""
    level = [Seam(str(y), LineString([(0, y), (600, y)])) for y in (150.0, 151.9)]
    seams = seams_of(Runner(box(0, 0, 600, 300), seams=tuple(level)))
    beside = misses(seams, [(100, 152.8), (500, 152.8)])
    assert sorted(miss.miss_mm for miss in beside) == pytest.approx([0.9, 2.8])
    assert misses(seams, [(100, 152.1), (500, 152.1)]) == []


@pytest.mark.parametrize(("past", "listed"), [(0.25, 0), (0.35, 1), (2.95, 1), (3.05, 0)])
def test_a_slanting_line_misses_a_crossing_between_a_needle_s_width_and_3_mm(
    past: float, listed: int
) -> None:
    """A line with the slope of 3-4-5 past (200, 150), that far off along its normal."""
    x, y = 200 - 0.6 * past, 150 + 0.8 * past
    found = misses(seams_of(seamed(200.0)), [(x - 40, y - 30), (x + 40, y + 30)])
    assert len(found) == listed
    for miss in found:
        assert miss.crossing and miss.at_mm == (200.0, 150.0)
        assert miss.miss_mm == pytest.approx(past)


def test_only_straight_lines_of_the_layers_asked_for_are_looked_at() -> None:
    beside, bent = [(202, 0), (202, 300)], [(202, 0), (202, 100), (202, 300)]
    lines = join([lines_of(beside), lines_of(bent, [(9, 0), (9, 300)], beside), lines_of(beside)])
    found = near_misses(lines, [1], seams_of(seamed(200.0)))
    assert [miss.line for miss in found] == [3]
    assert near_misses(lines, [0, 2], seams_of(seamed(200.0)))[1].line == 4


def test_seams_that_meet_within_a_hair_have_one_crossing() -> None:
    """Three through (200, 150), off by a few ten thousandths of a millimetre, as rounding has it;
    seams on each other cross nowhere."""
    upright = [LineString([(x, 0), (x, 300)]) for x in (200.0001, 200.0004, 200.0001)]
    level = LineString([(0, 150), (600, 150)])
    assert seams_of(Runner(box(0, 0, 600, 300), printed=(*upright, level))).crossings.tolist() == [
        [200.0, 150.0]
    ]


def test_the_way_of_a_line_runs_from_its_first_point_to_its_last() -> None:
    bent = LineString([(10, 10), (40, 10), (40, 50)])
    assert unit_vectors(np.array([bent, bent.reverse()])).tolist() == [[0.6, 0.8], [-0.6, -0.8]]


def test_figures_that_mend_nothing_are_not_offered() -> None:
    """Seams at 100, 137 and 211 with lines near 20 mm apart that may not turn: no gap suits."""
    runner = seamed(100.0, 131.0, 207.3, 351.1, 433.9)
    wrong = layer("straight", angle=90, spacing=20, anchor=18)
    fit = fit_of(runner, wrong, seams_of(runner))
    assert fit is not None and not fit.good
    (finding,) = seam_findings(runner, draw(runner, [wrong]), [wrong])
    assert finding.remedy == (
        "change the spacing a little, or let it be; no spacing near this one meets all seams"
    )
