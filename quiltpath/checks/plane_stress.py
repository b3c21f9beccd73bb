"""How a sheet lies that every place of it would shrink by a share of its own: plane stress.

Finite elements with the shrinkage as an initial strain (Zienkiewicz and Taylor, The Finite Element
Method, chapter on plane stress; from memory): squares with four nodes, nothing held, nothing
pulling. A cell that is cloth in part is softer by that part (finite cells: Parvizian, Düster and
Rank 2007, Comput. Mech. 41). Columns of nodes only know their neighbours, so they are eliminated
one by one (block tridiagonal elimination: Golub and Van Loan, Matrix Computations, 4.5). Written in
numpy, because loading a library's band solver takes longer than all of this.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from quiltpath.geometry.arrays import Floats, Points

POISSON = 0.3
"""Of quilted cloth: nobody knows, and between 0.1 and 0.4 outlines differ by hundredths of a mm."""

SOFT = 1e-6
"""Stiffness of a cell without cloth: nothing next to cloth, enough that no node hangs loose."""


@dataclass(frozen=True)
class ElasticSheet:
    """Cells of equal size, row 0 lowest.

    ``low_mm``   (2,) lower left corner, (x, y)
    ``cell_mm``  (2,) size of a cell along and up
    ``cover``    (rows, columns) share of each cell that is cloth, 0 to 1
    """

    low_mm: Floats
    cell_mm: Floats
    cover: Floats

    @property
    def turned(self) -> ElasticSheet:
        """The same with x and y exchanged."""
        return ElasticSheet(self.low_mm[::-1], self.cell_mm[::-1], self.cover.T)


@dataclass(frozen=True)
class Displacement:
    """(rows + 1, columns + 1, 2) how far each node of ``sheet`` moves along and up, in mm."""

    sheet: ElasticSheet
    moved_mm: Floats

    def at(self, points: Points) -> Points:
        """(n, 2) how far points of the sheet move, linear between the nodes."""
        rows, columns = self.sheet.cover.shape
        place = (points - self.sheet.low_mm) / self.sheet.cell_mm
        column, row = np.clip(np.floor(place), 0, [columns - 1, rows - 1]).astype(np.intp).T
        right, up = (place - np.stack([column, row], axis=1)).T[:, :, None]
        low = (1 - right) * self.moved_mm[row, column] + right * self.moved_mm[row, column + 1]
        high = (1 - right) * self.moved_mm[row + 1, column]
        high += right * self.moved_mm[row + 1, column + 1]
        return np.asarray((1 - up) * low + up * high)


class PlaneStress:
    """A sheet with its equations eliminated once, to be asked for many shrinkages.

    Args:
        sheet: the cells; of n by m cells, m the more, the work grows with n cubed times m.
        poisson: Poisson's ratio. How stiff and how thick the cloth is falls out.

    Example:
        >>> import numpy as np
        >>> sheet = ElasticSheet(np.zeros(2), np.full(2, 10.0), np.ones((4, 20)))
        >>> lies = PlaneStress(sheet).displaced(np.full((4, 20), 0.02))
        >>> along = lies.at(np.array([[200.0, 20.0]])) - lies.at(np.array([[0.0, 20.0]]))
        >>> round(float(along[0, 0]), 6)
        -4.0
    """

    def __init__(self, sheet: ElasticSheet, poisson: float = POISSON) -> None:
        self._sheet = sheet
        self._turns = sheet.cover.shape[0] > sheet.cover.shape[1]
        own = sheet.turned if self._turns else sheet
        self._stiffness = np.maximum(own.cover, SOFT)
        element, self._pull = _element(own.cell_mm, poisson)
        blocks, beside = _columns(self._stiffness, element)
        self._inverse, self._carry = _eliminated(blocks, beside)

    def displaced(self, share: Floats) -> Displacement:
        """Where the sheet comes to lie when each cell would shrink by its ``share`` both ways.

        ``share`` is (rows, columns). The sheet as a whole is left where it is but for a shift and
        a turn, which no shrinkage settles.
        """
        load = self._loads(share.T if self._turns else share)
        reached = np.empty_like(load)
        for column, inverse in enumerate(self._inverse):
            left = self._carry[column - 1].T @ load[column - 1] if column else 0.0
            load[column] -= left
            reached[column] = inverse @ load[column]
        for column in range(len(load) - 2, -1, -1):
            reached[column] -= self._carry[column] @ reached[column + 1]
        moved = reached.reshape(len(load), -1, 2)
        nodes = moved[..., ::-1] if self._turns else moved.transpose(1, 0, 2)
        return Displacement(self._sheet, nodes)

    def _loads(self, share: Floats) -> Floats:
        """(columns, 2 x nodes) forces that shrink each cell alone."""
        rows, columns = share.shape
        weight = -self._stiffness * share
        load = np.zeros((columns + 1, rows + 1, 2))
        for right in (0, 1):
            for up in (0, 1):
                pull = self._pull[right, up]
                load[right : columns + right, up : rows + up] += weight.T[..., None] * pull
        return load.reshape(columns + 1, -1)


def _element(cell: Floats, poisson: float) -> tuple[Floats, Floats]:
    """(8, 8) stiffness of a cell, nodes lower left, upper left, lower right, upper right, and
    (2, 2, 2) forces at its nodes [right, up] that strain it by 1 both ways."""
    elastic = np.array([[1, poisson, 0], [poisson, 1, 0], [0, 0, (1 - poisson) / 2]])
    elastic /= 1 - poisson**2
    stiffness, pull = np.zeros((8, 8)), np.zeros(8)
    gauss = 0.5 + np.array([-0.5, 0.5]) / np.sqrt(3)
    for x in gauss:
        for y in gauss:
            along = np.array([y - 1, -y, 1 - y, y]) / cell[0]
            upwards = np.array([x - 1, 1 - x, -x, x]) / cell[1]
            strain = np.zeros((3, 8))
            strain[0, ::2] = strain[2, 1::2] = along
            strain[1, 1::2] = strain[2, ::2] = upwards
            weight = float(cell.prod()) / 4
            stiffness += weight * strain.T @ elastic @ strain
            pull += weight * strain.T @ elastic @ [1.0, 1.0, 0.0]
    return stiffness, pull.reshape(2, 2, 2)


def _columns(stiffness: Floats, element: Floats) -> tuple[Floats, Floats]:
    """(columns + 1, n, n) blocks of each column of nodes, (columns, n, n) to the next one."""
    rows, columns = stiffness.shape
    size = 2 * (rows + 1)
    blocks, beside = np.zeros((columns + 1, size, size)), np.zeros((columns, size, size))
    first = 2 * np.arange(rows)
    for a in range(4):
        for b in range(4):
            blocks[:-1, first + a, first + b] += stiffness.T * element[a, b]
            blocks[1:, first + a, first + b] += stiffness.T * element[4 + a, 4 + b]
            beside[:, first + a, first + b] += stiffness.T * element[a, 4 + b]
    # Three springs against a shift and a turn: what shrinks freely puts no load on them.
    blocks[0, 0, 0] += 1.0
    blocks[0, 1, 1] += 1.0
    blocks[-1, 1, 1] += 1.0
    return blocks, beside


def _eliminated(blocks: Floats, beside: Floats) -> tuple[Floats, Floats]:
    """Inverse of each column's block once those before it are gone, and inverse times beside."""
    inverse, carry = np.empty_like(blocks), np.empty_like(beside)
    block = blocks[0]
    for column in range(len(blocks)):
        inverse[column] = np.linalg.inv(block)
        if column < len(beside):
            carry[column] = inverse[column] @ beside[column]
            block = blocks[column + 1] - beside[column].T @ carry[column]
    return inverse, carry
