"""Losses of a product in the water layer during a wash, to an order of magnitude, from published rate constants.

Only reactions with a simple law are held: first order in hydroxide, first order in hydrogen ion, or with water alone.
No match means that no constant is held, not that the compound stands the wash.
"""

from __future__ import annotations

import math
from functools import cache, lru_cache
from typing import ClassVar

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Row, TableError, column, table
from washlore.knowledge.smarts import Pattern
from washlore.knowledge.structure import Molecule
from washlore.knowledge.water import hydrogen_m, hydroxide_m

CONTACT_MIN = 5.0
"""An ordinary contact: shaken for a minute or two, then left to settle."""

LAWS = ("oh", "h", "water")

# Washes are seldom below 0.5 M in ions; the difference from a dilute solution is far below what the constants carry.
_IONIC_STRENGTH_M = 0.5


@dataclass(frozen=True)
class Rate(Row):
    """A rate constant of a group in water near 25 C.

    ``name``: the compound measured, which stands for its class. ``group``: an id of the groups table.
    ``smarts``: its first atom is the centre that reacts; a centre obeys, for each law, the first row that finds it.
    ``example``: a SMILES with a centre that obeys this row.
    ``law``: ``oh`` (k in 1/(M s), times hydroxide), ``h`` (k in 1/(M s), times hydrogen ion) or ``water`` (k in 1/s).
    ``factor``: other members of the class lie mostly within ``k/factor`` to ``k*factor``.
    """

    table: ClassVar[str] = "kinetics"
    id: str
    name: str
    group: str
    smarts: str
    example: str
    law: str
    k: float
    factor: float
    medium: str
    source: str
    note: str


@dataclass(frozen=True)
class Loss:
    """Share of the whole amount lost (0 to 1), the factor it is good to, the source key and the group id."""

    mid: float
    factor: float
    source: str
    group: str


@cache
def _patterns() -> tuple[tuple[Rate, Pattern], ...]:
    pairs = []
    for row, law, smarts in zip(table(Rate).values(), column(Rate, "law"), column(Rate, "smarts"), strict=True):
        if law not in LAWS:
            raise TableError(f"kinetics.csv, row {row.id}: the law is {law!r}; it must be one of {', '.join(LAWS)}.")
        pairs.append((row, Pattern(smarts)))
    return tuple(pairs)


@lru_cache(maxsize=1_000)
def rates(molecule: Molecule) -> tuple[tuple[Rate, int], ...]:
    """Return the rate constants that apply to ``molecule``, each with the index of the atom that reacts."""
    found: list[tuple[Rate, int]] = []
    taken: set[tuple[str, int]] = set()
    for row, pattern in _patterns():
        for match in pattern.matches_in(molecule.mol):
            if (row.law, match[0]) not in taken:
                taken.add((row.law, match[0]))
                found.append((row, match[0]))
    return tuple(found)


def loss_fraction(
    molecule: Molecule, solution_ph: float, minutes: float = CONTACT_MIN, fraction_in_water: float = 1.0
) -> Loss | None:
    """Return what a wash destroys of ``molecule``, or ``None`` where no rate constant is held for it.

    The reaction is counted only for the share dissolved in the water layer, ``fraction_in_water`` (0 to 1), which the
    organic layer is taken to replenish at once: a greasy ester outlives 1 M sodium hydroxide because hardly any of it
    is in the water, not because it is slow to react there. Reaction at the interface is left out, and hydroxide or
    acid is taken not to run out. The pH is that of the wash, 25 C; ``minutes`` is the contact.

    ``mid`` is a share of the whole amount, both layers together, good to ``factor`` either way while it is small;
    ``source`` and ``group`` belong to the reaction that contributes most. Raises ``ValueError`` for a negative time
    or a share outside 0 to 1.
    """
    if not minutes >= 0.0:
        raise ValueError(f"The contact is {minutes} min; a time of 0 min or more is needed.")
    if not 0.0 <= fraction_in_water <= 1.0:
        raise ValueError(f"The share in water is {fraction_in_water}; it must lie between 0 and 1.")
    applying = rates(molecule)
    if not applying:
        return None
    driving = {
        "oh": float(hydroxide_m(solution_ph, _IONIC_STRENGTH_M)),
        "h": float(hydrogen_m(solution_ph, _IONIC_STRENGTH_M)),
        "water": 1.0,
    }
    speeds = [(row.k * driving[row.law], row) for row, _ in applying]
    leading = max(speeds, key=lambda pair: pair[0])[1]
    total_per_s = sum(speed for speed, _ in speeds)
    mid = -math.expm1(-total_per_s * fraction_in_water * minutes * 60.0)
    return Loss(mid, leading.factor, leading.source, leading.group)
