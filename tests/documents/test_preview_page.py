"""preview.html in a real browser: offline, by keyboard, on a phone, without a serious fault."""

from __future__ import annotations

import itertools
import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from quiltpath.documents.preview_page import payload, preview_page
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.pages import apart, wait_for_frame
from tests.whole_sets import computed

SAMPLE = Path(__file__).parents[2] / "samples" / "harvest-supper" / "runner.toml"


def sample() -> Result:
    return computed("harvest-supper")


@pytest.fixture
def page_file(tmp_path: Path) -> str:
    path = tmp_path / "preview.html"
    path.write_bytes(preview_page(sample()))
    return path.as_uri()


def inked(page: Any) -> float:
    """Share of the canvas that is not bare."""
    share: float = page.evaluate(
        """() => { const c = document.getElementById('cloth');
        const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
        let n = 0; for (let i = 3; i < d.length; i += 4) if (d[i]) n++;
        return n / (c.width * c.height); }"""
    )
    return share


def picture(page: Any) -> str:
    drawn: str = page.evaluate("() => document.getElementById('cloth').toDataURL()")
    return drawn


@pytest.mark.parametrize(("width", "height"), [(1280, 900), (390, 844)])
def test_it_loads_without_an_error_and_asks_for_nothing(
    watched: Any, page_file: str, width: int, height: int
) -> None:
    seen = watched(width, height)
    seen.page.goto(page_file)
    wait_for_frame(seen.page)
    assert seen.errors == []
    assert seen.requests == [page_file]
    assert inked(seen.page) > 0.2
    overflow = seen.page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
    assert overflow <= 0


@pytest.mark.parametrize(("width", "height"), [(1280, 900), (390, 844)])
def test_the_runner_keeps_its_proportions(
    watched: Any, page_file: str, width: int, height: int
) -> None:
    seen = watched(width, height)
    seen.page.goto(page_file)
    wait_for_frame(seen.page)
    buffer, shown = seen.page.evaluate(
        """() => { const c = document.getElementById('cloth');
        return [[c.width, c.height], [c.clientWidth, c.clientHeight]]; }"""
    )
    assert buffer[0] / buffer[1] == pytest.approx(shown[0] / shown[1], rel=0.02)


def test_keys_alone_move_zoom_and_sew(watched: Any, page_file: str) -> None:
    seen = watched()
    page = seen.page
    page.goto(page_file)
    wait_for_frame(page)
    whole = picture(page)
    for _ in range(3):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.id") == "cloth":
            break
    assert page.evaluate("() => document.activeElement.id") == "cloth"
    page.keyboard.press("+")
    wait_for_frame(page)
    nearer = picture(page)
    assert nearer != whole
    page.keyboard.press("ArrowRight")
    wait_for_frame(page)
    assert picture(page) != nearer
    page.keyboard.press("0")
    wait_for_frame(page)
    assert picture(page) == whole
    page.keyboard.press(" ")
    page.wait_for_function("() => document.getElementById('said').textContent.startsWith('Start ')")
    page.keyboard.press(" ")
    assert "minute" in page.text_content("#said")


def test_layers_back_and_thread_change_the_picture(watched: Any, page_file: str) -> None:
    seen = watched()
    page = seen.page
    page.goto(page_file)
    wait_for_frame(page)
    before = picture(page)
    for selector in ['[data-layer="2"]', "#behind", "#gaps", "#ends", "#by-layer"]:
        page.check(selector) if not page.is_checked(selector) else page.uncheck(selector)
        wait_for_frame(page)
        after = picture(page)
        assert after != before, selector
        before = after
    assert seen.errors == []


def test_each_colour_of_cloth_and_thread_is_the_one_in_the_picture(
    watched: Any, page_file: str
) -> None:
    page = watched().page
    page.goto(page_file)
    wait_for_frame(page)
    for number, name in enumerate(("ground", "block", "motif")):
        colour = (10 + number, 200, 30)
        page.fill(f"#{name}", "#{:02x}{:02x}{:02x}".format(*colour))
        wait_for_frame(page)
        assert pixels_of(page, colour) > 500, name
    page.fill("#thread", "#c80a5a")
    wait_for_frame(page)
    assert pixels_of(page, (200, 10, 90), within=70) > 500
    page.check("#behind")
    page.fill("#bobbin", "#0e05c8")
    wait_for_frame(page)
    assert pixels_of(page, (14, 5, 200), within=90) > 500
    assert pixels_of(page, (13, 200, 30)) == 0, "needle thread does not show on the back"


def pixels_of(page: Any, colour: tuple[int, int, int], within: int = 0) -> int:
    """How many pixels of the picture have this colour; thin lines are blended with the cloth."""
    count: int = page.evaluate(
        """([r, g, b, w]) => { const near = (one, other) => Math.abs(one - other) <= w;
        const c = document.getElementById('cloth');
        const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
        let n = 0; for (let i = 0; i < d.length; i += 4)
            if (near(d[i], r) && near(d[i + 1], g) && near(d[i + 2], b)) n++;
        return n; }""",
        [*colour, within],
    )
    return count


def test_runs_follow_one_another_on_the_time_line(watched: Any, page_file: str) -> None:
    """Next and before go from run to run; the time line goes anywhere; the needle's place shows."""
    page = watched().page
    page.goto(page_file)
    runs = len(sample().runs)
    page.click("#next-run")
    said = [page.text_content("#said")]
    for button in ("#next-run", "#next-run", "#back-run"):
        page.click(button)
        said.append(page.text_content("#said"))
    numbers = [int(re.match(r"Start (\d+) of (\d+)", text)[1]) for text in said]  # type: ignore[index]
    assert numbers[1:] == [numbers[0] + 1, numbers[0] + 2, numbers[0] + 1]
    assert all(f"of {runs}," in text for text in said)
    places = []
    for share in (0.25, 0.75):
        page.evaluate(
            "s => { const l = document.getElementById('line'); l.value = Math.round(l.max * s);"
            " l.dispatchEvent(new Event('input')); }",
            share,
        )
        wait_for_frame(page)
        places.append(picture(page))
        minute = int(re.search(r"about minute (\d+) of (\d+)", page.text_content("#said"))[1])  # type: ignore[index]
        assert minute == pytest.approx(share * sample().time.sewing_min, abs=8)
        assert pixels_of(page, (0xA1, 0x3D, 0)) > 10, "a ring with a cross where the needle is"
    assert places[0] != places[1]


@pytest.mark.parametrize("speed", ["1", "300"])
def test_sewing_keeps_to_the_chosen_speed(watched: Any, page_file: str, speed: str) -> None:
    """The clock of the machine against the page's own clock, which is set by hand."""
    page = watched().page
    page.clock.install(time=0)
    page.goto(page_file)
    page.select_option("#speed", speed)
    page.click("#sew")
    page.clock.run_for(6000)
    page.click("#sew")
    share = int(page.input_value("#line")) / int(page.get_attribute("#line", "max"))
    sewn = share * sample().time.sewing_min
    assert sewn == pytest.approx(int(speed) * 0.1, rel=0.35, abs=0.15)


def test_the_ruler_measures_what_is_drawn(watched: Any, page_file: str) -> None:
    """From the left end to the right end of the runner is its length, to a pixel or two."""
    seen = watched()
    page = seen.page
    page.goto(page_file)
    wait_for_frame(page)
    page.check("#ruler")
    box = page.locator("#cloth").bounding_box()
    length, margin = sample().runner.length_mm, min(sample().runner.margin_mm, 25) + 5
    scale = min(
        page.evaluate("() => document.getElementById('cloth').clientWidth") / (length + 2 * margin),
        page.evaluate("() => document.getElementById('cloth').clientHeight")
        / (sample().runner.width_mm + 2 * margin),
    )
    middle_x, middle_y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    half = length * scale / 2
    page.mouse.move(middle_x - half, middle_y)
    page.mouse.down()
    page.mouse.move(middle_x + half, middle_y, steps=4)
    page.mouse.up()
    measured = float(re.match(r"([\d.]+) mm", page.text_content("#said"))[1])  # type: ignore[index]
    assert measured == pytest.approx(length, abs=3 / scale)


def test_fingers_and_wheel_move_the_picture_and_bring_it_nearer(
    browser: Any, page_file: str
) -> None:
    """What lies under the hand stays there: one finger moves, two twice as far apart double it, a
    wheel of 500 px makes it e times as large."""
    page = browser.new_page(viewport={"width": 1280, "height": 900}, has_touch=True)
    page.goto(page_file)
    wait_for_frame(page)
    box = page.locator("#cloth").bounding_box()
    x, y = box["x"] + box["width"] * 0.4, box["y"] + box["height"] * 0.6
    hand = page.context.new_cdp_session(page)

    def fingers(kind: str, *places: tuple[float, float]) -> None:
        points = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(places)]
        hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def under(at_x: float, at_y: float) -> Any:
        at = page.evaluate("([x, y]) => quiltpath.toMm({ clientX: x, clientY: y })", [at_x, at_y])
        return pytest.approx(at, abs=0.5)

    def scale() -> float:
        each: float = page.evaluate("() => quiltpath.view.scale")
        return each

    before, there = scale(), under(x, y)
    fingers("touchStart", (x, y))
    fingers("touchMove", (x + 30, y - 20))
    fingers("touchEnd")
    assert under(x + 30, y - 20) == there.expected and scale() == before
    there = under(x, y)
    fingers("touchStart", (x - 30, y), (x + 30, y))
    fingers("touchMove", (x - 60, y), (x + 60, y))
    fingers("touchEnd")
    assert under(x, y) == there.expected and scale() == pytest.approx(2 * before)
    page.mouse.move(x, y)
    page.mouse.wheel(0, -500)
    page.wait_for_function("was => quiltpath.view.scale > was * 1.01", arg=2 * before)
    assert under(x, y) == there.expected and scale() == pytest.approx(2 * math.e * before)
    page.close()


def test_turned_the_left_end_is_at_the_top_and_hands_go_as_they_see(
    watched: Any, page_file: str
) -> None:
    """On a telephone a long runner is drawn larger; a way down the screen is one along it."""
    page = watched(390, 844).page
    page.goto(page_file)
    wait_for_frame(page)
    before = page.evaluate("() => quiltpath.view.scale")
    page.check("#turned")
    wait_for_frame(page)
    assert page.evaluate("() => quiltpath.view.scale") > 1.4 * before
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 390
    box = page.locator("#cloth").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def under(at_x: float, at_y: float) -> list[float]:
        at: list[float] = page.evaluate(
            "([x, y]) => quiltpath.toMm({ clientX: x, clientY: y })", [at_x, at_y]
        )
        return at

    runner = sample().runner
    assert under(x, y) == pytest.approx([runner.length_mm / 2, runner.width_mm / 2], abs=3)
    (left, far), (right, near) = under(x, box["y"]), under(x, box["y"] + box["height"])
    assert left < 30 and right > runner.length_mm - 30 and far == pytest.approx(near)
    assert under(x + 20, y)[1] > under(x - 20, y)[1], "the far edge is on the right"
    held = under(x, y)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 10, y + 60, steps=4)
    page.mouse.up()
    assert under(x + 10, y + 60) == pytest.approx(held, abs=0.5)
    page.check("#ruler")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 100, steps=4)
    page.mouse.up()
    measured = float(re.match(r"([\d.]+) mm", page.text_content("#said"))[1])  # type: ignore[index]
    assert measured == pytest.approx(100 / page.evaluate("() => quiltpath.view.scale"), rel=0.02)


def test_the_ruler_measures_by_keys_too(watched: Any, page_file: str) -> None:
    """Enter, then the picture moved by two times 40 pixels: so many mm at this scale."""
    page = watched().page
    page.goto(page_file)
    wait_for_frame(page)
    page.check("#ruler")
    page.focus("#cloth")
    for key in ("Enter", "ArrowRight", "ArrowRight"):
        page.keyboard.press(key)
    measured = float(re.match(r"([\d.]+) mm", page.text_content("#said"))[1])  # type: ignore[index]
    assert measured == pytest.approx(
        80 / page.evaluate("() => window.quiltpath.view.scale"), abs=0.1
    )


@pytest.mark.parametrize(("width", "height"), [(1280, 900), (390, 844)])
def test_the_picture_stays_in_sight_while_it_is_sewn(
    watched: Any, page_file: str, width: int, height: int
) -> None:
    page = watched(width, height).page
    page.goto(page_file)
    page.locator("#sew").scroll_into_view_if_needed()
    page.click("#sew")
    boxes = [page.locator(each).bounding_box() for each in ("#cloth", "#sew")]
    for box in boxes:
        assert box["y"] >= 0 and box["y"] + box["height"] <= height
    assert apart(*boxes), "the picture covers no control"


def test_on_paper_the_runner_keeps_its_shape_in_fine_points(watched: Any, page_file: str) -> None:
    """A picture 180 mm wide on paper with three points to a pixel: finer than 150 to the inch."""
    page = watched(700, 900).page
    page.goto(page_file)
    wait_for_frame(page)
    page.emulate_media(media="print", color_scheme="dark")
    page.evaluate("() => window.dispatchEvent(new Event('beforeprint'))")
    buffer, shown, colours = page.evaluate(
        """() => { const c = document.getElementById('cloth'), b = c.getBoundingClientRect(),
        s = getComputedStyle(document.body);
        return [[c.width, c.height], [b.width, b.height], [s.color, s.backgroundColor]]; }"""
    )
    assert buffer[0] / buffer[1] == pytest.approx(shown[0] / shown[1], rel=0.02)
    assert buffer[0] / (180 / 25.4) > 150
    assert colours == ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]
    assert not page.is_visible("#wishes")


WORDS = """() => {
  const c = document.getElementById('cloth'), pen = c.getContext('2d'), seen = [];
  const write = pen.fillText.bind(pen);
  pen.fillText = (text, x, y) => {
    const half = pen.measureText(text).width / 2;
    seen.push([text, x - half, x + half, y]); write(text, x, y);
  };
  window.quiltpath.draw(); pen.fillText = write;
  return [seen, c.clientWidth];
}"""


@pytest.mark.parametrize("width", [1280, 390])
def test_sizes_of_gaps_are_written_inside_the_picture_and_over_no_other(
    watched: Any, page_file: str, width: int
) -> None:
    page = watched(width).page
    page.goto(page_file)
    page.check("#gaps")
    seen, wide = page.evaluate(WORDS)
    assert len(seen) >= 3
    for number, (text, left, right, y) in enumerate(seen):
        assert 0 <= left < right <= wide, text
        for other, start, end, at in seen[:number]:
            assert right <= start or end <= left or abs(y - at) >= 13, (text, other)


def test_an_independent_checker_finds_no_serious_fault(watched: Any, page_file: str) -> None:
    """axe-core, the open rules for accessible pages."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    for scheme, width in itertools.product(("light", "dark"), (1280, 390)):
        seen = watched(width)
        seen.page.emulate_media(color_scheme=scheme)
        # The page forbids foreign scripts, and the checker is one: leave the rule out for it.
        bare = re.sub(
            rb'<meta http-equiv="Content-Security-Policy"[^>]*>', b"", preview_page(sample())
        )
        seen.page.set_content(bare.decode())
        found = axe.Axe().run(seen.page).response["violations"]
        serious = [fault["id"] for fault in found if fault["impact"] in ("serious", "critical")]
        assert serious == [], scheme


def test_no_text_of_the_user_becomes_markup() -> None:
    title = "</script><script>alert(1)</script><img src=x onerror=alert(2)>{{data}}"
    project = parse(
        f"title = {json.dumps(title)}\n"
        '[runner]\nlength = "300 mm"\nwidth = "200 mm"\n'
        f"[[quilting]]\nkind = 'straight'\nspacing = '40 mm'\nname = {json.dumps(title)}\n"
    )
    page = preview_page(compute(project)).decode()
    assert page.count("<script") == 2 and page.count("</script>") == 2
    assert page.count("<img") == 1 and "<img src=x" not in page


def test_points_do_not_drift_in_packing() -> None:
    """Unpacked again in whole units, every point is within half a unit of where it was."""
    from base64 import b64decode

    packed = payload(sample())["stitches"]
    steps = np.frombuffer(b64decode(packed["steps"]), dtype="<i2").reshape(-1, 2).astype(int)
    points = (np.cumsum(steps, axis=0) + packed["first"]) * packed["unit"]
    assert np.abs(points - sample().stitches.points).max() <= packed["unit"] / 2 + 1e-9


def test_from_afar_the_thread_runs_where_it_is_sewn(watched: Any, page_file: str) -> None:
    """Far fewer points, yet every needle hole lies on the lines drawn, to 0.15 mm."""
    page = watched().page
    page.goto(page_file)
    far = np.array(page.evaluate("() => window.quiltpath.far()"))
    parts = [part[:, :2] for part in np.split(far, np.flatnonzero(far[:, 2])[1:])]
    drawn = shapely.union_all([shapely.LineString(part) for part in parts])
    stitches = sample().stitches
    assert len(far) < len(stitches) / 3
    assert shapely.distance(shapely.points(stitches.needle_holes), drawn).max() < 0.15
    length = sum(np.hypot(*np.diff(part, axis=0).T).sum() for part in parts)
    assert length == pytest.approx(stitches.stitched_mm, rel=0.01)
