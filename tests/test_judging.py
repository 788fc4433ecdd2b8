"""The judging rules' own cases, our own plans judged, and how findings are merged and ranked."""

from __future__ import annotations

import random
from functools import cache

import pytest

from washlore.knowledge.rows import Desiccant, Solution, Solvent, Source, table
from washlore.rules.engine import STAGES, Lore, judging_lore
from washlore.rules.judge import Considered, Judgement, consider, judge
from washlore.rules.judging.cases import PlanCase, shorthand
from washlore.rules.judging.facts import KINDS
from washlore.rules.mixture import build, read_other
from washlore.rules.proposal import ACTIONS, Proposal, ReadStep, as_proposal

ESTER = "CCOC(=O)/C=C/c1ccccc1"
END = " | wash brine 15 | dry na2so4 | filter off desiccant | concentrate"


@cache
def considered(
    product: str, others: tuple[str, ...], solvent: str = "dichloromethane", extract: str = "choose"
) -> Considered:
    mixture = build(
        product,
        [read_other(o) for o in others],
        product_amount="10 mmol",
        solvents=[(solvent, 40.0)] if solvent else [],
        extract=extract,
    )
    return consider(mixture)


@cache
def judged(case: PlanCase) -> Judgement:
    return judge(shorthand(case.plan, case.bullets), considered(case.product, case.others, case.solvent, case.extract))


def rules(judgement: Judgement) -> set[str]:
    return {found.rule for found in judgement.findings}


def _cases(kind: str) -> list:
    return [
        pytest.param(lore, case, id=f"{lore.id}: {case.reason}")
        for lore in judging_lore()
        for case in getattr(lore, kind)
    ]


@pytest.mark.parametrize(("lore", "case"), _cases("fires"))
def test_rule_fires(lore: Lore, case: PlanCase) -> None:
    found = [item for item in judged(case).findings if item.rule == lore.id]
    assert found, [(item.kind, item.rule, item.text) for item in judged(case).findings]
    assert all(item.text and item.remedy and item.sources and item.kind in KINDS for item in found)


@pytest.mark.parametrize(("lore", "case"), _cases("silent"))
def test_rule_stays_silent(lore: Lore, case: PlanCase) -> None:
    assert lore.id not in rules(judged(case))


@pytest.mark.parametrize("lore", judging_lore(), ids=lambda lore: lore.id)
def test_rule_is_complete(lore: Lore) -> None:
    assert lore.title and lore.title[0].isupper() and not lore.title.endswith(".")
    assert len(lore.why) > 40 and lore.stage in STAGES
    assert lore.sources and all(key in table(Source) for key in lore.sources)
    assert lore.act.__doc__
    assert len(lore.fires) >= 2 and len(lore.silent) >= 2
    assert any("near miss" in case.reason for case in lore.silent), "one silent case is a near miss"
    assert all(case.reason and case.plan for case in (*lore.fires, *lore.silent))


# Varied mixtures, on each of which our own plan is sound.
OURS = [
    (ESTER, ("benzoic acid",), "dichloromethane"),
    (ESTER, ("pyridine; 12 mmol",), "dichloromethane"),
    (ESTER, ("benzoic acid", "triethylamine; 12 mmol"), "THF"),
    (ESTER, ("cinnamic acid; 1 mmol", "pyridine; 12 mmol"), "diethyl ether"),
    (ESTER, (), "DMF"),
    (ESTER, ("potassium carbonate; 20 mmol",), "DMF"),
    (ESTER, ("imidazole; 12 mmol",), "DMSO"),
    (ESTER, ("TsOH; 1 mmol",), "toluene"),
    (ESTER, ("HCl; 10 mmol",), "ethyl acetate"),
    (ESTER, ("benzaldehyde; 2 mmol",), "dichloromethane"),
    (ESTER, ("sodium azide; 12 mmol",), "DMF"),
    (ESTER, ("sodium cyanide; 12 mmol",), "DMSO"),
    (ESTER, ("acetophenone; 1 mmol",), "dichloromethane"),
    ("CC(C)(C)OC(=O)NCCc1ccccc1", ("triethylamine; 12 mmol",), "dichloromethane"),
    ("CC(C)(C)OC(=O)NCCc1ccccc1", ("HOBt", "triethylamine; 12 mmol"), "DMF"),
    ("CC(C)(C)OC(=O)CCc1ccccc1", ("pyridine",), "dichloromethane"),
    ("c1ccccc1C1OCCO1", ("benzoic acid",), "toluene"),
    ("c1ccccc1C1OCCO1", ("triethylamine; 5 mmol",), "dichloromethane"),
    ("C=COCCCCCCc1ccccc1", ("triethylamine",), "diethyl ether"),
    ("COCCc1ccc(Cl)cc1", ("phenol; 2 mmol",), "toluene"),
    ("COCCc1ccc(Cl)cc1", ("Cc1ccc(O)cc1; 2 mmol", "potassium carbonate; 20 mmol"), "acetone"),
    ("CCCCNC(=O)c1ccccc1", ("butylamine; 1 mmol", "benzoic acid; 1 mmol"), "dichloromethane"),
    ("CCCCNC(=O)c1ccccc1", ("EDCI; 2 mmol", "DMAP; 1 mmol"), "dichloromethane"),
    ("NCCCCCCCC", ("cyclohexanone; 1 mmol",), "dichloromethane"),
    ("NCCCCCCCC", ("acetophenone; 2 mmol",), "methanol"),
    ("C1CCN(CC1)Cc1ccccc1", ("HCl; 30 mmol",), "dichloromethane"),
    ("C1CCN(CC1)Cc1ccccc1", ("TFA; 40 mmol",), "dichloromethane"),
    ("Cc1ccc(N)cc1", ("cyclohexanone; 1 mmol",), "ethyl acetate"),
    ("OC(=O)CCc1ccccc1", ("CCCCCCCCO; 3 mmol",), "diethyl ether"),
    ("OC(=O)CCc1ccccc1", ("pyridine; 10 mmol",), "dichloromethane"),
    ("OC(=O)c1ccc(OCc2ccccc2)cc1", ("sodium hydroxide; 30 mmol",), "methanol"),
    ("Cc1ccc(O)cc1", ("benzoic acid; 1 mmol",), "ethyl acetate"),
    ("OC(C)c1ccccc1", ("LiAlH4; 5 mmol",), "diethyl ether"),
    ("OC(C)c1ccccc1", ("sodium borohydride; 10 mmol", "acetophenone; 0.2 mmol"), "methanol"),
    ("C1(c2ccccc2)CO1", ("mCPBA; 2 mmol",), "dichloromethane"),
    ("O=Cc1ccc(C)cc1", ("pyridine; 5 mmol",), "dichloromethane"),
    ("O=C1CCCCC1", ("benzoic acid; 1 mmol",), "diethyl ether"),
    (ESTER, ("benzoyl chloride; 1 mmol", "pyridine; 12 mmol"), "dichloromethane"),
    (ESTER, ("iodine; 2 mmol",), "dichloromethane"),
    (ESTER, ("CuI; 1 mmol", "triethylamine; 20 mmol"), "DMF"),
    (ESTER, ("Pd/C; 0.1 mmol",), "ethanol"),
    ("OCCCCO", ("benzoic acid; 1 mmol",), "ethyl acetate"),
    ("CCCCCC(O)CCCC", ("imidazole; 20 mmol", "DMAP; 1 mmol"), "DMF"),
]


@pytest.mark.parametrize(("product", "others", "solvent"), OURS, ids=lambda value: str(value))
def test_our_own_plan_is_ok(product: str, others: tuple[str, ...], solvent: str) -> None:
    thought = considered(product, others, solvent)
    assert thought.plan is not None
    made = judge(as_proposal(thought.plan), thought)
    assert made.verdict == "ok", [(f.kind, f.rule, f.text) for f in made.findings]
    assert made.checked and made.achieves


SOUND = "wash hcl_1m 2x15 | wash nahco3_sat 2x15 | wash brine 15 | dry mgso4 | filter off desiccant | concentrate"


@pytest.mark.parametrize(
    "plan",
    [
        SOUND,
        SOUND.replace("hcl_1m", "khso4_1m"),
        SOUND.replace("hcl_1m", "hcl_10pct"),
        SOUND.replace("hcl_1m 2x15", "hcl_1m 3x10"),
        SOUND.replace("hcl_1m 2x15", "hcl_1m 30"),
        SOUND.replace("mgso4", "na2so4"),
        SOUND.replace("nahco3_sat", "nahco3_5"),
        SOUND.replace("nahco3_sat", "na2co3_10"),
        SOUND.replace("wash hcl", "dilute diethyl_ether 40 | wash hcl"),
        SOUND.replace(" | wash brine 15", ""),
        SOUND.replace("wash brine 15", "wash water 15 | wash brine 15"),
        SOUND.replace(" 2x15", "").replace(" 15", ""),
        SOUND.replace("hcl_1m 2x15", "hcl_1m 2x15 organic"),
        SOUND.replace("hcl_1m 2x15", "hcl_1m 2x15 bottom"),
    ],
)
def test_different_but_sound_choices_are_not_faulted(plan: str) -> None:
    made = judge(shorthand(plan), considered(ESTER, ("benzoic acid; 1 mmol", "pyridine; 12 mmol")))
    assert made.verdict == "ok", [(f.kind, f.rule, f.text) for f in made.findings]


def test_the_worst_comes_first_and_a_root_is_named_once() -> None:
    plan = "wash hcl_1m 2x15 top" + END
    made = judge(shorthand(plan), considered(ESTER, ("sodium cyanide", "benzoic acid; 5 mmol")))
    kinds = [KINDS.index(item.kind) for item in made.findings]
    assert kinds == sorted(kinds) and made.verdict == "dangerous"
    assert len({item.root for item in made.findings}) == len(made.findings)
    assert made.recovered[1] < 0.2


def test_a_plan_without_steps_is_unreadable() -> None:
    made = judge(Proposal("hello", (), ()), considered(ESTER, ("benzoic acid",)))
    assert made.verdict == "unreadable" and not made.findings and not made.checked


def test_findings_name_the_compound_and_quote_the_words() -> None:
    made = judge(shorthand("wash nahco3_sat 2x15" + END), considered(ESTER, ("pyridine; 12 mmol",)))
    item = made.findings[0]
    assert "pyridine" in item.text and item.quote == "wash nahco3_sat 2x15" and item.kind == "leftover"
    assert made.verdict == "flawed"


def _some_step(chance: random.Random) -> ReadStep:
    return ReadStep(
        chance.choice(ACTIONS),
        0,
        3,
        "abc",
        solution=chance.choice([*table(Solution), *[""] * 40]),
        solvent=chance.choice([*table(Solvent), *[""] * 60]),
        desiccant=chance.choice([*table(Desiccant), *[""] * 4]),
        volume_ml=chance.choice([None, None, 20.0, 0.5, 3000.0]),
        relative_volume=chance.choice([None, None, 1.0]),
        repeats=chance.choice([1, 1, 2, 5]),
        target_ph=chance.choice([None, 2.0, 7.0, 12.0]),
        phase_kept=chance.choice(["", "organic", "aqueous"]),
        layer_kept=chance.choice(["", "", "top", "bottom"]),
    )


@pytest.mark.parametrize("seed", range(8))
def test_any_order_of_steps_is_judged(seed: int) -> None:
    """However senseless a plan, it gets a verdict, and shares stay shares."""
    chance = random.Random(seed)
    for _ in range(12):
        thought = considered(*chance.choice(OURS))
        steps = tuple(_some_step(chance) for _ in range(chance.randint(1, 9)))
        made = judge(Proposal("abc", steps, ()), thought)
        assert made.verdict in ("ok", "minor", "flawed", "dangerous")
        assert all(-1e-9 <= value <= 1 + 1e-6 for band in made.left.values() for value in band)
