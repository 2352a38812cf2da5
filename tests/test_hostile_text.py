"""No text of a survey, log, record, price list or report is more than a text, wherever it is shown.

Markup, templates, addresses and marks that turn the reading direction are printed as such. Nothing
is fetched: the PDF's own test watches that, the page's policy and the absence of tags do here.
"""

from __future__ import annotations

import csv
import io
import json
import re
import unicodedata
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfWriter

from feasibility.assessment import Assessment, assess
from feasibility.cli import main
from feasibility.commissioning.record import CommissioningRecord
from feasibility.examples import example_companions, example_text
from feasibility.page.sheet import open_sheet, sheet_html
from feasibility.page.sheet_text import sheet_text
from feasibility.render.html import to_html
from feasibility.render.json_document import to_json
from feasibility.render.plain_lines import INVISIBLE, visible
from feasibility.render.text import to_text
from feasibility.survey.model import Survey
from feasibility.survey_io.toml_file import read_survey
from feasibility.survey_io.toml_writer import to_toml

from .commissioning.records import shipped as shipped_record
from .hostile import HOSTILE, KEPT, Renaming, free_texts, tags_of
from .page.client import client_of
from .render import sites

OF_BAKERY, OF_DEPOT, OF_LOG = Renaming(), Renaming(), Renaming()
DATA = sites.hostile_site(OF_BAKERY)
DEPOT = OF_DEPOT.of(Survey, sites.example("river-depot"))
SHOWN = visible(HOSTILE)
FETCHING = {"img", "image", "svg onload", "script", "a", "link", "iframe", "object", "embed"}


def run(*arguments: object) -> Result:
    result = CliRunner().invoke(main, [str(one) for one in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert not unseen(result.output)
    return result


def unseen(text: str) -> set[str]:
    """Return the characters of a text that steer what shows it or cannot be seen."""
    return {one for one in text if unicodedata.category(one) in INVISIBLE} - {"\n", "\t"}


@cache
def hostile(name: str) -> Assessment:
    return sites.assessment_of(DATA if name == "bakery-yard" else DEPOT)


def with_log(folder: Path) -> Path:
    """Write a survey with a log whose headings are hostile too, and return its place."""
    data = sites.example("market-hall")
    ((name, content),) = example_companions("market-hall").items()
    rows = list(csv.reader(io.StringIO(content.decode()), delimiter=";"))
    changed = OF_LOG.of(Survey, data)
    columns = {
        old: changed["board"][0]["demand"]["log"][key]
        for key, old in data["board"][0]["demand"]["log"].items()
        if key.endswith("_column")
    }
    written = io.StringIO()
    csv.writer(written, delimiter=";").writerows(
        [[columns.get(cell, cell) for cell in row] for row in rows]
    )
    (folder / name).write_text(written.getvalue(), encoding="utf-8")
    survey = folder / "hostile.toml"
    survey.write_text(to_toml(changed), encoding="utf-8")
    return survey


def test_every_free_text_of_a_survey_is_tried(tmp_path: Path) -> None:
    with_log(tmp_path)
    columns = {("MeasuredLog", name) for name in ("sheet", "total_column", "generation_column")}
    # A log of an output is read and shown like one of a demand, which is tried here.
    columns |= {(model, name) for model, name in free_texts(Survey) if model == "OutputLog"}
    tried = OF_BAKERY.replaced | OF_DEPOT.replaced | OF_LOG.replaced
    assert free_texts(Survey) - KEPT - columns == tried - KEPT
    assert len(tried) > 15


def test_the_headings_of_a_log_are_texts(tmp_path: Path) -> None:
    read = read_survey(with_log(tmp_path))
    found = assess(read.survey, sha256=read.sha256, demand_logs=read.demand_logs, with_year=False)
    assert not unseen(to_text(found))
    assert "".join(SHOWN.split()) in "".join(to_text(found).split())
    document = to_html(found)
    assert not tags_of(document) & FETCHING
    assert "<b>x" not in document
    assert not unseen(document)


@pytest.mark.parametrize("name", ["bakery-yard", "river-depot"])
def test_a_survey_adds_no_tag_and_turns_no_text_in_any_document(name: str) -> None:
    data, found = DATA if name == "bakery-yard" else DEPOT, hostile(name)
    sheet = open_sheet(data, found)
    for document in (to_html(found), sheet_html(sheet)):
        assert not tags_of(document) & FETCHING
        assert "<b>x" not in document
        assert not unseen(document)
    for text in (to_text(found), sheet_text(sheet)):
        assert not unseen(text)
        assert "".join(SHOWN.split()) in "".join(text.split())
    written = to_json(found)
    assert not unseen(written)
    assert json.loads(written)["survey"]["name"] == found.survey.site.name


def pages_of(folder: Path) -> Iterator[str]:
    client = client_of(folder)
    routes = ["first", "findings", "remedies", "hours", "versions"]
    walk = client.get("/s/site/first").text
    routes += sorted(set(re.findall(r'href="/s/site/(at/[^"#]+)"', walk)))
    assert len(routes) > 10
    for route in routes:
        answer = client.get(f"/s/site/{route}")
        assert answer.status_code == 200
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        yield answer.text


def test_a_survey_adds_no_tag_and_turns_no_text_on_the_page(tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(to_toml(DATA), encoding="utf-8")
    for text in pages_of(tmp_path):
        assert not tags_of(text) & {"img", "image", "svg onload", "iframe", "object", "embed"}
        assert "<b>x" not in text
        # What stands in a form goes back as it was typed.
        shown = re.sub(r'value="[^"]*"|<textarea.*?</textarea>', "", text, flags=re.DOTALL)
        assert not unseen(shown)


def test_a_form_gives_back_what_was_typed(tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(to_toml(DATA), encoding="utf-8")
    assert "\u202e\u200b" in client_of(tmp_path).get("/s/site/at/site").text


def test_a_record_is_printed_as_text(tmp_path: Path) -> None:
    renaming = Renaming()
    renaming.given = dict(OF_BAKERY.given)
    record = renaming.of(CommissioningRecord, shipped_record() | {"temperature": []})
    survey, place = tmp_path / "site.toml", tmp_path / "record.toml"
    survey.write_text(to_toml(DATA), encoding="utf-8")
    place.write_text(to_toml(record), encoding="utf-8")
    printed = run("compare", survey, place)
    assert printed.exit_code == 40, printed.output
    assert "".join(SHOWN.split()) in "".join(printed.stdout.split())
    told = json.loads(run("compare", survey, place, "--json").stdout)
    assert told["record"]["read_by"] == record["read_by"]


BIG, EVIL = "A" * 99_000, "\\u001b[2J\\u0007\\u202e<b>"


@pytest.mark.parametrize("bad", [BIG, EVIL], ids=["long", "control characters"])
@pytest.mark.parametrize("where", ["name", "key", "note", "prices", "record", "log", "set"])
def test_what_is_refused_is_told_in_few_words(tmp_path: Path, where: str, bad: str) -> None:
    survey, other = tmp_path / "site.toml", tmp_path / "other.toml"
    text, arguments = example_text("bakery-yard"), ["check", survey]
    if where == "name":
        text = text.replace('name = "Main board"', f'name = "{bad}"')
    elif where == "key":
        text += f'\n["{bad}"]\nx = 1\n'
    elif where == "note":
        text = text.replace("length_m = 8\n", f'length_m = {{ value = 8, note = "{bad}" }}\n')
    elif where == "prices":
        other.write_text(f'[price."{bad}"]\nprice = 1\nunit = "m"\n', encoding="utf-8")
        arguments += ["--prices", other]
    elif where == "record":
        record = example_companions("bakery-yard")["bakery-yard-record.toml"].decode()
        other.write_text(f'{record}\n["{bad}"]\nx = 1\n', encoding="utf-8")
        arguments = ["compare", survey, other]
    elif where == "set":
        arguments += ["--set", f"cord.length_m={bad}"]
    else:
        text = example_text("market-hall")
        ((name, content),) = example_companions("market-hall").items()
        heading = json.loads(f'"{bad}"').encode()
        (tmp_path / name).write_bytes(content.replace(b"I L1 (A)", heading, 1))
    survey.write_text(text, encoding="utf-8")
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert len(result.stderr) < 1500


def test_names_and_words_inside_a_foreign_report_do_not_reach_the_terminal(tmp_path: Path) -> None:
    evil = "\x1b[2J\u202e"
    document = {
        "program_version": evil,
        "survey": {"sha256": ""},
        "verdict": evil,
        "findings": [{"check": evil, "link": evil, "outcome": {evil: 1}}],
    }
    writer, report = PdfWriter(), tmp_path / "report.pdf"
    writer.add_blank_page(100, 100)
    files: dict[str, Any] = {
        "survey.toml": example_text("old-mill").encode(),
        "assessment.json": json.dumps(document).encode(),
        f"{evil}.csv": b"x",
    }
    for name, content in files.items():
        writer.add_attachment(name, content)
    writer.write(report)
    result = run("reopen", report)
    assert result.exit_code == 40
    assert "\\x1b[2J\\u202e" in result.output
