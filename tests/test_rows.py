"""Tables are read cell by cell, when something asks; these tests ask for everything, and for what cannot be read."""

from __future__ import annotations

import dataclasses
import importlib
import pickle
import pkgutil
from pathlib import Path

import pytest
from rdkit import Chem

import washlore.knowledge
from washlore.knowledge import acidity, groups, names, partition
from washlore.knowledge.rows import (
    Gas,
    MeasuredPka,
    Reagent,
    Row,
    Solution,
    Solvent,
    TableError,
    column,
    read_rows,
    rows_under,
    table,
)
from washlore.knowledge.smarts import holdings
from washlore.knowledge.spelling import key
from washlore.knowledge.structure import ByStructure, atom_letters, canonical_smiles, connections

for found in pkgutil.iter_modules(washlore.knowledge.__path__):
    importlib.import_module(f"washlore.knowledge.{found.name}")
KINDS = sorted(Row.__subclasses__(), key=lambda kind: kind.table)


def test_every_table_has_its_rows():
    assert {kind.table for kind in KINDS} == {
        path.stem for path in (Path(acidity.__file__).parent / "tables").glob("*.csv")
    }


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.table)
def test_every_cell_can_be_read(kind):
    names_of_fields = [f.name for f in dataclasses.fields(kind)]
    for row in table(kind).values():
        values = {name: getattr(row, name) for name in names_of_fields}
        assert kind(**values) == row and hash(kind(**values)) == hash(row)


def test_a_row_can_be_copied_and_sent_to_another_process():
    row = table(Reagent)["triethylamine"]
    assert pickle.loads(pickle.dumps(row)) == row
    assert dataclasses.replace(row, name="x").name == "x" and row.name == "triethylamine"
    with pytest.raises(AttributeError):
        row.name = "x"


GAS = ",".join(f.name for f in dataclasses.fields(Gas)) + "\n"
HYDROGEN = "H2" + "," * GAS.count(",") + "\n"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("id,name\n", "header"),
        (GAS + "H2,hydrogen\n", f"row 2: 2 cells, {GAS.count(',') + 1} expected"),
        (GAS + HYDROGEN + HYDROGEN, "row 3: 'H2' stands in an earlier row too"),
    ],
    ids=["header", "cells", "twice"],
)
def test_a_table_that_is_no_table_is_refused(text, told):
    with pytest.raises(TableError, match=told):
        read_rows(Gas, text, "gases.csv")


@pytest.mark.parametrize(("column", "cell", "told"), [("ph", "acid", "number"), ("general", "maybe", "yes or no")])
def test_a_cell_that_cannot_be_read_is_named(column, cell, told):
    columns = [f.name for f in dataclasses.fields(Solution)]
    cells = dict.fromkeys(columns, "1") | {column: cell}
    text = ",".join(columns) + "\n" + ",".join(cells.values()) + "\n"
    with pytest.raises(TableError, match=f"solutions.csv, row 2, column {column}: '{cell}' .*{told}"):
        getattr(read_rows(Solution, text, "solutions.csv")["1"], column)


def test_what_is_no_column_is_no_attribute():
    row = table(Gas)["H2"]
    assert not hasattr(row, "colour") and not hasattr(row, "_private")
    assert not hasattr(Gas.__new__(Gas), "name")


def test_rows_under_a_beginning_are_those_of_the_whole_table():
    by_family = acidity.by_family(table(acidity.Coefficient).values())
    assert len(by_family) > 50
    for family, features in by_family.items():
        assert acidity._coefficients(family) == features
    assert rows_under(acidity.Coefficient, "no such family/") == []


def test_a_name_is_found_without_the_index():
    index = names.index()
    assert len(index) > 3000
    for spelled, entries in index.items():
        assert names._spelt(spelled) == entries
    assert names._spelt("") == () and names._spelt(key("no such compound")) == ()


@pytest.mark.parametrize(
    "smiles",
    [
        "C[C@H](N)C(=O)O",
        "c1ccc2[nH]ccc2c1",
        "OC12CCC(CC1)(C2)c1cc(C#N)ccc1[N+](=O)[O-]",
        "[Na+].[OH-]",
        "C[Se]c1cccs1",
        "Cl[Pt@SP1](Cl)([NH3])[NH3]",
        "[2H]C#N",
    ],
)
def test_letters_of_the_atoms_do_not_depend_on_the_spelling(smiles):
    mol = Chem.MolFromSmiles(smiles)
    spellings = {Chem.MolToSmiles(mol, doRandom=True) for _ in range(20)} | {
        Chem.MolToSmiles(mol, isomericSmiles=False)
    }
    kekule = Chem.Mol(mol)
    Chem.Kekulize(kekule, clearAromaticFlags=True)
    spellings |= {Chem.MolToSmiles(kekule), Chem.MolToSmiles(kekule, allBondsExplicit=True, allHsExplicit=True)}
    assert {atom_letters(s) for s in spellings} == {atom_letters(smiles)}
    assert {connections(s) for s in spellings} == {connections(smiles)}


def test_rows_are_found_by_structure_as_if_all_were_parsed():
    rows = [(row.smiles, row) for row in table(Solvent).values()]
    found, all_parsed = ByStructure(rows), {}
    for smiles, row in rows:
        all_parsed.setdefault(canonical_smiles(smiles), row)
    assert all(found[smiles] is row for smiles, row in all_parsed.items())
    assert found.get("CCCCCCCCCCCCCCCCC") is None and "OCC" not in found  # the latter is not canonical
    assert dict(found) == all_parsed and len(found) == len(all_parsed)


def test_a_column_is_what_its_rows_hold():
    for kind, name in ((Solvent, "density_g_ml"), (Solvent, "aliases"), (Reagent, "boiling_c"), (MeasuredPka, "pka")):
        assert column(kind, name) == [getattr(row, name) for row in table(kind).values()]
    with pytest.raises(KeyError):
        column(Solvent, "no such column")


def test_connections_tell_isomers_apart_but_not_tautomers_or_ions():
    assert connections("Oc1ccccn1") == connections("O=c1cccc[nH]1") == connections("[O-]c1cccc[nH+]1")
    assert connections("Oc1ccccn1") != connections("Oc1cccnc1") != connections("Oc1ccncc1")
    assert connections("CCCO") != connections("CC(C)O") != connections("CCOC")
    assert connections("CC.O") != connections("CCO") and connections("C1CC1C") != connections("C1CCC1")
    assert connections("[H]O[H]") == connections("O") == "O0()"
    assert connections("C%10CCC%10") == connections("C1CCC1")


def test_letters_tell_elements_apart():
    assert atom_letters("Cl") != atom_letters("C") and atom_letters("CO") != atom_letters("CN")
    assert atom_letters("[H]O[H]") == atom_letters("O")


def test_patterns_that_are_not_tried_would_not_match():
    patterns = [p for _, p in partition._counter()._patterns] + [p for _, _, p, _ in acidity._patterns()]
    patterns += [*groups._group_patterns(), *groups._residue_patterns()]
    rows = list(table(Reagent).values())[::8] + list(table(MeasuredPka).values())[::40]
    skipped = 0
    for row in rows:
        mol = Chem.MolFromSmiles(row.smiles)
        held = holdings(mol)
        for pattern in patterns:
            if not pattern.possible(held):
                skipped += 1
                assert not mol.HasSubstructMatch(pattern.query), (row.smiles, pattern.smarts)
    assert skipped > len(rows) * len(patterns) * 0.9
