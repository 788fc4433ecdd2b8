"""A read plan carried out: each step as read becomes operations of the ledger, and the account of it is kept.

What a plan leaves unsaid is filled in (``Act.assumed`` says so): a volume is a third of the organic layer, the layer kept
is the one with the product. Where a plan goes wrong, the account goes on as if that step had been done right, so that one
mistake is found once; what is thrown away is counted apart (``Bench.thrown``).
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from typing import Any

from washlore.knowledge.arrays import at_best, np
from washlore.knowledge.records import replace
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import ledger as books
from washlore.rules.contact import equilibrate
from washlore.rules.ended import enders
from washlore.rules.families.removal import CHEMICAL
from washlore.rules.flask import OXIDISES, VOLUMES_TO, Act, Flask
from washlore.rules.ledger import Step
from washlore.rules.phase import LEAST_VOLUME_ML, Phase, fresh_solvent
from washlore.rules.proposal import ELSEWHERE, ReadStep
from washlore.rules.species import Array, left_by_stripping, permanent_charge
from washlore.rules.words import round_volume

# A wash that takes this much of the product, with an extraction to follow, is meant to take it up.
TAKEN_UP = 0.5
ACIDIFIED_PH, NEUTRAL_PH, BASIFIED_PH = 2.0, 7.0, 10.0
MARGIN_PH = 2.2
MOVES_NOTHING = ("vent", "check ph", "cool", "wait", ELSEWHERE)
# What ends an acid or a base without water.
SOLID_END = re.compile(
    r"\bsolid (sodium (hydrogen |bi)?carbonate|potassium carbonate|ammonium chloride|NaHCO3|Na2CO3|K2CO3|NH4Cl)", re.I
)
SALTED = re.compile(
    r"\bsaturat\w+\b[^.;]*\b(salt|sodium chloride|NaCl|potassium carbonate|K2CO3|sodium sulfate|Na2SO4)\b|\bsalted out\b",
    re.I,
)
# "Dilute with water to 100 mL" counts what mixes with it; "some 20 mL in all", as we say it, is of the water alone.
TO_A_TOTAL = re.compile(r"\bto\b", re.I)
# Salts that are filtered off from a solvent that does not dissolve them.
SALTS_OFF = re.compile(
    r"\bfilter\w*(?: off)?(?: of)?(?: the)?(?: \w+)? "
    r"(?:salts?|inorganics?|[NKL]\w{0,2}(?:Cl|Br|I|F)|(?:sodium|potassium|lithium) \w+)\b",
    re.I,
)
# A solid that is the product: crystals, or one that is washed and dried.
_SOLID_KEPT = re.compile(
    r"\bfilter\w*(?: off)?(?: the)?(?: \w+){0,2} (?:crystals?|hydrochloride|solid|product|precipitate)\b|\bcollect\w*\b",
    re.I,
)
# A sulfonic acid resin takes tetrabutylammonium, calcium carbonate its fluoride (Kaburagi and Kishi 2007; recalled).
RESIN = re.compile(r"\b(?:dowex|amberlyst|amberlite|ion[- ]exchange resin|sulfonic acid resin)\b", re.I)
# What the reading notes where it filled a layer or a pH in.
LAYER_ASSUMED, PH_ASSUMED = "layer kept", "pH "
# What goes in between an aluminium hydride and the filter that takes its granular salts off.
UNTIL_FILTERED = frozenset(("quench", "dilute", "dry", *MOVES_NOTHING))
# Up to this much of the layer is water that the salts of a hydride take up; with lye in turn they grow granular and hold more:
# 5 mL for each gram, in some 40 mL of solvent (Micovic and Mihailovic 1953; recalled).
SALTS_HOLD, GRANULAR_HOLD = 0.05, 0.13
# Why a step parts nothing.
ONE_PHASE = "one phase"
QUENCHES = frozenset(("water", "methanol", "ethanol", "isopropanol", "tert-butanol", "acetone", "acetic_acid"))


def says_ph(read: ReadStep) -> bool:
    """Tell whether the words name a pH."""
    return read.target_ph is not None and not any(text.startswith(PH_ASSUMED) for text in read.assumed)


class Bench(Flask):
    """The steps of a read plan, each as it is done to the flask, and what the words of later ones tell of an earlier one."""

    def run(self) -> Bench:
        """Carry the whole plan out."""
        for number, read in enumerate(self.proposal.steps, start=1):
            act = Act(number, read, self.layer.mmol.copy(), read.action, solution=read.solution, solvent=read.solvent)
            act.assumed += read.assumed
            act.in_salts = self._in_salts(act)
            count = len(self.book.contacts)
            _DO[read.action](self, act)
            act.contacts = self.book.contacts[count:]
            act.after = self.layer.mmol.copy()
            act.kept = "organic" if self.book.organic is not None else "aqueous"
            self.acts.append(act)
        return self

    def said_of(self, act: Act) -> str:
        """Return the words of a step with those that lead up to it."""
        steps, read = self.proposal.steps, act.read
        begun = min(steps[act.number - 2].end if act.number > 1 else 0, read.start)
        return self.proposal.text[begun : read.end]

    def _later(self, act: Act) -> tuple[ReadStep, ...]:
        return self.proposal.steps[act.number :]

    def _comes_back(self, act: Act) -> bool:
        """Tell whether the plan goes on to extract from the water, before anything dries an organic layer."""
        for step in self._later(act):
            if step.action == "extract" and step.phase_kept != "aqueous":
                return True
            if step.action == "set ph":
                return True
            if act.read.action == "filter" and step.action == "dilute" and step.solvent not in ("", "water"):
                return True
            strips = step.action in ("evaporate", "concentrate")
            if step.action == "dry" or (strips and act.read.action != "filter"):
                return False
            if step.action == "wash" and step.solution in ("brine", "water"):
                return False
        return False

    def _again_next(self, act: Act) -> bool:
        """Tell whether the water just parted is extracted at once, and the layer kept is what that is added to."""
        return next((s.action for s in self._later(act) if s.action not in MOVES_NOTHING), "") == "extract"

    def _between(self, act: Act) -> None:
        """Part the flask between the water just poured in and the solvent named with it."""
        row = table(Solvent).get(act.read.solvent)
        if row is None or not row.log_k_key or not act.read.solution:
            return
        volume = act.read.solvent_ml or self.plan.organic_ml
        if not act.read.solvent_ml:
            act.assumed.append(f"{volume:g} mL of {row.name}")
        if self.book.organic is None:
            self._extract_from(act, row, volume, 1)
        else:
            self.book.organic = books.pool(self.book.organic, fresh_solvent(row, volume, self.numbers))
            if self.waters:
                self._contact(act, self.book.organic, self.waters[-1][1], 2)
        if self._said(act) == "aqueous" and self.waters and not self._comes_back(act):
            whole = max(float(self.share("product", act.before)[0]), 1e-12)
            self._wrong(act, "aqueous", float(self.share("product", self.waters[-1][1].mmol)[0]) / whole)

    def _quench(self, act: Act) -> None:
        reactive = [c for c, fact in self.leftovers.items() if fact["action"] == "quench"]
        row = table(Solution).get(act.read.solution or ("water" if act.read.solvent == "water" else ""))
        if row is not None and row.acts_as in ("neutral", "salt"):
            # Water ends no oxidant.
            reactive = [c for c in reactive if self.leftovers[c]["kind"] not in OXIDISES]
        elif row is None and (dry := enders(act.read.words)):
            reactive = [
                c
                for c in reactive
                if any(self.leftovers[c]["kind"] in e.kinds or self.leftovers[c]["residue"] in e.residues for e in dry)
            ]
        in_flask = self._in_flask()
        for water in in_flask[self.book.organic is not None :]:
            books.take_ions_out(self.numbers, water, set(reactive) - self.gone)
        act.cleared = tuple(c for c in reactive if any(float(self.share(c, p.mmol)[0]) > 0 for p in in_flask))
        for phase in in_flask:
            self._clear(phase, reactive)

    def _in_salts(self, act: Act) -> bool:
        """Tell whether what goes in ends with the granular salts of a hydride, which are filtered off: no layer of water.

        That is little water, or water and lye by the gram of an aluminium hydride, without a volume.
        """
        hydrides = {c for c, fact in self.leftovers.items() if fact["kind"] == "hydride"}
        steps = self.proposal.steps
        end = next((n for n in range(act.number - 1, len(steps)) if steps[n].action not in UNTIL_FILTERED), 0)
        if not hydrides or not end or not steps[end].action.startswith("filter"):
            return False
        begun = act.number - 1
        while begun and steps[begun - 1].action in UNTIL_FILTERED:
            begun -= 1
        poured = [s for s in steps[begun:end] if s.action != "dry" and (s.solution or s.solvent == "water")]
        if all(s.volume_ml is None for s in poured):
            aluminium = any("Al" in self.plan.component(c).smiles for c in hydrides)
            return aluminium and any(s.solution.startswith("naoh") for s in poured)
        organic_ml = sum(ml for _, ml in self.plan.mixture.reaction_solvents)
        hold = GRANULAR_HOLD if any(s.solution.startswith("naoh") for s in poured) else SALTS_HOLD
        return sum(s.volume_ml or 0.0 for s in poured) < hold * organic_ml

    def _in_flask(self) -> list[Phase]:
        """Return the layer with the product, and the water under it that nobody has parted yet."""
        return [self.layer, *([self.waters[-1][1]] if self.together and self.waters else [])]

    def _in_all(self, read: ReadStep, volume: float, together: bool) -> float:
        """Return how much is poured in: up to a volume in all, less what is there (mL)."""
        there = 0.0 if self.met_water else self._water_of_flask()
        stripped = any(a.read.action in ("evaporate", "concentrate") for a in self.acts)
        mixes = self.book.organic is not None and not self.book.organic.solvents
        if TO_A_TOTAL.search(read.words) and not (self.met_water or stripped) and mixes:
            there += self._miscible_ml()
        if together and self.waters:
            there = at_best(self.waters[-1][1].volume_ml)
        return max(volume - there, LEAST_VOLUME_ML) if read.in_all and there else volume

    def _binds_here(self, solution: str) -> bool:
        """Tell whether a solution that the flask is stirred with takes a metal or tin out of an organic layer there."""
        organic = self.book.organic
        row = table(Solution).get(solution)
        if row is None or row.acts_as != "complexing" or organic is None or not organic.solvents:
            return False
        return any(fact["action"] == "wash" and fact["solution"] == solution for fact in self.leftovers.values())

    def quench(self, act: Act) -> None:
        """Destroy what is reactive; what the quench brings of water stays in the flask."""
        self._quench(act)
        read = act.read
        if act.in_salts:
            act.ph = table(Solution)[read.solution].ph if read.solution in table(Solution) else act.ph
            return
        if self._binds_here(read.solution):
            act.did = "wash"  # "stirred with 10 % KF for 1 h": a wash by another name
            self._parted()
            self._shake(act, read.solution, False, False)
            return
        if read.solution or read.solvent == "water":
            row = table(Solution).get(read.solution)
            # "Stir with 10 % KF": bound there as in a funnel. What acid or base would hold is in the flask all the same.
            bound = self._bound(read.solution) if row is not None and row.acts_as in CHEMICAL else ()
            act.cleared = tuple(dict.fromkeys((*act.cleared, *bound)))
            for phase in self._in_flask():
                self._clear(phase, bound)
            self._pour(act, read.solution or "water", self._volume(act))
            self._between(act)
            self._parts_nothing(act)

    def _parts_nothing(self, act: Act) -> None:
        """Note layers that the words part where water met only solvents that mix with it, and nothing salts them out."""
        read, row = act.read, table(Solution).get(act.read.solution)
        salted = (row is not None and row.acts_as in ("salt", "complexing")) or "nh4cl" in read.solution
        wanted = "organic" in (read.phase_kept, self._said(act)) or read.layer_kept
        goes_on = any(s.action in ("extract", "dilute") and s.solvent for s in self._later(act))
        if self.book.organic is None and wanted and self._miscible_ml() and not salted and not goes_on:
            act.skipped = ONE_PHASE

    def evaporate(self, act: Act) -> None:
        """Take the solvent off and what is volatile with it."""
        phase = self.layer
        goes_on = any(s.action in ("dilute", "extract", "wash", "take up") for s in self._later(act))
        removes = self.volatile - self.waits if goes_on else self.volatile
        mmol = self._stripped(phase, removes)
        if self.book.organic is not None:
            self.book.organic = replace(phase, mmol=mmol, volume_ml=0.0, solvents=(), mass_g=0.0)
            self.layer_known = False
            if self.together and self.waters:
                water = self.waters[-1][1]  # in the same flask: what is volatile leaves it too
                water.mmol = self._stripped(water, removes)
                self._one_flask()
        else:
            phase.mmol = mmol

    def _stripped(self, phase: Phase, removes: Collection[str]) -> Array:
        """Return what stays of a layer (species, draws) when the components ``removes`` go with the solvent."""
        weak = {key: at_best(mmol) for key, mmol in phase.weak_mmol.items()}
        left = left_by_stripping(self.numbers, phase.mmol[:, 0], at_best(phase.strong_mmol), removes, weak)
        return phase.mmol * left[:, None]

    def dilute(self, act: Act) -> None:
        """Add solvent or water."""
        read = act.read
        if not self.met_water and (read.solution or read.solvent in QUENCHES):
            self._quench(act)  # water or an alcohol in the open flask is one
            if act.in_salts:
                return
        organic = self.book.organic
        layered = organic is not None and bool(organic.solvents)
        named = bool(table(Solvent).get(read.solvent) and table(Solvent)[read.solvent].log_k_key)
        if layered and not named and read.solution in table(Solution) and (read.phase_kept or read.layer_kept):
            # "Add 20 mL of 1 M HCl, shake, keep the top layer": a wash by another name.
            act.did = "wash"
            together = self.together and read.solution == "water"
            self._parted()
            self._shake(act, read.solution, read.phase_kept == "aqueous", together)
            return
        if read.solution or read.solvent == "water":
            volume = self._volume(act, max(self._organic_ml(), 1.5 * self._miscible_ml()))
            self._pour(act, read.solution or "water", self._in_all(read, volume, self.together))
            self._between(act)
            self._parts_nothing(act)
            return
        row = table(Solvent).get(read.solvent)
        if row is None or not row.log_k_key:
            return
        volume = self._volume(act, 3 * self.plan.organic_ml) * read.repeats
        known = read.volume_ml is not None
        if self.book.organic is None:
            self._extract_from(act, row, volume, 1)
            self.layer_known = known
            self.together = True  # nobody has parted them yet
            return
        self.layer_known = known and (self.layer_known or not self.book.organic.solvents)
        self.book.organic = books.pool(self.book.organic, fresh_solvent(row, volume, self.numbers))
        if self.waters and not self.discarded and (self.together or self.waters[-1][0] == act.number - 1):
            # Still over the water that it was poured into.
            equilibrate(self.numbers, self.book.organic, self.waters[-1][1], volumes_to=VOLUMES_TO)

    def filter(self, act: Act) -> None:
        """Take insoluble leftovers out."""
        if self.book.organic is None and self.met_water and not self._comes_back(act):
            self.solid = self.solid or act.number
            act.assumed.append("a solid is collected from the water; what stays in it is not computed")
        elif self._collects(act):
            self.solid = self.solid or act.number
            act.assumed.append("the solid is the product; what stays in it is not computed")
        solids = [c for c, fact in self.leftovers.items() if fact["action"] == "filter"]
        if not self.met_water:
            # What lies undissolved in the reaction solvent.
            ends = {x["component"] for x in self.known.get(f.EndsDry, ())} if not self._with_solid_end(act) else set()
            solids += [
                x["component"]
                for x in self.known.get(f.Leaves, ())
                if x["way"] == "filtration" and x["component"] not in ends
            ]
        salts = self._salts()
        solids += self._granular()
        if not self.waters and SALTS_OFF.search(self._told_after(act)):
            solids += sorted(salts)
        if RESIN.search(self.proposal.text[: act.read.end]):
            onium = [c.id for c in self.plan.mixture.components if permanent_charge(c.principal) > 0]
            solids += [c for c in onium if c != "product"]
        act.cleared = tuple(dict.fromkeys(solids))
        self._clear(self.layer, act.cleared)

    def _salts(self) -> set[str]:
        return {x["component"] for x in self.known.get(f.Behaviour, ()) if x["kind"] == "salt"} - {"product"}

    def _granular(self) -> list[str]:
        """Return the aluminium salts that lie there with the granular ones of a hydride, where its quench made those."""
        made = any(a.in_salts for a in self.acts)
        return sorted(c for c in self._salts() if made and "Al" in self.plan.component(c).smiles)

    def _told_after(self, act: Act) -> str:
        """Return the words of a step and those up to the next one."""
        later = self._later(act)
        return self.proposal.text[act.read.start : later[0].start if later else None]

    def _collects(self, act: Act) -> bool:
        """Tell whether what is filtered off from an organic solvent is the product: nothing is made of the filtrate."""
        goes_on = (
            "dilute",
            "extract",
            "wash",
            "take up",
            "set ph",
            "quench",
            "dry",
            "evaporate",
            "concentrate",
            "filter",
        )
        words = self._told_after(act)
        last = not any(s.action.startswith(goes_on) for s in self._later(act))
        return last and bool(_SOLID_KEPT.search(words)) and not any(a.read.action == "dry" for a in self.acts)

    def _with_solid_end(self, act: Act) -> bool:
        """Tell whether the words before a step, or its own, name a solid that ends an acid or a base."""
        words = [self.proposal.text[: act.read.end], *(s.words for s in self.proposal.steps[: act.number])]
        return any(SOLID_END.search(" ".join(part.split())) for part in words)

    def wash(self, act: Act) -> None:
        """Shake the organic layer with a solution; or the water with a solvent, where that is what is said."""
        read = act.read
        together = self.together and read.in_all  # water up to a volume joins the water that is there
        self._parted()
        if not read.solution and read.solvent and read.solvent != "water":
            if self.book.aqueous is not None:
                self._rinse(act)
            return
        solution = read.solution or ("water" if read.solvent == "water" else "")
        if not solution:
            act.skipped = "the solution could not be read"
            return
        act.solution = solution
        if self.book.aqueous is not None and not self._taken_up_before():
            self._need_layer(act)
        elif self.book.aqueous is not None:
            # A solution added to the water layer that holds the product.
            self._pour(act, solution, self._volume(act, at_best(self.book.aqueous.volume_ml)))
            return
        else:
            self._need_layer(act, read.phase_solvent)
        self._meet_own_water(act)
        self._shake(act, solution, read.phase_kept == "aqueous", together)

    def _meet_own_water(self, act: Act) -> None:
        """Let the water that a reaction ran in beside an organic layer have its share, where nothing has been poured into it."""
        organic, own = self.book.organic, self._water_of_flask()
        if own and not self.met_water and organic is not None and organic.solvents:
            self._pour(act, "water", own, counted=True)
            self._parted()

    def _taken_up_before(self) -> bool:
        return any(a.did == "take up" for a in self.acts)

    def _shake(self, act: Act, solution: str, wants_water: bool, together: bool = False) -> None:
        organic = self.book.organic
        assert organic is not None
        act.organic_ml = self._organic_ml()
        act.layer_known = self.layer_known
        act.portion_ml = self._volume(act)
        volume = self._in_all(act.read, act.portion_ml, together)
        act.ph = table(Solution)[solution].ph
        act.cleared = self._bound(solution)
        self._clear(organic, act.cleared)
        self._react(act, organic)
        pooled: Phase | None = None
        for portion in range(1, act.read.repeats + 1):
            aqueous = self._fresh(solution, volume)
            if together and self.waters and portion == 1:
                aqueous = books.pool(self.waters.pop()[1], aqueous)
            books.hand_over(organic, aqueous)
            self._contact(act, organic, aqueous, portion)
            pooled = aqueous if pooled is None else books.pool(pooled, aqueous)
        self.met_water = True
        assert pooled is not None
        act.aside = pooled.mmol.copy()
        in_water = float(self.share("product", pooled.mmol)[0])
        in_organic = float(self.share("product", organic.mmol)[0])
        whole = max(in_water + in_organic, 1e-12)
        said = self._said(act)
        if (
            (said or "organic") == "aqueous"
            or (wants_water and said != "organic")
            or (not said and self._comes_back(act))
        ):
            back = self._comes_back(act)
            meant = (said == "aqueous" and back) or (wants_water and not said and self._as_its_salt(act, solution))
            if in_water > TAKEN_UP * whole or meant:
                act.did = "take up"
                act.aside = organic.mmol.copy()
                self.waters.append((act.number, organic))
                self.book.aqueous, self.book.organic = pooled, None
                return
            if said == "aqueous":
                self._wrong(act, "aqueous", in_water / whole)
            if act.did == "take up":
                act.did = "wash"  # "extracted with 1 M HCl": what stays in the organic layer was washed
        elif (
            said == "organic" and in_organic < TAKEN_UP * whole and self._comes_back(act) and not self._again_next(act)
        ):
            self._wrong(act, "organic", in_organic / whole)
            act.did = "take up"
            self.book.aqueous, self.book.organic = pooled, None
            return
        self.waters.append((act.number, pooled))

    def _product_pkas(self) -> dict[str, float]:
        """Return the pKa of the product's strongest acid and base, by kind."""
        sites = [s for s in self.known.get(f.Ionises, ()) if s["component"] == "product"]
        return {s["kind"]: s["pka"] for s in sites}

    def _as_its_salt(self, act: Act, solution: str) -> bool:
        """Tell whether a solution makes a salt of the product, which the plan sets free again: then the water is meant."""
        pkas, ph = self._product_pkas(), table(Solution)[solution].ph
        acid, base = ph > pkas.get("acid", math.inf), ph < pkas.get("base", -math.inf)
        if acid is base:
            return False
        for step in self._later(act):
            if step.action == "set ph":
                bottle = table(Solution).get(step.solution)
                brought = step.target_ph if step.target_ph is not None else bottle.ph if bottle else None
                return brought is not None and (brought < pkas["acid"] if acid else brought > pkas["base"])
            if step.action in ("dry", "evaporate", "concentrate"):
                return False
        return False

    def _said(self, act: Act) -> str:
        """Return the phase that the words keep, by its place if that is given; empty if nothing is said."""
        read = act.read
        if read.layer_kept and self.book.contacts and self.book.contacts[-1].step == act.number:
            contact = self.book.contacts[-1]
            organic_top = contact.organic_density < contact.aqueous_density
            return "organic" if (read.layer_kept == "top") == organic_top else "aqueous"
        return "" if any(LAYER_ASSUMED in text for text in read.assumed) else read.phase_kept

    def _wrong(self, act: Act, said: str, holds: float) -> None:
        self.mistakes.append((act, said, holds))
        self.thrown = self.thrown * holds

    def _rinse(self, act: Act) -> None:
        row = table(Solvent).get(act.read.solvent)
        aqueous = self.book.aqueous
        if row is None or not row.log_k_key or aqueous is None:
            act.skipped = "nothing to rinse"
            return
        act.did = "rinse water"
        volume = self._volume(act)
        for portion in range(1, act.read.repeats + 1):
            organic = fresh_solvent(row, volume, self.numbers)
            self._contact(act, organic, aqueous, portion)

    def take_up(self, act: Act) -> None:
        """Carry the product into water, if it goes."""
        # Water added to a flask that holds both layers joins the water that is there.
        together = self.together and act.read.solution == "water"
        self._parted()
        if not act.read.solution:
            act.skipped = "the solution could not be read"
            return
        organic = self.book.organic
        if organic is None or (not organic.solvents and not act.read.phase_solvent):
            # A residue, or water with the product in it: dissolved, not extracted.
            self._pour(act, act.read.solution, self._volume(act, self.plan.organic_ml))
            return
        self._need_layer(act, act.read.phase_solvent)
        self._shake(act, act.read.solution, act.read.phase_kept != "organic", together)

    def set_ph(self, act: Act) -> None:
        """Bring the water to a pH."""
        read = act.read
        target = read.target_ph if says_ph(read) else None
        if target is None:
            target = self._usual_ph(act)
        act.ph = target
        step = Step("set ph", target_ph=target)
        organic = self.book.organic
        if self.book.aqueous is not None:
            books.bring_to_ph(self.book, act.number, step)
        elif organic is not None and not organic.solvents:
            self._pour(act, "water", self._water_for_flask(), counted=True)
            act.ph = target
            if self.book.aqueous is not None:
                books.bring_to_ph(self.book, act.number, step)
        elif organic is not None:
            if not self.together or not self.waters:
                volume = max(round_volume(0.5 * self._organic_ml()), 0.0 if self.met_water else self._water_of_flask())
                self.waters.append((act.number, self._fresh("water", volume)))
                books.hand_over(organic, self.waters[-1][1])
            water = self._again(act)
            self._contact(act, organic, water, 1, target)
            self.together = True
            self.met_water = True

    def _usual_ph(self, act: Act) -> float:
        read = act.read
        bottle = table(Solution).get(read.solution)
        basic = bottle.ph > NEUTRAL_PH if bottle else (read.target_ph or 0.0) > NEUTRAL_PH
        pkas = self._product_pkas()
        target = BASIFIED_PH if basic else ACIDIFIED_PH
        if len(pkas) == 2 and pkas["acid"] > pkas["base"]:
            target = (pkas["acid"] + pkas["base"]) / 2  # nobody overshoots on purpose
        elif "base" in pkas and basic:
            target = min(max(pkas["base"] + MARGIN_PH, BASIFIED_PH), 13.0)
        elif read.target_ph == NEUTRAL_PH and ("base" if basic else "acid") not in pkas:
            target = NEUTRAL_PH  # "neutralised", with nothing of the product to set free
        if bottle is not None and basic:
            target = min(target, max(bottle.ph, NEUTRAL_PH))  # bicarbonate makes no water more basic than itself
        act.assumed = [a for a in act.assumed if not a.startswith(PH_ASSUMED)] + [f"pH {target:g}, as none is given"]
        return target

    def extract(self, act: Act) -> None:
        """Extract the water with a solvent."""
        read = act.read
        row = table(Solvent).get(read.solvent)
        usable = row is not None and bool(row.log_k_key)
        if row is None or not usable:
            if row is None and not read.solvent:
                act.assumed.append(f"solvent not given: {table(Solvent)[self.plan.extraction].name}")
            elif row is not None and row.miscibility == "miscible":
                if self.book.organic is not None and self.book.organic.solvents:
                    act.skipped = "mixes with both"
                    return
                act.skipped = "no layer"
            row = table(Solvent)[self.plan.extraction]
        if read.phase_kept == "aqueous" and self._comes_back(act):
            self._water_stands(act)
        if self.book.aqueous is not None and read.phase_kept == "aqueous" and self._comes_back(act):
            self._rinse(act)
            return
        if read.solution in table(Solution) and self.book.organic is not None:
            # "Extracted with 1 M HCl": an organic layer, with a solution.
            self._need_layer(act, read.phase_solvent)
            self._shake(act, read.solution, read.phase_kept == "aqueous")
            return
        if read.solution in table(Solution):
            self._pour(act, read.solution, self._volume(act))
        self._meet_own_water(act)
        organic = self.book.organic
        if self.waters and organic is not None and read.phase_kept == "aqueous" and self._comes_back(act):
            # The water goes on: what the solvent takes out of it is set aside with the organic layer.
            self.book.aqueous, self.book.organic = self._again(act), None
            self._rinse(act)
            return
        if self.book.aqueous is None and organic is not None and not organic.solvents:
            water = self._water_of_flask()
            if self._miscible_ml() or water:
                self._pour(act, "water", max(water, 1.5 * self._miscible_ml()), counted=True)
                if not water:
                    act.assumed.append("water is there to extract from")
        if self.book.aqueous is not None:
            whole = self._liquid_ml(self.book.aqueous)
            said = read.volume_ml is not None or bool(read.relative_volume)
            volume = read.volume_ml or (read.relative_volume or 1.0) * whole
            repeats = read.repeats
            if not said:
                # Nobody is blamed for what is not said: enough is assumed.
                repeats = max(repeats, 3)
                act.assumed.append(f"volume not given: {repeats} times that of the water")
            act.volume_said = said
            if SALTED.search(self.said_of(act)):
                books.saturate_with_salt(self.book.aqueous)
            self._extract_from(act, row, volume, repeats)
            self.layer_known = read.volume_ml is not None
            kept = self._said(act)
            if kept == "aqueous" and (read.layer_kept or not self._comes_back(act)):
                holds = float(self.share("product", self.waters[-1][1].mmol)[0])
                self._wrong(act, "aqueous", holds / max(float(self.share("product", act.before)[0]), 1e-12))
            return
        organic = self.book.organic
        assert organic is not None
        volume = self._volume(act, 3 * self.plan.organic_ml)
        if not organic.solvents or not self.waters:
            self.layer_known = read.volume_ml is not None
            self.book.organic = books.pool(organic, fresh_solvent(row, volume * read.repeats, self.numbers))
            return
        last = self.waters[-1][0]
        act.again = last
        for _, layer in [w for w in self.waters if w[0] == last]:
            if SALTED.search(self.said_of(act)):
                books.saturate_with_salt(layer)
            for portion in range(1, read.repeats + 1):
                fresh = fresh_solvent(row, volume, self.numbers)
                self._contact(act, fresh, layer, portion)
                organic = self.book.organic = books.pool(organic, fresh)
        self.layer_known = self.layer_known and read.volume_ml is not None
        self.together = False

    def _water_stands(self, act: Act) -> None:
        """Let the water that the reaction ran in be the layer that holds the product, where no other liquid is there."""
        organic, water_ml = self.book.organic, self._water_of_flask()
        if self.book.aqueous is None and organic is not None and not organic.solvents and water_ml and not self.waters:
            self._pour(act, "water", water_ml, counted=True)

    def _parted(self) -> None:
        self.together = False

    def parted(self, act: Act) -> None:
        """Work on the organic layer alone: the water is no longer under it."""
        self._parted()

    def filter_off(self, act: Act) -> None:
        """Filter the drying agent off, and what else lies undissolved with it."""
        act.cleared = tuple(sorted(c for c in {*self.solids, *self._granular()} if self._there(c) > 0))
        self._clear(self.layer, act.cleared)

    def discard(self, act: Act) -> None:
        """Throw away the layers set aside."""
        self._parted()
        if self.waters and self.book.organic is not None:
            held = sum((self.share("product", layer.mmol) for _, layer in self.waters), np.zeros(self.numbers.draws))
            self.discarded.append((act, held))
            self.waters = []

    def rinse(self, act: Act) -> None:
        """Rinse the water that holds the product; the rinse of a filter cake joins what went through."""
        before = next((a for a in reversed(self.acts) if a.read.action not in MOVES_NOTHING), None)
        of_a_solid = before is not None and before.read.action in ("filter", "filter off desiccant", "rinse")
        if act.read.solvent and not of_a_solid and self._comes_back(act):
            self._water_stands(act)
        if self.book.aqueous is not None and act.read.solvent and not of_a_solid:
            self._rinse(act)

    def nothing(self, act: Act) -> None:
        """Do what moves nothing."""


_DO: dict[str, Any] = {
    "quench": Bench.quench,
    "evaporate": Bench.evaporate,
    "dilute": Bench.dilute,
    "filter": Bench.filter,
    "wash": Bench.wash,
    "extract": Bench.extract,
    "take up": Bench.take_up,
    "set ph": Bench.set_ph,
    "combine": Bench.parted,
    "discard": Bench.discard,
    "dry": Bench.parted,
    "filter off desiccant": Bench.filter_off,
    "rinse": Bench.rinse,
    "concentrate": Bench.evaporate,
    "vent": Bench.nothing,
    "check ph": Bench.nothing,
    "cool": Bench.nothing,
    "wait": Bench.nothing,
    ELSEWHERE: Bench.nothing,
}
