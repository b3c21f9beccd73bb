"""Every setting of a file can be said on the page, and says what the file says."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from quiltpath.errors import InputError
from quiltpath.page.controls import named_entries
from quiltpath.page.edits import make_changes
from quiltpath.page.settings import settings_of
from quiltpath.patterns.book import PatternBook, shipped_folder
from quiltpath.project import Project, parse
from tests.page.served import SAMPLES, Served, copied, plain, serving
from tests.pages import wait_for_rest

NAMES = sorted(path.parent.name for path in SAMPLES.glob("*/runner.toml"))


BOOK = PatternBook((shipped_folder(),))
TITLES = {name: BOOK.find(name).title for name in BOOK.names()}


def read(text: str, name: str = "galley") -> Project:
    return parse(text, folder=SAMPLES / name)


def listed(text: str, name: str = "galley") -> list[dict[str, Any]]:
    project = read(text, name)
    return list(settings_of(text, named_entries(project, text, TITLES)))


def change(table: dict[str, Any], key: dict[str, Any], value: str) -> dict[str, Any]:
    place = {name: table[name] for name in ("section", "entry", "kind") if name in table}
    return {"key": "setting", **place, "name": key["name"], "value": value}


def said(text: str, section: str, name: str) -> str:
    (table,) = (one for one in listed(text) if one["section"] == section)
    (key,) = (one for one in table["keys"] if one["name"] == name)
    return str(key["value"])


@pytest.mark.parametrize("name", NAMES)
def test_what_a_field_says_typed_again_changes_nothing(name: str) -> None:
    """Each key that a sample's file gives, sent back as it stands in its field."""
    text = (SAMPLES / name / "runner.toml").read_text(encoding="utf-8")
    tables = listed(text, name)
    given = [(table, key) for table in tables for key in table["keys"] if key["value"]]
    assert len(given) > 10
    changes = [change(table, key, key["value"]) for table, key in given]
    again = read(make_changes(text, changes, read(text, name).units), name)
    assert again == read(text, name)


BARE = """[runner]
length = "60 in"
width = "14 in"
[[quilting]]
kind = "straight"
spacing = "2 in"
"""


@pytest.mark.parametrize(
    ("section", "name", "typed", "meant"),
    [
        ("grid", "block", "10 in, 8 in", '[grid]\nblock = ["10 in", "8 in"]\n'),
        ("grid", "along", "4", "[grid]\nalong = 4\n"),
        ("grid", "cornerstones", "true", "[grid]\ncornerstones = true\n"),
        ("wadding", "kind", "wool", '[wadding]\nkind = "wool"\n'),
        ("instructions", "large_print", "true", "[instructions]\nlarge_print = true\n"),
        ("machine", "formats", "dst, exp", '[machine]\nformats = ["dst", "exp"]\n'),
        ("also", "sizes", "true", "[also]\nsizes = true\n"),
        ("", "title", "7", 'title = "7"\n'),
    ],
)
def test_what_is_typed_is_what_a_file_would_say(
    section: str, name: str, typed: str, meant: str
) -> None:
    try:
        wanted: object = read(f"{BARE}{meant}" if section else f"{meant}{BARE}")
    except InputError as error:
        wanted = error.fault
    sent = {"key": "setting", "section": section, "name": name, "value": typed}
    try:
        found: object = read(make_changes(BARE, [sent], None))
    except InputError as error:
        found = error.fault
    assert found == wanted


def test_a_field_left_empty_is_no_longer_in_the_file() -> None:
    with_border = f'{BARE}[grid]\nalong = 3\nborder = "1 in"\n'
    sent = {"key": "setting", "section": "grid", "name": "border", "value": " "}
    text = make_changes(with_border, [sent], None)
    assert "border" not in text
    assert said(text, "grid", "border") == ""
    assert said(text, "grid", "along") == "3"


def test_comments_and_order_stay() -> None:
    text = f'# ours\n{BARE}# of the print\n[grid]\nalong = 3  # three\nborder = "1 in"\n'
    sent = {"key": "setting", "section": "grid", "name": "along", "value": "4"}
    assert make_changes(text, [sent], None) == text.replace("along = 3", "along = 4")


@pytest.mark.parametrize(
    "odd",
    [
        {"section": "grid", "name": "no-such"},
        {"section": "no-such", "name": "x"},
        {"section": "quilting", "kind": "no-such", "entry": 0, "name": "spacing"},
        {"section": "quilting", "kind": "straight", "entry": 9, "name": "spacing"},
        {"section": "also", "name": "nest"},
        {"section": ["x"], "name": {}},
        {"section": "grid", "name": "along", "value": 7},
        {"section": "grid", "name": "along", "value": "7" * 501},
    ],
)
def test_what_is_no_setting_is_refused_in_one_line(odd: dict[str, Any]) -> None:
    with pytest.raises(InputError) as caught:
        make_changes(BARE, [{"key": "setting", "value": "1", **odd}], None)
    assert "\n" not in str(caught.value)


def test_a_section_that_is_no_table_is_told() -> None:
    sent = {"key": "setting", "section": "wadding", "name": "extra", "value": "1 in"}
    with pytest.raises(InputError, match=r"wadding: is no table in the file; write it as \[wad"):
        make_changes(f'wadding = "cotton"\n{BARE}', [sent], None)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(plain(tmp_path_factory.mktemp("settings"))) as served:
        yield served


def test_the_server_tells_settings_with_the_changes_made(served: Served) -> None:
    changes = [{"key": "setting", "section": "grid", "name": "along", "value": "2"}]
    content = {"base": served.server.session.base, "changes": changes}
    status, text = served.post("/settings", content)
    assert status == 200
    tables = {one["section"]: one for one in json.loads(text)["settings"]}
    values = {key["name"]: key["value"] for key in tables["grid"]["keys"]}
    assert values["along"] == "2"


def test_by_keys_alone_a_setting_is_changed_and_a_wrong_one_told(
    watched: Any, tmp_path: Path
) -> None:
    with serving(copied("supper-mats", tmp_path)) as served:
        page = watched().page
        page.goto(served.server.address)
        wait_for_rest(page)
        page.focus("#settings > summary")
        page.keyboard.press("Enter")
        page.wait_for_selector("#tables summary")
        runner = page.locator("#tables summary", has_text="Runner").first
        runner.focus()
        page.keyboard.press("Enter")
        field = page.locator("#set-runner--width")
        was = field.input_value()
        field.fill("a little")
        page.keyboard.press("Tab")
        page.wait_for_function("() => document.querySelector('#heard').className === 'wrong'")
        assert "'a little' is not a length" in page.locator("#heard").inner_text()
        page.wait_for_function(
            f"() => document.querySelector('#set-runner--width').value === '{was}'"
        )
        field.fill("12 1/2 in")
        page.keyboard.press("Tab")
        wait_for_rest(page)
        page.wait_for_function("() => window.quiltpath.changes().length === 1")
        page.click("#save")
        page.wait_for_function(
            "() => document.querySelector('#heard').textContent.startsWith('saved')"
        )
        assert parse(served.file.read_text(encoding="utf-8"), folder=served.file.parent) is not None
        assert 'width = "12 1/2 in"' in served.file.read_text(encoding="utf-8")


def test_a_further_panel_has_what_was_typed_and_goes_again() -> None:
    text = BARE
    panel = {"key": "entry.add", "section": "panel", "value": {"size": "40 in x 12 in", "name": ""}}
    once = make_changes(text, [panel], None)
    assert once.startswith(text) and once.count("[[panel]]") == 1
    assert 'size = "40 in x 12 in"' in once and "name" not in once.removeprefix(text)
    cloth = {"key": "entry.add", "section": "cloth", "value": {"name": "linen", "use": "backing"}}
    twice = make_changes(once, [cloth, panel], None)
    assert twice.count("[[panel]]") == 2 and twice.count("[[cloth]]") == 1
    gone = [{"key": "entry.remove", "section": "panel", "entry": 0, "value": True}] * 2
    assert "panel" not in make_changes(twice, gone, None)


@pytest.mark.parametrize(
    "odd",
    [
        {"key": "entry.add", "section": "quilting", "value": {"kind": "straight"}},
        {"key": "entry.add", "section": "grid", "value": {"along": "3"}},
        {"key": "entry.add", "section": "panel", "value": {"no_such": "3"}},
        {"key": "entry.add", "section": "panel", "value": "40 in"},
        {"key": "entry.add", "section": "panel", "value": {"size": 7}},
        {"key": "entry.remove", "section": "panel", "entry": 0, "value": True},
        {"key": "entry.remove", "section": "quilting", "entry": 0, "value": True},
    ],
)
def test_what_is_no_entry_is_refused_in_one_line(odd: dict[str, Any]) -> None:
    with pytest.raises(InputError) as caught:
        make_changes(BARE, [odd], None)
    assert "\n" not in str(caught.value)


def test_by_keys_alone_cloth_at_hand_is_added_and_left_out(watched: Any, tmp_path: Path) -> None:
    """The set then takes it off what is to be bought."""
    with serving(copied("supper-mats", tmp_path)) as served:
        page = watched().page
        page.goto(served.server.address)
        wait_for_rest(page)
        page.focus("#settings > summary")
        page.keyboard.press("Enter")
        page.locator("#tables summary", has_text="A further cloth").focus()
        page.keyboard.press("Enter")
        page.locator("#set-cloth-further-name").fill("blue linen")
        page.select_option("#set-cloth-further-use", "backing")
        page.get_by_label("Add it: A further cloth").focus()
        page.keyboard.press("Enter")
        wait_for_rest(page)
        page.wait_for_selector("#set-cloth-0-name", state="attached")
        assert page.locator("#set-cloth-0-name").input_value() == "blue linen"
        assert page.locator("#set-cloth-further-name").input_value() == ""
        page.click("#save")
        page.wait_for_function(
            "() => document.querySelector('#heard').textContent.startsWith('saved')"
        )
        assert 'name = "blue linen"' in served.file.read_text(encoding="utf-8")
        page.locator("#tables summary", has_text="Cloth 1: blue linen").focus()
        page.keyboard.press("Enter")
        page.get_by_label("Leave it out: Cloth 1: blue linen").focus()
        page.keyboard.press("Enter")
        page.wait_for_function("() => !document.querySelector('#set-cloth-0-name')")
