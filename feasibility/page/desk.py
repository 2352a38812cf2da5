"""What the page has at hand: the folder, drafts read from it, and answers already worked out."""

from __future__ import annotations

import gc
import json
import threading
from collections import OrderedDict
from collections.abc import Iterable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from feasibility import __version__
from feasibility.advice import Advice, advise
from feasibility.page.answer import Answer, answer_of
from feasibility.page.draft import Draft, read_draft
from feasibility.page.editing import parsed
from feasibility.page.folder import VERSIONS, StoredSurvey, SurveyFolder
from feasibility.page.log_memory import LogMemory
from feasibility.page.places import Data, place_text, value_at
from feasibility.survey.plain_data import text
from feasibility.survey.source_consistency import described_files
from feasibility.write_file import FileNotWritten, write_atomically

QUIET_S = 0.4
"""So long nothing is changed before the hours are studied: they take time from who types on."""
_MOST_KEPT = 12
_NOTE = "answer.json"

Stamp = tuple[tuple[str, int, int], ...]


@cache
def _leave_libraries_alone() -> None:
    """Keep what the first assessment loaded out of every later search for garbage.

    It stays as long as the process; looking through it took longer than half an assessment.
    """
    gc.collect()
    gc.freeze()


@dataclass(frozen=True, slots=True)
class Opened:
    """A survey as it stands, what can be read of it, and what is said about it."""

    stored: StoredSurvey
    draft: Draft
    answer: Answer
    progress: str = ""

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


class Superseded(Exception):
    """The survey was changed while the hours of its year were studied."""


@dataclass(slots=True)
class Kept:
    """A draft with its answer; ``study`` works out the answer with the hours, where it needs to."""

    name: str
    stamp: Stamp
    draft: Draft
    answer: Answer
    study: Future[Answer] | None = None
    advice: Future[Advice] | None = None
    done: tuple[int, int] = (0, 0)
    given_up: threading.Event = field(default_factory=threading.Event)

    def on_step(self, steps: int, of: int) -> None:
        """Take down how far the study has come; leave it where nobody waits for it any more."""
        if self.given_up.is_set():
            raise Superseded
        self.done = (steps, of)


class Desk:
    """Reads and assesses the surveys of one folder; one assessment at a time.

    The hours of a year are studied behind that, one survey at a time.
    """

    def __init__(self, folder: SurveyFolder) -> None:
        self.folder = folder
        self._lock = threading.Lock()
        self._kept: OrderedDict[tuple[str, str], Kept] = OrderedDict()
        self._logs = LogMemory()
        self._behind = ThreadPoolExecutor(1, thread_name_prefix="hours")
        self._advising = ThreadPoolExecutor(1, thread_name_prefix="advice")

    def open(self, name: str) -> Opened:
        """Return a survey with its answer; NoSuchSurvey where there is none."""
        stored = self.folder.read(name)
        with self._lock:
            found = self._kept.pop(_key(stored), None)
            if found is None or found.stamp != self._stamp(found.draft) or _given_up(found):
                found = self._assessed(stored)
            elif not found.answer.studying and self._noted(name) is None:
                self._note(stored, found.draft, found.answer)
            self._kept[_key(stored)] = found
            while len(self._kept) > _MOST_KEPT:
                self._kept.popitem(last=False)[1].given_up.set()
        return self._opened(stored, found)

    def finished(self, name: str) -> Opened:
        """Return a survey with its answer once the hours are studied too."""
        while True:
            found = self.open(name)
            kept = self._kept.get(_key(found.stored))
            if not found.answer.studying or kept is None or kept.study is None:
                return found
            with suppress(Superseded):
                kept.study.result()

    def advice_so_far(self, found: Opened) -> Advice | None:
        """Return the advice for a survey with a verdict; None while it is being worked out.

        The first question sets that going.
        """
        going = self._advice(found)
        return going.result() if going is not None and going.done() else None

    def advised(self, found: Opened) -> Advice | None:
        """Return the advice for a survey with a verdict once it is worked out."""
        going = self._advice(found)
        return None if going is None else going.result()

    def _advice(self, found: Opened) -> Future[Advice] | None:
        assessment = found.answer.assessment
        if assessment is None:
            return None
        with self._lock:
            kept = self._kept.get(_key(found.stored))
            if kept is None:
                return self._advising.submit(advise, assessment, found.draft.logs)
            if kept.advice is None:
                kept.advice = self._advising.submit(advise, assessment, found.draft.logs)
            return kept.advice

    def _assessed(self, stored: StoredSurvey) -> Kept:
        # A study of what stood there before would only take time from the answer.
        for other in self._kept.values():
            if other.name == stored.name:
                other.given_up.set()
        draft = read_draft(stored.content, self.folder.path, self._logs.read)
        answer = answer_of(draft, stored.revision, with_year=False)
        _leave_libraries_alone()
        kept = Kept(stored.name, self._stamp(draft), draft, answer)
        if not kept.answer.studying:
            self._note(stored, draft, kept.answer)
            return kept
        kept.study = self._behind.submit(self._studied, stored, kept)
        return kept

    def _studied(self, stored: StoredSurvey, kept: Kept) -> Answer:
        if kept.given_up.wait(QUIET_S):
            raise Superseded
        answer = answer_of(kept.draft, stored.revision, with_year=True, on_step=kept.on_step)
        kept.answer = answer
        self._note(stored, kept.draft, answer)
        return answer

    def _opened(self, stored: StoredSurvey, kept: Kept) -> Opened:
        steps, of = kept.done
        return Opened(stored, kept.draft, kept.answer, f"{100 * steps // of} %" if of else "")

    def listed(self) -> tuple[Listed, ...]:
        """Return all surveys of the folder with what was last said about them."""
        return tuple(self._line(name) for name in self.folder.names())

    def _line(self, name: str) -> Listed:
        note = self._noted(name)
        if note is None:
            data: Data = {}
            with suppress(ValueError):
                data = parsed(self.folder.read(name).content)
            return Listed(name, *_who_and_when(data), "", "")
        texts = [str(note.get(key, "")) for key in ("title", "date", "verdict", "headline")]
        return Listed(name, *texts)

    def _noted(self, name: str) -> dict[str, Any] | None:
        try:
            note = json.loads((self._note_path(name)).read_bytes())
        except (OSError, ValueError):
            return None
        if not isinstance(note, dict) or note.get("program") != __version__:
            return None
        files = [str(one[0]) for one in note.get("files", ()) if isinstance(one, list) and one]
        is_of_now = note.get("revision") == self.folder.read(name).revision
        return note if is_of_now and note.get("files") == _listed(self._stamps(files)) else None

    def _note(self, stored: StoredSurvey, draft: Draft, answer: Answer) -> None:
        """Keep what the list shows, so that it need not assess every survey again."""
        title, date = _who_and_when(draft.data or {})
        note = {
            "revision": stored.revision,
            "files": _listed(self._stamp(draft)),
            "program": __version__,
            "title": title,
            "date": date,
            "verdict": answer.verdict,
            "headline": answer.brief,
        }
        path = self._note_path(stored.name)
        with suppress(OSError, FileNotWritten):
            path.parent.mkdir(parents=True, exist_ok=True)
            write_atomically(path, json.dumps(note).encode())

    def _note_path(self, name: str) -> Path:
        return self.folder.path / VERSIONS / name / _NOTE

    def _stamp(self, draft: Draft) -> Stamp:
        """Return what tells whether a log was changed, or has come, since the survey was read."""
        described = described_files(draft.data or {})
        return self._stamps([name for _, log in described if (name := text(log, "file"))])

    def _stamps(self, files: Iterable[str]) -> Stamp:
        found = []
        for name in files:
            size, written = -1, -1
            with suppress(OSError, ValueError):
                status = (self.folder.path / Path(name).name).stat()
                size, written = status.st_size, status.st_mtime_ns
            found.append((name, size, written))
        return tuple(found)


def _key(stored: StoredSurvey) -> tuple[str, str]:
    return stored.name, stored.revision


def _listed(stamp: Stamp) -> list[list[Any]]:
    return [list(one) for one in stamp]


def _who_and_when(data: Data) -> tuple[str, str]:
    found = [value_at(data, path) for path in (("site", "name"), ("surveyor", "date"))]
    title, date = ["" if value is None else str(value) for value in found]
    return title, date


def _given_up(kept: Kept) -> bool:
    """Whether the hours were left unstudied, because the survey had been changed meanwhile."""
    study = kept.study
    return study is not None and study.done() and isinstance(study.exception(), Superseded)
