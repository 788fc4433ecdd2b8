"""The account of a plan that has been carried out: what the rules that judge may ask about it, and what it achieves."""

from __future__ import annotations

import re
from collections.abc import Sequence

from washlore.knowledge import kinetics
from washlore.knowledge.arrays import np
from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Desiccant, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.bench import MARGIN_PH, ONE_PHASE, Bench
from washlore.rules.flask import Act
from washlore.rules.idle import Natures
from washlore.rules.ledger import band, median
from washlore.rules.plan import Plan
from washlore.rules.proposal import ReadStep, in_words
from washlore.rules.species import Array
from washlore.rules.steps import HARD
from washlore.rules.words import listed, share

# A component counts as touched by a step that takes this much of it.
TOUCHED = 0.1
LOST_WORTH_WORDS = 0.05
# Where our own plan says that a component goes.
_LAYER_OF = re.compile(r"^aqueous layer of step (\d+)")
# What brings a solution into the flask; its pH there is what the reaction leaves of it.
POURED = ("dilute", "quench")
# A wash in the funnel: shaken, and left to part.
SHAKING_MIN = 5.0
NEUTRAL_PH = 7.0
# Water that the flask brings beyond these is no longer plain water to the product.
TURNED_LOW_PH, TURNED_HIGH_PH = 4.0, 9.0
# Water of our own plan that stands as far out shows that no wash is known to spare the product that.
AS_FAR_PH = 0.5
SUPERBASE_PKA, STRONG_ACID_PKA = 11.9, 3.0
# What is poured in stays until the layers are parted.
POURED_MIN = 15.0


@dataclass(frozen=True)
class Achieved:
    """What a step of the plan does, in one line."""

    step: int
    text: str


def poured_ph(acts: Sequence[Act], act: Act) -> float | None:
    """Return the pH of the water once a solution is poured into the flask; ``None`` where more is poured before it shows.

    In a solvent that mixes with water it shows with the first layer that parts from it.
    """
    for later in acts[act.number - 1 :]:
        if later.contacts:
            ph = round(float(later.contacts[0].ph[0]), 1)
            return None if ph < NEUTRAL_PH and _more_base(acts, act) else ph
        if later is not act and later.solution:
            break
    return None


def turned_ph(act: Act) -> float | None:
    """Return the pH that the flask gives to a portion of water or salt solution; ``None`` for what brings a pH of its own."""
    row = table(Solution).get(act.solution)
    if row is None or row.acts_as not in ("neutral", "salt") or not act.contacts:
        return None
    ph = round(float(act.contacts[0].ph[0]), 1)
    return ph if ph > TURNED_HIGH_PH or ph < TURNED_LOW_PH else None


def _more_base(acts: Sequence[Act], act: Act) -> bool:
    """Tell whether base that is poured in goes on with the next solution, which is told of: portions of one neutralisation."""
    later = next((a for a in acts[act.number :] if a.solution or a.contacts), None)
    rows = [table(Solution).get(a.solution) for a in (act, later) if a is not None]
    return later is not None and later.did in POURED and all(row is not None and row.acts_as == "base" for row in rows)


class Job:
    """A plan being judged: the account of it, and what rules may ask about beyond the facts."""

    def __init__(self, plan: Plan, bench: Bench) -> None:
        self.plan = plan
        self.bench = bench
        self.proposal = bench.proposal
        self.mixture = plan.mixture
        self.ids = [c.id for c in plan.mixture.components]
        self.index = self.ids.index("product")
        self.final: Array = bench.shares(bench.layer.mmol)
        self.history = [(bench.shares(a.before), bench.shares(_after(a))) for a in bench.acts]
        self.natures = Natures(bench.known.get(f.Ionises, ()), bench.known.get(f.Behaviour, ()))

    def name(self, component_id: str) -> str:
        """Return the name of a component."""
        return self.plan.component(component_id).name

    def read(self, number: int) -> ReadStep:
        """Return a step as read."""
        return self.proposal.steps[number - 1]

    def label(self, number: int) -> str:
        """Return a step in a few words: its number and what is done with what."""
        return f"step {number} ({in_words(self.read(number))})"

    def kind(self, component_id: str) -> str:
        """Return what a component is where it matters for a wash."""
        return self.natures.kind(component_id)

    def pka_value(self, component_id: str) -> float:
        """Return the pKa that decides a component's layer."""
        return self.natures.pka(component_id)

    def pka(self, component_id: str) -> str:
        """Return the pKa in words."""
        prefix = "conjugate acid " if "base" in self.kind(component_id) else ""
        return f"{prefix}pKa {self.pka_value(component_id):.1f}"

    def neutral_ph(self) -> float:
        """Return a pH at which the product is neutral."""
        pka = self.pka_value("product")
        if "base" in self.kind("product"):
            return min(round(2 * max(pka + MARGIN_PH, 10.0)) / 2, 13.0)
        return max(round(2 * min(pka - MARGIN_PH, 5.0)) / 2, 1.5)

    def ph_before(self, number: int) -> float:
        """Return the pH of the water at an extraction."""
        act = self.bench.acts[number - 1]
        if act.contacts:
            return float(act.contacts[0].ph[0])
        return act.ph

    def recovered(self) -> float:
        """Return the median share of the product that comes home."""
        return band(self.bench.recovered)[1]

    def volume(self, number: int) -> float:
        """Return the volume of one portion, as written or assumed."""
        return self.bench.acts[number - 1].portion_ml

    def ours_of(self, component_id: str) -> str:
        """Return what our own plan does about a component, in words."""
        for step in self.plan.steps:
            if component_id in step.for_components and step.action in ("wash", "quench", "filter", "evaporate"):
                return _lowered(step.instruction.split("; keep")[0])
        if "salt" in self.natures.kinds.get(component_id, ()):
            return "wash with water"
        if any(step.action == "take up" for step in self.plan.steps):
            step = next(s for s in self.plan.steps if s.action == "take up")
            return f"carry {self.name('product')} through water: {_lowered(step.instruction.split(';')[0])}, then bring it back"
        first = next((s for s in self.plan.steps if s.action in ("wash", "neutralise")), None)
        goes = _LAYER_OF.search(self.plan.fate.get(component_id, ""))
        taking = self.plan.steps[int(goes[1]) - 1] if goes else None
        if taking is not None and taking.solution in table(Solution):
            sided = table(Solution)[taking.solution].acts_as in ("acid", "base")
            first = taking if sided else None
        elif taking is not None:
            first = None
        if taking is not None and first is None:
            return "wash with water"
        return _lowered(first.instruction.split("; keep")[0]) if first else ""

    def quench_words(self, component_id: str, otherwise: str) -> str:
        """Return how our own plan quenches a component, fitted to this product, or what is said ``otherwise``."""
        ours = (s for s in self.plan.steps if s.action == "quench" and component_id in s.for_components)
        step = next(ours, None)
        return step.instruction.partition(": ")[2] or otherwise if step else otherwise

    def is_ours(self, solution: str, number: int) -> bool:
        """Tell whether our own plan washes with a solution too, or quenches with it: nothing milder does what it does here."""
        action = "quench" if self.bench.acts[number - 1].did in POURED else "wash"
        return any(step.action == action and step.solution == solution for step in self.plan.steps)

    def harms(self, solution: str) -> bool:
        """Tell whether our own plan keeps a solution off the product."""
        return any(
            type(known.fact) is f.Harms and known.fact["solution"] == solution for known in self.plan.known.values()
        )

    def must_be(self, solution: str, number: int) -> bool:
        """Tell whether our own plan quenches with a solution though it is hard on the product: nothing else will do.

        It says so, or its own water comes to stand as far out.
        """
        if not self.is_ours(solution, number):
            return False
        act = self.bench.acts[number - 1]
        ph = poured_ph(self.bench.acts, act) if act.did in POURED else None
        ours = [float(c.ph[0]) for c in self.plan.ledger.contacts] if ph is not None else []
        if ph is not None and any((o > ph - AS_FAR_PH) if ph > NEUTRAL_PH else (o < ph + AS_FAR_PH) for o in ours):
            return True
        return any(
            step.action == "quench" and step.solution == solution and HARD in step.instruction
            for step in self.plan.steps
        )

    def ours_for(self, number: int) -> str:
        """Return the wash of our plan that takes what a wash of this plan takes, in words."""
        act = self.bench.acts[number - 1]
        before, after = self.history[number - 1]
        drops = (before - after)[:, 0]
        for index in np.argsort(-drops):
            component = self.ids[int(index)]
            if component == "product" or drops[index] < TOUCHED:
                continue
            for step in self.plan.steps:
                if component in step.for_components and step.action == "wash" and step.solution != act.solution:
                    return f"{table(Solution)[step.solution].name} for {self.name(component)}"
        return ""

    def assumes_volume(self, number: int) -> bool:
        """Tell whether the volume of a wash is not written but taken for a third of the layer."""
        act = self.bench.acts[number - 1]
        return bool(act.contacts) and act.did == "wash" and not act.volume_said

    def hydrolysed(self, number: int) -> kinetics.Loss | None:
        """Return what a strong wash destroys of the product by its rate and its share in the water; ``None`` if unknown."""
        act = self.bench.acts[number - 1]
        row = table(Solution).get(act.solution)
        poured = act.did in POURED
        ph = poured_ph(self.bench.acts, act) if poured else row.ph if row is not None and act.contacts else None
        if row is not None and not poured:
            ph = turned_ph(act) or ph
        if row is None or ph is None:
            return None
        minutes = POURED_MIN if poured else SHAKING_MIN
        return kinetics.loss_fraction(self.mixture.product.principal, ph, minutes, min(1.0, self.exposed(act)))

    def turned(self, number: int) -> float | None:
        """Return the pH that the flask gives to the water of a step, if our own plan spares the product that; else ``None``.

        What ran in water has met it all along.
        """
        act = self.bench.acts[number - 1]
        ph = poured_ph(self.bench.acts, act) if act.did in POURED else turned_ph(act)
        row = table(Solution).get(act.solution)
        if ph is None or row is None or row.acts_as not in ("neutral", "salt") or self.mixture.water_ml:
            return None
        if not self.turned_by(ph) or (act.did in POURED and self._brought_on(number)):
            return None
        ours = [float(c.ph[0]) for c in self.plan.ledger.contacts]
        if ph > NEUTRAL_PH:
            return ph if ph > TURNED_HIGH_PH and max(ours, default=NEUTRAL_PH) < ph - AS_FAR_PH else None
        return ph if ph < TURNED_LOW_PH and min(ours, default=NEUTRAL_PH) > ph + AS_FAR_PH else None

    def _brought_on(self, number: int) -> bool:
        """Tell whether water poured in is brought to a pH, or acid or base added to it, before its layers are parted."""
        for later in self.bench.acts[number:]:
            row = table(Solution).get(later.solution)
            chemical = later.did in POURED and row is not None and row.acts_as in ("acid", "base", "buffer")
            if later.did == "set ph" or chemical:
                return True
            if later.contacts:
                return False
        return False

    def turned_by(self, ph: float) -> str:
        """Return the names of the lyes and superbases of the flask, or of its strong acids; empty without any.

        An amine makes basic water too, but of little force, and has been with the product all along.
        """
        numbers, high = self.bench.numbers, ph > NEUTRAL_PH
        sites: dict[str, list[tuple[str, float]]] = {}
        for item in numbers.species:
            sites.setdefault(item.component, []).extend((s.kind, s.pka) for s in item.sites)
        found = []
        for component in self.mixture.others:
            if component.id in self.bench.gone:
                continue  # what water made of it is there in its stead
            ions, own = numbers.strong_of.get(component.id, 0.0), sites.get(component.id, [])
            bases, acids = ([pka for k, pka in own if k == kind] for kind in ("base", "acid"))
            base = ions > 0 or (not ions and max(bases, default=0.0) > SUPERBASE_PKA)
            acid = (ions < 0 and not bases) or (not ions and min(acids, default=NEUTRAL_PH) < STRONG_ACID_PKA)
            if base if high else acid:
                found.append((-component.mmol, component.name))
        return listed([name for _, name in sorted(found)[:2]]) if found else ""

    def in_one_phase(self, number: int) -> bool:
        """Tell whether what is poured in at a step mixes with the solvent of the reaction."""
        act = self.bench.acts[number - 1]
        mixes = bool(self.mixture.miscible_solvents)
        return mixes and act.did in POURED and not act.contacts

    def exposed(self, act: Act) -> float:
        """Return the largest share of the product that is in the water at any time in a step; all of it in one phase.

        Without a solvent it is a layer of its own, of which the water takes about as much as beside the first solvent.
        """
        contacts = act.contacts
        if not contacts and not self.in_one_phase(act.number):
            contacts = next((later.contacts for later in self.bench.acts[act.number :] if later.contacts), [])
        if not contacts:
            return 1.0
        return max(float(self.bench.share("product", c.aqueous_mmol)[0]) for c in contacts)

    def our_last_step(self) -> str:
        """Return how our plan takes the solvent off."""
        step = next((s for s in reversed(self.plan.steps) if s.action == "concentrate"), None)
        return _lowered(step.instruction) if step else "distil the solvent off through a column at atmospheric pressure"

    def our_desiccant(self) -> str:
        """Return the name of the drying agent of our plan."""
        step = next((s for s in self.plan.steps if s.desiccant), None)
        return table(Desiccant)[step.desiccant].name if step else "sodium sulfate"

    def first_dry(self) -> int:
        """Return the number of the first drying step, 0 without one."""
        return next((a.number for a in self.bench.acts if a.read.action == "dry"), 0)

    def _filtered(self, act: Act) -> bool:
        """Tell whether a filtration follows, or nothing that it should come before."""
        later = [a.read.action for a in self.bench.acts[act.number :]]
        return "concentrate" not in later or any(a in ("filter", "filter off desiccant") for a in later)

    def washes(self) -> list[Act]:
        """Return the steps in which a solution met the product."""
        return [
            a for a in self.bench.acts if a.contacts and a.solution and a.did in ("wash", "take up", "quench", "dilute")
        ]

    def _sided_acts(self) -> list[Act]:
        return [*self.washes(), *(a for a in self.bench.acts if a.did == "set ph")]

    def step_of_lowest(self) -> int:
        """Return the step that is most acidic."""
        return min(self._sided_acts(), key=lambda a: a.ph).number

    def step_of_highest(self) -> int:
        """Return the step that is most basic."""
        return max(self._sided_acts(), key=lambda a: a.ph).number

    def others_of(self, *kinds: str) -> bool:
        """Tell whether something else in the flask is of one of these kinds, so that a wash was meant for it."""
        return any(self.kind(c) in kinds for c in self.ids if c != "product")

    def solvent_id(self) -> str:
        """Return the solvent of the organic layer as the plan goes."""
        washed = False
        for read in reversed(self.proposal.steps):
            if washed and read.action in ("evaporate", "concentrate"):
                return self.plan.extraction  # what was there before is stripped, and nothing is named after it
            washed = washed or read.action in ("wash", "extract", "take up")
            if (
                read.action in ("extract", "dilute")
                and read.solvent in table(Solvent)
                and table(Solvent)[read.solvent].log_k_key
            ):
                return read.solvent
        own = [s for s, _ in self.plan.mixture.reaction_solvents if s.log_k_key]
        return own[0].id if own else self.plan.extraction

    def achieved(self) -> list[Achieved]:
        """Return what each step does, one line each."""
        lines = []
        for act, (before, after) in zip(self.bench.acts, self.history, strict=True):
            text = self._achievement(act, before, after)
            if text:
                lines.append(Achieved(act.number, text))
        return lines

    def _worked_on(self, act: Act) -> bool:
        """Tell whether what a strip leaves is taken up again."""
        return any(a.read.action in ("dilute", "extract", "wash", "take up") for a in self.bench.acts[act.number :])

    def _diluted(self, act: Act, taken: str) -> str:
        """Return what comes of a solvent, water or solution that is added."""
        if act.cleared:
            return f"destroys {listed([self.name(c) for c in act.cleared])}"
        if taken or act.contacts:
            return taken or "makes the layers"
        row = table(Solvent).get(act.read.solvent)
        if row is not None and row.log_k_key:
            return "makes the organic layer"
        return "goes into the salts of the hydride" if act.in_salts else "thins the mixture"

    def _achievement(self, act: Act, before: Array, after: Array) -> str:
        there, stays = median(before), median(after)
        kept = float(stays[self.index])
        out: list[str] = []
        left: list[str] = []
        for c, b, a in zip(self.ids, there, stays, strict=True):
            if c == "product" or b - a <= TOUCHED * max(b, 1e-9) or b <= self.plan.mixture.target:
                continue
            (left if a > self.plan.mixture.target else out).append(
                f"{share(float(a))} of {self.name(c)}" if a > self.plan.mixture.target else self.name(c)
            )
        told = [f"takes {listed(out)} out"] if out else []
        if left:
            told.append(f"leaves {listed(left)}")
        taken = "; ".join(told)
        action = act.read.action
        if act.skipped in ("no layer", ONE_PHASE):
            return "takes nothing out: no second layer forms"
        if act.did in ("wash", "take up", "rinse water") and act.contacts:
            if act.did == "take up":
                return f"carries {self.name('product')} into the water ({share(kept)} of it)"
            lost = float(median(before[self.index] - after[self.index]))
            if lost > LOST_WORTH_WORDS:
                told.append(f"carries {share(lost)} of {self.name('product')} away")
            if told:
                return "; ".join(told)
            if act.solution in ("brine", "half_brine"):
                return "takes most of the dissolved water"
            return "rinses; little is left to take"
        return {
            "quench": f"destroys {listed([self.name(c) for c in act.cleared])}" if act.cleared else "ends the reaction",
            "filter": "collects the solid"
            if self.bench.solid == act.number
            else f"takes {listed([self.name(c) for c in act.cleared])} off"
            if act.cleared
            else "clears the solution",
            "extract": f"brings {share(kept)} of {self.name('product')} into the organic layer",
            "dilute": self._diluted(act, taken),
            "set ph": f"brings the water to pH {act.ph:g}",
            "dry": "takes the water out"
            + ("" if self._filtered(act) else "; filter it off and rinse it before stripping"),
            "filter off desiccant": f"takes the drying agent off, and {listed([self.name(c) for c in act.cleared])} with it"
            if act.cleared
            else "takes the drying agent off",
            "rinse": "rinses the solid" if 0 < self.bench.solid < act.number else "brings back what the solid holds",
            "concentrate": ("takes the solvent off" if self._worked_on(act) else "leaves the crude product")
            + (f"; {taken}" if taken else ""),
            "evaporate": "takes the solvent off" + (f"; {taken}" if taken else ""),
            "vent": "lets the pressure out",
            "check ph": "makes sure of the pH",
            "combine": "brings the layers together",
            "cool": "keeps heat and gas in check",
        }.get(action, "")


def _after(act: Act) -> Array:
    assert act.after is not None
    return act.after


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]


def short(value: float) -> float:
    """Return a number to four figures, as facts and records hold it."""
    return float(f"{float(value):.4g}")
