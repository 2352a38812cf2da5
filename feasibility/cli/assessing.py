"""Assess a survey: on the terminal, as JSON, as the report for signature."""

from __future__ import annotations

import click

from feasibility.cli.common import (
    assess_with,
    exit_with,
    load_and_assess,
    path_of,
    say_verdict,
    write_pdf,
)


@click.command()
@click.argument("survey")
@click.option("--json", "as_json", is_flag=True, help="Print the whole assessment as JSON.")
@click.option(
    "--set",
    "assignments",
    metavar="PLACE=VALUE",
    multiple=True,
    help="What if: assess the survey with this value as well, and print both results side by side. "
    "PLACE is written as findings name facts, such as circuit[1].cable[2].section_mm2. May be "
    "given several times; the exit code is that of the changed survey.",
)
def check(survey: str, as_json: bool, assignments: tuple[str, ...]) -> None:
    """Assess the SURVEY file and print findings and verdict; the exit code tells the verdict."""
    if as_json and assignments:
        message = "give either --json or --set: what a survey file does not say has no JSON"
        raise click.UsageError(message)
    loaded, assessment = load_and_assess(path_of(survey))
    if assignments:
        after = assess_with(loaded, assignments)
        from feasibility.render.comparison_text import comparison_text
        from feasibility.what_if import changed_findings

        changed = changed_findings(assessment, after)
        click.echo(comparison_text(assessment, after, changed, assignments))
        exit_with(after)
    if as_json:
        from feasibility.render.json_document import to_json

        click.echo(to_json(assessment).encode())
    else:
        from feasibility.render.text import to_text

        click.echo(to_text(assessment))
    exit_with(assessment)


@click.command()
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
    survey_path = path_of(survey)
    loaded, assessment = load_and_assess(survey_path)
    pdf_path = survey_path.with_suffix(".pdf") if output is None else path_of(output)
    write_pdf(pdf_path, loaded, assessment)
    click.echo(f"Report: {pdf_path}")
    say_verdict(assessment)
    exit_with(assessment)
