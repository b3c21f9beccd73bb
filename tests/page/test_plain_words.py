"""The page says of a layer what paper says of it, and no word of the file."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from quiltpath.page.controls import control_values
from quiltpath.project import parse
from quiltpath.result.computing import compute
from tests.page.served import serving

SETTLED = "() => window.quiltpath.settled === window.quiltpath.version()"

TEXT = """
units = "in"
[runner]
length = "34 in"
width = "12 in"
[grid]
along = 3
block = "10 in"
sashing = "1 in"
outer_sashing = "1 in"
[[motif]]
name = "tile"
outline = [[0, 0], [2, 0], [2, 2], [0, 2]]
blocks = ["A1"]
[[quilting]]
kind = "motif"
[[quilting]]
pattern = "cable-border"
region = "outer sashing"
[[quilting]]
kind = "straight"
region = "blocks"
[[quilting]]
kind = "straight"
region = "sashing"
[[quilting]]
pattern = "square-grid"
name = "Squares of my own"
"""
TOLD = [
    "Outlines of the motifs",
    "Cable border",
    "Straight lines, in the blocks",
    "Straight lines, in the sashing",
    "Squares of my own",
]


def test_an_entry_is_called_as_on_paper() -> None:
    project = parse(TEXT)
    state = control_values(project, compute(project).runner, Path(), TEXT)
    assert [entry["name"] for entry in state["entries"]] == TOLD
    assert [entry["draws"] for entry in state["entries"][:3:2]] == [
        "Outlines of the motifs",
        "Straight lines",
    ]
    assert {name: state["titles"][name] for name in ("cable-border", "stipple-by-motifs")} == {
        "cable-border": "Cable border",
        "stipple-by-motifs": "Stipple, close by the motifs",
    }
    assert set(state["patterns"]) <= state["titles"].keys()


@pytest.mark.parametrize("pattern", ["hanging-diamonds", "plaid"])
def test_a_pattern_of_several_layers_has_one_title(pattern: str) -> None:
    text = f'runner = {{ length = "34 in", width = "12 in" }}\n[[quilting]]\npattern = "{pattern}"'
    project = parse(text)
    state = control_values(project, compute(project).runner, Path(), text)
    (entry,) = state["entries"]
    assert entry["name"] == state["titles"][pattern]


def test_the_page_shows_no_word_of_the_file(watched: Any, tmp_path: Path) -> None:
    file = tmp_path / "runner.toml"
    file.write_text(TEXT)
    with serving(file) as served:
        page = watched().page
        page.goto(served.server.address)
        page.wait_for_function(SETTLED)
        told = page.locator("#pattern-0 option").all_inner_texts()
        told += page.locator("#add option").all_inner_texts()
        told += page.locator("fieldset legend").all_inner_texts()
        told += page.locator("#layers label").all_inner_texts()
        page.click("#settings > summary")
        page.wait_for_selector("#tables summary")
        told += page.locator("#tables summary").all_inner_texts()
        page.click("#keep")
        told.append(page.locator("#cards article").get_attribute("aria-label") or "")
    told = [each.strip() for each in told]
    assert "Cable border" in told and "2. Cable border" in told
    assert "Outlines of the motifs" in told
    assert any("Straight lines, in the sashing" in each for each in told)
    assert "Quilting 1: Outlines of the motifs" in told
    assert told[-1].endswith("Square grid 1 1/2 in")
    odd = re.compile(r"own:|[a-z]-border|\d\. motif|^straight|: straight|-grid")
    assert not [each for each in told if odd.search(each)]
