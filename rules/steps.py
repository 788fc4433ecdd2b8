"""A step at the bench as the plan holds it: what is done with how much, and which stream goes where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from washlore.knowledge.records import dataclass, replace
from washlore.knowledge.rows import Solution, Solvent
from washlore.rules.words import label

if TYPE_CHECKING:
    from washlore.rules.ledger import Step

# Separating funnels that can be shaken by hand, mL; filled to three quarters at most, so that there is room to vent.
FUNNELS_ML = (30, 60, 125, 250, 500, 1000, 2000)
FULLEST = 0.75
# A portion of wash beside its layer: common practice is 10 to 50 %; what lies a little outside still works.
LEAST_RATIO, MOST_RATIO = 0.08, 1.5


# Said of a quench that the product minds, where nothing milder is known.
HARD = "is hard on this product"


@dataclass(frozen=True)
class PlanStep:
    """One numbered step. ``number`` counts from 1; volumes are of one portion in mL.

    ``layer_sure`` is false where the densities are too near to say which layer is on top. ``funnel_ml`` is the smallest
    separating funnel that both layers fill to three quarters at most, ``None`` without layers or where 2 L is too small.

    ``stream`` is what the step works on, in the words of the label on the flask; ``organic_to`` and ``aqueous_to`` say
    where its layers go: a stream, ``organic waste`` or ``aqueous waste``, ``crude`` after the last step, empty without
    such a layer. ``also`` names further streams that it takes up. ``vents`` tells that the funnel is vented.
    ``solid_g`` of its solute goes in with the solution of a quench.
    ``exact_ml`` is the volume before it was rounded to one that is measured out: what is decided goes by it. ``again_ml`` of
    ``solvent`` extract the water of a parting once more.
    """

    number: int
    action: str
    instruction: str
    reason: str
    fact_ids: tuple[int, ...]
    solution: str = ""
    solute: str = ""
    strength: str = ""
    solvent: str = ""
    volume_ml: float | None = None
    repeats: int = 1
    phase_kept: str = ""
    layer_kept: str = ""
    layer_sure: bool | None = None
    funnel_ml: int | None = None
    desiccant: str = ""
    desiccant_g: float | None = None
    target_ph: float | None = None
    spent_ph: float | None = None
    organic_density_g_ml: float | None = None
    aqueous_density_g_ml: float | None = None
    for_components: tuple[str, ...] = ()
    stream: str = ""
    organic_to: str = ""
    aqueous_to: str = ""
    also: tuple[str, ...] = ()
    vents: bool = False
    exact_ml: float | None = None
    again_ml: float | None = None
    solid_g: float | None = None

    @property
    def joins_flask(self) -> bool:
        """Tell whether the product is taken up in the water of the flask, which may be added to, and not in a wash."""
        return self.action == "take up" and self.instruction.startswith(("Add", "Shake"))


def quench_ml(steps: Sequence[PlanStep]) -> float:
    """Return the volume (mL) that each quench with a solution pours in: its part of the water that is parted afterwards."""
    parted = next((s.volume_ml or 0.0 for s in steps if s.action in ("part", "neutralise") or s.joins_flask), 0.0)
    return parted / max(1, sum(s.action == "quench" and bool(s.solution) for s in steps))


MIXTURE, ORGANIC, AQUEOUS = "reaction mixture", "organic layer", "aqueous layer"
ORGANIC_WASTE, AQUEOUS_WASTE, CRUDE = "organic waste", "aqueous waste", "crude"
# What each action works on, and where its organic and aqueous layers go.
_STREAMS = {
    "quench": (MIXTURE, "", ""),
    "filter": (MIXTURE, "", ""),
    "evaporate": (MIXTURE, "", ""),
    "dilute": (MIXTURE, ORGANIC, ""),
    "neutralise": (ORGANIC, ORGANIC, AQUEOUS_WASTE),
    "wash": (ORGANIC, ORGANIC, AQUEOUS_WASTE),
    "take up": (ORGANIC, ORGANIC_WASTE, AQUEOUS),
    "rinse water": (AQUEOUS, ORGANIC_WASTE, AQUEOUS),
    "set ph": (AQUEOUS, "", AQUEOUS),
    "extract": (AQUEOUS, ORGANIC, AQUEOUS_WASTE),
    "dry": (ORGANIC, ORGANIC, ""),
    "filter off desiccant": (ORGANIC, ORGANIC, ""),
    "concentrate": (ORGANIC, CRUDE, ""),
    "crystallise": (AQUEOUS, CRUDE, AQUEOUS_WASTE),
    "part": (ORGANIC, ORGANIC, AQUEOUS_WASTE),
    "extract again": (AQUEOUS_WASTE, ORGANIC, AQUEOUS_WASTE),
}


def in_streams(step: PlanStep, names: Mapping[str, str] | None = None) -> PlanStep:
    """Return a step with its streams filled in; ``names`` renames streams, as flask A for the organic layer of a branch."""
    stream, organic, aqueous = (step.stream, step.organic_to, step.aqueous_to) if step.stream else _STREAMS[step.action]
    named = names or {}
    return replace(
        step,
        stream=named.get(stream, stream),
        organic_to=named.get(organic, organic),
        aqueous_to=named.get(aqueous, aqueous),
    )


@dataclass(frozen=True)
class Draft:
    """A step that has its place in the order but no number yet."""

    rank: float
    step: PlanStep


@dataclass(frozen=True)
class ThroughWater:
    """The way of a product into water and back, in words: how it goes in, and what sets it free again."""

    bottle: Solution
    goes_in: str
    goes_in_reason: str
    waters: str  # aqueous layer, or the layers of several portions
    rinse_reason: str
    acidify: bool
    reagent: str
    solute: str
    strength: str
    free_reason: str


# What is set free in water may be a solid.
SOLID = "if a solid falls out, filter it off, rinse it with cold water, and extract the filtrate all the same"


def through_water(
    way: ThroughWater,
    steps: Sequence[Step],
    exact: Sequence[Step],
    product: str,
    solvent: Solvent,
    ids: tuple[int, ...],
) -> list[PlanStep]:
    """Return the steps of a plan for those of the ledger: into water, the water rinsed, its pH set, and back into solvent.

    ``exact`` are the same steps with volumes that are not rounded to what is measured out.
    """
    made = []
    for step, whole in zip(steps, exact, strict=True):
        common: dict[str, Any] = {
            "fact_ids": ids,
            "volume_ml": step.volume_ml or None,
            "exact_ml": whole.volume_ml or None,
            "repeats": step.repeats,
            "phase_kept": "organic" if step.action == "extract" else "aqueous",
        }
        of_solvent = f"{step.repeats} × {step.volume_ml:g} mL of {solvent.name}"
        if step.action == "take up":
            common |= {"solution": way.bottle.id, "solute": way.bottle.formula, "strength": way.bottle.strength}
            told, reason = way.goes_in, way.goes_in_reason
        elif step.action == "rinse water":
            common |= {"solvent": solvent.id}
            told, reason = f"Shake the {way.waters} with {of_solvent}; keep the aqueous layer", way.rinse_reason
        elif step.action == "set ph":
            ph = step.target_ph or 0.0
            common |= {"solute": way.solute, "strength": way.strength, "target_ph": ph}
            told, reason = (
                f"{'Acidify' if way.acidify else 'Basify'} the aqueous layer to pH {ph:g} with {way.reagent}, in ice, in small "
                "portions; check with pH paper",
                f"{way.free_reason}; {SOLID}",
            )
        else:
            common |= {"solvent": solvent.id}
            told = f"Extract with {of_solvent}; combine the organic layers"
            reason = f"{product} goes back into the organic layer"
        made.append(PlanStep(0, step.action, told, reason, **common))
    return made


def portions(verb: str, repeats: int, volume: float, row: Solution) -> str:
    """Return in words how many portions of a solution are used."""
    amount = f"{volume:g} mL" if repeats == 1 else f"{repeats} × {volume:g} mL"
    return f"{verb} with {amount} of {label(row)}"


def funnel_for(volume_ml: float) -> int | None:
    """Return the smallest separating funnel (mL) that a volume fills to three quarters at most, or ``None``."""
    return next((size for size in FUNNELS_ML if volume_ml <= FULLEST * size), None)
