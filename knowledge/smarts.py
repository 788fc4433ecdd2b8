"""SMARTS that are compiled when a molecule could match them.

Most rows of a table need an element that the molecule lacks; the text of the SMARTS shows it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from functools import cached_property, lru_cache

from rdkit import Chem

_SYMBOLS = {
    "B": 5, "C": 6, "N": 7, "O": 8, "F": 9, "P": 15, "S": 16, "I": 53, "Cl": 17, "Br": 35, "Si": 14, "Se": 34, "Sn": 50,
    "Li": 3, "Na": 11, "Mg": 12, "Al": 13, "Ca": 20, "Ti": 22, "Cr": 24, "Mn": 25, "Fe": 26, "Co": 27, "Ni": 28,
    "Cu": 29, "Zn": 30, "Ge": 32, "As": 33, "Ru": 44, "Rh": 45, "Pd": 46, "Ag": 47, "Te": 52, "Cs": 55, "Os": 76,
    "Pt": 78, "Au": 79, "Hg": 80, "Pb": 82, "b": 5, "c": 6, "n": 7, "o": 8, "p": 15, "s": 16,
}  # fmt: skip
# An atom: what stands between its brackets, which may hold further ones, or its bare symbol.
_ATOM = re.compile(r"\[((?:[^][]|\[(?:[^][]|\[(?:[^][]|\[[^][]*\])*\])*\])*)\]|(Cl|Br|[BCNOPSFIbcnops])")
_FIRST = re.compile(r"(?P<aromatic>se|as|te|si)|#(?P<number>\d+)|(?P<symbol>[A-Z][a-z]?|[bcnops])")


def elements(mol: Chem.Mol) -> Mapping[int, int]:
    """Return how many atoms of each atomic number a molecule has."""
    return Counter(a.GetAtomicNum() for a in mol.GetAtoms())


def demanded(smarts: str) -> Mapping[int, int]:
    """Return how many atoms of each atomic number whatever matches must have at least, as far as the text says so."""
    found: dict[int, int] = {}
    for text, bare in _ATOM.findall(smarts):
        number = _SYMBOLS[bare] if bare else _demanded_of_atom(text)
        if number:
            found[number] = found.get(number, 0) + 1
    return found


@lru_cache(maxsize=2_000)
def _demanded_of_atom(text: str) -> int:
    """Return the atomic number that the text between the brackets of an atom asks for, 0 where it leaves a choice."""
    for part in _without_environments(text).split(";"):
        first = _FIRST.match(part)
        if first is None or "," in part or first["aromatic"]:
            continue
        return int(first["number"]) if first["number"] else _SYMBOLS.get(first["symbol"], 0)
    return 0


def _without_environments(text: str) -> str:
    """Return the text with each ``$(...)`` emptied."""
    if "$" not in text:
        return text
    kept, depth = [], 0
    for sign in text:
        depth -= sign == ")"
        if depth == 0:
            kept.append(sign)
        depth += sign == "("
    return "".join(kept)


def compiled(smarts: str) -> Chem.Mol:
    """Return a SMARTS as a pattern for RDKit. Raises ``ValueError`` for what is none."""
    query = Chem.MolFromSmarts(smarts)
    if query is None:
        raise ValueError(f"{smarts!r} is not SMARTS that can be read")
    return query


class Pattern:
    """A SMARTS, compiled at its first use."""

    def __init__(self, smarts: str) -> None:
        self.smarts = smarts

    @cached_property
    def demands(self) -> tuple[tuple[int, int], ...]:
        """Atomic numbers, each with the number of atoms that a match needs at least."""
        return tuple(demanded(self.smarts).items())

    @cached_property
    def query(self) -> Chem.Mol:
        """The pattern for RDKit. Raises ``ValueError`` for what is not SMARTS."""
        return compiled(self.smarts)

    def possible(self, present: Mapping[int, int]) -> bool:
        """Tell whether a molecule of these elements could match."""
        for number, count in self.demands:  # noqa: SIM110 (a generator for each of thousands takes longer)
            if present.get(number, 0) < count:
                return False
        return True
