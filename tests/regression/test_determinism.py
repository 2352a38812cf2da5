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
import hashlib, sys, tomllib
from feasibility.assessment import assess
from feasibility.examples import example_names, example_text
from feasibility.render.json_document import to_json
from feasibility.render.text import to_text
from feasibility.survey.model import Survey
for name in example_names():
    text = example_text(name)
    digest = hashlib.sha256(text.encode()).hexdigest()
    assessment = assess(Survey.model_validate(tomllib.loads(text)), sha256=digest)
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
