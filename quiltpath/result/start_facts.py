"""How often thread begins, what that comes from, and how seldom another way of sewing would."""

from __future__ import annotations

from dataclasses import dataclass, replace

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.routing import POLICIES, RuleCost, Runs, fewest_starts, policy_named

ONE_LINE = "continuous"
"""the policy that sews one line"""


@dataclass(frozen=True)
class StartFacts:
    """How often thread begins.

    ``starts``        as sewn
    ``fewest``        the fewest that the drawing allows with what the policy may join
    ``rule_costs``    what the rules of the order add to that
    ``round_motifs``  how many of the fewest there are because thread may not turn round motifs
    ``as_one_line``   the fewest as a frame sews it; None where the project is sewn so
    """

    starts: int
    fewest: int
    rule_costs: tuple[RuleCost, ...]
    round_motifs: int
    as_one_line: int | None

    @property
    def words(self) -> str:
        """For a person, with the choice that there is."""
        if self.starts == 1:
            return "1: sewn without a stop"
        rules = [f"{cost.runs} more so that {cost.rule}" for cost in self.rule_costs]
        motifs = f" ({self.round_motifs} of them to go round motifs)" if self.round_motifs else ""
        told = f"{self.starts}{motifs}"
        if rules:
            told += f": {self.fewest} at the fewest; {'; '.join(rules)}"
        if self.as_one_line is not None and self.as_one_line < self.fewest:
            way = f'write policy = "{ONE_LINE}" under [sewing]'
            return f"{told}; only {self.as_one_line} if you sew it as one line: {way}"
        return told if rules else f"{told}, no fewer are possible"


def start_facts(project: Project, runner: Runner, lines: Lines, runs: Runs) -> StartFacts:
    """The facts of a project's runs."""
    policy = policy_named(project.sewing.policy, project.sewing.settings)
    fewest, cloth = runs.runs_lower_bound, (runner.outline, runner.margin_mm)
    round_motifs, one = 0, None
    if fewest > 1 and len(lines.curves) and not policy.clearance:
        turning = replace(policy, clearance=True, step=True)
        round_motifs = max(0, fewest - fewest_starts(lines, turning, *cloth))
    if fewest > 1 and project.sewing.policy != ONE_LINE:
        one = fewest_starts(lines, POLICIES[ONE_LINE], *cloth)
    return StartFacts(len(runs), fewest, runs.rule_costs, round_motifs, one)
