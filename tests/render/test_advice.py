"""The advice as text, report and JSON: of shipped sites, and of any advice there could be."""

from __future__ import annotations

import json
import unicodedata
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from feasibility.advice import Advice, Need, advise
from feasibility.assessment import Assessment
from feasibility.open_facts import Decides, FactWeight
from feasibility.remedies.record import Kind, OfferedPart, Part, Remedy
from feasibility.remedies.trial import Problem
from feasibility.render.advice_json import advice_object
from feasibility.render.advice_text import advice_sections
from feasibility.render.html import to_html
from feasibility.render.json_document import to_json
from feasibility.render.text import to_text
from feasibility.result import Message, Quantity, Verdict
from feasibility.survey.changes import Change

from ..checks.sites import assessed
from ..demand_log.logs import logs_of
from .test_json_and_text_of_anything import COLUMNS, UNSEEN, currents, names
from .test_json_document import SCHEMA

OF_ADVICE = Draft202012Validator({**SCHEMA["$defs"]["advice"], "$defs": SCHEMA["$defs"]})

sections = st.builds(Quantity, value=currents.filter(bool), unit=st.just("mm2"))
messages = st.builds(
    Message, template=st.sampled_from(["Replace {link} by {section}.", "Nothing to fill in."]),
    values=st.fixed_dictionaries({"link": names, "section": sections}),
)  # fmt: skip
values: st.SearchStrategy[object] = st.one_of(
    names, st.just({"value": 3.5, "known": "assumed"}), st.just([]), st.booleans()
)
parts = st.builds(
    Part, kind=st.sampled_from(Kind), place=names, link=names, words=messages,
    changes=st.lists(st.builds(Change, place=names, value=values), max_size=2).map(tuple),
)  # fmt: skip
offered = st.builds(OfferedPart, part=parts, alone_a=currents)
remedies = st.builds(
    Remedy, parts=st.lists(offered, min_size=1, max_size=2).map(tuple),
    requested_a=currents, carries_a=currents, verdict=st.sampled_from(Verdict),
    price=st.none() | st.floats(0, 1e6),
)  # fmt: skip
facts = st.builds(
    FactWeight, fact=names, label=names, missing=st.booleans(), holds_current=st.booleans(),
    lowest_a=currents, highest_a=currents, decides=st.sampled_from(Decides),
)  # fmt: skip


def few(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.lists(strategy, max_size=2).map(tuple)


advices = st.builds(
    Advice, need=st.sampled_from([one for one in Need if one is not Need.UPGRADE]),
    remedies=few(remedies), reduced=few(remedies),
    without_remedy=few(st.builds(Problem, check=st.just("link-rating"), link=names)),
    facts=few(facts), currency=st.sampled_from(["", "EUR", "<b>"]),
) | st.builds(
    Advice, need=st.just(Need.UPGRADE), remedies=remedies.map(lambda one: (one,)),
    reduced=st.just(()), without_remedy=st.just(()), facts=few(facts),
)  # fmt: skip


@cache
def site() -> Assessment:
    return assessed("joinery-hall")


@given(advices)
def test_any_advice_keeps_to_the_schema_and_the_terminal(advice: Advice) -> None:
    document = json.loads(json.dumps(advice_object(site(), advice), allow_nan=False))
    assert [error.message for error in OF_ADVICE.iter_errors(document)] == []
    assert document["need"] == advice.need
    for line in (line for section in advice_sections(site(), advice) for line in section):
        wide = sum(unicodedata.east_asian_width(one) in "WF" for one in line)
        assert len(line) + wide <= COLUMNS
        assert not [one for one in line if unicodedata.category(one) in UNSEEN]


def test_names_are_escaped_in_the_report() -> None:
    words = Message(template="Replace {link}.", values={"link": "<script>alert(1)</script>"})
    part = Part(kind=Kind.OTHER_CORD, place="cord", link="cord", words=words, changes=())
    remedy = Remedy(
        parts=(OfferedPart(part=part, alone_a=None),),
        requested_a=20,
        carries_a=25,
        verdict=Verdict.CARRIES,
    )
    advice = Advice(need=Need.UPGRADE, remedies=(remedy,), reduced=(), without_remedy=(), facts=())
    document = to_html(site(), advice)
    assert "<script>" not in document
    assert "Replace &lt;script&gt;" in document


def test_without_advice_there_is_no_such_section_and_the_report_says_so() -> None:
    assert json.loads(to_json(site()))["advice"] is None
    assert "\nUPGRADE\n" not in to_text(site())
    assert "Not worked out for this report." in to_html(site())


def test_the_advice_of_a_shipped_site_says_where_and_to_what() -> None:
    advice = advise(site(), logs_of(site().survey))
    text = to_text(site(), advice)
    assert "UPGRADE\n  The feed has to be upgraded for the requested 49 A per phase at: " in text
    assert "ENOUGH FOR A LOWER SETTING\n  1. Set the station to 32 A per phase." in text
    assert "hypothetical" in text
    document = json.loads(to_json(site(), advice))["advice"]
    assert document["need"] == "upgrade"
    assert document["in_words"].startswith("The feed has to be upgraded")
    changes = document["reduced"][0]["parts"][0]["changes"]
    assert changes == [{"place": "station.setting_a", "value": "32"}]
    assert "enlarge the service" in to_html(site(), advice)


@pytest.mark.parametrize("need", [one for one in Need if one is not Need.UPGRADE])
def test_every_need_has_its_words(need: Need) -> None:
    advice = Advice(need=need, remedies=(), reduced=(), without_remedy=(), facts=())
    words = json.loads(to_json(site(), advice))["advice"]["in_words"]
    assert words.endswith((".", "first."))
    assert "safe" not in words
