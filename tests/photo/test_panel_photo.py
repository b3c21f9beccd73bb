"""Lines and outlines of photographs made from known ones, the picture for checking, the project."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image
from shapely.geometry import Polygon

from quiltpath.errors import InputError
from quiltpath.photo.corners import given_corners
from quiltpath.photo.overlay import overlay
from quiltpath.photo.panel_photo import PanelPhoto, read_between, read_panel
from quiltpath.photo.project_text import project_files
from quiltpath.photo.reading import photo_in_memory
from quiltpath.project import load
from quiltpath.result.computing import compute
from tests.photo.measuring import inside_off_mm, lines_off_mm, measured, motifs_off_mm
from tests.photo.scene import Panel, Scene, checked_cloth, flower, jug, wooden_table

LINES_MM, OUTLINES_MM = 1.0, 2.0

TWO = ((flower(), "#b5482f"), (jug(), "#3d6a7d"))
ROWS = Panel(
    length=600, width=400, motifs=TWO,
    along=(20, 190, 215, 385, 410, 580), across=(20, 187, 213, 380),
)  # fmt: skip
LOW = ((0.15, 0.9), (0.9, 0.85), (0.8, 0.3), (0.2, 0.35))

PHOTOS = {
    "boards, a lens, folds": Scene(table=wooden_table, radial=-0.05, folds=0.15),
    "checked cloth and small print": Scene(
        table=checked_cloth, radial=0.04, panel=Panel(small_print="#8a6d4b")
    ),
    "two rows": Scene(panel=ROWS, corners=LOW, folds=0.1),
    "not quite even": Scene(panel=Panel(along=(24, 203, 231, 411, 438, 616.5))),
    "grounds of different colours": Scene(panel=Panel(blocks=("#efe6d0", "#d9c0a0", "#c7d4d0"))),
    "strips hardly darker than blocks": Scene(
        panel=Panel(sashing="#d9d0ba", blocks=("#e6dcc6",)), table=wooden_table
    ),
    "blocks to the panel's edge": Scene(
        panel=Panel(along=(0, 200, 220, 420, 440, 640), across=(0, 200)), table=wooden_table
    ),
    "noise and half the light": Scene(noise=12, light=0.5, blur=1.2),
}


@pytest.mark.parametrize("name", PHOTOS)
def test_lines_within_one_and_outlines_within_two_millimetres(name: str) -> None:
    scene = PHOTOS[name]
    found = measured(scene)
    assert inside_off_mm(scene, found) < LINES_MM
    assert lines_off_mm(scene, found) < LINES_MM
    off = motifs_off_mm(scene, found)
    assert set(off) == {box[0] for box in scene.panel.block_boxes()}
    assert max(off.values()) < OUTLINES_MM
    assert found.not_found == ()


def test_what_is_stated_is_about_what_is_true() -> None:
    """Lines are within three times their stated error, outlines within theirs."""
    scene = PHOTOS["checked cloth and small print"]
    found = measured(scene)
    stated = min(line.error_mm for line in (*found.sashing.along, *found.sashing.across))
    assert lines_off_mm(scene, found) < 3 * stated
    off = motifs_off_mm(scene, found)
    for motif in found.motifs:
        assert max(off[place.block] for place in motif.places) < motif.error_mm


@pytest.mark.exhaustive
def test_a_large_photo_of_eight_blocks() -> None:
    """12 megapixels; the same two prints by turns are known as two."""
    along = np.concatenate([[20 + i * 137, 20 + i * 137 + 117] for i in range(8)])
    prints = ((flower(80), "#b5482f"), (jug(90), "#3d6a7d"))
    panel = Panel(length=1118, width=280, along=tuple(along), across=(20, 260), motifs=prints)
    scene = Scene(panel=panel, picture=(4000, 3000), table=wooden_table, folds=0.1, radial=-0.04)
    found = measured(scene)
    assert lines_off_mm(scene, found) < LINES_MM
    assert max(motifs_off_mm(scene, found).values()) < OUTLINES_MM
    assert [[place.block for place in motif.places] for motif in found.motifs] == [
        ["A1", "C1", "E1", "G1"],
        ["B1", "D1", "F1", "H1"],
    ]


def test_a_print_turned_upside_down_is_the_same_print() -> None:
    scene = Scene(panel=Panel(turned=True, motifs=((jug(), "#3d6a7d"),)), table=wooden_table)
    (motif,) = measured(scene).motifs
    assert [place.turned for place in motif.places] == [0, 180, 0]


def test_a_print_too_faint_to_tell_is_told_and_not_guessed() -> None:
    faint = ((flower(), "#46506a"), (jug(), "#303440"))
    panel = Panel(blocks=("#2c2f3a",), sashing="#c9b98f", motifs=faint)
    found = measured(Scene(panel=panel))
    assert [one.block for one in found.not_found] == ["B1"]
    assert {p.block for motif in found.motifs for p in motif.places} == {"A1", "C1"}


@pytest.mark.parametrize("folds", [0.0, 0.25])
def test_no_lines_where_none_are_printed(folds: float) -> None:
    """Neither rows of dots nor creases are sashing."""
    panel = Panel(sashing="#efe6d0", small_print="#c9b98f" if folds else "")
    found = measured(Scene(panel=panel, folds=folds))
    assert not found.sashing.found and found.sashing.blocks == ()
    assert found.motifs == ()


def test_the_same_photo_says_the_same() -> None:
    scene = PHOTOS["two rows"]
    photo = photo_in_memory(scene.photo())
    one, other = (project_files(read_panel(photo, 600, 400)) for _ in range(2))
    assert one == other


def test_marked_corners_are_taken_as_they_are() -> None:
    scene = PHOTOS["grounds of different colours"]
    corners = scene.seen(np.array([(0, 0), (640, 0), (640, 200), (0, 200)], dtype=float))
    photo = photo_in_memory(scene.photo())
    found = read_between(photo, 640, 200, given_corners(photo, corners))
    assert found.corners.at_px == pytest.approx(corners)
    assert lines_off_mm(scene, found) < LINES_MM


@pytest.mark.parametrize("size", [(640.0, 2.0), (0.0, 200.0), (4000.0, 100.0), (float("nan"), 9.0)])
def test_sizes_that_no_panel_has_are_told(size: tuple[float, float]) -> None:
    photo = photo_in_memory(np.zeros((300, 400, 3), dtype=np.uint8))
    with pytest.raises(InputError, match=r"size|long as wide"):
        read_panel(photo, *size)


def _laid_down(found: PanelPhoto, folder: Path) -> Path:
    files = project_files(found, "Supper panel")
    for name, drawing in files.drawings:
        (folder / name).write_bytes(drawing)
    (folder / "panel.toml").write_text(files.text, encoding="utf-8")
    return folder / "panel.toml"


@pytest.mark.parametrize("turned", [False, True])
def test_the_project_has_the_motifs_where_they_are_printed(turned: bool, tmp_path: Path) -> None:
    panel = Panel(turned=turned, motifs=((jug(), "#3d6a7d"), (flower(petals=4), "#b5482f")))
    scene = Scene(panel=panel)
    result = compute(load(_laid_down(measured(scene), tmp_path)))
    index = {box[0]: i for i, box in enumerate(panel.block_boxes())}
    assert {motif.place for motif in result.runner.motifs} == set(index)
    for motif in result.runner.motifs:
        truth = Polygon(panel.shape_in(index[motif.place]))
        assert shapely.hausdorff_distance(motif.shape.boundary, truth.boundary) < OUTLINES_MM
    blocks = sorted(r.shape.bounds for r in result.runner.regions if r.name in index)
    boxes = sorted(box[1:] for box in panel.block_boxes())
    assert np.array(blocks) == pytest.approx(np.array(boxes), abs=LINES_MM)


def test_a_panel_without_blocks_makes_a_project_too(tmp_path: Path) -> None:
    found = measured(Scene(panel=Panel(sashing="#efe6d0", motifs=())))
    result = compute(load(_laid_down(found, tmp_path)))
    assert (result.runner.length_mm, result.runner.width_mm) == (640.0, 200.0)


def test_the_overlay_shows_what_was_found_and_leaves_the_photo_alone() -> None:
    scene = PHOTOS["not quite even"]
    photo = photo_in_memory(scene.photo())
    before = photo.pixels.tobytes()
    found = read_panel(photo, 640, 200)
    shown = np.asarray(Image.open(io.BytesIO(overlay(photo, found))).convert("RGB")).astype(int)
    assert photo.pixels.tobytes() == before
    # The colour of the panel's edge stands where the edge is seen, and nowhere far from it.
    blue = np.abs(shown - (0x56, 0xB4, 0xE9)).sum(axis=2) < 12
    middle = scene.seen(np.array([(320.0, 0.0), (640.0, 100.0), (320.0, 200.0), (0.0, 100.0)]))
    for x, y in np.round(middle).astype(int):
        assert blue[y - 3 : y + 4, x - 3 : x + 4].any()
    assert not blue[: int(scene.corners_px[:, 1].min()) - 80].any()
