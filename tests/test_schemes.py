"""Mixtures with several products: each into its own water layer, back again, and what no wash parts."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from washlore.rules import build
from washlore.rules.explain import why
from washlore.rules.mixture import MixtureError
from washlore.rules.mixture_file import mixture_from_table
from washlore.rules.plan import Crude, Plan, make_plan

DRAWS = 64


@cache
def scheme(
    product: str, others: tuple[tuple[str, str, str | None], ...], solvent: str = "", extract: str = "choose"
) -> Plan:
    return make_plan(
        build(
            product,
            others,
            product_amount="5 mmol",
            solvents=[(solvent, 40.0)] if solvent else [],
            extract=extract,
        ),
        DRAWS,
    )


def crude(plan: Plan, name: str) -> tuple[Crude, str]:
    component = next(c.id for c in plan.mixture.components if c.name == name)
    return next(c for c in plan.crudes if component in c.wanted), component


FOUR = (
    "naphthalene",
    (
        ("benzoic acid", "5 mmol", "product"),
        ("4-tert-butylphenol", "5 mmol", "product"),
        ("p-toluidine", "5 mmol", "product"),
        ("triethylamine", "2 mmol", None),
    ),
    "diethyl ether",
)


def test_a_product_in_the_water_of_the_reaction_is_not_poured_away() -> None:
    """Cannizzaro: ether takes the alcohol, acid sets the acid free from the alkaline water (Vogel; Williamson)."""
    plan = scheme(
        "OCc1ccc(Cl)cc1", (("4-chlorobenzoic acid", "5 mmol", "product"), ("KOH", "15 mmol", "base")), "water"
    )
    assert [s.aqueous_to for s in plan.steps if s.action == "part"] == ["flask A"]
    assert [s.target_ph for s in plan.steps if s.action == "set ph"] == [2.0]
    for one in plan.crudes:
        assert all(mid > 0.98 for _, mid, _ in one.recovered.values()), one


def test_two_salts_in_the_water_of_the_reaction_are_brought_back_before_they_are_shared_out() -> None:
    """Acidified first, an acid and a phenol go each with its own base, as from any ether solution (Williamson; Vogel)."""
    acids = (("benzoic acid", "5 mmol", "product"), ("4-cresol", "5 mmol", "product"))
    plan = scheme("naphthalene", (*acids, ("NaOH", "20 mmol", "base")), "water")
    assert next(s.target_ph for s in plan.steps if s.action == "neutralise") < 4
    assert [s.solution for s in plan.steps if s.action == "take up"] == ["nahco3_sat", "naoh_1m"]
    for one in plan.crudes:
        assert all(mid > 0.95 for _, mid, _ in one.recovered.values()), one


def test_the_four_kinds_go_each_their_way() -> None:
    """Amine by acid, carboxylic acid by bicarbonate, phenol by hydroxide, hydrocarbon not at all (Williamson; Vogel)."""
    plan = scheme(*FOUR)
    drawn = [(s.solution, s.aqueous_to, s.for_components) for s in plan.steps if s.action == "take up"]
    assert [flask for _, flask, _ in drawn] == ["flask A", "flask B", "flask C"]
    assert drawn[0][0] == "hcl_1m" and drawn[1][0] == "nahco3_sat" and drawn[2][0].startswith("naoh")
    for name, flask in (("p-toluidine", "A"), ("benzoic acid", "B"), ("4-tert-butylphenol", "C")):
        found, component = crude(plan, name)
        assert found.label == f"flask {flask}"
        assert found.recovered[component][1] > 0.8
        assert found.purity[component][1] > 0.98
    assert crude(plan, "naphthalene")[0].label == "organic layer"


def test_each_flask_is_brought_back_past_the_pka() -> None:
    """Two units past the pKa on the neutral side sets 99 % free (Henderson-Hasselbalch)."""
    plan = scheme(*FOUR)
    targets = {s.stream: s.target_ph for s in plan.steps if s.action == "set ph"}
    assert targets["flask A"] >= 5.1 + 2 and targets["flask B"] <= 4.2 - 2 and targets["flask C"] <= 10.2 - 2


def test_an_amine_that_is_not_wanted_is_washed_out_of_the_one_that_is() -> None:
    plan = scheme(*FOUR)
    found, _ = crude(plan, "p-toluidine")
    amine = next(c.id for c in plan.mixture.components if c.name == "triethylamine")
    assert found.others[amine][1] <= 0.01


@pytest.mark.parametrize(
    ("product", "others", "extract"),
    [
        (*FOUR[:2], "diethyl ether"),
        ("Nc1ccc([N+](=O)[O-])cc1", (("p-toluidine", "5 mmol", "product"),), "choose"),
        ("Nc1ccc(C(=O)OCC)cc1", (("NC(Cc1ccccc1)C(=O)O", "5 mmol", "product"),), "choose"),
    ],
)
def test_steps_name_streams_that_exist(product: str, others: tuple, extract: str) -> None:
    """A step works on a stream that an earlier one made; numbers run on; every stream ends in one crude."""
    plan = scheme(product, others, extract=extract)
    assert [s.number for s in plan.steps] == list(range(1, len(plan.steps) + 1))
    made = {"reaction mixture", "organic layer"}
    for step in plan.steps:
        assert step.stream in made, step
        made |= {step.organic_to, step.aqueous_to} - {""}
    ends = [s.organic_to for s in plan.steps if s.action in ("concentrate", "crystallise")]
    assert len(ends) == len(plan.crudes)


def test_nothing_is_in_two_crudes_at_once() -> None:
    """The ledger follows every compound through each branch: shares over all crudes add up to no more than one."""
    plan = scheme(*FOUR)
    for component in plan.mixture.components:
        whole = sum((c.recovered | c.others)[component.id][1] for c in plan.crudes)
        assert whole <= 1.0 + 1e-6


def test_an_acid_layer_of_the_pot_does_not_pass_for_a_wash() -> None:
    """Lye in the flask: the acid goes with bicarbonate, not with an acidic salt that only dilutes the lye."""
    plan = scheme(
        "CCOC(=O)CCc1ccccc1",
        (("OC(=O)CCc1ccccc1", "3 mmol", "product"), ("NaOH", "5 mmol", None)),
        solvent="diethyl ether",
    )
    assert [s.solution for s in plan.steps if s.action == "take up"] == ["nahco3_sat"]
    assert next(s for s in plan.steps if s.action == "set ph").instruction.startswith("Acidify")


def test_a_zwitterion_stays_in_the_water_and_is_filtered_off() -> None:
    """An amino acid is charged at every pH; it is least soluble at its isoelectric pH, phenylalanine 5.5 (CRC Handbook)."""
    plan = scheme("Nc1ccc(C(=O)OCC)cc1", (("NC(Cc1ccccc1)C(=O)O", "5 mmol", "product"),))
    solid = next(s for s in plan.steps if s.action == "crystallise")
    assert solid.target_ph == pytest.approx(5.5, abs=0.6)
    found, component = crude(plan, "product 2")
    assert not found.computed and found.recovered[component][1] > 0.95


def test_an_aminophenol_comes_back_at_its_isoelectric_ph() -> None:
    plan = scheme("Nc1ccc(O)cc1CCCCCC", (("naphthalene", "5 mmol", "product"),))
    back = next(s for s in plan.steps if s.action == "set ph")
    assert 6 <= (back.target_ph or 0) <= 9


def test_two_amines_are_parted_by_a_buffer_between_them() -> None:
    """An alkylamine (10.7) and an aniline (5.1): mild acid takes the one and leaves the other."""
    plan = scheme("NCCCCCCCC", (("p-toluidine", "5 mmol", "product"),))
    amine, one = crude(plan, "product 1")
    aniline, two = crude(plan, "p-toluidine")
    assert amine.label == "flask A" and aniline.label == "organic layer"
    assert amine.recovered[one][1] > 0.9 and aniline.recovered[two][1] > 0.9


def test_two_near_amines_are_parted_at_a_held_ph_and_the_price_is_said() -> None:
    plan = scheme("Cc1ccc(N)cc1", (("Nc1ccc(Cl)cc1", "5 mmol", "product"),), extract="MTBE")
    held = next(s for s in plan.steps if s.action == "take up")
    assert held.target_ph is not None and 2 < held.target_ph < 4.5
    assert "pH meter" in held.instruction
    assert plan.not_removed and all("astray" in n.text for n in plan.not_removed)


@pytest.mark.parametrize(
    ("one", "two", "instead"),
    [
        ("naphthalene", "CCCCCCCCc1ccccc1", "chromatograph"),
        ("pyridine", "aniline", "distil"),
        ("O=Cc1ccc(C)cc1", "OCc1ccc(C)cc1", "bisulfite"),
    ],
)
def test_what_washing_cannot_part_is_said_with_the_next_best_thing(one: str, two: str, instead: str) -> None:
    plan = scheme(one, ((two, "5 mmol", "product"),), solvent="dichloromethane")
    assert len(plan.crudes) == 1 and len(plan.crudes[0].wanted) == 2
    assert any("cannot be parted by washing" in n.text and instead in n.instead for n in plan.not_removed)


def test_an_acid_sensitive_neighbour_is_not_washed_with_mineral_acid() -> None:
    plan = scheme(
        "CC1(C)OCC(COCc2ccccc2)O1", (("benzoic acid", "5 mmol", "product"), ("p-toluidine", "5 mmol", "product")), "THF"
    )
    used = {s.solution for s in plan.steps if s.solution and s.stream == "organic layer"}
    assert not used & {"hcl_1m", "hcl_10", "khso4_1m"}


def test_the_gas_of_an_acidified_bicarbonate_flask_is_warned_of() -> None:
    plan = scheme(*FOUR)
    step = next(s for s in plan.steps if s.action == "set ph" and s.stream == "flask B")
    assert any(c.subject == f"step {step.number}" and "carbon dioxide" in c.text for c in plan.cautions)


def test_why_answers_about_a_scheme() -> None:
    plan = scheme(*FOUR)
    said = why(plan, "benzoic acid")[0]
    assert "flask B" in said.verdict and said.reasons
    assert why(plan, "bicarbonate")[0].in_plan
    against = why(plan, "not 10 % citric acid")[0]
    assert not against.in_plan and "flask A" in against.verdict.lower().replace("for flask a", "flask A")
    assert why(plan, "1")[0].reasons


def test_the_role_product_in_a_file_marks_a_compound_as_wanted() -> None:
    mixture = mixture_from_table({"product": "naphthalene", "others": [{"name": "benzoic acid", "role": "product"}]})
    assert [c.name for c in mixture.wanted] == ["naphthalene", "benzoic acid"]
    assert mixture.title == "separation of naphthalene and benzoic acid"


def test_a_salt_cannot_be_a_product() -> None:
    with pytest.raises(MixtureError, match="organic part"):
        build("naphthalene", [("sodium chloride", "1 mmol", "product")])


def test_bands_hold_their_order() -> None:
    for crude_ in scheme(*FOUR).crudes:
        for low, mid, high in (*crude_.recovered.values(), *crude_.purity.values(), *crude_.others.values()):
            assert 0 <= low <= mid <= high <= 1 + 1e-9 and np.isfinite(high)


def test_what_comes_out_of_the_water_is_dried_before_it_is_stripped() -> None:
    plan = scheme(*FOUR)
    actions = [(step.stream, step.action) for step in plan.steps]
    for stream in {stream for stream, action in actions if action == "concentrate"}:
        own = [action for at, action in actions if at == stream]
        assert own[-3:] == ["dry", "filter off desiccant", "concentrate"], (stream, own)


def test_an_organic_layer_of_the_scheme_may_be_diluted() -> None:
    """A branch that begins with solvent works on its own stream, not on the reaction mixture that is no more."""
    others = [("CCCCN(CCCC)CCCC", "5 mmol", "base"), ("O=Cc1cccc(B(O)O)c1", "9.5 mmol", "product")]
    plan = make_plan(build("CCCCCCCC(=O)O", others, product_amount="9.5 mmol"), 4)
    assert len(plan.branches) == 2
    assert any(step.action == "dilute" and step.stream == "organic layer" for step in plan.steps)


def test_why_answers_about_what_is_not_in_a_scheme() -> None:
    plan = scheme(*FOUR)
    solvent = why(plan, "dichloromethane")[0]
    assert solvent.kind == "solvent" and not solvent.in_plan
    agent = why(plan, "calcium chloride")[0]
    assert agent.kind == "desiccant" and not agent.in_plan and "naphthalene" not in agent.verdict[:10]
    amine = why(plan, "triethylamine")[0]
    assert "in any crude" in amine.verdict and "Where it goes" in amine.verdict
