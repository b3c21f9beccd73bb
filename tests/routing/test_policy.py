"""A policy is a table that the quilter may change, and mistakes in it are answered plainly."""

import re
import tomllib
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import LineString, box

from quiltpath.patterns import LineRole, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import POLICIES, PieceKind, Policy, policy_named, route
from quiltpath.routing.policy import start_corner


def test_the_three_ways_of_sewing_are_there() -> None:
    assert set(POLICIES) == {"walking-foot", "continuous", "hoop"}


def test_a_walking_foot_sews_hold_lines_first_and_from_the_centre() -> None:
    """Common practice: lines that hold the layers, then outlines, then fill, from the centre."""
    policy = policy_named("walking-foot")
    assert policy.roles == "one-by-one"
    assert policy.order == "centre-outwards"
    assert not policy.margin, "one way in each half: no travel beyond the edge"


def test_settings_replace_values_and_lengths_carry_units() -> None:
    policy = policy_named("hoop", {"retrace_cap": "4 in", "order": "nearest", "jump_cost": 40})
    assert policy.retrace_cap_mm == pytest.approx(101.6)
    assert policy.order == "nearest"
    assert policy.jump_cost == 40.0
    assert POLICIES["hoop"].order == "least-travel", "the named policy itself stays as it is"


@pytest.mark.parametrize(
    ("name", "settings", "words"),
    [
        ("flying-foot", {}, "walking-foot, continuous, hoop"),
        ("hoop", {"speed": 3}, "no setting 'speed'"),
        ("hoop", {"order": "sideways"}, "centre-outwards, nearest, least-travel"),
        ("hoop", {"retrace": "yes"}, "true or false"),
        ("hoop", {"retrace_cap": "4 furlongs"}, "4 in"),
        ("hoop", {"retrace_cap": True}, "length"),
        ("hoop", {"jump_cost": -1}, "between 0"),
        ("hoop", {"jump_cost": "cheap"}, "number"),
    ],
)
def test_mistakes_are_answered_in_one_sentence(name: str, settings: dict, words: str) -> None:
    with pytest.raises(ValueError, match=re.escape(words)) as caught:
        policy_named(name, settings)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("key", "allowed", "refused"),
    [
        ("jump_cost", [0, 100_000], [-1, 100_000.5, "dear", True]),
        ("retrace_cap", ["0 mm", "100 m", 5], ["-1 mm", "100000.5 mm", "far"]),
        ("margin", [True, False], [1, "yes"]),
        ("start", ["upper-right"], ["middle", 5]),
    ],
)
def test_each_setting_takes_what_it_says_to_the_very_end(
    key: str, allowed: list, refused: list
) -> None:
    for value in allowed:
        policy_named("continuous", {key: value})
    for value in refused:
        with pytest.raises(ValueError, match=key):
            policy_named("continuous", {key: value})


@pytest.mark.parametrize(
    ("start", "corner"),
    [
        ("lower-left", [5, 7]),
        ("lower-right", [305, 7]),
        ("upper-left", [5, 127]),
        ("upper-right", [305, 127]),
    ],
)
def test_the_start_is_a_corner_of_the_finished_rectangle(start: str, corner: list[float]) -> None:
    policy = policy_named("continuous", {"start": start})
    assert start_corner(policy, box(5, 7, 305, 127)).tolist() == corner


def runs_of_an_h(bar_mm: float, policy: Policy) -> int:
    """Runs for two upright posts on the cloth with a level bar between their middles.

    Six ends and junctions are odd, so that it takes three runs; two where the bar is sewn twice.
    """
    right = 100 + bar_mm
    posts = [[(x, 100), (x, y)] for x in (100, right) for y in (40, 160)]
    upright = layer_lines([LineString(ends) for ends in posts], name="posts")
    bar = LineString([(100, 100), (right, 100)])
    lines = join([upright, layer_lines([bar], name="bar", retraceable=True)])
    return len(route(lines, policy, box(0, 0, 1000, 200), 30.0))


@pytest.mark.parametrize(
    ("policy", "longest_mm"),
    [
        (policy_named("walking-foot", {"jump_cost": 1000}), 100.0),  # its cap
        (policy_named("walking-foot", {"retrace_cap": "1 m"}), 100.0),  # 200 to jump, 2 a mm
        (policy_named("hoop", {"jump_cost": 1000}), 300.0),  # its cap
        (policy_named("hoop", {"retrace_cap": "1 m"}), 300.0),  # 300 to jump, 1 a mm
        (policy_named("continuous", {"jump_cost": 200}), 200.0),  # 1 a mm
        (Policy(retrace=True), 150.0),
    ],
)
def test_a_line_is_sewn_again_up_to_its_cap_and_where_that_is_cheaper_than_a_jump(
    policy: Policy, longest_mm: float
) -> None:
    assert runs_of_an_h(longest_mm - 0.1, policy) == 2
    assert runs_of_an_h(longest_mm + 0.1, policy) == 3


@pytest.mark.parametrize(
    ("policy", "longest_mm"),
    [
        (policy_named("hoop"), 300.0),  # 300 to jump, in the wadding as dear as on the cloth
        (policy_named("continuous", {"jump_cost": 100}), 200.0),  # half as dear
        (policy_named("walking-foot", {"margin": True, "order": "nearest"}), 400.0),
        (Policy(margin=True), 300.0),  # 150 to jump, half as dear
    ],
)
def test_two_lines_are_joined_in_the_wadding_where_that_is_cheaper_than_a_jump(
    policy: Policy, longest_mm: float
) -> None:
    """Both end 12 mm beyond the lower edge, so far apart as the way between them is long."""
    for more, runs in ((-0.1, 1), (0.1, 2)):
        xs = (100, 100 + longest_mm + more)
        lines = layer_lines([LineString([(x, -12), (x, 100)]) for x in xs], name="fill")
        assert len(route(lines, policy, box(0, 0, 1000, 200), 30.0)) == runs


@pytest.mark.parametrize("name", POLICIES)
def test_lines_a_fifth_of_a_millimetre_apart_meet_and_no_further(name: str) -> None:
    """Thread covers a fifth of a millimetre; the gap lies in the middle of the cloth. Farther apart
    a stitch leads across, and no thread is cut for less than one of 3 mm (common practice)."""
    for gap, runs, steps in ((0.19, 1, 0), (0.21, 1, 1), (2.9, 1, 1), (3.1, 2, 0)):
        ends = [[(100, 100), (150, 100)], [(150 + gap, 100), (200, 100)]]
        lines = layer_lines([LineString(pair) for pair in ends], name="fill")
        policy = policy_named(name, {"jump_cost": 0})
        found = route(lines, policy, box(0, 0, 300, 200), 0.0)
        assert len(found) == runs
        assert np.count_nonzero(found.piece_kind == PieceKind.STEP) == steps


@pytest.mark.parametrize("name", POLICIES)
def test_a_line_by_itself_that_is_shorter_than_a_stitch_of_3_mm_is_left_out(name: str) -> None:
    for length, runs in ((2.95, 0), (3.05, 1)):
        lines = layer_lines([LineString([(100, 100), (100 + length, 100)])], name="fill")
        assert len(route(lines, policy_named(name), box(0, 0, 300, 200), 0.0)) == runs


@pytest.mark.parametrize(("name", "runs"), [("walking-foot", 2), ("continuous", 1), ("hoop", 1)])
def test_only_a_walking_foot_parts_lines_that_hold_from_lines_that_fill(
    name: str, runs: int
) -> None:
    """One of each, end to end."""
    hold = layer_lines([LineString([(50, 100), (150, 100)])], name="hold", role=LineRole.HOLD)
    fill = layer_lines([LineString([(150, 100), (250, 100)])], name="fill")
    found = route(join([fill, hold]), policy_named(name), box(0, 0, 300, 200), 0.0)
    assert len(found) == runs
    if runs == 2:
        assert found.piece_line.tolist() == [1, 0]


README = (Path(__file__).parents[2] / "README.md").read_text()


def test_the_handbook_names_every_setting_and_no_other() -> None:
    table = README[README.index("| setting | what it says |") :].split("\n\n")[0]
    first = [row.split("|")[1] for row in table.splitlines()[2:]]
    named = {key for cell in first for key in re.findall(r"`(\w+)`", cell)}
    assert named == {field.name.removesuffix("_mm") for field in fields(Policy)}


def test_the_handbooks_own_policy_is_read_as_it_stands() -> None:
    (block,) = re.findall(r"```toml\n(\[sewing\]\n.*?)```", README, re.DOTALL)
    sewing = tomllib.loads(block)["sewing"]
    policy = policy_named(sewing["policy"], sewing["settings"])
    own, changed = policy_named(sewing["policy"]), set()
    for field in fields(Policy):
        if getattr(policy, field.name) != getattr(own, field.name):
            changed.add(field.name.removesuffix("_mm"))
    assert changed == set(sewing["settings"])
