"""Inorganic acids, bases and halogens in water and beside it: their forms, ionisations and log K; salts that it leaves solid.

The models of organic acidity and partition know nothing of these; each stands in ``tables/inorganic.csv`` as it is known.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import ClassVar

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Row, table
from washlore.knowledge.structure import ByStructure, canonical_smiles


@dataclass(frozen=True)
class Inorganic(Row):
    """An inorganic compound that water ionises or that leaves it for an organic layer.

    ``forms``: the SMILES in which people write it, the neutral molecule first. ``kind``: what the neutral molecule is,
    ``acid`` or ``base``; ``pkas`` its stepwise values (25 C, zero ionic strength) and ``ionisation_kj`` the enthalpy of
    each; none for one that stays in the water whatever the pH. ``system``: the key of ``buffers.csv`` for what never
    leaves the water: those, and the counter-ion of an organic ion. log K of the neutral molecule by kind of solvent:
    alcohols, other ``donors`` (ethers, esters, ketones), ``chlorinated`` solvents and ``hydrocarbons``, with one
    ``sigma``. A row of ``log_k_measured.csv`` goes first.
    """

    table: ClassVar[str] = "inorganic"
    id: str
    name: str
    forms: tuple[str, ...]
    kind: str
    pkas: tuple[float, ...]
    ionisation_kj: tuple[float, ...]
    system: str
    log_k_alcohols: float | None
    log_k_donors: float | None
    log_k_chlorinated: float | None
    log_k_hydrocarbons: float | None
    sigma: float | None
    source: str
    note: str

    @property
    def smiles(self) -> str:
        """The neutral molecule."""
        return self.forms[0]


@cache
def by_form() -> Mapping[str, Inorganic]:
    """Return the rows by the canonical SMILES of each of their forms."""
    return ByStructure((form, row) for row in table(Inorganic).values() for form in row.forms)


@dataclass(frozen=True)
class InsolubleSalt(Row):
    """Salts that water hardly dissolves: any of the ``cations`` with any of the ``anions`` (SMILES).

    ``g_per_100g_water`` at 20 to 25 C, of the least soluble of them; ``dissolved_by`` is what takes the solid up all the same:
    acid, or nothing.
    """

    table: ClassVar[str] = "insoluble_salts"
    id: str
    name: str
    cations: tuple[str, ...]
    anions: tuple[str, ...]
    g_per_100g_water: float
    dissolved_by: str
    source: str
    note: str


@cache
def _pairs() -> Mapping[frozenset[str], InsolubleSalt]:
    rows = table(InsolubleSalt).values()
    return {
        frozenset((canonical_smiles(one), canonical_smiles(two))): row
        for row in rows
        for one in row.cations
        for two in row.anions
    }


def insoluble(parts: Iterable[str]) -> InsolubleSalt | None:
    """Return the row of a salt that water hardly dissolves, by the canonical SMILES of its ions; ``None`` for any other."""
    ions = frozenset(parts)
    return _pairs().get(ions) if len(ions) == 2 else None
