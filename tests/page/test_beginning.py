"""A runner from nothing: a few answers become a project file, and that a verified stitch file."""

from __future__ import annotations

import json
import re
import threading
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pyembroidery
import pytest

from quiltpath.errors import InputError
from quiltpath.page.beginning import FIRST_ANSWERS, begun, create, project_text
from quiltpath.page.server import Beginning, LiveServer
from quiltpath.project import parse
from quiltpath.result.computing import compute
from tests.page.served import PAGE_JOBS, Served
from tests.pages import wait_for_light, wait_for_rest

INCH = 25.4


def test_a_table_gives_the_runner_its_size() -> None:
    """56 in of table and 8 in over each end: 72 in; width a quarter to a third of the table's
    (common practice)."""
    used = compute(parse(project_text({}))).states.in_use
    assert used.length_mm == pytest.approx(72 * INCH, abs=1)
    assert 42 / 4 * INCH <= used.width_mm <= 42 / 3 * INCH + 1


def test_panels_are_described_as_they_are_bought() -> None:
    """40 in of cloth with 1/2 in unprinted all round, ends and strips of 2 in: 39 - 4 - 4 = 31 in
    for three blocks."""
    file = tomllib.loads(project_text({"cloth": "panels"}))
    (panel,) = file["panel"]
    blocks = parse(project_text({"cloth": "panels"})).panel[0].blocks_along
    assert sum(blocks or ()) == pytest.approx(31 * INCH, abs=0.5)
    assert panel["count"] == 2 and file["runner"]["panel_join"] == "centre"


def test_measures_carry_their_own_unit_or_the_page_s() -> None:
    said = {"known": "size", "length": "150 cm", "width": "13 3/8"}
    runner = tomllib.loads(project_text(said))["runner"]
    assert (runner["length"], runner["width"]) == ("150 cm", "13 3/8 in")
    metric = tomllib.loads(project_text({"units": "mm", "known": "size", "length": "1500"}))
    assert metric["runner"]["length"] == "1500 mm" and metric["units"] == "mm"


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("known", ["table", "size"])
@pytest.mark.parametrize("cloth", ["panels", "blocks", "plain"])
def test_what_the_page_stands_at_can_be_made(units: str, known: str, cloth: str) -> None:
    result = compute(parse(project_text({"units": units, "known": known, "cloth": cloth})))
    assert not [finding.text for finding in result.findings if finding.fails]
    assert len(result.lines) > 10


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"table_length": "x"}, "the table's length: 'x' is not a length"),
        ({"known": "size", "width": "0"}, "the runner's width: "),
        ({"along": "six"}, "along: 'six' is not a whole number"),
        ({"sashing": "40"}, "blocks along the runner: "),
        ({"spacing": "wide"}, "the spacing: 'wide' is not a length"),
        ({"pattern": "nothing like it"}, "the look: there is no pattern"),
        ({"cloth": "panels", "rim": "9"}, "the panel: the rim takes"),
        ({"cloth": "panels", "end_strip": "20"}, "the panel: strips and rim leave nothing"),
        ({"cloth": "panels", "panels": "two"}, "how many panels: 'two' is not a whole number"),
    ],
)
def test_faults_are_told_in_the_page_s_words(said: dict[str, str], told: str) -> None:
    with pytest.raises(InputError) as fault:
        begun(said)
    assert str(fault.value).startswith(told)
    assert not re.search(r"\[\d\]|_|set units", str(fault.value))


def test_a_file_that_is_there_is_never_written_over(tmp_path: Path) -> None:
    assert create({}, "mine", tmp_path) == tmp_path / "mine.toml"
    before = (tmp_path / "mine.toml").read_bytes()
    with pytest.raises(InputError, match="is there already"):
        create({"title": "other"}, "mine.toml", tmp_path)
    assert (tmp_path / "mine.toml").read_bytes() == before


@pytest.mark.parametrize("name", ["", "../mine", "a/b", "..", ".hidden", "a\nb", "x" * 200])
def test_a_name_that_leads_elsewhere_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is no name for a file"):
        create({}, name, tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def beginning(tmp_path: Path) -> Iterator[Served]:
    server = LiveServer(Beginning(tmp_path, PAGE_JOBS))
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    yield Served(server, tmp_path)
    server.shutdown()
    server.server_close()
    thread.join()


def test_nothing_else_is_answered_before_a_runner_is_kept(beginning: Served) -> None:
    for path in ("/draw", "/save", "/make", "/lit"):
        status, text = beginning.post(path, {"changes": []})
        assert status == 422 and "is not kept yet" in text
    assert beginning.post("/begin", {"answers": []})[0] == 422
    assert beginning.post("/begin", {"answers": {"who": "me"}})[0] == 422
    assert beginning.post("/begin", {"answers": {}}, X_Token="wrong")[0] == 403


def test_once_it_is_kept_the_questions_are_over(beginning: Served) -> None:
    status, text = beginning.post("/create", {"answers": FIRST_ANSWERS, "file": "first"})
    assert status == 200 and json.loads(text) == {"file": "first.toml"}
    assert beginning.post("/create", {"answers": FIRST_ANSWERS, "file": "again"})[0] == 422
    assert [path.name for path in beginning.file.iterdir()] == ["first.toml"]


def sewn_mm(folder: Path, name: str) -> tuple[float, float]:
    """Extent of a stitch file by the reference reader."""
    pattern = pyembroidery.read(str(folder / f"{name}-out" / "runner.dst"))
    low_x, low_y, high_x, high_y = (edge / 10 for edge in pattern.bounds())
    return high_x - low_x, high_y - low_y


def test_from_nothing_to_a_stitch_file_in_inches_by_mouse(beginning: Served, watched: Any) -> None:
    """Size known: 40 x 12 in. Lines reach over the flat top's edges, which draws up to that."""
    seen = watched(1366, 768)
    page = seen.page
    page.goto(beginning.server.address)
    wait_for_rest(page)
    page.fill("[name=title]", "Hall table")
    page.check("[name=known][value=size]")
    page.fill("[name=length]", "40")
    page.fill("[name=width]", "12")
    page.fill("[name=along]", "3")
    wait_for_rest(page)
    assert page.locator("#picture").get_attribute("alt").endswith("3 blocks")
    assert "40 in" in page.locator("#figures").inner_text()
    page.click("#create")
    page.wait_for_selector("#make:not([disabled])")
    page.click("#make")
    page.wait_for_function(
        "() => document.getElementById('heard').textContent.includes('files in the folder')"
    )
    with page.expect_popup() as opened:
        page.click("#made a >> text=preview.html")
    wait_for_light(opened.value)
    assert opened.value.title() == "Hall table"
    wide, high = sewn_mm(beginning.file, "hall-table")
    assert 40 * INCH < wide < 44 * INCH and 12 * INCH < high < 15 * INCH
    assert seen.errors == []


def test_from_nothing_to_a_stitch_file_in_millimetres_by_keyboard(
    beginning: Served, watched: Any
) -> None:
    """Nothing is clicked: from field to field by Tab, choices by arrows and letters."""
    seen = watched(820, 1180)
    page = seen.page
    page.goto(beginning.server.address)
    wait_for_rest(page)
    keys = page.keyboard
    keys.press("Tab")
    assert page.evaluate("document.activeElement.name") == "title"
    keys.press("Control+A")
    keys.type("Mat")
    keys.press("Tab")
    keys.type("mill")
    keys.press("Tab")
    keys.press("ArrowDown")
    for figure in ("600", "300"):
        keys.press("Tab")
        keys.press("Control+A")
        keys.type(figure)
    keys.press("Tab")
    keys.press("ArrowDown")
    assert page.evaluate("document.querySelector('[name=cloth]:checked').value") == "plain"
    wait_for_rest(page)
    assert page.locator("#heard").inner_text() == ""
    keys.press("Enter")
    page.wait_for_selector("#make:not([disabled])")
    page.focus("#make")
    keys.press("Enter")
    page.wait_for_function(
        "() => document.getElementById('heard').textContent.includes('files in the folder')"
    )
    text = tomllib.loads((beginning.file / "mat.toml").read_text(encoding="utf-8"))
    assert text["runner"] == {"length": "600 mm", "width": "300 mm"}
    wide, high = sewn_mm(beginning.file, "mat")
    assert 590 < wide < 680 and 290 < high < 380
    assert seen.errors == []


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (820, 1180), (390, 844)])
def test_the_questions_fit_and_an_independent_checker_finds_no_fault(
    beginning: Served, watched: Any, width: int, height: int
) -> None:
    """axe-core, the open rules for accessible pages."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    seen = watched(width, height)
    page = seen.page
    page.goto(beginning.server.address)
    wait_for_rest(page)
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert [fault["id"] for fault in axe.Axe().run(page).response["violations"]] == []
