"""The functional-group table and its perception."""

from dataclasses import replace

import pytest
from rdkit import Chem

from washlore.knowledge import groups
from washlore.knowledge.groups import STEREO_GROUPS, Match, molecule_groups, ph_window
from washlore.knowledge.rows import Group, Source, TableError, table
from washlore.knowledge.smarts import holdings
from washlore.knowledge.structure import molecules

ROWS = tuple(table(Group).values())
AVOID = {
    "water",
    "oxidant",
    "reductant",
    "sulfite",
    "calcium",
    "copper",
    "fluoride",
    "amine",
    "ammonia",
    "bleach",
    "borate",
    "heat",
    "light",
    "air",
}


def found(smiles):
    return {match.group.id for part in molecules(smiles) for match in molecule_groups(part)}


def cases(column):
    return [pytest.param(row.id, smiles, id=f"{row.id}: {smiles}") for row in ROWS for smiles in getattr(row, column)]


def test_table_is_large_enough():
    assert len(ROWS) >= 130


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_row_is_well_formed(row):
    assert row.id == row.id.lower() and row.id.isidentifier()
    assert Chem.MolFromSmarts(row.smarts) is not None
    assert len(row.matches) >= 2 and len(row.misses) >= 2
    assert len(set(row.matches)) == len(row.matches)
    assert set(row.avoid) <= AVOID
    assert row.source in table(Source)
    for limit in (row.lowest_ph, row.highest_ph):
        assert limit is None or 0 <= limit <= 14
    if row.lowest_ph is not None and row.highest_ph is not None:
        assert row.lowest_ph < row.highest_ph
    if row.lowest_ph is not None or row.highest_ph is not None:
        assert row.limit_reason


@pytest.mark.parametrize(("group", "smiles"), cases("matches"))
def test_match(group, smiles):
    assert group in found(smiles)


@pytest.mark.parametrize(("group", "smiles"), cases("misses"))
def test_near_miss(group, smiles):
    assert group not in found(smiles)


def test_stereo_groups_are_in_the_table():
    assert set(table(Group)) >= STEREO_GROUPS


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_prefilter_agrees_with_plain_matching(row):
    pattern = next(p for p in groups._group_patterns() if p.row.id == row.id)
    for other in ROWS[::7]:
        for smiles in other.matches:
            mol = molecules(smiles)[0].mol
            if mol.HasSubstructMatch(pattern.query):
                assert pattern.possible(holdings(mol))


# Whole molecules: groups that must be seen, groups that must not.
WHOLE = {
    "aspirin": ("CC(=O)Oc1ccccc1C(=O)O", "aryl_ester carboxylic_acid", "acetate_ester alkyl_ester phenol ketone"),
    "paracetamol": ("CC(=O)Nc1ccc(O)cc1", "phenol secondary_amide", "aniline aminophenol hydroquinone"),
    "ibuprofen": ("CC(C)Cc1ccc(cc1)C(C)C(=O)O", "carboxylic_acid", "stereo_alpha_ester stereo_arylglycine fatty_acid"),
    "benzylpenicillin": (
        "CC1(C)S[C@@H]2[C@H](NC(=O)Cc3ccccc3)C(=O)N2[C@H]1C(=O)O",
        "fused_beta_lactam sulfide secondary_amide carboxylic_acid",
        "beta_lactam lactam aminal thioketal",
    ),
    "paclitaxel core ester": (
        "CC(=O)O[C@@]12CO[C@@H]1C[C@H](O)[C@@]1(C)C2CCCC1=O",
        "oxetane hindered_ester secondary_alcohol ketone",
        "alkyl_ester epoxide acetal",
    ),
    "artemisinin": (
        "C[C@@H]1CC[C@H]2[C@H](C(=O)O[C@H]3[C@@]24[C@H]1CC[C@](O3)(OO4)C)C",
        "peroxide delta_lactone acylal",
        "hydroperoxide alkyl_ester ketal acyl_peroxide",
    ),
    "diacetone glucose": (
        "CC1(C)OC[C@H](O1)[C@H]1O[C@@H]2OC(C)(C)O[C@@H]2[C@H]1O",
        "acetonide secondary_alcohol bicyclic_acetal",
        "acetal thp_ether orthoester hemiacetal glycol ketal_dioxolane",
    ),
    "acetobromoglucose": (
        "CC(=O)OC[C@H]1O[C@H](Br)[C@H](OC(C)=O)[C@@H](OC(C)=O)[C@@H]1OC(C)=O",
        "glycosyl_halide acetate_ester",
        "secondary_halide alpha_halo_ether glycoside",
    ),
    "methyl glucoside": (
        "CO[C@H]1O[C@H](CO)[C@@H](O)[C@H](O)[C@H]1O",
        "glycoside polyol primary_alcohol",
        "acetal thp_ether hemiacetal deoxyglycoside cyclic_mixed_acetal",
    ),
    "Garner aldehyde": (
        "CC1(C)OC[C@@H](C=O)N1C(=O)OC(C)(C)C",
        "boc n_acyl_n_o_acetal stereo_alpha_aldehyde aliphatic_aldehyde",
        "acetonide n_o_acetal tert_butyl_ester tertiary_amine",
    ),
    "Fmoc-Ala-OSu": (
        "C[C@H](NC(=O)OCC1c2ccccc2-c2ccccc21)C(=O)ON1C(=O)CCC1=O",
        "fmoc nhs_ester stereo_alpha_activated",
        "alkyl_ester imide carboxylic_anhydride boc",
    ),
    "Boc-Phe-OMe": (
        "COC(=O)[C@H](Cc1ccccc1)NC(=O)OC(C)(C)C",
        "boc alkyl_ester stereo_alpha_ester",
        "amino_ester carbonate tert_butyl_ester stereo_arylglycine",
    ),
    "DMT-thymidine": (
        "COc1ccc(cc1)C(OC[C@H]1O[C@H](C[C@@H]1O)n1cc(C)c(=O)[nH]c1=O)(c1ccccc1)c1ccc(OC)cc1",
        "methoxytrityl_ether secondary_alcohol",
        "trityl_ether n_o_acetal enamide deoxypurine_nucleoside urea",
    ),
    "diazepam": ("CN1c2ccc(Cl)cc2C(c2ccccc2)=NCC1=O", "cyclic_imine lactam aryl_halide", "imine conjugated_imine"),
    "nifedipine": (
        "COC(=O)C1=C(C)NC(C)=C(C(=O)OC)C1c1ccccc1[N+](=O)[O-]",
        "dihydropyridine alkyl_ester nitro",
        "enamine secondary_amine aniline snar_halide",
    ),
    "omeprazole": (
        "COc1ccc2[nH]c(S(=O)Cc3ncc(C)c(OC)c3C)nc2c1",
        "benzimidazole_sulfoxide sulfoxide aryl_ether",
        "sulfinamide sulfone sulfide",
    ),
    "testosterone": (
        "C[C@]12CC[C@H]3[C@@H](CCC4=CC(=O)CC[C@]34C)[C@@H]1CC[C@@H]2O",
        "enone ketone secondary_alcohol",
        "reactive_acceptor bisulfite_ketone stereo_alpha_ketone alkene",
    ),
    "vitamin A alcohol": ("CC1=C(C(C)(C)CCC1)C=CC(C)=CC=CC(C)=CCO", "polyene allylic_alcohol", "enone enol"),
    "limonene oxide": ("CC(=C)C1CCC2(C)OC2C1", "epoxide labile_epoxide alkene", "ether oxetane enol_ether"),
    "imatinib": (
        "Cc1ccc(NC(=O)c2ccc(CN3CCN(C)CC3)cc2)cc1Nc1nccc(-c2cccnc2)n1",
        "secondary_amide tertiary_amine aniline pyridine",
        "guanidine amidine aminal",
    ),
    "camptothecin": (
        "CCC1(O)C(=O)OCc2c1cc1n(c2=O)Cc2cc3ccccc3nc2-1",
        "delta_lactone tertiary_alcohol",
        "tertiary_benzylic_alcohol alkyl_ester beta_hydroxy_carbonyl",
    ),
    "DBU": ("C1CCC2=NCCCN2CC1", "amidine", "cyclic_imine guanidine tertiary_amine"),
    "phenylboronic pinacol ester": (
        "CC1(C)OB(c2ccccc2)OC1(C)C",
        "boronate_ester",
        "boronic_acid acetonide ether glycol",
    ),
    "cyclohexanone silyl enol ether": ("C[Si](C)(C)OC1=CCCCC1", "silyl_enol_ether", "enol_ether tms_ether"),
    "ascorbic acid": ("OC[C@H](O)[C@H]1OC(=O)C(O)=C1O", "enediol gamma_lactone glycol", "hemiacetal enone phenol"),
    "sodium dodecyl sulfate": ("[Na+].CCCCCCCCCCCCOS(=O)(=O)[O-]", "long_chain_sulfate sulfate_monoester", "tosylate"),
    "HWE phosphonate": ("CCOC(=O)CP(=O)(OCC)OCC", "phosphonate alkyl_ester", "phosphate_triester phosphite"),
    "propargyl THP ether": ("C#CCOC1CCCCO1", "thp_ether terminal_alkyne", "acetal glycoside mom_ether"),
    "oxybutynin-like ester": (
        "CCN(CC)CC#CCOC(=O)C(O)(c1ccccc1)C1CCCCC1",
        "alkyl_ester tertiary_amine alkyne",
        "mustard",
    ),
    "ethyl carbamate": ("CCOC(N)=O", "carbamate", "alkyl_ester primary_amide urea carbonate amino_ester"),
}


@pytest.mark.parametrize("name", WHOLE)
def test_whole_molecule(name):
    smiles, present, absent = WHOLE[name]
    seen = found(smiles)
    known = set(table(Group))
    assert known >= set(present.split()) | set(absent.split())
    assert set(present.split()) <= seen
    assert not set(absent.split()) & seen


@pytest.mark.parametrize(
    ("smiles", "lowest", "low_group", "highest", "high_group"),
    [
        ("CCCCCC", 0.0, None, 14.0, None),
        ("CCOC(=O)CCCC", 0.0, None, 12.4, "alkyl_ester"),
        ("C1CCOC(C1)OCCCC(=O)Oc1ccccc1", 3.0, "thp_ether", 10.5, "aryl_ester"),
        ("O=C(OC(C)(C)C)NCCC1OCCO1", 3.0, "dioxolane", 14.0, None),
        ("CC(=O)ON1C(=O)CCC1=O", 0.0, None, 8.5, "nhs_ester"),
        ("CCO[Si](C)(C)C(C)(C)C", 0.0, "tbs_ether", 14.0, None),
    ],
)
def test_ph_window(smiles, lowest, low_group, highest, high_group):
    low, low_match, high, high_match = ph_window(molecules(smiles)[0])
    assert (low, high) == (lowest, highest)
    assert (low_match and low_match.group.id) == low_group
    assert (high_match and high_match.group.id) == high_group


def test_hits_are_sorted_by_table_order_and_name_atoms():
    molecule = molecules("CCOC(=O)CCC(=O)OCC")[0]
    hits = molecule_groups(molecule)
    order = list(table(Group))
    assert [order.index(m.group.id) for m in hits] == sorted(order.index(m.group.id) for m in hits)
    esters = [m for m in hits if m.group.id == "alkyl_ester"]
    assert len(esters) == 2 and all(isinstance(m, Match) for m in esters)
    for match in esters:
        carbonyl = molecule.mol.GetAtomWithIdx(match.atoms[1])
        assert carbonyl.GetSymbol() == "C" and carbonyl.GetDegree() == 3


def test_racemic_stereocentre_is_no_concern():
    assert "stereo_alpha_ketone" in found("CC[C@H](C)C(C)=O")
    assert "stereo_alpha_ketone" not in found("CCC(C)C(C)=O")


def test_bad_smarts_is_named():
    broken = replace(ROWS[0], smarts="[C")
    with pytest.raises(TableError, match=broken.id):
        groups.RowPattern(broken).query.GetNumAtoms()
