"""Whatever a file holds, reading it ends in a survey or in SurveyProblems."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from feasibility.survey_io.problems import SurveyProblems, describe
from feasibility.survey_io.toml_file import parse_survey

BASE = (Path(__file__).parent / "base_survey.toml").read_text(encoding="utf-8")
BASE_LINES = BASE.split("\n")
PIECES = [
    *"[]{}=\"'#,.\\\n\r\t \x00\x1b\x7fä",
    *("[[", "]]", '"""', "'''", "nan", "-inf", "true", "1e999", "-1", "0", "12,5", "016"),
    "9" * 5000,
    *("[" * 40, "a." * 40, "{a=" * 40, '"unknown"', '"origin"', '"outlet"', '"Main board"'),
    *("{ low = 1, high = 2 }", "2026-02-30", "[circuit]\n", "[[circuit]]\n", "[circuit.device]\n"),
    *("name = 3\n", "value", "\\u0000", "\\ud800", "<b>", "\u202e", "0x" + "f" * 9000),
]  # fmt: skip


def read(content: bytes) -> None:
    """Read, and hold what the problems promise; any exception but SurveyProblems fails the test."""
    try:
        loaded = parse_survey(content, Path("survey.toml"))
    except SurveyProblems as found:
        problems = found.problems
    else:
        assert loaded.survey.circuit
        return
    assert problems
    last_line = content.count(b"\n") + 1
    for problem in problems:
        assert problem.line is None or 1 <= problem.line <= last_line
        assert problem.expected
        assert describe(problem).isprintable()
        assert len(problem.value) <= 60
    lines = [problem.line or 0 for problem in problems]
    assert lines == sorted(lines)


@given(st.binary(max_size=3000))
def test_random_bytes(content: bytes) -> None:
    read(content)


@given(st.text(max_size=3000))
def test_random_text(text: str) -> None:
    read(text.encode("utf-8", "surrogatepass"))


edits = st.tuples(
    st.integers(0, len(BASE)), st.integers(0, 30), st.sampled_from(PIECES) | st.text(max_size=5)
)


@settings(max_examples=400)
@given(st.lists(edits, min_size=1, max_size=4))
def test_pieces_replaced_anywhere(changes: list[tuple[int, int, str]]) -> None:
    text = BASE
    for position, length, piece in changes:
        text = text[:position] + piece + text[position + length :]
    read(text.encode("utf-8", "surrogatepass"))


@settings(max_examples=300)
@given(st.data())
def test_values_replaced_and_lines_moved(data: st.DataObject) -> None:
    lines = list(BASE_LINES)
    for _ in range(data.draw(st.integers(1, 5))):
        number = data.draw(st.integers(0, len(lines) - 1))
        key, equals, _value = lines[number].partition("=")
        action = data.draw(st.integers(0, 3))
        if action == 0 and equals:
            lines[number] = f"{key}= {data.draw(st.sampled_from(PIECES))}"
        elif action == 1:
            lines.insert(data.draw(st.integers(0, len(lines))), lines[number])
        elif action == 2:
            other = data.draw(st.integers(0, len(lines) - 1))
            lines[number], lines[other] = lines[other], lines[number]
        else:
            del lines[number]
    read("\n".join(lines).encode())


@given(st.binary(min_size=1, max_size=20), st.integers(0, len(BASE)))
def test_bytes_put_into_a_good_file(piece: bytes, position: int) -> None:
    content = BASE.encode()
    read(content[:position] + piece + content[position:])
