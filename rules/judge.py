"""A read plan judged: carried out on the mixture, then looked at by the rules of ``rules/judging``.

The mixture is thought through once (``consider``); each plan for it then costs one run of the ledger and a few facts.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from washlore.knowledge.records import dataclass, field, replace
from washlore.knowledge.rows import Solution, table
from washlore.rules.account import Achieved, Job
from washlore.rules.bench import Bench
from washlore.rules.engine import build_engine, judging_lore
from washlore.rules.flask import DRAWS
from washlore.rules.judging import facts as j
from washlore.rules.ledger import band
from washlore.rules.mixture import Component, Mixture
from washlore.rules.observe import observe
from washlore.rules.plan import Plan, make_plan
from washlore.rules.proposal import ELSEWHERE, Proposal, ReadStep
from washlore.rules.reckon import PlanRefused
from washlore.rules.species import Sheet, sheet
from washlore.rules.verdict import Found, gather, verdict_on

CHECKED = (
    "the layer kept",
    "what each wash does to the product",
    "what is left of everything else",
    "gas, heat and poison",
    "volumes and portions",
    "brine, drying, filtering and their order",
)
# Where an organic layer holds less of a product than this against one portion of water, no number of ours is so wrong that
# it could be worked up like that all the same.
HOPELESS = 0.03
# Below the pH at which bicarbonate holds water acid is meant.
ACIDIC_PH = 7.5


@dataclass
class Judgement:
    """A plan with all that is said of it. ``left`` holds (5 %, median, 95 %) shares by component id.

    ``left_to`` is the later purification without which what stays would make the plan a flawed one; empty otherwise.
    ``job`` is the account of it, where water may meet the product. ``parts`` are the judgements of each product, where there
    are several: then ``recovered`` is their mean, and ``left`` the most that a crude holds of what does not belong there.
    """

    proposal: Proposal
    considered: Considered
    findings: tuple[Found, ...]
    achieves: tuple[Achieved, ...]
    left: dict[str, tuple[float, float, float]]
    recovered: tuple[float, float, float]
    verdict: str
    checked: tuple[str, ...] = CHECKED
    assumed: dict[int, tuple[str, ...]] = field(default_factory=dict)
    left_to: str = ""
    job: Job | None = field(default=None, repr=False)
    parts: tuple[Part, ...] = ()


@dataclass
class Part:
    """The judgement on one of several products: ``place`` is the layer that it is worked up from, in words."""

    product: Component
    place: str
    judgement: Judgement


@dataclass
class Considered:
    """A mixture thought through: our own plan for it, or why there is none (``PlanRefused``, its words and its ``held``).

    For several products there is no plan, but ``parts``: each of them with the flask considered for it alone. ``together`` are
    the ids of products that our own scheme leaves in one crude.
    """

    mixture: Mixture
    plan: Plan | None
    refused: str = ""
    numbers: Sheet | None = None
    held: float | None = None
    parts: tuple[tuple[Component, Considered], ...] = ()
    together: tuple[frozenset[str], ...] = ()


def consider(mixture: Mixture, draws: int = DRAWS) -> Considered:
    """Think a mixture through, once for all plans that are to be judged on it; with several products, once for each."""
    if len(mixture.wanted) > 1:
        from washlore.rules.several import consider_each

        return consider_each(mixture, draws)
    try:
        plan = make_plan(mixture, draws)
    except PlanRefused as refused:
        return Considered(mixture, None, str(refused), held=refused.held)
    return Considered(mixture, plan, "", sheet(plan.mixture, draws))


def judge(proposal: Proposal, considered: Considered) -> Judgement:
    """Judge a read plan on a mixture. A proposal without steps gets the verdict ``unreadable``."""
    if not proposal.readable:
        return Judgement(proposal, considered, (), (), {}, (0.0, 0.0, 0.0), "unreadable", ())
    if considered.parts:
        from washlore.rules.several import judge_each

        return judge_each(proposal, considered)
    engine = judging_engine()
    engine.reset()
    if considered.plan is None:
        return _judge_refused(engine, proposal, considered)
    written = proposal
    if any(step.action == "set ph" for step in proposal.steps) and not any(map(_is_elsewhere, proposal.steps)):
        from washlore.rules.several import with_product

        proposal = with_product(proposal, considered)
    bench = Bench(considered.plan, proposal, numbers=considered.numbers).run()
    job = Job(considered.plan, bench)
    engine.job = job
    observe(job, engine)
    engine.begin("warn")
    findings = gather(engine, job)
    left = {c.id: band(job.final[i]) for i, c in enumerate(considered.plan.mixture.components)}
    if bench.solid:
        left = {}  # how much a precipitate holds back is not known
    recovered = band(bench.recovered)
    left["product"] = recovered
    target = considered.plan.mixture.target
    made, strict = verdict_on(findings, target, bool(proposal.purified)), verdict_on(findings, target)
    assumed = {a.number: tuple(dict.fromkeys(a.assumed)) for a in bench.acts}
    steps = list(proposal.steps)
    for place, (step, own) in enumerate(zip(proposal.steps, written.steps, strict=True)):
        if _is_elsewhere(step) and not _is_elsewhere(own):
            steps[place] = own
            assumed[place + 1] = (f"done to a layer without {considered.mixture.product.name}",)
    return Judgement(
        replace(proposal, steps=tuple(steps)),
        considered,
        findings,
        tuple(job.achieved()),
        left,
        recovered,
        made,
        CHECKED,
        assumed,
        proposal.purified if made != strict else "",
        job,
    )


def _is_elsewhere(step: ReadStep) -> bool:
    return step.action == ELSEWHERE


def _judge_refused(engine: Any, proposal: Proposal, considered: Considered) -> Judgement:
    text = considered.refused.split("; no aqueous wash")[0].removeprefix("product: ").rstrip(".")
    held = considered.held
    job = _Bare(considered.mixture, proposal, held is not None and held < HOPELESS)
    engine.job = job
    wet = next((number for number, step in enumerate(proposal.steps, start=1) if _is_wet(step)), None)
    poison, _, remedy = text.partition("; no order of washes parts the two. ")
    if remedy and wet:
        acid = next((number for number, step in enumerate(proposal.steps, start=1) if _is_acid(step)), None)
        engine.observe(
            j.Poisoned(step=acid or wet, text=poison, remedy=_lowered(remedy), acid=acid is not None),
            poison,
            ("prudent",),
        )
        wet = None
    if held is not None:
        wet = _draws_from_water(proposal)
    if wet:
        engine.observe(j.Unwatered(step=wet, text=text, reacts=held is None), text, ("common_practice",))
    engine.begin("warn")
    findings = gather(engine, job)
    recovered = (0.0,) * 3 if findings else (1.0,) * 3
    if findings and held is not None and not job.hopeless:
        recovered = (0.0, held, 1.0)  # nobody knows: it is the number that may be wrong
    return Judgement(
        proposal,
        considered,
        findings,
        (),
        {"product": recovered},
        recovered,
        verdict_on(findings, considered.mixture.target),
        ("whether the product may meet water",),
    )


def _is_acid(step: ReadStep) -> bool:
    """Tell whether a step brings acid: a solution of it, or a pH below that at which bicarbonate holds water."""
    row = table(Solution).get(step.solution)
    return (row is not None and row.acts_as == "acid") or (step.target_ph is not None and step.target_ph < ACIDIC_PH)


def _lowered(text: str) -> str:
    return text[:1].lower() + text[1:]


def _draws_from_water(proposal: Proposal) -> int | None:
    """Return the step from which a plan works an organic layer up, keeping what it extracts with or drying it; ``None`` if none."""
    for number, step in enumerate(proposal.steps, start=1):
        parts = step.action == "extract" or (step.action == "wash" and step.solution not in ("brine", ""))
        if parts and step.phase_kept != "aqueous":
            return number
    return next((n for n, step in enumerate(proposal.steps, start=1) if step.action == "dry"), None)


def _is_wet(step: ReadStep) -> bool:
    return bool(step.solution) or step.solvent == "water" or step.action in ("wash", "take up", "set ph")


class _Bare:
    """What rules may ask about where there is no plan of ours."""

    def __init__(self, mixture: Mixture, proposal: Proposal, hopeless: bool) -> None:
        self.mixture = mixture
        self.hopeless = hopeless
        self.proposal = proposal

    def read(self, number: int) -> ReadStep:
        """Return a step as read."""
        return self.proposal.steps[number - 1]


@cache
def judging_engine() -> Any:
    """Return the one engine with all judging rules, built on first use."""
    return build_engine(judging_lore())
