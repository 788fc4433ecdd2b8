"""Structures at the edge of what is known: a right answer, or a plain word that it is outside, and why."""

from __future__ import annotations

import subprocess
import sys

import pytest
from click.testing import CliRunner

from washlore.cli.main import main as cli
from washlore.knowledge import sites
from washlore.knowledge.partition import molecule_log_k
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
        ("C[Mg]Br", "water destroys"),
        ("[Li]CCCC", "water destroys"),
        ("CCO.CCOC(=O)c1ccccc1", "2 compounds beside each other"),
        ("OC(=O)c1ccccc1.CCN(CC)Cc1ccccc1", "2 compounds beside each other"),
        ("CC(=O)[O-].CCCCCCCC[NH3+]", "2 compounds beside each other"),
        ("Cl[Pd]Cl", "no organic part"),
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


@pytest.mark.parametrize(
    "product",
    [
        "CC1(C)CCCC(C)(C)N1[O]",  # a nitroxyl lives
        "[2H]C([2H])([2H])OC(=O)c1ccccc1",
        "CC(C)(C)OC(=O)NC(C)C(=O)NC(Cc1ccccc1)C(=O)OC",
        "CCCC[Sn](CCCC)(CCCC)c1ccccc1",
        "Cl.CNCCc1ccccc1",
    ],
)
def test_radicals_isotopes_metals_peptides_and_salts_that_a_funnel_can_hold_are_planned(product):
    assert planned(product).recovered[1] > 0.4


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


@pytest.mark.parametrize("leftover", ["[U]", "[Au]", "S1SSSSSSS1", "[Te]", "Cl[Nb](Cl)(Cl)(Cl)Cl"])
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
