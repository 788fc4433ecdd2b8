"""What a group on a ring is called, by the atom that it begins with: its Hammett constants hang on that."""

from __future__ import annotations

import pytest
from rdkit import Chem

from washlore.knowledge.rows import table
from washlore.knowledge.substituents import Substituent, substituent

NAMED = {
    "acyl_halide": ("C(=O)Cl", "C(=O)F"),
    "thioacyl": ("C(=O)SC", "C(=S)C"),
    "formyl": ("C=O",),
    "acyl": ("C(=O)C",),
    "amide": ("C(=O)N", "C(=S)N"),
    "imino_c": ("C(=N)C",),
    "alkynyl": ("C#CC",),
    "cyano": ("C#N",),
    "alkenyl": ("C=C",),
    "acceptor_alkenyl": ("C=CC(=O)C", "C=CC#N"),
    "trifluoromethyl": ("C(F)(F)F", "C(F)F"),
    "haloalkyl": ("CCl", "CF"),
    "heteroalkyl": ("CN", "CO"),
    "ammonioalkyl": ("C[N+](C)(C)C",),
    "tert_alkyl": ("C(C)(C)C",),
    "diazonio": ("[N+]#N",),
    "ammonio": ("[N+](C)(C)C",),
    "nitro": ("[N+](=O)[O-]",),
    "nitroso": ("N=O",),
    "azo": ("N=NC",),
    "azido": ("N=[N+]=[N-]",),
    "imino_n": ("N=C",),
    "acylamino": ("NC(=O)C", "n1cccc1", "n1ccnc1"),
    "sulfonylamino": ("NS(=O)(=O)C",),
    "hydrazino": ("NN", "N(C)N"),
    "oxido": ("[O-]",),
    "fluoroalkoxy": ("OC(F)(F)F", "OC(F)F"),
    "alkoxy": ("OC", "OCC(F)(F)F"),
    "acyloxy": ("OC(=O)C",),
    "aryloxy": ("Oc1ccccc1",),
    "sulfinyl": ("S(=O)C",),
    "sulfonyl": ("S(=O)(=O)C",),
    "sulfonate": ("S(=O)(=O)O",),
    "mercapto": ("S",),
    "thiolate": ("[S-]",),
    "alkylthio": ("SC",),
    "thiocyanato": ("SC#N",),
    "phosphoryl": ("P(=O)(OC)OC",),
    "phosphino": ("P(C)C",),
    "silyl": ("[Si](C)(C)C",),
    "boryl": ("B(O)O",),
    "other": ("[Se]C",),
}


@pytest.mark.parametrize(("named", "group"), [(n, g) for n, groups in NAMED.items() for g in groups])
def test_a_group_on_benzene_is_named(named: str, group: str) -> None:
    mol = Chem.MolFromSmiles(f"c1(ccccc1){group.replace('1', '2')}")
    assert substituent(mol.GetAtomWithIdx(6)) == named
    assert named in table(Substituent)
