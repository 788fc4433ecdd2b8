"""A workup that somebody else wrote, as read: the steps, each tied to the words it comes from, and what was not read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from washlore.knowledge.records import dataclass, replace
from washlore.knowledge.rows import Desiccant, Solution, Solvent, table

if TYPE_CHECKING:
    from washlore.rules.plan import Plan, PlanStep

ACTIONS = (
    "quench",
    "evaporate",
    "dilute",
    "filter",
    "wash",
    "extract",
    "take up",
    "set ph",
    "combine",
    "discard",
    "dry",
    "filter off desiccant",
    "rinse",
    "concentrate",
    "vent",
    "check ph",
    "cool",
    "wait",
)
# What is done to another layer than the one that is followed.
ELSEWHERE = "elsewhere"


@dataclass(frozen=True)
class ReadStep:
    """One operation as read. ``start`` and ``end`` are positions in the text, ``words`` what stands there.

    ``action`` is one of ``ACTIONS``: ``wash`` (the organic layer with an aqueous solution), ``extract`` (an aqueous
    layer with an organic solvent), ``take up`` (the product into an aqueous solution), ``dilute`` (add solvent or
    water). ``solution``, ``solvent`` and ``desiccant`` are ids of the tables, empty where none is named or it is not
    known; ``strength`` is what was written. ``volume_ml`` is of one portion, ``None`` if not said. ``phase_kept`` is
    organic, aqueous or empty if not said, ``layer_kept`` top, bottom or empty. ``phase_solvent`` is the solvent of
    the organic layer where the words name it ("the ether layer was washed"). ``assumed`` lists, in words, what was
    filled in. A ``dilute`` or ``quench`` with both a solution and a solvent was between the two, ``volume_ml`` of the
    one and ``solvent_ml`` of the other. ``rinse`` is of a solid or a desiccant. ``in_all``: water up to that volume.
    ``solid_g`` of what the solution of a ``quench`` has dissolved go in with it.
    """

    action: str
    start: int
    end: int
    words: str
    solution: str = ""
    strength: str = ""
    solvent: str = ""
    desiccant: str = ""
    volume_ml: float | None = None
    relative_volume: float | None = None
    repeats: int = 1
    target_ph: float | None = None
    phase_kept: str = ""
    layer_kept: str = ""
    phase_solvent: str = ""
    assumed: tuple[str, ...] = ()
    solvent_ml: float | None = None
    in_all: bool = False
    solid_g: float = 0.0


@dataclass(frozen=True)
class Unread:
    """Words of the workup that could not be read, with their place."""

    start: int
    end: int
    words: str
    reason: str


@dataclass(frozen=True)
class Proposal:
    """A whole plan as read: the steps in order, what was not read, and what was set aside as not being workup.

    ``solvent_before`` is the water-immiscible solvent that the text names before the workup: likely the organic layer
    where the workup names none (``washlore.rules.reading.organic_solvent`` weighs them). ``purified`` names how the
    text goes on to purify the product ("chromatography"), empty where it does not.
    """

    text: str
    steps: tuple[ReadStep, ...]
    unread: tuple[Unread, ...]
    before: tuple[int, int] | None = None
    after: tuple[int, int] | None = None
    solvent_before: str = ""
    purified: str = ""

    @property
    def readable(self) -> bool:
        """Tell whether anything of a workup was found."""
        return bool(self.steps)


def clause_of(text: str, read: ReadStep, ends: str = ".;\n") -> tuple[int, int]:
    """Return where the words about a step begin and end in a text, between any of these signs."""
    begun = max(text.rfind(sign, 0, read.start) for sign in ends) + 1
    return begun, next((k for k in range(read.end, len(text)) if text[k] in ends), len(text))


_SAID = {
    "set ph": "set pH",
    "check ph": "check pH",
    "filter off desiccant": "filter off the drying agent",
    "take up": "carry over into water",
    "concentrate": "strip the solvent",
    "evaporate": "strip the solvent",
}


def in_words(read: ReadStep) -> str:
    """Return a step as read in a few words, such as ``wash, 3 × 20 mL saturated sodium hydrogen carbonate``."""
    what = ""
    if read.solution in table(Solution):
        what = table(Solution)[read.solution].name
    elif read.solvent in table(Solvent):
        what = table(Solvent)[read.solvent].name
    elif read.desiccant in table(Desiccant):
        what = table(Desiccant)[read.desiccant].name
    amount = f"{read.repeats} × " if read.repeats > 1 else ""
    if read.volume_ml:
        amount += f"{read.volume_ml:g} mL "
    elif read.relative_volume:
        amount += f"{read.relative_volume:g} volume{'' if read.relative_volume == 1 else 's'} "
    action = _SAID.get(read.action, read.action)
    if read.target_ph is not None:
        action += f" to {read.target_ph:g}"
    said = f"{amount}{what}".strip()
    if read.in_all and read.volume_ml and what:
        said = f"{what} to {read.volume_ml:g} mL in all"
    if read.solution in table(Solution) and read.solvent in table(Solvent) and read.action in ("dilute", "quench"):
        said += f" and {f'{read.solvent_ml:g} mL ' if read.solvent_ml else ''}{table(Solvent)[read.solvent].name}"
    return f"{action}, {said}" if said else action


def read_as(read: ReadStep) -> str:
    """Return a step as it is shown back, with the layer kept."""
    kept = " ".join(filter(None, (read.layer_kept, read.phase_kept)))
    return f"{in_words(read)}, {kept} layer kept" if kept else in_words(read)


def as_proposal(plan: Plan) -> Proposal:
    """Return our own plan in the form of a read plan; the text is its instructions."""
    steps: list[ReadStep] = []
    texts: list[str] = []
    place = 0
    for step, booked in zip(plan.steps, plan.ledger.steps, strict=True):
        made = list(_read_steps(step, plan, booked.volume_ml))
        if step.vents:
            made.append(ReadStep("vent", 0, 0, ""))
        steps += [replace(r, start=place, end=place + len(step.instruction), words=step.instruction) for r in made]
        texts.append(step.instruction)
        place += len(step.instruction) + 1
    return Proposal("\n".join(texts), tuple(steps), ())


def _read_steps(step: PlanStep, plan: Plan, booked_ml: float) -> list[ReadStep]:
    common: Mapping[str, Any] = {
        "start": 0,
        "end": 0,
        "words": "",
        "solution": step.solution,
        "strength": step.strength,
        "solvent": step.solvent,
        "desiccant": step.desiccant,
        "volume_ml": step.volume_ml,
        "repeats": step.repeats,
        "target_ph": step.target_ph,
        "phase_kept": step.phase_kept,
        # Where the densities are too near to say, the plan names the layer by what it is.
        "layer_kept": step.layer_kept if step.layer_sure is not False else "",
    }
    # What a quench has poured in is the water of the flask, and no more is added to it unless the step says so.
    own = any(s.id == "water" for s, _ in plan.mixture.reaction_solvents)
    more = step.instruction.startswith("Add ")
    poured = any(s.action == "quench" and s.solution for s in plan.steps)
    if step.action == "neutralise":
        water = {**common, "solvent": "water", "target_ph": None, "phase_kept": "", "layer_kept": ""}
        again = {**common, "volume_ml": step.again_ml, "repeats": 1, "target_ph": None}
        brought = ReadStep("set ph", **{**common, "volume_ml": None})
        added = [ReadStep("dilute", **{**water, "repeats": 1, "in_all": own})] if more else []
        return [*added, brought, ReadStep("extract", **again)]
    if step.action == "part":
        again = {**common, "volume_ml": step.again_ml, "repeats": 1, "solution": "", "strength": ""}
        water = {**common, "solvent": "water", "repeats": 1, "phase_kept": "", "layer_kept": ""}
        added = [ReadStep("dilute", **{**water, "in_all": poured or own})] if more or not poured else []
        return [*added, ReadStep("extract", **again)]
    if step.joins_flask:
        return [ReadStep("take up", **{**common, "solution": "water", "strength": "", "in_all": poured or own})]
    if step.action in ("rinse water", "extract again"):
        return [ReadStep("extract", **common)]
    if step.action == "quench":
        each = step.exact_ml or booked_ml if step.solution else None
        told = {"volume_ml": each or None, "solid_g": step.solid_g or 0.0, "phase_kept": "", "layer_kept": ""}
        return [ReadStep("quench", **{**common, **told})]
    if step.action == "filter off desiccant":
        return [
            ReadStep("filter off desiccant", **{**common, "volume_ml": None, "repeats": 1}),
            ReadStep("rinse", **common),
        ]
    return [ReadStep(step.action, **common)]
