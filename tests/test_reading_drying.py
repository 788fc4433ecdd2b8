"""How people say that a layer is dried, and what is read; after each text stands what follows the first wash."""

from __future__ import annotations

import pytest
from readings import short

from washlore.rules.reading import read_plan

WASHED = "The ether layer was washed with 20 mL of 1 M HCl. "

DRIED = (
    ("MgSO4 drying, filtration, evaporation.", "dry mgso4 | filter off desiccant | concentrate", ""),
    ("Dry the ether over sodium sulfate and filter.", "dry na2so4 | filter off desiccant", ""),
    ("It was dried with brine and magnesium sulfate and filtered.", "wash brine | dry mgso4 | filter off desiccant",
     "drying with brine is read as a wash"),
    ("It was dried with brine, then over magnesium sulfate.", "wash brine | dry mgso4", "drying with brine"),
    ("It was dried with brine and evaporated.", "wash brine | concentrate", "drying with brine"),
    ("It was dried over drierite and evaporated.", "dry caso4 | concentrate", ""),
    ("It was dried over sodium sulfate and magnesium sulfate and evaporated.", "dry na2so4 | concentrate",
     "magnesium sulfate is named besides"),
    ("The solution was dried by filtration through sodium sulfate and evaporated.", "dry na2so4 | concentrate", ""),
    ("The residue was dried azeotropically with toluene.", "dry toluene_azeotrope", ""),
    ("The solvent was removed and the residue dried in vacuo.", "concentrate", ""),
    ("The layer was dried over the usual agent and evaporated.", "dry | concentrate", "the drying agent is not known"),
    ("The extract was dried over silica gel and evaporated.", "dry | concentrate", "the drying agent is not known"),
    ("The extract was dried over P2O5 and evaporated.", "dry | concentrate", "the drying agent is not known"),
    ("The layer was dried and evaporated.", "dry | concentrate", "drying agent not given"),
    ("The organic layer was passed through sodium sulfate and evaporated.", "dry na2so4 | concentrate", ""),
    ("The layer was filtered through anhydrous sodium sulfate and evaporated.", "dry na2so4 | concentrate", ""),
    ("It was dried over Na2SO4, filtered through Celite and evaporated.", "dry na2so4 | filter off desiccant | concentrate", ""),
    ("Let it stand over Na2SO4 for 10 min, decant and evaporate.", "dry na2so4 | filter off desiccant | concentrate", ""),
    ("Dry, decant, evaporate.", "dry | filter off desiccant | concentrate", "drying agent not given"),
    ("It was swirled with MgSO4; the drying agent was removed by gravity filtration.", "dry mgso4 | filter off desiccant", ""),
    ("Add magnesium sulfate to dry the ether layer. Filter.", "dry mgso4 | filter off desiccant", ""),
    ("Add calcium chloride to dry the ether layer. Filter.", "dry cacl2 | filter off desiccant", ""),
    ("Add brine to dry the ether layer, then MgSO4. Filter.", "wash brine | dry mgso4 | filter off desiccant",
     "drying with brine is read as a wash"),
    ("Add 20 mL of brine to dry the organic layer. Evaporate.", "wash brine 20 | concentrate", "drying with brine"),
    ("The ether layer was dried over CaCl2 at room temperature and evaporated.", "dry cacl2 | concentrate", ""),
    ("The ether was dried over CaCl2 and evaporated in vacuo.", "dry cacl2 | concentrate", ""),
    ("Enough Na2SO4 was added to dry the solution, which was then filtered.", "dry na2so4 | filter off desiccant", ""),
)  # fmt: skip


@pytest.mark.parametrize(("text", "steps", "said"), DRIED, ids=[d[0][:40] for d in DRIED])
def test_a_layer_is_dried(text: str, steps: str, said: str) -> None:
    read = read_plan(WASHED + text)
    assert short(read.steps[0]) == "wash hcl_1m 20"
    assert " | ".join(short(s) for s in read.steps[1:]) == steps
    assert not read.unread
    told = [note for step in read.steps[1:] for note in step.assumed if note != "organic layer kept"]
    assert any(said in note for note in told) if said else not told


@pytest.mark.parametrize(
    ("text", "steps"),
    [
        ("The precipitate was collected, washed with cold water (20 mL) and dried over P2O5.", "rinse ice_water 20"),
        ("The layer was filtered and the filtrate was washed with brine.", "filter | wash brine"),
        ("The product was filtered off and dried in air.", "filter"),
        ("Extract with ether and evaporate. The crystals were dried over CaCl2 in a desiccator.",
         "extract diethyl_ether | concentrate"),
        ("Wash with water and filter; the solid was dried over KOH in vacuo.", "wash water | filter"),
        ("Extract with ether and evaporate. The product was dried over silica gel in a vacuum desiccator.",
         "extract diethyl_ether | concentrate"),
    ],
)  # fmt: skip
def test_a_solid_is_not_dried_as_a_layer_is(text: str, steps: str) -> None:
    assert " | ".join(short(s) for s in read_plan(text).steps) == steps


def test_what_a_plug_of_silica_takes_is_not_judged() -> None:
    read = read_plan(WASHED + "It was passed through a short plug of silica and evaporated.")
    assert [u.reason for u in read.unread] == ["an operation that is not judged here"]
