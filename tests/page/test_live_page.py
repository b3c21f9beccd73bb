"""The live page in a real browser: drag, keys, undo, save, make, and no request that leaves."""

from __future__ import annotations

import filecmp
import re
import subprocess
import sys
import tomllib
from base64 import b64decode
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import numpy as np
import pytest
from PIL import Image

from quiltpath.jobs.summary import summary
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.units import parse_length
from tests.page.served import Served, copied, plain, serving
from tests.pages import apart, wait_for_frame, wait_for_light, wait_for_rest


class Live:
    """One page on one server, with what it said and asked for; with plain lines unless ``lit``."""

    def __init__(
        self,
        served: Served,
        watched: Any,
        width: int = 1280,
        height: int = 900,
        lit: bool = False,
    ) -> None:
        self.served = served
        self.seen = watched(width, height)
        self.page = self.seen.page
        self.page.goto(served.server.address)
        self.page.set_checked("#lit", lit)
        self.settle()

    def settle(self) -> None:
        """Until the last change has been answered in full and drawn."""
        wait_for_rest(self.page)
        wait_for_frame(self.page)

    def wait_for_light(self) -> None:
        """Until the cloth is shown as quilted."""
        wait_for_light(self.page)
        wait_for_frame(self.page)

    def figure(self, name: str) -> str:
        listed: dict[str, str] = self.page.evaluate(
            "() => Object.fromEntries([...document.querySelectorAll('#figures > div')]"
            ".map(d => [d.children[0].textContent, d.children[1].textContent]))"
        )
        return listed[name]

    def picture(self) -> str:
        drawn: str = self.page.evaluate("() => document.getElementById('cloth').toDataURL()")
        return drawn

    def on_screen(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Where a point of the runner lies in the window."""
        x, y = self.page.evaluate(
            """([x, y]) => { const c = document.getElementById('cloth'),
            b = c.getBoundingClientRect(), v = window.quiltpath.view;
            return [b.left + c.clientWidth / 2 + (x - v.x) * v.scale,
                    b.top + c.clientHeight / 2 - (y - v.y) * v.scale]; }""",
            [x_mm, y_mm],
        )
        return x, y


@pytest.fixture
def live(tmp_path: Path, watched: Any) -> Iterator[Callable[..., Live]]:
    opened: list[Any] = []

    def start(file: Path, **how: Any) -> Live:
        context = serving(file)
        opened.append(context)
        return Live(context.__enter__(), watched, **how)

    yield start
    for context in opened:
        context.__exit__(None, None, None)


def contents(file: Path) -> Any:
    return tomllib.loads(file.read_text(encoding="utf-8"))


def test_at_rest_the_cloth_is_shown_as_quilted(live: Any, tmp_path: Path) -> None:
    """Darker beside the stitching, as nothing but light and shade draws it; plain by choice."""
    page = live(plain(tmp_path), lit=True)
    page.wait_for_light()
    first = page.picture()
    page.page.set_checked("#lit", False)
    page.settle()
    flat = page.picture()
    assert flat != first
    page.page.set_checked("#lit", True)
    page.wait_for_light()
    assert page.picture() == first
    page.page.focus("#spacing-0")
    page.page.keyboard.press("End")
    page.settle()
    page.wait_for_light()
    assert page.picture() not in (first, flat)


def test_while_a_hand_drags_the_cloth_is_lit_about_as_it_will_be(live: Any, tmp_path: Path) -> None:
    """The first picture after a change is far nearer to the computed one than plain lines are."""
    page = live(plain(tmp_path), lit=True)
    page.wait_for_light()
    guess = page.page.evaluate(
        """async () => {
        const slider = document.getElementById('spacing-0'), waited = window.quiltpath.waited;
        const before = waited.length;
        slider.value = slider.max;
        slider.dispatchEvent(new Event('input')); slider.dispatchEvent(new Event('change'));
        const frame = () => new Promise(r => requestAnimationFrame(r));
        while (waited.length === before) await frame();
        await frame(); await frame(); // the lines are there first
        return document.getElementById('cloth').toDataURL(); }"""
    )
    page.settle()
    page.wait_for_light()
    lit = page.picture()
    page.page.set_checked("#lit", False)
    page.settle()
    assert difference(guess, lit) < difference(page.picture(), lit) / 3


def difference(one: str, other: str) -> float:
    """Mean difference of two pictures of the page, in levels of grey."""
    first, second = (
        np.asarray(Image.open(BytesIO(b64decode(url.split(",")[1]))).convert("L"), dtype=float)
        for url in (one, other)
    )
    return float(np.abs(first - second).mean())


def test_dragging_a_slider_changes_numbers_and_picture(live: Any, tmp_path: Path) -> None:
    page = live(copied("harvest-supper", tmp_path))
    before = page.picture(), page.figure("Stitches"), page.figure("Lines")
    slider = page.page.locator("#spacing-2")
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    middle = box["y"] + box["height"] / 2
    share = (38.1 - 4.76) / (204.8 - 4.76)
    page.page.mouse.move(box["x"] + 8 + (box["width"] - 16) * share, middle)
    page.page.mouse.down()
    page.page.mouse.move(box["x"] + box["width"] * 0.5, middle, steps=8)
    page.page.mouse.up()
    page.settle()
    after = page.picture(), page.figure("Stitches"), page.figure("Lines")
    assert all(new != old for new, old in zip(after, before, strict=True))
    assert int(after[2]) < int(before[2]), "wider apart, fewer lines"
    assert page.seen.errors == []


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (1366, 768), (820, 1180), (390, 844)])
def test_the_first_controls_are_seen_at_once(
    live: Any, tmp_path: Path, width: int, height: int
) -> None:
    page = live(plain(tmp_path), width=width, height=height).page
    page.evaluate("() => scrollTo(0, 0)")
    for seen in ("#cloth", "#save", "#pattern-0"):
        box = page.locator(seen).bounding_box()
        assert box["y"] >= 0 and box["y"] + box["height"] <= height


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (1366, 768), (820, 1180), (390, 844)])
def test_picture_and_figures_stay_in_view_at_every_control(
    live: Any, tmp_path: Path, width: int, height: int
) -> None:
    page = live(plain(tmp_path), width=width, height=height).page
    controls = page.locator("#design input:visible, #design select:visible")
    assert controls.count() >= 3
    for number in range(controls.count()):
        controls.nth(number).focus()
        boxes = [page.locator(seen).bounding_box() for seen in ("#cloth", "#brief", ":focus")]
        for box in boxes:
            assert -1 <= box["y"] < box["y"] + box["height"] <= height + 1
        for box in boxes[:2]:
            assert apart(box, boxes[2]), "neither covers the control"


def test_figures_are_told_as_about_while_they_are_reckoned(live: Any, tmp_path: Path) -> None:
    """They follow the lines' length with the first part of an answer; then the exact ones come."""
    page = live(plain(tmp_path))
    page.page.evaluate(
        "() => { window.said = []; new MutationObserver(() => window.said.push("
        "document.getElementById('brief').innerText)).observe("
        "document.getElementById('brief'), { childList: true }); }"
    )
    page.page.focus("#spacing-0")
    page.page.keyboard.press("End")
    page.settle()
    said = page.page.evaluate("() => window.said")
    abouts = [re.search(r"Stitches\s+about ([\d,]+)", text) for text in said]
    (about,) = {int(found[1].replace(",", "")) for found in abouts if found}
    gaps = [re.search(r"Widest gap\s+about ([\d.]+) mm", text) for text in said]
    (gap,) = {float(found[1]) for found in gaps if found}
    assert gap == pytest.approx(float(page.figure("Widest gap").split()[0]), abs=2)
    exact = int(page.figure("Stitches").replace(",", ""))
    assert about == pytest.approx(exact, rel=0.15)
    assert "about" not in said[-1]


def test_layers_are_added_moved_and_left_out_on_the_page(live: Any, tmp_path: Path) -> None:
    file = plain(tmp_path)
    page = live(file)
    page.page.select_option("#add", "crosswise-lines")
    page.page.click("#add-it")
    page.settle()
    assert page.page.locator("#spacing-1").count() == 1
    crossed = int(page.figure("Lines"))
    page.page.click("#earlier-1")
    page.settle()
    page.page.select_option("#wadding", "wool")
    page.settle()
    assert int(page.figure("Lines")) == crossed
    kept = saved(page)
    assert [layer.get("pattern") for layer in kept["quilting"]] == ["crosswise-lines", None]
    assert kept["wadding"] == {"kind": "wool"}
    assert page.page.locator("[data-layer]").count() == 2
    page.page.click("#remove-0")
    page.settle()
    assert page.page.locator("[data-layer]").count() == 1
    assert int(page.figure("Lines")) < crossed
    page.page.click("#remove-0")
    page.settle()
    assert page.page.locator("[data-layer]").count() == 0, "nothing is left"
    page.page.click("#undo")
    page.settle()
    page.page.click("#undo")
    page.settle()
    assert int(page.figure("Lines")) == crossed
    assert page.seen.errors == []


def test_dragging_a_motif_takes_its_quilting_along(live: Any, tmp_path: Path) -> None:
    """The sunflower lies at (30 in, 7 in); dragged 3 in to the left it is saved there."""
    file = copied("allotment-ends", tmp_path)
    page = live(file)
    before = page.picture()
    page.page.mouse.move(*page.on_screen(762, 177.8))
    page.page.mouse.down()
    page.page.mouse.move(*page.on_screen(762 - 76.2, 177.8), steps=6)
    page.page.mouse.up()
    page.settle()
    assert page.picture() != before
    page.page.click("#save")
    page.page.wait_for_function(
        "() => document.getElementById('heard').textContent.startsWith('saved')"
    )
    x, y = contents(file)["motif"][0]["at"]
    assert x in ("26 15/16 in", "27 in", "27 1/16 in") and y in ("6 15/16 in", "7 in", "7 1/16 in")
    assert "# A runner with pointed ends" in file.read_text()
    assert page.seen.errors == []


def dragged(page: Live, start: tuple[float, float], by: tuple[float, float]) -> None:
    """The mouse pressed on a point of the runner, moved and let go; all in mm."""
    page.page.mouse.move(*page.on_screen(*start))
    page.page.mouse.down()
    page.page.mouse.move(*page.on_screen(start[0] + by[0], start[1] + by[1]), steps=6)
    page.page.mouse.up()
    page.settle()


def saved(page: Live) -> Any:
    page.page.click("#save")
    page.page.wait_for_function(
        "() => document.getElementById('heard').textContent.startsWith('saved')"
    )
    return contents(page.served.file)


MUG_A1, MUG_C1 = (210.0, 170.0), (970.0, 170.0)
"""middles of the galley's outer blocks, in mm"""


def everywhere(folder: Path) -> Path:
    """The galley with its mug in all blocks, in place of the fish."""
    file = copied("galley", folder)
    text = file.read_text().replace('blocks = ["A1", "C1"]', 'blocks = "all"  # three')
    fish = text.index('[[motif]]\nname = "fish"')
    file.write_text(text[:fish] + text[text.index("[[quilting]]") :])
    return file


def test_a_motif_in_blocks_is_dragged_in_all_of_them_alike(live: Any, tmp_path: Path) -> None:
    page = live(everywhere(tmp_path))
    before = page.picture(), page.figure("Stitches")
    dragged(page, MUG_C1, (30, 12))
    assert page.picture() != before[0] and page.figure("Stitches") != before[1]
    (mug,) = saved(page)["motif"]
    assert mug["blocks"] == "all" and "at" not in mug
    assert [parse_length(v) for v in mug["offset"]] == pytest.approx([30, 12], abs=1.5)
    assert "# three" in page.served.file.read_text()
    assert page.seen.errors == []


def test_with_shift_one_motif_is_dragged_out_of_its_block(live: Any, tmp_path: Path) -> None:
    page = live(everywhere(tmp_path))
    page.page.keyboard.down("Shift")
    dragged(page, MUG_C1, (-20, 10))
    page.page.keyboard.up("Shift")
    assert page.page.input_value("#motif-chosen") == "mug at point 1", "it stays in hand"
    dragged(page, (MUG_C1[0] - 20, MUG_C1[1] + 10), (0, 5))
    (mug,) = saved(page)["motif"]
    assert mug["blocks"] == ["A1", "B1"] and "offset" not in mug
    assert [parse_length(v) for v in mug["at"]] == pytest.approx([950, 185], abs=2.5)


def test_a_motif_is_moved_by_keys_alone_or_with_the_others(live: Any, tmp_path: Path) -> None:
    page = live(everywhere(tmp_path))
    page.page.focus("#motif-x")
    for _ in range(4):
        page.page.keyboard.press("ArrowRight")
        page.settle()
    assert page.page.text_content("label:has(#motif-x) output") == "224.0 mm", "on the flat top"
    page.page.select_option("#motif-moves", "this one alone")
    page.page.focus("#motif-y")
    for _ in range(4):
        page.page.keyboard.press("ArrowDown")
        page.settle()
        assert page.page.evaluate("() => document.activeElement.id") == "motif-y"
    (mug,) = saved(page)["motif"]
    assert mug["blocks"] == ["B1", "C1"]
    assert [parse_length(v) for v in mug["offset"]] == pytest.approx([2, 0], abs=0.25)
    assert [parse_length(v) for v in mug["at"]] == pytest.approx([212, 168], abs=0.5)
    page.page.click("#undo")
    page.settle()
    page.page.click("#undo")
    page.settle()
    assert page.page.is_disabled("#undo"), "a walk with the keys is one change"


def test_a_motif_that_is_dragged_off_the_runner_comes_back(live: Any, tmp_path: Path) -> None:
    page = live(copied("galley", tmp_path))
    before = page.picture()
    dragged(page, MUG_A1, (0, 30))
    there = page.picture()
    page.page.mouse.move(*page.on_screen(*MUG_A1))
    page.page.mouse.down()
    page.page.mouse.move(*page.on_screen(MUG_A1[0] - 150, MUG_A1[1]))
    page.page.mouse.up()
    page.page.wait_for_function(
        "() => /finished edge/.test(document.getElementById('heard').textContent)"
    )
    page.settle()
    assert page.picture() == there != before
    page.page.click("#undo")
    page.settle()
    assert page.picture() == before and page.page.text_content("#heard") == ""


def test_undo_and_redo_go_back_and_forth(live: Any, tmp_path: Path) -> None:
    page = live(plain(tmp_path))
    pictures = [page.picture()]
    for key, value in (("angle", 20), ("angle", 45)):
        page.page.evaluate(
            "([k, v]) => { const s = document.getElementById(k + '-0'); s.value = v;"
            " s.dispatchEvent(new Event('input')); s.dispatchEvent(new Event('change')); }",
            [key, value],
        )
        page.settle()
        pictures.append(page.picture())
    assert len(set(pictures)) == 3
    page.page.click("#undo")
    page.settle()
    assert page.picture() == pictures[1]
    page.page.click("#undo")
    page.settle()
    assert page.picture() == pictures[0]
    assert page.page.is_disabled("#undo")
    page.page.keyboard.press("Control+Shift+Z")
    page.settle()
    assert page.picture() == pictures[1]
    page.page.keyboard.press("Control+z")
    page.settle()
    assert page.picture() == pictures[0]


def test_what_the_page_makes_the_command_line_makes_byte_for_byte(
    live: Any, tmp_path: Path
) -> None:
    file = copied("supper-mats", tmp_path)
    page = live(file)
    page.page.select_option("#pattern-0", "square-grid")
    page.settle()
    page.page.click("#save")
    page.page.wait_for_selector("#make:enabled")
    page.page.click("#make")
    page.page.wait_for_function(
        "() => /files in the folder/.test(document.getElementById('heard').textContent)"
    )
    command = [sys.executable, "-m", "quiltpath", "make", str(file), "--out", str(tmp_path / "cli")]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    names = sorted(
        p.relative_to(tmp_path / "cli") for p in (tmp_path / "cli").rglob("*") if p.is_file()
    )
    assert len(names) > 5
    same, different, missing = filecmp.cmpfiles(
        tmp_path / "cli", file.parent / "out", [str(name) for name in names], shallow=False
    )
    assert (different, missing) == ([], []) and len(same) == len(names)


def test_keys_alone_change_undo_save_and_make(live: Any, tmp_path: Path) -> None:
    file = plain(tmp_path)
    page = live(file)

    def tab_to(wanted: str) -> None:
        for _ in range(60):
            page.page.keyboard.press("Tab")
            if page.page.evaluate("() => document.activeElement.id") == wanted:
                return
        raise AssertionError(f"no way to {wanted} by keyboard")

    before = page.picture()
    tab_to("spacing-0")
    for _ in range(14):
        page.page.keyboard.press("ArrowRight")
    page.settle()
    changed = page.picture()
    assert changed != before
    assert page.page.evaluate("() => document.activeElement.id") == "spacing-0"
    tab_to("undo")
    page.page.keyboard.press("Enter")
    page.settle()
    assert page.picture() == before, "all steps of the keys are one change"
    assert page.page.evaluate("() => document.activeElement.id") == "redo"
    page.page.keyboard.press("Enter")
    page.settle()
    assert page.picture() == changed
    tab_to("save")
    page.page.keyboard.press("Enter")
    page.page.wait_for_selector("#make:enabled")
    assert contents(file)["quilting"][0]["spacing"] != "about 40 mm"
    assert page.page.evaluate("() => document.activeElement.id") == "make"
    page.page.keyboard.press("Enter")
    page.page.wait_for_function(
        "() => /files in the folder/.test(document.getElementById('heard').textContent)"
    )
    assert (tmp_path / "out" / "report.json").is_file()


def test_a_change_on_disk_appears(live: Any, tmp_path: Path) -> None:
    file = plain(tmp_path)
    page = live(file)
    before = page.picture(), int(page.figure("Lines"))
    file.write_text(file.read_text().replace("about 40 mm", "about 20 mm"))
    page.page.wait_for_function(
        "n => [...document.querySelectorAll('#figures > div')].some("
        "d => d.children[0].textContent === 'Lines' && Number(d.children[1].textContent) > n)",
        arg=before[1],
    )
    page.settle()
    assert page.picture() != before[0]


def test_a_file_that_changed_meanwhile_is_not_saved_over_but_can_be_loaded(
    live: Any, tmp_path: Path
) -> None:
    """A change on the page and another on disk: the person is told, and chooses."""
    file = plain(tmp_path)
    page = live(file)
    page.page.evaluate("() => window.quiltpath.change('stitch.length', 3.4, true)")
    page.settle()
    theirs = file.read_text().replace("about 40 mm", "about 20 mm").replace("Galley", "Pantry")
    file.write_text(theirs)
    page.page.wait_for_selector("#load:not([hidden])")
    assert "changed on disk" in page.page.text_content("#heard")
    page.page.click("#save")
    page.page.wait_for_function(
        "() => /load it again/.test(document.getElementById('heard').textContent)"
    )
    assert file.read_text() == theirs
    page.page.click("#load")
    page.page.wait_for_function("() => document.getElementById('heard').textContent === ''")
    page.settle()
    assert page.page.text_content("label:has(#spacing-0) output") == "20.0 mm"
    assert page.page.text_content("#stitch-said") == "3.2 mm"
    assert page.page.text_content("h1").startswith("Pantry") and page.page.is_hidden("#load")
    page.page.evaluate("() => window.quiltpath.change('stitch.length', 3.1, true)")
    page.settle()
    assert saved(page)["stitch"]["length"] == "3.1 mm"
    assert contents(file)["quilting"][0]["spacing"] == "about 20 mm"


def test_a_change_that_cannot_be_is_told_and_the_picture_stays(live: Any, tmp_path: Path) -> None:
    page = live(copied("allotment-ends", tmp_path))
    before = page.picture()
    page.page.evaluate(
        "() => window.quiltpath.change('motif.at', [5, 5], true, {entry: 0, place: 0})"
    )
    page.page.wait_for_function(
        "() => /finished edge/.test(document.getElementById('heard').textContent)"
    )
    page.settle()
    assert page.picture() == before
    assert page.page.is_disabled("#undo"), "nothing is left of it to spoil the next change"
    page.page.evaluate("() => window.quiltpath.change('stitch.length', 2.4, true)")
    page.settle()
    assert page.page.text_content("#heard") == ""
    assert page.page.text_content("#stitch-said") == "2.4 mm"


def test_starts_are_told_as_the_terminal_tells_them_and_each_figure_once(
    live: Any, tmp_path: Path
) -> None:
    """A frame sews the bench in two parts: 2 starts of the design, 4 in parts, on both."""
    file = copied("boathouse-bench", tmp_path)
    page = live(file)
    page.page.evaluate("() => window.quiltpath.change('stitch.length', 3.3, true)")
    page.settle()
    page.page.click("#undo")
    page.settle()
    shown = page.page.locator("#figures dt").all_inner_texts()
    assert len(shown) == len(set(shown)) and "Machine" in shown
    result = compute(load(file))
    design, parts = page.figure("Starts").split("; ")
    assert re.fullmatch(r"\d+ when sewn in 2 parts", parts)
    told = re.findall(r"starts +(\d+)\b.*; (.+)", summary(result, ()))
    assert told == [(design, parts)]


@pytest.mark.parametrize(("width", "height"), [(1280, 900), (390, 844)])
def test_nothing_leaves_this_machine_and_nothing_overflows(
    live: Any, tmp_path: Path, width: int, height: int
) -> None:
    page = live(copied("harvest-supper", tmp_path), width=width, height=height)
    page.page.evaluate("() => window.quiltpath.change('stitch.length', 3.4, true)")
    page.settle()
    page.page.click("#photo summary")
    hosts = {urlsplit(url).hostname for url in page.seen.requests}
    assert hosts == {"127.0.0.1"}
    assert page.seen.errors == []
    assert page.page.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0
    assert "3.4 mm" in page.page.text_content("#stitch-said")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("sample", "width"), [("allotment-ends", 1280), ("galley", 390)])
def test_an_independent_checker_finds_no_serious_fault(
    tmp_path: Path, watched: Any, sample: str, width: int, scheme: str
) -> None:
    """axe-core, the open rules for accessible pages."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    with serving(copied(sample, tmp_path)) as served:
        seen = watched(width)
        seen.page.emulate_media(color_scheme=scheme)

        # The page forbids foreign scripts, and the checker is one: leave the rule out for it.
        def bare(route: Any) -> None:
            reply = route.fetch()
            rule = r'<meta http-equiv="Content-Security-Policy"[^>]*>'
            heads = {k: v for k, v in reply.headers.items() if k != "content-security-policy"}
            route.fulfill(response=reply, headers=heads, body=re.sub(rule, "", reply.text()))

        seen.page.route(re.compile(r"/\?token="), bare)
        seen.page.goto(served.server.address)
        seen.page.click("#photo summary")
        seen.page.evaluate("() => { document.getElementById('photo-work').hidden = false; }")
        found = axe.Axe().run(seen.page).response["violations"]
        seen.page.unroute_all()
    serious = [fault["id"] for fault in found if fault["impact"] in ("serious", "critical")]
    assert serious == []


def test_a_file_that_is_not_right_is_told_until_it_is(watched: Any, tmp_path: Path) -> None:
    file = plain(tmp_path)
    good = file.read_text()
    file.write_text(good.replace('limit = "60 mm"', 'kind = "<b>moss</b>"'))
    with serving(file) as served:
        page = watched().page
        assert page.goto(served.server.address).status == 422
        told = page.text_content("main")
        assert "wadding.kind" in told and "<b>moss</b>" in told
        file.write_text(good)
        page.click("text=look again")
        wait_for_rest(page)
        assert page.text_content("h1").startswith("Galley")
