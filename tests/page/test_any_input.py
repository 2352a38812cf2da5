"""No input to any address of the page is an error of ours."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from .client import client_of, revision_of

ROUTES = ["first", "at/outlet", "at/circuit[1]", "value/cord.length_m", "change", "structure",
          "log", "restore", "findings", "versions"]  # fmt: skip
words = st.one_of(
    st.text(max_size=30),
    st.sampled_from(["board[1]", "circuit[2].cable", "cord", "add", "remove", "earlier", "board",
                     "outlet.rating_a", "-1", "unknown", "1e999", "\u0000", "circuit[1]"]),
)  # fmt: skip
keys = st.one_of(
    words,
    st.sampled_from(["revision", "what", "place", "next", "kind", "example", "number", "known",
                     "v.outlet.rating_a", "u.outlet.rating_a", "v.x", "value", "low", "date"]),
)  # fmt: skip
anything = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False), words),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(keys, inner, max_size=3)),
    max_leaves=8,
)
wild = settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def spare(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    folder = tmp_path_factory.mktemp("spare")
    client = client_of(folder)
    client.app.requests.at_once = client.app.requests.per_s = 1e9  # type: ignore[attr-defined]
    client.post("/new", data={"kind": "empty"})
    return client


@wild
@given(
    route=st.sampled_from(ROUTES),
    form=st.dictionaries(keys, words, max_size=5),
    fresh=st.booleans(),
)
def test_no_form_is_an_error_of_ours(
    spare: TestClient, route: str, form: dict[str, str], fresh: bool
) -> None:
    if fresh:
        form = form | {"revision": revision_of(spare, "survey")}
    assert spare.post(f"/s/survey/{route}", data=form).status_code < 500
    assert spare.get(f"/s/survey/{route}", params=form).status_code < 500
    assert spare.get("/s/survey/first").status_code == 200


@wild
@given(
    body=anything, entry=st.dictionaries(st.sampled_from(["place", "text", "unknown"]), anything)
)
def test_no_change_is_an_error_of_ours(spare: TestClient, body: Any, entry: Any) -> None:
    revision = revision_of(spare, "survey")
    for sent in (
        body,
        {"revision": revision, "entries": [entry]},
        {"revision": revision, "entries": body},
    ):
        assert spare.post("/s/survey/change", content=json.dumps(sent)).status_code < 500


@wild
@given(content=st.binary(max_size=200), kind=words, file=words)
def test_no_upload_is_an_error_of_ours(
    spare: TestClient, content: bytes, kind: str, file: str
) -> None:
    sent = spare.post("/new", data={"kind": kind}, files={"file": (file or "x", content)})
    assert sent.status_code < 500
    sent = spare.post(
        "/new", data={"kind": "upload"}, files={"file": (file or "x", b"%PDF" + content)}
    )
    assert sent.status_code < 500
    assert spare.post("/new", content=content).status_code < 500


@wild
@given(path=st.text(max_size=20))
def test_no_address_is_an_error_of_ours(spare: TestClient, path: str) -> None:
    for start in ("/", "/s/", "/s/survey/", "/s/survey/at/", "/s/survey/value/", "/static/"):
        assert spare.get(start + quote(path)).status_code < 500
