"""What if: numbers and groups other than the tables say, for as long as a question is asked again.

``why ... --unless`` asks the engine again with one thing changed. Amounts, components and solvents are changed in the
mixture; a pKa, a log K or a group of the product is supposed here.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import local

from washlore.knowledge import acidity
from washlore.knowledge.records import dataclass, replace
from washlore.knowledge.structure import Molecule


@dataclass(frozen=True)
class Supposition:
    """One change: ``pka`` (kind of site) or ``log_k`` of the part with this SMILES moved by ``shift``, or a group left out."""

    what: str = ""
    smiles: str = ""
    kind: str = ""
    shift: float = 0.0
    without_group: str = ""


_NOTHING = Supposition()


class _Now(local):
    """What is supposed in a thread."""

    what: Supposition = _NOTHING


_NOW = _Now()


@contextmanager
def supposing(what: Supposition) -> Iterator[None]:
    """Let a supposition hold for a while."""
    before, _NOW.what = _NOW.what, what
    try:
        yield
    finally:
        _NOW.what = before


def supposed() -> Supposition:
    """Return what is supposed now; what was computed under one supposition says nothing under another."""
    return _NOW.what


def sites_of(part: Molecule) -> tuple[acidity.Site, ...]:
    """Return the ionisable sites of a part, with the pKa that are supposed."""
    sites = acidity.molecule_sites(part)
    now = _NOW.what
    if now.what != "pka" or now.smiles != part.smiles:
        return sites
    return tuple(replace(s, pka=s.pka + now.shift) if s.kind == now.kind else s for s in sites)


def log_k_shift(smiles: str) -> float:
    """Return what is added to the log K of a part, for every solvent."""
    now = _NOW.what
    return now.shift if now.what == "log_k" and now.smiles == smiles else 0.0


def left_out(group: str) -> bool:
    """Tell whether a group of the product is supposed to be absent."""
    return _NOW.what.without_group == group
