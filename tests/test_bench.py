"""Written workups carried out step by step: what each step does, with how much, and what is where afterwards."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from test_plan_steps import ESTER, plan

from washlore.rules.bench import Act, Bench
from washlore.rules.ledger import at_best
from washlore.rules.proposal import Proposal, ReadStep
from washlore.rules.reading import read_plan

ACID, AMINE = "O=C(O)CCc1ccccc1", "NCCc1ccccc1"
WATER, DMF, ETHER = (("water", 40.0),), (("dmf", 10.0),), (("diethyl_ether", 40.0),)


def carried(text: str, product: str, *others: str, **options: Any) -> Bench:
    return Bench(plan(product, *others, **options), read_plan(text), draws=1).run()


def told(act: Act) -> str:
    """Return what became of a step: what was done with what, portions and their volume, and what is worth a note."""
    parts = [act.did, act.solution or act.solvent]
    if act.contacts:
        parts.append(f"{len(act.contacts)}x{act.contacts[0].aqueous_ml:.0f}/{act.contacts[0].organic_ml:.0f}")
    if act.ph != 7.0:
        parts.append(f"pH{act.ph:g}")
    if act.volume_said:
        parts.append("said")
    if act.again:
        parts.append(f"again{act.again}")
    if act.cleared:
        parts.append("clears " + "+".join(act.cleared))
    if act.kept == "aqueous":
        parts.append("in water")
    if act.skipped:
        parts.append(f"[{act.skipped}]")
    return " ".join(filter(None, parts))


def shares(bench: Bench) -> dict[str, int]:
    """Return what is with the product at the end, in whole per cent."""
    return {c: round(100 * float(bench.share(c, bench.layer.mmol)[0])) for c in bench.index}


def accounted(bench: Bench) -> bool:
    """Tell whether nothing is lost or made: what was not ended, stripped or rinsed off is with the product or in a water."""
    gone = bench.gone | set(bench.volatile)
    rinsed = any(act.did == "rinse water" for act in bench.acts)
    there = {
        c: sum(float(bench.share(c, p.mmol)[0]) for p in (bench.layer, *(w for _, w in bench.waters)))
        for c in bench.index
    }
    kept = {c for c in bench.index if c == "product" or not (rinsed or c in gone)}
    return all(there[c] == pytest.approx(1.0, abs=1e-5) for c in kept) and all(v < 1.000001 for v in there.values())


TEA, BIPHENYL, BASE = "triethylamine; 12 mmol", "biphenyl; 2 mmol", "NaOH; 30 mmol"
FLASKS: dict[str, tuple[Any, ...]] = {
    "ester with amine and acid": (ESTER, TEA, "benzoic acid; 2 mmol"),
    "ester with much amine": (ESTER, "triethylamine; 50 mmol"),
    "ester with a diacid": (ESTER, "tartaric acid; 20 mmol"),
    "acid": (ACID, BIPHENYL),
    "amine": (AMINE, BIPHENYL),
    "greasy acid": ("CCCCCCCCCCCCCCCC(=O)O", BIPHENYL),
    "greasy amine": ("CCCCCCCCN(CCCCCCCC)CCCCCCCC", BIPHENYL),
    "amine in ether": (AMINE, BIPHENYL, {"solvents": ETHER}),
    "ester in DMF": (ESTER, {"solvents": DMF}),
    "ester in water": (ESTER, {"solvents": WATER}),
    "acid in alkali": (ACID, BASE, BIPHENYL, {"solvents": WATER}),
    "ester in alkali": (ESTER, BASE, {"solvents": WATER}),
    "butyllithium": (ESTER, "n-BuLi; 5 mmol", {"solvents": ETHER}),
    "catalyst": (ESTER, "Pd/C", TEA),
    "iodine": (ESTER, "iodine; 2 mmol"),
    "pyridine": (ESTER, "pyridine; 2 mmol"),
}
END = ["dry", "concentrate"]


@pytest.mark.parametrize(
    ("flask", "text", "steps", "left"),
    [
        (
            "ester with amine and acid",
            "Wash with 1 M HCl (2 x 15 mL), NaHCO3 (15 mL) and brine, dry, filter, evaporate.",
            [
                "wash hcl_1m 2x15/40 pH0.1 said",
                "wash nahco3_sat 1x15/40 pH8.2 said",
                "wash brine 1x15/40 pH6.8",
                "dry",
                "filter off desiccant",
                "concentrate",
            ],
            [100, 0, 1],
        ),
        # solvent that is added to the water lies over it until they are parted
        (
            "acid",
            "Extract with 1 M NaOH (2 x 20 mL). Add ether (40 mL), acidify to pH 2 with 6 M HCl, separate, dry, evaporate.",
            [
                "take up naoh_1m 2x20/40 pH13.8 said in water",
                "dilute diethyl_ether 1x40/40 said",
                "set ph hcl_6m 1x40/40 pH2 again2",
                *END,
            ],
            [99, 0],
        ),
        # what a filter cake is rinsed with joins what went through, and no water
        (
            "acid in alkali",
            "Filter, rinse with ether (10 mL). Acidify with 6 M HCl to pH 2, extract with EtOAc (2 x 20 mL), dry.",
            [
                "filter",
                "rinse diethyl_ether",
                "set ph hcl_6m pH2 in water",
                "extract ethyl_acetate 2x48/17 said",
                "dry",
            ],
            [100],
        ),
        # a solvent that mixes with it rinses no water
        (
            "acid",
            "Extract with 1 M NaOH (20 mL), wash the aqueous layer with acetone (20 mL). Acidify.",
            [
                "take up naoh_1m 1x20/40 pH13.8 said in water",
                "extract acetone in water [nothing to rinse]",
                "set ph pH2 in water",
            ],
            [100, 0],
        ),
        # of a greasy acid that hardly goes into bicarbonate the water is meant where it is set free from it later
        (
            "greasy acid",
            "Extract with sat. NaHCO3 (20 mL). Acidify with 6 M HCl to pH 2.",
            ["take up nahco3_sat 1x20/40 pH8.2 said in water", "set ph hcl_6m pH2 in water"],
            [0],
        ),
        (
            "greasy acid",
            "Extract with sat. NaHCO3 (20 mL). Bring to pH 12 with NaOH.",
            ["wash nahco3_sat 1x20/40 pH8.2 said", "set ph naoh_1m 1x20/40 pH12"],
            [91],
        ),
        (
            "greasy acid",
            "Extract with sat. NaHCO3 (20 mL). Dry, evaporate. Acidify to pH 2.",
            ["wash nahco3_sat 1x20/40 pH8.2 said", *END],
            [100],
        ),
        (
            "greasy amine",
            "Extract with 1 M HCl (20 mL). Basify with 6 M NaOH to pH 12.",
            ["take up hcl_1m 1x20/40 pH0.1 said in water", "set ph naoh_15pct pH12 in water"],
            [0],
        ),
        (
            "greasy amine",
            "Extract with 1 M HCl (20 mL). Acidify to pH 1.",
            ["wash hcl_1m 1x20/40 pH0.1 said", "set ph 1x20/40 pH1"],
            [100],
        ),
        # one volume is as much as the layer
        (
            "ester with amine and acid",
            "Wash with water (1 vol). Dry, evaporate.",
            ["wash water 1x40/40 said", *END],
            [100, 83],
        ),
        # where no volume is given enough is meant, within twice the layer
        ("ester with much amine", "Wash with 0.1 M HCl.", ["wash hcl_01m 1x81/39 pH1.1"], [100, 83]),
        ("ester with much amine", "Wash with 6 M HCl.", ["wash hcl_6m 1x15/40 pH-0.8"], [100, 1]),
        ("ester with a diacid", "Wash with 10% Na2CO3.", ["wash na2co3_10 1x45/40 pH11.7"], [100, 0]),
        # into water and back
        (
            "acid",
            "Extract with 1 M NaOH (2 x 20 mL), discard the organic layer, acidify with 6 M HCl to pH 2, extract with ether (3 x "
            "20 mL), dry, evaporate.",
            [
                "take up naoh_1m 2x20/40 pH13.8 said in water",
                "discard in water",
                "set ph hcl_6m pH2 in water",
                "extract diethyl_ether 3x47/20 said",
                *END,
            ],
            [100, 0],
        ),
        (
            "acid",
            "Extract with 1 M NaOH (2 x 20 mL), wash the aqueous layer with DCM (20 mL), acidify, extract with ether, dry, "
            "evaporate.",
            [
                "take up naoh_1m 2x20/40 pH13.8 said in water",
                "rinse water dichloromethane 1x40/20 said in water",
                "set ph pH2 in water",
                "extract diethyl_ether 3x46/47",
                *END,
            ],
            [100, 0],
        ),
        (
            "amine",
            "Extract with 1 M HCl (2 x 20 mL). Basify, extract with ether, dry, evaporate.",
            [
                "take up hcl_1m 2x20/40 pH0.1 said in water",
                "set ph pH12.04 in water",
                "extract diethyl_ether 3x47/48",
                *END,
            ],
            [100, 0],
        ),
        # bicarbonate makes no water more basic than itself
        (
            "amine",
            "Extract with 1 M HCl (2 x 20 mL). Basify with sat. NaHCO3, extract with ether, dry, evaporate.",
            [
                "take up hcl_1m 2x20/40 pH0.1 said in water",
                "set ph nahco3_sat pH8.2 in water",
                "extract diethyl_ether 3x45/46",
                *END,
            ],
            [2, 0],
        ),
        (
            "amine",
            "Evaporate. Dissolve in 1 M HCl (40 mL), wash with ether (20 mL), basify with 6 M NaOH, extract with DCM, dry.",
            [
                "evaporate",
                "take up hcl_1m pH0.1 said in water",
                "rinse water diethyl_ether 1x43/17 said in water",
                "set ph naoh_15pct pH12.04 in water",
                "extract dichloromethane 3x50/50",
                "dry",
            ],
            [100, 0],
        ),
        # water that the reaction ran in
        (
            "acid in alkali",
            "Acidify to pH 2, extract with EtOAc, dry.",
            ["set ph pH2 in water", "extract ethyl_acetate 3x47/43", "dry"],
            [100, 0, 100],
        ),
        (
            "acid in alkali",
            "Wash with ether (20 mL), acidify with 6 M HCl, extract with EtOAc (2 x 20 mL), dry, evaporate.",
            [
                "rinse water diethyl_ether 1x43/17 said in water",
                "set ph hcl_6m pH2 in water",
                "extract ethyl_acetate 2x48/21 said",
                *END,
            ],
            [100, 0, 0],
        ),
        (
            "acid in alkali",
            "Acidify with 6 M HCl to pH 2, filter the solid, rinse with water.",
            ["set ph hcl_6m pH2 in water", "filter in water", "rinse water in water"],
            [100, 100, 100],
        ),
        (
            "acid in alkali",
            "Extract with ether (2 x 20 mL), dry.",
            ["extract diethyl_ether 2x43/17 said", "dry"],
            [0, 0, 100],
        ),
        (
            "ester in alkali",
            "Neutralise with 1 M HCl, extract with ether.",
            ["set ph hcl_1m in water", "extract diethyl_ether 3x48/42"],
            [100, 0],
        ),
        # a solvent that mixes with water
        (
            "ester in DMF",
            "Pour into water (100 mL), extract with EtOAc (3 x 30 mL), wash with brine, dry, evaporate.",
            ["quench water said in water", "extract ethyl_acetate 3x119/21 said", "wash brine 1x26/82 pH6.8", *END],
            [100, 2],
        ),
        (
            "ester in DMF",
            "Extract with EtOAc, wash with 5% LiCl.",
            ["extract ethyl_acetate 3x25/25", "wash licl_5 1x28/74 pH6.8"],
            [100, 3],
        ),
        ("ester in DMF", "Wash with brine. Dry, evaporate.", ["wash brine 1x16/39 pH6.8", *END], [100, 32]),
        ("ester in DMF", "Extract with acetone, dry.", ["extract acetone 3x25/25 [no layer]", "dry"], [100, 20]),
        (
            "ester in DMF",
            "Dilute with water (20 mL) and ether (40 mL), separate, wash with brine, dry.",
            ["dilute water 1x31/39 said", "wash brine 1x15/38 pH6.8", "dry"],
            [99, 0],
        ),
        # what reacts, what is bound and what is a solid
        (
            "butyllithium",
            "Quench with sat. NH4Cl (20 mL), separate the layers, extract the aqueous layer with ether (2 x 10 mL), wash with "
            "brine.",
            [
                "quench nh4cl_sat 1x20/40 pH4.5 said clears c1",
                "extract diethyl_ether 2x20/10 said again1",
                "wash brine 1x20/60 pH6.8",
            ],
            [100, 0],
        ),
        (
            "catalyst",
            "Filter through Celite, evaporate. Take up in ether (40 mL), wash with 1 M HCl, dry, evaporate.",
            ["filter clears c1", "evaporate", "dilute diethyl_ether said", "wash hcl_1m 1x16/39 pH0.1", *END],
            [100, 0, 0],
        ),
        (
            "catalyst",
            "Wash with 1 M HCl, dry, filter.",
            ["wash hcl_1m 1x15/40 pH0.1", "dry", "filter off desiccant clears c1"],
            [100, 0, 0],
        ),
        ("iodine", "Wash with sat. Na2S2O3 (20 mL).", ["wash na2s2o3_sat 1x20/40 pH7.7 said clears c1"], [100, 0]),
        ("iodine", "Wash with NaHSO3 (20 mL).", ["wash nahso3_sat 1x20/40 pH4 said clears c1"], [100, 0]),
        ("iodine", "Wash with brine, dry, evaporate.", ["wash brine 1x15/40 pH6.8", *END], [100, 100]),
        ("pyridine", "Wash with sat. CuSO4 (20 mL).", ["wash cuso4_sat 1x20/40 pH3.6 said clears c1"], [100, 0]),
    ],
)
def test_a_workup_step_by_step(flask: str, text: str, steps: list[str], left: list[int]) -> None:
    product, *others = FLASKS[flask]
    options = others.pop() if isinstance(others[-1], dict) else {}
    bench = carried(text, product, *others, **options)
    assert [told(act) for act in bench.acts] == steps
    assert list(shares(bench).values())[: len(left)] == left
    assert not bench.mistakes and not bench.discarded and accounted(bench)
    assert float(bench.recovered[0]) == pytest.approx(float(bench.share("product", bench.layer.mmol)[0]))


BACK = "Basify with 6 M NaOH to pH 12, extract with ether (3 x 20 mL), dry, evaporate."


@pytest.mark.parametrize(
    ("flask", "text", "said", "holds", "recovered"),
    [
        # of ether the lower layer is the water, of dichloromethane the upper
        ("amine in ether", "Extract with 1 M HCl (2 x 20 mL), keep the lower layer. " + BACK, "", 0.0, 1.0),
        ("amine in ether", "Extract with 1 M HCl (2 x 20 mL), keep the upper layer. " + BACK, "organic", 0.0, 0.0),
        ("amine", "Extract with 1 M HCl (2 x 20 mL), keep the upper layer. " + BACK, "", 0.0, 1.0),
        ("amine", "Extract with 1 M HCl (2 x 20 mL), keep the lower layer. " + BACK, "organic", 0.0, 0.0),
        (
            "ester in water",
            "Extract with ether (2 x 20 mL), keep the aqueous layer, dry, evaporate.",
            "aqueous",
            0.0,
            0.0,
        ),
        (
            "ester in DMF",
            "Dilute with water (40 mL) and ether (40 mL), keep the lower layer, dry, evaporate.",
            "aqueous",
            0.0,
            0.0,
        ),
        (
            "ester in alkali",
            "Dilute with water (40 mL) and ether (40 mL), keep the lower layer, dry, evaporate.",
            "aqueous",
            0.0,
            0.0,
        ),
        ("ester in water", "Extract with ether (2 x 20 mL), keep the upper layer, dry, evaporate.", "", 0.0, 1.0),
        ("iodine", "Wash with water (20 mL), keep the upper layer, dry, evaporate.", "aqueous", 0.0, 0.0),
    ],
)
def test_the_wrong_layer_is_found_once_and_counted_apart(
    flask: str, text: str, said: str, holds: float, recovered: float
) -> None:
    product, *others = FLASKS[flask]
    options = others.pop() if isinstance(others[-1], dict) else {}
    bench = carried(text, product, *others, **options)
    assert [(a.number, s) for a, s, _ in bench.mistakes] == ([(1, said)] if said else [])
    assert all(h == pytest.approx(holds, abs=0.05) for _, _, h in bench.mistakes)
    assert float(bench.recovered[0]) == pytest.approx(recovered, abs=0.05)
    # the account goes on as if that step had been right
    assert float(bench.share("product", bench.layer.mmol)[0]) == pytest.approx(1.0, abs=0.05)


def test_what_is_thrown_away_is_kept_in_the_account() -> None:
    product, *others = FLASKS["acid"]
    bench = carried("Wash with 1 M NaOH (2 x 20 mL), discard the aqueous layer. Dry, evaporate.", product, *others)
    ((act, held),) = bench.discarded
    assert act.number == 2 and float(held[0]) == pytest.approx(1.0, abs=0.001)
    assert shares(bench) == {"product": 0, "c1": 100} and not bench.waters


def test_what_is_not_said_is_assumed_and_told() -> None:
    bench = carried("Wash with 0.1 M HCl. Extract with water.", *FLASKS["ester with much amine"])
    assert "volume 80 mL, for what there is to take" in bench.acts[0].assumed
    assert "volume a third of the organic layer" in bench.acts[1].assumed
    bench = carried("Extract with EtOAc.", ESTER, solvents=DMF)
    assert bench.acts[0].assumed[1:] == [
        "water is there to extract from",
        "volume not given: 3 times that of the water",
    ]
    bench = carried("Wash with brine.", ESTER, solvents=DMF)
    assert "35 mL of ethyl acetate make the organic layer" in bench.acts[0].assumed
    bench = carried("Acidify, extract with ether (20 mL).", ACID, BASE, solvents=WATER)
    assert "pH 2, as none is given" in bench.acts[0].assumed and "volume not given" not in str(bench.acts[1].assumed)


THF, TOLUENE = {"solvents": (("thf", 40.0),)}, {"solvents": (("toluene", 40.0),)}


@pytest.mark.parametrize(
    ("flask", "text", "steps", "left"),
    [
        # little water by the gram of a hydride ends in its granular salts; more is a layer that holds the product
        (
            (AMINE, "LiAlH4; 12 mmol", THF),
            "Quench with water (0.5 mL), 15% NaOH (0.5 mL) and water (0.5 mL), stir with MgSO4, filter, evaporate.",
            [
                "quench water clears c1",
                "quench naoh_15pct pH14.5",
                "quench water",
                "dry",
                "filter off desiccant",
                "concentrate",
            ],
            [100, 0],
        ),
        (
            (AMINE, "LiAlH4; 12 mmol", THF),
            "Quench with water (2 mL), 15% NaOH (2 mL) and water (6 mL), filter.",
            [
                "quench water said clears c1 in water",
                "quench naoh_15pct pH14.5 said in water",
                "quench water said in water",
                "filter in water",
            ],
            [100, 0],
        ),
        # where nothing is filtered off the water is a layer, and where no hydride is there too
        (
            (ESTER, "LiAlH4; 5 mmol", {"solvents": ETHER}),
            "Quench with water (0.5 mL), 15% NaOH (0.5 mL) and water (0.5 mL), separate, dry.",
            [
                "quench water 1x0/40 said clears c1",
                "quench naoh_15pct 1x1/40 pH14.5 said",
                "quench water 1x2/40 said",
                "dry",
            ],
            [100, 0],
        ),
        (
            (ESTER, "triethylamine; 5 mmol", {"solvents": ETHER}),
            "Quench with water (0.5 mL), 15% NaOH (0.5 mL), filter.",
            ["quench water 1x0/40 said", "quench naoh_15pct 1x1/40 pH14.5 said", "filter"],
            [100, 100],
        ),
        # an alcohol ends it without water; the solvent that is added with the water is a layer
        (
            (ESTER, "NaBH4; 12 mmol", THF),
            "Quench with methanol, evaporate. Partition between water (40 mL) and EtOAc (40 mL). Wash with brine.",
            ["quench methanol clears c1", "concentrate", "dilute water 1x43/37 said", "wash brine 1x10/37 pH6.8"],
            [100, 0, 0],
        ),
        # what binds does so where it is stirred with the flask
        (
            (ESTER, "tributyltin chloride; 10 mmol", TOLUENE),
            "Stir with 10 % KF (45 mL) for 1 h, wash with brine.",
            ["wash kf_10 1x45/40 pH8.3 said clears c1", "wash brine 1x15/40 pH6.8"],
            [100, 0],
        ),
        (
            (ESTER, "tributyltin chloride; 10 mmol", TOLUENE),
            "Evaporate. Stir with 10 % KF (45 mL) for 1 h. Extract with ether (40 mL).",
            ["evaporate", "quench kf_10 pH8.3 said clears c1 in water", "extract diethyl_ether 1x46/39 said"],
            [100, 0],
        ),
        (
            (ESTER, "tributyltin chloride; 10 mmol", {"solvents": WATER}),
            "Stir with 10 % KF (45 mL) for 1 h. Extract with ether (40 mL).",
            ["quench kf_10 pH8.3 said clears c1 in water", "extract diethyl_ether 1x90/35 said"],
            [100, 0],
        ),
        # of several waters the last is extracted again; where there is none, the solvent joins the layer
        (
            (ESTER, "triethylamine; 12 mmol", TOLUENE),
            "Wash with 1 M HCl (20 mL), wash with sat. NaHCO3 (10 mL), extract the aqueous layer with ether (2 x 20 mL), dry.",
            [
                "wash hcl_1m 1x20/40 pH0.1 said",
                "wash nahco3_sat 1x10/40 pH8.2 said",
                "extract diethyl_ether 2x10/20 said again2",
                "dry",
            ],
            [100, 0],
        ),
        (
            (ESTER, "triethylamine; 12 mmol", TOLUENE),
            "Wash with water (3 x 20 mL), back-extract the combined aqueous layers with ether (20 mL), dry.",
            ["wash water 3x20/40 said", "extract diethyl_ether 1x60/20 said again1", "dry"],
            [100, 99],
        ),
        (
            (ESTER, "triethylamine; 12 mmol", TOLUENE),
            "Extract with ether (20 mL). Wash with water (20 mL).",
            ["extract diethyl_ether said", "wash water 1x20/60 said"],
            [100, 98],
        ),
        # a solid that is dissolved again is not the end; one that is washed is
        (
            (ACID, BASE, {"solvents": WATER}),
            "Acidify with 6 M HCl to pH 2, filter. Dissolve the solid in EtOAc (40 mL), dry.",
            ["set ph hcl_6m pH2 in water", "filter in water", "dilute ethyl_acetate 1x48/37 said", "dry"],
            [98, 0],
        ),
        # water makes one phase with DMF, and no layer that could be kept, unless salt parts them or there is a solvent
        *(
            (
                (ESTER, {"solvents": (("dmf", 40.0),)}),
                f"Quench with {water}, keep the organic layer, dry.",
                steps,
                [100],
            )
            for water, steps in (
                ("water (50 mL)", ["quench water said in water [one phase]", "dry in water"]),
                ("brine (50 mL)", ["quench brine pH6.8 said in water", "dry in water"]),
                ("sat. NH4Cl (50 mL)", ["quench nh4cl_sat pH4.5 said in water", "dry in water"]),
            )
        ),
        (
            (ESTER, {"solvents": (("dmf", 40.0),)}),
            "Quench with water (50 mL), extract with ether (3 x 30 mL), keep the organic layer.",
            ["quench water said in water", "extract diethyl_ether 3x94/26 said"],
            [100, 2],
        ),
        (
            (ESTER, {"solvents": (("dmf", 40.0), ("toluene", 40.0))}),
            "Quench with water (50 mL), keep the organic layer, dry.",
            ["quench water 1x89/41 said", "dry"],
            [99, 4],
        ),
        # what binds copper is another bottle: then it is a quench that ends nothing
        (
            (ESTER, "CuCl2; 5 mmol", TOLUENE),
            "Stir with 10 % KF (45 mL) for 1 h, wash with brine.",
            ["quench kf_10 1x45/40 pH8.3 said", "wash brine 1x15/40 pH6.8"],
            [100],
        ),
        # water ends an acid chloride, whoever brings it, and no oxidant
        (
            (ESTER, "acetyl chloride; 5 mmol"),
            "Quench with sat. NaHCO3 (40 mL), separate, dry.",
            ["quench nahco3_sat 1x40/40 pH8.2 said clears c1", "dry"],
            [100, 0, 0],
        ),
        (
            (ESTER, "acetyl chloride; 5 mmol"),
            "Wash with sat. NaHCO3 (20 mL).",
            ["wash nahco3_sat 1x20/40 pH8.2 said"],
            [100, 0, 0],
        ),
        # what is poured into the open flask ends it, and so does an alcohol; after a wash nothing is left to end
        (
            (ESTER, "acetyl chloride; 5 mmol"),
            "Add water (20 mL).",
            ["dilute water 1x20/40 said clears c1"],
            [100, 0, 6],
        ),
        (
            (ESTER, "acetyl chloride; 5 mmol"),
            "Add methanol (20 mL). Wash with brine (20 mL).",
            ["dilute methanol clears c1", "wash brine 1x20/40 pH6.8 said"],
            [100, 0, 21],
        ),
        (
            (ESTER, "mCPBA; 5 mmol"),
            "Wash with brine (20 mL). Add 10 % Na2SO3 (20 mL).",
            ["wash brine 1x20/40 pH6.8 said", "dilute na2so3_10 1x20/40 pH9.9 said"],
            [100],
        ),
        ((ESTER, "acetyl chloride; 5 mmol"), "Dry, evaporate.", ["dry", "concentrate"], [100, 100, 100]),
        ((ESTER, "mCPBA; 5 mmol"), "Quench with water.", ["quench water 1x15/40"], [100, 100]),
        (
            (ESTER, "mCPBA; 5 mmol"),
            "Quench with 10 % Na2SO3 (20 mL), wash with NaHCO3.",
            ["quench na2so3_10 1x20/40 pH9.9 said clears c1", "wash nahco3_sat 1x15/40 pH8.2"],
            [100, 0, 0],
        ),
        (
            (ESTER, "ozone; 5 mmol"),
            "Quench with dimethyl sulfide, wash with water.",
            ["quench clears c1", "wash water 1x15/40"],
            [100, 0],
        ),
        ((ESTER, "ozone; 5 mmol"), "Quench with urea, wash with water.", ["quench", "wash water 1x15/40"], [100, 100]),
        # a solid base ends an acid in a dry flask, and its salt goes onto the filter; without it there is nothing to filter
        (
            ("CC1(C)OCC(CO)O1", "TsOH; 0.5 mmol"),
            "Stir with solid NaHCO3, filter, evaporate.",
            ["wait", "filter clears c1", "evaporate"],
            [100, 0],
        ),
        (("CC1(C)OCC(CO)O1", "TsOH; 0.5 mmol"), "Filter, evaporate.", ["filter", "evaporate"], [100, 100]),
        # a base metal goes into acid, or onto the filter
        (
            (ESTER, "zinc; 5 mmol"),
            "Wash with 1 M HCl (40 mL), dry.",
            ["wash hcl_1m 1x40/40 pH0.1 said", "dry"],
            [100, 0],
        ),
        ((ESTER, "zinc; 5 mmol"), "Wash with water (40 mL), dry.", ["wash water 1x40/40 said", "dry"], [100, 100]),
        (
            (ESTER, "zinc; 5 mmol"),
            "Wash with water (40 mL), dry, filter.",
            ["wash water 1x40/40 said", "dry", "filter off desiccant clears c1"],
            [100, 0],
        ),
        # water that is added and parted; what is volatile goes with the solvent
        (
            (ESTER, "pyridine; 5 mmol", TOLUENE),
            "Evaporate. Add ether (40 mL) and water (20 mL), separate. Dry, evaporate.",
            ["evaporate", "dilute water 1x22/39 said", *END],
            [100, 69],
        ),
        (
            (ESTER, "thf; 20 mmol", "heptane; 20 mmol"),
            "Concentrate. Add EtOAc (40 mL), wash with 1 M HCl (20 mL).",
            ["evaporate", "dilute ethyl_acetate said", "wash hcl_1m 1x21/39 pH0.1 said"],
            [100, 0, 0],
        ),
        (
            (ESTER, TEA, TOLUENE),
            "Add 20 mL of 1 M HCl, shake, keep the upper layer. Dry.",
            ["wash hcl_1m 1x20/40 pH0.1 said", "dry"],
            [100, 0],
        ),
        # a phenol is lost to lye unless it is meant to be taken up
        (
            ("CCc1ccc(O)cc1", BIPHENYL),
            "Wash with 1 M NaOH (20 mL), dry.",
            ["wash naoh_1m 1x20/40 pH13.8 said", "dry"],
            [6, 100],
        ),
        (
            ("CCc1ccc(O)cc1", BIPHENYL),
            "Wash with 1 M NaOH (20 mL), acidify, extract with ether (20 mL), dry.",
            [
                "take up naoh_1m 1x20/40 pH13.8 said in water",
                "set ph pH2 in water",
                "extract diethyl_ether 1x23/20 said",
                "dry",
            ],
            [94, 0],
        ),
        # acid that is added to both layers
        (
            (ACID, BASE, {"solvents": (("water", 20.0), ("toluene", 40.0))}),
            "Add 6 M HCl until pH 2, separate the layers, dry.",
            ["set ph hcl_6m 1x20/40 pH2", "dry"],
            [84, 0],
        ),
        (
            (ACID, BASE, {"solvents": (("water", 30.0), ("toluene", 40.0))}),
            "Add 6 M HCl until pH 2, separate the layers.",
            ["set ph hcl_6m 1x30/40 pH2"],
            [78, 0],
        ),
        (
            (ACID, BIPHENYL),
            "Extract with 1 M NaOH (20 mL). Acidify to pH 2 and filter, rinse with cold water.",
            [
                "take up naoh_1m 1x20/40 pH13.8 said in water",
                "set ph pH2 in water",
                "filter in water",
                "rinse ice_water in water",
            ],
            [100, 0],
        ),
    ],
)
def test_leftovers_and_layers_step_by_step(flask: Any, text: str, steps: list[str], left: list[int]) -> None:
    product, *others = flask
    options = others.pop() if isinstance(others[-1], dict) else {}
    bench = carried(text, product, *others, **options)
    assert [told(act) for act in bench.acts] == steps
    assert list(shares(bench).values())[: len(left)] == left and accounted(bench)


@pytest.mark.parametrize(
    ("product", "acidified", "basified", "bicarbonate", "neutralised"),
    [
        # neutralised with nothing to set free it is neutral: an acid by base, an amine by acid; else as far as it takes
        (ACID, 2.0, 10.0, 8.2, {"NaHCO3": 7.0, "HCl": 2.0}),
        (AMINE, 2.0, 12.0, 8.2, {"NaHCO3": 8.2, "HCl": 7.0}),
        (ESTER, 2.0, 10.0, 8.2, {"NaHCO3": 7.0, "HCl": 7.0}),
        # a weak base is free well before pH 10
        ("CCCCCc1cccnc1", 2.0, 10.0, 8.2, {"NaHCO3": 8.2, "HCl": 7.0}),
        # an aminophenol is neutral between its two pKa, and nobody overshoots on purpose
        ("Nc1cccc(O)c1", 7.1, 7.1, 7.1, {"NaHCO3": 7.1, "HCl": 7.1}),
    ],
)
def test_the_ph_that_is_meant_where_none_is_given(
    product: str, acidified: float, basified: float, bicarbonate: float, neutralised: dict[str, float]
) -> None:
    def ph(text: str) -> float:
        (act,) = carried(text, product, solvents=WATER).acts
        assert [a for a in act.assumed if "none is given" in a] == [f"pH {act.ph:g}, as none is given"]
        return act.ph

    assert ph("Acidify with HCl.") == pytest.approx(acidified, abs=0.05)
    assert ph("Basify with NaOH.") == pytest.approx(basified, abs=0.3)
    assert ph("Basify with NaHCO3.") == pytest.approx(bicarbonate, abs=0.05)
    for agent, expected in neutralised.items():
        assert ph(f"Neutralise with {agent}.") == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize(
    ("solvents", "text", "waters"),
    [
        # half as much water as the layer, or that of the reaction, which a wash has taken off
        ((("toluene", 40.0),), "Acidify to pH 2 with 6 M HCl.", [20.0]),
        ((("toluene", 40.0), ("water", 30.0)), "Acidify to pH 2 with 6 M HCl.", [30.0]),
        ((("toluene", 40.0), ("water", 30.0)), "Wash with brine (10 mL). Acidify to pH 2.", [30.0, 10.0, 20.0]),
        # water that nobody has parted is used again
        ((("toluene", 40.0),), "Add water (25 mL). Acidify to pH 2. Bring to pH 12 with 6 M NaOH.", [25.0]),
        ((("toluene", 40.0),), "Wash with water (25 mL). Acidify to pH 2.", [25.0, 20.0]),
        ((("toluene", 40.0), ("water", 30.0)), "Acidify to pH 2. Wash with brine (10 mL).", [30.0, 10.0]),
        # the water of the reaction is met once
        ((("water", 40.0),), "Extract with ether (20 mL). Wash with brine (10 mL).", [43.4, 10.3]),
        # what is poured in after it joins it
        ((("toluene", 40.0),), "Add water (20 mL). Add 1 M HCl (15 mL).", [35.0]),
        # but not once the layers were parted
        ((("toluene", 40.0),), "Add water (20 mL), combine the organic layers. Add 1 M HCl (15 mL).", [20.0, 15.0]),
        ((("toluene", 40.0),), "Add water (20 mL), dry over MgSO4. Add 1 M HCl (15 mL).", [20.0, 15.0]),
        # of water whose volume nobody gives a third of the layer
        ((("toluene", 40.0),), "Add water.", [15.0]),
    ],
)
def test_the_water_in_which_a_ph_is_set(solvents: Any, text: str, waters: list[float]) -> None:
    bench = carried(text, ESTER, solvents=solvents)
    assert [at_best(layer.volume_ml) for _, layer in bench.waters] == pytest.approx(waters, abs=0.5)


def test_solvent_that_is_added_right_after_a_wash_lies_over_its_water_again() -> None:
    """A third of phenethyl alcohol stays in toluene over much water; ether that is poured onto both takes most of it back."""
    product = "OCCc1ccccc1"

    def home(text: str) -> float:
        bench = carried(text, product, solvents=(("toluene", 40.0),))
        return float(bench.share("product", bench.layer.mmol)[0])

    parted = home("Wash with water (200 mL). Dry. Dilute with ether (100 mL).")
    assert parted == pytest.approx(home("Wash with water (200 mL)."))
    assert home("Wash with water (200 mL). Dilute with ether (100 mL).") > 2 * parted


BOTH, ORGANIC = (("water", 40.0), ("toluene", 40.0)), (("toluene", 40.0),)


@pytest.mark.parametrize(
    ("product", "solvents", "text", "waters"),
    [
        # up to a volume: what is there already is not poured in again, but half a millilitre at least
        (ESTER, WATER, "Add water (100 mL).", [100.0]),
        (ESTER, WATER, "Add water (30 mL).", [40.5]),
        (ESTER, DMF, "Add water (100 mL).", [100.0]),
        (ESTER, DMF, "Dilute with water to 100 mL.", [90.0]),  # the DMF is in it
        (ESTER, BOTH, "Add water (60 mL).", [60.0]),
        # the water of the flask is parted before a wash; what nobody has parted is joined
        (ESTER, BOTH, "Wash with water (60 mL).", [40.0, 60.0]),
        (ESTER, ORGANIC, "Add water (20 mL). Wash with water (60 mL).", [60.0]),
        (ACID, ORGANIC, "Bring to pH 12 with NaOH. Extract with water (60 mL).", [60.0]),
        (ESTER, BOTH, "Wash with water (20 mL). Add water (100 mL).", [40.0, 20.0, 100.0]),
    ],
)
def test_how_much_water_there_is(product: str, solvents: Any, text: str, waters: list[float]) -> None:
    read = read_plan(text)
    steps = tuple(replace(step, in_all=step.volume_ml is not None) for step in read.steps)
    bench = Bench(plan(product, solvents=solvents), replace(read, steps=steps), draws=1).run()
    there = [*(layer for _, layer in bench.waters), *filter(None, [bench.book.aqueous])]
    assert [at_best(layer.volume_ml) for layer in there] == pytest.approx(waters, abs=0.2)


NAOH, ETHER_20 = (
    ("take up", {"solution": "naoh_1m", "volume_ml": 20.0}),
    {"solvent": "diethyl_ether", "volume_ml": 20.0},
)
HCL, NOT_READ = {"solution": "hcl_1m", "volume_ml": 20.0}, "[the solution could not be read]"
MEANT = "take up nahco3_sat 1x20/40 pH8.2 said in water"
UP = "take up naoh_1m 1x20/40 pH13.8 said in water"


@pytest.mark.parametrize(
    ("product", "solvents", "steps", "done", "left"),
    [
        # a wash with a solvent rinses the water; an organic layer it does not wash
        (ACID, ORGANIC, [NAOH, ("wash", ETHER_20)], [UP, "rinse water diethyl_ether 1x20/20 said in water"], [100, 0]),
        (ACID, ORGANIC, [("wash", ETHER_20)], ["wash diethyl_ether"], [100, 100]),
        (ACID, ORGANIC, [("wash", {"solvent": "water"})], ["wash water 1x15/40"], [88, 100]),
        # what could not be read does nothing
        (ACID, ORGANIC, [("wash", {}), ("take up", {})], [f"wash {NOT_READ}", f"take up {NOT_READ}"], [100, 100]),
        # a solution that is added to the water with the product joins it
        (
            ACID,
            ORGANIC,
            [NAOH, ("wash", {"solution": "brine", "volume_ml": 20.0})],
            [UP, "wash brine pH6.8 said in water"],
            [100, 0],
        ),
        # what is made in water is first brought into a layer
        (
            ESTER,
            WATER,
            [("wash", {"solution": "brine", "volume_ml": 20.0})],
            ["wash brine 2x43/32 pH6.8 said"],
            [100, 100],
        ),
        # extracted with an acid, the amine goes or stays by the layer that is meant
        (AMINE, ORGANIC, [("extract", HCL)], ["extract hcl_1m 1x20/40 pH0.1 said"], [0, 100]),
        (
            AMINE,
            ORGANIC,
            [("extract", {**HCL, "phase_kept": "aqueous"})],
            ["take up hcl_1m 1x20/40 pH0.1 said in water"],
            [100, 0],
        ),
        (
            ESTER,
            ORGANIC,
            [("wash", {"solution": "water", "volume_ml": 15.0}), ("extract", HCL)],
            ["wash water 1x15/40 said", "extract hcl_1m 1x20/40 pH0.1 said"],
            [100, 100],
        ),
        # where a greasy acid is set free later, by a pH or by the bottle, the water is meant
        *(
            (
                "CCCCCCCCCCCCCCCC(=O)O",
                ORGANIC,
                [("take up", {"solution": "nahco3_sat", "volume_ml": 20.0}), ("set ph", later)],
                done,
                [],
            )
            for later, done in (
                ({"solution": "hcl_6m"}, [MEANT, "set ph hcl_6m pH2 in water"]),
                ({"target_ph": 2.0}, [MEANT, "set ph pH2 in water"]),
                ({"target_ph": 12.0}, ["wash nahco3_sat 1x20/40 pH8.2 said", "set ph 1x20/40 pH12"]),
            )
        ),
        # what mixes with water makes no layer, and where there is one goes into both
        (ESTER, WATER, [("extract", {"solvent": "acetone"})], ["extract acetone 3x43/37 [no layer]"], [100, 100]),
        (ESTER, ORGANIC, [("extract", {"solvent": "acetone"})], ["extract acetone [mixes with both]"], [100, 100]),
        (ESTER, ORGANIC, [("dilute", {"solvent": "acetone", "volume_ml": 20.0})], ["dilute acetone"], [100, 100]),
        # between water and a solvent that is named with it
        (ESTER, ORGANIC, [("dilute", {**ETHER_20, "solution": "water"})], ["dilute water 2x20/40 said"], [100, 100]),
        # a solution that is added and a layer that is kept are a wash, or take the product up
        (AMINE, ORGANIC, [("dilute", HCL)], ["dilute hcl_1m 1x20/40 pH0.1 said"], [0, 100]),
        (
            AMINE,
            ORGANIC,
            [("dilute", {**HCL, "phase_kept": "aqueous"})],
            ["take up hcl_1m 1x20/40 pH0.1 said in water"],
            [100, 0],
        ),
        (
            ESTER,
            ORGANIC,
            [("dilute", {**HCL, "phase_kept": "organic"})],
            ["wash hcl_1m 1x20/40 pH0.1 said"],
            [100, 100],
        ),
    ],
)
def test_steps_by_hand(product: str, solvents: Any, steps: Any, done: list[str], left: list[int]) -> None:
    bench = by_hand(product, solvents, *steps)
    assert [told(act) for act in bench.acts] == done
    assert list(shares(bench).values())[: len(left)] == left


def test_what_steps_by_hand_assume() -> None:
    def assumed(product: str, solvents: Any, *steps: Any) -> list[str]:
        return by_hand(product, solvents, *steps).acts[-1].assumed

    assert assumed(ESTER, WATER, ("extract", {})) == [
        "solvent not given: ethyl acetate",
        "volume not given: 3 times that of the water",
    ]
    assert assumed(ESTER, WATER, ("extract", ETHER_20)) == []
    assert assumed(ESTER, ORGANIC, ("dilute", {**ETHER_20, "solution": "water"})) == ["40 mL of diethyl ether"]
    both = {**ETHER_20, "solution": "water", "solvent_ml": 30.0}
    assert assumed(ESTER, ORGANIC, ("dilute", both)) == []
    bench = by_hand(ESTER, ORGANIC, ("dilute", both))
    assert at_best(bench.layer.volume_ml) == pytest.approx(70.0, abs=0.5)
    joined = by_hand(ACID, ORGANIC, NAOH, ("wash", {"solution": "brine"}))
    assert at_best(joined.layer.volume_ml) == pytest.approx(27.0, abs=0.2)  # a third of the water comes to it


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("Extract with ether (20 mL).", 84),
        ("Saturate with NaCl. Extract with ether (20 mL).", 98),
        ("Saturate with NaCl and extract with ether (20 mL).", 98),
        ("Extract with ether (20 mL). Saturate the water with NaCl.", 84),
    ],
)
def test_salt_in_the_words_before_an_extraction_drives_a_polar_product_out(text: str, left: int) -> None:
    assert shares(carried(text, "OCCCOc1ccccc1", solvents=WATER))["product"] == left


def by_hand(product: str, solvents: Any, *steps: tuple[str, dict[str, Any]]) -> Bench:
    reads, text = [], ""
    for action, more in steps:
        reads.append(ReadStep(action, len(text), len(text) + len(action), action, **more))
        text += action + ". "
    return Bench(plan(product, BIPHENYL, solvents=solvents), Proposal(text, tuple(reads), ()), draws=1).run()


def test_a_solid_that_is_collected_from_water_is_noted() -> None:
    bench = carried("Acidify with 6 M HCl to pH 2, filter, rinse with water, filter.", ACID, BASE, solvents=WATER)
    assert bench.solid == 2
    assert not carried("Filter, wash with water (20 mL).", ESTER, "Pd/C").solid


def test_what_is_destroyed_in_water_takes_its_ions_along() -> None:
    """Persulfate is sulfate then and its ammonium still ammonium: no acid is left behind, whether a layer is there or not."""
    text = "Quench with water (20 mL), then 10 % sodium sulfite (40 mL). Add ethyl acetate (40 mL). Wash with brine (15 mL)."
    for solvents in ((), (("ethyl_acetate", 40.0),)):
        bench = carried(text, ESTER, "ammonium persulfate; 20 mmol", solvents=solvents)
        parted = next(a for a in bench.acts if a.number > 1 and a.contacts)
        assert float(parted.contacts[0].ph[0]) > 8.0 and shares(bench) == {"product": 100, "c1": 0}
