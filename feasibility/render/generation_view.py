"""The part of the section on the hours that tells of second sources; nothing is computed here."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from typing import TYPE_CHECKING

from feasibility.render.generation_text import generation_heading, generation_sentences
from feasibility.render.numbers import number_text

if TYPE_CHECKING:
    from feasibility.year.generation_record import GenerationStudy


@dataclass(frozen=True, slots=True, kw_only=True)
class GenerationView:
    """Sentences, and the energy of each source in kWh: its name, then one cell for each month."""

    heading: str
    sentences: tuple[str, ...]
    months: tuple[str, ...]
    energy: tuple[tuple[str, ...], ...]


def generation_view(study: GenerationStudy | None) -> GenerationView | None:
    """Return a study as text; None where there is none."""
    if study is None:
        return None
    sources = () if study.over_year is None else study.over_year.sources
    found = [{(m.year, m.month): m.energy_kwh for m in one.months} for one in sources]
    months = sorted({month for one in found for month in one})
    return GenerationView(
        heading=generation_heading(study),
        sentences=generation_sentences(study),
        months=tuple(f"{calendar.month_abbr[month]} {year}" for year, month in months),
        energy=tuple(
            (one.name, *(number_text(energy.get(month)) for month in months))
            for one, energy in zip(sources, found, strict=True)
            if energy
        ),
    )
