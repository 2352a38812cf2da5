"""Whatever else than the network can feed the installation."""

from __future__ import annotations

from typing import Literal

from feasibility.survey.measured_log import OutputLog
from feasibility.survey.quantities import CurrentA, Flag, Name, Phases, PowerKw
from feasibility.survey.stated import Record, Stated


class Source(Record):
    """A second source on a board, at the origin or on a circuit.

    ``rated_current_a`` is its largest output current per phase, ``rated_power_kw`` the rated output
    of all its phases together; one with another power on each phase is stated as a source for each.
    ``changeover`` states that a changeover device keeps it from ever feeding beside the network.
    ``islanding`` says whether it can feed the site when the network is off. ``feeds_station`` says
    whether the station can draw from it then, in place of the network.

    Its output over the year, in one of two ways: ``output_profile = "clear sky"`` (photovoltaic,
    with the site's latitude), or a file with what it delivered, ``output``.
    """

    name: Name
    kind: Stated[Literal["photovoltaic", "battery", "generator", "other"]] | None = None
    rated_current_a: CurrentA | None = None
    rated_power_kw: PowerKw | None = None
    phases: Stated[Phases] | None = None
    changeover: Flag | None = None
    islanding: Flag | None = None
    feeds_station: Flag | None = None
    output_profile: Stated[Literal["clear sky"]] | None = None
    output: OutputLog | None = None
