"""The facts that rules reason over. Slots hold ids, numbers and flags, never structures.

The first block is observed (given by the user, perceived in a structure or computed); the rest is concluded.
"""

from __future__ import annotations

from washlore.rules.engine import Fact


class Component(Fact):
    """Something in the flask; ``role`` is ``product`` or what it was there for; ``mmol`` is what is left of it."""

    slots = ("id", "role", "mmol")


class Ionises(Fact):
    """The strongest site of its kind in a component. ``kind``: acid or base (``pka`` of the conjugate acid)."""

    slots = ("component", "kind", "pka", "sigma", "atom", "site_class")


class Contains(Fact):
    """A functional group in a component."""

    slots = ("component", "group")


class Stands(Fact):
    """The product stands a wash down to (``side`` low) or up to (``side`` high) this pH."""

    slots = ("side", "ph", "group")


class SpoiltBy(Fact):
    """Something other than acid or base that harms the product; ``tag`` as in the column ``avoid`` of the groups."""

    slots = ("tag", "group")


class Leftover(Fact):
    """A component that a row of the residues describes; ``action`` and ``solution`` are the row's."""

    slots = ("component", "residue", "action", "solution", "kind")


class Harsh(Fact):
    """A component that must not be concentrated with the product: ``kind`` says what it is."""

    slots = ("component", "kind")


class Charged(Fact):
    """A component with a charge that no proton transfer takes away."""

    slots = ("component", "charge")


class Inorganic(Fact):
    """A component without organic parts, soluble in water and not in organic solvents."""

    slots = ("component",)


class Boils(Fact):
    """A component boils at ``boiling_c`` under 1 atm."""

    slots = ("component", "boiling_c")


class BoilsWhenFree(Fact):
    """Where the base of a salt boils (C at 1 atm), once it is set free."""

    slots = ("component", "boiling_c")


class Mixes(Fact):
    """A component is a water-miscible solvent; ``solvent`` is its row."""

    slots = ("component", "solvent", "boiling_c")


class Medium(Fact):
    """A solvent the reaction ran in."""

    slots = ("solvent", "miscibility", "boiling_c", "volume_ml", "extractant")


class Candidate(Fact):
    """A solvent the product could be extracted with; ``log_d`` is the product's best distribution into it."""

    slots = ("solvent", "log_d", "asked_for")


class Bottle(Fact):
    """A wash solution that could be used."""

    slots = ("solution", "ph", "acts_as", "harshness", "general")


class Uptake(Fact):
    """What is left of a component in the organic layer after 1, 2 and 3 contacts with a solution.

    ``enough`` is the number of contacts that brings it to the target, 0 where three do not; ``sure`` tells whether that
    holds within the uncertainty of the numbers too.
    """

    slots = ("component", "solution", "after_1", "after_2", "after_3", "enough", "sure", "spent_ph")


class Pot(Fact):
    """The flask shaken with plain water.

    Its pH, the share of the product that stays in the organic layer, the share that its neutral form would keep (in three
    portions, and in two with every number on the unlucky side), its octanol log P, and whether the flask holds ions that
    shift the pH.
    """

    slots = ("ph", "kept", "neutral", "neutral_3", "neutral_unlucky", "log_p", "ions")


class Greasy(Fact):
    """log K of a component between the solvent of the organic layer and water, neutral form."""

    slots = ("component", "log_k")


class AfterPot(Fact):
    """The share of a component that is left once the flask has been brought to its pH with water."""

    slots = ("component", "left", "enough")


class Decays(Fact):
    """The share of the product that a solution would destroy in a normal shaking time, by handbook kinetics."""

    slots = ("solution", "share", "group")


class Unlucky(Fact):
    """What two contacts leave of the product with every number on the side that leaves less."""

    slots = ("solution", "after_2")


class Window(Fact):
    """An impurity of the product's own kind: the pH to hold in one and in three contacts, and what they leave and lose.

    ``lost`` is the product's. The values for three contacts are ``None`` where three cost too much of the product.
    """

    slots = ("component", "ph_1", "left_1", "lost_1", "ph_3", "left_3", "lost_3", "solution")


class SwapTrial(Fact):
    """What carrying the product through ``solution`` and back would give: product recovered, worst leftover."""

    slots = ("solution", "recovered", "back_ph")


class SwapLeaves(Fact):
    """The share of a component that a swap with ``solution`` would leave with the product; ``enough``: to target."""

    slots = ("solution", "component", "left", "enough")


class Layers(Fact):
    """One contact of the finished plan: densities and volume of its layers, both together.

    Its water met the flask in step ``poured_at``: before, if a quench brought it.
    """

    slots = (
        "step", "poured_at", "organic_density", "aqueous_density", "ph", "co2_ml", "heat_kj", "rise_c", "volume_ml"
    )  # fmt: skip


class Cosolvent(Fact):
    """A miscible solvent (a component) makes up this share of the volume of a water layer; ``product`` is its share there."""

    slots = ("step", "component", "share", "product")


class OneLayer(Fact):
    """Miscible solvents, ``component`` above all, are ``share`` of all that is in the funnel; up to ``most`` leave two layers."""

    slots = ("step", "component", "share", "most")


class Vapour(Fact):
    """A gas of the flask over the water layer of a step: what leaves (mL at 25 C) and what the air in balance with it holds."""

    slots = ("step", "component", "gas", "left_ml", "ppm")


class InWater(Fact):
    """Product (``share``) in the water layers of a step, and what extracting them again would bring back (``back``).

    ``carried``: a miscible solvent may hold much more of it there.
    """

    slots = ("step", "share", "back", "carried")


class Fragile(Fact):
    """The conclusion about a component that its 5 to 95 % band does not settle, and the number it hangs on.

    ``threshold`` is ``None`` where no number decides alone; see ``rules/fragility.py``.
    """

    slots = ("component", "number", "threshold", "estimate", "sigma", "holds", "claim")


class Fizz(Fact):
    """Carbon dioxide that comes when ``poured`` (acid, or a carbonate) brings a flask or a water layer to a pH."""

    slots = ("step", "co2_ml", "poured")


class Outcome(Fact):
    """What the finished plan leaves of a component."""

    slots = ("component", "low", "mid", "high", "enough")


class Draw(Fact):
    """What a solution would draw out of the organic layer into ``flask``; ``least`` and ``most`` are shares.

    ``component`` is one that it draws; ``least`` is the least share drawn of such, ``most`` the most drawn of what is to
    stay. ``held`` tells whether the pH has to be held at ``ph`` by hand; ``way`` is solution, held or water.
    """

    slots = ("component", "flask", "solution", "ph", "way", "least", "most")


class Remains(Fact):
    """A wanted component that stays in the organic layer when all others have been drawn out."""

    slots = ("component", "flask")


class Alike(Fact):
    """Two wanted components that no wash tells apart; ``best`` is the share parted at the best pH."""

    slots = ("component", "other", "best")


# Conclusions ---------------------------------------------------------------------------------------------------


class Behaviour(Fact):
    """What a component is in a separating funnel."""

    slots = ("component", "kind")


class Extraction(Fact):
    """The solvent of the organic layer."""

    slots = ("solvent",)


class Prepares(Fact):
    """Something done before the washes. ``action`` as in the ledger; ``subject`` a component or solvent id."""

    slots = ("action", "subject")


class BringsTo(Fact):
    """Before the first wash the flask is brought to this pH with water and acid or base."""

    slots = ("ph", "reagent")


class RinsesFirst(Fact):
    """The product is in the water of the flask as its salt: the water is rinsed with solvent before it is set free."""

    slots = ("because",)


class PoisonsPot(Fact):
    """A leftover that the acid which would set the product free turns into a poison gas."""

    slots = ("component", "gas")


class Harms(Fact):
    """A solution must not meet the product. ``how``: destroys, carries away, reacts."""

    slots = ("solution", "how")


class KeptDry(Fact):
    """The product belongs to the water, ``share`` of it stays in the organic layer, and nothing in the flask needs water."""

    slots = ("share",)


class Strains(Fact):
    """A solution is at the edge of what the product stands; a milder one is preferred."""

    slots = ("solution", "group")


class Unplaced(Fact):
    """An element, or a compound of elements, of which nothing is known here."""

    slots = ("component",)


class FirstOut(Fact):
    """A leftover that must be out of the flask before any acid comes."""

    slots = ("component", "gas")


class Takes(Fact):
    """A solution brings a component to or under the target. ``left`` after ``contacts`` contacts; ``sure`` as Uptake."""

    slots = ("solution", "component", "left", "contacts", "sure")


class Thins(Fact):
    """A solution takes much of a component out, yet not to the target, in three contacts."""

    slots = ("solution", "component", "left", "contacts")


class EndsDry(Fact):
    """An acid or a base that a solid turns into a salt to be filtered off."""

    slots = ("component",)


class Leaves(Fact):
    """A component leaves by another way than a wash. ``way``: evaporation, filtration, quench."""

    slots = ("component", "way")


class Chosen(Fact):
    """The mildest solution for a component."""

    slots = ("solution", "component", "contacts")


class Passed(Fact):
    """A solution that would serve for a component, and the one that was preferred to it."""

    slots = ("solution", "component", "by")


class Kept(Fact):
    """A solution that the plan uses."""

    slots = ("solution", "component")


class Covered(Fact):
    """A component whose own solution is not needed, since one kept for another takes it too."""

    slots = ("solution", "component", "by")


class SetAside(Fact):
    """A wanted component goes into a flask of its own: the water layer of ``solution``, or the organic layer."""

    slots = ("component", "flask", "solution")


class Together(Fact):
    """Two wanted components end in one crude; ``instead`` says what parts them."""

    slots = ("component", "other", "instead")


class Stuck(Fact):
    """No wash that spares the product takes this component to the target."""

    slots = ("component",)


class Swap(Fact):
    """The product goes into the water layer with ``solution`` and back into fresh solvent at ``back_ph``."""

    slots = ("solution", "back_ph")


class Adds(Fact):
    """A wash or other step added for its own reason: brine, water, neutralising, drying. ``rank`` orders steps."""

    slots = ("action", "subject", "rank")


class Spared(Fact):
    """A wash that was chosen and is left out, since the other steps do its work; ``component`` is what it was for."""

    slots = ("solution", "component")


class ExtractsAgain(Fact):
    """The water layers of a step are extracted once more before they are set aside."""

    slots = ("step",)


class BarredDesiccant(Fact):
    """A drying agent that must not be used on this product."""

    slots = ("desiccant", "group")


class ShunnedDesiccant(Fact):
    """A drying agent that does little or no harm to this product, but gives way to one that does none."""

    slots = ("desiccant", "group")


class Dries(Fact):
    """The drying agent."""

    slots = ("desiccant",)


class Cautions(Fact):
    """Something to be careful with; ``subject`` is a step, component, solution or solvent id, or empty."""

    slots = ("id", "subject")


class Suggests(Fact):
    """A wash held at ``ph``, with ``solution`` as the nearest, takes out what the plan leaves of a component."""

    slots = ("component", "solution", "ph")


class NotRemoved(Fact):
    """A component that stays, and what would take it out instead."""

    slots = ("component", "instead")
