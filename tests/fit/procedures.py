"""Published procedures as the planner is asked about them: what is in the flask, and what came back.

``measure_workups.py`` states the keys of a procedure.
"""

from __future__ import annotations

import contextlib
import re
import time
import traceback
from dataclasses import dataclass, field
from typing import Any

from rdkit import Chem

from washlore.knowledge.structure import StructureError, canonical_smiles
from washlore.rules.mixture import MixtureError, build, find_solvent
from washlore.rules.plan import Plan, make_plan
from washlore.rules.reckon import PlanRefused

GOOD_YIELD_PCT = 60.0
SUPPORT_BASES = {
    "CCN(CC)CC": "triethylamine",
    "CCN(C(C)C)C(C)C": "DIPEA",
    "c1ccncc1": "pyridine",
    "CN1CCOCC1": "N-methylmorpholine",
    "CN(C)c1ccncc1": "DMAP",
}
UNITS = {
    "GRAM": "g",
    "MILLIGRAM": "mg",
    "KILOGRAM": "kg",
    "MOLE": "mol",
    "MILLIMOLE": "mmol",
    "MICROMOLE": "umol",
    "MILLILITER": "mL",
    "LITER": "L",
    "MICROLITER": "uL",
}
TO_MMOL = {"mol": 1000.0, "mmol": 1.0, "umol": 1e-3}
TO_MG = {"kg": 1e6, "g": 1000.0, "mg": 1.0}
TO_ML = {"L": 1000.0, "mL": 1.0, "uL": 1e-3}
# Volumes of these are of a solution in water; mol/L, the usual one where the text does not say.
AQUEOUS_M = {
    "Cl": 2.0,
    "Br": 8.9,
    "I": 7.6,
    "O=[N+]([O-])O": 15.8,
    "O=S(=O)(O)O": 18.0,
    "[Na+].[OH-]": 2.0,
    "[K+].[OH-]": 2.0,
    "[Li+].[OH-]": 1.0,
    "N": 13.0,
    "[NH4+].[OH-]": 13.0,
    "OO": 9.8,
    "[Na+].[O-]Cl": 0.7,
    "C=O": 12.0,
    "O=P(O)(O)O": 14.8,
}
STRONG = frozenset(("Cl", "Br", "I", "O=S(=O)(O)O", "[Na+].[OH-]", "[K+].[OH-]", "[Li+].[OH-]", "N", "[NH4+].[OH-]"))
NEUTRALISED = ("acidified", "basified", "neutral", "adjusted", "alkaline", "made basic", "basic")
LEFT_OF_LIMITING = 0.1


@dataclass
class Case:
    """One procedure: as published, as given to the planner, and what came back."""

    record: dict[str, Any]
    product: str
    others: list[tuple[str, str | None, str | None]] = field(default_factory=list)
    solvents: list[tuple[str, float | None]] = field(default_factory=list)
    inputs: set[str] = field(default_factory=set)
    plan: Plan | None = None
    refused: str = ""
    unusable: str = ""
    crashed: str = ""
    seconds: float = 0.0

    @property
    def made(self) -> Plan:
        """Return the plan of a case that has one."""
        assert self.plan is not None
        return self.plan

    @property
    def good(self) -> bool:
        """Tell whether the product was isolated in good yield."""
        return (self.record.get("yield_pct") or 0.0) >= GOOD_YIELD_PCT


def main_fragment(smiles: str) -> str:
    """Return the SMILES of the largest fragment, uncharged where a proton does it."""
    from rdkit.Chem.MolStandardize import rdMolStandardize

    mol = Chem.MolFromSmiles(smiles)
    if mol is None:
        return smiles
    largest = max(Chem.GetMolFrags(mol, asMols=True), key=lambda m: m.GetNumHeavyAtoms())
    if "." not in smiles:
        return smiles
    return Chem.MolToSmiles(rdMolStandardize.Uncharger().uncharge(largest))


def amount_text(entry: dict[str, Any]) -> tuple[float, str] | None:
    """Return number and unit of an amount, ``None`` where there is none."""
    parts = (entry.get("amount") or "").split()
    if len(parts) != 2 or parts[1] not in UNITS:
        return None
    number = float(parts[0])
    return (number, UNITS[parts[1]]) if number > 0 else None


def mmol_of(entry: dict[str, Any], mol: Chem.Mol) -> float | None:
    """Return an amount in mmol; a liquid that is no solvent of the table is taken as 1 g/mL."""
    from rdkit.Chem.Descriptors import MolWt  # type: ignore[attr-defined]

    amount = amount_text(entry)
    if amount is None:
        return None
    number, unit = amount
    if unit in TO_MMOL:
        return number * TO_MMOL[unit]
    if unit in TO_MG:
        return number * TO_MG[unit] / MolWt(mol)
    if Chem.MolToSmiles(mol) in AQUEOUS_M:
        return number * TO_ML[unit] * AQUEOUS_M[Chem.MolToSmiles(mol)]
    density = 1.0
    with contextlib.suppress(MixtureError):
        density = find_solvent(entry["smiles"]).density_g_ml
    return number * TO_ML[unit] * density * 1000 / MolWt(mol)


def likeness(one: str, two: str) -> float:
    """Return the Tanimoto similarity of two molecules; the reactant most like the product sets the scale."""
    from rdkit.Chem.rdFingerprintGenerator import GetMorganGenerator
    from rdkit.DataStructs import TanimotoSimilarity

    made = [GetMorganGenerator(radius=2).GetFingerprint(Chem.MolFromSmiles(s)) for s in (one, two)]
    return float(TanimotoSimilarity(*made))


def prepare_case(record: dict[str, Any]) -> Case:
    """Turn a procedure into what the planner is asked."""
    case = Case(record, main_fragment(record["product_smiles"]))
    product = canonical_smiles(case.product)
    reactants: dict[str, tuple[str, float | None]] = {}
    media: dict[str, tuple[str, float | None]] = {}
    neutralised = any(word in verb for verb, _ in record.get("quench", ()) for word in NEUTRALISED)
    for entry in record["other_smiles"]:
        mol = Chem.MolFromSmiles(entry["smiles"] or "")
        if mol is None or entry.get("in_workup_text"):
            continue
        smiles = Chem.MolToSmiles(mol)
        if smiles == product or (neutralised and smiles in STRONG):
            continue
        case.inputs.add(smiles)
        if entry["is_solvent"] or entry["likely_solvent"]:
            amount = amount_text(entry)
            volume = amount[0] * TO_ML[amount[1]] if amount and amount[1] in TO_ML else None
            try:
                media[find_solvent(entry["smiles"]).id] = (entry["smiles"], volume)
                continue
            except MixtureError:
                pass
        mmol = mmol_of(entry, mol)
        earlier = reactants.get(smiles, ("", None))[1]
        reactants[smiles] = (entry["smiles"], (mmol or 0) + (earlier or 0) or None)
    case.solvents = list(media.values())
    carbon = {
        s: m for s, (_, m) in reactants.items() if m and len(re.findall("[Cc]", s)) >= 5 and s not in SUPPORT_BASES
    }
    limiting = carbon[max(carbon, key=lambda s: likeness(s, product))] if carbon else None
    case.record["limiting_mmol"] = limiting
    for smiles, (written, mmol) in reactants.items():
        left = mmol
        if limiting and smiles in carbon and mmol:
            left = max(mmol - limiting, 0.0) + LEFT_OF_LIMITING * limiting
        case.others.append((written, f"{left:.5g} mmol" if left else None, None))
    return case


def think(case: Case, draws: int) -> None:
    """Ask the planner; keep whatever comes back."""
    start = time.perf_counter()
    limiting = case.record["limiting_mmol"]
    try:
        mixture = build(
            case.product,
            case.others,
            product_amount=f"{limiting:.5g} mmol" if limiting else None,
            solvents=case.solvents,
        )
        case.plan = make_plan(mixture, draws=draws)
    except PlanRefused as error:
        case.refused = str(error)
    except (MixtureError, StructureError) as error:
        case.unusable = str(error)
    except Exception:  # any other exception is the defect looked for
        case.crashed = traceback.format_exc()
    case.seconds = time.perf_counter() - start
