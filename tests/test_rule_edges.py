"""On which side a number counts that stands exactly on a limit, and what a rule must not overlook beside it.

``test_rule_limits.py`` tries a number on each side of every limit; here it stands on the limit itself.
"""

from __future__ import annotations

import pytest
from test_rule_limits import (
    BOC,
    C1,
    PRODUCT,
    bottle,
    cautions,
    enough,
    given,
    harms,
    in_pot,
    ionises,
    is_a,
    layers,
    left_over,
    outcome,
    strains,
    taken,
    takes,
    text_of,
    thinks,
    uptake,
)

from washlore.knowledge.rows import Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import Fact
from washlore.rules.families import choice, protection, removal, solvents

ESTER = "CCOC(=O)c1ccc(C)cc1"


def stands(side: str, ph: float, group: str = "ketal") -> Fact:
    return given(f.Stands, side=side, ph=ph, group=group)


# ---- what a solution would do to the product


def test_exactly_at_the_edge_a_solution_strains_and_does_not_harm() -> None:
    """From 0.3 beyond the limit to less than 0.3 within it (``EDGE_PH``), whatever binary fractions make of 2.0 - 1.7."""
    pot = in_pot(7.0, log_p=1.0)
    for ph, harmed, strained in (
        (2.0 - 0.3, False, True),
        (2.0, False, True),
        (2.2, False, True),
        (2.0 + 0.3, False, False),
    ):
        facts = stands("low", 2.0), bottle("hcl_1m", ph=ph), pot
        assert (bool(harms(*facts)), bool(strains(*facts))) == (harmed, strained), ph
    for ph, harmed, strained in (
        (12.0 + 0.3, False, True),
        (12.0, False, True),
        (11.8, False, True),
        (12.0 - 0.3, False, False),
    ):
        facts = stands("high", 12.0), bottle("naoh_1m", ph=ph), pot
        assert (bool(harms(*facts)), bool(strains(*facts))) == (harmed, strained), ph


def test_exactly_a_twentieth_lost_is_borne() -> None:
    facts = in_pot(7.0, neutral=1.0), bottle("hcl_1m")
    assert harms(uptake("hcl_1m", after_3=0.95), *facts) == set()
    assert harms(f.Decays(solution="naoh_1m", share=0.05, group="ester")) == set()
    assert harms(f.Decays(solution="water", share=0.05, group="ester")) == set()
    assert harms(f.Decays(solution="water", share=0.051, group="ester")) == {"any destroys", "water destroys"}
    unlucky = f.Unlucky(solution="naoh_1m", after_2=0.7)
    assert strains(unlucky, in_pot(7.0, neutral_unlucky=1.0), bottle("naoh_1m")) == set()


def test_what_the_words_of_a_loss_say() -> None:
    made = thinks("protect", f.Decays(solution="water", share=0.25, group="alkyl_ester"))
    assert "about 25 % of" in text_of(made, f.Harms, solution="any") and "plain water" in text_of(
        made, f.Harms, solution="any"
    )
    whole = thinks("protect", f.Decays(solution="water", share=3.0, group="none_of_these"))
    assert "about 100 % of" in text_of(whole, f.Harms, solution="any")
    assert "(none of these)" in text_of(whole, f.Harms, solution="any")


@pytest.mark.parametrize(
    ("pka", "ph", "harmed"),
    [
        (9.0, 10.0, False),  # one unit above its pKa a tenth is the salt at most
        (3.6, 4.6, False),
        (3.6, 4.5, True),
        (0.0, 0.5, False),
        (0.0, 0.4, True),
        (3.0, 3.5, False),
    ],
)
def test_acid_exactly_at_the_limit_of_a_basic_product(pka: float, ph: float, harmed: bool) -> None:
    assert bool(harms(ionises("product", "base", pka), bottle("hcl_1m", ph=ph))) is harmed


def test_a_base_exactly_as_strong_as_the_acid_in_it_is_a_zwitterion_by_half() -> None:
    """Acid is no matter for a product whose own acid is at least as strong as its ammonium ion."""
    both = ionises("product", "base", 9.0), ionises("product", "acid", 9.0)
    assert harms(*both, bottle("hcl_1m")) == set()
    assert harms(ionises("product", "base", 2.0), bottle("hcl_1m", ph=0.0), f.Unlucky(solution="hcl_1m", after_2=0.7))
    # a buffer and a metal's ligand are as acidic as they are; a base and plain water are not meant
    for acts, harmed in (("buffer", True), ("complexing", True), ("base", False), ("neutral", False), ("salt", False)):
        assert bool(harms(ionises("product", "base", 9.0), bottle("hcl_1m", acts_as=acts))) is harmed


@pytest.mark.parametrize(("pka", "ph"), [(4.0, 3.0), (6.4, 5.4), (6.5, 6.0), (10.0, 9.5)])
def test_base_exactly_at_the_limit_of_an_acidic_product(pka: float, ph: float) -> None:
    unlucky = f.Unlucky(solution="naoh_1m", after_2=0.5)
    assert harms(ionises("product", "acid", pka), bottle("naoh_1m", ph=ph), unlucky) == set()
    assert harms(ionises("product", "acid", pka), bottle("naoh_1m", ph=ph + 0.05), unlucky)


def test_a_phenol_of_which_exactly_a_twentieth_goes_is_refused_base() -> None:
    facts = ionises("product", "acid", 6.5), bottle("naoh_1m")
    assert harms(*facts, f.Unlucky(solution="naoh_1m", after_2=0.95)) == {"naoh_1m carries away"}
    assert harms(*facts, f.Unlucky(solution="naoh_1m", after_2=0.96)) == set()
    # a carboxylic acid makes a soap, however greasy
    acid = ionises("product", "acid", 6.4), bottle("naoh_1m")
    assert harms(*acid, f.Unlucky(solution="naoh_1m", after_2=0.99)) == {"naoh_1m carries away"}


def test_base_that_would_hold_an_amine_as_its_salt_itself() -> None:
    """A base within one and a half units of the amine's pKa does not draw it; one further below does."""

    def away(pka: float) -> bool:
        facts = uptake("nahco3_sat", after_3=0.5), in_pot(7.0, neutral=1.0), bottle("nahco3_sat")
        return "nahco3_sat carries away" in harms(*facts, is_a("base"), ionises("product", "base", pka))

    ph = table(Solution)["nahco3_sat"].ph
    assert not away(ph + 1.4) and away(ph + 1.5) and away(ph + 1.6)


def test_salt_and_plain_water_are_not_to_blame_for_what_water_takes() -> None:
    for acts in ("salt", "neutral"):
        unlucky = f.Unlucky(solution="water", after_2=0.1), in_pot(7.0, neutral_unlucky=1.0)
        assert strains(*unlucky, bottle("water", acts_as=acts)) == set()


def test_poisons_strain_acid_and_leave_what_is_weaker() -> None:
    """Acid below pH 6 is meant, of hydrogen fluoride and nitrous gases below the pH of their own."""

    def strained(residue: str, ph: float, action: str = "wash") -> bool:
        others = ("sodium azide; 5 mmol",)
        facts = left_over(residue, action), bottle("hcl_1m", ph=ph)
        return strains(*facts, others=others) == {"hcl_1m"}

    assert strained("azide_ion", 5.9) and not strained("azide_ion", 6.0)
    assert strained("ammonium_fluoride_salt", 3.9) and not strained("ammonium_fluoride_salt", 4.0)
    assert strained("sulfur_dioxide_source", 4.9) and not strained("sulfur_dioxide_source", 5.0)
    assert not strained("chlorite", 1.0, "quench")  # destroyed before any wash
    first = thinks("protect", left_over("sulfur_dioxide_source", "wash")).first(f.FirstOut, component="c1")
    assert first is not None and first["gas"] == "sulfur dioxide"
    assert thinks("protect", left_over("ammonium_fluoride_salt", "wash")).first(f.FirstOut) is None


# ---- what takes a leftover


def test_exactly_one_unit_from_the_pka_a_wash_does_not_serve() -> None:
    def base(pka: float, ph: float, kind: str = "acid") -> bool:
        facts = is_a(kind, "c1"), ionises("c1", "acid", pka), enough("naoh_1m")
        return bool(taken(*facts, bottle("naoh_1m", ph=ph, general=True)))

    assert not base(4.0, 5.0) and not base(6.4, 5.4) and not base(6.0, 5.0) and base(6.0, 5.1)
    assert not base(7.0, 7.0, "weak acid") and not base(10.0, 9.0, "weak acid") and base(8.0, 7.1, "weak acid")

    def acid(pka: float, ph: float, acts: str = "acid") -> bool:
        facts = ionises("c1", "base", pka), enough("hcl_1m")
        return bool(taken(*facts, bottle("hcl_1m", ph=ph, general=True, acts_as=acts)))

    assert not acid(5.0, 6.0) and not acid(7.0, 8.0) and not acid(10.0, 8.0) and acid(7.0, 7.9)
    assert acid(10.0, 7.0, "buffer") and not acid(10.0, 7.0, "neutral") and not acid(10.0, 7.0, "base")


def test_the_product_itself_is_not_taken_out() -> None:
    def takes_product(kind: str, behaviour: str, key: str) -> bool:
        pka = {"acid": 4.0, "weak acid": 10.0, "base": 9.0}[behaviour]
        facts = is_a(behaviour), ionises("product", kind, pka), enough(key, c="product")
        made = thinks("remove", PRODUCT, *facts, bottle(key, general=True))
        return made.first(f.Takes) is not None

    assert not takes_product("acid", "acid", "naoh_1m") and not takes_product("acid", "weak acid", "naoh_1m")
    assert not takes_product("base", "base", "hcl_1m")


def test_a_wash_on_the_bench_for_one_purpose_only_is_not_offered_for_all() -> None:
    facts = is_a("base", "c1"), ionises("c1", "base", 9.0), enough("hcl_1m")
    assert taken(*facts, bottle("hcl_1m", general=True)) and not taken(*facts, bottle("hcl_1m", general=False))


def test_an_acid_that_is_a_base_as_well_is_left_to_base() -> None:
    facts = ionises("c1", "base", 5.0), enough("hcl_1m"), bottle("hcl_1m", general=True)
    assert taken(*facts) and not taken(*facts, is_a("acid", "c1"))


def test_water_takes_what_prefers_it_unless_an_acid_or_base_of_its_own_is_meant() -> None:
    facts = enough("water"), enough("naoh_1m", 1), bottle("naoh_1m", general=True), bottle("water", general=True)
    assert taken(*facts) == {("water", 2), ("naoh_1m", 1)}
    assert taken(*facts, is_a("acid", "c1")) == set() and taken(*facts, is_a("base", "c1")) == set()
    assert taken(enough("water", 0), *facts[1:]) == set()


def test_a_strong_acid_stays_in_water_and_in_acid_and_only_there() -> None:
    acid = is_a("acid", "c1"), ionises("c1", "acid", -2.0), f.Harms(solution="nahco3_sat", how="carries away")
    offered = enough("water"), enough("hcl_1m", 1), enough("brine", 1), enough("naoh_1m", 1)
    assert taken(*acid, *offered) == {("water", 2), ("hcl_1m", 1)}
    assert taken(*acid, *offered, f.Harms(solution="hcl_1m", how="destroys")) == {("water", 2)}
    assert taken(*acid, *offered, f.Harms(solution="water", how="destroys")) == set()
    assert taken(*acid, enough("water"), enough("hcl_1m", 0)) == {("water", 2)}
    # so does acetic acid, by what water leaves of it; and nothing is so where bicarbonate is open to the product
    weaker = is_a("acid", "c1"), ionises("c1", "acid", 4.8), acid[2]
    assert taken(*weaker, *offered) == {("water", 2), ("hcl_1m", 1)} and taken(*weaker, enough("water", 0)) == set()
    assert taken(*acid[:2], *offered) == set()


def test_a_polar_base_stays_in_water_and_in_base_where_acid_harms() -> None:
    base = is_a("base", "c1"), ionises("c1", "base", 7.0), f.Harms(solution="citric_10", how="carries away")
    offered = enough("water"), enough("hcl_1m", 1), enough("brine", 1), enough("naoh_1m", 1)
    assert taken(*base, *offered) == {("water", 2), ("naoh_1m", 1)} and taken(*base[:2], *offered) == set()
    assert taken(*base, *offered, f.Harms(solution="naoh_1m", how="destroys")) == {("water", 2)}
    assert taken(*base, *offered, f.Harms(solution="water", how="destroys")) == set()


def test_the_ion_of_an_acid_goes_into_water() -> None:
    acid = is_a("acid", "c1"), ionises("c1", "acid", 4.2), enough("water")
    assert taken(*acid, others=("sodium benzoate; 5 mmol",)) == {("water", 2)}
    assert taken(*acid, others=("benzoic acid; 5 mmol",)) == set()
    assert taken(*acid, f.FirstOut(component="c1", gas="x"), others=("sodium benzoate; 5 mmol",)) == set()
    # the anion must be the organic one: a hydrochloride goes by its ammonium ion
    assert taken(*acid, others=("C1COCCN1.Cl; 5 mmol",)) == set()


def test_an_amphoteric_leftover_exactly_at_its_limits() -> None:
    def by(key: str, ph: float, acid: float, base: float, acts: str | None = None) -> bool:
        both = is_a("amphoteric", "c1"), ionises("c1", "acid", acid), ionises("c1", "base", base)
        more = {"acts_as": acts} if acts else {}
        return (key, 2) in taken(*both, enough(key), bottle(key, ph=ph, general=True, **more))

    assert not by("hcl_1m", 6.0, 10.0, 5.0) and not by("naoh_1m", 9.0, 10.0, 5.0)
    assert not by("naoh_1m", 8.9, 10.0, 5.0, "buffer") and by("naoh_1m", 9.1, 10.0, 5.0, "buffer")
    # of equal pKa it is no zwitterion by more than half
    assert not by("hcl_1m", 6.0, 5.0, 5.0) and by("hcl_1m", 5.9, 5.0, 5.0)


def test_pyridines_exactly_at_the_limits_of_copper() -> None:
    group = f.Contains(component="c1", group="pyridine")

    def bound(pka: float, other: str = "pyridine; 5 mmol", *more: Fact) -> bool:
        return ("cuso4_sat", 2) in taken(group, ionises("c1", "base", pka), *more, others=(other,))

    assert not bound(4.0) and not bound(8.0) and bound(5.2)
    # nine heavy atoms at most: 4-propylpyridine, and not 4-butylpyridine
    assert bound(6.0, "CCCc1ccncc1; 5 mmol") and not bound(6.0, "CCCCc1ccncc1; 5 mmol")
    # a group on one side of the nitrogen does not keep copper off
    assert bound(6.0, "Cc1ccccn1; 5 mmol") and not bound(6.6, "Cc1cccc(C)n1; 5 mmol")
    assert not bound(5.2, "pyridine; 5 mmol", f.FirstOut(component="c2", gas="hydrogen azide"))
    assert not bound(5.2, "pyridine; 5 mmol", f.Harms(solution="cuso4_sat", how="reacts"))
    assert not bound(5.2, "pyridine; 5 mmol", left_over("edu", "wash"))
    made = thinks("remove", C1, group, ionises("c1", "base", 5.2))
    assert made.first(f.Takes, solution="cuso4_sat", left=0.0, sure=False) is not None


def test_what_evaporates_exactly_at_the_limits() -> None:
    def leaves(stage: str, boiling_c: float, *more: Fact) -> bool:
        made = thinks(stage, C1, f.Boils(component="c1", boiling_c=boiling_c), *more)
        return made.first(f.Leaves, component="c1", way="evaporation") is not None

    assert not leaves("remove", 101.0) and not leaves("compare", 116.0, ionises("c1", "base", 5.0))
    assert not leaves("compare", 80.0)  # that which does not ionise has a rule of its own
    assert not leaves("remove", 80.0, f.FirstOut(component="c1", gas="x"))
    quenched = left_over("acid_chloride", "quench")
    assert not leaves("remove", 80.0, quenched) and not leaves("compare", 80.0, ionises("c1", "base", 5.0), quenched)
    assert leaves("remove", 80.0, left_over("aldehyde", "wash"))
    # a wash that is open to it but presses on a basic product gives way to the evaporator
    weak = ionises("product", "base", 3.7)  # with its uncertainty of 0.3 half of it may be a salt in citric acid
    base = ionises("c1", "base", 5.2)
    acid, buffer_ = takes("citric_10"), takes("phosphate_ph7")
    assert leaves("compare", 115.0, base, weak, acid) and not leaves("compare", 115.0, base, acid)
    assert not leaves("compare", 115.0, base, weak, acid, buffer_)
    assert not leaves("compare", 115.0, base, ionises("product", "base", 3.6), acid)
    text = text_of(thinks("compare", C1, f.Boils(component="c1", boiling_c=115.2), base, weak, acid), f.Leaves)
    assert text == f"pyridine boils at 115 C and {table(Solution)['citric_10'].name} would press on the product"
    text = text_of(thinks("compare", C1, f.Boils(component="c1", boiling_c=115.2), base), f.Leaves)
    assert text == "pyridine boils at 115 C and no wash is open to it"
    product = thinks("remove", PRODUCT, f.Boils(component="product", boiling_c=80.0))
    assert product.first(f.Leaves) is None


def test_a_wash_that_thins_exactly_at_the_limits() -> None:
    def thins(left: float, plain: float, *more: Fact, key: str = "hcl_1m") -> bool:
        facts = (
            given(f.Uptake, component="c1", solution="water", after_3=plain),
            given(f.Uptake, component="c1", solution=key, after_3=left, enough=0),
            given(f.Uptake, component="product", solution=key, after_3=1.0),
            bottle(key, general=True),
            ionises("c1", "base", 5.0),
            *more,
        )
        return thinks("compare", C1, *facts).first(f.Thins, solution=key, contacts=3) is not None

    assert thins(0.25, 0.6) and not thins(0.25, 0.5)  # half of what water leaves is no gain
    assert not thins(0.1, 1.0, f.Harms(solution="hcl_1m", how="destroys"))
    # one that strains the product must come near to the target
    strained = f.Strains(solution="hcl_1m", group="x")
    assert thins(0.05, 1.0, strained) and not thins(0.051, 1.0, strained) and not thins(0.1, 1.0, takes("naoh_1m"))
    # nor where something milder is worth having: customary, for all, and open to the product
    milder = given(f.Uptake, component="c1", solution="nah2po4_1m", after_3=0.4)
    mild = given(f.Uptake, component="c1", solution="nahco3_sat", after_3=0.4)
    assert thins(0.05, 1.0, strained, milder) and not thins(0.05, 1.0, strained, mild)
    assert thins(0.05, 1.0, strained, mild, f.Harms(solution="nahco3_sat", how="destroys"))
    assert thins(0.05, 1.0, strained, mild, f.Strains(solution="nahco3_sat", group="x"))
    assert thins(0.05, 1.0, strained, given(f.Uptake, component="c1", solution="nahco3_sat", after_3=0.41))
    assert thins(0.05, 1.0, strained, given(f.Uptake, component="c1", solution="brine", after_3=0.1))
    # what has to be made up is not made up for half a success
    assert "customary" not in table(Solution)["nah2po4_1m"].note and not thins(0.1, 1.0, key="nah2po4_1m")


def test_what_is_stuck_names_what_would_take_it() -> None:
    def text(*facts: Fact) -> str:
        return text_of(thinks("stick", C1, *facts), f.Stuck, component="c1")

    ups = [enough(key, 1) for key in ("naoh_1m", "naoh_2m", "na2co3_10", "nahco3_sat", "phosphate_ph7")]
    harmed = [f.Harms(solution=fact["solution"], how="destroys") for fact in ups]
    told = text(*ups, *harmed)
    assert "would take it but would harm" in told and table(Solution)["nahco3_sat"].name in told
    assert table(Solution)["phosphate_ph7"].name not in told  # four are named
    # a solution that is open to the product, or takes too little, is not blamed
    weak = [enough("hcl_1m", 0), f.Harms(solution="hcl_1m", how="destroys"), enough("water", 1)]
    assert "the best of 2 solutions leaves 0.20 %" in text(*weak)
    assert "the best of 0 solutions leaves over 99.9 %" in text()


# ---- which is chosen


def test_what_makes_a_wash_dear_and_what_does_not() -> None:
    rows = table(Solution)
    plain = (
        in_pot(7.0, neutral_3=1.0),
        *(given(f.Uptake, component="product", solution=s, after_3=1.0) for s in rows),
    )

    def price(key: str, n: int = 1, *facts: Fact) -> float:
        return choice.price(thinks("part", *facts, *plain), key, n)

    # what binds needs one contact; each further one counts
    edta = rows["edta_01m"]
    assert price("edta_01m", 1) == pytest.approx(edta.harshness)
    assert price("edta_01m", 2) == pytest.approx(edta.harshness + 0.4)
    assert price("brine", 2) - price("brine", 1) == pytest.approx(0.4)
    # what stands on every bench goes before what is offered as widely and has to be made up
    assert price("naoh_01m") == pytest.approx(rows["naoh_01m"].harshness + 3.5)
    # acid that strains the product has no bonus for being ordinary
    strained = price("hcl_1m", 1, f.Strains(solution="hcl_1m", group="x"))
    assert strained == pytest.approx(rows["hcl_1m"].harshness + 3.0)
    # acetic acid and its like have pH 1.7; pKa and sigma and three units make the same
    citric = price("citric_10", 1, ionises("product", "base", 1.7 - 3.0 - 0.5, 0.5))
    assert citric == pytest.approx(rows["citric_10"].harshness)
    assert price("citric_10", 1, ionises("product", "base", -1.7, 0.5)) == pytest.approx(citric + 6.0)
    assert not choice.presses_on_base(thinks("part", f.Contains(component="c1", group="pyridine")), "hcl_1m")


def test_water_that_keeps_all_but_a_twentieth_is_not_dear() -> None:
    def price(key: str, left: float) -> float:
        kept = given(f.Uptake, component="product", solution=key, after_3=left)
        return choice.price(thinks("part", in_pot(7.0, neutral_3=1.0), kept), key, 1)

    assert price("water", 0.95) == price("water", 1.0) == 0.0 and price("brine", 0.9) - price("brine", 1.0) == 6.0
    assert price("hcl_1m", 0.5) == price("hcl_1m", 1.0)  # what acid takes is told by other rules


def ranks(*facts: Fact) -> list[tuple[float, str, int]]:
    ups = [given(f.Uptake, component="product", solution=s, after_3=1.0) for s in table(Solution)]
    made = thinks("part", C1, in_pot(7.0, neutral_3=1.0), *ups, *facts)
    return [(round(price, 6), solution, n) for price, solution, n, _ in choice.ranked(made, "c1")]


def test_the_prices_by_which_washes_are_ranked() -> None:
    soda, hydroxide = table(Solution)["na2co3_10"].harshness, table(Solution)["naoh_1m"].harshness
    assert ranks(takes("naoh_1m"), takes("na2co3_10", 1)) == [(soda, "na2co3_10", 1), (hydroxide, "naoh_1m", 1)]
    assert ranks(takes("na2co3_10", sure=False)) == [(soda + 2.0, "na2co3_10", 1)]
    own = left_over("thiophenol", "wash", "thiol", "na2co3_10")
    assert ranks(takes("na2co3_10"), own) == [(soda - 1.5, "na2co3_10", 1)]
    assert ranks(takes("na2co3_10"), left_over("thiophenol", "quench", "thiol", "na2co3_10"))[0][0] == soda
    thin = f.Thins(solution="na2co3_10", component="c1", left=0.3, contacts=3)
    assert ranks(thin) == [(round(6.0 + soda + 0.4, 6), "na2co3_10", 3)]
    # two rules may tell of one solution: the better counts
    assert ranks(takes("na2co3_10", 3), takes("na2co3_10", 1)) == [(soda, "na2co3_10", 1)]


def test_no_acid_for_what_it_would_turn_into_a_poison() -> None:
    azide = left_over("azide_ion", "wash", c="c2"), f.FirstOut(component="c2", gas="hydrogen azide")
    others = ("pyridine; 5 mmol", "sodium azide; 5 mmol")
    made = thinks("stick", C1, takes("hcl_1m"), bottle("hcl_1m"), *azide, others=others)
    assert made.first(f.Chosen) is None
    assert thinks("stick", C1, takes("hcl_1m"), bottle("hcl_1m"), in_pot(7.0), uptake("hcl_1m")).first(f.Chosen)
    # copper makes azide explode and is barred as well, whatever its pH
    assert "cuso4_sat" in choice.poisoned_solutions(thinks("part", *azide, bottle("cuso4_sat", ph=8.0), others=others))


def test_a_choice_tells_why_the_others_were_passed_over() -> None:
    ups = [given(f.Uptake, component="product", solution=s, after_3=1.0) for s in table(Solution)]
    keys = ("nahco3_sat", "na2co3_10", "naoh_1m", "naoh_2m", "naoh_10pct")
    made = thinks(
        "stick", C1, in_pot(7.0, neutral_3=1.0), *ups, *(takes(k) for k in keys),
        f.Strains(solution="naoh_1m", group="x"),
    )  # fmt: skip
    text = text_of(made, f.Chosen)
    passed = [fact["solution"] for _, fact in made.facts_of(f.Passed)]
    assert passed == ["na2co3_10", "naoh_2m", "naoh_1m", "naoh_10pct"] and text.count(table(Solution)["naoh_2m"].name)
    assert table(Solution)["naoh_10pct"].name not in text  # three others are named
    assert "kinder to the product" in text_of(made, f.Passed, solution="naoh_1m")
    assert "milder or more usual" in text_of(made, f.Passed, solution="naoh_2m")
    assert made.first(f.Chosen)["contacts"] == 1 and len(list(made.facts_of(f.Chosen))) == 1


def test_what_the_product_leaves_behind_needs_no_wash() -> None:
    swap = f.Swap(solution="naoh_1m", back_ph=2.0)
    behind = f.SwapLeaves(solution="naoh_1m", component="c1", left=0.0, enough=True)
    made = thinks("decide", f.Chosen(solution="water", component="c1", contacts=1), swap, behind)
    assert made.first(f.Kept) is None and "changes layer" in text_of(made, f.Covered, component="c1", by="swap")
    # what acid would turn into a poison has its wash all the same
    azide = left_over("azide_ion", "wash"), f.FirstOut(component="c1", gas="hydrogen azide")
    poison = thinks("decide", f.Chosen(solution="na2co3_10", component="c1", contacts=1), swap, behind, *azide)
    assert poison.first(f.Kept, solution="na2co3_10", component="c1") is not None


def test_one_wash_before_acid_does_for_two_poisons() -> None:
    def kept(stronger: str, *facts: object) -> set[tuple[str, str]]:
        made = thinks(
            "decide",
            f.Chosen(solution="nahco3_sat", component="c1", contacts=1),
            f.Chosen(solution=stronger, component="c2", contacts=1),
            takes("nahco3_sat"), takes(stronger), takes(stronger, c="c2"),
            left_over("azide_ion", "wash"), f.FirstOut(component="c1", gas="hydrogen azide"), *facts,
            others=("sodium azide; 5 mmol", "sodium cyanide; 5 mmol"),
        )  # fmt: skip
        return {(fact["solution"], fact["component"]) for _, fact in made.facts_of(f.Kept)}

    cyanide = left_over("cyanide", "wash", c="c2"), f.FirstOut(component="c2", gas="hydrogen cyanide")
    assert kept("na2co3_10", *cyanide) == {("na2co3_10", "c1"), ("na2co3_10", "c2")}
    # acid takes azide up too, and frees it: near miss
    assert kept("hcl_1m") == {("nahco3_sat", "c1"), ("hcl_1m", "c2")}


def test_what_a_kept_wash_covers_is_told() -> None:
    made = thinks(
        "decide",
        *(f.Chosen(solution=s, component=c, contacts=1) for s, c in (("naoh_1m", "c1"), ("nahco3_sat", "c2"))),
        takes("naoh_1m"), takes("naoh_1m", c="c2"), takes("nahco3_sat", c="c2"),
        others=("phenol; 5 mmol", "benzoic acid; 5 mmol"),
    )  # fmt: skip
    hydroxide = table(Solution)["naoh_1m"].name
    assert text_of(made, f.Covered, component="c2") == f"{hydroxide}, which is needed anyway, takes benzoic acid too"
    assert text_of(made, f.Kept, component="c1") == f"{hydroxide} is needed for phenol"
    assert choice.washed_with(made) == ["naoh_1m"]


# ---- what is said


def test_warnings_exactly_at_their_limits() -> None:
    assert cautions(f.Fizz(step=1, co2_ml=15.0, poured="acid")) == {}
    assert "heat" not in cautions(layers(rise_c=5.0, heat_kj=1.0))
    assert "funnel" not in cautions(layers(volume_ml=3750.0))
    assert "cosolvent" not in cautions(f.Cosolvent(step=1, component="c1", share=0.1, product=0.02))
    assert "polar product" not in cautions(outcome("product", 0.9))
    boils = table(solvents.Solvent)
    assert boils["petroleum_ether"].boiling_c < 60.0 < boils["chloroform_isopropanol"].boiling_c
    assert "vapour pressure" in cautions(f.Extraction(solvent="petroleum_ether"), layers())
    assert "vapour pressure" not in cautions(f.Extraction(solvent="chloroform_isopropanol"), layers())


def test_gas_of_a_quench_is_stirred_out_of_an_open_flask() -> None:
    assert "swirl in the open funnel" in cautions(layers(2, co2_ml=40.0, poured_at=2))["carbon dioxide"]
    poured_before = cautions(layers(3, co2_ml=40.0, poured_at=1))["carbon dioxide"]
    assert "stir in a wide open flask" in poured_before and "40 mL of carbon dioxide in step 1" in poured_before


def test_layers_that_change_places_only_once_they_do() -> None:
    key = "layers change places"
    level = layers(2, organic_density=1.05, aqueous_density=1.05)
    assert key not in cautions(layers(1, organic_density=1.2), level)
    assert key not in cautions(level, layers(1, organic_density=0.9))
    said = cautions(layers(1, organic_density=0.9), layers(2, organic_density=1.2))[key]
    assert "bottom one in step 2 and the top one in step 1:" in said


def test_a_product_of_pka_class_between_keeps_its_own_rules() -> None:
    """A Boc amine is no base, so nothing of the acid's own kind is said of it."""
    assert harms(bottle("hcl_1m"), f.Unlucky(solution="hcl_1m", after_2=0.99), product=BOC) == set()
    assert removal.WORTH_HAVING < 0.5 and protection.EDGE_PH == 0.3


def test_so_much_of_a_leftover_that_a_strain_is_worth_it() -> None:
    def worth(left: float, mmol: float = 5.0, *more: Fact) -> bool:
        made = thinks("part", *more, others=(f"pyridine; {mmol} mmol",))
        return removal._worth_a_strain(made, "c1", left)

    least = removal.STRAIN_EQUIV * 10.0
    assert worth(removal.WORTH_STRAIN, least) and worth(0.0, 3 * least) and not worth(0.0, 0.99 * least)
    assert not worth(removal.WORTH_STRAIN + 0.001, 3 * least)
    # something milder is open
    milder = given(f.Uptake, component="c1", solution="nahco3_sat", after_3=removal.WORTH_HAVING)
    assert not worth(0.0, least, milder)
    assert worth(
        0.0, least, given(f.Uptake, component="c1", solution="nahco3_sat", after_3=removal.WORTH_HAVING + 0.01)
    )
    for barred in (given(f.Harms, solution="nahco3_sat"), f.Strains(solution="nahco3_sat", group="x")):
        assert worth(0.0, least, milder, barred)
