"""Sections as a program makes them, with no file about: a number is in millimetres."""

from __future__ import annotations

import importlib

import pytest
from pydantic import ValidationError

from quiltpath.errors import InputError
from quiltpath.machine.profile import profile_from
from quiltpath.project import Project, parse
from quiltpath.project.materials_sections import BindingSection, TableSection
from quiltpath.project.runner_sections import RunnerSection
from quiltpath.project.sewing_sections import StitchSection
from quiltpath.schema import Section, Spacing


def test_a_number_is_in_millimetres_and_a_written_unit_is_what_it_says() -> None:
    """An inch is 25.4 mm (international yard and pound agreement, 1959)."""
    assert StitchSection(length=3.2).length == 3.2
    assert BindingSection(width="2 1/4 in").width == pytest.approx(2.25 * 25.4)
    assert RunnerSection(length=1829, width=356, panel_join=914.5).panel_join == 914.5
    assert Spacing.model_validate(25).mm == 25


def test_a_project_made_by_a_program_is_sized_by_its_table() -> None:
    """1800 mm and twice a drop of 200 mm; a third of 900 mm."""
    project = Project.model_validate({"table": {"length": 1800, "width": 900, "drop": 200}})
    assert project.runner.length == pytest.approx(2200)
    assert project.runner.width == pytest.approx(300)


@pytest.mark.parametrize("length", ["3.2", '"3.2"'])
def test_in_a_file_that_names_no_unit_a_bare_number_is_a_fault(length: str) -> None:
    text = f'[runner]\nlength = "72 in"\nwidth = "14 in"\n[stitch]\nlength = {length}\n'
    with pytest.raises(InputError, match=r"stitch\.length: the unit is missing"):
        parse(text)
    assert parse(f'units = "mm"\n{text}').stitch.length == 3.2


def test_in_a_machine_s_profile_a_bare_number_is_a_fault() -> None:
    text = (
        'title = "x"\nkind = "hoop"\nformats = ["dst"]\n[field]\nalong = 200\nacross = "100 mm"\n'
    )
    with pytest.raises(InputError, match=r"field\.along: the unit is missing"):
        profile_from(text.encode(), "x.toml")


def test_what_a_program_makes_is_checked_as_a_file_is() -> None:
    with pytest.raises(ValidationError, match="not within"):
        StitchSection(length=4.0)
    with pytest.raises(ValidationError):
        TableSection(length=0, width=900)


def test_other_values_take_the_place_of_some_and_must_be_keys_of_the_section() -> None:
    stitch = StitchSection().replaced(longest=4.0, length=3.8)
    assert (stitch.length, stitch.shortest, stitch.longest) == (3.8, 3.0, 4.0)
    assert StitchSection() == StitchSection.left_out()
    with pytest.raises(TypeError, match="StitchSection has no lenght"):
        StitchSection().replaced(lenght=3.0)


@pytest.mark.parametrize("room", ["document", "materials", "runner", "sewing"])
def test_annotations_of_sections_are_objects_that_need_no_evaluating(room: str) -> None:
    """Evaluating the text of every annotation is a fair part of what a small job takes."""
    module = importlib.import_module(f"quiltpath.project.{room}_sections")
    models = [m for m in vars(module).values() if isinstance(m, type) and issubclass(m, Section)]
    written = [note for m in models for note in vars(m).get("__annotations__", {}).values()]
    assert written and not any(isinstance(note, str) for note in written)
