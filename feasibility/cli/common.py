"""What the commands share: exit codes, reading and assessing, writing files."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, NoReturn

import click

from feasibility.cli.progress import progress

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path
    from typing import BinaryIO

    from feasibility.advice import Advice
    from feasibility.assessment import Assessment
    from feasibility.remedies.record import Prices
    from feasibility.survey_io.problems import Problem
    from feasibility.survey_io.toml_file import LoadedSurvey

EXIT_CODE_OF_VERDICT = {
    "carries": 0,
    "carries-reduced": 10,
    "upgrade": 20,
    "undecided": 30,
}
EXIT_BAD_INPUT = 2
EXIT_DIFFERS = 40


class CannotDo(click.ClickException):
    """What was asked for cannot be done, and the message says why."""

    exit_code = EXIT_BAD_INPUT


def path_of(text: str) -> Path:
    """Return a path that was given as text."""
    from pathlib import Path

    return Path(text)


def load_and_assess(survey_path: Path) -> tuple[LoadedSurvey, Assessment]:
    """Read and assess a survey; a faulty one ends the program with all its problems listed."""
    loaded = load(survey_path)
    return loaded, assessed(loaded)


def load(survey_path: Path) -> LoadedSurvey:
    """Read a survey; a faulty one ends the program with all its problems listed."""
    from feasibility.survey_io.problems import SurveyProblems
    from feasibility.survey_io.toml_file import read_survey

    try:
        return read_survey(survey_path)
    except SurveyProblems as faulty:
        end_with_problems(str(faulty.path), faulty.problems)


def assess_with(loaded: LoadedSurvey, assignments: Sequence[str]) -> Assessment:
    """Assess a survey with other values; faulty ones end the program, all of them listed."""
    from feasibility.survey_io.set_values import SetProblems, with_values

    try:
        changed = with_values(loaded, assignments)
    except SetProblems as faulty:
        end_with_problems("--set", faulty.problems)
    return assessed(changed)


def assessed(loaded: LoadedSurvey) -> Assessment:
    """Assess a survey that was read."""
    from feasibility.assessment import assess

    with progress("Every quarter-hour") as told:
        return assess(
            loaded.survey, sha256=loaded.sha256, demand_logs=loaded.demand_logs, on_step=told
        )


def end_with_problems(where: str, problems: Sequence[Problem]) -> NoReturn:
    """List the problems of a file or an option and end the program."""
    from feasibility.survey_io.problems import describe

    count = len(problems)
    click.echo(f"{where}: {count} problem{'' if count == 1 else 's'}", err=True)
    for problem in problems:
        click.echo(describe(problem), err=True)
    sys.exit(EXIT_BAD_INPUT)


def place(path: Path, content: bytes) -> None:
    """Write a file, unless another one of that name would be lost."""
    from feasibility.write_file import write_atomically

    path.parent.mkdir(parents=True, exist_ok=True)
    if os.path.lexists(path):
        if path.is_file() and path.read_bytes() == content:
            return
        message = (
            f"{path} has been edited, or is another file, and would be lost; rename it or choose "
            "another --folder"
        )
        raise CannotDo(message)
    write_atomically(path, content)


def prices_of(path: Path | None) -> Prices | None:
    """Read a price list, if one is named; a faulty one ends the program with all its problems."""
    if path is None:
        return None
    from feasibility.survey_io.prices import read_prices
    from feasibility.survey_io.problems import SurveyProblems

    try:
        return read_prices(path)
    except SurveyProblems as faulty:
        end_with_problems(str(faulty.path), faulty.problems)


def advice_on(loaded: LoadedSurvey, assessment: Assessment, prices: Prices | None = None) -> Advice:
    """Return what would be enough, and which facts matter."""
    from feasibility.advice import advise

    return advise(assessment, loaded.demand_logs, prices)


def write_pdf(pdf_path: Path, loaded: LoadedSurvey, assessment: Assessment, advice: Advice) -> str:
    """Write the report with what it was made from inside; return the JSON that it carries.

    Whoever calls has refused to replace anything but a PDF, before it assessed.
    """
    from feasibility.archive import enclosures, log_contents
    from feasibility.render.json_document import to_json
    from feasibility.render.pdf import to_pdf
    from feasibility.write_file import write_atomically

    checksums = {log.file: log.sha256 for log in loaded.demand_logs.values()}
    logs = log_contents(loaded.path.parent, checksums)
    document = to_json(assessment, advice)
    enclosed = enclosures(loaded.content, document, logs)
    write_atomically(pdf_path, to_pdf(assessment, enclosed, advice))
    return document


def refuse_to_replace_other_than_pdf(path: Path) -> None:
    """End with a message where something else than a PDF would be lost."""
    _refuse_to_replace(path, "a PDF", lambda file: file.read(4) == b"%PDF")


def refuse_to_replace_other_than_assessment(path: Path) -> None:
    """End with a message where something else than the JSON of an assessment would be lost."""

    def is_assessment(file: BinaryIO) -> bool:
        import json

        try:
            read = json.load(file)
        except (ValueError, RecursionError):
            return False
        return isinstance(read, dict) and {"schema_version", "verdict"} <= set(read)

    _refuse_to_replace(path, "an assessment", is_assessment)


def refuse_to_replace_other_than_network(path: Path) -> None:
    """End with a message where something else than a network written here would be lost."""

    def is_network(file: BinaryIO) -> bool:
        from feasibility.network_file import is_network_file

        return is_network_file(file.read())

    _refuse_to_replace(path, "a network file", is_network)


def _refuse_to_replace(path: Path, kind: str, is_ours: Callable[[BinaryIO], bool]) -> None:
    if not path.parent.is_dir():
        message = f"there is no folder {path.parent} to write {path.name} into"
        raise CannotDo(message)
    if not os.path.lexists(path):
        return
    if not path.is_file():
        message = f"{path} exists and is not an ordinary file; choose another place"
        raise CannotDo(message)
    with path.open("rb") as file:
        if not is_ours(file):
            message = f"{path} exists and is not {kind}; it is left alone, choose another place"
            raise CannotDo(message)


def say_verdict(assessment: Assessment) -> None:
    """Print the verdict in words."""
    from feasibility.render.text import verdict_in_words

    click.echo(verdict_in_words(assessment))


def exit_with(assessment: Assessment) -> None:
    """End the program with the exit code of the verdict."""
    sys.exit(EXIT_CODE_OF_VERDICT[assessment.verdict])
