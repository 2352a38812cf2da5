"""The figures for the request to the network operator, as rows under their headings."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from feasibility.render.numbers import NOT_KNOWN, options_text

if TYPE_CHECKING:
    from feasibility.operator_request import OperatorRequest


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestRow:
    """One figure: what it is, its value or that it is not known, and how it is known."""

    label: str
    value: str
    known: str
    is_known: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RequestGroup:
    """The figures under one heading."""

    title: str
    rows: tuple[RequestRow, ...]


def request_groups(request: OperatorRequest) -> tuple[RequestGroup, ...]:
    """Return the figures under their headings, in the order in which they were collected."""
    return tuple(
        RequestGroup(
            title=title,
            rows=tuple(
                RequestRow(
                    label=one.label,
                    value=options_text(one.options, one.unit) if one.options else NOT_KNOWN,
                    known=one.origin,
                    is_known=bool(one.options),
                )
                for one in items
            ),
        )
        for title, items in groupby(
            sorted(request.items, key=lambda item: _order(request, item.group)),
            key=lambda item: item.group,
        )
    )


def _order(request: OperatorRequest, group: str) -> int:
    return [one.group for one in request.items].index(group)
