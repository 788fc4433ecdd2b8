"""Where each rule that judges begins and ends, on facts given by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from by_hand import REMAINS, did, finish, given, judged, lost, meets, only, remains, stands

from washlore.knowledge import kinetics
from washlore.rules import facts as f
from washlore.rules.judging import facts as j
from washlore.rules.proposal import ReadStep
from washlore.rules.verdict import Found

# ---- what breaks the product


@pytest.mark.parametrize(
    ("solution", "side", "limit", "ph", "broken"),
    [
        ("naoh_1m", "high", 12.0, 13.1, True),
        ("naoh_1m", "high", 12.0, 12.9, False),
        ("naoh_1m", "high", 6.0, 7.6, True),
        ("naoh_1m", "high", 6.0, 7.4, False),
        ("hcl_1m", "low", 2.5, 0.4, True),
        ("hcl_1m", "low", 2.5, 0.6, False),
        ("hcl_1m", "low", 9.0, 6.4, True),
        ("hcl_1m", "low", 9.0, 6.6, False),
    ],
)
def test_a_wash_far_beyond_what_the_product_stands(
    solution: str, side: str, limit: float, ph: float, broken: bool
) -> None:
    found = judged(did(solution, ph), stands(side, limit))
    assert [x.kind for x in found] == (["loss"] if broken else [])
    if broken:
        assert f"pH {limit:g}" in found[0].text and f"pH {ph:g}" in found[0].text and found[0].step == 2
        # What the greasy product survives is a gamble, unless our own plan does the same.
        (gamble,) = judged(did(solution, ph, True), stands(side, limit))
        assert gamble.kind == "technique" and "minutes do no harm" in gamble.text
        assert not judged(did(solution, ph, True), stands(side, limit), is_ours=lambda s, n: True)
        # Nor is what nothing else will do.
        assert not judged(did(solution, ph), stands(side, limit), must_be=lambda s, n: True)


def test_how_much_is_lost_is_told_where_a_rate_is_known() -> None:
    loss = kinetics.Loss(mid=0.3, factor=2.0, source="mabey", group="ester")
    found = only(
        did("naoh_1m", 14.0), stands("high", 12.0), hydrolysed=lambda n: loss, ours_for=lambda n: "bicarbonate for it"
    )
    assert "about 30 % of it in five minutes of shaking (15 to 60 %)" in found.text
    assert ("lost_in_five_minutes", 0.3) in found.numbers and found.remedy == "use bicarbonate for it"


def test_concentrated_acid_is_a_gamble_short_of_breaking() -> None:
    def told(ph: float, limit: float) -> bool:
        return bool(judged(did("hcl_1m", ph), stands("low", limit)))

    assert told(-0.6, 1.0) and not told(-0.5, 1.0) and not told(-0.6, -0.6)
    assert only(did("hcl_1m", -0.6), stands("low", 1.4)).kind == "technique"
    assert only(did("hcl_1m", -0.7), stands("low", 1.4)).kind == "loss"


# ---- danger


def test_acid_on_azide() -> None:
    found = only(meets(1.04))
    assert found.kind == "hazard" and "meets pH 1.0" in found.text
    # a quarter of 40 mmol is still there
    assert found.numbers == (("mmol_there", 10.0), ("ph", 1.0))
    assert only(meets(6.9)).rule == "acid-frees-poison"
    later = judged(meets(7.1))
    assert [x.rule for x in later] == ["deadly-together"] and later[0].numbers == (("mmol_there", 10.0),)
    assert not judged(meets(7.1, ""))
    assert not judged(meets(7.1, residue="acid_chloride"))


@pytest.mark.parametrize(
    ("residue", "kind", "share", "expected"),
    [
        ("organolithium", "organometallic", 0.5, ["hazard"]),
        ("borohydride", "hydride", 0.03, ["technique"]),
        ("borohydride", "hydride", 0.01, []),
        ("acid_chloride", "acid halide", 0.021, ["technique"]),
        ("acid_chloride", "acid halide", 0.019, []),
        ("acid_chloride", "something else", 0.5, []),
    ],
)
def test_a_quench_that_is_missing(residue: str, kind: str, share: float, expected: list[str]) -> None:
    fact = given(j.Unquenched, step=1, component="c1", residue=residue, kind=kind, share=share, later=0)
    found = judged(fact)
    assert [x.kind for x in found] == expected
    assert all("only comes in" not in x.text and x.numbers == (("mmol", 40.0),) for x in found)
    late = judged(given(j.Unquenched, step=1, component="c1", residue=residue, kind=kind, share=share, later=3))
    assert all("the quench only comes in step 3" in x.text for x in late)


def test_gas_in_a_closed_funnel() -> None:
    def told(gas: float, liquid: float, **more: Any) -> tuple[Found, ...]:
        return judged(
            given(j.Gas, step=2, co2_ml=gas, liquid_ml=liquid, **{"vented": False, "boiling_c": 77.0, **more})
        )

    assert told(151.0, 50.0) and not told(149.0, 50.0)
    assert told(301.0, 200.0) and not told(299.0, 200.0)
    assert not told(400.0, 50.0, vented=True)
    assert "adds its vapour" in told(400.0, 50.0, boiling_c=59.0)[0].text
    assert "adds its vapour" not in told(400.0, 50.0, boiling_c=60.0)[0].text


# ---- the order at the end


def told(**values: Any) -> dict[str, str]:
    read = ReadStep("dry", 0, 3, "dry", desiccant=values.pop("desiccant", "na2so4"))
    return {x.rule: x.text for x in judged(finish(**values), read=lambda n: read)}


def test_the_usual_order_is_sound_and_each_slip_is_named() -> None:
    assert told() == {}
    early = told(water=5, strip=7, filter=6)
    assert set(early) == {"dried-too-early"} and "water goes into the crude product" in early["dried-too-early"]
    assert "water goes" not in told(water=5, last_dry=6, strip=8, filter=7)["dried-too-early"]
    assert set(told(dry=0, last_dry=0, filter=0)) == {"not-dried"}
    assert "holds 3.3 % of it" in told(dry=0, last_dry=0, filter=0)["not-dried"]
    assert told(dry=0, last_dry=0, filter=0, strip=2, water=3) == {}
    assert set(told(brine=0)) == {"brine-is-skipped"}
    assert told(brine=0, held=2.5) and not told(brine=0, held=2.4)
    assert set(told(rinsed=False)) == {"rinse-is-not-listed"} and not told(rinsed=False, listed=False)
    assert not told(filter=0, itemised=False) and set(told(filter=0)) == {"not-filtered"}
    assert not told(filter=0, desiccant="phase_separator") and not told(filter=0, desiccant="toluene_azeotrope")


def test_stripping_before_the_powder_is_off() -> None:
    before_drying = judged(finish(strip=3, water=2, filter=5))
    assert [x.kind for x in before_drying] == [
        "leftover"
    ] and "step 3 (as written) comes before step 4" in before_drying[0].text
    before_filter = judged(finish(strip=5, filter=6))
    assert [x.kind for x in before_filter] == [
        "technique"
    ] and "step 5 (as written) comes before step 6" in before_filter[0].text
    assert not judged(finish(strip=6, filter=5)) and not judged(finish(strip=6, filter=6))


@pytest.mark.parametrize(
    ("desiccant", "group", "expected"),
    [
        ("cacl2", "primary_alcohol", ["loss"]),
        ("cacl2", "primary_amine", ["loss"]),
        ("cacl2", "tertiary_amide", ["technique"]),
        ("k2co3", "carboxylic_acid", ["loss"]),
        ("mgso4", "enol_ether", ["technique"]),
    ],
)
def test_a_drying_agent_that_holds_or_harms_the_product(desiccant: str, group: str, expected: list[str]) -> None:
    dry = given(j.Did, step=4, action="dry", desiccant=desiccant, solution="", ph=7.0, survives=False)
    found = judged(dry, f.BarredDesiccant(desiccant=desiccant, group=group))
    assert [x.kind for x in found] == expected and found[0].remedy == "dry over sodium sulfate"
    assert not judged(
        given(j.Did, step=4, action="dry", desiccant="na2so4"), f.BarredDesiccant(desiccant=desiccant, group=group)
    )


# ---- layers


def test_the_layer_that_is_kept_must_hold_the_product() -> None:
    def kept(holds: float, position: str = "", said: str = "aqueous") -> tuple[Found, ...]:
        fact = given(
            j.Kept, step=2, said=said, position=position, holds=holds, organic_density=1.33, aqueous_density=1.02
        )
        return judged(fact)

    assert kept(0.49) and not kept(0.5) and kept(0.49, "top") and not kept(0.5, "top")
    assert (
        kept(0.1)[0].remedy == "keep the organic layer"
        and kept(0.1, said="organic")[0].remedy == "keep the aqueous layer"
    )
    top = kept(0.1, "top")[0]
    assert "keep the bottom layer, the organic one" in top.remedy and "the rest is thrown away" in top.text
    assert "1.33 g/mL" in top.text and "1.02" in top.text and top.kind == "loss"
    assert "keep the top layer, the aqueous one" in kept(0.1, "bottom", "organic")[0].remedy


def test_layers_thrown_away_while_they_hold_product() -> None:
    def thrown(share: float, high: float) -> tuple[Found, ...]:
        return judged(given(j.Discards, step=2, share=share, high=high))

    assert thrown(0.021, 0.05) and not thrown(0.019, 0.05)
    assert thrown(0.01, 0.11) and not thrown(0.01, 0.09)
    assert "perhaps" in thrown(0.03, 0.2)[0].text and "perhaps" not in thrown(0.03, 0.03)[0].text


def test_a_miscible_extractant_and_too_much_of_one() -> None:
    none = only(given(j.NoLayer, step=2, solvent="acetone", layers=False))
    two = only(given(j.NoLayer, step=2, solvent="acetone", layers=True))
    assert (none.kind, two.kind) == ("loss", "technique") and "no second layer forms" in none.text
    assert "ethyl acetate" in none.remedy
    mixed = only(given(j.OneLayer, step=2, cosolvent="THF", share=0.6, most=0.3))
    assert "60" in mixed.text and "30" in mixed.text and mixed.numbers == (("share", 0.6), ("most", 0.3))


# ---- what stays


@pytest.mark.parametrize(
    ("kind", "top", "bottom", "rule"),
    [
        ("acid", 7.4, 5.9, "acid-for-an-acid"),
        ("weak acid", 7.4, 1.0, "acid-for-an-acid"),
        ("acid", 7.6, 5.9, "nothing-touches-it"),
        ("acid", 7.4, 6.1, "nothing-touches-it"),
        ("base", 7.6, 6.1, "base-for-a-base"),
        ("weak base", 13.0, 7.0, "base-for-a-base"),
        ("base", 7.4, 6.1, "nothing-touches-it"),
        ("base", 7.6, 5.9, "nothing-touches-it"),
        ("other", 13.0, 7.0, "nothing-touches-it"),
        ("weak acid", 8.0, 6.5, "too-weak-a-base"),
        ("weak acid", 9.1, 6.5, "nothing-touches-it"),
        ("weak acid", 7.4, 6.5, "nothing-touches-it"),
    ],
)
def test_the_wrong_side_or_none(kind: str, top: float, bottom: float, rule: str) -> None:
    rules = [x.rule for x in judged(*remains(kind, top, bottom))]
    assert rule == rules[0] and len(rules) == 1


def test_the_wrong_side_may_be_meant_for_something_else() -> None:
    for facts in (remains("acid", 7.0, 1.0), remains("base", 13.0, 7.0)):
        assert [x.rule for x in judged(*facts, others_of=lambda *kinds: True)] == ["nothing-touches-it"]


def test_words_on_the_side_that_is_missing() -> None:
    def text(kind: str, top: float, bottom: float, touched: int = 0) -> str:
        return only(*remains(kind, top, bottom, touched=touched), others_of=lambda *kinds: True).text

    assert "is a base (pKa 9.0), and no wash in the plan is acidic" in text("base", 13.0, 6.1)
    assert "no wash in the plan is acidic" not in text("base", 13.0, 5.9)
    assert "is an acid (pKa 9.0), and no wash in the plan is basic" in text("acid", 7.4, 1.0)
    assert "no wash in the plan is basic" not in text("acid", 7.6, 1.0)
    assert "step 3 (as written) takes only part of compound c1 out: 80 % of compound c1" in text("other", 7.0, 7.0, 3)
    assert "no step in the plan takes compound c1 out" in text("other", 7.0, 7.0)


def test_what_stays_has_its_numbers_and_the_step() -> None:
    found = only(*remains("other", 7.0, 7.0, touched=3))
    assert found.kind == "leftover" and found.step == 3 and found.components == ("c1",)
    assert found.numbers == (("left", 0.5, 0.8, 0.9), ("left_by_our_plan", 0.00123))
    assert "stays with the product" in found.text and "(50 to 90 %)" in found.text
    assumed = only(*remains("other", 7.0, 7.0, touched=3), assumes_volume=lambda n: True)
    assert "if each portion is a third of the layer" in assumed.text
    assert "if each portion" not in only(*remains("other", 7.0, 7.0), assumes_volume=lambda n: True).text


def test_portions_too_few_and_washes_used_up() -> None:
    def portions(**values: Any) -> tuple[Found, ...]:
        usual = {"component": "c1", "step": 2, "solution": "hcl_1m", "repeats": 1, "each": 0.1, "needed": 2}
        usual |= {"spent_ph": 0.5, "bottle_ph": 0.1}
        return judged(given(j.Portions, **{**usual, **values}), given(j.Remains, **{**REMAINS, "touched": 2}))

    few = portions()
    assert [x.rule for x in few] == ["too-few-portions"] and "and only one is used" in few[0].text
    assert few[0].remedy == "use 2 portions of the same volume" and "leaves 10 % of" in few[0].text
    assert ("portions_needed", 2) in few[0].numbers and ("left_by_each_portion", 0.1) in few[0].numbers
    assert "and only 2 are used" in portions(repeats=2, needed=3)[0].text and not portions(repeats=2, needed=2)
    # 20 mL of 1 M acid for 40 mmol of base
    spent = portions(spent_ph=8.0, needed=0)
    assert [x.rule for x in spent] == ["used-up"]
    assert "20 mL of 1 M hydrochloric acid holds 20 mmol for 40 mmol" in spent[0].text.replace(
        "hydrochloric acid (1 M)", "1 M hydrochloric acid"
    )
    assert "ends at pH 8.0 instead of 0.1" in spent[0].text
    assert "2 × 20 mL" in portions(spent_ph=8.0, needed=0, repeats=2)[0].text
    # 60 mmol and more are enough for 40
    assert portions(spent_ph=8.0, needed=0, repeats=3) and not portions(spent_ph=8.0, needed=0, repeats=4)
    assert portions(spent_ph=2.7, needed=0) and not portions(spent_ph=2.5, needed=0)
    assert portions(spent_ph=10.0, bottle_ph=5.9, needed=0) and not portions(spent_ph=10.0, bottle_ph=6.1, needed=0)


def test_brine_removes_nothing_but_what_is_polar() -> None:
    def rules(kind: str) -> list[str]:
        facts = given(j.Remains, **{**REMAINS, "touched": 0}), j.Character(component="c1", kind=kind, pka=0.0)
        return [x.rule for x in judged(*facts, j.Sides(lowest=7.0, highest=7.0, only_neutral=True, brine_step=2))]

    assert rules("other") == ["brine-removes-nothing"] and rules("polar") == ["nothing-touches-it"]


# ---- the product lost


@pytest.mark.parametrize(
    ("share", "low", "called"),
    [(0.16, 0.11, True), (0.14, 0.11, False), (0.16, 0.09, False), (0.31, 0.0, True), (0.29, 0.0, False)],
)
def test_a_loss_is_called_one_where_it_is_sure_or_large(share: float, low: float, called: bool) -> None:
    for kind, acts, solution, rule in (
        ("base", "acid", "hcl_1m", "acid-takes-the-product"),
        ("weak base", "acid", "hcl_1m", "acid-takes-the-product"),
        ("acid", "base", "nahco3_sat", "base-takes-the-product"),
        ("weak acid", "base", "naoh_1m", "base-takes-the-product"),
    ):
        assert (rule in lost(share, low, acts, solution, kind)) is called
    assert lost(share, low, "acid", "hcl_1m", "acid", ph_before=lambda n: 1.0) == []


def test_the_product_left_behind_in_the_water() -> None:
    assert lost(0.31, 0.26, "", "") == ["left-behind"] and not lost(0.29, 0.26, "", "") and not lost(0.31, 0.24, "", "")
    assert lost(0.6, 0.51, "", "", said=False) and not lost(0.6, 0.49, "", "", said=False)

    def remedy(kind: str, ph: float) -> str:
        fact = given(j.Lost, step=2, share=0.8, low=0.7, high=0.9, solution="", acts="", said=True)
        return only(fact, kind=lambda c: kind, ph_before=lambda n: ph).remedy

    # pKa 4.2: ionised from one unit on this side of it
    for kind, ph, ionised in (
        ("acid", 3.3, True), ("acid", 3.1, False), ("weak acid", 3.3, True), ("base", 5.1, True), ("base", 5.3, False),
        ("weak base", 5.1, True), ("other", 3.3, False),
    ):  # fmt: skip
        assert remedy(kind, ph).startswith("bring the water to pH 2") is ionised


def test_a_salt_goes_with_the_water() -> None:
    def rules(share: float, low: float, acts: str, kind: str, ph: float) -> bool:
        solution = {"neutral": "water", "salt": "brine", "acid": "citric_10", "base": "nahco3_sat"}[acts]
        return "salt-goes-with-water" in lost(share, low, acts, solution, kind, ph_before=lambda n: ph)

    assert rules(0.16, 0.11, "neutral", "acid", 9.0) and rules(0.16, 0.11, "salt", "base", 2.0)
    assert not rules(0.14, 0.11, "neutral", "acid", 9.0) and not rules(0.16, 0.09, "neutral", "acid", 9.0)
    # half a unit beyond its pKa it is mostly a salt
    assert rules(0.5, 0.3, "neutral", "acid", 4.8) and not rules(0.5, 0.3, "neutral", "acid", 4.6)
    assert rules(0.5, 0.3, "neutral", "base", 3.6) and not rules(0.5, 0.3, "neutral", "base", 3.8)
    # an acid that does not suffice
    assert rules(0.31, 0.2, "acid", "acid", 9.0) and not rules(0.29, 0.2, "acid", "acid", 9.0)
    assert rules(0.31, 0.2, "base", "base", 2.0) and not rules(0.31, 0.2, "base", "acid", 9.0)
    assert not rules(0.5, 0.3, "neutral", "other", 9.0)


def test_a_polar_product_washed_away() -> None:
    def rules(share: float, low: float, kind: str = "other", recovered: float = 0.5, said: bool = True) -> bool:
        asked = {"recovered": lambda: recovered, "ph_before": lambda n: 7.0, "pka_value": lambda c: 9.0}
        return "washed-away" in lost(share, low, "neutral", "water", kind, said, **asked)

    assert rules(0.41, 0.26) and not rules(0.39, 0.26) and not rules(0.41, 0.24)
    assert rules(0.41, 0.26, "amphoteric") and not rules(0.41, 0.26, "base") and not rules(0.41, 0.26, said=False)
    # our own plan brings 95 % home
    assert rules(0.41, 0.26, recovered=0.79) and not rules(0.41, 0.26, recovered=0.81)


# ---- practice


def test_volumes_and_vessels() -> None:
    def odd(ratio: float) -> tuple[Found, ...]:
        return judged(given(j.Ratio, step=2, ratio=ratio, portion_ml=60 * ratio, layer_ml=60.0))

    assert odd(0.079) and not odd(0.081) and not odd(1.49) and odd(1.51)
    assert "several small portions" in odd(1.6)[0].remedy and "about 20 mL each" in odd(1.6)[0].remedy
    assert "several" not in odd(0.05)[0].remedy and "is 5 %" in odd(0.05)[0].text

    def full(total: float, words: str = "wash") -> tuple[Found, ...]:
        return judged(
            given(j.Vessel, step=2, total_ml=total),
            read=lambda n: ReadStep("wash", 0, 4, words),
            proposal=SimpleNamespace(steps=(), text=words),
        )

    assert full(1580.0) and not full(1570.0) and not full(5000.0, "wash in a stirred reactor")

    def unvented(gas: float) -> str:
        return only(given(j.Unvented, step=2, co2_ml=gas, solvent="dichloromethane", boiling_c=40.0)).text

    assert "about 25 mL of carbon dioxide" in unvented(25.0) and "boils at 40 C" in unvented(24.0)


def test_strong_acid_poured_in() -> None:
    def poured(grave: bool, onto: str, words: str = "concentrated acid") -> tuple[Found, ...]:
        fact = given(j.Strong, step=2, words=words, acid=True, onto=onto, grave=grave)
        return judged(fact, read=lambda n: ReadStep("quench", 0, 4, "x", solution="hcl_1m"))

    assert [poured(g, o)[0].kind for g, o in ((False, ""), (True, ""), (False, "c1"))] == [
        "technique",
        "hazard",
        "hazard",
    ]
    assert not poured(False, "", "") and "1 M hydrochloric acid" in poured(True, "")[0].remedy
