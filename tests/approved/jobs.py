"""Small jobs that between them come past every pattern, policy, outline and kind of cloth.

Small, so that all of them together take seconds; invented for the tests and part of no sample.
"""

from __future__ import annotations

from quiltpath.patterns.book import shipped_folder

END = """
[wadding]
kind = "cotton with scrim"
[machine]
formats = ["dst"]
"""

SASHED = """
[runner]
length = 636
width = 316
[grid]
along = 2
across = 1
block = [250, 220]
sashing = 40
outer_sashing = 40
border = 8
"""

MOTIFS = """
[[motif]]
name = "kite"
outline = [[0, 20], [35, 0], [90, 20], [35, 40]]
size = 120
blocks = ["A1"]
rotate = 20
[[motif]]
name = "tile"
outline = [[0, 0], [60, 0], [60, 40], [0, 40]]
blocks = ["B1"]
offset = [12, -7]
"""

JUG = """
[[motif]]
name = "jug"
file = "jug.svg"
size = 110
at = [[150, 158], [480, 170]]
rotate = -15
"""

NOTCHED = """
[runner]
outline = [[0, 120], [110, 0], [590, 0], [700, 130], [580, 260], [420, 260], [360, 215], [300, 260], [120, 260]]
"""  # noqa: E501

OUTLINES = {
    "notched": NOTCHED,
    "pointed": '[runner]\nshape = "pointed"\nlength = 700\nwidth = 240\npoint_angle = 100\n',
    "clipped": '[runner]\nshape = "clipped"\nlength = 600\nwidth = 240\ncut = 50\n',
    "rounded": '[runner]\nshape = "rounded"\nlength = 600\nwidth = 240\nradius = 70\n',
    "scalloped": '[runner]\nshape = "scalloped"\nlength = 620\nwidth = 230\nscallop = 90\n',
    "round": '[runner]\nshape = "round"\nlength = 380\nwidth = 380\n',
    "oval": '[runner]\nshape = "oval"\nlength = 520\nwidth = 260\n',
}

LAYERS = {
    "lines-at-an-angle": 'kind = "straight"\nangle = 22.5\nspacing = 37\nanchor = 5',
    "lines-in-threes": 'kind = "straight"\nspacings = [8, 12, 45]\nanchor = "edge"',
    "lines-halfway": 'kind = "straight"\nangle = 90\nspacing = "about 50 mm"\nanchor = "halfway"',
    "skew-grid": 'kind = "grid"\nangles = [15, 100]\nspacing = "about 55 mm"\nclearance = 6',
    "grid-with-overrun": 'kind = "grid"\nspacing = 60\noverrun = 15',
    "chevron": 'kind = "chevron"\nangle = 35\nleg = "about 90 mm"\nspacing = 40',
    "echo-inwards": 'kind = "echo"\naround = "outline"\ndirection = "inwards"\nspacing = 22\n'
    'first = 9\nrings = 3\ncorners = "mitred"',
    "serpentine": 'kind = "serpentine"\nsweep = 150\nspacing = "about 40 mm"\nwave = 110',
    "waves-upright": 'kind = "waves"\nheight = 18\nspacing = 35\nturned = true\nwave = 90',
    "switchback": 'kind = "switchback"\nspacing = 30\nturned = true',
    "meander": 'kind = "meander"\nspacing = 30\nseed = 7',
    "bamboo": 'kind = "bamboo"\nspacing = 45\njoint = 120\nring = 9\ninset = 12',
    "radiating": 'kind = "radiating"\nrays = 14\nmiddle = 40\ninset = 10',
    "one-line": 'kind = "one-line-crosshatch"\nspacing = "about 40 mm"\nangle = 38',
    "clamshells": 'kind = "clamshells"\nsize = 70\nturned = true',
    "fans": 'kind = "fans"\nsize = 110\narcs = 3',
    "orange-peel": 'kind = "orange-peel"\nsize = "about 80 mm"\ninset = 0',
    "circles": 'kind = "overlapping-circles"\nsize = 100',
    "squares": 'kind = "interlocking-squares"\nsize = 90',
    "hexagons": 'kind = "nested-hexagons"\nsize = 120\nrings = 2\nturned = true',
    "basket": 'kind = "basket-weave"\nsize = 70\nlines = 5',
    "spiral": 'kind = "spiral"\nspacing = 24\ninset = 15',
}

IN_PLACES = {
    "cable-of-three": 'kind = "cable"\nstrands = 3\nrepeat = "about 60 mm"',
    "cable-round-the-border": 'kind = "cable"\nregion = "border"\nrepeat = 40\ninset = 1',
    "vine-in-the-outer-strips": 'kind = "leaf-vine"\nregion = "outer sashing"\nrepeat = 120',
    "sashing-kept-off": 'kind = "sashing"\noffset = 4',
    "diamonds-in-blocks": 'kind = "concentric"\nshape = "diamonds"\nregion = "blocks"\nspacing = 9',
    "square-spiral-in-a-block": 'kind = "square-spiral"\nregion = "B1"\nspacing = 20',
    "ripple": 'kind = "echo"\naround = "motifs"\nregion = "blocks"\nspacing = 16\nrings = "full"',
    "echo-of-blocks": 'kind = "echo"\naround = "blocks"\nspacing = 11\nrings = 2\nfirst = 0',
    "motifs-and-clear-lines": 'kind = "motif"\noffset = 3\n[[quilting]]\nkind = "straight"\n'
    'angle = 45\nspacing = 30\nclearance = 8\nregion = ["blocks", "sashing"]',
}

ARRANGEMENTS = (
    "rows", "brick", "half drop", "mirrored", "mirrored rows", "nested", "border", "fitted",
)  # fmt: skip

POLICIES = {
    "walking-foot": 'policy = "walking-foot"',
    "continuous": 'policy = "continuous"',
    "hoop": 'policy = "hoop"',
    "nearest": 'policy = "hoop"\nsettings = { order = "nearest", start = "upper-right" }',
    "there-and-back": 'policy = "walking-foot"\nsettings = { direction = "there-and-back", '
    'roles = "mixed", start = "lower-right" }',
    "no-margin": 'policy = "hoop"\nsettings = { margin = false, retrace_cap = "60 mm" }',
}

MACHINES = {
    "small-hoop": 'profile = "hoop-100x100"\noverlap_stitches = 2',
    "larger-hoop": 'profile = "hoop-130x180"\norder = "centre-out"',
    "small-frame": 'profile = "longarm-small"',
    "frame-across-crossings": 'profile = "longarm-small"\nsew_crosses = true\noverlap = 30',
}

DEEP = """
[runner]
length = 500
width = 420
[[quilting]]
pattern = "hanging-diamonds"
spacing = "about 80 mm"
[[quilting]]
kind = "echo"
around = "outline"
direction = "inwards"
spacing = 20
rings = 2
[wadding]
limit = 200
"""

CLOTH = """
[table]
length = 1890
width = 900
drop = 180
place_mats = 330
[runner]
length = 2250
width = 380
panel_join = "centre"
[[panel]]
name = "panel"
size = [1210, 460]
printed = [1150, 400]
end_strip = 20
count = 2
[[quilting]]
kind = "straight"
angle = 90
spacing = "about 75 mm"
[[cloth]]
name = "calico"
use = ["backing", "binding"]
width = 1100
length = 2400
[[cloth]]
name = "wadding off the roll"
use = "wadding"
width = 900
length = 1500
"""

CLOTHS = {
    "as-it-comes": "",
    "bias-single": '[binding]\nfold = "single"\ncut = "bias"\nwidth = 32\n',
    "wide-binding": '[binding]\nwidth = 75\ncover = 9\nbulk = 2\nfirst_to = "back"\n',
    "sprayed": '[basting]\nmethod = "spray"\nat_a_go = 400\nwadding_join = "herringbone"\n',
    "measured": "[quilted]\nlengths = [2201, 2204, 2209]\nwidths = [371, 372, 377]\n",
    "washed": "[quilted]\ntaken_up = 0.02\nwash = 0.03\n",
    "swatched": "[[swatch]]\nspacing = 50\nbefore = 300\nquilted = [296, 294]\n"
    "washed = [285, 284]\n",
    "stocked": "[stock]\nthread = 150\nbobbins = 2\npins = 40\ntape = 500\n",
    "priced": '[cost]\nthread_1000_m = 4.5\nhour = 12\ncurrency = "GBP"\n',
}


FIGURES = {
    "tails": '[stitch]\nsecuring = "tails"\ntail = 90\nlength = 2.6\nshortest = 2.4\nlongest = 3\n',
    "sharp-corners": "[stitch]\ncorner = 12\nsecuring_count = 4\nsecuring_length = 0.8\n",
    "own-thread": "[thread]\nthickness = 2\ndiameter = 0.25\nwastage = 0.15\nbobbin = 12\n",
    "own-seam": "[thread]\nneedle_factor = 1.6\nbobbin_factor = 1.3\nbobbin = 9\n",
    "own-time": "[time]\nstitches_per_minute = 450\nstart = 20\npivot = 4\nbobbin_change = 200\n",
}

PRINTS = {
    "leaning": "[print]\nlengths = [634, 636, 639]\nwidths = [315, 316, 318]\nbow = 4\n",
    "out-of-square": "[print]\ndiagonals = [708, 714]\nbow_lengthwise = -3\n",
}


def jobs() -> dict[str, str]:
    """The text of each project file under the job's name."""
    found = {**_drawings(), **_sewings(), **_cloths()}
    return {name: f'title = "{name}"\nunits = "mm"\n{text}' for name, text in found.items()}


def _drawings() -> dict[str, str]:
    """Every shipped pattern, every kind of layer with figures of its own, every outline."""
    found = {
        f"pattern-{path.stem}": f'{SASHED}{MOTIFS}[[quilting]]\npattern = "{path.stem}"\n{END}'
        for path in sorted(shipped_folder().glob("*.toml"))
    }
    for place, (name, layer) in enumerate(LAYERS.items()):
        outline = [*OUTLINES.values()][place % len(OUTLINES)]
        found[f"layer-{name}"] = f"{outline}[[quilting]]\n{layer}\n{END}"
    for name, layer in IN_PLACES.items():
        found[f"place-{name}"] = f"{SASHED}{MOTIFS}[[quilting]]\n{layer}\n{END}"
    for name, measured in PRINTS.items():
        layers = '[[quilting]]\nkind = "sashing"\n[[quilting]]\npattern = "radiating-lines"\n'
        found[f"print-{name}"] = f"{SASHED}{measured}{layers}{END}"
    for arrangement in ARRANGEMENTS:
        layer = f'kind = "drawing"\nfile = "frond.svg"\nsize = 90\narrangement = "{arrangement}"'
        place = '\nregion = "blocks"' if arrangement == "fitted" else ""
        job = f'{SASHED}{JUG}[[quilting]]\n{layer}{place}\n[[quilting]]\nkind = "motif"\n{END}'
        found[f"drawing-{arrangement.replace(' ', '-')}"] = job
    return found


def _sewings() -> dict[str, str]:
    """Every policy over one crossing drawing, and what each sort of machine makes of another."""
    crossing = (
        '[[quilting]]\nkind = "sashing"\n[[quilting]]\npattern = "diagonal-crosshatch"\n'
        'spacing = "about 45 mm"\nclearance = 5\n[[quilting]]\nkind = "motif"\n'
    )
    found = {
        f"policy-{name}": f"{SASHED}{MOTIFS}{crossing}[sewing]\n{sewing}\n{END}"
        for name, sewing in POLICIES.items()
    }
    for name, figures in FIGURES.items():
        found[f"figures-{name}"] = f"{SASHED}{MOTIFS}{crossing}{figures}{END}"
    for name, machine in MACHINES.items():
        sewing = '[sewing]\npolicy = "continuous"\n'
        found[f"machine-{name}"] = f'{DEEP}{sewing}[machine]\nformats = ["dst"]\n{machine}\n'
    return found


def _cloths() -> dict[str, str]:
    """The same runner cut, basted and bound in several ways."""
    return {f"cloth-{name}": f"{CLOTH}{more}{END}" for name, more in CLOTHS.items()}
