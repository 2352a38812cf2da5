"""A survey that is still being written: what is wrong with it, and what can be assessed of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from feasibility.page.places import Data, NoSuchPlace, value_at, with_value
from feasibility.survey.plain_data import Inconsistency, KeyPath
from feasibility.survey.source_consistency import described_files
from feasibility.survey_io.demand_logs import LogReader, read_logs
from feasibility.survey_io.problems import Problem, describe, field_text, printable, value_text
from feasibility.survey_io.syntax import parse_toml
from feasibility.survey_io.validation import validate
from feasibility.survey_io.wording import field_type

if TYPE_CHECKING:
    from feasibility.demand_log.record import DemandLog
    from feasibility.survey.model import Survey

NOT_NAMED = "not named yet"
_ATTEMPTS = 4
_STRUCTURE = frozenset({"name", "starts_at", "ends_at"})
_RECORDS = ("site", "surveyor", "supply", "outlet", "station")


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """One mistake at its place in the data; ``text`` says it as the command line does.

    ``missing`` tells that nothing was answered yet where something is needed.
    """

    path: KeyPath
    text: str
    missing: bool = False


@dataclass(frozen=True, slots=True)
class Draft:
    """What a survey file holds so far.

    ``data`` is None where the text is no TOML. ``problems`` are all mistakes. ``survey`` is what
    can be assessed: as it stands where ``problems`` is empty, otherwise with stand-ins for names
    and dates that are missing and without the values of ``set_aside``; None where even that does
    not hold together.
    """

    data: Data | None
    problems: tuple[FieldProblem, ...] = ()
    survey: Survey | None = None
    set_aside: tuple[KeyPath, ...] = ()
    logs: Mapping[str, DemandLog] = field(default_factory=dict)


def read_draft(content: bytes, folder: Path, reader: LogReader | None = None) -> Draft:
    """Read a survey file however unfinished; logs that it names lie in ``folder``.

    ``reader`` reads them, by default afresh.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return Draft(None, (FieldProblem((), "expected text saved as UTF-8"),))
    parsed = parse_toml(text)
    if parsed.data is None or parsed.problems:
        found = tuple(FieldProblem((), describe(one)) for one in parsed.problems)
        return Draft(None, found)
    survey, mistakes = validate(parsed.data)
    set_aside: tuple[KeyPath, ...] = ()
    if survey is None:
        survey, set_aside = _mended(parsed.data)
    logs = read_logs(parsed.data, survey, folder, parsed.index, reader)
    problems = [
        *(field_problem(one, parsed.data) for one in mistakes),
        *(_of_log(one, parsed.data) for one in logs.problems),
    ]
    return Draft(parsed.data, tuple(problems), survey, set_aside, logs.logs)


def field_problem(mistake: Inconsistency, data: Data) -> FieldProblem:
    """Return a mistake in the words of the command line, at its place in the data."""
    path, value, expected = mistake
    shown = "" if value is None else value_text(value)
    text = describe(Problem(None, None, field_text(path), shown, printable(expected)))
    return FieldProblem(path, text, missing=value_at(data, path) is None)


def _of_log(problem: Problem, data: Data) -> FieldProblem:
    """Return a problem of a log at the field that names its file."""
    places: list[KeyPath] = [(*path, "file") for path, _ in described_files(data)]
    text = describe(Problem(None, None, problem.field, problem.value, problem.expected))
    here = next((one for one in places if problem.field.startswith(f"{field_text(one)} ")), ())
    return FieldProblem(here, text)


def _mended(data: Data) -> tuple[Survey | None, tuple[KeyPath, ...]]:
    """Return the survey with stand-ins for what is missing and without what is wrong."""
    changed = deepcopy(data)
    changed.setdefault("survey_version", 1)
    for name in _RECORDS:
        changed.setdefault(name, {})
    set_aside: list[KeyPath] = []
    for _ in range(_ATTEMPTS):
        survey, mistakes = validate(changed)
        if survey is not None:
            return survey, tuple(set_aside)
        for path, _, _ in mistakes:
            changed = _without_mistake(changed, path, set_aside)
    return None, tuple(set_aside)


def _without_mistake(data: Data, path: KeyPath, set_aside: list[KeyPath]) -> Data:
    kind = field_type(path)
    if kind is None or not path:
        return data
    present = value_at(data, path) is not None
    try:
        if not present:
            return with_value(data, path, _stand_in(path, kind.kind))
        if path[-1] in _STRUCTURE or isinstance(path[-1], int):
            return data
        set_aside.append(path)
        return with_value(data, path, _stand_in(path, kind.kind) if _is_required(path) else None)
    except NoSuchPlace:
        return data


def _is_required(path: KeyPath) -> bool:
    around = field_type(path[:-1])
    if around is None or around.record is None or not isinstance(path[-1], str):
        return False
    return around.record.model_fields[path[-1]].is_required()


def _stand_in(path: KeyPath, kind: Any) -> object | None:
    """Return what stands for a required field that is missing, if anything can."""
    if path == ("survey_version",):
        return 1
    if kind is dt.date:
        return dt.datetime.now(tz=dt.UTC).date()
    if kind is str and path[-1] not in ("starts_at", "ends_at"):
        numbers = [str(part + 1) for part in path if isinstance(part, int)]
        return " ".join([NOT_NAMED, *numbers])
    return None
