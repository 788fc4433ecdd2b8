"""Structures whose behaviour in a separating funnel nothing here can tell, and why: as the product, and as a leftover."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from rdkit import Chem

from . import inorganic
from .acidity import estimate, molecule_sites, neutral_form
from .atoms import atoms_of
from .groups import all_residues
from .smarts import Pattern
from .structure import Molecule, molecules

# Leftovers of these kinds are ended by water. An adduct of borane with an amine or a phosphine is not, nor an ylide that an
# acceptor steadies; the others of them are told of below.
REAGENTS = frozenset({"organometallic", "hydride", "strong base", "fluorinating agent"})
STAND_WATER = frozenset({"borane", "cyanoborohydride", "phosphorus_ylide"})
_NITROXYL = Pattern("[O;X1]-[#7]")
# Hydrogen, nitrogen, oxygen; the noble gases.
GAS_FORMERS, NOBLE = frozenset((1, 7, 8)), frozenset((2, 10, 18, 36, 54))
# From polonium to radium; what comes after counts as a metal.
NO_STABLE_ISOTOPE = range(84, 89)
SP2 = Chem.HybridizationType.SP2
PLATINUM_METALS = frozenset((45, 46, 77, 78))
_BARE_CARBANION = Pattern("[C;-1;!$([C-]~[*;+,+2])]")
_BOROXINE = Pattern("B1OBOBO1")
# What an alkoxide of aluminium or a transition metal is drawn as: with bonds, or as ions.
_ALKOXY = Pattern("[$([OX2]([CX4])[#13,#22,#23,#40,#41,#72,#73]),$([OX1-][CX4])]")
_DIALKYLMERCURY = Pattern("[CX4][Hg][CX4]")
_CARBON = Pattern("[#6]")
# Without an atom beside it, or an amine across a ring, that takes the charge over.
_CARBOCATION = Pattern("[C;+;!$(C~[#7,#15,#16,#34]);!$(C~[*;-]);!$(Cc1ccc([#7])cc1)]")
_STEADY = "!$(C[CX3]=[#7,#8,#16]);!$(CC#N);!$(C[#15,#16;+0]=O);!$(C[#7]=O);!$(C1C=CC=C1)"
_BARE_YLIDE = Pattern(f"[$([C;-;{_STEADY}][P,S;+]),$([CX3;{_STEADY}]=[P,S;X4,X3;D3,D4;!$(*~[F,Cl,N])])]")
# Schedule 1 of the Chemical Weapons Convention, Annex on Chemicals; its two toxins are beyond any structure here.
_SCHEDULED = tuple(
    map(
        Pattern,
        (
            "[#6]P(=[O,S])(F)O[#6]",
            "[#6]P(=O)(F)[#7]=[#6][#7]",
            "[#7]P(=O)(C#N)O[#6]",
            "[#6]P(=O)([#8])SCC[#7;X3,X4]",
            "ClCC[SX2]CCCl",
            "ClCC[SX2]CCl",
            "ClCC[SX2]C*[SX2]CCCl",
            "ClCC[SX2]C[SX2]CCCl",
            "ClCC[SX2]CCC[SX2]CCCl",
            "Cl[CH]=[CH][As]",
            "ClCC[NX3,NX4+]([CH3,$([CH2][CH3]),$([CH2][CH2]Cl)])CCCl",
        ),
    )
)

PATTERNS = (
    _NITROXYL,
    _BARE_CARBANION,
    _BOROXINE,
    _ALKOXY,
    _DIALKYLMERCURY,
    _CARBON,
    _CARBOCATION,
    _BARE_YLIDE,
    *_SCHEDULED,
)


def outside(parts: Sequence[Molecule]) -> str:
    """Return why a product made of these parts is outside what is known here; empty if it is not."""
    for row, _ in all_residues(tuple(parts)):
        if row.action == "quench" and row.kind in REAGENTS and row.id not in STAND_WATER:
            told = "use it as it is, or quench it and name what it becomes"
            return f"it is a reagent of the kind {row.name}, which water destroys; {told}"
    if sandwich(parts):
        told = "it is a sandwich complex of a metal, drawn as ions, and its log K cannot be told from them"
        if {26} == {p.mol.GetAtomWithIdx(0).GetAtomicNum() for p in parts if _metal(p)}:
            told += (
                ". A neutral ferrocene behaves in the funnel as a greasy arene: ask for the same compound with phenyl in place of "
                "ferrocenyl (acetophenone for acetylferrocene), whose groups it shares, and keep oxidants off it"
            )
        return told
    metals = metals_in(parts)
    if metals and any(_ALKOXY.found_in(part.mol) for part in parts) and not any(map(_held_otherwise, parts)):
        return (
            f"it is an alkoxide of {' and '.join(metals)}, which water splits at once into the alcohol and the hydrated oxide, a "
            "gel that nothing filters; keep it dry and distil it, or take it on as it is"
        )
    if metals:
        return (
            f"it holds {' and '.join(metals)}, and what water, acids and bases do to such a complex or salt is the chemistry of "
            "that metal; if the ligand or the acid alone is wanted, name that"
        )
    if found := {a.GetSymbol() for part in parts for a in atoms_of(part.mol) if a.GetAtomicNum() in NO_STABLE_ISOTOPE}:
        return f"it holds {' and '.join(sorted(found))}, of which there are radioactive isotopes alone, in traces"
    for part in parts:
        if _DIALKYLMERCURY.found_in(part.mol):
            return (
                "it is a dialkylmercury, drops of which go through gloves and kill; nobody should shake it in a funnel"
            )
        if _BOROXINE.found_in(part.mol):
            return "it is the anhydride of a boronic acid, of which the first water makes the acid again; name the boronic acid"
        if _cage(part.mol):
            return "it is a fullerene, which hardly any solvent of a funnel dissolves, and no fragment describes it"
        if _carbanion(part.mol):
            return "it holds a carbanion, to which water gives a proton at once; name the compound that it becomes"
        if _carbene(part.mol):
            return "it is a carbene, which takes a proton from water at once; name what it becomes (the azolium salt, as a rule)"
        if _carbon_radical(part.mol):
            return "it holds an unpaired electron on carbon or another bare atom, and such a radical outlives no workup"
        if _CARBOCATION.found_in(part.mol):
            return "it holds a carbocation, to which water adds at once; name what it becomes (the alcohol, as a rule)"
        if _BARE_YLIDE.found_in(part.mol):
            return "it is an ylide that no carbonyl or nitrile steadies, and water ends it at once; use it where it is made"
    # A quaternary ion with an organic counter-ion stays one compound; an ammonium acetate is two, of which one is wanted.
    several = {p.smiles for p in parts if _CARBON.found_in(p.mol) and (p.charge == 0 or molecule_sites(p))}
    if len(several) > 1:
        return (
            f"it is {len(several)} compounds beside each other ({' and '.join(sorted(several))}); give the one that is wanted as "
            "the product and list the other as a component, or as a second product"
        )
    return ""


def forbidden(parts: Sequence[Molecule]) -> str:
    """Return why nothing at all is planned with these parts in the flask; empty for all but chemical weapons."""
    if any(pattern.found_in(part.mol) for part in parts for pattern in _SCHEDULED):
        return "it is of Schedule 1 of the Chemical Weapons Convention, and nothing is planned with it here"
    return ""


def no_log_k(parts: Sequence[Molecule]) -> str:
    """Return why no log K can be told for what these parts make up; empty if it can."""
    if beside := several(parts):
        return f"it is {len(beside)} compounds beside each other; ask about each by itself"
    if reason := outside(parts):
        return reason
    if not any(_known(part) or part.smiles in inorganic.by_form() for part in parts):
        return "it is an element or a compound of elements, which no table here holds"
    return ""


def several(parts: Sequence[Molecule]) -> list[Molecule]:
    """Return the parts where they are two or more neutral organic compounds and nothing else but water; else nothing.

    Acids and bases count as neutral whatever way their salt is drawn.
    """
    rest = [part for part in parts if part.smiles != "O"]
    neutral = [molecules(Chem.MolToSmiles(neutral_form(part.mol)))[0] for part in rest]
    if any(part.charge or not _CARBON.found_in(part.mol) or metals_in([part]) for part in neutral):
        return []
    return neutral if len({part.smiles for part in neutral}) > 1 else []


def metals_in(parts: Sequence[Molecule]) -> list[str]:
    """Return the names of aluminium, transition metals, lanthanides and actinides in these parts, mercury left aside."""
    found = {a.GetAtomicNum() for part in parts for a in atoms_of(part.mol)}
    return [Chem.GetPeriodicTable().GetElementName(number).lower() for number in sorted(found) if _transition(number)]


def _transition(number: int) -> bool:
    return number == 13 or 21 <= number <= 30 or 39 <= number <= 48 or 57 <= number <= 79 or 89 <= number <= 112


def sandwich(parts: Sequence[Molecule]) -> bool:
    """Tell whether parts drawn as ions are a sandwich complex, which is neutral and at home in organic solvents."""
    return any(_metal(part) for part in parts) and any(_pi_anion(part) for part in parts)


def ligated(parts: Sequence[Molecule]) -> bool:
    """Tell whether a compound of palladium, platinum, rhodium or iridium is there, or a ruthenium that carbon, N or P holds.

    Whatever salt went in: once the reaction is over the metal is a colloid or sits on phosphine, amine or product and
    stays with the organic layer until something binds it harder (common practice).
    """
    return any(atom.GetAtomicNum() in PLATINUM_METALS or _held(atom) for part in parts for atom in atoms_of(part.mol))


def _held(atom: Any) -> bool:
    """Tell whether an atom is ruthenium in a complex of carbenes, amines or phosphines, and no perruthenate."""
    return atom.GetSymbol() == "Ru" and any(n.GetSymbol() in ("C", "N", "P") for n in atom.GetNeighbors())


@lru_cache(maxsize=1_000)
def unplaced(parts: tuple[Molecule, ...]) -> str:
    """Return why a leftover that no table knows cannot be followed; empty if it can.

    Without a charge it is an element or a compound of elements, such as sulfur, gold or niobium chloride (no carbon, no
    hydrogen, no row of residues or inorganic acids and bases), or a radical. Gases of one or two atoms are left aside.
    """
    for part in parts:
        if _CARBOCATION.found_in(part.mol):
            return "holds a carbocation, to which water adds at once; name what it becomes (the alcohol, as a rule)"
    if all_residues(parts):
        return ""
    for part in parts:
        if part.charge or part.smiles in inorganic.by_form() or _gas(part.mol):
            continue
        if _carbene(part.mol):
            return "is a carbene, which water or acid makes the salt of; name what it becomes (the azolium salt, as a rule)"
        known = any(_known_kind(atom) for atom in atoms_of(part.mol))
        if known and _carbon_radical(part.mol):  # a bare atom of gold is drawn so too
            return "is drawn with an unpaired electron on carbon or another bare atom, which no compound at the bench keeps"
        if not known:
            return "is an element or a compound of elements that no table here holds"
    return ""


@lru_cache(maxsize=1_000)
def stays_behind(parts: tuple[Molecule, ...]) -> bool:
    """Tell whether parts stay with the product until something binds them: a complex, or an element such as sulfur."""
    if sandwich(parts) or ligated(parts):
        return True
    rows = [row for row, _ in all_residues(parts)]
    if any(map(_known, parts)) or any(part.smiles in inorganic.by_form() for part in parts):
        return False
    return bool(rows) and (all(r.action == "other" for r in rows) or all(map(_one_element, parts)))


def _one_element(part: Molecule) -> bool:
    """Tell of a molecule of one element, such as white phosphorus."""
    return part.mol.GetNumAtoms() > 1 and len({a.GetAtomicNum() for a in atoms_of(part.mol)}) == 1


def _known(part: Molecule) -> bool:
    return bool(part.charge) or any(_known_kind(atom) for atom in atoms_of(part.mol))


def _known_kind(atom: Chem.Atom) -> bool:
    return atom.GetTotalNumHs() > 0 or (atom.GetAtomicNum() == 6 and atom.GetDegree() > 0)


def _gas(mol: Chem.Mol) -> bool:
    elements = [a.GetAtomicNum() for a in atoms_of(mol)]
    return (len(elements) == 2 and GAS_FORMERS.issuperset(elements)) or (len(elements) == 1 and elements[0] in NOBLE)


def _cage(mol: Chem.Mol) -> bool:
    """Tell of forty or more carbon atoms without hydrogen, each in several rings."""
    rings = mol.GetRingInfo()
    return sum(a.GetAtomicNum() == 6 and rings.NumAtomRings(a.GetIdx()) > 2 for a in atoms_of(mol)) >= 40


def _carbene(mol: Chem.Mol) -> bool:
    return any(a.GetAtomicNum() == 6 and a.GetNumRadicalElectrons() == 2 and a.GetDegree() == 2 for a in atoms_of(mol))


def _carbon_radical(mol: Chem.Mol) -> bool:
    stable = {atom for match in _NITROXYL.matches_in(mol) for atom in match}
    return any(atom.GetNumRadicalElectrons() and atom.GetIdx() not in stable for atom in atoms_of(mol))


def _carbanion(mol: Chem.Mol) -> bool:
    """Tell of a charge on carbon that nothing beside it holds: no positive neighbour, no known acid behind it."""
    sites = {match for (match,) in _BARE_CARBANION.matches_in(mol)}
    return any(atom not in {site.atom for site in estimate(mol)} for atom in sites)


def _metal(part: Molecule) -> bool:
    return part.mol.GetNumAtoms() == 1 and part.charge > 0 and part.mol.GetAtomWithIdx(0).GetAtomicNum() > 20


def _held_otherwise(part: Molecule) -> bool:
    """Tell of a ligand that holds a metal by more than alkoxide: a charge, nitrogen or phosphorus on it, or carbonyl oxygen."""
    return any(
        n.GetAtomicNum() not in (8, 9, 17)
        or any(x.GetAtomicNum() == 6 and x.GetHybridization() == SP2 for x in n.GetNeighbors())
        for atom in atoms_of(part.mol)
        if _transition(atom.GetAtomicNum())
        for n in atom.GetNeighbors()
    )


def _pi_anion(part: Molecule) -> bool:
    return any(a.GetIsAromatic() and a.GetAtomicNum() == 6 and a.GetFormalCharge() < 0 for a in atoms_of(part.mol))
