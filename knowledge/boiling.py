"""Boiling points of small molecules from their groups, where no table holds one.

The sum of group contributions of Joback and Reid, Chem. Eng. Commun. 1987, 57, 233 (values recalled). It is right
within 20 C for most hydrocarbons, ethers, esters, ketones, aldehydes, alcohols, amines and monohalides
(``tests/test_boiling.py``). Amides, lactones, glycols and polyhalides boil far from the sum, and are left out. It is asked only
whether a product leaves with the solvent.
"""

from __future__ import annotations

from functools import lru_cache

from rdkit import Chem

from washlore.knowledge.structure import molecules

MOST_ATOMS = 12
# What strong dipoles or hydrogen bonds take out of reach of a sum.
BEYOND = (
    "[NX3]C=O",
    "[NX3]S=O",
    "[CX3;R](=O)[OX2;R]",
    "[OX2H1]C~C[OX2H1]",
    "[F,Cl,Br,I].[F,Cl,Br,I]",
    "[#7]~[#7]",
    "[#7]=C=[#7]",
)
BASE_K = 198.2
KELVIN = 273.15
# Read in order: an atom that one group has taken is not taken again. SMARTS, what it adds in K.
GROUPS = (
    ("[CX3](=O)[OX2H1]", 169.09),
    ("[NX3+](=O)[O-]", 152.54),
    ("[CX3;R0](=O)[OX2;R0;H0]", 81.10),
    ("[CX3;R](=O)[OX2;R;H0]", 94.97 + 31.22),
    ("[CX3H1,CX3H2]=O", 72.24),
    ("[CX3;R](=O)", 94.97),
    ("[CX3;!R](=O)", 76.75),
    ("[CX2]#[NX1]", 125.66),
    ("c[OX2H1]", 76.34),
    ("[OX2H1]", 92.88),
    ("[OX2;R]", 31.22),
    ("[o]", 31.22),
    ("[OX2]", 22.42),
    ("[O;X1]", -10.50),
    ("[NX3H2]", 73.23),
    ("[NX3H1;R]", 52.82),
    ("[nH]", 52.82),
    ("[NX3H1]", 50.17),
    ("[NX3H0]", 11.74),
    ("[n]", 57.55),
    ("[NX2;R]", 57.55),
    ("[NX2H1]", 83.08),
    ("[NX2]", 74.60),
    ("[SX2H1]", 63.56),
    ("[SX2;R]", 52.10),
    ("[s]", 52.10),
    ("[SX2]", 68.78),
    ("[F]", -0.03),
    ("[Cl]", 38.13),
    ("[Br]", 66.86),
    ("[I]", 93.84),
    ("[CX2H1]", 9.20),
    ("[CX2]", 27.38),
    ("[cH]", 26.73),
    ("[c]", 31.01),
    ("[CX3;R;H1]", 26.73),
    ("[CX3;R]", 31.01),
    ("[CX3H2]", 18.18),
    ("[CX3H1]", 24.96),
    ("[CX3H0]", 24.14),
    ("[CX4;R;H2]", 27.15),
    ("[CX4;R;H1]", 21.78),
    ("[CX4;R;H0]", 21.32),
    ("[CX4H3]", 23.58),
    ("[CX4H4]", 23.58),
    ("[CX4H2]", 22.88),
    ("[CX4H1]", 21.74),
    ("[CX4H0]", 18.25),
)


@lru_cache(maxsize=1)
def _queries() -> tuple[tuple[str, Chem.Mol, float], ...]:
    return tuple((smarts, Chem.MolFromSmarts(smarts), value) for smarts, value in GROUPS)


@lru_cache(maxsize=1)
def _beyond() -> tuple[Chem.Mol, ...]:
    return tuple(Chem.MolFromSmarts(smarts) for smarts in BEYOND)


@lru_cache(maxsize=1_000)
def estimated_boiling_c(smiles: str) -> float | None:
    """Return the boiling point at 1 atm of a small neutral molecule, C, or ``None`` where the groups do not cover it."""
    parts = molecules(smiles)
    mol = parts[0].mol
    if len(parts) > 1 or mol.GetNumAtoms() > MOST_ATOMS or Chem.GetFormalCharge(mol):
        return None
    if not any(a.GetSymbol() == "C" for a in mol.GetAtoms()) or any(mol.HasSubstructMatch(q) for q in _beyond()):
        return None
    taken: set[int] = set()
    total = BASE_K
    for smarts, query, value in _queries():
        for match in mol.GetSubstructMatches(query):
            # Of a phenol the ring carbon is counted with the ring.
            own = set(match[1:] if smarts.startswith("c[") else match)
            if taken & own:
                continue
            taken |= own
            total += value
    return round(total - KELVIN, 0) if len(taken) == mol.GetNumAtoms() else None
