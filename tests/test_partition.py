"""Partition: descriptors, log K and salting out against published values."""

from __future__ import annotations

import pytest
from rdkit import Chem

from washlore.knowledge import partition, solute
from washlore.knowledge.inorganic import Inorganic
from washlore.knowledge.ion_pairs import CounterIon, IonPair, counter_ion, ion_pair_shift, permanent_ion_log_k
from washlore.knowledge.log_d import distribution
from washlore.knowledge.partition import (
    SOLVENTS,
    descriptors,
    log_k,
    mixed_log_k,
    molecule_log_k,
    setschenow,
)
from washlore.knowledge.rows import Source, table
from washlore.knowledge.smarts import holdings
from washlore.knowledge.smarts_reading import needs
from washlore.knowledge.structure import molecules

# log P octanol; Hansch, Leo and Hoekman, Exploring QSAR, 1995 (some CRC Handbook), rounded to 0.1
LOG_P = {
    "CC(C)Cc1ccc(cc1)C(C)C(=O)O": 3.5, "COc1ccc2cc(ccc2c1)C(C)C(=O)O": 3.2, "CC(=O)Oc1ccccc1C(=O)O": 1.2,
    "CC(=O)Nc1ccc(O)cc1": 0.5, "Cn1cnc2c1c(=O)n(C)c(=O)n2C": -0.1, "CN1C(=O)CN=C(c2ccccc2)c2cc(Cl)ccc12": 2.9,
    "CCN(CC)CC(=O)Nc1c(C)cccc1C": 2.3, "CC12CCC3C(CCC4=CC(=O)CCC34C)C1CCC2O": 3.3,
    "CN1CCCC1c1cccnc1": 1.2, "CC(C)NCC(O)COc1cccc2ccccc12": 3.2, "O=C1NC(=O)C(c2ccccc2)(c2ccccc2)N1": 2.5,
    "CCOC(=O)c1ccc(N)cc1": 1.9, "CC(=O)Nc1ccccc1": 1.2, "O=C(c1ccccc1)c1ccccc1": 3.2, "c1ccc(cc1)-c1ccccc1": 4.0,
    "O=[N+]([O-])c1ccccc1": 1.9, "COc1ccccc1": 2.1, "CC(=O)c1ccccc1": 1.6, "COC(=O)c1ccccc1": 2.1,
    "NC(=O)c1ccccc1": 0.6, "N#Cc1ccccc1": 1.6, "c1ccc2ncccc2c1": 2.0, "c1ccc2[nH]ccc2c1": 2.1, "c1ccsc1": 1.8,
    "O=C1CCCCC1": 0.8, "OC1CCCCC1": 1.2, "CCCCCC(=O)O": 1.9, "CCCCCCCCO": 3.0, "OCc1ccccc1": 1.1, "OCCc1ccccc1": 1.4,
    "COc1cc(C=O)ccc1O": 1.2, "O=c1ccc2ccccc2o1": 1.4, "CC1(C)C2CCC1(C)C(=O)C2": 2.3, "Cc1ccc(C(C)C)c(O)c1": 3.3,
    "Clc1ccc(cc1)Cl": 3.4, "CCN(CC)CC": 1.5, "NCc1ccccc1": 1.1, "c1ccncc1": 0.7, "CCOC(C)=O": 0.7, "ClC(Cl)Cl": 2.0,
}  # fmt: skip

# Leo, Hansch and Elkins, Chem. Rev. 1971, 71, 525 (ether, chloroform, benzene, alkanes); mutual solubilities after
# Riddick; the distribution of iodine is the classical class experiment.
HANDBOOK = [
    ("CC(=O)O", "diethyl_ether", -0.35),
    ("OC(=O)c1ccccc1", "diethyl_ether", 1.9),
    ("Oc1ccccc1", "diethyl_ether", 1.65),
    ("Nc1ccccc1", "diethyl_ether", 0.85),
    ("OCCO", "diethyl_ether", -2.3),
    ("NC(N)=O", "diethyl_ether", -3.3),
    ("CCC(=O)O", "diethyl_ether", 0.27),
    ("CC(=O)O", "chloroform", -1.5),
    ("CC(C)=O", "chloroform", 0.7),
    ("Oc1ccccc1", "chloroform", 0.35),
    ("N", "chloroform", -1.4),
    ("Cn1cnc2c1c(=O)n(C)c(=O)n2C", "chloroform", 0.9),
    ("II", "carbon_tetrachloride", 1.93),
    ("CC(=O)O", "benzene", -2.0),
    ("Nc1ccccc1", "toluene", 0.9),
    ("Oc1ccccc1", "hexane", -0.95),
    ("Oc1ccccc1", "cyclohexane", -0.8),
    ("CCOC(C)=O", "ethyl_acetate", 1.06),
    ("O", "ethyl_acetate", -1.53),
    ("O", "diethyl_ether", -1.98),
    ("O", "1-octanol", -1.38),
    ("ClCCl", "dichloromethane", 1.87),
    ("O", "toluene", -3.5),
    ("c1ccc2ccccc2c1", "hexane", 3.4),
    ("Cc1ccccc1", "heptane", 2.85),
    ("CCCCCC(=O)O", "diethyl_ether", 1.95),
    ("CC(=O)c1ccccc1", "hexane", 1.1),
]

# McGowan volumes, (cm3/mol)/100; Abraham and McGowan, Chromatographia 1987, 23, 243
MCGOWAN = {
    "O": 0.1673, "CCO": 0.4491, "CC(C)=O": 0.5470, "CC#N": 0.4042, "CS(C)=O": 0.6126, "CC(=O)O": 0.4648,
    "ClC(Cl)Cl": 0.6167, "c1ccccc1": 0.7164, "Cc1ccccc1": 0.8573, "c1ccncc1": 0.6753, "Oc1ccccc1": 0.7751,
    "c1ccc2ccccc2c1": 1.0854, "CCCCCC": 0.9540, "CCN(CC)CC": 1.0538,
}  # fmt: skip

# Solvents that mix with water: where they go in a funnel. Infinite-dilution values; Leo 1971 for ether, solvation
# equations with measured descriptors (Abraham and co-workers) and liquid-liquid equilibria elsewhere.
MISCIBLE = {
    "CC(C)=O": {"dichloromethane": 0.5, "ethyl_acetate": 0.1, "diethyl_ether": -0.2},
    "CCO": {"dichloromethane": -0.9, "ethyl_acetate": -0.5, "diethyl_ether": -0.55},
    "CO": {"dichloromethane": -1.5, "ethyl_acetate": -0.9, "diethyl_ether": -1.15},
    "CN(C)C=O": {"dichloromethane": -0.2, "ethyl_acetate": -1.15, "diethyl_ether": -1.6},
    "CS(C)=O": {"dichloromethane": -0.9, "ethyl_acetate": -1.9, "diethyl_ether": -2.7},
    "CC#N": {"dichloromethane": 0.5, "ethyl_acetate": 0.15, "diethyl_ether": -0.2},
    "C1CCOC1": {"dichloromethane": 1.0, "ethyl_acetate": 0.45, "diethyl_ether": 0.25},
}


@pytest.fixture
def fragments_only(monkeypatch: pytest.MonkeyPatch):
    """Judge without any measured value."""
    monkeypatch.setattr(partition, "measured_log_p", lambda key: (None, ""))
    monkeypatch.setattr(partition, "_measured", lambda neutral, key: {})
    return lambda smiles, solvent: partition._judge(molecules(smiles)[0].mol).log_k[solvent]


@pytest.mark.parametrize(("smiles", "solvent", "value"), HANDBOOK)
def test_handbook_log_k(smiles: str, solvent: str, value: float) -> None:
    found = log_k(smiles, solvent)
    assert found.value == pytest.approx(value, abs=0.4)
    assert abs(found.value - value) < 3 * found.sigma


def test_measured_log_p_is_used() -> None:
    errors = [log_k(s, "1-octanol").value - v for s, v in LOG_P.items()]
    assert max(map(abs, errors)) < 0.5
    assert log_k("COc1ccccc1", "1-octanol").tier == "measured"
    assert log_k("COc1ccccc1", "toluene").tier == "measured octanol"


def test_fragments_alone_give_log_p(fragments_only) -> None:
    errors = [fragments_only(s, "1-octanol").value - v for s, v in LOG_P.items()]
    assert (sum(e * e for e in errors) / len(errors)) ** 0.5 < 0.4
    assert max(map(abs, errors)) < 1.2


def test_sigma_is_honest(fragments_only) -> None:
    found = {s: fragments_only(s, "1-octanol") for s in LOG_P}
    ratios = [abs(k.value - LOG_P[s]) / k.sigma for s, k in found.items()]
    assert 0.55 <= sum(r < 1 for r in ratios) / len(ratios) <= 0.95
    assert sum(r < 2 for r in ratios) / len(ratios) >= 0.88


def test_fragments_alone_against_handbook(fragments_only) -> None:
    organic = [row for row in HANDBOOK if row[0] not in ("O", "N", "II") and row[0] != "NC(N)=O"]
    errors = [fragments_only(s, solvent).value - v for s, solvent, v in organic]
    assert (sum(e * e for e in errors) / len(errors)) ** 0.5 < 0.5


@pytest.mark.parametrize("smiles", MISCIBLE)
def test_miscible_solvents(smiles: str) -> None:
    for solvent, value in MISCIBLE[smiles].items():
        assert log_k(smiles, solvent).value == pytest.approx(value, abs=0.5), solvent


@pytest.mark.parametrize(("smiles", "volume"), MCGOWAN.items())
def test_mcgowan_volume(smiles: str, volume: float) -> None:
    assert pytest.approx(volume, abs=5e-4) == descriptors(molecules(smiles)[0]).V


@pytest.mark.parametrize(
    "smiles",
    [
        "CC(=O)Nc1ccc(O)cc1",
        "O=C(O)C[C@H](N)Cc1ccccc1",
        "Oc1ccccn1",
        "CC(C)(C)OC(=O)N1CCC(CC1)c1nc2ccccc2[nH]1",
        "NC(N)=O",
    ],
)
def test_writing_does_not_matter(smiles: str) -> None:
    mol = Chem.MolFromSmiles(smiles)
    variants = {Chem.MolToSmiles(mol, doRandom=True) for _ in range(8)}
    assert len({log_k(v, "ethyl_acetate") for v in variants}) == 1


@pytest.mark.parametrize(
    ("ion", "neutral"),
    [
        ("CC(=O)[O-].[Na+]", "CC(=O)O"),
        ("C[NH2+]Cc1ccccc1.[Cl-]", "CNCc1ccccc1"),
        ("c1cc[nH+]cc1", "c1ccncc1"),
        ("[O-]c1ccc([N+](=O)[O-])cc1", "Oc1ccc([N+](=O)[O-])cc1"),
        ("[NH3+]CC(=O)[O-]", "NCC(=O)O"),
        ("NC(=[NH2+])NCc1ccccc1", "NC(=N)NCc1ccccc1"),
        ("CC(=O)[N-]S(=O)(=O)c1ccccc1", "CC(=O)NS(=O)(=O)c1ccccc1"),
    ],
)
def test_ions_are_judged_as_neutral(ion: str, neutral: str) -> None:
    for solvent in ("1-octanol", "dichloromethane", "hexane"):
        assert log_k(ion, solvent) == log_k(neutral, solvent)


@pytest.mark.parametrize(
    ("written", "usual"),
    [
        ("Oc1ccccn1", "O=c1cccc[nH]1"),
        ("CC(O)=NCc1ccccc1", "CC(=O)NCc1ccccc1"),
        ("Sc1nc2ccccc2[nH]1", "S=c1[nH]c2ccccc2[nH]1"),
        ("Oc1ccncc1", "O=c1cc[nH]cc1"),
    ],
)
def test_tautomers_agree(written: str, usual: str) -> None:
    assert log_k(written, "dichloromethane") == log_k(usual, "dichloromethane")


def test_unknown_solvent_is_named() -> None:
    with pytest.raises(ValueError, match=r"'brine' has no partition equation; .*diethyl_ether.*1-octanol"):
        log_k("CCO", "brine")


def test_solvents() -> None:
    wanted = (
        "diethyl_ether mtbe 2-methf cpme ethyl_acetate isopropyl_acetate dichloromethane chloroform 1,2-dichloroethane "
        "toluene hexane heptane cyclohexane 1-butanol mibk 2-butanone 1-octanol isobutanol n-butyl_acetate"
    )
    assert set(wanted.split()) <= set(SOLVENTS)
    assert tuple(table(partition.SolventEquation)) == SOLVENTS


def test_order_of_solvents() -> None:
    acid, alkane = "OC(=O)c1ccc(C)cc1", "CCCCCCCCCC"
    assert log_k(acid, "ethyl_acetate").value > log_k(acid, "dichloromethane").value > log_k(acid, "hexane").value
    assert all(log_k(alkane, s).value > 3.5 for s in SOLVENTS if s not in ("1-butanol", "isobutanol"))


def test_mixture_lies_between() -> None:
    molecule = molecules("CC(=O)Nc1ccccc1")[0]
    ends = [molecule_log_k(molecule, s) for s in ("hexane", "ethyl_acetate")]
    middle = mixed_log_k(molecule, {"hexane": 2.0, "ethyl_acetate": 2.0})
    assert middle.value == pytest.approx((ends[0].value + ends[1].value) / 2)
    assert middle.sigma > (ends[0].sigma + ends[1].sigma) / 2
    with pytest.raises(ValueError, match="no mixture"):
        mixed_log_k(molecule, {})


def test_ion_pairs() -> None:
    acid = molecules("CCCCCCCCCC(=O)O")[0]
    assert ion_pair_shift(acid, "1-octanol", -1) == (-3.6, 0.6)
    assert ion_pair_shift(acid, "ethyl_acetate", 0) == (0.0, 0.0)
    sodium, chloride = (ion_pair_shift(acid, "dichloromethane", charge) for charge in (-1, 1))
    assert sodium[0] < chloride[0] < -3.6
    assert ion_pair_shift(acid, "hexane", -2)[0] == 2 * ion_pair_shift(acid, "hexane", -1)[0]


def test_permanent_ions() -> None:
    small, large = molecules("C[N+](C)(C)C.[Cl-]")[0], molecules("CCCC[N+](CCCC)(CCCC)CCCC.[Br-]")[0]
    assert permanent_ion_log_k(small, "ethyl_acetate").log_k < -3
    found = permanent_ion_log_k(large, "dichloromethane", "bromide")
    assert found.log_k > 0
    assert found.sigma >= 0.8
    assert "chlorinated" in found.note
    chloride = permanent_ion_log_k(large, "dichloromethane")
    assert molecule_log_k(large, "dichloromethane").value == chloride.log_k < found.log_k


# log K(ex) of tetrabutylammonium salts between chloroform and water, as the literature on phase-transfer catalysis quotes
# Brandstrom, Preparative Ion Pair Extraction, 1974; recalled. At 1 mol/L of the anion log K of the pair is log K(ex).
EXTRACTED = [("chloride", -0.1), ("bromide", 1.3), ("nitrate", 1.4), ("iodide", 3.0), ("perchlorate", 3.5)]


@pytest.mark.parametrize(("anion", "log_kex"), EXTRACTED)
def test_ion_pair_extraction(anion: str, log_kex: float) -> None:
    found = permanent_ion_log_k(molecules("CCCC[N+](CCCC)(CCCC)CCCC.[Br-]")[0], "chloroform", anion)
    assert found.log_k == pytest.approx(log_kex, abs=0.4)


def test_counter_ion_of_a_salt() -> None:
    assert counter_ion(["CC[NH+](CC)CC", "[Br-]"]) == "bromide"
    assert counter_ion(["CCN(CC)CC", "I"]) == "iodide"
    assert counter_ion(["CCN(CC)CC"]) == "chloride"
    amine = molecules("CCCCN(CCCC)CCCC")[0]
    shifts = [ion_pair_shift(amine, "dichloromethane", 1, x)[0] for x in ("chloride", "bromide", "perchlorate")]
    assert shifts == sorted(shifts)


def test_salts_and_mineral_acids_stay_in_water() -> None:
    for smiles in ("[Na+].[Cl-]", "OS(=O)(=O)O", "NN"):
        assert log_k(smiles, "ethyl_acetate").value <= -3


def test_setschenow() -> None:
    benzene = molecules("c1ccccc1")[0]
    # McDevit and Long, J. Am. Chem. Soc. 1952, 74, 1773: 0.195 for NaCl, 0.548 for Na2SO4
    assert setschenow(benzene, 2.13) == pytest.approx(0.195, abs=0.02)
    assert setschenow(benzene, 2.13, "Na2SO4") == pytest.approx(0.548, abs=0.05)
    assert setschenow(molecules("C[N+](C)(C)C")[0], -4) == 0
    with pytest.raises(ValueError, match="NaCl"):
        setschenow(benzene, 2.13, "XyZ")


def test_tables_are_sound() -> None:
    sources = table(Source)
    for row in table(partition.MeasuredLogK).values():
        assert row.solvent in SOLVENTS and row.source in sources and row.sigma > 0, row.id
        assert row.id == f"{row.name} / {row.solvent}"
        assert Chem.MolFromSmiles(row.smiles) is not None
    for kind in (
        solute.SoluteFragment,
        partition.SolventEquation,
        partition.SaltingOut,
        partition.LogKCorrection,
        IonPair,
        CounterIon,
        Inorganic,
    ):
        assert all(row.source in sources for row in table(kind).values())
    index = table(partition.OctanolLogP)
    assert all(row.source in sources for row in index.values())
    assert all(partition.measured_log_p(k) == (r.log_p, r.source) for k, r in index.items())
    for row in table(solute.SoluteFragment).values():
        assert (row.smarts == "") == (row.id in solute.COMPUTED)


def test_needed_elements_hide_nothing() -> None:
    counter = partition._counter()
    for smiles in (*LOG_P, "CC[Si](C)(C)OCCBr", "OB(O)c1ccccc1I", "COP(=S)(OC)SCF", "CN(C)C(=S)NN=Cc1nnn[nH]1"):
        mol = solute.neutral_form(Chem.MolFromSmiles(smiles))
        for index, pattern in counter._patterns:
            if not pattern.possible(holdings(mol)):
                assert not mol.HasSubstructMatch(pattern.query), (smiles, counter.ids[index])


def test_the_elements_that_a_fragment_needs_stand_in_its_smarts() -> None:
    number = Chem.GetPeriodicTable().GetAtomicNumber
    for row in table(solute.SoluteFragment).values():
        assert {f"{number(symbol)} x1" for symbol in row.needs} <= needs(row.smarts), row.id


def test_boundary_is_told() -> None:
    found = log_k("C[Hg]C", "toluene")
    assert "Hg" in found.note
    assert found.sigma > log_k("CCC", "toluene").sigma
    assert "zwitterion" in log_k("NCCCC(=O)O", "1-octanol").note


@pytest.mark.parametrize(
    ("smiles", "form"),
    [
        ("NC(Cc1ccccc1)C(=O)O", "zwitterion"),
        ("CC(=O)NC(Cc1ccccc1)C(=O)O", "neutral form"),
        ("CCCC[N+](CCCC)(CCCC)CCCC.[Br-]", "ion pair"),
    ],
)
def test_what_a_log_k_is_for(smiles: str, form: str) -> None:
    assert partition.log_k(smiles, "1-octanol").form == form


def test_log_d_of_an_amino_acid_is_that_of_its_zwitterion() -> None:
    """Phenylalanine keeps its measured -1.4 from pH 3 to 8 (log P collections); acid and base take it into the water."""
    values = [distribution("NC(Cc1ccccc1)C(=O)O", "1-octanol", ph).value for ph in (0.5, 5.5, 7.0, 12.0)]
    assert values[1] == pytest.approx(-1.41, abs=0.1) and values[2] == pytest.approx(values[1], abs=0.05)
    assert values[0] < values[1] - 1.0 and values[3] < values[1] - 1.5


def test_log_d_of_a_pyridine_acid_at_its_isoelectric_ph_is_what_was_measured() -> None:
    """Nicotinic acid, 0.36 in the log P collections, has no net charge between its pKa of 2.0 and 4.8 and is a zwitterion there."""
    assert distribution("O=C(O)c1cccnc1", "1-octanol", 3.4).value == pytest.approx(0.36, abs=0.1)
    assert distribution("O=C(O)c1cccnc1", "1-octanol", 7.4).value < -1.5
