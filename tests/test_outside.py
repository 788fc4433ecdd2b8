"""Checks against the outside: handbook values, textbook problems, classic separations and published procedures.

Each check stands beside its published source. "From memory" marks a number that was recalled and not looked up again.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import NamedTuple

import numpy as np
import pytest

from washlore.knowledge import acidity, partition, water
from washlore.knowledge.rows import Buffer, Solution, Solvent, Source, table
from washlore.knowledge.structure import canonical_smiles, molecules
from washlore.rules import facts as f
from washlore.rules import ledger, shaking_draws, species
from washlore.rules.contact import equilibrate
from washlore.rules.ledger import Step, run_ledger
from washlore.rules.mixture import build, read_other
from washlore.rules.phase import Phase, fresh_solvent
from washlore.rules.plan import Plan, make_plan

# --- pKa -------------------------------------------------------------------------------------------------------

PERRIN = "Perrin, Dissociation Constants of Organic Bases in Aqueous Solution, 1965; from memory"
SERJEANT = "Serjeant and Dempsey, Ionisation Constants of Organic Acids in Aqueous Solution, 1979; from memory"
CRC = "CRC Handbook of Chemistry and Physics, Dissociation Constants of Organic Acids and Bases; from memory"

PKA = [
    ("benzoic acid", "OC(=O)c1ccccc1", "acid", 4.20, SERJEANT),
    ("acetic acid", "CC(=O)O", "acid", 4.756, CRC),
    ("phenol", "Oc1ccccc1", "acid", 9.99, SERJEANT),
    ("4-nitrophenol", "Oc1ccc([N+](=O)[O-])cc1", "acid", 7.15, SERJEANT),
    ("2-naphthol", "Oc1ccc2ccccc2c1", "acid", 9.51, SERJEANT),
    ("succinimide", "O=C1CCC(=O)N1", "acid", 9.62, SERJEANT),
    ("benzyl mercaptan", "SCc1ccccc1", "acid", 9.43, SERJEANT),
    ("pentane-2,4-dione", "CC(=O)CC(C)=O", "acid", 8.99, CRC),
    ("aniline", "Nc1ccccc1", "base", 4.60, PERRIN),
    ("4-nitroaniline", "Nc1ccc([N+](=O)[O-])cc1", "base", 1.02, PERRIN),
    ("pyridine", "c1ccncc1", "base", 5.23, PERRIN),
    ("triethylamine", "CCN(CC)CC", "base", 10.75, PERRIN),
    ("hexylamine", "CCCCCCN", "base", 10.56, PERRIN),
    ("imidazole", "c1c[nH]cn1", "base", 6.99, PERRIN),
    ("4-dimethylaminopyridine", "CN(C)c1ccncc1", "base", 9.60, PERRIN),
]


@pytest.mark.parametrize(("name", "smiles", "kind", "pka", "source"), PKA, ids=[row[0] for row in PKA])
def test_pka_is_the_handbook_s(name: str, smiles: str, kind: str, pka: float, source: str) -> None:
    site = _strongest(acidity.sites(smiles), kind)
    assert site.pka == pytest.approx(pka, abs=0.1), source


@pytest.mark.parametrize(("name", "smiles", "kind", "pka", "source"), PKA, ids=[row[0] for row in PKA])
def test_pka_model_covers_the_handbook_s(name: str, smiles: str, kind: str, pka: float, source: str) -> None:
    """Without the table the model must still be right within three of its own standard errors."""
    site = _strongest(acidity.estimate(molecules(smiles)[0].mol, measured=False), kind)
    assert abs(site.pka - pka) <= 3 * site.sigma, source


def _strongest(found: object, kind: str) -> acidity.Site:
    own = [s for s in found if s.kind == kind]  # type: ignore[attr-defined]
    return (min if kind == "acid" else max)(own, key=lambda s: s.pka)


# --- partition -------------------------------------------------------------------------------------------------

HANSCH = "Hansch, Leo, Hoekman, Exploring QSAR: Hydrophobic, Electronic and Steric Constants, 1995; from memory"
LEO = "Leo, Hansch, Elkins, Chem. Rev. 1971, 71, 525; from memory"

LOG_P = [
    ("benzene", "c1ccccc1", 2.13),
    ("phenol", "Oc1ccccc1", 1.46),
    ("aniline", "Nc1ccccc1", 0.90),
    ("benzoic acid", "OC(=O)c1ccccc1", 1.87),
    ("nitrobenzene", "O=[N+]([O-])c1ccccc1", 1.85),
    ("naphthalene", "c1ccc2ccccc2c1", 3.30),
    ("acetophenone", "CC(=O)c1ccccc1", 1.58),
    ("1-octanol", "CCCCCCCCO", 3.07),
    ("cyclohexanone", "O=C1CCCCC1", 0.81),
    ("pyridine", "c1ccncc1", 0.65),
    ("ethyl acetate", "CCOC(C)=O", 0.73),
    ("triethylamine", "CCN(CC)CC", 1.45),
]


@pytest.mark.parametrize(("name", "smiles", "log_p"), LOG_P, ids=[row[0] for row in LOG_P])
def test_octanol_log_p_is_the_handbook_s(name: str, smiles: str, log_p: float) -> None:
    assert partition.log_k(smiles, "1-octanol").value == pytest.approx(log_p, abs=0.1), HANSCH


@pytest.mark.parametrize(
    ("smiles", "solvent", "log_k"),
    [
        ("CC(=O)O", "diethyl_ether", -0.34),
        ("Oc1ccccc1", "diethyl_ether", 1.64),
        ("OC(=O)c1ccccc1", "diethyl_ether", 1.89),
    ],
)
def test_ether_log_k_is_the_survey_s(smiles: str, solvent: str, log_k: float) -> None:
    assert partition.log_k(smiles, solvent).value == pytest.approx(log_k, abs=0.15), LEO


# --- solvents and solutions ------------------------------------------------------------------------------------

RIDDICK = "Riddick, Bunger, Sakano, Organic Solvents, 4th ed., 1986; from memory"
# Density at 20-25 C; wt% of water in the solvent; wt% of the solvent in water.
SOLVENTS = [
    ("diethyl_ether", 0.713, 1.47, 6.05),
    ("ethyl_acetate", 0.900, 2.94, 8.08),
    ("dichloromethane", 1.327, 0.20, 1.30),
    ("chloroform", 1.489, 0.093, 0.815),
    ("toluene", 0.867, 0.033, 0.052),
    ("1-butanol", 0.810, 20.5, 7.45),
    ("mtbe", 0.740, 1.5, 4.8),
    ("cyclohexane", 0.779, 0.010, 0.006),
]


@pytest.mark.parametrize(("solvent", "density", "water_held", "in_water"), SOLVENTS, ids=[row[0] for row in SOLVENTS])
def test_solvent_is_the_handbook_s(solvent: str, density: float, water_held: float, in_water: float) -> None:
    row = table(Solvent)[solvent]
    assert row.density_g_ml == pytest.approx(density, abs=0.015), RIDDICK
    assert row.water_held_wt_pct == pytest.approx(water_held, rel=0.15), RIDDICK
    assert row.in_water_wt_pct == pytest.approx(in_water, rel=0.2), RIDDICK


# (solution, g/mL near 20-25 C) from the CRC Handbook, Concentrative Properties of Aqueous Solutions; from memory
DENSITIES = [
    ("brine", 1.198),
    ("nahco3_sat", 1.065),
    ("nh4cl_sat", 1.076),
    ("na2co3_10", 1.103),
    ("naoh_1m", 1.040),
    ("naoh_10pct", 1.109),
    ("hcl_1m", 1.016),
    ("hcl_6m", 1.098),
    ("hcl_10pct", 1.047),
    ("k2co3_sat", 1.55),
    ("citric_10", 1.040),
    ("cuso4_sat", 1.206),
]


@pytest.mark.parametrize(("solution", "density"), DENSITIES, ids=[row[0] for row in DENSITIES])
def test_solution_density_is_the_handbook_s(solution: str, density: float) -> None:
    assert table(Solution)[solution].density_g_ml == pytest.approx(density, rel=0.01)


# --- the textbooks' extraction problems ------------------------------------------------------------------------

HARRIS = "Harris, Quantitative Chemical Analysis, chapter on analytical separations, worked example"
SKOOG = "Skoog, West, Holler, Fundamentals of Analytical Chemistry, example on iodine in CCl4; from memory"
HARVEY = "Harvey, Analytical Chemistry 2.1, section 7.7, worked examples; from memory"
# What the problems call A, B and HA: real compounds whose numbers are replaced by those of the problem.
NEUTRAL, BASE, ACID = "c1ccc2ccccc2c1", "CN(C)c1ccccc1", "OC(=O)c1ccccc1"


@pytest.fixture
def impose(monkeypatch: pytest.MonkeyPatch) -> Iterator[object]:
    """Return a function that makes every compound partition with one K, its ions not at all, salts without effect."""

    def set_k(k: float) -> None:
        monkeypatch.setattr(species, "_log_k", lambda *_: (math.log10(k), 0.0, species.LEAST_LOG_K, 0.0))
        monkeypatch.setattr(shaking_draws, "salting_constant", lambda _: 0.0)

    yield set_k


def _sheet(smiles: str, mmol: float, pka: float | None = None) -> species.Sheet:
    part = molecules(smiles)[0]
    sites = acidity.molecule_sites(part)
    if pka is None:
        assert not sites
    else:
        assert len(sites) == 1
        sites = (replace(sites[0], pka=pka, sigma=0.0),)
    return species._sheet([species.Species("product", part, 0, sites, None)], [mmol], 0.0, {}, 1)


def _water(numbers: species.Sheet, volume_ml: float, ph: float | None = None, buffer: str = "") -> Phase:
    """Return the water layer that holds everything; a buffer of ten thousand times its amount holds the pH."""
    weak, strong = 0.0, 0.0
    if ph is not None:
        row, at = table(Buffer)[buffer], np.array([ph])
        weak = 1e4 * float(numbers.mmol.sum())
        strong = -weak * float(water.alpha_charges(row.pkas, row.acid_charge, at, 0.0)[0])
        strong -= volume_ml * float((water.hydrogen_m(at, 0.0) - water.hydroxide_m(at, 0.0))[0])
    return Phase(
        numbers.mmol[:, None].copy(),
        volume_ml,
        (),
        np.array([strong]),
        {buffer: np.array([weak])} if weak else {},
        np.zeros(1),
        volume_ml,
    )


def _extract(numbers: species.Sheet, aqueous: Phase, portion_ml: float, repeats: int) -> tuple[float, float]:
    """Extract with fresh portions; return the share left in the water and the last pH.

    The textbooks' volumes are those of layers that already hold what they take of each other.
    """
    ph = math.nan
    aqueous.saturated = True
    for _ in range(repeats):
        organic = fresh_solvent(table(Solvent)["toluene"], portion_ml, numbers)
        organic.saturated = True
        ph = float(equilibrate(numbers, organic, aqueous).ph[0])
    return float(aqueous.mmol.sum() / numbers.mmol.sum()), ph


# (K, mL of water, M, mL of one portion, portions, share left, source)
PORTIONS = [
    (3.0, 100, 0.010, 500, 1, 0.062, HARRIS),
    (3.0, 100, 0.010, 100, 5, 0.00098, HARRIS),
    (85.0, 50, 0.001, 50, 1, 0.0116, SKOOG),
    (85.0, 50, 0.001, 25, 2, 5.28e-4, SKOOG),
    (85.0, 50, 0.001, 10, 5, 5.29e-7, SKOOG),
    (5.0, 50, 0.050, 15, 1, 0.400, HARVEY),
    (5.0, 50, 0.050, 15, 2, 0.160, HARVEY),
    (5.0, 50, 0.050, 15, 3, 0.064, HARVEY),
]


@pytest.mark.parametrize(("k", "water_ml", "molar", "portion_ml", "repeats", "left", "source"), PORTIONS)
def test_repeated_extraction(impose, k, water_ml, molar, portion_ml, repeats, left, source) -> None:
    """Share left = (V_aq / (V_aq + K V_org)) to the power n."""
    impose(k)
    numbers = _sheet(NEUTRAL, molar * water_ml)
    found, _ = _extract(numbers, _water(numbers, water_ml), portion_ml, repeats)
    assert found == pytest.approx(left, rel=0.012), source
    assert found == pytest.approx((water_ml / (water_ml + k * portion_ml)) ** repeats, rel=1e-6)


# (compound, K, pKa, mL of water, M, mL of solvent, pH, buffer, share left in the water, source)
BUFFERED = [
    (BASE, 3.0, 9.0, 50, 0.010, 100, 10.0, "carbonate", 0.15, HARRIS),
    (BASE, 3.0, 9.0, 50, 0.010, 100, 8.0, "phosphate", 0.65, HARRIS),
    (ACID, 3.0, 5.0, 50, 0.025, 50, 3.0, "phosphate", 1 - 0.748, HARVEY),
    (ACID, 3.0, 5.0, 50, 0.025, 50, 5.0, "acetate", 1 - 0.600, HARVEY),
    (ACID, 3.0, 5.0, 50, 0.025, 50, 7.0, "phosphate", 1 - 0.029, HARVEY),
]


@pytest.mark.parametrize(
    ("smiles", "k", "pka", "water_ml", "molar", "solvent_ml", "ph", "buffer", "left", "source"), BUFFERED
)
def test_extraction_at_a_ph(impose, smiles, k, pka, water_ml, molar, solvent_ml, ph, buffer, left, source) -> None:
    """D = K Ka / (Ka + [H+]) for a base, K [H+] / (Ka + [H+]) for an acid."""
    impose(k)
    numbers = _sheet(smiles, molar * water_ml, pka)
    found, last_ph = _extract(numbers, _water(numbers, water_ml, ph, buffer), solvent_ml, 1)
    assert last_ph == pytest.approx(ph, abs=0.01)
    assert found == pytest.approx(left, abs=0.006), source


# --- classic separations ---------------------------------------------------------------------------------------

WILLIAMSON = "Williamson and Masters, Macroscale and Microscale Organic Experiments, chapter on acid/base extraction"
PAVIA = "Pavia, Lampman, Kriz, Engel, Introduction to Organic Laboratory Techniques, acid-base extraction"
MOHRIG = "Mohrig, Hammond, Schatz, Techniques in Organic Chemistry, extraction"

BENZOIC, NAPHTHOL, TBU_PHENOL = "benzoic acid", "2-naphthol", "4-tert-butylphenol"
DIMETHOXYBENZENE, NAPHTHALENE = "1,4-dimethoxybenzene", "naphthalene"
CHLOROANILINE, BENZOCAINE = "Nc1ccc(Cl)cc1", "CCOC(=O)c1ccc(N)cc1"
FLUORENONE = "O=C1c2ccccc2-c2ccccc12"

SEPARATIONS = [
    ("diethyl ether", (BENZOIC, NAPHTHOL, DIMETHOXYBENZENE), "carboxylic acid, phenol, neutral", PAVIA),
    ("diethyl ether", (BENZOIC, TBU_PHENOL, DIMETHOXYBENZENE), "carboxylic acid, phenol, neutral", WILLIAMSON),
    ("diethyl ether", (BENZOIC, NAPHTHOL, NAPHTHALENE), "carboxylic acid, phenol, neutral", MOHRIG),
    ("diethyl ether", (BENZOIC, BENZOCAINE, FLUORENONE), "carboxylic acid, amine, neutral", PAVIA),
    ("dichloromethane", (BENZOIC, CHLOROANILINE, NAPHTHALENE), "carboxylic acid, amine, neutral", WILLIAMSON),
]
ACTS = {"carboxylic acid": "base", "phenol": "base", "amine": "acid"}


class Kept(NamedTuple):
    """One separation seen from one of its compounds."""

    solvent: str
    product: str
    kind: str
    others: tuple[tuple[str, str], ...]
    source: str


def _kept() -> list:
    made = []
    for solvent, names, kinds, source in SEPARATIONS:
        pairs = list(zip(names, kinds.split(", "), strict=True))
        for name, kind in pairs:
            rest = tuple(p for p in pairs if p[0] != name)
            made.append(pytest.param(Kept(solvent, name, kind, rest, source), id=f"{name} of {'/'.join(names)}"))
    return made


@cache
def planned(
    product: str,
    others: tuple[str, ...],
    amount: str = "10 mmol",
    solvents: tuple[tuple[str, float], ...] = (),
    draws: int = 1,
) -> Plan:
    mixture = build(product, [read_other(o) for o in others], product_amount=amount, solvents=solvents)
    return make_plan(mixture, draws=draws)


def _best(plan: Plan, name: str) -> float:
    wanted = canonical_smiles(name) if name in (CHLOROANILINE, BENZOCAINE, FLUORENONE) else ""
    found = next(c for c in plan.mixture.others if name in (c.name, c.written) or (wanted and c.smiles == wanted))
    return plan.left[found.id][1]


@pytest.mark.parametrize("case", _kept())
def test_classic_separation(case: Kept) -> None:
    """Bicarbonate for the acid, hydroxide for the phenol, hydrochloric acid for the amine, the neutral stays."""
    plan = planned(case.product, tuple(n for n, _ in case.others), solvents=((case.solvent, 40.0),))
    took = [s for s in plan.steps if s.action == "take up"]
    washes = [s for s in plan.steps if s.action == "wash" and s.solution != "brine"]
    used = [table(Solution)[s.solution] for s in (*washes, *took)]
    # Three portions leave a fifth of the greasiest phenol behind by our numbers; the books do not say what they get.
    assert plan.recovered[1] > (0.75 if case.product == "4-tert-butylphenol" else 0.9), case.source
    if case.kind == "neutral":
        assert not took
        for name, kind in case.others:
            assert any(row.acts_as == ACTS[kind] for row in used), case.source
            if kind == "phenol":
                assert any(row.acts_as == "base" and row.ph > 12.5 for row in used), (
                    f"{name} needs hydroxide: {case.source}"
                )
        for name, _ in case.others:
            # A greasy phenol is slow to leave ether: the books' students lose a few per cent there too.
            assert _best(plan, name) <= (0.2 if name == TBU_PHENOL else plan.mixture.target), (name, case.source)
        return
    (step,) = took
    row = table(Solution)[step.solution]
    assert row.acts_as == ACTS[case.kind], case.source
    assert (row.ph > 12.5) == (case.kind == "phenol"), case.source
    (back,) = (s for s in plan.steps if s.action == "set ph")
    if row.acts_as == "base":
        assert "Acidify" in back.instruction and back.solute == "HCl", case.source
    else:
        assert "Basify" in back.instruction and back.solute == "NaOH", case.source
    for name, _ in case.others:
        assert _best(plan, name) <= plan.mixture.target, (name, case.source)


# --- published procedures --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Published:
    """A procedure in print. ``washes``: for each aqueous wash, the rows of ours that stand for it, first the nearest."""

    id: str
    source: str
    product: str
    others: tuple[str, ...]
    amount: str
    solvents: tuple[tuple[str, float], ...]
    washes: tuple[tuple[str, ...], ...]
    dried: tuple[str, ...]
    swap: str = ""
    # What may be left of the others at the best estimate.
    left: float = 0.01


PUBLISHED = [
    Published(
        "tert-butyl ethyl fumarate",
        "Neises and Steglich, Org. Synth. 1985, 63, 183 (read): filter the urea, 0.5 M HCl twice, sat. NaHCO3 twice, Na2SO4",
        "CCOC(=O)/C=C/C(=O)OC(C)(C)C",
        ("4-dimethylaminopyridine; 1.6 mmol", "CCOC(=O)/C=C/C(=O)O; 2 mmol", "DCU; 22 mmol"),
        "20 mmol",
        (("dichloromethane", 20.0),),
        (("hcl_05m", "hcl_1m", "hcl_01m"), ("nahco3_sat",)),
        ("na2so4", "mgso4"),
    ),
    Published(
        "N-Boc-phenylalanine",
        "Paleveda, Holly, Veber, Org. Synth. 1985, 63, 171 (read): basic water extracted with ether, brought to pH 2.5, "
        "extracted with dichloromethane, Na2SO4",
        "CC(C)(C)OC(=O)N[C@@H](Cc1ccccc1)C(=O)O",
        ("triethylamine; 15 mmol", "N#CC(=NO)c1ccccc1; 10 mmol", "CC(C)(C)OC(=O)ON=C(C#N)c1ccccc1; 1 mmol"),
        "10 mmol",
        (("1,4-dioxane", 6.0),),
        (),
        ("na2so4", "mgso4"),
        swap="base",
        # In print the oxime took four extractions and a crystallisation.
        left=0.06,
    ),
    Published(
        "2-methylbutanal",
        "Anelli, Montanari, Quici, Org. Synth. 1990, 69, 212 (read): 10 % HCl with iodide, 10 % Na2S2O3, water, MgSO4",
        "CCC(C)C=O",
        ("sodium hypochlorite; 5 mmol", "TEMPO; 0.5 mmol", "potassium bromide; 5 mmol"),
        "50 mmol",
        (("dichloromethane", 22.0),),
        (
            # What takes TEMPO out: iodide in acid reduces it there, ascorbate here.
            ("hcl_10pct", "hcl_1m", "ascorbate_10"),
            ("na2s2o3_10", "na2s2o3_sat", "na2so3_10"),
            ("water", "brine"),
        ),
        ("mgso4", "na2so4"),
    ),
    Published(
        "1-phenylethylamine",
        "Ingersoll, Org. Synth. 1937, 17, 76 (read): acetophenone extracted from the acid with benzene, base, benzene, NaOH",
        "CC(N)c1ccccc1",
        ("acetophenone; 5 mmol",),
        "50 mmol",
        (),
        (),
        ("k2co3", "naoh_pellets", "koh", "na2so4", "mgso4"),
        swap="acid",
    ),
    Published(
        "4-benzyl-3-propanoyloxazolidinone",
        "Gage and Evans, Org. Synth. 1990, 68, 83 (account read): sat. NH4Cl, strip, dichloromethane, 1 M NaOH, brine, Na2SO4",
        "CCC(=O)N1C(=O)OCC1Cc1ccccc1",
        ("propanoic acid; 2 mmol",),
        "20 mmol",
        (("THF", 40.0),),
        (("naoh_1m", "naoh_01m"), ("brine",)),
        ("na2so4", "mgso4"),
    ),
    Published(
        "but-3-ynyl tosylate",
        "Etheridge, SyntheticPages 2001, 155, doi 10.1039/SP155 (read): water, 1 M HCl, sat. NaHCO3, brine, MgSO4",
        "C#CCCOS(=O)(=O)c1ccc(C)cc1",
        ("pyridine; 28 mmol", "TsOH; 7 mmol"),
        "13 mmol",
        (("dichloromethane", 12.0),),
        (("water", "hcl_1m"), ("hcl_1m",), ("nahco3_sat",), ("brine",)),
        ("mgso4",),
    ),
    Published(
        "N-Boc-serine methyl ester",
        "Garner and Park, Org. Synth. 1992, 70, 18 (from memory): ethyl acetate and water, brine twice, MgSO4",
        "COC(=O)[C@H](CO)NC(=O)OC(C)(C)C",
        ("potassium carbonate; 3 mmol",),
        "30 mmol",
        (("DMF", 30.0),),
        (("water",), ("brine",)),
        ("mgso4", "na2so4"),
        left=0.02,  # the water is extracted again for the product, which brings some DMF back
    ),
]


@pytest.mark.parametrize("case", PUBLISHED, ids=lambda case: case.id)
def test_published_workup(case: Published) -> None:
    """Every wash in print is in the plan, or the record tells why another was preferred or why it must not be used."""
    plan = planned(case.product, case.others, case.amount, case.solvents, draws=256)
    used = {s.solution for s in plan.steps if s.solution}
    for wash in case.washes:
        if not used & set(wash):
            assert _explained(plan, wash), f"{wash[0]} is neither used nor spoken of; {case.source}"
    assert next(s.desiccant for s in plan.steps if s.action == "dry") in case.dried, case.source
    took = [s for s in plan.steps if s.action == "take up"]
    assert [table(Solution)[s.solution].acts_as for s in took] == ([case.swap] if case.swap else []), case.source
    for component in plan.mixture.others:
        assert plan.left[component.id][1] <= case.left, (component.name, case.source)


def _explained(plan: Plan, wash: tuple[str, ...]) -> bool:
    for solution in wash:
        for kind in (f.Passed, f.Harms, f.Strains):
            for known_id, _ in plan.facts_of(kind, solution=solution):
                chain = plan.because([known_id])
                if any(link.text for link in chain) and any(link.sources for link in chain):
                    return True
    return False


@pytest.mark.parametrize(
    ("case", "least"),
    [pytest.param(c, 0.9, id=c.id) for c in PUBLISHED if c.id != "N-Boc-serine methyl ester"],
)
def test_published_workup_keeps_the_product(case: Published, least: float) -> None:
    assert planned(case.product, case.others, case.amount, case.solvents, draws=256).recovered[1] > least, case.source


def test_garner_s_own_partition_is_within_the_band() -> None:
    """0.157 mol in 150 mL of DMF; 300 mL ethyl acetate, 300 mL water, 2 x 300 mL brine: 86 % (1992, 70, 18; from memory).

    The best estimate is near 40 %: log K into ethyl acetate is still some half a unit low, which its sigma covers.
    """
    case = next(c for c in PUBLISHED if c.id == "N-Boc-serine methyl ester")
    mixture = build(case.product, (), product_amount="157 mmol", solvents=[("DMF", 150.0)])
    steps = [
        Step("dilute", solvent="ethyl_acetate", volume_ml=300.0),
        Step("wash", solution="water", volume_ml=300.0),
        Step("wash", solution="brine", volume_ml=300.0, repeats=2),
    ]
    # The plan's own mixture holds DMF as a component; the ledger needs it there too.
    from washlore.rules.perceive import prepare

    book = run_ledger(prepare(mixture).mixture, steps, draws=256)
    assert ledger.band(book.left("product"))[2] >= 0.86


def test_sources_of_these_checks_are_told() -> None:
    assert all(case.source for case in PUBLISHED)
    assert {"williamson", "vogel", "crc", "riddick", "hansch_leo"} <= set(table(Source))
