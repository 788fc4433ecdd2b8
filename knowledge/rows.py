"""What a row of each table holds, and how a table is read.

A table is ``tables/<name>.csv``. Its columns are the fields of one dataclass below, in that order; units are part
of the column name. Several values in one cell are separated by `` ; `` (semicolon). An empty cell is ``None`` where
the field allows it and an empty string or tuple otherwise. Every row names its ``source``: a key of
``tables/sources.csv``.
"""

from __future__ import annotations

import csv
import os
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from washlore.knowledge.records import dataclass


class TableError(ValueError):
    """A table cannot be used; the message names file, row and column."""


class Row:
    """A row of a table. A cell is turned into its value when it is first asked for: most never are.

    ``cells`` are as they stand in the table. Of most rows nothing is asked, and those need no more than these two places.
    """

    table: ClassVar[str]
    __slots__ = ("_number", "cells")

    if TYPE_CHECKING:
        cells: list[str]
    else:

        def __getattr__(self, name: str) -> Any:
            """Read a cell; raise ``TableError`` where it does not hold what its column must."""
            place, reader = (None, None) if name in _NO_CELLS else _columns(type(self)).get(name, (None, None))
            if place is None:
                raise AttributeError(f"{type(self).__name__} has no attribute {name!r}")
            cell = self.cells[place]
            try:
                value = reader(cell.strip())
            except ValueError as error:
                where = f"{self.table}.csv, row {self._number}, column {name}"
                raise TableError(f"{where}: {cell!r} {error}") from None
            self.__dict__[name] = value
            return value

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, **{name: getattr(self, name) for name in Row.__slots__ if hasattr(self, name)}}

    def __setstate__(self, state: dict[str, Any]) -> None:
        for name, value in state.items():
            object.__setattr__(self, name, value)


_NO_CELLS = frozenset((*Row.__slots__, "__post_init__"))


def _new_row(row_type: type[R], cells: list[str], number: int) -> R:
    row = object.__new__(row_type)
    _set_cells(row, cells)
    _set_number(row, number)
    return row


_set_cells, _set_number = (vars(Row)[name].__set__ for name in ("cells", "_number"))


@dataclass(frozen=True)
class Source(Row):
    """Where a fact is from. ``kind``: handbook, paper, textbook, preparation, standard, database, practice, memory."""

    table: ClassVar[str] = "sources"
    id: str
    kind: str
    citation: str
    note: str


@dataclass(frozen=True)
class Group(Row):
    """A functional group: how it is recognised and what an aqueous wash may do to it.

    ``lowest_ph`` and ``highest_ph`` bound the pH that the group stands in a wash of a few minutes at room
    temperature without a loss that a chemist would notice (about 1 %); ``None`` means no limit within pH 0 to 14.
    ``avoid`` lists what else spoils it: ``water``, ``oxidant``, ``reductant``, ``sulfite``, ``calcium``, ``copper``,
    ``fluoride``, ``amine``, ``ammonia``, ``bleach``, ``borate``, ``heat``, ``light``, ``air``.
    """

    table: ClassVar[str] = "groups"
    id: str
    name: str
    smarts: str
    matches: tuple[str, ...]
    misses: tuple[str, ...]
    lowest_ph: float | None
    highest_ph: float | None
    limit_reason: str
    avoid: tuple[str, ...]
    source: str
    note: str


# How it is said that the flask goes into the quench.
_POURS = ("pour", "add the mixture", "add the residue", "drop what")


@dataclass(frozen=True)
class Residue(Row):
    """A leftover that must be dealt with by something other than acid, base or water, or before them.

    ``action``: ``quench`` (before any wash), ``wash`` (``solution`` takes or destroys it), ``filter`` (an insoluble
    solid), ``other`` (no wash serves; ``how`` says what does). ``becomes``: a reaction SMARTS for what the quench
    makes of it, or a plain SMILES, or ``hydroxide of the metal``, or empty where nothing organic is left. ``gas``: gases
    set free. ``spares``: ids of groups in the product that the remedy would attack; then ``instead`` (a solution),
    ``instead_with`` and ``instead_how`` say another way; with ``instead_how`` alone nothing quenches it beside them.
    ``acid_frees``: the gas that water below ``below_ph`` sets free.
    ``never``: what it must not meet. ``danger``: what it does to people. ``equivalents``: what one hit of ``smarts`` takes of
    what it is ended or bound with: electrons of an oxidant, base for the acid that it makes, acid, or ligands; by the equation.
    """

    table: ClassVar[str] = "residues"
    id: str
    name: str
    kind: str
    smarts: str
    matches: tuple[str, ...]
    misses: tuple[str, ...]
    action: str
    solution: str
    quench_with: str
    how: str
    instead: str
    instead_with: str
    instead_how: str
    gas: tuple[str, ...]
    acid_frees: str
    below_ph: float | None
    never: str
    danger: str
    becomes: str
    spares: tuple[str, ...]
    equivalents: float | None
    source: str
    note: str

    @property
    def frees_below_ph(self) -> float:
        """The pH below which water sets ``acid_frees`` free; 0 for what acid frees nothing from."""
        return self.below_ph or 0.0

    @property
    def goes_into_water(self) -> bool:
        """Tell whether it is poured into its quench, in portions (``how``), and no water ever into it (``never``)."""
        return "never water into the" in self.never and any(verb in self.how.lower() for verb in _POURS)

    @property
    def wants_alcohol_first(self) -> bool:
        """Tell whether water comes only once an alcohol has ended it, whichever is poured into which: ``never`` says so."""
        return "never water on the metal" in self.never


@dataclass(frozen=True)
class Gas(Row):
    """A gas that a quench or a wash sets free; ``id`` is its formula, ``danger`` what it does.

    ``compound``: its key in ``inorganic.csv``, if it has one, and ``henry_m_atm`` (mol/L at 1 atm, 25 C) what water holds.
    """

    table: ClassVar[str] = "gases"
    id: str
    name: str
    danger: str
    compound: str
    henry_m_atm: float | None
    source: str
    note: str


@dataclass(frozen=True)
class Explosive(Row):
    """A functional group (a key of ``groups.csv``) that may explode: ``danger`` says what it does, ``care`` how to go on."""

    table: ClassVar[str] = "explosives"
    group: str
    danger: str
    care: str
    source: str


@dataclass(frozen=True)
class Clash(Row):
    """Two things of one flask that make something worse of each other.

    ``residues``: ids of leftovers. ``partners``: ids of leftovers, of functional groups or of solvents, or plain SMILES.
    ``example`` and ``near_miss`` name a pair that clashes and one that does not. ``makes`` says what comes of it,
    ``care`` what to do.
    """

    table: ClassVar[str] = "clashes"
    id: str
    residues: tuple[str, ...]
    partners: tuple[str, ...]
    example: tuple[str, ...]
    near_miss: tuple[str, ...]
    makes: str
    care: str
    source: str


@dataclass(frozen=True)
class Solution(Row):
    """A wash solution as it stands in the bottle, at 25 C.

    ``strong_charge_m``: concentration (mol/L) of strong cations minus strong anions, so +1 for 1 M NaOH, -1 for 1 M
    HCl, equal to ``weak_m`` for sodium bicarbonate. ``weak_system`` (a key of ``buffers.csv``) and ``weak_m``: the
    weak acid system and its total concentration. ``salt_m``: salt concentration that counts for salting out, as NaCl.
    ``acts_as``: neutral, salt, acid, base, buffer, reductant, oxidant, complexing. ``harshness``: 0 (water) to 10
    (strong hot base or acid); among solutions that serve, the lowest wins. ``general``: may be offered for any acid,
    base or water-soluble impurity; the others answer only to a residue or a rule that names them.
    ``bound_left_pct``: what one treatment usually leaves of a leftover that it binds or destroys (metals, aldehydes,
    oxidants); one case in twenty leaves more than ``bound_left_high_pct``. Orders of magnitude, from memory.
    """

    table: ClassVar[str] = "solutions"
    id: str
    name: str
    aliases: tuple[str, ...]
    solute: str
    formula: str
    strength: str
    molarity_m: float
    ph: float
    density_g_ml: float
    weak_system: str
    weak_m: float
    strong_charge_m: float
    salt_m: float
    acts_as: str
    harshness: float
    general: bool
    takes_out: str
    bound_left_pct: float | None
    bound_left_high_pct: float | None
    never_meets: tuple[str, ...]
    never_reason: str
    source: str
    note: str


@dataclass(frozen=True)
class Buffer(Row):
    """A weak acid system of a wash: its pKa values (25 C, zero ionic strength) and the charge of its acid end."""

    table: ClassVar[str] = "buffers"
    id: str
    name: str
    pkas: tuple[float, ...]
    acid_charge: int
    source: str
    note: str


@dataclass(frozen=True)
class BufferForms(Row):
    """The formulas of a weak acid system (a key of ``buffers.csv``), from the fullest in protons to the barest.

    A charge stands behind ``^`` where it is more than one: ``CO3^2-``. ``splits_into``: what the acid end falls apart to.
    """

    table: ClassVar[str] = "buffer_forms"
    id: str
    forms: tuple[str, ...]
    splits_into: tuple[str, ...]
    source: str
    note: str


@dataclass(frozen=True)
class Pitfall(Row):
    """What students usually get wrong, and what is so: for the instructor, beside the rule that judges it.

    ``rule``: id of a rule in ``rules/judging``. It bears on steps with one of ``actions`` (of the ledger) and, where
    given, a solution that acts as one of ``acts_as`` and a component that behaves as one of ``kinds``. ``belief`` is
    what they think or do, ``fact`` what to say to it.
    """

    table: ClassVar[str] = "pitfalls"
    id: str
    rule: str
    actions: tuple[str, ...]
    acts_as: tuple[str, ...]
    kinds: tuple[str, ...]
    belief: str
    fact: str
    source: str
    note: str


@dataclass(frozen=True)
class Solvent(Row):
    """A solvent at 20-25 C.

    ``miscibility``: miscible, partly, immiscible (with water). ``water_held_wt_pct``: water in the water-saturated
    solvent. ``in_water_wt_pct``: solvent in solvent-saturated water. ``log_k_key``: key of the solvent equation used
    for partition (empty where none). ``azeotrope``: with water. ``waste_class``: halogenated or non-halogenated.
    ``greenness``: 1 (to be avoided) to 10 (preferred), from the published guide named in ``source``. ``danger``: what it
    does to people beyond what is said of any solvent.
    """

    table: ClassVar[str] = "solvents"
    id: str
    name: str
    aliases: tuple[str, ...]
    smiles: str
    density_g_ml: float
    miscibility: str
    water_held_wt_pct: float | None
    in_water_wt_pct: float | None
    boiling_c: float
    azeotrope_c: float | None
    azeotrope_water_wt_pct: float | None
    peroxide_former: bool
    halogenated: bool
    waste_class: str
    extractant: bool
    log_k_key: str
    greenness: float | None
    danger: str
    source: str
    note: str

    @property
    def beside_water(self) -> str:
        """Say how it mixes with water; empty for water itself."""
        said = "partly miscible" if self.miscibility == "partly" else self.miscibility
        return "" if self.id == "water" else f"{said} with water, "


@dataclass(frozen=True)
class Desiccant(Row):
    """A drying agent.

    ``capacity_g_per_g``: water bound per gram in practice. ``character``: acidic, neutral, basic. ``binds``: ids of
    groups that it holds back. ``attacks``: ids of groups that it harms. ``rank``: the lower, the sooner it is chosen.
    """

    table: ClassVar[str] = "desiccants"
    id: str
    name: str
    aliases: tuple[str, ...]
    formula: str
    capacity_g_per_g: float
    wait_min: float
    character: str
    binds: tuple[str, ...]
    attacks: tuple[str, ...]
    rank: int
    reason: str
    source: str
    note: str


@dataclass(frozen=True)
class Reagent(Row):
    """A named compound: trade names, abbreviations and formulas that people write, and the structure meant.

    An alias that stands in two rows (here or in the solvents) is ambiguous and is asked about.
    """

    table: ClassVar[str] = "reagents"
    id: str
    smiles: str
    name: str
    aliases: tuple[str, ...]
    use: str
    boiling_c: float | None
    density_g_ml: float | None
    source: str
    note: str


@dataclass(frozen=True)
class Companion(Row):
    """What a named ``reagent`` (id of its row) is never without: the name of its ``companion``, and how much of that."""

    table: ClassVar[str] = "companions"
    id: str
    reagent: str
    companion: str
    mmol_per_mmol: float
    source: str
    note: str


@dataclass(frozen=True)
class MeasuredPka(Row):
    """A measured ionisation in water near 25 C. ``atom``: index in ``smiles`` of the atom that loses or gains H+.

    ``kind``: acid (the pKa is the compound's) or base (the pKa is its conjugate acid's).
    """

    table: ClassVar[str] = "pka_measured"
    name: str
    smiles: str
    atom: int
    kind: str
    pka: float
    source: str
    note: str


R = TypeVar("R", bound=Row)
_TRUE_FALSE = {"yes": True, "no": False}


def _boolean(text: str) -> bool:
    if text not in _TRUE_FALSE:
        raise ValueError("must be yes or no")
    return _TRUE_FALSE[text]


def _number(kind: Callable[[str], float]) -> Callable[[str], float]:
    def read(text: str) -> float:
        try:
            return kind(text)
        except ValueError:
            raise ValueError("must be a number") from None

    return read


# How the text of a cell is read, by what its field is declared to hold.
_READERS: dict[str, Callable[[str], Any]] = {"str": str, "bool": _boolean, "int": _number(int), "float": _number(float)}


def _reader(declared: str) -> Callable[[str], Any]:
    if declared.startswith("tuple["):
        part = _READERS[declared[6:].partition(",")[0]]
        return lambda text: tuple(part(p.strip()) for p in text.split(" ; ") if p.strip()) if text else ()
    if declared.endswith(" | None"):
        some = _READERS[declared.removesuffix(" | None")]
        return lambda text: some(text) if text else None
    return _READERS[declared]


@cache
def _columns(row_type: type[Row]) -> dict[str, tuple[int, Callable[[str], Any]]]:
    """Return, for each field of a row, its place and how a cell of it is read."""
    declared = row_type.__annotations__
    return {name: (i, _reader(declared[name])) for i, name in enumerate(row_type.__match_args__)}  # type: ignore[attr-defined]


@cache
def table(row_type: type[R]) -> Mapping[str, R]:
    """Return the rows of a table by the value of their first column (by ``smiles kind atom`` for measured pKa).

    Raises ``TableError`` where a file lacks a column. A cell is read when it is asked for and raises it then.
    """
    return read_rows(row_type, file_text(row_type.table), f"{row_type.table}.csv")


def file_text(name: str) -> str:
    """Return the text of a table."""
    return _bytes(name).decode()


def _bytes(name: str) -> bytes:
    path = os.path.join(os.path.dirname(__file__), "tables", f"{name}.csv")
    with open(path, "rb", buffering=0) as file:
        return file.read()


def read_rows(row_type: type[R], text: str, file: str) -> Mapping[str, R]:
    """Read the text of a table; see ``table``."""
    reader = csv.reader(text.splitlines())
    header, columns = next(reader, []), list(_columns(row_type))  # type: ignore[arg-type]
    if header != columns:
        raise TableError(f"{file}: the header is {','.join(header)!r}; it must be {','.join(columns)!r}")
    rows: dict[str, R] = {}
    width, measured = len(columns), row_type is MeasuredPka
    new, set_cells, set_number = object.__new__, _set_cells, _set_number
    for number, cells in enumerate(reader, start=2):
        if not cells:
            continue
        if len(cells) != width:
            raise TableError(f"{file}, row {number}: {len(cells)} cells, {width} expected")
        row = new(row_type)
        set_cells(row, cells)
        set_number(row, number)
        key = f"{cells[1]} {cells[3]} {cells[2]}" if measured else cells[0].strip()
        if key in rows:
            raise TableError(f"{file}, row {number}: {key!r} stands in an earlier row too")
        rows[key] = row
    return MappingProxyType(rows)


def column(row_type: type[Row], name: str, raw: bool = False) -> list[Any]:
    """Return one column of a table, read at once, or ``raw`` as it stands there; raises ``TableError`` as a row does."""
    place, reader = _columns(row_type)[name]  # type: ignore[arg-type]
    rows: Iterable[Row] = table(row_type).values()  # type: ignore[arg-type]
    if raw:
        return [row.cells[place] for row in rows]
    if reader is str:
        return [row.cells[place].strip() for row in rows]
    try:
        return [reader(row.cells[place].strip()) for row in rows]
    except ValueError:
        return [getattr(row, name) for row in rows]  # says which


@cache
def lines_of(row_type: type[Row]) -> list[str]:
    """Return the rows of a table as they are written: for one of which few rows are asked for."""
    return [line for line in file_text(row_type.table).splitlines() if line][1:]


def second_cells(lines: Iterable[str]) -> list[str]:
    """Return the second cell of each line, which stands in no quotes; the first may."""
    return [
        (line.partition('",')[2].partition(",")[0] if line[0] == '"' else line.split(",", 2)[1]).strip()
        for line in lines
    ]


def rows_of_lines(row_type: type[R], lines: Iterable[str]) -> list[R]:
    """Return the rows that are written in lines."""
    return [_new_row(row_type, cells, 0) for cells in csv.reader(lines)]


def rows_under(row_type: type[R], start: str) -> list[R]:
    """Return the rows whose first column begins with ``start``, found in the text of the table: the others are not read."""
    text, wanted = _kept_bytes(row_type.table), f"\n{start}".encode()
    lines, at = [], text.find(wanted)
    while at >= 0:
        end = text.find(b"\n", at + 1)
        lines.append(text[at + 1 : end].decode())
        at = text.find(wanted, end)
    return rows_of_lines(row_type, lines)


_kept_bytes = cache(_bytes)


def source_text(key: str) -> str:
    """Return the citation behind a source key."""
    return table(Source)[key].citation
