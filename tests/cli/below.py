"""What stands in for all that lies below the command line, so that its own part can be tested."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType

from feasibility.result import Message, Verdict

SURVEY = "survey_version = 1  # 2.5 mm², 1 Ω\n"
PDF = b"%PDF-1.7 new"
NETWORK = b"network: new"
EXAMPLES = {"first": "first = 1\n", "second": "second = 2\n", "with-log": "log = 1\n"}
COMPANIONS = {"with-log": {"with-log-demand.csv": b"Time;L1\r\n"}}


@dataclass
class Log:
    """What stands in for a log."""

    file: str
    sha256: str


LOGS = {"board[1].demand.log": Log("demand.csv", "00")}


class FaultySurvey(ValueError):
    def __init__(self, path: Path, problems: tuple[str, ...]) -> None:
        super().__init__(path)
        self.path = path
        self.problems = problems


@dataclass
class Answer:
    """What stands in for an assessment."""

    verdict: Verdict
    survey: str
    sha256: str


@dataclass
class Loaded:
    """What stands in for a survey that was read."""

    survey: str
    sha256: str
    path: Path
    content: bytes
    demand_logs: dict[str, Log]


class NoNetwork(Exception):
    reason = Message(template="not known: {facts}.", values={"facts": "the demand"})


class NotAReport(ValueError):
    pass


@dataclass
class Opened:
    """What stands in for a report that was opened again."""

    survey: bytes = SURVEY.encode()
    logs: Mapping[str, bytes] = field(default_factory=dict)
    document: Mapping[str, str] = field(default_factory=dict)
    document_bytes: bytes = b"{}"
    genuine: bool = True


@dataclass
class Below:
    """What lies below the command line, as far as it is steered by a test."""

    verdict: Verdict = Verdict.CARRIES
    assessed: int = 0
    problems: tuple[str, ...] = ()
    has_network: bool = True

    def network_file(self, _answer: Answer) -> bytes:
        if not self.has_network:
            raise NoNetwork
        return NETWORK

    def read_survey(self, path: Path) -> Loaded:
        if self.problems:
            raise FaultySurvey(path, self.problems)
        try:
            content = path.read_bytes()
        except OSError as error:
            raise FaultySurvey(path, ("cannot be read",)) from error
        checksum = hashlib.sha256(content).hexdigest()
        return Loaded(content.decode(), checksum, path, content, LOGS)

    def assess(
        self,
        survey: str,
        *,
        sha256: str,
        demand_logs: dict[str, Log],
        on_step: Callable[[int, int], None],
    ) -> Answer:
        assert demand_logs is LOGS
        self.assessed += 1
        on_step(1, 1)
        return Answer(self.verdict, survey, sha256)


def document_of(answer: Answer, _advice: object = None) -> str:
    return f'{{"schema_version": "Ω", "verdict": "{answer.sha256}"}}'


def module(name: str, **contents: object) -> ModuleType:
    made = ModuleType(name)
    vars(made).update(contents)
    return made


def modules_of(steered: Below) -> tuple[ModuleType, ...]:
    """Return what stands in the place of the modules below the command line."""
    return (
        module(
            "feasibility.survey_io.problems",
            SurveyProblems=FaultySurvey,
            describe=lambda problem: f"line {problem}",
        ),
        module("feasibility.survey_io.toml_file", read_survey=steered.read_survey),
        module("feasibility.assessment", assess=steered.assess),
        module("feasibility.advice", advise=lambda _answer, _logs, prices: prices),
        *_renderers(),
        *_report_modules(),
        module(
            "feasibility.network_file",
            NoNetwork=NoNetwork,
            network_file=steered.network_file,
            is_network_file=lambda content: content.startswith(b"network:"),
        ),
        module(
            "feasibility.examples",
            example_names=lambda: tuple(EXAMPLES),
            example_text=EXAMPLES.__getitem__,
            example_companions=lambda name: COMPANIONS.get(name, {}),
        ),
    )


def _renderers() -> tuple[ModuleType, ...]:
    return (
        module("feasibility.render.json_document", to_json=document_of),
        module(
            "feasibility.render.text",
            to_text=lambda answer, _: f"findings on {answer.survey}",
            verdict_in_words=lambda answer: f"In words: {answer.verdict}.",
        ),
    )


def _report_modules() -> tuple[ModuleType, ...]:
    return (
        module(
            "feasibility.render.pdf",
            to_pdf=lambda _answer, _enclosed, _advice: PDF,
            pdf_of=lambda _document: PDF,
        ),
        module(
            "feasibility.page.sheet",
            empty_sheet=lambda: None,
            open_sheet=lambda _data, _answer: None,
            sheet_html=lambda _sheet: "",
        ),
        module(
            "feasibility.archive",
            enclosures=lambda *_: (),
            log_contents=lambda _folder, _checksums: {},
            NotAReport=NotAReport,
            SURVEY_NAME="survey.toml",
            ASSESSMENT_NAME="assessment.json",
            open_report=lambda _path: Opened(),
            differences=lambda _then, _now: (),
        ),
    )
