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
    ("[#6]", "6x1"),
    ("[CX3](=O)[OX2H1]", "6A 6A&X3 6=8 6X3=8A 6X3~8H1 8X2~6X3 8H1&X2 6(8,8) 8x2"),
    ("[NX3;H2,H1;!$(N-C=O)]", "7A 7H 7X3 7H&X3"),  # one of two counts: some, not how many; what is denied tells nothing
    ("[O,S]C", "6A 6x1"),
    ("[$([OH]c),$([SH]c)]", "6a"),
    ("[$([NX2]=[NX2+]=[NX1-])]", "7+ 7- 7=7 7X1 7x3 7(7,7)"),
    ("[N;+0]", "7A&n"),
    ("C1CC1", "6x3 6A~6A 6(6,6)"),
    ("[C;r5]", "6R 6r5 6A&r5"),
    ("[C;!r]", "6r"),
    ("C-,=C", "6~6"),
    ("C-;!@C", "6-6 6A-6A"),
    ("[!#6]C", "6A"),
    ("[CR;D3]~[N;!R]", "6D3 6R 6A~7A 7r"),
    ("[O-].[Na+]", "11+ 8-"),
    ("*~[se]", "34a"),
    ("C([Cl,Br])(F)[Br,I]", "-1x2 9x1 6(-1,-1,9) 6A~-1A -1A~6A -1A"),
    ("[Pd,Pt,Zr]~O", "-2x1 -2A 8A~-2A"),
]
# What a match does not need, though it may look so.
NEEDLESS = [
    ("[NX3;H2,H1]", "7H1 7H2"),
    ("[O,S]C", "8x1 16x1 6~8 -1x1"),
    ("[$([OH]c),$([SH]c)]", "8H 16H 6a~8A"),
    ("C-,=C", "6-6 6=6 6-6A"),
    ("[!#6]C", "6x2 6~6"),
    ("C~[!$(CO)]", "8x1 6~8"),
    ("C{", "6x1 6A"),  # what is not understood needs nothing
    ("[Cl,O]", "-1x1"),
]


@pytest.mark.parametrize(("text", "told"), NEEDS)
def test_what_a_match_needs(text: str, told: str) -> None:
    assert needs(text).issuperset(told.split())


@pytest.mark.parametrize(("text", "told"), NEEDLESS)
def test_what_a_match_does_not_need(text: str, told: str) -> None:
    assert needs(text).isdisjoint(told.split())


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
    assert tried < 0.03 * len(structures) * len(patterns)


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
