"""Re-derive a step of a working by an evaluator that shares no code with the program."""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Iterator, Mapping

from feasibility.result import Quantity, Step

RELATIVE = 1e-9
FOR_COMPARISON = "for comparison"
"""How an input says that it stands beside the formula, not in it."""

OPERATORS: Mapping[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}
FUNCTIONS: Mapping[str, Callable[..., float]] = {"sqrt": math.sqrt, "min": min, "max": max}


class NotArithmetic(ValueError):
    """A formula holds something that a pocket calculator has no key for."""


def evaluate(formula: str, values: Mapping[str, float]) -> float:
    return _evaluate(ast.parse(formula, mode="eval").body, values)


def _evaluate(node: ast.expr, values: Mapping[str, float]) -> float:
    match node:
        case ast.Constant(value=bool()):
            pass
        case ast.Constant(value=int() | float() as number):
            return number
        case ast.Name(id=name) if name in values:
            return values[name]
        case ast.BinOp(left=left, op=kind, right=right) if type(kind) in OPERATORS:
            return OPERATORS[type(kind)](_evaluate(left, values), _evaluate(right, values))
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]) if name in FUNCTIONS:
            return FUNCTIONS[name](*(_evaluate(one, values) for one in arguments))
        case _:
            pass
    raise NotArithmetic(ast.unparse(node))


def names_in(formula: str) -> set[str]:
    found = {node.id for node in ast.walk(ast.parse(formula)) if isinstance(node, ast.Name)}
    return found - set(FUNCTIONS)


def faults_of(step: Step) -> Iterator[str]:
    """Say everything that keeps a reader from re-deriving a step."""
    beside = beside_the_formula(step)
    inputs = [one for one in step.inputs if one not in beside]
    values = {one.symbol: one.value for one in inputs}
    if len(values) != len(inputs):
        yield "two inputs share a symbol"
    if names_in(step.formula) != set(values):
        yield f"the formula has {sorted(names_in(step.formula))}, the inputs {sorted(values)}"
        return
    try:
        found = evaluate(step.formula, values)
    except (NotArithmetic, ArithmeticError, ValueError) as error:
        yield f"cannot be evaluated: {error}"
        return
    if not (math.isfinite(step.result) and math.isclose(found, step.result, rel_tol=RELATIVE)):
        yield f"the formula gives {found!r}, the step says {step.result!r}"


def beside_the_formula(step: Step) -> list[Quantity]:
    return [one for one in step.inputs if one.meaning.startswith(FOR_COMPARISON)]
