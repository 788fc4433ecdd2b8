"""pH chemistry of one aqueous phase at 25 C: activities, weak acids of any charge, carbon dioxide, heat and gas.

pH is -log10 of the hydrogen ion activity; all concentrations are mol/L. Activity coefficients follow Davies
(``davies1962``): the ionic strength that enters is capped at 0.5 M, because beyond it the equation's linear term turns
the coefficients of small ions up without ground, while real ones stay near their value at 0.5 M up to 1-2 M. In
stronger acid or base (6 M HCl) the pH printed is therefore only nominal. All functions take plain numbers, or arrays with
which they work element by element (``arrays.py``).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from washlore.knowledge.arrays import ArrayLike, FloatArray, every, maximum, minimum, numbers, power10, stacked, where
from washlore.knowledge.rows import Buffer, Solution, table

PKW = 13.995
"""-log10 of the ion product of water at 25 C and zero ionic strength (``crc``)."""

MAX_IONIC_STRENGTH_M = 0.5
CO2_CAP_M = 0.033
"""Solubility of carbon dioxide in water under 1 atm of the moist gas at 25 C, mol/L (``crc``)."""

MOLAR_GAS_VOLUME_ML_PER_MMOL = 24.47
"""Ideal gas at 25 C and 101.325 kPa."""


def davies_log_gamma(charge: ArrayLike, ionic_strength: ArrayLike) -> FloatArray:
    """Return log10 of the activity coefficient of an ion of ``charge`` at ``ionic_strength`` (mol/L), 25 C.

    Shapes broadcast. The ionic strength is capped at 0.5 M (see the module text). Source: ``davies1962``.
    """
    capped = minimum(maximum(numbers(ionic_strength), 0.0), MAX_IONIC_STRENGTH_M)
    charges = numbers(charge)
    root = capped**0.5
    return -0.509 * (charges * charges) * (root / (1.0 + root) - 0.3 * capped)


def kw_pk(ionic_strength: ArrayLike) -> FloatArray:
    """Return -log10([H+][OH-]), concentrations in mol/L, at ``ionic_strength`` (mol/L)."""
    return PKW + 2.0 * davies_log_gamma(1, ionic_strength)


def hydrogen_m(ph: ArrayLike, ionic_strength: ArrayLike) -> FloatArray:
    """Return the concentration (mol/L) of hydrogen ion at ``ph``."""
    return power10(-numbers(ph) - davies_log_gamma(1, ionic_strength))


def hydroxide_m(ph: ArrayLike, ionic_strength: ArrayLike) -> FloatArray:
    """Return the concentration (mol/L) of hydroxide at ``ph``."""
    return power10(numbers(ph) - PKW - davies_log_gamma(1, ionic_strength))


def alpha_fractions(pkas: Sequence[float], acid_charge: int, ph: ArrayLike, ionic_strength: ArrayLike) -> FloatArray:
    """Return the share of each protonation state, the most protonated first.

    ``pkas`` are the stepwise values at zero ionic strength, ascending; ``acid_charge`` is the charge of the fully
    protonated species. The result has shape ``(len(pkas) + 1, *shape of ph)`` and sums to 1 along its first axis.
    """
    return stacked(_fractions(pkas, acid_charge, numbers(ph), numbers(ionic_strength)))


def _fractions(pkas: Sequence[float], acid_charge: int, ph: Any, strength: Any) -> list[Any]:
    """Return the share of each protonation state as a list: of numbers, or of arrays of one shape."""
    gamma = davies_log_gamma(1, strength)  # scales with the square of the charge
    logs = [0.0 * (ph + strength)]
    top = logs[0]
    for step, pka in enumerate(pkas, start=1):
        acid = acid_charge - step + 1
        base = acid - 1
        corrected = pka + (base * base - acid * acid) * gamma
        logs.append(logs[-1] + ph - corrected)
        top = maximum(top, logs[-1])
    weights = [power10(log - top) for log in logs]
    whole = sum(weights)
    return [weight / whole for weight in weights]


def alpha_charges(pkas: Sequence[float], acid_charge: int, ph: ArrayLike, ionic_strength: ArrayLike) -> FloatArray:
    """Return the mean charge per mole of a polyprotic system; arguments as for ``alpha_fractions``.

    The result has the common shape of ``ph`` and ``ionic_strength``.
    """
    fractions = _fractions(pkas, acid_charge, numbers(ph), numbers(ionic_strength))
    return _sum((acid_charge - lost) * fraction for lost, fraction in enumerate(fractions))


def _sum(parts: Iterable[Any]) -> Any:
    return sum(parts, 0.0)


def carbonate_charge(
    total_m: ArrayLike, ph: ArrayLike, ionic_strength: ArrayLike, co2_cap_m: float = CO2_CAP_M
) -> tuple[FloatArray, FloatArray]:
    """Return (charge concentration, carbon dioxide lost as gas), both mol/L, of ``total_m`` of carbonate at ``ph``.

    Dissolved carbon dioxide above ``co2_cap_m`` leaves the phase: what remains is in equilibrium with the capped
    concentration. Pass infinity for a closed vessel. The charge falls steadily with pH, so a charge balance that
    holds it has one root. Shapes broadcast.
    """
    total = numbers(total_m)
    free, bicarbonate, carbonate = _fractions(table(Buffer)["carbonate"].pkas, 0, numbers(ph), numbers(ionic_strength))
    # Far into base the free acid's share is too small to divide by; the cap cannot bind there.
    held = minimum(total, co2_cap_m / maximum(free, 1e-300))
    return -held * (bicarbonate + 2.0 * carbonate), total - held


def ph_of(solution: Solution | tuple[str, float, float]) -> float:
    """Return the pH of a solution from its charge balance.

    ``solution`` is a row of the solutions table or ``(weak_system, weak_m, strong_charge_m)`` in mol/L, with an empty
    ``weak_system`` where there is none. Raises ``LookupError`` for a weak system that ``buffers.csv`` lacks.
    """
    salt_m = 0.0
    if isinstance(solution, Solution):
        weak_system, weak_m, strong_m = solution.weak_system, solution.weak_m, solution.strong_charge_m
        # ``salt_m`` of a row holds the solute's own ions, which the charge balance counts by itself.
        salt_m = max(0.0, solution.salt_m - abs(strong_m))
    else:
        weak_system, weak_m, strong_m = solution
    systems: list[tuple[str | tuple[Sequence[float], int], ArrayLike]] = [(weak_system, weak_m)] if weak_system else []
    return float(equilibrium_ph(systems, strong_m, salt_m))


def equilibrium_ph(
    systems: Sequence[tuple[str | tuple[Sequence[float], int], ArrayLike]],
    strong_charge_m: ArrayLike,
    salt_m: ArrayLike = 0.0,
    co2_cap_m: float = CO2_CAP_M,
) -> FloatArray:
    """Return the pH at which the charges of one aqueous phase balance.

    ``systems`` holds pairs of a weak acid system (a key of ``buffers.csv``, or ``(pkas, charge of the acid end)``) and
    its total concentration; ``strong_charge_m`` is strong cations minus strong anions and ``salt_m`` any further 1:1
    salt, all mol/L. Arrays broadcast and the result has their common shape. Carbonate loses what carbon dioxide exceeds
    ``co2_cap_m``. Raises ``LookupError`` for a weak system that ``buffers.csv`` lacks. Method: charge balance with
    Davies activity coefficients (``davies1962``).
    """
    resolved: list[tuple[bool, Sequence[float], int]] = []
    for key, _ in systems:
        if isinstance(key, str):
            row = _buffer(key)
            resolved.append((key == "carbonate", row.pkas, row.acid_charge))
        else:
            resolved.append((False, key[0], key[1]))
    strong, salt, totals = numbers(strong_charge_m), numbers(salt_m), [numbers(amount) for _, amount in systems]
    zero = _sum(0.0 * amount for amount in (strong, salt, *totals))  # of the common shape
    strength = minimum(salt + 0.5 * abs(strong) + zero, MAX_IONIC_STRENGTH_M)
    ph = 7.0 + zero
    for _ in range(8):
        ph = _balance(resolved, totals, strong, strength, co2_cap_m)
        new_strength = minimum(_ionic_strength(resolved, totals, strong, salt, ph, strength), MAX_IONIC_STRENGTH_M)
        settled = every(abs(new_strength - strength) < 1e-4)
        strength = new_strength
        if settled:
            break
    return ph


def co2_volume_ml(mmol: ArrayLike) -> FloatArray:
    """Return the volume (mL) of ``mmol`` of carbon dioxide, as an ideal gas at 25 C and 1 atm."""
    return numbers(mmol) * MOLAR_GAS_VOLUME_ML_PER_MMOL


def _buffer(key: str) -> Buffer:
    rows = table(Buffer)
    if key not in rows:
        raise LookupError(f"{key!r} is no weak acid system of buffers.csv; it holds {', '.join(sorted(rows))}.")
    return rows[key]


def _balance(
    resolved: Sequence[tuple[bool, Sequence[float], int]],
    totals: Sequence[FloatArray],
    strong: FloatArray,
    strength: FloatArray,
    co2_cap_m: float,
) -> FloatArray:
    """Halve the interval pH -3 to 17 until it is below 1e-5: the net charge falls steadily as the pH rises."""
    zero = 0.0 * strength
    low, high = zero - 3.0, zero + 17.0
    for _ in range(21):
        ph = 0.5 * (low + high)
        charge = strong + hydrogen_m(ph, strength) - hydroxide_m(ph, strength)
        for (is_carbonate, pkas, acid_charge), total in zip(resolved, totals, strict=True):
            if is_carbonate:
                charge = charge + carbonate_charge(total, ph, strength, co2_cap_m)[0]
            else:
                charge = charge + total * alpha_charges(pkas, acid_charge, ph, strength)
        positive = charge > 0.0
        low, high = where(positive, ph, low), where(positive, high, ph)
    return 0.5 * (low + high)


def _ionic_strength(
    resolved: Sequence[tuple[bool, Sequence[float], int]],
    totals: Sequence[FloatArray],
    strong: FloatArray,
    salt: FloatArray,
    ph: FloatArray,
    strength: FloatArray,
) -> FloatArray:
    """Return the ionic strength (mol/L); strong ions are taken as monovalent."""
    squares: Any = abs(strong) + hydrogen_m(ph, strength) + hydroxide_m(ph, strength)
    for (_, pkas, acid_charge), total in zip(resolved, totals, strict=True):
        fractions = _fractions(pkas, acid_charge, ph, strength)
        squares = squares + total * _sum((acid_charge - lost) ** 2 * part for lost, part in enumerate(fractions))
    return salt + 0.5 * squares
