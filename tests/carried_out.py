"""Workups that were carried out, given by hand: the steps, and how much of each component was there before each of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np

from washlore.rules.bench import Act
from washlore.rules.engine import Fact
from washlore.rules.proposal import ReadStep

DRAWS = 5


class Observed:
    """What stands for the engine: it keeps what is observed."""

    def __init__(self) -> None:
        self.facts: list[Fact] = []
        self.texts: list[str] = []

    def observe(self, fact: Fact, text: str, sources: Sequence[str] = ()) -> None:
        """Keep a fact; the text that goes with it must say something."""
        assert text
        self.facts.append(fact)
        self.texts.append(text)

    def of(self, kind: type[Fact]) -> list[dict[str, Any]]:
        """Return the facts of a kind as plain dictionaries."""
        return [{slot: fact[slot] for slot in kind.slots} for fact in self.facts if type(fact) is kind]


def contact(**more: Any) -> Any:
    """Return one contact of layers."""
    return SimpleNamespace(
        **{"aqueous_ml": 20.0, "organic_ml": 40.0, "co2_ml": 0.0, "ph": np.full(DRAWS, 7.0), "mixed": None, **more}
    )


def step(action: str, words: str = "", *, did: str = "", contacts: int | list[Any] = 0, **more: Any) -> dict[str, Any]:
    """Return a step: its action and words, what it came to (``did``), and how many contacts with water it had."""
    own = {
        k: more.pop(k)
        for k in ("ph", "cleared", "volume_said", "portion_ml", "organic_ml", "skipped", "in_salts")
        if k in more
    }
    own |= {k: more.pop(k) for k in ("layer_known",) if k in more}
    made = [contact() for _ in range(contacts)] if isinstance(contacts, int) else contacts
    return {
        "action": action,
        "words": words or action,
        "did": did or action,
        "contacts": made,
        "own": own,
        "read": more,
    }


def carried_out(
    *steps: dict[str, Any],
    there: Mapping[str, Sequence[float]] | None = None,
    mmol: Mapping[str, float] | None = None,
    leftovers: Mapping[str, Mapping[str, str]] | None = None,
    solvents: Sequence[str] = (),
    **more: Any,
) -> Any:
    """Return the account of a workup whose words are those of its steps, joined by full stops.

    ``there`` gives by component the share before each step and after the last (all of it where nothing is said).
    """
    text, acts = "", []
    for number, item in enumerate(steps, start=1):
        read = ReadStep(item["action"], len(text), len(text) + len(item["words"]), item["words"], **item["read"])
        text += item["words"] + ". "
        own = {"solution": item["read"].get("solution", ""), **item["own"]}
        acts.append(Act(number, read, np.ones(1), did=item["did"], contacts=item["contacts"], **own))
    shares = {"product": [1.0], **(there or {})}
    ids = list(shares)
    rows = [list(s) + [s[-1]] * (len(steps) + 1 - len(s)) for s in shares.values()]
    state = [np.array([[row[n]] * DRAWS for row in rows]) for n in range(len(steps) + 1)]
    amounts = {c: (mmol or {}).get(c, 10.0) for c in ids}
    parts = [
        SimpleNamespace(id=c, name=f"compound {c}", mmol=amounts[c], principal=c, parts=(), origin="SMILES")
        for c in ids
    ]
    mixture = SimpleNamespace(
        components=parts,
        component=lambda c: parts[ids.index(c)],
        product=parts[0],
        reaction_solvents=[(SimpleNamespace(id=s), 40.0) for s in solvents],
        target=0.01,
    )
    asked: dict[str, Any] = {
        "ids": ids,
        "index": 0,
        "history": [(state[n], state[n + 1]) for n in range(len(steps))],
        "final": state[-1],
        "proposal": SimpleNamespace(text=text, steps=tuple(a.read for a in acts)),
        "bench": SimpleNamespace(
            acts=acts, leftovers=dict(leftovers or {}), known={}, solid=0, mistakes=[], discarded=[], gone=set()
        ),
        "plan": SimpleNamespace(mixture=mixture, component=mixture.component),
        "mixture": mixture,
        "name": lambda c: "the product" if c == "product" else f"compound {c}",
        "label": lambda n: f"step {n}",
        "read": lambda n: acts[n - 1].read,
        "turned": lambda n: None,
    }
    return SimpleNamespace(**{**asked, **more})
