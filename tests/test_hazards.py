"""The tables of what clashes in one flask and of what may explode: each row speaks where it must and is silent otherwise."""

from __future__ import annotations

import pytest

from washlore.knowledge.names import resolve
from washlore.knowledge.rows import Clash, Explosive, Group, Residue, Solvent, Source, table
from washlore.rules.mixture import build
from washlore.rules.plan import make_plan

ESTER = "CCOC(=O)/C=C/c1ccccc1"


def cautions(pair: tuple[str, ...]) -> dict[str, str]:
    """Return the cautions of a flask that holds the two of a pair; a solvent is the flask's medium."""
    solvents = {row.name for row in table(Solvent).values() if row.log_k_key} | {"dichloromethane", "toluene"}
    medium = next((name for name in pair if name in solvents), "ethyl acetate")
    others = [(name, "5 mmol", None) for name in pair if name not in solvents]
    plan = make_plan(build(ESTER, others, product_amount="10 mmol", solvents=[(medium, 40.0)]), draws=1)
    return {c.id: c.text for c in plan.cautions}


@pytest.mark.parametrize("row", table(Clash).values(), ids=lambda row: row.id)
def test_a_clash_is_named_and_its_near_miss_is_not(row):
    assert set(row.residues) <= set(table(Residue)) and row.source in table(Source)
    for partner in row.partners:
        known = partner in table(Residue) or partner in table(Group) or partner in table(Solvent)
        assert known or resolve(f"SMILES={partner}").smiles == partner
    assert row.makes in cautions(row.example)[row.id]
    assert row.id not in cautions(row.near_miss)


@pytest.mark.parametrize("row", table(Explosive).values(), ids=lambda row: row.group)
def test_what_may_explode_is_a_group_of_the_table(row):
    assert row.group in table(Group) and row.source in table(Source)
    assert row.danger and row.care and not row.care.endswith(".")


@pytest.mark.parametrize(
    ("azide", "words"),
    [
        ("[N-]=[N+]=NCCCCCCCCC", "3 or more"),
        ("[N-]=[N+]=NCc1ccccc1", "below 3"),
        ("[N-]=[N+]=NCCN=[N+]=[N-]", "never isolate"),
    ],
)
def test_the_atoms_of_an_azide_say_what_may_be_done_with_it(azide, words):
    """Nonyl azide is the smallest that may be isolated by the rule (safety sheets on azides, source ``stanford_azides``)."""
    plan = make_plan(build(azide, [("benzoic acid", "1 mmol", None)], solvents=[("ether", 40.0)]), draws=1)
    assert any(words in c.text for c in plan.cautions if c.id == "may explode: azide")


@pytest.mark.parametrize(
    ("leftover", "gas", "other"),
    [
        ("PBr3", "hydrogen bromide", "hydrogen chloride"),
        ("acetyl bromide", "hydrogen bromide", "hydrogen chloride"),
        ("acetyl chloride", "hydrogen chloride", "hydrogen bromide"),
        ("TIPSOTf", "carbon dioxide", "hydrogen chloride"),
    ],
)
def test_a_halide_gives_the_gas_of_its_own_halogen(leftover: str, gas: str, other: str) -> None:
    (told,) = [text for text in cautions((leftover,)).values() if "its quench gives" in text]
    assert gas in told and other not in told
