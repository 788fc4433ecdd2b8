"""The numeric core at its limits: amounts, volumes and shares exactly where one thing begins and another ends.

Everything goes through what a plan calls, so that it holds whatever carries the numbers inside.
"""

from __future__ import annotations

from dataclasses import fields, replace
from types import SimpleNamespace

import numpy as np
import pytest
from test_contact import CONTACTS as PLAIN_CONTACTS
from test_contact import flask as contact_flask
from test_ledger_steps import flask as ether_flask
from test_ledger_steps import run
from test_trial import ETHER, PRODUCT, bottle, flask

from washlore.knowledge.arrays import at_best
from washlore.knowledge.heats import WATER_KJ, site_kj
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules import shaking, trial
from washlore.rules.contact import LIMIT_KNOWN_TO, Mixed, equilibrate
from washlore.rules.heat import _came_ionised
from washlore.rules.ledger import ACTIONS, Step, contacts_needed, run_ledger, whole_flask
from washlore.rules.mixture import Mixture
from washlore.rules.perceive import Job
from washlore.rules.phase import LedgerError, blended, dissolved_mmol_ml, first_of, fresh_wash, hand_over, pool
from washlore.rules.species import STRIPPED_LEFT, sheet

# ---- how large a layer and a wash are


@pytest.mark.parametrize(
    ("mmol", "expected"),
    [
        (10.0, 3.284 * 10),
        (100.0, 3.284 * 100),
        (121.0, 3.284 * 121),
        (130.0, 400.0),
        (200.0, 400.0),
        (300.0, 1.642 * 300),
    ],
)
def test_the_layer_by_the_amount_of_product(mmol: float, expected: float) -> None:
    """20 mL for each gram of a product of 164.2 g/mol; beyond 400 mL no more than 10, and no less than those 400."""
    assert trial.layer_ml(flask(mmol=mmol, solvents=())) == pytest.approx(expected, rel=1e-3)


def test_a_light_product_gets_four_millilitres_a_millimole() -> None:
    assert trial.layer_ml(flask(product="CCCCCCCCCCCCCCCCCC(=O)OCCCCCCCC", mmol=20.0, solvents=())) == 80.0
    assert trial.layer_ml(flask(mmol=1.0, solvents=())) == 6.0


def test_what_boils_from_121_on_is_washed_out_and_asks_for_twice_its_volume() -> None:
    row = table(Solvent)["thf"]
    mixture = flask(solvents=(("DMF", 30.0),))
    for boiling_c, expected in ((121.0, 60.0), (120.9, 32.84)):
        hot = replace(row, boiling_c=boiling_c)
        assert trial.layer_ml(replace(mixture, reaction_solvents=((hot, 30.0),))) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("key", "other", "volume"),
    [
        # a portion holds 1.2 equivalents in three; a third of 60 mL is the least
        ("hcl_1m", "CCN(CC)CC; 60 mmol", 24.0),
        ("hcl_1m", "CCN(CC)CC; 51 mmol", 20.4),
        ("hcl_1m", "CCN(CC)CC; 49 mmol", 20.4),
        ("hcl_1m", "CCN(CC)CC; 200 mmol", 60.0),
        ("water", "CCN(CC)CC; 200 mmol", 20.4),
        ("brine", "CCN(CC)CC; 200 mmol", 20.4),
        ("edta_01m", "CCN(CC)CC; 200 mmol", 20.4),  # what binds is no acid to be used up
        ("naoh_2m", "CC(=O)O; 180 mmol", 36.0),
    ],
)
def test_a_portion_by_its_load(key: str, other: str, volume: float) -> None:
    mixture = flask(other, solvents=(("dichloromethane", 60.0),))
    assert trial.part_ml(mixture, bottle(key), (), (), 60.0) == pytest.approx(volume, rel=1e-3)


def test_an_acid_or_base_within_one_unit_of_a_wash_is_no_load() -> None:
    mixture = flask("CC(=O)O; 100 mmol", "c1ccncc1; 100 mmol", solvents=(("dichloromethane", 60.0),))
    one = sheet(mixture, 1)
    acid = next(s.sites[0].pka for s in one.species if s.component == "c1")
    base = next(s.sites[0].pka for s in one.species if s.component == "c2")
    low = acid + 1  # a base of this pH is one unit above; the pyridinium is no acid of the list
    high = max(low, 7.5)
    assert trial._load_mmol(mixture, high, (), ()) == pytest.approx(100.0)
    assert trial._load_mmol(mixture, base - 1, (), ()) == 0.0
    assert trial._load_mmol(mixture, base - 1.01, (), ()) == pytest.approx(100.0)
    # pH 7 itself counts with the acids
    amine = flask("CCN(CC)CC; 100 mmol", solvents=(("dichloromethane", 60.0),))
    assert trial._load_mmol(amine, 7.0, (), ()) == pytest.approx(100.0) and trial._load_mmol(amine, 7.1, (), ()) == 0.0


def test_a_flask_of_ions_is_brought_to_a_ph_with_enough_water() -> None:
    mixture = flask("[Na+].[OH-]; 100 mmol", "Cl; 20 mmol", solvents=(("dichloromethane", 60.0),))
    assert trial.exact_neutralising_ml(mixture, 60.0) == 60.0  # half a millilitre for each of 120 mmol
    assert trial.exact_neutralising_ml(mixture, 130.0) == 65.0


def test_solvents_are_offered_by_how_the_product_boils_and_dissolves() -> None:
    mixture = flask()

    def offered(boiling_c: float) -> bool:
        return table(Solvent)["xylene"] in trial.offered_solvents(
            replace(mixture, product=replace(mixture.product, boiling_c=boiling_c))
        )

    assert offered(109.9) and not offered(110.0)


def test_ions_in_the_pot_exactly_at_their_limits() -> None:
    def ions(other: str, product: str = PRODUCT) -> bool:
        return trial.pot(Job(flask(other, product=product)), ETHER, (), ()).ions

    assert not ions("[Na+].[OH-]; 0.2 mmol") and ions("[Na+].[OH-]; 0.21 mmol") and not ions("Cl; 0.2 mmol")
    # what holds an acid of its own in water, such as phosphate, counts however little of it there is
    assert ions("[K+].[K+].O=C([O-])[O-]; 0.05 mmol")


def test_a_quench_in_the_first_water() -> None:
    """Acid poured in holds an amine product as its salt; the same volume of plain water does not."""
    mixture = flask(product="NCCCCCCCCCC")
    acid = trial.pot(Job(mixture), ETHER, (), (), (bottle("hcl_1m"), 30.0))
    water = trial.pot(Job(mixture), ETHER, (), (), (bottle("water"), 30.0))
    assert acid.kept < 0.1 < 0.9 < water.kept and acid.ions and water.ions
    assert acid.neutral == pytest.approx(water.neutral)


def test_base_of_a_quench_holds_an_acid_that_is_stripped() -> None:
    mixture = flask("CC(=O)O; 10 mmol")
    wide = sheet(mixture, 1)
    poured = {"naoh_1m": ((4.0, 0.4), (40.0, 1.0)), "hcl_1m": ((4.0, STRIPPED_LEFT),)}
    assert trial.start_layer(wide, ETHER, 40.0, (), ("c1",)).mmol[1, 0] == pytest.approx(10.0 * STRIPPED_LEFT)
    for solution, volume_ml, share in ((s, *v) for s, volumes in poured.items() for v in volumes):
        layer = trial.start_layer(wide, ETHER, 40.0, (), ("c1",), (bottle(solution), volume_ml))
        assert layer.mmol[1, 0] == pytest.approx(10.0 * share)
    assert trial._brought_mmol((bottle("naoh_1m"), 20.0)) == pytest.approx(20.0)
    assert trial._brought_mmol((bottle("hcl_1m"), 20.0)) == pytest.approx(-20.0) and trial._brought_mmol(None) == 0.0


@pytest.mark.parametrize(
    ("compound", "solution", "least", "most"),
    [
        ("methylamine", "nahco3_sat", 0.85, 0.95),  # pKa 10.7: hydrogen carbonate gives it its proton, up to pH 10
        ("methylamine", "nh4cl_sat", 0.95, 1.0),
        ("methylamine", "naoh_1m", 0.0, STRIPPED_LEFT),
        ("methylamine", "rochelle_sat", 0.0, STRIPPED_LEFT),  # near miss: tartrate has no proton left to give
        ("pyridine", "nahco3_sat", 0.0, STRIPPED_LEFT),
        ("acetic acid", "nahco3_sat", 0.99, 1.0),
        ("acetic acid", "nh4cl_sat", 0.0, STRIPPED_LEFT),
    ],
)
def test_water_of_a_quench_holds_what_is_an_ion_in_it(compound, solution, least, most) -> None:
    """A base a unit below its pKa is nine parts of ten its ion (Henderson-Hasselbalch), and that does not boil off."""
    mixture = flask(f"{compound}; 3 mmol")
    layer = trial.start_layer(sheet(mixture, 1), ETHER, 40.0, (), ("c1",), (bottle(solution), 30.0))
    assert least - 1e-9 <= layer.mmol[1, 0] / 3.0 <= most + 1e-9


def test_a_swap_is_the_ledger_over_its_steps() -> None:
    """Each wash before it twice, so that what a polar product loses is counted."""
    mixture = flask("CCCCCCCCc1ccccc1; 5 mmol", product="OC(=O)CCC")
    job, ml = Job(mixture), trial.layer_ml(mixture)
    water, base = bottle("water"), bottle("naoh_1m")
    made = trial.swap(job, ETHER, (), (), base, 2.0, washes=[water])
    steps = [
        Step("quench"),
        Step("evaporate"),
        Step("dilute", solvent="diethyl_ether", volume_ml=ml),
        Step("wash", solution="water", volume_ml=trial.part_ml(mixture, water, (), (), ml), repeats=2),
        *trial.swap_steps(mixture, ETHER, base, 2.0, trial.as_it_is),
    ]
    book = run_ledger(flask("CCCCCCCCc1ccccc1; 5 mmol", product="OC(=O)CCC"), steps, draws=1)
    assert made["product"] == pytest.approx(float(book.left("product")[0]), rel=1e-9)
    assert made["product"] < trial.swap(job, ETHER, (), (), base, 2.0)["product"]


def test_volumes_that_are_measured_out_and_those_that_are_not() -> None:
    mixture = flask(mmol=10.0, solvents=())
    rounded = trial.swap_steps(mixture, ETHER, bottle("naoh_1m"), 2.0)
    exact = trial.swap_steps(mixture, ETHER, bottle("naoh_1m"), 2.0, trial.as_it_is)
    ml = trial.layer_ml(mixture)
    assert [s.volume_ml for s in exact] == pytest.approx([0.4 * ml, 0.4 * ml, 0.0, 0.5 * ml])
    assert [s.volume_ml for s in rounded] == [15.0, 15.0, 0.0, 20.0]
    assert trial.capacity_ml(mixture, bottle("naoh_2m")) == pytest.approx(2.5)
    assert trial.capacity_ml(mixture, replace(bottle("naoh_1m"), molarity_m=0.1)) == pytest.approx(50.0)


# ---- the ledger


def test_every_part_of_an_account_is_gone_on_with() -> None:
    """A quench with base, then stripping: what the base holds as its salt stays, begun anew or gone on from before."""
    quench = Step("quench", solution="naoh_1m", volume_ml=20.0)
    strip = Step("evaporate", removes=("c1",))
    known = ether_flask("acetic acid; 10 mmol")
    before = run(known, quench)
    assert before.poured_mmol == pytest.approx(20.0)
    after = run(known, quench, strip)
    anew = run(ether_flask("acetic acid; 10 mmol"), quench, strip)
    assert after.poured_mmol == anew.poured_mmol == pytest.approx(20.0)
    assert float(after.left("c1")[0]) == float(anew.left("c1")[0]) == pytest.approx(1.0)
    acid = run(ether_flask("acetic acid; 10 mmol"), replace(quench, solution="hcl_1m"), strip)
    assert float(acid.left("c1")[0]) == pytest.approx(STRIPPED_LEFT)
    # and so is all else that an account holds
    steps = [
        Step("wash", solution="nahco3_sat", volume_ml=20.0),
        Step("take up", solution="nahco3_sat", volume_ml=20.0),
        Step("set ph", target_ph=2.0),
    ]
    one = ether_flask("sodium cyanide; 1 mmol", product="OC(=O)CCc1ccccc1")
    run(one, *steps)
    again = run(one, *steps, Step("extract", solvent="diethyl_ether", volume_ml=20.0))
    fresh = run(
        ether_flask("sodium cyanide; 1 mmol", product="OC(=O)CCc1ccccc1"),
        *steps,
        Step("extract", solvent="diethyl_ether", volume_ml=20.0),
    )
    for item in fields(fresh):
        if item.name in ("gas_ml", "given_mmol", "met_water", "poured_mmol", "cosolvent"):
            assert getattr(again, item.name) == getattr(fresh, item.name), item.name
    assert set(again.vented) == set(fresh.vented) == {3} and again.gas_ml[3] > 100.0
    assert again.given_mmol[3] < 0.0


def test_an_account_is_begun_anew_for_another_mixture_or_other_numbers() -> None:
    wash = Step("wash", solution="nahco3_sat", volume_ml=20.0)
    one, other = ether_flask("benzoic acid; 5 mmol"), ether_flask("benzoic acid; 60 mmol")
    shares = [float(run(m, wash).left("c1")[0]) for m in (one, other, one, other)]
    assert shares[0] == shares[2] < 0.1 < shares[1] == shares[3]
    numbers = sheet(one, 1)
    weaker = replace(numbers, pka=numbers.pka + 5.0)
    plain = float(run(one, wash).left("c1")[0])
    changed = float(run_ledger(one, [wash], numbers=weaker).left("c1")[0])
    assert changed > 5 * plain and float(run(one, wash).left("c1")[0]) == plain
    # the same steps from another number on are another account
    later = run(one, wash, first=4)
    assert [c.step for c in later.contacts] == [4] and [c.step for c in run(one, wash).contacts] == [1]


def test_steps_that_cannot_be_done_are_named_by_number() -> None:
    mixture = ether_flask("benzoic acid; 5 mmol")
    with pytest.raises(LedgerError, match=r"step 2: 'shake' is not an action; they are quench, .*extract again"):
        run(mixture, Step("dry"), Step("shake"))
    with pytest.raises(LedgerError, match=r"step 7 \(set ph\): there is no kept water layer"):
        run(mixture, Step("set ph", target_ph=2.0), first=7)
    up = Step("take up", solution="naoh_1m", volume_ml=20.0)
    for step, words in (
        (Step("wash", solution="water", volume_ml=10.0), "the product is in the water layer; extract it first"),
        (Step("evaporate"), "the product is in the water layer"),
        (Step("dilute", solvent="toluene", volume_ml=10.0), "the product is in the water layer"),
        (Step("set ph"), "no pH is given"),
    ):
        with pytest.raises(LedgerError, match=words):
            run(mixture, up, step)
    with pytest.raises(LedgerError, match=r"step 1 \(neutralise\): no pH is given"):
        run(mixture, Step("neutralise", solvent="toluene", volume_ml=10.0))
    with pytest.raises(LedgerError, match="set no water layer aside"):
        run(mixture, Step("dry"), Step("extract again", solvent="toluene", volume_ml=10.0))
    with pytest.raises(LedgerError, match="forms a layer with water; add one first"):
        run(ether_flask(solvents=(("THF", 20.0),)), Step("wash", solution="water", volume_ml=10.0))
    assert len(ACTIONS) == len(set(ACTIONS)) == 16


def test_a_wash_that_exactly_reaches_the_target_has_reached_it() -> None:
    mixture = ether_flask("benzoic acid; 5 mmol")
    wash = Step("wash", solution="nahco3_sat", volume_ml=15.0)
    book = run(mixture, replace(wash, repeats=12))
    shares = [float(book.fraction("c1", c.organic_mmol)[0]) for c in book.contacts]
    assert contacts_needed(mixture, [wash], "c1", target=shares[0]) == 1
    assert contacts_needed(mixture, [wash], "c1", target=shares[11], most=12) in range(1, 13)


def test_a_wash_of_more_than_twelve_portions_is_no_way() -> None:
    mixture = ether_flask("phenol; 5 mmol")
    wash = Step("wash", solution="water", volume_ml=15.0)
    book = run(mixture, replace(wash, repeats=13))
    shares = [float(book.fraction("c1", c.organic_mmol)[0]) for c in book.contacts]
    assert contacts_needed(mixture, [wash], "c1", target=shares[11] * 1.0001) == 12
    assert contacts_needed(mixture, [wash], "c1", target=shares[12] * 1.0001) is None


def test_the_steps_of_an_inorganic_acid_are_known_to_a_tenth() -> None:
    numbers = sheet(ether_flask("ammonium chloride; 5 mmol"), 2001)
    (row,) = [n for n, i in enumerate(numbers.site_of) if numbers.species[int(i)].component == "c1"]
    assert float(np.std(np.asarray(numbers.pka)[row, 1:])) == pytest.approx(0.1, rel=0.1)


def test_what_a_filter_lets_through_and_a_quench_does_not() -> None:
    mixture = ether_flask("acetophenone; 5 mmol", "acetone; 5 mmol")
    assert run(mixture, Step("filter", removes=("c1",))).left("c1")[0] == pytest.approx(0.005)
    assert run(mixture, Step("quench", removes=("c1",))).left("c1")[0] == 0.0
    both = run(mixture, Step("filter", removes=("c1",)))
    assert both.left("c2")[0] == both.left("product")[0] == 1.0


def test_ions_that_a_component_came_with_leave_with_it_only_before_water() -> None:
    """Quenched or filtered before any water it takes its sodium along; afterwards that is in the water."""
    mixture = ether_flask("sodium benzoate; 5 mmol", "potassium carbonate; 3 mmol")
    book = run(mixture, Step("quench", removes=("c1",)))
    assert book.organic is not None and at_best(book.organic.strong_mmol) == pytest.approx(6.0)
    book = run(mixture, Step("filter", removes=("c2",)))
    assert book.organic is not None and at_best(book.organic.strong_mmol) == pytest.approx(5.0)
    assert at_best(book.organic.weak_mmol["carbonate"]) == pytest.approx(0.0)
    wet = run(mixture, Step("wash", solution="water", volume_ml=20.0))
    later = run(mixture, Step("wash", solution="water", volume_ml=20.0), Step("quench", removes=("c1",)))
    assert wet.organic is not None and later.organic is not None
    assert at_best(later.organic.strong_mmol) == pytest.approx(at_best(wet.organic.strong_mmol))


def test_a_share_of_miscible_solvent_is_of_the_whole_water_layer() -> None:
    """200 mmol of ethanol in 100 mL: 11.7 mL of 111.7, of which the ether takes a little."""
    book = run(ether_flask("ethanol; 200 mmol"), Step("wash", solution="water", volume_ml=100.0))
    ((number, component, share),) = book.cosolvent
    contact = book.contacts[0]
    i = next(i for i, s in enumerate(book.sheet.species) if s.component == "c1")
    ml = book.sheet.species[i].molar_volume_ml * contact.aqueous_mmol[i, 0]
    assert (number, component) == (1, "c1") and share == pytest.approx(ml / contact.aqueous_ml, rel=1e-6)


# ---- layers


def test_a_blend_is_the_mean_of_its_parts() -> None:
    acid, base = table(Solution)["hcl_1m"], table(Solution)["naoh_2m"]
    both = blended([acid, base])
    assert both.id == "hcl_1m+naoh_2m" and first_of(both.id) == "hcl_1m"
    assert both.strong_charge_m == pytest.approx((acid.strong_charge_m + base.strong_charge_m) / 2)
    assert both.salt_m == pytest.approx((acid.salt_m + base.salt_m) / 2)
    assert both.density_g_ml == pytest.approx((acid.density_g_ml + base.density_g_ml) / 2)
    assert both.acts_as == "acid" and acid.name in both.name and " and " in both.name
    assert blended([acid]) is acid
    one, two = dissolved_mmol_ml("nahco3_sat"), dissolved_mmol_ml("nahco3_sat+na2co3_10")
    assert two["carbonate"] == pytest.approx((one["carbonate"] + dissolved_mmol_ml("na2co3_10")["carbonate"]) / 2)
    assert dissolved_mmol_ml("nahco3_sat+water")["carbonate"] == pytest.approx(one["carbonate"] / 2)


def test_layers_poured_together_are_saturated_only_if_both_are() -> None:
    numbers = sheet(ether_flask(), 1)
    one, two = (fresh_wash(table(Solution)["water"], 10.0, numbers) for _ in range(2))
    one.saturated = True
    two.ph = 3.0
    assert not pool(one, two).saturated and not pool(two, one).saturated and pool(one, two).ph == 3.0
    two.saturated = True
    assert pool(one, two).saturated


# ---- one contact


def _shaken(mixture: Mixture, key: str, volume_ml: float = 20.0, **more: float):
    numbers = sheet(mixture, 1)
    organic, aqueous = whole_flask(mixture, numbers), fresh_wash(table(Solution)[key], volume_ml, numbers)
    hand_over(organic, aqueous)
    return numbers, equilibrate(numbers, organic, aqueous, **more), organic, aqueous


def test_heat_of_acids_and_bases_by_hand() -> None:
    """``goldberg2002``: 55.8 kJ for each mole of water formed, less what the acid, or more what the ammonium ion, takes."""
    for other, key, sign in (("CC(=O)O; 10 mmol", "naoh_1m", 1.0), ("CCN(CC)CC; 10 mmol", "hcl_1m", -1.0)):
        numbers, contact, _, _ = _shaken(ether_flask(other), key, 40.0)
        site = next(s.sites[0] for s in numbers.species if s.component == "c1")
        per_mol = (WATER_KJ if sign > 0 else 0.0) - sign * site_kj(site)
        assert contact.heat_kj == pytest.approx(0.01 * per_mol, rel=0.03)
    # half an equivalent of base makes half the heat
    _, half, _, _ = _shaken(ether_flask("CC(=O)O; 10 mmol"), "naoh_1m", 5.0)
    assert half.heat_kj == pytest.approx(0.005 * (WATER_KJ + 0.4), rel=0.06)
    # where nothing ionises there is none
    _, none, _, _ = _shaken(ether_flask("octane; 10 mmol"), "water", 40.0)
    assert none.heat_kj == pytest.approx(0.0, abs=1e-5)
    # what came as its salt sets no heat of neutralisation free, where nothing takes or gives a proton
    _, salt, _, _ = _shaken(ether_flask("sodium acetate; 10 mmol"), "water", 40.0)
    assert abs(salt.heat_kj) < 0.02
    _, freed, _, _ = _shaken(ether_flask("sodium acetate; 10 mmol"), "hcl_1m", 40.0)
    assert abs(freed.heat_kj) < 0.02  # the enthalpy of acetic acid is nearly none
    _, ammonium, _, _ = _shaken(ether_flask("triethylammonium chloride; 10 mmol"), "naoh_1m", 40.0)
    assert ammonium.heat_kj == pytest.approx(0.01 * (WATER_KJ - 43.2), rel=0.1)


def test_which_sites_came_as_ions() -> None:
    """Of a half salt the strongest site of its charge: the monosodium salt of malonic acid has one carboxylate."""

    def came(charge: int, *sites: tuple[str, float]) -> list[float]:
        made = [SimpleNamespace(kind=kind, pka=pka) for kind, pka in sites]
        return _came_ionised(SimpleNamespace(came_charge=charge, sites=made))  # type: ignore[arg-type]

    acids = ("acid", 5.7), ("acid", 2.8)
    assert came(0, *acids) == [0.0, 0.0] and came(-1, *acids) == [0.0, 1.0] and came(-2, *acids) == [1.0, 1.0]
    bases = ("base", 6.8), ("base", 9.9)
    assert came(1, *bases) == [0.0, 1.0] and came(2, *bases) == [1.0, 1.0]
    assert came(1, *acids) == [0.0, 0.0] and came(-1, *bases) == [0.0, 0.0]
    assert came(-1, ("base", 9.9), ("acid", 2.3)) == [0.0, 1.0] and came(1, ("base", 9.9), ("acid", 2.3)) == [1.0, 0.0]


def test_one_layer_exactly_at_its_limit() -> None:
    assert not Mixed("c1", 0.25 + LIMIT_KNOWN_TO, 0.25).one_layer
    assert Mixed("c1", 0.2501 + LIMIT_KNOWN_TO, 0.25).one_layer and not Mixed("c1", 0.9, None).one_layer


def test_two_miscible_solvents_share_one_limit() -> None:
    """Each crowds the layers by its own share over its own limit; the one there is more of is named."""
    _, contact, _, _ = _shaken(ether_flask("ethanol; 100 mmol", "acetone; 30 mmol"), "water")
    _, ethanol, _, _ = _shaken(ether_flask("ethanol; 100 mmol"), "water")
    _, acetone, _, _ = _shaken(ether_flask("acetone; 100 mmol"), "water")
    assert contact.mixed is not None and ethanol.mixed is not None and acetone.mixed is not None
    assert contact.mixed.component == "c1" and contact.mixed.share > ethanol.mixed.share
    limits = sorted(m.most for m in (ethanol.mixed, acetone.mixed) if m.most is not None)
    assert len(limits) == 2 and limits[0] <= (contact.mixed.most or 0.0) <= limits[1]


# ---- one draw on plain numbers, and the first of many on arrays


def _both(others: list[str], solution: str, volume_ml: float, solvent: str, held_ph: float | None = None) -> list:
    """Return a contact with one draw and with three; the first draw is the best estimate in both."""
    made = []
    for draws in (1, 3):
        numbers, organic = contact_flask(others, solvent, draws)
        aqueous = fresh_wash(table(Solution)[solution], volume_ml, numbers)
        hand_over(organic, aqueous)
        made.append((equilibrate(numbers, organic, aqueous, held_ph=held_ph), organic, aqueous))
    return made


CONTACTS = PLAIN_CONTACTS | {
    "an onium salt and DMF": (
        ["CCCC[N+](CCCC)(CCCC)CCCC.[Br-]; 4 mmol", "CN(C)C=O; 100 mmol"], "brine", 20.0, "dichloromethane",
    ),
    "a little more sulfide than the water holds": (["[Na+].[Na+].[S-2]; 20.5 mmol"], "hcl_1m", 60.0, "hexane"),
    "a little more still": (["[Na+].[Na+].[S-2]; 21 mmol"], "hcl_1m", 60.0, "hexane"),
    "two ends that ionise, beside ethanol": (["NCCc1ccc(O)cc1; 3 mmol", "CCO; 200 mmol"], "phosphate_ph7", 20.0, "ethyl acetate"),
}  # fmt: skip


@pytest.mark.parametrize("held_ph", [None, 4.0])
@pytest.mark.parametrize("name", CONTACTS)
def test_one_draw_of_a_contact_is_the_first_of_many(name: str, held_ph: float | None) -> None:
    """Gases above their solubility, ions that hold a solute, soaps, miscible solvents, permanent ions: each by both ways."""
    (one, *layers), (many, *others) = _both(*CONTACTS[name], held_ph)
    assert at_best(one.ph) == pytest.approx(at_best(many.ph), abs=1e-8)
    for item in ("organic_share", "organic_mmol", "aqueous_mmol", "escaped_mmol"):
        mine, theirs = ([float(x) for x in getattr(c, item)[:, 0]] for c in (one, many))
        assert mine == pytest.approx(theirs, rel=1e-7, abs=1e-10), item
    for item in ("organic_ml", "aqueous_ml", "organic_density", "aqueous_density", "co2_ml", "heat_kj", "rise_c"):
        assert getattr(one, item) == pytest.approx(getattr(many, item), rel=1e-7, abs=1e-9), item
    for mine, theirs in zip(one.vapours, many.vapours, strict=True):
        assert (mine.gas, mine.component) == (theirs.gas, theirs.component)
        for item in ("left_ml", "dissolved_mmol", "above_ppm"):
            assert getattr(mine, item) == pytest.approx(getattr(theirs, item), rel=1e-6, abs=1e-9)
    for mine, theirs in zip(layers, others, strict=True):
        assert at_best(mine.strong_mmol) == pytest.approx(at_best(theirs.strong_mmol), rel=1e-7, abs=1e-9)
        assert set(mine.weak_mmol) == set(theirs.weak_mmol)
        for key, mmol in mine.weak_mmol.items():
            assert at_best(mmol) == pytest.approx(at_best(theirs.weak_mmol[key]), rel=1e-7, abs=1e-9)


@pytest.mark.parametrize("target_ph", [1.0, 5.0, 9.5, 13.0])
@pytest.mark.parametrize(
    "other", ["sodium cyanide; 20 mmol", "sodium sulfide; 20 mmol", "potassium carbonate; 20 mmol"]
)
def test_one_draw_of_water_brought_to_a_ph_is_the_first_of_many(other: str, target_ph: float) -> None:
    """What is poured in, and what leaves as gas: hydrogen cyanide stays dissolved, hydrogen sulfide and carbon dioxide go."""
    steps = Step("take up", solution="nahco3_sat", volume_ml=15.0), Step("set ph", target_ph=target_ph)
    one, many = (run(ether_flask(other, product="OC(=O)CCc1ccccc1"), *steps, draws=draws) for draws in (1, 3))
    assert one.given_mmol[2] == pytest.approx(many.given_mmol[2], rel=1e-7)
    assert one.gas_ml[2] == pytest.approx(many.gas_ml[2], rel=1e-7, abs=1e-9)
    assert [(v.gas, v.component) for v in one.vented[2]] == [(v.gas, v.component) for v in many.vented[2]]
    for mine, theirs in zip(one.vented[2], many.vented[2], strict=True):
        assert mine.left_ml == pytest.approx(theirs.left_ml, rel=1e-6, abs=1e-9)
        assert mine.above_ppm == pytest.approx(theirs.above_ppm, rel=1e-6)
    if target_ph == 1.0:
        assert one.gas_ml[2] > 300.0 and one.given_mmol[2] < 0.0
        assert (sum(v.left_ml for v in one.vented[2]) > 100.0) is ("sulfide" in other)
    assert (one.gas_ml[2] > 0.0) is (target_ph < 9.0)


def test_the_root_is_bracketed_and_its_limits_are_those_of_water() -> None:
    """Far beyond any charge that water could balance the pH stands at the end of the range."""
    for over, end in ((1e6, shaking.HIGHEST_PH), (-1e6, shaking.LOWEST_PH)):
        assert shaking.root(lambda ph, over=over: (over, -1.0), 7.0) == pytest.approx(end, abs=1e-6)
    # a straight line, a cubic with a flat place, and a step
    assert shaking.root(lambda ph: (3.0 - ph, -1.0), 16.0) == pytest.approx(3.0, abs=1e-9)
    assert shaking.root(lambda ph: ((5.0 - ph) ** 3, -3.0 * (5.0 - ph) ** 2), -2.0) == pytest.approx(5.0, abs=1e-3)
    looks: list[float] = []

    def step(ph: float) -> tuple[float, float]:
        looks.append(ph)
        return (1.0 if ph < 9.25 else -1.0), -1e-9

    assert shaking.root(step, 2.0) == pytest.approx(9.25, abs=1e-9) and len(looks) < 120


@pytest.mark.parametrize(
    ("tried", "change", "last", "following"),
    [
        (1.5, 0.49, (1.0, 0.5), 1.99),  # it hardly shrinks: no line
        (1.5, 0.4, (1.0, 0.5), 3.5),  # by a fifth of what was moved: nothing is left of it two further on
        (1.4, -0.2, (1.0, 0.5), 1.4 - 0.2 / 1.75),
        (1.3, -0.25, (1.0, 0.5), 1.2),  # by two and a half times what was moved
        (1.3, -0.45, (1.0, 0.5), 0.85),  # it overshoots by more than three times what was moved
        (1.0, 0.4, (1.0, 0.5), 1.4),  # nothing was moved
        (0.1, -0.3, (0.4, -0.4), -0.2),  # the line leads below nothing
        (1.5, 0.4, (1.0, -0.4), 1.9),  # it does not shrink
    ],
)
def test_the_line_through_two_tries(tried: float, change: float, last: tuple[float, float], following: float) -> None:
    found, now = shaking.onward(tried, change, last, 100.0)
    assert found == pytest.approx(following) and now == (tried, change)
