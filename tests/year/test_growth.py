"""Time and memory of a whole year at twelve nodes: long, so not in the default run."""

from __future__ import annotations

import time
import tracemalloc
from typing import Any

import pytest

from feasibility.checks.catalogue import CATALOGUE
from feasibility.checks.run import Judgement, run_catalogue
from feasibility.installation.build import build_installation
from feasibility.settings import settings_of
from feasibility.year.record import YearStudy
from feasibility.year.study import year_study

from ..benchmark.year_site import QUARTERS, year_site

pytestmark = pytest.mark.campaign

LARGEST_BYTES = 2**30


def judged(**size: Any) -> Judgement:
    survey, logs = year_site(balanced=False, **size)
    return run_catalogue(build_installation(survey, logs), CATALOGUE)


def study(judgement: Judgement) -> YearStudy:
    run = judgement.unfavourable
    found = year_study(judgement, settings_of(run.installation, run.ends))
    assert found is not None
    return found


def seconds(judgement: Judgement) -> float:
    """The least processor time of three runs, which other programs disturb least."""
    study(judgement)
    taken = []
    for _ in range(3):
        start = time.process_time()
        study(judgement)
        taken.append(time.process_time() - start)
    return min(taken)


def test_a_year_needs_less_than_a_gibibyte() -> None:
    judgement = judged()
    tracemalloc.start()
    found = study(judgement)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert found.hours == QUARTERS / 4
    assert most < LARGEST_BYTES


def test_time_grows_linearly_with_time_and_with_nodes() -> None:
    half, whole = seconds(judged(quarters=QUARTERS // 2)), seconds(judged())
    assert whole < 2.6 * half
    few = seconds(judged(boards=4))
    assert whole < 2.6 * 10 / 4 * few
