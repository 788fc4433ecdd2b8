"""Which conclusions of a plan hang on one uncertain number, and at which value of it they turn over.

A conclusion is fragile when its 5 to 95 % band holds the target. Each number of the component concerned is then swept
alone, all others at their best estimates, and the ledger is run over the same steps. All sweeps share one vectorised
run, a point of a sweep taking the place of a draw.
"""

from __future__ import annotations

from collections.abc import Sequence

from washlore.knowledge import acidity
from washlore.knowledge.arrays import np
from washlore.knowledge.records import dataclass, replace
from washlore.knowledge.rows import Solvent
from washlore.rules.ledger import Ledger, Step, band, run_ledger
from washlore.rules.mixture import Component, Mixture, is_organic
from washlore.rules.species import LEAST_LOG_K, Array, Sheet, log_k_numbers, sheet

# The product counts as kept when no less than this is in the crude.
KEPT = 0.9
WIDEST_SIGMAS = 3.0
POINTS, FEWEST_POINTS, MOST_COLUMNS = 41, 13, 410
# Sites past these pKa ionise in no wash.
WEAKEST_ACID_PKA, WEAKEST_BASE_PKA = 17.0, -4.0
LIKELY_SIGMAS = 1.645


@dataclass(frozen=True)
class Fragile:
    """A conclusion and the number that it hangs on.

    ``threshold`` is the value of the number at which the conclusion turns over, ``None`` where no number does that alone
    and ``number`` is the one that moves it most. The conclusion ``holds`` ``"above"`` or ``"below"`` the threshold.
    """

    component: str
    number: str
    threshold: float | None
    estimate: float
    sigma: float
    holds: str
    claim: str

    @property
    def text(self) -> str:
        """The whole in a sentence."""
        if self.threshold is None:
            return (
                f"it is not sure that {self.claim}: no one number decides it; it hangs most on the {self.number}, "
                f"estimated {self.estimate:.1f} ± {self.sigma:.1f}"
            )
        close = abs(self.threshold - self.estimate) < 0.1 or self.sigma < 0.1
        figures = 2 if close else 1
        return (
            f"that {self.claim} holds if the {self.number} is {self.holds} {self.threshold:.{figures}f}; estimated "
            f"{self.estimate:.{figures}f} ± {self.sigma:.{figures}f}"
        )


@dataclass(frozen=True)
class _Number:
    """An uncertain number: ``row`` counts species, or sites where ``what`` is ``"pka"``."""

    what: str
    row: int
    words: str
    estimate: float
    sigma: float


def straddles(values: tuple[float, float, float], target: float) -> bool:
    """Tell whether a band (5 %, median, 95 %) holds the target, so that its two ends disagree."""
    low, middle, high = values
    return middle <= target < high or low <= target < middle


def fragile(mixture: Mixture, steps: Sequence[Step], book: Ledger, solvent: Solvent) -> tuple[Fragile, ...]:
    """Return what is fragile in a plan, given its ``steps`` as the ledger ran them; the product comes first."""
    wanted = []
    # What a solution that binds or destroys a leftover has missed hangs on no number of the leftover's own.
    bound = {book.sheet.species[i].component for i in book.unbound}
    for component in mixture.components:
        if component.id in bound:
            continue
        target = KEPT if component.id == "product" else mixture.target
        values = band(book.left(component.id))
        if straddles(values, target):
            wanted.append((component, target, values[1] <= target))
    if not wanted:
        return ()
    one = sheet(mixture, 1)
    numbers = [_numbers(one, component, solvent) for component, _, _ in wanted]
    swept = [number for own in numbers for number in own]
    if not swept:
        return ()
    points = max(FEWEST_POINTS, min(POINTS, MOST_COLUMNS // len(swept) | 1))
    sigmas = np.linspace(-WIDEST_SIGMAS, WIDEST_SIGMAS, points)
    swept_book = run_ledger(mixture, steps, numbers=_swept(one, swept, sigmas))
    found, first = [], 0
    for (component, target, below), own in zip(wanted, numbers, strict=True):
        columns = swept_book.left(component.id)[first * points : (first + len(own)) * points].reshape(-1, points)
        first += len(own)
        if own:
            found.append(_judge(component, own, columns, sigmas, target, below, mixture.target))
    return tuple(found)


def _numbers(one: Sheet, component: Component, solvent: Solvent) -> list[_Number]:
    """Return the uncertain numbers of a component."""
    found: list[_Number] = []
    sites = [site for item in one.species for site in item.sites]
    for row, item in enumerate(one.species):
        if item.component != component.id or not is_organic(item.molecule):
            continue
        own = [i for i in range(len(sites)) if one.site_of[i] == row]
        for i in own:
            site = sites[i]
            acid = site.kind == "acid"
            if not site.sigma or (site.pka > WEAKEST_ACID_PKA if acid else site.pka < WEAKEST_BASE_PKA):
                continue
            alike = [j for j in own if sites[j].kind == site.kind]
            whose = component.name if acid else f"the conjugate acid of {component.name}"
            where = f" ({acidity.class_name(site.site_class)}, atom {site.atom})" if len(alike) > 1 else ""
            found.append(_Number("pka", i, f"pKa of {whose}{where}", site.pka, site.sigma))
        value, sigma, pair, pair_sigma = log_k_numbers(item, ((solvent.log_k_key, 1.0),))
        between = f"between {solvent.name} and water"
        if sigma and not item.permanent_charge:
            found.append(_Number("normal", row, f"log K of {component.name} {between}", value, sigma))
        if pair_sigma and pair > LEAST_LOG_K:
            found.append(_Number("pair", row, f"log K of the ion pair of {component.name} {between}", pair, pair_sigma))
    return found


def _swept(one: Sheet, numbers: Sequence[_Number], sigmas: Array) -> Sheet:
    """Return the sheet with one column for each number and point, all other numbers at their best estimates."""
    points, width = len(sigmas), len(sigmas) * len(numbers)
    pka = np.repeat(one.pka[:, :1], width, axis=1)
    normal, pair = np.zeros((len(one.species), width)), np.zeros((len(one.species), width))
    for place, number in enumerate(numbers):
        columns = slice(place * points, (place + 1) * points)
        if number.what == "pka":
            pka[number.row, columns] += number.sigma * sigmas
        else:
            (normal if number.what == "normal" else pair)[number.row, columns] = sigmas
    return replace(one, pka=pka, normal=normal, pair_normal=pair)


def crossings(left: Array, sigmas: Array, target: float) -> list[tuple[float, bool]]:
    """Return where ``left`` passes the target, in sigma, and whether it falls there; interpolated in log-odds."""
    height = _log_odds(left) - float(_log_odds(np.array([target]))[0])
    under = height <= 0
    found = []
    for i in np.flatnonzero(under[1:] != under[:-1]):
        part = height[i] / (height[i] - height[i + 1])
        found.append((float(sigmas[i] + part * (sigmas[i + 1] - sigmas[i])), bool(height[i + 1] < height[i])))
    return found


def _log_odds(left: Array) -> Array:
    held = np.clip(left, 1e-15, 1.0 - 1e-12)
    return np.log(held / (1.0 - held))


def _judge(
    component: Component,
    numbers: Sequence[_Number],
    columns: Array,
    sigmas: Array,
    target: float,
    below: bool,
    goal: float,
) -> Fragile:
    if component.id == "product":
        claim = f"{'less than' if below else 'at least'} {100 * KEPT:g} % of {component.name} is kept"
    else:
        claim = f"{'no more' if below else 'more'} than {100 * goal:g} % of {component.name} is left"
    best: tuple[float, _Number, bool] | None = None
    for number, left in zip(numbers, columns, strict=True):
        for where, falls in crossings(left, sigmas, target):
            if best is None or abs(where) < abs(best[0]):
                best = (where, number, falls)
    if best is not None:
        where, number, falls = best
        threshold = number.estimate + where * number.sigma
        return Fragile(
            component.id,
            number.words,
            threshold,
            number.estimate,
            number.sigma,
            "above" if falls == below else "below",
            claim,
        )
    likely = np.abs(sigmas) <= LIKELY_SIGMAS
    moves = np.ptp(_log_odds(columns[:, likely]), axis=1)
    number = numbers[int(np.argmax(moves))]
    return Fragile(component.id, number.words, None, number.estimate, number.sigma, "", claim)
