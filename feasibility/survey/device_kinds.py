"""The kinds of overcurrent protective device that a survey can name."""

from __future__ import annotations

from typing import Literal

MINIATURE_BREAKER = "IEC 60898-1 circuit-breaker"
ADJUSTABLE_BREAKER = "IEC 60947-2 circuit-breaker"
SELECTIVE_BREAKER = "selective main circuit-breaker"
FUSE = "gG fuse"
OTHER_DEVICE = "other"

DeviceKind = Literal[
    "IEC 60898-1 circuit-breaker",
    "IEC 60947-2 circuit-breaker",
    "selective main circuit-breaker",
    "gG fuse",
    "other",
]
"""``other``: to an older or another standard, or of no known one; never judged by a nearby curve.

The circuit-breaker part of a combined unit with residual-current protection (IEC 61009-1) trips
like an IEC 60898-1 circuit-breaker and is named so.
"""

InputDeviceKind = Literal["IEC 60898-1 circuit-breaker", "IEC 60947-2 circuit-breaker", "gG fuse"]
"""What the overcurrent device at a station's own input can be."""

Characteristic = Literal["B", "C", "D", "E", "K", "Z"]

CHARACTERISTICS_OF = {
    MINIATURE_BREAKER: ("B", "C", "D"),
    ADJUSTABLE_BREAKER: ("B", "C", "D", "K", "Z"),
    SELECTIVE_BREAKER: ("E",),
}
"""Letters of each kind; a kind that is not listed has none.

IEC 60947-2 defines no letter: on such a device it is the maker's short-circuit release.
"""
