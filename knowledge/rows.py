"""What a row of each table holds, and how a table is read.

A table is ``tables/<name>.csv``. Its columns are the fields of one dataclass below, in that order; units are part
of the column name. Several values in one cell are separated by `` ; `` (semicolon). An empty cell is ``None`` where
the field allows it and an empty string or tuple otherwise. Every row names its ``source``: a key of
``tables/sources.csv``.
"""

from __future__ import annotations

import csv
import types
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources
from typing import Any, ClassVar, TypeVar, Union, get_args, get_origin, get_type_hints


class TableError(ValueError):
    """A table cannot be used; the message names file, row and column."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a fact is from. ``kind``: handbook, paper, textbook, preparation, standard, database, practice, memory."""

    table: ClassVar[str] = "sources"
    id: str
    kind: str
    citation: str
    note: str


@dataclass(frozen=True, slots=True)
class Group:
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


@dataclass(frozen=True, slots=True)
class Residue:
    """A leftover that must be dealt with by something other than acid, base or water, or before them.

    ``action``: ``quench`` (before any wash), ``wash`` (``solution`` takes or destroys it), ``filter`` (an insoluble
    solid), ``other`` (no wash serves; ``how`` says what does). ``becomes``: a reaction SMARTS for what the quench
    makes of it, or a plain SMILES, or empty where nothing organic is left. ``gas``: gases set free. ``spares``: ids of
    groups in the product that the remedy would attack; then ``instead`` (a solution), ``instead_with`` and
    ``instead_how`` say another way. ``acid_frees``: the gas that water below ``below_ph`` sets free. ``never``: what it
    must not meet. ``danger``: what it does to people.
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
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class Gas:
    """A gas that a quench or a wash sets free; ``id`` is its formula, ``danger`` what it does."""

    table: ClassVar[str] = "gases"
    id: str
    name: str
    danger: str
    source: str


@dataclass(frozen=True, slots=True)
class Solution:
    """A wash solution as it stands in the bottle, at 25 C.

    ``strong_charge_m``: concentration (mol/L) of strong cations minus strong anions, so +1 for 1 M NaOH, -1 for 1 M
    HCl, equal to ``weak_m`` for sodium bicarbonate. ``weak_system`` (a key of ``buffers.csv``) and ``weak_m``: the
    weak acid system and its total concentration. ``salt_m``: salt concentration that counts for salting out, as NaCl.
    ``acts_as``: neutral, salt, acid, base, buffer, reductant, oxidant, complexing. ``harshness``: 0 (water) to 10
    (strong hot base or acid); among solutions that serve, the lowest wins. ``general``: may be offered for any acid,
    base or water-soluble impurity; the others answer only to a residue or a rule that names them.
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
    never_meets: tuple[str, ...]
    never_reason: str
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class Buffer:
    """A weak acid system of a wash: its pKa values (25 C, zero ionic strength) and the charge of its acid end."""

    table: ClassVar[str] = "buffers"
    id: str
    name: str
    pkas: tuple[float, ...]
    acid_charge: int
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class BufferForms:
    """The formulas of a weak acid system (a key of ``buffers.csv``), from the fullest in protons to the barest.

    A charge stands behind ``^`` where it is more than one: ``CO3^2-``. ``splits_into``: what the acid end falls apart to.
    """

    table: ClassVar[str] = "buffer_forms"
    id: str
    forms: tuple[str, ...]
    splits_into: tuple[str, ...]
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class Pitfall:
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


@dataclass(frozen=True, slots=True)
class Solvent:
    """A solvent at 20-25 C.

    ``miscibility``: miscible, partly, immiscible (with water). ``water_held_wt_pct``: water in the water-saturated
    solvent. ``in_water_wt_pct``: solvent in solvent-saturated water. ``log_k_key``: key of the solvent equation used
    for partition (empty where none). ``azeotrope``: with water. ``waste_class``: halogenated or non-halogenated.
    ``greenness``: 1 (to be avoided) to 10 (preferred), from the published guide named in ``source``.
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
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class Desiccant:
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


@dataclass(frozen=True, slots=True)
class Reagent:
    """A named compound: trade names, abbreviations and formulas that people write, and the structure meant.

    An alias that stands in two rows (here or in the solvents) is ambiguous and is asked about.
    """

    table: ClassVar[str] = "reagents"
    id: str
    name: str
    aliases: tuple[str, ...]
    smiles: str
    use: str
    boiling_c: float | None
    density_g_ml: float | None
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class MeasuredPka:
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


Row = TypeVar("Row")
_TRUE_FALSE = {"yes": True, "no": False}


def _convert(text: str, wanted: Any) -> Any:
    """Return ``text`` as the type ``wanted``; raise ``ValueError`` with a plain reason."""
    text = text.strip()
    origin = get_origin(wanted)
    if origin in (Union, types.UnionType):
        return None if not text else _convert(text, next(a for a in get_args(wanted) if a is not type(None)))
    if origin is tuple:
        return tuple(_convert(part, get_args(wanted)[0]) for part in text.split(" ; ") if part.strip())
    if wanted is bool:
        if text not in _TRUE_FALSE:
            raise ValueError("must be yes or no")
        return _TRUE_FALSE[text]
    if wanted in (int, float):
        try:
            return wanted(text)
        except ValueError:
            raise ValueError("must be a number") from None
    return text


@cache
def table(row_type: type[Row]) -> Mapping[str, Row]:
    """Return the rows of a table by the value of their first column (by ``smiles kind atom`` for measured pKa).

    Raises ``TableError`` where a file lacks a column or a cell cannot be read.
    """
    name: str = row_type.table  # type: ignore[attr-defined]
    file = f"{name}.csv"
    text = resources.files("washlore.knowledge.tables").joinpath(file).read_text(encoding="utf-8")
    return read_rows(row_type, text, file)


def read_rows(row_type: type[Row], text: str, file: str) -> Mapping[str, Row]:
    """Read the text of a table; see ``table``."""
    hints = get_type_hints(row_type)
    columns = [f.name for f in fields(row_type)]  # type: ignore[arg-type]
    reader = csv.reader(text.splitlines())
    header = next(reader, [])
    if header != columns:
        raise TableError(f"{file}: the header is {','.join(header)!r}; it must be {','.join(columns)!r}")
    rows: dict[str, Row] = {}
    for number, cells in enumerate(reader, start=2):
        if not cells:
            continue
        if len(cells) != len(columns):
            raise TableError(f"{file}, row {number}: {len(cells)} cells, {len(columns)} expected")
        values = {}
        for column, cell in zip(columns, cells, strict=True):
            try:
                values[column] = _convert(cell, hints[column])
            except ValueError as error:
                raise TableError(f"{file}, row {number}, column {column}: {cell!r} {error}") from None
        row = row_type(**values)
        key = f"{values['smiles']} {values['kind']} {values['atom']}" if row_type is MeasuredPka else cells[0].strip()
        if key in rows:
            raise TableError(f"{file}, row {number}: {key!r} stands in an earlier row too")
        rows[key] = row
    return types.MappingProxyType(rows)


def source_text(key: str) -> str:
    """Return the citation behind a source key."""
    return table(Source)[key].citation
