"""The same survey gives the same bytes, whatever order the interpreter's hashing gives to sets."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import feasibility
from feasibility.examples import example_names

ROOT = Path(feasibility.__file__).resolve().parents[1]

PRINT_ALL = """
import sys
from feasibility.assessment import assess
from feasibility.examples import example_names, example_path
from feasibility.render.json_document import to_json
from feasibility.render.text import to_text
from feasibility.survey_io.toml_file import read_survey
for name in example_names():
    read = read_survey(example_path(name))
    assessment = assess(read.survey, sha256=read.sha256, demand_logs=read.demand_logs)
    sys.stdout.buffer.write((to_json(assessment) + to_text(assessment)).encode())
"""


def printed(hash_seed: str) -> bytes:
    done = subprocess.run(
        [sys.executable, "-c", PRINT_ALL],
        env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(ROOT)},
        check=True,
        capture_output=True,
    )
    return done.stdout


def test_two_processes_print_the_same_bytes() -> None:
    first = printed("1")
    assert first.count(b'{\n  "schema_version"') == len(example_names())
    assert first == printed("2")
