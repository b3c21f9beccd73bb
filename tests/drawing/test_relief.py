"""The lit picture: laws of light, the stitches that are nearest, paint, and thread that is seen."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import uniform_filter
from shapely.geometry import LineString, Point, box

from quiltpath.checks.puff import height_field
from quiltpath.drawing.bitmaps import jpeg_bytes, png_bytes
from quiltpath.drawing.relief import heights_at, picture, surface
from quiltpath.drawing.relief_cloth import noise, paint_cloth, puckers
from quiltpath.drawing.relief_light import EXPOSURE, levels, light_surface, linear
from quiltpath.drawing.relief_stitches import nearest_stitches
from quiltpath.drawing.relief_view import (
    ClothPhoto,
    Light,
    LitView,
    Paint,
    QuiltedCloth,
    Rgb,
    Surface,
    Thread,
)
from tests.drawing.cloths import GREY, SHEET, around, needle_points, plain, quilted


def brightness(rgb: Rgb) -> NDArray[np.float64]:
    """Relative luminance, weights of Rec. 709."""
    return linear(rgb).astype(np.float64) @ np.array([0.2126, 0.7152, 0.0722])


def slanted(slope_x: float, slope_y: float, albedo: float = 0.2) -> Surface:
    """A plane, so that nothing stands in the light or the sky."""
    flat = np.zeros((8, 8), dtype=np.float32)
    return Surface(
        np.full((8, 8, 3), albedo, dtype=np.float32),
        flat + np.float32(slope_x),
        flat + np.float32(slope_y),
        flat + 1,
        flat,
        flat,
        flat + 1,
        0.0,
        1.0,
    )


@pytest.mark.parametrize("turn", [0.0, 60.0, 112.0, 250.0])
@pytest.mark.parametrize("slope", [0.1, 0.3])
def test_a_plane_that_turns_away_darkens_with_the_cosine(turn: float, slope: float) -> None:
    """Lambert's law, against flat cloth, where all light comes from one side."""
    light = Light(from_deg=turn, above_deg=35.0, sky=0.0)
    away = np.array([math.cos(math.radians(turn)), math.sin(math.radians(turn))]) * slope
    flat = brightness(light_surface(slanted(0, 0), light))[4, 4]
    leaning = brightness(light_surface(slanted(*away), light))[4, 4]
    normal = np.array([-away[0], -away[1], 1.0]) / math.hypot(slope, 1)
    ray = np.array(light.direction)
    assert leaning / flat == pytest.approx(normal @ ray / ray[2], abs=0.03)


@pytest.mark.parametrize("colour", ["#101014", "#3d6a7d", "#8f8f8f", "#dfe6e4"])
def test_flat_cloth_keeps_its_own_colour(colour: str) -> None:
    """Under the usual light flat cloth shows its colour, a little darker, hardly tinted."""
    rgb = np.array([[int(colour[i : i + 2], 16) for i in (1, 3, 5)]], dtype=np.uint8)
    own = linear(rgb)[0]
    seen = linear(light_surface(replace(slanted(0, 0), albedo=np.ones((8, 8, 3)) * own), Light()))[
        4, 4
    ]
    bent = own * EXPOSURE > 0.7  # highlights bend towards white
    assert seen == pytest.approx(own * EXPOSURE, rel=0.12 if bent.any() else 0.06, abs=0.002)


def test_levels_of_light_and_back() -> None:
    """IEC 61966-2-1: half of the light is level 188, a fifth of it 124 (published values)."""
    assert levels(np.array([0.0, 0.2, 0.5, 1.0])).tolist() == [0, 124, 188, 255]
    every = np.arange(60, 256, dtype=np.uint8)
    assert (levels(linear(every)) == every).all()


@pytest.mark.parametrize("turn", [45.0, 112.0, 200.0])
def test_what_faces_the_light_is_light_and_its_back_is_dark(turn: float) -> None:
    """A round puff 40 mm wide, looked at on either side."""
    ring = [LineString(Point(120, 80).buffer(20, quad_segs=32).exterior.coords)]
    field, thread = height_field(ring, SHEET), Thread(needle_points(ring), GREY)
    view = LitView(80, 40, 160, 120, 2)
    seen = brightness(picture(field, plain(), thread, view, Light(from_deg=turn)))
    ahead = 17 * np.array([math.cos(math.radians(turn)), math.sin(math.radians(turn))])
    sides = view.to_px(np.array([np.add([120, 80], ahead), np.subtract([120, 80], ahead)])).astype(
        int
    )
    (x1, y1), (x2, y2) = sides
    facing = seen[y1 - 2 : y1 + 3, x1 - 2 : x1 + 3].mean()
    back = seen[y2 - 2 : y2 + 3, x2 - 2 : x2 + 3].mean()
    assert facing > 1.25 * back


@pytest.mark.parametrize("clear_mm", [0.0, 2.5])
def test_spacings_differ_in_the_picture_as_their_fields_say(clear_mm: float) -> None:
    """Lambert's law to first order: light on gentle slopes varies as the slope towards it. So the
    pictures' local variances, in windows of 25 mm, are those of the fields' slopes times one
    number, lines 1/2 in, 1 in and 4 in apart; with the lines and without what lies beside them."""
    light = Light()
    x, y, _ = light.direction
    seen, told = [], []
    for spacing in (12.7, 25.4, 101.6):
        field, thread = quilted(spacing)
        view = LitView(20, 20, 220, 140, 1)
        light_on = brightness(picture(field, plain(take_up=0.0), thread, view, light))
        down, right = np.gradient(np.asarray(field.height_mm[21:142, 21:222], dtype=np.float64))
        towards = -(x * right + y * down)[::-1][:120, :200]
        clear = nearest_stitches(thread.points, view).away > clear_mm
        assert np.corrcoef(light_on[clear], towards[clear])[0, 1] > 0.75
        seen.append(local_variance(light_on, clear))
        told.append(local_variance(towards, clear))
    assert max(told) > 1.5 * min(told), "the fields differ"
    ratio = np.array(seen) / told
    assert ratio == pytest.approx(ratio.mean(), rel=0.15)


def local_variance(values: NDArray[np.float64], clear: NDArray[np.bool_]) -> float:
    """Mean variance of the clear pixels within windows of 25."""
    share = np.maximum(uniform_filter(clear.astype(float), 25), 1e-9)
    mean = uniform_filter(values * clear, 25) / share
    square = uniform_filter(values**2 * clear, 25) / share
    return float((square - mean**2)[clear].mean())


def test_the_nearest_stitch_is_as_near_as_shapely_says() -> None:
    lines = [LineString([(5, 5), (60, 31), (20, 44)]), LineString(Point(40, 25).buffer(9).exterior)]
    view = LitView(0, 0, 70, 50, 3)
    found = nearest_stitches(needle_points(lines), view)
    x, y = np.meshgrid(*view.centres())
    truth = shapely.distance(shapely.points(x, y), shapely.union_all(lines))
    # chords of stitches lie a little off their curve; a raster may take the next best stitch
    assert np.abs(found.away - truth).max() < 0.5
    assert np.median(np.abs(found.away - truth)) < 0.06


def test_stitches_beyond_the_view_count_too() -> None:
    view = LitView(0, 0, 20, 20, 4)
    found = nearest_stitches(np.array([[-3.0, -10.0], [-3.0, 30.0]]), view)
    assert found.away[0, 0] == pytest.approx(3.125, abs=0.01)
    assert nearest_stitches(np.zeros((0, 2)), view).away.min() > 100


def test_arc_length_runs_on_from_stitch_to_stitch() -> None:
    points = np.array([[0.0, 5.0], [4.0, 5.0], [8.0, 5.0], [np.nan] * 2, [0.0, 9.0], [8.0, 9.0]])
    found = nearest_stitches(points, LitView(0, 0, 8, 10, 2))
    row = found.along[9]  # y = 5.25
    assert np.diff(row) == pytest.approx(0.5, abs=1e-3)
    assert (found.length[9] < 4.01).all() and found.length[2] == pytest.approx(8.0)


def test_creases_lie_low_at_any_scale() -> None:
    """Cloth at a stitch is down, however coarse the field: 40 mm lines, 1 mm cells, 8 px a mm."""
    field, thread = quilted(40.0, angle=33.0)
    view = around(120, 80, 25, 8)
    stitches = nearest_stitches(thread.points, view)
    height = heights_at(field, stitches, view)
    assert height[stitches.away < 0.1].max() < 0.75
    assert height.max() == pytest.approx(4 * math.tanh(1), rel=0.03)
    assert (np.isfinite(height)).all()


def test_paint_lies_in_order_and_leaves_holes_open() -> None:
    ring = Point(50, 50).buffer(30).difference(Point(50, 50).buffer(12))
    cloth = QuiltedCloth(
        box(10, 10, 90, 90),
        (
            Paint(box(10, 10, 90, 90), "#204060"),
            Paint(ring, "#c08040"),
            Paint(ring, "#0000ff", 0.5),
        ),
        table="#777777",
    )
    rgb, covered = paint_cloth(cloth, LitView(0, 0, 100, 100, 2))
    assert rgb[100, 100].tolist() == [0x20, 0x40, 0x60]
    assert rgb[100, 140].tolist() == pytest.approx([0x60, 0x40, (0x40 + 0xFF) / 2], abs=2)
    assert rgb[2, 2].tolist() == [0x77] * 3
    assert covered[100, 100] == 1 and covered[2, 2] == 0
    assert covered.mean() == pytest.approx(0.64, abs=0.005)


def test_a_photo_lies_where_it_was_taken() -> None:
    """Four colours, a quarter each, on the right half of the cloth."""
    shot = np.zeros((40, 40, 3), dtype=np.uint8)
    shot[:20, :20], shot[:20, 20:] = (200, 0, 0), (0, 200, 0)
    shot[20:, :20], shot[20:, 20:] = (0, 0, 200), (200, 200, 0)
    cloth = QuiltedCloth(
        box(0, 0, 100, 50),
        (Paint(box(0, 0, 100, 50), "#ffffff"),),
        photos=(ClothPhoto(shot, 50, 0, 100, 50),),
    )
    for scale in (1.0, 4.0):
        view = LitView(20, 0, 100, 50, scale)
        rgb, _ = paint_cloth(cloth, view)
        for at, colour in (
            ((60, 40), (200, 0, 0)),
            ((90, 40), (0, 200, 0)),
            ((60, 10), (0, 0, 200)),
            ((90, 10), (200, 200, 0)),
            ((30, 25), (255, 255, 255)),
        ):
            column, row = view.to_px(np.array([at], dtype=float))[0].astype(int)
            assert rgb[row, column].tolist() == pytest.approx(colour, abs=3)


def test_the_cloth_throws_its_shadow_away_from_the_light() -> None:
    field, thread = quilted(40.0)
    view = LitView(-20, -20, 260, 180, 1)
    seen = brightness(picture(field, plain(), thread, view, Light(from_deg=90)))
    below, above = seen[-18, 60:220].mean(), seen[17, 60:220].mean()
    assert below < 0.8 * above


def test_puckers_grow_with_the_root_of_what_is_taken_up_and_fade_away_from_the_line() -> None:
    """A wave of fixed length that takes up four times as much is twice as high."""
    _, thread = quilted(50.0)
    view = around(120, 80, 40, 3)
    stitches = nearest_stitches(thread.points, view)
    gentle, strong = puckers(stitches, 0.01, 3), puckers(stitches, 0.04, 3)
    assert strong == pytest.approx(2 * gentle, abs=1e-5)
    assert not puckers(stitches, 0.0, 3).any()
    close, far = stitches.away < 3, stitches.away > 12
    assert strong[close].std() > 3 * strong[far].std() > 0


def test_noise_is_even_and_smooth() -> None:
    u, v = np.meshgrid(np.arange(0, 300, 0.1), np.arange(-40, 40, 0.1))
    values = noise(u, v)
    assert abs(values.mean()) < 0.05 and np.abs(values).max() <= 1
    assert np.abs(np.diff(values, axis=1)).max() < 0.35


COLOURS = ["#101014", "#1f2a44", "#7a3b2e", "#8f8f8f", "#c9c2b0", "#ffffff"]


@pytest.mark.parametrize("colour", COLOURS)
@pytest.mark.parametrize(("scale", "half"), [(1.0, 40.0), (3.0, 20.0), (8.0, 8.0), (20.0, 4.0)])
def test_thread_in_the_colour_of_its_cloth_is_seen_at_every_zoom(
    colour: str, scale: float, half: float
) -> None:
    """Levels (sRGB, 0 to 255) differ along the thread from those of the cloth near it. What can
    be told apart side by side is about 2 levels; 8 is asked for (a round figure)."""
    field, thread = quilted(25.4, colour=colour, cell=min(1.0, 2 / scale))
    at = thread.points[np.isfinite(thread.points).all(axis=1)]
    x, y = at[np.hypot(*(at - [120, 80]).T).argmin()]
    view = around(float(x), float(y), half, scale)
    rgb = picture(field, plain(colour), thread, view).astype(float).mean(axis=2)
    away = nearest_stitches(thread.points, view).away
    beside = np.median(rgb[(away > 1.5) & (away < 6)])
    on_thread = rgb[away < max(0.3, 0.7 / scale)]
    edge = np.quantile(np.abs(on_thread - beside), 0.75)
    assert edge >= 8


def test_a_far_view_is_as_light_as_a_near_one_on_the_whole() -> None:
    """Brought together in linear light: the mean stays."""
    field, thread = quilted(30.0, colour="#20304a")
    near_to = brightness(picture(field, plain(), thread, LitView(0, 0, 240, 160, 1)))
    far = brightness(picture(field, plain(), thread, LitView(0, 0, 240, 160, 0.2)))
    assert far.shape == (32, 48)
    assert far.mean() == pytest.approx(near_to.mean(), rel=0.02)


def test_the_same_cloth_gives_the_same_bytes() -> None:
    field, thread = quilted(25.4)
    view = around(120, 80, 20, 4)
    one, other = (png_bytes(picture(field, plain(), thread, view)) for _ in range(2))
    assert one == other
    assert picture(field, plain(), thread, view).shape == (160, 160, 3)


def test_files_hold_the_picture() -> None:
    field, thread = quilted(25.4)
    rgb = picture(field, plain(), thread, LitView(0, 0, 240, 160, 1))
    for content, within in ((png_bytes(rgb), 3), (png_bytes(rgb, None), 0), (jpeg_bytes(rgb), 6)):
        back = np.asarray(Image.open(io.BytesIO(content)).convert("RGB"))
        assert back.shape == rgb.shape
        assert np.abs(back.astype(int) - rgb).mean() <= within
    assert len(png_bytes(rgb)) < len(png_bytes(rgb, None))


def test_a_small_part_in_a_colour_of_its_own_keeps_its_shades_in_the_file() -> None:
    """A patch of 1 % among many shades of grey: the palette holds shades for it as well."""
    rgb = np.repeat(np.random.default_rng(1).integers(90, 240, (200, 200, 1)), 3, axis=2)
    rgb[:20, :20] = np.array([180, 60, 40]) + np.arange(20)[:, None, None]
    rgb = rgb.astype(np.uint8)
    back = np.asarray(Image.open(io.BytesIO(png_bytes(rgb))).convert("RGB")).astype(int)
    assert np.abs(back - rgb)[:20, :20].max() <= 3
    assert np.abs(back - rgb).mean() < 1


def test_only_the_light_changes_when_the_light_is_turned() -> None:
    field, thread = quilted(25.4)
    cloth = surface(field, plain(), thread, around(120, 80, 30, 2))
    one, other = light_surface(cloth, Light(from_deg=90)), light_surface(cloth, Light(from_deg=270))
    assert np.abs(one.astype(int) - other).mean() > 4
    assert brightness(one).mean() == pytest.approx(brightness(other).mean(), rel=0.06)
