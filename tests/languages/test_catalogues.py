"""Each catalogue has every sentence, no other, and the same places in it; no sentence is built.

Read by babel's own reader and checker, which know the format from the GNU gettext manual.
"""

from __future__ import annotations

import ast
import re
import string
from typing import get_args

import pytest
from babel import Locale
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

from quiltpath.language import (
    FOLDER,
    Language,
    numerals,
    say,
    say_count,
    say_known,
    say_list,
    speaking,
)
from quiltpath.units import Measures, both_units, say_in_units
from tests.languages.sentences import PACKAGE, SENTENCES, calls, catalogue, sentences

OTHERS = [language for language in get_args(Language) if language != "en"]


def places(text: str) -> list[str]:
    """The places of a sentence with how numbers are written in them."""
    parts = string.Formatter().parse(text)
    return sorted(f"{name}:{spec}" for _, name, spec, _ in parts if name is not None)


def edges(text: str) -> tuple[bool, bool]:
    return text[:1] == " ", text[-1:] == " "


def test_there_is_a_file_for_each_language_that_a_project_can_name_and_no_other() -> None:
    assert {path.stem for path in FOLDER.glob("*.po")} == set(OTHERS)


def test_every_sentence_is_written_out_where_it_is_said() -> None:
    """A catalogue finds it by its English, so that it is no variable and no f-string."""
    built = [
        f"{path.name}:{call.lineno}"
        for path in sorted(PACKAGE.rglob("*.py"))
        if path.name != "language.py"
        for name, call in calls(path)
        if name in SENTENCES
        and not (isinstance(call.args[0], ast.Constant) and isinstance(call.args[0].value, str))
    ]
    assert built == []


@pytest.mark.parametrize("language", OTHERS)
def test_it_has_every_sentence_and_no_other(language: str) -> None:
    known = {sentence.key for sentence in sentences()}
    assert known - catalogue(language).keys() == set()
    assert catalogue(language).keys() - known == set()


@pytest.mark.parametrize("language", OTHERS)
def test_each_has_the_places_and_the_edges_of_its_english(language: str) -> None:
    for key, said in catalogue(language).items():
        pairs = zip(key, said, strict=True) if isinstance(key, tuple) else [(key, str(said))]
        for english, own in pairs:
            assert own.strip(), english
            assert places(own) == places(english), own
            assert edges(own) == edges(english), own
            if english[-1] in ".:":
                assert own[-1] == english[-1], own


@pytest.mark.parametrize("language", OTHERS)
def test_none_is_doubtful_and_babel_finds_nothing_wrong(language: str) -> None:
    with (FOLDER / f"{language}.po").open("rb") as file:
        read: Catalog = read_po(file, locale=language, abort_invalid=True)
    assert [entry.id for entry in read if entry.id and entry.fuzzy] == []
    assert [faults for _, faults in read.check()] == []


@pytest.mark.parametrize("language", OTHERS)
def test_it_can_be_printed_in_the_letters_of_any_pdf_reader(language: str) -> None:
    """WinAnsi (ISO 32000-1, annex D), which Python calls cp1252."""
    for said in catalogue(language).values():
        for text in said if isinstance(said, tuple) else (said,):
            assert text.encode("cp1252").decode("cp1252") == text


@pytest.mark.parametrize("language", OTHERS)
def test_a_caution_is_no_shorter_than_by_a_third(language: str) -> None:
    """What can hurt is said in full: these are the sentences of the boxes and of the sheets."""
    danger = re.compile(r"needle|blade|iron|flame|flammable|caution|hands|pins out|breathe", re.I)
    own = catalogue(language)
    for key, said in own.items():
        if isinstance(key, str) and danger.search(key) and len(key) > 40:
            assert len(str(said)) > 2 / 3 * len(key), said


@pytest.mark.parametrize("language", OTHERS)
def test_numbers_have_the_marks_of_the_country(language: str) -> None:
    """Decimal comma in all three (CLDR); ISO 31-0 has a space before a unit's sign."""
    assert Locale(language).number_symbols["latn"]["decimal"] == ","
    with speaking(language):  # type: ignore[arg-type]
        assert numerals("12.5") == "12,5"
        assert Measures("metric").cut(12.5) == "12,5 mm"
        assert "32,8" in say("{metres:.1f} m of line", metres=32.8)
        assert say("{share:.0%}", share=0.1) == "10\N{NO-BREAK SPACE}%"
        assert re.fullmatch(r"10[.\N{NO-BREAK SPACE}]343", say("{stitches:,}", stitches=10343))


@pytest.mark.parametrize("language", OTHERS)
def test_lengths_in_both_units_are_brought_to_one_as_in_english(language: str) -> None:
    with speaking(language):  # type: ignore[arg-type]
        both, inches = both_units(12.5, 16), Measures("inches").fine(12.5)
        for text in (both, f"({both})", f"x {both} y"):
            assert say_in_units(text, "metric") == text.replace(both, "12,5 mm")
            assert say_in_units(text, "inches") == text.replace(both, inches)
        ranged = say(
            "By hand: begin 3/8 to 3/4 in (10 to 20 mm) before the place where you stopped, in the"
            " old stitches. From a file: begin at the last checkpoint that was passed ({which});"
            " 'quiltpath resume{option}' writes that file.",
            which="c1",
            option="",
        )
    assert "3/8" not in say_in_units(ranged, "metric")
    assert " mm" not in say_in_units(ranged, "inches")


def test_one_and_several_are_told_apart_as_each_language_does() -> None:
    """CLDR: French counts nothing as one, the others as several."""
    found = {}
    for language in ("en", *OTHERS):
        with speaking(language):  # type: ignore[arg-type]
            found[language] = [say_count(n, "strip", "strips").split()[1] for n in (0, 1, 2, 21)]
    assert found["en"] == ["strips", "strip", "strips", "strips"]
    assert found["de"] == ["Streifen"] * 4
    for language in {"fr"} & set(OTHERS):
        assert found[language] == ["bande", "bande", "bandes", "bandes"]
    for language in {"es"} & set(OTHERS):
        assert found[language] == ["tiras", "tira", "tiras", "tiras"]


def test_lists_end_as_each_language_ends_them() -> None:
    ends = {"en": "a, b and c", "de": "a, b und c", "fr": "a, b et c", "es": "a, b y c"}
    for language in ("en", *OTHERS):
        with speaking(language):  # type: ignore[arg-type]
            assert say_list(["a", "b", "c"]) == ends[language]


def test_a_person_s_own_words_stay_and_so_do_numbers_behind_ours() -> None:
    with speaking("de"):
        assert say_known("Ripples") == "Ripples"
        assert say_known("Cable 2") == "Zopf 2"
        assert say_known("sashing B") == "Zwischenstreifen B"
    assert say_known("Cable 2") == "Cable 2"
