"""The empty survey sheet: every question of the walk on paper, to be filled in by hand."""

from __future__ import annotations

from feasibility.page.editing import new_survey
from feasibility.page.fields import part_views
from feasibility.page.screens import screens_of
from feasibility.render.html import environment


def sheet_html() -> str:
    """Return the sheet as a document that needs no other file."""
    data = new_survey()
    titled = [(screen, part_views(screen, data, {})) for screen in screens_of(data)]
    return environment().get_template("page/sheet.html.j2").render(screens=titled)
