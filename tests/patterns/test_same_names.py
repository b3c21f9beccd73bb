"""Layers that share a name are told apart, on every paper and in every language."""

from __future__ import annotations

import io
import re
from typing import get_args
from xml.etree import ElementTree

import pdfplumber
import pytest

from quiltpath.documents.instructions import Layout, steps
from quiltpath.jobs.make import outputs
from quiltpath.language import Language, speaking
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.runner.layer_names import layer_words
from quiltpath.units import Measures

RUNNER = """
units = "in"
[runner]
length = "34 in"
width = "12 in"
[grid]
along = 3
block = "10 in"
sashing = "1 in"
outer_sashing = "1 in"
"""
ALONG = '[[quilting]]\nkind = "straight"\n'
ACROSS = '[[quilting]]\nkind = "straight"\nangle = 90\n'
IN_BLOCKS = '[[quilting]]\npattern = "diagonal-crosshatch"\nregion = "blocks"\n'
IN_SASHING = '[[quilting]]\npattern = "diagonal-crosshatch"\nregion = "sashing"\n'
IN_TWO = '[[quilting]]\nkind = "straight"\nregion = ["A1", "C1"]\n'
ACROSS_SASHING = '[[quilting]]\nkind = "straight"\nregion = "sashing"\nangle = 90\n'
CASES = [
    ([ALONG, ACROSS], ["Straight lines, along the runner", "Straight lines, across the runner"]),
    (
        [IN_BLOCKS, IN_SASHING],
        ["Diagonal crosshatch, in the blocks", "Diagonal crosshatch, in the sashing"],
    ),
    ([ALONG, IN_TWO], ["Straight lines, over the runner", "Straight lines, in A1 and C1"]),
    (
        [ALONG, ACROSS, ACROSS_SASHING],
        [
            "Straight lines, over the runner, along the runner",
            "Straight lines, over the runner, across the runner",
            "Straight lines, in the sashing, across the runner",
        ],
    ),
    ([ALONG] * 5, [f"Straight lines, {n} set" for n in ("first", "second", "third", "fourth")]),
]


@pytest.mark.parametrize(("layers", "told"), CASES)
def test_what_differs_stands_behind_the_name(layers: list[str], told: list[str]) -> None:
    names = [layer.name for layer in parse(RUNNER + "".join(layers)).quilting]
    words = [layer_words(name) for name in names]
    assert words[: len(told)] == told
    assert len(set(words)) == len(layers)
    if len(layers) > 4:
        assert words[4] == "Straight lines, set 5"


@pytest.mark.parametrize("language", get_args(Language))
@pytest.mark.parametrize(("layers", "english"), CASES)
def test_they_differ_in_every_language(
    layers: list[str], english: list[str], language: Language
) -> None:
    names = [layer.name for layer in parse(RUNNER + "".join(layers)).quilting]
    with speaking(language):
        words = [layer_words(name) for name in names]
    assert len(set(words)) == len(words)
    if language != "en":
        assert not set(words) & set(english)
        assert not re.search(r"runner|\bthe\b|\bset\b|[a-z]-[a-z]+hatch", " ".join(words))


def test_names_that_differ_are_left_as_they_are() -> None:
    assert [layer.name for layer in parse(RUNNER + ALONG + IN_BLOCKS).quilting] == [
        "",
        "Diagonal crosshatch",
    ]
    for name in ("in Autumn", "Leaves, in Autumn", "Rays, fifth set, in a ring"):
        assert layer_words(name) == name


def test_no_paper_tells_two_sets_in_the_same_words() -> None:
    """In the steps, on the sheets to mark by and in the guide's key, nothing cut off."""
    result = compute(parse(RUNNER + IN_BLOCKS + IN_SASHING + '[instructions]\nlanguage = "de"\n'))
    with speaking("de"):
        told = [layer_words(layer.name) for layer in result.project.quilting]
        room = Layout.of("A4", False).picture_room
        tasks = " ".join(task for step in steps(result, room, Measures()) for task in step.tasks)
    files = {file.name: file.content for file in outputs(result)}
    with pdfplumber.open(io.BytesIO(files["marking.pdf"])) as pdf:
        sheet = " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
    guide = " ".join(ElementTree.fromstring(files["guide.svg"]).itertext())
    for words in told:
        assert words in tasks and words in sheet and words in guide
