"""What every comparison starts from: installation, assessment and record together."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from feasibility.assessment import Assessment
from feasibility.checks.fault_conductors import COLD_C
from feasibility.checks.question import Run
from feasibility.commissioning.record import CommissioningRecord, Meter, NodeReadings
from feasibility.expected_readings import steady_celsius
from feasibility.installation.model import LinkKind
from feasibility.network.records import PhaseValues

_CARRIES = (
    LinkKind.DEVICE,
    LinkKind.RESIDUAL_CURRENT_DEVICE,
    LinkKind.CABLE,
    LinkKind.PART,
    LinkKind.OUTLET,
    LinkKind.PLUG,
    LinkKind.CORD,
    LinkKind.INLET,
)


@dataclass(frozen=True)
class Prediction:
    """The run at the unfavourable ends, with what was read beside it."""

    run: Run
    assessment: Assessment
    record: CommissioningRecord

    @cached_property
    def nodes(self) -> tuple[str, ...]:
        """Names of the nodes in feed order."""
        return tuple(one.node for one in self.assessment.expected_readings.nodes)

    @cached_property
    def read(self) -> Mapping[int, NodeReadings]:
        """The readings by the number of their node, in feed order."""
        by_number = {self.nodes.index(one.name): one for one in self.record.node}
        return dict(sorted(by_number.items()))

    @property
    def station_a(self) -> PhaseValues:
        """The station's current in each phase while voltages and temperatures were read."""
        load = self.record.load
        each = [0.0, 0.0, 0.0] if load is None else [load.l1_a, load.l2_a, load.l3_a]
        return (each[0] or 0.0, each[1] or 0.0, each[2] or 0.0)

    @property
    def in_operation_a(self) -> float:
        """The current per phase that the station draws for hours: assessed, else as measured."""
        assessed = self.assessment.expected_readings.test_current_a
        return max(self.station_a) if assessed is None else assessed

    @property
    def coldest_c(self) -> float:
        """The coldest that a conductor may have been: the air, but no more than 20 °C."""
        return min(COLD_C, self._air_c)

    @property
    def unloaded_c(self) -> float:
        """The warmest that a conductor without load may have been: the air, or 20 °C."""
        return max(COLD_C, self._air_c)

    @property
    def _air_c(self) -> float:
        load = self.record.load
        return COLD_C if load is None or load.ambient_c is None else load.ambient_c

    @cached_property
    def warmest_c(self) -> Mapping[str, float]:
        """The steady temperature of each cable and the cord at the measured current."""
        return steady_celsius(self.run, max(self.station_a))

    def links_between(self, start: int, end: int) -> tuple[str, ...]:
        """Return the links in which a joint lies between two nodes, those at the end included."""
        installation = self.run.installation
        last = len(installation.circuits)
        return tuple(
            link.name
            for link in installation.links_of(*_CARRIES)
            if start <= link.position < end
            or (link.position == last and _at_end(link.kind, end, last))
        )

    def reading_tolerance(self, meter: Meter, resolution: float, value: float) -> float:
        """Return the permitted error of one reading in its own unit."""
        return meter.percent / 100 * abs(value) + meter.digits * resolution


def _at_end(kind: LinkKind, end: int, last: int) -> bool:
    """Whether a link at the outlet's place lies before this node: its terminals, or all of it."""
    return end > last or (end == last and kind is LinkKind.OUTLET)


def together(*bounds: float) -> float:
    """Return the tolerance of a result from the bounds of independent readings.

    The root of the sum of the squares (JCGM 100:2008, 5.1.2, from memory).
    """
    return math.sqrt(sum(bound**2 for bound in bounds))
