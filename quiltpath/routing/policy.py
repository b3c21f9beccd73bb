"""Sewing policies: a table of costs and an order, so that a new way of sewing is a row, not code.

Costs are in millimetres of sewing: a cost of 2 for each millimetre retraced says that the quilter
would rather sew 2 mm of new line than 1 mm twice, and a jump that costs 150 mm is made where no
joining path of less than 150 mm (each millimetre taken at its own cost) is to be had.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.units import parse_length

Order = Literal["centre-outwards", "nearest", "least-travel", "alternate-leanings"]
Direction = Literal["one-way", "there-and-back", "any"]
Corner = Literal["lower-left", "lower-right", "upper-left", "upper-right"]
Roles = Literal["mixed", "hold-first", "one-by-one"]
Regions = Literal["mixed", "centre-outwards", "along"]


@dataclass(frozen=True)
class Policy:
    """How lines may be joined, and in which order the runs are sewn.

    ``margin``        whether thread may run along the wadding margin outside the finished edge,
                      also from lines that end within 1/4 in of it, where the binding covers that
    ``margin_cost``   cost of one millimetre there
    ``clearance``     whether thread may run along the curve at a motif's clearance
    ``clearance_cost``  cost of one millimetre there
    ``step``          whether rings and outlines are tied to others by a few stitches across
    ``step_longest_mm``  the longest of these, 1 1/4 in, so that rings about an inch apart are tied
    ``retrace``       whether retraceable lines may be sewn a second time
    ``retrace_cost``  cost of one millimetre sewn again
    ``retrace_cap_mm``  the longest stretch that is sewn again in one go
    ``inside_cost``   cost of a start or end on the cloth, where a line reaches the edge
    ``jump_cost``     cost of a trim with its two securings
    ``turn_cost``     cost of leaving a line for another where straight on is possible
    ``roles``         ``"one-by-one"``: hold lines, then outlines, then fill, never mixed in a run;
                      ``"hold-first"``: hold lines before all else; or ``"mixed"``
    ``regions``       in which order a block, strip or border is finished before the next:
                      ``"centre-outwards"``, half by half; ``"along"``, from one end of the runner
                      to the other; or ``"mixed"``, not one by one
    ``starts_first``  roles and regions are kept apart only where that costs no start more; the
                      thread then runs on from one to the next over optional edges
    ``order``         ``"centre-outwards"``, ``"nearest"``, ``"least-travel"``, or
                      ``"alternate-leanings"``: of lines that lean either way one of each in turn,
                      so that the cloth is not pulled askew on the way
    ``direction``     of parallel lines when sewn centre-outwards: ``"one-way"`` in each half,
                      ``"there-and-back"``, or ``"any"``
    ``region_direction``  of parallel lines within a region, where drag cannot add up
    ``start``         corner of the runner where sewing begins
    ``tolerance_mm``  gaps up to this are closed, lines this close lie on each other
    ``shortest_mm``   lines shorter than this, one stitch, are joined to a neighbour or dropped
    """

    margin: bool = False
    margin_cost: float = 0.5
    clearance: bool = False
    clearance_cost: float = 0.5
    step: bool = False
    step_longest_mm: float = 31.75
    retrace: bool = False
    retrace_cost: float = 1.0
    retrace_cap_mm: float = 100_000.0
    inside_cost: float = 0.0
    jump_cost: float = 150.0
    turn_cost: float = 10.0
    roles: Roles = "mixed"
    regions: Regions = "mixed"
    starts_first: bool = False
    order: Order = "least-travel"
    direction: Direction = "any"
    region_direction: Direction = "there-and-back"
    start: Corner = "lower-left"
    tolerance_mm: float = 0.2
    shortest_mm: float = 3.0

    @property
    def joins_in_order(self) -> bool:
        """Whether the order comes first and the margin then joins runs that follow one another."""
        return self.margin and self.order == "centre-outwards"

    @property
    def links_stages(self) -> bool:
        """Whether thread runs on from what is sewn first to what is sewn next."""
        return self.starts_first and not self.joins_in_order


POLICIES: dict[str, Policy] = {
    "walking-foot": Policy(
        retrace=True,
        retrace_cost=2.0,
        retrace_cap_mm=100.0,
        jump_cost=200.0,
        roles="one-by-one",
        regions="centre-outwards",
        order="centre-outwards",
        direction="one-way",
    ),
    "continuous": Policy(
        margin=True,
        margin_cost=0.5,
        clearance=True,
        step=True,
        retrace=True,
        retrace_cost=1.0,
        inside_cost=100.0,
        jump_cost=50_000.0,
        roles="hold-first",
        regions="along",
        starts_first=True,
        order="least-travel",
    ),
    "hoop": Policy(
        margin=True,
        margin_cost=1.0,
        clearance=True,
        clearance_cost=1.0,
        step=True,
        retrace=True,
        retrace_cost=1.0,
        retrace_cap_mm=300.0,
        jump_cost=300.0,
        order="least-travel",
    ),
}
"""One row a policy. A walking foot keeps to the line and works from the centre; a frame sews one
path; a hoop saves trims first, then travel."""

_CHOICES: dict[str, tuple[str, ...]] = {
    "roles": get_args(Roles),
    "regions": get_args(Regions),
    "order": get_args(Order),
    "direction": get_args(Direction),
    "region_direction": get_args(Direction),
    "start": get_args(Corner),
}
_FIELD_OF_KEY = {field.name.removesuffix("_mm"): field.name for field in fields(Policy)}


def policy_named(name: str, settings: Mapping[str, Any] | None = None) -> Policy:
    """The policy of that name, with ``settings`` in place of its own values.

    Args:
        name: ``"walking-foot"``, ``"continuous"`` or ``"hoop"``.
        settings: by the fields of :class:`Policy`, lengths without ``_mm`` and with a unit.

    Returns:
        Costs and an order, as data.

    Raises:
        ValueError: a plain sentence for a name, key or value that there is not.

    Example:
        >>> policy_named("continuous", {"retrace_cap": "4 in"}).retrace_cap_mm
        101.6
    """
    if name not in POLICIES:
        raise ValueError(f"there is no policy {name!r}; use {_listed(POLICIES)}")
    changed = {}
    for key, value in (settings or {}).items():
        if key not in _FIELD_OF_KEY:
            raise ValueError(f"a policy has no setting {key!r}; use {_listed(_FIELD_OF_KEY)}")
        changed[_FIELD_OF_KEY[key]] = _checked(key, value)
    return replace(POLICIES[name], **changed)


def start_corner(policy: Policy, finished: Polygon) -> NDArray[np.float64]:
    """The corner of the finished rectangle where the policy begins."""
    low_x, low_y, high_x, high_y = finished.bounds
    return np.array(
        [
            high_x if policy.start.endswith("right") else low_x,
            high_y if policy.start.startswith("upper") else low_y,
        ]
    )


def _checked(key: str, value: Any) -> Any:
    """``value`` as the field of ``key`` holds it."""
    if key in _CHOICES:
        if value not in _CHOICES[key]:
            raise ValueError(f"{key} cannot be {value!r}; use {_listed(_CHOICES[key])}")
        return value
    field_name = _FIELD_OF_KEY[key]
    if isinstance(getattr(Policy(), field_name), bool):
        if not isinstance(value, bool):
            raise ValueError(f"{key} is true or false, not {value!r}")
        return value
    return _length(key, value) if field_name.endswith("_mm") else _cost(key, value)


def _length(key: str, value: Any) -> float:
    try:
        mm = parse_length(value, "mm")
    except (ValueError, TypeError, OverflowError):
        raise ValueError(f"{key} is a length such as 100 mm or 4 in, not {value!r}") from None
    if not 0 <= mm <= 100_000:
        raise ValueError(f"{key} lies between 0 and 100 m, so not {value!r}")
    return mm


def _cost(key: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{key} is a number of millimetres of sewing, not {value!r}")
    if not 0 <= value <= 100_000:
        raise ValueError(f"{key} lies between 0 and 100000, so not {value!r}")
    return float(value)


def _listed(names: Any) -> str:
    return ", ".join(names)
