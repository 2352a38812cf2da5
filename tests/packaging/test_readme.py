"""The README gives two commands that a newcomer pastes and that the project's own run executes."""

from __future__ import annotations

import shlex

import pytest
from readme_commands import README, readme_commands

TEXT = README.read_text(encoding="utf-8")


def test_it_gives_exactly_two_commands_of_one_line() -> None:
    commands = readme_commands(TEXT)
    assert "feasibility demo" in commands["install"]
    assert "pytest" in commands["test"]


@pytest.mark.parametrize("which", ["install", "test"])
def test_the_command_stops_at_the_first_failure(which: str) -> None:
    words = shlex.split(readme_commands(TEXT)[which].replace("$(command -v sudo)", ""))
    assert ";" not in " ".join(words)
    assert "||" not in words
    assert "&&" in words


def test_an_old_python_is_refused_before_its_dependencies_are_sought() -> None:
    """pip names the Python it needs only if no dependency fails for the same reason first."""
    command = readme_commands(TEXT)["install"]
    assert command.index("pip install -q --no-deps . &&") < command.index("pip install -q . &&")


@pytest.mark.parametrize(
    "faulty",
    [
        pytest.param("```sh\none\n```\n", id="one block"),
        pytest.param("```sh\na\n```\n```sh\nb\n```\n```sh\nc\n```\n", id="three blocks"),
        pytest.param("```sh\na\nb\n```\n```sh\nc\n```\n", id="two lines"),
        pytest.param("```sh\na \\\n```\n```sh\nc\n```\n", id="continued line"),
        pytest.param("```sh\n\n```\n```sh\nc\n```\n", id="empty line"),
    ],
)
def test_anything_else_is_refused(faulty: str) -> None:
    with pytest.raises(ValueError, match=r"README has|not one line"):
        readme_commands(faulty)


def test_the_first_paragraph_states_the_job() -> None:
    title, first_paragraph, *_ = TEXT.split("\n\n")
    assert title.startswith("# ")
    for word in (
        "socket",
        "cable",
        "protective device",
        "board",
        "service",
        "rectifier",
        "verdict",
        "PDF",
    ):
        assert word in first_paragraph
    assert TEXT.index(first_paragraph) < TEXT.index("```sh")


def test_the_exit_codes_are_those_of_the_program() -> None:
    from feasibility.cli import EXIT_BAD_INPUT, EXIT_CODE_OF_VERDICT

    for verdict, code in EXIT_CODE_OF_VERDICT.items():
        assert f"| {code} | {verdict} |" in TEXT
    assert f"| {EXIT_BAD_INPUT} | none |" in TEXT
