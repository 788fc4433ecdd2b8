"""Proton transfers: who gives, who takes, what forms, and which way it lies."""

from __future__ import annotations

import pytest
from rdkit import Chem

from washlore.knowledge.rows import Buffer, BufferForms, Solution, table
from washlore.rules.mixture import build
from washlore.rules.protons import acid_of, base_of, step_transfers

CHARGES = {"": 0, "+": 1, "-": -1}


def of(compound: str, solution: str, action: str = "wash", target_ph: float | None = None):
    mixture = build("CCOC(=O)c1ccccc1", [(compound, "1 mmol", None)], product_amount="10 mmol")
    return step_transfers(action, table(Solution).get(solution), target_ph, [mixture.component("c1")])


def charge(form: str) -> int:
    sign = form[-1] if form[-1] in "+-" else ""
    size = form[:-1].partition("^")[2]
    return CHARGES[sign] * int(size or 1)


def test_every_form_of_a_system_has_the_charge_that_its_acid_end_says():
    for row in table(BufferForms).values():
        system = table(Buffer)[row.id]
        assert [charge(form) for form in row.forms] == [system.acid_charge - n for n in range(len(system.pkas) + 1)]


def test_what_a_solution_takes_or_gives_is_one_proton():
    for row in table(Solution).values():
        for partner, change in ((base_of(row), 1), (acid_of(row), -1)):
            if partner is not None and partner.before != "Tris" and "Tris" not in partner.after:
                assert sum(map(charge, partner.after)) - charge(partner.before) == change, row.id
    trisodium = base_of(table(Solution)["k3po4_1m"])
    assert (trisodium.before, trisodium.after, trisodium.pka) == ("PO4^3-", ("HPO4^2-",), 12.35)


# Worked by hand from pKa of the CRC Handbook: benzoic acid 4.20, carbonic acid 6.35 and 10.33.
def test_benzoic_acid_gives_its_proton_to_bicarbonate():
    (found,) = of("benzoic acid", "nahco3_sat")
    assert found.component_gives
    assert found.equation == "C7H6O2 + HCO3- -> C7H5O2- + H2O + CO2"
    assert found.log_k == pytest.approx(6.35 - 4.20, abs=0.1)
    assert Chem.MolFromSmiles(found.smiles).GetAtomWithIdx(found.atom).GetTotalNumHs() == 1
    assert Chem.MolFromSmiles(found.ion).GetAtomWithIdx(found.ion_atom).GetFormalCharge() == -1
    assert Chem.CanonSmiles(found.ion) == Chem.CanonSmiles("[O-]C(=O)c1ccccc1")


def test_of_a_buffer_the_base_takes_and_the_acid_gives():
    (found,) = of("benzoic acid", "phosphate_ph7")
    assert found.equation == "C7H6O2 + HPO4^2- -> C7H5O2- + H2PO4-"
    assert found.log_k == pytest.approx(7.20 - 4.20, abs=0.1)
    (found,) = of("triethylamine", "phosphate_ph7")
    assert found.equation == "C6H15N + H2PO4- -> C6H16N+ + HPO4^2-" and not found.component_gives
    # carbonate takes one proton and bicarbonate, which bubbles, another
    (found,) = of("benzoic acid", "na2co3_10")
    assert found.equation == "C7H6O2 + CO3^2- -> C7H5O2- + HCO3-"


def test_a_phenol_gives_none_to_bicarbonate_and_one_to_hydroxide():
    assert of("phenol", "nahco3_sat") == []
    (found,) = of("phenol", "naoh_1m")
    assert found.equation == "C6H6O + OH- -> C6H5O- + H2O"


def test_an_amine_takes_one_from_acid_and_gives_it_back_to_hydroxide():
    (taken,) = of("triethylamine", "hcl_1m")
    assert taken.equation == "C6H15N + H3O+ -> C6H16N+ + H2O" and not taken.component_gives
    (by_ph,) = of("benzoic acid", "", "set ph", 6.5)
    assert by_ph.equation == "C7H5O2- + H3O+ -> C7H6O2 + H2O"
    (back,) = of("triethylamine", "", "set ph", 12.0)
    assert back.equation == "C6H16N+ + OH- -> C6H15N + H2O" and back.component_gives


def test_of_two_sites_of_a_kind_the_stronger_is_shown():
    (acid,) = of("succinic acid", "naoh_1m")
    assert acid.component_gives and acid.equation == "C4H6O4 + OH- -> C4H5O4- + H2O"
    (base,) = of("piperazine", "hcl_1m")
    assert not base.component_gives and base.equation == "C4H10N2 + H3O+ -> C4H11N2+ + H2O"


def test_what_neither_gives_nor_takes_has_no_equation():
    assert of("acetophenone", "hcl_1m") == []
    assert of("triethylamine", "brine") == []
    assert of("triethylamine", "nahco3_sat") == []  # bicarbonate is no acid to speak of at its own pH


def test_solutions_bring_what_they_hold():
    rows = table(Solution)
    assert base_of(rows["na2co3_10"]).before == "CO3^2-"
    assert acid_of(rows["citric_10"]).before == "H3Cit"
    assert acid_of(rows["naoh_1m"]) is None and base_of(rows["hcl_1m"]) is None
    assert base_of(rows["water"]) is None and acid_of(rows["water"]) is None
