"""Findings gathered into a verdict: merged by their root, the worst first, no more than is useful."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from washlore.knowledge.records import dataclass, replace
from washlore.rules.engine import judging_lore
from washlore.rules.judging import facts as j
from washlore.rules.words import listed, share, spread

VERDICTS = ("ok", "minor", "flawed", "dangerous", "unreadable")
# Times the target, or this share, that make a leftover more than a small one.
MUCH_TIMES, MUCH_SHARE = 5.0, 0.05
# What no column, crystallisation or distillation is left with: a flask full of solvent.
NOT_FOR_A_COLUMN = frozenset({"boils-too-high"})
MOST_FINDINGS = {"hazard": 8, "loss": 6, "leftover": 6, "technique": 3}


@dataclass(frozen=True)
class Found:
    """One finding: what was found and what follows (``text``), and what to do instead (``remedy``)."""

    kind: str
    rule: str
    title: str
    step: int
    quote: str
    component: str
    text: str
    remedy: str
    numbers: tuple[tuple[Any, ...], ...]
    sources: tuple[str, ...]
    root: str = ""
    # The ids of all components that it is about, the worst first.
    components: tuple[str, ...] = ()


def gather(engine: Any, job: Any) -> tuple[Found, ...]:
    """Return the findings: merged by root, the worst first, no more than is useful."""
    titles = {lore.id: lore.title for lore in judging_lore()}
    order = {kind: n for n, kind in enumerate(j.KINDS)}
    by_root: dict[str, tuple[Found, Any]] = {}
    concluded = sorted([*engine.facts_of(j.Finding), *engine.facts_of(j.Stays)], key=lambda pair: pair[0])
    for known_id, fact in concluded:
        reason = engine.known[known_id].reasons[0]
        read = job.read(fact["step"]) if fact["step"] else None
        found = Found(
            fact["kind"] if isinstance(fact, j.Finding) else "leftover",
            reason.rule,
            titles[reason.rule],
            fact["step"],
            read.words if read else "",
            fact["component"],
            reason.text,
            fact["remedy"],
            fact["numbers"],
            reason.sources,
            fact["root"],
            (fact["component"],) if fact["component"] else (),
        )
        earlier = by_root.get(found.root)
        if earlier is None or order[found.kind] < order[earlier[0].kind]:
            by_root[found.root] = (found, fact)
    told = [found for found, fact in by_root.values() if not isinstance(fact, j.Stays)]
    told += _told_together([pair for pair in by_root.values() if isinstance(pair[1], j.Stays)], job)
    rows = sorted(told, key=lambda item: (order[item.kind], -_weight(item), item.step))
    kept: dict[str, list[Found]] = {kind: [] for kind in j.KINDS}
    for item in _one_root(rows):
        kept[item.kind].append(item)
    return tuple(item for kind, items in kept.items() for item in items[: MOST_FINDINGS[kind]])


def _told_together(pairs: Sequence[tuple[Found, Any]], job: Any) -> list[Found]:
    """Return what stays behind, in one finding for each reason and remedy; the finding is that of the worst."""
    groups: dict[tuple[Any, ...], list[tuple[Found, Any]]] = {}
    for found, fact in pairs:
        groups.setdefault((fact["common"], fact["step"], fact["remedy"]), []).append((found, fact))
    made = []
    for (common, _, _), group in groups.items():
        group.sort(key=lambda pair: -_weight(pair[0]))
        names = [job.name(fact["component"]) for _, fact in group]
        owns = [fact["own"] for _, fact in group if fact["own"]]
        stays = [_remainder(job, fact) for _, fact in group]
        common = common.replace("{}", listed(names))
        lead = f"{', '.join(owns)}, and {common}" if owns else common
        verb = "stay" if stays[1:] else "stays"
        text = f"{lead}: {listed(stays)} {verb} with the product"
        made.append(replace(group[0][0], text=text, components=tuple(fact["component"] for _, fact in group)))
    return made


def _remainder(job: Any, fact: Any) -> str:
    """Return how much of a component stays, in words."""
    (_, low, mid, high), *_ = fact["numbers"]
    return f"{share(mid)} of {job.name(fact['component'])}{spread(low, mid, high)}"


def _weight(item: Found) -> float:
    """Return how much a finding weighs among its kind."""
    for name, *values in item.numbers:
        if name in ("product_lost", "product_left_behind", "left"):
            return _middle(values)
    return 0.5 if item.kind in ("hazard", "loss") else 0.0


def _middle(values: Sequence[float]) -> float:
    """Return the middle one of (low, middle, high), or the only one."""
    return float(values[(len(values) - 1) // 2])


def _one_root(rows: Sequence[Found]) -> list[Found]:
    """Leave out what follows from a worse finding: losses at one step, and technique where it is the cause."""
    made: list[Found] = []
    for item in rows:
        broken = any(m.kind == "loss" and m.step == item.step and item.component == "product" for m in made)
        caused = item.kind == "technique" and any(m.step == item.step and m.kind in ("hazard", "loss") for m in made)
        same = item.kind in ("hazard", "leftover") and any(
            m.component == item.component and m.kind == "hazard" for m in made
        )
        if (broken and item.kind == "loss") or caused or same:
            continue
        made.append(item)
    return made


def verdict_on(findings: Sequence[Found], target: float, purified: bool = False) -> str:
    """Return the verdict; what stays is no flaw where the text goes on to purify the product by other means."""
    kinds = {item.kind for item in findings}
    if "hazard" in kinds:
        return "dangerous"
    if "loss" in kinds:
        return "flawed"
    for item in findings:
        if item.kind != "leftover" or (purified and item.rule not in NOT_FOR_A_COLUMN):
            continue
        left = next((values for name, *values in item.numbers if name == "left"), None)
        if left is None or _middle(left) > max(MUCH_TIMES * target, MUCH_SHARE):
            return "flawed"
    return "minor" if findings else "ok"
