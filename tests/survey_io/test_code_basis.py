"""A survey names a code basis; one that is not there is a mistake in the file like any other."""

from __future__ import annotations

from feasibility.code_basis import code_basis_names
from feasibility.survey_io.validation import validate


def test_an_unknown_code_basis_is_a_mistake_that_lists_what_there_is() -> None:
    _, mistakes = validate({"survey_version": 1, "code_basis": "somewhere-else"})
    (found,) = [mistake for mistake in mistakes if mistake.path == ("code_basis",)]
    assert found.value == "somewhere-else"
    assert all(name in found.expected for name in code_basis_names())


def test_a_known_code_basis_is_none() -> None:
    _, mistakes = validate({"survey_version": 1, "code_basis": "iec-60364"})
    assert not [mistake for mistake in mistakes if mistake.path == ("code_basis",)]
