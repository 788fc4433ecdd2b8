"""The course of a text: the operations as they are found, and what the words are about meanwhile."""

from __future__ import annotations

from collections.abc import Sequence

from washlore.knowledge.records import dataclass, field
from washlore.knowledge.rows import Solution, table

from .amounts import Amount
from .asides import verbs_first, without_reasons, without_tests
from .characters import Token, normalise
from .layers import ALKANES, Phase, makes_layer, miscibility, solvent_name
from .lexicon import lex
from .sentences import sentences_of
from .strengths import choose
from .things import Item


@dataclass
class Op:
    """An operation as found, before the workup is told from what surrounds it."""

    action: str
    start: int
    end: int
    sentence: int
    weak: bool = False
    solution: str = ""
    strength: str = ""
    solvent: str = ""
    desiccant: str = ""
    volume: float | None = None
    relative: float | None = None
    repeats: int = 1
    ph: float | None = None
    phase: str = ""
    layer: str = ""
    notes: list[str] = field(default_factory=list)
    subject: str = ""  # the layer that it is done to
    subject_solvent: str = ""
    verb: str = ""
    reason: str = ""  # for what could not be read
    names_layer: bool = False
    solvent_ml: float | None = None  # of the solvent that is named beside the water
    in_all: bool = False  # the volume is that of the flask once it is in


@dataclass
class Clause:
    """A verb and where it stands: ``tokens[begun:i]`` before it and ``tokens[i + 1:high]`` after it, with their layers."""

    tokens: list[Token]
    i: int
    verb: str
    begun: int
    high: int
    subject: Phase | None
    before: list[Phase]
    after: list[Phase]
    noun: bool


# Said of the solvent where the product is distilled at once.
GOES_FIRST = "the solvent goes first"
# What a concentrated solution as bought holds, mol/L (CRC handbook, concentrative properties; common practice).
STOCK_M = {"hcl": 12.0, "h2so4": 18.0, "hno3": 15.8, "acetic": 17.4, "ammonia": 14.8, "naoh": 19.0}


def _diluted(key: str, amount: Amount, water_ml: float) -> Amount:
    """Return what a measured acid or base becomes in ``water_ml`` mL of water or molten ice."""
    row, _ = choose(key, amount, "")
    molar = STOCK_M[key] if amount.state == "conc" else amount.molar or table(Solution)[row].molarity_m
    assert amount.volume is not None
    total = amount.volume + water_ml
    return Amount(
        volume=total,
        molar=molar * amount.volume / total,
        repeats=amount.repeats,
        notes=[f"with the water or ice {total:.3g} mL of about {molar * amount.volume / total:.2g} M"],
        start=amount.start,
        end=amount.end,
    )


def _one_after_the_other(between: str) -> bool:
    return "followed by" in between or "then" in between.split()


class Course:
    """The text as it is read so far: what it is about, and the operations found in it."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.norm, self.at = normalise(text)
        cut = sentences_of(lex(self.norm), self.norm)
        self.sentences = [made for s in cut if (made := verbs_first(without_reasons(without_tests(s))))]
        self.ops: list[Op] = []
        self.number = 0
        self.carried: Phase | None = None  # what the sentence is about so far
        self.heard: set[int] = set()  # sentences of which something was understood, though it is no step
        self.silent: list[tuple[int, int, int]] = []  # verbs that made no step: sentence, and place in ``norm``
        self.target = ""  # what the last words were about: liquid, solid, or not known
        self.verb = ""  # the verb that a list without one goes on with
        self.salted: tuple[int, int] | None = None  # where salt goes into the water that is extracted next
        self.lines = "\n" in self.norm.strip() or self.norm.count("•") > 1 or len(self.norm) < 400

    def simple(self, action: str, tokens: Sequence[Token], i: int, weak: bool = False) -> Op:
        """Add an operation that a verb alone stands for."""
        op = Op(action, tokens[i].start, tokens[i].end, self.number, weak=weak, verb=tokens[i].low)
        self.ops.append(op)
        return op

    def from_thing(self, action: str, item: Item, shared: Amount, start: int | None = None) -> Op:
        """Make the operation for one solution or solvent."""
        amount = Amount(notes=[])
        amount.take(item.amount)
        amount.take(shared) if item.amount.repeats is None or item.amount.volume is None else None
        op = Op(action, item.start if start is None else min(start, item.start), item.end, self.number)
        written = " ".join(self.norm[a:b] for a, b in sorted(set(amount.words)))
        op.strength = written
        op.volume, op.relative = amount.volume, amount.relative
        op.repeats = amount.repeats or 1
        op.notes += amount.notes
        if "row" in item.kinds:
            op.solution = item.kinds["row"]
        elif "solution" in item.kinds:
            key = item.kinds["solution"]
            if key == "brine" and amount.state == "sat":
                amount.state = ""
            said = self.norm[item.start : item.end].strip() if not written else f"{written} {item.low}"
            op.solution, notes = choose(key, amount, said)
            if key == "water" and amount.ratio is None and "brine" in self.norm[item.start : item.end].lower():
                op.solution = "half_brine"
            op.notes += notes
        elif "solvent" in item.kinds:
            op.solvent = item.kinds["solvent"]
        if item.unknown:
            op.reason = "the solution is not known"
        return op

    def hydride(self, item: Item, shared: Amount) -> None:
        """Add one part of what ends an aluminium hydride: ``objects.ends_a_hydride``."""
        op = self.from_thing("quench", item, shared)
        op.notes.append("read as the quench of a hydride")
        op.weak = op.names_layer = True
        self.ops.append(op)

    def listed(self, item: Item) -> None:
        """Add a solution or drying agent that a note lists without a verb of its own."""
        dries = item.kinds.get("desiccant") and not item.amount.sized() and not item.amount.strong()
        if dries and item.kinds["desiccant"] in ("mgso4", "na2so4", "caso4"):
            op = Op(
                "dry", item.start, item.end, self.number, desiccant=item.kinds["desiccant"], notes=["read as drying"]
            )
            self.ops.append(op)
        else:
            op = self.from_thing("wash", item, Amount())
            op.notes.append("read as a wash")
            self.ops.append(op)
        op.names_layer = True

    def hydrate(self, tokens: Sequence[Token], low: int, high: int, start: int) -> int:
        """Add what a hydrate does that is added there: its water ends a hydride, the rest of it dries; return its place, or -1."""
        k = next((k for k in range(low, high) if tokens[k].has("hydrate")), -1)
        if k < 0:
            return -1
        span = min(start, tokens[k].start), max(tokens[k].end, start)
        ends = Op("quench", *span, self.number, weak=True, solution="water", notes=["its water of crystallisation"])
        dries = Op("dry", *span, self.number, desiccant="na2so4", notes=["dries once its water is used up"])
        ends.names_layer = True
        self.ops += [ends, dries]
        return k

    def join(self, items: list[Item], tokens: Sequence[Token]) -> list[Item]:
        """Join the parts of one mixture: thiosulfate and bicarbonate 1:1, brine and water 1:1, ammonia in ammonium chloride."""
        pairs = {
            frozenset(("na2s2o3", "nahco3")): "na2s2o3_nahco3",
            frozenset(("nh4cl", "ammonia")): "nh4cl_nh3",
            frozenset(("brine", "water")): "half_brine",
            frozenset(("nh4cl", "water")): "nh4cl_half",
        }
        out: list[Item] = []
        for item in items:
            if out and not item.unknown and not out[-1].unknown:
                last = out[-1]
                pair = frozenset((last.kinds.get("solution", ""), item.kinds.get("solution", "")))
                row = pairs.get(pair)
                link = self.norm[last.end : item.start].strip()
                alcohol = "" if "solution" in last.kinds else last.kinds.get("solvent", "")
                watery = item.kinds.get("solution") == "water" and link in ("-", "/", ":", "and")
                if alcohol and watery and not makes_layer(alcohol):
                    # Aqueous methanol parts from the organic layer much as water does.
                    last.kinds, last.end, last.last = {"solution": "water"}, item.end, item.last
                    last.amount.take(item.amount)
                    last.amount.notes.append(f"a mixture with {solvent_name(alcohol)} is read as water")
                    last.low = "water"
                    continue
                if (
                    "ice_water" in pair
                    and len(pair) == 2
                    and self.norm[last.end : item.start].strip() in ("/", "and", "-", "+", "in", "plus")
                ):
                    ice, other = (last, item) if last.kinds.get("solution") == "ice_water" else (item, last)
                    mixture = "mixture of" in self.norm[max(0, last.start - 14) : last.start + 12].lower()
                    key = other.kinds.get("solution", "")
                    if ice.amount.volume and other.amount.volume and key in STOCK_M:
                        # 300 g of ice and 20 mL of concentrated acid: 320 mL of dilute acid.
                        diluted = _diluted(key, other.amount, ice.amount.volume)
                        last.kinds, last.low, last.amount = other.kinds, other.low, diluted
                        last.end, last.last = item.end, item.last
                        continue
                    if ice.amount.volume is not None:
                        out.append(item)  # 100 g of ice, and acid without an amount
                        continue
                    if mixture or ice.low in ("ice", "crushed ice", "ice chips", "cracked ice"):
                        last.kinds, last.low = other.kinds, other.low
                        last.end, last.last = item.end, item.last
                        last.amount.take(item.amount)
                        last.amount.notes.append("with ice")
                        continue
                between = self.norm[last.end : item.start].strip(" ()")
                mixed = (
                    ("mixture of" in self.norm[max(0, last.start - 24) : last.start].lower() and last.low != "water")
                    or "mixture of water" in self.norm[max(0, last.start - 14) : last.end].lower()
                    or (last.amount.ratio and not any("mixture with" in n for n in last.amount.notes))
                    or item.amount.ratio
                )
                if row and (mixed or (between == "/" and row not in ("half_brine", "nh4cl_half"))):
                    last.kinds = {"row": row}
                    last.end, last.last = item.end, item.last
                    last.amount.take(item.amount)
                    last.amount.repeats = last.amount.repeats or item.amount.repeats
                    continue
            out.append(item)
        return out

    def liquid(
        self, action: str, tokens: Sequence[Token], i: int, items: list[Item], shared: Amount, weak: bool
    ) -> Op | None:
        """Make one operation of a solution and a solvent named together."""
        wet = [x for x in items if x.kinds.get("solution") or x.kinds.get("row")]
        organic = [x for x in items if x.kinds.get("solvent") and not x.kinds.get("solution")]
        if not wet and not organic:
            return None
        if not wet:
            organic.sort(key=lambda x: (miscibility(x.kinds["solvent"]), x.kinds["solvent"] in ALKANES))
        main = (wet or organic)[0]
        op = self.from_thing(action, main, shared, tokens[i].start)
        op.end = max([main.end] + [x.end for x in wet[:1] + organic[:1]])
        op.weak = weak
        if not wet and len(organic) > 1:
            others = ", ".join(solvent_name(x.kinds["solvent"]) for x in organic[1:])
            op.notes.append(f"a mixture with {others} is read as {solvent_name(op.solvent)}")
            op.end = max(x.end for x in organic)
            op.start = min(op.start, *(x.start for x in organic))
            op.volume = next((x.amount.volume for x in organic if x.amount.volume is not None), None)
            op.strength = ""
        if (
            wet
            and organic
            and _one_after_the_other(
                self.norm[min(main.end, organic[0].end) : max(main.start, organic[0].start)].lower()
            )
        ):
            # One after the other.
            self.ops.append(op)
            order = organic[0].start < main.start
            for item in organic:
                second = self.from_thing(action, item, shared)
                second.weak, second.verb = weak, tokens[i].low
                self.ops.insert(len(self.ops) - 1, second) if order else self.ops.append(second)
            op.verb = tokens[i].low
            op.start, op.end = main.start if order else op.start, main.end
            self.target = "liquid"
            return op
        if wet and organic:
            op.solvent = organic[0].kinds["solvent"]
            op.solvent_ml = organic[0].amount.volume
        op.verb = tokens[i].low
        self.ops.append(op)
        for other in wet[1:]:
            second = self.from_thing(action, other, shared)
            second.weak, second.verb = weak, tokens[i].low
            self.ops.append(second)
        self.target = "liquid"
        return op

    def lies_dry(self) -> bool:
        """Tell whether a layer was dried and filtered, and its solvent is still there."""
        done = [op.action for op in self.ops if op.action not in ("wait", "cool", "rinse", "vent")]
        return "dry" in done[-3:] and done[-1].startswith(("filter", "dry"))

    def last_aqueous(self) -> bool:
        """Tell whether the water is being gone on with."""
        if any(op.action == "take up" or op.phase == "aqueous" for op in self.ops[-2:]):
            return True
        # A residue that was stirred with acid or base has no organic layer.
        residue = (
            len(self.ops) > 1 and self.ops[-2].action == "concentrate" and self.ops[-1].action in ("quench", "dilute")
        )
        return residue and bool(self.ops[-1].solution) and not self.ops[-1].solvent

    def mark_kept(self, phase: Phase, kept: bool) -> None:
        """Say of the last step with two layers which was kept."""
        last = next(
            (
                op
                for op in reversed(self.ops)
                if op.action in ("wash", "extract", "take up", "dilute", "quench", "set ph")
            ),
            None,
        )
        if last is None:
            return
        other = {"organic": "aqueous", "aqueous": "organic", "top": "bottom", "bottom": "top"}
        name = phase.kind if kept else other[phase.kind]
        if name in ("organic", "aqueous"):
            last.phase = name
        else:
            last.layer = name
