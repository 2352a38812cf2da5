"""Statements about an own transformer that cannot all be true are found and explained."""

from __future__ import annotations

import re
from typing import Any

import pytest
from pydantic import ValidationError

from feasibility.survey.consistency import inconsistencies
from feasibility.survey.transformer import Transformer

from ..checks.sites import GONE, changed, site_data

SITE = "quarry-workshop"
OWN = "supply.transformer."


def found(changes: dict[str, Any]) -> list[tuple[str, object, str]]:
    data = changed(site_data(SITE), changes)
    return [
        (".".join(str(part) for part in one.path), one.value, one.expected)
        for one in inconsistencies(data)
    ]


def test_the_shipped_transformer_contradicts_nothing() -> None:
    assert found({}) == []


@pytest.mark.parametrize(
    ("changes", "path", "value", "expected"),
    [
        ({"supply.kind": "public network"}, "supply.kind", "public network", "own transformer"),
        (
            {"supply.kind": "public network", "supply.transformer": {}},
            "supply.kind",
            "public network",
            "own transformer",
        ),
        # 4 % of 160 kVA are 6.4 kW.
        ({OWN + "load_loss_kw": 6.4}, OWN + "load_loss_kw", 6.4, "below 6.4 kW"),
        ({OWN + "no_load_voltage_v": 410}, OWN + "tap_percent", -2.5, "no_load_voltage_v"),
        (
            {OWN + "rated_secondary_voltage_v": 461},
            OWN + "rated_secondary_voltage_v",
            461,
            "340 to 460 V",
        ),
        (
            {OWN + "smallest_upstream_fault_mva": 351},
            OWN + "smallest_upstream_fault_mva",
            351,
            "at most largest_upstream_fault_mva, which is 350",
        ),
        ({OWN + "vector_group": "Dyn6"}, OWN + "vector_group", "Dyn6", "odd hour"),
        ({OWN + "vector_group": "Yyn5"}, OWN + "vector_group", "Yyn5", "even hour"),
        ({OWN + "vector_group": "Yzn0"}, OWN + "vector_group", "Yzn0", "odd hour"),
        ({OWN + "vector_group": "Dzn11"}, OWN + "vector_group", "Dzn11", "even hour"),
    ],
)
def test_a_contradiction_is_named_with_field_value_and_expectation(
    changes: dict[str, Any], path: str, value: object, expected: str
) -> None:
    ((where, stated, words),) = found(changes)
    assert (where, stated) == (path, value)
    assert expected in words


@pytest.mark.parametrize(
    "changes",
    [
        {OWN + "load_loss_kw": 6.39},
        {OWN + "load_loss_kw": "unknown"},
        {OWN + "no_load_voltage_v": 410, OWN + "tap_percent": GONE},
        {OWN + "rated_secondary_voltage_v": 460},
        {OWN + "smallest_upstream_fault_mva": 350},
        {OWN + "vector_group": "unknown"},
        {"supply.kind": "unknown"},
        # Usual vector groups of IEC 60076-1, Annex D (from memory).
        *({OWN + "vector_group": group} for group in ("Dyn11", "Yzn5", "Yzn11", "Yyn0", "Dzn0")),
    ],
    ids=str,
)
def test_what_can_be_true_is_accepted(changes: dict[str, Any]) -> None:
    assert found(changes) == []


@pytest.mark.parametrize("group", ["Dyn12", "dyn5", "Dyn", "5", "Dyn5 ", "DDn5", "Zyn5", "Dyn05"])
def test_what_is_no_vector_group_is_refused(group: str) -> None:
    if group != group.strip():
        assert Transformer.model_validate({"vector_group": group}).vector_group is not None
        return
    with pytest.raises(ValidationError, match=re.escape("vector_group")):
        Transformer.model_validate({"vector_group": group})


@pytest.mark.parametrize(
    ("field", "inside", "outside"),
    [
        ("short_circuit_voltage_percent", 1, 0.99),
        ("short_circuit_voltage_percent", 20, 20.01),
        ("tap_percent", -20, -20.1),
        ("tap_percent", 20, 20.1),
        ("rated_power_kva", 10_000, 10_001),
        ("rated_power_kva", 0.1, 0),
        ("upstream_tolerance_low_percent", 30, 30.1),
    ],
)
def test_the_ends_of_what_a_transformer_can_be(field: str, inside: float, outside: float) -> None:
    assert getattr(Transformer.model_validate({field: inside}), field).value == inside
    with pytest.raises(ValidationError):
        Transformer.model_validate({field: outside})
