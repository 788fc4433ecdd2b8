"""From a SMILES to a checked structure that the rest of the knowledge layer works on."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import TypeVar

from rdkit import Chem, RDLogger

from washlore.knowledge.atoms import atoms_of
from washlore.knowledge.records import dataclass
from washlore.knowledge.salts import as_meant

V = TypeVar("V")
MAX_HEAVY_ATOMS = 200
MAX_SMILES_LENGTH = 2000
MOST_CHARGE = 8


class StructureError(ValueError):
    """A SMILES cannot be used; the message says what was found, why not, and what would work."""


@dataclass(frozen=True, eq=False)
class Molecule:
    """One connected structure without its isotope labels, its atoms numbered as in its canonical SMILES.

    Isotopes change no layer and no pKa by what matters here, and water takes the deuterium of OD and ND anyway; only the
    mass keeps them (``labels_g_mol``). Molecules come from ``molecules`` and are shared: treat ``mol`` as read-only.
    """

    smiles: str
    mol: Chem.Mol
    labels_g_mol: float = 0.0

    @property
    def formula(self) -> str:
        """Molecular formula in Hill order."""
        from rdkit.Chem.rdMolDescriptors import CalcMolFormula

        return CalcMolFormula(self.mol)

    @property
    def charge(self) -> int:
        """Formal charge of the structure as written."""
        return Chem.GetFormalCharge(self.mol)

    @cached_property
    def molar_mass(self) -> float:
        """Average molar mass in g/mol, labels included."""
        return _mass(self.mol) + self.labels_g_mol


def _mass(mol: Chem.Mol) -> float:
    hydrogens = sum(a.GetTotalNumHs() for a in atoms_of(mol))
    return sum(a.GetMass() for a in atoms_of(mol)) + hydrogens * Chem.GetPeriodicTable().GetAtomicWeight(1)


_DATIVE = r"->|<-"


@lru_cache(maxsize=200)
def parse(smiles: str) -> Chem.Mol:
    """Return the RDKit molecule of ``smiles``, atoms in the order written; it is shared, and not to be changed.

    Raises ``StructureError`` for an empty text, a reaction, a query, more than 200 heavy atoms, or what is not SMILES.
    """
    text = smiles.strip()
    if not text:
        raise StructureError("The SMILES is empty; write a structure such as CCOC(C)=O, or a name.")
    if ">" in text and ">" in re.sub(_DATIVE, "", text):
        raise StructureError(
            f"{_short(text)} is a reaction SMILES; give the product and each other component as a structure of its own."
        )
    if len(text) > MAX_SMILES_LENGTH:
        raise StructureError(
            f"The SMILES has {len(text):,} characters; structures up to {MAX_HEAVY_ATOMS} heavy atoms can be judged."
        )
    with _Quiet():
        mol = Chem.MolFromSmiles(text)
        reason = "" if mol is not None else _reason(text)
    if mol is None:
        raise StructureError(f"{_short(text)} is not a SMILES that can be read: {reason}.")
    heavy = mol.GetNumHeavyAtoms()
    if heavy > MAX_HEAVY_ATOMS:
        raise StructureError(
            f"{_short(text)} has {heavy} heavy atoms; structures up to {MAX_HEAVY_ATOMS} heavy atoms can be judged."
        )
    if "~" in text or "[#" in text:
        raise StructureError(
            f"{_short(text)} holds a bond of any kind (~) or an atom by its number ([#6]), as a search pattern does; write out "
            "the bonds and the symbols."
        )
    if mol.GetNumAtoms() == 0:
        raise StructureError(f"{_short(text)} holds no atom; write a structure such as CCOC(C)=O.")
    atoms = atoms_of(mol)
    if not all(atom.GetAtomicNum() for atom in atoms):
        raise StructureError(
            f"{_short(text)} holds an open attachment point or wildcard (*); write out the whole structure."
        )
    for atom in atoms:
        if abs(atom.GetFormalCharge()) > MOST_CHARGE:
            raise StructureError(
                f"{_short(text)} gives {atom.GetSymbol()} a charge of {atom.GetFormalCharge():+d}; check the brackets."
            )
    with _Quiet():
        return as_meant(mol, text)


@lru_cache(maxsize=1_000)
def molecules(smiles: str) -> tuple[Molecule, ...]:
    """Return the connected parts of ``smiles``, largest first (a salt has two or more).

    Raises ``StructureError`` as ``parse`` does.
    """
    parts = [one_molecule(Chem.MolToSmiles(part)) for part in Chem.GetMolFrags(parse(smiles), asMols=True)]
    return tuple(sorted(parts, key=lambda m: (-m.mol.GetNumHeavyAtoms(), m.smiles)))


@lru_cache(maxsize=1_000)
def one_molecule(canonical: str) -> Molecule:
    """Return the molecule of a canonical SMILES that holds one part."""
    with _Quiet():
        mol = Chem.MolFromSmiles(canonical)
        if "[" not in canonical or not re.search(_LABEL, canonical):
            return Molecule(canonical, mol)
        plain = Chem.MolToSmiles(unlabelled(mol)[0])
        return Molecule(plain, read := Chem.MolFromSmiles(plain), _mass(mol) - _mass(read))


_LABEL = r"\[\d"


def unlabelled(mol: Chem.Mol) -> tuple[Chem.Mol, list[int]]:
    """Return the molecule without isotope labels, deuterium as plain hydrogen, and the index in ``mol`` of each atom."""
    if not any(atom.GetIsotope() for atom in atoms_of(mol)):
        return mol, list(range(mol.GetNumAtoms()))
    plain = Chem.RWMol(mol)
    for atom in atoms_of(plain):
        atom.SetIsotope(0)
        atom.SetIntProp("_written", atom.GetIdx())
    plain = Chem.RemoveHs(plain)
    Chem.AssignStereochemistry(plain, cleanIt=True, force=True)
    return plain, [atom.GetIntProp("_written") for atom in atoms_of(plain)]


def unlabelled_smiles(smiles: str) -> str:
    """Return the canonical SMILES without isotope labels, deuterium as plain hydrogen. Raises as ``parse`` does."""
    return Chem.MolToSmiles(unlabelled(parse(smiles))[0])


def label_note(smiles: str) -> str:
    """Return what is done with the isotope labels of a structure, and where water or base takes them; empty without any."""
    if "[" not in smiles or not re.search(_LABEL, smiles):
        return ""
    mol = parse(smiles)
    note = "its isotope labels count in the mass only"
    deuterium, enol = (mol.HasSubstructMatch(query) for query in _taken_labels())
    if deuterium:
        note += "; the first water takes the deuterium on oxygen, nitrogen or sulfur"
    if enol:
        note += "; base, and strong acid, exchange the deuterium beside a carbonyl"
    elements = Chem.GetPeriodicTable()
    labels = sorted({(a.GetSymbol(), a.GetIsotope()) for a in atoms_of(mol) if a.GetIsotope()})
    if hot := [f"{number}{symbol}" for symbol, number in labels if not elements.GetAbundanceForIsotope(symbol, number)]:
        note += (
            f"; {' and '.join(hot)} does not occur in nature and is radioactive, if there is such an isotope: only where that is "
            "licensed, by its rules for shields, monitors and waste"
        )
    return note


@lru_cache(maxsize=1)
def _taken_labels() -> tuple[Chem.Mol, Chem.Mol]:
    return Chem.MolFromSmarts("[#1;2,3]-[#7,#8,#16]"), Chem.MolFromSmarts("[#1;2,3]-[CX4]-[CX3](=O)[#6,#1]")


@lru_cache(maxsize=1_000)
def canonical_smiles(smiles: str) -> str:
    """Return the canonical SMILES of all parts together. Raises ``StructureError`` as ``parse`` does."""
    return Chem.MolToSmiles(parse(smiles))


# Of a SMILES, all that is no letter of an element other than hydrogen.
_NO_LETTERS = str.maketrans("", "", "H0123456789()[]{}.-=#$:/\\+@%*<>~ ")


def atom_letters(smiles: str) -> str:
    """Return the letters of the heavy atoms in a SMILES, sorted.

    The same for every spelling of a structure and a thousand times cheaper than a canonical SMILES: a table is searched
    by it first, and only the rows that agree are parsed.
    """
    if "@" in smiles:
        smiles = re.sub(_GEOMETRY, "", smiles)
    return "".join(sorted(smiles.upper().translate(_NO_LETTERS)))


_ATOMS_AND_LINKS = re.compile(r"\[\d*([A-Z][a-z]?|[a-z]{1,2}|\*)[^]]*\]|(Cl|Br|[BCNOPSFIbcnops*])|(%\d\d|\d)|([().])")


@lru_cache(maxsize=2_000)
def connections(smiles: str) -> str:
    """Return the heavy atoms of a valid SMILES, each with its neighbours and how many those have, sorted.

    The same for every spelling of a structure, as it leaves out where double bonds, charges and hydrogens are drawn, and
    twenty times cheaper than a canonical SMILES.
    """
    elements: list[str] = []
    around: list[list[int]] = []
    before: int | None = None
    branches: list[int | None] = []
    rings: dict[str, int] = {}
    for bracket, bare, ring, other in _ATOMS_AND_LINKS.findall(smiles):
        joined = None
        if bracket or bare:
            element = (bracket or bare).upper()
            if element == "H":
                continue
            elements.append(element)
            around.append([])
            joined, before = before, len(elements) - 1
        elif ring:
            joined = rings.pop(ring, None)
            if joined is None and before is not None:
                rings[ring] = before
        elif other == "(":
            branches.append(before)
        elif other == ")":
            before = branches.pop()
        else:
            before = None
        if joined is not None and before is not None:
            around[joined].append(before)
            around[before].append(joined)
    ends = [f"{element}{len(its)}" for element, its in zip(elements, around, strict=True)]
    return " ".join(
        sorted([f"{end}({''.join(sorted([ends[i] for i in its]))})" for end, its in zip(ends, around, strict=True)])
    )


class ByConnections:
    """Places of SMILES in a list by their ``atom_letters`` and, where those agree, by their ``connections``.

    The letters of a whole table are taken at once, and put in order only where they are as many as those that are asked for.
    """

    def __init__(self, smiles: Sequence[str]) -> None:
        text = "\n".join(smiles)
        if "@" in text:
            text = re.sub(_GEOMETRY, "", text)
        self._smiles = smiles
        self._letters = text.upper().translate(_NO_LETTERS).split("\n") if smiles else []
        self._by_length: dict[int, list[int]] = {}
        for place, letters in enumerate(self._letters):
            self._by_length.setdefault(len(letters), []).append(place)

    def alike(self, smiles: str) -> list[int]:
        """Return the places of the SMILES that may be spellings of this one, or of its isomers, tautomers and ions."""
        letters = atom_letters(smiles)
        return [
            place
            for place in self._by_length.get(len(letters), ())
            if "".join(sorted(self._letters[place])) == letters
            and connections(self._smiles[place]) == connections(smiles)
        ]


class ByStructure(Mapping[str, V]):
    """Rows by canonical SMILES; of two rows for one structure the first counts.

    Only rows with the atoms that are asked for are parsed, until something asks for all of them.
    """

    def __init__(self, rows: Iterable[tuple[str, V]]) -> None:
        self._rows = tuple(rows)
        self._alike = ByConnections([smiles for smiles, _ in self._rows])
        self._parsed: dict[str, dict[str, V]] = {}

    def _like(self, smiles: str) -> dict[str, V]:
        found = self._parsed.get(connections(smiles))
        if found is None:
            found = {}
            for place in self._alike.alike(smiles):
                written, row = self._rows[place]
                found.setdefault(canonical_smiles(written), row)
            if found:
                self._parsed[connections(smiles)] = found
        return found

    def _all(self) -> Iterator[dict[str, V]]:
        """Yield the rows of each kind of structure, once."""
        return (self._like(smiles) for smiles in {connections(smiles): smiles for smiles, _ in self._rows}.values())

    def __getitem__(self, canonical: str) -> V:
        return self._like(canonical)[canonical]

    def __iter__(self) -> Iterator[str]:
        for rows in self._all():
            yield from rows

    def __len__(self) -> int:
        return sum(map(len, self._all()))


_GEOMETRY = r"@(?:TH|AL|SP|TB|OH)\d+"


def canonical_order(mol: Chem.Mol) -> list[int]:
    """Return, for each atom of the canonical SMILES of ``mol``, its index in ``mol``."""
    Chem.MolToSmiles(mol)
    return list(mol.GetPropsAsDict(True, True)["_smilesAtomOutputOrder"])


class _Quiet:
    """Keep RDKit's log off the terminal: what matters of it is put into our own messages."""

    def __enter__(self) -> None:
        RDLogger.DisableLog("rdApp.*")  # type: ignore[attr-defined]

    def __exit__(self, *_: object) -> None:
        RDLogger.EnableLog("rdApp.error")  # type: ignore[attr-defined]


def _reason(text: str) -> str:
    if any(c.isspace() for c in text):
        return "it holds a space"
    for opening, closing in ("()", "[]"):
        if text.count(opening) != text.count(closing):
            return f"its brackets {opening}{closing} do not pair"
    unsanitized = Chem.MolFromSmiles(text, sanitize=False)
    if unsanitized is not None:
        try:
            problems = Chem.DetectChemistryProblems(unsanitized)
        except RuntimeError:  # RDKit before 2024.9 stumbles over an aromatic atom outside any ring
            return "an aromatic atom stands outside a ring"
        if problems:
            return problems[0].Message().rstrip(".").replace("\n", " ")
    return "check ring numbers, brackets and element symbols"


def _short(text: str) -> str:
    return repr(text if len(text) <= 60 else text[:57] + "...")
