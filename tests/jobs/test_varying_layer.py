"""The layer that varies: its figures are of the cloth that it fills, whatever a motif hides."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from quiltpath.errors import InputError
from quiltpath.jobs.compare import compute_option
from quiltpath.jobs.variants import variants
from quiltpath.jobs.varying_layer import LayerFigures, filled_area, layer_figures
from quiltpath.project import Project, load, parse
from quiltpath.result.computing import compute
from tests.whole_sets import computed

SAMPLES = Path(__file__).parents[2] / "samples"

STRIPES = """
[runner]
length = "800 mm"
width = "400 mm"
[[quilting]]
kind = "straight"
angle = 90
spacing = "{spacing} mm"
overrun = "0 mm"
[wadding]
kind = "{wadding}"
limit = "{limit} mm"
{more}
"""


def stripes(spacing: float, *, wadding: str = "wool", limit: float = 90, more: str = "") -> Project:
    return parse(STRIPES.format(spacing=spacing, wadding=wadding, limit=limit, more=more))


@cache
def figures_of(spacing: float, limit: float = 90, more: str = "") -> LayerFigures:
    found = layer_figures(compute(stripes(spacing, limit=limit, more=more)), (0,))
    assert found is not None
    return found


@pytest.mark.parametrize("spacing", [20, 40, 80])
def test_parallel_lines_leave_a_gap_of_their_spacing(spacing: float) -> None:
    """An empty circle between two parallels has their distance as its diameter (Euclid)."""
    assert figures_of(spacing).gap_mm == pytest.approx(spacing, abs=0.6)


@pytest.mark.parametrize("spacing", [20, 40])
def test_lines_a_spacing_apart_are_one_over_it_on_a_unit_of_area(spacing: float) -> None:
    """Parallels s apart have the length 1 / s on a unit of area; one more or less at the edges."""
    one_line = 1000 / 800
    assert figures_of(spacing).m_per_m2 == pytest.approx(1000 / spacing, abs=one_line)


def test_minutes_and_thread_of_the_layers_are_those_of_the_whole_job() -> None:
    """Each stitch belongs to one layer, each start to one: the parts make up the whole but for
    the way along the margin and what is rounded in turns."""
    result = computed("harvest-supper")
    project = result.project
    parts = [layer_figures(result, (index,)) for index in range(len(project.quilting))]
    minutes = sum(part.minutes for part in parts if part)
    thread = sum(part.thread_m for part in parts if part)
    assert minutes == pytest.approx(result.time.sewing_min, rel=0.05)
    assert thread == pytest.approx(result.thread.needle_m + result.thread.bobbin_m, rel=0.05)


def test_a_gap_inside_a_motif_is_not_the_layer_s() -> None:
    """The pear is wider than any square of the crosshatch: alike for all spacings."""
    project = load(SAMPLES / "harvest-supper" / "runner.toml")
    made = [compute_option(one)[0] for one in variants(project, ["1 in", "2 in"], [], [])]
    assert made[0].widest_gap_mm == pytest.approx(made[1].widest_gap_mm, abs=0.5)
    gaps = [option.layer.gap_mm for option in made if option.layer]
    # squares of a crosshatch hold a circle of its spacing (Euclid)
    assert gaps == pytest.approx([25.4, 50.8], abs=1.0)
    puffs = [option.layer.puff_mm for option in made if option.layer]
    assert puffs[1] > 1.3 * puffs[0]


def test_motifs_are_no_part_of_what_is_filled() -> None:
    result = computed("harvest-supper")
    area = filled_area(result.project, result.runner, (2,))
    motifs = sum(motif.shape.area for motif in result.runner.motifs)
    blocks = sum(block.shape.area for block in result.runner.blocks)
    assert area.area == pytest.approx(blocks - motifs, rel=1e-6)


def test_what_limits_is_the_wadding_or_the_hand() -> None:
    assert figures_of(100, limit=80).limited_by == "wadding: 3/4 in (20 mm) too wide"
    assert figures_of(80, limit=90).limited_by.startswith("wadding: 3/8 in (10 mm) to spare")
    assert figures_of(8, limit=90).limited_by.startswith("its stiffness: 8")


def test_a_swatch_of_one_s_own_replaces_the_usual_loft() -> None:
    """Lines as far apart as on the swatch puff as high as it was measured."""
    more = '[[swatch]]\nspacing = "40 mm"\nbefore = "200 mm"\nquilted = "198 mm"\npuff = "5 mm"'
    measured = figures_of(40, more=more)
    assert measured.puff_mm == pytest.approx(5.0, rel=0.03)
    assert "measured on your own swatch" in measured.puff_how
    assert figures_of(40).puff_mm != pytest.approx(5.0, rel=0.1)


@pytest.mark.parametrize(
    "keys", ['density = 30\npuff = "4 mm"', 'spacing = "40 mm"\npuff = "90 mm"']
)
def test_a_puff_that_cannot_be_is_told(keys: str) -> None:
    with pytest.raises(InputError, match="puff"):
        stripes(40, more=f'[[swatch]]\n{keys}\nbefore = "200 mm"\nquilted = "198 mm"')


def test_waddings_and_orders_are_compared_as_well() -> None:
    project = stripes(40)
    chosen = variants(project, [], [], [], [], ["walking-foot", "continuous"], ["cotton", "wool"])
    made = [compute_option(one)[0] for one in chosen]
    assert [option.label for option in made] == ["walking-foot", "continuous", "cotton", "wool"]
    assert made[1].runs <= made[0].runs
    puffs = [option.layer.puff_mm for option in made[2:] if option.layer]
    assert puffs[1] > puffs[0]  # wool is loftier than cotton: common practice
    # the packet's 90 mm are of the project's own wadding
    assert made[2].limit_mm == pytest.approx(2 * 25.4) and made[3].limit_mm == 90


def test_a_wadding_or_an_order_that_there_is_not_is_told() -> None:
    for policies, waddings in ((["sideways"], []), ([], ["straw"])):
        (chosen,) = variants(stripes(40), [], [], [], [], policies, waddings)
        with pytest.raises(InputError, match="there is no"):
            compute_option(chosen)
