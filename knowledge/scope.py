"""Structures whose behaviour in a separating funnel nothing here can tell, and why: as the product, and as a leftover."""

from __future__ import annotations

from collections.abc import Sequence

from rdkit import Chem

from . import inorganic
from .acidity import estimate, molecule_sites
from .groups import all_residues
from .structure import Molecule

_NITROXYL = Chem.MolFromSmarts("[O;X1]-[#7]")
# Hydrogen, nitrogen, oxygen; the noble gases.
GAS_FORMERS, NOBLE = frozenset((1, 7, 8)), frozenset((2, 10, 18, 36, 54))
_BARE_CARBANION = Chem.MolFromSmarts("[C;-1;!$([C-]~[*;+,+2])]")
_CARBON = Chem.MolFromSmarts("[#6]")


def outside(parts: Sequence[Molecule]) -> str:
    """Return why a product made of these parts is outside what is known here; empty if it is not."""
    for row, _ in all_residues(tuple(parts)):
        if row.action == "quench" and row.kind == "organometallic":
            return f"it is {row.name}, which water destroys; use it as it is, or quench it and name what it becomes"
    for part in parts:
        if _carbanion(part.mol):
            return "it holds a carbanion, to which water gives a proton at once; name the compound that it becomes"
        if _carbon_radical(part.mol):
            return "it holds an unpaired electron on carbon or another bare atom, and such a radical outlives no workup"
    if sandwich(parts):
        return "it is a sandwich complex of a metal, drawn as ions, and its log K cannot be told from them"
    # A quaternary ion with an organic counter-ion stays one compound; an ammonium acetate is two, of which one is wanted.
    several = {p.smiles for p in parts if p.mol.HasSubstructMatch(_CARBON) and (p.charge == 0 or molecule_sites(p))}
    if len(several) > 1:
        return (
            f"it is {len(several)} compounds beside each other ({' and '.join(sorted(several))}); give the one that is wanted as "
            "the product and list the other as a component, or as a second product"
        )
    return ""


def sandwich(parts: Sequence[Molecule]) -> bool:
    """Tell whether parts drawn as ions are a sandwich complex, which is neutral and at home in organic solvents."""
    return any(_metal(part) for part in parts) and any(_pi_anion(part) for part in parts)


def unplaced(parts: Sequence[Molecule]) -> str:
    """Return why a leftover that no table knows cannot be followed; empty if it can.

    Without a charge it is an element or a compound of elements, such as sulfur, gold or niobium chloride (no carbon, no
    hydrogen, no row of residues or inorganic acids and bases), or a radical. Gases of one or two atoms are left aside.
    """
    if all_residues(tuple(parts)):
        return ""
    for part in parts:
        if part.charge or part.smiles in inorganic.by_form() or _gas(part.mol):
            continue
        if _carbon_radical(part.mol):
            return "is drawn with an unpaired electron on carbon or another bare atom, which no compound at the bench keeps"
        if not any(_known_kind(atom) for atom in part.mol.GetAtoms()):
            return "is an element or a compound of elements that no table here holds"
    return ""


def _known_kind(atom: Chem.Atom) -> bool:
    return atom.GetTotalNumHs() > 0 or (atom.GetAtomicNum() == 6 and atom.GetDegree() > 0)


def _gas(mol: Chem.Mol) -> bool:
    elements = [a.GetAtomicNum() for a in mol.GetAtoms()]
    return (len(elements) == 2 and GAS_FORMERS.issuperset(elements)) or (len(elements) == 1 and elements[0] in NOBLE)


def _carbon_radical(mol: Chem.Mol) -> bool:
    stable = {atom for match in mol.GetSubstructMatches(_NITROXYL) for atom in match}
    return any(atom.GetNumRadicalElectrons() and atom.GetIdx() not in stable for atom in mol.GetAtoms())


def _carbanion(mol: Chem.Mol) -> bool:
    """Tell of a charge on carbon that nothing beside it holds: no positive neighbour, no known acid behind it."""
    sites = {match for (match,) in mol.GetSubstructMatches(_BARE_CARBANION)}
    return any(atom not in {site.atom for site in estimate(mol)} for atom in sites)


def _metal(part: Molecule) -> bool:
    return part.mol.GetNumAtoms() == 1 and part.charge > 0 and part.mol.GetAtomWithIdx(0).GetAtomicNum() > 20


def _pi_anion(part: Molecule) -> bool:
    return any(a.GetIsAromatic() and a.GetAtomicNum() == 6 and a.GetFormalCharge() < 0 for a in part.mol.GetAtoms())
