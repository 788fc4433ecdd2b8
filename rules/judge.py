"""A read plan judged: carried out on the mixture, then looked at by the rules of ``rules/judging``.

The mixture is thought through once (``consider``); each plan for it then costs one run of the ledger and a few facts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np

from washlore.knowledge import kinetics
from washlore.knowledge.rows import Desiccant, Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.bench import DRAWS, MARGIN_PH, Act, Bench, says_ph
from washlore.rules.engine import build_engine, judging_lore
from washlore.rules.judging import facts as j
from washlore.rules.ledger import band
from washlore.rules.mixture import Mixture
from washlore.rules.plan import Plan, PlanStep, make_plan
from washlore.rules.proposal import Proposal, ReadStep
from washlore.rules.reckon import PlanRefused
from washlore.rules.species import Array, Sheet, sheet
from washlore.rules.words import listed, share

VERDICTS = ("ok", "minor", "flawed", "dangerous", "unreadable")
WATERY = ("wash", "take up")
# A component counts as touched by a step that takes this much of it.
TOUCHED = 0.1
# Our own plan must leave this many times less for a remainder to be held against a plan.
BETTER = 3.0
# It must stay even with the numbers on the lucky side, at this many times the target.
SURE_TIMES = 3.0
# What a step without a volume leaves up to this share is laid to the volume that was assumed.
UNSAID_SHARE = 0.3
# Times the target, or this share, that make a leftover more than a small one.
MUCH_TIMES, MUCH_SHARE = 5.0, 0.05
MOST_PORTIONS = 8
# What may explode when it is concentrated beside organic matter.
EXPLODES = frozenset(("mcpba", "hydroperoxide_tbhp", "dialkyl_peroxide", "dioxirane", "ozone", "perchlorate"))
LEAST_MMOL, LEAST_SHARE = 0.05, 0.02
# An oxidant is held to be concentrated when nothing has been done about most of it, even on the lucky side.
MOSTLY_THERE = 0.5
IDLE_SHARE = 0.01
LEAST_DROP, LOST_WORTH_WORDS = 0.02, 0.05
# A product that loses no more than this at worst in five minutes of shaking comes through; where no rate constant is
# held, one of which hardly anything is in the water.
SURVIVED, SURVIVED_ACID, HARDLY_EXPOSED, SHAKING_MIN = 0.1, 0.02, 3e-4, 5.0
MOST_FINDINGS = {"hazard": 8, "loss": 6, "leftover": 6, "technique": 3}
CHECKED = (
    "the layer kept",
    "what each wash does to the product",
    "what is left of everything else",
    "gas, heat and poison",
    "volumes and portions",
    "brine, drying, filtering and their order",
)


# Words of a refusal: the product is not destroyed by water but at home in it, and how far.
STAYS_IN_WATER, HOPELESS = "belongs to the water", share(0.0)


@dataclass(frozen=True)
class Found:
    """One finding: what was found and what follows (``text``), and what to do instead (``remedy``)."""

    kind: str
    rule: str
    title: str
    step: int
    quote: str
    component: str
    text: str
    remedy: str
    numbers: tuple[tuple[Any, ...], ...]
    sources: tuple[str, ...]
    root: str = ""


@dataclass(frozen=True)
class Achieved:
    """What a step of the plan does, in one line."""

    step: int
    text: str


@dataclass
class Judgement:
    """A plan with all that is said of it. ``left`` holds (5 %, median, 95 %) shares by component id."""

    proposal: Proposal
    considered: Considered
    findings: tuple[Found, ...]
    achieves: tuple[Achieved, ...]
    left: dict[str, tuple[float, float, float]]
    recovered: tuple[float, float, float]
    verdict: str
    checked: tuple[str, ...] = CHECKED
    assumed: dict[int, tuple[str, ...]] = field(default_factory=dict)


@dataclass
class Considered:
    """A mixture thought through: our own plan for it, or why there is none."""

    mixture: Mixture
    plan: Plan | None
    refused: str = ""
    numbers: Sheet | None = None


def consider(mixture: Mixture, draws: int = DRAWS) -> Considered:
    """Think a mixture through, once for all plans that are to be judged on it."""
    try:
        plan = make_plan(mixture, draws)
    except PlanRefused as refused:
        return Considered(mixture, None, str(refused))
    return Considered(mixture, plan, "", sheet(plan.mixture, draws))


def judge(proposal: Proposal, considered: Considered) -> Judgement:
    """Judge a read plan on a mixture. A proposal without steps gets the verdict ``unreadable``."""
    if not proposal.readable:
        return Judgement(proposal, considered, (), (), {}, (0.0, 0.0, 0.0), "unreadable", ())
    engine = judging_engine()
    engine.reset()
    if considered.plan is None:
        return _judge_refused(engine, proposal, considered)
    bench = Bench(considered.plan, proposal, numbers=considered.numbers).run()
    job = Job(considered.plan, bench)
    engine.job = job
    job.observe(engine)
    engine.begin("warn")
    findings = _gather(engine, job)
    left = {c.id: band(job.final[i]) for i, c in enumerate(considered.plan.mixture.components)}
    left.update({c: (float(job.salts_left),) * 3 for c in bench.inorganic})
    recovered = band(bench.recovered)
    left["product"] = recovered
    return Judgement(
        proposal,
        considered,
        findings,
        tuple(job.achieved()),
        left,
        recovered,
        _verdict(findings, considered.plan.mixture.target, bool(proposal.after)),
        CHECKED,
        {a.number: tuple(dict.fromkeys(a.assumed)) for a in bench.acts},
    )


def _judge_refused(engine: Any, proposal: Proposal, considered: Considered) -> Judgement:
    text = considered.refused.split("; no aqueous wash")[0].removeprefix("product: ").rstrip(".")
    reacts = STAYS_IN_WATER not in text
    job = _Bare(considered.mixture, proposal, HOPELESS in text)
    engine.job = job
    for number, step in enumerate(proposal.steps, start=1):
        if step.solution or step.solvent == "water" or step.action in ("wash", "take up", "set ph"):
            engine.observe(j.Unwatered(step=number, text=text, reacts=reacts), text, ("common_practice",))
            break
    engine.begin("warn")
    findings = _gather(engine, job)
    spoilt = (0.0, 0.0, 0.0) if findings else (1.0, 1.0, 1.0)
    return Judgement(
        proposal,
        considered,
        findings,
        (),
        {"product": spoilt},
        spoilt,
        _verdict(findings, considered.mixture.target),
        ("whether the product may meet water",),
    )


class _Bare:
    """What rules may ask about where there is no plan of ours."""

    def __init__(self, mixture: Mixture, proposal: Proposal, hopeless: bool) -> None:
        self.mixture = mixture
        self.hopeless = hopeless
        self.proposal = proposal

    def read(self, number: int) -> ReadStep:
        """Return a step as read."""
        return self.proposal.steps[number - 1]


class Job:
    """A plan being judged: the account of it, and what rules may ask about beyond the facts."""

    def __init__(self, plan: Plan, bench: Bench) -> None:
        self.plan = plan
        self.bench = bench
        self.proposal = bench.proposal
        self.mixture = plan.mixture
        self.ids = [c.id for c in plan.mixture.components]
        self.final: Array = bench.shares(bench.layer.mmol)
        self.history = [(bench.shares(a.before), bench.shares(_after(a))) for a in bench.acts]
        self.salts_left = 0.0 if any(a.contacts for a in bench.acts) else 1.0
        self.ionises: dict[tuple[str, str], float] = {}
        self.kinds: dict[str, set[str]] = {}
        for fact in bench.known.get(f.Ionises, ()):
            self.ionises[fact["component"], fact["kind"]] = fact["pka"]
        for fact in bench.known.get(f.Behaviour, ()):
            self.kinds.setdefault(fact["component"], set()).add(fact["kind"])

    # What rules ask -------------------------------------------------------------------------------------------

    def name(self, component_id: str) -> str:
        """Return the name of a component."""
        return self.plan.component(component_id).name

    def read(self, number: int) -> ReadStep:
        """Return a step as read."""
        return self.proposal.steps[number - 1]

    def label(self, number: int) -> str:
        """Return a step in a few words: its number and what is done with what."""
        return f"step {number} ({short(self.read(number))})"

    def kind(self, component_id: str) -> str:
        """Return what a component is where it matters for a wash."""
        kinds = self.kinds.get(component_id, set())
        return next((k for k in ("amphoteric", "acid", "base", "weak acid", "weak base") if k in kinds), "other")

    def pka_value(self, component_id: str) -> float:
        """Return the pKa that decides a component's layer."""
        return self.ionises.get((component_id, "base" if "base" in self.kind(component_id) else "acid"), 7.0)

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
        if any(step.action == "take up" for step in self.plan.steps):
            step = next(s for s in self.plan.steps if s.action == "take up")
            return f"carry {self.name('product')} through water: {_lowered(step.instruction.split(';')[0])}, then bring it back"
        first = next((s for s in self.plan.steps if s.action in ("wash", "neutralise")), None)
        return _lowered(first.instruction.split("; keep")[0]) if first else ""

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

    def our_desiccant(self) -> str:
        """Return the name of the drying agent of our plan."""
        step = next((s for s in self.plan.steps if s.desiccant), None)
        return table(Desiccant)[step.desiccant].name if step else "sodium sulfate"

    def first_dry(self) -> int:
        """Return the number of the first drying step, 0 without one."""
        return next((a.number for a in self.bench.acts if a.read.action == "dry"), 0)

    def _washes(self) -> list[Act]:
        return [
            a for a in self.bench.acts if a.contacts and a.solution and a.did in ("wash", "take up", "quench", "dilute")
        ]

    def _sided_acts(self) -> list[Act]:
        return [*self._washes(), *(a for a in self.bench.acts if a.did == "set ph")]

    def step_of_lowest(self) -> int:
        """Return the step that is most acidic."""
        return min(self._sided_acts(), key=lambda a: a.ph).number

    def step_of_highest(self) -> int:
        """Return the step that is most basic."""
        return max(self._sided_acts(), key=lambda a: a.ph).number

    def others_of(self, *kinds: str) -> bool:
        """Tell whether something else in the flask is of one of these kinds, so that a wash was meant for it."""
        return any(self.kind(c) in kinds for c in self.ids if c != "product")

    # Observing ------------------------------------------------------------------------------------------------

    def observe(self, ke: Any) -> None:
        """Declare what the rules go by."""
        self._observe_steps(ke)
        self._observe_losses(ke)
        self._observe_remains(ke)
        self._observe_danger(ke)
        self._observe_practice(ke)

    def _observe_steps(self, ke: Any) -> None:
        used: set[str] = set()
        extremes = []
        for act in self.bench.acts:
            read = act.read
            row = table(Solution).get(act.solution)
            used.add(read.desiccant)
            if (read.action not in ("wash", "take up", "dry") and act.did != "wash") or not (row or read.desiccant):
                continue  # where a pH is set or a flask is quenched, the bottle's pH is not what the product meets
            if row is not None:
                extremes.append(row.ph)
            ke.observe(
                j.Did(
                    step=act.number,
                    action=read.action,
                    solution=act.solution,
                    acts=row.acts_as if row else "",
                    ph=row.ph if row else 7.0,
                    solvent=read.solvent,
                    desiccant=read.desiccant,
                    survives=row is not None and self._survives(act, row),
                ),
                f"step {act.number}: {read.words}",
            )
        product = self.plan.mixture.product.id
        low = min(extremes, default=7.0)
        high = max(extremes, default=7.0)
        for known in self.plan.known.values():
            fact = known.fact
            kind = type(fact)
            if kind is f.Stands:
                wanted = fact["ph"] > low if fact["side"] == "low" else fact["ph"] < high
            elif kind is f.BarredDesiccant:
                wanted = fact["desiccant"] in used
            else:
                wanted = kind is f.Pot or kind is f.SpoiltBy
            if wanted:
                reason = known.reasons[0]
                ke.observe(_copy(fact), reason.text, reason.sources)
        ke.observe(
            j.Character(component=product, kind=self.kind(product), pka=self.pka_value(product)),
            f"{self.name(product)} is {self.kind(product)}",
        )

    def _survives(self, act: Act, row: Solution) -> bool:
        """Tell whether so little of the product is in the water of a strong wash that it comes through all the same."""
        if 2.0 < row.ph < 11.0 or not act.contacts:
            return False
        exposed = max(float(self.bench.share("product", c.aqueous_mmol)[0]) for c in act.contacts)
        loss = kinetics.loss_fraction(self.plan.mixture.product.principal, row.ph, SHAKING_MIN, min(1.0, exposed))
        if loss is not None:
            return loss.mid * loss.factor < (SURVIVED if row.ph > 7 else SURVIVED_ACID)
        return exposed < (HARDLY_EXPOSED if row.ph > 7 else HARDLY_EXPOSED / 30)

    def _observe_losses(self, ke: Any) -> None:
        row = self.ids.index("product")
        mistaken = {act.number for act, _, _ in self.bench.mistakes}
        pending: list[tuple[Act, Array]] = []
        for act, (before, after) in zip(self.bench.acts, self.history, strict=True):
            drop = before[row] - after[row]
            if act.read.action in ("evaporate", "concentrate") or act.number in mistaken:
                continue
            aside = act.read.action in ("dilute", "quench", "set ph")
            if aside and (not self._goes_on(act) or 0 < self.first_dry() < act.number):
                continue  # nothing is parted after it
            if float(drop[0]) < -LEAST_DROP:
                back = -drop
                pending = [(a, np.maximum(d - back, 0.0)) for a, d in pending]
            elif float(np.max(drop)) > LEAST_DROP:
                pending.append((act, drop))
        for act, drop in pending:
            low, mid, high = band(drop)
            if mid < 2 * LEAST_DROP:
                continue
            solution = act.solution if act.did in ("wash", "take up") else ""
            if act.did == "take up":
                # What is left behind in the organic layer.
                solution = ""
            acts = table(Solution)[solution].acts_as if solution else ""
            ke.observe(
                j.Lost(
                    step=act.number,
                    share=_short(mid),
                    low=_short(low),
                    high=_short(high),
                    solution=solution,
                    acts=acts,
                    said=act.volume_said,
                ),
                f"computed: step {act.number} takes {share(mid)} of the product",
            )
        for act, said, holds in self.bench.mistakes:
            contact = next((c for c in reversed(self.bench.book.contacts) if c.step == act.number), None)
            if contact is None:
                continue
            ke.observe(
                j.Kept(
                    step=act.number,
                    said=said,
                    position=act.read.layer_kept,
                    holds=_short(holds),
                    organic_density=round(contact.organic_density, 2),
                    aqueous_density=round(contact.aqueous_density, 2),
                ),
                f"the {said} layer is kept",
            )
        for act in self.bench.acts:
            if act.skipped == "no layer" and not self._mixed(act.read):
                ke.observe(j.NoLayer(step=act.number, solvent=act.read.solvent), "the solvent mixes with water")
        for act, held in self.bench.discarded:
            low, mid, high = band(np.asarray(held))
            ke.observe(j.Discards(step=act.number, share=_short(mid), high=_short(high)), "layers are thrown away")

    def _mixed(self, read: ReadStep) -> bool:
        """Tell whether the words around a solvent speak of a mixture of solvents."""
        around = self.proposal.text[max(0, read.start - 25) : read.end + 12]
        return any(sign in around for sign in "/:%")

    def _goes_on(self, act: Act) -> bool:
        later = ("wash", "extract", "take up", "dry", "discard")
        return any(a.read.action in later for a in self.bench.acts[act.number :])

    def _observe_remains(self, ke: Any) -> None:
        target = self.plan.mixture.target
        remains = []
        for index, component in enumerate(self.ids):
            if component == "product" or component in self.bench.inorganic:
                continue
            low, mid, high = band(self.final[index])
            ours = self.plan.left[component][1]
            if mid <= target or low <= SURE_TIMES * target or ours * BETTER > mid:
                continue
            remains.append((component, index, low, mid, high, ours))
        if not remains:
            return
        washes = self._washes()
        phs = [a.ph for a in washes]
        kinds = [table(Solution)[a.solution].acts_as for a in washes]
        sets = [a.ph for a in self.bench.acts if a.did == "set ph"]
        ke.observe(
            j.Sides(
                lowest=min([*phs, *sets], default=7.0),
                highest=max([*phs, *sets], default=7.0),
                only_neutral=bool(kinds) and all(k == "salt" for k in kinds) and not sets,
                brine_step=next((a.number for a in washes if a.solution in ("brine", "half_brine")), 0),
            ),
            "the washes of the plan",
        )
        for component, index, low, mid, high, ours in remains:
            drops = [
                (b[index, 0] - a[index, 0], act) for (b, a), act in zip(self.history, self.bench.acts, strict=True)
            ]
            best, act = max(drops, key=lambda pair: pair[0])
            touched = act.number if best >= TOUCHED and act.contacts else 0
            if touched and not act.volume_said and mid < UNSAID_SHARE:
                continue
            ke.observe(
                j.Remains(
                    component=component,
                    low=_short(low),
                    mid=_short(mid),
                    high=_short(high),
                    ours=_short(ours),
                    touched=touched,
                ),
                f"computed: {share(mid)} of {self.name(component)} is left",
            )
            kind = self.kind(component)
            if kind == "other" and self.kinds.get(component, set()) & {"salt", "water-miscible solvent"}:
                kind = "polar"
            ke.observe(
                j.Character(component=component, kind=kind, pka=self.pka_value(component)),
                f"{self.name(component)} is {kind}",
            )
            spent = act.contacts and abs(float(act.contacts[0].ph[0]) - act.ph) > 2 and best > 0.2 * LEAST_SHARE
            if (touched or spent) and act.did == "wash":
                self._observe_portions(ke, component, index, act, target)

    def _observe_portions(self, ke: Any, component: str, index: int, act: Act, target: float) -> None:
        before, after = (float(m[index, 0]) for m in self.history[act.number - 1])
        each = max(after / max(before, 1e-12), 1e-9) ** (1.0 / act.read.repeats)
        needed = math.ceil(math.log(max(target / before, 1e-9)) / math.log(each)) if each < 0.999 else 0
        ke.observe(
            j.Portions(
                component=component,
                step=act.number,
                solution=act.solution,
                repeats=act.read.repeats,
                each=_short(each),
                needed=needed if needed <= MOST_PORTIONS else 0,
                spent_ph=round(float(act.contacts[0].ph[0]), 2),
                bottle_ph=act.ph,
            ),
            f"computed: each portion leaves {share(each)}",
        )

    def _observe_danger(self, ke: Any) -> None:
        leftovers = self.bench.leftovers
        if not leftovers:
            return
        first_wet = next((a for a in self.bench.acts if a.contacts), None)
        quenches = [a.number for a in self.bench.acts if a.read.action == "quench"]
        strip = next((a for a in reversed(self.bench.acts) if a.read.action in ("concentrate", "evaporate")), None)
        for component, fact in leftovers.items():
            residue = fact["residue"]
            row = table(Residue)[residue]
            for act in self.bench.acts:
                there = self._share_before(component, act)
                if there < LEAST_SHARE or there * self.plan.component(component).mmol < LEAST_MMOL:
                    continue
                met = self._met_ph(act)
                solution = table(Solution).get(act.solution)
                if solution is not None and residue in solution.never_meets and solution.ph < 7:
                    met = min(met, solution.ph)
                elif solution is not None and residue in solution.never_meets and met >= 7:
                    if residue in ("cyanide", "sulfur_dioxide_source") or act.read.action == "quench":
                        continue
                    met = solution.ph
                elif met >= 6:
                    continue
                ke.observe(
                    j.Meets(
                        step=act.number,
                        component=component,
                        residue=residue,
                        solution=act.solution if solution is not None and residue in solution.never_meets else "",
                        share=_short(there),
                        ph=round(met, 1),
                    ),
                    f"{self.name(component)} meets step {act.number}",
                    (row.source,),
                )
                break
            if fact["action"] == "quench":
                self._observe_reactive(ke, component, residue, fact["kind"], first_wet, quenches, strip)
            if fact["action"] == "filter":
                filtered = next((a.number for a in self.bench.acts if a.read.action == "filter"), 0)
                if first_wet is not None and (not filtered or filtered > first_wet.number):
                    ke.observe(
                        j.Solid(component=component, residue=residue, step=first_wet.number),
                        f"{self.name(component)} is a solid",
                        (row.source,),
                    )

    def _share_before(self, component: str, act: Act) -> float:
        if component in self.bench.inorganic:
            return 1.0 if not any(a.contacts for a in self.bench.acts[: act.number - 1]) else 0.0
        return float(self.history[act.number - 1][0][self.ids.index(component), 0])

    def _met_ph(self, act: Act) -> float:
        """Return the pH at which things meet in a step; 7 where none is brought about."""
        if act.did == "set ph":
            return act.ph
        if act.did in ("wash", "take up", "quench", "dilute") and act.solution and act.solution in table(Solution):
            row = table(Solution)[act.solution]
            return row.ph if row.acts_as in ("acid", "buffer") and act.did != "dilute" else 7.0
        return 7.0

    def _observe_reactive(
        self,
        ke: Any,
        component: str,
        residue: str,
        kind: str,
        first_wet: Act | None,
        quenches: Sequence[int],
        strip: Act | None,
    ) -> None:
        amount = self.plan.component(component).mmol
        if first_wet is not None and first_wet.did in ("wash", "take up") and first_wet.read.action in WATERY:
            there = self._share_before(component, first_wet)
            before = any(n < first_wet.number for n in quenches) or self._pot_is_watery()
            before = before or any(component in a.cleared for a in self.bench.acts[: first_wet.number - 1])
            bound = component in first_wet.cleared
            if there >= LEAST_SHARE and there * amount >= LEAST_MMOL and not before and not bound:
                ke.observe(
                    j.Unquenched(
                        step=first_wet.number,
                        component=component,
                        residue=residue,
                        kind=kind,
                        share=_short(there),
                        later=next((n for n in quenches if n > first_wet.number), 0),
                    ),
                    f"{self.name(component)} is still reactive",
                )
        if strip is not None and residue in EXPLODES:
            there = self._share_before(component, strip)
            if component in self.bench.inorganic:
                there = sure = 0.0 if self.bench.met_water else there
            else:
                sure = band(self.history[strip.number - 1][0][self.ids.index(component)])[0]
            if sure > MOSTLY_THERE and there * amount > 2 * LEAST_MMOL:
                ke.observe(
                    j.Concentrates(step=strip.number, component=component, residue=residue, share=_short(there)),
                    f"{self.name(component)} is still there at the end",
                )

    def _pot_is_watery(self) -> bool:
        return any(s.id == "water" for s, _ in self.plan.mixture.reaction_solvents)

    def _observe_practice(self, ke: Any) -> None:
        acts = self.bench.acts
        vented = any(a.read.action == "vent" for a in acts)
        for act in acts:
            read = act.read
            if act.contacts and read.volume_ml and act.layer_known and act.did in ("wash", "take up"):
                ke.observe(
                    j.Ratio(
                        step=act.number,
                        ratio=_short(read.volume_ml / act.organic_ml),
                        portion_ml=read.volume_ml,
                        layer_ml=round(act.organic_ml, 1),
                    ),
                    f"step {act.number}: {read.volume_ml:g} mL",
                )
            if act.contacts:
                total = max(c.organic_ml + c.aqueous_ml for c in act.contacts)
                if read.volume_ml and total > 1000:
                    ke.observe(j.Vessel(step=act.number, total_ml=round(total)), f"computed: {total:.0f} mL in all")
                gas = sum(c.co2_ml for c in act.contacts)
                if gas > 100 and act.did in ("wash", "take up"):
                    boiling = min(
                        (s.boiling_c for s in table(Solvent).values() if s.log_k_key and s.id == self._solvent_id()),
                        default=100.0,
                    )
                    ke.observe(
                        j.Gas(
                            step=act.number, co2_ml=round(gas), liquid_ml=round(total), vented=vented, boiling_c=boiling
                        ),
                        f"computed: {gas:.0f} mL of carbon dioxide",
                    )
        self._observe_idle(ke)
        self._observe_finish(ke)
        for act in acts:
            if act.did == "set ph" and any(a.did == "take up" for a in acts[: act.number]):
                rest = acts[act.number :]
                upto = next((a.number for a in rest if a.read.action == "extract"), len(acts) + 1)
                tested = says_ph(act.read) or any(a.read.action == "check ph" and a.number < upto for a in rest)
                ke.observe(j.Swapped(step=act.number, tested=tested), "the product goes through the water")

    def _observe_idle(self, ke: Any) -> None:
        product = self.plan.mixture.product.mmol
        amounts = np.array([self.plan.component(c).mmol for c in self.ids])
        earlier: list[str] = []
        clean = all(not c for c in self.bench.numbers.strong_of.values()) and not self.bench.numbers.weak_mmol
        for act, (before, after) in zip(self.bench.acts, self.history, strict=True):
            if act.did != "wash" or not act.contacts:
                continue
            row = table(Solution)[act.solution]
            side = "acid" if row.ph < 6.5 else "base" if row.ph > 7.5 else "neutral"
            moved = (before - after)[:, 0] * amounts
            moved[self.ids.index("product")] = 0.0
            ends = ("acid" in earlier and side == "base") or ("base" in earlier and side == "acid" and self._acidic())
            first = not earlier
            earlier.append(side)
            if row.acts_as in ("neutral", "salt") or ends or (first and not clean) or len(self.ids) < 2:
                continue
            if float(moved.sum()) < IDLE_SHARE * product and not act.cleared and not self._sided(act, side):
                ke.observe(j.Idle(step=act.number, solution=row.id, acts=row.acts_as), "computed: it moves nothing")

    def _acidic(self) -> bool:
        return self.kind("product") in ("acid", "weak acid", "amphoteric")

    def _sided(self, act: Act, side: str) -> bool:
        """Tell whether something that this side takes was in the flask at all, if only a trace is left by now."""
        wanted = "base" if side == "acid" else "acid"
        for component in self.ids:
            if component == "product" or wanted not in self.kind(component):
                continue
            if float(self.history[act.number - 1][0][self.ids.index(component), 0]) > 0.1 * self.plan.mixture.target:
                return True
        return False

    def _solvent_id(self) -> str:
        """Return the solvent of the organic layer as the plan goes."""
        for read in reversed(self.proposal.steps):
            if (
                read.action in ("extract", "dilute")
                and read.solvent in table(Solvent)
                and table(Solvent)[read.solvent].log_k_key
            ):
                return read.solvent
        own = [s for s, _ in self.plan.mixture.reaction_solvents if s.log_k_key]
        return own[0].id if own else self.plan.extraction

    def _observe_finish(self, ke: Any) -> None:
        acts = self.bench.acts
        dry = [a.number for a in acts if a.read.action == "dry"]
        # A layer dried, stripped and taken up again starts afresh.
        restart = max((a.number for a in acts if a.read.action == "dilute" and a.read.solvent != "water"), default=0)
        water = [
            a.number
            for a in acts
            if a.contacts and a.did in ("wash", "take up", "extract", "quench", "dilute", "rinse water", "set ph")
        ]
        strips = [a.number for a in acts if a.read.action in ("concentrate", "evaporate")]
        filters = [a.number for a in acts if a.read.action in ("filter off desiccant", "filter")]
        brine = [
            a.number
            for a in acts
            if a.solution in ("brine", "half_brine", "na2so4_sat", "licl_5", "licl_10") and a.contacts
        ]
        last_water = water[-1] if water else 0
        dry = [n for n in dry if n > restart or not last_water > restart]
        after = [n for n in strips if n > last_water]
        filter_after = [n for n in filters if dry and n > dry[-1]]
        solvent = self._solvent_id()
        ke.observe(
            j.Finish(
                dry=dry[0] if dry else 0,
                last_dry=dry[-1] if dry else 0,
                water=last_water,
                filter=filter_after[0] if filter_after else 0,
                strip=after[0] if after else 0,
                brine=brine[-1] if brine else 0,
                solvent=solvent,
                held=table(Solvent)[solvent].water_held_wt_pct or 0.0,
            ),
            "the order of the end",
        )

    # What it achieves -----------------------------------------------------------------------------------------

    def achieved(self) -> list[Achieved]:
        """Return what each step does, one line each."""
        lines = []
        for act, (before, after) in zip(self.bench.acts, self.history, strict=True):
            text = self._achievement(act, before, after)
            if text:
                lines.append(Achieved(act.number, text))
        return lines

    def _achievement(self, act: Act, before: Array, after: Array) -> str:
        taken = [
            f"{share(float(a))} of {self.name(c)} is left"
            if a > self.plan.mixture.target
            else f"takes {self.name(c)} out"
            for c, b, a in zip(self.ids, before[:, 0], after[:, 0], strict=True)
            if c != "product" and b - a > TOUCHED * max(b, 1e-9) and b > self.plan.mixture.target
        ]
        kept = self.history[act.number - 1][1][self.ids.index("product"), 0]
        action = act.read.action
        if act.did in ("wash", "take up", "rinse water") and act.contacts:
            if act.did == "take up":
                return f"carries {self.name('product')} into the water ({share(float(kept))} of it)"
            lost = float(before[self.ids.index("product"), 0] - kept)
            if lost > LOST_WORTH_WORDS:
                taken = [*taken, f"carries {share(lost)} of {self.name('product')} away"]
            if taken:
                return listed(sorted(taken, key=lambda t: not t.startswith("takes")))
            if act.solution in ("brine", "half_brine"):
                return "takes most of the dissolved water"
            return "rinses; little is left to take"
        return {
            "quench": f"destroys {listed([self.name(c) for c in act.cleared])}" if act.cleared else "ends the reaction",
            "filter": f"takes {listed([self.name(c) for c in act.cleared])} off"
            if act.cleared
            else "clears the solution",
            "extract": f"brings {share(float(kept))} of {self.name('product')} into the organic layer",
            "dilute": "makes the layers" if not taken else listed(taken),
            "set ph": f"brings the water to pH {act.ph:g}",
            "dry": "takes the water out",
            "filter off desiccant": "takes the drying agent off",
            "rinse": "brings back what the solid holds",
            "concentrate": "leaves the crude product" + (f"; {listed(taken)}" if taken else ""),
            "evaporate": "takes the solvent off" + (f"; {listed(taken)}" if taken else ""),
            "vent": "lets the pressure out",
            "check ph": "makes sure of the pH",
            "combine": "brings the layers together",
            "cool": "keeps heat and gas in check",
        }.get(action, "")


def _after(act: Act) -> Array:
    assert act.after is not None
    return act.after


def _copy(fact: Any) -> Any:
    return type(fact)(**{slot: fact[slot] for slot in type(fact).slots})


def _short(value: float) -> float:
    return float(f"{float(value):.4g}")


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]


def short(read: ReadStep) -> str:
    """Return a step as read in a few words, such as ``3 × 20 mL saturated sodium hydrogen carbonate``."""
    what = ""
    if read.solution in table(Solution):
        what = table(Solution)[read.solution].name
    elif read.solvent in table(Solvent):
        what = table(Solvent)[read.solvent].name
    elif read.desiccant in table(Desiccant):
        what = table(Desiccant)[read.desiccant].name
    amount = ""
    if read.volume_ml:
        amount = f"{read.repeats} × {read.volume_ml:g} mL " if read.repeats > 1 else f"{read.volume_ml:g} mL "
    elif read.repeats > 1:
        amount = f"{read.repeats} × "
    target = f" to pH {read.target_ph:g}" if read.target_ph is not None else ""
    said = f"{amount}{what}".strip()
    return f"{read.action}{target}" + (f", {said}" if said else "")


def _gather(engine: Any, job: Any) -> tuple[Found, ...]:
    """Return the findings: merged by root, the worst first, no more than is useful."""
    titles = {lore.id: lore.title for lore in judging_lore()}
    order = {kind: n for n, kind in enumerate(j.KINDS)}
    by_root: dict[str, Found] = {}
    for known_id, fact in engine.facts_of(j.Finding):
        reason = engine.known[known_id].reasons[0]
        read = job.read(fact["step"]) if fact["step"] else None
        found = Found(
            fact["kind"],
            reason.rule,
            titles[reason.rule],
            fact["step"],
            read.words if read else "",
            fact["component"],
            reason.text,
            fact["remedy"],
            fact["numbers"],
            reason.sources,
            fact["root"],
        )
        earlier = by_root.get(found.root)
        if earlier is None or order[found.kind] < order[earlier.kind]:
            by_root[found.root] = found
    rows = sorted(by_root.values(), key=lambda item: (order[item.kind], -_weight(item), item.step))
    kept: list[Found] = []
    for item in _one_remedy(_one_root(rows)):
        if sum(k.kind == item.kind for k in kept) < MOST_FINDINGS[item.kind]:
            kept.append(item)
    return tuple(kept)


def _one_remedy(rows: Sequence[Found]) -> list[Found]:
    """Say together what stays behind for want of the same wash; the finding is that of the worst."""
    made: list[Found] = []
    for item in rows:
        twin = next(
            (n for n, m in enumerate(made) if (m.kind, m.rule, m.remedy) == ("leftover", item.rule, item.remedy)), None
        )
        if twin is None or item.kind != "leftover":
            made.append(item)
        else:
            made[twin] = replace(made[twin], text=f"{made[twin].text.rstrip(chr(46))}; {item.text}")
    return made


def _weight(item: Found) -> float:
    """Return how much a finding weighs among its kind."""
    for name, *values in item.numbers:
        if name in ("product_lost", "product_left_behind", "left"):
            return float(values[len(values) // 2])
    return 0.5 if item.kind in ("hazard", "loss") else 0.0


def _one_root(rows: Sequence[Found]) -> list[Found]:
    """Leave out what follows from a worse finding: losses at one step, and technique where it is the cause."""
    made: list[Found] = []
    for item in rows:
        broken = any(m.kind == "loss" and m.step == item.step and item.component == "product" for m in made)
        caused = item.kind == "technique" and any(m.step == item.step and m.kind in ("hazard", "loss") for m in made)
        same = item.kind in ("hazard", "leftover") and any(
            m.component == item.component and m.kind == "hazard" for m in made
        )
        if (broken and item.kind == "loss") or caused or same:
            continue
        made.append(item)
    return made


def _verdict(findings: Sequence[Found], target: float, purified: bool = False) -> str:
    """Return the verdict; what stays is no flaw where the text goes on to purify the product by other means."""
    kinds = {item.kind for item in findings}
    if "hazard" in kinds:
        return "dangerous"
    if "loss" in kinds:
        return "flawed"
    for item in findings:
        if item.kind != "leftover" or purified:
            continue
        left = next((values for name, *values in item.numbers if name == "left"), None)
        if left is None or left[len(left) // 2] > max(MUCH_TIMES * target, MUCH_SHARE):
            return "flawed"
    return "minor" if findings else "ok"


@cache
def judging_engine() -> Any:
    """Return the one engine with all judging rules, built on first use."""
    return build_engine(judging_lore())


# Our own plan, as somebody else's --------------------------------------------------------------------------------


def as_proposal(plan: Plan) -> Proposal:
    """Return our own plan in the form of a read plan; the text is its instructions."""
    steps: list[ReadStep] = []
    texts: list[str] = []
    place = 0
    gassy = {c.subject for c in plan.cautions if c.id == "carbon dioxide"}
    for step in plan.steps:
        made = list(_read_steps(step))
        if f"step {step.number}" in gassy:
            made.append(ReadStep("vent", 0, 0, ""))
        steps += [replace(r, start=place, end=place + len(step.instruction), words=step.instruction) for r in made]
        texts.append(step.instruction)
        place += len(step.instruction) + 1
    return Proposal("\n".join(texts), tuple(steps), ())


def _read_steps(step: PlanStep) -> list[ReadStep]:
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
        "layer_kept": step.layer_kept,
    }
    if step.action == "neutralise":
        water = {**common, "solvent": "water", "target_ph": None, "phase_kept": "", "layer_kept": ""}
        return [ReadStep("dilute", **water), ReadStep("set ph", **{**common, "volume_ml": None})]
    if step.action == "rinse water":
        return [ReadStep("extract", **common)]
    if step.action == "quench":
        return [ReadStep("quench", **{**common, "phase_kept": "", "layer_kept": ""})]
    if step.action == "filter off desiccant":
        return [
            ReadStep("filter off desiccant", **{**common, "volume_ml": None, "repeats": 1}),
            ReadStep("rinse", **common),
        ]
    return [ReadStep(step.action, **common)]
