"""Run the mutation tester over clauses and checks, with the changes that an answer may rest on.

    python -m tests.mutation.run [pattern of mutant names ...]

Comparisons, arithmetic, numbers, signs, and/or, not, true/false and conditional expressions are
changed. Texts and arguments are left alone: a wording is no judgement, and a call that lacks an
argument fails at once. The quickest tests go first: they notice most.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from typing import Any

LEFT_ALONE = (
    "operator_string",
    "operator_dict_arguments",
    "operator_arg_removal",
    "operator_lambda",
    "operator_assignment",
    "operator_symmetric_string_methods_swap",
    "operator_unsymmetrical_string_methods_swap",
)


def main() -> None:
    """Start the mutation tester without the operators that are left alone."""
    from mutmut.mutation import mutators

    operators: Any = mutators.mutation_operators
    operators[:] = [
        (node, operator) for node, operator in operators if operator.__name__ not in LEFT_ALONE
    ]
    _quickest_first()
    from mutmut.__main__ import cli

    cli(["run", *sys.argv[1:]])


def _quickest_first() -> None:
    from mutmut.runners.harness import PytestRunner
    from mutmut.state import state

    runner: Any = PytestRunner
    plain = runner.run_tests

    def run_tests(self: Any, *, mutant_name: str | None, tests: Iterable[str]) -> int:
        seconds = state().duration_by_test
        rising = sorted(tests, key=lambda test: seconds.get(test, 0.0))
        return int(plain(self, mutant_name=mutant_name, tests=rising))

    runner.run_tests = run_tests


if __name__ == "__main__":
    main()
