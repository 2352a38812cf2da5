"""Which fields decide: leaving one out of a complete survey opens a question that was closed.

``python -m tests.survey.decisive`` prints the fields of all shipped sites as they are found, for
``feasibility/importance.py``.
"""

from __future__ import annotations

import copy
import sys
from collections.abc import Collection, Iterator
from typing import Any

from pydantic import ValidationError

from feasibility.assessment import Assessment
from feasibility.examples import example_names
from feasibility.importance import Importance, importance_of
from feasibility.result import Outcome
from feasibility.survey.consistency import inconsistencies
from feasibility.survey.model import Survey

from ..checks.sites import assessed_quickly, site_data

Path = tuple[str | int, ...]


def stated_fields(data: Any, path: Path = ()) -> Iterator[Path]:
    """Yield the path of every single value in the plain data of a survey."""
    if isinstance(data, dict) and not ({"value", "low"} & set(data)):
        for name, inner in data.items():
            yield from stated_fields(inner, (*path, name))
    elif isinstance(data, list) and data and isinstance(data[0], dict):
        for number, inner in enumerate(data):
            yield from stated_fields(inner, (*path, number))
    else:
        yield path


def name_of(path: Path) -> str:
    """Return the field without positions: ``circuit.cable.length_m``."""
    return ".".join(part for part in path if isinstance(part, str))


def without(data: Any, path: Path) -> Any:
    """Return a copy of the data without the value at the path."""
    changed = copy.deepcopy(data)
    inner = changed
    for part in path[:-1]:
        inner = inner[part]
    del inner[path[-1]]
    return changed


def open_questions(assessment: Assessment) -> set[tuple[str, str]]:
    return {(f.check, f.link) for f in assessment.findings if f.outcome is Outcome.OPEN}


def decisive_of(name: str, known: Collection[str] = ()) -> Iterator[str]:
    """Yield the fields of a site that decide, but for ``known`` ones and those with a range.

    One that the survey must have is left out.
    """
    data = site_data(name)
    before = open_questions(assessed_quickly(Survey.model_validate(data)))
    found = set(known)
    for path in stated_fields(data):
        field = name_of(path)
        if field in found or importance_of(field) is Importance.NARROWS:
            continue
        changed = without(data, path)
        try:
            survey = Survey.model_validate(changed)
        except ValidationError:
            continue
        if inconsistencies(changed):
            continue
        if open_questions(assessed_quickly(survey)) - before:
            found.add(field)
            yield field


def main() -> None:
    fields: set[str] = set()
    for name in sys.argv[1:] or example_names():
        for field in decisive_of(name, fields):
            fields.add(field)
            sys.stdout.write(f"{field}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
