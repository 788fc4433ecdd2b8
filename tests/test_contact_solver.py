"""How fast a contact is solved: the pH in a few looks at the charge balance, the volumes and what ions hold in a few rounds.

A slower solver gives the same numbers, so that only these counts would show it. They are those of today, rounded up.
"""

from __future__ import annotations

import numpy as np
import pytest
from test_contact import shaken

from washlore.rules import shaking_draws

STRONG_M = [-1, -0.1, -1e-3, -1e-6, 0, 1e-6, 1e-3, 0.1, 1]


def looks(strong_m: list[float], guess: float, acids: tuple[tuple[float, float], ...] = ()) -> tuple[int, np.ndarray]:
    """Solve water with strong ions and weak acids of (mol/L, pKa); return how often the balance was looked at, and the pH."""
    strong, count = np.array(strong_m, dtype=float), 0

    def balance(ph: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        nonlocal count
        count += 1
        proton, hydroxide = 10.0**-ph, 10.0 ** (ph - 14.0)
        value, slope = strong + proton - hydroxide, -shaking_draws.LN10 * (proton + hydroxide)
        for molar, pka in acids:
            ionised = 1.0 / (1.0 + 10.0 ** (pka - ph))
            value, slope = value - molar * ionised, slope - shaking_draws.LN10 * molar * ionised * (1.0 - ionised)
        return value, slope

    ph = shaking_draws._root(balance, len(strong_m), np.full(len(strong_m), float(guess)))
    assert np.abs(balance(ph)[0]).max() < 1e-12
    return count - 1, ph


# Strong ions (mol/L), weak acids (mol/L, pKa), looks taken at most from a guess of pH -3, 0, 3, 7, 11, 14 and 17.
BALANCES = [
    (STRONG_M, (), (14, 14, 13, 7, 13, 14, 14)),
    ([0.0], (), (11, 11, 11, 1, 11, 11, 11)),
    ([0.5], ((1.0, 4.7),), (9, 7, 5, 5, 8, 8, 7)),
    ([0.5], ((1.0, 9.7),), (8, 6, 7, 5, 7, 7, 8)),
    ([1.0], ((1.0, 4.7), (1.0, 9.0)), (6, 4, 5, 3, 7, 3, 8)),
]


@pytest.mark.parametrize(("strong_m", "acids", "most"), BALANCES)
def test_the_ph_is_found_in_a_few_looks(strong_m: list[float], acids: tuple, most: tuple[int, ...]) -> None:
    for guess, allowed in zip((-3, 0, 3, 7, 11, 14, 17), most, strict=True):
        count, ph = looks(strong_m, guess, acids)
        assert count <= allowed + 1, guess
        np.testing.assert_allclose(ph, looks(strong_m, 7.3, acids)[1], atol=1e-9)


def test_the_ph_of_strong_acid_and_base_is_their_logarithm() -> None:
    _, ph = looks(STRONG_M, 5.0)
    np.testing.assert_allclose(ph[[0, 1, 2, 6, 7, 8]], [0, 1, 3, 11, 13, 14], atol=1e-6)
    assert ph[4] == pytest.approx(7.0, abs=1e-9)
    assert looks([0.5], 5.0, ((1.0, 4.7),))[1][0] == pytest.approx(4.7, abs=1e-4)


# Flask, wash, volume, solvent, rounds at most.
ROUNDS = [
    (["OC(=O)c1ccccc1; 5 mmol"], "nahco3_sat", 20.0, "dichloromethane", 1),
    (["CN(C)C=O; 100 mmol"], "water", 20.0, "ethyl acetate", 5),
    (["CC(C)=O; 200 mmol", "CC(=O)O; 2 mmol"], "brine", 20.0, "ethyl acetate", 5),
    (["c1ccncc1; 4 mmol"], "cuso4_sat", 15.0, "dichloromethane", 10),
    (["II; 1 mmol", "[K+].[I-]; 6 mmol"], "water", 20.0, "dichloromethane", 5),
]


@pytest.mark.parametrize(("others", "solution", "volume_ml", "solvent", "most"), ROUNDS)
def test_two_layers_settle_in_a_few_rounds(
    others: list[str], solution: str, volume_ml: float, solvent: str, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    rounds, solve = 0, shaking_draws._solve

    def counted(*args: object) -> object:
        nonlocal rounds
        rounds += 1
        return solve(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(shaking_draws, "_solve", counted)
    shaken(others, solution, volume_ml, solvent)
    assert rounds <= most
