"""Matching facts to the conditions of rules: an indexed join in the place of experta's network.

experta passes each fact to every rule and joins by trying all pairs, which grows with the square of the facts. Here a
rule sleeps until its first condition, its stage, has come; then its conditions are joined through tables of the facts
by slot and value, and each later fact is joined in once. The matches are the same.

Conditions are patterns over facts, ``NOT`` of one pattern, ``TEST``, and ``AND`` and ``OR`` of these. A slot of a pattern
holds a value, ``MATCH.x``, ``L(value)``, ``P(predicate)``, ``~`` of a literal or predicate, or several joined with ``&``.
Facts are never retracted.
"""

from __future__ import annotations

import inspect
import itertools
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from washlore.knowledge.records import dataclass
from washlore.rules.borrowed import AND, ANDFC, NOT, NOTFC, OR, TEST, Fact, L, Matcher, P, W

Context = dict[str, Any]


@dataclass(frozen=True, eq=False)
class Pattern:
    """What a fact must be to match: its kind, values of slots, predicates on slots, and slots that bind variables."""

    kind: type
    values: tuple[tuple[str, Any], ...]
    tests: tuple[tuple[str, Callable[[Any], bool]], ...]
    binds: tuple[tuple[str, str], ...]

    def match(self, fact: Any, context: Context) -> Context | None:
        """Return the context with what the fact binds, or ``None`` where it does not match."""
        for slot, value in self.values:
            if fact[slot] != value:
                return None
        for slot, test in self.tests:
            if not test(fact[slot]):
                return None
        if not self.binds:
            return context
        found = dict(context)
        for slot, name in self.binds:
            value = fact[slot]
            if found.setdefault(name, value) != value:
                return None
        return found


@dataclass(frozen=True, eq=False)
class Test:
    """A function of variables; those that nothing binds are ``None``."""

    names: tuple[str, ...]
    function: Callable[..., bool]

    def holds(self, context: Context) -> bool:
        """Tell whether the test is passed."""
        return bool(self.function(**{name: context.get(name) for name in self.names}))


@dataclass(frozen=True, eq=False)
class Denial:
    """A pattern that no fact may match, and the variables bound before it, which it must agree with."""

    pattern: Pattern
    names: frozenset[str]

    def seen(self, context: Context) -> Context:
        """Return what the denial may know of the context."""
        return {name: value for name, value in context.items() if name in self.names}


@dataclass(eq=False)
class Branch:
    """One way to satisfy a rule: all of its patterns, tests and denials."""

    rule: Any
    patterns: tuple[Pattern, ...]
    tests: tuple[Test, ...]
    denials: tuple[Denial, ...]

    def __post_init__(self) -> None:
        self._orders: dict[int, tuple[tuple[int, tuple[Test, ...]], ...]] = {}

    def order(self, first: int) -> tuple[tuple[int, tuple[Test, ...]], ...]:
        """Return the order of joining that begins with one pattern; most are never asked for."""
        if first not in self._orders:
            self._orders[first] = self._order(first)
        return self._orders[first]

    def _order(self, first: int) -> tuple[tuple[int, tuple[Test, ...]], ...]:
        """Return the order of joining that begins with one pattern, each with the tests that can then be made."""
        order, left = [first], [i for i in range(len(self.patterns)) if i != first]
        bound = {name for _, name in self.patterns[first].binds}
        while left:
            following = left[0]
            if len(left) > 1:
                following = max(
                    left,
                    key=lambda i: (
                        sum([n in bound for _, n in self.patterns[i].binds]),
                        bool(self.patterns[i].values),
                        -i,
                    ),
                )
            left.remove(following)
            order.append(following)
            bound |= {name for _, name in self.patterns[following].binds}
        if not self.tests:
            return tuple([(index, ()) for index in order])
        made: list[tuple[int, tuple[Test, ...]]] = []
        waiting, known = list(self.tests), set()
        for index in order:
            known |= {name for _, name in self.patterns[index].binds}
            ready = [t for t in waiting if (set(t.names) & bound) <= known]
            waiting = [t for t in waiting if t not in ready]
            made.append((index, tuple(ready)))
        return tuple(made)


class Activation:
    """A rule and the facts that satisfy it. Activations sort by salience, then the facts' ids, then the rule's name."""

    __slots__ = ("context", "facts", "key", "rule")

    def __init__(self, rule: Any, facts: Sequence[Any], context: Context) -> None:
        self.rule = rule
        self.facts = facts
        self.context = context
        ids = tuple(sorted({fact["__factid__"] for fact in facts}, reverse=True))
        self.key = (-rule.salience, ids, rule.__name__)

    def __lt__(self, other: Activation) -> bool:
        return self.key < other.key


class IndexedMatcher(Matcher):
    """The matcher of an engine, with the interface that experta asks for."""

    def __init__(self, engine: Any) -> None:
        super().__init__(engine)
        patterns_of: dict[int, Pattern] = {}
        self.branches = [branch for rule in engine.get_rules() for branch in _branches(rule, patterns_of)]
        patterns = [p for b in self.branches for p in (*b.patterns, *(d.pattern for d in b.denials))]
        self._slots: dict[type, tuple[str, ...]] = {}
        for pattern in patterns:
            slots = [slot for slot, _ in (*pattern.values, *pattern.binds)]
            self._slots[pattern.kind] = tuple(dict.fromkeys((*self._slots.get(pattern.kind, ()), *slots)))
        self.reset()

    def reset(self) -> None:
        """Forget all facts."""
        self._facts: dict[type, list[Any]] = {kind: [] for kind in self._slots}
        self._index: dict[tuple[type, str], dict[Any, list[Any]]] = {
            (kind, slot): {} for kind, slots in self._slots.items() for slot in slots
        }
        self._asleep: dict[type, list[Branch]] = {}
        for branch in self.branches:
            self._asleep.setdefault(branch.patterns[0].kind, []).append(branch)
        self._awake: dict[type, list[tuple[Branch, int]]] = {}
        self._denied: dict[type, list[tuple[Branch, Denial]]] = {}
        self._live: dict[Branch, list[Activation]] = {}

    def changes(
        self, adding: Sequence[Any] | None = None, deleting: Sequence[Any] | None = None
    ) -> tuple[list[Activation], list[Activation]]:
        """Take in new facts; return the activations that they bring and those that they put an end to."""
        if deleting:
            raise NotImplementedError("facts are never retracted here")
        added: list[Activation] = []
        removed: list[Activation] = []
        for fact in adding or ():
            self._add(fact, added, removed)
        gone = {id(activation) for activation in removed}
        return [a for a in added if id(a) not in gone] if gone else added, removed

    def _add(self, fact: Any, added: list[Activation], removed: list[Activation]) -> None:
        kind = type(fact)
        if kind not in self._facts:
            return
        self._facts[kind].append(fact)
        for slot in self._slots[kind]:
            self._index[kind, slot].setdefault(fact[slot], []).append(fact)
        for branch, denial in self._denied.get(kind, ()):
            live = self._live.get(branch)
            if live and denial.pattern.match(fact, {}) is not None:
                ended = [a for a in live if denial.pattern.match(fact, denial.seen(a.context)) is not None]
                if ended:
                    removed += ended
                    self._live[branch] = [a for a in live if a not in ended]
        for branch, index in self._awake.get(kind, ()):
            self._satisfy(branch, index, fact, added)
        asleep = self._asleep.get(kind)
        if asleep:
            waking = [b for b in asleep if b.patterns[0].match(fact, {}) is not None]
            self._asleep[kind] = [b for b in asleep if b not in waking] if waking else asleep
            for branch in waking:
                for index, pattern in enumerate(branch.patterns):
                    self._awake.setdefault(pattern.kind, []).append((branch, index))
                for denial in branch.denials:
                    self._denied.setdefault(denial.pattern.kind, []).append((branch, denial))
                self._satisfy(branch, 0, fact, added, waking=True)

    def _satisfy(self, branch: Branch, first: int, fact: Any, added: list[Activation], waking: bool = False) -> None:
        """Find all ways to satisfy a branch with a new fact in one place.

        A fact that fits two places is found once: the places before the first one must hold other, older facts, but
        where a branch wakes everything is new to it.
        """
        context = branch.patterns[first].match(fact, {})
        if context is None:
            return
        facts: list[Any] = [None] * len(branch.patterns)
        facts[first] = fact
        order = branch.order(first)
        if not all(test.holds(context) for test in order[0][1]):
            return
        for found in self._join(branch, order, 1, context, facts, None if waking else fact, first):
            if any(self._some(denial, found) for denial in branch.denials):
                continue
            activation = Activation(branch.rule, tuple(facts), found)
            added.append(activation)
            if branch.denials:
                self._live.setdefault(branch, []).append(activation)

    def _join(
        self,
        branch: Branch,
        order: Sequence[tuple[int, tuple[Test, ...]]],
        depth: int,
        context: Context,
        facts: list[Any],
        new: Any,
        first: int,
    ) -> Iterator[Context]:
        if depth == len(order):
            yield context
            return
        index, tests = order[depth]
        pattern = branch.patterns[index]
        for fact in self._candidates(pattern, context):
            if fact is new and index < first:
                continue
            found = pattern.match(fact, context)
            if found is None or not all(test.holds(found) for test in tests):
                continue
            facts[index] = fact
            yield from self._join(branch, order, depth + 1, found, facts, new, first)

    def _candidates(self, pattern: Pattern, context: Context) -> Sequence[Any]:
        """Return the facts that may match: the shortest list under a value that the pattern asks for."""
        kind = pattern.kind
        best: Sequence[Any] = self._facts[kind]
        for slot, value in pattern.values:
            found = self._index[kind, slot].get(value, ())
            if len(found) < len(best):
                best = found
        for slot, name in pattern.binds:
            if name in context:
                found = self._index[kind, slot].get(context[name], ())
                if len(found) < len(best):
                    best = found
        return best

    def _some(self, denial: Denial, context: Context) -> bool:
        seen = denial.seen(context)
        return any(denial.pattern.match(fact, seen) is not None for fact in self._candidates(denial.pattern, seen))


def _branches(rule: Any, patterns_of: dict[int, Pattern]) -> Iterator[Branch]:
    """Yield the branches of a rule; ``patterns_of`` keeps what is made of each condition, as branches share them."""

    def pattern(condition: Any) -> Pattern:
        found = patterns_of.get(id(condition))
        if found is None:
            found = patterns_of[id(condition)] = _pattern(condition)
        return found

    for conditions in _ways(tuple(rule)):
        patterns: list[Pattern] = []
        tests: list[Test] = []
        denials: list[Denial] = []
        bound: set[str] = set()
        for condition in conditions:
            if isinstance(condition, TEST):
                tests.append(Test(_parameters(condition[0]), condition[0]))
            elif isinstance(condition, NOT):
                denials.append(Denial(pattern(condition[0]), frozenset(bound)))
            else:
                patterns.append(pattern(condition))
                bound |= {name for _, name in patterns[-1].binds}
        if not patterns:
            raise TypeError(f"{rule.__name__}: has no condition that a fact could meet")
        yield Branch(rule, tuple(patterns), tuple(tests), tuple(denials))


def _parameters(function: Any) -> tuple[str, ...]:
    """Return the names of the parameters of a function."""
    code = getattr(function, "__code__", None)
    if code is None or code.co_flags & (inspect.CO_VARARGS | inspect.CO_VARKEYWORDS) or code.co_kwonlyargcount:
        return tuple(inspect.signature(function).parameters)
    return tuple(code.co_varnames[: code.co_argcount])


def _ways(conditions: Sequence[Any]) -> Iterator[tuple[Any, ...]]:
    """Yield the ways to satisfy all conditions, without AND and OR."""
    choices: list[list[tuple[Any, ...]]] = []
    for condition in conditions:
        if isinstance(condition, AND):
            choices.append(list(_ways(tuple(condition))))
        elif isinstance(condition, OR):
            choices.append([way for part in condition for way in _ways((part,))])
        elif isinstance(condition, Fact | NOT | TEST):
            choices.append([(condition,)])
        else:
            raise TypeError(f"{type(condition).__name__} is not a condition that is matched here")
    for chosen in itertools.product(*choices):
        yield tuple(itertools.chain.from_iterable(chosen))


def _pattern(fact: Any) -> Pattern:
    if not isinstance(fact, Fact):
        raise TypeError(f"{type(fact).__name__} inside NOT; one pattern can be denied")
    values: list[tuple[str, Any]] = []
    tests: list[tuple[str, Callable[[Any], bool]]] = []
    binds: list[tuple[str, str]] = []
    for slot, wanted in fact.items():
        for part in wanted if isinstance(wanted, ANDFC) else (wanted,):
            if isinstance(part, W):
                if part.__bind__ is not None:
                    binds.append((slot, part.__bind__))
            elif isinstance(part, L):
                values.append((slot, part.value))
            elif isinstance(part, P):
                tests.append((slot, part.match))
            elif isinstance(part, NOTFC):
                tests.append((slot, _unless(part[0])))
            else:
                values.append((slot, part))
    return Pattern(type(fact), tuple(values), tuple(tests), tuple(binds))


def _unless(part: Any) -> Callable[[Any], bool]:
    if isinstance(part, L):
        refused = part.value
        return lambda value: value != refused
    if isinstance(part, P):
        predicate = part.match
        return lambda value: not predicate(value)
    raise TypeError(f"~{type(part).__name__} is not matched here; ~ goes before a literal or a predicate")
