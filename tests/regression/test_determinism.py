"""The same survey gives the same bytes, whatever order the interpreter's hashing gives to sets."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import feasibility
from feasibility.assessment import assess
from feasibility.examples import example_path
from feasibility.render.json_document import to_json
from feasibility.render.text import to_text
from feasibility.survey_io.toml_file import read_survey

NAMES = ("bakery-yard", "old-mill", "cider-press")
"""One that carries, one that is undecided, one with a log and its year."""
ROOT = Path(feasibility.__file__).resolve().parents[1]


def printed() -> bytes:
    """Return JSON and text of some shipped sites, as this process finds them."""
    found = []
    for name in NAMES:
        read = read_survey(example_path(name))
        assessment = assess(read.survey, sha256=read.sha256, demand_logs=read.demand_logs)
        found.append(to_json(assessment) + to_text(assessment))
    return "".join(found).encode()


def test_two_processes_print_the_same_bytes() -> None:
    here = printed()
    assert here.count(b'{\n  "schema_version"') == len(NAMES)
    other_seed = "1" if os.environ.get("PYTHONHASHSEED") != "1" else "2"
    elsewhere = subprocess.run(
        [sys.executable, __file__],
        env={**os.environ, "PYTHONHASHSEED": other_seed, "PYTHONPATH": str(ROOT)},
        check=True,
        capture_output=True,
    ).stdout
    assert elsewhere == here


if __name__ == "__main__":
    sys.stdout.buffer.write(printed())
