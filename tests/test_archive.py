"""A report carries its survey, its logs and its assessment, and can be opened again.

Read back by pypdf, which had no part in writing the file. What PDF/A-3a asks of the structure is
from ISO 19005-3:2012, clauses 6.2.2, 6.2.11, 6.7, 6.8, and ISO 32000-1:2008, 14.8 (from memory);
no validator of the standard confirms it, so the report does not claim it.
"""

from __future__ import annotations

import copy
import hashlib
import io
import json
import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DictionaryObject

from feasibility.archive import (
    LARGEST_LOGS_BYTES,
    NotAReport,
    differences,
    log_contents,
    open_report,
)
from feasibility.cli import main
from feasibility.examples import example_companions, example_path, example_text

SITE = "market-hall"


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the report of a shipped site whose survey names a log."""
    folder = tmp_path_factory.mktemp("report")
    result = CliRunner().invoke(main, ["demo", SITE, "--folder", str(folder)])
    assert result.exit_code == 0
    return folder / f"{SITE}.pdf"


def run(*arguments: object) -> tuple[int, str]:
    result = CliRunner().invoke(main, [str(one) for one in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return result.exit_code, result.output


def test_the_report_carries_what_it_was_made_from(report: Path) -> None:
    opened = open_report(report)
    assert opened.survey == example_text(SITE).encode()
    assert dict(opened.logs) == dict(example_companions(SITE))
    assert opened.document_bytes == report.with_suffix(".json").read_bytes()
    assert opened.genuine


def test_reopening_writes_both_back_and_finds_the_same_result(report: Path, tmp_path: Path) -> None:
    code, output = run("reopen", report, "--folder", tmp_path / "again")
    assert code == 0
    assert "gives the result of the report" in output
    assert (tmp_path / "again" / "survey.toml").read_bytes() == example_path(SITE).read_bytes()
    written = (tmp_path / "again" / "assessment.json").read_bytes()
    assert written == report.with_suffix(".json").read_bytes()
    assert run("reopen", report, "--folder", tmp_path / "again")[0] == 0


def test_reopening_loses_no_file_that_stands_there(report: Path, tmp_path: Path) -> None:
    (tmp_path / "survey.toml").write_text("mine", encoding="utf-8")
    code, output = run("reopen", report, "--folder", tmp_path)
    assert code == 2
    assert "survey.toml" in output
    assert (tmp_path / "survey.toml").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    "content", [b"", b"%PDF-1.7\n", b"not a PDF at all", b"%PDF-1.7\n" + bytes(range(256)) * 40]
)
def test_what_is_no_report_is_refused(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "some.pdf"
    file.write_bytes(content)
    code, output = run("reopen", file)
    assert code == 2
    assert "some.pdf" in output
    assert run("reopen", tmp_path / "absent.pdf")[0] == 2


def test_a_report_cut_short_is_refused_or_whole(report: Path, tmp_path: Path) -> None:
    whole = report.read_bytes()
    for share in (0.2, 0.5, 0.9, 0.999):
        file = tmp_path / "cut.pdf"
        file.write_bytes(whole[: int(len(whole) * share)])
        with pytest.raises(NotAReport):
            open_report(file)


def rewritten(report: Path, target: Path, **changes: bytes) -> Path:
    """Write a PDF with what the report carries, some of it exchanged or added."""
    names = {"survey": "survey.toml", "assessment": "assessment.json", "way_out": "../../out.csv"}
    files = {one.name: one.content for one in PdfReader(report).attachment_list}
    files |= {names[key]: content for key, content in changes.items()}
    writer = PdfWriter()
    writer.add_blank_page(100, 100)
    for name, content in files.items():
        writer.add_attachment(name, content)
    writer.write(target)
    return target


def test_an_exchanged_survey_is_noticed(report: Path, tmp_path: Path) -> None:
    other = example_text(SITE).replace("length_m = ", "length_m = 1", 1).encode()
    assert other != example_text(SITE).encode()
    changed = rewritten(report, tmp_path / "changed.pdf", survey=other)
    assert not open_report(changed).genuine
    code, output = run("reopen", changed, "--folder", tmp_path / "again")
    assert code == 40
    assert "was not made from the survey" in output


def test_no_name_inside_a_report_leads_out_of_the_folder(report: Path, tmp_path: Path) -> None:
    changed = rewritten(report, tmp_path / "changed.pdf", way_out=b"x")
    assert set(open_report(changed).logs) == set(example_companions(SITE))


def test_a_report_with_an_assessment_that_is_no_assessment_is_refused(
    report: Path, tmp_path: Path
) -> None:
    for content in (
        *(b"[]", b"{", b'{"survey": 1}', b"[" * 100_000),
        *(b'{"survey": {"sha256": ""}, "findings": %s}' % one for one in (b"5", b"[[]]", b"null")),
    ):
        with pytest.raises(NotAReport, match="assessment"):
            open_report(rewritten(report, tmp_path / "changed.pdf", assessment=content))


def changed(document: dict[str, Any], change: Callable[[dict[str, Any]], None]) -> tuple[str, ...]:
    other = copy.deepcopy(document)
    change(other)
    return differences(document, other)


def test_differences_are_told_beyond_the_tolerances_only(report: Path) -> None:
    document = json.loads(report.with_suffix(".json").read_text(encoding="utf-8"))
    assert differences(document, document) == ()
    first = next(one for one in document["findings"] if isinstance(one["value"], float))
    number = document["findings"].index(first)

    def value_times(factor: float) -> Callable[[dict[str, Any]], None]:
        def change(other: dict[str, Any]) -> None:
            other["findings"][number]["value"] = first["value"] * factor

        return change

    # Half a per cent of the larger figure, at least 0.05.
    inside, outside = 1.0049, 1.0052 + 0.06 / abs(first["value"])
    assert math.isclose(first["value"], first["value"] * inside, rel_tol=0.005, abs_tol=0.05)
    assert changed(document, value_times(inside)) == ()
    (told,) = changed(document, value_times(outside))
    assert first["check"] in told
    (verdict,) = changed(document, lambda other: other.update(verdict="upgrade"))
    assert verdict == f"verdict: {document['verdict']} then, upgrade now"
    (current,) = changed(document, lambda other: other.update(carryable_current_a=None))
    assert current.endswith("none now")
    (gone,) = changed(document, lambda other: other["findings"].pop(number))
    assert gone.endswith("not asked now")
    (outcome,) = changed(document, lambda other: other["findings"][number].update(outcome="open"))
    assert outcome.endswith("open now")


def test_logs_are_carried_whole_or_not_at_all(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_bytes(b"1")
    (tmp_path / "b.csv").write_bytes(b"2")
    sums = {name: hashlib.sha256(text).hexdigest() for name, text in (("a.csv", b"1"),)}
    assert log_contents(tmp_path, sums) == {"a.csv": b"1"}
    assert log_contents(tmp_path, {**sums, "b.csv": sums["a.csv"]}) == {"a.csv": b"1"}
    with (tmp_path / "b.csv").open("wb") as file:
        file.truncate(LARGEST_LOGS_BYTES)
    assert log_contents(tmp_path, {**sums, "b.csv": "00"}) == {}


def test_the_structure_is_that_of_an_archive_but_nothing_is_claimed(report: Path) -> None:
    reader = PdfReader(io.BytesIO(report.read_bytes()))
    root: Any = reader.trailer["/Root"]
    assert bool(root["/MarkInfo"]["/Marked"])
    assert root["/StructTreeRoot"]["/K"]
    assert root["/Lang"] == "en"
    assert root["/OutputIntents"][0]["/S"] == "/GTS_PDFA1"
    identifier: Any = reader.trailer["/ID"]
    assert len(identifier) == 2
    assert "/Encrypt" not in reader.trailer
    relations = {
        one.get_object()["/UF"]: one.get_object()["/AFRelationship"] for one in root["/AF"]
    }
    assert relations == {
        "survey.toml": "/Source",
        "assessment.json": "/Data",
        f"{SITE}-demand.csv": "/Source",
    }
    metadata = root["/Metadata"].get_data()
    assert b"pdfaid:part" not in metadata
    assert b"dc:title" in metadata
    fonts = list(descriptors(reader))
    assert fonts
    assert all(font.keys() & {"/FontFile", "/FontFile2", "/FontFile3"} for font in fonts)


def descriptors(reader: PdfReader) -> Iterator[DictionaryObject]:
    for page in reader.pages:
        resources: Any = page["/Resources"]
        for font in resources.get("/Font", {}).values():
            for one in font.get_object().get("/DescendantFonts", [font]):
                yield one.get_object()["/FontDescriptor"].get_object()
