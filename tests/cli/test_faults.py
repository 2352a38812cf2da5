"""Whatever goes wrong while a command writes: each file is the old one or the new one, whole."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from feasibility.cli import main

from .below import EXAMPLES, NETWORK, PDF, SURVEY, Below, Opened, modules_of

CHECKOUT = Path(__file__).resolve().parents[2]
OLD_PDF, OLD_JSON = b"%PDF-1.4 old", b'{"schema_version": "old", "verdict": "old"}'


@dataclass(frozen=True)
class Writer:
    """A command that writes: ``old`` may be replaced; ``new`` is written, None if it varies."""

    command: str
    old: Mapping[str, bytes]
    new: Mapping[str, bytes | None] = field(default_factory=dict)

    @property
    def arguments(self) -> list[str]:
        return self.command.split()


WRITERS = [
    Writer("report my.toml", {"my.pdf": OLD_PDF}, {"my.pdf": PDF}),
    Writer("network my.toml", {"my.network.json": b"network: old"}, {"my.network.json": NETWORK}),
    Writer("sheet", {"survey-sheet.pdf": OLD_PDF}, {"survey-sheet.pdf": PDF}),
    Writer(
        "demo --folder .",
        {"first.pdf": OLD_PDF, "first.json": OLD_JSON},
        {"first.toml": EXAMPLES["first"].encode(), "first.pdf": PDF, "first.json": None},
    ),
    Writer(
        "reopen some.pdf --folder .",
        {},
        {"survey.toml": SURVEY.encode(), "assessment.json": Opened().document_bytes},
    ),
]
EACH_WRITE = [(one, number) for one in WRITERS for number in range(1, len(one.new) + 1)]
each_write = pytest.mark.parametrize(
    ("writer", "number"), EACH_WRITE, ids=[f"{one.command}, {n}" for one, n in EACH_WRITE]
)


@pytest.fixture(autouse=True)
def below(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Below:
    steered = Below()
    for made in modules_of(steered):
        monkeypatch.setitem(sys.modules, made.__name__, made)
    monkeypatch.chdir(tmp_path)
    Path("my.toml").write_text(SURVEY, encoding="utf-8")
    return steered


def place_old(writer: Writer) -> None:
    for name, content in writer.old.items():
        Path(name).write_bytes(content)


def assert_whole(writer: Writer) -> None:
    """Assert that each file is absent where it was, or the old one, or the new one."""
    for name, new in writer.new.items():
        path, old = Path(name), writer.old.get(name)
        if old is not None or path.exists():
            found = path.read_bytes()
            assert found in (old, new) or (new is None and found.endswith(b'"}'))
    assert Path("my.toml").read_text(encoding="utf-8") == SURVEY


def assert_completed(writer: Writer) -> None:
    result = CliRunner().invoke(main, writer.arguments)
    assert result.exit_code == 0, result.output
    for name, new in writer.new.items():
        assert Path(name).read_bytes() not in writer.old.values()
        assert new is None or Path(name).read_bytes() == new


def failing(number: int, code: int, real: Any = None, mode: str = "") -> Any:
    """Return what fails at its call of this number, and else does what the real one does.

    With a mode only calls that ask for that mode of opening count.
    """
    calls = 0

    def called(*arguments: Any, **more: Any) -> Any:
        nonlocal calls
        calls += not mode or mode in arguments
        if calls == number and (not mode or mode in arguments):
            raise OSError(code, os.strerror(code))
        return real(*arguments, **more)

    return called


@pytest.mark.parametrize("fault", ["disk full", "folder read-only", "not replaced"])
@each_write
def test_a_failed_write_is_a_message_and_leaves_nothing_half(
    writer: Writer, number: int, fault: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    place_old(writer)
    with monkeypatch.context() as at:
        if fault == "disk full":
            code = errno.ENOSPC
            at.setattr(os, "fsync", failing(number, code, os.fsync))
        elif fault == "folder read-only":
            code = errno.EROFS
            at.setattr(Path, "open", failing(number, code, Path.open, "xb"))
        else:
            code = errno.EACCES
            at.setattr(Path, "replace", failing(number, code, Path.replace))
        result = CliRunner().invoke(main, writer.arguments)
    assert result.exit_code == 2
    assert isinstance(result.exception, SystemExit)
    assert "was not written" in result.stderr
    assert os.strerror(code) in result.stderr
    assert_whole(writer)
    assert not list(Path.cwd().glob(".*.tmp"))
    assert_completed(writer)


FOREIGN = [(one, name) for one in WRITERS for name in one.new]


@pytest.mark.parametrize("kind", ["file", "folder", "pipe", "dangling link"])
@pytest.mark.parametrize(
    ("writer", "name"), FOREIGN, ids=[f"{one.command}, {name}" for one, name in FOREIGN]
)
def test_what_is_not_ours_is_refused_before_anything_is_assessed(
    below: Below, writer: Writer, name: str, kind: str
) -> None:
    path = Path(name)
    if kind == "file":
        path.write_bytes(b"notes of somebody")
    elif kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    else:
        path.symlink_to("nowhere")
    before = path.lstat()
    result = CliRunner().invoke(main, writer.arguments)
    assert result.exit_code == 2
    assert isinstance(result.exception, SystemExit)
    assert name in result.stderr
    after = path.lstat()
    assert (after.st_ino, after.st_mode) == (before.st_ino, before.st_mode)
    assert after.st_mtime_ns == before.st_mtime_ns or kind == "folder"
    assert kind != "file" or path.read_bytes() == b"notes of somebody"
    assert below.assessed == 0


KILLED = """
import os, signal, sys
from pathlib import Path

checkout, moment, left, *arguments = sys.argv[1:]
sys.path.insert(0, checkout)
from tests.cli.below import Below, modules_of

for made in modules_of(Below()):
    sys.modules[made.__name__] = made
left = int(left)
fsync, replace = os.fsync, Path.replace

def now(this):
    global left
    left -= moment == this
    return left == 0 and moment == this

def kill():
    os.kill(os.getpid(), signal.SIGKILL)

def at_fsync(descriptor):
    if now("half written"):
        os.ftruncate(descriptor, os.fstat(descriptor).st_size // 2)
        kill()
    fsync(descriptor)

def at_replace(temporary, target):
    replace(temporary, target)
    if now("just replaced"):
        kill()

os.fsync, Path.replace = at_fsync, at_replace
from feasibility.cli import main
main(arguments)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL")
@each_write
def test_a_killed_program_leaves_the_old_file_or_the_new_one(writer: Writer, number: int) -> None:
    for moment in ("half written", "just replaced"):
        for path in map(Path, writer.new):
            path.unlink(missing_ok=True)
        place_old(writer)
        run = subprocess.run(
            [sys.executable, "-c", KILLED, CHECKOUT, moment, str(number), *writer.arguments],
            capture_output=True,
            check=False,
        )
        assert run.returncode == -signal.SIGKILL, run.stderr.decode()
        assert run.stderr == b""
        assert_whole(writer)
    assert_completed(writer)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no disk that is always full")
@pytest.mark.parametrize("arguments", [["--help"], ["demo", "--list"], ["tables"]], ids=" ".join)
def test_an_output_that_cannot_be_written_is_a_message(arguments: list[str]) -> None:
    with Path("/dev/full").open("w") as full:
        run = subprocess.run(
            [sys.executable, "-m", "feasibility", *arguments],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert run.returncode == 2
    assert run.stderr == f"Error: [Errno {errno.ENOSPC}] {os.strerror(errno.ENOSPC)}\n"
