"""What is too small or too large for a hand is told; a slip of the unit is refused.

Limits are common practice: seams of 1/4 in, blocks of an inch in miniature work, one stitch.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from quiltpath.checks.hand_sizes import hand_findings
from quiltpath.errors import InputError
from quiltpath.findings import Rank
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.runner import build

SIZE = 'units = "mm"\n[runner]\nlength = 1800\nwidth = 360\n'
STRAIGHT = '[[quilting]]\nkind = "straight"\nspacing = '
SQUARE = "outline = [[0, 0], [{0}, 0], [{0}, {0}], [0, {0}]]\n"


def told(text: str) -> list[tuple[str, bool]]:
    project = parse(text)
    return [(finding.code, finding.fails) for finding in hand_findings(project, build(project))]


def motif(side_mm: float) -> str:
    at = "at = [900, 180]\n"
    return SIZE + '[[motif]]\nname = "leaf"\n' + SQUARE.format(side_mm) + at


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (motif(1), "motif-too-small"),
        (SIZE.replace("1800", "30").replace("360", "60") + "[grid]\nalong = 10\n", "block"),
        (SIZE + "[grid]\nalong = 6\nsashing = 1\n", "strip-too-narrow"),
        (SIZE + "[grid]\nalong = 6\nsashing = 50\nborder = 2\n", "strip-too-narrow"),
        (SIZE + STRAIGHT + "2\n", "spacing-below-a-stitch"),
        (SIZE.replace("1800", '"72 m"'), "runner-too-large"),
        (SIZE.replace("360", "14"), "runner-too-small"),
    ],
)
def test_a_size_that_no_hand_can_make_fails_the_check(text: str, code: str) -> None:
    assert any(found.startswith(code) and fails for found, fails in told(text))


@pytest.mark.parametrize(
    "text",
    [
        motif(13),
        SIZE + "[grid]\nalong = 60\n",  # 30 mm
        SIZE + "[grid]\nalong = 6\nsashing = 7\nouter_sashing = 7\nborder = 7\n",
        SIZE + STRAIGHT + '"1/8 in"\n',
        SIZE.replace("1800", '"9 m"'),
        SIZE.replace("360", "52"),
    ],
)
def test_what_a_hand_can_just_make_is_not_told(text: str) -> None:
    assert told(text) == []


def test_a_spacing_wider_than_its_region_is_told_in_one_line() -> None:
    """Six blocks of 300 by 360 mm: 400 mm apart there is one line in each at most."""
    text = SIZE + "[grid]\nalong = 6\n" + STRAIGHT + '400\nregion = "blocks"\n'
    assert told(text) == [("spacing-beyond-region", False)]
    # across the lines: 360 upright, 300 where they run from side to side
    assert told(text.replace("400", "350")) == []
    assert told(text.replace("400", "350\nangle = 90")) == [("spacing-beyond-region", False)]
    assert told(text.replace("400", "290\nangle = 90")) == []


def test_metres_for_millimetres_are_refused_before_anything_is_drawn() -> None:
    """The runner as flat as dense quilting asks for: 1800 mm and 3 % drawn up are 1855.7."""
    text = SIZE + '[wadding]\nkind = "cotton"\n' + STRAIGHT + '"about 50 m"\n'
    with pytest.raises(InputError) as caught:
        compute(parse(text))
    line = str(caught.value)
    assert line.startswith(
        "project: quilting[1].spacing: 50 m is wider than the whole runner, 1855"
    )
    assert line.endswith("; check the number and its unit")


def test_the_entry_is_named_that_the_user_wrote(tmp_path: Path) -> None:
    """The second entry is the third layer: the pattern before it draws two."""
    layers = '[[layer]]\nkind = "straight"\n[[layer]]\nkind = "straight"\nangle = 90\n'
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "two.toml").write_text(f'title = "Two"\n{layers}')
    text = f'patterns_folder = "own"\n{SIZE}[[quilting]]\npattern = "two"\n{STRAIGHT}9999'
    with pytest.raises(InputError, match=r"quilting\[2\]\.spacing: 9999 mm is wider"):
        compute(parse(text, folder=tmp_path))


def test_what_a_drawing_holds_beside_its_paths_is_told_once(tmp_path: Path) -> None:
    drawing = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm">'
        '<rect width="50mm" height="50mm"/><text y="9">leaf</text></svg>'
    )
    (tmp_path / "leaf.svg").write_text(drawing, encoding="utf-8")
    text = """
    units = "mm"
    runner = { length = 600, width = 200 }
    motif = [{ name = "leaf", file = "leaf.svg", size = 60, at = [[150, 100], [450, 100]] }]
    """
    found = compute(parse(text, folder=tmp_path)).findings
    told = [one.text for one in found if one.code == "drawing-passed-over"]
    assert len(told) == 1 and "also holds text" in told[0] and "turn it into paths" in told[0]


def test_how_far_a_large_drawing_was_simplified_is_told_for_the_record(tmp_path: Path) -> None:
    """By GEOS's Hausdorff distance from all 20,000 points; half a stitch file's step at most."""
    angle = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    radius = 24 + 4 * np.cos(7 * angle) + 0.02 * np.cos(900 * angle)
    ring = np.column_stack([30 + radius * np.cos(angle), 30 + radius * np.sin(angle)])
    path = "M" + "L".join(f"{x:.5f} {y:.5f}" for x, y in ring) + "Z"
    (tmp_path / "rosette.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 60" width="60mm" height="60mm">'
        f'<path d="{path}"/></svg>',
        encoding="utf-8",
    )
    side = float(np.ptp(ring, axis=0).max())
    text = f"""
    units = "mm"
    runner = {{ length = 600, width = 200 }}
    motif = [{{ name = "rosette", file = "rosette.svg", size = {2 * side}, at = [300, 100] }}]
    """
    result = compute(parse(text, folder=tmp_path))
    (motif,) = result.runner.motifs
    assert len(motif.outlines[0].coords) < 4_000
    low, high = ring.min(axis=0), ring.max(axis=0)
    drawn = (ring - (low + high) / 2) * (2, -2) + (300, 100)
    away = shapely.hausdorff_distance(motif.outlines[0], shapely.linearrings(drawn))
    assert 0.005 < away <= 0.05 + 1e-4
    assert motif.strays_mm == pytest.approx(away, abs=2e-3)
    (told,) = (one for one in result.findings if one.code == "drawing-simplified")
    assert told.rank is Rank.RECORD and f"{motif.strays_mm:.3f} mm at most" in told.text
    assert told not in result.for_a_person
