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


# ---- each line, at its limits


def lines(seen: Grounds, rubric: Rubric | None = None) -> list[tuple[float, str, str]]:
    return [(line.points, line.what, line.why) for line in mark(seen, rubric or Rubric()).lines]


def test_recovery_earns_in_proportion_up_to_what_earns_all():
    def line(recovered: float) -> tuple[float, str]:
        points, _, why = lines(replace(CLEAN, recovered=recovered))[0]
        return points, why

    assert line(0.45) == (1.5, "45 % is recovered; full credit from 90 %")
    assert line(0.9) == (3.0, "90 % is recovered") and line(0.95) == (3.0, "95 % is recovered")
    assert line(0.123) == (0.41, "12 % is recovered; full credit from 90 %")
    nothing_else = mark(Grounds("ok", 0.45, (), ()), Rubric()).lines
    assert (nothing_else[0].points, nothing_else[0].of) == (4.0, 8.0)


def test_an_impurity_at_its_target_is_out_and_above_it_is_not_where_it_is_blamed():
    blamed = (Fault("hazard", "x", "X", 1, ("pyridine",)),)

    def line(left: float, faults: tuple[Fault, ...] = (), rubric: Rubric | None = None) -> tuple[float, str, str]:
        return lines(Grounds("ok", 1.0, (Leftover("pyridine", left, 0.01),), faults), rubric)[1]

    assert line(0.01) == (5.0, "pyridine taken out", "1.0 % is left; 1.0 % may be")
    assert line(0.02)[0] == 5.0 and "within what the estimate can tell" in line(0.02)[2]
    assert line(0.02, blamed)[::2] == (0.0, "2.0 % is left; 1.0 % may be") and line(0.01, blamed)[0] == 5.0
    assert line(0.02, (replace(blamed[0], kind="technique"),))[0] == 5.0
    own = Rubric(impurity={"pyridine": Wanted(None, 0.05)})
    assert line(0.05, (), own)[::2] == (5.0, "5.0 % is left; 5.0 % may be") and line(0.06, (), own)[0] == 0.0


def test_what_impurities_are_worth():
    rubric = Rubric(impurity={"a": Wanted(2.0), "b": Wanted(1.0), "c": Wanted(None, 0.1)})
    assert worths(["a", "c", "d"], rubric) == {"a": 2.0, "c": 1.5, "d": 1.5}
    # where all are named they share what there is in the proportion that was said
    assert worths(["A", "b"], rubric) == pytest.approx({"A": 10 / 3, "b": 5 / 3}) and worths([], rubric) == {}
    assert worths(["a"], Rubric(impurity={"a": Wanted(0.0)})) == {"a": 0.0}
    assert worths(["a", "d"], Rubric(impurity={"a": Wanted(7.0)})) == {"a": 7.0, "d": 0.0}


def test_hazards_are_counted():
    def line(count: int) -> tuple[float, str, str]:
        return lines(replace(CLEAN, faults=tuple(Fault("hazard", f"h{n}", "H") for n in range(count))))[3]

    assert line(0) == (2.0, "no hazard", "nothing was found that can hurt someone")
    assert line(1) == (0.0, "no hazard", "hazards found: 1") and line(2)[2] == "hazards found: 2"


def test_what_a_kind_takes_and_where_it_ends():
    faults = tuple(Fault("leftover", f"r{n}", f"R{n}", n or None) for n in range(5))
    taken = [x for x in lines(replace(CLEAN, faults=faults)) if x[1].startswith("leftover")]
    more = "(no more is taken for this kind)"
    assert taken == [
        (-0.5, "leftover", "R0"),
        (-0.5, "leftover, step 1", "R1"),
        (-0.5, "leftover, step 2", "R2"),
        (0.0, "leftover, step 3", f"R3 {more}"),
        (0.0, "leftover, step 4", f"R4 {more}"),
    ]
    # a part of it is taken where only a part is left
    large = [x for x in lines(replace(CLEAN, faults=faults[:2]), Rubric(rules={"r1": 1.2})) if x[1].startswith("left")]
    assert large == [(-0.5, "leftover", "R0"), (-1.0, "leftover, step 1", f"R1 {more}")]
    # a rule that takes nothing has no line, a kind without an end takes each time
    assert not [x for x in lines(replace(CLEAN, faults=faults[:1]), Rubric(rules={"r0": 0.0})) if "leftover" in x[1]]
    hazards = tuple(Fault("hazard", "h", "H") for _ in range(3))
    assert [x[0] for x in lines(replace(CLEAN, faults=hazards)) if x[1] == "hazard"] == [-1.0, -1.0, -1.0]


def test_a_mark_ends_at_its_cap_at_nothing_and_at_all():
    def last(total_off: float, verdict: str = "ok", rubric: Rubric | None = None) -> tuple[float, list[str]]:
        fault = (Fault("technique", "t", "T"),)
        seen = replace(CLEAN, verdict=verdict, faults=fault)
        own = replace(rubric or Rubric(), rules={"t": total_off}, most_off={}, round_to=0.0)
        made = mark(seen, own)
        return made.points, [f"{line.points:g} {line.what}: {line.why}" for line in made.lines[4:] if line.of == 0.0][
            1:
        ]

    assert last(5.0, "dangerous") == (4.0, ["-1 cap: a plan judged dangerous gets 4 at most"])
    assert last(6.0, "dangerous") == (4.0, []) and last(5.0) == (5.0, [])
    assert last(12.0) == (0.0, ["2 floor: no mark is below 0"]) and last(10.0) == (0.0, [])
    generous = Rubric(out_of=8.0)
    assert last(1.0, rubric=generous) == (8.0, ["-1 ceiling: no mark is above 8"]) and last(2.0, rubric=generous) == (
        8.0,
        [],
    )


@pytest.mark.parametrize(
    ("off", "to", "points"),
    [
        (0.25, 0.5, 10.0),
        (0.26, 0.5, 9.5),
        (0.5, 0.5, 9.5),
        (0.3, 0.0, 9.7),
        (0.3, 1.0, 10.0),
        (0.6, 1.0, 9.0),
        (0.7, 0.25, 9.25),
    ],
)
def test_a_mark_is_rounded_to_the_nearest_step_and_a_half_goes_up(off: float, to: float, points: float):
    made = mark(replace(CLEAN, faults=(Fault("technique", "t", "T"),)), Rubric(rules={"t": off}, round_to=to))
    assert made.points == pytest.approx(points)
    changed = abs(10 - off - points) > 1e-6
    assert [x.why for x in made.lines if x.what == "rounding"] == ([f"to the nearest {to:g}"] if changed else [])


def test_what_was_not_read_has_one_line():
    assert lines(Grounds("unreadable", 0.0, (), ())) == [(0.0, "not marked", "no step of a workup was read")]


def test_numbers_of_a_rubric_at_their_limits():
    assert rubric_from_table({"recovered_percent": 100}).recovered == 1.0
    assert rubric_from_table({"round_to": 0}).round_to == 0.0
    assert rubric_from_table({"impurity": {"Pyridine": {"points": 5}}}).impurity == {"pyridine": Wanted(5.0, None)}
    for wrong in (
        {"recovered_percent": 101},
        {"round_to": 1e6},
        {"impurity": []},
        {"impurity": {"a": {"left_percent": "x"}}},
    ):
        with pytest.raises(RubricError, match=r"\[rubric"):
            rubric_from_table(wrong)


def test_no_mark_is_rounded_beyond_the_whole_and_none_without_rounding():
    assert mark(CLEAN, Rubric(round_to=4)).points == 10
    assert mark(replace(CLEAN, recovered=0.5), Rubric(round_to=4)).points == 8
    assert mark(replace(CLEAN, recovered=0.5), Rubric(round_to=0)).points == pytest.approx(
        10 - 3 * (1 - 0.5 / 0.9), abs=0.01
    )


def test_a_table_of_impurities_that_is_none_is_refused():
    with pytest.raises(RubricError, match="one for each impurity"):
        rubric_from_table({"impurity": 3})
