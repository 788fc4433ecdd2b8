"""Layers poured, pooled and saturated, by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from washlore.knowledge import water
from washlore.knowledge.arrays import at_best
from washlore.knowledge.beside import dissolved_m
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules import phase
from washlore.rules.mixture import build
from washlore.rules.phase import (
    LedgerError,
    Phase,
    fresh_solvent,
    fresh_wash,
    hand_over,
    merge,
    pool,
    salting_constant,
    saturate,
    solute_mass_g,
    swollen_ml,
)
from washlore.rules.species import sheet

NUMBERS = sheet(
    build("CCOC(=O)c1ccc(C)cc1", [("CN(C)C=O", "20 mmol", None)], product_amount="10 mmol", solvents=[("ether", 40.0)]),
    2,
)


def test_a_fresh_wash_holds_what_its_row_says() -> None:
    for key in ("hcl_1m", "nahco3_sat", "naoh_1m", "brine", "citric_10"):
        row = table(Solution)[key]
        phase = fresh_wash(row, 20.0, NUMBERS)
        assert phase.volume_ml == 20.0 and phase.solvents == () and not phase.saturated
        assert phase.mass_g == pytest.approx(20.0 * row.density_g_ml)
        assert phase.ph == water.ph_of(row)
        np.testing.assert_allclose(phase.strong_mmol, np.full(2, 20.0 * row.strong_charge_m))
        np.testing.assert_allclose(phase.salt_mmol, np.full(2, 20.0 * row.salt_m))
        assert {k: v.tolist() for k, v in phase.weak_mmol.items()} == {
            k: [20.0 * m] * 2 for k, m in dissolved_m(key).items()
        }
        assert phase.mmol.shape == (2, 2) and not phase.mmol.any()


def test_a_fresh_solvent_is_empty_and_one_that_mixes_with_water_is_refused() -> None:
    ether = fresh_solvent(table(Solvent)["diethyl_ether"], 30.0, NUMBERS)
    assert (ether.volume_ml, ether.mass_g) == (30.0, pytest.approx(30.0 * table(Solvent)["diethyl_ether"].density_g_ml))
    assert ether.solvents == ((table(Solvent)["diethyl_ether"].log_k_key, 1.0),) and ether.weak_mmol == {}
    assert not (ether.mmol.any() or ether.strong_mmol.any() or ether.salt_mmol.any()) and ether.mmol.shape == (2, 2)
    with pytest.raises(LedgerError, match="forms no layer"):
        fresh_solvent(table(Solvent)["acetone"], 30.0, NUMBERS)


def _phase(amount: float, volume_ml: float, solvents: tuple = (), **more: object) -> Phase:
    return Phase(
        np.full((2, 2), amount), volume_ml, solvents, np.full(2, 2 * amount), {}, np.full(2, 3 * amount), volume_ml * 0.8,
        **more,
    )  # fmt: skip


def test_two_layers_poured_together_add_up() -> None:
    one = _phase(1.0, 30.0, (("hexane", 0.5), ("toluene", 0.5)), ph=3.0, saturated=True)
    two = _phase(4.0, 10.0, (("toluene", 1.0),), ph=9.0, saturated=True)
    one.weak_mmol, two.weak_mmol = (
        {"carbonate": np.full(2, 6.0)},
        {"carbonate": np.full(2, 1.0), "borate": np.full(2, 2.0)},
    )
    both = pool(one, two)
    assert (both.volume_ml, both.mass_g, both.ph) == (40.0, 32.0, 9.0)
    assert both.mmol.tolist() == [[5.0, 5.0]] * 2
    assert both.strong_mmol.tolist() == [10.0, 10.0] and both.salt_mmol.tolist() == [15.0, 15.0]
    assert {k: v.tolist() for k, v in both.weak_mmol.items()} == {"carbonate": [7.0, 7.0], "borate": [2.0, 2.0]}
    # 15 mL of hexane and 25 of toluene, the larger first
    assert both.solvents == (("toluene", 0.625), ("hexane", 0.375))
    assert both.saturated and not pool(one, replace(two, saturated=False)).saturated
    assert not pool(replace(one, saturated=False), two).saturated


def test_solvents_are_merged_the_largest_first() -> None:
    assert merge([("a", 0.2), ("b", 0.5), ("a", 0.1)]) == (("b", 0.5), ("a", pytest.approx(0.3)))
    assert merge([]) == ()


def test_weak_systems_of_the_flask_go_into_its_first_water() -> None:
    organic, aqueous = _phase(1.0, 30.0), _phase(0.0, 10.0)
    organic.weak_mmol, aqueous.weak_mmol = (
        {"carbonate": np.full(2, 6.0), "borate": np.full(2, 1.0)},
        {"carbonate": np.full(2, 2.0)},
    )
    hand_over(organic, aqueous)
    assert {k: v.tolist() for k, v in aqueous.weak_mmol.items()} == {"carbonate": [8.0, 8.0], "borate": [1.0, 1.0]}
    assert organic.weak_mmol == {}


def test_layers_take_up_each_other_once() -> None:
    """Water with x wt % of ether holds x / (100 - x) g per g; the ether layer gains its water; mass is kept."""
    row = table(Solvent)["diethyl_ether"]
    organic = fresh_solvent(row, 40.0, NUMBERS)
    aqueous = fresh_wash(table(Solution)["water"], 20.0, NUMBERS)
    mass = organic.mass_g + aqueous.mass_g
    saturate(organic, aqueous)
    lost_ml = row.in_water_wt_pct / (100 - row.in_water_wt_pct) * 20.0 / row.density_g_ml
    gained_g = row.water_held_wt_pct / (100 - row.water_held_wt_pct) * (40.0 - lost_ml) * row.density_g_ml
    np.testing.assert_allclose(aqueous.volume_ml, 20.0 + lost_ml - gained_g)
    np.testing.assert_allclose(organic.volume_ml, 40.0 - lost_ml + gained_g)
    np.testing.assert_allclose(organic.mass_g, (40.0 - lost_ml) * row.density_g_ml + gained_g)
    np.testing.assert_allclose(organic.mass_g + aqueous.mass_g, mass)
    assert organic.saturated and aqueous.saturated
    volumes = at_best(organic.volume_ml), at_best(aqueous.volume_ml)
    saturate(organic, aqueous)
    assert (at_best(organic.volume_ml), at_best(aqueous.volume_ml)) == volumes
    # Salt holds ether back (Setschenow), and a layer of nothing takes up nothing.
    salty = fresh_wash(table(Solution)["brine"], 20.0, NUMBERS)
    held = fresh_solvent(row, 40.0, NUMBERS)
    saturate(held, salty)
    salt_m = table(Solution)["brine"].salt_m
    kept_back = 10.0 ** (-salting_constant(row.smiles) * salt_m)
    lost = lost_ml * kept_back
    gained = row.water_held_wt_pct / (100 - row.water_held_wt_pct) * (40.0 - lost) * row.density_g_ml
    np.testing.assert_allclose(salty.volume_ml, 20.0 + lost - gained)
    bare, wash = _phase(1.0, 0.0), fresh_wash(table(Solution)["water"], 20.0, NUMBERS)
    saturate(bare, wash)
    assert wash.volume_ml == 20.0 and not wash.saturated and not bare.saturated


def test_of_a_mixed_layer_each_solvent_takes_its_share_and_no_layer_is_emptied() -> None:
    rows = table(Solvent)["diethyl_ether"], table(Solvent)["toluene"]
    organic = pool(fresh_solvent(rows[0], 20.0, NUMBERS), fresh_solvent(rows[1], 20.0, NUMBERS))
    aqueous = fresh_wash(table(Solution)["water"], 20.0, NUMBERS)
    mass = organic.mass_g
    saturate(organic, aqueous)
    lost = [r.in_water_wt_pct / (100 - r.in_water_wt_pct) * 20.0 / r.density_g_ml * 0.5 for r in rows]
    # The second takes its share of water that has grown by the first.
    lost[1] *= (20.0 + lost[0]) / 20.0
    left_g = mass - sum(m * r.density_g_ml for m, r in zip(lost, rows, strict=True))
    gain = left_g
    for row in rows:
        gain += row.water_held_wt_pct / (100 - row.water_held_wt_pct) * gain * 0.5
    np.testing.assert_allclose(organic.mass_g, gain, rtol=1e-6)
    small, much = fresh_solvent(rows[0], 1.0, NUMBERS), fresh_wash(table(Solution)["water"], 500.0, NUMBERS)
    saturate(small, much)
    assert 0.5 <= at_best(small.volume_ml) < 0.52
    large, drop = (
        fresh_solvent(table(Solvent)["1-butanol"], 100.0, NUMBERS),
        fresh_wash(table(Solution)["water"], 1.0, NUMBERS),
    )
    saturate(large, drop)
    assert at_best(drop.volume_ml) == pytest.approx((1.0 + (at_best(drop.volume_ml) - 0.7 * 1.0) / 0.7) * 0.7, rel=1e-9)
    assert at_best(drop.volume_ml) > 0.6


def test_solutes_swell_a_layer_but_solvents_count_by_themselves() -> None:
    phase = _phase(10.0, 40.0)
    masses = [s.molecule.molar_mass for s in NUMBERS.species]
    grams = solute_mass_g(NUMBERS, phase)
    assert grams == pytest.approx(10.0 * sum(masses) / 1000)
    assert NUMBERS.species[1].solvent is not None and NUMBERS.species[0].solvent is None
    assert swollen_ml(40.0, grams, NUMBERS, phase) == pytest.approx(40.0 + 10.0 * masses[0] / 1000 / 1.2)
    assert swollen_ml(40.0, 0.0, NUMBERS, phase) == 40.0


def test_the_best_estimate_is_the_first_draw() -> None:
    assert at_best(np.array([3.0, 1.0])) == 3.0 and at_best(2.0) == 2.0
    assert salting_constant("[Na+]") == 0.0 and 0.1 < salting_constant("CCCCO") < 0.4


def test_a_solid_adds_to_a_solution_and_takes_no_room() -> None:
    plain, more = phase.bottle("nahco3_sat"), phase.bottle("nahco3_sat+nahco3_sat!")
    assert more.strong_charge_m == pytest.approx(2 * plain.strong_charge_m) and more.salt_m == pytest.approx(
        2 * plain.salt_m
    )
    assert more.density_g_ml == plain.density_g_ml and phase.first_of(more.id) == "nahco3_sat"
    one, two = (phase.dissolved_mmol_ml(x)["carbonate"] for x in ("nahco3_sat", "nahco3_sat+nahco3_sat!"))
    assert two == pytest.approx(2 * one)
    assert phase.dissolved_mmol_ml("nahco3_sat+water+nahco3_sat!")["carbonate"] == pytest.approx(one)
