"""The command line: parse arguments, call what lies below, map the verdict to an exit code.

Everything but click and the standard library is imported where it is used, so that help and
input errors are immediate.
"""

from __future__ import annotations

import errno
import io
import os
import sys
from typing import TYPE_CHECKING, Any

import click

from feasibility import __version__
from feasibility.resources import DamagedData

if TYPE_CHECKING:
    from pathlib import Path

    from feasibility.assessment import Assessment
    from feasibility.survey_io.problems import SurveyProblems

EXIT_CODE_OF_VERDICT = {
    "carries": 0,
    "carries-reduced": 10,
    "upgrade": 20,
    "undecided": 30,
}
EXIT_BAD_INPUT = 2


class CannotDo(click.ClickException):
    """What was asked for cannot be done, and the message says why."""

    exit_code = EXIT_BAD_INPUT


class Commands(click.Group):
    """A group that reports files that cannot be read, written or relied on as a message."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; a closed pipe is left to click."""
        try:
            return super().invoke(ctx)
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise
            raise CannotDo(str(error)) from error
        except DamagedData as error:
            message = f"the program's own data are damaged: {error}"
            raise CannotDo(message) from error


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit codes of check and report: 0 carries, 10 carries a reduced current, 20 upgrade "
    "needed, 30 undecided, 2 faulty survey or a file that cannot be read or written.",
)
@click.version_option(__version__, prog_name="feasibility")
def main() -> None:
    """Check whether an existing supply carries the steady rectifier current of a charging station.

    The supply is everything from the service to the station's terminals: protective devices,
    cables, boards, socket-outlet, plug and cord. A survey file (TOML) describes it.
    """
    if isinstance(sys.stdout, io.TextIOWrapper):
        # A terminal that lacks a character shows a question mark instead of a traceback.
        sys.stdout.reconfigure(errors="replace")


@main.command()
@click.argument("survey")
@click.option("--json", "as_json", is_flag=True, help="Print the whole assessment as JSON.")
def check(survey: str, as_json: bool) -> None:
    """Assess the SURVEY file and print findings and verdict; the exit code tells the verdict."""
    assessment = _assess_file(_path(survey))
    if as_json:
        from feasibility.render.json_document import to_json

        click.echo(to_json(assessment).encode())
    else:
        from feasibility.render.text import to_text

        click.echo(to_text(assessment))
    _exit_with(assessment)


@main.command()
@click.argument("survey")
@click.option(
    "--output",
    metavar="PDF",
    help="Where the report goes; without it, beside the survey with the suffix .pdf.",
)
def report(survey: str, output: str | None) -> None:
    """Assess the SURVEY file and write the pre-installation report as a PDF for signature.

    An older report in the same place is replaced; a file that is not a PDF never is.
    """
    survey_path = _path(survey)
    assessment = _assess_file(survey_path)
    pdf_path = survey_path.with_suffix(".pdf") if output is None else _path(output)
    _write_pdf(pdf_path, assessment)
    click.echo(f"Report: {pdf_path}")
    _say_verdict(assessment)
    _exit_with(assessment)


@main.command()
@click.argument("name", required=False)
@click.option("--list", "list_names", is_flag=True, help="List the demonstration surveys.")
@click.option(
    "--folder",
    default="feasibility-demo",
    show_default=True,
    help="Where the survey, the JSON and the PDF go; made if missing.",
)
def demo(name: str | None, list_names: bool, folder: str) -> None:
    """Assess a demonstration survey and write survey, JSON and PDF into a folder.

    NAME is one of the names that --list prints; without it the first is taken. The exit code is 0
    whatever the verdict, for this is a demonstration.
    """
    from feasibility.examples import example_companions, example_names, example_text

    names = tuple(example_names())
    if list_names:
        click.echo("\n".join(names))
        return
    chosen = names[0] if name is None else name
    if chosen not in names:
        message = f"there is no demonstration survey {chosen!r}; there are: {', '.join(names)}"
        raise click.BadParameter(message, param_hint="NAME")
    survey_path = _path(folder) / f"{chosen}.toml"
    _place_example(survey_path, example_text(chosen).encode())
    for companion, content in example_companions(chosen).items():
        _place_example(survey_path.with_name(companion), content)
    _write_demo(survey_path)


@main.command()
@click.argument("name", required=False)
@click.option(
    "--confirmation",
    is_flag=True,
    help="Show what confirms each ampacity, and the rows of every table.",
)
def tables(name: str | None, confirmation: bool) -> None:
    """List the tables, or print the table NAME with its sources to lay it beside the standard."""
    from feasibility.render.table_text import confirmation_text, table_list_text, table_page_text
    from feasibility.table_review import confirmed_ampacities, table_lines, table_page

    lines = table_lines()
    if confirmation and name is not None:
        message = "give either a table's NAME or --confirmation, which covers all of them"
        raise click.UsageError(message)
    if confirmation:
        click.echo(confirmation_text(confirmed_ampacities(), lines))
    elif name is None:
        click.echo(table_list_text(lines))
    else:
        names = [line.name for line in lines]
        if name not in names:
            message = f"there is no table {name!r}; there are: {', '.join(names)}"
            raise click.BadParameter(message, param_hint="NAME")
        click.echo(table_page_text(table_page(name)))


def _write_demo(survey_path: Path) -> None:
    from feasibility.render.json_document import to_json
    from feasibility.write_file import write_atomically

    assessment = _assess_file(survey_path)
    pdf_path = survey_path.with_suffix(".pdf")
    json_path = survey_path.with_suffix(".json")
    _write_pdf(pdf_path, assessment)
    write_atomically(json_path, to_json(assessment).encode())
    click.echo(
        f"Demonstration survey {survey_path.stem} (feasibility demo --list names the others)"
    )
    click.echo(f"Survey: {survey_path}")
    click.echo(f"JSON:   {json_path}")
    click.echo(f"Report: {pdf_path}")
    _say_verdict(assessment)


def _place_example(path: Path, content: bytes) -> None:
    """Write a file of the demonstration, unless an edited copy of it would be lost."""
    from feasibility.write_file import write_atomically

    path.parent.mkdir(parents=True, exist_ok=True)
    if path.exists():
        if path.read_bytes() == content:
            return
        message = (
            f"{path} has been edited and would be lost; assess a survey with 'feasibility check "
            f"{path.with_suffix('.toml')}', rename the file, or choose another --folder"
        )
        raise CannotDo(message)
    write_atomically(path, content)


def _path(text: str) -> Path:
    from pathlib import Path

    return Path(text)


def _assess_file(survey_path: Path) -> Assessment:
    """Read and assess a survey; a faulty one ends the program with all its problems listed."""
    from feasibility.survey_io.problems import SurveyProblems
    from feasibility.survey_io.toml_file import read_survey

    try:
        loaded = read_survey(survey_path)
    except SurveyProblems as faulty:
        _list_problems(faulty)
        sys.exit(EXIT_BAD_INPUT)
    from feasibility.assessment import assess

    return assess(loaded.survey, sha256=loaded.sha256, demand_logs=loaded.demand_logs)


def _list_problems(faulty: SurveyProblems) -> None:
    from feasibility.survey_io.problems import describe

    count = len(faulty.problems)
    click.echo(f"{faulty.path}: {count} problem{'' if count == 1 else 's'}", err=True)
    for problem in faulty.problems:
        click.echo(describe(problem), err=True)


def _write_pdf(pdf_path: Path, assessment: Assessment) -> None:
    from feasibility.write_file import write_atomically

    _refuse_to_replace_other_than_pdf(pdf_path)
    from feasibility.render.pdf import to_pdf

    write_atomically(pdf_path, to_pdf(assessment))


def _refuse_to_replace_other_than_pdf(path: Path) -> None:
    if not os.path.lexists(path):
        return
    if not path.is_file():
        message = f"{path} exists and is not an ordinary file; choose another --output"
        raise CannotDo(message)
    with path.open("rb") as file:
        if file.read(4) != b"%PDF":
            message = f"{path} exists and is not a PDF; it is left alone, choose another --output"
            raise CannotDo(message)


def _say_verdict(assessment: Assessment) -> None:
    from feasibility.render.text import verdict_in_words

    click.echo(verdict_in_words(assessment))


def _exit_with(assessment: Assessment) -> None:
    sys.exit(EXIT_CODE_OF_VERDICT[assessment.verdict])
