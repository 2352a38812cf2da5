"""The folder: whole writes, earlier versions, nothing outside, nothing lost when killed."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest

from feasibility.page import folder as folder_module
from feasibility.page.folder import (
    NoSuchSurvey,
    StaleRevision,
    SurveyFolder,
    plain_name,
    revision_of,
)

ONE, TWO, THREE = b"a = 1\n", b"a = 2\n", b"a = 3\n"


def test_what_was_there_before_is_kept(tmp_path: Path) -> None:
    folder = SurveyFolder(tmp_path)
    first = folder.create("Old mill, yard", ONE)
    assert first.name == "old-mill-yard"
    second = folder.save(first.name, TWO, first.revision)
    folder.save(first.name, THREE, second.revision)
    assert folder.read(first.name).content == THREE
    assert [one.path.read_bytes() for one in folder.versions(first.name)] == [TWO, ONE]
    assert folder.earlier(first.name, revision_of(ONE)) == ONE
    assert folder.earlier(first.name, revision_of(b"never")) is None


def test_a_stale_save_changes_nothing(tmp_path: Path) -> None:
    folder = SurveyFolder(tmp_path)
    first = folder.create("a", ONE)
    folder.save("a", TWO, first.revision)
    with pytest.raises(StaleRevision) as told:
        folder.save("a", THREE, first.revision)
    assert told.value.current.content == TWO
    assert folder.read("a").content == TWO


def test_the_oldest_versions_go_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folder_module, "MOST_VERSIONS", 3)
    folder = SurveyFolder(tmp_path)
    stored = folder.create("a", b"a = 0\n")
    for number in range(1, 7):
        stored = folder.save("a", f"a = {number}\n".encode(), stored.revision)
    kept = [one.path.read_bytes() for one in folder.versions("a")]
    assert kept == [b"a = 5\n", b"a = 4\n", b"a = 3\n"]


@pytest.mark.parametrize(
    "name",
    ["", ".", "..", "../a", "a/b", "a\\b", ".versions", "/etc/hostname", "a\x00b", "x" * 300,
     "linked", "place", ".hidden"],
)  # fmt: skip
def test_no_name_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    outside = tmp_path / "outside.toml"
    outside.write_bytes(ONE)
    (tmp_path / "a.toml").write_bytes(ONE)
    inside = tmp_path / "inside"
    (inside / "place.toml").mkdir(parents=True)
    (inside / ".hidden.toml").write_bytes(ONE)
    (inside / "linked.toml").symlink_to(outside)
    folder = SurveyFolder(inside)
    assert folder.names() == ()
    with pytest.raises(NoSuchSurvey):
        folder.read(name)
    with pytest.raises(NoSuchSurvey):
        folder.save(name, TWO, revision_of(ONE))
    assert outside.read_bytes() == ONE


@pytest.mark.parametrize(
    ("wanted", "name"),
    [
        ("../../etc/passwd", "etc-passwd"),
        ("Größe 5", "grosse-5"),
        ("", "survey"),
        ("...", "survey"),
    ],
)
def test_a_new_name_is_plain(wanted: str, name: str) -> None:
    assert plain_name(wanted) == name


def test_a_new_survey_never_takes_the_place_of_another(tmp_path: Path) -> None:
    folder = SurveyFolder(tmp_path)
    assert [folder.create("A", ONE).name for _ in range(3)] == ["a", "a-2", "a-3"]


def test_a_log_is_put_beside_and_never_replaces_another(tmp_path: Path) -> None:
    folder = SurveyFolder(tmp_path)
    put = folder.place_beside
    assert put("../my log.CSV", ONE, (".csv",)) == "my-log.csv"
    assert put("my log.csv", ONE, (".csv",)) == "my-log.csv"
    assert put("my log.csv", TWO, (".csv",)) == "my-log-2.csv"
    with pytest.raises(ValueError, match=r"ends in \.csv"):
        put("x.toml", ONE, (".csv",))


def test_what_a_killed_program_left_is_cleared_but_not_what_is_being_written(
    tmp_path: Path,
) -> None:
    old, fresh = tmp_path / f".{'a' * 16}.tmp", tmp_path / f".{'b' * 16}.tmp"
    for file in (old, fresh):
        file.write_bytes(b"")
    os.utime(old, (time.time() - 9999,) * 2)
    SurveyFolder(tmp_path)
    assert not old.exists()
    assert fresh.exists()


WRITER = """
import sys
from pathlib import Path
from feasibility.page.folder import SurveyFolder
folder = SurveyFolder(Path(sys.argv[1]))
stored = folder.read("a")
for number in range(1, 100000):
    content = f"a = {number}\\n# {'x' * 20000}\\n".encode()
    stored = folder.save("a", content, stored.revision)
    print(number, flush=True)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL")
@pytest.mark.parametrize("after", [1, 7, 23])
def test_a_kill_during_saves_loses_nothing_that_was_acknowledged(
    tmp_path: Path, after: int
) -> None:
    folder = SurveyFolder(tmp_path)
    folder.create("a", b"a = 0\n")
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(tmp_path)], stdout=subprocess.PIPE, text=True
    ) as writer:
        assert writer.stdout is not None
        for _ in range(after):
            writer.stdout.readline()
        os.kill(writer.pid, signal.SIGKILL)
        rest = writer.stdout.read().split()
    acknowledged = int(rest[-1]) if rest else after
    again = SurveyFolder(tmp_path)
    now = tomllib.loads(again.read("a").content.decode())["a"]
    assert now in (acknowledged, acknowledged + 1)
    kept = [tomllib.loads(one.path.read_bytes().decode())["a"] for one in again.versions("a")]
    assert set(range(acknowledged)) <= {*kept, now}
