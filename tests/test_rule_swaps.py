"""A product carried through the water and back: which solution, whether it pays, and the steps before the first wash."""

from __future__ import annotations

from typing import Any

import pytest
from test_rule_limits import (
    C1,
    PRODUCT,
    bottle,
    given,
    in_pot,
    ionises,
    is_a,
    left_over,
    medium,
    text_of,
    thinks,
)

from washlore.knowledge.rows import Residue, Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import Fact
from washlore.rules.families import dry, pot, protection, quench, removal, swap

TWO = ("naphthalene; 2 mmol", "stilbene; 2 mmol")


def trial(key: str, recovered: float, *left: float) -> list[Fact]:
    """Return what carrying the product through a solution gives, and what it leaves of c1, c2 and so on."""
    return [
        f.SwapTrial(solution=key, recovered=recovered, back_ph=2.5),
        *(
            f.SwapLeaves(solution=key, component=f"c{n}", left=share, enough=share < 0.01)
            for n, share in enumerate(left, start=1)
        ),
    ]


def stuck(*components: str) -> list[Fact]:
    return [f.Stuck(component=c) for c in components]


def made(*facts: Fact, kind: str = "acid", **options: Any) -> Any:
    return thinks("decide", is_a(kind), *facts, **{"others": TWO, **options})


def test_the_price_of_a_swap_counts_only_what_breaks_the_product() -> None:
    rows = table(Solution)

    def price(key: str, *facts: Fact) -> float:
        return swap._price(thinks("part", *facts), key)

    assert price("naoh_1m") == pytest.approx(rows["naoh_1m"].harshness)
    # what has to be made up is dear, and what stands on every bench is cheap where the product minds no acid
    assert price("naoh_01m") == pytest.approx(rows["naoh_01m"].harshness + 3.5)
    assert price("hcl_1m") == pytest.approx(rows["hcl_1m"].harshness - 4.2)
    mild = given(f.Stands, side="low", ph=0.0, group="x")
    assert price("hcl_1m", mild) == pytest.approx(rows["hcl_1m"].harshness)
    # that the product goes into it is what is wanted; that it breaks there is not
    unsure = f.Strains(solution="naoh_1m", group=protection.UNCERTAIN)
    assert price("naoh_1m", unsure) == price("naoh_1m")
    breaks = f.Strains(solution="naoh_1m", group="lactone")
    assert price("naoh_1m", breaks) == price("naoh_1m", unsure, breaks) == pytest.approx(price("naoh_1m") + 3.0)
    assert price("hcl_1m", f.Strains(solution="hcl_1m", group="ketal")) == pytest.approx(rows["hcl_1m"].harshness + 3.0)


def test_what_a_swap_says() -> None:
    one = made(*trial("naoh_1m", 0.951, 0.0, 0.0), *stuck("c1"))
    text = text_of(one, f.Swap, solution="naoh_1m", back_ph=2.5)
    assert "comes back at pH 2.5; 95 % of it is recovered and naphthalene stays behind" in text
    assert "goes into 1 M sodium hydroxide and comes back" in text
    both = text_of(made(*trial("naoh_1m", 0.95, 0.0, 0.0), *stuck("c1", "c2")), f.Swap)
    assert both.endswith("naphthalene and trans-stilbene stay behind")
    # what is left beyond a tenth is not said to stay behind
    part = text_of(made(*trial("naoh_1m", 0.95, 0.1, 0.11), *stuck("c1", "c2")), f.Swap)
    assert part.endswith("naphthalene stays behind")
    known = one.first(f.Swap)
    reasons = one.known[known["__factid__"]].reasons[0].facts
    kinds = {type(one.known[i].fact) for i in reasons}
    assert {f.Stuck, f.SwapLeaves, f.SwapTrial} <= kinds


def test_a_swap_exactly_at_its_limits() -> None:
    def swapped(*facts: Fact, **options: Any) -> bool:
        return made(*facts, **options).first(f.Swap) is not None

    as_much = ("naphthalene; 10 mmol", "stilbene; 2 mmol")
    for recovered, wanted in ((0.7, True), (0.699, False)):
        assert swapped(*trial("naoh_1m", recovered, 0.0), *stuck("c1"), others=as_much) == wanted
    # below nine tenths it takes off thrice what it loses of the 10 mmol: 2 mmol are not worth 1.1, nor 4 mmol 1.5
    for recovered, mmol, wanted in ((0.89, 2, False), (0.91, 2, True), (0.89, 3.4, True), (0.85, 4, False)):
        some = (f"naphthalene; {mmol} mmol", "stilbene; 2 mmol")
        assert swapped(*trial("naoh_1m", recovered, 0.0), *stuck("c1"), others=some) == wanted
    assert swapped(*trial("naoh_1m", 0.95, 0.1), *stuck("c1"))
    # c1 goes whole, c2 follows: no more of it than of the product, or than goes
    for mmol in (2.0, 10.0):
        some = ("naphthalene; 2 mmol", f"stilbene; {mmol} mmol")
        assert swapped(*trial("naoh_1m", 0.95, 0.0, 1.0), *stuck("c1", "c2"), others=some)
    much = ("naphthalene; 11 mmol", "stilbene; 11 mmol")
    assert swapped(*trial("naoh_1m", 0.95, 0.0, 1.0), *stuck("c1", "c2"), others=much)
    uneven = ("naphthalene; 2 mmol", "stilbene; 10.1 mmol")
    assert not swapped(*trial("naoh_1m", 0.95, 0.0, 1.0), *stuck("c1", "c2"), others=uneven)
    # what the trial says nothing of counts as staying
    assert not swapped(*trial("naoh_1m", 0.95, 0.0), *stuck("c1", "c2"), others=uneven)
    assert swapped(*trial("naoh_1m", 0.95, 0.0), *stuck("c1"), others=("naphthalene; 0.5 mmol",))
    assert not swapped(*stuck("c1"), *trial("naoh_1m", 0.95, 0.0), kind="neutral")
    for kind in ("acid", "weak acid", "base", "weak base"):
        assert swapped(*stuck("c1"), *trial("naoh_1m", 0.95, 0.0), kind=kind)


def test_of_several_swaps_the_best_is_made_once() -> None:
    twice = made(*trial("naoh_1m", 0.95, 0.0), *trial("nahco3_sat", 0.96, 0.0), *stuck("c1"))
    assert [fact["solution"] for _, fact in twice.facts_of(f.Swap)] == ["nahco3_sat"]
    # a tenth is what recoveries are told apart by: 0.74 and 0.66 round alike, 0.76 and 0.74 do not
    much = ("naphthalene; 10 mmol", "stilbene; 2 mmol")
    near = made(*trial("naoh_1m", 0.74, 0.0), *trial("nahco3_sat", 0.70, 0.0), *stuck("c1"), others=much)
    assert near.first(f.Swap)["solution"] == "nahco3_sat"
    apart = made(*trial("naoh_1m", 0.76, 0.0), *trial("nahco3_sat", 0.74, 0.0), *stuck("c1"), others=much)
    assert apart.first(f.Swap)["solution"] == "naoh_1m"


# ---- rinsing, quenching and the first water


def test_what_a_rinse_says() -> None:
    rinsed = thinks(
        "free", PRODUCT, C1, ionises("product", "acid", 4.2), in_pot(10.0, 0.04, 0.9), is_a("neutral", "c1"),
        f.Greasy(component="c1", log_k=2.34),
    )  # fmt: skip
    text = text_of(rinsed, f.RinsesFirst, because="c1")
    assert text == (
        "water of the flask holds 96 % of the product as its salt, and pyridine (log K 2.3) goes into the organic layer"
    )


def test_a_poison_in_the_flask_bars_the_acid_that_frees_the_product() -> None:
    facts = PRODUCT, is_a("acid"), ionises("product", "acid", 4.2), in_pot(10.0)
    others = ("sodium azide; 5 mmol",)
    poison = thinks("free", *facts, left_over("azide_ion", "wash"), others=others)
    text = text_of(poison, f.PoisonsPot, component="c1")
    assert "would need pH 2 to leave the water in its neutral form, but there is sodium azide in the same flask" in text
    assert poison.first(f.PoisonsPot)["gas"] == "hydrazoic acid"
    assert (
        thinks("free", *facts, left_over("ammonium_fluoride_salt", "wash"), others=others).first(f.PoisonsPot) is None
    )
    assert thinks("free", *facts, left_over("azide_ion", "quench"), others=others).first(f.PoisonsPot) is None


def leaves(*facts: Fact, ph: float = 7.0) -> bool:
    after = f.AfterPot(component="c1", left=0.001, enough=True)
    found = thinks("remove", C1, after, given(f.Pot, ph=ph), *facts)
    return found.first(f.Leaves, component="c1", way="first water") is not None


def test_a_film_of_sour_water_exactly_at_its_limits() -> None:
    strong = ionises("c1", "acid", 1.0), medium("water")
    assert not leaves(*strong, ph=4.9) and leaves(*strong, ph=5.0)
    assert leaves(ionises("c1", "acid", 2.0), medium("water"), ph=4.9)
    # once the flask is brought to its pH the acid is spent
    assert leaves(*strong, f.BringsTo(ph=7.0, reagent="x"), ph=1.0)
    assert leaves(ionises("c1", "base", 9.0), f.BringsTo(ph=7.0, reagent="x"))
    assert not leaves(ionises("c1", "base", 9.0)) and leaves(ionises("c1", "base", 9.0), medium("water"))


def test_the_first_water_takes_no_product_and_nothing_by_halves() -> None:
    product = thinks("remove", PRODUCT, f.AfterPot(component="product", left=0.001, enough=True), given(f.Pot, ph=7.0))
    assert product.first(f.Leaves) is None
    part = thinks("remove", C1, f.AfterPot(component="c1", left=0.2, enough=False), given(f.Pot, ph=7.0))
    assert part.first(f.Leaves) is None
    whole = thinks("remove", C1, f.AfterPot(component="c1", left=0.001, enough=True), given(f.Pot, ph=7.0))
    assert text_of(whole, f.Leaves) == "0.10 % of pyridine is left after it"


def test_a_quench_without_water_brings_no_isoelectric_ph() -> None:
    both = is_a("amphoteric"), ionises("product", "acid", 10.0), ionises("product", "base", 5.0)
    wet = left_over("acid_chloride", "quench")
    brought = f.BringsTo(ph=4.0, reagent="acid")
    assert [x["ph"] for _, x in thinks("free", PRODUCT, *both, brought, wet).facts_of(f.BringsTo)] == [4.0]
    for residue in ("borane", "boronate_hydride"):
        assert thinks("free", PRODUCT, *both, left_over(residue, "quench")).first(f.BringsTo) is None
    assert pot.MARGIN_PH == 2.2


# ---- acids ended without water


def test_an_acid_is_ended_dry_only_beside_nothing_else_that_asks_for_water() -> None:
    def ended(*more: Fact, pka: float = -2.0, key: str = "thf", miscibility: str = "miscible", c: str = "c1") -> bool:
        facts = (
            PRODUCT, given(f.Component, id="c1", role="catalyst", mmol=1.0), ionises(c, "acid", pka),
            given(f.Medium, solvent=key, miscibility=miscibility, boiling_c=66.0, volume_ml=40.0, extractant=False),
            given(f.Candidate, solvent="ethyl_acetate", log_d=2.0, asked_for=True),
        )  # fmt: skip
        made = thinks("classify", *facts, *more, others=("TsOH; 1 mmol", "benzoyl chloride; 1 mmol"))
        return made.first(f.EndsDry) is not None

    assert ended() and not ended(pka=1.0) and not ended(key="toluene", miscibility="immiscible")
    assert not ended(c="product") and not ended(medium("water"))
    assert not ended(left_over("acid_chloride", "quench", c="c2")) and ended(left_over("edu", "wash", c="c2"))
    assert not ended(left_over("hydrogen_fluoride", "wash"))
    for kind in ("nitric acid", "perchloric acid", "hydrogen peroxide", "a strong base"):
        assert not ended(given(f.Harsh, component="c2", kind=kind))
    harsh = given(f.Harsh, component="c1", kind="a strong mineral acid")
    boils = f.Boils(component="c1", boiling_c=72.0)
    assert ended(harsh) and not ended(boils) and ended(boils, harsh)
    assert ended(ionises("product", "base", 3.0)) and not ended(ionises("product", "base", 3.1))
    assert dry.MOST_EQUIV == 0.3


def test_a_base_is_ended_dry_only_for_a_polar_product_and_little_of_it() -> None:
    """Benzyl alcohol has log P 1.1 (octanol), phenethyl alcohol 1.4: above 1.2 water is no danger."""

    def ended(*more: Fact, product: str = "OCc1ccccc1", mmol: float = 10.0, boiling_c: float = 65.0) -> bool:
        facts = (
            PRODUCT, given(f.Component, id="c1", role="base", mmol=mmol), given(f.Harsh, component="c1", kind="a strong base"),
            given(f.Medium, solvent="methanol", miscibility="miscible", boiling_c=boiling_c, volume_ml=40.0, extractant=False),
            given(f.Candidate, solvent="ethyl_acetate", log_d=2.0, asked_for=True),
        )  # fmt: skip
        made = thinks("classify", *facts, *more, product=product, others=("NaOH; 10 mmol", "benzoyl chloride; 1 mmol"))
        found = made.first(f.EndsDry, component="c1") is not None
        assert (made.first(f.Leaves, component="c1", way="filtration") is not None) is found
        return found

    assert ended() and not ended(product="OCCc1ccccc1CC")
    assert not ended(mmol=10.1) and ended(boiling_c=120.9) and not ended(boiling_c=121.0)
    assert not ended(medium("water")) and not ended(medium("toluene")) and not ended(ionises("product", "base", 9.0))
    assert not ended(left_over("acid_chloride", "quench", c="c2")) and not ended(left_over("alkoxide", "wash"))


# ---- what takes a leftover, in words


def test_what_holds_a_poison_is_open_to_the_product() -> None:
    azide = left_over("azide_ion", "wash")
    assert removal._holds(thinks("part", azide), "c1", "na2co3_10")
    assert not removal._holds(thinks("part", azide), "c1", "k2co3_10")  # not offered for all
    assert not removal._holds(thinks("part", azide), "c1", "hcl_1m")
    assert not removal._holds(thinks("part", azide, f.Harms(solution="na2co3_10", how="destroys")), "c1", "na2co3_10")


def test_the_words_of_what_takes_a_leftover() -> None:
    tempo = thinks("remove", C1, left_over("tempo", "wash"))
    row = table(Residue)["tempo"]
    text = text_of(tempo, f.Takes, component="c1")
    assert text == f"pyridine ({row.name}) with {table(Solution)['ascorbate_10'].name}: {row.how}"
    pyridine = f.Contains(component="c1", group="pyridine"), ionises("c1", "base", 5.2)
    assert "binds pyridine as its blue complex" in text_of(thinks("remove", C1, *pyridine), f.Takes)
    azide = left_over("azide_ion", "wash"), f.FirstOut(component="c1", gas="hydrazoic acid")
    held = thinks("remove", C1, *azide, bottle("na2co3_10", general=True))
    assert text_of(held, f.Takes).endswith("keeps pyridine in the water as an ion, and no hydrazoic acid comes")
    boils = thinks("remove", C1, f.Boils(component="c1", boiling_c=56.4))
    assert text_of(boils, f.Leaves) == "pyridine boils at 56 C"
    thin = thinks(
        "compare", C1, given(f.Uptake, component="c1", solution="water", after_3=0.25, enough=0),
        given(f.Uptake, component="product", solution="water", after_3=1.0), bottle("water", general=True),
    )  # fmt: skip
    assert text_of(thin, f.Thins) == "three portions of water leave 25 % of pyridine"


def test_a_remedy_that_is_unfit_and_has_no_other_is_not_offered() -> None:
    """Tin hydride: potassium fluoride takes silyl groups off, and there is no other wash for it."""
    tin = left_over("tributyltin", "wash", "organotin", "kf_10")
    spared = table(Residue)["tributyltin"].spares
    assert thinks("remove", C1, tin).first(f.Takes, solution="kf_10") is not None
    if spared:
        group = f.Contains(component="product", group=spared[0])
        row = table(Residue)["tributyltin"]
        assert (thinks("remove", C1, tin, group).first(f.Takes, solution="kf_10") is not None) is bool(row.instead)
    assert quench.unfit(thinks("part"), table(Residue)["tributyltin"]) is False
