"""Boiling points from groups, against those of the tables; and what a plan does with a product that boils low."""

import numpy as np
import pytest

from washlore.knowledge.boiling import estimated_boiling_c
from washlore.knowledge.rows import Solvent, table
from washlore.rules import build, make_plan

OFF_BY_C = 20.0


def test_common_solvents_are_right_within_twenty_degrees():
    found = {row.id: estimated_boiling_c(row.smiles) for row in table(Solvent).values() if row.boiling_c < 170}
    errors = np.array([v - table(Solvent)[k].boiling_c for k, v in found.items() if v is not None])
    assert len(errors) >= 40
    assert np.mean(np.abs(errors) <= OFF_BY_C) >= 0.85
    assert abs(errors.mean()) < 5


@pytest.mark.parametrize("smiles", ["CN(C)C=O", "OCCO", "CC1COC(=O)O1", "ClCCl", "CC(=O)[O-].[Na+]", "CCCCCCCCCCCCCC"])
def test_what_a_sum_does_not_reach_is_left_out(smiles):
    assert estimated_boiling_c(smiles) is None


def _plan(product, *others, solvent, ml=40.0):
    return make_plan(
        build(product, [(o, "10 mmol", None) for o in others], product_amount="20 mmol", solvents=[(solvent, ml)])
    )


def test_a_volatile_product_is_not_stripped():
    plan = _plan("CCC(=O)OC", "pyridine", solvent="diethyl ether")
    last = plan.steps[-1]
    assert (
        last.instruction.startswith("Distil off diethyl ether") and "never on the rotary evaporator" in last.instruction
    )
    assert any(c.id == "volatile product" and "by estimate" in c.text for c in plan.cautions)


def test_a_very_volatile_product_is_distilled_out_of_a_high_boiling_solvent():
    plan = _plan("CCCCC=C", "pyridine", solvent="THF")
    assert not any(step.action == "evaporate" for step in plan.steps), "THF would take it along"
    assert " out of xylene" in plan.steps[-1].instruction


def test_a_product_that_boils_high_is_stripped_as_ever():
    plan = _plan("CCOC(=O)c1ccccc1", "pyridine", solvent="diethyl ether")
    assert plan.steps[-1].instruction.startswith("Strip off diethyl ether on the rotary evaporator into a tared flask")
