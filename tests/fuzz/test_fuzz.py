"""Whatever comes in: a result that was checked, or one clear line. Never a traceback.

Some hundred cases run with the suite; ten thousand of each with

    QUILTPATH_FUZZ_CASES=10000 python -m pytest tests/fuzz
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quiltpath.errors import FormatLimitError, InputError
from quiltpath.formats import deliver, inspect_file
from quiltpath.formats.stitch_formats import STITCH_FORMATS
from quiltpath.geometry.svg_shapes import read_svg
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.fuzz.stock_phrases import stock_phrases_in
from tests.fuzz.strategies import (
    files_with_slips,
    nearly_valid_projects,
    projects,
    projects_with_units_slipped,
    svg_drawings,
    toml,
)

CASES = int(os.environ.get("QUILTPATH_FUZZ_CASES", "30"))
SETTINGS = settings(
    max_examples=CASES,
    deadline=None,
    derandomize="QUILTPATH_FUZZ_CASES" not in os.environ,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
LEAF = b"<svg xmlns='http://www.w3.org/2000/svg'><path d='M0 0 C9 0 9 9 0 9 Z'/></svg>"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("fuzz")
    (made / "leaf.svg").write_bytes(LEAF)
    return made


def holds(result: Result) -> None:
    """What must be true of any result."""
    stitch = result.project.stitch
    steps = result.stitches.step_mm[result.stitches.is_stitch]
    assert np.isfinite(result.stitches.points).all()
    assert (steps <= stitch.longest + 1e-6).all()
    assert len(result.runs) >= result.runs.runs_lower_bound or not len(result.runs)
    assert result.gaps.widest_mm <= min(result.runner.length_mm, result.runner.width_mm) + 0.5
    outer = result.runner.outline.buffer(result.runner.margin_mm + 1.0)
    low_x, low_y, high_x, high_y = outer.bounds
    x, y = result.stitches.points.reshape(-1, 2).T
    assert ((x >= low_x) & (x <= high_x) & (y >= low_y) & (y <= high_y)).all()
    if len(result.stitches):
        try:
            assert deliver(result.stitches, "dst", result.project.title)[1].verified
        except FormatLimitError as refused:
            assert "\n" not in str(refused)


def one_line(error: InputError) -> None:
    assert "\n" not in str(error)
    assert ": " in str(error)
    assert stock_phrases_in(str(error)) == []


def outcome(content: dict[str, Any], folder: Path) -> Result | None:
    try:
        return compute(parse(toml(content), name="fuzz.toml", folder=folder))
    except InputError as error:
        one_line(error)
        return None


EXTENSIONS = [form.extension for form in STITCH_FORMATS]


@SETTINGS
@given(content=projects())
def test_a_sensible_project_gives_a_result_that_holds_or_one_line(
    folder: Path, content: dict[str, Any]
) -> None:
    result = outcome(content, folder)
    if result is not None:
        holds(result)


@SETTINGS
@given(content=projects_with_units_slipped())
def test_a_slip_of_the_unit_is_told_or_computed(folder: Path, content: dict[str, Any]) -> None:
    """Nothing is searched for without an end; how long each took is measured by hand."""
    outcome(content, folder)


@SETTINGS
@given(content=nearly_valid_projects())
def test_a_spoilt_project_gives_a_result_that_holds_or_one_line(
    folder: Path, content: dict[str, Any]
) -> None:
    result = outcome(content, folder)
    if result is not None:
        holds(result)


@settings(SETTINGS, max_examples=8 * CASES)
@given(text=files_with_slips())
def test_a_slip_is_told_in_one_line_without_a_library_s_sentence(folder: Path, text: str) -> None:
    """Exit code 2 and one line follow from :class:`InputError` (tests/project)."""
    try:
        parse(text, name="slip.toml", folder=folder)
    except InputError as error:
        one_line(error)


@SETTINGS
@given(text=st.text(max_size=300))
def test_any_text_for_a_project_is_told_in_one_line(text: str) -> None:
    with pytest.raises(InputError) as caught:
        parse(text, name="any.toml")
    one_line(caught.value)


@SETTINGS
@given(drawing=svg_drawings(), size=st.floats(1, 500))
def test_any_drawing_gives_shapes_or_one_line(drawing: bytes, size: float) -> None:
    try:
        read = read_svg(drawing, "any.svg", size)
    except InputError as error:
        one_line(error)
        return
    assert all(np.isfinite(np.array(line.coords)).all() for line in read.outlines)
    assert read.shape.is_valid


@SETTINGS
@given(
    content=st.binary(max_size=2000),
    extension=st.sampled_from(EXTENSIONS),
)
def test_any_bytes_for_a_stitch_file_are_read_or_told_in_one_line(
    content: bytes, extension: str
) -> None:
    try:
        facts = inspect_file(content, extension, f"any.{extension}")
    except InputError as error:
        one_line(error)
        return
    assert facts.stitches >= 0


@SETTINGS
@given(
    cut=st.floats(0, 1),
    flips=st.lists(st.tuples(st.floats(0, 0.999), st.integers(0, 255)), max_size=5),
    extension=st.sampled_from(["dst", "pes", "exp", "jef", "vp3", "xxx", "u01"]),
)
def test_a_damaged_stitch_file_is_read_or_told_in_one_line(
    cut: float, flips: list[tuple[float, int]], extension: str
) -> None:
    """Cut short anywhere, some bytes wrong."""
    damaged = bytearray(whole_file(extension))
    for place, value in flips:
        damaged[int(place * len(damaged))] = value
    try:
        facts = inspect_file(bytes(damaged[: int(cut * len(damaged))]), extension, "torn")
    except InputError as error:
        one_line(error)
        return
    assert facts.stitches >= 0


_WHOLE: dict[str, bytes] = {}


def whole_file(extension: str) -> bytes:
    if extension not in _WHOLE:
        project = parse(
            '[runner]\nlength = "200 mm"\nwidth = "120 mm"\n'
            '[[quilting]]\nkind = "straight"\nspacing = "30 mm"\n'
        )
        _WHOLE[extension] = deliver(compute(project).stitches, extension, "torn")[0]
    return _WHOLE[extension]
