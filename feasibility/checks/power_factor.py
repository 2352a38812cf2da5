"""The power factor, lagging, at which a load lowers the voltage most, where it is not known."""

from __future__ import annotations

import math

from feasibility.installation.facts import Ends, Fact


def factor_of_drop(fact: Fact[float], ends: Ends, line: complex) -> float:
    """Return the power factor that drops most voltage over an impedance (least if favourable).

    R cos + X sin (IEC 60364-5-52, Annex G) is largest where cos = R / Z, and there it is Z: more
    than at either end of a range that holds this value. Where nothing is known it counts at both
    ends: no power factor drops more.
    """
    steepest = line.real / abs(line) if line else 1.0
    if fact.is_open:
        return steepest

    def kept(factor: float) -> float:
        return -(line.real * factor + line.imag * math.sqrt(1 - factor**2))

    end, options = ends.worst(fact, kept), ends.options(fact)
    within = min(options) < steepest < max(options)
    return steepest if within and not ends.favourable else end
