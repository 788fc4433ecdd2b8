"""Names that the tables do not hold: the ``chemicals`` package, and what a misspelt name may have been.

The package and its tables take a while to load, and most names need neither; ``names.py`` comes here last.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import Any

from rdkit import Chem
from rdkit.Chem import rdChemReactions

from .names import CHEMICALS, Named, by_structure, index, resolve
from .spelling import GREEK, NameProblem, begun_by, key, made_of_symbols, short, slips
from .structure import StructureError, canonical_smiles, label_note, parse

_CAS = re.compile(r"(\d{2,7})-(\d\d)-(\d)")
# The package answers polystyrene with styrene.
_POLYMER = re.compile(r"^poly|polymer", re.IGNORECASE)
# A salt by the name of its base: "X hydrochloride", "X-ium chloride".
_ACID_OF = {
    "hydrochloride": "Cl", "dihydrochloride": "Cl.Cl", "hcl": "Cl", "2hcl": "Cl.Cl", "hydrobromide": "Br", "hbr": "Br",
    "hydroiodide": "I", "hydriodide": "I", "chloride": "Cl", "bromide": "Br", "iodide": "I",
    "trifluoroacetate": "O=C(O)C(F)(F)F", "tfa": "O=C(O)C(F)(F)F",
}  # fmt: skip
_SALT = re.compile(
    r"(?P<base>.{2,}?)[\s.·*]+(?P<acid>(?:di)?hydrochloride|2?hcl|hydrobromide|hbr|hydr(?:o)?iodide|trifluoroacetate|tfa)",
    re.IGNORECASE,
)
_ONIUM = re.compile(
    r"(?P<stem>.+?)(?P<end>ammonium|inium|olium) (?P<acid>chloride|bromide|iodide|trifluoroacetate)", re.IGNORECASE
)
_BASE_END = {"ammonium": "amine", "inium": "ine", "olium": "ole"}
_MAIN_GROUP = frozenset(re.findall(r"\S+", "B C N O F Si P S Cl Ge As Se Br Sn Sb Te I Al"))


def from_chemicals(text: str, written: str) -> Named:
    """Return what the ``chemicals`` package holds under a CAS number or a name; raise ``NameProblem`` otherwise."""
    cas = _CAS.fullmatch(text)
    if cas and sum(i * int(d) for i, d in enumerate(reversed(cas[1] + cas[2]), start=1)) % 10 != int(cas[3]):
        raise NameProblem(f"{text} is not a CAS number: its last digit does not fit the others; check it.")
    told = None if cas else _more_than_a_name(text, written)
    if not cas and told is None and (made := _salt(text, written) or _ester(text, written)) is not None:
        return made
    from chemicals.identifiers import get_pubchem_db

    database = get_pubchem_db()
    if cas:
        found = database.search_CAS(text)
        if not found:
            raise NameProblem(f"No compound with the CAS number {text} is on hand; write its name or SMILES.")
    else:
        found = _search_name(database, text, autoload=False)
        if not found and told is not None:
            raise told  # the large table takes seconds to read, and holds no bottle's label
        found = found or _search_name(database, text, autoload=True)
        if not found:
            raise _unknown(text, written, database)
    if not cas and _POLYMER.search(text):
        raise NameProblem(
            f"{short(written)} names a polymer, and the chemicals package holds only what such a chain is made of; what a polymer "
            "does in a funnel is outside what is known here. If one compound is meant, write its SMILES."
        )
    common = next((n for n in (found.common_name, found.iupac_name) if n and not _CAS.fullmatch(n)), found.smiles)
    if not cas and re.fullmatch(r"[A-Z0-9]{2,6}", text) and key(common) != key(text):
        raise NameProblem(
            f"{short(written)} is an abbreviation that the tables do not hold; elsewhere it stands for {common}. "
            "Write that name if it is meant, or a SMILES.",
            (common,),
        )
    if not cas and difflib.SequenceMatcher(None, text.lower(), common.lower()).ratio() < 0.6:
        # A name that says little of the compound it stands for may be a misspelt one of ours.
        near = difflib.get_close_matches(key(text), list(index()), n=3, cutoff=0.85)
        if near and key(text) not in near:
            ours = tuple(dict.fromkeys(index()[k][0].name for k in near))
            raise NameProblem(
                f"{short(written)} is in no table; the chemicals package takes it for {common}. If {ours[0]} is meant, write "
                f"that; if not, write {common} or a SMILES.",
                (*ours, common),
            )
    smiles = _sound_smiles(found.smiles, written)
    entry = by_structure(smiles)
    name = entry.name if entry else (common if cas else text)
    return Named(written, name, smiles, CHEMICALS, entry.boiling_c if entry else None, label_note(smiles))


def _salt(text: str, written: str) -> Named | None:
    """Return the salt of a base that has a name: base and acid side by side; ``None`` where the name says no such thing."""
    if found := _SALT.fullmatch(text):
        base = found["base"]
    elif found := _ONIUM.fullmatch(text):
        base = found["stem"] + _BASE_END[found["end"].lower()]
    else:
        return None
    try:
        named = resolve(base)
        mol = parse(named.smiles)
    except (NameProblem, StructureError):
        return None
    if "." in named.smiles or Chem.GetFormalCharge(mol) or not any(a.GetSymbol() == "N" for a in mol.GetAtoms()):
        return None
    smiles = canonical_smiles(f"{named.smiles}.{_ACID_OF[found['acid'].lower()]}")
    return Named(written, text, smiles, named.origin, None, label_note(smiles))


# An ester by the name of its acid: "L-serine methyl ester".
_ESTER = re.compile(
    r"(?P<acid>.{4,}?)[\s-]+(?P<alkyl>methyl|ethyl|isopropyl|tert-butyl|t-butyl|benzyl|allyl) ester", re.IGNORECASE
)
_ALKYL = {
    "methyl": "C", "ethyl": "CC", "isopropyl": "C(C)C", "tert-butyl": "C(C)(C)C", "t-butyl": "C(C)(C)C",
    "benzyl": "Cc1ccccc1", "allyl": "CC=C",
}  # fmt: skip
_ACID = "[CX3:1](=[OX1:2])[OX2H1:3]>>[C:1](=[O:2])[O:3]"


def _ester(text: str, written: str) -> Named | None:
    """Return the ester of a compound with a name and one carboxyl group; ``None`` where the name says no such thing."""
    found = _ESTER.fullmatch(text)
    if not found:
        return None
    for acid in (found["acid"], found["acid"] + " acid"):
        try:
            named = resolve(acid)
        except NameProblem:
            continue
        mol = parse(named.smiles)
        if len(mol.GetSubstructMatches(Chem.MolFromSmarts("[CX3](=[OX1])[OX2H1]"))) != 1:
            continue
        made = rdChemReactions.ReactionFromSmarts(_ACID + _ALKYL[found["alkyl"].lower()]).RunReactants((mol,))
        smiles = canonical_smiles(Chem.MolToSmiles(made[0][0]))
        return Named(written, text, smiles, named.origin, None, label_note(smiles))
    return None


def _search_name(database: Any, text: str, autoload: bool) -> Any:
    """Return what the package holds under a name; the large table is read only with ``autoload``."""
    plain = "".join(GREEK.get(c, c) for c in text)
    spellings = dict.fromkeys(
        s for t in (text, plain) for s in (t, t.lower(), t.lower().replace(" ", ""), t.lower().replace(" ", "-"))
    )
    for spelling in spellings:
        if found := database.search_name(spelling, autoload=autoload):
            return found
    return None


def _sound_smiles(smiles: str, written: str) -> str:
    """Return the canonical form of a SMILES from the package; refuse the structures that are plainly wrong there."""
    try:
        mol = parse(smiles)
    except StructureError as error:
        raise NameProblem(f"The structure on hand for {short(written)} cannot be used: {error}") from error
    radical = any(a.GetNumRadicalElectrons() and a.GetSymbol() in _MAIN_GROUP for a in mol.GetAtoms())
    if radical or Chem.GetFormalCharge(mol):
        wrong = "unpaired electrons" if radical else "a charge without a counter-ion"
        raise NameProblem(
            f"{short(written)} is known by name, but the structure on hand for it ({smiles}) has {wrong} and is not "
            "used; write its SMILES."
        )
    return Chem.MolToSmiles(mol)


# Suggestions


_STRENGTH = re.compile(
    r"^(?:\d+(?:[.,]\d+)?\s*(?:mM|M|N|%|wt\s?%|mol\s?%|eq\.?|equiv\.?|mmol|mol|mg|g|mL|ml)\s+(?:of\s+)?"
    r"|(?:conc|dil|aq|sat)\.?\s+|(?:concentrated|dilute|aqueous|saturated|anhydrous|dry|solid|fuming|excess)\s+)+"
)
_STATE = re.compile(
    r"(?:\s*\((?:aq|s|l|g|[^()]*%[^()]*|[^()]*\bin\b[^()]*)\)|,?\s+\d+(?:[.,]\d+)?\s*(?:%|M\b|N\b).*|\s+in\s+\S.*|\s+solution"
    r"|,?\s+(?:sat|conc|dil|aq|anh)\.?|,?\s+(?:powder|dust|pellets|flakes|beads|turnings|granules))$"
)


_AMOUNT = re.compile(r",?\s+\d+(?:[.,]\d+)?\s*(?:[mµ]?mol|[mµk]?g|[mµ]?[lL]|equiv|eq)\b.*$")


def _more_than_a_name(text: str, written: str) -> NameProblem | None:
    """Return what to say of a name of the tables with a strength, an amount or a state around it."""
    name = _AMOUNT.sub("", text).strip()
    if name != text and key(name) in index():
        amount = text[len(name) :].strip(" ,")
        return NameProblem(
            f"{short(written)} is a name and an amount; each has its own place, on a command line with a semicolon between "
            f'them: "{name}; {amount.replace(", ", "; ")}".',
            (name,),
        )
    bare = _STATE.sub("", _STRENGTH.sub("", text)).strip()
    if bare and bare != text and key(bare) in index():
        return NameProblem(
            f"{short(written)} holds more than a name; write {bare} alone (strength, amount and state do not belong "
            "to the name).",
            (bare,),
        )
    return None


def _unknown(text: str, written: str, database: Any) -> NameProblem:
    near = _near(text, database)
    ask = f" Did you mean {', '.join(near[:-1]) + ' or ' if len(near) > 1 else ''}{near[-1]}?" if near else ""
    return NameProblem(
        f"{short(written)} is neither a name in the tables, nor a SMILES, nor a name that the chemicals package "
        f"holds.{ask} A SMILES always works.",
        near,
    )


def _near(text: str, database: Any) -> list[str]:
    """Return up to five names that resemble ``text``: those that it begins, then the most alike."""
    spelled, known = key(text), index()
    if len(spelled) < 3:
        return []
    near = begun_by(spelled, known)
    if made_of_symbols(text):
        near += [slip for slip in slips(spelled) if slip in known]
    else:
        near += difflib.get_close_matches(spelled, known, n=5, cutoff=0.8 if len(spelled) > 4 else 0.75)
    found = dict.fromkeys(entry.name for match in near for entry in known[match])
    if len(spelled) > 4 and len(found) < 5 and not made_of_symbols(text):
        for variant in _one_edit_away(text.lower()):
            hit = database.search_name(variant, autoload=False)
            if hit and (name := _usable(hit.smiles, variant)):
                found[name] = None
    return list(found)[:5]


def _usable(smiles: str, name: str) -> str:
    """Return the tables' name for a structure, else the one that it was found by; nothing where it cannot be used."""
    try:
        entry = by_structure(_sound_smiles(smiles, ""))
    except NameProblem:
        return ""
    return entry.name if entry else name


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
