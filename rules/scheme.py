"""A mixture with several compounds to keep: which is drawn into which water layer, and how each comes back.

The organic layer is shared out first: each solution draws one kind (bases, strong acids, weak acids) into a flask of
its own; what does not ionise stays. Each flask is then worked up as a plan of its own, whose product is the compound in
it. One ledger follows all components with the same draws through every branch.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from rdkit import Chem

from washlore.knowledge import groups as group_tables
from washlore.knowledge.acidity import neutral_form
from washlore.knowledge.arrays import at_best, np
from washlore.knowledge.records import dataclass, replace
from washlore.knowledge.rows import Group, Solution, Solvent, table
from washlore.knowledge.structure import molecules
from washlore.rules import trial, window
from washlore.rules.contact import Phase
from washlore.rules.ledger import Ledger, Step, pool, run_ledger
from washlore.rules.mixture import Component, Mixture
from washlore.rules.perceive import Job, bottles
from washlore.rules.reckon import LEAST_HELD
from washlore.rules.species import Array, Sheet, sheet
from washlore.rules.steps import (
    AQUEOUS_WASTE,
    ORGANIC,
    SOLID,
    PlanStep,
)
from washlore.rules.words import label, listed, round_volume, share

# A solution that draws less than this of what it should, or leaves less than this of the rest, parts nothing well.
SHARP = 0.9
# A pH held by hand is worth its trouble from this share on.
WORTH_HOLDING = 0.75
# What the water may hold of a compound that an organic solvent is to bring back.
DRAWN = 0.5
EDGE_PH = 0.3
AS_GOOD = 0.003
# The drawing that parting the reaction's own water is, and what that water is like.
PARTED, STANDS_IN_BASE, STANDS_IN_ACID = "parted", "naoh_1m", "hcl_1m"
PORTIONS, MOST_PORTIONS = 3, 5
LEFT_BEHIND = 0.02
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
# A component that a stream holds less of than this share of the target is not thought of there.
TRACE_OF_TARGET = 0.5
BACK_MARGIN_PH = 2.2


@dataclass(frozen=True)
class Peel:
    """One drawing: ``drawn`` components go with ``solution`` into ``flask``; ``ph`` is held where it is given."""

    flask: str
    solution: str
    drawn: tuple[str, ...]
    way: str
    ph: float | None
    least: float
    most: float
    portions: int = 3


@dataclass(frozen=True)
class Limits:
    """The pH that a wanted component stands, and the group that says so."""

    low: float
    high: float
    low_group: str
    high_group: str

    def stands(self, ph: float) -> bool:
        """Tell whether a solution of this pH leaves the component whole."""
        return self.low - EDGE_PH <= ph <= self.high + EDGE_PH


def limits_of(component: Component) -> Limits:
    """Return the pH range that a component stands, from its groups."""
    low, high, low_group, high_group = -1.0, 15.0, "", ""
    for part in component.parts:
        for match in group_tables.molecule_groups(part):
            group: Group = match.group
            if group.lowest_ph is not None and group.lowest_ph > low:
                low, low_group = group.lowest_ph, group.name
            if group.highest_ph is not None and group.highest_ph < high:
                high, high_group = group.highest_ph, group.name
    return Limits(low, high, low_group, high_group)


@dataclass(frozen=True)
class Shares:
    """What each bottle and each held pH would draw, by component id."""

    trials: tuple[trial.Trial, ...]
    held: Mapping[str, Array]
    water_bound: frozenset[str]
    sites: Mapping[str, tuple[Any, ...]]


def look(
    job: Job, solvent: Solvent, gone: Collection[str], stripped: Collection[str], first: PlanStep | None = None
) -> Shares:
    """Compute what bottles and held pH values would draw from the flask, whose own water the step ``first`` has parted."""
    rows = [row for row in bottles(job) if row.general and row.acts_as in ("acid", "base", "buffer", "neutral")]
    parted = None
    if first is not None and first.action == "part":
        parted = (table(Solution)[first.solution or "water"], first.volume_ml or 0.0)
    trials, _ = trial.uptakes(
        job, solvent, gone, stripped, rows, pot_ph=first.target_ph if first is not None else None, parted=parted
    )
    held = window.held_shares(job.mixture, solvent, gone, stripped)
    wanted = [c.id for c in job.mixture.wanted]
    bound = frozenset(w for w in wanted if w in held and float(held[w][0].max()) < LEAST_HELD)
    species = sheet(job.mixture, 1).species
    sites = {w: tuple(s for item in species if item.component == w for s in item.sites) for w in wanted}
    return Shares(tuple(trials), held, bound, sites)


def _goes_as_ion(sites: Sequence[Any], row: Solution) -> bool:
    """Tell whether a solution makes a salt of a compound by itself, and not only by what else is in the flask."""
    if row.acts_as != "acid" and any(s.kind == "acid" and s.pka < row.ph + 1 for s in sites):
        return True
    return row.acts_as != "base" and any(s.kind == "base" and s.pka > row.ph - 1 for s in sites)


def _price(row: Solution) -> float:
    from washlore.rules.families.choice import ORDINARY, UNUSUAL

    return row.harshness + (0.0 if "customary" in row.note else UNUSUAL) + ORDINARY.get(row.id, 0.0)


def parted_alone(job: Job, held: Mapping[str, float], ph: float) -> Peel | None:
    """Return the drawing that parting the reaction's water is, if it holds one wanted compound whole and hardly any other.

    ``held`` is the share of each wanted compound in that water, which stands at ``ph``.
    """
    drawn = tuple(c.id for c in job.mixture.wanted if held[c.id] >= SHARP)
    most = max((held[c.id] for c in job.mixture.wanted if c.id not in drawn), default=1.0)
    if len(drawn) != 1 or most > 1.0 - SHARP:
        return None
    solution = STANDS_IN_BASE if ph > 7.0 else STANDS_IN_ACID
    return Peel(f"flask {LETTERS[0]}", solution, drawn, PARTED, None, held[drawn[0]], most, 1)


def parted_into(step: PlanStep, job: Job, peel: Peel, fact_ids: tuple[int, ...]) -> PlanStep:
    """Return the step that parts the reaction's water, told as what fills the flask of a drawing."""
    names = listed([job.name(c) for c in peel.drawn])
    return replace(
        step,
        instruction=step.instruction.replace(
            "Part the layers", f"Part the layers, keep the aqueous one as {peel.flask}", 1
        ),
        reason=f"{names} stands in it as its salt",
        fact_ids=fact_ids,
        for_components=peel.drawn,
        stream=ORGANIC,
        organic_to=ORGANIC,
        aqueous_to=peel.flask,
    )


def share_out(job: Job, shares: Shares, parted: Peel | None = None) -> list[Peel]:
    """Return the drawings in order; what is not drawn stays in the organic layer.

    The first of them is ``parted`` where the reaction's own water is one. Each round takes the drawing that parts the
    fewest from the rest, by a bottle if one does it sharply: bases before acids, the milder before the harsher. Where no
    bottle does, a pH held by hand between two of a kind may.
    """
    limits = {c.id: limits_of(c) for c in job.mixture.wanted}
    peels = [parted] if parted else []
    staying = [c.id for c in job.mixture.wanted if not parted or c.id not in parted.drawn]
    while len(staying) > 1:
        found = _next_peel(staying, shares, limits, LETTERS[len(peels)])
        if found is None:
            break
        peels.append(found)
        staying = [w for w in staying if w not in found.drawn]
    return peels


def _next_peel(staying: Sequence[str], shares: Shares, limits: Mapping[str, Limits], letter: str) -> Peel | None:
    found = []
    for result in shares.trials:
        row = table(Solution)[result.solution]
        drawn = tuple(w for w in staying if 1.0 - result.left[w][-1] > DRAWN)
        rest = [w for w in staying if w not in drawn]
        if not drawn or not rest or not all(limits[w].stands(row.ph) for w in staying):
            continue
        bound = set(drawn) <= shares.water_bound
        if not bound and not all(_goes_as_ion(shares.sites[w], row) for w in drawn):
            continue
        if row.acts_as == "neutral" and not bound:
            continue
        least, most = min(1.0 - result.left[w][-1] for w in drawn), max(1.0 - result.left[w][-1] for w in rest)
        if min(least, 1.0 - most) < SHARP:
            continue
        place = 0 if bound and row.acts_as == "neutral" else 1 if row.acts_as == "acid" else 2
        key = (not bound, len(drawn), place, _price(row))
        portions = max(_portions(result.left[w]) for w in drawn)
        way = "water" if bound else "solution"
        found.append((key, Peel(f"flask {letter}", row.id, drawn, way, None, least, most, portions)))
    best = min(found, key=lambda item: item[0])[1] if found else None
    if best is not None and len(best.drawn) == 1:
        return best
    held = _held_peel(staying, shares, limits, letter)
    if held is not None and (best is None or len(held.drawn) < len(best.drawn)):
        return held
    return best


def _portions(left: Sequence[float]) -> int:
    """Return how many portions leave no more than a fiftieth behind, three to five, from what three leave."""
    ratio = left[-1] / max(left[-2], 1e-12)
    return next(
        (n for n in range(PORTIONS, MOST_PORTIONS) if left[-1] * ratio ** (n - PORTIONS) <= LEFT_BEHIND), MOST_PORTIONS
    )


def _held_peel(staying: Sequence[str], shares: Shares, limits: Mapping[str, Limits], letter: str) -> Peel | None:
    """Return the drawing by a pH held by hand that parts best, if it parts well enough."""
    if not all(w in shares.held for w in staying):
        return None
    best: tuple[float, int, int] | None = None
    drawn_share = {w: 1.0 - shares.held[w] for w in staying}
    for n in (0, PORTIONS - 1):
        for place, ph in enumerate(window.ph_scale()):
            if not all(limits[w].stands(float(ph)) for w in staying):
                continue
            values = [float(drawn_share[w][n][place]) for w in staying]
            out, rest = [v for v in values if v > DRAWN], [v for v in values if v <= DRAWN]
            if not out or not rest:
                continue
            sharp = min(min(out), 1.0 - max(rest))
            if best is None or sharp > best[0] + 1e-3:
                best = (sharp, n, place)
    if best is None or best[0] < WORTH_HOLDING:
        return None
    _, n, place = best
    drawn = tuple(w for w in staying if float(drawn_share[w][n][place]) > DRAWN)
    ph = float(window.ph_scale()[place])
    least = min(float(drawn_share[w][n][place]) for w in drawn)
    most = max(float(drawn_share[w][n][place]) for w in staying if w not in drawn)
    nearest = window.nearest_solution(ph)
    return Peel(f"flask {letter}", nearest.id, drawn, "held", ph, least, most, PORTIONS if n else 1)


def joint_ph(job: Job, held_at: Mapping[str, Array]) -> tuple[float, float]:
    """Return the pH, in halves, that keeps most of every wanted compound in the organic layer, and the least share kept.

    Of several as good the one nearest to neutral.
    """
    limits = [limits_of(c) for c in job.mixture.wanted]
    wanted = [c.id for c in job.mixture.wanted]
    if not all(w in held_at for w in wanted):
        return 7.0, 0.0
    least = np.min([held_at[w][0] for w in wanted], axis=0)
    found = [
        (float(least[place]), float(ph))
        for place, ph in enumerate(window.ph_scale())
        if (2 * ph) % 1 == 0 and 1.0 <= ph <= 13.0 and all(x.stands(float(ph)) for x in limits)
    ]
    best = max((kept for kept, _ in found), default=0.0)
    ph = min((ph for kept, ph in found if kept >= best - AS_GOOD), key=lambda ph: abs(ph - 7.0), default=7.0)
    return ph, best


def best_parting(one: str, two: str, shares: Shares) -> float:
    """Return the largest share of a pair that any single pH draws apart (0: nothing, 1: whole)."""
    if one not in shares.held or two not in shares.held:
        return 0.0
    return float(np.abs(shares.held[one][-1] - shares.held[two][-1]).max())


def back_ph(sites: Sequence[Any], limits: Limits, acid_solution: bool) -> float:
    """Return the pH at which a drawn compound is neutral again: two units past its pKa, isoelectric if it has both kinds."""
    acids = [s.pka for s in sites if s.kind == "acid" and s.pka < 11.5]
    bases = [s.pka for s in sites if s.kind == "base" and s.pka > 2]
    if acids and bases:
        ph = (min(acids) + max(bases)) / 2
    elif acid_solution:
        ph = min(max(max(bases, default=7.0) + BACK_MARGIN_PH, 10.0), 13.0)
    else:
        ph = max(min(min(acids, default=7.0) - BACK_MARGIN_PH, 5.0), 1.5)
    return round(2 * min(max(ph, limits.low + 0.5 if limits.low_group else ph), limits.high - 0.5)) / 2


# Steps ---------------------------------------------------------------------------------------------------------------


def peel_steps(job: Job, solvent: Solvent, peel: Peel, fact_ids: tuple[int, ...], organic_ml: float) -> list[PlanStep]:
    """Return the steps that draw into a flask and rinse it; the rinse goes back to the organic layer."""
    row = table(Solution)[peel.solution]
    mmol = sum(job.mixture.component(c).mmol for c in peel.drawn)
    portions = peel.portions
    need = 1.5 * mmol / max(row.molarity_m, 0.05) / portions if row.molarity_m else 0.0
    volume = round_volume(max(organic_ml * (0.4 if portions > 1 else 1 / 3), min(need, 2 * organic_ml)))
    names = listed([job.name(c) for c in peel.drawn])
    flask = peel.flask
    amount = f"{volume:g} mL" if portions == 1 else f"{portions} × {volume:g} mL"
    if peel.ph is None:
        text = f"Extract the organic layer with {amount} of {label(row)}; keep the aqueous layers together as {flask}"
        reason = f"{names} {'go' if len(peel.drawn) > 1 else 'goes'} into the water" + (
            "" if peel.way == "water" else f" as {'salts' if len(peel.drawn) > 1 else 'its salt'}"
        )
    else:
        text = (
            f"Extract the organic layer with {amount} of {label(row)}, brought to pH {peel.ph:.1f} by drops of acid or base "
            f"each time it has been shaken (pH meter); keep the aqueous layers together as {flask}"
        )
        reason = (
            f"at pH {peel.ph:.1f} {share(peel.least)} of {names} goes into the water and {share(peel.most)} of what should "
            "stay goes along"
        )
    made = [
        PlanStep(
            0,
            "take up",
            text,
            reason,
            fact_ids,
            solution=row.id,
            solute=row.formula,
            strength=row.strength,
            volume_ml=volume,
            repeats=portions,
            phase_kept="organic",
            target_ph=peel.ph,
            for_components=peel.drawn,
            stream=ORGANIC,
            organic_to=ORGANIC,
            aqueous_to=flask,
        )
    ]
    if peel.ph is None:
        rinse = trial.rinse_ml(organic_ml)
        made.append(
            PlanStep(
                0,
                "rinse water",
                f"Shake {flask} with {rinse:g} mL of {solvent.name}; add the rinse to the organic layer",
                "brings back what went along",
                fact_ids,
                solvent=solvent.id,
                volume_ml=rinse,
                phase_kept="aqueous",
                stream=flask,
                organic_to=ORGANIC,
                aqueous_to=flask,
            )
        )
    return made


def carry_steps(
    job: Job, solvent: Solvent, peel: Peel, sites: Sequence[Any], fact_ids: tuple[int, ...], organic_ml: float
) -> list[PlanStep]:
    """Return the steps that bring a flask's compound back into fresh solvent, or out of the water as a solid."""
    row = table(Solution)[peel.solution]
    flask, names = peel.flask, listed([job.name(c) for c in peel.drawn])
    component = job.mixture.component(peel.drawn[0])
    cation = any(s.kind == "base" and s.pka > (row.ph if peel.ph is None else peel.ph) - 1 for s in sites)
    target = back_ph(sites, limits_of(component), cation)
    if peel.way == "water":
        target = _isoelectric(sites)
        step = PlanStep(
            0,
            "crystallise",
            f"Bring {flask} to pH {target:g} with hydrochloric acid or ammonia (pH paper), strip it to a small volume, cool in "
            f"ice, and filter off {names}; wash with a little ice-cold water, then ethanol, and dry",
            f"{names} is charged at every pH and no organic solvent takes it from water; it is least soluble at its isoelectric "
            "pH. How much comes out hangs on its solubility, which is not computed; ion exchange takes the rest",
            fact_ids,
            target_ph=target,
            for_components=peel.drawn,
            stream=flask,
            organic_to="",
            aqueous_to=AQUEOUS_WASTE,
        )
        return [step]
    basify = _goes_up(peel, row, sites, target)
    volume = round_volume(organic_ml * 0.5)
    return [
        PlanStep(
            0,
            "set ph",
            f"{'Basify' if basify else 'Acidify'} {flask} to pH {target:g} with 6 M "
            f"{'sodium hydroxide' if basify else 'hydrochloric acid'}, in ice, in small portions; check with pH paper",
            f"{names} {'are' if len(peel.drawn) > 1 else 'is'} neutral again there; {SOLID}",
            fact_ids,
            solute="NaOH" if basify else "HCl",
            strength="6 M",
            target_ph=target,
            phase_kept="aqueous",
            stream=flask,
            aqueous_to=flask,
        ),
        PlanStep(
            0,
            "extract",
            f"Extract {flask} with {PORTIONS} × {volume:g} mL of {solvent.name}; combine the organic layers as {extract_of(flask)}",
            f"{names} {'go' if len(peel.drawn) > 1 else 'goes'} back into an organic layer",
            fact_ids,
            solvent=solvent.id,
            volume_ml=volume,
            repeats=PORTIONS,
            phase_kept="organic",
            stream=flask,
            organic_to=extract_of(flask),
            aqueous_to=AQUEOUS_WASTE,
        ),
    ]


def extract_of(flask: str) -> str:
    """Return the label of the organic layer that a flask is extracted into."""
    return flask.replace("flask", "extract")


def _isoelectric(sites: Sequence[Any]) -> float:
    acids = [s.pka for s in sites if s.kind == "acid"]
    bases = [s.pka for s in sites if s.kind == "base"]
    return round(2 * (min(acids) + max(bases)) / 2) / 2 if acids and bases else 7.0


def _goes_up(peel: Peel, row: Solution, sites: Sequence[Any], target: float) -> bool:
    return target > (peel.ph if peel.ph is not None else row.ph)


# The account ---------------------------------------------------------------------------------------------------------


class Account:
    """The layers of a scheme by their labels, and the ledger books of all pieces, with the same draws throughout."""

    def __init__(self, mixture: Mixture, numbers: Sheet) -> None:
        self.mixture = mixture
        self.numbers = numbers
        self.layers: dict[str, Phase] = {}
        self.books: list[Ledger] = []

    def prepare(self, ledger_steps: Sequence[Step]) -> None:
        """Carry out what is done before the layers are shared out; ends with the organic layer."""
        book = run_ledger(self.mixture, ledger_steps, numbers=self.numbers)
        self.books.append(book)
        self.layers[ORGANIC] = _need(book.organic)

    def in_water(self, number: int) -> dict[str, float]:
        """Return the share of each component, at best, in the water that a step of the preparation set aside."""
        water = self._water(number)
        return {c.id: float(self.books[-1].fraction(c.id, water.mmol)[0]) for c in self.mixture.components}

    def ph(self, number: int) -> float:
        """Return the pH at which the water of a step stood when it was first shaken."""
        return next(at_best(c.ph) for c in self.books[-1].contacts if c.step == number)

    def take_water(self, number: int, flask: str) -> None:
        """Keep the water that a step of the preparation set aside under the label of a flask."""
        self.layers[flask] = self._water(number)

    def _water(self, number: int) -> Phase:
        return next(layer for n, kind, layer in self.books[-1].set_aside if kind == "aqueous" and n == number)

    def begin_anew(self, ledger_steps: Sequence[Step]) -> None:
        """Prepare the flask in another way than before."""
        self.books.clear()
        self.prepare(ledger_steps)

    def run(self, steps: Sequence[PlanStep], ledger_steps: Sequence[Step]) -> None:
        """Carry steps out, each on the stream that it names."""
        for place, (step, done) in enumerate(zip(steps, ledger_steps, strict=True)):
            if step.action == "extract again":
                continue  # done together with the step whose water it extracts
            doing = [done]
            if place + 1 < len(steps) and steps[place + 1].action == "extract again":
                doing.append(ledger_steps[place + 1])
            held = self.layers[step.stream]
            watery = step.action in ("rinse water", "set ph", "extract", "crystallise")
            start = (None, held) if watery else (held, None)
            book = run_ledger(self.mixture, doing, numbers=self.numbers, start=start, first=step.number)
            self.books.append(book)
            self._put(step, book)

    def _put(self, step: PlanStep, book: Ledger) -> None:
        aside = {kind: layer for _, kind, layer in book.set_aside}
        if step.action == "take up":
            self.layers[step.aqueous_to] = _need(book.aqueous)
            self.layers[step.organic_to] = aside["organic"]
        elif step.action == "rinse water":
            self.layers[step.stream] = _need(book.aqueous)
            rinses = [layer for _, kind, layer in book.set_aside if kind == "organic"]
            if step.organic_to in self.layers:
                for layer in rinses:
                    self.layers[step.organic_to] = pool(self.layers[step.organic_to], layer)
        elif step.action in ("set ph", "crystallise"):
            self.layers[step.stream] = _need(book.aqueous)
        elif step.action == "extract":
            self.layers[step.organic_to] = _need(book.organic)
        else:
            self.layers[step.stream] = _need(book.organic)

    def shares(self, stream: str) -> dict[str, Array]:
        """Return the share (draws,) of each component in a stream."""
        layer = self.layers[stream]
        return {c.id: self.books[-1].fraction(c.id, layer.mmol) for c in self.mixture.components}

    def mass_mg(self, stream: str) -> dict[str, Array]:
        """Return the mass (draws,) of each component in a stream, mg; salts in their parts."""
        layer = self.layers[stream]
        found: dict[str, Array] = {}
        for i, item in enumerate(self.numbers.species):
            found[item.component] = found.get(item.component, 0.0) + layer.mmol[i] * item.molecule.molar_mass
        return found


def _need(layer: Phase | None) -> Phase:
    assert layer is not None
    return layer


def combined(books: Sequence[Ledger], numbers: Sheet) -> Ledger:
    """Return one book of several: all contacts, gases and miscible solvents, by step."""
    whole = Ledger(numbers, tuple(s for b in books for s in b.steps), [], None, None, [], [], [])
    for book in books:
        whole.contacts += book.contacts
        whole.cosolvent += book.cosolvent
        whole.gas_ml |= book.gas_ml
        whole.given_mmol |= book.given_mmol
        whole.set_aside += book.set_aside
        whole.after += book.after
    return whole


def branch_mixture(
    mixture: Mixture,
    wanted: Sequence[str],
    held: Mapping[str, Array],
    solvent: Solvent,
    volume_ml: float,
    title: str,
    freed: bool = False,
) -> tuple[Mixture, dict[str, str]]:
    """Return the mixture of one stream, with the first of ``wanted`` as its product, and which id stands for which.

    ``held`` is the share of each component in the stream; what is there in traces only is left out. ``freed``: what is wanted was
    brought back from water at a pH that sets it free, and is no salt any more.
    """
    names = {"product": wanted[0]}
    main = mixture.component(wanted[0])
    main = _free(main) if freed else main
    best = {c: float(v[0]) for c, v in held.items()}
    product = replace(main, id="product", role="product", mmol=max(1e-6, main.mmol * best[wanted[0]]))
    others = []
    for component in mixture.components:
        stray = component.role == "product" and component.id not in wanted
        if component.id == wanted[0] or stray or best[component.id] <= TRACE_OF_TARGET * mixture.target:
            continue
        own = "lead" if component.id == "product" else component.id
        names[own] = component.id
        there = _free(component) if freed and component.id in wanted else component
        others.append(replace(there, id=own, mmol=component.mmol * best[component.id]))
    made = Mixture(title, product, tuple(others), ((solvent, volume_ml),), solvent, mixture.target, ())
    return made, names


def _free(component: Component) -> Component:
    """Return a compound without the counter-ions of its salt, as the acid or base that it is when neutral."""
    neutral = Chem.MolToSmiles(neutral_form(component.principal.mol))
    if len(component.parts) == 1 and component.principal.smiles == neutral:
        return component
    parts = molecules(neutral)
    return replace(component, smiles=parts[0].smiles, parts=tuple(parts))
