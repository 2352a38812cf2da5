"""On which line of a TOML text each key stands.

This scanner never judges a file: it locates keys in text that the TOML reader accepts, and goes
as far as it can in text that is broken. It follows TOML 1.0: tables, arrays of tables, dotted and
quoted keys, inline tables, arrays over several lines, and every kind of string.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field

from feasibility.survey_io.problems import KeyPath

# A survey nests four tables deep. Beyond this the TOML reader's time and memory grow with the
# square of the depth, and its recursion ends in an error.
DEEPEST = 16

# A group is never repeated possessively: Python before 3.11.5 matches that wrongly.
_BLANK = re.compile(r"[ \t]*+")
_GAP = re.compile(r"(?:[ \t\r\n]++|#[^\n]*+)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]++")
_SCALAR = re.compile(r"[^,\[\]{}#\n\"'=]*+")
_STRINGS = (
    re.compile(r'"""(?:[^"\\]++|\\[\s\S]|"{1,2}(?!"))*"{3,5}'),
    re.compile(r"'''(?:[^']++|'{1,2}(?!'))*'{3,5}"),
    re.compile(r'"(?:[^"\\\n]++|\\[^\n])*"'),
    re.compile(r"'[^'\n]*+'"),
)
_LONG_QUOTES = ('"""', "'''")


@dataclass(frozen=True, slots=True)
class Statement:
    """One ``key = value`` outside inline tables; ``source`` is the value as it is written.

    ``complete`` is False where the scanner could not tell in which line the value ends.
    """

    path: KeyPath
    first_line: int
    last_line: int
    source: str
    complete: bool


@dataclass(frozen=True, slots=True)
class LineIndex:
    """Lines (counted from 1) of the key paths of one text; list positions count from 0.

    ``repeated`` maps the line of a key or table header that was already given to its first line.
    ``too_deep`` is the line at which nesting went beyond ``DEEPEST``; scanning stopped there.
    """

    lines: Mapping[KeyPath, int]
    statements: tuple[Statement, ...]
    repeated: Mapping[int, int]
    too_deep: int | None

    def line(self, path: KeyPath) -> int | None:
        """Return the line of the path itself, or None."""
        return self.lines.get(path)

    def nearest(self, path: KeyPath) -> int | None:
        """Return the line of the path or of the nearest table around it, or None."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.lines:
                return self.lines[path[:length]]
        return None

    def statement_at(self, line: int) -> Statement | None:
        """Return the statement that covers the line, or None."""
        position = bisect_right(self.statements, line, key=lambda item: item.first_line) - 1
        if position < 0 or self.statements[position].last_line < line:
            return None
        return self.statements[position]


def index_lines(text: str) -> LineIndex:
    """Scan a TOML text; never raises, whatever the text."""
    scanner = _Scanner(text)
    too_deep = None
    try:
        scanner.scan()
    except _TooDeepError as error:
        too_deep = scanner.line_at(error.position)
    return LineIndex(scanner.lines, tuple(scanner.statements), scanner.repeated, too_deep)


class _TooDeepError(Exception):
    def __init__(self, position: int) -> None:
        self.position = position
        super().__init__(position)


class _BrokenError(Exception):
    """The value does not follow the grammar; ``position`` is where."""

    def __init__(self, position: int) -> None:
        self.position = position
        super().__init__(position)


@dataclass(slots=True)
class _Scanner:
    text: str
    lines: dict[KeyPath, int] = field(default_factory=dict)
    statements: list[Statement] = field(default_factory=list)
    repeated: dict[int, int] = field(default_factory=dict)
    _line_starts: list[int] = field(default_factory=list)
    _table: KeyPath = ()
    _counts: dict[KeyPath, int] = field(default_factory=dict)
    _given: dict[KeyPath, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._line_starts = [0, *(match.end() for match in re.finditer("\n", self.text))]

    def line_at(self, position: int) -> int:
        return bisect_right(self._line_starts, position)

    def scan(self) -> None:
        position = self._gap(0)
        while position < len(self.text):
            if self.text[position] == "[":
                position = self._header(position)
            else:
                position = self._statement(position)
            position = self._gap(position)

    def _header(self, start: int) -> int:
        brackets = 2 if self.text.startswith("[[", start) else 1
        parts, position = self._key(start + brackets)
        if not parts or not self.text.startswith("]" * brackets, position):
            return self._line_end(start)
        path: KeyPath = ()
        for part in parts[:-1]:
            path = self._current((*path, part))
        path = (*path, parts[-1])
        line = self.line_at(start)
        if brackets == 2:
            self._note(path, line)
            self._counts[path] = self._counts.get(path, 0) + 1
            path = self._current(path)
        else:
            path = self._current(path)
            self._give(path, line, kind="table")
        self._note(path, line)
        self._table = path
        return self._line_end(position)

    def _current(self, path: KeyPath) -> KeyPath:
        """Return the path, followed by the position of the last table where it is a list."""
        return (*path, self._counts[path] - 1) if path in self._counts else path

    def _statement(self, start: int) -> int:
        parts, position = self._key(start)
        if not parts or not self.text.startswith("=", position):
            return self._line_end(start)
        path = (*self._table, *parts)
        first_line = self.line_at(start)
        self._note(path, first_line)
        self._give(path, first_line, kind="value")
        value_start = self._blank(position + 1)
        complete, end = self._top_value(value_start, path)
        rest = self._line_end(end)
        source = self.text[value_start : rest if complete else self._line_end(start)]
        last_line = self.line_at(end) if complete else first_line
        self.statements.append(Statement(path, first_line, last_line, source.strip(), complete))
        if complete:
            return rest
        return len(self.text) if self._opens_long_string(end) else self._line_end(start)

    def _top_value(self, start: int, path: KeyPath) -> tuple[bool, int]:
        """Walk the value; return whether its end is certain, and its end."""
        try:
            return True, self._value(start, path, depth=1)
        except _BrokenError as broken:
            line = self.text[start : self._line_end(start)].split("#")[0].rstrip()
            on_first_line = self.line_at(broken.position) == self.line_at(start)
            opener = self.text[start : start + 1]
            closer = {"[": "]", "{": "}"}.get(opener, "")
            certain = (
                on_first_line
                and line.endswith(closer)
                and not self._opens_long_string(broken.position)
            )
            return certain, broken.position

    def _value(self, start: int, path: KeyPath, depth: int) -> int:
        if depth > DEEPEST:
            raise _TooDeepError(start)
        opener = self.text[start : start + 1]
        if opener in ('"', "'") and opener:
            end = self._string(start)
            if end is None:
                raise _BrokenError(start)
            return end
        if opener == "[":
            return self._array(start, path, depth)
        if opener == "{":
            return self._inline_table(start, path, depth)
        match = _SCALAR.match(self.text, start)
        return match.end() if match else start

    def _array(self, start: int, path: KeyPath, depth: int) -> int:
        position = self._gap(start + 1)
        for number in range(len(self.text)):
            if self.text.startswith("]", position):
                return position + 1
            item = (*path, number)
            self._note(item, self.line_at(position))
            end = self._gap(self._value(position, item, depth + 1))
            if self.text.startswith(",", end):
                position = self._gap(end + 1)
            elif self.text.startswith("]", end):
                return end + 1
            else:
                raise _BrokenError(end)
        raise _BrokenError(position)

    def _inline_table(self, start: int, path: KeyPath, depth: int) -> int:
        position = self._gap(start + 1)
        while not self.text.startswith("}", position):
            parts, equals = self._key(position)
            if not parts or not self.text.startswith("=", equals):
                raise _BrokenError(equals)
            inner = (*path, *parts)
            self._note(inner, self.line_at(position))
            end = self._gap(self._value(self._blank(equals + 1), inner, depth + 1))
            if self.text.startswith(",", end):
                position = self._gap(end + 1)
            elif self.text.startswith("}", end):
                position = end
            else:
                raise _BrokenError(end)
        return position + 1

    def _key(self, start: int) -> tuple[tuple[str, ...], int]:
        """Read a dotted key; an empty tuple says that there is none."""
        parts: list[str] = []
        position = self._blank(start)
        while True:
            bare = _BARE_KEY.match(self.text, position)
            end = bare.end() if bare else self._string(position)
            if end is None:
                return (), position
            if len(parts) == DEEPEST:
                raise _TooDeepError(position)
            parts.append(_unquoted(self.text[position:end]))
            position = self._blank(end)
            if not self.text.startswith(".", position):
                return tuple(parts), position
            position = self._blank(position + 1)

    def _string(self, start: int) -> int | None:
        long_string = self._opens_long_string(start)
        for pattern in _STRINGS[:2] if long_string else _STRINGS[2:]:
            if match := pattern.match(self.text, start):
                return match.end()
        return None

    def _opens_long_string(self, position: int) -> bool:
        return self.text.startswith(_LONG_QUOTES, position)

    def _note(self, path: KeyPath, line: int) -> None:
        for length in range(1, len(path) + 1):
            self.lines.setdefault(path[:length], line)

    def _give(self, path: KeyPath, line: int, *, kind: str) -> None:
        first_line = self._given.setdefault((*path, kind), line)
        if first_line != line:
            self.repeated[line] = first_line

    def _blank(self, position: int) -> int:
        match = _BLANK.match(self.text, position)
        return match.end() if match else position

    def _gap(self, position: int) -> int:
        match = _GAP.match(self.text, position)
        return match.end() if match else position

    def _line_end(self, position: int) -> int:
        end = self.text.find("\n", position)
        return len(self.text) if end < 0 else end


def _unquoted(source: str) -> str:
    if source[0] not in "\"'":
        return source
    try:
        return str(tomllib.loads(f"key = {source}")["key"])
    except ValueError:
        return source[1:-1]
