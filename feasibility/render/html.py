"""The report as one HTML document. Everything that comes from a survey is escaped."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from feasibility.render.view import report_view
from feasibility.resources import data_dir

if TYPE_CHECKING:
    from feasibility.assessment import Assessment

_REPORT = "report/report.html.j2"
_STYLE = "css/report.css"


def to_html(assessment: Assessment) -> str:
    """Return the report as a document that needs no other file."""
    style = (data_dir("templates") / _STYLE).read_text(encoding="utf-8")
    return (
        environment()
        .get_template(_REPORT)
        .render(
            view=report_view(assessment),
            style=Markup(style),  # noqa: S704 - our own file
        )
    )


@cache
def environment() -> Environment:
    """Return the template environment: all is escaped, a name that is missing is an error."""
    return Environment(
        loader=FileSystemLoader(data_dir("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
