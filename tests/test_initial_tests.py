"""Which tests come before energising, and in which order.

Order: the list of contents of a tester maker's guide to IEC 60364-6 (continuity, insulation
resistance, SELV and PELV, floors and walls, automatic disconnection, polarity and phase sequence,
function, voltage drop) and IEC 60364-6:2016, 6.4.3 (polarity before disconnection, from memory).
"""

from __future__ import annotations

import pytest

from feasibility.initial_tests import InitialTest

from .checks.sites import GONE, Changes, quick

CONTENTS = (
    "Inspection",
    "Continuity of protective and bonding conductors",
    "Insulation resistance",
    "Separation of extra-low voltage circuits",
    "Polarity",
    "Automatic disconnection",
    "Residual-current device",
    "Phase sequence",
    "Function",
    "Voltage drop",
)


def asked_of(name: str, *changes: Changes) -> tuple[InitialTest, ...]:
    return quick(name, *changes).expected_readings.tests


def names(tests: tuple[InitialTest, ...]) -> list[str]:
    return [one.test for one in tests]


@pytest.mark.parametrize("name", ["bakery-yard", "camp-site-kiosk", "joinery-hall", "river-depot"])
def test_the_order_is_that_of_the_standard(name: str) -> None:
    found = names(asked_of(name))
    assert found == [one for one in CONTENTS if one in found]
    clauses = [one.citation.clause for one in asked_of(name)]
    places = [[int(part) for part in one.split()[0].split(".")] for one in clauses]
    assert places == sorted(places)


def test_the_insulation_is_tested_with_500_v_for_1_megohm() -> None:
    """IEC 60364-6:2016, Table 6.1: up to 500 V, 500 V and 1.0 megohm (from memory)."""
    (found,) = [one for one in asked_of("bakery-yard") if one.test == "Insulation resistance"]
    assert [(one.value, one.unit) for one in found.limits] == [(500, "V"), (1, "Mohm")]
    (above,) = [
        one
        for one in asked_of("bakery-yard", {"supply.nominal_voltage_v": 690})
        if one.test == "Insulation resistance"
    ]
    assert [one.value for one in above.limits] == [1000, 1]


def test_a_residual_current_device_has_its_permitted_times() -> None:
    """IEC 61008-1, Table 1: 0.3 s at once, 0.04 s at five times; type S 0.5 s and 0.15 s."""
    (general,) = [one for one in asked_of("bakery-yard") if one.test == "Residual-current device"]
    assert general.links == ("Yard outlet: residual-current device",)
    assert [one.value for one in general.limits] == [0.3, 0.04]
    delayed = {"circuit[1].residual_current_device.delay": "S"}
    (late,) = [
        one for one in asked_of("bakery-yard", delayed) if one.test == "Residual-current device"
    ]
    assert [one.value for one in late.limits] == [0.5, 0.15]
    unknown = {"circuit[1].residual_current_device.delay": GONE}
    (open_,) = [
        one for one in asked_of("bakery-yard", unknown) if one.test == "Residual-current device"
    ]
    assert open_.limits == ()


def test_only_what_is_there_is_tested() -> None:
    assert "Phase sequence" not in names(asked_of("camp-site-kiosk"))
    none: Changes = {"circuit[1].residual_current_device": {"present": False}}
    assert "Residual-current device" not in names(asked_of("bakery-yard", none))
    assert "Separation of extra-low voltage circuits" not in names(asked_of("bakery-yard"))
    pilot: Changes = {"outlet.pilot_contact": "connected"}
    (found,) = [one for one in asked_of("joinery-hall", pilot) if "extra-low" in one.test]
    assert [one.value for one in found.limits] == [250, 0.5]
