"""The language that a document speaks: its sentences, plurals, lists and numbers.

The English sentence stands where it is said, with named places for what differs; the other
languages are catalogues beside it (``quiltpath/languages/*.po``), found by that sentence. Whoever
writes a document says once in which language (:func:`speaking`); outside of that, on the screen and
in the report, everything is English. Plural rules, list patterns and decimal marks are those of
CLDR, read only where another language is spoken.
"""

from __future__ import annotations

import string
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path
from typing import Any, Literal

Language = Literal["en", "de", "fr", "es"]

_SPOKEN: ContextVar[Language] = ContextVar("language", default="en")

FOLDER = Path(__file__).with_name("languages")


@contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Within it sentences, plurals, lists and numbers are those of ``language``.

    Example:
        >>> with speaking("de"):
        ...     say("Measure the table: {table}.", table="86 cm")
        'Den Tisch messen: 86 cm.'
    """
    before = _SPOKEN.set(language)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def message(text: str) -> str:
    """``text`` as it is: marks what :func:`say_known` or :func:`say_filled` says later."""
    return text


def messages(one: str, many: str) -> tuple[str, str]:
    """Both as they are: marks a word for one and for several that is counted later."""
    return one, many


def html_language() -> str:
    """The language as a web page names it (BCP 47)."""
    language = _SPOKEN.get()
    return "en-GB" if language == "en" else language


def say(sentence: str, /, **given: object) -> str:
    """A sentence in the language that is spoken, with what is given in its named places.

    Args:
        sentence: the English sentence, written out where it is said.
        given: what stands in its places; numbers get the language's own marks.

    Returns:
        The sentence; English where the language has none, which a test keeps from happening.
    """
    language = _SPOKEN.get()
    if language == "en":
        return sentence.format(**given) if given else sentence
    own = _catalogue(language)
    said = own.sentences.get(sentence, sentence)
    return _Places(own).filled(said, given) if given else said


def say_filled(marked: str, /, **given: object) -> str:
    """A sentence that stands elsewhere as a :func:`message`, as :func:`say` says it."""
    return say(marked, **given)


def say_known(text: str) -> str:
    """A word that a lower room gave, in the language that is spoken; a person's own stays.

    A number or letter behind it stays as well: ``"sashing 7"``.
    """
    language = _SPOKEN.get()
    if language == "en":
        return text
    known = _catalogue(language).sentences
    head, _, mark = text.rpartition(" ")
    if text not in known and head in known and (mark.isdecimal() or len(mark) == 1):
        return f"{known[head]} {mark}"
    return known.get(text, text)


def say_count(number: int, one: str, many: str) -> str:
    """The number with ``one`` or ``many`` behind it, as the language asks: ``"6 strips"``."""
    language = _SPOKEN.get()
    if language == "en":
        return f"{number} {one if number == 1 else many}"
    return f"{number} {_catalogue(language).counted(number, one, many)}"


def with_a_capital(said: str) -> str:
    """Words as a sentence begins with them; the rest of them stays as it is."""
    return said[:1].upper() + said[1:]


def say_list(parts: Sequence[str]) -> str:
    """``"a, b and c"``."""
    if _SPOKEN.get() == "en":
        return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
    from babel.lists import format_list

    return format_list(parts, locale=_SPOKEN.get())


def numerals(written: str) -> str:
    """A number that is written in English, with the marks of the language that is spoken."""
    language = _SPOKEN.get()
    return written if language == "en" else written.translate(_catalogue(language).marks)


class _Catalogue:
    """One language: its sentences by the English ones, its plurals and the marks of its numbers."""

    def __init__(self, language: Language) -> None:
        from babel import Locale
        from babel.messages.pofile import read_po
        from babel.numbers import get_decimal_symbol, get_group_symbol

        with (FOLDER / f"{language}.po").open("rb") as file:
            entries = [entry for entry in read_po(file, locale=language) if entry.id]
        self._locale = Locale(language)
        self._plurals: dict[Any, Any] = {e.id: e.string for e in entries if e.pluralizable}
        self.sentences = {one: forms[0] for (one, _), forms in self._plurals.items()}
        self.sentences |= {str(e.id): str(e.string) for e in entries if not e.pluralizable}
        group = get_group_symbol(language).replace(NARROW_SPACE, SPACE)
        self.marks = str.maketrans({".": get_decimal_symbol(language), ",": group})
        self.percent = (
            self._locale.percent_formats[None].pattern.lstrip("#,0").replace(NARROW_SPACE, SPACE)
        )

    def counted(self, number: int, one: str, many: str) -> str:
        """The word as the number asks for it, by the rules of CLDR."""
        forms: tuple[str, str] = self._plurals.get((one, many), (one, many))
        return forms[0 if self._locale.plural_form(number) == "one" else 1]


NARROW_SPACE, SPACE = "\N{NARROW NO-BREAK SPACE}", "\N{NO-BREAK SPACE}"
"""The first is in no printer's own fonts."""


@cache
def _catalogue(language: Language) -> _Catalogue:
    return _Catalogue(language)


class _Places(string.Formatter):
    """Fills places; what is given as a number is written with the language's marks."""

    def __init__(self, own: _Catalogue) -> None:
        self._own = own

    def filled(self, sentence: str, given: Mapping[str, Any]) -> str:
        """The sentence with what is given in its places."""
        return self.vformat(sentence, (), given)

    def format_field(self, value: Any, format_spec: str) -> str:
        written = format(value, format_spec)
        if isinstance(value, str):
            return written
        return written.translate(self._own.marks).replace("%", self._own.percent)
