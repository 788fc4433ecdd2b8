"""Facts given by hand to the rules that judge, and the findings that they make of them: no plan is read, no number computed."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from washlore.rules import facts as f
from washlore.rules.engine import Fact
from washlore.rules.judge import judging_engine
from washlore.rules.judging import facts as j
from washlore.rules.proposal import ReadStep
from washlore.rules.verdict import Found, gather

PKA = {"product": 4.2, "c1": 9.0}


def job(**own: Any) -> SimpleNamespace:
    """Return what rules may ask about: a workup of which only what a case speaks of is known."""
    asked: dict[str, Any] = {
        "name": lambda c: {"product": "the product"}.get(c, f"compound {c}"),
        "label": lambda n: f"step {n} (as written)",
        "read": lambda n: ReadStep("wash", 0, 5, "wash it"),
        "pka": lambda c: f"pKa {PKA[c]}",
        "pka_value": lambda c: PKA[c],
        "kind": lambda c: "acid",
        "neutral_ph": lambda: 2.0,
        "ph_before": lambda n: 9.0,
        "volume": lambda n: 20.0,
        "ours_of": lambda c: "wash with what we use",
        "quench_words": lambda c, otherwise: otherwise,
        "ours_for": lambda n: "",
        "is_ours": lambda s, n: False,
        "must_be": lambda s, n: False,
        "harms": lambda s: False,
        "turned": lambda n: None,
        "turned_by": lambda ph: "compound c1",
        "assumes_volume": lambda n: False,
        "hydrolysed": lambda n: None,
        "our_desiccant": lambda: "sodium sulfate",
        "first_dry": lambda: 4,
        "others_of": lambda *kinds: False,
        "step_of_lowest": lambda: 1,
        "step_of_highest": lambda: 2,
        "recovered": lambda: 0.5,
        "hopeless": True,
        "ids": ["product", "c1"],
        "plan": SimpleNamespace(
            component=lambda c: SimpleNamespace(mmol=40.0, parts=()),
            extraction="ethyl_acetate",
            steps=(),
            recovered=(0.9, 0.95, 1.0),
        ),
    }
    return SimpleNamespace(**{**asked, **own})


def anew(value: Any) -> Any:
    """Return a text that is equal and not the same object, as one that was read from a plan is."""
    return "".join(list(value)) if isinstance(value, str) else value


def given(kind: type[Fact], /, **slots: Any) -> Fact:
    """Return a fact with the slots that a case speaks of, and 0 in the others."""
    return kind(**{**dict.fromkeys(kind.slots, 0), **{slot: anew(value) for slot, value in slots.items()}})


def thought(*facts: Fact, **asked: Any) -> Any:
    """Return the engine that has thought about the facts."""
    engine = judging_engine()
    engine.reset()
    engine.job = job(**asked)
    for fact in facts:
        engine.observe(fact, "given")
    engine.begin("warn")
    return engine


def judged(*facts: Fact, **asked: Any) -> tuple[Found, ...]:
    """Return the findings as a verdict lists them."""
    engine = thought(*facts, **asked)
    return gather(engine, engine.job)


def fired(*facts: Fact, **asked: Any) -> list[str]:
    """Return the rules that found something, in the order in which they did, before anything is merged."""
    return list(thought(*facts, **asked).fired)


def only(*facts: Fact, **asked: Any) -> Found:
    """Return the one finding that there is."""
    (found,) = judged(*facts, **asked)
    return found


REMAINS = {"component": "c1", "low": 0.5, "mid": 0.8, "high": 0.9, "ours": 0.001234567, "touched": 0}


def did(solution: str, ph: float, survives: bool = False, **more: Any) -> Fact:
    """Return a step that meets the product."""
    return given(j.Did, **{"step": 2, "action": "wash", "solution": solution, "ph": ph, "survives": survives, **more})


def stands(side: str, ph: float) -> Fact:
    """Return a limit of the product."""
    return f.Stands(side=side, ph=ph, group="hindered_ester")


def meets(ph: float, solution: str = "hcl_1m", residue: str = "azide_ion") -> Fact:
    """Return a leftover that meets acid."""
    return given(j.Meets, step=3, component="c1", residue=residue, solution=solution, share=0.25, ph=ph)


def finish(**values: Any) -> Fact:
    """Return an end of a plan that is sound but for what a case says."""
    usual = {
        "dry": 4,
        "last_dry": 4,
        "water": 3,
        "filter": 5,
        "strip": 6,
        "brine": 3,
        "solvent": "ethyl_acetate",
        "held": 3.3,
    }
    usual |= {"itemised": True, "rinsed": True, "listed": True}
    return given(j.Finish, **{**usual, **values})


def remains(kind: str, top: float, bottom: float, pka: float = 9.0, **more: Any) -> tuple[Fact, ...]:
    """Return a component that stays, and the washes there were."""
    return (
        given(j.Remains, **{**REMAINS, **more}),
        j.Character(component="c1", kind=kind, pka=pka),
        j.Sides(lowest=bottom, highest=top, only_neutral=False, brine_step=0),
    )


def lost(
    share: float, low: float, acts: str, solution: str, kind: str = "other", said: bool = True, **asked: Any
) -> list[str]:
    """Return the rules that call a loss of the product one."""
    fact = given(
        j.Lost, step=2, share=share, low=low, high=min(1.0, 1.5 * share), solution=solution, acts=acts, said=said
    )
    found = judged(fact, j.Character(component="product", kind=kind, pka=4.2), **{"kind": lambda c: kind, **asked})
    return [x.rule for x in found]
