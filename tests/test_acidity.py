"""The pKa layer against handbook values, and against the ways in which one compound can be written."""

from __future__ import annotations

import pytest
from rdkit import Chem

from washlore.knowledge import acidity
from washlore.knowledge.acidity import (
    Coefficient,
    Site,
    SiteClass,
    class_name,
    molecule_sites,
    sites,
)
from washlore.knowledge.rows import MeasuredPka, source_text, table
from washlore.knowledge.structure import StructureError, molecules
from washlore.knowledge.substituents import Substituent


def found(smiles: str, kind: str) -> list[float]:
    """Return the pKa values of one kind: acids from the strongest, bases from the strongest."""
    return sorted((s.pka for s in sites(smiles) if s.kind == kind), reverse=kind == "base")


def without_table(smiles: str, kind: str) -> Site:
    """Return the model's first site of a kind, with the measured values left aside."""
    estimates = acidity.estimate(molecules(smiles)[0].mol, measured=False)
    return min(
        (s for s in estimates if s.kind == kind),
        key=lambda s: s.pka if kind == "acid" else -s.pka,
    )


# name, SMILES, kind, pKa, how near, where published. The nearness allows for the spread between handbooks.
HANDBOOK = [
    ("acetic acid", "CC(=O)O", "acid", 4.76, 0.05, "CRC Handbook"),
    ("formic acid", "OC=O", "acid", 3.75, 0.05, "CRC Handbook"),
    ("benzoic acid", "OC(=O)c1ccccc1", "acid", 4.20, 0.05, "CRC Handbook"),
    (
        "4-nitrobenzoic acid",
        "OC(=O)c1ccc(cc1)[N+](=O)[O-]",
        "acid",
        3.43,
        0.05,
        "CRC Handbook",
    ),
    ("trifluoroacetic acid", "OC(=O)C(F)(F)F", "acid", 0.5, 0.3, "CRC Handbook: 0.52"),
    ("phenol", "Oc1ccccc1", "acid", 9.99, 0.05, "CRC Handbook"),
    ("4-nitrophenol", "Oc1ccc(cc1)[N+](=O)[O-]", "acid", 7.15, 0.05, "CRC Handbook"),
    (
        "2,4-dinitrophenol",
        "Oc1ccc(cc1[N+](=O)[O-])[N+](=O)[O-]",
        "acid",
        4.07,
        0.1,
        "CRC Handbook",
    ),
    ("thiophenol", "Sc1ccccc1", "acid", 6.6, 0.1, "CRC Handbook: 6.62"),
    ("ethanethiol", "CCS", "acid", 10.6, 0.1, "CRC Handbook: 10.61"),
    (
        "1-hydroxybenzotriazole",
        "On1nnc2ccccc12",
        "acid",
        4.6,
        0.1,
        "as quoted for peptide coupling: 4.60",
    ),
    (
        "N-hydroxysuccinimide",
        "ON1C(=O)CCC1=O",
        "acid",
        6.0,
        0.1,
        "Serjeant and Dempsey",
    ),
    ("succinimide", "O=C1CCC(=O)N1", "acid", 9.6, 0.1, "CRC Handbook: 9.62"),
    ("phthalimide", "O=C1NC(=O)c2ccccc12", "acid", 8.3, 0.1, "Serjeant and Dempsey"),
    (
        "saccharin",
        "O=C1NS(=O)(=O)c2ccccc12",
        "acid",
        1.8,
        0.25,
        "Serjeant and Dempsey: 1.6 to 2",
    ),
    (
        "benzenesulfonamide",
        "NS(=O)(=O)c1ccccc1",
        "acid",
        10.1,
        0.2,
        "Serjeant and Dempsey",
    ),
    ("1H-tetrazole", "c1nnn[nH]1", "acid", 4.9, 0.1, "Serjeant and Dempsey: 4.89"),
    ("acetylacetone", "CC(=O)CC(C)=O", "acid", 9.0, 0.1, "Serjeant and Dempsey: 8.99"),
    ("nitromethane", "C[N+](=O)[O-]", "acid", 10.2, 0.1, "Serjeant and Dempsey: 10.21"),
    ("acetohydroxamic acid", "CC(=O)NO", "acid", 9.4, 0.1, "Serjeant and Dempsey"),
    ("acetone oxime", "CC(C)=NO", "acid", 12.4, 0.1, "Serjeant and Dempsey: 12.42"),
    (
        "phenylboronic acid",
        "OB(O)c1ccccc1",
        "acid",
        8.8,
        0.1,
        "Serjeant and Dempsey: 8.83",
    ),
    (
        "trifluoroethanol",
        "OCC(F)(F)F",
        "acid",
        12.4,
        0.1,
        "Serjeant and Dempsey: 12.37",
    ),
    ("ammonia", "N", "base", 9.25, 0.05, "CRC Handbook"),
    ("triethylamine", "CCN(CC)CC", "base", 10.75, 0.1, "Perrin"),
    (
        "N,N-diisopropylethylamine",
        "CCN(C(C)C)C(C)C",
        "base",
        11.05,
        0.4,
        "10.7 to 11.4 in print",
    ),
    ("N-methylmorpholine", "CN1CCOCC1", "base", 7.4, 0.1, "Perrin: 7.38"),
    ("morpholine", "C1COCCN1", "base", 8.5, 0.1, "Perrin: 8.49"),
    ("benzylamine", "NCc1ccccc1", "base", 9.35, 0.1, "Perrin"),
    ("aniline", "Nc1ccccc1", "base", 4.6, 0.1, "Perrin"),
    ("4-nitroaniline", "Nc1ccc(cc1)[N+](=O)[O-]", "base", 1.0, 0.1, "Perrin: 1.02"),
    ("N,N-dimethylaniline", "CN(C)c1ccccc1", "base", 5.07, 0.1, "Perrin"),
    ("pyridine", "c1ccncc1", "base", 5.2, 0.1, "Perrin: 5.23"),
    ("2,6-lutidine", "Cc1cccc(C)n1", "base", 6.7, 0.1, "Perrin: 6.72"),
    ("4-(dimethylamino)pyridine", "CN(C)c1ccncc1", "base", 9.58, 0.1, "Perrin: 9.70 at 20 C, 9.33 at 35 C"),
    ("imidazole", "c1c[nH]cn1", "base", 6.97, 0.1, "Albert and Serjeant: 6.99"),
    ("quinoline", "c1ccc2ncccc2c1", "base", 4.9, 0.1, "Perrin"),
    ("DBU", "C1CCC2=NCCCN2CC1", "base", 12.75, 0.8, "11.5 to 13.5 in print for water"),
    ("tetramethylguanidine", "CN(C)C(=N)N(C)C", "base", 13.6, 0.2, "Perrin"),
    ("benzamidine", "NC(=N)c1ccccc1", "base", 11.6, 0.1, "Perrin"),
    ("phenylhydrazine", "NNc1ccccc1", "base", 5.3, 0.1, "Perrin: 5.27"),
    (
        "triphenylphosphine",
        "c1ccc(cc1)P(c1ccccc1)c1ccccc1",
        "base",
        2.73,
        0.1,
        "as tabulated for Tolman's series",
    ),
]


@pytest.mark.parametrize(
    ("name", "smiles", "kind", "pka", "near", "published"),
    HANDBOOK,
    ids=[r[0] for r in HANDBOOK],
)
def test_handbook_value(name: str, smiles: str, kind: str, pka: float, near: float, published: str) -> None:
    assert found(smiles, kind)[0] == pytest.approx(pka, abs=near), published


# The same question to the model alone; compounds over the classes, within two units and mostly within one.
MODEL = [row for row in HANDBOOK if row[0] not in {"1-hydroxybenzotriazole", "ammonia", "trifluoroacetic acid"}]


def test_model_without_the_table_comes_near() -> None:
    errors = {name: abs(without_table(smiles, kind).pka - pka) for name, smiles, kind, pka, *_ in MODEL}
    assert {n: round(e, 2) for n, e in errors.items() if e > 2.5} == {}
    assert sum(e <= 1 for e in errors.values()) >= 0.85 * len(errors)


# Odd and polyfunctional compounds: SMILES, kind, the pKa values that water shows, how near, where published.
ODD = [
    ("glutarimide", "O=C1CCCC(=O)N1", "acid", [11.4], 0.3, "collection of Mansouri and others 2019"),
    ("3-phenylglutarimide", "O=C1CC(c2ccccc2)CC(=O)N1", "acid", [11.2], 0.6, "as 3-alkylglutarimides"),
    ("cycloheximide", "CC1CC(C)C(=O)C(C(O)CC2CC(=O)NC(=O)C2)C1", "acid", [11.2], 0.5, "public pKa collection: 11.2"),
    ("a glutarimide with a phthalimide", "O=C1CCC(N2C(=O)c3ccccc3C2=O)C(=O)N1", "acid", [10.9], 0.8, "recalled"),
    ("4-phenyldihydrouracil", "O=C1CC(c2ccccc2)NC(=O)N1", "acid", [11.2], 0.5, "public pKa collection: 11.22"),
    ("maleimide", "O=C1C=CC(=O)N1", "acid", [9.7], 0.4, "9.5 to 10 in print"),
    ("hydantoin", "O=C1CNC(=O)N1", "acid", [9.1], 0.2, "public pKa collection: 9.12"),
    ("thiazolidinedione", "O=C1CSC(=O)N1", "acid", [6.7], 0.3, "recalled"),
    ("carbromal", "CCC(Br)(CC)C(=O)NC(N)=O", "acid", [10.8], 0.6, "recalled"),
    ("di-tert-butyl iminodicarbonate", "CC(C)(C)OC(=O)NC(=O)OC(C)(C)C", "acid", [11.0], 1.5, "recalled"),
    ("an acylthiourea", "CCN(CC)C(=S)NC(=O)c1ccc(C)cc1", "acid", [8.8], 0.6, "public pKa collection: 8.77"),
    ("trifluoroacetanilide", "O=C(Nc1ccccc1)C(F)(F)F", "acid", [9.5], 0.6, "recalled"),
    ("hydroxyurea", "NC(=O)NO", "acid", [10.6], 0.4, "recalled"),
    ("nitroguanidine", "NC(=N)N[N+](=O)[O-]", "acid", [12.5], 0.8, "recalled"),
    ("tetronic acid as the ketone", "O=C1COC(=O)C1", "acid", [3.8], 0.3, "recalled: 3.76"),
    ("tetramic acid", "O=C1CNC(=O)C1", "acid", [6.4], 0.4, "recalled"),
    ("thioacetic acid as the thione", "CC(O)=S", "acid", [3.3], 0.5, "CRC Handbook, of the thiol form"),
    ("phenyltetrazolethione", "S=c1[nH]nnn1-c1ccccc1", "acid", [3.7], 0.4, "as the thiol form"),
    ("uracil", "O=c1cc[nH]c(=O)[nH]1", "acid", [9.5], 0.3, "Albert and Serjeant"),
    ("Meldrum's acid", "CC1(C)OC(=O)CC(=O)O1", "acid", [4.8], 0.3, "recalled: 4.83"),
    ("dimedone", "CC1(C)CC(=O)CC(=O)C1", "acid", [5.2], 0.2, "Serjeant and Dempsey"),
    ("4-pyridone", "O=c1cc[nH]cc1", "acid", [11.1], 0.2, "Albert and Serjeant"),
    ("4-quinolone", "O=c1cc[nH]c2ccccc12", "acid", [11.3], 1.2, "Albert and Serjeant, recalled"),
    ("4-hydroxycoumarin", "Oc1cc(=O)oc2ccccc12", "acid", [4.1], 0.3, "recalled"),
    ("ascorbic acid", "OCC(O)C1OC(=O)C(O)=C1O", "acid", [4.17, 11.57], 0.2, "CRC Handbook"),
    ("barbituric acid", "O=C1CC(=O)NC(=O)N1", "acid", [4.01, 12.5], 1.0, "CRC Handbook; the second recalled"),
    ("picric acid", "Oc1c([N+](=O)[O-])cc([N+](=O)[O-])cc1[N+](=O)[O-]", "acid", [0.42], 0.2, "CRC Handbook"),
    ("benzotriazole", "c1ccc2[nH]nnc2c1", "acid", [8.4], 0.3, "Albert and Serjeant"),
    ("5-iodosalicylic acid", "O=C(O)c1cc(I)ccc1O", "acid", [2.6, 12.8], 0.8, "as 5-chlorosalicylic acid"),
    ("saccharin, substituted", "O=C1NS(=O)(=O)c2cc(Cl)ccc12", "acid", [1.6], 0.8, "Serjeant and Dempsey: 1.6"),
    ("1-nitrobutane", "CCCC[N+](=O)[O-]", "acid", [8.8], 0.5, "as nitropropane, 8.98, recalled"),
    ("2-alkyl acetoacetate", "CCCCC(C(C)=O)C(=O)OCC", "acid", [12.5], 0.6, "as the 2-ethyl ester, 12.7, recalled"),
    ("9-methyladenine", "Nc1ncnc2c1ncn2C", "base", [4.0], 0.6, "adenine 4.15, adenosine 3.5: Dawson, recalled"),
    ("1-methyl-5-fluorouracil", "Cn1cc(F)c(=O)[nH]c1=O", "acid", [8.0], 0.5, "5-fluorouracil: 8.0"),
    ("uracil, N-methylated", "Cn1ccc(=O)[nH]c1=O", "acid", [9.75], 0.8, "Albert and Serjeant, recalled"),
    ("Boc-serine", "CC(C)(C)OC(=O)NC(CO)C(=O)O", "acid", [3.5], 0.5, "recalled"),
    ("phenylphosphonic acid", "O=P(O)(O)c1ccccc1", "acid", [1.83, 7.07], 0.2, "CRC Handbook"),
    ("N-acetylbenzenesulfonamide", "CC(=O)NS(=O)(=O)c1ccccc1", "acid", [4.7], 0.6, "Serjeant and Dempsey, recalled"),
    ("thiophene-2-sulfonamide", "NS(=O)(=O)c1cccs1", "acid", [9.5], 0.8, "recalled"),
    ("N-benzyltosylamide", "Cc1ccc(S(=O)(=O)NCc2ccccc2)cc1", "acid", [11.3], 1.3, "recalled"),
    ("benzenesulfinic acid", "O=S(O)c1ccccc1", "acid", [1.84], 0.6, "Serjeant and Dempsey"),
    ("nitrocyclohexane", "O=[N+]([O-])C1CCCCC1", "acid", [8.3], 1.2, "Serjeant and Dempsey, recalled"),
    ("dibenzyl malonate", "O=C(CC(=O)OCc1ccccc1)OCc1ccccc1", "acid", [13.2], 0.8, "as diethyl malonate"),
    ("tert-butyl acetoacetate", "CC(=O)CC(=O)OC(C)(C)C", "acid", [10.7], 0.9, "as ethyl acetoacetate"),
    ("tert-butyl cyanoacetate", "N#CCC(=O)OC(C)(C)C", "acid", [11.2], 0.8, "as ethyl cyanoacetate"),
    ("edaravone", "CC1=NN(c2ccccc2)C(=O)C1", "acid", [7.0], 0.3, "recalled"),
    ("diethyldithiocarbamic acid", "CCN(CC)C(=S)S", "acid", [3.4], 1.0, "Serjeant and Dempsey, recalled"),
    ("2,2'-binaphthol", "Oc1ccc2ccccc2c1-c1c(O)ccc2ccccc12", "acid", [8.3, 9.6], 1.2, "recalled"),
    ("catechol", "Oc1ccccc1O", "acid", [9.34, 12.6], 0.1, "CRC Handbook"),
    ("salicylaldehyde oxime", "ON=Cc1ccccc1O", "acid", [9.18, 12.1], 0.3, "Serjeant and Dempsey"),
    ("N-acetylcysteine", "CC(=O)NC(CS)C(=O)O", "acid", [3.24, 9.5], 0.2, "Dawson"),
    ("monomethyl phthalate", "COC(=O)c1ccccc1C(=O)O", "acid", [3.2], 0.6, "Serjeant and Dempsey, recalled"),
    ("benzamide oxime", "NC(=NO)c1ccccc1", "base", [5.0], 0.8, "recalled"),
    ("benzhydrazide", "NNC(=O)c1ccccc1", "base", [3.03], 0.2, "Perrin"),
    ("2-aminothiazole", "Nc1nccs1", "base", [5.36], 0.2, "Perrin"),
    ("9-aminoacridine", "Nc1c2ccccc2nc2ccccc12", "base", [9.99], 0.2, "Perrin"),
    ("isoquinoline", "c1ccc2cnccc2c1", "base", [5.4], 0.2, "Perrin"),
    ("pyridine N-oxide", "[O-][n+]1ccccc1", "base", [0.79], 0.2, "Perrin"),
    ("trioctylamine N-oxide", "CCCCCCCC[N+]([O-])(CCCCCCCC)CCCCCCCC", "base", [4.7], 0.7, "as trimethylamine N-oxide"),
    ("7-methyl-TBD", "CN1CCCN2CCCN=C12", "base", [14.0], 0.6, "recalled"),
    ("P1 phosphazene base", "CN(C)P(=NC(C)(C)C)(N(C)C)N(C)C", "base", [15.0], 1.5, "from acetonitrile; recalled"),
    ("proton sponge", "CN(C)c1cccc2cccc(N(C)C)c12", "base", [12.3], 0.3, "Perrin"),
    ("trimethoprim", "COc1cc(Cc2cnc(N)nc2N)cc(OC)c1OC", "base", [7.1], 0.3, "recalled"),
    ("HEPES", "OCCN1CCN(CCS(=O)(=O)O)CC1", "base", [7.55], 0.2, "Dawson; its second lies near 3"),
]


@pytest.mark.parametrize(
    ("smiles", "kind", "values", "near", "published"), [r[1:] for r in ODD], ids=[r[0] for r in ODD]
)
def test_odd_compounds(smiles: str, kind: str, values: list[float], near: float, published: str) -> None:
    assert found(smiles, kind)[: len(values)] == pytest.approx(values, abs=near), published


def test_no_acid_where_there_is_none() -> None:
    for smiles in ("ONc1ccccc1", "ONCc1ccccc1", "CN(O)C", "NC(N)=S", "CC(N)=O"):  # hydroxylamines, thiourea, amide
        assert found(smiles, "acid") == [], smiles


def test_one_ring_gives_one_proton_in_water() -> None:
    for smiles in (
        "Cc1cc(=O)[nH]c(=O)[nH]1",
        "O=c1[nH]cc(Br)c(=O)[nH]1",
        "O=c1cc[nH]c(=O)[nH]1",
        "CCc1c[nH]c(=O)[nH]c1=O",
    ):
        assert sum(pka < 11.5 for pka in found(smiles, "acid")) == 1, smiles  # the second of uracil lies above 13


def test_model_on_the_measured_table() -> None:
    """The model alone, on compounds that its fit has seen: a wrong table or a lost class shows here."""
    errors = []
    for row in table(MeasuredPka).values():
        mol = acidity.neutral_form(Chem.MolFromSmiles(row.smiles))
        alike = [s.pka for s in acidity.estimate(mol, measured=False) if (s.atom, s.kind) == (row.atom, row.kind)]
        errors += [abs(pka - row.pka) for pka in alike]
    assert len(errors) >= 0.9 * len(table(MeasuredPka))
    assert sum(e <= 1 for e in errors) >= 0.88 * len(errors)


def test_sigma_grows_where_the_fit_has_seen_nothing_alike() -> None:
    plain, strange = without_table("OC(=O)CCCCCc1ccccc1", "acid"), without_table("OC(=O)C1OP1(=O)N=S(C)C#C", "acid")
    assert plain.site_class == strange.site_class
    assert strange.sigma > 2 * plain.sigma


@pytest.mark.parametrize(
    "smiles",
    [
        "CC(C)(C)OC(=O)NCCc1ccccc1",  # carbamate: neither a base nor an acid below 14
        "CC(=O)Nc1ccccc1",
        "CN(C)C=O",
        "NC(N)=O",
        "CN1CCCC1=O",
        "CS(C)=O",
        "CC#N",
        "CC(C)=O",
        "CCOC(C)=O",
        "C1CCOC1",
        "CCO",
        "CCOCC",
        "ClCCl",
        "C[N+](C)(C)C",
        "CCCCn1cc[n+](C)c1",
        "c1ccc2[nH]ccc2c1",
        "O=[N+]([O-])c1ccccc1",
        "CN(C)P(=O)(N(C)C)N(C)C",
        "c1ccc(cc1)P(=O)(c1ccccc1)c1ccccc1",
        "C1CCC(CC1)N=C=NC1CCCCC1",
        "O=C1CCCN1",
        "[Na+]",
        "[Cl-]",
        "C",
    ],
)
def test_no_site(smiles: str) -> None:
    assert sites(smiles) == ()


def test_acylated_and_sulfonylated_nitrogen_is_no_base() -> None:
    for smiles in (
        "CC(=O)N1CCCCC1",
        "CS(=O)(=O)N1CCCCC1",
        "CC(C)(C)OC(=O)N1CCNCC1",
        "Cc1ccc(cc1)S(=O)(=O)Nc1ccccc1",
    ):
        bases = [s.atom for s in sites(smiles) if s.kind == "base"]
        mol = Chem.MolFromSmiles(smiles)
        acyl = Chem.MolFromSmarts("[N;$(NC=O),$(NS(=O)=O)]")
        assert not {m[0] for m in mol.GetSubstructMatches(acyl)} & set(bases), smiles


@pytest.mark.parametrize(
    ("ionised", "neutral"),
    [
        ("CC(=O)[O-].[Na+]", "CC(=O)O"),
        ("CC[NH+](CC)CC.[Cl-]", "CCN(CC)CC"),
        ("[O-]c1ccc(cc1)[N+](=O)[O-]", "Oc1ccc(cc1)[N+](=O)[O-]"),
        ("c1cc[nH+]cc1", "c1ccncc1"),
        ("CN(C)c1cc[nH+]cc1", "CN(C)c1ccncc1"),
        ("NC(N)=[NH2+]", "NC(N)=N"),
        ("[O-]C(=O)C[NH3+]", "OC(=O)CN"),
        ("CC(=O)[CH-]C(C)=O.[Na+]", "CC(=O)CC(C)=O"),
        ("O=C1[N-]C(=O)c2ccccc12.[K+]", "O=C1NC(=O)c2ccccc12"),
        ("c1nnn[n-]1.[Na+]", "c1nnn[nH]1"),
        ("C[C@H]([NH3+])C(=O)[O-]", "CC(N)C(=O)O"),
        ("O=P([O-])([O-])OCC", "O=P(O)(O)OCC"),
        ("[N-]=[N+]=[N-].[Na+]", "N=[N+]=[N-]"),
        ("[O-][N+](=O)[O-].[K+]", "O[N+](=O)[O-]"),
        ("CC(=O)[O-].CC[NH+](CC)CC", "CC(=O)O.CCN(CC)CC"),
    ],
)
def test_ions_are_judged_as_their_neutral_form(ionised: str, neutral: str) -> None:
    def bare(smiles: str) -> list[tuple[str, float, str]]:
        return sorted((s.kind, s.pka, s.site_class) for s in sites(smiles))

    assert bare(ionised) == bare(neutral) != []


def test_atoms_are_those_of_the_smiles_as_written() -> None:
    assert [(s.atom, s.kind) for s in sites("OC(=O)CN")] == [(0, "acid"), (4, "base")]
    assert [(s.atom, s.kind) for s in sites("NCC(O)=O")] == [(0, "base"), (3, "acid")]
    assert [(s.atom, s.kind) for s in sites("CCN(CC)CC.Oc1ccccc1")] == [
        (2, "base"),
        (7, "acid"),
    ]
    assert [s.atom for s in sites("[Na+].[O-]C(=O)C")] == [1]


@pytest.mark.parametrize(
    "smiles",
    [
        "Cc1ccc(cc1)S(=O)(=O)NC(CC(=O)O)c1ccncc1",
        "CN1CCN(CC1)c1ccc(O)c(c1)C(=O)O",
        "NC(=N)NCCCC(N)C(=O)O",
        "COc1ccc2nccc(C(O)C3CC4CCN3CC4C=C)c2c1",
        "Oc1nc2ccccc2[nH]1",
        "NCCNCCN",
    ],
)
def test_the_way_of_writing_does_not_matter(smiles: str) -> None:
    mol = Chem.MolFromSmiles(smiles)
    expected = sorted((s.kind, s.pka, s.site_class) for s in sites(smiles))
    assert expected
    for text in Chem.MolToRandomSmilesVect(mol, 8, randomSeed=7):
        rewritten = sites(text)
        assert sorted((s.kind, s.pka, s.site_class) for s in rewritten) == expected, text
        other = Chem.MolFromSmiles(text)
        for site in rewritten:
            symbol = other.GetAtomWithIdx(site.atom).GetSymbol()
            assert symbol in ("O", "N", "S") and other.GetAtomWithIdx(site.atom).GetDegree() < 4


def test_pyridone_and_hydroxypyridine_are_one_compound() -> None:
    assert found("O=c1cccc[nH]1", "acid") == found("Oc1ccccn1", "acid") == [11.65]
    written_either_way = [without_table(s, "acid").pka for s in ("O=c1cc(C)cc[nH]1", "Oc1cc(C)ccn1")]
    assert written_either_way[0] == pytest.approx(written_either_way[1], abs=1.0)


def test_zwitterions() -> None:
    for smiles in (
        "NCC(=O)O",
        "CC(C)CC(N)C(=O)O",
        "OC(=O)C1CCCN1",
        "NC(Cc1ccc(F)cc1)C(=O)O",
    ):
        acid, base = found(smiles, "acid")[0], found(smiles, "base")[0]
        assert 1.5 < acid < 2.7 and 8.9 < base < 11.0, smiles
    # The independent-site picture: half an acid and half a base gives no net charge near the isoelectric point.
    ph = 6.0
    charge = sum(
        1 / (1 + 10 ** (ph - s.pka)) if s.kind == "base" else -1 / (1 + 10 ** (s.pka - ph)) for s in sites("NCC(=O)O")
    )
    assert abs(charge) < 0.02
    assert found("NC(CC(=O)O)C(=O)O", "acid") == [1.99, 3.90]
    assert found("C[N+](C)(C)CC(=O)[O-]", "acid") == [1.83] and found("C[N+](C)(C)CC(=O)[O-]", "base") == []
    for smiles in ("NCC1CCC(CC1)C(=O)O", "OC(=O)C1CCNCC1"):  # not in the table
        assert found(smiles, "acid")[0] < 4.8 and found(smiles, "base")[0] > 9.5


@pytest.mark.parametrize(
    ("smiles", "first", "second"),
    [
        ("OC(=O)CC(=O)O", 2.85, 5.70),  # CRC Handbook
        ("OC(=O)CCC(=O)O", 4.21, 5.64),  # CRC Handbook
        ("OC(=O)/C=C\\C(=O)O", 1.92, 6.23),  # CRC Handbook
        ("OC(=O)/C=C/C(=O)O", 3.02, 4.38),  # CRC Handbook
        (
            "OC(=O)C(C)CCCC(C)C(=O)O",
            4.5,
            5.5,
        ),  # estimated, as adipic acid (CRC: 4.41, 5.41)
    ],
)
def test_diacids(smiles: str, first: float, second: float) -> None:
    values = found(smiles, "acid")
    assert len(values) == 2
    assert values == pytest.approx([first, second], abs=0.5)


@pytest.mark.parametrize(
    ("smiles", "first", "second"),
    [
        ("NCCN", 9.93, 6.85),  # Perrin
        ("C1CNCCN1", 9.73, 5.33),  # Perrin
        ("C1CN2CCN1CC2", 8.82, 2.97),  # Perrin
        ("CCNCCNCC", 10.0, 6.8),  # estimated, as N,N'-dialkylethylenediamines
        ("NCCCCCCCCN", 11.0, 10.1),  # estimated, as 1,8-diaminooctane
    ],
)
def test_diamines(smiles: str, first: float, second: float) -> None:
    values = found(smiles, "base")
    assert len(values) == 2
    assert values == pytest.approx([first, second], abs=1.0)


def test_first_and_second_ionisation_without_the_table() -> None:
    mol = molecules("OC(=O)CCC(=O)O")[0].mol
    values = sorted(s.pka for s in acidity.estimate(mol, measured=False))
    assert values == pytest.approx([4.21, 5.64], abs=0.5)


def test_lab_reagents_on_the_right_side_of_the_usual_washes() -> None:
    for smiles in (
        "On1nnc2ccccc12",
        "ON1C(=O)CCC1=O",
        "CS(=O)(=O)O",
        "OC(=O)C(F)(F)F",
        "Cc1ccc(cc1)S(=O)(=O)O",
    ):
        assert found(smiles, "acid")[0] < 7.0, "bicarbonate takes it"
    for smiles in ("Oc1ccccc1", "O=C1CCC(=O)N1", "CC(=O)CC(=O)OCC", "CCS"):
        assert 8.9 < found(smiles, "acid")[0] < 11.5, "hydroxide takes it, bicarbonate does not"
    for smiles in (
        "CCN(CC)CC",
        "CN(C)c1ccncc1",
        "c1ccncc1",
        "c1c[nH]cn1",
        "CCN=C=NCCCN(C)C",
        "CCNC(=O)NCCCN(C)C",
    ):
        assert found(smiles, "base")[0] > 5.0, "dilute acid takes it"
    for smiles in ("Nc1c(Cl)cccc1Cl", "c1ccc(cc1)Nc1ccccc1", "Clc1ccccn1"):
        assert found(smiles, "base")[0] < 2.0, "dilute acid leaves it"


def test_tiers_sources_and_sigma() -> None:
    measured, modelled = (
        sites("OC(=O)c1ccccc1")[0],
        sites("OC(=O)c1ccc(OC(C)C)c(F)c1")[0],
    )
    mean = sites("CC(C)P(C(C)C)C(C)C")[0]
    assert (measured.tier, modelled.tier, mean.tier) == (
        "measured",
        "model",
        "class mean",
    )
    assert measured.sigma < modelled.sigma < mean.sigma
    for site in (measured, modelled, mean):
        assert source_text(site.source)
    assert class_name("carboxylic_acid_aliphatic") == "carboxylic acid"
    with pytest.raises(KeyError):
        class_name("no such class")


def test_same_answer_for_a_molecule_and_for_its_smiles() -> None:
    molecule = molecules("OC(=O)c1ccc(N)cc1")[0]
    assert molecule_sites(molecule) == sites(molecule.smiles)
    assert molecule_sites(molecule) is molecule_sites(molecule)


def test_bad_smiles_is_refused_with_a_reason() -> None:
    with pytest.raises(StructureError, match="not a SMILES"):
        sites("C1CC")


def test_tables_are_sound() -> None:
    classes, rows = table(SiteClass), table(MeasuredPka)
    assert len(rows) >= 350
    for row in classes.values():
        assert Chem.MolFromSmarts(row.smarts) is not None, row.id
        assert row.kind in ("acid", "base") and row.tier in (
            "model",
            "class mean",
            "omit",
        ), row.id
        assert row.frame in ("chain", "aryl", "both", "ring", "azole", "azinone"), row.id
        assert source_text(row.source)
    for value in table(Coefficient).values():
        assert value.site_class == "*" or value.site_class in classes, value.id
        assert source_text(value.source)
    for group in table(Substituent).values():
        assert source_text(group.source)
    for measured in rows.values():
        mol = Chem.MolFromSmiles(measured.smiles)
        assert mol is not None and 0 <= measured.atom < mol.GetNumAtoms(), measured.name
        assert measured.kind in ("acid", "base") and -15 < measured.pka < 16, measured.name
        if measured.kind == "acid" and measured.name != "boric acid":
            bare = acidity.neutral_form(mol).GetAtomWithIdx(measured.atom)
            assert bare.GetTotalNumHs(includeNeighbors=True), f"{measured.name}: no hydrogen where it says"
        assert source_text(measured.source), measured.name


def test_every_measured_row_is_found_again() -> None:
    for row in table(MeasuredPka).values():
        values = [s.pka for s in sites(row.smiles) if s.kind == row.kind and s.tier == "measured"]
        assert row.pka in values, row.name


def test_every_modelled_class_has_what_it_needs() -> None:
    fitted = {c.site_class for c in table(Coefficient).values() if c.feature == "intercept"}
    for site in (s for smiles in ("OCc1ccncc1", "Oc1ccc(CN)cc1", "OC(=O)CCl") for s in sites(smiles)):
        assert site.tier == "measured" or site.site_class in fitted


# Class, what it takes, and what looks like it and belongs elsewhere.
CLASSES = [
    ("nitrosamine_heteroaryl", ("Cn1nc([N+](=O)[O-])nc1NN=O",), ("O=NNc1ccccc1", "CN(N=O)c1ncccn1")),
    ("tricyanovinylamine", ("N#CC(C#N)=C(C#N)Nc1ccccc1",), ("N#CC(C#N)=CNc1ccccc1",)),
    ("hydantoin_n1_alkylidene", ("CN1C(=O)NC(=Cc2ccccc2)C1=O",), ("CN1C(=O)NC(C)C1=O",)),
    ("urate_n9", ("Cn1c(=O)c2c([nH]c(=O)n2C)n(C)c1=O",), ("Cn1c(=O)c2nc[nH]c2n(C)c1=O",)),
    ("azine_lactam_fused", ("O=c1[nH]ccc2nnnn12", "Cc1cc(=O)n2ncnc2[nH]1"), ("O=c1cc[nH]c2nccn12", "O=c1cc[nH]cn1")),
    ("hydroxy_azine_fused", ("Cc1cc(O)n2ncnc2n1", "Oc1nccc2nnnn12"), ("Oc1ccncn1",)),
    ("hydroxypyridine_n_oxide", ("[O-][n+]1cccc(O)c1", "[O-][n+]1ccc(O)cc1"), ("Oc1cccnc1",)),
    ("naphthosultam", ("O=S1(=O)Nc2cccc3cccc1c23",), ("CS(=O)(=O)Nc1cccc2ccccc12",)),
    ("formyl_fluorene_ch", ("O=CC1c2ccccc2-c2ccccc21",), ("O=CC(c1ccccc1)c1ccccc1",)),
    ("pyrazolol_ammonium", ("Cc1cc(O)n(C2CCN(C)CC2)n1",), ("Cc1cc(O)n(-c2ccccc2)n1", "Cc1cc(O)n(C2CCN(C(C)=O)CC2)n1")),
    ("pyrazolone_ammonium", ("Cc1cc(=O)n(C2CCN(C)CC2)[nH]1",), ("Cc1cc(=O)n(-c2ccccc2)[nH]1",)),
    ("hydroxy_oxazole_acidic", ("Cc1cc(O)no1", "Oc1cnsn1"), ("Oc1cc[nH]n1", "Oc1conc1")),
    ("oxadiazolone", ("Cc1noc(=O)[nH]1",), ("O=c1[nH]c2ccccc2o1",)),
    ("sulfonamide_imidazolyl", ("Nc1ccc(S(=O)(=O)Nc2ncc[nH]2)cc1",), ("Nc1ccc(S(=O)(=O)Nc2nccs2)cc1",)),
    ("aminopyrimidine_4", ("Nc1ccncn1",), ("Nc1ccncc1", "CC(=O)Nc1ccncn1")),
]


@pytest.mark.parametrize(("site_class", "taken", "left"), CLASSES, ids=[c[0] for c in CLASSES])
def test_class_takes_its_own_and_no_more(site_class: str, taken: tuple[str, ...], left: tuple[str, ...]) -> None:
    for smiles in (*taken, *left):
        mol = acidity.neutral_form(molecules(smiles)[0].mol)
        found_classes = {row.id for row in acidity.site_classes(mol).values()}
        assert (site_class in found_classes) == (smiles in taken), smiles


# What a molecule has given or taken once makes the second harder, through a ring less than beside it; the first values are
# those of catechol, o-phenylenediamine (CRC Handbook, recalled) with their alkyl, of the others of common sense.
SECOND = [
    ("4-propylcatechol", "Oc1cc(CCC)ccc1O", "acid", 9.5, 1.5),
    ("4-propyl-1,2-phenylenediamine", "Nc1cc(CCC)ccc1N", "base", 4.7, 1.5),
    ("1,5-dihydroxynaphthalene", "Oc1cccc2c(O)cccc12", "acid", 9.0, 0.6),
    ("1,5-diaminonaphthalene", "Nc1cccc2c(N)cccc12", "base", 4.5, 0.6),
    ("4-mercaptophenol", "Oc1ccc(S)cc1", "acid", 7.0, 3.0),
]


@pytest.mark.parametrize(("name", "smiles", "kind", "first", "apart"), SECOND, ids=[r[0] for r in SECOND])
def test_the_second_of_two_sites_is_harder(name: str, smiles: str, kind: str, first: float, apart: float) -> None:
    low, high = sorted(site.pka for site in sites(smiles) if site.kind == kind)
    assert high - low >= apart
    assert (low if kind == "acid" else high) == pytest.approx(first, abs=1.0)
