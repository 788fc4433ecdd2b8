"""Water that the flask itself turns into lye or acid, and the base that hydrides, alkoxides and Grignard reagents leave."""

from __future__ import annotations

import pytest

from washlore.rules.judge import consider, judge
from washlore.rules.judging.cases import shorthand
from washlore.rules.mixture import build, read_other
from washlore.rules.plan import make_plan

END = " | dry na2so4 | filter off desiccant | concentrate"
ACETATE, KETAL = "CC(=O)Oc1ccc(C)cc1", "COC(C)(C)OCCCO"
KETONE = "COc1ccc(C(=O)c2ccccc2)cc1"


def judged(product, plan, *others, solvent="dichloromethane"):
    flask = build(product, [read_other(o) for o in others], product_amount="10 mmol", solvents=[(solvent, 40.0)])
    return judge(shorthand(plan + END), consider(flask, 8))


def losses(judgement):
    return {f.rule: f for f in judgement.findings if f.kind == "loss"}


@pytest.mark.parametrize(
    ("product", "others", "solvent", "plan", "rule", "words"),
    [
        (ACETATE, ["NaOH; 5 mmol"], "dichloromethane", "wash water 20", "base-breaks-the-product", "sodium hydroxide in"),
        (ACETATE, ["KOtBu; 5 mmol"], "THF", "quench water 20 | extract mtbe 30 | wash brine 20",
         "base-breaks-the-product", "potassium hydroxide in the flask brings water to pH 13"),
        (ACETATE, ["NaH; 5 mmol"], "THF", "dilute water 60 | extract mtbe 30 | wash brine 20",
         "base-breaks-the-product", "sodium hydroxide in the flask brings water to pH 1"),
        (KETAL, ["HCl; 5 mmol"], "dichloromethane", "wash water 20",
         "acid-breaks-the-product", "hydrogen chloride in the flask brings water to pH 0."),
        (KETAL, ["p-toluenesulfonic acid; 2 mmol"], "dichloromethane", "wash brine 20",
         "acid-breaks-the-product", "p-toluenesulfonic acid in the flask brings"),
        (KETAL, ["AlCl3; 5 mmol"], "dichloromethane", "quench water 20 | wash brine 20",
         "acid-breaks-the-product", "hydrogen chloride in the flask brings water to pH 0"),
    ],
)  # fmt: skip
def test_water_that_the_flask_turns_is_seen(product, others, solvent, plan, rule, words):
    found = losses(judged(product, plan, *others, solvent=solvent))
    assert rule in found and words in found[rule].text
    assert "as the first wash" in found[rule].remedy or " for " in found[rule].remedy


@pytest.mark.parametrize(
    ("product", "others", "solvent", "plan"),
    [
        (ACETATE, ["NaOH; 5 mmol"], "dichloromethane", "wash nh4cl_sat 20 | wash water 20"),  # taken up first
        (ACETATE, ["K2CO3; 1 mmol"], "dichloromethane", "wash water 20"),
        (ACETATE, ["triethylamine; 20 mmol"], "dichloromethane", "wash water 20"),  # basic, and of no force
        (ACETATE, ["NaH; 5 mmol"], "THF", "quench nh4cl_sat 40 | extract mtbe 30 | wash brine 20"),
        ("CCOC(=O)CCc1ccccc1", ["K2CO3; 20 mmol"], "DMF", "dilute water 80 | extract mtbe 40 | wash brine 20"),
        (KETAL, ["HCl; 5 mmol"], "dichloromethane", "wash nahco3_sat 20 | wash water 20"),
        ("COc1ccc(C)cc1", ["NaOH; 5 mmol"], "dichloromethane", "wash water 20"),
        ("C1CCN(C1)C1=CCCCC1", ["HCl; 30 mmol"], "toluene", "dilute water 20 | set ph pH 9.5 | extract toluene 20"),
    ],
)
def test_water_that_stays_mild_or_does_no_harm_is_left_alone(product, others, solvent, plan):
    assert not losses(judged(product, plan, *others, solvent=solvent))


def test_what_ran_in_lye_is_not_warned_of_lye():
    flask = build(
        ACETATE, [read_other("NaOH; 5 mmol")], product_amount="10 mmol",
        solvents=[("dichloromethane", 40.0), ("water", 20.0)],
    )  # fmt: skip
    assert not losses(judge(shorthand("wash water 20" + END), consider(flask, 8)))


@pytest.mark.parametrize("base", ["NaH", "KOtBu", "LDA", "n-BuLi", "phenylmagnesium bromide", "methylmagnesium iodide"])
@pytest.mark.parametrize(
    ("plan", "kept"),
    [("quench water 20 | wash brine 10", 0.005), ("quench nh4cl_sat 20 | wash brine 10", 0.2)],
)
def test_what_a_base_leaves_holds_an_acid_in_the_water(base, plan, kept):
    """8 mmol of base beside 3 mmol of benzoic acid: 5 mmol are left over, and all of the acid is benzoate."""
    made = judged(KETONE, plan, f"{base}; 8 mmol", "benzoic acid; 3 mmol", solvent="diethyl ether")
    acid = next(c for c in made.considered.plan.mixture.others if c.name == "benzoic acid")
    assert made.left[acid.id][1] < kept


@pytest.mark.parametrize(
    ("base", "lowest", "highest"),
    [("phenylmagnesium bromide", 9.0, 11.0), ("n-BuLi", 12.8, 13.8), ("KOtBu", 12.8, 13.8)],
)
def test_magnesium_leaves_a_weaker_base_than_lithium(base, lowest, highest):
    """Water over solid magnesium hydroxide is at pH 10.4 (handbooks, from the solubility product)."""
    made = judged(KETONE, "quench water 20 | wash brine 10", f"{base}; 5 mmol", solvent="diethyl ether")
    assert lowest < float(made.job.bench.acts[0].contacts[0].ph[0]) < highest


def test_acid_takes_up_what_a_base_leaves():
    """10 mmol of hydroxide against 20 mL of 1 M hydrochloric acid: half of it is left, 0.5 M, near pH 0.4."""
    made = judged(KETONE, "quench hcl_1m 20 | wash brine 10", "n-BuLi; 10 mmol", solvent="diethyl ether")
    assert 0.2 < float(made.job.bench.acts[0].contacts[0].ph[0]) < 0.6
    less = judged(KETONE, "quench hcl_1m 20 | wash brine 10", "n-BuLi; 30 mmol", solvent="diethyl ether")
    assert float(less.job.bench.acts[0].contacts[0].ph[0]) > 12


def test_alkali_that_ammonium_chloride_takes_up_does_not_keep_the_solvent_from_being_stripped():
    flask = build(KETONE, [read_other("NaH; 5 mmol")], product_amount="10 mmol", solvents=[("THF", 40.0)])
    actions = [s.action for s in make_plan(flask, draws=8).steps]
    assert actions[:2] == ["quench", "evaporate"]


def test_brine_is_not_asked_for_where_it_would_harm_the_product():
    made = judged(
        "C1CCN(C1)C1=CCCCC1", "dilute ethyl_acetate 40 | wash nahco3_sat 2x15", "benzoic acid; 5 mmol", solvent="THF"
    )
    assert "brine-is-skipped" not in {f.rule for f in made.findings}
    made = judged(
        "CCOC(=O)CCc1ccccc1", "dilute ethyl_acetate 40 | wash nahco3_sat 2x15", "benzoic acid; 5 mmol", solvent="THF"
    )
    assert "brine-is-skipped" in {f.rule for f in made.findings}
