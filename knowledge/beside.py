"""What stands beside the equilibrium of a solute with two layers: ions that hold it in the water, the gas above, one layer.

Copper holds pyridine and iodide holds iodine (``tables/complexes.csv``, stepwise); a gas leaves water above its solubility
and stands over it before that (Henry constants in ``tables/gases.csv``); too much of a solvent that mixes with both leaves
no two layers (``tables/cosolvent_limits.csv``).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from types import MappingProxyType
from typing import ClassVar

from washlore.knowledge.inorganic import Inorganic
from washlore.knowledge.ion_pairs import OTHER_SOLVENTS, SOLVENT_KINDS, solvent_kind
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Gas, Row, Solution, table
from washlore.knowledge.solute import query
from washlore.knowledge.structure import canonical_smiles, molecules


@dataclass(frozen=True)
class Complex(Row):
    """What one ``holder`` (an ion in water) binds. ``log_betas``: cumulative constants (25 C) of one, two, ... ligands.

    The holder comes from the wash ``solutions`` at their molarity, or with the ``ions`` (SMILES) of the flask. ``ligand``:
    SMARTS of what it binds, in its neutral form.
    """

    table: ClassVar[str] = "complexes"
    id: str
    holder: str
    solutions: tuple[str, ...]
    ions: tuple[str, ...]
    ligand: str
    log_betas: tuple[float, ...]
    source: str
    note: str


@dataclass(frozen=True)
class CosolventLimit(Row):
    """The volume share of miscible solvents in a mixture with about equal volumes of water and a layer of one kind.

    Above it there is one layer; read off the top of the two-phase region of published diagrams, some 0.05 either way.
    """

    table: ClassVar[str] = "cosolvent_limits"
    id: str
    layer: str
    cosolvents: tuple[str, ...]
    share: float
    source: str
    note: str


# Salt widens the two-phase region: by about this share per mol/L of sodium chloride, and no more than the last (common
# practice: saturated salt parts acetone, acetonitrile, ethanol and THF from water).
LAYER_KINDS = frozenset((*SOLVENT_KINDS, OTHER_SOLVENTS))
SALT_WIDENS, MOST_WIDENED = 0.05, 0.25


@cache
def holders() -> frozenset[str]:
    """Return the names of the ions that hold something in water."""
    return frozenset(row.holder for row in table(Complex).values())


@cache
def holder_of_ion() -> Mapping[str, str]:
    """Return the holder that an ion of the flask is, by canonical SMILES."""
    return MappingProxyType({canonical_smiles(i): row.holder for row in table(Complex).values() for i in row.ions})


@lru_cache(maxsize=500)
def dissolved_m(solution_id: str) -> Mapping[str, float]:
    """Return what a wash solution has dissolved that holds protons or solutes, mol/L: its weak acid system and holders."""
    solution = table(Solution)[solution_id]
    found = {row.holder: solution.molarity_m for row in table(Complex).values() if solution_id in row.solutions}
    if solution.weak_system:
        found[solution.weak_system] = solution.weak_m
    return MappingProxyType(found)


@lru_cache(maxsize=1_000)
def held_by(smiles: str) -> Mapping[str, tuple[float, ...]]:
    """Return the cumulative constants (log10) of a compound with each ion that holds it."""
    mol = molecules(smiles)[0].mol
    found: dict[str, tuple[float, ...]] = {}
    for row in table(Complex).values():
        if mol.HasSubstructMatch(query(row.ligand)):
            found.setdefault(row.holder, row.log_betas)
    return MappingProxyType(found)


def bound_by(smiles: str, solution_id: str) -> bool:
    """Tell whether the constants say how much of a compound a wash solution binds."""
    return not holders().isdisjoint(dissolved_m(solution_id)) and not held_by(smiles).keys().isdisjoint(
        dissolved_m(solution_id)
    )


@cache
def gases_by_compound() -> Mapping[str, Gas]:
    """Return the gases that water dissolves, by the id of their compound in ``inorganic.csv``."""
    return MappingProxyType({row.compound: row for row in table(Gas).values() if row.compound})


@cache
def gases_by_system() -> Mapping[str, Gas]:
    """Return the gases whose compound is the acid end of a weak acid system of ``buffers.csv``, by its key."""
    compounds = table(Inorganic)
    return MappingProxyType(
        {
            compounds[key].system: gas
            for key, gas in gases_by_compound().items()
            if compounds[key].system and compounds[key].kind == "acid"
        }
    )


def most_cosolvent(solvent: str, cosolvent: str, salt_m: float = 0.0) -> float | None:
    """Return the share of a miscible solvent (a key of ``solvents.csv``) above which there is one layer, or ``None``.

    ``solvent`` is the key of a solvent equation; ``salt_m`` the salt in the water, as sodium chloride. ``None`` where
    nothing is known.
    """
    kind = solvent_kind(solvent)
    row = next((r for r in table(CosolventLimit).values() if r.layer == kind and cosolvent in r.cosolvents), None)
    return None if row is None else row.share + min(MOST_WIDENED, SALT_WIDENS * salt_m)
