"""What judging rules reason over: what a plan says and does on this mixture, and what is found.

The first block is observed from the read plan and the account of it. ``step`` counts the steps as read, from 1; 0 is the
plan as a whole. Shares are of the component's amount at the start.
"""

from __future__ import annotations

from washlore.rules.engine import Fact


class Did(Fact):
    """A step as read. ``acts`` is what its solution does, ``ph`` the solution's; empty and 7 without one.

    ``survives`` tells whether so little of the product meets the water that it comes through a strong acid or base,
    ``breaks`` how much of it is lost in five minutes by a known rate, 0 where none is held.
    """

    slots = ("step", "action", "solution", "acts", "ph", "solvent", "desiccant", "survives", "breaks")


class Kept(Fact):
    """A layer that the plan says it keeps. ``said``: organic or aqueous, after its position; ``holds`` of the product."""

    slots = ("step", "said", "position", "holds", "organic_density", "aqueous_density")


class SetTo(Fact):
    """Water that holds the product, with no organic layer over it, is brought to a ``ph`` that the words name."""

    slots = ("step", "ph")


# What a step does that should carry the product into water.
TAKES_UP = "take up"


class Lost(Fact):
    """The product that a step takes away: the share at best, and its 90 % band; ``said``: the volume is written.

    Without a ``solution`` it is left behind, in the layer that water took it up from where it ``acts`` as ``TAKES_UP``, else in the
    water.
    """

    slots = ("step", "share", "low", "high", "solution", "acts", "said")


class Remains(Fact):
    """A component above the target with the product at the end; ``ours`` is what our own plan leaves of it.

    ``touched`` is the step that takes most of it, 0 where none takes a tenth.
    """

    slots = ("component", "low", "mid", "high", "ours", "touched")


class Character(Fact):
    """What a component that remains, or the product, is in the funnel: acid, weak acid, base, weak base, or other."""

    slots = ("component", "kind", "pka")


class Misses(Fact):
    """A wash that the words say takes a component, and that hardly does: the share that is left at the end, as a band."""

    slots = ("step", "component", "words", "stays", "low", "mid", "high")


class Portions(Fact):
    """The step that takes most of a component that remains: what each portion leaves, and how many the target needs.

    ``each`` is the share of what was there that one portion leaves; ``needed`` is 0 where six are not enough.
    """

    slots = ("component", "step", "solution", "repeats", "each", "needed", "spent_ph", "bottle_ph")


class Sides(Fact):
    """Which kinds of wash the plan holds: its lowest and highest pH, and whether it only holds water and salt."""

    slots = ("lowest", "highest", "only_neutral", "brine_step")


class Ratio(Fact):
    """The volume of one portion as a part of the layer it is shaken with, both as written."""

    slots = ("step", "ratio", "portion_ml", "layer_ml")


class Vessel(Fact):
    """The liquid in the funnel at a step, in mL."""

    slots = ("step", "total_ml")


class Gas(Fact):
    """Carbon dioxide set free at a step, beside the liquid there, both in mL; ``vented`` tells whether the plan vents."""

    slots = ("step", "co2_ml", "liquid_ml", "vented", "boiling_c")


class Unvented(Fact):
    """The first shaking of a listed plan that never vents: the most gas (mL) of any step, and what the solvent boils at."""

    slots = ("step", "co2_ml", "solvent", "boiling_c")


class Carried(Fact):
    """Water that holds product beside a miscible solvent and is not extracted again."""

    slots = ("step", "share", "high", "cosolvent")


class OneLayer(Fact):
    """A funnel with so much miscible solvent (a name, ``share`` of all) that no two layers form; ``most`` leaves two."""

    slots = ("step", "cosolvent", "share", "most")


class Meets(Fact):
    """A solution, or acid, meets a leftover that it must never meet, while ``share`` of it is there."""

    slots = ("step", "component", "residue", "solution", "share", "ph")


class Unquenched(Fact):
    """A leftover that must be quenched meets water at ``step`` without a quench before."""

    slots = ("step", "component", "residue", "kind", "share", "later")


class Unreduced(Fact):
    """A strong oxidant that nothing has reduced when the layers meet at ``step``."""

    slots = ("step", "component", "residue")


class Collected(Fact):
    """The product is collected as a solid from the water, without an organic layer."""

    slots = ("step",)


class Hasty(Fact):
    """A quench of a reactive leftover that ``words`` say is done in haste."""

    slots = ("step", "component", "residue", "kind", "words")


class Strips(Fact):
    """A product that boils low and is stripped under vacuum: ``words`` say how, ``mbar`` the pressure if it is given, else 0.

    ``vapour_mbar`` is its vapour pressure in the bath, estimated from its boiling point.
    """

    slots = ("step", "boiling_c", "words", "mbar", "bath_c", "vapour_mbar")


class Reversed(Fact):
    """Water or a solution is added to a leftover that should be poured into it: ``molar`` mol/L of it, 0 where it is neat.

    ``alcohol``: it wants an alcohol first, whichever is poured into which.
    """

    slots = ("step", "component", "residue", "molar", "alcohol")


class CakeDries(Fact):
    """A catalyst that catches fire when dry is sucked dry or thrown away: ``words`` say so."""

    slots = ("step", "component", "words")


class Unstripped(Fact):
    """A solvent that the words take off at ``step`` and that boils too high for it: ``share`` of it is there at the end."""

    slots = ("step", "component", "boiling_c", "share")


class DriesNitronate(Fact):
    """A nitroalkane beside strong base whose solvent is stripped at ``step`` before acid or water has come."""

    slots = ("step", "component")


class Gels(Fact):
    """A base, or plain water, that brings a metal down as a gel while ``share`` of it is there."""

    slots = ("step", "component", "solution", "share")


class Concentrates(Fact):
    """An oxidant or the like that is still there when the solvent is stripped."""

    slots = ("step", "component", "residue", "share")


class Idle(Fact):
    """A wash that moves nothing here."""

    slots = ("step", "solution", "acts")


class Finish(Fact):
    """The order at the end; each is a step or 0: first and last drying, last contact with water, filter, strip, brine.

    ``itemised``: the plan lists each step by itself, so that one left out is left out; prose takes some for granted.
    ``rinsed`` tells whether the drying agent is rinsed, ``listed`` whether the plan is a numbered or bulleted list.
    """

    slots = ("dry", "last_dry", "water", "filter", "strip", "brine", "solvent", "held", "itemised", "rinsed", "listed")


class NoLayer(Fact):
    """An extraction with a solvent that mixes with water. ``layers``: another solvent makes a layer all the same."""

    slots = ("step", "solvent", "layers")


class Discards(Fact):
    """Aqueous layers thrown away before the end, with the share of the product that they hold."""

    slots = ("step", "share", "high")


class Swapped(Fact):
    """The product was carried through the water. ``tested`` tells whether a pH is stated or checked."""

    slots = ("step", "tested")


class Together(Fact):
    """Two things that must not meet come together at a step: ``component`` (or a solution, then empty) and ``other``, a name.

    ``outcome`` is a key of ``judging.mixing.OUTCOMES``. ``brought``: by the plan; otherwise both stood in the flask before.
    """

    slots = ("step", "component", "other", "outcome", "brought")


class Follows(Fact):
    """A wash right after one of bleach, ``earlier``, with which it gives ``outcome``."""

    slots = ("step", "earlier", "outcome")


class Strong(Fact):
    """Concentrated acid or base poured in without a word of care; ``onto`` is a reactive leftover still there, or empty.

    ``grave`` tells whether it chars or oxidises besides its heat.
    """

    slots = ("step", "words", "acid", "onto", "grave")


class Solid(Fact):
    """An insoluble leftover; ``step`` is the first contact with water before it is filtered off, 0 if none."""

    slots = ("component", "residue", "step")


class Poisoned(Fact):
    """The flask holds cyanide, azide or sulfide beside a product that acid must set free; ``acid``: the step brings some."""

    slots = ("step", "text", "remedy", "acid")


class Unwatered(Fact):
    """The product must not meet water, and the step brings it; ``text`` says why.

    ``reacts``: it is destroyed; otherwise it only stays in the water.
    """

    slots = ("step", "text", "reacts")


# Concluded -----------------------------------------------------------------------------------------------------


class Finding(Fact):
    """What is wrong with a plan. ``kind``: hazard, loss, leftover, technique.

    ``root`` merges findings that have one cause; ``remedy`` says what to do instead; ``numbers`` are (name, value) or
    (name, low, middle, high).
    """

    slots = ("kind", "step", "component", "root", "remedy", "numbers")


class Stays(Fact):
    """A finding of the kind leftover: ``component`` stays with the product.

    ``own`` is what explains it of the component and ``common`` what explains it of the plan (``{}`` stands for the names);
    what has ``common``, ``step`` and ``remedy`` in common is told as one finding. ``numbers`` begins with ``left``.
    """

    slots = ("step", "component", "root", "remedy", "own", "common", "numbers")


KINDS = ("hazard", "loss", "leftover", "technique")
