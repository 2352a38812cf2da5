"""Contradictions within residual-current devices, outlet, sources and dates of a survey."""

from __future__ import annotations

from collections.abc import Iterator

from feasibility.survey.plain_data import (
    Inconsistency,
    KeyPath,
    Table,
    is_stated,
    single,
    table,
    tables,
    text,
)


def arrangement_inconsistencies(data: Table) -> Iterator[Inconsistency]:
    """Yield every contradiction of this kind in the plain data of a survey."""
    for position, circuit in tables(data, "circuit"):
        path: KeyPath = ("circuit", position, "residual_current_device")
        yield from _delay(path, table(circuit, "residual_current_device"))


def _delay(path: KeyPath, device: Table) -> Iterator[Inconsistency]:
    delay = text(device, "delay")
    if is_stated(device, "delay_s") and delay is not None and delay != "adjustable":
        expected = f'nothing here beside delay = "{delay}"; only an adjustable delay has a setting'
        yield Inconsistency((*path, "delay_s"), single(device, "delay_s"), expected)
