"""A closed line that settles: it is held taut, pushed off itself and off the walls.

After H. Pedersen and K. Singh, "Organic labyrinths and mazes", NPAR 2006: every point is drawn to
the middle of its neighbours and pushed off by what is nearer than the spacing. Pairs, and the way
off the wall, are looked up anew now and then; all else is a few sums over arrays a step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import csr_array
from scipy.spatial import cKDTree

from quiltpath.geometry.arrays import Floats, Points
from quiltpath.geometry.free_curves.room_raster import RoomRaster

Spacing = Callable[[Points], Floats]

RENEW = 10
LONGEST_MOVE = 0.12  # of a spacing, in one step


@dataclass(frozen=True)
class RelaxationSetting:
    """How a line settles: ``reach`` in spacings, the strength of each pull, and steps."""

    steps: int = 100
    points: float = 4
    """points of the line to a spacing"""
    reach: float = 1.4
    push: float = 0.36
    taut: float = 0.2
    wall: float = 3.0


@dataclass(frozen=True)
class Room:
    """The pixels of a room with, for each, how far the wall is and the way off it.

    ``field`` (rows, columns, 3): distance to the wall in mm, less a play by which the line may
    keep off, and the inward direction.
    """

    raster: RoomRaster
    field: Floats

    @classmethod
    def of(cls, raster: RoomRaster, play_mm: Floats) -> Room:
        up, along = np.gradient(raster.wall_mm, raster.step_mm)
        return cls(raster, np.stack([raster.wall_mm - play_mm, along, up], axis=-1))


def relax(line: Points, room: Room, spacing: Spacing, how: RelaxationSetting) -> Points:
    """The settled line, simple if the given one is: steps that made it cross itself are undone.

    Both are closed, (n, 2) in mm, the first point not repeated.
    """
    line = space_evenly(line, spacing, how.points)
    kept, push = line, how.push
    for turn in range(how.steps // RENEW):
        line = space_evenly(_some_steps(line, room, spacing(line), how, push), spacing, how.points)
        if turn % 3 == 2:
            if is_simple(line):
                kept = line
            else:
                line, push = kept, push / 2
    return line if is_simple(line) else kept


def is_simple(line: Points) -> bool:
    """Whether a closed line (n, 2) never touches itself."""
    return bool(shapely.is_simple(shapely.LinearRing(line)))


def space_evenly(line: Points, spacing: Spacing, points: float) -> Points:
    """The closed line (n, 2) in mm with points evenly apart, so many to the spacing there."""
    closed = np.vstack([line, line[:1]])
    step = np.hypot(*np.diff(closed, axis=0).T)
    middle = (closed[1:] + closed[:-1]) / 2
    way = np.concatenate([[0.0], np.cumsum(step / spacing(middle))])
    count = max(8, round(way[-1] * points))
    at = np.arange(count) * way[-1] / count
    return np.stack([np.interp(at, way, closed[:, 0]), np.interp(at, way, closed[:, 1])], axis=1)


def _some_steps(
    line: Points, room: Room, local: Floats, how: RelaxationSetting, push: float
) -> Points:
    pairs = _pairs(line, local, how)
    first, second = np.repeat(np.arange(len(line)), np.diff(pairs.indptr)), pairs.indices
    back = pairs.T
    reach = how.reach * (local[first] + local[second]) / 2
    seen = room.raster.read(room.field, line)
    inward = seen[:, 1:3].T
    start, at, ones = line.T.copy(), line.T.copy(), np.ones(len(line))
    for _ in range(RENEW):
        far = np.hypot(at[0][first] - at[0][second], at[1][first] - at[1][second])
        pairs.data[:] = np.maximum(reach / far - 1.0, 0.0)
        pull = at * (pairs @ ones + back @ ones)
        pull -= np.stack([pairs @ axis + back @ axis for axis in at])
        wall = seen[:, 0] + ((at - start) * inward).sum(axis=0)
        pull += (
            np.maximum((how.reach - 1) * local - 2 * wall, 0) * how.wall * how.points / 4 * inward
        )
        move = _across(at, push / how.points * pull)
        move += how.taut * (how.points / 4) ** 2 * _to_the_middle(at) - np.minimum(wall, 0) * inward
        size = np.hypot(*move) + 1e-9
        at = at + move * np.minimum(1.0, LONGEST_MOVE * local / size)
    return at.T


def _to_the_middle(at: Points) -> Points:
    round_about = np.concatenate([at[:, -1:], at, at[:, :1]], axis=1)
    return (round_about[:, 2:] + round_about[:, :-2]) / 2 - at


def _across(at: Points, pull: Points) -> Points:
    """What of the pull is square to the line; along it the points are spread evenly anyway."""
    round_about = np.concatenate([at[:, -1:], at, at[:, :1]], axis=1)
    along = round_about[:, 2:] - round_about[:, :-2]
    along /= np.hypot(*along) + 1e-9
    square = np.stack([-along[1], along[0]])
    return square * (pull * square).sum(axis=0)


def _pairs(line: Points, local: Floats, how: RelaxationSetting) -> csr_array:
    """Points near each other that are not near along the line, each pair once."""
    count, reach = len(line), how.reach + 0.15
    pairs = cKDTree(line).query_pairs(reach * local.max(), output_type="ndarray")
    first, second = pairs.T
    apart = np.abs(first - second)
    apart = np.minimum(apart, count - apart)
    way = line[first] - line[second]
    bound = (reach * (local[first] + local[second]) / 2) ** 2
    good = (apart > how.points) & (np.einsum("ij,ij->i", way, way) < bound)
    first, second = first[good], second[good]
    return csr_array((np.ones(len(first)), (first, second)), shape=(count, count))
