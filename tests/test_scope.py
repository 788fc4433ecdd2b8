"""Structures at the edge of what is known: a right answer, or a plain word that it is outside, and why."""

from __future__ import annotations

import contextlib
import re
import subprocess
import sys

import pytest
from click.testing import CliRunner

from washlore.cli.main import main as cli
from washlore.cli.properties import structure_record
from washlore.knowledge import scope, sites
from washlore.knowledge.names import resolve
from washlore.knowledge.partition import molecule_log_k
from washlore.knowledge.rows import Solution, table
from washlore.knowledge.spelling import NameProblem
from washlore.knowledge.structure import molecules
from washlore.rules.mixture import MixtureError, build
from washlore.rules.plan import make_plan
from washlore.rules.reckon import PlanRefused

BENZOIC = [("benzoic acid", "1 mmol", None)]


def planned(product, others=BENZOIC):
    return make_plan(build(product, others, product_amount="10 mmol", solvents=[("dichloromethane", 40.0)]), 8)


@pytest.mark.parametrize(
    ("product", "words"),
    [
        ("*CC*", "attachment point"),
        ("[*]OCC[*]", "write out the whole structure"),
        ("[CH2]c1ccccc1", "unpaired electron"),
        ("[Fe+2].c1cc[cH-]c1.c1cc[cH-]c1", "sandwich complex"),
        ("[Fe+2].CC(=O)[c-]1cccc1.c1cc[cH-]c1", "acetophenone for acetylferrocene"),
        ("C[Hg]C", "dialkylmercury"),
        ("[CH3]", "unpaired electron"),
        ("[CH2]", "unpaired electron"),
        ("[CH3+]", "a carbocation"),
        ("c1ccc([C+](c2ccccc2)c2ccccc2)cc1.F[B-](F)(F)F", "a carbocation"),
        ("C[C+]=O.F[B-](F)(F)F", "a carbocation"),
        ("C[S+](C)[CH2-]", "an ylide that no carbonyl"),
        ("C=S(C)(C)=O", "an ylide that no carbonyl"),
        ("C=P(c1ccccc1)(c1ccccc1)c1ccccc1", "an ylide that no carbonyl"),
        ("ClCCSCCCl", "Schedule 1"),
        ("CP(=O)(F)OC(C)C", "Schedule 1"),
        ("Cl.CN(CCCl)CCCl", "Schedule 1"),
        ("nickel tetracarbonyl", "holds nickel"),
        ("[At]C", "radioactive"),
        ("C[Mg]Br", "water destroys"),
        ("[Li]CCCC", "water destroys"),
        ("CCO.CCOC(=O)c1ccccc1", "2 compounds beside each other"),
        ("OC(=O)c1ccccc1.CCN(CC)Cc1ccccc1", "2 compounds beside each other"),
        ("CC(=O)[O-].CCCCCCCC[NH3+]", "2 compounds beside each other"),
        ("Cl[Pd]Cl", "no organic part"),
        ("Pd(PPh3)4", "holds palladium"),
        ("CC(=O)[O-].CC(=O)[O-].[Zn+2]", "holds zinc"),
        ("CC(C)O[Al](OC(C)C)OC(C)C", "an alkoxide of aluminium, which water splits"),
        ("C[O-].[Na+]", "water destroys"),
        ("CC1(C)OBOC1(C)C", "water destroys"),
        ("CC(C)O[Ti](OC(C)C)(OC(C)C)OC(C)C", "an alkoxide of titanium"),
        ("B1(c2ccccc2)OB(c2ccccc2)OB(c2ccccc2)O1", "name the boronic acid"),
        ("CC(C)N1C=CN([C]1)C(C)C", "a carbene"),
        ("[U]", "no organic part"),
        ("[CH2-]C(C)=O", "carbanion"),
        ("[CH2-]C(=O)c1ccccc1.[Li+]", "carbanion"),
        ("polystyrene", "names a polymer"),
        ("poly(vinyl chloride)", "names a polymer"),
        ("[#6]~[#7]", "search pattern"),
        ("CCO>>CC=O", "reaction SMILES"),
        ("InChI=1S/C2H6O/c1-2-3/h3H,2H2,1H3", "InChI"),
        ("LFQSCWFLJHTTHZ-UHFFFAOYSA-N", "A SMILES always works"),
        ("[R1]CC[R2]", "not a SMILES"),
        ("[Fe+9]", "a charge of"),
        ("", "none is given"),
        ("C" * 201, "200 heavy atoms"),
        ("C" * 2100, "2,000"),
        ("C" * 100_000, "2,000"),
    ],
)
def test_what_is_outside_is_refused_with_its_reason(product, words):
    with pytest.raises(MixtureError, match=words):
        planned(product)


@pytest.mark.parametrize(
    "product", ["NCC(=O)NC(C)C(=O)NC(CO)C(=O)O", "NCC(=O)" * 10 + "O", "C[N+](C)(C)CC(=O)[O-]", "OCC" * 40 + "O"]
)
def test_peptides_betaines_and_polyethers_are_said_to_belong_to_the_water(product):
    with pytest.raises(PlanRefused, match="belongs to the water"):
        planned(product)


def test_what_no_number_is_trusted_for_is_not_refused_with_a_number():
    """The estimate for a long polyether says that chloroform holds all of it: that is no reason to refuse it."""
    with pytest.raises(
        PlanRefused, match=r"log K between water and octanol is -\d.*is not known, so any aqueous wash may"
    ) as told:
        planned("C" + "OCC" * 60 + "O")
    assert "99.9" not in str(told.value)


@pytest.mark.parametrize(
    "product",
    [
        "CC1(C)CCCC(C)(C)N1[O]",  # a nitroxyl lives
        "[2H]C([2H])([2H])OC(=O)c1ccccc1",
        "CC(C)(C)OC(=O)NC(C)C(=O)NC(Cc1ccccc1)C(=O)OC",
        "CCCC[Sn](CCCC)(CCCC)c1ccccc1",
        "Cl.CNCCc1ccccc1",
        "CCOC(=O)C=P(c1ccccc1)(c1ccccc1)c1ccccc1",  # what its ester steadies, water leaves alone
        "OC(=O)CCCc1ccc(N(CCCl)CCCl)cc1",  # medicines and half mustards are on no such schedule
        "CCSCCCl",
        "CC(C)OP(=O)(F)OC(C)C",
    ],
)
def test_radicals_isotopes_metals_peptides_and_salts_that_a_funnel_can_hold_are_planned(product):
    assert planned(product).recovered[1] > 0.4


ESTER = "CCOC(=O)c1ccc(Br)cc1"


@pytest.mark.parametrize(
    ("leftover", "words"),
    [
        ("c1ccc([C+](c2ccccc2)c2ccccc2)cc1.F[B-](F)(F)F", "water adds at once"),
        ("[CH3]", "unpaired electron"),
        ("[U]", "an element"),
    ],
)
def test_a_leftover_that_cannot_be_followed_is_counted_as_staying_and_said(leftover, words):
    plan = planned(ESTER, [(leftover, "5 mmol", None)])
    assert plan.left["c1"][0] == 1.0 and any(words in note for note in plan.assumptions)


@pytest.mark.parametrize("leftover", ["C[Hg]C", "c1ccc([Hg]c2ccccc2)cc1", "CC[Pb](CC)(CC)CC"])
def test_a_metal_bound_to_carbon_alone_is_not_washed_out_like_its_salts(leftover):
    plan = planned(ESTER, [(leftover, "1 mmol", None)])
    assert plan.left["c1"][0] > 0.9 and any("safety officer" in left.text for left in plan.not_removed)


@pytest.mark.parametrize(
    ("leftover", "how"),
    [
        ("P", "sweep the flask with nitrogen"),
        ("[SiH4]", "sweep the flask with nitrogen"),
        ("Co2(CO)8", "iodine"),
        ("[C-]#[O+].[C-]#[O+].[C-]#[O+].[C-]#[O+].[Ni]", "iodine"),
        ("CS(C)(=O)=C", "saturated ammonium chloride"),
        ("[Ag]C#C[Ag]", "While it is wet"),
        ("N#CC#N", "pH above 10"),
    ],
)
def test_gases_carbonyls_and_ylides_are_ended_before_anything_is_shaken(leftover, how):
    steps = planned(ESTER, [(leftover, "1 mmol", None)]).steps
    assert steps[0].action == "quench" and how in steps[0].instruction


def test_nitronium_is_nitric_acid_in_the_first_water():
    few, many = (planned(ESTER, [("O=[N+]=O.F[B-](F)(F)F", amount, None)]).steps for amount in ("5 mmol", "50 mmol"))
    assert few[0].solution == "nahco3_sat" and many[0].action == "quench"


def test_a_nitrosourea_meets_no_base():
    steps = planned("CCCCN(N=O)C(=O)NCCCl").steps
    assert all(table(Solution)[s.solution].ph < 8 for s in steps if s.solution)


def test_chemical_weapons_are_planned_with_in_no_role():
    with pytest.raises(MixtureError, match=r"component 1: .*Schedule 1"):
        planned(ESTER, [("ClCCSCCCl", "1 mmol", None)])


def test_a_phosphatidylcholine_is_no_phase_transfer_salt():
    lipid = "CCCCCCCCCCCCCCCCOP(=O)([O-])OCC[N+](C)(C)C"
    assert not any("Aliquat" in left.text for left in planned(ESTER, [(lipid, "1 mmol", None)]).not_removed)


def test_an_isotope_changes_nothing_but_the_mass():
    light, heavy = planned("COC(=O)c1ccccc1"), planned("[13CH3]OC(=O)c1ccccc1")
    assert [s.solution for s in light.steps] == [s.solution for s in heavy.steps]


@pytest.mark.parametrize(
    ("labelled", "plain", "atoms", "heavier"),
    [
        ("[2H]OC(=O)c1ccccc1", "OC(=O)c1ccccc1", {0: 1}, 1.0),
        ("[2H]N([2H])Cc1ccccc1", "NCc1ccccc1", {0: 1}, 2.0),
        ("C([2H])([2H])c1ccc(O[2H])cc1", "Cc1ccc(O)cc1", {5: 7}, 3.0),
        ("[13CH3][18OH]", "CO", {1: 1}, 3.0),
        ("[2H]C(C#N)(C#N)C", "C(C#N)(C#N)C", {0: 1}, 1.0),
    ],
)
def test_a_label_leaves_the_sites_and_the_layers_as_they_are(labelled, plain, atoms, heavier):
    # Heavy oxygen and deuterium on oxygen and nitrogen exchange or do not matter; isotope masses as in any table of them.
    assert [(s.pka, s.kind) for s in sites(labelled)] == [(s.pka, s.kind) for s in sites(plain)]
    for here, there in atoms.items():
        assert [s.pka for s in sites(plain) if s.atom == here] == [s.pka for s in sites(labelled) if s.atom == there]
    one, other = molecules(labelled)[0], molecules(plain)[0]
    assert one.smiles == other.smiles
    assert one.molar_mass - other.molar_mass == pytest.approx(heavier, abs=0.02)
    assert [molecule_log_k(p, "dichloromethane").value for p in (one, other)] == [
        molecule_log_k(other, "dichloromethane").value
    ] * 2


FULLERENE = (
    "c12c3c4c5c1c6c7c8c2c9c%10c3c%11c%12c4c%13c%14c5c%15c6c%16c7c%17c%18c8c9c%19c%20c%10c%11c%21c%22c%12c%13c%23c%24c%14c%15"
    "c%25c%16c%26c%17c%27c%18c%19c%28c%20c%21c%29c%22c%23c%30c%24c%25c%26c%31c%27c%28c%29c%30%31"
)


def test_a_fullerene_is_outside():
    with pytest.raises(MixtureError, match="fullerene"):
        planned(FULLERENE)


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("CDCl3", "chloroform"), ("chloroform-d", "chloroform"), ("[2H]C(Cl)(Cl)Cl", "chloroform"), ("D2O", "water"),
        ("CD3OD", "methanol"), ("DMSO-d6", "dimethyl sulfoxide"), ("[D6]DMSO", "dimethyl sulfoxide"), ("d8-THF", "tetrahydrofuran"),
        ("deuterated chloroform", "chloroform"), ("(CD3)2CO", "acetone"), ("benzene-d6", "benzene"), ("heavy water", "water"),
    ],
)  # fmt: skip
def test_a_deuterated_solvent_is_taken_as_the_plain_one_with_a_word_on_it(written, plain):
    flask = build(
        "CCOC(=O)c1ccc(Br)cc1", [("pyridine", "1 mmol", None)], product_amount="5 mmol", solvents=[(written, 20.0)]
    )
    assert flask.reaction_solvents[0][0].name == plain
    assert any(written in note and plain in note for note in flask.assumptions)


@pytest.mark.parametrize("name", ["d-limonene", "D-proline", "vitamin D", "DCC"])
def test_a_d_that_is_no_deuterium_is_left(name):
    with contextlib.suppress(NameProblem):
        assert not resolve(name).note


@pytest.mark.parametrize(
    ("product", "words"),
    [
        ("[2H]Oc1ccc(C(C)(C)C)cc1", "the first water takes the deuterium"),
        ("[2H]C([2H])([2H])C(=O)c1ccc(Br)cc1", "exchange the deuterium beside a carbonyl"),
        ("[13CH3]Oc1ccc(Br)cc1", "count in the mass only"),
        ("[14CH3]Oc1ccc(Br)cc1", "14C does not occur in nature and is radioactive"),
        ("[3H]c1ccc(Br)cc1", "3H does not occur in nature and is radioactive"),
    ],
)
def test_what_becomes_of_a_label_is_said(product, words):
    assert any(words in note for note in planned(product).assumptions)


@pytest.mark.parametrize(
    ("leftover", "followed"),
    [
        ("CCO.CCOC(C)=O.c1ccccc1", ["ethyl acetate", "benzene", "ethanol"]),
        ("CCN(CC)CC.CC(=O)O", ["triethylamine", "acetic acid"]),
        ("CC(=O)[O-].CCCCCCCC[NH3+]", ["CCCCCCCCN", "acetic acid"]),
        ("OC(=O)C(F)(F)F.NCc1ccccc1", ["benzylamine", "trifluoroacetic acid"]),
    ],
)
def test_several_compounds_in_one_leftover_are_followed_one_by_one(leftover, followed):
    flask = build("CCOC(=O)c1ccccc1", [(leftover, "40 mg", "reactant")], product_amount="10 mmol")
    assert [c.name for c in flask.others] == followed
    assert len({c.mmol for c in flask.others}) == 1 and flask.others[0].mmol < 1
    assert any("beside each other" in note for note in flask.assumptions)


@pytest.mark.parametrize(
    "leftover",
    [
        "Cl.CCCCNCc1ccccc1",
        "B.CSC",
        "PPTS",
        "Pd2(dba)3",
        "O.CCO",
        "CC(=O)[O-].CCCC[N+](CCCC)(CCCC)CCCC",
        "[Na+].CC(=O)[O-]",
    ],
)
def test_a_salt_a_hydrate_and_a_complex_stay_one_leftover(leftover):
    assert len(build("CCOC(=O)c1ccccc1", [(leftover, "1 mmol", None)], product_amount="10 mmol").others) == 1


def test_a_second_product_outside_what_is_known_is_refused_too():
    with pytest.raises(MixtureError, match=r"component 1: .*water destroys"):
        planned("CCOC(=O)c1ccccc1", [("C[Mg]Br", "1 mmol", "product")])


@pytest.mark.parametrize(
    ("solvent", "words"),
    [
        ("EtOAc/hexane", "ethyl acetate and hexane each"),
        ("THF:water", "tetrahydrofuran and water each"),
        ("neat", "no solvent"),
    ],
)
def test_a_mixture_of_solvents_is_told_how_to_be_given(solvent, words):
    with pytest.raises(MixtureError, match=words):
        build("CCOC(=O)c1ccccc1", [], product_amount="10 mmol", solvents=[(solvent, 20.0)])


@pytest.mark.parametrize(
    ("leftover", "action", "fate"),
    [
        ("[He]", "", "evaporates"), ("P4", "quench", "destroyed"), ("SmI2", "quench", "destroyed"), ("[Hg]", "filter", "filtered"),
        ("red phosphorus", "filter", "filtered"), ("celite", "filter", "filtered"), ("S8", "", "stays with the product"),
    ],
)  # fmt: skip
def test_an_element_goes_its_way(leftover, action, fate):
    plan = planned("CCOC(=O)c1ccccc1", [(leftover, "1 mmol", None)])
    assert plan.fate["c1"].startswith(fate)
    assert not action or plan.steps[0].action == action


@pytest.mark.parametrize(
    ("structure", "words"),
    [
        ("C[Mg]Br", "water destroys"), ("CCO.CCOC(C)=O", "2 compounds beside each other"),
        ("[He]", "an element"), ("[Pd]", "palladium"),
        ("[Fe+2].c1cc[cH-]c1.c1cc[cH-]c1", "sandwich"), ("[CH3]", "unpaired electron"), ("CC(=O)O[Pd]OC(C)=O", "palladium"),
    ],
)  # fmt: skip
def test_no_log_k_is_made_up_for_what_is_outside(structure, words):
    record = structure_record(1, structure)
    assert words in record["problem"] and record["log_k"] == {}


@pytest.mark.parametrize(
    ("question", "words"),
    [
        ("CCO", "ethanol (solvent)"), ("CDCl3", "chloroform (solvent)"), ("C[Mg]Br", "methylmagnesium bromide (reagent)"),
        ("O=C(O)CCc1ccc(OC(C)=O)cc1", "Carboxylic acid at atom 2, pKa 4."), ("CCO.CCOC(C)=O", "ask about each by itself"),
        ("CC(C)N1C=CN([C]1)C(C)C", "it is a carbene"), ("P12P3P1P23", "catches fire"),
    ],
)  # fmt: skip
def test_why_knows_a_structure(question, words):
    done = CliRunner().invoke(cli, ["why", question])
    assert done.exit_code == 0 and words in " ".join(done.output.split())


@pytest.mark.parametrize(("question", "words"), [("*CC*", "attachment point"), ("C(C", "brackets")])
def test_why_says_what_is_wrong_with_a_structure(question, words):
    done = CliRunner().invoke(cli, ["why", question])
    assert done.exit_code == 2 and words in done.output


@pytest.mark.parametrize("locale", ["C", "POSIX", "tr_TR.UTF-8"])
def test_odd_locales_and_paths_with_spaces(tmp_path, locale):
    folder = tmp_path / "a folder, ü"
    folder.mkdir()
    import os

    env = {**os.environ, "LC_ALL": locale, "LANG": locale}
    file = folder / "my flask.toml"
    for args in (["new", str(file)], ["plan", str(file)]):
        code = f"import sys; sys.argv = ['washlore', *{args!r}]; from washlore.cli.main import main; main()"
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, env=env, cwd=folder)
        assert done.returncode == 0 and b"Traceback" not in done.stderr, done.stderr


def test_no_network_is_asked_for():
    code = (
        "import socket, sys\n"
        "def refuse(*a, **k): raise AssertionError('the network is asked for')\n"
        "socket.socket.connect = socket.create_connection = socket.getaddrinfo = refuse\n"
        "sys.argv = ['washlore', 'plan', 'ester']\n"
        "from washlore.cli.main import main\nmain()\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    "product",
    [
        "CCCCCCCC[N+](C)(CCCCCCCC)CCCCCCCC.[Cl-]",
        "CCCCCCCC[N+](C)(CCCCCCCC)CCCCCCCC.Cc1ccc(S(=O)(=O)[O-])cc1",
        "CCCC[N+](CCCC)(CCCC)CCCC.[Br-]",
        "CCCC[N+](CCCC)(CCCC)CCCC.CC(=O)[O-]",
        "c1ccc(C[P+](c2ccccc2)(c2ccccc2)c2ccccc2)cc1.[Br-]",
    ],
)
def test_a_greasy_onium_salt_is_kept_by_dichloromethane_with_its_counter_ion(product):
    # Common practice: phase-transfer salts and benzylphosphonium salts are extracted with dichloromethane.
    assert planned(product).recovered[1] > 0.6


@pytest.mark.parametrize("product", ["C[N+](C)(C)C.[Br-]", "C[N+](C)(C)CCO.[Cl-]", "C[N+](C)(C)Cc1ccccc1.[Cl-]"])
def test_a_small_onium_salt_belongs_to_the_water(product):
    with pytest.raises(PlanRefused, match="belongs to the water"):
        planned(product)


@pytest.mark.parametrize("leftover", ["ferrocene", "dppf", "[Fe+2].c1cc[cH-]c1.c1cc[cH-]c1"])
def test_a_sandwich_complex_drawn_as_ions_stays_with_the_product(leftover):
    plan = planned("CCOC(=O)c1ccccc1", [(leftover, "1 mmol", None)])
    assert plan.fate["c1"] == "stays with the product" and plan.left["c1"][1] > 0.9
    assert "No wash takes it" in plan.not_removed[0].text
    assert plan.behaviour["c1"] == ("neutral",)


@pytest.mark.parametrize("leftover", ["[U]", "[Au]", "[Te]", "Cl[Nb](Cl)(Cl)(Cl)Cl"])
def test_an_element_that_no_table_knows_is_said_to_be_outside(leftover):
    plan = planned("CCOC(=O)c1ccccc1", [(leftover, "1 mmol", None)])
    assert "outside what is known here" in plan.not_removed[0].text
    assert not any("c1" in s.for_components for s in plan.steps)


@pytest.mark.parametrize("leftover", ["[CH3]", "[CH2]", "c1ccc([C](c2ccccc2)c2ccccc2)cc1", "[H]"])
def test_a_bare_radical_among_the_leftovers_is_said_to_be_outside(leftover):
    plan = planned("CCOC(=O)c1ccccc1", [(leftover, "1 mmol", None)])
    assert "outside what is known here" in plan.not_removed[0].text
    assert not any("c1" in s.for_components for s in plan.steps)


@pytest.mark.parametrize(
    "product", ["CCOC(=O)[CH-]C(=O)OCC.[Na+]", "CC(=O)[CH-]C(C)=O.[Na+]", "CN(C)(C)->B", "polymethylhydrosiloxane"]
)
def test_a_held_carbanion_a_dative_bond_and_a_polymer_of_the_tables_are_read(product):
    # The anions of malonates and diketones are what base makes of an acid (pKa 13 and 9); water and acid give them back.
    assert build(product, BENZOIC, product_amount="10 mmol")


@pytest.mark.parametrize("file", ["C" * 5000, "CC\x00O", "CCO"])
def test_a_structure_in_the_place_of_a_file_is_said_to_be_none(file):
    done = CliRunner().invoke(cli, ["properties", file])
    assert done.exit_code == 2 and "name a CSV file" in done.output


@pytest.mark.parametrize("leftover", ["[W]", "[Bi]", "[Cr]", "[Zn]"])
def test_a_metal_powder_is_filtered_off(leftover):
    plan = planned("CCOC(=O)c1ccccc1", [(leftover, "1 mmol", None)])
    assert plan.steps[0].action == "filter"


@pytest.mark.parametrize("known", ["ammonia", "hydrazine", "[Na+].[Cl-]", "sodium carbonate", "HCl", "OO"])
def test_what_the_tables_know_is_not_called_outside(known):
    plan = planned("CCOC(=O)c1ccccc1", [(known, "1 mmol", None)])
    assert not any("outside what is known" in item.text for item in plan.not_removed)


def judged(leftover: str, plan: str) -> str:
    words = ["check", "--product", "ethyl 4-bromobenzoate", "--amount", "5 mmol", "--with", f"{leftover}; 1 mmol"]
    done = CliRunner().invoke(cli, [*words, "--solvent", "DCM; 40 mL", "--plan", plan])
    return " ".join(done.output.split())


WATER = "Washed with water (2 x 15 mL) and brine (10 mL), dried over MgSO4, filtered and evaporated."


@pytest.mark.parametrize("leftover", ["white phosphorus", "Fe(acac)3"])
def test_water_is_not_said_to_take_what_needs_its_own_quench(leftover):
    assert "Leaves something behind" in judged(leftover, WATER)


@pytest.mark.parametrize(
    ("leftover", "wash"),
    [("white phosphorus", "Stirred with saturated CuSO4 (20 mL)"), ("Fe(acac)3", "Washed with 1 M HCl (2 x 15 mL)")],
)
def test_its_own_quench_takes_it(leftover, wash):
    assert not re.search(
        rf"takes [^.]*{re.escape(resolve(leftover).name)}[^.]* out: over", judged(leftover, f"{wash}. {WATER}")
    )


def test_a_judged_plan_says_what_it_cannot_follow():
    assert "outside what is known here" in judged("CC(C)N1C=CN([C]1)C(C)C", WATER)
    assert "deuterium counts as plain hydrogen" in judged("CD3I", WATER)


def test_heavy_water_is_read_as_water_and_an_absurd_volume_is_not_counted():
    told = judged("pyridine", f"Washed with D2O (15 mL) and {'9' * 40} mL of 1 M HCl. {WATER}")
    assert "wash, 15 mL water" in told and "no funnel holds that" in told


@pytest.mark.parametrize(
    ("smiles", "held"),
    [
        ("Cl[Ru](Cl)(=Cc1ccccc1)=C1N(C)CCN1C.C1CCC(P(C2CCCCC2)C2CCCCC2)CC1", True),
        ("CCC[N+](CCC)(CCC)CCC.[O]=[Ru](=[O])(=[O])[O-]", False),
        ("Cl[Pd]Cl", True),
        ("[Cl-].[Cl-].[Zn+2]", False),
    ],
)
def test_a_complex_stays_where_its_metal_is(smiles: str, held: bool) -> None:
    """The phosphine of a ruthenium carbene is no base: the metal has it."""
    assert scope.ligated(molecules(smiles)) is held
