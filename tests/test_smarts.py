"""What a match of a SMARTS needs is read off its text: nothing that would match is passed over."""

from __future__ import annotations

import pytest
from fit.write_smarts_needs import all_smarts
from rdkit import Chem

from washlore.knowledge import smarts
from washlore.knowledge.rows import Group, Reagent, Residue, table
from washlore.knowledge.smarts import Pattern, bits, holdings
from washlore.knowledge.smarts_reading import needs

NEEDS = [
    ("C", "6A 6x1"),
    ("c", "6a 6x1"),
    ("[#6]", "6x1"),
    ("[CX3](=O)[OX2H1]", "6A 6X3 6x1 6=8 6~8 8A 8X2 8H 8H1 8x1 8x2"),
    (
        "[NX3;H2,H1;!$(N-C=O)]",
        "7A 7H 7X3 7x1",
    ),  # one of two counts: some hydrogen, but not how many; what is denied tells nothing
    ("[O,S]C", "6A 6x1"),
    ("[$([OH]c),$([SH]c)]", "6a 6x1"),
    ("[$([NX2]=[NX2+]=[NX1-])]", "7+ 7- 7=7 7A 7X1 7X2 7x1 7x2 7x3 7~7"),
    ("[N;+0]", "7A 7n 7x1"),
    ("C1CC1", "6A 6x1 6x2 6x3 6~6"),
    ("C-,=C", "6A 6x1 6x2 6~6"),
    ("C-;!@C", "6-6 6A 6x1 6x2 6~6"),
    ("[!#6]C", "6A 6x1"),
    ("[CR;D3]~[N;!R]", "6A 6D3 6R 6x1 6~7 7A 7r 7x1"),
    ("[O-].[Na+]", "11+ 11A 11x1 8- 8A 8x1"),
    ("*~[se]", "34a 34x1"),
    ("C{", ""),  # what is not understood needs nothing
]


@pytest.mark.parametrize(("text", "told"), NEEDS)
def test_what_a_match_needs(text: str, told: str) -> None:
    assert " ".join(sorted(needs(text))) == " ".join(sorted(told.split()))


def test_nothing_that_would_match_is_passed_over() -> None:
    structures = [row.smiles for row in table(Reagent).values()][::9]
    for kind in (Group, Residue):
        structures += [text for row in table(kind).values() for text in row.matches][::4]
    patterns = [Pattern(text) for text in all_smarts()]
    tried = 0
    for smiles in structures:
        mol = Chem.MolFromSmiles(smiles)
        if mol is None:
            continue
        for pattern in patterns:
            if pattern.possible(holdings(mol)):
                tried += 1
            else:
                assert not mol.HasSubstructMatch(pattern.query), (smiles, pattern.smarts)
    assert tried < 0.15 * len(structures) * len(patterns)


def test_what_is_written_down_is_what_is_read_off() -> None:
    """Rows that were added since cost a start a moment each; of many, ``tests/fit/write_smarts_needs.py`` writes them down."""
    texts = all_smarts()
    known = [text for text in texts if text in smarts.KNOWN]
    assert len(known) > 0.9 * len(texts)
    for text in known:
        assert smarts.KNOWN[text] == bits(needs(text)), text


def test_what_a_molecule_holds_is_kept_for_that_molecule() -> None:
    one, two = Chem.MolFromSmiles("CCO"), Chem.MolFromSmiles("CCN")
    assert holdings(one) == holdings(Chem.MolFromSmiles("OCC")) != holdings(two)
    assert Pattern("[OX2H]").possible(holdings(one)) and not Pattern("[OX2H]").possible(holdings(two))
