"""Write and assess a demonstration survey."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from feasibility.cli.common import (
    advice_on,
    load_and_assess,
    path_of,
    place,
    refuse_to_replace_other_than_assessment,
    refuse_to_replace_other_than_pdf,
    say_verdict,
    write_pdf,
)

if TYPE_CHECKING:
    from pathlib import Path


@click.command()
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
    survey_path = path_of(folder) / f"{chosen}.toml"
    place(survey_path, example_text(chosen).encode())
    for companion, content in example_companions(chosen).items():
        place(survey_path.with_name(companion), content)
    _write_demo(survey_path)


def _write_demo(survey_path: Path) -> None:
    from feasibility.write_file import write_atomically

    pdf_path = survey_path.with_suffix(".pdf")
    json_path = survey_path.with_suffix(".json")
    refuse_to_replace_other_than_pdf(pdf_path)
    refuse_to_replace_other_than_assessment(json_path)
    loaded, assessment = load_and_assess(survey_path)
    document = write_pdf(pdf_path, loaded, assessment, advice_on(loaded, assessment))
    write_atomically(json_path, document.encode())
    click.echo(
        f"Demonstration survey {survey_path.stem} (feasibility demo --list names the others)"
    )
    click.echo(f"Survey: {survey_path}")
    click.echo(f"JSON:   {json_path}")
    click.echo(f"Report: {pdf_path}")
    say_verdict(assessment)
