"""How an unevenly quilted piece will lie, as it is told: finding, remedy, report, sheets, page."""

from __future__ import annotations

import functools
import json
import re
from base64 import b64decode

import numpy as np
import pytest
import shapely

from quiltpath.documents.instructions import steps
from quiltpath.documents.instructions.step_rows import Layout
from quiltpath.documents.lying import lying_figure
from quiltpath.documents.notes import sewing_notes
from quiltpath.documents.preview_page import preview_page
from quiltpath.documents.report import report_json
from quiltpath.drawing.page_model import Line
from quiltpath.drawing.sketch import PictureRoom
from quiltpath.findings import Finding
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.runner.lying_picture import lying_picture
from quiltpath.units import Measures

PROJECT = """
units = "{units}"
[runner]
length = "1500 mm"
width = "360 mm"
[grid]
along = 3
across = 1
block = ["440 mm", "300 mm"]
sashing = "60 mm"
outer_sashing = "30 mm"
[[quilting]]
name = "All over"
kind = "grid"
spacing = "72 mm"
[[quilting]]
name = "Close"
kind = "grid"
region = {region}
spacing = "{spacing}"
[wadding]
kind = "cotton with scrim"
{more}
"""


@functools.cache
def made(
    region: str = '"B1"',
    spacing: str = "18 mm",
    more: str = "",
    units: str = "mm",
) -> Result:
    given = {"region": region, "spacing": spacing, "more": more, "units": units}
    return compute(parse(PROJECT.format(**given)))


def found(result: Result) -> list[Finding]:
    return [finding for finding in result.findings if finding.code == "drawn-up-unevenly"]


def test_a_dense_middle_is_asked_about_with_the_line_that_evens_it_out() -> None:
    """The line is written into the file; what it then comes to is what was said."""
    (told,) = found(made())
    assert told.rank.value == "think"
    assert "the middle comes out" in told.message and "narrower than the ends" in told.message
    remedy = re.fullmatch(
        r'spacing = "(\d+ mm)" for \'Close\' leaves .* \((\d+(?:\.5)?) mm\) of it', told.remedy
    )
    assert remedy is not None
    now = made(spacing=remedy[1])
    assert now.distortion.lies.worst_mm == pytest.approx(float(remedy[2]), abs=0.5)
    assert now.distortion.lies.worst_mm < made().distortion.lies.worst_mm / 2
    assert all(finding.mild for finding in found(now))


def test_a_project_in_inches_is_told_a_spacing_of_its_ruler() -> None:
    (told,) = found(made(units="in"))
    assert re.match(r'spacing = "(\d+ )?(\d/[248] )?in" for', told.remedy)


def test_quilting_that_is_as_dense_everywhere_says_nothing() -> None:
    assert found(made(region='"runner"')) == []
    assert made(region='"runner"').distortion.told(Measures()) == ""


def test_what_a_ruler_finds_and_no_eye_does_is_for_the_record() -> None:
    (told,) = found(made(spacing="40 mm"))
    assert told.rank.value == "record"


MEASURED = "[quilted]\nlengths = [1496, 1498, 1497]\nwidths = [361, 352, 362]"


def test_what_was_measured_is_not_foretold() -> None:
    """The quilter has the piece in hand."""
    assert found(made(more=MEASURED)) == []
    assert "It will not lie" not in told_at_square_up(made(more=MEASURED))


def told_at_square_up(result: Result) -> str:
    room = Layout.of("A4", False).picture_room
    (step,) = [one for one in steps(result, room, Measures("metric")) if one.title == "Square up"]
    assert ("how it lies" in [picture.name for picture in step.pictures]) == (
        "It will not lie" in " ".join(step.tasks)
    )
    return " ".join(step.tasks)


def test_the_handout_says_what_to_expect_and_what_is_left() -> None:
    """The narrowest place by the report's own figures: 360 mm less what it is narrower by."""
    told = told_at_square_up(made())
    assert "It will not lie quite even, about so: the middle comes out" in told
    left = re.search(r"At its narrowest it will be about (\d+(?:\.5)?) mm wide\.", told)
    assert left is not None
    widths = json.loads(report_json(made(), ()))["distortion"]["widths"]
    assert float(left[1]) == pytest.approx(360 + min(widths["more_mm"]), abs=0.5)


def test_an_even_one_has_nothing_more_on_its_handout() -> None:
    assert "It will not lie" not in told_at_square_up(made(region='"runner"'))
    assert "HOW IT WILL LIE" not in sewing_notes(made(region='"runner"'))


def test_notes_say_the_same() -> None:
    note = sewing_notes(made()).partition("HOW IT WILL LIE")[2].partition("\n\n")[0]
    words = Measures(made().project.handout_units)
    assert " ".join(note.split()) == (
        f"{made().distortion.told(words)} That is an estimate: measure before you trim."
    )


def test_the_report_has_the_state_the_figures_and_how_far_to_trust_them() -> None:
    told = json.loads(report_json(made(), ()))["distortion"]
    assert told["state"] == "quilted" and told["told"] is True
    assert told["evened_out_by"]["layer"] == "Close"
    assert told["widths"]["bows_out_mm"]["upper edge"] < 0
    assert len(told["widths"]["more_mm"]) == len(told["widths"]["at_mm"])
    assert np.ptp(told["widths"]["more_mm"]) <= told["widths"]["spread_mm"] + 1e-3
    least, most = told["draw_up_share"]
    assert least < made().states.quilting[0].likely < most
    assert "estimate" in told["trust"]


@pytest.mark.parametrize(("spacing", "times"), [("18 mm", 10), ("9 mm", 10)])
def test_the_picture_is_ten_times_as_uneven(spacing: str, times: int) -> None:
    """Measured off the picture: where the outline is drawn, against where it will lie."""
    lies = made(spacing=spacing).distortion.lies
    room = PictureRoom(200.0, 90.0, 3.0)
    lines = made(spacing=spacing).lines.geometry
    picture = lying_picture(lies.ring_mm, lines, lies.placed.even, lies.placed.off, room)
    drawn, even = (item for item in picture.items if isinstance(item, Line))
    scale = np.ptp(even.points[:, 0]) / np.ptp(lies.placed.even(lies.ring_mm)[:, 0])
    off = (drawn.points - even.points) / scale
    assert off == pytest.approx(times * lies.placed.off(lies.ring_mm), abs=1e-6)
    assert "ten times" in picture.shows and "quilted" in picture.shows
    assert drawn.points.min() >= 0 and drawn.points[:, 0].max() <= 200.0


def test_one_that_bends_far_is_drawn_less_exaggerated_and_says_so() -> None:
    """Ten times 40 mm would leave the page."""
    bent = shapely.from_wkt("LINESTRING (0 0, 1000 0)")
    ring = np.array([(0.0, 0.0), (1000, 0), (1000, 200), (0, 200)])

    def off(points: np.ndarray) -> np.ndarray:
        return np.stack([0 * points[:, 0], points[:, 0] * 40 / 1000], axis=1)

    picture = lying_picture(ring, np.array([bent]), lambda p: p, off, PictureRoom(200, 90, 3))
    assert "drawn twice as uneven" in picture.shows


def test_the_page_shows_the_picture_with_words_for_who_does_not_see_it() -> None:
    page = preview_page(made()).decode()
    shown = re.search(r'<img id="lying-picture" src="data:image/svg\+xml;base64,([^"]+)" '
                      r'alt="([^"]+)">', page)  # fmt: skip
    assert shown is not None
    assert b"ten times as uneven" in b64decode(shown[1])
    assert "quilted, before it is squared up" in shown[2]
    assert made().distortion.told(Measures("mm")) in page


def test_an_even_one_is_said_to_lie_even() -> None:
    said = lying_figure(made(region='"runner"'))["words"]
    within = re.fullmatch(r"Widths and lengths will come out even, within (\d+(?:\.5)?) mm\.", said)
    assert within is not None
    assert float(within[1]) >= round(2 * made(region='"runner"').distortion.lies.worst_mm) / 2


@pytest.mark.parametrize("shape", ["oval", "pointed", "scalloped"])
def test_other_outlines_are_told_alike(shape: str) -> None:
    """Dense at the left half of them: that half is narrower, whatever its edge."""
    text = f"""
    units = "mm"
    runner = {{ length = 1000, width = 360, shape = "{shape}" }}
    grid = {{ along = 2, across = 1, block = [500, 360] }}
    [[quilting]]
    kind = "grid"
    spacing = 60
    [[quilting]]
    kind = "grid"
    spacing = 15
    region = "A1"
    """
    lies = compute(parse(text)).distortion.lies
    more = lies.widths.more_mm[4:-4]
    assert more[: len(more) // 2].mean() < more[len(more) // 2 :].mean() - 1.0
