"""What the record of a judged plan holds for who wants to look: where everything goes, and the chemistry of what was found.

Contacts, streams and proton transfers are those of a plan's record, made by the same functions.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from washlore.cli.render import account
from washlore.cli.render.record import transfer_record
from washlore.knowledge.rows import Pitfall, Solution, table
from washlore.rules.carried import as_carried_out
from washlore.rules.engine import judging_lore
from washlore.rules.protons import step_transfers
from washlore.rules.several import own_id

if TYPE_CHECKING:
    from washlore.rules.account import Job
    from washlore.rules.judge import Judgement, Part
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
    if made.parts:
        added |= _together([_called(part, follow(record, part.judgement)) for part in made.parts])
    elif made.job is not None:
        carried = as_carried_out(made.job.bench)
        added["contacts"] = account.contacts(carried)
        added["streams"] = account.streams(carried)
        added["reactions"] = _reactions(made.job, carried)
        added["put_right"] = bool(made.job.bench.mistakes)
    return added


# Of one layer in the accounts of several products, the one that goes furthest counts.
_IN_ORDER = ("mixture", "organic", "aqueous", "solid", "distillate")
_FURTHEST = ("product", "goes on", "joins", "waste")


def _together(each: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return what was followed for several products as one account: each layer goes on where any of them does."""
    contacts: dict[tuple[Any, ...], dict[str, Any]] = {}
    streams: dict[tuple[Any, ...], dict[str, Any]] = {}
    reactions: list[dict[str, Any]] = []
    for one in each:
        for contact in one["contacts"]:
            contacts.setdefault((contact["step"], contact["portion"]), contact)
        for stream in one["streams"]:
            key = (stream["from_step"] or 0, _IN_ORDER.index(stream["kind"]))
            known = streams.get(key)
            if known is None or _FURTHEST.index(stream["fate"]) < _FURTHEST.index(known["fate"]):
                streams[key] = stream
        reactions += [item for item in one["reactions"] if item not in reactions]
    made = account.labelled([{**streams[key], "label": None} for key in sorted(streams)])
    return {
        "contacts": [contacts[key] for key in sorted(contacts)],
        "streams": made,
        "reactions": sorted(reactions, key=lambda item: item["step"]),
        "put_right": any(one["put_right"] for one in each),
    }


def _called(part: Part, value: Any) -> Any:
    """Return a piece of the account of one product with its components called as in the whole flask."""
    if isinstance(value, list):
        return [_called(part, item) for item in value]
    if not isinstance(value, dict):
        return value
    return {
        key: own_id(part, item) if key == "component" and isinstance(item, str) else _called(part, item)
        for key, item in value.items()
    }


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
    for step in carried.steps:
        before, after = job.history[step.number - 1]
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
