"""Wash solutions, weak acid systems and drying agents: every number holds together."""

from __future__ import annotations

import pytest

from washlore.knowledge.rows import Buffer, Desiccant, Group, Residue, Solution, Solvent, Source, table
from washlore.knowledge.water import ph_of

SOLUTIONS = table(Solution)
BUFFERS = table(Buffer)
DESICCANTS = table(Desiccant)

CUSTOMARY = {
    "water",
    "brine",
    "nahco3_sat",
    "na2co3_10",
    "naoh_1m",
    "naoh_2m",
    "hcl_1m",
    "nh4cl_sat",
    "citric_10",
    "khso4_1m",
}
GENERAL = {
    "water",
    "nahco3_sat",
    "na2co3_10",
    "naoh_1m",
    "hcl_1m",
    "hcl_10pct",
    "naoh_2m",
    "naoh_10pct",
    "khso4_1m",
    "citric_10",
    "nh4cl_sat",
    "phosphate_ph7",
    "nah2po4_1m",
    "phosphate_ph6",
    "citrate_ph5",
    "naoh_01m",
    "hcl_01m",
    "borate_ph9",
    "carbonate_ph10",
}


@pytest.mark.parametrize("key", SOLUTIONS)
def test_charge_balance_gives_the_stated_ph(key):
    row = SOLUTIONS[key]
    assert ph_of(row) == pytest.approx(row.ph, abs=0.3)


# (solution, molarity, density g/mL, where published); densities and molarities at 20-25 C
PUBLISHED = [
    ("brine", 5.42, 1.197, "CRC Handbook: solubility 26.45 wt% and density of the saturated solution, 25 C"),
    ("nahco3_sat", 1.18, 1.064, "CRC Handbook: solubility 9.32 wt% at 25 C"),
    ("hcl_10pct", 2.87, 1.046, "CRC Handbook, concentrative properties: 10 wt% HCl, about 2.87 M, 1.05 g/mL at 20 C"),
    ("hcl_6m", 6.0, 1.095, "CRC Handbook, concentrative properties: 20 wt% HCl, about 6.02 M, 1.10 g/mL at 20 C"),
    ("naoh_1m", 1.0, 1.039, "CRC Handbook, concentrative properties: 4 wt% NaOH, about 1.04 M, 1.04 g/mL at 20 C"),
    ("naoh_10pct", 2.77, 1.107, "CRC Handbook, concentrative properties: 10 wt% NaOH, about 2.77 M, 1.11 g/mL at 20 C"),
    (
        "na2co3_10",
        1.04,
        1.102,
        "CRC Handbook, concentrative properties: 10 wt% Na2CO3, about 1.04 M, 1.10 g/mL at 20 C",
    ),
    ("k2co3_10", 0.787, 1.089, "CRC Handbook, concentrative properties: 10 wt% K2CO3, about 0.79 M, 1.09 g/mL at 20 C"),
    ("nh4cl_sat", 5.71, 1.078, "CRC Handbook: solubility 28.3 wt% at 25 C"),
    ("cacl2_10", 0.976, 1.083, "CRC Handbook, concentrative properties: 10 wt% CaCl2, about 0.98 M, 1.08 g/mL at 20 C"),
    ("licl_10", 2.49, 1.054, "CRC Handbook, concentrative properties: 10 wt% LiCl, about 2.49 M, 1.06 g/mL at 20 C"),
    (
        "citric_10",
        0.541,
        1.038,
        "CRC Handbook, concentrative properties: 10 wt% citric acid, about 0.54 M, 1.04 g/mL at 20 C",
    ),
    (
        "acetic_10",
        1.685,
        1.011,
        "CRC Handbook, concentrative properties: 10 wt% acetic acid, about 1.69 M, 1.01 g/mL at 20 C",
    ),
    ("ammonia_10", 5.62, 0.957, "CRC Handbook, concentrative properties: 10 wt% NH3, about 5.62 M, 0.96 g/mL at 20 C"),
    ("nh42so4_sat", 4.08, 1.245, "CRC Handbook: solubility 43.3 wt% at 25 C"),
    ("na2so4_sat", 1.87, 1.208, "CRC Handbook: solubility 21.9 wt% at 25 C"),
]


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: row[0])
def test_published_composition(row):
    key, molarity_m, density, _ = row
    assert SOLUTIONS[key].molarity_m == pytest.approx(molarity_m, rel=0.02)
    assert SOLUTIONS[key].density_g_ml == pytest.approx(density, abs=0.004)


@pytest.mark.parametrize("key", SOLUTIONS)
def test_row_is_sound(key):
    row = SOLUTIONS[key]
    assert row.source in table(Source)
    assert 0.85 < row.density_g_ml < 1.6
    assert 0 <= row.harshness <= 10
    assert row.weak_m >= 0
    assert row.salt_m >= 0
    assert bool(row.weak_system) == (row.weak_m > 0)
    assert not row.weak_system or row.weak_system in BUFFERS
    assert row.acts_as in {"neutral", "salt", "acid", "base", "buffer", "reductant", "oxidant", "complexing"}
    assert row.takes_out
    assert row.never_reason or not row.never_meets


def test_general_and_customary_solutions():
    assert {key for key, row in SOLUTIONS.items() if row.general} == GENERAL
    assert {key for key, row in SOLUTIONS.items() if row.note.startswith("customary")} == CUSTOMARY


def test_no_alias_is_shared():
    seen: dict[str, str] = {}
    for row in SOLUTIONS.values():
        for alias in {row.name.casefold(), row.id.casefold(), *(a.casefold() for a in row.aliases)}:
            assert seen.setdefault(alias, row.id) == row.id, alias


def test_milder_solutions_rank_milder():
    order = ["water", "phosphate_ph7", "nh4cl_sat", "nahco3_sat", "citric_10", "khso4_1m", "hcl_1m", "hcl_10pct"]
    harshness = [SOLUTIONS[key].harshness for key in order]
    assert harshness == sorted(harshness)
    assert SOLUTIONS["nahco3_sat"].harshness < SOLUTIONS["na2co3_10"].harshness < SOLUTIONS["naoh_1m"].harshness


# (solution, what it must never meet)
HAZARDS = [
    ("na2s2o3_10", "acid"),
    ("na2so3_10", "acid"),
    ("bleach_5", "acid"),
    ("bleach_5", "ammonia"),
    ("bleach_5", "azide_ion"),
    ("ammonia_10", "bleach"),
    ("nh4cl_sat", "bleach"),
    ("hcl_1m", "cyanide"),
    ("hcl_1m", "azide_ion"),
    ("hcl_1m", "sulfide_ion"),
    ("hcl_1m", "bleach"),
    ("citric_10", "azide_ion"),
    ("nahco3_sat", "cyanide"),
    ("kf_10", "acid"),
    ("cuso4_sat", "azide_ion"),
]


@pytest.mark.parametrize(("key", "other"), HAZARDS)
def test_hazards_are_named(key, other):
    assert other in SOLUTIONS[key].never_meets


def test_every_hazard_is_an_id_or_a_class_of_solutions():
    known = {*table(Group), *table(Residue), *table(Solvent), "acid", "base", "ammonia", "bleach"}
    for row in SOLUTIONS.values():
        assert set(row.never_meets) <= known, row.id
        assert len(set(row.never_meets)) == len(row.never_meets), row.id


def test_no_residue_is_sent_to_a_solution_that_must_not_meet_it():
    for residue in table(Residue).values():
        if residue.solution:
            assert residue.id not in SOLUTIONS[residue.solution].never_meets, residue.id


def test_every_solution_below_ph_10_keeps_off_cyanide_or_is_neutral_salt():
    # Hydrocyanic acid, pKa 9.21 (Martell & Smith): below pH 10 more than a tenth of a cyanide is the free acid. Water
    # and unbuffered salts are left out, as a cyanide keeps them alkaline itself.
    for row in SOLUTIONS.values():
        if row.ph < 10 and row.weak_m > 0 and row.acts_as in {"acid", "base", "buffer"}:
            assert "cyanide" in row.never_meets, row.id


def test_buffers():
    for row in BUFFERS.values():
        assert row.source in table(Source)
        assert row.pkas == tuple(sorted(row.pkas)), row.id
    # Goldberg, Kishore & Lennen 2002
    assert BUFFERS["phosphate"].pkas == (2.148, 7.198, 12.35)
    assert BUFFERS["ammonia"].acid_charge == 1
    assert BUFFERS["sulfate"].acid_charge == -1


def test_desiccants():
    for row in DESICCANTS.values():
        assert row.source in table(Source)
        assert row.character in {"acidic", "neutral", "basic"}
        assert row.reason
    ranks = [row.rank for row in DESICCANTS.values()]
    assert len(set(ranks)) == len(ranks)
    assert DESICCANTS["mgso4"].rank == 1
    assert DESICCANTS["na2so4"].rank == 2


# (agent, waters of hydration, molar mass, most g water per g): no practical capacity may exceed it
HYDRATES = [
    ("mgso4", 7, 120.37),
    ("na2so4", 10, 142.04),
    ("cacl2", 6, 110.98),
    ("caso4", 0.5, 136.14),
    ("k2co3", 1.5, 138.21),
    ("koh", 2, 56.11),
    ("naoh_pellets", 1, 40.00),
]


@pytest.mark.parametrize(("key", "waters", "molar_mass"), HYDRATES)
def test_capacity_is_within_the_hydrate(key, waters, molar_mass):
    most = waters * 18.015 / molar_mass
    assert 0 < DESICCANTS[key].capacity_g_per_g <= most
    assert f"{most:.2f}".rstrip("0") in DESICCANTS[key].note or f"{most:.3f}" in DESICCANTS[key].note


def test_calcium_chloride_holds_back_alcohols_and_amines():
    assert {"primary_alcohol", "primary_amine", "primary_amide"} <= set(DESICCANTS["cacl2"].binds)
    assert "carboxylic_acid" in DESICCANTS["k2co3"].binds
    assert not DESICCANTS["na2so4"].binds


def test_desiccants_name_known_groups():
    for row in DESICCANTS.values():
        assert {*row.binds, *row.attacks} <= set(table(Group)), row.id
