"""Compare a wheel with the checkout it was built from: ``wheel_contents.py WHEEL``.

A data file that an ignore rule keeps out of the wheel raises no error when it is built.
"""

from __future__ import annotations

import sys
import zipfile
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parent.parent
PLACE_IN_WHEEL = {
    "feasibility": "feasibility",
    "cable_tables": "feasibility/_data/cable_tables",
    "templates": "feasibility/_data/templates",
}


def expected_files(checkout: Path) -> set[str]:
    """Return the names under which the checkout's files have to stand in the wheel."""
    return {
        f"{place}/{file.relative_to(checkout / folder).as_posix()}"
        for folder, place in PLACE_IN_WHEEL.items()
        for file in (checkout / folder).rglob("*")
        if file.is_file() and file.parent.name != "__pycache__"
    }


def wheel_problems(wheel: Path, checkout: Path) -> list[str]:
    """Return one line for each file that is missing from the wheel or should not be in it."""
    with zipfile.ZipFile(wheel) as archive:
        present = {name for name in archive.namelist() if not name.endswith("/")}
    present = {name for name in present if not name.split("/")[0].endswith(".dist-info")}
    expected = expected_files(checkout)
    problems = [f"missing from the wheel: {name}" for name in sorted(expected - present)]
    problems += [f"not in the checkout: {name}" for name in sorted(present - expected)]
    for folder, place in PLACE_IN_WHEEL.items():
        if not any(name.startswith(f"{place}/") for name in present):
            problems.append(f"nothing of {folder}/ in the wheel")
    return problems


if __name__ == "__main__":
    found = wheel_problems(Path(sys.argv[1]), CHECKOUT)
    print("\n".join(found) or f"{Path(sys.argv[1]).name}: complete")
    sys.exit(bool(found))
