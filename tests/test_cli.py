"""The command line parses, calls and maps the verdict; what lies below it is replaced here."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from feasibility.cli import EXIT_CODE_OF_VERDICT, main
from feasibility.result import Verdict
from feasibility.tables import TableError

from .cli.below import EXAMPLES, NETWORK, PDF, SURVEY, Below, modules_of


@pytest.fixture(autouse=True)
def below(monkeypatch: pytest.MonkeyPatch) -> Below:
    steered = Below()
    for made in modules_of(steered):
        monkeypatch.setitem(sys.modules, made.__name__, made)
    return steered


@pytest.fixture(autouse=True)
def survey(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "my.toml"
    path.write_text(SURVEY, encoding="utf-8")
    return path


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def assert_refused(result: Result, *words: str) -> None:
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    for word in words:
        assert word in result.stderr


def test_every_verdict_has_its_own_exit_code_and_none_is_that_of_a_failure() -> None:
    assert set(EXIT_CODE_OF_VERDICT) == set(Verdict)
    codes = list(EXIT_CODE_OF_VERDICT.values())
    assert codes == [0, 10, 20, 30]
    assert EXIT_CODE_OF_VERDICT[Verdict.CARRIES] == 0


@pytest.mark.parametrize("verdict", Verdict)
@pytest.mark.parametrize("command", ["check", "report", "network"])
def test_the_exit_code_tells_the_verdict(
    below: Below, survey: Path, command: str, verdict: Verdict
) -> None:
    below.verdict = verdict
    assert run(command, survey).exit_code == EXIT_CODE_OF_VERDICT[verdict]


def test_check_prints_the_text(survey: Path) -> None:
    assert run("check", survey).stdout == f"findings on {SURVEY}\n"


def test_check_prints_the_json_with_the_digest_of_the_file(survey: Path) -> None:
    digest = hashlib.sha256(SURVEY.encode()).hexdigest()
    result = run("check", "--json", survey)
    expected = f'{{"schema_version": "Ω", "verdict": "{digest}"}}\n'
    assert result.stdout_bytes.decode("utf-8") == expected
    assert result.stderr == ""


@pytest.mark.parametrize("command", ["check", "report"])
def test_problems_are_counted_first_and_listed_one_per_line(
    below: Below, survey: Path, command: str
) -> None:
    below.problems = ("3: no section", "9: no length")
    result = run(command, survey)
    assert_refused(result)
    assert result.stderr.splitlines() == [
        f"{survey}: 2 problems",
        "line 3: no section",
        "line 9: no length",
    ]
    assert not survey.with_suffix(".pdf").exists()


def test_one_problem_is_one_problem(below: Below, survey: Path) -> None:
    below.problems = ("3: no section",)
    assert run("check", survey).stderr.splitlines()[0] == f"{survey}: 1 problem"


@pytest.mark.parametrize("command", ["check", "report"])
@pytest.mark.parametrize("path", ["nowhere.toml", ".", "", "my.toml/inside"])
def test_a_survey_that_cannot_be_read_is_refused(command: str, path: str) -> None:
    assert_refused(run(command, path), "cannot be read")


@pytest.mark.parametrize(
    "arguments",
    [["check"], ["report"], ["check", "my.toml", "--unknown"], ["unknown"], ["demo", "a", "b"]],
    ids=" ".join,
)
def test_wrong_usage_is_refused(arguments: list[str]) -> None:
    assert_refused(run(*arguments), "Usage:")


def test_the_report_goes_beside_the_survey(below: Below, survey: Path) -> None:
    below.verdict = Verdict.UPGRADE
    result = run("report", survey)
    pdf = survey.with_suffix(".pdf")
    assert pdf.read_bytes() == PDF
    assert result.stdout.splitlines() == [f"Report: {pdf}", "In words: upgrade."]


def test_the_report_goes_where_it_is_told_and_replaces_an_older_one(
    survey: Path, tmp_path: Path
) -> None:
    pdf = tmp_path / "other.pdf"
    pdf.write_bytes(b"%PDF-1.4 old")
    assert run("report", survey, "--output", pdf).exit_code == 0
    assert pdf.read_bytes() == PDF
    assert not survey.with_suffix(".pdf").exists()


@pytest.mark.parametrize("content", [b"", b"%PD", b"notes"])
def test_what_is_not_a_pdf_is_never_replaced(survey: Path, content: bytes) -> None:
    pdf = survey.with_suffix(".pdf")
    pdf.write_bytes(content)
    assert_refused(run("report", survey), "is not a PDF", "my.pdf")
    assert pdf.read_bytes() == content


def test_the_survey_itself_is_never_replaced(survey: Path) -> None:
    assert_refused(run("report", survey, "--output", survey), "is not a PDF")
    assert survey.read_text(encoding="utf-8") == SURVEY


@pytest.mark.parametrize("output", [".", "", "my.toml/inside.pdf", "nowhere/report.pdf"])
def test_a_place_that_cannot_be_written_is_refused(survey: Path, output: str) -> None:
    assert_refused(run("report", survey, "--output", output), "Error: ")


def test_the_network_goes_beside_the_survey_and_replaces_an_older_one(survey: Path) -> None:
    network = survey.with_suffix(".network.json")
    network.write_bytes(b"network: old")
    result = run("network", survey)
    assert network.read_bytes() == NETWORK
    assert result.stdout.splitlines() == [f"Network: {network}", "In words: carries."]


def test_a_survey_without_a_network_says_what_is_not_known(below: Below, survey: Path) -> None:
    below.has_network = False
    assert_refused(run("network", survey), "my.toml gives no network: not known: the demand.")
    assert not survey.with_suffix(".network.json").exists()


def test_what_is_not_a_network_is_never_replaced(survey: Path) -> None:
    assert_refused(run("network", survey, "--output", survey), "is not a network file")
    assert survey.read_text(encoding="utf-8") == SURVEY


@pytest.mark.parametrize("verdict", Verdict)
def test_demo_writes_three_files_and_ends_with_their_paths_and_the_verdict(
    below: Below, verdict: Verdict
) -> None:
    below.verdict = verdict
    result = run("demo")
    assert result.exit_code == 0
    folder = Path("feasibility-demo")
    assert (folder / "first.toml").read_text(encoding="utf-8") == EXAMPLES["first"]
    digest = hashlib.sha256(EXAMPLES["first"].encode()).hexdigest()
    assert digest in (folder / "first.json").read_text(encoding="utf-8")
    assert (folder / "first.pdf").read_bytes() == PDF
    assert result.stdout.splitlines()[-4:] == [
        "Survey: feasibility-demo/first.toml",
        "JSON:   feasibility-demo/first.json",
        "Report: feasibility-demo/first.pdf",
        f"In words: {verdict}.",
    ]


def test_demo_takes_a_name_and_a_folder_and_may_run_again() -> None:
    for _ in range(2):
        assert run("demo", "second", "--folder", "a/b").exit_code == 0
    assert sorted(path.name for path in Path("a/b").iterdir()) == [
        "second.json",
        "second.pdf",
        "second.toml",
    ]


def test_demo_places_the_log_that_its_survey_names() -> None:
    assert run("demo", "with-log").exit_code == 0
    log = Path("feasibility-demo/with-log-demand.csv")
    assert log.read_bytes() == b"Time;L1\r\n"
    log.write_bytes(b"Time;L1\r\nedited")
    assert_refused(run("demo", "with-log"), "with-log-demand.csv has been edited")
    assert log.read_bytes().endswith(b"edited")


def test_demo_lists_its_surveys() -> None:
    result = run("demo", "--list")
    assert result.exit_code == 0
    assert result.stdout.split() == list(EXAMPLES)
    assert not Path("feasibility-demo").exists()


def test_demo_does_not_know_every_name() -> None:
    assert_refused(run("demo", "third"), "third", "first, second, with-log")


def test_demo_does_not_lose_an_edited_survey() -> None:
    run("demo")
    edited = Path("feasibility-demo/first.toml")
    edited.write_text("first = 3\n", encoding="utf-8")
    assert_refused(run("demo"), "edited", "feasibility-demo/first.toml")
    assert edited.read_text(encoding="utf-8") == "first = 3\n"


def test_demo_refuses_a_file_in_place_of_its_folder(survey: Path) -> None:
    assert_refused(run("demo", "--folder", survey), "Error: ")


def test_a_terminal_without_the_character_gets_a_question_mark(survey: Path) -> None:
    result = CliRunner(charset="iso-8859-1").invoke(main, ["check", str(survey)])
    assert result.exit_code == 0
    assert "2.5 mm², 1 ?" in result.stdout


def test_tables_are_listed_and_one_is_printed() -> None:
    listed = CliRunner().invoke(main, ["tables"])
    assert listed.exit_code == 0
    assert "b52_04_ampacity_pvc_three_loaded" in listed.stdout
    printed = CliRunner().invoke(main, ["tables", "b52_04_ampacity_pvc_three_loaded"])
    assert printed.exit_code == 0
    assert "Table B.52.4" in printed.stdout
    assert "Sources:" in printed.stdout
    overview = CliRunner().invoke(main, ["tables", "--confirmation"])
    assert overview.exit_code == 0
    assert "Annex D" in overview.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["tables", "b52_99"], "there is no table 'b52_99'"),
        (["tables", "b52_14_air_temperature", "--confirmation"], "give either"),
    ],
)
def test_a_table_that_cannot_be_shown_is_named(arguments: list[str], said: str) -> None:
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 2
    assert said in result.output
    assert "Traceback" not in result.output


def test_a_damaged_table_file_is_a_message(monkeypatch: pytest.MonkeyPatch) -> None:
    def damaged() -> None:
        raise TableError(Path("b52_14.csv"), 12, "factor 'O.87' is not a positive number")

    monkeypatch.setattr("feasibility.table_review.table_lines", damaged)
    result = CliRunner().invoke(main, ["tables"])
    assert result.exit_code == 2
    assert "b52_14.csv, line 12: factor 'O.87'" in result.output
    assert "Traceback" not in result.output
