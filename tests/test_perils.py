"""What of a workup can hurt someone, at its limits: steps, words and amounts by hand, and what is observed of them."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from carried_out import Observed, carried_out, contact, step

from washlore.knowledge.rows import Residue, Solution, table
from washlore.rules import facts as f
from washlore.rules import perils
from washlore.rules.judging import facts as j
from washlore.rules.judging.mixing import OUTCOMES
from washlore.rules.meeting import ACID_PH, PAIRS, in_bottle, meeting
from washlore.rules.perils import observe_perils

# ---- strong acid and base


def strong(*steps: dict[str, Any], **more: Any) -> list[dict[str, Any]]:
    seen = Observed()
    perils._observe_strong(carried_out(*steps, **more), seen)
    return seen.of(j.Strong)


def pour(words: str = "pour in the acid", action: str = "quench", **more: Any) -> dict[str, Any]:
    return step(action, words, **{"solution": "hcl_6m", "strength": "conc", "volume_ml": 20.0, **more})


@pytest.mark.parametrize(
    ("strength", "is_strong"),
    [
        ("concentrated", True),
        ("conc. HCl", True),
        ("conc'd", True),
        ("fuming", True),
        ("30 %", True),
        ("29.9 %", False),
        ("9 M", True),
        ("8.9 M", False),
        ("12 N", True),
        ("10 M", True),
        ("10 %", False),
        ("6 M", False),
        ("", False),
        ("2 M, then 37 %", True),
    ],
)
def test_from_where_a_solution_is_concentrated(strength: str, is_strong: bool) -> None:
    """Thirty per cent, or 9 mol/L."""
    assert bool(strong(pour(strength=strength))) is is_strong


def test_what_is_poured_in_strong_and_what_it_does() -> None:
    assert strong(pour()) == [
        {"step": 1, "words": "concentrated hydrochloric acid", "acid": True, "onto": "", "grave": False}
    ]
    (oil,) = strong(pour(solution="h2so4_1m"))
    assert oil["words"] == "concentrated sulfuric acid" and oil["grave"] and oil["acid"]
    (lye,) = strong(pour(solution="naoh_15pct"))
    assert lye["words"] == "concentrated sodium hydroxide" and not lye["acid"] and not lye["grave"]
    assert not strong(pour(solution="citric_10")) and not strong(pour(solution=""))


@pytest.mark.parametrize("action", ["quench", "dilute", "wash", "take up", "set ph", "extract"])
def test_a_ph_is_set_in_drops_by_its_nature(action: str) -> None:
    assert bool(strong(pour(action=action))) is (action not in ("set ph", "extract"))
    both = strong(pour(action=action), step("stir", "x" * 70), pour())
    assert [x["step"] for x in both][-1] == 3  # what comes later is looked at all the same


def test_a_little_of_it_and_what_is_added_with_care() -> None:
    assert not strong(pour(volume_ml=5.0)) and strong(pour(volume_ml=5.5)) and strong(pour(volume_ml=None))
    for care in ("dropwise", "slowly", "in portions", "onto ice", "carefully", "at 0 °C", "at -10 °C", "with cooling"):
        assert not strong(pour(f"pour in the acid {care}")), care
    assert not strong(pour(assumed=("with ice, as is usual",))) and strong(pour(assumed=("no volume",)))
    # care within sixty characters counts, further away it is said of something else
    near, far = "x" * 40, "x" * 70
    assert not strong(step("cool", f"cool in an ice bath {near}"), pour("pour in acid"))
    assert strong(step("cool", f"cool in an ice bath {far}"), pour("pour in acid"))
    assert strong(pour("pour in acid"), step("stir", f"{far} slowly"))
    assert not strong(pour("pour in acid"), step("stir", f"{near} slowly"))


def test_ice_water_right_before_or_after_takes_the_heat() -> None:
    ice, other = step("dilute", "into it", solution="ice_water"), step("wash", "wash it")
    assert not strong(ice, pour()) and not strong(pour(), ice)
    assert strong(ice, other, pour()) and strong(pour(), other, ice) and strong(other, pour())


def test_strong_acid_onto_what_reacts_with_it() -> None:
    hydride = {"residue": "borohydride", "action": "quench", "kind": "hydride"}

    def onto(share: float, **more: Any) -> str:
        (found,) = strong(pour(), there={"c1": [share]}, leftovers={"c1": {**hydride, **more}})
        return found["onto"]

    assert onto(1.0) == onto(0.02) == "c1" and onto(0.01) == "" and onto(1.0, action="filter") == ""


# ---- haste


def haste(words: str, share: float = 1.0, **more: Any) -> list[str]:
    seen = Observed()
    steps = (step("quench", "add water", solution="water", **more), step("stir", words))
    perils._observe_haste(carried_out(*steps, there={"c1": [share]}), seen, "c1", "organolithium", "organometallic")
    return [f["words"] for f in seen.of(j.Hasty)]


def test_words_of_haste() -> None:
    def quench(words: str, **more: Any) -> list[str]:
        seen = Observed()
        made = carried_out(step("quench", words, **more), there={"c1": [1.0]})
        perils._observe_haste(made, seen, "c1", "organolithium", "organometallic")
        return [f["words"] for f in seen.of(j.Hasty)]

    for words in ("all at once", "in one portion", "quickly", "rapidly", "dumped", "in one go"):
        assert quench(f"add water {words}") == [words]
    assert not quench("add water in drops") and not quench("breakfast was had while water was added")
    assert quench("add water quickly", did="dilute") and not quench("add water quickly", did="wash")


def test_haste_is_that_of_the_sentence_of_the_quench() -> None:
    """A step may be read from part of its sentence: what stands behind it up to the next stop belongs to it."""
    job = carried_out(step("quench", "add water"), there={"c1": [1.0]})

    def told(text: str) -> bool:
        job.proposal.text = text
        seen = Observed()
        perils._observe_haste(job, seen, "c1", "organolithium", "organometallic")
        return bool(seen.of(j.Hasty))

    assert told("add water, and all at once, then stir.") and not told("add water. All at once it is dark.")
    assert not told("add water; quickly filter") and not told("add water | quickly")
    assert not told("add water" + " " * 40 + "quickly.") and not told("add water")
    assert not told("quickly: add water.".replace("quickly: ", "", 1))


def test_only_the_first_quench_of_what_is_still_there_counts() -> None:
    assert not haste("quickly filter it") and not haste("", share=0.01)
    seen = Observed()
    two = (step("quench", "add water slowly"), step("quench", "add acid quickly"))
    perils._observe_haste(carried_out(*two, there={"c1": [1.0]}), seen, "c1", "organolithium", "organometallic")
    assert not seen.facts
    gone = carried_out(step("quench", "add water quickly"), there={"c1": [0.019]})
    perils._observe_haste(gone, seen, "c1", "organolithium", "organometallic")
    assert not seen.facts
    left = carried_out(step("quench", "add water quickly"), there={"c1": [0.02]})
    perils._observe_haste(left, seen, "c1", "organolithium", "organometallic")
    assert seen.of(j.Hasty)[0]["step"] == 1


# ---- acid on what gives a poison


@pytest.mark.parametrize(
    ("did", "solution", "ph", "met"),
    [
        ("set ph", "", 2.5, 2.5),
        ("wash", "hcl_1m", 7.0, 0.1),
        ("quench", "citric_10", 7.0, 1.7),
        ("take up", "phosphate_ph6", 7.0, 6.0),
        ("wash", "naoh_1m", 7.0, 7.0),
        ("wash", "nahso3_sat", 7.0, 7.0),
        ("dilute", "hcl_1m", 7.0, 7.0),
        ("extract", "hcl_1m", 7.0, 7.0),
        ("wash", "", 7.0, 7.0),
        ("dry", "", 7.0, 7.0),
    ],
)
def test_the_ph_at_which_things_meet(did: str, solution: str, ph: float, met: float) -> None:
    job = carried_out(step("stir", did=did, solution=solution, ph=ph))
    assert perils._met_ph(job, job.bench.acts[0]) == met


AZIDE = {"residue": "azide_ion", "action": "wash", "kind": "azide source"}


def met(
    *steps: dict[str, Any], share: Any = 1.0, mmol: float = 10.0, charge: int = 0, **leftover: str
) -> list[dict[str, Any]]:
    seen = Observed()
    there = {"c1": share if isinstance(share, list) else [share]}
    job = carried_out(*steps, there=there, mmol={"c1": mmol}, leftovers={"c1": {**AZIDE, **leftover}})
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(perils, "_groups_of", lambda molecule: frozenset())
        patch.setattr(perils, "permanent_charge", lambda molecule: charge)
        observe_perils(job, seen)
    return seen.of(j.Meets)


def test_acid_meets_azide_while_it_is_there() -> None:
    acid = step("wash", solution="hcl_1m", contacts=1)
    assert met(acid) == [
        {"step": 1, "component": "c1", "residue": "azide_ion", "solution": "hcl_1m", "share": 1.0, "ph": 0.1}
    ]
    assert met(acid, share=0.02) and not met(acid, share=0.019)
    assert met(acid, share=0.5, mmol=0.1) and not met(acid, share=0.5, mmol=0.09)
    # of what was in another layer, what comes back meets it
    assert [m["step"] for m in met(step("extract", contacts=1), acid, share=[0.0, 1.0])] == [2]
    # the first meeting is told, and what the carbonate took is gone
    assert [m["step"] for m in met(step("wash", solution="water", contacts=1), acid, acid)] == [2]
    assert not met(step("wash", solution="na2co3_10", contacts=1), acid, share=[1.0, 0.001])


def test_from_which_ph_on_acid_matters_without_a_bottle() -> None:
    assert met(step("set ph", ph=5.9))[0] | {"solution": ""} == met(step("set ph", ph=5.9))[0]
    assert met(step("set ph", ph=5.9))[0]["ph"] == 5.9 and not met(step("set ph", ph=6.0))
    assert met(step("set ph", ph=5.94))[0]["ph"] == 5.9


def test_a_solution_that_a_leftover_must_never_meet() -> None:
    copper = step("wash", solution="cuso4_sat", contacts=1)
    assert met(copper)[0]["solution"] == "cuso4_sat" and met(copper)[0]["ph"] == 3.6
    assert not met(copper, residue="borohydride")
    bleach = step("wash", solution="bleach_5", contacts=1)
    assert met(bleach)[0]["ph"] == 11.9
    # a buffer of pH 8 holds cyanide only in part; of that the account says nothing
    assert not met(step("wash", solution="phosphate_ph8", contacts=1), residue="cyanide")
    assert not met(step("quench", solution="bleach_5", contacts=1))


def test_a_trace_of_fluoride_in_much_water_is_harmless() -> None:
    """0.05 mol/L of hydrogen fluoride is the limit: 1 mmol in 20 mL is just that much."""
    from washlore.knowledge.rows import Residue, table

    fluoride = next(r.id for r in table(Residue).values() if r.acid_frees == "HF")

    def acid(water_ml: float) -> list[dict[str, Any]]:
        wash = step("wash", solution="hcl_1m", contacts=[contact(aqueous_ml=water_ml)])
        return met(wash, mmol=1.0, residue=fluoride)

    assert acid(20.0) and acid(19.0) and not acid(21.0)
    washes = [step("wash", solution="hcl_1m", contacts=[contact(aqueous_ml=ml)]) for ml in (21.0, 19.0)]
    assert [m["step"] for m in met(*washes, mmol=1.0, residue=fluoride)] == [2]
    # of a greasy onium salt the fluoride stays in the first water, and the onium goes on with another anion
    acids = [step("wash", solution=s, contacts=1) for s in ("water", "hcl_1m")]
    assert [m["step"] for m in met(*acids, residue=fluoride)] == [2] and not met(*acids, residue=fluoride, charge=1)
    assert met(*acids[1:], residue=fluoride, charge=1) and met(*acids, charge=1)
    assert met(step("quench", solution="water", contacts=1), acids[1], residue=fluoride, charge=1)


# ---- what must be quenched, filtered off, or destroyed before the end

HYDRIDE = {"residue": "borohydride", "action": "quench", "kind": "hydride"}


def observed(*steps: dict[str, Any], share: Any = 1.0, mmol: float = 10.0, **more: Any) -> Observed:
    seen = Observed()
    leftover = {**HYDRIDE, **{k: more.pop(k) for k in ("residue", "action", "kind") if k in more}}
    there = {"c1": share if isinstance(share, list) else [share]}
    job = carried_out(*steps, there=there, mmol={"c1": mmol}, leftovers={"c1": leftover}, **more)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(perils, "_groups_of", lambda molecule: frozenset())
        observe_perils(job, seen)
    return seen


def test_a_quench_comes_before_the_first_water() -> None:
    wash = step("wash", solution="nahco3_sat", contacts=1)
    quench = step("quench", solution="water")
    assert observed(wash).of(j.Unquenched) == [
        {"step": 1, "component": "c1", "residue": "borohydride", "kind": "hydride", "share": 1.0, "later": 0}
    ]
    assert observed(wash, quench).of(j.Unquenched)[0]["later"] == 2
    assert not observed(quench, wash).of(j.Unquenched)
    assert not observed(wash, solvents=["water"]).of(j.Unquenched)
    assert observed(wash, solvents=["methanol"]).of(j.Unquenched)
    assert observed(wash, share=0.02).of(j.Unquenched) and not observed(wash, share=0.01).of(j.Unquenched)
    assert observed(wash, mmol=0.05).of(j.Unquenched) and not observed(wash, mmol=0.04).of(j.Unquenched)
    # cleared by an earlier step, or bound in this one
    assert not observed(step("filter", cleared=("c1",)), wash).of(j.Unquenched)
    assert not observed(step("wash", solution="kf_10", contacts=1, cleared=("c1",))).of(j.Unquenched)
    assert not observed(wash, action="wash").of(j.Unquenched)
    # where the water is added in the flask it is a quench by itself
    assert not observed(step("dilute", solution="water", contacts=1)).of(j.Unquenched)
    assert not observed(step("extract", "take it into ether", did="wash", contacts=1)).of(j.Unquenched)


def test_words_put_the_water_into_the_funnel() -> None:
    def told(action: str, words: str) -> bool:
        return bool(observed(step(action, words, solution="water", contacts=1)).of(j.Unquenched))

    assert told("dilute", "put in a separating funnel with water") and told("dilute", "add water and shake? shaken")
    assert not told("dilute", "add water and stir")
    assert told("quench", "transfer to a funnel with water") and not told("quench", "add water, then shaken")
    assert not told("wait", "put in a separating funnel with water")


def test_solids_are_filtered_off_before_the_funnel() -> None:
    solid = {"residue": "palladium_carbon", "action": "filter", "kind": "metal"}
    wash, off = step("wash", solution="hcl_1m", contacts=1), step("filter")

    def told(*steps: dict[str, Any]) -> list[int]:
        return [s["step"] for s in observed(*steps, **solid).of(j.Solid)]

    assert told(wash) == [1] and told(off, wash) == [] and told(wash, off) == [1] and told(off) == []
    # what was quenched in the flask is filtered off before anything is parted
    quench = step("quench", solution="water", contacts=1)
    assert told(quench, off, wash) == [] and told(quench, wash, off) == [2] and told(quench) == [1]
    assert not observed(wash).of(j.Solid)


def test_a_peroxide_is_gone_before_the_solvent_is() -> None:
    end, wash = step("concentrate"), step("wash", solution="brine", contacts=1)
    peracid = {"residue": "mcpba", "action": "quench", "kind": "oxidant"}

    def told(*steps: dict[str, Any], share: Any = 1.0, mmol: float = 10.0, **more: str) -> list[tuple[int, float]]:
        seen = observed(*steps, share=share, mmol=mmol, **{**peracid, **more})
        return [(s["step"], s["share"]) for s in seen.of(j.Concentrates)]

    assert told(wash, end) == [(2, 1.0)] and told(wash) == []
    assert told(wash, step("evaporate"), step("stir"), end) == [(4, 1.0)] and told(wash, step("evaporate")) == [
        (2, 1.0)
    ]
    assert told(wash, end, share=[1.0, 0.75]) == told(wash, end, share=[1.0, 0.75, 0.0]) == [(2, 0.75)]
    assert not told(wash, end, share=[1.0, 0.5]) and not told(wash, end, share=[1.0, 0.3])
    # twice what counts as there at all
    assert told(wash, end, mmol=0.11) and not told(wash, end, mmol=0.1)
    assert not told(wash, end, residue="bromine")


def test_what_nothing_destroys_is_not_stripped_with_the_solvent() -> None:
    end, wash = step("concentrate"), step("wash", solution="brine", contacts=1)

    def told(*steps: dict[str, Any], residue: str, **more: Any) -> list[tuple[int, float]]:
        seen = observed(*steps, residue=residue, kind="alkylating agent", **more)
        return [(s["step"], s["share"]) for s in seen.of(j.Concentrates)]

    for residue in sorted(perils.DEADLY):
        assert told(wash, end, residue=residue, share=[1.0, 0.5]) == [(2, 0.5)]
        assert not told(step("quench", solution="ammonia_10"), wash, end, residue=residue)
        assert told(wash, end, residue=residue, mmol=0.06) and not told(wash, end, residue=residue, mmol=0.05)
    assert not told(wash, end, residue="bromine")


def test_chromium_and_its_like_are_reduced_before_any_water_is_parted() -> None:
    def told(*steps: dict[str, Any], residue: str = "chromium_vi", **more: Any) -> list[int]:
        return [x["step"] for x in observed(*steps, residue=residue, kind="oxidant", **more).of(j.Unreduced)]

    wash, brine = step("wash", solution="water", contacts=1), step("wash", solution="brine", contacts=1)
    poured = step("quench", solution="water", contacts=1)
    ends = step("quench", solution="nahso3_sat", contacts=1, cleared=("c1",))
    for residue in sorted(perils.REDUCED_FIRST):
        assert told(wash, brine, residue=residue) == [1]
    assert told(wash, residue="bromine") == [] and told(wash, share=0.01) == [] and told(step("filter")) == []
    # what is poured in stays in the flask until it is reduced there; the reductant itself is no fault
    assert (
        told(ends) == told(poured, ends) == told(poured, step("vent"), ends) == told(ends, wash, share=[1.0, 0.0]) == []
    )
    for pours in ("dilute", "set ph"):
        assert told(step(pours, solution="water", contacts=1), ends) == []
    assert told(poured, wash, ends) == [1] and told(poured) == [1] and told(wash, ends) == [1]


def test_acetic_acid_that_a_quench_pours_in_is_acid() -> None:
    acid = step("quench", solvent="acetic_acid")
    (found,) = met(acid)
    assert (found["step"], found["ph"], found["solution"]) == (1, perils.ACETIC_PH, "")
    assert met(step("dilute", solvent="acetic_acid")) and not met(step("wash", solvent="acetic_acid", contacts=1))
    assert not met(step("quench", solvent="methanol"))


def test_what_is_there_is_told_by_the_best_estimate() -> None:
    job = carried_out(step("quench", "add water quickly", solution="water"), there={"c1": [1.0]})
    job.history[0][0][1] = [0.5, 0.0, 0.0, 0.0, 0.0]
    assert perils._share_before(job, "c1", job.bench.acts[0]) == 0.5


def test_hydroxide_takes_tert_butyl_hydroperoxide() -> None:
    def told(solution: str, residue: str, **more: Any) -> bool:
        wash = step("wash", **{"solution": solution, "contacts": 1, **more})
        return bool(observed(wash, step("concentrate"), residue=residue, kind="oxidant").of(j.Concentrates))

    assert told("brine", "hydroperoxide_tbhp") and told("na2co3_10", "hydroperoxide_tbhp")
    assert not told("naoh_1m", "hydroperoxide_tbhp") and told("naoh_1m", "dialkyl_peroxide")
    assert told("naoh_1m", "hydroperoxide_tbhp", contacts=0) and told("naoh_1m", "hydroperoxide_tbhp", did="quench")


# ---- what is brought together


def together(*steps: dict[str, Any], **more: Any) -> list[tuple[int, str, str, str, bool]]:
    """Return (step, component, other, outcome, brought); a component ``c1`` is what ``groups`` says."""
    found = more.pop("groups", {})
    there = {c: [1.0] for c in found} | more.pop("there", {})
    seen = Observed()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(perils, "_groups_of", lambda molecule: frozenset(found.get(molecule, ())))
        perils._observe_together(carried_out(*steps, there=there, **more), seen)
    return [tuple(f.values()) for f in seen.of(j.Together)] + [
        (f["step"], "follows", f["earlier"], f["outcome"]) for f in seen.of(j.Follows)
    ]


def wash(solution: str, **more: Any) -> dict[str, Any]:
    return step("wash", solution=solution, contacts=1, **more)


AMINE, CYANIDE, IODINE = ("primary_amine",), ("cyanide",), ("iodine",)


def test_bleach_meets_an_amine_that_is_still_there() -> None:
    groups = {"c1": AMINE}
    bleach = "5 % sodium hypochlorite (bleach)"
    ((number, component, other, outcome, brought),) = together(wash("bleach_5"), groups=groups)
    assert (number, component, outcome, brought) == (1, "c1", "chloramines", True) and "hypochlorite" in other, bleach
    gone = {"c1": [1.0, 0.01]}
    assert not together(wash("hcl_1m"), wash("bleach_5"), groups=groups, there=gone)
    few = {"there": {"c1": [1.0, 0.02]}, "groups": groups}
    assert together(wash("brine"), wash("bleach_5"), **few) and not together(
        wash("brine"), wash("bleach_5"), **few, mmol={"c1": 2.0}
    )
    # without water nothing meets
    assert not together(step("filter", solution="bleach_5"), groups=groups)


def test_what_stands_in_one_flask_is_parted_by_carbonate_or_a_reductant() -> None:
    groups = {"c1": CYANIDE, "c2": IODINE}
    assert together(wash("brine"), groups=groups) == [(1, "c1", "compound c2", "cyanogen halide", False)]
    assert not together(wash("na2co3_10"), groups=groups) and not together(wash("na2so3_10"), groups=groups)
    # told of the first water only
    assert not together(wash("na2co3_10"), wash("brine"), groups=groups)
    assert together(step("filter"), wash("brine"), groups=groups)[0][0] == 2
    assert not together(wash("brine"), groups={"c1": AMINE, "c2": ("hypochlorite",)})


def test_a_solution_that_was_not_used_is_still_what_the_words_say() -> None:
    def acts(used: str, read: str) -> str:
        return perils._acts_as(SimpleNamespace(solution=used, read=SimpleNamespace(solution=read)))  # type: ignore[arg-type]

    assert acts("", "na2so3_10") == acts("na2so3_10", "") == acts("na2so3_10", "brine") == "reductant"
    assert acts("", "") == ""


def test_base_sets_ammonia_free_beside_silver() -> None:
    """Fulminating silver (Bretherick)."""

    def told(ph: float, *, smiles: str = "[NH4+]", **more: Any) -> list[tuple[str, str, str]]:
        made = step("wash", solution="naoh_1m", contacts=1, ph=ph, **more)
        job = carried_out(made, there={"c1": [1.0], "c2": [1.0]}, leftovers={"c1": {"residue": "silver_salt"}})
        job.mixture.component("c2").parts = (SimpleNamespace(smiles=smiles),)
        seen = Observed()
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(perils, "_groups_of", lambda molecule: frozenset())
            perils._observe_together(job, seen)
        return [(x["component"], x["other"], x["outcome"]) for x in seen.of(j.Together)]

    assert told(13.8) == told(10.1, smiles="N") == [("c1", "ammonia set free", "fulminating silver")]
    assert not told(10.0) and not told(13.8, smiles="[Na+]") and not told(13.8, did="extract")


def test_azide_and_the_chloromethane_that_extracts_it() -> None:
    groups = {"c1": ("azide_ion",)}
    for action in ("extract", "dilute"):
        ((number, component, other, outcome, _),) = together(
            step(action, solvent="chloroform", contacts=1), groups=groups
        )
        assert (number, component, other, outcome) == (1, "c1", "chloroform", "azidomethane")
    assert not together(step("extract", solvent="toluene", contacts=1), groups=groups)
    assert not together(step("rinse", solvent="chloroform", contacts=1), groups=groups)


def test_solutions_that_go_into_one_pot() -> None:
    bleach, acid = step("quench", solution="bleach_5"), step("set ph", solution="hcl_1m")
    ((number, component, other, outcome, brought),) = together(bleach, acid)
    assert (number, component, outcome, brought) == (2, "", "chlorine", True) and "hypochlorite" in other
    assert together(bleach, step("stir"), acid) and not together(bleach, step("discard"), acid)
    assert not together(bleach, wash("brine"), acid) and not together(acid)
    assert not together(bleach, step("quench", solution="na2so3_10"), acid)
    assert not together(bleach, step("set ph", solution="hcl_1m", target_ph=9.0))
    assert together(bleach, step("set ph", solution="hcl_1m", target_ph=4.0))
    assert together(step("quench", solution="na2so3_10"), bleach, acid)


def test_a_wash_right_after_bleach() -> None:
    follows = (2, "follows", 1, "chlorine")
    assert together(wash("bleach_5"), wash("hcl_1m")) == [follows]
    assert not together(wash("bleach_5"), wash("na2so3_10"), wash("hcl_1m"))
    assert not together(wash("bleach_5"), wash("brine"), wash("hcl_1m"))
    assert not together(wash("hcl_1m"), wash("bleach_5"))
    assert not together(wash("bleach_5"), step("quench", solution="hcl_1m", contacts=1))


def test_ammonium_sulfate_gives_chloramines_with_bleach_as_any_ammonium_salt_does() -> None:
    assert together(wash("bleach_5"), wash("nh42so4_sat")) == [(2, "follows", 1, "chloramines")]
    assert together(wash("bleach_5"), wash("nh4cl_sat"))[0][3] == "chloramines"
    for salt in ("nh42so4_sat", "nh4cl_sat", "nh4cl_nh3", "ammonia_10"):
        assert "ammonia" in in_bottle(salt)


def test_acetone_and_bleach() -> None:
    job = carried_out(wash("bleach_5"), there={"c1": [1.0]})
    for name, expected in (("Acetone", {"acetone"}), ("propan-2-one", {"acetone"}), ("butanone", set())):
        job.plan.mixture.components[1].name = name
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(perils, "_groups_of", lambda molecule: frozenset())
            assert dict(perils._things_there(job, job.bench.acts[0]))["c1"] == expected


def test_every_pair_is_found_from_both_sides_and_has_words() -> None:
    for pair in PAIRS:
        for one in pair.one:
            for other in pair.other:
                first = frozenset({one}), frozenset({other})
                assert meeting(*first) and meeting(*first) == meeting(*first[::-1])
        assert pair.outcome in OUTCOMES
    assert not meeting(frozenset({"iodine"}), frozenset({"bromine"})) and not meeting(frozenset(), frozenset({"acid"}))
    assert in_bottle("no such bottle") == frozenset()
    assert in_bottle("phosphate_ph6") == frozenset() and in_bottle("nh4cl_sat") == {"acid", "ammonia"}
    assert in_bottle("hcl_1m") == {"acid", "strong acid", "hydrochloric acid"}
    assert in_bottle("nh3_conc") == {"ammonia", "free ammonia"} and in_bottle("na2s2o3_sat") == {"thiosulfate"}
    assert (
        in_bottle("acetic_5") >= {"acid", "strong acid"}
        and in_bottle("kh2po4_1m") == {"acid"}
        and in_bottle("tris_ph8") == {"tris"}
    )
    assert in_bottle("bleach_5") == {"hypochlorite"}
    acids = [row for row in table(Solution).values() if row.acts_as == "acid"]
    assert all(row.ph < ACID_PH and "acid" in in_bottle(row.id) for row in acids)


# ---- metals that fall as a gel


def gels(
    *steps: dict[str, Any], residue: str = "aluminium_halide", there: float = 1.0, ours: tuple[Any, ...] = ()
) -> list[tuple[Any, ...]]:
    seen = Observed()
    job = carried_out(*steps, there={"c1": [there]}, leftovers={"c1": {"residue": residue}})
    job.plan.steps = ours
    perils._observe_gels(job, seen)
    return [tuple(x[s] for s in j.Gels.slots) for x in seen.of(j.Gels)]


def test_base_or_water_that_comes_first_to_a_metal() -> None:
    base = step("wash", solution="nahco3_sat", contacts=1)
    acid = step("wash", solution="hcl_1m", contacts=1)
    residues = sorted(perils.GELS_WITH_BASE)
    for residue in residues:
        assert gels(base, residue=residue) == [(1, "c1", "nahco3_sat", 1.0)]
        assert not gels(acid, base, residue=residue)  # acid holds it in the water
        assert bool(gels(step("quench", solution="water"), residue=residue)) is (residue == "titanium_alkoxide")
    assert not gels(base, residue="copper") and not gels(residue=residues[0])
    # what is poured into the flask counts before any funnel; what meets no water does not
    assert gels(step("quench", solution="nahco3_sat"), acid, residue=residues[0])
    assert gels(step("filter", solution="hcl_1m"), base, residue=residues[0])[0][0] == 2
    assert not gels(step("quench"), base, residue=residues[0])  # of what it is quenched with nothing is known
    assert not gels(base, residue=residues[0], there=0.0)
    # each leftover by itself
    seen = Observed()
    both = {"c1": {"residue": "copper"}, "c2": {"residue": residues[0]}}
    job = carried_out(base, there={"c1": [1.0], "c2": [1.0]}, leftovers=both)
    job.plan.steps = ()
    perils._observe_gels(job, seen)
    assert [x["component"] for x in seen.of(j.Gels)] == ["c2"]
    # where acid would set a poison free our own plan does the same
    same = SimpleNamespace(solution="nahco3_sat", action="quench", for_components=("c1",))
    assert not gels(base, residue=residues[0], ours=(same,))
    for other in ({"solution": "water"}, {"action": "wash"}, {"for_components": ("c2",)}):
        assert gels(base, residue=residues[0], ours=(SimpleNamespace(**{**vars(same), **other}),))


def test_a_nitronate_is_not_stripped_to_dryness() -> None:
    def dries(*steps: dict[str, Any], site: str = "nitroalkane", harsh: str = "a strong base") -> list[tuple[int, str]]:
        seen = Observed()
        job = carried_out(*steps)
        job.bench.known = {f.Ionises: [{"component": "c1", "site_class": site}], f.Harsh: [{"kind": harsh}]}
        perils._observe_nitronate(job, seen)
        return [(x["step"], x["component"]) for x in seen.of(j.DriesNitronate)]

    strip, wet = step("evaporate"), step("wash", contacts=1)
    assert dries(strip) == [(1, "c1")] and dries(step("filter"), step("concentrate"), strip) == [(2, "c1")]
    assert not dries(wet, strip) and not dries(step("quench"), strip) and not dries(step("filter"))
    assert not dries(strip, site="phenol") and not dries(strip, harsh="nitric acid")


# ---- what goes into what


def test_what_is_poured_into_water_and_what_wants_an_alcohol_first() -> None:
    rows = table(Residue).values()
    into = {row.id for row in rows if row.goes_into_water}
    assert {
        "sulfuric_acid_conc",
        "phosphorus_oxychloride",
        "aluminium_chloride",
        "thionyl_chloride",
        "vilsmeier",
    } <= into
    assert not into & {"grignard", "sodium_hydride", "silyl_chloride", "trifluoroacetic_anhydride", "ghosez"}
    assert {row.id for row in rows if row.wants_alcohol_first} == {"alkali_metal"}


def order(*steps: dict[str, Any], residue: str = "sulfuric_acid_conc", **more: Any) -> list[dict[str, Any]]:
    seen = Observed()
    job = carried_out(*steps, there={"c1": [1.0]}, leftovers={"c1": {"residue": residue}}, **more)
    job.bench.said_of = lambda act: act.read.words
    perils._observe_order(job, seen, "c1", table(Residue)[residue])
    return seen.of(j.Reversed)


def into_flask(words: str = "Add 30 mL of water", solution: str = "water", did: str = "dilute") -> dict[str, Any]:
    return step(did, words, solution=solution)


def test_water_that_goes_into_the_reagent() -> None:
    assert order(into_flask()) == [
        {"step": 1, "component": "c1", "residue": "sulfuric_acid_conc", "molar": 0.0, "alcohol": False}
    ]
    assert order(into_flask("was basified with NaHCO3", "nahco3_sat", "set ph"))
    assert not order(into_flask("poured into water", did="quench"))
    assert not order(into_flask("quenched with water", did="quench"))  # which into which is not said
    assert not order(into_flask("Water was added dropwise at 0 °C")) and not order(into_flask("add", solution=""))
    assert not order(into_flask(), residue="grignard")
    # in a solvent from half a mole in a litre on
    assert order(into_flask(), solvents=["dichloromethane"], mmol={"c1": 20.0})[0]["molar"] == 0.5
    assert not order(into_flask(), solvents=["dichloromethane"], mmol={"c1": 19.0})
    # nothing is there any more, or it is shaken with a wash, of which others tell
    assert not order(into_flask(), mmol={"c1": 0.04})
    assert not order(step("wash", "wash with water", solution="water"), into_flask())


def test_water_on_a_metal_without_an_alcohol() -> None:
    metal = {"residue": "alkali_metal"}
    (found,) = order(into_flask("poured into 2 M HCl", "hcl_2m", "quench"), **metal)
    assert found["alcohol"] and found["step"] == 1
    assert not order(into_flask("quench with sat. NH4Cl", "nh4cl_sat", "quench"), **metal)


def cake(words: str) -> list[str]:
    seen = Observed()
    job = carried_out(step("filter", words, cleared=("c1",)), step("concentrate", "evaporate"), there={"c1": [1.0]})
    perils._observe_dry_cake(job, seen, "c1")
    return [x["words"] for x in seen.of(j.CakeDries)]


@pytest.mark.parametrize(
    "words",
    [
        "filter, suck the cake dry",
        "filter and leave the catalyst in air",
        "filter, throw it in the bin",
        "filtered, air-dried",
    ],
)
def test_a_catalyst_that_is_let_go_dry(words: str) -> None:
    assert cake(words)


@pytest.mark.parametrize("words", ["filter", "filter, never sucking it dry", "filter through Celite under nitrogen"])
def test_a_catalyst_that_is_not(words: str) -> None:
    assert not cake(words)


def test_a_ph_set_with_strong_acid_in_haste() -> None:
    near = {"action": "set ph", "solution": "h2so4_1m"}
    assert strong(pour("acidify with conc. H2SO4 without cooling", **near))
    assert not strong(pour("acidify with conc. H2SO4", **near))
