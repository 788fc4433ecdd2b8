"""What goes along when a solvent is stripped, by its boiling point."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from washlore.rules.stripped import neutrals_stripped


@pytest.mark.parametrize(
    ("role", "boiling_c", "ionises", "goes"),
    [
        ("reagent", 115.9, False, True),
        ("reagent", 116.0, False, False),
        # a solvent of the reaction is there in bulk, and somewhat more of it is taken off
        ("solvent", 116.0, False, True),
        ("solvent", 120.9, False, True),
        ("solvent", 121.0, False, False),
        # acid or base may hold it as a salt
        ("reagent", 60.0, True, False),
    ],
)
def test_a_neutral_that_boils_low_goes_with_the_solvent(role: str, boiling_c: float, ionises: bool, goes: bool) -> None:
    mixture = SimpleNamespace(component=lambda c: SimpleNamespace(role=role))
    boils = [{"component": c, "boiling_c": boiling_c} for c in ("c1", "product")]
    found = neutrals_stripped(mixture, boils, {"c1"} if ionises else set())  # type: ignore[arg-type]
    assert found == ({"c1"} if goes else set())  # and never the product
