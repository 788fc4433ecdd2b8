"""SMARTS that are looked for in a molecule only when it holds all that a match needs.

Of a thousand rows a molecule matches ten. What a match needs is read off the text of the SMARTS (``smarts_reading.py``):
elements and how many of each, aromatic or not, charged or not, and which are bonded to which and how. It is kept as bits, as is
what a molecule holds, so that one operation tells; ``smarts_needs.py`` has those of the tables, which take a while to read off.
What it lacks is read off when it is asked for.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import cached_property

from rdkit import Chem

from washlore.knowledge.atoms import atoms_of, bonds_of
from washlore.knowledge.smarts_needs import KNOWN, NEEDS

MOST_COUNTED = 12
MOST_KEPT = 500
_ORDERS = {
    Chem.BondType.SINGLE: "-", Chem.BondType.DOUBLE: "=", Chem.BondType.TRIPLE: "#", Chem.BondType.AROMATIC: ":",
}  # fmt: skip

# What can be needed, by its bit: "6x2" two carbons; "6a" and "6A" an aromatic and another one; "7+", "7-" and "7n" nitrogen by
# its charge; "8H1", "8H" and "8h" oxygen with one, some or no hydrogen; "6X4" and "6D3" carbon with four bonds or three
# neighbours; "6R" and "6r" in a ring or not; "6=8" a double bond between carbon and oxygen, "7~8" any bond.
_BITS: dict[str, int] = {need: bit for bit, need in enumerate(NEEDS)}


def _bit(need: str) -> int:
    return 1 << _BITS.setdefault(need, len(_BITS))


def bits(needs: Iterable[str]) -> int:
    """Return needs as bits."""
    found = 0
    for need in needs:
        found |= _bit(need)
    return found


_last_held: dict[int, tuple[Chem.Mol, int]] = {}


def holdings(mol: Chem.Mol) -> int:
    """Return what a molecule holds, as bits; those of the last molecules are kept."""
    known = _last_held.get(id(mol))
    if known is None or known[0] is not mol:
        if len(_last_held) > MOST_KEPT:
            _last_held.clear()
        known = _last_held[id(mol)] = (mol, _holdings(mol))
    return known[1]


def _holdings(mol: Chem.Mol) -> int:
    atoms = [
        (
            a.GetAtomicNum(),
            a.GetIsAromatic(),
            a.GetFormalCharge(),
            a.GetTotalNumHs(True),
            a.GetTotalDegree(),
            a.GetDegree(),
            a.IsInRing(),
        )
        for a in atoms_of(mol)
    ]
    held: set[str] = set()
    for number, aromatic, charge, hydrogens, connections, neighbours, ring in set(atoms):
        held.update(
            (
                f"{number}{'a' if aromatic else 'A'}",
                f"{number}{'+' if charge > 0 else '-' if charge else 'n'}",
                f"{number}H{hydrogens}",
                f"{number}{'H' if hydrogens else 'h'}",
                f"{number}X{connections}",
                f"{number}D{neighbours}",
                f"{number}{'R' if ring else 'r'}",
            )
        )
    for number, count in Counter(atom[0] for atom in atoms).items():
        held.update([f"{number}x{n}" for n in range(1, min(count, MOST_COUNTED) + 1)])
    pairs = {
        (atoms[bond.GetBeginAtomIdx()][0], atoms[bond.GetEndAtomIdx()][0], bond.GetBondType()) for bond in bonds_of(mol)
    }
    for one, two, kind in pairs:
        if one > two:
            one, two = two, one
        held.add(f"{one}~{two}")
        if kind in _ORDERS:
            held.add(f"{one}{_ORDERS[kind]}{two}")
    return bits(held)


def compiled(smarts: str) -> Chem.Mol:
    """Return a SMARTS as a pattern for RDKit. Raises ``ValueError`` for what is none."""
    query = Chem.MolFromSmarts(smarts)
    if query is None:
        raise ValueError(f"{smarts!r} is not SMARTS that can be read")
    return query


def _read_off(smarts: str) -> int:
    from washlore.knowledge.smarts_reading import needs

    return bits(needs(smarts))


class Pattern:
    """A SMARTS, compiled at its first use."""

    def __init__(self, smarts: str) -> None:
        self.smarts = smarts
        known = KNOWN.get(smarts)
        self.needs = _read_off(smarts) if known is None else known

    @cached_property
    def query(self) -> Chem.Mol:
        """The pattern for RDKit. Raises ``ValueError`` for what is not SMARTS."""
        return compiled(self.smarts)

    def possible(self, held: int) -> bool:
        """Tell whether a molecule with these ``holdings`` could match."""
        return not self.needs & ~held
