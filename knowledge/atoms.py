"""Atoms and bonds of a molecule, listed.

What RDKit gives to go through them counts the molecule anew at each step, which takes longer than what is asked of an atom.
"""

from __future__ import annotations

from rdkit import Chem


def atoms_of(mol: Chem.Mol) -> list[Chem.Atom]:
    """Return the atoms of a molecule, in their order."""
    at = mol.GetAtomWithIdx
    return [at(index) for index in range(mol.GetNumAtoms())]


def bonds_of(mol: Chem.Mol) -> list[Chem.Bond]:
    """Return the bonds of a molecule, in their order."""
    at = mol.GetBondWithIdx
    return [at(index) for index in range(mol.GetNumBonds())]
