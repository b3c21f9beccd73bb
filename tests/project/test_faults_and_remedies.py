"""What is refused is told with what would be right, word by word."""

from __future__ import annotations

from pathlib import Path

import pytest

from quiltpath.errors import LONGEST_PART, InputError
from quiltpath.patterns.book import MAX_PATTERN_BYTES, PatternBook
from quiltpath.project import load, parse
from quiltpath.project.loading import MAX_DRAWING_BYTES, MAX_FILE_BYTES

PLAIN = 'units = "mm"\n[runner]\nlength = 1800\nwidth = 350\n'
LAYER = "[[quilting]]\nkind = "


def fault(text: str) -> str:
    with pytest.raises(InputError) as told:
        parse(text)
    return str(told.value)


FAULTS: list[tuple[str, str]] = [
    # Lengths and spacings.
    (
        "[backing]\nextra = [1]\n",
        "backing.extra: a list stands where one value is expected; write extra = 1",
    ),
    (
        "[backing]\nextra = -0.5\n",
        "backing.extra: -0.5 is below 0; give 0 or a length above it",
    ),
    ("[basting]\nat_a_go = 0\n", "basting.at_a_go: 0 is not a size; give a length above 0"),
    (
        '[basting]\nat_a_go = "101 m"\n',
        "basting.at_a_go: 101 m is more than 100 m; check the number and its unit",
    ),
    (
        '[print]\nbow = "-101 m"\n',
        "print.bow: -101 m is more than 100 m; check the number and its unit",
    ),
    (
        LAYER + '"straight"\nspacing = 0\n',
        'quilting[1].spacing: a spacing of 0 draws no lines; give one above 0, such as "1 in"',
    ),
    (
        LAYER + '"straight"\nspacing = 0.4\n',
        "quilting[1].spacing: a spacing of 0.4 is closer than stitches can be; give 0.5 mm up",
    ),
    (
        LAYER + '"straight"\nspacing = "about 101 m"\n',
        "quilting[1].spacing: a spacing of about 101 m is more than 100 m;"
        " check the number and its unit",
    ),
    # Figures that the remedy works out: half a wave, a quarter of a bar, the odd numbers.
    (
        LAYER + '"waves"\nwave = 100\nheight = 50.8\n',
        "quilting[1]: waves this steep are not gentle; give a height of 50 mm or less",
    ),
    (
        LAYER + '"bamboo"\njoint = "8 in"\nring = "3 in"\n',
        "quilting[1]: the joints are wider than the bars between; ring: 51 mm or less",
    ),
    (
        LAYER + '"basket-weave"\nlines = 6\n',
        "quilting[1]: with 6 lines a square does not end where the next begins; give 5 or 7",
    ),
    (
        LAYER + '"clamshells"\nsize = 12\n',
        "quilting[1]: size is too small for stitches of 3 mm; give 12.5 mm or more",
    ),
    (
        LAYER + '"spiral"\nspacing = 2\n',
        "quilting[1]: spacing is too small for stitches of 3 mm; give 3 mm or more",
    ),
    (
        LAYER + '"drawing"\nfile = "a.svg"\narrangement = "nested"\nrow = 90\n',
        "quilting[1]: nested drawings find their rows by themselves; take row out",
    ),
    # Blocks, panels, table.
    (
        "[grid]\nblock = [101.6, 50.8]\nsashing = 76.2\n",
        "grid: the sashing (76 mm) is wider than the block (51 mm);"
        " common practice is up to a quarter of the block",
    ),
    (
        "[grid]\nalong = 101\nacross = 20\n",
        "grid: 2,020 blocks are more than 2,000; give fewer blocks",
    ),
    (
        "[grid]\nprinted_along = [1, 2, 3]\nprinted_across = [1, 2]\n",
        "grid: printed_along has 3 positions; give two for each block: where it starts, ends",
    ),
    (
        "[grid]\nprinted_along = [1, 2]\nprinted_across = [3, 2]\n",
        "grid: printed_across does not rise from one position to the next; list them in order",
    ),
    (
        "[grid]\nprinted_along = [1, 2]\n",
        "grid: printed lines are measured one way only; give both lists of positions",
    ),
    (
        "[grid]\nprinted_along = [1, 2]\nprinted_across = [1, 2]\nblock = 9\n",
        "grid: block and printed_along are both given; keep one of them",
    ),
    (
        "[[panel]]\nsize = [900, 300]\nprinted = [800, 301]\n",
        "panel[1]: the print is larger than its cloth; measure size and printed again",
    ),
    (
        "[[panel]]\nsize = [900, 300]\nprinted = [800, 290]\nend_strip = 300\noverlap = 100\n",
        "panel[1]: the end strips take the whole print; measure end_strip again",
    ),
    # Shapes.
    (
        "[runner]\nlength = 1800\nwidth = 350\ncut = 9\n",
        'runner: cut is no measure of a rectangle runner; write shape = "clipped", or take it out',
    ),
    (
        '[runner]\nshape = "round"\nlength = 500\nwidth = 400\n',
        "runner: a round centre is as wide as long; leave width out",
    ),
    (
        "[runner]\nlength = 500\n",
        "runner: width is missing; give length and width, outline, or outline_svg",
    ),
    (
        '[runner]\nshape = "oval"\noutline = [[0, 0], [9, 0], [0, 9]]\n',
        "runner: an outline and a shape are both given; keep one of them",
    ),
    (
        '[runner]\noutline_svg = "a.svg"\noutline = [[0, 0], [9, 0], [0, 9]]\n',
        "runner: outline and outline_svg are both given; keep one of them",
    ),
    (
        '[runner]\noutline_svg = "a.svg"\nwidth = 9\n',
        "runner: an outline and a length or width are both given; keep one of them",
    ),
    # Prints, swatches, quilted.
    (
        "[print]\nbow = 0\n",
        "print: nothing is measured; give lengths, widths, diagonals, bow or points",
    ),
    (
        "[print]\nbow = 1\npoints = [[[0, 0], [1, 0]], [[0, 1], [1, 1]]]\n",
        "print: points and other measures are both given; keep one of them",
    ),
    (
        "[[swatch]]\ndensity = 9\nspacing = 9\nbefore = 9\nquilted = 9\n",
        "swatch[1]: a swatch has a density or a spacing; give one of the two",
    ),
    (
        "[quilted]\nwidths = [9]\n",
        "quilted: measured one way only; give lengths and widths",
    ),
    # Stitches and paper.
    (
        "[stitch]\nlength = 0.4\nshortest = 0.3\n",
        "stitch: stitches run from 0.5 to 12 mm; 3.2 mm is usual for quilting",
    ),
    (
        "[stitch]\nlength = 3.6\n",
        "stitch: the stitch length 3.6 mm is not within 3 to 3.5 mm;"
        " widen shortest and longest or change length",
    ),
    (
        "[paper]\nbar_up = 79.5\n",
        "paper: bar_up is 79.5 mm for a bar of 100 mm;"
        " measure the 100 mm square again; over a fifth is no printer's error",
    ),
    ("[paper]\noverlap = 1.5\n", "paper: an overlap of 1.5 mm; give 2 to 50 mm; 10 mm is usual"),
    ("[paper]\nmargin = 31\n", "paper: a printer's margin of 31 mm; give 30 mm or less"),
    # What else is made.
    ("[also]\nlook = 999\n", "also.look: 999 mm is not across a room; give 1 to 50 m"),
    ("[also.ask]\n", "also.ask: nothing is at hand; give thread, time or binding"),
    (
        '[also.ask]\ntime = "0 min"\n',
        'also.ask.time: \'0 min\' is not a time; write it as "2 h" or "90 min"',
    ),
    (
        '[also.ask]\ntime = "soon"\n',
        'also.ask.time: \'soon\' is not a time; write it as "2 h" or "90 min"',
    ),
    (
        "[also.ask]\ntime = 90\n",
        'also.ask.time: 90 is not a time; write it as "2 h" or "90 min"',
    ),
    (
        '[also.ask]\nthread = "0 m"\n',
        'also.ask.thread: \'0 m\' is no length of thread; write it as "90 m" or "100 yd"',
    ),
    (
        '[also.ask]\nthread = "90"\n',
        'also.ask.thread: the unit is missing; write it as "90 m" or "100 yd"',
    ),
    (
        "[also.ask]\nthread = 90\n",
        'also.ask.thread: 90 is no length of thread; write it as "90 m" or "100 yd"',
    ),
    # Keys and kinds.
    ("[paper]\nsheet = 9\n", "paper.sheet: there is no such key; did you mean 'sheets'?"),
    (
        "[top]\nzzz = 9\n",
        "top.zzz: there is no such key; use one of made, seam, grows, border_corners",
    ),
    (
        "[[swatch]]\ndensity = 9\nbefore = 9\n",
        "swatch[1].quilted: is missing; add it: quilted takes a list of two lengths,"
        ' or one for a square, such as ["10 in", "10 in"]',
    ),
    (
        "quilting = [3]\n[runner]\nlength = 1800\nwidth = 350\n",
        'quilting[1]: a layer is a table; begin it with [[quilting]] and kind = "straight"',
    ),
    (
        LAYER + "'straight'\npattern = 'plaid'\n",
        "quilting[1]: pattern and kind are both given; keep one of them",
    ),
]


@pytest.mark.parametrize(("text", "line"), FAULTS)
def test_a_fault_is_told_with_its_place_and_what_would_be_right(text: str, line: str) -> None:
    """Sizes in the remedies are reckoned by hand: half of 100 mm, a quarter of 8 in."""
    whole = 'units = "mm"\n' + text if "[runner]" in text else PLAIN + text
    assert fault(whole) == f"project: {line}"


@pytest.mark.parametrize(
    ("units", "block", "sashing"),
    [("mm", "51 mm", "76 mm"), ("cm", "51 mm", "76 mm"), ("in", "2 in (51 mm)", "3 in (76 mm)")],
)
def test_a_metric_file_is_answered_without_inches(units: str, block: str, sashing: str) -> None:
    """Inches are rounded to an eighth, so that millimetres stand beside them."""
    text = 'grid = { block = "50.8 mm", sashing = "76.2 mm" }\n'
    told = fault(f'units = "{units}"\nrunner = {{ length = "2 m", width = "300 mm" }}\n{text}')
    assert f"the sashing ({sashing}) is wider than the block ({block})" in told


@pytest.mark.parametrize("more", [0, 1])
def test_a_project_file_of_a_megabyte_is_read_and_no_more(more: int, tmp_path: Path) -> None:
    text = PLAIN.encode()
    path = tmp_path / "long.toml"
    path.write_bytes(text + b"#" * (MAX_FILE_BYTES - len(text) + more))
    if not more:
        assert load(path).runner.length == 1800
        return
    with pytest.raises(InputError) as told:
        load(path)
    assert str(told.value) == "long.toml: is larger than a megabyte; give a project file"


@pytest.mark.parametrize("more", [0, 1])
def test_a_drawing_of_five_megabytes_is_read_and_no_more(more: int, tmp_path: Path) -> None:
    (tmp_path / "leaf.svg").write_bytes(b" " * (MAX_DRAWING_BYTES + more))
    text = '[[motif]]\nname = "leaf"\nfile = "leaf.svg"\nsize = 50\nat = [90, 90]\n'
    if not more:
        read = parse(PLAIN + text, folder=tmp_path).drawing("leaf.svg")
        assert len(read) == MAX_DRAWING_BYTES == 5_000_000
        return
    with pytest.raises(InputError) as told:
        parse(PLAIN + text, folder=tmp_path)
    assert str(told.value) == (
        "project: motif[1].file: 'leaf.svg' is larger than 5 MB; simplify the drawing"
    )


@pytest.mark.parametrize("more", [0, 1])
def test_a_pattern_file_has_its_own_limit(more: int, tmp_path: Path) -> None:
    text = b'title = "Rows"\n[[layer]]\nkind = "straight"\n'
    path = tmp_path / "rows.toml"
    path.write_bytes(text + b"#" * (MAX_PATTERN_BYTES - len(text) + more))
    book = PatternBook((tmp_path,), "mine")
    if not more:
        assert book.find("rows").title == "Rows"
        return
    with pytest.raises(InputError) as told:
        book.find("rows")
    assert str(told.value) == "rows.toml: is too large for a pattern; keep only its layers"


def test_a_part_of_a_line_that_is_too_long_is_cut_in_its_middle() -> None:
    """400 characters are told whole, of more the first and the last 200."""
    whole, long = "a" * LONGEST_PART, "a" * 200 + "bc" + "d" * 199
    assert str(InputError(whole, "", whole, whole)) == f"{whole}: {whole}; {whole}"
    cut = "a" * 200 + " ... " + "c" + "d" * 199
    assert str(InputError("", long, "x", long)) == f"{cut}: x; {cut}"


def test_a_fault_is_told_from_further_out() -> None:
    """A section knows its key, the loader the table and the file."""
    inner = InputError("", "pattern", "there is none", "add one")
    assert str(inner.at("runner.toml", "quilting[2]")) == (
        "runner.toml: quilting[2].pattern: there is none; add one"
    )
    assert str(InputError("a.toml", "", "x").at("", "")) == "a.toml: x"
    assert str(InputError("a.toml", "", "x").at("b.toml", "top")) == "b.toml: top: x"


def test_what_would_steer_a_terminal_is_told_as_question_marks_on_one_line() -> None:
    assert str(InputError("a", "", "x\ny\t\x1b[2Jz")) == "a: x y ?[2Jz"
