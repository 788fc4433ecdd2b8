"""The indexed matcher finds what trying every combination of facts finds, however the facts arrive."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from washlore.rules.borrowed import AND, P, W
from washlore.rules.engine import MATCH, NOT, OR, TEST, Fact, L, build_engine, rule


class A(Fact):
    slots = ("x", "y")


class B(Fact):
    slots = ("x", "z")


class Seen(Fact):
    slots = ("rule", "values")


def lore(name, names, *conditions):
    def act(ke, **matched):
        ke.conclude(Seen(rule=name, values=tuple(matched[n] for n in names)), "seen")

    act.__name__ = name
    return rule(*conditions, stage="classify", title="T", why="w", sources=("crc",))(act)


RULES = [
    lore("pair", "xyz", A(x=MATCH.x, y=MATCH.y), B(x=MATCH.x, z=MATCH.z)),
    lore("twice", "xyw", A(x=MATCH.x, y=MATCH.y), A(x=MATCH.w, y=MATCH.x)),
    lore("denied", "xy", A(x=MATCH.x, y=MATCH.y), NOT(B(x=MATCH.x, z=1))),
    lore("tested", "xyz", A(x=MATCH.x, y=MATCH.y & ~L(0)), TEST(lambda y, z: y < z), B(x=MATCH.x, z=MATCH.z)),
    lore("either", "x", OR(A(x=MATCH.x, y=2), AND(B(x=MATCH.x, z=0), A(x=MATCH.x, y=0)))),
    lore("predicate", "x", B(x=MATCH.x & P(lambda x: x > 0), z=~P(lambda z: z > 1))),
    lore("literal", "y", A(x=L(1), y=MATCH.y)),
    lore("with any", "x", A(x=MATCH.x, y=W()), B(x=MATCH.x, z=2)),
]


def brute(a, b):
    """Return what the rules say of the pairs ``a`` and ``b``, by trying all combinations."""
    found = {("pair", (x, y, z)) for (x, y), (u, z) in itertools.product(a, b) if x == u}
    found |= {("twice", (x, y, w)) for (x, y), (w, v) in itertools.product(a, a) if v == x}
    found |= {("denied", (x, y)) for x, y in a if (x, 1) not in b}
    found |= {("tested", (x, y, z)) for (x, y), (u, z) in itertools.product(a, b) if x == u and y != 0 and y < z}
    found |= {("either", (x,)) for x, y in a if y == 2 or (y == 0 and (x, 0) in b)}
    found |= {("literal", (y,)) for x, y in a if x == 1}
    found |= {("with any", (x,)) for x, _ in a if (x, 2) in b}
    return found | {("predicate", (x,)) for x, z in b if x > 0 and z <= 1}


pairs = st.sets(st.tuples(st.integers(0, 3), st.integers(0, 2)), max_size=9)
ENGINE = build_engine(RULES)


@settings(max_examples=150, deadline=None)
@given(pairs, pairs, st.randoms(use_true_random=False))
def test_all_matches_are_found_whatever_comes_first(a, b, order):
    facts = [A(x=x, y=y) for x, y in a] + [B(x=x, z=z) for x, z in b]
    order.shuffle(facts)
    ENGINE.reset()
    for fact in facts:
        ENGINE.observe(fact, "given")
    ENGINE.begin("classify")
    assert {(f["rule"], f["values"]) for _, f in ENGINE.facts_of(Seen)} == brute(a, b)


@settings(max_examples=100, deadline=None)
@given(pairs, pairs)
def test_facts_that_come_after_the_stage_has_begun_are_matched_too(a, b):
    """Denials are left out: what was concluded before the denied fact came stays."""
    ENGINE.reset()
    ENGINE.begin("classify")
    for x, z in b:
        ENGINE.observe(B(x=x, z=z), "given")
    ENGINE.run()
    for x, y in a:
        ENGINE.observe(A(x=x, y=y), "given")
    ENGINE.run()
    assert {(f["rule"], f["values"]) for _, f in ENGINE.facts_of(Seen)} == brute(a, b)


def test_conditions_that_are_not_matched_are_refused_when_the_engine_is_built():
    with pytest.raises(TypeError, match="goes before a literal"):
        build_engine([lore("bad", "x", A(x=~MATCH.x))])
    with pytest.raises(TypeError, match="one pattern can be denied"):
        build_engine([lore("bad", "x", A(x=MATCH.x), NOT(AND(A(x=1), B(x=1))))])
    with pytest.raises(TypeError, match="not a condition"):
        build_engine([lore("bad", "x", A(x=MATCH.x), L(1))])


def test_a_fact_is_never_taken_back():
    ENGINE.reset()
    with pytest.raises(NotImplementedError, match="never retracted"):
        ENGINE.matcher.changes(deleting=[A(x=1, y=2)])


def test_a_stage_that_there_is_not_is_refused():
    with pytest.raises(ValueError, match="'tidy' is not a stage"):
        rule(A(x=1), stage="tidy", title="T", why="w", sources=("crc",))
