"""What-if: values that stand in the place of surveyed ones, given as PLACE=VALUE."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import replace

from feasibility.survey.changes import Change, NoSuchPlace, changed_data, keys_of, plain_data_of
from feasibility.survey_io.demand_logs import read_logs
from feasibility.survey_io.line_index import index_lines
from feasibility.survey_io.problems import Problem, field_text, printable, shortened, value_text
from feasibility.survey_io.toml_file import LoadedSurvey
from feasibility.survey_io.validation import validate

_LONGEST = 120
_LOGS = {"log", "output"}
"""The tables that describe a log."""


class SetProblems(Exception):
    """Everything that is wrong with the values, in the order in which they were given."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(self.problems)


def with_values(loaded: LoadedSurvey, assignments: Sequence[str]) -> LoadedSurvey:
    """Return the survey with the values put in; digest and text stay those of the file.

    Each assignment is ``PLACE=VALUE`` with the value as a survey file writes it (a text may stand
    without quotation marks). Logs are read again where an assignment concerns one. Raises
    SetProblems, and nothing else, whatever the assignments are.
    """
    changes, problems = _read(assignments)
    data = plain_data_of(loaded.survey)
    for change in changes:
        try:
            data = changed_data(data, [change])
        except NoSuchPlace as missing:
            problems.append(_problem(missing.place, missing.expected))
    survey, mistakes = validate(data)
    problems += [
        Problem(
            None,
            None,
            field_text(mistake.path),
            "" if mistake.value is None else value_text(mistake.value),
            printable(mistake.expected),
        )
        for mistake in mistakes
    ]
    logs = loaded.demand_logs
    if survey is not None and any(_LOGS & set(keys_of(change.place)) for change in changes):
        read = read_logs(
            data, survey, loaded.path.parent, index_lines(loaded.content.decode("utf-8-sig"))
        )
        problems.extend(read.problems)
        logs = read.logs
    if problems or survey is None:
        raise SetProblems(problems)
    return replace(loaded, survey=survey, demand_logs=logs)


def _read(assignments: Iterable[str]) -> tuple[list[Change], list[Problem]]:
    changes: list[Change] = []
    problems: list[Problem] = []
    for assignment in assignments:
        place, sign, text = assignment.partition("=")
        place = place.strip()
        try:
            keys_of(place)
        except NoSuchPlace as missing:
            problems.append(_problem(place or assignment, missing.expected))
            continue
        if not sign or not text.strip():
            problems.append(_problem(place, f"a value: {place}=VALUE"))
            continue
        changes.append(Change(place=place, value=_value(text.strip())))
    return changes, problems


def _value(text: str) -> object:
    """Return the value as a survey file would hold it; what is no TOML value is a text."""
    try:
        read = tomllib.loads(f"value = {text}")
    except (ValueError, RecursionError):
        return text
    return read["value"] if len(read) == 1 else text


def _problem(subject: str, expected: str) -> Problem:
    return Problem(None, None, shortened(printable(subject), _LONGEST), "", expected)
