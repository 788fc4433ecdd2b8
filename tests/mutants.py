"""Would the tests notice if a rule or the ledger were wrong? One small change at a time, and the tests that run what changed.

    pip install cosmic-ray
    python tests/mutants.py --count 300 --seed 1 --out mutants.jsonl

The changes are those of cosmic-ray: another operator or number, a condition denied, a decorator lost. Places in the source are
drawn at random, then one change at each. Left out are annotations and what only their imports need, caches, the cases that a
rule carries, which are tests themselves, and changes that change nothing that is done: another salience by which each rule
still comes before and after the same rules, identity in the place of equality, and a ``strict`` that no two lists put to use.
First every test is run once to see which lines it runs (kept in ``--map``, by file of tests); then a change is made in a copy of
the process, and the tests that run the changed line go over it until one fails or ``--budget`` seconds of the processor are
spent: the cheapest first and those of the rule itself, then those that are most about its module. A change at the top of a module
is made in a process of its own instead.
A change that no test noticed is printed with its line: a gap in the tests, dead code, or no change at all to what is done.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import functools
import gc
import hashlib
import importlib
import importlib.machinery
import json
import os
import random
import resource
import signal
import subprocess
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest

HOME = Path(__file__).resolve().parent.parent
# The ledger, of a plan of ours and of a written one; what makes a plan; what rules ask, and what both ways go by; the rules.
MODULES = (
    *("rules/" + name + ".py" for name in ("phase", "flask", "bench")),
    *("rules/" + name + ".py" for name in ("ledger", "contact", "shaking", "shaking_draws", "species", "heat")),
    *("rules/" + name + ".py" for name in ("trial", "reckon", "arrange", "opening", "closing", "steps", "again", "window")),
    *("rules/" + name + ".py" for name in ("perceive", "observe", "perils", "enough", "ended", "idle", "meeting", "stripped")),
    *("rules/" + name + ".py" for name in ("meant", "protons", "several", "reading/streams", "verdict", "judge")),
    *sorted(str(p.relative_to(HOME)) for name in ("families", "judging") for p in (HOME / "rules" / name).glob("[a-z]*.py")),
)  # fmt: skip
TESTS = (
    "contact", "contact_solver", "shaking", "phase", "species", "trial", "ledger", "ledger_steps", "plan_steps",
    "number_limits", "step_limits", "rule_limits", "rule_edges", "rule_edges_flask", "rule_reasons", "rule_swaps", "rule_remedies",
    "judging_limits", "judging_edges", "judging_words", "verdict", "judge", "shorthand", "rules", "judging",
    "account", "anchors", "beside", "carried", "check", "choices", "explain", "foresight", "hazards",
    "must_come_right", "readme", "schemes", "worked_cases",
    "several", "enough", "ended", "perils", "observe", "protons", "job", "leftovers_together", "boiling", "surroundings",
    "poisons", "streams",
    "idle", "perceive", "bench", "reckon", "opening_and_closing", "flask", "meant", "stripped",
)  # fmt: skip
# Files whose tests name the rule that they are about: those are run for it, and what else they run is not looked at.
BY_NAME = ("tests/test_rules.py", "tests/test_judging.py")
NEED_ARGUMENTS = ("core/VariableReplacer", "core/VariableInserter")
# Texts and small numbers that are equal are the same thing in the interpreter, or not, as it likes.
IDENTITY = {f"core/ReplaceComparisonOperator_{change}" for change in ("Eq_Is", "Is_Eq", "NotEq_IsNot", "IsNot_NotEq")}
LONGEST_S = 20


@dataclass(frozen=True)
class Mutant:
    """One change: the ``occurrence``-th of an operator in a module, at a place in the source."""

    module: str
    operator: str
    occurrence: int
    line: int
    column: int


@dataclass
class Outcome:
    """What became of a mutant."""

    mutant: Mutant
    state: str
    by: str
    ran: int
    cpu_s: float
    before: str = ""
    after: str = ""


@dataclass
class Seen:
    """Which functions and lines each test runs, how many lines of each module, and how much of the processor it takes."""

    cpu_s: dict[str, float] = field(default_factory=dict)
    lines: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    tests: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))


# Drawing the changes.


def mutants(module: str) -> list[Mutant]:
    """Return every change that could be made in a module."""
    from cosmic_ray import plugins
    from cosmic_ray.ast import Visitor, get_ast

    source = (HOME / module).read_text(encoding="utf-8")
    operators = {
        name: plugins.get_operator(name)()
        for name in plugins.operator_names()
        if name not in {*NEED_ARGUMENTS, *IDENTITY}
    }
    count: Counter[str] = Counter()
    found: list[Mutant] = []
    left_out = spared(source)

    class Recorder(Visitor):
        def visit(self, node: Any) -> Any:
            for name, operator in operators.items():
                for start, _ in operator.mutation_positions(node):
                    if not any(begin <= start < end for begin, end in left_out):
                        found.append(Mutant(module, name, count[name], *start))
                    count[name] += 1
            return node

    Recorder().walk(get_ast(source))
    return found


def spared(source: str) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """Return the spans (line, column) of what is left out of a module."""
    nodes: list[Any] = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.arg | ast.AnnAssign):
            nodes.append(node.annotation)
        elif isinstance(node, ast.FunctionDef):
            nodes += [node.returns, *(d for d in node.decorator_list if "cache" in ast.unparse(d))]
        elif isinstance(node, ast.keyword) and node.arg in ("fires", "silent", "strict"):
            nodes.append(node.value)
        elif isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            nodes.append(node)
    # A decorator begins at its sign, one column before its name.
    return [((n.lineno, n.col_offset - 1), (n.end_lineno, n.end_col_offset)) for n in nodes if n is not None]


def sample(count: int, seed: int, modules: str = "") -> list[Mutant]:
    """Draw places over the modules alike, and one change at each; ``modules`` are parts of their names, with commas between."""
    places: dict[tuple[str, int, int], list[Mutant]] = defaultdict(list)
    for module in MODULES:
        if any(part in module for part in modules.split(",")):
            for mutant in mutants(module):
                places[module, mutant.line, mutant.column].append(mutant)
    rng = random.Random(seed)
    keys = sorted(places)
    rng.shuffle(keys)
    drawn: list[Mutant] = []
    for key in keys:
        mutant = rng.choice(places[key])
        if len(drawn) < count and not same_order(mutant):
            drawn.append(mutant)
    print(f"{len(drawn)} of {len(places)} places drawn, seed {seed}", flush=True)
    return drawn


def same_order(mutant: Mutant) -> bool:
    """Tell whether a change is one of a salience alone that leaves the rules in their order: nothing else is made of it."""
    if "salience=" not in (HOME / mutant.module).read_text(encoding="utf-8").splitlines()[mutant.line - 1]:
        return False
    before, after = (ast.parse(text) for text in changed(mutant))
    try:
        pairs = list(zip(saliences(before), saliences(after), strict=True))
        files = (HOME / mutant.module).parent.glob("*.py")
        others = [s for p in files for s in saliences(ast.parse(p.read_text(encoding="utf-8")))]
    except ValueError:
        return False
    changes = [(one, two) for one, two in pairs if one != two]
    return ast.dump(before) == ast.dump(after) and all(
        [(one > s) - (one < s) for s in others if s != one] == [(two > s) - (two < s) for s in others if s != one]
        and others.count(one) == 1
        and two not in others
        for one, two in changes
    )


def saliences(tree: ast.Module) -> list[float]:
    """Take the saliences out of the rules of a module; raise ``ValueError`` where one is no number."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "rule":
            own = [k for k in node.keywords if k.arg == "salience"]
            found.append(float(ast.literal_eval(own[0].value)) if own else 0.0)
            node.keywords = [k for k in node.keywords if k.arg != "salience"]
    return found


def changed(mutant: Mutant) -> tuple[str, str]:
    """Return the source before and after."""
    from cosmic_ray import plugins
    from cosmic_ray.mutating import mutate_code

    before = (HOME / mutant.module).read_text(encoding="utf-8")
    after = mutate_code(before, plugins.get_operator(mutant.operator)(), mutant.occurrence)
    return before, after


# Making them.


def key(code: CodeType) -> str:
    """Name a function by its file and place: two lambdas may share a line."""
    place = next((p for p in code.co_positions() if p[2]), ()) if code.co_name == "<lambda>" else ()
    return f"{Path(code.co_filename).relative_to(HOME)}:{code.co_firstlineno}:{code.co_qualname}:{place}"


def differing(before: CodeType, after: CodeType, top: bool = True) -> list[tuple[CodeType, CodeType]] | None:
    """Return the functions that differ; ``None`` where it is the module or a class itself that differs."""
    inside = (
        [c for c in before.co_consts if isinstance(c, CodeType)],
        [c for c in after.co_consts if isinstance(c, CodeType)],
    )
    own = [
        (c.co_code, c.co_names, [x for x in c.co_consts if not isinstance(x, CodeType)], [type(x) for x in c.co_consts])
        for c in (before, after)
    ]
    if before.co_flags & 2:
        if before == after:
            return []
        # A comprehension at the top has run by the time that anything could be changed.
        return [(before, after)] if before.co_name.isidentifier() or before.co_name == "<lambda>" else None
    if own[0] != own[1] or len(inside[0]) != len(inside[1]):
        return None
    found = []
    for one, two in zip(*inside, strict=True):
        deeper = differing(one, two, False)
        if deeper is None:
            return None
        found += deeper
    return found


def swap(pairs: list[tuple[CodeType, CodeType]]) -> bool:
    """Give the live functions their changed code."""
    wanted = {key(before): after for before, after in pairs}
    done = set()
    gc.unfreeze()
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType) and thing.__code__.co_filename.startswith(str(HOME / "rules")):
            name = key(thing.__code__)
            if name in wanted:
                thing.__code__ = wanted[name]
                done.add(name)
    return done == set(wanted)


# Running the tests.


def forget() -> None:
    """Empty what the rules and the tests remember, so that each test does its own work."""
    for cache in remembered():
        cache.cache_clear()
    for name in ("species", "ledger"):  # each keeps what was asked last
        module = sys.modules.get(f"washlore.rules.{name}")
        if hasattr(module, "_last"):
            module._last = None  # type: ignore[union-attr]


@functools.cache
def remembered() -> list[Any]:
    """Return the caches of rules and tests, without those of the engine, which hold the rules themselves."""
    caches = [thing for thing in gc.get_objects() if isinstance(thing, functools._lru_cache_wrapper)]
    homes = [(str(cache.__module__), cache) for cache in caches]
    return [
        c for h, c in homes if h.startswith(("washlore.rules", "test_")) and not h.endswith((".engine", ".matcher"))
    ]


class Watch:
    """Note which test failed."""

    def __init__(self) -> None:
        self.failed = ""

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            self.failed = self.failed or report.nodeid


class TooLong(BaseException):
    """A test ran far longer than it should."""


def too_long(*_: Any) -> None:
    raise TooLong


def go_over(items: list[Any], watch: Watch, budget_s: float) -> tuple[str, str, int]:
    """Run tests until one fails; return (state, which, how many ran)."""
    signal.signal(signal.SIGVTALRM, too_long)
    begun, ran = time.process_time(), 0
    for n, item in enumerate(items):
        signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST_S)
        try:
            following = items[n + 1] if n + 1 < len(items) else None
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        except TooLong:
            return "too long", item.nodeid, ran
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        ran += 1
        if watch.failed:
            return "killed", watch.failed, ran
        if time.process_time() - begun > budget_s:
            break
    return "survived", "", ran


@contextlib.contextmanager
def child() -> Iterator[tuple[bool, Any]]:
    """Fork; the child gets (True, a function that sends its answer and ends it), the parent (False, the answer)."""
    reader, writer = os.pipe()
    sys.stdout.flush()
    pid = os.fork()
    if pid:
        os.close(writer)
        with os.fdopen(reader) as pipe:
            answer = pipe.read()
        os.waitpid(pid, 0)
        yield False, json.loads(answer) if answer else None
        return
    os.close(reader)
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)
    os.dup2(silent, 2)

    def send(answer: Any) -> None:
        with os.fdopen(writer, "w") as pipe:
            json.dump(answer, pipe)
        os._exit(0)

    try:
        yield True, send
    finally:
        os._exit(1)


class Runner:
    """What takes the place of pytest's own loop once the tests are collected."""

    def __init__(self, given: argparse.Namespace) -> None:
        self.given = given
        self.watch = Watch()

    def pytest_runtestloop(self, session: Any) -> bool:
        if session.testsfailed:
            raise SystemExit("Some tests cannot be collected here; mend that first: pytest --collect-only.")
        session.config.pluginmanager.register(self.watch)
        self.items = {item.nodeid: item for item in session.items}
        self.warm()
        remembered()
        gc.freeze()
        self.seen = self.look()
        done = self.done()
        for mutant in self.wanted():
            if mutant in done:
                continue
            outcome = self.judged(mutant)
            if outcome is None:
                continue
            done[mutant] = outcome
            with self.given.out.open("a", encoding="utf-8") as file:
                file.write(json.dumps(asdict(outcome)) + "\n")
        show(list(done.values()))
        return True

    def warm(self) -> None:
        """Run the README's commands once, so that each copy of this process has the tables and patterns at hand."""
        item = next((item for name, item in self.items.items() if "test_readme.py::test_commands" in name), None)
        if item is None:
            return
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
        if self.watch.failed:
            raise SystemExit("The README's commands print something else; mend that first.")

    def wanted(self) -> list[Mutant]:
        """Return the changes to try: drawn, or those that another run let live."""
        if self.given.survivors:
            return [o.mutant for o in read(self.given.survivors) if o.state == "survived"]
        part, parts = map(int, self.given.shard.split("/"))
        return sample(self.given.count, self.given.seed, self.given.modules)[part::parts]

    def done(self) -> dict[Mutant, Outcome]:
        """Return what an earlier run with the same file found."""
        return {o.mutant: o for o in read(self.given.out)} if self.given.out.exists() else {}

    def look(self) -> Seen:
        """Run every test once and see which functions and lines it runs; what is known of a file of tests is kept."""
        rules = hashlib.sha256(repr(sorted(key(code) for code in functions())).encode()).hexdigest()
        kept = json.loads(self.given.map.read_text(encoding="utf-8")) if self.given.map.exists() else {}
        kept = kept if kept.get("rules") == rules else {"rules": rules, "files": {}}
        by_file: dict[str, list[Any]] = defaultdict(list)
        for name, item in self.items.items():
            by_file[name.split("::")[0]].append(item)
        seen = Seen()
        for name, items in by_file.items():
            if name in BY_NAME:
                continue
            state = hashlib.sha256((HOME / name).read_bytes()).hexdigest()
            if kept["files"].get(name, {}).get("state") != state:
                with child() as (is_child, answer):
                    if is_child:
                        answer(self.looked(items))
                    kept["files"][name] = {"state": state, "tests": answer or []}
                print(f"looked at {name}: {len(answer or ())} of {len(items)} tests run rules", flush=True)
                self.given.map.write_text(json.dumps(kept), encoding="utf-8")
            for test, cpu_s, places in kept["files"][name]["tests"]:
                seen.cpu_s[test] = cpu_s
                for place in places:
                    seen.tests[place].append(test)
                    if place.count(":") == 1:
                        seen.lines[test][place.partition(":")[0]] += 1
        return seen

    def looked(self, items: list[Any]) -> list[tuple[str, float, list[str]]]:
        """Return (test, processor seconds, functions and lines that it ran) of the tests that pass."""
        files = {str(HOME / m): m for m in MODULES}
        answer = []
        for n, item in enumerate(items):
            forget()
            ran: set[CodeType] = set()
            lines: set[tuple[str, int]] = set()

            def called(frame: Any, event: str, argument: Any, ran: Any = ran, lines: Any = lines) -> Any:
                code = frame.f_code
                if code.co_filename not in files:
                    return None
                ran.add(code)

                def stepped(frame: Any, event: str, argument: Any) -> Any:
                    lines.add((code.co_filename, frame.f_lineno))
                    return stepped

                return stepped

            start = time.process_time()
            sys.settrace(called)
            try:
                following = items[n + 1] if n + 1 < len(items) else None
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            finally:
                sys.settrace(None)
            places = [*(key(code) for code in ran), *(f"{files[name]}:{line}" for name, line in lines)]
            if ran and not self.watch.failed:
                answer.append((item.nodeid, round(time.process_time() - start, 3), places))
            self.watch.failed = ""
        return answer

    def judged(self, mutant: Mutant) -> Outcome | None:
        """Make the change, run the tests; ``None`` where the change compiles to the same."""
        before, after = changed(mutant)
        lines = [
            (a.strip(), b.strip()) for a, b in zip(before.splitlines(), after.splitlines(), strict=False) if a != b
        ]
        path = str(HOME / mutant.module)
        try:
            pairs = differing(compile(before, path, "exec"), compile(after, path, "exec"))
        except SyntaxError:
            return None
        if pairs == []:
            return None
        begun = resource.getrusage(resource.RUSAGE_CHILDREN)
        if pairs is None:
            state, by, ran = self.fresh(mutant, after)
        else:
            items = [self.items[test] for test in self.chosen([key(one) for one, _ in pairs], mutant)]
            with child() as (is_child, answer):
                if is_child:
                    forget()
                    answer(("not made", "", 0) if not swap(pairs) else go_over(items, self.watch, self.given.budget))
            state, by, ran = answer or ("killed", "the process died", 0)
        ended = resource.getrusage(resource.RUSAGE_CHILDREN)
        outcome = Outcome(mutant, state, by, ran, round(ended.ru_utime - begun.ru_utime, 1), *(lines or [("", "")])[0])
        print(f"{state}: {mutant.module}:{mutant.line} {mutant.operator}: {outcome.after[:100]} [{by}]", flush=True)
        return outcome

    def fresh(self, mutant: Mutant, after: str) -> tuple[str, str, int]:
        """Run the tests in a process of its own that imports the changed module."""
        order = {
            "path": str(HOME / mutant.module),
            "source": after,
            "budget": self.given.budget,
            "tests": self.chosen(self.users(mutant), mutant),
        }
        done = subprocess.run(
            [sys.executable, __file__, "--fresh"], input=json.dumps(order), capture_output=True, text=True, cwd=HOME
        )
        last = done.stdout.strip().splitlines()[-1:] or [""]
        try:
            return tuple(json.loads(last[0]))
        except ValueError:
            return "killed", "it cannot be imported", 0

    def users(self, mutant: Mutant) -> list[str]:
        """Return the functions that a change at the top of a module bears on."""
        whole = [k for k in self.seen.tests if k.startswith(mutant.module + ":") and k.count(":") > 1]
        for node in ast.parse((HOME / mutant.module).read_text(encoding="utf-8")).body:
            first = min([node.lineno, *(d.lineno for d in getattr(node, "decorator_list", ()))])
            if not first <= mutant.line <= node.end_lineno:
                continue
            if isinstance(node, ast.FunctionDef):
                inside = range(first, node.end_lineno + 1)
                return [k for k in whole if int(k.split(":")[1]) in inside]
            if isinstance(node, ast.Assign | ast.AnnAssign):
                targets = node.targets if isinstance(node, ast.Assign) else [node.target]
                names = {n.id for t in targets for n in ast.walk(t) if isinstance(n, ast.Name)}
                return [key(code) for code in functions() if names & set(code.co_names)] or whole
        return whole

    def chosen(self, functions_: list[str], mutant: Mutant) -> list[str]:
        """Return the tests that run the functions: the cheapest, those of the rule itself, those most about the module."""
        tests = {test for name in functions_ for test in self.seen.tests.get(name, ())}
        tests = tests & {*self.seen.tests.get(f"{mutant.module}:{mutant.line}", ())} or tests
        names = {name.split(":")[2] for name in functions_}
        ids = {name.replace("_", "-") for name in names | self.callers(mutant.module, names)} | {
            rule_at(mutant.module, mutant.line).replace("_", "-")
        }
        own = [t for t in self.items if any(f"[{i}: " in t for i in ids if i)]
        whole = [t for t in sorted(tests) if t.startswith(("tests/test_readme", "tests/test_cli", "tests/test_schema"))]
        rest = sorted(tests - {*own, *whole}, key=lambda t: (self.seen.cpu_s[t], t))
        others = sorted(rest[20:], key=lambda t: -self.about(t, mutant.module) / (0.05 + self.seen.cpu_s[t]))
        return [*rest[:20], *own, *others[:60], *whole, *others[60:]]

    def about(self, test: str, module: str) -> float:
        """Return the share of the lines that a test runs which are of a module."""
        return self.seen.lines[test][module] / max(1, self.seen.lines[test].total())

    def callers(self, module: str, names: set[str]) -> set[str]:
        """Return the functions of a module that lead to one of those named, and the rules whose conditions do."""
        found, before = set(names), -1
        while len(found) > before:
            before = len(found)
            for code in functions():
                if code.co_filename == str(HOME / module) and found & set(code.co_names):
                    found.add(rule_at(module, code.co_firstlineno) if code.co_name == "<lambda>" else code.co_name)
        return found - {""}


def rule_at(module: str, line: int) -> str:
    """Return the name of the rule whose conditions or body hold a line."""
    for node in ast.parse((HOME / module).read_text(encoding="utf-8")).body:
        first = node.decorator_list[0].lineno if isinstance(node, ast.FunctionDef) and node.decorator_list else None
        if first is not None and first <= line <= node.end_lineno:
            return node.name
    return ""


@functools.cache
def functions() -> list[CodeType]:
    """Return every function of the modules, the outermost ones."""
    found: list[CodeType] = []

    def walk(code: CodeType) -> None:
        for inner in code.co_consts:
            if isinstance(inner, CodeType):
                if inner.co_flags & 2:
                    found.append(inner)
                walk(inner)

    for module in MODULES:
        walk(compile((HOME / module).read_text(encoding="utf-8"), str(HOME / module), "exec"))
    return found


class Chosen:
    """In a fresh process: the tests that were sent for, in their order."""

    def __init__(self, order: dict[str, Any]) -> None:
        self.order = order
        self.watch = Watch()

    def pytest_runtestloop(self, session: Any) -> bool:
        session.config.pluginmanager.register(self.watch)
        items = {item.nodeid: item for item in session.items}
        wanted = [items[test] for test in self.order["tests"] if test in items]
        if len(wanted) < len(self.order["tests"]):
            self.answer: tuple[str, str, int] = ("killed", "a case is gone", 0)
        else:
            self.answer = go_over(wanted, self.watch, self.order["budget"])
        return True


def fresh() -> None:
    """Import the changed module in the place of the real one, run the tests asked for, print what came of it."""
    order = json.load(sys.stdin)
    get_code = importlib.machinery.SourceFileLoader.get_code

    def changed_code(self: Any, name: str) -> Any:
        if os.path.realpath(self.path) == order["path"]:
            return compile(order["source"], self.path, "exec")
        return get_code(self, name)

    importlib.machinery.SourceFileLoader.get_code = changed_code  # type: ignore[method-assign]
    chosen = Chosen(order)
    with contextlib.redirect_stdout(open(os.devnull, "w")):
        pytest.main([*PLAIN, *dict.fromkeys(t.split("::")[0] for t in order["tests"])], plugins=[chosen])
    print(json.dumps(chosen.answer))


PLAIN = ("-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:cov", "-W", "ignore", f"--rootdir={HOME}")


def read(path: Path) -> list[Outcome]:
    """Return the outcomes that a file holds."""
    lines = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    return [Outcome(**{**line, "mutant": Mutant(**line["mutant"])}) for line in lines]


def show(outcomes: list[Outcome]) -> None:
    """Print how many were noticed, by module, and those that were not."""
    by: dict[str, Counter[str]] = defaultdict(Counter)
    for outcome in outcomes:
        by[outcome.mutant.module][outcome.state] += 1
        by["in all"][outcome.state] += 1
    for module, states in by.items():
        noticed, whole = states["killed"] + states["too long"], sum(states.values()) - states["not made"]
        print(f"{module:34} {noticed:4} of {whole:4} noticed ({noticed / whole:.0%})" if whole else module)
    for o in outcomes:
        if o.state == "survived":
            print(f"\n{o.mutant.module}:{o.mutant.line} {o.mutant.operator} ({o.ran} tests)\n  {o.before}\n  {o.after}")


def main() -> None:
    """Do what the command line asks for."""
    if "--fresh" in sys.argv:
        fresh()
        return
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--modules", default="", help="parts of the names of modules to draw from, such as judging,verdict"
    )
    parser.add_argument(
        "--shard", default="0/1", help="one part of the sample, such as 1/4; the parts run beside each other"
    )
    parser.add_argument("--budget", type=float, default=20, help="seconds of the processor for one change")
    parser.add_argument(
        "--tests",
        default=",".join(TESTS),
        help="the tests to use, such as contact,rules; survivors can be tried with more",
    )
    parser.add_argument(
        "--out", type=Path, default=Path("mutants.jsonl"), help="one line a change; a run goes on where it ends"
    )
    parser.add_argument("--map", type=Path, default=Path("mutants-map.json"), help="which test runs what")
    parser.add_argument(
        "--survivors", type=Path, help="try again what this file says survived, in the place of a sample"
    )
    given = parser.parse_args()
    for path in ("out", "map", "survivors"):
        if getattr(given, path):
            setattr(given, path, getattr(given, path).resolve())
    try:
        importlib.import_module("cosmic_ray")
    except ImportError:
        raise SystemExit("This needs cosmic-ray for the changes: pip install cosmic-ray.") from None
    os.chdir(HOME)
    files = [f"tests/test_{name}.py" for name in given.tests.split(",")]
    pytest.main([*PLAIN, "-s", *files], plugins=[Runner(given)])


if __name__ == "__main__":
    main()
