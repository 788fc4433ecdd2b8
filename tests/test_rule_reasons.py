"""What a rule hangs on beside its numbers, and what it then says: protection, parting, what stays, what can hurt."""

from __future__ import annotations

from typing import Any

import pytest
from test_rule_limits import (
    C1,
    PRODUCT,
    bottle,
    cautions,
    given,
    harms,
    in_pot,
    ionises,
    is_a,
    left_over,
    medium,
    outcome,
    strains,
    text_of,
    thinks,
)

from washlore.knowledge.rows import Gas, Group, Residue, Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import Fact
from washlore.rules.families import hazards, limits, pot, protection, quench, stripping

DIOXOLANE = "CCCCCCCCC1OCCO1"
GREASY_ESTER = "CCOC(=O)CCCCCCCCCCC"


def contains(group: str, c: str = "product") -> Fact:
    return f.Contains(component=c, group=group)


# ---- what a product outlives since it hardly meets the water


def outlives(
    side: str, group: str, ph: float, limit: float, log_p: float, *more: Fact, product: str, kept: float | None = 0.999
) -> bool:
    facts = [in_pot(7.0, neutral=0.999), *more]
    if kept is not None:
        facts.append(given(f.Uptake, component="product", solution="hcl_1m", after_1=kept))
    made = thinks("part", *facts, product=product)
    return protection.outlives(made, side, group, "hcl_1m", ph, limit, log_p)


def test_a_greasy_acetal_outlives_acid_only_by_its_rate_constant() -> None:
    """A dioxolane at pH 1.7 goes by a quarter in five minutes in water (``kinetics.csv``): of a thousandth there, nothing."""

    def acid(ph: float = 1.7, product: str = DIOXOLANE, group: str = "dioxolane", **more: Any) -> bool:
        return outlives("low", group, ph, 3.0, 4.0, product=product, **more)

    assert acid() and acid(kept=0.95) and not acid(kept=0.9) and not acid(0.1, kept=0.99)
    assert not acid(kept=None)  # what is not known to stay is taken for being in the water
    # no rate constant is held for a triisopropylsilyl ether, or for another group of the same product
    assert not acid(product="CCCCCCCCCO[Si](C(C)C)(C(C)C)C(C)C", group="tips_ether") and not acid(group="ketal")
    # nor does one for one acetal speak for another: here only the dioxolane's is known
    assert not acid(product="CCCCCCCCC1OCCO1", group="orthoester")
    # what is known of one group of a product says nothing of another
    assert not acid(product="CC(C)[Si](C(C)C)(C(C)C)OCCCCCCCCC1OCCO1", group="tips_ether")
    # every one of them must be known to react so
    assert acid(product="C1COC(CCCCCCC2OCCO2)O1")


def test_an_acid_product_in_acid_is_where_its_neutral_form_is() -> None:
    """Acid makes an acid neutral, so it counts as organic as that is; a base becomes its salt and goes by its uptake."""

    def acid(*more: Fact) -> bool:
        return outlives("low", "dioxolane", 1.7, 3.0, 4.0, *more, product=DIOXOLANE, kept=0.5)

    assert not acid() and acid(is_a("acid")) and acid(is_a("weak acid")) and not acid(is_a("base"))
    assert not acid(is_a("acid"), is_a("base")) and not acid(is_a("acid"), is_a("weak base"))

    def base(*more: Fact) -> bool:
        return outlives("high", "alkyl_ester", 13.0, 11.6, 4.0, *more, product=GREASY_ESTER, kept=0.5)

    assert not base() and base(is_a("base")) and base(is_a("weak base")) and not base(is_a("acid"))
    assert not base(is_a("base"), is_a("weak acid"))


@pytest.mark.parametrize(
    ("ph", "limit", "log_p", "kept", "lives"),
    [
        (12.9, 12.0, 3.6, 0.5, True),  # slow to react, greasy, less than a unit beyond
        (12.9, 12.0, 3.5, 0.5, False),
        (13.0, 12.0, 3.6, 0.5, True),
        (13.1, 12.0, 3.6, 0.5, False),
        (12.5, 11.9, 3.6, 0.5, False),  # quicker to react, and known to be so
        (12.5, 11.9, 3.6, 0.999, True),
        (13.0, 11.9, 3.6, 0.999, True),  # in dilute hydroxide a rate constant is trusted for half a unit more
        (13.0, 11.5, 3.6, 0.999, True),
        (13.0, 11.4, 3.6, 0.999, False),
        (13.1, 11.9, 3.6, 0.999, False),
        (13.0, 11.9, 3.6, 0.99, False),
    ],
)
def test_a_greasy_ester_in_hydroxide(ph: float, limit: float, log_p: float, kept: float, lives: bool) -> None:
    assert outlives("high", "alkyl_ester", ph, limit, log_p, product=GREASY_ESTER, kept=kept) is lives


def test_what_goes_in_the_drops_on_the_glass_is_never_outlived() -> None:
    for group in protection.WORST_IN_FILMS:
        assert not outlives("low", group, 1.7, 3.0, 5.0, product=DIOXOLANE)
        assert not outlives("high", group, 12.5, 12.2, 5.0, product=DIOXOLANE)


def test_a_product_that_outlives_acid_is_strained_by_it() -> None:
    facts = (
        given(f.Stands, side="low", ph=3.0, group="dioxolane"),
        bottle("citric_10"),
        in_pot(7.0, log_p=4.0),
        given(f.Uptake, component="product", solution="citric_10", after_1=0.999, after_3=0.99),
    )
    assert strains(*facts, product=DIOXOLANE) == {"citric_10"} and harms(*facts, product=DIOXOLANE) == set()
    worse = given(f.Uptake, component="product", solution="citric_10", after_1=0.5, after_3=0.99)
    assert harms(*facts[:3], worse, product=DIOXOLANE) == {"citric_10 destroys"}


def test_what_reacts_with_the_product_and_what_water_destroys() -> None:
    aldehyde = f.SpoiltBy(tag="sulfite", group="aldehyde")
    assert harms(aldehyde, bottle("nahso3_sat"), bottle("na2s2o3_10")) == {"nahso3_sat reacts"}
    assert "brings sulfite, which the aldehyde" in text_of(
        thinks("protect", aldehyde, bottle("nahso3_sat")), f.Harms, solution="nahso3_sat"
    )
    halide = f.SpoiltBy(tag="water", group="acid_chloride")
    assert harms(halide) == {"any reacts"}
    assert harms(halide, given(f.Stands, side="low", ph=4.0, group="acid_chloride")) == set()
    group = table(Group)["acid_chloride"]
    text = text_of(thinks("protect", halide), f.Harms, solution="any")
    assert text == f"the product is an {group.name}: {group.limit_reason}"
    assert protection._article("isocyanate") == "an" and protection._article("ketene") == "a"
    assert protection._article("Anhydride") == "an"


def test_no_water_for_what_belongs_to_it() -> None:
    made = thinks("protect", f.KeptDry(share=0.2), bottle("water"), bottle("brine"))
    assert {(x["solution"], x["how"]) for _, x in made.facts_of(f.Harms)} == {
        ("water", "carries away"),
        ("brine", "carries away"),
    }


def test_base_and_acid_on_products_of_the_other_kind() -> None:
    """What the flask's own acid or base does to the product is not held against a wash of the same side."""

    def away(key: str, *more: Fact) -> bool:
        taken = given(f.Uptake, component="product", solution=key, after_3=0.5)
        return f"{key} carries away" in harms(taken, in_pot(7.0, neutral=1.0), bottle(key), *more)

    greasy = f.Unlucky(solution="naoh_1m", after_2=0.99)
    weak_acid = is_a("weak acid"), ionises("product", "acid", 10.0), greasy
    assert away("naoh_1m", *weak_acid) and away("hcl_1m", *weak_acid)  # a phenol is no acid that bicarbonate holds
    assert away("hcl_1m", is_a("acid"), ionises("product", "acid", 0.1))  # of the same pH as its pKa
    assert not away("naoh_1m", is_a("base"), ionises("product", "base", 9.0))
    assert away("naoh_1m", is_a("base"), is_a("acid"), ionises("product", "base", 9.0))
    assert away("hcl_1m", is_a("base"), is_a("acid"), ionises("product", "acid", 4.0))
    assert not away("naoh_1m", is_a("base"))  # where no pKa is held it counts as seven
    assert away("phosphate_ph7", is_a("base"), ionises("product", "base", 9.0))


# ---- the flask brought to a pH


def test_the_words_about_a_flask_that_is_brought_to_a_ph() -> None:
    acid = is_a("acid"), ionises("product", "acid", 4.2)
    text = text_of(thinks("free", PRODUCT, *acid, in_pot(10.0, 0.02, 0.98)), f.BringsTo)
    assert "stand at pH 10.0 and leave 2.0 % of" in text and "its neutral form 98 %" in text
    assert text.endswith("bring it to pH 2 with 6 M hydrochloric acid")
    sulfite = left_over("mcpba", "quench", "oxidant", "na2so3_10")
    text = text_of(thinks("free", PRODUCT, *acid, sulfite), f.BringsTo)
    assert "holds the water near pH 10" in text and "(pKa 4.2) is its salt there; acid drives sulfur dioxide" in text
    carbonate = left_over("acid_chloride", "quench", "acylating agent", "nahco3_sat")
    text = text_of(thinks("free", PRODUCT, *acid, carbonate), f.BringsTo)
    assert "near pH 8" in text and "sulfur dioxide" not in text


@pytest.mark.parametrize(
    ("residue", "ph"),
    [
        ("mcpba", 9.9),
        ("acid_chloride", 8.2),
        ("bromine", None),  # thiosulfate holds no pH
        ("silver_salt", None),  # nor does brine
        ("boc_anhydride", None),  # nor an amine
        ("aluminium_chloride", 0.1),
        ("grignard", None),  # ammonium chloride is spent as it is used
        ("red_al", 7.9),
        ("ddq", 7.7),
    ],
)
def test_the_ph_that_the_solution_of_a_quench_holds(residue: str, ph: float | None) -> None:
    assert pot.quench_ph(thinks("part"), residue) == ph


def test_which_limits_of_a_flask_count() -> None:
    made = thinks(
        "part",
        *(given(f.Stands, side=s, ph=p, group=str(p)) for s, p in (("low", 1.0), ("low", 3.0), ("high", 12.0), ("high", 10.0))),
    )  # fmt: skip
    assert pot._limit(made, "low") == 3.0 and pot._limit(made, "high") == 10.0
    assert pot._limit(thinks("part"), "low") is None is pot._limit(thinks("part"), "high")
    fluoride = left_over("ammonium_fluoride_salt", "wash")
    assert pot._limit(thinks("part", fluoride), "low") == 4.0 and pot._limit(thinks("part", fluoride), "high") is None
    # what is a gas from pH 5 on is no matter of degree, and what is quenched is gone
    assert pot._limit(thinks("part", left_over("sulfur_dioxide_source", "wash")), "low") is None
    assert pot._limit(thinks("part", left_over("ammonium_fluoride_salt", "quench")), "low") is None


def test_a_strong_acid_by_its_pka() -> None:
    for pka, strong in ((1.9, True), (2.0, False)):
        assert pot._strong_acid(thinks("part", ionises("c1", "acid", pka)), "c1") is strong
    assert not pot._strong_acid(thinks("part", ionises("c1", "base", 1.0)), "c1")
    assert not pot._strong_acid(thinks("part", ionises("c2", "acid", 1.0)), "c1")


@pytest.mark.parametrize(
    ("kind", "solution", "pka", "basified"),
    [
        ("acid halide", "", 4.0, True),
        ("acid halide", "", 3.9, False),
        ("Lewis acid", "", 5.0, True),
        ("oxidant", "", 9.0, False),
        ("organometallic", "nh4cl_sat", 7.6, True),
        ("organometallic", "nh4cl_sat", 7.5, False),
    ],
)
def test_a_base_after_a_quench(kind: str, solution: str, pka: float, basified: bool) -> None:
    # bromine's residue, whose thiosulfate says nothing of pH, so that the kind alone decides
    facts = left_over("bromine", "quench", kind, solution), ionises("product", "base", pka)
    assert (thinks("free", PRODUCT, *facts).first(f.BringsTo) is not None) is basified


@pytest.mark.parametrize(
    ("kind", "solution", "pka", "ph"),
    [
        ("hydride", "", 10.9, 5.0),
        ("hydride", "", 11.0, None),
        ("hydride", "nh4cl_sat", 8.9, 5.0),
        ("hydride", "nh4cl_sat", 9.0, None),
        ("oxidant", "", 4.0, None),
        ("metal", "", 4.2, 2.0),
        ("metal", "", 3.0, 1.5),
        ("strong base", "", 6.0, 4.0),
    ],
)
def test_an_acid_after_a_quench(kind: str, solution: str, pka: float, ph: float | None) -> None:
    facts = left_over("bromine", "quench", kind, solution), ionises("product", "acid", pka)
    made = thinks("free", PRODUCT, *facts).first(f.BringsTo)
    assert (made and made["ph"]) == ph


# ---- several products


def drawn(kind: str, way: str, c: str = "product", **more: Any) -> Any:
    facts = (
        given(f.Component, id=c, role="product", mmol=5.0), is_a(kind, c),
        given(f.Draw, component=c, flask="flask A", solution="nahco3_sat", way=way, least=0.97, most=0.02, **more),
    )  # fmt: skip
    return thinks("part", *facts)


@pytest.mark.parametrize(
    ("kind", "way", "words"),
    [
        ("acid", "solution", "draws 97 % of"),
        ("weak acid", "solution", "draws 97 % of"),
        ("base", "solution", "draws 97 % of"),
        ("weak base", "solution", "draws 97 % of"),
        ("acid", "water", "water holds 97 % of"),
        ("acid", "parted", "the water of the reaction holds 97 % of"),
    ],
)
def test_which_flask_a_product_is_drawn_into(kind: str, way: str, words: str) -> None:
    made = drawn(kind, way)
    found = made.first(f.SetAside, component="product", flask="flask A", solution="nahco3_sat")
    assert found is not None and words in text_of(made, f.SetAside)
    assert len(list(made.facts_of(f.SetAside))) == 1
    leftover = thinks("part", given(f.Component, id="c1", role="acid", mmol=5.0), is_a(kind, "c1"),
                      given(f.Draw, component="c1", flask="flask A", solution="nahco3_sat", way=way))  # fmt: skip
    assert leftover.first(f.SetAside) is None


def test_a_neutral_is_not_drawn_and_a_held_ph_has_its_price() -> None:
    assert drawn("neutral", "solution").first(f.SetAside) is None
    made = drawn("acid", "held", ph=7.25)
    assert text_of(made, f.SetAside).startswith("at pH 7.2 97 % of") and text_of(made, f.SetAside).endswith(
        "with 2.0 % of what should stay"
    )
    stays = thinks("part", PRODUCT, f.Remains(component="product", flask="organic layer"))
    assert stays.first(f.SetAside, component="product", flask="organic layer", solution="") is not None


def test_what_parts_two_alike() -> None:
    def instead(*facts: Fact) -> tuple[str, int]:
        alike = f.Alike(component="product", other="c1", best=0.3)
        made = thinks("part", alike, *facts, others=("benzaldehyde; 5 mmol",))
        fact = made.first(f.Together, component="product", other="c1")
        assert "(at the best pH 30 % is drawn apart)" in text_of(made, f.Together)
        return fact["instead"], len(made.known[fact["__factid__"]].reasons[0].facts)

    def boils(one: float, two: float) -> tuple[Fact, Fact]:
        return f.Boils(component="product", boiling_c=one), f.Boils(component="c1", boiling_c=two)

    assert instead(*boils(100.0, 140.0))[0].startswith("chromatograph")
    assert instead(*boils(100.0, 141.0)) == ("distil: 100 C against 141 C", 3)
    assert instead(boils(100.0, 0.0)[0])[0].startswith("chromatograph")  # of one of them the boiling point is not known
    own = contains("aldehyde")
    assert instead(own)[0].startswith("shake with saturated sodium bisulfite: the product goes into the water")
    assert "benzaldehyde goes into the water" in instead(contains("aldehyde", "c1"))[0]
    for kind in ("acid", "base", "weak base"):
        assert instead(is_a(kind))[0].startswith("crystallise one of them as a salt")
    assert instead(is_a("weak acid"))[0].startswith("chromatograph") and instead(is_a("acid", "c1"))[1] == 1


# ---- what stays, and what to do with it


def instead(*facts: Fact, **options: Any) -> str:
    made = thinks("warn", C1, outcome("c1", 0.5), *facts, **options)
    return made.first(f.NotRemoved, component="c1")["instead"]


def test_what_boils_apart_is_distilled() -> None:
    def boils(c: str, boiling_c: float) -> Fact:
        return f.Boils(component=c, boiling_c=boiling_c)

    assert instead(boils("c1", 120.0), boils("product", 160.0)).startswith("chromatograph")
    assert instead(boils("product", 300.0)).startswith("chromatograph")
    # what boils so low is lost on silica: a column of the other kind, though the gap is small
    assert instead(boils("c1", 100.0), boils("product", 120.0)).startswith("distil through a column, if the 20 C")
    assert instead(boils("c1", 150.0)).startswith("strip it off under vacuum (150 C at 1 atm)")


def test_a_remedy_that_harms_the_product_is_not_advised() -> None:
    copper = left_over("copper", "wash", "metal salt", "nh4cl_nh3")
    name = table(Solution)["nh4cl_nh3"].name
    for how, verb in (("destroys", "destroy"), ("carries away", "carry away"), ("reacts", "react with")):
        said = instead(copper, f.Harms(solution="nh4cl_nh3", how=how))
        assert said == f"{name} would take it, and {verb} the product as well; {limits.LAST}"
    assert instead(copper) == table(Residue)["copper"].how.rstrip(".")
    azide = left_over("azide_ion", "wash", "azide source", "na2co3_10")
    said = instead(azide, f.Harms(solution="na2co3_10", how="destroys"))
    assert "trap of bleach kept above pH 10" in said and said.endswith(f"Acid gives {table(Gas)['HN3'].name}")
    # nothing is said of a harm where no wash was meant
    oxide = left_over("triphenylphosphine_oxide", "other")
    assert instead(oxide, f.Harms(solution="water", how="destroys")) == table(Residue)[
        "triphenylphosphine_oxide"
    ].how.rstrip(".")


def test_a_remedy_that_frees_a_poison_waits() -> None:
    edc = left_over("edc", "wash", "coupling reagent", "citric_10")
    azide = left_over("azide_ion", "wash", c="c2"), f.FirstOut(component="c2", gas="hydrogen azide")
    others = ("pyridine; 5 mmol", "sodium azide; 5 mmol")
    said = instead(edc, *azide, bottle("citric_10"), others=others)
    assert said == f"{table(Solution)['citric_10'].name}, but only when what acid turns into a poison gas is gone"


def test_one_quick_cold_wash_is_for_a_phenol_beside_what_is_slow() -> None:
    weak = is_a("weak acid", "c1")
    assert not instead(weak).startswith("one quick")
    assert instead(weak, given(f.Stands, side="high", ph=12.4, group="x")).startswith("one quick ice-cold wash")
    assert instead(is_a("acid", "c1"), given(f.Stands, side="high", ph=12.4, group="x")).startswith("chromatograph")


def test_a_wash_at_a_held_ph_is_worth_words_only_where_it_halves_what_is_left() -> None:
    def suggested(left_1: float, left_3: float | None, mid: float, *more: Fact) -> str | None:
        window = f.Window(
            component="c1", ph_1=5.0, left_1=left_1, lost_1=0.02, ph_3=6.0, left_3=left_3, lost_3=0.05, solution="nahco3_sat"
        )  # fmt: skip
        made = thinks("warn", C1, window, outcome("c1", mid), *more)
        return text_of(made, f.Suggests) if made.first(f.Suggests, component="c1") else None

    assert suggested(0.25, None, 0.5) is not None and suggested(0.26, None, 0.5) is None
    assert suggested(0.5, None, 1.0) is not None and suggested(0.51, None, 1.02) is None  # half is worthless
    one = suggested(0.1, 0.1, 0.9)
    assert one is not None and "one contact with water held at pH 5.0" in one and "leave 10 %" in one
    three = suggested(0.3, 0.1, 0.9)
    assert three is not None and "3 contacts with water held at pH 6.0" in three and "cost 5.0 %" in three
    assert suggested(0.1, None, 0.9, f.Harms(solution="nahco3_sat", how="carries away")) is not None
    assert suggested(0.1, None, 0.9, f.Harms(solution="nahco3_sat", how="destroys")) is None
    assert suggested(0.1, None, 0.9, f.Leaves(component="c1", way="evaporation")) is None


def test_water_is_extracted_again_at_three_per_cent() -> None:
    def again(back: float, carried: bool = False) -> bool:
        made = thinks("again", f.InWater(step=2, share=0.1, back=back, carried=carried))
        return made.first(f.ExtractsAgain, step=2) is not None

    assert again(0.03) and not again(0.0299) and again(0.0, True)


# ---- what can hurt


def test_a_danger_names_glass_only_for_what_is_violent() -> None:
    def said(residue: str, kind: str, action: str = "quench") -> str:
        return cautions(left_over(residue, action, kind)).get(f"danger: {residue}", "")

    assert "behind glass" in said("bromine", "metal")  # by its kind, without a gas
    assert said("bromine", "oxidant") and "vented" not in said("bromine", "oxidant")
    assert "behind glass" not in said("azide_ion", "metal", "wash") and "vented" not in said(
        "azide_ion", "metal", "wash"
    )
    # what the product itself does to people is told by its own row
    said_of = cautions(PRODUCT, product="Sc1ccc(C)cc1")
    row = table(Residue)["thiophenol"]
    assert said_of[f"danger: {row.id}"] == f"the product: {row.danger}"
    assert not [key for key in cautions() if key.startswith("danger")]
    never = table(Residue)["azide_ion"]
    assert said("azide_ion", "x", "wash").endswith(never.never) and never.danger in said("azide_ion", "x", "wash")


def test_two_things_in_one_flask_are_named_and_no_more() -> None:
    others = ("sodium azide; 5 mmol", "CuI; 1 mmol", "acetone; 5 mmol")
    azide, copper = left_over("azide_ion", "wash"), left_over("copper", "wash", c="c2")
    both = [text for key, text in cautions(azide, copper, others=others).items() if "in one flask" in text]
    assert any(("sodium azide" in text.lower() and "CuI" in text) or "copper" in text for text in both)
    assert not [t for t in cautions(azide, others=("sodium azide; 5 mmol",)).values() if "in one flask" in t]
    made = thinks("part", azide, azide, others=others)
    assert list(hazards._partners(made, "c1", {"azide_ion"})) == []  # not itself
    assert list(hazards._partners(made, "c2", {"azide_ion"})) == [
        made.name("c1") if hasattr(made, "name") else made.job.name("c1")
    ]
    assert list(hazards._partners(thinks("part", medium("acetone")), "c1", {"acetone"})) == ["acetone"]


def test_chloroform_and_base_at_the_limits() -> None:
    key = "haloform and base"
    chloroform = f.Extraction(solvent="chloroform")
    assert key in cautions(chloroform, f.Kept(solution="naoh_01m", component="c1"))  # pH 12.9
    assert key not in cautions(chloroform, f.Kept(solution="k2co3_sat", component="c1"))  # pH 12.3
    said = cautions(chloroform, left_over("alkali_metal", "quench", "metal"))[key]
    assert "pyridine may react with a burst" in said
    said = cautions(
        f.Extraction(solvent="dichloromethane"), medium("acetone"), left_over("alkoxide", "quench", "strong base")
    )
    assert "dichloromethane and pyridine, with acetone there, may react" in said[key]
    assert key not in cautions(
        f.Extraction(solvent="toluene"), medium("acetone"), left_over("alkoxide", "quench", "strong base")
    )


def test_waters_that_must_not_meet_at_the_limits() -> None:
    dries = f.Dries(desiccant="mgso4"), f.Extraction(solvent="toluene")
    sulfite = f.Kept(solution="na2so3_10", component="c1")

    def waste(*facts: Fact) -> str:
        return cautions(*dries, *facts).get("waste", "")

    assert waste(sulfite, f.Kept(solution="citric_10", component="c2"))
    assert not waste(sulfite, f.Kept(solution="nah2po4_1m", component="c2"))  # pH 4.3
    assert not waste(f.Kept(solution="ascorbate_10", component="c1"), f.Kept(solution="hcl_1m", component="c2"))
    assert not waste(f.Kept(solution="dithiocarbamate", component="c1"), f.Kept(solution="hcl_1m", component="c2"))
    assert waste(sulfite, sulfite, f.Kept(solution="hcl_1m", component="c2")).count("gives sulfur dioxide") == 1


def test_an_acidified_sulfite_water_gives_its_gas_below_ph_five() -> None:
    quenched = f.Prepares(action="quench", subject="c1"), left_over("mcpba", "quench", "oxidant", "na2so3_10")

    def said(ph: float, *facts: Fact) -> bool:
        made = cautions(*(facts or quenched), f.BringsTo(ph=ph, reagent="acid"))
        return "sulfur dioxide" in made

    assert said(4.9) and not said(5.0)
    carbonate = f.Prepares(action="quench", subject="c1"), left_over("acid_chloride", "quench", "x", "nahco3_sat")
    assert not said(2.0, *carbonate)
    assert not said(2.0, f.Prepares(action="quench", subject="c1"), left_over("ddq", "quench", "x", "ascorbate_10"))


def test_poison_that_is_free_already() -> None:
    poison = left_over("cyanide", "wash"), f.FirstOut(component="c1", gas="hydrogen cyanide")

    def said(ph: float) -> str:
        return cautions(*poison, in_pot(ph)).get("poison in the flask", "")

    assert "above pH 10.5" in said(6.9) and "near pH 7" in said(6.9)
    assert not said(7.0)  # on the basic side it is a matter of degree that the wash is chosen by


def test_a_product_that_evaporates_or_explodes() -> None:
    assert "volatile product" not in cautions(f.Boils(component="product", boiling_c=150.0))
    said = cautions(f.Boils(component="product", boiling_c=120.4))["volatile product"]
    assert "boils at 120 C:" in said and "by estimate" not in said
    made = thinks("part")
    made.observe(f.Boils(component="product", boiling_c=120.0), "120 C by estimate from its groups")
    made.begin("warn")
    text = text_of(made, f.Cautions, id="volatile product")
    assert "boils near 120 C by estimate" in text
    peroxides = cautions(f.Extraction(solvent="diethyl_ether"))
    assert "peroxides" in peroxides and "peroxides" not in cautions(f.Extraction(solvent="mtbe"))
    azide = contains("azide", "c1")
    assert "(C + O) / N" in cautions(azide, others=("benzyl azide; 5 mmol",))["may explode: azide"]
    peroxide = cautions(contains("dialkyl_peroxide", "c1"), contains("nitrate_ester", "c1"))
    assert all("(C + O) / N" not in text for text in peroxide.values())
    assert stripping.ISOLATED_FROM == 3.0 and stripping.NEVER_BELOW == 1.0


def test_an_onium_ion_of_eight_carbons_is_greasy() -> None:
    salt, dcm = left_over("quaternary_ammonium_salt", "wash"), f.Extraction(solvent="dichloromethane")
    charged = f.Charged(component="c1", charge=1)

    def said(other: str, *facts: Fact) -> bool:
        return "greasy ion" in cautions(*(facts or (salt, charged, dcm)), others=(other,))

    assert said("CC[N+](CC)(CC)CC.[Br-]; 2 mmol") and not said("CC[N+](CC)(CC)C.[Br-]; 2 mmol")
    assert not said("CC[N+](CC)(CC)CC.[Br-]; 2 mmol", left_over("edu", "wash"), charged, dcm)


def test_gas_in_the_air_over_a_funnel() -> None:
    def text(ppm: float, left_ml: float = 0.0) -> str:
        return cautions(given(f.Vapour, step=2, component="c1", gas="HCN", left_ml=left_ml, ppm=ppm))[
            f"{table(Gas)['HCN'].name} vapour"
        ]

    assert "can hold 1 % of" in text(10000.0) and "can hold 10,000 parts per million" in text(9999.5)
    assert "can hold 40 % of" in text(400000.0) and "can hold 70 parts" in text(72.0) and "2 mL of it" in text(1.0, 1.6)


def test_a_volume_beyond_any_funnel_is_told_in_litres() -> None:
    said = cautions(given(f.Layers, step=2, organic_density=0.9, aqueous_density=1.05, volume_ml=60000.0))["funnel"]
    assert said.startswith("both layers come to 60.0 L") and "wash in 16 parts of equal size" in said


def test_one_layer_is_told_by_its_share() -> None:
    said = cautions(f.OneLayer(step=3, component="c1", share=0.4, most=0.2))["one layer"]
    assert said.startswith("40 % of what is in the funnel in step 3 is pyridine") and "about 20 % do" in said


# ---- remedies


def test_where_acid_is_in_the_pot_thiosulfate_is_not_used_alone() -> None:
    """The bicarbonate beside it takes 0.3 mmol for each mL of the layer; beyond, and beside an acid product, sulfite."""
    row = table(Residue)["bromine"]

    def remedy(acid_mmol: float, *facts: Fact, kind: str = "acid", pka: float = 4.2) -> str:
        others = ("bromine; 1 mmol", f"benzoic acid; {acid_mmol} mmol")
        made = thinks("part", ionises("c2", kind, pka), *facts, others=others)
        return quench.remedy_solution(made, row)

    ml = quench.layer_ml(thinks("part").job.mixture)
    assert remedy(5.0) == "na2s2o3_10" and remedy(5.1) == "na2s2o3_nahco3"
    assert remedy(0.3 * ml) == "na2s2o3_nahco3" and remedy(0.3 * ml + 0.2) == "na2so3_10"
    assert remedy(6.0, pka=6.0) == "na2s2o3_10" and remedy(6.0, kind="base") == "na2s2o3_10"
    assert remedy(6.0, is_a("acid")) == "na2so3_10" and remedy(6.0, is_a("weak acid")) == "na2s2o3_nahco3"
    made = thinks("part", ionises("c2", "acid", 4.2), is_a("acid"), others=("bromine; 1 mmol", "benzoic acid; 6 mmol"))
    assert quench.remedy_words(made, row) == quench.SULFITE_WORDS
    assert quench.remedy_words(thinks("part"), row) == row.how


def test_a_quench_exactly_at_the_limit_of_the_product() -> None:
    """A group that stands pH 0.4 bears 1 M acid of pH 0.1 for the time of a quench."""
    acid = table(Residue)["aluminium_chloride"]
    for ph, minds in ((0.4, False), (0.41, True)):
        made = thinks("part", given(f.Stands, side="low", ph=ph, group="x"))
        assert quench.too_acidic(made, acid) is minds
    for ph, minds in ((13.5, False), (13.4, True)):
        made = thinks("part", given(f.Stands, side="high", ph=ph, group="x"))
        assert quench.minds_hydroxide(made, table(Residue)["nine_bbn"]) is minds


def test_what_follows_a_remedy_and_would_spoil_the_product_is_left_out() -> None:
    words = "Stir with water; wash with 1 M HCl, then NaHCO3."
    harms_acid = f.Harms(solution="hcl_1m", how="destroys")
    assert quench.fitted(thinks("part"), words) == words
    said = quench.fitted(thinks("part", harms_acid), words)
    assert said == f"{words} For this product leave out {table(Solution)['hcl_1m'].name}: it would be lost or spoilt."
    both = quench.fitted(thinks("part", harms_acid, f.Harms(solution="nahco3_sat", how="destroys")), words)
    assert f"{table(Solution)['hcl_1m'].name} and {table(Solution)['nahco3_sat'].name}" in both
    # what the remedy itself is made with, before anything is washed, is not meant
    assert quench.fitted(thinks("part", harms_acid), "Add 1 M HCl in drops.") == "Add 1 M HCl in drops."


def test_what_is_filtered_off_is_told_how() -> None:
    made = thinks("classify", left_over("palladium_carbon", "filter"), others=("Pd/C",))
    how = table(Residue)["palladium_carbon"].how
    assert how and text_of(made, f.Prepares, action="filter") == f"palladium on carbon: {how}"
    assert text_of(made, f.Leaves, way="filtration") == f"palladium on carbon: {how}"
