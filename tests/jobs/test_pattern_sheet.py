"""The contact sheet: every pattern on a runner, or why the runner cannot have it."""

from __future__ import annotations

import io
import os
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from quiltpath.cli import main
from quiltpath.drawing.page_model import Group, PageFrame, Polylines
from quiltpath.errors import InputError
from quiltpath.jobs.contact_sheet import (
    CAPTION_MM,
    MARGIN_MM,
    PAGE_WIDTH_MM,
    PIXELS_PER_MM,
    WRITERS,
    Thumbnail,
    contact_sheet,
    pattern_thumbnails,
    write_pattern_sheet,
)
from quiltpath.patterns.book import PatternBook, shipped_folder
from quiltpath.project.loading import read_text
from quiltpath.schema import toml_content
from tests.patterns.runners import drawn, plain

SAMPLES = sorted((Path(__file__).parent.parent.parent / "samples").glob("*/runner.toml"))
NAMES = PatternBook((shipped_folder(),)).names()


@pytest.fixture(scope="module", params=SAMPLES, ids=lambda path: path.parent.name)
def sheet(request: pytest.FixtureRequest):  # type: ignore[no-untyped-def]
    content = toml_content(read_text(request.param), request.param.name)
    runner, thumbnails = pattern_thumbnails(content, request.param)
    return runner, thumbnails, contact_sheet(runner, thumbnails, "sheet")


def test_every_pattern_is_on_the_sheet_of_every_sample(sheet) -> None:  # type: ignore[no-untyped-def]
    runner, thumbnails, _ = sheet
    assert [thumbnail.name for thumbnail in thumbnails] == NAMES
    missing = {t.name for t in thumbnails if t.lines is None}
    needs_sashing = {"along-the-sashing", "cable", "plait", "leaf-vine"}
    without_motifs = set() if runner.motifs else {"motif-ripple"}
    assert missing == without_motifs | (set() if runner.printed else needs_sashing)
    for thumbnail in thumbnails:
        if thumbnail.lines is None:
            asked = "[[motif]]" if thumbnail.name == "motif-ripple" else "[grid]"
            assert asked in thumbnail.words


def test_thumbnails_lie_on_the_page_and_over_no_caption(sheet) -> None:  # type: ignore[no-untyped-def]
    _, thumbnails, drawing = sheet
    page = drawing.pages[0]
    groups = [g for g in page.groups if g.name in NAMES]
    assert len(groups) == len(thumbnails)
    for group in groups:
        for item in group.items:
            if isinstance(item, Polylines):
                on_page = PageFrame().inside(group).points(item.points)
                assert on_page[:, 0].min() > MARGIN_MM - 1
                assert on_page[:, 0].max() < PAGE_WIDTH_MM - MARGIN_MM + 1
                assert on_page[:, 1].min() > MARGIN_MM + CAPTION_MM - 1
                assert on_page[:, 1].max() < page.height_mm


def test_a_runner_keeps_its_shape_in_the_thumbnail(sheet) -> None:  # type: ignore[no-untyped-def]
    _, _, drawing = sheet
    groups = [g for g in drawing.pages[0].groups if g.name in NAMES]
    assert {(g.scale, g.stretch, g.mirrored) for g in groups} == {
        (groups[0].scale, (1.0, 1.0), False)
    }
    assert isinstance(groups[0].items[0], Group) and groups[0].items[0].name == "outline"


@pytest.mark.parametrize("ending", ["svg", "pdf", "png"])
def test_the_sheet_is_the_picture_that_is_asked_for(ending: str) -> None:
    runner = plain(1200, 320)
    lines = drawn(runner, "waves")
    drawing = contact_sheet(runner, [Thumbnail("waves", "12 lines, 1 run", lines)], "sheet")
    content = WRITERS[f".{ending}"](drawing)
    assert content.startswith({"svg": b"<", "pdf": b"%PDF", "png": b"\x89PNG"}[ending])
    if ending == "png":
        assert Image.open(io.BytesIO(content)).width == PAGE_WIDTH_MM * PIXELS_PER_MM


def test_the_sheet_is_written_where_it_is_asked_for(tmp_path: Path) -> None:
    target = tmp_path / "patterns.svg"
    project = tmp_path / "plain.toml"
    project.write_text('title = "Plain"\n[runner]\nlength = "60 cm"\nwidth = "25 cm"\n')
    shown = write_pattern_sheet(project, target)
    needs_more = {"along-the-sashing", "cable", "plait", "leaf-vine", "motif-ripple"}
    assert shown == len(set(NAMES) - needs_more)
    assert b"Patterns on: Plain" in target.read_bytes()


@pytest.mark.parametrize("cores", [1, 2, 3, 64])
def test_the_sheet_is_the_same_on_any_number_of_cores(
    cores: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = tmp_path / "expected.svg"
    write_pattern_sheet(SAMPLES[0], expected)
    monkeypatch.setattr("os.cpu_count", lambda: cores)
    write_pattern_sheet(SAMPLES[0], tmp_path / "sheet.svg")
    assert (tmp_path / "sheet.svg").read_bytes() == expected.read_bytes()


def test_a_sheet_that_cannot_be_finished_leaves_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "patterns.svg"
    target.write_text("the old one")
    target.chmod(0o640)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as disk:
        disk.setattr("os.fsync", full)
        with pytest.raises(InputError, match="no space left"):
            write_pattern_sheet(SAMPLES[0], target)
    assert target.read_text() == "the old one" and list(tmp_path.iterdir()) == [target]
    write_pattern_sheet(SAMPLES[0], target)
    assert target.read_bytes().startswith(b"<") and target.stat().st_mode & 0o777 == 0o640


def test_what_is_no_plain_file_is_not_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "patterns.svg"
    os.mkfifo(pipe)
    with pytest.raises(InputError, match="not a plain file"):
        write_pattern_sheet(SAMPLES[0], pipe)
    assert pipe.is_fifo()


def test_an_ending_that_is_no_picture_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"\.svg, \.pdf, \.png"):
        write_pattern_sheet(SAMPLES[0], tmp_path / "patterns.doc")
    assert not list(tmp_path.iterdir())


def test_the_command_line_wants_both_or_none() -> None:
    answer = CliRunner().invoke(main, ["patterns", "--sheet", "x.svg"])
    assert answer.exit_code == 2 and "go together" in answer.output
    listed = CliRunner().invoke(main, ["patterns"])
    assert listed.exit_code == 0
    assert all(name in listed.output for name in NAMES)
