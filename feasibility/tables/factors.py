"""Factors on the ampacity: temperature, soil and third harmonic (IEC 60364-5-52, Annexes B, E)."""

from __future__ import annotations

from typing import Literal

from feasibility.result import Quantity
from feasibility.tables.loader import table
from feasibility.tables.lookup import band, quantity, select, unfavourable


def ambient_air_factor(*, insulation: str, temperature_c: float) -> Quantity:
    """Return the factor for the ambient air temperature (reference 30 C).

    Source: IEC 60364-5-52:2009, Table B.52.14. Between entries the next hotter one counts, below
    10 C the 10 C entry; above the hottest entry NotTabulated is raised.
    """
    source = table("b52_14_air_temperature")
    rows = select(source.rows, {"insulation": insulation})
    row, note = unfavourable(rows, "temperature_c", temperature_c, reach_below=True)
    meaning = f"factor for air at {temperature_c:g} °C, {insulation}"
    return quantity(source, row, "factor", symbol="ca", meaning=meaning, note=note)


def ground_temperature_factor(*, insulation: str, temperature_c: float) -> Quantity:
    """Return the factor for the ground temperature (reference 20 C), methods D1 and D2 only.

    Source: IEC 60364-5-52:2009, Table B.52.15. Between entries the next hotter one counts;
    outside 10 C to the hottest entry NotTabulated is raised.
    """
    source = table("b52_15_ground_temperature")
    rows = select(source.rows, {"insulation": insulation})
    row, note = unfavourable(rows, "temperature_c", temperature_c)
    meaning = f"factor for ground at {temperature_c:g} °C, {insulation}"
    return quantity(source, row, "factor", symbol="ca", meaning=meaning, note=note)


def soil_factor(*, method: str, resistivity_k_m_per_w: float) -> Quantity:
    """Return the factor for the thermal resistivity of the soil (reference 2.5 K m/W).

    Source: IEC 60364-5-52:2009, Table B.52.16, methods D1 and D2. Between entries the next more
    resistive one counts; outside 0.5 to 3.0 K m/W NotTabulated is raised.
    """
    source = table("b52_16_soil_resistivity")
    rows = select(source.rows, {"method": method})
    row, note = unfavourable(rows, "resistivity_k_m_per_w", resistivity_k_m_per_w)
    meaning = f"factor for soil of {resistivity_k_m_per_w:g} K m/W, method {method}"
    return quantity(source, row, "factor", symbol="cs", meaning=meaning, note=note)


def third_harmonic_steps() -> tuple[float, ...]:
    """Return the shares in % at which the rule of Table E.52.1 changes, rising."""
    bounds = (row.optional_number("up_to_percent") for row in table("e52_1_third_harmonic").rows)
    return tuple(bound for bound in bounds if bound is not None)


def third_harmonic_factor(
    *, third_harmonic_percent: float
) -> tuple[Quantity, Literal["line", "neutral"]]:
    """Return the third-harmonic factor and the current that decides (line or neutral).

    Source: IEC 60364-5-52:2009, Table E.52.1, for four- and five-core cables whose neutral has the
    section of the lines. ``line``: line current / factor. ``neutral``: neutral current / factor.
    Raises NotTabulated for a negative or non-finite share.
    """
    source = table("e52_1_third_harmonic")
    if third_harmonic_percent == 0:
        row = source.rows[0]
    else:
        row = band(
            source.rows,
            "over_percent",
            "up_to_percent",
            third_harmonic_percent,
            "third_harmonic_percent",
        )
    basis: Literal["line", "neutral"] = "neutral" if row.text("decided_by") == "neutral" else "line"
    meaning = f"factor for {third_harmonic_percent:g} % third harmonic, by the {basis} current"
    return quantity(source, row, "factor", symbol="ch", meaning=meaning), basis
