"""Steps that depend on the outline and on the way lines run: square up, bind, hold the piece."""

from __future__ import annotations

import functools
import re

import pytest

from quiltpath.documents.instructions import steps
from quiltpath.documents.instructions.step import Step
from quiltpath.documents.instructions.step_rows import Layout
from quiltpath.drawing.page_model import Line, Shape, Text
from quiltpath.drawing.sketch import CAPITAL
from quiltpath.drawing.text_width import text_width
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import Measures

PROJECT = """
[runner]
length = "1800 mm"
width = "400 mm"
shape = "{shape}"
[[quilting]]
kind = "straight"
spacing = "about 50 mm"
angle = {angle}
"""


@functools.cache
def made(shape: str, more: str = "", angle: int = 0) -> Result:
    return compute(parse(PROJECT.format(shape=shape, angle=angle) + more))


def step(title: str, shape: str, more: str = "", angle: int = 0) -> Step:
    room = Layout.of("A4", False).picture_room
    told = steps(made(shape, more, angle), room, Measures("metric"))
    (found,) = [one for one in told if one.title == title]
    return found


def text(found: Step) -> str:
    return "\n".join((*found.tasks, *found.notes))


def test_only_a_rectangle_is_trimmed_to_a_rectangle_and_has_diagonals() -> None:
    """Its diagonals: hypot(1800, 400) = 1843.9 mm."""
    assert "diagonals: each should be 1844 mm" in text(step("Square up", "rectangle"))
    for shape in ("oval", "pointed", "rounded", "hexagon", "octagon", "clipped", "scalloped"):
        told = text(step("Square up", shape))
        assert "diagonal" not in told and "Draw the centre line" in told, shape
        (picture,) = step("Square up", shape).pictures
        assert "diagonal" not in picture.shows


def test_points_are_told_by_the_centre_line_and_checked_on_both_sides() -> None:
    """Shoulders 200 mm along and 200 mm off: the sides of the point are 283 mm (Pythagoras)."""
    told = text(step("Square up", "pointed"))
    assert "200 mm along, 200 mm above the centre line" in told
    assert "both sides of each are 283 mm long" in told


def test_an_outline_of_its_own_is_drawn_on_the_top_before_lines_are_measured_from_it() -> None:
    """The top is a rectangle until it is squared up: without a drawn edge nobody could measure
    from it, nor sew over it. As large as the flat top, which quilting draws up to 200 mm."""
    flat = made("pointed").states.flat
    told = text(step("Prepare the top", "pointed"))
    shoulder, half = 200 * flat.length_mm / 1800, flat.width_mm / 2
    found = re.search(r"A ([\d.]+) mm along, ([\d.]+) mm below the centre line", told)
    assert found is not None, told
    assert float(found[1]) == pytest.approx(shoulder, abs=2)
    assert float(found[2]) == pytest.approx(half, abs=0.3)
    (picture,) = step("Prepare the top", "pointed").pictures
    letters = [item.text for item in picture.items if isinstance(item, Text)]
    assert letters == list("ABCDEF") and "dashed the rectangle" in picture.shows
    assert "radius" in text(step("Prepare the top", "rounded"))
    assert "centre line" not in text(step("Prepare the top", "rectangle"))
    framed = '[machine]\nprofile = "longarm-medium"\n'
    assert "centre line" not in text(step("Prepare the top", "pointed", framed))


def test_no_line_crosses_the_letters_of_the_corners() -> None:
    """The margin's edge runs where they stand: each has paper of its own, laid before it."""
    (picture,) = step("Square up", "pointed").pictures
    letters = [
        at for at, i in enumerate(picture.items) if isinstance(i, Text) and i.text in "ABCDEF"
    ]
    assert len(letters) == 6
    for at in letters:
        patch, letter = picture.items[at - 1], picture.items[at]
        assert isinstance(patch, Shape) and isinstance(letter, Text)
        low, high = patch.rings[0].min(axis=0), patch.rings[0].max(axis=0)
        x, y = letter.at
        half = text_width(letter.text, letter.size_mm) / 2
        assert low[0] <= x - half and x + half <= high[0]
        assert low[1] <= y and y + CAPITAL * letter.size_mm <= high[1]
    edges = [at for at, i in enumerate(picture.items) if isinstance(i, Line)]
    assert min(edges) < min(letters)


def test_curves_are_told_by_compass_or_by_offsets_and_held_together() -> None:
    assert "radius of 200 mm, the point 200 mm along on the centre line" in text(
        step("Square up", "rounded")
    )
    oval = text(step("Square up", "oval"))
    assert "at the left end, on the line" in oval and "at 900 mm, 200 mm either side" in oval
    assert "Sew once round on the curves" in oval


def test_inner_corners_are_sewn_round_before_they_are_cut() -> None:
    assert "turn inwards: sew round each" in text(step("Square up", "scalloped"))


def test_an_oval_has_no_mitres_and_its_bias_is_as_long_as_the_cloth_gives() -> None:
    """What is over is reckoned from the area of the square less the seams of its tube."""
    bias = text(step("Cut and join the binding", "oval", '[binding]\ncut = "bias"\n'))
    assert "mitres" not in bias and "with the closing join" in bias
    told = re.search(
        r"Cut ([\d.]+) mm by ([\d.]+) mm of cloth for one continuous bias strip, ([\d.]+) mm wide"
        r" and at least ([\d.]+) mm long.*The edge takes ([\d.]+) mm .*; ([\d.]+) mm are over",
        " ".join(bias.split()),
    )
    assert told is not None
    along, across, width, total, laid, over = map(float, told.groups())
    area = along * across - 2 * 6.35 * (along + across)
    assert width == 57  # 2 1/4 in are 57.15 mm
    assert laid + over == pytest.approx(area / 57.15, abs=2)
    assert laid + over >= total - 1


def test_straight_strips_on_a_tight_curve_are_said_to_pucker_in_the_handout_too() -> None:
    told = text(step("Cut and join the binding", "oval"))
    assert "will pucker" in told and 'cut = "bias"' in told
    bias = text(step("Cut and join the binding", "oval", '[binding]\ncut = "bias"\n'))
    assert "pucker" not in bias and "goes round it" in bias
    gentle = text(step("Cut and join the binding", "oval", '[binding]\nbias_below = "1 in"\n'))
    assert "pucker" not in gentle and "ease round it" in gentle
    assert "curves" not in text(step("Cut and join the binding", "rectangle"))


def test_the_closing_join_s_radius_is_told_where_it_lies_on_a_curve() -> None:
    """The flank of an ellipse of 900 by 200 mm has a radius of 900^2 / 200 = 4050 mm."""
    told = text(step("Sew the binding on", "oval"))
    (radius,) = re.findall(r"flattest part, a radius of ([\d.]+) mm", told)
    assert float(radius) == pytest.approx(4050, rel=0.05)
    assert "closing join lies on straight edge" in text(step("Sew the binding on", "rounded"))


def test_the_quilting_step_says_where_to_begin_and_how_to_hold_the_piece() -> None:
    """Nothing is drawn up here: of 400 mm and 76 mm of margin 276 mm lie under the arm at most, of
    1800 mm across it 976 mm."""
    flat = "[quilted]\ntaken_up = 0.0\n"
    told = text(step("Quilt", "rectangle", flat))
    x, y = made("rectangle", flat).runs.coordinates[0]
    assert "Begin with number 1 in the margin, beside the place" in told and (x < 0 or x > 1800)
    assert f"{y:.0f} mm from the lower edge" in told
    assert "at most 276 mm of it" in told and "Lines across" not in told
    across = text(step("Quilt", "rectangle", flat, 90))
    assert "Lines across the runner: roll the end under the arm, 976 mm" in across
    assert "Lines along" not in across


def test_tails_are_buried_by_a_way_that_is_told() -> None:
    more = 'region = "blocks"\n[grid]\nalong = 4\nsashing = "50 mm"\n'
    told = text(step("Quilt", "rectangle", more + '[stitch]\nsecuring = "tails"\n'))
    assert "thread both into a needle" in told


@pytest.mark.parametrize("policy", ["continuous"])
def test_nobody_holds_a_piece_that_a_machine_moves(policy: str) -> None:
    told = text(step("Quilt", "rectangle", f'[sewing]\npolicy = "{policy}"\n'))
    assert "under the machine's arm" not in told


GRID = """
[grid]
along = 3
sashing = "50 mm"
border = "40 mm"
[top]
made = "pieced"
"""


def test_a_pieced_top_has_a_step_with_letters_rows_pressing_and_sizes() -> None:
    """The letters of the rows are those of the cutting list, and the top is told as it must be."""
    told, cut = text(step("Piece the top", "rectangle", GRID)), text(step("Cut", "rectangle", GRID))
    letters = set(re.findall(r"^([A-Z]): \d+ ", cut, re.MULTILINE))
    (row,) = re.findall(r"Row 1, from the left: ([A-Z ]+)\.", told)
    assert set(row.split()) <= letters and letters == set("ABCD")
    assert "Press every seam towards the sashing" in told
    assert "the first measure of a piece lies along the runner" in told
    sizes = r"\d+ (block|sashing strip)s? ([\d.]+) mm by ([\d.]+) mm, with"
    found = re.findall(sizes, cut)
    assert len(found) >= 2
    for name, along, across in found:
        kind = name.removesuffix(" strip")
        there = [r for r in made("rectangle", GRID).runner.regions if r.kind.value == kind]
        boxes = [region.shape.bounds for region in there]
        seams = (0.0, 6.35, 12.7)  # none on the outside, one, two
        assert any(
            abs(box[2] - box[0] + a - float(along)) < 0.6
            and abs(box[3] - box[1] + b - float(across)) < 0.6
            for box in boxes
            for a in seams
            for b in seams
        ), (name, along, across)
    top = made("rectangle", GRID).cutting.top
    length = round(2 * top.cut_length_mm) / 2
    assert f"The top measures {length:g} mm by" in told
    assert "Sew blocks and sashing together" not in text(step("Prepare the top", "rectangle", GRID))


def test_four_of_a_kind_are_said_first_and_cut_in_one_go() -> None:
    more = GRID + "[materials]\ncopies = 4\n"
    assert "4 of it are made" in text(step("Measure", "rectangle", more))
    once, all_of_them = text(step("Cut", "rectangle", GRID)), text(step("Cut", "rectangle", more))
    (one,), (four,) = (re.findall(r"A: (\d+) block", told) for told in (once, all_of_them))
    assert int(four) == 4 * int(one)


def _binding_notes(length_mm: int, width_mm: int = 420) -> str:
    """What is told of strips 60 mm wide, from cloth of a metre, round a runner of that size."""
    result = compute(
        parse(f"""
units = "mm"
runner = {{ length = {length_mm}, width = {width_mm} }}
quilting = [{{ kind = "straight", spacing = "about 50 mm" }}]
""")
    )
    told = steps(result, Layout.of("A4", False).picture_room, Measures("metric"))
    return text(next(one for one in told if one.title == "Cut and join the binding"))


def test_where_nearly_a_strip_is_over_it_says_why_one_less_would_not_do() -> None:
    """By hand, 3 mm a mitre and 60 mm of closing join: round 1400 x 420 go 3640 + 72 = 3712 mm;
    four strips of 1000 with three joins of 60 are 3820. Round 1480 x 420 go 3872."""
    told = _binding_notes(1400)
    assert "Cut 5 strips 60 mm wide, each across the whole width of the cloth." in told
    assert "With 4 strips only 108 mm would be over" in told
    assert "for which 200 mm are reckoned" in told
    assert "With 4 strips it would be 52 mm too short." in _binding_notes(1480)


def test_where_little_is_over_nothing_is_said_of_one_strip_less() -> None:
    """Five strips are 4760 mm: round 1800 x 420 go 4512, so 248 mm are over."""
    told = _binding_notes(1800)
    assert "248 mm are over" in told and "With 4 strips" not in told


def test_square_corners_are_told_their_angle_where_there_are_others() -> None:
    pointed, plain = (text(step("Mitre the corners", s)) for s in ("pointed", "rectangle"))
    assert "At each of the 4 corners: stop" in plain and "degrees" not in plain
    assert (
        "2 corners of 90 degrees: stop" in pointed and "4 corners of 135 degrees: stop" in pointed
    )
    assert "At each" not in pointed
