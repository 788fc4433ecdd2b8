"""pH chemistry of one aqueous phase at 25 C: activities, weak acids of any charge, carbon dioxide, heat and gas.

pH is -log10 of the hydrogen ion activity; all concentrations are mol/L. Activity coefficients follow Davies
(``davies1962``): the ionic strength that enters is capped at 0.5 M, because beyond it the equation's linear term turns
the coefficients of small ions up without ground, while real ones stay near their value at 0.5 M up to 1-2 M. In
stronger acid or base (6 M HCl) the pH printed is therefore only nominal. All functions take numpy arrays or plain
numbers and work element by element.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from washlore.knowledge.arrays import ArrayLike, FloatArray, np
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
    capped = np.clip(np.asarray(ionic_strength, dtype=float), 0.0, MAX_IONIC_STRENGTH_M)
    root = np.sqrt(capped)
    return np.asarray(-0.509 * np.square(np.asarray(charge, dtype=float)) * (root / (1.0 + root) - 0.3 * capped))


def kw_pk(ionic_strength: ArrayLike) -> FloatArray:
    """Return -log10([H+][OH-]), concentrations in mol/L, at ``ionic_strength`` (mol/L)."""
    return PKW + 2.0 * davies_log_gamma(1, ionic_strength)


def hydrogen_m(ph: ArrayLike, ionic_strength: ArrayLike) -> FloatArray:
    """Return the concentration (mol/L) of hydrogen ion at ``ph``."""
    return np.power(10.0, -np.asarray(ph, dtype=float) - davies_log_gamma(1, ionic_strength))


def hydroxide_m(ph: ArrayLike, ionic_strength: ArrayLike) -> FloatArray:
    """Return the concentration (mol/L) of hydroxide at ``ph``."""
    return np.power(10.0, np.asarray(ph, dtype=float) - PKW - davies_log_gamma(1, ionic_strength))


def alpha_fractions(pkas: Sequence[float], acid_charge: int, ph: ArrayLike, ionic_strength: ArrayLike) -> FloatArray:
    """Return the share of each protonation state, the most protonated first.

    ``pkas`` are the stepwise values at zero ionic strength, ascending; ``acid_charge`` is the charge of the fully
    protonated species. The result has shape ``(len(pkas) + 1, *shape of ph)`` and sums to 1 along its first axis.
    """
    ph_array, strength = np.broadcast_arrays(np.asarray(ph, dtype=float), np.asarray(ionic_strength, dtype=float))
    gamma = davies_log_gamma(1, strength)  # scales with the square of the charge
    logs = np.zeros((len(pkas) + 1, *ph_array.shape))
    for step, pka in enumerate(pkas, start=1):
        acid = acid_charge - step + 1
        base = acid - 1
        corrected = pka + (base * base - acid * acid) * gamma
        logs[step] = logs[step - 1] + ph_array - corrected
    weights = np.power(10.0, logs - logs.max(axis=0))
    return weights / weights.sum(axis=0)


def alpha_charges(pkas: Sequence[float], acid_charge: int, ph: ArrayLike, ionic_strength: ArrayLike) -> FloatArray:
    """Return the mean charge per mole of a polyprotic system; arguments as for ``alpha_fractions``.

    The result has the common shape of ``ph`` and ``ionic_strength``.
    """
    fractions = alpha_fractions(pkas, acid_charge, ph, ionic_strength)
    charges = acid_charge - np.arange(len(pkas) + 1, dtype=float)
    return np.tensordot(charges, fractions, axes=1)


def carbonate_charge(
    total_m: ArrayLike, ph: ArrayLike, ionic_strength: ArrayLike, co2_cap_m: float = CO2_CAP_M
) -> tuple[FloatArray, FloatArray]:
    """Return (charge concentration, carbon dioxide lost as gas), both mol/L, of ``total_m`` of carbonate at ``ph``.

    Dissolved carbon dioxide above ``co2_cap_m`` leaves the phase: what remains is in equilibrium with the capped
    concentration. Pass ``numpy.inf`` for a closed vessel. The charge falls steadily with pH, so a charge balance that
    holds it has one root. Shapes broadcast.
    """
    pkas = table(Buffer)["carbonate"].pkas
    total, ph_array, strength = np.broadcast_arrays(
        np.asarray(total_m, dtype=float), np.asarray(ph, dtype=float), np.asarray(ionic_strength, dtype=float)
    )
    free, bicarbonate, carbonate = alpha_fractions(pkas, 0, ph_array, strength)
    # Far into base the free acid's share is too small to divide by; the cap cannot bind there.
    held = np.minimum(total, co2_cap_m / np.maximum(free, 1e-300))
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
    return float(equilibrium_ph(systems, np.asarray(strong_m), np.asarray(salt_m)))


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
    arrays = np.broadcast_arrays(
        np.asarray(strong_charge_m, dtype=float),
        np.asarray(salt_m, dtype=float),
        *(np.asarray(amount, dtype=float) for _, amount in systems),
    )
    strong, salt, *totals = arrays
    strength = np.minimum(salt + 0.5 * np.abs(strong), MAX_IONIC_STRENGTH_M)
    ph = np.full(strong.shape, 7.0)
    for _ in range(8):
        ph = _balance(resolved, totals, strong, strength, co2_cap_m)
        new_strength = np.minimum(_ionic_strength(resolved, totals, strong, salt, ph, strength), MAX_IONIC_STRENGTH_M)
        settled = bool(np.all(np.abs(new_strength - strength) < 1e-4))
        strength = new_strength
        if settled:
            break
    return ph


def co2_volume_ml(mmol: ArrayLike) -> FloatArray:
    """Return the volume (mL) of ``mmol`` of carbon dioxide, as an ideal gas at 25 C and 1 atm."""
    return np.asarray(mmol, dtype=float) * MOLAR_GAS_VOLUME_ML_PER_MMOL


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
    low = np.full(strong.shape, -3.0)
    high = np.full(strong.shape, 17.0)
    for _ in range(21):
        ph = 0.5 * (low + high)
        charge = strong + hydrogen_m(ph, strength) - hydroxide_m(ph, strength)
        for (is_carbonate, pkas, acid_charge), total in zip(resolved, totals, strict=True):
            if is_carbonate:
                charge = charge + carbonate_charge(total, ph, strength, co2_cap_m)[0]
            else:
                charge = charge + total * alpha_charges(pkas, acid_charge, ph, strength)
        positive = charge > 0.0
        low = np.where(positive, ph, low)
        high = np.where(positive, high, ph)
    return np.asarray(0.5 * (low + high))


def _ionic_strength(
    resolved: Sequence[tuple[bool, Sequence[float], int]],
    totals: Sequence[FloatArray],
    strong: FloatArray,
    salt: FloatArray,
    ph: FloatArray,
    strength: FloatArray,
) -> FloatArray:
    """Return the ionic strength (mol/L); strong ions are taken as monovalent."""
    squares: Any = np.abs(strong) + hydrogen_m(ph, strength) + hydroxide_m(ph, strength)
    for (_, pkas, acid_charge), total in zip(resolved, totals, strict=True):
        charges = acid_charge - np.arange(len(pkas) + 1, dtype=float)
        fractions = alpha_fractions(pkas, acid_charge, ph, strength)
        squares = squares + total * np.tensordot(charges**2, fractions, axes=1)
    return np.asarray(salt + 0.5 * squares)
