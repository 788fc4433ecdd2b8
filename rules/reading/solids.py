"""What goes in as a solid beside a solution that is poured in: "some 20 g of the solid are added as well"."""

from __future__ import annotations

import re

from washlore.knowledge.records import replace
from washlore.rules.proposal import Proposal

_SOLID = re.compile(r"(?<![\d.])(\d{1,6}(?:\.\d{1,3})?)\s+g\s+of\s+the\s+solid\b", re.I)


def with_solids(read: Proposal) -> Proposal:
    """Return the proposal with the solid noted on each quench in whose words, up to the next step, one is told of."""
    found = list(_SOLID.finditer(read.text)) if " g" in read.text or "\tg" in read.text or "\ng" in read.text else []
    if not found:
        return read
    steps = list(read.steps)
    for k, step in enumerate(steps):
        end = next((s.start for s in steps[k + 1 :] if s.start > step.start), len(read.text))
        told = next((m for m in found if step.start <= m.start() < end), None)
        if step.action == "quench" and step.solution and told:
            steps[k] = replace(step, solid_g=float(told[1]))
    return replace(read, steps=tuple(steps))
