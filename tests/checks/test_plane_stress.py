"""Sheets that shrink unevenly, against closed forms and against somebody else's elements."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from skfem import Basis, ElementTriP2, ElementVector, LinearForm, MeshTri, condense, solve
from skfem.helpers import sym_grad, trace
from skfem.models.elasticity import linear_elasticity

from quiltpath.checks.plane_stress import POISSON, ElasticSheet, PlaneStress

Floats = NDArray[np.float64]


def sheet(wide: float, high: float, columns: int, rows: int) -> ElasticSheet:
    return ElasticSheet(
        np.zeros(2), np.array([wide / columns, high / rows]), np.ones((rows, columns))
    )


def middles(of: ElasticSheet) -> tuple[Floats, Floats]:
    """(rows, columns) x and y of the cells' middles."""
    rows, columns = of.cover.shape
    x = of.low_mm[0] + of.cell_mm[0] * (np.arange(columns) + 0.5)
    y = of.low_mm[1] + of.cell_mm[1] * (np.arange(rows) + 0.5)
    along, up = np.meshgrid(x, y)
    return along, up


def disc(radius: float, cells: int) -> ElasticSheet:
    """A disc round the origin, each cell covered by what 16 by 16 points of it say."""
    size = 2 * radius / cells
    fine = -radius + size / 16 * (np.arange(16 * cells) + 0.5)
    inside = np.hypot(*np.meshgrid(fine, fine)) <= radius
    cover = inside.reshape(cells, 16, cells, 16).mean(axis=(1, 3))
    return ElasticSheet(np.full(2, -radius), np.full(2, size), cover)


@given(
    share=st.floats(0.001, 0.1),
    size=st.tuples(st.integers(1, 12), st.integers(1, 12)),
    holes=st.lists(st.tuples(st.integers(0, 11), st.integers(0, 11)), max_size=20),
    poisson=st.floats(0.0, 0.45),
)
@settings(max_examples=40, deadline=None)
def test_even_shrinkage_only_makes_it_smaller(
    share: float, size: tuple[int, int], holes: list[tuple[int, int]], poisson: float
) -> None:
    """The patch test of finite elements: an even strain is met exactly, whatever is missing."""
    rows, columns = size
    cover = np.ones(size)
    for row, column in holes:
        cover[row % rows, column % columns] = 0.5 if (row + column) % 2 else 0.0
    given_sheet = ElasticSheet(np.array([3.0, -7.0]), np.array([20.0, 17.0]), cover)
    moved = PlaneStress(given_sheet, poisson).displaced(np.full(size, share)).moved_mm
    for axis, cell in ((1, 20.0), (0, 17.0)):
        stretched = np.diff(moved, axis=axis)
        own = 0 if axis == 1 else 1
        assert stretched[..., own] == pytest.approx(-share * cell, abs=1e-6)
        assert stretched[..., 1 - own].std() == pytest.approx(0.0, abs=1e-6)


@given(seed=st.integers(0, 10_000), size=st.tuples(st.integers(1, 9), st.integers(1, 14)))
@settings(max_examples=40, deadline=None)
def test_the_mean_of_the_strain_is_the_mean_of_the_shares(seed: int, size: tuple[int, int]) -> None:
    """In a free body the stress has the mean nought, so elastic strain adds nothing to the mean;
    by Gauss's theorem the mean strain is what the edges move apart."""
    shares = np.random.default_rng(seed).uniform(0, 0.05, size)
    whole = sheet(10.0 * size[1], 12.0 * size[0], size[1], size[0])
    moved = PlaneStress(whole).displaced(shares).moved_mm
    apart = moved[:, -1, 0] - moved[:, 0, 0]
    up = moved[-1, :, 1] - moved[0, :, 1]
    along = (apart[1:] + apart[:-1]).mean() / 2 / (10.0 * size[1])
    across = (up[1:] + up[:-1]).mean() / 2 / (12.0 * size[0])
    assert [along, across] == pytest.approx([-shares.mean()] * 2, rel=1e-9)


@pytest.mark.parametrize(("wide", "high"), [(1800.0, 360.0), (360.0, 1800.0)])
def test_a_strip_shrunk_on_one_side_bends_as_a_strip_of_two_metals(
    wide: float, high: float
) -> None:
    """Timoshenko 1925, Analysis of bi-metal thermostats, J. Opt. Soc. Am. 11: two equal layers of
    one modulus bend to the curvature 3/2 x difference of strain / whole thickness."""
    upright = high > wide
    strip = sheet(wide, high, *((16, 80) if upright else (80, 16)))
    x, y = middles(strip)
    shares = np.where((x < wide / 2) if upright else (y < high / 2), 0.02, 0.0)
    lies = PlaneStress(strip).displaced(shares)
    long, thick = max(wide, high), min(wide, high)
    # Between the ends, where Saint-Venant's disturbance has died away.
    at = long * np.array([0.3, 0.5, 0.7])
    line = np.stack([np.full(3, thick / 2), at] if upright else [at, np.full(3, thick / 2)], axis=1)
    low, middle, high_ = lies.at(line)[:, 0 if upright else 1]
    curvature = (low - 2 * middle + high_) / (0.2 * long) ** 2
    # The side that shrinks is the inner one: the ends come towards it.
    assert curvature == pytest.approx(-1.5 * 0.02 / thick, rel=0.01)


def test_a_strip_shrunk_in_its_left_half_is_narrower_there_and_true_in_both() -> None:
    """Away from the joint each half is as large as it would be alone; the joint is gone within a
    width (Saint-Venant)."""
    strip = sheet(1600.0, 200.0, 128, 16)
    x, _ = middles(strip)
    lies = PlaneStress(strip).displaced(np.where(x < 800, 0.03, 0.0))

    def width(at: float) -> float:
        low, high = lies.at(np.array([[at, 0.0], [at, 200.0]]))
        return float(200.0 + high[1] - low[1])

    assert [width(at) for at in (0.0, 300.0, 500.0)] == pytest.approx([194.0] * 3, abs=0.02)
    assert [width(at) for at in (1100.0, 1300.0, 1600.0)] == pytest.approx([200.0] * 3, abs=0.02)
    ends = lies.at(np.array([[0.0, 100.0], [1600.0, 100.0]]))
    assert 1600.0 + ends[1, 0] - ends[0, 0] == pytest.approx(1600 - 0.03 * 800, abs=0.02)
    assert 194.0 < width(780.0) < width(820.0) < 200.0


@pytest.mark.parametrize("poisson", [0.15, 0.4])
def test_a_disc_shrunk_round_its_middle_is_that_of_the_handbook(poisson: float) -> None:
    """Timoshenko and Goodier, Theory of Elasticity, thermal stress in a thin disc (from memory):
    u(r) = (1 + v) / r x int_0^r T r dr + (1 - v) r / b^2 x int_0^b T r dr; at the edge s a^2 / b.
    """
    outer, inner, share = 300.0, 150.0, 0.04
    whole = disc(outer, 40)
    fine = disc(inner, 20).cover  # the same cells: 15 mm
    shares = np.zeros((40, 40))
    shares[10:30, 10:30] = share * fine
    lies = PlaneStress(whole, poisson).displaced(shares)

    def inwards(radius: float) -> float:
        turn = np.radians(np.arange(0, 360, 30.0))
        out = np.stack([np.cos(turn), np.sin(turn)], axis=1)
        moved = lies.at(radius * out)
        return -float(((moved - moved.mean(axis=0)) * out).sum(axis=1).mean())

    half = share * inner**2 / 2
    assert inwards(outer) == pytest.approx(share * inner**2 / outer, rel=0.02)
    at_inner = (1 + poisson) * half / inner + (1 - poisson) * inner / outer**2 * half
    assert inwards(inner) == pytest.approx(at_inner, rel=0.03)


def smooth(x: Floats, y: Floats) -> Floats:
    """Shares that are odd in no way: dense at one corner, sparse along one side."""
    return 0.02 + 0.015 * np.sin(x / 170 + 0.4) * np.cos(y / 90) - 0.01 * (y / 240) ** 2


def by_quadratic_elements(points: Floats, wide: float, high: float) -> Floats:
    """The same by scikit-fem, on quadratic triangles, its own elasticity and its own solver."""
    young, poisson = 1.0, POISSON
    shear, lame = young / (2 * (1 + poisson)), young * poisson / (1 - poisson**2)  # plane stress
    mesh = MeshTri.init_tensor(np.linspace(0, wide, 41), np.linspace(0, high, 13))
    basis = Basis(mesh, ElementVector(ElementTriP2()), intorder=6)
    stiffness = linear_elasticity(lame, shear).assemble(basis)

    @LinearForm
    def shrinking(v, w):  # type: ignore[no-untyped-def]
        return -(2 * lame + 2 * shear) * smooth(*w.x) * trace(sym_grad(v))

    fixed = basis.nodal_dofs[:, 0].tolist()
    corner = int(np.argmin(np.hypot(mesh.p[0] - wide, mesh.p[1])))
    fixed.append(int(basis.nodal_dofs[1, corner]))
    u = solve(*condense(stiffness, shrinking.assemble(basis), D=np.array(fixed)))
    found = basis.probes(points.T) @ u
    return np.asarray(found.reshape(2, -1).T)


def without_rigid_motion(points: Floats, moved: Floats) -> Floats:
    """Small shift and turn taken off by least squares."""
    x, y = points.T
    one, nought = np.ones_like(x), np.zeros_like(x)
    rigid = np.stack(
        [np.r_[one, nought], np.r_[nought, one], np.r_[-(y - y.mean()), x - x.mean()]], axis=1
    )
    flat = moved.T.ravel()
    left = flat - rigid @ np.linalg.lstsq(rigid, flat, rcond=None)[0]
    return np.asarray(left.reshape(2, -1).T)


def test_the_coarse_mesh_agrees_with_fine_quadratic_elements() -> None:
    wide, high = 900.0, 240.0
    own = sheet(wide, high, 60, 16)
    x, y = np.meshgrid(np.linspace(0, wide, 19), np.linspace(0, high, 7))
    points = np.stack([x.ravel(), y.ravel()], axis=1)
    ours = without_rigid_motion(
        points, PlaneStress(own).displaced(smooth(*middles(own))).at(points)
    )
    theirs = without_rigid_motion(points, by_quadratic_elements(points, wide, high))
    even = -0.02 * (points - points.mean(axis=0))
    uneven = np.abs(theirs - even).max()
    assert uneven > 3.0, "the case is uneven enough to say something"
    assert np.abs(ours - theirs).max() < 0.02 * uneven
