"""Metals as they are meant, however they are drawn: salts as ions, and what is bonded with its bonds."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

from rdkit import Chem


def as_meant(mol: Chem.Mol, smiles: str) -> Chem.Mol:
    """Return the molecule of ``smiles`` with its salts as ions and halides, hydrides, alkyls and carbonyls of metals bonded."""
    if "." in smiles and ("[C-]#[O+]" in smiles or "[O+]#[C-]" in smiles):
        return _with_carbonyls(mol)
    if "." in smiles and re.search(_DRAWN_AS_IONS, smiles):
        return _bonded(mol)
    return _as_ions(mol) if "[" in smiles and re.search(_METAL, smiles) else mol


# Elements whose halides, hydrides and alkyls are bonded, and are drawn as ions by many databases all the same.
_DRAWN_AS_IONS = r"\[(?:Al|B|Ti|Sn|Mg|Zn)\+"
_WHOLLY_HALIDES = {13: 3, 5: 3, 22: 4, 50: 4}
_HALOGENS = frozenset((9, 17, 35, 53))


def _bonded(mol: Chem.Mol) -> Chem.Mol:
    """Return a reagent that is drawn as ions as the compound that it is.

    Aluminium chloride, lithium aluminium hydride, a Grignard reagent; all else comes back as it was, salts of other
    anions included.
    """
    metals = [a for a in mol.GetAtoms() if a.GetAtomicNum() in (13, 5, 22, 50, 12, 30) and a.GetFormalCharge() > 1]
    if len(metals) != 1 or metals[0].GetDegree():
        return mol
    metal, charge = metals[0], metals[0].GetFormalCharge()
    hydrides = [a for a in mol.GetAtoms() if a.GetAtomicNum() == 1 and a.GetFormalCharge() == -1]
    halides = [
        a for a in mol.GetAtoms() if a.GetAtomicNum() in _HALOGENS and a.GetFormalCharge() == -1 and not a.GetDegree()
    ]
    carbanions = [a for a in mol.GetAtoms() if a.GetAtomicNum() == 6 and a.GetFormalCharge() == -1 and _sigma(a)]
    number = metal.GetAtomicNum()
    edit = Chem.RWMol(mol)
    if number in (13, 5) and charge == 3 and len(hydrides) == 4:
        own = edit.GetAtomWithIdx(metal.GetIdx())
        own.SetFormalCharge(-1)
        own.SetNoImplicit(True)
        own.SetNumExplicitHs(4)
        for index in sorted((a.GetIdx() for a in hydrides), reverse=True):
            edit.RemoveAtom(index)
    elif _WHOLLY_HALIDES.get(number) == charge == len(halides) == mol.GetNumAtoms() - 1:
        _bind(edit, metal, halides)
    elif number in (12, 30) and carbanions and len(carbanions) + len(halides) == 2:
        _bind(edit, metal, [*carbanions, *halides])
    else:
        return mol
    made = edit.GetMol()
    problem = Chem.SanitizeMol(made, catchErrors=True)
    return mol if problem != Chem.SanitizeFlags.SANITIZE_NONE else made


def _with_carbonyls(mol: Chem.Mol) -> Chem.Mol:
    """Return a metal carbonyl that is drawn as a metal beside carbon monoxide with its bonds, shared out evenly."""
    bare = [a.GetIdx() for a in mol.GetAtoms() if not (a.GetDegree() or a.GetFormalCharge()) and _holds_carbonyls(a)]
    carbonyls = [match[0] for match in mol.GetSubstructMatches(Chem.MolFromSmarts("[C-;D1]#[O+;D1]"))]
    if not bare or len(carbonyls) < len(bare):
        return mol
    edit = Chem.RWMol(mol)
    for n, carbon in enumerate(carbonyls):
        edit.AddBond(carbon, bare[n % len(bare)], Chem.BondType.DATIVE)
    for one, other in pairwise(bare):
        edit.AddBond(one, other, Chem.BondType.SINGLE)
    made = edit.GetMol()
    problem = Chem.SanitizeMol(made, catchErrors=True)
    return mol if problem != Chem.SanitizeFlags.SANITIZE_NONE else made


def _holds_carbonyls(atom: Chem.Atom) -> bool:
    """Tell of the metals of groups 5 to 10."""
    number = int(atom.GetAtomicNum())
    return 23 <= number <= 28 or 41 <= number <= 46 or 73 <= number <= 78


def _sigma(carbanion: Chem.Atom) -> bool:
    """Tell a carbanion that a metal sits on from cyanide and from the ring of a sandwich complex."""
    if carbanion.GetIsAromatic():
        return bool(carbanion.IsInRingSize(6))
    return all(n.GetAtomicNum() != 7 for n in carbanion.GetNeighbors())


def _bind(edit: Chem.RWMol, metal: Chem.Atom, anions: list[Chem.Atom]) -> None:
    for atom in [metal, *anions]:
        edit.GetAtomWithIdx(atom.GetIdx()).SetFormalCharge(0)
    for atom in anions:
        edit.AddBond(metal.GetIdx(), atom.GetIdx(), Chem.BondType.SINGLE)
        edit.GetAtomWithIdx(atom.GetIdx()).SetNoImplicit(atom.GetAtomicNum() != 6)


# A salt drawn with a bond, CCO[Na] or N#C[Na], is a salt all the same. Bonds from these metals to carbon stay, but for cyanide.
_METAL = r"\[(?:Li|Na|K|Rb|Cs|Mg|Ca|Sr|Ba|Cu|Ag|Zn|Cd|Hg)\]"
_ALWAYS_ION = frozenset({"Li", "Na", "K", "Rb", "Cs", "Mg", "Ca", "Sr", "Ba"})
_METALS = _ALWAYS_ION | {"Cu", "Ag", "Zn", "Cd", "Hg"}


def _as_ions(mol: Chem.Mol) -> Chem.Mol:
    """Return the molecule with the bonds of salts broken into charges; what holds a metal by carbon is left as it is."""
    cyanide = {match[0] for match in mol.GetSubstructMatches(_cyanide())}
    apart: list[tuple[int, int]] = []
    for metal in mol.GetAtoms():
        if metal.GetSymbol() not in _METALS or metal.GetFormalCharge() or metal.GetTotalNumHs():
            continue
        beside = metal.GetNeighbors()
        if any(a.GetSymbol() in ("C", *_METALS) and a.GetIdx() not in cyanide for a in beside):
            continue
        apart += [
            (metal.GetIdx(), a.GetIdx())
            for a in beside
            if metal.GetSymbol() in _ALWAYS_ION or a.GetIdx() in cyanide
            if mol.GetBondBetweenAtoms(metal.GetIdx(), a.GetIdx()).GetBondType() == Chem.BondType.SINGLE
        ]
    if not apart:
        return mol
    ions = Chem.RWMol(mol)
    for metal_at, other_at in apart:
        ions.RemoveBond(metal_at, other_at)
        for at, charge in ((metal_at, 1), (other_at, -1)):
            atom = ions.GetAtomWithIdx(at)
            atom.SetFormalCharge(atom.GetFormalCharge() + charge)
    Chem.SanitizeMol(ions)
    return ions.GetMol()


@lru_cache(maxsize=1)
def _cyanide() -> Chem.Mol:
    return Chem.MolFromSmarts("[C;D2](#[N;D1])-[Li,Na,K,Rb,Cs,Mg,Ca,Sr,Ba,Cu,Ag,Zn,Cd,Hg]")
