"""Two published sets of cord ampacities: the code basis chooses, the stricter one is a caution.

6 mm2, 60 C rubber, three loaded conductors: BS 7671, Table 4F1A, 34 A; DIN VDE 0298-4, Table 11,
44 A. At 40 C air the factors of the sets differ too (0.82 and 0.82 of the square-root law).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from feasibility import tables
from feasibility.checks.run import merge, run_catalogue
from feasibility.installation.build import build_installation
from feasibility.result import Finding, Outcome

from .sites import CHECKS, Changes, asked, drawing, site

SITE = "bakery-yard"
CORD: Changes = {
    "cord.section_mm2": 6,
    "cord.grade": "60 C rubber",
    "cord.ambient_c": 30,
    "cord.layers_on_drum": 0,
}


def by(chosen: str, second: str, check: str, changes: Changes) -> Finding:
    installation = build_installation(site(SITE, CORD, changes))
    choices = {"cord_table_set": chosen, "cord_second_table_set": second}
    basis = replace(installation.basis, choices={**installation.basis.choices, **choices})
    other = run_catalogue(replace(installation, basis=basis), (CHECKS[check],)).judged
    (finding,) = [merge(one, flip_matters=True) for one in other if one.unfavourable.link == "cord"]
    return finding


def printed_a(table_set: str) -> float:
    return tables.cord_ampacity(
        table_set=table_set, cord="60 C rubber", loaded=3, section_mm2=6
    ).value


def test_the_sets_print_what_the_documents_print() -> None:
    assert (printed_a("bs7671"), printed_a("vde0298-4")) == (34, 44)


def test_the_looser_set_never_decides_but_is_shown() -> None:
    judged = by("bs7671", "vde0298-4", "cord-second-set", drawing(30))
    assert judged.outcome is Outcome.PASS
    assert judged.limit == pytest.approx(44)


def test_where_the_looser_set_is_chosen_the_stricter_one_is_a_caution() -> None:
    between = drawing(40)
    assert by("vde0298-4", "bs7671", "ampacity", between).outcome is Outcome.PASS
    second = by("vde0298-4", "bs7671", "cord-second-set", between)
    assert second.outcome is Outcome.CAUTION
    assert second.limit == pytest.approx(34)
    assert second.carries_a == pytest.approx(34)
    assert not second.force.binds


def test_no_factor_of_one_set_meets_a_current_of_the_other() -> None:
    warm = {**drawing(20), "cord.ambient_c": 40, "cord.layers_on_drum": 1}
    for chosen, name in (("bs7671", "BS7671:2008"), ("vde0298-4", "DIN-VDE-0298-4:2013-06")):
        finding = by(chosen, "bs7671", "ampacity", warm)
        cited = {
            source.source for step in finding.working for q in step.inputs for source in q.sources
        }
        assert {one for one in cited if "7671" in one or "VDE" in one} == {name}


def test_a_grade_that_only_one_set_has_is_not_asked() -> None:
    assert not asked("cord-second-set", SITE, CORD, {"cord.grade": "90 C thermosetting"})
    assert not asked("cord-second-set", SITE, CORD, {"cord.ampacity_a": 50})
