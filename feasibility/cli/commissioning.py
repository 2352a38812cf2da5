"""Compare readings after the installation with what the assessment predicts."""

from __future__ import annotations

import sys

import click

from feasibility.cli.common import (
    EXIT_DIFFERS,
    end_with_problems,
    load_and_assess,
    path_of,
)

EXIT_CODE_OF_AGREEMENT = {
    "within what was expected": 0,
    "differs": EXIT_DIFFERS,
    "cannot tell": 30,
}


@click.command()
@click.argument("survey")
@click.argument("record")
@click.option("--json", "as_json", is_flag=True, help="Print the whole comparison as JSON.")
def compare(survey: str, record: str, as_json: bool) -> None:
    """Compare the readings in the commissioning RECORD with what the SURVEY predicts.

    Both are TOML files. A difference beyond the instruments' tolerance points to the links in which
    a resistance is too high. The exit code is 0 if the readings are within what was expected, 40 if
    one differs, 30 if they cannot tell.
    """
    loaded, assessment = load_and_assess(path_of(survey))
    from feasibility.commissioning.compare import compare as compare_readings
    from feasibility.commissioning.compare import known_to
    from feasibility.survey_io.problems import SurveyProblems
    from feasibility.survey_io.record_file import read_record

    try:
        readings = read_record(path_of(record), known_to(assessment))
    except SurveyProblems as faulty:
        end_with_problems(str(faulty.path), faulty.problems)
    comparison = compare_readings(assessment, readings, loaded.demand_logs)
    if as_json:
        from feasibility.render.commissioning_json import commissioning_json

        click.echo(commissioning_json(comparison).encode())
    else:
        from feasibility.render.commissioning_text import commissioning_text

        click.echo(commissioning_text(comparison))
    sys.exit(EXIT_CODE_OF_AGREEMENT[comparison.agreement.value])
