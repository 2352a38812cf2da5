"""What a report carries inside: the survey, its logs and the assessment, to be opened again.

Embedded files follow ISO 32000-2:2020, 7.11.4; their relationship to the document 14.13.
"""

from __future__ import annotations

import hashlib
import io
import json
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from feasibility.render.pdf import Enclosed

SURVEY_NAME = "survey.toml"
ASSESSMENT_NAME = "assessment.json"
LOG_SUFFIXES = (".csv", ".xlsx")
LARGEST_LOGS_BYTES = 20_000_000
"""A report carries the logs of a survey up to this size together (our own choice)."""

RELATIVE_TOLERANCE, ABSOLUTE_TOLERANCE = 0.005, 0.05
"""Two results count as the same within half a per cent or 0.05 of the unit, whichever is more:
what the rounding of the figures and another release of the solvers may change."""

_CURRENTS = {
    "requested_current_a": "requested current",
    "carryable_current_a": "carryable current",
    "current_limit_only_a": "carryable current as far as current goes",
    "advised_current_a": "advised current",
}
_LARGEST_REPORT_BYTES = 200_000_000


class NotAReport(ValueError):
    """The file is not a report that carries its survey and its assessment."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """What a report carried: the bytes of the survey, its logs by name, and the assessment.

    ``genuine`` is False if the assessment was not made from this survey.
    """

    survey: bytes
    logs: Mapping[str, bytes]
    document: Mapping[str, Any]
    document_bytes: bytes
    genuine: bool


def enclosures(
    survey: bytes, document: str, log_files: Mapping[str, bytes]
) -> tuple[Enclosed, ...]:
    """Return the files that go into a report; ``log_files`` by the names that the survey uses."""
    logs = [
        Enclosed(name=name, description="Log", content=content, source=True)
        for name, content in sorted(log_files.items())
    ]
    return (
        Enclosed(name=SURVEY_NAME, description="Survey", content=survey, source=True),
        Enclosed(
            name=ASSESSMENT_NAME,
            description="Assessment with every finding and its working",
            content=document.encode(),
            source=False,
        ),
        *logs,
    )


def log_contents(folder: Path, sha256_of: Mapping[str, str]) -> dict[str, bytes]:
    """Return the log files of a survey that a report carries, by name.

    ``sha256_of`` holds each file's checksum as it was read. All of them are left out where they
    are larger than ``LARGEST_LOGS_BYTES`` together; one that has changed meanwhile is left out.
    """
    sizes = [(folder / name).stat().st_size for name in sha256_of]
    if sum(sizes) > LARGEST_LOGS_BYTES:
        return {}
    read = {name: (folder / name).read_bytes() for name in sha256_of}
    return {
        name: content
        for name, content in read.items()
        if hashlib.sha256(content).hexdigest() == sha256_of[name]
    }


def open_report(path: Path) -> Opened:
    """Return what a report carries. Raises NotAReport for any other file, OSError as it comes."""
    if path.stat().st_size > _LARGEST_REPORT_BYTES:
        message = f"{path} is larger than any report"
        raise NotAReport(message)
    return read_report(path.read_bytes(), str(path))


def read_report(content: bytes, name: str) -> Opened:
    """Return what the content of a report carries; NotAReport speaks of it by ``name``."""
    files = _embedded(content, name)
    if SURVEY_NAME not in files or ASSESSMENT_NAME not in files:
        message = f"{name} carries no survey and assessment: it is no report, or was written anew"
        raise NotAReport(message)
    try:
        document = json.loads(files[ASSESSMENT_NAME])
        made_from = _made_from(document)
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        message = f"the assessment inside {name} cannot be read"
        raise NotAReport(message) from error
    return Opened(
        survey=files[SURVEY_NAME],
        logs={name: content for name, content in files.items() if _is_log_name(name)},
        document=document,
        document_bytes=files[ASSESSMENT_NAME],
        genuine=made_from == hashlib.sha256(files[SURVEY_NAME]).hexdigest(),
    )


def _made_from(document: Any) -> object:
    """Return the checksum in an assessment; KeyError or TypeError where it is none."""
    if not all(isinstance(one, dict) for one in document["findings"]):
        message = "a finding is no object"
        raise TypeError(message)
    return document["survey"]["sha256"]


def _embedded(content: bytes, name: str) -> dict[str, bytes]:
    from pypdf import PdfReader  # noqa: PLC0415 - only this command waits for it

    try:
        reader = PdfReader(io.BytesIO(content))
        return {one.name: bytes(one.content) for one in reader.attachment_list}
    except Exception as error:
        # A damaged file can fail anywhere in the reader, with any kind of error.
        message = f"{name} is not a PDF that can be read"
        raise NotAReport(message) from error


def _is_log_name(name: str) -> bool:
    """Whether a file of this name may be written below a folder: no way out of it."""
    path = PurePosixPath(name)
    plain = not path.is_absolute() and ".." not in path.parts
    return plain and "\\" not in name and ":" not in name and path.suffix.lower() in LOG_SUFFIXES


def differences(then: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[str, ...]:
    """Return in words where two assessments (as their JSON) differ beyond the tolerances."""
    found: list[str] = []
    for key, words in {"verdict": "verdict", "weakest_link": "weakest link"}.items():
        if then.get(key) != now.get(key):
            found.append(f"{words}: {_shown(then.get(key))} then, {_shown(now.get(key))} now")
    for key, words in _CURRENTS.items():
        if not _same(then.get(key), now.get(key)):
            found.append(f"{words}: {_amperes(then.get(key))} then, {_amperes(now.get(key))} now")
    found.extend(_of_findings(then, now))
    return tuple(found)


def _of_findings(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    before, after = _by_name(then.get("findings", ())), _by_name(now.get("findings", ()))
    for name in [*before, *(one for one in after if one not in before)]:
        old, new = before.get(name), after.get(name)
        if old is None:
            yield f"{name}: not asked then, {_outcome(new)} now"
        elif new is None:
            yield f"{name}: {_outcome(old)} then, not asked now"
        elif old.get("outcome") != new.get("outcome"):
            yield f"{name}: {_outcome(old)} then, {_outcome(new)} now"
        else:
            yield from _of_figures(name, old, new)


def _of_figures(name: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    unit = new.get("unit") or ""
    for key, words in {"value": "", "limit": ", limit"}.items():
        if not _same(old.get(key), new.get(key)):
            figures = f"{_shown(old.get(key))} then, {_shown(new.get(key))} now"
            yield f"{name}{words}: {figures} ({unit})" if unit else f"{name}{words}: {figures}"


def _by_name(findings: Iterable[Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    return {f"{one.get('check')} ({one.get('link') or 'site'})": one for one in findings}


def _outcome(finding: Mapping[str, Any] | None) -> str:
    return _shown(None if finding is None else finding.get("outcome"))


def _same(first: object, second: object) -> bool:
    numbers = (int, float)
    if isinstance(first, numbers) and isinstance(second, numbers):
        return math.isclose(first, second, rel_tol=RELATIVE_TOLERANCE, abs_tol=ABSOLUTE_TOLERANCE)
    return first == second


def _shown(value: object) -> str:
    return "none" if value is None else str(value)


def _amperes(value: object) -> str:
    return "none" if value is None else f"{value} A"
