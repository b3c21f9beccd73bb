"""The registry of kinds: what it holds, and what it refuses when it is built."""

from __future__ import annotations

import re
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any, Literal

import numpy as np
import pytest
import shapely
from shapely.geometry import box

from quiltpath.geometry.runner_shapes import Patch, Runner
from quiltpath.patterns.book import PatternBook, shipped_folder
from quiltpath.patterns.kind import WALKING, Kind
from quiltpath.patterns.kinds import KINDS, is_fill, registry
from quiltpath.patterns.layer import Layer, RepertoireLayer
from quiltpath.patterns.straight import StraightLayer, straight
from quiltpath.patterns.strokes import Strokes
from quiltpath.project import parse
from quiltpath.runner.layer_names import layer_words
from quiltpath.schema import Spacing
from tests.patterns.runners import layer, plain


def nothing(*_: Any) -> Any:
    raise AssertionError("never drawn")


class Nameless(Layer):
    """A model without a word of its own."""


class TwoWords(Layer):
    """A model with one too many."""

    kind: Literal["rays", "beams"]


class Plain(Layer):
    """A layer that is no figure."""

    kind: Literal["plain"]


class Unspaced(RepertoireLayer):
    """A figure without the key that says how close its lines lie."""

    kind: Literal["unspaced"]


class Ticks(RepertoireLayer):
    """A figure of one upright line."""

    kind: Literal["ticks"]
    spacing: Spacing = Spacing(mm=25.0)


@pytest.mark.parametrize(
    ("make", "lacks"),
    [
        (lambda: Kind(Nameless, WALKING, over_patches=nothing), "one word"),
        (lambda: Kind(TwoWords, WALKING, over_patches=nothing), "one word"),
        (lambda: Kind(Plain, "", over_patches=nothing), "foot"),
        (lambda: Kind(Plain, WALKING), "one of in_frame"),
        (lambda: Kind(Plain, WALKING, over_patches=nothing, on_runner=nothing), "one of in_frame"),
        (lambda: Kind(Plain, WALKING, in_frame=nothing), "RepertoireLayer"),
        (lambda: Kind(Plain, WALKING, in_patch=nothing), "RepertoireLayer"),
        (lambda: Kind(Plain, WALKING, over_patches=nothing, cells=True), "in_frame"),
        (lambda: Kind(Unspaced, WALKING, in_frame=nothing), "amount_key 'spacing'"),
    ],
)
def test_a_kind_that_lacks_something_is_refused_in_one_line(
    make: Callable[[], Kind], lacks: str
) -> None:
    with pytest.raises(TypeError, match=lacks) as refused:
        make()
    said = str(refused.value)
    assert "\n" not in said and re.match(r"(Nameless|TwoWords|Plain|Unspaced) is no kind", said)


def test_a_word_used_twice_is_refused_with_both_its_users() -> None:
    once = SimpleNamespace(KINDS=(Kind(StraightLayer, WALKING, over_patches=straight),))
    assert list(registry([once])) == ["straight"]
    with pytest.raises(TypeError, match="StraightLayer and StraightLayer are both called"):
        registry([once, once])


@pytest.mark.parametrize("word", KINDS)
def test_a_kind_is_found_by_its_own_word(word: str) -> None:
    kind = KINDS[word]
    assert kind.word == word and kind.foot
    assert issubclass(kind.model, Layer) and kind.model.__doc__


def test_a_figure_is_drawn_in_each_patch_or_in_each_cell_of_it() -> None:
    """A frame of 300 by 100 less an inset of 0 is three cells of 100: asked for once, in each."""
    asked = []

    def ticks(layer: Ticks, frame: Any) -> list[np.ndarray]:
        asked.append((frame.length, frame.width))
        return [np.array([[frame.length / 2, 0.0], [frame.length / 2, frame.width]])]

    patches = [Patch("A1", box(10, 20, 310, 120)), Patch("B1", box(400, 20, 460, 80))]
    model = Ticks(kind="ticks", inset="0 mm")  # type: ignore[arg-type]
    whole = Kind(Ticks, WALKING, in_frame=ticks).strokes(plain(), model, patches)
    assert asked == [(300, 100), (60, 60)]
    assert shapely.get_coordinates(whole.geometry)[:, 0].tolist() == [160, 160, 430, 430]
    assert whole.source.tolist() == ["A1", "B1"]
    cells = Kind(Ticks, WALKING, in_frame=ticks, cells=True).strokes(plain(), model, patches)
    assert asked[2:] == [(100, 100), (60, 60)]
    assert shapely.get_coordinates(cells.geometry)[::2, 0].tolist() == [60, 160, 260, 430]


def test_what_reads_the_runner_alone_gets_it_and_lies_where_it_lies() -> None:
    seen = []

    def edge(runner: Runner, layer: Plain, patches: Any) -> Strokes:
        seen.append((runner, layer, patches))
        return Strokes(*(np.empty(0, dtype=object) for _ in range(3)))

    runner, model = plain(), Plain(kind="plain")
    kind = Kind(Plain, WALKING, on_runner=edge)
    assert len(kind.strokes(runner, model, ())) == 0 and seen == [(runner, model, ())]
    assert not kind.drawn_even and not kind.is_figure
    assert {word for word in KINDS if not KINDS[word].drawn_even} >= {"echo", "sashing", "motif"}


def test_lines_fill_unless_their_kind_or_their_layer_says_otherwise() -> None:
    assert is_fill(layer("straight")) and not is_fill(layer("straight", role="hold"))
    assert not is_fill(layer("sashing")) and is_fill(layer("motif", role="fill"))


@pytest.mark.parametrize("kind", KINDS)
def test_no_paper_tells_a_layer_in_the_file_s_spelling(kind: str) -> None:
    """A quilter has the paper and not the file."""
    words = layer_words(kind)
    assert words[0].isupper() and "-" not in words and words != kind
    assert layer_words("Grandmother's fan-tail") == "Grandmother's fan-tail"


BOOK = PatternBook((shipped_folder(),))
RUNNER = "runner = { length = 1200, width = 320 }\n"


@pytest.mark.parametrize("name", BOOK.names())
def test_the_list_of_patterns_and_the_paper_name_one_foot(name: str) -> None:
    """What the list says suits a pattern first is what hands are told to put on."""
    project = parse(f'units = "mm"\n{RUNNER}[[quilting]]\npattern = "{name}"\n')
    by_hand = any(KINDS[one.kind].is_free_motion(one) for one in project.quilting)
    assert by_hand == BOOK.find(name).foot.startswith("darning foot")


@pytest.mark.parametrize(("size", "by_hand"), [(76, True), (77, False)])
def test_large_tongues_are_steered_with_the_feed_dogs_up(size: float, by_hand: bool) -> None:
    """Over 3 in, as the list of patterns says."""
    text = f'{RUNNER}[[quilting]]\npattern = "flames"\nsize = {size}\n'
    (one,) = parse(f'units = "mm"\n{text}').quilting
    assert KINDS[one.kind].is_free_motion(one) is by_hand
