"""One contact of two layers against a second, plain solution of the same equilibrium: one draw at a time, by bisection.

The second solution is textbook mass balance and charge balance (as in any analytical chemistry: proton balance with
activity coefficients by Davies), written without arrays, slopes or Newton steps.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from washlore.knowledge import beside, partition, water
from washlore.knowledge.rows import Buffer, Solution, Solvent, table
from washlore.knowledge.structure import molecules
from washlore.rules.contact import LIMIT_KNOWN_TO, Contact, Mixed, equilibrate
from washlore.rules.ledger import whole_flask
from washlore.rules.mixture import build, is_organic
from washlore.rules.phase import Phase, fresh_wash, hand_over, salting_constant
from washlore.rules.species import Sheet, sheet

DRAWS = 3
PRODUCT = "CCOC(=O)c1ccc(C)cc1"


def flask(others: list[str], solvent: str = "dichloromethane", draws: int = DRAWS, product: str = PRODUCT):
    mixture = build(
        product,
        [(name, amount, None) for name, amount in (o.split("; ") for o in others)],
        product_amount="10 mmol",
        solvents=[(solvent, 40.0)],
    )
    numbers = sheet(mixture, draws)
    return numbers, whole_flask(mixture, numbers)


def shaken(others: list[str], solution: str, volume_ml: float, solvent: str = "dichloromethane", **held: Any):
    """Return (numbers, contact, organic and aqueous layer as they were poured together, the same after)."""
    numbers, organic = flask(others, solvent)
    aqueous = fresh_wash(table(Solution)[solution], volume_ml, numbers)
    hand_over(organic, aqueous)
    organic.saturated = aqueous.saturated = True
    before = replace(organic), replace(aqueous, weak_mmol=dict(aqueous.weak_mmol))
    contact = equilibrate(numbers, organic, aqueous, 4, 2, **held)
    return numbers, contact, before, (organic, aqueous)


class Plain:
    """The equilibrium of one draw, solved by bisection."""

    def __init__(self, numbers: Sheet, layers: tuple[Phase, Phase], draw: int) -> None:
        organic, aqueous = layers
        self.numbers, self.draw, self.aqueous = numbers, draw, aqueous
        self.total = [float(v) for v in (organic.mmol + aqueous.mmol)[:, draw]]
        self.strong = float((organic.strong_mmol + aqueous.strong_mmol)[draw])
        self.dry = float(organic.volume_ml), float(aqueous.volume_ml)
        self.salt = float(aqueous.salt_mmol[draw]) / self.dry[1]
        self.strength = np.array([min(self.salt, water.MAX_IONIC_STRENGTH_M)])
        self.log_gamma = float(water.davies_log_gamma(1, self.strength)[0])
        neutral, pair = numbers.log_k(organic.solvents)
        self.log_k = [(float(neutral[i, draw]), float(pair[i, draw])) for i in range(len(self.total))]

    def slope(self, i: int) -> float:
        item = self.numbers.species[i]
        if item.permanent_charge or not is_organic(molecules(item.molecule.smiles)[0]):
            return 0.0
        return max(0.0, 0.95 * partition.molecule_log_k(item.molecule, "1-octanol").value + 0.3)

    def at(self, ph: float, cosolvent: float, bound: list[float], volumes: tuple[float, float]) -> dict[str, Any]:
        """Return the amounts (mmol) of each species at a pH, what leaves as gas, and all charge together."""
        organic_ml, water_ml = volumes
        out: dict[str, Any] = {"organic": [], "water": [], "gone": [], "free": []}
        charge, carried = 0.0, 0.0
        for i, item in enumerate(self.numbers.species):
            salting = 0.0 if item.permanent_charge else salting_constant(item.molecule.smiles)
            shift = salting * self.salt - self.slope(i) * cosolvent
            k_neutral, k_pair = (10.0 ** (log_k + shift) for log_k in self.log_k[i])
            sites = [
                (float(self.numbers.sign[row]), float(self.numbers.pka[row, self.draw]))
                for row in np.flatnonzero(self.numbers.site_of == i)
            ]
            odds = [10.0 ** (sign * (ph - pka) - self.log_gamma) for sign, pka in sites]
            unionised = 1.0
            for value in odds:
                unionised /= 1.0 + value
            into = organic_ml * (k_neutral * unionised + k_pair * unionised * sum(odds))
            if item.permanent_charge:
                into, unionised = organic_ml * k_pair, 1.0
            molar = self.total[i] / (into + water_ml * (1.0 + bound[i] * unionised))
            gas = beside.gases_by_compound().get(item.sites[0].site_class) if item.sites else None
            if gas is not None and gas.henry_m_atm:
                molar = min(molar, gas.henry_m_atm / unionised)
            out["organic"].append(molar * into)
            out["water"].append(molar * water_ml * (1.0 + bound[i] * unionised))
            out["free"].append(molar * unionised)
            out["gone"].append(self.total[i] - out["organic"][-1] - out["water"][-1])
            carried -= sum(
                sign * value * unionised * molar * organic_ml * k_pair
                for (sign, _), value in zip(sites, odds, strict=True)
            )
            carried += item.permanent_charge * out["organic"][-1]
            charge -= sum(sign * molar * water_ml * v / (1.0 + v) for (sign, _), v in zip(sites, odds, strict=True))
            charge += item.permanent_charge * out["water"][-1]
        at = np.array([ph])
        charge += water_ml * float((water.hydrogen_m(at, self.strength) - water.hydroxide_m(at, self.strength))[0])
        out["lost"] = {}
        for key, mmol in self.aqueous.weak_mmol.items():
            if key in beside.holders():
                continue
            row = table(Buffer)[key]
            there = float(mmol[self.draw])
            fractions = water.alpha_fractions(row.pkas, row.acid_charge, at, self.strength)[:, 0]
            if key == "carbonate":
                there = min(there, water.CO2_CAP_M * water_ml / float(fractions[0]))
            out["lost"][key] = float(mmol[self.draw]) - there
            charge += there * sum((row.acid_charge - n) * float(f) for n, f in enumerate(fractions))
        out["charge"], out["carried"] = self.strong + charge + carried, carried
        return out

    def bound(self, free: list[float], water_ml: float) -> list[float]:
        """Return what copper or iodide holds of each species over its free neutral form, from stepwise constants."""
        result = [0.0] * len(free)
        for key in beside.holders():
            if key not in self.aqueous.weak_mmol:
                continue
            held = {
                i: [10.0**b for b in beside.held_by(item.molecule.smiles)[key]]
                for i, item in enumerate(self.numbers.species)
                if key in beside.held_by(item.molecule.smiles)
            }
            whole = 1.0 + sum(b * free[i] ** (n + 1) for i, betas in held.items() for n, b in enumerate(betas))
            for i, betas in held.items():
                ligands = sum((n + 1) * b * free[i] ** n for n, b in enumerate(betas))
                result[i] = float(self.aqueous.weak_mmol[key][self.draw]) / water_ml * ligands / whole
        return result

    def solve(self, held_ph: float | None = None) -> dict[str, Any]:
        count = len(self.total)
        room = [item.molar_volume_ml for item in self.numbers.species]
        in_water, in_organic, bound, out = [0.0] * count, list(self.total), [0.0] * count, {}
        for _ in range(300):
            volumes = (
                self.dry[0] + sum(v * m for v, m in zip(room, in_organic, strict=True)),
                self.dry[1] + sum(v * m for v, m in zip(room, in_water, strict=True)),
            )
            cosolvent = sum(v * m for v, m in zip(room, in_water, strict=True)) / volumes[1]
            low, high = -3.0, 17.0
            for _ in range(100):
                middle = (low + high) / 2
                low, high = (
                    (middle, high) if self.at(middle, cosolvent, bound, volumes)["charge"] > 0 else (low, middle)
                )
            ph = low if held_ph is None else held_ph
            out = self.at(ph, cosolvent, bound, volumes)
            moved = max(abs(a - b) for a, b in zip(out["water"], in_water, strict=True))
            in_water, in_organic = out["water"], out["organic"]
            now = self.bound(out["free"], volumes[1])
            moved = max([moved, *(abs(a - b) / (1 + a) for a, b in zip(now, bound, strict=True))])
            bound = [(a + b) / 2 for a, b in zip(now, bound, strict=True)]
            if moved < 1e-9:
                break
        return {**out, "ph": ph, "volumes": volumes}


# Others in the flask, wash, its volume in mL, solvent of the layer.
CONTACTS = {
    "an acid and bicarbonate": (["OC(=O)c1ccccc1; 5 mmol"], "nahco3_sat", 20.0, "dichloromethane"),
    "more acid than bicarbonate": (["CC(=O)O; 60 mmol"], "nahco3_sat", 20.0, "ethyl acetate"),
    "an amine and acid": (["CCN(CC)CC; 12 mmol"], "hcl_1m", 20.0, "diethyl ether"),
    "more amine than acid": (["CCN(CC)CC; 50 mmol", "c1ccncc1; 5 mmol"], "hcl_1m", 20.0, "toluene"),
    "a diacid, a diamine and citric acid": (["OC(=O)CCC(=O)O; 3 mmol", "NCCN; 4 mmol"], "citric_10", 15.0, "ethyl acetate"),
    "an aminophenol in base": (["Nc1ccc(O)cc1; 3 mmol"], "naoh_1m", 15.0, "ethyl acetate"),
    "a greasy onium salt": (["CCCC[N+](CCCC)(CCCC)CCCC.[Br-]; 4 mmol"], "water", 20.0, "dichloromethane"),
    "DMF and brine": (["CN(C)C=O; 100 mmol", "CC(=O)O; 2 mmol"], "brine", 20.0, "ethyl acetate"),
    "pyridine and copper": (["c1ccncc1; 4 mmol"], "cuso4_sat", 15.0, "dichloromethane"),
    "iodine and iodide": (["II; 1 mmol", "[K+].[I-]; 6 mmol"], "water", 20.0, "dichloromethane"),
    "cyanide and acid": (["[Na+].[C-]#N; 5 mmol"], "hcl_1m", 20.0, "diethyl ether"),
    "sulfide and acid": (["[Na+].[Na+].[S-2]; 10 mmol"], "hcl_1m", 30.0, "diethyl ether"),
    "more sulfide than the water holds": (["[Na+].[Na+].[S-2]; 25 mmol"], "hcl_1m", 60.0, "hexane"),
    "carbonate brought along": (["O=C([O-])[O-].[K+].[K+]; 5 mmol", "Oc1ccccc1; 5 mmol"], "water", 20.0, "diethyl ether"),
}  # fmt: skip


@pytest.mark.parametrize("name", CONTACTS)
def test_a_contact_is_where_mass_and_charge_balance(name: str) -> None:
    others, solution, volume_ml, solvent = CONTACTS[name]
    numbers, contact, before, after = shaken(others, solution, volume_ml, solvent)
    for draw in range(DRAWS):
        plain = Plain(numbers, before, draw).solve()
        assert contact.ph[draw] == pytest.approx(plain["ph"], abs=2e-5)
        scale = 1e-5 * sum(plain["organic"] + plain["water"])
        np.testing.assert_allclose(contact.organic_mmol[:, draw], plain["organic"], rtol=2e-4, atol=scale)
        np.testing.assert_allclose(contact.aqueous_mmol[:, draw], plain["water"], rtol=2e-4, atol=scale)
        np.testing.assert_allclose(contact.escaped_mmol[:, draw], plain["gone"], rtol=2e-4, atol=scale)
        # The pairs of ions in the organic layer hold as much charge as their counter-ions there.
        assert after[0].strong_mmol[draw] == pytest.approx(-plain["carried"], rel=1e-3, abs=1e-7)
        whole = before[0].strong_mmol[draw] + before[1].strong_mmol[draw]
        assert after[0].strong_mmol[draw] + after[1].strong_mmol[draw] == pytest.approx(whole, abs=1e-9)
        for key, lost in plain["lost"].items():
            left = before[1].weak_mmol[key][draw] - lost
            assert after[1].weak_mmol[key][draw] == pytest.approx(left, rel=1e-4, abs=1e-6)
        if draw == 0:
            assert (contact.organic_ml, contact.aqueous_ml) == pytest.approx(plain["volumes"], rel=1e-6)
            carbonate = plain["lost"].get("carbonate", 0.0)
            assert contact.co2_ml == pytest.approx(24.5 * carbonate, rel=2e-3, abs=1e-3)
            assert after[1].ph == contact.ph[0]
    assert (contact.step, contact.portion) == (4, 2)


@pytest.mark.parametrize("ph", [2.0, 7.0, 12.0])
def test_water_held_at_a_ph_gets_the_acid_or_base_that_balances_it(ph: float) -> None:
    others = ["OC(=O)c1ccccc1; 5 mmol", "CCN(CC)CC; 3 mmol"]
    numbers, contact, before, after = shaken(others, "water", 20.0, held_ph=ph)
    for draw in range(DRAWS):
        plain = Plain(numbers, before, draw).solve(ph)
        np.testing.assert_allclose(contact.organic_mmol[:, draw], plain["organic"], rtol=1e-5, atol=1e-7)
        added = sum(p.strong_mmol[draw] for p in after) - sum(p.strong_mmol[draw] for p in before)
        assert added == pytest.approx(-plain["charge"], rel=1e-4, abs=1e-7)
    assert contact.heat_kj == 0.0 and (contact.ph == ph).all()


def _alone(other: str, solution: str, volume_ml: float = 20.0) -> Contact:
    return shaken([other], solution, volume_ml)[1]


def test_densities_and_rise_are_those_of_all_that_a_layer_holds() -> None:
    numbers, contact, before, after = shaken(["CCN(CC)CC; 10 mmol"], "hcl_1m", 20.0)
    for phase, first, ml, density in (
        (after[0], before[0], contact.organic_ml, contact.organic_density),
        (after[1], before[1], contact.aqueous_ml, contact.aqueous_density),
    ):
        dissolved = sum(s.molecule.molar_mass * phase.mmol[i, 0] for i, s in enumerate(numbers.species)) / 1000
        assert density == pytest.approx((first.mass_g + dissolved) / (ml + dissolved / 1.2), rel=1e-9)
    grams = contact.organic_density * (contact.organic_ml + 1.642 / 1.2) + 20 * table(Solution)["hcl_1m"].density_g_ml
    # 3 J/g/K for a wet mixture of water and organic solvent
    assert contact.rise_c == pytest.approx(1000 * contact.heat_kj / (3.0 * grams), rel=0.03)


def test_heat_is_of_what_ionises_and_of_nothing_that_was_ionised_before() -> None:
    """Enthalpies of ionisation at 25 C (``goldberg2002``): triethylammonium 43, acetic acid -0.4, water 55.8 kJ/mol."""
    numbers, organic = flask(["CCN(CC)CC; 10 mmol"], draws=1)
    aqueous = fresh_wash(table(Solution)["hcl_1m"], 20.0, numbers)
    first = equilibrate(numbers, organic, aqueous)
    assert first.heat_kj == pytest.approx(0.432, rel=0.02)
    # The same water shaken again is no fresh wash: nothing more is counted.
    assert equilibrate(numbers, organic, aqueous).heat_kj == 0.0
    acid = _alone("CC(=O)O; 10 mmol", "naoh_1m").heat_kj
    assert acid == pytest.approx(0.558 + 0.004, rel=0.03)
    excess = _alone("CC(=O)O; 10 mmol", "naoh_1m", 40.0).heat_kj
    assert excess == pytest.approx(acid, rel=0.01)
    # Carbonate takes the proton up as hydrogen carbonate: 14.7 kJ/mol, and 0.4 of the acid.
    assert _alone("CC(=O)O; 5 mmol", "na2co3_10").heat_kj == pytest.approx(0.005 * (14.7 + 0.4), rel=0.15)
    assert _alone("CCCCCCCC; 10 mmol", "hcl_1m").heat_kj == pytest.approx(0.0, abs=1e-3)


def test_miscible_solvent_is_told_by_its_share_and_its_limit() -> None:
    contact = _alone("CC(C)=O; 200 mmol", "water")
    assert contact.mixed is not None and contact.mixed.component == "c1"
    # 200 mmol of acetone are 14.8 mL beside 40 and 20 mL
    assert contact.mixed.share == pytest.approx(14.8 / 74.8, rel=0.02)
    assert contact.mixed.most == pytest.approx(beside.most_cosolvent("dichloromethane", "acetone", 0.0))
    toluene = shaken(["CC(C)=O; 200 mmol"], "water", 20.0, "toluene")[1].mixed
    assert toluene is not None and toluene.most == pytest.approx(beside.most_cosolvent("toluene", "acetone", 0.0))
    assert not contact.mixed.one_layer
    assert _alone("CCCCCCCC; 10 mmol", "water").mixed is None
    at_limit = Mixed("c1", 0.5 + LIMIT_KNOWN_TO, 0.5)
    assert not at_limit.one_layer and replace(at_limit, share=0.51 + LIMIT_KNOWN_TO).one_layer
    assert not replace(at_limit, most=None, share=0.99).one_layer


def test_the_air_over_acidified_cyanide_and_sulfide() -> None:
    """Henry's law by hand: 1e6 ppm at the solubility under 1 atm; 24.5 mL a mmol for what leaves."""
    for other, gas in (("[Na+].[C-]#N; 5 mmol", "HCN"), ("[Na+].[Na+].[S-2]; 10 mmol", "H2S")):
        numbers, contact, _, after = shaken([other], "hcl_1m", 40.0)
        (vapour,) = contact.vapours
        row = next(g for g in beside.gases_by_compound().values() if g.id == vapour.gas)
        i = next(i for i, s in enumerate(numbers.species) if s.component == "c1" and s.sites)
        held = after[1].mmol[i, 0]
        assert (vapour.component, vapour.gas) == ("c1", gas)
        assert vapour.dissolved_mmol == pytest.approx(held, rel=1e-9)
        # In acid all of it is the free gas.
        assert vapour.above_ppm == pytest.approx(1e6 * held / contact.aqueous_ml / row.henry_m_atm, rel=1e-3)
        assert vapour.left_ml == pytest.approx(24.5 * contact.escaped_mmol[i, 0], rel=2e-3, abs=1e-6)
    numbers, contact, _, _ = shaken(["[Na+].[Na+].[S-2]; 25 mmol"], "hcl_1m", 60.0, "hexane")
    assert contact.vapours[0].above_ppm == pytest.approx(1e6, rel=1e-3) and contact.vapours[0].left_ml > 50
    (ammonia,) = _alone("[NH4+].[Cl-]; 20 mmol", "naoh_1m", 30.0).vapours
    assert 0 < ammonia.above_ppm < 5e4


def test_a_tiny_layer_is_reckoned_as_half_a_millilitre() -> None:
    numbers, organic = flask(["CC(=O)O; 1 mmol"], draws=1)
    aqueous = fresh_wash(table(Solution)["water"], 0.01, numbers)
    organic.saturated = aqueous.saturated = True
    contact = equilibrate(numbers, organic, aqueous)
    assert contact.aqueous_ml == 0.5 and np.isfinite(contact.ph).all()
    assert table(Solvent)["dichloromethane"].log_k_key == organic.solvents[0][0]
