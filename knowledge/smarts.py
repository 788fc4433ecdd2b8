"""SMARTS that are looked for in a molecule only when it holds all that a match needs.

Of a thousand rows a molecule matches ten. What a match needs is read off the text of the SMARTS (``smarts_reading.py``): elements
and how many of each, atoms with two marks, bonds between marked atoms, what surrounds an atom. Of all that could be needed,
``smarts_needs.py`` names the few hundred that tell most; they are kept as bits, as is what a molecule holds, so that one operation
tells. It has the bits of the tables' SMARTS too, which take a while to read off; what it lacks is read off when it is asked for.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import cache, cached_property, lru_cache
from itertools import product

from rdkit import Chem

from washlore.knowledge.atoms import atoms_of, bonds_of
from washlore.knowledge.smarts_needs import KNOWN, NEEDS

MOST_COUNTED = 12
MOST_KEPT = 500
_ORDERS = {
    Chem.BondType.SINGLE: "-", Chem.BondType.DOUBLE: "=", Chem.BondType.TRIPLE: "#", Chem.BondType.AROMATIC: ":",
}  # fmt: skip
# What a SMARTS may leave open, with a number of its own: any halogen, any metal.
_NO_METAL = (0, 1, 2, 5, 6, 7, 8, 9, 10, 14, 15, 16, 17, 18, 32, 33, 34, 35, 36, 52, 53, 54, 85, 86)
HALOGEN, METAL = -1, -2
ANY_OF = {HALOGEN: frozenset((9, 17, 35, 53)), METAL: frozenset(range(119)).difference(_NO_METAL)}


# What can be needed, by its bit. Of an element, by its number (-1: any halogen, -2: any metal): "6 x2" two atoms. Of an atom, one
# or two marks: "6 a" and "6 A" aromatic or not; "7 +", "7 -" and "7 n" its charge; "8 H1", "8 H" and "8 h" one, some or no
# hydrogen; "6 X4" and "6 D3" four bonds or three neighbours; "6 R", "6 r" and "6 r5" in a ring or not, and the size of its
# smallest. Of a bond, each end with a mark or none: "6  =  8", "6 X3 ~ H1 8" with ~ for any. "6 by 6 8": a carbon that holds a
# carbon and an oxygen.
_BITS: dict[str, int] = {need: 1 << bit for bit, need in enumerate(NEEDS)}


def bits(needs: Iterable[str]) -> int:
    """Return needs as bits; those that ``smarts_needs.py`` does not name are left out."""
    found = 0
    for need in needs:
        found |= _BITS.get(need, 0)
    return found


_Asked = tuple[
    dict[int, list[tuple[frozenset[str], int]]],
    dict[tuple[int, str, int], list[tuple[str, str, int]]],
    dict[int, list[tuple[Counter[int], int]]],
]


@cache
def _asked() -> _Asked:
    """Return what is asked for, each with its bit.

    By element which marks of an atom together; by two elements and the order of their bond which mark of each end (empty:
    any); by element which neighbours.
    """
    atoms: dict[int, list[tuple[frozenset[str], int]]] = {}
    bonds: dict[tuple[int, str, int], list[tuple[str, str, int]]] = {}
    around: dict[int, list[tuple[Counter[int], int]]] = {}
    for need, bit in _BITS.items():
        match need.split(" "):
            case [number, "by", *its]:
                around.setdefault(int(number), []).append((Counter(map(int, its)), bit))
            case [one, mark, order, its_mark, two]:
                bonds.setdefault((int(one), order, int(two)), []).append((mark, its_mark, bit))
            case [number, *marks] if not marks[0].startswith("x"):
                atoms.setdefault(int(number), []).append((frozenset(marks), bit))
    return atoms, bonds, around


@lru_cache(maxsize=200)
def _elements(number: int) -> tuple[int, ...]:
    return (number, *(kind for kind, its in ANY_OF.items() if number in its))


# An atom by its element, aromatic or not, charge, hydrogens, bonds, neighbours, in a ring, size of its smallest ring.
_Kind = tuple[int, bool, int, int, int, int, bool, int]


@lru_cache(maxsize=2_000)
def _marks(kind: _Kind) -> frozenset[str]:
    _, aromatic, charge, hydrogens, connections, neighbours, ring, size = kind
    return frozenset(
        (
            "a" if aromatic else "A",
            "+" if charge > 0 else "-" if charge else "n",
            f"H{hydrogens}",
            "H" if hydrogens else "h",
            f"X{connections}",
            f"D{neighbours}",
            "R" if ring else "r",
            f"r{size}",
        )
    )


@lru_cache(maxsize=2_000)
def _atom_bits(kind: _Kind) -> int:
    held, marks = 0, _marks(kind)
    for number in _elements(kind[0]):
        for wanted, bit in _asked()[0].get(number, ()):
            if wanted <= marks:
                held |= bit
    return held


@lru_cache(maxsize=2_000)
def _bond_bits(one: _Kind, two: _Kind, order: str) -> int:
    held = 0
    for here, there in ((one, two), (two, one)):
        marks, its = _marks(here), _marks(there)
        for number, other in product(_elements(here[0]), _elements(there[0])):
            for bond in ("~", order):
                for mark, its_mark, bit in _asked()[1].get((number, bond, other), ()):
                    if (not mark or mark in marks) and (not its_mark or its_mark in its):
                        held |= bit
    return held


@lru_cache(maxsize=2_000)
def _surroundings_bits(number: int, around: tuple[int, ...]) -> int:
    there = Counter(one for neighbour in around for one in _elements(neighbour))
    held = 0
    for own in _elements(number):
        for wanted, bit in _asked()[2].get(own, ()):
            if all(there[one] >= count for one, count in wanted.items()):
                held |= bit
    return held


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
    rings = mol.GetRingInfo()
    kinds: list[_Kind] = [
        (
            a.GetAtomicNum(),
            a.GetIsAromatic(),
            a.GetFormalCharge(),
            a.GetTotalNumHs(True),
            a.GetTotalDegree(),
            a.GetDegree(),
            a.IsInRing(),
            rings.MinAtomRingSize(index),
        )
        for index, a in enumerate(atoms_of(mol))
    ]
    held = 0
    for kind in set(kinds):
        held |= _atom_bits(kind)
    around: list[list[int]] = [[] for _ in kinds]
    bonds = set()
    for bond in bonds_of(mol):
        begin, end = bond.GetBeginAtomIdx(), bond.GetEndAtomIdx()
        around[begin].append(kinds[end][0])
        around[end].append(kinds[begin][0])
        bonds.add((kinds[begin], kinds[end], _ORDERS.get(bond.GetBondType(), "")))
    for one, two, order in bonds:
        held |= _bond_bits(one, two, order)
    for number, its in {(kind[0], tuple(sorted(its))) for kind, its in zip(kinds, around, strict=True) if len(its) > 1}:
        held |= _surroundings_bits(number, its)
    counts = Counter(number for kind in kinds for number in _elements(kind[0]))
    return held | bits(
        f"{number} x{n}" for number, count in counts.items() for n in range(1, min(count, MOST_COUNTED) + 1)
    )


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

    def found_in(self, mol: Chem.Mol) -> bool:
        """Tell whether a molecule has a match. Raises ``ValueError`` for what is not SMARTS."""
        return self.possible(holdings(mol)) and mol.HasSubstructMatch(self.query)

    def matches_in(self, mol: Chem.Mol) -> tuple[tuple[int, ...], ...]:
        """Return the matches in a molecule, each as indices of atoms. Raises ``ValueError`` for what is not SMARTS."""
        return tuple(mol.GetSubstructMatches(self.query)) if self.possible(holdings(mol)) else ()
