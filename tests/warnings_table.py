"""How many warnings a person meets, over every pattern on every sample; run on demand.

    python -m tests.warnings_table                 all pairs, one row a pair
    python -m tests.warnings_table harvest-supper  those of one sample

Before ranks were given and like warnings joined, 156 pairs of the first five samples had 6.1 each,
101 at worst; 27 had none.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from quiltpath.errors import InputError
from quiltpath.findings import Rank
from quiltpath.jobs.variants import _layer
from quiltpath.patterns.book import PatternBook, shipped_folder
from quiltpath.project import Project, load
from quiltpath.result.computing import compute

SAMPLES = Path(__file__).parents[1] / "samples"
OFTEN = 1 / 3
"""Share of the pairs above which a warning no longer tells one from another."""


@dataclass(frozen=True)
class Pair:
    """A pattern on a sample, with the codes of what stops the work and of what to think about."""

    sample: str
    pattern: str
    stop: tuple[str, ...] = ()
    think: tuple[str, ...] = ()
    refused: str = ""

    @property
    def told(self) -> int:
        """Warnings that a person reads."""
        return len(self.stop) + len(self.think)


def with_last_layer(project: Project, pattern: str) -> Project:
    """The project with a pattern in place of its last layer, in that one's region and clearance."""
    *kept, last = project.quilting
    keys = {"region": last.region, "clearance": f"{last.clearance or 0.0:g} mm"}
    book = PatternBook((shipped_folder(),))
    drawn = [_layer(table, pattern) for table in book.layers(pattern, keys)]
    return project.replaced(quilting=(*kept, *drawn))


def pairs(samples: Sequence[str]) -> Iterator[Pair]:
    """Each pattern in place of the last layer of each sample, with its region and clearance."""
    for sample in samples:
        project = load(SAMPLES / sample / "runner.toml")
        for pattern in sorted(path.stem for path in shipped_folder().glob("*.toml")):
            try:
                told = compute(with_last_layer(project, pattern)).for_a_person
            except InputError as error:
                yield Pair(sample, pattern, refused=error.fault)
                continue
            stop = tuple(finding.code for finding in told if finding.rank is Rank.STOP)
            think = tuple(finding.code for finding in told if finding.rank is Rank.THINK)
            yield Pair(sample, pattern, stop, think)


def table(found: Sequence[Pair]) -> str:
    """How many pairs have how many, and how often each code is told."""
    drawn = [pair for pair in found if not pair.refused]
    counts = Counter(pair.told for pair in drawn)
    codes = Counter(code for pair in drawn for code in {*pair.stop, *pair.think})
    mean = sum(pair.told for pair in drawn) / len(drawn)
    rows = [
        f"{len(drawn)} pairs, {len(found) - len(drawn)} refused: mean {mean:.2f},"
        f" at worst {max(counts)}, none in {counts[0]}",
        *(f"  {number} warnings: {pairs} pairs" for number, pairs in sorted(counts.items())),
    ]
    for code, times in codes.most_common():
        often = "  OFTEN" if times > OFTEN * len(drawn) else ""
        rows.append(f"  {code:<28} {times:>4}  {times / len(drawn):.0%}{often}")
    return "\n".join(rows)


def main(wanted: Sequence[str]) -> None:
    """Print a row a pair as it is computed, then the table."""
    samples = wanted or sorted(path.parent.name for path in SAMPLES.glob("*/runner.toml"))
    found = []
    for pair in pairs(samples):
        found.append(pair)
        said = pair.refused or ", ".join((*pair.stop, *pair.think)) or "none"
        print(f"{pair.sample:<18} {pair.pattern:<28} {said[:90]}", flush=True)
    print(f"\n{table(found)}")


if __name__ == "__main__":
    main(sys.argv[1:])
