"""Where each rule of the planner begins and ends: facts given by hand, one case on each side of every limit.

The cases that a rule carries run the whole engine on real flasks; here a number stands just inside or just outside.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest

from washlore.knowledge.rows import Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import Fact, engine
from washlore.rules.families import choice, finishing, pot, quench, removal, solvents, stripping
from washlore.rules.mixture import Mixture, build, read_other
from washlore.rules.perceive import Job

ESTER = "CCOC(=O)c1ccc(C)cc1"


def given(kind: type[Fact], /, **slots: Any) -> Fact:
    """Return a fact with the slots that a case does not speak of filled with nothing."""
    empty: dict[str, Any] = dict.fromkeys(kind.slots, 0.0)
    return kind(**{**empty, **slots})


@cache
def flask(product: str, *others: str) -> Mixture:
    return build(product, [read_other(o) for o in others], product_amount="10 mmol")


def thinks(
    stage: str, *facts: Fact, product: str = ESTER, others: tuple[str, ...] = ("pyridine; 5 mmol",), wet: bool = False
) -> Any:
    """Return the engine after one stage on these facts."""
    made = engine()
    made.reset()
    made.job = Job(flask(product, *others), wet=wet)
    for fact in facts:
        made.observe(fact, "given")
    made.begin(stage)
    return made


def text_of(made: Any, kind: type[Fact], /, **slots: Any) -> str:
    fact = made.first(kind, **slots)
    assert fact is not None, [k.fact for k in made.known.values()]
    return made.known[fact["__factid__"]].reasons[0].text


C1 = given(f.Component, id="c1", role="base", mmol=5.0)
PRODUCT = given(f.Component, id="product", role="product", mmol=10.0)


def ionises(c: str, kind: str, pka: float, sigma: float = 0.3) -> Fact:
    return given(f.Ionises, component=c, kind=kind, pka=pka, sigma=sigma, site_class="")


def is_a(kind: str, c: str = "product") -> Fact:
    return f.Behaviour(component=c, kind=kind)


def bottle(key: str, **other: Any) -> Fact:
    row = table(Solution)[key]
    return f.Bottle(
        **{
            "solution": key,
            "ph": row.ph,
            "acts_as": row.acts_as,
            "harshness": row.harshness,
            "general": row.general,
            **other,
        }
    )


# ---- what a compound is


@pytest.mark.parametrize(
    ("kind", "pka", "behaviour"),
    [
        ("acid", 6.4, "acid"),
        ("acid", 6.5, "weak acid"),
        ("acid", 6.6, "weak acid"),
        ("base", 3.9, "weak base"),
        ("base", 4.0, "base"),
        ("base", 4.1, "base"),
    ],
)
def test_acids_and_bases_by_their_pka(kind: str, pka: float, behaviour: str) -> None:
    made = thinks("classify", C1, ionises("c1", kind, pka))
    assert {fact["kind"] for _, fact in made.facts_of(f.Behaviour)} == {behaviour}


@pytest.mark.parametrize(
    ("acid", "base", "words"),
    [(9.0, 4.0, "neutral between"), (2.0, 9.0, "a zwitterion between"), (9.0, 2.0, "neutral")],
)
def test_an_amphoteric_compound_and_its_isoelectric_ph(acid: float, base: float, words: str) -> None:
    made = thinks("classify", C1, ionises("c1", "acid", acid), ionises("c1", "base", base))
    text = text_of(made, f.Behaviour, component="c1", kind="amphoteric")
    assert words in text and f"near pH {(acid + base) / 2:.1f}" in text
    assert not thinks("classify", C1, ionises("c1", "acid", acid), ionises("c1", "base", 1.9)).first(
        f.Behaviour, kind="amphoteric"
    )


# ---- the flask brought to a pH


def in_pot(ph: float, kept: float = 0.0, neutral: float = 1.0, **other: Any) -> Fact:
    return given(f.Pot, **{"ph": ph, "kept": kept, "neutral": neutral, "neutral_3": neutral, "ions": True, **other})


def brought(*facts: Fact, **options: Any) -> tuple[float, str] | None:
    made = thinks("free", PRODUCT, *facts, **options)
    fact = made.first(f.BringsTo)
    return fact and (fact["ph"], fact["reagent"])


BASE9 = (is_a("base"), ionises("product", "base", 9.0))
ACID4 = (is_a("acid"), ionises("product", "acid", 4.2))


def test_a_base_is_freed_only_where_water_would_hold_it() -> None:
    # 9.0 + 2.2, to the half: carbonate would not do
    assert brought(*BASE9, in_pot(3.0)) == (11.0, "potassium carbonate")
    assert brought(*BASE9, in_pot(9.9)) is not None and brought(*BASE9, in_pot(10.1)) is None
    assert brought(*BASE9, in_pot(3.0, kept=0.84)) is not None and brought(*BASE9, in_pot(3.0, kept=0.86)) is None
    assert brought(*BASE9, in_pot(3.0, kept=0.5, neutral=0.58)) is None
    assert brought(*BASE9, in_pot(3.0, ions=False)) is None
    assert brought(is_a("weak base"), ionises("product", "base", 2.0), in_pot(0.0)) is not None
    assert brought(is_a("weak base"), ionises("product", "base", 1.9), in_pot(0.0)) is None


@pytest.mark.parametrize(
    ("pka", "limit", "expected"),
    [
        (9.0, None, (11.0, "potassium carbonate")),
        (9.6, None, (12.0, "6 M sodium hydroxide")),
        (11.5, None, (13.0, "6 M sodium hydroxide")),
        (6.0, None, (8.0, "solid sodium hydrogen carbonate")),
        (6.5, None, (8.5, "potassium carbonate")),
        (4.0, None, (7.5, "solid sodium hydrogen carbonate")),
        (9.0, 9.0, (8.5, "potassium carbonate")),  # a third of a unit under what the product stands
        (9.0, 8.5, (8.0, "solid sodium hydrogen carbonate")),
    ],
)
def test_how_basic_a_flask_is_made_and_with_what(pka: float, limit: float | None, expected: tuple) -> None:
    stands = (
        ()
        if limit is None
        else (given(f.Stands, side="high", ph=limit, group="x"), given(f.Stands, side="high", ph=14.0, group="y"))
    )
    assert brought(is_a("base"), ionises("product", "base", pka), in_pot(1.0), *stands) == expected


def test_the_ph_of_the_usual_water_with_the_acids_of_the_flask() -> None:
    def ph(limit: float, *others: str) -> float:
        made = thinks("part", others=others)
        assert quench._usual_ml(made) == pytest.approx(16.42, abs=0.01)
        return quench._soured_ph(made, limit)

    # millimoles in 16.4 mL, of what gives its proton to something of that pKa, less the base that is there
    assert ph(7.0, "acetic acid; 5 mmol") == pytest.approx(-math.log10(5 / 16.42), abs=0.01)
    assert ph(7.0, "acetic acid; 5 mmol", "triethylamine; 3 mmol") == pytest.approx(-math.log10(2 / 16.42), abs=0.01)
    assert ph(7.0, "acetic acid; 5 mmol", "HCl; 2 mmol") == pytest.approx(-math.log10(7 / 16.42), abs=0.01)
    assert ph(3.0, "acetic acid; 5 mmol", "HCl; 2 mmol") == pytest.approx(-math.log10(2 / 16.42), abs=0.01)
    assert ph(3.0, "acetic acid; 5 mmol") == ph(7.0, "phenol; 5 mmol") == ph(7.0, "triethylamine; 3 mmol") == 7.0


def test_an_acid_is_freed_only_where_water_would_hold_it() -> None:
    assert brought(*ACID4, in_pot(10.0)) == (2.0, "6 M hydrochloric acid")
    assert brought(*ACID4, in_pot(3.3)) is not None and brought(*ACID4, in_pot(3.1)) is None
    assert brought(*ACID4, in_pot(10.0, kept=0.84)) is not None and brought(*ACID4, in_pot(10.0, kept=0.86)) is None
    assert brought(is_a("weak acid"), ionises("product", "acid", 10.0), in_pot(12.0)) == (6.5, "6 M hydrochloric acid")
    assert brought(is_a("acid"), ionises("product", "acid", 2.0), in_pot(12.0)) == (1.5, "6 M hydrochloric acid")
    mild = "10 % citric acid or 1 M potassium hydrogen sulfate"
    low = given(f.Stands, side="low", ph=4.0, group="x"), given(f.Stands, side="low", ph=1.0, group="y")
    assert brought(*ACID4, in_pot(10.0), *low) == (4.5, mild)
    assert brought(*ACID4, is_a("amphoteric"), in_pot(10.0)) is None


def test_an_amphoteric_product_is_brought_to_its_isoelectric_ph() -> None:
    both = is_a("amphoteric"), ionises("product", "acid", 10.0), ionises("product", "base", 5.0)
    assert brought(*both, in_pot(2.0)) == (7.5, "solid sodium hydrogen carbonate")
    assert brought(*both, in_pot(12.0)) == (7.5, "hydrochloric acid")
    assert brought(*both, in_pot(6.4)) is not None and brought(*both, in_pot(6.6)) is None
    assert brought(*both, in_pot(8.6)) is not None and brought(*both, in_pot(8.4)) is None
    assert brought(*both, in_pot(12.0, kept=0.86)) is None
    low = is_a("amphoteric"), ionises("product", "acid", 1.0), ionises("product", "base", 2.0)
    assert brought(*low, in_pot(7.0)) == (2.0, "hydrochloric acid")
    high = is_a("amphoteric"), ionises("product", "acid", 13.0), ionises("product", "base", 12.0)
    assert brought(*high, in_pot(7.0)) == (11.0, "potassium carbonate")
    quenched = left_over("acid_chloride", "quench", "acid halide")
    for pka, base in ((11.5, "solid sodium hydrogen carbonate"), (12.5, "potassium carbonate")):
        found = brought(
            is_a("amphoteric"),
            ionises("product", "acid", pka),
            ionises("product", "base", 5.0),
            quenched,
            others=("benzoyl chloride; 5 mmol",),
        )
        assert found == (round(pka + 5.0) / 2, f"hydrochloric acid or {base}, whichever it needs")

        def beside(residue: str, action: str, pka: float = pka) -> str:
            made = brought(
                is_a("amphoteric"),
                ionises("product", "acid", pka),
                ionises("product", "base", 5.0),
                quenched,
                left_over(residue, action, c="c2"),
                others=("benzoyl chloride; 5 mmol", "sodium azide; 5 mmol"),
            )
            assert made is not None
            return made[1]

        # where a drop of acid would set a poison free base alone does it, unless the target is acidic anyway
        assert beside("azide_ion", "wash") == base
        assert beside("azide_ion", "quench") == beside("palladium", "wash") == found[1]
        assert beside("azide_ion", "wash", 8.0).startswith("hydrochloric acid or ")


def left_over(residue: str, action: str, kind: str = "x", solution: str = "", c: str = "c1") -> Fact:
    return f.Leftover(component=c, residue=residue, action=action, solution=solution, kind=kind)


def test_a_quench_that_leaves_base_or_acid_is_followed_by_the_other() -> None:
    metal = left_over("organolithium", "quench", "organometallic")
    assert brought(*ACID4, metal) == (2.0, "6 M hydrochloric acid")
    assert brought(is_a("weak acid"), ionises("product", "acid", 10.9), metal) == (5.0, "6 M hydrochloric acid")
    assert brought(is_a("weak acid"), ionises("product", "acid", 11.1), metal) is None
    # so weak and so greasy that the organic layer holds nine tenths of it, it is left alone
    for pka, kept, alone in ((9.1, 0.91, True), (9.1, 0.89, False), (8.9, 0.91, False)):
        halide = left_over("acid_chloride", "quench", "acid halide", "nahco3_sat")
        found = brought(is_a("weak acid"), ionises("product", "acid", pka), halide, in_pot(8.2, kept))
        assert (found is None) is alone, (pka, kept)
    buffered = left_over(metal["residue"], "quench", "organometallic", "nh4cl_sat")
    assert brought(is_a("weak acid"), ionises("product", "acid", 8.9), buffered) is not None
    assert brought(is_a("weak acid"), ionises("product", "acid", 9.1), buffered) is None
    low = given(f.Stands, side="low", ph=4.0, group="x")
    assert brought(*ACID4, metal, low) == (4.5, "10 % citric acid or 1 M potassium hydrogen sulfate")
    halide = left_over("acid_chloride", "quench", "acid halide")
    assert (
        brought(is_a("base"), ionises("product", "base", 4.0), halide, others=("benzoyl chloride; 5 mmol",)) is not None
    )
    assert (
        brought(is_a("weak base"), ionises("product", "base", 3.9), halide, others=("benzoyl chloride; 5 mmol",))
        is None
    )
    assert brought(is_a("base"), ionises("product", "base", 7.6), buffered) is not None
    assert brought(is_a("base"), ionises("product", "base", 7.4), buffered) is None


def test_the_salt_is_rinsed_only_while_the_water_holds_it() -> None:
    def rinsed(kept: float, neutral: float, log_k: float) -> bool:
        made = thinks(
            "free", PRODUCT, C1, ionises("product", "acid", 4.2), in_pot(10.0, kept, neutral), is_a("neutral", "c1"),
            f.Greasy(component="c1", log_k=log_k),
        )  # fmt: skip
        return made.first(f.RinsesFirst, because="c1") is not None

    assert rinsed(0.09, 0.9, 0.4)
    assert not rinsed(0.11, 0.9, 0.4) and not rinsed(0.05, 0.09, 0.4) and not rinsed(0.05, 0.9, 0.2)
    assert pot.IN_THE_WATER == 0.1 and pot.GREASY_LOG_K == 0.3


# ---- what a solution would do to the product


def harms(*facts: Fact, **options: Any) -> set[str]:
    made = thinks("protect", *facts, **options)
    return {f"{fact['solution']} {fact['how']}" for _, fact in made.facts_of(f.Harms)}


def strains(*facts: Fact, **options: Any) -> set[str]:
    made = thinks("protect", *facts, **options)
    return {fact["solution"] for _, fact in made.facts_of(f.Strains)}


POT0 = in_pot(7.0, kept=1.0, neutral=1.0, log_p=1.0)
BOC = "CC(C)(C)OC(=O)NCCc1ccccc1"


@pytest.mark.parametrize(
    ("ph", "harmed", "strained"), [(1.6, True, False), (1.8, False, True), (2.2, False, True), (2.4, False, False)]
)
def test_acid_at_the_edge_of_what_a_group_stands(ph: float, harmed: bool, strained: bool) -> None:
    facts = given(f.Stands, side="low", ph=2.0, group="ketal"), bottle("hcl_1m", ph=ph), POT0
    assert harms(*facts) == ({"hcl_1m destroys"} if harmed else set())
    assert strains(*facts) == ({"hcl_1m"} if strained else set())


@pytest.mark.parametrize(
    ("ph", "harmed", "strained"), [(12.4, True, False), (12.2, False, True), (11.8, False, True), (11.6, False, False)]
)
def test_base_at_the_edge_of_what_a_group_stands(ph: float, harmed: bool, strained: bool) -> None:
    facts = given(f.Stands, side="high", ph=12.0, group="ketal"), bottle("naoh_1m", ph=ph), POT0
    assert harms(*facts) == ({"naoh_1m destroys"} if harmed else set())
    assert strains(*facts) == ({"naoh_1m"} if strained else set())


def test_a_greasy_ester_outlives_a_base_little_beyond_its_limit() -> None:
    """Handbook hydrolysis of a hindered ester is slow, and what is not in the water does not meet it."""

    def destroyed(limit: float, ph: float, log_p: float) -> bool:
        facts = (
            given(f.Stands, side="high", ph=limit, group="hindered_ester"),
            bottle("naoh_1m", ph=ph),
            in_pot(7, log_p=log_p),
        )
        uptake = given(f.Uptake, component="product", solution="naoh_1m", after_1=1.0, after_3=1.0)
        return "naoh_1m destroys" in harms(*facts, uptake, product="CC(C)(C)C(=O)OC(C)(C)CCCCCC")

    assert not destroyed(12.0, 12.9, 3.6) and destroyed(12.0, 12.9, 3.4)
    assert destroyed(12.0, 14.0, 3.6)


def uptake(solution: str, **after: Any) -> Fact:
    return given(f.Uptake, component="product", solution=solution, **after)


def test_a_solution_that_carries_the_product_away() -> None:
    def away(left: float, neutral: float, key: str = "hcl_1m", *more: Fact) -> bool:
        made = harms(uptake(key, after_3=left), in_pot(7.0, neutral=neutral), bottle(key), *more)
        return f"{key} carries away" in made

    assert away(0.94, 1.0) and not away(0.96, 1.0)
    # It is no fault of the acid if the neutral form goes just as far.
    assert not away(0.90, 0.94) and away(0.88, 0.94)
    assert not away(0.5, 1.0, "water") and not away(0.5, 1.0, "brine")
    # Acid does not draw an acid, nor base a base, out of the layer.
    assert not away(0.5, 1.0, "hcl_1m", *ACID4) and away(
        0.5, 1.0, "hcl_1m", is_a("acid"), ionises("product", "acid", -1.0)
    )
    assert away(0.5, 1.0, "hcl_1m", *ACID4, is_a("base"))
    assert not away(0.5, 1.0, "naoh_1m", *BASE9) and away(0.5, 1.0, "naoh_1m", *ACID4)
    assert not away(0.5, 1.0, "nahco3_sat", *BASE9) and away(
        0.5, 1.0, "nahco3_sat", is_a("base"), ionises("product", "base", 10.5)
    )
    assert away(0.5, 1.0, "naoh_1m", *BASE9, is_a("weak acid"))


def test_a_wash_that_gambles_with_the_product() -> None:
    def gamble(left: float, neutral: float) -> bool:
        unlucky = f.Unlucky(solution="naoh_1m", after_2=left)
        return "naoh_1m" in strains(unlucky, in_pot(7.0, neutral_unlucky=neutral), bottle("naoh_1m"))

    assert gamble(0.69, 1.0) and not gamble(0.71, 1.0) and gamble(0.55, 0.8) and not gamble(0.57, 0.8)


def test_a_wash_in_which_the_product_decays() -> None:
    for share, gone in ((0.049, False), (0.051, True)):
        assert ("naoh_1m destroys" in harms(f.Decays(solution="naoh_1m", share=share, group="ester"))) is gone
    made = thinks("protect", f.Decays(solution="naoh_1m", share=0.25, group="ester"))
    assert "about 25 % of" in text_of(made, f.Harms)
    assert "about 100 % of" in text_of(
        thinks("protect", f.Decays(solution="naoh_1m", share=3.0, group="ester")), f.Harms
    )


@pytest.mark.parametrize(
    ("pka", "key", "ph", "harmed"),
    [
        (9.0, "hcl_1m", 9.9, True),
        (9.0, "hcl_1m", 10.1, False),
        (9.0, "phosphate_ph7", 7.0, True),
        (9.0, "water", 7.0, False),
        (3.6, "hcl_1m", 4.5, True),
        (3.5, "hcl_1m", 4.1, False),
        (3.5, "hcl_1m", 3.9, True),
        (0.0, "hcl_1m", 0.4, True),
        (-0.1, "hcl_1m", 0.2, False),
    ],
)
def test_no_acid_on_a_basic_product(pka: float, key: str, ph: float, harmed: bool) -> None:
    if key not in table(Solution):
        key = next(r.id for r in table(Solution).values() if r.acts_as == "buffer")
    made = harms(ionises("product", "base", pka), bottle(key, ph=ph))
    assert made == ({f"{key} carries away"} if harmed else set())


def test_a_feeble_base_that_stays_organic_may_meet_acid_and_an_amino_acid_its_own() -> None:
    base = ionises("product", "base", 2.0)
    assert harms(base, bottle("hcl_1m", ph=0.0), f.Unlucky(solution="hcl_1m", after_2=0.69)) == {"hcl_1m carries away"}
    assert harms(base, bottle("hcl_1m", ph=0.0), f.Unlucky(solution="hcl_1m", after_2=0.71)) == set()
    assert harms(base, ionises("product", "acid", 4.0), bottle("hcl_1m", ph=0.0)) == set()
    strong = ionises("product", "base", 9.0)
    assert harms(strong, ionises("product", "acid", 9.0), bottle("hcl_1m")) == set()
    assert harms(strong, ionises("product", "acid", 9.1), bottle("hcl_1m")) == {"hcl_1m carries away"}


@pytest.mark.parametrize(
    ("pka", "ph", "harmed"),
    [(4.0, 3.1, True), (4.0, 2.9, False), (6.5, 6.1, True), (6.5, 5.9, False), (10.0, 9.6, True), (10.0, 9.4, False)],
)
def test_no_base_on_an_acidic_product(pka: float, ph: float, harmed: bool) -> None:
    facts = ionises("product", "acid", pka), bottle("naoh_1m", ph=ph), f.Unlucky(solution="naoh_1m", after_2=0.5)
    assert harms(*facts) == ({"naoh_1m carries away"} if harmed else set())
    assert harms(ionises("product", "acid", pka), bottle("hcl_1m", ph=ph)) == set()


def test_a_greasy_phenol_only_strains() -> None:
    for left, strained in ((0.96, True), (0.94, False)):
        facts = ionises("product", "acid", 10.0), bottle("naoh_1m"), f.Unlucky(solution="naoh_1m", after_2=left)
        assert (strains(*facts) == {"naoh_1m"}) is strained and (harms(*facts) == set()) is strained
    acid = ionises("product", "acid", 4.0), bottle("naoh_1m"), f.Unlucky(solution="naoh_1m", after_2=0.99)
    assert harms(*acid) == {"naoh_1m carries away"}


def test_cyanide_is_out_before_acid_comes() -> None:
    facts = left_over("cyanide", "wash"), bottle("hcl_1m"), bottle("nahco3_sat"), bottle("citric_10")
    made = thinks("protect", *facts, others=("sodium cyanide; 5 mmol",))
    assert {fact["solution"] for _, fact in made.facts_of(f.Strains)} == {"hcl_1m", "citric_10"}
    assert made.first(f.FirstOut, component="c1") is not None


# ---- what takes a leftover


def taken(*facts: Fact, **options: Any) -> set[tuple[str, int]]:
    made = thinks("remove", C1, *facts, **options)
    return {(fact["solution"], fact["contacts"]) for _, fact in made.facts_of(f.Takes, component="c1")}


def enough(key: str, n: int = 2, c: str = "c1") -> Fact:
    return f.Uptake(
        component=c, solution=key, after_1=0.1, after_2=0.02, after_3=0.002, enough=n, sure=True, spent_ph=5.0
    )


@pytest.mark.parametrize(
    ("pka", "ph", "serves"), [(4.0, 5.1, True), (4.0, 4.9, False), (6.4, 5.5, True), (6.4, 5.3, False)]
)
def test_base_takes_an_acid(pka: float, ph: float, serves: bool) -> None:
    facts = is_a("acid", "c1"), ionises("c1", "acid", pka), enough("naoh_1m"), bottle("naoh_1m", ph=ph, general=True)
    assert taken(*facts) == ({("naoh_1m", 2)} if serves else set())
    assert taken(*facts[:3], bottle("naoh_1m", ph=ph, general=True, acts_as="salt")) == set()


@pytest.mark.parametrize(
    ("pka", "ph", "serves"), [(7.0, 7.1, True), (7.0, 6.9, False), (10.0, 9.1, True), (10.0, 8.9, False)]
)
def test_strong_base_takes_a_weak_acid(pka: float, ph: float, serves: bool) -> None:
    facts = (
        is_a("weak acid", "c1"),
        ionises("c1", "acid", pka),
        enough("naoh_1m", 3),
        bottle("naoh_1m", ph=ph, general=True),
    )
    assert taken(*facts) == ({("naoh_1m", 3)} if serves else set())


@pytest.mark.parametrize(
    ("pka", "ph", "serves"), [(5.2, 6.1, True), (5.2, 6.3, False), (10.0, 7.9, True), (10.0, 8.1, False)]
)
def test_acid_takes_a_base(pka: float, ph: float, serves: bool) -> None:
    facts = is_a("base", "c1"), ionises("c1", "base", pka), enough("hcl_1m", 1), bottle("hcl_1m", ph=ph, general=True)
    assert taken(*facts) == ({("hcl_1m", 1)} if serves else set())
    # A wash that is not enough in three portions, or harms, is not offered.
    assert taken(*facts[:2], enough("hcl_1m", 0), facts[3]) == set()
    assert taken(*facts, f.Harms(solution="hcl_1m", how="destroys")) == set()


def test_the_words_say_how_much_each_number_of_portions_leaves() -> None:
    facts = is_a("base", "c1"), ionises("c1", "base", 5.2), bottle("hcl_1m", general=True)
    for n, left, words in ((1, 0.1, "one portion of"), (2, 0.02, "2 portions of"), (3, 0.002, "3 portions of")):
        made = thinks("remove", C1, *facts, enough("hcl_1m", n))
        assert words in text_of(made, f.Takes) and made.first(f.Takes)["left"] == left
        assert "the first spent at pH 5.0" in text_of(made, f.Takes)


def test_what_water_takes_to_the_target_it_takes_where_the_product_allows_nothing_stronger() -> None:
    for kind, barred, other in (("acid", "nahco3_sat", "citric_10"), ("base", "citric_10", "nahco3_sat")):
        facts = is_a(kind, "c1"), ionises("c1", kind, 4.0), enough("water")
        assert ("water", 2) in taken(*facts, f.Harms(solution=barred, how="destroys"))
        assert ("water", 2) not in taken(*facts, f.Harms(solution=other, how="destroys"))


def test_copper_takes_pyridines_of_middling_strength() -> None:
    group = f.Contains(component="c1", group="pyridine")
    for pka, serves in ((4.1, True), (3.9, False), (7.9, True), (8.1, False)):
        assert (("cuso4_sat", 2) in taken(group, ionises("c1", "base", pka))) is serves
    assert taken(group, ionises("c1", "base", 5.2), f.Contains(component="product", group="terminal_alkyne")) == set()
    assert taken(group, ionises("c1", "base", 6.6), others=("2,6-lutidine; 5 mmol",)) == set()
    assert taken(group, ionises("c1", "base", 6.0), others=("CCCCCCc1ccncc1; 5 mmol",)) == set()


def test_what_boils_low_leaves_with_the_solvent() -> None:
    def leaves(stage: str, boiling_c: float, *more: Fact) -> bool:
        made = thinks(stage, C1, f.Boils(component="c1", boiling_c=boiling_c), *more)
        return made.first(f.Leaves, component="c1", way="evaporation") is not None

    assert leaves("remove", 100.0) and not leaves("remove", 101.0)
    assert leaves("compare", 115.0, ionises("c1", "base", 5.0)) and not leaves(
        "compare", 116.0, ionises("c1", "base", 5.0)
    )
    taken_already = f.Takes(solution="hcl_1m", component="c1", left=0.0, contacts=1, sure=True)
    assert not leaves("compare", 100.0, ionises("c1", "base", 5.0), taken_already)


def test_a_wash_that_only_thins() -> None:
    def thins(key: str, left: float, plain: float, kept: float = 1.0, *more: Fact) -> bool:
        facts = (
            given(f.Uptake, component="c1", solution="water", after_3=plain),
            *(() if key == "water" else (given(f.Uptake, component="c1", solution=key, after_3=left, enough=0),)),
            given(f.Uptake, component="product", solution=key, after_3=kept),
            bottle(key, general=True),
            *more,
        )
        return thinks("compare", C1, *facts).first(f.Thins, solution=key) is not None

    base = ionises("c1", "base", 5.0)
    assert thins("hcl_1m", 0.4, 1.0, 1.0, base) and not thins("hcl_1m", 0.41, 1.0, 1.0, base)
    assert thins("hcl_1m", 0.29, 0.6, 1.0, base) and not thins("hcl_1m", 0.31, 0.6, 1.0, base)
    assert thins("water", 0.4, 0.4) and not thins("water", 0.41, 0.41)
    assert not thins("hcl_1m", 0.1, 1.0, 0.84, base) and thins("hcl_1m", 0.1, 1.0, 0.85, base)
    assert not thins("hcl_1m", 0.1, 1.0)
    assert removal.WORTH_HAVING == 0.4 and removal.LEAST_KEPT == 0.85


# ---- which of several is chosen


def takes(key: str, n: int = 1, sure: bool = True, c: str = "c1") -> Fact:
    return f.Takes(solution=key, component=c, left=0.0, contacts=n, sure=sure)


def test_the_price_of_a_wash() -> None:
    plain = (
        in_pot(7.0, neutral_3=1.0),
        *(
            given(f.Uptake, component="product", solution=s, after_3=1.0)
            for s in ("hcl_1m", "water", "nahco3_sat", "citric_10")
        ),
    )
    rows = table(Solution)

    def price(key: str, n: int = 1, *facts: Fact) -> float:
        return choice.price(thinks("part", *facts, *plain), key, n)

    base = rows["nahco3_sat"].harshness
    assert price("nahco3_sat") == pytest.approx(base)
    # a wash is done twice anyhow; each contact after that costs 0.4, brine's after the first
    assert price("nahco3_sat", 2) == pytest.approx(base) and price("nahco3_sat", 3) == pytest.approx(base + 0.4)
    assert price("nahco3_sat", 1, f.Strains(solution="nahco3_sat", group="x")) == pytest.approx(base + 3.0)
    # the ordinary acid is cheap, unless the product minds acid at all
    stands = given(f.Stands, side="low", ph=0.0, group="x")
    assert price("hcl_1m", 1, stands) - price("hcl_1m") == pytest.approx(4.2)
    amine = ionises("product", "base", -1.0, 0.5)
    assert price("hcl_1m", 1, amine) - price("hcl_1m") == pytest.approx(6.0 + 4.2)
    assert price("hcl_1m", 1, ionises("product", "base", -4.0, 0.5)) == pytest.approx(price("hcl_1m"))
    assert price("hcl_1m", 1, f.Contains(component="product", group="pyridine")) - price("hcl_1m") == pytest.approx(
        10.2
    )
    assert price("nahco3_sat", 1, f.Contains(component="product", group="pyridine")) == pytest.approx(base)


def test_water_that_carries_product_is_dear() -> None:
    def price(left: float, neutral_3: float) -> float:
        made = thinks(
            "part",
            in_pot(7.0, neutral_3=neutral_3),
            given(f.Uptake, component="product", solution="water", after_3=left),
        )
        return choice.price(made, "water", 1)

    assert price(0.94, 1.0) - price(0.96, 1.0) == pytest.approx(6.0)
    assert price(0.84, 0.90) - price(0.86, 0.90) == pytest.approx(6.0)


def chosen(*facts: Fact) -> tuple[str, set[str], str]:
    """Return the solution chosen for the component, those passed over, and the words."""
    ups = [given(f.Uptake, component="product", solution=s, after_3=1.0) for s in table(Solution)]
    made = thinks("stick", C1, in_pot(7.0, neutral_3=1.0), *ups, *facts)
    best = made.first(f.Chosen, component="c1")
    return (
        best["solution"],
        {fact["solution"] for _, fact in made.facts_of(f.Passed, component="c1")},
        text_of(made, f.Chosen),
    )


def test_the_mildest_that_serves_is_chosen_and_the_others_are_named() -> None:
    best, passed, text = chosen(takes("nahco3_sat", 2), takes("naoh_1m", 1), takes("na2co3_10", 1))
    assert best == "nahco3_sat" and passed == {"naoh_1m", "na2co3_10"}
    assert "before" in text and "sodium hydroxide" in text
    assert chosen(takes("naoh_1m"))[2].endswith("the only one open to it")
    # One that is not sure to serve costs two points more: as much as carbonate is harsher, and less than hydroxide is.
    rows = table(Solution)
    assert rows["na2co3_10"].harshness - rows["nahco3_sat"].harshness == choice.UNSURE
    assert chosen(takes("nahco3_sat", 2, sure=False), takes("na2co3_10"))[0] == "nahco3_sat"  # of equals the milder
    assert chosen(takes("nahco3_sat", 3, sure=False), takes("na2co3_10"))[0] == "na2co3_10"
    assert chosen(takes("nahco3_sat", 1, sure=False), takes("naoh_1m"))[0] == "nahco3_sat"


def test_thinning_is_chosen_by_what_is_left_and_only_where_nothing_takes() -> None:
    def thins(key: str, left: float) -> Fact:
        return f.Thins(solution=key, component="c1", left=left, contacts=3)

    assert chosen(thins("water", 0.3), thins("hcl_1m", 0.05))[0] == "hcl_1m"
    assert chosen(thins("water", 0.05), thins("nahco3_sat", 0.35))[0] == "water"
    assert chosen(thins("water", 0.01), takes("hcl_1m", 3))[0] == "hcl_1m"


def test_one_wash_serves_several() -> None:
    made = thinks(
        "decide",
        C1,
        *(f.Chosen(solution=s, component=c, contacts=1) for s, c in (("naoh_1m", "c1"), ("nahco3_sat", "c2"))),
        takes("naoh_1m"), takes("naoh_1m", c="c2"), takes("nahco3_sat", c="c2"),
        others=("phenol; 5 mmol", "benzoic acid; 5 mmol"),
    )  # fmt: skip
    assert {(fact["solution"], fact["component"]) for _, fact in made.facts_of(f.Kept)} == {
        ("naoh_1m", "c1"),
        ("naoh_1m", "c2"),
    }
    assert made.first(f.Covered, component="c2", by="naoh_1m") is not None


# ---- the product carried through water


def swapped(
    *trials: tuple[str, float], leaves: float = 0.0, stuck: bool = True, others: tuple = ("naphthalene; 5 mmol",)
) -> str | None:
    facts = [f.SwapTrial(solution=s, recovered=r, back_ph=2.0) for s, r in trials]
    left = [f.SwapLeaves(solution=s, component="c1", left=leaves, enough=leaves < 0.01) for s, _ in trials]
    more = [f.Stuck(component="c1")] if stuck else []
    made = thinks("decide", is_a("acid"), *facts, *left, *more, others=others)
    fact = made.first(f.Swap)
    return fact and fact["solution"]


def test_a_swap_is_made_where_it_pays() -> None:
    assert swapped(("naoh_1m", 0.95)) == "naoh_1m"
    # below nine tenths it has to take off thrice what it loses
    much = ("naphthalene; 10 mmol",)
    assert swapped(("naoh_1m", 0.71), others=much) == "naoh_1m" and swapped(("naoh_1m", 0.69), others=much) is None
    assert swapped(("naoh_1m", 0.84)) == "naoh_1m" and swapped(("naoh_1m", 0.82)) is None
    assert swapped(("naoh_1m", 0.91), others=("naphthalene; 0.6 mmol",)) == "naoh_1m"
    assert swapped(("naoh_1m", 0.89), others=("naphthalene; 0.6 mmol",)) is None
    assert swapped(("naoh_1m", 0.95), leaves=0.1) == "naoh_1m" and swapped(("naoh_1m", 0.95), leaves=0.11) is None
    assert swapped(("naoh_1m", 0.95), stuck=False) is None
    # less than a twentieth of an equivalent is not worth it
    assert swapped(("naoh_1m", 0.95), others=("naphthalene; 0.51 mmol",)) == "naoh_1m"
    assert swapped(("naoh_1m", 0.95), others=("naphthalene; 0.49 mmol",)) is None
    # the better recovery decides, and between equals the milder
    assert swapped(("naoh_1m", 0.97), ("nahco3_sat", 0.75)) == "naoh_1m"
    assert swapped(("naoh_1m", 0.97), ("nahco3_sat", 0.96)) == "nahco3_sat"


def test_a_swap_is_not_made_where_more_follows_the_product_than_there_is_of_it() -> None:
    def made(follows_mmol: float, stays_mmol: float = 2.0, left: float = 1.0, *more: Fact) -> bool:
        facts = (
            f.SwapTrial(solution="naoh_1m", recovered=0.95, back_ph=2.0), f.Stuck(component="c1"), f.Stuck(component="c2"),
            f.SwapLeaves(solution="naoh_1m", component="c1", left=0.0, enough=True),
            f.SwapLeaves(solution="naoh_1m", component="c2", left=left, enough=False), *more,
        )  # fmt: skip
        others = (f"naphthalene; {stays_mmol} mmol", f"stilbene; {follows_mmol} mmol")
        return thinks("decide", is_a("acid"), *facts, others=others).first(f.Swap) is not None

    # 10 mmol of product: whatever else needs another purification is no reason while it is less, or less than what stays behind
    assert made(9.8) and not made(10.2) and made(12.0, stays_mmol=12.5) and made(13.0, left=0.7)
    # A wash that thins something out leaves little of it to carry along, or to be worth a swap.
    thins = f.Thins(solution="water", component="c2", left=0.1, contacts=3)
    assert made(50.0, 2.0, 1.0, thins) and not made(50.0)
    thinned = f.Thins(solution="water", component="c1", left=0.1, contacts=3)
    assert not made(1.0, 4.9, 1.0, thinned) and made(1.0, 5.1, 1.0, thinned)


# ---- the solvent of the layer


def solvent_price(key: str, log_d: float, *facts: Fact, product: str = ESTER) -> float:
    made = thinks("part", *facts, product=product)
    return solvents._price(made, table(solvents.Solvent)[key], log_d)[0]


def medium(key: str) -> Fact:
    row = table(solvents.Solvent)[key]
    return given(
        f.Medium,
        solvent=key,
        miscibility=row.miscibility,
        boiling_c=row.boiling_c,
        volume_ml=40.0,
        extractant=row.extractant,
    )


def test_the_price_of_a_solvent() -> None:
    for key in ("ethyl_acetate", "dichloromethane", "toluene", "diethyl_ether", "hexane"):
        row = table(solvents.Solvent)[key]
        # A third of the volume of water takes 1 / (1 + 3 K) of the product.
        lost = solvent_price(key, 0.0) - solvent_price(key, 9.0)
        assert lost == pytest.approx(6.0 / 4.0, rel=1e-6)
        expected = (
            (0.5 if key == "hexane" else 0.0)
            + (0.0 if row.greenness is None else 0.06 * (10.0 - row.greenness))
            + 0.15 * bool(row.halogenated) + 0.1 * bool(row.peroxide_former)
            + (0.15 if (row.water_held_wt_pct or 0.0) > 4 else 0.0) + (0.45 if row.boiling_c > 105 else 0.0)
        )  # fmt: skip
        assert solvent_price(key, 9.0) == pytest.approx(expected, abs=1e-6)
    own = solvent_price("toluene", 9.0, medium("toluene")) - solvent_price("toluene", 9.0)
    assert own == pytest.approx(-1.0)


def test_what_else_makes_a_solvent_dear() -> None:
    def more(key: str, *facts: Fact) -> float:
        return solvent_price(key, 2.0, *facts) - solvent_price(key, 2.0)

    # hydroxide for a phenol or a strong amine breaks ethyl acetate
    phenol = ionises("c1", "acid", 10.0)
    assert more("ethyl_acetate", phenol) == pytest.approx(1.2) and more("toluene", phenol) == 0.0
    for pka, likely in ((7.4, False), (7.6, True), (11.4, True), (11.6, False)):
        assert more("ethyl_acetate", ionises("c1", "acid", pka)) == pytest.approx(1.2 if likely else 0.0)
    for pka, likely in ((7.4, False), (7.6, True)):
        assert more("ethyl_acetate", ionises("product", "base", pka)) == pytest.approx(1.2 if likely else 0.0)
    azide = left_over("azide_ion", "wash")
    assert more("dichloromethane", azide) == pytest.approx(6.0) and more("toluene", azide) == 0.0
    assert more("dichloromethane", f.Charged(component="c1", charge=1)) == pytest.approx(1.2)
    assert more("dichloromethane", f.Charged(component="product", charge=1)) == 0.0
    assert more("dichloromethane", f.Charged(component="c1", charge=-1)) == 0.0
    assert more("dichloromethane", f.Prepares(action="dilute", subject="dmf")) == pytest.approx(0.6)
    bisulfite = left_over("aldehyde", "wash", solution="nahso3_sat")
    assert more("dichloromethane", bisulfite) == pytest.approx(1.2)
    assert more("dichloromethane", bisulfite, ionises("product", "base", 5.0)) == 0.0


def test_a_reaction_solvent_that_cannot_be_stripped_off_the_product_is_kept() -> None:
    product = f.Boils(component="product", boiling_c=112.0)

    def more(key: str) -> float:
        return solvent_price(key, 9.0, product, medium("toluene")) - solvent_price(key, 9.0, product)

    assert more("diethyl_ether") == pytest.approx(3.0) and more("toluene") == pytest.approx(-1.0)
    far = f.Boils(component="product", boiling_c=300.0)
    assert solvent_price("diethyl_ether", 9.0, far, medium("toluene")) == pytest.approx(
        solvent_price("diethyl_ether", 9.0, far)
    )


def test_a_solvent_that_boils_near_the_product() -> None:
    row = table(solvents.Solvent)["toluene"]

    def more(boiling_c: float) -> float:
        return solvent_price("toluene", 9.0, f.Boils(component="product", boiling_c=boiling_c)) - solvent_price(
            "toluene", 9.0
        )

    assert more(row.boiling_c + solvents.STRIPS_CLEANLY_C + 1) == 0.0
    assert more(row.boiling_c + solvents.STRIPS_CLEANLY_C - 10) == pytest.approx(0.2)
    assert more(row.boiling_c) == pytest.approx(0.02 * solvents.STRIPS_CLEANLY_C)
    assert more(row.boiling_c - solvents.DISTILS_OUT_C - 1) == pytest.approx(solvents.DISTILS_OUT_PRICE)
    assert more(row.boiling_c - solvents.DISTILS_OUT_C + 1) == pytest.approx(
        0.02 * (solvents.STRIPS_CLEANLY_C + solvents.DISTILS_OUT_C - 1)
    )


def test_stripping_and_diluting_before_the_washes() -> None:
    def prepares(*facts: Fact, **options: Any) -> set[tuple[str, str]]:
        made = thinks("classify", PRODUCT, *facts, **options)
        return {(fact["action"], fact["subject"]) for _, fact in made.facts_of(f.Prepares)}

    asked = given(f.Candidate, solvent="ethyl_acetate", log_d=2.0, asked_for=True)
    hexane = medium("hexane")
    assert prepares(asked, hexane) == {("evaporate", "hexane")}
    for boiling_c, stripped in ((120.0, True), (121.0, False)):
        high = given(
            f.Medium, solvent="toluene", miscibility="immiscible", boiling_c=boiling_c, volume_ml=40.0, extractant=True
        )
        assert (("evaporate", "toluene") in prepares(asked, high)) is stripped
        miscible = given(
            f.Medium, solvent="dmf", miscibility="miscible", boiling_c=boiling_c, volume_ml=40.0, extractant=False
        )
        assert (("dilute", "dmf") in prepares(asked, miscible)) is not stripped
    # much of a volatile base is stripped first: three equivalents and more
    for mmol, boiling_c, stripped in (
        (solvents.MUCH_EQUIV * 10.0, 89.0, True),
        (solvents.MUCH_EQUIV * 10.0 - 0.1, 89.0, False),
        (solvents.MUCH_EQUIV * 10.0, 120.9, True),
        (solvents.MUCH_EQUIV * 10.0, 121.0, False),
    ):
        amine = given(f.Component, id="c1", role="base", mmol=mmol)
        facts = asked, amine, ionises("c1", "base", 10.0), f.Boils(component="c1", boiling_c=boiling_c)
        assert (("evaporate", "c1") in prepares(*facts)) is stripped
        close = f.Boils(component="product", boiling_c=boiling_c + solvents.BOILS_TOO_CLOSE_C - 1)
        assert ("evaporate", "c1") not in prepares(*facts, close)


def test_a_salt_is_filtered_off_dry_where_there_is_enough_of_it() -> None:
    def filtered(
        mmol: float,
        *more: Fact,
        boiling_c: float = 66.0,
        solvent: str = "thf",
        others: tuple = ("potassium carbonate; 5 mmol",),
    ) -> bool:
        facts = (
            PRODUCT, given(f.Component, id="c1", role="base", mmol=mmol), f.Inorganic(component="c1"),
            given(f.Medium, solvent=solvent, miscibility="miscible", boiling_c=boiling_c, volume_ml=40.0, extractant=False),
            given(f.Candidate, solvent="ethyl_acetate", log_d=2.0, asked_for=True),
        )  # fmt: skip
        return (
            thinks("classify", *facts, *more, others=others).first(f.Prepares, action="filter", subject="c1")
            is not None
        )

    least = solvents.WORTH_FILTERING_EQUIV * 10.0
    assert filtered(least) and not filtered(least - 0.1)
    assert filtered(least, boiling_c=120.9) and not filtered(least, boiling_c=121.0)
    # beside a strong acid, or with a wash of its own, it stays for the water
    assert not filtered(least, given(f.Harsh, component="c1", kind="nitric acid"))
    assert not filtered(least, left_over("azide_ion", "wash"))
    assert not filtered(least, others=("methyl iodide; 5 mmol",))


# ---- after the washes, and the funnel


def test_acid_is_ended_with_bicarbonate_before_a_sensitive_product_is_warmed() -> None:
    def added(ph: float, *more: Fact) -> bool:
        acid = bottle("hcl_1m", ph=ph)
        kept = f.Kept(solution="hcl_1m", component="c1")
        made = thinks("arrange", kept, acid, f.Extraction(solvent="toluene"), *more)
        return made.first(f.Adds, subject="nahco3_sat", rank=70) is not None

    ketal = given(f.Stands, side="low", ph=4.0, group="ketal")
    assert added(3.4, ketal) and not added(3.6, ketal) and not added(3.4)
    pyrrole = f.Contains(component="product", group="pyrrole")
    assert added(3.4, pyrrole) and not added(3.6, pyrrole)
    assert not added(3.4, ketal, f.Kept(solution="nahco3_sat", component="c2"))
    assert not added(3.4, ketal, f.Harms(solution="nahco3_sat", how="destroys"))


def test_brine_comes_last_where_water_was() -> None:
    kept = f.Kept(solution="hcl_1m", component="c1")
    made = thinks("arrange", f.Extraction(solvent="toluene"), kept)
    assert made.first(f.Adds, subject="brine", rank=80) is not None and made.first(f.Dries) is not None
    dry = thinks("arrange", f.Extraction(solvent="toluene"))
    assert dry.first(f.Adds) is None and dry.first(f.Dries) is None
    assert thinks("arrange", f.Extraction(solvent="toluene"), wet=True).first(f.Adds, subject="brine") is not None
    assert (
        thinks("arrange", f.Extraction(solvent="toluene"), medium("water")).first(f.Adds, subject="brine") is not None
    )
    assert finishing.NEUTRALISE_RANK < finishing.BRINE_RANK


def test_the_drying_agent_is_the_best_that_is_not_barred() -> None:
    def dries(*facts: Fact) -> str:
        made = thinks("arrange", f.Extraction(solvent="toluene"), f.Kept(solution="hcl_1m", component="c1"), *facts)
        return made.first(f.Dries)["desiccant"]

    rows = table(finishing.Desiccant)
    assert dries() == min(rows.values(), key=lambda r: r.rank).id == "mgso4"
    for pka, kind in ((7.1, "neutral"), (6.9, "acidic")):
        best = dries(is_a("base"), ionises("product", "base", pka))
        assert (rows[best].character == "acidic") is (kind == "acidic")
    for ph, shunned in ((2.0, True), (1.9, False)):
        best = dries(given(f.Stands, side="low", ph=ph, group="ketal"))
        assert (rows[best].character != "acidic") is shunned


def cautions(*facts: Fact, **options: Any) -> dict[str, str]:
    made = thinks("warn", *facts, **options)
    return {fact["id"]: made.known[i].reasons[0].text for i, fact in made.facts_of(f.Cautions)}


def layers(step: int = 1, **values: Any) -> Fact:
    return given(
        f.Layers, **{"step": step, "organic_density": 0.9, "aqueous_density": 1.05, "volume_ml": 100.0, **values}
    )


def test_gas_and_heat_are_told_from_where_they_matter() -> None:
    assert "carbon dioxide" in cautions(layers(co2_ml=15.1)) and "carbon dioxide" not in cautions(layers(co2_ml=14.9))
    assert "carbon dioxide" not in cautions(layers(co2_ml=15.0))
    assert "carbon dioxide" in cautions(f.Fizz(step=1, co2_ml=15.1, poured="acid")) and not cautions(
        f.Fizz(step=1, co2_ml=14.9, poured="acid")
    )
    assert "about 999 mL" in cautions(f.Fizz(step=1, co2_ml=999.0, poured="acid"))["carbon dioxide"]
    assert "about 1.0 L" in cautions(f.Fizz(step=1, co2_ml=1000.0, poured="acid"))["carbon dioxide"]
    assert "about 2.5 L" in cautions(f.Fizz(step=1, co2_ml=2500.0, poured="acid"))["carbon dioxide"]
    assert "heat" in cautions(layers(rise_c=5.1, heat_kj=1.0)) and "heat" not in cautions(
        layers(rise_c=4.9, heat_kj=1.0)
    )


def test_densities_and_sizes_of_the_layers() -> None:
    assert "close densities" in cautions(layers(organic_density=1.01, aqueous_density=1.05))
    assert "close densities" in cautions(layers(organic_density=1.09, aqueous_density=1.05))
    assert "close densities" not in cautions(layers(organic_density=0.99, aqueous_density=1.05))
    assert "close densities" not in cautions(layers(organic_density=1.11, aqueous_density=1.05))
    sinks, floats = layers(1, organic_density=1.2), layers(2, organic_density=1.2, aqueous_density=1.25)
    third = layers(3, organic_density=1.2)
    text = cautions(sinks, floats, third)["layers change places"]
    assert "bottom one in steps 1 and 3" in text and "top one in step 2:" in text
    assert "layers change places" not in cautions(sinks, third)
    made = thinks("warn", sinks, floats, third)
    assert sum(fact["id"] == "layers change places" for _, fact in made.facts_of(f.Cautions)) == 1
    assert "funnel" in cautions(layers(volume_ml=3751.0)) and "funnel" not in cautions(layers(volume_ml=3749.0))
    both = cautions(layers(1, volume_ml=3800.0), layers(2, volume_ml=8000.0))["funnel"]
    assert "3.8 L" in both and "in 2 parts" in both
    assert "in 3 parts" in cautions(layers(volume_ml=8000.0))["funnel"]


def test_solvent_that_boils_low_is_vented() -> None:
    assert "vapour pressure" in cautions(f.Extraction(solvent="dichloromethane"), layers())
    assert "vapour pressure" not in cautions(f.Extraction(solvent="ethyl_acetate"), layers())
    assert "vapour pressure" not in cautions(f.Extraction(solvent="dichloromethane"))


def test_miscible_solvent_in_the_first_water() -> None:
    def text(part: float, product: float) -> str:
        return cautions(f.Cosolvent(step=1, component="c1", share=part, product=product)).get("cosolvent", "")

    assert text(0.11, 0.02) and not text(0.09, 0.02)
    assert "dilute it with water and extract it again" in text(0.11, 0.01)
    assert "until the product is weighed" in text(0.11, 0.009)


def test_soaps_and_greasy_ions() -> None:
    fatty = f.Contains(component="product", group="fatty_acid")
    kept = f.Kept(solution="nahco3_sat", component="c1"), bottle("nahco3_sat")
    assert "emulsion" in cautions(*kept, fatty)
    acid = f.Kept(solution="hcl_1m", component="c1"), bottle("hcl_1m")
    assert "emulsion" not in cautions(*acid, fatty)
    assert "emulsion" in cautions(*acid, f.Contains(component="product", group="long_chain_ammonium"))


def test_a_volatile_product_is_told_and_explosives_by_their_atoms() -> None:
    def told(boiling_c: float) -> bool:
        return "volatile product" in cautions(f.Boils(component="product", boiling_c=boiling_c))

    assert told(149.0) and not told(150.0)
    mol = build("CCCCCCCCN=[N+]=[N-]", []).product.principal.mol
    assert "(C + O) / N = 2.7: below 3" in stripping._atoms_for_nitrogen(mol)
    assert "3 or more" in stripping._atoms_for_nitrogen(build("CCCCCCCCCN=[N+]=[N-]", []).product.principal.mol)
    assert "below 1, never" in stripping._atoms_for_nitrogen(build("CCN=[N+]=[N-]", []).product.principal.mol)
    assert stripping._capital("keep it cold") == "Keep it cold" and stripping._capital("") == ""
    # an oxygen counts as a carbon does
    assert "= 1.0: below 3" in stripping._atoms_for_nitrogen(build("OCCN=[N+]=[N-]", []).product.principal.mol)


def test_gases_over_the_funnel_are_told_in_parts() -> None:
    def text(ppm: float, left_ml: float) -> str:
        made = cautions(given(f.Vapour, step=2, component="c1", gas="HCN", left_ml=left_ml, ppm=ppm))
        return next(iter(made.values()))

    assert "can hold 1 % of" in text(10000.0, 0.0) and "25 % of" in text(250000.0, 0.0)
    assert "can hold 9,000 parts per million" in text(9400.0, 0.0)
    assert "and 1 mL of it leaves" in text(100.0, 1.0) and "leaves" not in text(100.0, 0.9)


# ---- what stays


def outcome(c: str, left: float, enough_: bool = False) -> Fact:
    return f.Outcome(component=c, low=left / 2, mid=left, high=min(1.0, 2 * left), enough=enough_)


def instead(*facts: Fact, **options: Any) -> str:
    made = thinks("warn", C1, outcome("c1", 0.5), *facts, **options)
    return made.first(f.NotRemoved, component="c1")["instead"]


def test_what_to_do_with_what_stays() -> None:
    def boils(c: str, boiling_c: float) -> Fact:
        return f.Boils(component=c, boiling_c=boiling_c)

    assert instead().startswith("chromatograph")
    assert instead(boils("c1", 120.0), boils("product", 161.0)) == "distil: 120 C against 161 C"
    assert instead(boils("c1", 120.0), boils("product", 159.0)).startswith("chromatograph")
    assert instead(boils("c1", 161.0), boils("product", 120.0)) == "distil: 161 C against 120 C"
    assert instead(boils("c1", 159.0)).startswith("strip it off under vacuum (159 C")
    assert instead(boils("c1", 160.0)).startswith("chromatograph")
    weak = is_a("weak acid", "c1")
    assert instead(weak, given(f.Stands, side="high", ph=12.0, group="ester")).startswith("one quick ice-cold wash")
    assert instead(weak, given(f.Stands, side="high", ph=11.9, group="ester")).startswith("chromatograph")
    assert instead(given(f.Stands, side="high", ph=12.0, group="ester")).startswith("chromatograph")
    made = thinks("warn", C1, outcome("c1", 0.5), f.Leaves(component="c1", way="evaporation"))
    assert made.first(f.NotRemoved) is None


def test_a_swap_that_is_too_much_for_a_plan_is_told_with_what_stays() -> None:
    def carried(recovered: float, left: float, *more: Fact) -> str:
        trial = f.SwapTrial(solution="nahco3_sat", recovered=recovered, back_ph=2.5)
        leaves = f.SwapLeaves(solution="nahco3_sat", component="c1", left=left, enough=True)
        return instead(trial, leaves, *more)

    told = carried(0.9, 0.1)
    assert told.startswith(
        "take the product into saturated sodium hydrogen carbonate, rinse that water with fresh solvent, bring it to pH 2.5 and "
        "extract, which would leave 10 % of it: four more steps for so little are not planned; or chromatograph"
    )
    chromatograph = instead()
    assert carried(0.89, 0.1) == carried(0.9, 0.11) == chromatograph
    assert carried(0.9, 0.1, f.Swap(solution="nahco3_sat", back_ph=2.5)) == chromatograph


def test_what_leaves_or_is_little_enough_does_not_stay() -> None:
    made = thinks("warn", C1, outcome("c1", 0.5), f.Leaves(component="c1", way="evaporation"))
    assert made.first(f.NotRemoved) is None
    assert thinks("warn", C1, outcome("c1", 0.001, True)).first(f.NotRemoved) is None


def test_a_polar_product_is_told_by_what_is_expected() -> None:
    assert "polar product" in cautions(outcome("product", 0.89)) and "polar product" not in cautions(
        outcome("product", 0.91)
    )


def test_a_ph_to_hold_is_suggested_where_it_helps() -> None:
    def suggested(left_1: float, left_3: float | None, mid: float) -> tuple[float, str] | None:
        window = f.Window(
            component="c1",
            ph_1=5.0,
            left_1=left_1,
            lost_1=0.02,
            ph_3=6.0,
            left_3=left_3,
            lost_3=0.05,
            solution="nahco3_sat",
        )
        made = thinks("warn", C1, window, outcome("c1", mid))
        fact = made.first(f.Suggests, component="c1")
        return fact and (fact["ph"], made.known[fact["__factid__"]].reasons[0].text)

    one = suggested(0.1, None, 0.9)
    assert one and one[0] == 5.0 and "one contact with water held at pH 5.0" in one[1] and "cost 2.0 %" in one[1]
    three = suggested(0.2, 0.1, 0.9)
    assert three and three[0] == 6.0 and "3 contacts with water held at pH 6.0" in three[1] and "cost 5.0 %" in three[1]
    assert suggested(0.1, 0.2, 0.9)[0] == 5.0 and suggested(0.1, 0.1, 0.9)[0] == 5.0
    # it must leave no more than half of what the plan leaves
    assert suggested(0.24, None, 0.5) is not None and suggested(0.26, None, 0.5) is None


def test_water_is_extracted_again_where_three_per_cent_come_back() -> None:
    def again(back: float, carried: bool = False) -> bool:
        made = thinks("again", f.InWater(step=2, share=0.1, back=back, carried=carried))
        return made.first(f.ExtractsAgain, step=2) is not None

    assert again(0.031) and not again(0.029) and again(0.0, carried=True)


# ---- several products


def test_what_parts_two_products_that_no_wash_parts() -> None:
    def instead(*facts: Fact) -> str:
        made = thinks(
            "part", f.Alike(component="product", other="c1", best=0.3), *facts, others=("benzaldehyde; 5 mmol",)
        )
        return made.first(f.Together)["instead"]

    def boils(one: float, two: float) -> tuple[Fact, Fact]:
        return f.Boils(component="product", boiling_c=one), f.Boils(component="c1", boiling_c=two)

    assert instead(*boils(100.0, 141.0)).startswith("distil: 100 C") and instead(*boils(141.0, 100.0)).startswith(
        "distil"
    )
    assert not instead(*boils(100.0, 139.0)).startswith("distil")
    aldehyde = f.Contains(component="c1", group="aldehyde")
    assert "bisulfite" in instead(aldehyde) and "bisulfite" not in instead(
        aldehyde, f.Contains(component="product", group="aldehyde")
    )
    assert "as a salt" in instead(is_a("acid")) and "recrystallise" in instead(is_a("neutral"))


# ---- acids ended without water


def test_an_acid_is_ended_dry_where_little_of_it_is_strong_and_stays() -> None:
    def ended(pka: float = -2.0, mmol: float = 1.0, boiling_c: float = 66.0, *more: Fact) -> bool:
        facts = (
            PRODUCT, given(f.Component, id="c1", role="catalyst", mmol=mmol), ionises("c1", "acid", pka),
            given(f.Medium, solvent="thf", miscibility="miscible", boiling_c=boiling_c, volume_ml=40.0, extractant=False),
            given(f.Candidate, solvent="ethyl_acetate", log_d=2.0, asked_for=True),
        )  # fmt: skip
        made = thinks("classify", *facts, *more, others=("TsOH; 1 mmol",))
        return made.first(f.EndsDry, component="c1") is not None

    assert ended() and ended(0.9) and not ended(1.1)
    assert ended(-2.0, 3.0) and not ended(-2.0, 3.1)
    assert ended(-2.0, 1.0, 120.9) and not ended(-2.0, 1.0, 121.0)
    assert ended(-2, 1, 66, ionises("product", "base", 2.9)) and not ended(-2, 1, 66, ionises("product", "base", 3.1))
    assert not ended(-2, 1, 66, f.Boils(component="c1", boiling_c=115.0)) and ended(
        -2, 1, 66, f.Boils(component="c1", boiling_c=116.0)
    )


# ---- remedies of what is reactive


def test_acid_in_the_pot_turns_thiosulfate_basic() -> None:
    row = next(r for r in table(quench.Residue).values() if r.solution == "na2s2o3_10" and not r.instead_how)

    def remedy(*facts: Fact, others: tuple = ("iodine; 1 mmol", "benzoic acid; 5.1 mmol")) -> str:
        made = thinks("part", *facts, others=others)
        return quench.remedy_solution(made, row)

    assert remedy() == "na2s2o3_10"
    assert remedy(ionises("c2", "acid", 4.2)) == "na2s2o3_nahco3"
    assert remedy(ionises("c2", "acid", 4.2), others=("iodine; 1 mmol", "benzoic acid; 4.9 mmol")) == "na2s2o3_10"
    assert remedy(ionises("c2", "acid", 6.1)) == "na2s2o3_10" and remedy(ionises("c2", "acid", 5.9)) != "na2s2o3_10"
    assert remedy(ionises("product", "acid", 4.2)) == "na2s2o3_10"
    for kind in ("a strong mineral acid", "nitric acid"):
        assert remedy(given(f.Harsh, component="c2", kind=kind)) == "na2s2o3_nahco3"
    assert remedy(given(f.Harsh, component="c2", kind="a strong base")) == "na2s2o3_10"


# Poison, the pH below which acid frees it here, whether it is a gas at a slightly acidic pH already.
POISONS = [
    ("cyanide", 7.0, True),
    ("azide_ion", 7.0, True),
    ("nitrite", 5.0, True),
    ("ammonium_fluoride_salt", 4.0, False),
    ("sulfur_dioxide_source", 5.0, True),
]


@pytest.mark.parametrize(("residue", "below_ph", "volatile"), POISONS)
def test_acid_frees_a_poison_below_its_ph(residue: str, below_ph: float, volatile: bool) -> None:
    assert quench.frees_poison(residue, below_ph - 0.1) and not quench.frees_poison(residue, below_ph)
    assert quench.is_volatile(residue) is volatile
    assert not quench.frees_poison("acid_chloride", 0.0) and not quench.is_volatile("acid_chloride")


def test_base_holds_a_poison_only_where_it_is_basic_enough() -> None:
    """Hydrogen cyanide has pKa 9.2: carbonate of pH 11 and more holds it, bicarbonate does not."""
    held = {s: quench.holds_poison(s, "cyanide") for s in ("nahco3_sat", "na2co3_10", "naoh_1m", "hcl_1m", "water")}
    assert held == {"nahco3_sat": False, "na2co3_10": True, "naoh_1m": True, "hcl_1m": False, "water": False}
    assert quench.holds_poison("nahco3_sat", "azide_ion") and not quench.holds_poison(
        "nahco3_sat", "ammonium_fluoride_salt"
    )


def test_what_a_quench_and_a_filter_are_said_to_do() -> None:
    made = thinks("classify", C1, left_over("sodium_hydride", "quench", "hydride"))
    assert "gas: hydrogen" in text_of(made, f.Prepares, action="quench", subject="c1")
    assert made.first(f.Leaves, component="c1", way="quench") is not None
    assert "gas" not in text_of(thinks("classify", C1, left_over("bromine", "quench", "oxidant")), f.Prepares)
    solid = thinks("classify", C1, left_over("activated_carbon", "filter", "support"))
    assert solid.first(f.Leaves, component="c1", way="filtration") is not None


def test_the_solvent_chosen_is_the_cheapest_and_the_next_are_named() -> None:
    def candidate(key: str, log_d: float) -> Fact:
        return f.Candidate(solvent=key, log_d=log_d, asked_for=False)

    made = thinks(
        "classify",
        PRODUCT,
        candidate("toluene", 2.0),
        candidate("ethyl_acetate", 2.0),
        candidate("dichloromethane", 2.0),
    )
    assert made.first(f.Extraction)["solvent"] == "ethyl_acetate"
    assert "(considered too:" in text_of(made, f.Extraction) and "toluene" in text_of(made, f.Extraction)
    alone = thinks("classify", PRODUCT, candidate("toluene", 2.0))
    assert "considered too" not in text_of(alone, f.Extraction) and "under 0.01 %" not in text_of(alone, f.Extraction)
    polar = thinks("classify", PRODUCT, candidate("toluene", -1.0), candidate("1-butanol", 1.0))
    assert polar.first(f.Extraction)["solvent"] == "1-butanol"


def test_a_poison_that_needs_strong_acid_only_limits_how_acidic_a_flask_is_made() -> None:
    fluoride = left_over("ammonium_fluoride_salt", "wash")
    assert brought(*ACID4, in_pot(10.0), fluoride) == (4.5, "10 % citric acid or 1 M potassium hydrogen sulfate")
    assert brought(*ACID4, in_pot(10.0), left_over("ammonium_fluoride_salt", "quench")) == (
        2.0,
        "6 M hydrochloric acid",
    )
    # What is a gas below pH 5 already is no matter of degree: it bars the acid.
    made = thinks("free", PRODUCT, *ACID4, in_pot(10.0), left_over("azide_ion", "wash"))
    assert made.first(f.BringsTo)["ph"] == 2.0 and made.first(f.PoisonsPot, component="c1") is not None
    assert thinks("free", PRODUCT, *ACID4, in_pot(10.0), left_over("nitrite", "quench")).first(f.PoisonsPot) is None
    assert thinks("free", PRODUCT, *BASE9, in_pot(3.0), left_over("azide_ion", "wash")).first(f.PoisonsPot) is None


def test_basic_and_acidic_quench_waters_ask_for_the_other() -> None:
    """A sulfite or carbonate quench holds an acid as its salt; one of 1 M acid holds an amine."""

    def after(residue: str, *facts: Fact) -> tuple[float, str] | None:
        return brought(*facts, left_over(residue, "quench", "x", table(quench.Residue)[residue].solution))

    assert after("mcpba", *ACID4) == (2.0, "6 M hydrochloric acid")
    assert after("acid_chloride", *ACID4) == (2.0, "6 M hydrochloric acid")
    ph = table(Solution)["nahco3_sat"].ph
    assert after("acid_chloride", is_a("acid"), ionises("product", "acid", ph + 0.9)) == (5.0, "6 M hydrochloric acid")
    assert after("acid_chloride", is_a("weak acid"), ionises("product", "acid", ph + 1.1)) is None
    assert after("bromine", *ACID4) is None  # thiosulfate is no base
    amine = is_a("base"), ionises("product", "base", 9.0)
    assert after("aluminium_chloride", *amine) == (11.0, "potassium carbonate")
    # sulfite of pH 9 and more leaves an amine of pKa 7.6 free
    assert after("mcpba", is_a("base"), ionises("product", "base", 7.6)) is None
    assert after("aluminium_chloride", is_a("base"), ionises("product", "base", 7.4)) is None


def test_water_takes_what_is_acid_and_base_at_once_unless_it_stands_neutral() -> None:
    def taken_by(key: str, ph: float, acid: float = 10.0, base: float = 5.0) -> bool:
        both = is_a("amphoteric", "c1"), ionises("c1", "acid", acid), ionises("c1", "base", base)
        return (key, 2) in taken(*both, enough(key), bottle(key, ph=ph, general=True))

    assert taken_by("hcl_1m", 5.9) and not taken_by("hcl_1m", 6.1)
    assert taken_by("naoh_1m", 9.1) and not taken_by("naoh_1m", 8.9) and taken_by("water", 7.0)
    # A zwitterion is at home in any water.
    assert taken_by("hcl_1m", 6.0, 2.0, 9.0) and taken_by("naoh_1m", 5.0, 2.0, 9.0)
