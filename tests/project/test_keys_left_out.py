"""A key that is left out means the same in every file, today and in years: the whole list.

Figures are the trade's usual ones (common practice) or none at all. Whoever changes one changes
the runner of everybody who relied on it.
"""

from __future__ import annotations

import pytest

from quiltpath.errors import InputError
from quiltpath.patterns.own_drawing import DrawingLayer
from quiltpath.project import parse
from quiltpath.schema import Spacing

PLAIN = 'title = "Supper"\n[runner]\nlength = "1800 mm"\nwidth = "350 mm"\n'


def about(mm: float) -> Spacing:
    """As the file would say it: ``"about 1 in"``."""
    return Spacing(mm=mm, about=True)


def inches(number: float) -> object:
    return pytest.approx(25.4 * number)


TABLES: dict[str, tuple[str, dict[str, object]]] = {
    "runner": ("", {"shape": "rectangle", "margin": 75.0, "panel_join": "none"}),
    "grid": (
        "[grid]\n",
        {
            "along": 1,
            "across": 1,
            "sashing": 0.0,
            "outer_sashing": 0.0,
            "border": 0.0,
            "cornerstones": False,
            "measured": False,
            "block_size": None,
        },
    ),
    "print": ("[print]\nlengths = [9, 9, 9]\n", {"bow": 0.0, "bow_lengthwise": 0.0}),
    "stitch": (
        "",
        {
            "length": 3.2,
            "shortest": 3.0,
            "longest": 3.5,
            "corner": 30.0,
            "securing": "tiny",
            "securing_count": 6,
            "securing_length": 1.0,
            "tail": 100.0,
        },
    ),
    "sewing": ("", {"policy": "walking-foot", "settings": {}}),
    "thread": (
        "",
        {
            "thickness": 1.0,
            "diameter": 0.0,
            "wastage": 0.1,
            "bobbin": 60.0,
            "reserve": 0.1,
            "spool": 200.0,
            "needle_factor": None,
            "bobbin_factor": None,
        },
    ),
    "time": (
        "",
        {
            "stitches_per_minute": 600.0,
            "start": 10.0,
            "stop": 5.0,
            "pivot": 2.0,
            "bobbin_change": 120.0,
        },
    ),
    "wadding": (
        "",
        {
            "extra": inches(3),
            "extra_ends": None,
            "clear": inches(2),
            "seam_worth": 200.0,
            "kind": None,
            "limit": None,
        },
    ),
    "machine": (
        "",
        {
            "formats": ("dst", "pes"),
            "profile": None,
            "overlap": 12.0,
            "overlap_stitches": 0,
            "order": "along",
            "sew_crosses": False,
            "tolerance": 0.05,
            "secure_paths": None,
            "bobbin_stops": True,
        },
    ),
    "look": ("", {"thread_width": 0.4, "thread": None, "ground": None}),
    "table": (
        '[table]\nlength = "1393.6 mm"\nwidth = "900 mm"\n',
        {"drop": inches(8), "place_mats": 0.0},
    ),
    "top": ("", {"made": "at hand", "seam": inches(0.25)}),
    "backing": (
        "",
        {
            "extra": inches(4),
            "extra_ends": None,
            "seam": inches(0.5),
            "clear": inches(2),
            "seam_worth": 200.0,
        },
    ),
    "basting": (
        "",
        {"method": "pins", "pins_apart": inches(4), "at_a_go": inches(20), "wadding_join": "tape"},
    ),
    "binding": (
        "",
        {
            "fold": "double",
            "cut": "straight",
            "seam": None,
            "seam_mm": inches(0.25),
            "bulk": inches(0.125),
            "cover": inches(0.25),
            "loose_start": inches(4),
            "open": inches(8),
            "mitre": inches(0.125),
            "allowance": None,
            "join_loss": None,
            "clear": inches(2),
            "first_to": "front",
        },
    ),
    "quilted": ("", {"taken_up": None, "wash": 0.0, "lengths": (), "widths": ()}),
    "stock": (
        "",
        {
            "thread": 0.0,
            "bobbins": 0,
            "pins": 0,
            "spray": 0,
            "tape": 0.0,
            "needles": 0,
            "foot": 0,
        },
    ),
    "instructions": ("", {"units": "both", "large_print": False, "paper": None}),
    "paper": (
        "",
        {
            "size": "A4",
            "roll": None,
            "margin": 6.0,
            "overlap": 10.0,
            "orientation": "fewest",
            "bar_across": 100.0,
            "bar_up": 100.0,
            "mirrored": False,
        },
    ),
    "also": (
        "",
        {"look": None, "sizes": (), "nest": None, "ask": None, "resume": (), "asked": False},
    ),
    "cost": ("", {"thread_1000_m": None, "hour": None, "currency": ""}),
}
ENTRIES: dict[str, tuple[str, dict[str, object]]] = {
    "panel": (
        '[[panel]]\nsize = ["1100 mm", "600 mm"]\nprinted = ["1000 mm", "500 mm"]\n',
        {"name": "panel", "end_strip": 0.0, "seam": inches(0.25), "overlap": 0.0, "count": 1},
    ),
    "cloth": ('[[cloth]]\nname = "ticking"\nuse = "backing"\n', {"width": inches(40)}),
    "motif": (
        '[[motif]]\nname = "pear"\nat = ["9 mm", "9 mm"]\n'
        'outline = [["0 mm", "0 mm"], ["9 mm", "0 mm"], ["0 mm", "9 mm"]]\n',
        {"offset": (0.0, 0.0), "rotate": 0.0, "size": None, "blocks": None},
    ),
    "swatch": (
        '[[swatch]]\ndensity = 40\nbefore = "200 mm"\nquilted = "195 mm"\n',
        {"crossed": False, "washed": None, "before": (200.0, 200.0)},
    ),
}
LAYERS: dict[str, tuple[str, dict[str, object]]] = {
    "straight": ("", {"angle": 0.0, "spacing": about(25.4), "anchor": "centre"}),
    "grid": ("", {"angles": (0.0, 90.0), "spacing": about(25.4), "spacing_2": None}),
    "chevron": ('leg = "90 mm"\n', {"angle": 45.0, "spacing": about(25.4)}),
    "echo": (
        'spacing = "9 mm"\n',
        {
            "around": "motifs",
            "direction": "outwards",
            "first": None,
            "rings": "full",
            "corners": "round",
        },
    ),
    "sashing": ("", {"offset": 0.0}),
    "motif": ("", {"motif": "all", "offset": 0.0}),
    "clamshells": ("", {"size": about(76.2), "inset": 6.35}),
    "fans": ("", {"size": about(152.4), "arcs": 5, "inset": 0.0}),
    "orange-peel": ("", {"size": about(76.2), "inset": 6.35}),
    "overlapping-circles": ("", {"size": about(101.6)}),
    "interlocking-squares": ("", {"size": about(76.2)}),
    "nested-hexagons": ("", {"size": about(127.0), "rings": 4}),
    "basket-weave": ("", {"size": about(76.2), "lines": 5}),
    "waves": (
        "",
        {"spacing": about(25.4), "wave": about(152.4), "height": 25.4, "inset": 0.0},
    ),
    "serpentine": ("", {"sweep": 120.0, "wave": about(152.4)}),
    "switchback": ("", {"spacing": about(25.4), "inset": 6.35}),
    "meander": ("", {"spacing": about(12.7), "seed": 1}),
    "bamboo": (
        "",
        {"spacing": about(31.75), "joint": about(254.0), "ring": 6.35, "inset": 0.0},
    ),
    "spiral": ("", {"spacing": about(12.7)}),
    "square-spiral": ("", {"spacing": about(12.7)}),
    "concentric": ("", {"spacing": about(12.7), "shape": "squares"}),
    "radiating": ("", {"rays": 24, "middle": 25.4, "inset": 0.0}),
    "one-line-crosshatch": ("", {"spacing": about(25.4), "angle": 45.0}),
    "cable": ("", {"region": "sashing", "repeat": about(101.6), "strands": 2}),
    "leaf-vine": ("", {"region": "sashing", "repeat": about(101.6)}),
}
EVERY_LAYER: dict[str, object] = {
    "name": "",
    "clearance": None,
    "overrun": None,
    "follow": "print",
    "role": None,
    "marking": "auto",
}


def said(part: object, keys: dict[str, object]) -> dict[str, object]:
    found = {key: getattr(part, key) for key in keys}
    return {
        key: Spacing(mm=round(value.mm, 6), about=value.about)
        if isinstance(value, Spacing)
        else value
        for key, value in found.items()
    }


@pytest.mark.parametrize("table", TABLES)
def test_a_table(table: str) -> None:
    text, keys = TABLES[table]
    assert (
        said(
            getattr(parse('instructions.units = "both"\nunits = "mm"\n' + PLAIN + text), table),
            keys,
        )
        == keys
    )


@pytest.mark.parametrize("entry", ENTRIES)
def test_an_entry_of_a_list(entry: str) -> None:
    text, keys = ENTRIES[entry]
    (only,) = getattr(parse(PLAIN + text), entry)
    assert said(only, keys) == keys


@pytest.mark.parametrize("kind", LAYERS)
def test_a_layer(kind: str) -> None:
    text, keys = LAYERS[kind]
    keys = EVERY_LAYER | {"region": "runner"} | keys
    (layer,) = parse(f'{PLAIN}[[quilting]]\nkind = "{kind}"\n{text}').quilting
    if "turned" in type(layer).model_fields:
        keys |= {"turned": False}
    assert said(layer, keys) == keys


def test_a_drawing_of_ones_own() -> None:
    layer = DrawingLayer(kind="drawing", file="loop.svg")
    keys = {"arrangement": "rows", "size": about(152.4), "row": None, "apart": 6.35, "inset": 6.35}
    assert said(layer, keys) == keys


QUILTING = "[[quilting]]\nkind = "
RANGES: dict[str, tuple[str, list[object], list[object]]] = {
    # Where: (text before the value, allowed to the very last, refused from the very first).
    "corner": ("[stitch]\ncorner = ", [0.1, 179.9], [0, 180]),
    "securing_count": ("[stitch]\nsecuring_count = ", [1, 12], [0, 13]),
    "wastage": ("[thread]\nwastage = ", [0, 0.99], [-0.01, 1]),
    "reserve": ("[thread]\nreserve = ", [0, 0.99], [-0.01, 1]),
    "bobbin": ("[thread]\nbobbin = ", [0.1, 100_000], [0, 100_001]),
    "spool": ("[thread]\nspool = ", [0.1, 100_000], [0, 100_001]),
    "needle_factor": ("[thread]\nneedle_factor = ", [1, 5], [0.99, 5.01]),
    "bobbin_factor": ("[thread]\nbobbin_factor = ", [1, 5], [0.99, 5.01]),
    "speed": ("[time]\nstitches_per_minute = ", [0.1, 10_000], [0, 10_001]),
    "start": ("[time]\nstart = ", [0, 3600], [-0.1, 3600.1]),
    "price of thread": ("[cost]\nthread_1000_m = ", [0, 1e6], [-0.1, 1e6 + 1]),
    "price of an hour": ("[cost]\nhour = ", [0, 1e6], [-0.1, 1e6 + 1]),
    "currency": ("[cost]\ncurrency = ", ['"abcd"'], ['"abcde"']),
    "overlap_stitches": ("[machine]\noverlap_stitches = ", [0, 6], [-1, 7]),
    "taken_up": ("[quilted]\ntaken_up = ", [0, 0.3], [-0.01, 0.31]),
    "wash": ("[quilted]\nwash = ", [0, 0.3], [-0.01, 0.31]),
    "stock of thread": ("[stock]\nthread = ", [0, 100_000], [-1, 100_001]),
    "stock of pins": ("[stock]\npins = ", [0, 10_000], [-1, 10_001]),
    "blocks along": ("[grid]\nalong = ", [1, 500], [0, 501]),
    "blocks across": ("[grid]\nacross = ", [1, 500], [0, 501]),
    "blocks in all": ("[grid]\nalong = 40\nacross = ", [50], [51]),
    "point_angle": (
        '[runner]\nlength = 900\nwidth = 300\nshape = "pointed"\npoint_angle = ',
        [20, 179.9],
        [19.9, 180],
    ),
    "corners of an outline": (
        "[runner]\noutline = ",
        ["[[0, 0], [9, 0], [0, 9]]"],
        ["[[0, 0], [9, 0]]"],
    ),
    "printed lines": (
        "[grid]\nprinted_across = [1, 2]\nprinted_along = ",
        ["[1, 2]", str(list(range(90)))],
        ["[]", "[1]", "[1, 2, 3]", str(list(range(92))), "[2, 1]", "[1, 1]"],
    ),
    "sashing": ('[grid]\nblock = ["80 mm", "60 mm"]\nsashing = ', [60], [60.1]),
    "count of panels": ("[[panel]]\nsize = [9, 9]\nprinted = [9, 9]\ncount = ", [1, 100], [0, 101]),
    "print of a panel": (
        "[[panel]]\nsize = [9, 8]\nprinted = ",
        ["[9, 8]"],
        ["[9.1, 8]", "[9, 8.1]"],
    ),
    "end strips": (
        "[[panel]]\nsize = [9, 9]\nprinted = [9, 5]\noverlap = 1\nend_strip = ",
        [3.4],
        [3.5],
    ),
    "rows of points": (
        "[print]\npoints = ",
        ["[[[0, 0], [1, 0]], [[0, 1], [1, 1]]]"],
        ["[[[0, 0], [1, 0]]]", "[[[0, 0]], [[0, 1]]]", "[[[0, 0], [1, 0]], [[0, 1]]]"],
    ),
    "drop against length": (
        '[table]\nlength = "1400 mm"\nwidth = "900 mm"\ndrop = ',
        ['"199.6 mm"', '"200 mm"', '"200.4 mm"'],
        ['"199.4 mm"', '"200.6 mm"'],
    ),
    "density of a swatch": (
        "[[swatch]]\nbefore = 9\nquilted = 9\ndensity = ",
        [0.1, 1000],
        [0, 1000.1],
    ),
    "swatch after quilting": (
        "[[swatch]]\ndensity = 9\nbefore = [100, 90]\nquilted = ",
        ["[100, 90]", "[70, 63]"],
        ["[100.1, 90]", "[100, 90.1]", "[69.9, 80]", "[80, 62.9]"],
    ),
    "swatch after washing": (
        "[[swatch]]\ndensity = 9\nbefore = 100\nquilted = 90\nwashed = ",
        [90, 63],
        [90.1, 62.9],
    ),
    "angle": (QUILTING + '"straight"\nangle = ', [-360, 360], [-361, 361]),
    "angles of a grid": (
        QUILTING + '"grid"\nangles = ',
        ["[0, 90]", "[30, -30]", "[30, 30.9]", "[0, 179.5]"],
        ["[30, 30]", "[0, 180]", "[-45, 135]"],
    ),
    "slope of a chevron": (QUILTING + '"chevron"\nleg = 90\nangle = ', [0.1, 80], [0, 80.1]),
    "rings of an echo": (QUILTING + '"echo"\nspacing = 9\nrings = ', [1, 2000], [0, 2001]),
    "spacing": (
        QUILTING + '"straight"\nspacing = ',
        [0.5, 100_000, '"about 100 m"'],
        [0.49, 0, -1, 100_000.1, '"about 100.1 m"', 1e308],
    ),
    "arcs": (QUILTING + '"fans"\narcs = ', [2, 8], [1, 9]),
    "hexagons": (QUILTING + '"nested-hexagons"\nrings = ', [1, 12], [0, 13]),
    "lines of a weave": (QUILTING + '"basket-weave"\nlines = ', [3, 25], [2, 4, 26, 27]),
    "size of a shell": (QUILTING + '"clamshells"\nsize = ', [12.7], [12.6]),
    "spacing of a spiral": (QUILTING + '"spiral"\nspacing = ', [3], [2.9]),
    "repeat of a cable": (QUILTING + '"cable"\nrepeat = ', [12.7], [12.6]),
    "wave": (QUILTING + '"serpentine"\nwave = ', [12.7], [12.6]),
    "joint of bamboo": (QUILTING + '"bamboo"\nring = 2\njoint = ', [12.7], [12.6]),
    "height of a wave": (QUILTING + '"waves"\nwave = 100\nheight = ', [50], [50.1]),
    "ring of bamboo": (QUILTING + '"bamboo"\njoint = 100\nring = ', [25], [25.1]),
    "sweep": (QUILTING + '"serpentine"\nsweep = ', [20, 180], [19.9, 180.1]),
    "seed": (QUILTING + '"meander"\nseed = ', [0, 999_999], [-1, 1_000_000]),
    "rays": (QUILTING + '"radiating"\nrays = ', [4, 96], [2, 5, 98]),
    "slope of a crosshatch": (
        QUILTING + '"one-line-crosshatch"\nangle = ',
        [0.1, 89.9],
        [0, 90],
    ),
    "strands": (QUILTING + '"cable"\nstrands = ', [2, 4], [1, 5]),
    "turn of a motif": (
        '[[motif]]\nname = "pear"\nat = [9, 9]\noutline = [[0, 0], [9, 0], [0, 9]]\nrotate = ',
        [-360, 360],
        [-361, 361],
    ),
    "a traced shape": (
        '[[motif]]\nname = "pear"\nat = [9, 9]\noutline = ',
        ["[[0, 0], [9, 0], [0, 9]]"],
        ["[[0, 0], [9, 0]]"],
    ),
    "blocks in all by ones": ("[grid]\nacross = 1\nalong = ", [500], [501]),
    "distance of a look": ("[also]\nlook = ", ['"1 m"', '"50 m"'], ['"999 mm"', '"50.1 m"']),
    "sizes to compare": (
        "[also]\nsizes = ",
        [str(["72 x 36 in"] * 11)],
        [str(["72 x 36 in"] * 12)],
    ),
    "checkpoints to resume from": (
        "[also]\nresume = ",
        ["[]", "[1]", str([3] * 24)],
        ["[0]", str([3] * 25)],
    ),
    "copies on one backing": ("[also.nest]\nwidth = 900\ncopies = ", [1, 24], [0, 25]),
    "thread at hand": (
        "[also.ask]\nthread = ",
        ['"1 mm"', '"100000 m"'],
        ['"0 m"', '"100000.1 m"', '"-1 m"', "90", "true"],
    ),
    "time at hand": (
        "[also.ask]\ntime = ",
        ['"1 min"', '"0.5 h"'],
        ['"0 min"', '"0 h 0 min"', "90"],
    ),
    "binding at hand": ("[also.ask]\nbinding = ", [0.1], [0]),
    "name of a cloth": (
        '[[cloth]]\nuse = "backing"\nname = ',
        ['"x"', f'"{"x" * 60}"'],
        ['""', f'"{"x" * 61}"'],
    ),
    "name of a panel": (
        "[[panel]]\nsize = [9, 9]\nprinted = [9, 9]\nname = ",
        ['"x"', f'"{"x" * 60}"'],
        ['""', f'"{"x" * 61}"'],
    ),
    "name of a motif": (
        "[[motif]]\nat = [9, 9]\noutline = [[0, 0], [9, 0], [0, 9]]\nname = ",
        ['"x"', f'"{"x" * 60}"'],
        ['""', f'"{"x" * 61}"'],
    ),
    "needle": ("[instructions]\nneedle = ", [f'"{"x" * 60}"'], [f'"{"x" * 61}"']),
    "foot": ("[instructions]\nfoot = ", [f'"{"x" * 60}"'], [f'"{"x" * 61}"']),
    "colours": (
        "[look]\nthread = ",
        ['"#12aBff"'],
        ['"#12abf"', '"#12abff0"', '"#12abfg"', '"12abff"', '"red"'],
    ),
    "longest stitch": ("[stitch]\nlongest = ", [12], [12.1]),
    "shortest stitch": ("[stitch]\nshortest = 0.4\nlength = ", [0.5], [0.4]),
    "layers": ("", [(QUILTING + '"straight"\n') * 200], [(QUILTING + '"straight"\n') * 201]),
    "motifs": (
        "",
        ['[[motif]]\nname = "a"\nat = [9, 9]\noutline = [[0, 0], [9, 0], [0, 9]]\n' * 200],
        ['[[motif]]\nname = "a"\nat = [9, 9]\noutline = [[0, 0], [9, 0], [0, 9]]\n' * 201],
    ),
    "title": ('title = "', ["x" * 120 + '"'], ["x" * 121 + '"']),
    "lengths": ("[backing]\nextra = ", [0, 100_000], [-0.1, 100_000.1]),
    "sizes": ("[basting]\nat_a_go = ", [0.1, 100_000], [0, -1, 100_000.1]),
    "positions": (
        QUILTING + '"straight"\nanchor = ',
        [-100_000, 100_000],
        [-100_000.1, 100_000.1],
    ),
}
CASES = [
    (where, value, good)
    for where, (_, allowed, refused) in RANGES.items()
    for good, values in ((True, allowed), (False, refused))
    for value in values
]


@pytest.mark.parametrize(("where", "value", "good"), CASES)
def test_a_range_ends_where_it_says(where: str, value: object, good: bool) -> None:
    text = f"{RANGES[where][0]}{value}\n"
    whole = '[runner]\nlength = "1800 mm"\nwidth = "350 mm"\n'
    if text.startswith("title"):
        text, whole = "", text + whole
    if text.startswith("[runner]"):
        whole = ""
    whole = 'units = "mm"\n' + whole + text
    if good:
        parse(whole)
    else:
        with pytest.raises(InputError):
            parse(whole)


def test_a_figure_out_of_range_is_told_with_what_was_given_and_the_range() -> None:
    with pytest.raises(InputError) as told:
        parse(PLAIN + "[stitch]\ncorner = 0\n")
    line = str(told.value)
    assert "stitch.corner: 0 is too small; corner takes a number from above 0 to below 180" in line


@pytest.mark.parametrize(
    ("text", "key", "near"),
    [
        ("[stitch]\ncornr = 1\n", "stitch.cornr", "'corner'"),
        (ENTRIES["panel"][0] + 'seem = "9 mm"\n', "panel[1].seem", "'seam'"),
        ('[[quilting]]\nkind = "fans"\narks = 3\n', "quilting[1].arks", "'arcs'"),
        ("[quiltet]\nwash = 0\n", "quiltet", "'quilted'"),
    ],
)
def test_a_key_misspelt_is_told_with_the_nearest_of_its_own_table(
    text: str, key: str, near: str
) -> None:
    with pytest.raises(InputError) as told:
        parse(PLAIN + text)
    assert f"{key}: there is no such key; did you mean {near}?" in str(told.value)
