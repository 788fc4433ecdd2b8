"""Measured octanol log P by structure, out of the data files of the ``chemicals`` package."""

from __future__ import annotations

import gzip
import re
import warnings
from importlib import util
from pathlib import Path

import numpy as np
from rdkit import Chem

from washlore.knowledge import solute


def compiled_log_p() -> list[tuple[str, str, float, str]]:
    """Return (block, SMILES, log P, collection) from the files of the ``chemicals`` package, one row a skeleton.

    Salts, ions, permanent charges, metals and purely inorganic entries are left out; so is what a name in the
    collection calls a salt. The CRC Handbook goes before the Syracuse collection; stereoisomers share their median.
    """
    spec = util.find_spec("chemicals")
    assert spec is not None and spec.origin is not None
    folder = Path(spec.origin).parent
    salt = re.compile(r"chloride|bromide|iodide|hydrochl|hcl|sulfate|sodium|potassium|ammonium|salt|iodate", re.I)
    values: dict[str, tuple[float, str]] = {}
    syracuse = gzip.decompress((folder / "Environment" / "Syrres logP data.csv.gz").read_bytes()).decode("latin1")
    crc = (folder / "Environment" / "CRC logP table.tsv").read_text(encoding="utf-8")
    names: dict[str, str] = {}
    for text, collection in ((syracuse, "syracuse_log_p"), (crc, "crc")):
        for line in text.splitlines()[1:]:
            cells = line.split("\t")
            values[cells[0]] = (float(cells[-1]), collection)
            names.setdefault(cells[0], cells[1])
    smiles_of: dict[str, str] = {}
    other: dict[str, set[str]] = {}
    cas = re.compile(r"\d+-\d\d-\d$")
    for size in ("small", "large"):
        file = folder / "Identifiers" / f"chemical identifiers pubchem {size}.tsv"
        for line in file.read_text(encoding="utf-8").split("\n"):
            cells = line.split("\t")
            if len(cells) < 8:
                continue
            if cells[1] in values:
                smiles_of.setdefault(cells[1], cells[4])
            for synonym in cells[7:]:
                if synonym in values and cas.match(synonym):
                    other.setdefault(synonym, set()).add(cells[4])
    for number, found in other.items():
        if number not in smiles_of and len(found) == 1:
            smiles_of[number] = found.pop()
    named = [number for number in values if number not in smiles_of and values[number][1] == "syracuse_log_p"]
    by_name = structures_from_names([names[number] for number in named])
    smiles_of.update({number: smiles for number, smiles in zip(named, by_name, strict=True) if smiles})
    carbon = Chem.MolFromSmarts("[#6]")
    groups: dict[str, list[tuple[str, float, str]]] = {}
    for number, smiles in smiles_of.items():
        value, collection = values[number]
        mol = Chem.MolFromSmiles(smiles)
        if mol is None or len(Chem.GetMolFrags(mol)) > 1 or Chem.GetFormalCharge(mol) != 0:
            continue
        neutral = solute.neutral_form(mol)
        unusual = any(a.GetAtomicNum() not in solute.COVERED or a.GetNumRadicalElectrons() for a in mol.GetAtoms())
        nitrogen_salt = salt.search(names[number]) and mol.HasSubstructMatch(Chem.MolFromSmarts("[NX3;!$(NC=O)]"))
        if unusual or nitrogen_salt or Chem.GetFormalCharge(neutral) != 0 or not mol.HasSubstructMatch(carbon):
            continue
        groups.setdefault(solute.block(neutral), []).append((smiles, value, collection))
    rows = []
    for block, entries in groups.items():
        best = [e for e in entries if e[2] == "crc"] or entries
        rows.append((block, best[0][0], float(np.median([e[1] for e in best])), best[0][2]))
    return sorted(rows)


def structures_from_names(names: list[str]) -> list[str]:
    """Return the SMILES of systematic names, empty where a name is none, by ``py2opsin`` (needs Java)."""
    if util.find_spec("py2opsin") is None:
        print(f"py2opsin is not installed: {len(names)} log P that are known by name only are left out")
        return [""] * len(names)
    from py2opsin import py2opsin

    with warnings.catch_warnings(action="ignore"):  # it warns of each of the thousands of names that are none
        return [str(smiles) for smiles in py2opsin(chemical_name=names, output_format="SMILES")]
