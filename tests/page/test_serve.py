"""The command that serves the page: where it listens, what it prints, what it refuses."""

from __future__ import annotations

import re
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner

from feasibility.cli import main
from feasibility.page.serve import is_loopback


@contextmanager
def started(folder: Path, *options: str) -> Iterator[subprocess.Popen[str]]:
    """Run the command itself; yields the process, which says on its output where it listens."""
    command = [sys.executable, "-u", "-m", "feasibility", "serve", str(folder), "--no-browser"]
    with subprocess.Popen(
        [*command, *options], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as process:
        try:
            yield process
        finally:
            process.kill()


@pytest.mark.parametrize(
    ("host", "own"),
    [("127.0.0.1", True), ("127.9.9.9", True), ("::1", True), ("localhost", True),
     ("::", False), ("192.168.1.5", False), ("a-name", False), ("", False)],
)  # fmt: skip
def test_only_this_machine_needs_no_phrase(host: str, own: bool) -> None:
    assert is_loopback(host) is own


def test_a_port_that_is_taken_is_said(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        ran = CliRunner().invoke(main, ["serve", str(tmp_path), "--port", port, "--no-browser"])
    assert ran.exit_code == 2
    assert f"cannot listen on 127.0.0.1, port {port}" in ran.stderr


@pytest.mark.parametrize("host", ["256.1.1.1", "192.0.2.1"])
def test_an_address_of_another_machine_is_said(tmp_path: Path, host: str) -> None:
    """192.0.2.0/24 is reserved for documentation (RFC 5737): no machine has it."""
    options = ["--host", host, "--port", "0", "--no-browser"]
    ran = CliRunner().invoke(main, ["serve", str(tmp_path), *options])
    assert ran.exit_code == 2
    assert "cannot listen" in ran.stderr


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    ran = CliRunner().invoke(main, ["serve", str(tmp_path / "file"), "--no-browser"])
    assert ran.exit_code == 2


def test_on_the_network_the_phrase_is_printed_and_asked_for(tmp_path: Path) -> None:
    with started(tmp_path, "--port", "0", "--host", "0.0.0.0") as process:  # noqa: S104
        assert process.stdout is not None
        address = process.stdout.readline().rsplit(" ", 1)[1].strip().rstrip("/")
        line = process.stdout.readline()
        assert re.search(r"Pass phrase for this start: ([a-z]{4}-){3}[a-z]{4}$", line)
        local = address.replace("0.0.0.0", "127.0.0.1")  # noqa: S104
        with urllib.request.urlopen(local) as answer:  # noqa: S310
            assert answer.url.endswith("/enter")
        request = urllib.request.Request(f"{local}/new", data=b"kind=empty")  # noqa: S310
        with pytest.raises(urllib.error.HTTPError, match="403"):
            urllib.request.urlopen(request)  # noqa: S310
    assert not list(tmp_path.glob("*.toml"))
