"""The record of readings on the page: asked for whole, kept, compared in the command's words."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from feasibility.cli import main
from feasibility.commissioning.record import CommissioningRecord
from feasibility.examples import example_companions
from feasibility.page.entries import shown
from feasibility.page.fields import part_views
from feasibility.page.folder import SurveyFolder
from feasibility.page.places import place_text, value_at
from feasibility.page.screens import whole_screen

from .client import client_of, filled_folder, revision_in
from .test_screens import every_field

RECORD = "/s/bakery-yard/record"
LOOP = "node[1].loop_l1_ohm"
NEVER = "0" * 64


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return filled_folder(tmp_path)


@pytest.fixture
def client(folder: Path) -> TestClient:
    """A page on which the record of the bakery's yard is begun."""
    found = client_of(folder)
    assert "Begin the record" in found.get(RECORD).text
    assert found.post(f"{RECORD}/begin").status_code == 303
    return found


def read_in(client: TestClient, *entries: tuple[str, str], revision: str = "") -> Any:
    body = {
        "revision": revision or revision_in(client.get(RECORD).text),
        "entries": [{"place": place, "text": text} for place, text in entries],
    }
    return client.post(f"{RECORD}/change", json=body)


def compared(folder: Path) -> Any:
    """Return what the command makes of the files as they stand."""
    names = [str(folder / f"bakery-yard{end}.toml") for end in ("", "-record")]
    return CliRunner().invoke(main, ["compare", *names])


def plain(text: str) -> str:
    return " ".join(text.split())


def places_of(data: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Yield every place of plain data at which a single value stands."""
    if isinstance(data, dict | list):
        for key, inner in data.items() if isinstance(data, dict) else enumerate(data):
            yield from places_of(inner, (*path, key))
    else:
        yield path


def test_every_field_of_the_record_is_asked_for_once() -> None:
    example = tomllib.loads(example_companions("bakery-yard")["bakery-yard-record.toml"].decode())
    screen = whole_screen("", example, CommissioningRecord)
    views = part_views(screen, example, {}, CommissioningRecord)
    asked = [one.place for part in views for one in (*part.first, *part.more)]
    assert len(asked) == len(set(asked))
    wanted = {place_text(path) for path in every_field(CommissioningRecord)}
    assert len(wanted) > 50
    assert wanted <= set(asked)


def test_a_record_begins_with_the_places_of_the_assessment_and_is_no_survey(
    client: TestClient, folder: Path
) -> None:
    held = tomllib.loads((folder / "bakery-yard-record.toml").read_text(encoding="utf-8"))
    assert [one["name"] for one in held["node"]] == ["origin", "Main board", "outlet", "station"]
    assert held["survey_reference"] == "EX-01"
    assert "bakery-yard-record" not in SurveyFolder(folder).names()
    again = client.post(
        "/new", data={"kind": "upload"}, files={"file": ("new-record.toml", b"[site]\n")}
    )
    assert again.headers["location"] == "/s/new-record-2/first"
    before = (folder / "bakery-yard-record.toml").read_bytes()
    client.post(f"{RECORD}/begin")
    assert (folder / "bakery-yard-record.toml").read_bytes() == before


def test_the_readings_are_compared_in_the_words_of_the_command(
    client: TestClient, folder: Path
) -> None:
    """The shipped record with one poor contact, typed in by hand."""
    example = tomllib.loads(example_companions("bakery-yard")["bakery-yard-record.toml"].decode())
    for _ in example["temperature"]:
        data = {"revision": revision_in(client.get(RECORD).text), "place": "temperature"}
        assert client.post(f"{RECORD}/structure", data=data | {"what": "add"}).status_code == 303
    entries = [
        (place_text(path), shown(value_at(example, path)).text) for path in places_of(example)
    ]
    told = read_in(client, *entries).json()
    assert tomllib.loads((folder / "bakery-yard-record.toml").read_text()) == example
    assert told["problems"] == {}
    assert (told["verdict"], told["headline"]) == ("differs", "Differs from what was expected")
    ran = compared(folder)
    assert ran.exit_code == 40
    page = client.get(RECORD).text
    words = plain(page.replace("<li>", "").replace("</li>", "").replace("&#39;", "'"))
    assert "Where a resistance is too high" in page
    for paragraph in ran.stdout.split("\n  - ")[1:]:
        assert plain(paragraph.split("\n\n")[0]) in words
    assert told["answer"].strip() in page


def test_a_mistake_is_told_at_its_field_in_the_words_of_the_command(
    client: TestClient, folder: Path
) -> None:
    told = read_in(client, ("read_by", "A. Surveyor"), (LOOP, "0.28 ohm")).json()
    assert told["headline"] == "No comparison yet"
    (text,) = told["problems"][LOOP]
    ran = compared(folder)
    assert ran.exit_code == 2
    assert text in ran.stderr
    assert 'value="0.28 ohm"' in client.get(RECORD).text
    assert (folder / "bakery-yard-record.toml").read_text().count("0.28 ohm") == 1


def test_two_windows_never_overwrite_each_other(client: TestClient, folder: Path) -> None:
    revision = revision_in(client.get(RECORD).text)
    assert read_in(client, (LOOP, "0,281"), revision=revision).status_code == 200
    clash = read_in(client, (LOOP, "0,3"), revision=revision)
    assert (clash.status_code, clash.json()["places"]) == (409, [LOOP])
    other = read_in(client, ("load.l1_a", "24"), revision=revision)
    assert other.json()["alsoChanged"] == [LOOP]
    held = tomllib.loads((folder / "bakery-yard-record.toml").read_text())
    assert (held["node"][0]["loop_l1_ohm"], held["load"]["l1_a"]) == (0.281, 24)
    assert len(SurveyFolder(folder).versions("bakery-yard-record")) == 2


def test_without_script_and_beside_a_faulty_survey_readings_are_kept(
    client: TestClient,
) -> None:
    revision = revision_in(client.get("/s/bakery-yard/at/cord").text)
    entries = [{"place": "cord.length_m", "text": "8m"}]
    client.post("/s/bakery-yard/change", json={"revision": revision, "entries": entries})
    data = {"revision": revision_in(client.get(RECORD).text), f"v.{LOOP}": "0.281"}
    assert client.post(RECORD, data=data).headers["location"] == RECORD
    page = client.get(RECORD).text
    assert "compared once nothing is missing or wrong in the survey" in page
    assert 'value="0.281"' in page
    assert b"0.281" in client.get("/s/bakery-yard/record.toml").content


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"revision": NEVER, "entries": [{"place": "outlet.kind", "text": "x"}]}, 400),
        ({"revision": NEVER, "entries": [{"place": LOOP, "text": "1"}]}, 409),
        (["nothing"], 400),
    ],
)
def test_what_is_no_reading_is_refused(client: TestClient, body: Any, status: int) -> None:
    assert client.post(f"{RECORD}/change", json=body).status_code == status
    assert client.get("/s/old-mill/record.toml").status_code == 404
