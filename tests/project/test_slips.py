"""The commonest mistakes of the hand are answered in one line, with the line as it should be.

What should stand there is written by hand from TOML 1.0 (text between quotation marks, lists
between brackets, a decimal point) and from how lengths are written at a sewing table.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.project import parse
from quiltpath.units import parse_length

SIZE = 'units = "in"\n[runner]\nlength = 72\nwidth = 14\n'

NO_TOML: list[tuple[str, str]] = [
    ("length = 72 in", 'length = "72 in"'),
    ("length = 1 1/4 in", 'length = "1 1/4 in"'),
    ("length = 6 ft", 'length = "6 ft"'),
    ("length = 30cm # measured", 'length = "30cm"'),
    ("spacing = about 1 in", 'spacing = "about 1 in"'),
    ("title = My runner", 'title = "My runner"'),
    ("title = Anna's runner", 'title = "Anna\'s runner"'),
    ('title = "My runner', 'title = "My runner"'),
    ("length = \u201c72 in\u201d", 'length = "72 in"'),
    ("length = \u2018\u201872 in\u2019\u2019", 'length = "72 in"'),
    ('length = "72""', 'length = "72 in"'),
    ("length = 72''", 'length = "72 in"'),
    ('length = 72"', 'length = "72 in"'),
    ('length = 2 1/2" # or so', 'length = "2 1/2 in"'),
    ("length = 6' 2\"", 'length = "6 ft 2 in"'),
    ("length = 72,5", "length = 72.5"),
    ("length = 72,5 cm", 'length = "72.5 cm"'),
    ("size = 44 x 11 in", 'size = "44 x 11 in"'),
    ("length: 72 in", 'length = "72 in"'),
    ("length 72 in", 'length = "72 in"'),
    ('outer sashing = "1 in"', 'outer_sashing = "1 in"'),
    ("cornerstones = yes", "cornerstones = true"),
    ("cornerstones = True", "cornerstones = true"),
    ("blocks = A1, C1", 'blocks = ["A1", "C1"]'),
    ('blocks = "A1", "C1"', 'blocks = ["A1", "C1"]'),
    ("blocks = [A1, C1]", 'blocks = ["A1", "C1"]'),
    ('blocks = ["A1", "C1"', 'blocks = ["A1", "C1"]'),
    ("at = (10, 7)", "at = [10, 7]"),
    ("[runner", "[runner]"),
    ("[[quilting]", "[[quilting]]"),
    ('length = "72 in";', 'length = "72 in"'),
    ('length = "72 in" finished', 'length = "72 in"'),
]


@pytest.mark.parametrize(("written", "mended"), NO_TOML)
def test_a_line_that_is_no_toml_is_told_as_it_should_be(written: str, mended: str) -> None:
    with pytest.raises(InputError) as told:
        parse(f'title = "Supper"\n{written}\n[grid]\nalong = 6\n')
    assert str(told.value).startswith("project: line 2: ")
    assert str(told.value).endswith(f"; write {mended}")


TWICE: list[tuple[str, str]] = [
    (
        "[grid]\nalong = 6\n" + SIZE.replace('units = "in"', "") + "[grid]\nacross = 2\n",
        "line 7: the section grid stands twice, on lines 1 and 7;"
        " put the keys of both under one [grid]",
    ),
    (
        '[motif]\nname = "a"\n[motif]\nname = "b"\n',
        "line 3: the section motif stands twice, on lines 1 and 3;"
        " write [[motif]] each time where there are several",
    ),
    (
        "[runner]\nlength = 72\nwidth = 14\nlength = 70\n",
        "line 4: length stands twice, on lines 2 and 4; keep one of them",
    ),
]


@pytest.mark.parametrize(("text", "line"), TWICE)
def test_what_stands_twice_is_told_with_both_lines(text: str, line: str) -> None:
    with pytest.raises(InputError) as told:
        parse(text)
    assert str(told.value) == f"project: {line}"


REFUSED: list[tuple[str, str]] = [
    # A list where one is expected, one where a list is.
    (
        '[backing]\nextra = ["4 in"]\n',
        'backing.extra: a list stands where one value is expected; write extra = "4 in"',
    ),
    (
        '[machine]\nformats = "dst, pes"\n',
        'machine.formats: "dst, pes" is not what formats takes; write formats = ["dst", "pes"]',
    ),
    (
        '[[swatch]]\ndensity = 9\nbefore = "10 x 12 in"\nquilted = 9\n',
        'swatch[1].before: \'10 x 12 in\' is not a length; write before = ["10 in", "12 in"]',
    ),
    (
        '[backing]\nextra = "4,5 in"\n',
        "backing.extra: '4,5 in' is not a length; write extra = \"4.5 in\"",
    ),
    (
        '[backing]\nextra = "1,000 mm"\n',
        "backing.extra: '1,000 mm' is not a length; write extra = \"1000 mm\"",
    ),
    (
        '[[quilting]]\nkind = "straight"\nspacing = "about 1,5 in"\n',
        "quilting[1].spacing: '1,5 in' is not a length; write spacing = \"about 1.5 in\"",
    ),
    # Tables.
    ('[motif]\nname = "a"\n', "motif: a table is not a list of tables; begin each with [[motif]]"),
    ("[[grid]]\nalong = 6\n", "grid: stands there as a list; begin it with [grid], once"),
    ('grid = "6 x 1"\n', 'grid: "6 x 1" is not a table; begin it with [grid]'),
    # Words and numbers.
    ('[binding]\nfold = "doubled"\n', 'binding.fold: "doubled" is no word for fold; write fold ='),
    ('[stitch]\ncorner = "30 deg"\n', 'stitch.corner: "30 deg" is not what corner takes; write'),
    ("[grid]\nalong = 2.5\n", "grid.along: 2.5 is not what along takes; along takes a whole"),
    ("[grid]\nalong = 600\n", "grid.along: 600 is too large; along takes a whole number from 1 to"),
    ('[grid]\nalong = ""\n', 'grid.along: "" is not what along takes; along takes a whole number'),
    (
        '[runner]\nlength = 72\nwidth = 14\npanel_join = "middle"\n',
        'runner.panel_join: "middle" is no word for panel_join; panel_join takes one of "none", ',
    ),
    # The misspelt key, not what it leaves behind.
    (
        '[[motif]]\nname = "a"\nfile = "a.svg"\nsize = 3\nblock = "all"\n',
        "motif[1].block: there is no such key; did you mean 'blocks'?",
    ),
    (
        '[[quilting]]\nkind = "clamshells"\nspacing = "2 in"\n',
        "quilting[1].spacing: there is no such key; for this kind write size",
    ),
    ("[stitch]\ndrop = 3\n", "stitch.drop: there is no such key; it belongs under [table]"),
]


@pytest.mark.parametrize(("text", "line"), REFUSED)
def test_a_value_of_the_wrong_sort_is_told_as_it_should_be(text: str, line: str) -> None:
    whole = 'units = "in"\n' + text if "[runner]" in text or "\n" not in text else SIZE + text
    with pytest.raises(InputError) as told:
        parse('units = "in"\n' + text + SIZE[13:] if text.startswith("grid =") else whole)
    assert str(told.value).startswith(f"project: {line}")


@pytest.mark.parametrize(
    ("table", "line"),
    [
        ('length = "60 hands"\nwidth = 40', "table.length: 'hands' is not a unit of length; use"),
        ("width = 40", "table.length: is missing; add it: length takes a length above 0"),
        ("lenght = 60\nwidth = 40", "table.lenght: there is no such key; did you mean 'length'?"),
        ("length = 60\nwidth = -1", "table.width: -1 is not a size; give a length above 0"),
    ],
)
def test_a_fault_of_the_table_is_told_there(table: str, line: str) -> None:
    """Not as the runner's length, which would have followed from it."""
    with pytest.raises(InputError) as told:
        parse(f'units = "in"\n[table]\n{table}\n[runner]\nmargin = 3\n')
    assert str(told.value).startswith(f"project: {line}")


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("72''", 72 * 25.4),
        ("72\u201d", 72 * 25.4),
        ("6'", 6 * 304.8),
        ("6' 2\"", 74 * 25.4),
        ("6 ft 2 1/2 in", 74.5 * 25.4),
        ("5 feet", 5 * 304.8),
        ("3 millimeters", 3.0),
        ("3 centimetres", 30.0),
    ],
)
def test_lengths_as_people_write_them(written: str, mm: float) -> None:
    """One inch is 25.4 mm, one foot 304.8 mm (international yard and pound agreement, 1959)."""
    assert parse_length(written) == pytest.approx(mm)


def test_inches_of_a_foot_are_fewer_than_twelve() -> None:
    with pytest.raises(ValueError, match="fewer than 12"):
        parse_length("6 ft 14 in")


def test_us_and_uk_words_and_other_names_are_understood() -> None:
    """Batting is wadding, center is centre, miter is mitre (common practice)."""
    project = parse(
        'units = "in"\n[runner]\nlength = 72\nwidth = 14\npanel_join = "Center"\n'
        '[batting]\nkind = "cotton 80/20"\n'
        '[binding]\nmiter = "1/4 in"\n'
        '[machine]\norder = "center out"\n'
        '[[fabric]]\nname = "blue"\nuse = ["batting", "Outer-Sashing"]\n'
        '[[quilting]]\npattern = "Stitch in the ditch"\n'
        '[[quilting]]\nkind = "Straight"\nanchor = "center"\n'
    )
    assert project.runner.panel_join == "centre"
    assert project.wadding.kind == "cotton 80/20"
    assert project.binding.mitre == pytest.approx(6.35)
    assert project.machine.order == "centre-out"
    assert project.cloth[0].uses == ("wadding", "outer sashing")
    assert [layer.kind for layer in project.quilting] == ["sashing", "straight"]


def test_a_fault_is_told_by_the_word_that_was_written() -> None:
    with pytest.raises(InputError) as told:
        parse(SIZE + '[batting]\nlimit = "4 hands"\n')
    assert str(told.value).startswith("project: batting.limit: 'hands' is not a unit")


def test_both_words_for_one_section_are_not_laid_over_each_other() -> None:
    with pytest.raises(InputError, match="batting: there is no such key"):
        parse(SIZE + "[wadding]\nlimit = 4\n[batting]\nlimit = 3\n")


def test_a_slip_is_answered_by_the_command_and_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "runner.toml").write_text("[runner]\nlength = 72 in\n", encoding="utf-8")
    path = str(tmp_path / "runner.toml")
    answer = CliRunner().invoke(main, ["make", path, "--out", str(tmp_path / "out")])
    assert answer.exit_code == 2
    assert answer.output == (
        "runner.toml: line 2: text and lengths stand between quotation marks;"
        ' write length = "72 in"\n'
    )
    assert [each.name for each in tmp_path.iterdir()] == ["runner.toml"]
