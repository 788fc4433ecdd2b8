"""Ions that hold a solute in the water, gases above their solubility, and solvents that leave one layer."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest

from washlore.knowledge import beside, partition
from washlore.knowledge.inorganic import Inorganic
from washlore.knowledge.rows import Gas, Solution, Solvent, Source, table
from washlore.knowledge.structure import parse
from washlore.rules import ledger
from washlore.rules.contact import Vapour
from washlore.rules.ledger import Step, run_ledger
from washlore.rules.mixture import build
from washlore.rules.perceive import prepare

ESTER = "Cc1ccc(C(=O)OCCc2ccccc2)cc1"


def washed(others: tuple[str, ...], wash: str, volume_ml: float, solvent: str = "dichloromethane", portions: int = 1):
    """Return the account of an ester with other things in 30 mL of solvent, washed."""
    listed = [tuple(part.strip() for part in text.split(";")) for text in others]
    mixture = build(ESTER, [(n, a, None) for n, a in listed], product_amount="1 mmol", solvents=[(solvent, 30.0)])
    return run_ledger(mixture, [Step("wash", solution=wash, volume_ml=volume_ml, repeats=portions)], draws=8)


def in_organic(book: ledger.Ledger, component: str) -> float:
    return float(book.fraction(component, book.contacts[0].organic_mmol)[0])


def test_iodide_holds_iodine_in_water() -> None:
    """With 0.1 M iodide in excess the ratio falls by 1 + 698 x 0.1, the textbook exercise (constant: Palmer 1984)."""
    alone = washed(("iodine; 0.01 mmol",), "water", 30.0)
    held = washed(("iodine; 0.01 mmol", "sodium iodide; 3 mmol"), "water", 30.0)
    ratio = [x / (1.0 - x) for x in (in_organic(alone, "c1"), in_organic(held, "c1"))]
    aqueous_ml = held.contacts[0].aqueous_ml
    assert ratio[0] / ratio[1] == pytest.approx(1.0 + 10**2.844 * 3.0 / aqueous_ml, rel=0.03)


def test_copper_binds_pyridine_by_its_constants() -> None:
    """Solved apart: total pyridine = organic + free + bound, each by the free concentration (cumulative constants: Lange)."""
    book = washed(("pyridine; 10 mmol",), "cuso4_sat", 15.0, "toluene")
    contact = book.contacts[0]
    row = next(i for i, s in enumerate(book.sheet.species) if s.component == "c1")
    item = book.sheet.species[row]
    log_k = partition.molecule_log_k(item.molecule, "toluene").value + math.log10(
        10 ** (partition.setschenow(item.molecule, partition.molecule_log_k(item.molecule, "1-octanol").value) * 2.04)
    )
    copper = 1.359 * 15.0 / contact.aqueous_ml
    betas = [10**b for b in beside.held_by("c1ccncc1")["copper"]]
    low, high = 1e-12, 1.0
    for _ in range(200):
        free = math.sqrt(low * high)
        terms = [b * free ** (n + 1) for n, b in enumerate(betas)]
        bound = copper * sum((n + 1) * t for n, t in enumerate(terms)) / (1 + sum(terms))
        ionised = free * 10 ** (item.sites[0].pka - float(contact.ph[0]) + 0.15)
        total = contact.organic_ml * 10**log_k * free + contact.aqueous_ml * (free + ionised + bound)
        low, high = (low, free) if total > 10.0 else (free, high)
    assert float(contact.organic_mmol[row, 0]) == pytest.approx(contact.organic_ml * 10**log_k * free, rel=0.1)
    assert 0.01 < in_organic(book, "c1") < 0.2
    again = washed(("pyridine; 10 mmol",), "cuso4_sat", 15.0, "toluene", portions=3)
    assert again.left("c1")[0] < 0.01
    water = washed(("pyridine; 10 mmol",), "water", 15.0, "toluene")
    assert in_organic(water, "c1") > 3 * in_organic(book, "c1")


def test_what_copper_leaves_alone() -> None:
    """A methyl group on each side keeps lutidine from copper; a trialkylamine is no ligand of ours."""
    assert not beside.held_by("Cc1cccc(C)n1") and not beside.held_by("CCN(CC)CC")
    assert beside.bound_by("c1ccncc1", "cuso4_sat") and not beside.bound_by("c1ccncc1", "hcl_1m")


@pytest.mark.parametrize("others", [("pyridine; 20 mmol", "imidazole; 5 mmol"), ("sodium sulfide; 5 mmol",)])
def test_mass_is_conserved_with_what_is_held_or_escapes(others: tuple[str, ...]) -> None:
    for wash in ("cuso4_sat", "hcl_1m"):
        book = washed(others, wash, 20.0)
        contact = book.contacts[0]
        whole = contact.organic_mmol + contact.aqueous_mmol + contact.escaped_mmol
        assert np.allclose(whole, book.sheet.mmol[:, None], rtol=1e-9, atol=1e-12)


def vapour(book: ledger.Ledger, gas: str) -> Vapour:
    return next(v for v in book.contacts[0].vapours if v.gas == gas)


def test_hydrogen_sulfide_leaves_above_its_solubility() -> None:
    """60 mmol in 30 mL: water holds 0.10 mol/L under 1 atm (Sander 2015), the solvent some more, and the rest is gas."""
    found = vapour(washed(("sodium sulfide; 60 mmol",), "hcl_6m", 30.0), "H2S")
    assert found.dissolved_mmol == pytest.approx(0.10 * 30.0, rel=0.05)
    assert found.above_ppm == pytest.approx(1e6, rel=0.01)
    assert 600.0 < found.left_ml < 57.0 * 24.5
    trace = vapour(washed(("sodium sulfide; 0.5 mmol",), "hcl_1m", 20.0), "H2S")
    assert trace.left_ml == 0.0 and trace.above_ppm > 1e4


def test_cyanide_stands_over_acid_long_before_it_bubbles() -> None:
    """1 mmol in 20 mL of acid: at most 0.05 mol/L, over which stand up to 5,000 ppm (9.5 mol/L at 1 atm)."""
    acid = vapour(washed(("sodium cyanide; 1 mmol",), "hcl_1m", 20.0), "HCN")
    base = vapour(washed(("sodium cyanide; 1 mmol",), "naoh_1m", 20.0), "HCN")
    assert acid.left_ml == 0.0 and 1_000 < acid.above_ppm < 0.05 / 9.5 * 1e6 * 1.01
    assert base.above_ppm < 1.0


def test_ammonia_from_base_and_sulfur_dioxide_from_sulfite() -> None:
    ammonia = vapour(washed(("ammonium chloride; 5 mmol",), "naoh_1m", 20.0), "NH3")
    assert ammonia.left_ml == 0.0 and ammonia.above_ppm == pytest.approx(1e6 * 0.25 / 60, rel=0.15)
    sulfite = vapour(washed(("sodium sulfite; 150 mmol",), "hcl_6m", 60.0), "SO2")
    assert sulfite.left_ml > 50.0


def test_a_layer_brought_to_a_ph_loses_its_gas() -> None:
    mixture = build(
        "NCCCCCCCC", [("sodium sulfide", "10 mmol", None)], product_amount="1 mmol", solvents=[("diethyl ether", 30.0)]
    )
    steps = [Step("take up", solution="naoh_1m", volume_ml=20.0), Step("set ph", target_ph=2.0)]
    book = run_ledger(mixture, steps, draws=4)
    found = next(v for v in book.vented[2] if v.gas == "H2S")
    assert found.left_ml > 100.0 and found.dissolved_mmol == pytest.approx(2.0, rel=0.1)


# Solvent, miscible solvent, mL of each and of water, whether two layers form. Published ternary diagrams, recalled.
LAYERS = [
    ("ethyl_acetate", "ethanol", 30, 5, 30, True),
    ("ethyl_acetate", "ethanol", 30, 40, 30, False),
    ("ethyl_acetate", "acetone", 30, 10, 30, True),
    ("ethyl_acetate", "acetone", 30, 50, 30, False),
    ("dichloromethane", "acetone", 30, 30, 30, True),
    ("toluene", "ethanol", 30, 30, 30, True),
    ("toluene", "ethanol", 20, 80, 20, False),
    ("diethyl_ether", "THF", 30, 20, 30, True),
]


@pytest.mark.parametrize(("solvent", "other", "organic", "miscible", "water", "two"), LAYERS)
def test_too_much_of_a_miscible_solvent_leaves_one_layer(
    solvent: str, other: str, organic: float, miscible: float, water: float, two: bool
) -> None:
    mixture = prepare(build(ESTER, (), product_amount="1 mmol", solvents=[(other, miscible)])).mixture
    steps = [
        Step("dilute", solvent=solvent, volume_ml=organic),
        Step("wash", solution="water", volume_ml=water),
    ]
    mixed = run_ledger(mixture, steps, draws=4).contacts[0].mixed
    assert mixed is not None
    assert mixed.share == pytest.approx(miscible / (organic + miscible + water), abs=0.02)
    assert mixed.one_layer is not two


def test_salt_parts_what_water_does_not() -> None:
    fresh, brine = (beside.most_cosolvent("ethyl_acetate", "acetone", m) for m in (0.0, 5.0))
    assert fresh is not None and brine is not None and brine > fresh + 0.2
    assert beside.most_cosolvent("ethyl_acetate", "dichloromethane") is None


def test_no_overflow_with_many_sites_or_much_salt() -> None:
    """Twelve acid groups at the ends of the pH scale, and a salt's worth of ions in a drop of water."""
    phytic = "OP(=O)(O)OC1C(OP(=O)(O)O)C(OP(=O)(O)O)C(OP(=O)(O)O)C(OP(=O)(O)O)C1OP(=O)(O)O"
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for wash in ("naoh_10pct", "hcl_6m", "brine"):
            washed((f"{phytic}; 5 mmol", "sodium sulfate; 500 mmol"), wash, 0.5)


def test_tables_are_sound() -> None:
    for row in table(beside.Complex).values():
        assert row.source in table(Source) and row.log_betas and parse("c1ccncc1").HasSubstructMatch is not None
        assert list(row.log_betas) == sorted(row.log_betas) and set(row.solutions) <= set(table(Solution))
        assert row.solutions or row.ions
    for row in table(beside.CosolventLimit).values():
        assert row.source in table(Source) and 0.1 < row.share < 0.8
        assert set(row.cosolvents) <= set(table(Solvent)) and row.layer in beside.LAYER_KINDS
    for row in table(Gas).values():
        assert not row.compound or (row.compound in table(Inorganic) and row.henry_m_atm)
