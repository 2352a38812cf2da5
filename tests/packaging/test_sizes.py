"""House limits: modules under 400 lines, functions under 50."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[2]
MODULE_LINES = 400
FUNCTION_LINES = 50


def long_pieces(name: str, source: str) -> Iterator[str]:
    lines = len(source.splitlines())
    if lines >= MODULE_LINES:
        yield f"{name}: {lines} lines"
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno is not None
            length = node.end_lineno - node.lineno + 1
            if length >= FUNCTION_LINES:
                yield f"{name}:{node.lineno} {node.name}: {length} lines"


def test_no_module_and_no_function_is_too_long() -> None:
    modules = [
        file
        for folder in ("feasibility", "tests", ".ci")
        for file in (CHECKOUT / folder).rglob("*.py")
    ]
    assert len(modules) > 10
    found = [
        piece
        for file in sorted(modules)
        for piece in long_pieces(str(file.relative_to(CHECKOUT)), file.read_text(encoding="utf-8"))
    ]
    assert not found, "\n".join(found)


def test_the_limits_are_noticed() -> None:
    body = "    x = 1\n" * (FUNCTION_LINES - 1)
    assert list(long_pieces("m", f"def f():\n{body}")) == ["m:1 f: 50 lines"]
    assert list(long_pieces("m", f"def f():\n{body[:-10]}")) == []
    assert list(long_pieces("m", "x = 1\n" * MODULE_LINES)) == ["m: 400 lines"]
    assert list(long_pieces("m", "x = 1\n" * (MODULE_LINES - 1))) == []
