"""Marks: every line of the account, caps, rounding, rubrics as tables, and a mark from a real judgement."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

from washlore.rules.judge import consider, judge
from washlore.rules.marking import (
    Fault,
    Grounds,
    Leftover,
    Rubric,
    RubricError,
    Wanted,
    grounds,
    mark,
    rubric_from_table,
    rubric_toml,
    worths,
)
from washlore.rules.mixture import build
from washlore.rules.reading import read_plan

CLEAN = Grounds("ok", 0.99, (Leftover("pyridine", 0.001, 0.01), Leftover("benzoic acid", 0.0, 0.01)), ())


def test_a_sound_plan_gets_all_and_says_for_what():
    made = mark(CLEAN, Rubric())
    assert made.points == made.out_of == 10
    assert [line.what for line in made.lines] == [
        "product recovered",
        "pyridine taken out",
        "benzoic acid taken out",
        "no hazard",
    ]


def test_the_lines_add_up_to_the_mark():
    for recovered in (0.0, 0.33, 0.71, 0.9, 1.0):
        for faults in ((), (Fault("loss", "x", "X"),), tuple(Fault("technique", f"t{n}", "T") for n in range(5))):
            made = mark(replace(CLEAN, recovered=recovered, faults=faults, verdict="flawed"), Rubric())
            assert made.points == pytest.approx(sum(line.points for line in made.lines))
            assert 0 <= made.points <= made.out_of
            assert (made.points * 2) % 1 == 0


def test_what_is_left_costs_its_credit_and_one_that_cannot_be_told_does_not():
    left = (Leftover("pyridine", 0.4, 0.01), Leftover("benzoic acid", 0.02, 0.01))
    fault = Fault("leftover", "nothing-touches-it", "It stays", None, ("pyridine",))
    made = mark(Grounds("flawed", 1.0, left, (fault,)), Rubric())
    lines = {line.what: line for line in made.lines}
    assert lines["pyridine taken out"].points == 0
    assert lines["benzoic acid taken out"].points == 2.5 and "not held against" in lines["benzoic acid taken out"].why
    assert lines["leftover"].points == -0.5


def test_a_target_of_the_rubric_is_held_to():
    rubric = rubric_from_table({"impurity": {"pyridine": {"points": 4, "left_percent": 0.05}}})
    assert worths(["pyridine", "benzoic acid"], rubric) == {"pyridine": 4, "benzoic acid": 1}
    assert mark(CLEAN, rubric).points == 6


def test_a_kind_takes_no_more_than_its_most_and_a_rule_may_weigh_otherwise():
    faults = tuple(Fault("technique", f"rule-{n}", "T", n) for n in range(1, 6))
    assert mark(replace(CLEAN, faults=faults), Rubric()).points == 9
    assert (
        mark(
            replace(CLEAN, faults=faults), Rubric(rules={"rule-1": 0.0, "rule-2": 0.0, "rule-3": 0.0, "rule-4": 0.0})
        ).points
        == 9.5
    )


def test_a_hazard_costs_its_credit_and_caps_the_mark():
    made = mark(
        replace(CLEAN, verdict="dangerous", faults=(Fault("hazard", "gas", "Gas", 1, ("pyridine",)),)), Rubric()
    )
    assert made.points == 4
    assert any(line.what == "cap" and "dangerous" in line.why for line in made.lines)


def test_no_mark_for_what_was_not_read():
    assert mark(Grounds("unreadable", 0.0, (), ()), Rubric()).points is None


def test_without_impurities_the_product_is_worth_their_points_too():
    assert mark(Grounds("ok", 1.0, (), ()), Rubric()).points == 10


def test_a_real_judgement_is_marked():
    flask = build(
        "CCOC(=O)/C=C/c1ccccc1",
        [("pyridine", "12 mmol", None), ("benzoic acid", "1 mmol", None)],
        solvents=[("DCM", 40.0)],
    )
    thought = consider(flask)
    good = "Wash with 2 x 15 mL 1 M HCl, 2 x 15 mL sat. NaHCO3 and brine. Dry over MgSO4, filter, evaporate."
    bad = "Wash with 2 x 20 mL brine. Dry over MgSO4, filter, evaporate."
    seen = grounds(judge(read_plan(bad), thought))
    assert {i.name for i in seen.impurities} == {"pyridine", "benzoic acid"}
    assert {name for fault in seen.faults for name in fault.about} == {"pyridine", "benzoic acid"}
    assert mark(grounds(judge(read_plan(good), thought)), Rubric()).points == 10
    assert mark(seen, Rubric()).points < 5


def test_the_default_can_be_printed_and_read_again():
    assert rubric_from_table(tomllib.loads(rubric_toml(Rubric()))["rubric"]) == Rubric()
    odd = Rubric(rules={"not-dried": 2.0}, impurity={"p-toluic acid": Wanted(1.0, 0.005), "x, y": Wanted(None, 0.5)})
    assert rubric_from_table(tomllib.loads(rubric_toml(odd))["rubric"]) == odd


@pytest.mark.parametrize(
    ("table", "word"),
    [
        ({"colour": 1}, "keys are"),
        ({"out_of": "ten"}, "number of points"),
        ({"out_of": True}, "number of points"),
        ({"out_of": 20}, "add up to 10"),
        ({"product": -1}, "0 or more"),
        ({"off": {"typo": 1}}, "none of hazard"),
        ({"off": 3}, "table"),
        ({"rules": {"not-dryed": 1}}, "not-dried"),
        ({"recovered_percent": 0}, "percentage"),
        ({"impurity": {"pyridine": {"points": 9}}}, "all there is"),
        ({"impurity": {"pyridine": 1}}, "must be a table"),
        ({"impurity": {"pyridine": {"worth": 1}}}, "keys are points"),
        ({"out_of": 0, "product": 0, "impurities": 0, "no_hazard": 0}, "above 0"),
    ],
)
def test_a_faulty_rubric_is_refused_with_the_place(table, word):
    with pytest.raises(RubricError, match="rubric") as caught:
        rubric_from_table(table)
    assert word in str(caught.value)
