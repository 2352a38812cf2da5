"""Time the program against a yardstick measured in the same run, and print the ratios.

    python -m tests.benchmark.benchmark [demonstration survey]

Seconds depend on the machine, ratios hardly: each is the median of the program's time divided by
the median of its yardstick's, taken in turns; of changes on the page, the slowest twentieth counts.
"""

from __future__ import annotations

import io
import itertools
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

Action = Callable[[], object]

STARTS = 15
WARM_RUNS = 9
DOCUMENTS = 3
PAGE_CHANGES = 100
EXIT_BAD_INPUT = 2
LINES_ON_A_PAGE = 40
WORDS = "Conductors, devices and outlets carry the current that was asked for, or less."


def ratio(name: str, action: Action, yardstick_name: str, yardstick: Action, runs: int) -> None:
    """Print how many times longer ``action`` takes than ``yardstick``; one warm-up run each."""
    action()
    yardstick()
    pairs = [(_seconds(action), _seconds(yardstick)) for _ in range(runs)]
    own, other = (statistics.median(column) for column in zip(*pairs, strict=True))
    print(
        f"{name} / {yardstick_name}: {own / other:.2f}  ({own * 1e3:.1f} ms / {other * 1e3:.1f} ms)"
    )


def _seconds(action: Action) -> float:
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def start(*arguments: str, exit_code: int = 0) -> Action:
    """Return an action that starts the interpreter and expects this exit code."""

    def run() -> None:
        ended = subprocess.run([sys.executable, *arguments], capture_output=True, check=False)
        if ended.returncode != exit_code:
            raise RuntimeError(ended.stderr.decode())

    return run


def measure_starts(survey_text: str, folder: Path) -> None:
    """Help, and the report of a faulty survey, in starts of the bare interpreter."""
    faulty = folder / "faulty.toml"
    # A key that no survey has, put first so that it belongs to no table.
    faulty.write_text("no_such_key = 1\n" + survey_text, encoding="utf-8")
    bare = start("-c", "pass")
    program = ("-m", "feasibility")
    ratio("--help", start(*program, "--help"), "bare start", bare, STARTS)
    check = start(*program, "check", str(faulty), exit_code=EXIT_BAD_INPUT)
    ratio("faulty survey", check, "bare start", bare, STARTS)


def pandapower_load_flow(read: Any) -> Action:
    """Return one load flow of pandapower, with its own defaults, over the survey's feed path."""
    import pandapower as pp
    from pandapower.pf.runpp_3ph import runpp_3ph

    from feasibility.checks.operation import Operation
    from feasibility.installation.build import build_installation
    from feasibility.installation.facts import Ends
    from feasibility.network.pandapower_model import to_pandapower

    installation = build_installation(read.survey, read.demand_logs)
    operation = Operation(installation=installation, ends=Ends(favourable=False))
    network = operation.network(station_a=10.0)
    net = to_pandapower(network)
    if network.balanced:
        return lambda: pp.runpp(net, numba=False)
    return lambda: runpp_3ph(net, numba=False)


def measure_assessment(read: Any) -> Any:
    """A warm assessment in load flows of the same network; returns the assessment."""
    from feasibility.assessment import assess

    def assessed() -> Any:
        return assess(read.survey, sha256="", demand_logs=read.demand_logs)

    flow = pandapower_load_flow(read)
    ratio(
        "warm assessment",
        assessed,
        "pandapower load flow",
        flow,
        WARM_RUNS,
    )
    return assessed()


def measure_protection(read: Any) -> None:
    """The protection part of an assessment, fault currents at every node included."""
    from feasibility.checks.catalogue import PROTECTION
    from feasibility.checks.fault_levels import fault_levels
    from feasibility.checks.run import run_catalogue
    from feasibility.installation.build import build_installation

    def protection() -> object:
        judgement = run_catalogue(build_installation(read.survey, read.demand_logs), PROTECTION)
        return fault_levels(judgement.unfavourable)

    flow = pandapower_load_flow(read)
    ratio("protection", protection, "pandapower load flow", flow, WARM_RUNS)


def measure_year() -> None:
    """A year of quarter-hours at twelve nodes, the search for the fixed setting included."""
    from feasibility.checks.catalogue import CATALOGUE
    from feasibility.checks.run import run_catalogue
    from feasibility.installation.build import build_installation
    from feasibility.network.pandapower_model import to_pandapower
    from feasibility.settings import settings_of
    from feasibility.year.study import year_study

    from .year_site import year_site

    for words, balanced in (("balanced", True), ("unbalanced", False)):
        survey, logs = year_site(balanced=balanced)
        judgement = run_catalogue(build_installation(survey, logs), CATALOGUE)
        run = judgement.unfavourable
        settings = settings_of(run.installation, run.ends)
        net = to_pandapower(run.operation.network(station_a=10.0))

        def study() -> object:
            return year_study(judgement, settings)  # noqa: B023 - called within the loop

        def flow() -> object:
            import pandapower as pp

            return pp.runpp(net, numba=False)  # noqa: B023

        ratio(f"{words} year", study, "balanced pandapower load flow", flow, DOCUMENTS)


def measure_advice(read: Any, assessment: Any) -> None:
    """Remedies and the weight of facts in warm assessments of the same site."""
    from feasibility.advice import advise
    from feasibility.assessment import assess

    def advised() -> object:
        return advise(assessment, read.demand_logs)

    def assessed() -> object:
        return assess(read.survey, sha256="", demand_logs=read.demand_logs)

    ratio("remedies and facts", advised, "warm assessment", assessed, DOCUMENTS)


def plain_pdf(pages: int) -> bytes:
    """Return a document of so many pages of plain text."""
    import weasyprint

    page = f"<div style='break-after: page'>{f'<p>{WORDS}</p>' * LINES_ON_A_PAGE}</div>"
    style = "<style>p { margin: 0 }</style>"
    written: bytes = weasyprint.HTML(string=style + page * pages).write_pdf()
    return written


def page_count(pdf: bytes) -> int:
    """Return the number of pages of a PDF."""
    from pypdf import PdfReader

    return len(PdfReader(io.BytesIO(pdf)).pages)


def measure_pdf(assessment: Any) -> None:
    """The report in plain documents of the same number of pages."""
    from feasibility.render.pdf import to_pdf

    pages = page_count(to_pdf(assessment))
    if page_count(plain_pdf(pages)) != pages:
        message = "the plain document has not as many pages as the report"
        raise RuntimeError(message)
    yardstick = f"plain document of {pages} pages"
    ratio("report", lambda: to_pdf(assessment), yardstick, lambda: plain_pdf(pages), DOCUMENTS)


def measure_page(name: str) -> None:
    """A change on the page until the new answer is there, in warm assessments of the same site.

    Each change is held against the assessments right before and after it, so that a machine that
    others load for some seconds does not decide. The hours of a year are studied behind it and do
    not count.
    """
    from starlette.testclient import TestClient

    from feasibility.assessment import assess
    from feasibility.examples import example_companions, example_text
    from feasibility.page.app import page_app
    from feasibility.page.draft import read_draft

    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "a.toml").write_text(example_text(name), encoding="utf-8")
        for companion, content in example_companions(name).items():
            (folder / companion).write_bytes(content)
        draft = read_draft((folder / "a.toml").read_bytes(), folder)
        if draft.survey is None:
            message = f"the shipped survey {name} is faulty"
            raise RuntimeError(message)
        assess_once = partial(assess, draft.survey, sha256="", with_year=False)
        assess_once()
        origin = "http://127.0.0.1"
        client = TestClient(page_app(folder), base_url=origin, headers={"Origin": origin})
        revision = client.get("/s/a/first").text.split('data-revision="', 1)[1][:64]
        assessments = [_seconds(assess_once)]
        taken: list[float] = []
        for number in range(PAGE_CHANGES):
            entries = [{"place": "cord.length_m", "text": f"{5 + number / 100:g}"}]
            start = time.perf_counter()
            answer = client.post("/s/a/change", json={"revision": revision, "entries": entries})
            taken.append(time.perf_counter() - start)
            revision = answer.json()["revision"]
            assessments.append(_seconds(assess_once))
    beside = [statistics.mean(pair) for pair in itertools.pairwise(assessments)]
    longer = [own / other for own, other in zip(taken, beside, strict=True)]
    over_ms = [(own - 1.5 * other) * 1e3 for own, other in zip(taken, beside, strict=True)]
    print(
        f"change on the page of {name} / warm assessments right before and after it: "
        f"{statistics.median(longer):.2f}, 95th percentile {_slow(longer):.2f}; "
        f"beyond 1.5 assessments at the 95th percentile: {_slow(over_ms):.0f} ms (limit 50 ms)"
    )


def _slow(values: list[float]) -> float:
    """Return the 95th percentile."""
    return statistics.quantiles(values, n=20)[-1]


def largest_site() -> str:
    """Return the shipped site with the most links whose demand does not change over the time."""
    from feasibility.assessment import assess
    from feasibility.examples import example_names, example_path
    from feasibility.page.answer import varies
    from feasibility.survey_io.toml_file import read_survey

    links: dict[str, int] = {}
    for name in example_names():
        read = read_survey(example_path(name))
        found = assess(read.survey, sha256="", demand_logs=read.demand_logs, with_year=False)
        if not varies(found):
            links[name] = len(found.chain)
    return max(links, key=lambda name: links[name])


def main() -> None:
    """Measure everything with one demonstration survey, the first unless another is named."""
    from feasibility.examples import example_companions, example_names, example_text
    from feasibility.survey_io.toml_file import read_survey

    name = sys.argv[1] if len(sys.argv) > 1 else next(iter(example_names()))
    text = example_text(name)
    with tempfile.TemporaryDirectory() as folder:
        for companion, content in example_companions(name).items():
            (Path(folder) / companion).write_bytes(content)
        measure_starts(text, Path(folder))
        path = Path(folder) / "survey.toml"
        path.write_text(text, encoding="utf-8")
        read = read_survey(path)
    measure_page(largest_site())
    measure_protection(read)
    measure_year()
    assessment = measure_assessment(read)
    measure_advice(read, assessment)
    measure_pdf(assessment)


if __name__ == "__main__":
    main()
