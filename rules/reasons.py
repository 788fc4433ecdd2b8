"""Trees of reasons: from a fact of a plan, conclusion first, down to matched atoms, numbers and table rows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from washlore.knowledge.records import dataclass, field
from washlore.rules import facts as f
from washlore.rules.engine import Lore, Reason, all_lore
from washlore.rules.plan import Plan


@dataclass(frozen=True)
class Reasoned:
    """A statement with what it rests on. ``rule`` is empty for what was given, seen or computed.

    ``repeated`` marks a statement whose reasons stand further up in the same answer. ``sources`` are keys.
    """

    text: str
    rule: str = ""
    title: str = ""
    why: str = ""
    sources: tuple[str, ...] = ()
    below: tuple[Reasoned, ...] = ()
    repeated: bool = False


def walk(reasons: Iterable[Reasoned]) -> Iterator[Reasoned]:
    """Yield reasons and all that is below them, depth first."""
    for reason in reasons:
        yield reason
        yield from walk(reason.below)


def ids_of(plan: Plan, kind: type[f.Fact], /, **slots: Any) -> list[int]:
    """Return the ids of the facts of a kind with the given slot values."""
    return [i for i, _ in plan.facts_of(kind, **slots)]


@dataclass
class Grower:
    """Grows trees of reasons from fact ids; what stands in an earlier tree is not spelt out again."""

    plan: Plan
    seen: set[int] = field(default_factory=set)
    lore: dict[str, Lore] = field(default_factory=lambda: {item.id: item for item in all_lore()})

    def trees(self, fact_ids: Iterable[int]) -> tuple[Reasoned, ...]:
        """Return one tree for each reason of each fact; facts that stand further up already are left out."""
        found: list[Reasoned] = []
        for fact_id in dict.fromkeys(fact_ids):
            if fact_id not in self.seen:
                found += self._grow(fact_id)
        return tuple(found)

    def _grow(self, fact_id: int) -> list[Reasoned]:
        known = self.plan.everything.get(fact_id)
        if known is None:
            return []
        again = fact_id in self.seen
        if again and type(known.fact) is f.Component:
            return []  # that a compound is in the flask needs to be said once
        self.seen.add(fact_id)
        found = []
        for reason, facts in _merged(known.reasons):
            item = self.lore.get(reason.rule)
            below: list[Reasoned] = []
            if not again:
                for inner in facts:
                    if not self._beside(known.fact, inner):
                        below += self._grow(inner)
            found.append(
                Reasoned(
                    reason.text,
                    item.id if item else "",
                    item.title if item else "",
                    item.why if item else "",
                    reason.sources,
                    tuple(below),
                    again and bool(facts),
                )
            )
        return found

    def _beside(self, conclusion: f.Fact, inner: int) -> bool:
        """Tell whether a fact only let a choice begin: what another solution would do does not speak for the chosen."""
        fact = self.plan.everything[inner].fact
        return (
            type(conclusion) is f.Chosen
            and type(fact) in (f.Takes, f.Thins)
            and fact["solution"] != conclusion["solution"]
        )


def _merged(reasons: Sequence[Reason]) -> list[tuple[Reason, tuple[int, ...]]]:
    """Return each thing said by each rule once, with the facts that it rests on.

    A rule that fires once for each of several facts, and says the same each time, rests on what those have in common.
    """
    said: dict[tuple[str, str], list[Reason]] = {}
    for reason in reasons:
        said.setdefault((reason.rule, reason.text), []).append(reason)
    merged = []
    for alike in said.values():
        common = set(alike[0].facts).intersection(*(r.facts for r in alike))
        merged.append((alike[0], tuple(i for i in alike[0].facts if i in common) or alike[0].facts))
    return merged
