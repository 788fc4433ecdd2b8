"""What a plan costs in a long-lived process, where the time goes, and how it grows.

    python tests/benchmarks/cost_of_plans.py [--short]

A thousand different flasks of six components are planned one after another in one process. The time of each is split into
parsing (names and SMILES to a mixture), perception (structures and tables to facts), numbers (trials, ledger, draws),
inference (matching facts and running rules) and rendering (the record and its text). Each is printed as a multiple of a
floor measured in the same run: parsing the same six structures and matching the functional groups with RDKit alone. Then
the number of components goes from 2 to 40, and the number of rules up fourfold, and the exponent of growth is fitted. A
benchmark, not a timed test.
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
from rdkit import Chem, rdBase

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from random_mixtures import PRODUCTS, Flask, reagents

from washlore.cli.render import plan as words
from washlore.cli.render import record as rendering
from washlore.knowledge import groups
from washlore.rules import engine as engines
from washlore.rules import perceive
from washlore.rules import plan as plans
from washlore.rules.mixture import Mixture, MixtureError
from washlore.rules.reckon import PlanRefused

PARTS = ("parsing", "perception", "numbers", "inference", "rendering")


class Clock:
    """Time by part; a part that begins within another stops that one's clock."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = defaultdict(float)
        self._stack: list[str] = []
        self._since = 0.0

    @contextmanager
    def part(self, name: str) -> Iterator[None]:
        self._switch()
        self._stack.append(name)
        try:
            yield
        finally:
            self._switch()
            self._stack.pop()

    def _switch(self) -> None:
        now = time.process_time()
        if self._stack:
            self.spent[self._stack[-1]] += now - self._since
        self._since = now

    def timed(self, name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **kwargs: Any) -> Any:
            with self.part(name):
                return function(*args, **kwargs)

        return call


def flasks(count: int, components: int, seed: int = 1) -> list[Mixture]:
    """Return as many different flasks with so many components each."""
    rng = random.Random(f"{seed} {components}")
    products = [
        p for kind, of_kind in PRODUCTS.items() if kind not in ("activated", "polyol", "amino acid") for p in of_kind
    ]
    found: list[Mixture] = []
    while len(found) < count:
        mmol = round(rng.uniform(2, 20), 2)
        others = tuple(
            (r.smiles, round(mmol * rng.uniform(0.05, 1.5), 3), "reagent")
            for r in rng.sample(reagents(), components - 1)
        )
        drawn = Flask("", rng.choice(products), mmol, others, (("dichloromethane", 5 * mmol),))
        try:
            found.append(drawn.built())
        except MixtureError:
            continue
    return found


def plan_all(mixtures: list[Mixture], clock: Clock) -> int:
    """Plan and render each mixture under the clock; return how many were refused."""
    base = engines._Base
    patches = [
        mock.patch.object(plans, "observe", clock.timed("perception", perceive.observe)),
        mock.patch.object(plans, "prepare", clock.timed("perception", perceive.prepare)),
        mock.patch.object(base, "begin", clock.timed("inference", base.begin)),
        mock.patch.object(base, "declare", clock.timed("inference", base.declare)),
        mock.patch.object(base, "reset", clock.timed("inference", base.reset)),
    ]
    refused = 0
    with clock.part("other"):
        for patch in patches:
            patch.start()
        try:
            for mixture in mixtures:
                try:
                    with clock.part("numbers"):
                        made = plans.make_plan(mixture)
                    with clock.part("rendering"):
                        words.plan_text(rendering.plan_record(made), 100)
                except PlanRefused:
                    refused += 1
        finally:
            for patch in patches:
                patch.stop()
    return refused


def floor_ms(mixtures: list[Mixture]) -> float:
    """Return what RDKit alone needs for the structures of one mixture: parsing, and matching the functional groups."""
    patterns = [
        pattern
        for pattern in (Chem.MolFromSmarts(row.smarts) for row in groups.table(groups.Group).values())
        if pattern
    ]
    begun = time.process_time()
    with rdBase.BlockLogs():
        for mixture in mixtures:
            for component in mixture.components:
                mol = Chem.MolFromSmiles(component.smiles)
                for pattern in patterns:
                    mol.GetSubstructMatches(pattern)
    return 1000 * (time.process_time() - begun) / len(mixtures)


def exponent(sizes: list[int], times: list[float]) -> float:
    """Return b of time = a size^b, fitted to the logarithms."""
    return float(np.polyfit(np.log(sizes), np.log(times), 1)[0])


def growth_with_components(repeats: int, sizes: list[int]) -> tuple[list[float], list[float]]:
    """Return the time in ms of the whole plan, and of inference, for each number of components."""
    whole, inference = [], []
    for size in sizes:
        mixtures = flasks(repeats, size)
        plan_all(mixtures, Clock())  # what is kept by structure is warm, as in a long use
        clock = Clock()
        plan_all(mixtures, clock)
        whole.append(1000 * sum(clock.spent.values()) / repeats)
        inference.append(1000 * clock.spent["inference"] / repeats)
    return whole, inference


def growth_with_rules(repeats: int, times: list[int]) -> list[float]:
    """Return the time in ms of inference where every rule is there so many times over (copies conclude the same)."""
    mixtures = flasks(repeats, 6)
    found = []
    for n in times:
        lore = [replace(item, id=f"{item.id}-{i}" if i else item.id) for item in engines.all_lore() for i in range(n)]
        made = engines.build_engine(lore)
        with mock.patch.object(plans, "engine", lambda place=0, made=made: made):
            plan_all(mixtures, Clock())
            clock = Clock()
            plan_all(mixtures, clock)
        found.append(1000 * clock.spent["inference"] / repeats)
    return found


def main() -> None:
    """Print the costs."""
    short = "--short" in sys.argv
    count = 12 if short else 1000
    clock = Clock()
    begun = time.process_time()
    mixtures = flasks(count, 6)
    parsing = 1000 * (time.process_time() - begun) / count
    plan_all(mixtures[:3], Clock())
    floor = floor_ms(mixtures)
    refused = plan_all(mixtures, clock)
    spent = {part: 1000 * clock.spent[part] / count for part in PARTS} | {"parsing": parsing}
    print(f"{count} flasks of six components, {refused} refused")
    print(f"floor (RDKit: parse, match the groups)  {floor:7.2f} ms   1.0 x")
    for part in PARTS:
        print(f"{part:38}  {spent[part]:7.2f} ms  {spent[part] / floor:4.1f} x")
    whole = sum(spent.values())
    print(f"{'whole':38}  {whole:7.2f} ms  {whole / floor:4.1f} x")
    print(
        f"inference / (perception + numbers)      {spent['inference'] / (spent['perception'] + spent['numbers']):7.2f}"
    )
    sizes = [2, 6, 14] if short else [2, 4, 8, 12, 20, 30, 40]
    all_ms, inference_ms = growth_with_components(2 if short else 15, sizes)
    print(f"components {sizes}: whole {[round(t, 1) for t in all_ms]} ms, exponent {exponent(sizes, all_ms):.2f}")
    print(
        f"components {sizes}: inference {[round(t, 1) for t in inference_ms]} ms, exponent {exponent(sizes, inference_ms):.2f}"
    )
    times = [1, 2] if short else [1, 2, 3, 4]
    rules_ms = growth_with_rules(3 if short else 30, times)
    print(f"rules x {times}: inference {[round(t, 1) for t in rules_ms]} ms, exponent {exponent(times, rules_ms):.2f}")
    assert all(math.isfinite(t) for t in (*all_ms, *rules_ms))


if __name__ == "__main__":
    main()
