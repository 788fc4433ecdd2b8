"""The flask of a written workup before anything is done to it: what is volatile, solid, bound, and how much is enough."""

from __future__ import annotations

from typing import Any

import pytest
from test_bench import ACID, AMINE, DMF, ESTER, carried
from test_plan_steps import plan

from washlore.knowledge.rows import Solution, table
from washlore.rules.flask import Flask, by_solute
from washlore.rules.reading import read_plan

SOLUTIONS = table(Solution)


def flask(product: str, *others: str, text: str = "Wash with water.", **options: Any) -> Flask:
    return Flask(plan(product, *others, **options), read_plan(text), draws=1)


def test_how_much_of_an_acid_or_base_is_enough() -> None:
    """A fifth more than the equation: of base both protons of tartaric and of sulfuric acid count."""
    made = flask(ESTER, "triethylamine; 10 mmol", "benzoic acid; 5 mmol", "tartaric acid; 5 mmol", "H2SO4; 4 mmol")
    wanted = {"hcl_1m": 12.0, "naoh_1m": 1.2 * (5 + 10 + 8), "nahco3_sat": 1.2 * 23 / 1.18, "citric_10": 12 / 0.54}
    assert {key: made._enough_ml(key) for key in wanted} == pytest.approx(wanted, rel=0.01)
    assert made._enough_ml("water") == made._enough_ml("brine") == made._enough_ml("no such bottle") == 0.0
    assert [made._protons("c3", SOLUTIONS[key]) for key in ("naoh_1m", "nahco3_sat", "hcl_1m")] == [2, 2, 1]
    assert made._protons("c2", SOLUTIONS["naoh_1m"]) == made._protons("product", SOLUTIONS["naoh_1m"]) == 1


def test_of_an_amino_acid_base_takes_one_proton_and_acid_gives_one() -> None:
    made = flask(ESTER, "nicotinic acid; 5 mmol", "3-aminophenol; 1 mmol")
    assert {made._protons(c, SOLUTIONS[s]) for c in ("c1", "c2") for s in ("naoh_1m", "hcl_1m", "nahco3_sat")} == {1}


def test_protons_and_hydroxide_of_what_is_inorganic() -> None:
    others = (
        "HCl; 4 mmol",
        "NaOH; 3 mmol",
        "K2CO3; 2 mmol",
        "K3PO4; 2 mmol",
        "NaI; 3 mmol",
        "citric acid; 2 mmol",
        "H2SO4; 4 mmol",
    )
    made = flask(AMINE, *others)
    assert [round(made._strong_mmol(f"c{n}"), 2) for n in range(1, 8)] == [4.0, 3.0, 4.0, 4.0, 0.0, 0.0, 8.0]
    assert made._strong_mmol("product") == 0.0 and made._protons("c6", SOLUTIONS["naoh_1m"]) == 3


@pytest.mark.parametrize(
    ("others", "volatile"),
    [
        (("triethylamine; 12 mmol",), set()),  # taken for washed out
        (("pyridine; 5 mmol", "acetone; 3 mmol", "heptane; 3 mmol", "methylamine; 2 mmol"), {"c2", "c3", "c4"}),
        (("acetic acid; 5 mmol",), set()),
        (("diisopropylamine; 50 mmol",), {"c1"}),  # much of it is stripped in our plan too
        (("HCl; 5 mmol", "NH3; 5 mmol"), {"c2"}),
    ],
)
def test_what_leaves_with_a_stripped_solvent(others: tuple[str, ...], volatile: set[str]) -> None:
    assert flask(ESTER, *others).volatile == volatile


def test_a_base_that_is_stripped_before_any_water_waits_for_nothing() -> None:
    assert flask(ESTER, "diisopropylamine; 50 mmol").waits == flask(ESTER, "acetic acid; 50 mmol").waits == set()


def test_what_each_solution_binds() -> None:
    made = flask(ESTER, "iodine; 1 mmol", "CuI; 1 mmol", "Pd(PPh3)4; 0.1 mmol", "NaCN; 1 mmol", "pyridine; 1 mmol")
    bound = {
        "na2s2o3_10": ("c1",),
        "na2so3_10": ("c1",),  # another that reduces does it as well
        "nahso3_sat": ("c1",),
        "nh4cl_nh3": ("c2",),
        "naoh_1m": ("c4",),  # held as its ion
        **dict.fromkeys(("hcl_1m", "water", "edta_01m", "nahco3_sat"), ()),
    }
    assert {key: made._bound(key) for key in bound} == bound
    assert flask(ESTER, "AgOTf; 1 mmol")._bound("na2so3_10") == ()  # silver has a bottle of its own


def test_solutions_of_one_solute() -> None:
    assert {"na2s2o3_10", "na2s2o3_sat"} <= set(by_solute("na2s2o3_10")) and "na2so3_10" not in by_solute("na2s2o3_10")
    assert "hcl_6m" in by_solute("hcl_1m")


def test_volumes_of_the_flask() -> None:
    made = flask(ESTER)
    assert (made._organic_ml(), made._water_of_flask(), made._water_for_flask(), made.layer_known) == (
        40.0,
        0.0,
        40.0,
        True,
    )
    made = flask(ESTER, solvents=(("dmf", 10.0), ("water", 5.0)))
    assert (made._organic_ml(), made._miscible_ml(), made._water_of_flask(), made._water_for_flask()) == (
        35,
        10.0,
        5.0,
        15.0,
    )
    assert not made.layer_known
    assert flask(ESTER, solvents=(("dmf", 2.0), ("water", 5.0)))._water_for_flask() == 5.0


def test_shares_of_the_flask_as_it_stands() -> None:
    made = flask(ESTER, "triethylamine; 10 mmol", "NaCl; 3 mmol")
    assert made.shares(made.layer.mmol)[:, 0] == pytest.approx([1.0, 1.0, 1.0]) and list(made.index) == [
        "product",
        "c1",
        "c2",
    ]
    assert float(made.share("c1", 0.25 * made.layer.mmol)[0]) == pytest.approx(0.25) and float(made.recovered[0]) == 1.0


def test_what_only_our_own_quench_would_make_is_not_there() -> None:
    amine = ("TsCl; 3 mmol",)
    product = "Cc1ccc(S(=O)(=O)N2CCOCC2)cc1"
    plain = flask(product, *amine)
    assert plain._never_made() == ("c1a",) and plain._there("c1a") == 0.0 and plain._there("c1") == 1.0
    named = flask(product, *amine, text="Quench with N,N-dimethylethylenediamine, wash with water.")
    assert named._there("c1a") == 1.0
    assert flask(product, *amine, text="Quench with N,N-dimethylethylenediamine, wash with water.")._never_made() == ()
    assert flask(ESTER, "acetyl chloride; 3 mmol")._never_made() == ()


@pytest.mark.parametrize(
    ("words", "said", "portion"),
    [
        ("Wash with water (20 mL).", True, 20.0),
        ("Wash with water (2 vol).", True, 80.0),
        ("Wash with water.", False, 15.0),
        ("Wash with 1 M HCl.", False, 60.0),  # 50 mmol, a fifth more
        ("Wash with 1 M HCl (2 portions).", False, 30.0),
        ("Wash with 0.1 M HCl.", False, 80.0),  # no more than twice the layer
        ("Wash with 6 M HCl.", False, 15.0),
    ],
)
def test_the_volume_of_a_portion(words: str, said: bool, portion: float) -> None:
    (act,) = carried(words, ESTER, "triethylamine; 50 mmol").acts
    assert (act.volume_said, act.portion_ml) == (said, portion)
    assert any("volume" in text for text in act.assumed) is not said


def test_a_residue_is_taken_up_in_the_solvent_of_our_plan() -> None:
    bench = carried("Wash with 1 M HCl (10 mL).", AMINE, solvents=DMF)
    assert any("make the organic layer" in text for text in bench.acts[0].assumed)
    bench = carried("Acidify to pH 2. Wash with brine (10 mL).", ACID, "NaOH; 30 mmol", solvents=(("water", 40.0),))
    assert any("is extracted into" in text and text.endswith(" first") for text in bench.acts[1].assumed)
