"""Complete invented sites that are shipped with the package, as survey files."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

_FOLDER = Path(__file__).parent


def example_names() -> tuple[str, ...]:
    """Return the names of the shipped sites; the first is the one the demo runs by default."""
    names = sorted(path.stem for path in _FOLDER.glob("*.toml"))
    return tuple(sorted(names, key=lambda name: name != "bakery-yard"))


def example_text(name: str) -> str:
    """Return the survey file of a shipped site; KeyError names the sites there are."""
    if name not in example_names():
        raise KeyError(name, example_names())
    return (_FOLDER / f"{name}.toml").read_text(encoding="utf-8")


def example_companions(name: str) -> Mapping[str, bytes]:
    """Return the files that a shipped site's survey names, by file name.

    They stand beside the survey and their names begin with the site's. KeyError as above.
    """
    if name not in example_names():
        raise KeyError(name, example_names())
    files = sorted(_FOLDER.glob(f"{name}-*.csv"))
    return {path.name: path.read_bytes() for path in files}


def example_path(name: str) -> Path:
    """Return where the survey file of a shipped site lies; KeyError as above."""
    if name not in example_names():
        raise KeyError(name, example_names())
    return _FOLDER / f"{name}.toml"
