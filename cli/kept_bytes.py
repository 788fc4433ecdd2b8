"""How a plan that is kept is written down, and read back with nothing made but what a plan is made of."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

try:  # what pickle gives, without what it falls back on
    from _pickle import Pickler, PicklingError, Unpickler, UnpicklingError
except ImportError:
    from pickle import Pickler, PicklingError, Unpickler, UnpicklingError

if TYPE_CHECKING:
    from washlore.rules.plan import Plan


CannotWrite = PicklingError


def read_back(written: bytes) -> Any:
    """Return what was written down. Raises anything where it is damaged."""
    return _Reader(io.BytesIO(written)).load()


def written_down(plan: Plan) -> bytes:
    """Return a plan as bytes, without its ledgers, which no question about reasons asks for; molecules go as SMILES."""
    from washlore.knowledge.structure import Molecule, one_molecule
    from washlore.rules.ledger import Ledger

    # By type: a method that is asked about each object takes five times as long.
    otherwise: dict[type, Callable[[Any], Any]] = {
        Ledger: lambda ledger: (no_ledger, ()),
        Molecule: lambda molecule: (one_molecule, (molecule.smiles,)),
    }
    numpy = sys.modules.get("numpy")  # where it is not loaded, no number is its own
    for kind in set(numpy.sctypeDict.values()) if numpy is not None else ():
        otherwise[kind] = lambda number: (type(number.item()), (number.item(),))
    written = io.BytesIO()
    pickler = Pickler(written, protocol=5)
    pickler.dispatch_table = otherwise
    pickler.dump(plan)
    return written.getvalue()


def no_ledger() -> None:
    """Stand for a ledger in what is kept."""


# What a kept plan may call besides making the facts and dataclasses of this package.
_CALLED = {("washlore.knowledge.structure", "one_molecule"), (__name__, "no_ledger")}


class _Reader(Unpickler):
    """Reads a plan, and makes nothing but what a plan is made of."""

    def find_class(self, module: str, name: str) -> Any:
        if module == "builtins" and name in ("float", "int", "bool", "set", "frozenset"):
            return super().find_class(module, name)
        if (module, name) in _CALLED:
            return super().find_class(module, name)
        if module.startswith(("washlore.knowledge.", "washlore.rules.")) and "." not in name:
            found = super().find_class(module, name)
            if isinstance(found, type) and found.__module__ == module:
                return found
        raise UnpicklingError(f"{module}.{name} is no part of a plan")
