"""Numbers exactly on a limit: the solvent of the layer, what is done before the first wash, and after the last."""

from __future__ import annotations

from typing import Any

import pytest
from test_rule_limits import (
    BASE9,
    C1,
    PRODUCT,
    bottle,
    brought,
    given,
    in_pot,
    ionises,
    is_a,
    left_over,
    medium,
    solvent_price,
    text_of,
    thinks,
)

from washlore.knowledge.rows import Residue, Solvent, table
from washlore.rules import facts as f
from washlore.rules import trial
from washlore.rules.engine import Fact
from washlore.rules.families import solvents

# ---- the solvent of the layer


def test_solvents_exactly_at_their_limits() -> None:
    def more(key: str, *facts: Fact) -> float:
        return round(solvent_price(key, 9.0, *facts) - solvent_price(key, 9.0), 6)

    for pka in (7.5, 11.5):
        assert more("ethyl_acetate", ionises("c1", "acid", pka)) == 0.0
    assert more("ethyl_acetate", ionises("product", "base", 7.5)) == 0.0
    assert more("ethyl_acetate", ionises("c1", "base", 9.0)) == 0.0  # only a product is set free by hydroxide
    strong = given(f.Harsh, component="c1", kind="a strong base")
    assert more("ethyl_acetate", strong) == 0.8 and more("toluene", strong) == 0.0
    assert more("ethyl_acetate", strong, ionises("c1", "acid", 10.0)) == 1.2
    assert (
        more("dichloromethane", left_over("crown_ether", "wash"))
        == 1.2
        == more("dichloromethane", left_over("hmpa", "wash"))
    )
    assert more("toluene", left_over("hmpa", "wash")) == 0.0 == more("toluene", f.Charged(component="c1", charge=1))
    assert more("toluene", f.Prepares(action="dilute", subject="dmf")) == 0.0
    assert more("dichloromethane", f.Prepares(action="evaporate", subject="thf")) == 0.0
    bisulfite = left_over("aldehyde", "wash", solution="nahso3_sat")
    assert more("toluene", bisulfite) == 0.0 and more("dichloromethane", bisulfite) == 1.2
    # bisulfite that the product would take up as well is not used, and bars no solvent
    group = table(Residue)["aldehyde"].spares[0]
    assert more("dichloromethane", bisulfite, f.Contains(component="product", group=group)) == 0.0
    assert solvent_price("1-butanol", 9.0) == pytest.approx(0.7 + 0.06 + 0.15 + 0.45, abs=1e-6)


def test_the_price_of_every_solvent_by_its_row() -> None:
    """Loss into a third of its volume of water, alkane, greenness, halogen, peroxides, water held, boiling point."""
    for key in (
        *trial.OFFERED,
        "cpme",
        "heptane",
        "mibk",
        "chlorobenzene",
        "isobutanol",
        "trifluorotoluene",
        "pentane",
    ):
        row = table(solvents.Solvent)[key]
        alkane = key in ("heptane", "pentane")
        wet = row.water_held_wt_pct is not None and row.water_held_wt_pct > 4
        expected = (
            6.0 / (1.0 + 3.0 * 10.0) + 0.5 * alkane + (0.0 if row.greenness is None else 0.06 * (10.0 - row.greenness))
            + 0.15 * bool(row.halogenated) + 0.1 * bool(row.peroxide_former) + 0.15 * wet + 0.45 * (row.boiling_c > 105)
        )  # fmt: skip
        assert solvent_price(key, 1.0) == pytest.approx(expected, abs=1e-9), key


def test_a_boiling_point_exactly_at_the_limits() -> None:
    boils = table(solvents.Solvent)["toluene"].boiling_c

    def more(boiling_c: float) -> float:
        own = f.Boils(component="product", boiling_c=boiling_c)
        return solvent_price("toluene", 9.0, own) - solvent_price("toluene", 9.0)

    assert more(boils + 110.0) == pytest.approx(0.0, abs=1e-9)
    assert more(boils - 60.0) == pytest.approx(0.02 * 170.0)

    def words(boiling_c: float) -> list[str]:
        made = thinks("part", f.Boils(component="product", boiling_c=boiling_c))
        return solvents._price(made, table(solvents.Solvent)["toluene"], 9.0)[1]

    assert "the product boils at 151 C, 40 C above it" in words(boils + 40.0)
    assert "the product boils at 81 C, 30 C below it" in words(boils - 30.0)


def test_what_goes_along_with_a_solvent() -> None:
    def along(product_c: float, solvent_c: float) -> bool:
        return solvents._takes_product_along(
            thinks("part", f.Boils(component="product", boiling_c=product_c)), solvent_c
        )

    assert along(119.0, 40.0) and not along(120.0, 40.0) and along(129.0, 110.0) and not along(130.0, 110.0)
    assert not solvents._takes_product_along(thinks("part"), 40.0)


def test_what_must_not_be_concentrated() -> None:
    def barred(kind: str, *more: Fact) -> bool:
        made = thinks("part", given(f.Harsh, component="c1", kind=kind), *more)
        return bool(solvents._must_not_be_concentrated(made))

    amine = ionises("product", "base", 9.0)
    assert barred("a strong mineral acid") and not barred("a strong mineral acid", amine)
    for kind in ("perchloric acid", "nitric acid", "hydrogen peroxide", "hydroxylamine"):
        assert barred(kind, amine) and barred(kind)
        assert not barred(kind, f.EndsDry(component="c1"))


def test_a_poison_beside_an_acid_is_not_stripped() -> None:
    def beside(pka: float, residue: str = "cyanide", action: str = "wash", acid: str = "c2") -> bool:
        facts = left_over(residue, action), ionises(acid, "acid", pka)
        return solvents._poison_beside_acid(thinks("part", *facts))

    assert beside(7.9) and not beside(8.0) and not beside(4.0, action="quench") and not beside(4.0, "edu")
    assert not beside(4.0, acid="product") and not beside(4.0, acid="c1")  # its own acid, hydrogen cyanide's
    assert not solvents._poison_beside_acid(thinks("part", left_over("cyanide", "wash")))


def test_a_poison_that_boils_below_a_solvent_goes_with_it() -> None:
    def along(boiling_c: float, residue: str = "cyanide", c: str = "c1") -> bool:
        facts = left_over(residue, "wash"), f.Boils(component=c, boiling_c=boiling_c)
        return solvents._poison_goes_along(thinks("part", *facts), 66.0)

    assert along(65.9) and not along(66.0) and not along(26.0, "edu") and not along(26.0, c="c2")


def test_of_a_phosphazene_a_greasy_solvent_keeps_the_salt() -> None:
    others = ("CC(C)(C)N=P(N1CCCC1)(N1CCCC1)N1CCCC1; 5 mmol", "triethylamine; 5 mmol")

    def keeps(solvent: str, *sites: Fact) -> bool:
        return solvents._greasy_base(thinks("part", *sites, others=others), table(Solvent)[solvent])

    assert keeps("dichloromethane", ionises("c1", "base", 20.0)) and not keeps("hexane", ionises("c1", "base", 20.0))
    assert not keeps("dichloromethane", ionises("c1", "base", solvents.STRONG_BASE_PKA - 0.1))
    assert keeps("1,2-dichloroethane", ionises("c1", "base", 20.0)) and not keeps(
        "toluene", ionises("c1", "base", 20.0)
    )
    # the product is none to be washed out, and an amine is too weak
    assert not keeps("dichloromethane", ionises("product", "base", 20.0))
    assert not keeps("dichloromethane", ionises("c2", "base", 10.8))
    assert keeps("dichloromethane", ionises("c2", "base", 10.8), ionises("c1", "base", 20.0))


def prepares(*facts: Fact, **options: Any) -> set[tuple[str, str]]:
    asked = given(f.Candidate, solvent="ethyl_acetate", log_d=2.0, asked_for=True)
    made = thinks("classify", PRODUCT, asked, *facts, **options)
    return {(fact["action"], fact["subject"]) for _, fact in made.facts_of(f.Prepares)}


def solvent_at(boiling_c: float, key: str = "thf", miscibility: str = "miscible") -> Fact:
    return given(f.Medium, solvent=key, miscibility=miscibility, boiling_c=boiling_c, volume_ml=40.0, extractant=False)


def test_stripping_exactly_at_its_limits() -> None:
    assert prepares(solvent_at(121.0)) == {("dilute", "thf")} and prepares(solvent_at(120.0)) == {("evaporate", "thf")}
    assert prepares(solvent_at(100.0, "water")) == set()
    assert prepares(solvent_at(121.0, "toluene", "immiscible")) == set()
    harsh = given(f.Harsh, component="c1", kind="a strong mineral acid")
    assert prepares(solvent_at(66.0), harsh) == {("dilute", "thf")}
    assert prepares(solvent_at(66.0), harsh, ionises("product", "base", 9.0)) == {("evaporate", "thf")}
    assert prepares(solvent_at(100.0, "water"), harsh) == set()
    along = f.Boils(component="product", boiling_c=100.0)
    assert prepares(solvent_at(66.0), along) == {("dilute", "thf")}
    assert prepares(solvent_at(66.0, "hexane", "immiscible"), along) == set()
    poison = left_over("cyanide", "wash"), ionises("c2", "acid", 4.0)
    assert prepares(solvent_at(66.0), *poison) == set() == prepares(solvent_at(66.0, "hexane", "immiscible"), *poison)
    azide = left_over("azide_ion", "wash")
    assert prepares(medium("dichloromethane"), azide) == set()
    assert prepares(medium("hexane"), azide) == {("evaporate", "hexane")}
    assert prepares(medium("dichloromethane")) == {("evaporate", "dichloromethane")}
    assert prepares(medium("ethyl_acetate")) == set()


def test_much_of_a_volatile_base_exactly_at_the_limits() -> None:
    def stripped(mmol: float, *more: Fact, **options: Any) -> bool:
        amine = given(f.Component, id="c1", role="base", mmol=mmol)
        boils = f.Boils(component="c1", boiling_c=89.0)
        return ("evaporate", "c1") in prepares(amine, ionises("c1", "base", 10.0), boils, *more, **options)

    assert stripped(50.0) and not stripped(50.0, f.Boils(component="product", boiling_c=168.0))
    assert stripped(50.0, f.Boils(component="product", boiling_c=169.0))
    for kind in ("perchloric acid", "nitric acid", "hydrogen peroxide"):
        assert not stripped(50.0, given(f.Harsh, component="c2", kind=kind))
    assert not stripped(50.0, given(f.Harsh, component="c1", kind="a strong base"))
    assert not stripped(50.0, left_over("acid_chloride", "quench"))
    # beside a quench with water the washes are made larger, as far as they hold it: 2 M of a layer of 50 mL
    quenched = left_over("acid_chloride", "quench", c="c2")
    others = ("pyridine; 50 mmol", "benzoyl chloride; 2 mmol")
    assert not stripped(50.0, quenched, others=others)
    ml = solvents.organic_volume_ml(thinks("part", others=others).job.mixture)
    assert not stripped(2.0 * ml, quenched, others=others) and stripped(2.0 * ml + 1.0, quenched, others=others)
    text = text_of(
        thinks("classify", PRODUCT, given(f.Candidate, solvent="toluene", log_d=2.0, asked_for=True),
               given(f.Component, id="c1", role="base", mmol=60.0), ionises("c1", "base", 10.0),
               f.Boils(component="c1", boiling_c=89.0)),
        f.Prepares,
    )  # fmt: skip
    assert text == "6 equivalents of pyridine boil at 89 C"


def test_salts_that_are_filtered_off_dry() -> None:
    def filtered(other: str, medium_: Fact, log_d: float = 2.0, *more: Fact, mmol: float = 5.0) -> bool:
        facts = (
            PRODUCT, given(f.Component, id="c1", role="base", mmol=mmol), f.Inorganic(component="c1"), medium_,
            given(f.Candidate, solvent="ethyl_acetate", log_d=log_d, asked_for=True),
        )  # fmt: skip
        made = thinks("classify", *facts, *more, others=(other, "benzoyl chloride; 5 mmol"))
        return made.first(f.Leaves, component="c1", way="filtration") is not None

    soda = "potassium carbonate; 5 mmol"
    thf = solvent_at(66.0)
    assert filtered(soda, thf) and filtered(soda, thf, mmol=3.0) and not filtered(soda, thf, mmol=2.9)
    assert not filtered(soda, solvent_at(121.0)) and not filtered(soda, solvent_at(65.0, "methanol"))
    assert not filtered("sodium iodide; 5 mmol", thf) and not filtered("lithium chloride; 5 mmol", thf)
    assert filtered("sodium chloride; 5 mmol", thf)
    # out of a solvent that forms a layer of its own only beside a product that water would hold
    dcm = solvent_at(40.0, "dichloromethane", "immiscible")
    assert not filtered(soda, dcm) and filtered(soda, dcm, 0.4) and not filtered(soda, dcm, 0.5)
    assert not filtered(soda, thf, 2.0, solvent_at(100.0, "water"))
    assert not filtered(soda, thf, 2.0, left_over("acid_chloride", "quench", c="c2"))


def test_the_solvent_that_was_stripped_needs_no_wash() -> None:
    stripped = f.Prepares(action="evaporate", subject="thf"), given(f.Mixes, component="c1", solvent="thf")
    assert thinks("free", C1, *stripped).first(f.Leaves, component="c1", way="evaporation") is not None
    assert thinks("free", C1, *stripped, ionises("c1", "base", 5.0)).first(f.Leaves) is None
    assert thinks("free", C1, f.Prepares(action="dilute", subject="thf"), stripped[1]).first(f.Leaves) is None


# ---- the flask brought to a pH


def test_a_flask_exactly_at_its_limits() -> None:
    assert brought(*BASE9, in_pot(10.0)) is None and brought(*BASE9, in_pot(3.0, kept=0.85)) is None
    acid = is_a("acid"), ionises("product", "acid", 4.2)
    assert brought(*acid, in_pot(4.2 - 1)) is None and brought(*acid, in_pot(10.0, kept=0.85)) is None
    both = is_a("amphoteric"), ionises("product", "acid", 10.0), ionises("product", "base", 5.0)
    assert brought(*both, in_pot(8.5)) is None and brought(*both, in_pot(6.5)) is None
    assert brought(*both, in_pot(2.0, kept=0.85)) is None
    assert brought(*both, in_pot(2.0, ions=False)) is not None  # an acid or base that brings no ions charges it as well
    assert brought(*acid, in_pot(10.0, ions=False)) is None


def test_the_salt_is_rinsed_exactly_at_its_limits() -> None:
    def rinsed(kept: float = 0.05, neutral: float = 0.9, log_k: float = 0.4, *more: Fact, c: str = "c1") -> bool:
        made = thinks(
            "free", PRODUCT, C1, ionises("product", "acid", 4.2), in_pot(10.0, kept, neutral), is_a("neutral", c),
            f.Greasy(component=c, log_k=log_k), *more,
        )  # fmt: skip
        return made.first(f.RinsesFirst, because=c) is not None

    assert rinsed() and not rinsed(0.1) and not rinsed(0.05, 0.1) and not rinsed(0.05, 0.9, 0.3)
    assert not rinsed(0.05, 0.9, 0.4, is_a("amphoteric")) and not rinsed(c="product")
    assert not rinsed(0.05, 0.9, 0.4, given(f.Mixes, component="c1", solvent="thf"))


def test_after_a_quench_exactly_at_the_limits() -> None:
    metal = left_over("organolithium", "quench", "organometallic")
    weak = is_a("weak acid")
    assert brought(weak, ionises("product", "acid", 11.0), metal) is None
    assert brought(weak, ionises("product", "acid", 9.0), left_over("grignard", "quench", "metal", "nh4cl_sat")) is None
    assert brought(weak, ionises("product", "acid", 7.0), metal) == (5.0, "6 M hydrochloric acid")
    assert brought(weak, ionises("product", "acid", 6.2), metal) == (4.0, "6 M hydrochloric acid")
    assert brought(is_a("acid"), ionises("product", "acid", 3.0), metal) == (1.5, "6 M hydrochloric acid")
    assert brought(is_a("acid"), is_a("amphoteric"), ionises("product", "acid", 4.0), metal) is None
    low = given(f.Stands, side="low", ph=0.1, group="x")
    mild = "10 % citric acid or 1 M potassium hydrogen sulfate"
    # citric acid gets no lower than 2.5; a stronger acid needs hydrogen sulfate
    assert brought(is_a("acid"), ionises("product", "acid", 5.2), metal, low) == (3.0, mild)
    assert brought(is_a("acid"), ionises("product", "acid", 4.2), metal, low) == (2.5, mild)
    assert brought(is_a("acid"), ionises("product", "acid", 3.0), metal, low) == (2.5, mild)
    assert brought(is_a("acid"), ionises("product", "acid", 2.9), metal, low) == (1.5, "1 M potassium hydrogen sulfate")
    # ammonium chloride holds an amine of pKa over 7.5; an acidic quench every base from 4
    nh4 = left_over("grignard", "quench", "x", "nh4cl_sat")
    assert brought(is_a("base"), ionises("product", "base", 7.5), nh4) is None
    assert brought(is_a("base"), is_a("amphoteric"), ionises("product", "base", 9.0), nh4) is None


def test_a_flask_of_an_amphoteric_product_after_a_quench() -> None:
    both = is_a("amphoteric"), ionises("product", "acid", 10.0), ionises("product", "base", 5.0)
    wet, dry = left_over("acid_chloride", "quench"), left_over("borane", "quench")
    made = thinks("free", PRODUCT, *both, wet)
    assert made.first(f.BringsTo)["ph"] == 7.5 and "pKa 5.0 and 10.0" in text_of(made, f.BringsTo)
    assert thinks("free", PRODUCT, *both, dry).first(f.BringsTo) is None
    for acid, base, ph in ((1.0, 2.0, 2.0), (13.0, 12.0, 11.0), (9.3, 4.4, 7.0)):
        two = is_a("amphoteric"), ionises("product", "acid", acid), ionises("product", "base", base)
        assert thinks("free", PRODUCT, *two, wet).first(f.BringsTo)["ph"] == ph
    # once brought there, not again
    pot = in_pot(2.0, kept=0.1)
    assert len(list(thinks("free", PRODUCT, *both, pot, wet).facts_of(f.BringsTo))) == 1


# ---- after the washes


def test_finishing_exactly_at_its_limits() -> None:
    kept = f.Kept(solution="hcl_1m", component="c1")

    def added(ph: float, *more: Fact, subject: str = "nahco3_sat") -> bool:
        made = thinks("arrange", kept, bottle("hcl_1m", ph=ph), f.Extraction(solvent="toluene"), *more)
        return made.first(f.Adds, subject=subject) is not None

    ketal, pyrrole = (
        given(f.Stands, side="low", ph=4.0, group="ketal"),
        f.Contains(component="product", group="pyrrole"),
    )
    assert not added(3.5, ketal) and not added(3.5, pyrrole) and added(3.4, pyrrole)
    base = f.Kept(solution="nahco3_sat", component="c2")
    assert not added(1.0, pyrrole, base) and not added(1.0, f.Contains(component="product", group="alkyl_ester"))
    assert not added(1.0, pyrrole, f.Harms(solution="nahco3_sat", how="destroys"))
    assert not added(1.0, f.Contains(component="c1", group="pyrrole"))
    assert not added(1.0, ketal, f.Harms(solution="brine", how="reacts"), subject="brine") and added(
        1.0, ketal, subject="brine"
    )


def test_whether_water_has_been_near() -> None:
    def brine(*facts: Fact, **options: Any) -> bool:
        made = thinks("arrange", f.Extraction(solvent="toluene"), *facts, **options)
        return made.first(f.Adds, subject="brine", rank=80) is not None

    assert not brine() and brine(f.Swap(solution="naoh_1m", back_ph=2.0)) and brine(f.BringsTo(ph=2.0, reagent="acid"))
    quench = f.Prepares(action="quench", subject="c1")
    assert brine(quench, left_over("acid_chloride", "quench"))
    assert not brine(quench, left_over("lithium_aluminium_hydride", "quench"))


def test_the_words_about_brine_and_drying() -> None:
    def text(solvent: str, kind: type[Fact], *facts: Fact) -> str:
        return text_of(thinks("arrange", f.Extraction(solvent=solvent), *facts, wet=True), kind)

    assert text("ethyl_acetate", f.Adds) == "ethyl acetate saturated with water holds 2.94 % of it"
    assert text("1,2-dichlorobenzene", f.Adds).endswith("holds 0 % of it")
    assert "(" not in text("toluene", f.Dries)
    amine = text("toluene", f.Dries, is_a("base"), ionises("product", "base", 10.0))
    assert "magnesium sulfate is slightly acidic" in amine and "conjugate acid pKa 10.0" in amine
    made = thinks("arrange", f.Contains(component="product", group="phenol"))
    barred = {fact["desiccant"] for _, fact in made.facts_of(f.BarredDesiccant)}
    assert {"k2co3", "cacl2"} <= barred and "mgso4" not in barred
    assert "binds the phenol" in text_of(made, f.BarredDesiccant, desiccant="cacl2")
    made = thinks("arrange", f.Contains(component="product", group="enol_ether"))
    assert "harms the enol ether" in text_of(made, f.BarredDesiccant, desiccant="mgso4")
    for pka, told in ((7.0, False), (7.1, True)):
        made = thinks("arrange", is_a("base"), ionises("product", "base", pka))
        assert (made.first(f.ShunnedDesiccant, desiccant="mgso4", group="base") is not None) is told
