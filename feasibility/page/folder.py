"""The folder of survey files: whole writes, earlier versions, no silent overwriting.

A survey is ``NAME.toml``, its commissioning record ``NAME-record.toml`` beside it. What stood there
before a change is kept in ``.versions/NAME/`` under a running number and the start of its digest.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
import stat
import sys
import threading
import time
import unicodedata
from collections.abc import Collection, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from feasibility.write_file import write_atomically

if sys.platform != "win32":
    import fcntl

VERSIONS = ".versions"
SUFFIX = ".toml"
MOST_VERSIONS = 2000
"""Of each survey; the oldest go first. At one change in ten seconds this is more than a day."""
_RECORD = "-record"
_DIGEST_PART = 16
_OLD_S = 3600.0
_LONGEST_NAME = 80
_VERSION = re.compile(r"^(\d{8})-([0-9a-f]{16})\.toml$")
_TEMPORARY = re.compile(r"^\.[0-9a-f]{16}\.tmp$")


class NoSuchSurvey(LookupError):
    """The folder has no survey, or no record, of this name."""


class StaleRevision(Exception):
    """The survey was changed since the caller read it; ``current`` is what stands there now."""

    def __init__(self, current: StoredSurvey) -> None:
        super().__init__(f"{current.name} was changed meanwhile")
        self.current = current


@dataclass(frozen=True, slots=True)
class StoredSurvey:
    """A survey file as it stands in the folder; ``revision`` is the SHA-256 of its bytes."""

    name: str
    content: bytes
    revision: str


@dataclass(frozen=True, slots=True)
class Version:
    """An earlier state of a survey."""

    number: int
    written_at: float
    path: Path

    @property
    def when(self) -> str:
        """When it was replaced, by this machine's clock."""
        return dt.datetime.fromtimestamp(self.written_at).astimezone().strftime("%Y-%m-%d %H:%M:%S")


def record_of(survey: str) -> str:
    """Return the name of the commissioning record that belongs to a survey."""
    return f"{survey}{_RECORD}"


def _is_record(name: str, names: Collection[str]) -> bool:
    return name.endswith(_RECORD) and name.removesuffix(_RECORD) in names


def _is_taken(name: str, taken: Collection[str]) -> bool:
    """Whether a new survey cannot have this name, its record's included."""
    files = (f"{name}{SUFFIX}", f"{record_of(name)}{SUFFIX}")
    return name.endswith(_RECORD) or any(one.casefold() in taken for one in files)


def revision_of(content: bytes) -> str:
    """Return the digest that identifies the content."""
    return hashlib.sha256(content).hexdigest()


class SurveyFolder:
    """One folder; nothing outside it is ever read or written, links are not followed."""

    def __init__(self, path: Path) -> None:
        self.path = path.resolve(strict=True)
        self._lock = threading.Lock()
        self._clear_remains()

    def names(self) -> tuple[str, ...]:
        """Return the names of all surveys, sorted."""
        found = (one for one in self.path.glob(f"*{SUFFIX}") if _is_own_file(one))
        stems = {one.stem for one in found if not one.name.startswith(".")}
        names = (one for one in stems if not _is_record(one, stems))
        return tuple(sorted(names, key=str.casefold))

    def read(self, name: str) -> StoredSurvey:
        """Return a survey; NoSuchSurvey where there is none."""
        path = self.place_of(name)
        try:
            content = path.read_bytes()
        except OSError as error:
            raise NoSuchSurvey(name) from error
        return StoredSurvey(name, content, revision_of(content))

    def place_of(self, name: str) -> Path:
        """Return where a survey lies; NoSuchSurvey for a name that is not one in this folder."""
        path = self.path / f"{name}{SUFFIX}"
        if not name or name.startswith(".") or path.parent != self.path or "\x00" in name:
            raise NoSuchSurvey(name)
        if "\\" in name or not _is_own_file(path):
            raise NoSuchSurvey(name)
        return path

    def create(self, wanted: str, content: bytes) -> StoredSurvey:
        """Write a new survey under a name made from the wanted one, and return it."""
        start = plain_name(wanted)
        with self._alone():
            taken = {one.name.casefold() for one in self.path.iterdir()}
            name, number = start, 1
            while _is_taken(name, taken):
                number += 1
                name = f"{start}-{number}"
            write_atomically(self.path / f"{name}{SUFFIX}", content)
        return self.read(name)

    def create_record(self, survey: str, content: bytes) -> None:
        """Write the commissioning record of a survey, unless there is one."""
        self.place_of(survey)
        path = self.path / f"{record_of(survey)}{SUFFIX}"
        with self._alone():
            if not path.exists() and not path.is_symlink():
                write_atomically(path, content)

    def save(self, name: str, content: bytes, revision: str) -> StoredSurvey:
        """Replace a survey; StaleRevision where ``revision`` is not what stands there now.

        What stood there is kept among the versions first.
        """
        with self._alone():
            current = self.read(name)
            if current.revision != revision:
                raise StaleRevision(current)
            if content != current.content:
                self._keep(current)
                write_atomically(self.place_of(name), content)
        return StoredSurvey(name, content, revision_of(content))

    def versions(self, name: str) -> tuple[Version, ...]:
        """Return the earlier states of a survey, the newest first."""
        self.place_of(name)
        return tuple(
            Version(number, path.stat().st_mtime, path)
            for number, path in reversed(list(self._kept(name)))
        )

    def earlier(self, name: str, revision: str) -> bytes | None:
        """Return the content that had this revision, if it is kept."""
        self.place_of(name)
        for _, path in reversed(list(self._kept(name))):
            if path.stem.endswith(revision[:_DIGEST_PART]):
                content = path.read_bytes()
                if revision_of(content) == revision:
                    return content
        return None

    def place_beside(self, wanted: str, content: bytes, suffixes: tuple[str, ...]) -> str:
        """Write a file that a survey names (a log) beside the surveys; return its name.

        ValueError for another suffix. A file that is there already is never replaced.
        """
        suffix = Path(wanted).suffix.lower()
        if suffix not in suffixes:
            message = f"a file that ends in {' or '.join(suffixes)}"
            raise ValueError(message)
        start = plain_name(Path(wanted).stem)
        with self._alone():
            name, number = f"{start}{suffix}", 1
            while (self.path / name).exists() or (self.path / name).is_symlink():
                if _is_own_file(self.path / name) and (self.path / name).read_bytes() == content:
                    return name
                number += 1
                name = f"{start}-{number}{suffix}"
            write_atomically(self.path / name, content)
        return name

    def _keep(self, stored: StoredSurvey) -> None:
        kept = list(self._kept(stored.name))
        number = kept[-1][0] + 1 if kept else 1
        place = self._versions_of(stored.name)
        place.mkdir(parents=True, exist_ok=True)
        name = f"{number:08d}-{stored.revision[:_DIGEST_PART]}{SUFFIX}"
        write_atomically(place / name, stored.content)
        for _, path in kept[: max(0, len(kept) + 1 - MOST_VERSIONS)]:
            with suppress(OSError):
                path.unlink()

    def _kept(self, name: str) -> Iterator[tuple[int, Path]]:
        place = self._versions_of(name)
        if place.is_dir():
            for path in sorted(place.iterdir()):
                if (match := _VERSION.match(path.name)) and _is_own_file(path):
                    yield int(match[1]), path

    def _versions_of(self, name: str) -> Path:
        return self.path / VERSIONS / name

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """Keep out other threads and, where the system can, other programs of this kind."""
        with self._lock:
            if sys.platform == "win32":
                yield
                return
            place = self.path / VERSIONS
            place.mkdir(exist_ok=True)
            with (place / "lock").open("ab") as file:
                fcntl.flock(file, fcntl.LOCK_EX)
                yield

    def _clear_remains(self) -> None:
        """Remove what a program that was killed while writing left behind."""
        with self._alone():
            waiting = [self.path, *(self.path / VERSIONS).iterdir()]
            for place in waiting:
                if place.is_dir() and not place.is_symlink():
                    for file in place.iterdir():
                        if _TEMPORARY.match(file.name) and _is_own_file(file):
                            _remove_if_old(file)


def _remove_if_old(file: Path) -> None:
    """Remove a file that no program can still be writing."""
    with suppress(OSError):
        if time.time() - file.stat().st_mtime > _OLD_S:
            file.unlink()


def plain_name(wanted: str) -> str:
    """Return a file name made of the letters and digits of what was wanted."""
    plain = unicodedata.normalize("NFKD", wanted.casefold()).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LONGEST_NAME].strip("-") or "survey"


def _is_own_file(path: Path) -> bool:
    """Whether an ordinary file stands there, and no link to one elsewhere."""
    try:
        return stat.S_ISREG(path.lstat().st_mode)
    except (OSError, ValueError):
        return False
