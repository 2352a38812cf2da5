"""A disk that is full or read-only is a message on the page, and every file stays whole."""

from __future__ import annotations

import errno
import io
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfWriter
from starlette.testclient import TestClient

from .client import client_of, revision_of

LOG = b"time;L1;L2;L3\n2026-01-13 00:00;1;2;3\n"


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    made = client_of(tmp_path)
    made.post("/new", data={"kind": "empty"})
    sent(made, "change", "first")
    return made


def sent(client: TestClient, action: str, name: str) -> Any:
    """Send one change of the survey that the fixture started."""
    data: dict[str, Any] = {"revision": revision_of(client, "survey"), "place": "circuit[1].part"}
    if action == "change":
        entries = [{"place": "site.name", "text": name}]
        return client.post("/s/survey/change", json=data | {"entries": entries})
    if action == "log":
        data["place"] = "board[1].demand.log"
        return client.post("/s/survey/log", data=data, files={"file": ("log.csv", LOG)})
    if action == "new":
        return client.post("/new", data={"kind": "example", "example": "bakery-yard"})
    more = {"structure": {"what": "add"}, "restore": {"number": "last"}}[action]
    return client.post(f"/s/survey/{action}", data=data | more)


def refusing(real: Callable[..., Any], code: int, mode: str = "") -> Any:
    def called(*arguments: Any, **more: Any) -> Any:
        if not mode or mode in arguments:
            raise OSError(code, os.strerror(code))
        return real(*arguments, **more)

    return called


@pytest.mark.parametrize("action", ["change", "structure", "log", "new", "restore"])
@pytest.mark.parametrize("fault", ["disk full", "folder read-only", "not even locked"])
def test_nothing_is_lost_and_the_page_goes_on(
    client: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, action: str, fault: str
) -> None:
    before = {path: path.read_bytes() for path in tmp_path.rglob("*.toml")}
    with monkeypatch.context() as at:
        if fault == "disk full":
            code = errno.ENOSPC
            at.setattr(os, "fsync", refusing(os.fsync, code))
        else:
            code = errno.EROFS
            mode = "xb" if fault == "folder read-only" else "ab"
            at.setattr(Path, "open", refusing(Path.open, code, mode))
        answer = sent(client, action, "second")
    assert answer.status_code == 507
    assert f"Nothing was saved: {os.strerror(code)}." in answer.text
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.toml")} == before
    assert not list(tmp_path.rglob("*.tmp"))
    assert sent(client, action, "second").status_code < 400
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.toml")} != before


@pytest.mark.parametrize("survey", [b"no = TOML = at all", b"\xff", b"a = " + b"[" * 100_000])
def test_a_report_with_a_survey_that_is_none_is_taken_as_it_is(
    client: TestClient, tmp_path: Path, survey: bytes
) -> None:
    writer, written = PdfWriter(), io.BytesIO()
    writer.add_blank_page(100, 100)
    files = {
        "survey.toml": survey,
        "assessment.json": b'{"survey": {"sha256": ""}, "findings": []}',
    }
    for name, content in (files | {"A log of ours.csv": LOG}).items():
        writer.add_attachment(name, content)
    writer.write(written)
    answer = client.post(
        "/new", data={"kind": "upload"}, files={"file": ("old.pdf", written.getvalue())}
    )
    assert answer.status_code == 303
    assert (tmp_path / "old.toml").read_bytes() == survey
    revision = revision_of(client, "old")
    entries = [{"place": "site.name", "text": "x"}]
    sent = client.post("/s/old/change", json={"revision": revision, "entries": entries})
    assert sent.status_code == 409
