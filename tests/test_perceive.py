"""From a flask to what is known before any rule speaks: what leftovers are and become, and the facts of each compound."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from test_plan_steps import ESTER, flask

from washlore.knowledge.rows import Residue, table
from washlore.rules import facts as f
from washlore.rules import perceive
from washlore.rules.engine import Fact
from washlore.rules.perceive import Job, observe, prepare, wants_alkali

ACID, AMINE = "O=C(O)CCc1ccccc1", "NCCc1ccccc1"
WATER, DCM = (("water", 40.0),), (("dichloromethane", 40.0),)
TRIPHENYLPHOSPHINE, SULFONAMIDE = "c1ccc(P(c2ccccc2)c2ccccc2)cc1", "Cc1ccc(S(=O)(=O)NCCN(C)C)cc1"


def prepared(product: str, *others: str, solvents: Any = DCM) -> Job:
    return prepare(flask(product, *others, solvents=solvents))


def brought(job: Job) -> dict[str, float]:
    """Return what came out of the components that were given, by SMILES, mmol."""
    return {
        c.smiles: round(c.mmol, 3) for c in job.mixture.others if c.origin in ("quench", "complex", "solvent table")
    }


@pytest.mark.parametrize(
    ("others", "residue", "action"),
    [
        # a complex is no metal on carbon, and each metal goes by its own row
        ("Pd/C", "palladium_carbon", "filter"),
        ("Pd(PPh3)4; 0.5 mmol", "palladium", "wash"),
        ("[Pt+2].[Cl-].[Cl-].c1ccc(P(c2ccccc2)c2ccccc2)cc1; 0.5 mmol", "palladium", "wash"),
        ("Wilkinson's catalyst; 0.1 mmol", "ruthenium", "wash"),
        ("Ni(cod)2; 1 mmol", "nickel", "wash"),
        ("zinc; 5 mmol", "zinc_iron_dust", "filter"),
        ("[Zn].c1ccncc1; 5 mmol", "zinc_halide", "wash"),
        ("[Fe].c1ccncc1; 5 mmol", "iron_salt", "wash"),
        ("zinc cyanide; 5 mmol", "cyanide", "wash"),
        # what water does not dissolve, whatever its ions
        ("BaSO4; 5 mmol", "insoluble_oxide", "filter"),
        ("CaCO3; 5 mmol", "insoluble_oxide", "filter"),
        # silver that is a solid already needs no chloride
        ("Ag2CO3; 5 mmol", "silver_oxidant", "filter"),
        ("AgOTf; 5 mmol", "silver_salt", "quench"),
        # a strong acid is a catalyst up to three equivalents
        ("H2SO4; 31 mmol", "sulfuric_acid_conc", "quench"),
        ("nitric acid; 30 mmol", "nitric_acid", "wash"),
        ("nitric acid; 31 mmol", "nitric_acid", "quench"),
    ],
)
def test_what_a_leftover_is(others: str, residue: str, action: str) -> None:
    job = prepared(ESTER, others)
    (row,) = job.residues["c1"]
    assert (row.id, row.action) == (residue, action)
    assert ("c1" in job.quenched) == (action == "quench")


def test_sulfuric_acid_is_quenched_where_it_is_the_medium() -> None:
    assert not prepared(ESTER, "H2SO4; 30 mmol").residues
    assert not prepared(ESTER, "H2SO4; 199 mmol", solvents=WATER).residues
    for amount, solvents in (("200 mmol", WATER), ("20 mmol", ())):
        assert prepared(ESTER, f"H2SO4; {amount}", solvents=solvents).quenched == {"c1": ("c1a",)}


@pytest.mark.parametrize(
    ("product", "others", "becomes"),
    [
        # every halogen that water takes off makes its acid; those on carbon stay
        (ESTER, "POCl3; 2 mmol", {"Cl": 6.0}),
        (ESTER, "PBr3; 3 mmol", {"Br": 9.0}),
        (ESTER, "thionyl chloride; 5 mmol", {"Cl": 10.0}),
        (ESTER, "oxalyl chloride; 5 mmol", {"Cl": 10.0}),
        (ESTER, "titanium tetrachloride; 5 mmol", {"Cl": 20.0}),
        (ESTER, "benzoyl chloride; 3 mmol", {"O=C(O)c1ccccc1": 3.0}),
        (ESTER, "TMSCl; 3 mmol", {"C[Si](C)(C)O": 3.0}),
        (ESTER, "phenylmagnesium bromide; 5 mmol", {"c1ccccc1": 5.0}),
        (ESTER, "n-BuLi; 5 mmol", {"[Li+].[OH-]": 5.0}),  # butane is gone
        (ESTER, "KOtBu; 5 mmol", {"CC(C)(C)O": 5.0, "[K+].[OH-]": 5.0}),
        (ESTER, "LDA; 5 mmol", {"CC(C)NC(C)C": 5.0, "[Li+].[OH-]": 5.0}),
        (ESTER, "NaH; 5 mmol", {"[Na+].[OH-]": 5.0}),
        # the base of a reagent that is a salt stays behind
        (ESTER, "PCC; 12 mmol", {"c1ccncc1": 12.0}),
        (ESTER, "HF-pyridine; 10 mmol", {"c1ccncc1": 10.0}),
        (ESTER, "CN(C)C.B; 5 mmol", {"CN(C)C": 5.0}),
        # but no ammonia, which stays in any water as ammonium
        (ESTER, "ammonium persulfate; 5 mmol", {}),
        (ESTER, "ceric ammonium nitrate; 20 mmol", {}),
        # of acid on ice a twentieth, all of it where it holds the product
        (ESTER, "H2SO4; 100 mmol", {"O=S(=O)(O)O": 5.0}),
        (AMINE, "H2SO4; 100 mmol", {"O=S(=O)(O)O": 100.0}),
        # the ligands of a complex, as many as it has
        (ESTER, "Pd(PPh3)4; 0.5 mmol", {TRIPHENYLPHOSPHINE: 2.0}),
        (ESTER, "Wilkinson's catalyst; 0.1 mmol", {TRIPHENYLPHOSPHINE: 0.3}),
    ],
)
def test_what_a_leftover_becomes(product: str, others: str, becomes: dict[str, float]) -> None:
    job = prepared(product, others)
    assert brought(job) == becomes
    ids = tuple(c.id for c in job.mixture.others if c.origin == "quench")
    assert job.quenched.get("c1", ()) == ids and all(i.startswith("c1") for i in ids)
    assert all(c.role == "by-product" for c in job.mixture.others if c.id in ids)


def test_two_leftovers_bring_one_compound_and_what_is_there_is_not_brought() -> None:
    job = prepared(ESTER, "thionyl chloride; 5 mmol", "POCl3; 1 mmol")
    assert brought(job) == {"Cl": 13.0} and job.quenched == {"c1": ("c1a",), "c2": ("c1a",)}
    job = prepared(ESTER, "thionyl chloride; 5 mmol", "HCl; 1 mmol")
    assert brought(job) == {} and job.quenched == {"c1": ()}
    job = prepared(ESTER, "Pd(PPh3)4; 0.5 mmol", "triphenylphosphine; 1 mmol")
    assert brought(job) == {} and job.residues["c2"][0].id == "triarylphosphine"


@pytest.mark.parametrize(
    ("others", "solvents", "by"),
    [
        (("morpholine; 2 mmol",), DCM, "the morpholine in the flask"),
        (("morpholine; 1.9 mmol",), DCM, ""),
        (("diisopropylamine; 5 mmol",), DCM, ""),  # too crowded
        (("triethylamine; 5 mmol",), DCM, ""),  # no N-H
        (("acetanilide; 5 mmol",), DCM, ""),
        (("NaOH; 3 mmol",), WATER, "the hydroxide in the flask"),
        (("NaOH; 2.9 mmol",), WATER, ""),
        (("NaOH; 2 mmol", "KOH; 1 mmol"), WATER, "the hydroxide in the flask"),
        (("NaOH; 5 mmol",), DCM, ""),  # no water to be in
    ],
)
def test_what_in_the_flask_ends_an_acylating_leftover(others: tuple[str, ...], solvents: Any, by: str) -> None:
    job = prepared(ESTER, "TsCl; 1 mmol", *others, solvents=solvents)
    assert job.ended == ({"sulfonyl_chloride": by} if by else {})
    assert brought(job) == ({} if by else {SULFONAMIDE: 1.0})


@pytest.mark.parametrize(
    ("product", "alkali"),
    [
        (ACID, True),
        ("O=[N+]([O-])c1ccc(O)cc1", True),  # pKa 7.2
        ("Cc1ccc(O)cc1", False),  # pKa 10.3: ammonium chloride holds none of it as a salt
        (AMINE, True),
        ("Cc1cccnc1", False),  # pKa 5.7: ammonium chloride takes none of it
        ("NC(CCCCCCc1ccccc1)C(=O)O", False),  # alkali would hold what keeps the amine free
        (ESTER, False),
    ],
)
def test_an_alkoxide_is_ended_with_plain_water_where_its_alkali_holds_an_acid_or_frees_an_amine(
    product: str, alkali: bool
) -> None:
    rows = table(Residue)
    of = flask(product).product
    assert perceive.wants_alkali(rows["alkoxide"], of) is alkali
    assert not perceive.wants_alkali(rows["silylamide_base"], of)  # nothing of that kind stands in its row


@pytest.mark.parametrize(
    ("product", "none"),
    [(AMINE, True), ("Cc1cccnc1", True), ("CN(C)c1ccc(C=O)cc1", False), (ESTER, False), (ACID, False)],
)
def test_a_product_with_a_base_is_washed_with_no_acid(product: str, none: bool) -> None:
    """3-Picoline has pKa 5.7, 4-(dimethylamino)benzaldehyde 1.6 (CRC Handbook)."""
    assert perceive.takes_no_acid(flask(product).product) is none


def test_a_product_that_takes_the_amine_of_a_quench_up_is_spared_it() -> None:
    assert brought(prepared("O=Cc1ccc(C)cc1", "TsCl; 1 mmol")) == {}
    assert brought(prepared("COc1ccc(C)cc1", "TsCl; 1 mmol")) == {SULFONAMIDE: 1.0}


def test_what_has_a_quench_of_its_own_is_not_left_to_an_amine() -> None:
    for leftover in ("benzoyl chloride; 1 mmol", "DCC; 1 mmol"):
        assert prepared(ESTER, leftover, "morpholine; 2 mmol").ended == {}


def test_an_acid_in_alkaline_water_has_its_acylating_leftover_rinsed_out() -> None:
    flasks = {
        "rinsed": (ACID, "NaOH; 2 mmol", WATER),
        "no alkali": (ACID, "NaCl; 2 mmol", WATER),
        "no water": (ACID, "NaOH; 2 mmol", DCM),
        "no acid": (ESTER, "NaOH; 2 mmol", WATER),
        "a phenol": ("CCc1ccc(O)cc1", "NaOH; 2 mmol", WATER),
    }
    actions = {
        name: prepared(product, "TsCl; 1 mmol", other, solvents=solvents).residues["c1"][0].action
        for name, (product, other, solvents) in flasks.items()
    }
    assert actions == {name: "other" if name == "rinsed" else "quench" for name in flasks}


def test_a_solvent_that_mixes_with_water_is_a_component() -> None:
    job = prepared(ESTER, solvents=(("dmf", 10.0), ("water", 5.0), ("toluene", 10.0)))
    assert [(c.id, c.role, round(c.mmol, 1)) for c in job.mixture.others] == [("s1", "solvent", 129.4)]
    job = prepared(ESTER, "DMF; 10 mmol", solvents=(("dmf", 10.0),))
    assert [(c.id, c.role, round(c.mmol, 1)) for c in job.mixture.others] == [("c1", "solvent", 139.4)]


class Seen:
    """What stands for the engine: it keeps each fact with its text."""

    def __init__(self, job: Job) -> None:
        self.rows: list[tuple[Fact, str]] = []
        observe(self, job)

    def observe(self, fact: Fact, text: str, sources: Sequence[str] = (), of: Sequence[int] = ()) -> int:
        assert text and not set(of) - set(range(len(self.rows) + 1))
        self.rows.append((fact, text))
        return len(self.rows)

    def of(self, kind: type[Fact], component: str = "") -> list[tuple[Any, ...]]:
        """Return the slots of a kind of fact, without the component where that is given."""
        slots = [s for s in kind.slots if not (component and s == "component")]
        return [
            tuple(fact[s] for s in slots)
            for fact, _ in self.rows
            if type(fact) is kind and (not component or fact["component"] == component)
        ]


def test_facts_of_acids_bases_and_salts() -> None:
    job = prepared(
        "CC(=O)OCCc1ccc(O)cc1",
        *("triethylamine hydrochloride; 1 mmol", "HCl; 1 mmol", "acetone; 3 mmol", "NaCl; 1 mmol"),
        *("TBAB; 1 mmol", "NaOH; 1 mmol", "indole; 1 mmol", "CuSO4; 1 mmol", "ethyl iodide; 1 mmol"),
        solvents=(("dmf", 5.0), ("toluene", 20.0)),
    )
    seen = Seen(job)
    sites = {(c, kind): pka for c, kind, pka, *_ in seen.of(f.Ionises)}
    assert {key: round(pka) for key, pka in sites.items()} == {
        ("product", "acid"): 11,
        ("c1", "base"): 11,
        ("c2", "acid"): -2,
    }  # of indole and alcohols neither side matters in a wash
    assert seen.of(f.Inorganic) == [("c2",), ("c4",), ("c6",), ("c8",)]
    assert seen.of(f.Harsh) == [("c2", "a strong mineral acid"), ("c6", "a strong base")]
    assert seen.of(f.Charged) == [("c5", 1)]
    assert seen.of(f.BoilsWhenFree) == [("c1", 89.0)]
    assert seen.of(f.Mixes) == [("c3", "acetone", 56.1), ("s1", "dmf", 153.0)]
    boils = dict(seen.of(f.Boils))
    assert boils["c3"] == 56.1 and boils["s1"] == 153.0 and boils["c9"] == pytest.approx(72, abs=1)
    assert not {"c1", "c4", "c5", "c6", "product"} & set(boils)
    assert seen.of(f.Leftover, "c8") == [("copper", "wash", "nh4cl_nh3", "metal salt")]
    assert ("acetate_ester",) in seen.of(f.Contains, "product")
    assert seen.of(f.Stands) == [("high", 12.4, "acetate_ester"), ("high", 12.4, "alkyl_ester")]
    assert seen.of(f.SpoiltBy) == [("bleach", "phenol")]
    assert seen.of(f.Medium) == [("dmf", "miscible", 153.0, 5.0, False), ("toluene", "immiscible", 110.6, 20.0, True)]
    texts = [text for _, text in seen.rows]
    assert "the product: phenol at atom 10 (O) of CC(=O)OCCc1ccc(O)cc1, pKa 10.8 ± 0.6 (model)" in texts
    assert any("tertiary amine at atom 2 (N)" in t and "pKa of the conjugate acid 10.8" in t for t in texts)
    assert "the reaction ran in 20 mL of toluene (immiscible with water, boils at 111 C)" in texts


@pytest.mark.parametrize(
    ("other", "bases"),
    [
        ("hydrazine; 5 mmol", [("base", 8.0, 0.1, 0, "hydrazine")]),
        ("NN.O; 5 mmol", [("base", 8.0, 0.1, 0, "hydrazine")]),
        ("hydroxylamine; 5 mmol", [("base", 5.95, 0.1, 0, "hydroxylamine")]),
        # a salt is one, ammonia is a gas or ions, and an acid that is a leftover goes by its remedy
        ("[NH3+]N.[Cl-]; 5 mmol", []),
        ("ammonia; 5 mmol", []),
        ("HCN; 5 mmol", []),
    ],
)
def test_hydrazine_and_hydroxylamine_take_a_proton(other: str, bases: list[tuple[Any, ...]]) -> None:
    """Both conjugate acids have their pKa from ``crc``."""
    seen = Seen(prepared(ESTER, other))
    assert seen.of(f.Ionises, "c1") == bases


@pytest.mark.parametrize(
    ("product", "kind", "pka", "site"),
    [
        ("Oc1ccc(C(=O)O)cc1", "acid", 4.6, "carboxylic_acid_benzoic"),
        ("OC(=O)c1ccccc1O", "acid", 3.0, "carboxylic_acid_benzoic"),
        ("NCCc1cccnc1", "base", 9.7, "amine_primary"),
        ("CN(C)CCc1ccncc1", "base", 9.5, "amine_tertiary"),
    ],
)
def test_of_several_sites_the_strongest_is_told(product: str, kind: str, pka: float, site: str) -> None:
    """The pKa of 4-hydroxybenzoic and salicylic acid are 4.58 and 2.97 (CRC Handbook)."""
    ((found, value, _, _, where),) = Seen(prepared(product)).of(f.Ionises, "product")
    assert (found, where) == (kind, site) and value == pytest.approx(pka, abs=0.1)


def test_inorganic_acids_and_bases_ionise_by_their_row() -> None:
    """Carbonic acid has pKa 6.35 and 10.33, phosphate 12.35 at the last (CRC Handbook)."""
    for acid in ("HCl", "H2SO4", "phosphoric acid"):
        assert Seen(prepared(ESTER, f"{acid}; 5 mmol")).of(f.Ionises, "c1") == [("acid", -2.0, 1.0, 0, "mineral_acid")]
    assert not Seen(prepared(ESTER, "NaCl; 5 mmol")).of(f.Ionises, "c1")


def test_an_acid_too_weak_for_any_base_wash_is_none() -> None:
    """Trifluoroethanol has pKa 12.4, 4-methoxyphenol 10.2."""
    assert Seen(prepared(ESTER, "2,2,2-trifluoroethanol; 1 mmol")).of(f.Ionises, "c1") == []
    assert [x[0] for x in Seen(prepared(ESTER, "4-methoxyphenol; 1 mmol")).of(f.Ionises, "c1")] == ["acid"]


def test_a_base_too_weak_for_any_acid_wash_is_none() -> None:
    """The pKa of 2,4-dinitroaniline is about -4.5, that of 4-nitroaniline 1.0."""
    assert Seen(prepared(ESTER, "2,4-dinitroaniline; 1 mmol")).of(f.Ionises, "c1") == []
    ((kind, pka, *_),) = Seen(prepared(ESTER, "4-nitroaniline; 1 mmol")).of(f.Ionises, "c1")
    assert kind == "base" and pka == pytest.approx(1.0, abs=0.1)


def test_of_a_salt_the_base_boils_once_it_is_free() -> None:
    for salt in ("CCN(CC)CC.Cl", "CC[NH+](CC)CC.[Cl-]"):
        seen = Seen(prepared(ESTER, f"{salt}; 1 mmol"))
        assert seen.of(f.BoilsWhenFree) == [("c1", 89.0)] and not seen.of(f.Boils, "c1")
    assert not Seen(prepared(ESTER, "triethylamine; 1 mmol")).of(f.BoilsWhenFree)


def test_what_no_table_can_follow_is_told_with_its_reason() -> None:
    for other, why in (
        ("[Au]", "an element"),
        ("Cl[Nb](Cl)(Cl)(Cl)Cl", "an element or a compound of elements"),
        ("[CH2]c1ccccc1", "an unpaired electron"),
        ("c1ccccc1[C+](c1ccccc1)c1ccccc1", "holds a carbocation"),
    ):
        ((fact, text),) = [row for row in Seen(prepared(ESTER, f"{other}; 1 mmol")).rows if type(row[0]) is f.Unplaced]
        assert fact["component"] == "c1" and why in text
    assert not Seen(prepared(ESTER, "triethylamine; 1 mmol")).of(f.Unplaced)


def test_where_solvents_boil_though_they_are_given_as_structures() -> None:
    """Boiling points of the CRC Handbook: toluene 110.6, heptane 98.4, carbon disulfide 46.2 C."""
    for smiles, boils in (("Cc1ccccc1", 110.6), ("CCCCCCC", 98.4), ("S=C=S", 46.2)):
        assert Seen(prepared(ESTER, f"{smiles}; 5 mmol")).of(f.Boils) == [("c1", boils)]


@pytest.mark.parametrize(
    ("other", "acid"),
    [
        ("phosphorous acid; 5 mmol", ("acid", 1.3)),
        ("hypophosphorous acid; 5 mmol", ("acid", 1.23)),
        ("sulfamic acid; 5 mmol", ("acid", 1.05)),
        # a proton beside the ion of a strong acid
        ("HBF4; 5 mmol", ("acid", -2.0)),
        ("sodium tetrafluoroborate; 5 mmol", None),
        ("sodium bisulfate; 5 mmol", None),
        ("iodine; 5 mmol", None),
    ],
)
def test_an_inorganic_acid_is_one(other: str, acid: tuple[str, float] | None) -> None:
    """Phosphinic acid by ``libretexts_e1``, the others as the table of measured sites has them."""
    found = Seen(prepared(ESTER, other)).of(f.Ionises, "c1")
    assert [(kind, pytest.approx(pka, abs=0.1)) for kind, pka, *_ in found] == ([acid] if acid else [])


def test_what_boils_away_and_what_only_may() -> None:
    assert Seen(prepared("CCCCC=C(C)C")).of(f.Boils, "product")  # estimated, below 150 C
    assert not Seen(prepared(ESTER)).of(f.Boils, "product")
    seen = Seen(prepared(ESTER, "CC(C)CC; 1 mmol", "CCCCCC(C)CC; 1 mmol", "CCC(CO)CCN; 1 mmol"))
    assert seen.of(f.Boils, "c1") in ([(27.8,)], [(36.1,)])
    assert not seen.of(f.Boils, "c2") and not seen.of(f.Boils, "c3")  # nine carbons; and no hydrocarbon


def test_what_is_quenched_is_not_asked_for_its_boiling_point() -> None:
    seen = Seen(prepared(ESTER, "acetyl chloride; 3 mmol"))
    assert not seen.of(f.Boils, "c1") and seen.of(f.Leftover, "c1")
    assert seen.of(f.Boils, "c1a")


def test_the_bottles_that_are_looked_at() -> None:
    def bottles(*others: str) -> set[str]:
        return {row[0] for row in Seen(prepared(ESTER, *others)).of(f.Bottle)}

    plain = bottles()
    assert {"water", "brine", "hcl_1m", "nahco3_sat", "licl_5", "cuso4_sat"} <= plain
    assert not {"na2s2o3_10", "nh4cl_nh3", "ammonia_10"} & plain
    assert bottles("iodine; 1 mmol") - plain == {"na2s2o3_10"}
    assert {"nh4cl_nh3", "ammonia_10"} <= bottles("CuI; 1 mmol") - plain


def test_the_alkali_of_a_quench_is_added_to_what_is_listed() -> None:
    job = prepared(ESTER, "NaOMe; 30 mmol", "NaOH; 2 mmol")
    assert [c.mmol for c in job.mixture.others if c.smiles == "[Na+].[OH-]"] == [pytest.approx(32.0)]
    job = prepared(ESTER, "NaH; 3 mmol", "NaOH; 2 mmol")
    assert [c.mmol for c in job.mixture.others if c.smiles == "[Na+].[OH-]"] == [pytest.approx(5.0)]


def test_an_amine_that_lye_breaks_is_quenched_with_ammonium_chloride() -> None:
    """An amine is better set free by the alkali that water leaves of a methoxide; an amino ester is hydrolysed by it."""
    amine, ester = prepared("NCCc1ccc(Cl)cc1", "NaOMe; 5 mmol"), prepared("COC(=O)C1CCCN1", "NaOMe; 5 mmol")
    row = amine.residues["c1"][0]
    assert wants_alkali(row, amine.mixture.product) and not wants_alkali(row, ester.mixture.product)
