"""Plans as beginners write them, on eleven mixtures: what a fair teacher would find, and what not."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from washlore.rules.judge import Considered, Judgement, consider, judge
from washlore.rules.mixture import build, read_other
from washlore.rules.mixture_file import read_mixture
from washlore.rules.reading import read_plan

EXAMPLES = Path(__file__).resolve().parent.parent / "cli" / "examples"
# Product, amount, the rest, solvent with its volume in mL.
FLASKS: dict[str, tuple[str, str, tuple[str, ...], tuple[str, float]]] = {
    "hydride": ("OCCCCc1ccccc1", "10 mmol", ("LiAlH4; 5 mmol",), ("diethyl ether", 50.0)),
    "grignard": (
        "CCC(O)(c1ccccc1)C", "10 mmol", ("methylmagnesium bromide; 3 mmol", "CCC(=O)c1ccccc1; 0.3 mmol"),
        ("diethyl ether", 40.0),
    ),
    "boc": ("NCCc1ccc(OC)cc1", "8 mmol", ("TFA; 40 mmol",), ("DCM", 30.0)),
    "epoxide": ("C1(c2ccccc2)CO1", "10 mmol", ("mCPBA; 3 mmol", "O=C(O)c1cccc(Cl)c1; 10 mmol"), ("DCM", 60.0)),
    "azide": ("[N-]=[N+]=NCCCCc1ccccc1", "10 mmol", ("sodium azide; 10 mmol",), ("DMF", 30.0)),
    "base": ("C1CCN(CC1)Cc1ccccc1", "10 mmol", ("acetophenone; 1 mmol",), ("ethyl acetate", 40.0)),
    "acid": ("OC(=O)CCc1ccc(OC)cc1", "10 mmol", ("CCCCCCCCO; 2 mmol",), ("diethyl ether", 40.0)),
    "phenol": ("Oc1ccc(CCCC)cc1", "10 mmol", ("benzoic acid; 2 mmol",), ("ethyl acetate", 40.0)),
}  # fmt: skip


@cache
def flask(name: str) -> Considered:
    if name not in FLASKS:
        return consider(read_mixture(EXAMPLES / f"{name}.toml"))
    product, amount, others, solvent = FLASKS[name]
    return consider(build(product, [read_other(o) for o in others], product_amount=amount, solvents=[solvent]))


def judged(name: str, text: str) -> Judgement:
    return judge(read_plan(text), flask(name))


# Mixture, plan, verdict, rules that must be among the findings; "ok" and "minor" plans raise nothing worse than technique.
PLANS: tuple[tuple[str, str, str, tuple[str, ...]], ...] = (
    (
        "ester",
        "so first i would just shake it with the base thing (bicarb??) to get rid of the acid, then the salty water, then "
        "dry it with the white powder and rotovap lol",
        "flawed", ("nothing-touches-it",),
    ),
    (
        "ester",
        "1. Add 20ml of water and shake\n2. Keep the top layer\n3. wash w/ sat bicarb 20ml x2\n4. wash w/ brine\n5. MgSO4, "
        "filter, rotovap",
        "flawed", ("heavier-layer-below", "nothing-touches-it"),
    ),
    (
        "ester",
        "Dilute the rxn w/ DCM, wash 3x w 1M HCl to get the pyridine & DMAP, then NaHCO3 (it fizzes!! vent a lot), then brine. "
        "Dry Na2SO4, gravity filter, rinse w/ DCM, rotavap.",
        "ok", (),
    ),
    (
        "ester",
        "I'd wash it with brine like 4 times because brine removes everything polar, dry and concentrate",
        "flawed", ("brine-removes-nothing",),
    ),
    (
        "ester",
        "The product is extracted with 1M HCl. Extract the DCM with bicarbonate too. Then the organic phase is dryed with "
        "sodium sulfate & the solvent is removed. Yield: 98% (hopefully)",
        "ok", (),
    ),
    (
        "ester",
        "Es wurde zweimal mit 1 M HCl gewaschen, danach mit gesättigter NaHCO3-Lösung und mit Wasser gewaschen, über MgSO4 "
        "getrocknet, filtriert und im Vakuum eingeengt.",
        "ok", (),
    ),
    (
        "amide",
        "Diluted with EtOAc (60 mL). Washed with 10% citric acid (3 x 20 mL), sat. aq. NaHCO3 (3 x 20 mL), water (3 x 20 mL), "
        "brine (20 mL). Dried (Na2SO4), filtered, concentrated.",
        "ok", (),
    ),
    ("amide", "dump it in water and filter, done. the solid should be the product i think", "minor", ("solid-from-water",)),
    (
        "amine",
        "Acidify w/ HCl till pH 1, extract w/ ether to get rid of the ketone, basify the aq. layer w/ NaOH to pH 12, extract "
        "3x w/ ether, dry K2CO3, filter, evaporate.",
        "ok", (),
    ),
    (
        "amine",
        "wash with 1M HCl to remove acetic acid, then brine, dry and evaporate the organic layer",
        "flawed", ("acid-takes-the-product",),
    ),
    (
        "amine",
        "Wash with NaHCO3 to remove the AcOH. Brine. Dry with CaCl2 because we had no more sodium sulphate. Filter. Rotovap.",
        "flawed", ("desiccant-holds-product", "nothing-touches-it"),
    ),
    (
        "hydride",
        "Put it in the separating funnel and wash with water twice, then dry and evaporate.",
        "dangerous", ("quench-is-missing",),
    ),
    (
        "hydride",
        "quench with sat. Rochelle salt solution, stir until two clear layers, separate, extract the aq. w/ ether 2x, wash "
        "combined organics with brine, dry over Na2SO4, filter, concentrate",
        "ok", (),
    ),
    (
        "hydride",
        "Quench w/ 3M HCl all at once. Then extract with acetone.",
        "dangerous", ("hasty-quench", "miscible-extractant"),
    ),
    (
        "grignard",
        "pour onto ice & NH4Cl (sat), separate, extract the water layer twice with 20 ml ether, combined ether washed with "
        "bicarb and brine, dried, filtered and stripped",
        "ok", (),
    ),
    (
        "grignard",
        "- cool in ice\n- sat. NH4Cl dropwise\n- transfer to sep funnel (don't forget to close the tap haha)\n- take top "
        "layer\n- Na2SO4\n- rotovap",
        "minor", ("not-filtered",),
    ),
    (
        "boc",
        "We washed with water to get rid of the TFA and then brine. Then MgSO4 and the rotovap.",
        "flawed", ("salt-goes-with-water",),
    ),
    (
        "boc",
        "remove TFA on the rotovap, take up in DCM, wash with 1 M NaOH (2x20 mL), wash brine, dry over K2CO3, filter, "
        "concentrate",
        "ok", (),
    ),
    (
        "epoxide",
        "wash with bicarb 3 x 30 ml to take out the benzoic acid, brine, dry over MgSO4, filter and evaporate",
        "dangerous", ("oxidant-is-concentrated",),
    ),
    (
        "epoxide",
        "Add sat. sodium sulfite soln., stir 15 min until starch iodide paper is negative, wash with sat. NaHCO3 (3 x 30 mL) "
        "venting, brine, dry Na2SO4, filter, evaporate",
        "ok", (),
    ),
    (
        "epoxide",
        "wash with 1M HCl to protonate the acid then brine then dry and evaporate",
        "dangerous", ("acid-breaks-the-product", "acid-for-an-acid"),
    ),
    ("azide", "Acidify with HCl to destroy the azide, extract with ether, dry, rotovap", "dangerous", ("acid-frees-poison",)),
    (
        "azide",
        "Pour into 150 mL water, extract with Et2O (3 × 40 mL), wash the combined ether with water (3 x 40 mL) and brine "
        "(40 mL), dry (Na2SO4), filter, concentrate behind a shield.",
        "ok", (),
    ),
    (
        "azide",
        "Add DCM and water, shake, keep the top layer, dry and rotovap the DCM",
        "flawed", ("heavier-layer-below",),
    ),
    (
        "base",
        "Wash with 1N HCl (2x20mL), separate. The aqueous layer was basified with 3N NaOH to pH ~12 and extracted with EtOAc "
        "(3x20mL). Brine, dried Na2SO4, filtered, evaporated.",
        "ok", (),
    ),
    (
        "base",
        "wash with acid and throw the acid away, wash with base and throw the base away, dry with MgSO4",
        "flawed", ("acid-takes-the-product", "keep-all-layers"),
    ),
    (
        "acid",
        "extract with NaHCO3 (3x20), acidify the aqueous layer with HCl, extract with ether 3x20, brine, dry, filter, evaporate",
        "minor", ("ph-not-checked",),
    ),
    ("acid", "Wash with sat. bicarb (2x) and brine, dry MgSO4, filter, rotovap.", "flawed", ("base-takes-the-product",)),
    (
        "acid",
        "Take up the acid in 1M NaOH, throw away the ether, add HCl until pH 2 (check w/ pH paper), filter off the "
        "precipitate, wash with cold water, dry in the oven",
        "minor", ("solid-from-water",),
    ),
    ("phenol", "wash with NaHCO3 2 x 20 mL to take out benzoic acid, brine, Na2SO4, filter, rotovap", "ok", ()),
    (
        "phenol",
        "wash w/ NaOH 1M twice to be sure all acid is gone, brine, Na2SO4, filter, rotovap",
        "flawed", ("base-takes-the-product",),
    ),
    (
        "phenol",
        "Waschen mit ges. NaHCO3-Lösung (2 x 20 ml), dann mit ges. NaCl-Lösung, über Na2SO4 trocknen, filtrieren, "
        "Lösungsmittel abrotieren.",
        "ok", (),
    ),
)  # fmt: skip


@pytest.mark.parametrize(("name", "text", "verdict", "rules"), PLANS, ids=[f"{p[0]}: {p[1][:40]}" for p in PLANS])
def test_a_beginners_plan_is_judged_as_a_teacher_would(
    name: str, text: str, verdict: str, rules: tuple[str, ...]
) -> None:
    made = judged(name, text)
    found = {f.rule for f in made.findings}
    assert made.verdict == verdict, [(f.kind, f.rule, f.text) for f in made.findings]
    assert set(rules) <= found, found
    assert not made.proposal.unread, made.proposal.unread


def test_the_same_number_stands_in_the_text_and_in_the_table() -> None:
    from washlore.cli.render.judgement import check_record
    from washlore.rules.words import share

    record = check_record(
        judged("ester", "Washed with sat. NaHCO3 (2 x 15 mL) and brine, dried, filtered, evaporated.")
    )
    text = " ".join(f["text"] for f in record["findings"])
    told = {row["name"]: share(row["left"]["mid"]) for row in record["left"]}
    assert all(f"{told[name]} of {name}" in text for name in ("DMAP", "pyridine", "EDU"))


def test_what_one_wash_would_cure_is_one_finding() -> None:
    made = judged("ester", "Washed with sat. NaHCO3 (2 x 15 mL) and brine, dried over MgSO4, filtered, evaporated.")
    assert len(made.findings) == 1 and "no wash in the plan is acidic" in made.findings[0].text
    assert len(made.findings[0].components) == 3
