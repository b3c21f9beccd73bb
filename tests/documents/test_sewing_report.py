"""What report.json says of the sewing."""

from __future__ import annotations

from quiltpath.documents.report import report
from quiltpath.project import parse
from quiltpath.result.computing import compute

ONE_LINE = """
[runner]
length = "2200 mm"
width = "320 mm"
size_is = "flat"
[[quilting]]
pattern = "one-line-crosshatch"
spacing = "about 28.3 mm"
inset = "0 mm"
"""


def test_a_crosshatch_in_one_line_is_reported_with_what_it_replaces() -> None:
    """The worked example of the quilters: 8 x 55 cells, 45 degrees, 126 lines in one."""
    content = report(compute(parse(ONE_LINE)), [])
    (told,) = content["sewing"]["one_line"]
    assert (told["cells_across"], told["cells_along"]) == (8, 55)
    assert told["replaces_lines"] == 126 and round(told["gap_mm"], 1) == 28.3
    assert content["stitching"]["runs"] == 1
    assert "one-line" in [warning["code"] for warning in content["warnings"]]
