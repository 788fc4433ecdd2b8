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
    ("C", "6 A, 6 x1"),
    ("[#6]", "6 x1"),
    ("[CX3](=O)[OX2H1]", "6 A, 6 A X3, 6  =  8, 6 X3 = A 8, 6 X3 ~ H1 8, 8 X2 ~ X3 6, 8 H1 X2, 6 by 8 8, 8 x2"),
    ("[NX3;H2,H1;!$(N-C=O)]", "7 A, 7 H, 7 X3, 7 H X3"),  # of two counts: some; what is denied tells nothing
    ("[O,S]C", "6 A, 6 x1"),
    ("[$([OH]c),$([SH]c)]", "6 a"),
    ("[$([NX2]=[NX2+]=[NX1-])]", "7 +, 7 -, 7  =  7, 7 X1, 7 x3, 7 by 7 7"),
    ("[N;+0]", "7 A n"),
    ("C1CC1", "6 x3, 6 A ~ A 6, 6 by 6 6"),
    ("[C;r5]", "6 R, 6 r5, 6 A r5"),
    ("[C;!r]", "6 r"),
    ("C-,=C", "6  ~  6"),
    ("C-;!@C", "6  -  6, 6 A - A 6"),
    ("[!#6]C", "6 A"),
    ("[CR;D3]~[N;!R]", "6 D3, 6 R, 6 A ~ A 7, 7 r"),
    ("[O-].[Na+]", "11 +, 8 -"),
    ("*~[se]", "34 a"),
    ("C([Cl,Br])(F)[Br,I]", "-1 x2, 9 x1, 6 by -1 -1 9, 6 A ~ A -1, -1 A ~ A 6, -1 A"),
    ("[Pd,Pt,Zr]~O", "-2 x1, -2 A, 8 A ~ A -2"),
]
# What a match does not need, though it may look so.
NEEDLESS = [
    ("[NX3;H2,H1]", "7 H1, 7 H2"),
    ("[O,S]C", "8 x1, 16 x1, 6  ~  8, -1 x1"),
    ("[$([OH]c),$([SH]c)]", "8 H, 16 H, 6 a ~ A 8"),
    ("C-,=C", "6  -  6, 6  =  6, 6  - A 6"),
    ("[!#6]C", "6 x2, 6  ~  6"),
    ("C~[!$(CO)]", "8 x1, 6  ~  8"),
    ("C{", "6 x1, 6 A"),  # what is not understood needs nothing
    ("[Cl,O]", "-1 x1"),
]


@pytest.mark.parametrize(("text", "told"), NEEDS)
def test_what_a_match_needs(text: str, told: str) -> None:
    assert needs(text).issuperset(told.split(", "))


@pytest.mark.parametrize(("text", "told"), NEEDLESS)
def test_what_a_match_does_not_need(text: str, told: str) -> None:
    assert needs(text).isdisjoint(told.split(", "))


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
