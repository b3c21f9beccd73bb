"""Direction fields: which way lines run at a point. Only the line counts, not its sense.

A field takes (n, 2) points in mm and returns (n, 2) vectors of any length.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import csr_array, diags_array
from scipy.sparse.linalg import spsolve
from scipy.spatial import cKDTree
from shapely.geometry import LineString, Polygon

from quiltpath.geometry.arrays import Points
from quiltpath.geometry.free_curves.room_raster import RoomRaster, raster_of

Field = Callable[[Points], Points]

PANELS = 480
AT_ONCE = 2_000  # points, for the sake of memory
PANELS_A_MOTIF = (16, 80)


def straight(heading_deg: float) -> Field:
    """Lines at one angle to the runner."""
    angle = np.radians(heading_deg)
    return lambda at: np.tile([np.cos(angle), np.sin(angle)], (len(at), 1))


def radial(centre_mm: tuple[float, float], twist_deg: float = 0.0) -> Field:
    """Rays from a centre; turned by ``twist_deg`` they are spirals that cross each ray at that
    angle (logarithmic spirals), at 90 degrees circles."""
    turn = np.exp(1j * np.radians(twist_deg))

    def field(at: Points) -> Points:
        way = (at[:, 0] - centre_mm[0] + 1j * (at[:, 1] - centre_mm[1])) * turn
        return np.stack([way.real, way.imag], axis=1)

    return field


def along_spine(spine: LineString, across: bool = False) -> Field:
    """Lines that run as the nearest piece of a spine does, or square to it."""
    points = shapely.get_coordinates(spine.segmentize(1.0))
    heading = np.gradient(points, axis=0)
    tree = cKDTree(points)

    def field(at: Points) -> Points:
        far, near = tree.query(at, k=min(9, len(points)))
        weight = 1 / (far + 1.0) ** 2
        way = (heading[near] * weight[..., None]).sum(axis=1)
        return np.stack([-way[:, 1], way[:, 0]], axis=1) if across else way

    return field


def water(motifs: Sequence[Polygon], heading_deg: float = 0.0) -> Field:
    """Lines that part before motifs and close behind them, as an even stream does.

    The potential flow past bodies, by source panels: J. L. Hess and A. M. O. Smith, "Calculation of
    potential flow about arbitrary bodies", Prog. Aerospace Sci. 8, 1967.
    """
    stream = np.exp(-1j * np.radians(heading_deg))  # complex velocity u - iv
    if not motifs:
        return straight(heading_deg)
    start, end = _panels(motifs)
    tangent = (end - start) / np.abs(end - start)
    middle = (start + end) / 2
    seen = _panel_velocity(middle, start, end) * (tangent * -1j)[:, None]
    normal = seen.real  # of u - iv times n = n_x + i n_y: the part along n
    np.fill_diagonal(normal, 0.5)
    strength = np.linalg.solve(normal, -(stream * tangent * -1j).real)

    def field(at: Points) -> Points:
        where = at[:, 0] + 1j * at[:, 1]
        pieces = np.array_split(where, len(where) // AT_ONCE + 1)
        induced = [_panel_velocity(piece, start, end) @ strength for piece in pieces]
        flow = stream + np.concatenate(induced)
        return np.stack([flow.real, -flow.imag], axis=1)

    return field


def _panels(motifs: Sequence[Polygon]) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Straight panels round each motif, anticlockwise, so that -i times the way is outward."""
    count = int(np.clip(PANELS // len(motifs), *PANELS_A_MOTIF))
    starts, ends = [], []
    for motif in motifs:
        ring = shapely.orient_polygons(motif).exterior
        at = np.linspace(0, ring.length, count + 1)[:-1]
        xy = shapely.get_coordinates(shapely.line_interpolate_point(ring, at))
        z = xy[:, 0] + 1j * xy[:, 1]
        starts.append(z)
        ends.append(np.roll(z, -1))
    return np.concatenate(starts), np.concatenate(ends)


def _panel_velocity(
    at: NDArray[np.complex128], start: NDArray[np.complex128], end: NDArray[np.complex128]
) -> NDArray[np.complex128]:
    """Complex velocity (points, panels) of a source of unit strength a mm spread on each panel."""
    along = (end - start) / np.abs(end - start)
    ratio = (at[:, None] - start) / np.where(at[:, None] == end, 1e-9, at[:, None] - end)
    return np.log(np.where(ratio == 0, 1e-9, ratio)) / (2 * np.pi * along)


def along_edges(region: Polygon, step_mm: float, round_mm: float = 0.0) -> Field:
    """Lines that run along the edge and round every motif, and as evenly as may be between.

    Twice the angle is carried in from the boundary by Laplace's equation, as in F. Knöppel et al.,
    "Globally optimal direction fields", ACM Trans. Graph. 32, 2013; half turns meet in points.
    Corners are rounded by ``round_mm``, since a field has two directions in a sharp one.
    """
    eased = region.buffer(-round_mm).buffer(2 * round_mm).buffer(-round_mm)
    if isinstance(eased, Polygon) and not eased.is_empty:
        region = eased
    raster = raster_of(region, step_mm)
    inside = raster.inside & (raster.wall_mm > 0.75 * step_mm)
    double = _edge_angle(region, raster, step_mm)
    values = np.stack([double.real, double.imag], axis=-1).reshape(*inside.shape, 2)
    values[inside] = _carried_in(inside, values)

    def field(at: Points) -> Points:
        twice = raster.read(values, at)
        angle = np.arctan2(twice[:, 1], twice[:, 0]) / 2
        return np.stack([np.cos(angle), np.sin(angle)], axis=1)

    return field


def _edge_angle(region: Polygon, raster: RoomRaster, step_mm: float) -> NDArray[np.complex128]:
    """Unit numbers of twice the angle of the nearest edge, one for each pixel."""
    middles, ways = [], []
    for ring in shapely.get_parts(shapely.get_rings(region)):
        points = shapely.get_coordinates(ring.segmentize(step_mm / 4))
        way = np.diff(points, axis=0)
        middles.append((points[1:] + points[:-1]) / 2)
        ways.append(way[:, 0] + 1j * way[:, 1])
    _, near = cKDTree(np.concatenate(middles)).query(raster.centres())
    way = np.concatenate(ways)[near]
    return (way / np.abs(way)) ** 2


def _carried_in(inside: NDArray[np.bool_], values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Values of the inner pixels, each the mean of its four neighbours, given those outside."""
    count = np.count_nonzero(inside)
    number = np.full(inside.shape, -1, dtype=np.intp)
    number[inside] = np.arange(count)
    rows, columns = np.nonzero(inside)
    known = np.zeros((count, 2))
    first, second = [], []
    for down, along in ((0, 1), (0, -1), (1, 0), (-1, 0)):
        other = number[rows + down, columns + along]
        free = other >= 0
        first.append(number[rows, columns][free])
        second.append(other[free])
        known[~free] += values[rows + down, columns + along][~free]
    i, j = np.concatenate(first), np.concatenate(second)
    pulls = csr_array((np.ones(len(i)), (i, j)), shape=(count, count))
    system = (diags_array(np.full(count, 4.0)) - pulls).tocsc()
    return np.asarray(spsolve(system, known)).reshape(count, 2)


def singular_points(
    field: Field, region: Polygon, step_mm: float
) -> tuple[Points, NDArray[np.float64]]:
    """Where the field has no direction: (n, 2) places and their indices, such as 1/2 or -1.

    The index of a pixel's square is how often the line turns round on a way round it. Over a
    region they sum to the turns along its boundary (Poincaré and Hopf).
    """
    raster = raster_of(region, step_mm)
    centres = raster.centres()
    way = field(centres)
    twice = np.arctan2(way[:, 1], way[:, 0]).reshape(raster.wall_mm.shape) * 2
    round_square = [twice[:-1, :-1], twice[:-1, 1:], twice[1:, 1:], twice[1:, :-1]]
    turned = sum(
        np.angle(np.exp(1j * (after - before)))
        for before, after in zip(round_square, [*round_square[1:], round_square[0]], strict=True)
    )
    index = np.round(turned / (2 * np.pi)) / 2
    whole = raster.inside
    inner = whole[:-1, :-1] & whole[:-1, 1:] & whole[1:, 1:] & whole[1:, :-1]
    rows, columns = np.nonzero(inner & (index != 0))
    places = np.asarray(raster.corner_mm) + raster.step_mm * np.stack(
        [columns + 0.5, rows + 0.5], axis=1
    )
    return places, index[rows, columns]
