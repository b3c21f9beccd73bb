"""What is kept between two computings changes nothing but the time that the second one takes."""

from __future__ import annotations

import numpy as np
import pytest

from quiltpath.project import Project, parse
from quiltpath.result.computing import compute, compute_by_steps
from quiltpath.result.reuse import Reuse
from quiltpath.result.values import Result

TEXT = """
units = "mm"
grid = { along = 4, across = 2 }
[runner]
length = 800
width = 400
[[quilting]]
kind = "concentric"
shape = "squares"
spacing = 30
region = "blocks"
[[quilting]]
kind = "straight"
spacing = 40
region = "C1"
[sewing]
policy = "POLICY"
[stitch]
length = 3
"""


def project(policy: str, **others: str) -> Project:
    text = TEXT.replace("POLICY", policy)
    for old, new in others.items():
        text = text.replace(old.replace("_", " = "), new)
    return parse(text)


def computed(changed: Project, reuse: Reuse) -> Result:
    *_, result = compute_by_steps(changed, reuse=reuse)
    assert isinstance(result, Result)
    return result


@pytest.mark.parametrize(
    ("policy", "old", "new"),
    [
        ("walking-foot", "spacing_40", "spacing = 25"),
        ("continuous", "spacing_30", "spacing = 20"),
        ("walking-foot", "along_4", "along = 5"),
        ("hoop", "length_800", "length = 820"),
        ("continuous", "length_3", "length = 3.4"),
        ("walking-foot", 'region_"C1"', 'region = "C2"'),
    ],
)
def test_after_a_change_the_result_is_that_of_the_changed_file(
    policy: str, old: str, new: str
) -> None:
    """A layer, the blocks, the size, the stitch or a region is changed, and changed back."""
    before, after = project(policy), project(policy, **{old: new})
    assert before != after
    reuse = Reuse()
    computed(before, reuse)
    for each in (after, before):
        kept, fresh = computed(each, reuse), compute(each)
        assert kept.runs.run_start.tolist() == fresh.runs.run_start.tolist()
        assert kept.runs.runs_lower_bound == fresh.runs.runs_lower_bound
        assert np.abs(kept.runs.coordinates - fresh.runs.coordinates).max() < 1e-9
        assert kept.stitches.stitch_count == fresh.stitches.stitch_count
        assert kept.findings == fresh.findings


def test_lines_that_did_not_change_are_not_put_in_order_again() -> None:
    """The stitch is longer: the very same runs. A line more: others."""
    reuse = Reuse()
    first = computed(project("walking-foot"), reuse)
    longer = computed(project("walking-foot", length_3="length = 3.4"), reuse)
    assert longer.runs is first.runs
    assert longer.stitches.stitch_count < first.stitches.stitch_count
    closer = computed(project("walking-foot", spacing_40="spacing = 25"), reuse)
    assert closer.runs is not first.runs
    assert computed(project("hoop", spacing_40="spacing = 25"), reuse).runs is not closer.runs
