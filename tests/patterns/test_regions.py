"""Regions by the words people use, and what is said when a word fits nothing."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import patches
from quiltpath.patterns import draw
from tests.patterns.runners import disc, drawn, layer, plain, sashed


@pytest.mark.parametrize(
    ("word", "names"),
    [
        ("runner", ["runner"]),
        ("blocks", ["A1", "B1"]),
        ("sashing", ["sashing 1"]),
        ("outer sashing", ["sashing 2"]),
        ("b1", ["B1"]),
        (("B1", "A1"), ["B1", "A1"]),
        (("blocks", "A1", "sashing"), ["A1", "B1", "sashing 1"]),
    ],
)
def test_a_word_names_its_shapes_each_once(word: object, names: list[str]) -> None:
    assert [patch.name for patch in patches(sashed(), word)] == names


def test_an_unknown_word_brings_the_near_names() -> None:
    with pytest.raises(InputError, match="did you mean A1"):
        drawn(sashed(), "straight", region="A2")
    with pytest.raises(InputError, match="did you mean blocks"):
        drawn(sashed(), "straight", region="block")


def test_a_runner_without_blocks_cannot_have_its_blocks_quilted() -> None:
    with pytest.raises(InputError, match=r"no blocks; add it to \[grid\]"):
        drawn(plain(), "straight", region="blocks")


def test_inside_and_outside_motifs_share_the_runner_between_them() -> None:
    runner = plain(motifs=(disc(300, 160, 40),))
    parts = [
        drawn(runner, "straight", spacing=20, anchor=10, region=r)
        for r in ("motifs", "outside motifs")
    ]
    inside, outside = (shapely.length(part.geometry).sum() for part in parts)
    whole = shapely.length(drawn(runner, "straight", spacing=20, anchor=10).geometry).sum()
    assert outside < whole
    chords = 2 * np.sqrt(40**2 - np.array([30, 10, 10, 30]) ** 2)
    assert inside == pytest.approx(chords.sum(), abs=0.1)


def test_layers_keep_the_order_of_the_project() -> None:
    layers = [layer("sashing"), layer("straight", name="fill", spacing=40)]
    lines = draw(sashed(), layers)
    assert lines.layers == ("sashing", "fill")
    assert list(np.unique(lines.layer)) == [0, 1]


def test_a_layer_that_draws_nothing_says_so() -> None:
    lines = drawn(
        plain(300, 100, motifs=(disc(150, 50, 20),)), "straight", spacing=40, clearance=200
    )
    assert len(lines) == 0
    assert [remark.code for remark in lines.remarks] == ["no-lines"]
