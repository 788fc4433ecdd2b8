"""What a plan says of itself: what is fragile, the pH between two of a kind, the funnel, the layers, the cosolvent."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from washlore.cli.render.plan import plan_text
from washlore.cli.render.record import plan_record
from washlore.knowledge import log_k, sites
from washlore.knowledge.rows import Solution, Solvent, table
from washlore.rules import facts as f
from washlore.rules.contact import equilibrate
from washlore.rules.fragility import Fragile, crossings, straddles
from washlore.rules.ledger import band, run_ledger
from washlore.rules.mixture import build, read_other
from washlore.rules.phase import Phase
from washlore.rules.plan import Plan, make_plan
from washlore.rules.species import log_k_numbers, sheet
from washlore.rules.steps import FULLEST, FUNNELS_ML, funnel_for
from washlore.rules.trial import TRIED_SHARE
from washlore.rules.window import PRICE, _best, held_shares, nearest_solution, ph_scale, pick, same_kind, window

ESTER = "CCOC(=O)/C=C/c1ccccc1"
HEXYLAMINE = "CCCCCCN"


@cache
def planned(
    product: str, *others: str, solvent: str = "dichloromethane", extract: str = "choose", amount: str = "10 mmol"
):
    return make_plan(_mixture(product, *others, solvent=solvent, extract=extract, amount=amount))


def _mixture(product: str, *others: str, solvent: str, extract: str = "choose", amount: str = "10 mmol"):
    return build(
        product, [read_other(o) for o in others], product_amount=amount, solvents=[(solvent, 40.0)], extract=extract
    )


NITROPHENOL = ("phenol", "4-nitrophenol", "benzoic acid")


# What is fragile ---------------------------------------------------------------------------------------------------


def test_a_band_straddles_when_its_ends_disagree() -> None:
    assert straddles((0.001, 0.008, 0.05), 0.01) and straddles((0.001, 0.02, 0.05), 0.01)
    assert straddles((0.001, 0.01, 0.05), 0.01)
    assert not straddles((0.001, 0.002, 0.01), 0.01)
    assert not straddles((0.011, 0.02, 0.05), 0.01)


def test_crossings_of_a_line_in_log_odds() -> None:
    sigmas = np.linspace(-3, 3, 41)
    for at in (-2.2, 0.0, 1.31):
        odds = 0.01 / 0.99 * np.exp(2.0 * (sigmas - at))
        (found,) = crossings(odds / (1 + odds), sigmas, 0.01)
        assert found == (pytest.approx(at, abs=1e-9), False)
    assert crossings(np.full(41, 0.5), sigmas, 0.01) == []


@pytest.mark.parametrize(
    ("args", "solvent"),
    [
        (NITROPHENOL, "ethyl acetate"),
        (("aniline", "hexylamine"), "diethyl ether"),
        (("quinoline", "N-benzylmethylamine"), "dichloromethane"),
        ((ESTER, "O=c1cc[nH]cc1"), "dichloromethane"),
        (("OCCCCO", "benzoic acid"), "THF"),
    ],
)
def test_the_threshold_is_where_the_ledger_turns_over(args: tuple[str, ...], solvent: str) -> None:
    """Found anew by halving, one draw at a time, with nothing but that number changed."""
    plan = planned(*args, solvent=solvent)
    for item in plan.fragile:
        if item.threshold is None:
            continue
        target = 0.9 if item.component == "product" else plan.mixture.target
        assert _left(plan, item, item.threshold) == pytest.approx(target, rel=0.02)
        # The conclusion of the plan holds on the side that is named, and not on the other.
        taken = plan.left[item.component][1] <= target
        step = 0.05 * item.sigma if item.holds == "above" else -0.05 * item.sigma
        assert (_left(plan, item, item.threshold + step) <= target) == taken
        assert (_left(plan, item, item.threshold - step) <= target) != taken


def _left(plan: Plan, item: Fragile, value: float) -> float:
    """Return what the plan leaves of a component when the number that it hangs on has a value."""
    one = sheet(plan.mixture, 1)
    rows = [i for i, s in enumerate(one.species) if s.component == item.component]
    key = table(Solvent)[plan.extraction].log_k_key
    if item.number.startswith("pKa"):
        (place,) = (i for i, row in enumerate(one.site_of) if row in rows and one.pka[i, 0] == item.estimate)
        pka = one.pka.copy()
        pka[place] = value
        changed = replace(one, pka=pka)
    else:
        (row,) = rows
        neutral, sigma, pair, pair_sigma = log_k_numbers(one.species[row], ((key, 1.0),))
        name = "pair_normal" if "ion pair" in item.number else "normal"
        assert item.estimate == (pair if "ion pair" in item.number else neutral)
        normal = getattr(one, name).copy()
        normal[row] = (value - item.estimate) / (pair_sigma if "ion pair" in item.number else sigma)
        changed = replace(one, **{name: normal})
    return float(run_ledger(plan.mixture, plan.ledger.steps, numbers=changed).left(item.component)[0])


def test_the_number_named_is_the_nearest_to_turn_over() -> None:
    """For benzoic acid the pKa lies far from the wash and the log K is known to 0.2: it hangs on the log K."""
    (found,) = planned(*NITROPHENOL, solvent="ethyl acetate").fragile
    assert found.component == "c2" and found.number.startswith("log K of benzoic acid")
    assert found.estimate == pytest.approx(log_k("OC(=O)c1ccccc1", "ethyl_acetate").value)
    assert found.holds == "below" and found.threshold is not None and found.threshold > found.estimate
    assert "no more than 1 % of benzoic acid is left" in found.text


def test_what_is_fragile_is_a_caution_with_its_chain() -> None:
    plan = planned(*NITROPHENOL, solvent="ethyl acetate")
    (caution,) = (c for c in plan.cautions if c.id == "fragile")
    assert caution.subject == "c2"
    links = plan.because([caution.fact_id])
    assert links[0].rule == "hangs-on-a-number"
    assert any("pKa" in link.text for link in links)


@pytest.mark.parametrize(
    ("args", "solvent"),
    [
        ((ESTER, "benzoic acid"), "dichloromethane"),
        ((ESTER, "acetophenone"), "dichloromethane"),
        ((ESTER, "pyridine"), "toluene"),
    ],
)
def test_firm_plans_are_not_called_fragile(args: tuple[str, ...], solvent: str) -> None:
    assert planned(*args, solvent=solvent).fragile == ()


def test_fragile_exactly_where_a_band_straddles() -> None:
    for args, solvent in (
        (NITROPHENOL, "ethyl acetate"),
        (("aniline", "hexylamine"), "diethyl ether"),
        (("OCCCCO", "benzoic acid"), "THF"),
        (("CCCCNC(=O)c1ccccc1", "triethylamine"), "DMF"),
    ):
        plan = planned(*args, solvent=solvent)
        wanted = [
            c.id
            for c in plan.mixture.components
            if straddles(plan.left[c.id], 0.9 if c.id == "product" else plan.mixture.target)
        ]
        assert [item.component for item in plan.fragile] == wanted


# The pH between two of a kind --------------------------------------------------------------------------------------


def test_two_of_a_kind() -> None:
    assert same_kind(["acid"], ["weak acid"]) and same_kind(["base"], ["weak base"])
    assert not same_kind(["acid"], ["base"]) and not same_kind(["neutral"], ["neutral"])
    assert not same_kind(["amphoteric", "acid"], ["acid"])


def test_between_an_acid_of_4_and_a_phenol_of_10() -> None:
    mixture = _mixture("phenol", "benzoic acid; 5 mmol", solvent="diethyl ether")
    found = window(mixture, "c1", table(Solvent)["diethyl_ether"])
    assert found is not None and [held.n for held in found.contacts] == [1, 3]
    for held in found.contacts:
        assert 6.5 < held.ph < 9.8
        assert held.left < 0.01 and held.product_lost < PRICE
    assert found.contacts[1].ph < found.contacts[0].ph, "more contacts do with less base"
    assert table(Solution)[found.solution].acts_as == "buffer"
    assert abs(table(Solution)[found.solution].ph - found.contacts[1].ph) < 1


def test_between_two_amines_about_seven() -> None:
    """p-Toluidine, 5.1, and hexylamine, 10.6: between them water at about pH 7 holds the one as its ion."""
    assert sites("Cc1ccc(N)cc1")[0].pka == pytest.approx(5.1, abs=0.2)
    assert sites(HEXYLAMINE)[0].pka == pytest.approx(10.6, abs=0.2)
    found = window(_mixture("Cc1ccc(N)cc1", HEXYLAMINE, solvent="ethyl acetate"), "c1", table(Solvent)["ethyl_acetate"])
    assert found is not None
    assert found.contacts[1].ph == pytest.approx(7.0, abs=0.6)
    assert found.solution == "phosphate_ph7"


def test_a_window_by_hand() -> None:
    """One contact at pH 7 leaves D V / (1 + D V) of an acid, with D = K / (1 + 10**(pH - pKa))."""
    mixture = _mixture("phenol", "benzoic acid; 1 mmol", solvent="diethyl ether")
    left = held_shares(mixture, table(Solvent)["diethyl_ether"])["c1"][0][ph_scale() == 7.0]
    whole, pka = log_k("OC(=O)c1ccccc1", "diethyl_ether").value, sites("OC(=O)c1ccccc1")[0].pka
    ratio = 10**whole / (1 + 10 ** (7.0 - pka)) * 40 / 15
    assert left == pytest.approx(ratio / (1 + ratio), rel=0.1)


def test_where_the_target_is_out_of_reach_nothing_leaves_less() -> None:
    mixture = _mixture("phenol", "4-nitrophenol", solvent="ethyl acetate")
    kept = held_shares(mixture, table(Solvent)["ethyl_acetate"])
    found = pick(mixture, "c1", kept)
    assert found is not None
    for held in found.contacts:
        left, lost = kept["c1"][held.n - 1], 1 - kept["product"][held.n - 1]
        assert held.left > mixture.target
        assert held.left <= 1.02 * left[lost <= PRICE].min()
        assert held.product_lost <= PRICE


def test_a_held_ph_may_differ_from_draw_to_draw() -> None:
    """An array of pH gives what one pH after the other gives."""
    mixture = _mixture("phenol", "benzoic acid; 1 mmol", solvent="diethyl ether")
    kept = held_shares(mixture, table(Solvent)["diethyl_ether"])
    for ph in (3.0, 7.0, 11.5):
        at = kept["c1"][0][np.flatnonzero(ph == ph_scale())[0]]
        one = sheet(mixture, 1)
        organic = Phase(
            one.mmol[:, None].copy(),
            40.0,
            (("diethyl_ether", 1.0),),
            mass_g=40.0 * table(Solvent)["diethyl_ether"].density_g_ml,
        )
        aqueous = Phase(np.zeros_like(organic.mmol), 40.0 * TRIED_SHARE, mass_g=40.0 * TRIED_SHARE)
        contact = equilibrate(one, organic, aqueous, held_ph=ph)
        assert contact.ph[0] == ph
        assert organic.mmol[1, 0] / one.mmol[1] == pytest.approx(float(at), rel=1e-6)


def test_the_product_bounds_the_ph() -> None:
    mixture = _mixture("phenol", "benzoic acid; 1 mmol", solvent="diethyl ether")
    found = window(mixture, "c1", table(Solvent)["diethyl_ether"], ph_range=(3.0, 6.0))
    assert found is not None and all(3.0 <= held.ph <= 6.0 for held in found.contacts)


def test_the_bottle_of_a_window_is_a_buffer_an_acid_a_base_or_water() -> None:
    found = {ph: nearest_solution(ph) for ph in (0.0, 1.0, 2.5, 4.2, 5.0, 6.1, 7.0, 8.1, 9.3, 10.2, 11.6, 12.9, 14.0)}
    assert all(row.general and row.acts_as in ("acid", "base", "neutral", "buffer") for row in found.values())
    assert [found[ph].acts_as for ph in (0.0, 7.0, 14.0)] == ["acid", "buffer", "base"]
    assert nearest_solution(12.0, [table(Solution)["brine"], table(Solution)["hcl_1m"]]).id == "hcl_1m"


def test_no_window_where_water_alone_costs_too_much() -> None:
    assert window(_mixture("OCCO", "acetic acid", solvent="toluene"), "c1", table(Solvent)["toluene"]) is None


def test_buffers_go_first() -> None:
    assert nearest_solution(7.1).id == "phosphate_ph7"
    assert table(Solution)[nearest_solution(8.2).id].acts_as == "buffer"
    assert nearest_solution(13.8).acts_as == "base" and nearest_solution(0.1).acts_as == "acid"


def test_windows_are_for_pairs_of_a_kind_only() -> None:
    plan = planned(ESTER, "benzoic acid", "pyridine", solvent="dichloromethane")
    assert plan.windows == () and not plan.facts_of(f.Window)
    plan = planned(*NITROPHENOL, solvent="ethyl acetate")
    assert [item.component for item in plan.windows] == ["c1", "c2"]


def test_a_window_is_suggested_where_the_plan_leaves_the_impurity() -> None:
    plan = planned(*NITROPHENOL, solvent="ethyl acetate")
    suggested = [fact["component"] for _, fact in plan.facts_of(f.Suggests)]
    assert suggested == ["c1"], "4-nitrophenol stays, benzoic acid goes"
    (known_id,) = (i for i, _ in plan.facts_of(f.Suggests))
    assert "pH 10" in plan.known[known_id].reasons[0].text
    assert {"hold-the-ph"} <= {link.rule for link in plan.because([known_id])}


# Funnel and layers -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("volume_ml", "size"),
    [(1, 30), (22.5, 30), (22.6, 60), (45, 60), (90, 125), (94, 250), (187, 250), (1500, 2000), (1501, None)],
)
def test_a_funnel_is_three_quarters_full_at_most(volume_ml: float, size: int | None) -> None:
    assert funnel_for(volume_ml) == size


def test_every_step_with_layers_has_its_funnel() -> None:
    plan = planned(ESTER, "benzoic acid", "pyridine", solvent="dichloromethane")
    for step in plan.steps:
        contacts = [c for c in plan.ledger.contacts if c.step == step.number]
        assert bool(contacts) == (step.funnel_ml is not None)
        if contacts:
            whole = max(c.organic_ml + c.aqueous_ml for c in contacts)
            assert whole <= FULLEST * step.funnel_ml
            smaller = [size for size in FUNNELS_ML if size < step.funnel_ml]
            assert not smaller or whole > FULLEST * smaller[-1]
    # 40 mL of organic layer and a third of it as wash: 55 mL, in 125 mL.
    assert {step.funnel_ml for step in plan.steps if step.action == "wash"} == {125}


def test_five_litres_are_the_most() -> None:
    plan = planned(ESTER, "benzoic acid", amount="2 mol")
    assert all(step.funnel_ml is None for step in plan.steps if step.action == "wash")
    (caution,) = (c for c in plan.cautions if c.id == "funnel")
    assert "parts" in caution.text


def test_which_layer_is_on_top_is_sure_only_where_densities_differ() -> None:
    plan = planned(ESTER, "benzoic acid", extract="chlorobenzene")
    for step in plan.steps:
        if step.layer_kept:
            first = next(c for c in plan.ledger.contacts if c.step == step.number)
            apart = abs(first.organic_density - first.aqueous_density)
            assert step.layer_sure == (apart >= 0.05)
            assert ("probably" in step.instruction) == (not step.layer_sure)
        else:
            assert step.layer_sure is None


def test_chlorobenzene_sinks_in_bicarbonate_and_floats_on_brine() -> None:
    plan = planned(ESTER, "benzoic acid", extract="chlorobenzene")
    layers = {step.solution: step.layer_kept for step in plan.steps if step.action == "wash"}
    assert layers == {"nahco3_sat": "bottom", "brine": "top"}
    (caution,) = (c for c in plan.cautions if c.id == "layers change places")
    assert "bottom one in step 3" in caution.text and "top one in step 4" in caution.text


@pytest.mark.parametrize("solvent", ["dichloromethane", "diethyl ether", "ethyl acetate", "toluene"])
def test_usual_solvents_stay_where_they_are(solvent: str) -> None:
    plan = planned(ESTER, "benzoic acid", extract=solvent)
    assert not any(c.id == "layers change places" for c in plan.cautions)
    assert len({step.layer_kept for step in plan.steps if step.action == "wash"}) == 1


# Cosolvent ---------------------------------------------------------------------------------------------------------


def test_ten_millilitres_of_dmf_in_fifteen_of_water() -> None:
    """10 mL in 15 to 20 mL of water are 33 to 40 % by volume."""
    plan = planned(ESTER, "DMF; 10 mL", solvent="toluene", extract="toluene")
    facts = [fact for _, fact in plan.facts_of(f.Cosolvent)]
    assert facts and 0.3 < facts[0]["share"] < 0.41
    (caution,) = (c for c in plan.cautions if c.id == "cosolvent")
    assert "keep that layer" in caution.text


def test_dmf_carries_an_amide_into_the_water() -> None:
    plan = planned("CCCCNC(=O)c1ccccc1", "triethylamine", solvent="DMF")
    facts = [fact for _, fact in plan.facts_of(f.Cosolvent)]
    assert facts[0]["product"] > 0.01
    assert any("extract it again" in c.text for c in plan.cautions if c.id == "cosolvent")


def test_a_trace_of_a_miscible_solvent_is_not_worth_words() -> None:
    plan = planned(ESTER, "DMF; 1 mmol")
    assert not plan.facts_of(f.Cosolvent)


def test_bands_of_a_plan_are_those_of_its_ledger() -> None:
    plan = planned(*NITROPHENOL, solvent="ethyl acetate")
    assert plan.left["c1"] == band(plan.ledger.left("c1"))


# What is shown ------------------------------------------------------------------------------------------------------


def test_the_text_says_each_thing_once() -> None:
    plan = planned(*NITROPHENOL, solvent="ethyl acetate")
    text = " ".join(plan_text(plan_record(plan), 100).split())
    assert text.count("125 mL separating funnel") == 1
    assert text.count("Fragile: that no more than 1 % of benzoic acid is left holds if the log K") == 1
    assert len(re.findall(r"would leave [23]\.\d % of it and cost 4\.\d % of phenol", text)) == 1
    assert "no pH tells" not in text


def test_the_record_holds_windows_and_what_is_fragile() -> None:
    record = plan_record(planned(*NITROPHENOL, solvent="ethyl acetate"))
    (found,) = record["fragile"]
    assert found["component"] == "benzoic acid" and found["because"][0]["rule"] == "hangs-on-a-number"
    assert found["threshold"] == pytest.approx(2.0, abs=0.1) and found["sigma"] > 0
    assert [(w["component"], w["suggested"]) for w in record["windows"]] == [
        ("4-nitrophenol", True),
        ("benzoic acid", False),
    ]
    assert [c["n"] for c in record["windows"][0]["contacts"]] == [1, 3]
    assert all(
        (s["funnel_ml"] is None) == (s["layer_sure"] is None) == (s["layer_kept"] is None) for s in record["steps"]
    )


def test_the_scale_of_ph_is_in_whole_tenths() -> None:
    assert ph_scale()[3] == 0.3 and ph_scale()[-1] == 14.0 and len(ph_scale()) == 141


def test_the_middle_of_the_longest_stretch_that_meets_the_target() -> None:
    left = np.array([0.5, 0.01, 0.01, 0.5, 0.01, 0.005, 0.01, 0.01, 0.3])
    lost, all_of_it = np.linspace(0.0, 0.08, 9), np.ones(9, dtype=bool)
    assert _best(left, lost, all_of_it, 0.01) == 5  # of 4 to 7
    assert _best(left[:4], lost[:4], all_of_it[:4], 0.01) == 1
    assert _best(left, lost, np.arange(9) < 4, 0.01) == 1
    assert _best(left, lost, np.arange(9) > 6, 0.01) == 7
    # out of reach: of what leaves about the least, what costs the least
    assert _best(left, lost, all_of_it, 0.001) == 5
    assert _best(np.array([0.102, 0.1, 0.101]), np.array([0.02, 0.03, 0.01]), np.ones(3, dtype=bool), 0.01) == 2
    assert _best(np.array([0.1021, 0.1]), np.array([0.0, 0.03]), np.ones(2, dtype=bool), 0.01) == 1
    assert _best(left, lost, np.zeros(9, dtype=bool), 0.01) is None


def test_a_window_out_of_shares_held() -> None:
    mixture = _mixture("Cc1ccc(N)cc1", HEXYLAMINE, solvent="ethyl acetate")
    flat = np.ones((3, ph_scale().size))
    falls = np.where(ph_scale() < 6.05, 0.001, 0.4)
    costs = np.where(ph_scale() < 3.95, 0.9, 0.96)
    kept = {"product": np.array([costs, costs, costs]), "c1": np.array([flat[0], falls, falls])}
    found = pick(mixture, "c1", kept)
    assert found is not None and [(h.n, h.ph, h.left) for h in found.contacts] == [(1, 4.0, 1.0), (3, 5.0, 0.001)]
    assert [h.product_lost for h in found.contacts] == pytest.approx([0.04, 0.04])
    assert pick(mixture, "c9", kept) is None and pick(mixture, "c1", kept, price=0.03) is None
    assert [h.ph for h in pick(mixture, "c1", kept, price=0.1).contacts] == [4.0, 3.0]
    narrow = pick(mixture, "c1", kept, (4.5, 5.0))
    assert [h.ph for h in narrow.contacts][1] == 4.7
    text = found.text("hexylamine", "toluidine")
    assert text == (
        "one contact with water held at pH 4.0 leaves over 99.9 % of hexylamine and costs 4.0 % of toluidine; 3 contacts with "
        "water held at pH 5.0 leave 0.10 % of hexylamine and cost 4.0 % of toluidine; the nearest solution is 0.5 M sodium "
        "citrate, pH 5"
    )
    hopeless = pick(mixture, "c1", {**kept, "c1": flat * 0.9})
    assert hopeless.text("hexylamine", "toluidine").startswith(
        "no pH tells hexylamine from toluidine: at the best, one contact"
    )
