"""``look``: near and far side by side."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from quiltpath.cli import main
from quiltpath.documents.preview import PreviewCloth
from quiltpath.documents.preview_page import preview_page
from quiltpath.drawing import png
from quiltpath.errors import InputError
from quiltpath.jobs.look import contrasts_of, far_scale, far_view, typical_gap_mm
from quiltpath.project import parse
from quiltpath.result.computing import compute

PROJECT = """
units = "mm"
[runner]
length = 1200
size_is = "flat"
width = 300
[[quilting]]
kind = "straight"
spacing = 5
overrun = 0
[look]
thread = "#000000"
ground = "#ffffff"
{more}
"""


def computed(more: str = ""):
    return compute(parse(PROJECT.format(more=more)))


def test_the_far_picture_is_seen_under_the_runner_s_own_angle() -> None:
    """Held at 500 mm, a runner 4 m away is drawn at 1 : 8, thread and all (similar triangles)."""
    assert far_scale(4000) == 500 / 4000
    result = computed()
    _, far, _ = far_view(result, contrasts_of(result), 4000).pages[0].groups
    assert far.items[0].scale == 1 / 8


def test_from_afar_the_lines_make_the_tint_that_their_area_says() -> None:
    """0.4 mm of black every 5 mm of white, short of the holes: a tint of 6 to 8 percent."""
    result = computed("thread_width = 0.4")
    drawing = far_view(result, contrasts_of(result), 4000)
    pixels = 8.0
    page = drawing.pages[0]
    picture = np.asarray(Image.open(io.BytesIO(png.render(page, pixels))).convert("L"))
    far = page.groups[1].items[0]
    x = far.shift_mm[0] + far.scale * (25 + 600)
    y = page.height_mm - (far.shift_mm[1] + far.scale * (25 + 150))
    at = slice(int((y - 12) * pixels), int((y + 12) * pixels))
    patch = picture[at, int((x - 50) * pixels) : int((x + 50) * pixels)]
    assert 0.04 < 1 - patch.mean() / 255 < 0.12


def test_the_gap_is_the_area_over_the_length_of_line() -> None:
    assert typical_gap_mm(computed()) == pytest.approx(300 / 59, rel=1e-6)  # 59 lines inside


def test_the_cloth_on_which_thread_shows_least_comes_first() -> None:
    more = "[grid]\nalong=3\nblock=[300,220]\nsashing=75\nouter_sashing=75\n"
    text = PROJECT.replace("width = 300", "width = 370").format(more='block = "#202020"\n' + more)
    shows = contrasts_of(compute(parse(text)))
    assert [show.patch for show in shows] == ["the blocks", "the ground"]
    assert shows[0].ratio < shows[1].ratio == pytest.approx(21)


@pytest.mark.parametrize("colour", ["red", "#12345", "#12345g"])
def test_a_colour_that_is_none_is_told(colour: str) -> None:
    with pytest.raises(InputError, match="look"):
        parse(PROJECT.replace("#000000", colour).format(more=""))


def test_the_command_writes_the_sheet_and_leaves_another_set_alone(tmp_path: Path) -> None:
    project, out = tmp_path / "runner.toml", tmp_path / "far"
    project.write_text(PROJECT.format(more=""))
    for _ in range(2):
        answer = CliRunner().invoke(main, ["look", str(project), "--out", str(out)])
        assert answer.exit_code == 0 and "stands out" in answer.output
    told = json.loads((out / "report.json").read_text())
    assert told["look"]["distance_mm"] == 4000 and told["look"]["cloths"][0]["ratio"] == 21
    (out / "report.json").write_text('{"files": [{"path": "look.svg"}]}')
    refused = CliRunner().invoke(main, ["look", str(project), "--out", str(out)])
    assert refused.exit_code == 2 and "holds another set" in refused.output
    wrong = CliRunner().invoke(
        main, ["look", str(project), "--out", str(out), "--distance", "1 mm"]
    )
    assert wrong.exit_code == 2 and "not across a room" in wrong.output


@pytest.mark.parametrize(("key", "control"), [("thread", "thread"), ("ground", "ground")])
def test_the_preview_s_page_begins_with_the_project_s_colours(key: str, control: str) -> None:
    colour = {"thread": "#000000", "ground": "#ffffff"}[key]
    page = preview_page(computed()).decode()
    assert f'id="{control}" value="{colour}"' in page
    # What [look] leaves out is the preview's own.
    assert f'id="motif" value="{PreviewCloth().motif}"' in page
