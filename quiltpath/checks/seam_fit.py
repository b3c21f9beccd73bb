"""Layers that nearly miss seams, and the spacing, offset and angle that would suit all seams.

Lines lie at offset + k x gap along their normal. A seam is met where it lies on a line and halved
where it lies in the middle between two, so the lattice that counts has half the gap as its pitch.
For a given gap the best offset is exact: the seams' places, folded onto a circle of half a gap,
lie on a shortest arc (the circle less its widest empty stretch), and the middle of that arc has
the least greatest distance to them. Gaps tried are the region's width over a whole number. Turns
of up to 7.5 degrees are searched through and through (``seam_turns``), and lines may come to run
along seams nearby.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from quiltpath.checks.seam_misses import (
    NEAR_MISS_MM,
    SAME_WAY,
    NearMiss,
    Seams,
    near_misses,
    seams_of,
)
from quiltpath.checks.seam_touching import (
    TOUCHING_MM,
    SeamContacts,
    crossings,
    places,
    seam_contacts,
)
from quiltpath.checks.seam_turns import (
    GAP_SHARE,
    GOOD_MM,
    SAME_MM,
    TURN_DEG,
    Wish,
    best_offset,
    best_turn,
)
from quiltpath.findings import Finding, Setting
from quiltpath.geometry.arrays import Floats, distinct
from quiltpath.geometry.runner_shapes import Patch, Runner, patches
from quiltpath.patterns import Lines
from quiltpath.patterns.layer import Layer
from quiltpath.patterns.straight import GridLayer, StraightLayer, directions, extent
from quiltpath.units import both_units

MOST_ANGLES = 64
MOST_CROSSINGS = 120
"""The turn is sought with so many spots; the figures of what is found count all of them."""


@dataclass(frozen=True)
class SeamFit:
    """Lines that fit the seams: ``number`` gaps of ``gap_mm`` over the first patch.

    ``offset_mm``  first line from the patch's low end, as ``anchor`` in the project file
    ``angles_deg`` one angle, or two for a grid
    ``worst_mm``   greatest distance of a seam from the nearest line or middle between two
    ``met``, ``halved``  how many seams or crossings lie nearer a line, or nearer a middle
    """

    number: int
    gap_mm: float
    offset_mm: float
    angles_deg: tuple[float, ...]
    worst_mm: float
    met: int
    halved: int

    @property
    def good(self) -> bool:
        """True where all seams look met or halved."""
        return self.worst_mm <= GOOD_MM


def seam_findings(runner: Runner, lines: Lines, layers: Sequence[Layer]) -> tuple[Finding, ...]:
    """One finding for each straight or grid layer that passes seams so that it shows."""
    seams = seams_of(runner)
    findings = []
    for index, layer in enumerate(layers):
        missed = near_misses(lines, [index], seams) if has_one_spacing(layer) else ()
        missed = tuple(miss for miss in missed if miss.miss_mm > GOOD_MM)
        if missed:
            fit = fit_of(runner, layer, seams)
            findings.append(_finding(index, layer, missed, fit))
    return tuple(findings)


def has_one_spacing(layer: Layer) -> bool:
    """True for layers whose one spacing may be changed: straight lines and even grids."""
    if not isinstance(layer, StraightLayer | GridLayer) or layer.spacings:
        return False
    return isinstance(layer, StraightLayer) or not (layer.spacing_2 or layer.spacings_2)


def fit_of(runner: Runner, layer: Layer, seams: Seams) -> SeamFit | None:
    """The figures that suit the seams best, for a layer that :func:`has_one_spacing` allows."""
    if not isinstance(layer, StraightLayer | GridLayer):
        return None
    angles = layer.angles if isinstance(layer, GridLayer) else (layer.angle,)
    return seam_fit(patches(runner, layer.region), seams, layer.spacing.mm, angles)


def in_project_words(fit: SeamFit) -> str:
    """The fit as keys of the project file."""
    angles = ", ".join(f"{angle:.5g}" for angle in fit.angles_deg)
    key = f"angle = {angles}" if len(fit.angles_deg) == 1 else f"angles = [{angles}]"
    return f'spacing = "{fit.gap_mm:.2f} mm", anchor = "{fit.offset_mm:.2f} mm", {key}'


def _finding(
    number: int, layer: Layer, missed: tuple[NearMiss, ...], fit: SeamFit | None
) -> Finding:
    name = layer.name or layer.kind
    worst = min(missed, key=lambda miss: (miss.miss_mm, miss.at_mm))
    what = "crossing of seams" if worst.crossing else "seam"
    where = f"a {what}" if len(missed) == 1 else f"a seam in {len(missed)} places"
    message = (
        f"{name}: a line passes close beside {where}, less than {both_units(NEAR_MISS_MM, 16)} off:"
        " it will look like a slip"
    )
    settings: tuple[Setting, ...] = ()
    remedy = "change the spacing a little, or let it be; no spacing near this one meets all seams"
    if fit is not None and fit.good:
        remedy = f"to have lines meet the seams write {in_project_words(fit)}"
        remedy += " in place of edge" if getattr(layer, "edge", None) else ""
        settings = _settings(number, layer, fit)
    return Finding("seam-missed", message, remedy, worst.at_mm, settings=settings)


def _settings(number: int, layer: Layer, fit: SeamFit) -> tuple[Setting, ...]:
    angles = ", ".join(f"{angle:.5g}" for angle in fit.angles_deg)
    values = {
        "spacing": f"{fit.gap_mm:.2f} mm",
        "anchor": f"{fit.offset_mm:.2f} mm",
        "angle" if isinstance(layer, StraightLayer) else "angles": angles,
        **({"edge": ""} if getattr(layer, "edge", None) else {}),
    }
    return tuple(Setting(number, key, value) for key, value in values.items())


def seam_fit(
    patches: Sequence[Patch], seams: Seams, gap_mm: float, angles_deg: tuple[float, ...]
) -> SeamFit | None:
    """The best fit near a wished gap and angle, or None where no seam crosses the patches.

    The least greatest miss wins; of those alike the nearest to the wish.
    """
    if not len(seams.lines):
        return None
    touched = seam_contacts(patches, seams)
    fits = []
    for turn in _turns(patches, touched, seams, gap_mm, angles_deg):
        turned = _turn(angles_deg, turn)
        found = np.concatenate([places(touched, seams, angle) for angle in turned])
        if len(found):
            fit = _fit(patches, found, gap_mm, turned)
            away = abs(math.log(fit.gap_mm / gap_mm)) + abs(math.radians(turn))
            fits.append((fit, away))
    if not fits:
        return None
    least = min(fit.worst_mm for fit, _ in fits)
    alike = [
        (away, number) for number, (fit, away) in enumerate(fits) if fit.worst_mm <= least + SAME_MM
    ]
    return fits[min(alike)[1]][0]


def _fit(
    patches: Sequence[Patch], places: Floats, gap_mm: float, angles: tuple[float, ...]
) -> SeamFit:
    """The best fit at these angles."""
    low, high = extent(patches[0].shape, directions(angles[0])[1])
    width = high - low
    first = max(1, math.ceil(width / (gap_mm * GAP_SHARE[1])))
    numbers = np.arange(first, max(first, math.floor(width / (gap_mm * GAP_SHARE[0]))) + 1)
    gaps = width / numbers
    offsets, worst = best_offset(places, gaps)
    away = np.abs(np.log(gaps / gap_mm))
    alike = np.flatnonzero(worst <= worst.min() + SAME_MM)
    at = int(alike[away[alike].argmin()])
    gap, offset = float(gaps[at]), float(offsets[at])
    met = _count_met(places, gap, offset)
    if 2 * met < len(places):
        offset, met = offset + gap / 2, len(places) - met
    offset %= gap
    offset = 0.0 if min(offset, gap - offset) < TOUCHING_MM else offset
    return SeamFit(int(numbers[at]), gap, offset, angles, float(worst[at]), met, len(places) - met)


def _count_met(places: Floats, gap: float, offset: float) -> int:
    """How many places lie nearer a line than the middle between two."""
    share = ((places - offset) / gap) % 1.0
    return int(np.count_nonzero((share < 0.25) | (share >= 0.75)))


def _turns(
    patches: Sequence[Patch],
    touched: SeamContacts,
    seams: Seams,
    gap_mm: float,
    angles_deg: tuple[float, ...],
) -> list[float]:
    """Degrees by which the first angle may turn: none, the best slant, or along seams nearby.

    Lines that run the way of a seam stay; so does a grid whose families are no mirror images.
    """
    mirrored = len(angles_deg) == 1 or abs((sum(angles_deg) + 1e-9) % 180) < 1e-6
    if not mirrored or not len(touched.crossings) or _on_seams(seams, angles_deg):
        return [0.0]
    ahead = _between(seams.crossings[:MOST_CROSSINGS])
    along = _nearby(np.degrees(np.arctan2(*seams.directions.T[::-1])), angles_deg)
    barred = np.column_stack([along, np.full(len(along), math.degrees(SAME_WAY))])
    found = crossings(touched, seams, MOST_CROSSINGS)
    hull = shapely.get_coordinates(shapely.convex_hull(patches[0].shape))
    wish = Wish(gap_mm, angles_deg, hull)
    slopes = np.degrees(np.arctan2(ahead[:, 1], ahead[:, 0]))
    tried = np.concatenate([[0.0], _nearby(slopes, angles_deg)[:MOST_ANGLES]])
    return [0.0, best_turn(wish, found, tried, barred), *along.tolist()]


def _on_seams(seams: Seams, angles_deg: tuple[float, ...]) -> bool:
    """Whether the lines run the way of some seams."""
    normals = np.array([directions(angle)[1] for angle in angles_deg])
    return bool((np.abs(seams.directions @ normals.T) < SAME_WAY).any())


def _between(points: Floats) -> Floats:
    """(k, 2) from each point to each later one."""
    one, other = np.triu_indices(len(points), 1)
    ahead: Floats = points[other] - points[one]
    return ahead


def _nearby(slopes_deg: Floats, angles_deg: tuple[float, ...]) -> Floats:
    """Turns that bring a family of lines to these slopes, the least first; those within reach."""
    turns: list[Floats] = [(slopes_deg - angles_deg[0] + 90) % 180 - 90]
    turns += [-((slopes_deg - angle + 90) % 180 - 90) for angle in angles_deg[1:]]
    together: Floats = np.concatenate(turns).round(6)
    turn = distinct(together[np.abs(together) <= TURN_DEG])
    nearest_first: Floats = turn[np.argsort(np.abs(turn), kind="stable")]
    return nearest_first


def _turn(angles_deg: tuple[float, ...], by: float) -> tuple[float, ...]:
    """The angles with the first turned one way and its mirror image the other."""
    return tuple(angle + (by if index == 0 else -by) for index, angle in enumerate(angles_deg))
