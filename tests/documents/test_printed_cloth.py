"""A printed panel's own picture lies on the cloth where the panel lies in the flat top."""

from __future__ import annotations

import io
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

import quiltpath
from quiltpath.cli import main
from quiltpath.documents.lit_picture import lit_cloth
from quiltpath.documents.preview_page import photos
from quiltpath.documents.printed_cloth import cloth_photos
from quiltpath.drawing.relief_cloth import paint_cloth
from quiltpath.drawing.relief_view import LitView
from quiltpath.errors import InputError
from quiltpath.jobs.make import outputs

RED, GREEN, BLUE, YELLOW = (200, 0, 0), (0, 170, 0), (0, 0, 200), (210, 200, 0)


def striped(wide: int = 400, high: int = 260, kind: str = "PNG") -> bytes:
    """The print: red on the left, then green and blue, yellow on the right; dark along its foot."""
    shot = np.zeros((high, wide, 3), dtype=np.uint8)
    for number, colour in enumerate((RED, GREEN, BLUE, YELLOW)):
        shot[:, number * wide // 4 : (number + 1) * wide // 4] = colour
    shot[-high // 4 :] = 0
    written = io.BytesIO()
    Image.fromarray(shot).save(written, kind)
    return written.getvalue()


def result(folder: Path, runner: str, panel: str, content: bytes | None = None) -> quiltpath.Result:
    (folder / "print.png").write_bytes(striped() if content is None else content)
    text = f"""
    units = "mm"
    runner = {{ {runner}, size_is = "flat" }}
    quilting = [{{ kind = "straight", spacing = 60 }}]
    [[panel]]
    picture = "print.png"
    {panel}
    """
    return quiltpath.compute(quiltpath.parse(text, folder=folder))


def colour_at(made: quiltpath.Result, x: float, y: float) -> tuple[int, ...]:
    """Of the cloth before light and thread, at a share of the flat top's length and width."""
    low_x, low_y, high_x, high_y = made.runner.outline.bounds
    view = LitView(low_x, low_y, high_x, high_y, 1.0)
    rgb, _ = paint_cloth(lit_cloth(made).cloth, view)
    at = [[low_x + x * (high_x - low_x), low_y + y * (high_y - low_y)]]
    column, row = view.to_px(np.array(at))[0].astype(int)
    return tuple(int(level) for level in rgb[row, column])


def near(colour: tuple[int, ...]) -> object:
    return pytest.approx(colour, abs=4)


def test_one_panel_shows_its_whole_print(tmp_path: Path) -> None:
    made = result(tmp_path, "length = 400, width = 200", "size = [420, 220]\nrim = 10")
    for share, colour in ((0.05, RED), (0.3, GREEN), (0.7, BLUE), (0.95, YELLOW)):
        assert colour_at(made, share, 0.8) == near(colour)
    assert colour_at(made, 0.5, 0.1) == near((0, 0, 0))
    (photo,) = cloth_photos(made)
    assert photo.high_x - photo.low_x == pytest.approx(400, abs=1)


def test_what_is_cut_off_the_ends_is_not_seen(tmp_path: Path) -> None:
    """Of 400 mm of print 300 are kept: 50 mm of the red and of the yellow are left, and the whole
    of the 100 mm between."""
    made = result(tmp_path, "length = 300, width = 200", "size = [400, 200]")
    for mm, left, right in ((50, RED, GREEN), (150, GREEN, BLUE), (250, BLUE, YELLOW)):
        assert colour_at(made, (mm - 4) / 300, 0.8) == near(left)
        assert colour_at(made, (mm + 4) / 300, 0.8) == near(right)


def test_two_panels_meet_in_the_middle(tmp_path: Path) -> None:
    """Edge to edge with seams of 6.35 mm: each shows its print but for the seam."""
    made = result(tmp_path, "length = 787.3, width = 200", "size = [400, 200]\ncount = 2")
    assert len(cloth_photos(made)) == 2
    assert colour_at(made, 0.02, 0.8) == near(RED)
    assert colour_at(made, 0.495, 0.8) == near(YELLOW)
    assert colour_at(made, 0.505, 0.8) == near(RED)
    assert colour_at(made, 0.98, 0.8) == near(YELLOW)


def test_without_a_picture_the_cloth_keeps_its_colours(tmp_path: Path) -> None:
    text = 'units = "mm"\nrunner = { length = 400, width = 200, size_is = "flat" }\n'
    made = quiltpath.compute(quiltpath.parse(text + "[[panel]]\nsize = [400, 200]"))
    assert cloth_photos(made) == () and photos(made) == []


def test_pages_hold_it_and_the_lit_picture_shows_it(tmp_path: Path) -> None:
    made = result(tmp_path, "length = 400, width = 200", "size = [400, 200]")
    files = {file.name: file.content for file in outputs(made)}
    assert b'"photos":[{"picture":"data:image/jpeg;base64,' in files["preview.html"]
    shown = np.asarray(Image.open(io.BytesIO(files["preview.png"])).convert("RGB")).astype(int)
    rows, columns = shown.shape[:2]
    left = shown[rows // 3, int(columns * 0.12) : int(columns * 0.2)].mean(axis=0)
    right = shown[rows // 3, int(columns * 0.8) : int(columns * 0.88)].mean(axis=0)
    assert left[0] > 2 * max(left[1], left[2]), "red"
    assert min(right[0], right[1]) > 2 * right[2], "yellow"


@pytest.mark.parametrize("content", [b"", b"<svg/>", striped()[:200], striped(10, 10)])
def test_what_is_no_picture_is_told_in_one_line(tmp_path: Path, content: bytes) -> None:
    made = result(tmp_path, "length = 400, width = 200", "size = [400, 200]", content)
    with pytest.raises(InputError) as told:
        outputs(made)
    assert re.fullmatch(r"project: panel\[1\]\.picture: print\.png: .+; .+", str(told.value))


def test_check_refuses_what_make_refuses(tmp_path: Path) -> None:
    file = tmp_path / "runner.toml"
    size = 'runner = { length = "40 in", width = "12 in", size_is = "flat" }\n'
    size += 'quilting = [{ kind = "straight", spacing = "2 in" }]\n'
    file.write_text(f'{size}[[panel]]\nsize = "40 x 12 in"\npicture = "print.jpg"\n')
    (tmp_path / "print.jpg").write_bytes(b"no picture")
    for command in (["check", str(file)], ["make", str(file), "--out", str(tmp_path / "out")]):
        done = CliRunner().invoke(main, command)
        assert done.exit_code == 2
        assert "runner.toml: panel[1].picture: print.jpg: " in done.output
    assert not (tmp_path / "out").exists()


def test_a_picture_that_is_too_large_is_to_be_saved_smaller(tmp_path: Path) -> None:
    text = 'runner = { length = "40 in", width = "12 in" }\n[[panel]]\nsize = "40 x 12 in"\n'
    (tmp_path / "large.jpg").write_bytes(bytes(5_000_001))
    with pytest.raises(InputError, match=r"panel\[1\]\.picture.*5 MB; save it smaller"):
        quiltpath.parse(text + 'picture = "large.jpg"', folder=tmp_path)


def test_a_picture_that_is_not_there_is_told_with_its_key(tmp_path: Path) -> None:
    text = 'runner = { length = "40 in", width = "12 in" }\n[[panel]]\nsize = "40 x 12 in"\n'
    with pytest.raises(InputError, match=r"panel\[1\]\.picture.*'gone\.jpg'"):
        quiltpath.parse(text + 'picture = "gone.jpg"', folder=tmp_path)
