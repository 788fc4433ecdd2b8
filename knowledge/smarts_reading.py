"""What a match of a SMARTS needs, read off its text; ``smarts.py`` says what for and what the words mean."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import combinations

from washlore.knowledge.smarts import ANY_OF, MOST_COUNTED

_SYMBOLS = {
    "B": 5, "C": 6, "N": 7, "O": 8, "F": 9, "P": 15, "S": 16, "I": 53, "Cl": 17, "Br": 35, "Si": 14, "Ge": 32, "As": 33, "Se": 34,
    "Te": 52, "Li": 3, "Na": 11, "Mg": 12, "Al": 13, "K": 19, "Ca": 20, "Sc": 21, "Ti": 22, "V": 23, "Cr": 24, "Mn": 25, "Fe": 26,
    "Co": 27, "Ni": 28, "Cu": 29, "Zn": 30, "Rb": 37, "Sr": 38, "Y": 39, "Zr": 40, "Nb": 41, "Mo": 42, "Tc": 43, "Ru": 44, "Rh": 45,
    "Pd": 46, "Ag": 47, "Cd": 48, "In": 49, "Sn": 50, "Sb": 51, "Cs": 55, "Ba": 56, "La": 57, "Ce": 58, "Pr": 59, "Nd": 60,
    "Sm": 62, "Eu": 63, "Gd": 64, "Yb": 70, "Lu": 71, "Hf": 72, "Ta": 73, "W": 74, "Re": 75, "Os": 76, "Ir": 77, "Pt": 78, "Au": 79,
    "Hg": 80, "Tl": 81, "Pb": 82, "Bi": 83,
    "b": 5, "c": 6, "n": 7, "o": 8, "p": 15, "s": 16, "se": 34,
}  # fmt: skip


def needs(smarts: str) -> frozenset[str]:
    """Return what a molecule must hold for a SMARTS to match, as far as the text tells; none where it is not understood."""
    try:
        return _Reading(smarts).needs()
    except (IndexError, ValueError):
        return frozenset()


class _Atom:
    """What is known of an atom of a pattern: its element, its marks (aromatic, charged, ...), and what else a match of it needs."""

    def __init__(self, number: int = 0, marks: Iterable[str] = (), needs: Iterable[str] = ()) -> None:
        self.number, self.marks, self.needs = number, frozenset(marks), frozenset(needs)

    def all_needs(self) -> frozenset[str]:
        if not self.number:
            return self.needs
        both = [f"{self.number} {one} {two}" for one, two in combinations(sorted(self.marks), 2)]
        return self.needs.union([f"{self.number} {mark}" for mark in self.marks], both, [f"{self.number} x1"])


_TOKEN = re.compile(
    r"(?P<bare>Cl|Br|[BCNOPSFIbcnops*aA])|(?P<ring>%\d\d|\d)|(?P<sign>[-=#:~@/\\!&,;]+)|(?P<other>[().\[])"
)


class _Reading:
    """A SMARTS read from left to right."""

    def __init__(self, smarts: str) -> None:
        self.atoms: list[_Atom] = []
        self.bonds: list[tuple[int, int, str]] = []
        self._read(smarts)

    def _read(self, text: str) -> None:
        before: int | None = None
        branches: list[int | None] = []
        rings: dict[str, tuple[int, str]] = {}
        order, place = "", 0
        while place < len(text):
            found = _TOKEN.match(text, place)
            if found is None:
                raise ValueError(text)
            place = found.end()
            if found["sign"]:
                order = found["sign"]
            elif found["ring"]:
                if before is None:
                    raise ValueError(text)
                if found["ring"] in rings:
                    other, its = rings.pop(found["ring"])
                    self.bonds.append((other, before, its or order))
                else:
                    rings[found["ring"]] = (before, order)
                order = ""
            elif found["other"] == "(":
                branches.append(before)
            elif found["other"] == ")":
                before = branches.pop()
            elif found["other"] == ".":
                before, order = None, ""
            else:
                if found["other"]:
                    end = _closing(text, place - 1, "[", "]")
                    atom = _within_brackets(text[place:end])
                    place = end + 1
                else:
                    atom = _bare(found["bare"])
                self.atoms.append(atom)
                if before is not None:
                    self.bonds.append((before, len(self.atoms) - 1, order))
                before, order = len(self.atoms) - 1, ""

    def needs(self) -> frozenset[str]:
        found: set[str] = set()
        for atom in self.atoms:
            found |= atom.all_needs()
        for number, count in Counter(atom.number for atom in self.atoms if atom.number).items():
            found.update(f"{number} x{n}" for n in range(1, min(count, MOST_COUNTED) + 1))
        neighbours: dict[int, list[int]] = {}
        for begin, end, order in self.bonds:
            one, two = self.atoms[begin], self.atoms[end]
            for place, other in ((begin, two), (end, one)):
                if other.number:
                    neighbours.setdefault(place, []).append(other.number)
            if one.number and two.number:
                found.update(_of_bond(one, two, order), _of_bond(two, one, order))
        for place, around in neighbours.items():
            if self.atoms[place].number:
                found.update(
                    f"{self.atoms[place].number} by {' '.join(map(str, some))}"
                    for count in (2, 3)
                    for some in combinations(sorted(around), count)
                )
        return frozenset(found)


def _of_bond(one: _Atom, two: _Atom, order: str) -> Iterator[str]:
    """Yield what a bond needs, told from its first end."""
    bonds = ["~"]
    if order[:1] in ("-", "=", "#", ":") and "," not in order and order[1:2] in ("", ";", "&", "!"):
        bonds.append(order[0])
    for bond in bonds:
        for mark in ("", *(m for m in one.marks if m[0] in "aAXH")):
            for its in ("", *(m for m in two.marks if m[0] in "aAXH")):
                yield f"{one.number} {mark} {bond} {its} {two.number}"


def _closing(text: str, place: int, opens: str, closes: str) -> int:
    depth = 0
    for at in range(place, len(text)):
        depth += (text[at] == opens) - (text[at] == closes)
        if depth == 0:
            return at
    raise ValueError(text)


def _bare(symbol: str) -> _Atom:
    if symbol in "*aA":
        return _Atom()
    return _element(symbol)


def _element(symbol: str) -> _Atom:
    return _Atom(_SYMBOLS[symbol], "a" if symbol.islower() else "A")


def _all_of(atoms: Iterable[_Atom]) -> _Atom:
    made = list(atoms)
    return _Atom(
        next((a.number for a in made if a.number), 0),
        frozenset().union(*(a.marks for a in made)),
        frozenset().union(*(a.needs for a in made)),
    )


def _one_of(atoms: Iterable[_Atom]) -> _Atom:
    made = list(atoms)
    if len(made) == 1:
        return made[0]
    numbers = {a.number for a in made}
    alike = len(numbers) == 1
    return _Atom(
        made[0].number if alike else next((kind for kind, its in ANY_OF.items() if numbers <= its | {kind}), 0),
        frozenset.intersection(*(a.marks for a in made)),
        frozenset.intersection(*((a.needs if alike else a.all_needs()) for a in made)),
    )


def _within_brackets(text: str) -> _Atom:
    """Return what the text between the brackets of an atom tells: ``;`` binds least, then ``,``, then what stands together."""
    return _all_of(_one_of(map(_together, _split(part, ","))) for part in _split(text, ";"))


def _split(text: str, sign: str) -> Iterator[str]:
    depth, begun = 0, 0
    for at, letter in enumerate(text):
        depth += (letter in "([{") - (letter in ")]}")
        if letter == sign and depth == 0:
            yield text[begun:at]
            begun = at + 1
    yield text[begun:]


_PRIMITIVE = re.compile(
    r"(?P<number>#\d+)|(?P<charge>\+\++|--+|[+-]\d*)|(?P<symbol>"
    + "|".join(sorted(_SYMBOLS, key=len, reverse=True))
    + r")|(?P<count>[HDXRr](?:\d+)?(?!\d|\{))|(?P<plain>[HDXRrvxhzZ^](?:\d+|\{[^}]*\})?|[*aA]|@+[?\w]*|:\d+|\d+|&)"
)


def _together(text: str) -> _Atom:
    """Return what primitives that must all hold tell of an atom; what stands behind ``!`` tells little."""
    known: list[_Atom] = []
    marks: list[str] = []
    place = 0
    while place < len(text):
        denied = text[place] == "!"
        place += denied
        if text.startswith("$(", place):
            end = _closing(text, place + 1, "(", ")")
            if not denied:
                inner = _Reading(text[place + 2 : end])
                known.append(_Atom(inner.atoms[0].number, inner.atoms[0].marks, inner.needs()))
            place = end + 1
            continue
        found = _PRIMITIVE.match(text, place)
        if found is None:
            raise ValueError(text)
        place = found.end()
        if denied:
            marks += {"H0": "H", "R": "r", "r": "r", "R0": "R"}.get(found[0], "")
        elif found["number"]:
            known.append(_Atom(int(found["number"][1:])))
        elif found["symbol"]:
            known.append(_element(found["symbol"]))
        elif found["charge"]:
            marks.append("n" if found["charge"][1:] == "0" else found["charge"][0])
        elif found["count"]:
            marks += _counted(found["count"])
    return _all_of([*known, _Atom(0, marks)])


def _counted(primitive: str) -> list[str]:
    kind, count = primitive[0], primitive[1:]
    if kind == "R":
        return ["r"] if count == "0" else ["R"]
    if kind == "r":
        return ["R", f"r{count}"] if count else ["R"]
    number = int(count or 1)
    return [f"{kind}{number}", "H" if number else "h"] if kind == "H" else [f"{kind}{number}"]
