"""A log is read once for each content and each description, and never remembered wrongly."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from feasibility.demand_log.reading import read_demand_log
from feasibility.demand_log.record import DemandLog, LogDescription, LogProblems
from feasibility.page import desk, log_memory
from feasibility.page.answer import NOTHING
from feasibility.page.log_memory import MOST_LOGS, LogMemory

from ..demand_log.files import Form, text_of, times
from .client import client_of, filled_folder, revision_in

DESCRIBED = LogDescription(
    unit="A", time_column="time", value_columns={"L1": "L1"}, time_zone="+01:00", interval_s=900
)


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was really read, one after the other."""
    found: list[str] = []

    def counted(path: Path, description: LogDescription) -> DemandLog:
        found.append(path.name)
        return read_demand_log(path, description)

    monkeypatch.setattr(log_memory, "read_demand_log", counted)
    return found


@pytest.fixture
def written(tmp_path: Path) -> Callable[..., Path]:
    def write(*figures: float, name: str = "log.csv") -> Path:
        path = tmp_path / name
        path.write_bytes(text_of(times(len(figures)), [[one] for one in figures], Form(), ["L1"]))
        return path

    return write


def maximum(memory: LogMemory, path: Path, description: LogDescription = DESCRIBED) -> float:
    values = memory.read(path, description).of("L1")
    assert values is not None
    return values.maximum


def test_a_content_is_read_once_and_another_one_again(
    reads: list[str], written: Callable[..., Path]
) -> None:
    memory, path = LogMemory(), written(4, 7, 5)
    assert [maximum(memory, path) for _ in range(3)] == [7, 7, 7]
    assert len(reads) == 1
    assert maximum(memory, written(4, 9, 5)) == 9
    assert maximum(memory, written(4, 7, 5)) == 7
    assert len(reads) == 2
    assert maximum(memory, path, replace(DESCRIBED, time_zone="+02:00")) == 7
    assert len(reads) == 3


def test_what_is_wrong_is_told_every_time_and_read_once(
    reads: list[str], written: Callable[..., Path]
) -> None:
    memory, path = LogMemory(), written(4, -7, 5)
    for _ in range(2):
        with pytest.raises(LogProblems, match="a figure not below zero"):
            memory.read(path, DESCRIBED)
    assert len(reads) == 1
    assert maximum(memory, written(4, 7, 5)) == 7
    path.unlink()
    for _ in range(2):
        with pytest.raises(LogProblems, match="a file that exists"):
            memory.read(path, DESCRIBED)


def test_only_so_many_are_kept(reads: list[str], written: Callable[..., Path]) -> None:
    memory = LogMemory()
    paths = [written(4, 7, 5, name=f"{number}.csv") for number in range(MOST_LOGS + 1)]
    for path in (*paths, paths[-1], paths[0]):
        assert maximum(memory, path) == 7
    assert reads == [*(path.name for path in paths), paths[0].name]


def test_a_file_that_changes_while_it_is_read_is_not_kept(
    monkeypatch: pytest.MonkeyPatch, written: Callable[..., Path]
) -> None:
    def changing(path: Path, description: LogDescription) -> DemandLog:
        found = read_demand_log(path, description)
        written(1, 2, 3)
        return found

    memory, path = LogMemory(), written(4, 7, 5)
    monkeypatch.setattr(log_memory, "read_demand_log", changing)
    assert maximum(memory, path) == 7
    monkeypatch.undo()
    assert maximum(memory, written(4, 7, 5)) == 7
    assert maximum(memory, written(1, 2, 3)) == 3


def test_a_change_on_the_page_reads_no_log_again(
    reads: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desk, "answer_of", lambda *_, **__: NOTHING)
    client = client_of(filled_folder(tmp_path))
    revision = revision_in(client.get("/s/market-hall/at/cord").text)
    for length in ("6", "7"):
        entries = [{"place": "cord.length_m", "text": length}]
        body = {"revision": revision, "entries": entries}
        revision = client.post("/s/market-hall/change", json=body).json()["revision"]
    assert reads == ["market-hall-demand.csv"]
