"""What an atom is to the pKa model: its kind for inductive counts, and the substituent that begins with it."""

from __future__ import annotations

from typing import ClassVar

from rdkit import Chem

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Row


@dataclass(frozen=True)
class Substituent(Row):
    """Hammett constants of a group on an aromatic ring (dimensionless), and the family of its effect when ortho."""

    table: ClassVar[str] = "pka_substituents"
    id: str
    formula: str
    sigma_meta: float
    sigma_para: float
    sigma_minus: float
    sigma_plus: float
    field: float
    ortho_group: str
    source: str
    note: str


_AMIDE_LIKE = {6, 16, 15}


def atom_kind(atom: Chem.Atom) -> str:
    """Return the kind of an atom for inductive counts; empty where it is counted with its neighbour."""
    number = atom.GetAtomicNum()
    doubled = [b.GetOtherAtom(atom) for b in atom.GetBonds() if b.GetBondType() == Chem.BondType.DOUBLE]
    tripled = any(b.GetBondType() == Chem.BondType.TRIPLE for b in atom.GetBonds())
    charge = atom.GetFormalCharge()
    around = atom.GetNeighbors()
    if number == 6:
        if atom.GetIsAromatic():
            return "ring_oxo" if any(d.GetAtomicNum() in (8, 16) and d.GetDegree() == 1 for d in doubled) else "arene"
        if any(d.GetAtomicNum() in (8, 16) for d in doubled):
            oxygens = [n for n in around if n.GetAtomicNum() == 8 and n.GetIdx() not in {d.GetIdx() for d in doubled}]
            if any(o.GetTotalNumHs() for o in oxygens):
                return "carboxyl"
            if oxygens:
                return "ester"
            return "amide" if any(n.GetAtomicNum() == 7 for n in around) else "acyl"
        if doubled:
            return "imino" if any(d.GetAtomicNum() == 7 for d in doubled) else "alkene"
        if tripled:
            return "" if any(n.GetAtomicNum() == 7 and n.GetDegree() == 1 for n in around) else "alkyne"
        return "alkyl"
    if number == 7:
        if charge > 0:
            if any(n.GetAtomicNum() == 8 and n.GetFormalCharge() < 0 for n in around):
                return "nitro" if doubled else "n_oxide"
            return "cation"
        if atom.GetIsAromatic():
            return "azine" if atom.GetDegree() == 2 and not atom.GetTotalNumHs() else "azole"
        if tripled:
            return "cyano"
        if doubled:
            return "imine_n"
        for n in around:
            if n.GetAtomicNum() in _AMIDE_LIKE and any(
                b.GetBondType() == Chem.BondType.DOUBLE and b.GetOtherAtom(n).GetAtomicNum() in (7, 8, 16)
                for b in n.GetBonds()
            ):
                return "amide_n"
        return "arylamine" if any(n.GetIsAromatic() for n in around) else "amine"
    if number == 8:
        if charge < 0 or doubled:
            return ""
        if atom.GetIsAromatic():
            return "furan_o"
        if any(
            n.GetAtomicNum() in (6, 15, 16)
            and any(
                b.GetBondType() == Chem.BondType.DOUBLE and b.GetOtherAtom(n).GetAtomicNum() == 8 for b in n.GetBonds()
            )
            for n in around
        ):
            return "" if atom.GetTotalNumHs() else "ester_o"
        if atom.GetTotalNumHs():
            return "hydroxy"
        return "aryloxy" if any(n.GetIsAromatic() for n in around) else "ether"
    if number == 16:
        if atom.GetIsAromatic():
            return "thiophene_s"
        if doubled and atom.GetDegree() == 1:
            return ""
        if len(doubled) >= 2:
            return "sulfonyl"
        return "sulfinyl" if doubled else "sulfide"
    if number == 15 and not doubled:
        return "phosphine"
    return {
        9: "fluorine",
        17: "chlorine",
        35: "bromine",
        53: "iodine",
        15: "phosphorus",
        14: "silicon",
    }.get(number, "other")


def substituent(atom: Chem.Atom) -> str:
    """Return the id (``pka_substituents.csv``) of the group that begins with ``atom``."""
    number = atom.GetAtomicNum()
    kind = atom_kind(atom)
    around = atom.GetNeighbors()
    if number == 6:
        if atom.GetIsAromatic():
            ring_nitrogen = any(n.GetAtomicNum() == 7 and n.GetIsAromatic() for n in around)
            return "heteroaryl" if ring_nitrogen else "phenyl"
        if kind == "carboxyl":
            return "carboxyl"
        if kind in ("ester", "amide"):
            return kind
        if kind == "acyl":
            if any(n.GetAtomicNum() in (9, 17, 35) for n in around):
                return "acyl_halide"
            if any(n.GetAtomicNum() == 16 for n in around):
                return "thioacyl"
            return "formyl" if atom.GetTotalNumHs() else "acyl"
        if kind == "imino":
            return "imino_c"
        if kind == "alkene":
            acceptor = any(
                atom_kind(m) in ("acyl", "ester", "carboxyl", "nitro", "amide") or (m.GetAtomicNum() == 6 and _cyano(m))
                for n in around
                if atom_kind(n) == "alkene"
                for m in n.GetNeighbors()
            )
            return "acceptor_alkenyl" if acceptor else "alkenyl"
        if _cyano(atom):
            return "cyano"
        if kind == "alkyne":
            return "alkynyl"
        fluorines = sum(n.GetAtomicNum() == 9 for n in around)
        if fluorines >= 2:
            return "trifluoromethyl"
        if any(n.GetAtomicNum() in (9, 17, 35, 53) for n in around):
            return "haloalkyl"
        if any(n.GetFormalCharge() > 0 for n in around):
            return "ammonioalkyl"
        if any(n.GetAtomicNum() in (7, 8, 16, 15) for n in around):
            return "heteroalkyl"
        return "tert_alkyl" if atom.GetDegree() == 4 else "alkyl"
    if number == 7:
        if kind == "nitro":
            return "nitro"
        if kind in ("cation", "n_oxide"):
            return "diazonio" if any(b.GetBondType() == Chem.BondType.TRIPLE for b in atom.GetBonds()) else "ammonio"
        if kind == "imine_n":
            partner = next(b.GetOtherAtom(atom) for b in atom.GetBonds() if b.GetBondType() == Chem.BondType.DOUBLE)
            if partner.GetAtomicNum() == 8:
                return "nitroso"
            if partner.GetAtomicNum() == 7:
                return "azido" if partner.GetFormalCharge() > 0 else "azo"
            return "imino_n"
        if kind == "azole" or kind == "azine":
            return "acylamino"
        if kind == "amide_n":
            return "sulfonylamino" if any(n.GetAtomicNum() == 16 for n in around) else "acylamino"
        if any(n.GetAtomicNum() == 7 for n in around):
            return "hydrazino"
        return ("dialkylamino", "alkylamino", "amino")[min(atom.GetTotalNumHs(), 2)]
    if number == 8:
        if any(b.GetBondType() == Chem.BondType.DOUBLE for b in atom.GetBonds()):
            return "oxo"
        if atom.GetTotalNumHs():
            return "hydroxy"
        if atom.GetFormalCharge() < 0:
            return "oxido"
        if kind == "ester_o":
            return "acyloxy"
        if sum(n.GetIsAromatic() for n in around) >= 2:
            return "aryloxy"
        if any(n.GetAtomicNum() == 6 and sum(m.GetAtomicNum() == 9 for m in n.GetNeighbors()) >= 2 for n in around):
            return "fluoroalkoxy"
        return "alkoxy"
    if number == 16:
        if kind == "sulfonyl":
            acid = any(n.GetAtomicNum() == 8 and n.GetDegree() == 1 and n.GetTotalNumHs() for n in around)
            return "sulfonate" if acid else "sulfonyl"
        if kind == "sulfinyl":
            return "sulfinyl"
        if atom.GetDegree() == 1 and not atom.GetTotalNumHs():
            return "thioxo" if atom.GetFormalCharge() == 0 else "thiolate"
        if atom.GetTotalNumHs():
            return "mercapto"
        return "thiocyanato" if any(_cyano(n) for n in around) else "alkylthio"
    if number == 15:
        return "phosphoryl" if any(b.GetBondType() == Chem.BondType.DOUBLE for b in atom.GetBonds()) else "phosphino"
    return {
        9: "fluoro",
        17: "chloro",
        35: "bromo",
        53: "iodo",
        14: "silyl",
        5: "boryl",
    }.get(number, "other")


def _cyano(atom: Chem.Atom) -> bool:
    return atom.GetAtomicNum() == 6 and any(
        b.GetBondType() == Chem.BondType.TRIPLE and b.GetOtherAtom(atom).GetAtomicNum() == 7 for b in atom.GetBonds()
    )
