"""Answers to why and why not: each finds the record that decided it."""

from __future__ import annotations

from functools import cache

import pytest

from washlore.rules.entries import lore_on
from washlore.rules.explain import Answer, why
from washlore.rules.mixture import build
from washlore.rules.plan import Plan, make_plan
from washlore.rules.reasons import walk
from washlore.rules.subjects import SubjectProblem, find_subjects, split_question

ESTER = "CCOC(=O)/C=C/c1ccccc1"
BOC = "CC(C)(C)OC(=O)NCCc1ccccc1"
ACETAL = "c1ccccc1C1OCCO1"
ALCOHOL = "OC1CCCCC1CCC"


@cache
def planned(product: str, *others: str, solvent: str = "dichloromethane", extract: str = "choose") -> Plan:
    return make_plan(build(product, [(o, None, None) for o in others], solvents=[(solvent, 40)], extract=extract), 64)


def asked(plan: Plan, question: str) -> Answer:
    answers = why(plan, question)
    assert answers
    for answer in answers:
        assert answer.verdict and answer.sources, question
    return answers[0]


def texts(answer: Answer) -> str:
    return " | ".join(reason.text for reason in walk(answer.reasons))


def rules(answer: Answer) -> set[str]:
    return {reason.rule for reason in walk(answer.reasons)}


def test_not_is_split_off():
    assert split_question("not  brine") == ("brine", True)
    assert split_question("Not 1 M HCl") == ("1 M HCl", True)
    assert split_question("nothing") == ("nothing", False)
    assert split_question("not") == ("not", False)


@pytest.mark.parametrize(
    ("question", "kind"),
    [
        ("1", "step"),
        ("step 2", "step"),
        ("bicarbonate", "solution"),
        ("sat. NaHCO3", "solution"),
        ("saturated sodium hydrogen carbonate", "solution"),
        ("brine", "solution"),
        ("benzoic acid", "component"),
        ("OC(=O)c1ccccc1", "component"),
        ("py", "component"),
        ("product", "component"),
        ("MgSO4", "desiccant"),
        ("drying agent", "desiccant"),
        ("DCM", "solvent"),
        ("extraction solvent", "solvent"),
        ("hydrochloric acid", "solution"),
    ],
)
def test_what_is_in_the_plan_is_found_by_any_name(question, kind):
    answer = asked(planned(ESTER, "benzoic acid", "pyridine"), question)
    assert answer.kind == kind and answer.in_plan


def test_a_solution_that_would_destroy_the_product():
    answer = asked(planned(ACETAL, "pyridine"), "not 1 M HCl")
    assert not answer.in_plan and "break" in answer.verdict
    assert "too-acidic" in rules(answer) and "pH" in texts(answer) and "at atoms" in texts(answer)


def test_a_solution_that_would_carry_the_product_away():
    answer = asked(planned("NCCCCCCCC", "benzoic acid"), "not 1 M HCl")
    assert not answer.in_plan and "carry away" in answer.verdict
    assert "carried-away" in rules(answer)


def test_a_solution_that_would_serve_but_another_is_milder():
    plan = planned(ESTER, "benzoic acid")
    answer = asked(plan, "not 10 % Na2CO3")
    assert not answer.in_plan and "goes before it" in answer.verdict
    assert "mildest-that-serves" in rules(answer)


def test_a_solution_that_takes_too_little_is_told_with_numbers():
    answer = asked(planned("COCCc1ccccc1", "Cc1ccc(O)cc1"), "not bicarbonate")
    assert not answer.in_plan
    assert "three portions of it would leave" in answer.verdict and "%" in answer.verdict
    assert "contacts" in texts(answer)


def test_a_solution_that_nothing_asks_for():
    answer = asked(planned(ESTER, "benzoic acid"), "not copper sulfate")
    assert not answer.in_plan


def test_what_is_asked_without_not_and_is_not_in_the_plan_is_answered_as_not():
    plan = planned(ESTER, "benzoic acid")
    assert why(plan, "1 M NaOH") == why(plan, "not 1 M NaOH")


def test_what_is_asked_with_not_and_is_in_the_plan_is_said_to_be():
    answer = asked(planned(ESTER, "benzoic acid"), "not brine")
    assert answer.in_plan and "is in the plan" in answer.verdict


def test_a_barred_drying_agent_names_the_group():
    answer = asked(planned(ALCOHOL, "benzoic acid"), "not CaCl2")
    drying = [a for a in why(planned(ALCOHOL, "benzoic acid"), "not CaCl2") if a.kind == "desiccant"]
    assert answer and drying and not drying[0].in_plan
    assert "alcohol" in texts(drying[0])


def test_a_drying_agent_that_would_do_but_comes_later():
    plan = planned(ESTER, "benzoic acid")
    used = next(step.desiccant for step in plan.steps if step.desiccant)
    other = "sodium sulfate" if used != "na2so4" else "magnesium sulfate"
    answer = next(a for a in why(plan, f"not {other}") if a.kind == "desiccant")
    assert not answer.in_plan and answer.reasons


def test_solvents_that_lost_are_compared():
    plan = planned(ESTER, "benzoic acid")
    answer = asked(plan, "not toluene")
    assert not answer.in_plan and "points" in answer.verdict
    assert "toluene:" in texts(answer) and "dichloromethane:" in texts(answer)


def test_a_miscible_solvent_makes_no_layer():
    assert "miscible" in asked(planned(ESTER, "benzoic acid"), "not acetone").verdict


def test_a_solvent_against_the_one_asked_for():
    answer = asked(planned(ESTER, "benzoic acid", extract="MTBE"), "not toluene")
    assert "asked for" in answer.verdict


def test_the_reaction_solvent_that_is_stripped():
    answer = asked(planned(ESTER, "benzoic acid", solvent="THF"), "THF")
    assert answer.in_plan


def test_what_stays_says_what_would_take_it():
    answer = asked(planned(ESTER, "acetophenone"), "acetophenone")
    assert "stays-with-product" in rules(answer) and "nothing-takes-it" in rules(answer)


def test_reasons_reach_the_atoms_and_end():
    answer = asked(planned(ESTER, "benzoic acid"), "benzoic acid")
    assert "at atom" in texts(answer)
    leaves = [reason for reason in walk(answer.reasons) if not reason.below]
    assert leaves and all(reason.text for reason in leaves)


def test_a_choice_rests_on_what_was_chosen_not_on_all_that_was_open():
    plan = planned(ESTER, "benzoic acid")
    shown = texts(asked(plan, "benzoic acid"))
    assert "would serve" not in shown
    used = next(step for step in plan.steps if step.action == "wash" and "benzoic" in step.reason)
    told = [r for r in walk(asked(plan, str(used.number)).reasons) if r.rule == "base-takes-acid"]
    assert len(told) == 1


def test_every_step_has_reasons_with_a_source():
    for args in ((ESTER, "benzoic acid", "pyridine"), (BOC, "triethylamine", "HOBt"), ("NCCCCCCCC", "acetophenone")):
        plan = planned(*args)
        for step in plan.steps:
            assert asked(plan, str(step.number)).reasons


@pytest.mark.parametrize("question", ["", "frobnicene", "99", "step 0", "-1"])
def test_what_is_not_known_is_refused(question):
    with pytest.raises(SubjectProblem):
        why(planned(ESTER, "benzoic acid"), question)


def test_near_names_are_offered():
    with pytest.raises(SubjectProblem) as caught:
        why(planned(ESTER, "benzoic acid"), "benzoic acd")
    assert "benzoic acid" in caught.value.near


def test_a_vague_question_is_asked_back():
    with pytest.raises(SubjectProblem) as caught:
        find_subjects("ester")
    assert len(caught.value.near) > 5


def test_lore_without_a_plan():
    brine = lore_on("brine")[0]
    assert brine.kind == "solution" and brine.lines and brine.sources
    assert any("brine" in item.title.casefold() for item in brine.rules)
    assert {entry.kind for entry in lore_on("pyridine")} >= {"solvent", "reagent"}
    assert lore_on("MgSO4")[0].kind == "desiccant"
    assert lore_on("acetal")[0].kind == "group"
