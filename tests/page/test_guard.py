"""What stands before every request on a shared network."""

from __future__ import annotations

import itertools
import re
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from feasibility.page import guard
from feasibility.page.folder import SurveyFolder
from feasibility.page.guard import Rate, pass_phrase

from .client import OWN, client_of

PHRASE = "bado-fige-huja-kilo"


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return client_of(tmp_path)


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "LOCALHOST", "[::1]"])
def test_own_names_are_answered(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:80", "127.0.0.1.evil.example", "", "localhost:81", "127.0.0.2",
     "[::2]", "[::1", "localhost@evil.example"],
)  # fmt: skip
def test_a_name_that_somebody_else_points_here_is_not(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": ""},
        {"Origin": "https://127.0.0.1"},
        {"Origin": "http://127.0.0.1:81"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "none"},
    ],
)
def test_a_change_from_another_page_is_refused(
    client: TestClient, tmp_path: Path, headers: dict[str, str]
) -> None:
    assert client.post("/new", data={"kind": "empty"}, headers=headers).status_code == 403
    assert SurveyFolder(tmp_path).names() == ()


def test_a_change_without_a_word_about_its_origin_is_refused(tmp_path: Path) -> None:
    client = client_of(tmp_path)
    client.headers = {}
    answer = client.post("/new", data={"kind": "empty"})
    assert answer.status_code == 403


def test_a_change_from_the_page_itself_is_taken(client: TestClient, tmp_path: Path) -> None:
    assert client.post("/new", data={"kind": "empty"}).status_code == 303
    assert SurveyFolder(tmp_path).names() == ("survey",)


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_methods_are_refused(client: TestClient, method: str) -> None:
    assert client.request(method, "/").status_code == 405


def test_a_change_that_is_too_large_is_refused(client: TestClient) -> None:
    client.post("/new", data={"kind": "empty"})
    large = b"x" * (guard.LARGEST_CHANGE_BYTES + 1)
    assert client.post("/s/survey/change", content=large).status_code == 413


def test_a_body_that_hides_its_length_is_counted(client: TestClient) -> None:
    client.post("/new", data={"kind": "empty"})
    pieces = (b"x" * 50_000 for _ in range(20))
    assert client.post("/s/survey/change", content=pieces).status_code == 413


@pytest.mark.parametrize("length", ["-1", "1e3", "x", "9" * 30])
def test_a_length_that_is_none_is_refused(client: TestClient, length: str) -> None:
    headers = {"Content-Length": length}
    assert client.post("/s/survey/change", content=b"", headers=headers).status_code == 413


def test_too_many_requests_are_refused_and_others_are_not(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(guard, "REQUESTS_AT_ONCE", 5.0)
    monkeypatch.setattr(guard, "REQUESTS_PER_S", 1e-9)
    client = client_of(tmp_path)
    codes = [client.get("/").status_code for _ in range(7)]
    assert codes == [200] * 5 + [429] * 2


def test_a_rate_fills_again_with_time(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = itertools.count(0.0, 0.5)
    monkeypatch.setattr("time.monotonic", lambda: next(clock))
    rate = Rate(1.0, 2.0)
    assert [rate.allows("a") for _ in range(6)] == [True, True, True, False, True, False]


@pytest.mark.parametrize("path", ["/", "/nothing", "/static/page.css", "/s/none/first"])
def test_every_answer_carries_the_strict_headers(client: TestClient, path: str) -> None:
    headers = client.get(path).headers
    policy = dict(
        part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";")
    )
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == "'self'"
    assert policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"] == "no-store"


def test_without_the_phrase_nothing_is_shown(tmp_path: Path) -> None:
    client = client_of(tmp_path, phrase=PHRASE)
    for path in ("/", "/s/a/first", "/s/a/survey.toml", "/empty-survey.pdf"):
        answer = client.get(path)
        assert (answer.status_code, answer.headers["location"]) == (303, "/enter")
    assert client.post("/new", data={"kind": "empty"}).status_code == 303
    assert SurveyFolder(tmp_path).names() == ()
    script = {"Accept": "application/json"}
    assert client.post("/s/a/change", content=b"{}", headers=script).status_code == 401
    assert "Pass phrase" in client.get("/enter").text


def test_the_phrase_opens_for_this_browser_only(tmp_path: Path) -> None:
    client = client_of(tmp_path, phrase=PHRASE)
    assert client.post("/enter", data={"phrase": "wrong"}).headers["location"] == "/enter?wrong=1"
    assert "not the phrase" in client.get("/enter?wrong=1").text
    entered = client.post("/enter", data={"phrase": f" {PHRASE.upper()} "})
    cookie = entered.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert client.get("/").status_code == 200
    forged = client_of(tmp_path, phrase=PHRASE)
    forged.cookies.set(guard.SESSION, "guessed")
    assert forged.get("/").status_code == 303


def test_guessing_is_slow(tmp_path: Path) -> None:
    client = client_of(tmp_path, phrase=PHRASE)
    codes = [client.post("/enter", data={"phrase": str(n)}).status_code for n in range(8)]
    assert codes == [303] * 5 + [429] * 3
    assert client.post("/enter", data={"phrase": PHRASE}).status_code == 429


def test_a_phrase_is_typed_easily_and_never_the_same() -> None:
    phrases = {pass_phrase() for _ in range(50)}
    assert len(phrases) == 50
    assert all(re.fullmatch(r"([a-z]{4}-){3}[a-z]{4}", one) for one in phrases)


def test_what_is_no_request_is_left_alone(tmp_path: Path) -> None:
    from feasibility.page.app import page_app

    async def never(*_: Any) -> Any:
        pytest.fail("nothing is read or sent")

    left = page_app(tmp_path)({"type": "websocket"}, never, never)
    with pytest.raises(StopIteration):
        left.__await__().__next__()
    assert OWN
