"""A valid survey of an invented site, and short ways of spoiling it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from feasibility.survey_io.problems import Problem, SurveyProblems
from feasibility.survey_io.toml_file import parse_survey

BASE = Path(__file__).parent / "base_survey.toml"


@pytest.fixture(scope="session")
def base_text() -> str:
    return BASE.read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def edited(base_text: str) -> Callable[..., str]:
    """Replace parts of the base text; each part has to occur exactly once."""

    def edit(*changes: tuple[str, str]) -> str:
        text = base_text
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        return text

    return edit


@pytest.fixture(scope="session")
def problems_of() -> Callable[[str | bytes], tuple[Problem, ...]]:
    """Return the problems of a text; an accepted survey has none."""

    def problems(content: str | bytes) -> tuple[Problem, ...]:
        raw = content.encode() if isinstance(content, str) else content
        try:
            parse_survey(raw, Path("survey.toml"))
        except SurveyProblems as found:
            return found.problems or (Problem(None, None, "", "", "at least one problem"),)
        return ()

    return problems
