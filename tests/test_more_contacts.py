"""One more contact: what it may leave more of, shown on flasks where it does, and what it never may."""

from __future__ import annotations

from dataclasses import replace

import pytest
from more_contacts import divided_otherwise, with_one_more, wrong_with_one_more

from washlore.rules.ledger import Ledger, Step, run_ledger
from washlore.rules.mixture import Mixture, build
from washlore.rules.perceive import prepare

DRAWS = 8


def flask(product: str, *others: str, solvents: tuple = ()) -> Mixture:
    pairs = [(name, amount, None) for name, amount in (o.split("; ") for o in others)]
    return prepare(build(product, pairs, product_amount="10 mmol", solvents=list(solvents))).mixture


def shown(mixture: Mixture, steps: list[Step], number: int, component: str) -> tuple[float, Ledger, Ledger]:
    """Return how much more of a component is left after one more portion of a wash, and both accounts; nothing is wrong."""
    book = run_ledger(mixture, steps, DRAWS)
    after, wrong = with_one_more(mixture, book, number, DRAWS)
    assert wrong == []
    return float(after.left(component)[0] - book.left(component)[0]), book, after


THROUGH_WATER = [
    Step("wash", "water", volume_ml=15.0, repeats=2),
    Step("take up", "naoh_1m", volume_ml=15.0, repeats=2),
    Step("set ph", target_ph=3.0),
    Step("extract", solvent="diethyl_ether", volume_ml=20.0, repeats=3),
]


def test_a_smaller_layer_leaves_more_to_the_water_that_the_product_goes_through() -> None:
    acid = flask("OC(=O)CCc1ccccc1", "acetophenone; 5 mmol", solvents=(("diethyl ether", 40.0),))
    more, book, after = shown(acid, THROUGH_WATER, 0, "c1")
    assert more > 0.0
    takes = [next(c for c in b.contacts if c.step == 2) for b in (book, after)]
    assert takes[1].organic_ml < takes[0].organic_ml - 0.5


def test_less_miscible_solvent_eases_less_of_the_product_into_the_water() -> None:
    steps = [
        Step("dilute", solvent="pentane", volume_ml=140.0),
        Step("wash", "water", volume_ml=100.0),
        Step("extract again", solvent="pentane", volume_ml=70.0, repeats=2),
    ]
    glycol = flask("COC(=O)C(Cc1ccccc1)NC(=O)OCc1ccccc1", solvents=(("ethylene_glycol", 70.0),))
    # The waters of the wash are pooled to be extracted again: with one more they are thinner.
    assert shown(glycol, steps, 1, "product")[0] > 0.005


def test_a_base_comes_back_from_water_that_holds_less_acid() -> None:
    steps = [Step("wash", "nh4cl_sat", volume_ml=15.0), Step("wash", "water", volume_ml=5.0, repeats=2)]
    amine = flask("COC(=O)CCc1ccccc1", "pyridine; 10 mmol", "acetic acid; 20 mmol", solvents=(("toluene", 40.0),))
    _, book, after = shown(amine, steps, 0, "c1")
    last = [b.contacts[-1] for b in (book, after)]
    assert last[1].ph[0] > last[0].ph[0] and last[1].organic_share[1, 0] > last[0].organic_share[1, 0]


@pytest.fixture(scope="module")
def two() -> tuple[Ledger, Ledger]:
    mixture = flask(
        "COC(=O)CCc1ccccc1", "benzoic acid; 5 mmol", "N,N-dimethylaniline; 5 mmol", solvents=(("toluene", 40.0),)
    )
    steps = [Step("wash", "water", volume_ml=15.0, repeats=1), Step("wash", "water", volume_ml=15.0)]
    book = run_ledger(mixture, steps, DRAWS)
    return book, with_one_more(mixture, book, 0, DRAWS)[0]


def test_what_is_against_physics_is_found(two: tuple[Ledger, Ledger]) -> None:
    before, after = two
    assert list(wrong_with_one_more(before, after, 1)) == []

    def wrong(contact: int, **changed: object) -> str:
        contacts = list(after.contacts)
        contacts[contact] = replace(contacts[contact], **changed)
        return "; ".join(wrong_with_one_more(before, replace(after, contacts=contacts), 1))

    third = after.contacts[-1]
    assert "product moves by" in wrong(-1, organic_share=third.organic_share * 0.99)
    assert "c1 moves by" in wrong(-1, ph=third.ph - 1.0)  # it fell a little: with a lower pH it would rise
    assert "brings" in wrong(1, organic_mmol=after.contacts[1].organic_mmol * 2.0)
    assert "is another one" in wrong(0, organic_mmol=after.contacts[0].organic_mmol * 0.9)
    assert after.organic is not None
    fuller = replace(after, organic=replace(after.organic, mmol=after.organic.mmol * 1.2))
    assert "is left, and no later contact says why" in "; ".join(wrong_with_one_more(before, fuller, 1))


@pytest.mark.parametrize(("component", "sign"), [("c1", 1.0), ("c2", -1.0)])
def test_ph_moves_an_acid_down_and_a_base_up_and_no_further(
    two: tuple[Ledger, Ledger], component: str, sign: float
) -> None:
    before = two[0]
    (row,) = [i for i, s in enumerate(before.sheet.species) if s.component == component]
    one = before.contacts[-1]
    for risen, lowered in ((0.3, 0.2), (0.3, -0.1), (0.3, 0.4), (-0.3, -0.2), (-0.3, 0.1)):
        share = one.organic_share.copy()
        share[row] = share[row] / (share[row] + (1 - share[row]) * 10.0 ** (sign * lowered))
        found = [
            i for i, _ in divided_otherwise(before.sheet, one, replace(one, ph=one.ph + risen, organic_share=share))
        ]
        explained = min(risen, 0.0) <= lowered <= max(risen, 0.0)
        assert (row in found) != explained, (risen, lowered)
