"""A judged plan and a rubric give a mark, with the account of how it came about. No files, no printing.

A mark is a proposal: points for what the plan achieves, less points for what is found, never above the cap of its verdict.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from washlore.knowledge.records import dataclass, field
from washlore.rules.judge import Judgement
from washlore.rules.judging.facts import KINDS
from washlore.rules.verdict import VERDICTS
from washlore.rules.words import share


class RubricError(ValueError):
    """A rubric cannot be used; the message says which key, what was found and what would work."""


@dataclass(frozen=True)
class Wanted:
    """What one named impurity is worth (``None``: an equal share) and the fraction that may be left (``None``: the target)."""

    points: float | None = None
    left: float | None = None


@dataclass(frozen=True)
class Rubric:
    """How a plan is marked. Points throughout; ``recovered`` is the fraction of product that earns its credit in full.

    ``off`` is taken for each finding of a kind, ``most_off`` is the most that a kind takes, ``rules`` replaces ``off`` for
    the rules named, ``highest`` is the highest mark of a plan with such a verdict. ``impurity`` holds, by name in lower
    case, what single impurities are worth.
    """

    out_of: float = 10.0
    round_to: float = 0.5
    product: float = 3.0
    recovered: float = 0.9
    impurities: float = 5.0
    no_hazard: float = 2.0
    off: Mapping[str, float] = field(
        default_factory=lambda: {"hazard": 1.0, "loss": 3.0, "leftover": 0.5, "technique": 0.5}
    )
    most_off: Mapping[str, float] = field(default_factory=lambda: {"loss": 6.0, "leftover": 1.5, "technique": 1.0})
    rules: Mapping[str, float] = field(default_factory=dict)
    highest: Mapping[str, float] = field(default_factory=lambda: {"dangerous": 4.0})
    impurity: Mapping[str, Wanted] = field(default_factory=dict)


@dataclass(frozen=True)
class Fault:
    """A finding as far as a mark goes: its kind, its rule, what it is called, and the components it is about (names)."""

    kind: str
    rule: str
    title: str
    step: int | None = None
    about: tuple[str, ...] = ()


@dataclass(frozen=True)
class Leftover:
    """What is left of an impurity, as fractions: the median, and what may be left."""

    name: str
    left: float
    target: float


@dataclass(frozen=True)
class Grounds:
    """What a mark rests on: the verdict, the product recovered (fraction), what is left of each impurity, the findings."""

    verdict: str
    recovered: float
    impurities: tuple[Leftover, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class Line:
    """One line of the account: points given or taken, out of how many (0 for a deduction), for what, and why."""

    points: float
    of: float
    what: str
    why: str


@dataclass(frozen=True)
class Mark:
    """A mark (``None`` where there is nothing to mark), out of how many points, and its account."""

    points: float | None
    out_of: float
    lines: tuple[Line, ...]


def grounds(made: Judgement) -> Grounds:
    """Return what a mark for a judgement rests on."""
    plan = made.considered.plan
    mixture = plan.mixture if plan else made.considered.mixture
    names = {c.id: c.name for c in mixture.components}
    return Grounds(
        made.verdict,
        made.recovered[1],
        tuple(Leftover(names[c], band[1], mixture.target) for c, band in made.left.items() if c != "product"),
        tuple(
            Fault(
                item.kind,
                item.rule,
                item.title,
                item.step or None,
                tuple(names[c] for c in item.components if c in names),
            )
            for item in made.findings
        ),
    )


def mark(seen: Grounds, rubric: Rubric) -> Mark:
    """Return the mark of a judged plan. An unreadable plan gets none: somebody has to look at it."""
    if seen.verdict == "unreadable":
        return Mark(None, rubric.out_of, (Line(0.0, rubric.out_of, "not marked", "no step of a workup was read"),))
    lines = [_product(seen, rubric)]
    lines += _impurities(seen, rubric)
    lines.append(_safety(seen, rubric))
    lines += _deductions(seen, rubric)
    total = sum(line.points for line in lines)
    for change in (_cap, _floor, _rounding):
        line = change(total, seen, rubric)
        if line is not None:
            lines.append(line)
            total += line.points
    return Mark(_tidy(total), rubric.out_of, tuple(lines))


def _tidy(value: float) -> float:
    return round(value, 4) + 0.0


def _product(seen: Grounds, rubric: Rubric) -> Line:
    worth = rubric.product + (0.0 if seen.impurities else rubric.impurities)
    part = min(1.0, seen.recovered / rubric.recovered)
    why = f"{share(seen.recovered)} is recovered"
    why += f"; full credit from {share(rubric.recovered)}" if part < 1 else ""
    return Line(round(worth * part, 2), worth, "product recovered", why)


def worths(names: Sequence[str], rubric: Rubric) -> dict[str, float]:
    """Return what each impurity is worth: what the rubric says, and an equal share of the rest."""
    named = {n: w.points for n in names if (w := rubric.impurity.get(n.lower())) and w.points is not None}
    others = [n for n in names if n not in named]
    rest = max(0.0, rubric.impurities - sum(named.values()))
    if not others and named:
        factor = rubric.impurities / sum(named.values()) if sum(named.values()) else 0.0
        return {n: p * factor for n, p in named.items()}
    return {n: named[n] if n in named else rest / len(others) for n in names}


def _impurities(seen: Grounds, rubric: Rubric) -> Iterable[Line]:
    worth = worths([i.name for i in seen.impurities], rubric)
    blamed = {name for fault in seen.faults if fault.kind in ("leftover", "hazard") for name in fault.about}
    for item in seen.impurities:
        wanted = rubric.impurity.get(item.name.lower(), Wanted()).left
        target = item.target if wanted is None else wanted
        said = f"{share(item.left)} is left; {share(target)} may be"
        out = item.left <= target
        if not out and wanted is None and item.name not in blamed:
            out, said = True, f"{said}, but that is not held against the plan: it is within what the estimate can tell"
        yield Line(_tidy(worth[item.name]) if out else 0.0, _tidy(worth[item.name]), f"{item.name} taken out", said)


def _safety(seen: Grounds, rubric: Rubric) -> Line:
    count = sum(fault.kind == "hazard" for fault in seen.faults)
    why = "nothing was found that can hurt someone" if not count else f"hazards found: {count}"
    return Line(0.0 if count else rubric.no_hazard, rubric.no_hazard, "no hazard", why)


def _deductions(seen: Grounds, rubric: Rubric) -> Iterable[Line]:
    taken: dict[str, float] = {}
    for fault in seen.faults:
        own = rubric.rules.get(fault.rule)
        points = rubric.off.get(fault.kind, 0.0) if own is None else own
        if not points:
            continue
        most = rubric.most_off.get(fault.kind, points * len(seen.faults))
        why = fault.title
        rest = max(0.0, most - taken.get(fault.kind, 0.0))
        if points > rest:
            points, why = rest, f"{why} (no more is taken for this kind)"
        taken[fault.kind] = taken.get(fault.kind, 0.0) + points
        where = f", step {fault.step}" if fault.step else ""
        yield Line(-_tidy(points), 0.0, f"{fault.kind}{where}", why)


def _cap(total: float, seen: Grounds, rubric: Rubric) -> Line | None:
    highest = rubric.highest.get(seen.verdict)
    if highest is None or total <= highest:
        return None
    return Line(_tidy(highest - total), 0.0, "cap", f"a plan judged {seen.verdict} gets {highest:g} at most")


def _floor(total: float, seen: Grounds, rubric: Rubric) -> Line | None:
    if total < 0:
        return Line(_tidy(-total), 0.0, "floor", "no mark is below 0")
    if total > rubric.out_of:
        return Line(_tidy(rubric.out_of - total), 0.0, "ceiling", f"no mark is above {rubric.out_of:g}")
    return None


def _rounding(total: float, seen: Grounds, rubric: Rubric) -> Line | None:
    if not rubric.round_to:
        return None
    rounded = min(int(total / rubric.round_to + 0.5 + 1e-9) * rubric.round_to, rubric.out_of)
    if abs(rounded - total) < 1e-6:
        return None
    return Line(_tidy(rounded - total), 0.0, "rounding", f"to the nearest {rubric.round_to:g}")


# Rubrics as tables ----------------------------------------------------------------------------------------------

_NUMBERS = ("out_of", "round_to", "product", "recovered_percent", "impurities", "no_hazard")
_TABLES = {"off": KINDS, "most_off": KINDS, "highest": VERDICTS, "rules": None}


def rubric_from_table(data: Mapping[str, Any], where: str = "[rubric]") -> Rubric:
    """Return the rubric that a parsed TOML table describes; what is left out is as in the default.

    Raises ``RubricError`` for an unknown key, a number that is none or is negative, a rule that there is not, and points
    that do not add up.
    """
    known = (*_NUMBERS, *_TABLES, "impurity")
    for key in data:
        if key not in known:
            raise RubricError(f"{where}: {key!r} is not a key here; the keys are {', '.join(known)}.")
    values: dict[str, Any] = {}
    for key in _NUMBERS:
        if key in data:
            values[key] = _number(data[key], f"{where} {key}")
    if "recovered_percent" in values:
        percent = values.pop("recovered_percent")
        if not 0 < percent <= 100:
            raise RubricError(f"{where} recovered_percent: {percent:g} is not a percentage above 0, up to 100.")
        values["recovered"] = percent / 100
    default = Rubric()
    for key, names in _TABLES.items():
        if key in data:
            values[key] = {**getattr(default, key), **_points(data[key], f"{where[:-1]}.{key}]", names)}
    if "rules" in values:
        _known_rules(values["rules"], f"{where[:-1]}.rules]")
    if "impurity" in data:
        values["impurity"] = _wanted(data["impurity"], f"{where[:-1]}.impurity")
    made = Rubric(**values)
    credit = made.product + made.impurities + made.no_hazard
    if made.out_of <= 0:
        raise RubricError(f"{where} out_of: {made.out_of:g} is not a mark that can be reached; write a number above 0.")
    if abs(credit - made.out_of) > 1e-9:
        raise RubricError(
            f"{where}: product, impurities and no_hazard add up to {credit:g}, and out_of is {made.out_of:g}; make them equal."
        )
    named = sum(w.points for w in made.impurity.values() if w.points is not None)
    if named > made.impurities + 1e-9:
        raise RubricError(
            f"{where}: the impurities named are worth {named:g} together, and impurities = {made.impurities:g} is all there "
            "is for them; raise it or give them less."
        )
    return made


def _number(value: Any, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e6:
        raise RubricError(f"{where}: must be a number of points, 0 or more; found {value!r}.")
    return float(value)


def _points(value: Any, where: str, names: Sequence[str] | None) -> dict[str, float]:
    if not isinstance(value, Mapping):
        raise RubricError(f"{where}: must be a table of names and points.")
    for key in value:
        if names is not None and key not in names:
            raise RubricError(f"{where}: {key!r} is none of {', '.join(names)}.")
    return {key: _number(points, f"{where} {key}") for key, points in value.items()}


def _known_rules(rules: Iterable[str], where: str) -> None:
    import difflib

    from washlore.rules.engine import judging_lore

    known = [lore.id for lore in judging_lore()]
    for name in rules:
        if name not in known:
            near = difflib.get_close_matches(name, known, n=3) or known[:3]
            raise RubricError(f"{where}: there is no judging rule {name!r}; near it are {', '.join(near)}.")


def _wanted(value: Any, where: str) -> dict[str, Wanted]:
    if not isinstance(value, Mapping):
        raise RubricError(f"{where}]: must be tables, one for each impurity.")
    made = {}
    for name, entry in value.items():
        here = f"{where}.{name}]"
        if not isinstance(entry, Mapping):
            raise RubricError(f"{here}: must be a table with points, left_percent, or both.")
        for key in entry:
            if key not in ("points", "left_percent"):
                raise RubricError(f"{here}: {key!r} is not a key here; the keys are points, left_percent.")
        points = _number(entry["points"], f"{here} points") if "points" in entry else None
        left = _number(entry["left_percent"], f"{here} left_percent") / 100 if "left_percent" in entry else None
        made[name.lower()] = Wanted(points, left)
    return made


def rubric_toml(rubric: Rubric) -> str:
    """Return a rubric as the TOML table that ``rubric_from_table`` reads."""
    lines = [
        "[rubric]",
        f"out_of = {rubric.out_of:g}",
        f"round_to = {rubric.round_to:g}               # 0 for no rounding",
        f"product = {rubric.product:g}                  # in full from this much recovered, less in proportion:",
        f"recovered_percent = {100 * rubric.recovered:g}",
        f"impurities = {rubric.impurities:g}               # in equal parts for each that is brought under the target",
        f"no_hazard = {rubric.no_hazard:g}",
    ]
    said = {
        "off": "for each finding of a kind",
        "most_off": "the most that a kind takes off",
        "rules": "for each finding of a rule, in place of its kind; washlore know rules --format json lists them",
        "highest": "the highest mark with such a verdict",
    }
    for key, note in said.items():
        lines += ["", f"[rubric.{key}]".ljust(24) + f"# {note}"]
        lines += [f"{_key(name)} = {points:g}" for name, points in getattr(rubric, key).items()]
    for name, wanted in rubric.impurity.items():
        lines += ["", f"[rubric.impurity.{_key(name)}]"]
        lines += [f"points = {wanted.points:g}"] if wanted.points is not None else []
        lines += [f"left_percent = {100 * wanted.left:g}"] if wanted.left is not None else []
    return "\n".join(lines)


def _key(name: str) -> str:
    import json
    import re

    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else json.dumps(name)
