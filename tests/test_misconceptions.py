"""Each misconception that a plan may hold: one that holds it is found out, and a near miss without it is not."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import pytest

from washlore.rules.judge import Considered, Judgement, consider, judge
from washlore.rules.mixture import build, read_other
from washlore.rules.reading import read_plan

CINNAMATE, CHLOROANISOLE, ACETAL = "CCOC(=O)/C=C/c1ccccc1", "COCCc1ccc(Cl)cc1", "c1ccccc1C1OCCO1"
OCTYLAMINE, HYDROCINNAMIC, CRESOL = "NCCCCCCCC", "OC(=O)CCc1ccccc1", "Cc1ccc(O)cc1"
END = " Dry over Na2SO4, filter, rinse, evaporate."


class Case(NamedTuple):
    """A mixture, a plan with a misconception, what is to be found of it, and the same plan without it."""

    name: str
    product: str
    others: tuple[str, ...]
    solvent: str
    wrong: str
    kind: str
    rules: tuple[str, ...]
    words: str  # within the quoted words of the step; empty where the plan as a whole is meant
    remedy: str
    right: str


CASES = (
    Case(
        "the top layer, with dichloromethane", CINNAMATE, ("pyridine",), "DCM",
        "Wash with 2 x 15 mL 1 M HCl and keep the top layer. Wash with 15 mL brine." + END,
        "loss", ("heavier-layer-below",), "HCl", "bottom",
        "Wash with 2 x 15 mL 1 M HCl and keep the bottom layer. Wash with 15 mL brine." + END,
    ),
    Case(
        "the bottom layer, with ether", CINNAMATE, ("pyridine",), "diethyl ether",
        "Wash with 2 x 15 mL 1 M HCl and keep the lower layer. Wash with 15 mL brine." + END,
        "loss", ("heavier-layer-below",), "HCl", "top",
        "Wash with 2 x 15 mL 1 M HCl and keep the upper layer. Wash with 15 mL brine." + END,
    ),
    Case(
        "an amine thrown away with an acid wash", OCTYLAMINE, ("CCCCCCCCCCOC",), "diethyl ether",
        "Wash with 2 x 20 mL 1 M HCl and 15 mL brine." + END,
        "loss", ("acid-takes-the-product",), "HCl", "basic",
        "Extract with 3 x 20 mL 1 M HCl. Basify the aqueous layer to pH 13 with NaOH and extract with 3 x 20 mL ether." + END,
    ),
    Case(
        "an acid thrown away with a base wash", HYDROCINNAMIC, ("CCCCCCCCCCOC",), "diethyl ether",
        "Wash with 2 x 30 mL sat. NaHCO3 and 15 mL brine." + END,
        "loss", ("base-takes-the-product",), "NaHCO3", "acidify",
        "Extract with 3 x 30 mL sat. NaHCO3. Acidify the aqueous layer to pH 2 and extract with 3 x 30 mL ether." + END,
    ),
    Case(
        "hydroxide on an ester", "COC(=O)CCCO", ("benzoic acid",), "DCM",
        "Wash with 2 x 15 mL 1 M NaOH." + END,
        "loss", ("base-breaks-the-product",), "NaOH", "hydrogen carbonate",
        "Wash with 15 mL sat. NaHCO3." + END,
    ),
    Case(
        "strong acid on an acetal", ACETAL, ("triethylamine",), "DCM",
        "Wash with 2 x 15 mL 1 M HCl and 15 mL brine." + END,
        "loss", ("acid-breaks-the-product",), "HCl", "phosphate",
        "Wash with 3 x 15 mL phosphate buffer pH 6 and 15 mL brine." + END,
    ),
    Case(
        "bicarbonate for a phenol", CHLOROANISOLE, ("phenol",), "DCM",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine." + END,
        "leftover", ("too-weak-a-base",), "NaHCO3", "hydroxide",
        "Wash with 3 x 15 mL 1 M NaOH and 15 mL brine." + END,
    ),
    Case(
        "hydroxide where it takes the product too", CRESOL, ("benzoic acid",), "DCM",
        "Wash with 2 x 20 mL 1 M NaOH and 15 mL brine." + END,
        "loss", ("base-takes-the-product",), "NaOH", "bicarbonate",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine." + END,
    ),
    Case(
        "an acid wash for an acid", CINNAMATE, ("benzoic acid",), "DCM",
        "Wash with 2 x 15 mL 1 M HCl and 15 mL brine." + END,
        "leftover", ("acid-for-an-acid",), "HCl", "base",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine." + END,
    ),
    Case(
        "a base wash for a base", CINNAMATE, ("triethylamine",), "DCM",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine." + END,
        "leftover", ("base-for-a-base",), "NaHCO3", "acid",
        "Wash with 2 x 15 mL 1 M HCl and 15 mL brine." + END,
    ),
    Case(
        "one wash where several are needed", CINNAMATE, (), "DMF",
        "Dilute with 60 mL DCM. Wash with 40 mL water." + END,
        "leftover", ("too-few-portions",), "water", "portions",
        "Dilute with 100 mL ether. Wash with 5 x 60 mL water and 30 mL brine." + END,
    ),
    Case(
        "a wash with too little capacity", CINNAMATE, ("triethylamine; 12 mmol",), "DCM",
        "Wash with 5 mL 0.1 M HCl." + END,
        "leftover", ("used-up",), "HCl", "take more",
        "Wash with 2 x 15 mL 1 M HCl." + END,
    ),
    Case(
        "brine to take organics out", CINNAMATE, ("triethylamine",), "DCM",
        "Wash with 3 x 15 mL brine." + END,
        "leftover", ("brine-removes-nothing",), "brine", "before it",
        "Wash with 2 x 15 mL 1 M HCl and 15 mL brine." + END,
    ),
    Case(
        "brine skipped with ethyl acetate", CINNAMATE, ("benzoic acid",), "ethyl acetate",
        "Wash with 2 x 15 mL sat. NaHCO3." + END,
        "technique", ("brine-is-skipped",), "Dry", "brine last",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine." + END,
    ),
    Case(
        "dried before it is washed", CINNAMATE, ("benzoic acid",), "DCM",
        "Dry over MgSO4 and filter. Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine. Evaporate.",
        "technique", ("dried-too-early",), "Dry", "wash first",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine. Dry over MgSO4 and filter. Evaporate.",
    ),
    Case(
        "evaporated without drying", CINNAMATE, ("benzoic acid",), "DCM",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine. Evaporate the solvent.",
        "leftover", ("not-dried",), "Evaporate", "dry over",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine. Dry over MgSO4, filter. Evaporate the solvent.",
    ),
    Case(
        "evaporated before the drying agent is filtered off", CINNAMATE, ("benzoic acid",), "DCM",
        "1. Wash with 2 x 15 mL sat. NaHCO3\n2. Wash with 15 mL brine\n3. Dry over MgSO4\n4. Evaporate the solvent\n5. Filter",
        "technique", ("stripped-too-early", "not-filtered"), "", "filter",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine. Dry over MgSO4. Filter. Evaporate the solvent.",
    ),
    Case(
        "calcium chloride with an alcohol", "OC1CCCCC1CCC", ("benzoic acid",), "DCM",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine. Dry over CaCl2, filter, evaporate.",
        "loss", ("desiccant-holds-product",), "CaCl2", "sulfate",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine. Dry over MgSO4, filter, evaporate.",
    ),
    Case(
        "calcium chloride with an amine", OCTYLAMINE, ("sodium chloride",), "diethyl ether",
        "Wash with 15 mL water and 15 mL brine. Dry over calcium chloride, filter, evaporate.",
        "loss", ("desiccant-holds-product",), "calcium chloride", "dry over",
        "Wash with 15 mL water and 15 mL brine. Dry over potassium carbonate, filter, evaporate.",
    ),
    Case(
        "potassium carbonate with a carboxylic acid", HYDROCINNAMIC, ("pyridine",), "DCM",
        "Wash with 2 x 15 mL 1 M HCl and 15 mL brine. Dry over K2CO3, filter, evaporate.",
        "loss", ("desiccant-holds-product",), "K2CO3", "sulfate",
        "Wash with 2 x 15 mL 1 M HCl and 15 mL brine. Dry over Na2SO4, filter, evaporate.",
    ),
    Case(
        "magnesium sulfate with an enol ether", "C=COCCCCCCc1ccccc1", ("sodium chloride",), "diethyl ether",
        "Wash with 15 mL water and 15 mL brine. Dry over MgSO4, filter, evaporate.",
        "technique", ("desiccant-harms-product",), "MgSO4", "dry over",
        "Wash with 15 mL water and 15 mL brine. Dry over K2CO3, filter, evaporate.",
    ),
    Case(
        "a water-miscible extraction solvent", CINNAMATE, ("benzoic acid",), "DMF",
        "Add 60 mL water. Extract with 3 x 20 mL acetone. Wash with 15 mL sat. NaHCO3 and 15 mL brine." + END,
        "loss", ("miscible-extractant",), "acetone", "does not mix",
        "Add 60 mL water. Extract with 3 x 30 mL ether. Wash with 2 x 30 mL sat. NaHCO3, 3 x 30 mL water and 15 mL brine." + END,
    ),
    Case(
        "a portion far too small", CINNAMATE, ("potassium chloride",), "DCM",
        "Wash with 2 mL water." + END,
        "technique", ("odd-volume",), "water", "third of the layer",
        "Wash with 15 mL water." + END,
    ),
    Case(
        "a portion far too large", CINNAMATE, ("potassium chloride",), "DCM",
        "Wash with 200 mL water." + END,
        "technique", ("odd-volume",), "water", "small portions",
        "Wash with 40 mL water." + END,
    ),
    Case(
        "a funnel overfull", CINNAMATE, ("potassium chloride",), "",
        "Dissolve in 1000 mL ether. Wash with 1000 mL water." + END,
        "technique", ("overfull",), "water", "halves",
        "Dissolve in 100 mL ether. Wash with 30 mL water." + END,
    ),
    Case(
        "no venting with much acid and bicarbonate", CINNAMATE, ("acetic acid; 40 mmol",), "ethyl acetate",
        "Wash with 2 x 30 mL sat. NaHCO3 and 15 mL brine." + END,
        "technique", ("vent-is-missing",), "NaHCO3", "vent",
        "Wash with 2 x 30 mL sat. NaHCO3, venting often, and 15 mL brine." + END,
    ),
    Case(
        "no venting in a list with ether", CINNAMATE, ("pyridine",), "diethyl ether",
        "1. Wash with 2 x 15 mL 1 M HCl\n2. Wash with 15 mL brine\n3. Dry over MgSO4\n4. Filter and rinse with ether\n5. Evaporate",
        "technique", ("venting-is-not-listed",), "HCl", "vent",
        "1. Wash with 2 x 15 mL 1 M HCl, vent\n2. Wash with 15 mL brine\n3. Dry over MgSO4\n4. Filter and rinse with ether\n"
        "5. Evaporate",
    ),
    Case(
        "no rinse in a list", CINNAMATE, ("pyridine",), "ethyl acetate",
        "1. Wash with 2 x 15 mL 1 M HCl\n2. Wash with 15 mL brine\n3. Dry over MgSO4\n4. Filter\n5. Evaporate",
        "technique", ("rinse-is-not-listed",), "Filter", "rinse",
        "1. Wash with 2 x 15 mL 1 M HCl\n2. Wash with 15 mL brine\n3. Dry over MgSO4\n4. Filter and rinse with EtOAc\n5. Evaporate",
    ),
    Case(
        "no quench of a hydride", "OC(C)c1ccccc1", ("LiAlH4",), "diethyl ether",
        "Wash with 2 x 15 mL water and 15 mL brine." + END,
        "hazard", ("quench-is-missing",), "water", "quench",
        "Quench dropwise at 0 C with 5 mL water. Wash with 2 x 15 mL Rochelle salt and 15 mL brine." + END,
    ),
    Case(
        "the quench after the wash", "OC(C)c1ccccc1", ("methylmagnesium bromide; 3 mmol",), "diethyl ether",
        "Wash with 2 x 15 mL water. Then quench with sat. NH4Cl. Wash with 15 mL brine." + END,
        "hazard", ("quench-is-missing",), "water", "quench before any wash",
        "Quench dropwise with 15 mL sat. NH4Cl. Wash with 15 mL water and 15 mL brine." + END,
    ),
    *(
        Case(
            f"acid onto {salt}", CINNAMATE, (salt,), "DCM",
            "Wash with 2 x 15 mL 1 M HCl and 15 mL brine." + END,
            "hazard", ("acid-frees-poison",), "HCl", "carbonate",
            "Wash with 3 x 15 mL 10% Na2CO3 and 15 mL brine." + END,
        )
        for salt in ("sodium cyanide", "sodium azide", "sodium sulfide", "sodium hypochlorite")
    ),
    Case(
        "the aqueous layers thrown away too early", "OCc1ccccc1", ("benzoic acid",), "ethyl acetate",
        "Wash with 2 x 15 mL sat. NaHCO3. Discard the aqueous layers. Wash with 15 mL brine." + END,
        "technique", ("keep-all-layers",), "Discard", "keep every layer",
        "Wash with 2 x 15 mL sat. NaHCO3. Wash with 15 mL brine." + END,
    ),
    Case(
        "no pH checked in a swap", HYDROCINNAMIC, ("CCCCCCCCO",), "diethyl ether",
        "Extract with 3 x 20 mL 1 M NaOH. Acidify the aqueous layer with 6 M HCl. Extract with 3 x 20 mL ether." + END,
        "technique", ("ph-not-checked",), "Acidify", "paper",
        "Extract with 3 x 20 mL 1 M NaOH. Acidify the aqueous layer with 6 M HCl and check with pH paper. Extract with 3 x 20 mL "
        "ether." + END,
    ),
    Case(
        "an impurity that no wash touches", CINNAMATE, ("benzoic acid", "pyridine; 12 mmol"), "DCM",
        "Wash with 2 x 15 mL sat. NaHCO3 and 15 mL brine." + END,
        "leftover", ("nothing-touches-it", "part-of-it-stays"), "", "acid",
        "Wash with 2 x 15 mL 1 M HCl, 2 x 15 mL sat. NaHCO3 and 15 mL brine." + END,
    ),
    Case(
        "a wash with nothing to do", CINNAMATE, ("pyridine",), "DCM",
        "Wash with 2 x 15 mL 1 M HCl, 15 mL 10% Na2S2O3 and 15 mL brine." + END,
        "technique", ("idle-wash",), "Na2S2O3", "leave it out",
        "Wash with 2 x 15 mL 1 M HCl, 15 mL sat. NaHCO3 and 15 mL brine." + END,
    ),
)  # fmt: skip


@cache
def flask(product: str, others: tuple[str, ...], solvent: str) -> Considered:
    solvents = [(solvent, 40.0)] if solvent else []
    return consider(build(product, [read_other(o) for o in others], product_amount="10 mmol", solvents=solvents))


def judged(case: Case, text: str) -> Judgement:
    return judge(read_plan(text), flask(case.product, case.others, case.solvent))


@pytest.mark.parametrize("case", CASES, ids=[c.name.replace(" ", "-") for c in CASES])
def test_a_misconception_is_found_with_its_kind_step_words_and_remedy(case: Case) -> None:
    made = judged(case, case.wrong)
    found = [f for f in made.findings if f.rule in case.rules]
    assert found, [(f.kind, f.rule, f.text) for f in made.findings]
    assert any(
        f.kind == case.kind and case.words in f.quote and bool(f.quote) == bool(f.step) and case.remedy in f.remedy
        for f in found
    ), [(f.kind, f.step, f.quote, f.remedy) for f in found]
    assert made.verdict == {"hazard": "dangerous", "loss": "flawed"}.get(case.kind, made.verdict) != "ok"


@pytest.mark.parametrize("case", CASES, ids=[c.name.replace(" ", "-") for c in CASES])
def test_the_near_miss_is_silent(case: Case) -> None:
    made = judged(case, case.right)
    assert not [f for f in made.findings if f.rule in case.rules], [(f.rule, f.text) for f in made.findings]
    assert made.verdict in ("ok", "minor"), [(f.kind, f.rule, f.text) for f in made.findings]
