"""Fetch open procedures with structures and write them as ``measure_workups.py`` reads them.

    python tests/fit/open_workups.py [WORKUPS.jsonl] [--most N]

The procedures are United States patents in the Open Reaction Database (Kearnes et al., J. Am. Chem. Soc. 2021, 143,
18820; text-mined by Lowe), licensed CC BY-SA 4.0, as carried by the test data of the wheel ``orderly`` 1.0.0 (Wigh and
others; code under MIT). Nothing of them is kept in this project: pip puts the wheel into a cache of the user's, and
only the months named in ``MONTHS`` are read from it; a later month that it holds stays closed, to measure with.

The washes are read from the text by our own reader. Amounts are not in the tables; the planner assumes them.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from rdkit import Chem, RDLogger

from washlore.knowledge.structure import StructureError, molecules
from washlore.rules.proposal import Proposal
from washlore.rules.reading import read_plan

WHEEL = "orderly-1.0.0-py3-none-any.whl"
SHA256 = "9575b15f40fa12f468f38b45e5c98ee65a27431129c6581db4caf7385436a4aa"
FOLDER = "orderly/data/test_data/extracted_ord_test_data_trust_labelling/extracted_ords"
MONTHS = ("1976_01", "1978_12", "1979_09", "1980_08", "1982_08", "1986_09", "1995_11")
# Words of our own tables to the tokens of ``measure_workups``, by the beginning of the solution's id.
TOKENS = {
    "water": "water", "ice": "water", "brine": "brine", "half": "brine", "nahco3": "nahco3", "na2co3": "na2co3",
    "k2co3": "k2co3", "naoh": "naoh", "koh": "koh", "ammonia": "nh4oh", "nh3": "nh4oh", "hcl": "hcl", "h2so4": "h2so4",
    "h3po4": "h3po4", "khso4": "khso4", "nahso4": "khso4", "citric": "citric_acid", "acetic": "acoh", "nh4cl": "nh4cl",
    "na2s2o3": "na2s2o3", "na2so3": "na2so3", "nahso3": "nahso3", "phosphate": "phosphate_buffer",
}  # fmt: skip
AGENTS = ("mgso4", "na2so4", "k2co3", "cacl2", "caso4")


class Offline(Exception):
    """The wheel is not in the cache and cannot be fetched; the message says why."""


def cache() -> Path:
    """Return the folder that downloads are kept in."""
    home = os.environ.get("XDG_CACHE_HOME")
    return (Path(home) if home else Path.home() / ".cache") / "washlore"


def fetch(seconds: float = 90.0) -> Path:
    """Return the wheel, downloaded if it is not in the cache. Raises ``Offline``."""
    path = cache() / WHEEL
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        command = (sys.executable, "-m", "pip", "download", "--no-deps", "--quiet", "--disable-pip-version-check")
        command += ("--retries", "1", "--timeout", "15", "--dest", str(path.parent), "orderly==1.0.0")
        try:
            subprocess.run(command, check=True, capture_output=True, timeout=seconds)
        except (subprocess.SubprocessError, OSError) as error:
            raise Offline(f"{WHEEL} is not in {path.parent} and pip cannot fetch it ({type(error).__name__})") from None
    if hashlib.sha256(path.read_bytes()).hexdigest() != SHA256:
        raise Offline(f"{path} is not the wheel that was published as orderly 1.0.0; delete it and try again")
    return path


def rows(wheel: Path) -> Iterator[dict[str, Any]]:
    """Yield the rows of the months, each with its month and number."""
    import pandas as pd

    with zipfile.ZipFile(wheel) as archive:
        for month in MONTHS:
            table = pd.read_parquet(io.BytesIO(archive.read(f"{FOLDER}/uspto-grants-{month}.parquet")))
            for number, row in enumerate(table.to_dict("records")):
                yield {**row, "id": f"{month}/{number}"}


def values(row: dict[str, Any], stem: str) -> list[str]:
    """Return the filled cells of the numbered columns of a row."""
    cells = (row[key] for key in sorted(row) if key.startswith(f"{stem}_"))
    return [c for c in cells if isinstance(c, str) and c != "<missing>"]


def joined_ions(parts: list[str]) -> list[str] | None:
    """Return the components with ions put together as neutral salts, ``None`` where they do not add up."""
    neutral, charged = [], []
    for smiles in parts:
        mol = Chem.MolFromSmiles(smiles)
        if mol is None:
            return None
        charge = Chem.GetFormalCharge(mol)
        (charged if charge else neutral).append((smiles, charge))
    anions = [a for a in charged if a[1] < 0]
    cations = [c for c in charged if c[1] > 0]
    if bool(anions) != bool(cations):
        return None
    made = []
    for number, (smiles, charge) in enumerate(anions):
        partner, its = cations[min(number, len(cations) - 1)]
        if charge % its and its % charge:
            return None
        times, each = (max(1, -charge // its), max(1, its // -charge))
        made.append(".".join([smiles] * each + [partner] * times))
    return [s for s, _ in neutral] + made


def read(text: str) -> tuple[list[str], str, Proposal]:
    """Return the wash tokens in order, the drying agent and the reading of a procedure."""
    plan = read_plan(text)
    done = [s.solution for s in plan.steps if s.action == "wash" and s.solution]
    washes = [TOKENS[s.split("_")[0]] for s in done if s.split("_")[0] in TOKENS]
    agent = next((s.desiccant for s in plan.steps if s.action == "dry" and s.desiccant), "")
    return washes, agent, plan


def record(row: dict[str, Any]) -> dict[str, Any] | None:
    """Return a procedure as ``measure_workups`` reads it, ``None`` where it does not serve.

    It serves where there is one product of at most 60 heavy atoms, its yield, and a washed and dried organic layer in
    the text.
    """
    text, yield_pct = row["procedure_details"], row["yield_000"]
    if (
        not isinstance(text, str)
        or len(text) > 3000
        or "wash" not in text
        or "dried" not in text
        or yield_pct != yield_pct
    ):
        return None
    products = values(row, "product")
    if len(products) != 1:
        return None
    media = values(row, "solvent")
    parts = joined_ions([s for s in (*values(row, "reactant"), *values(row, "catalyst")) if s not in media])
    try:
        (product,) = molecules(products[0])
    except (StructureError, ValueError):
        return None
    if parts is None or product.mol.GetNumAtoms() > 60 or product.mol.GetNumAtoms() < 6:
        return None
    washes, agent, _ = read(text)
    if not washes or not agent:
        return None
    plain = {"amount": None, "in_workup_text": False}
    others = [{"smiles": s, "is_solvent": False, "likely_solvent": False, **plain} for s in dict.fromkeys(parts)]
    others += [{"smiles": s, "is_solvent": True, "likely_solvent": True, **plain} for s in media if "." not in s]
    return {
        "id": row["id"],
        "product_smiles": products[0],
        "other_smiles": others,
        "yield_pct": float(yield_pct),
        "wash_sequence": washes,
        "drying_agent": agent if agent in AGENTS else None,
        "extraction_solvent": None,
        "text": text,
    }


def records(most: int | None = None) -> list[dict[str, Any]]:
    """Return the procedures that serve; of more than ``most`` an even sample. Raises ``Offline``."""
    RDLogger.DisableLog("rdApp.*")  # type: ignore[attr-defined]
    wanted = list(rows(fetch()))
    if most is None:
        return [r for r in map(record, wanted) if r]
    found: list[dict[str, Any]] = []
    # Rows are walked in leaps, so that the sample is spread over the months and not all of them need be read.
    for start in range(LEAP):
        for row in wanted[start::LEAP]:
            made = record(row)
            if made is not None:
                found.append(made)
                if len(found) == most:
                    return found
    return found


LEAP = 17


def main() -> None:
    """Write the procedures, one JSON object a line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("out", type=Path, nargs="?", default=Path("open_workups.jsonl"))
    parser.add_argument("--most", type=int, help="an even sample of at most so many")
    options = parser.parse_args()
    try:
        found = records(options.most)
    except Offline as error:
        raise SystemExit(f"{error}.") from None
    options.out.write_text("".join(json.dumps(r) + "\n" for r in found), encoding="utf-8")
    print(f"{len(found)} procedures in {options.out}")


if __name__ == "__main__":
    main()
