"""Turns of phrase, one at a time: how much and how often, what is meant by a word where it stands, what is told as not read."""

from __future__ import annotations

import pytest
from readings import short

from washlore.rules.reading import organic_solvent, read_plan
from washlore.rules.reading.purification import later_purification

# text, steps, and what is told as not read (a word of it and of the reason), if anything is.
SAID = (
    # How much and how often
    ("Washed with water, 20 mL x 3 times, and brine.", "wash water 3x20 | wash brine", ""),
    ("washed with water (20 mL, 3x) and brine", "wash water 3x20 | wash brine", ""),
    ("Wash with water x 3 times.", "wash water 3x", ""),
    ("The ether was three times washed with water (20 mL).", "wash water 3x20", ""),
    ("The ether was twice washed with water (20 mL).", "wash water 2x20", ""),
    ("The aqueous layer was three times extracted with ether (20 mL).", "extract diethyl_ether 3x20", ""),
    ("two washes with water (20 mL), then brine", "wash water 2x20 | wash brine", ""),
    ("A total of two washes (20 mL) with water.", "wash water 2x20", ""),
    ("Wash with three lots of water (20 mL).", "wash water 3x20", ""),
    ("Wash with 3 x 1/2 volumes of water and brine.", "wash water 3x0.5vol | wash brine", ""),
    ("Wash with 3 x 1/4 water.", "wash water 3x0.25vol", ""),
    ("Wash with 3 x 0.5 volumes of water.", "wash water 3x0.5vol", ""),
    ("Wash with 20 x 3 water.", "wash water 3x20", ""),
    ("Wash with water (0.5 x 3 mL).", "wash water 3x0.5", ""),
    ("Wash with 30 portions of water.", "wash water", ""),
    ("Wash with 0.5 x 0.3 water.", "wash water", ""),
    ("Wash with 3 x 1 M HCl.", "wash hcl_1m 3x", ""),
    ("Wash with brine 3x 4 M HCl.", "wash brine | wash hcl_4m 3x", ""),
    ("Wash with water, brine 20 mL each and dry over MgSO4.", "wash water 20 | wash brine 20 | dry mgso4", ""),
    ("Wash with water and brine 20 mL each time.", "wash water | wash brine 20", ""),
    ("extract with 1,234.5 mL ether", "extract diethyl_ether 1234.5", ""),
    ("extract with 1.234,5 mL ether", "extract diethyl_ether 1234.5", ""),
    # Strengths
    ("Washed with N/2 HCl (20 mL) and brine.", "wash hcl_05m 20 | wash brine", ""),
    ("Wash with M/0 HCl.", "wash hcl_1m", ""),
    ("Wash with 1:2 sat. brine (20 mL).", "wash half_brine 20", ""),
    ("Wash with 1:1 water brine (20 mL).", "wash half_brine 20", ""),
    ("Wash with 2 M in HCl (20 mL).", "wash hcl_2m 20", ""),
    ("Wash with 10% w/v Na2S2O3 (20 mL).", "wash na2s2o3_10 20", ""),
    ("Wash with 5% w / v NaHCO3 (20 mL).", "wash nahco3_5 20", ""),
    ("Wash with 10% Na2S2O3 5H2O (20 mL).", "wash na2s2o3_10 20", ""),
    ("Wash with 10% Na2S2O3 x 5H2O (20 mL).", "wash na2s2o3_10 20", ""),
    ("Wash with 5% aq.\nNaHCO3 and brine.", "wash nahco3_5 | wash brine", ""),
    ("Wash with phosphate buffer pH 9 (20 mL).", "wash phosphate_ph8 20", ""),
    ("Wash with NaH2PO4 pH 4 (20 mL).", "wash phosphate_ph6 20", ""),
    ("Wash with acetate buffer pH 5 (20 mL).", "wash acetate_ph5 20", ""),
    ("Wash with 1:1 NH4Cl/ammonia pH 8 (20 mL).", "wash nh4cl_nh3 20", ""),
    ("Wash with chilled water (20 mL).", "wash ice_water 20", ""),
    ("Wash with distilled water (20 mL).", "wash water 20", ""),
    # A pH that is set
    ("Bring to pH 11 with NaOH, extract with ether (20 mL).", "set ph naoh_1m pH11 | extract diethyl_ether 20", ""),
    (
        "The pH was adjusted to 8-9 with 2 M NaOH and the mixture was extracted with DCM (3 x 20 mL).",
        "set ph naoh_2m pH8.5 | extract dichloromethane 3x20",
        "",
    ),
    ("Adjust the pH with 2 M NaOH. Extract with ether (20 mL).", "set ph naoh_2m | extract diethyl_ether 20", ""),
    (
        "The pH was brought to 9 with 1 M NaOH. Extract with ether (20 mL).",
        "set ph naoh_1m pH9 | extract diethyl_ether 20",
        "",
    ),
    (
        "The pH of the aqueous layer was raised to 12 with 2 M NaOH. Extract with ether (20 mL).",
        "set ph naoh_2m pH12 | extract diethyl_ether 20",
        "",
    ),
    (
        "Make the aqueous layer basic with NaOH and extract with ether (20 mL).",
        "set ph naoh_1m pH10 | extract diethyl_ether 20",
        "",
    ),
    (
        "The water was made strongly acidic with 6 M HCl and extracted with ether (20 mL).",
        "set ph hcl_6m pH2 | extract diethyl_ether 20",
        "",
    ),
    (
        "The aqueous layer was treated with 6 M HCl until pH 2 and extracted with ether (20 mL).",
        "set ph hcl_6m pH2 | extract diethyl_ether 20",
        "",
    ),
    (
        "Wash with water.\n6 M NaOH to pH 13\nextract with ether (20 mL)",
        "wash water | set ph naoh_15pct pH13 | extract diethyl_ether 20",
        "",
    ),
    ("Test with pH paper that the pH is 7. Wash with brine (20 mL).", "check ph pH7 | wash brine 20", ""),
    # What is brought into the flask
    (
        "The reaction was quenched with flumazole. The mixture was extracted with ether (2 x 20 mL).",
        "extract diethyl_ether 2x20",
        "flumazole: what it is quenched with",
    ),
    (
        "The mixture was diluted by adding 40 mL of ether and washed with water (20 mL).",
        "dilute diethyl_ether 40 | wash water 20",
        "",
    ),
    (
        "The residue was dissolved in 10% acetic acid (20 mL) and extracted with ether (20 mL).",
        "dilute acetic_10 20 | extract diethyl_ether 20",
        "",
    ),
    (
        "The reaction mixture was added to 50 mL of ice water and extracted with ether (20 mL).",
        "quench ice_water 50 | extract diethyl_ether 20",
        "",
    ),
    ("Add to 50 mL of water and extract with ether (20 mL).", "quench water 50 | extract diethyl_ether 20", ""),
    (
        "Add water, then NaOH (10 mL) and extract with ether (20 mL).",
        "dilute water | dilute naoh_1m 10 | extract diethyl_ether 20",
        "",
    ),
    (
        "Quench with water (10 mL) then 1 M HCl (10 mL), extract with ether (20 mL).",
        "quench water 10 | quench hcl_1m 10 | extract diethyl_ether 20",
        "",
    ),
    (
        "Water (20 mL) was added and ether (30 mL). Wash with brine.",
        "dilute water 20 | dilute diethyl_ether 30 | wash brine",
        "",
    ),
    (
        "Wash with 10% Na2S2O3 (20 mL). Add more until the colour is gone. Wash with brine.",
        "wash na2s2o3_10 20 | wash brine",
        "",
    ),
    (
        "Pour into a mixture of ice and 1 M HCl (50 mL), extract with ether (20 mL).",
        "quench hcl_1m 50 | extract diethyl_ether 20",
        "",
    ),
    (
        "Pour into ice water and 1 M HCl (50 mL), extract with ether (20 mL).",
        "quench ice_water | quench hcl_1m 50 | extract diethyl_ether 20",
        "",
    ),
    (
        "The reaction was poured with stirring into ice water (50 mL), extracted with ether (20 mL).",
        "quench ice_water 50 | extract diethyl_ether 20",
        "",
    ),
    (
        "With vigorous stirring, water (20 mL) was added. Wash the ether layer with brine.",
        "dilute water 20 | wash brine",
        "",
    ),
    (
        "The mixture was transferred with 20 mL of DMF to the funnel. Extract with ether (20 mL).",
        "dilute dmf 20 | extract diethyl_ether 20",
        "",
    ),
    (
        "The THF was exchanged for ethyl acetate (40 mL), washed with water (20 mL).",
        "evaporate | dilute ethyl_acetate 40 | wash water 20",
        "",
    ),
    ("The solvent was swapped. Wash with water (20 mL).", "evaporate | wash water 20", ""),
    (
        "The residue was taken quickly up in ether (20 mL), washed with water (20 mL).",
        "dilute diethyl_ether 20 | wash water 20",
        "",
    ),
    (
        "1 M HCl (20 mL) dropwise\nether (2 x 20 mL)\nbrine",
        "quench hcl_1m 20 | extract diethyl_ether 2x20 | wash brine",
        "",
    ),
    # What is stirred, shaken or treated with what
    (
        "The organic layer was stirred with 1 M HCl (20 mL) for 10 min, dried over MgSO4.",
        "wash hcl_1m 20 | dry mgso4",
        "",
    ),
    (
        "Stir the reaction mixture with sat. NH4Cl (20 mL), extract with ether (2 x 20 mL).",
        "quench nh4cl_sat 20 | extract diethyl_ether 2x20",
        "",
    ),
    (
        "The organic layer was treated with MgSO4, filtered and evaporated.",
        "dry mgso4 | filter off desiccant | concentrate",
        "",
    ),
    ("Wash with water (20 mL). Treat with charcoal, filter.", "wash water 20 | filter", "charcoal: not judged"),
    (
        "Wash with water (20 mL). The solution was treated with benzaldehyde. Wash with brine.",
        "wash water 20 | wash brine",
        "treated: addition within",
    ),
    ("Wash with water (20 mL). Mix with heat, wash with brine.", "wash water 20 | wash brine", "Mix: not judged"),
    ("Mix with water (20 mL) and keep the ether layer.", "quench water 20", ""),
    (
        "The ether layer was decolorised with 10% Na2S2O3 (20 mL), washed with brine.",
        "wash na2s2o3_10 20 | wash brine",
        "",
    ),
    (
        "The mixture was shaken with ether (20 mL) and water (30 mL). Wash the ether layer with brine.",
        "dilute water+diethyl_ether 30 | wash brine",
        "",
    ),
    (
        "The residue was extracted between ether (30 mL) and water (20 mL). Wash with brine.",
        "dilute water+diethyl_ether 20 | wash brine",
        "",
    ),
    (
        "The residue was partitioned. Wash the organic layer with brine (20 mL).",
        "wash brine 20",
        "partitioned: between what",
    ),
    # What a word is where it stands
    ("Pyridine hydrochloride was washed out with water (20 mL).", "wash water 20", ""),
    (
        "The flask was washed out with acetone (20 mL). Extract with ether (20 mL).",
        "extract diethyl_ether 20",
        "acetone: solvent that no step",
    ),
    ("Wash with water (20 mL); the ether was washed with brine.", "wash water 20 | wash brine", ""),
    ("The azabicyclo[3.1.0]hexane was extracted with ether (20 mL).", "extract diethyl_ether 20", ""),
    ("The 4-bromo-toluene was extracted with ether (20 mL).", "extract diethyl_ether 20", ""),
    ("Benzene-1,2-diol was extracted with ether (20 mL).", "extract diethyl_ether 20", ""),
    ("Toluene-like oils were washed with water (20 mL).", "wash water 20", ""),
    (
        "It was then extracted with dce and washed with tea.",
        "extract 1,2-dichloroethane",
        "tea: what it is washed with",
    ),
    ("Quench with water, cooling, extract with ether (20 mL).", "quench water | cool | extract diethyl_ether 20", ""),
    ("The temperature was raised to 40 C. Wash with water (20 mL).", "wash water 20", ""),
    (
        "The flask was rinsed with water (20 mL). Extract with ether (20 mL).",
        "extract diethyl_ether 20",
        "water: a solution that no step",
    ),
    ("Take the organic layer; wash with brine (20 mL).", "wash brine 20", ""),
    ("Make sure that the layers are separated. Wash with brine (20 mL).", "wash brine 20", ""),
    ("Wash with NaHCO3 (20 mL); be careful to vent. Wash with brine.", "wash nahco3_sat 20 | vent | wash brine", ""),
    (
        "Wash with NaHCO3 (20 mL) (vent!), 10 mL brine. Dry over MgSO4.",
        "wash nahco3_sat 20 | vent | wash brine 10 | dry mgso4",
        "",
    ),
    ("A separate flask was used. Wash with water (20 mL).", "wash water 20", ""),
    ("The layers were shaken by decantation with water (20 mL).", "wash water 20", ""),
    ("The crude with the heat of the bath was washed with water (20 mL).", "wash water 20", ""),
    ("Distil off. Wash with water (20 mL).", "evaporate | wash water 20", ""),
    ("The precipitate was separated. It was washed with water (20 mL).", "rinse water 20", ""),
    ("The organic layers combined, washed with water (20 mL).", "combine | wash water 20", ""),
    # Layers
    ("The lower (DCM) layer was washed with water (20 mL).", "wash water 20", ""),
    ("The lower (cloudy) layer was washed with water (20 mL).", "wash water 20", ""),
    ("The organic ether layer was washed with water (20 mL).", "wash water 20", ""),
    ("The lower organic layer was washed with water (20 mL).", "wash water 20", ""),
    ("The lower DCM layer was washed with water (20 mL).", "wash water 20", ""),
    ("The organic layer was rinsed with water (20 mL) and brine (20 mL).", "wash water 20 | wash brine 20", ""),
    ("Wash with water (20 mL), allow time for separation. Keep the ether layer.", "wash water 20", ""),
    # What is extracted and what with
    ("Extract with ether (20 mL) from the water (50 mL).", "extract diethyl_ether 20", ""),
    (
        "A solution of the residue in DMF (5 mL) was extracted with ether (20 mL).",
        "extract diethyl_ether 20",
        "DMF: a solvent that no step",
    ),
    (
        "Extract with ether (20 mL), hexane (10 mL), brine.",
        "extract diethyl_ether 20 | extract hexane 10 | wash brine",
        "",
    ),
    ("Extract with a 3:1 mixture of CHCl3 and iPrOH (20 mL).", "extract chloroform 20", ""),
    (
        "Extract with ether (3 x 20 mL), water (20 mL), MgSO4, evaporate.",
        "extract diethyl_ether 3x20 | wash water 20 | dry mgso4 | concentrate",
        "",
    ),
    (
        "Extract the residue with flumazole (20 mL). Wash with brine (20 mL).",
        "wash brine 20",
        "flumazole: what it is extracted with",
    ),
    ("Wash with water (20 mL). Repeat from step 1.", "wash water 20", "Repeat: not judged"),
    (
        "Wash with 1 M HCl (20 mL). Repeat the acid wash with a fresh 20 mL portion. Wash with brine.",
        "wash hcl_1m 2x20 | wash brine",
        "",
    ),
    # Drying
    ("Dry over brine then MgSO4.", "wash brine | dry mgso4", ""),
    ("The organic layer was dried over P2O5 (2 g).", "dry", ""),
    ("Dry over water and MgSO4, filter.", "dry mgso4 | filter off desiccant", ""),
    ("Wash with brine.\ndrying agent\nfilter\nevaporate", "wash brine | dry | filter off desiccant | concentrate", ""),
    # Where the workup begins and ends, and how its lines are counted
    (
        "Benzyl alcohol (1.08 g, 10 mmol) was dissolved in DCM (30 mL) and benzoyl chloride was added. The mixture was stirred "
        "for two hours at room temperature and stood overnight in the dark. It was washed with water (20 mL) and brine (20 mL), "
        "dried over MgSO4 and evaporated under reduced pressure on a water bath, which left the ester as an oil.",
        "wash water 20 | wash brine 20 | dry mgso4 | concentrate",
        "",
    ),
    (
        "The ether was washed with water (20 mL). The crude was purified by chromatography and recrystallised. It was taken up "
        "in ether (20 mL) and washed with brine (20 mL).",
        "wash water 20 | dilute diethyl_ether 20 | wash brine 20",
        "chromatography and recrystallised: purification within",
    ),
    ("Wash with brine (20 mL).\nsilica gel\nevaporate", "wash brine 20 | concentrate", "silica gel: no operation"),
    ("Wash with brine.\nlabel the flask\nDry over MgSO4.", "wash brine | dry mgso4", ""),
    ("Combine in DMF with 3 g of imidazole. Wash with water (20 mL).", "wash water 20", ""),
    ("20 mL 1 M HCl was there, extract with ether (20 mL).", "extract diethyl_ether 20", "1 M HCl: no step"),
    ("Pour into 50 mL of flumazole. Wash with brine (20 mL).", "wash brine 20", "flumazole: no operation"),
    ("Step 1: wash with water (20 mL). Step 2 wash with brine (20 mL).", "wash water 20 | wash brine 20", ""),
    ("• wash with water (20 mL) • wash with brine • dry over MgSO4", "wash water 20 | wash brine | dry mgso4", ""),
    ("Wash with brine.\nTransfer to a flask.\nDry over MgSO4.", "wash brine | dry mgso4", ""),
    ("wash with 2000000 mL water and brine", "wash water | wash brine", ""),
    (
        "Stirred with 10 % KF (45 mL) for 1 h, filtered through Celite, washed with water (20 mL), dried over MgSO4.",
        "quench kf_10 45 | filter | wash water 20 | dry mgso4",
        "",
    ),
)


@pytest.mark.parametrize(("text", "steps", "unread"), SAID, ids=[row[0][:48] for row in SAID])
def test_a_turn_of_phrase_is_read(text: str, steps: str, unread: str) -> None:
    plan = read_plan(text)
    assert [short(step) for step in plan.steps] == steps.split(" | ")
    words, _, reason = unread.partition(": ")
    assert [words in u.words and reason in u.reason for u in plan.unread] == ([True] if unread else [])


@pytest.mark.parametrize(
    ("text", "solvent"),
    [
        ("The MTBE layer was washed with water (20 mL).", "mtbe"),
        (
            "The DMF was evaporated, the residue dissolved in ether (20 mL) and washed with water (20 mL).",
            "diethyl_ether",
        ),
        ("Dissolve in toluene (20 mL), evaporate, wash the ether layer with water (20 mL).", "diethyl_ether"),
        ("Wash with water (20 mL).", ""),
    ],
)
def test_which_solvent_is_washed(text: str, solvent: str) -> None:
    assert organic_solvent(read_plan(text)) == solvent


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("The residue was chromatographed on silica.", "chromatography"),
        ("The product was pure by HPLC.", ""),
        ("It was purified by preparative HPLC.", "chromatography"),
        ("No chromatography was needed.", ""),
        ("It was used in the next step without purification.", "next step"),
        ("The oil weighed 2.1 g.", ""),
    ],
)
def test_what_a_text_goes_on_to(text: str, kind: str) -> None:
    assert later_purification(text) == kind
