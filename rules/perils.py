"""What of a plan that has been carried out can hurt someone: the facts that ``judging/danger`` and ``judging/mixing`` go by."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

from washlore.knowledge import groups
from washlore.knowledge.rows import Residue, Solution, Solvent, table
from washlore.knowledge.structure import Molecule
from washlore.rules import facts as f
from washlore.rules.account import Job, short
from washlore.rules.families.quench import GELS_WITH_BASE, mind_ammonium
from washlore.rules.flask import Act, dissolved_by
from washlore.rules.judging import facts as j
from washlore.rules.ledger import band
from washlore.rules.meeting import (
    ACID_PH,
    AZIDES,
    CHLORINATED,
    CHLOROMETHANES,
    CYANIDES,
    HALOGENS,
    in_bottle,
    meeting,
)
from washlore.rules.opening import burns_with_water
from washlore.rules.perceive import ACETIC_PH
from washlore.rules.proposal import ReadStep, clause_of
from washlore.rules.species import permanent_charge

# What may explode when it is concentrated beside organic matter.
# Water takes hours over these, and a trace through the skin or the lungs may kill.
DEADLY = frozenset({"dialkyl_sulfate", "cyanogen_halide", "ethylenimine"})
EXPLODES = frozenset(
    ("mcpba", "hydroperoxide_tbhp", "dialkyl_peroxide", "dioxirane", "ozone", "perchlorate", "diazomethane")
)
# What goes on burning the solvent as it grows concentrated, where no filter holds it first.
BURNS = frozenset({"chromium_vi", "permanganate"})
WATERY = ("wash", "take up")
LEAST_MMOL, LEAST_SHARE = 0.05, 0.02
# Hydrogen fluoride in water below 0.1 % (0.05 M) is not classified as harmful: Regulation (EC) 1272/2008, Annex VI.
# The limits for skin, 1 and 7 %, were read; that for the eye is recalled.
HARMLESS_M = {"HF": 0.05}
# Oxidants that go on with the product and end in the waste as poison where nothing reduces them.
REDUCED_FIRST = frozenset({"chromium_vi", "permanganate", "osmium"})
# From here a flask boils over where water is poured into it, mol/L of the leftover; less is stirred into the solvent.
BOILS_OVER_M = 0.5
# Acids that end a reaction as they are, without water.
NEAT_ACIDS = ("acetic_acid", "formic_acid")
# An oxidant is held to be concentrated when nothing has been done about most of it, even on the lucky side.
MOSTLY_THERE = 0.5


def observe_perils(job: Job, ke: Any) -> None:
    """Declare what of the plan can hurt someone."""
    _observe_together(job, ke)
    _observe_strong(job, ke)
    _observe_nitronate(job, ke)
    _observe_gels(job, ke)
    leftovers = job.bench.leftovers
    if not leftovers:
        return
    first_wet = next((a for a in job.bench.acts if a.contacts), None)
    quenches = [a.number for a in job.bench.acts if a.read.action == "quench"]
    strip = next((a for a in reversed(job.bench.acts) if a.read.action in ("concentrate", "evaporate")), None)
    for component, fact in leftovers.items():
        residue = fact["residue"]
        row = table(Residue)[residue]
        for act in job.bench.acts:
            there = _share_before(job, component, act)
            mmol = there * job.plan.component(component).mmol
            if there < LEAST_SHARE or mmol < LEAST_MMOL or _anion_is_out(job, component, row, act):
                continue
            if act.contacts and mmol < HARMLESS_M.get(row.acid_frees, 0.0) * act.contacts[0].aqueous_ml:
                continue
            met = _met_ph(job, act)
            solution = table(Solution).get(act.solution)
            if solution is not None and residue in solution.never_meets and solution.ph < 7:
                met = min(met, solution.ph)
            elif solution is not None and residue in solution.never_meets and met >= 7:
                if residue in ("cyanide", "sulfur_dioxide_source") or act.read.action == "quench":
                    continue
                met = solution.ph
            elif met >= 6:
                continue
            if residue in mind_ammonium() and _beside_what_burns(job, component, act):
                continue
            ke.observe(
                j.Meets(
                    step=act.number,
                    component=component,
                    residue=residue,
                    solution=act.solution if solution is not None and residue in solution.never_meets else "",
                    share=short(there),
                    ph=round(met, 1),
                ),
                f"{job.name(component)} meets step {act.number}",
                (row.source,),
            )
            break
        if row.kind == "metal" and fact["action"] == "filter" and "ignites" in row.never:
            _observe_dry_cake(job, ke, component)
        if fact["action"] == "quench":
            _observe_order(job, ke, component, row)
            _observe_haste(job, ke, component, residue, fact["kind"])
            _observe_reactive(job, ke, component, residue, fact["kind"], first_wet, quenches, strip)
        if fact["action"] == "filter":
            filtered = next((a.number for a in job.bench.acts if a.read.action == "filter"), 0)
            # What is filtered off right after the flask was quenched or diluted never reaches the funnel.
            parted = next((a for a in job.bench.acts if a.contacts and a.did not in ("quench", "dilute")), first_wet)
            taken_up = (
                parted is not None
                and parted.solution in table(Solution)
                and table(Solution)[parted.solution].acts_as == dissolved_by(job.plan.component(component), residue)
            )
            if parted is not None and not taken_up and (not filtered or filtered > parted.number):
                ke.observe(
                    j.Solid(component=component, residue=residue, step=parted.number),
                    f"{job.name(component)} is a solid",
                    (row.source,),
                )


def _beside_what_burns(job: Job, component: str, act: Act) -> bool:
    """Tell whether a quench is of what catches fire with water, which goes first and has left no halogen beside it."""
    return act.read.action == "quench" and any(
        burns_with_water(table(Residue)[fact["residue"]])
        for c, fact in job.bench.leftovers.items()
        if c != component and fact["action"] == "quench" and _share_before(job, c, act) >= LEAST_SHARE
    )


def _observe_nitronate(job: Job, ke: Any) -> None:
    """Observe a nitroalkane that is stripped to dryness from strong base."""
    made = [x["component"] for x in job.bench.known.get(f.Ionises, ()) if "nitroalkane" in x["site_class"]]
    base = any(fact["kind"] == "a strong base" for fact in job.bench.known.get(f.Harsh, ()))
    if not made or not base:
        return
    for act in job.bench.acts:
        if act.contacts or act.read.action in _INTO_ONE_POT:
            return
        if act.read.action in ("evaporate", "concentrate"):
            ke.observe(
                j.DriesNitronate(step=act.number, component=made[0]), f"{job.name(made[0])} is there with strong base"
            )
            return


# What falls as a gel with plain water too.
_GELS_WITH_WATER = frozenset({"titanium_alkoxide"})


def _observe_gels(job: Job, ke: Any) -> None:
    """Observe base, or water, that comes first to a metal that it brings down as a gel."""
    for component, fact in job.bench.leftovers.items():
        if fact["residue"] not in GELS_WITH_BASE:
            continue
        act = next((a for a in job.bench.acts if a.contacts or a.read.action in _INTO_ONE_POT), None)
        row = table(Solution).get(act.solution or act.read.solution) if act is not None else None
        if act is None or row is None:
            continue
        plain = fact["residue"] in _GELS_WITH_WATER and row.acts_as in ("neutral", "salt", "reductant")
        share = _share_before(job, component, act)
        if any(s.solution == row.id and component in s.for_components and s.action == "quench" for s in job.plan.steps):
            continue  # there is no better way: acid would set a poison free
        if share >= LEAST_SHARE and (row.acts_as == "base" or plain):
            ke.observe(
                j.Gels(step=act.number, component=component, solution=row.id, share=short(share)),
                f"{job.name(component)} is there, and nothing holds it in the water",
            )


# Basic enough to hold cyanide and azide in the water.
BASIC_PH = 10.0
# What is added to a flask and stays in it, until something parts the layers.
_INTO_ONE_POT = ("quench", "dilute", "set ph")


@lru_cache(maxsize=1_000)
def _groups_of(molecule: Molecule) -> frozenset[str]:
    found = {match.group.id for match in groups.molecule_groups(molecule)}
    return frozenset(found | ({"ammonia"} if molecule.smiles in ("N", "[NH4+]") else set()))


def _things_there(job: Job, act: Act) -> Iterator[tuple[str, frozenset[str]]]:
    """Give each component that is still there with what it is, in the words of ``PAIRS``."""
    for part in job.plan.mixture.components:
        if part.mmol * _share_before(job, part.id, act) < LEAST_MMOL or _share_before(job, part.id, act) < LEAST_SHARE:
            continue
        residue = job.bench.leftovers.get(part.id)
        names = _groups_of(part.principal)
        if residue is not None:
            names |= {residue["residue"]}
        if part.name.lower() in ("acetone", "propan-2-one"):
            names |= {"acetone"}
        yield part.id, names


def _acts_as(act: Act) -> str:
    row = table(Solution).get(act.solution or act.read.solution)
    return row.acts_as if row else ""


def _observe_together(job: Job, ke: Any) -> None:
    """Observe what the plan brings together: what is left in the flask, and the solutions that go into one pot."""
    told: set[str] = set()

    def tell(step: int, component: str, other: str, outcome: str, brought: bool = True) -> None:
        if outcome and outcome not in told:
            told.add(outcome)
            ke.observe(
                j.Together(step=step, component=component, other=other, outcome=outcome, brought=brought),
                f"{other} is there",
            )

    pot: list[tuple[Act, frozenset[str]]] = []
    bleached: Act | None = None
    flask_told = False
    for act in job.bench.acts:
        brings = in_bottle(act.solution or act.read.solution)
        if (act.read.target_ph or 0.0) >= ACID_PH:
            brings -= {"acid", "strong acid"}  # no more of it than brings the water there
        water = bool(act.contacts) or act.read.action in _INTO_ONE_POT
        if not water:
            pot = [] if act.read.action == "discard" else pot
            continue
        there = list(_things_there(job, act))
        # What stands in one flask already is parted by basic water or a reductant first: the best that can be done.
        row = table(Solution).get(act.solution)
        parts = row is not None and (row.ph > BASIC_PH or row.acts_as == "reductant")
        wets = (
            bool(act.contacts) or row is not None or act.read.solvent == "water"
        )  # an alcohol brings nothing together
        if wets and not flask_told and not parts:
            for k, (c, names) in enumerate(there):
                for other, also in there[k + 1 :]:
                    tell(act.number, c, job.name(other), meeting(names & _REACTIVE, also & _REACTIVE), False)
        flask_told = flask_told or wets
        if act.read.action in ("extract", "dilute") and act.read.solvent in CHLOROMETHANES:
            for c, names in there:
                name = table(Solvent)[act.read.solvent].name
                tell(act.number, c, name, meeting(names, frozenset({CHLORINATED})))
        basic = act.ph > BASIC_PH and act.did != "extract"
        if basic and any(p.smiles in _AMMONIA for c, _ in there for p in job.plan.component(c).parts):
            for c, names in there:
                tell(act.number, c, "ammonia set free", meeting(names, frozenset({"free ammonia"})))
        for c, names in there:
            known = job.bench.leftovers.get(c, {"residue": ""})["residue"]
            if brings and not (row is not None and known in row.never_meets):  # that is observed as such
                tell(act.number, c, table(Solution)[act.solution or act.read.solution].name, meeting(names, brings))
        if act.read.action in _INTO_ONE_POT and act.did != "wash":
            for earlier, had in pot:
                if outcome := meeting(had, brings):
                    tell(act.number, "", table(Solution)[earlier.solution or earlier.read.solution].name, outcome)
            if _acts_as(act) == "reductant":
                pot = [(earlier, had) for earlier, had in pot if _acts_as(earlier) != "oxidant"]  # ended by it
            pot.append((act, brings))
        else:
            pot = []
        if bleached is not None and act.number == bleached.number + 1 and act.did == "wash":
            outcome = meeting(in_bottle(bleached.solution), brings)
            if outcome and outcome not in told:
                ke.observe(j.Follows(step=act.number, earlier=bleached.number, outcome=outcome), "bleach came before")
        bleached = act if "hypochlorite" in brings and act.did == "wash" else None


# What base sets ammonia free of, or what is ammonia.
_AMMONIA = ("N", "[NH4+]")
# Of what stands in one flask already, the leftovers that react only once water brings them together.
_REACTIVE = HALOGENS | CYANIDES | AZIDES | {"persulfate"}

_STRONG_WORDS = re.compile(r"\b(conc(?:entrated|'d|d)?|fuming|undiluted|neat)\b|\b(\d+(?:\.\d+)?) ?(%|M\b|N\b)", re.I)
# In per cent and in mol/L, from where a mineral acid or an alkali is called concentrated.
STRONG_PERCENT, STRONG_M = 30.0, 9.0
# So little that its heat is not felt, mL; and words that say that it is done with care.
LITTLE_ML = 5.0
_WITH_CARE = re.compile(
    r"\b(drop ?wise|dropwise|drops|slowly|slow|portions?|portionwise|ice|iced|cautiously|carefully|gradually|0 ?°|cooled|"
    r"cooling|cold)\b|-\d+ ?°|0 °",
    re.I,
)
# Solutes whose concentrated form spatters, and those that char or oxidise besides.
_SPATTERS = (
    "hydrogen chloride",
    "sulfuric acid",
    "nitric acid",
    "sodium hydroxide",
    "potassium hydroxide",
    "phosphoric acid",
)
_CHARS = ("sulfuric acid", "nitric acid")


def _is_strong(read: ReadStep) -> bool:
    for word, number, unit in _STRONG_WORDS.findall(read.strength):
        if word or float(number) >= (STRONG_PERCENT if unit == "%" else STRONG_M):
            return True
    return False


def _observe_strong(job: Job, ke: Any) -> None:
    """Observe concentrated acid or base that is poured in without care."""
    text = job.proposal.text
    for act in job.bench.acts:
        read = act.read
        row = table(Solution).get(read.solution)
        if (
            row is None
            or row.solute not in _SPATTERS
            or read.action not in ("quench", "dilute", "wash", "take up", "set ph")
        ):
            continue
        if not _is_strong(read) or (read.volume_ml is not None and read.volume_ml <= LITTLE_ML):
            continue
        near = text[max(0, read.start - 60) : read.end + 60]
        hasty = _HASTE.search(near)
        if read.action == "set ph" and not hasty:
            continue  # added in drops, by its nature
        iced = any(a.solution == "ice_water" and abs(a.number - act.number) == 1 for a in job.bench.acts)
        careful = _WITH_CARE.search(near) and not hasty
        if iced or careful or any("with ice" in note for note in read.assumed):
            continue
        onto = next(
            (
                c
                for c, f in job.bench.leftovers.items()
                if f["action"] == "quench" and _share_before(job, c, act) >= LEAST_SHARE
            ),
            "",
        )
        ke.observe(
            j.Strong(
                step=act.number,
                words=f"concentrated {_plain_name(row.solute)}",
                acid=row.acts_as == "acid",
                onto=onto,
                grave=row.solute in _CHARS,
            ),
            f"step {act.number}: {read.words}",
        )


def _plain_name(solute: str) -> str:
    return "hydrochloric acid" if solute == "hydrogen chloride" else solute


_HASTE = re.compile(
    r"\b(all (at once|together|in one)|at once|in one (portion|go|shot)|quickly|rapidly|fast|dump(ed)?|chuck(ed)?|"
    r"without (?:any )?(?:ice|cooling)|(?:still|boiling|refluxing) hot|"
    r"into the (?:still )?(?:hot|boiling|refluxing)(?: (?:mixture|flask|solution|melt))?)\b",
    re.I,
)


def _observe_haste(job: Job, ke: Any, component: str, residue: str, kind: str) -> None:
    """Observe a quench that the words say is done in haste."""
    text = job.proposal.text
    for act in job.bench.acts:
        if act.did not in ("quench", "dilute") or _share_before(job, component, act) < LEAST_SHARE:
            continue
        near = range(act.read.end, min(len(text), act.read.end + 40))
        end = next((k for k in near if text[k] in ".;|\n"), near.stop)
        if found := _HASTE.search(text[act.read.start : end]):
            ke.observe(
                j.Hasty(step=act.number, component=component, residue=residue, kind=kind, words=found.group()),
                f"the words say {found.group()!r}",
            )
        return


# Said of water that goes in: "add water", "water was added", "diluted with water".
_GOES_IN = re.compile(
    r"\b(add\w*|dilut\w+|charg\w+|introduc\w+|basif\w+|neutrali[sz]\w+|make|made|bring|brought)\b", re.I
)
# One step for two: "quench with isopropanol, then bicarbonate".
_ALCOHOL_THEN = re.compile(r"\b(?:\w*propanol|\w*butanol|ethanol|methanol|alcohol)\b[^.:;]{0,20}\bthen\b", re.I)
_POURED_IN = re.compile(r"\b(pour\w*|into|onto|transfer\w*|cannulat\w*|invers\w*)\b", re.I)


def _observe_order(job: Job, ke: Any, component: str, row: Residue) -> None:
    """Observe water that is poured into what should be poured into it, or onto a metal that wants an alcohol first."""
    if not (row.goes_into_water or row.wants_alcohol_first):
        return
    liquid_ml = sum(ml for _, ml in job.plan.mixture.reaction_solvents)
    for act in job.bench.acts:
        there = _share_before(job, component, act) * job.plan.component(component).mmol
        if there < LEAST_MMOL or act.did not in _INTO_ONE_POT:
            return
        wet = act.solution or ("water" if act.read.solvent == "water" else "")
        if not wet:
            continue
        molar = there / liquid_ml if liquid_ml else 0.0
        words = job.bench.said_of(act) + job.proposal.text[act.read.end : act.read.end + 40].split(".")[0]
        if row.wants_alcohol_first:
            found = table(Solution)[wet].solute != "ammonium chloride" and not _ALCOHOL_THEN.search(act.read.words)
        else:
            goes_in = bool(_GOES_IN.search(words)) and not _POURED_IN.search(act.read.words)
            found = goes_in and not (0 < molar < BOILS_OVER_M) and not _WITH_CARE.search(words)
        if found:
            ke.observe(
                j.Reversed(
                    step=act.number,
                    component=component,
                    residue=row.id,
                    molar=round(molar, 2),
                    alcohol=row.wants_alcohol_first,
                ),
                f"step {act.number}: {act.read.words}",
                (row.source,),
            )
        return


_SUCKED_DRY = re.compile(
    r"\b(?:suck|pull|pump|draw|dry|dried|leave|left|let)\w*\b[^.;]{0,40}\b(?:dry in (?:the )?air|in (?:the )?air|air[- ]dry|dry)\b"
    r"|\bair[- ]dr(?:y|ied)\b|\bdry in (?:the )?air\b|\b(?:throw\w*|put|into|in) [^.;]{0,24}\b(?:dust)?bin\b|\btrash\b",
    re.I,
)


def _observe_dry_cake(job: Job, ke: Any, component: str) -> None:
    """Observe a cake of catalyst that is sucked dry, dried in air or thrown into a bin."""
    act = next((a for a in job.bench.acts if component in a.cleared), None)
    if act is None:
        return
    text, steps = job.proposal.text, job.proposal.steps
    goes_on = [steps[act.number].start] if act.number < len(steps) else []
    _, close = clause_of(text, act.read)
    told = text[act.read.start : min([max(close, act.read.end), *(k for k in goes_on if k >= act.read.end)])]
    found = _SUCKED_DRY.search(told)
    if found and not _NOT.search(told[: found.end()]):
        ke.observe(
            j.CakeDries(step=act.number, component=component, words=found.group()), f"the words say {found.group()!r}"
        )


_NOT = re.compile(r"\b(?:not|never|without|no|avoid)\b", re.I)


def _anion_is_out(job: Job, component: str, row: Residue, act: Act) -> bool:
    """Tell whether the fluoride of a greasy onium salt stayed in an earlier water, whatever anion the onium now goes with."""
    parted = any(a.contacts and a.did in ("wash", "extract", "take up") for a in job.bench.acts[: act.number - 1])
    return parted and row.acid_frees == "HF" and permanent_charge(job.plan.component(component).principal) > 0


def _share_before(job: Job, component: str, act: Act) -> float:
    return float(job.history[act.number - 1][0][job.ids.index(component), 0])


def _met_ph(job: Job, act: Act) -> float:
    """Return the pH at which things meet in a step; 7 where none is brought about."""
    if act.did == "set ph":
        return act.ph
    if act.did in ("wash", "take up", "quench", "dilute") and act.solution and act.solution in table(Solution):
        row = table(Solution)[act.solution]
        return row.ph if row.acts_as in ("acid", "buffer") and act.did != "dilute" else 7.0
    if act.did in ("quench", "dilute") and act.read.solvent in NEAT_ACIDS:
        return ACETIC_PH
    return 7.0


def _observe_reactive(
    job: Job,
    ke: Any,
    component: str,
    residue: str,
    kind: str,
    first_wet: Act | None,
    quenches: Sequence[int],
    strip: Act | None,
) -> None:
    amount = job.plan.component(component).mmol
    shaken = first_wet is not None and (
        (first_wet.did in ("wash", "take up") and first_wet.read.action in WATERY) or _in_funnel(job, first_wet)
    )
    if first_wet is not None and shaken:
        there = _share_before(job, component, first_wet)
        before = any(n < first_wet.number for n in quenches) or _pot_is_watery(job)
        before = before or any(component in a.cleared for a in job.bench.acts[: first_wet.number - 1])
        bound = component in first_wet.cleared and not _in_funnel(job, first_wet)
        if there >= LEAST_SHARE and there * amount >= LEAST_MMOL and not before and not bound:
            ke.observe(
                j.Unquenched(
                    step=first_wet.number,
                    component=component,
                    residue=residue,
                    kind=kind,
                    share=short(there),
                    later=next((n for n in quenches if n > first_wet.number), 0),
                ),
                f"{job.name(component)} is still reactive",
            )
    alive = (a for a in job.bench.acts if a.contacts and component not in a.cleared)
    meets = (a for a in alive if _share_before(job, component, a) >= LEAST_SHARE)
    met = next((a for a in meets if not _ended_in_flask(job, a, component)), None)
    if met is not None and residue in REDUCED_FIRST:
        ke.observe(
            j.Unreduced(step=met.number, component=component, residue=residue),
            f"nothing reduces {job.name(component)}",
        )
    if strip is not None and residue in DEADLY and not quenches:
        there = _share_before(job, component, strip)
        if there * amount > LEAST_MMOL:
            ke.observe(
                j.Concentrates(step=strip.number, component=component, residue=residue, share=short(there)),
                f"nothing destroys {job.name(component)}",
            )
    burns = residue in BURNS and strip is not None
    burns = burns and not any(a.read.action == "filter" for a in job.bench.acts[: strip.number if strip else 0])
    explodes = residue in EXPLODES and not (residue in _ACIDIC_PEROXIDES and _met_hydroxide(job))
    if strip is not None and (explodes or burns):
        there = _share_before(job, component, strip)
        sure = band(job.history[strip.number - 1][0][job.ids.index(component)])[0]
        if sure > MOSTLY_THERE and there * amount > 2 * LEAST_MMOL:
            ke.observe(
                j.Concentrates(step=strip.number, component=component, residue=residue, share=short(there)),
                f"{job.name(component)} is still there at the end",
            )


def _ended_in_flask(job: Job, act: Act, component: str) -> bool:
    """Tell whether what is poured in here stays in the flask until a later step has ended a leftover."""
    if act.did not in ("quench", "dilute", "set ph"):
        return False
    for later in job.bench.acts[act.number :]:
        if component in later.cleared:
            return True
        if later.did not in (*_INTO_ONE_POT, "evaporate", "concentrate", "cool", "vent", "wait", "check ph"):
            return False
    return False


_FUNNEL = re.compile(r"funnel[^.;]{0,60}\b(?:with|water)", re.I)
_SHAKEN = re.compile(r"\bshak\w+", re.I)

# tert-Butyl hydroperoxide has pKa 12.8 (recalled): hydroxide takes it as its salt.
_ACIDIC_PEROXIDES = ("hydroperoxide_tbhp",)
_HYDROXIDE_PH = 13.3


def _met_hydroxide(job: Job) -> bool:
    rows = [
        table(Solution).get(act.solution) for act in job.bench.acts if act.contacts and act.did in ("wash", "take up")
    ]
    return any(row is not None and row.ph >= _HYDROXIDE_PH for row in rows)


def _in_funnel(job: Job, act: Act) -> bool:
    """Tell whether the words bring the water in the funnel and not in the flask: put in the funnel with water and shaken."""
    read, text = act.read, job.proposal.text
    begin = max(0, read.start - 40)
    if act.did == "quench":
        return bool(_FUNNEL.search(text[begin : read.end]))
    close = next((k for k in range(read.end, min(len(text), read.end + 90)) if text[k] in ".;\n"), read.end + 15)
    around = text[begin:close]
    return act.did == "dilute" and bool(_FUNNEL.search(around) or _SHAKEN.search(around))


def _pot_is_watery(job: Job) -> bool:
    return any(s.id == "water" for s, _ in job.plan.mixture.reaction_solvents)
