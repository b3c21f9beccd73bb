"""From the table to the bound runner, as the project file says it."""

from __future__ import annotations

import pytest

from quiltpath.errors import InputError
from quiltpath.project import Project, parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result

TABLE = '[table]\nlength = "56 in"\nwidth = "42 in"\n'


def computed(text: str) -> Result:
    return compute(parse(text))


def test_the_table_gives_the_runner_its_size() -> None:
    """56 in and 8 in at each end are 72 in; a third of 42 in is 14 in (common practice)."""
    project = parse(TABLE)
    assert project.runner.length == pytest.approx(72 * 25.4)
    assert project.runner.width == pytest.approx(14 * 25.4)


def test_what_the_runner_says_itself_stays() -> None:
    project = parse(TABLE + '[runner]\nwidth = "13 in"\n')
    assert project.runner.width == pytest.approx(13 * 25.4)
    assert project.runner.length == pytest.approx(72 * 25.4)


def test_bare_numbers_of_the_table_take_the_file_s_unit() -> None:
    project = parse('units = "cm"\n[table]\nlength = 180\nwidth = 90\ndrop = 20\n')
    assert project.runner.length == pytest.approx(2200)


def test_a_drop_and_a_length_that_disagree_show_the_sum() -> None:
    with pytest.raises(InputError, match=r"56 in .* 2 x drop 8 in .* = 72 in .*70 in"):
        parse(TABLE + 'drop = "8 in"\n[runner]\nlength = "70 in"\nwidth = "14 in"\n')


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ('[[panel]]\nsize = ["40 in", "16 in"]\nprinted = ["41 in", "15 in"]', "panel"),
        ('[[cloth]]\nname = "blue"\nuse = "curtains"', "cloth"),
        ("[quilted]\ntaken_up = 0.9", "taken_up"),
        ('[quilted]\nlengths = ["71 in"]', "quilted"),
        ("[stock]\nbobbins = -1", "bobbins"),
        ('[binding]\nfold = "triple"', "fold"),
        ('[instructions]\nunits = "cubits"', "units"),
    ],
)
def test_mistakes_are_one_line_that_names_the_key(text: str, key: str) -> None:
    with pytest.raises(InputError) as told:
        parse(TABLE + text)
    assert key in str(told.value) and "\n" not in str(told.value)


def test_a_rim_that_leaves_no_print_is_told_as_such() -> None:
    panel = '[[panel]]\nsize = ["40 in", "16 in"]\nrim = "{}"'
    for rim in ("8 in", "8.5 in"):
        with pytest.raises(InputError, match="the rim takes the whole panel"):
            parse(TABLE + panel.format(rim))
    parse(TABLE + panel.format("7.9 in"))


def test_a_project_s_cloths_reach_the_plan() -> None:
    result = computed(
        TABLE
        + '[[cloth]]\nname = "blue cotton"\nuse = ["backing", "binding"]\nwidth = "42 in"\n'
        + 'length = "1 yd"\n'
    )
    names = {layout.cloth.name for layout in result.cutting.layouts}
    assert names == {"blue cotton", "wadding"}
    assert "cloth-too-short" in {finding.code for finding in result.findings}


def test_panels_at_hand_are_weighed() -> None:
    result = computed(
        TABLE
        + '[grid]\nalong = 6\nsashing = "2 in"\nouter_sashing = "1 in"\n'
        + '[[panel]]\nsize = ["42 in", "17 in"]\nprinted = ["40 in", "15 in"]\n'
        + 'end_strip = "2 in"\ncount = 2\n'
    )
    best = result.cutting.panel_choices[0]
    assert best.join.value == "two panels, joined in the sashing"
    assert best.reaches


def test_a_print_that_was_measured_is_told_with_its_largest_rectangle() -> None:
    project = parse(
        '[runner]\nlength = "2150 mm"\nwidth = "300 mm"\n[print]\n'
        'lengths = ["2200 mm", "2200 mm", "2200 mm"]\n'
        'widths = ["320 mm", "320 mm", "320 mm"]\ndiagonals = ["2228 mm", "2218 mm"]\n'
    )
    result = compute(project)
    assert result.cutting.off_square is not None
    assert "print-off-square" in {finding.code for finding in result.findings}


def bound(units: str, sizes: tuple[str, str]) -> Project:
    return parse(
        f'instructions.units = "both"\nunits = "{units}"\n'
        f"[table]\nlength = {sizes[0]}\nwidth = {sizes[1]}\n"
    )


def test_inches_in_or_millimetres_in_the_plan_is_the_same() -> None:
    """1 in = 25.4 mm exactly (international inch)."""
    from quiltpath.documents.cutting_report import cutting_report

    inches = cutting_report(compute(bound("in", ("56", "42"))).cutting)
    metric = cutting_report(compute(bound("mm", ("1422.4", "1066.8"))).cutting)
    for part in ("backing", "wadding", "binding"):
        assert inches[part] == metric[part]


def test_a_round_centre_keeps_its_own_size() -> None:
    project = parse(TABLE + '[runner]\nshape = "round"\nlength = "20 in"\n')
    assert project.runner.length == pytest.approx(20 * 25.4) and project.runner.width is None


def test_the_starter_s_comments_are_a_project_when_they_are_uncommented() -> None:
    """What the starter offers must be true of the model."""
    from quiltpath.project.loading import starter_text

    text = starter_text()
    offered = text[text.index("# [binding]") :].replace("\n# ", "\n").replace("\n#\n", "\n\n")
    project = parse(text + "\n" + offered.removeprefix("# "))
    assert project.cloth[0].uses == ("backing", "binding")
    assert project.binding.fold == "double"
    assert project.quilted.lengths[1] == pytest.approx(71.375 * 25.4)
    assert project.instructions.units == "both"
    assert project.also.look == 4000 and project.also.resume == (3,)


def test_the_starter_s_layers_have_names_that_papers_can_print() -> None:
    """Not the words of the file, such as "motif": a quilter reads them as headings."""
    from quiltpath.project.loading import starter_text

    names = [layer.name for layer in parse(starter_text()).quilting]
    assert len(names) == 3 and all(name[:1].isupper() for name in names), names
