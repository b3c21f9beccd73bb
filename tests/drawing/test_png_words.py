"""Words in pictures: every sign of the languages of western Europe is drawn as itself."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from quiltpath.drawing import png
from quiltpath.drawing.page_model import Group, Page, Text


def ink(words: str) -> np.ndarray:
    group = Group("words", (Text((4.0, 6.0), words, 10.0),))
    picture = png.render(Page(20.0, 20.0, (group,), title="words"), 8.0)
    return np.asarray(Image.open(io.BytesIO(picture)).convert("L")) < 128


@pytest.mark.parametrize("signs", ["£€¥", "éèü", "ñçå", "½¼¾", "×÷±", "°²³", "–—…"])
def test_signs_beyond_ascii_are_not_drawn_as_the_empty_box(signs: str) -> None:
    """U+FFFF is no sign in any face (Unicode 16, 23.7): it shows what a missing one looks like."""
    missing = ink("\uffff")
    drawn = [ink(sign) for sign in signs]
    assert all(picture.any() for picture in drawn)
    assert not any((picture == missing).all() for picture in drawn)
    assert not any((one == other).all() for one in drawn[:1] for other in drawn[1:])
