"""The inference engine: experta, cured of its known faults, with automatic provenance.

What is cured beside the import (``rules/borrowed.py``) and the speed of matching (``rules/matcher.py``):

* experta's agenda keeps activations whose negated condition has become false, and orders equal saliences by hash. The
  strategy below removes stale activations and orders by salience, then fact ids, then rule name.
* A misspelt slot matches nothing, silently. Facts here name their slots and reject any other, in patterns too.

Facts are only ever declared, never retracted. Each one records why it is there: the rule that concluded it and the
facts that rule matched, or the observation it came from.
"""

from __future__ import annotations

import collections
import importlib
import inspect
import os
from bisect import insort
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, wraps
from typing import Any, ClassVar, TypeVar

from washlore.knowledge.records import dataclass, field
from washlore.rules.borrowed import AND, ANDFC, MATCH, NOT, NOTFC, OR, TEST, KnowledgeEngine, L, P, Rule, Strategy, W
from washlore.rules.borrowed import Fact as _Fact
from washlore.rules.matcher import Activation, IndexedMatcher

__all__ = ["AND", "MATCH", "NOT", "OR", "TEST", "Case", "Fact", "L", "Lore", "P", "all_lore", "build_engine", "rule"]

# The order in which a mixture is thought through. A rule with a negated condition may only deny what an earlier
# stage concludes; ``tests/test_engine.py`` holds the rules to that.
STAGES = (
    "classify",
    "part",
    "free",
    "protect",
    "remove",
    "compare",
    "stick",
    "decide",
    "arrange",
    "again",
    "foresee",
    "warn",
)


_UNCHANGING = frozenset((str, float, int, bool, type(None), W, L, P, ANDFC, NOTFC))


class Fact(_Fact):
    """A fact with declared ``slots``; any other slot is refused with ``TypeError``, in a pattern as in a fact."""

    slots: ClassVar[tuple[str, ...]] = ()

    def __init__(self, **values: Any) -> None:
        slots, unchanging = self.slots, True
        for slot, value in values.items():
            if slot not in slots and not slot.startswith("__"):
                raise TypeError(f"{type(self).__name__} has no slot {slot!r}; its slots are {', '.join(self.slots)}")
            if type(value) not in _UNCHANGING:
                unchanging = False
        # As experta fills a fact, which looks up for each value how its kind is frozen; these are as they are.
        self.__defaults: dict[str, Any] = {}
        if unchanging:
            dict.update(self, values)
        else:
            for slot, value in values.items():
                self[slot] = value

    def validate(self) -> None:
        """Refuse a fact with an empty slot (patterns may leave slots open, declared facts may not)."""
        missing = [slot for slot in self.slots if slot not in self]
        if missing:
            raise TypeError(f"{type(self).__name__} lacks {', '.join(missing)}")


class Stage(Fact):
    """The stage of reasoning that has begun."""

    slots = ("name",)


@dataclass(frozen=True)
class Case:
    """A mixture on which a rule is known to fire or to stay silent, and why.

    ``product`` and ``others`` are names or SMILES, an entry of ``others`` as in ``--with``: ``"pyridine; 12 mmol"``;
    ``amount`` is that of the product.
    """

    reason: str
    product: str
    others: tuple[str, ...] = ()
    solvent: str = "dichloromethane"
    extract: str = "choose"
    amount: str = "10 mmol"


@dataclass(frozen=True)
class Lore:
    """One rule: what it says, why, from where, when it fires and the cases that show it."""

    id: str
    family: str
    stage: str
    title: str
    why: str
    sources: tuple[str, ...]
    conditions: tuple[Any, ...]
    salience: int
    act: Callable[..., None]
    fires: tuple[Case, ...]
    silent: tuple[Case, ...]


def rule(
    *conditions: Any,
    stage: str,
    title: str,
    why: str,
    sources: Sequence[str],
    fires: Sequence[Case] = (),
    silent: Sequence[Case] = (),
    salience: int = 0,
) -> Callable[[Callable[..., None]], Lore]:
    """Make a rule of a function ``act(engine, **matched)``; see ``Lore``.

    ``title`` is one sentence and opens every message of the rule; ``why`` is the chemistry behind it. The rule waits
    for its ``stage``. It is found by scanning ``rules/families``.
    """
    if stage not in STAGES:
        raise ValueError(f"{stage!r} is not a stage; the stages are {', '.join(STAGES)}")

    def wrap(act: Callable[..., None]) -> Lore:
        name = act.__name__
        family = act.__module__.rsplit(".", 1)[-1]
        return Lore(
            name.replace("_", "-"),
            family,
            stage,
            title,
            why,
            tuple(sources),
            conditions,
            salience,
            act,
            tuple(fires),
            tuple(silent),
        )

    return wrap


@cache
def all_lore() -> tuple[Lore, ...]:
    """Return every rule of ``rules/families``, by family and order of definition."""
    return _scan("washlore.rules.families")


@cache
def judging_lore() -> tuple[Lore, ...]:
    """Return every rule of ``rules/judging``, by family and order of definition."""
    return _scan("washlore.rules.judging")


def _scan(name: str) -> tuple[Lore, ...]:
    package = importlib.import_module(name)
    found: list[Lore] = []
    files = (file for folder in package.__path__ for file in os.listdir(folder))
    for family in sorted(file.removesuffix(".py") for file in files if file.endswith(".py") and file != "__init__.py"):
        module = importlib.import_module(f"{name}.{family}")
        found += [value for value in vars(module).values() if isinstance(value, Lore) and value.family == family]
    return tuple(found)


@dataclass(frozen=True)
class Reason:
    """Why a fact is there. ``facts`` are the ids of the facts matched; an observation matches none."""

    rule: str
    text: str
    facts: tuple[int, ...]
    sources: tuple[str, ...]


@dataclass
class Known:
    """A fact and its reasons, the first one first."""

    fact: Fact
    reasons: list[Reason] = field(default_factory=list)


class _OrderedStrategy(Strategy):
    """Activations in their own order; a stale one leaves the agenda."""

    def _update_agenda(self, agenda: Any, added: Iterable[Activation], removed: Iterable[Activation]) -> None:
        stale = {id(activation) for activation in removed}
        if stale:
            agenda.activations = [a for a in agenda.activations if id(a) not in stale]
        for activation in added:
            insort(agenda.activations, activation)


class _Base(KnowledgeEngine):
    __matcher__ = IndexedMatcher
    __strategy__ = _OrderedStrategy

    def __init__(self) -> None:
        super().__init__()
        self.current: Any = None
        self.known: dict[int, Known] = {}
        self.fired: list[str] = []  # the rules that concluded something, in order
        self._by_content: dict[Any, int] = {}
        self._by_type: dict[type[Fact], list[int]] = {}
        self._by_slot: dict[type[Fact], dict[str, dict[Any, list[int]]]] = {}
        self.worked_out: dict[Any, tuple[Any, Any]] = {}  # see ``while_known``
        self.job: Any = None

    def _get_by_type(self, wanted_type: type) -> Iterator[Any]:
        """Yield the members of a type, by name; experta looks at each of several hundred attributes for it, three times."""
        own = [vars(cls) for cls in type(self).__mro__]
        names = {name for members in own for name, value in members.items() if isinstance(value, wanted_type)}
        for name in sorted(names):
            member = getattr(self, name)
            member.ke = self
            yield member

    def reset(self, **kwargs: Any) -> None:
        super().reset(**kwargs)
        self.current, self.job = None, None
        self.known, self.fired, self._by_content, self._by_type, self._by_slot = {}, [], {}, {}, {}
        self.worked_out = {}

    def run(self, steps: float = float("inf")) -> None:
        """Fire activations until none is left; as experta's own loop, but remembering what is firing."""
        self.running = True
        try:
            while steps > 0:
                added, removed = self.get_activations()
                if added or removed:
                    self.strategy.update_agenda(self.agenda, added, removed)
                if not self.agenda.activations:
                    break
                self.current = self.agenda.activations.pop(0)
                steps -= 1
                self.current.rule.lore.act(self, **self.current.context)
        finally:
            self.running, self.current = False, None

    def begin(self, stage: str) -> None:
        """Begin a stage and run it to its end."""
        self.declare(Stage(name=stage))
        self.run()

    def observe(self, fact: Fact, text: str, sources: Sequence[str] = (), also: Sequence[int] = ()) -> int:
        """Declare what was given, perceived or computed outside the rules; return the fact's id.

        ``also`` holds the ids of observations that this one rests on.
        """
        return self._record(fact, Reason("observation", text, tuple(also), tuple(sources)))

    def conclude(
        self,
        fact: Fact,
        text: str,
        sources: Sequence[str] = (),
        also: Sequence[int] = (),
        passing_over: tuple[type[Fact], ...] = (),
    ) -> int:
        """Declare a conclusion of the rule that is running; return the fact's id.

        The rule and the facts it matched are recorded, ``also`` adds ids of further facts that the text rests on.
        ``passing_over`` names kinds of matched facts that only woke the rule and bear out nothing by themselves.
        """
        if self.current is None:
            raise RuntimeError("conclude() belongs in a rule; use observe() for what is given")
        lore = self.current.rule.lore
        self.fired.append(lore.id)
        matched = tuple(
            sorted(
                {
                    f["__factid__"]
                    for f in self.current.facts
                    if f["__factid__"] in self.known and type(f) not in passing_over
                }
                | {i for i in also if i is not None}
            )
        )
        return self._record(fact, Reason(lore.id, text, matched, tuple(dict.fromkeys((*lore.sources, *sources)))))

    def _record(self, fact: Fact, reason: Reason) -> int:
        content = (type(fact), frozenset(fact.items()))
        known_id = self._by_content.get(content)
        if known_id is None:
            known_id = self._declare_new(fact)
            self._by_content[content] = known_id
            self.known[known_id] = Known(fact)
            self._by_type.setdefault(type(fact), []).append(known_id)
            for slot, ids in self._by_slot.get(type(fact), {}).items():
                ids.setdefault(fact[slot], []).append(known_id)
        # A fact cannot be a reason for itself: a second derivation that rests on the first is left out.
        if known_id not in reason.facts and reason not in self.known[known_id].reasons:
            self.known[known_id].reasons.append(reason)
        return known_id

    def _declare_new(self, fact: Fact) -> int:
        """Declare a fact that is known to be new; experta looks for conditions and doubles in it first, which takes longer."""
        fact.validate()
        self.worked_out = {}
        facts = self.facts
        fact.__factid__ = known_id = facts.last_index
        facts[known_id] = fact
        facts.last_index += 1
        facts.added.append(fact)
        if not self.running:
            self.strategy.update_agenda(self.agenda, *self.get_activations())
        return known_id

    def facts_of(self, kind: type[Fact], /, **slots: Any) -> Iterator[tuple[int, Fact]]:
        """Yield (id, fact) of all facts of a kind whose slots have the given values, oldest first."""
        some = self._by_type.get(kind, ())
        if slots:
            (slot, value), *more = slots.items()
            some = self._with(kind, slot).get(value, ())
            if more:
                some = [i for i in some if all(self.known[i].fact[k] == v for k, v in more)]
        for known_id in tuple(some):
            yield known_id, self.known[known_id].fact

    def _with(self, kind: type[Fact], slot: str) -> dict[Any, list[int]]:
        """Return the facts of a kind by the value of a slot; the index is made when it is first asked for."""
        indexed = self._by_slot.setdefault(kind, {})
        if slot not in indexed:
            indexed[slot] = {}
            for known_id in self._by_type.get(kind, ()):
                indexed[slot].setdefault(self.known[known_id].fact[slot], []).append(known_id)
        return indexed[slot]

    def first(self, kind: type[Fact], /, **slots: Any) -> Fact | None:
        """Return the oldest fact of a kind with the given slot values, or ``None``."""
        return next((fact for _, fact in self.facts_of(kind, **slots)), None)

    def chain(self, known_id: int) -> list[tuple[int, Reason]]:
        """Return all reasons behind a fact as (fact id, reason), the fact itself first, each fact once."""
        found: list[tuple[int, Reason]] = []
        seen: set[int] = set()
        queue = collections.deque([known_id])
        while queue:
            current = queue.popleft()
            if current in seen or current not in self.known:
                continue
            seen.add(current)
            for reason in self.known[current].reasons:
                found.append((current, reason))
                queue.extend(reason.facts)
        return found


R = TypeVar("R")


def while_known(function: Callable[[Any, Any], R]) -> Callable[[Any, Any], R]:
    """Keep what a function of an engine and of a row, or of the engine's job, returns until the engine knows another fact."""

    @wraps(function)
    def kept(engine: Any, about: Any) -> R:
        job = engine.job
        key = (function, getattr(about, "id", ""), job.wet, job.soured, len(job.ended))
        found = engine.worked_out.get(key)
        if found is None or found[0] is not job.mixture:
            found = engine.worked_out[key] = (job.mixture, function(engine, about))
        return found[1]

    return kept


def build_engine(lore: Sequence[Lore]) -> Any:
    """Return an engine for the given rules. Building is slow: build once, ``reset()`` for each mixture."""
    members: dict[str, Any] = {}
    for item in lore:
        made = Rule(Stage(name=item.stage), *item.conditions, salience=item.salience)(_caller(item))
        members[item.id.replace("-", "_")] = made
    return type("Engine", (_Base,), members)()


def _caller(item: Lore) -> Callable[..., None]:
    def call(engine: Any, **matched: Any) -> None:
        item.act(engine, **matched)

    call.__name__ = item.id
    call.lore = item  # type: ignore[attr-defined]
    call.__signature__ = _TAKES_ALL  # type: ignore[attr-defined]
    return call


def _takes_all(engine: Any, **matched: Any) -> None:
    """Take what a rule may match."""


_TAKES_ALL = inspect.signature(_takes_all)  # experta asks for that of every rule; it is the same for all


@cache
def engine(place: int = 0) -> Any:
    """Return an engine with all rules, built on first use; a scheme thinks with a second one beside it (``place``)."""
    return build_engine(all_lore())
