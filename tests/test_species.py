"""From a flask to rows of numbers: what becomes a species, a strong ion or a weak system; and what stripping leaves."""

from __future__ import annotations

import numpy as np
import pytest

from washlore.knowledge import acidity, partition
from washlore.knowledge.structure import molecules
from washlore.rules.ledger import Step, run_ledger
from washlore.rules.mixture import build
from washlore.rules.species import (
    INORGANIC_LOG_K,
    LEAST_LOG_K,
    MOST_LOG_K,
    STAYS_LOG_K,
    STRIPPED_LEFT,
    Sheet,
    _log_k,
    left_by_stripping,
    log_k_numbers,
    miscible_solvent,
    permanent_charge,
    sheet,
    solvents_by_smiles,
    stays_in_water,
)

PRODUCT = "CCOC(=O)c1ccc(C)cc1"


def test_a_gas_has_the_spread_of_its_own_log_k_and_its_ion_none() -> None:
    value, sigma, ion, ion_sigma = _log_k("C#N", 0, True, (("diethyl_ether", 1.0),), "Cl-")
    assert (value, sigma) == (pytest.approx(-0.1, abs=0.3), pytest.approx(0.4, abs=0.2))
    assert (ion, ion_sigma) == (INORGANIC_LOG_K, 0.0)
    assert _log_k("[Na+]", 1, False, (("diethyl_ether", 1.0),), "Cl-") == (INORGANIC_LOG_K, 0.0, INORGANIC_LOG_K, 0.0)


def numbers(*others: str, draws: int = 1, product: str = PRODUCT) -> Sheet:
    pairs = [tuple(other.split("; ")) for other in others]
    return sheet(
        build(product, [(n, a, None) for n, a in pairs], product_amount="10 mmol", solvents=[("ether", 40.0)]), draws
    )


# Component (5 mmol each), the species it gives besides the product, strong charge (mmol), weak systems (mmol).
BROUGHT = {
    "a strong acid is a strong anion": ("Cl", [], -5.0, {}),
    "hydrogen bromide too": ("Br", [], -5.0, {}),
    "perchloric acid too": ("[O-][Cl+3]([O-])([O-])O", [], -5.0, {}),
    "sodium hydroxide is a strong cation": ("[Na+].[OH-]", [], 5.0, {}),
    "water is nothing": ("O", [], 0.0, {}),
    "table salt is two ions that cancel": ("[Na+].[Cl-]", [], 0.0, {}),
    "a carbonate is a weak system and its cations": ("[K+].[K+].O=C([O-])[O-]", [], 10.0, {"carbonate": 5.0}),
    "calcium counts twice": ("[Ca+2].[Cl-].[Cl-]", [], 0.0, {}),
    "iodide holds iodine": ("[K+].[I-]", [], 0.0, {"iodide": 5.0}),
}  # fmt: skip


@pytest.mark.parametrize("name", BROUGHT)
def test_what_an_inorganic_component_brings(name: str) -> None:
    smiles, species, strong, weak = BROUGHT[name]
    made = numbers(f"{smiles}; 5 mmol")
    ions = [s for s in made.species if s.component == "c1"]
    assert made.strong_mmol == pytest.approx(strong)
    assert made.weak_mmol == pytest.approx(weak)
    assert [s.molecule.smiles for s in ions if s.sites] == species
    # All charge is there: ions counted as strong, and those that are rows of their own.
    rows = sum(m * s.permanent_charge for m, s in zip(made.mmol, made.species, strict=True))
    assert rows == 0.0


def test_two_lots_of_one_salt_add_up() -> None:
    made = numbers(
        "[K+].[K+].O=C([O-])[O-]; 5 mmol",
        "[Na+].OC(=O)[O-]; 3 mmol",
        "[K+].[I-]; 2 mmol",
        "[Na+].[I-]; 3 mmol",
        "Cl; 1 mmol",
    )
    assert made.weak_mmol == pytest.approx({"carbonate": 8.0, "iodide": 5.0})
    assert made.strong_of["c1"] == pytest.approx(10.0) and made.strong_of["c2"] == pytest.approx(3.0)
    assert made.strong_of["c5"] == pytest.approx(-1.0)
    assert made.strong_mmol == pytest.approx(sum(made.strong_of.values()))


def test_organic_salts_give_the_organic_part_and_a_strong_ion() -> None:
    made = numbers("[Na+].CC(=O)[O-]; 5 mmol", "CC[NH+](CC)CC.[Cl-]; 3 mmol", "CCCC[N+](CCCC)(CCCC)CCCC.[Br-]; 2 mmol")
    by = {s.component: (s, m) for s, m in zip(made.species, made.mmol, strict=True)}
    acetate, ammonium, onium = (by[c][0] for c in ("c1", "c2", "c3"))
    assert [by[c][1] for c in ("product", "c1", "c2", "c3")] == [10.0, 5.0, 3.0, 2.0]
    assert (acetate.came_charge, ammonium.came_charge, onium.came_charge) == (-1, 1, 1)
    assert (acetate.permanent_charge, ammonium.permanent_charge, onium.permanent_charge) == (0, 0, 1)
    assert [s.kind for s in acetate.sites] == ["acid"] and [s.kind for s in ammonium.sites] == ["base"]
    assert made.strong_of == pytest.approx({"c1": 5.0, "c2": -3.0, "c3": -2.0})
    assert made.sign.tolist() == [1.0, -1.0] and made.site_of.tolist() == [1, 2]
    assert (onium.counter and onium.counter != acetate.counter) or onium.counter == "[Br-]"
    assert permanent_charge(molecules("C[N+](C)(C)C")[0]) == 1 and permanent_charge(molecules("CC(=O)[O-]")[0]) == 0


def test_an_inorganic_base_keeps_its_sites() -> None:
    made = numbers("[Na+].[C-]#N; 5 mmol")
    (cyanide,) = [s for s in made.species if s.component == "c1" and s.sites]
    assert cyanide.sites[0].pka == pytest.approx(9.2, abs=0.1) and cyanide.came_charge == -1
    assert made.strong_of["c1"] == pytest.approx(5.0)


def test_a_product_that_is_an_onium_salt_is_its_cation() -> None:
    made = numbers(product="CCCC[N+](CCCC)(CCCC)CCCC.CC(=O)[O-]")
    owners = [s.component for s in made.species]
    assert owners.count("product") == 1 and owners.count("") == 1
    strong = numbers(product="CCCC[N+](CCCC)(CCCC)CCCC.Cc1ccc(S(=O)(=O)[O-])cc1")
    assert [s.component for s in strong.species] == ["product"] and strong.strong_of["product"] == pytest.approx(-10.0)


def test_draws_begin_with_the_best_estimate_and_hang_on_the_structure_alone() -> None:
    one, wide = numbers("OC(=O)c1ccccc1; 5 mmol"), numbers("Oc1ccccc1; 1 mmol", "OC(=O)c1ccccc1; 9 mmol", draws=4000)
    assert one.draws == 1 and wide.draws == 4000
    assert not one.normal.any() and not one.pair_normal.any()
    assert not wide.normal[:, 0].any() and not wide.pair_normal[:, 0].any()
    acid = wide.species[2].sites[0]
    assert wide.pka[1, 0] == one.pka[0, 0] == acid.pka
    assert np.std(wide.pka[1, 1:]) == pytest.approx(acid.sigma, rel=0.06)
    assert np.mean(wide.pka[1, 1:]) == pytest.approx(acid.pka, abs=0.05)
    for spread in (wide.normal, wide.pair_normal):
        np.testing.assert_allclose(spread[:, 1:].std(axis=1), 1.0, atol=0.05)
    again = numbers("OC(=O)c1ccccc1; 5 mmol", draws=4000)
    np.testing.assert_array_equal(again.pka[0], wide.pka[1])
    np.testing.assert_array_equal(again.normal[1], wide.normal[2])
    assert abs(np.corrcoef(wide.normal[1, 1:], wide.pair_normal[1, 1:])[0, 1]) < 0.1


def test_log_k_of_a_sheet_is_value_and_spread() -> None:
    made = numbers("OC(=O)c1ccccc1; 5 mmol", draws=5)
    key = build(PRODUCT, [], solvents=[("ether", 40.0)]).reaction_solvents[0][0].log_k_key
    neutral, pair = made.log_k(((key, 1.0),))
    for i, item in enumerate(made.species):
        value, sigma, pair_value, pair_sigma = log_k_numbers(item, ((key, 1.0),))
        np.testing.assert_allclose(neutral[i], np.clip(value + sigma * made.normal[i], LEAST_LOG_K, MOST_LOG_K))
        spread = pair_value + sigma * made.normal[i] + pair_sigma * made.pair_normal[i]
        np.testing.assert_allclose(pair[i], np.clip(spread, LEAST_LOG_K, MOST_LOG_K))
    assert neutral[0, 0] == partition.molecule_log_k(made.species[0].molecule, key).value
    # The ion pair of a carboxylic acid likes ether far less than the acid does; a compound without sites has no pair.
    assert pair[1, 0] < neutral[1, 0] - 2 and pair[0, 0] == LEAST_LOG_K


def test_an_amphoteric_compound_goes_over_with_all_that_has_no_net_charge() -> None:
    """Its log K holds for zwitterion and neutral form together, so that of the neutral form is higher by their ratio."""
    sheet = numbers("O=C(O)c1cccnc1; 2 mmol", "Nc1ccccc1C(=O)O; 2 mmol", draws=3)
    for row, item in enumerate(sheet.species):
        if item.component == "product":
            continue
        own = sheet.site_of == row
        gap = (sheet.pka[own & (sheet.sign < 0)] - sheet.pka[own & (sheet.sign > 0)])[0]
        given, sigma, _, _ = log_k_numbers(item, (("ethyl_acetate", 1.0),))
        raised = sheet.log_k((("ethyl_acetate", 1.0),))[0][row] - given - sigma * sheet.normal[row]
        assert raised == pytest.approx(np.log10(1 + 10**gap))
        assert (raised > 1).all() if item.component == "c1" else (raised < 0.1).all()


def test_log_k_of_what_no_model_knows() -> None:
    made = numbers("[Fe+2].c1cc[cH-]c1.c1cc[cH-]c1; 1 mmol", "[Na+].[O-]P(=O)([O-])F.[Na+]; 1 mmol")
    ferrocene = next(s for s in made.species if s.component == "c1")
    assert ferrocene.stays and log_k_numbers(ferrocene, (("toluene", 1.0),)) == (STAYS_LOG_K, 0.0, STAYS_LOG_K, 0.0)
    salt = next(s for s in made.species if s.component == "c2")
    assert log_k_numbers(salt, (("toluene", 1.0),))[2] == INORGANIC_LOG_K


def test_an_inorganic_acid_in_a_mixed_layer_has_the_mean_by_shares() -> None:
    made = numbers("[Na+].[N-]=[N+]=[N-]; 5 mmol")
    azide = next(s for s in made.species if s.component == "c1" and s.sites)
    keys = [r.log_k_key for r in (solvents_by_smiles()["CCOCC"], solvents_by_smiles()["Cc1ccccc1"])]
    one, two = (log_k_numbers(azide, ((key, 1.0),)) for key in keys)
    both = log_k_numbers(azide, ((keys[0], 0.75), (keys[1], 0.25)))
    assert both[0] == pytest.approx(0.75 * one[0] + 0.25 * two[0]) and one[0] != two[0]
    assert both[1] == pytest.approx(0.75 * one[1] + 0.25 * two[1])
    # Shares need not add up to one.
    assert log_k_numbers(azide, ((keys[0], 1.5), (keys[1], 0.5))) == pytest.approx(both)


def test_miscible_solvents_have_a_molar_volume() -> None:
    made = numbers("CN(C)C=O; 20 mmol")
    product, dmf = made.species
    assert dmf.solvent is not None
    assert dmf.molar_volume_ml == pytest.approx(dmf.molecule.molar_mass / dmf.solvent.density_g_ml / 1000, rel=1e-9)
    # DMF: 73.1 g/mol at 0.944 g/mL
    assert dmf.molar_volume_ml == pytest.approx(0.0774, rel=0.01) and product.molar_volume_ml == 0.0
    assert miscible_solvent("CN(C)C=O") is not None and miscible_solvent("CCOCC") is None
    assert "CCOCC" in solvents_by_smiles() and "O" not in solvents_by_smiles()


@pytest.mark.parametrize(
    ("smiles", "stays"),
    [("Cl", True), ("[Na+]", True), ("N", True), ("O=S(=O)(O)O", True), ("CCO", False), ("C#N", False), ("S", False)],
)
def test_what_belongs_to_the_water(smiles: str, stays: bool) -> None:
    assert stays_in_water(molecules(smiles)[0]) is stays


# Flask, what is there (mmol) beside the product in order, strong ions (mmol), what is stripped, shares left.
STRIPPED = {
    "an amine alone goes": (("CCN(CC)CC; 10 mmol",), 0.0, ("c1",), [STRIPPED_LEFT]),
    "held by an acid it stays": (("CCN(CC)CC; 10 mmol", "OC(=O)c1ccccc1; 4 mmol"), 0.0, ("c1",), [0.4, 1.0]),
    "not by a phenol, which is within two units": (("CCN(CC)CC; 10 mmol", "Oc1ccccc1; 4 mmol"), 0.0, ("c1",), [STRIPPED_LEFT, 1.0]),
    "the proton of an amino acid is held by its own amine": (
        ("CCN(CC)CC; 10 mmol", "NC(Cc1ccccc1)C(=O)O; 4 mmol"), 0.0, ("c1",), [STRIPPED_LEFT, 1.0],
    ),
    "what goes too holds not": (("CCN(CC)CC; 10 mmol", "CC(=O)O; 4 mmol"), 0.0, ("c1", "c2"), [STRIPPED_LEFT, STRIPPED_LEFT]),
    "a strong acid holds it": (("CCN(CC)CC; 10 mmol",), -3.0, ("c1",), [0.3]),
    "more acid than amine holds no more than all": (("CCN(CC)CC; 10 mmol",), -30.0, ("c1",), [1.0]),
    "strong base does not hold an amine": (("CCN(CC)CC; 10 mmol",), 3.0, ("c1",), [STRIPPED_LEFT]),
    "an acid alone goes": (("CC(=O)O; 10 mmol",), 0.0, ("c1",), [STRIPPED_LEFT]),
    "strong base holds an acid": (("CC(=O)O; 10 mmol",), 4.0, ("c1",), [0.4]),
    "strong acid does not": (("CC(=O)O; 10 mmol",), -4.0, ("c1",), [STRIPPED_LEFT]),
    "an amine holds an acid": (("CC(=O)O; 10 mmol", "CCCCCCN; 6 mmol"), 0.0, ("c1",), [0.6, 1.0]),
    "an amine and base together": (("CC(=O)O; 10 mmol", "CCCCCCN; 3 mmol"), 2.0, ("c1",), [0.5, 1.0]),
    "aniline is too weak for acetic acid": (("CC(=O)O; 10 mmol", "Nc1ccccc1; 6 mmol"), 0.0, ("c1",), [STRIPPED_LEFT, 1.0]),
    "a neutral compound goes whatever is there": (("CCCCCC; 10 mmol", "CCCCCCN; 6 mmol"), -5.0, ("c1",), [STRIPPED_LEFT, 1.0]),
    "what is not stripped stays": (("CCCCCC; 10 mmol",), 0.0, (), [1.0]),
    "a feeble base is not held by strong acid": (("CCCCCCC#N; 10 mmol",), -5.0, ("c1",), [STRIPPED_LEFT]),
    "a phenol that boils is not held by ions": (("Oc1ccccc1; 10 mmol",), 5.0, ("c1",), [STRIPPED_LEFT]),
}  # fmt: skip


@pytest.mark.parametrize("name", STRIPPED)
def test_a_volatile_acid_or_base_goes_unless_it_is_a_salt(name: str) -> None:
    others, strong, removes, expected = STRIPPED[name]
    made = numbers(*others)
    left = left_by_stripping(made, made.mmol, strong, removes)
    assert left.tolist() == pytest.approx([1.0, *expected])


def test_nothing_is_divided_by_what_is_not_there() -> None:
    made = numbers("CCN(CC)CC; 10 mmol", "OC(=O)c1ccccc1; 4 mmol")
    assert left_by_stripping(made, np.array([10.0, 0.0, 4.0]), -1.0, ("c1",)).tolist() == [1.0, STRIPPED_LEFT, 1.0]


def test_a_component_can_be_added_to_a_sheet() -> None:
    mixture = build(PRODUCT, [("OC(=O)c1ccccc1", "5 mmol", None)], product_amount="10 mmol")
    more = sheet(mixture, 1, [(mixture.others[0], 2.5)])
    assert more.mmol.tolist() == [10.0, 5.0, 2.5] and more.pka.shape == (2, 1)


@pytest.mark.parametrize(
    ("smiles", "charge", "sites"),
    [
        ("CN(C)C(On1nnc2ccccc12)=[N+](C)C", 1, 0),  # HBTU: its triazole takes no second charge
        ("CN(C)C(On1nnc2cccnc12)=[N+](C)C", 1, 0),
        ("C[N+](C)(C)CCc1ccc(O)cc1", 1, 1),  # a phenol all the same
        ("O=[N+]([O-])c1ccc([NH3+])cc1", 0, 1),  # near miss: a proton takes that charge away
        ("c1cc[nH+]cc1", 0, 1),
    ],
)
def test_the_charge_of_an_onium_ion_stays_beside_its_sites(smiles, charge, sites) -> None:
    part = molecules(smiles)[0]
    assert (permanent_charge(part), len(acidity.molecule_sites(part))) == (charge, sites)


def test_water_over_an_onium_hexafluorophosphate_is_neutral() -> None:
    """Its anion is that of a strong acid; without the cation the balance of charges would make acid of it."""
    mixture = build(
        PRODUCT,
        [("CN(C)C(On1nnc2ccccc12)=[N+](C)C.F[P-](F)(F)(F)(F)F", "5 mmol", None)],
        solvents=[("dichloromethane", 30.0)],
    )
    assert 6.0 < run_ledger(mixture, [Step("wash", solution="water", volume_ml=10)], 1).contacts[0].ph[0] < 8.0
