"""Turns of phrase in which a word of the trade is no step, belongs to another step, or says more than it seems to."""

from __future__ import annotations

import pytest
from readings import short

from washlore.rules.reading import read_plan

TURNS = (
    (
        "at once is no number",
        "Basify to pH 9, extract at once with ethyl acetate (3 x 20 mL).",
        "set ph pH9 | extract ethyl_acetate 3x20",
    ),
    (
        "what a wash removes is a solvent too, and strips nothing",
        "Dilute with ether (80 mL), wash with water (3 x 30 mL) to remove pyridine, dry over MgSO4, filter, evaporate.",
        "dilute diethyl_ether 80 | wash water 3x30 | dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "a list goes on behind until",
        "Washed with cold 2 M HCl until the washings stayed acidic (4 x 25 mL), then with saturated NaHCO3 (20 mL) and brine "
        "(20 mL), dried over MgSO4.",
        "wash hcl_2m 4x25 | wash nahco3_sat 20 | wash brine 20 | dry mgso4",
    ),
    ("in one go", "Pour into 50 mL of water in one go, extract with ether.", "quench water 50 | extract diethyl_ether"),
    (
        "ice and acid, and what is stirred to end it",
        "Pour slowly onto ice (50 g) and 6 M HCl (20 mL), stir for 1 h to hydrolyse the imine. Separate, extract the aqueous "
        "layer with ether (2 x 20 mL).",
        "quench ice_water 50 | quench hcl_6m 20 | extract diethyl_ether 2x20",
    ),
    ("a powder is none behind a comma", "Add bicarbonate, dry over sodium sulfate.", "dilute nahco3_sat | dry na2so4"),
    (
        "stirred once a pH is set",
        "Add 2 M NaOH to pH 13, stir 2 h, extract with ethyl acetate, dry, evaporate.",
        "set ph naoh_2m pH13 | extract ethyl_acetate | dry | concentrate",
    ),
    (
        "the acid mixture is the flask",
        "Add 30 mL of water to the acid mixture, extract with ether.",
        "dilute water 30 | extract diethyl_ether",
    ),
    (
        "until neutral is a pH where something is added",
        "Add saturated NaHCO3 to the acid mixture until neutral, extract with ether.",
        "set ph nahco3_sat pH7 | extract diethyl_ether",
    ),
    (
        "without cooling",
        "Acidify with 2 M HCl without cooling, extract with toluene.",
        "set ph hcl_2m pH2 | extract toluene",
    ),
    ("a vinyl ether is no ether", "Ethyl vinyl ether (1 mL) was added. Wash with water 20 mL.", "wash water 20"),
    (
        "the last of two brings the pH",
        "Pour onto ice (60 g), add sodium acetate solution and then 2 M NaOH to pH 8; extract with ether (3 x 30 mL).",
        "quench ice_water 60 | dilute naoac_10 | set ph naoh_2m pH8 | extract diethyl_ether 3x30",
    ),
    (
        "salt belongs to the extraction that follows",
        "Basify with 2 M NaOH to pH 13, saturate with K2CO3, extract with DCM (5 x 20 mL).",
        "set ph naoh_2m pH13 | extract dichloromethane 5x20",
    ),
    (
        "salted out",
        "The water was saturated with NaCl and extracted with ether (3 x 20 mL).",
        "extract diethyl_ether 3x20",
    ),
    ("saturated sodium chloride is a wash", "Wash with saturated NaCl.", "wash brine"),
    ("distilled at once", "Dry over MgSO4, filter. Distil.", "dry mgso4 | filter off desiccant | concentrate"),
    (
        "distilled after it was stripped",
        "Dry over MgSO4, filter, evaporate. Distil.",
        "dry mgso4 | filter off desiccant | concentrate",
    ),
    (
        "then more is added",
        "Methanol (2 mL) was added dropwise at 0 C to destroy excess NaH, then water (80 mL). Extracted with ether.",
        "dilute methanol 2 | dilute water 80 | extract diethyl_ether",
    ),
    (
        "what is named next is stripped and not added",
        "Water (40 mL) was added and the methanol was evaporated. Extract with ether.",
        "dilute water 40 | concentrate | extract diethyl_ether",
    ),
    (
        "stirred water is what is poured into",
        "Pour slowly into 100 mL of stirred ice water, filter.",
        "quench ice_water 100 | filter",
    ),
    (
        "what a wash contains besides",
        "Wash with 10% HCl containing KI (10 mL), 10% Na2S2O3 (20 mL).",
        "wash hcl_10pct 10 | wash na2s2o3_10 20",
    ),
    (
        "solid sulfite ends an oxidant",
        "Solid sodium sulfite (2 g) was added and stirred 30 min. The acetone was evaporated and the rest extracted with EtOAc.",
        "quench | concentrate | extract ethyl_acetate",
    ),
    (
        "solid ammonium chloride ends a reaction",
        "Solid ammonium chloride was added in small portions until the blue was gone. Water (40 mL) was added, extracted with "
        "ether (3 x 30 mL).",
        "quench | dilute water 40 | extract diethyl_ether 3x30",
    ),
)


@pytest.mark.parametrize(("text", "steps"), [row[1:] for row in TURNS], ids=[row[0] for row in TURNS])
def test_a_turn_of_phrase(text: str, steps: str) -> None:
    plan = read_plan(text)
    assert " | ".join(short(s) for s in plan.steps if s.action not in ("cool", "wait")) == steps
    assert not plan.unread


@pytest.mark.parametrize(
    ("text", "in_all"),
    [
        ("Dilute with water to 100 mL, extract with ether 3 x 30 mL.", True),
        ("Diluted to 100 mL with water and extracted with ether (3 x 30 mL).", True),
        ("Dilute with water to a total volume of 100 mL, extract with ether 3 x 30 mL.", True),
        ("Dilute with water (100 mL) to dissolve the salts, extract with ether 20 mL.", False),
        ("Dilute with 100 mL of water, extract with ether 3 x 30 mL.", False),
    ],
)
def test_water_up_to_a_volume(text: str, in_all: bool) -> None:
    step = read_plan(text).steps[0]
    assert (step.action, step.volume_ml, step.in_all) == ("dilute", 100.0, in_all)


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        (
            "Poured onto ice, extracted with ether to remove neutrals, acidified to pH 1, extracted with ether.",
            "aqueous",
        ),
        ("Poured onto ice, extracted with ether to get rid of the ketone, basified, extracted with ether.", "aqueous"),
        # nothing comes of the water: the ether is what goes on
        ("Poured onto ice, extracted with ether to remove the tar, dried, evaporated.", ""),
        ("Poured onto ice, extracted with ether, acidified to pH 1, extracted with ether.", ""),
    ],
)
def test_what_is_taken_out_is_not_kept(text: str, kept: str) -> None:
    step = next(s for s in read_plan(text).steps if s.action == "extract")
    assert step.phase_kept == kept


def test_what_is_said_of_a_layer_is_not_called_assumed() -> None:
    plan = read_plan(
        "Extract with 1 M HCl (3 x 30 mL), wash the acid layer with ether (2 x 20 mL), basify to pH 13, extract with ether."
    )
    assert plan.steps[0].phase_kept == "aqueous" and not plan.steps[0].assumed


@pytest.mark.parametrize(
    ("text", "purified"),
    [
        ("Wash with water, dry, filter through a pad of silica, evaporate.", "pad of silica"),
        ("Filter through a plug of silica gel with ether and evaporate.", "pad of silica"),
        ("Wash with water, dry, do not filter through silica, evaporate.", ""),
        ("Wash with water, dry, filter, distil off the ether through a Vigreux column.", ""),
        ("Wash with water, dry, filter, evaporate; column.", "chromatography"),
        ("Wash with water, dry over MgSO4, filter, distil.", "distillation"),
    ],
)
def test_what_the_product_goes_through(text: str, purified: str) -> None:
    assert read_plan(text).purified == purified
