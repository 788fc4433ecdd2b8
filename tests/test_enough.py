"""How much of a solution a quench or a binding wash takes: by the equation of what happens, with a fifth more."""

from __future__ import annotations

import pytest
from test_own_plan import ESTER, planned

from washlore.cli.render.plan import plan_text
from washlore.cli.render.record import plan_record
from washlore.knowledge.rows import Residue, Solution, table
from washlore.knowledge.structure import molecules
from washlore.rules.bench import Bench
from washlore.rules.enough import (
    EXCESS,
    GRAMS_PER_MMOL,
    acid_mmol,
    base_m,
    equivalents_mmol,
    gives_m,
    needed_ml,
    solid_g_per_mmol,
)
from washlore.rules.mixture import build
from washlore.rules.perceive import prepare
from washlore.rules.proposal import as_proposal
from washlore.rules.reading import read_plan

ETHER = (("diethyl_ether", 40.0),)


def flask(*others: str, product: str = ESTER):  # type: ignore[no-untyped-def]
    parts = [[part.strip() for part in other.split(";")] for other in others]
    return build(product, [(n, a, None) for n, a in parts], product_amount="10 mmol", solvents=ETHER)


@pytest.mark.parametrize(
    ("residue", "name", "mmol"),
    [
        ("bromine", "bromine; 3 mmol", 6.0),  # Br2 + 2 e
        ("hydroperoxide_tbhp", "hydrogen peroxide; 3 mmol", 6.0),  # once, though it may be read from either end
        ("dess_martin", "Dess-Martin periodinane; 3 mmol", 12.0),  # iodine(V) to iodine(I)
        ("phosphorus_oxychloride", "POCl3; 4 mmol", 20.0),  # three of HCl, and phosphate to its second step
        ("acid_chloride", "adipoyl chloride; 2 mmol", 8.0),  # two groups, each with its own HCl
        ("copper", "Cu(OAc)2; 5 mmol", 20.0),  # the tetrammine
        ("crown_ether", "18-crown-6; 5 mmol", 0.0),  # the row does not say
    ],
)
def test_equivalents_by_the_equation(residue: str, name: str, mmol: float) -> None:
    assert equivalents_mmol(table(Residue)[residue], flask(name).others[0]) == mmol


def test_what_a_solution_has_to_give() -> None:
    rows = table(Solution)
    assert gives_m(rows["na2so3_10"]) == pytest.approx(2 * 0.863)
    assert gives_m(rows["na2s2o3_10"]) == pytest.approx(0.683)
    assert gives_m(rows["nahco3_sat"]) == pytest.approx(1.192)
    assert gives_m(rows["nh4cl_sat"]) == pytest.approx(5.711)
    assert gives_m(rows["nh4cl_nh3"]) == pytest.approx(1.48)  # free ammonia only


def test_each_kind_of_solution_gives_what_it_is_taken_for() -> None:
    rows = table(Solution)
    gives = {
        "ammonia_10": 5.618,  # ligands
        "tris_ph8": 1.0,
        "hcl_1m": 1.0,
        "khso4_1m": 1.0,
        "citric_10": 0.54,
        "feso4_10": 0.379,  # one electron
        "nahso3_sat": 2 * 5.006,
        "ascorbate_10": 2 * 0.53,
        "edta_01m": 0.1,
        "bleach_5": 0.72,
        "nh42so4_sat": 8.166,
    }
    assert {key: gives_m(rows[key]) for key in gives} == pytest.approx(gives)


def test_base_counts_down_to_where_a_quench_ends() -> None:
    """Between its second and third pKa (7.20, 12.35) phosphate keeps two negative charges, at pH 7.5 some of the second."""
    rows = table(Solution)
    base = {
        "naoh_1m": 1.0,
        "na2co3_10": 2 * 1.039,  # it leaves as carbon dioxide
        "na2s2o3_nahco3": 0.5959,
        "carbonate_ph10": 0.771,
        "na2s2o3_10": 0.0,
        "phosphate_ph8": 0.0,
        "naoac_10": 0.0,
        "hcl_1m": 0.0,
    }
    assert {key: base_m(rows[key]) for key in base} == pytest.approx(base, abs=0.01)
    assert base_m(rows["k3po4_1m"]) == gives_m(rows["k3po4_1m"]) == pytest.approx(3 - 1.8, abs=0.1)


def test_the_acid_of_a_flask_and_what_its_bases_take_of_it() -> None:
    assert acid_mmol(prepare(flask("H2SO4; 5 mmol")).mixture, ()) == pytest.approx(10.0, abs=0.1)
    assert acid_mmol(prepare(flask("acetic acid; 5 mmol")).mixture, ()) == pytest.approx(5.0)
    assert acid_mmol(prepare(flask("acetic acid; 5 mmol", "Et3N; 4 mmol")).mixture, ()) == pytest.approx(1.0)
    assert acid_mmol(
        prepare(flask("acetic acid; 5 mmol", "potassium carbonate; 10 mmol")).mixture, ()
    ) == pytest.approx(-15.0)
    # what is ended elsewhere counts neither as acid nor as base
    both = prepare(flask("acetic acid; 5 mmol", "benzoic acid; 3 mmol", "Et3N; 1 mmol")).mixture
    assert [acid_mmol(both, {c}) for c in ("c1", "c2", "c3")] == pytest.approx([2.0, 4.0, 8.0])


def test_solids_are_weighed_by_their_molar_mass() -> None:
    smiles = {
        "sodium hydrogen carbonate": "[Na+].OC([O-])=O",
        "sodium carbonate": "[Na+].[Na+].[O-]C([O-])=O",
        "sodium sulfite": "[Na+].[Na+].[O-]S([O-])=O",
        "sodium hydrogen sulfite": "[Na+].OS([O-])=O",
        "sodium thiosulfate": "[Na+].[Na+].[O-]S([O-])(=O)=S",
        "sodium ascorbate": "[Na+].OCC(O)C1OC(=O)C(O)=C1[O-]",
        "ammonium chloride": "[NH4+].[Cl-]",
        "potassium sodium tartrate tetrahydrate": "[K+].[Na+].[O-]C(=O)C(O)C(O)C([O-])=O.O.O.O.O",
    }
    weighed = {name: sum(part.molar_mass for part in molecules(s)) / 1000 for name, s in smiles.items()}
    assert weighed == pytest.approx(GRAMS_PER_MMOL, abs=0.0006)
    rows = table(Solution)
    assert [solid_g_per_mmol(rows[s]) for s in ("nahco3_sat", "hcl_1m", "brine")] == [0.084, 0.0, 0.0]
    # of two solutes the first is the one that reacts
    assert solid_g_per_mmol(rows["na2s2o3_nahco3"]) == 0.158


def test_needed_volume_is_by_the_kind_of_solution() -> None:
    mixture, rows = flask("bromine; 3 mmol"), table(Residue)
    items = [(rows["bromine"], mixture.others[0])]
    assert needed_ml(mixture, table(Solution)["na2so3_10"], items, 0.0) == pytest.approx(EXCESS * 6 / (2 * 0.863))
    # bicarbonate ends no bromine (near miss), but it ends the acid of the flask
    assert needed_ml(mixture, table(Solution)["nahco3_sat"], items, 0.0) == 0.0
    assert needed_ml(mixture, table(Solution)["nahco3_sat"], items, 10.0) == pytest.approx(EXCESS * 10 / 1.192)


def test_an_acid_that_quenches_meets_the_alkali_of_the_flask_too() -> None:
    mixture, rows = flask("NaBH4; 5 mmol", "NaOH; 40 mmol"), table(Residue)
    items = [(rows["borohydride"], mixture.others[0])]
    acid = acid_mmol(prepare(mixture).mixture, ("c1",))
    assert acid == pytest.approx(-40.0)
    assert needed_ml(mixture, table(Solution)["nh4cl_sat"], items, acid) == pytest.approx(EXCESS * 45 / 5.711)
    assert needed_ml(mixture, table(Solution)["nh4cl_sat"], items, 0.0) == pytest.approx(EXCESS * 5 / 5.711)
    # water that only takes up alkali is not sized by it (near miss)
    assert needed_ml(mixture, table(Solution)["nh4cl_sat"], [], acid) == 0.0


def quench_line(*others: str) -> str:
    plan = planned(ESTER, others, (("toluene", 40.0),))
    return next(s.instruction for s in plan.steps if s.action == "quench")


def test_a_quench_is_as_large_as_what_it_ends() -> None:
    # 1.5 mmol of acid chloride makes 3 mmol of acid: the usual half of the layer is more than enough
    assert "at least 20 mL" in quench_line("benzoyl chloride; 1.5 mmol")
    # 12 mmol makes 24: 24 mL of saturated bicarbonate, which holds 1.2 M
    assert "at least 25 mL" in quench_line("benzoyl chloride; 12 mmol")
    # acid that is there as well counts
    assert "at least 35 mL" in quench_line("benzoyl chloride; 12 mmol", "acetic acid; 10 mmol")
    # beyond twice the volume of the layer the solid does it
    line = quench_line("benzoyl chloride; 60 mmol")
    assert "at least 80 mL" in line and "4.5 g of the solid are added as well" in line
    assert "the solid" not in quench_line("benzoyl chloride; 12 mmol")
    # near miss: what lacks is in the excess that it is reckoned with
    line = quench_line("benzoyl chloride; 42 mmol")
    assert "at least 80 mL" in line and "the solid" not in line


def test_the_solid_is_in_the_account_of_planner_and_judge() -> None:
    """Of the acid of 100 mmol of an acid chloride 80 mL of bicarbonate take 96 mmol: the solid takes the rest."""
    plan = planned(ESTER, ("benzoyl chloride; 100 mmol",), (("toluene", 40.0),))
    (quench,) = [s for s in plan.steps if s.action == "quench"]
    assert quench.exact_ml == pytest.approx(80.0) and quench.solid_g == 13.0
    first = next(c for c in plan.ledger.contacts if c.portion == 1)
    assert float(first.ph[0]) > 6.5 and first.aqueous_ml < 100 and first.co2_ml > 2000
    printed = read_plan(plan_text(plan_record(plan), 100))
    read = printed.steps
    assert next(s.solid_g for s in read if s.solution == "nahco3_sat") == quench.solid_g
    assert {s.solid_g for s in read if s.action != "quench"} == {0.0}
    for proposal in (as_proposal(plan), printed):
        bench = Bench(plan, proposal, 1).run()
        poured = next(a for a in bench.acts if a.contacts)
        assert float(poured.contacts[0].ph[0]) == pytest.approx(float(first.ph[0]), abs=0.3)


@pytest.mark.parametrize(
    ("text", "solid_g"),
    [
        ("Quench with sat. NaHCO3 (80 mL); some 4 g of the solid are added as well. Wash with brine (20 mL).", 4.0),
        ("Quench with sat. NaHCO3 (80 mL). Wash with brine (20 mL). 4 g of the solid fell out.", 0.0),
        ("Quench with sat. NaHCO3 (80 mL).", 0.0),
    ],
)
def test_a_solid_is_read_with_the_quench_that_it_goes_in_with(text: str, solid_g: float) -> None:
    assert next(s for s in read_plan(text).steps if s.action == "quench").solid_g == solid_g


def test_water_that_is_there_is_not_poured_in_again() -> None:
    plan = planned(ESTER, ("iodine; 1 mmol",), (("water", 80.0),))
    line = next(s.instruction for s in plan.steps if s.action == "quench")
    assert "at least 4 mL" in line


def test_a_wash_that_binds_a_metal_holds_all_of_it() -> None:
    def ammonia(amount: str) -> tuple[float, int]:
        plan = planned(ESTER, (f"Cu(OAc)2; {amount}",), ETHER)
        step = next(s for s in plan.steps if s.solution == "nh4cl_nh3")
        return step.volume_ml or 0.0, step.repeats

    assert ammonia("0.5 mmol") == (15.0, 1)
    assert ammonia("30 mmol") == (30.0, 3)  # 120 mmol of ammonia at 1.48 M, a fifth more: 97 mL


def test_halides_of_a_reagent_make_as_much_acid() -> None:
    made = planned(ESTER, ("POCl3; 2 mmol",), ETHER).mixture
    assert next(c.mmol for c in made.others if c.smiles == "Cl") == 6.0
    # the chlorine of the ring stays (near miss)
    made = planned(ESTER, ("dichlorophenylphosphine; 2 mmol",), ETHER).mixture
    assert all(c.mmol == 2.0 for c in made.others if c.origin == "quench" and c.smiles != "Cl")


def test_an_amine_in_the_flask_ends_what_it_was_meant_for() -> None:
    water = (("water", 40.0),)
    sulfonamide = "Cc1ccc(S(=O)(=O)N2CCOCC2)cc1"

    def agent(*others: str) -> str:
        plan = planned(sulfonamide, others, water)
        return next(s.instruction for s in plan.steps if s.action == "quench")

    assert "with the morpholine in the flask: Stir on" in agent("TsCl; 1 mmol", "morpholine; 5 mmol")
    assert "with the hydroxide in the flask: Stir on" in agent("TsCl; 1 mmol", "NaOH; 10 mmol")
    # too little of it, or an amine that is shielded: near misses
    assert "N,N-dimethylethylenediamine" in agent("TsCl; 1 mmol", "morpholine; 1 mmol")
    assert "N,N-dimethylethylenediamine" in agent("TsCl; 1 mmol", "diisopropylamine; 5 mmol")


def test_much_sulfuric_acid_is_counted_whole_where_it_holds_the_product() -> None:
    quinoline = planned("COc1ccc2ncccc2c1", ("H2SO4; 100 mmol",)).steps
    basified = next(s.instruction for s in quinoline if s.target_ph)
    assert "6 M sodium hydroxide for most of the acid, then solid sodium hydrogen carbonate" in basified
    little = planned("COc1ccc2ncccc2c1", ("H2SO4; 10 mmol",), ETHER).steps
    assert "with solid sodium hydrogen carbonate" in next(s.instruction for s in little if s.target_ph)
    # two fifths of acid in water need no ice
    wet = planned(ESTER, ("H2SO4; 100 mmol",), (("water", 40.0),)).steps
    assert not any(s.action == "quench" for s in wet)
