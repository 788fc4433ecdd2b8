"""The numbers between the stages, one function at a time: facts and accounts by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from test_rule_limits import PRODUCT, flask, given, in_pot, ionises, is_a, left_over, thinks

from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import reckon
from washlore.rules.contact import Vapour
from washlore.rules.engine import Fact
from washlore.rules.fragility import Fragile
from washlore.rules.reckon import PlanRefused
from washlore.rules.steps import PlanStep
from washlore.rules.window import Held, Window

GLUCOSE, TRIOL = "OCC1OC(O)C(O)C(O)C1O", "OCC(O)CO"


@pytest.mark.parametrize(
    ("smiles", "sugar"),
    [
        (GLUCOSE, True),
        (TRIOL, True),
        ("OCC(O)CCCO", True),  # three on six carbons
        ("OCC(O)CCCCCO", False),  # three on seven
        ("OCCO", False),
        ("COCC1OC(O)C(O)C(OC)C1OC", False),  # ethers are no hydroxyls
        ("NCC(N)C(O)CO", False),  # nor are amines
    ],
)
def test_what_is_a_sugar(smiles: str, sugar: bool) -> None:
    assert reckon._is_sugar(flask(smiles).product) is sugar


@pytest.mark.parametrize(
    ("pka", "acid", "limit", "ph"),
    [
        (4.2, True, None, 2.0),
        (10.0, True, None, 5.0),
        (2.0, True, None, 1.5),
        (4.9, True, None, 2.5),
        (4.2, True, 4.0, 4.5),
        (4.2, True, 1.0, 2.0),
        (9.0, False, None, 11.0),
        (5.0, False, None, 10.0),
        (10.4, False, None, 12.5),
        (12.0, False, None, 13.0),
        (9.0, False, 9.0, 8.5),
        (9.0, False, 12.0, 11.0),
    ],
)
def test_the_ph_at_which_a_product_comes_back(pka: float, acid: bool, limit: float | None, ph: float) -> None:
    facts = [given(f.Stands, side="low" if acid else "high", ph=limit, group="x")] if limit is not None else []
    other = given(f.Stands, side="high" if acid else "low", ph=7.0, group="x")
    assert reckon._back_ph(thinks("part", *facts, other), pka, acid) == ph


def test_how_much_of_an_acid_is_ionised_in_the_strongest_acid() -> None:
    def best(*facts: Fact) -> float:
        return reckon._ionised_at_best(thinks("part", *facts))

    acid, base = ionises("product", "acid", -2.0), ionises("product", "base", 9.0)
    assert best(acid) == pytest.approx(100.0)
    assert best(ionises("product", "acid", 4.0)) == 1.0
    assert best(acid, base) == best(base) == best() == best(ionises("c1", "acid", -2.0)) == 0.0


def book(**more: Any) -> Any:
    """Return an account of which only what a case speaks of is known."""
    made = SimpleNamespace(contacts=[], vented={}, gas_ml={}, given_mmol={}, cosolvent=[], **more)
    made.fraction = lambda component, mmol: np.array([float(np.sum(mmol)) / 10])
    made.left = lambda component: np.array([0.5, 0.01, 0.02, 0.04]) if component == "c1" else np.ones(3)
    return made


def contact(step: int, portion: int = 1, **more: Any) -> Any:
    return SimpleNamespace(
        **{
            "step": step,
            "portion": portion,
            "organic_density": 1.3256,
            "aqueous_density": 1.0244,
            "ph": np.array([1.0, 2.0, 3.004]),
            "co2_ml": 12.34,
            "heat_kj": 1.234,
            "rise_c": 3.21,
            "organic_ml": 40.0,
            "aqueous_ml": 20.0,
            "mixed": None,
            "vapours": (),
            "aqueous_mmol": np.array([0.5]),
            **more,
        }
    )


def declared(made: Any, steps: tuple[PlanStep, ...] = ()) -> Any:
    ke = thinks("part", PRODUCT, others=("pyridine; 5 mmol",))
    reckon.observe_layers(ke, ke.job, made, steps)
    return ke


def facts_of(ke: Any, kind: type[Fact]) -> list[tuple[Any, ...]]:
    return [tuple(fact[slot] for slot in kind.slots) for _, fact in ke.facts_of(kind)]


def test_layers_are_those_of_the_first_portion_and_the_fullest_funnel() -> None:
    made = book()
    made.contacts = [contact(3), contact(3, 2, co2_ml=99.0, organic_ml=55.0), contact(4, co2_ml=0.0)]
    ke = declared(
        made,
        (
            PlanStep(2, "quench", "", "", (), solution="nh4cl_sat"),
            PlanStep(3, "part", "", "", (), solution="nh4cl_sat"),
        ),
    )
    first, second = (dict(zip(f.Layers.slots, row, strict=True)) for row in facts_of(ke, f.Layers))
    assert first == {
        "step": 3,
        "poured_at": 2,
        "organic_density": 1.326,
        "aqueous_density": 1.024,
        "ph": 2.5,
        "co2_ml": 12.3,
        "heat_kj": 1.23,
        "rise_c": 3.2,
        "volume_ml": 75.0,
    }
    assert (second["step"], second["poured_at"], second["volume_ml"]) == (4, 4, 60.0)
    text = ke.known[ke.first(f.Layers, step=3)["__factid__"]].reasons[0].text
    assert text == (
        "computed: step 3, first contact: organic 1.33 g/mL, aqueous 1.02 g/mL, spent at pH 2.5, 12 mL of carbon dioxide, 1.2 kJ, "
        "a rise of 3 C if nothing cools it"
    )
    other = (PlanStep(2, "quench", "", "", (), solution="water"), PlanStep(3, "part", "", "", (), solution="nh4cl_sat"))
    assert declared(made, other).first(f.Layers, step=3)["poured_at"] == 3
    washed = (PlanStep(2, "quench", "", "", (), solution="water"), PlanStep(3, "extract", "", "", (), solution="water"))
    assert declared(made, washed).first(f.Layers, step=3)["poured_at"] == 3


def test_one_layer_where_the_contact_says_so() -> None:
    mixed = SimpleNamespace(one_layer=True, component="c1", share=0.45678, most=0.3)
    made = book()
    made.contacts = [contact(1, mixed=mixed), contact(2, mixed=SimpleNamespace(one_layer=False))]
    assert facts_of(declared(made), f.OneLayer) == [(1, "c1", 0.4568, 0.3)]


def test_of_a_gas_the_step_is_told_where_most_of_it_stands_over_the_water() -> None:
    def vapour(ppm: float, component: str = "c1", gas: str = "HCN") -> Vapour:
        return Vapour(gas, component, left_ml=1.26, dissolved_mmol=1.0, above_ppm=ppm)

    made = book()
    made.contacts = [contact(1, vapours=(vapour(50.4),)), contact(2, vapours=(vapour(70.6), vapour(90.0, "")))]
    made.vented = {3: [vapour(60.0)], 4: [vapour(10.0, "c2")], 5: [vapour(10.1, "c3")]}
    assert [(n, v.above_ppm) for n, v in reckon._vapours(made)] == [(2, 70.6), (5, 10.1)]
    told = facts_of(declared(made), f.Vapour)
    assert told == [(2, "c1", "HCN", 1.3, 71), (5, "c3", "HCN", 1.3, 10)]


def test_miscible_solvent_in_the_water_and_the_product_that_it_holds_there() -> None:
    made = book()
    made.contacts = [contact(1, aqueous_mmol=np.array([0.2])), contact(1, 2), contact(2)]
    made.cosolvent = [(1, "c1", 0.1), (1, "c1", 0.3), (1, "c1", 0.2), (3, "c1", 0.05)]
    assert facts_of(declared(made), f.Cosolvent) == [(1, "c1", 0.3, 0.05), (3, "c1", 0.05, 0.0)]


def test_the_washes_come_in_the_order_of_what_they_do() -> None:
    """What destroys or binds, what water alone takes, acid, base: common practice."""
    rank = reckon.WASH_RANK
    assert {row.acts_as for row in table(Solution).values()} == set(rank)
    order = ("reductant", "oxidant", "complexing", "neutral", "acid", "buffer", "base")
    assert sorted(order, key=lambda kind: rank[kind]) == list(order) and len({rank[kind] for kind in order}) == 7
    assert rank["neutral"] == rank["salt"]


def test_gas_of_acid_on_carbonate() -> None:
    made = book()
    made.gas_ml = {2: 120.04}
    made.given_mmol = {3: 20.0, 4: 20.0, 5: 0.0, 6: 20.0}
    steps = tuple(
        PlanStep(n, "neutralise", "", "", (), solute=s, volume_ml=20.0)
        for n, s in ((3, "NaHCO3"), (4, "K2CO3"), (5, "NaHCO3"), (6, "NaOH"))
    )
    fizz = {step: (ml, poured) for step, ml, poured in facts_of(declared(made, steps), f.Fizz)}
    assert set(fizz) == {2, 3, 4} and fizz[2] == (120.0, "acid")
    assert (fizz[3][1], fizz[4][1]) == ("NaHCO3", "K2CO3")
    # 20 mmol of gas less what 20 mL of water hold; of potassium carbonate half as much is set free
    assert 400 < fizz[3][0] < 490 and 170 < fizz[4][0] < 245


def tried(
    monkeypatch: pytest.MonkeyPatch, solution: str, product: tuple[float, ...], c1: tuple[float, ...], **more: Any
) -> Any:
    """Return the engine once trials are declared of which a case gives what they leave."""
    result = SimpleNamespace(
        solution=solution,
        left={"product": product, "c1": c1},
        cautious={"product": product, "c1": more.get("cautious", c1)},
        spent_ph=1.2345,
        unlucky=(0.9, 0.81234, 0.7),
    )
    monkeypatch.setattr(reckon.trial, "uptakes", lambda *_: ([result], {"c1": more.get("after_pot", 1.0)}))
    ke = thinks("part", PRODUCT, others=("pyridine; 5 mmol",))
    asked = (more.get("gone", ()), (), more.get("pot_ph"), False, more.get("parted"))
    assert reckon.observe_trials(ke, ke.job, table(Solvent)["diethyl_ether"], *asked) == [result]
    return ke


def test_what_a_wash_would_leave_after_one_two_and_three_contacts(monkeypatch: pytest.MonkeyPatch) -> None:
    kept = (0.999, 0.998, 0.997)

    def uptake(*after: float, cautious: float = 0.5) -> dict[str, Any]:
        ke = tried(monkeypatch, "hcl_1m", kept, after, cautious=(0.9, 0.8, cautious))
        assert ke.first(f.Unlucky, solution="hcl_1m")["after_2"] == 0.8123
        assert not facts_of(ke, f.AfterPot) and not facts_of(ke, f.Decays)
        return {slot: ke.first(f.Uptake, component="c1")[slot] for slot in f.Uptake.slots}

    assert uptake(0.5, 0.01, 0.00123456) == {
        "component": "c1",
        "solution": "hcl_1m",
        "after_1": 0.5,
        "after_2": 0.01,
        "after_3": 0.001235,
        "enough": 2,  # the target is one part in a hundred
        "sure": False,
        "spent_ph": 1.23,
    }
    assert [uptake(*a)["enough"] for a in ((0.01, 0.01, 0.01), (0.5, 0.02, 0.009), (0.5, 0.3, 0.011))] == [1, 3, 0]
    # sure where even the cautious numbers leave no more than three times the target
    assert [uptake(0.5, 0.1, 0.001, cautious=c)["sure"] for c in (0.029, 0.03, 0.031)] == [True, True, False]
    ke = tried(monkeypatch, "hcl_1m", kept, (0.5, 0.1, 0.01), gone=("c1",))
    assert [row[0] for row in facts_of(ke, f.Uptake)] == ["product"]


def test_what_the_first_water_leaves_and_what_base_breaks(monkeypatch: pytest.MonkeyPatch) -> None:
    kept, taken = (0.999, 0.998, 0.997), (0.5, 0.1, 0.01)

    def after(left: float, **more: Any) -> list[tuple[Any, ...]]:
        return facts_of(tried(monkeypatch, "hcl_1m", kept, taken, after_pot=left, **more), f.AfterPot)

    parted = (table(Solution)["water"], 20.0)
    assert after(0.01, pot_ph=2.0) == after(0.01, parted=parted) == [("c1", 0.01, True)]
    assert after(0.0123456, pot_ph=2.0) == [("c1", 0.01235, False)] and after(0.01) == []
    assert after(0.01, pot_ph=2.0, gone=("c1",)) == []
    # an ester that goes into hydroxide breaks there; what stays in the ether does not
    ((solution, share, group),) = facts_of(tried(monkeypatch, "naoh_1m", (0.5, 0.4, 0.3), taken), f.Decays)
    assert solution == "naoh_1m" and 0.01 < share < 1.0 and "ester" in group
    assert facts_of(tried(monkeypatch, "naoh_1m", (1.0, 1.0, 1.0), taken), f.Decays) == []
    # the first contact decides
    assert facts_of(tried(monkeypatch, "naoh_1m", (0.5, 0.1, 0.1), taken), f.Decays) == [(solution, share, group)]


def test_windows_are_worked_out_for_what_is_there_and_of_a_kind(monkeypatch: pytest.MonkeyPatch) -> None:
    others = ("benzoic acid; 5 mmol", "phenol; 5 mmol", "triethylamine; 5 mmol", "octanoic acid; 5 mmol")

    def windows(picked: tuple[str, ...], gone: tuple[str, ...] = (), stripped: tuple[str, ...] = ()) -> list[str]:
        def pick(mixture: Any, component: str, *_: Any, **__: Any) -> Window | None:
            held = (Held(1, 7.04, 0.12345, 0.05), Held(3, 6.5, 0.01, 0.02))
            return Window(component, held, "phosphate_ph7") if component in picked else None

        monkeypatch.setattr(reckon.window, "held_shares", lambda *_: {})
        monkeypatch.setattr(reckon.window, "pick", pick)
        kinds = [is_a("acid"), is_a("acid", "c1"), is_a("weak acid", "c2"), is_a("base", "c3"), is_a("acid", "c4")]
        ke = thinks("part", PRODUCT, *kinds, product="OC(=O)CCc1ccccc1", others=others)
        made = reckon.observe_windows(ke, ke.job, table(Solvent)["diethyl_ether"], gone, stripped)
        told = [dict(zip(f.Window.slots, row, strict=True)) for row in facts_of(ke, f.Window)]
        assert [x["component"] for x in told] == [w.component for w in made]
        assert all((x["ph_1"], x["left_1"], x["ph_3"], x["lost_3"]) == (7.04, 0.1235, 6.5, 0.02) for x in told)
        return [w.component for w in made]

    every = ("c1", "c2", "c3", "c4")
    assert windows(every) == ["c1", "c2", "c4"]  # the base is no acid
    assert windows(("c4",)) == ["c4"] and windows(()) == []
    assert windows(every, gone=("c1",)) == ["c2", "c4"] and windows(every, stripped=("c4",)) == ["c1", "c2"]
    assert windows(every, gone=("c1", "c2"), stripped=("c4",)) == []


def swapped(
    monkeypatch: pytest.MonkeyPatch, plain: float, washed: float, *facts: Fact, kind: str = "acid", left: float = 0.1
) -> tuple[list[tuple[Any, ...]], list[tuple[Any, ...]]]:
    """Return what is declared of ways through water: each solution with what comes back, plain or after the washes chosen."""

    def swap(*asked: Any, **more: Any) -> dict[str, float]:
        washes = asked[7] if len(asked) > 7 else ()
        return {"product": washed if washes else plain, "c1": 0.001 if washes else 0.01}

    monkeypatch.setattr(reckon.trial, "swap", swap)
    site = ionises("product", "acid", 4.2) if "acid" in kind else ionises("product", "base", 9.0)
    ke = thinks("part", PRODUCT, is_a(kind), site, *facts, product="OC(=O)CCc1ccccc1", others=("pyridine; 5 mmol",))
    trials: Any = [
        SimpleNamespace(solution=s, left={"product": (0.9, 0.5, left), "c1": (1.0, 1.0, 1.0)})
        for s in ("nahco3_sat", "naoh_1m", "hcl_1m", "nh4cl_sat", "brine", "naoh_3m")
    ]
    reckon.observe_swaps(ke, ke.job, table(Solvent)["diethyl_ether"], (), (), trials, None, False)
    return facts_of(ke, f.SwapTrial), facts_of(ke, f.SwapLeaves)


def test_ways_through_water_and_back(monkeypatch: pytest.MonkeyPatch) -> None:
    chosen = given(f.Chosen, component="c1", solution="hcl_1m")
    ways, leaves = swapped(monkeypatch, 0.95, 0.99, chosen)
    # an acid goes through the bases that are offered for any, and comes back two units below its pKa; no worth in washes
    assert ways == [("nahco3_sat", 0.95, 2.0), ("naoh_1m", 0.95, 2.0)]
    assert leaves == [("nahco3_sat", "c1", 0.01, True), ("naoh_1m", "c1", 0.01, True)]
    # where little comes back, the washes go before, if that helps; what they take still needs them
    ways, leaves = swapped(monkeypatch, 0.5, 0.9, chosen)
    assert [w[:2] for w in ways] == [("nahco3_sat", 0.9), ("naoh_1m", 0.9)] and leaves[0] == (
        "nahco3_sat",
        "c1",
        0.001,
        False,
    )
    assert swapped(monkeypatch, 0.5, 0.9, chosen, f.Stuck(component="c1"))[1][0][3] is True
    assert [w[1] for w in swapped(monkeypatch, 0.5, 0.4, chosen)[0]] == [0.5, 0.5]
    assert [w[1] for w in swapped(monkeypatch, 0.5, 0.9)[0]] == [0.5, 0.5]  # no wash is chosen
    # a base goes through acid, and ammonium chloride is none to speak of
    assert [w[0] for w in swapped(monkeypatch, 0.95, 0.9, kind="base")[0]] == ["hcl_1m"]
    # not what leaves it behind, what would destroy it, or where there is nothing to gain
    assert swapped(monkeypatch, 0.95, 0.9, left=0.21)[0] == [] and swapped(monkeypatch, 0.95, 0.9, left=0.2)[0]
    harm = given(f.Harms, solution="naoh_1m", how="breaks")
    assert [w[0] for w in swapped(monkeypatch, 0.95, 0.9, harm)[0]] == ["nahco3_sat"]
    for kind in ("neutral", "amphoteric"):
        assert swapped(monkeypatch, 0.95, 0.9, kind=kind)[0] == []


def test_what_is_fragile_rests_on_the_outcome_and_its_numbers() -> None:
    ke = thinks(
        "part", PRODUCT, given(f.Outcome, component="c1"), ionises("c1", "base", 5.2), others=("pyridine; 5 mmol",)
    )
    items = [Fragile("c1", "pKa", at, 5.23456, 0.31234, "below", "it is washed out") for at in (4.87654, None)]
    reckon.observe_fragile(ke, items)
    told = [dict(zip(f.Fragile.slots, row, strict=True)) for row in facts_of(ke, f.Fragile)]
    assert [x["threshold"] for x in told] == [4.877, None]
    assert {(x["component"], x["number"], x["estimate"], x["sigma"], x["holds"]) for x in told} == {
        ("c1", "pKa", 5.235, 0.3123, "below")
    }


def test_what_is_left_is_enough_at_the_target() -> None:
    ke = thinks("part", PRODUCT, others=("pyridine; 5 mmol",))
    reckon.observe_outcome(ke, ke.job, book(), ())
    rows = {row[0]: row for row in facts_of(ke, f.Outcome)}
    assert rows["product"][1:4] == (1.0, 1.0, 1.0)
    low, mid, high, enough = rows["c1"][1:]
    assert 0.0 <= low < mid == 0.02 < high <= 0.04 and enough is False
    text = ke.known[ke.first(f.Outcome, component="c1")["__factid__"]].reasons[0].text
    assert text.startswith("computed: after all steps 2.0 % of pyridine is with the product (nine cases in ten: ")


def test_a_plan_that_is_refused_says_what_would_work() -> None:
    def refused(what: Any, *facts: Fact, **options: Any) -> str:
        ke = thinks("part", PRODUCT, *facts, **options)
        with pytest.raises(PlanRefused) as caught:
            what(ke, ke.job)
        return str(caught.value)

    azide = left_over("azide_ion", "wash"), {"others": ("sodium azide; 5 mmol",)}
    asked = given(f.Candidate, solvent="dichloromethane", asked_for=True)
    text = refused(reckon.refuse_if_solvent_explodes, asked, azide[0], **azide[1])
    assert text.startswith("extract: dichloromethane and sodium azide slowly give azidomethanes")
    for others in (
        (asked, left_over("cyanide", "wash")),
        (given(f.Candidate, solvent="toluene", asked_for=True), azide[0]),
        (given(f.Candidate, solvent="dichloromethane", asked_for=False), azide[0]),
    ):
        reckon.refuse_if_solvent_explodes(ke := thinks("part", *others, **azide[1]), ke.job)

    water = in_pot(7.0, kept=0.0, neutral=0.1)
    ether = table(Solvent)["diethyl_ether"]
    bound = lambda ke, job: reckon.refuse_if_water_bound(ke, job, ether)  # noqa: E731
    assert "so every aqueous wash throws it away. Instead strip the water" in refused(bound, water, is_a("neutral"))
    assert "greasy counter-ion" in refused(bound, water, is_a("permanent ion"))
    hydride = left_over("lithium_aluminium_hydride", "quench", "hydride"), {"others": ("LiAlH4; 5 mmol",)}
    assert "boil the salts out several times with methanol" in refused(bound, water, hydride[0], **hydride[1])
    both = ionises("product", "acid", 2.2), ionises("product", "base", 9.6)
    assert "isoelectric pH, about 6, cool and filter" in refused(bound, water, is_a("amphoteric"), *both)
    for neutral in (0.12, 0.5):
        bound(ke := thinks("part", in_pot(7.0, neutral=neutral, log_p=1.0)), ke.job)
    # of a strong acid most is ionised at pH 0 too
    assert refused(bound, in_pot(7.0, neutral=0.9), is_a("acid"), ionises("product", "acid", -2.0))


def test_what_has_no_organic_layer_may_be_kept_dry() -> None:
    ke = thinks("part", in_pot(7.0, neutral=0.1))
    reckon.refuse_if_water_bound(ke, ke.job, table(Solvent)["diethyl_ether"], dry=True)
    assert facts_of(ke, f.KeptDry) == [(0.1,)]


def test_a_free_sugar_is_refused_butanol_too() -> None:
    butanol = table(Solvent)["1-butanol"]

    def goes(product: str, log_p: float) -> bool:
        ke = thinks("part", in_pot(7.0, neutral=0.6, log_p=log_p), product=product)
        try:
            reckon.refuse_if_water_bound(ke, ke.job, butanol)
        except PlanRefused as problem:
            assert "how much of such a compound 1-butanol would hold is not known" in str(problem)
            assert problem.held == 0.6
            return False
        return True

    ester = "CCOC(=O)c1ccc(C)cc1"
    assert goes(ester, -1.7) and not goes(ester, -1.71) and not goes(GLUCOSE, 0.0) and not goes("NCC(=O)O", 0.0)


def test_what_goes_with_a_stripped_solvent() -> None:
    others = ("acetone; 5 mmol", "heptane; 5 mmol", "acetic acid; 5 mmol", "pyridine; 5 mmol", "ethyl acetate; 5 mmol")

    def boils(c: str, boiling_c: float) -> Fact:
        return f.Boils(component=c, boiling_c=boiling_c)

    def stripped(*facts: Fact, evaporated: str = "thf") -> tuple[str, ...]:
        ke = thinks("part", f.Prepares(action="evaporate", subject=evaporated), *facts, others=others)
        return reckon.stripped_components(ke, ke.job)

    base = ionises("c4", "base", 5.2)
    assert stripped() == ()
    assert stripped(given(f.Mixes, component="c1", solvent="thf", boiling_c=56.0)) == ("c1",)
    assert stripped(given(f.Mixes, component="c1", solvent="dmf", boiling_c=56.0)) == ()
    # neutrals below 116 C; bases only thirty degrees below the solvent, which boils at 65 C; acids never
    assert stripped(boils("c2", 115.9)) == ("c2",) and stripped(boils("c2", 116.1)) == ()
    assert stripped(base, boils("c4", 34.9)) == ("c4",) and stripped(base, boils("c4", 35.0)) == ()
    assert stripped(ionises("c3", "acid", 4.8), boils("c3", 20.0)) == ()
    assert stripped(boils("product", 20.0)) == ()
    # what has a remedy of its own gets it
    assert stripped(boils("c2", 90.0), left_over("x", "wash", c="c2")) == ()
    assert stripped(boils("c2", 90.0), left_over("x", "other", c="c2")) == ("c2",)
    assert stripped(evaporated="c5") == ("c5",)
    ke = thinks("part", boils("c2", 20.0), f.Prepares(action="filter", subject="thf"), others=others)
    assert reckon.stripped_components(ke, ke.job) == ()


def test_who_needs_no_water() -> None:
    def dry(
        *facts: Fact, gone: tuple[str, ...] = (), stripped: tuple[str, ...] = (), others: Any = ("biphenyl; 5 mmol",)
    ) -> bool:
        ke = thinks("part", *facts, others=others)
        return reckon.needs_no_water(ke, ke.job, gone, stripped)

    assert dry() and not dry(ionises("product", "acid", 4.2)) and not dry(ionises("c1", "acid", 4.2))
    assert not dry(left_over("x", "wash"))
    assert dry(left_over("x", "wash"), gone=("c1",)) and dry(ionises("c1", "acid", 4.2), stripped=("c1",))
    assert not dry(others=("NaCl; 5 mmol",)) and not dry(others=("TBAB; 5 mmol",))
    assert dry(ionises("product", "acid", 4.2), gone=("c1",))
    # the granular salts of a hydride hold what belongs to the water
    hydride = left_over("lithium_aluminium_hydride", "quench", "hydride")
    assert not dry(hydride, gone=("c1",), others=("LiAlH4; 5 mmol",))
