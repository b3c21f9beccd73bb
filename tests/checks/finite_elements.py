"""The membrane by somebody else's finite elements: quadratic ones of scikit-fem."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from skfem import Basis, ElementTriP2, MeshTri, condense, solve
from skfem.models.poisson import laplace, unit_load

Floats = NDArray[np.float64]


def membrane_at(
    points: Floats, wide: float, high: float, held: Floats, cells: tuple[int, int]
) -> Floats:
    """u at (n, 2) points of a rectangle with -laplace(u) = 1, u = 0 on its edge and at ``held``.

    ``held`` (k, 2) are nodes of the mesh of ``cells`` by cells, each cut into two triangles.
    """
    mesh = MeshTri.init_tensor(
        np.linspace(0, wide, cells[0] + 1), np.linspace(0, high, cells[1] + 1)
    )
    basis = Basis(mesh, ElementTriP2())
    fixed = basis.get_dofs().all()
    if len(held):
        away, _ = cKDTree(held).query(basis.doflocs.T)
        fixed = np.union1d(fixed, np.flatnonzero(away < 1e-6))
    u = solve(*condense(laplace.assemble(basis), unit_load.assemble(basis), D=fixed))
    found: Floats = basis.probes(points.T) @ u
    return found
