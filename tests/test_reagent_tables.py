"""The tables of reagents and solvents: every row read, every structure checked."""

from __future__ import annotations

import re

import pytest
from rdkit import Chem
from rdkit.Chem.rdMolDescriptors import CalcMolFormula

from washlore.knowledge.rows import Reagent, Solvent, Source, table
from washlore.knowledge.structure import canonical_smiles, parse

REAGENTS = list(table(Reagent).values())
SOLVENTS = list(table(Solvent).values())
BY_NAME = {row.name: row for row in REAGENTS}

# Written down from the compounds' known formulas, not from the SMILES.
FORMULAS = {
    "triethylamine": "C6H15N",
    "N,N-diisopropylethylamine": "C8H19N",
    "DBU": "C9H16N2",
    "DABCO": "C6H12N2",
    "DMAP": "C7H10N2",
    "2,6-lutidine": "C7H9N",
    "imidazole": "C3H4N2",
    "TMEDA": "C6H16N2",
    "potassium carbonate": "CK2O3",
    "caesium carbonate": "CCs2O3",
    "sodium hydride": "HNa",
    "potassium tert-butoxide": "C4H9KO",
    "lithium diisopropylamide": "C6H14LiN",
    "lithium bis(trimethylsilyl)amide": "C6H18LiNSi2",
    "n-butyllithium": "C4H9Li",
    "methylmagnesium bromide": "CH3BrMg",
    "turbo Grignard": "C3H7Cl2LiMg",
    "diethylzinc": "C4H10Zn",
    "p-toluenesulfonic acid": "C7H8O3S",
    "camphorsulfonic acid": "C10H16O4S",
    "PPTS": "C12H13NO3S",
    "trifluoromethanesulfonic acid": "CHF3O3S",
    "citric acid": "C6H8O7",
    "tartaric acid": "C4H6O6",
    "DCC": "C13H22N2",
    "DCU": "C13H24N2O",
    "DIC": "C7H14N2",
    "EDCI": "C8H17N3",
    "EDC hydrochloride": "C8H18ClN3",
    "EDU": "C8H19N3O",
    "HOBt": "C6H5N3O",
    "HOAt": "C5H4N4O",
    "Oxyma": "C5H6N2O3",
    "HATU": "C10H15F6N6OP",
    "HBTU": "C11H16F6N5OP",
    "TBTU": "C11H16BF4N5O",
    "HCTU": "C11H15ClF6N5OP",
    "COMU": "C12H19F6N4O4P",
    "TSTU": "C9H16BF4N3O3",
    "BOP": "C12H22F6N6OP2",
    "PyBOP": "C18H28F6N6OP2",
    "PyBrOP": "C12H24BrF6N3P2",
    "tripyrrolidinophosphine oxide": "C12H24N3OP",
    "hexamethylphosphoramide": "C6H18N3OP",
    "CDI": "C7H6N4O",
    "T3P": "C9H21O6P3",
    "DPPA": "C12H10N3O3P",
    "DMT-MM": "C10H17ClN4O3",
    "EEDQ": "C14H17NO3",
    "MNBA": "C16H12N2O7",
    "Lawesson's reagent": "C14H14O2P2S4",
    "Burgess reagent": "C8H18N2O4S",
    "triphosgene": "C3Cl6O3",
    "di-tert-butyl dicarbonate": "C10H18O5",
    "benzyl chloroformate": "C8H7ClO2",
    "Fmoc chloride": "C15H11ClO2",
    "Fmoc-OSu": "C19H15NO5",
    "dibenzofulvene": "C14H10",
    "isobutyl chloroformate": "C5H9ClO2",
    "trityl chloride": "C19H15Cl",
    "DMTrCl": "C21H19ClO2",
    "tert-butyldimethylsilyl chloride": "C6H15ClSi",
    "triisopropylsilyl chloride": "C9H21ClSi",
    "tert-butyldiphenylsilyl chloride": "C16H19ClSi",
    "hexamethyldisilazane": "C6H19NSi2",
    "trimethylsilyl triflate": "C4H9F3O3SSi",
    "chloromethyl methyl ether": "C2H5ClO",
    "3,4-dihydro-2H-pyran": "C5H8O",
    "4-methoxybenzyl chloride": "C8H9ClO",
    "acetic anhydride": "C4H6O3",
    "p-toluenesulfonyl chloride": "C7H7ClO2S",
    "methanesulfonyl chloride": "CH3ClO2S",
    "triflic anhydride": "C2F6O5S2",
    "PhNTf2": "C8H5F6NO4S2",
    "Comins' reagent": "C7H3ClF6N2O4S2",
    "mCPBA": "C7H5ClO3",
    "3-chlorobenzoic acid": "C7H5ClO2",
    "N-bromosuccinimide": "C4H4BrNO2",
    "N-chlorosuccinimide": "C4H4ClNO2",
    "sodium periodate": "INaO4",
    "Dess-Martin periodinane": "C13H13IO8",
    "2-iodoxybenzoic acid": "C7H5IO4",
    "(diacetoxyiodo)benzene": "C10H11IO4",
    "[bis(trifluoroacetoxy)iodo]benzene": "C10H5F6IO4",
    "PCC": "C5H6ClCrNO3",
    "PDC": "C10H12Cr2N2O7",
    "osmium tetroxide": "O4Os",
    "TPAP": "C12H28NO4Ru",
    "DDQ": "C8Cl2N2O2",
    "DDQH2": "C8H2Cl2N2O2",
    "chloranil": "C6Cl4O2",
    "Oxone": "HKO5S",
    "TEMPO": "C9H18NO",
    "N-methylmorpholine N-oxide": "C5H11NO2",
    "oxalyl chloride": "C2Cl2O2",
    "ceric ammonium nitrate": "CeH8N8O18",
    "Selectfluor": "C7H14B2ClF9N2",
    "NFSI": "C12H10FNO4S2",
    "sulfur trioxide pyridine complex": "C5H5NO3S",
    "lithium aluminium hydride": "AlH4Li",
    "sodium borohydride": "BH4Na",
    "sodium cyanoborohydride": "CH3BNNa",
    "sodium triacetoxyborohydride": "C6H10BNaO6",
    "DIBAL-H": "C8H19Al",
    "Red-Al": "C6H16AlNaO4",
    "borane-THF": "C4H11BO",
    "borane dimethyl sulfide": "C2H9BS",
    "9-BBN": "C8H15B",
    "L-Selectride": "C12H28BLi",
    "tributyltin hydride": "C12H28Sn",
    "hexabutylditin": "C24H54Sn2",
    "triethylsilane": "C6H16Si",
    "TTMSS": "C9H28Si4",
    "sodium thiosulfate": "Na2O3S2",
    "sodium metabisulfite": "Na2O5S2",
    "ascorbic acid": "C6H8O6",
    "Hantzsch ester": "C13H19NO4",
    "thionyl chloride": "Cl2OS",
    "phosphorus oxychloride": "Cl3OP",
    "phosphorus pentoxide": "O10P4",
    "boron tribromide": "BBr3",
    "boron trifluoride etherate": "C4H10BF3O",
    "titanium isopropoxide": "C12H28O4Ti",
    "scandium triflate": "C3F9O9S3Sc",
    "DAST": "C4H10F3NS",
    "Deoxo-Fluor": "C6H14F3NO2S",
    "HF-pyridine": "C5H6FN",
    "TBAF": "C16H36FN",
    "TBAHS": "C16H37NO4S",
    "18-crown-6": "C12H24O6",
    "triphenylphosphine": "C18H15P",
    "triphenylphosphine oxide": "C18H15OP",
    "BINAP": "C44H32P2",
    "Xantphos": "C39H32OP2",
    "XPhos": "C33H49P",
    "SPhos": "C26H35O2P",
    "TCEP": "C9H15O6P",
    "DEAD": "C6H10N2O4",
    "DIAD": "C8H14N2O4",
    "diisopropyl hydrazine-1,2-dicarboxylate": "C8H16N2O4",
    "ADDP": "C12H20N4O2",
    "methyltriphenylphosphonium bromide": "C19H18BrP",
    "triethyl phosphonoacetate": "C8H17O5P",
    "Bestmann-Ohira reagent": "C5H9N2O4P",
    "copper(I) iodide": "CuI",
    "tetrakis(triphenylphosphine)palladium(0)": "C72H60P4Pd",
    "Pd2(dba)3": "C51H42O3Pd2",
    "PdCl2(dppf)": "C34H28Cl2FeP2Pd",
    "Grubbs I catalyst": "C43H72Cl2P2Ru",
    "Grubbs II catalyst": "C46H65Cl2N2PRu",
    "Hoveyda-Grubbs II catalyst": "C31H38Cl2N2ORu",
    "Wilkinson's catalyst": "C54H45ClP3Rh",
    "dicobalt octacarbonyl": "C8Co2O8",
    "Schwartz's reagent": "C10H11ClZr",
    "bis(pinacolato)diboron": "C12H24B2O4",
    "EDTA": "C10H16N2O8",
    "Rochelle salt": "C4H4KNaO6",
    "sodium azide": "N3Na",
    "trimethylsilyl azide": "C3H9N3Si",
    "tosyl azide": "C7H7N3O2S",
    "1,2-ethanedithiol": "C2H6S2",
    "dithiothreitol": "C4H10O2S2",
    "hydroxylamine hydrochloride": "ClH4NO",
    "sodium tetraborate": "B4Na2O7",
    "Meldrum's acid": "C6H8O4",
    "ethyl acetoacetate": "C6H10O3",
    "dimedone": "C8H12O2",
    "saccharin": "C7H5NO3S",
    "potassium phthalimide": "C8H4KNO2",
    "BHT": "C15H24O",
    "TosMIC": "C9H9NO2S",
    "chlorosulfonyl isocyanate": "CClNO3S",
    "hexamethylenetetramine": "C6H12N4",
    "Togni reagent II": "C8H4F3IO2",
}

NON_METALS = frozenset(["B", "C", "N", "O", "Si", "P", "S"])
GREENNESS = {9.0: "recommended", 5.0: "problematic", 2.0: "hazardous", 1.0: "highly hazardous"}
NEEDED_SOLVENTS = set(
    re.findall(
        r"\S+",
        """diethyl_ether mtbe 2-methf cpme ethyl_acetate isopropyl_acetate n-butyl_acetate dichloromethane
chloroform 1,2-dichloroethane toluene benzene xylene chlorobenzene hexane heptane pentane cyclohexane petroleum_ether
1-butanol isobutanol mibk 2-butanone 1-octanol diisopropyl_ether carbon_tetrachloride methyl_acetate thf 1,4-dioxane
acetonitrile methanol ethanol isopropanol n-propanol tert-butanol acetone dmf dma dmso nmp hmpa dmpu acetic_acid
pyridine 1,2-dimethoxyethane diglyme formic_acid tfa trifluoroethanol hfip triethylamine nitromethane sulfolane
ethylene_glycol glycerol water carbon_disulfide propylene_carbonate gamma-valerolactone cyrene dimethyl_carbonate
anisole trifluorotoluene formamide tert-amyl_alcohol""",
    )
)


def counts(formula: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for symbol, number in re.findall(r"([A-Z][a-z]?)(\d*)", formula):
        found[symbol] = found.get(symbol, 0) + int(number or 1)
    return found


def test_enough_rows() -> None:
    assert len(REAGENTS) >= 350
    assert len(SOLVENTS) >= 50
    assert not NEEDED_SOLVENTS - set(table(Solvent))


@pytest.mark.parametrize("row", REAGENTS + SOLVENTS, ids=lambda row: f"{row.table}-{row.id}")
def test_structure_of_every_row(row: Reagent | Solvent) -> None:
    mol = parse(row.smiles)
    assert Chem.GetFormalCharge(mol) == 0, "a bottle holds no net charge"
    radicals = sum(a.GetNumRadicalElectrons() for a in mol.GetAtoms() if a.GetSymbol() in NON_METALS)
    assert radicals == {"tempo": 1, "4-hydroxy-tempo": 1, "red_phosphorus": 3, "activated_carbon": 4}.get(row.id, 0)


@pytest.mark.parametrize("row", REAGENTS + SOLVENTS, ids=lambda row: f"{row.table}-{row.id}")
def test_cells_of_every_row(row: Reagent | Solvent) -> None:
    assert row.source in table(Source)
    assert row.id == row.id.lower() and " " not in row.id
    assert row.name and row.name == row.name.strip()
    assert all(alias and alias == alias.strip() and ";" not in alias for alias in row.aliases)
    assert len(set(row.aliases)) == len(row.aliases)
    if row.boiling_c is not None:
        assert -273 < row.boiling_c < 300


@pytest.mark.parametrize(("name", "formula"), FORMULAS.items())
def test_formula(name: str, formula: str) -> None:
    assert counts(CalcMolFormula(parse(BY_NAME[name].smiles))) == counts(formula)


def test_enough_formulas() -> None:
    assert len(FORMULAS) >= 80


@pytest.mark.parametrize("name", ["L-proline", "phenylalanine methyl ester hydrochloride"])
def test_amino_acids_are_l(name: str) -> None:
    centres = Chem.FindMolChiralCenters(parse(BY_NAME[name].smiles), useLegacyImplementation=False)
    assert [label for _, label in centres] == ["S"]


@pytest.mark.parametrize("row", REAGENTS, ids=lambda row: row.id)
def test_volatile_reagents(row: Reagent) -> None:
    assert row.use
    # Without a boiling point a row must not claim a source of numbers.
    assert row.boiling_c is not None or row.source in ("common_practice", "from_memory")


def test_rows_that_share_a_structure_agree() -> None:
    solvents = {canonical_smiles(row.smiles): row for row in SOLVENTS}
    shared = [(row, solvents[s]) for row in REAGENTS if (s := canonical_smiles(row.smiles)) in solvents]
    assert {row.name for row, _ in shared} >= {"triethylamine", "pyridine", "acetic acid"}
    for reagent, solvent in shared:
        assert reagent.name == solvent.name or solvent.note.startswith("Mixture:")
        assert reagent.boiling_c is None or abs(reagent.boiling_c - solvent.boiling_c) < 1.0


@pytest.mark.parametrize("row", SOLVENTS, ids=lambda row: row.id)
def test_solvent(row: Solvent) -> None:
    assert 0.6 < row.density_g_ml < 1.7
    assert row.miscibility in ("miscible", "partly", "immiscible")
    assert row.waste_class == ("halogenated" if row.halogenated else "non-halogenated")
    halogen = any(a.GetSymbol() in ("F", "Cl", "Br", "I") for a in parse(row.smiles).GetAtoms())
    assert row.halogenated == halogen
    if row.miscibility == "miscible":
        assert row.water_held_wt_pct is None and row.in_water_wt_pct is None
        assert not row.log_k_key and not row.extractant
    else:
        assert row.in_water_wt_pct is not None and row.in_water_wt_pct < 30
        assert row.water_held_wt_pct is None or row.water_held_wt_pct < 45
    if row.miscibility == "immiscible":
        assert row.in_water_wt_pct is not None and row.in_water_wt_pct < 10
    if row.extractant:
        assert row.log_k_key and row.water_held_wt_pct is not None
    assert (row.azeotrope_c is None) == (row.azeotrope_water_wt_pct is None)
    if row.azeotrope_c is not None:
        highest = "maximum" in row.note
        assert row.azeotrope_c < 100 or highest
        assert (row.azeotrope_c > row.boiling_c) == highest
    if row.greenness is not None:
        assert f'Greenness {row.greenness:g} for "{GREENNESS[row.greenness]}" in prat2016' in row.note


def test_solvent_equations_exist() -> None:
    partition = pytest.importorskip("washlore.knowledge.partition")
    equations = set(table(partition.SolventEquation))
    assert {row.log_k_key for row in SOLVENTS if row.log_k_key} <= equations
    assert all(row.log_k_key == row.id for row in SOLVENTS if row.id in equations)


def test_peroxide_formers() -> None:
    formers = {row.id for row in SOLVENTS if row.peroxide_former}
    assert formers >= {"diethyl_ether", "diisopropyl_ether", "thf", "1,4-dioxane", "2-methf", "1,2-dimethoxyethane"}
    assert not formers & {"ethyl_acetate", "dichloromethane", "toluene", "mtbe"}
