"""What the record of a judged plan holds for who wants to look: where everything goes, and the chemistry of what was found.

Contacts, streams and proton transfers are those of a plan's record, made by the same functions.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from washlore.cli.render import account
from washlore.cli.render.record import transfer_record
from washlore.knowledge.rows import Pitfall, Solution, table
from washlore.rules.carried import as_carried_out
from washlore.rules.engine import judging_lore
from washlore.rules.protons import step_transfers

if TYPE_CHECKING:
    from washlore.rules.account import Job
    from washlore.rules.judge import Judgement
    from washlore.rules.plan import Plan

# A step's chemistry is told of what it moves by more than this share.
MOVED = 0.1


def follow(record: dict[str, Any], made: Judgement) -> dict[str, Any]:
    """Return what is to be added to the record of a judgement; contacts and streams are empty where water is barred."""
    rules = list(dict.fromkeys(item["rule"] for item in record["findings"]))
    known = {item.id: item for item in judging_lore()}
    mixture = made.considered.plan.mixture if made.considered.plan else made.considered.mixture
    added: dict[str, Any] = {
        "target": float(f"{mixture.target:.3g}"),
        "components": [{"id": c.id, "name": c.name, "role": c.role} for c in mixture.components],
        "contacts": [],
        "streams": [],
        "reactions": [],
        "lessons": [{"rule": rule, "why": known[rule].why} for rule in rules if rule in known],
        "pitfalls": _pitfalls(record),
        "put_right": False,
    }
    if made.job is not None:
        carried = as_carried_out(made.job.bench)
        added["contacts"] = account.contacts(carried)
        added["streams"] = account.streams(carried)
        added["reactions"] = _reactions(made.job, carried)
        added["put_right"] = bool(made.job.bench.mistakes)
    return added


def _pitfalls(record: dict[str, Any]) -> list[dict[str, Any]]:
    """Return what students get wrong, where the rule that judges it found it, each once."""
    steps = {item["rule"]: item["step"] for item in reversed(record["findings"])}
    return [
        {"step": steps[row.rule], "rule": row.rule, "belief": row.belief, "fact": row.fact, "source": row.source}
        for row in table(Pitfall).values()
        if row.rule in steps
    ]


def _reactions(job: Job, carried: Plan) -> list[dict[str, Any]]:
    """Return the proton transfers of each step with what it moves; a change of pH is about the product."""
    told = []
    for step, (before, after) in zip(carried.steps, job.history, strict=False):
        moved = [c for n, c in enumerate(job.ids) if abs(before[n, 0] - after[n, 0]) > MOVED]
        if step.action in ("take up", "set ph"):
            moved = ["product"]
        found = step_transfers(
            step.action,
            table(Solution).get(step.solution),
            step.target_ph,
            [carried.component(c) for c in moved],
        )
        told += [{"step": step.number, **transfer_record(carried, item)} for item in found]
    return told
