"""The reader of the standard library (tomllib) is the witness for which keys a text holds."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st

from feasibility.survey_io.line_index import DEEPEST, index_lines
from feasibility.survey_io.problems import KeyPath

Scalar = str | int | float | bool
Node = Scalar | list["Node"] | dict[str, "Node"]


def paths_in(value: object, path: KeyPath = ()) -> Iterator[KeyPath]:
    """Every path into data that tomllib has read."""
    if path:
        yield path
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from paths_in(inner, (*path, key))
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from paths_in(inner, (*path, number))


def line_of(text: str, marker: str) -> int:
    assert text.count(marker) == 1, marker
    return text[: text.index(marker)].count("\n") + 1


def test_the_base_survey_is_located_key_by_key(base_text: str) -> None:
    index = index_lines(base_text)
    assert set(index.lines) == set(paths_in(tomllib.loads(base_text)))
    for path, marker in {
        ("survey_version",): "survey_version",
        ("site", "address"): 'address = """',
        ("surveyor",): "[surveyor]\n",
        ("surveyor", "instrument"): "[[surveyor.instrument]]",
        ("supply", "highest_voltage_v", "low"): "highest_voltage_v",
        ("supply", "service_device", "breaking_capacity_ka"): "breaking_capacity_ka",
        ("board", 1, "demand", "maximum_a"): "maximum_a = 12",
        ("circuit", 0): '[[circuit]]\nname = "Main"',
        ("circuit", 1, "cable", 0, "length_m"): "length_m = 28",
        ("circuit", 1, "cable", 1): "[[circuit.cable]]\nlength_m = 7",
        ("circuit", 1, "device", "rating_a"): "rating_a = 63",
        ("circuit", 2, "cable"): "cable = [",
        ("circuit", 2, "cable", 0): "{ length_m = 11",
        ("circuit", 2, "cable", 1, "note"): "{ length_m = 4",
        ("circuit", 2, "part", 0, "continuous_a"): "continuous_a = 57",
        ("station", "settings_a", 1): "6, 10, 16",
        ("station", "settings_a", 4): "25, 30",
        ("station", "maximum_voltage_v"): "maximum_voltage_v",
    }.items():
        assert index.line(path) == line_of(base_text, marker), path
    assert index.line(("site", "length_m")) is None
    assert index.nearest(("circuit", 1, "cable", 0, "ambient_c")) == line_of(
        base_text, "[[circuit.cable]]\nlength_m = 28"
    )
    assert index.nearest(("cord", "x", "y")) == line_of(base_text, "[cord]")
    assert index.nearest(("absent",)) is None


@pytest.mark.parametrize(
    ("text", "path", "line"),
    [
        ("a.b = 1\na.c = 2", ("a", "c"), 2),
        ("a.b = 1\na.c = 2", ("a",), 1),
        ('# a = 1\n"a" = 2', ("a",), 2),
        ('x = "a = [ # {"\na = 2', ("a",), 2),
        ("x = '''\na = 1\n[a]\n''' # '''\na = 2", ("a",), 5),
        ('x = """\\"""\na = 1\n""""\na = 2', ("a",), 4),
        ('x = """a""""" # """\na = 2', ("a",), 2),
        ("x = [ # ]\n']', [\n'['], {b = ']'}]\na = 2", ("a",), 4),
        ("x = [ # ]\n']', [\n'['], {b = ']'}]\na = 2", ("x", 2, "b"), 3),
        ('"a.b" = 1', ("a.b",), 1),
        ('"\\u0061" = 1', ("a",), 1),
        ("[ x . 'y' ]\n  a\t=\t1", ("x", "y", "a"), 2),
        ("[[x]]\n[x.y]\na=1\n[[x]]\n[x.y]\na=2", ("x", 1, "y", "a"), 6),
        ("[[x]]\n[[x.y]]\n[[x.y]]\n[[x]]\n[[x.y]]\na=2", ("x", 1, "y", 0, "a"), 6),
        ("x = 1\r\n\r\na = 2\r\n", ("a",), 3),
        ("x = { b = 1, a = 2 }", ("x", "a"), 1),
    ],
)
def test_what_could_fool_a_scanner_does_not(text: str, path: KeyPath, line: int) -> None:
    assert set(index_lines(text).lines) == set(paths_in(tomllib.loads(text)))
    assert index_lines(text).line(path) == line


@dataclass
class Writer:
    """Write random data as TOML in varied styles, noting the line of every key it writes."""

    choose: Callable[[int], int]
    text: str = ""
    lines: dict[KeyPath, int] = field(default_factory=dict)

    def note(self, path: KeyPath) -> None:
        for length in range(1, len(path) + 1):
            self.lines.setdefault(path[:length], self.text.count("\n") + 1)

    def key(self, name: str) -> str:
        if name and name.isascii() and name.replace("-", "a").replace("_", "a").isalnum():
            return name if self.choose(3) else json.dumps(name)
        return _basic(name)

    def blank(self) -> None:
        self.text += ("", "\n", '# a = [ """\n', "  \t\n# ]] '''\n")[self.choose(4)]

    def table(self, data: dict[str, Node], path: KeyPath, names: tuple[str, ...]) -> None:
        inside = [key for key, value in data.items() if _opens_table(value) and self.choose(2)]
        for key, value in data.items():
            if key not in inside:
                self.blank()
                self.entry(key, value, path)
        for key in inside:
            value = data[key]
            header = ".".join(self.key(name) for name in (*names, key))
            tables = value if isinstance(value, list) else [value]
            for number, table in enumerate(tables):
                self.blank()
                here = (*path, key, number) if isinstance(value, list) else (*path, key)
                self.note(here)
                self.text += f"[[{header}]] # x\n" if isinstance(value, list) else f"[{header}]\n"
                assert isinstance(table, dict)
                self.table(table, here, (*names, key))

    def entry(self, key: str, value: Node, path: KeyPath) -> None:
        here = (*path, key)
        self.note(here)
        self.text += self.key(key)
        while isinstance(value, dict) and len(value) == 1 and self.choose(2):
            ((key, value),) = value.items()
            here = (*here, key)
            self.note(here)
            self.text += "." + self.key(key)
        self.text += " = "
        self.value(value, here)
        self.text += "\n" if self.choose(2) else " # a = 1, [b]\n"

    def value(self, value: Node, path: KeyPath) -> None:
        if isinstance(value, dict):
            self.text += "{"
            for number, (key, inner) in enumerate(value.items()):
                self.text += ", " if number else " "
                self.note((*path, key))
                self.text += self.key(key) + "="
                self.value(inner, (*path, key))
            self.text += "}"
        elif isinstance(value, list):
            self.text += "["
            for number, inner in enumerate(value):
                self.text += (" ", "\n", ' # ], "\n')[self.choose(3)]
                self.note((*path, number))
                self.value(inner, (*path, number))
                self.text += "," if number < len(value) - 1 or self.choose(2) else ""
            self.text += ("", "\n")[self.choose(2)] + "]"
        elif isinstance(value, str):
            self.text += self.string(value)
        else:
            self.text += json.dumps(value)

    def string(self, value: str) -> str:
        basic = _basic(value)
        if self.choose(2):
            return basic
        if value.isprintable() and "'" not in value:
            return f"'{value}'" if self.choose(2) else f"'''\n{value}'''"
        long = f'""{basic}""'
        return long if "\\" in value or value.startswith("\n") else long.replace("\\n", "\n")


def _basic(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _opens_table(value: Node) -> bool:
    if isinstance(value, list):
        return bool(value) and all(isinstance(item, dict) for item in value)
    return isinstance(value, dict)


_odd_text = st.text(
    st.sampled_from(list("ab.-_ =[]{}#\"',\\\n\tä")) | st.characters(codec="utf-8"), max_size=8
)
_keys = st.sampled_from(["a", "b", "length_m", "1", ""]) | _odd_text
_leaves = _odd_text | st.integers(-(2**63), 2**63 - 1) | st.floats(-1e6, 1e6) | st.booleans()
_nodes: st.SearchStrategy[Node] = st.recursive(
    _leaves,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(_keys, inner, max_size=3)
        | st.lists(st.dictionaries(_keys, inner, max_size=2), min_size=1, max_size=3)
    ),
    max_leaves=12,
)


@given(st.dictionaries(_keys, _nodes, max_size=5), st.data())
def test_every_key_of_a_random_file_is_found_on_its_line(
    data: dict[str, Node], draw: st.DataObject
) -> None:
    writer = Writer(lambda choices: draw.draw(st.integers(0, choices - 1)))
    writer.table(data, (), ())
    assert tomllib.loads(writer.text) == data
    index = index_lines(writer.text)
    assert dict(index.lines) == writer.lines
    assert not index.repeated
    assert index.too_deep is None
    assert all(statement.complete for statement in index.statements)


@given(st.text(st.sampled_from(list("ab.=[]{}#\"',\\\n 1\r\t"))))
def test_any_text_is_scanned_without_an_error(text: str) -> None:
    index = index_lines(text)
    last = text.count("\n") + 1
    assert all(1 <= line <= last for line in index.lines.values())
    for statement in index.statements:
        assert 1 <= statement.first_line <= statement.last_line <= last
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    assert set(index.lines) == set(paths_in(data))


def test_statements_know_their_extent(base_text: str) -> None:
    index = index_lines(base_text)
    first = line_of(base_text, "cable = [")
    for line in range(first, first + 4):
        statement = index.statement_at(line)
        assert statement is not None
        assert statement.path == ("circuit", 2, "cable")
        assert (statement.first_line, statement.last_line) == (first, first + 3)
    assert index.statement_at(first + 4) is None
    assert index.statement_at(1) is None


def test_repeated_keys_and_tables_are_noted() -> None:
    index = index_lines("[a]\nb = 1\nb = 2\n[c]\n[a]\n[[d]]\nb=1\n[[d]]\nb=1")
    assert index.repeated == {3: 2, 5: 1}


@pytest.mark.parametrize(
    "text", ["\na = " + "[" * 9999, "\n" + "a." * 9999 + "a = 1", "\n[" + "a." * 99 + "a]"]
)
def test_deep_nesting_stops_the_scan(text: str) -> None:
    assert index_lines(text).too_deep == 2


def test_nesting_up_to_the_limit_is_read() -> None:
    text = "a = " + "[" * DEEPEST + "]" * DEEPEST + "\n" + ".".join("b" * DEEPEST) + " = 1"
    assert index_lines(text).too_deep is None
    assert tomllib.loads(text)
