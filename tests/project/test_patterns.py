"""The shipped patterns: traditional, told in plain words, changed as the user likes."""

from __future__ import annotations

from pathlib import Path

import pytest

from quiltpath.errors import InputError
from quiltpath.patterns import draw
from quiltpath.patterns.book import PatternBook, read_pattern, shipped_folder
from quiltpath.patterns.kinds import KINDS
from quiltpath.project import parse
from tests.patterns.runners import disc, plain, sashed

BOOK = PatternBook((shipped_folder(),))

TRADITIONAL = [
    "lengthwise-lines", "crosswise-lines", "lines-in-pairs", "matchstick", "square-grid",
    "diagonal-crosshatch", "hanging-diamonds", "plaid", "outline-echo", "motif-ripple",
    "along-the-sashing", "chevron",
]  # fmt: skip


def _layers(name: str, more: str = "") -> tuple:
    text = (
        f'[runner]\nlength = "1830 mm"\nwidth = "320 mm"\n[[quilting]]\npattern = "{name}"\n{more}'
    )
    return parse(text).quilting


@pytest.mark.parametrize("name", TRADITIONAL)
def test_the_traditional_patterns_are_there(name: str) -> None:
    assert name in BOOK.names()


@pytest.mark.parametrize("name", BOOK.names())
def test_each_pattern_is_told_in_words_and_draws_on_a_runner(name: str) -> None:
    pattern = BOOK.find(name)
    assert len(pattern.about) > 40 and pattern.foot
    assert not pattern.foot.endswith(".")  # it is the end of a sentence, which has its own stop
    base = sashed()
    runner = type(base)(base.outline, base.regions, base.printed, (disc(125, 125, 40),), (), 76.2)
    assert len(draw(runner, _layers(name)))


def test_what_the_user_writes_replaces_the_pattern_s_own_figure() -> None:
    (changed,) = _layers("lengthwise-lines", 'spacing = "40 mm"\nangle = 10')
    assert (changed.spacing.mm, changed.spacing.about, changed.angle) == (40, False, 10)


def test_a_change_reaches_the_layers_that_know_it() -> None:
    outline, ripple = _layers("motif-ripple", 'spacing = "8 mm"\nclearance = "3 mm"')
    assert ripple.spacing.mm == 8
    assert outline.clearance == ripple.clearance == 3


def test_a_change_that_no_layer_knows_is_a_mistake() -> None:
    with pytest.raises(InputError, match="there is no such key"):
        _layers("motif-ripple", 'spaceing = "8 mm"')


def test_an_unknown_pattern_brings_the_near_names() -> None:
    with pytest.raises(InputError, match="did you mean chevron"):
        _layers("chevrons")


def test_a_user_s_own_folder_comes_first(tmp_path: Path) -> None:
    own = tmp_path / "mine"
    own.mkdir()
    (own / "chevron.toml").write_text('title = "Mine"\n[[layer]]\nkind = "straight"\n')
    text = 'patterns_folder = "mine"\n[runner]\nlength = "1 m"\nwidth = "30 cm"\n'
    text += '[[quilting]]\npattern = "chevron"\n'
    (layer,) = parse(text, folder=tmp_path).quilting
    assert (layer.kind, layer.name) == ("straight", "Mine")


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("title = 'x'\n", "no layers"),
        ("tittle = 'x'\n[[layer]]\nkind = 'straight'\n", "no such key"),
        ("title = \n", "line 1: title has no value"),
    ],
)
def test_a_wrong_pattern_file_is_told_in_one_line(tmp_path: Path, text: str, fault: str) -> None:
    path = tmp_path / "wrong.toml"
    path.write_text(text)
    with pytest.raises(InputError, match=fault) as error:
        read_pattern(path)
    assert "wrong.toml" in str(error.value) and "\n" not in str(error.value)


def test_lines_of_a_pattern_reach_the_runner() -> None:
    lines = draw(plain(), _layers("square-grid"))
    assert lines.layers == ("Square grid",)


def test_a_pattern_that_names_no_foot_has_that_of_its_first_kind(tmp_path: Path) -> None:
    path = tmp_path / "loops.toml"
    path.write_text('title = "Loops"\n[[layer]]\nkind = "meander"\n[[layer]]\nkind = "grid"\n')
    assert read_pattern(path).foot == KINDS["meander"].foot
    path.write_text('foot = "any"\n[[layer]]\nkind = "meander"\n')
    assert read_pattern(path).foot == "any"
