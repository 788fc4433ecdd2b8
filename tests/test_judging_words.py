"""What each finding says, its remedy and its numbers: facts by hand, the words read as a user reads them."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from by_hand import REMAINS, anew, did, finish, given, judged, meets, only, stands

from washlore.knowledge import kinetics
from washlore.knowledge.rows import Residue, table
from washlore.rules import facts as f
from washlore.rules.judging import facts as j
from washlore.rules.judging.mixing import OUTCOMES
from washlore.rules.proposal import ReadStep
from washlore.rules.verdict import Found

# ---- what breaks the product


def test_what_base_and_acid_do_and_what_to_use_instead() -> None:
    base = only(did("naoh_1m", 14.0), f.Stands(side="high", ph=11.0, group="alkyl_ester"))
    assert base.remedy == "use saturated sodium hydrogen carbonate, pH 8, or a buffer"
    assert base.text == (
        "the alkyl ester of the product stands a wash up to pH 11, and 1 M sodium hydroxide has pH 14: hydrolysed by hydroxide"
    )
    assert base.numbers == (("ph", 14.0), ("stands_ph", 11.0)) and base.root == "broken 2"
    acid = only(did("hcl_1m", 0.1), f.Stands(side="low", ph=3.0, group="ketal"), ours_for=lambda n: "")
    assert acid.remedy.startswith("use a buffer or water; phosphate of pH 6 or 7")
    assert "stands a wash down to pH 3, and 1 M hydrochloric acid has pH 0.1: hydrolysed" in acid.text
    ours = only(
        did("hcl_1m", 0.1), f.Stands(side="low", ph=3.0, group="ketal"), ours_for=lambda n: "citric acid for it"
    )
    assert ours.remedy == "use citric acid for it"


def test_how_much_hydroxide_destroys_in_a_shaking() -> None:
    def lost(mid: float, factor: float) -> Found:
        rate = kinetics.Loss(mid=mid, factor=factor, source="mabey", group="ester")
        return only(did("naoh_1m", 14.0), stands("high", 12.0), hydrolysed=lambda n: rate)

    some = lost(0.123456, 2.0)
    assert some.numbers[-1] == ("lost_in_five_minutes", 0.1235)
    assert some.text.endswith("about 12 % of it in five minutes of shaking (6.2 to 25 %)")
    # no more than all of it
    assert lost(0.8, 2.0).text.endswith("about 80 % of it in five minutes of shaking (over 40 %)")


def test_a_gamble_says_that_nothing_is_gained() -> None:
    for ph, side, limit, instead in (
        (14.0, "high", 12.0, "use bicarbonate, or keep it cold and short"),
        (0.1, "low", 3.0, "use a milder acid or a buffer"),
    ):
        found = only(did("hcl_1m", ph, True), stands(side, limit))
        assert found.kind == "technique" and found.remedy == instead
        assert found.text.endswith("so little of it is in the water that minutes do no harm, but nothing is gained")
        assert not judged(did("hcl_1m", ph, True), stands(side, limit), is_ours=lambda s, n: s == "hcl_1m")
    strong = only(did("hcl_6m", -0.75), f.Stands(side="low", ph=1.0, group="ketal"))
    assert strong.text == (
        "6 M hydrochloric acid has pH -0.75, strong for the open-chain ketal of the product: hydrolysed to the ketone"
    )
    assert strong.numbers == (("ph", -0.75), ("stands_ph", 1.0)) and "1 M at most" in strong.remedy


@pytest.mark.parametrize(
    ("solution", "tag", "group", "instead"),
    [
        ("nahso3_sat", "sulfite", "aldehyde", "; thiosulfate reduces oxidants and does not add to carbonyl groups"),
        ("cuso4_sat", "copper", "primary_amine", ""),
        ("kf_10", "fluoride", "tbs_ether", ""),
    ],
)
def test_a_wash_that_reacts_is_left_out(solution: str, tag: str, group: str, instead: str) -> None:
    """Thiosulfate is no way around copper or fluoride: it is named only where sulfite was to reduce something."""
    found = only(did(solution, 7.0), f.SpoiltBy(tag=tag, group=group))
    assert found.kind == "loss" and found.remedy.startswith("leave ") and found.remedy.endswith(f" out{instead}")
    assert f"brings {tag}, which the" in found.text and "of the product does not stand" in found.text


# ---- danger


def test_how_much_is_there_is_told_in_mmol() -> None:
    """A share of 0.1234567 of 40 mmol is 4.938 mmol."""
    fact = given(j.Meets, step=3, component="c1", residue="azide_ion", solution="hcl_1m", share=0.1234567, ph=1.2649)
    acid = only(fact)
    assert acid.numbers == (("mmol_there", 4.938), ("ph", 1.3)) and acid.root == "gas c1"
    assert acid.text.startswith("compound c1 is still there and meets pH 1.3: hydrazoic acid (")
    assert acid.text.endswith("is set free") and acid.remedy.startswith("wash it out with dilute carbonate first")
    with_it = only(given(j.Meets, **{**dict(fact), "ph": 8.0, "solution": "cuso4_sat"}))
    assert with_it.numbers == (("mmol_there", 4.938),) and with_it.root == "meets c1"
    assert with_it.text.startswith(
        "compound c1 meets saturated copper(II) sulfate: copper azides and acetylides explode"
    )
    assert with_it.remedy.startswith("take compound c1 out first, and leave saturated copper(II) sulfate away")


def unquenched(residue: str, kind: str, **more: Any) -> Found:
    fact = given(j.Unquenched, **{"step": 1, "component": "c1", "residue": residue, "kind": kind, "share": 0.5, **more})
    plan = SimpleNamespace(component=lambda c: SimpleNamespace(mmol=1.2345678, parts=()))
    return only(fact, plan=plan)


def test_a_missing_quench_names_gas_and_remedy() -> None:
    for residue, kind, gas in (
        ("borohydride", "hydride", "hydrogen"),
        ("titanium_alkoxide", "Lewis acid", ""),
        ("organolithium", "organometallic", "hydrocarbon vapour"),
    ):
        found, row = unquenched(residue, kind), table(Residue)[residue]
        assert found.remedy == f"quench before any wash, cold and open: {row.how}" and found.root == "quench c1"
        assert found.numbers == (("mmol", 1.235),)
        assert ("; gas set free: " in found.text) is bool(row.gas) and gas in found.text
        assert "the quench only comes in step" not in found.text
        assert ", and the quench only comes in step 4" in unquenched(residue, kind, later=4).text


def test_every_leftover_that_is_quenched_says_how() -> None:
    assert all(row.how for row in table(Residue).values())


def test_a_quench_in_haste_names_the_gas() -> None:
    def haste(residue: str, kind: str) -> Found:
        fact = given(j.Hasty, step=2, component="c1", residue=residue, kind=kind, words="all at once")
        return only(fact, plan=SimpleNamespace(component=lambda c: SimpleNamespace(mmol=1.2345678, parts=())))

    metal = haste("alkali_metal", "metal")
    assert metal.text == (
        'step 2 (as written) goes onto compound c1 in haste ("all at once"), which gives off its heat and hydrogen within seconds'
    )
    assert metal.numbers == (("mmol", 1.235),) and metal.kind == "hazard" and metal.root == "haste c1"
    assert metal.remedy == f"cool and add it in drops: {table(Residue)['alkali_metal'].how}"
    assert "gives off its heat within seconds" in haste("red_phosphorus", "metal").text
    assert not judged(given(j.Hasty, step=2, component="c1", residue="borohydride", kind="oxidant", words="quickly"))


def test_an_oxidant_left_at_the_end() -> None:
    found = only(given(j.Concentrates, step=5, component="c1", residue="mcpba", share=0.1234567))
    assert found.kind == "hazard" and found.numbers == (("left", 0.1235),) and found.root == "quench c1"
    assert found.text == "12 % of compound c1 is still there when the solvent is stripped"
    assert found.remedy == f"destroy it first, and test for it before the evaporation: {table(Residue)['mcpba'].how}"


def test_gas_and_vapour() -> None:
    def text(boiling: float) -> str:
        fact = given(j.Gas, step=2, co2_ml=400.4, liquid_ml=50.4, vented=False, boiling_c=boiling)
        found = only(fact)
        assert found.numbers == (("co2_ml", 400),) and found.root == "vent 2" and found.component == ""
        return found.text

    assert text(40.0) == (
        "step 2 (as written) sets about 400 mL of carbon dioxide free over 50 mL of liquid, and no venting is said; "
        "the solvent boils at 40 C and adds its vapour"
    )
    assert text(60.0).endswith("no venting is said") and text(77.0).endswith("no venting is said")


# ---- what must not come together


@pytest.mark.parametrize("outcome", OUTCOMES)
@pytest.mark.parametrize("component", ["c1", ""])
@pytest.mark.parametrize("brought", [True, False])
def test_what_comes_of_two_things_together(outcome: str, component: str, brought: bool) -> None:
    """Chlorine merges with what else is said of a gas of that compound; an acidic salt on cyanide is grave as it stands.

    Silver beside ammonia and thiosulfate in acid spoil a workup, or hurt whoever lets the water stand.
    """
    fact = given(j.Together, step=3, component=component, other="bleach", outcome=outcome, brought=brought)
    found, (follows, remedy) = only(fact), OUTCOMES[outcome]
    grave = brought and outcome not in ("fulminating silver", "sulfur", "azidomethane")
    assert found.kind == ("hazard" if grave or outcome == "poison acid" else "technique")
    assert found.root == ("gas c1" if component and outcome == "chlorine" else f"together {outcome}")
    assert found.remedy == remedy and found.component == component and found.step == 3
    assert found.text == (
        f"compound c1 meets bleach in step 3: {follows}"
        if component
        else f"bleach meets step 3 (as written): {follows}"
    )


def test_acid_right_after_bleach() -> None:
    found = only(given(j.Follows, step=3, earlier=2, outcome="chlorine"))
    assert found.kind == "technique" and found.root == "after bleach 3" and "sodium sulfite between" in found.remedy
    assert found.text == (
        "step 3 (as written) comes right after step 2 (as written): where drops or waters of the two meet, chlorine is set free"
    )


@pytest.mark.parametrize(
    ("solution", "mild"),
    [
        ("hcl_6m", "1 M hydrochloric acid"),
        ("h2so4_1m", "1 M sulfuric acid"),
        ("naoh_15pct", "a dilute solution (1 to 2 M)"),
        ("", "a dilute solution (1 to 2 M)"),
    ],
)
def test_what_to_pour_in_instead_of_strong_acid(solution: str, mild: str) -> None:
    def poured(acid: bool, onto: str, grave: bool) -> Found:
        fact = given(j.Strong, step=2, words="concentrated stuff", acid=acid, onto=onto, grave=grave)
        return only(fact, read=lambda n: ReadStep("quench", 0, 4, "x", solution=solution))

    found = poured(True, "", False)
    assert found.remedy == f"cool the flask in ice and add {mild} in portions, or pour the mixture onto ice first"
    assert found.text == (
        "concentrated stuff is poured in undiluted: the acid gives off its heat of dilution at once, boils the solvent and spatters"
    )
    assert found.kind == "technique" and poured(False, "", True).kind == poured(False, "c1", False).kind == "hazard"
    assert "undiluted onto compound c1, which reacts with it at once: the base gives" in poured(False, "c1", False).text


# ---- the order at the end


def test_words_on_the_order_of_the_end() -> None:
    def text(**values: Any) -> str:
        read = ReadStep("dry", 0, 3, "dry", desiccant="na2so4")
        return only(finish(**values), read=lambda n: read).text

    assert text(water=5, filter=6, strip=7) == (
        "step 4 (as written) comes before step 5 (as written), which wets the layer again: water goes into the crude product"
    )
    assert text(water=5, last_dry=6, filter=7, strip=8).endswith("which wets the layer again")
    undried = {"dry": 0, "last_dry": 0, "filter": 0}
    assert text(**undried) == (
        "step 6 (as written) follows step 3 (as written) without drying: ethyl acetate saturated with water holds 3.3 % of it, "
        "and drops besides"
    )
    assert text(**undried, held=0.0) == "step 6 (as written) follows step 3 (as written) without drying"
    assert text(strip=5, filter=6) == (
        "step 5 (as written) comes before step 6 (as written): water or drying agent stays with the product"
    )
    assert text(strip=3, water=2).startswith("step 3 (as written) comes before step 4 (as written): water")
    assert text(filter=0) == (
        "no filtration is named between step 4 (as written) and step 6 (as written): the solid would stay with the product"
    )
    assert text(rinsed=False) == (
        "step 5 (as written) is followed by step 6 (as written) without a rinse: the cake keeps some of the product"
    )
    assert text(brine=0) == (
        "ethyl acetate saturated with water holds 3.3 % of it, and no brine comes before step 4 (as written)"
    )


def test_kinds_and_steps_of_slips_at_the_end() -> None:
    def slip(**values: Any) -> tuple[Any, ...]:
        read = ReadStep("dry", 0, 3, "dry", desiccant="na2so4")
        found = only(finish(**values), read=lambda n: read, first_dry=lambda: 4)
        return found.kind, found.step, found.root, found.numbers

    assert slip(water=5, filter=6, strip=7) == ("technique", 4, "order of drying", ())
    assert slip(dry=0, last_dry=0, filter=0) == ("leftover", 6, "order of drying", (("water_held_percent", 3.3),))
    assert slip(strip=3, water=2) == ("leftover", 3, "order of drying", ())
    assert slip(strip=5, filter=6) == ("technique", 5, "order of drying", ())
    assert slip(filter=0) == ("technique", 4, "filter", ())
    assert slip(rinsed=False) == ("technique", 5, "rinse", ())
    assert slip(brine=0) == ("technique", 4, "brine", (("water_held_percent", 3.3),))


@pytest.mark.parametrize(
    ("desiccant", "group", "text"),
    [
        ("cacl2", "primary_alcohol", "calcium chloride is neutral and holds the primary alcohol of the product"),
        (
            "cacl2",
            "tertiary_amide",
            "calcium chloride is neutral and binds, in part, the tertiary amide of the product",
        ),
        ("mgso4", "enol_ether", "magnesium sulfate is acidic and may harm the enol ether of the product"),
        ("koh", "alkyl_ester", "potassium hydroxide is basic and may harm the alkyl ester of the product"),
    ],
)
def test_words_on_drying_agents(desiccant: str, group: str, text: str) -> None:
    dry = given(j.Did, step=4, action="dry", desiccant=desiccant)
    found = only(dry, f.BarredDesiccant(desiccant=desiccant, group=group))
    assert found.text == text and found.remedy == "dry over sodium sulfate" and found.root == "desiccant 4"


# ---- layers


@pytest.mark.parametrize(
    ("said", "position", "remedy"),
    [
        ("aqueous", "top", "keep the bottom layer, the organic one; let a drop of water fall in to see"),
        ("organic", "bottom", "keep the top layer, the aqueous one; let a drop of water fall in to see"),
        ("aqueous", "", "keep the organic layer"),
        ("organic", "", "keep the aqueous layer"),
    ],
)
def test_the_other_layer_is_the_one_to_keep(said: str, position: str, remedy: str) -> None:
    fact = given(
        j.Kept, step=2, said=said, position=position, holds=0.1234567, organic_density=1.33, aqueous_density=1.02
    )
    found = only(fact)
    assert found.remedy.startswith(remedy) and found.kind == "loss" and found.component == "product"
    assert found.numbers[0] == ("product_in_layer_kept", 0.1235)
    if position:
        assert found.text == (
            f"the {position} layer is kept; the organic layer has 1.33 g/mL and the aqueous one 1.02 g/mL, so that is the {said} "
            "layer, with 12 % of the product: the rest is thrown away"
        )
    else:
        other = remedy.split()[2]
        assert found.text == (
            f"the {said} layer is kept, but it holds 12 % of the product: the rest is in the {other} layer and is thrown away"
        )


def test_words_on_solvents_that_make_no_layer_or_too_few() -> None:
    def none(layers: bool) -> Found:
        return only(given(j.NoLayer, step=2, solvent="acetone", layers=layers))

    assert none(False).text == (
        "acetone mixes with water in all proportions: no second layer forms, and the product stays where it is"
    )
    assert none(True).text.endswith("it goes into both layers, and carries water and the product across")
    assert none(True).remedy == "extract with ethyl acetate, which water does not mix with"
    one = only(given(j.OneLayer, step=2, cosolvent="ethanol", share=0.61, most=0.3))
    assert one.text == (
        "61 % of what is in the funnel in step 2 (as written) is ethanol; two layers form only up to about 30 %"
    )
    carried = only(given(j.Carried, step=2, share=0.1234567, high=0.2345678, cosolvent="DMF"))
    assert carried.numbers == (("product_in_water", 0.1235), ("at_most", 0.2346))
    assert carried.text.startswith("DMF carries 12 % of the product, perhaps 23 %, into the water of step 2")


def test_words_on_layers_thrown_away() -> None:
    def thrown(share: float, high: float) -> Found:
        return only(given(j.Discards, step=2, share=share, high=high))

    assert thrown(0.1234567, 0.2345678).numbers == (("product_in_layers", 0.1235), ("at_most", 0.2346))
    held = "the aqueous layers are thrown away while they hold"
    assert thrown(0.2, 0.5).text == f"{held} 20 % of the product, perhaps 50 %"
    assert thrown(0.03, 0.2).text == f"{held} 3.0 % of the product, perhaps 20 %"
    assert thrown(0.301, 0.302).text == f"{held} 30 % of the product"


# ---- what stays


def portions(**values: Any) -> Found:
    usual = {"component": "c1", "step": 2, "solution": "hcl_3m", "repeats": 1, "each": 0.5, "needed": 0}
    usual |= {"spent_ph": 8.04, "bottle_ph": -0.5}
    return only(given(j.Portions, **{**usual, **values}), given(j.Remains, **{**REMAINS, "touched": 2}))


def test_what_a_used_up_wash_holds() -> None:
    """20 mL of 3 M acid hold 60 mmol; 20 mL of 10 % citric acid, 0.54 M, hold 10.8."""
    assert portions().text.startswith(
        "20 mL of 3 M hydrochloric acid holds 60 mmol for 40 mmol of compound c1, so that the wash ends at pH 8.0 instead of -0.5"
    )
    several = portions(solution="citric_10", repeats=3, bottle_ph=1.7)
    assert several.text.startswith("3 × 20 mL of 10 % citric acid hold 32.4 mmol for 40 mmol of compound c1, so that")
    assert several.remedy == "take more, or a stronger solution: wash with what we use" and several.step == 2


def test_how_many_portions_it_takes() -> None:
    def told(repeats: int) -> Found:
        return portions(repeats=repeats, needed=5, each=0.1234567, spent_ph=0.0)

    assert told(1).text.startswith(
        "each portion of step 2 (as written) leaves 12 % of compound c1, and only one is used"
    )
    assert told(2).text.startswith(
        "each portion of step 2 (as written) leaves 12 % of compound c1, and only 2 are used"
    )
    assert told(1).remedy == "use 5 portions of the same volume"
    assert told(1).numbers[2:] == (("left_by_each_portion", 0.1235), ("portions_needed", 5))


def test_the_wrong_side_in_words() -> None:
    def told(kind: str, top: float, bottom: float, **asked: Any) -> Found:
        facts = (
            given(j.Remains, **REMAINS),
            given(j.Character, component="c1", kind=kind, pka=9.0),
            given(j.Sides, lowest=bottom, highest=top, only_neutral=False, brine_step=0),
        )
        return only(*facts, **asked)

    acid = told("acid", 7.0, 1.0)
    assert acid.text.startswith("compound c1 is an acid (pKa 9.0), and the only wash that is not neutral is acidic")
    assert (acid.step, acid.remedy) == (1, "use a base: wash with what we use")
    base = told("base", 9.0, 7.0)
    assert base.text.startswith("compound c1 is a base (pKa 9.0), and the only wash that is not neutral is basic")
    assert (base.step, base.remedy) == (2, "use an acid: wash with what we use")
    weak = told("weak acid", 8.25, 7.0)
    assert weak.text.startswith("compound c1 has pKa 9.0, and the most basic wash has only pH 8.25")
    assert (weak.step, weak.remedy) == (2, "use a stronger base: wash with what we use")
    # where our own plan does nothing about it there is nothing to add
    assert told("acid", 7.0, 1.0, ours_of=lambda c: "").remedy == "use a base"


@pytest.mark.parametrize(
    ("rule", "kinds"),
    [
        ("acid-for-an-acid", ("base", "weak base", "amphoteric")),
        ("base-for-a-base", ("acid", "weak acid", "amphoteric")),
    ],
)
def test_a_wash_of_the_wrong_side_may_be_there_for_another(rule: str, kinds: tuple[str, ...]) -> None:
    kind, top, bottom = ("acid", 7.0, 1.0) if rule == "acid-for-an-acid" else ("base", 9.0, 7.0)
    facts = (
        given(j.Remains, **REMAINS),
        given(j.Character, component="c1", kind=kind, pka=9.0),
        given(j.Sides, lowest=bottom, highest=top, only_neutral=False, brine_step=0),
    )
    assert only(*facts, others_of=lambda *asked: asked == kinds).rule == "nothing-touches-it"
    assert only(*facts, others_of=lambda *asked: asked != kinds).rule == rule


def test_brine_in_words() -> None:
    facts = (
        given(j.Remains, **REMAINS),
        given(j.Character, component="c1", kind="other"),
        given(j.Sides, lowest=7.0, highest=7.0, only_neutral=True, brine_step=2),
    )
    found = only(*facts)
    assert found.text.startswith("water and brine are the only washes: 80 % of compound c1 (50 to 90 %) stays")
    assert (found.step, found.remedy) == (2, "brine goes last; before it: wash with what we use")


def test_an_assumed_volume_is_said_with_the_step_that_it_is_of() -> None:
    def told(touched: int, assumed: int) -> str:
        facts = (
            given(j.Remains, **{**REMAINS, "touched": touched}),
            given(j.Character, component="c1", kind="other"),
            given(j.Sides, lowest=1.0, highest=9.0),
        )
        return only(*facts, assumes_volume=lambda n: n == assumed).text

    said = ", if each portion is a third of the layer, as no volume is given"
    assert said in told(3, 3) and said not in told(3, 2) and said not in told(0, 0)


def test_solids() -> None:
    solid = only(given(j.Solid, component="c1", residue="palladium_carbon", step=2))
    assert solid.text == "compound c1 is not filtered off before step 2 (as written)" and solid.root == "solid c1"
    assert solid.remedy == f"filter first: {table(Residue)['palladium_carbon'].how}"


def test_a_solid_product_and_what_it_may_keep() -> None:
    steps = tuple(SimpleNamespace(action=anew(a), solvent=s) for a, s in (
        ("dry", ""), ("wash", ""), ("extract", "ethyl_acetate"), ("extract", "toluene"),
    ))  # fmt: skip
    ids = ["product", "c1", "rest"]

    def told(steps: tuple[Any, ...], watery: bool = True) -> Found:
        plan, bench = SimpleNamespace(steps=steps, extraction="toluene"), SimpleNamespace(met_water=watery)
        return only(given(j.Collected, step=2), plan=plan, bench=bench, ids=[anew(c) for c in ids])

    found = told(steps)
    assert found.text == (
        "the product is collected as a solid: how much of compound c1 and compound rest it keeps is not computed"
    )
    assert found.remedy.endswith("take a melting point; if it is not clean, extract into ethyl acetate instead")
    assert told(steps[:2]).remedy.endswith("take a melting point")
    assert told(steps).remedy.startswith("wash it on the filter with cold water")
    # from an organic solvent: water might take it
    assert told(steps, watery=False).remedy.startswith("wash it on the filter with a little of the cold solvent")
    assert told(steps, watery=False).remedy.endswith("take a melting point")


# ---- the product lost


def lost(share: float, low: float, high: float, solution: str, acts: str, kind: str, **asked: Any) -> Found:
    fact = given(j.Lost, step=2, share=share, low=low, high=high, solution=solution, acts=acts, said=True)
    return only(fact, given(j.Character, component="product", kind=kind, pka=4.2), kind=lambda c: kind, **asked)


def test_words_on_a_product_that_goes_with_a_wash() -> None:
    base = lost(0.5, 0.25, 0.75, "hcl_1m", "acid", "base")
    assert base.text == (
        "the product is a base (pKa 4.2): step 2 (as written) takes 50 % of the product with it (25 to 75 %)"
    )
    assert base.numbers == (("product_lost", 0.25, 0.5, 0.75),)
    acid = lost(0.501, 0.5, 0.502, "nahco3_sat", "base", "acid")
    assert acid.text == "the product is an acid (pKa 4.2): step 2 (as written) takes 50 % of the product with it"
    assert acid.remedy.startswith("use no base on the organic layer; or keep the basic water")
    weak = lost(0.5, 0.25, 0.75, "naoh_1m", "base", "weak acid")
    assert weak.remedy.startswith("use bicarbonate, which spares an acid as weak as this; or keep the basic water")
    assert lost(0.5, -0.01, 0.75, "hcl_1m", "acid", "base").text.endswith("with it (up to 75 %)")


def test_words_on_a_product_left_in_the_water() -> None:
    found = lost(0.8, 0.7, 0.9, "", "", "acid", ph_before=lambda n: 9.26)
    assert found.text == "step 2 (as written) leaves 80 % of the product in the water at pH 9.3 (70 to 90 %)"
    assert found.numbers == (("product_left_behind", 0.7, 0.8, 0.9), ("ph", 9.3))
    assert found.remedy == "bring the water to pH 2, where the product is neutral, then extract three times"


def test_words_on_a_product_that_is_a_salt_already() -> None:
    acid = lost(0.5, 0.4, 0.6, "water", "neutral", "acid", ph_before=lambda n: 9.26)
    assert acid.text == (
        "the product (pKa 4.2) is held as its salt by the base in the flask: step 2 (as written) takes 50 % of the product with "
        "it (40 to 60 %)"
    )
    assert acid.numbers == (("product_lost", 0.4, 0.5, 0.6), ("ph", 9.3))
    base = lost(0.5, 0.4, 0.6, "nahco3_sat", "base", "base", ph_before=lambda n: 1.26)
    assert (
        "held as its salt by the acid in the flask, and this wash only brings its water to pH 1.3: step 2" in base.text
    )
    assert base.remedy == "bring the flask to pH 2 with water first, so that the product is neutral"
    polar = lost(0.5, 0.4, 0.6, "water", "neutral", "other")
    assert polar.text.endswith("takes 50 % of the product with it (40 to 60 %), by its liking for water alone")


# ---- practice


def test_words_on_volumes() -> None:
    def odd(ratio: float) -> Found:
        return only(given(j.Ratio, step=2, ratio=ratio, portion_ml=50 * ratio, layer_ml=50.0))

    assert odd(1.6).text == "step 2 (as written): 80 mL beside an organic layer of 50 mL is 160 %"
    assert odd(1.6).remedy == "use several small portions of a third of the layer, about 17 mL each"
    assert odd(0.05).remedy == "use portions of a third of the layer, about 17 mL each"
    assert odd(0.0123456).numbers == (("share_of_layer", 0.012),)


def test_words_on_venting() -> None:
    def told(gas: float, solvent: str) -> Found:
        return only(given(j.Unvented, step=2, co2_ml=gas, solvent=solvent, boiling_c=40.0))

    assert told(100.0, "dichloromethane").text == (
        "no venting is listed: step 2 (as written) sets about 100 mL of carbon dioxide free"
    )
    assert told(24.5, "dichloromethane").text == (
        "no venting is listed: dichloromethane boils at 40 C and its vapour fills the closed funnel"
    )
    assert told(100.4, "dichloromethane").numbers == (("co2_ml", 100), ("boiling_c", 40.0))


def test_words_on_a_wash_without_a_purpose_and_a_ph_without_a_test() -> None:
    idle = only(given(j.Idle, step=2, solution="hcl_1m", acts="acid"))
    assert idle.text == "1 M hydrochloric acid finds nothing to take out in step 2 (as written)"
    untested = only(given(j.Swapped, step=2, tested=False))
    assert untested.numbers == (("ph", 2.0),) and untested.remedy == "bring it to pH 2 and check with paper"
    assert "names no pH" in untested.text


def test_acid_on_cyanide_names_the_gas_of_that_leftover() -> None:
    assert "hydrogen cyanide (" in only(meets(2.0, residue="cyanide")).text


def test_a_gel_says_how_much_of_the_metal_is_there() -> None:
    found = only(given(j.Gels, step=2, component="c1", solution="nahco3_sat", share=0.98765))
    assert found.numbers == (("share_there", 0.988),) and found.root == "gel c1"
    assert found.text.startswith("saturated sodium hydrogen carbonate makes a gel of compound c1")


def test_a_product_boils_away_only_where_the_vacuum_is_below_its_vapour_pressure() -> None:
    def kind(mbar: float, vapour: float = 133.0) -> tuple[str, bool]:
        fact = given(j.Strips, step=3, boiling_c=100.4, words="in vacuo", mbar=mbar, bath_c=40.0, vapour_mbar=vapour)
        found = only(fact, our_last_step=lambda: "distil it")
        assert found.numbers == (("boiling_c", 100), ("vapour_mbar", vapour)) and found.remedy == "distil it"
        return found.kind, "it boils away" in found.text

    assert kind(132.9) == ("loss", True) and kind(133.0) == kind(500.0) == ("technique", False)
    assert kind(0.0) == ("technique", False)  # no pressure is said
