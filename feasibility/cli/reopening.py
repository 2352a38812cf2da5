"""Open a report again and assess its survey once more."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from feasibility import __version__
from feasibility.cli.common import EXIT_DIFFERS, CannotDo, load_and_assess, path_of, place

if TYPE_CHECKING:
    from pathlib import Path

    from feasibility.archive import Opened


@click.command()
@click.argument("report_pdf", metavar="REPORT")
@click.option(
    "--folder",
    metavar="FOLDER",
    help="Where the files go; without it, beside the report under its name without .pdf.",
)
def reopen(report_pdf: str, folder: str | None) -> None:
    """Write the survey and the assessment that the REPORT (PDF) carries back into files.

    The survey is assessed once more, and every difference to the report is listed: of a verdict, an
    outcome, a link, or of a figure by more than half a per cent or 0.05 of its unit. The exit code
    is 0 if there is none, 40 if there is one.
    """
    from feasibility.archive import NotAReport, open_report

    pdf_path = path_of(report_pdf)
    try:
        opened = open_report(pdf_path)
    except NotAReport as error:
        raise CannotDo(str(error)) from error
    target = pdf_path.with_suffix("") if folder is None else path_of(folder)
    _write_back(target, opened)
    sys.exit(_compare_with_now(target, opened))


def _write_back(folder: Path, opened: Opened) -> None:
    from feasibility.archive import ASSESSMENT_NAME, SURVEY_NAME
    from feasibility.render.plain_lines import escaped

    files = {SURVEY_NAME: opened.survey, ASSESSMENT_NAME: opened.document_bytes, **opened.logs}
    for name, content in files.items():
        place(folder / name, content)
        click.echo(escaped(f"Written: {folder / name}"))


def _compare_with_now(folder: Path, opened: Opened) -> int:
    """Assess the survey that was written back, say what differs, and return the exit code."""
    import json

    from feasibility.archive import SURVEY_NAME, differences
    from feasibility.render.json_document import to_json
    from feasibility.render.plain_lines import escaped

    _, assessment = load_and_assess(folder / SURVEY_NAME)
    found = list(differences(opened.document, json.loads(to_json(assessment))))
    if not opened.genuine:
        found.insert(0, "the assessment in the report was not made from the survey in it")
    version = escaped(str(opened.document.get("program_version")))
    if not found:
        click.echo(f"Version {__version__} gives the result of the report (version {version}).")
        return 0
    click.echo(f"Version {__version__} differs from the report (version {version}):")
    click.echo("\n".join(f"  {escaped(one)}" for one in found))
    return EXIT_DIFFERS
