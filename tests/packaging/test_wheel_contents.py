"""The wheel carries the package, the tables and the templates, and nothing else."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from wheel_contents import CHECKOUT, expected_files, wheel_problems


def zip_with(folder: Path, names: set[str]) -> Path:
    wheel = folder / "feasibility-0-py3-none-any.whl"
    with zipfile.ZipFile(wheel, "w") as archive:
        for name in sorted(names | {"feasibility-0.dist-info/METADATA"}):
            archive.writestr(name, "")
    return wheel


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    for name in (
        "feasibility/cli/__init__.py",
        "feasibility/__pycache__/cli.pyc",
        "cable_tables/sources.csv",
        "templates/css/report.css",
    ):
        file = tmp_path / "checkout" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.touch()
    return tmp_path / "checkout"


COMPLETE = {
    "feasibility/cli/__init__.py",
    "feasibility/_data/cable_tables/sources.csv",
    "feasibility/_data/templates/css/report.css",
}


def test_a_complete_wheel_has_no_problems(tmp_path: Path, checkout: Path) -> None:
    assert expected_files(checkout) == COMPLETE
    assert wheel_problems(zip_with(tmp_path, COMPLETE), checkout) == []


@pytest.mark.parametrize("lost", sorted(COMPLETE))
def test_a_lost_file_is_named(tmp_path: Path, checkout: Path, lost: str) -> None:
    problems = wheel_problems(zip_with(tmp_path, COMPLETE - {lost}), checkout)
    assert f"missing from the wheel: {lost}" in problems


def test_a_stray_top_level_folder_is_named(tmp_path: Path, checkout: Path) -> None:
    stray = "templates/css/report.css"
    assert wheel_problems(zip_with(tmp_path, COMPLETE | {stray}), checkout) == [
        f"not in the checkout: {stray}"
    ]


@pytest.mark.campaign
def test_the_wheel_built_from_this_checkout_is_complete(tmp_path: Path) -> None:
    """Needs the network: the build backend comes from a registry."""
    build = [sys.executable, "-m", "build", "--wheel", "--outdir", str(tmp_path), str(CHECKOUT)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    assert wheel_problems(wheel, CHECKOUT) == []
