"""What the page has at hand: the folder, drafts read from it, and answers already worked out."""

from __future__ import annotations

import json
import threading
from collections import OrderedDict
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from feasibility import __version__
from feasibility.page.answer import Answer, answer_of
from feasibility.page.draft import Draft, read_draft
from feasibility.page.folder import VERSIONS, StoredSurvey, SurveyFolder
from feasibility.page.places import place_text, value_at
from feasibility.write_file import FileNotWritten, write_atomically

_MOST_KEPT = 12
_NOTE = "answer.json"

Stamp = tuple[tuple[str, int, int], ...]


@dataclass(frozen=True, slots=True)
class Opened:
    """A survey as it stands, what can be read of it, and what is said about it."""

    stored: StoredSurvey
    draft: Draft
    answer: Answer

    @property
    def problems(self) -> Mapping[str, list[str]]:
        """All mistakes by their place; those of the file as a whole under an empty text."""
        found: dict[str, list[str]] = {}
        for one in self.draft.problems:
            found.setdefault(place_text(one.path), []).append(one.text)
        return found


@dataclass(frozen=True, slots=True)
class Listed:
    """One line of the list of surveys; ``verdict`` is empty where nobody has opened it since."""

    name: str
    title: str
    date: str
    verdict: str
    headline: str


class Desk:
    """Reads and assesses the surveys of one folder; one assessment at a time."""

    def __init__(self, folder: SurveyFolder) -> None:
        self.folder = folder
        self._lock = threading.Lock()
        self._kept: OrderedDict[str, tuple[Stamp, Draft, Answer]] = OrderedDict()

    def open(self, name: str) -> Opened:
        """Return a survey with its answer; NoSuchSurvey where there is none."""
        stored = self.folder.read(name)
        with self._lock:
            found = self._kept.pop(stored.revision, None)
            if found is None or found[0] != self._stamp(found[1]):
                draft = read_draft(stored.content, self.folder.path)
                answer = answer_of(draft, stored.revision)
                found = (self._stamp(draft), draft, answer)
                self._note(stored, draft, answer)
            self._kept[stored.revision] = found
            while len(self._kept) > _MOST_KEPT:
                self._kept.popitem(last=False)
        return Opened(stored, found[1], found[2])

    def listed(self) -> tuple[Listed, ...]:
        """Return all surveys of the folder with what was last said about them."""
        return tuple(self._line(name) for name in self.folder.names())

    def _line(self, name: str) -> Listed:
        note = self._noted(name)
        if note is None or note.get("revision") != self.folder.read(name).revision:
            return Listed(name, "", "", "", "")
        texts = [str(note.get(key, "")) for key in ("title", "date", "verdict", "headline")]
        return Listed(name, *texts)

    def _noted(self, name: str) -> dict[str, Any] | None:
        try:
            note = json.loads((self._note_path(name)).read_bytes())
        except (OSError, ValueError):
            return None
        return note if isinstance(note, dict) and note.get("program") == __version__ else None

    def _note(self, stored: StoredSurvey, draft: Draft, answer: Answer) -> None:
        """Keep what the list shows, so that it need not assess every survey again."""
        note = {
            "revision": stored.revision,
            "program": __version__,
            "title": _text_at(draft, "site", "name"),
            "date": _text_at(draft, "surveyor", "date"),
            "verdict": answer.verdict,
            "headline": answer.headline,
        }
        path = self._note_path(stored.name)
        with suppress(OSError, FileNotWritten):
            path.parent.mkdir(parents=True, exist_ok=True)
            write_atomically(path, json.dumps(note).encode())

    def _note_path(self, name: str) -> Path:
        return self.folder.path / VERSIONS / name / _NOTE

    def _stamp(self, draft: Draft) -> Stamp:
        """Return what tells whether a log was changed since it was read."""
        found = []
        for log in draft.logs.values():
            with suppress(OSError):
                status = (self.folder.path / log.file).stat()
                found.append((log.file, status.st_size, status.st_mtime_ns))
        return tuple(found)


def _text_at(draft: Draft, *path: str) -> str:
    value = value_at(draft.data, path)
    return "" if value is None else str(value)
