"""experta, cured: stale negations, order, slots, provenance, and no trace left by the import."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from washlore.rules.engine import MATCH, NOT, Fact, build_engine, rule

COMMON = {"stage": "classify", "title": "T", "why": "because", "sources": ("crc",)}


class Given(Fact):
    slots = ("value",)


class Found(Fact):
    slots = ("value",)


class Later(Fact):
    slots = ("value",)


def _named(name: str, act, *conditions, **options):
    act.__name__ = name
    return rule(*conditions, **{**COMMON, **options})(act)


def test_negated_rules_do_not_fire_once_the_fact_is_there() -> None:
    rules = [
        _named(f"absent_{i}", lambda k, i=i: k.conclude(Found(value=f"absent {i}"), "no Given"), NOT(Given()))
        for i in range(20)
    ]
    ke = build_engine(rules)
    ke.reset()
    ke.observe(Given(value=1), "given")
    ke.begin("classify")
    assert ke.fired == []


def test_negated_rules_are_dropped_when_the_fact_arrives_while_running() -> None:
    rules = [
        _named(f"absent_{i}", lambda k, i=i: k.conclude(Found(value=f"absent {i}"), "no Given"), NOT(Given()))
        for i in range(20)
    ]
    rules.append(_named("first", lambda k: k.conclude(Given(value=1), "now"), NOT(Found(value="x")), salience=5))
    ke = build_engine(rules)
    ke.reset()
    ke.begin("classify")
    assert ke.fired == ["first"]


TRACE = """
from washlore.rules.engine import MATCH, Fact, build_engine, rule
class A(Fact): slots = ("v",)
class B(Fact): slots = ("v", "by")
def make(i):
    def act(k, v): k.conclude(B(v=v, by=i), "seen")
    act.__name__ = f"rule_{i}"
    return rule(A(v=MATCH.v), stage="classify", title="T", why="w", sources=("crc",))(act)
ke = build_engine([make(i) for i in range(12)])
ke.reset()
for v in ("x", "y", "z"): ke.observe(A(v=v), "given")
ke.begin("classify")
print(ke.fired)
from washlore.rules.mixture import build
from washlore.rules.plan import make_plan
plan = make_plan(build("CCOC(=O)C=Cc1ccccc1", [("pyridine", None, None), ("benzoic acid", None, None)]), draws=8)
print(plan.fired, [(s.instruction, s.reason) for s in plan.steps], plan.left)
"""


def test_the_trace_is_the_same_under_any_hash_seed() -> None:
    traces = {
        subprocess.run(
            [sys.executable, "-c", TRACE],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "1", "2026")
    }
    assert len(traces) == 1


def test_a_misspelt_slot_is_refused_in_facts_and_patterns() -> None:
    with pytest.raises(TypeError, match="no slot 'valeu'"):
        Given(valeu=1)
    with pytest.raises(TypeError, match="no slot 'valeu'"):
        rule(Given(valeu=MATCH.v), **COMMON)(lambda k: None)


def test_an_incomplete_fact_is_refused() -> None:
    ke = build_engine([_named("any", lambda k: None, Given())])
    ke.reset()
    with pytest.raises(TypeError, match="lacks value"):
        ke.observe(Given(), "nothing in it")


def test_conclusions_record_their_rule_and_the_facts_matched() -> None:
    ke = build_engine(
        [
            _named(
                "double", lambda k, v: k.conclude(Found(value=2 * v), f"twice {v}", ("vogel",)), Given(value=MATCH.v)
            ),
            _named(
                "more", lambda k, w: k.conclude(Later(value=f"{w}!"), f"saw {w}"), Found(value=MATCH.w), stage="protect"
            ),
        ]
    )
    ke.reset()
    given = ke.observe(Given(value=3), "three was given", ("crc",))
    ke.begin("classify")
    ke.begin("protect")
    found = next(i for i, fact in ke.facts_of(Later, value="6!"))
    chain = ke.chain(found)
    assert [(r.rule, r.text) for _, r in chain] == [
        ("more", "saw 6"),
        ("double", "twice 3"),
        ("observation", "three was given"),
    ]
    assert chain[1][1].facts == (given,)
    assert chain[1][1].sources == ("crc", "vogel")


def test_conclude_outside_a_rule_is_refused() -> None:
    ke = build_engine([_named("any", lambda k: None, Given())])
    ke.reset()
    with pytest.raises(RuntimeError, match="observe"):
        ke.conclude(Found(value=1), "from nowhere")


def test_reset_forgets_the_last_mixture() -> None:
    ke = build_engine([_named("seen", lambda k, v: k.conclude(Found(value=v), "seen"), Given(value=MATCH.v))])
    for value in (1, 2):
        ke.reset()
        ke.observe(Given(value=value), "given")
        ke.begin("classify")
        assert [fact["value"] for _, fact in ke.facts_of(Found)] == [value]


def test_the_import_leaves_nothing_behind() -> None:
    code = (
        "import collections, logging\n"
        "import washlore.rules.engine\n"
        "assert not hasattr(collections, 'Mapping')\n"
        "assert logging.root.handlers == []\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
