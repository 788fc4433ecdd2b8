"""A read plan that was carried out, put into the form of a plan of ours: what is shown of ours can be shown of it too.

Its steps say where each layer goes, and its ledger what each held. A layer that a later step takes up again goes on; what
nobody comes back to is waste. Where the bench put a mistake right, so does this: the findings tell of the mistake.
"""

from __future__ import annotations

from collections.abc import Sequence

from washlore.knowledge.arrays import np
from washlore.knowledge.records import replace
from washlore.rules.bench import Bench
from washlore.rules.contact import Contact
from washlore.rules.flask import Act
from washlore.rules.phase import Phase
from washlore.rules.plan import Plan
from washlore.rules.proposal import read_as
from washlore.rules.species import Array
from washlore.rules.steps import AQUEOUS, AQUEOUS_WASTE, CRUDE, MIXTURE, ORGANIC, ORGANIC_WASTE, PlanStep

LABEL = {"organic": ORGANIC, "aqueous": AQUEOUS}
WASTE = {"organic": ORGANIC_WASTE, "aqueous": AQUEOUS_WASTE}
OTHER = {"organic": "aqueous", "aqueous": "organic"}
# What is fresh in each portion; in any other step the same two layers meet.
FRESH = {"wash": "aqueous", "take up": "aqueous", "extract": "organic", "rinse water": "organic"}
STRIPS = ("evaporate", "concentrate")
# A filtration that brings the product.
COLLECTS = "collect"


def as_carried_out(bench: Bench) -> Plan:
    """Return the mixture's plan with the steps and the account of what ``bench`` carried out in place of its own."""
    acts = bench.acts[: bench.solid] if bench.solid else _until_dry(bench.acts)
    steps: list[PlanStep] = []
    contacts: list[Contact] = []
    aside: list[tuple[int, str, Phase]] = []
    label, before = MIXTURE, bench.acts[0].before
    for act in acts:
        met = _met(act)
        contacts += [replace(contact, portion=n) for n, contact in enumerate(met, start=1)]
        goes = {"organic": "", "aqueous": ""}
        taken = label
        if met:
            other = OTHER[act.kept]
            left = _left(act, met, other)
            if act.did == "rinse water" and label == LABEL[other]:
                left = left + before  # the layer with the product was set aside, and one set aside before goes on
            aside.append((act.number, other, Phase(left, 0.0)))
            key = act.again or act.number
            back = any(later.again == key for later in acts[act.number :])
            label = LABEL[act.kept]
            goes = {act.kept: label, other: _aside_label(key) if back else WASTE[other]}
        elif act is acts[-1] and act.read.action in STRIPS:
            goes["organic"] = CRUDE
        elif act.number == bench.solid:
            goes = {"organic": CRUDE, "aqueous": AQUEOUS_WASTE}
        assert act.after is not None
        before = act.after
        steps.append(
            PlanStep(
                act.number,
                COLLECTS if act.number == bench.solid else act.did,
                read_as(act.read),
                "",
                (),
                solution=act.solution,
                volume_ml=act.portion_ml or act.read.volume_ml,
                repeats=act.read.repeats,
                phase_kept=act.kept if met else "",
                desiccant=act.read.desiccant,
                target_ph=act.ph if act.did == "set ph" else None,
                stream=taken,
                organic_to=goes["organic"],
                aqueous_to=goes["aqueous"],
                also=(_aside_label(act.again),) if act.again else (),
            )
        )
    after = [act.after for act in acts if act.after is not None]
    if bench.solid:
        # What of the rest stays on the filter is not computed.
        after[-1] = np.where([[s.component == "product"] for s in bench.numbers.species], after[-1], 0.0)
    book = replace(bench.book, contacts=contacts, set_aside=aside, after=after)
    return replace(bench.plan, steps=tuple(steps), ledger=book)


def _aside_label(number: int) -> str:
    return f"set aside in step {number}"


def _until_dry(acts: Sequence[Act]) -> Sequence[Act]:
    """Return the acts up to the one that strips the product for good."""
    for n in range(len(acts), 0, -1):
        if acts[n - 1].contacts:
            break
        if acts[n - 1].read.action in STRIPS:
            return acts[:n]
    return acts


def _runs(act: Act) -> list[list[Contact]]:
    """Return the contacts of an act, parted where the portions begin anew."""
    runs: list[list[Contact]] = []
    for contact in act.contacts:
        if contact.portion == 1 or not runs:
            runs.append([])
        runs[-1].append(contact)
    return runs


def _met(act: Act) -> list[Contact]:
    """Return the contacts that count: all of the same layers once, without an extraction that was taken for granted."""
    runs = _runs(act)
    if not runs:
        return []
    if act.did not in FRESH:
        return [runs[-1][-1]]
    return [contact for run in runs for contact in run] if act.did == "extract" and act.again else runs[-1]


def _left(act: Act, met: Sequence[Contact], kind: str) -> Array:
    """Return what the layer that is set aside holds (species, draws)."""
    held = [c.organic_mmol if kind == "organic" else c.aqueous_mmol for c in met]
    if act.did == "extract" and act.again:
        return np.sum([run[-1].aqueous_mmol for run in _runs(act)], axis=0)
    left = np.sum(held, axis=0) if FRESH.get(act.did) == kind else held[-1]
    if kind == "aqueous" and act.did in FRESH and len(_runs(act)) > 1:
        left = left + _runs(act)[0][-1].aqueous_mmol  # of the extraction that was taken for granted
    return left
