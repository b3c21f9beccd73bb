"""A drawn repeat led round a border and its corners."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from quiltpath.geometry.arrays import Floats, Points
from quiltpath.geometry.free_curves.border_band import BorderBand
from quiltpath.geometry.free_curves.smooth_band import SmoothBand, any_band_of
from quiltpath.geometry.free_curves.smooth_curve import simplify_curve

FULL = 0.9  # of the band's width, at most
CHORDS = 160  # to a repeat, at least
NEAR = 1 / 64  # of a repeat: how the band runs at a place


def repeat_round(
    border: Polygon, parts: Sequence[Points], advance: float, repeat_mm: float, joined: bool
) -> list[Points]:
    """Lines (n, 2) in mm of a drawing repeated clockwise round a border, its top outwards.

    ``parts`` are the paths of one repeat, ``advance`` long. ``joined`` says that the first leads
    from one repeat to the next: then all of it is one closed line that bends with the border, and
    its top lies in each corner. A drawing that is not stands whole and unbent, one in each corner.
    Each side takes a whole number of repeats of about ``repeat_mm``; a drawing too high for the
    border gets more and smaller ones. Raises ``ValueError`` for what is no border.
    """
    everything = np.concatenate(parts)
    low, high = float(everything[:, 1].min()), float(everything[:, 1].max())
    band = any_band_of(border, FULL)
    half = float(band.half_mm.min())
    tallest = 2 * FULL * half / max(high - low, 1e-9)
    wanted = band.repeats_mm(min(repeat_mm, tallest * advance)) / band.whole
    repeats = band.whole * np.maximum(1.0, np.round(wanted))
    count = round(float(repeats.sum()))
    scale = min(float(band.side_lengths_mm().sum()) / count / advance, tallest)
    level = [part - (0.0, (low + high) / 2) for part in parts]
    if not joined:
        middles = band.places(repeats, np.arange(count + 1.0), np.zeros(count + 1))
        scale = min(scale, float(np.hypot(*np.diff(middles, axis=0).T).min()) / advance)
        middle = (float(everything[:, 0].min()) + float(everything[:, 0].max())) / 2
        centred = [(part - (middle, 0.0)) * scale for part in level]
        return [part for k in range(count) for part in _set_down(band, repeats, k, centred)]
    aside = scale / float(band.half_mm.mean())
    top = float(parts[0][np.argmax(parts[0][:, 1]), 0])
    lines = []
    for number, part in enumerate(level):
        dense = shapely.get_coordinates(shapely.segmentize(LineString(part), advance / CHORDS))
        along = (top - dense[:, 0]) / advance
        places = [band.places(repeats, along - k, dense[:, 1] * aside) for k in range(count)]
        if number == 0:
            once = np.concatenate([place[:-1] for place in places])
            places = [np.vstack([once, once[:1]])]
        lines += [simplify_curve(place) for place in places]
    return lines


def _set_down(
    band: BorderBand | SmoothBand, repeats: Floats, place: int, parts: Sequence[Points]
) -> list[Points]:
    """A drawing turned to where the band runs, its middle on the band's middle."""
    along, level = -place + np.array([0.0, NEAR, -NEAR]), np.zeros(3)
    middle, behind, ahead = band.places(repeats, along, level)
    way = (ahead - behind) / np.hypot(*(ahead - behind))
    axes = np.array([way, (-way[1], way[0])])
    return [middle + part @ axes for part in parts]
