"""Single-phase pH chemistry against published standards and hand calculation."""

from __future__ import annotations

import math

import numpy as np
import pytest

from washlore.knowledge import acidity, heats, water
from washlore.knowledge.rows import Buffer, Solution, Source, table

# (what, system, total mol/L, strong charge mol/L, published pH, tolerance, where published)
PUBLISHED = [
    (
        "0.1 M HCl",
        "",
        0.0,
        -0.1,
        1.10,
        0.10,
        "Robinson & Stokes, Electrolyte Solutions: mean activity coefficient 0.796",
    ),
    ("0.1 M NaOH", "", 0.0, 0.1, 12.88, 0.10, "CRC Handbook: mean activity coefficient 0.766 and pKw 13.995"),
    (
        "0.1 M acetic acid",
        "acetate",
        0.1,
        0.0,
        2.88,
        0.03,
        "CRC Handbook, approximate pH of common acids: 2.9; pKa 4.756",
    ),
    ("0.1 M ammonia", "ammonia", 0.1, 0.0, 11.12, 0.05, "CRC Handbook, approximate pH of common bases: 11.1"),
    ("0.1 M sodium acetate", "acetate", 0.1, 0.1, 8.9, 0.15, "Merck Index: 8.9"),
    ("0.025 m + 0.025 m phosphates", "phosphate", 0.05, 0.075, 6.865, 0.05, "NBS standard, Bates 1973: 6.865"),
    ("0.009 m + 0.030 m phosphates", "phosphate", 0.03912, 0.06955, 7.413, 0.06, "NBS standard, Bates 1973: 7.413"),
    ("0.05 m K hydrogen phthalate", "phthalate", 0.05, 0.05, 4.008, 0.03, "NBS standard, Bates 1973: 4.008"),
    ("0.01 m borax", "borate", 0.04, 0.02, 9.180, 0.03, "NBS standard, Bates 1973: 9.180"),
    ("0.025 m + 0.025 m carbonates", "carbonate", 0.05, 0.075, 10.012, 0.10, "NBS standard, Bates 1973: 10.012"),
    ("0.05 m KH2 citrate", "citrate", 0.05, 0.05, 3.776, 0.08, "NIST standard, Bates 1973: 3.776"),
    ("0.05 M KHSO4", "sulfate", 0.05, 0.05, 1.6, 0.15, "Hand calculation, pKa 1.987"),
]


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row[0])
def test_published_ph(row):
    _, system, total, strong, wanted, tolerance, _ = row
    assert water.ph_of((system, total, strong)) == pytest.approx(wanted, abs=tolerance)


def test_pure_water_is_neutral():
    assert water.ph_of(("", 0.0, 0.0)) == pytest.approx(6.998, abs=0.002)


def test_davies_against_measured_coefficients():
    # Mean activity coefficients at 0.1 M: NaCl 0.778, HCl 0.796 (Robinson & Stokes); Davies takes all 1:1 salts alike.
    assert 10 ** float(water.davies_log_gamma(1, 0.1)) == pytest.approx(0.78, abs=0.02)
    assert float(water.davies_log_gamma(2, 0.1)) == pytest.approx(4 * float(water.davies_log_gamma(1, 0.1)))
    assert float(water.davies_log_gamma(0, 0.3)) == 0.0


def test_davies_is_capped():
    assert float(water.davies_log_gamma(1, 5.0)) == float(water.davies_log_gamma(1, 0.5))


def test_ion_product():
    assert float(water.kw_pk(0.0)) == 13.995
    # 13.77-13.78 in 0.1 M salt (Martell & Smith)
    assert float(water.kw_pk(0.1)) == pytest.approx(13.78, abs=0.03)
    product = water.hydrogen_m(4.2, 0.1) * water.hydroxide_m(4.2, 0.1)
    assert -math.log10(float(product)) == pytest.approx(float(water.kw_pk(0.1)))


def test_fractions_sum_to_one_and_halve_at_the_pka():
    ph = np.linspace(-1, 15, 33)
    fractions = water.alpha_fractions((2.148, 7.198, 12.35), 0, ph, 0.2)
    assert fractions.shape == (4, 33)
    assert np.allclose(fractions.sum(axis=0), 1.0)
    assert float(water.alpha_fractions((9.245,), 1, 9.245, 0.0)[0]) == pytest.approx(0.5)


def test_charges_run_from_acid_to_base_end():
    charges = water.alpha_charges((2.148, 7.198, 12.35), 0, np.array([-3.0, 4.7, 9.8, 17.0]), 0.0)
    assert charges == pytest.approx([0.0, -1.0, -2.0, -3.0], abs=0.01)
    assert float(water.alpha_charges((9.245,), 1, 2.0, 0.0)) == pytest.approx(1.0)


def test_medium_strengthens_an_acid_whose_base_carries_more_charge():
    plain = water.alpha_charges((7.198,), -1, 7.0, 0.0)
    salted = water.alpha_charges((7.198,), -1, 7.0, 0.1)
    assert salted < plain
    # An ammonium ion goes the other way.
    assert water.alpha_charges((9.245,), 1, 9.0, 0.1) > water.alpha_charges((9.245,), 1, 9.0, 0.0)


def test_carbon_dioxide_leaves_above_its_solubility():
    charge, lost = water.carbonate_charge(1.0, 2.0, 0.5)
    assert float(lost) == pytest.approx(1.0 - water.CO2_CAP_M, abs=1e-3)
    assert float(charge) == pytest.approx(0.0, abs=1e-5)
    _, kept = water.carbonate_charge(1.0, 2.0, 0.5, np.inf)
    assert float(kept) == 0.0
    _, none = water.carbonate_charge(0.02, 2.0, 0.1)
    assert float(none) == 0.0


def test_carbonate_charge_falls_steadily():
    charge, lost = water.carbonate_charge(1.0, np.linspace(-3, 17, 400), 0.5)
    assert np.all(np.diff(charge) <= 1e-12)
    assert np.all(lost >= 0.0)
    assert np.all(np.isfinite(charge))


def test_bicarbonate_with_half_its_acid():
    # 1 M bicarbonate to which 0.5 M acid was added: carbon dioxide under 1 atm over 0.5 M bicarbonate.
    # Hand calculation: pH = 6.352 - 0.134 + log10(0.5 / 0.033) = 7.40
    assert water.ph_of(("carbonate", 1.0, 0.5)) == pytest.approx(7.40, abs=0.05)
    _, lost = water.carbonate_charge(1.0, 7.40, 0.5)
    assert float(lost) == pytest.approx(0.47, abs=0.03)


def test_saturated_bicarbonate():
    # CRC and Merck Index: 8.0 to 8.5 for solutions of sodium bicarbonate as kept.
    row = table(Solution)["nahco3_sat"]
    assert water.ph_of(row) == pytest.approx(8.3, abs=0.2)


def test_arrays_broadcast_and_agree_with_single_values():
    strong = np.array([0.0, 0.1, 0.2, 0.3])
    together = water.equilibrium_ph([("phosphate", 0.1), ("acetate", np.full(4, 0.05))], strong, 0.1)
    assert together.shape == (4,)
    assert np.all(np.diff(together) > 0)
    for value, ph in zip(strong, together, strict=True):
        alone = water.equilibrium_ph([("phosphate", 0.1), ("acetate", 0.05)], value, 0.1)
        assert float(alone) == pytest.approx(ph, abs=2e-3)


def test_own_constants_may_be_given():
    # Triethylamine, pKa 10.75: 0.1 M with half its hydrochloric acid sits at its pKa, raised by the medium.
    assert float(water.equilibrium_ph([(((10.75,), 1), 0.1)], -0.05)) == pytest.approx(10.83, abs=0.03)


def test_charges_balance_at_the_root():
    strong, total = 0.37, 0.5
    ph = water.equilibrium_ph([("citrate", total)], strong, 1.0)
    rest = (
        strong
        + water.hydrogen_m(ph, 0.5)
        - water.hydroxide_m(ph, 0.5)
        + total * water.alpha_charges((3.128, 4.761, 6.396), 0, ph, 0.5)
    )
    assert float(rest) == pytest.approx(0.0, abs=1e-4)


def test_unknown_system_is_named():
    with pytest.raises(LookupError, match=r"unobtainate.*phosphate"):
        water.ph_of(("unobtainate", 0.1, 0.0))


def test_gas_volume():
    assert float(water.co2_volume_ml(10.0)) == pytest.approx(244.7, abs=0.5)
    assert water.co2_volume_ml(np.array([1.0, 2.0])).shape == (2,)


def test_heats_are_signed_and_sourced():
    rows = table(heats.IonisationHeat).values()
    assert all(row.source in table(Source) and row.of in ("site", "buffer") for row in rows)
    assert all(len(row.kj) == len(table(Buffer)[row.id].pkas) for row in rows if row.of == "buffer")
    # Standard enthalpies of formation (CODATA): H+ + OH- -> H2O gives 55.8 kJ/mol.
    assert pytest.approx(285.83 - 229.99, abs=0.1) == heats.WATER_KJ
    assert heats.site_kj(acidity.sites("CCN(CC)CC")[0]) == 43.1
    assert heats.site_kj(acidity.sites("Oc1ccccc1")[0]) == 23.0
