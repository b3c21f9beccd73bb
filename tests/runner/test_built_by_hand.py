"""A runner from its project file: sums of a grid, seams, places and faults, worked out by hand."""

from __future__ import annotations

import re

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon, box

from quiltpath.errors import InputError
from quiltpath.geometry import named_outlines as outlines
from quiltpath.geometry.print_warp import PrintWarp
from quiltpath.geometry.runner_shapes import PlacedMotif, Region, RegionKind, Runner
from quiltpath.project import parse
from quiltpath.project.runner_sections import PrintSection
from quiltpath.runner import build
from quiltpath.runner.build import as_printed
from quiltpath.runner.grid import Band, BandKind, printed_lines, regions
from quiltpath.runner.motifs import places_of


def built(text: str, size: tuple[float, float] = (1000, 300)) -> Runner:
    return build(parse(f'units = "mm"\n[runner]\nlength = {size[0]}\nwidth = {size[1]}\n{text}'))


def refused(text: str, size: tuple[float, float] = (1000, 300)) -> str:
    with pytest.raises(InputError) as error:
        built(text, size)
    return f"{error.value.key}: {error.value.fault}; {error.value.remedy}"


def millimetres(text: str) -> str:
    """Its lengths in mm alone: "5 7/8 in (150 mm)" as "150"."""
    return re.sub(r"(\d+ )?\d+(/\d+)? in \(([\d.]+) mm\)", r"\3", text)


FAMILY = "[grid]\nalong = {along}\nacross = {across}\nblock = 100\n{more}"


@pytest.mark.parametrize(
    ("grid", "size", "told"),
    [
        (
            {"along": 3, "across": 1, "more": "sashing = 20\nouter_sashing = 15\nborder = 10"},
            (400, 150),
            "along: 3 x 100 blocks + 2 x 20 sashing + 2 x 15 outer sashing + 2 x 10 border = 390,"
            " but the length is 400",
        ),
        (
            {"along": 3, "across": 1, "more": "sashing = 20"},
            (340, 101),
            "across: 1 x 100 blocks = 100, but the width is 101",
        ),
        (
            {"along": 2, "across": 2, "more": "outer_sashing = 15"},
            (230, 200),
            "across: 2 x 100 blocks + 2 x 15 outer sashing = 230, but the width is 200",
        ),
        (
            {"along": 2, "across": 1, "more": "border = 15"},
            (220, 130),
            "along: 2 x 100 blocks + 2 x 15 border = 230, but the length is 220",
        ),
    ],
)
def test_a_grid_that_does_not_add_up_shows_its_sum(
    grid: dict[str, object], size: tuple[float, float], told: str
) -> None:
    """Each part that there is, and no other; here without the inches."""
    found = refused(FAMILY.format(**grid), size)
    assert millimetres(found).startswith(f"grid.{told}; ")
    assert "have it filled in evenly" in found


@pytest.mark.parametrize(("off", "fits"), [(0.5, True), (-0.5, True), (0.6, False), (-0.6, False)])
def test_a_grid_may_miss_its_sum_by_half_a_millimetre(off: float, fits: bool) -> None:
    """Sizes rounded to a ruler's marks: 3 x 100 and 2 x 20 mm are 340."""
    text = FAMILY.format(along=3, across=1, more="sashing = 20")
    if fits:
        assert len(built(text, (340 + off, 100)).blocks) == 3
    else:
        assert "340 mm" in refused(text, (340 + off, 100))


def test_blocks_without_a_size_fill_what_sashing_and_border_leave() -> None:
    """1000 less 2 (30 + 10) and 3 x 40 is 800 for four; 300 less 80 is 220 for one."""
    runner = built("[grid]\nalong = 4\nsashing = 40\nouter_sashing = 30\nborder = 10\n")
    assert [block.shape.bounds for block in runner.blocks] == [
        pytest.approx((40 + 240 * k, 40, 240 + 240 * k, 260)) for k in range(4)
    ]


@pytest.mark.parametrize(("border", "left"), [(149.9, True), (150, False), (160, False)])
def test_sashing_and_border_leave_something_for_the_blocks(border: float, left: bool) -> None:
    text = f"[grid]\nalong = 2\nborder = {border}\n"
    if left:
        low, high = built(text).blocks[0].shape.bounds[1::2]
        assert high - low == pytest.approx(0.2)
    else:
        assert refused(text).startswith("grid.across: border and sashing take more than the width")


@pytest.mark.parametrize(
    ("join", "at"), [('"centre"', 500.0), ("130", 130.0), ("999.9", 999.9), ('"none"', None)]
)
def test_two_panels_meet_in_a_seam_across_the_whole_runner(join: str, at: float | None) -> None:
    runner = built(f"panel_join = {join}\n")
    if at is None:
        assert runner.seams == ()
        return
    (seam,) = runner.seams
    assert seam.is_panel_join and seam.name == "panel join"
    assert seam.line.equals_exact(LineString([(at, 0), (at, 300)]), 1e-9)


@pytest.mark.parametrize("join", [0, 1000, 1200])
def test_a_seam_at_the_end_or_beyond_is_none(join: float) -> None:
    assert refused(f"panel_join = {join}\n").startswith("runner.panel_join: ")


def test_a_seam_through_a_point_is_as_long_as_the_runner_is_wide_there() -> None:
    """A right-angled point 150 mm deep: 50 mm from its tip it is 100 mm wide."""
    runner = built('shape = "pointed"\npanel_join = 50\n')
    assert runner.seams[0].line.equals_exact(LineString([(50, 100), (50, 200)]), 1e-6)


def test_a_runner_tells_its_size_and_its_parts() -> None:
    parts = tuple(
        Region(name, kind, box(left, 10, left + 20, 40))
        for name, kind, left in (
            ("A1", RegionKind.BLOCK, 5),
            ("s", RegionKind.SASHING, 30),
            ("B1", RegionKind.BLOCK, 60),
        )
    )
    runner = Runner(box(5, 10, 125, 60), regions=parts)
    assert (runner.length_mm, runner.width_mm) == (120, 50)
    assert [region.name for region in runner.blocks] == ["A1", "B1"]
    assert runner.shape_of(RegionKind.BLOCK).area == 2 * 600
    assert runner.shape_of(RegionKind.BLOCK, RegionKind.SASHING).area == 3 * 600
    assert runner.shape_of(RegionKind.BORDER).is_empty


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("outline = [[0, 0], [100, 0], [0, 50], [100, 50]]", "crosses itself (self-intersection"),
        ("outline = [[0, 0], [9, 0], [9, 11]]", "encloses no area"),
    ],
)
def test_an_outline_that_is_none_is_told(text: str, fault: str) -> None:
    with pytest.raises(InputError) as error:
        build(parse(f'units = "mm"\n[runner]\n{text}\n'))
    assert error.value.key == "runner.outline" and fault in error.value.fault


def test_an_outline_by_points_is_laid_at_the_origin_and_turned_anticlockwise() -> None:
    """Just 100 square millimetres, given clockwise and off the origin."""
    text = 'units = "mm"\n[runner]\noutline = [[-5, 7], [-5, 27], [5, 17]]\n'
    outline = build(parse(text)).outline
    assert outline.exterior.is_ccw and outline.area == 100
    assert sorted(set(outline.exterior.coords)) == [(0, 0), (0, 20), (10, 10)]


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: outlines.clipped(900, 300, 160), "the cuts of 160 meet; give 150"),
        (lambda: outlines.clipped(200, 300, 160), "the cuts of 160 meet; give 100"),
        (lambda: outlines.rounded(900, 300, 160), "a radius of 160 is too wide; give 150"),
        (lambda: outlines.rounded(200, 300, 160), "a radius of 160 is too wide; give 100"),
        (
            lambda: outlines.pointed(200, 300, 90),
            "two points of 90 degrees take 300, more than the length of 200; give a wider angle",
        ),
        (
            lambda: outlines.scalloped(700, 300, 100, 60),
            "scallops this deep curl under themselves; give 45",
        ),
    ],
)
def test_what_cannot_be_is_told_with_the_measure_that_could(make: object, words: str) -> None:
    """Half the shorter side for cuts and arcs. Scallops 60 mm deep leave 580 by 180 mm: two of 90
    on the shorter side, and no deeper than half of that."""
    with pytest.raises(ValueError, match="; ") as error:
        make()  # type: ignore[operator]
    assert millimetres(str(error.value)).startswith(words)


def test_a_short_runner_has_its_rounded_ends_across() -> None:
    """200 x 300: half circles of 100 mm above and below."""
    outline = outlines.rounded(200, 300)
    points = np.array(outline.exterior.coords)
    top = points[points[:, 1] > 200 + 1e-6]
    assert np.hypot(*(top - (100, 200)).T) == pytest.approx(np.full(len(top), 100))
    assert outline.area == pytest.approx(200 * 100 + np.pi * 100**2, rel=1e-4)
    eight = outlines.octagon(300, 200)
    cut = 200 / (2 + np.sqrt(2))
    assert np.array(eight.exterior.coords)[0] == pytest.approx((cut, 0))


@pytest.mark.parametrize("size", [(800.0, 300.0), (300.0, 800.0)])
def test_an_oval_has_as_many_chords_as_the_circle_of_its_longer_half(
    size: tuple[float, float],
) -> None:
    """A circle of 400 mm needs steps of 2 acos(1 - 0.01 / 400); an even number of them."""
    points = np.array(outlines.oval(*size).exterior.coords)[:-1]
    step = 2 * np.arccos(1 - 0.01 / 400)
    assert len(points) == 2 * np.ceil(np.pi / step)
    a, b = size[0] / 2, size[1] / 2
    assert np.allclose(((points - (a, b)) / (a, b)) ** 2 @ [1, 1], 1)
    assert points[0] == pytest.approx((2 * a, b))


def test_strips_and_blocks_cut_to_nothing_by_the_outline_are_left_out() -> None:
    """A triangle over three columns: the last block is cut to a crumb of half a square mm."""
    along = tuple(Band(BandKind.BLOCK, 100.0 * k, 100.0 * k + 100) for k in range(3))
    across = (Band(BandKind.BLOCK, 0.0, 100.0),)
    for tip, names in ((201.0, ["A1", "B1"]), (230.0, ["A1", "B1", "C1"])):
        outline = Polygon([(0, 0), (tip, 0), (0, 100)])
        assert [region.name for region in regions(along, across, outline, False)] == names
    lines = printed_lines(along, across, Polygon([(0, 0), (201.0, 0), (0, 100)]))
    assert [line.bounds[0] for line in lines] == [100.0], "half a millimetre is no line"


def square_motif(text: str) -> str:
    corners = "[[0, 0], [40, 0], [40, 40], [0, 40]]"
    return f'[[motif]]\nname = "tile"\noutline = {corners}\n{text}\n'


def test_a_motif_may_touch_the_edge_and_not_pass_it() -> None:
    assert built(square_motif("at = [20, 280]")).motifs[0].shape.bounds == (0, 260, 40, 300)
    told = refused(square_motif("at = [19.9, 280]"))
    assert told.startswith("motif[1]: 'tile' at point 1 reaches past the finished edge")


def test_a_block_that_is_not_there_is_told_with_those_that_are() -> None:
    grid = "[grid]\nalong = 8\n"
    told = refused(grid + square_motif('blocks = ["A2"]'))
    assert told.startswith("motif[1].blocks: there is no block 'A2'; use one of A1")
    told = refused(grid + square_motif('blocks = ["xyz"]'))
    assert told.endswith("use one of A1, B1, C1, D1, E1, F1"), "six are enough"
    told = refused(square_motif('blocks = ["A1"]'))
    assert told.endswith("there is no block 'A1'; add a [grid] with blocks")


def test_places_are_blocks_first_and_then_points_by_number() -> None:
    runner = built("[grid]\nalong = 2\n" + square_motif('blocks = ["B1"]\noffset = [5, -7]'))
    assert [(m.place, m.shape.centroid.coords[0]) for m in runner.motifs] == [
        ("B1", pytest.approx((755, 143)))
    ]
    both = built(
        "[grid]\nalong = 2\n" + square_motif('blocks = "all"\nat = [[100, 50], [900, 50]]')
    )
    assert [motif.place for motif in both.motifs] == ["A1", "B1", "point 1", "point 2"]


@pytest.mark.parametrize(
    ("shape", "middle"),
    [
        (box(10, 20, 110, 60), (60, 40)),
        (Polygon([(0, 0), (100, 0), (100, 100), (70, 100), (70, 30), (0, 30)]), None),
    ],
)
def test_a_motif_lies_in_the_middle_of_its_block_where_that_is_in_it(
    shape: Polygon, middle: tuple[float, float] | None
) -> None:
    """In a block cut to an angle the middle of its bounds is bare: somewhere inside instead."""
    project = parse(
        'units = "mm"\n[runner]\nlength = 1000\nwidth = 300\n' + square_motif('blocks = ["A1"]')
    )
    ((name, at),) = places_of(project.motif[0], (Region("A1", RegionKind.BLOCK, shape),))
    assert name == "A1"
    if middle:
        assert at == middle
    else:
        assert shape.contains(shapely.Point(at))


def test_a_traced_shape_that_crosses_itself_is_told() -> None:
    told = refused(
        '[[motif]]\nname = "bow"\noutline = [[0, 0], [40, 40], [40, 0], [0, 40]]\nat = [100, 100]\n'
    )
    assert told.startswith("motif[1].outline: the outline crosses itself (self-intersection")


def test_a_turned_motif_turns_anticlockwise_about_the_middle_of_its_bounds() -> None:
    """A right-angled triangle with its right angle at the lower left; by 90 degrees it is at the
    lower right, and at half the size."""
    text = '[[motif]]\nname = "sail"\noutline = [[0, 0], [80, 0], [0, 40]]\nat = [200, 150]\n'
    (motif,) = built(f"{text}rotate = 90\nsize = 40\n").motifs
    corners = sorted(set(np.round(motif.outlines[0].coords, 6)[:, 0].tolist()))
    assert corners == [190, 210]
    wanted = Polygon([(210, 130), (210, 170), (190, 130)])
    assert motif.shape.symmetric_difference(wanted).area < 1e-6


def shifted(by: tuple[float, float]) -> PrintWarp:
    """A print that lies so far off everywhere."""
    x, y = np.array([0.0, 100, 500]), np.array([0.0, 250])
    at = np.stack(np.meshgrid(x, y), axis=-1) + by
    return PrintWarp(x, y, at)


def test_a_printed_line_is_carried_on_where_it_ran_to_the_edge_only() -> None:
    """A print that lies 8 mm to the right and a border on the left alone: lengthwise lines begin
    8 mm further on and still end on the right edge; crosswise ones run from edge to edge."""
    even = Runner(
        box(0, 0, 500, 250),
        regions=(Region("A1", RegionKind.BLOCK, box(50, 100, 480, 200)),),
        printed=(
            LineString([(50, 100), (500, 100)]),
            LineString([(50, 200), (500, 200)]),
            LineString([(50, 0), (50, 250)]),
            LineString([(480, 0), (480, 250)]),
        ),
        motifs=(
            PlacedMotif(
                "tile",
                "A1",
                MultiPolygon([box(100, 110, 140, 150)]),
                (LineString(box(100, 110, 140, 150).exterior),),
            ),
        ),
    )
    rows = [[[58, 100], [488, 100]], [[58, 200], [488, 200]]]
    section = PrintSection.model_validate({"points": rows}, context={"units": "mm"})
    runner = as_printed(even, section)
    assert [tuple(np.round(line.bounds, 6)) for line in runner.printed] == [
        (58, 100, 500, 100),
        (58, 200, 500, 200),
        (58, 0, 58, 250),
        (488, 0, 488, 250),
    ]
    assert runner.blocks[0].shape.bounds == pytest.approx((58, 100, 488, 200))
    assert runner.motifs[0].shape.bounds == pytest.approx((108, 110, 148, 150))
    assert runner.motifs[0].outlines[0].bounds == pytest.approx((108, 110, 148, 150))
    assert runner.even is even and runner.outline is even.outline
    assert as_printed(even, None) is even


def test_a_line_a_tenth_of_a_millimetre_short_of_the_edge_is_not_carried_on() -> None:
    """It ended in the border before the print moved, and does so after it."""
    even = Runner(
        box(0, 0, 500, 250),
        printed=(LineString([(0.1, 100), (499, 100)]), LineString([(300, 0), (300, 250)])),
    )
    section = PrintSection.model_validate({"bow": 6}, context={"units": "mm"})
    level = as_printed(even, section).printed[0]
    assert level.bounds[0] > 4 and level.bounds[2] == pytest.approx(500)


def test_a_block_that_the_print_has_moved_off_the_cloth_is_gone() -> None:
    even = Runner(
        box(0, 0, 500, 250),
        regions=(
            Region("A1", RegionKind.BLOCK, box(10, 10, 100, 200)),
            Region("B1", RegionKind.BLOCK, box(490, 10, 499, 200)),
        ),
        printed=tuple(LineString([(x, 0), (x, 250)]) for x in (10, 490))
        + tuple(LineString([(0, y), (500, y)]) for y in (10, 200)),
    )
    rows = [[[30, 10], [510, 10]], [[30, 200], [510, 200]]]
    section = PrintSection.model_validate({"points": rows}, context={"units": "mm"})
    assert [region.name for region in as_printed(even, section).regions] == ["A1"]


def test_crossings_are_counted_both_ways() -> None:
    grid = "[grid]\nalong = 2\nsashing = 40\nouter_sashing = 30\n[print]\n"
    told = refused(grid + "points = [[[0, 0], [1, 0], [2, 0]], [[0, 1], [1, 1], [2, 1]]]")
    assert told.startswith(
        "print.points: 2 rows of 3 points are given, but the grid has 2 lengthwise and 4"
    )


def test_a_shift_everywhere_is_no_lean_and_no_stretch() -> None:
    warp = shifted((3.0, 4.0))
    assert warp.largest_shift_mm == pytest.approx(5.0)
    assert warp.stretch == (pytest.approx((1.0, 1.0)), pytest.approx((1.0, 1.0)))
    assert warp.moved(np.array([[-50.0, 300.0], [700.0, -9.0]])) == pytest.approx(
        np.array([[-47.0, 304.0], [703.0, -5.0]])
    )


@pytest.mark.parametrize(("sine", "fits"), [(0.199, True), (0.201, False), (-0.201, False)])
def test_a_print_that_leans_by_over_a_fifth_was_measured_wrong(sine: float, fits: bool) -> None:
    """Parallelogram of 400 by 300: p^2 and q^2 are 400^2 + 300^2 plus or minus 2 x 400 x 300 x
    the sine of the lean."""
    p, q = (np.sqrt(400**2 + 300**2 + sign * 240_000 * sine) for sign in (1, -1))
    text = f"[print]\ndiagonals = [{p}, {q}]\n"
    if fits:
        warp = built(text, (400, 300)).print_warp
        assert warp is not None
        assert warp.skew_deg == pytest.approx(np.degrees(np.arcsin(sine)), abs=1e-6)
    else:
        assert "do not fit sides of 400 and 300 mm" in refused(text, (400, 300))


def test_three_lengths_and_widths_are_met_at_both_ends_and_in_the_middle() -> None:
    """Upper edge 8 mm longer, lower 4 shorter; left end 3 mm narrower, right 5 wider: all about
    the middle of 1000 x 300."""
    runner = built("[print]\nlengths = [996, 1000, 1008]\nwidths = [297, 300, 305]\n")
    warp = runner.print_warp
    assert warp is not None
    places = warp.moved(np.array([(0.0, 0), (1000, 0), (0, 300), (1000, 300), (500, 300)]))
    assert places == pytest.approx(
        np.array([(2, 1.5), (998, -2.5), (-4, 298.5), (1004, 302.5), (500, 300)])
    )


def test_listed_blocks_of_a_pieced_top_are_cut_larger_by_what_quilting_takes() -> None:
    """200 + 30 + 150 + 30 + 200 = 610 mm wished; at 2 percent the flat top is 622.4 mm, and its
    three blocks share the 12.4 mm by their lengths."""
    runner = build(
        parse(
            'units = "mm"\n[runner]\nlength = 610\nwidth = 200\nsize_is = "quilted"\n'
            '[top]\nmade = "pieced"\ngrows = "blocks"\n'
            "[grid]\nblocks_along = [200, 150, 200]\nacross = 1\nsashing = 30\n"
        ),
        (0.98, 0.98),
    )
    assert runner.length_mm == pytest.approx(610 / 0.98, abs=2.0)
    lengths = [float(np.diff(block.shape.bounds[0::2])[0]) for block in runner.blocks]
    larger = (runner.length_mm - 60) / 550
    assert lengths == pytest.approx([200 * larger, 150 * larger, 200 * larger], abs=2.0)
