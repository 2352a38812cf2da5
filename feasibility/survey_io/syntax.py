"""TOML text into plain data, or into the lines that cannot be read.

The TOML reader stops at the first mistake. A single-line field that cannot be read is noted,
taken out and the rest read again, so that one run names all such lines.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field

from feasibility.survey_io.line_index import DEEPEST, LineIndex, Statement, index_lines
from feasibility.survey_io.problems import KeyPath, Problem, field_text, printable, shortened

_MOST_ATTEMPTS = 60
_MOST_CHARACTERS_READ = 5_000_000
_POSITION = re.compile(r" \(at line (\d+), column (\d+)\)$|\s*\(at end of document\)$")
_LONG_DIGITS = re.compile(r"[0-9](?:_?[0-9]){4300}")
_OPEN_QUOTES = re.compile(r"Expected \"('+)\"")
_LONGEST_SOURCE = 40

# What stands after the equals sign, and what was probably meant. The first that matches counts.
_BY_VALUE: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), text)
    for pattern, text in (
        (r"\r", "lines that end with LF or CR LF"),
        (r"^[+-]?[0-9]+ [0-9]", "a number without a blank in it"),
        (r"^$", "a value after the equals sign, or no such line"),
        (r"^[^\"'\[]*?[0-9]+,[0-9]+(?![0-9,])", "a decimal point in place of the comma"),
        (r"^[+-]?0[0-9]+(\.[0-9]+)?$", "a number without leading zeros"),
        (r"^[+-]?([0-9]+\.|\.[0-9]+)$", "digits on both sides of the decimal point"),
        (r"^[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}", "a date that exists, such as 2026-03-02"),
        (r"^[0-9]{1,2}[./-][0-9]{1,2}[./-][0-9]{2,4}", "a date such as 2026-03-02"),
        (
            r"^[+-]?[0-9.]+\s*[^\W\d_]|^[+-]?[0-9.]+\s*[%°²Ω]",
            "the number alone, without its unit, which stands in the name of the field",
        ),
        (r"[“”„«»‘’]", 'text between straight quotation marks "'),
        (r"^(?i:true|false|yes|no)$", "true or false, in small letters"),
        (r"^[\"'].*;$", "no semicolon at the end of the line"),
        (r"^[^;]*;$", "no semicolon at the end of the line"),
        (r'^"[^"]*\\', "each backslash written twice"),
        (r"^[^\W\d_][^\"'=\[\]{}]*$", "text between quotation marks"),
        (r"^(\"[^\"]*|'[^']*)$", "a quotation mark at the end of the text"),
    )
)

_BY_MESSAGE: tuple[tuple[str, str], ...] = (
    ("Expected '=' after a key", "a line of the form: field = value"),
    ("Invalid statement", "a line of the form: field = value, [table], [[table]] or # remark"),
    ("Expected newline or end of document", "nothing more on this line, or a # before a remark"),
    ("Illegal character", "text without control characters, closed on the same line"),
    ("Unclosed array", "a ] that closes the list"),
    ("Unclosed inline table", "a } that closes the table on the same line"),
    ("Unterminated string", "quotation marks at the end of the text"),
    ("Expected \"'", "a quotation mark at the end of the text"),
    ("Found invalid character", "a quotation mark at the end of the text"),
    ("Expected ']]", "a table name between double brackets: [[table]]"),
    ("Expected ']'", "a table name between brackets: [table]"),
    ("Duplicate inline table key", "each field only once"),
    ("Cannot overwrite a value", "each name for one thing only: a field or a table"),
    ("Cannot mutate immutable", "all fields of this table between its braces { }"),
    ("Cannot declare", "each table once; one that occurs several times is written [[table]]"),
    ("Cannot define", "each table once; one that occurs several times is written [[table]]"),
    ("Invalid initial character", "field = value between the braces, no comma behind the last"),
    ("Invalid value", 'a number, true, false, a date, "text", [list] or { table }'),
    ("Exceeds the limit", "a number with fewer digits"),
)
# These messages say more than a look at the value can.
_CERTAIN = ("Unclosed", "Cannot", "Duplicate", "Exceeds")


@dataclass(frozen=True, slots=True)
class Parsed:
    """What could be read of a text. ``data`` is None where the reading had to stop.

    ``lost`` are the fields that were taken out because their line could not be read; ``index``
    locates what remains.
    """

    data: dict[str, object] | None
    index: LineIndex
    problems: tuple[Problem, ...] = ()
    lost: frozenset[KeyPath] = field(default_factory=frozenset)


def parse_toml(text: str) -> Parsed:
    """Read the text as TOML 1.0, past single-line fields that cannot be read; never raises."""
    text = text.replace("\r\n", "\n")
    attempts = max(1, min(_MOST_ATTEMPTS, _MOST_CHARACTERS_READ // max(1, len(text))))
    problems: list[Problem] = []
    lost: set[KeyPath] = set()
    for attempt in range(attempts):
        index = index_lines(text)
        if index.too_deep is not None:
            return Parsed(None, index, (*problems, _too_deep(index.too_deep)))
        try:
            return Parsed(tomllib.loads(text), index, tuple(problems), frozenset(lost))
        except RecursionError:
            return Parsed(None, index, (*problems, _too_deep(None)))
        except ValueError as error:
            mistake = _located(str(error), text, index)
        statement = mistake.statement
        goes_on = _can_go_on(mistake, text, index) and attempt + 1 < attempts
        problems.append(_problem(mistake, text, goes_on=goes_on))
        if not goes_on:
            break
        if statement is not None:
            lost.add(statement.path)
            text = _without(text, statement.first_line, statement.last_line)
        else:
            text = _without(text, mistake.line, mistake.line)
    return Parsed(None, index, tuple(problems), frozenset(lost))


@dataclass(frozen=True, slots=True)
class _Mistake:
    message: str
    line: int
    column: int | None
    statement: Statement | None
    first_line: int | None = None


def _located(message: str, text: str, index: LineIndex) -> _Mistake:
    match = _POSITION.search(message)
    last_line = text.rstrip().count("\n") + 1
    line, column = last_line, None
    if match and match[1]:
        line, column = int(match[1]), int(match[2])
    elif quotes := _OPEN_QUOTES.match(message):
        # The reader looked in vain for a second quotation mark, so this is the last one.
        line = text.count("\n", 0, text.rfind(quotes[1])) + 1
    elif long_digits := _LONG_DIGITS.search(text):
        line = text.count("\n", 0, long_digits.start()) + 1
    if message.startswith(("Cannot overwrite a value", "Cannot declare")):
        # The reader reports where a repeated field's value ends, if need be at the end of the file.
        for again, first_line in index.repeated.items():
            statement = index.statement_at(again)
            if again == line or (statement and statement.last_line in (line, line - 1)):
                return _Mistake(message, again, None, statement, first_line)
    if message.startswith(("Unclosed", "Unterminated")):
        begun = [found for found in index.statements if not found.complete]
        begun = [found for found in begun if found.first_line <= line]
        if begun:
            return _Mistake(message, begun[-1].first_line, None, begun[-1])
    return _Mistake(message, line, column, index.statement_at(line))


def _problem(mistake: _Mistake, text: str, *, goes_on: bool) -> Problem:
    statement = mistake.statement
    expected = _expected(mistake)
    if not goes_on:
        expected += "; what follows is checked once this is right"
    if statement is not None:
        name, source = field_text(statement.path), statement.source.split("\n")[0]
    else:
        name, source = "", text.split("\n")[mistake.line - 1].strip()
    value = shortened(printable(source[: _LONGEST_SOURCE + 1]), _LONGEST_SOURCE)
    return Problem(mistake.line, mistake.column, name, value, expected)


def _expected(mistake: _Mistake) -> str:
    if mistake.first_line is not None:
        what = "field" if mistake.statement else "table"
        return f"this {what} only once; it already stands in line {mistake.first_line}"
    for start, text in _BY_MESSAGE:
        if mistake.message.startswith(start) and start.startswith(_CERTAIN):
            return text
    if mistake.statement is not None:
        source = mistake.statement.source.split("\n")[0].split(" #")[0].strip()
        for pattern, text in _BY_VALUE:
            if pattern.search(source[:200]):
                return text
    for start, text in _BY_MESSAGE:
        if mistake.message.startswith(start):
            return text
    return "text that follows the rules of TOML 1.0"


def _too_deep(line: int | None) -> Problem:
    return Problem(line, None, "", "", f"tables and lists nested at most {DEEPEST} deep")


def _can_go_on(mistake: _Mistake, text: str, index: LineIndex) -> bool:
    """Whether taking out the lines of the mistake leaves the meaning of all others untouched."""
    if mistake.statement is not None:
        return mistake.statement.complete
    is_header = text.split("\n")[mistake.line - 1].lstrip().startswith("[")
    return not is_header and all(statement.complete for statement in index.statements)


def _without(text: str, first_line: int, last_line: int) -> str:
    lines = text.split("\n")
    lines[first_line - 1 : last_line] = [""] * (last_line - first_line + 1)
    return "\n".join(lines)
