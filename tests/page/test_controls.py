"""Every control of the page offers only what a project file may say."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import Any

import pytest
import shapely

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials.settling import settle
from quiltpath.page.controls import control_values
from quiltpath.page.edits import make_changes
from quiltpath.patterns.book import PatternBook, shipped_folder
from quiltpath.patterns.kinds import KINDS
from quiltpath.project import parse
from quiltpath.result.reuse import Reuse
from quiltpath.runner.states import Pair, Size
from tests.page.served import SAMPLES, serving
from tests.pages import wait_for_rest
from tests.small_projects import SMALL, STRAIGHT

LEAF = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0 h40 v30 l-20 8 l-20 -8 z"/></svg>'

RUNNER = """title = "All kinds"
units = "{units}"

[runner]
length = "17 in"
width = "10 in"

[grid]
along = 2
block = "5 in"
sashing = "2 in"
outer_sashing = "1 in"
border = "1 1/2 in"
cornerstones = true

[[motif]]
name = "leaf"
file = "leaf.svg"
size = "3 in"
blocks = "all"
"""

NEEDED = {
    "chevron": 'leg = "2 in"\n',
    "echo": 'spacing = "1 in"\n',
    "drawing": 'file = "leaf.svg"\nsize = "4 in"\n',
    "cable": 'region = "border"\n',
}
"""Keys that a kind cannot do without."""


def with_kinds(*kinds: str, units: str = "in") -> str:
    """A runner with one layer of each of these kinds."""
    layers = [f'[[quilting]]\nkind = "{kind}"\n{NEEDED.get(kind, "")}' for kind in kinds]
    return "\n".join([RUNNER.format(units=units), *layers])


class Bench:
    """A project that changes are tried on: read, and drawn on the flat top, as the page does."""

    def __init__(self, text: str, folder: Path) -> None:
        self.text, self.folder, self.reuse = text, folder, Reuse()
        self.project = parse(text, folder=folder)

    @cached_property
    def kept(self) -> Pair:
        return settle(self.project, self._drawing)[1]

    @cached_property
    def runner(self) -> Runner:
        return self.reuse.runner(self.project, self.kept)

    def refuses(self, *changes: Any, drawn: bool = True, layers: int | None = None) -> str | None:
        """Why the changes cannot be made, or not be drawn; None where they can.

        ``layers`` are the first ones to be drawn; all, where it is left out.
        """
        units = self.project.units
        try:
            project = parse(make_changes(self.text, list(changes), units), folder=self.folder)
            if drawn:
                runner = self.reuse.runner(project, self.kept)
                self.reuse.lines(runner, project.quilting[:layers])
        except InputError as error:
            return str(error)
        return None

    def _drawing(self, kept: Pair) -> tuple[Size, float]:
        runner = self.reuse.runner(self.project, kept)
        lines = self.reuse.lines(runner, self.project.quilting).geometry
        density = shapely.length(lines).sum() / 1000 / (runner.outline.area / 1e6)
        return Size(runner.length_mm, runner.width_mm), float(density)

    def controls(self) -> dict[str, Any]:
        return control_values(self.project, self.runner, self.folder, self.text)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "leaf.svg").write_text(LEAF)
    return tmp_path


def ends(reach: dict[str, Any]) -> list[float]:
    """The ends and the middle; of all directions, those halfway between as well."""
    low, high = reach["low"], reach["high"]
    middle = (low + high) / 2
    return [low, high, middle, *([-45, 45] if high - low == 180 else [])]


def offered(entry: dict[str, Any]) -> list[dict[str, Any]]:
    """Changes to the ends and the middle of each figure of a layer."""
    found = [{"key": "clearance", "value": v} for v in ends(entry.get("clearance", NOTHING))]
    found += [{"key": "angle", "value": v} for v in ends(entry.get("angle", NOTHING))]
    if "spacing" in entry:
        key = entry["spacing"]["key"]
        about = entry["spacing"]["about"]
        found += [
            {"key": key, "value": {"mm": mm, "about": about}} for mm in ends(entry["spacing"])
        ]
    return [{**change, "entry": entry["entry"]} for change in found if change["value"] is not None]


NOTHING: dict[str, Any] = {"low": 0, "high": 0}
FIGURES = {"spacing", "angle", "clearance"}


@pytest.mark.parametrize("kind", KINDS)
def test_every_figure_of_every_kind_may_go_to_both_its_ends(kind: str, folder: Path) -> None:
    bench = Bench(with_kinds(kind), folder)
    (entry,) = bench.controls()["entries"]
    keys = {"clearance", "angle"} & set(entry)
    changes = [
        c for c in offered(entry) if c["key"] in keys | {entry.get("spacing", {}).get("key")}
    ]
    if kind != "motif":
        assert len(changes) >= 3
    assert [told for change in changes if (told := bench.refuses(change))] == []


def test_the_chevrons_slope_ends_where_the_model_ends(folder: Path) -> None:
    """Its legs climb by more than 0 and by no more than 80 degrees; the crosshatch of one line
    by more than 0 and less than 90."""
    bench = Bench(with_kinds("chevron", "one-line-crosshatch", "straight"), folder)
    entries = {e["kind"]: e for e in bench.controls()["entries"]}
    assert (entries["chevron"]["angle"]["low"], entries["chevron"]["angle"]["high"]) == (1, 80)
    one_line = entries["one-line-crosshatch"]["angle"]
    assert (one_line["low"], one_line["high"]) == (1, 89)
    assert (entries["straight"]["angle"]["low"], entries["straight"]["angle"]["high"]) == (-90, 90)


def test_a_figure_that_does_nothing_is_not_offered(folder: Path) -> None:
    """Distances that follow one another stand in place of one spacing."""
    layer = '[[quilting]]\nkind = "straight"\nspacings = ["1 in", "2 in"]\n'
    (entry,) = Bench(RUNNER.format(units="in") + layer, folder).controls()["entries"]
    assert "spacing" not in entry and "angle" in entry


def test_what_the_file_says_is_within_reach_even_where_it_is_unusual(folder: Path) -> None:
    layer = '[[quilting]]\nkind = "straight"\nangle = 200\nspacing = "2 mm"\nclearance = "4 in"\n'
    text = RUNNER.format(units="in") + layer + '[stitch]\nlength = "6 mm"\nlongest = "6 mm"\n'
    controls = Bench(text, folder).controls()
    (entry,) = controls["entries"]
    assert entry["angle"]["high"] == 200 and entry["spacing"]["low"] == 2.0
    assert entry["clearance"]["high"] == pytest.approx(101.6) and controls["stitch"]["high"] == 6.0


@pytest.mark.parametrize("bounds", ["", 'shortest = "3 mm"\nlongest = "3.5 mm"', "longest = 5"])
def test_stitch_lengths_one_after_the_other_are_all_taken(bounds: str, folder: Path) -> None:
    text = RUNNER.format(units="mm") + f"[stitch]\n{bounds}\n"
    bench = Bench(text, folder)
    changes = [{"key": "stitch.length", "value": value} for value in (2.5, 2.0, 4.5, 3.2)]
    for end in range(1, len(changes) + 1):
        assert bench.refuses(*changes[:end]) is None


FURTHER = ["allotment-ends", "galley", "harvest-supper"]
SHIPPED = PatternBook((shipped_folder(),)).names()


@pytest.mark.parametrize(
    "sample", [*SMALL, *(pytest.param(name, marks=pytest.mark.exhaustive) for name in FURTHER)]
)
def test_every_pattern_and_region_on_the_lists_can_be_had(sample: str, folder: Path) -> None:
    """Each with each on small runners; on samples each pattern by turns in its own and in another.

    Every pattern is in a region of its own on one sample at least, and in one that is named.
    """
    if sample in SMALL:
        text = SMALL[sample] + STRAIGHT
    else:
        folder = SAMPLES / sample
        text = (folder / "runner.toml").read_text(encoding="utf-8")
    bench = Bench(text, folder)
    controls = bench.controls()
    entry = controls["entries"][-1]
    said = {"entry": entry["entry"]}
    assert len(entry["patterns"]) > 25 and "runner" in controls["regions"]
    regions = controls["regions"]

    def regions_for(name: str) -> list[str | None]:
        if sample in SMALL:
            return [None, *regions]
        number = SHIPPED.index(name)
        turn = number + FURTHER.index(sample)
        return [regions[number % len(regions)] if turn % 2 else None]

    refused = [
        told
        for name in entry["patterns"]
        for region in regions_for(name)
        if (
            told := bench.refuses(
                *([{"key": "region", "value": region, **said}] if region else []),
                {"key": "pattern", "value": name, **said},
            )
        )
    ]
    assert refused == []


def test_lists_say_nothing_of_what_this_runner_has_not() -> None:
    """The pointed runner has neither blocks nor sashing; the cable would go along the sashing."""
    folder = SAMPLES / "allotment-ends"
    controls = Bench((folder / "runner.toml").read_text(encoding="utf-8"), folder).controls()
    assert controls["regions"] == ["runner", "motifs", "outside motifs"]
    assert not {"along-the-sashing", "cable"} & set(controls["entries"][-1]["patterns"])


def test_patterns_of_the_users_own_are_offered_and_wrong_ones_are_not(folder: Path) -> None:
    own = folder / "mine"
    own.mkdir()
    (own / "furrows.toml").write_text('title = "Furrows"\n[[layer]]\nkind = "straight"\n')
    (own / "broken.toml").write_text('title = "Broken"\n[[layer]]\nkind = "straigth"\n')
    text = 'patterns_folder = "mine"\n' + RUNNER.format(units="in")
    bench = Bench(text + '[[quilting]]\npattern = "furrows"\n', folder)
    (entry,) = bench.controls()["entries"]
    assert entry["pattern"] == "furrows" and "furrows" in entry["patterns"]
    assert "broken" not in entry["patterns"]


RECORD = """() => {
  const found = [], page = window.quiltpath;
  window.fetch = () => new Promise(() => {});  // what is drawn of it is asked below
  const say = (input) => {
    input.dispatchEvent(new Event('input')); found.push(structuredClone(page.changes().at(-1)));
  };
  for (const input of document.querySelectorAll('#stitch, #entries input[type=range]')) {
    const was = input.value, low = Number(input.min), high = Number(input.max);
    for (const value of [low, high, ...(high - low === 180 ? [-45, 0, 45] : [])]) {
      input.value = value; say(input);
    }
    input.value = was; say(input);
  }
  return found;
}"""


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_sliders_in_the_browser_send_nothing_that_is_refused(
    watched: Any, folder: Path, units: str
) -> None:
    """Every slider of a page with all kinds of layers is pushed to both its ends.

    What a layer's own figures lead to is drawn above, at the ends that they may not pass.
    """
    file = folder / "runner.toml"
    file.write_text(with_kinds(*KINDS, units=units), encoding="utf-8")
    with serving(file) as served:
        seen = watched()
        seen.page.goto(served.server.address)
        seen.page.set_checked("#lit", False)
        wait_for_rest(seen.page)
        sent = seen.page.evaluate(RECORD)
        entries = seen.page.evaluate("() => window.quiltpath.state().entries")
    tried = {change["key"] for change in sent}
    assert tried >= {"stitch.length", "spacing", "size", "repeat", "middle", "angle", "angles"}
    assert tried >= {"clearance", "motif.offset"}
    bench = Bench(file.read_text(encoding="utf-8"), folder)
    assert [told for change in sent if (told := bench.refuses(change, drawn=False))] == []
    reach = {(each["entry"], key): each[key] for each in entries for key in FIGURES & each.keys()}
    for change in sent:
        if change["key"] in ("angle", "clearance"):
            ends_drawn = reach[change["entry"], change["key"]]
            assert ends_drawn["low"] <= change["value"] <= ends_drawn["high"]
        elif isinstance(change["value"], dict) and "mm" in change["value"]:
            ends_drawn = reach[change["entry"], "spacing"]
            assert ends_drawn["low"] - 1e-6 <= change["value"]["mm"] <= ends_drawn["high"] + 1e-6
    if units == "in":  # once: what is drawn does not hang on the unit it is written in
        moved = [change for change in sent if change["key"] == "motif.offset"]
        assert [told for change in moved if (told := bench.refuses(change, layers=0))] == []
        grid = list(KINDS).index("grid")
        turned = [change for change in sent if change["key"] == "angles"]
        turned = [{**change, "entry": 0} for change in turned if change["entry"] == grid]
        one_grid = Bench(with_kinds("grid"), folder)
        assert [told for change in turned if (told := one_grid.refuses(change))] == []
    assert seen.errors == []
