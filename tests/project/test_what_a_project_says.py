"""What follows from a project's keys: distances of patterns, files that are named, own patterns."""

from __future__ import annotations

from pathlib import Path

import pytest

from quiltpath.errors import InputError
from quiltpath.patterns.book import PatternBook, drawn_pattern, read_pattern, shipped_folder
from quiltpath.patterns.layer import Layer
from quiltpath.project import Project, parse

PLAIN = 'units = "mm"\n[runner]\nlength = 1800\nwidth = 350\n'
LEAF = '[[motif]]\nname = "leaf"\nfile = "leaf.svg"\nsize = 50\nat = [90, 90]\n'
TRACED = '[[motif]]\nname = "pear"\nat = [9, 9]\noutline = [[0, 0], [9, 0], [0, 9]]\n'

NO_LAYERS = "layer: the pattern has no layers; add a [[layer]] table"


def layer(kind: str, keys: str = "") -> Layer:
    (only,) = parse(f'{PLAIN}[[quilting]]\nkind = "{kind}"\n{keys}').quilting
    return only


@pytest.mark.parametrize(
    ("kind", "keys", "apart"),
    [
        ("fans", "size = 120\narcs = 4\n", 15),  # half a fan of 120 mm by four arcs
        ("nested-hexagons", "size = 100\nrings = 1\n", 43),  # half of 0.87 of it across flats
        ("nested-hexagons", "size = 100\nrings = 2\n", 21.5),
        ("basket-weave", "size = 75\nlines = 5\n", 15),
        ("switchback", "spacing = 20\n", 20),
        ("clamshells", "size = 90\n", 20),  # four lines and a half across a shell
        ("overlapping-circles", "size = 145\n", 10),
        ("cable", "repeat = 80\n", 20),
        ("radiating", "middle = 30\n", 30),
    ],
)
def test_how_far_apart_the_lines_of_a_pattern_lie(kind: str, keys: str, apart: float) -> None:
    assert layer(kind, keys).apart_mm == pytest.approx(apart)  # type: ignore[attr-defined]


@pytest.mark.parametrize("arrangement", ["nested", "fitted"])
def test_drawings_that_find_their_rows_take_none(arrangement: str, tmp_path: Path) -> None:
    (tmp_path / "loop.svg").write_text("<svg/>")
    text = f'{PLAIN}[[quilting]]\nkind = "drawing"\nfile = "loop.svg"\narrangement = '
    assert parse(f'{text}"{arrangement}"\n', folder=tmp_path).quilting
    assert parse(f'{text}"brick"\nrow = 90\n', folder=tmp_path).quilting
    with pytest.raises(InputError, match="take row out"):
        parse(f'{text}"{arrangement}"\nrow = 90\n', folder=tmp_path)
    with pytest.raises(InputError, match=r"quilting\[1\]\.file"):
        parse(f'{PLAIN}[[quilting]]\nkind = "drawing"\nfile = ""\n', folder=tmp_path)


def named(text: str, folder: Path) -> tuple[tuple[str, str], ...]:
    return parse(text, folder=folder).named_drawings


def test_every_file_that_is_named_is_read_once_and_kept(tmp_path: Path) -> None:
    """Counted from one, as entries are told, whether or not those before name a file."""
    for name in ("edge.svg", "leaf.svg", "loop.svg", "own.toml"):
        (tmp_path / name).write_text(f"<{name}>")
    outline = 'units = "mm"\n[runner]\noutline_svg = "edge.svg"\n'
    loop = '[[quilting]]\nkind = "drawing"\nfile = "loop.svg"\n'
    text = outline + TRACED + LEAF + '[[quilting]]\nkind = "straight"\n' + loop
    text += '[machine]\nprofile = "own.toml"\n'
    project = parse(text, folder=tmp_path)
    assert project.named_drawings == (
        ("runner.outline_svg", "edge.svg"),
        ("motif[2].file", "leaf.svg"),
        ("quilting[2].file", "loop.svg"),
        ("machine.profile", "own.toml"),
    )
    assert project.drawing("leaf.svg") == b"<leaf.svg>"
    assert project.quilting[1].svg == b"<loop.svg>"  # type: ignore[attr-defined]
    assert parse(PLAIN).named_drawings == ()


@pytest.mark.parametrize(
    ("machine", "formats", "own"),
    [
        ("", ("dst", "pes"), None),
        ('formats = ["exp"]\n', ("exp",), None),
        ('profile = "a frame"\n', (), None),
        ('profile = "a frame"\nformats = ["exp"]\n', ("exp",), None),
        ('profile = "frame.toml"\n', (), "frame.toml"),
    ],
)
def test_a_profile_chooses_the_formats_unless_the_project_does(
    machine: str, formats: tuple[str, ...], own: str | None, tmp_path: Path
) -> None:
    (tmp_path / "frame.toml").write_text("")
    section = parse(f"{PLAIN}[machine]\n{machine}", folder=tmp_path).machine
    assert (section.asked_formats, section.own_profile) == (formats, own)


@pytest.mark.parametrize(
    "asked",
    [
        'look = "4 m"',
        'sizes = ["72 x 36 in"]',
        "nest = { width = 900 }",
        'ask = { time = "2 h" }',
        "resume = [3]",
    ],
)
def test_any_one_thing_is_something_asked_for(asked: str) -> None:
    assert parse(f"{PLAIN}[also]\n{asked}\n").also.asked
    assert not parse(f"{PLAIN}[also]\n").also.asked


@pytest.mark.parametrize("given", ['thread = "90 m"', 'time = "2 h"', "binding = 300"])
def test_one_thing_at_hand_is_enough(given: str) -> None:
    asked = parse(f"{PLAIN}[also.ask]\n{given}\n").also.ask
    assert asked is not None
    assert (asked.thread, asked.time, asked.binding).count(None) == 2


def test_thread_and_time_at_hand_are_metres_and_minutes() -> None:
    """100 yards are 91.44 m (1959 agreement), an hour and a half 90 minutes."""
    asked = parse(f'{PLAIN}[also.ask]\nthread = "100 yd"\ntime = "1.5 h"\n').also.ask
    assert asked is not None
    assert asked.thread == pytest.approx(91.44) and asked.time == 90
    nest = parse(f"{PLAIN}[also.nest]\nwidth = 900\n").also.nest
    assert nest is not None
    assert (nest.copies, nest.turns) == (2, True)
    assert nest.apart == pytest.approx(4 * 25.4)


def test_places_of_a_motif_are_one_point_or_many() -> None:
    def places(at: str) -> tuple[tuple[float, float], ...]:
        return parse(PLAIN + TRACED.replace("[9, 9]", at)).motif[0].at

    assert places("[9, 8]") == ((9, 8),)
    assert places("[[9, 8]]") == ((9, 8),)
    assert places("[[9, 8], [7, 6]]") == ((9, 8), (7, 6))


def test_an_offset_is_from_the_middle_of_a_block() -> None:
    grid = "[grid]\nblock = 90\n"
    text = TRACED.replace("at = [9, 9]", 'blocks = "all"\noffset = [1, 0]')
    assert parse(PLAIN + grid + text).motif[0].offset == (1, 0)
    with pytest.raises(InputError, match="offset is from the middle of a block"):
        parse(PLAIN + grid + TRACED + "offset = [0, 1]\n")
    assert parse(PLAIN + grid + TRACED + "offset = [0, 0]\n").motif[0].offset == (0, 0)


@pytest.mark.parametrize(
    ("keys", "density"),
    [("density = 40", 40), ("spacing = 50", 20), ("spacing = 50\ncrossed = true", 40)],
)
def test_lines_so_far_apart_are_so_many_metres_on_a_square_metre(keys: str, density: float) -> None:
    """Twenty lines of a metre, 50 mm apart, lie on a square metre; as many again across."""
    (sample,) = parse(f"{PLAIN}[[swatch]]\n{keys}\nbefore = 300\nquilted = [295, 290]\n").swatch
    assert sample.m_per_m2 == pytest.approx(density)
    assert (sample.before, sample.quilted) == ((300, 300), (295, 290))


def test_a_control_character_is_told_by_the_key_that_holds_it() -> None:
    """Keys within tables by their path, entries of a list counted from one."""
    for text, key in (
        ('title = "a\\u0007"\n', "title"),
        ('[stock]\nx = { y = "\\u202e" }\n', "stock.x.y"),
        ('sheets = ["a", "b\\u0000"]\n', "sheets[2]"),
        ('x = [["a\\u009f"]]\n', "x[1][1]"),
    ):
        with pytest.raises(InputError) as told:
            parse(text)
        line = f"project: {key}: holds a control character; type it again"
        assert str(told.value) == line
    assert parse('title = "a\\tb\\n"\n' + PLAIN).title == "a\tb\n"


def project_of(pattern: str, folder: Path, more: str = "") -> Project:
    text = f'patterns_folder = "mine"\n{PLAIN}[[quilting]]\npattern = "{pattern}"\n{more}'
    return parse(text, folder=folder)


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    folder = tmp_path / "mine"
    folder.mkdir()
    (folder / "two-loops.svg").write_text("<svg/>")
    (folder / "leaf.toml").write_text(
        'title = "Leaf"\n[[layer]]\nkind = "drawing"\nfile = "two-loops.svg"\n'
        '[[layer]]\nkind = "echo"\nspacing = 9\n'
    )
    return tmp_path


def test_a_drawing_in_the_users_folder_is_a_pattern_by_itself(mine: Path) -> None:
    pattern = drawn_pattern("two-loops")
    assert (pattern.title, pattern.about) == ("Two loops", "Your own drawing.")
    book = PatternBook.beside(mine, "mine", "runner.toml")
    assert {"two-loops", "leaf", "square-grid"} <= set(book.names())
    assert book.names() == sorted(book.names())
    (only,) = project_of("two-loops", mine).quilting
    assert only.file == "mine/two-loops.svg"  # type: ignore[attr-defined]
    shipped = PatternBook.beside(mine, None, "runner.toml")
    assert shipped.folders == (shipped_folder(),) and "two-loops" not in shipped.names()


def test_a_pattern_of_two_layers_numbers_them_and_names_the_entry_they_came_from(
    mine: Path,
) -> None:
    """A change reaches the layer that knows its key; an entry after it keeps its own number."""
    project = project_of("leaf", mine, 'rings = 3\n[[quilting]]\nkind = "straight"\n')
    drawing, echo, _ = project.quilting
    assert (drawing.name, echo.name) == ("Leaf 1", "Leaf 2")
    assert echo.rings == 3  # type: ignore[attr-defined]
    assert project.entry_of_layer == (0, 0, 1)
    with pytest.raises(InputError, match=r"quilting\[2\]\.angle: "):
        project_of("leaf", mine, '[[quilting]]\nkind = "straight"\nangle = 999\n')
    with pytest.raises(InputError, match=r"quilting\[1\]\.spaceing: there is no such key"):
        project_of("leaf", mine, "spaceing = 3\n")


def test_a_patterns_folder_that_is_not_there_is_told(mine: Path) -> None:
    with pytest.raises(InputError) as told:
        PatternBook.beside(mine, "yours", "runner.toml")
    line = "runner.toml: patterns_folder: there is no folder 'yours'; name one beside this file"
    assert str(told.value) == line


def test_an_unknown_pattern_is_told_with_up_to_three_near_names() -> None:
    book = PatternBook((shipped_folder(),))
    with pytest.raises(InputError) as told:
        book.find("chevrons")
    assert str(told.value) == "pattern: there is no pattern 'chevrons'; did you mean chevron?"
    with pytest.raises(InputError) as told:
        book.find("zzzzzzzz")
    assert str(told.value).endswith("there is no pattern 'zzzzzzzz'; see 'quiltpath patterns'")


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("layer = 3\n", "layer: the pattern has no layers; add a [[layer]] table"),
        ("layer = []\n", "layer: the pattern has no layers; add a [[layer]] table"),
        (
            'layer = [{kind = "grid"}, 3]\n',
            "layer: the pattern has no layers; add a [[layer]] table",
        ),
        (
            "zz = 1\naa = 2\n[[layer]]\nkind = 'grid'\n",
            "aa: there is no such key; use title, about, foot and [[layer]]",
        ),
    ],
)
def test_a_pattern_file_holds_tables_of_layers_and_words(
    text: str, line: str, tmp_path: Path
) -> None:
    path = tmp_path / "wrong.toml"
    path.write_text(text)
    with pytest.raises(InputError) as told:
        read_pattern(path)
    assert str(told.value) == f"wrong.toml: {line}"


def test_a_pattern_without_a_title_is_called_by_its_file(tmp_path: Path) -> None:
    path = tmp_path / "rows.toml"
    path.write_text('foot = "walking foot"\n[[layer]]\nkind = "straight"\n')
    pattern = read_pattern(path)
    assert (pattern.name, pattern.title, pattern.about) == ("rows", "rows", "")
    assert pattern.foot == "walking foot"


@pytest.mark.parametrize(
    "table", ["", "[table]\nlength = 1000\n", "[table]\nlength = []\nwidth = 9\n"]
)
def test_a_table_that_cannot_be_read_gives_no_size(table: str) -> None:
    with pytest.raises(InputError):
        parse(f'units = "mm"\n{table}')


def test_a_table_gives_its_length_and_two_drops_and_a_third_of_its_width() -> None:
    """1000 mm and twice 200 mm are 1400 mm, twice 8 in where papers are in inches 1406.4 (both
    common practice); with a drop of 100 mm, 1200."""
    table = 'units = "mm"\n[table]\nlength = 1000\nwidth = 900\n'
    usual, given = parse(table).runner, parse(table + "drop = 100\n").runner
    assert (usual.length, usual.width) == pytest.approx((1400, 300))
    inches = parse(table + '[instructions]\nunits = "inches"\n').runner
    assert inches.length == pytest.approx(1406.4)
    assert (given.length, given.width) == pytest.approx((1200, 300))
    drawn = parse(table + "[runner]\noutline = [[0, 0], [9, 0], [0, 9]]\n").runner
    assert (drawn.length, drawn.width) == (None, None)
    square = parse(table + '[runner]\nshape = "square"\nlength = 500\n').runner
    assert (square.length, square.width) == (500, None)
