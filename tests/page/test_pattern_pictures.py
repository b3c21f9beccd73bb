"""Patterns by picture: what is shown is what a click gives, and what a person gave stays."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from quiltpath.page.controls import needs_of_patterns, taken_over
from quiltpath.page.pattern_pictures import USES
from tests.page.served import Served, copied, plain, serving
from tests.pages import wait_for_rest

MM = 40.0
KEPT = {"spacing": {"mm": MM, "about": True}, "angle": 20}


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(plain(tmp_path_factory.mktemp("pictures"))) as served:
        yield served


@pytest.fixture(scope="module")
def shown(served: Served) -> dict[str, dict[str, Any]]:
    """The pictures for the one layer, by the name of the pattern."""
    return {one["name"]: one for one in pictures(served, 0)}


def pictures(served: Served, entry: object) -> list[dict[str, Any]]:
    content = {"base": served.server.session.base, "changes": [], "entry": entry}
    status, text = served.post("/pictures", content)
    assert status == 200, text
    first, *parts = map(json.loads, text.splitlines())
    assert first == {"base": served.server.session.base}
    return parts


def test_every_pattern_that_can_be_chosen_has_its_picture(
    served: Served, shown: dict[str, Any]
) -> None:
    offered = served.draw()[0]["patterns"]
    assert set(shown) <= set(offered)
    # what is not shown is refused where it is chosen
    for name in set(offered) - set(shown):
        content = {"key": "pattern", "entry": 0, "value": name}
        sent = {"base": served.server.session.base, "changes": [content]}
        assert served.post("/draw", sent)[0] == 422, name


def test_pictures_come_in_the_order_of_what_they_are_for(shown: dict[str, Any]) -> None:
    uses = [use for use, _ in USES]
    order = [uses.index(one["use"]) for one in shown.values()]
    assert order == sorted(order)
    assert {shown["meander"]["use"], shown["stipple"]["use"]} == {"In one line"}
    assert shown["square-grid"]["use"] == "All over"


@pytest.mark.parametrize("name", ["square-grid", "clamshells", "meander"])
def test_a_picture_tells_what_choosing_it_comes_to(
    served: Served, shown: dict[str, Any], name: str
) -> None:
    parts = served.draw({"key": "pattern", "entry": 0, "value": name})
    figures = dict(map(tuple, parts[1]["figures"]))
    assert figures["Starts"].split()[0] == str(shown[name]["starts"])
    assert abs(int(figures["Time"].split()[0]) - shown[name]["minutes"]) <= 1


def test_a_picture_shows_the_runner_that_is_there(shown: dict[str, Any]) -> None:
    """400 mm by 240, and what quilting will draw up: the flat top is some hundredths larger."""
    for one in shown.values():
        _, _, wide, high = one["box"]
        assert 400 < wide < 430
        assert 240 < high < 260
        assert one["lines"].startswith("M")


def test_what_was_given_is_kept_where_the_pattern_has_it(served: Served) -> None:
    def chosen(name: str, keep: object) -> dict[str, Any]:
        change = {"key": "pattern", "entry": 0, "value": name, "keep": keep}
        (entry,) = served.draw(change)[0]["entries"]
        return entry

    assert chosen("gentle-waves", KEPT)["spacing"]["at"] == pytest.approx(MM)
    # a pattern that says its own angle, or whose figure is another, has that
    assert chosen("crosswise-lines", KEPT)["angle"]["at"] == 90
    assert chosen("crosswise-lines", KEPT)["spacing"]["at"] == pytest.approx(MM)
    assert chosen("clamshells", KEPT)["spacing"]["key"] == "size"
    # matchsticks are that close, or they are none
    assert chosen("matchstick", KEPT)["spacing"]["at"] < 10
    # too close to be drawn as that figure
    fine = {"spacing": {"mm": 1.0, "about": False}}
    assert chosen("square-spiral", fine)["spacing"]["at"] > 4


@pytest.mark.parametrize("keep", [7, "x", {"spacing": 3}, {"angle": "x"}, {"spacing": {"mm": "x"}}])
def test_nonsense_to_be_kept_is_refused_or_passed_over(served: Served, keep: object) -> None:
    change = {"key": "pattern", "entry": 0, "value": "gentle-waves", "keep": keep}
    status, text = served.post("/draw", {"base": served.server.session.base, "changes": [change]})
    assert status in (200, 422), text
    assert "Traceback" not in text


@pytest.mark.parametrize("entry", [9, -1, None, "x", {}])
def test_pictures_for_a_layer_that_is_not_there_are_none(served: Served, entry: object) -> None:
    content = {"base": served.server.session.base, "changes": [], "entry": entry}
    status, text = served.post("/pictures", content)
    assert status == 422 or text.count("\n") == 1


def test_only_a_pattern_with_the_same_figure_takes_a_spacing_over() -> None:
    """For each shipped pattern: what it takes is a key of its own."""
    for name, needs in needs_of_patterns(Path(), None).items():
        for key in taken_over(needs, KEPT):
            assert hasattr(needs.layers[0], key), name


def test_by_keys_alone_a_pattern_is_chosen_by_its_picture(watched: Any, tmp_path: Path) -> None:
    """Opened, chosen, and the sheet stays open with the chosen one marked."""
    with serving(copied("supper-mats", tmp_path)) as served:
        page = watched().page
        page.goto(served.server.address)
        page.focus("#pictures-0")
        page.keyboard.press("Enter")
        page.wait_for_selector(".patterns button[data-name='square-grid']")
        named = page.locator(".patterns button[data-name='square-grid']")
        assert named.get_attribute("aria-label").startswith("Square grid: ")
        named.focus()
        page.keyboard.press("Enter")
        wait_for_rest(page)
        assert page.locator("#pattern-0").input_value() == "square-grid"
        page.wait_for_selector(".patterns button[data-name='square-grid'][aria-pressed='true']")
        assert page.locator("#pictures-0").get_attribute("aria-expanded") == "true"
