"""From what a chemist writes (abbreviation, trade name, formula, CAS number, SMILES) to a structure.

The tables of reagents and solvents come first, then SMILES, then the names of the ``chemicals`` package. What a text
was read as is never hidden: ``Named.origin`` says it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache, lru_cache
from types import MappingProxyType

from rdkit import Chem

from .records import dataclass
from .rows import Reagent, Solvent, column, lines_of, rows_of_lines, second_cells, table
from .spelling import NameProblem, clean, key, short, without_deuterium
from .structure import ByStructure, StructureError, canonical_smiles, label_note, parse, unlabelled

SMILES = "SMILES"
REAGENT_TABLE = "reagent table"
SOLVENT_TABLE = "solvent table"
CHEMICALS = "chemicals"
MAX_NAME_LENGTH = 300
# A row whose note begins so shows one member of a mixture; its name is not the name of that member.
MIXTURE = "Mixture:"


@dataclass(frozen=True)
class Named:
    """A text and the structure it stands for.

    ``name``: the name to show. ``smiles``: canonical. ``origin``: ``SMILES``, ``reagent table``, ``solvent table`` or
    ``chemicals``. ``boiling_c``: boiling point in degrees Celsius at 1 atm where the tables hold one. ``note``: what was
    left out of account, such as isotope labels.
    """

    written: str
    name: str
    smiles: str
    origin: str
    boiling_c: float | None = None
    note: str = ""


@dataclass(frozen=True)
class _Entry:
    """One spelling of one row; ``spelling`` is empty for the row's id, which never counts as an exact match."""

    spelling: str
    row: Reagent | Solvent

    @property
    def name(self) -> str:
        return self.row.name

    @property
    def smiles(self) -> str:
        return self.row.smiles

    @property
    def origin(self) -> str:
        return SOLVENT_TABLE if isinstance(self.row, Solvent) else REAGENT_TABLE

    @property
    def use(self) -> str:
        return "solvent" if isinstance(self.row, Solvent) else self.row.use

    @property
    def boiling_c(self) -> float | None:
        return self.row.boiling_c


def resolve(text: str, *, prefer_solvent: bool = False) -> Named:
    """Return the structure that ``text`` stands for.

    ``text`` may be a name, abbreviation or formula of the tables, a SMILES, a CAS number, or a name that the
    ``chemicals`` package knows; ``SMILES=`` in front makes it a SMILES whatever else it may mean.
    ``prefer_solvent`` settles an abbreviation that a solvent shares with another compound in favour of the solvent.

    Raises ``NameProblem`` where the text is ambiguous, unknown, or a SMILES that cannot be used.
    """
    return _resolve(clean(text), text.strip(), prefer_solvent)


def display_name(smiles: str) -> str | None:
    """Return the tables' name for a structure, or ``None`` where they do not hold it (or it is no SMILES)."""
    entry = by_structure(smiles)
    return entry.name if entry else None


def boiling_c(smiles: str) -> float | None:
    """Return the boiling point that the tables hold for a structure, C at 1 atm, or ``None``."""
    entry = by_structure(smiles)
    return entry.boiling_c if entry else None


def row_of(smiles: str) -> Reagent | Solvent | None:
    """Return the row of the tables that holds a structure, or ``None``."""
    entry = by_structure(smiles)
    return entry.row if entry else None


@lru_cache(maxsize=1_000)
def _resolve(text: str, written: str, prefer_solvent: bool) -> Named:
    if text[:6].casefold() == "smiles" and (forced := re.match(r"smiles\s*[=:]\s*", text, re.IGNORECASE)):
        return _read_smiles(text[forced.end() :], written)
    entries = _spelt(key(text))
    exact = tuple(e for e in entries if e.spelling == text)
    if exact:
        return _pick(exact, written, prefer_solvent)
    reason: StructureError | None = None
    if not any(c.isspace() for c in text):
        try:
            parse(text)
        except StructureError as error:
            reason = error
        else:
            _refuse_likely_abbreviation(text)
            return _read_smiles(text, written)
    if entries:
        # What differs in case only is nearer than what differs in hyphens or dots too (pdc is PDC, not Pd-C).
        alike = tuple(e for e in entries if e.spelling.casefold() == text.casefold())
        return _pick(alike or entries, written, prefer_solvent)
    if text.lower().startswith("inchi"):
        raise NameProblem(f"{short(text)} is an InChI, which is not read here; write its SMILES or a name.")
    if (plain := _without_deuterium(text, written, prefer_solvent)) is not None:
        return plain
    if (made := _organometallic(text, written)) is not None:
        return made
    _refuse_formula(text)
    if reason is not None and looks_like_smiles(text):
        raise NameProblem(str(reason)) from reason
    if any(c.isspace() for c in text):
        _refuse_smiles_with_a_tail(text)
    if len(text) > MAX_NAME_LENGTH:
        raise NameProblem(f"{short(text)} has {len(text):,} characters, too many for a name; write a SMILES.")
    from .names_elsewhere import from_chemicals

    return from_chemicals(text, written)


def _without_deuterium(text: str, written: str, prefer_solvent: bool) -> Named | None:
    """Return the plain compound of a deuterated name, where the tables hold it under that very spelling."""
    for plain in without_deuterium(text):
        exact = tuple(e for e in _spelt(key(plain)) if e.spelling.casefold() == plain.casefold())
        if not exact:
            continue
        named = _pick(exact, written, prefer_solvent)
        if re.match(r"[dD]-", text) and Chem.FindMolChiralCenters(
            Chem.MolFromSmiles(named.smiles), includeUnassigned=True
        ):
            continue  # the d of d-limonene is no deuterium
        note = "its deuterium counts as plain hydrogen"
        return Named(written, named.name, named.smiles, named.origin, named.boiling_c, note)
    return None


# Compiled when a name asks for it.
_ORGANOMETALLIC = (
    r"(?i)(?P<radical>.*[a-z])(?:(?P<metal>magnesium|zinc)[ -]?(?P<halide>chloride|bromide|iodide)|lithium)"
)
_HALOGENS = {"chloride": "Cl", "bromide": "Br", "iodide": "I"}
_METALS = {"magnesium": "Mg", "zinc": "Zn", "": "Li"}


def _organometallic(text: str, written: str) -> Named | None:
    """Return a Grignard, zinc or lithium reagent by the name of the halide that it is made of: hexylmagnesium bromide."""
    if not text.lower().endswith(("ide", "lithium")):
        return None
    told = re.fullmatch(_ORGANOMETALLIC, text)
    if told is None:
        return None
    for halide, symbol in _HALOGENS.items():
        try:
            made_of = _resolve(f"{told['radical']} {halide}", written, False)
        except NameProblem:
            continue
        ends = Chem.MolFromSmiles(made_of.smiles).GetSubstructMatches(Chem.MolFromSmarts(f"[{symbol};D1][#6]"))
        if len(ends) != 1 or "." in made_of.smiles:
            continue
        edit = Chem.RWMol(Chem.MolFromSmiles(made_of.smiles))
        metal = edit.GetAtomWithIdx(ends[0][0])
        metal.SetAtomicNum(Chem.GetPeriodicTable().GetAtomicNumber(_METALS[(told["metal"] or "").lower()]))
        metal.SetNoImplicit(True)
        if told["halide"]:
            other = edit.AddAtom(Chem.Atom(_HALOGENS[told["halide"].lower()]))
            edit.AddBond(metal.GetIdx(), other, Chem.BondType.SINGLE)
        return Named(written, text, canonical_smiles(Chem.MolToSmiles(edit)), made_of.origin)
    return None


def _read_smiles(text: str, written: str) -> Named:
    try:
        smiles = canonical_smiles(text)
    except StructureError as error:
        raise NameProblem(str(error)) from error
    entry = by_structure(smiles)
    name, boils = (entry.name, entry.boiling_c) if entry else (text.strip(), None)
    return Named(written, name, smiles, SMILES, boils, label_note(smiles))


def _pick(entries: tuple[_Entry, ...], written: str, prefer_solvent: bool) -> Named:
    """Return the one meaning of ``entries``; raise ``NameProblem`` where there are several."""
    wanted = SOLVENT_TABLE if prefer_solvent else REAGENT_TABLE
    if prefer_solvent:
        entries = tuple(e for e in entries if e.origin == SOLVENT_TABLE) or entries
    meanings: dict[str, _Entry] = {}
    for entry in sorted(entries, key=lambda e: e.origin != wanted):
        meanings.setdefault(canonical_smiles(entry.smiles), entry)
    if len(meanings) > 1:
        told = " or ".join(f"{e.name} ({e.use})" for e in meanings.values())
        raise NameProblem(
            f"{short(written)} may mean {told}. Write the one that is meant by its full name.",
            (e.name for e in meanings.values()),
        )
    ((smiles, entry),) = meanings.items()
    return Named(written, entry.name, smiles, entry.origin, entry.boiling_c)


# The tables


_ENDS = str.maketrans(';"', ",,")


@cache
def _folded() -> tuple[str, list[int]]:
    """Return all rows as ``key`` folds them, in one text with commas about each spelling, and the place of each row in turn.

    Of a thousand reagents few are asked for: their lines are searched as they are written.
    """
    texts = [*lines_of(Reagent), *(",".join(row.cells[:3]) for row in table(Solvent).values())]
    order = sorted(range(len(texts)), key=lambda place: not texts[place].isascii())  # those are folded all at once
    plain = "\0".join([text for text in texts if text.isascii()])
    folded = "\0".join([key(plain), *(key(text) for text in texts if not text.isascii())])
    return f",{folded.translate(_ENDS)},".replace("\0", ",\0,"), order


def _entries(rows: Iterable[Reagent | Solvent]) -> Iterator[tuple[str, _Entry]]:
    """Yield the key and the entry of each spelling of some rows."""
    for row in rows:
        for spelled in (row.id, row.name, *row.aliases):
            yield key(spelled), _Entry("" if spelled == row.id != row.name else clean(spelled), row)


def _rows_at(places: Iterable[int]) -> list[Reagent | Solvent]:
    """Return rows by their place: the reagents come first."""
    lines, solvents = lines_of(Reagent), list(table(Solvent).values())
    return [rows_of_lines(Reagent, [lines[i]])[0] if i < len(lines) else solvents[i - len(lines)] for i in places]


@lru_cache(maxsize=1_000)
def _spelt(wanted: str) -> tuple[_Entry, ...]:
    """Return the entries with a key."""
    text, order = _folded()
    within, places, at = f",{wanted.translate(_ENDS)},", set(), 0
    while (at := text.find(within, at) + 1) > 0:
        places.add(order[text.count("\0", 0, at)])
    rows = _rows_at(sorted(places))
    return tuple(dict.fromkeys(entry for found, entry in _entries(rows) if found == wanted)) if wanted else ()


def is_written(text: str) -> bool:
    """Tell whether a text is a name of the tables, in whatever spelling."""
    return bool(_spelt(key(text)))


@cache
def index() -> Mapping[str, tuple[_Entry, ...]]:
    """Return the entries of both tables by key: all of them, for what asks which name is near."""
    found: dict[str, dict[_Entry, None]] = {}
    for spelled, entry in _entries((*table(Reagent).values(), *table(Solvent).values())):
        found.setdefault(spelled, {})[entry] = None
    return MappingProxyType({spelled: tuple(bucket) for spelled, bucket in found.items() if spelled})


@cache
def _structures() -> Mapping[str, int]:
    """Return the place of the row of each structure, by its canonical SMILES, where the row is that one structure."""
    lines = lines_of(Reagent)
    structures = [*second_cells(lines), *column(Solvent, "smiles")]
    notes = [*lines, *column(Solvent, "note")]
    own = enumerate(zip(structures, notes, strict=True))
    return ByStructure((smiles, place) for place, (smiles, note) in own if MIXTURE not in note)


def by_structure(smiles: str) -> _Entry | None:
    """Return the entry of a structure, or ``None`` where the tables do not hold it (or it is no SMILES)."""
    try:
        mol = unlabelled(parse(smiles))[0]
    except StructureError:
        return None
    canonical = Chem.MolToSmiles(mol)
    known = _structures()
    # A row without stereochemistry names every stereoisomer; a row with it names only its own.
    place = known.get(canonical)
    if place is None:
        place = known.get(Chem.MolToSmiles(mol, isomericSmiles=False))
    return None if place is None else _Entry("", *_rows_at((place,)))


# Texts that are not names


# Possessive: where a bracket is not closed, nothing is tried twice.
_SMILES_TOKENS = r"(?:Cl|Br|[BCNOPSFIbcnops*]|\[[^\[\]\s]*+\]?+|[-=#$:/\\.()@+%>~\]0-9])++"
_ELEMENT = r"([A-Z][a-z]?)(\d*)"


def looks_like_smiles(text: str) -> bool:
    """Tell a text that can hardly be anything but a SMILES, sound or not, from a name or formula."""
    if any(c.isspace() for c in text) or not any(c.isalpha() or c in "*[(" for c in text):
        return False
    if any(c in text for c in "=#@\\>*"):
        return True
    return bool(re.fullmatch(_SMILES_TOKENS, text)) and (len(text) > 8 or any(c in "()[]/0123456789" for c in text))


def _refuse_likely_abbreviation(text: str) -> None:
    """Refuse a few capitals that make a hydride of boron or phosphorus: they are nearly always an abbreviation."""
    if ("B" in text or "P" in text) and re.fullmatch(r"[A-Z]{2,5}", text):
        formula = _formula(text)
        raise NameProblem(
            f"{text!r} is an abbreviation that the tables do not hold, and could also be read as a SMILES ({formula}). "
            f"Write the full name, or SMILES={text} where that structure is meant.",
            (f"SMILES={text}",),
        )


def _refuse_formula(text: str) -> None:
    """Refuse a bare molecular formula, which does not say which isomer is meant."""
    if not any(c.isdigit() for c in text) or not re.fullmatch(r"(?:[A-Z][a-z]?\d*)+", text):
        return
    parts = re.findall(_ELEMENT, text)
    symbols = [symbol for symbol, _ in parts]
    known_symbols = {Chem.GetPeriodicTable().GetElementSymbol(n) for n in range(1, 104)}
    if not known_symbols.issuperset(symbols):
        return
    if "H" not in symbols and len(set(symbols)) < len(symbols):
        return  # A SMILES with an open ring, such as C1CC.
    counts: dict[str, int] = {}
    for symbol, number in parts:
        counts[symbol] = counts.get(symbol, 0) + int(number or 1)
    alike = [place for smiles, place in _structures().items() if _formula_counts(smiles) == counts]
    known = sorted({row.name for row in _rows_at(alike)})
    among = f" Of the compounds in the tables it fits {', '.join(known[:6])}." if known else ""
    raise NameProblem(
        f"{short(text)} is a formula; it does not say which compound is meant.{among} Write a name or a SMILES.",
        known[:6],
    )


@lru_cache(maxsize=1_000)
def _formula(smiles: str) -> str:
    from rdkit.Chem.rdMolDescriptors import CalcMolFormula

    return CalcMolFormula(parse(smiles))


def _formula_counts(smiles: str) -> dict[str, int]:
    return {symbol: int(number or 1) for symbol, number in re.findall(_ELEMENT, _formula(smiles))}


def _refuse_smiles_with_a_tail(text: str) -> None:
    """Refuse a SMILES with a space in it or with something after it."""
    for likely in ("".join(text.split()), text.split()[0]):
        if not any(c in likely for c in "=#()[]@123456789") or not re.fullmatch(_SMILES_TOKENS, likely):
            continue
        try:
            parse(likely)
        except StructureError:
            continue
        raise NameProblem(
            f"{short(text)} looks like a SMILES but holds a space; write the SMILES alone, without one: {likely}.",
            (likely,),
        )
