"""Does the device before a cable protect it against overload by itself? IEC 60364-4-43, 433.1."""

from __future__ import annotations

from feasibility.checks.carrying_capacity import ampacity
from feasibility.checks.device_band import conventional_multiple
from feasibility.checks.loading import device_rating_a
from feasibility.checks.question import Run
from feasibility.clauses.overload import conventional_current_a
from feasibility.installation.model import Link


def protects_against_overload(run: Run, link: Link) -> bool:
    """Whether In <= Iz and I2 <= 1.45 Iz hold with the device at the start of the circuit.

    NotKnown and NotTabulated as for the ampacity and the device's rating.
    """
    device = run.installation.circuit_of(link).device
    rating_a = device_rating_a(run, device, high_is_bad=True)
    iz_a = ampacity(run.installation, link, run.ends).value_a
    multiple = conventional_multiple(run, device, rating_a).value
    tripping_a = float(conventional_current_a(rating_a=rating_a, multiple=multiple))
    allowance = run.basis.number("overload_conventional")
    return rating_a <= iz_a and tripping_a <= allowance * iz_a
