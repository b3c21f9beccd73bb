"""The figures that the checks go by, in one place."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class CheckLimits:
    """What the checks let pass; lengths in mm, angles in degrees. All are common practice.

    ``gap_places``        how many of the widest unquilted places are named
    ``gap_tolerance_mm``  how exactly their diameters are found
    ``often_washed_mm``   quilting no further apart than this outlasts frequent washing; a remark,
                          where the wadding's own limit is what fails
    ``foot_mm``           closest that two rows of stitching may run beside each other: rows at
                          1/8 in (3.2 mm) are sewn on purpose, closer ones climb on their neighbour
    ``join_bulk_mm``      how far the seam allowances of the panel join reach, pressed open
    ``join_angle_deg``    a line that crosses the join at less than this stays long on its bulk
    ``in_the_ditch_deg``  below this a line runs along the join on purpose
    ``edge_mm``           ends this near the finished edge disappear under the binding
    ``beside_mm``         ends this near a sashing line or a motif's outline do not show
    ``hole_passes``       times that thread may pass through one hole before the cloth suffers
    ``hole_mm``           needle points this near each other share a hole
    ``density_ratio``     dense against sparse quilting side by side: more than 2 to 1 puffs,
                          waves, and ripples at the edge
    ``density_window_mm`` width of the part of the runner looked at for density, at the least
    ``bobbin_reserve``    share of a bobbin that is not counted on
    """

    gap_places: int = 5
    gap_tolerance_mm: float = 0.5
    often_washed_mm: float = 75.0
    foot_mm: float = 3.0
    join_bulk_mm: float = 6.35
    join_angle_deg: float = 30.0
    in_the_ditch_deg: float = 2.0
    edge_mm: float = 6.35
    beside_mm: float = 0.5
    hole_passes: int = 4
    hole_mm: float = 0.15
    density_ratio: float = 2.0
    density_window_mm: float = 100.0
    bobbin_reserve: float = 0.05
