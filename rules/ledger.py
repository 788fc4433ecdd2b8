"""The ledger: where every component is after every step.

Each step is done on phases (``contact``); the account keeps every contact, what was set aside, and what each step left.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from washlore.knowledge import water
from washlore.knowledge.arrays import Single, at_best, full, maximum, minimum, np, spread, where, zeros
from washlore.knowledge.records import dataclass, field, replace
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules.contact import Contact, Vapour, equilibrate, vent, water_charge
from washlore.rules.mixture import Mixture
from washlore.rules.phase import (
    LEAST_VOLUME_ML,
    LedgerError,
    Phase,
    bottle,
    dissolved_mmol_ml,
    fresh_solvent,
    fresh_wash,
    hand_over,
    merge,
    pool,
)
from washlore.rules.species import MAGNESIA, Array, Sheet, left_by_stripping, sheet
from washlore.rules.suppose import Supposition, supposed

ACTIONS = (
    "quench",
    "evaporate",
    "dilute",
    "neutralise",
    "filter",
    "wash",
    "take up",
    "rinse water",
    "set ph",
    "extract",
    "dry",
    "filter off desiccant",
    "concentrate",
    "crystallise",
    "part",
    "extract again",
)
DRAWS = 256
# A wash that needs more portions than this is no way to take something out.
MOST_CONTACTS = 12
# A miscible solvent below this share of a water layer is not noted.
LEAST_COSOLVENT = 0.05
# A water layer that is extracted once more meets this share of the organic layer's volume.
AGAIN_SHARE = 0.5
# A water layer is brought to a pH with acid or base of this strength (mol/L) and density (g/mL): 6 M hydrochloric acid or
# sodium hydroxide.
BOTTLE_M, ACID_BOTTLE_G_ML, BASE_BOTTLE_G_ML = 6.0, 1.095, 1.207
# What an insoluble solid leaves in the filtrate.
FILTER_PASSES = 0.005


@dataclass(frozen=True)
class Step:
    """One operation at the bench, as the ledger needs it. Volumes are of one portion, in mL.

    ``solution`` is an id, or those of a blend (``phase.blended``) where several quenches have brought the water. ``again_ml``
    of ``solvent`` extract water that is parted once more; none stands for half of the layer that it was parted from.
    """

    action: str
    solution: str = ""
    solvent: str = ""
    volume_ml: float = 0.0
    repeats: int = 1
    target_ph: float | None = None
    removes: tuple[str, ...] = ()
    again_ml: float = 0.0


@dataclass
class Ledger:
    """The whole account: ``contacts`` in order, the layer that holds the product at the end, and what was set aside.

    ``unbound`` holds, by species, what a solution that binds or destroys it has missed: it stays with the product.
    ``poured_mmol`` is the base (acid below zero) that quenches have brought before water was parted, ``poured_weak`` the weak
    acid systems that came with it, mmol.
    By step: ``gas_ml`` of carbon dioxide, and ``vented`` other gases, where a water layer was brought to a pH;
    ``given_mmol`` the base (acid below zero) that brought a flask or a water layer to a pH.
    """

    sheet: Sheet
    steps: tuple[Step, ...]
    contacts: list[Contact]
    organic: Phase | None
    aqueous: Phase | None
    set_aside: list[tuple[int, str, Phase]]
    after: list[Array]
    cosolvent: list[tuple[int, str, float]]
    gas_ml: dict[int, float] = field(default_factory=dict)
    given_mmol: dict[int, float] = field(default_factory=dict)
    vented: dict[int, tuple[Vapour, ...]] = field(default_factory=dict)
    met_water: bool = False
    unbound: dict[int, Array] = field(default_factory=dict)
    poured_mmol: float = 0.0
    poured_weak: dict[str, float] = field(default_factory=dict)

    def fraction(self, component: str, mmol: Array) -> Array:
        """Return the share (draws,) of a component that ``mmol`` holds; its parts weigh alike."""
        rows = [i for i, s in enumerate(self.sheet.species) if s.component == component]
        if not rows:
            return full(self.sheet.draws, 0.0)
        whole = self.sheet.mmol[rows].sum()
        return mmol[rows].sum(axis=0) / whole

    def left(self, component: str) -> Array:
        """Return the share (draws,) of a component that stays with the product at the end."""
        kept = self.organic if self.organic is not None else self.aqueous
        return (
            self.fraction(component, self.with_unbound(kept.mmol)) if kept is not None else full(self.sheet.draws, 0.0)
        )

    def with_unbound(self, mmol: Array) -> Array:
        """Return the amounts of the product's layer with what was missed by the solutions that were to bind it."""
        if not self.unbound:
            return mmol
        whole = mmol.copy()
        for i, missed in self.unbound.items():
            whole[i] = whole[i] + missed
        return whole


def band(values: Array) -> tuple[float, float, float]:
    """Return (5 %, median, 95 %) of draws; the first one, the best estimate, stands alone where it is the only one."""
    if values.size == 1:
        return float(values[0]), float(values[0]), float(values[0])
    ordered = np.sort(values[1:]).tolist()
    return _at(ordered, 0.05), _at(ordered, 0.5), _at(ordered, 0.95)


def _at(ordered: Sequence[float], share: float) -> float:
    """Return a quantile, linear between its neighbours: as ``numpy.quantile``, which loads masked arrays for it."""
    place = (len(ordered) - 1) * share
    below = int(place)
    above = min(below + 1, len(ordered) - 1)
    part, apart = place - below, ordered[above] - ordered[below]
    return ordered[below] + apart * part if part < 0.5 else ordered[above] - apart * (1.0 - part)


def median(values: Array) -> Array:
    """Return the median along the last axis: as ``numpy.median``, which loads masked arrays for it."""
    if isinstance(values, Single):
        return values if not values.deep else values[:, 0]
    ordered, half = np.sort(values, axis=-1), values.shape[-1] // 2
    if values.shape[-1] % 2:
        return np.asarray(ordered[..., half])
    return np.asarray((ordered[..., half - 1] + ordered[..., half]) / 2.0)


def run_ledger(
    mixture: Mixture,
    steps: Sequence[Step],
    draws: int = DRAWS,
    numbers: Sheet | None = None,
    start: tuple[Phase | None, Phase | None] | None = None,
    first: int = 1,
) -> Ledger:
    """Follow every component of ``mixture`` through ``steps`` and return the account.

    ``start`` is an (organic, aqueous) pair of layers to go on with instead of the flask; they are copied. ``first`` is
    the number of the first step.

    Raises ``LedgerError`` for a step that cannot be done on what is there (washing before there is an organic layer
    that water does not mix with, extracting with a miscible solvent).
    """
    numbers = numbers or sheet(mixture, draws)
    known = _states(mixture, numbers) if start is None and numbers.draws == 1 else None
    book, done = Ledger(numbers, tuple(steps), [], None, None, [], [], []), 0
    if start is not None:
        book.organic, book.aqueous = (layer and copy_phase(layer) for layer in start)
        book.met_water = True
    elif known is not None and (done := _longest_known(known, book.steps, first)):
        book = _copy(known[first, book.steps[:done]], book.steps)
    else:
        book.organic = whole_flask(mixture, numbers)
    for number, step in enumerate(book.steps[done:], start=first + done):
        if step.action not in ACTIONS:
            raise LedgerError(f"step {number}: {step.action!r} is not an action; they are {', '.join(ACTIONS)}.")
        _DO[step.action](book, number, step)
        kept = book.organic if book.organic is not None else book.aqueous
        book.after.append(
            book.with_unbound(kept.mmol).copy()
            if kept is not None
            else zeros(len(book.sheet.species), book.sheet.draws)
        )
        if known is not None:
            known[first, book.steps[: len(book.after)]] = _copy(book, book.steps)
    return book


# What a plan tries differs by a step or a portion, and the account up to there is the same: that of the last mixture is
# kept, at its best estimate, by the number of the first step and the steps done.
_States = dict[tuple[int, tuple[Step, ...]], Ledger]
_last: tuple[Mixture, Sheet, Supposition, _States] | None = None
MOST_STATES = 500


def _states(mixture: Mixture, numbers: Sheet) -> _States:
    global _last
    if _last is None or _last[0] is not mixture or _last[1] is not numbers or _last[2] != supposed():
        _last = (mixture, numbers, supposed(), {})
    states = _last[3]
    if len(states) > MOST_STATES:
        states.clear()
    return states


def _longest_known(known: _States, steps: tuple[Step, ...], first: int) -> int:
    """Return how many of the first steps have been done before."""
    return next((n for n in range(len(steps), 0, -1) if (first, steps[:n]) in known), 0)


def _copy(book: Ledger, steps: tuple[Step, ...]) -> Ledger:
    """Return an account to go on with; the layers that are set aside are finished and shared."""
    return Ledger(
        book.sheet,
        steps,
        list(book.contacts),
        book.organic and copy_phase(book.organic),
        book.aqueous and copy_phase(book.aqueous),
        list(book.set_aside),
        list(book.after),
        list(book.cosolvent),
        dict(book.gas_ml),
        dict(book.given_mmol),
        dict(book.vented),
        book.met_water,
        dict(book.unbound),
        book.poured_mmol,
        dict(book.poured_weak),
    )


def copy_phase(phase: Phase) -> Phase:
    """Return a layer of its own with the same in it."""
    weak = {key: mmol.copy() for key, mmol in phase.weak_mmol.items()}
    return replace(phase, mmol=phase.mmol.copy(), weak_mmol=weak)


def contacts_needed(
    mixture: Mixture, steps: Sequence[Step], component: str, target: float | None = None, most: int = MOST_CONTACTS
) -> int | None:
    """Return how many portions the last of ``steps``, a wash, takes to bring a component to ``target``.

    ``target`` is the share of what was in the flask that may stay with the product, the mixture's own by default; the
    count is at the best estimate, and ``None`` where ``most`` portions do not do. Raises ``LedgerError`` as
    ``run_ledger`` does.
    """
    if not steps or steps[-1].action != "wash":
        raise LedgerError("the portions of a wash can be counted; the last step must be one.")
    wanted = mixture.target if target is None else target
    book = run_ledger(mixture, [*steps[:-1], replace(steps[-1], repeats=most)], draws=1)
    for contact in book.contacts:
        if contact.step == len(steps) and book.fraction(component, contact.organic_mmol)[0] <= wanted:
            return contact.portion
    return None


def whole_flask(mixture: Mixture, numbers: Sheet) -> Phase:
    """Return the flask before anything is done: all components in what solvents of it form a layer with water."""
    phase = Phase(
        spread(numbers.mmol, numbers.draws),
        0.0,
        (),
        full(numbers.draws, numbers.strong_mmol),
        {k: full(numbers.draws, v) for k, v in numbers.weak_mmol.items()},
    )
    layers = [(s, v) for s, v in mixture.reaction_solvents if s.log_k_key]
    whole = sum(v for _, v in layers)
    if whole:
        phase.volume_ml = whole
        phase.solvents = merge([(s.log_k_key, v / whole) for s, v in layers])
        phase.mass_g = sum(s.density_g_ml * v for s, v in layers)
    return phase


def _need_organic(book: Ledger, number: int, step: Step) -> Phase:
    if book.organic is None:
        raise LedgerError(f"step {number} ({step.action}): the product is in the water layer; extract it first.")
    if not book.organic.solvents:
        raise LedgerError(
            f"step {number} ({step.action}): there is no solvent that forms a layer with water; add one first."
        )
    return book.organic


def _wash(book: Ledger, number: int, step: Step) -> None:
    organic = _need_organic(book, number, step)
    for portion in range(1, step.repeats + 1):
        aqueous = fresh_wash(table(Solution)[step.solution], step.volume_ml, book.sheet)
        hand_over(organic, aqueous)
        if portion == 1:
            _bind(book, organic, step)
        book.contacts.append(equilibrate(book.sheet, organic, aqueous, number, portion))
        _note_cosolvent(book, number, aqueous)
        book.set_aside.append((number, "aqueous", aqueous))


# The 95th percentile of a normal distribution.
Z_95 = 1.645


def _bind(book: Ledger, phase: Phase, step: Step) -> None:
    """Take out what a solution binds or destroys, but for the share that its row says is left; a range, not a number.

    The draws are spread log-normally between the usual and the high value, and are the same for the same solution.
    """
    row = table(Solution)[step.solution]
    before = {i: phase.mmol[i].copy() for i, item in enumerate(book.sheet.species) if item.component in step.removes}
    _clear(book, phase, step.removes)
    if row.bound_left_pct is None or row.bound_left_high_pct is None:
        return
    draws = full(book.sheet.draws, 0.0)
    if book.sheet.draws > 1:
        from zlib import crc32

        draws[1:] = np.random.default_rng(crc32(row.id.encode())).standard_normal(book.sheet.draws)[1:]
    sigma = math.log10(row.bound_left_high_pct / row.bound_left_pct) / Z_95
    share = minimum(row.bound_left_pct / 100.0 * 10.0 ** (sigma * draws), 1.0)
    for i, mmol in before.items():
        book.unbound[i] = mmol * share


def _take_up(book: Ledger, number: int, step: Step) -> None:
    organic = _need_organic(book, number, step)
    book.unbound.clear()  # stays behind with the neutral compounds
    pooled: Phase | None = None
    for portion in range(1, step.repeats + 1):
        aqueous = fresh_wash(bottle(step.solution), step.volume_ml, book.sheet)
        hand_over(organic, aqueous)
        book.contacts.append(equilibrate(book.sheet, organic, aqueous, number, portion, step.target_ph))
        pooled = aqueous if pooled is None else pool(pooled, aqueous)
    book.set_aside.append((number, "organic", organic))
    book.aqueous, book.organic = pooled, None


def _rinse_water(book: Ledger, number: int, step: Step) -> None:
    aqueous = _need_aqueous(book, number, step)
    for portion in range(1, step.repeats + 1):
        organic = fresh_solvent(table(Solvent)[step.solvent], step.volume_ml, book.sheet)
        book.contacts.append(equilibrate(book.sheet, organic, aqueous, number, portion))
        book.set_aside.append((number, "organic", organic))


def _need_aqueous(book: Ledger, number: int, step: Step) -> Phase:
    if book.aqueous is None:
        raise LedgerError(f"step {number} ({step.action}): there is no kept water layer to work on.")
    return book.aqueous


def bring_to_ph(book: Ledger, number: int, step: Step) -> None:
    """Add strong acid or base to the kept water layer until it stands at the step's pH; carbon dioxide leaves as it must."""
    aqueous = _need_aqueous(book, number, step)
    if step.target_ph is None:
        raise LedgerError(f"step {number} (set ph): no pH is given.")
    volume = maximum(aqueous.volume_ml, LEAST_VOLUME_ML) + full(book.sheet.draws, 0.0)
    strength = minimum(water.MAX_IONIC_STRENGTH_M, aqueous.salt_mmol / volume)
    ph = full(book.sheet.draws, step.target_ph)
    fizzed = "carbonate" in aqueous.weak_mmol
    co2, vapours = vent(book.sheet, aqueous, ph, volume, strength)
    if fizzed:
        book.gas_ml[number] = at_best(water.co2_volume_ml(co2))
    book.vented[number] = vapours
    poured_ml = full(book.sheet.draws, 0.0)
    for _ in range(3):  # what is poured in takes some acid or base itself to stand at the pH
        charge = water_charge(book.sheet, aqueous, ph, volume + poured_ml, strength)
        added = -charge - aqueous.strong_mmol
        poured_ml = abs(added) / BOTTLE_M
    book.given_mmol[number] = at_best(added)
    aqueous.ph = step.target_ph
    aqueous.volume_ml = aqueous.volume_ml + poured_ml
    aqueous.mass_g = aqueous.mass_g + poured_ml * where(added > 0, BASE_BOTTLE_G_ML, ACID_BOTTLE_G_ML)
    aqueous.strong_mmol = aqueous.strong_mmol + added
    aqueous.salt_mmol = aqueous.salt_mmol + abs(added)


def _extract(book: Ledger, number: int, step: Step) -> None:
    aqueous = _need_aqueous(book, number, step)
    pooled: Phase | None = None
    for portion in range(1, step.repeats + 1):
        organic = fresh_solvent(table(Solvent)[step.solvent], step.volume_ml, book.sheet)
        book.contacts.append(equilibrate(book.sheet, organic, aqueous, number, portion))
        pooled = organic if pooled is None else pool(pooled, organic)
    book.set_aside.append((number, "aqueous", aqueous))
    book.organic, book.aqueous = pooled, None


def _dilute(book: Ledger, number: int, step: Step) -> None:
    solvent = table(Solvent)[step.solvent]
    fresh = fresh_solvent(solvent, step.volume_ml, book.sheet)
    if book.organic is None:
        raise LedgerError(f"step {number} (dilute): the product is in the water layer; extract it first.")
    book.organic = pool(book.organic, fresh)


def _neutralise(book: Ledger, number: int, step: Step) -> None:
    """Add water, bring it to a pH with acid or base while stirring, part the layers, and extract the water again.

    Without a pH (``part``) the water is that of a quench or of the reaction, and stands where it stands. ``repeats``
    counts the extractions; each after the first takes ``again_ml`` of ``solvent``.
    """
    organic = _need_organic(book, number, step)
    if step.action == "neutralise" and step.target_ph is None:
        raise LedgerError(f"step {number} (neutralise): no pH is given.")
    aqueous = fresh_wash(bottle(step.solution or "water"), step.volume_ml, book.sheet)
    hand_over(organic, aqueous)
    aqueous.salt_mmol = aqueous.salt_mmol + abs(organic.strong_mmol)
    before = at_best(organic.strong_mmol + aqueous.strong_mmol)
    book.contacts.append(equilibrate(book.sheet, organic, aqueous, number, 1, step.target_ph))
    if step.target_ph is not None:
        book.given_mmol[number] = at_best(organic.strong_mmol + aqueous.strong_mmol) - before
    _note_cosolvent(book, number, aqueous)
    for portion in range(2, step.repeats + 1):
        volume = step.again_ml or AGAIN_SHARE * at_best(organic.volume_ml)
        again = fresh_solvent(table(Solvent)[step.solvent], volume, book.sheet)
        book.contacts.append(equilibrate(book.sheet, again, aqueous, number, portion, step.target_ph))
        organic = book.organic = pool(organic, again)
    book.set_aside.append((number, "aqueous", aqueous))


def saturate_with_salt(aqueous: Phase) -> None:
    """Stir salt into a water layer until no more dissolves; it drives neutral compounds out."""
    aqueous.salt_mmol = maximum(aqueous.salt_mmol, table(Solution)["brine"].salt_m * aqueous.volume_ml)


def _extract_again(book: Ledger, number: int, step: Step) -> None:
    """Extract the water layers that the step before set aside, saturated with salt, and add what comes back."""
    organic = _need_organic(book, number, step)
    mine = [layer for n, kind, layer in book.set_aside if kind == "aqueous" and n == number - 1]
    if not mine:
        raise LedgerError(f"step {number} (extract again): the step before set no water layer aside.")
    water_layer = copy_phase(mine[0])
    for layer in mine[1:]:
        water_layer = pool(water_layer, layer)
    saturate_with_salt(water_layer)
    extract: Phase | None = None
    for portion in range(1, step.repeats + 1):
        fresh = fresh_solvent(table(Solvent)[step.solvent], step.volume_ml, book.sheet)
        book.contacts.append(equilibrate(book.sheet, fresh, water_layer, number, portion))
        extract = fresh if extract is None else pool(extract, fresh)
    if extract is not None:
        book.organic = pool(organic, extract)
        book.set_aside.append((number, "organic", extract))
    book.set_aside.append((number, "aqueous", water_layer))


def _evaporate(book: Ledger, number: int, step: Step) -> None:
    """Take off what the step names (component ids), and the solvent of the layer."""
    if book.organic is None:
        raise LedgerError(f"step {number} ({step.action}): the product is in the water layer.")
    strong_mmol = at_best(book.organic.strong_mmol) + book.poured_mmol
    left = left_by_stripping(book.sheet, book.organic.mmol[:, 0], strong_mmol, step.removes, book.poured_weak)
    mmol = book.organic.mmol * left[:, None]
    book.organic = replace(book.organic, mmol=mmol, volume_ml=0.0, solvents=(), mass_g=0.0)


def _take_out(book: Ledger, number: int, step: Step) -> None:
    """Quench or filter: what the step names leaves the product's layer; a filter lets a little through."""
    target = book.organic if book.organic is not None else book.aqueous
    if target is None:
        raise LedgerError(f"step {number} ({step.action}): nothing is there.")
    passed = {
        i: target.mmol[i] * FILTER_PASSES
        for i, item in enumerate(book.sheet.species)
        if step.action == "filter" and item.component in step.removes
    }
    _clear(book, target, step.removes)
    if step.action == "quench" and step.solution:
        book.poured_mmol += bottle(step.solution).strong_charge_m * step.volume_ml
        for key, molarity in dissolved_mmol_ml(step.solution).items():
            book.poured_weak[key] = book.poured_weak.get(key, 0.0) + molarity * step.volume_ml
    for i, mmol in passed.items():
        target.mmol[i] = mmol


def _clear(book: Ledger, phase: Phase, components: Sequence[str]) -> None:
    """Take components out of a phase whole: destroyed, filtered off, or bound by the solution's solute."""
    for i, item in enumerate(book.sheet.species):
        if item.component in components:
            phase.mmol[i] = 0.0
    if not book.contacts and not book.met_water:
        # Before any water has met it, the flask still holds the ions that a component came with.
        take_ions_out(book.sheet, phase, components)


def take_ions_out(numbers: Sheet, phase: Phase, components: Collection[str]) -> None:
    """Take out of a phase that no water has met the inorganic ions that components came with, and leave the base of magnesium."""
    phase.strong_mmol = phase.strong_mmol - sum(numbers.strong_of.get(c, 0.0) for c in components)
    for component in components:
        for key, mmol in numbers.weak_of.get(component, {}).items():
            if key in phase.weak_mmol:
                phase.weak_mmol[key] = maximum(phase.weak_mmol[key] - mmol, 0.0)
        if base := numbers.magnesia_of.get(component, 0.0):
            phase.weak_mmol[MAGNESIA] = phase.weak_mmol.get(MAGNESIA, full(numbers.draws, 0.0)) + base


def _nothing(book: Ledger, number: int, step: Step) -> None:
    return None


def _note_cosolvent(book: Ledger, number: int, aqueous: Phase) -> None:
    """Note each miscible solvent that makes up more than a twentieth of the volume of a water layer."""
    volumes = [s.molar_volume_ml * float(aqueous.mmol[i, 0]) for i, s in enumerate(book.sheet.species)]
    whole = max(at_best(aqueous.volume_ml) + sum(volumes), LEAST_VOLUME_ML)
    for item, volume in zip(book.sheet.species, volumes, strict=True):
        if item.solvent is not None:
            share = volume / whole
            if share > LEAST_COSOLVENT:
                book.cosolvent.append((number, item.component, share))


_DO = {
    "quench": _take_out,
    "evaporate": _evaporate,
    "dilute": _dilute,
    "neutralise": _neutralise,
    "filter": _take_out,
    "wash": _wash,
    "take up": _take_up,
    "rinse water": _rinse_water,
    "set ph": bring_to_ph,
    "extract": _extract,
    "dry": _nothing,
    "filter off desiccant": _nothing,
    "concentrate": _evaporate,
    "crystallise": _nothing,
    "part": _neutralise,
    "extract again": _extract_again,
}
