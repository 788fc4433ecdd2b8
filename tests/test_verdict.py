"""How findings are merged, ranked, counted and told together, and the verdict that they give."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace
from types import SimpleNamespace
from typing import Any

import pytest
from by_hand import REMAINS, anew, did, fired, given, job, judged, lost, meets, only, remains, stands

from washlore.rules import facts as f
from washlore.rules.engine import Fact
from washlore.rules.judging import facts as j
from washlore.rules.judging import priority
from washlore.rules.verdict import Found, _one_root, _told_together, _weight, gather, verdict_on


def finding(
    kind: str, step: int = 1, component: str = "c1", root: str = "r", left: float | None = None, name: str = "left"
) -> Found:
    numbers = () if left is None else ((anew(name), left / 2, left, 2 * left),)
    return Found(anew(kind), f"rule {root}", "", step, "", anew(component), "", "", numbers, (), root)


@pytest.mark.parametrize(
    ("findings", "verdict"),
    [
        ((), "ok"),
        ((finding("technique"),), "minor"),
        ((finding("loss"),), "flawed"),
        ((finding("loss"), finding("hazard")), "dangerous"),
        ((finding("leftover", left=0.051),), "flawed"),
        ((finding("leftover", left=0.049),), "minor"),
        ((finding("leftover"),), "flawed"),
        ((finding("technique", left=0.9),), "minor"),
    ],
)
def test_a_verdict_is_that_of_the_worst_finding(findings: tuple[Found, ...], verdict: str) -> None:
    assert verdict_on(findings, 0.01) == verdict
    strict = {"flawed": "minor"}.get(verdict, verdict) if all(x.kind == "leftover" for x in findings) else verdict
    assert verdict_on(findings, 0.01, purified=True) == strict


def test_five_times_the_target_is_much_where_that_is_more_than_five_per_cent() -> None:
    assert (
        verdict_on([finding("leftover", left=0.09)], 0.02) == "minor"
        and verdict_on([finding("leftover", left=0.11)], 0.02) == "flawed"
    )
    assert verdict_on([finding("leftover", left=0.01), finding("leftover", left=0.9)], 0.01) == "flawed"
    assert verdict_on([finding("technique"), finding("leftover", left=0.9)], 0.01) == "flawed"
    # Exactly that much is not more than that much; five times 0.2 % is not much however low the target is.
    assert verdict_on([finding("leftover", left=0.05)], 0.01) == "minor"
    assert verdict_on([finding("leftover", left=0.125)], 0.025) == "minor"
    assert verdict_on([finding("leftover", left=0.04)], 0.002) == "minor"


def test_the_amount_left_is_found_among_other_numbers() -> None:
    """What a portion leaves, or what our own plan leaves, is not what is left."""
    for name in ("it leaves", "lefts"):
        item = finding("leftover", left=0.9, name=name)
        both = replace(item, numbers=(*item.numbers, ("left", 0.001, 0.02, 0.9)))
        assert verdict_on([both], 0.01) == "minor" and _weight(both) == 0.02
    single = replace(finding("leftover"), numbers=(("left", 0.3),))
    assert verdict_on([single], 0.01) == "flawed" and _weight(single) == 0.3


def test_findings_weigh_by_what_is_lost_or_left() -> None:
    assert _weight(finding("leftover", left=0.3)) == 0.3
    assert _weight(finding("loss", left=0.4, name="product_lost")) == 0.4
    assert _weight(finding("loss", left=0.4, name="product_left_behind")) == 0.4
    assert [_weight(finding(k)) for k in ("hazard", "loss", "leftover", "technique")] == [0.5, 0.5, 0.0, 0.0]
    assert _weight(finding("technique", left=0.4, name="ph")) == 0.0


def test_what_follows_from_a_worse_finding_is_left_out() -> None:
    loss = finding("loss", 2, "product", "a")
    assert _one_root([loss, finding("loss", 2, "product", "b")]) == [loss]
    assert len(_one_root([loss, finding("loss", 3, "product", "b")])) == 2
    assert len(_one_root([loss, finding("loss", 1, "product", "b")])) == 2
    assert (
        len(_one_root([loss, finding("loss", 2, "c1", "b")]))
        == 2
        == len(_one_root([loss, finding("loss", 2, "z", "b")]))
    )
    # a step is the same by its number, whatever made it
    later = finding("loss", int("1002"), "product", "a")
    assert _one_root([later, finding("loss", int("1002"), "product", "b"), finding("technique", int("1002"), "")]) == [
        later
    ]
    assert _one_root([loss, finding("technique", 2, "", "b")]) == [loss]
    assert len(_one_root([loss, finding("technique", 3, "", "b")])) == 2
    assert len(_one_root([loss, finding("technique", 1, "", "b")])) == 2
    assert len(_one_root([finding("technique", 2, "", "a"), finding("technique", 2, "", "b")])) == 2
    assert len(_one_root([finding("leftover", 2, "c1", "a"), finding("technique", 2, "", "b")])) == 2
    assert len(_one_root([loss, finding("leftover", 2, "c1", "b")])) == 2
    hazard = finding("hazard", 1, "c1", "a")
    assert _one_root([hazard, finding("leftover", 4, "c1", "b")]) == [hazard]
    assert len(_one_root([hazard, finding("leftover", 4, "c2", "b")])) == 2
    assert len(_one_root([hazard, finding("leftover", 4, "b9", "b")])) == 2
    assert _one_root([hazard, finding("hazard", 4, "c1", "b")]) == [hazard]
    assert len(_one_root([hazard, finding("technique", 4, "c1", "b")])) == 2
    assert len(_one_root([finding("loss", 1, "c1", "a"), finding("leftover", 4, "c1", "b")])) == 2
    # what comes behind one that is left out is told
    assert _one_root([hazard, finding("hazard", 4, "c1"), finding("technique", 5, "")]) == [
        hazard,
        finding("technique", 5, ""),
    ]
    assert _one_root([hazard, finding("technique", 1, "", "b")]) == [hazard]
    small = finding("leftover", 1, "c1", "a")
    assert len(_one_root([small, finding("technique", 1, "", "b"), finding("leftover", 1, "c1", "c")])) == 3


@pytest.mark.parametrize("worse", j.KINDS)
@pytest.mark.parametrize("item", j.KINDS)
@pytest.mark.parametrize("same_step", [True, False])
@pytest.mark.parametrize("component", ["product", "c1"])
def test_what_each_kind_of_finding_leaves_out(worse: str, item: str, same_step: bool, component: str) -> None:
    """A hazard and a loss at one step are two things; a second loss of the product there is none, nor a slip that caused it."""
    rows = [finding(worse, 2, component, "a"), finding(item, 2 if same_step else 3, component, "b")]
    left_out = (
        (same_step and worse == "loss" and item == "loss" and component == "product")
        or (same_step and worse in ("hazard", "loss") and item == "technique")
        or (worse == "hazard" and item in ("hazard", "leftover"))
    )
    assert _one_root(rows) == rows[: 1 if left_out else 2]


def test_findings_are_merged_ranked_and_counted() -> None:
    """One cause gives one finding, the worst; hazards come before losses, and of technique no more than three are told."""
    found = judged(
        meets(1.0),
        given(j.Unquenched, step=1, component="c2", residue="borohydride", kind="hydride", share=0.5, later=0),
        given(j.Unquenched, step=1, component="c2", residue="organolithium", kind="organometallic", share=0.5, later=0),
        given(j.Lost, step=5, share=0.35, low=0.3, high=0.4, solution="", acts="", said=True),
        given(j.Lost, step=6, share=0.8, low=0.7, high=0.9, solution="", acts="", said=True),
        *(given(j.Swapped, step=10 + i, tested=False) for i in range(5)),
    )
    assert [(x.kind, x.step) for x in found] == [
        ("hazard", 1), ("hazard", 3), ("loss", 6), ("loss", 5), ("technique", 10), ("technique", 11), ("technique", 12)
    ]  # fmt: skip
    assert [x.components for x in found[:3]] == [("c2",), ("c1",), ("product",)]
    assert found[0].quote == "wash it" and found[0].sources and found[0].remedy.startswith("quench before any wash")


def test_brine_is_no_acid_and_sodium_sulfate_no_base() -> None:
    """Saturated brine reads pH 6.8, sodium sulfate 7.7: what they carry away is a salt that was there."""
    assert lost(0.5, 0.3, "salt", "brine", "base", ph_before=lambda n: 2.0) == ["salt-goes-with-water"]
    assert lost(0.5, 0.3, "salt", "na2so4_sat", "acid", ph_before=lambda n: 9.0) == ["salt-goes-with-water"]
    assert lost(0.5, 0.3, "neutral", "water", "base", ph_before=lambda n: 2.0) == ["salt-goes-with-water"]


def test_what_stays_is_told_together_where_one_cause_keeps_it() -> None:
    def pair(
        c: str, left: float, own: str = "", common: str = "no step takes {} out", step: int = 0
    ) -> tuple[Found, Any]:
        fact = j.Stays(
            step=step,
            component=c,
            root=c,
            remedy="wash",
            own=own,
            common=common,
            numbers=(("left", left / 2, left, left),),
        )
        return Found("leftover", "r", "", step, "", c, "", "wash", fact["numbers"], (), c), fact

    (both,) = _told_together([pair("c1", 0.2), pair("c2", 0.6)], job())
    assert both.components == ("c2", "c1") and both.component == "c2"
    assert both.text.startswith("no step takes compound c2 and compound c1 out: 60 % of compound c2")
    assert "stay with the product" in both.text and "20 % of compound c1" in both.text
    (one,) = _told_together([pair("c1", 0.2, "it is a base")], job())
    assert one.text.startswith("it is a base, and no step takes compound c1 out: 20 %") and "stays with" in one.text
    assert len(_told_together([pair("c1", 0.2), pair("c2", 0.6, step=3)], job())) == 2
    assert len(_told_together([pair("c1", 0.2), pair("c2", 0.6, common="brine")], job())) == 2


def test_of_each_kind_no_more_is_told_than_is_useful() -> None:
    """Eight hazards, six losses, six remainders and three remarks on technique; the first of them are kept."""
    facts = [
        *(given(j.Concentrates, step=30, component=f"c{i}", residue="mcpba", share=0.5) for i in range(10)),
        *(given(j.Lost, step=i, share=0.5, low=0.4, high=0.6, solution="", acts="", said=True) for i in range(40, 49)),
        *(given(j.Remains, **{**REMAINS, "component": f"d{i}", "touched": 50 + i}) for i in range(9)),
        *(j.Character(component=f"d{i}", kind="other", pka=0.0) for i in range(9)),
        j.Sides(lowest=1.0, highest=9.0, only_neutral=False, brine_step=0),
        *(given(j.Swapped, step=70 + i, tested=False) for i in range(5)),
    ]
    found = judged(*facts)
    assert [sum(x.kind == kind for x in found) for kind in j.KINDS] == [8, 6, 6, 3]
    assert [x.step for x in found if x.kind == "loss"] == [40, 41, 42, 43, 44, 45]
    assert [x.step for x in found if x.kind == "leftover"] == [50, 51, 52, 53, 54, 55]
    assert [x.component for x in found if x.kind == "hazard"] == [f"c{i}" for i in range(8)]


def test_of_two_findings_with_one_root_and_kind_the_first_is_told() -> None:
    found = judged(
        *(
            given(j.Lost, step=n, share=0.5, low=0.4, high=0.6, solution="hcl_1m", acts="acid", said=True)
            for n in (3, 4)
        ),
        j.Character(component="product", kind="base", pka=4.2),
        kind=lambda c: "base",
    )
    assert [(x.rule, x.step) for x in found] == [("acid-takes-the-product", 3)]


def test_of_two_findings_with_one_root_the_worse_is_told_whichever_comes_first() -> None:
    def told(*kinds: str) -> list[tuple[str, int]]:
        rows = [
            (n, j.Finding(kind=kind, step=n, component="", root="one", remedy="", numbers=()))
            for n, kind in enumerate(kinds, start=3)
        ]
        reason = SimpleNamespace(rule="acid-takes-the-product", text="because", sources=())
        engine = SimpleNamespace(
            known={n: SimpleNamespace(reasons=[reason]) for n, _ in rows},
            facts_of=lambda kind: rows if kind is j.Finding else [],
        )
        return [(item.kind, item.step) for item in gather(engine, job())]

    assert told("technique", "loss") == [("loss", 4)]
    assert told("loss", "technique") == told("loss", "loss") == [("loss", 3)]
    assert told("technique", "hazard", "loss") == [("hazard", 4)]


def test_of_two_reasons_for_one_finding_the_first_is_told() -> None:
    found = only(*(given(j.Idle, step=2, solution=s, acts="acid") for s in ("hcl_1m", "nahco3_sat")))
    assert found.text.startswith("1 M hydrochloric acid finds nothing") and found.components == ()


def test_a_finding_about_the_whole_plan_quotes_nothing() -> None:
    whole = only(*remains("other", 7.0, 7.0))
    assert (whole.step, whole.quote, whole.component) == (0, "", "c1")
    assert only(*remains("other", 7.0, 7.0, touched=3)).quote == "wash it"


def test_a_finding_stays_as_it_was_made() -> None:
    item = finding("loss")
    assert len({item, finding("loss")}) == 1
    with pytest.raises(FrozenInstanceError):
        item.kind = "hazard"  # type: ignore[misc]


def test_several_reasons_of_their_own_are_told_before_the_common_one() -> None:
    facts = [
        fact
        for c, mid in (("c1", 0.4), ("c2", 0.8))
        for fact in (
            given(j.Remains, **{**REMAINS, "component": c, "mid": mid}),
            given(j.Character, component=c, kind="base", pka=9.0),
        )
    ]
    found = only(
        *facts, j.Sides(lowest=7.0, highest=7.0, only_neutral=False, brine_step=0), pka=lambda c: f"pKa of {c}"
    )
    assert found.text.startswith(
        "compound c2 is a base (pKa of c2), compound c1 is a base (pKa of c1), and no wash in the plan is acidic: 80 %"
    )
    assert found.text.endswith(
        "80 % of compound c2 (50 to 90 %) and 40 % of compound c1 (50 to 90 %) stay with the product"
    )


# ---- which rule concludes first

AZIDE = meets(1.0)
STAYS = given(j.Remains, **{**REMAINS, "touched": 2})
NEUTRAL = given(j.Sides, lowest=5.0, highest=8.0, only_neutral=True, brine_step=2)


def together(what: str) -> Fact:
    return given(j.Together, step=3, component="c1", other="iodine", outcome=what, brought=True)


def unquenched(step: int = 3) -> Fact:
    return given(
        j.Unquenched, step=step, component="c1", residue="organolithium", kind="organometallic", share=0.5, later=0
    )


def hasty() -> Fact:
    return given(j.Hasty, step=3, component="c1", residue="organolithium", kind="organometallic", words="at once")


def strong() -> Fact:
    return given(j.Strong, step=3, words="concentrated acid", acid=True, onto="c1", grave=True)


def is_a(kind: str) -> Fact:
    return given(j.Character, component="c1", kind=kind, pka=9.0)


def portions(needed: int, spent: float) -> Fact:
    return given(
        j.Portions, component="c1", step=2, solution="hcl_1m", repeats=1, each=0.5, needed=needed, spent_ph=spent, bottle_ph=0.1
    )  # fmt: skip


FIRST = {
    "a poison gas before an explosive": ("acid-frees-poison", "never-together", (AZIDE, together("halogen azide"))),
    "an explosive before what must not meet": (
        "never-together",
        "deadly-together",
        (together("halogen azide"), meets(7.1)),
    ),
    "the missing quench before the haste of another": ("quench-is-missing", "hasty-quench", (unquenched(), hasty())),
    "the haste before the strength": ("hasty-quench", "poured-in-strong", (hasty(), strong())),
    "the layer thrown away before the group that breaks": (
        "heavier-layer-below",
        "base-breaks-the-product",
        (
            given(j.Kept, step=2, said="aqueous", position="top", holds=0.1, organic_density=1.3, aqueous_density=1.0),
            did("naoh_1m", 13.9),
            stands("high", 9.0),
        ),
    ),
    "the wrong layer before the group that breaks": (
        "keep-the-products-layer",
        "base-breaks-the-product",
        (
            given(j.Kept, step=2, said="aqueous", position="", holds=0.1),
            did("naoh_1m", 13.9),
            stands("high", 9.0),
        ),
    ),
    "the wash used up before the weak one": (
        "used-up",
        "too-weak-a-base",
        (STAYS, portions(2, 8.0), NEUTRAL, is_a("weak acid")),
    ),
    "the weak base before the brine": ("too-weak-a-base", "brine-removes-nothing", (STAYS, NEUTRAL, is_a("weak acid"))),
    "the brine before the wrong side": (
        "brine-removes-nothing",
        "acid-for-an-acid",
        (
            STAYS,
            is_a("acid"),
            given(j.Sides, lowest=5.0, highest=7.0, only_neutral=True, brine_step=2),
        ),
    ),
    "the wrong side before the number of portions": (
        "base-for-a-base",
        "too-few-portions",
        (STAYS, is_a("base"), portions(3, 0.2), given(j.Sides, lowest=7.0, highest=9.0)),
    ),
    "the number of portions before what stays all the same": (
        "too-few-portions",
        "part-of-it-stays",
        (STAYS, is_a("base"), portions(3, 0.2), given(j.Sides, lowest=1.0, highest=9.0)),
    ),
    "the group that acid breaks before the one that only strong acid does": (
        "acid-is-a-gamble",
        "concentrated-acid-is-a-gamble",
        (did("hcl_6m", -0.75, True), f.Stands(side="low", ph=1.0, group="ketal"), stands("low", 4.0)),
    ),
    "harm before what is held in part": (
        "desiccant-harms-product",
        "desiccant-holds-a-little",
        (
            given(j.Did, step=4, action="dry", desiccant="cacl2"),
            f.BarredDesiccant(desiccant="cacl2", group="tertiary_amide"),
            f.BarredDesiccant(desiccant="cacl2", group="enol_ether"),
        ),
    ),
    "the gas that was computed before the venting of a list": (
        "vent-is-missing",
        "venting-is-not-listed",
        (
            given(j.Gas, step=2, co2_ml=400.0, liquid_ml=50.0, vented=False, boiling_c=40.0),
            given(j.Unvented, step=2, co2_ml=400.0, solvent="dichloromethane", boiling_c=40.0),
        ),
    ),
}


@pytest.mark.parametrize("case", FIRST)
def test_the_graver_and_the_more_particular_rule_concludes_first(case: str) -> None:
    """Whatever the order in which the facts were seen."""
    first, second, facts = FIRST[case]
    for some in (facts, facts[::-1]):
        rules = fired(*some)
        assert first in rules and second in rules and rules.index(first) < rules.index(second)


def test_priorities_rise_from_an_aside_to_poison() -> None:
    named = {name: value for name, value in vars(priority).items() if name.isupper()}
    assert list(named.values()) == sorted(named.values()) and priority.ASIDE < 0 < priority.OWN_CHARGE
    assert next(iter(named)) == "ASIDE" and list(named)[-1] == "POISON"


def test_the_own_charge_of_a_product_explains_its_loss_before_the_salt_that_it_was() -> None:
    """Ammonium sulfate, pH 4.5, is acid enough for an amine; it is also a salt."""
    assert lost(0.5, 0.3, "salt", "nh42so4_sat", "base", ph_before=lambda n: 2.0)[0] == "acid-takes-the-product"
