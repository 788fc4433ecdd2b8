"""What lies around the atoms of a molecule: neighbours, rings, bonds apart, and what kind of atom or group each is."""

from __future__ import annotations

from collections.abc import Sequence

from rdkit import Chem

from washlore.knowledge.atoms import atoms_of

UNREACHED = 10**8


class Surroundings:
    """A molecule prepared for the counting of features; what is not asked for is not worked out."""

    def __init__(self, mol: Chem.Mol) -> None:
        self.mol = mol
        self.atoms = atoms_of(mol)
        self.neighbours = [[n.GetIdx() for n in a.GetNeighbors()] for a in self.atoms]
        self.rings = [tuple(r) for r in mol.GetRingInfo().AtomRings()]
        self.aromatic = [a.GetIsAromatic() for a in self.atoms]
        self.aromatic_rings = [r for r in self.rings if all(self.aromatic[i] for i in r)]
        self.bonds_apart = _BondsApart(self.neighbours)
        ranks = list(Chem.CanonicalRankAtoms(mol, breakTies=False))
        self.equivalent = [ranks.count(r) for r in ranks]
        self.ranks = ranks
        self._kinds: dict[int, str] = {}
        self._groups: dict[int, str] = {}

    def kind(self, atom: int) -> str:
        """Return the kind of an atom for inductive counts; empty where it is counted with its neighbour."""
        if atom not in self._kinds:
            from washlore.knowledge.substituents import atom_kind

            self._kinds[atom] = atom_kind(self.atoms[atom])
        return self._kinds[atom]

    def group(self, atom: int) -> str:
        """Return the id of the substituent that begins with ``atom``."""
        if atom not in self._groups:
            from washlore.knowledge.substituents import substituent

            self._groups[atom] = substituent(self.atoms[atom])
        return self._groups[atom]


class _BondsApart(dict[int, list[int]]):
    """How many bonds lie between an atom and each other one, worked out when it is asked for; ``UNREACHED`` if none lead there.

    RDKit gives the same as an array, for which it loads numpy.
    """

    def __init__(self, neighbours: Sequence[Sequence[int]]) -> None:
        super().__init__()
        self._neighbours = neighbours

    def __missing__(self, atom: int) -> list[int]:
        apart = [UNREACHED] * len(self._neighbours)
        apart[atom], distance, layer = 0, 0, [atom]
        while layer:
            distance += 1
            layer = [n for n in {n for a in layer for n in self._neighbours[a]} if apart[n] == UNREACHED]
            for n in layer:
                apart[n] = distance
        self[atom] = apart
        return apart
