"""A surveyed value: the figure, or that it is unknown, and how it came to be known."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Generic, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, model_validator

T = TypeVar("T")

HowKnown = Literal["measured", "read", "told", "assumed"]

UNKNOWN = "unknown"


class Record(BaseModel):
    """Base of every survey table: frozen, exact types, no field that we do not know."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        strict=True,
        allow_inf_nan=False,
        str_strip_whitespace=True,
        defer_build=True,  # the whole survey is built once, not each part for itself first
    )

    @model_validator(mode="before")
    @classmethod
    def _lists_are_tuples(cls, data: Any) -> Any:
        if not isinstance(data, dict):
            return data
        return {k: tuple(v) if isinstance(v, list) else v for k, v in data.items()}


class Stated(Record, Generic[T]):
    """One value as the survey states it.

    A file may give the bare value (``length_m = 28``), the word ``"unknown"``, or a table
    ``{ value = 28, known = "measured", instrument = "...", date = 2026-03-02 }``. Where only
    bounds are known the table gives ``low`` and ``high`` instead of ``value``.
    ``known`` says how: measured, read (from a label, drawing or data sheet), told, assumed.
    """

    value: T | None = None
    low: T | None = None
    high: T | None = None
    unknown: bool = False
    known: HowKnown | None = None
    instrument: Annotated[str, Field(max_length=200)] | None = None
    date: dt.date | None = None
    method: Annotated[str, Field(max_length=200)] | None = None
    note: Annotated[str, Field(max_length=4000)] | None = None

    @model_validator(mode="before")
    @classmethod
    def _accept_bare_value(cls, data: Any) -> Any:
        if isinstance(data, (dict, Stated)):
            return data
        if data == UNKNOWN and isinstance(data, str):
            return {"unknown": True}
        return {"value": data}

    @model_validator(mode="after")
    def _one_way_of_stating(self) -> Stated[T]:
        bounds = (self.low is not None) + (self.high is not None)
        ways = (self.value is not None) + (bounds > 0) + self.unknown
        if ways != 1 or bounds == 1:
            message = (
                'give either value, or both low and high, or unknown = true (or the word "unknown")'
            )
            raise ValueError(message)
        if bounds == 2 and not isinstance(self.low, (int, float)):
            message = "low and high are for numbers only"
            raise ValueError(message)
        if bounds == 2 and not self.low < self.high:  # type: ignore[operator]
            message = "low must be smaller than high"
            raise ValueError(message)
        return self
