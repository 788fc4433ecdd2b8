"""What one more contact of a wash may change, and how far: the physics of "more contacts never leave more".

In the layer that is washed nothing ever grows. At the end of a plan there may be more of something for one reason only: a
later contact meets another layer, and divides it otherwise. Each portion of water takes a little solvent along (a smaller
layer leaves more to the water that a product goes through); less acid or base is left, so that a later water stands at
another pH; less miscible solvent is left to ease a solute into the water; more water is pooled to be extracted again. How
far each of them may go is known, and nothing else may change what a compound does.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from washlore.knowledge import beside, water
from washlore.rules.contact import Contact
from washlore.rules.ledger import Ledger, run_ledger
from washlore.rules.mixture import Mixture
from washlore.rules.phase import cosolvency, salting_constant
from washlore.rules.shaking import gas_of
from washlore.rules.species import Array, Sheet

# Shares nearer to none or all than this are no longer told from rounding.
LEAST_SHARE = 1e-8
# The volumes of a contact settle to some digits, and log D with them.
SETTLED = 2e-3


def with_one_more(mixture: Mixture, book: Ledger, step: int, draws: int) -> tuple[Ledger, list[str]]:
    """Return the account with one more portion of a wash, the ``step``-th from 0, and what is against physics in it."""
    more = [replace(s, repeats=s.repeats + 1) if i == step else s for i, s in enumerate(book.steps)]
    after = run_ledger(mixture, more, draws)
    return after, list(wrong_with_one_more(book, after, step + 1))


def wrong_with_one_more(before: Ledger, after: Ledger, number: int) -> Iterator[str]:
    """Yield what is against physics in an account that has one more portion of the wash ``number``."""
    names = [item.component for item in before.sheet.species]
    first, second = ([c for c in book.contacts if c.step == number] for book in (before, after))
    for one, two in zip(first, second, strict=False):
        if not np.array_equal(one.organic_mmol, two.organic_mmol):
            yield f"portion {one.portion} of step {number} is another one"
    grown = second[-1].organic_mmol > first[-1].organic_mmol * (1 + 1e-12) + 1e-12
    for i in np.nonzero(grown.any(axis=1))[0]:
        yield f"the portion itself brings {names[i]} into the layer"
    later = [[c for c in book.contacts if c.step > number] for book in (before, after)]
    most = np.ones_like(first[-1].organic_mmol)
    for one, two in zip(*later, strict=True):
        for i, text in divided_otherwise(before.sheet, one, two):
            yield f"step {one.step}, portion {one.portion}: {names[i]} {text}"
        most = most * _further(one, two)
    most = most * _stripped_less(before, after)
    for i, (was, now) in enumerate(zip(_left(before), _left(after), strict=True)):
        if (now > was * most[i] * (1 + 1e-6) + 1e-9).any():
            yield f"more {names[i]} is left, and no later contact says why"


def divided_otherwise(numbers: Sheet, one: Contact, two: Contact) -> Iterator[tuple[int, str]]:
    """Yield the species of two contacts that divide otherwise than pH, salt and miscible solvent explain (best estimate).

    log D of a neutral compound moves with salt (Setschenow), miscible solvent (log-linear) and what the organic layer is alone.
    An acid site may lower it as far as the pH rises, a base raise it; two of both kinds may do either. Activity moves a pKa
    with the salt.
    """
    gammas = [float(water.davies_log_gamma(1, min(water.MAX_IONIC_STRENGTH_M, c.salt_m))) for c in (one, two)]
    risen, firmer = float(two.ph[0] - one.ph[0]), gammas[1] - gammas[0]
    eased = [_miscible_share(numbers, c) for c in (one, two)]
    log_k = [[part[:, 0] for part in numbers.log_k(c.solvents)] for c in (one, two)]
    for i, item in enumerate(numbers.species):
        d = [_log_d(c, i) for c in (one, two)]
        if d[0] is None or d[1] is None or gas_of(item) or beside.held_by(item.molecule.smiles):
            continue
        moved = d[1] - d[0]
        if not item.permanent_charge:
            smiles = item.molecule.smiles
            moved -= salting_constant(smiles) * (two.salt_m - one.salt_m) - cosolvency(smiles) * (eased[1] - eased[0])
        # How much more of each site is charged, log10: that is how far log D may fall (or rise, where less is).
        charged = [s * risen - firmer for s, row in zip(numbers.sign, numbers.site_of, strict=True) if row == i]
        falls, rises = sum(max(c, 0.0) for c in charged), sum(max(-c, 0.0) for c in charged)
        # What the organic layer alone does: to the neutral form, and to the ion pair where there is one.
        alone = [later - first for first, later in zip(*([part[i] for part in parts] for parts in log_k), strict=True)]
        alone = [0.0] if item.permanent_charge else alone if charged else alone[:1]
        falls, rises = falls - min(alone), rises + max(alone)
        if not -falls - SETTLED <= moved <= rises + SETTLED:
            yield i, f"moves by {moved:.3f} in log D; from {-falls:.3f} to {rises:.3f} is explained"


def _miscible_share(numbers: Sheet, contact: Contact) -> float:
    volumes = np.array([item.molar_volume_ml for item in numbers.species])
    return float(volumes @ contact.aqueous_mmol[:, 0]) / contact.aqueous_ml


def _log_d(contact: Contact, row: int) -> float | None:
    """Return log10 of a species' ratio of concentrations between the layers, where it can be told."""
    share = float(contact.organic_share[row, 0])
    if not LEAST_SHARE < share < 1 - LEAST_SHARE:
        return None
    return math.log10(share / (1 - share) * contact.aqueous_ml / contact.organic_ml)


def _further(one: Contact, two: Contact) -> Array:
    """Return how much larger a share of each species (species, draws) goes on into either layer, at most."""
    with np.errstate(divide="ignore", invalid="ignore"):
        there = [c.organic_mmol + c.aqueous_mmol + c.escaped_mmol for c in (one, two)]
        organic = (two.organic_mmol / there[1]) / (one.organic_mmol / there[0])
        aqueous = (two.aqueous_mmol / there[1]) / (one.aqueous_mmol / there[0])
    return np.fmax(np.fmax(organic, aqueous), 1.0)


def _stripped_less(before: Ledger, after: Ledger) -> Array:
    """Return how much larger a share of each species a rotary evaporator leaves: what is held as a salt boils off no more."""
    most = np.ones_like(before.after[0])
    for place, step in enumerate(before.steps):
        if place and step.action in ("evaporate", "concentrate"):
            with np.errstate(divide="ignore", invalid="ignore"):
                was, now = (book.after[place] / book.after[place - 1] for book in (before, after))
                most = most * np.fmax(now / was, 1.0)
    return most


def _left(book: Ledger) -> Array:
    kept = book.organic if book.organic is not None else book.aqueous
    assert kept is not None
    return book.with_unbound(kept.mmol)
