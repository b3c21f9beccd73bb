"""Outlines by name: sizes, corners for mitres, curves for bias, against textbook formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ellipe
from shapely.geometry import Polygon

from quiltpath.errors import InputError
from quiltpath.geometry import named_outlines as outlines
from quiltpath.geometry.named_outlines import OUTLINES, NamedOutline, registry
from quiltpath.materials.edge_corners import edge_of
from quiltpath.project import parse
from quiltpath.project.runner_sections import RunnerSection, check_measures
from quiltpath.runner import build

L, W = 1200.0, 320.0

EVERY = {
    "rectangle": outlines.rectangle(L, W),
    "pointed": outlines.pointed(L, W, 90),
    "clipped": outlines.clipped(L, W, 80),
    "rounded": outlines.rounded(L, W),
    "rounded corners": outlines.rounded(L, W, 50),
    "oval": outlines.oval(L, W),
    "hexagon": outlines.hexagon(L, W),
    "octagon": outlines.octagon(L, W),
    "scalloped": outlines.scalloped(L, W, 100, 25),
}


def corner_angles(shape: Polygon) -> list[float]:
    """Inside angles of what binding mitres, sorted."""
    return sorted(corner.angle_deg for corner in edge_of(shape).corners)


def vertex_angles(shape: Polygon) -> list[float]:
    """Inside angles at all vertices of an outline of straight edges, sorted."""
    return sorted(corner.angle_deg for corner in edge_of(shape, corner_deg=1e-9).corners)


@pytest.mark.parametrize("word", OUTLINES)
def test_every_outline_has_its_finished_size_and_lies_at_the_origin(word: str) -> None:
    """Drawn as a file would have it that says no more than the shape and its size."""
    one_size = OUTLINES[word].one_size
    size = f'length = "{L} mm"\n' + ("" if one_size else f'width = "{W} mm"\n')
    section = parse(f'[runner]\nshape = "{word}"\n{size}').runner
    assert section.shape == word
    shape = OUTLINES[word].draw(*((L,) if one_size else (L, W)))
    assert shape.is_valid and shape.exterior.is_ccw and edge_of(shape).length_mm > 2 * L
    assert shape.bounds == pytest.approx((0, 0, L, L if one_size else W), abs=0.02)
    built = build(parse(f'[runner]\nshape = "{word}"\n{size}')).outline
    assert built.hausdorff_distance(shape) < 0.02


@pytest.mark.parametrize("word", OUTLINES)
def test_every_measure_of_an_outline_is_a_key_that_other_shapes_refuse(word: str) -> None:
    for measure in OUTLINES[word].measures:
        assert RunnerSection.model_fields[measure].default is None
        other = next(o for o in OUTLINES.values() if measure not in o.measures and not o.one_size)
        text = f'units = "mm"\n[runner]\nshape = "{other.word}"\nlength = 900\nwidth = 300\n'
        with pytest.raises(InputError, match=f"{measure} is no measure of a {other.word} runner"):
            parse(f"{text}{measure} = 25\n")


def star(length: float, width: float, tips: int = 5) -> Polygon:
    raise AssertionError("never drawn")


@pytest.mark.parametrize(
    ("refused", "told"),
    [
        (lambda: NamedOutline("star", lambda width, length: None), "takes length first"),
        (lambda: NamedOutline("star", lambda length, width, tips: None), "tips may be left out"),
        (lambda: registry([OUTLINES["oval"], OUTLINES["oval"]]), "two outlines are called 'oval'"),
        (lambda: check_measures([NamedOutline("star", star)]), r"\[runner\] has no key 'tips'"),
    ],
)
def test_an_outline_that_lacks_something_is_refused_in_one_line(refused: object, told: str) -> None:
    with pytest.raises(TypeError, match=told) as error:
        refused()  # type: ignore[operator]
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("name", "angles"),
    [
        ("rectangle", [90] * 4),
        ("pointed", [90, 90, 135, 135, 135, 135]),
        ("clipped", [135] * 8),
        ("hexagon", [120] * 6),
        ("octagon", [135] * 8),
        ("rounded", []),
        ("oval", []),
    ],
)
def test_the_corners_are_those_that_binding_mitres(name: str, angles: list[float]) -> None:
    assert corner_angles(EVERY[name]) == pytest.approx(angles)


@given(angle=st.floats(40, 175))
def test_a_point_has_the_angle_that_was_asked(angle: float) -> None:
    found = vertex_angles(outlines.pointed(L, W, angle))
    assert found == pytest.approx(sorted([angle] * 2 + [180 - angle / 2] * 4), abs=1e-6)


def test_a_regular_hexagon_and_octagon_have_equal_sides() -> None:
    for shape in (outlines.hexagon(400 * 2 / math.sqrt(3), 400), outlines.octagon(400, 400)):
        sides = np.hypot(*np.diff(np.array(shape.exterior.coords), axis=0).T)
        assert np.allclose(sides, sides[0])


def test_an_oval_has_the_area_and_edge_of_an_ellipse() -> None:
    """Area pi a b; edge 4 a E(1 - b^2 / a^2) (complete elliptic integral of the second kind)."""
    oval = EVERY["oval"]
    a, b = L / 2, W / 2
    assert oval.area == pytest.approx(math.pi * a * b, rel=1e-4)
    assert oval.length == pytest.approx(4 * a * ellipe(1 - (b / a) ** 2), rel=1e-4)


def test_rounded_ends_are_half_circles() -> None:
    shape = EVERY["rounded"]
    assert shape.area == pytest.approx((L - W) * W + math.pi * (W / 2) ** 2, rel=1e-4)
    assert shape.length == pytest.approx(2 * (L - W) + math.pi * W, rel=1e-5)


def test_rounded_corners_are_four_quarter_circles() -> None:
    shape = EVERY["rounded corners"]
    assert shape.length == pytest.approx(2 * (L + W - 200) + 2 * math.pi * 50, rel=1e-5)
    assert shape.area == pytest.approx(L * W - (4 - math.pi) * 50**2, rel=1e-4)


def test_scallops_are_whole_and_meet_in_corners_that_turn_inwards() -> None:
    """A chord c that rises by d belongs to the radius (c^2 / 4 + d^2) / 2 d."""
    shape = EVERY["scalloped"]
    along, across = round(1150 / 100), round(270 / 100)
    assert len(edge_of(shape).corners) == 2 * (along + across)
    edge = 0.0
    for side, number in ((1150, along), (270, across)):
        chord = side / number
        radius = (chord**2 / 4 + 25**2) / 50
        edge += 2 * number * radius * 2 * math.asin(chord / 2 / radius)
    assert shape.length == pytest.approx(edge, rel=1e-4)
    # Between two arcs of half sweep h the inside angle is 180 + 2 h, at the four ends 90 + h + h'.
    half = [math.degrees(2 * math.atan(2 * 25 * n / side)) for side, n in ((1150, 12), (270, 3))]
    wanted = [180 + 2 * half[0]] * 22 + [180 + 2 * half[1]] * 4 + [90 + sum(half)] * 4
    # A chord leans from its arc by acos(1 - 0.01 / r) at most; the smaller radius is 53 mm.
    lean = math.degrees(math.acos(1 - 0.01 / ((90**2 / 4 + 25**2) / 50)))
    assert corner_angles(shape) == pytest.approx(sorted(wanted), abs=2 * lean)


def test_a_round_centre_is_a_circle() -> None:
    shape = outlines.round_centre(600)
    middle = shapely.Point(300, 300)
    assert shape.exterior.hausdorff_distance(middle) == pytest.approx(300, abs=0.01)
    assert corner_angles(shape) == []


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: outlines.pointed(300, 320, 40), "wider angle"),
        (lambda: outlines.pointed(300, 320, 190), "20 up to 180"),
        (lambda: outlines.clipped(300, 320, 160), "or less"),
        (lambda: outlines.rounded(300, 320, 170), "or less"),
        (lambda: outlines.scalloped(300, 320, 60, 40), "or less"),
    ],
)
def test_impossible_measures_are_told_with_their_remedy(make: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        make()  # type: ignore[operator]


def _built(lines: str) -> Polygon:
    return build(parse(f"[runner]\n{lines}")).outline


@pytest.mark.parametrize(
    ("lines", "corners"),
    [
        ('length = "1.2 m"\nwidth = "320 mm"', 4),
        ('shape = "pointed"\nlength = "1.2 m"\nwidth = "320 mm"\npoint_angle = 75', 6),
        ('shape = "clipped"\nlength = "1.2 m"\nwidth = "320 mm"\ncut = "60 mm"', 8),
        ('shape = "rounded"\nlength = "1.2 m"\nwidth = "320 mm"', 0),
        ('shape = "oval"\nlength = "1.2 m"\nwidth = "320 mm"', 0),
        ('shape = "hexagon"\nlength = "1.2 m"\nwidth = "320 mm"', 6),
        ('shape = "octagon"\nlength = "1.2 m"\nwidth = "320 mm"', 8),
        ('shape = "scalloped"\nlength = "1.2 m"\nwidth = "320 mm"', 28),
        ('shape = "round"\nlength = "60 cm"', 0),
        ('shape = "square"\nlength = "60 cm"', 4),
    ],
)
def test_the_project_file_names_a_shape_and_its_measures(lines: str, corners: int) -> None:
    assert len(corner_angles(_built(lines))) == corners


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        ('shape = "oval"\nlength = "1 m"\nwidth = "30 cm"\ncut = "2 in"', "no measure of a oval"),
        ('shape = "round"\nlength = "1 m"\nwidth = "30 cm"', "as wide as long"),
        ('shape = "pointed"\nlength = "30 cm"\nwidth = "1 m"', "more than the length"),
        ('shape = "oval"\noutline = [[0, 0], [9, 0], [9, 9]]\nlength = "1 m"', "both given"),
        ('shape = "star"\nlength = "1 m"\nwidth = "30 cm"', "shape"),
    ],
)
def test_contradictory_shapes_are_told_in_one_line(lines: str, fault: str) -> None:
    with pytest.raises(InputError, match=fault):
        build(parse(f'units = "mm"\n[runner]\n{lines}'))


LIMITS = {
    # Name: (an outline that just can be, how many corners it has, one that cannot).
    "two points that meet": (
        lambda: outlines.pointed(300, 300, 90),
        4,
        lambda: outlines.pointed(299, 300, 90),
    ),
    "the sharpest point": (
        lambda: outlines.pointed(9000, 300, 20),
        6,
        lambda: outlines.pointed(9000, 300, 19.9),
    ),
    "the bluntest point": (
        lambda: outlines.pointed(900, 300, 179.9),
        6,
        lambda: outlines.pointed(900, 300, 180),
    ),
    "cuts that meet": (
        lambda: outlines.clipped(900, 300, 150),
        6,
        lambda: outlines.clipped(900, 300, 150.1),
    ),
    "cuts that meet all round": (
        lambda: outlines.clipped(300, 300, 150),
        4,
        lambda: outlines.clipped(300, 300, 151),
    ),
    "arcs that meet": (
        lambda: outlines.rounded(900, 300, 150),
        0,
        lambda: outlines.rounded(900, 300, 150.1),
    ),
    "scallops of half a circle": (
        lambda: outlines.scalloped(800 + 100, 300 + 100, 100, 50),
        22,
        lambda: outlines.scalloped(800 + 100.2, 300 + 100.2, 100, 50.1),
    ),
    "one scallop on a short side": (
        lambda: outlines.scalloped(820, 220, 400, 10),
        4,
        lambda: outlines.scalloped(820, 219, 400, 10),
    ),
}


@pytest.mark.parametrize("name", LIMITS)
def test_an_outline_that_just_can_be_is_and_the_next_is_refused(name: str) -> None:
    made, corners, refused = LIMITS[name]
    outline = made()
    assert outline.is_valid
    straight = len(vertices(outline)) <= 8
    assert len((vertex_angles if straight else corner_angles)(outline)) == corners
    with pytest.raises(ValueError, match=r"give|make"):
        refused()


def test_points_and_cuts_lie_where_the_measures_say() -> None:
    """A right-angled point on 300 mm is 150 mm deep; corners in order, anticlockwise."""
    tips = [(150, 0), (750, 0), (900, 150), (750, 300), (150, 300), (0, 150)]
    assert np.allclose(vertices(outlines.pointed(900, 300, 90)), tips)
    cuts = [(40, 0), (860, 0), (900, 40), (900, 260), (860, 300), (40, 300), (0, 260), (0, 40)]
    assert np.allclose(vertices(outlines.clipped(900, 300, 40)), cuts)


def vertices(outline: Polygon) -> np.ndarray:
    return shapely.get_coordinates(outline)[:-1]


@pytest.mark.parametrize("radius", [20.0, 60.0, 150.0])
def test_arcs_are_as_fine_as_the_eye_and_no_finer(radius: float) -> None:
    """A chord c of a circle strays by R - sqrt(R^2 - c^2 / 4): a hundredth of a millimetre at
    most, and a quarter of that at least. Each corner is 90 degrees of its circle."""
    points = vertices(outlines.rounded(900, 300, radius))
    centre = np.array([900 - radius, radius])
    arc = points[(points > centre - (1e-6, 1e9)).all(axis=1) & (points[:, 1] < radius + 1e-6)]
    assert np.hypot(*(arc - centre).T) == pytest.approx(np.full(len(arc), radius))
    chord = np.hypot(*np.diff(arc, axis=0).T)
    stray = radius - np.sqrt(radius**2 - chord**2 / 4)
    assert stray.max() <= 0.01 + 1e-9
    assert stray.min() > 0.0025
    turned = 2 * np.arcsin(chord / 2 / radius).sum()
    assert turned == pytest.approx(np.pi / 2)


def test_scallops_stand_out_from_the_rectangle_that_is_left() -> None:
    """Sides of 600 and 200 mm in scallops of 100: nodes every 100 mm, each arc 20 mm proud."""
    points = vertices(outlines.scalloped(640, 240, 100, 20))
    nodes = [(x, y) for x in range(20, 621, 100) for y in (20, 220)]
    nodes += [(x, 120) for x in (20, 620)]
    for node in nodes:
        assert np.hypot(*(points - node).T).min() < 1e-6
    for top in [(70, 0), (570, 0), (640, 70), (640, 170), (170, 240), (0, 70)]:
        assert np.hypot(*(points - top).T).min() < 1e-6
    radius = (100**2 / 4 + 20**2) / (2 * 20)
    first = points[(points[:, 1] < 20 + 1e-6) & (points[:, 0] < 120 + 1e-6) & (points[:, 0] > 19)]
    assert np.hypot(*(first - (70, radius)).T) == pytest.approx(np.full(len(first), radius))
