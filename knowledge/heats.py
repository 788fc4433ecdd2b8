"""Enthalpies of ionisation: what a proton lost by a site or a buffer takes up in heat, in kJ/mol (J per mmol), 25 C."""

from __future__ import annotations

from functools import cache
from typing import ClassVar

from washlore.knowledge.acidity import Site
from washlore.knowledge.inorganic import Inorganic
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Row, table

WATER_KJ = 55.8
"""Heat set free where a hydrogen ion meets hydroxide, kJ/mol (``goldberg2002``)."""


@dataclass(frozen=True)
class IonisationHeat(Row):
    """Enthalpy of each ionisation: of a key of ``buffers.csv``, or of the site classes whose name begins with ``id``."""

    table: ClassVar[str] = "ionisation_heats"
    id: str
    of: str
    kj: tuple[float, ...]
    source: str
    note: str


def buffer_kj(key: str) -> tuple[float, ...]:
    """Return the enthalpies of a weak acid system's steps, empty where none are known."""
    row = table(IonisationHeat).get(key)
    return row.kj if row is not None and row.of == "buffer" else ()


def site_kj(site: Site) -> float:
    """Return the enthalpy of the ionisation of an acid, or of the conjugate acid of a base."""
    row = table(Inorganic).get(site.site_class)
    if row is not None and row.pkas:
        return min(zip(row.pkas, row.ionisation_kj, strict=True), key=lambda step: abs(step[0] - site.pka))[1]
    return _class_kj(site.site_class, site.kind)


@cache
def _class_kj(site_class: str, kind: str) -> float:
    fits = [r for r in table(IonisationHeat).values() if r.of == "site" and site_class.startswith(r.id)]
    best = max(fits, key=lambda r: len(r.id), default=table(IonisationHeat)[f"any_{kind}"])
    return best.kj[0]
