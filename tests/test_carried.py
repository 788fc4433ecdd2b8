"""A judged plan followed in the form of ours: what its contacts and streams say is what the judgement says."""

from __future__ import annotations

import json
from functools import cache

import pytest

from washlore.cli.common import examples, find
from washlore.cli.page.report import scheme_words
from washlore.cli.page.scheme import lay_out
from washlore.cli.render.judgement import check_record
from washlore.rules.judge import Considered, consider, judge
from washlore.rules.mixture_file import read_mixture
from washlore.rules.proposal import as_proposal
from washlore.rules.reading import read_plan

EXAMPLES = sorted(examples())
PLANS = {
    "joined": "Quench with water (30 mL), separate, extract the aqueous layer with DCM (2 x 20 mL), wash the combined organic "
    "layers with 1 M HCl (2 x 20 mL), sat. NaHCO3 and brine; dry over MgSO4; filter; evaporate.",
    "there and back": "Extract with 1 M HCl (3 x 20 mL). Basify the aqueous layer with NaOH, extract with ether (3 x 30 mL), "
    "dry over Na2SO4, filter, concentrate.",
    "no end": "Wash with 1 M HCl, sat. NaHCO3 and brine. Dry over MgSO4.",
    "pH in the flask": "Add water (40 mL) and adjust to pH 2 with HCl. Extract with EtOAc (3 x 30 mL). Wash with brine, dry, "
    "concentrate.",
    "wrong layer": "Wash with 20 mL 1 M HCl, discard the organic layer and keep the aqueous layer. Evaporate.",
    "stripped first": "Concentrate. Dissolve in EtOAc (50 mL), wash with water (3 x 20 mL) and brine, dry, evaporate.",
}


@cache
def considered(name: str) -> Considered:
    """Return the mixture at the best estimate alone: medians of shares need not add up, those do."""
    return consider(read_mixture(find(name)), draws=1)


def followed(name: str, text: str | None) -> dict:
    mine = considered(name)
    proposal = as_proposal(mine.plan) if text is None else read_plan(text)
    made = check_record(judge(proposal, mine), followed=True)
    return json.loads(json.dumps(made))


@pytest.mark.parametrize("text", [None, *PLANS.values()], ids=["our own", *PLANS])
@pytest.mark.parametrize("name", EXAMPLES)
def test_streams_make_a_tree_that_loses_nothing(name, text):
    made = followed(name, text)
    steps = {step["number"] for step in made["plan_read"]}
    streams = made["streams"]
    assert [s["from_step"] for s in streams].count(None) == 1
    assert sum(s["fate"] == "product" for s in streams) == 1
    assert all((s["to_step"] in steps) == (s["fate"] in ("goes on", "joins")) for s in streams)
    ends = [s for s in streams if s["fate"] in ("waste", "product")]
    assert all(s["label"] for s in ends)
    for item in made["components"]:
        held = sum(h["share"]["mid"] for s in ends for h in s["holds"] if h["component"] == item["id"])
        assert held < 1.005, (item["name"], held)  # what a quench or a wash destroys is in none
        if item["id"] == "product":
            assert held == pytest.approx(1.0, abs=0.005)
    chart = lay_out({**made, "steps": made["plan_read"]})
    assert chart.boxes and scheme_words({**made, "steps": made["plan_read"]})


@pytest.mark.parametrize("text", [None, PLANS["joined"], PLANS["no end"]], ids=["our own", "joined", "no end"])
@pytest.mark.parametrize("name", ["ester", "amide"])
def test_the_last_contact_holds_what_the_judgement_says_is_left(name, text):
    made = followed(name, text)
    kept = {s["component"]: s["kept"]["mid"] for s in made["contacts"][-1]["shares"]}
    for item in made["left"]:
        if item["id"] in kept:
            assert kept[item["id"]] >= item["left"]["mid"] - 0.002
            assert kept[item["id"]] == pytest.approx(item["left"]["mid"], abs=0.03), item["name"]


def test_water_that_is_extracted_again_goes_on_and_is_waste_once():
    made = followed("ester", PLANS["joined"])
    first = [s for s in made["streams"] if s["from_step"] == 1]
    assert [(s["kind"], s["fate"], s["to_step"]) for s in first] == [("organic", "goes on", 2), ("aqueous", "joins", 2)]
    second = [s for s in made["streams"] if s["from_step"] == 2]
    assert [(s["kind"], s["fate"]) for s in second] == [("organic", "goes on"), ("aqueous", "waste")]


def test_a_layer_put_right_is_said():
    assert followed("ester", PLANS["wrong layer"])["put_right"]
    assert not followed("ester", None)["put_right"]


def test_a_class_needs_no_streams():
    assert "streams" not in check_record(judge(read_plan(PLANS["joined"]), considered("ester")))
