"""Motifs that are drawn as lines, or as wide as their pen: sewn, and kept clear of."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from quiltpath.errors import InputError
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result

PEN_MM = 10.0
SPRIG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<path d="M50 100 V0 M50 60 L10 20 M50 80 L90 40" fill="none" stroke="#345"'
    b' stroke-width="10"/></svg>'
)
CLEAR_MM = 8.0


@pytest.fixture(autouse=True)
def drawing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "sprig.svg").write_bytes(SPRIG)
    monkeypatch.chdir(tmp_path)


def sewn(read_as: str = "", x: float = 150) -> Result:
    text = f"""
    [runner]
    length = "300 mm"
    width = "200 mm"
    size_is = "flat"
    [[motif]]
    name = "sprig"
    file = "sprig.svg"
    size = "100 mm"
    at = ["{x} mm", "100 mm"]
    {read_as}
    [[quilting]]
    kind = "motif"
    [[quilting]]
    kind = "straight"
    spacing = "20 mm"
    clearance = "{CLEAR_MM} mm"
    """
    return compute(parse(text, folder=Path.cwd()))


def of_layer(result: Result, kind: str) -> shapely.Geometry:
    layers = [result.project.quilting[i].kind for i in result.lines.layer]
    return shapely.union_all(
        [line for line, one in zip(result.lines.geometry, layers, strict=True) if one == kind]
    )


def test_lines_are_sewn_whole_and_all_others_keep_their_distance() -> None:
    """A stem of 100 and two twigs of 40 by 40 at right angles to the runner's sides."""
    result = sewn()
    motif, others = of_layer(result, "motif"), of_layer(result, "straight")
    assert motif.length == pytest.approx(100 + 2 * 40 * 2**0.5, rel=1e-3)
    assert shapely.distance(motif, others) == pytest.approx(CLEAR_MM, abs=0.05)


def test_strokes_are_sewn_round() -> None:
    result = sewn('read_as = "strokes"')
    motif, others = of_layer(result, "motif"), of_layer(result, "straight")
    stem = shapely.LineString([(150, 60), (150, 140)])
    assert shapely.distance(motif, stem) == pytest.approx(PEN_MM / 2, rel=0.06)
    assert shapely.distance(motif, others) == pytest.approx(CLEAR_MM, abs=0.05)


def test_lines_that_meet_are_sewn_with_one_start() -> None:
    """Six odd nodes would take three starts (Euler); going back along a twig saves them."""
    result = sewn()
    of_run = np.repeat(np.arange(len(result.runs)), np.diff(result.runs.run_start))
    of_motif = result.lines.layer[result.runs.piece_line] == 0
    assert len(set(of_run[of_motif & (result.runs.piece_line >= 0)])) == 1


def test_a_drawing_of_lines_off_the_runner_is_told_so() -> None:
    with pytest.raises(InputError, match="past the finished edge"):
        sewn(x=20)
    with pytest.raises(InputError, match=r"motif\[1\].read_as"):
        sewn('read_as = "dots"')
