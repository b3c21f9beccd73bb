"""Every computation beyond lines and stitches shows in the samples' own outputs: its figures in the
report, and a place where a person meets it; and the figures keep to their arithmetic."""

from __future__ import annotations

import functools
import io
import json
import math
import re
from collections.abc import Callable
from itertools import combinations, pairwise
from typing import Any

import numpy as np
import pdfplumber
import pytest
import shapely
from PIL import Image

from quiltpath.documents.notes import CAUTION
from quiltpath.jobs.folder import OutputFile
from quiltpath.project import load
from tests.whole_sets import SAMPLES, computed, whole_set

Report = dict[str, Any]


def made(sample: str) -> dict[str, OutputFile]:
    """The set as ``make`` writes it."""
    return whole_set(sample)[1]


def report(sample: str) -> Report:
    content: Report = json.loads(made(sample)["report.json"].content)
    return content


@functools.cache
def words(sample: str, name: str) -> str:
    """What a person can read in a file, in one line."""
    content = made(sample)[name].content
    if name.endswith(".pdf"):
        with pdfplumber.open(io.BytesIO(content)) as pdf:
            text = " ".join(page.extract_text() for page in pdf.pages)
    else:
        text = re.sub(r"<(script|style).*?</\1>", " ", content.decode("utf-8"), flags=re.DOTALL)
        text = re.sub(r"<[^>]*>", " ", text)
    return " ".join(text.split())


def one_line(told: Report) -> bool:
    """Coprime cells: gcd(n, m) loops; 2 (n + m) lines and starts replaced; turns 2 1/2 in inside,
    where the feathers end."""
    (one,) = told["sewing"]["one_line"]
    n, m = one["cells_across"], one["cells_along"]
    saved = one["replaces_lines"] == one["replaces_starts"] == 2 * (n + m)
    inside = one["turns_inside_mm"] == pytest.approx(63.5, abs=1e-3)
    return math.gcd(n, m) == 1 and saved and inside and told["stitching"]["runs"] == 1


def seams(told: Report) -> bool:
    """The near misses are under 3 mm, and better figures are offered."""
    (layer,) = told["sewing"]["seams"]
    near = [miss["miss_mm"] for miss in layer["near_misses"]]
    return bool(near) and max(near) < 3.0 and layer["best_fit"]["good"]


def skew(told: Report) -> bool:
    """45 degrees pull most: so much line leaning the other way brings the sum to nought. Thread on
    the way from line to line pulls too, by 1 percent at most."""
    found = told["sewing"]["skew"]
    lean = math.radians(found["lean_deg"])
    return bool(
        found["pull_mm"] - found["partner_mm"] * math.sin(2 * lean) == pytest.approx(0, abs=1.0)
        and found["peak_mm"] >= 0.99 * abs(found["pull_mm"])
    )


def swatches(told: Report) -> bool:
    """Cut size = finished / ((1 - q)(1 - w)), within its range."""
    top = told["cutting"]["top"]
    likely, low, high = top["by_swatches"]["length_mm"]
    rest = (1 - top["quilting_share"]) * (1 - top["washing_share"])
    exact = told["runner"]["length_mm"] / rest
    return bool(low < likely < high and likely == pytest.approx(exact, rel=1e-3))


def at_hand(told: Report) -> bool:
    """A quarter of a yard is four strips of 2 1/4 in across 42 in: no more edge than those have."""
    found = told["also"]["ask"]
    binding = 2 * (found["longest_bound_mm"] + told["runner"]["width_mm"])
    return 0 < binding < 4 * 42 * 25.4


def grown_by_blocks(told: Report) -> bool:
    """A design with blocks answers in whole blocks, and takes no more than there is."""
    found = told["also"]["ask"]
    closest = found["closest"]
    enough = closest["thread_m"] <= found["thread_m"] and closest["sewing_min"] <= found["time_min"]
    return bool(found["longest_blocks"] >= 1 and enough)


def checkpoints(told: Report) -> bool:
    """Numbered from 1 in each part, in sewing order."""
    places = told["sewing"]["checkpoints"]
    parts = list(dict.fromkeys(place.get("part") for place in places))
    own = [[p for p in places if p.get("part") == part] for part in parts]
    rising = all(
        a["sewn_before_mm"] < b["sewn_before_mm"] for part in own for a, b in pairwise(part)
    )
    return rising and all([p["number"] for p in o] == list(range(1, len(o) + 1)) for o in own)


def in_two_parts(told: Report) -> bool:
    """Each pass of the frame has checkpoints and counts of its own."""
    places, counts = told["sewing"]["checkpoints"], told["sewing"]["to_count"]
    names = [part["name"] for part in told["machine"]["parts"]]
    return checkpoints(told) and {p["part"] for p in places} == {c["place"] for c in counts} == set(
        names
    )


def resumed(told: Report) -> bool:
    """Files for a break that were read back."""
    ready = told["also"]["resume"]["ready"]
    files = [f for f in told["files"] if f["path"].startswith("resume/") and f["verified"]]
    return len(ready) > 0 and all(
        any(f["path"].startswith(one["folder"] + "/") for f in files) for one in ready
    )


def guide_bar(told: Report) -> bool:
    """After the first row, which is marked, the bar always rides to the left on a sewn row."""
    families = told["sewing"]["guide_bar"]
    return bool(families) and all(
        [step["bar"] for step in family["steps"]] == [None] + ["left"] * (family["rows"] - 1)
        and sum(step["turn_before"] for step in family["steps"]) <= 1
        for family in families
    )


def taping(told: Report) -> bool:
    """n joins of 0.5 mm: n / 2 at worst, sqrt(n) / 2 typically."""
    (budgets,) = [entry["taping"] for entry in told["paper"] if "taping" in entry]
    return all(
        budget["worst_mm"] == pytest.approx(0.5 * budget["joins"])
        and budget["typical_mm"] == pytest.approx(0.5 * math.sqrt(budget["joins"]), abs=1e-4)
        for budget in budgets
    )


def far_view(told: Report) -> bool:
    """Every cloth patch, the one where thread shows least first."""
    found = told["also"]["look"]
    ratios = [cloth["ratio"] for cloth in found["cloths"]]
    return {c["patch"] for c in found["cloths"]} == {
        "the ground",
        "the blocks",
        "the motifs",
    } and ratios == sorted(ratios)


def voids(told: Report) -> bool:
    """Inside n x m cells there are (2n - 1)(2m - 1) places half a cell apart; lines cross at every
    other one, and never at the first: 2 n m - n - m (arithmetic), less those that a motif takes
    up. What is left is counted by noding the lines (GEOS): feathers and pumpkin cross nothing."""
    ((n, m),) = [(o["cells_across"], o["cells_along"]) for o in told["sewing"]["one_line"]]
    (place,) = told["sewing"]["to_count"]
    drawn = computed("supper-mats").lines.geometry
    noded = shapely.node(shapely.multilinestrings(drawn))
    ends = [end for part in noded.geoms for end in (part.coords[0], part.coords[-1])]
    _, ways = np.unique(np.round(ends, 4), axis=0, return_counts=True)
    crossings = int(np.count_nonzero(ways == 4))
    return bool(place["crossings"] == crossings < 2 * n * m - n - m and place["lines"] > 1)


def sizes(told: Report) -> bool:
    """The same visual gap within a twentieth, on other sizes and with other numbers of lines."""
    each = told["also"]["sizes"]["each"]
    gaps = [one["line_gap_mm"] for one in each]
    return len({one["length_mm"] for one in each}) == len(each) > 2 and max(gaps) < 1.06 * min(gaps)


def nested(told: Report) -> bool:
    """As many as asked for, none over another, all on the backing, and no shorter than can be."""
    found = told["also"]["nest"]
    boxes = [runner["box_mm"] for runner in found["runners"]]
    clear = all(
        a[2] < b[0] or b[2] < a[0] or a[3] < b[1] or b[3] < a[1] for a, b in combinations(boxes, 2)
    )
    across, along = found["backing_mm"]
    on_it = all(b[0] > 0 and b[1] > 0 and b[2] < across and b[3] < along for b in boxes)
    return len(boxes) == 6 and clear and on_it and found["at_least_mm"] <= along


SHOWN: list[tuple[str, Callable[[Report], bool], str, str]] = [
    ("supper-mats", one_line, "sewing-notes.txt", "one line and one start do the work of 54"),
    ("supper-mats", one_line, "instructions.pdf", "1 start in place of 54."),
    ("galley", seams, "sewing-notes.txt", "a line passes close beside a seam. To have lines meet"),
    ("galley", skew, "sewing-notes.txt", "lines that rise to the other side would even it out"),
    ("supper-mats", swatches, "instructions.pdf", "own swatches it is between"),
    ("galley", swatches, "instructions.html", "By your own swatches it is between"),
    ("supper-mats", at_hand, "at-hand.txt", "longest runner that the cloth binds"),
    ("galley", grown_by_blocks, "sewing-notes.txt", "blocks along"),
    ("galley", checkpoints, "guide.svg", "c8"),
    ("boathouse-bench", in_two_parts, "guide.svg", "2-c5"),
    ("boathouse-bench", resumed, "resume/pass-02-of-02-c3/RESUME.txt", "Begin at checkpoint c3 of"),
    ("galley", resumed, "resume/c8/RESUME.txt", "Begin at checkpoint c8 of"),
    ("harvest-supper", guide_bar, "sewing-notes.txt", "the bar to the left of the needle"),
    ("galley", taping, "tiled-guide.pdf", "Lay a tape measure along the small crosses"),
    ("galley", taping, "tiled-guide.pdf", "check "),
    ("galley", far_view, "look.svg", "From 4 m: hold this sheet 50 cm away"),
    ("galley", far_view, "sewing-notes.txt", "On the blocks: blends in"),
    ("supper-mats", voids, "sewing-notes.txt", "ONE-LINE CROSSHATCH"),
    ("boathouse-bench", in_two_parts, "sewing-notes.txt", "[ ] pass-02-of-02"),
    ("supper-mats", sizes, "sizes.pdf", "line gap"),
    ("supper-mats", sizes, "sizes.html", "mat 16 x 12 in"),
    ("supper-mats", nested, "nest.pdf", "6 Supper mats"),
]


@pytest.mark.parametrize(
    ("sample", "figures", "name", "said"),
    SHOWN,
    ids=[f"{figures.__name__}-{sample}-{name}" for sample, figures, name, _ in SHOWN],
)
def test_a_sample_shows_it_in_the_report_and_where_a_person_looks(
    sample: str, figures: Callable[[Report], bool], name: str, said: str
) -> None:
    assert figures(report(sample))
    assert said in words(sample, name)
    assert name in {entry["path"] for entry in report(sample)["files"]}


@pytest.mark.parametrize("sample", ["supper-mats", "boathouse-bench", "galley"])
def test_the_sheet_at_the_machine_begins_with_its_caution_and_fits_the_page(sample: str) -> None:
    notes = made(sample)["sewing-notes.txt"].content.decode()
    assert " ".join(CAUTION.split()) in words(sample, "sewing-notes.txt").replace("! ", "")
    assert max(len(line) for line in notes.splitlines()) <= 88


def test_near_and_far_lie_side_by_side_and_are_not_blank() -> None:
    picture = Image.open(io.BytesIO(made("galley")["look.png"].content)).convert("L")
    half = picture.width // 2
    for side in ((0, 0, half, picture.height), (half, 0, picture.width, picture.height)):
        dark, light = picture.crop(side).getextrema()
        assert dark < 120 and light > 250


def test_the_sample_whose_making_is_timed_asks_for_nothing_more() -> None:
    assert not load(SAMPLES / "harvest-supper" / "runner.toml").also.asked
