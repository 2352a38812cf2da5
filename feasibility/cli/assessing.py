"""Assess a survey: on the terminal, as JSON, as the report for signature."""

from __future__ import annotations

import click

from feasibility.cli.common import exit_with, load_and_assess, path_of, say_verdict, write_pdf


@click.command()
@click.argument("survey")
@click.option("--json", "as_json", is_flag=True, help="Print the whole assessment as JSON.")
def check(survey: str, as_json: bool) -> None:
    """Assess the SURVEY file and print findings and verdict; the exit code tells the verdict."""
    assessment = load_and_assess(path_of(survey))[1]
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
