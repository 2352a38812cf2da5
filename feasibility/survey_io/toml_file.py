"""Read a survey file: into a survey, or into the complete list of what is wrong with it."""

from __future__ import annotations

import hashlib
import stat
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from feasibility.survey_io.line_index import LineIndex
from feasibility.survey_io.problems import (
    Problem,
    SurveyProblems,
    field_text,
    printable,
    value_text,
)
from feasibility.survey_io.syntax import parse_toml

if TYPE_CHECKING:
    from feasibility.demand_log.record import DemandLog
    from feasibility.survey.model import Survey
    from feasibility.survey.plain_data import Inconsistency

LARGEST_FILE_BYTES = 2_000_000

_MARK = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class LoadedSurvey:
    """A survey with where it came from: the file's bytes, their SHA-256 (hex), its path.

    ``demand_logs`` are the logs that it names, by their place in it (``board[1].demand.log``).
    """

    survey: Survey
    sha256: str
    path: Path
    content: bytes
    demand_logs: Mapping[str, DemandLog] = field(default_factory=dict)


def read_survey(path: str | Path) -> LoadedSurvey:
    """Read and check a survey file (TOML 1.0, UTF-8, at most ``LARGEST_FILE_BYTES``).

    Raises SurveyProblems, and nothing else, whatever the file holds.
    """
    return parse_survey(file_content(Path(path)), Path(path))


def parse_survey(content: bytes, path: Path) -> LoadedSurvey:
    """Read and check the bytes of a survey file; ``path`` is what the problems refer to.

    Logs that the survey names are read too, from the folder of ``path``.

    Raises SurveyProblems, and nothing else, whatever the bytes are.
    """
    parsed = parse_toml(file_text(content, path, "a survey"))
    problems = list(parsed.problems)
    survey = None
    logs: Mapping[str, DemandLog] = {}
    if parsed.data is not None:
        # Loading the model takes longer than all the rest; a file that cannot be opened or that
        # is no TOML is answered without it.
        from feasibility.survey_io.demand_logs import read_logs  # noqa: PLC0415
        from feasibility.survey_io.validation import validate  # noqa: PLC0415

        survey, mistakes = validate(parsed.data, parsed.lost)
        problems.extend(located(mistakes, parsed.index))
        read = read_logs(parsed.data, survey, path.parent, parsed.index)
        problems.extend(read.problems)
        logs = read.logs
    if problems or survey is None:
        raise SurveyProblems(path, sorted(problems, key=lambda found: found.line or 0))
    return LoadedSurvey(survey, hashlib.sha256(content).hexdigest(), path, content, logs)


def file_content(path: Path) -> bytes:
    """Return the bytes of a file; SurveyProblems where it cannot be read or is too large."""
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            expected = "a file, not a folder"
        elif not stat.S_ISREG(status.st_mode):
            expected = "an ordinary file"
        elif status.st_size > LARGEST_FILE_BYTES:
            raise SurveyProblems(path, [_too_large(path, status.st_size)])
        else:
            with path.open("rb") as file:
                return file.read(LARGEST_FILE_BYTES + 1)
    except FileNotFoundError:
        expected = "a file that exists"
    except PermissionError:
        expected = "a file that may be read"
    except (OSError, ValueError) as error:
        expected = f"a file that can be read ({printable(str(error))})"
    raise SurveyProblems(path, [_file_problem(path, expected)])


def file_text(content: bytes, path: Path, what: str) -> str:
    """Return the text of a file that holds ``what``; SurveyProblems where it is none."""
    if len(content) > LARGEST_FILE_BYTES:
        raise SurveyProblems(path, [_too_large(path, len(content))])
    body = content.removeprefix(_MARK)
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        line = body.count(b"\n", 0, error.start) + 1
        found = f"byte {body[error.start]:02x}"
        problem = Problem(line, None, "", found, "text saved as UTF-8")
        raise SurveyProblems(path, [problem]) from None
    if "\x00" in text:
        line = text.count("\n", 0, text.index("\x00")) + 1
        raise SurveyProblems(path, [Problem(line, None, "", "byte 00", "text saved as UTF-8")])
    if not text.strip():
        raise SurveyProblems(path, [_file_problem(path, f"{what}; the file is empty")])
    return text


def _file_problem(path: Path, expected: str) -> Problem:
    return Problem(None, None, "file", value_text(str(path)), expected)


def _too_large(path: Path, size_bytes: int) -> Problem:
    largest_mb, size_mb = LARGEST_FILE_BYTES / 1e6, size_bytes / 1e6
    return _file_problem(path, f"at most {largest_mb:g} MB; this file has {size_mb:.2f} MB")


def located(mistakes: Iterable[Inconsistency], index: LineIndex) -> Iterable[Problem]:
    """Yield each mistake as a problem with its line."""
    for path, value, expected in mistakes:
        shown = "" if value is None else value_text(value)
        yield Problem(index.nearest(path), None, field_text(path), shown, printable(expected))
