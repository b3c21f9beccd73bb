"""The contact sheet: every pattern on a runner, or why the runner cannot have it."""

from __future__ import annotations

import io
import os
import tempfile
from pathlib import Path
from unittest.mock import patch

import pytest
from click.testing import CliRunner
from PIL import Image

from quiltpath.cli import main
from quiltpath.drawing.page_model import Drawing, Group, PageFrame, Polylines
from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner
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
from tests.once import once
from tests.patterns.runners import drawn, plain
from tests.small_projects import PLAIN, SMALL

SAMPLES = Path(__file__).parent.parent.parent / "samples"
NAMES = PatternBook((shipped_folder(),)).names()


@pytest.fixture
def plain_project(tmp_path: Path) -> Path:
    project = tmp_path / "plain.toml"
    project.write_text(PLAIN)
    return project


@once
def sheet_of(name: str) -> tuple[Runner, list[Thumbnail], Drawing]:
    """All that are asked for on a small runner or a sample, and the sheet of them."""
    if name in SMALL:
        file = Path(tempfile.mkdtemp()) / f"{name}.toml"
        file.write_text(SMALL[name])
    else:
        file = SAMPLES / name / "runner.toml"
    names = patch.object(PatternBook, "names", lambda book: asked_on(name))
    with names, patch("os.cpu_count", lambda: 1):  # the tests are dealt out already
        runner, thumbnails = pattern_thumbnails(toml_content(read_text(file), file.name), file)
    return runner, thumbnails, contact_sheet(runner, thumbnails, "sheet")


FURTHER = [path.parent.name for path in sorted(SAMPLES.glob("*/runner.toml"))]


def asked_on(name: str) -> list[str]:
    """Every pattern on each small runner, every third one on each sample by turns."""
    return NAMES if name in SMALL else NAMES[FURTHER.index(name) % 3 :: 3]


@pytest.mark.parametrize(
    "name",
    [
        *SMALL,
        *(pytest.param(sample, marks=pytest.mark.exhaustive) for sample in FURTHER),
    ],
)
def test_the_sheet_of_every_runner(name: str) -> None:
    """Every pattern is on it, over no caption, and the runner keeps its shape."""
    runner, thumbnails, drawing = sheet_of(name)
    every_pattern_is_there(runner, thumbnails, asked_on(name))
    lie_on_the_page_and_over_no_caption(thumbnails, drawing)
    keep_their_shape(drawing)


def every_pattern_is_there(runner: Runner, thumbnails: list[Thumbnail], asked: list[str]) -> None:
    assert [thumbnail.name for thumbnail in thumbnails] == asked
    missing = {t.name for t in thumbnails if t.lines is None}
    needs_sashing = {"along-the-sashing", "cable", "plait", "leaf-vine"}
    without_motifs = set() if runner.motifs else {"motif-ripple"}
    cannot = without_motifs | (set() if runner.printed else needs_sashing)
    assert missing == cannot & set(asked)
    for thumbnail in thumbnails:
        if thumbnail.lines is None:
            asked = "[[motif]]" if thumbnail.name == "motif-ripple" else "[grid]"
            assert asked in thumbnail.words


def lie_on_the_page_and_over_no_caption(thumbnails: list[Thumbnail], drawing: Drawing) -> None:
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


def keep_their_shape(drawing: Drawing) -> None:
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


FEW = NAMES[::15]
"""The first of them goes along sashing: the plain runner cannot have it."""


@pytest.fixture
def few_patterns(monkeypatch: pytest.MonkeyPatch) -> None:
    """For what hangs on how a sheet is dealt out and written, not on the patterns on it."""
    monkeypatch.setattr(PatternBook, "names", lambda book: FEW)


@pytest.mark.usefixtures("few_patterns")
def test_the_sheet_is_written_where_it_is_asked_for(
    plain_project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    target = tmp_path / "patterns.svg"
    shown = write_pattern_sheet(plain_project, target)
    assert shown == len(FEW) - 1
    assert b"Patterns on: Small and plain" in target.read_bytes()


@pytest.mark.usefixtures("few_patterns")
def test_the_sheet_is_the_same_on_any_number_of_cores(
    plain_project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = []
    for cores in (1, 2, 64):
        monkeypatch.setattr("os.cpu_count", lambda cores=cores: cores)
        write_pattern_sheet(plain_project, tmp_path / "sheet.svg")
        written.append((tmp_path / "sheet.svg").read_bytes())
    assert written[0].startswith(b"<") and len(set(written)) == 1


@pytest.mark.usefixtures("few_patterns")
def test_a_sheet_that_cannot_be_finished_leaves_the_old_one(
    plain_project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    target = tmp_path / "patterns.svg"
    target.write_text("the old one")
    target.chmod(0o640)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as disk:
        disk.setattr("os.fsync", full)
        with pytest.raises(InputError, match="no space left"):
            write_pattern_sheet(plain_project, target)
    assert target.read_text() == "the old one" and set(tmp_path.iterdir()) == {
        plain_project,
        target,
    }
    write_pattern_sheet(plain_project, target)
    assert target.read_bytes().startswith(b"<") and target.stat().st_mode & 0o777 == 0o640


@pytest.mark.usefixtures("few_patterns")
def test_what_is_no_plain_file_is_not_replaced(plain_project: Path, tmp_path: Path) -> None:
    pipe = tmp_path / "patterns.svg"
    os.mkfifo(pipe)
    with pytest.raises(InputError, match="not a plain file"):
        write_pattern_sheet(plain_project, pipe)
    assert pipe.is_fifo()


def test_an_ending_that_is_no_picture_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"\.svg, \.pdf, \.png"):
        write_pattern_sheet(SAMPLES / "galley" / "runner.toml", tmp_path / "patterns.doc")
    assert not list(tmp_path.iterdir())


def test_the_command_line_wants_both_or_none() -> None:
    answer = CliRunner().invoke(main, ["patterns", "--sheet", "x.svg"])
    assert answer.exit_code == 2 and "go together" in answer.output
    listed = CliRunner().invoke(main, ["patterns"])
    assert listed.exit_code == 0
    assert all(name in listed.output for name in NAMES)
