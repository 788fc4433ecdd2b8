"""The plan for a mixture with several products: the layers shared out, each branch worked up, one account of all."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from washlore.knowledge.arrays import at_best
from washlore.knowledge.records import replace
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import fragility, scheme, trial, window
from washlore.rules.arrange import ledger_step, prepare_steps
from washlore.rules.engine import Known, Reason
from washlore.rules.ledger import DRAWS, Ledger, Step
from washlore.rules.mixture import Mixture
from washlore.rules.opening import pot_steps
from washlore.rules.perceive import Job
from washlore.rules.plan import (
    Branch,
    Caution,
    Crude,
    Leftover,
    Plan,
    begin,
    crude_of,
    plan_one,
    taken_out,
    to_vent,
    vented,
    with_layers,
)
from washlore.rules.reckon import PlanRefused, observe_layers, stripped_components
from washlore.rules.species import Array, sheet
from washlore.rules.steps import AQUEOUS_WASTE, CRUDE, MIXTURE, ORGANIC, PlanStep, in_streams
from washlore.rules.words import listed, share, spread

# The facts of a branch are numbered from here on, each branch a step further.
FACTS_APART = 1_000_000
# More than this of a product in water that is parted is brought back into the organic layer first; less than this brought
# there is no way.
MOST_PARTED, LEAST_BROUGHT = 0.05, 0.8
NEUTRAL_PH = 7.0


def make_scheme(mixture: Mixture, draws: int = DRAWS) -> Plan:
    """Return the scheme that parts the products of a mixture and works each of them up.

    Raises ``PlanRefused`` where water is not for one of them.
    """
    ke, job, solvent = begin(mixture, place=1)
    gone, stripped = taken_out(ke), stripped_components(ke, job)
    account = scheme.Account(job.mixture, sheet(job.mixture, draws))
    prepared, parted = _prepared(ke, job, solvent, gone, stripped, account)
    first = next((s for s in prepared if s.action in ("part", "neutralise")), None)
    shares = scheme.look(job, solvent, gone, stripped, first)
    peels = scheme.share_out(job, shares, parted)
    drawn = {c for peel in peels for c in peel.drawn}
    staying = tuple(c.id for c in job.mixture.wanted if c.id not in drawn)
    _observe_sharing(ke, job, shares, peels, staying)
    ke.begin("part")
    trunk = _trunk(ke, job, solvent, prepared, peels, account)
    streams = [(peel.flask, peel.drawn, peel) for peel in peels] + [(ORGANIC, staying, None)]
    steps, branches, crudes = list(trunk), [], []
    for flask, wanted, peel in streams:
        made, branch, crude = _branch(ke, job, solvent, flask, wanted, peel, account, len(steps) + 1, draws)
        steps += made
        branches += [branch] if branch is not None else []
        crudes.append(crude)
    book = scheme.combined(account.books, account.numbers)
    observe_layers(ke, job, book, steps)
    ke.begin("foresee")
    ke.begin("warn")
    return _whole(ke, job, solvent, [with_layers(s, book) for s in steps], branches, crudes, book)


def _observe_sharing(
    ke: Any, job: Job, shares: scheme.Shares, peels: Sequence[scheme.Peel], staying: Sequence[str]
) -> None:
    """Declare what the drawings would do, what stays, and which wanted compounds nothing parts."""
    for peel in peels:
        row = table(Solution)[peel.solution]
        how = row.name if peel.ph is None else f"water held at pH {peel.ph:.1f}"
        draws = f"{how} draws {share(peel.least)} of {{}} into the water"
        if peel.way == scheme.PARTED:
            draws = f"the water of the reaction holds {share(peel.least)} of {{}}"
        for component in peel.drawn:
            ke.observe(
                f.Draw(
                    component=component,
                    flask=peel.flask,
                    solution=peel.solution,
                    ph=peel.ph if peel.ph is not None else row.ph,
                    way=peel.way,
                    least=float(f"{peel.least:.4g}"),
                    most=float(f"{peel.most:.4g}"),
                ),
                f"computed: {draws.format(job.name(component))}, and at most {share(peel.most)} of the other products that are "
                "still there",
                (row.source,),
            )
    for component in staying:
        ke.observe(
            f.Remains(component=component, flask=ORGANIC),
            f"{job.name(component)} is left in the organic layer at the end",
        )
    for group in [peel.drawn for peel in peels] + [tuple(staying)]:
        for n, one in enumerate(group):
            for two in group[n + 1 :]:
                best = scheme.best_parting(one, two, shares)
                ke.observe(
                    f.Alike(component=one, other=two, best=float(f"{best:.3g}")),
                    f"computed: at the best pH {share(best)} of {job.name(one)} and {job.name(two)} is drawn apart",
                )


def _ids(ke: Any, flask: str, wanted: Sequence[str]) -> tuple[int, ...]:
    return tuple(i for c in wanted for i, _ in ke.facts_of(f.SetAside, component=c, flask=flask))


def _trunk(
    ke: Any,
    job: Job,
    solvent: Solvent,
    prepared: Sequence[PlanStep],
    peels: Sequence[scheme.Peel],
    account: scheme.Account,
) -> list[PlanStep]:
    """Draw each kind out of the organic layer of the prepared flask; return the numbered steps."""
    organic_ml = trial.organic_volume_ml(job.mixture)
    made: list[PlanStep] = []
    for peel in peels:
        if peel.way == scheme.PARTED:
            prepared = [
                scheme.parted_into(s, job, peel, _ids(ke, peel.flask, peel.drawn)) if s.action == "part" else s
                for s in prepared
            ]
            continue
        made += scheme.peel_steps(job, solvent, peel, _ids(ke, peel.flask, peel.drawn), organic_ml)
    made = [replace(s, number=n) for n, s in enumerate(made, start=len(prepared) + 1)]
    account.run(made, [ledger_step(s, ke, job) for s in made])
    return [*prepared, *made]


def _prepared(
    ke: Any,
    job: Job,
    solvent: Solvent,
    gone: Collection[str],
    stripped: Collection[str],
    account: scheme.Account,
) -> tuple[list[PlanStep], scheme.Peel | None]:
    """Carry out what comes before sharing out; return its steps, and the drawing that parting the reaction's water is.

    A product that stands in that water as its salt, alone, is drawn already; several are brought into the organic layer.
    """
    prepared = list(prepare_steps(ke, job, solvent))
    account.prepare([ledger_step(s, ke, job) for s in prepared])
    parted = next((s.number for s in prepared if s.action == "part"), None)
    if parted is None:
        return prepared, None
    held = account.in_water(parted)
    lost = [c.id for c in job.mixture.wanted if held[c.id] > MOST_PARTED]
    if not lost:
        return prepared, None
    if peel := scheme.parted_alone(job, held, account.ph(parted)):
        account.take_water(parted, peel.flask)
        return prepared, peel
    held_at = window.held_shares(job.mixture, solvent, gone, stripped)
    brought = _brought_into_layer(ke, job, solvent, held_at, lost)
    prepared = [replace(brought, number=s.number) if s.action == "part" else s for s in prepared]
    account.begin_anew([ledger_step(s, ke, job) for s in prepared])
    return prepared, None


def _brought_into_layer(
    ke: Any, job: Job, solvent: Solvent, held_at: Mapping[str, Array], lost: Sequence[str]
) -> PlanStep:
    """Return the step that brings the water of the reaction to a pH at which every wanted compound is in the organic layer.

    Raises ``PlanRefused`` where there is none.
    """
    names = listed([job.name(c) for c in lost])
    ph, held = scheme.joint_ph(job, held_at)
    if held < LEAST_BROUGHT:
        raise PlanRefused(
            f"The water of the reaction holds {names} as {'its salt' if len(lost) == 1 else 'salts'}, and at no pH are all "
            "products in the organic layer. Part the layers, keep both, and plan each as a flask of its own with the "
            "reaction's water and salts in it."
        )
    reagent = f"6 M {'hydrochloric acid' if ph < NEUTRAL_PH else 'sodium hydroxide'}"
    ke.observe(
        f.BringsTo(ph=ph, reagent=reagent),
        f"computed: the water of the reaction holds {names} as its salt; at pH {ph:g} at least {share(held)} of each product "
        "is in the organic layer",
    )
    (step,) = (draft.step for draft in pot_steps(ke, job, solvent, trial.organic_volume_ml(job.mixture), names))
    return replace(step, stream=MIXTURE, organic_to=ORGANIC, aqueous_to=AQUEOUS_WASTE)


def _branch(
    ke: Any,
    job: Job,
    solvent: Solvent,
    flask: str,
    wanted: Sequence[str],
    peel: scheme.Peel | None,
    account: scheme.Account,
    first: int,
    draws: int,
) -> tuple[list[PlanStep], Branch | None, Crude]:
    """Work one stream up: bring the compound back from the water, then wash, dry and strip as a plan of its own."""
    made: list[PlanStep] = []
    stream = flask
    ids = _ids(ke, flask, wanted)
    if peel is not None:
        sites = [s for item in account.numbers.species if item.component == wanted[0] for s in item.sites]
        made = scheme.carry_steps(job, solvent, peel, sites, ids, trial.organic_volume_ml(job.mixture))
        made = [replace(s, number=n) for n, s in enumerate(made, start=first)]
        account.run(made, [ledger_step(s, ke, job) for s in made])
        if peel.way == "water":
            return made, None, crude_of(flask, wanted, account.shares(flask), account.mass_mg(flask), False)
        stream = scheme.extract_of(flask)
    volume = at_best(account.layers[stream].volume_ml)
    held = account.shares(stream)
    title = f"{flask}: {listed([job.name(c) for c in wanted])}"
    mixture, names = scheme.branch_mixture(
        job.mixture, wanted, held, solvent, round(volume, 1), title, freed=peel is not None
    )
    plan = plan_one(mixture, min(draws, 2), first + len(made), swaps=False)
    labels = {MIXTURE: stream, ORGANIC: stream, CRUDE: crude_name(flask).removeprefix("the ")}
    own = [in_streams(s, labels) for s in plan.steps]
    account.run(own, [_mapped(s, names) for s in plan.ledger.steps])
    crude = crude_of(flask, wanted, account.shares(stream), account.mass_mg(stream))
    return made + own, Branch(flask, plan, names), crude


def _mapped(step: Step, names: Mapping[str, str]) -> Step:
    return replace(step, removes=tuple(names.get(c, c) for c in step.removes))


def _whole(
    ke: Any,
    job: Job,
    solvent: Solvent,
    steps: Sequence[PlanStep],
    branches: Sequence[Branch],
    crudes: Sequence[Crude],
    book: Ledger,
) -> Plan:
    """Put trunk and branches together: facts of a branch are numbered apart, its components carry the scheme's ids."""
    everything = dict(ke.known)
    finished = list(steps)
    cautions = [Caution(x["id"], x["subject"], ke.known[i].reasons[0].text, i) for i, x in ke.facts_of(f.Cautions)]
    told = {(c.id, c.text) for c in cautions}
    layers = {c.id for c in cautions}
    not_removed: list[Leftover] = []
    fragile: list[fragility.Fragile] = []
    ends = {crude.label: crude for crude in crudes}
    for place, branch in enumerate(branches, start=1):
        apart = FACTS_APART * place
        everything |= {i + apart: _shifted(known, apart) for i, known in branch.plan.known.items()}
        numbers = {s.number for s in branch.plan.steps}
        finished = [
            replace(
                s, fact_ids=tuple(i + apart for i in s.fact_ids), for_components=_named(s.for_components, branch.names)
            )
            if s.number in numbers
            else s
            for s in finished
        ]
        crude = ends[branch.label]
        for caution in branch.plan.cautions:
            # What the trunk says of every step (gas, densities, heat) is not said again for a branch.
            if (caution.id, caution.text) in told or caution.id == "fragile" or _of_layers(caution, layers):
                continue
            told.add((caution.id, caution.text))
            subject = branch.names.get(caution.subject, caution.subject)
            cautions.append(replace(caution, subject=subject, fact_id=caution.fact_id + apart))
        for item in branch.plan.not_removed:
            component = branch.names[item.component]
            low, mid, high = crude.others[component]
            if mid > job.mixture.target:
                text = (
                    f"{share(mid)} of {job.name(component)}{spread(low, mid, high)} is in {crude_name(branch.label)} "
                    f"({listed([job.name(c) for c in crude.wanted])}); instead: {item.instead}"
                )
                not_removed.append(Leftover(component, text, item.instead, item.fact_id + apart))
    not_removed += _strays(ke, job, crudes, finished)
    for i, fact in ke.facts_of(f.Together):
        text = f"{ke.known[i].reasons[0].text}; instead: {fact['instead']}"
        not_removed.append(Leftover(fact["component"], text, fact["instead"], i))
    gassy = to_vent(cautions, book, finished)
    finished = [vented(s) if s.number in gassy and not s.vents else s for s in finished]
    left, fate = _ends(job, crudes, book, finished)
    return Plan(
        job.mixture,
        tuple(finished),
        left,
        fate,
        {c.id: tuple(x["kind"] for _, x in ke.facts_of(f.Behaviour, component=c.id)) for c in job.mixture.components},
        {c.id: tuple(x["group"] for _, x in ke.facts_of(f.Contains, component=c.id)) for c in job.mixture.components},
        tuple(cautions),
        tuple(not_removed),
        tuple(fragile),
        (),
        job.mixture.assumptions,
        solvent.id,
        trial.organic_volume_ml(job.mixture),
        ke.known,
        (*ke.fired, *(rule for branch in branches for rule in branch.plan.fired)),
        book,
        tuple(crudes),
        tuple(branches),
        everything,
    )


def _strays(ke: Any, job: Job, crudes: Sequence[Crude], steps: Sequence[PlanStep]) -> list[Leftover]:
    """Return what of a product ends in the crude of another one, and what would bring it home."""
    found = []
    for crude in crudes:
        for component in (c.id for c in job.mixture.wanted if c.id not in crude.wanted):
            low, mid, high = crude.others[component]
            if mid <= job.mixture.target:
                continue
            step = next((s for s in steps if s.action == "take up" and component in s.for_components), None)
            stays = step is not None and crude.label == ORGANIC
            instead = (
                f"one more portion in step {step.number}"
                if step is not None and stays
                else "rinse the flask once more with solvent"
            )
            if any(s.target_ph is not None and s.action == "take up" for s in steps):
                instead = "share this crude out once more, crystallise it as a salt, or chromatograph"
            fact_id = next(i for i, _ in ke.facts_of(f.SetAside, component=component))
            text = (
                f"{share(mid)} of {job.name(component)}{spread(low, mid, high)} goes astray into {crude_name(crude.label)} "
                f"({listed([job.name(c) for c in crude.wanted])}); instead: {instead}"
            )
            found.append(Leftover(component, text, instead, fact_id))
    return found


def crude_name(label: str) -> str:
    """Return how the crude of a stream is called."""
    return f"the crude of {'the ' if label == ORGANIC else ''}{label}"


def _of_layers(caution: Caution, told: set[str]) -> bool:
    return caution.id in told and (caution.subject.startswith("step") or not caution.subject)


def _shifted(known: Known, apart: int) -> Known:
    return Known(
        known.fact, [Reason(r.rule, r.text, tuple(i + apart for i in r.facts), r.sources) for r in known.reasons]
    )


def _named(components: Sequence[str], names: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(names.get(c, c) for c in components)


def _ends(
    job: Job, crudes: Sequence[Crude], book: Ledger, steps: Sequence[PlanStep]
) -> tuple[dict[str, tuple[float, float, float]], dict[str, str]]:
    """Return, for each component, the share that ends in a crude, and in words where it goes.

    For a product that is its own crude, for anything else the crude that holds most of it.
    """
    left: dict[str, tuple[float, float, float]] = {}
    fate: dict[str, str] = {}
    for component in job.mixture.components:
        own = next((c for c in crudes if component.id in c.wanted), None)
        if own is not None:
            left[component.id] = own.recovered[component.id]
            fate[component.id] = f"{crude_name(own.label)}, in a tared flask"
            continue
        worst = max(crudes, key=lambda c: c.others.get(component.id, (0.0, 0.0, 0.0))[1])
        left[component.id] = worst.others.get(component.id, (0.0, 0.0, 0.0))
        if left[component.id][1] > 0.5:
            fate[component.id] = crude_name(worst.label)
        else:
            fate[component.id] = _where(component.id, book, steps, worst)
    return left, fate


def _where(component: str, book: Ledger, steps: Sequence[PlanStep], worst: Crude) -> str:
    """Say in which water layer most of a component is, or how else it leaves."""
    for step in steps:
        if component in step.for_components and step.action in ("quench", "filter", "evaporate", "concentrate"):
            verb = {"quench": "destroyed", "filter": "filtered off"}.get(step.action, "evaporates")
            return f"{verb} in step {step.number}"
    best, where = 0.0, None
    for number, kind, layer in book.set_aside:
        made = next((s for s in steps if s.number == number), None)
        if kind != "aqueous" or made is None or made.aqueous_to != "aqueous waste":
            continue
        held = float(book.fraction(component, layer.mmol)[0])
        if held > best:
            best, where = held, number
    return f"aqueous layer of step {where}" if where is not None else f"shared out; most in {crude_name(worst.label)}"
