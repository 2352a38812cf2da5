"""Run the mutation tester over clauses and checks, with the changes that an answer may rest on.

    python -m tests.mutation.run [pattern of mutant names ...]

Comparisons, arithmetic, numbers, signs, and/or, not, true/false and conditional expressions are
changed. Texts and arguments are left alone: a wording is no judgement, and a call that lacks an
argument fails at once.
"""

from __future__ import annotations

import sys
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
    from mutmut.__main__ import cli

    cli(["run", *sys.argv[1:]])


if __name__ == "__main__":
    main()
