"""Run the command line as ``python -m feasibility``."""

from __future__ import annotations

from feasibility.cli import main

main(prog_name="feasibility")
