"""What ends a leftover without water: which words are read as such, and that each ends its own kind only."""

from __future__ import annotations

import pytest

from washlore.knowledge.rows import Residue, Solution, table
from washlore.rules import build
from washlore.rules.ended import ENDERS, enders
from washlore.rules.judge import consider, judge
from washlore.rules.mixture import read_other
from washlore.rules.reading import read_plan

ENDS = " Wash with 20 mL of water, then brine, dry over MgSO4, filter, and evaporate."


def faults(leftover: str, quench: str, product: str = "COC(=O)CCc1ccccc1") -> set[str]:
    mixture = build(product, [read_other(leftover)], product_amount="10 mmol", solvents=[("ethyl acetate", 40.0)])
    return {finding.rule for finding in judge(read_plan(quench + ENDS), consider(mixture)).findings}


@pytest.mark.parametrize(
    ("leftover", "agent", "other"),
    [
        ("O=S(=O)(N1OC1c1ccccc1)c1ccccc1; 5 mmol", "dimethyl sulfide", "urea"),
        ("[O-][O+]=O; 5 mmol", "triphenylphosphine", "sulfamic acid"),
        ("[O-][O+]=O; 5 mmol", "solid sodium metabisulfite", "sulfamic acid"),
    ],
)
def test_each_ends_its_own_kind(leftover, agent, other) -> None:
    assert "oxidant-is-concentrated" not in faults(leftover, f"Quench with {agent}.")
    assert "oxidant-is-concentrated" in faults(leftover, f"Quench with {other}.")


def test_what_is_ended_is_no_agent() -> None:
    assert enders("Quench ozone with dimethyl sulfide: under nitrogen") == [ENDERS[0]]
    assert enders("Quench borane dimethyl sulfide with methanol: sweep with nitrogen") == []


def _agents() -> dict[str, str]:
    rows = [row for row in table(Residue).values() if row.action == "quench"]
    found = {row.quench_with or table(Solution)[row.solution].name: row.id for row in rows}
    return found | {row.instead_with: row.id for row in rows if row.instead_with}


@pytest.mark.parametrize("agent", _agents())
def test_what_a_printed_plan_quenches_with_is_read_back(agent) -> None:
    text = (
        f"What to do\n  1.  Quench this with {agent}: In the hood.\n      It reacts.\n  2.  Wash with 20 mL of water.\n"
    )
    read = read_plan(text)
    assert read.steps[0].action == "quench" and read.steps[-1].action == "wash"
    assert not any("not known" in unread.reason for unread in read.unread)
