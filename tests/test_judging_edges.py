"""What a rule that judges does exactly at its limit, and on facts of which one condition holds and another does not.

A limit is what is still allowed; "more than", "beyond" and "below" begin behind it. A loss is called one from its limit on.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from by_hand import REMAINS, anew, did, finish, fired, given, judged, lost, meets, only, remains, stands

from washlore.knowledge.rows import Desiccant, Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import Fact
from washlore.rules.judging import facts as j
from washlore.rules.judging import practice, product
from washlore.rules.proposal import ReadStep
from washlore.rules.steps import LEAST_RATIO, MOST_RATIO

# ---- what breaks the product


@pytest.mark.parametrize(
    ("ph", "side", "limit", "survives", "rules"),
    [
        # base: one unit beyond what it stands, and basic at all
        (13.0, "high", 12.0, False, []),
        (13.5, "high", 12.0, False, ["base-breaks-the-product"]),
        (7.5, "high", 6.0, False, []),
        (7.0, "high", 5.0, False, []),
        (13.0, "high", 12.0, True, []),
        (13.5, "high", 12.0, True, ["base-is-a-gamble"]),
        (11.5, "high", 12.0, True, []),
        # acid: two units beyond what it stands, and acidic at all
        (0.5, "low", 2.5, False, []),
        (0.25, "low", 2.5, False, ["acid-breaks-the-product"]),
        (6.5, "low", 9.0, False, []),
        (7.0, "low", 9.5, False, []),
        (0.5, "low", 2.5, True, []),
        (0.25, "low", 2.5, True, ["acid-is-a-gamble"]),
        (3.0, "low", 2.5, True, []),
        # some 4 M and more
        (-0.6, "low", 1.0, False, ["concentrated-acid-is-a-gamble"]),
        (-0.7, "low", 1.0, False, ["concentrated-acid-is-a-gamble"]),
        (-0.5, "low", 1.0, False, []),
        (-0.75, "low", 1.25, False, ["concentrated-acid-is-a-gamble"]),
        (-0.75, "low", 1.5, False, ["acid-breaks-the-product"]),
        (-0.7, "low", -0.7, False, []),
        (-0.7, "low", -0.8, False, []),
    ],
)
def test_a_wash_beyond_what_the_product_stands(
    ph: float, side: str, limit: float, survives: bool, rules: list[str]
) -> None:
    assert fired(did("hcl_1m", ph, survives), stands(side, limit)) == rules


def test_drying_meets_no_limit_of_ph() -> None:
    """A step without a solution has pH 7, which neither breaks nor spares anything."""
    dry = given(j.Did, step=4, action="dry", desiccant="na2so4", solution="", ph=7.0, survives=False)
    assert not fired(dry, stands("high", 1.0), stands("low", 13.0))


def test_a_wash_that_brings_what_a_group_does_not_stand() -> None:
    spoilt = f.SpoiltBy(tag="sulfite", group="aldehyde")
    assert fired(did("nahso3_sat", 4.0), spoilt) == ["wash-reacts-with-product"]
    assert not fired(did("na2s2o3_10", 7.0), spoilt)


# ---- danger


def test_what_meets_is_found_by_one_rule_only() -> None:
    """Acid on azide frees the acid; without acid it is only told what the bottle must never meet."""
    assert fired(meets(1.0)) == fired(meets(6.9)) == ["acid-frees-poison"]
    assert fired(meets(7.1)) == ["deadly-together"]
    assert not fired(meets(7.1, "")) and fired(meets(1.0, "")) == ["acid-frees-poison"]
    for tame in ("acid_chloride", "carboxylic_anhydride"):
        assert not fired(meets(7.1, residue=tame)) and not fired(meets(1.0, residue=tame))


@pytest.mark.parametrize(
    ("residue", "kind", "share", "rules"),
    [
        ("organolithium", "organometallic", 0.001, ["quench-is-missing"]),
        ("organolithium", "something else", 0.5, []),
        ("borohydride", "hydride", 0.5, ["quench-is-better"]),
        ("borohydride", "hydride", 0.02, []),
        ("acid_chloride", "acid halide", 0.02, []),
        ("acid_chloride", "acid halide", 0.03, ["quench-is-better"]),
    ],
)
def test_what_is_quenched_first(residue: str, kind: str, share: float, rules: list[str]) -> None:
    fact = given(j.Unquenched, step=1, component="c1", residue=residue, kind=kind, share=share, later=0)
    assert fired(fact) == rules


def test_gas_exactly_at_its_limits() -> None:
    def rules(gas: float, liquid: float, **more: Any) -> list[str]:
        usual = {"vented": False, "boiling_c": 77.0}
        return fired(given(j.Gas, step=2, co2_ml=gas, liquid_ml=liquid, **{**usual, **more}))

    assert not rules(150.0, 50.0) and rules(150.5, 50.0) == ["vent-is-missing"]
    assert not rules(300.0, 200.0) and rules(300.5, 200.0) and not rules(140.0, 20.0)
    assert not rules(300.5, 200.0, vented=True)


# ---- the order at the end


@pytest.mark.parametrize(
    ("values", "rules"),
    [
        ({}, []),
        # nothing was ever wet
        ({"water": 0, "brine": 0}, []),
        ({"dry": 0, "last_dry": 0, "filter": 0, "water": 0}, []),
        ({"dry": 0, "last_dry": 0, "filter": 0, "brine": 0}, ["not-dried"]),
        ({"dry": 0, "last_dry": 0, "filter": 0, "strip": 0}, []),
        ({"dry": 0, "last_dry": 0, "filter": 0, "rinsed": False}, ["not-dried"]),
        # dried, and water after it
        ({"water": 4}, []),
        ({"water": 5, "filter": 6, "strip": 7}, ["dried-too-early"]),
        ({"water": 5, "last_dry": 6, "filter": 7, "strip": 8}, ["dried-too-early"]),
        # nothing stripped
        ({"strip": 0}, []),
        ({"strip": 0, "filter": 0}, []),
        ({"strip": 0, "rinsed": False}, []),
        # stripped before the drying, and before the filter
        ({"strip": 3, "water": 2, "filter": 0, "last_dry": 4}, ["stripped-too-early"]),
        ({"strip": 3, "water": 2}, ["stripped-too-early"]),
        ({"strip": 5, "filter": 6}, ["stripped-too-early"]),
        ({"strip": 5, "filter": 5}, []),
        ({"strip": 4, "filter": 0}, []),
        # not filtered, as an itemised plan says
        ({"filter": 0}, ["not-filtered"]),
        ({"filter": 0, "itemised": False}, []),
        ({"filter": 0, "dry": 0, "last_dry": 0, "water": 7}, []),
        # not rinsed, as a list says
        ({"rinsed": False}, ["rinse-is-not-listed"]),
        ({"rinsed": False, "listed": False}, []),
        ({"rinsed": False, "filter": 0, "itemised": False}, []),
        ({"rinsed": False, "filter": 1}, ["rinse-is-not-listed"]),
        ({"rinsed": False, "filter": 1, "strip": 1}, ["stripped-too-early"]),
        # brine
        ({"brine": 0}, ["brine-is-skipped"]),
        ({"brine": 0, "held": 2.5}, ["brine-is-skipped"]),
        ({"brine": 0, "held": 2.25}, []),
        ({"brine": 1, "held": 9.0}, []),
    ],
    ids=str,
)
def test_each_slip_in_the_order_of_the_end(values: dict[str, Any], rules: list[str]) -> None:
    read = ReadStep("dry", 0, 3, "dry", desiccant="na2so4")
    assert fired(finish(**values), read=lambda n: read) == rules


@pytest.mark.parametrize(
    ("desiccant", "group", "rules"),
    [
        ("cacl2", "primary_alcohol", ["desiccant-holds-product"]),
        ("cacl2", "tertiary_amide", ["desiccant-holds-a-little"]),
        ("cacl2", "phenol", ["desiccant-holds-a-little"]),
        ("cacl2", "alkyl_ester", []),
        ("koh", "phenol", ["desiccant-holds-product"]),
        ("k2co3", "tetrazole", ["desiccant-holds-product"]),
        ("k2co3", "phenol", []),
        ("mgso4", "enol_ether", ["desiccant-harms-product"]),
        ("koh", "alkyl_ester", ["desiccant-harms-product"]),
    ],
)
def test_what_a_drying_agent_does_to_a_group(desiccant: str, group: str, rules: list[str]) -> None:
    dry = given(j.Did, step=4, action="dry", desiccant=desiccant)
    barred = f.BarredDesiccant(desiccant=desiccant, group=anew(group))
    assert fired(dry, barred) == rules
    assert not fired(given(j.Did, step=4, action="dry", desiccant="na2so4"), barred)
    assert not fired(given(j.Did, step=4, action="filter", desiccant=desiccant), barred)


def test_what_calcium_chloride_holds_firmly_it_does_not_hold_loosely() -> None:
    """Alcohols, amines and acids are held; amides, phenols and their like in part. No group is both."""
    dry = given(j.Did, step=4, action="dry", desiccant="cacl2")
    for group in table(Desiccant)["cacl2"].binds:
        assert len(fired(dry, f.BarredDesiccant(desiccant="cacl2", group=group))) <= 1


# ---- layers


def test_half_of_the_product_is_enough_for_a_layer_to_be_kept() -> None:
    for position, rule in (("", "keep-the-products-layer"), ("top", "heavier-layer-below")):
        for holds, found in ((0.25, [rule]), (0.5, []), (0.75, [])):
            fact = given(
                j.Kept,
                step=2,
                said="aqueous",
                position=position,
                holds=holds,
                organic_density=1.3,
                aqueous_density=1.0,
            )
            assert fired(fact) == found


def test_two_per_cent_of_the_product_may_be_thrown_away_and_perhaps_a_tenth() -> None:
    def rules(share: float, high: float) -> list[str]:
        return fired(given(j.Discards, step=2, share=share, high=high))

    assert not rules(0.02, 0.10) and not rules(0.005, 0.05)
    assert rules(0.03, 0.03) == rules(0.005, 0.2) == rules(0.5, 0.6) == ["keep-all-layers"]


# ---- what stays


@pytest.mark.parametrize(
    ("kind", "top", "bottom", "rules"),
    [
        ("acid", 7.0, 5.0, ["acid-for-an-acid", "nothing-touches-it"]),
        ("acid", 7.5, 5.0, ["nothing-touches-it"]),
        ("acid", 7.0, 6.0, ["nothing-touches-it"]),
        ("acid", 9.0, 5.0, ["nothing-touches-it"]),
        ("base", 9.0, 7.0, ["base-for-a-base", "nothing-touches-it"]),
        ("base", 7.5, 7.0, ["nothing-touches-it"]),
        ("base", 9.0, 6.0, ["nothing-touches-it"]),
        ("base", 7.0, 5.0, ["nothing-touches-it"]),
        ("other", 7.0, 5.0, ["nothing-touches-it"]),
        ("other", 9.0, 7.0, ["nothing-touches-it"]),
        ("amphoteric", 9.0, 7.0, ["nothing-touches-it"]),
        ("weak acid", 8.0, 7.0, ["too-weak-a-base", "nothing-touches-it"]),
        ("weak acid", 7.5, 7.0, ["nothing-touches-it"]),
        ("weak acid", 9.0, 7.0, ["nothing-touches-it"]),
        ("weak acid", 12.0, 7.0, ["nothing-touches-it"]),
        ("acid", 8.0, 7.0, ["nothing-touches-it"]),
    ],
)
def test_a_wash_of_the_wrong_side(kind: str, top: float, bottom: float, rules: list[str]) -> None:
    assert fired(*remains(anew(kind), top, bottom)) == rules


@pytest.mark.parametrize(
    ("kind", "top", "bottom", "words"),
    [
        ("base", 9.0, 6.0, ""),
        ("base", 9.0, 6.5, "no wash in the plan is acidic"),
        ("weak base", 7.0, 7.0, "no wash in the plan is acidic"),
        ("acid", 7.5, 1.0, ""),
        ("acid", 7.0, 1.0, "no wash in the plan is basic"),
        ("weak acid", 7.0, 7.0, "no wash in the plan is basic"),
        ("other", 7.0, 7.0, ""),
        ("other", 9.0, 7.0, ""),
    ],
)
@pytest.mark.parametrize("touched", [0, 3])
def test_the_side_that_is_missing_explains_what_stays(
    kind: str, top: float, bottom: float, words: str, touched: int
) -> None:
    found = only(*remains(kind, top, bottom, touched=touched), others_of=lambda *kinds: True)
    if words:
        assert f", and {words}: 80 % of compound c1" in found.text and found.step == 0
    else:
        asked = "step 3 (as written) takes only part of compound c1 out" if touched else "no step in the plan takes"
        assert found.text.startswith(asked) and found.step == touched


def test_what_is_touched_and_what_is_not_are_told_by_one_rule_each() -> None:
    assert fired(*remains("other", 7.0, 7.0, touched=0)) == ["nothing-touches-it"]
    assert fired(*remains("other", 7.0, 7.0, touched=1)) == ["part-of-it-stays"]


@pytest.mark.parametrize(
    ("kind", "only_neutral", "brine_step", "told"),
    [
        ("other", True, 2, True),
        ("weak base", True, 2, True),
        ("polar", True, 2, False),
        ("other", False, 2, False),
        ("other", True, 0, False),
    ],
)
def test_brine_takes_out_what_is_polar_only(kind: str, only_neutral: bool, brine_step: int, told: bool) -> None:
    facts = (
        given(j.Remains, **REMAINS),
        given(j.Character, component="c1", kind=kind),
        given(j.Sides, lowest=7.0, highest=7.0, only_neutral=only_neutral, brine_step=brine_step),
    )
    assert ("brine-removes-nothing" in fired(*facts)) is told


def used_up(spent: float, bottle: float, repeats: int = 1, needed: int = 0, solution: str = "hcl_1m") -> list[str]:
    fact = given(
        j.Portions, component="c1", step=2, solution=solution, repeats=repeats, each=0.5, needed=needed, spent_ph=spent,
        bottle_ph=bottle,
    )  # fmt: skip
    return fired(fact, given(j.Remains, **{**REMAINS, "touched": 2}))


def test_a_wash_that_ends_far_from_its_own_ph_was_used_up() -> None:
    assert not used_up(2.5, 0.0) and used_up(3.0, 0.0) == ["used-up"] and used_up(11.0, 14.0) == ["used-up"]
    assert not used_up(1.5, 1.25) and not used_up(13.0, 14.0)
    # water has nothing that could be used up
    assert not used_up(2.0, 6.0) and not used_up(3.0, 8.0) and used_up(3.0, 9.0) == ["used-up"]
    assert used_up(9.0, 5.0) == ["used-up"]


def test_a_wash_with_equivalents_enough_failed_for_another_reason() -> None:
    """20 mL portions for 40 mmol: 3 M acid has 60 mmol in one portion, which is one and a half times as much."""
    assert table(Solution)["hcl_3m"].molarity_m == 3.0
    assert used_up(8.0, -0.5, solution="hcl_3m") == ["used-up"] and not used_up(8.0, -0.5, 2, solution="hcl_3m")
    assert used_up(8.0, -0.5, 3) == ["used-up"] and not used_up(8.0, -0.5, 4)


def test_portions_are_too_few_where_more_are_needed_than_used() -> None:
    assert used_up(0.2, 0.1, 1, 2) == ["too-few-portions"]
    assert not used_up(0.2, 0.1, 2, 2) and not used_up(0.2, 0.1, 3, 2)
    # none that anybody would use is enough
    assert not used_up(0.2, 0.1, 2, 0)


# ---- the product lost


def test_a_loss_is_called_one_from_its_limits_on() -> None:
    assert product._called(0.15, 0.10) and not product._called(0.15, 0.09) and not product._called(0.14, 0.10)
    assert product._called(0.30, 0.0) and not product._called(0.29, 0.0) and product._called(0.9, 0.0)
    assert product._called(0.2, 0.2) and not product._called(0.1, 0.05)


@pytest.mark.parametrize(
    ("solution", "is_acid", "is_base"),
    [
        ("hcl_1m", True, False),
        ("nh4cl_sat", True, False),
        ("nahco3_sat", False, True),
        ("naoh_1m", False, True),
        ("water", False, False),
        ("brine", False, False),
        ("na2so4_sat", False, False),
        ("nh42so4_sat", True, False),
        ("phosphate_ph7", False, False),
        ("phosphate_ph6", True, False),
        ("phosphate_ph8", False, True),
        ("cysteine_5", False, True),
    ],
)
def test_which_solutions_are_acids_and_bases_to_a_product(solution: str, is_acid: bool, is_base: bool) -> None:
    assert (product._is_acid(solution), product._is_base(solution)) == (is_acid, is_base)


def test_unbuffered_salts_are_neutral_within_a_unit_of_seven() -> None:
    for row in table(Solution).values():
        salt = row.acts_as in ("neutral", "salt")
        assert product._leeway(row) == (1.0 if salt else 0.0)


@pytest.mark.parametrize(
    ("kind", "solution", "acts", "share", "rules"),
    [
        ("base", "hcl_1m", "acid", 0.2, ["acid-takes-the-product"]),
        ("base", "hcl_1m", "acid", 0.12, []),
        ("base", "nahco3_sat", "base", 0.2, []),
        ("base", "water", "neutral", 0.9, []),
        ("acid", "nahco3_sat", "base", 0.2, ["base-takes-the-product"]),
        ("acid", "nahco3_sat", "base", 0.12, []),
        ("acid", "hcl_1m", "acid", 0.2, []),
        ("acid", "water", "neutral", 0.9, []),
        ("other", "hcl_1m", "acid", 0.2, []),
        ("other", "nahco3_sat", "base", 0.2, []),
    ],
)
def test_whose_charge_a_wash_uses(kind: str, solution: str, acts: str, share: float, rules: list[str]) -> None:
    """At pH 4.2, its pKa, half of the product is charged: what water carries is not laid to its charge."""
    fact = given(j.Lost, step=2, share=share, low=share - 0.05, high=share, solution=solution, acts=acts, said=True)
    asked = {"kind": lambda c: kind, "ph_before": lambda n: 4.2, "recovered": lambda: 0.9}
    assert fired(fact, given(j.Character, component="product", kind=kind, pka=4.2), **asked) == rules


def test_what_is_left_behind_from_its_limits_on() -> None:
    assert lost(0.30, 0.25, "", "") == ["left-behind"]
    assert not lost(0.29, 0.25, "", "") and not lost(0.30, 0.24, "", "") and lost(0.9, 0.8, "", "")
    assert lost(0.5, 0.5, "", "", said=False) and not lost(0.6, 0.4, "", "", said=False)


@pytest.mark.parametrize(
    ("kind", "ph", "ionised"),
    [
        ("acid", 3.0, False),
        ("acid", 3.5, True),
        ("acid", 9.0, True),
        ("base", 5.0, False),
        ("base", 4.5, True),
        ("base", 1.0, True),
        ("weak base", 9.0, False),
        ("weak acid", 1.0, False),
        ("other", 1.0, False),
        ("other", 13.0, False),
    ],
)
def test_within_a_unit_of_its_pka_the_ph_is_to_blame(kind: str, ph: float, ionised: bool) -> None:
    fact = given(j.Lost, step=2, share=0.8, low=0.7, high=0.9, solution="", acts="", said=True)
    found = only(fact, kind=lambda c: kind, ph_before=lambda n: ph, pka_value=lambda c: 4.0)
    assert found.remedy.startswith("bring the water to pH 2, where" if ionised else "extract with three portions")


@pytest.mark.parametrize(
    ("share", "low", "acts", "kind", "ph", "told"),
    [
        (0.15, 0.10, "neutral", "acid", 9.0, True),
        (0.14, 0.10, "neutral", "acid", 9.0, False),
        (0.15, 0.09, "neutral", "acid", 9.0, False),
        (0.9, 0.8, "salt", "weak acid", 9.0, True),
        (0.30, 0.10, "acid", "acid", 9.0, True),
        (0.29, 0.10, "acid", "acid", 9.0, False),
        (0.29, 0.10, "base", "base", 1.0, False),
        (0.30, 0.10, "base", "weak base", 1.0, True),
        (0.5, 0.4, "base", "acid", 9.0, False),
        (0.5, 0.4, "acid", "base", 1.0, False),
        (0.5, 0.4, "oxidant", "acid", 9.0, False),
        (0.5, 0.4, "neutral", "amphoteric", 9.0, False),
        (0.5, 0.4, "neutral", "other", 1.0, False),
        # half a unit beyond its pKa of 4
        (0.5, 0.4, "neutral", "acid", 4.5, True),
        (0.5, 0.4, "neutral", "acid", 4.25, False),
        (0.5, 0.4, "neutral", "base", 3.5, True),
        (0.5, 0.4, "neutral", "base", 3.75, False),
        (0.5, 0.4, "neutral", "base", 9.0, False),
    ],
)
def test_the_salt_that_a_product_was(share: float, low: float, acts: str, kind: str, ph: float, told: bool) -> None:
    solution = {"neutral": "water", "salt": "brine", "acid": "citric_10", "base": "nahco3_sat"}.get(acts, "bleach_5")
    asked = {"ph_before": lambda n: ph, "pka_value": lambda c: 4.0}
    assert ("salt-goes-with-water" in lost(share, low, acts, solution, kind, **asked)) is told
    assert "salt-goes-with-water" not in lost(share, low, acts, "", kind, **asked)


@pytest.mark.parametrize(
    ("share", "low", "kind", "recovered", "told"),
    [
        (0.40, 0.25, "other", 0.5, True),
        (0.39, 0.25, "other", 0.5, False),
        (0.40, 0.24, "other", 0.5, False),
        (0.9, 0.8, "amphoteric", 0.05, True),
        (0.1, 0.05, "other", 0.9, False),
        # fifteen points behind our own plan is enough, less is not
        (0.5, 0.4, "other", 0.75, True),
        (0.5, 0.4, "other", 0.76, False),
        (0.5, 0.4, "other", 0.99, False),
    ],
)
def test_a_polar_product_is_washed_away(share: float, low: float, kind: str, recovered: float, told: bool) -> None:
    plan = SimpleNamespace(recovered=(0.1, 0.90, 1.0), extraction="ethyl_acetate", steps=())
    asked = {"recovered": lambda: recovered, "plan": plan}
    assert ("washed-away" in lost(share, low, "neutral", "water", kind, **asked)) is told
    # Where no volume is said, the lucky side must be as bad.
    surely = told and low >= 0.40
    assert ("washed-away" in lost(share, low, "neutral", "water", kind, said=False, **asked)) is surely
    assert "washed-away" not in lost(share, low, "", "", kind, **asked)


@pytest.mark.parametrize(
    ("kind", "acts", "solution", "ph", "told"),
    [
        ("base", "neutral", "water", 11.4, True),  # not its charge, at two units above its pKa
        ("base", "neutral", "water", 8.9, False),  # its charge: another rule tells
        ("acid", "neutral", "water", 7.0, True),
        ("acid", "neutral", "water", 10.0, False),
        ("base", "acid", "hcl_1m", 11.4, False),
    ],
)
def test_a_polar_base_or_acid_is_washed_away_where_it_has_no_charge(
    kind: str, acts: str, solution: str, ph: float, told: bool
) -> None:
    plan = SimpleNamespace(recovered=(0.1, 0.90, 1.0), extraction="ethyl_acetate", steps=())
    asked = {"recovered": lambda: 0.05, "plan": plan, "ph_before": lambda n: ph, "pka_value": lambda c: 9.4}
    assert ("washed-away" in lost(0.9, 0.8, acts, solution, kind, **asked)) is told


# ---- practice


def test_ratios_within_their_limits_are_sound() -> None:
    def rules(ratio: float) -> list[str]:
        return fired(given(j.Ratio, step=2, ratio=ratio, portion_ml=60 * ratio, layer_ml=60.0))

    assert not rules(LEAST_RATIO) and not rules(MOST_RATIO) and not rules(0.5)
    assert rules(LEAST_RATIO - 0.01) == rules(MOST_RATIO + 0.01) == ["odd-volume"]


def overfull(text: str, step: int, total: float = 2000.0) -> bool:
    """Tell whether a step of a plan, its parts between strokes, is said to fill the funnel over."""
    starts = [n for n, sign in enumerate(text) if sign == "|"]
    steps = tuple(ReadStep("wash", start, start + 4, "wash") for start in starts)
    asked: dict[str, Any] = {"read": lambda n: steps[n - 1], "proposal": SimpleNamespace(steps=steps, text=text)}
    return bool(fired(given(j.Vessel, step=step, total_ml=total), **asked))


def test_a_funnel_is_overfull_where_the_step_itself_names_no_other_vessel() -> None:
    assert not overfull("|wash", 1, practice.FUNNEL_ML) and overfull("|wash", 1, practice.FUNNEL_ML + 1)
    assert not overfull("|wash in a stirred vessel |dry", 1) and not overfull("|wash |wash in a reactor", 2)
    assert not overfull("|wash in two halves", 1) and not overfull("|dry |wash, stirred |dry", 2)
    # the vessel of another step is not that of this one
    assert overfull("|wash |stirred over powder", 1) and overfull("|stirred overnight |wash", 2)
    assert overfull("|stirred |wash |stirred over powder", 2)


def test_a_change_of_layer_with_a_ph_is_sound() -> None:
    assert fired(given(j.Swapped, step=2, tested=False)) == ["ph-not-checked"]
    assert not fired(given(j.Swapped, step=2, tested=True))


def test_a_product_that_water_destroys_and_one_that_stays_in_it() -> None:
    def water(reacts: bool, hopeless: bool = False, text: str = "glycine belongs to the water") -> Any:
        return only(given(j.Unwatered, step=2, text=text, reacts=reacts), hopeless=hopeless)

    assert water(True).rule == "water-breaks-the-product" and water(True).kind == "loss"
    assert [water(False, hopeless).kind for hopeless in (True, False)] == ["loss", "technique"]
    assert water(False).remedy == "strip the water and crystallise, or protect it first"
    told = water(False, text="glycine belongs to the water. Instead bring it to pH 6")
    assert (told.text, told.remedy) == ("glycine belongs to the water", "bring it to pH 6")


def test_nothing_is_found_in_nothing() -> None:
    facts: list[Fact] = [finish(), stands("low", 0.0), stands("high", 14.0)]
    assert judged(*facts) == ()
