"""The flask and the funnel: what is in which layer, what is added to it, and what two layers do to each other."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from washlore.knowledge.arrays import at_best, np
from washlore.knowledge.inorganic import insoluble
from washlore.knowledge.records import dataclass, field
from washlore.knowledge.rows import Buffer, Residue, Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules import ledger as books
from washlore.rules.contact import Contact, equilibrate
from washlore.rules.enough import solid_g_per_mmol
from washlore.rules.families.quench import holds_poison
from washlore.rules.families.removal import CHEMICAL
from washlore.rules.ledger import Ledger
from washlore.rules.mixture import Component
from washlore.rules.phase import Phase, fresh_solvent, fresh_wash
from washlore.rules.plan import Plan
from washlore.rules.proposal import Proposal, ReadStep
from washlore.rules.species import Array, Sheet, sheet
from washlore.rules.stripped import STRIPS_BELOW_C, neutrals_stripped
from washlore.rules.words import round_volume

DRAWS = 64
# How far the volumes of a contact settle; a judgement needs no more.
VOLUMES_TO = 1e-5
# Of the organic layer, where a plan names no volume.
PORTION = 1 / 3
# What is done with as much acid or base as it takes, where no volume is given.
TAKES_ENOUGH = ("wash", "take up", "quench", "dilute")
# A proton of an inorganic acid with a pKa below this is taken by bicarbonate.
SPENT_BELOW_PKA = 6.0
# What boils below this is hardly a liquid: its vapour leaves whatever is stripped, but for what is held as a salt.
GAS_C = 40.0
# Oxidants and their like come through a wash unless it takes or reduces them; the rest reacts with water.
SURVIVES_WATER = frozenset(
    [
        "oxidant",
        "phosphine",
        "Mitsunobu reagent",
        "alkylating agent",
        "isocyanide",
        "azide source",
        "element",
        "metal complex",
    ]
)
# Of these, what water alone does not end in the flask either.
OXIDISES = frozenset({"oxidant", "element"})
# Water dissolves this one of what is filtered off.
DISSOLVES = frozenset({"selenium_dioxide"})
# N,N-dimethylethylenediamine as it is written within what it makes, from either end.
DIAMINE = ("CN(C)CCN", "NCCN(C)C")
# What dissolves a solid, by what the solution acts as: acid a base metal, a reductant manganese dioxide.
DISSOLVED_BY = {"magnesium_metal": "acid", "zinc_iron_dust": "acid", "manganese_dioxide": "reductant"}


@dataclass
class Act:
    """What became of one step as read: what was with the product before and after (species, draws), and the contacts."""

    number: int
    read: ReadStep
    before: Array
    did: str = ""
    after: Array | None = None
    contacts: list[Contact] = field(default_factory=list)
    organic_ml: float = 0.0
    layer_known: bool = False
    portion_ml: float = 0.0
    assumed: list[str] = field(default_factory=list)
    skipped: str = ""
    volume_said: bool = False
    aside: Array | None = None
    destroyed: Array | None = None
    cleared: tuple[str, ...] = ()
    solution: str = ""
    solvent: str = ""
    ph: float = 7.0
    # What goes in ends with the granular salts of a hydride, which are filtered off.
    in_salts: bool = False
    # Which layer holds the product afterwards, and the step whose layer, set aside there, is taken up again here.
    kept: str = ""
    again: int = 0

    @property
    def wet(self) -> bool:
        """Tell whether water met the organic layer here."""
        return bool(self.contacts)


def dissolved_by(component: Component, residue: str) -> str:
    """Return what a solution that takes an undissolved solid up acts as; empty where none does."""
    salt = insoluble(p.smiles for p in component.parts)
    return salt.dissolved_by if salt else DISSOLVED_BY.get(residue, "")


def by_solute(solution: str) -> tuple[str, ...]:
    """Return the ids of the solutions of the same solute."""
    row = table(Solution)[solution]
    return tuple(s.id for s in table(Solution).values() if s.solute and s.solute == row.solute) or (solution,)


def _stripped_early(plan: Plan) -> set[str]:
    """Return what our plan takes off before the washes."""
    return {c for step in plan.steps if step.action == "evaporate" for c in step.for_components}


def _stripped_by(plan: Plan) -> set[str]:
    """Return what our plan takes off: before the washes, and at the end what it has no wash for, or none that takes it whole."""
    early = _stripped_early(plan)
    last = {c for step in plan.steps if step.action == "concentrate" for c in step.for_components}
    washed = {c for step in plan.steps if step.action == "wash" for c in step.for_components}
    return early | {c for c in last if c not in washed or _left_to_evaporator(plan, c)}


def _left_to_evaporator(plan: Plan, component: str) -> bool:
    """Tell whether the washes of our plan leave more of a component than the target: the last strip takes the rest."""
    book = plan.ledger
    return books.band(book.fraction(component, book.after[-2]))[1] > plan.mixture.target


class Flask:
    """What a read plan works on: the mixture of ``plan`` in its layers, and what has become of it so far."""

    def __init__(self, plan: Plan, proposal: Proposal, draws: int = DRAWS, numbers: Sheet | None = None) -> None:
        self.plan = plan
        self.proposal = proposal
        self.numbers = numbers or sheet(plan.mixture, draws)
        self.book = Ledger(self.numbers, (), [], None, None, [], [], [])
        self.book.organic = books.whole_flask(plan.mixture, self.numbers)
        self.waters: list[tuple[int, Phase]] = []
        self.thrown = np.ones(self.numbers.draws)
        self.acts: list[Act] = []
        self.layer_known = bool(self.book.organic.solvents) and not any(
            "volume of" in text for text in plan.assumptions
        )
        self.mistakes: list[tuple[Act, str, float]] = []
        self.discarded: list[tuple[Act, Array]] = []
        self.met_water = False
        self.gone: set[str] = set()  # destroyed, bound or filtered off, ions and all
        self.solid = 0  # the step that collects the product as a solid
        self.together = False
        rows = {i: s.component for i, s in enumerate(self.numbers.species) if s.component}
        ids = [c.id for c in plan.mixture.components]
        self.weights = np.zeros((len(ids), len(self.numbers.species)))
        for i, component in rows.items():
            self.weights[ids.index(component), i] = 1.0
        whole = self.weights @ self.numbers.mmol
        self.weights /= np.maximum(whole, 1e-300)[:, None]
        self.index = {c: n for n, c in enumerate(ids)}
        known: dict[type, list[Any]] = {}
        for item in plan.known.values():
            known.setdefault(type(item.fact), []).append(item.fact)
        self.known = known
        self.leftovers = {fact["component"]: fact for fact in known.get(f.Leftover, ())}
        never = self._never_made()
        if never:
            self._clear(self.book.organic, never)
        # What lies undissolved goes into neither layer; a filter takes it, or what dissolves it.
        self.solids = {
            c for c, fact in self.leftovers.items() if fact["action"] == "filter" and fact["residue"] not in DISSOLVES
        }
        # What ionises is taken for washed out, not stripped: its salts stay. Much of it, stripped in our plan too, goes.
        ionise = {fact["component"] for fact in known.get(f.Ionises, ())}
        acids = {fact["component"] for fact in known.get(f.Ionises, ()) if fact["kind"] == "acid"}
        leave = {fact["component"] for fact in known.get(f.Leaves, ()) if fact["way"] == "evaporation"}
        # A base that our plan leaves to the last strip may still be held as its salt in an earlier one.
        self.waits = ((leave | _stripped_by(plan)) & ionise) - acids - _stripped_early(plan)
        self.volatile = (
            leave
            | {
                fact["component"]
                for fact in known.get(f.Mixes, ())
                if fact["boiling_c"] < STRIPS_BELOW_C and fact["component"] not in ionise
            }
            | _stripped_by(plan)
            | {
                fact["component"]
                for fact in known.get(f.Boils, ())
                if fact["boiling_c"] < GAS_C and fact["component"] not in acids | {"product", *self.leftovers}
            }
            | neutrals_stripped(plan.mixture, known.get(f.Boils, ()), ionise)
        )

    def _never_made(self) -> tuple[str, ...]:
        """Return what our quench with a diamine would make, where the words name none: it is not in their flask."""
        if "diamine" in self.proposal.text.lower():
            return ()
        amides = {
            c
            for c, fact in self.leftovers.items()
            if fact["action"] == "quench" and "diamine" in table(Residue)[fact["residue"]].quench_with
        }
        made = self.plan.mixture.components
        return tuple(
            c.id for c in made if c.id[:-1] in amides and c.id[-1].isalpha() and any(d in c.smiles for d in DIAMINE)
        )

    def shares(self, mmol: Array) -> Array:
        """Return the share of each component (components, draws) that ``mmol`` holds."""
        return self.weights @ mmol

    def share(self, component: str, mmol: Array) -> Array:
        """Return the share of one component (draws,)."""
        return self.weights[self.index[component]] @ mmol

    @property
    def layer(self) -> Phase:
        """Return the layer with the product."""
        found = self.book.organic if self.book.organic is not None else self.book.aqueous
        assert found is not None
        return found

    @property
    def recovered(self) -> Array:
        """Return the share (draws,) of the product that the plan as written brings home."""
        return self.share("product", self.layer.mmol) * self.thrown

    def _product(self) -> str:
        return self.plan.mixture.product.name

    def _organic_ml(self) -> float:
        organic = self.book.organic
        if organic is None or at_best(organic.volume_ml) < 1:
            return self.plan.organic_ml
        return at_best(organic.volume_ml)

    def _volume(self, act: Act, whole: float | None = None) -> float:
        read = act.read
        base = self._organic_ml() if whole is None else whole
        if read.volume_ml is not None and read.volume_ml > 0:
            act.volume_said = True
            return read.volume_ml
        if read.relative_volume:
            act.volume_said = True
            return read.relative_volume * base
        portion = round_volume(base * PORTION)
        enough = self._enough_ml(act.solution) / read.repeats if read.action in TAKES_ENOUGH else 0.0
        if enough > portion:
            portion = min(round_volume(enough), max(2 * base, portion))
            act.assumed.append(f"volume {portion:g} mL, for what there is to take")
        elif read.action in ("wash", "take up", "extract"):
            act.assumed.append("volume a third of the organic layer")
        return portion

    def _enough_ml(self, solution: str) -> float:
        """Return the volume of an acid or base that matches what it meets: nobody is blamed for a volume not given."""
        row = table(Solution).get(solution)
        if row is None or row.acts_as not in ("acid", "base") or not row.molarity_m:
            return 0.0
        wanted = ("base", "weak base") if row.acts_as == "acid" else ("acid", "weak acid")
        under = self.waters[-1][1].mmol if self.together and self.waters else None
        held = 0.0
        for c in {fact["component"] for fact in self.known.get(f.Behaviour, ()) if fact["kind"] in wanted}:
            there = self._there(c) + (float(self.share(c, under)[0]) if under is not None else 0.0)
            mmol = self.plan.component(c).mmol
            held += there * max(mmol * self._protons(c, row), self._strong_mmol(c))
        return 1.2 * held / row.molarity_m

    def _protons(self, component: str, row: Solution) -> int:
        """Return how many protons of each molecule a base takes, or an acid gives to it: two of tartaric acid; one at least."""
        kind, side = ("base", -1.0) if row.acts_as == "acid" else ("acid", 1.0)
        sites = [s for item in self.numbers.species if item.component == component for s in item.sites]
        return max(1, sum(s.kind == kind and side * (row.ph - s.pka) > 0 for s in sites))

    def _liquid_ml(self, phase: Phase) -> float:
        """Return the volume of a layer with all that is dissolved in it, at the best estimate."""
        dissolved = sum(s.molar_volume_ml * phase.mmol[i, 0] for i, s in enumerate(self.numbers.species))
        return at_best(phase.volume_ml) + float(dissolved)

    def _miscible_ml(self) -> float:
        return sum(v for _, v in self.plan.mixture.miscible_solvents)

    def _water_of_flask(self) -> float:
        return self.plan.mixture.water_ml

    def _water_for_flask(self) -> float:
        return max(self._water_of_flask(), 1.5 * self._miscible_ml()) or self._organic_ml()

    def _there(self, component: str) -> float:
        return float(self.share(component, self.layer.mmol)[0])

    def _bound(self, solution: str) -> tuple[str, ...]:
        """Return the leftovers that a solution destroys or binds."""
        acts = table(Solution)[solution].acts_as
        if acts == "base":
            return tuple(c for c, fact in self.leftovers.items() if holds_poison(solution, fact["residue"]))
        if acts == "acid":
            return tuple(c for c, fact in self.leftovers.items() if fact["kind"] == "metal complex")
        if acts not in CHEMICAL:
            return ()
        alike = set(by_solute(solution))
        found = [
            c
            for c, fact in self.leftovers.items()
            if fact["solution"] in alike
            or (acts == "reductant" and fact["solution"] and table(Solution)[fact["solution"]].acts_as == acts)
        ]
        # A small pyridine that copper binds is no leftover of the table.
        found += [x["component"] for x in self.known.get(f.Takes, ()) if x["solution"] in alike and x["left"] == 0.0]
        return tuple(dict.fromkeys(found))

    def _react(self, act: Act, organic: Phase) -> None:
        """Let what water destroys be gone once a wash has met it; that it was not quenched is judged elsewhere."""
        reactive = [c for c, fact in self.leftovers.items() if fact["action"] == "quench"]
        there = tuple(c for c in reactive if self._there(c) > 0 and self.leftovers[c]["kind"] not in SURVIVES_WATER)
        self._clear(organic, there)

    def _clear(self, phase: Phase, components: Collection[str]) -> None:
        for i, item in enumerate(self.numbers.species):
            if item.component in components:
                phase.mmol[i] = 0.0
        if not self.met_water:
            books.take_ions_out(self.numbers, phase, set(components) - self.gone)
        self.gone |= set(components)

    def _add_solid(self, water: Phase, solid_g: float, row: Solution) -> None:
        """Dissolve so much more of its solute in a portion of a solution, in place."""
        g_per_mmol = solid_g_per_mmol(row)
        if not solid_g or not g_per_mmol:
            return
        more = self._fresh(row.id, solid_g / g_per_mmol / row.molarity_m)
        water.strong_mmol = water.strong_mmol + more.strong_mmol
        water.salt_mmol = water.salt_mmol + more.salt_mmol
        for key, mmol in more.weak_mmol.items():
            water.weak_mmol[key] = water.weak_mmol.get(key, 0.0) + mmol

    def _fresh(self, solution: str, volume: float) -> Phase:
        return fresh_wash(table(Solution)[solution], volume, self.numbers)

    def _contact(self, act: Act, organic: Phase, aqueous: Phase, portion: int, ph: float | None = None) -> None:
        """Shake two layers and note what came of it; what lies undissolved stays where it is."""
        rows = self._undissolved(act.solution)
        held = [(phase, phase.mmol[rows].copy()) for phase in (organic, aqueous)] if rows else []
        for phase, _ in held:
            phase.mmol[rows] = 0.0
        made = equilibrate(self.numbers, organic, aqueous, act.number, portion, ph, VOLUMES_TO)
        for phase, mmol in held:
            phase.mmol[rows] = mmol
        self.book.contacts.append(made)

    def _undissolved(self, solution: str) -> list[int]:
        """Return the species that lie undissolved, less those that the solution dissolves."""
        row = table(Solution).get(solution)
        acts = row.acts_as if row is not None else ""
        taken_up_by = {c: dissolved_by(self.plan.component(c), self.leftovers[c]["residue"]) for c in self.solids}
        self.solids -= {c for c, by in taken_up_by.items() if acts and by == acts}
        return [i for i, s in enumerate(self.numbers.species) if s.component in self.solids - self.gone]

    def _need_layer(self, act: Act, solvent: str = "", volume: float | None = None) -> None:
        """See to it that there is an organic layer with the product in it."""
        row = table(Solvent).get(solvent or self.plan.extraction)
        if row is None or not row.log_k_key:
            row = table(Solvent)[self.plan.extraction]
        if self.book.organic is None:
            act.assumed.append(f"{self._product()} is extracted into {row.name} first")
            self._extract_from(act, row, volume or self.plan.organic_ml / 2, 2)
        elif not self.book.organic.solvents:
            volume = volume or self.plan.organic_ml
            if not solvent:
                act.assumed.append(f"{volume:g} mL of {row.name} make the organic layer")
            self.book.organic = books.pool(self.book.organic, fresh_solvent(row, volume, self.numbers))

    def _extract_from(self, act: Act, row: Solvent, volume: float, repeats: int) -> None:
        aqueous = self.book.aqueous
        assert aqueous is not None
        pooled: Phase | None = None
        for portion in range(1, repeats + 1):
            organic = fresh_solvent(row, volume, self.numbers)
            self._contact(act, organic, aqueous, portion)
            pooled = organic if pooled is None else books.pool(pooled, organic)
        self.waters.append((act.number, aqueous))
        self.book.organic, self.book.aqueous = pooled, None
        self.met_water = True

    def _pour(self, act: Act, solution: str, volume: float, counted: bool = False) -> None:
        """Bring the flask together with water or a solution, and the water of the reaction unless that is ``counted`` in."""
        fresh = self._fresh(solution, volume)
        self._add_solid(fresh, act.read.solid_g, table(Solution)[solution])
        if (own := self._water_of_flask()) and not self.met_water and not counted:
            fresh = books.pool(self._fresh("water", own), fresh)
        act.ph = table(Solution)[solution].ph
        organic = self.book.organic
        if organic is None:
            assert self.book.aqueous is not None
            self.book.aqueous = books.pool(self.book.aqueous, fresh)
        elif organic.solvents:
            if self.together and self.waters:
                fresh = books.pool(self.waters.pop()[1], fresh)  # into the flask that holds both layers
            books.hand_over(organic, fresh)
            self._contact(act, organic, fresh, 1)
            self.waters.append((act.number, fresh))
            self.together = True
        else:
            fresh.mmol = organic.mmol
            fresh.strong_mmol = fresh.strong_mmol + organic.strong_mmol
            books.hand_over(organic, fresh)
            self.book.aqueous, self.book.organic = fresh, None
        self.met_water = True

    def _strong_mmol(self, component: str) -> float:
        """Return the protons (or hydroxide) that an inorganic acid or base brings: two of sulfuric acid."""
        protons = -self.numbers.strong_of.get(component, 0.0)
        for key, mmol in self.numbers.weak_of.get(component, {}).items():
            row = table(Buffer).get(key)  # iodide and other ions that only hold a solute have none
            if row is not None:
                protons += mmol * (sum(pka < SPENT_BELOW_PKA for pka in row.pkas) - row.acid_charge)
        return abs(protons)

    def _one_flask(self) -> None:
        """Let what was water under an organic layer be all that is left, as its solvent goes."""
        organic, (_, water) = self.book.organic, self.waters.pop()
        assert organic is not None
        water.mmol = water.mmol + organic.mmol
        water.strong_mmol = water.strong_mmol + organic.strong_mmol
        self.book.aqueous, self.book.organic, self.together = water, None, False

    def _again(self, act: Act) -> Phase:
        """Return the water that was set aside last, to be used again."""
        number, water = self.waters[-1]
        act.again = number if number != act.number else 0
        return water
