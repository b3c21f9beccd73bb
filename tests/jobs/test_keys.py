"""The list of keys says what the model says: every key, an example that is read, a schema."""

from __future__ import annotations

import json
import tomllib
from html.parser import HTMLParser
from pathlib import Path
from typing import Annotated, Any

import pytest
from click.testing import CliRunner
from pydantic import TypeAdapter

from quiltpath.cli import main
from quiltpath.jobs.keys import PAGE, SCHEMA, keys_as_page, keys_as_text
from quiltpath.patterns.kinds import KINDS
from quiltpath.project.editor_schema import editor_schema
from quiltpath.project.key_list import SectionFacts, all_sections
from quiltpath.project.loading import starter_text
from quiltpath.project.project_file import Project
from quiltpath.schema import Section
from tests.fuzz.stock_phrases import stock_phrases_in

SAMPLES = Path(__file__).parents[2] / "samples"
EVERYTHING = all_sections()


def model_of(facts: SectionFacts) -> type[Section]:
    """The model of a section by its own way through the annotations."""
    if facts.heading.startswith("[[quilting]]"):
        return KINDS[facts.name.partition(".")[2]].model
    model: Any = Project
    for part in facts.name.split(".") if facts.name else ():
        annotation = model.model_fields[part].annotation
        options = (annotation, *getattr(annotation, "__args__", ()))
        model = next(x for x in options if isinstance(x, type) and issubclass(x, Section))
    return model  # type: ignore[no-any-return]


@pytest.mark.parametrize("facts", EVERYTHING, ids=lambda facts: facts.name or "top")
def test_every_key_has_a_meaning_and_an_example_that_is_read(facts: SectionFacts) -> None:
    model = model_of(facts)
    for fact in facts.keys:
        assert fact.meaning and fact.takes, fact.key
        assert not fact.meaning.startswith("mm"), "a file gives a length its own unit"
        assert stock_phrases_in(f"{fact.meaning} {fact.takes}") == []
        field = model.model_fields[fact.key]
        kind: Any = Annotated[(field.annotation, *field.metadata)] if field.metadata else None
        value = tomllib.loads(fact.example)[fact.key]
        if fact.key != "at":  # one point stands for a list of one
            TypeAdapter(kind or field.annotation).validate_python(value, context={"units": "in"})


def test_no_key_is_left_out() -> None:
    for facts in EVERYTHING:
        tables = {each.name for each in EVERYTHING}
        listed = {fact.key for fact in facts.keys}
        for key in set(model_of(facts).model_fields) - listed:
            name = f"{facts.name}.{key}" if facts.name else key
            assert name in tables or key == "quilting", name
    assert len({facts.name for facts in EVERYTHING}) == len(EVERYTHING)


@pytest.mark.parametrize(
    ("section", "held"),
    [
        ("grid", ("[grid]", "Takes a whole number from 1 to 500. Left out, it is 1.")),
        ("[motif]", ("[[motif]]", "It must be there.")),
        ("stitch", ("corner", "in degrees", "above 0 to below 180")),
        ("fans", ('[[quilting]] with kind = "fans"', "how many arcs")),
        ("wadding", ("how much larger than the top all round", 'extra = "3 in"')),
    ],
)
def test_a_section_is_printed_by_its_name(section: str, held: tuple[str, ...]) -> None:
    text = keys_as_text(section)
    assert all(part in text for part in held), text
    assert max(map(len, text.splitlines())) <= 100


def test_a_section_that_is_not_there_is_told_in_one_line() -> None:
    answer = CliRunner().invoke(main, ["keys", "gird"])
    assert answer.exit_code == 2
    assert answer.output == "keys: there is no section 'gird'; did you mean grid?\n"


class _Ids(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.ids: set[str] = set()
        self.targets: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.ids |= {str(found["id"])} if "id" in found else set()
        self.targets |= {str(found["href"])[1:]} if "href" in found else set()


def test_the_page_links_to_every_section_and_needs_nothing_else() -> None:
    page = _Ids()
    page.feed(keys_as_page())
    assert page.targets == page.ids and len(page.ids) == len(EVERYTHING)
    assert "http" not in keys_as_page()


def test_both_files_are_written_with_out(tmp_path: Path) -> None:
    answer = CliRunner().invoke(main, ["keys", "--out", str(tmp_path / "keys")])
    assert answer.exit_code == 0, answer.output
    assert (tmp_path / "keys" / PAGE).read_text(encoding="utf-8") == keys_as_page()
    assert json.loads((tmp_path / "keys" / SCHEMA).read_text(encoding="utf-8")) == editor_schema()


def test_the_schema_takes_the_samples_and_refuses_what_the_model_refuses() -> None:
    """Read by the reference library of JSON Schema for Python."""
    jsonschema = pytest.importorskip("jsonschema")
    jsonschema.Draft202012Validator.check_schema(editor_schema())
    reader = jsonschema.Draft202012Validator(editor_schema())
    files = sorted(SAMPLES.glob("*/runner.toml"))
    assert len(files) >= 5
    for text in [starter_text(), *(file.read_text(encoding="utf-8") for file in files)]:
        assert list(reader.iter_errors(tomllib.loads(text))) == []
    for wrong in (
        "[runner]\nlenght = 3",
        '[[quilting]]\nkind = "straight"\nspacin = 3',
        '[[quilting]]\nkind = "strait"',
        '[grid]\nalong = "six"',
        '[binding]\nfold = "x"',
    ):
        assert list(reader.iter_errors(tomllib.loads(wrong))) != [], wrong
