"""Sound plans that differ from ours in every choice they make: none of them is faulted, and all of each is read."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from washlore.rules.judge import Considered, consider, judge
from washlore.rules.mixture import build, read_other
from washlore.rules.mixture_file import read_mixture
from washlore.rules.reading import read_plan

EXAMPLES = Path(__file__).resolve().parents[1] / "cli" / "examples"
PLANS = (
    (
        "ester",
        "Wash with 1 M KHSO4 (3 x 15 mL), saturated sodium bicarbonate (2 x 15 mL) and brine. Dry over "
        "Na2SO4, filter, rinse with DCM and strip.",
    ),
    (
        "ester",
        "The DCM solution was washed with 10% citric acid (4 × 20 mL), water (20 mL), 5% Na2CO3 (2 x 15 mL) "
        "and brine (15 mL), dried (MgSO4), filtered and concentrated.",
    ),
    (
        "ester",
        "1. 3 x 10 mL 2 M HCl, vent\n2. 10 mL water\n3. 2 x 10 mL sat. NaHCO3, vent\n4. 10 mL brine\n5. Na2SO4, "
        "10 min\n6. filter, rinse 2 x 3 mL DCM\n7. rotovap",
    ),
    (
        "ester",
        "strip the DCM, take up in 50 mL MTBE, wash 1N HCl 2x20, bicarb 2x20, brine 20, Na2SO4, filter, evaporate",
    ),
    (
        "ester",
        "Dilute with 30 mL ether; wash with 5% HCl three times 20 mL, water, NaHCO3 twice 15 mL, brine; dry "
        "over sodium sulfate; filter; evaporate.",
    ),
    (
        "ester",
        "Charge 1 M HCl (15 mL), stir, settle, draw off the bottom organic layer, discard the top aqueous. Repeat once. Charge "
        "sat. NaHCO3 (15 mL), stir, settle, discard the aqueous. Repeat once. Charge brine (15 mL), stir, separate. Dry over "
        "MgSO4; filter; concentrate.",
    ),
    (
        "ester",
        "Laver 2 fois avec HCl 1 M (15 mL), 2 fois avec NaHCO3 sat. (15 mL), 1 fois avec saumure (15 mL). Sécher sur MgSO4, "
        "filtrer, évaporer.",
    ),
    (
        "amide",
        "Pour into 60 mL water, extract with EtOAc (3 x 30 mL). Wash the combined extracts with 5% LiCl (3 x "
        "30 mL), 10% citric acid (2 x 20 mL), sat. NaHCO3 (2 x 20 mL) and brine (20 mL). Dry over MgSO4, "
        "filter, evaporate.",
    ),
    (
        "amide",
        "Dilute with 80 mL ethyl acetate, wash with water (4 x 40 mL), 1 M KHSO4 (2 x 20 mL), bicarbonate (2 "
        "x 20 mL), brine. Back-extract the first water with 30 mL ethyl acetate and combine. Na2SO4, filter, "
        "concentrate.",
    ),
    (
        "amide",
        "The mixture was partitioned between MTBE (80 mL) and water (80 mL). The aqueous phase was extracted "
        "with MTBE (2 x 40 mL). The combined organic phases were washed with 0.5 M HCl (2 x 30 mL), water (3 "
        "x 40 mL), sat. aq. NaHCO3 (2 x 30 mL) and brine (30 mL), dried (Na2SO4), filtered and evaporated.",
    ),
    (
        "amide",
        "- 60 mL water, 3 x 40 mL ether, vent\n- wash ether: water 4 x 30 mL\n- 10 % citric acid 2 x 20 mL\n- "
        "sat. NaHCO3 2 x 20 mL\n- brine 20 mL\n- MgSO4\n- filter, rinse with ether\n- rotovap",
    ),
    (
        "amide",
        "Add 100 mL brine and extract with 3 x 40 mL isopropyl acetate. Wash with 3 x 30 mL 5% NaHCO3, 2 x "
        "30 mL 5% citric acid, 5 x 30 mL water, 30 mL brine. Dry over sodium sulphate, filter and strip.",
    ),
    (
        "amine",
        "Extract the ether with 3 x 20 mL 1 M HCl. Wash the acid extracts with 20 mL ether. Make basic to pH "
        "13 with 6 M NaOH in ice, extract with 3 x 20 mL DCM, dry over K2CO3, filter, rinse, evaporate.",
    ),
    (
        "amine",
        "The amine was taken up into 10% citric acid (3 × 25 mL); the aqueous layers were washed with MTBE "
        "(20 mL), basified to pH 12 with 15% NaOH and extracted with MTBE (3 × 25 mL). The extracts were "
        "washed with brine, dried over Na2SO4, filtered and concentrated.",
    ),
    (
        "amine",
        "Wash with 2 x 15 mL 10% Na2CO3. Extract with 2 M HCl 3x15 mL, basify the water to pH 12 with NaOH "
        "(check with paper), extract 3x25 mL ether, brine, Na2SO4, filter, evaporate",
    ),
    (
        "amine",
        "1) 1 M H2SO4 3 x 20 mL, keep the aqueous layers\n2) wash them with 20 mL ether\n3) 6 M NaOH to pH 13, "
        "ice\n4) EtOAc 3 x 25 mL\n5) brine\n6) Na2SO4\n7) filter, rinse\n8) rotovap",
    ),
    (
        "amine",
        "Shake with 20 mL portions of 1 N HCl three times, combine the acid layers, make alkaline (pH 12) "
        "with ammonia, extract with dichloromethane (3 x 20 mL), dry (Na2SO4), filter, evaporate.",
    ),
)


@cache
def thought(name: str) -> Considered:
    return consider(read_mixture(EXAMPLES / f"{name}.toml"))


@pytest.mark.parametrize(("name", "text"), PLANS)
def test_a_sound_plan_is_not_faulted(name: str, text: str) -> None:
    plan = read_plan(text)
    assert not plan.unread
    made = judge(plan, thought(name))
    assert made.verdict == "ok", [(f.kind, f.rule, f.text) for f in made.findings]


@pytest.mark.parametrize("catalyst", ["Pd(PPh3)4; 0.15 mmol", "Pd(OAc)2; 0.2 mmol", "PdCl2(dppf); 0.1 mmol"])
def test_a_coupling_that_leaves_its_catalyst_to_the_column_is_not_faulted(catalyst: str) -> None:
    """Water and brine, then chromatography: how most palladium couplings are worked up (common practice)."""
    flask = build(
        "COc1ccc(-c2ccccc2C#N)cc1",
        [read_other(catalyst), read_other("K2CO3; 15 mmol")],
        product_amount="5 mmol",
        solvents=[("1,4-dioxane", 20.0), ("water", 5.0)],
    )
    plan = read_plan(
        "Dilute with EtOAc (40 mL) and water (20 mL). Separate the layers, extract the aqueous with EtOAc (2 x 20 mL). Wash the "
        "combined organics with brine (20 mL), dry over Na2SO4, filter and concentrate."
    )
    made = judge(plan, consider(flask))
    assert made.verdict == "ok", [(f.kind, f.rule, f.text) for f in made.findings]


@pytest.mark.parametrize(
    "start",
    [
        "Add saturated NaHCO3 slowly until no more gas comes.",
        "Carefully add solid sodium bicarbonate until effervescence ceases.",
        "Quench with sat. NaHCO3.",
        "Neutralise with 10 % Na2CO3.",
        "Pour onto ice, neutralise carefully with solid Na2CO3 until pH 8.",
    ],
)
def test_acid_is_neutralised_with_as_much_as_it_takes(start: str) -> None:
    """A pyridine ester out of methanol with two equivalents of sulfuric acid: where no volume is given, enough is meant."""
    flask = build(
        "COC(=O)c1cccnc1", [read_other("H2SO4; 20 mmol")], product_amount="10 mmol", solvents=[("methanol", 30.0)]
    )
    made = judge(
        read_plan(start + " Extract with DCM (3 x 20 mL). Wash with brine, dry over Na2SO4, filter, evaporate."),
        consider(flask),
    )
    assert made.verdict == "ok", [(f.kind, f.rule, f.text) for f in made.findings]


@pytest.mark.parametrize("left", ["methyl 4-bromobenzoate; 1 mmol", "Boc2O; 1 mmol"])
@pytest.mark.parametrize(
    "start",
    [
        "Evaporate the methanol. Wash the aqueous residue with ether (2 x 20 mL),",
        "Wash the aqueous layer with ether (2 x 20 mL),",
        "Wash with ether (2 x 20 mL),",
    ],
)
def test_the_water_of_the_reaction_is_rinsed_before_it_is_acidified(start: str, left: str) -> None:
    """No water needs to be added: the reaction ran in it, and it holds the product as its salt (Vogel)."""
    flask = build(
        "OC(=O)c1ccc(OCc2ccccc2)cc1",
        [read_other("NaOH; 22 mmol"), read_other(left)],
        product_amount="10 mmol",
        solvents=[("water", 20.0)],
    )
    text = f"{start} acidify to pH 2 with 6 M HCl, extract with EtOAc (3 x 20 mL), wash with brine, dry over MgSO4, filter, strip."
    made = judge(read_plan(text), consider(flask))
    assert made.verdict == "ok", [(f.kind, f.rule, f.text) for f in made.findings]


@pytest.mark.parametrize(
    ("product", "leftover", "solvent", "text"),
    [
        ("OCc1ccc(C(C)(C)C)cc1", "LiAlH4; 5 mmol", "diethyl ether",
         "cool to 0, dropwise 0.2 mL water, 0.2 mL 15 % NaOH, 0.6 mL water; MgSO4; filter; evaporate"),
        ("OCc1ccc(C(C)(C)C)cc1", "LiAlH4; 5 mmol", "diethyl ether",
         "Fieser workup: 0.2 mL H2O, 0.2 mL 15% NaOH, 0.6 mL H2O; filter; conc."),
        ("OCc1ccc(C(C)(C)C)cc1", "LiAlH4; 5 mmol", "diethyl ether",
         "Na2SO4.10H2O added portionwise until gas stops, filtered through Celite and concentrated."),
        ("O=Cc1ccc(OCc2ccccc2)cc1", "tributyltin chloride; 5 mmol", "toluene",
         "Stir with 10 % KF (20 mL) 1 h. filter through Celite. sep, wash with water, brine, Na2SO4, filter, rotavap"),
        ("CC(=O)CCc1ccccc1", "Jones reagent; 3 mmol", "acetone",
         "iPrOH till green, decant, evap acetone, ether 50, wash H2O 2x20, NaHCO3 20, brine; MgSO4, filt, evap"),
    ],
)  # fmt: skip
def test_a_leftover_ended_as_a_note_says_it_is_not_held_against_it(
    product: str, leftover: str, solvent: str, text: str
) -> None:
    """Common practice; the Fieser quench of a hydride in Vogel."""
    flask = build(product, [read_other(leftover)], product_amount="10 mmol", solvents=[(solvent, 40.0)])
    read = read_plan(text)
    made = judge(read, consider(flask))
    assert not read.unread and made.verdict == "ok", [(f.kind, f.rule, f.text) for f in made.findings]


def test_much_water_on_a_hydride_wets_the_layer_all_the_same() -> None:
    flask = build(
        "OCc1ccc(C(C)(C)C)cc1",
        [read_other("LiAlH4; 5 mmol")],
        product_amount="10 mmol",
        solvents=[("diethyl ether", 40.0)],
    )
    made = judge(read_plan("Add 20 mL of water dropwise, filter, evaporate."), consider(flask))
    assert "not-dried" in {f.rule for f in made.findings}


def test_bicarbonate_poured_on_bisulfite_leaves_its_sodium_beside_it() -> None:
    """The water stands near pH 8 and leaves the ester alone: sulfite is held there, not gone."""
    flask = build(
        "COC(=O)C(Cc1ccccc1)NC(=O)OCc1ccccc1",
        [read_other("benzoyl chloride; 0.17 mmol"), read_other("sodium bisulfite; 4.1 mmol")],
        product_amount="2.4 mmol",
    )
    made = judge(
        read_plan(
            "Quench with sat. NaHCO3. Take up in 9 mL of ethyl acetate, separate, extract with another 4 mL of ethyl acetate. Wash "
            "with sat. NaHCO3 (2 x 3 mL) and brine (3 mL), dry over MgSO4, filter, evaporate."
        ),
        consider(flask),
    )
    assert made.verdict == "ok", [(f.kind, f.rule, f.text) for f in made.findings]
