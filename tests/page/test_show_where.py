"""What is to be thought about is shown where it is, in the file and on the live page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from quiltpath.documents.preview_page import places, preview_page
from quiltpath.project import load
from quiltpath.result.computing import compute
from tests.page.served import serving

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
NEXT_FRAME = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"


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
    seen.page.evaluate(NEXT_FRAME)
    button = seen.page.locator("#warnings li").nth(told.index("gap-too-wide")).locator("button")
    before = seen.page.evaluate(PIXELS)
    button.first.focus()
    seen.page.keyboard.press("Enter")
    seen.page.evaluate(NEXT_FRAME)
    shown = seen.page.evaluate(PIXELS)
    assert button.first.get_attribute("aria-pressed") == "true"
    assert shown != before
    seen.page.keyboard.press("Enter")
    seen.page.evaluate(NEXT_FRAME)
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
        page.wait_for_function("() => window.quiltpath.settled === window.quiltpath.version()")
        assert page.locator("#warnings .where").count() == sum(map(bool, last["places"]))
