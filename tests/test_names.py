"""Names, abbreviations, formulas and SMILES: what each is read as, and what is asked."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from washlore.knowledge.names import (
    CHEMICALS,
    REAGENT_TABLE,
    SMILES,
    SOLVENT_TABLE,
    Named,
    NameProblem,
    display_name,
    resolve,
)
from washlore.knowledge.rows import Reagent, Solvent, table
from washlore.knowledge.structure import canonical_smiles

# Names that chemists use for more than one compound, and that are asked about on purpose.
AMBIGUOUS = {
    "2,4-DNP": {"2,4-dinitrophenylhydrazine", "2,4-dinitrophenol"},
    "BSA": {"benzenesulfonic acid", "N,O-bis(trimethylsilyl)acetamide"},
    "DBF": {"dibenzofulvene", "dibenzofuran"},
    "DEPC": {"diethyl cyanophosphonate", "diethyl pyrocarbonate"},
    "DEA": {"diethylamine", "diethanolamine"},
    "DMA": {"N,N-dimethylaniline", "N,N-dimethylacetamide"},
    "DMP": {"Dess-Martin periodinane", "2,2-dimethoxypropane"},
    "DMS": {"dimethyl sulfide", "dimethyl sulfate"},
    "DTBP": {"2,6-di-tert-butylpyridine", "di-tert-butyl peroxide"},
    "EDA": {"ethyl diazoacetate", "ethylenediamine"},
    "EDC": {"EDCI", "1,2-dichloroethane"},
    "HMPT": {"hexamethylphosphoramide", "tris(dimethylamino)phosphine"},
    "NEM": {"N-ethylmorpholine", "N-ethylmaleimide"},
    "TBA": {"tributylamine", "tert-butanol"},
    "TEP": {"triethyl phosphite", "triethyl phosphate"},
    "TMA": {"trimethylamine", "trimethylaluminium"},
    "TMP": {"2,2,6,6-tetramethylpiperidine", "trimethyl phosphate"},
    "NsCl": {"4-nitrobenzenesulfonyl chloride", "2-nitrobenzenesulfonyl chloride"},
    "nosyl chloride": {"4-nitrobenzenesulfonyl chloride", "2-nitrobenzenesulfonyl chloride"},
    "aminobenzoic acid": {"4-aminobenzoic acid", "anthranilic acid"},
    "chlorobenzoic acid": {"2-chlorobenzoic acid", "3-chlorobenzoic acid", "4-chlorobenzoic acid"},
    "cresol": {"o-cresol", "m-cresol", "p-cresol"},
    "dichlorobenzene": {"1,2-dichlorobenzene", "1,4-dichlorobenzene"},
    "naphthol": {"1-naphthol", "2-naphthol"},
    "nitrophenol": {"2-nitrophenol", "3-nitrophenol", "4-nitrophenol"},
    "picoline": {"2-picoline", "3-picoline", "4-picoline"},
    "propanol": {"isopropanol", "1-propanol"},
    "toluidine": {"o-toluidine", "m-toluidine", "p-toluidine"},
}
ROWS = [*table(Reagent).values(), *table(Solvent).values()]
SPELLINGS = sorted({(spelled, row.smiles) for row in ROWS for spelled in (row.id, row.name, *row.aliases)})


def problem(text: str, **options: bool) -> NameProblem:
    with pytest.raises(NameProblem) as caught:
        resolve(text, **options)
    return caught.value


def test_every_spelling_of_the_tables() -> None:
    ambiguous = {name.casefold() for name in AMBIGUOUS}
    wrong = []
    for spelled, smiles in SPELLINGS:
        if spelled.casefold() in ambiguous:
            continue
        if resolve(spelled).smiles != canonical_smiles(smiles):
            wrong.append(spelled)
    assert not wrong


def test_every_name_is_unambiguous() -> None:
    for row in ROWS:
        assert resolve(row.name).name in (row.name, "xylene", "m-xylene")


@pytest.mark.parametrize(("text", "names"), AMBIGUOUS.items())
def test_ambiguous(text: str, names: set[str]) -> None:
    asked = problem(text)
    assert set(asked.candidates) == names
    for name in names:
        assert name in str(asked)
        assert resolve(name).name == name


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("EDC", "1,2-dichloroethane"),
        ("DMA", "N,N-dimethylacetamide"),
        ("TBA", "tert-butanol"),
        ("DCM", "dichloromethane"),
    ],
)
def test_solvent_preferred(text: str, name: str) -> None:
    named = resolve(text, prefer_solvent=True)
    assert (named.name, named.origin) == (name, SOLVENT_TABLE)


def test_solvent_preferred_still_finds_reagents() -> None:
    assert resolve("NBS", prefer_solvent=True).origin == REAGENT_TABLE
    assert set(problem("propanol", prefer_solvent=True).candidates) == AMBIGUOUS["propanol"]


def test_a_compound_in_both_tables_is_not_ambiguous() -> None:
    assert resolve("Et3N").origin == REAGENT_TABLE
    assert resolve("Et3N", prefer_solvent=True).origin == SOLVENT_TABLE
    assert resolve("Et3N").smiles == resolve("Et3N", prefer_solvent=True).smiles


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("EDC·HCl", "EDC hydrochloride"),
        ("EDC•HCl", "EDC hydrochloride"),
        ("EDC.HCl", "EDC hydrochloride"),
        ("edc hcl", "EDC hydrochloride"),
        ("BF3·OEt2", "boron trifluoride etherate"),
        ("BF₃·Et₂O", "boron trifluoride etherate"),
        ("H₂SO₄", "sulfuric acid"),
        ("Hünig’s base", "N,N-diisopropylethylamine"),
        ("hunigs base", "N,N-diisopropylethylamine"),
        ("iPr2NEt", "N,N-diisopropylethylamine"),
        ("n‑BuLi", "n-butyllithium"),
        ("nBuLi", "n-butyllithium"),
        ("N,N′-dicyclohexylcarbodiimide", "DCC"),
        ("tert butanol", "tert-butanol"),
        ("tert–butyl alcohol", "tert-butanol"),
        ("Meldrums acid", "Meldrum's acid"),
        ("γ-valerolactone", "gamma-valerolactone"),
        ("Selectfluor™", "Selectfluor"),
        ("pd/c", "palladium on carbon"),
        ("  EtOAc\t", "ethyl acetate"),
        ("\ufeffDMF\u200b", "N,N-dimethylformamide"),
        ("ether", "diethyl ether"),
        ("petrol", "petroleum ether"),
        ("2-MeTHF", "2-methyltetrahydrofuran"),
        ("aluminum chloride", "aluminium chloride"),
        ("sulphuric acid", "sulfuric acid"),
        ("DIBAL", "DIBAL-H"),
        ("Ph3P=O", "triphenylphosphine oxide"),
    ],
)
def test_spellings(text: str, name: str) -> None:
    assert resolve(text).name == name


def test_case_tells_apart_only_where_it_must() -> None:
    assert resolve("COCl2").name == "phosgene"
    assert resolve("CoCl2").name == "cobalt(II) chloride"
    assert set(problem("cocl2").candidates) == {"phosgene", "cobalt(II) chloride"}
    assert resolve("PDC").name == "PDC"
    assert resolve("pdc").name == "PDC"
    assert resolve("Co").name == "cobalt"
    assert resolve("CO").name == "methanol"
    assert resolve("Pd-C").name == resolve("pd-c").name == "palladium on carbon"
    assert set(problem("edc").candidates) == AMBIGUOUS["EDC"]
    assert set(problem("dma").candidates) == AMBIGUOUS["DMA"]


@pytest.mark.parametrize("text", ["NBS", "NCS", "PCC", "BOP", "CSI", "BrCN"])
def test_an_abbreviation_wins_over_the_same_letters_as_smiles(text: str) -> None:
    named = resolve(text)
    assert named.origin == REAGENT_TABLE
    forced = resolve(f"SMILES={text}")
    assert forced.origin == SMILES
    assert forced.smiles == canonical_smiles(text) != named.smiles


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("CO", "methanol"),
        ("CN", "methylamine"),
        ("CCO", "ethanol"),
        ("OCC", "ethanol"),
        ("I", "hydrogen iodide"),
        ("C1CCCCC1", "cyclohexane"),
        ("c1ccccc1", "benzene"),
        ("CCN(CC)CC", "triethylamine"),
        ("[Na+].[Cl-]", "sodium chloride"),
        ("CCCCCCCCO[Si](C)(C)C", "CCCCCCCCO[Si](C)(C)C"),
    ],
)
def test_smiles(text: str, name: str) -> None:
    named = resolve(text)
    assert (named.origin, named.name, named.smiles) == (SMILES, name, canonical_smiles(text))


@pytest.mark.parametrize(
    ("drawn", "name"),
    [
        ("N#C[Na]", "sodium cyanide"),
        ("N#C[Cu]", "copper(I) cyanide"),
        ("[Na]N=[N+]=[N-]", "sodium azide"),
        ("CC(C)(C)O[K]", "potassium tert-butoxide"),
        ("[Li]N(C(C)C)C(C)C", "lithium diisopropylamide"),
        ("O[Ca]O", "calcium hydroxide"),
        ("Cl[Mg]Cl", "magnesium chloride"),
        ("[Na]S[Na]", "sodium sulfide"),
    ],
)
def test_a_salt_drawn_with_a_bond_is_the_salt(drawn: str, name: str) -> None:
    assert resolve(drawn).name == name


@pytest.mark.parametrize("drawn", ["[Li]CCCC", "C[Mg]Br", "[Na]C#Cc1ccccc1", "C[Cu]C#N", "Cl[Zn]Cl", "[Na][K]"])
def test_a_metal_held_by_carbon_or_by_a_metal_stays(drawn: str) -> None:
    assert "." not in canonical_smiles(drawn)


def test_a_known_structure_brings_its_boiling_point() -> None:
    assert resolve("CCN(CC)CC").boiling_c == resolve("Et3N").boiling_c == 89
    assert resolve("CCCCCCCCO[Si](C)(C)C").boiling_c is None


@pytest.mark.parametrize("text", ["PBS", "BOC", "PC"])
def test_capitals_that_make_an_odd_hydride_are_asked_about(text: str) -> None:
    asked = problem(text)
    assert asked.candidates == (f"SMILES={text}",)
    assert resolve(asked.candidates[0]).origin == SMILES


@pytest.mark.parametrize(
    ("text", "smiles"),
    [
        ("ibuprofen", "CC(C)Cc1ccc(cc1)C(C)C(=O)O"),
        ("caffeine", "Cn1cnc2c1c(=O)n(C)c(=O)n2C"),
        ("4-methylbenzophenone", "Cc1ccc(cc1)C(=O)c1ccccc1"),
        ("58-08-2", "Cn1cnc2c1c(=O)n(C)c(=O)n2C"),
    ],
)
def test_chemicals(text: str, smiles: str) -> None:
    named = resolve(text)
    assert named.origin == CHEMICALS
    assert named.smiles == canonical_smiles(smiles)


def test_names_shown_for_chemicals() -> None:
    assert resolve("ibuprofen").name == "ibuprofen"
    assert resolve("58-08-2").name == "caffeine"
    # A CAS number of a compound in the tables takes their name and boiling point.
    assert resolve("121-44-8") == Named("121-44-8", "triethylamine", "CCN(CC)CC", CHEMICALS, 89.0)
    assert resolve("vanillin").origin == REAGENT_TABLE


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("trietylamine", "triethylamine"),
        ("benzoic acd", "benzoic acid"),
        ("dichlormethane", "dichloromethane"),
        ("etyl acetate", "ethyl acetate"),
        ("Pyboop", "PyBOP"),
        ("ibuprofn", "ibuprofen"),
        ("caffiene", "caffeine"),
        ("napthalene", "naphthalene"),
    ],
)
def test_near_matches(text: str, near: str) -> None:
    asked = problem(text)
    assert near in asked.candidates
    assert near in str(asked)
    for candidate in asked.candidates:
        resolve(candidate)


def test_nothing_near() -> None:
    asked = problem("qqzzxxj")
    assert asked.candidates == ()
    assert "SMILES" in str(asked)


@pytest.mark.parametrize(
    ("text", "bare"),
    [
        ("2 M HCl", "HCl"),
        ("conc. HCl", "HCl"),
        ("sat. aq. NaHCO3", "NaHCO3"),
        ("NaH (60% in mineral oil)", "NaH"),
        ("n-BuLi in hexanes", "n-BuLi"),
        ("1.5 equiv Et3N", "Et3N"),
    ],
)
def test_strength_and_state_are_not_part_of_a_name(text: str, bare: str) -> None:
    assert problem(text).candidates == (bare,)


@pytest.mark.parametrize("text", ["C7H6O2", "C6H12O6", "CH3CH2CH2Br", "C60"])
def test_a_formula_is_refused(text: str) -> None:
    assert "formula" in str(problem(text))


def test_a_formula_lists_what_the_tables_hold() -> None:
    assert problem("C7H6O2").candidates == ("benzoic acid", "salicylaldehyde")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("CC(=O)OC(", "do not pair"),
        ("c1ccccc", "SMILES"),
        ("C1CC", "SMILES"),
        ("CC(C)(C)(C)C", "valence"),
        ("CC>>CO", "reaction"),
        ("*CC", "attachment point"),
        ("C" * 1500, "heavy atoms"),
        ("SMILES=", "empty"),
        ("CC(=O)O acid", "space"),
        ("[Na+] . [Cl-]", "space"),
    ],
)
def test_a_smiles_that_cannot_be_used_says_why(text: str, said: str) -> None:
    assert said in str(problem(text))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        (" \t ", "empty"),
        ("\u200b", "empty"),
        ("a\x07b", "control character"),
        ("CCO\nCCC", "line break"),
        ("EtOAc 😀", "U+1F600"),
        ("СCO", "cyrillic"),
        ("乙醇", "U+4E59"),
        ("a" * 10_000, "10,000 characters"),
        ("C(" * 700 + "C" + ")" * 700, "2,101 characters"),
        ("q" * 400, "too many for a name"),
        ("58-08-3", "last digit"),
        ("9999999-99-5", "No compound with the CAS number"),
        ("InChI=1S/CH4/h1H4", "InChI"),
        ("\ud800", "U+D800"),
    ],
)
def test_odd_input(text: str, said: str) -> None:
    asked = problem(text)
    assert said in str(asked)
    assert len(str(asked)) < 400


@pytest.mark.parametrize("value", [None, 5, b"CCO", ["CCO"]])
def test_what_is_not_text(value: object) -> None:
    assert type(value).__name__ in str(problem(value))  # type: ignore[arg-type]


def test_an_unknown_abbreviation_is_not_taken_on_trust() -> None:
    asked = problem("TNT")
    assert asked.candidates == ("trinitrotoluene",)


def test_unsound_structures_of_the_package_are_refused() -> None:
    # The package writes this silane without its hydrogen.
    assert "unpaired electrons" in str(problem("triphenylsilane"))


def test_display_name() -> None:
    assert display_name("C(C)N(CC)CC") == "triethylamine"
    assert display_name("O=P(c1ccccc1)(c1ccccc1)c1ccccc1") == "triphenylphosphine oxide"
    assert display_name("CCOC(=O)N=NC(=O)OCC") == display_name("CCOC(=O)/N=N/C(=O)OCC") == "DEAD"
    assert display_name("C[C@@H]1CC[C@H]([C@@H](C1)O)C(C)C") == "menthol"
    assert display_name("OC(=O)[C@H]1CCCN1") is None, "D-proline is not L-proline"
    assert display_name("CCCC(C)C") is None, "petroleum ether is a mixture"
    assert display_name("CCCCCCCCO[Si](C)(C)C") is None
    assert display_name("not a smiles") is None


def test_named_is_immutable() -> None:
    with pytest.raises(AttributeError):
        resolve("DMF").name = "x"  # type: ignore[misc]


def test_import_is_light() -> None:
    code = (
        "import sys; from washlore.knowledge import names; names.resolve('EtOAc'); names.resolve('CCO');"
        "print([m for m in ('chemicals', 'pandas', 'scipy', 'numba') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.text(max_size=40), st.text(alphabet="CNOPSBclonsFI[]()=#123+-@/\\.%*> ", max_size=40)))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        named = resolve(text)
    except NameProblem as asked:
        assert str(asked)
    else:
        assert named.smiles == canonical_smiles(named.smiles)


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("benzoic", "benzoic acid"), ("acetic", "acetic acid"), ("sulfuric", "sulfuric acid"), ("Lawesson", "Lawesson's reagent"),
        ("Burgess", "Burgess reagent"), ("Wilkinson", "Wilkinson's catalyst"), ("trietylamine", "triethylamine"),
        ("dichlormethane", "dichloromethane"), ("tolulene", "toluene"), ("methylene chlorid", "dichloromethane"),
        ("triphenylphosphine oxid", "triphenylphosphine oxide"), ("sodium tiosulfate", "sodium thiosulfate"), ("TBPP", "BTPP"),
    ],
)  # fmt: skip
def test_what_a_text_begins_is_offered_first_then_what_it_resembles(typed, first):
    with pytest.raises(NameProblem) as problem:
        resolve(typed)
    assert problem.value.candidates[0] == first


@pytest.mark.parametrize("typed", ["AuCl", "NaK", "Tl(NO3)3", "HgOx"])
def test_a_formula_is_not_taken_for_one_that_merely_looks_like_it(typed):
    with pytest.raises(NameProblem) as problem:
        resolve(typed)
    assert not problem.value.candidates


@pytest.mark.parametrize(
    ("typed", "bare"),
    [
        ("NaHCO3 sat.", "NaHCO3"),
        ("H2O2 30 %", "H2O2"),
        ("TBAF 1M in THF", "TBAF"),
        ("Zn dust", "Zn"),
        ("mcpba 77%", "mcpba"),
    ],
)
def test_strength_and_state_behind_a_name_are_told_apart_from_it(typed, bare):
    with pytest.raises(NameProblem, match=f"write {bare} alone"):
        resolve(typed)


@pytest.mark.parametrize(
    ("typed", "smiles"),
    [
        ("tert-butylamine hydrobromide", "Br.CC(C)(C)N"),
        ("pyrrolidinium bromide", "Br.C1CCNC1"),
        ("4-bromoaniline HCl", "Cl.Nc1ccc(Br)cc1"),
        ("ethylenediamine dihydrochloride", "Cl.Cl.NCCN"),
        ("morpholine trifluoroacetate", "C1COCCN1.O=C(O)C(F)(F)F"),
        ("L-serine methyl ester", "COC(=O)[C@@H](N)CO"),
        ("L-proline benzyl ester hydrochloride", "Cl.O=C(OCc1ccccc1)[C@@H]1CCCN1"),
        ("tetrapentylammonium bromide", "CCCCC[N+](CCCCC)(CCCCC)CCCCC.[Br-]"),
    ],
)
def test_a_salt_by_the_name_of_its_base_an_ester_by_that_of_its_acid(typed, smiles):
    assert resolve(typed).smiles == smiles


@pytest.mark.parametrize(
    "typed",
    [
        "toluene hydrochloride",
        "toluene methyl ester",
        "L-aspartic acid methyl ester",
        "hydrochloride",
        "unobtainine hydrochloride",
    ],
)
def test_what_is_no_base_has_no_salt(typed):
    with pytest.raises(NameProblem):
        resolve(typed)


@pytest.mark.parametrize("label", ["5 % sodium bicarbonate", "conc. HCl", "dry benzene"])
def test_the_label_of_a_bottle_is_told_without_the_large_table(label):
    code = (
        "import chemicals.identifiers as there\n"
        "there.ChemicalMetadataDB.autoload_main_db = None\n"
        "from washlore.knowledge.names import resolve\n"
        "try:\n    resolve({label!r})\nexcept ValueError as problem:\n    assert 'more than a name' in str(problem), problem\n"
        "else:\n    raise AssertionError('taken as a name')\n"
    ).replace("{label!r}", repr(label))
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    ("name", "smiles"),
    [
        ("hexylmagnesium bromide", "CCCCCC[Mg]Br"),
        ("p-tolylmagnesium chloride", "Cc1ccc([Mg]Cl)cc1"),  # the halide on the metal is the one that is named
        ("cyclopentylzinc bromide", "Br[Zn]C1CCCC1"),
        ("decyllithium", "[Li]CCCCCCCCCC"),
    ],
)
def test_an_organometallic_is_read_by_the_halide_that_it_is_made_of(name: str, smiles: str) -> None:
    assert resolve(name).smiles == canonical_smiles(smiles)


def test_a_metal_salt_is_no_organometallic() -> None:
    assert resolve("magnesium bromide").smiles == canonical_smiles("[Mg+2].[Br-].[Br-]")
    with pytest.raises(NameProblem):
        resolve("foolithium")
    with pytest.raises(NameProblem):
        resolve("chloroformmagnesium bromide")
