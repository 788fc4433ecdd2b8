"""From a mixture to the numbers that the ledger works with: one row for each part that can ionise or change layer.

Uncertainty is carried by draws. Each species draws its own errors from a generator seeded by its structure, so that
renaming or reordering the components of a mixture changes nothing, and every step of a plan sees the same draws.
Draw 0 is always the best estimate.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cache, lru_cache
from typing import Any, cast

from washlore.knowledge import acidity, groups, inorganic, partition, scope
from washlore.knowledge.arrays import (
    FloatArray,
    IndexArray,
    Single,
    column,
    full,
    log10,
    maximum,
    minimum,
    np,
    power10,
    row,
    zeros,
)
from washlore.knowledge.beside import holder_of_ion
from washlore.knowledge.ion_pairs import CHLORIDE, counter_ion, permanent_ion_log_k
from washlore.knowledge.log_d import pair_log_k
from washlore.knowledge.records import dataclass, field
from washlore.knowledge.rows import Buffer, Residue, Solvent, table
from washlore.knowledge.structure import ByStructure, Molecule, molecules
from washlore.knowledge.water import alpha_charges
from washlore.rules.mixture import Component, Mixture, is_organic
from washlore.rules.suppose import Supposition, log_k_shift, sites_of, supposed

Array = FloatArray

# Charges of the ions that stay fully dissociated; a neutral HX part counts as one strong acid.
STRONG_ACIDS = {"Cl": -1, "Br": -1, "I": -1, "O=[N+]([O-])O": -1, "[O-][Cl+3]([O-])([O-])O": -1}
# A proton beside the ion of a strong acid: it is there once the ion is, and counts for nothing by itself.
HYDRONS = ("[H+]", "[OH3+]")
# A sandwich complex drawn as ions, and an element that no table knows, are left where they do no good: with the product.
STAYS_LOG_K = 4.0
# What a phase-less inorganic part is given for log K: it stays in the water.
INORGANIC_LOG_K = -6.0
INORGANIC_SIGMA = 0.1
# Acids stronger than this are ions in every wash.
STRONG_BELOW_PKA = 2.0
# To whom the anion of an onium salt belongs that is the product: to nobody, as it is exchanged in the washes.
COUNTER_ION = ""
# The weak base that a Grignard reagent leaves, by its key in the table of buffers.
MAGNESIA = "magnesia"
LEAST_LOG_K, MOST_LOG_K = -8.0, 12.0


@dataclass(frozen=True)
class Species:
    """One part of a component, in the amounts and numbers of the ledger; ``counter`` is the anion a cation goes along with.

    ``came_charge`` is the charge of the part as it was put into the flask. ``stays``: nothing is known of it but that no
    water takes it, or nothing at all. ``in_water``: all of it is ions in water, which the charge balance counts; it is
    here so that it can be followed.
    """

    component: str
    molecule: Molecule
    permanent_charge: int
    sites: tuple[acidity.Site, ...]
    solvent: Solvent | None
    counter: str = CHLORIDE
    came_charge: int = 0
    stays: bool = False
    in_water: bool = False

    @property
    def molar_volume_ml(self) -> float:
        """ML per mmol, for miscible solvents only."""
        return self.molecule.molar_mass / self.solvent.density_g_ml / 1000 if self.solvent else 0.0


@dataclass(frozen=True)
class Sheet:
    """All species of a mixture with their draws.

    Shapes: ``mmol`` (species,), ``pka`` (sites, draws), ``site_of`` (sites,) the species of a site, ``sign`` (sites,)
    +1 acid, -1 base. ``strong_of``: strong cations minus strong anions (mmol) that each component brings, by its id.
    ``weak_of``: the inorganic weak acid systems, and ions that hold a solute in water (``beside.py``), that each brings.
    ``magnesia_of``: the base (mmol) that a Grignard reagent leaves once water or acid has ended it, as magnesium hydroxide.
    With one draw all arrays are plain (``arrays.Single``). ``prepared`` is what the solver has made of the sheet.
    """

    species: tuple[Species, ...]
    mmol: Array
    pka: Array
    site_of: IndexArray
    sign: Array
    normal: Array
    pair_normal: Array
    strong_of: dict[str, float]
    weak_of: dict[str, dict[str, float]]
    magnesia_of: dict[str, float] = field(default_factory=dict)
    prepared: dict[Any, Any] = field(default_factory=dict, init=False, repr=False)

    @property
    def weak_mmol(self) -> dict[str, float]:
        """Inorganic weak acid systems of all components together, mmol."""
        return self.weak_without(())

    def weak_without(self, gone: Collection[str]) -> dict[str, float]:
        """Return the inorganic weak acid systems that are there when the components ``gone`` are not, mmol."""
        found: dict[str, float] = {}
        for component, systems in self.weak_of.items():
            if component not in gone:
                for key, mmol in systems.items():
                    found[key] = found.get(key, 0.0) + mmol
        return found

    @property
    def strong_mmol(self) -> float:
        """Strong cations minus strong anions of all components together, mmol."""
        return sum(self.strong_of.values())

    @property
    def draws(self) -> int:
        """Number of draws, the best estimate included."""
        return self.pka.shape[1]

    def log_k(self, solvent_fractions: tuple[tuple[str, float], ...]) -> tuple[Array, Array]:
        """Return log K of the neutral form and of the ion pair, each (species, draws), for an organic solvent."""
        neutral, pair = zeros(len(self.species), self.draws), zeros(len(self.species), self.draws)
        for i, item in enumerate(self.species):
            value, sigma, pair_value, pair_sigma = log_k_numbers(item, solvent_fractions)
            neutral[i] = value + sigma * self.normal[i]
            pair[i] = pair_value + sigma * self.normal[i] + pair_sigma * self.pair_normal[i]
            if len({site.kind for site in item.sites}) > 1:
                neutral[i] += self._uncharged_over_neutral(i)
        if isinstance(neutral, Single):
            return tuple(column([min(max(v, LEAST_LOG_K), MOST_LOG_K) for v in k.values]) for k in (neutral, pair))
        return np.clip(neutral, LEAST_LOG_K, MOST_LOG_K), np.clip(pair, LEAST_LOG_K, MOST_LOG_K)

    def _uncharged_over_neutral(self, i: int) -> Array:
        """Return log10 of how much more of a species carries no net charge than no charge at all, (draws,).

        What log K of an acid that is a base too was measured for, or fitted to, is all of it without net charge: zwitterion
        and neutral form, whose ratio no pH changes. The balance knows the neutral form, so its log K is raised by the rest.
        """
        own = [k for k, row in enumerate(self.site_of) if row == i]
        acids = [self.pka[k] for k in own if self.sign[k] > 0]
        bases = [self.pka[k] for k in own if self.sign[k] < 0]
        ratio = full(self.draws, 1.0)
        for acid in acids:
            for base in bases:
                ratio = ratio + power10(minimum(maximum(base - acid, -30.0), 30.0))
        return log10(ratio)


def log_k_numbers(item: Species, solvents: tuple[tuple[str, float], ...]) -> tuple[float, float, float, float]:
    """Return log K of the neutral form, its sigma, log K of the ion pair and the sigma of the ion-pair term."""
    if item.stays:
        return STAYS_LOG_K, 0.0, STAYS_LOG_K, 0.0
    if item.in_water:
        return INORGANIC_LOG_K, 0.0, INORGANIC_LOG_K, 0.0
    value, sigma, pair, pair_sigma = _log_k(
        item.molecule.smiles, item.permanent_charge, bool(item.sites), solvents, item.counter
    )
    shift = log_k_shift(item.molecule.smiles)
    return value + shift, sigma, pair + shift, pair_sigma


@lru_cache(maxsize=2_000)
def _log_k(
    smiles: str, charge: int, ionises: bool, solvents: tuple[tuple[str, float], ...], counter: str
) -> tuple[float, float, float, float]:
    molecule = molecules(smiles)[0]
    tabled = smiles in inorganic.by_form()
    if not tabled and not is_organic(molecule):
        return INORGANIC_LOG_K, 0.0, INORGANIC_LOG_K, 0.0
    if tabled:
        whole = sum(share for _, share in solvents)
        parts = [(share / whole, partition.molecule_log_k(molecule, key)) for key, share in solvents]
        return sum(s * k.value for s, k in parts), sum(s * k.sigma for s, k in parts), INORGANIC_LOG_K, 0.0
    if charge:
        pair = permanent_ion_log_k(molecule, solvents[0][0], counter)
        return LEAST_LOG_K, 0.0, pair.log_k, pair.sigma
    if len(solvents) == 1:
        neutral = partition.molecule_log_k(molecule, solvents[0][0])
    else:
        neutral = partition.mixed_log_k(molecule, dict(solvents))
    if not ionises:
        return neutral.value, neutral.sigma, LEAST_LOG_K, 0.0
    shift, sigma = pair_log_k(molecule, solvents[0][0], acidity.molecule_sites(molecule), counter)
    return neutral.value, neutral.sigma, neutral.value + shift, sigma


@lru_cache(maxsize=1)
def solvents_by_smiles() -> Mapping[str, Solvent]:
    """Return all organic solvents by canonical SMILES; of two rows for one structure, the first."""
    return ByStructure((row.smiles, row) for key, row in table(Solvent).items() if key != "water")


def miscible_solvent(smiles: str) -> Solvent | None:
    """Return the water-miscible solvent with this canonical SMILES, ``None`` where it is none."""
    row = solvents_by_smiles().get(smiles)
    return row if row is not None and row.miscibility == "miscible" else None


def permanent_charge(part: Molecule) -> int:
    """Return the charge that no proton transfer takes away (quaternary ammonium, phosphonium, metal ions)."""
    if part.charge > 0 and acidity.molecule_sites(part):
        return min(part.charge, acidity.onium_charge(part.mol))
    if part.charge == 0 or acidity.molecule_sites(part):
        return 0
    return part.charge


def exchanged(component: Component) -> tuple[Molecule, ...]:
    """Return the organic anions of a product that is an onium salt: the ion is what is wanted, with whichever anion."""
    if component.role != "product" or not any(is_organic(p) and permanent_charge(p) > 0 for p in component.parts):
        return ()
    return tuple(p for p in component.parts if is_organic(p) and p.charge < 0)


def stays_in_water(part: Molecule) -> bool:
    """Tell whether a part is made of ions, or is a mineral acid, carbonate, phosphate, sulfate or ammonia."""
    row = inorganic.by_form().get(part.smiles)
    return (
        bool(part.charge) or part.smiles in STRONG_ACIDS or (row is not None and (not row.pkas or row.id == "ammonia"))
    )


def inorganic_base(component: Component) -> inorganic.Inorganic | None:
    """Return the row of a component that is hydrazine or hydroxylamine, with or without its water; ``None`` for others."""
    free = [p for p in component.parts if p.smiles != "O"]
    row = inorganic.by_form().get(free[0].smiles) if len(free) == 1 else None
    return row if row is not None and row.kind == "base" and not free[0].charge and row.id != "ammonia" else None


@cache
def inorganic_sites(row: inorganic.Inorganic) -> tuple[acidity.Site, ...]:
    """Return the stepwise ionisations as sites, whose class is the row; its steps lie far enough apart for that."""
    return tuple(acidity.Site(0, row.kind, pka, INORGANIC_SIGMA, row.id, "measured", row.source) for pka in row.pkas)


# The last mixture that was asked for its best estimates, under which supposition, and its sheet: a plan asks dozens of times.
_last: tuple[Mixture, Supposition, Sheet] | None = None


def sheet(mixture: Mixture, draws: int = 1, extra: Sequence[tuple[Component, float]] = ()) -> Sheet:
    """Return the numbers of a mixture with ``draws`` draws; ``extra`` adds components with amounts in mmol.

    With one draw and nothing extra the same sheet is returned again for the same mixture: treat it as read-only.
    """
    global _last
    if draws != 1 or extra:
        return _make_sheet(mixture, draws, extra)
    if _last is None or _last[0] is not mixture or _last[1] != supposed():
        _last = (mixture, supposed(), _make_sheet(mixture, draws, extra))
    return _last[2]


def _make_sheet(mixture: Mixture, draws: int, extra: Sequence[tuple[Component, float]]) -> Sheet:
    species: list[Species] = []
    mmol: list[float] = []
    strong: dict[str, float] = {}
    weak: dict[str, dict[str, float]] = {}
    magnesia: dict[str, float] = {}
    for component, amount in [*((c, c.mmol) for c in mixture.components), *extra]:
        if scope.stays_behind(component.parts) or scope.unplaced(component.parts):
            species.append(Species(component.id, component.principal, 0, (), None, stays=True))
            mmol.append(amount)
            continue
        if base := amount * _magnesia(component.parts):
            magnesia[component.id] = base
        whole = any(is_organic(p) for p in component.parts)
        counter = counter_ion(p.smiles for p in component.parts) if len(component.parts) > 1 else CHLORIDE
        for part in component.parts:
            row = inorganic.by_form().get(part.smiles)
            if row is not None and row.system and (whole or not row.pkas):
                own = weak.setdefault(component.id, {})
                own[row.system] = own.get(row.system, 0.0) + amount
                continue
            if row is not None and not whole:
                neutral = molecules(row.smiles)[0]
                species.append(Species(component.id, neutral, 0, inorganic_sites(row), None, CHLORIDE, part.charge))
                mmol.append(amount)
                continue
            holder = holder_of_ion().get(part.smiles)
            if holder is not None:
                own = weak.setdefault(component.id, {})
                own[holder] = own.get(holder, 0.0) + amount
            if part.smiles in STRONG_ACIDS:
                strong[component.id] = strong.get(component.id, 0.0) + STRONG_ACIDS[part.smiles] * amount
                continue
            if part.smiles in ("[OH-]", "O", *HYDRONS):
                continue
            organic = is_organic(part)
            if whole and not organic and part.charge:
                strong[component.id] = strong.get(component.id, 0.0) + part.charge * amount
                continue
            sites = sites_of(part)
            if not organic:
                # Cyanide, azide, nitrite and sulfite are bases in water; the model of organic acids knows nothing of them.
                sites = tuple(site for site in sites if site.tier == "measured")
            if part.charge and not organic and not sites:
                strong[component.id] = strong.get(component.id, 0.0) + part.charge * amount
            solvent = miscible_solvent(part.smiles)
            charge = permanent_charge(part) if organic else 0
            owner = component.id
            if part in exchanged(component):
                if any(site.pka < STRONG_BELOW_PKA for site in sites):
                    strong[component.id] = strong.get(component.id, 0.0) + part.charge * amount
                    continue
                owner = COUNTER_ION
            species.append(Species(owner, part, charge, sites, solvent, counter, part.charge))
            mmol.append(amount)
        if not any(s.component == component.id for s in species) and not whole:
            species.append(Species(component.id, component.principal, 0, (), None, in_water=True))
            mmol.append(amount)
    return _sheet(species, mmol, strong, weak, draws, magnesia)


@lru_cache(maxsize=1_000)
def _magnesia(parts: tuple[Molecule, ...]) -> int:
    """Return how many hydroxides of magnesium water leaves of an organomagnesium compound: its charges that no halide holds."""
    atoms = [a for part in parts for a in part.mol.GetAtoms()]
    metals = sum(a.GetSymbol() == "Mg" for a in atoms)
    if not metals or not any(groups.hit_by(table(Residue)["grignard"], part) for part in parts):
        return 0
    halides = sum(a.GetSymbol() in ("Cl", "Br", "I") and _on_metal(a) for a in atoms)
    return max(2 * metals + sum(a.GetSymbol() == "Li" for a in atoms) - halides, 0)


def _on_metal(halogen: Any) -> bool:
    return halogen.GetDegree() == 0 or any(n.GetSymbol() == "Mg" for n in halogen.GetNeighbors())


def _sheet(
    species: list[Species],
    mmol: list[float],
    strong: dict[str, float],
    weak: dict[str, dict[str, float]],
    draws: int,
    magnesia: dict[str, float] | None = None,
) -> Sheet:
    count = len(species)
    sites = [(i, site) for i, item in enumerate(species) for site in item.sites]
    normal, pair_normal = zeros(count, draws), zeros(count, draws)
    pka = column([site.pka for _, site in sites])
    if draws > 1:
        from zlib import crc32

        pka = np.repeat(np.asarray(pka), draws, axis=1)
        own = 0
        for i, item in enumerate(species):
            random = np.random.default_rng(crc32(item.molecule.smiles.encode()))
            normal[i, 1:] = random.standard_normal(draws - 1)
            pair_normal[i, 1:] = random.standard_normal(draws - 1)
            for site in item.sites:
                pka[own, 1:] += site.sigma * random.standard_normal(draws - 1)
                own += 1
    return Sheet(
        tuple(species),
        row([float(amount) for amount in mmol], draws),
        pka,
        cast("IndexArray", row([i for i, _ in sites], draws)),
        row([1.0 if site.kind == "acid" else -1.0 for _, site in sites], draws),
        normal,
        pair_normal,
        strong,
        weak,
        magnesia or {},
    )


# Of a volatile acid and a base whose pKa values lie this far apart nothing evaporates: they are a salt.
SALT_GAP_PKA = 2.0
# What stays of a volatile component when it is stripped.
STRIPPED_LEFT = 0.005


def _outward(sites: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return sites (sign, pKa) as others meet them: a zwitterion gives the proton of its ammonium, not that of its acid."""
    acids, bases = ([pka for sign, pka in sites if sign * side > 0] for side in (1, -1))
    if not acids or not bases or min(acids) > max(bases):
        return sites
    return [(1.0, max(bases)), (-1.0, min(acids))]


def _rivals(sites: Sequence[tuple[float, float]], sign: float, pka: float) -> bool:
    """Tell whether an acid (``sign`` 1) is about as strong as ``pka`` or stronger, or a base (-1)."""
    return any(own == sign and sign * (value - pka) < SALT_GAP_PKA for own, value in sites)


def _part_of(i: int, mmol: Array, rivals: Iterable[int]) -> float:
    """Return the part of one species in all that want the same ions."""
    return float(mmol[i]) / max(float(sum(mmol[j] for j in {i, *rivals})), 1e-300)


NO_WEAK: Mapping[str, float] = {}


def _held_mmol(strong_mmol: float, weak_mmol: Mapping[str, float], pka: float, sign: float, mmol: float) -> float:
    """Return the mmol of an acid (``sign`` 1) or base (-1) that the ions of the flask would hold as its salt.

    Those are the strong ions, cations less anions, less what the ions of weak acids balance at the pH that all come to.
    """
    if not weak_mmol:
        return sign * strong_mmol
    most = 0.0
    for apart in (2.0, 1.5, 1.0, 0.5, 0.0):
        ph = pka + sign * apart
        net = strong_mmol
        for key, weak in weak_mmol.items():
            if row := table(Buffer).get(key):
                net += weak * float(alpha_charges(row.pkas, row.acid_charge, ph, 0.0))
        most = max(most, min(sign * net, mmol / (1.0 + 10.0**-apart)))
    return most


def left_by_stripping(
    numbers: Sheet,
    mmol: Array,
    strong_mmol: float,
    removes: Collection[str],
    weak_mmol: Mapping[str, float] = NO_WEAK,
) -> Array:
    """Return the share (species,) of each species that stays when the components ``removes`` are evaporated.

    ``mmol`` (species,) is what is there, ``strong_mmol`` strong cations less strong anions. A volatile acid that a base
    holds as its salt stays, as does a volatile base that an acid holds; ``weak_mmol`` are the weak acid systems of water that
    is there (keys of ``buffers.csv``): what has a charge in it does not boil off.
    """
    left = [1.0] * len(numbers.species)
    rows: dict[int, list[tuple[float, float]]] = {}
    for i, sign, pka in zip(numbers.site_of, numbers.sign, numbers.pka[:, 0], strict=True):
        rows.setdefault(int(i), []).append((float(sign), float(pka)))
    volatile = [i for i, s in enumerate(numbers.species) if s.component in removes]
    for i in volatile:
        left[i] = STRIPPED_LEFT
        own = rows.get(i, [])
        if not own or mmol[i] <= 0:
            continue
        held = 0.0
        acid = min((pka for sign, pka in own if sign > 0), default=None)
        base = max((pka for sign, pka in own if sign < 0), default=None)
        for j, both in rows.items():
            if j in volatile:
                continue
            sites = _outward(both)
            if acid is not None and any(sign < 0 and pka > acid + SALT_GAP_PKA for sign, pka in sites):
                held += float(mmol[j])
            if base is not None and any(sign > 0 and pka < base - SALT_GAP_PKA for sign, pka in sites):
                held += float(mmol[j])
        # Strong ions hold all acids or bases of about one strength alike, so that a trace has its part of a trace only.
        if (
            acid is not None
            and acid < 6
            and (ions := _held_mmol(strong_mmol, weak_mmol, acid, 1.0, float(mmol[i]))) > 0
        ):
            held += ions * _part_of(i, mmol, (j for j, s in rows.items() if _rivals(s, 1.0, acid)))
        if (
            base is not None
            and base > 5
            and (ions := _held_mmol(strong_mmol, weak_mmol, base, -1.0, float(mmol[i]))) > 0
        ):
            held += ions * _part_of(i, mmol, (j for j, s in rows.items() if _rivals(s, -1.0, base)))
        left[i] = max(STRIPPED_LEFT, min(1.0, held / float(mmol[i])))
    return row(left)
