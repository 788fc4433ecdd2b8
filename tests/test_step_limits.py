"""From conclusions to steps: which wash comes where, with how much, what is said of it, and what makes it needless."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from test_plan_steps import ESTER, flask, plan, step, takes, thinking, wash

from washlore.knowledge.rows import Solution, table
from washlore.rules import again, arrange, trial
from washlore.rules import facts as f
from washlore.rules.ledger import Step
from washlore.rules.species import sheet
from washlore.rules.steps import PlanStep


def leftover(residue: str, action: str = "wash", c: str = "c1", solution: str = "") -> f.Leftover:
    return f.Leftover(component=c, residue=residue, action=action, solution=solution, kind="x")


def stands(ph: float) -> f.Stands:
    return f.Stands(side="low", ph=ph, group="ketal")


def is_a(kind: str, c: str = "product") -> f.Behaviour:
    return f.Behaviour(component=c, kind=kind)


# ---- the order of the washes


def rank(key: str, *facts: Any) -> float:
    ke, _ = thinking(*facts)
    return arrange._wash_rank(ke, table(Solution)[key])


def test_washes_go_from_what_binds_to_base() -> None:
    order = ["na2s2o3_10", "bleach_5", "edta_01m", "water", "hcl_1m", "phosphate_ph7", "nahco3_sat"]
    assert [*sorted(order, key=rank)] == order
    # of two of a kind the milder first, and kinds are not mixed up by it
    assert rank("nahco3_sat") < rank("na2co3_10") < rank("naoh_1m") < rank("nahco3_sat") + 1
    assert rank("nahco3_sat") == pytest.approx(50 + 2.0 / 100)


def test_base_comes_first_where_acid_would_spoil_the_product() -> None:
    first = rank("nahco3_sat", stands(2.0))
    assert first < min(rank(key) for key in ("na2s2o3_10", "bleach_5", "water", "hcl_1m"))
    assert rank("nahco3_sat", stands(1.9)) == rank("nahco3_sat") == rank("nahco3_sat", stands(0.0))
    assert rank("nahco3_sat", stands(0.0), stands(4.0)) == first == rank("naoh_1m", stands(4.0))
    assert rank("hcl_1m", stands(4.0)) == rank("hcl_1m") and rank("phosphate_ph7", stands(4.0)) == rank("phosphate_ph7")


def test_plain_water_comes_after_acid_where_it_would_carry_an_acid_away() -> None:
    for kind in ("acid", "weak acid"):
        assert rank("hcl_1m") < rank("water", is_a(kind)) < rank("phosphate_ph7")
        assert rank("hcl_1m") < rank("brine", is_a(kind))
        assert rank("hcl_1m", is_a(kind)) == rank("hcl_1m")
    assert rank("water", is_a("base")) == rank("water") == rank("water", is_a("acid", "c1"))


# ---- what a wash does, in words


def test_a_wash_takes_all_or_part() -> None:
    others = "triethylamine; 5 mmol", "pyridine; 5 mmol"
    ke, job = thinking(takes("hcl_1m"), others=others)
    text = arrange.takes_text(ke, job, "hcl_1m", ["c1", "c2"])
    assert text == "takes out triethylamine; takes part of pyridine"
    assert arrange.takes_text(ke, job, "hcl_1m", ["c1"]) == "takes out triethylamine"
    assert arrange.takes_text(ke, job, "hcl_1m", ["c2"]) == "takes part of pyridine"
    # what reacts is told how; what only dissolves is not
    ke, job = thinking(takes("nh4cl_nh3"), leftover("copper"), others=("CuI; 1 mmol",))
    how = arrange.remedy_words(ke, arrange.table(arrange.Residue)["copper"])
    assert arrange.takes_text(ke, job, "nh4cl_nh3", ["c1"]).endswith(f". {how.rstrip('.')}")
    ke, job = thinking(takes("nh4cl_nh3", left=0.01), leftover("copper"), others=("CuI; 1 mmol",))
    assert how.rstrip(".") not in arrange.takes_text(ke, job, "nh4cl_nh3", ["c1"])


def run_off(*facts: Any, c: str = "c1") -> str:
    ke, job = thinking(*facts, others=("sodium azide; 5 mmol", "sodium cyanide; 5 mmol"))
    return arrange._run_off(ke, job, [c] if c else ["c1", "c2"])


def test_the_water_of_a_poison_has_a_bottle_of_its_own() -> None:
    azide, out = leftover("azide_ion"), f.FirstOut(component="c1", gas="hydrazoic acid")
    said = run_off(azide, out)
    assert said.startswith(". Run this water off") and "keep it above pH 7: acid would make hydrazoic acid" in said
    both = run_off(azide, out, leftover("cyanide", c="c2"), f.FirstOut(component="c2", gas="hydrogen cyanide"), c="")
    assert "above pH 10.5: acid would make hydrazoic acid and hydrogen cyanide" in both
    # fluoride: only where a wash of the plan is acidic enough to free it
    fluoride = leftover("ammonium_fluoride_salt")
    assert run_off(fluoride) == "" and run_off(fluoride, f.Kept(solution="nahco3_sat", component="c2")) == ""
    assert "above pH 4" in run_off(fluoride, f.Kept(solution="hcl_1m", component="c2"))
    ke, job = thinking()
    assert arrange._run_off(ke, job, []) == ""


# ---- how much of it


def washes(*facts: Any, others: tuple[str, ...] = ("triethylamine; 5 mmol", "pyridine; 5 mmol")) -> list[PlanStep]:
    ke, job = thinking(*facts, others=others)
    return [draft.step for draft in arrange._wash_steps(ke, job, (), ())]


def test_how_often_a_wash_is_done() -> None:
    """Twice as a rule, brine and what binds once, and as often as the most demanding of its leftovers asks."""

    def times(key: str, *contacts: int, thins: bool = False) -> int:
        facts: list[Any] = []
        for n, count in enumerate(contacts, start=1):
            facts.append(f.Kept(solution=key, component=f"c{n}"))
            if thins:
                facts.append(f.Thins(solution=key, component=f"c{n}", left=0.3, contacts=count))
            elif count:
                facts.append(f.Takes(solution=key, component=f"c{n}", left=0.0, contacts=count, sure=True))
        (made,) = washes(*facts)
        assert made.for_components == tuple(f"c{n}" for n in range(1, len(contacts) + 1))
        return made.repeats

    assert times("hcl_1m", 1) == times("hcl_1m", 2) == times("nahco3_sat", 1) == times("water", 0) == 2
    assert times("hcl_1m", 3) == times("hcl_1m", 1, 3) == times("hcl_1m", 3, 1) == times("water", 3, thins=True) == 3
    assert times("edta_01m", 1) == times("brine", 1) == times("edta_01m", 0) == 1 and times("brine", 2) == 2


def test_a_wash_for_a_poison_goes_before_all_others() -> None:
    ke, job = thinking(f.Kept(solution="na2co3_10", component="c1"), takes("na2co3_10"), leftover("azide_ion"))
    (draft,) = arrange._wash_steps(ke, job, (), ())
    assert arrange.FIRST_RANK - 0.14 < draft.rank <= arrange.FIRST_RANK < rank("na2co3_10", stands(4.0))
    # cyanide would be free in the bicarbonate that is enough for azide
    milder = f.Kept(solution="nahco3_sat", component="c1"), leftover("azide_ion")
    stronger = f.Kept(solution="na2co3_10", component="c2"), leftover("cyanide", c="c2")
    for facts in ((*milder, *stronger), (*stronger, *milder)):
        ke, job = thinking(*facts, others=("sodium azide; 5 mmol", "sodium cyanide; 5 mmol"))
        drafts = sorted(arrange._wash_steps(ke, job, (), ()), key=lambda d: d.rank)
        assert [d.step.solution for d in drafts] == ["na2co3_10", "nahco3_sat"]
    ke, job = thinking(f.Kept(solution="na2co3_10", component="c1"), takes("na2co3_10"))
    assert arrange._wash_steps(ke, job, (), ())[0].rank == rank("na2co3_10")


def test_a_wash_is_sized_by_what_is_still_there() -> None:
    """100 mmol of amine ask for 40 mL of 1 M acid a portion; what the first water took asks for nothing."""
    kept = f.Kept(solution="hcl_1m", component="c1")
    amine = ("triethylamine; 100 mmol",)
    (made,) = washes(kept, takes("hcl_1m"), others=amine)
    assert made.volume_ml == 40.0 and made.exact_ml == pytest.approx(40.0)
    (less,) = washes(kept, takes("hcl_1m"), f.Leaves(component="c1", way="first water"), others=amine)
    assert less.volume_ml == 15.0 and less.exact_ml == pytest.approx(0.34 * trial.layer_ml(flask(ESTER, *amine)))
    (same,) = washes(kept, takes("hcl_1m"), f.Leaves(component="c1", way="evaporation"), others=amine)
    assert same.volume_ml == 40.0
    assert (made.solution, made.solute, made.phase_kept) == ("hcl_1m", "HCl", "organic")


def test_an_exact_volume_goes_before_the_one_measured_out() -> None:
    ke, job = thinking()
    both = step("wash", solution="water", volume_ml=15.0, exact_ml=13.6)
    assert arrange.ledger_step(both, ke, job).volume_ml == 15.0
    assert arrange.ledger_step(both, ke, job, exact=True).volume_ml == 13.6
    assert arrange.ledger_step(step("wash", solution="water", volume_ml=15.0), ke, job, exact=True).volume_ml == 15.0


def test_the_water_of_a_quench_in_the_ledger() -> None:
    """Half the layer at least, shared among those that brought it."""
    quench = f.Prepares(action="quench", subject="c1")
    one = leftover("acid_chloride", "quench", solution="nahco3_sat")
    others = ("benzoyl chloride; 5 mmol", "iodine; 2 mmol")
    ke, job = thinking(f.Extraction(solvent="dichloromethane"), quench, one, others=others)
    half = 0.5 * trial.layer_ml(job.mixture)
    made = arrange.ledger_step(step("quench", solution="nahco3_sat", for_components=("c1",)), ke, job)
    assert (made.solution, made.removes) == ("nahco3_sat", ("c1",)) and made.volume_ml == pytest.approx(half)
    parted = arrange.ledger_step(step("part", solution="nahco3_sat", volume_ml=20.0), ke, job)
    assert parted.solution == "nahco3_sat" and parted.volume_ml == 20.0
    joined = PlanStep(1, "take up", "Add 20 mL", "x", (), solution="water", volume_ml=20.0)
    assert arrange.ledger_step(joined, ke, job).solution == "nahco3_sat"
    plain = PlanStep(1, "take up", "Extract 20 mL", "x", (), solution="water", volume_ml=20.0)
    assert arrange.ledger_step(plain, ke, job).solution == "water"
    two = f.Prepares(action="quench", subject="c2"), leftover("iodine", "quench", "c2", "na2s2o3_10")
    ke, job = thinking(f.Extraction(solvent="dichloromethane"), quench, one, *two, others=others)
    made = arrange.ledger_step(step("quench", solution="nahco3_sat", for_components=("c1",)), ke, job)
    assert made.volume_ml == pytest.approx(half / 2, rel=0.01)  # 5 mmol ask for as much
    both = arrange.ledger_step(step("part", solution="nahco3_sat", volume_ml=20.0), ke, job)
    assert sorted(both.solution.split("+")) == ["na2s2o3_10", "nahco3_sat"]


# ---- what makes a wash needless


def ends(
    *facts: Any, steps: tuple[PlanStep, ...] = (), ph: float = 7.0, after: tuple = (), key: str = "nahco3_sat"
) -> bool:
    ke, _ = thinking(f.Pot(**(dict.fromkeys(f.Pot.slots, 0.0) | {"ph": ph})), *facts)
    base = wash(key, c=("c1", "c2") if facts and len(facts) > 1 else ("c1",))
    return again._ends_acid(ke, base, (*steps, base, *after))


def acid(pka: float, c: str = "c1") -> f.Ionises:
    return f.Ionises(component=c, kind="acid", pka=pka, sigma=0.1, atom=0, site_class="x")


def test_a_base_wash_exactly_at_its_limits() -> None:
    assert not ends(acid(2.0), ph=5.0)
    assert ends(acid(1.9), ph=6.0)  # pH 6 is not neutral enough
    assert ends(acid(1.9), ph=9.0, steps=(step("quench", solution="phosphate_ph6"),))
    assert not ends(acid(1.9), ph=9.0, steps=(step("quench", solution="phosphate_ph7"),))
    assert not ends(acid(1.9), ph=9.0, steps=(step("quench"),))
    assert ends(acid(1.9), ph=5.0, steps=(step("neutralise", target_ph=6.0),))
    assert ends(acid(1.9), ph=5.0, steps=(step("neutralise"),))
    # of several quenches the most acidic counts
    two = step("quench", solution="nahco3_sat"), step("quench", solution="hcl_1m")
    assert ends(acid(1.9), ph=9.0, steps=two)


def test_one_strong_acid_of_two_is_ended_whatever_the_flask_is() -> None:
    assert ends(acid(1.0), acid(4.0, "c2"), ph=9.0) and not ends(acid(1.0), acid(1.0, "c2"), ph=9.0)
    assert not ends(acid(4.0), acid(4.0, "c2"), ph=5.0)
    # only an acid wash that comes before it, and only a wash
    late = wash("hcl_1m")
    assert ends(acid(4.0), steps=(late,)) and not ends(acid(4.0), after=(late,))
    assert not ends(acid(4.0), steps=(step("quench", solution="hcl_1m"),))
    assert not ends(acid(4.0), steps=(wash("nah2po4_1m"),), key="phosphate_ph7")


def needed(*steps: PlanStep, others: tuple[str, ...], facts: tuple = ()) -> list[str]:
    ke, job = thinking(*facts, f.Pot(**(dict.fromkeys(f.Pot.slots, 0.0) | {"ph": 7.0})), others=others)
    made = again._needed(ke, job, steps, sheet(job.mixture, 1), 3)
    assert [s.number for s in made] == [*range(3, len(made) + 3)]
    return [s.solution for s in made]


def test_the_wash_of_a_poison_is_never_spared() -> None:
    others = "benzoic acid; 2 mmol", "phenol; 2 mmol"
    strong, mild = wash("naoh_1m", repeats=3, c=("c2",)), wash("nahco3_sat", number=2)
    assert needed(strong, mild, others=others) == ["naoh_1m"]
    assert needed(strong, mild, others=others, facts=(leftover("azide_ion"),)) == ["naoh_1m", "nahco3_sat"]
    assert needed(strong, mild, others=others, facts=(leftover("edu"),)) == ["naoh_1m"]
    # a wash without a leftover of its own, such as brine, is none of these
    brine = wash("brine", c=())
    assert needed(strong, mild, brine, others=others) == ["naoh_1m", "brine"]
    # the first step has nothing before it that could have done its work
    assert needed(mild, strong, others=others)[0] == "nahco3_sat"


def test_a_spared_wash_says_what_the_steps_before_have_left() -> None:
    ke, job = thinking(f.Chosen(solution="nahco3_sat", component="c1", contacts=1))
    again._spare(ke, job, wash("nahco3_sat"), "c1", 0.0004)
    fact = ke.first(f.Spared, solution="nahco3_sat", component="c1")
    reason = ke.known[fact["__factid__"]].reasons[0]
    assert reason.text.endswith("the steps before it have left 0.04 % of triethylamine") and len(reason.facts) == 1


def test_the_acid_of_a_quench_at_its_limit() -> None:
    """Water below pH 6 may have been used up by what it quenched, so the acid wash for a base stays."""
    others = "triethylamine; 2 mmol", "phenol; 2 mmol"
    chosen = (f.Chosen(solution="hcl_1m", component="c1", contacts=1),)
    for key, kept in (("phosphate_ph6", False), ("citrate_ph5", True)):
        quench = step("quench", solution=key, for_components=("c1",))
        assert ("hcl_1m" in needed(quench, wash("hcl_1m", number=2), others=others, facts=chosen)) is kept


def test_a_grown_layer_asks_for_more_water() -> None:
    mixture = flask(ESTER)
    job, one = trial.Job(mixture), sheet(mixture, 1)

    def made(volume_ml: float, first: int, action: str = "wash") -> tuple[float, PlanStep | None]:
        again_ = Step("extract again", solvent="dichloromethane", volume_ml=40.0, repeats=2)
        last = step(action, solution="brine", volume_ml=volume_ml, repeats=2, number=first + 2)
        plan_ = [
            (wash("water", number=first), Step("wash", solution="water", volume_ml=15.0)),
            (None, again_),
            (last, Step(action, solution="brine", volume_ml=volume_ml, repeats=2)),
        ]
        found, done = again._with_enough_water(job, plan_, one, first)[-1]
        return done.volume_ml, found

    assert made(5.0, 1)[0] == made(5.0, 4)[0] == 25.0
    found = made(5.0, 4)[1]
    assert found is not None and (found.volume_ml, found.exact_ml) == (25.0, 25.0)
    assert found.instruction == "Wash with 2 × 25 mL of brine (saturated sodium chloride)"
    assert made(16.0, 1)[0] == 16.0


def test_what_carries_exactly_at_its_limits() -> None:
    assert again.may_carry(0.02, 0.2) and not again.may_carry(0.0199, 0.2) and not again.may_carry(0.02, 0.199)


def test_only_what_is_no_product_can_spoil() -> None:
    """Of several wanted compounds none is a leftover: what comes back of them is no matter."""
    mixture = flask(ESTER, "butanol; 5 mmol; product")
    job = trial.Job(mixture)

    def account(left: float) -> Any:
        return SimpleNamespace(left=lambda c: np.array([left]))

    assert not again._spoilt(job, account(0.0), account(0.5))
    other = trial.Job(flask(ESTER, "butanol; 5 mmol"))
    target = other.mixture.target
    assert again._spoilt(other, account(0.0), account(0.5)) and again._spoilt(other, account(target), account(0.5))
    assert not again._spoilt(other, account(0.0), account(target))


def test_nothing_is_won_back_where_the_water_holds_little() -> None:
    """A twentieth of the product in its water is the least that is looked at."""
    made = plan(ESTER, "triethylamine; 12 mmol")
    assert not [k for k in made.known.values() if isinstance(k.fact, f.InWater)]
    assert again.WORTH_LOOKING == 0.05 and again.PORTIONS == 2


# ---- water extracted again


def won(
    *steps: PlanStep, product: str = "CCCCO", others: tuple[str, ...] = (), first: int = 1, solvents: tuple = ()
) -> tuple[list[str], dict[int, Any]]:
    """Return the actions of a plan once its waters have been looked at, and what was found in them, by step."""
    mixture = flask(product, *others, solvents=solvents or (("diethyl ether", 60.0),))
    ke, _ = thinking(product=product)
    ke.job = trial.Job(mixture)
    for fact in (f.Pot(**(dict.fromkeys(f.Pot.slots, 0.0) | {"ph": 7.0})),):
        ke.observe(fact, "given")
    made, book = again.extract_again(ke, ke.job, table(arrange.Solvent)["diethyl_ether"], steps, 16, first)
    assert [s.number for s in made] == [*range(first, first + len(made))] and len(book.after) == len(made)
    found = {fact["step"]: fact for _, fact in ke.facts_of(f.InWater)}
    return [f"{s.action} {s.volume_ml or 0:g}x{s.repeats}" for s in made], found


def test_water_with_a_twentieth_of_the_product_is_looked_at() -> None:
    """Of butanol a large portion of water takes a quarter, a small one a twenty-fifth; ether brings most of it back."""
    large, found = won(wash("water", 60.0, 1, c=()))
    assert large == ["wash 60x1", "extract again 30x2"] and found[1]["share"] > 0.1
    assert 0.5 * found[1]["share"] < found[1]["back"] <= found[1]["share"] and not found[1]["carried"]
    small, found = won(wash("water", 3.0, 1, c=()))
    assert small == ["wash 3x1"] and not found
    # the waters of all portions of a step count together
    twice, found = won(wash("water", 12.0, 4, c=()))
    assert twice == ["wash 12x4", "extract again 30x2"] and found[1]["share"] > 0.1


def test_only_water_that_is_set_aside_is_extracted_again_and_once_for_each_step() -> None:
    two, found = won(wash("water", 60.0, 1, c=()), wash("brine", 40.0, 1, c=(), number=2), first=1)
    assert two[:3] == ["wash 60x1", "extract again 30x2", "wash 40x1"] and set(found) <= {1, 2}
    later, found = won(wash("water", 60.0, 1, c=(), number=5), first=5)
    assert later == ["wash 60x1", "extract again 30x2"] and list(found) == [5]
    part, found = won(step("part", solution="water", solvent="diethyl_ether", volume_ml=60.0))
    assert part[0] == "part 60x1" and list(found) == [1]
    # a product that stays in the ether leaves nothing to win
    greasy, found = won(wash("water", 60.0, 1, c=()), product="CCCCCCCCO")
    assert greasy == ["wash 60x1"] and not found


def test_what_comes_back_along_is_washed_out_once_more() -> None:
    """Ethylene glycol that water had taken comes back with the butanol, over its target: one more portion after it."""
    made, found = won(wash("water", 60.0, 3), others=("CC(C)(O)CO; 1 mmol",))
    assert made[:2] == ["wash 60x3", "extract again 30x2"] and found[1]["back"] > 0.03
    assert made[2:] in ([], ["wash 60x1"])


def test_acid_of_a_swap_meets_what_is_left_of_a_poison() -> None:
    def meets(
        there: float, *, solution: str = "hcl_1m", residue: str = "azide_ion", known: bool = True, first: bool = False
    ) -> bool:
        facts = [leftover(residue), *([f.FirstOut(component="c1", gas="hydrogen azide")] if known else [])]
        ke, job = thinking(*facts, others=("sodium azide; 5 mmol",))
        steps = [wash("naoh_1m"), step("take up", solution=solution)][first:]
        book: Any = SimpleNamespace(
            after=["after the wash", "after the swap"],
            fraction=lambda c, mmol: np.array([there if mmol == "after the wash" else 0.0]),
        )
        return again.acid_meets_poison(ke, job, steps, book)

    assert meets(0.011) and not meets(0.01)  # the target is one part in a hundred
    assert not meets(0.5, solution="naoh_1m") and not meets(0.5, residue="copper") and not meets(0.5, known=False)
    assert not meets(0.5, first=True)  # nothing has come before it
