"""The command line: parse, call, print. No geometry, no format, no arithmetic."""

from __future__ import annotations

import sys
from pathlib import Path

import click

import quiltpath
from quiltpath.command_line import (
    PROJECT_FILE,
    Steps,
    WholeSentences,
    answers_in_one_line,
    list_option,
    out_folder,
)
from quiltpath.errors import InputError
from quiltpath.process import suit_a_short_job

EXIT_CHECK_FAILED = 1


@click.group(cls=WholeSentences, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(quiltpath.__version__, prog_name="quiltpath")
def main() -> None:
    """Plan the quilting of a table runner: where the lines go, in what order they are
    sewn, whether they hold the wadding, how much thread they take, and how they get
    onto the cloth or into a machine.

    Start with 'quiltpath new my-runner.toml', change the figures in that file, then
    'quiltpath make my-runner.toml --out out'.
    """
    suit_a_short_job()


@main.command()
@click.argument("file", type=PROJECT_FILE)
@answers_in_one_line
def new(file: Path) -> None:
    """Write a commented project file to start from.

    FILE must not exist yet: nothing of yours is overwritten.
    """
    from quiltpath.project.loading import write_starter

    write_starter(file)
    click.echo(f"{file} is ready: change its figures, then 'quiltpath make {file} --out out'.")


@main.command()
@click.argument("files", type=PROJECT_FILE, nargs=-1, required=True)
@out_folder("Folder for the results. Files of your own in it stay as they are.")
@click.option(
    "--sizes",
    type=PROJECT_FILE,
    help="Table (name,size or name,size,copies) of a class: the design in each of its sizes.",
)
@click.option(
    "--format",
    "formats",
    multiple=True,
    help="Stitch format to write, by extension; repeat for several. Replaces those of the file.",
)
@answers_in_one_line
def make(
    files: tuple[Path, ...], folder: Path, sizes: Path | None, formats: tuple[str, ...]
) -> None:
    """Do the whole job: guide, previews, stitch files and report into one folder.

    The folder gets the complete new set or, if anything is wrong, keeps what it had. A stitch or
    path format that cannot hold the design is left out and named, with exit code 1. Several FILES,
    or one with a table of sizes, get a folder each in it, and one shopping list.
    """
    if len(files) > 1 or sizes is not None:
        from quiltpath.jobs.make_several import make_several

        with Steps() as progress:
            told = make_several(files, folder, sizes, formats, progress)
        click.echo(told)
        return
    from quiltpath.jobs.make import load_and_make

    with Steps() as progress:
        result, made = load_and_make(files[0], folder, formats, progress)
    from quiltpath.jobs.summary import left_out, summary

    click.echo(summary(result, made))
    _end_if_left_out(left_out(made))


def _end_if_left_out(told: list[str]) -> None:
    """A line for each format that could not hold the set, and exit code 1."""
    for line in told:
        click.echo(line, err=True)
    if told:
        sys.exit(EXIT_CHECK_FAILED)


@main.command()
@click.argument("file", type=PROJECT_FILE)
@answers_in_one_line
def check(file: Path) -> None:
    """Compute everything, write nothing, and say whether the quilting holds.

    Exit code 1 means that the file is fine but a check says no, or that a format cannot hold it.
    """
    from quiltpath.jobs.machine_files import refused_formats
    from quiltpath.jobs.make import load_and_check
    from quiltpath.jobs.summary import summary

    with Steps() as progress:
        result = load_and_check(file, progress)
        refused = refused_formats(result)
    click.echo(summary(result, ()))
    _end_if_left_out(list(refused))
    if any(finding.fails for finding in result.findings):
        sys.exit(EXIT_CHECK_FAILED)


def _given(**options: object) -> dict[str, object]:
    """The options that were given, by the key of [also] that each stands for."""
    return {key: value for key, value in options.items() if value is not None}


@main.command()
@click.argument("file", type=PROJECT_FILE)
@list_option("--spacing", "spacings", '"1 in, 2 in"', "Spacings for the fill layers, one each.")
@list_option("--pattern", "patterns", "NAME,NAME", "Named patterns in place of the fill layers.")
@list_option("--stitch", "stitches", '"3 mm, 3.5 mm"', "Stitch lengths.")
@list_option(
    "--size",
    "sizes",
    '"72 x 36 in, mat 18 x 12 in"',
    "Tables, or place mats, that the runner is to fit.",
)
@list_option(
    "--policy", "policies", "NAME,NAME", "Sewing orders, such as walking-foot and continuous."
)
@list_option("--wadding", "waddings", '"cotton, wool"', "Kinds of wadding.")
@click.option("--wish", help="The spacing you would like best, to mark the nearest.")
@out_folder("Folder for the sheet (PDF, PNG, HTML) and the figures (JSON).")
@answers_in_one_line
def compare(
    file: Path,
    spacings: tuple[str, ...],
    patterns: tuple[str, ...],
    stitches: tuple[str, ...],
    sizes: tuple[str, ...],
    policies: tuple[str, ...],
    waddings: tuple[str, ...],
    wish: str | None,
    folder: Path,
) -> None:
    """Set designs side by side: spacings, patterns, stitch lengths, sizes, orders, waddings.

    What is named is changed in FILE, everything else stays; lit pictures of the whole and of
    one part of it come to one scale with a table of figures, and what stands out is marked. On
    the page a slider puts each design in the place of the other. A size is that of a table, or of a
    place mat; blocks, motifs and gaps keep their size, so nothing is stretched.
    """
    from quiltpath.jobs.compare import COMPARE, CompareWishes
    from quiltpath.jobs.one_job import carry_out

    wishes = CompareWishes(spacings, patterns, stitches, sizes, wish, policies, waddings)
    click.echo(carry_out(COMPARE, (file,), wishes, folder))


@main.command()
@click.argument("file", type=PROJECT_FILE, required=False)
@out_folder("Folder for what 'Make' makes; 'out' beside FILE if not given.", required=False)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@answers_in_one_line
def show(file: Path | None, folder: Path | None, no_browser: bool) -> None:
    """Open the live page on this machine: drag figures, see lines and numbers at once.

    Without FILE it asks a few questions first and keeps the runner as a file in this folder.

    The page talks to this machine only, and only with the token in its address. Ctrl+C ends it.
    """
    from quiltpath.jobs.compare import compare_and_name
    from quiltpath.jobs.make import make_and_name
    from quiltpath.page.server import Beginning, LiveServer
    from quiltpath.page.session import PageJobs, Session

    jobs = PageJobs(make_and_name, compare_and_name)
    if file is None:
        server = LiveServer(Beginning(Path(), jobs, folder))
    else:
        server = LiveServer(Session(file, folder or file.parent / "out", jobs))
    click.echo(f"{server.address}\n(Ctrl+C ends it)")
    if not no_browser:
        click.launch(server.address)
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        click.echo()
    finally:
        server.server_close()


@main.command()
@click.argument("picture", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--size", metavar='"44 x 11 in"', help="The printed panel's own length and width.")
@click.option("--against", type=PROJECT_FILE, help="The project that the quilted piece follows.")
@click.option("--sheet", metavar="A4", help="A sheet of paper that lies beside the quilted piece.")
@out_folder(
    "Folder for the project, its drawings and an overlay, or for the map of strays.", required=False
)
@answers_in_one_line
def photo(
    picture: Path, size: str | None, against: Path | None, sheet: str | None, folder: Path | None
) -> None:
    """Measure a photo: a printed panel as a project, or a quilted piece against its plan.

    The photo stays on this machine and is only read.
    """
    from quiltpath.jobs.panel_from_photo import panel_to_project, photo_against_plan

    if against is not None:
        click.echo(photo_against_plan(picture, against, folder, sheet))
        return
    if size is None or folder is None:
        fault = "a printed panel needs its own size and a folder"
        raise InputError("", "--size, --out", fault, 'add --size "44 x 11 in" --out panel')
    click.echo(panel_to_project(picture, size, folder))


@main.command()
@click.argument("file", type=PROJECT_FILE)
@click.option("--thread", metavar='"90 m"', help="Thread for needle and bobbin together.")
@click.option("--time", metavar='"2 h"', help="Time at the machine.")
@click.option("--binding", metavar='"1/2 yd"', help="Length of the binding cloth.")
@answers_in_one_line
def ask(file: Path, thread: str | None, time: str | None, binding: str | None) -> None:
    """Say what you have, and get the closest spacing and the longest runner it is enough for.

    Spacings and sizes are tried in steps of 1/8 in, each by the whole computing.
    """
    from quiltpath.jobs.ask import ASK
    from quiltpath.jobs.one_job import carry_out

    click.echo(carry_out(ASK, (file,), _given(thread=thread, time=time, binding=binding)))


@main.command()
@click.argument("file", type=PROJECT_FILE)
@click.option("--distance", default="4 m", show_default=True, help="How far away you stand.")
@out_folder("Folder for the sheet; not the one that 'make' filled.")
@answers_in_one_line
def look(file: Path, distance: str, folder: Path) -> None:
    """See the lines near to and from across the room, with the thread's contrast on each cloth.

    Colours of thread and cloth are taken from [look] in FILE.
    """
    from quiltpath.jobs.look import LOOK
    from quiltpath.jobs.one_job import carry_out

    click.echo(carry_out(LOOK, (file,), distance, folder))


@main.command()
@click.argument("files", type=PROJECT_FILE, nargs=-1, required=True)
@click.option("--width", required=True, metavar='"108 in"', help="Width of the backing.")
@click.option("--length", metavar='"2 yd"', help="Length at hand, to check against.")
@click.option("--apart", default="4 in", show_default=True, help="Between two runners.")
@click.option("--no-turns", is_flag=True, help="All lie along the backing's length.")
@out_folder("Folder for the picture and the places.")
@answers_in_one_line
def nest(
    files: tuple[Path, ...],
    width: str,
    length: str | None,
    apart: str,
    no_turns: bool,
    folder: Path,
) -> None:
    """Lay several runners out on one backing, for one load of a frame.

    FILES are projects; one that is sewn twice is named twice. Tops count as they are before
    quilting, with the backing's extra all round.
    """
    from quiltpath.jobs.nest import NEST
    from quiltpath.jobs.one_job import carry_out

    asked = _given(width=width, length=length, apart=apart, turns=not no_turns, copies=1)
    click.echo(carry_out(NEST, files, asked, folder))


@main.command()
@click.argument("file", type=PROJECT_FILE)
@click.option("--from", "number", type=int, help="Checkpoint, as numbered c1, c2 on the guide.")
@click.option("--part", help="Part for the machine, where the design is sewn in several.")
@out_folder("Folder for the files; not the one that 'make' filled.", required=False)
@answers_in_one_line
def resume(file: Path, number: int | None, part: str | None, folder: Path | None) -> None:
    """Take a machine's sewing up again after a break, from a checkpoint of the guide.

    Without --from and --out it lists the checkpoints. The new file begins 10 to 20 mm before
    the checkpoint, so that old and new thread hold each other.
    """
    from quiltpath.jobs.one_job import carry_out
    from quiltpath.jobs.resume import RESUME, load_and_list

    if number is None or folder is None:
        click.echo(load_and_list(file, part))
        return
    click.echo(carry_out(RESUME, (file,), [number], folder, part=part, apart=False))


@main.command()
@click.argument("file", type=PROJECT_FILE)
@click.option(
    "--against",
    "project",
    type=PROJECT_FILE,
    help="Say whether it is this project's file, at this scale, this way up. "
    "Exit code 1 if it is not.",
)
@click.option(
    "--picture",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Draw it as well, into a new .svg or .png file.",
)
@answers_in_one_line
def inspect(file: Path, project: Path | None, picture: Path | None) -> None:
    """Read a stitch or path file back: size, stitches or points, lengths, trims, start and end."""
    from quiltpath.jobs.inspect_file import inspect_file_at

    text, same = inspect_file_at(file, project, picture)
    click.echo(text)
    if not same:
        sys.exit(EXIT_CHECK_FAILED)


@main.command()
@click.option(
    "--folder",
    type=click.Path(file_okay=False, exists=True, path_type=Path),
    help="A folder with patterns of your own, listed first.",
)
@click.option(
    "--on",
    "file",
    type=PROJECT_FILE,
    help="A project file whose runner is to be drawn in every pattern.",
)
@click.option(
    "--sheet",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The picture for --on: a name ending in .svg, .pdf or .png.",
)
@answers_in_one_line
def patterns(folder: Path | None, file: Path | None, sheet: Path | None) -> None:
    """List the named patterns that a project can use, or draw them all on a runner."""
    if (file is None) != (sheet is None):
        raise click.UsageError("--on and --sheet go together: a project file and a picture's name.")
    if file is None or sheet is None:
        from quiltpath.jobs.summary import pattern_list

        click.echo(pattern_list(folder))
        return
    from quiltpath.jobs.contact_sheet import write_pattern_sheet

    with Steps() as progress:
        count = write_pattern_sheet(file, sheet, progress)
    click.echo(f"{sheet} shows {count} patterns on the runner of {file}.")


@main.command()
@click.option(
    "--folder",
    type=click.Path(file_okay=False, exists=True, path_type=Path),
    help="A folder with machine profiles of your own, listed first.",
)
@answers_in_one_line
def machines(folder: Path | None) -> None:
    """List the machines that a project can be cut up for.

    A project names one under [machine], as profile = "hoop-200x300", or a profile of
    your own as profile = "my-machine.toml".
    """
    from quiltpath.jobs.summary import machine_list

    click.echo(machine_list(folder))


@main.command()
@click.argument("section", required=False)
@out_folder("Folder for a page of all keys and a schema for editors.", required=False)
@answers_in_one_line
def keys(section: str | None, folder: Path | None) -> None:
    """Say what a project file can hold: every key with its meaning, limits and an example.

    SECTION is a section such as grid, or a kind of quilting such as echo; without it all are
    printed. With --out they are written as one page, with a JSON schema for editors.
    """
    from quiltpath.jobs.keys import keys_as_text, write_keys
    from quiltpath.jobs.summary import file_table

    click.echo(file_table(write_keys(folder)) if folder else keys_as_text(section))


@main.command()
@answers_in_one_line
def formats() -> None:
    """List the stitch and path formats that can be written, and what reads them."""
    from quiltpath.jobs.summary import format_list

    click.echo(format_list())
