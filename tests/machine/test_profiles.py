"""Machine profiles: what ships, what users add, and what is wrong with a profile."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import ValidationError

from quiltpath.errors import InputError
from quiltpath.formats import FORMATS
from quiltpath.machine import MachineKind, MachineProfile, ProfileRegistry
from quiltpath.machine.profile import read_profile

REGISTRY = ProfileRegistry()
ALL = REGISTRY.names()


def _of_kind(kind: MachineKind) -> list[str]:
    return [name for name in ALL if REGISTRY.find(name).kind is kind]


def test_the_five_common_hoop_fields_ship() -> None:
    """100 x 100, 130 x 180, 160 x 260, 200 x 300, 200 x 360 mm: common practice."""
    fields = {
        (REGISTRY.find(name).field.along, REGISTRY.find(name).field.across)
        for name in _of_kind(MachineKind.HOOP)
    }
    assert fields >= {(100, 100), (130, 180), (160, 260), (200, 300), (200, 360)}


def test_frames_of_three_sizes_and_a_gantry_ship() -> None:
    """Usable throats of 300 to 500 mm and 1500 to 3000 stitches a minute: common practice."""
    names = _of_kind(MachineKind.LONGARM)
    frames = [REGISTRY.find(name) for name in names]
    assert {"longarm-small", "longarm-medium", "longarm-large"} <= set(names)
    assert all(300 <= frame.field.across <= 500 for frame in frames)
    assert all(1500 <= frame.speed <= 3000 for frame in frames)
    assert "gantry" in _of_kind(MachineKind.GANTRY)


@pytest.mark.parametrize("name", ALL)
def test_a_shipped_profile_is_slow_at_first_and_names_formats_that_are_written(name: str) -> None:
    profile = REGISTRY.find(name)
    assert profile.first_speed < profile.speed
    assert set(profile.formats) <= set(FORMATS)
    assert profile.usable == (
        profile.field.along - 2 * profile.margin, profile.field.across - 2 * profile.margin,
    )  # fmt: skip


OWN = """
title = "The club's frame"
kind = "longarm"
field = { along = "96 in", across = "16 in" }
formats = ["dxf"]
"""


def test_a_users_profile_in_inches_is_found_before_a_shipped_one(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "gantry.toml").write_text(OWN, encoding="utf-8")
    registry = ProfileRegistry.beside(tmp_path, "mine")
    assert registry.find("gantry").field.along == pytest.approx(96 * 25.4)
    assert registry.names() == ALL


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (('kind = "longarm"', 'kind = "loom"'), "mine.toml: kind: "),
        (('"96 in"', '"96"'), "field.along: the unit is missing"),
        (('"96 in"', '"-3 in"'), "field.along: -3 in is not a size; give a length above 0"),
        (('title = "The club\'s frame"', ""), "title: is missing; add it"),
        (("formats", "formatz"), "formatz: there is no such key; did you mean 'formats'?"),
        (('["dxf"]', '["dxf"]\nmargin = "9 in"'), "a margin of 228.6 mm leaves nothing"),
        (('["dxf"]', '["dxf"]\nspeed = 0'), "speed: "),
        (('["dxf"]', "[]"), "formats: "),
        (('["dxf"]', '["dxf"'), "line 5: a list stands between square brackets"),
    ],
)
def test_what_is_wrong_in_a_profile_is_told_in_one_line(
    tmp_path: Path, change: tuple[str, str], told: str
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(OWN.replace(*change), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_profile(path)
    assert told in str(caught.value)
    assert str(caught.value).startswith("mine.toml")
    assert "\n" not in str(caught.value)


def test_an_unknown_machine_names_the_nearest() -> None:
    with pytest.raises(
        InputError, match=r"no machine 'hoop-100'; did you mean hoop-.*hoop-100x100"
    ):
        REGISTRY.find("hoop-100")


def test_a_machine_is_not_found_outside_its_folders() -> None:
    with pytest.raises(InputError, match="there is no machine"):
        REGISTRY.find("../profiles/gantry")


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"machine\.folder: there is no folder 'mine'"):
        ProfileRegistry.beside(tmp_path, "mine")


def test_what_a_profile_leaves_out_is_what_most_machines_do() -> None:
    """12.1 mm is the longest stitch and jump that the most usual stitch format can say."""
    profile = MachineProfile.model_validate(
        {
            "title": "mine",
            "kind": "hoop",
            "field": {"along": "100 mm", "across": "90 mm"},
            "formats": ["dst"],
        }
    )
    assert (profile.margin, profile.speed, profile.first_speed) == (0.0, 600.0, 300.0)
    assert (profile.longest_stitch, profile.longest_jump) == (12.1, 12.1)
    assert profile.turns and profile.trims
    words = profile.gcode
    assert (words.needle_down, words.needle_up, words.wait) == ("M3", "M5", "M0")
    assert profile.usable == (100.0, 90.0)


@pytest.mark.parametrize(
    ("key", "allowed", "refused"),
    [
        ("margin", [0, 44.9], [-1, 45]),
        ("speed", [0.1, 10_000], [0, 10_001]),
        ("first_speed", [0.1, 10_000], [0, 10_001]),
        ("formats", [["dst"]], [[]]),
        ("title", ["x" * 80], ["x" * 81]),
        ("gcode", [{"wait": "M0"}, {"wait": "M" * 60}], [{"wait": "M" * 61}, {"wait": "m0"}]),
    ],
)
def test_a_profile_s_figures_end_where_they_say(key: str, allowed: list, refused: list) -> None:
    """On a field of 100 by 90 mm a margin of 45 leaves nothing."""
    plain = {
        "title": "mine",
        "kind": "hoop",
        "field": {"along": 100, "across": 90},
        "formats": ["dst"],
    }
    for value in allowed:
        MachineProfile.model_validate(plain | {key: value}, context={"units": "mm"})
    for value in refused:
        with pytest.raises(ValidationError):
            MachineProfile.model_validate(plain | {key: value}, context={"units": "mm"})


def test_a_profile_that_is_not_there_is_told_in_the_system_s_words(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file or directory"):
        read_profile(tmp_path / "frame.toml")


def test_without_a_folder_of_one_s_own_there_are_the_shipped_profiles(tmp_path: Path) -> None:
    """A project on the standard input has no folder that another could lie beside."""
    assert ProfileRegistry.beside(tmp_path, None) == REGISTRY
    assert ProfileRegistry.beside(None, "mine") == REGISTRY
    assert ProfileRegistry.beside(None, None) == REGISTRY


@pytest.mark.parametrize(("size", "read"), [(100_000, True), (100_001, False)])
def test_a_profile_of_more_than_100_kb_is_not_read(tmp_path: Path, size: int, read: bool) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(OWN + "#" * (size - len(OWN)), encoding="utf-8")
    assert path.stat().st_size == size
    if read:
        assert read_profile(path).title == "The club's frame"
    else:
        with pytest.raises(InputError, match="too large for a machine profile"):
            read_profile(path)
