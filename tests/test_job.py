"""What rules may ask about a workup that was carried out, and what each of its steps achieves, in words."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from carried_out import DRAWS, carried_out, contact, step

from washlore.knowledge.rows import Solvent, table
from washlore.rules import account
from washlore.rules.account import Job, short
from washlore.rules.idle import Natures


def job(*steps: dict[str, Any], kinds: dict[str, tuple[str, float]] | None = None, **more: Any) -> Job:
    """Return the job of a workup; ``kinds`` gives by component what it is and its pKa."""
    made = object.__new__(Job)
    given = vars(carried_out(*steps, **more))
    vars(made).update({k: v for k, v in given.items() if k not in ("name", "label", "read")})
    natures = kinds or {}
    made.natures = Natures(
        [{"component": c, "kind": "base" if "base" in k else "acid", "pka": pka} for c, (k, pka) in natures.items()],
        [{"component": c, "kind": k} for c, (k, _) in natures.items()],
    )
    for part in made.plan.mixture.components:
        part.name = "the product" if part.id == "product" else f"compound {part.id}"
    made.plan.steps, made.plan.extraction = (), "ethyl_acetate"
    return made


def wash(solution: str = "water", contacts: Any = 1, **more: Any) -> dict[str, Any]:
    return step("wash", solution=solution, contacts=contacts, **more)


def ours(action: str, instruction: str = "Do it; keep the layer", **more: Any) -> Any:
    return SimpleNamespace(
        **{"action": action, "instruction": instruction, "for_components": (), "solution": "", "desiccant": "", **more}
    )


@pytest.mark.parametrize(
    ("kind", "pka", "ph"),
    [
        # 2.2 units beyond the pKa, in halves; pH 5 is acid enough for any acid, pH 10 basic enough for any base
        ("acid", 4.2, 2.0),
        ("weak acid", 10.0, 5.0),
        ("acid", 7.3, 5.0),
        ("acid", 6.2, 4.0),
        ("acid", 1.0, 1.5),
        ("base", 5.0, 10.0),
        ("weak base", 7.9, 10.0),
        ("base", 9.3, 11.5),
        ("base", 10.6, 13.0),
        ("base", 12.0, 13.0),
    ],
)
def test_the_ph_at_which_the_product_is_neutral(kind: str, pka: float, ph: float) -> None:
    assert job(wash(), kinds={"product": (kind, pka)}).neutral_ph() == ph


def test_a_pka_in_words_is_that_of_the_conjugate_acid_of_a_base() -> None:
    made = job(wash(), there={"c1": [1.0], "c2": [1.0]}, kinds={"c1": ("base", 9.26), "c2": ("weak acid", 9.94)})
    assert (made.pka("c1"), made.pka("c2")) == ("conjugate acid pKa 9.3", "pKa 9.9")
    assert (made.kind("c1"), made.kind("c2"), made.kind("product")) == ("base", "weak acid", "other")
    assert made.others_of("base") and made.others_of("weak acid", "acid") and not made.others_of("acid", "other")


def test_the_ph_of_the_water_at_an_extraction() -> None:
    made = job(wash(contacts=[contact(ph=np.full(DRAWS, 3.3)), contact()], ph=1.0), step("extract", ph=9.0))
    assert (made.ph_before(1), made.ph_before(2)) == (3.3, 9.0)


def test_what_our_own_plan_does_about_a_component() -> None:
    made = job(wash(), there={"c1": [1.0], "c2": [1.0]})
    made.plan.fate = {}
    assert made.ours_of("c1") == ""
    made.plan.steps = (ours("neutralise", "Bring it to pH 7; keep stirring"),)
    assert made.ours_of("c1") == ["bring it to pH 7", " stirring"][0]
    made.plan.steps = (ours("dry", for_components=("c1",)), ours("wash", "Wash with A; keep this"))
    assert made.ours_of("c1") == "wash with A"
    made.plan.steps = (*made.plan.steps, ours("take up", "Take up in hydroxide; keep the water"))
    assert made.ours_of("c1") == "carry the product through water: take up in hydroxide, then bring it back"
    for action in ("wash", "quench", "filter", "evaporate"):
        made.plan.steps = (*made.plan.steps[:3], ours(action, "Do B; keep that", for_components=("c2", "c1")))
        assert made.ours_of("c1") == "do B"


def test_what_goes_with_our_water_is_washed_out_with_water() -> None:
    made = job(wash(), there={"c1": [1.0], "c2": [1.0]})
    made.plan.steps = (
        ours("part", "Part"),
        ours("wash", "Wash with A; keep", solution="cysteine_5"),
        ours("wash", "Acid", solution="hcl_1m"),
    )
    made.plan.fate = {"c1": "aqueous layer of step 1", "c2": "stays with the product"}
    assert made.ours_of("c1") == "wash with water" and made.ours_of("c2") == "wash with A"
    # what binds something else takes no more than its water does
    made.plan.fate["c1"] = "aqueous layer of step 2"
    assert made.ours_of("c1") == "wash with water"
    made.plan.fate["c1"] = "aqueous layer of step 3"
    assert made.ours_of("c1") == "acid"
    # a salt, whatever our plan is
    made.natures.kinds["c2"] = {"salt"}
    assert made.ours_of("c2") == "wash with water"


def test_what_our_own_plan_uses() -> None:
    made = job(wash())
    assert made.our_desiccant() == "sodium sulfate" and not made.is_ours("hcl_1m", 1)
    made.plan.steps = (ours("quench", solution="hcl_1m"), ours("dry", desiccant="mgso4"))
    assert made.our_desiccant() == "magnesium sulfate" and not made.is_ours("hcl_1m", 1)
    made.plan.steps = (ours("wash", solution="hcl_1m"),)
    assert made.is_ours("hcl_1m", 1) and not made.is_ours("hcl_2m", 1)


def test_the_wash_of_ours_that_takes_what_this_one_takes() -> None:
    def told(c1: float, c2: float, *steps: Any) -> str:
        made = job(wash("hcl_1m"), there={"c1": [1.0, c1], "c2": [1.0, c2], "product": [1.0, 0.0]})
        made.plan.steps = steps
        return made.ours_for(1)

    citric = ours("wash", solution="citric_10", for_components=("c1", "c2"))
    assert told(0.5, 0.2, citric) == "10 % citric acid for compound c2"
    assert told(0.2, 0.5, citric) == "10 % citric acid for compound c1"
    assert told(0.8, 0.95, citric).endswith("compound c1") and told(0.95, 0.95, citric) == ""
    assert told(0.5, 0.2, ours("wash", solution="hcl_1m", for_components=("c1", "c2"))) == ""
    assert told(0.5, 0.2, ours("quench", solution="citric_10", for_components=("c1",))) == ""
    assert told(0.5, 0.2, ours("wash", solution="citric_10", for_components=("c1",))).endswith("compound c1")
    assert told(0.5, 0.2) == ""


def test_a_volume_is_assumed_where_a_wash_met_water_without_one() -> None:
    made = job(wash(), wash(volume_said=True), wash(contacts=0), step("extract", contacts=1), wash(portion_ml=12.5))
    assert [made.assumes_volume(n) for n in (1, 2, 3, 4)] == [True, False, False, False] and made.volume(5) == 12.5


def test_steps_by_their_sides() -> None:
    made = job(
        wash("hcl_1m", ph=0.1), wash("nahco3_sat", ph=8.2), step("set ph", ph=12.0), wash("naoh_1m", 0, ph=14.0),
        step("extract", contacts=1, ph=0.0), step("quench", solution="citric_10", contacts=1, ph=1.7), step("dry"),
    )  # fmt: skip
    assert [a.number for a in made.washes()] == [1, 2, 6]
    assert (made.step_of_lowest(), made.step_of_highest(), made.first_dry()) == (1, 3, 7)
    assert job(wash()).first_dry() == 0


def test_the_solvent_of_the_layer_as_the_plan_goes() -> None:
    def solvent(*steps: dict[str, Any], own: Sequence[str] = ()) -> str:
        made = job(*steps)
        made.plan.mixture.reaction_solvents = [(table(Solvent)[s], 40.0) for s in own]
        return made.solvent_id()

    assert solvent(step("extract", solvent="toluene")) == "toluene"
    assert solvent(step("extract", solvent="toluene"), step("dilute", solvent="diethyl_ether")) == "diethyl_ether"
    # what mixes with water makes no layer, and a rinse is none
    assert solvent(step("extract", solvent="toluene"), step("extract", solvent="acetone")) == "toluene"
    assert solvent(step("rinse", solvent="toluene"), own=("dichloromethane",)) == "dichloromethane"
    assert (
        solvent(wash(), own=("acetone", "chloroform")) == "chloroform"
        and solvent(wash(), own=("acetone",)) == "ethyl_acetate"
    )


def test_what_hydrolysis_is_asked_about(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []
    monkeypatch.setattr(account.kinetics, "loss_fraction", lambda *given: asked.append(given))
    made = job(wash("naoh_1m"), wash("naoh_1m", 0), step("dry"))
    made.exposed = lambda act: 1.5  # type: ignore[method-assign]
    for number in (1, 2, 3):
        made.hydrolysed(number)
    from washlore.knowledge.rows import Solution

    assert asked == [("product", table(Solution)["naoh_1m"].ph, 5.0, 1.0)]


def test_the_most_of_the_product_that_is_in_the_water_at_any_time() -> None:
    made = job(wash(contacts=[contact(aqueous_mmol=0.1), contact(aqueous_mmol=0.3), contact(aqueous_mmol=0.2)]))
    made.bench.share = lambda component, mmol: np.array([mmol, 9.0])
    assert made.exposed(made.bench.acts[0]) == 0.3


# ---- what a step achieves


def achieved(*steps: dict[str, Any], **there: Sequence[float]) -> list[str]:
    made = job(*steps, there=there)
    return [line.text for line in made.achieved()]


def test_what_a_wash_achieves() -> None:
    assert achieved(wash(), c1=[1.0, 0.005], c2=[1.0, 0.01]) == ["takes compound c1 and compound c2 out"]
    assert achieved(wash(), c1=[1.0, 0.005], c2=[1.0, 0.2]) == ["takes compound c1 out; leaves 20 % of compound c2"]
    # what was under the target already, and what loses a tenth or less, is not told of
    assert achieved(wash(), c1=[0.01, 0.001], c2=[1.0, 0.9]) == ["rinses; little is left to take"]
    assert achieved(wash(), c1=[0.5, 0.44]) == ["leaves 44 % of compound c1"]
    assert achieved(wash("brine"), c1=[1.0]) == achieved(wash("half_brine")) == ["takes most of the dissolved water"]
    assert achieved(wash(), product=[1.0, 0.94]) == ["carries 6.0 % of the product away"]
    assert achieved(wash(), product=[1.0, 0.96]) == ["rinses; little is left to take"]
    assert achieved(wash(), product=[1.0, 0.85], c1=[1.0, 0.0]) == [
        "takes compound c1 out; carries 15 % of the product away"
    ]
    assert achieved(step("take up", contacts=1), product=[1.0, 0.8]) == [
        "carries the product into the water (80 % of it)"
    ]
    assert achieved(wash(contacts=0), c1=[1.0, 0.0]) == []


@pytest.mark.parametrize(
    ("steps", "text"),
    [
        ((step("quench", cleared=("c1",)),), "destroys compound c1"),
        ((step("quench"),), "ends the reaction"),
        ((step("filter", cleared=("c1",)),), "takes compound c1 off"),
        ((step("filter"),), "clears the solution"),
        ((step("extract"),), "brings 90 % of the product into the organic layer"),
        ((step("dilute"),), "takes compound c1 out"),
        ((step("set ph", ph=2.5),), "brings the water to pH 2.5"),
        ((step("filter off desiccant"),), "takes the drying agent off"),
        ((step("rinse"),), "brings back what the solid holds"),
        ((step("concentrate"),), "leaves the crude product; takes compound c1 out"),
        ((step("evaporate"),), "takes the solvent off; takes compound c1 out"),
        ((step("vent"),), "lets the pressure out"),
        ((step("check ph"),), "makes sure of the pH"),
        ((step("combine"),), "brings the layers together"),
        ((step("cool"),), "keeps heat and gas in check"),
        ((step("dry"),), "takes the water out"),
        ((step("dry"), step("concentrate")), "takes the water out; filter it off and rinse it before stripping"),
        ((step("dry"), step("filter"), step("concentrate")), "takes the water out"),
        ((step("dry"), step("filter off desiccant"), step("concentrate")), "takes the water out"),
        ((step("dry"), step("evaporate")), "takes the water out"),
    ],
)
def test_what_other_steps_achieve(steps: tuple[dict[str, Any], ...], text: str) -> None:
    assert achieved(*steps, product=[1.0, 0.9], c1=[1.0, 0.001])[0] == text


def test_a_step_that_moves_nothing_and_steps_without_words() -> None:
    assert achieved(step("dilute", contacts=1), c1=[1.0]) == ["makes the layers"]
    assert achieved(step("dilute", solvent="diethyl_ether"), c1=[1.0]) == ["makes the organic layer"]
    assert achieved(step("dilute", solvent="ethanol"), c1=[1.0]) == ["thins the mixture"]
    assert achieved(step("dilute", cleared=("c1",)), c1=[1.0, 0.0]) == ["destroys compound c1"]
    assert achieved(step("extract", skipped="no layer"), c1=[1.0]) == ["takes nothing out: no second layer forms"]
    # what is taken up again is no crude product yet
    assert achieved(step("concentrate"), step("dilute", solvent="toluene"), c1=[1.0])[0] == "takes the solvent off"
    assert achieved(step("concentrate"), c1=[1.0]) == ["leaves the crude product"]
    assert achieved(step("evaporate")) == ["takes the solvent off"] and achieved(step("wait")) == []
    made = job(step("wait"), step("vent"))
    assert [(line.step, line.text) for line in made.achieved()] == [(2, "lets the pressure out")]


def test_numbers_have_four_figures() -> None:
    assert short(0.123456) == 0.1235 and short(1234.56) == 1235.0 and short(np.float64(2.0)) == 2.0
    assert account._lowered("Wash it") == "wash it" and account._lowered("") == ""
