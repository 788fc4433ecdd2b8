"""Plans for flasks of named reactions, as a student writes them: what must be told of each, and what must not.

The flasks, amounts and plans are invented; what is right about each is common practice of the synthetic laboratory, and
what must never be done is in the sources that the rules name.
"""

from __future__ import annotations

from functools import cache

import pytest

from washlore.rules.judge import Considered, Judgement, consider, judge
from washlore.rules.mixture import build, read_other
from washlore.rules.reading import read_plan

# Product, its amount, the rest, solvents with their volumes in mL.
FLASKS: dict[str, tuple[str, str, tuple[str, ...], tuple[tuple[str, float], ...]]] = {
    "Appel bromide": (
        "BrCCCCc1ccc(OC)cc1", "10 mmol",
        ("triphenylphosphine oxide; 11 mmol", "triphenylphosphine; 1 mmol", "bromoform; 11 mmol"), (("DCM", 40.0),),
    ),
    "Suzuki biaryl": (
        "COc1ccc(-c2ccc(C=O)cc2)cc1", "10 mmol", ("K2CO3; 20 mmol", "boric acid; 10 mmol"),
        (("1,4-dioxane", 30.0), ("water", 10.0)),
    ),
    "Finkelstein iodide": (
        "ICCCCOCc1ccccc1", "10 mmol", ("sodium iodide; 15 mmol", "sodium bromide; 10 mmol"), (("acetone", 40.0),),
    ),
    "amine by lithium aluminium hydride": (
        "CN(C)CCc1ccc(OC)cc1", "10 mmol", ("LiAlH4; 8 mmol", "lithium aluminate; 12 mmol"), (("THF", 40.0),),
    ),
    "valinol": ("CC(C)[C@H](N)CO", "20 mmol", ("LiAlH4; 15 mmol",), (("THF", 60.0),)),
    "ketone from a nitrile": (
        "CCCCC(=O)c1ccccc1", "10 mmol", ("n-butylmagnesium bromide; 3 mmol", "benzonitrile; 0.1 mmol"), (("diethyl ether", 40.0),),
    ),
    "lithiated aldehyde": ("O=Cc1cccc(OC)c1OC", "10 mmol", ("n-BuLi; 1.5 mmol",), (("THF", 40.0),)),
    "Birch product": ("COC1=CCC=CC1", "20 mmol", ("lithium; 10 mmol", "tert-butanol; 40 mmol"), (("diethyl ether", 40.0),)),
    "perruthenate aldehyde": (
        "O=CCCC1CCCCC1", "5 mmol", ("N-methylmorpholine; 7.5 mmol", "tetrapropylammonium perruthenate; 0.25 mmol"),
        (("DCM", 25.0),),
    ),
    "allylic alcohol after TBAF": (
        "OC/C=C\\COCc1ccccc1", "10 mmol", ("TBAF; 12 mmol", "tert-butyldimethylsilanol; 10 mmol"), (("THF", 30.0),),
    ),
    "nitroarene": ("COC(=O)c1cccc([N+](=O)[O-])c1", "10 mmol", ("nitric acid; 3 mmol", "sulfuric acid; 120 mmol"), ()),
    "keto acid by aluminium chloride": (
        "COc1ccc(C(=O)CCC(=O)O)cc1", "10 mmol", ("aluminium chloride; 22 mmol",), (("DCM", 40.0),),
    ),
    "benzylic bromide": (
        "BrCc1ccc(C#N)cc1", "10 mmol", ("succinimide; 10 mmol", "NBS; 0.5 mmol"), (("acetonitrile", 40.0),),
    ),
    "tosylate": (
        "Cc1ccc(S(=O)(=O)OCCOCc2ccccc2)cc1", "10 mmol", ("pyridine; 100 mmol",), (),
    ),
    "Mannich base": (
        "O=C(CCN1CCCCC1)c1ccccc1", "10 mmol", ("HCl; 12 mmol", "acetophenone; 3 mmol"), (("ethanol", 20.0),),
    ),
    "aniline by hydrogen": ("Nc1ccc(OCC)cc1", "10 mmol", ("palladium on carbon; 0.3 mmol",), (("methanol", 50.0),)),
    "ether by phase transfer": (
        "C(OCc1ccccc1)C1CCCO1", "10 mmol", ("sodium hydroxide; 60 mmol",), (("toluene", 30.0), ("water", 10.0)),
    ),
    "glycol": ("CC(O)CO", "50 mmol", ("sodium chloride; 20 mmol",), (("water", 30.0),)),
    "amino acid": ("NCCCC(=O)O", "20 mmol", ("HCl; 60 mmol",), (("water", 30.0),)),
    "Jones ketone": ("O=C1CCCC(C)C1", "10 mmol", ("chromium trioxide; 3 mmol", "sulfuric acid; 10 mmol"), (("acetone", 40.0),)),
    "olefin": ("C=C1CCC(C(C)(C)C)CC1", "10 mmol", ("triphenylphosphine oxide; 12 mmol",), (("diethyl ether", 40.0),)),
    "biaryl ether by NMP": ("c1ccc(Oc2ccc(C)cc2)cc1", "10 mmol", (), (("NMP", 20.0),)),
    "amino ester": ("N[C@@H](Cc1ccccc1)C(=O)OC", "10 mmol", ("HCl; 50 mmol",), (("1,4-dioxane", 15.0),)),
    "metathesis product": ("CCOC(=O)C1(C(=O)OCC)CC=CC1", "10 mmol", ("Grubbs II; 0.2 mmol",), (("DCM", 100.0),)),
    "cyanophenol": (
        "N#Cc1ccc(O)cc1", "10 mmol", ("copper(I) cyanide; 5 mmol",), (("DMF", 20.0),),
    ),
    "formyl aniline": ("O=Cc1ccc(N(C)C)cc1", "10 mmol", ("POCl3; 15 mmol",), (("DMF", 10.0),)),
    "ester by a diazo compound": ("COC(=O)CCCCc1ccccc1", "5 mmol", ("trimethylsilyldiazomethane; 1 mmol",), (("toluene", 20.0),)),
}  # fmt: skip


@cache
def flask(name: str) -> Considered:
    product, amount, others, solvents = FLASKS[name]
    return consider(build(product, [read_other(o) for o in others], product_amount=amount, solvents=list(solvents)))


def judged(name: str, text: str) -> Judgement:
    return judge(read_plan(text), flask(name))


# Flask, plan, verdict, rules that must be among the findings.
PLANS: tuple[tuple[str, str, str, tuple[str, ...]], ...] = (
    ("Appel bromide", "Wash with 1 M HCl (3 x 20 mL) to take out the phosphine oxide, dry, filter, evaporate.", "flawed",
     ("misses-its-purpose",)),
    ("Appel bromide", "Washed with water (20 mL) and brine (20 mL), dried over Na2SO4, filtered and evaporated. Column.", "ok", ()),
    ("olefin", "Wash with HCl to remove the triphenylphosphine oxide, dry over MgSO4, filter, evaporate.", "flawed",
     ("misses-its-purpose",)),
    ("olefin", "Wash with water (3 x 20 mL) and brine, dry over MgSO4, filter through a pad of silica, rinse with pentane and "
     "evaporate.", "ok", ()),
    ("Finkelstein iodide", "Add water and separate the acetone layer, dry over MgSO4, filter, evaporate.", "flawed",
     ("miscible-extractant",)),
    ("Finkelstein iodide", "Filter off the NaBr, evaporate the acetone, partition the residue between ether (50 mL) and water "
     "(30 mL), wash the ether with brine, dry over MgSO4, filter, evaporate.", "ok", ()),
    ("amine by lithium aluminium hydride", "Quench with 1 M HCl (50 mL), separate, keep the organic layer, dry, filter, "
     "evaporate.", "flawed", ("miscible-extractant",)),
    ("amine by lithium aluminium hydride", "Cool to 0 C; add dropwise 0.76 mL water, then 0.76 mL 15% NaOH, then 2.3 mL water. "
     "Stir 30 min at rt until white, add MgSO4, filter through Celite, rinse with ether, evaporate.", "ok", ()),
    ("valinol", "Quench with Rochelle salt, extract with ether, wash the ether with water (3 x 30 mL), dry, evaporate.", "flawed",
     ("washed-away",)),
    # where no volume is said, it is told and not held against the plan
    ("valinol", "Quench with Rochelle salt, extract with ether, wash the ether with water three times, dry, evaporate.", "minor",
     ("washed-away",)),
    ("ketone from a nitrile", "Pour slowly onto ice (50 g) and 6 M HCl (20 mL), stir for 1 h to hydrolyse the imine. Separate, "
     "extract the aqueous layer with ether (2 x 20 mL), wash the combined ether with sat. NaHCO3 (20 mL) and brine (20 mL), dry "
     "over MgSO4, filter and evaporate.", "ok", ()),
    ("lithiated aldehyde", "Pour into 50 mL of water at room temperature in one go, extract with ether, dry, filter, evaporate.",
     "dangerous", ("hasty-quench",)),
    ("Birch product", "Pour into 2 M HCl, extract with ether, dry over Na2SO4, filter and evaporate.", "dangerous",
     ("water-goes-in",)),
    ("Birch product", "Solid ammonium chloride was added in small portions until the blue colour was gone. Water (40 mL) was "
     "added, extracted with ether (3 x 30 mL), washed with water (2 x 20 mL) and brine, dried over Na2SO4, filtered and "
     "evaporated.", "ok", ()),
    ("perruthenate aldehyde", "The dark mixture was filtered through a pad of silica, which was rinsed with ethyl acetate, and "
     "the filtrate was evaporated.", "minor", ()),
    ("allylic alcohol after TBAF", "Add CaCO3 and DOWEX 50W, stir 1 h, filter through Celite, rinse with ethyl acetate and "
     "evaporate.", "ok", ()),
    ("allylic alcohol after TBAF", "Quench with saturated NH4Cl (20 mL), dilute with ether (60 mL), wash with water (3 x 20 mL) "
     "and brine, dry over MgSO4, filter and evaporate; column.", "minor", ("first-water-is-thrown-away",)),
    ("nitroarene", "Add 30 mL of water to the acid mixture, then extract with ether, dry, evaporate.", "dangerous",
     ("water-goes-in",)),
    ("nitroarene", "Add saturated NaHCO3 to the acid mixture until neutral, extract with ether, dry, filter, evaporate.",
     "dangerous", ("water-goes-in",)),
    ("nitroarene", "Pour onto crushed ice (80 g), extract with ether (3 x 30 mL), wash with water, saturated NaHCO3 (2 x 30 mL) "
     "until no more gas evolves, and brine, dry over MgSO4, filter, evaporate.", "ok", ()),
    ("keto acid by aluminium chloride", "Add saturated NaHCO3 until basic, separate, discard the water, dry the DCM layer, "
     "filter, evaporate.", "dangerous", ("water-goes-in",)),
    ("benzylic bromide", "Wash with concentrated ammonia to take out the succinimide, dry, filter, evaporate.", "dangerous",
     ("deadly-together",)),
    ("tosylate", "Dilute with ether (80 mL), wash with cold 2 M HCl until the washings stay acidic (4 x 25 mL), then with "
     "saturated NaHCO3 (20 mL) and brine (20 mL), dry over MgSO4, filter and evaporate.", "ok", ()),
    ("Mannich base", "Cool in ice, filter off the crystalline hydrochloride, wash with cold acetone and dry.", "minor",
     ("solid-from-water",)),
    ("aniline by hydrogen", "Filter through paper, suck the catalyst dry in air, throw it in the bin, evaporate.", "dangerous",
     ("cake-dries",)),
    ("aniline by hydrogen", "Purge with nitrogen, filter through Celite under nitrogen, keeping the cake wet with methanol, rinse "
     "with methanol (2 x 15 mL) and evaporate.", "ok", ()),
    ("ether by phase transfer", "Acidify with concentrated sulfuric acid without cooling, extract with toluene, dry, filter, "
     "evaporate.", "dangerous", ("poured-in-strong",)),
    ("glycol", "Evaporate the water under vacuum, take up in ethanol, filter off the salt and evaporate; distil under vacuum.",
     "ok", ()),
    ("glycol", "Extract with ether (3 x 20 mL), dry over MgSO4, filter, evaporate.", "flawed", ("left-behind",)),
    ("amino acid", "Evaporate to dryness, dissolve in water, adjust to pH 7.3 with ammonia, concentrate, add ethanol, cool and "
     "filter off the crystals.", "ok", ()),
    ("amino acid", "Basify to pH 12, extract with ether (3 x 30 mL), dry, evaporate.", "flawed", ("belongs-to-the-water",)),
    ("Jones ketone", "Evaporate the acetone to dryness and extract the red residue with ether.", "dangerous",
     ("oxidant-is-concentrated",)),
    ("Jones ketone", "Isopropanol (2 mL) was added until green. The acetone was decanted from the chromium salts and evaporated, "
     "the residue diluted with water (30 mL), extracted with ether (3 x 30 mL), washed with sat. NaHCO3 (20 mL) and brine, dried "
     "over MgSO4, filtered and carefully evaporated.", "ok", ()),
    ("biaryl ether by NMP", "The NMP was removed on the rotary evaporator at 40 C, and the residue was chromatographed.", "flawed",
     ("boils-too-high",)),
    ("amino ester", "Add 6 M NaOH to pH 14, stir 2 h, extract with ethyl acetate (3 x 20 mL), dry, evaporate.", "flawed",
     ("set-beyond-what-it-stands",)),
    ("amino ester", "Evaporate the dioxane and HCl, dissolve the hydrochloride in water (20 mL), cool in ice and basify with "
     "saturated Na2CO3 to pH 9, extract at once with ethyl acetate (3 x 20 mL), brine, dry over Na2SO4, filter and evaporate at "
     "30 C.", "ok", ()),
    ("metathesis product", "Wash with brine to remove the ruthenium, dry, filter, evaporate.", "flawed", ("misses-its-purpose",)),
    ("cyanophenol", "Pour into 2 M HCl, extract with EtOAc, dry, filter, evaporate.", "dangerous", ("poison-stands-in-the-way",)),
    ("formyl aniline", "Add water (50 mL) dropwise into the hot mixture, basify with 2 M NaOH to pH 9, extract with ether, dry, "
     "filter, evaporate.", "dangerous", ("hasty-quench",)),
    ("ester by a diazo compound", "Evaporate directly to dryness on the rotavap.", "dangerous", ("oxidant-is-concentrated",)),
)  # fmt: skip


@pytest.mark.parametrize(("name", "text", "verdict", "wanted"), PLANS)
def test_a_plan_is_judged_as_a_chemist_would(name: str, text: str, verdict: str, wanted: tuple[str, ...]) -> None:
    made = judged(name, text)
    found = [(f.kind, f.rule, f.text) for f in made.findings]
    assert made.verdict == verdict, found
    assert set(wanted) <= {f.rule for f in made.findings}, found


def test_what_is_wanting_is_washed_out_with_water_where_water_takes_it() -> None:
    made = judged("Suzuki biaryl", "Evaporate the dioxane, take up in DCM (40 mL), dry over MgSO4, filter, evaporate.")
    (found,) = [f for f in made.findings if f.rule == "nothing-touches-it"]
    assert "potassium carbonate and boric acid" in found.text and found.remedy == "wash with water"


def test_what_a_quench_would_make_is_not_held_against_a_plan_without_one() -> None:
    made = judged("ester by a diazo compound", "Evaporate directly to dryness on the rotavap.")
    assert not any("acetic acid" in f.text.lower() for f in made.findings)
