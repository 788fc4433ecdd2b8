"""A solute's structure as the partition model sees it: the form that is judged, its fragments and its McGowan volume.

E, S, A and B are sums over the substructures of ``tables/solute_fragments.csv``; V is exact.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import ClassVar

from rdkit import Chem, rdBase

from washlore.knowledge.atoms import atoms_of
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Row, column, table
from washlore.knowledge.smarts import Pattern, compiled, holdings


@dataclass(frozen=True)
class SoluteFragment(Row):
    """A substructure (or, where ``smarts`` is empty, a computed term) and what each one adds to E, S, A and B.

    ``needs``: elements without which the substructure cannot occur. ``solutes``: number of solutes with it behind the
    coefficients.
    """

    table: ClassVar[str] = "solute_fragments"
    id: str
    smarts: str
    needs: tuple[str, ...]
    e: float
    s: float
    a: float
    b: float
    solutes: int
    source: str
    note: str


# Atomic volumes of Abraham and McGowan, cm3/mol; 6.56 is subtracted for each bond of whatever order.
MCGOWAN_ATOM_ML = {
    1: 8.71, 3: 22.23, 4: 20.27, 5: 18.32, 6: 16.35, 7: 14.39, 8: 12.43, 9: 10.48,
    11: 32.71, 12: 30.75, 13: 28.79, 14: 26.83, 15: 24.87, 16: 22.91, 17: 20.95,
    19: 51.89, 20: 50.28, 21: 48.68, 22: 47.07, 23: 45.47, 24: 43.86, 25: 42.26, 26: 40.65, 27: 39.05, 28: 37.44,
    29: 35.84, 30: 34.23, 31: 32.63, 32: 31.02, 33: 29.42, 34: 27.81, 35: 26.21,
    37: 60.22, 38: 58.61, 39: 57.01, 40: 55.40, 41: 53.80, 42: 52.19, 44: 48.98, 45: 47.38, 46: 45.77, 47: 44.17,
    48: 42.56, 49: 40.96, 50: 39.35, 51: 37.75, 52: 36.14, 53: 34.53,
}  # fmt: skip
MCGOWAN_BOND_ML = 6.56
_HEAVY_METAL_ML = 45.0  # stands in for elements past iodine; such compounds carry a note

# Elements that occur among the solutes behind the fragments.
COVERED = frozenset({1, 5, 6, 7, 8, 9, 14, 15, 16, 17, 32, 34, 35, 50, 53})

COMPUTED = (
    "constant",
    "volume",
    "refraction",
    "crippen_log_p",
    "donors_beyond_one",
    "donors_beyond_three",
    "acceptors_beyond_one",
    "acceptors_beyond_four",
    "acceptors_square_root",
    "acceptor_crowding",
    "donor_crowding",
    "halogens_beyond_three",
    "zwitterion",
    "log_heavy_atoms",
    "crippen_below_zero",
    "crippen_above_four",
)
_DONOR_GROUPS = (
    "alcohol_primary", "alcohol_secondary", "alcohol_secondary_ring", "alcohol_tertiary", "phenol", "enol",
    "hydroxyl_on_nitrogen", "carboxylic_acid", "primary_amide", "secondary_amide", "aniline_nh2", "aniline_nh",
    "diarylamine", "urea_nh", "urea_nh2", "carbamate_nh", "imide_nh", "pyrrole_nh", "pyridone_nh", "sulfonamide_nh",
    "sulfonamide_nh2", "thioamide_nh",
)  # fmt: skip
_ACCEPTOR_GROUPS = (
    "ester", "ketone", "ketone_aryl", "aldehyde", "ether_chain", "ether_ring", "ether_aryl", "carbamate",
    "carbamate_nh", "urea", "primary_amide", "secondary_amide", "tertiary_amide", "primary_amine", "secondary_amine",
    "tertiary_amine", "pyridine_n", "azole_n", "nitrile", "nitrile_aryl", "nitro_aryl", "nitro_alkyl", "sulfone",
    "sulfoxide", "sulfonamide_n", "sulfonamide_nh", "sulfonamide_nh2", "phosphoryl", "aromatic_carbonyl",
    "alcohol_primary", "alcohol_secondary", "alcohol_secondary_ring", "alcohol_tertiary", "phenol", "carboxylic_acid",
)  # fmt: skip
_BASE_GROUPS = ("primary_amine", "secondary_amine", "tertiary_amine", "guanidine")
_ACID_GROUPS = ("carboxylic_acid", "sulfonic_acid")
_HALOGEN_GROUPS = ("fluoro_alkyl", "chloro_alkyl", "bromo_alkyl")

# Hydrogens that can be given to a hydrogen bond; a molecule without one has A = 0. N-oxides bring their water along and
# behave as if they had one.
DONOR_SMARTS = (
    "[$([O,S,N,n;!H0]),$([n+][O-]),$([CX2H1]#*),$([CX4;!H0]([F,Cl,Br,I])),$([CX4;!H0][N+](=O)[O-]),$([CX4;!H0]C#N),"
    "$([CX4;!H0]S(=O)=O),$([CX3H1]=O)]"
)
_STRONG_DONOR_SMARTS = "[$([O,S,N,n;!H0]),$([n+][O-])]"
# Hydrogen on carbon alone gives no more than chloroform and its kin do.
MOST_CARBON_DONOR_A = 0.25


def most_acidity(mol: Chem.Mol) -> float:
    """Return the highest A that a neutral form can have: 0 without a donor, little where only C-H gives."""
    if mol.HasSubstructMatch(query(_STRONG_DONOR_SMARTS)):
        return math.inf
    return MOST_CARBON_DONOR_A if mol.HasSubstructMatch(query(DONOR_SMARTS)) else 0.0


def neutral_form(mol: Chem.Mol) -> Chem.Mol:
    """Return the molecule with acids protonated and bases free; nitro groups, N-oxides and permanent ions stay."""
    charged = [a.GetIdx() for a in atoms_of(mol) if a.GetFormalCharge()]
    if not charged:
        return _usual_tautomer(mol)
    edit = Chem.RWMol(mol)
    if any(mol.GetAtomWithIdx(index).GetIsAromatic() for index in charged):
        Chem.Kekulize(edit, clearAromaticFlags=True)
    for index in charged:
        atom = edit.GetAtomWithIdx(index)
        charge = atom.GetFormalCharge()
        if any(n.GetFormalCharge() * charge < 0 for n in atom.GetNeighbors()):
            continue
        hydrogens = atom.GetTotalNumHs()
        if charge > 0 and hydrogens == 0:
            continue
        moved = min(charge, hydrogens) if charge > 0 else charge
        atom.SetFormalCharge(charge - moved)
        atom.SetNoImplicit(True)
        atom.SetNumExplicitHs(hydrogens - moved)
    # Writing and reading clears what the old charges left behind (aromatic flags, explicit hydrogens).
    neutral = read_anew(edit)
    return _usual_tautomer(mol if neutral is None else neutral)


# Tautomers: what people write, and the form that predominates in water. Atoms: donor, carbon, ..., acceptor last.
_TAUTOMERS = (
    # amide, urea or thioamide written as the imidic acid
    "[OX2H1,SX2H1]-[CX3;!$(C(=N)-[OX2H]-[N])]=[NX2;!$(N-[O,N])]",
    # 2-pyridone and its kin, 2-mercaptobenzazoles; 3-hydroxyisoxazole stays as written
    "[OX2H1,SX2H1]-c:[nX2;!$(n:o)]",
    # 4-pyridone
    "[OX2H1]-c1[c,n][c,n][nX2][c,n][c,n]1",
    # aminoazines written as the imine
    "[nH1]:c=[NX2H1]",
)


def _usual_tautomer(mol: Chem.Mol) -> Chem.Mol:
    """Return the molecule with imidic acids as amides, hydroxyazines as pyridones and iminoazines as amines."""
    if not any(a.GetAtomicNum() == 7 for a in atoms_of(mol)):
        return mol
    for smarts in _TAUTOMERS:
        for _ in range(8):
            match = mol.GetSubstructMatch(query(smarts))
            if not match:
                break
            changed = _shift_hydrogen(mol, match[0], match[1], match[4 if len(match) > 3 else 2])
            if changed is None or changed.GetNumAtoms() != mol.GetNumAtoms():
                break
            mol = changed
    return mol


def _shift_hydrogen(mol: Chem.Mol, donor: int, carbon: int, acceptor: int) -> Chem.Mol | None:
    """Return the tautomer with a hydrogen of ``donor`` on ``acceptor``; ``None`` where none can be drawn."""
    edit = Chem.RWMol(mol)
    for first, second in ((donor, carbon), (carbon, acceptor)):
        bond = edit.GetBondBetweenAtoms(first, second)
        if bond is not None and not bond.GetIsAromatic():
            kinds = {Chem.BondType.SINGLE: Chem.BondType.DOUBLE, Chem.BondType.DOUBLE: Chem.BondType.SINGLE}
            bond.SetBondType(kinds[bond.GetBondType()])
    for index, change in ((donor, -1), (acceptor, 1)):
        atom = edit.GetAtomWithIdx(index)
        hydrogens = atom.GetTotalNumHs() + change
        atom.SetNoImplicit(True)
        atom.SetNumExplicitHs(hydrogens)
    return read_anew(edit)


def read_anew(edit: Chem.Mol) -> Chem.Mol | None:
    """Return an edited structure written and read anew, or ``None`` where it is none."""
    return read_smiles(Chem.MolToSmiles(edit))


def read_smiles(smiles: str) -> Chem.Mol | None:
    """Return the structure of a SMILES, or ``None`` where it is none; RDKit's log is kept quiet."""
    with rdBase.BlockLogs():
        return Chem.MolFromSmiles(smiles)


@cache
def query(smarts: str) -> Chem.Mol:
    """Return a SMARTS as a pattern, made once."""
    return compiled(smarts)


def mcgowan_volume(mol: Chem.Mol) -> float:
    """Return the McGowan volume V in (cm3/mol)/100."""
    hydrogens = sum(a.GetTotalNumHs() for a in atoms_of(mol))
    atoms = sum(MCGOWAN_ATOM_ML.get(a.GetAtomicNum(), _HEAVY_METAL_ML) for a in atoms_of(mol))
    bonds = mol.GetNumBonds() + hydrogens
    return (atoms + hydrogens * MCGOWAN_ATOM_ML[1] - MCGOWAN_BOND_ML * bonds) / 100


class FragmentCounter:
    """Counts the fragments of ``tables/solute_fragments.csv`` in a molecule."""

    def __init__(self) -> None:
        self.ids = tuple(table(SoluteFragment))
        self._patterns = [(i, Pattern(text)) for i, text in enumerate(column(SoluteFragment, "smarts")) if text]
        index = {name: i for i, name in enumerate(self.ids)}
        self._computed = [index[name] for name in COMPUTED]
        self._donors = [index[name] for name in _DONOR_GROUPS]
        self._acceptors = [index[name] for name in _ACCEPTOR_GROUPS]
        self._bases = [index[name] for name in _BASE_GROUPS]
        self._acids = [index[name] for name in _ACID_GROUPS]
        self._halogens = [index[name] for name in _HALOGEN_GROUPS]

    def count(self, mol: Chem.Mol) -> tuple[list[float], float, float]:
        """Return the counts (one per fragment), V and Crippen's log P of a neutral form."""
        counts = [0.0] * len(self.ids)
        lacks = ~holdings(mol)
        for i, pattern in self._patterns:
            if not pattern.needs & lacks:
                counts[i] = float(len(mol.GetSubstructMatches(pattern.query, maxMatches=500)))
        volume = mcgowan_volume(mol)
        from rdkit.Chem import rdMolDescriptors

        crippen, refraction = rdMolDescriptors.CalcCrippenDescriptors(mol)
        heavy = max(1, mol.GetNumHeavyAtoms())
        donors = _added(counts, self._donors)
        acceptors = _added(counts, self._acceptors)
        halogens = _added(counts, self._halogens)
        computed = (
            1.0,
            volume,
            refraction / 10,
            crippen,
            max(0.0, donors - 1),
            max(0.0, donors - 3),
            max(0.0, acceptors - 1),
            max(0.0, acceptors - 4),
            acceptors**0.5,
            acceptors**2 / heavy,
            donors**2 / heavy,
            max(0.0, halogens - 3),
            min(_added(counts, self._bases), _added(counts, self._acids)),
            math.log(heavy),
            min(0.0, crippen),
            max(0.0, crippen - 4),
        )
        for i, value in zip(self._computed, computed, strict=True):
            counts[i] = value
        return counts, volume, crippen


def _added(counts: Sequence[float], places: Sequence[int]) -> float:
    return sum([counts[i] for i in places])


def block(mol: Chem.Mol) -> str:
    """Return the first block of the InChIKey: the skeleton, whatever its stereochemistry or charge layer."""
    with rdBase.BlockLogs():
        return Chem.MolToInchiKey(mol)[:14]
