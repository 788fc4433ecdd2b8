"""What is observed of a workup that was carried out, at its limits: steps, shares and words by hand."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from carried_out import DRAWS, Observed, carried_out, contact, step

from washlore.knowledge import kinetics
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import observe
from washlore.rules.idle import Natures
from washlore.rules.judging import facts as j

BRINE = {"solution": "brine", "contacts": 1}
ETHER_C = table(Solvent)["diethyl_ether"].boiling_c


def wash(solution: str = "water", contacts: int | list[Any] = 1, **more: Any) -> dict[str, Any]:
    return step("wash", solution=solution, contacts=contacts, **more)


# ---- washes that do nothing

AMINE_C1 = Natures([{"component": "c1", "kind": "base", "pka": 9.0}], [{"component": "c1", "kind": "base"}])


def idle(*steps: dict[str, Any], amine: Sequence[float]) -> list[tuple[int, str]]:
    seen = Observed()
    job = carried_out(*steps, there={"c1": amine}, natures=AMINE_C1)
    job.bench.numbers = SimpleNamespace(strong_of={}, weak_mmol={})
    observe._observe_idle(job, seen)
    return [(x["step"], x["acts"]) for x in seen.of(j.Idle)]


def test_a_wash_that_moves_nothing_is_idle_unless_it_makes_sure_of_what_was_stripped() -> None:
    strip, acid = step("evaporate"), wash("hcl_1m", [contact(ph=np.full(DRAWS, 0.1))])
    assert idle(step("filter"), acid, amine=[0.0]) == [(2, "acid")]
    assert idle(strip, acid, amine=[1.0, 0.0]) == [] and idle(strip, acid, amine=[0.0]) == [(2, "acid")]
    assert idle(step("filter"), acid, amine=[1.0, 0.0]) == [(2, "acid")]  # what a filter takes is gone
    assert idle(acid, amine=[1.0, 0.0]) == [] and idle(acid, acid, amine=[1.0, 0.0]) == [(2, "acid")]
    bound = wash("hcl_1m", [contact(ph=np.full(DRAWS, 0.1))], cleared=("c2",))
    assert idle(bound, amine=[0.0]) == []


# ---- the order at the end


def finish(*steps: dict[str, Any], text: str = "") -> dict[str, Any]:
    seen = Observed()
    job = carried_out(*steps, solvent_id=lambda: "ethyl_acetate")
    job.proposal.text = text or job.proposal.text
    observe._observe_finish(job, seen)
    (fact,) = seen.of(j.Finish)
    return fact


DRY, FILTER, STRIP = step("dry", desiccant="na2so4"), step("filter off desiccant"), step("concentrate")


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ((wash(), wash(**BRINE), DRY, FILTER, STRIP), {"dry": 3, "last_dry": 3, "water": 2, "brine": 2}),
        ((wash(), wash(**BRINE), DRY, FILTER, STRIP), {"filter": 4, "strip": 5, "rinsed": False}),
        ((wash(), DRY, DRY, step("filter"), STRIP), {"dry": 2, "last_dry": 3, "filter": 4, "brine": 0}),
        ((step("filter"), wash(), DRY, STRIP), {"filter": 0, "strip": 4}),
        ((STRIP, wash(), DRY, FILTER), {"strip": 0, "water": 2}),
        ((wash(), step("evaporate"), STRIP), {"strip": 2, "dry": 0, "last_dry": 0, "filter": 0}),
        ((DRY, FILTER), {"water": 0, "brine": 0, "dry": 1, "filter": 2, "strip": 0}),
        # a step that met nothing is no water, whatever is in the bottle
        ((wash("brine", 0), wash()), {"brine": 0, "water": 2}),
        ((wash(), wash("brine", 0)), {"brine": 0, "water": 1}),
        ((wash(), step("vent", contacts=1)), {"water": 1}),
        *(((wash(s), DRY), {"brine": 1}) for s in ("half_brine", "na2so4_sat", "licl_5", "licl_10")),
        ((wash("nahco3_sat"), DRY), {"brine": 0}),
        # rinsed after the drying, not before it
        ((wash(), DRY, FILTER, step("rinse"), STRIP), {"rinsed": True}),
        ((step("rinse"), wash(), DRY, STRIP), {"rinsed": False}),
        ((wash(), DRY, FILTER, step("stir"), STRIP), {"rinsed": False}),
        ((wash(), step("rinse"), STRIP), {"rinsed": False}),
        # dried, taken up again, washed and dried: it starts afresh
        ((DRY, step("dilute", solvent="toluene"), wash(), DRY, STRIP), {"dry": 4, "last_dry": 4, "water": 3}),
        ((DRY, step("dilute", solvent="water", contacts=1), wash(), STRIP), {"dry": 1, "water": 3}),
        # what dries the salts of a quench is filtered off with them, and is not the drying of the layer
        ((step("quench"), DRY, FILTER, wash(), DRY, STRIP), {"dry": 5, "last_dry": 5}),
        ((step("quench"), wash(), DRY, FILTER, wash(), DRY, STRIP), {"dry": 3, "last_dry": 6}),
        ((DRY, FILTER, wash(), DRY, STRIP), {"dry": 1, "last_dry": 4}),
        ((wash(), DRY, step("dilute", solvent="toluene"), STRIP), {"dry": 2, "last_dry": 2, "water": 1}),
    ],
)
def test_what_stands_where_at_the_end(steps: Sequence[dict[str, Any]], expected: dict[str, Any]) -> None:
    found = finish(*steps)
    assert {key: found[key] for key in expected} == expected
    assert (found["solvent"], found["held"]) == ("ethyl_acetate", table(Solvent)["ethyl_acetate"].water_held_wt_pct)


@pytest.mark.parametrize(
    ("text", "listed"),
    [
        ("1. wash\n2. dry\n3. strip", True),
        ("1) wash\n2) dry", False),
        ("- wash\n* dry\n• strip", True),
        ("Step 1 wash\nstep 2 dry\nSTEP 3 strip", True),
        ("wash\ndry\nstrip", False),
        ("Wash, dry and strip. 3 times. - no list", False),
        ("1.\n2.\n3.", False),
    ],
)
def test_a_list_has_numbers_or_bullets_on_three_lines(text: str, listed: bool) -> None:
    assert observe._list_of_items(SimpleNamespace(text=text)) is listed  # type: ignore[arg-type]


def itemised(text: str, *marks: str, **assumed: tuple[str, ...]) -> bool:
    """Tell whether steps that stand at these words of a text are itemised."""
    reads = []
    for mark in marks:
        start = text.index(mark)
        action = "dry" if mark in assumed else "wash"
        reads.append(SimpleNamespace(start=start, end=start + len(mark), action=action, assumed=assumed.get(mark, ())))
    return observe._itemised(SimpleNamespace(text=text, steps=tuple(reads)))  # type: ignore[arg-type]


def test_steps_in_lines_of_their_own_are_itemised() -> None:
    assert itemised("wash\ndry\nstrip", "wash", "dry", "strip") and itemised(
        "wash | dry | strip", "wash", "dry", "strip"
    )
    assert not itemised("wash, dry, strip", "wash", "dry", "strip") and not itemised("wash", "wash")
    # two of three gaps are less than seven in ten, three of four are more
    assert not itemised("a\nb\nc, d", "a", "b", "c", "d") and itemised("a\nb\nc\nd, e", "a", "b", "c", "d", "e")
    # steps read from the same words leave no gap
    assert not itemised("wash dry", "wash dry", "wash") and not itemised("", *())


def test_a_drying_agent_that_stands_alone_is_an_item() -> None:
    bare = ("CaCl2 read as drying",)
    assert itemised("wash, CaCl2. Strip", "wash", "CaCl2", "Strip", CaCl2=bare)
    assert itemised("wash, CaCl2; strip", "wash", "CaCl2", "strip", CaCl2=bare)
    assert not itemised("wash, CaCl2, strip", "wash", "CaCl2", "strip", CaCl2=bare)
    assert not itemised("wash, CaCl2. Strip", "wash", "CaCl2", "Strip", CaCl2=("something else",))
    assert not itemised("wash. CaCl2, strip", "wash", "CaCl2", "strip", CaCl2=bare)


def test_three_different_steps_make_a_list() -> None:
    lines = "wash\ndry\nstrip"
    assert not finish(wash(), DRY)["itemised"]
    job = carried_out(wash(), DRY, STRIP, solvent_id=lambda: "toluene")
    seen = Observed()
    observe._observe_finish(job, seen)
    assert not seen.of(j.Finish)[0]["itemised"]
    job.proposal.text = job.proposal.text.replace(". ", "\n ")
    observe._observe_finish(job, seen)
    assert seen.of(j.Finish)[1]["itemised"] and not seen.of(j.Finish)[1]["listed"], lines


# ---- how it is done


def practised(*steps: dict[str, Any], **more: Any) -> Observed:
    seen = Observed()
    with pytest.MonkeyPatch.context() as patch:
        for other in ("_observe_one_layer", "_observe_carried", "_observe_idle", "_observe_finish"):
            patch.setattr(observe, other, lambda job, ke: None)
        observe._observe_practice(carried_out(*steps, **{"solvent_id": lambda: "toluene", **more}), seen)
    return seen


def test_ratios_of_portions_whose_layer_is_known() -> None:
    usual = {"volume_ml": 15.0, "organic_ml": 40.04, "layer_known": True}
    assert practised(wash(**usual)).of(j.Ratio) == [{"step": 1, "ratio": 0.3746, "portion_ml": 15.0, "layer_ml": 40.0}]
    assert practised(wash(**usual, did="take up")).of(j.Ratio)
    for wrong in ({"volume_ml": None}, {"layer_known": False}, {"contacts": 0}, {"did": "extract"}):
        assert not practised(wash(**{**usual, **wrong})).of(j.Ratio)


def test_vessels_of_more_than_a_litre() -> None:
    def vessel(organic: float, water: float, **more: Any) -> list[Any]:
        layers = [contact(organic_ml=organic, aqueous_ml=water), contact(organic_ml=organic, aqueous_ml=1.0)]
        return practised(wash(contacts=layers, **{"volume_ml": 500.0, **more})).of(j.Vessel)

    assert vessel(800.4, 700.3) == [{"step": 1, "total_ml": 1501}] and not vessel(500.0, 500.0)
    assert vessel(500.0, 501.0) and not vessel(800.0, 700.0, volume_ml=None)
    for poured in ("quench", "dilute", "set ph"):
        assert not vessel(800.0, 700.0, did=poured)


def test_gas_of_all_portions_together() -> None:
    def gas(*each: float, **more: Any) -> list[Any]:
        layers = [contact(co2_ml=ml) for ml in each]
        return practised(wash(contacts=layers, **more), solvent_id=lambda: "diethyl_ether").of(j.Gas)

    assert gas(60.3, 50.3) == [{"step": 1, "co2_ml": 111, "liquid_ml": 60, "vented": False, "boiling_c": ETHER_C}]
    assert not gas(50.0, 50.0) and gas(50.0, 50.5) and gas(200.0, did="take up") and not gas(200.0, did="quench")
    for solvent, boiling in (("toluene", table(Solvent)["toluene"].boiling_c), ("no such solvent", 100.0)):
        (told,) = practised(wash(contacts=[contact(co2_ml=200.0)]), solvent_id=lambda s=solvent: s).of(j.Gas)
        assert told["boiling_c"] == boiling
    both = practised(wash(contacts=[contact(co2_ml=200.0)]), step("vent"))
    assert both.of(j.Gas)[0]["vented"]
    assert not practised(wash(contacts=[contact(co2_ml=200.0)]), step("check ph")).of(j.Gas)[0]["vented"]


def test_a_volatile_product_at_the_rotary_evaporator() -> None:
    """By Trouton's rule a liquid that boils at 100 C has 130 mbar at 40 C, and 1013 mbar where it boils."""

    def stripped(words: str, boils_c: float = 100.0, *before: dict[str, Any], action: str = "concentrate") -> list[Any]:
        seen = Observed()
        job = carried_out(*before, step(action, words))
        job.bench.known = {
            f.Boils: [{"component": "c1", "boiling_c": 20.0}, {"component": "product", "boiling_c": boils_c}]
        }
        observe._observe_stripped_product(job, seen)
        return [tuple(x[s] for s in j.Strips.slots) for x in seen.of(j.Strips)]

    known = dict(zip(j.Strips.slots, stripped("strip it on the rotary evaporator")[0], strict=True))
    assert known == {
        "step": 1, "boiling_c": 100.0, "words": "rotary evaporator", "mbar": 0.0, "bath_c": 40.0, "vapour_mbar": 133,
    }  # fmt: skip
    (told,) = stripped("strip it at 120 torr and 60 C")
    assert told[2:] == ("at 120 torr", 160.0, 60.0, 284) and stripped("strip it at 150 mbar")[0][3] == 150.0
    assert stripped("strip it in vacuo", 40.0)[0][-1] == 1013
    # from 115 C on it stays; no word of a vacuum, no step that strips
    assert stripped("strip it in vacuo", 114.9) and not stripped("strip it in vacuo", 115.0)
    assert not stripped("distil it") and not stripped("dry it in vacuo", action="dry")
    # of two steps the one whose own words say it
    two = stripped("strip it in vacuo", 60.0, step("concentrate", "distil the ether off"))
    assert [x[0] for x in two] == [2]
    assert [x[0] for x in stripped("in vacuo", 60.0, step("evaporate", "rotovap"))] == [1]
    seen = Observed()
    observe._observe_stripped_product(carried_out(step("concentrate", "in vacuo")), seen)
    assert not seen.facts


def test_a_change_of_layer_with_and_without_a_test_of_the_ph() -> None:
    up, sets, check, out = step("take up"), step("set ph"), step("check ph"), step("extract")

    def swapped(*steps: dict[str, Any]) -> list[tuple[int, bool]]:
        return [(s["step"], s["tested"]) for s in practised(*steps).of(j.Swapped)]

    assert swapped(up, sets, out) == [(2, False)] and swapped(up, sets, check, out) == [(2, True)]
    assert swapped(up, sets, out, check) == [(2, False)] and swapped(up, check, sets, out) == [(3, False)]
    assert swapped(up, sets, check) == [(2, True)]
    assert swapped(up, step("set ph", target_ph=2.0), out) == [(2, True)]
    assert swapped(up, step("set ph", target_ph=2.0, assumed=("pH 2 as usual",)), out) == [(2, False)]
    assert not swapped(sets, up, out) and not swapped(step("wash"), sets)


def venting(*steps: dict[str, Any], vented: bool = False, solvent: str = "toluene", listed: bool = True) -> list[Any]:
    seen = Observed()
    job = carried_out(*steps, solvent_id=lambda: solvent)
    job.proposal.text = "- a\n- b\n- c" if listed else "a, b, c"
    observe._observe_venting(job, seen, vented)
    return [(u["step"], u["co2_ml"], u["boiling_c"]) for u in seen.of(j.Unvented)]


def test_the_shaking_that_a_list_should_have_vented() -> None:
    some, much = wash(contacts=[contact(co2_ml=10.0)]), wash(contacts=[contact(co2_ml=15.2), contact(co2_ml=15.2)])
    assert venting(some, much) == [(2, 30, table(Solvent)["toluene"].boiling_c)] and not venting(some, some)
    assert not venting(some, much, vented=True) and not venting(some, much, listed=False)
    assert venting(wash(contacts=[contact(co2_ml=25.0)])) and not venting(wash(contacts=[contact(co2_ml=24.9)]))
    # a solvent that boils low is told of at the first shaking
    assert venting(some, some, solvent="diethyl_ether") == [(1, 10, ETHER_C)]
    assert venting(step("filter"), some, much, solvent="diethyl_ether")[0][0] == 3
    assert venting(some, solvent="dichloromethane") and not venting(some, solvent="chloroform")
    assert not venting(step("quench", contacts=1), solvent="diethyl_ether") and not venting(solvent="diethyl_ether")
    assert venting(step("extract", contacts=1), solvent="diethyl_ether")


# ---- where the product goes


def losses(*steps: dict[str, Any], product: Sequence[float], **more: Any) -> list[dict[str, Any]]:
    seen = Observed()
    job = carried_out(*steps, there={"product": product}, first_dry=lambda: 0, **more)
    observe._observe_lost(job, seen)
    return seen.of(j.Lost)


def test_what_a_wash_takes_of_the_product() -> None:
    (lost,) = losses(wash("hcl_1m", volume_said=True), product=[1.0, 0.7])
    assert (lost["step"], lost["solution"], lost["acts"], lost["said"]) == (1, "hcl_1m", "acid", True)
    assert (lost["low"], lost["share"], lost["high"]) == (0.3, 0.3, 0.3)
    # two per cent and less is a drop on the glass, and twice that is not told yet
    assert not losses(wash(), product=[1.0, 0.98]) and not losses(wash(), product=[1.0, 0.965])
    assert losses(wash(), product=[1.0, 0.95])
    # what is left behind in the other layer is no fault of a solution
    (behind,) = losses(step("take up", solution="naoh_1m", contacts=1), product=[1.0, 0.7])
    assert (behind["solution"], behind["acts"]) == ("", j.TAKES_UP)
    (extracted,) = losses(step("extract", solution="", contacts=1), product=[1.0, 0.7])
    assert extracted["solution"] == ""


def test_acid_that_is_poured_onto_an_amine_takes_it_as_its_salt() -> None:
    def by(solution: str, kind: str, did: str = "quench", contacts: int = 1) -> tuple[str, str]:
        poured = step(did, solution=solution, contacts=contacts)
        (lost,) = losses(poured, wash(), product=[1.0, 0.7, 0.7], kind=lambda c: kind)
        return lost["solution"], lost["acts"]

    for kind in ("base", "weak base"):
        assert by("hcl_1m", kind) == by("hcl_1m", kind, "dilute") == ("hcl_1m", "acid")
        assert by("naoh_1m", kind) == by("brine", kind) == ("", "")
    for kind in ("acid", "weak acid"):
        assert by("nahco3_sat", kind) == ("nahco3_sat", "base") and by("hcl_1m", kind) == ("", "")
    assert by("hcl_1m", "other") == by("hcl_1m", "base", contacts=0) == ("", "")


def test_what_comes_back_was_not_lost() -> None:
    assert [x["share"] for x in losses(wash(), step("extract"), product=[1.0, 0.6, 0.9])] == [0.1]
    assert not losses(wash(), step("extract"), product=[1.0, 0.6, 1.0])
    assert [x["step"] for x in losses(wash(), step("extract"), wash(), product=[1.0, 0.6, 1.0, 0.5])] == [3]
    # as the solvent goes, both layers are in one flask again
    assert not losses(wash(), step("evaporate"), product=[1.0, 0.6, 1.0])
    assert not losses(step("concentrate"), product=[1.0, 0.5])


def test_what_lies_in_the_flask_is_not_parted_yet() -> None:
    assert losses(step("quench"), wash(), product=[1.0, 0.7, 0.7]) and not losses(step("quench"), product=[1.0, 0.7])
    for aside in ("dilute", "set ph"):
        assert not losses(step(aside), step("vent"), product=[1.0, 0.7])
        for later in ("wash", "extract", "take up", "dry", "discard"):
            assert losses(step(aside), step(later), product=[1.0, 0.7, 0.7])
    seen = Observed()
    job = carried_out(DRY, step("dilute"), wash(), there={"product": [1.0, 1.0, 0.7]}, first_dry=lambda: 1)
    observe._observe_lost(job, seen)
    assert not seen.facts  # it is dry already
    job.first_dry = lambda: 3
    observe._observe_lost(job, seen)
    assert seen.of(j.Lost)
    seen = Observed()
    job = carried_out(DRY, step("dilute"), wash(), there={"product": [1.0, 1.0, 1.0, 0.7]}, first_dry=lambda: 1)
    observe._observe_lost(job, seen)
    assert [x["step"] for x in seen.of(j.Lost)] == [3]


def test_a_loss_is_held_against_a_plan_beyond_what_ours_must_lose() -> None:
    def told(ours: float, recovered: float) -> bool:
        job = carried_out(wash(), there={"product": [1.0, 0.5]}, first_dry=lambda: 0, recovered=lambda: recovered)
        job.plan.recovered = (0.0, ours, 1.0)
        seen = Observed()
        observe._observe_losses(job, seen)
        return bool(seen.of(j.Lost))

    assert told(0.9, 0.5) and told(0.65, 0.5) and not told(0.6, 0.5) and not told(0.5, 0.5)


def test_layers_thrown_away_and_layers_mistaken() -> None:
    job = carried_out(wash(layer_kept="top"), wash())
    job.bench.mistakes = [(job.bench.acts[0], "aqueous", 0.123456)]
    layers = [SimpleNamespace(step=n, organic_density=1.3251, aqueous_density=1.0249) for n in (1, 1, 2)]
    layers[1].organic_density = 1.4
    job.bench.book = SimpleNamespace(contacts=layers)
    job.bench.discarded = [(job.bench.acts[1], [0.1, 0.2, 0.2, 0.2, 0.2])]
    seen = Observed()
    observe._observe_layers(job, seen)
    assert seen.of(j.Kept) == [
        {
            "step": 1,
            "said": "aqueous",
            "position": "top",
            "holds": 0.1235,
            "organic_density": 1.4,
            "aqueous_density": 1.02,
        }
    ]
    assert seen.of(j.Discards) == [{"step": 2, "share": 0.2, "high": 0.2}]
    job.bench.book.contacts = layers[2:]
    job.bench.mistakes = [(act, "aqueous", 0.1) for act in job.bench.acts]
    observe._observe_layers(job, seen)  # of the first it is not known how the layers lay
    assert [x["step"] for x in seen.of(j.Kept)] == [1, 2]


def test_water_and_a_solvent_that_mixes_with_it_are_one_phase() -> None:
    seen = Observed()
    job = carried_out(step("quench", skipped=observe.ONE_PHASE))
    solvent = lambda s, m: SimpleNamespace(id=s, miscibility=m)  # noqa: E731
    job.plan.mixture.reaction_solvents = [
        (solvent("toluene", "immiscible"), 50.0),
        (solvent("dmf", "miscible"), 10.0),
        (solvent("thf", "miscible"), 20.0),
    ]
    observe._observe_layers(job, seen)
    # the one that mixes and of which there is most gives its name
    assert seen.of(j.NoLayer) == [{"step": 1, "solvent": "thf", "layers": False}]


def test_a_solvent_that_mixes_with_water_and_words_of_a_mixture() -> None:
    def none(skipped: str, words: str = "extract with acetone") -> list[tuple[bool, str]]:
        seen = Observed()
        observe._observe_layers(carried_out(step("extract", words, solvent="acetone", skipped=skipped)), seen)
        return [(fact["layers"], fact["solvent"]) for fact in seen.of(j.NoLayer)]

    assert none("no layer") == [(False, "acetone")] and none("mixes with both") == [(True, "acetone")]
    assert not none("") and not none("something else")
    for mixture in ("extract with ether/acetone", "extract with acetone (1:1)", "extract with 10 % acetone in ether"):
        assert not none("no layer", mixture)

    def words_around(before: str, after: str) -> bool:
        job = carried_out(step("extract", "acetone", solvent="acetone", skipped="no layer"))
        read = job.bench.acts[0].read
        read = observe.ReadStep("extract", len(before), len(before) + len(read.words), read.words)
        job.proposal.text = before + read.words + after
        return observe._mixed(job, read)

    # a sign within 25 letters before, or 12 behind, is said of the solvent
    assert words_around(":" + "x" * 24, "") and not words_around(":" + "x" * 25, "")
    assert words_around("", "x" * 11 + "%") and not words_around("", "x" * 12 + "%")


def test_a_plan_goes_on_where_something_is_parted_or_dried_later() -> None:
    job = carried_out(step("dilute"), step("vent"), DRY, STRIP)
    assert [observe._goes_on(job, act) for act in job.bench.acts] == [True, True, False, False]


def carried(
    *steps: dict[str, Any],
    high: float = 0.3,
    mid: float = 0.05,
    low: float | None = None,
    solvent: str = "miscible",
    dmf: float = 1.0,
    kind: str = "other",
    recovered: float = 0.5,
) -> list[Any]:
    names = {"product": "the product", "s1": "DMF"}
    job = carried_out(
        *steps, there={"s1": [dmf]}, name=names.__getitem__, kind=lambda c: kind, recovered=lambda: recovered
    )
    job.plan.recovered = (0.0, 0.95, 1.0)
    there = np.vstack([np.ones(DRAWS), np.full(DRAWS, dmf)])
    lost = [mid, mid, mid, mid if low is None else low, high]
    after = np.vstack([1.0 - np.array(lost), np.full(DRAWS, dmf)])
    job.history = [(there, after if s["contacts"] else there) for s in steps]
    job.plan.mixture.reaction_solvents = [
        (SimpleNamespace(id="water", miscibility="miscible", name="water"), 1.0),
        (SimpleNamespace(id="dmf", miscibility=solvent, name="DMF"), 1.0),
    ]
    seen = Observed()
    observe._observe_carried(job, seen)
    return [(c["step"], c["share"], c["cosolvent"]) for c in seen.of(j.Carried)]


def test_water_that_holds_a_miscible_solvent_and_product() -> None:
    assert carried(wash()) == [(1, 0.05, "DMF")] and carried(step("filter"), wash()) == [(2, 0.05, "DMF")]
    assert not carried(wash(), step("extract")) and carried(step("extract"), wash())
    assert not carried(wash(), mid=0.01) and not carried(wash(), high=0.1) and not carried(wash(), solvent="immiscible")
    assert not carried(step("quench", contacts=1), wash())
    # it was stripped before: it carries nothing
    assert not carried(wash(), dmf=0.05) and carried(wash(), dmf=0.1)


def test_water_that_holds_product_by_itself() -> None:
    def told(mid: float, low: float, kind: str = "other") -> bool:
        return bool(carried(wash(), mid=mid, low=low, high=0.7, solvent="immiscible", kind=kind))

    assert told(0.31, 0.31) and not told(0.29, 0.29) and not told(0.4, 0.0)
    assert not told(0.4, 0.4, "base")  # the rules on its charge tell
    assert not carried(wash(), mid=0.4, solvent="immiscible", recovered=0.9)  # ours loses it too
    # whichever water it is, and told once
    assert carried(step("quench", contacts=1), wash(), wash(), mid=0.4, dmf=0.0) == [(2, 0.4, "")]


def test_the_first_funnel_with_too_much_of_a_miscible_solvent_for_two_layers() -> None:
    def one(*contacts: Any) -> list[Any]:
        job = carried_out(step("filter"), wash(), wash(contacts=list(contacts)), wash(contacts=list(contacts)))
        job.bench.numbers = SimpleNamespace(
            species=[
                SimpleNamespace(solvent=None, component="c1"),
                SimpleNamespace(solvent=SimpleNamespace(name="DMF"), component="c2"),
                SimpleNamespace(solvent=SimpleNamespace(name="ethanol"), component="c1"),
            ]
        )
        seen = Observed()
        observe._observe_one_layer(job, seen)
        return [(x["step"], x["cosolvent"], x["share"], x["most"]) for x in seen.of(j.OneLayer)]

    def mixed(one_layer: bool = True, most: float | None = 0.3) -> Any:
        return contact(mixed=SimpleNamespace(one_layer=one_layer, most=most, share=0.456789, component="c1"))

    assert one(mixed()) == [(3, "ethanol", 0.4568, 0.3)] and one(contact(), mixed())
    assert not one(contact()) and not one(mixed(one_layer=False)) and not one(mixed(most=None))


# ---- what each step met


class Reason(SimpleNamespace):
    """Why something is known."""

    def __init__(self, text: str) -> None:
        super().__init__(text=text, sources=())


def test_a_step_is_observed_with_what_it_met() -> None:
    def did(*steps: dict[str, Any], known: Sequence[Any] = ()) -> Observed:
        seen = Observed()
        job = carried_out(*steps, kind=lambda c: "acid", pka_value=lambda c: 4.2)
        job.plan.known = {
            n: SimpleNamespace(fact=x, reasons=[Reason("known"), Reason("said later")]) for n, x in enumerate(known)
        }
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(observe, "_survives", lambda job, act, ph: ph < 1)
            patch.setattr(observe, "_breaks", lambda job, act: 0.0)
            observe._observe_steps(job, seen)
        assert set(seen.texts) <= {
            "known",
            "the product is acid",
            *(f"step {n}: {s['words']}" for n, s in enumerate(steps, 1)),
        }
        return seen

    seen = did(wash("hcl_1m"), wash("nahco3_sat"), DRY, STRIP, step("set ph", solution="hcl_1m", contacts=1))
    assert [(x["step"], x["action"], x["ph"], x["acts"], x["survives"]) for x in seen.of(j.Did)] == [
        (1, "wash", 0.1, "acid", True),
        (2, "wash", 8.2, "base", False),
        (3, "dry", 7.0, "", False),
    ]
    assert seen.of(j.Character) == [{"component": "product", "kind": "acid", "pka": 4.2}]
    # what is poured into the flask has reacted before it meets anything
    poured = step("dilute", solution="hcl_1m", contacts=[contact(ph=np.full(DRAWS, 3.26))])
    assert did(poured).of(j.Did)[0]["ph"] == 3.3
    # in a solvent that mixes with water that shows once the layers part; unless more is poured in before
    water = step("extract", contacts=[contact(ph=np.full(DRAWS, 0.42))])
    assert [x["ph"] for x in did(step("quench", solution="hcl_1m"), water).of(j.Did)] == [0.4]
    assert not did(step("quench", solution="hcl_1m"), step("set ph", solution="naoh_1m"), water).of(j.Did)
    assert not did(step("quench", solution="hcl_1m"), step("filter")).of(j.Did)
    between = did(step("quench", solution="hcl_1m"), step("set ph", solution="naoh_1m"), water, wash("nahco3_sat"))
    assert [(x["step"], x["ph"]) for x in between.of(j.Did)] == [(4, 8.2)]
    assert did(step("dilute", solution="water", contacts=1)).of(j.Did) == []
    # what dries the salts of a quench is there with them, acidic or basic as they are
    salts = did(step("dry", desiccant="mgso4", in_salts=True), known=[f.BarredDesiccant(desiccant="mgso4", group="g")])
    assert [x["desiccant"] for x in salts.of(j.Did)] == [""] and not salts.of(f.BarredDesiccant)
    (lye,) = did(step("quench", solution="naoh_1m", in_salts=True, desiccant="mgso4")).of(j.Did)
    assert lye["desiccant"] == "" and lye["solution"] == "naoh_1m"
    # limits that the plan comes near to, and drying agents that it uses
    limits = [
        f.Stands(side=side, ph=ph, group="g") for side, ph in (("low", 0.1), ("low", 0.2), ("high", 8.2), ("high", 8.1))
    ]
    bars = [f.BarredDesiccant(desiccant=d, group="g") for d in ("na2so4", "mgso4")]
    seen = did(wash("hcl_1m"), wash("nahco3_sat"), DRY, known=[*limits, *bars])
    assert [(x["side"], x["ph"]) for x in seen.of(f.Stands)] == [("low", 0.2), ("high", 8.1)]
    assert [x["desiccant"] for x in seen.of(f.BarredDesiccant)] == ["na2so4"]
    # without any wash the water has pH 7
    dry = did(
        DRY, known=[f.Stands(side=side, ph=ph, group="g") for side, ph in (("low", 7.5), ("high", 6.5), ("low", 6.5))]
    )
    assert [(x["side"], x["ph"]) for x in dry.of(f.Stands)] == [("low", 7.5), ("high", 6.5)]


@pytest.mark.parametrize(
    ("solution", "exposed", "loss", "survives"),
    [
        ("naoh_1m", 1e-4, None, True),
        ("naoh_1m", 4e-4, None, False),
        ("hcl_1m", 1e-4, None, False),
        ("hcl_1m", 5e-6, None, True),
        ("naoh_1m", 0.9, (0.02, 5.0), True),
        ("naoh_1m", 0.0, (0.04, 1.0), False),
        ("naoh_1m", 0.0, (0.02, 11.0), False),
        ("nahco3_sat", 0.0, None, False),
        ("na2co3_10", 1e-4, None, True),
    ],
)
def test_a_greasy_product_comes_through(solution: str, exposed: float, loss: Any, survives: bool) -> None:
    """Under 3 % lost in five minutes and under 20 % at worst; unknown rates ask for 0.03 % in the water, in acid for less."""
    rate = kinetics.Loss(mid=loss[0], factor=loss[1], source="mabey", group="ester") if loss else None
    job = carried_out(wash(solution), wash(solution, 0), exposed=lambda act: exposed, hydrolysed=lambda n: rate)
    row = table(Solution)[solution]
    first, dry = job.bench.acts
    assert observe._survives(job, first, row.ph) is (survives and not 2.0 < row.ph < 11.0)
    assert not observe._survives(job, dry, row.ph)


def test_strong_acid_and_base_are_those_beyond_ph_2_and_11() -> None:
    job = carried_out(wash("hcl_1m"), exposed=lambda act: 0.0, hydrolysed=lambda n: None)
    (act,) = job.bench.acts
    assert [observe._survives(job, act, ph) for ph in (2.0, 2.1, 7.0, 10.9, 11.0)] == [True, False, False, False, True]


# ---- what remains


def remained(
    *steps: dict[str, Any],
    share: Sequence[float],
    ours: float = 0.001,
    kinds: Any = (),
    kind: str = "other",
    **more: Any,
) -> tuple[Observed, Any]:
    job = carried_out(
        *steps,
        there={"c1": share},
        kind=lambda c: kind,
        pka_value=lambda c: 7.0,
        natures=SimpleNamespace(kinds={"c1": set(kinds)}),
        **more,
    )
    job.washes = lambda: [a for a in job.bench.acts if a.contacts and a.solution]
    job.plan.left = {"c1": (0.0, ours, 1.0)}
    seen = Observed()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(observe, "_a_trace_of_metal", lambda job, c: False)
        observe._observe_remains(job, seen)
    return seen, job


def test_what_remains_above_the_target_and_ours_would_take() -> None:
    said = {"volume_said": True}

    def told(share: float, ours: float = 0.001) -> bool:
        return bool(remained(wash(**said), share=[1.0, share], ours=ours)[0].of(j.Remains))

    assert told(0.5) and told(0.031) and not told(0.03) and not told(0.005)
    # ours leaves a third at most
    assert told(0.5, 0.16) and not told(0.5, 0.17)
    assert not remained(wash(**said), share=[1.0, 0.005])[0].facts


def test_what_a_quench_would_make_is_not_there_where_nothing_is_quenched() -> None:
    def told(origin: str, gone: set[str]) -> list[str]:
        job = carried_out(
            wash(volume_said=True),
            there={"c1": [1.0], "c1a": [1.0]},
            leftovers={"c1": {"residue": "diazomethane"}},
            kind=lambda c: "other",
            pka_value=lambda c: 7.0,
            natures=SimpleNamespace(kinds={}),
        )
        job.washes = list
        job.plan.left = {"c1": (0.0, 0.0, 0.0), "c1a": (0.0, 0.0, 0.0)}
        job.plan.component("c1a").origin = origin
        job.bench.gone = gone
        seen = Observed()
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(observe, "_a_trace_of_metal", lambda job, c: False)
            observe._observe_remains(job, seen)
        return [x["component"] for x in seen.of(j.Remains)]

    assert told("quench", set()) == ["c1"] and told("quench", {"c1"}) == ["c1", "c1a"]
    assert told("SMILES", set()) == ["c1", "c1a"]


def test_the_sides_of_a_plan_and_the_step_that_takes_most() -> None:
    seen, _ = remained(
        wash("brine", volume_said=True), wash("brine", volume_said=True), share=[1.0, 0.95, 0.5], kinds=["salt"]
    )
    assert seen.of(j.Sides) == [{"lowest": 7.0, "highest": 7.0, "only_neutral": True, "brine_step": 1}]
    (remains,) = seen.of(j.Remains)
    assert remains == {"component": "c1", "low": 0.5, "mid": 0.5, "high": 0.5, "ours": 0.001, "touched": 2}
    assert seen.of(j.Character)[0]["kind"] == "polar"
    sides = remained(wash("hcl_1m", ph=0.1), step("set ph", ph=12.0), wash("half_brine"), share=[1.0, 0.9])[0].of(
        j.Sides
    )
    assert sides == [{"lowest": 0.1, "highest": 12.0, "only_neutral": False, "brine_step": 3}]
    assert not remained(step("filter"), share=[1.0])[0].of(j.Sides)[0]["only_neutral"]
    # a tenth is touched, less is not
    assert remained(wash(volume_said=True), share=[1.0, 0.89])[0].of(j.Remains)[0]["touched"] == 1
    assert remained(wash(volume_said=True), share=[1.0, 0.92])[0].of(j.Remains)[0]["touched"] == 0
    assert remained(step("filter"), share=[1.0, 0.5])[0].of(j.Remains)[0]["touched"] == 0
    assert remained(wash(), share=[1.0, 0.92], kinds=["acid"])[0].of(j.Character)[0]["kind"] == "other"


def test_a_small_portion_that_nobody_asked_for_is_not_held_against_the_words() -> None:
    def told(share: float, *, said: bool = False, portion: float = 10.0) -> bool:
        own = {"volume_said": said, "portion_ml": portion, "organic_ml": 40.0}
        return bool(remained(wash("hcl_1m", **own), share=[1.0, share])[0].of(j.Remains))

    # with a portion as large as the layer a twentieth would be a fiftieth, and a tenth more than three times the target
    assert not told(0.05) and told(0.1)
    assert told(0.05, said=True)
    assert told(0.05, portion=30.0)  # that is a large one already


def test_an_acid_that_no_base_meets_is_told_of_though_the_numbers_may_be_lucky() -> None:
    def told(mid: float, kind: str, *steps: dict[str, Any]) -> bool:
        lucky = np.array([[1.0] * DRAWS, [mid, 0.0] + [mid] * (DRAWS - 2)])
        seen, _ = remained(*steps, share=[1.0, mid], kind=kind, final=lucky)
        return bool(seen.of(j.Remains))

    acid, base, brine = (wash(s, volume_said=True) for s in ("hcl_1m", "nahco3_sat", "brine"))
    assert told(0.101, "acid", acid) and told(0.101, "acid", brine) and told(0.101, "base", base, brine)
    # ten times the target and no more is still luck; so is what its own side of the pH met, or an acid hardly one
    assert (
        not told(0.08, "acid", acid)
        and not told(0.1, "acid", acid)
        and not told(0.101, "acid", base)
        and not told(0.101, "base", acid)
    )
    assert not told(0.101, "weak acid", acid) and not told(0.101, "other", acid)
    assert not told(0.101, "acid", acid, step("set ph"))


def purposes(*steps: dict[str, Any], amine: Any, **more: Any) -> list[dict[str, Any]]:
    seen = Observed()
    names = {"product": "the product", "c1": "triethylamine", "c2": "tributyl phosphate"}
    there = {"c1": amine if isinstance(amine, list) else [1.0, amine], "c2": [1.0]}
    job = carried_out(*steps, there=there, name=lambda c: names[c], **more)
    observe._observe_purposes(job, seen)
    return seen.of(j.Misses)


def test_a_wash_that_hardly_takes_what_it_is_meant_for() -> None:
    aim = wash("nahco3_sat", words="wash with bicarbonate to remove the triethylamine")
    (found,) = purposes(aim, amine=0.8)
    assert (found["step"], found["component"], found["stays"]) == (1, "c1", 0.8) and "triethylamine" in found["words"]
    assert (found["low"], found["mid"], found["high"]) == (0.8, 0.8, 0.8)
    # it takes three tenths, there was nothing to take, or nothing else is said of it
    assert not purposes(aim, amine=0.7) and purposes(aim, amine=0.71)
    assert not purposes(aim, amine=[0.01, 0.01]) and not purposes(wash("nahco3_sat"), amine=0.8)
    # only a wash that was shaken has a purpose
    assert not purposes({**aim, "contacts": []}, amine=0.8) and not purposes({**aim, "did": "quench"}, amine=0.8)
    # the words of the next step are not those of this one
    later = wash("hcl_1m", words="wash with acid to remove the triethylamine")
    assert [x["step"] for x in purposes(wash("nahco3_sat"), later, amine=[1.0, 0.9, 0.8])] == [2]


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("the triethylamine", ["c1"]),
        ("Triethylamine hydrochloride", ["c1"]),
        ("excess phosphate", []),  # a word of many names
        ("the excess tributyl ester", ["c2"]),
        ("tributyl phosphate", ["c2"]),
        ("the salts", []),
        ("the product", []),
        ("unreacted starting material", []),
        ("amine", []),
    ],
)
def test_what_words_name(words: str, named: list[str]) -> None:
    names = {"product": "the product", "c1": "triethylamine", "c2": "tributyl phosphate"}
    job = carried_out(wash(), there={"c1": [1.0], "c2": [1.0]}, name=lambda c: names[c])
    assert observe._named_in(job, words) == named


def test_portions_that_a_target_needs() -> None:
    def portions(share: float, repeats: int = 1, **more: Any) -> list[dict[str, Any]]:
        own = {"volume_said": True, "repeats": repeats, "ph": 1.0, **more}
        return remained(wash("hcl_1m", [contact(ph=np.full(DRAWS, 1.234))], **own), share=[1.0, share])[0].of(
            j.Portions
        )

    assert portions(0.5) == [
        {
            "component": "c1",
            "step": 1,
            "solution": "hcl_1m",
            "repeats": 1,
            "each": 0.5,
            "needed": 7,
            "spent_ph": 1.23,
            "bottle_ph": 1.0,
        }
    ]
    # two portions that leave a quarter leave a half each
    assert portions(0.25, 2)[0]["each"] == 0.5 and portions(0.25, 2)[0]["needed"] == 7
    assert portions(0.1)[0]["needed"] == 2 and portions(0.8)[0]["needed"] == 0
    assert not portions(0.5, did="extract")
    # a wash that took little is told of where it was spent: two units of pH off its bottle, and it took something
    assert portions(0.95, ph=-0.8) and not portions(0.95, ph=-0.7) and not portions(0.997, ph=-0.8)
    assert portions(0.95, ph=3.3) and portions(0.995, ph=-0.8)


def test_a_solid_product_hides_what_remains() -> None:
    seen = Observed()
    job = carried_out(step("filter"), step("quench"), step("filter"), step("filter"))
    job.bench.solid = 3
    observe._observe_remains(job, seen)
    assert [x["step"] for x in seen.of(j.Collected)] == [3] and len(seen.facts) == 1


def test_a_copy_of_a_fact_holds_what_the_fact_holds() -> None:
    fact = f.Stands(side="low", ph=2.0, group="ketal")
    made = observe._copy(fact)
    assert type(made) is f.Stands and dict(made) == dict(fact) and made is not fact
