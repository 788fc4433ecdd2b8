"""From what a chemist writes (abbreviation, trade name, formula, CAS number, SMILES) to a structure.

The tables of reagents and solvents come first, then SMILES, then the names of the ``chemicals`` package. What a text
was read as is never hidden: ``Named.origin`` says it.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType
from typing import Any

from rdkit import Chem
from rdkit.Chem.rdMolDescriptors import CalcMolFormula

from .rows import Reagent, Solvent, table
from .structure import MAX_SMILES_LENGTH, StructureError, atom_counts, canonical_smiles, parse

SMILES = "SMILES"
REAGENT_TABLE = "reagent table"
SOLVENT_TABLE = "solvent table"
CHEMICALS = "chemicals"
MAX_NAME_LENGTH = 300
# A row whose note begins so shows one member of a mixture; its name is not the name of that member.
MIXTURE = "Mixture:"


@dataclass(frozen=True, slots=True)
class Named:
    """A text and the structure it stands for.

    ``name``: the name to show. ``smiles``: canonical. ``origin``: ``SMILES``, ``reagent table``, ``solvent table`` or
    ``chemicals``. ``boiling_c``: boiling point in degrees Celsius at 1 atm where the tables hold one.
    """

    written: str
    name: str
    smiles: str
    origin: str
    boiling_c: float | None = None


class NameProblem(ValueError):
    """A text stands for no structure, or for more than one; ``candidates`` are texts that would be understood."""

    def __init__(self, message: str, candidates: Iterable[str] = ()) -> None:
        super().__init__(message)
        self.candidates: tuple[str, ...] = tuple(candidates)


@dataclass(frozen=True, slots=True)
class _Entry:
    """One spelling of one row; ``spelling`` is empty for the row's id, which never counts as an exact match."""

    spelling: str
    name: str
    smiles: str
    origin: str
    use: str
    boiling_c: float | None


def resolve(text: str, *, prefer_solvent: bool = False) -> Named:
    """Return the structure that ``text`` stands for.

    ``text`` may be a name, abbreviation or formula of the tables, a SMILES, a CAS number, or a name that the
    ``chemicals`` package knows; ``SMILES=`` in front makes it a SMILES whatever else it may mean.
    ``prefer_solvent`` settles an abbreviation that a solvent shares with another compound in favour of the solvent.

    Raises ``NameProblem`` where the text is ambiguous, unknown, or a SMILES that cannot be used.
    """
    return _resolve(_clean(text), text.strip(), prefer_solvent)


def display_name(smiles: str) -> str | None:
    """Return the tables' name for a structure, or ``None`` where they do not hold it (or it is no SMILES)."""
    entry = _by_structure(smiles)
    return entry.name if entry else None


def boiling_c(smiles: str) -> float | None:
    """Return the boiling point that the tables hold for a structure, C at 1 atm, or ``None``."""
    entry = _by_structure(smiles)
    return entry.boiling_c if entry else None


@lru_cache(maxsize=1_000)
def _resolve(text: str, written: str, prefer_solvent: bool) -> Named:
    if forced := re.match(r"smiles\s*[=:]\s*", text, re.IGNORECASE):
        return _read_smiles(text[forced.end() :], written)
    entries = _index().get(_key(text), ())
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
        raise NameProblem(f"{_short(text)} is an InChI, which is not read here; write its SMILES or a name.")
    _refuse_formula(text)
    if reason is not None and _looks_like_smiles(text):
        raise NameProblem(str(reason)) from reason
    if any(c.isspace() for c in text):
        _refuse_smiles_with_a_tail(text)
    if len(text) > MAX_NAME_LENGTH:
        raise NameProblem(f"{_short(text)} has {len(text):,} characters, too many for a name; write a SMILES.")
    return _from_chemicals(text, written)


def _read_smiles(text: str, written: str) -> Named:
    try:
        smiles = canonical_smiles(text)
    except StructureError as error:
        raise NameProblem(str(error)) from error
    entry = _by_structure(smiles)
    return Named(written, entry.name if entry else text.strip(), smiles, SMILES, entry.boiling_c if entry else None)


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
            f"{_short(written)} may mean {told}. Write the one that is meant by its full name.",
            (e.name for e in meanings.values()),
        )
    ((smiles, entry),) = meanings.items()
    return Named(written, entry.name, smiles, entry.origin, entry.boiling_c)


# Spelling


_DROPPED_SIGNS = str.maketrans("", "", "\u2122\u00ae\u00a9")
_SIGNS = str.maketrans(dict.fromkeys("·•∙⋅‧・", ".") | dict.fromkeys("‐‑‒–—―−", "-") | dict.fromkeys("‘’′´`ʹʼ", "'"))
_GREEK = {
    "\u03b1": "alpha",
    "\u03b2": "beta",
    "\u03b3": "gamma",
    "\u03b4": "delta",
    "\u03b5": "epsilon",
    "\u03c9": "omega",
}


def _clean(text: Any) -> str:
    """Return ``text`` with one kind of dot, dash, prime and space; raise ``NameProblem`` for what no name can hold."""
    if not isinstance(text, str):
        raise NameProblem(f"A component was given as {type(text).__name__}, not as text; write a name or a SMILES.")
    if len(text) > MAX_SMILES_LENGTH:
        raise NameProblem(
            f"{_short(text)} has {len(text):,} characters; a name or SMILES of up to {MAX_SMILES_LENGTH:,} can be read."
        )
    if text.isascii() and text.isprintable() and not text.isspace() and text:
        return " ".join(text.translate(_SIGNS).split())
    shown = "".join(c for c in text if unicodedata.category(c) != "Cf").translate(_DROPPED_SIGNS)
    cleaned = unicodedata.normalize("NFKC", shown).translate(_SIGNS).strip()
    if not cleaned:
        raise NameProblem("The name is empty; write a name such as ethyl acetate, or a SMILES such as CCOC(C)=O.")
    for character in cleaned:
        if problem := _foreign(character):
            raise NameProblem(
                f"{_short(text)} holds {problem}, which no chemical name or SMILES has; remove or retype it."
            )
    return " ".join(cleaned.split())


def _foreign(character: str) -> str:
    """Say what is wrong with a character, or return an empty string."""
    code = f"U+{ord(character):04X}"
    category = unicodedata.category(character)
    if character in "\n\r":
        return "a line break"
    if category == "Cc" and character != "\t":
        return f"a control character ({code})"
    if category in ("Cs", "Co", "Cn", "So", "Zl", "Zp"):
        return f"the sign {character!r} ({code})"
    if category[0] == "L" and ord(character) > 127:
        known = unicodedata.name(character, "")
        if not known.startswith(("LATIN", "GREEK")):
            return f"the letter {character!r} ({known.lower()}, {code})"
    return ""


_BETWEEN = re.compile(r"[\s\-_.']")


def _key(text: str) -> str:
    """Return what spellings of one name have in common: no case, spaces, hyphens, dots, primes or accents."""
    if text.isascii():
        return _BETWEEN.sub("", text.casefold())
    folded = "".join(_GREEK.get(c, c) for c in text.casefold())
    plain = "".join(c for c in unicodedata.normalize("NFKD", folded) if not unicodedata.combining(c))
    return _BETWEEN.sub("", plain)


def _short(text: str) -> str:
    return repr(text if len(text) <= 60 else text[:57] + "...")


# The tables


@cache
def _index() -> Mapping[str, tuple[_Entry, ...]]:
    """Return the entries of both tables by the key of each spelling."""
    found: dict[str, list[_Entry]] = {}
    for spelled, entry in _entries():
        bucket = found.setdefault(_key(spelled), [])
        if entry not in bucket:
            bucket.append(entry)
    return MappingProxyType({key: tuple(bucket) for key, bucket in found.items() if key})


def _entries() -> Iterable[tuple[str, _Entry]]:
    for reagent in table(Reagent).values():
        for spelled in (reagent.id, reagent.name, *reagent.aliases):
            spelling = "" if spelled == reagent.id != reagent.name else _clean(spelled)
            yield (
                spelled,
                _Entry(spelling, reagent.name, reagent.smiles, REAGENT_TABLE, reagent.use, reagent.boiling_c),
            )
    for solvent in table(Solvent).values():
        for spelled in (solvent.id, solvent.name, *solvent.aliases):
            spelling = "" if spelled == solvent.id != solvent.name else _clean(spelled)
            yield spelled, _Entry(spelling, solvent.name, solvent.smiles, SOLVENT_TABLE, "solvent", solvent.boiling_c)


@cache
def _structures() -> tuple[_Entry, ...]:
    """Return one entry for each row that is one structure; the reagents come first."""
    mixtures = {s.name for s in table(Solvent).values() if s.note.startswith(MIXTURE)}
    mixtures |= {r.name for r in table(Reagent).values() if r.note.startswith(MIXTURE)}
    found: dict[str, _Entry] = {}
    for _, entry in _entries():
        if entry.name not in mixtures:
            found.setdefault(entry.origin + entry.name, entry)
    return tuple(found.values())


@cache
def _by_atoms() -> Mapping[tuple[tuple[str, int], ...], tuple[_Entry, ...]]:
    found: dict[tuple[tuple[str, int], ...], list[_Entry]] = {}
    for entry in _structures():
        found.setdefault(atom_counts(entry.smiles), []).append(entry)
    return MappingProxyType({atoms: tuple(entries) for atoms, entries in found.items()})


@lru_cache(maxsize=1_000)
def _alike(atoms: tuple[tuple[str, int], ...]) -> Mapping[str, _Entry]:
    """Return the entries with these atoms by canonical SMILES."""
    found: dict[str, _Entry] = {}
    for entry in _by_atoms().get(atoms, ()):
        found.setdefault(canonical_smiles(entry.smiles), entry)
    return MappingProxyType(found)


def _by_structure(smiles: str) -> _Entry | None:
    try:
        mol = parse(smiles)
    except StructureError:
        return None
    alike = _alike(atom_counts(Chem.MolToSmiles(mol)))
    # A row without stereochemistry names every stereoisomer; a row with it names only its own.
    return alike.get(Chem.MolToSmiles(mol)) or alike.get(Chem.MolToSmiles(mol, isomericSmiles=False))


# Texts that are not names


_SMILES_TOKENS = re.compile(r"(?:Cl|Br|[BCNOPSFIbcnops*]|\[[^\[\]\s]*\]?|[-=#$:/\\.()@+%>\]0-9])+")
_ELEMENT = re.compile(r"([A-Z][a-z]?)(\d*)")
_SYMBOLS = frozenset(Chem.GetPeriodicTable().GetElementSymbol(n) for n in range(1, 104))


def _looks_like_smiles(text: str) -> bool:
    if any(c.isspace() for c in text) or not any(c.isalpha() or c in "*[(" for c in text):
        return False
    if any(c in text for c in "=#@\\>*"):
        return True
    return bool(_SMILES_TOKENS.fullmatch(text)) and (len(text) > 8 or any(c in "()[]/0123456789" for c in text))


def _refuse_likely_abbreviation(text: str) -> None:
    """Refuse a few capitals that make a hydride of boron or phosphorus: they are nearly always an abbreviation."""
    if re.fullmatch(r"[A-Z]{2,5}", text) and ("B" in text or "P" in text):
        formula = CalcMolFormula(parse(text))
        raise NameProblem(
            f"{text!r} is an abbreviation that the tables do not hold, and could also be read as a SMILES ({formula}). "
            f"Write the full name, or SMILES={text} where that structure is meant.",
            (f"SMILES={text}",),
        )


def _refuse_formula(text: str) -> None:
    """Refuse a bare molecular formula, which does not say which isomer is meant."""
    if not re.fullmatch(r"(?:[A-Z][a-z]?\d*)+", text) or not any(c.isdigit() for c in text):
        return
    parts = _ELEMENT.findall(text)
    symbols = [symbol for symbol, _ in parts]
    if not all(symbol in _SYMBOLS for symbol in symbols):
        return
    if "H" not in symbols and len(set(symbols)) < len(symbols):
        return  # A SMILES with an open ring, such as C1CC.
    counts: dict[str, int] = {}
    for symbol, number in parts:
        counts[symbol] = counts.get(symbol, 0) + int(number or 1)
    known = sorted({e.name for e in _structures() if _formula_counts(e.smiles) == counts})
    among = f" Of the compounds in the tables it fits {', '.join(known[:6])}." if known else ""
    raise NameProblem(
        f"{_short(text)} is a formula; it does not say which compound is meant.{among} Write a name or a SMILES.",
        known[:6],
    )


@lru_cache(maxsize=1_000)
def _formula_counts_text(smiles: str) -> str:
    return CalcMolFormula(parse(smiles))


def _formula_counts(smiles: str) -> dict[str, int]:
    return {symbol: int(number or 1) for symbol, number in _ELEMENT.findall(_formula_counts_text(smiles))}


def _refuse_smiles_with_a_tail(text: str) -> None:
    """Refuse a SMILES with a space in it or with something after it."""
    for likely in ("".join(text.split()), text.split()[0]):
        if not any(c in likely for c in "=#()[]@123456789") or not _SMILES_TOKENS.fullmatch(likely):
            continue
        try:
            parse(likely)
        except StructureError:
            continue
        raise NameProblem(
            f"{_short(text)} looks like a SMILES but holds a space; write the SMILES alone, without one: {likely}.",
            (likely,),
        )


# The chemicals package


_CAS = re.compile(r"(\d{2,7})-(\d\d)-(\d)")
_MAIN_GROUP = frozenset(re.findall(r"\S+", "B C N O F Si P S Cl Ge As Se Br Sn Sb Te I Al"))


def _from_chemicals(text: str, written: str) -> Named:
    """Return what the ``chemicals`` package holds under a CAS number or a name; raise ``NameProblem`` otherwise."""
    cas = _CAS.fullmatch(text)
    if cas and sum(i * int(d) for i, d in enumerate(reversed(cas[1] + cas[2]), start=1)) % 10 != int(cas[3]):
        raise NameProblem(f"{text} is not a CAS number: its last digit does not fit the others; check it.")
    # Imported here: the package and its tables take a while, and most names need neither.
    from chemicals.identifiers import get_pubchem_db

    database = get_pubchem_db()
    if cas:
        found = database.search_CAS(text)
        if not found:
            raise NameProblem(f"No compound with the CAS number {text} is on hand; write its name or SMILES.")
    else:
        found = _search_name(database, text)
        if not found:
            raise _unknown(text, written, database)
    common = found.common_name or found.iupac_name
    if not cas and re.fullmatch(r"[A-Z0-9]{2,6}", text) and _key(common) != _key(text):
        raise NameProblem(
            f"{_short(written)} is an abbreviation that the tables do not hold; elsewhere it stands for {common}. "
            "Write that name if it is meant, or a SMILES.",
            (common,),
        )
    if not cas and difflib.SequenceMatcher(None, text.lower(), common.lower()).ratio() < 0.6:
        # A name that says little of the compound it stands for may be a misspelt one of ours.
        near = difflib.get_close_matches(_key(text), list(_index()), n=3, cutoff=0.85)
        if near and _key(text) not in near:
            ours = tuple(dict.fromkeys(_index()[k][0].name for k in near))
            raise NameProblem(
                f"{_short(written)} is in no table; the chemicals package takes it for {common}. If {ours[0]} is meant, write "
                f"that; if not, write {common} or a SMILES.",
                (*ours, common),
            )
    smiles = _sound_smiles(found.smiles, written)
    entry = _by_structure(smiles)
    name = entry.name if entry else (common if cas else text)
    return Named(written, name, smiles, CHEMICALS, entry.boiling_c if entry else None)


def _search_name(database: Any, text: str) -> Any:
    plain = "".join(_GREEK.get(c, c) for c in text)
    spellings = dict.fromkeys(
        s for t in (text, plain) for s in (t, t.lower(), t.lower().replace(" ", ""), t.lower().replace(" ", "-"))
    )
    for autoload in (False, True):  # The large table is read only when the small one does not hold the name.
        for spelling in spellings:
            if found := database.search_name(spelling, autoload=autoload):
                return found
    return None


def _sound_smiles(smiles: str, written: str) -> str:
    """Return the canonical form of a SMILES from the package; refuse the structures that are plainly wrong there."""
    try:
        mol = parse(smiles)
    except StructureError as error:
        raise NameProblem(f"The structure on hand for {_short(written)} cannot be used: {error}") from error
    radical = any(a.GetNumRadicalElectrons() and a.GetSymbol() in _MAIN_GROUP for a in mol.GetAtoms())
    if radical or Chem.GetFormalCharge(mol):
        wrong = "unpaired electrons" if radical else "a charge without a counter-ion"
        raise NameProblem(
            f"{_short(written)} is known by name, but the structure on hand for it ({smiles}) has {wrong} and is not "
            "used; write its SMILES."
        )
    return Chem.MolToSmiles(mol)


# Suggestions


_STRENGTH = re.compile(
    r"^(?:\d+(?:[.,]\d+)?\s*(?:mM|M|N|%|wt\s?%|mol\s?%|eq\.?|equiv\.?|mmol|mol|mg|g|mL|ml)\s+(?:of\s+)?"
    r"|(?:conc|dil|aq|sat)\.?\s+|(?:concentrated|dilute|aqueous|saturated|anhydrous|dry|solid|fuming|excess)\s+)+"
)
_STATE = re.compile(
    r"(?:\s*\((?:aq|s|l|g|[^()]*%[^()]*|[^()]*\bin\b[^()]*)\)|,?\s+\d+\s*%.*|\s+in\s+\S.*|\s+solution)$"
)


def _unknown(text: str, written: str, database: Any) -> NameProblem:
    bare = _STATE.sub("", _STRENGTH.sub("", text)).strip()
    if bare and bare != text and _key(bare) in _index():
        return NameProblem(
            f"{_short(written)} holds more than a name; write {bare} alone (strength, amount and state do not belong "
            "to the name).",
            (bare,),
        )
    near = _near(text, database)
    ask = f" Did you mean {', '.join(near[:-1]) + ' or ' if len(near) > 1 else ''}{near[-1]}?" if near else ""
    return NameProblem(
        f"{_short(written)} is neither a name in the tables, nor a SMILES, nor a name that the chemicals package "
        f"holds.{ask} A SMILES always works.",
        near,
    )


def _near(text: str, database: Any) -> list[str]:
    """Return up to five names that resemble ``text``, the most alike first."""
    key = _key(text)
    index = _index()
    found: dict[str, None] = {}
    if len(key) < 3:
        return []
    for match in difflib.get_close_matches(key, index, n=5, cutoff=0.8 if len(key) > 4 else 0.75):
        for entry in index[match]:
            found[entry.name] = None
    if len(key) > 4:
        for variant in _one_edit_away(text.lower()):
            if (hit := database.search_name(variant, autoload=False)) and _usable(hit.smiles):
                found[variant] = None
    return list(found)[:5]


def _usable(smiles: str) -> bool:
    try:
        _sound_smiles(smiles, "")
    except NameProblem:
        return False
    return True


def _one_edit_away(text: str) -> Iterable[str]:
    """Return the spellings one slip from ``text``; looking each up is quicker than comparing with every name."""
    if len(text) > 60:
        return
    yield from (text.replace(a, b) for a, b in (("ph", "f"), ("f", "ph"), ("y", "i"), ("i", "y")) if a in text)
    for i in range(len(text) + 1):
        head, tail = text[:i], text[i:]
        if tail:
            yield head + tail[1:]
        if len(tail) > 1:
            yield head + tail[1] + tail[0] + tail[2:]
        for letter in "abcdefghijklmnopqrstuvwxyz-":
            yield head + letter + tail
            if tail:
                yield head + letter + tail[1:]
