"""What goes along when a solvent is stripped: the one answer for the plan that is made and for one that is judged."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

from washlore.rules.mixture import Mixture

# Of what no wash needs to take, a neutral that boils below this goes with the solvent; a solvent of the reaction, below that.
GOES_WITH_SOLVENT_C, STRIPS_BELOW_C = 116.0, 121.0


def neutrals_stripped(mixture: Mixture, boils: Iterable[Any], ionising: Collection[str]) -> set[str]:
    """Return the components that no acid or base holds and that boil so low that they leave with the solvent.

    ``boils`` are facts ``Boils``, ``ionising`` the components with a site: their salts stay.
    """
    return {
        fact["component"]
        for fact in boils
        if fact["component"] != "product"
        and fact["component"] not in ionising
        and fact["boiling_c"]
        < (STRIPS_BELOW_C if mixture.component(fact["component"]).role == "solvent" else GOES_WITH_SOLVENT_C)
    }
