"""The report as one HTML document. Everything that comes from a survey is escaped."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from feasibility.render.advice_view import advice_view
from feasibility.render.plain_lines import visible
from feasibility.render.view import report_view
from feasibility.resources import data_dir

if TYPE_CHECKING:
    from feasibility.advice import Advice
    from feasibility.assessment import Assessment

_REPORT = "report/report.html.j2"
_STYLE = "css/report.css"


def to_html(assessment: Assessment, advice: Advice | None = None) -> str:
    """Return the report, with the advice if given, as a document that needs no other file."""
    style = (data_dir("templates") / _STYLE).read_text(encoding="utf-8")
    return (
        environment()
        .get_template(_REPORT)
        .render(
            view=report_view(assessment, advice),
            advice=None if advice is None else advice_view(assessment, advice),
            style=Markup(style),  # noqa: S704 - our own file
        )
    )


class Typed(str):
    """A text that a form gives back as it was typed, invisible characters and all."""

    __slots__ = ()


@cache
def environment() -> Environment:
    """Return the template environment: all is escaped, a name that is missing is an error.

    Characters that cannot be seen, and those that turn the reading direction, are written as
    escapes: a name with one could otherwise print a figure behind it backwards.
    """
    made = Environment(
        loader=FileSystemLoader(data_dir("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_finalized,
    )
    made.filters["typed"] = Typed
    return made


def _finalized(value: object) -> object:
    if isinstance(value, str) and not isinstance(value, (Markup, Typed)):
        return visible(value)
    return value
