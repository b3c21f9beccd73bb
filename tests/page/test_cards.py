"""A design is kept as a card, held against the one on the screen, and taken up again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tests.page.served import plain, serving
from tests.pages import wait_for_rest


def test_by_keys_alone_a_design_is_kept_and_taken_up_again(watched: Any, tmp_path: Path) -> None:
    with serving(plain(tmp_path)) as served:
        seen = watched()
        page = seen.page
        page.goto(served.server.address)
        wait_for_rest(page)
        page.focus("#keep")
        page.keyboard.press("Enter")
        card = page.locator("#cards article")
        assert card.count() == 1
        assert "40.0 mm" in (card.get_attribute("aria-label") or "")
        wide = card.locator("img").evaluate("img => img.decode().then(() => img.naturalWidth)")
        assert wide > 100
        before = dict(page.evaluate("window.quiltpath.figures()"))
        assert before["Starts"] in card.inner_text()

        page.select_option("#pattern-0", "square-grid")
        wait_for_rest(page)
        after = dict(page.evaluate("window.quiltpath.figures()"))
        fewer = int(before["Starts"].split()[0]) - int(after["Starts"].split()[0])
        assert fewer < 0
        assert f"(−{-fewer})" in card.inner_text()
        page.focus("#keep")
        page.keyboard.press("Enter")
        assert card.count() == 2

        page.focus("#compare")
        page.keyboard.press("Enter")
        page.wait_for_function(
            "() => document.getElementById('heard').textContent.includes('files in the folder')"
        )
        told = json.loads((tmp_path / "out-compare" / "compare.json").read_text())
        kept = [card.nth(n).get_attribute("aria-label") for n in (0, 1)]
        assert [option["label"] for option in told["options"]] == kept
        assert str(told["options"][0]["runs"]) == before["Starts"].split()[0]
        with page.expect_popup() as opened:
            page.click("#made a >> text=compare.html")
        opened.value.wait_for_function("() => document.title.includes('side by side')")

        page.get_by_label("Go back to it: Kept 1").focus()
        page.keyboard.press("Enter")
        wait_for_rest(page)
        assert dict(page.evaluate("window.quiltpath.figures()")) == before
        page.get_by_label("Put it away: Kept 1").focus()
        page.keyboard.press("Enter")
        assert card.count() == 1
        assert "Square grid" in (card.get_attribute("aria-label") or "")
        assert seen.errors == []
