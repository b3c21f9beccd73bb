"""How often thread begins is told with what it comes from and the choice that there is."""

from pathlib import Path

import pytest

from quiltpath.project import load, parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result

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
    assert facts.words.endswith('; 1 if sewn as one line: policy = "continuous"')


def test_what_is_promised_of_one_line_is_what_that_policy_sews(tmp_path: Path) -> None:
    promised = made(tmp_path, "walking-foot").starts.as_one_line
    framed = made(tmp_path, "continuous")
    assert len(framed.runs) == promised
    assert framed.starts.as_one_line is None
    assert framed.starts.words == "1: sewn without a stop"


@pytest.fixture(scope="module")
def supper() -> Result:
    return compute(load(Path(__file__).parents[1] / "samples" / "harvest-supper" / "runner.toml"))


def test_rules_make_up_the_difference_to_the_fewest(supper: Result) -> None:
    facts = supper.starts
    assert facts.starts == facts.fewest + sum(cost.runs for cost in facts.rule_costs)
    assert f"{facts.fewest} would do otherwise" in facts.words
