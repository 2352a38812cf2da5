"""What a request brings: the entries of a form or of the page's script, and their edit applied."""

from __future__ import annotations

import json
from collections.abc import Callable

from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request

from feasibility.page.editing import Edit, Saved, Typed, edit_survey
from feasibility.page.folder import SurveyFolder
from feasibility.page.places import NoSuchPlace

_MOST_ENTRIES = 500
_MOST_FIELDS = 2000
_TYPED, _TICKED = "v.", "u."


async def entries_of_script(request: Request) -> tuple[str, list[Typed]]:
    """Return the revision that a change was made from, and what was typed; refuses all else."""
    try:
        asked = json.loads(await request.body())
        return str(asked["revision"]), [
            Typed(str(one["place"]), str(one["text"]), one.get("unknown") is True)
            for one in asked["entries"][:_MOST_ENTRIES]
        ]
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise HTTPException(400, "not a change of this page") from error


async def form_of(request: Request) -> FormData:
    """Return the form that was sent."""
    return await request.form(max_files=1, max_fields=_MOST_FIELDS)


def text_of(form: FormData, key: str) -> str:
    """Return a text of the form, empty where it has none."""
    value = form.get(key)
    return value if isinstance(value, str) else ""


def entries_of(form: FormData) -> list[Typed]:
    """Return all fields of a form at once, from a browser without script."""
    return [
        Typed(key.removeprefix(_TYPED), str(value), f"{_TICKED}{key[len(_TYPED) :]}" in form)
        for key, value in form.multi_items()
        if key.startswith(_TYPED)
    ][:_MOST_ENTRIES]


def edited(folder: SurveyFolder, name: str, revision: str, edit: Callable[[], Edit]) -> Saved:
    """Apply an edit; what it names that is not there is an answer, not an error of ours."""
    try:
        return edit_survey(folder, name, revision, edit())
    except NoSuchPlace as unknown:
        raise HTTPException(400, f"no such place: {unknown}") from unknown
    except (ValueError, TypeError) as error:
        raise HTTPException(409, "the file is no TOML; restore an earlier version") from error
