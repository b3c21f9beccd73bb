"""How the quilted piece will lie before it is squared up: for a web page."""

from __future__ import annotations

from base64 import b64encode

from quiltpath.drawing import svg
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.result.values import Result
from quiltpath.runner.lying_picture import lying_picture
from quiltpath.units import Measures

SCREEN = PictureRoom(width_mm=240.0, most_high_mm=90.0, letter_mm=4.0)
LEAST_TOLD_MM = 0.5


def lying_figure(result: Result) -> dict[str, str]:
    """The picture as a web page takes it, what it shows, and the words below it."""
    facts = result.distortion
    placed = facts.lies.placed
    lines = result.lines.geometry
    picture = lying_picture(facts.lies.ring_mm, lines, placed.even, placed.off, SCREEN)
    drawn = b64encode(svg.render(picture.page(), decimals=1)).decode("ascii")
    words = Measures(result.project.handout_units)
    within = words.fine(max(facts.lies.worst_mm, LEAST_TOLD_MM))
    even = f"Widths and lengths will come out even, within {within}."
    return {
        "picture": f"data:image/svg+xml;base64,{drawn}",
        "shows": picture.shows,
        "words": facts.expected(words) or even,
    }
