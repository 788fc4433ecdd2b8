"""What is observed of a plan that has been carried out: the facts that the rules of ``rules/judging`` go by."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import Any

from washlore.knowledge.arrays import np
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.knowledge.scope import ligated, metals_in
from washlore.rules import facts as f
from washlore.rules.account import POURED, TOUCHED, Job, poured_ph, short
from washlore.rules.again import may_carry
from washlore.rules.bench import ONE_PHASE, says_ph
from washlore.rules.closing import COLUMN_BELOW_C
from washlore.rules.flask import Act
from washlore.rules.idle import Met, idle_washes
from washlore.rules.judging import facts as j
from washlore.rules.ledger import band, median
from washlore.rules.perils import LEAST_SHARE, observe_perils
from washlore.rules.proposal import Proposal, ReadStep, clause_of
from washlore.rules.species import Array
from washlore.rules.words import share

# Our own plan must leave this many times less for a remainder to be held against a plan.
BETTER = 3.0
# It must stay even with the numbers on the lucky side, at this many times the target.
SURE_TIMES = 3.0
# An acid without a base wash, or a base without an acid wash, is told of from here, though the numbers may be lucky.
MUCH_TIMES = 10.0
# What a step without a volume leaves up to this share is laid to the volume that was assumed.
UNSAID_SHARE = 0.3
MOST_PORTIONS = 8
# Up to this many equivalents a metal is there as a catalyst.
CATALYTIC_EQUIV = 0.1
# Gas that is felt at the tap of a closed funnel, mL; and a solvent whose vapour is.
FELT_GAS_ML, VOLATILE_C = 25.0, 41.0
# Where no volume is said, a portion as large as the layer is the most that anybody takes.
ASSUMED_PART = 3.0
LEAST_DROP = 0.02
# A plan that loses no more than this beyond what ours must lose is not faulted for it.
UNAVOIDABLE = 0.1
# A product that loses no more than this in five minutes of shaking, and at worst, comes through; where no rate constant
# is held, one of which hardly anything is in the water.
SURVIVED, SURVIVED_AT_WORST, HARDLY_EXPOSED = 0.03, 0.2, 3e-4


def observe(job: Job, ke: Any) -> None:
    """Declare what the rules go by."""
    _observe_steps(job, ke)
    _observe_losses(job, ke)
    _observe_remains(job, ke)
    _observe_purposes(job, ke)
    observe_perils(job, ke)
    _observe_practice(job, ke)
    _observe_stripped_product(job, ke)
    _observe_unstripped(job, ke)


def _observe_steps(job: Job, ke: Any) -> None:
    used: set[str] = set()
    extremes = []
    for act in job.bench.acts:
        if act.did == "set ph" and says_ph(act.read):
            extremes.append(act.ph)
            if act.kept == "aqueous" and not act.contacts:
                ke.observe(j.SetTo(step=act.number, ph=act.ph), f"step {act.number}: {act.read.words}")
        read = act.read
        row = table(Solution).get(act.solution)
        used.add("" if act.in_salts else read.desiccant)
        met = None if row is None else row.ph
        if act.did in POURED and not act.in_salts and row is not None and row.acts_as in ("acid", "base"):
            met = poured_ph(job.bench.acts, act)  # what is left of it after the reaction, and not the bottle's
            if met is None:
                continue
        elif row is not None and not act.in_salts and (turned := job.turned(act.number)) is not None:
            met = turned
        elif (read.action not in ("wash", "take up", "dry") and act.did != "wash" and not act.in_salts) or not (
            row or read.desiccant
        ):
            continue
        if met is not None:
            extremes.append(met)
        ke.observe(
            j.Did(
                step=act.number,
                action=read.action,
                solution=act.solution,
                acts=row.acts_as if row else "",
                ph=7.0 if met is None else met,
                solvent=read.solvent,
                desiccant="" if act.in_salts else read.desiccant,  # basic as they are, whatever goes in
                survives=row is not None and met is not None and _survives(job, act, met),
                breaks=_breaks(job, act),
            ),
            f"step {act.number}: {read.words}",
        )
    product = job.plan.mixture.product.id
    low = min(extremes, default=7.0)
    high = max(extremes, default=7.0)
    for known in job.plan.known.values():
        fact = known.fact
        kind = type(fact)
        if kind is f.Stands:
            wanted = fact["ph"] > low if fact["side"] == "low" else fact["ph"] < high
        elif kind is f.BarredDesiccant:
            wanted = fact["desiccant"] in used
        else:
            wanted = kind is f.Pot or kind is f.SpoiltBy
        if wanted:
            reason = known.reasons[0]
            ke.observe(_copy(fact), reason.text, reason.sources)
    ke.observe(
        j.Character(component=product, kind=job.kind(product), pka=job.pka_value(product)),
        f"{job.name(product)} is {job.kind(product)}",
    )


def _breaks(job: Job, act: Act) -> float:
    loss = job.hydrolysed(act.number) if act.did in ("wash", "take up", *POURED) else None
    return short(loss.mid) if loss is not None else 0.0


def _survives(job: Job, act: Act, ph: float) -> bool:
    """Tell whether so little of the product is in water of this pH, strong acid or base, that it comes through all the same."""
    if 2.0 < ph < 11.0 or not (act.contacts or act.did in POURED):
        return False
    exposed = job.exposed(act)
    loss = job.hydrolysed(act.number)
    if loss is not None:
        return loss.mid < SURVIVED and loss.mid * loss.factor < SURVIVED_AT_WORST
    return exposed < (HARDLY_EXPOSED if ph > 7 else HARDLY_EXPOSED / 30)


def _observe_losses(job: Job, ke: Any) -> None:
    """Observe where the product goes, as far as our own plan would have kept it; and layers, kept and thrown away."""
    if float(job.plan.recovered[1]) > job.recovered() + UNAVOIDABLE:
        _observe_lost(job, ke)
    _observe_layers(job, ke)


def _observe_lost(job: Job, ke: Any) -> None:
    row = job.ids.index("product")
    mistaken = {act.number for act, _, _ in job.bench.mistakes}
    pending: list[tuple[Act, Array]] = []
    for act, (before, after) in zip(job.bench.acts, job.history, strict=True):
        drop = before[row] - after[row]
        if act.read.action in ("evaporate", "concentrate") or act.number in mistaken:
            # As its solvent goes, what was in either layer is in one flask again.
            back = np.maximum(-drop, 0.0)
            pending = [(a, np.maximum(d - back, 0.0)) for a, d in pending]
            continue
        aside = act.read.action in ("dilute", "quench", "set ph")
        if aside and (not _goes_on(job, act) or 0 < job.first_dry() < act.number):
            continue  # nothing is parted after it
        if float(drop[0]) < -LEAST_DROP:
            back = -drop
            pending = [(a, np.maximum(d - back, 0.0)) for a, d in pending]
        elif float(np.max(drop)) > LEAST_DROP:
            pending.append((act, drop))
    for act, drop in pending:
        low, mid, high = band(drop)
        if mid < 2 * LEAST_DROP:
            continue
        solution = act.solution if act.did in ("wash", "take up") else ""
        if act.did == "take up":
            # What is left behind in the organic layer.
            solution = ""
        if act.did in ("quench", "dilute") and act.contacts and _takes_its_kind(job, act.solution):
            solution = act.solution  # acid poured onto an amine, base onto an acid: its salt goes with that water
        acts = table(Solution)[solution].acts_as if solution else j.TAKES_UP if act.did == "take up" else ""
        ke.observe(
            j.Lost(
                step=act.number,
                share=short(mid),
                low=short(low),
                high=short(high),
                solution=solution,
                acts=acts,
                said=act.volume_said,
            ),
            f"computed: step {act.number} takes {share(mid)} of the product",
        )


def _takes_its_kind(job: Job, solution: str) -> bool:
    row = table(Solution).get(solution)
    kinds = {"acid": ("base", "weak base"), "base": ("acid", "weak acid")}
    return row is not None and job.kind("product") in kinds.get(row.acts_as, ())


def _observe_layers(job: Job, ke: Any) -> None:
    for act, said, holds in job.bench.mistakes:
        contact = next((c for c in reversed(job.bench.book.contacts) if c.step == act.number), None)
        if contact is None:
            continue
        ke.observe(
            j.Kept(
                step=act.number,
                said=said,
                position=act.read.layer_kept,
                holds=short(holds),
                organic_density=round(contact.organic_density, 2),
                aqueous_density=round(contact.aqueous_density, 2),
            ),
            f"the {said} layer is kept",
        )
    for act in job.bench.acts:
        if act.skipped in ("no layer", "mixes with both") and not _mixed(job, act.read):
            ke.observe(
                j.NoLayer(step=act.number, solvent=act.read.solvent, layers=act.skipped != "no layer"),
                "the solvent mixes with water",
            )
        if act.skipped == ONE_PHASE:
            solvent = max(
                job.plan.mixture.reaction_solvents, key=lambda pair: (pair[0].miscibility == "miscible", pair[1])
            )[0]
            ke.observe(j.NoLayer(step=act.number, solvent=solvent.id, layers=False), "there is no second layer")
    for act, held in job.bench.discarded:
        _, mid, high = band(np.asarray(held))
        ke.observe(j.Discards(step=act.number, share=short(mid), high=short(high)), "layers are thrown away")


def _mixed(job: Job, read: ReadStep) -> bool:
    """Tell whether the words around a solvent speak of a mixture of solvents."""
    around = job.proposal.text[max(0, read.start - 25) : read.end + 12]
    return any(sign in around for sign in "/:%")


def _goes_on(job: Job, act: Act) -> bool:
    later = ("wash", "extract", "take up", "dry", "discard")
    return any(a.read.action in later for a in job.bench.acts[act.number :])


def _a_trace_of_metal(job: Job, component: str) -> bool:
    """Tell whether a component is a catalyst of the platinum metals, which hardly anybody washes out.

    A column or a scavenger takes it; a plan without one for it is no worse.
    """
    item = job.plan.mixture.component(component)
    return ligated(item.parts) and item.mmol <= CATALYTIC_EQUIV * job.plan.mixture.product.mmol


# What a step is said to take away: "to remove the cresol", "to get the amine out".
_PURPOSE = re.compile(
    r"\b(?:to|for) (?:remov\w+|tak\w+ out|get\w* rid of|get\w*|wash\w* out|pull\w* out|extract\w*|eliminat\w+|tak\w+ away) "
    r"(?:out )?([^.;,()\n]{3,90})",
    re.I,
)
# Words of a name that are of many.
_OF_MANY = frozenset(
    [
        "acid",
        "acids",
        "base",
        "bases",
        "chloride",
        "bromide",
        "iodide",
        "fluoride",
        "oxide",
        "hydroxide",
        "carbonate",
        "sulfate",
        "phosphate",
        "acetate",
        "sodium",
        "potassium",
        "lithium",
        "ammonium",
        "magnesium",
        "methyl",
        "ethyl",
        "butyl",
        "phenyl",
        "benzyl",
        "alcohol",
        "ester",
        "amine",
        "amide",
        "ether",
        "water",
        "salt",
        "salts",
        "hydride",
        "catalyst",
        "starting",
        "material",
        "excess",
        "unreacted",
        "remaining",
        "residual",
        "reagent",
        "anhydride",
        "hydrochloride",
        "dimethyl",
        "diethyl",
    ]
)
# A wash that takes no more than this, at best and on the lucky side, does not do what it is said to.
HARDLY, HARDLY_AT_MOST = 0.3, 0.9


def _named_in(job: Job, words: str) -> list[str]:
    """Return the components that words name: by their whole name, or by the words of it that are no other's."""
    said = set(re.findall(r"[a-z][a-z0-9]{4,}", words.lower()))
    scores: dict[str, int] = {}
    for component in job.ids:
        name = job.name(component).lower()
        if component == "product":
            continue
        if len(name) > 3 and re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", words.lower()):
            return [component]
        parts = re.findall(r"[a-z][a-z0-9]{4,}", name) + metals_in(job.plan.component(component).parts)
        hits = {w for w in said if any(p == w or (len(w) > 5 and p.endswith(w)) for p in parts)}
        if hits - _OF_MANY:
            scores[component] = len(hits)
    best = max(scores.values(), default=0)
    found = [c for c, n in scores.items() if n == best]
    return found if len(found) == 1 else []


def _observe_purposes(job: Job, ke: Any) -> None:
    """Observe a wash that is said to take a component, and leaves it where it is."""
    text, acts = job.proposal.text, job.bench.acts
    for act in acts:
        if act.did != "wash" or not act.contacts:
            continue
        later = [a.read.start for a in acts[act.number :] if a.read.start >= act.read.end]
        found = _PURPOSE.search(text, act.read.start, min([*later, len(text)]))
        for component in _named_in(job, found[1]) if found else ():
            row = job.ids.index(component)
            before, after = (m[row] for m in job.history[act.number - 1])
            there = float(median(before))
            if there < LEAST_SHARE:
                continue
            _, taken, at_most = band((before - after) / np.maximum(before, 1e-12))
            low, mid, high = band(job.final[row])
            if taken < HARDLY and at_most < HARDLY_AT_MOST:
                ke.observe(
                    j.Misses(
                        step=act.number,
                        component=component,
                        words=found[1].strip() if found else "",
                        stays=short(1.0 - taken),
                        low=short(low),
                        mid=short(mid),
                        high=short(high),
                    ),
                    f"step {act.number} is said to take {job.name(component)}",
                )


def _not_made(job: Job, component: str) -> bool:
    """Tell whether a component is what a quench makes of another that nothing in the plan ends."""
    made = job.plan.component(component).origin == "quench"
    return made and component[:-1] in job.bench.leftovers and component[:-1] not in job.bench.gone


def _observe_remains(job: Job, ke: Any) -> None:
    if job.bench.solid:
        number = next(a.number for a in job.bench.acts if a.read.action == "filter" and a.number >= job.bench.solid)
        ke.observe(j.Collected(step=number), "a solid is collected from the water")
        return  # how much it holds back is not known
    target = job.plan.mixture.target
    remains = []
    for index, component in enumerate(job.ids):
        if component == "product" or _a_trace_of_metal(job, component) or _not_made(job, component):
            continue
        low, mid, high = band(job.final[index])
        ours = job.plan.left[component][1]
        sure = SURE_TIMES * target
        if mid > MUCH_TIMES * target and job.kind(component) in ("acid", "base") and _lacks_its_side(job, component):
            sure = target / SURE_TIMES
        if mid <= target or low <= sure or ours * BETTER > mid:
            continue
        remains.append((component, index, low, mid, high, ours))
    if not remains:
        return
    washes = job.washes()
    phs = [a.ph for a in washes]
    kinds = [table(Solution)[a.solution].acts_as for a in washes]
    sets = [a.ph for a in job.bench.acts if a.did == "set ph"]
    ke.observe(
        j.Sides(
            lowest=min([*phs, *sets], default=7.0),
            highest=max([*phs, *sets], default=7.0),
            only_neutral=bool(kinds) and all(k == "salt" for k in kinds) and not sets,
            brine_step=next((a.number for a in washes if a.solution in ("brine", "half_brine")), 0),
        ),
        "the washes of the plan",
    )
    for component, index, low, mid, high, ours in remains:
        drops = [(b[index, 0] - a[index, 0], act) for (b, a), act in zip(job.history, job.bench.acts, strict=True)]
        best, act = max(drops, key=lambda pair: pair[0])
        touched = act.number if best >= TOUCHED and act.contacts else 0
        if touched and not act.volume_said and mid < UNSAID_SHARE and _generously(job, index) <= SURE_TIMES * target:
            continue
        ke.observe(
            j.Remains(
                component=component,
                low=short(low),
                mid=short(mid),
                high=short(high),
                ours=short(ours),
                touched=touched,
            ),
            f"computed: {share(mid)} of {job.name(component)} is left",
        )
        kind = job.kind(component)
        if kind == "other" and job.natures.kinds.get(component, set()) & {"salt", "water-miscible solvent"}:
            kind = "polar"
        ke.observe(
            j.Character(component=component, kind=kind, pka=job.pka_value(component)),
            f"{job.name(component)} is {kind}",
        )
        spent = act.contacts and abs(float(act.contacts[0].ph[0]) - act.ph) > 2 and best > 0.2 * LEAST_SHARE
        if (touched or spent) and act.did == "wash":
            _observe_portions(job, ke, component, index, act, target)


def _lacks_its_side(job: Job, component: str) -> bool:
    """Tell whether a component is an acid that no base meets in the plan, or a base that no acid meets."""
    wanted = {"acid": "base", "weak acid": "base", "base": "acid", "weak base": "acid"}.get(job.kind(component))
    met = {table(Solution)[a.solution].acts_as for a in job.bench.acts if a.contacts and a.solution in table(Solution)}
    return wanted is not None and wanted not in met and not any(a.did == "set ph" for a in job.bench.acts)


def _generously(job: Job, index: int) -> float:
    """Return what is left of a component if each wash without a volume were as large as the layer."""
    left = job.final[index].copy()
    for act, (before, after) in zip(job.bench.acts, job.history, strict=True):
        if act.did != "wash" or act.volume_said or not act.contacts or act.portion_ml > act.organic_ml / 2:
            continue
        stays = np.clip(after[index] / np.maximum(before[index], 1e-12), 1e-9, 1.0)
        taken = (1.0 - stays) / stays  # to the layer's share as the volume of the portion is to the layer's
        left = left / np.maximum(stays, 1e-9) / (1.0 + ASSUMED_PART * taken)
    return band(left)[1]


def _observe_portions(job: Job, ke: Any, component: str, index: int, act: Act, target: float) -> None:
    before, after = (float(median(m[index])) for m in job.history[act.number - 1])
    each = max(after / max(before, 1e-12), 1e-9) ** (1.0 / act.read.repeats)
    needed = math.ceil(math.log(max(target / before, 1e-9)) / math.log(each)) if each < 0.999 else 0
    ke.observe(
        j.Portions(
            component=component,
            step=act.number,
            solution=act.solution,
            repeats=act.read.repeats,
            each=short(each),
            # Where an acid is wanted, more portions of a base are no remedy.
            needed=needed if needed <= MOST_PORTIONS and not _lacks_its_side(job, component) else 0,
            spent_ph=round(float(act.contacts[0].ph[0]), 2),
            bottle_ph=act.ph,
        ),
        f"computed: each portion leaves {share(each)}",
    )


def _observe_practice(job: Job, ke: Any) -> None:
    acts = job.bench.acts
    vented = any(a.read.action == "vent" for a in acts)
    for act in acts:
        read = act.read
        # Water up to a volume is that of the flask.
        if act.contacts and read.volume_ml and not read.in_all and act.layer_known and act.did in ("wash", "take up"):
            ke.observe(
                j.Ratio(
                    step=act.number,
                    ratio=short(read.volume_ml / act.organic_ml),
                    portion_ml=read.volume_ml,
                    layer_ml=round(act.organic_ml, 1),
                ),
                f"step {act.number}: {read.volume_ml:g} mL",
            )
        if act.contacts:
            total = max(c.organic_ml + c.aqueous_ml for c in act.contacts)
            if read.volume_ml and total > 1000 and act.did not in ("quench", "dilute", "set ph"):
                ke.observe(j.Vessel(step=act.number, total_ml=round(total)), f"computed: {total:.0f} mL in all")
            gas = sum(c.co2_ml for c in act.contacts)
            if gas > 100 and act.did in ("wash", "take up"):
                boiling = min(
                    (s.boiling_c for s in table(Solvent).values() if s.log_k_key and s.id == job.solvent_id()),
                    default=100.0,
                )
                ke.observe(
                    j.Gas(step=act.number, co2_ml=round(gas), liquid_ml=round(total), vented=vented, boiling_c=boiling),
                    f"computed: {gas:.0f} mL of carbon dioxide",
                )
    _observe_venting(job, ke, vented)
    _observe_one_layer(job, ke)
    _observe_carried(job, ke)
    _observe_idle(job, ke)
    _observe_finish(job, ke)
    for act in acts:
        if act.did == "set ph" and any(a.did == "take up" for a in acts[: act.number]):
            rest = acts[act.number :]
            upto = next((a.number for a in rest if a.read.action == "extract"), len(acts) + 1)
            tested = says_ph(act.read) or any(a.read.action == "check ph" and a.number < upto for a in rest)
            ke.observe(j.Swapped(step=act.number, tested=tested), "the product goes through the water")


_VACUUM = re.compile(
    r"\b(rotary evaporat\w+|rot[ao]\s?vap\w*|in vac(?:uo|uum)?\b|sp[iu]n (?:dry|to dryness)|"
    r"vac(?:uum)? off|pump(?:ed)? (?:off|down)|high vacuum|under (?:high |full )?vacuum|(?:under )?reduced pressure|"
    r"(?:at |to )?\d+(?:\.\d+)? ?(?:mbar|torr|mm ?Hg))",
    re.I,
)
_PRESSURE = re.compile(r"(\d+(?:\.\d+)?) ?(mbar|torr|mm ?Hg)", re.I)
_BATH = re.compile(r"(\d+) ?(?:°|º|deg)? ?C\b")
# A bath nobody names, C; the entropy of vaporisation of Trouton's rule, in units of the gas constant; one atmosphere, mbar.
USUAL_BATH_C, TROUTON, ATMOSPHERE_MBAR, MBAR_IN_TORR = 40.0, 10.6, 1013.0, 1.333


def _observe_stripped_product(job: Job, ke: Any) -> None:
    """Observe a volatile product that the words take to a vacuum."""
    boils = next((x["boiling_c"] for x in job.bench.known.get(f.Boils, ()) if x["component"] == "product"), None)
    if boils is None or boils >= COLUMN_BELOW_C:
        return
    text = job.proposal.text
    for act in job.bench.acts:
        if act.read.action not in ("evaporate", "concentrate"):
            continue
        begun, close = clause_of(text, act.read)
        around = text[begun : min(close, act.read.end + 80)]
        found = _VACUUM.search(around)
        if not found:
            continue
        pressure, bath = _PRESSURE.search(around), _BATH.search(around)
        mbar = float(pressure[1]) * (1.0 if pressure[2].lower() == "mbar" else MBAR_IN_TORR) if pressure else 0.0
        bath_c = float(bath[1]) if bath else USUAL_BATH_C
        vapour = ATMOSPHERE_MBAR * math.exp(-TROUTON * ((boils + 273.0) / (bath_c + 273.0) - 1.0))
        ke.observe(
            j.Strips(
                step=act.number, boiling_c=boils, words=found.group(), mbar=round(mbar, 1), bath_c=bath_c,
                vapour_mbar=round(vapour),
            ),
            f"the words say {found.group()!r}",
        )  # fmt: skip
        return


# What boils higher than this no rotary evaporator takes.
STAYS_ABOVE_C = 175.0


def _observe_unstripped(job: Job, ke: Any) -> None:
    """Observe a high-boiling solvent of the reaction that the words say is stripped."""
    text, high = job.proposal.text, {}
    for solvent, _ in job.plan.mixture.reaction_solvents:
        if solvent.boiling_c > STAYS_ABOVE_C and solvent.id != "water":
            found = next((c for c in job.ids if job.name(c) == solvent.name), None)
            names = "|".join(re.escape(n) for n in (solvent.name, *solvent.aliases) if len(n) > 2)
            if found and names:
                high[found] = (re.compile(rf"(?<![\w-])(?:{names})(?![\w-])", re.I), solvent.boiling_c)
    for act in job.bench.acts:
        if act.read.action not in ("evaporate", "concentrate"):
            continue
        begun, close = clause_of(text, act.read, ".;,\n")
        for component, (named, boils) in high.items():
            left = float(median(job.final[job.ids.index(component)]))
            # Where no wash takes it, our plan leaves it too.
            ours = job.plan.left[component][1]
            if named.search(text, begun, close) and left > ours + UNSTRIPPED_SHARE:
                ke.observe(
                    j.Unstripped(step=act.number, component=component, boiling_c=boils, share=short(left)),
                    f"the words take {job.name(component)} off",
                )


# So much is left of what was not stripped.
UNSTRIPPED_SHARE = 0.2


def _observe_venting(job: Job, ke: Any, vented: bool) -> None:
    shaken = [a for a in job.bench.acts if a.contacts and a.did in ("wash", "take up", "extract")]
    if vented or not shaken or not _list_of_items(job.proposal):
        return
    gassiest = max(shaken, key=lambda a: sum(c.co2_ml for c in a.contacts))
    gas = sum(c.co2_ml for c in gassiest.contacts)
    solvent = table(Solvent).get(job.solvent_id())
    boiling = solvent.boiling_c if solvent is not None else 100.0
    if gas >= FELT_GAS_ML or boiling < VOLATILE_C:
        act = gassiest if gas >= FELT_GAS_ML else shaken[0]
        ke.observe(
            j.Unvented(step=act.number, co2_ml=round(gas), solvent=job.solvent_id(), boiling_c=boiling),
            f"computed: {gas:.0f} mL of carbon dioxide; the solvent boils at {boiling:g} C",
        )


def _observe_one_layer(job: Job, ke: Any) -> None:
    """Observe the first funnel that holds too much miscible solvent for two layers."""
    for act in job.bench.acts:
        for contact in act.contacts:
            mixed = contact.mixed
            if mixed and mixed.most is not None and mixed.one_layer:
                solvent = next(
                    s for s in job.bench.numbers.species if s.solvent and s.component == mixed.component
                ).solvent
                ke.observe(
                    j.OneLayer(
                        step=act.number,
                        cosolvent=solvent.name if solvent else mixed.component,
                        share=short(mixed.share),
                        most=short(mixed.most),
                    ),
                    f"computed: {share(mixed.share)} of what is in the funnel; two layers stand up to {share(mixed.most)}",
                )
                return


# Without such a solvent water is told to hold product from here, at best and on the lucky side.
HOLDS, SURELY_HOLDS = 0.3, 0.1
# So much of a miscible solvent makes the water a better one for the product.
STILL_THERE = 0.1


def _observe_carried(job: Job, ke: Any) -> None:
    """Observe the water that holds product, of a miscible solvent or by itself, and is not extracted again."""
    first = True
    ours_is_better = float(job.plan.recovered[1]) > job.recovered() + UNAVOIDABLE
    for act, (before, after) in zip(job.bench.acts, job.history, strict=True):
        if not act.contacts:
            continue
        later = any(a.did == "extract" for a in job.bench.acts[act.number :])
        if act.did == "wash" and not later:
            low, mid, high = band(before[job.index] - after[job.index])
            cosolvent = next(iter(_miscible_there(job, before)), "") if first else ""
            by_itself = mid >= HOLDS and low >= SURELY_HOLDS and job.kind("product") == "other" and ours_is_better
            if (cosolvent and may_carry(mid, high)) or by_itself:
                ke.observe(
                    j.Carried(step=act.number, share=short(mid), high=short(high), cosolvent=cosolvent),
                    f"computed: {share(mid)} of the product is in that water",
                )
                return
        first = False  # the first water is the one that holds the solvent


def _miscible_there(job: Job, shares: Array) -> Iterator[str]:
    """Give the names of the miscible solvents of the reaction that are still there."""
    names = [s.name for s, _ in job.plan.mixture.reaction_solvents if s.miscibility == "miscible" and s.id != "water"]
    for row, component in enumerate(job.ids):
        name = job.name(component)
        if name in names and float(shares[row, 0]) >= STILL_THERE:
            yield name


def _observe_idle(job: Job, ke: Any) -> None:
    mets = []
    for act, (before, after) in zip(job.bench.acts, job.history, strict=True):
        did = {"set ph": "pour", "dilute": "pour"}.get(act.did, act.did)
        there, stays = (dict(zip(job.ids, shares[:, 0].tolist(), strict=True)) for shares in (before, after))
        strips = act.read.action in ("evaporate", "concentrate")
        mets.append(
            Met(
                did,
                act.solution,
                there,
                stays,
                tuple(float(c.ph[0]) for c in act.contacts),
                tuple(c for c in job.ids if strips and stays[c] < there[c]),
                bool(act.cleared),
            )
        )
    amounts = {c: job.plan.component(c).mmol for c in job.ids}
    for place in idle_washes(mets, job.natures, amounts, job.bench.numbers, job.plan.mixture.target):
        row = table(Solution)[mets[place].solution]
        ke.observe(j.Idle(step=place + 1, solution=row.id, acts=row.acts_as), "computed: it moves nothing")


def _observe_finish(job: Job, ke: Any) -> None:
    acts = job.bench.acts
    dry = [a.number for a in acts if a.read.action == "dry"]
    if len(dry) > 1 and _ends_a_quench(acts, dry[0]):
        dry = dry[1:]
    # A layer dried, stripped and taken up again starts afresh.
    restart = max((a.number for a in acts if a.read.action == "dilute" and a.read.solvent != "water"), default=0)
    water = [
        a.number
        for a in acts
        if a.contacts and a.did in ("wash", "take up", "extract", "quench", "dilute", "rinse water", "set ph")
    ]
    strips = [a.number for a in acts if a.read.action in ("concentrate", "evaporate")]
    filters = [a.number for a in acts if a.read.action in ("filter off desiccant", "filter")]
    brine = [
        a.number
        for a in acts
        if a.solution in ("brine", "half_brine", "na2so4_sat", "licl_5", "licl_10") and a.contacts
    ]
    last_water = water[-1] if water else 0
    dry = [n for n in dry if n > restart or not last_water > restart]
    after = [n for n in strips if n > last_water]
    filter_after = [n for n in filters if dry and n > dry[-1]]
    solvent = job.solvent_id()
    ke.observe(
        j.Finish(
            dry=dry[0] if dry else 0,
            last_dry=dry[-1] if dry else 0,
            water=last_water,
            filter=filter_after[0] if filter_after else 0,
            strip=after[0] if after else 0,
            brine=brine[-1] if brine else 0,
            solvent=solvent,
            held=table(Solvent)[solvent].water_held_wt_pct or 0.0,
            rinsed=bool(dry) and any(a.read.action == "rinse" and a.number > dry[-1] for a in acts),
            listed=_list_of_items(job.proposal),
            itemised=len({(a.read.start, a.read.end) for a in acts}) >= ITEMS and _itemised(job.proposal),
        ),
        "the order of the end",
    )


def _ends_a_quench(acts: Sequence[Act], number: int) -> bool:
    """Tell whether a drying agent goes in with a quench, before any wash: after that of a hydride the salts are filtered off."""
    before = [a.did for a in acts[: number - 1]]
    return "quench" in before and not set(before) & {"wash", "take up", "extract", "dilute"}


# A list of fewer steps than this is a note.
ITEMS = 3


def _itemised(proposal: Proposal) -> bool:
    """Tell whether the steps stand in lines of their own, or in a table."""
    between = [
        proposal.text[a.end : b.start]
        for a, b in zip(proposal.steps, proposal.steps[1:], strict=False)
        if a.end <= b.start
    ]
    if bool(between) and sum("\n" in text or "|" in text for text in between) >= 0.7 * len(between):
        return True
    # "CaCl2. Evaporate": a drying agent that stands alone, and the next step in a sentence of its own.
    return any(
        a.action == "dry"
        and any(BARE_DRYING in text for text in a.assumed)
        and re.search(r"[.;\n]", proposal.text[a.end : b.start])
        for a, b in zip(proposal.steps, proposal.steps[1:], strict=False)
        if a.end <= b.start
    )


BARE_DRYING = "read as drying"
_ITEM = re.compile(r"^[^\S\n]*(?:\d{1,2}\s*[.):]|[-*•–]|step \d+)\s*\S", re.I | re.M)


def _list_of_items(proposal: Proposal) -> bool:
    """Tell whether the plan is a numbered or bulleted list, in which what is left out is left out."""
    return len(_ITEM.findall(proposal.text)) >= ITEMS


def _copy(fact: Any) -> Any:
    return type(fact)(**{slot: fact[slot] for slot in type(fact).slots})
