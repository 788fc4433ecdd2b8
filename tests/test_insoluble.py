"""Salts that water hardly dissolves are filtered off, and are not taken for washed out (CRC Handbook, recalled)."""

from __future__ import annotations

import pytest

from washlore.knowledge.inorganic import insoluble
from washlore.knowledge.structure import molecules
from washlore.rules.judge import consider, judge
from washlore.rules.mixture import Mixture, build
from washlore.rules.plan import make_plan
from washlore.rules.reading import read_plan

ESTER = "CCOC(=O)/C=C/c1ccccc1"
END = ", brine (15 mL), dry over MgSO4, filter, rinse, evaporate."


def flask(salt: str) -> Mixture:
    return build(ESTER, [(salt, "20 mmol", "base")], product_amount="10 mmol", solvents=[("toluene", 40.0)])


@pytest.mark.parametrize(
    ("smiles", "row"),
    [
        ("[Ca+2].[O-]C([O-])=O", "alkaline_earth_carbonate"),
        ("[Li+].[Li+].[O-]C([O-])=O", "lithium_carbonate"),
        ("[Ba+2].[O-]S([O-])(=O)=O", "alkaline_earth_sulfate"),
        ("[Ca+2].[F-].[F-]", "sparing_fluoride"),
        ("[K+].[K+].[O-]C([O-])=O", ""),
        ("[Ca+2].[Cl-].[Cl-]", ""),
        ("[Mg+2].[O-]S([O-])(=O)=O", ""),
        ("[Ca+2].[Na+].[O-]C([O-])=O", ""),
    ],
)
def test_which_ions_make_a_solid(smiles: str, row: str) -> None:
    found = insoluble(part.smiles for part in molecules(smiles))
    assert (found.id if found else "") == row


@pytest.mark.parametrize("salt", ["calcium carbonate", "Li2CO3", "barium sulfate"])
def test_such_a_salt_is_filtered_off_before_any_water(salt: str) -> None:
    plan = make_plan(flask(salt), 12)
    assert [s.action for s in plan.steps] == ["filter", "concentrate"]
    assert plan.left["c1"][1] < 0.01


def test_near_miss_a_salt_that_water_takes() -> None:
    assert "filter" not in [s.action for s in make_plan(flask("potassium carbonate"), 12).steps]


@pytest.mark.parametrize(
    ("salt", "wash", "told"),
    [
        ("calcium carbonate", "water", True),
        ("calcium carbonate", "1 M HCl", False),  # which dissolves it
        ("barium sulfate", "1 M HCl", True),
        ("potassium carbonate", "water", False),
    ],
)
def test_a_plan_that_lets_it_into_the_funnel_is_told(salt: str, wash: str, told: bool) -> None:
    found = judge(read_plan(f"Wash with {wash} (2 x 15 mL){END}"), consider(flask(salt), 12)).findings
    assert ("solid-in-the-funnel" in {f.rule for f in found}) == told
