"""Find the data folders, whether the package runs from a checkout or from an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


class DamagedData(Exception):
    """A data file of the program that does not keep its own rules; the message says where."""


def data_dir(name: str) -> Path:
    """Return the folder ``name`` (``"cable_tables"`` or ``"templates"``).

    An installed wheel carries it as ``feasibility/_data/<name>``, a checkout beside the package.
    Raises FileNotFoundError naming both places when neither exists.
    """
    places = (_PACKAGE / "_data" / name, _PACKAGE.parent / name)
    for place in places:
        if place.is_dir():
            return place
    message = f"data folder {name!r} is in neither {places[0]} nor {places[1]}"
    raise FileNotFoundError(message)
