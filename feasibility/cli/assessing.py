"""Assess a survey: on the terminal, as JSON, as the report for signature."""

from __future__ import annotations

import click

from feasibility.cli.common import (
    advice_on,
    assess_with,
    assessed,
    exit_with,
    load,
    load_and_assess,
    path_of,
    prices_of,
    refuse_to_replace_other_than_pdf,
    say_verdict,
    write_pdf,
)

_PRICES = click.option(
    "--prices",
    metavar="FILE",
    help="Your own price list (TOML): remedies of the same disturbance are ordered by it.",
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
@_PRICES
def check(survey: str, as_json: bool, assignments: tuple[str, ...], prices: str | None) -> None:
    """Assess the SURVEY file and print findings and verdict; the exit code tells the verdict."""
    if as_json and assignments:
        message = "give either --json or --set: what a survey file does not say has no JSON"
        raise click.UsageError(message)
    if prices is not None and assignments:
        message = "give either --prices or --set: what is set prints two results and no remedies"
        raise click.UsageError(message)
    price_list = prices_of(None if prices is None else path_of(prices))
    loaded, assessment = load_and_assess(path_of(survey))
    if assignments:
        after = assess_with(loaded, assignments)
        from feasibility.render.comparison_text import comparison_text
        from feasibility.what_if import changed_findings

        changed = changed_findings(assessment, after)
        click.echo(comparison_text(assessment, after, changed, assignments))
        exit_with(after)
    advice = advice_on(loaded, assessment, price_list)
    if as_json:
        from feasibility.render.json_document import to_json

        click.echo(to_json(assessment, advice).encode())
    else:
        from feasibility.render.text import to_text

        click.echo(to_text(assessment, advice))
    exit_with(assessment)


@click.command()
@click.argument("survey")
@click.option(
    "--output",
    metavar="PDF",
    help="Where the report goes; without it, beside the survey with the suffix .pdf.",
)
@_PRICES
def report(survey: str, output: str | None, prices: str | None) -> None:
    """Assess the SURVEY file and write the pre-installation report as a PDF for signature.

    An older report in the same place is replaced; a file that is not a PDF never is.
    """
    survey_path = path_of(survey)
    price_list = prices_of(None if prices is None else path_of(prices))
    loaded = load(survey_path)
    pdf_path = survey_path.with_suffix(".pdf") if output is None else path_of(output)
    refuse_to_replace_other_than_pdf(pdf_path)
    assessment = assessed(loaded)
    write_pdf(pdf_path, loaded, assessment, advice_on(loaded, assessment, price_list))
    click.echo(f"Report: {pdf_path}")
    say_verdict(assessment)
    exit_with(assessment)
