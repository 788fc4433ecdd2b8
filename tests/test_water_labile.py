"""Products that water takes apart: refused with the reason, asked to be quick with, or left alone where they stand it."""

from __future__ import annotations

import pytest

from washlore.knowledge.groups import all_residues, becomes, molecule_groups
from washlore.knowledge.rows import Residue, table
from washlore.knowledge.structure import molecules
from washlore.rules import facts as f
from washlore.rules.judge import consider, judge
from washlore.rules.judging.cases import shorthand
from washlore.rules.mixture import build
from washlore.rules.plan import make_plan
from washlore.rules.reckon import PlanRefused

END = " | dry na2so4 | filter off desiccant | concentrate"


def flask(product, *others):
    rest = [(name, "2 mmol", None) for name in others or ("triethylamine",)]
    return build(product, rest, product_amount="10 mmol", solvents=[("dichloromethane", 40.0)])


# Chemistry of the classes: common practice; boron after the review of boron reagents named in sources.csv.
FALLS = [
    ("CCOB(OCC)c1ccccc1", "boronic acid, which is isolated instead"),
    ("CC(C)OB(OC(C)C)c1ccccc1", "boronic acid, which is isolated instead"),
    ("c1ccc2OB(c3ccccc3)Oc2c1", "boronic acid, which is isolated instead"),
    ("C1COB(c2ccccc2)OC1", "boronic acid, which is isolated instead"),
    ("CCOC(=O)[C@H]1OB(CC=C)O[C@@H]1C(=O)OCC", "boronic acid, which is isolated instead"),
    ("COB(OC)OC", "the alcohol and boric acid"),
    ("CC(C)OB1OC(C)(C)C(C)(C)O1", "the alcohol and boric acid"),
    ("CCOB(c1ccccc1)c1ccccc1", "borinic acid"),
    ("ClB(Cl)c1ccccc1", "hydrolysed at once"),
    ("CCCCB(CCCC)OS(=O)(=O)C(F)(F)F", "hydrolysed at once"),
    ("CN(C)B(N(C)C)c1ccccc1", "an aminoborane"),
    ("C[Si](C)(C)C#N", "hydrogen cyanide"),
    ("C[Si](C)(C)N=[N+]=[N-]", "hydrazoic acid"),
    ("C[Si](C)(C)n1ccnc1", "an N-silyl imidazole"),
    ("C[Si](C)(C)N=Cc1ccccc1", "an N-silyl imine"),
    ("C[Si](C)(C)OC(=O)CCc1ccccc1", "water alone"),
    ("C[Si](C)(C)OP(=O)(C)O[Si](C)(C)C", "phosphorus acid"),
    ("CCOS(=O)Cl", "chlorosulfite"),
    ("O=C=NS(=O)(=O)c1ccc(C)cc1", "isocyanate"),
    ("O=S=Nc1ccccc1", "sulfur dioxide"),
    ("C=[N+](C)C.[I-]", "an iminium salt"),
    ("C1CC[N+](=C2CCCCC2)C1.[Cl-]", "an iminium salt"),
    ("CN(C)C(Cl)=[N+](C)C.[Cl-]", "an iminium salt"),
    ("O=C(n1ccnc1)n1ccnc1", "carbon dioxide"),
    ("COC(OC)N(C)C", "amide acetal"),
    ("CN(C)CCl", "an alpha-halo amine"),
    ("ClC(c1ccccc1)(c1ccccc1)c1ccccc1", "carbinol"),
    ("ClC(=Nc1ccccc1)c1ccccc1", "hydrolysed to the amide"),
    ("COS(=O)(=O)C(F)(F)F", "reactive alkyl triflate"),
    ("CCCC[Sn](CCCC)(CCCC)OC", "tin oxide"),
    ("Cl[Se]c1ccccc1", "selenenyl"),
    ("ClP(Cl)(c1ccccc1)(c1ccccc1)c1ccccc1", "halophosphonium"),
    ("O=C(Cl)CCc1ccccc1", "hydrolysed to the acid"),
    ("C[Si](C)(C)Cl", "silanol"),
    ("CCOP(=O)(Cl)OCC", "phosphorus acid"),
    ("O=C(Cl)OCc1ccccc1", "decarboxylated"),
    ("O=C=C(c1ccccc1)c1ccccc1", "a ketene"),
]


@pytest.mark.parametrize(("product", "words"), FALLS)
def test_what_water_destroys_is_refused_with_its_reason(product, words):
    with pytest.raises(PlanRefused, match=words) as told:
        make_plan(flask(product), draws=8)
    assert "no aqueous wash is right" in str(told.value)


@pytest.mark.parametrize("solution", ["water", "naoh_1m", "hcl_1m", "nahco3_sat"])
@pytest.mark.parametrize("product", ["CCOB(OCC)c1ccccc1", "c1ccc2OB(c3ccccc3)Oc2c1", "C=[N+](C)C.[I-]"])
def test_any_water_on_it_is_a_loss(product, solution):
    judged = judge(shorthand(f"wash {solution} 15" + END), consider(flask(product), 8))
    assert judged.verdict == "flawed"
    assert {"water-breaks-the-product"} == {x.rule for x in judged.findings if x.kind == "loss"}


@pytest.mark.parametrize(
    "product",
    [
        "CC1(C)OB(c2ccccc2)OC1(C)C",
        "CC1(C)COB(c2ccccc2)OC1",
        "CC1CC(C)(C)OB(c2ccccc2)O1",
        "CC1(C)OB(B2OC(C)(C)C(C)(C)O2)OC1(C)C",
        "C[N+]12CC(=O)O[B-]1(c1ccccc1)OC(=O)C2",
        "B1(c2ccccc2)Nc2cccc3cccc(c23)N1",
        "OB1OCc2ccccc12",
        "CC(=O)O[Si](C)(C)C(C)(C)C",
        "CCCCCCOS(=O)(=O)C(F)(F)F",  # washed cold and quickly in published practice
        "O=S1(=O)OCC(c2ccccc2)O1",  # made from the sulfite with periodate in water
        "O=S1OCC(c2ccccc2)O1",
        "CN(C)S(=O)(=O)Cl",
        "S=C(Cl)Oc1ccccc1",
        "FC(F)(F)C(Cl)=Nc1ccccc1",
        "CC(C)(C)[Si](C)(C)n1ccnc1",
        "CN(C)C(=O)n1ccnc1",
        "Cc1cc(C)n2c1C=C1C(C)=CC(C)=[N+]1[B-]2(F)F",
    ],
)
def test_what_stands_water_is_planned_with_it(product):
    plan = make_plan(flask(product, "succinimide"), draws=8)
    assert plan.recovered[1] > 0.5


@pytest.mark.parametrize(
    ("product", "other", "words"),
    [
        ("O=C(c1ccccc1)n1ccnc1", "imidazole", "ice-cold"),
        ("CCCCCCOS(=O)(=O)C(F)(F)F", "pyridine", "ice-cold"),
        ("CCOC(=O)OC(=O)c1ccccc1", "triethylamine hydrochloride", "ice-cold"),
    ],
)
def test_what_stands_water_for_minutes_is_to_be_quick_with(product, other, words):
    plan = make_plan(flask(product, other), draws=8)
    texts = [k.reasons[0].text for k in plan.known.values() if type(k.fact) is f.Cautions and k.fact["id"] == "brief"]
    assert len(texts) == 1 and words in texts[0]


def test_pinacol_ester_keeps_its_limits_and_base_is_told_of():
    judged = judge(shorthand("wash naoh_1m 15" + END), consider(flask("CC1(C)OB(c2ccccc2)OC1(C)C", "phenol"), 8))
    assert "base-is-a-gamble" in {x.rule for x in judged.findings}


def test_a_labile_boronate_beside_the_product_becomes_the_boronic_acid():
    row = table(Residue)["labile_boronate"]
    assert set(becomes(row, molecules("c1ccc2OB(c3ccccc3)Oc2c1")[0])) == {"OB(O)c1ccccc1", "Oc1ccccc1O"}
    plan = make_plan(flask("CCOC(=O)c1ccc(OC)cc1", "CCOB(OCC)c1ccccc1"), draws=8)
    assert plan.steps[0].action == "quench" and plan.steps[0].solution in ("", "water")
    boron = next(c for c in plan.mixture.components if c.smiles == "OB(O)c1ccccc1")
    assert plan.left[boron.id][1] < 0.01


def test_a_dye_is_no_iminium_salt():
    violet = "CN(C)c1ccc(cc1)C(=C1C=CC(=[N+](C)C)C=C1)c1ccc(cc1)N(C)C"
    ids = {m.group.id for p in molecules(violet) for m in molecule_groups(p)}
    assert "iminium" not in ids
    assert not any(row.id == "dialkylborane" for row, _ in all_residues(molecules("CN(C)(C)->B")))
