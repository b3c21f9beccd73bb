"""Changes laid into the text of a project: what was asked for, and nothing else."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.errors import InputError
from quiltpath.page.edits import EditableText, make_changes
from quiltpath.project import parse
from quiltpath.units import parse_length
from tests.page.served import PLAIN, SAMPLES

FILES = {path.parent.name: path for path in sorted(SAMPLES.glob("*/runner.toml"))}


def comments(text: str) -> list[str]:
    return [line.split("#", 1)[1].strip() for line in text.splitlines() if "#" in line]


def test_a_change_replaces_its_value_and_leaves_every_other_character() -> None:
    change = {"entry": 0, "key": "spacing", "value": {"mm": 25, "about": True}}
    assert make_changes(PLAIN, [change], "mm") == PLAIN.replace("about 40 mm", "about 25 mm")


@pytest.mark.parametrize("name", FILES)
def test_no_change_is_the_same_text(name: str) -> None:
    text = FILES[name].read_text(encoding="utf-8")
    assert make_changes(text, [], "in") == text


def test_each_answer_begins_with_the_text_as_it_was_read() -> None:
    """The text is parsed once; what one answer changed is not in the next."""
    read = EditableText(PLAIN)
    wider = {"entry": 0, "key": "spacing", "value": {"mm": 25, "about": True}}
    added = {"key": "layer.add", "value": "crosswise-lines"}
    first = read.changed([added, wider], "mm")
    assert read.changed([wider], "mm") == PLAIN.replace("about 40 mm", "about 25 mm")
    assert read.changed([added, wider], "mm") == first == make_changes(PLAIN, [added, wider], "mm")
    assert read.changed([], "mm") == PLAIN


lengths = st.integers(1, 4000).map(lambda sixteenths: sixteenths * 25.4 / 16)


@st.composite
def changes(draw: st.DrawFn) -> dict[str, Any]:
    """For the harvest supper: entries 0 to 2, of which the last has a spacing."""
    key = draw(st.sampled_from(["spacing", "clearance", "region", "angle", "stitch.length"]))
    if key == "spacing":
        value: Any = {"mm": draw(lengths), "about": draw(st.booleans())}
        return {"entry": 2, "key": key, "value": value}
    values: dict[str, st.SearchStrategy[Any]] = {
        "clearance": lengths,
        "region": st.sampled_from(["blocks", "runner", "sashing"]),
        "angle": st.integers(-90, 90),
        "stitch.length": st.integers(30, 35).map(lambda tenths: tenths / 10),
    }
    entry = None if key == "stitch.length" else draw(st.integers(0, 2))
    return {"entry": entry, "key": key, "value": draw(values[key])}


def meant(content: dict[str, Any], change: dict[str, Any]) -> None:
    """The same change made to the parsed file, lengths in mm."""
    key, value = change["key"], change["value"]
    if key == "stitch.length":
        content.setdefault("stitch", {})["length"] = ("mm", value)
    elif key == "spacing":
        content["quilting"][2]["spacing"] = ("about" if value["about"] else "exact", value["mm"])
    elif key == "clearance":
        content["quilting"][change["entry"]][key] = ("mm", value)
    else:
        content["quilting"][change["entry"]][key] = value


def agree(wanted: Any, got: Any) -> bool:
    """Equal, where a pair of a word and mm stands for a written length."""
    if isinstance(wanted, tuple):
        about = got.startswith("about ")
        mm = parse_length(got.removeprefix("about "))
        return about == (wanted[0] == "about") and abs(mm - wanted[1]) < 0.01
    if isinstance(wanted, dict):
        return wanted.keys() == got.keys() and all(agree(wanted[k], got[k]) for k in wanted)
    if isinstance(wanted, list):
        return len(wanted) == len(got) and all(map(agree, wanted, got))
    return bool(wanted == got)


@given(st.lists(changes(), max_size=6))
def test_the_edited_text_says_the_changes_and_nothing_else(made: list[dict[str, Any]]) -> None:
    text = FILES["harvest-supper"].read_text(encoding="utf-8")
    after = make_changes(text, made, "in")
    wanted = copy.deepcopy(tomllib.loads(text))
    for change in made:
        meant(wanted, change)
    assert agree(wanted, tomllib.loads(after))
    assert comments(after) == comments(text)
    assert list(tomllib.loads(after))[:6] == list(tomllib.loads(text))[:6]


def test_another_pattern_keeps_where_the_layer_goes() -> None:
    text = FILES["harvest-supper"].read_text(encoding="utf-8")
    after = make_changes(text, [{"entry": 2, "key": "pattern", "value": "square-grid"}], "in")
    layer = tomllib.loads(after)["quilting"][2]
    before = tomllib.loads(text)["quilting"][2]
    kept = {key: before[key] for key in ("region", "clearance")}
    assert layer == {"pattern": "square-grid", **kept}


def test_a_motif_moves_alone() -> None:
    """The watering can lies at two points; only the one that was dragged moves."""
    text = FILES["allotment-ends"].read_text(encoding="utf-8")
    change = {"entry": 1, "key": "motif.at", "place": 1, "value": [44 * 25.4, 6.5 * 25.4]}
    motifs = tomllib.loads(make_changes(text, [change], "in"))["motif"]
    assert motifs[0]["at"] == ["30 in", "7 in"]
    assert motifs[1]["at"] == [["15 in", "7 in"], ["44 in", "6 1/2 in"]]


def test_a_motif_taken_out_of_its_block_leaves_the_others_there() -> None:
    text = FILES["galley"].read_text(encoding="utf-8")
    change = {"entry": 0, "key": "motif.at", "place": "A1", "value": [230, 160]}
    motif = tomllib.loads(make_changes(text, [change], "mm"))["motif"][0]
    assert motif["blocks"] == ["C1"] and motif["at"] == ["230 mm", "160 mm"]
    project = parse(make_changes(text, [change], "mm"), folder=FILES["galley"].parent)
    assert project.motif[0].at == ((230.0, 160.0),)


def test_a_motif_in_all_blocks_moves_in_all_of_them_alike() -> None:
    text = FILES["galley"].read_text(encoding="utf-8")
    change = {"entry": 0, "key": "motif.offset", "value": [12.5, -8]}
    after = make_changes(text, [change], "mm")
    motif = tomllib.loads(after)["motif"][0]
    assert motif["blocks"] == ["A1", "C1"] and motif["offset"] == ["12.5 mm", "-8 mm"]
    assert comments(after) == comments(text)
    back = {"entry": 0, "key": "motif.offset", "value": [0.01, 0]}
    assert make_changes(after, [back], "mm") == text, "in the middle again there is nothing to say"


EVERYWHERE = FILES["galley"].read_text(encoding="utf-8").replace('["A1", "C1"]', '"all"')


def test_one_motif_taken_out_of_all_blocks_leaves_the_others_named() -> None:
    change = {
        "entry": 0,
        "key": "motif.at",
        "place": "B1",
        "others": ["A1", "C1"],
        "value": [600, 150],
    }
    motif = tomllib.loads(make_changes(EVERYWHERE, [change], "mm"))["motif"][0]
    assert motif["blocks"] == ["A1", "C1"] and motif["at"] == ["600 mm", "150 mm"]


def test_the_last_motif_taken_out_takes_the_offset_with_it() -> None:
    text = FILES["galley"].read_text(encoding="utf-8")
    aside = {"entry": 1, "key": "motif.offset", "value": [10, 0]}
    out = {"entry": 1, "key": "motif.at", "place": "B1", "value": [600, 150]}
    motif = tomllib.loads(make_changes(text, [aside, out], "mm"))["motif"][1]
    assert not {"blocks", "offset"} & set(motif) and motif["at"] == ["600 mm", "150 mm"]


WRONG = [
    {"key": "motif.offset", "entry": 7, "value": [1, 2]},
    {"key": "motif.offset", "entry": 0, "value": [1]},
    {"key": "motif.at", "entry": 0, "place": "B1", "value": [1, 2]},
    {"key": "motif.at", "entry": 0, "place": "B1", "others": [1], "value": [1, 2]},
    {"key": "motif.at", "entry": 0, "place": "B1", "others": ["A1"] * 2001, "value": [1, 2]},
    {"key": "motif.at", "entry": 0, "place": "Z9", "value": [1, 2]},
]


@pytest.mark.parametrize("change", WRONG)
def test_a_change_that_makes_no_sense_is_told(change: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        make_changes(EVERYWHERE, [change], "mm")


def test_an_outline_takes_the_place_of_the_size() -> None:
    corners = [[0, 50], [60, 0], [340, 0], [400, 50], [200, 120.5]]
    project = parse(make_changes(PLAIN, [{"key": "runner.outline", "value": corners}], "mm"))
    assert project.runner.length is None
    assert [list(point) for point in project.runner.outline or ()] == corners


@pytest.mark.parametrize(
    ("mm", "written"), [(25.4, "1 in"), (31.75, "1 1/4 in"), (1.5875, "1/16 in")]
)
def test_lengths_are_written_as_the_file_writes_them(mm: float, written: str) -> None:
    """1 in is 25.4 mm exactly (the international inch)."""
    change = {"entry": 0, "key": "clearance", "value": mm}
    assert f'clearance = "{written}"' in make_changes(PLAIN, [change], "in")


def test_a_file_may_be_full_of_comments(tmp_path: Path) -> None:
    text = "\n".join(f"# line {n}\n{line}" for n, line in enumerate(PLAIN.splitlines())) + "\n# end"
    change = {"entry": 0, "key": "angle", "value": 30}
    assert comments(make_changes(text, [change], "mm")) == comments(text)


@pytest.mark.parametrize("name", FILES)
def test_a_layer_is_added_moved_forward_and_left_out_again(name: str) -> None:
    text = FILES[name].read_text(encoding="utf-8")
    before = tomllib.loads(text)["quilting"]
    added = make_changes(text, [{"key": "layer.add", "value": "matchstick"}], "in")
    assert tomllib.loads(added)["quilting"] == [*before, {"pattern": "matchstick"}]
    earlier = {"key": "layer.earlier", "entry": len(before)}
    moved = make_changes(added, [earlier], "in")
    assert tomllib.loads(moved)["quilting"] == [*before[:-1], {"pattern": "matchstick"}, before[-1]]
    gone = make_changes(moved, [{"key": "layer.remove", "entry": len(before) - 1}], "in")
    assert tomllib.loads(gone) == tomllib.loads(text)
    assert set(comments(text)) <= set(comments(moved))


def test_layers_written_in_one_line_are_added_to_there() -> None:
    text = 'runner = { length = 400, width = 240 }\nquilting = [{ pattern = "matchstick" }]\n'
    both = make_changes(text, [{"key": "layer.add", "value": "stipple"}], "mm")
    assert tomllib.loads(both)["quilting"] == [{"pattern": "matchstick"}, {"pattern": "stipple"}]
    none = make_changes(both, [{"key": "layer.remove", "entry": 0}] * 2, "mm")
    assert tomllib.loads(none)["quilting"] == []
    first = make_changes("[runner]\nlength = 4\n", [{"key": "layer.add", "value": "stipple"}], "in")
    assert tomllib.loads(first)["quilting"] == [{"pattern": "stipple"}]


@pytest.mark.parametrize("key", ["layer.remove", "layer.earlier"])
@pytest.mark.parametrize("entry", [-1, 9, None, True, "0"])
def test_a_layer_that_is_not_there_stays_so(key: str, entry: object) -> None:
    with pytest.raises(InputError, match="there is no entry"):
        make_changes(PLAIN, [{"key": key, "entry": entry}], "mm")


def test_the_first_layer_cannot_come_earlier() -> None:
    with pytest.raises(InputError, match="is the first already"):
        make_changes(PLAIN, [{"key": "layer.earlier", "entry": 0}], "mm")


def test_a_kind_of_wadding_takes_the_place_of_a_packet_s_figure() -> None:
    changed = make_changes(PLAIN, [{"key": "wadding.kind", "value": "wool"}], "mm")
    assert tomllib.loads(changed)["wadding"] == {"kind": "wool"}
    bare = "runner = { length = 400, width = 240 }\n"
    paper = make_changes(bare, [{"key": "paper.size", "value": "Letter"}], "mm")
    assert tomllib.loads(paper)["paper"] == {"size": "Letter"}
