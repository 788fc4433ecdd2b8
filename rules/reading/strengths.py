"""Which row of the table of solutions is meant by a solute and a strength."""

from __future__ import annotations

import math
import re
from functools import cache

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Solution, table

from . import bottles
from .amounts import Amount


@dataclass(frozen=True)
class _Strength:
    row: str
    molar: float
    percent: float | None
    saturated: bool
    concentrated: bool


_PERCENT = re.compile(r"(\d+(?:\.\d+)?) % w/w")


_MOLAR = re.compile(r"(\d+(?:\.\d+)?) M\b")


@cache
def _strengths(key: str) -> tuple[_Strength, ...]:
    found = []
    for identifier in bottles.SOLUTES[key].rows:
        row = table(Solution)[identifier]
        percent = _PERCENT.match(row.strength)
        found.append(
            _Strength(
                identifier,
                row.molarity_m,
                float(percent[1]) if percent else None,
                row.strength.startswith("saturated"),
                identifier.endswith("_conc"),
            )
        )
    return tuple(found)


def choose(key: str, amount: Amount, written: str) -> tuple[str, list[str]]:
    """Return the row of the solutions table that is meant, and what was assumed."""
    solute = bottles.SOLUTES[key]
    if key in ("na2s2o3_nahco3", "nh4cl_nh3"):
        return solute.usual, []
    notes = [solute.stands_for] if solute.stands_for else []
    if amount.ph is not None and (
        key in ("buffer", "phosphate", "citrate", "carbonate_buffer", "borate", "acetate", "tris", "nah2po4", "kh2po4")
    ):
        among = [b for b in bottles.BUFFERS if key in ("buffer",) or b[1] in solute.rows] or list(bottles.BUFFERS)
        if key in ("nah2po4", "kh2po4"):
            among = [b for b in bottles.BUFFERS if b[1].startswith("phosphate")]
        if key in ("acetate", "borate", "carbonate_buffer", "tris"):
            return solute.usual, notes
        wanted_ph = amount.ph
        ph, row = min(among, key=lambda b: abs(b[0] - wanted_ph))
        if abs(ph - amount.ph) > 0.3:
            notes.append(f"pH {amount.ph:g} is read as the nearest buffer, {_row_name(row)}")
        elif key == "buffer":
            notes.append(f"read as {_row_name(row)}")
        return row, notes
    strengths = _strengths(key)
    if not amount.strong():
        if key in ("water", "ice_water", "brine"):
            return solute.usual, notes
        notes.append(f"strength not given: {_row_name(solute.usual)}")
        return solute.usual, notes
    if key in ("water", "ice_water"):
        return solute.usual, notes
    if key == "brine":
        if amount.state == "half" or (amount.percent is not None and amount.percent in (50.0,)):
            return "half_brine", notes
        if (amount.percent is not None and abs(amount.percent - 26) > 3) or amount.molar is not None:
            weak = (amount.percent or 0) / 5.85 if amount.percent is not None else amount.molar or 0
            row = "half_brine" if weak < 3.7 else "brine"
            notes.append(f"{written} is read as the nearest, {_row_name(row)}")
            return row, notes
        return "brine", notes
    if amount.percent is None and amount.molar is None and amount.normal is None:
        if amount.state == "sat":
            exact = [s for s in strengths if s.saturated]
        elif amount.state == "conc":
            exact = [s for s in strengths if s.concentrated or s.saturated]
        elif amount.state == "half":
            exact = [s for s in strengths if s.row.endswith("_half")] or [s for s in strengths if s.row == "nahco3_5"]
        else:
            exact = []
        if exact:
            return exact[0].row, notes
        if amount.state == "dil":
            notes.append(f"dilute: read as {_row_name(solute.usual)}")
            return solute.usual, notes
        top = max(strengths, key=lambda s: s.molar)
        row = top.row if amount.state in ("sat", "conc") else solute.usual
        notes.append(f"{written} is read as the nearest, {_row_name(row)}")
        return row, notes
    if amount.percent is not None:
        for s in strengths:
            if s.percent is not None and abs(s.percent - amount.percent) <= 0.02 * s.percent:
                return s.row, notes
        # What one per cent is in mol/L, from the row whose percentage is nearest; 10 g/L over its molar mass otherwise.
        known = [s for s in strengths if s.percent]
        per = min(known, key=lambda s: abs((s.percent or 0) - (amount.percent or 0))) if known else None
        wanted = amount.percent * (per.molar / per.percent if per and per.percent else _per_percent(key))
    else:
        wanted = amount.molar if amount.molar is not None else (amount.normal or 0) / solute.equivalents
        for s in strengths:
            if s.percent is None and abs(s.molar - wanted) <= 0.02 * s.molar:
                return s.row, notes
    nearest = min(strengths, key=lambda s: abs(math.log(max(s.molar, 1e-6) / max(wanted, 1e-6))))
    if abs(nearest.molar - wanted) > 0.06 * nearest.molar:
        notes.append(f"{written} is read as the nearest, {_row_name(nearest.row)}")
    elif nearest.percent is not None or amount.percent is not None:
        notes.append(f"{written} is read as {_row_name(nearest.row)}")
    return nearest.row, notes


_MOLAR_MASS = {
    "koh": 56.1, "lioh": 23.9, "h2so4": 98.1, "hno3": 63.0, "nahso4": 120.1, "h3po4": 98.0, "oxalic": 90.0,
    "nah2po4": 120.0, "kh2po4": 136.1, "k3po4": 212.3, "na2hpo4": 142.0, "na2so4": 142.0, "nh42so4": 132.1,
    "edta": 372.2, "cuso4": 159.6, "rochelle": 210.2, "na3citrate": 258.1, "phosphate": 120.0,
}  # fmt: skip


def _per_percent(key: str) -> float:
    return 10.0 / _MOLAR_MASS.get(key, 120.0)


def _row_name(identifier: str) -> str:
    return table(Solution)[identifier].name
