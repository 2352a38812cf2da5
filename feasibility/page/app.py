"""The page as an application: which address leads to what, and what stands before them all."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from feasibility.page import advising, changing, commissioning, reading
from feasibility.page.desk import Desk
from feasibility.page.folder import NoSuchSurvey, SurveyFolder
from feasibility.page.guard import Guard
from feasibility.resources import data_dir
from feasibility.write_file import FileNotWritten

STATIC = {
    "page.css": "text/css",
    "page.js": "text/javascript",
    "fields.js": "text/javascript",
    "icon.svg": "image/svg+xml",
}
Handler = Callable[[Request], Awaitable[Response]]
LOOPBACK_NAMES = ("localhost", "127.0.0.1", "::1")


def page_app(
    folder: Path, *, names: tuple[str, ...] = LOOPBACK_NAMES, phrase: str | None = None
) -> ASGIApp:
    """Return the guarded page over one folder of surveys.

    ``names`` are the host names under which it is asked for; ``phrase`` is the pass phrase, None
    where only this machine can reach it.
    """
    handlers = {
        HTTPException: _refused,
        NoSuchSurvey: _not_there,
        OSError: _not_written,
    }
    app = Starlette(routes=_routes(), exception_handlers=handlers)  # type: ignore[arg-type]
    app.state.desk = Desk(SurveyFolder(folder))
    return Guard(app, names=names, phrase=phrase)


def _taking(path: str, handler: Handler) -> Route:
    """Return the route of what changes a survey; files that were sent are closed in any case."""

    async def closing(request: Request) -> Response:
        try:
            return await handler(request)
        finally:
            await request.close()

    return Route(path, closing, methods=["POST"])


def _routes() -> list[Route]:
    survey = "/s/{name}"
    return [
        Route("/", reading.survey_list),
        Route("/enter", reading.enter),
        _taking("/new", changing.started),
        Route("/empty-survey.pdf", reading.empty_sheet),
        Route("/static/{file}", static),
        Route(survey, reading.start_of),
        Route(f"{survey}/first", reading.first_answers),
        _taking(f"{survey}/first", changing.screen_saved),
        Route(f"{survey}/at/{{key}}", reading.one_screen),
        _taking(f"{survey}/at/{{key}}", changing.screen_saved),
        Route(f"{survey}/value/{{place}}", reading.one_value),
        _taking(f"{survey}/value/{{place}}", changing.value_saved),
        _taking(f"{survey}/change", changing.change),
        _taking(f"{survey}/structure", changing.structure),
        _taking(f"{survey}/log", changing.log_uploaded),
        Route(f"{survey}/answer.json", reading.answer_now),
        Route(f"{survey}/findings", reading.all_findings),
        Route(f"{survey}/remedies", advising.remedies),
        Route(f"{survey}/remedies/{{number:int}}", advising.trial),
        Route(f"{survey}/hours", reading.hours),
        Route(f"{survey}/versions", reading.versions),
        _taking(f"{survey}/restore", changing.restored),
        Route(f"{survey}/record", commissioning.record),
        _taking(f"{survey}/record", commissioning.record_saved),
        _taking(f"{survey}/record/begin", commissioning.begun),
        _taking(f"{survey}/record/change", commissioning.change),
        _taking(f"{survey}/record/structure", commissioning.structure),
        Route(f"{survey}/record.toml", commissioning.record_file),
        Route(f"{survey}/survey.toml", reading.survey_file),
        Route(f"{survey}/assessment.json", reading.assessment_file),
        Route(f"{survey}/report.pdf", reading.report_file),
    ]


async def static(request: Request) -> Response:
    """Return the page's own style or script."""
    name = request.path_params["file"]
    if name not in STATIC:
        raise HTTPException(404)
    return FileResponse(data_dir("templates") / "page" / name, media_type=STATIC[name])


async def _refused(request: Request, error: HTTPException) -> Response:
    texts = {404: "There is no such page.", 405: "This is not done here."}
    text = texts.get(error.status_code, str(error.detail))
    return _message(request, text, error.status_code)


async def _not_there(request: Request, _error: NoSuchSurvey) -> Response:
    return _message(request, "There is no such survey in this folder.", 404)


async def _not_written(request: Request, error: OSError) -> Response:
    reason = error.reason if isinstance(error, FileNotWritten) else error.strerror or str(error)
    words = "This cannot be shown" if request.method == "GET" else "Nothing was saved"
    return _message(request, f"{words}: {reason}.", 507)


def _message(request: Request, text: str, status: int) -> Response:
    if request.url.path.endswith("/change"):
        return JSONResponse({"message": text}, status)
    return reading.page("message", status, text=text)
