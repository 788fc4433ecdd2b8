"""Every rule's own cases, run through the whole engine, and what every rule must carry."""

from __future__ import annotations

from functools import cache

import pytest

from washlore.knowledge.rows import Source, table
from washlore.rules.engine import NOT, STAGES, Case, Lore, Stage, all_lore, judging_lore
from washlore.rules.mixture import build, read_other
from washlore.rules.plan import make_plan
from washlore.rules.reckon import PlanRefused

# Enough for the bands that some rules go by.
DRAWS = 64


@cache
def fired(case: Case) -> frozenset[str]:
    """Return the rules that fire on a case."""
    solvents = [(case.solvent, 40.0)] if case.solvent else []
    mixture = build(
        case.product,
        [read_other(o) for o in case.others],
        product_amount=case.amount,
        solvents=solvents,
        extract=case.extract,
    )
    try:
        return frozenset(make_plan(mixture, draws=DRAWS).fired)
    except PlanRefused as refused:
        return frozenset(refused.fired)


def _cases(kind: str) -> list:
    return [
        pytest.param(lore, case, id=f"{lore.id}: {case.reason}") for lore in all_lore() for case in getattr(lore, kind)
    ]


@pytest.mark.parametrize(("lore", "case"), _cases("fires"))
def test_rule_fires(lore: Lore, case: Case) -> None:
    assert lore.id in fired(case)


@pytest.mark.parametrize(("lore", "case"), _cases("silent"))
def test_rule_stays_silent(lore: Lore, case: Case) -> None:
    assert lore.id not in fired(case)


@pytest.mark.parametrize("lore", all_lore(), ids=lambda lore: lore.id)
def test_rule_is_complete(lore: Lore) -> None:
    assert lore.title and lore.title[0].isupper() and not lore.title.endswith(".")
    assert len(lore.why) > 40
    assert lore.sources and all(key in table(Source) for key in lore.sources)
    assert lore.act.__doc__
    assert len(lore.fires) >= 2 and len(lore.silent) >= 2
    assert any("near miss" in case.reason for case in lore.silent), "one silent case is a near miss"
    assert all(case.reason for case in (*lore.fires, *lore.silent))


def test_rule_ids_are_unique() -> None:
    ids = [lore.id for lore in (*all_lore(), *judging_lore())]
    assert len(ids) == len(set(ids))


def _denied(condition: object) -> set[type]:
    """Return the fact types inside the negations of a condition."""
    if isinstance(condition, NOT):
        return {type(part) for part in condition}
    if isinstance(condition, tuple):
        return set().union(*(_denied(part) for part in condition)) if condition else set()
    return set()


def test_rules_deny_only_what_an_earlier_stage_concludes() -> None:
    """Nothing is retracted, so a negation must be about facts that can no longer arrive."""
    concluded: dict[type, set[str]] = {}
    stage_of = {lore.id: lore.stage for lore in all_lore()}
    for lore in all_lore():
        for case in lore.fires:
            solvents = [(case.solvent, 40.0)]
            mixture = build(
                case.product,
                [read_other(o) for o in case.others],
                product_amount=case.amount,
                solvents=solvents,
                extract=case.extract,
            )
            try:
                plan = make_plan(mixture, draws=DRAWS)
            except PlanRefused:
                continue
            for known in plan.known.values():
                for reason in known.reasons:
                    if reason.rule in stage_of:
                        concluded.setdefault(type(known.fact), set()).add(stage_of[reason.rule])
    for lore in all_lore():
        for condition in lore.conditions:
            for kind in _denied(condition) - {Stage}:
                for stage in concluded.get(kind, ()):
                    assert STAGES.index(stage) < STAGES.index(lore.stage), (
                        f"{lore.id} ({lore.stage}) denies {kind.__name__}, which {stage} concludes"
                    )
