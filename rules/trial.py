"""Trials: what would happen with each solvent and each solution, computed before the rules choose among them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from types import MappingProxyType

from washlore.knowledge import partition
from washlore.knowledge.acidity import molecule_sites
from washlore.knowledge.arrays import column, full, plain, row, spread
from washlore.knowledge.boiling import estimated_boiling_c
from washlore.knowledge.ion_pairs import permanent_ion_log_k
from washlore.knowledge.names import boiling_c
from washlore.knowledge.records import dataclass, replace
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.knowledge.structure import molecules
from washlore.rules.contact import equilibrate
from washlore.rules.ledger import AGAIN_SHARE, Step, run_ledger
from washlore.rules.mixture import Component, Mixture
from washlore.rules.perceive import Job
from washlore.rules.phase import (
    Phase,
    Plain,
    dissolved_mmol_ml,
    fresh_solvent,
    fresh_wash,
    in_one_draw,
    plain_phase,
)
from washlore.rules.shaking import prepared, shake
from washlore.rules.species import Sheet, left_by_stripping, sheet
from washlore.rules.words import round_volume

# What is told to four figures needs no volumes to ten.
VOLUMES_TO = 1e-4
NOTHING: Mapping[str, float] = MappingProxyType({})
CONTACTS = 3
# Nobody asks what a third one takes out where the numbers are unlucky.
UNLUCKY_CONTACTS = 2
CAUTIOUS_SIGMAS = 1.5
# A wash is sure when, with every number on the unlucky side, three contacts leave no more than this times the target.
SURE_FACTOR = 3.0
STRONG_ACID_PKA = 2.0
POT_RINSES = 2
# One portion of wash beside its layer; a trial, which must not hang on what that is rounded to, goes by a good third: the
# usual 15 mL for 40 mL are more than one.
WASH_SHARE, TRIED_SHARE = 1 / 3, 0.34
# Of a buffer about so much gives or takes a proton before its pH is a unit off.
BUFFER_HOLDS = 0.4
RINSE_SHARE = 0.4
ML_PER_MMOL = 4.0
MOST_ML_PER_GRAM = 20.0
ML_PER_GRAM = 10.0
LEAST_LAYER_ML = 6.0
LARGE_ML = 400.0
LAYER_PER_MISCIBLE = 2.0
# Below this boiling point a solvent goes on the rotary evaporator.
STRIPPABLE_BELOW_C = 121.0
# Solvents offered when the choice is ours, in the order in which equals are preferred.
OFFERED = ("ethyl_acetate", "mtbe", "dichloromethane", "2-methf", "toluene", "diethyl_ether")
# Offered too for a product that boils low: it is distilled out of the one, or the other is distilled off it.
OFFERED_FOR_VOLATILE, VOLATILE_C = ("xylene", "pentane"), 110.0
# Offered too where a product prefers water to all of those.
OFFERED_FOR_POLAR, POLAR_LOG_D = ("chloroform_isopropanol", "1-butanol"), -0.2


@dataclass(frozen=True)
class Trial:
    """What one solution does to every component in three contacts; shares left, (contacts,).

    ``cautious`` is the same with every number taken one and a half standard deviations on the side that leaves more, for as
    many contacts as tell whether that is still no more than ``SURE_FACTOR`` times the target,
    ``unlucky`` what two contacts leave of the product with them on the side that leaves less.
    """

    solution: str
    left: dict[str, tuple[float, ...]]
    cautious: dict[str, tuple[float, ...]]
    unlucky: tuple[float, float]
    spent_ph: float


@dataclass(frozen=True)
class Pot:
    """The flask shaken with plain water.

    Its pH, the product's share kept, and the share its neutral form would keep after one and three portions, and after two
    with every number on the unlucky side.
    """

    ph: float
    kept: float
    neutral: float
    neutral_3: float
    neutral_unlucky: float
    log_p: float
    ions: bool


def _by_amount_ml(mixture: Mixture) -> float:
    """Return 4 mL per mmol of product, no more than 20 mL per gram, and on a large scale no more than 10."""
    grams = mixture.product.mmol * mixture.product.principal.molar_mass / 1000
    volume = min(ML_PER_MMOL * mixture.product.mmol, MOST_ML_PER_GRAM * grams)
    return volume if volume <= LARGE_ML else max(LARGE_ML, min(volume, ML_PER_GRAM * grams))


def organic_volume_ml(mixture: Mixture) -> float:
    """Return the volume of the organic layer that the washes are sized by, as it is measured out; see ``layer_ml``."""
    return round_volume(layer_ml(mixture))


def layer_ml(mixture: Mixture) -> float:
    """Return the volume of the organic layer before it is rounded: what is decided must not hang on the rounding.

    That of the reaction if it has a layer, 4 mL per mmol of product (at most 20 mL per gram), and twice the volume of a
    solvent such as DMF, or methanol that may not be stripped, that is to be washed out of it: less makes no two layers.
    """
    held = sum(v for s, v in mixture.reaction_solvents if s.log_k_key)
    stays = sum(
        v
        for s, v in mixture.reaction_solvents
        if not s.log_k_key and s.id != "water" and (s.boiling_c >= STRIPPABLE_BELOW_C or s.id in mixture.undiluted)
    )
    return max(LEAST_LAYER_ML, held, _by_amount_ml(mixture), LAYER_PER_MISCIBLE * stays)


def wash_volume_ml(organic_ml: float) -> float:
    """Return the volume of one portion of wash as it is measured out: a third of the organic layer."""
    return round_volume(organic_ml * WASH_SHARE)


def portion_ml(mixture: Mixture, solution: Solution, gone: Collection[str], stripped: Collection[str]) -> float:
    """Return the volume of one portion of a wash as it is measured out; see ``part_ml``."""
    return round_volume(part_ml(mixture, solution, gone, stripped, organic_volume_ml(mixture), WASH_SHARE))


def part_ml(
    mixture: Mixture,
    solution: Solution,
    gone: Collection[str],
    stripped: Collection[str],
    organic_ml: float,
    least: float = TRIED_SHARE,
) -> float:
    """Return a third of the organic layer (common practice: 10 to 50 %), or what the load asks for, before it is rounded.

    ``least`` is that third.

    Three portions hold 1.2 equivalents of acid for the bases in the flask, or of base for the acids, up to the volume of
    the organic layer each. Water that meets a miscible solvent is one and a half times the volume of that solvent, within
    the same limit: more portions do the rest.
    """
    volume = organic_ml * least
    if solution.acts_as in ("acid", "base", "buffer") and solution.molarity_m > 0:
        load = _load_mmol(mixture, solution.ph, gone, stripped)
        holds = solution.molarity_m * (BUFFER_HOLDS if solution.acts_as == "buffer" else 1.0)
        volume = max(volume, min(1.2 * load / (CONTACTS * holds), organic_ml))
    diluted = sum(
        v
        for s, v in mixture.reaction_solvents
        if not s.log_k_key and s.id != "water" and _mixes_in(mixture, s, stripped)
    )
    return max(volume, min(1.5 * diluted, organic_ml))


def _mixes_in(mixture: Mixture, solvent: Solvent, stripped: Collection[str]) -> bool:
    part = molecules(solvent.smiles)[0].smiles
    return any(c.smiles == part and c.id not in stripped for c in mixture.others)


def _load_mmol(mixture: Mixture, ph: float, gone: Collection[str], stripped: Collection[str]) -> float:
    """Return the mmol of acid (``ph`` above 7) or base (below) that the flask asks a wash of this pH for."""
    one = sheet(mixture, 1)
    load = 0.0
    there = row([0.0 if s.component in gone else m for m, s in zip(one.mmol, one.species, strict=True)])
    strong = sum(v for c, v in one.strong_of.items() if c not in gone)
    shares = left_by_stripping(one, there, strong, stripped)
    for mmol, item, left in zip(one.mmol, one.species, shares, strict=True):
        if item.component in gone or item.component == "product":
            continue
        if ph > 7:
            load += left * mmol * sum(s.kind == "acid" and s.pka < ph - 1 for s in item.sites)
        else:
            load += left * mmol * sum(s.kind == "base" and s.pka > ph + 1 for s in item.sites)
    return load + max(0.0, -strong if ph > 7 else strong)


def best_log_d(component: Component, solvent: Solvent) -> float:
    """Return the log K of a component into a solvent (neutral form, or ion pair of a permanent ion)."""
    part = component.principal
    from washlore.rules.species import permanent_charge

    if permanent_charge(part):
        return permanent_ion_log_k(part, solvent.log_k_key).log_k
    return partition.molecule_log_k(part, solvent.log_k_key).value


def boils_c(component: Component) -> float:
    """Return the boiling point of a component as the tables hold or the groups tell it, or a high one."""
    known = component.boiling_c if component.boiling_c is not None else boiling_c(component.smiles)
    known = known if known is not None else estimated_boiling_c(component.smiles)
    return 400.0 if known is None else known


def is_zwitterion(component: Component) -> bool:
    """Tell whether a compound is a stronger base than the base of its own acid."""
    sites = molecule_sites(component.principal)
    acids = [site.pka for site in sites if site.kind == "acid"]
    return any(site.pka > min(acids, default=site.pka) for site in sites if site.kind == "base")


def offered_solvents(mixture: Mixture) -> list[Solvent]:
    """Return the solvents that could make the organic layer: the one asked for, else the reaction's, else ours."""
    if mixture.extraction is not None:
        return [mixture.extraction]
    rows = [table(Solvent)[key] for key in OFFERED]
    own = [s for s, _ in mixture.reaction_solvents if s.extractant and s.log_k_key and s not in rows]
    if boils_c(mixture.product) < VOLATILE_C:
        rows += [table(Solvent)[key] for key in OFFERED_FOR_VOLATILE if table(Solvent)[key] not in own]
    held = [c for c in mixture.wanted if not is_zwitterion(c)]  # butanol does little for an amino acid
    if held and max(min(best_log_d(c, s) for c in held) for s in own + rows) < POLAR_LOG_D:
        rows += [table(Solvent)[key] for key in OFFERED_FOR_POLAR if table(Solvent)[key] not in own]
    return own + rows


def _never_ionised(numbers: Sheet) -> Sheet:
    """Return the sheet with the product's sites out of reach of any pH."""
    pka = [
        (40.0 if sign > 0 else -40.0) if numbers.species[i].component == "product" else pka
        for i, sign, pka in zip(numbers.site_of, numbers.sign, numbers.pka[:, 0], strict=True)
    ]
    return replace(numbers, pka=column(pka))


def _shaken_with_water(
    numbers: Sheet,
    organic: Phase,
    volume_ml: float,
    weak_mmol: Mapping[str, float],
    portions: int,
    poured: tuple[Solution, float] | None = None,
) -> tuple[list[float], float]:
    """Return the product's shares in a layer after each portion of water, ``volume_ml``, and the pH of the first.

    ``numbers`` has one draw. The first portion is what was ``poured`` in, a solution and its volume in mL, where a quench did;
    it gets the weak acid systems of the flask.
    """
    water = table(Solution)["water"]
    layer = in_one_draw(organic)
    whole = max(sum(m for m, s in zip(numbers.mmol, numbers.species, strict=True) if s.component == "product"), 1e-300)
    kept: list[float] = []
    ph = 7.0
    for portion in range(portions):
        if portion == 0:
            solution, volume = poured or (water, volume_ml)
            ph = _washed(numbers, layer, solution, volume, weak_mmol)
        else:
            _washed(numbers, layer, water, volume_ml)
        kept.append(_share(numbers, layer.mmol, "product", whole))
    return kept, ph


def _washed(
    numbers: Sheet,
    organic: Plain,
    solution: Solution,
    volume_ml: float,
    weak_mmol: Mapping[str, float] = NOTHING,
    guess: float | None = None,
    held_ph: float | None = None,
) -> float:
    """Shake a plain layer (``in_one_draw``) with a portion of a solution, which is parted; return the pH of that.

    ``weak_mmol`` are the weak acid systems that the flask brings into this water, ``guess`` a pH that it may be near,
    ``held_ph`` one that it has.
    """
    weak = {key: molarity * volume_ml for key, molarity in dissolved_mmol_ml(solution.id).items()}
    for key, mmol in weak_mmol.items():
        weak[key] = weak.get(key, 0.0) + mmol
    aqueous = plain_phase(
        [0.0] * len(organic.mmol),
        volume_ml,
        (),
        solution.strong_charge_m * volume_ml,
        weak,
        solution.salt_m * volume_ml,
        solution.density_g_ml * volume_ml,
        solution.ph,
    )
    made = shake(prepared(numbers, organic.solvents), organic, aqueous, held_ph, VOLUMES_TO, guess)
    organic.strong_mmol = -made.pair_charge
    return made.ph


def _share(numbers: Sheet, mmol: Sequence[float], component: str, whole: float) -> float:
    there = sum([m for m, s in zip(mmol, numbers.species, strict=True) if s.component == component])
    return there / whole


def pot(
    job: Job,
    solvent: Solvent,
    gone: Collection[str],
    stripped: Collection[str],
    poured: tuple[Solution, float] | None = None,
) -> Pot:
    """Return what a first portion of water would do to the flask as it stands: plain, or what a quench ``poured`` in."""
    mixture = job.mixture
    one = sheet(mixture, 1)
    strong = sum(v for c, v in one.strong_of.items() if c not in gone)
    organic_ml, weak = layer_ml(mixture), one.weak_without(gone)
    volume = part_ml(mixture, table(Solution)["water"], gone, stripped, organic_ml)
    layer = start_layer(one, solvent, organic_ml, gone, stripped, poured)
    kept, ph = _shaken_with_water(one, layer, volume, weak, 1, poured)
    best, _, unlucky = sides(_never_ionised(one))
    layer = start_layer(best, solvent, organic_ml, gone, stripped)
    neutral, _ = _shaken_with_water(best, layer, volume, weak, CONTACTS)
    neutral_unlucky, _ = _shaken_with_water(unlucky, layer, volume, weak, 2)
    # An amine is a salt beside any acid that is two units stronger than its own ion.
    bases = [site.pka for s in one.species for site in s.sites if s.component == "product" and site.kind == "base"]
    limit = max([STRONG_ACID_PKA, *(pka - 2 for pka in bases)])
    acids = any(
        site.kind == "acid" and site.pka < limit
        for s in one.species
        for site in s.sites
        if s.component not in ("product", *gone)
    )
    ions = abs(strong) > 0.02 * mixture.product.mmol or bool(weak) or acids or poured is not None
    octanol = best_log_d(mixture.product, table(Solvent)["1-octanol"])
    return Pot(ph, kept[0], neutral[0], neutral[-1], neutral_unlucky[-1], octanol, ions)


def rinse_ml(organic_ml: float) -> float:
    """Return the volume of solvent that rinses a water layer once."""
    return round_volume(organic_ml * RINSE_SHARE)


def neutralising_ml(mixture: Mixture, poured: tuple[Solution, float] | None = None) -> float:
    """Return the volume of water that the flask is brought to a pH with, as it is measured out."""
    return round_volume(exact_neutralising_ml(mixture, organic_volume_ml(mixture), poured))


def exact_neutralising_ml(mixture: Mixture, organic_ml: float, poured: tuple[Solution, float] | None = None) -> float:
    """Return half the organic layer or 1 mL per mmol of ion, before it is rounded; or what a quench has ``poured`` in already."""
    ions = 0.5 * sum(abs(v) for v in sheet(mixture, 1).strong_of.values())
    return max(0.5 * organic_ml, ions, poured[1] if poured else 0.0)


def uptakes(
    job: Job,
    solvent: Solvent,
    gone: Collection[str],
    stripped: Collection[str],
    solutions: Sequence[Solution],
    pot_ph: float | None = None,
    rinsed: bool = False,
    parted: tuple[Solution, float] | None = None,
    poured: tuple[Solution, float] | None = None,
) -> tuple[list[Trial], dict[str, float]]:
    """Return, for each solution, what three contacts with it leave of each component; and what the flask's water left.

    ``gone`` are components that a quench or filter has taken out, ``stripped`` those evaporated before the washes. With
    ``pot_ph`` the flask is first brought to that pH with water; with ``rinsed`` its water, which holds the product as its
    salt, is parted and rinsed with solvent before (it is what a quench ``poured`` in, else plain). With ``parted`` (a
    solution and its volume in mL) the water of a quench is parted first, and the product counts from there.
    """
    mixture = job.mixture
    one = sheet(mixture, 1)
    organic_ml = layer_ml(mixture)
    volumes = [part_ml(mixture, s, gone, stripped, organic_ml) for s in solutions]
    rows = {c.id: [i for i, s in enumerate(one.species) if s.component == c.id] for c in mixture.components}
    at_first: dict[str, float] = {}
    tried: list[list[dict[str, tuple[float, ...]]]] = []  # for each side and solution
    sure = SURE_FACTOR * mixture.target
    phs: dict[str, list[float]] = {}  # of each solution, after each portion: the sides are near to one another
    # Of a product that never ionises no pH tells: that of the best estimates does for the unlucky side too.
    inert = not any(one.species[i].sites for i in rows["product"])
    for numbers, portions in zip(sides(one), (CONTACTS, CONTACTS, UNLUCKY_CONTACTS), strict=True):
        # What is stripped hangs on the best estimates alone.
        organic = start_layer(one, solvent, organic_ml, gone, stripped, parted)
        start = plain(organic.mmol)
        organic, weak = _before_washes(
            job, numbers, solvent, organic, one.weak_without(gone), pot_ph, rinsed, parted, poured
        )
        begun = in_one_draw(organic)
        for i in rows["product"] if parted is not None else ():
            start[i] = begun.mmol[i]
        whole = {c: sum(start[i] for i in own) for c, own in rows.items()}
        if not tried:
            at_first = {c: sum(begun.mmol[i] for i in own) / whole[c] if whole[c] else 0.0 for c, own in rows.items()}
        cautious = len(tried) == 1
        tried.append([])
        for place, (solution, volume) in enumerate(zip(solutions, volumes, strict=True)):
            layer = replace(begun)
            history, near = [], phs.setdefault(solution.id, [])
            # What may be sure is asked of the cautious side, and no more contacts than it takes.
            asked = [c for c in rows if cautious and tried[0][place][c][-1] <= sure]
            for portion in range(portions):
                guess = near[portion] if portion < len(near) else None
                held = guess if inert and portions == UNLUCKY_CONTACTS else None
                ph = _washed(numbers, layer, solution, volume, NOTHING if portion else weak, guess, held)
                if guess is None:
                    near.append(ph)
                history.append(layer.mmol)
                if cautious and all(sum([layer.mmol[i] for i in rows[c]]) <= sure * whole[c] for c in asked):
                    break
            left = {
                c: tuple([sum([mmol[i] for i in own]) / whole[c] if whole[c] else 0.0 for mmol in history])
                for c, own in rows.items()
            }
            tried[-1].append(left)
    trials = [
        Trial(solution.id, best, cautious, unlucky["product"], phs[solution.id][0])
        for solution, best, cautious, unlucky in zip(solutions, *tried, strict=True)
    ]
    return trials, at_first


def _before_washes(
    job: Job,
    numbers: Sheet,
    solvent: Solvent,
    organic: Phase,
    weak: dict[str, float],
    pot_ph: float | None,
    rinsed: bool,
    parted: tuple[Solution, float] | None,
    poured: tuple[Solution, float] | None,
) -> tuple[Phase, dict[str, float]]:
    """Return the layer that the washes meet, and the weak acid systems (mmol) of the flask that their first water gets.

    See ``uptakes`` for what may come before.
    """
    organic_ml = layer_ml(job.mixture)
    if pot_ph is not None:
        solution = poured[0] if poured else table(Solution)["water"]
        aqueous = fresh_wash(solution, exact_neutralising_ml(job.mixture, organic_ml, poured), numbers)
        _bring(aqueous, weak)
        weak = {}
        if rinsed:
            equilibrate(numbers, organic, aqueous)
            for _ in range(POT_RINSES):
                equilibrate(numbers, fresh_solvent(solvent, RINSE_SHARE * organic_ml, numbers), aqueous)
            organic = fresh_solvent(solvent, organic_ml, numbers)
        equilibrate(numbers, organic, aqueous, held_ph=pot_ph)
    if parted is not None:
        aqueous = fresh_wash(*parted, numbers)
        _bring(aqueous, weak)
        weak = {}
        equilibrate(numbers, organic, aqueous)
    return organic, weak


def _bring(aqueous: Phase, weak_mmol: Mapping[str, float]) -> None:
    for key, mmol in weak_mmol.items():
        aqueous.weak_mmol[key] = aqueous.weak_mmol.get(key, 0.0) + full(1, mmol)


def sides(one: Sheet) -> tuple[Sheet, Sheet, Sheet]:
    """Return a sheet with one draw, the same with all numbers on the side that leaves more, and on the side that leaves less."""
    return one, _shifted(one, CAUTIOUS_SIGMAS), _shifted(one, -CAUTIOUS_SIGMAS)


def _shifted(one: Sheet, sigmas: float) -> Sheet:
    sigma = [site.sigma for item in one.species for site in item.sites]
    pka = [p + sign * s * sigmas for p, sign, s in zip(one.pka[:, 0], one.sign, sigma, strict=True)]
    same = column([sigmas] * len(one.species))
    return replace(one, pka=column(pka), normal=same, pair_normal=same)


def _brought_mmol(poured: tuple[Solution, float] | None) -> float:
    """Return the base (acid below zero) that a solution of a volume in mL brings, mmol."""
    return poured[0].strong_charge_m * poured[1] if poured else 0.0


def start_layer(
    numbers: Sheet,
    solvent: Solvent,
    organic_ml: float,
    gone: Collection[str],
    stripped: Collection[str],
    poured: tuple[Solution, float] | None = None,
) -> Phase:
    """Return the organic layer before the first wash; ``gone`` is out of it, of ``stripped`` a trace is left.

    What a quench has ``poured`` in, a solution and its volume in mL, holds some of what is stripped as its salt.
    """
    amounts = [0.0 if item.component in gone else m for m, item in zip(numbers.mmol, numbers.species, strict=True)]
    strong = sum(v for c, v in numbers.strong_of.items() if c not in gone)
    weak = {k: m * poured[1] for k, m in dissolved_mmol_ml(poured[0].id).items()} if poured else {}
    left = left_by_stripping(numbers, row(amounts), strong + _brought_mmol(poured), stripped, weak)
    return Phase(
        spread([amount * share for amount, share in zip(amounts, left, strict=True)], numbers.draws),
        organic_ml,
        ((solvent.log_k_key, 1.0),),
        full(numbers.draws, strong),
        {},
        full(numbers.draws, 0.0),
        solvent.density_g_ml * organic_ml,
    )


def swap(
    job: Job,
    solvent: Solvent,
    gone: Collection[str],
    stripped: Collection[str],
    solution: Solution,
    back_ph: float,
    pot_ph: float | None = None,
    washes: Sequence[Solution] = (),
    rinsed: bool = False,
    poured: tuple[Solution, float] | None = None,
) -> dict[str, float]:
    """Return the share of each component that a swap through ``solution``, after ``washes``, leaves with the product."""
    organic_ml = layer_ml(job.mixture)
    before = [
        Step("quench", removes=tuple(gone)),
        Step("evaporate", removes=tuple(stripped)),
        Step("dilute", solvent=solvent.id, volume_ml=organic_ml),
    ]
    if pot_ph is not None:
        before += pot_steps(job.mixture, solvent, pot_ph, rinsed, poured, as_it_is)
    before += [
        Step("wash", solution=row.id, volume_ml=part_ml(job.mixture, row, gone, stripped, organic_ml), repeats=2)
        for row in washes
    ]
    book = run_ledger(
        job.mixture,
        [*before, *swap_steps(job.mixture, solvent, solution, back_ph, as_it_is)],
        numbers=sheet(job.mixture, 1),
    )
    return {c.id: float(book.left(c.id)[0]) for c in job.mixture.components}


def pot_steps(
    mixture: Mixture,
    solvent: Solvent,
    pot_ph: float,
    rinsed: bool,
    poured: tuple[Solution, float] | None = None,
    measured: Callable[[float], float] = round_volume,
) -> list[Step]:
    """Return the ledger's steps that bring the flask to a pH, with its water rinsed before if it holds the product.

    That water is what a quench ``poured`` in, a solution and its volume in mL, or plain. ``measured`` makes a volume one that is
    measured out.
    """
    organic_ml = measured(layer_ml(mixture))
    volume = measured(exact_neutralising_ml(mixture, organic_ml, poured))
    if not rinsed:
        return [
            Step(
                "neutralise",
                solvent=solvent.id,
                volume_ml=volume,
                target_ph=pot_ph,
                repeats=2,
                again_ml=measured(AGAIN_SHARE * organic_ml),
            )
        ]
    return [
        Step("take up", solution=poured[0].id if poured else "water", volume_ml=volume),
        Step("rinse water", solvent=solvent.id, volume_ml=measured(RINSE_SHARE * organic_ml), repeats=POT_RINSES),
        Step("set ph", target_ph=pot_ph),
        Step(
            "extract", solvent=solvent.id, volume_ml=measured(organic_ml * 0.5), repeats=portions_back(mixture, solvent)
        ),
    ]


def portions_back(mixture: Mixture, solvent: Solvent) -> int:
    """Return how many portions of solvent bring the product back out of the water: more of them where it is at home there."""
    log_k = partition.molecule_log_k(mixture.product.principal, solvent.log_k_key).value
    return PORTIONS_BACK if log_k > POLAR_LOG_K else MOST_PORTIONS_BACK


# A product below this log K, against water of twice its volume, is brought back by three portions to four fifths or less.
POLAR_LOG_K = 0.5
PORTIONS_BACK, MOST_PORTIONS_BACK = 3, 5


def as_it_is(volume_ml: float) -> float:
    """Return a volume that is not rounded to what is measured out."""
    return volume_ml


def swap_steps(
    mixture: Mixture,
    solvent: Solvent,
    solution: Solution,
    back_ph: float,
    measured: Callable[[float], float] = round_volume,
) -> list[Step]:
    """Return the ledger's steps of a swap: into water, rinse the water, set the pH, back into fresh solvent."""
    organic_ml = measured(layer_ml(mixture))
    portion = measured(max(organic_ml * 0.4, capacity_ml(mixture, solution)))
    return [
        Step("take up", solution=solution.id, volume_ml=portion, repeats=3),
        Step("rinse water", solvent=solvent.id, volume_ml=measured(RINSE_SHARE * organic_ml), repeats=2),
        Step("set ph", target_ph=back_ph),
        Step(
            "extract", solvent=solvent.id, volume_ml=measured(organic_ml * 0.5), repeats=portions_back(mixture, solvent)
        ),
    ]


def capacity_ml(mixture: Mixture, solution: Solution) -> float:
    """Return the volume of one of three portions that hold 1.5 equivalents of acid or base for the product."""
    return mixture.product.mmol * 1.5 / max(solution.molarity_m, 0.05) / 3
