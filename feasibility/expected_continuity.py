"""What a test of continuity should show of the protective conductor that leads to each node."""

from __future__ import annotations

from feasibility.checks import impedance
from feasibility.checks.fault_conductors import FaultKind, conductors
from feasibility.checks.fault_impedance import pieces_between
from feasibility.checks.question import Run
from feasibility.installation.facts import NotKnown
from feasibility.result import Span
from feasibility.tables import NotTabulated
from feasibility.units import OutOfRange


def expected_continuity(run: Run, node: int) -> tuple[Span | None, Span | None, str]:
    """Return the resistance of the protective conductor from the node before, in ohm at 20 °C.

    Then that of the same with a line conductor in series, and in words what is lacking where both
    are None; all is empty at the origin. ``run`` has to take the unfavourable ends. Resistances as
    for fault currents (IEC 60228, Tables 1 to 3, or what the survey states).
    """
    if node == 0:
        return None, None, ""
    links = pieces_between(run.installation, node - 1, node)
    alone, in_series = [], []
    try:
        for ends, long in ((run.ends.opposite(), False), (run.ends, True)):
            parts = [impedance.protective_impedance(link, ends) for link in links]
            alone.append(sum(part.resistance_20c_ohm for part in parts))
            both = conductors(run, links, FaultKind.LINE_EARTH, hot=False, long=long)
            in_series.append(both.resistance_ohm)
    except NotKnown as missing:
        return None, None, f"continuity: not known: {missing}"
    except (NotTabulated, OutOfRange) as refused:
        return None, None, f"continuity: {refused}"
    least, most = alone
    return Span(low=least, high=most), Span(low=in_series[0], high=in_series[1]), ""
