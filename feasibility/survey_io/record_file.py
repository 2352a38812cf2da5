"""Read a commissioning record: into a record, or into the complete list of its problems."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path

from feasibility.commissioning.record import CommissioningRecord
from feasibility.commissioning.record_consistency import Known, record_inconsistencies
from feasibility.survey.plain_data import Inconsistency, KeyPath
from feasibility.survey_io.problems import SurveyProblems
from feasibility.survey_io.syntax import parse_toml
from feasibility.survey_io.toml_file import file_content, file_text, located
from feasibility.survey_io.validation import modelled


def read_record(path: str | Path, known: Known) -> CommissioningRecord:
    """Read and check a commissioning record (TOML 1.0, UTF-8); ``known`` is what it may refer to.

    Raises SurveyProblems, and nothing else, whatever the file holds.
    """
    return parse_record(file_content(Path(path)), Path(path), known)


def parse_record(content: bytes, path: Path, known: Known) -> CommissioningRecord:
    """Read and check the bytes of a record; ``path`` is what the problems refer to.

    Raises SurveyProblems, and nothing else, whatever the bytes are.
    """
    parsed = parse_toml(file_text(content, path, "a commissioning record"))
    problems = list(parsed.problems)
    record = None
    if parsed.data is not None:
        record, mistakes = validated_record(parsed.data, parsed.lost, known)
        problems.extend(located(mistakes, parsed.index))
    if problems or record is None:
        raise SurveyProblems(path, sorted(problems, key=lambda found: found.line or 0))
    return record


def validated_record(
    data: Mapping[str, object], lost: Collection[KeyPath], known: Known
) -> tuple[CommissioningRecord | None, list[Inconsistency]]:
    """Return the record and an empty list, or None and every mistake in the data."""
    record, mistakes = modelled(data, lost, CommissioningRecord)
    if all(len(place) > 1 for place in lost):
        refused = {mistake.path for mistake in mistakes}
        found = record_inconsistencies(data, known)
        mistakes += [mistake for mistake in found if mistake.path not in refused]
    return (None if mistakes else record), mistakes
