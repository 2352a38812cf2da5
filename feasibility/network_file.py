"""The assessed network as pandapower's own file, with what it holds and on which assumptions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from feasibility.assessment import Assessment, Assumption
from feasibility.checks.load_flow import LOAD_FLOW, NetworkState
from feasibility.network.pandapower_file import is_network_file, network_json
from feasibility.result import Message

__all__ = ["NoNetwork", "is_network_file", "network_file"]


class NoNetwork(Exception):
    """The survey gives no network: ``reason`` is what its finding on the load flow says."""

    def __init__(self, reason: Message) -> None:
        self.reason = reason
        super().__init__(reason)


def network_file(assessment: Assessment) -> bytes:
    """Return the network at the requested current; NoNetwork where there is none.

    ``pandapower.from_json`` reads it, ``runpp_3ph`` gives the voltages of the assessment.
    """
    state = assessment.network
    if state is None:
        reasons = [one.reason for one in assessment.findings if one.check == LOAD_FLOW.name]
        raise NoNetwork(reasons[0])
    text = network_json(
        state.model,
        node_names=[one.name for one in state.nodes],
        branch_names=[one.name for one in state.branches],
        carries_a=[one.carries_a for one in state.branches],
        constant_currents=state.constant_currents,
        about=_about(assessment, state),
    )
    return text.encode()


def _about(assessment: Assessment, state: NetworkState) -> dict[str, Any]:
    return {
        "program_version": assessment.program_version,
        "survey": assessment.survey.site.reference,
        "survey_sha256": assessment.survey_sha256,
        "code_basis": assessment.code_basis,
        "verdict": assessment.verdict.value,
        "station_current_a": state.station_current_a,
        "words": list(_words(state)),
        "conductors": [
            {"name": name, "temperature_c": celsius}
            for name, celsius in state.conductor_temperatures_c.items()
        ],
        "ranges": [_range(one) for one in assessment.assumptions],
    }


def _range(one: Assumption) -> dict[str, Any]:
    return {
        "fact": one.fact,
        "label": one.label,
        "options": list(one.options),
        "unit": one.unit,
        "reason": one.reason,
    }


def _words(state: NetworkState) -> Iterator[str]:
    """Say which state the network holds, and what it is not good for."""
    yield (
        "The station draws station_current_a in each of its phases, the requested current, at the "
        "lowest voltage of the supply and with the largest demand of the site."
    )
    yield (
        "Every range stands at the end that is unfavourable to the voltage; 'ranges' lists those "
        "of the whole assessment."
    )
    if not all(volts is not None for volts in state.nodes[-1].phase_voltages_v):
        yield "Loads on the other phases count only where they lower the station's voltage."
    yield (
        "Each line is a whole circuit, the cord, or an own transformer seen from its low-voltage "
        "side: set down as 1 km, its impedances per kilometre being those of the whole, and "
        "max_i_ka what it carries. The resistances hold at the temperatures of 'conductors'."
    )
    yield (
        "Each load is the power that it draws in this state; where 'kind' says current, its "
        "current stays when the voltage changes, and its power does not."
    )
    if state.model.balanced:
        yield "runpp and runpp_3ph give the voltages of the assessment."
    else:
        yield (
            "runpp_3ph gives the voltages of the assessment; runpp, which spreads every load "
            "evenly over the phases, does not."
        )
    yield (
        "The source is ideal: its short-circuit power here is no value of the supply, and no "
        "fault current may be taken from this network."
    )
    yield (
        "Voltages and currents alone say nothing of protection: verdict, limits and what was not "
        "checked stand in the report."
    )
