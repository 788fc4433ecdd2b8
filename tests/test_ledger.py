"""The ledger: mass and charge are kept, the solver always arrives, and the chemistry follows."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from washlore.knowledge import water
from washlore.knowledge.acidity import Site
from washlore.knowledge.rows import Buffer, Solution, table
from washlore.knowledge.structure import molecules
from washlore.rules.contact import equilibrate
from washlore.rules.ledger import Step, band, run_ledger
from washlore.rules.mixture import build
from washlore.rules.phase import LedgerError, Phase, fresh_wash
from washlore.rules.species import Sheet, Species
from washlore.rules.suppose import Supposition, supposing

GENERAL = [row for row in table(Solution).values() if row.general]
POOL = [
    "CC(=O)O", "OC(=O)c1ccccc1", "Oc1ccccc1", "CCN(CC)CC", "c1ccncc1", "Nc1ccccc1", "CCOC(C)=O", "CC(C)=O", "CCO",
    "CN(C)C=O", "NCC(=O)O", "[Na+].CC(=O)[O-]", "CC[NH+](CC)CC.[Cl-]", "CCCC[N+](CCCC)(CCCC)CCCC.[Br-]", "Cl",
    "[Na+].[OH-]", "O=C([O-])[O-].[K+].[K+]", "[Na+].[C-]#N", "O=[N+]([O-])c1ccc(O)cc1", "CCCCCCCCCCCC(=O)O", "OC(=O)C(=O)O",
    "NCCN", "O=C1CCC(=O)N1", "CS(=O)C", "CC(C)(C)OC(=O)NCCc1ccccc1",
]  # fmt: skip


def _mixture(smiles: list[str], amounts: list[float], solvent: str = "dichloromethane"):
    others = [(s, f"{a} mmol", None) for s, a in zip(smiles, amounts, strict=True)]
    return build("CCOC(=O)c1ccc(C)cc1", others, product_amount="10 mmol", solvents=[(solvent, 40.0)])


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from(POOL), min_size=1, max_size=6, unique=True),
    st.lists(st.sampled_from([s.id for s in GENERAL]), min_size=1, max_size=3),
    st.floats(0.01, 80),
    st.sampled_from(["dichloromethane", "ethyl acetate", "diethyl ether", "toluene"]),
)
def test_mass_is_conserved(smiles: list[str], washes: list[str], amount: float, solvent: str) -> None:
    mixture = _mixture(smiles, [amount] * len(smiles), solvent)
    book = run_ledger(mixture, [Step("wash", solution=w, volume_ml=15, repeats=2) for w in washes], draws=16)
    total = book.organic.mmol + sum(phase.mmol for _, kind, phase in book.set_aside if kind == "aqueous")
    np.testing.assert_allclose(total, np.repeat(book.sheet.mmol[:, None], 16, axis=1), rtol=1e-9, atol=1e-12)
    assert (book.organic.mmol >= 0).all()


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from(POOL), min_size=1, max_size=6, unique=True),
    st.sampled_from([s.id for s in GENERAL]),
    st.floats(0.01, 80),
)
def test_charge_is_balanced(smiles: list[str], wash: str, amount: float) -> None:
    """The charges of the spent wash, added up anew from the amounts and the pH, come to nothing."""
    mixture = _mixture(smiles, [amount] * len(smiles))
    book = run_ledger(mixture, [Step("wash", solution=wash, volume_ml=15)], draws=4)
    contact, phase = book.contacts[0], book.set_aside[0][2]
    volume = phase.volume_ml + np.array([s.molar_volume_ml for s in book.sheet.species]) @ phase.mmol
    strength = np.minimum(water.MAX_IONIC_STRENGTH_M, phase.salt_mmol / phase.volume_ml)
    log_gamma = water.davies_log_gamma(1, strength)
    charge = phase.strong_mmol + volume * (
        water.hydrogen_m(contact.ph, strength) - water.hydroxide_m(contact.ph, strength)
    )
    for i, species in enumerate(book.sheet.species):
        ion = np.full(4, float(species.permanent_charge))
        for row in np.flatnonzero(book.sheet.site_of == i):
            sign = book.sheet.sign[row]
            odds = 10.0 ** (sign * (contact.ph - book.sheet.pka[row] - sign * log_gamma))
            ion = ion - sign * odds / (1 + odds)
        charge = charge + phase.mmol[i] * ion
    for key, mmol in phase.weak_mmol.items():
        row_buffer = table(Buffer)[key]
        charge = charge + mmol * water.alpha_charges(row_buffer.pkas, row_buffer.acid_charge, contact.ph, strength)
    np.testing.assert_allclose(charge / volume, 0.0, atol=2e-9)


def test_the_solver_arrives_on_ten_thousand_random_mixtures() -> None:
    random = np.random.default_rng(7)
    draws, count = 10_000, 6
    part = molecules("CCOC(C)=O")[0]
    sites = tuple(
        Site(0, kind, 7.0, 0.0, "x", "model", "crc") for kind in ("acid", "base", "acid", "base", "acid", "base")
    )
    species = tuple(Species(f"c{i}", part, 0, (sites[i],), None) for i in range(count))
    numbers = Sheet(
        species, np.ones(count), random.uniform(-2, 15, (count, draws)), np.arange(count),
        np.array([1.0, -1.0] * 3), random.normal(0, 8, (count, draws)), random.normal(0, 3, (count, draws)), {}, {},
    )  # fmt: skip
    mmol = 10 ** random.uniform(-3, 2, (count, draws))
    organic = Phase(mmol.copy(), 40.0, (("dichloromethane", 1.0),), np.zeros(draws), {}, np.zeros(draws), 53.0)
    rows = [GENERAL[i] for i in random.integers(0, len(GENERAL), draws)]
    weak: dict[str, np.ndarray] = {}
    for column, row in enumerate(rows):
        if row.weak_system:
            weak.setdefault(row.weak_system, np.zeros(draws))[column] = row.weak_m * 15
    aqueous = Phase(
        np.zeros((count, draws)), 15.0, (), np.array([r.strong_charge_m * 15 for r in rows]), weak,
        np.array([r.salt_m * 15 for r in rows]), 15.0,
    )  # fmt: skip
    contact = equilibrate(numbers, organic, aqueous)
    assert np.isfinite(contact.ph).all()
    assert ((contact.ph > -3) & (contact.ph < 17)).all()
    np.testing.assert_allclose(organic.mmol + aqueous.mmol, mmol, rtol=1e-9)
    assert ((contact.organic_share >= 0) & (contact.organic_share <= 1)).all()


def test_an_exhausted_wash_is_seen() -> None:
    """20 mL of 1 M HCl cannot hold 50 mmol of triethylamine."""
    mixture = _mixture(["CCN(CC)CC"], [50.0])
    book = run_ledger(mixture, [Step("wash", solution="hcl_1m", volume_ml=20)], draws=1)
    assert book.contacts[0].ph[0] > 8
    assert 0.5 < book.left("c1")[0] < 0.62
    enough = run_ledger(mixture, [Step("wash", solution="hcl_1m", volume_ml=20, repeats=3)], draws=1)
    assert enough.left("c1")[0] < 0.01


def test_neutralisation_sets_heat_free_and_bicarbonate_gas() -> None:
    amine = run_ledger(_mixture(["CCN(CC)CC"], [10.0]), [Step("wash", solution="hcl_1m", volume_ml=20)], draws=1)
    # 43 kJ/mol for triethylamine and strong acid (goldberg2002)
    assert amine.contacts[0].heat_kj == pytest.approx(0.43, rel=0.05)
    salt = run_ledger(
        _mixture(["CC[NH+](CC)CC.[Cl-]"], [10.0]), [Step("wash", solution="water", volume_ml=20)], draws=1
    )
    assert abs(salt.contacts[0].heat_kj) < 0.02
    based = run_ledger(
        _mixture(["CC[NH+](CC)CC.[Cl-]"], [10.0]), [Step("wash", solution="naoh_1m", volume_ml=20)], draws=1
    )
    # 55.8 - 43.1 for hydroxide and the ammonium ion
    assert based.contacts[0].heat_kj == pytest.approx(0.127, rel=0.1)
    acid = run_ledger(_mixture(["CC(=O)O"], [10.0]), [Step("wash", solution="nahco3_sat", volume_ml=20)], draws=1)
    gas = acid.contacts[0].co2_ml
    # 10 mmol at 24.5 mL/mmol, less what 20 mL of water dissolves (0.033 M).
    assert 180 < gas < 250


def test_more_contacts_never_leave_more() -> None:
    mixture = _mixture(["OC(=O)c1ccccc1", "c1ccncc1", "CN(C)C=O"], [5.0, 10.0, 50.0])
    for solution in ("water", "nahco3_sat", "hcl_1m", "brine"):
        lefts = [
            run_ledger(mixture, [Step("wash", solution=solution, volume_ml=15, repeats=n)], draws=1)
            for n in (1, 2, 3, 4)
        ]
        for component in ("c1", "c2", "c3", "product"):
            values = [book.left(component)[0] for book in lefts]
            assert all(later <= earlier + 1e-12 for earlier, later in pairwise(values))


def test_doubling_everything_leaves_the_fractions() -> None:
    one = run_ledger(_mixture(["c1ccncc1"], [8.0]), [Step("wash", solution="citric_10", volume_ml=15)], draws=16)
    big = build(
        "CCOC(=O)c1ccc(C)cc1", [("c1ccncc1", "16 mmol", None)], product_amount="20 mmol",
        solvents=[("dichloromethane", 80.0)],
    )  # fmt: skip
    two = run_ledger(big, [Step("wash", solution="citric_10", volume_ml=30)], draws=16)
    np.testing.assert_allclose(one.left("c1"), two.left("c1"), rtol=1e-6)


def test_brine_keeps_more_of_a_polar_compound_than_water() -> None:
    mixture = _mixture(["CCCCO"], [5.0])
    kept = {
        s: run_ledger(mixture, [Step("wash", solution=s, volume_ml=20)], draws=1).left("c1")[0]
        for s in ("water", "brine")
    }
    assert kept["brine"] > kept["water"]


def test_layers_are_told_apart_by_density() -> None:
    heavy = run_ledger(_mixture(["CCO"], [1.0]), [Step("wash", solution="water", volume_ml=20)], draws=1).contacts[0]
    assert heavy.organic_density > 1.2 > heavy.aqueous_density
    light = run_ledger(
        _mixture(["CCO"], [1.0], "diethyl ether"), [Step("wash", solution="brine", volume_ml=20)], draws=1
    ).contacts[0]
    assert light.organic_density < 0.8 and light.aqueous_density > 1.15


def test_steps_that_cannot_be_done_are_refused_in_words() -> None:
    mixture = build("CCOC(=O)c1ccccc1", [], product_amount="5 mmol", solvents=[("THF", 20.0)])
    with pytest.raises(LedgerError, match="no solvent that forms a layer"):
        run_ledger(mixture, [Step("wash", solution="water", volume_ml=10)], draws=1)
    with pytest.raises(LedgerError, match="forms no layer"):
        run_ledger(mixture, [Step("dilute", solvent="acetone", volume_ml=10)], draws=1)
    with pytest.raises(LedgerError, match="not an action"):
        run_ledger(mixture, [Step("stir")], draws=1)


def test_band_is_ordered() -> None:
    low, middle, high = band(np.random.default_rng(1).normal(size=256))
    assert low < middle < high


def test_a_fresh_wash_has_the_ph_of_its_bottle() -> None:
    """The row's composition, as the ledger uses it, gives the pH that the row states (within 0.3)."""
    empty = run_ledger(_mixture(["CCO"], [0.001]), [], draws=1).sheet
    for row in GENERAL:
        phase = fresh_wash(row, 100.0, empty)
        systems = [(k, v / 100.0) for k, v in phase.weak_mmol.items()]
        ph = water.equilibrium_ph(systems, phase.strong_mmol / 100.0, phase.salt_mmol / 100.0)
        assert float(ph[0]) == pytest.approx(row.ph, abs=0.35), row.id


@pytest.mark.parametrize(
    ("salt", "pka"),
    [
        ("[Na+].[C-]#N", 9.21),
        ("[Na+].[N-]=[N+]=[N-]", 4.6),
        ("[Na+].O=N[O-]", 3.25),
        ("[Na+].N#C[S-]", -1.8),
        ("[K+].[F-]", 3.17),
        ("[Na+].[SH-]", 7.02),
        ("[Na+].[O-]Cl", 7.53),
    ],
    ids=["cyanide", "azide", "nitrite", "thiocyanate", "fluoride", "hydrogensulfide", "hypochlorite"],
)
def test_inorganic_salt_gives_the_ph_of_its_anion(salt: str, pka: float) -> None:
    """PH = (pKw + pKa + log c) / 2 for the salt of a weak acid, pKa of the CRC Handbook (thiocyanic acid from memory)."""
    book = run_ledger(_mixture([salt], [10.0]), [Step("wash", solution="water", volume_ml=20)], draws=1)
    # Of a strong acid's salt no more than neutral water is left, whatever the formula gives.
    expected = max((14.0 + pka + np.log10(0.5)) / 2, 7.0)
    assert book.contacts[0].ph[0] == pytest.approx(expected, abs=0.4)


ACIDIFIED = [
    # salt, base wash, acid wash, least and most of it in the ether after the acid wash
    ("[Na+].[C-]#N", 0.4, 0.8),
    ("[Na+].[Na+].[S-2]", 0.85, 0.98),
    ("[Na+].[N-]=[N+]=[N-]", 0.7, 0.97),
    ("[K+].[F-]", 0.0, 0.15),
    ("[Na+].O=S([O-])O", 0.6, 0.98),
    ("[NH4+].[Cl-]", 0.0, 1e-4),
]


@pytest.mark.parametrize(("salt", "least", "most"), ACIDIFIED, ids=[row[0] for row in ACIDIFIED])
def test_acid_frees_a_weak_inorganic_acid(salt: str, least: float, most: float) -> None:
    """Base holds the anion in the water; acid frees the acid, and the organic layer takes the share its log K gives."""
    mixture = _mixture([salt], [5.0], "diethyl ether")
    held = run_ledger(mixture, [Step("wash", solution="naoh_1m", volume_ml=20)], draws=1)
    freed = run_ledger(mixture, [Step("wash", solution="hcl_1m", volume_ml=20)], draws=1)

    def acid(book) -> float:
        rows = [i for i, s in enumerate(book.sheet.species) if s.component == "c1" and s.sites]
        return float(book.organic.mmol[rows].sum() / book.sheet.mmol[rows].sum())

    if "NH4" in salt:
        held, freed = freed, freed  # the base of the list: acid holds it
    else:
        assert acid(held) < 0.02
    assert least <= acid(freed) <= most


def test_sulfide_is_a_strong_base() -> None:
    """Sulfide takes a proton from water all but wholly: 0.5 M gives pH 13 to 13.8."""
    book = run_ledger(_mixture(["[Na+].[Na+].[S-2]"], [10.0]), [Step("wash", solution="water", volume_ml=20)], draws=1)
    assert 13.0 < book.contacts[0].ph[0] < 13.8


def test_halogens_stay_organic_in_water_and_die_in_base() -> None:
    """Bromine goes into hypobromite in 1 M sodium hydroxide, iodine into hypoiodite; water leaves both in the layer."""
    for halogen in ("BrBr", "II"):
        mixture = _mixture([halogen], [2.0])
        left = {
            s: run_ledger(mixture, [Step("wash", solution=s, volume_ml=20)], draws=1).left("c1")[0]
            for s in ("water", "naoh_1m")
        }
        assert left["water"] > 0.95 > left["naoh_1m"]


def test_the_counter_ion_of_an_organic_ion_is_not_counted_as_it() -> None:
    book = run_ledger(
        _mixture(["CCCC[N+](CCCC)(CCCC)CCCC.[F-]"], [5.0]), [Step("wash", solution="water", volume_ml=20)], draws=1
    )
    assert sum(s.component == "c1" for s in book.sheet.species) == 1
    assert 6.5 < book.contacts[0].ph[0] < 9


def test_bringing_water_to_a_ph_adds_what_is_poured_in() -> None:
    """75 mmol of acid take 12.5 mL of 6 M sodium hydroxide, and the salt makes the water heavier."""
    mixture = _mixture(["NCCCCCCCC"], [10.0])
    steps = [Step("take up", solution="hcl_1m", volume_ml=25.0, repeats=3), Step("set ph", target_ph=13.0)]
    before = run_ledger(mixture, steps[:1], draws=1).aqueous
    after = run_ledger(mixture, steps, draws=1).aqueous
    assert before is not None and after is not None
    poured = float(np.atleast_1d(after.volume_ml - before.volume_ml)[0])
    assert poured == pytest.approx(12.5 + 0.1 * 90 / 6, rel=0.1)
    assert float(np.atleast_1d(after.mass_g / after.volume_ml)[0]) > 1.02


def test_going_on_from_steps_done_before_is_as_good_as_beginning_anew() -> None:
    steps = [
        Step("wash", solution="hcl_1m", volume_ml=20.0),
        Step("wash", solution="cuso4_sat", volume_ml=20.0),
        Step("wash", solution="nahco3_sat", volume_ml=20.0, repeats=2),
        Step("extract again", solvent="dichloromethane", volume_ml=15.0, repeats=2),
        Step("wash", solution="brine", volume_ml=15.0),
    ]
    smiles, amounts = ["CC(=O)O", "c1ccncc1", "CN(C)C=O"], [5.0, 3.0, 20.0]
    tried = _mixture(smiles, amounts)
    for some in (steps[:2], steps[:4], [*steps[:2], steps[3]], [steps[0], *steps[2:]], steps):
        try:
            again = run_ledger(tried, some, draws=1)
        except LedgerError:  # there is no water to extract again: what was done before it stands
            continue
        anew = run_ledger(_mixture(smiles, amounts), some, draws=1)
        assert len(again.contacts) == len(anew.contacts) and again.steps == anew.steps == tuple(some)
        for one, other in zip(again.contacts, anew.contacts, strict=True):
            assert (one.step, one.portion) == (other.step, other.portion)
            np.testing.assert_array_equal(one.organic_mmol, other.organic_mmol)
            np.testing.assert_array_equal(one.ph, other.ph)
        for one, other in zip(again.after, anew.after, strict=True):
            np.testing.assert_array_equal(one, other)
        assert [(n, kind) for n, kind, _ in again.set_aside] == [(n, kind) for n, kind, _ in anew.set_aside]


def test_what_is_supposed_is_not_mixed_up_with_what_is() -> None:
    mixture, steps = _mixture(["CC(=O)O"], [5.0]), [Step("wash", solution="nahco3_sat", volume_ml=20.0)]
    acid = mixture.others[0]
    plain = float(run_ledger(mixture, steps, draws=1).left(acid.id)[0])
    with supposing(Supposition("pka", acid.smiles, "acid", 6.0)):
        weaker = float(run_ledger(mixture, steps, draws=1).left(acid.id)[0])
    with supposing(Supposition("log_k", acid.smiles, shift=3.0)):
        greasier = float(run_ledger(mixture, steps, draws=1).left(acid.id)[0])
    assert weaker > 2 * plain and greasier > 2 * plain
    assert float(run_ledger(mixture, steps, draws=1).left(acid.id)[0]) == plain
