"""The numbers between the stages: what is computed from the conclusions so far and declared for the next ones."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from washlore.knowledge import kinetics, water
from washlore.knowledge.partition import molecule_log_k
from washlore.knowledge.rows import Gas, Residue, Solution, Solvent, table
from washlore.knowledge.structure import molecules
from washlore.rules import facts as f
from washlore.rules import trial, window
from washlore.rules.contact import Vapour
from washlore.rules.families.choice import poisoned_solutions
from washlore.rules.families.quench import in_granular_salts
from washlore.rules.families.removal import evaporates
from washlore.rules.families.swap import WORTHWHILE
from washlore.rules.ledger import Ledger, band
from washlore.rules.meeting import CHLORINATED, CHLOROMETHANES, meeting
from washlore.rules.mixture import Component, is_organic
from washlore.rules.perceive import Job, bottles
from washlore.rules.species import permanent_charge, solvents_by_smiles
from washlore.rules.steps import PlanStep
from washlore.rules.stripped import neutrals_stripped
from washlore.rules.words import listed, share, spread

if TYPE_CHECKING:
    from washlore.rules.fragility import Fragile

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
# Carbon dioxide (mmol) that one mmol of acid sets free from what a flask is neutralised with.
CO2_PER_ACID = {"NaHCO3": 1.0, "K2CO3": 0.5, "Na2CO3": 0.5}
# Less of a poisonous gas in the air over a funnel is not spoken of (parts per million by volume).
LEAST_VAPOUR_PPM = 10.0
BACK_PH_MARGIN = 2.2
# No wash is more acidic than this.
LOWEST_WASH_PH = 0.0
# Below this share held against one portion of water no workup by extraction is worth the name.
LEAST_HELD = 0.12
# Below this octanol log P (nucleosides), and of free sugars, not even butanol takes a product up.
LEAST_LOG_P = -1.7
LEAST_HYDROXYLS = 3
# A swap is not tried with a solution that leaves more than this of the product behind.
MOST_LEFT_BEHIND = 0.2
# One portion of what takes the product up is no larger than this beside the organic layer: else a stronger solution does it.
MOST_OF_LAYER = 1.2
SHAKING_MIN = 5.0
# A neutral or a base that boils this far below a solvent is gone when that is stripped.
GOES_ALONG_C = 30.0


class PlanRefused(ValueError):
    """No aqueous workup is right for this mixture; the message says why and what would work.

    ``held``: of a product that belongs to the water, the share that an organic layer would hold against one portion of it.
    """

    def __init__(self, message: str, fired: Sequence[str] = (), held: float | None = None) -> None:
        super().__init__(message)
        self.fired = tuple(fired)
        self.held = held


def stripped_components(ke: Any, job: Job) -> tuple[str, ...]:
    """Return the components that are evaporated before the washes: solvents, and what boils far below one of them."""
    rows = {fact["subject"] for _, fact in ke.facts_of(f.Prepares, action="evaporate")}
    if not rows:
        return ()
    own = [fact["component"] for _, fact in ke.facts_of(f.Mixes) if fact["solvent"] in rows]
    own += [c.id for c in job.mixture.others if c.id in rows or solvent_id(c) in rows]
    solvents = table(Solvent)
    taken_at_c = max((solvents[row].boiling_c for row in rows if row in solvents), default=0.0) - GOES_ALONG_C
    acids = {fact["component"] for _, fact in ke.facts_of(f.Ionises, kind="acid")}
    kept = acids | {fact["component"] for _, fact in ke.facts_of(f.Leftover)} | {"product"}
    along = [
        fact["component"]
        for _, fact in ke.facts_of(f.Boils)
        if fact["boiling_c"] < taken_at_c and fact["component"] not in kept
    ]
    # A leftover with a remedy of its own gets it; a neutral leaves whatever it was.
    remedied = {fact["component"] for _, fact in ke.facts_of(f.Leftover) if fact["action"] != "other"}
    ionising = {fact["component"] for _, fact in ke.facts_of(f.Ionises)}
    neutral = neutrals_stripped(job.mixture, (fact for _, fact in ke.facts_of(f.Boils)), ionising | remedied)
    return tuple(dict.fromkeys([*own, *along, *(c.id for c in job.mixture.others if c.id in neutral)]))


def solvent_id(component: Component) -> str:
    """Return the row of a component that is a reaction solvent with no equation of its own, such as carbon disulfide."""
    row = solvents_by_smiles().get(component.smiles) if component.role == "solvent" else None
    return row.id if row else ""


def needs_no_water(ke: Any, job: Job, gone: Sequence[str], stripped: Sequence[str]) -> bool:
    """Tell whether all beside the product is filtered off, destroyed, stripped with the solvent, or as neutral as the product.

    The granular salts of a hydride would hold what belongs to the water.
    """
    if in_granular_salts(ke):
        return False
    plain = ke.first(f.Ionises, component="product") is None
    return all(
        c.id in gone or c.id in stripped or (plain and _is_neutral(ke, c)) or evaporates(ke, c.id)
        for c in job.mixture.others
    )


def _is_neutral(ke: Any, component: Component) -> bool:
    """Tell whether acid, base and the remedies for leftovers have nothing to say of a compound."""
    return all(is_organic(part) and not permanent_charge(part) for part in component.parts) and not (
        ke.first(f.Ionises, component=component.id) or ke.first(f.Leftover, component=component.id)
    )


def observe_pot(
    ke: Any,
    job: Job,
    solvent: Solvent,
    gone: Sequence[str],
    stripped: Sequence[str],
    poured: tuple[Solution, float] | None = None,
) -> None:
    """Declare what water would do to the flask as it stands: plain, or the solution that a quench ``poured`` in."""
    found = trial.pot(job, solvent, gone, stripped, poured)
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
            neutral_unlucky=_short(found.neutral_unlucky),
            log_p=_short(found.log_p),
            ions=found.ions,
        ),
        f"computed: the flask shaken with {poured[0].name if poured else 'water'} stands at pH {found.ph:.1f} and leaves "
        f"{share(found.kept)} of {product} in the organic layer; of its neutral form {share(found.neutral)} would stay",
    )


def observe_trials(
    ke: Any,
    job: Job,
    solvent: Solvent,
    gone: Sequence[str],
    stripped: Sequence[str],
    pot_ph: float | None,
    rinsed: bool,
    parted: tuple[Solution, float] | None,
    poured: tuple[Solution, float] | None = None,
) -> list[trial.Trial]:
    """Declare what each solution would do to each component, and return the trials."""
    rows = list(bottles(job))
    trials, after_pot = trial.uptakes(job, solvent, gone, stripped, rows, pot_ph, rinsed, parted, poured)
    target = job.mixture.target
    if pot_ph is not None or parted is not None:
        where = f"at pH {pot_ph:g} the first water" if pot_ph is not None else "the water that is parted first"
        for component in job.mixture.others:
            if component.id not in gone:
                left = after_pot[component.id]
                ke.observe(
                    f.AfterPot(component=component.id, left=_short(left), enough=left <= target),
                    f"computed: {where} leaves {share(left)} of {component.name}",
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
                    sure=bool(result.cautious[component.id][-1] <= trial.SURE_FACTOR * target),
                    spent_ph=round(result.spent_ph, 2),
                ),
                f"computed before any other wash: one, two, three contacts of {solvent.name} with a third of its volume of "
                f"{name} leave {share(after[0])}, {share(after[1])}, {share(after[2])} of {component.name} in the organic layer "
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
        if loss is not None and loss.mid > 0.001:
            ke.observe(
                f.Decays(solution=result.solution, share=_short(loss.mid), group=loss.group),
                f"{name} would destroy about {share(min(loss.mid, 1.0))} of {product.name} in {SHAKING_MIN:.0f} minutes",
                (loss.source,),
            )
    return trials


def observe_windows(
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


def observe_fragile(ke: Any, found: Sequence[Fragile]) -> None:
    """Declare the conclusions that turn over within the uncertainty of a number."""
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


def refuse_if_no_water(ke: Any, job: Job) -> None:
    """Refuse a product that water destroys. Raises ``PlanRefused``."""
    found = next(ke.facts_of(f.Harms, solution="any"), None)
    if found is None:
        return
    reason = ke.known[found[0]].reasons[0]
    raise PlanRefused(
        f"product: {reason.text}; no aqueous wash is right for it. Filter off salts under dry conditions, strip the volatiles "
        "and distil or crystallise, or carry it into the next step as it is.",
        ke.fired,
    )


def refuse_if_solvent_explodes(ke: Any, job: Job) -> None:
    """Refuse a solvent that was asked for and makes an explosive of a leftover. Raises ``PlanRefused``."""
    asked = ke.first(f.Candidate, asked_for=True)
    if asked is None or asked["solvent"] not in CHLOROMETHANES:
        return
    row = table(Solvent)[asked["solvent"]]
    for _, fact in ke.facts_of(f.Leftover):
        if meeting(frozenset({fact["residue"]}), frozenset({CHLORINATED})):
            raise PlanRefused(
                f"extract: {row.name} and {job.name(fact['component'])} slowly give azidomethanes, which explode when they are "
                "concentrated. Ask for ethyl acetate or an ether, or leave the choice open.",
                ke.fired,
            )


def refuse_if_poisoned(ke: Any, job: Job) -> None:
    """Refuse to acidify a flask that would give a poison gas. Raises ``PlanRefused``."""
    found = next(ke.facts_of(f.PoisonsPot), None)
    if found is None:
        return
    component = found[1]["component"]
    row = table(Residue)[ke.first(f.Leftover, component=component)["residue"]]
    raise PlanRefused(
        f"product: {ke.known[found[0]].reasons[0].text}; no order of washes parts the two. Destroy {job.name(component)} first "
        f"by the procedure that is laid down for it, with someone who knows how, in the hood; test that none is left, and plan the "
        f"workup without it. Of {row.name}: {row.never}.",
        ke.fired,
    )


def _ionised_at_best(ke: Any) -> float:
    """Return how many times more of the product is ionised than not, at the pH where that is least."""
    acid = ke.first(f.Ionises, component="product", kind="acid")
    base = ke.first(f.Ionises, component="product", kind="base")
    if acid is None or base is not None:
        return (
            0.0  # at its isoelectric pH nothing is charged: log K is for the zwitterion and the neutral form together
        )
    return 10.0 ** max(0.0, LOWEST_WASH_PH - acid["pka"])


def _is_sugar(product: Component) -> bool:
    """Tell whether every second carbon at least carries a hydroxyl group, three of them or more."""
    atoms = list(product.principal.mol.GetAtoms())
    carbons = sum(a.GetSymbol() == "C" for a in atoms)
    hydroxyls = sum(a.GetSymbol() == "O" and a.GetTotalNumHs() == 1 for a in atoms)
    return hydroxyls >= LEAST_HYDROXYLS and hydroxyls >= carbons / 2


def _is_alcohol(solvent: Solvent) -> bool:
    atoms = [a for part in molecules(solvent.smiles) for a in part.mol.GetAtoms()]
    return any(a.GetSymbol() == "O" and a.GetTotalNumHs() == 1 for a in atoms)


def refuse_if_water_bound(ke: Any, job: Job, solvent: Solvent, dry: bool = False) -> None:
    """Refuse a product that no organic layer holds, whatever the pH: extraction would throw it away.

    A free sugar or an amino acid is one for an alcohol too, though its numbers there are extrapolated. Without any water
    (``dry``) it may be worked up all the same.
    """
    neutral = ke.first(f.Pot)["neutral"] / max(1.0, _ionised_at_best(ke))
    at_home = ke.first(f.Pot)["log_p"] < LEAST_LOG_P or _is_sugar(job.mixture.product)
    at_home = at_home or trial.is_zwitterion(job.mixture.product)
    extrapolated = at_home and (solvent.id in trial.OFFERED_FOR_POLAR or _is_alcohol(solvent))
    if neutral >= LEAST_HELD and not extrapolated:
        return
    product = job.mixture.product.name
    if dry:
        text = f"of the least charged form of {product} {share(neutral)} would stay in {solvent.name} against water"
        ke.observe(f.KeptDry(share=float(neutral)), f"{text}; nothing else in the flask needs any")
        return
    kinds = {fact["kind"] for _, fact in ke.facts_of(f.Behaviour, component="product")}
    if in_granular_salts(ke):
        way = (
            "quench the hydride with water, 15 % sodium hydroxide, water in turn, filter, and boil the salts out several times "
            "with methanol, which takes what ether leaves on them, or extract them in a Soxhlet; strip that and recrystallise"
        )
    elif "permanent ion" in kinds:
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
    if neutral < LEAST_HELD:
        why = (
            f"of its least charged form {share(neutral)} {'at most ' if extrapolated else ''}would stay in {solvent.name} against "
            "one portion of water, so every aqueous wash throws it away"
        )
    else:
        why = (
            f"its log K between water and octanol is {ke.first(f.Pot)['log_p']:.1f}, and how much of such a compound "
            f"{solvent.name} would hold is not known, so any aqueous wash may throw it away"
        )
    raise PlanRefused(
        f"product: {product} belongs to the water: {why}. Instead {way}.",
        ke.fired,
        float(neutral),
    )


def observe_swaps(
    ke: Any,
    job: Job,
    solvent: Solvent,
    gone: Sequence[str],
    stripped: Sequence[str],
    trials: Sequence[trial.Trial],
    pot_ph: float | None,
    rinsed: bool,
    poured: tuple[Solution, float] | None = None,
) -> None:
    """Declare what carrying the product through each solution and back would give."""
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
    # A swap ends or begins in acid: not beside what acid turns into a poison gas and no wash takes out before.
    poisoned = poisoned_solutions(ke)
    if poisoned and acid_product:
        return
    for result in trials:
        row = table(Solution)[result.solution]
        right = row.acts_as == ("base" if acid_product else "acid")
        if (
            not right
            or not row.general
            or row.id in destroys
            or row.id in poisoned
            or row.id == "nh4cl_sat"
            or trial.capacity_ml(job.mixture, row) > MOST_OF_LAYER * trial.layer_ml(job.mixture)
            or result.left["product"][2] > MOST_LEFT_BEHIND
        ):
            continue
        left = trial.swap(job, solvent, gone, stripped, row, back, pot_ph, rinsed=rinsed, poured=poured)
        washed = False
        if left["product"] < WORTHWHILE and washes:
            better = trial.swap(job, solvent, gone, stripped, row, back, pot_ph, washes, rinsed, poured)
            washed = better["product"] > left["product"]
            left = better if washed else left
        first = f"after {listed([w.name for w in washes])}, " if washed else ""
        ke.observe(
            f.SwapTrial(solution=row.id, recovered=_short(left["product"]), back_ph=back),
            f"computed: {first}three portions of {row.name}, two rinses, pH {back:g} and "
            f"{trial.portions_back(job.mixture, solvent)} extractions bring "
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


def observe_layers(ke: Any, job: Job, book: Ledger, steps: Sequence[PlanStep]) -> None:
    """Declare what the contacts of the finished steps come to: layers, gas, miscible solvents."""
    poured_at = {
        part.number: quench.number
        for part in steps
        for quench in steps
        if part.action == "part" and quench.action == "quench" and part.solution and part.solution == quench.solution
    }
    worst: dict[int, Any] = {}
    for contact in book.contacts:
        if contact.portion == 1:
            worst[contact.step] = contact
    for number, contact in worst.items():
        ph = band(contact.ph)
        ke.observe(
            f.Layers(
                step=number,
                poured_at=poured_at.get(number, number),
                organic_density=round(contact.organic_density, 3),
                aqueous_density=round(contact.aqueous_density, 3),
                ph=round(ph[1], 2),
                co2_ml=round(contact.co2_ml, 1),
                heat_kj=round(contact.heat_kj, 2),
                rise_c=round(contact.rise_c, 1),
                volume_ml=_short(funnel_holds(book, number)),
            ),
            f"computed: step {number}, first contact: organic {contact.organic_density:.2f} g/mL, aqueous "
            f"{contact.aqueous_density:.2f} g/mL, spent at pH {ph[1]:.1f}, {contact.co2_ml:.0f} mL of carbon dioxide, "
            f"{contact.heat_kj:.1f} kJ, a rise of {contact.rise_c:.0f} C if nothing cools it",
            ("from_memory",),
        )
        if contact.mixed and contact.mixed.one_layer:
            mixed = contact.mixed
            ke.observe(
                f.OneLayer(step=number, component=mixed.component, share=_short(mixed.share), most=_short(mixed.most)),
                f"computed: {share(mixed.share)} of what is in the funnel in step {number} is {job.name(mixed.component)} "
                f"or its like; two layers stand up to {share(mixed.most)}",
                ("treybal",),
            )
    for number, vapour in _vapours(book):
        ke.observe(
            f.Vapour(
                step=number,
                component=vapour.component,
                gas=vapour.gas,
                left_ml=round(vapour.left_ml, 1),
                ppm=round(vapour.above_ppm),
            ),
            f"computed: in step {number} {vapour.left_ml:.0f} mL of {table(Gas)[vapour.gas].name} leaves as gas, and the air "
            f"in balance with the water layer holds {vapour.above_ppm:.2g} parts per million of it",
            ("sander2015",),
        )
    for number, gas in book.gas_ml.items():
        ke.observe(
            f.Fizz(step=number, co2_ml=round(gas, 1), poured="acid"),
            f"computed: acidifying in step {number} sets {gas:.0f} mL of carbon dioxide free",
            ("crc",),
        )
    for step in steps:
        acid_mmol = book.given_mmol.get(step.number, 0.0)
        if acid_mmol > 0 and step.solute in CO2_PER_ACID:
            held = water.CO2_CAP_M * (step.volume_ml or 0.0)
            gas = float(water.co2_volume_ml(max(acid_mmol * CO2_PER_ACID[step.solute] - held, 0.0)))
            ke.observe(
                f.Fizz(step=step.number, co2_ml=round(gas, 1), poured=step.solute),
                f"computed: {acid_mmol:.2g} mmol of acid take that much {step.solute} in step {step.number}, and {gas:.0f} mL "
                "of carbon dioxide leave",
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


def observe_outcome(ke: Any, job: Job, book: Ledger, steps: Sequence[PlanStep]) -> None:
    """Declare what the finished steps come to: their layers, and what is left of each component."""
    observe_layers(ke, job, book, steps)
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
            f"computed: after all steps {share(mid)} of {component.name} is with the product"
            f"{spread(low, mid, high, 'nine cases in ten: ')}",
        )


def _vapours(book: Ledger) -> list[tuple[int, Vapour]]:
    """Return for each component that stands over water as a gas the step where most of it does."""
    worst: dict[tuple[str, str], tuple[int, Vapour]] = {}
    for number, vapours in [*((c.step, c.vapours) for c in book.contacts), *book.vented.items()]:
        for vapour in vapours:
            known = worst.get((vapour.component, vapour.gas))
            least = known[1].above_ppm if known else LEAST_VAPOUR_PPM
            if vapour.component and vapour.above_ppm > least:
                worst[vapour.component, vapour.gas] = (number, vapour)
    return list(worst.values())


def _cosolvents(book: Ledger) -> list[tuple[int, str, float]]:
    """Return (step, component, largest share) of the miscible solvents in water layers."""
    worst: dict[tuple[int, str], float] = {}
    for number, component_id, part in book.cosolvent:
        worst[number, component_id] = max(part, worst.get((number, component_id), 0.0))
    return [(number, component_id, part) for (number, component_id), part in worst.items()]


def funnel_holds(book: Ledger, number: int) -> float:
    """Return the largest volume of both layers together in a step, mL."""
    return max((c.organic_ml + c.aqueous_ml for c in book.contacts if c.step == number), default=0.0)
