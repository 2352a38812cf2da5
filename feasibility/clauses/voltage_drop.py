"""Voltage drop along a line, and the current that a permitted drop allows."""

from __future__ import annotations

import numpy as np

from feasibility.units import Number, require_not_negative, require_positive


def phase_drop_v(
    *,
    current_a: Number,
    power_factor: Number | float,
    resistance_ohm: Number | float,
    reactance_ohm: Number | float,
) -> Number:
    """Return the line-to-neutral voltage drop in V of one conductor under a lagging current.

    IEC 60364-5-52:2009, Annex G: dU = I (R cos + X sin). R and X are those of the conductors the
    current passes: of the line conductor for a balanced three-phase load, of line and neutral
    together for a single-phase load. Left out: the part of the drop at right angles to the voltage.
    Raises OutOfRange.
    """
    require_not_negative("current_a", current_a)
    return current_a * _drop_per_ampere(power_factor, resistance_ohm, reactance_ohm)


def current_for_drop_a(
    *,
    drop_v: Number,
    power_factor: Number | float,
    resistance_ohm: Number | float,
    reactance_ohm: Number | float,
) -> Number:
    """Return the current in A at which the drop of ``phase_drop_v`` reaches a given value.

    IEC 60364-5-52:2009, Annex G, solved for the current: I = dU / (R cos + X sin). The impedance
    must not be zero. Raises OutOfRange.
    """
    require_not_negative("drop_v", drop_v)
    per_ampere = _drop_per_ampere(power_factor, resistance_ohm, reactance_ohm)
    require_positive("drop per ampere_ohm", per_ampere)
    return drop_v / per_ampere


def drop_percent(*, drop_v: Number, nominal_v: Number | float) -> Number:
    """Return a voltage drop as a percentage of the nominal voltage.

    u = 100 dU / Un, both line to neutral or both line to line; mixing them is the classic slip.
    Raises OutOfRange.
    """
    require_not_negative("drop_v", drop_v)
    require_positive("nominal_v", nominal_v)
    return 100 * drop_v / nominal_v


def annex_g_drop_v(
    *,
    conductor_count_factor: Number | float,
    resistivity_ohm_mm2_per_m: Number | float,
    reactance_ohm_per_m: Number | float,
    length_m: Number | float,
    section_mm2: Number | float,
    power_factor: Number | float,
    current_a: Number,
) -> Number:
    """Return the line-to-neutral voltage drop in V from section and length alone.

    IEC 60364-5-52:2009, Annex G: u = b (rho1 L / S cos + lambda L sin) Ib, with b = 1 for three
    phases and 2 for one (``conductor_count_factor``). A rounded hot resistivity stands for the real
    conductor: serves to check ``phase_drop_v``. Raises OutOfRange.
    """
    require_positive("conductor_count_factor", conductor_count_factor, upper=2.0)
    require_positive("resistivity_ohm_mm2_per_m", resistivity_ohm_mm2_per_m)
    require_not_negative("reactance_ohm_per_m", reactance_ohm_per_m)
    require_not_negative("length_m", length_m)
    require_positive("section_mm2", section_mm2)
    resistance_ohm = conductor_count_factor * resistivity_ohm_mm2_per_m * length_m / section_mm2
    reactance_ohm = conductor_count_factor * reactance_ohm_per_m * length_m
    return phase_drop_v(
        current_a=current_a,
        power_factor=power_factor,
        resistance_ohm=resistance_ohm,
        reactance_ohm=reactance_ohm,
    )


def drop_allowance_percent(*, length_m: Number) -> Number:
    """Return what Annex G adds to the permitted drop for a long main wiring system, in percent.

    IEC 60364-5-52:2009, Table G.52.1, note: a = 0.005 (L - 100) beyond 100 m, at most 0.5 %.
    Whether it applies is for the code basis to say. Raises OutOfRange.
    """
    require_not_negative("length_m", length_m)
    allowance: Number = 0.005 * np.clip(length_m - 100, 0, 100)
    return allowance


def _drop_per_ampere(
    power_factor: Number | float, resistance_ohm: Number | float, reactance_ohm: Number | float
) -> Number | float:
    require_positive("power_factor", power_factor, upper=1.0)
    require_not_negative("resistance_ohm", resistance_ohm)
    require_not_negative("reactance_ohm", reactance_ohm)
    drop: Number | float = resistance_ohm * power_factor + reactance_ohm * np.sqrt(
        1 - power_factor**2
    )
    return drop
