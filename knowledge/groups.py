"""Perception: which functional groups a molecule holds, what pH they stand, and which leftover needs a quench.

The groups are the rows of ``tables/groups.csv`` and the leftovers the rows of ``tables/residues.csv``. A row is found
by its SMARTS; for the groups named in ``STEREO_GROUPS`` the first atom of the hit must also carry a written
configuration, since a racemic sample loses nothing by enolising.
"""

from __future__ import annotations

from functools import cache, cached_property, lru_cache
from typing import Any, Generic, TypeVar

from rdkit import Chem
from rdkit.rdBase import BlockLogs

from washlore.knowledge.atoms import atoms_of, bonds_of
from washlore.knowledge.records import dataclass

from .rows import Group, Residue, TableError, column, table
from .smarts import Pattern, compiled, holdings
from .structure import Molecule

STEREO_GROUPS = frozenset(
    {
        "stereo_alpha_aldehyde",
        "stereo_alpha_ketone",
        "stereo_alpha_ester",
        "stereo_arylglycine",
        "stereo_alpha_activated",
    }
)
_ALKALI = (3, 11, 19)
# What an alkali metal or its hydride becomes: ``becomes`` says so, and each metal makes its own.
HYDROXIDE = "hydroxide of the metal"
_CHARGES = {3: 1, 11: 1, 19: 1, 37: 1, 55: 1, 20: 2, 38: 2, 56: 2}
_MOST_STEPS = 8  # a quench that repeats (a dichloride, a tin trihydride) is followed this often

_R = TypeVar("_R", Group, Residue)


@dataclass(frozen=True)
class Match:
    """One hit of a group: the row, and the atoms by their index in the canonical SMILES of the ``Molecule``."""

    group: Group
    atoms: tuple[int, ...]


class RowPattern(Pattern, Generic[_R]):
    """A row and the pattern that finds it."""

    def __init__(self, row: _R, smarts: str | None = None) -> None:
        super().__init__(row.smarts if smarts is None else smarts)
        self.row: _R = row

    @cached_property
    def query(self) -> Chem.Mol:
        """The pattern for RDKit. Raises ``TableError`` for what is not SMARTS."""
        try:
            return compiled(self.smarts)
        except ValueError as error:
            raise TableError(f"{self.row.table}.csv, row {self.row.id!r}, column smarts: {error}") from None


@cache
def _group_patterns() -> tuple[RowPattern[Group], ...]:
    return tuple(map(RowPattern, table(Group).values(), column(Group, "smarts")))


@cache
def _residue_patterns() -> tuple[RowPattern[Residue], ...]:
    return tuple(map(RowPattern, table(Residue).values(), column(Residue, "smarts")))


@lru_cache(maxsize=1_000)
def molecule_groups(molecule: Molecule) -> tuple[Match, ...]:
    """Return every hit of every group, in the order of the table, then of the atoms."""
    lacks = ~holdings(molecule.mol)
    found: list[Match] = []
    for pattern in _group_patterns():
        if pattern.needs & lacks:
            continue
        for atoms in molecule.mol.GetSubstructMatches(pattern.query):
            if pattern.row.id not in STEREO_GROUPS or _written_stereo(molecule.mol, atoms[0]):
                found.append(Match(pattern.row, tuple(atoms)))
    return tuple(found)


def _written_stereo(mol: Chem.Mol, atom: int) -> bool:
    return mol.GetAtomWithIdx(atom).GetChiralTag() != Chem.ChiralType.CHI_UNSPECIFIED


def ph_window(molecule: Molecule) -> tuple[float, Match | None, float, Match | None]:
    """Return the pH that all groups of the molecule stand, as lowest, its cause, highest, its cause.

    Without a limit the end is 0 or 14 and its cause ``None``. Where two groups share a limit the first of the table
    is named. The ends may cross: then no wash suits every group.
    """
    lowest: float | None = None
    highest: float | None = None
    low_match: Match | None = None
    high_match: Match | None = None
    for match in molecule_groups(molecule):
        low, high = match.group.lowest_ph, match.group.highest_ph
        if low is not None and (lowest is None or low > lowest):
            lowest, low_match = low, match
        if high is not None and (highest is None or high < highest):
            highest, high_match = high, match
    return (
        0.0 if lowest is None else lowest,
        low_match,
        14.0 if highest is None else highest,
        high_match,
    )


def molecule_residue(molecules: tuple[Molecule, ...]) -> Residue | None:
    """Return the first row of the residue table that hits a part of the component, ``None`` if none does."""
    hits = all_residues(molecules)
    return hits[0][0] if hits else None


@lru_cache(maxsize=1_000)
def all_residues(molecules: tuple[Molecule, ...]) -> tuple[tuple[Residue, tuple[int, ...]], ...]:
    """Return each residue row that hits a part, in the order of the table, with the atoms of one hit.

    The atoms count within the part that was hit, the first such part in the order of ``molecules``. Atoms that a row
    has claimed are closed to the rows after it, so that lithium aluminium hydride is not an aluminium salt as well.
    """
    parts = [(m.mol, ~holdings(m.mol)) for m in molecules]
    claimed: list[set[int]] = [set() for _ in parts]
    found: list[tuple[Residue, tuple[int, ...]]] = []
    for pattern in _residue_patterns():
        hit: tuple[int, ...] = ()
        for (mol, lacks), taken in zip(parts, claimed, strict=True):
            free = [] if pattern.needs & lacks else _free_hits(pattern, mol, taken)
            if free:
                hit = hit or free[0]
                taken.update(*free)
        if hit:
            found.append((pattern.row, hit))
    return tuple(found)


def freed_base(smiles: str) -> str:
    """Return the free base of a protonated one, and anything else unchanged."""
    mol = Chem.MolFromSmiles(smiles)
    for atom in atoms_of(mol):
        if atom.GetAtomicNum() == 7 and atom.GetFormalCharge() == 1 and atom.GetTotalNumHs():
            atom.SetFormalCharge(0)
            atom.SetNumExplicitHs(max(0, atom.GetNumExplicitHs() - 1))
    with BlockLogs():
        problem = Chem.SanitizeMol(mol, catchErrors=True)
    return smiles if problem != Chem.SanitizeFlags.SANITIZE_NONE else Chem.MolToSmiles(mol)


def hit_by(residue: Residue, molecule: Molecule) -> bool:
    """Tell whether a row of the residues hits a molecule."""
    pattern = next(p for p in _residue_patterns() if p.row.id == residue.id)
    return molecule.mol.HasSubstructMatch(pattern.query)


def count_hits(residue: Residue, molecule: Molecule) -> int:
    """Return how often a row of the residues hits a molecule, each time other atoms of it, none bound to those before."""
    pattern = next(p for p in _residue_patterns() if p.row.id == residue.id)
    taken: set[int] = set()
    count = 0
    for hit in molecule.mol.GetSubstructMatches(pattern.query):
        if taken.isdisjoint(hit):
            taken.update(hit, *((n.GetIdx() for n in molecule.mol.GetAtomWithIdx(i).GetNeighbors()) for i in hit))
            count += 1
    return count


def _free_hits(pattern: RowPattern[Residue], mol: Chem.Mol, taken: set[int]) -> list[tuple[int, ...]]:
    return [tuple(atoms) for atoms in mol.GetSubstructMatches(pattern.query) if taken.isdisjoint(atoms)]


@cache
def _reaction(smarts: str) -> Any:
    from rdkit.Chem import rdChemReactions

    reaction = rdChemReactions.ReactionFromSmarts(smarts)
    reaction.Initialize()
    return reaction


def becomes(residue: Residue, molecule: Molecule) -> tuple[str, ...]:
    """Return the canonical SMILES of what the quench makes of ``molecule``; nothing where nothing organic is left.

    A reaction SMARTS is applied until it finds no more to change; a part that it does not hit gives nothing. A bond
    to lithium, sodium or potassium counts as an ion pair, whatever way it was written.
    """
    if not residue.becomes:
        return ()
    if residue.becomes == HYDROXIDE:
        metals = [a for a in atoms_of(molecule.mol) if a.GetAtomicNum() in _CHARGES]
        return tuple(dict.fromkeys(_hydroxide(a) for a in metals))
    if ">>" not in residue.becomes:
        parts = dict.fromkeys(_split(residue.becomes))
        ions = [p for p in parts if Chem.GetFormalCharge(Chem.MolFromSmiles(p))]
        salt = [".".join(ions)] if ions else []  # the ions of a salt are one thing
        return tuple([p for p in parts if p not in ions] + salt)
    done: list[str] = []
    waiting = [(smiles, 0) for smiles in _ion_pair(molecule.smiles)]
    while waiting:
        smiles, step = waiting.pop(0)
        after = _turn(residue.becomes, smiles) if step < _MOST_STEPS else None
        if after is not None:
            waiting.extend((s, step + 1) for s in after)
        elif step:
            done.append(smiles)
    return tuple(dict.fromkeys(done))


def _hydroxide(metal: Chem.Atom) -> str:
    charge = _CHARGES[metal.GetAtomicNum()]
    ion = f"[{metal.GetSymbol()}+{charge if charge > 1 else ''}]"
    return Chem.MolToSmiles(Chem.MolFromSmiles(".".join([ion] + ["[OH-]"] * charge)))


def _ion_pair(smiles: str) -> list[str]:
    """Return the parts of a molecule once alkali metals written with a bond stand as cations."""
    mol = Chem.RWMol(Chem.MolFromSmiles(smiles))
    for bond in bonds_of(mol):
        for metal, partner in ((bond.GetBeginAtom(), bond.GetEndAtom()), (bond.GetEndAtom(), bond.GetBeginAtom())):
            if metal.GetAtomicNum() in _ALKALI and metal.GetDegree() == 1 and metal.GetFormalCharge() == 0:
                metal.SetFormalCharge(1)
                partner.SetFormalCharge(partner.GetFormalCharge() - 1)
                mol.RemoveBond(metal.GetIdx(), partner.GetIdx())
                break
    return Chem.MolToSmiles(mol).split(".")


def _turn(smarts: str, smiles: str) -> list[str] | None:
    """Return the products of one turn of a reaction, or ``None`` where it does not apply."""
    with BlockLogs():
        mol = Chem.MolFromSmiles(smiles)
    if mol is None:
        return None  # drawn in a way that stands only with what it was bound to, such as a carbanion with five bonds
    for products in _reaction(smarts).RunReactants((mol,)):
        out: list[str] = []
        for product in products:
            for atom in atoms_of(product):
                # an atom that lost its charge must take the hydrogens that its valence asks for
                if atom.GetFormalCharge() == 0 and (atom.GetAtomicNum() == 6 or _plain_hetero(atom)):
                    atom.SetNoImplicit(False)
                    atom.SetNumExplicitHs(0)
            with BlockLogs():
                problem = Chem.SanitizeMol(product, catchErrors=True)
            if problem != Chem.SanitizeFlags.SANITIZE_NONE:
                break
            out += _split(Chem.MolToSmiles(product))
        else:
            if out != [smiles]:
                return out
    return None


def _plain_hetero(atom: Chem.Atom) -> bool:
    return atom.GetAtomicNum() in (7, 8) and not atom.GetIsAromatic()


def _split(smiles: str) -> list[str]:
    return Chem.MolToSmiles(Chem.MolFromSmiles(smiles)).split(".")
