"""No rule wants what another forbids in one plan, no SMARTS is out of reach; ``fit/measure_lore.py`` in short."""

from __future__ import annotations

import random

import pytest
from click.testing import CliRunner
from lore import (
    PLANNED_FOR,
    TABLES,
    WRITTEN_FOR,
    command,
    fired_in,
    found_in,
    fragment_counts,
    own_examples,
    quarrels,
    taken,
)
from random_mixtures import flask

from washlore.cli.main import main as cli
from washlore.knowledge.rows import Residue, table
from washlore.knowledge.structure import molecules
from washlore.rules.mixture import Mixture, build
from washlore.rules.plan import make_plan
from washlore.rules.reckon import PlanRefused


@pytest.mark.parametrize("name", TABLES)
def test_every_row_is_the_first_to_take_what_it_states(name: str) -> None:
    out_of_reach = [(row, smiles) for row, smiles in own_examples(name) if (name, row) not in taken(molecules(smiles))]
    assert not out_of_reach


@pytest.mark.parametrize("seed", range(4))
def test_no_plan_uses_what_it_forbids(seed: int) -> None:
    rng = random.Random(f"lore {seed}")
    for _ in range(50):
        drawn = flask(rng, 4)
        try:
            plan = make_plan(drawn.built(), 4)
        except PlanRefused:
            continue
        for one in [branch.plan for branch in plan.branches] or [plan]:
            assert not quarrels(one), drawn


@pytest.mark.parametrize(("rule", "product", "other", "solvent", "text"), WRITTEN_FOR, ids=[w[0] for w in WRITTEN_FOR])
def test_a_rule_for_rare_flasks_fires_on_a_text_as_people_write_it(
    rule: str, product: str, other: str, solvent: tuple[str, float], text: str
) -> None:
    assert rule in found_in(product, other, solvent, text)


@pytest.mark.parametrize(("rule", "told", "words"), PLANNED_FOR, ids=[row[0] for row in PLANNED_FOR])
def test_a_rule_for_rare_flasks_speaks_on_a_flask_as_people_type_it(
    rule: str, told: tuple[str, ...], words: str
) -> None:
    assert rule in fired_in(told)
    done = CliRunner().invoke(cli, command(told))
    assert done.exit_code == 0 and words in " ".join(done.output.split())


@pytest.mark.parametrize(
    ("alone", "beside", "smiles"),
    [
        ("azoxy_nitrone", "nitrone", "[O-][N+](c1ccccc1)=Nc1ccccc1"),
        ("hydrazine_diacyl", "hydrazine_dicarboxylate", "CC(=O)NNC(C)=O"),
    ],
)
def test_a_fragment_that_mostly_goes_with_another_is_met_without_it(alone: str, beside: str, smiles: str) -> None:
    found = fragment_counts(molecules(smiles))
    assert found[alone] != [0] and found[beside] == [0]


@pytest.mark.parametrize("other", ["triphosgene", "benzoyl chloride"])
def test_bicarbonate_is_no_quench_beside_cyanide(other: str) -> None:
    """Below pH 10.5 cyanide is hydrogen cyanide: what usually goes into bicarbonate goes into carbonate there."""
    plan = make_plan(_of("CCOC(=O)c1ccccc1", "trimethylsilyl cyanide", other), 4)
    assert not quarrels(plan)
    assert [s.solution for s in plan.steps if s.action == "quench"] == ["na2co3_10"]


def test_a_product_is_not_taken_into_acid_with_sulfide_still_there() -> None:
    """What is extracted again from the bicarbonate brings hydrogen sulfide back with it."""
    others = [("[Na+].[Na+].[S-2]", "2.5053 mmol", "reagent"), ("TBAI", "1.6314 mmol", "reagent")]
    others.append(("triphenylphosphine oxide", "15.04 mmol", "by-product"))
    flask = build("NNC(=O)c1cccnc1", others, product_amount="4.839 mmol", solvents=[("n-butyl acetate", 35.0)])
    plan = make_plan(flask, 4)
    assert not quarrels(plan) and all(s.action != "take up" for s in plan.steps)


def _of(product: str, *others: str) -> Mixture:
    return build(
        product,
        [(o, "10 mmol", "impurity") for o in others],
        product_amount="10 mmol",
        solvents=[("dichloromethane", 40.0)],
    )


def test_ammonium_chloride_comes_after_the_halogen() -> None:
    steps = make_plan(_of("CCOC(=O)c1ccccc1", "[Mg+2].C[O-].C[O-]", "ClCl"), 4).steps
    assert [s.solution for s in steps if s.action == "quench"] == ["na2s2o3_10", "nh4cl_sat"]


@pytest.mark.parametrize("salt", ["KSCN", "potassium thiocyanate", "[Na+].[S-]C#N", "[K+].N#C[O-]"])
def test_salts_of_small_acids_with_carbon_belong_to_the_water(salt: str) -> None:
    plan = make_plan(_of("CCOC(=O)c1ccccc1", salt), 4)
    assert any(s.action == "wash" and "c1" in s.for_components for s in plan.steps)
    assert plan.left["c1"][1] < 0.01


def test_what_a_remedy_goes_on_to_is_fitted_to_the_product() -> None:
    """An amine is not told to wash the amine of LDA out with acid."""
    amine = make_plan(_of("CCCCNCc1ccccc1", "LDA"), 4).steps[0].instruction
    ester = make_plan(_of("CCOC(=O)c1ccccc1", "LDA"), 4).steps[0].instruction
    assert "leave out 10 % citric acid" in amine and "leave out" not in ester


def test_a_wash_that_the_product_does_not_stand_is_not_named_as_the_way_out() -> None:
    plan = make_plan(_of("CCC(=O)CC(=O)OCC", "thiophenol"), 4)
    told = [left.text for left in plan.not_removed if left.component == "c1"]
    assert told and all("10 % Na2CO3" not in text for text in told)


def test_cautions_against_acid_say_until_when() -> None:
    """A plan may well use acid once the poison is out; the caution must not forbid it for good."""
    for row in table(Residue).values():
        if row.acid_frees and row.action in ("wash", "quench") and "never acid" in row.never:
            assert "before" in row.never or "in the waste" in row.never, row.id


def test_a_quench_that_is_hard_on_the_product_says_so() -> None:
    """Beside cyanide only carbonate will do, whatever the product would like; elsewhere nothing is said."""
    hard = make_plan(_of("C[Si](C)(C)OC1CCCCC1", "C=CC[Mg]Cl", "KCN"), 4).steps[0].instruction
    plain = make_plan(_of("CCOC(=O)c1ccccc1", "C=CC[Mg]Cl", "KCN"), 4).steps[0].instruction
    assert "is hard on this product" in hard and "is hard on this product" not in plain
