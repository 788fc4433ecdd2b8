"""Each step of the ledger by itself: what it moves, what it sets aside, and what it leaves alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from washlore.knowledge.arrays import at_best
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules.contact import equilibrate
from washlore.rules.ledger import (
    FILTER_PASSES,
    Ledger,
    Step,
    band,
    contacts_needed,
    copy_phase,
    median,
    run_ledger,
    saturate_with_salt,
    whole_flask,
)
from washlore.rules.mixture import Mixture, build
from washlore.rules.phase import LedgerError, fresh_solvent, fresh_wash, pool
from washlore.rules.species import STRIPPED_LEFT, sheet

ETHER = table(Solvent)["diethyl_ether"]


def flask(*others: str, product: str = "OCCc1ccccc1", solvents: tuple = (("diethyl ether", 40.0),)) -> Mixture:
    pairs = [(name, amount, None) for name, amount in (o.split("; ") for o in others)]
    return build(product, pairs, product_amount="10 mmol", solvents=list(solvents))


def run(mixture: Mixture, *steps: Step, draws: int = 1, **more: object) -> Ledger:
    return run_ledger(mixture, steps, draws=draws, **more)  # type: ignore[arg-type]


def test_the_flask_before_anything_is_done() -> None:
    mixture = flask(
        "[K+].[K+].O=C([O-])[O-]; 5 mmol", solvents=(("diethyl ether", 30.0), ("toluene", 10.0), ("THF", 20.0))
    )
    numbers = sheet(mixture, 2)
    phase = whole_flask(mixture, numbers)
    rows = ETHER, table(Solvent)["toluene"]
    assert phase.volume_ml == 40.0 and phase.mass_g == pytest.approx(
        30 * rows[0].density_g_ml + 10 * rows[1].density_g_ml
    )
    assert phase.solvents == ((rows[0].log_k_key, 0.75), (rows[1].log_k_key, 0.25))
    assert phase.strong_mmol.tolist() == [10.0, 10.0] and phase.weak_mmol["carbonate"].tolist() == [5.0, 5.0]
    np.testing.assert_array_equal(phase.mmol, np.repeat(numbers.mmol[:, None], 2, axis=1))
    dry = whole_flask(flask(solvents=(("THF", 20.0),)), sheet(flask(), 1))
    assert dry.volume_ml == 0.0 and dry.solvents == ()


def test_a_wash_is_so_many_contacts_with_fresh_solution() -> None:
    mixture = flask("OC(=O)c1ccccc1; 5 mmol", "[K+].[K+].O=C([O-])[O-]; 2 mmol")
    book = run(mixture, Step("wash", solution="water", volume_ml=15.0, repeats=3))
    numbers = book.sheet
    organic, ph = whole_flask(mixture, numbers), []
    for portion in range(3):
        aqueous = fresh_wash(table(Solution)["water"], 15.0, numbers)
        if portion == 0:  # the first water takes the carbonate of the flask
            aqueous.weak_mmol = {"carbonate": np.array([2.0])}
            organic.weak_mmol = {}
        ph.append(equilibrate(numbers, organic, aqueous).ph[0])
    assert [c.ph[0] for c in book.contacts] == ph and [(c.step, c.portion) for c in book.contacts] == [
        (1, 1),
        (1, 2),
        (1, 3),
    ]
    np.testing.assert_array_equal(book.organic.mmol, organic.mmol)
    assert [(n, kind) for n, kind, _ in book.set_aside] == [(1, "aqueous")] * 3
    np.testing.assert_array_equal(book.after[0], organic.mmol)


def test_steps_are_numbered_from_where_they_begin() -> None:
    mixture = flask()
    book = run(mixture, Step("wash", solution="water", volume_ml=15.0), Step("dry"), first=4)
    assert book.contacts[0].step == 4 and book.set_aside[0][0] == 4 and len(book.after) == 2
    with pytest.raises(LedgerError, match=r"step 5: 'ponder' is not an action"):
        run(mixture, Step("dry"), Step("ponder"), first=4)


def test_a_layer_can_be_gone_on_with_and_is_left_as_it_was() -> None:
    mixture = flask("[Na+].[OH-]; 5 mmol")
    first = run(mixture, Step("wash", solution="water", volume_ml=15.0))
    held = first.organic.mmol.copy()
    on = run(mixture, Step("wash", solution="water", volume_ml=15.0), numbers=first.sheet, start=(first.organic, None))
    np.testing.assert_array_equal(first.organic.mmol, held)
    both = run(mixture, Step("wash", solution="water", volume_ml=15.0, repeats=2))
    np.testing.assert_allclose(on.organic.mmol, both.organic.mmol, rtol=1e-6)
    assert on.met_water and on.aqueous is None
    # What is taken out then takes no ions along: they are in the waste.
    quenched = run(mixture, Step("quench", removes=("c1",)), numbers=first.sheet, start=(first.organic, None))
    np.testing.assert_allclose(quenched.organic.strong_mmol, first.organic.strong_mmol)


def test_a_copy_of_a_layer_is_its_own() -> None:
    layer = whole_flask(flask("[K+].[K+].O=C([O-])[O-]; 2 mmol"), sheet(flask("[K+].[K+].O=C([O-])[O-]; 2 mmol"), 1))
    other = copy_phase(layer)
    other.mmol[0], other.weak_mmol["carbonate"][0] = -1.0, -1.0
    assert layer.mmol[0, 0] == 10.0 and layer.weak_mmol["carbonate"][0] == 2.0


def test_quench_and_filter_before_water() -> None:
    mixture = flask("[Na+].[OH-]; 5 mmol", "CCCCCC; 4 mmol", "Cl; 1 mmol")
    quenched = run(mixture, Step("quench", removes=("c1", "c2")))
    assert quenched.left("c2")[0] == 0.0 and quenched.left("product")[0] == 1.0
    assert at_best(quenched.organic.strong_mmol) == -1.0
    filtered = run(mixture, Step("filter", removes=("c2",)))
    assert filtered.left("c2")[0] == FILTER_PASSES == 0.005 and at_best(filtered.organic.strong_mmol) == 4.0
    washed = run(mixture, Step("wash", solution="water", volume_ml=20.0), Step("quench", removes=("c1",)))
    assert at_best(washed.organic.strong_mmol) == pytest.approx(0.0, abs=1e-6)
    nothing = run(mixture, Step("quench"))
    assert nothing.left("c2")[0] == 1.0 and at_best(nothing.organic.strong_mmol) == 4.0


def test_evaporating_takes_the_solvent_and_what_is_named() -> None:
    mixture = flask("CCCCCC; 4 mmol", "CCN(CC)CC; 4 mmol", "Cl; 2 mmol")
    book = run(mixture, Step("evaporate", removes=("c1", "c2")))
    assert book.left("c1")[0] == STRIPPED_LEFT and book.left("c2")[0] == 0.5 and book.left("product")[0] == 1.0
    assert (book.organic.volume_ml, book.organic.solvents, book.organic.mass_g) == (0.0, (), 0.0)
    with pytest.raises(LedgerError, match="no solvent that forms a layer"):
        run(mixture, Step("evaporate"), Step("wash", solution="water", volume_ml=20.0))
    diluted = run(mixture, Step("evaporate"), Step("dilute", solvent="toluene", volume_ml=25.0))
    assert diluted.organic.volume_ml == 25.0 and diluted.organic.solvents[0][1] == 1.0


def test_into_the_water_and_back() -> None:
    mixture = flask("CCCCCCCCCC; 5 mmol", product="OC(=O)CCc1ccccc1")
    up = Step("take up", solution="naoh_1m", volume_ml=20.0, repeats=2)
    rinse = Step("rinse water", solvent="diethyl_ether", volume_ml=10.0, repeats=2)
    acid = Step("set ph", target_ph=2.0)
    book = run(mixture, up)
    assert book.organic is None and book.aqueous is not None and book.left("product")[0] > 0.98
    assert at_best(book.aqueous.volume_ml) == pytest.approx(40.0, rel=0.1) and book.left("c1")[0] < 0.01
    assert [(n, kind) for n, kind, _ in book.set_aside] == [(1, "organic")]
    rinsed = run(mixture, up, rinse)
    assert [(n, kind) for n, kind, _ in rinsed.set_aside] == [(1, "organic"), (2, "organic"), (2, "organic")]
    assert [(c.step, c.portion) for c in rinsed.contacts] == [(1, 1), (1, 2), (2, 1), (2, 2)]
    back = run(mixture, up, rinse, acid, Step("extract", solvent="diethyl_ether", volume_ml=15.0, repeats=3))
    assert back.left("product")[0] > 0.95 and back.aqueous is None
    assert at_best(back.organic.volume_ml) == pytest.approx(45.0, rel=0.15)
    assert [(n, kind) for n, kind, _ in back.set_aside][-1] == (4, "aqueous")
    for steps, said in (
        ((Step("set ph", target_ph=2.0),), "no kept water layer"),
        ((Step("extract", solvent="diethyl_ether", volume_ml=15.0),), "no kept water layer"),
        ((up, Step("set ph")), "no pH is given"),
        ((up, Step("wash", solution="water", volume_ml=15.0)), "the product is in the water layer; extract it first"),
        (
            (up, Step("dilute", solvent="toluene", volume_ml=15.0)),
            "the product is in the water layer; extract it first",
        ),
        ((up, Step("evaporate")), "the product is in the water layer"),
        ((Step("neutralise", volume_ml=15.0),), "no pH is given"),
        ((Step("extract again", solvent="toluene", volume_ml=15.0),), "set no water layer aside"),
    ):
        with pytest.raises(LedgerError, match=said):
            run(mixture, *steps)


def test_water_brought_to_a_ph_holds_what_was_poured_in() -> None:
    """40 mmol of base, and 10 of the acid's salt, take 40 mmol and more of 6 M acid, 6.7 mL of 1.095 g/mL."""
    mixture = flask(product="OC(=O)CCc1ccccc1")
    up = Step("take up", solution="naoh_1m", volume_ml=40.0)
    before, after = run(mixture, up).aqueous, run(mixture, up, Step("set ph", target_ph=2.0)).aqueous
    poured = at_best(after.volume_ml) - at_best(before.volume_ml)
    assert poured == pytest.approx((40.0 + 0.01 * 47 / 0.8) / 6.0, rel=0.02)
    assert at_best(after.mass_g) - at_best(before.mass_g) == pytest.approx(1.095 * poured)
    assert at_best(after.salt_mmol) - at_best(before.salt_mmol) == pytest.approx(6.0 * poured, rel=1e-6)
    assert at_best(before.strong_mmol) - at_best(after.strong_mmol) == pytest.approx(6.0 * poured, rel=1e-6)
    assert after.ph == 2.0
    amine = flask(product="NCCCCCCCC")
    up = Step("take up", solution="hcl_1m", volume_ml=40.0)
    before, after = run(amine, up).aqueous, run(amine, up, Step("set ph", target_ph=12.0)).aqueous
    poured = at_best(after.volume_ml) - at_best(before.volume_ml)
    assert at_best(after.mass_g) - at_best(before.mass_g) == pytest.approx(1.207 * poured) and poured > 6.6


def test_acid_on_bicarbonate_sets_its_carbon_dioxide_free() -> None:
    """40 mL of saturated bicarbonate hold some 44 mmol: about a litre of gas, less what the water keeps."""
    mixture = flask(product="OC(=O)CCc1ccccc1")
    up = Step("take up", solution="nahco3_sat", volume_ml=40.0)
    book = run(mixture, up, Step("set ph", target_ph=2.0), draws=3)
    held = table(Solution)["nahco3_sat"].weak_m * 40.0
    given = book.contacts[0].co2_ml / 24.5
    left = at_best(book.aqueous.weak_mmol["carbonate"])
    assert book.gas_ml[2] == pytest.approx(24.5 * (held - given - left), rel=0.01) and book.gas_ml[2] > 700
    assert left == pytest.approx(0.033 * 40, rel=0.25)
    plain = run(mixture, Step("take up", solution="naoh_1m", volume_ml=40.0), Step("set ph", target_ph=2.0))
    assert plain.gas_ml == {} and plain.vented == {2: ()}


def test_cyanide_in_the_water_is_seen_when_acid_comes() -> None:
    mixture = flask("[Na+].[C-]#N; 5 mmol", product="OC(=O)CCc1ccccc1")
    up = Step("take up", solution="naoh_1m", volume_ml=40.0)
    (gas,) = run(mixture, up, Step("set ph", target_ph=2.0)).vented[2]
    assert gas.gas == "HCN" and gas.component == "c1" and gas.dissolved_mmol == pytest.approx(5.0, rel=0.01)
    # 5 mmol in 47 mL, and 1 atm stands over 8 to 13 M
    assert 5e3 < gas.above_ppm < 2e4
    (held,) = run(mixture, up, Step("set ph", target_ph=11.5)).vented[2]
    assert held.above_ppm < 0.02 * gas.above_ppm


def test_a_flask_neutralised_is_extracted_with_half_its_layer_again() -> None:
    mixture = flask("[Na+].[OH-]; 12 mmol", product="OC(=O)CCc1ccccc1")
    one = run(mixture, Step("neutralise", solvent="diethyl_ether", volume_ml=30.0, target_ph=3.0))
    two = run(mixture, Step("neutralise", solvent="diethyl_ether", volume_ml=30.0, target_ph=3.0, repeats=2))
    assert at_best(two.organic.volume_ml) == pytest.approx(1.5 * at_best(one.organic.volume_ml), rel=0.05)
    assert (one.contacts[0].ph == 3.0).all() and [(c.step, c.portion) for c in two.contacts] == [(1, 1), (1, 2)]
    assert two.left("product")[0] > one.left("product")[0] > 0.9
    assert [(n, kind) for n, kind, _ in two.set_aside] == [(1, "aqueous")]
    # The ions of the flask make that water salty.
    assert at_best(one.set_aside[0][2].salt_mmol) == pytest.approx(12.0)
    less = run(mixture, Step("part", solvent="diethyl_ether", volume_ml=30.0, repeats=2, again_ml=5.0))
    assert less.contacts[1].organic_ml == pytest.approx(5.0, rel=0.1)
    part = run(mixture, Step("part", volume_ml=30.0))
    assert part.contacts[0].ph[0] > 9 and part.left("product")[0] < 0.1
    acid = run(mixture, Step("part", solution="hcl_1m", volume_ml=30.0))
    assert acid.contacts[0].ph[0] < 2 and acid.left("product")[0] > 0.95


def test_water_is_extracted_again_with_salt() -> None:
    mixture = flask(product="CCCCO")
    wash = Step("wash", solution="water", volume_ml=20.0, repeats=2)
    again = Step("extract again", solvent="diethyl_ether", volume_ml=15.0, repeats=2)
    before, after = run(mixture, wash), run(mixture, wash, again)
    waters = [copy_phase(layer) for _, _, layer in before.set_aside]
    water = pool(*waters)
    salt_m = table(Solution)["brine"].salt_m
    water.salt_mmol = salt_m * np.asarray(water.volume_ml)
    extracts = [fresh_solvent(ETHER, 15.0, before.sheet) for _ in range(2)]
    for layer in extracts:
        equilibrate(before.sheet, layer, water)
    came = extracts[0].mmol + extracts[1].mmol
    np.testing.assert_allclose(after.organic.mmol, before.organic.mmol + came, rtol=1e-9)
    assert [(n, kind) for n, kind, _ in after.set_aside][-2:] == [(2, "organic"), (2, "aqueous")]
    np.testing.assert_allclose(after.set_aside[-2][2].mmol, came)
    assert [(c.step, c.portion) for c in after.contacts][-2:] == [(2, 1), (2, 2)]
    assert after.left("product")[0] > before.left("product")[0] + 0.05


def test_salt_to_saturation_and_no_less_than_there_was() -> None:
    numbers = sheet(flask(), 1)
    brine, water, salty = (fresh_wash(table(Solution)[s], 20.0, numbers) for s in ("brine", "water", "water"))
    salty.salt_mmol = np.array([900.0])
    for layer in (brine, water, salty):
        saturate_with_salt(layer)
    assert at_best(water.salt_mmol) == at_best(brine.salt_mmol) == pytest.approx(20 * table(Solution)["brine"].salt_m)
    assert at_best(salty.salt_mmol) == 900.0


def test_what_binds_a_leftover_misses_some() -> None:
    """The row says what is usually left and what at most; the draws lie log-normally between, the first in the middle."""
    row = next(r for r in table(Solution).values() if r.bound_left_pct and r.bound_left_high_pct)
    mixture = flask("CCCCCC; 5 mmol")
    step = Step("wash", solution=row.id, volume_ml=20.0, repeats=2, removes=("c1",))
    book = run(mixture, step, draws=4001)
    left = book.left("c1")
    assert left[0] == pytest.approx(row.bound_left_pct / 100)
    assert np.quantile(left, 0.95) == pytest.approx(min(1.0, row.bound_left_high_pct / 100), rel=0.12)
    assert np.median(left) == pytest.approx(row.bound_left_pct / 100, rel=0.1) and left.max() <= 1.0
    np.testing.assert_array_equal(left, run(mixture, step, draws=4001).left("c1"))
    np.testing.assert_allclose(book.after[0][1], book.left("c1") * 5.0)
    # Where the product goes into the water it stays behind.
    taken = run(
        flask("CCCCCC; 5 mmol", product="OC(=O)CCc1ccccc1"), step, Step("take up", solution="naoh_1m", volume_ml=40.0)
    )
    assert taken.left("c1")[0] == 0.0
    plain = run(mixture, replace(step, solution="nahco3_sat"))
    assert plain.left("c1")[0] == 0.0 and plain.unbound == {}


def test_miscible_solvent_in_a_water_layer_is_noted_from_a_twentieth() -> None:
    def noted(ml: float) -> list:
        mixture = flask(f"DMF; {ml} mL", solvents=(("diethyl ether", 40.0),))
        return run(mixture, Step("wash", solution="water", volume_ml=100.0)).cosolvent

    assert noted(4.0) == [] and [(n, c) for n, c, _ in noted(8.0)] == [(1, "c1")]
    # nearly all of 20 mL in 100 mL of water that also takes up ether
    assert noted(20.0)[0][2] == pytest.approx(0.15, abs=0.02)


def test_portions_are_counted_to_the_target() -> None:
    mixture = flask("OC(=O)c1ccccc1; 5 mmol", "Oc1ccccc1; 5 mmol")
    wash = Step("wash", solution="nahco3_sat", volume_ml=15.0)
    shares = [c.organic_mmol[1, 0] / 5.0 for c in run(mixture, replace(wash, repeats=3)).contacts]
    assert contacts_needed(mixture, [wash], "c1", target=shares[0] * 1.0001) == 1
    assert contacts_needed(mixture, [wash], "c1", target=shares[0] * 0.9999) == 2
    assert contacts_needed(mixture, [wash], "c1", target=shares[1] * 1.0001) == 2
    assert contacts_needed(mixture, [wash], "c2") is None
    assert contacts_needed(mixture, [wash], "c1", target=shares[2] * 1.0001, most=2) is None
    # Of a plan only its last wash counts.
    two = [Step("wash", solution="water", volume_ml=15.0), wash]
    assert contacts_needed(mixture, two, "c1", target=0.05) in (1, 2)
    for steps in ([], [Step("dry")], [wash, Step("dry")]):
        with pytest.raises(LedgerError, match="the last step must be one"):
            contacts_needed(mixture, steps, "c1")


def test_shares_of_components_of_several_parts_and_of_none() -> None:
    book = run(flask("ethylamine; 5 mmol", "acetic acid; 5 mmol"), Step("dry"))
    own = tuple(replace(s, component="c1") if s.component == "c2" else s for s in book.sheet.species)
    book = replace(book, sheet=replace(book.sheet, species=own))
    rows = [i for i, s in enumerate(book.sheet.species) if s.component == "c1"]
    half = book.organic.mmol.copy()
    half[rows[0]] = 0.0
    assert book.fraction("c1", half)[0] == 0.5 and book.fraction("nobody", half).tolist() == [0.0]
    assert book.with_unbound(half) is half


def test_bands_and_medians_are_those_of_numpy() -> None:
    values = np.random.default_rng(3).normal(size=258)
    expected = np.quantile(values[1:], [0.05, 0.5, 0.95])
    np.testing.assert_allclose(band(values), expected, rtol=1e-12)
    assert band(np.array([3.0])) == (3.0, 3.0, 3.0) and band(np.array([9.0, 1.0])) == (1.0, 1.0, 1.0)
    for size in (1, 2, 5, 8):
        rows = values[: 2 * size].reshape(2, size)
        np.testing.assert_allclose(median(rows), np.median(rows, axis=-1))
