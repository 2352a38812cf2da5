"""Help and version answer at once: nothing but click and the standard library is loaded."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

LOADED = """
import json, sys
before = set(sys.modules)
from feasibility.cli import main
try:
    main({arguments!r}, prog_name="feasibility")
except SystemExit as end:
    assert end.code == 0, end.code
loaded = {{name.partition(".")[0] for name in set(sys.modules) - before}}
print(json.dumps(sorted(loaded - sys.stdlib_module_names)), file=sys.stderr)
"""


@pytest.mark.parametrize(
    "arguments",
    [
        ["--help"],
        ["--version"],
        ["check", "--help"],
        ["report", "--help"],
        ["demo", "--help"],
        ["serve", "--help"],
    ],
    ids=" ".join,
)
def test_nothing_heavy_is_imported(arguments: list[str]) -> None:
    code = LOADED.format(arguments=arguments)
    run = subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, encoding="utf-8"
    )
    assert run.stdout
    assert set(json.loads(run.stderr)) == {"click", "feasibility"}
