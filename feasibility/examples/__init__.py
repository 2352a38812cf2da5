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
    """Return what goes with a shipped site's survey, by file name beside it.

    The logs that it names, whose names begin with the site's, and a commissioning record of the
    site where there is one. KeyError as above.
    """
    if name not in example_names():
        raise KeyError(name, example_names())
    files = sorted(_FOLDER.glob(f"{name}-*.csv"))
    found = {path.name: path.read_bytes() for path in files}
    record = _FOLDER / "records" / f"{name}.toml"
    if record.exists():
        found[f"{name}-record.toml"] = record.read_bytes()
    return found


def example_path(name: str) -> Path:
    """Return where the survey file of a shipped site lies; KeyError as above."""
    if name not in example_names():
        raise KeyError(name, example_names())
    return _FOLDER / f"{name}.toml"
