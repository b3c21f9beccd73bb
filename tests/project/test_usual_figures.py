"""What a project says when it says nothing: the trade's usual figures (common practice)."""

from __future__ import annotations

import pytest

from quiltpath.errors import InputError
from quiltpath.project import Project, parse
from quiltpath.units import MM_PER_INCH as IN

PLAIN = '[runner]\nlength = "72 in"\nwidth = "14 in"\n'


@pytest.fixture
def plain() -> Project:
    return parse(PLAIN)


def test_stitches(plain: Project) -> None:
    stitch = plain.stitch
    assert (stitch.shortest, stitch.longest) == (3.0, 3.5)
    assert 3.0 <= stitch.length <= 3.5
    assert (stitch.securing, stitch.securing_length, stitch.tail) == ("tiny", 1.0, 100.0)
    assert 4 <= stitch.securing_count <= 8, "a few tiny stitches"
    assert stitch.corner == 30.0


def test_thread_and_time(plain: Project) -> None:
    assert 0.10 <= plain.thread.wastage <= 0.15
    assert 50.0 <= plain.thread.bobbin <= 100.0
    assert plain.thread.thickness == 1.0 and plain.thread.diameter == 0.0
    assert plain.thread.spool == 200.0
    assert 600.0 <= plain.time.stitches_per_minute <= 1000.0
    time = plain.time
    assert (time.start, time.stop, time.pivot, time.bobbin_change) == (10.0, 5.0, 2.0, 120.0)


def test_layers(plain: Project) -> None:
    assert plain.backing.extra == 4 * IN
    assert plain.wadding.extra == 3 * IN
    assert plain.backing.clear == plain.wadding.clear == 2 * IN
    assert plain.backing.seam == IN / 2
    assert plain.backing.seam_worth == plain.wadding.seam_worth == 200.0
    assert (plain.top.made, plain.top.seam) == ("at hand", IN / 4)


def test_binding(plain: Project) -> None:
    binding = plain.binding
    assert (binding.fold, binding.cut, binding.first_to) == ("double", "straight", "front")
    assert (binding.loose_start, binding.open) == (4 * IN, 8 * IN)
    assert binding.bulk == binding.mitre == IN / 8
    assert (binding.cover, binding.clear) == (IN / 4, 2 * IN)
    assert binding.seam_mm == IN / 4
    assert parse(PLAIN + '[binding]\nfold = "single"\n').binding.seam_mm == IN / 2


def test_basting(plain: Project) -> None:
    basting = plain.basting
    assert (basting.method, basting.wadding_join) == ("pins", "tape")
    assert (basting.pins_apart, basting.at_a_go) == (4 * IN, 20 * IN)


def test_paper(plain: Project) -> None:
    paper = plain.paper
    assert (paper.size, paper.margin, paper.overlap) == ("A4", 6.0, 10.0)
    assert (paper.bar_across, paper.bar_up) == (100.0, 100.0)
    assert not paper.mirrored


LIMITS = [
    ("paper", "bar_across", "80 mm", "79.9 mm"),
    ("paper", "bar_across", "125 mm", "125.1 mm"),
    ("paper", "bar_up", "125 mm", "125.1 mm"),
    ("paper", "margin", "30 mm", "30.1 mm"),
    ("paper", "overlap", "2 mm", "1.9 mm"),
    ("paper", "overlap", "50 mm", "50.1 mm"),
    ("stitch", "length", "3.5 mm", "3.51 mm"),
    ("stitch", "length", "3 mm", "2.99 mm"),
    ("stitch", "longest", "12 mm", "12.1 mm"),
]


@pytest.mark.parametrize(("table", "key", "last", "first"), LIMITS)
def test_the_last_figure_that_is_allowed_is_and_the_next_is_not(
    table: str, key: str, last: str, first: str
) -> None:
    assert parse(f'{PLAIN}[{table}]\n{key} = "{last}"\n')
    with pytest.raises(InputError):
        parse(f'{PLAIN}[{table}]\n{key} = "{first}"\n')
