"""The page for those who hear it, who need large letters, and whom movement makes ill."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.page.served import copied, plain, serving
from tests.pages import wait_for_rest

CONTROLS = {
    *("button", "checkbox", "combobox", "link", "listbox", "radio", "slider", "spinbutton"),
    *("textbox", "ColorWell", "DisclosureTriangle", "searchbox", "switch"),
}


def spoken(page: Any) -> list[tuple[str, str]]:
    """Role and name of everything that the browser hands to those who hear a page."""
    session = page.context.new_cdp_session(page)
    nodes = session.send("Accessibility.getFullAXTree")["nodes"]
    session.detach()
    return [
        (node["role"]["value"], node.get("name", {}).get("value", "").strip())
        for node in nodes
        if not node.get("ignored")
    ]


def opened_up(page: Any) -> None:
    """Everything that can be folded away is open, and a card is kept."""
    page.click("#settings > summary")
    page.wait_for_selector("#tables details")
    page.click("#keep")
    page.click("#keep")
    page.click("#photo > summary")
    page.evaluate("() => document.querySelectorAll('details').forEach((d) => { d.open = true; })")


def test_every_control_has_its_name_in_the_tree_that_is_heard(watched: Any, tmp_path: Path) -> None:
    with serving(copied("galley", tmp_path)) as served:
        page = watched().page
        page.goto(served.server.address)
        wait_for_rest(page)
        opened_up(page)
        heard = spoken(page)
    controls = [(role, name) for role, name in heard if role in CONTROLS]
    assert {"slider", "button", "checkbox", "combobox", "textbox"} <= {role for role, _ in controls}
    assert len(controls) > 100
    assert [role for role, name in controls if not name] == []
    # Sliders of one name stand in groups that have names of their own, which are heard first.
    buttons = [name for role, name in controls if role == "button"]
    assert sorted({name for name in buttons if buttons.count(name) > 1}) == []


@pytest.mark.parametrize(("width", "height"), [(1366, 768), (820, 1180), (390, 844)])
def test_letters_twice_as_large_need_no_sideways_scrolling(
    watched: Any, tmp_path: Path, width: int, height: int
) -> None:
    """WCAG 2.2, 1.4.4 (text to 200 %) and 1.4.10 (no scrolling in two ways)."""
    with serving(copied("galley", tmp_path)) as served:
        page = watched(width, height).page
        page.goto(served.server.address)
        wait_for_rest(page)
        opened_up(page)
        page.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
        over = page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
        cut = page.evaluate(
            """() => [...document.querySelectorAll('button, summary, legend, label > span, output')]
            .filter((e) => e.offsetParent && e.scrollWidth > e.clientWidth + 1 && e.clientWidth)
            .map((e) => e.textContent)"""
        )
    assert over <= 0
    assert cut == []


def test_who_wants_no_movement_sees_none(watched: Any, tmp_path: Path) -> None:
    """Nothing moves by itself at any time; the order of sewing goes on only when it is asked to."""
    with serving(plain(tmp_path)) as served:
        page = watched().page
        page.emulate_media(reduced_motion="reduce")
        page.goto(served.server.address)
        wait_for_rest(page)
        page.select_option("#pattern-0", "square-grid")
        wait_for_rest(page)
        moving = page.evaluate("() => document.getAnimations().length")
        smooth = page.evaluate(
            """() => [...document.querySelectorAll('*')]
            .filter((e) => getComputedStyle(e).scrollBehavior === 'smooth').length"""
        )
        before = page.input_value("#line")
        page.evaluate("() => new Promise((done) => setTimeout(done, 300))")
        assert page.input_value("#line") == before
    assert (moving, smooth) == (0, 0)
