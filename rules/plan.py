"""From a mixture to a plan: the stages of reasoning, the steps at the bench, the ledger over them, the record behind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from washlore.knowledge.arrays import maximum
from washlore.knowledge.records import dataclass, field, replace
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import trial, window
from washlore.rules.again import acid_meets_poison, extract_again, has_sour_quench, stripped_before
from washlore.rules.arrange import arrange, bound, takes_text
from washlore.rules.engine import Known, Reason, engine
from washlore.rules.families.funnel import GAS_WORTH_WORDS_ML
from washlore.rules.families.quench import spoils_thiosulfate
from washlore.rules.ledger import DRAWS, Ledger, band
from washlore.rules.mixture import Component, Mixture
from washlore.rules.opening import parting, water_in_flask
from washlore.rules.perceive import Job, observe, prepare
from washlore.rules.reckon import (
    CO2_PER_ACID,
    funnel_holds,
    needs_no_water,
    observe_fragile,
    observe_outcome,
    observe_pot,
    observe_swaps,
    observe_trials,
    observe_windows,
    refuse_if_no_water,
    refuse_if_poisoned,
    refuse_if_solvent_explodes,
    refuse_if_water_bound,
    stripped_components,
)
from washlore.rules.species import Array
from washlore.rules.steps import ORGANIC, PlanStep, funnel_for
from washlore.rules.words import listed

if TYPE_CHECKING:
    from washlore.rules.fragility import Fragile

# Layers whose densities differ by less cannot be told apart by them.
SURE_DENSITY_G_ML = 0.05
# What no funnel holds that can be shaken by hand.
IN_PARTS = "in a stirred vessel with a bottom outlet or in two or more lots"


@dataclass(frozen=True)
class Because:
    """One link of a chain of reasons: the rule, what it says here, the facts it matched (in words), its sources."""

    rule: str
    text: str
    facts: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Caution:
    """Something to be careful with."""

    id: str
    subject: str
    text: str
    fact_id: int


@dataclass(frozen=True)
class Leftover:
    """A component that the plan does not take out, and what would."""

    component: str
    text: str
    instead: str
    fact_id: int


@dataclass(frozen=True)
class Crude:
    """What is weighed at the end of one stream: its label, the compounds wanted from it, and bands (5 %, median, 95 %).

    ``recovered`` is the share of each wanted compound of what was in the flask, ``purity`` its share of the mass of all
    that the ledger follows (solvents and water apart), ``others`` the share of every other component that is in it.
    ``computed`` is false where a solid is filtered off, whose solubility is not known.
    """

    label: str
    wanted: tuple[str, ...]
    recovered: dict[str, tuple[float, float, float]]
    purity: dict[str, tuple[float, float, float]]
    others: dict[str, tuple[float, float, float]]
    computed: bool = True


@dataclass(frozen=True)
class Branch:
    """One stream of a scheme: the plan that works it up, and the components that its ids stand for."""

    label: str
    plan: Plan
    names: dict[str, str]


@dataclass
class Plan:
    """A workup with everything behind it. ``left`` holds (5 %, median, 95 %) shares by component id.

    ``fragile`` holds the conclusions that those bands do not settle, ``windows`` the pH that would tell an impurity of
    the product's own kind from it. ``crudes`` says what each stream ends in: one for a plan with one product. A scheme
    has ``branches`` too, and ``everything`` holds their facts beside its own. ``draws`` is how many numbers the bands were
    made of: with one of them they are no bands but the best estimate.
    """

    mixture: Mixture
    steps: tuple[PlanStep, ...]
    left: dict[str, tuple[float, float, float]]
    fate: dict[str, str]
    behaviour: dict[str, tuple[str, ...]]
    groups: dict[str, tuple[str, ...]]
    cautions: tuple[Caution, ...]
    not_removed: tuple[Leftover, ...]
    fragile: tuple[Fragile, ...]
    windows: tuple[window.Window, ...]
    assumptions: tuple[str, ...]
    extraction: str
    organic_ml: float
    known: dict[int, Known] = field(repr=False)
    fired: tuple[str, ...] = field(repr=False)
    ledger: Ledger = field(repr=False)
    crudes: tuple[Crude, ...] = ()
    branches: tuple[Branch, ...] = ()
    everything: dict[int, Known] = field(default_factory=dict, repr=False)
    draws: int = DRAWS

    def __post_init__(self) -> None:
        """Without branches the plan's own facts are all there are."""
        self.everything = self.everything or self.known

    @property
    def recovered(self) -> tuple[float, float, float]:
        """Return (5 %, median, 95 %) of the product's share in the crude."""
        return self.left["product"]

    def component(self, component_id: str) -> Component:
        """Return a component by id."""
        return self.mixture.component(component_id)

    def facts_of(self, kind: type[f.Fact], /, **slots: Any) -> list[tuple[int, f.Fact]]:
        """Return (id, fact) of all facts of a kind with the given slot values, oldest first."""
        return [
            (i, k.fact)
            for i, k in self.known.items()
            if type(k.fact) is kind and all(k.fact[s] == v for s, v in slots.items())
        ]

    def because(self, fact_ids: Sequence[int]) -> list[Because]:
        """Return the chain of reasons behind facts, nearest first, each reason once."""
        found: list[Because] = []
        seen: set[int] = set()
        queue = list(fact_ids)
        while queue:
            current = queue.pop(0)
            if current in seen or current not in self.everything:
                continue
            seen.add(current)
            for reason in self.everything[current].reasons:
                found.append(self._link(reason))
                queue.extend(reason.facts)
        return list(dict.fromkeys(found))

    def _link(self, reason: Reason) -> Because:
        words = tuple(self.everything[i].reasons[0].text for i in reason.facts if self.everything[i].reasons[0].text)
        return Because(reason.rule, reason.text, words, reason.sources)


def make_plan(mixture: Mixture, draws: int = DRAWS) -> Plan:
    """Think a mixture through and return its workup; with more than one product, the scheme that parts them.

    With one draw the steps and the facts behind them are the same, and the bands are none.

    Raises ``PlanRefused`` where no aqueous wash is right for the product.
    """
    if len(mixture.wanted) > 1:
        from washlore.rules.branches import make_scheme

        return make_scheme(mixture, draws)
    return plan_one(mixture, draws)


def begin(mixture: Mixture, place: int = 0, soured: bool = False) -> tuple[Any, Job, Solvent]:
    """Observe a mixture and classify it; return the engine, the job and the solvent of the organic layer."""
    job = prepare(mixture)
    job.soured = soured
    ke = engine(place)
    ke.reset()
    observe(ke, job)
    for solvent in trial.offered_solvents(job.mixture):
        log_d, worst = min((trial.best_log_d(c, solvent), c.name) for c in job.mixture.wanted)
        ke.observe(
            f.Candidate(solvent=solvent.id, log_d=round(log_d, 2), asked_for=mixture.extraction is not None),
            f"log K of {worst} between {solvent.name} and water is {log_d:.1f}",
            (solvent.source,),
        )
    ke.begin("classify")
    refuse_if_solvent_explodes(ke, job)
    stripped = {fact["subject"] for _, fact in ke.facts_of(f.Prepares, action="evaporate")}
    mixed = {s.id for s, _ in job.mixture.miscible_solvents}
    if mixed - stripped:
        job.mixture = replace(job.mixture, undiluted=frozenset(mixed - stripped))
    return ke, job, table(Solvent)[ke.first(f.Extraction)["solvent"]]


def taken_out(ke: Any) -> tuple[str, ...]:
    """Return the components that a quench or a filter takes out before the washes."""
    return tuple(fact["component"] for _, fact in ke.facts_of(f.Leaves) if fact["way"] in ("quench", "filtration"))


@dataclass(frozen=True)
class Decided:
    """A mixture thought through up to the steps, before their account is made. ``ke`` is the engine, still awake."""

    ke: Any
    job: Job
    solvent: Solvent
    windows: tuple[window.Window, ...]
    steps: tuple[PlanStep, ...]


def decide(mixture: Mixture, first: int = 1, swaps: bool = True, carries: bool = True, soured: bool = False) -> Decided:
    """Decide on the steps for one product; see ``plan_one``. Without ``carries`` it stays out of the water all the same.

    ``soured``: it is known already that the water of a quench is made acidic later, and the quench is chosen by that.
    """
    ke, job, solvent = begin(mixture, soured=soured)
    job.wet = not swaps
    gone = taken_out(ke)
    stripped = stripped_components(ke, job)
    poured = water_in_flask(ke, job)
    observe_pot(ke, job, solvent, gone, stripped, poured)
    refuse_if_water_bound(ke, job, solvent, poured is None and needs_no_water(ke, job, gone, stripped))
    ke.begin("free")
    refuse_if_poisoned(ke, job)
    brought = ke.first(f.BringsTo)
    pot_ph = brought["ph"] if brought else None
    if pot_ph is not None and not soured and spoils_thiosulfate(ke, pot_ph):
        return decide(mixture, first, swaps, carries, soured=True)
    rinsed = pot_ph is not None and ke.first(f.RinsesFirst) is not None
    trials = observe_trials(ke, job, solvent, gone, stripped, pot_ph, rinsed, parting(ke, job), poured)
    windows = observe_windows(ke, job, solvent, gone, stripped)
    ke.begin("protect")
    refuse_if_no_water(ke, job)
    ke.begin("remove")
    ke.begin("compare")
    ke.begin("stick")
    if swaps and carries and any(ke.facts_of(f.Stuck)):
        observe_swaps(ke, job, solvent, gone, stripped, trials, pot_ph, rinsed, poured)
    ke.begin("decide")
    ke.begin("arrange")
    steps = arrange(ke, job, solvent, gone, stripped, first)
    return Decided(ke, job, solvent, windows, steps)


def plan_one(mixture: Mixture, draws: int = DRAWS, first: int = 1, swaps: bool = True) -> Plan:
    """Return the workup for one product; its steps are numbered from ``first``.

    Without ``swaps`` the product is not carried through the water and back again: a scheme has done that.
    """
    found = decide(mixture, first, swaps)
    steps, book = extract_again(found.ke, found.job, found.solvent, found.steps, draws, first)
    if acid_meets_poison(found.ke, found.job, steps, book):
        found = decide(mixture, first, swaps, carries=False)
        steps, book = extract_again(found.ke, found.job, found.solvent, found.steps, draws, first)
    ke, job, solvent, windows = found.ke, found.job, found.solvent, found.windows
    observe_outcome(ke, job, book, steps)
    fragile: tuple[Fragile, ...] = ()
    if draws > 1:
        from washlore.rules.fragility import fragile as fragile_conclusions

        fragile = fragile_conclusions(job.mixture, book.steps, book, solvent)
        observe_fragile(ke, fragile)
    ke.begin("foresee")
    ke.begin("warn")
    return _finish(ke, job, solvent, steps, book, fragile, windows)


def _finish(
    ke: Any,
    job: Job,
    solvent: Solvent,
    steps: Sequence[PlanStep],
    book: Ledger,
    fragile: tuple[Fragile, ...],
    windows: tuple[window.Window, ...],
) -> Plan:
    finished = []
    for step in steps:
        step = with_layers(_told(ke, job, step, steps, book), book)
        if "takes part of" in step.reason and all(
            band(book.left(c))[1] <= job.mixture.target for c in step.for_components
        ):
            step = replace(step, reason=step.reason.replace("takes part of", "takes out"))
        if step.action == "concentrate":
            step = replace(step, reason=_last_reason(step, steps[0].number, job, book))
        finished.append(step)
    behaviour: dict[str, tuple[str, ...]] = {}
    groups: dict[str, tuple[str, ...]] = {}
    for component in job.mixture.components:
        behaviour[component.id] = tuple(fact["kind"] for _, fact in ke.facts_of(f.Behaviour, component=component.id))
        groups[component.id] = tuple(fact["group"] for _, fact in ke.facts_of(f.Contains, component=component.id))
    left = {c.id: band(book.left(c.id)) for c in job.mixture.components}
    cautions = tuple(
        Caution(fact["id"], fact["subject"], ke.known[i].reasons[0].text, i) for i, fact in ke.facts_of(f.Cautions)
    )
    gassy = to_vent(cautions, book, finished)
    finished = [vented(step) if step.number in gassy else step for step in finished]
    not_removed = tuple(
        Leftover(fact["component"], ke.known[i].reasons[0].text, fact["instead"], i)
        for i, fact in ke.facts_of(f.NotRemoved)
    )
    return Plan(
        job.mixture,
        tuple(finished),
        left,
        {c.id: _fate(c, ke, finished, book) for c in job.mixture.components},
        behaviour,
        groups,
        cautions,
        not_removed,
        fragile,
        windows,
        job.mixture.assumptions,
        solvent.id,
        trial.organic_volume_ml(job.mixture),
        ke.known,
        tuple(ke.fired),
        book,
        (_crude(job.mixture, book),),
        draws=book.sheet.draws,
    )


# Of what is left in so large a share no wash has taken all, whatever it did in its trial.
MUCH_LEFT = 0.2


def _told(ke: Any, job: Job, step: PlanStep, steps: Sequence[PlanStep], book: Ledger) -> PlanStep:
    """Return a wash that says what is left for it to take: what earlier steps have taken is not named as if all were there."""
    place = step.number - steps[0].number
    if step.action != "wash" or not step.for_components or not place:
        return step
    words = takes_text(ke, job, step.solution, step.for_components)
    if not step.reason.startswith(words):
        return step
    earlier = steps[:place]
    followed = {s.component for s in book.sheet.species}
    wet = any(c.step < step.number for c in book.contacts)
    left = {c: band(book.fraction(c, book.after[place - 1]))[1] for c in step.for_components}
    traces = {
        c: share
        for c, share in left.items()
        if share <= job.mixture.target
        and (c in followed or (wet and book.sheet.strong_of.get(c)))
        and not bound(ke, c, step.solution)
    }
    stripped = tuple(stripped_before(earlier, book))
    sour = table(Solution)[step.solution].acts_as == "acid" and has_sour_quench(earlier)
    much = {c for c in step.for_components if not bound(ke, c, step.solution) and band(book.left(c))[1] > MUCH_LEFT}
    told = takes_text(ke, job, step.solution, step.for_components, traces, stripped, sour, much)
    return replace(step, reason=told + step.reason.removeprefix(words))


def _crude(mixture: Mixture, book: Ledger) -> Crude:
    """Return what a plan with one product ends in."""
    layer = book.organic if book.organic is not None else book.aqueous
    mass = masses_mg(layer.mmol, book) if layer is not None else {}
    shares = {c.id: book.left(c.id) for c in mixture.components}
    return crude_of(ORGANIC, ("product",), shares, mass)


def masses_mg(mmol: Array, book: Ledger) -> dict[str, Array]:
    """Return the mass (draws,) in mg of each component that ``mmol`` (species, draws) holds, volatile solvents apart."""
    found: dict[str, Array] = {}
    for i, item in enumerate(book.sheet.species):
        if (
            item.solvent is not None
            and item.solvent.boiling_c < trial.STRIPPABLE_BELOW_C
            and item.component != "product"
        ):
            continue
        found[item.component] = found.get(item.component, 0.0) + mmol[i] * item.molecule.molar_mass
    return found


def crude_of(
    stream: str, wanted: Sequence[str], shares: Mapping[str, Array], mass: Mapping[str, Array], computed: bool = True
) -> Crude:
    """Return a crude from the share and the mass (draws,) of each component in it."""
    whole = maximum(sum(mass.values()), 1e-300)
    return Crude(
        stream,
        tuple(wanted),
        {c: band(shares[c]) for c in wanted},
        {c: band(mass[c] / whole) for c in wanted},
        {c: band(v) for c, v in shares.items() if c not in wanted},
        computed,
    )


def with_layers(step: PlanStep, book: Ledger) -> PlanStep:
    """Return a step with what its first contact says: densities, which layer is which, spent pH, size of the funnel."""
    contacts = [c for c in book.contacts if c.step == step.number]
    if not contacts:
        return step
    contact = contacts[0]
    keeps_organic = step.phase_kept != "aqueous"
    layer, *others = dict.fromkeys(
        "top" if keeps_organic == (c.aqueous_density >= c.organic_density) else "bottom" for c in contacts
    )
    sure = not others and min(abs(c.aqueous_density - c.organic_density) for c in contacts) >= SURE_DENSITY_G_ML
    where = layer if sure else f"probably the {layer} one: a drop of water joins the aqueous layer"
    if others:
        where = f"probably the {layer} one at first, then the {others[0]} one: a drop of water joins the aqueous layer"
    instruction = step.instruction
    if step.action == "wash" and "; keep the" not in instruction:
        instruction += f"; keep the {step.phase_kept} layer ({where})"
    elif not sure and "a drop of water" not in instruction:
        instruction += "; the layers are nearly of one density: let a drop of water fall in, it joins the aqueous layer"
    funnel = funnel_for(funnel_holds(book, step.number))
    if funnel is None and IN_PARTS not in instruction:
        instruction += f", {IN_PARTS}"
    return replace(
        step,
        instruction=instruction,
        layer_kept=layer,
        layer_sure=sure,
        funnel_ml=funnel,
        spent_ph=round(float(contact.ph[0]), 1),
        organic_density_g_ml=round(contact.organic_density, 2),
        aqueous_density_g_ml=round(contact.aqueous_density, 2),
    )


def to_vent(cautions: Sequence[Caution], book: Ledger, steps: Sequence[PlanStep]) -> set[int]:
    """Return the steps whose funnel is vented: where gas comes, and the first of all over a solvent that boils low.

    Water that gave gas off in the open gives more of it when it is first shaken, and so does what carbonate is stirred into.
    """
    shaken = [c.step for c in book.contacts]
    gas_ml = {n: sum(c.co2_ml for c in book.contacts if c.step == n) for n in shaken}
    pressed = shaken[:1] if any(c.id in ("vapour pressure", "carbon dioxide") for c in cautions) else []
    stirred = {s.number for s in steps if s.action == "neutralise" and s.solute in CO2_PER_ACID}
    return {number for number in shaken if gas_ml[number] > GAS_WORTH_WORDS_ML} | stirred | set(pressed)


def vented(step: PlanStep) -> PlanStep:
    """Return a step that says to vent, before it says which layer is kept."""
    done, *kept = step.instruction.split("; keep the ", 1)
    return replace(step, vents=True, instruction="; keep the ".join([done + ", venting after each shake", *kept]))


def _last_reason(step: PlanStep, first: int, job: Job, book: Ledger) -> str:
    """Say what leaves with the solvent: of the volatile components those that are still there."""
    before = book.after[step.number - first - 1] if step.number > first else None
    there = [
        job.name(c) if job.mixture.component(c).principal.charge == 0 else f"the base of {job.name(c)}"
        for c in step.for_components
        if before is None or float(book.fraction(c, before)[0]) > job.mixture.target
    ]
    verb = "leaves" if len(there) == 1 else "leave"
    return step.reason + (f"; {listed(there)} {verb} with the solvent" if there else "")


def _fate(component: Component, ke: Any, steps: Sequence[PlanStep], book: Ledger) -> str:
    """Say where most of a component goes."""
    if component.id == "product":
        return "the crude, in the tared flask"
    left = float(book.left(component.id)[0])
    if left > 0.5:
        return "stays with the product"
    before = 1.0
    best_drop, best_step = 0.0, None
    for step, mmol in zip(steps, book.after, strict=True):
        now = float(book.fraction(component.id, mmol)[0])
        if before - now > best_drop:
            best_drop, best_step = before - now, step
        before = now
    if best_step is None:
        return "the water of the first wash"
    if best_step.action == "quench":
        return f"destroyed in step {best_step.number}"
    if best_step.action == "filter":
        return f"filtered off in step {best_step.number}"
    if best_step.action in ("evaporate", "concentrate"):
        return f"evaporates in step {best_step.number}"
    if best_step.action == "extract again":
        return f"aqueous layer of step {best_step.number}"
    if best_step.action in ("take up", "rinse water"):
        if not any(s.component == component.id for s in book.sheet.species):
            return "stays in the water"
        return f"organic layer of step {best_step.number}, set aside"
    if component.id in best_step.for_components and bound(ke, component.id, best_step.solution):
        return f"destroyed or bound in step {best_step.number}"
    return f"aqueous layer of step {best_step.number}"
