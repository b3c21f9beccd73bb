"""A policy is a table that the quilter may change, and mistakes in it are answered plainly."""

import re

import pytest
from shapely.geometry import box

from quiltpath.routing import POLICIES, policy_named
from quiltpath.routing.policy import start_corner


def test_the_three_ways_of_sewing_are_there() -> None:
    assert set(POLICIES) == {"walking-foot", "continuous", "hoop"}


def test_a_walking_foot_sews_hold_lines_first_and_from_the_centre() -> None:
    """Common practice: lines that hold the layers, then outlines, then fill, from the centre."""
    policy = policy_named("walking-foot")
    assert policy.roles_first
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
        ("jump_cost", [0, 100_000], [-1, 100_001, "dear", True]),
        ("retrace_cap", ["0 mm", "100 m", 5], ["-1 mm", "100.1 m", "far"]),
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
