"""From a mixture to a plan: the stages of reasoning, the steps at the bench, the ledger over them, the record behind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from washlore.knowledge import kinetics
from washlore.knowledge.partition import molecule_log_k
from washlore.knowledge.rows import Desiccant, Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import fragility, trial, window
from washlore.rules.engine import Known, Reason, engine
from washlore.rules.families.quench import quench_agent, quench_brings_water, quench_solution, quench_words
from washlore.rules.families.removal import CHEMICAL
from washlore.rules.families.swap import WORTHWHILE
from washlore.rules.ledger import AGAIN_SHARE, DRAWS, Ledger, Step, band, run_ledger
from washlore.rules.mixture import Component, Mixture, is_organic
from washlore.rules.perceive import Job, bottles, observe, prepare
from washlore.rules.species import permanent_charge
from washlore.rules.words import label, listed, round_volume, share

# The order of the washes among themselves: what destroys, then what water alone takes, acid, base, the rest.
WASH_RANK = {
    "reductant": 20,
    "oxidant": 21,
    "complexing": 24,
    "neutral": 28,
    "salt": 28,
    "acid": 30,
    "buffer": 45,
    "base": 50,
}
# What burns or boils with water goes first; nothing aqueous meets the flask before it is gone.
QUENCH_RANK = {
    "metal": 1.0,
    "hydride": 1.0,
    "organometallic": 1.05,
    "strong base": 1.1,
    "acid halide": 1.2,
    "Lewis acid": 1.25,
    "silane": 1.25,
}
# A leftover that acid would turn into a poison gas leaves before any acid comes.
FIRST_RANK = 12
LEAST_REPEATS = {"acid": 2, "base": 2, "buffer": 2, "neutral": 2, "salt": 1}
BACK_PH_MARGIN = 2.2
# A product that does not stand this pH meets base before plain water and acid.
ACID_LABILE_PH = 2.0
# No wash is more acidic than this.
LOWEST_WASH_PH = 0.0
# Below this share held against one portion of water no workup by extraction is worth the name.
LEAST_HELD = 0.12
# A swap is not tried with a solution that leaves more than this of the product behind.
MOST_LEFT_BEHIND = 0.2
# A wash is sure when, with every number on the unlucky side, three contacts leave no more than this times the target.
SURE_FACTOR = 3.0
SHAKING_MIN = 5.0
# Separating funnels, mL; one is filled to three quarters at most, so that there is room to shake and to vent.
FUNNELS_ML = (30, 60, 125, 250, 500, 1000, 2000, 5000)
FULLEST = 0.75
# Layers whose densities differ by less cannot be told apart by them.
SURE_DENSITY_G_ML = 0.05


class PlanRefused(ValueError):
    """No aqueous workup is right for this mixture; the message says why and what would work."""

    def __init__(self, message: str, fired: Sequence[str] = ()) -> None:
        super().__init__(message)
        self.fired = tuple(fired)


@dataclass(frozen=True)
class Because:
    """One link of a chain of reasons: the rule, what it says here, the facts it matched (in words), its sources."""

    rule: str
    text: str
    facts: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class PlanStep:
    """One numbered step. ``number`` counts from 1; volumes are of one portion in mL.

    ``layer_sure`` is false where the densities are too near to say which layer is on top. ``funnel_ml`` is the smallest
    separating funnel that both layers fill to three quarters at most, ``None`` without layers or where 5 L is too small.
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


@dataclass
class Plan:
    """A workup with everything behind it. ``left`` holds (5 %, median, 95 %) shares by component id.

    ``fragile`` holds the conclusions that those bands do not settle, ``windows`` the pH that would tell an impurity of
    the product's own kind from it.
    """

    mixture: Mixture
    steps: tuple[PlanStep, ...]
    left: dict[str, tuple[float, float, float]]
    fate: dict[str, str]
    behaviour: dict[str, tuple[str, ...]]
    groups: dict[str, tuple[str, ...]]
    cautions: tuple[Caution, ...]
    not_removed: tuple[Leftover, ...]
    fragile: tuple[fragility.Fragile, ...]
    windows: tuple[window.Window, ...]
    assumptions: tuple[str, ...]
    extraction: str
    organic_ml: float
    known: dict[int, Known] = field(repr=False)
    fired: tuple[str, ...] = field(repr=False)
    ledger: Ledger = field(repr=False)

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
            if current in seen or current not in self.known:
                continue
            seen.add(current)
            for reason in self.known[current].reasons:
                found.append(self._link(reason))
                queue.extend(reason.facts)
        return list(dict.fromkeys(found))

    def _link(self, reason: Reason) -> Because:
        words = tuple(self.known[i].reasons[0].text for i in reason.facts if self.known[i].reasons[0].text)
        return Because(reason.rule, reason.text, words, reason.sources)


def make_plan(mixture: Mixture, draws: int = DRAWS) -> Plan:
    """Think a mixture through and return its workup.

    Raises ``PlanRefused`` where no aqueous wash is right for the product.
    """
    job = prepare(mixture)
    ke = engine()
    ke.reset()
    observe(ke, job)
    for solvent in trial.offered_solvents(job.mixture):
        log_d = trial.best_log_d(job.mixture, solvent)
        ke.observe(
            f.Candidate(solvent=solvent.id, log_d=round(log_d, 2), asked_for=mixture.extraction is not None),
            f"log K of {mixture.product.name} between {solvent.name} and water is {log_d:.1f}",
            (solvent.source,),
        )
    ke.begin("classify")
    solvent = table(Solvent)[ke.first(f.Extraction)["solvent"]]
    gone = tuple(fact["component"] for _, fact in ke.facts_of(f.Leaves) if fact["way"] in ("quench", "filtration"))
    stripped = _stripped(ke, job)
    _observe_pot(ke, job, solvent, gone, stripped)
    _refuse_if_water_bound(ke, job, solvent)
    ke.begin("free")
    brought = ke.first(f.BringsTo)
    pot_ph = brought["ph"] if brought else None
    rinsed = pot_ph is not None and ke.first(f.RinsesFirst) is not None
    trials = _observe_trials(ke, job, solvent, gone, stripped, pot_ph, rinsed)
    windows = _observe_windows(ke, job, solvent, gone, stripped)
    ke.begin("protect")
    _refuse_if_no_water(ke, job)
    ke.begin("remove")
    ke.begin("compare")
    ke.begin("stick")
    if any(ke.facts_of(f.Stuck)):
        _observe_swaps(ke, job, solvent, gone, stripped, trials, pot_ph, rinsed)
    ke.begin("decide")
    ke.begin("arrange")
    steps = _arrange(ke, job, solvent, gone, stripped)
    book = run_ledger(job.mixture, [_bench_to_ledger(s, ke, job) for s in steps], draws)
    _foresee(ke, job, book)
    fragile = fragility.fragile(job.mixture, book.steps, book, solvent)
    _observe_fragile(ke, fragile)
    ke.begin("foresee")
    ke.begin("warn")
    return _finish(ke, job, solvent, steps, book, fragile, windows)


def _stripped(ke: Any, job: Job) -> tuple[str, ...]:
    rows = {fact["subject"] for _, fact in ke.facts_of(f.Prepares, action="evaporate")}
    return tuple(
        dict.fromkeys(
            [fact["component"] for _, fact in ke.facts_of(f.Mixes) if fact["solvent"] in rows]
            + [c.id for c in job.mixture.others if c.id in rows]
        )
    )


def _observe_pot(ke: Any, job: Job, solvent: Solvent, gone: Sequence[str], stripped: Sequence[str]) -> None:
    found = trial.pot(job, solvent, gone, stripped)
    product = job.mixture.product.name
    for component in job.mixture.others:
        part = component.principal
        if is_organic(part) and not permanent_charge(part):
            log_k = molecule_log_k(part, solvent.log_k_key)
            ke.observe(
                f.Greasy(component=component.id, log_k=round(log_k.value, 2)),
                f"log K of {component.name} between {solvent.name} and water is {log_k.value:.1f} ± {log_k.sigma:.1f}",
                (log_k.source,),
            )
    ke.observe(
        f.Pot(
            ph=round(found.ph, 2),
            kept=_short(found.kept),
            neutral=_short(found.neutral),
            neutral_3=_short(found.neutral_3),
            log_p=_short(found.log_p),
            ions=found.ions,
        ),
        f"computed: the flask shaken with water stands at pH {found.ph:.1f} and leaves {share(found.kept)} of {product} in the "
        f"organic layer; of its neutral form {share(found.neutral)} would stay",
    )


def _observe_trials(
    ke: Any,
    job: Job,
    solvent: Solvent,
    gone: Sequence[str],
    stripped: Sequence[str],
    pot_ph: float | None,
    rinsed: bool,
) -> list[trial.Trial]:
    rows = list(bottles(job))
    trials, after_pot = trial.uptakes(job, solvent, gone, stripped, rows, pot_ph, rinsed)
    target = job.mixture.target
    if pot_ph is not None:
        for component in job.mixture.others:
            if component.id not in gone:
                left = after_pot[component.id]
                ke.observe(
                    f.AfterPot(component=component.id, left=_short(left), enough=left <= target),
                    f"computed: at pH {pot_ph:g} the first water leaves {share(left)} of {component.name}",
                )
    for result in trials:
        name = table(Solution)[result.solution].name
        for component in job.mixture.components:
            if component.id in gone:
                continue
            after = result.left[component.id]
            enough = next((n for n, left in enumerate(after, start=1) if left <= target), 0)
            ke.observe(
                f.Uptake(
                    component=component.id,
                    solution=result.solution,
                    after_1=_short(after[0]),
                    after_2=_short(after[1]),
                    after_3=_short(after[2]),
                    enough=enough,
                    sure=bool(result.cautious[component.id][-1] <= SURE_FACTOR * target),
                    spent_ph=round(result.spent_ph, 2),
                ),
                f"computed: one, two, three contacts of {solvent.name} with a third of its volume of {name} leave "
                f"{share(after[0])}, {share(after[1])}, {share(after[2])} of {component.name} in the organic layer "
                f"(first wash spent at pH {result.spent_ph:.1f})",
            )
        product = job.mixture.product
        ke.observe(
            f.Unlucky(solution=result.solution, after_2=_short(result.unlucky[1])),
            f"computed: with every number on the unlucky side two contacts with {name} leave {share(result.unlucky[1])} of "
            f"{product.name}",
        )
        loss = kinetics.loss_fraction(
            product.principal, table(Solution)[result.solution].ph, SHAKING_MIN, 1.0 - result.left["product"][0]
        )
        if loss is not None and loss[0] > 0.001:
            ke.observe(
                f.Decays(solution=result.solution, share=_short(loss[0]), group=loss[3]),
                f"{name} would destroy about {share(min(loss[0], 1.0))} of {product.name} in {SHAKING_MIN:.0f} minutes",
                (loss[2],),
            )
    return trials


def _observe_windows(
    ke: Any, job: Job, solvent: Solvent, gone: Sequence[str], stripped: Sequence[str]
) -> tuple[window.Window, ...]:
    """Work out the pH window for each impurity of the product's own kind."""
    kinds: dict[str, set[str]] = {}
    for _, fact in ke.facts_of(f.Behaviour):
        kinds.setdefault(fact["component"], set()).add(fact["kind"])
    wanted = [
        c
        for c in job.mixture.others
        if c.id not in gone and c.id not in stripped and window.same_kind(kinds.get("product", ()), kinds.get(c.id, ()))
    ]
    if not wanted:
        return ()
    lowest = max((fact["ph"] for _, fact in ke.facts_of(f.Stands, side="low")), default=0.0)
    highest = min((fact["ph"] for _, fact in ke.facts_of(f.Stands, side="high")), default=14.0)
    kept = window.held_shares(job.mixture, solvent, gone, stripped)
    rows = list(bottles(job))
    found = []
    for component in wanted:
        made = window.pick(job.mixture, component.id, kept, (lowest, highest), solutions=rows)
        if made is None:
            continue
        found.append(made)
        by_n = {held.n: held for held in made.contacts}
        numbers = {
            f"{slot}_{n}": _short(getattr(by_n[n], name)) if n in by_n else None
            for n in (1, trial.CONTACTS)
            for slot, name in (("ph", "ph"), ("left", "left"), ("lost", "product_lost"))
        }
        ke.observe(
            f.Window(component=component.id, solution=made.solution, **numbers),
            f"computed: {made.text(component.name, job.mixture.product.name)}",
            (table(Solution)[made.solution].source,),
            also=[
                i
                for who in ("product", component.id)
                for i, fact in ke.facts_of(f.Behaviour, component=who)
                if fact["kind"] in window.ACIDS | window.BASES
            ],
        )
    return tuple(found)


def _observe_fragile(ke: Any, found: Sequence[fragility.Fragile]) -> None:
    for item in found:
        outcome = next(i for i, _ in ke.facts_of(f.Outcome, component=item.component))
        ke.observe(
            f.Fragile(
                component=item.component,
                number=item.number,
                threshold=None if item.threshold is None else _short(item.threshold),
                estimate=_short(item.estimate),
                sigma=_short(item.sigma),
                holds=item.holds,
                claim=item.claim,
            ),
            f"computed: {item.text}",
            also=[
                outcome,
                *(i for i, _ in ke.facts_of(f.Ionises, component=item.component)),
            ],
        )


def _short(value: float) -> float:
    return float(f"{value:.4g}")


def _refuse_if_no_water(ke: Any, job: Job) -> None:
    found = next(ke.facts_of(f.Harms, solution="any"), None)
    if found is None:
        return
    reason = ke.known[found[0]].reasons[0]
    raise PlanRefused(
        f"product: {reason.text}; no aqueous wash is right for it. Filter off salts under dry conditions, strip the volatiles "
        "and distil or crystallise, or carry it into the next step as it is.",
        ke.fired,
    )


def _ionised_at_best(ke: Any) -> float:
    """Return how many times more of the product is ionised than not, at the pH where that is least."""
    acid = ke.first(f.Ionises, component="product", kind="acid")
    base = ke.first(f.Ionises, component="product", kind="base")
    if acid is None:
        return 0.0
    if base is not None:
        # The zwitterion outweighs the neutral form by the gap between the two pKa values, at any pH between them.
        return 10.0 ** max(0.0, base["pka"] - acid["pka"])
    return 10.0 ** max(0.0, LOWEST_WASH_PH - acid["pka"])


def _refuse_if_water_bound(ke: Any, job: Job, solvent: Solvent) -> None:
    """Refuse a product that no organic layer holds, whatever the pH: extraction would throw it away."""
    neutral = ke.first(f.Pot)["neutral"] / max(1.0, _ionised_at_best(ke))
    if neutral >= LEAST_HELD:
        return
    product = job.mixture.product.name
    kinds = {fact["kind"] for _, fact in ke.facts_of(f.Behaviour, component="product")}
    if "permanent ion" in kinds:
        way = (
            "precipitate it with a greasy counter-ion or from ether, or strip the water and triturate with dry alcohol"
        )
    elif "amphoteric" in kinds:
        acid, base = (ke.first(f.Ionises, component="product", kind=k)["pka"] for k in ("acid", "base"))
        way = (
            f"bring the water to its isoelectric pH, about {(acid + base) / 2:.0f}, cool and filter, or use ion exchange; "
            "protect the amine if it must be extracted"
        )
    else:
        way = (
            "strip the water and triturate or recrystallise from alcohol, or saturate the water with salt and extract many "
            "times with 1-butanol or 3:1 chloroform/2-propanol, or extract continuously; protect it if that fails"
        )
    raise PlanRefused(
        f"product: {product} belongs to the water: of its least charged form {share(neutral)} would stay in {solvent.name} "
        f"against one portion of water, so every aqueous wash throws it away. Instead {way}.",
        ke.fired,
    )


def _observe_swaps(
    ke: Any,
    job: Job,
    solvent: Solvent,
    gone: Sequence[str],
    stripped: Sequence[str],
    trials: Sequence[trial.Trial],
    pot_ph: float | None,
    rinsed: bool,
) -> None:
    kinds = {fact["kind"] for _, fact in ke.facts_of(f.Behaviour, component="product")}
    if "amphoteric" in kinds or not kinds & {"acid", "weak acid", "base", "weak base"}:
        return
    destroys = {fact["solution"] for _, fact in ke.facts_of(f.Harms) if fact["how"] != "carries away"}
    acid_product = bool(kinds & {"acid", "weak acid"})
    site = ke.first(f.Ionises, component="product", kind="acid" if acid_product else "base")
    back = _back_ph(ke, site["pka"], acid_product)
    chosen = dict.fromkeys(fact["solution"] for _, fact in ke.facts_of(f.Chosen))
    washes = sorted((table(Solution)[s] for s in chosen), key=lambda w: WASH_RANK[w.acts_as])
    stuck = {fact["component"] for _, fact in ke.facts_of(f.Stuck)}
    for result in trials:
        row = table(Solution)[result.solution]
        right = row.acts_as == ("base" if acid_product else "acid")
        if (
            not right
            or not row.general
            or row.id in destroys
            or row.id == "nh4cl_sat"
            or result.left["product"][2] > MOST_LEFT_BEHIND
        ):
            continue
        left = trial.swap(job, solvent, gone, stripped, row, back, pot_ph, rinsed=rinsed)
        washed = False
        if left["product"] < WORTHWHILE and washes:
            better = trial.swap(job, solvent, gone, stripped, row, back, pot_ph, washes, rinsed)
            washed = better["product"] > left["product"]
            left = better if washed else left
        first = f"after {listed([w.name for w in washes])}, " if washed else ""
        ke.observe(
            f.SwapTrial(solution=row.id, recovered=_short(left["product"]), back_ph=back),
            f"computed: {first}three portions of {row.name}, two rinses, pH {back:g} and three extractions bring "
            f"{share(left['product'])} of {job.mixture.product.name} back",
            (row.source,),
        )
        for component in job.mixture.others:
            # What a wash took before the swap still needs that wash.
            counts = not washed or component.id in stuck
            ke.observe(
                f.SwapLeaves(
                    solution=row.id,
                    component=component.id,
                    left=_short(left[component.id]),
                    enough=counts and left[component.id] <= job.mixture.target,
                ),
                f"computed: the same leaves {share(left[component.id])} of {component.name} with it",
            )


def _back_ph(ke: Any, pka: float, acid_product: bool) -> float:
    """Return the pH at which the product comes back out of the water: well past its pKa, and no further than it stands.

    Water without a buffer drifts as the product leaves it, so phenols and anilines go further than two units.
    """
    if acid_product:
        limits = [fact["ph"] for _, fact in ke.facts_of(f.Stands, side="low")]
        wanted = max(min(pka - BACK_PH_MARGIN, 5.0), 1.5)
        return max(round(2 * wanted) / 2, *(x + 0.5 for x in limits)) if limits else round(2 * wanted) / 2
    limits = [fact["ph"] for _, fact in ke.facts_of(f.Stands, side="high")]
    wanted = min(max(pka + BACK_PH_MARGIN, 10.0), 13.0)
    return min(round(2 * wanted) / 2, *(x - 0.5 for x in limits)) if limits else round(2 * wanted) / 2


@dataclass(frozen=True)
class _Draft:
    rank: float
    step: PlanStep


def _arrange(ke: Any, job: Job, solvent: Solvent, gone: Sequence[str], stripped: Sequence[str]) -> tuple[PlanStep, ...]:
    drafts: list[_Draft] = []
    organic_ml = trial.organic_volume_ml(job.mixture)
    drafts += _prepare_steps(ke, job, solvent, organic_ml)
    drafts += _parting_steps(ke, job, solvent, organic_ml)
    drafts += _pot_steps(ke, job, solvent, organic_ml)
    drafts += _wash_steps(ke, job, gone, stripped)
    drafts += _swap_steps(ke, job, solvent)
    drafts += _added_steps(ke, job, solvent, organic_ml)
    drafts.sort(key=lambda d: d.rank)
    return tuple(replace(d.step, number=n) for n, d in enumerate(drafts, start=1))


def _prepare_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[_Draft]:
    drafts = []
    stripped_rows = []
    for known_id, fact in ke.facts_of(f.Prepares):
        subject = fact["subject"]
        if fact["action"] == "quench":
            row = table(Residue)[ke.first(f.Leftover, component=subject)["residue"]]
            solution = table(Solution).get(quench_solution(ke, row))
            drafts.append(
                _Draft(
                    QUENCH_RANK.get(row.kind, 1.5),
                    PlanStep(
                        0,
                        "quench",
                        f"Quench {job.name(subject)} with {quench_agent(ke, row)}: {quench_words(ke, row)}",
                        f"{job.name(subject)} still reacts",
                        (known_id,),
                        solution=solution.id if solution else "",
                        solute=solution.formula if solution else "",
                        strength=solution.strength if solution else "",
                        for_components=(subject,),
                    ),
                )
            )
        elif fact["action"] == "filter":
            drafts.append(
                _Draft(
                    2,
                    PlanStep(
                        0,
                        "filter",
                        f"Filter off {job.name(subject)} and rinse the solid with a little {solvent.name}",
                        f"{job.name(subject)} is insoluble",
                        (known_id,),
                        for_components=(subject,),
                    ),
                )
            )
        elif fact["action"] == "evaporate":
            stripped_rows.append((known_id, subject))
    extraction_id = next(ke.facts_of(f.Extraction))[0]
    if stripped_rows:
        rows = table(Solvent)
        names = listed(list(dict.fromkeys(rows[s].name if s in rows else job.name(s) for _, s in stripped_rows)))
        components = _stripped(ke, job)
        drafts.append(
            _Draft(
                3,
                PlanStep(
                    0,
                    "evaporate",
                    f"Strip off {names} on the rotary evaporator",
                    "; ".join(ke.known[i].reasons[0].text for i, _ in stripped_rows),
                    tuple(i for i, _ in stripped_rows),
                    for_components=components,
                ),
            )
        )
    held = sum(v for s, v in job.mixture.reaction_solvents if s.id == solvent.id and s.log_k_key)
    if stripped_rows:
        held = 0.0
    need = organic_ml - held
    if need >= 0.2 * organic_ml:
        volume = round_volume(need)
        drafts.append(
            _Draft(
                4,
                PlanStep(
                    0,
                    "dilute",
                    f"{_dilute_word(ke, job, bool(stripped_rows), held)} {volume:g} mL of {solvent.name}",
                    "an organic layer that water does not mix with",
                    (extraction_id,),
                    solvent=solvent.id,
                    volume_ml=volume,
                    phase_kept="organic",
                ),
            )
        )
    return drafts


def _dilute_word(ke: Any, job: Job, stripped: bool, held: float) -> str:
    if held:
        return "Dilute with"
    return "Take up in" if stripped or not job.mixture.reaction_solvents else "Add"


def _parting_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[_Draft]:
    """Part the water that a quench or the reaction itself brought, and extract it once more."""
    watery = [
        (i, fact["subject"])
        for i, fact in ke.facts_of(f.Prepares, action="quench")
        if quench_brings_water(ke, table(Residue)[ke.first(f.Leftover, component=fact["subject"])["residue"]])
    ]
    ids = [i for i, _ in watery] + [i for i, _ in ke.facts_of(f.Medium, solvent="water")]
    if not ids or ke.first(f.BringsTo):
        return []
    volume = round_volume(organic_ml * 0.5)
    step = PlanStep(
        0,
        "dilute",
        f"Part the layers; extract the aqueous one with another {volume:g} mL of {solvent.name} and combine the organic layers",
        "the water of the quench holds its salts" if watery else "the water of the reaction holds its salts",
        tuple(ids),
        solvent=solvent.id,
        volume_ml=volume,
        phase_kept="organic",
    )
    return [_Draft(6, step)]


def _pot_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[_Draft]:
    found = next(ke.facts_of(f.BringsTo), None)
    if found is None:
        return []
    known_id, fact = found
    rinses = next(ke.facts_of(f.RinsesFirst), None)
    if rinses is not None:
        return _rinsed_pot_steps(ke, job, solvent, fact, (known_id, rinses[0]))
    volume = trial.neutralising_ml(job.mixture)
    verb = "Acidify" if fact["ph"] < 7 else "Basify"
    step = PlanStep(
        0,
        "neutralise",
        f"Add {volume:g} mL of water, cool in ice, and bring the water to pH {fact['ph']:g} with {fact['reagent']} in small "
        f"portions (pH paper); shake, part the layers, extract the water once more with {organic_ml * AGAIN_SHARE:.0f} mL of "
        f"{solvent.name} and combine the organic layers",
        f"sets {job.mixture.product.name} free from its salt",
        (known_id,),
        solute={"A": "HCl", "B": "NaOH"}[verb[0]],
        volume_ml=volume,
        target_ph=fact["ph"],
        solvent=solvent.id,
        repeats=2,
        phase_kept="organic",
    )
    return [_Draft(10, step)]


def _rinsed_pot_steps(ke: Any, job: Job, solvent: Solvent, fact: Any, ids: tuple[int, ...]) -> list[_Draft]:
    product = job.mixture.product.name
    drafts = []
    for offset, step in enumerate(trial.pot_steps(job.mixture, solvent, fact["ph"], True)):
        common: dict[str, Any] = {"fact_ids": ids, "volume_ml": step.volume_ml or None, "repeats": step.repeats}
        if step.action == "take up":
            made = PlanStep(
                0,
                "take up",
                f"Add {step.volume_ml:g} mL of water, shake, and keep the aqueous layer",
                f"{product} is its salt and stays in the water",
                solution="water",
                phase_kept="aqueous",
                **common,
            )
        elif step.action == "rinse water":
            made = PlanStep(
                0,
                "rinse water",
                f"Shake the aqueous layer with {step.repeats} × {step.volume_ml:g} mL of {solvent.name}; keep the aqueous layer",
                "takes the neutral compounds away from the product",
                solvent=solvent.id,
                phase_kept="aqueous",
                **common,
            )
        elif step.action == "set ph":
            acid = fact["ph"] < 7
            made = PlanStep(
                0,
                "set ph",
                f"{'Acidify' if acid else 'Basify'} the aqueous layer to pH {fact['ph']:g} with {fact['reagent']}, in ice, in "
                "small portions; check with pH paper",
                f"sets {product} free from its salt",
                ids,
                solute="HCl" if acid else "NaOH",
                target_ph=fact["ph"],
                phase_kept="aqueous",
            )
        else:
            made = PlanStep(
                0,
                "extract",
                f"Extract with {step.repeats} × {step.volume_ml:g} mL of {solvent.name}; combine the organic layers",
                f"{product} goes back into the organic layer",
                solvent=solvent.id,
                phase_kept="organic",
                **common,
            )
        drafts.append(_Draft(10 + offset / 10, made))
    return drafts


def _wash_steps(ke: Any, job: Job, gone: Sequence[str], stripped: Sequence[str]) -> list[_Draft]:
    by_solution: dict[str, list[tuple[int, str]]] = {}
    for known_id, fact in ke.facts_of(f.Kept):
        by_solution.setdefault(fact["solution"], []).append((known_id, fact["component"]))
    drafts = []
    for solution, needs in by_solution.items():
        row = table(Solution)[solution]
        contacts = 1
        for _, component in needs:
            takes = ke.first(f.Takes, solution=solution, component=component) or ke.first(
                f.Thins, solution=solution, component=component
            )
            contacts = max(contacts, takes["contacts"] if takes else 1)
        repeats = max(contacts, LEAST_REPEATS.get(row.acts_as, 1))
        volume = trial.portion_ml(job.mixture, row, gone, stripped)
        first = any(ke.first(f.FirstOut, component=c) for _, c in needs)
        drafts.append(
            _Draft(
                FIRST_RANK if first else _wash_rank(ke, row),
                PlanStep(
                    0,
                    "wash",
                    _portions("Wash", repeats, volume, row),
                    _takes_text(ke, job, solution, [c for _, c in needs]),
                    tuple(i for i, _ in needs),
                    solution=solution,
                    solute=row.formula,
                    strength=row.strength,
                    volume_ml=volume,
                    repeats=repeats,
                    phase_kept="organic",
                    for_components=tuple(c for _, c in needs),
                ),
            )
        )
    return drafts


def _wash_rank(ke: Any, row: Solution) -> float:
    """Return the place of a wash: base before anything else where the product stands no acid."""
    limits = [fact["ph"] for _, fact in ke.facts_of(f.Stands, side="low")]
    if row.acts_as == "base" and limits and max(limits) >= ACID_LABILE_PH:
        return WASH_RANK["reductant"] - 1
    kinds = {fact["kind"] for _, fact in ke.facts_of(f.Behaviour, component="product")}
    if row.acts_as in ("neutral", "salt") and kinds & {"acid", "weak acid"}:
        return WASH_RANK["acid"] + 5  # plain water would carry the product away while base is still there
    return WASH_RANK[row.acts_as] + row.harshness / 100


def _takes_text(ke: Any, job: Job, solution: str, components: Sequence[str]) -> str:
    whole = [job.name(c) for c in components if ke.first(f.Takes, solution=solution, component=c)]
    part = [job.name(c) for c in components if job.name(c) not in whole]
    words = []
    if whole:
        words.append(f"takes out {listed(whole)}")
    if part:
        words.append(f"takes part of {listed(part)}")
    return "; ".join(words)


def _portions(verb: str, repeats: int, volume: float, row: Solution) -> str:
    amount = f"{volume:g} mL" if repeats == 1 else f"{repeats} × {volume:g} mL"
    return f"{verb} with {amount} of {label(row)}"


def _swap_steps(ke: Any, job: Job, solvent: Solvent) -> list[_Draft]:
    found = next(ke.facts_of(f.Swap), None)
    if found is None:
        return []
    known_id, fact = found
    row = table(Solution)[fact["solution"]]
    product = job.mixture.product.name
    back = fact["back_ph"]
    acid_back = row.acts_as == "base"
    made = []
    for offset, step in enumerate(trial.swap_steps(job.mixture, solvent, row, back)):
        common: dict[str, Any] = {"fact_ids": (known_id,), "volume_ml": step.volume_ml or None, "repeats": step.repeats}
        if step.action == "take up":
            plan_step = PlanStep(
                0,
                "take up",
                _portions("Extract the product into", step.repeats, step.volume_ml, row).replace("into with", "into")
                + "; keep the aqueous layers together",
                f"{product} goes into the water as its salt",
                solution=row.id,
                solute=row.formula,
                strength=row.strength,
                phase_kept="aqueous",
                **common,
            )
        elif step.action == "rinse water":
            plan_step = PlanStep(
                0,
                "rinse water",
                f"Shake the aqueous layers with {step.repeats} × {step.volume_ml:g} mL of {solvent.name}; keep the aqueous layer",
                "takes back what neutral compounds went along",
                solvent=solvent.id,
                phase_kept="aqueous",
                **common,
            )
        elif step.action == "set ph":
            plan_step = PlanStep(
                0,
                "set ph",
                f"{'Acidify' if acid_back else 'Basify'} the aqueous layer to pH {back:g} with "
                f"6 M {'hydrochloric acid' if acid_back else 'sodium hydroxide'}, in ice, in small portions; check with pH "
                "paper",
                f"{product} is neutral again there",
                (known_id,),
                solute="HCl" if acid_back else "NaOH",
                strength="6 M",
                target_ph=back,
                phase_kept="aqueous",
            )
        else:
            plan_step = PlanStep(
                0,
                "extract",
                f"Extract with {step.repeats} × {step.volume_ml:g} mL of {solvent.name}; combine the organic layers",
                f"{product} goes back into the organic layer",
                solvent=solvent.id,
                phase_kept="organic",
                **common,
            )
        made.append(_Draft(60 + offset, plan_step))
    return made


def _added_steps(ke: Any, job: Job, solvent: Solvent, organic_ml: float) -> list[_Draft]:
    drafts = []
    volume = trial.wash_volume_ml(organic_ml)
    last_swap = 64.0
    added: dict[str, list[tuple[int, Any]]] = {}
    for known_id, fact in ke.facts_of(f.Adds):
        added.setdefault(fact["subject"], []).append((known_id, fact))
    for subject, items in added.items():
        row = table(Solution)[subject]
        text = ke.known[items[0][0]].reasons[0].text
        drafts.append(
            _Draft(
                max(items[0][1]["rank"], last_swap),
                PlanStep(
                    0,
                    "wash",
                    _portions("Wash", 1, volume, row),
                    "takes most of the dissolved water" if subject == "brine" else text,
                    tuple(i for i, _ in items),
                    solution=subject,
                    solute=row.formula,
                    strength=row.strength,
                    volume_ml=volume,
                    phase_kept="organic",
                ),
            )
        )
    dries_id, dries = next(ke.facts_of(f.Dries))
    desiccant = table(Desiccant)[dries["desiccant"]]
    grams = desiccant_mass_g(solvent, organic_ml, desiccant, any(s == "brine" for s in added))
    reason = ke.known[dries_id].reasons[0].text
    if desiccant.id == "toluene_azeotrope":
        drafts.append(
            _Draft(
                90,
                PlanStep(
                    0,
                    "dry",
                    "Strip with two portions of toluene to carry the water off",
                    reason,
                    (dries_id,),
                    desiccant=desiccant.id,
                    phase_kept="organic",
                ),
            )
        )
    else:
        drafts.append(
            _Draft(
                90,
                PlanStep(
                    0,
                    "dry",
                    f"Dry over about {grams:g} g of {desiccant.name} for {desiccant.wait_min:g} min; add more until fresh "
                    "powder moves freely",
                    reason,
                    (dries_id,),
                    desiccant=desiccant.id,
                    desiccant_g=grams,
                    phase_kept="organic",
                ),
            )
        )
        rinse = round_volume(organic_ml * 0.1)
        drafts.append(
            _Draft(
                91,
                PlanStep(
                    0,
                    "filter off desiccant",
                    f"Filter, and rinse the solid with 3 × {rinse:g} mL of clean dry {solvent.name}",
                    "the solid holds product solution back",
                    (dries_id,),
                    solvent=solvent.id,
                    volume_ml=rinse,
                    repeats=3,
                    phase_kept="organic",
                ),
            )
        )
    leaves = [(i, fact["component"]) for i, fact in ke.facts_of(f.Leaves, way="evaporation")]
    extraction_id = next(ke.facts_of(f.Extraction))[0]
    drafts.append(
        _Draft(
            95,
            PlanStep(
                0,
                "concentrate",
                f"Strip off {solvent.name} on the rotary evaporator into a tared flask and weigh",
                "leaves the crude product",
                (extraction_id, *(i for i, _ in leaves)),
                for_components=tuple(c for _, c in leaves),
            ),
        )
    )
    return drafts


def desiccant_mass_g(solvent: Solvent, organic_ml: float, desiccant: Desiccant, brine: bool) -> float:
    """Return grams of drying agent for the water that the layer holds and drops; brine leaves about a third of it.

    The working capacity in the table is a quarter or less of what the hydrate could hold: that is the margin.
    """
    water_g = organic_ml * solvent.density_g_ml * (solvent.water_held_wt_pct or 0.05) / 100 * (0.35 if brine else 1.0)
    # Clinging drops are what the agent mostly meets: four tenths of a gram in a hundred millilitres.
    water_g += 0.004 * organic_ml
    return max(0.5, round(2 * water_g / max(desiccant.capacity_g_per_g, 0.05)) / 2)


def _bench_to_ledger(step: PlanStep, ke: Any, job: Job) -> Step:
    removes: tuple[str, ...] = ()
    if step.action in ("quench", "filter", "evaporate", "concentrate"):
        removes = step.for_components
    elif step.action == "wash":
        removes = tuple(c for c in step.for_components if _bound(ke, c, step.solution))
    return Step(
        step.action,
        step.solution if step.action in ("wash", "take up") else "",
        step.solvent,
        step.volume_ml or 0.0,
        step.repeats,
        step.target_ph,
        removes,
    )


def _bound(ke: Any, component: str, solution: str) -> bool:
    """Tell whether a solution reacts with a component rather than dissolving it."""
    return bool(
        solution
        and table(Solution)[solution].acts_as in CHEMICAL
        and ke.first(f.Leftover, component=component, action="wash", solution=solution)
    )


def _foresee(ke: Any, job: Job, book: Ledger) -> None:
    worst: dict[int, Any] = {}
    for contact in book.contacts:
        if contact.portion == 1:
            worst[contact.step] = contact
    for number, contact in worst.items():
        ph = band(contact.ph)
        ke.observe(
            f.Layers(
                step=number,
                organic_density=round(contact.organic_density, 3),
                aqueous_density=round(contact.aqueous_density, 3),
                ph=round(ph[1], 2),
                co2_ml=round(contact.co2_ml, 1),
                heat_kj=round(contact.heat_kj, 2),
                volume_ml=_short(_funnel_holds(book, number)),
            ),
            f"computed: step {number}, first contact: organic {contact.organic_density:.2f} g/mL, aqueous "
            f"{contact.aqueous_density:.2f} g/mL, spent at pH {ph[1]:.1f}, {contact.co2_ml:.0f} mL of carbon dioxide, "
            f"{contact.heat_kj:.1f} kJ",
            ("from_memory",),
        )
    for number, gas in book.gas_ml.items():
        ke.observe(
            f.Fizz(step=number, co2_ml=round(gas, 1)),
            f"computed: acidifying in step {number} sets {gas:.0f} mL of carbon dioxide free",
            ("crc",),
        )
    for number, component_id, part in _cosolvents(book):
        product = max(
            (float(book.fraction("product", c.aqueous_mmol)[0]) for c in book.contacts if c.step == number), default=0.0
        )
        ke.observe(
            f.Cosolvent(step=number, component=component_id, share=_short(part), product=_short(product)),
            f"computed: {share(part)} of the water layer of step {number} is {job.name(component_id)}; it holds "
            f"{share(product)} of {job.mixture.product.name}",
            ("yalkowsky",),
        )
    for component in job.mixture.components:
        low, mid, high = band(book.left(component.id))
        ke.observe(
            f.Outcome(
                component=component.id,
                low=_short(low),
                mid=_short(mid),
                high=_short(high),
                enough=mid <= job.mixture.target,
            ),
            f"computed: after all steps {share(mid)} of {component.name} is with the product (90 % band {share(low)} to "
            f"{share(high)})",
        )


def _cosolvents(book: Ledger) -> list[tuple[int, str, float]]:
    """Return (step, component, largest share) of the miscible solvents in water layers."""
    worst: dict[tuple[int, str], float] = {}
    for number, component_id, part in book.cosolvent:
        worst[number, component_id] = max(part, worst.get((number, component_id), 0.0))
    return [(number, component_id, part) for (number, component_id), part in worst.items()]


def _funnel_holds(book: Ledger, number: int) -> float:
    """Return the largest volume of both layers together in a step, mL."""
    return max((c.organic_ml + c.aqueous_ml for c in book.contacts if c.step == number), default=0.0)


def funnel_for(volume_ml: float) -> int | None:
    """Return the smallest separating funnel (mL) that a volume fills to three quarters at most, or ``None``."""
    return next((size for size in FUNNELS_ML if volume_ml <= FULLEST * size), None)


def _finish(
    ke: Any,
    job: Job,
    solvent: Solvent,
    steps: Sequence[PlanStep],
    book: Ledger,
    fragile: tuple[fragility.Fragile, ...],
    windows: tuple[window.Window, ...],
) -> Plan:
    finished = []
    for step in steps:
        contact = next((c for c in book.contacts if c.step == step.number), None)
        if contact is not None:
            heavier_water = contact.aqueous_density >= contact.organic_density
            keeps_organic = step.phase_kept == "organic"
            layer = "top" if keeps_organic == heavier_water else "bottom"
            sure = abs(contact.aqueous_density - contact.organic_density) >= SURE_DENSITY_G_ML
            where = layer if sure else f"probably the {layer} one"
            kept = "" if step.action in ("extract",) else f"; keep the {step.phase_kept} layer ({where})"
            instruction = step.instruction
            if step.action == "wash":
                instruction += kept
            step = replace(
                step,
                instruction=instruction,
                layer_kept=layer,
                layer_sure=sure,
                funnel_ml=funnel_for(_funnel_holds(book, step.number)),
                spent_ph=round(float(contact.ph[0]), 1),
                organic_density_g_ml=round(contact.organic_density, 2),
                aqueous_density_g_ml=round(contact.aqueous_density, 2),
            )
        if step.action == "concentrate":
            step = replace(step, reason=_last_reason(step, job, book))
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
    )


def _last_reason(step: PlanStep, job: Job, book: Ledger) -> str:
    """Say what leaves with the solvent: of the volatile components those that are still there."""
    before = book.after[step.number - 2] if step.number > 1 else None
    there = [
        job.name(c)
        for c in step.for_components
        if before is None or float(book.fraction(c, before)[0]) > job.mixture.target
    ]
    verb = "leaves" if len(there) == 1 else "leave"
    return "leaves the crude product" + (f"; {listed(there)} {verb} with the solvent" if there else "")


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
    if best_step.action in ("take up", "rinse water"):
        if not any(s.component == component.id for s in book.sheet.species):
            return "stays in the water"
        return f"organic layer of step {best_step.number}, set aside"
    if component.id in best_step.for_components and _bound(ke, component.id, best_step.solution):
        return f"destroyed or bound in step {best_step.number}"
    return f"aqueous layer of step {best_step.number}"
