"""What a text is read as, in one line for each step."""

from __future__ import annotations

from washlore.rules.proposal import ReadStep
from washlore.rules.reading import read_plan

# What moves nothing is left out of the reading of a whole workup.
ASIDE = ("cool", "wait", "combine", "discard", "vent", "check ph", "rinse")


def short(step: ReadStep) -> str:
    """Return a step as ``action what repeats x volume phase``, leaving out what is not said."""
    what = "+".join(x for x in (step.solution, step.solvent, step.desiccant) if x)
    size = f"{step.volume_ml:g}" if step.volume_ml is not None else ""
    size = f"{step.relative_volume:g}vol" if step.relative_volume is not None else size
    size = f"{step.repeats}x{size}" if step.repeats > 1 else size
    ph = f"pH{step.target_ph:g}" if step.target_ph is not None else ""
    return " ".join(x for x in (step.action, what, ph, size) if x)


def check_whole(text: str, steps: str, unread: bool) -> None:
    """Check the steps that a whole workup is read as, whether something is told as not read, and where each step stands."""
    plan = read_plan(text)
    assert [short(step) for step in plan.steps if step.action not in ASIDE] == steps.split(" | ")
    assert bool(plan.unread) is unread
    for step in plan.steps:
        assert text[step.start : step.end] == step.words
