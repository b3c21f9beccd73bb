"""How often thread begins is told with what it comes from and the choice that there is."""

import json
import re
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines, draw
from quiltpath.project import Project, load, parse
from quiltpath.project.sewing_sections import SewingSection
from quiltpath.result.computing import compute
from quiltpath.result.start_facts import start_facts
from quiltpath.result.values import Result
from quiltpath.routing import POLICIES, route
from quiltpath.runner import build
from tests.whole_sets import computed

TEXT = """
units = "mm"
runner = {{ length = 600, width = 200, size_is = "flat" }}
motif = [{{ name = "drop", file = "drop.svg", size = 100, at = [[300, 100]] }}]
quilting = [{{ kind = "straight", spacing = 25, clearance = 6 }}]
sewing = {{ policy = "{policy}" }}
"""
DROP = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10">'
    '<circle cx="5" cy="5" r="5"/></svg>'
)


def made(folder: Path, policy: str) -> Result:
    (folder / "drop.svg").write_text(DROP)
    return compute(parse(TEXT.format(policy=policy), folder=folder))


def test_starts_that_go_round_motifs_are_told_and_the_choice(tmp_path: Path) -> None:
    """Seven lines, some cut by a round motif of 100 mm: a walking foot starts anew beyond it; a
    frame turns round it and in the margin."""
    facts = made(tmp_path, "walking-foot").starts
    cut = sum(abs(y - 100) < 56 for y in (25, 50, 75, 100, 125, 150, 175))
    assert facts.starts == 7 + cut
    assert facts.round_motifs > 0
    assert facts.as_one_line == 1
    assert f"({facts.round_motifs} of them to go round motifs)" in facts.words
    way = 'write policy = "continuous" under [sewing]'
    assert facts.words.endswith(f"; only 1 if you sew it as one line: {way}")


def test_what_is_promised_of_one_line_is_what_that_policy_sews(tmp_path: Path) -> None:
    promised = made(tmp_path, "walking-foot").starts.as_one_line
    framed = made(tmp_path, "continuous")
    assert len(framed.runs) == promised
    assert framed.starts.as_one_line is None
    assert framed.starts.words == "1: sewn without a stop"


@pytest.fixture(scope="module")
def supper() -> Result:
    return computed("harvest-supper")


def test_rules_make_up_the_difference_to_the_fewest(supper: Result) -> None:
    facts = supper.starts
    assert facts.starts == facts.fewest + sum(cost.runs for cost in facts.rule_costs)
    assert f"{facts.fewest} at the fewest" in facts.words


SAMPLES = Path(__file__).parents[1] / "samples"
QUICK = ("harvest-supper", "galley", "allotment-ends", "boathouse-bench", "supper-mats")
SLOW = ("committee-table", "regatta-tea")


@cache
def drawn(sample: str) -> tuple[Project, Runner, Lines]:
    """A sample's lines, drawn once for all policies."""
    project = load(SAMPLES / sample / "runner.toml")
    runner = build(project)
    return project, runner, draw(runner, project.quilting)


@pytest.mark.parametrize("policy", POLICIES)
@pytest.mark.parametrize(
    "sample", [*QUICK, *(pytest.param(name, marks=pytest.mark.exhaustive) for name in SLOW)]
)
def test_every_start_of_every_sample_is_one_of_the_fewest_or_a_rule_s(
    sample: str, policy: str
) -> None:
    """Sewn by any policy, the words add up: the fewest starts that the design allows, and so many
    more for each rule that is named."""
    project, runner, lines = drawn(sample)
    sewing = SewingSection(policy=policy)
    regions = [region.shape for region in runner.regions]
    runs = route(lines, policy, runner.outline, runner.margin_mm, regions=regions)
    facts = start_facts(project.replaced(sewing=sewing), runner, lines, runs)
    told = re.findall(r"(\d+) more so that ([^;]+)", facts.words)
    more = {rule: int(count) for count, rule in told}
    assert facts.starts == len(runs) == facts.fewest + sum(more.values())
    assert more == {cost.rule: cost.runs for cost in facts.rule_costs}
    assert facts.words.startswith(f"{facts.starts}")
    if more:
        assert f": {facts.fewest} at the fewest; " in facts.words
    if policy == "continuous":
        assert facts.as_one_line is None and not more
    elif facts.fewest > 1:
        assert facts.as_one_line == len(
            route(lines, "continuous", runner.outline, runner.margin_mm, regions=regions)
        )


def test_the_screen_tells_starts_motifs_and_the_choice(tmp_path: Path) -> None:
    """As ``check`` prints it: 14 starts (7 of them to go round motifs); only 1 as one line."""
    (tmp_path / "drop.svg").write_text(DROP)
    (tmp_path / "runner.toml").write_text(TEXT.format(policy="walking-foot"))
    shown = CliRunner().invoke(main, ["check", str(tmp_path / "runner.toml")]).output
    (said,) = re.findall(r"starts +(.+)", shown)
    pattern = (
        r"(\d+) \((\d+) of them to go round motifs\); "
        r'only (\d+) if you sew it as one line: write policy = "continuous" under \[sewing\]'
    )
    found = re.fullmatch(pattern, said)
    assert found is not None, said
    starts, round_motifs, one_line = map(int, found.groups())
    assert starts - round_motifs >= one_line == 1


def test_the_screen_tells_the_starts_of_all_parts_that_a_frame_sews() -> None:
    """What passes cut is begun anew, so there are more starts than in one piece."""
    bench = Path(__file__).parents[1] / "samples" / "boathouse-bench" / "runner.toml"
    shown = CliRunner().invoke(main, ["check", str(bench)]).output
    found = re.search(r"starts +(\d+), .+; (\d+) when sewn in (\d) parts", shown)
    assert found is not None, shown
    one_piece, sewn, parts = map(int, found.groups())
    assert sewn > one_piece >= 1 and parts == 2
    assert f"{sewn} starts of thread" in shown


@pytest.mark.exhaustive
def test_the_choice_is_compared_with_its_starts_and_minutes(tmp_path: Path) -> None:
    """What ``compare --policy`` tells of each is what comes of a project that is sewn so."""
    computed = {policy: made(tmp_path, policy) for policy in ("walking-foot", "continuous")}
    (tmp_path / "runner.toml").write_text(TEXT.format(policy="walking-foot"))
    asked = ["compare", str(tmp_path / "runner.toml"), "--policy", ",".join(computed)]
    told = CliRunner().invoke(main, [*asked, "--out", str(tmp_path / "out")])
    assert told.exit_code == 0, told.output
    options = json.loads((tmp_path / "out" / "compare.json").read_text())["options"]
    for option, (policy, result) in zip(options, computed.items(), strict=True):
        assert option["label"] == policy
        assert option["runs"] == len(result.runs)
        assert option["minutes"] == pytest.approx(result.sewing_time.sewing_min, abs=0.01)
        shown = next(line for line in told.output.splitlines() if line.split()[:1] == [policy])
        assert f"{result.sewing_time.sewing_min:.0f} min" in shown
    assert options[0]["minutes"] > options[1]["minutes"]
