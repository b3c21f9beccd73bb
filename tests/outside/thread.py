"""Thread: the lockstitch of ISO 4915, type 301, by published rules and worked examples."""

from __future__ import annotations

from dataclasses import replace

from quiltpath.stitching.thread_and_time import ThreadSetting, thread_use
from quiltpath.units import MM_PER_INCH
from tests.formats.designs import Sewn, along, stitches_of
from tests.outside.check import outside

DAS = "A. K. Das, textilecalculation.blogspot.com, 2015"
APPAREL = "apparelscience.com, measuring thread consumption"
PLAIN = ThreadSetting(
    thickness_mm=0.0, diameter_mm=0.0, wastage_share=0.0, bobbin_m=60.0, tail_mm=0.0,
    needle_factor=None, bobbin_factor=None,
)  # fmt: skip


def both(setting: ThreadSetting, seam_mm: float, stitches: int) -> float:
    """Needle and bobbin thread together for one unit of seam."""
    return (setting.needle_mm(seam_mm, stitches) + setting.bobbin_mm(seam_mm, stitches)) / seam_mm


@outside(
    "thread", "0.01 in thick, 10 stitches to the inch: inches for an inch of seam", DAS, 2.2, 1e-9
)
def worked_example() -> float:
    return both(replace(PLAIN, thickness_mm=0.01 * MM_PER_INCH), 10 * MM_PER_INCH, 100)


@outside(
    "thread",
    "C = 2 + 2 T S at T = 0.5 mm, S = 0.3 to the mm",
    "textileblog.com, sewing thread consumption guide",
    2.3,
    1e-9,
)
def formula() -> float:
    return both(replace(PLAIN, thickness_mm=0.5), 1000.0, 300)


@outside(
    "thread",
    "thickness for which the formula gives the usual 1 : 2.5 at 3.2 mm stitches",
    "apparelscience.com, stitch classes 300-400: T = (2.5 - 2) / 2 S",
    2.5,
    1e-9,
)
def usual_ratio() -> float:
    return both(replace(PLAIN, thickness_mm=0.25 * 3.2), 320.0, 100)


@outside(
    "thread",
    "220 cm of seam at 2.5: cm of thread",
    "melgeecrafts.com, how do you calculate thread consumption",
    550.0,
    1e-9,
)
def seam_of_220_cm() -> float:
    measured = replace(PLAIN, needle_factor=1.25, bobbin_factor=1.25)
    return (measured.needle_mm(2200.0, 700) + measured.bobbin_mm(2200.0, 700)) / 10


@outside(
    "thread",
    "share of the needle in a well-set 301",
    "apparelscience.com, stitch classes 300-400: split evenly",
    0.5,
    1e-12,
)
def even_split() -> float:
    setting = replace(PLAIN, thickness_mm=1.8, diameter_mm=0.2)
    needle, bobbin = setting.needle_mm(500.0, 150), setting.bobbin_mm(500.0, 150)
    return needle / (needle + bobbin)


@outside(
    "thread", "15 cm unpicked gave 19.5 cm: cm of needle thread for 100 cm", APPAREL, 130.0, 1e-9
)
def measured_factor() -> float:
    return replace(PLAIN, needle_factor=19.5 / 15).needle_mm(1000.0, 310) / 10


@outside(
    "thread",
    "wastage of 15 percent on 100 m of seam sewn flat: m of needle thread",
    APPAREL,
    115.0,
    1e-6,
)
def wastage() -> float:
    seam = stitches_of([Sewn(along((0, 0), (100_000, 0), step=4.0))])
    return thread_use(seam, 0, replace(PLAIN, wastage_share=0.15)).needle_m


@outside("thread", "bobbins of 60 m for 115 m", "arithmetic: 115 / 60 = 1.92, so 2", 2)
def bobbins() -> int:
    seam = stitches_of([Sewn(along((0, 0), (100_000, 0), step=4.0))])
    return thread_use(seam, 0, replace(PLAIN, wastage_share=0.15)).bobbins


@outside(
    "thread",
    "closer stitches take more thread: sign of the change from 3.5 to 3.0 mm",
    "Chauhan and Ghosh, Indian J. Fibre & Textile Research; Malek et al., Autex 20 (4), 2020",
    1,
)
def density_counts() -> int:
    setting = replace(PLAIN, thickness_mm=1.5)
    closer, wider = both(setting, 2100.0, 700), both(setting, 2100.0, 600)
    return (closer > wider) - (closer < wider)


@outside(
    "thread",
    "tails: m left for 4 ends of 100 mm, needle and bobbin",
    "common practice: tails of about 100 mm to bury, each thread",
    0.8,
    1e-12,
)
def tails() -> float:
    seam = stitches_of([Sewn(along((0, 0), (320, 0)))])
    return thread_use(seam, 4, replace(PLAIN, tail_mm=100.0)).tails_m
