"""Feathers: a waving spine with plumes to both sides, drawn as the spine passes them.

Plumes are copies of one another along the spine, in places told by how far along they lie and by
their share of the way from the spine to the edge. In those, neighbours keep a share of their
distance at every height, so no plume crosses another or the spine.
"""

from __future__ import annotations

import math

import numpy as np

from quiltpath.geometry.arrays import Floats

WAVE = 0.3  # of the half width: how far the spine waves
PLUME_WIDE = 0.52  # of the half width, about: from plume to plume
FULL = 0.86  # of the room from plume to plume that one fills
SWEEP = 1.25  # plumes: how far a head lies ahead of its foot
BEND = 2.2  # how soon a plume leaves the spine
FOOT = 0.08  # of the room from plume to plume: between both ends of a plume
STEPS = 40
SPINE_STEPS = 160  # to a wave


def feather(repeats: Floats, slimness: float) -> list[tuple[Floats, Floats]]:
    """Places along (in waves of the spine) and off of one closed line, plumes by turns.

    The spine swings inwards at each corner, where the outer plumes fan out.
    """
    waves = float(repeats.sum())
    plumes = max(4, round(slimness / PLUME_WIDE))
    apart = 1 / plumes
    heads = apart * slimness
    along, off = [], []
    for half in range(round(2 * waves * plumes)):
        side = 1.0 if half % 2 == 0 else -1.0
        foot = half * apart / 2
        ahead, share = _plume(apart, _roundness(foot, side, heads))
        along.append(foot + ahead)
        off.append(_off(foot + ahead, side * share))
        steps = math.ceil(SPINE_STEPS * apart / 2)
        spine = foot + apart * (FOOT + (0.5 - FOOT) * np.arange(1, steps) / steps)
        along.append(spine)
        off.append(_spine(spine))
    return [(np.concatenate(along), np.concatenate(off))]


def _spine(along: Floats) -> Floats:
    return np.asarray(-WAVE * np.cos(2 * np.pi * along))


def _off(along: Floats, share: Floats) -> Floats:
    """Off the middle, for a signed share of the way from the spine to the edge."""
    spine = _spine(along)
    return np.asarray(spine + np.abs(share) * (np.sign(share) - spine))


def _roundness(foot: float, side: float, heads: float) -> float:
    """Share of a plume's height that its head takes, for it to be round."""
    high = 1 - side * float(_spine(np.array([foot]))[0])
    return min(0.5, FULL * heads / 2 / high)


def _plume(apart: float, head: float) -> tuple[Floats, Floats]:
    """Out along the near side, round the head and back along the far side, from foot to foot."""
    turn = np.linspace(0, np.pi / 2, STEPS)
    low = (1 - head) * np.linspace(0, 1, STEPS) ** 2
    share = np.concatenate([low, 1 - head + head * np.sin(turn[1:])])
    foot = FOOT * apart / 2
    body = foot + (FULL * apart / 2 - foot) * _taper(low / (1 - head))
    wide = np.concatenate([body, FULL * apart / 2 * np.cos(turn[1:])])
    middle = foot + SWEEP * apart * (1 - (1 - share) ** BEND)
    ahead = np.concatenate([middle - wide, (middle + wide)[-2::-1]])
    return ahead, np.concatenate([share, share[-2::-1]])


def _taper(share: Floats) -> Floats:
    """From nothing at the foot to the whole width."""
    return np.asarray(np.sin(np.pi / 2 * share) ** 0.8)
