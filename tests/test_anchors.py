"""What every laboratory has seen: where common compounds go in the funnel, beside a source or as common practice.

The limits are wide enough for the spread of practice and narrow enough that a wrong sign, unit or phase would show.
"""

from __future__ import annotations

import pytest

from washlore.rules.ledger import Step, contacts_needed, run_ledger
from washlore.rules.mixture import build
from washlore.rules.perceive import prepare

PRODUCT = "CCOC(=O)c1ccc(C(C)(C)C)cc1"
LEO = "Leo, Hansch, Elkins, Chem. Rev. 1971, 71, 525; recalled"
PRACTICE = "common practice"
STARKS = "extraction constants of ammonium salts as the literature on phase-transfer catalysis quotes them; recalled"


def left(
    compound: str, mmol: float, solvent: str, solution: str, organic_ml: float = 40, wash_ml: float = 20, n: int = 1
):
    """Return the share of a compound in the organic layer after n portions, and the pH of the first."""
    mixture = build(
        PRODUCT, [(compound, f"{mmol} mmol", None)], product_amount="5 mmol", solvents=[(solvent, organic_ml)]
    )
    book = run_ledger(mixture, [Step("wash", solution=solution, volume_ml=wash_ml, repeats=n)], draws=1)
    return float(book.left("c1")[0]), float(book.contacts[0].ph[0])


# compound, mmol, solvent, solution, mL organic, mL water, portions, least and most left in the organic layer, source
SEEN = [
    ("caffeine", 1, "dichloromethane", "water", 20, 20, 1, 0.75, 0.93, "K 4 to 12; the extraction of tea, " + PRACTICE),
    ("benzoic acid", 1, "diethyl ether", "hcl_01m", 20, 20, 1, 0.97, 0.995, "K about 75; " + LEO),
    ("aniline", 1, "diethyl ether", "naoh_01m", 20, 20, 1, 0.83, 0.92, "K about 7; " + LEO),
    ("acetic acid", 1, "diethyl ether", "hcl_01m", 20, 20, 1, 0.25, 0.37, "K about 0.45; " + LEO),
    ("phenol", 2, "diethyl ether", "nahco3_sat", 40, 20, 1, 0.93, 1.0, "bicarbonate leaves phenol, " + PRACTICE),
    ("phenol", 2, "diethyl ether", "naoh_1m", 40, 20, 1, 0.0, 0.03, "hydroxide takes phenol, " + PRACTICE),
    ("benzoic acid", 2, "diethyl ether", "nahco3_sat", 40, 20, 1, 0.0, 0.08, "bicarbonate takes acids, " + PRACTICE),
    ("Et3N", 10, "dichloromethane", "hcl_1m", 40, 20, 1, 0.0, 0.005, PRACTICE),
    # Proton and carbonate balanced by hand, K 16 and bicarbonate's own pK 9.8: 0.15 to 0.25; part of it only.
    ("Et3N", 5, "diethyl ether", "nahco3_sat", 40, 15, 2, 0.08, 0.4, "mass balance by hand"),
    ("pyridine", 10, "dichloromethane", "hcl_1m", 40, 20, 1, 0.0, 0.01, PRACTICE),
    (
        "pyridine",
        10,
        "dichloromethane",
        "water",
        40,
        20,
        1,
        0.93,
        1.0,
        "K about 13; water leaves pyridine, " + PRACTICE,
    ),
    ("DMF", 50, "ethyl acetate", "water", 50, 50, 1, 0.04, 0.16, "K about 0.07; " + PRACTICE),
    ("DMF", 50, "ethyl acetate", "licl_5", 50, 50, 3, 0.0, 0.01, "three portions of 5 % LiCl clear DMF, " + PRACTICE),
    ("DMF", 50, "dichloromethane", "water", 50, 50, 1, 0.25, 0.5, "dichloromethane holds DMF, " + PRACTICE),
    ("DMSO", 50, "ethyl acetate", "water", 50, 50, 1, 0.0, 0.06, PRACTICE),
    # Salts that go into dichloromethane whole, and salts that do not.
    ("CCCCN(CCCC)CCCC", 5, "dichloromethane", "hcl_1m", 40, 20, 1, 0.1, 0.95, "tributylamine hydrochloride; " + STARKS),
    ("Et3N.HCl", 10, "dichloromethane", "water", 40, 20, 1, 0.0, 0.01, PRACTICE),
    ("TBAB", 5, "dichloromethane", "water", 40, 20, 1, 0.6, 0.999, STARKS),
    ("CCCC[N+](CCCC)(CCCC)CCCC.[I-]", 5, "dichloromethane", "water", 40, 20, 1, 0.97, 1.0, STARKS),
    ("CC[N+](CC)(CC)CC.[Br-]", 5, "dichloromethane", "water", 40, 20, 1, 0.0, 0.05, STARKS),
    ("CCCC[N+](CCCC)(CCCC)CCCC.[Br-]", 5, "diethyl ether", "water", 40, 20, 1, 0.0, 0.2, PRACTICE),
    ("c1ccc(cc1)[P+](c1ccccc1)(c1ccccc1)c1ccccc1.[Br-]", 2, "chloroform", "water", 40, 20, 1, 0.5, 1.0, STARKS),
    ("CCCCCCCCCCCC(=O)O", 2, "diethyl ether", "naoh_1m", 40, 20, 1, 0.0, 0.1, "soap stays in water, " + PRACTICE),
    ("CCCCCCCCCCCC(=O)O", 2, "diethyl ether", "hcl_1m", 40, 20, 1, 0.999, 1.0, PRACTICE),
]


@pytest.mark.parametrize("row", SEEN, ids=[f"{r[0]} {r[2]} {r[3]}" for r in SEEN])
def test_what_every_laboratory_has_seen(row) -> None:
    compound, mmol, solvent, solution, organic_ml, wash_ml, n, least, most, source = row
    found, _ = left(compound, mmol, solvent, solution, organic_ml, wash_ml, n)
    assert least <= found <= most, source


def test_counter_ions_stand_in_order() -> None:
    """Chloride, bromide, iodide, perchlorate: the greasier the anion, the more goes along (recalled; STARKS)."""
    salts = [f"CCC[N+](CCC)(CCC)CCC.{x}" for x in ("[Cl-]", "[Br-]", "[I-]", "[O-][Cl+3]([O-])([O-])[O-]")]
    shares = [left(salt, 2, "dichloromethane", "water")[0] for salt in salts]
    assert shares == sorted(shares) and shares[0] < 0.1 < shares[-1]


def test_contacts_needed() -> None:
    """Each portion of water leaves the same share of DMF, so the count follows from the first one."""
    mixture = prepare(
        build(PRODUCT, [], product_amount="5 mmol", solvents=[("ethyl acetate", 50.0), ("DMF", 5.0)])
    ).mixture
    dmf = mixture.others[0].id
    step = Step("wash", solution="water", volume_ml=50)
    first = float(run_ledger(mixture, [step], draws=1).left(dmf)[0])
    needed = contacts_needed(mixture, [step], dmf)
    assert needed is not None and first**needed <= 0.015 and first ** (needed - 1) > 0.008
    assert contacts_needed(mixture, [step], dmf, target=0.5) == 1
    assert contacts_needed(mixture, [step], "product", target=0.5) is None


def test_dense_brine_turns_a_heavy_layer_over() -> None:
    """Chlorobenzene (1.11 g/mL) lies under water and floats on brine (1.20 g/mL); CRC Handbook densities."""
    mixture = build(PRODUCT, [], product_amount="1 mmol", solvents=[("chlorobenzene", 40.0)])
    over = {
        s: run_ledger(mixture, [Step("wash", solution=s, volume_ml=20)], draws=1).contacts[0]
        for s in ("water", "brine")
    }
    assert over["water"].organic_density > over["water"].aqueous_density
    assert over["brine"].organic_density < over["brine"].aqueous_density


def test_ether_loses_volume_to_water() -> None:
    """Water takes up about 6 % of ether by weight (Riddick, Organic Solvents; recalled), brine much less."""
    mixture = build(PRODUCT, [], product_amount="0.1 mmol", solvents=[("diethyl ether", 50.0)])
    water, brine = (
        run_ledger(mixture, [Step("wash", solution=s, volume_ml=50)], draws=1).contacts[0].organic_ml
        for s in ("water", "brine")
    )
    assert 44 < water < 48 < brine < 51
