"""How long free curves will be, told before they are drawn."""

from __future__ import annotations

import pytest
import shapely

import quiltpath
from quiltpath.errors import InputError
from quiltpath.patterns import draw, draw_layer, expected_length_mm, is_slow_to_draw
from quiltpath.patterns.kinds import KINDS

SLOW = sorted(word for word, kind in KINDS.items() if kind.length_share)


MOTIF = """
[[motif]]
name = "kite"
outline = [[0, 0], [30, -25], [60, 0], [30, 25]]
at = [[250, 110]]
"""


@pytest.mark.parametrize("more", ["", MOTIF])
@pytest.mark.parametrize("kind", SLOW)
def test_free_curves_are_as_long_as_was_expected_to_a_tenth(kind: str, more: str) -> None:
    key = KINDS[kind].model.amount_key  # type: ignore[attr-defined]
    asked = quiltpath.parse(
        'units = "mm"\nrunner = { length = 500, width = 220, size_is = "flat" }\n'
        f'[[quilting]]\nkind = "{kind}"\n{key} = 14\n{more}'
    )
    runner = quiltpath.build(asked)
    drawn = shapely.length(draw(runner, asked.quilting).geometry).sum()
    assert is_slow_to_draw(asked.quilting)
    assert expected_length_mm(runner, asked.quilting, draw_layer) == pytest.approx(drawn, rel=0.1)


@pytest.mark.parametrize("place", ["motifs", "edge"])
def test_a_stipple_that_opens_is_about_as_long_as_was_expected(place: str) -> None:
    asked = quiltpath.parse(
        'units = "mm"\nrunner = { length = 500, width = 220, size_is = "flat" }\n'
        f'[[quilting]]\nkind = "stipple"\nspacing = 16\nnear = 7\ncloser_to = "{place}"\n{MOTIF}'
    )
    runner = quiltpath.build(asked)
    told = expected_length_mm(runner, asked.quilting, draw_layer)
    drawn = shapely.length(draw(runner, asked.quilting).geometry).sum()
    assert told == pytest.approx(drawn, rel=0.12)


def test_a_fault_is_told_of_its_own_layer() -> None:
    """Also where a layer before it was not drawn."""
    wrong = quiltpath.parse(
        'units = "mm"\nrunner = { length = 500, width = 220, size_is = "flat" }\n'
        '[[quilting]]\nkind = "stipple"\n'
        '[[quilting]]\nkind = "straight"\nregion = "Z9"\n'
    )
    for told in (expected_length_mm, draw):
        with pytest.raises(InputError, match=r"quilting\[2\]"):
            told(quiltpath.build(wrong), wrong.quilting, draw_layer)


def test_a_region_too_thin_to_be_looked_at_in_places_is_expected_at_its_spacing() -> None:
    """A border of 4 mm has none of the places at which a varying gap is looked at."""
    thin = quiltpath.parse(
        'units = "mm"\nrunner = { length = 1228, width = 308, size_is = "flat" }\n'
        "[grid]\nalong = 2\nblock = [600, 300]\nsashing = 20\nborder = 4\n"
        '[[quilting]]\nkind = "stipple"\nregion = "border"\ncloser_to = "edge"\n'
        "inset = 1\nspacing = 3.2\nnear = 3\n"
    )
    told = expected_length_mm(quiltpath.build(thin), thin.quilting, draw_layer)
    assert 0 < told < 2 * (1228 + 308) * 4 / 3.2
