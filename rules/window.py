"""The pH at which a wash tells a product from an impurity of the same kind: two acids, or two bases."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import cache

from washlore.knowledge.arrays import BoolArray, np
from washlore.knowledge.records import dataclass, replace
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules.contact import equilibrate
from washlore.rules.mixture import Mixture
from washlore.rules.phase import Phase
from washlore.rules.species import Array, sheet
from washlore.rules.trial import CONTACTS, TRIED_SHARE, layer_ml, start_layer
from washlore.rules.words import label, share

# What of the product a wash may cost in all its contacts.
PRICE = 0.05
# A buffer this near in pH goes before any other solution.
BUFFER_WITHIN = 1.0
# A window that leaves more than this tells nothing apart.
WORTHLESS = 0.5
# Where the target is out of reach, pH values that leave no more than this times the least count as equals.
ALIKE = 1.02
ACIDS, BASES = frozenset(("acid", "weak acid")), frozenset(("base", "weak base"))


@cache
def ph_scale() -> Array:
    """Return the pH from 0 to 14 in tenths."""
    return np.asarray(np.round(np.arange(0.0, 14.05, 0.1), 1))


@dataclass(frozen=True)
class Held:
    """``n`` contacts with water held at ``ph``: the shares of impurity left and of product lost."""

    n: int
    ph: float
    left: float
    product_lost: float


@dataclass(frozen=True)
class Window:
    """The best pH for one contact and for three (where the price allows three), and the solution nearest to the last."""

    component: str
    contacts: tuple[Held, ...]
    solution: str

    @property
    def best(self) -> Held:
        """The contacts that leave least."""
        return min(self.contacts, key=lambda held: held.left)

    def text(self, name: str, product: str) -> str:
        """Return the window in words, for the name of the component and of the product."""
        told = [
            f"{'one contact' if held.n == 1 else f'{held.n} contacts'} with water held at pH {held.ph:.1f} "
            f"{'leaves' if held.n == 1 else 'leave'} {share(held.left)} of {name} and {'costs' if held.n == 1 else 'cost'} "
            f"{share(held.product_lost)} of {product}"
            for held in self.contacts
        ]
        row = table(Solution)[self.solution]
        if self.best.left > WORTHLESS:
            return f"no pH tells {name} from {product}: at the best, {'; '.join(told)}"
        return (
            f"{'; '.join(told)}; the nearest solution is {label(row).removesuffix(f', pH {row.ph:g}')}, pH {row.ph:g}"
        )


def same_kind(product: Collection[str], other: Collection[str]) -> bool:
    """Tell whether two components, by their kinds of behaviour, are both acids or both bases, and neither is both."""
    both = {*product, *other}
    if "amphoteric" in both:
        return False
    return any(set(product) & kind and set(other) & kind for kind in (ACIDS, BASES))


def window(
    mixture: Mixture,
    component_id: str,
    solvent: Solvent,
    gone: Collection[str] = (),
    stripped: Collection[str] = (),
    ph_range: tuple[float, float] = (0.0, 14.0),
    price: float = PRICE,
    solutions: Sequence[Solution] = (),
) -> Window | None:
    """Return the pH window between the product and a component, or ``None`` where every pH costs more than ``price``.

    ``gone`` and ``stripped`` are the components taken out before the washes, ``ph_range`` is what the product stands,
    ``solutions`` those to choose the nearest from (all general ones if empty). Of several pH values that bring the
    impurity to the target within the price, the middle one is returned, which forgives most.
    """
    kept = held_shares(mixture, solvent, gone, stripped)
    return pick(mixture, component_id, kept, ph_range, price, solutions)


def held_shares(
    mixture: Mixture, solvent: Solvent, gone: Collection[str] = (), stripped: Collection[str] = ()
) -> dict[str, Array]:
    """Return the share of each component in the organic layer after 1, 2, 3 contacts at each pH, (contacts, pH).

    A component of strong or inorganic ions alone has none.
    """
    one = sheet(mixture, 1)
    width = len(ph_scale())
    wide = replace(
        one,
        pka=np.repeat(one.pka[:, :1], width, axis=1),
        normal=np.zeros((len(one.species), width)),
        pair_normal=np.zeros((len(one.species), width)),
    )
    organic_ml = layer_ml(mixture)
    organic = start_layer(wide, solvent, organic_ml, gone, stripped)
    start = organic.mmol.copy()
    volume = organic_ml * TRIED_SHARE
    states = []
    for _ in range(CONTACTS):
        aqueous = Phase(
            np.zeros_like(start),
            np.full(width, volume),
            (),
            np.zeros(width),
            {},
            np.zeros(width),
            np.full(width, volume),
        )
        equilibrate(wide, organic, aqueous, held_ph=ph_scale())
        states.append(organic.mmol.copy())
    kept = {}
    for component in mixture.components:
        rows = [i for i, s in enumerate(wide.species) if s.component == component.id]
        whole = start[rows].sum(axis=0)
        if np.all(whole > 0):
            kept[component.id] = np.array([s[rows].sum(axis=0) for s in states]) / whole
    return kept


def pick(
    mixture: Mixture,
    component_id: str,
    kept: Mapping[str, Array],
    ph_range: tuple[float, float] = (0.0, 14.0),
    price: float = PRICE,
    solutions: Sequence[Solution] = (),
) -> Window | None:
    """Return the window for one component out of ``held_shares``; see ``window``."""
    if component_id not in kept:
        return None
    low, high = ph_range
    allowed = np.logical_and(low - 1e-9 <= ph_scale(), high + 1e-9 >= ph_scale())
    contacts = []
    for n in (1, CONTACTS):
        left, lost = kept[component_id][n - 1], np.maximum(0.0, 1.0 - kept["product"][n - 1])
        place = _best(left, lost, np.logical_and(allowed, lost <= price), mixture.target)
        if place is not None:
            contacts.append(Held(n, float(ph_scale()[place]), float(left[place]), float(lost[place])))
    if not contacts:
        return None
    return Window(component_id, tuple(contacts), nearest_solution(contacts[-1].ph, solutions).id)


def _best(left: Array, lost: Array, allowed: BoolArray, target: float) -> int | None:
    """Return the place of the pH to hold: the middle of the longest stretch that meets the target, else the least left."""
    if not allowed.any():
        return None
    met = np.zeros(left.size + 2, dtype=bool)
    met[1:-1] = allowed & (left <= target)
    edges = np.flatnonzero(met[1:] != met[:-1])
    if edges.size:
        starts, ends = edges[::2], edges[1::2]
        longest = int(np.argmax(ends - starts))
        return int(starts[longest] + ends[longest] - 1) // 2
    least = left[allowed].min()
    return int(np.argmin(np.where(allowed & (left <= ALIKE * least), lost, np.inf)))


def nearest_solution(ph: float, solutions: Sequence[Solution] = ()) -> Solution:
    """Return the solution whose bottle is nearest to a pH: a buffer within one unit, else any acid, base or water."""
    rows = [row for row in (solutions or list(table(Solution).values())) if row.general]
    buffers = [row for row in rows if row.acts_as == "buffer" and abs(row.ph - ph) <= BUFFER_WITHIN]
    return min(buffers or rows, key=lambda row: (abs(row.ph - ph), row.harshness))
