"""Which washes have nothing to do: each reason to wash alone, and the near miss beside it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from washlore.knowledge.rows import Solution, table
from washlore.rules.idle import Met, Natures, idle_washes, opposite, out_of_reach, sides

NATURES = {
    "an acid": ("acid", 4.2),
    "a strong acid": ("acid", 1.9),
    "a phenol": ("weak acid", 10.0),
    "a base": ("base", 9.0),
    "a weak base": ("weak base", 3.0),
    "an amino acid": ("amphoteric", 2.0),
    "a neutral": ("other", 0.0),
}


def natures(*components: str, product: str = "a neutral") -> Natures:
    kinds = {**{c: NATURES[c] for c in components}, "product": NATURES[product]}
    return Natures(
        [{"component": c, "kind": "base" if "base" in k else "acid", "pka": p} for c, (k, p) in kinds.items() if p],
        [{"component": c, "kind": k} for c, (k, _) in kinds.items() if k != "other"],
    )


def wash(
    solution: str, left: Any = 0.0, *, phs: tuple[float, ...] | None = None, did: str = "wash", **more: Any
) -> Any:
    """Return a wash after which a share is ``left`` of each component; by itself nothing moves."""
    row = table(Solution).get(solution)
    return did, solution, left, (row.ph if row else 7.0,) if phs is None else phs, more


def idle(
    *steps: Any,
    others: tuple[str, ...] = ("a neutral",),
    product: str = "a neutral",
    ions: bool = False,
    nearly: float = 1.0,
) -> list[int]:
    share = dict.fromkeys((*others, "product"), more_than_nothing := 1.0)
    mets = []
    for did, solution, left, phs, more in steps:
        before = dict(share)
        share |= left if isinstance(left, dict) else dict.fromkeys(share, more_than_nothing) if left else {}
        mets.append(Met(did, solution, before, dict(share), phs, **more))
    amounts = dict.fromkeys((*others, "product"), 10.0)
    numbers: Any = SimpleNamespace(strong_of={"product": 1.0 if ions else 0.0}, weak_mmol={})
    return idle_washes(mets, natures(*others, product=product), amounts, numbers, 0.01, nearly)


@pytest.mark.parametrize(
    ("steps", "others", "found"),
    [
        # nothing there to take
        ([wash("hcl_1m")], ("a neutral",), [0]),
        ([wash("nahco3_sat")], ("a neutral",), [0]),
        ([wash("hcl_1m"), wash("hcl_1m")], ("a neutral",), [0, 1]),
        # what it takes is there
        ([wash("hcl_1m")], ("a base",), []),
        ([wash("hcl_1m")], ("a weak base",), []),
        ([wash("hcl_1m")], ("an acid",), [0]),
        ([wash("nahco3_sat")], ("an acid",), []),
        ([wash("nahco3_sat")], ("a base",), [0]),
        # but bicarbonate does not reach a phenol
        ([wash("nahco3_sat")], ("a phenol",), [0]),
        ([wash("naoh_1m")], ("a phenol",), []),
        # neutral water and brine are never idle
        ([wash("water")], ("a neutral",), []),
        ([wash("brine")], ("a neutral",), []),
        # base behind acid ends its drops; acid behind base matters to an acid product only
        ([wash("hcl_1m"), wash("nahco3_sat")], ("a base",), []),
        ([wash("nahco3_sat"), wash("hcl_1m")], ("an acid",), [1]),
        # the first portion of a wash may be acid though the last is not
        ([wash("water", phs=(1.0, 7.0)), wash("nahco3_sat")], ("a neutral",), []),
        ([wash("water", phs=(7.0, 7.0)), wash("nahco3_sat")], ("a neutral",), [1]),
        # once gone, it is gone
        ([wash("hcl_1m", {"a base": 0.0}), wash("hcl_1m")], ("a base",), [1]),
        ([wash("hcl_1m", {"a base": 0.0011}), wash("hcl_1m")], ("a base",), []),
        ([wash("hcl_1m", {"a base": 0.001}), wash("hcl_1m")], ("a base",), [1]),
        # a strong acid leaves traces that bicarbonate ends once
        ([wash("water", {"a strong acid": 0.0}), wash("nahco3_sat")], ("a strong acid",), []),
        ([wash("water", {"an acid": 0.0}), wash("nahco3_sat")], ("an acid",), [1]),
        ([wash("nahco3_sat", {"a strong acid": 0.0}), wash("nahco3_sat")], ("a strong acid",), [1]),
        ([wash("nahco3_sat", {"a strong acid": 0.0}, phs=(8.0, 7.5)), wash("nahco3_sat")], ("a strong acid",), []),
        # a quench is spent: a fresh portion makes sure of what it made
        ([wash("nahco3_sat", {"an acid": 0.0}, did="quench"), wash("nahco3_sat")], ("an acid",), []),
        ([wash("nahco3_sat", {"an acid": 0.0}, did="pour"), wash("nahco3_sat")], ("an acid",), [1]),
        ([wash("nahco3_sat", did="quench"), wash("nahco3_sat")], ("a neutral",), [1]),
        # acid that was poured in is ended by base, wherever it came from
        ([wash("hcl_1m", did="pour"), wash("nahco3_sat")], ("a neutral",), []),
        ([wash("", did="cool", phs=(2.9,)), wash("nahco3_sat")], ("a neutral",), []),
        ([wash("", did="cool", phs=(3.0,)), wash("nahco3_sat")], ("a neutral",), [1]),
        ([wash("", did="cool", phs=()), wash("nahco3_sat")], ("a neutral",), [1]),
        # what was stripped off is made sure of, until a wash of that side has come
        ([wash("", {"a base": 0.0}, did="strip", phs=(), stripped=("a base",)), wash("hcl_1m")], ("a base",), []),
        (
            [wash("", {"a base": 0.0}, did="strip", phs=(), stripped=("a base",)), wash("hcl_1m"), wash("hcl_1m")],
            ("a base",),
            [2],
        ),
        (
            [
                wash("", {"an acid": 0.0}, did="strip", phs=(), stripped=("an acid",)),
                wash("nahco3_sat"),
                wash("nahco3_sat"),
            ],
            ("an acid",),
            [2],
        ),
        ([wash("", {"an acid": 0.0}, did="strip", phs=(), stripped=("an acid",)), wash("hcl_1m")], ("an acid",), [1]),
        # no wash, or one that met nothing, is not judged
        ([wash("hcl_1m", phs=())], ("a neutral",), []),
        ([wash("hcl_1m", did="quench")], ("a neutral",), []),
        # a buffer near pH 7 serves as both
        ([wash("phosphate_ph7")], ("a neutral",), [0]),
        ([wash("phosphate_ph7")], ("an acid",), []),
        # alone with the product there is nothing to say
        ([wash("hcl_1m")], (), []),
    ],
)
def test_a_wash_is_idle_unless_something_is_there_for_it(
    steps: list[Any], others: tuple[str, ...], found: list[int]
) -> None:
    assert idle(*steps, others=others) == found


def test_what_a_wash_binds_or_moves_is_enough() -> None:
    assert idle(wash("na2s2o3_10", binds=True)) == []
    # a hundredth of the product's amount moved
    assert idle(wash("nahco3_sat", {"a base": 0.99}), others=("a base",)) == []
    assert idle(wash("nahco3_sat", {"a base": 0.991}), others=("a base",)) == [0]
    # to a planner a little more is nothing yet
    assert idle(wash("nahco3_sat", {"a base": 0.985}), others=("a base",), nearly=2.0) == [0]
    assert idle(wash("nahco3_sat", {"a base": 0.98}), others=("a base",), nearly=2.0) == []
    steps = wash("hcl_1m", {"a base": 0.0015}), wash("hcl_1m")
    assert (idle(*steps, others=("a base",)), idle(*steps, others=("a base",), nearly=2.0)) == ([], [1])
    # what is out of its reach is not moved by it
    assert idle(wash("nahco3_sat", {"a phenol": 0.9}), others=("a phenol",)) == [0]


def test_acid_behind_base_sets_an_acid_product_free() -> None:
    steps = wash("nahco3_sat"), wash("hcl_1m")
    for product, found in (("an acid", [0]), ("a phenol", [0]), ("an amino acid", [0]), ("a base", [0, 1])):
        assert idle(*steps, product=product) == found


def test_the_first_wash_of_all_meets_the_ions_of_the_flask() -> None:
    assert idle(wash("hcl_1m"), ions=True) == []
    assert idle(wash("hcl_1m"), wash("hcl_1m"), ions=True) == [1]
    assert idle(wash("water"), wash("hcl_1m"), ions=True) == [1]
    assert idle(wash("water", did="pour"), wash("hcl_1m"), ions=True) == [1]


def test_sides_and_reach() -> None:
    rows = table(Solution)
    got = {key: sides(rows[key]) for key in ("hcl_1m", "nahco3_sat", "phosphate_ph7", "water", "brine")}
    assert got == {
        "hcl_1m": ("acid",),
        "nahco3_sat": ("base",),
        "phosphate_ph7": ("acid", "base"),
        "water": (),
        "brine": (),
    }
    assert (opposite("acid"), opposite("base")) == ("base", "acid")
    known = natures("a phenol", "an acid", "a base", "a weak base", product="an acid")
    # an acid one unit above the pH is still reached, and a base one unit below
    assert [out_of_reach(known, "base", ph, "a phenol") for ph in (8.9, 9.0)] == [True, False]
    assert [out_of_reach(known, "acid", ph, "a weak base") for ph in (4.0, 4.1)] == [False, True]
    assert not out_of_reach(known, "acid", 14.0, "an acid") and not out_of_reach(known, "base", 0.0, "a base")
    assert not out_of_reach(known, "base", 0.0, "product")


def test_what_a_component_is_and_its_pka() -> None:
    known = Natures(
        [{"component": "c1", "kind": k, "pka": p} for k, p in (("acid", 2.3), ("base", 9.7))],
        [{"component": "c1", "kind": k} for k in ("acid", "base", "salt")],
    )
    assert known.kind("c1") == "acid" and known.pka("c1") == 2.3
    known.kinds["c1"].add("amphoteric")
    assert known.kind("c1") == "amphoteric" and known.pka("c1") == 2.3
    known.kinds["c1"] = {"weak base", "salt"}
    assert known.kind("c1") == "weak base" and known.pka("c1") == 9.7
    assert known.kind("c9") == "other" and known.pka("c9") == 7.0
