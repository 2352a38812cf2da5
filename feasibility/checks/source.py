"""An impedance before the origin, as the fault currents take it."""

from __future__ import annotations

from dataclasses import dataclass

from feasibility.checks.working import step
from feasibility.result import Quantity, Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """An impedance before the origin: its value, and the steps that lead to it."""

    ohm: float
    steps: tuple[Step, ...]
    as_input: Quantity

    @classmethod
    def of_step(
        cls,
        symbol: str,
        meaning: str,
        formula: str,
        inputs: list[Quantity],
        ohm: float,
        before: tuple[Step, ...] = (),
    ) -> Source:
        """Return an impedance with the last step that gives it, and those ``before``."""
        return cls(
            ohm=ohm,
            steps=(*before, step(symbol, meaning, formula, inputs, ohm, "Ω")),
            as_input=Quantity(value=ohm, unit="Ω", symbol=symbol, meaning=meaning),
        )
