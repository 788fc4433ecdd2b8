"""Cyanide, azide, sulfide, bleach and their like in the flask: our own plan never lets acid come near them."""

from __future__ import annotations

import random

import pytest
from random_mixtures import Flask, flask

from washlore.knowledge.rows import Residue, Solution, table
from washlore.rules.judge import Considered, judge
from washlore.rules.mixture import build
from washlore.rules.plan import make_plan
from washlore.rules.proposal import as_proposal
from washlore.rules.reckon import PlanRefused
from washlore.rules.species import sheet

DRAWS = 8
POISONS = {
    "sodium cyanide": "[Na+].[C-]#N",
    "trimethylsilyl cyanide": "C[Si](C)(C)C#N",
    "diethyl cyanophosphonate": "CCOP(=O)(C#N)OCC",
    "hydrazoic acid": "N=[N+]=[N-]",
    "sodium azide": "[Na+].[N-]=[N+]=[N-]",
    "trimethylsilyl azide": "C[Si](C)(C)N=[N+]=[N-]",
    "sodium sulfide": "[Na+].[Na+].[S-2]",
    "calcium hypochlorite": "[Ca+2].[O-]Cl.[O-]Cl",
    "sodium cyanoborohydride": "[Na+].[BH3-]C#N",
    "potassium fluoride": "[K+].[F-]",
    "sodium nitrite": "[Na+].[O-]N=O",
}


def planned(product, *others, solvent="dichloromethane"):
    listed = [((name, "3 mmol", None), (name[:-9], "30 mmol", None))[name.endswith("; 30 mmol")] for name in others]
    return make_plan(build(product, listed, product_amount="10 mmol", solvents=[(solvent, 40.0)]), DRAWS)


def test_nitrite_is_not_destroyed_in_acid_beside_a_poison():
    """Sulfamic acid and urea destroy nitrite in acid only (``lunn_sansone``)."""
    for poison in ("sodium cyanide", "sodium azide", "sodium sulfide"):
        plan = planned("c1ccc(COc2ccccc2)cc1", "sodium nitrite", poison, solvent="toluene")
        (quench,) = [s for s in plan.steps if s.action == "quench"]
        assert table(Solution)[quench.solution].acts_as == "base" and "No acid here" in quench.instruction
        assert not any("its quench gives" in c.text for c in plan.cautions)
    alone = planned("c1ccc(COc2ccccc2)cc1", "sodium nitrite", solvent="toluene")
    assert "sulfamic acid" in alone.steps[0].instruction
    assert any("its quench gives" in c.text for c in alone.cautions)


def test_cyanide_is_not_brought_to_ph_8_with_acid():
    """An aminophenol's isoelectric pH is 8.5; hydrogen cyanide has pKa 9.2."""
    with pytest.raises(PlanRefused, match="hydrogen cyanide"):
        made = [("sodium cyanide", "10 mmol", None)]
        make_plan(build("CN(C)Cc1ccccc1O", made, product_amount="10 mmol", solvents=[("benzyl alcohol", 60.0)]), 1)


@pytest.mark.parametrize("poison", POISONS)
def test_no_plan_of_ours_frees_a_poison(poison):
    for seed in range(30):
        drawn = flask(random.Random(seed), 3)
        if POISONS[poison] in {smiles for smiles, _, _ in drawn.others}:
            continue
        drawn = Flask(
            drawn.kind,
            drawn.product,
            drawn.mmol,
            ((POISONS[poison], 3.0, "reagent"), *drawn.others),
            drawn.solvents,
            drawn.extract,
        )
        try:
            plan = make_plan(drawn.built(), DRAWS)
        except PlanRefused:
            continue
        judged = judge(as_proposal(plan), Considered(plan.mixture, plan, "", sheet(plan.mixture, DRAWS)))
        assert not [x.text for x in judged.findings if x.kind == "hazard"], f"seed {seed}: {drawn}"


@pytest.mark.parametrize("base", ["n-BuLi", "LiHMDS", "PhMgBr"])
@pytest.mark.parametrize("poison", ["sodium cyanide", "TMSCN", "sodium azide", "sodium hypochlorite"])
def test_a_strong_base_beside_a_poison_is_quenched_with_base(base, poison):
    plan = planned("CCOC(=O)CCc1ccccc1", base, poison, solvent="tetrahydrofuran")
    quench = next(s for s in plan.steps if s.action == "quench" and s.for_components == ("c1",))
    assert quench.solution == ("na2co3_10" if poison in ("sodium cyanide", "TMSCN") else "nahco3_sat")
    assert "stays above pH" in quench.instruction


@pytest.mark.parametrize("oxidant", ["Oxone", "ammonium persulfate"])
def test_an_oxidant_that_makes_water_acidic_meets_carbonate_first(oxidant):
    """Oxone is a hydrogen sulfate: in plain water it would set hydrogen cyanide free."""
    beside = planned("CCOC(=O)CCc1ccccc1", oxidant, "sodium cyanide").steps[0].instruction
    assert "with 10 % sodium sulfite, at least" in beside and "Stir solid sodium carbonate in first" in beside
    assert "with water, then 10 % sodium sulfite" in planned("CCOC(=O)CCc1ccccc1", oxidant).steps[0].instruction


def test_the_water_with_the_poison_is_away_before_the_acid():
    plan = planned("CCOC(=O)CCc1ccccc1", "sodium cyanide", "aniline")
    washes = [s for s in plan.steps if s.action == "wash"]
    assert [s.solution for s in washes[:2]] == ["na2co3_10", "khso4_1m"]
    assert "before it is away" in washes[0].reason and "hydrogen cyanide" in washes[0].reason
    assert "before it is away" not in planned("CCOC(=O)CCc1ccccc1", "sodium chloride", "aniline").steps[0].reason


@pytest.mark.parametrize("poison", ["sodium cyanide", "sodium azide", "sodium sulfide"])
def test_an_acid_held_as_its_salt_beside_a_poison_is_not_set_free(poison):
    with pytest.raises(PlanRefused, match="no order of washes parts the two"):
        planned("OC(=O)c1ccc(OCc2ccccc2)cc1", "sodium hydroxide; 30 mmol", poison)


def test_each_leftover_that_acid_turns_into_a_poison_is_tried_here():
    rows = {row.id for row in table(Residue).values() if row.acid_frees}
    tried = {
        row.id
        for smiles in (*POISONS.values(), "O=S([O-])[O-].[Na+].[Na+]", "BrC#N", "[O-]Cl=O.[Na+]", "CCOC(=O)C#N")
        for row in rows_of(smiles)
    }
    assert rows <= tried, rows - tried


def rows_of(smiles):
    from washlore.knowledge.groups import all_residues
    from washlore.knowledge.structure import molecules

    return [row for row, _ in all_residues(tuple(molecules(smiles)))]
