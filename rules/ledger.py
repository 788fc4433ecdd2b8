"""The ledger: where every component is after every contact of two layers.

Each contact solves one equilibrium for all components together: mass balance, the charge balance with the strong ions
of the wash, its weak acid systems, carbonate chemistry with the carbon dioxide above its solubility leaving, and the
autoionisation of water. The pH of the spent wash comes out of it, so a wash that is used up is seen to be.

What is taken as simple: activity coefficients by Davies from the fresh wash; only the neutral form and singly charged
ion pairs enter the organic layer, an ion pair with its counter-ion; layers separate cleanly; nothing precipitates. A
water-miscible solvent adds its volume to the layer it is in and eases solutes into the water log-linearly
(``yalkowsky``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from washlore.knowledge import partition, water
from washlore.knowledge.rows import Buffer, Solution, Solvent, table
from washlore.knowledge.structure import molecules
from washlore.rules.mixture import Mixture, is_organic
from washlore.rules.species import Array, Sheet, sheet

ACTIONS = (
    "quench",
    "evaporate",
    "dilute",
    "filter",
    "wash",
    "take up",
    "rinse water",
    "set ph",
    "extract",
    "dry",
    "filter off desiccant",
    "concentrate",
)
DRAWS = 256
# No layer is taken for smaller than this, so that a division by its volume stays sane.
LEAST_VOLUME_ML = 0.5
# A miscible solvent changes the volumes that decide its own share; this settles in a few rounds.
MOST_VOLUME_ROUNDS = 25
VOLATILE_C = 120.0
EVAPORATED_SHARE = {True: 0.97, False: 0.0}


class LedgerError(ValueError):
    """A step cannot be worked out on this mixture; the message says which and why."""


@dataclass(frozen=True)
class Step:
    """One operation at the bench, as the ledger needs it. Volumes are of one portion, in mL."""

    action: str
    solution: str = ""
    solvent: str = ""
    volume_ml: float = 0.0
    repeats: int = 1
    target_ph: float | None = None
    removes: tuple[str, ...] = ()


@dataclass
class Phase:
    """One layer: its volume of base liquid, the mmol of each species (species, draws), strong ions and weak systems."""

    mmol: Array
    volume_ml: float
    solvents: tuple[tuple[str, float], ...] = ()
    strong_mmol: Array = field(default_factory=lambda: np.zeros(1))
    weak_mmol: dict[str, Array] = field(default_factory=dict)
    salt_mmol: Array = field(default_factory=lambda: np.zeros(1))
    mass_g: float = 0.0


@dataclass(frozen=True)
class Contact:
    """What one shaking of two layers came to. Arrays over draws; ``organic_share`` is (species, draws)."""

    step: int
    portion: int
    ph: Array
    organic_share: Array
    organic_mmol: Array
    aqueous_mmol: Array
    organic_ml: float
    aqueous_ml: float
    organic_density: float
    aqueous_density: float
    co2_ml: float
    heat_kj: float


@dataclass
class Ledger:
    """The whole account: ``contacts`` in order, the layer that holds the product at the end, and what was set aside."""

    sheet: Sheet
    steps: tuple[Step, ...]
    contacts: list[Contact]
    organic: Phase | None
    aqueous: Phase | None
    set_aside: list[tuple[int, str, Phase]]
    after: list[Array]
    cosolvent: list[tuple[int, str, float]]

    def fraction(self, component: str, mmol: Array) -> Array:
        """Return the share (draws,) of a component that ``mmol`` holds; its parts weigh alike."""
        rows = [i for i, s in enumerate(self.sheet.species) if s.component == component]
        if not rows:
            return np.zeros(self.sheet.draws)
        whole = self.sheet.mmol[rows].sum()
        return mmol[rows].sum(axis=0) / whole

    def left(self, component: str) -> Array:
        """Return the share (draws,) of a component that stays with the product at the end."""
        kept = self.organic if self.organic is not None else self.aqueous
        return self.fraction(component, kept.mmol) if kept is not None else np.zeros(self.sheet.draws)


def band(values: Array) -> tuple[float, float, float]:
    """Return (5 %, best estimate, 95 %) of draws whose first one is the best estimate."""
    if values.size == 1:
        return float(values[0]), float(values[0]), float(values[0])
    low, middle, high = np.percentile(values[1:], (5, 50, 95))
    return float(low), float(middle), float(high)


def equilibrate(numbers: Sheet, organic: Phase, aqueous: Phase, step: int = 0, portion: int = 0) -> Contact:
    """Shake two layers until they are at equilibrium; both phases are updated in place.

    Mass is conserved to rounding, charge to 1e-9 mol/L. Source of the method: mass and charge balance.
    """
    total = organic.mmol + aqueous.mmol
    volumes = np.array([s.molar_volume_ml for s in numbers.species])
    organic_ml = np.maximum(organic.volume_ml + volumes @ organic.mmol, LEAST_VOLUME_ML)
    aqueous_ml = np.maximum(aqueous.volume_ml + volumes @ aqueous.mmol, LEAST_VOLUME_ML)
    salt_m = np.broadcast_to(aqueous.salt_mmol / max(aqueous.volume_ml, LEAST_VOLUME_ML), (numbers.draws,))
    neutral, pair = numbers.log_k(organic.solvents)
    salting = salting_constants(numbers)
    for _ in range(MOST_VOLUME_ROUNDS if volumes.any() else 1):
        share_cosolvent = (volumes @ aqueous.mmol) / aqueous_ml
        shift = salting[:, None] * salt_m[None, :] - _cosolvent_slope(numbers)[:, None] * share_cosolvent
        solved = _solve(numbers, total, neutral + shift, pair + shift, organic, aqueous, organic_ml, aqueous_ml, salt_m)
        ph, share, pair_charge, co2 = solved
        organic.mmol, aqueous.mmol = total * share, total * (1.0 - share)
        before = aqueous_ml
        organic_ml = np.maximum(organic.volume_ml + volumes @ organic.mmol, LEAST_VOLUME_ML)
        aqueous_ml = np.maximum(aqueous.volume_ml + volumes @ aqueous.mmol, LEAST_VOLUME_ML)
        if np.all(np.abs(aqueous_ml - before) <= 1e-10 * aqueous_ml):
            break
    heat = _heat(numbers, aqueous, ph, float(aqueous_ml[0]), float(salt_m[0]))
    strong = organic.strong_mmol + aqueous.strong_mmol
    organic.strong_mmol = -pair_charge
    aqueous.strong_mmol = strong + pair_charge
    if "carbonate" in aqueous.weak_mmol:
        aqueous.weak_mmol["carbonate"] = aqueous.weak_mmol["carbonate"] - co2
    organic_mass, aqueous_mass = _solute_mass(numbers, organic), _solute_mass(numbers, aqueous)
    return Contact(
        step,
        portion,
        ph,
        share,
        organic.mmol.copy(),
        aqueous.mmol.copy(),
        float(organic_ml[0]),
        float(aqueous_ml[0]),
        (organic.mass_g + organic_mass) / _swollen(float(organic_ml[0]), organic_mass, numbers, organic),
        (aqueous.mass_g + aqueous_mass) / _swollen(float(aqueous_ml[0]), aqueous_mass, numbers, aqueous),
        float(np.atleast_1d(water.co2_volume_ml(co2))[0]),
        heat,
    )


def _solve(
    numbers: Sheet,
    total: Array,
    neutral: Array,
    pair: Array,
    organic: Phase,
    aqueous: Phase,
    organic_ml: Array,
    aqueous_ml: Array,
    salt_m: Array,
) -> tuple[Array, Array, Array, Array]:
    """Return pH, organic share, charge carried as ion pairs (mmol) and CO2 lost (mmol) at equilibrium."""
    count, draws = total.shape
    strength = np.minimum(water.MAX_IONIC_STRENGTH_M, salt_m)
    log_gamma = water.davies_log_gamma(1, strength)
    # One dummy site that never ionises for each species makes every species non-empty for reduceat.
    order = np.argsort(np.concatenate([numbers.site_of, np.arange(count)]), kind="stable")
    sign = np.concatenate([numbers.sign, np.zeros(count)])[order][:, None]
    exponent = np.vstack([np.where(numbers.sign[:, None] > 0, numbers.pka + log_gamma, numbers.pka - log_gamma),
                          np.full((count, draws), 40.0)])[order]
    starts = np.searchsorted(np.concatenate([numbers.site_of, np.arange(count)])[order], np.arange(count))
    charge0 = np.array([s.permanent_charge for s in numbers.species], dtype=float)[:, None]
    k_neutral, k_pair = 10.0**neutral, 10.0**pair
    permanent = charge0 != 0
    strong = organic.strong_mmol + aqueous.strong_mmol
    buffers = [
        (key, np.asarray(mmol), table(Buffer)[key].pkas, table(Buffer)[key].acid_charge)
        for key, mmol in aqueous.weak_mmol.items()
    ]

    def split(ph: Array) -> tuple[Array, Array, Array]:
        with np.errstate(over="ignore"):
            odds = np.where(sign == 0, 0.0, 10.0 ** np.clip(sign * (ph - exponent), -30, 30))
        unionised = 1.0 / np.multiply.reduceat(1.0 + odds, starts, axis=0)
        single = unionised * np.add.reduceat(odds, starts, axis=0)
        single_charge = -unionised * np.add.reduceat(sign * odds, starts, axis=0)
        water_charge = -np.add.reduceat(sign * odds / (1.0 + odds), starts, axis=0)
        ratio = np.where(permanent, k_pair, unionised * k_neutral + single * k_pair)
        weight = aqueous_ml + organic_ml * ratio
        pair_charge = total * organic_ml * np.where(permanent, charge0 * k_pair, single_charge * k_pair) / weight
        wet_charge = total * aqueous_ml * (charge0 + water_charge) / weight
        return organic_ml * ratio / weight, pair_charge, wet_charge

    def imbalance(ph: Array) -> Array:
        _, pair_charge, wet_charge = split(ph)
        charge = (pair_charge + wet_charge).sum(axis=0) + strong
        charge = charge + aqueous_ml * (water.hydrogen_m(ph, strength) - water.hydroxide_m(ph, strength))
        for key, mmol, pkas, acid_charge in buffers:
            if key == "carbonate":
                charge = charge + aqueous_ml * water.carbonate_charge(mmol / aqueous_ml, ph, strength)[0]
            else:
                charge = charge + mmol * water.alpha_charges(pkas, acid_charge, ph, strength)
        return charge / aqueous_ml

    ph = _root(imbalance, draws)
    share, pair_charge, _ = split(ph)
    co2 = np.zeros(draws)
    for key, mmol, _, _ in buffers:
        if key == "carbonate":
            co2 = aqueous_ml * water.carbonate_charge(mmol / aqueous_ml, ph, strength)[1]
    return ph, share, pair_charge.sum(axis=0), co2


def _root(function: object, draws: int) -> Array:
    """Return where a falling function of pH crosses zero, by safeguarded regula falsi on a logarithmic scale.

    The charge imbalance runs over many powers of ten; asinh makes it nearly straight between them.
    """
    low, high = np.full(draws, -3.0), np.full(draws, 17.0)

    def stretched(ph: Array) -> Array:
        return np.arcsinh(function(ph) * 1e9)  # type: ignore[operator]

    f_low, f_high = stretched(low), stretched(high)
    middle = 0.5 * (low + high)
    side = np.zeros(draws)
    for step in range(80):
        if step % 3 == 2:
            middle = 0.5 * (low + high)
        else:
            span = np.where(f_high == f_low, 1.0, f_high - f_low)
            middle = np.clip((low * f_high - high * f_low) / span, low, high)
        f_middle = stretched(middle)
        positive = f_middle > 0
        # Illinois: halve the value kept at an end that has not moved twice running.
        f_high = np.where(positive & (side > 0), f_high / 2, f_high)
        f_low = np.where(~positive & (side < 0), f_low / 2, f_low)
        side = np.where(positive, 1.0, -1.0)
        low, f_low = np.where(positive, middle, low), np.where(positive, f_middle, f_low)
        high, f_high = np.where(positive, high, middle), np.where(positive, f_high, f_middle)
        if np.all((np.abs(f_middle) < 0.1) | (high - low < 1e-13)):
            break
    return middle


def salting_constants(numbers: Sheet) -> Array:
    """Return the Setschenow constant (L/mol, log10) of each species (species,); ions are not salted out."""
    return np.array([0.0 if s.permanent_charge else _salting(s.molecule.smiles) for s in numbers.species])


def _cosolvent_slope(numbers: Sheet) -> Array:
    """Return the log-linear cosolvency slope of each species (``yalkowsky``; one line for all solvents)."""
    return np.array([0.0 if s.permanent_charge else _cosolvency(s.molecule.smiles) for s in numbers.species])


@lru_cache(maxsize=50_000)
def _salting(smiles: str) -> float:
    molecule = molecules(smiles)[0]
    if not is_organic(molecule):
        return 0.0
    return partition.setschenow(molecule, partition.molecule_log_k(molecule, "1-octanol").value)


@lru_cache(maxsize=50_000)
def _cosolvency(smiles: str) -> float:
    molecule = molecules(smiles)[0]
    if not is_organic(molecule):
        return 0.0
    return max(0.0, 0.95 * partition.molecule_log_k(molecule, "1-octanol").value + 0.3)


# Enthalpies of ionisation, kJ per mole of proton lost (goldberg2002 for the buffers; classes from memory).
_IONISATION_KJ = {"carboxylic": 0.0, "phenol": 23.0, "amine": 52.0, "pyridine": 20.0, "aniline": 31.0}
_BUFFER_KJ = {
    "carbonate": (9.2, 14.7),
    "phosphate": (-8.0, 3.6, 16.0),
    "ammonia": (52.0,),
    "citrate": (4.1, 2.4, -3.4),
    "acetate": (-0.4,),
    "sulfate": (-22.0,),
    "borate": (14.0,),
}


def _site_kj(site_class: str, kind: str) -> float:
    if kind == "acid":
        return _IONISATION_KJ["phenol" if "phenol" in site_class else "carboxylic"]
    for key in ("pyridine", "aniline"):
        if key in site_class:
            return _IONISATION_KJ[key]
    return _IONISATION_KJ["amine"]


def _heat(numbers: Sheet, aqueous: Phase, ph: Array, aqueous_ml: float, salt_m: float) -> float:
    """Return the heat set free in kJ at the best estimate: components come in un-ionised, the wash at its own pH."""
    if not np.any(aqueous.mmol[:, 0]):
        return 0.0
    strength = min(water.MAX_IONIC_STRENGTH_M, salt_m)
    systems = [(k, v[:1] / aqueous_ml) for k, v in aqueous.weak_mmol.items()]
    before = water.equilibrium_ph(systems, aqueous.strong_mmol[:1] / aqueous_ml, salt_m)  # type: ignore[arg-type]
    after = ph[:1]
    joules = 0.0
    sites = [site for item in numbers.species for site in item.sites]
    for row, sign, pka, site in zip(numbers.site_of, numbers.sign, numbers.pka[:, 0], sites, strict=True):
        ionised = 1.0 / (1.0 + 10.0 ** float(np.clip(sign * (pka - after[0]), -30, 30)))
        joules -= sign * _site_kj(site.site_class, site.kind) * ionised * aqueous.mmol[row, 0]
    for key, mmol in aqueous.weak_mmol.items():
        row_buffer = table(Buffer)[key]
        steps = np.cumsum([0.0, *_BUFFER_KJ.get(key, (0.0,) * len(row_buffer.pkas))])
        for where, factor in ((after, 1.0), (before, -1.0)):
            fractions = water.alpha_fractions(row_buffer.pkas, row_buffer.acid_charge, where, strength)[:, 0]
            joules -= factor * float(steps[: len(fractions)] @ fractions) * float(mmol[0])
    hydroxide = water.hydroxide_m(after, strength)[0] - water.hydroxide_m(before, strength)[0]
    joules -= 55.8 * float(hydroxide) * aqueous_ml
    return joules / 1000.0


def _solute_mass(numbers: Sheet, phase: Phase) -> float:
    masses = np.array([s.molecule.molar_mass for s in numbers.species])
    return float(masses @ phase.mmol[:, 0]) / 1000.0


def _swollen(volume_ml: float, solute_g: float, numbers: Sheet, phase: Phase) -> float:
    """Return the volume with the room that non-solvent solutes take, at 1.2 g/mL for an organic solid in solution."""
    solvents = sum(
        s.molecule.molar_mass * phase.mmol[i, 0] / 1000.0 for i, s in enumerate(numbers.species) if s.solvent
    )
    return volume_ml + max(0.0, solute_g - float(solvents)) / 1.2


def fresh_wash(solution: Solution, volume_ml: float, numbers: Sheet) -> Phase:
    """Return a portion of a wash solution as a phase."""
    weak = {solution.weak_system: np.full(numbers.draws, solution.weak_m * volume_ml)} if solution.weak_system else {}
    return Phase(
        np.zeros((len(numbers.species), numbers.draws)),
        volume_ml,
        (),
        np.full(numbers.draws, solution.strong_charge_m * volume_ml),
        weak,
        np.full(numbers.draws, solution.salt_m * volume_ml),
        solution.density_g_ml * volume_ml,
    )


def fresh_solvent(solvent: Solvent, volume_ml: float, numbers: Sheet) -> Phase:
    """Return a portion of an organic solvent as a phase."""
    if not solvent.log_k_key:
        raise LedgerError(f"{solvent.name} forms no layer of its own with water, so it cannot extract from it.")
    return Phase(
        np.zeros((len(numbers.species), numbers.draws)),
        volume_ml,
        ((solvent.log_k_key, 1.0),),
        np.zeros(numbers.draws),
        {},
        np.zeros(numbers.draws),
        solvent.density_g_ml * volume_ml,
    )


def run_ledger(
    mixture: Mixture, steps: Sequence[Step], draws: int = DRAWS, numbers: Sheet | None = None
) -> Ledger:
    """Follow every component of ``mixture`` through ``steps`` and return the account.

    Raises ``LedgerError`` for a step that cannot be done on what is there (washing before there is an organic layer
    that water does not mix with, extracting with a miscible solvent).
    """
    numbers = numbers or sheet(mixture, draws)
    book = Ledger(numbers, tuple(steps), [], None, None, [], [], [])
    book.organic = _flask(mixture, numbers)
    for number, step in enumerate(steps, start=1):
        if step.action not in ACTIONS:
            raise LedgerError(f"step {number}: {step.action!r} is not an action; they are {', '.join(ACTIONS)}.")
        _DO[step.action](book, number, step)
        kept = book.organic if book.organic is not None else book.aqueous
        book.after.append(kept.mmol.copy() if kept is not None else np.zeros_like(book.sheet.normal))
    return book


def _flask(mixture: Mixture, numbers: Sheet) -> Phase:
    phase = Phase(
        np.repeat(numbers.mmol[:, None], numbers.draws, axis=1),
        0.0,
        (),
        np.full(numbers.draws, numbers.strong_mmol),
        {k: np.full(numbers.draws, v) for k, v in numbers.weak_mmol.items()},
    )
    layers = [(s, v) for s, v in mixture.reaction_solvents if s.log_k_key]
    whole = sum(v for _, v in layers)
    if whole:
        phase.volume_ml = whole
        phase.solvents = _merge([(s.log_k_key, v / whole) for s, v in layers])
        phase.mass_g = sum(s.density_g_ml * v for s, v in layers)
    return phase


def _merge(parts: Sequence[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    merged: dict[str, float] = {}
    for key, share in parts:
        merged[key] = merged.get(key, 0.0) + share
    return tuple(sorted(merged.items(), key=lambda kv: -kv[1]))


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
        _hand_over(organic, aqueous)
        _clear(book, organic, step.removes)
        book.contacts.append(equilibrate(book.sheet, organic, aqueous, number, portion))
        _note_cosolvent(book, number, aqueous)
        book.set_aside.append((number, "aqueous", aqueous))


def _hand_over(organic: Phase, aqueous: Phase) -> None:
    """Move inorganic weak systems that the flask brought into the first water that meets it."""
    for key, mmol in organic.weak_mmol.items():
        aqueous.weak_mmol[key] = aqueous.weak_mmol.get(key, 0.0) + mmol
    organic.weak_mmol = {}


def _take_up(book: Ledger, number: int, step: Step) -> None:
    organic = _need_organic(book, number, step)
    pooled: Phase | None = None
    for portion in range(1, step.repeats + 1):
        aqueous = fresh_wash(table(Solution)[step.solution], step.volume_ml, book.sheet)
        _hand_over(organic, aqueous)
        book.contacts.append(equilibrate(book.sheet, organic, aqueous, number, portion))
        pooled = aqueous if pooled is None else _pool(pooled, aqueous)
    book.set_aside.append((number, "organic", organic))
    book.aqueous, book.organic = pooled, None


def _pool(one: Phase, two: Phase) -> Phase:
    weak = {k: one.weak_mmol.get(k, 0.0) + two.weak_mmol.get(k, 0.0) for k in {*one.weak_mmol, *two.weak_mmol}}
    whole = one.volume_ml + two.volume_ml
    solvents = _merge(
        [(k, s * one.volume_ml / whole) for k, s in one.solvents]
        + [(k, s * two.volume_ml / whole) for k, s in two.solvents]
    )
    return Phase(
        one.mmol + two.mmol,
        whole,
        solvents,
        one.strong_mmol + two.strong_mmol,
        weak,
        one.salt_mmol + two.salt_mmol,
        one.mass_g + two.mass_g,
    )


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


def _set_ph(book: Ledger, number: int, step: Step) -> None:
    aqueous = _need_aqueous(book, number, step)
    if step.target_ph is None:
        raise LedgerError(f"step {number} (set ph): no pH is given.")
    volume = max(aqueous.volume_ml, LEAST_VOLUME_ML)
    strength = np.minimum(water.MAX_IONIC_STRENGTH_M, aqueous.salt_mmol / volume)
    ph = np.full(book.sheet.draws, step.target_ph)
    held = aqueous.mmol
    charge = volume * (water.hydrogen_m(ph, strength) - water.hydroxide_m(ph, strength))
    log_gamma = water.davies_log_gamma(1, strength)
    for row, sign, pka in zip(book.sheet.site_of, book.sheet.sign, book.sheet.pka, strict=True):
        odds = 10.0 ** np.clip(sign * (ph - pka - sign * log_gamma), -30, 30)
        charge = charge - sign * held[row] * odds / (1.0 + odds)
    charge = charge + sum(s.permanent_charge * held[i] for i, s in enumerate(book.sheet.species))
    for key, mmol in list(aqueous.weak_mmol.items()):
        row_buffer = table(Buffer)[key]
        if key == "carbonate":
            bound, lost = water.carbonate_charge(mmol / volume, ph, strength)
            charge = charge + volume * bound
            aqueous.weak_mmol[key] = mmol - volume * lost
        else:
            charge = charge + mmol * water.alpha_charges(row_buffer.pkas, row_buffer.acid_charge, ph, strength)
    added = -charge - aqueous.strong_mmol
    aqueous.strong_mmol = aqueous.strong_mmol + added
    aqueous.salt_mmol = aqueous.salt_mmol + np.abs(added)


def _extract(book: Ledger, number: int, step: Step) -> None:
    aqueous = _need_aqueous(book, number, step)
    pooled: Phase | None = None
    for portion in range(1, step.repeats + 1):
        organic = fresh_solvent(table(Solvent)[step.solvent], step.volume_ml, book.sheet)
        book.contacts.append(equilibrate(book.sheet, organic, aqueous, number, portion))
        pooled = organic if pooled is None else _pool(pooled, organic)
    book.set_aside.append((number, "aqueous", aqueous))
    book.organic, book.aqueous = pooled, None


def _dilute(book: Ledger, number: int, step: Step) -> None:
    solvent = table(Solvent)[step.solvent]
    fresh = fresh_solvent(solvent, step.volume_ml, book.sheet)
    if book.organic is None:
        raise LedgerError(f"step {number} (dilute): the product is in the water layer; extract it first.")
    book.organic = _pool(book.organic, fresh)


def _evaporate(book: Ledger, number: int, step: Step) -> None:
    """Take off what the step names (component ids), and the solvent of the layer."""
    if book.organic is None:
        raise LedgerError(f"step {number} ({step.action}): the product is in the water layer.")
    mmol = book.organic.mmol.copy()
    for i, item in enumerate(book.sheet.species):
        if item.component in step.removes:
            mmol[i] *= 1.0 - EVAPORATED_SHARE[True]
    book.organic = replace(book.organic, mmol=mmol, volume_ml=0.0, solvents=(), mass_g=0.0)


def _take_out(book: Ledger, number: int, step: Step) -> None:
    """Quench or filter: what the step names leaves the product's layer."""
    target = book.organic if book.organic is not None else book.aqueous
    if target is None:
        raise LedgerError(f"step {number} ({step.action}): nothing is there.")
    _clear(book, target, step.removes)


def _clear(book: Ledger, phase: Phase, components: Sequence[str]) -> None:
    """Take components out of a phase whole: destroyed, filtered off, or bound by the solution's solute."""
    for i, item in enumerate(book.sheet.species):
        if item.component in components:
            phase.mmol[i] = 0.0


def _nothing(book: Ledger, number: int, step: Step) -> None:
    return None


def _note_cosolvent(book: Ledger, number: int, aqueous: Phase) -> None:
    for i, item in enumerate(book.sheet.species):
        if item.solvent is not None:
            share = item.molar_volume_ml * float(aqueous.mmol[i, 0]) / max(aqueous.volume_ml, LEAST_VOLUME_ML)
            if share > 0.05:
                book.cosolvent.append((number, item.component, share))


_DO = {
    "quench": _take_out,
    "evaporate": _evaporate,
    "dilute": _dilute,
    "filter": _take_out,
    "wash": _wash,
    "take up": _take_up,
    "rinse water": _rinse_water,
    "set ph": _set_ph,
    "extract": _extract,
    "dry": _nothing,
    "filter off desiccant": _nothing,
    "concentrate": _evaporate,
}
