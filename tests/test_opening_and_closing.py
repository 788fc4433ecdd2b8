"""The steps before the first wash and those after the last, one decision at a time, from facts given by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from test_plan_steps import ESTER, flask, thinking
from test_rule_limits import given, ionises, left_over

from washlore.knowledge.beside import most_cosolvent
from washlore.knowledge.rows import Desiccant, Residue, Solution, Solvent, table
from washlore.rules import closing, opening, trial
from washlore.rules import facts as f
from washlore.rules.engine import Fact
from washlore.rules.perceive import Job
from washlore.rules.reckon import PlanRefused
from washlore.rules.steps import (
    Draft,
    PlanStep,
    ThroughWater,
    funnel_for,
    in_streams,
    portions,
    quench_ml,
    through_water,
)

ETHER, DCM, TOLUENE = (table(Solvent)[key] for key in ("diethyl_ether", "dichloromethane", "toluene"))
EXTRACTED = given(f.Extraction, solvent="dichloromethane")
DMF, WATER = (("dmf", 30.0),), (("water", 30.0),)


def thinking_in(solvents: Any, *facts: Fact, product: str = ESTER, others: tuple[str, ...] = ()) -> tuple[Any, Job]:
    ke, _ = thinking(*facts, product=product, others=others)
    ke.job = Job(flask(product, *others, solvents=solvents))
    return ke, ke.job


# ---- opening


@pytest.mark.parametrize(
    ("solvents", "facts", "told"),
    [
        ((("dichloromethane", 40.0),), (), None),
        # a fifth of the layer lacking is made up; the layer of 1.64 g is 35 mL
        ((("dichloromethane", 30.0),), (), None),
        ((("dichloromethane", 20.0),), (), "Dilute with 15 mL of dichloromethane"),
        ((("diethyl_ether", 20.0),), (), "Add 35 mL of dichloromethane"),
        (DMF, (), "Add 60 mL of dichloromethane"),
        ((), (), "Take up in 35 mL of dichloromethane"),
        (
            (("dichloromethane", 40.0),),
            (f.Prepares(action="evaporate", subject="thf"),),
            "Take up in 40 mL of dichloromethane",
        ),
    ],
)
def test_the_layer_is_made_up(solvents: Any, facts: tuple[Fact, ...], told: str | None) -> None:
    ke, job = thinking_in(solvents, EXTRACTED, *facts)
    drafts = [d for d in opening.prepare_drafts(ke, job, DCM, 40.0) if d.step.action == "dilute"]
    assert [d.step.instruction for d in drafts] == ([told] if told else [])
    for draft in drafts:
        step = draft.step
        assert (draft.rank, step.solvent, step.phase_kept) == (4, "dichloromethane", "organic")
        assert step.volume_ml == float(told.split(" mL")[0].split()[-1]) and step.exact_ml == pytest.approx(
            step.volume_ml, abs=2.5
        )


def test_a_product_made_in_water_may_lie_there_as_a_solid() -> None:
    def falls(solvents: Any, *facts: Fact, product: str = ESTER) -> bool:
        ke, job = thinking_in(solvents, EXTRACTED, *facts, product=product)
        (draft,) = [d for d in opening.prepare_drafts(ke, job, DCM, 40.0) if d.step.action == "dilute"]
        assert draft.step.reason.startswith("an organic layer that water does not mix with")
        return opening.FALLEN in draft.step.reason

    assert falls(WATER)
    # acetophenone, 120.2 g/mol, and benzoxazole, 119.1
    assert falls(WATER, product="CC(=O)c1ccccc1") and not falls(WATER, product="c1ccc2ocnc2c1")
    assert not falls((*WATER, ("thf", 5.0))) and not falls(()) and not falls(WATER, product="CCCCO")
    assert not falls(WATER, given(f.BringsTo, ph=2.0, reagent="6 M hydrochloric acid"))


def test_what_is_stripped_first_is_told_once() -> None:
    stripped = f.Prepares(action="evaporate", subject="thf"), f.Prepares(action="evaporate", subject="c1")
    ke, job = thinking_in((("thf", 30.0),), EXTRACTED, *stripped, others=("pyridine; 5 mmol",))
    (step,) = [d.step for d in opening.prepare_drafts(ke, job, DCM, 40.0) if d.step.action == "evaporate"]
    assert (
        step.instruction == "Strip off pyridine and tetrahydrofuran on the rotary evaporator"
        and len(step.fact_ids) == 2
    )
    assert step.for_components == ("c1",) and step.reason == "given; given"


def test_water_is_added_before_a_ph_is_set_where_a_fifth_of_it_is_lacking() -> None:
    def begins(ml: float) -> str:
        ke, job = thinking_in((("water", ml),), EXTRACTED, given(f.BringsTo, ph=2.0, reagent="6 M hydrochloric acid"))
        (draft,) = opening.pot_steps(ke, job, DCM, 40.0)
        return draft.step.instruction.partition(" in ice")[0]

    assert [begins(ml) for ml in (60.0, 16.1)] == ["Cool", "Cool"]
    assert begins(16.0) == begins(5.0) == "Add water to some 20 mL in all, cool"
    ke, job = thinking_in((("toluene", 40.0),), EXTRACTED, given(f.BringsTo, ph=2.0, reagent="6 M hydrochloric acid"))
    assert opening.pot_steps(ke, job, DCM, 40.0)[0].step.instruction.startswith("Add 20 mL of water, cool in ice")


def test_water_that_is_there_rinses_the_salt_of_the_product() -> None:
    def begins(*solvents: tuple[str, float]) -> str:
        brings = given(f.BringsTo, ph=2.0, reagent="6 M hydrochloric acid")
        ke, job = thinking_in(solvents, EXTRACTED, brings, f.RinsesFirst(because="c1"))
        return opening.pot_steps(ke, job, DCM, 40.0)[0].step.instruction

    assert begins(("water", 60.0)) == begins(("water", 16.1)) == "Shake, part the layers and keep the aqueous one"
    assert begins(("water", 16.0)) == "Add water to some 20 mL in all, shake, and keep the aqueous layer"
    assert begins(("toluene", 40.0)) == "Add 20 mL of water, shake, and keep the aqueous layer"


def test_what_burns_with_water_is_quenched_first_and_what_silver_brings_down_last() -> None:
    kinds = ("hydride", "organometallic", "strong base", "acid halide", "Lewis acid", "oxidant", "metal salt")
    rows = [[row for row in table(Residue).values() if (row.kind, row.action) == (kind, "quench")] for kind in kinds]
    ranks = [{opening.quench_rank(row) for row in of_kind} for of_kind in rows]
    assert all(rows) and all(max(one) < min(next_) for one, next_ in pairwise(ranks))


def quenching(solvents: Any, *leftovers: tuple[str, str], beside: tuple[str, ...] = ()) -> tuple[Any, Job]:
    facts: list[Fact] = [given(f.Medium, solvent=s, volume_ml=v) for s, v in solvents]
    for n, (residue, _) in enumerate(leftovers, start=1):
        row = table(Residue)[residue]
        facts.append(f.Prepares(action="quench", subject=f"c{n}"))
        facts.append(left_over(residue, "quench", row.kind, row.solution, f"c{n}"))
    return thinking_in(solvents, EXTRACTED, *facts, others=(*(name for _, name in leftovers), *beside))


def quenches(*leftovers: tuple[str, str]) -> list[Draft]:
    """Return the quenches of leftovers, each given as its row and what is in the flask, in their order."""
    ke, job = quenching((("toluene", 40.0),), *leftovers)
    drafts = [d for d in opening.prepare_drafts(ke, job, DCM, 40.0) if d.step.action == "quench"]
    return sorted(drafts, key=lambda d: d.rank)


BROMINE, HALIDE = ("bromine", "bromine; 5 mmol"), ("acid_chloride", "acetyl chloride; 5 mmol")
TITANATE = ("titanium_alkoxide", "titanium(IV) isopropoxide; 5 mmol")


@pytest.mark.parametrize(
    ("first", "then", "by"),
    [
        # what catches fire with water is gone before any comes, whatever halogen is there
        (("organolithium", "n-BuLi; 5 mmol"), BROMINE, ("nh4cl_sat", "na2s2o3_10")),
        (("borohydride", "NaBH4; 5 mmol"), BROMINE, ("nh4cl_sat", "na2s2o3_10")),
        # ammonium makes nitrogen halides of halogens, so it waits where it only ends a base
        (BROMINE, ("alkoxide", "sodium methoxide; 5 mmol"), ("na2s2o3_10", "nh4cl_sat")),
        # base would bring titania down
        (TITANATE, HALIDE, ("rochelle_sat", "nahco3_sat")),
        (TITANATE, ("phosphorus_oxychloride", "POCl3; 5 mmol"), ("rochelle_sat", "na2co3_10")),
        # among quenches of one rank those that pour base in come last
        (BROMINE, HALIDE, ("na2s2o3_10", "nahco3_sat")),
        (BROMINE, ("silver_salt", "AgOTf; 5 mmol"), ("na2s2o3_10", "brine")),
    ],
)
def test_what_is_quenched_first(first: Any, then: Any, by: tuple[str, str]) -> None:
    for n, pair in enumerate(((first, then), (then, first))):
        one, two = quenches(*pair)
        assert (one.step.solution, two.step.solution) == by and one.rank < two.rank
        assert one.step.for_components == (f"c{1 + n}",) and two.step.for_components == (f"c{2 - n}",)


def test_what_the_same_agent_ends_is_quenched_at_once() -> None:
    (both,) = quenches(BROMINE, ("iodine", "iodine; 5 mmol"))
    assert both.step.instruction.startswith("Quench bromine and iodine with 10 % thiosulfate: ")
    assert both.step.reason == "bromine and iodine still react" and both.step.for_components == ("c1", "c2")
    (alone,) = quenches(BROMINE)
    assert alone.step.reason == "bromine still reacts" and len(alone.step.fact_ids) == 1
    # the fiercer one says how: aluminium chloride does, and acetyl chloride is ended with it
    (lewis,) = quenches(HALIDE, ("aluminium_chloride", "aluminium chloride; 5 mmol"))
    assert lewis.step.instruction.startswith(
        "Quench aluminium chloride and acetyl chloride with ice with 1 M HCl: Pour"
    )


def chloride(mmol: float) -> tuple[str, str]:
    return "acid_chloride", f"acetyl chloride; {mmol:g} mmol"


# Two of acid from each acid chloride, a fifth more than that, in bicarbonate of 1.19 mol/L; of thiosulfate two for a bromine.
BICARBONATE_ML, THIOSULFATE_ML = 2 * 1.2 / 1.192, 2 * 1.2 / 0.683


@pytest.mark.parametrize(
    ("leftovers", "water_ml", "poured"),
    [
        # half of the layer at least, then as much as it takes, and a solid beyond twice the layer
        ([chloride(5)], 0.0, {"nahco3_sat": 20.0}),
        ([chloride(20)], 0.0, {"nahco3_sat": 20 * BICARBONATE_ML}),
        ([chloride(60)], 0.0, {"nahco3_sat": 80.0}),
        ([chloride(5), ("chloroformate", "ethyl chloroformate; 5 mmol")], 0.0, {"nahco3_sat": 20.0}),
        # two solutions share the usual water
        (
            [("hydroperoxide_tbhp", "TBHP; 5 mmol"), ("permanganate", "KMnO4; 5 mmol")],
            0.0,
            {"na2so3_10": 10.0, "nahso3_sat": 10.0},
        ),
        ([BROMINE], 0.0, {"na2s2o3_10": 20.0}),
        ([("bromine", "bromine; 15 mmol")], 0.0, {"na2s2o3_10": 15 * THIOSULFATE_ML}),
        # into water that is there only as much as it takes, a tenth of the layer at least, a third where nobody knows
        ([chloride(5)], 30.0, {"nahco3_sat": 5 * BICARBONATE_ML}),
        ([("alkoxide", "sodium methoxide; 5 mmol")], 30.0, {"nh4cl_sat": 4.0}),
        ([("titanium_tetrachloride", "TiCl4; 5 mmol")], 30.0, {"hcl_1m": 40 / 3}),
        ([chloride(5)], 12.0, {"nahco3_sat": 5 * BICARBONATE_ML}),
        ([chloride(1)], 12.0, {"nahco3_sat": 8.0}),
        # an alcohol or acetic acid brings no water
        ([("carbodiimide", "DCC; 5 mmol")], 0.0, {}),
    ],
)
def test_how_much_a_quench_pours_in(leftovers: Any, water_ml: float, poured: dict[str, float]) -> None:
    solvents = (("toluene", 40.0), *((("water", water_ml),) if water_ml else ()))
    ke, job = quenching(solvents, *leftovers)
    assert opening._poured_ml(ke, job) == pytest.approx(poured, rel=0.01)
    whole = max(20.0, water_ml + sum(poured.values()))
    assert opening._brought_ml(ke, job) == pytest.approx(whole, rel=0.01)
    there = opening.water_in_flask(ke, job)
    if not water_ml and not poured:
        assert there is None
        return
    row, ml = there
    assert ml == pytest.approx(whole, rel=0.01)
    # what is furthest from neutral gives its name
    bottles = [table(Solution)[s] for s in poured] or [table(Solution)["water"]]
    assert row.id.split("+")[0] == max(bottles, key=lambda b: abs(b.ph - 7.0)).id
    assert (opening.water_in_flask(ke, job, quenched=True) is None) is (not poured)
    assert row.id.split("+").count("water") > 0 or not water_ml


def test_the_base_of_a_quench_takes_the_acid_of_the_flask_and_an_acid_its_base() -> None:
    solvents, acetic, tea = (("toluene", 40.0),), ("acetic acid; 20 mmol",), ("triethylamine; 20 mmol",)
    ke, job = quenching(solvents, chloride(5), ("hydroperoxide_tbhp", "TBHP; 5 mmol"), beside=acetic)
    each = opening._needed_ml(ke, job)
    assert each == pytest.approx(
        {"nahco3_sat": (10 + 20) * 1.2 / 1.192, "na2so3_10": 2 * 5 * 1.2 / (2 * 0.863)}, rel=0.01
    )
    # two that pour base in share it
    ke, job = quenching(solvents, chloride(5), ("phosphorus_oxychloride", "POCl3; 1 mmol"), beside=acetic)
    shared = opening._needed_ml(ke, job)
    assert shared["nahco3_sat"] == pytest.approx((10 + 10) * 1.2 / 1.192, rel=0.01) and shared["na2co3_10"] > 0
    ke, job = quenching(solvents, ("borohydride", "NaBH4; 5 mmol"), beside=tea)
    assert opening._needed_ml(ke, job)["nh4cl_sat"] == pytest.approx((5 + 20) * 1.2 / 5.711, rel=0.02)


def filtered(*facts: Fact, others: tuple[str, ...], solvents: Any = (("toluene", 40.0),)) -> Draft:
    told = [f.Prepares(action="filter", subject=f"c{n}") for n in range(1, len(others) + 1)]
    ke, job = thinking_in(solvents, EXTRACTED, *told, *facts, others=others)
    (draft,) = [d for d in opening.prepare_drafts(ke, job, DCM, 40.0) if d.step.action == "filter"]
    return draft


def test_one_filtration_for_all_that_lies_undissolved() -> None:
    one = filtered(f.Inorganic(component="c1"), others=("potassium carbonate; 5 mmol",)).step
    assert one.instruction == "Filter off potassium carbonate and rinse the solid with a little toluene"
    assert one.reason == "potassium carbonate is insoluble" and one.for_components == ("c1",)
    wet = given(f.Kept, component="product", solution="water")
    two = filtered(wet, others=("potassium carbonate; 5 mmol", "MnO2; 5 mmol"))
    assert two.step.reason.endswith("are insoluble") and two.rank == 2
    # what is no mere salt is rinsed with the solvent of the layer, where one comes; so is a flask of water
    assert "a little dichloromethane" in two.step.instruction
    assert "a little toluene" in filtered(others=("MnO2; 5 mmol",)).step.instruction
    salts = f.Inorganic(component="c1"), left_over("x", "filter")
    assert "a little dichloromethane" in filtered(*salts[:1], others=("NaCl; 5 mmol",), solvents=WATER).step.instruction
    metal = left_over("zinc_iron_dust", "filter", "metal")
    assert "a little toluene" in filtered(metal, others=("zinc; 5 mmol",)).step.instruction
    silver = left_over("silver_oxidant", "filter", "oxidant")
    assert filtered(silver, others=("Ag2O; 5 mmol",)).rank == opening.BEFORE_THIOSULFATE


def test_what_ends_dry_is_stirred_with_a_solid() -> None:
    """Three times what two protons of each take of bicarbonate, one and a half times of ammonium chloride."""
    acid = filtered(f.EndsDry(component="c1"), others=("HClO4; 5 mmol",)).step
    assert acid.instruction == (
        "Stir with 2.5 g of solid sodium hydrogen carbonate in portions, open, as it gives off carbon dioxide, until moist pH "
        "paper stays neutral, filter, and rinse the solid with a "
        "little toluene"
    )
    assert acid.reason.endswith(
        "becomes a sodium salt, and nothing acidic is left on the product when the solvent goes"
    )
    strong = given(f.Harsh, component="c1", kind="a strong base")
    base = filtered(f.EndsDry(component="c1"), strong, others=("NaOH; 10 mmol",)).step
    assert base.instruction.startswith(
        "Stir with 0.8 g of solid ammonium chloride until moist pH paper shows 8, filter, and"
    )
    assert "becomes chloride and ammonia, and nothing basic is left" in base.reason
    little = filtered(f.EndsDry(component="c1"), others=("HClO4; 0.1 mmol", "Pd/C")).step.instruction
    assert little.startswith("Stir with 0.2 g of solid") and "filter it off with palladium on carbon, and" in little


@pytest.mark.parametrize(
    ("reagent", "formula"),
    [
        ("6 M hydrochloric acid", "HCl"),
        ("10 % citric acid or 1 M potassium hydrogen sulfate", "C6H8O7"),
        ("hydrochloric acid or potassium carbonate, whichever it needs", "HCl"),
        ("solid sodium hydrogen carbonate", "NaHCO3"),
        ("6 M sodium hydroxide for most of the acid, then solid sodium hydrogen carbonate", "NaOH"),
    ],
)
def test_the_reagent_that_is_named_first_counts(reagent: str, formula: str) -> None:
    assert opening._formula(reagent) == formula


def test_the_water_that_is_usual() -> None:
    def usual(solvents: Any, *facts: Fact) -> float:
        ke, job = thinking_in(solvents, EXTRACTED, *facts)
        return opening._usual_water_ml(ke, job)

    assert usual((("dichloromethane", 40.0),)) == 20.0
    assert usual((("dichloromethane", 40.0), ("water", 50.0))) == 50.0
    assert usual((("dichloromethane", 40.0), ("water", 10.0))) == 20.0
    assert usual((("dichloromethane", 20.0), ("dmf", 45.0))) == pytest.approx(45.0)
    # what is stripped before it comes asks for none
    assert usual((("dichloromethane", 40.0), ("thf", 45.0)), f.Prepares(action="evaporate", subject="thf")) == 20.0


def test_the_water_that_keeps_two_layers_beside_a_miscible_solvent() -> None:
    """Also in the smaller funnel, where half a layer of solvent comes to it again: what mixes is its limit of what is there."""
    for solvents in ((("thf", 60.0),), (("thf", 60.0), ("water", 10.0)), (("thf", 60.0), ("dichloromethane", 30.0))):
        ke, job = thinking_in(solvents, EXTRACTED)
        water_ml = opening._water_for_two_layers_ml(ke, job)
        again_ml = 0.5 * trial.layer_ml(job.mixture)
        assert 60.0 / (60.0 + water_ml + again_ml) == pytest.approx(most_cosolvent("dichloromethane", "thf"))
    gone = thinking_in((("thf", 60.0),), EXTRACTED, f.Prepares(action="evaporate", subject="thf"))
    assert opening._water_for_two_layers_ml(*gone) < 0


def test_a_flask_that_is_rinsed_first_goes_by_both_that_it_rests_on() -> None:
    brought = given(f.BringsTo, ph=12.0, reagent="6 M sodium hydroxide")
    ke, job = thinking(EXTRACTED, brought, given(f.RinsesFirst, because="c1"), product="OC(=O)CCc1ccccc1")
    drafts = opening.pot_steps(ke, job, DCM, 40.0)
    grounds = {type(ke.known[i].fact) for draft in drafts for i in draft.step.fact_ids}
    assert len(drafts) == 4 and grounds == {f.BringsTo, f.RinsesFirst}


def test_water_is_parted_where_a_quench_or_the_reaction_brought_it() -> None:
    quench = (
        f.Prepares(action="quench", subject="c1"),
        left_over("acid_chloride", "quench", "acylating agent", "nahco3_sat"),
    )
    dcm = (("dichloromethane", 40.0),)

    def parted(solvents: Any, *facts: Fact) -> tuple[str, float] | None:
        ke, job = thinking_in(solvents, EXTRACTED, *facts, others=("benzoyl chloride; 2 mmol",))
        found = opening.parting(ke, job)
        return found and (found[0].id, round(found[1], 1))

    medium = given(f.Medium, solvent="water", volume_ml=30.0)
    assert parted(dcm) is None
    assert parted(dcm, *quench) == ("nahco3_sat", 20.0)
    assert parted((*dcm, *WATER), medium) == ("water", 30.0)
    assert parted((*dcm, *WATER), medium, given(f.BringsTo, ph=2.0, reagent="6 M hydrochloric acid")) is None
    ke, job = thinking_in((*dcm, *WATER), EXTRACTED, medium, others=("benzoyl chloride; 2 mmol",))
    assert opening.water_in_flask(ke, job, quenched=True) is None
    (draft,) = opening.parting_steps(ke, job, DCM, 40.0)
    assert draft.rank == 6 and draft.step.reason == "the water of the reaction holds its salts"
    assert draft.step.instruction == (
        "Part the layers (a little water takes up salts that lie undissolved); extract the aqueous one with another 20 mL of "
        "dichloromethane and combine the organic layers"
    )
    assert (draft.step.volume_ml, draft.step.again_ml, draft.step.solution, draft.step.repeats) == (30.0, 20.0, "", 2)
    ke, less = thinking_in((*dcm, ("water", 10.0)), EXTRACTED, medium, others=("benzoyl chloride; 2 mmol",))
    (more,) = opening.parting_steps(ke, less, DCM, 40.0)
    assert more.step.instruction == (
        "Add water to some 20 mL in all and part the layers; extract the aqueous one with another 20 mL of dichloromethane and "
        "combine the organic layers"
    )
    ke, job = thinking_in(dcm, EXTRACTED, *quench, others=("benzoyl chloride; 2 mmol",))
    (draft,) = opening.parting_steps(ke, job, DCM, 40.0)
    assert draft.step.reason == "the water of the quench holds its salts" and draft.step.solution == "nahco3_sat"
    assert draft.step.instruction.startswith(
        "Part the layers (a little water takes up salts that lie undissolved); extract"
    )


def test_the_water_of_the_reaction_thins_what_is_poured_in() -> None:
    """Of three parts of lye and one of water, both count; the account pours in what the words say."""
    quench = (
        f.Prepares(action="quench", subject="c1"),
        left_over("cyanogen_halide", "quench", "cyanating agent", "naoh_1m"),
    )
    medium = given(f.Medium, solvent="water", volume_ml=15.0)
    ke, job = thinking_in((("toluene", 40.0), ("water", 15.0)), EXTRACTED, medium, *quench, others=("BrC#N; 20 mmol",))
    row, whole_ml = opening.water_in_flask(ke, job)
    poured_ml, as_solid_ml = opening.quench_poured_ml(ke, job, "naoh_1m")
    assert as_solid_ml == 0.0
    assert poured_ml == pytest.approx(48.0, rel=0.05) and whole_ml == pytest.approx(poured_ml + 15.0)
    assert row.strong_charge_m == pytest.approx(poured_ml / whole_ml, rel=0.05)


# ---- closing


def last(
    *facts: Fact,
    solvent: Solvent = DCM,
    leaves: tuple[str, ...] = (),
    others: Any = ("triethylamine; 5 mmol",),
    solvents: Any = None,
    **more: Any,
) -> PlanStep:
    ke, job = thinking_in(solvents or ((solvent.id, 40.0),), *facts, others=others)
    return closing.last_step(ke, job, solvent, 40.0, 1, [(7, c) for c in leaves], **more)


def boils(c: str, boiling_c: float) -> Fact:
    return f.Boils(component=c, boiling_c=boiling_c)


def test_the_solvent_is_stripped_and_what_is_volatile_with_it() -> None:
    plain = last()
    assert plain.instruction == "Strip off dichloromethane on the rotary evaporator into a tared flask and weigh"
    assert (plain.reason, plain.fact_ids, plain.for_components) == ("leaves the crude product", (1,), ())
    base = ionises("c1", "base", 10.8)
    # a base that boils above 80 C wants toluene after it, and toluene heptane
    gone = last(base, boils("c1", 89.0), leaves=("c1",))
    assert gone.instruction == (
        "Strip off dichloromethane on the rotary evaporator, then twice add 10 mL of toluene and strip it again, which carries "
        "triethylamine along; weigh in a tared flask"
    )
    assert gone.for_components == ("c1",) and gone.fact_ids == (1, 7)
    assert "10 mL of heptane" in last(base, boils("c1", 89.0), leaves=("c1",), solvent=TOLUENE).instruction
    for solvent in ("xylene", "ethyl_acetate", "trifluorotoluene"):
        chased = last(base, boils("c1", 89.0), leaves=("c1",), solvent=table(Solvent)[solvent])
        assert "10 mL of toluene" in chased.instruction, solvent
    assert "twice add" not in last(base, boils("c1", 80.0), leaves=("c1",)).instruction
    assert "twice add" not in last(boils("c1", 89.0), leaves=("c1",)).instruction
    assert "twice add" in last(base, boils("c1", 89.0), boils("product", 181.0), leaves=("c1",)).instruction
    assert "twice add" not in last(base, boils("c1", 89.0), boils("product", 180.0), leaves=("c1",)).instruction


def test_what_boils_below_116_goes_along_unless_it_is_held() -> None:
    assert last(boils("c1", 115.9)).for_components == ("c1",) and last(boils("c1", 116.0)).for_components == ()
    assert last(boils("product", 100.0)).for_components == ()
    assert last(boils("c1", 90.0), ionises("c1", "acid", 4.8)).for_components == ()
    assert last(boils("c1", 90.0), f.Leaves(component="c1", way="filtration")).for_components == ()
    free = f.BoilsWhenFree(component="c1", boiling_c=89.0)
    assert last(free).for_components == ("c1",) and last(free, stripped=("c2",), others=()).for_components == ("c2",)
    # of the salt of a volatile base with an acid: where base took the acid
    acid = ionises("c1", "acid", 4.8)
    assert last(free, acid).for_components == ()
    for solution, goes in (("nahco3_sat", ("c1",)), ("hcl_1m", ())):
        assert last(free, acid, given(f.Chosen, component="c1", solution=solution)).for_components == goes


@pytest.mark.parametrize(
    ("boils_c", "solvent", "words"),
    [
        (160.0, DCM, "Strip off dichloromethane on the rotary evaporator into a tared flask"),
        (149.9, DCM, "Strip off dichloromethane on the rotary evaporator at a modest vacuum from a bath at 30 C"),
        (115.0, DCM, "at a modest vacuum"),
        (141.0, TOLUENE, "at a modest vacuum"),
        (140.0, TOLUENE, "Distil off toluene through a column"),
        (114.9, DCM, "Distil off dichloromethane through a column at atmospheric pressure"),
        (60.0, DCM, "then distil the product (about 60 C)"),
        (50.0, TOLUENE, "Distil the product (about 50 C) out of toluene through a short column"),
        (50.7, TOLUENE, "Distil off toluene through a column"),
    ],
)
def test_how_a_volatile_product_is_parted_from_the_solvent(boils_c: float, solvent: Solvent, words: str) -> None:
    assert words in last(boils("product", boils_c), solvent=solvent).instruction


def test_what_explodes_when_hot_is_not_distilled() -> None:
    for group in ("peroxide", "nitrate_ester"):
        kept = last(given(f.Contains, component="product", group=group), boils("product", 60.0))
        assert kept.instruction.startswith("Strip off what goes of dichloromethane on the rotary evaporator below 40 C")
        assert "behind a shield and not to dryness" in kept.instruction and "NMR" in kept.instruction
        assert kept.reason.startswith("leaves the crude product in solution, as it is not distilled: ")
        assert "explode" in kept.reason
    # out of a solvent that boils higher, and that no wash parts from it, there is no way
    peroxide = given(f.Contains, component="product", group="peroxide"), boils("product", 50.0)
    assert "behind a shield" in last(*peroxide, solvent=TOLUENE).instruction
    with pytest.raises(PlanRefused, match="boils higher: no distillation"):
        last(*peroxide, solvent=TOLUENE, stripped=())
    assert "behind a shield" in last(*peroxide, solvent=DCM, stripped=()).instruction
    # what boils high enough is stripped as ever
    assert (
        "istil"
        not in last(given(f.Contains, component="product", group="peroxide"), boils("product", 160.0)).instruction
    )


@pytest.mark.parametrize(
    ("own", "boils_c", "words"),
    [
        # what no water takes and nothing strips before is in the layer to the end
        ("xylene", None, "Strip off dichloromethane and xylene on the rotary evaporator into a tared flask"),
        (
            "1,2-dichlorobenzene",
            None,
            "Strip off dichloromethane on the rotary evaporator, then 1,2-dichlorobenzene (180 C at 1 atm) under the vacuum of an "
            "oil pump",
        ),
        (
            "1,2-dichlorobenzene",
            90.0,
            "Distil off dichloromethane through a column at atmospheric pressure, then distil the",
        ),
        ("1,2-dichlorobenzene", 90.0, "(about 90 C) out of 1,2-dichlorobenzene through a short column"),
        (
            "chlorobenzene",
            143.0,
            "Distil off dichloromethane and chlorobenzene through a column at atmospheric pressure",
        ),
        # a miscible one is gone with the water
        ("dmf", None, "Strip off dichloromethane on the rotary evaporator into a tared flask"),
    ],
)
def test_what_the_reaction_ran_in_is_taken_off_as_well(own: str, boils_c: float | None, words: str) -> None:
    facts = () if boils_c is None else (boils("product", boils_c),)
    assert words in last(*facts, solvents=((own, 40.0),)).instruction
    stripped = last(f.Prepares(action="evaporate", subject=own), *facts, solvents=((own, 40.0),)).instruction
    assert table(Solvent)[own].name not in stripped


def test_a_solvent_that_boils_too_high_is_pumped_off() -> None:
    alone = last(solvents=(("1,2-dichlorobenzene", 40.0),), stripped=()).instruction
    assert alone.startswith("Strip off 1,2-dichlorobenzene (180 C at 1 atm) under the vacuum of an oil pump")


def test_what_is_too_near_to_be_taken_off_whole_is_told() -> None:
    near = "boils only 30 C away and cannot be taken off whole"
    assert near in closing._distilled("x", DCM.boiling_c + 29.9, DCM, "dichloromethane")[1]
    assert "away" not in closing._distilled("x", DCM.boiling_c + 30.0, DCM, "dichloromethane")[1]
    assert closing._distilled("x", 40.0, TOLUENE, "toluene")[1] == "toluene boils 71 C higher and stays behind"
    out = last(boils("product", 40.0), boils("c1", 50.0), solvent=TOLUENE)
    assert out.for_components == ()  # it comes over with the product


def test_drying_by_the_water_that_is_left() -> None:
    """Ether holds 1.47 % of water (Riddick, as in the table); drops are four tenths of a gram in a hundred millilitres."""
    held = 40 * ETHER.density_g_ml * ETHER.water_held_wt_pct / 100
    assert closing.water_left_g(ETHER, 40.0, brine=False) == pytest.approx(held + 0.16)
    assert closing.water_left_g(ETHER, 40.0, brine=True) == pytest.approx(0.35 * held + 0.16)
    # of a solvent whose water nobody has measured a twentieth of a per cent
    unknown = next(s for s in table(Solvent).values() if s.water_held_wt_pct is None and s.density_g_ml)
    held = 40 * unknown.density_g_ml * 0.0005
    assert closing.water_left_g(unknown, 40.0, brine=False) == pytest.approx(held + 0.16)
    rows = table(Desiccant)
    agent = rows["mgso4"]
    assert closing.desiccant_mass_g(1.0, agent) == round(2 / agent.capacity_g_per_g) / 2
    assert closing.desiccant_mass_g(0.01, agent) == 1.0
    assert closing.desiccant_mass_g(3.0, agent) == round(6 / agent.capacity_g_per_g) / 2


def dried(desiccant: str, solvent: Solvent = DCM, organic_ml: float = 40.0, *facts: Fact) -> list[PlanStep]:
    ke, job = thinking(EXTRACTED, given(f.Dries, desiccant=desiccant), *facts)
    return [d.step for d in sorted(closing.added_steps(ke, job, solvent, organic_ml), key=lambda d: d.rank)]


def test_the_steps_at_the_end() -> None:
    agent, off, strip = dried("mgso4")
    assert agent.instruction == (
        f"Dry over about 1 g of {table(Desiccant)['mgso4'].name} for {table(Desiccant)['mgso4'].wait_min:g} min (it meets some "
        "0.3 g of water); add more until fresh powder moves freely"
    )
    assert (agent.desiccant, agent.desiccant_g, agent.phase_kept) == ("mgso4", 1.0, "organic")
    assert off.instruction == "Filter, and rinse the solid with 3 × 4 mL of clean dry dichloromethane"
    assert (off.volume_ml, off.repeats, off.solvent, strip.action) == (4.0, 3, "dichloromethane", "concentrate")
    assert "it meets some 41 mg of water" in dried("mgso4", table(Solvent)["hexane"], 10.0)[0].instruction
    assert "it meets some 2 mg of water" in dried("mgso4", table(Solvent)["hexane"], 0.5)[0].instruction
    azeotrope, strip = dried("toluene_azeotrope")
    assert azeotrope.instruction.startswith("Strip with two portions of toluene") and azeotrope.desiccant_g is None
    salt, *rest = dried("mgso4", DCM, 40.0, given(f.Adds, subject="brine", rank=70.0))
    assert salt.reason == "takes most of the dissolved water" and salt.instruction.startswith(
        "Wash with 15 mL of brine"
    )
    assert (salt.solution, salt.repeats, salt.phase_kept) == ("brine", 1, "organic") and len(rest) == 3
    ke, job = thinking(EXTRACTED, given(f.Adds, subject="brine", rank=70.0))
    assert closing.added_steps(ke, job, DCM, 40.0)[0].step.exact_ml == pytest.approx(trial.layer_ml(job.mixture) / 3)
    licl = dried("mgso4", DCM, 40.0, given(f.Adds, subject="licl_5", rank=70.0))[0]
    assert licl.solution == "licl_5" and licl.reason == "given"
    # a wash that several rules ask for is made once, for the reason of the first
    ke, job = thinking(EXTRACTED)
    for rank, why in ((70.0, "DMF goes into it"), (65.0, "so does sulfolane")):
        ke.observe(given(f.Adds, subject="licl_5", rank=rank), why)
    once, _ = closing.added_steps(ke, job, DCM, 40.0)
    assert (once.rank, once.step.reason, len(once.step.fact_ids)) == (70.0, "DMF goes into it", 2)


# ---- what a step is


def test_funnels_are_filled_to_three_quarters() -> None:
    assert [funnel_for(v) for v in (22.5, 22.6, 45.0, 93.75, 94.0, 1500.0, 1501.0)] == [
        30,
        60,
        60,
        125,
        250,
        2000,
        None,
    ]


def test_each_quench_has_its_part_of_the_water() -> None:
    quench = PlanStep(1, "quench", "", "", (), solution="nahco3_sat")
    part = PlanStep(3, "part", "", "", (), volume_ml=30.0)
    assert quench_ml([quench, part]) == 30.0 == quench_ml([part]) and quench_ml([quench]) == 0.0
    assert quench_ml([quench, quench, PlanStep(1, "quench", "", "", ()), part]) == 15.0
    joins = PlanStep(3, "take up", "Add 20 mL of water", "", (), volume_ml=20.0)
    assert joins.joins_flask and quench_ml([quench, joins]) == 20.0
    assert (
        not PlanStep(3, "take up", "Extract", "", ()).joins_flask and not PlanStep(3, "wash", "Add", "", ()).joins_flask
    )
    assert quench_ml([quench, PlanStep(3, "neutralise", "", "", (), volume_ml=25.0)]) == 25.0


def test_streams_and_their_names() -> None:
    wash = in_streams(PlanStep(1, "wash", "", "", ()), {"organic layer": "flask A"})
    assert (wash.stream, wash.organic_to, wash.aqueous_to) == ("flask A", "flask A", "aqueous waste")
    own = in_streams(PlanStep(1, "wash", "", "", (), stream="flask B", organic_to="crude"))
    assert (own.stream, own.organic_to, own.aqueous_to) == ("flask B", "crude", "")


def test_the_words_of_portions() -> None:
    row = table(Solution)["hcl_1m"]
    assert portions("Wash", 1, 15.0, row) == "Wash with 15 mL of 1 M hydrochloric acid"
    assert portions("Wash", 2, 12.5, row) == "Wash with 2 × 12.5 mL of 1 M hydrochloric acid"


def test_a_way_through_water_in_words() -> None:
    from washlore.rules.ledger import Step

    row = table(Solution)["naoh_1m"]
    way = ThroughWater(
        row,
        "Extract",
        "as its salt",
        "aqueous layers",
        "rinsed",
        True,
        "6 M hydrochloric acid",
        "HCl",
        "6 M",
        "sets it free",
    )
    does = [Step("take up", row.id, "", 15.0, 3), Step("rinse water", "", "dichloromethane", 10.0, 2)]
    does += [Step("set ph", target_ph=2.0), Step("extract", "", "dichloromethane", 20.0, 3)]
    exact = [replace(step, volume_ml=step.volume_ml and step.volume_ml + 0.3) for step in does]
    up, rinse, acid, back = made = through_water(way, does, exact, "the acid", DCM, (4,))
    assert [s.exact_ml for s in made] == [15.3, 10.3, None, 20.3] and all(s.fact_ids == (4,) for s in made)
    assert (up.instruction, up.solution, up.solute, up.volume_ml, up.repeats) == (
        "Extract",
        "naoh_1m",
        row.formula,
        15.0,
        3,
    )
    assert rinse.instruction == "Shake the aqueous layers with 2 × 10 mL of dichloromethane; keep the aqueous layer"
    assert acid.instruction.startswith("Acidify the aqueous layer to pH 2 with 6 M hydrochloric acid, in ice")
    assert (acid.target_ph, acid.volume_ml, acid.solute) == (2.0, None, "HCl") and acid.reason.startswith(
        "sets it free; if a solid"
    )
    assert back.instruction == "Extract with 3 × 20 mL of dichloromethane; combine the organic layers"
    assert back.reason == "the acid goes back into the organic layer"
    assert [s.phase_kept for s in (up, rinse, acid, back)] == ["aqueous", "aqueous", "aqueous", "organic"]
