"""Write the sheet that a surveyor takes along to the site."""

from __future__ import annotations

import click

from feasibility.cli.common import load_and_assess, path_of, refuse_to_replace_other_than_pdf


@click.command()
@click.option(
    "--output",
    metavar="PDF",
    default="survey-sheet.pdf",
    show_default=True,
    help="Where the sheet goes.",
)
@click.option("--text", "as_text", is_flag=True, help="Print the sheet as text in place of a PDF.")
@click.option(
    "--for",
    "survey",
    metavar="SURVEY",
    help="Only what this survey still leaves open, what decides the answer first of all.",
)
def sheet(output: str, as_text: bool, survey: str | None) -> None:
    """Write an empty survey sheet for the visit: every value, in the order of the walk.

    It leads from the service to the outlet, with a space for each value that a survey can hold and
    a mark at those that decide the answer. An older PDF in the same place is replaced.
    """
    place = path_of(output)
    if not as_text:
        refuse_to_replace_other_than_pdf(place)
    from feasibility.page.sheet import empty_sheet, open_sheet, sheet_html

    if survey is None:
        chosen = empty_sheet()
    else:
        from feasibility.survey.changes import plain_data_of

        loaded, assessment = load_and_assess(path_of(survey))
        chosen = open_sheet(plain_data_of(loaded.survey), assessment)
    if as_text:
        from feasibility.page.sheet_text import sheet_text

        click.echo(sheet_text(chosen))
        return
    from feasibility.render.pdf import pdf_of
    from feasibility.write_file import write_atomically

    write_atomically(place, pdf_of(sheet_html(chosen)))
    click.echo(f"Sheet: {place}")
