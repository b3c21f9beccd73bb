"""What is to be thought about is shown where it is, in the file and on the live page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from quiltpath.documents.preview_page import places, preview_page
from quiltpath.page.edits import make_changes
from quiltpath.page.remedies import remedies
from quiltpath.project import load, parse
from quiltpath.result.computing import compute
from tests.page.served import serving
from tests.pages import wait_for_frame, wait_for_rest

OPEN = """[runner]
length = "400 mm"
width = "300 mm"
size_is = "flat"
[[quilting]]
name = "far apart"
kind = "straight"
angle = 90
spacing = "150 mm"
[wadding]
limit = "60 mm"
"""
PIXELS = "() => document.querySelector('canvas').toDataURL()"


def test_a_place_is_shown_and_put_away_again(watched: Any, tmp_path: Path) -> None:
    """The widest gap, by keys alone, in the page that is sent to others."""
    file = tmp_path / "open.toml"
    file.write_text(OPEN, encoding="utf-8")
    result = compute(load(file))
    told = [finding.code for finding in result.for_a_person]
    assert "gap-too-wide" in told
    where = places(result)[told.index("gap-too-wide")]
    assert where is not None
    assert 0 < where[0] < 400
    assert 0 < where[1] < 300
    made = tmp_path / "preview.html"
    made.write_bytes(preview_page(result))
    seen = watched()
    seen.page.goto(made.as_uri())
    # The page first draws in the frame after it is loaded: until then the picture is blank.
    wait_for_frame(seen.page)
    button = seen.page.locator("#warnings li").nth(told.index("gap-too-wide")).locator("button")
    before = seen.page.evaluate(PIXELS)
    button.first.focus()
    seen.page.keyboard.press("Enter")
    wait_for_frame(seen.page)
    shown = seen.page.evaluate(PIXELS)
    assert button.first.get_attribute("aria-pressed") == "true"
    assert shown != before
    seen.page.keyboard.press("Enter")
    wait_for_frame(seen.page)
    assert seen.page.evaluate(PIXELS) == before
    assert seen.errors == []


def test_the_live_page_tells_places_with_what_it_tells(watched: Any, tmp_path: Path) -> None:
    file = tmp_path / "open.toml"
    file.write_text(OPEN, encoding="utf-8")
    with serving(file) as served:
        last = served.draw()[-1]
        assert len(last["places"]) == len(last["warnings"])
        assert any(last["places"])
        page = watched().page
        page.goto(served.server.address)
        wait_for_rest(page)
        assert page.locator("#warnings .where").count() == sum(map(bool, last["places"]))


CROOKED = """units = "in"
[runner]
length = "40 in"
width = "14 in"
size_is = "flat"
[grid]
along = 3
sashing = "1 in"
[[quilting]]
name = "wide"
kind = "straight"
spacing = "9 in"   # too wide by far
[wadding]
limit = "4 in"
"""


def test_a_remedy_is_done_by_a_button_and_undone(watched: Any, tmp_path: Path) -> None:
    """The widest spacing that holds, in the file's own inches; what was told is told no more."""
    file = tmp_path / "wide.toml"
    file.write_text(CROOKED, encoding="utf-8")
    with serving(file) as served:
        seen = watched()
        page = seen.page
        page.goto(served.server.address)
        wait_for_rest(page)
        warnings = page.locator("#warnings")
        assert "the wadding holds up to 4 in" in warnings.inner_text()
        mend = warnings.locator(".mend").first
        mend.focus()
        page.keyboard.press("Enter")
        wait_for_rest(page)
        assert "the wadding holds up to" not in warnings.inner_text()
        page.click("#save")
        page.wait_for_function(
            "() => document.getElementById('heard').textContent.includes('saved')"
        )
        (line,) = [text for text in file.read_text().splitlines() if text.startswith("spacing")]
        assert "in" in line and "mm" not in line and "# too wide by far" in line
        assert compute(load(file)).holds
        page.click("#undo")
        wait_for_rest(page)
        assert warnings.locator(".mend").count() >= 1
        assert seen.errors == []


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("wish", ["9 in", "about 9 in", "about 240 mm"])
def test_a_spacing_that_is_offered_holds_and_keeps_its_freedom(wish: str, units: str) -> None:
    told = CROOKED.replace('"9 in"', f'"{wish}"').replace('units = "in"', f'units = "{units}"')
    result = compute(parse(told))
    number = [finding.code for finding in result.for_a_person].index("gap-too-wide")
    (change,) = remedies(result)[number]
    assert change["value"].startswith("about ") == wish.startswith("about ")
    assert compute(parse(make_changes(told, [change], units))).holds


def test_the_remedy_of_lines_beside_seams_is_taken_as_it_is_told(tmp_path: Path) -> None:
    """Spacing, anchor and angle at once, and ``edge`` goes; the seams are met by them."""
    file = tmp_path / "beside.toml"
    told = CROOKED.replace('spacing = "9 in"', 'spacing = "41 mm"\nangle = 90\nedge = "half"')
    file.write_text(told, encoding="utf-8")
    result = compute(load(file))
    number = [finding.code for finding in result.for_a_person].index("seam-missed")
    changes = remedies(result)[number]
    assert [change["name"] for change in changes] == [
        "spacing",
        "anchor",
        "angle",
        "edge",
    ]
    text = make_changes(told, changes, "in")
    assert "edge" not in text
    mended = compute(parse(text))
    assert "seam-missed" not in [finding.code for finding in mended.for_a_person]
