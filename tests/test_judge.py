"""A plan judged as a whole: what a judgement holds beside its findings, and a product that may not meet water."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from washlore.rules.judge import Considered, Judgement, consider, judge
from washlore.rules.judging.cases import shorthand
from washlore.rules.mixture import build, read_other
from washlore.rules.proposal import Proposal, ReadStep

ESTER = "CCOC(=O)/C=C/c1ccccc1"
END = " | wash brine 15 | dry na2so4 | filter off desiccant | concentrate"


@cache
def considered(product: str, *others: str, solvent: str = "dichloromethane") -> Considered:
    return consider(
        build(product, [read_other(o) for o in others], product_amount="10 mmol", solvents=[(solvent, 40.0)])
    )


def made(plan: str, product: str, *others: str, solvent: str = "dichloromethane") -> Judgement:
    return judge(shorthand(plan), considered(product, *others, solvent=solvent))


def test_what_cannot_be_read_is_neither_good_nor_bad() -> None:
    done = judge(Proposal("hello", (), ()), considered(ESTER, "benzoic acid"))
    assert (done.verdict, done.findings, done.left, done.recovered) == ("unreadable", (), {}, (0.0, 0.0, 0.0))
    assert done.checked == ()


def test_what_is_left_of_each_component() -> None:
    done = made("wash nahco3_sat 2x15" + END, ESTER, "benzoic acid", "potassium chloride; 5 mmol")
    assert set(done.left) == {"product", "c1", "c2"} and done.left["product"] == done.recovered
    # Water takes the salt, all of it; without any water it stays, all of it.
    assert done.left["c2"] == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
    assert made("filter | concentrate", ESTER, "potassium chloride; 5 mmol").left["c1"] == (1.0, 1.0, 1.0)
    low, mid, high = done.recovered
    assert 0.9 < low <= mid <= high <= 1.0
    assert "job" not in repr(done).split("left_to=")[1] and done.job is not None


def test_how_much_a_solid_holds_back_is_not_claimed() -> None:
    done = made("quench water 100 | filter", ESTER, "pyridine", solvent="DMF")
    assert set(done.left) == {"product"} and [x.rule for x in done.findings] == ["solid-from-water"]


def test_a_later_purification_is_named_only_where_the_verdict_hangs_on_it() -> None:
    """With chromatography to come, pyridine that no wash takes out is a small thing; a sound plan owes nothing to it."""

    def judged(plan: str) -> Judgement:
        read = shorthand(plan)
        return judge(
            Proposal(read.text, read.steps, (), purified="chromatography"), considered(ESTER, "pyridine; 12 mmol")
        )

    careless, sound = judged("wash nahco3_sat 2x15" + END), judged("wash hcl_1m 2x15 | wash nahco3_sat 15" + END)
    assert (careless.verdict, careless.left_to) == ("minor", "chromatography")
    assert (sound.verdict, sound.left_to) == ("ok", "")
    assert made("wash nahco3_sat 2x15" + END, ESTER, "pyridine; 12 mmol").verdict == "flawed"


# ---- no plan of ours

CHLORIDE = "O=C(Cl)CCc1ccccc1"
_SOLVENT = "xylene"


def step(action: str, **more: Any) -> ReadStep:
    values = {key: "".join(list(value)) if isinstance(value, str) else value for key, value in more.items()}
    return ReadStep(action, 0, 4, f"the words of {action}", **values)


@pytest.mark.parametrize(
    ("wet", "is_wet"),
    [
        (step("quench", solution="nahco3_sat"), True),
        (step("extract", solvent="water"), True),
        (step("wash"), True),
        (step("take up"), True),
        (step("set ph", target_ph=2.0), True),
        (step("extract", solvent=_SOLVENT), False),
        (step("extract", solvent="diethyl_ether"), False),
        (step("dry", desiccant="mgso4"), False),
        (step("concentrate"), False),
    ],
    ids=lambda value: value if isinstance(value, bool) else f"{value.action} {value.solvent}{value.solution}",
)
def test_the_step_that_brings_water_to_an_acid_chloride(wet: ReadStep, is_wet: bool) -> None:
    steps = (step("filter"), wet, step("wash", solution="water"))
    thought = considered(CHLORIDE, "pyridine")
    done = judge(Proposal("text", steps, ()), thought)
    (found,) = done.findings
    assert (found.step, found.quote) == ((2, f"the words of {wet.action}") if is_wet else (3, "the words of wash"))
    assert (found.kind, found.component, found.rule) == ("loss", "product", "water-breaks-the-product")
    assert "hydrolys" in found.text or "water" in found.text
    assert not found.text.startswith("product:") and "no aqueous wash" not in found.text
    assert (done.verdict, done.recovered, done.left) == ("flawed", (0.0, 0.0, 0.0), {"product": (0.0, 0.0, 0.0)})
    dry = judge(Proposal("text", steps[:2], ()), thought)
    if not is_wet:
        assert (dry.findings, dry.verdict, dry.recovered) == ((), "ok", (1.0, 1.0, 1.0))
        assert dry.left == {"product": (1.0, 1.0, 1.0)} and dry.checked == ("whether the product may meet water",)


def test_a_product_at_home_in_water_is_lost_where_nothing_can_bring_it_home() -> None:
    """Taurine goes into no solvent at any pH."""
    done = made("wash hcl_1m 2x15", "NCCS(=O)(=O)O", "pyridine")
    (found,) = done.findings
    assert found.rule == "belongs-to-the-water" and found.component == "product"
    assert found.kind == ("loss" if "under 0.01 %" in done.considered.refused else "technique")
