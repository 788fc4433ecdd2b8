"""The planner on open published procedures, fetched once; skipped where they cannot be had.

The data are those of ``fit/open_workups.py``, which says where they come from and under which licence (Open Reaction
Database, CC BY-SA 4.0). A wash that was used on a product isolated in good yield did not destroy it; a wash that is
missing in print proves nothing. What is counted is what ``fit/measure_workups.py`` prints for more of them.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from rdkit import Chem

sys.path.insert(0, str(Path(__file__).parent / "fit"))

import measure_workups as measure
import open_workups

MOST = 110


@pytest.fixture(scope="module")
def cases() -> list[measure.Case]:
    pytest.importorskip("pyarrow", reason="reading the open procedures needs pyarrow")
    try:
        records = open_workups.records(MOST)
    except open_workups.Offline as offline:
        pytest.skip(f"no open procedures: {offline}")
    made = []
    for record in records:
        case = measure.prepare_case(record)
        measure.think(case, 1)
        made.append(case)
    return made


def planned(cases: list[measure.Case]) -> list[tuple[measure.Case, Chem.Mol]]:
    return [(c, Chem.MolFromSmiles(c.product)) for c in cases if c.plan]


def told(wrong: list[measure.Case]) -> str:
    return "\n".join(measure.line(c) for c in wrong)


def test_there_are_enough(cases) -> None:
    assert len(cases) >= 0.9 * MOST
    assert len({c.record["id"].split("/")[0] for c in cases}) == len(open_workups.MONTHS)


def test_nothing_crashes_and_little_is_refused(cases) -> None:
    assert not [c.crashed for c in cases if c.crashed]
    assert len(planned(cases)) >= 0.95 * len(cases), [c.refused or c.unusable for c in cases if not c.plan]


def test_a_wash_that_served_is_not_called_harmful(cases) -> None:
    """Two in a hundred is the aim for acids and bases; three wrong structures in a hundred are known of such data."""
    used = [
        (token, c)
        for c in cases
        if c.plan and c.good
        for token in dict.fromkeys(c.record["wash_sequence"])
        if measure.judged(c, token)
    ]
    against = [f"{t}: {measure.harms(c, t)[0][1]}: {c.product}" for t, c in used if measure.harms(c, t)]
    assert len(used) > 0.7 * MOST
    assert len(against) <= 0.02 * len(used), "\n".join(against)
    sharp = [t for t, _ in used if t in measure.ACID_TOKENS | measure.BASE_TOKENS]
    assert len([a for a in against if a.split(":")[0] not in ("water", "brine")]) <= max(1, 0.05 * len(sharp))


SUPPORT = {"CCN(CC)CC", "CCN(C(C)C)C(C)C", "c1ccncc1"}


def holds_its_own_acid(case: measure.Case) -> bool:
    """Tell whether a quench sets as much hydrogen chloride free as there is base, so that water takes the base as its salt."""
    others = case.made.mixture.others
    acid = sum(c.mmol for c in others if c.smiles == "Cl" and c.role == "by-product")
    return acid >= sum(c.mmol for c in others if c.smiles in SUPPORT) > 0


def test_a_support_base_leaves_with_acid(cases) -> None:
    mine = [c for c, mol in planned(cases) if c.inputs & SUPPORT and not measure.has(mol, measure.BASIC)]
    assert len(mine) >= 8
    missed = [c for c in mine if not measure.acid_side(c.made) and not holds_its_own_acid(c)]
    assert len(missed) <= 0.05 * len(mine) + 0.5, told(missed)


def test_no_acid_on_an_amine_and_no_base_on_an_acid(cases) -> None:
    both = planned(cases)
    amines = [c for c, m in both if measure.has(m, measure.STRONGLY_BASIC) and not measure.has(m, measure.ACIDIC)]
    acids = [c for c, m in both if measure.has(m, measure.ACIDIC[:1]) and not measure.has(m, measure.BASIC)]
    assert len(amines) >= 8 and len(acids) >= 8
    assert not [c for c in amines if measure.washes(c.made, "acid")]
    assert not [c for c in acids if measure.washes(c.made, "base")]


def test_an_oxidant_is_reduced(cases) -> None:
    mine = [c for c, _ in planned(cases) if measure.oxidant(c)]
    assert mine and all(measure.reduces(c.made) for c in mine), told([c for c in mine if not measure.reduces(c.made)])


def test_magnesium_sulfate_that_served_is_not_barred(cases) -> None:
    mine = [c for c, _ in planned(cases) if c.good and c.record["drying_agent"] == "mgso4"]
    barred = [c for c in mine if c.made.facts_of(measure.f.BarredDesiccant, desiccant="mgso4")]
    assert mine and len(barred) <= 0.05 * len(mine) + 0.5, told(barred)
