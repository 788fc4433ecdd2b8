"""Leftovers beside each other and beside the product: which is dealt with how, first, and in which solvent."""

from __future__ import annotations

import pytest
from test_own_plan import ESTER, judged, planned

from washlore.rules.plan import Plan

ETHER, DCM = (("diethyl_ether", 60.0),), (("dichloromethane", 40.0),)


def quenches(plan: Plan) -> list[str]:
    return [s.instruction for s in plan.steps if s.action == "quench"]


def washes(plan: Plan) -> list[str]:
    return [s.solution for s in plan.steps if s.action == "wash"]


def test_tartrate_takes_a_grignard_reagent_along_with_titanium() -> None:
    both = planned("OC1(CCCCC)CC1", ("ethylmagnesium bromide; 5 mmol", "titanium(IV) isopropoxide; 3 mmol"), ETHER)
    (only,) = quenches(both)
    assert "ethylmagnesium bromide" in only and "with saturated Rochelle salt" in only
    alone = planned("OC1(CCCCC)CC1", ("ethylmagnesium bromide; 5 mmol",), ETHER)
    assert "with saturated ammonium chloride" in quenches(alone)[0]


@pytest.mark.parametrize(
    ("metal", "first", "then"),
    [
        ("titanium(IV) isopropoxide; 3 mmol", "Add saturated Rochelle salt", "filtered off through Celite"),
        (
            "aluminium chloride; 4 mmol",
            "Pour the mixture slowly into stirred ice-cold saturated Rochelle salt",
            "clear",
        ),
    ],
)
def test_tartrate_holds_a_metal_before_the_lye_of_another_quench_comes(metal: str, first: str, then: str) -> None:
    said, lye = quenches(planned("CCCCc1ccccc1OC", (metal, "9-BBN; 5 mmol"), DCM))
    assert f": {first}" in said and f"{then}, before the base that comes for the rest would make a gel of it" in said
    assert "3 M NaOH" in lye and "acid" not in said


@pytest.mark.parametrize(("metal", "slime"), [("FeCl3", True), ("ZnCl2", True), ("MgBr2", False)])
def test_citrate_goes_with_the_bicarbonate_of_a_quench_beside_a_metal_that_base_brings_down(
    metal: str, slime: bool
) -> None:
    (said,) = quenches(planned(ESTER, ("acetyl chloride; 5 mmol", f"{metal}; 5 mmol")))
    assert "saturated sodium hydrogen carbonate" in said
    assert ("With it goes 6 mL of 1 M sodium citrate" in said) is slime
    (only,) = quenches(planned(ESTER, ("acetyl chloride; 5 mmol",)))
    assert "citrate" not in only


def test_two_that_one_agent_ends_ask_for_the_volume_of_both() -> None:
    toluene = (("toluene", 40.0),)
    (both,) = quenches(planned(ESTER, ("bromine; 10 mmol", "iodine; 5 mmol"), toluene))
    assert both.startswith("Quench bromine and iodine with 10 % thiosulfate, at least 50 mL: ")
    (one,) = quenches(planned(ESTER, ("bromine; 10 mmol",), toluene))
    assert ", at least 35 mL: " in one
    # of two poured in together the volume is not that of the second
    (peroxide,) = quenches(planned("CCCCc1ccccc1OC", ("9-BBN; 5 mmol",), toluene))
    assert "then 3 M NaOH and 30 % H2O2: " in peroxide


def test_a_metal_leaves_before_carbonate_comes() -> None:
    halide = "ClCc1ccc2OCOc2c1"  # stands no acid, so base goes before anything else
    plan = planned(halide, ("HCl; 30 mmol", "ZnCl2; 2 mmol"), DCM)
    assert washes(plan)[:2] == ["nh4cl_sat", "nahco3_sat"]
    assert washes(planned(halide, ("HCl; 30 mmol",), DCM))[0] == "nahco3_sat"


@pytest.mark.parametrize("aldehyde", ["formaldehyde; 5 mmol", "paraformaldehyde; 5 mmol"])
def test_formaldehyde_in_any_form_makes_the_bis_ether_with_hydrogen_chloride(aldehyde: str) -> None:
    def warned(acid: str) -> bool:
        plan = planned(ESTER, (aldehyde, acid), DCM)
        return any("bis(chloromethyl) ether" in c.text for c in plan.cautions)

    assert warned("HCl; 20 mmol")
    assert not warned("acetic acid; 20 mmol")


def test_zinc_cyanide_is_a_cyanide_before_it_is_a_zinc_salt() -> None:
    plan = planned(ESTER, ("Zn(CN)2; 2 mmol",), DCM)
    assert any("never acid nor ammonium chloride" in c.text for c in plan.cautions)
    assert washes(plan)[0] == "na2co3_10"
    assert washes(planned(ESTER, ("ZnCl2; 2 mmol",), DCM))[0] == "nh4cl_sat"


def test_a_metal_drawn_beside_its_ligands_is_no_powder() -> None:
    complex_ = "CC(=O)CC(C)=O.CC(=O)CC(C)=O.[Co]; 0.5 mmol"
    assert "edta_01m" in washes(planned(ESTER, (complex_,), DCM))
    powder = planned(ESTER, ("cobalt; 0.5 mmol",), DCM)
    assert any(s.action == "filter" for s in powder.steps) and "edta_01m" not in washes(powder)


def test_methyltitanocene_is_brought_down_with_pentane() -> None:
    plan = planned("C=C1CCC(c2ccccc2)CC1", ("Petasis reagent; 5 mmol",), (("toluene", 30.0),))
    step = plan.steps[0]
    assert step.action == "filter" and step.instruction.startswith("Pour into two volumes of pentane")
    assert judged(plan)[0] == "ok"


def test_an_ionic_liquid_keeps_to_its_greasy_anion() -> None:
    cation = "CCCCn1cc[n+](C)c1."
    kept = {}
    for name, anion in (
        ("bistriflimide", "O=S(=O)([N-]S(=O)(=O)C(F)(F)F)C(F)(F)F"),
        ("hexafluorophosphate", "F[P-](F)(F)(F)(F)F"),
    ):
        plan = planned(cation + anion, ("LiCl; 10 mmol",), (*DCM, ("water", 20.0)))
        kept[name] = plan.left["product"][1]
        assert plan.extraction == "dichloromethane"
    assert kept["bistriflimide"] > 0.95 and kept["hexafluorophosphate"] > 0.8


def test_the_salt_of_a_phosphazene_is_not_left_to_dichloromethane() -> None:
    plan = planned(ESTER, ("BTPP; 12 mmol",), DCM)
    assert plan.extraction != "dichloromethane" and "hcl_1m" in washes(plan) and plan.left["c1"][1] < 0.05
    # DBU, no greasier than its salt in water (near miss)
    assert planned(ESTER, ("DBU; 12 mmol",), DCM).extraction == "dichloromethane"


def test_an_enol_triflate_is_no_enol_ether() -> None:
    plan = planned("O=S(=O)(OC1=CCCCC1)C(F)(F)F", ("diisopropylamine; 10 mmol",), DCM)
    assert "hcl_1m" in washes(plan)
    assert "hcl_1m" not in washes(planned("COC1=CCCCC1", ("diisopropylamine; 10 mmol",), DCM))


def test_carbonyls_are_not_left_to_an_amine_oxide_s_name() -> None:
    plan = planned("O=C1C=C(c2ccccc2)C2CCCC12", ("dicobalt octacarbonyl; 1 mmol",), DCM)
    assert "iodine, air or an N-oxide" in quenches(plan)[0]


def test_a_solid_from_water_is_filtered_before_any_solvent() -> None:
    water = (("water", 60.0),)
    freed = planned("Cc1ccc(S(=O)(=O)NCCCC)cc1", ("NaOH; 30 mmol",), water)
    assert any("if the product is a solid, do this before any solvent" in s.reason for s in freed.steps)
    neutral = planned("Cc1ccc(S(=O)(=O)N2CCOCC2)cc1", ("NaOH; 30 mmol",), water)
    assert any("a solid that lies in the water is filtered off first" in s.reason for s in neutral.steps)
    # a light liquid, and a reaction with a layer of its own (near misses)
    for made in (planned("CC(=O)CC", (), water), planned(ESTER, ("NaOH; 3 mmol",), (*water, ("toluene", 30.0)))):
        assert not any("solid" in s.reason for s in made.steps if s.action in ("dilute", "neutralise"))


def test_what_is_stirred_with_fluoride_has_lost_its_tin() -> None:
    plan = planned("C=Cc1ccc(C(C)=O)cc1", ("tributyltin bromide; 10 mmol",), (("toluene", 40.0),))
    rest = ", filtered through Celite, washed with water and brine, dried over MgSO4, filtered, evaporated."
    assert judged(plan, "Stirred with 10 % KF (45 mL) for 1 h" + rest)[0] == "ok"
    # brine binds none of it (near miss)
    assert judged(plan, "Stirred with brine (45 mL) for 1 h" + rest)[0] == "flawed"


def instead(plan: Plan, component: str) -> str:
    return next(x.instead for x in plan.not_removed if x.component == component)


def test_what_evaporates_once_it_is_free_is_not_chromatographed() -> None:
    acid = planned("Nc1ccc(S(=O)(=O)Nc2nccs2)cc1", ("NaOH; 40 mmol", "sodium acetate; 10 mmol"), (("water", 40.0),))
    assert "as its acid it is stripped off under vacuum (118 C" in instead(acid, "c2")
    amide = "CC(C)N(C(C)C)P(OCCC#N)OCCc1ccccc1"  # stands no acid
    salt = planned(amide, ("DIPEA hydrochloride; 5 mmol", "DIPEA; 10 mmol"), DCM)
    assert "strip it off under vacuum (127 C" in instead(salt, "c1")
    # benzoic acid boils too high for that (near miss)
    benzoate = planned(
        "Nc1ccc(S(=O)(=O)Nc2nccs2)cc1", ("NaOH; 40 mmol", "sodium benzoate; 10 mmol"), (("water", 40.0),)
    )
    assert "chromatograph" in instead(benzoate, "c2")


def test_a_stubborn_solvent_is_washed_again_before_any_column() -> None:
    plan = planned("COc1ccc(N2CCCC2)nc1", ("pyrrolidine; 10 mmol",), (("nmp", 15.0),))
    assert any("5 % lithium chloride" in x.instead for x in plan.not_removed)
    # so is one that water takes in part; of one that stays in the organic layer water takes little (near miss)
    for solvent, helps in (("propylene_carbonate", True), ("benzyl_alcohol", False)):
        plan = planned("Cc1ccc(C(=O)OCCc2ccccc2)cc1", (), ((solvent, 15.0),))
        assert any("5 % lithium chloride" in x.instead for x in plan.not_removed) is helps, solvent


def test_citrate_goes_in_with_a_base_that_would_bring_iron_down() -> None:
    (both,) = quenches(planned(ESTER, ("acetyl chloride; 10 mmol", "FeBr3; 10 mmol"), DCM))
    assert "12 mL of 1 M sodium citrate" in both or "10 mL of 1 M sodium citrate" in both
    (alone,) = quenches(planned(ESTER, ("acetyl chloride; 10 mmol",), DCM))
    assert "citrate" not in alone
    (held,) = quenches(planned(ESTER, ("acetyl chloride; 10 mmol", "ytterbium triflate; 10 mmol"), DCM))
    assert "citrate" not in held


def test_citrate_goes_in_with_a_base_wash_that_a_poison_wants_first() -> None:
    def reason(*others: str) -> str:
        plan = planned("O=Cc1ccc(C)cc1", others, (("toluene", 40.0),))
        return next(s.reason for s in plan.steps if s.action == "wash")

    assert "With it goes 10 mL of 1 M sodium citrate: base alone would bring zinc iodide down" in reason(
        "sodium sulfide; 2 mmol", "zinc iodide; 8 mmol"
    )
    # zinc alone leaves before any base comes
    assert "citrate" not in reason("zinc iodide; 8 mmol", "benzoic acid; 2 mmol")
    assert "citrate" not in reason("sodium sulfide; 2 mmol")


def test_a_sulfite_that_water_has_taken_needs_no_wash_where_no_acid_follows() -> None:
    """Drops of the water that stay in the funnel hold no poison then; of a cyanide they do."""

    def washes(*others: str) -> list[str]:
        plan = planned("Cc1ccc(S(=O)(=O)NCCCC)cc1", others, (("toluene", 40.0),))
        return [s.solution for s in plan.steps if s.action == "wash"]

    quenched = "manganese(II) acetate; 0.2 mmol", "sodium dithionite; 2 mmol", "sodium chlorite; 8 mmol"
    assert washes(*quenched) == ["brine"]
    assert washes(*quenched, "N,N-diethylaniline; 5 mmol") == ["nahco3_sat", "hcl_1m", "brine"]
    assert washes(quenched[0], "sodium cyanide; 2 mmol", quenched[2]) == ["water", "brine"]
