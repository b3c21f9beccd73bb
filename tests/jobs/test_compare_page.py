"""compare.html in a real browser: to one scale, on a phone, on paper, without a serious fault."""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

import pytest

from quiltpath.jobs.compare import COMPARE, CompareWishes
from quiltpath.jobs.one_job import carry_out

PROJECT = """
title = "Galley mat"
[runner]
length = "600 mm"
width = "200 mm"
[[quilting]]
kind = "straight"
spacing = "about 25 mm"
[wadding]
limit = "60 mm"
[cost]
hour = 12
currency = "£"
"""


@pytest.fixture(scope="module")
def compared(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Three spacings, two stitch lengths and a mat half as long."""
    folder = tmp_path_factory.mktemp("compare")
    (folder / "mat.toml").write_text(PROJECT, encoding="utf-8")
    wishes = CompareWishes(
        spacings=["20 mm", "40 mm", "100 mm"],
        stitches=["2.5 mm", "3.2 mm"],
        wish="35 mm",
        sizes=["mat 300 x 200 mm"],
    )
    with patch("os.cpu_count", lambda: 1):
        carry_out(COMPARE, (folder / "mat.toml",), wishes, folder / "side")
    return (folder / "side" / "compare.html").as_uri()


@pytest.mark.parametrize(("width", "height"), [(1280, 900), (390, 844)])
def test_it_loads_without_an_error_and_asks_for_nothing(
    watched: Any, compared: str, width: int, height: int
) -> None:
    seen = watched(width, height)
    seen.page.goto(compared)
    assert seen.errors == []
    assert {url for url in seen.requests if not url.startswith("data:")} == {compared}
    assert seen.page.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0


def test_pictures_are_to_the_same_scale(watched: Any, compared: str) -> None:
    """The same number of the picture's points to a pixel of the screen in all of them."""
    seen = watched()
    seen.page.goto(compared)
    scales = seen.page.evaluate(
        "() => [...document.querySelectorAll('.whole img')].map("
        "i => i.naturalWidth / i.getBoundingClientRect().width)"
    )
    assert len(scales) == 6
    assert scales == pytest.approx([scales[0]] * 6, rel=0.01)


@pytest.mark.parametrize("width", [1280, 390])
def test_names_of_figures_stay_in_sight_while_the_table_is_moved(
    watched: Any, compared: str, width: int
) -> None:
    seen = watched(width)
    seen.page.goto(compared)
    left = "() => document.querySelector('tbody th').getBoundingClientRect().left"
    before = seen.page.evaluate(left)
    seen.page.focus(".wide")
    seen.page.keyboard.press("End")
    seen.page.evaluate("() => { document.querySelector('.wide').scrollLeft = 400; }")
    assert seen.page.evaluate(left) == pytest.approx(before, abs=1)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390])
def test_an_independent_checker_finds_no_fault(
    watched: Any, compared: str, scheme: str, width: int
) -> None:
    """axe-core, the open rules for accessible pages."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    page = watched(width).page
    page.emulate_media(color_scheme=scheme)
    page.goto(compared)
    assert [fault["id"] for fault in axe.Axe().run(page).response["violations"]] == []


def test_on_paper_it_is_black_on_white_whatever_the_screen(watched: Any, compared: str) -> None:
    page = watched().page
    page.goto(compared)
    page.emulate_media(color_scheme="dark", media="print")
    style = (
        "() => { const s = getComputedStyle(document.body); return [s.color, s.backgroundColor]; }"
    )
    assert page.evaluate(style) == ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]


def turned_to(page: Any, place: int) -> dict[str, Any]:
    """What the slider shows at a place: name, figures, and the pictures that stand there."""
    shown: dict[str, Any] = page.evaluate(
        """at => { const turn = document.getElementById('turn');
        turn.value = at; turn.dispatchEvent(new Event('input'));
        const words = [...document.querySelectorAll('#told dt')].map(
          (term) => [term.textContent, term.nextElementSibling.textContent]);
        const text = (id) => document.getElementById(id).textContent;
        const seen = (id) => document.getElementById(id).src;
        return { name: text('which'), told: Object.fromEntries(words),
          near: seen('close'), far: seen('far') }; }""",
        place,
    )
    return shown


def test_the_slider_puts_each_design_in_the_place_of_the_other(watched: Any, compared: str) -> None:
    """By the keyboard too; figures and pictures are those of the design that is named."""
    seen = watched(390, 844)
    page = seen.page
    page.goto(compared)
    assert page.is_visible("#turn") and page.get_attribute("#turn", "max") == "5"
    first, second = turned_to(page, 0), turned_to(page, 1)
    assert (first["name"], second["name"]) == ("20 mm", "40 mm")
    assert first["near"] != second["near"] and first["far"] != second["far"]
    # lines 20 mm apart are 50 m on a square metre, 40 mm apart 25 m, up to a line more or less
    on_it = [float(one["told"]["line on it"].split()[0]) for one in (first, second)]
    assert on_it == pytest.approx([50, 25], abs=1 / 0.2)
    page.focus("#turn")
    page.keyboard.press("ArrowRight")
    assert page.text_content("#which") == "100 mm"
    in_list = page.evaluate("() => document.querySelectorAll('.near img')[2].src")
    assert page.evaluate("() => document.getElementById('close').src") == in_list
    assert seen.errors == []


def test_parts_show_the_same_piece_of_cloth(watched: Any, compared: str) -> None:
    """All at one scale: as many points to the mm."""
    page = watched().page
    page.goto(compared)
    sizes = page.evaluate(
        "() => [...document.querySelectorAll('.near img')].map(i => [i.naturalWidth, i.width])"
    )
    assert len(sizes) == 6 and all(size == sizes[0] for size in sizes)


def test_without_scripts_everything_stands_on_the_page(browser: Any, compared: str) -> None:
    page = browser.new_context(java_script_enabled=False).new_page()
    page.goto(compared)
    assert not page.is_visible("#turn")
    assert page.locator(".near img").count() == page.locator(".whole img").count() == 6
    page.close()
