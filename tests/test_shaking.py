"""One draw on plain numbers comes to what many draws come to on arrays, and without numpy."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from random_mixtures import flask

from washlore.knowledge.arrays import (
    Single,
    at_best,
    column,
    every,
    full,
    maximum,
    minimum,
    plain,
    row,
    spread,
    where,
    zeros,
)
from washlore.knowledge.rows import Solution, table
from washlore.rules import ledger, shaking
from washlore.rules.contact import Contact, equilibrate
from washlore.rules.ledger import Step, run_ledger
from washlore.rules.mixture import Mixture
from washlore.rules.phase import Phase, fresh_wash
from washlore.rules.species import Sheet, sheet
from washlore.rules.trial import layer_ml, offered_solvents, start_layer

SOLUTIONS = ("water", "nahco3_sat", "hcl_1m", "naoh_1m", "na2co3_10", "cuso4_sat", "nh4cl_sat", "citric_10", "brine")


def twice(one: Sheet) -> Sheet:
    """Return a sheet with two draws, both the best estimate."""
    same = {name: np.repeat(np.asarray(getattr(one, name)), 2, axis=1) for name in ("pka", "normal", "pair_normal")}
    return replace(one, **same)


def same(one: object, many: object, tiny: float = 0.0) -> None:
    """Hold one draw against both of two, to 1e-9."""
    alone, both = np.asarray(one, dtype=float), np.asarray(many, dtype=float)
    for draw in (0, 1):
        np.testing.assert_allclose(alone[..., 0], both[..., draw], rtol=1e-9, atol=tiny)


def agree(one: Contact, many: Contact) -> None:
    same(one.ph, many.ph)
    for name in ("organic_share", "organic_mmol", "aqueous_mmol", "escaped_mmol"):
        same(getattr(one, name), getattr(many, name), 1e-12)
    for name in ("organic_ml", "aqueous_ml", "organic_density", "aqueous_density", "co2_ml", "heat_kj"):
        assert getattr(one, name) == pytest.approx(getattr(many, name), rel=1e-9, abs=1e-9), name
    assert [v.gas for v in one.vapours] == [v.gas for v in many.vapours]
    for mine, theirs in zip(one.vapours, many.vapours, strict=True):
        assert mine.above_ppm == pytest.approx(theirs.above_ppm, rel=1e-8)
    assert (one.mixed is None) == (many.mixed is None)


def shaken(mixture: Mixture, numbers: Sheet, rng: random.Random) -> list[Contact]:
    """Return three contacts with drawn solutions, the last of them held at a pH."""
    solvent, volume = offered_solvents(mixture)[0], layer_ml(mixture)
    organic: Phase = start_layer(numbers, solvent, volume, (), ())
    made = []
    for portion in range(3):
        aqueous = fresh_wash(table(Solution)[rng.choice(SOLUTIONS)], volume / 3, numbers)
        if portion == 0:
            for key, mmol in numbers.weak_mmol.items():
                aqueous.weak_mmol[key] = aqueous.weak_mmol.get(key, 0.0) + full(numbers.draws, mmol)
        held_ph = rng.uniform(1, 13) if portion == 2 else None
        made.append(equilibrate(numbers, organic, aqueous, 1, portion, held_ph))
    return made


@pytest.mark.parametrize("seed", range(8))
def test_one_draw_is_what_two_of_the_same_are(seed: int) -> None:
    rng = random.Random(f"shaking {seed}")
    for _ in range(25):
        mixture = flask(rng).built()
        one, drawn = sheet(mixture, 1), rng.random()
        alone = shaken(mixture, one, random.Random(drawn))
        both = shaken(mixture, twice(one), random.Random(drawn))
        for mine, theirs in zip(alone, both, strict=True):
            agree(mine, theirs)


STEPS = (
    Step("dilute", solvent="ethyl_acetate", volume_ml=40.0),
    Step("wash", solution="nahco3_sat", volume_ml=15.0, repeats=2),
    Step("take up", solution="hcl_1m", volume_ml=15.0, repeats=2),
    Step("rinse water", solvent="ethyl_acetate", volume_ml=10.0),
    Step("set ph", target_ph=10.0),
    Step("extract", solvent="ethyl_acetate", volume_ml=15.0, repeats=2),
    Step("wash", solution="brine", volume_ml=15.0),
    Step("extract again", solvent="ethyl_acetate", volume_ml=15.0, repeats=2),
    Step("concentrate"),
)


def test_a_whole_account_is_the_same() -> None:
    rng = random.Random("accounts")
    for _ in range(12):
        mixture = flask(rng).built()
        one = sheet(mixture, 1)
        alone, both = (run_ledger(mixture, STEPS, numbers=numbers) for numbers in (one, twice(one)))
        for mine, theirs in zip(alone.contacts, both.contacts, strict=True):
            agree(mine, theirs)
        assert alone.gas_ml == pytest.approx(both.gas_ml, rel=1e-9, abs=1e-9)
        for c in mixture.components:
            same(alone.left(c.id), both.left(c.id), 1e-12)
            assert ledger.median(alone.left(c.id)) == pytest.approx(float(ledger.median(both.left(c.id))), abs=1e-9)


def test_the_root_is_the_same_from_any_guess() -> None:
    def balance(ph: float) -> tuple[float, float]:
        proton, hydroxide = 10.0**-ph, 10.0 ** (ph - 14.0)
        return 0.01 + proton - hydroxide, -shaking.LN10 * (proton + hydroxide)

    for guess in (-3.0, 0.0, 7.0, 12.0, 17.0):
        assert shaking.root(balance, guess) == pytest.approx(12.0, abs=1e-9)


def test_what_is_tried_next_follows_the_line() -> None:
    assert shaking.onward(1.0, 0.5, None, 9.0) == (1.5, (1.0, 0.5))
    # From (1, 0.5) to (1.5, 0.25) the change falls by half of what was moved: nothing is left of it at 2.
    assert shaking.onward(1.5, 0.25, (1.0, 0.5), 9.0)[0] == pytest.approx(2.0)
    assert shaking.onward(1.5, 0.25, (1.0, 0.5), 1.9)[0] == pytest.approx(1.75)  # beyond the most there is
    assert shaking.onward(1.5, 0.6, (1.0, 0.5), 9.0)[0] == pytest.approx(2.1)  # it grows: no line


# Numbers with one draw.


def test_one_draw_has_the_shape_of_an_array() -> None:
    flat, deep = row([1.0, 2.0, 3.0]), column([1.0, 2.0, 3.0])
    assert flat.shape == (3,) and deep.shape == (3, 1) and len(deep) == deep.size == 3 and deep.ndim == 2
    assert isinstance(zeros(2, 1), Single) and isinstance(zeros(2, 3), np.ndarray)
    assert isinstance(full(1, 2.0), Single) and full(3, 2.0).shape == (3,)
    assert deep[1].tolist() == [2.0] and deep[1, 0] == 2.0 and deep[:, 0].tolist() == [1.0, 2.0, 3.0]
    assert deep[[0, 2]].tolist() == [[1.0], [3.0]] and flat[:, None].shape == (3, 1) and flat[1:].tolist() == [2.0, 3.0]
    assert deep.sum(axis=0).tolist() == [6.0] and deep.sum() == flat.sum() == flat.sum(axis=0) == 6.0
    assert (deep.max(), deep.min()) == (3.0, 1.0) and [float(v) for v in deep] == [1.0, 2.0, 3.0]
    assert spread(flat, 1).shape == (3, 1) and spread(flat, 2).shape == (3, 2)
    changed = deep.copy()
    changed[0], changed[[1, 2]] = 9.0, 0.0
    assert changed.tolist() == [[9.0], [0.0], [0.0]] and deep[0, 0] == 1.0
    with pytest.raises(TypeError, match="no part"):
        changed["a"] = 1.0


def test_one_draw_is_counted_with_as_an_array_is() -> None:
    flat, deep, one = row([1.0, 2.0]), column([1.0, 2.0]), full(1, 4.0)
    arrays = [np.asarray(v) for v in (flat, deep, one)]
    for mine, theirs in ((deep, arrays[1]), (one, arrays[2])):
        for result, expected in (
            (mine * one, theirs * arrays[2]),
            (one / mine, arrays[2] / theirs),
            (3.0 - mine, 3.0 - theirs),
            (mine - 3.0, theirs - 3.0),
            (-mine + abs(mine), -theirs + abs(theirs)),
            (10.0**mine, 10.0**theirs),
            (mine**0.5, theirs**0.5),
            (1.0 / mine, 1.0 / theirs),
            (mine * 2.0 >= mine + 2.0, theirs * 2.0 >= theirs + 2.0),
            (where(mine > 1.5, mine, 0.0), np.where(theirs > 1.5, theirs, 0.0)),
            (minimum(mine, 1.5), np.minimum(theirs, 1.5)),
            (maximum(1.5, mine), np.maximum(1.5, theirs)),
        ):
            np.testing.assert_allclose(np.asarray(result, dtype=float), np.asarray(expected, dtype=float))
            assert result.shape == expected.shape
    assert minimum(1.0, 2.0) == 1.0 and maximum(1.0, 2.0) == 2.0 and where(True, 1.0, 2.0) == 1.0
    assert every(True) and every(flat > 0.5) and not every(flat > 1.5)
    assert at_best(3.0) == at_best(np.array([3.0, 4.0])) == at_best(full(1, 3.0)) == 3.0
    assert plain(2) == [2.0] and plain((1, 2)) == [1.0, 2.0] and plain(np.array([[1.0], [2.0]])) == [1.0, 2.0]


def test_nothing_is_divided_by_nothing_as_numpy_does() -> None:
    quotient = full(1, 1.0) / full(1, 0.0)
    assert at_best(quotient) == math.inf and math.isnan(at_best(full(1, 0.0) / full(1, 0.0)))


def test_one_draw_meets_an_array() -> None:
    deep, wide = column([1.0, 2.0]), np.ones((2, 3))
    assert isinstance(deep * wide, np.ndarray) and (deep + wide).shape == (wide + deep).shape == (2, 3)
    np.testing.assert_allclose(wide @ np.ones((3, 1)) - deep, [[2.0], [1.0]])


def test_shapes_that_make_more_than_one_draw_are_refused() -> None:
    with pytest.raises(ValueError, match="more than one draw"):
        _ = row([1.0, 2.0]) * column([1.0, 2.0])
    with pytest.raises(ValueError, match="do not go together"):
        _ = row([1.0, 2.0]) * row([1.0, 2.0, 3.0])
