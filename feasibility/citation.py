"""Where a value or a rule comes from: a source listed once, and the clause inside it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Citation:
    """One reference: the id of a source in ``cable_tables/sources.csv`` and the place inside it.

    ``source`` is the id (``"IEC60364-5-52:2009"``), ``clause`` the clause, table or page
    (``"Table B.52.4"``), ``note`` a remark on how far it can be trusted (``"from memory"``).
    """

    source: str
    clause: str = ""
    note: str = ""

    def __str__(self) -> str:
        text = f"{self.source}, {self.clause}" if self.clause else self.source
        return f"{text} ({self.note})" if self.note else text
