"""Which remedy a reactive leftover gets beside this product and that neighbour, what waits for it, and what is said of both."""

from __future__ import annotations

from typing import Any

import pytest
from test_rule_limits import C1, bottle, cautions, given, ionises, is_a, left_over, medium, takes, thinks

from washlore.knowledge.rows import Residue, Solution, table
from washlore.rules import facts as f
from washlore.rules.engine import Fact
from washlore.rules.families import choice, quench, removal
from washlore.rules.judge import Considered, judge
from washlore.rules.judging.cases import shorthand
from washlore.rules.mixture import build


def has(group: str, c: str = "product") -> Fact:
    return f.Contains(component=c, group=group)


def stands(side: str, ph: float, group: str = "ketal") -> Fact:
    return f.Stands(side=side, ph=ph, group=group)


def remedy(residue: str, *facts: Fact) -> tuple[str, str, str]:
    """Return the solution, the agent and the words for a leftover."""
    made, row = thinks("part", *facts), table(Residue)[residue]
    return quench.remedy_solution(made, row), quench.quench_agent(made, row), quench.remedy_words(made, row)


def test_what_the_row_says_where_nothing_speaks_against_it() -> None:
    for residue in ("bromine", "aluminium_chloride", "mcpba", "grignard", "edc", "boc_anhydride"):
        row = table(Residue)[residue]
        assert remedy(residue) == (row.solution, row.quench_with, row.how)


def test_the_other_way_where_the_product_minds_the_first() -> None:
    row = table(Residue)["mcpba"]
    assert remedy("mcpba", has("aldehyde")) == (row.instead, row.instead_with, row.instead_how)
    assert remedy("mcpba", has("aldehyde", "c1"))[0] == row.solution
    acid = table(Residue)["aluminium_chloride"]
    # Its 1 M acid of pH 0.1 is too much for what stands pH 0.5 and above, not for what stands pH 0.3
    assert remedy("aluminium_chloride", stands("low", 0.5)) == (acid.instead, acid.instead_with, acid.instead_how)
    assert remedy("aluminium_chloride", stands("low", 0.3))[0] == acid.solution
    assert remedy("aluminium_chloride", stands("low", 0.3), stands("low", 4.0))[0] == acid.instead
    borane = table(Residue)["nine_bbn"]
    assert remedy("nine_bbn", stands("high", 13.4))[2] == borane.instead_how
    assert remedy("nine_bbn", stands("high", 13.5))[2] == borane.how


def test_a_quench_without_a_solution_counts_as_plain_water() -> None:
    row = next(r for r in table(Residue).values() if not r.solution)
    assert quench.too_acidic(thinks("part", stands("low", 7.4)), row)
    assert not quench.too_acidic(thinks("part", stands("low", 7.2)), row)


def test_bicarbonate_where_a_quench_is_too_acidic_and_has_no_other_way() -> None:
    row = table(Residue)["grignard"]
    assert table(Solution)[row.solution].ph < 6 and not row.instead_how
    solution, agent, words = remedy("grignard", stands("low", 7.0))
    assert (solution, words) == ("nahco3_sat", quench.GENTLE_WORDS) and agent == table(Solution)["nahco3_sat"].name
    # A hydride that wants an alcohol first gets it all the same.
    solution, agent, words = remedy("sodium_hydride", stands("low", 7.0))
    assert solution == "nahco3_sat" and agent.startswith("isopropanol, then saturated sodium hydrogen carbonate")
    assert words == quench.ALCOHOL_WORDS + quench.GENTLE_WORDS
    assert remedy("sodium_hydride")[2] == table(Residue)["sodium_hydride"].how


def test_a_quench_beside_a_poison_is_kept_basic() -> None:
    cyanide = left_over("cyanide", "wash")
    azide = left_over("azide_ion", "wash")
    solution, _, words = remedy("grignard", cyanide)
    # hydrogen cyanide comes below pH 10.5, hydrazoic acid below 7
    assert solution == "na2co3_10" and "stays above pH 10.5, or a poison gas comes from pyridine" in words
    solution, agent, words = remedy("grignard", azide)
    assert solution == "nahco3_sat" and "above pH 7" in words and agent == table(Solution)["nahco3_sat"].name
    # what is destroyed in acid goes out as it is, and so it does where the product stands none
    solution, agent, words = remedy("nitrite", cyanide)
    assert (
        solution == "na2co3_10" and agent == table(Solution)["na2co3_10"].name and "stir with 10 % sodium carb" in words
    )
    assert words.startswith("No acid here") and words.endswith("above pH 10.5, or a poison gas comes from pyridine.")
    assert remedy("nitrite", azide)[0] == remedy("nitrite", stands("low", 4.0))[0] == "nahco3_sat"
    assert remedy("nitrite") == ("", "urea or sulfamic acid", table(Residue)["nitrite"].how)
    # no acetic acid comes near cyanide: diazomethane is blown out
    for residue in ("carbodiimide", "diazomethane"):
        assert remedy(residue, cyanide)[2] == table(Residue)[residue].instead_how
        assert remedy(residue)[2] == table(Residue)[residue].how
    assert remedy("bromine", cyanide)[0] == "na2so3_10" and remedy("bromine", azide)[0] == "na2s2o3_10"
    assert remedy("boron_trifluoride", azide)[0] == table(Residue)["boron_trifluoride"].solution
    assert quench.poisoned_by(thinks("part", azide), table(Residue)["azide_ion"]) == ()
    assert quench.poisoned_by(thinks("part", azide), table(Residue)["edc"]) == ()
    assert quench.poisoned_by(thinks("part", azide), table(Residue)["grignard"]) == ("c1",)


def test_an_amine_that_the_product_would_take_up_is_not_used() -> None:
    minds = f.SpoiltBy(tag="amine", group="acid_chloride")
    assert remedy("acid_chloride", minds)[0] == table(Residue)["acid_chloride"].solution
    for residue in ("isothiocyanate", "carbamoyl_chloride"):
        assert remedy(residue, minds) == ("nahco3_sat", table(Solution)["nahco3_sat"].name, quench.PLAIN_WORDS)
        assert remedy(residue, f.SpoiltBy(tag="ammonia", group="x"))[0] == "nahco3_sat"
        assert remedy(residue, f.SpoiltBy(tag="water", group="x"))[1] == table(Residue)[residue].quench_with
    phosgene = table(Residue)["phosgene"]
    assert remedy("phosgene", minds, has("nhs_ester"))[2] == phosgene.instead_how
    assert remedy("ketene", minds)[1] == table(Residue)["ketene"].quench_with


def test_an_acid_chloride_is_poured_along_with_its_lewis_acid() -> None:
    lewis = left_over("aluminium_chloride", "quench", "Lewis acid", c="c1")
    row = table(Residue)["aluminium_chloride"]
    assert remedy("acid_chloride", lewis) == ("hcl_1m", row.quench_with, row.how)
    assert remedy("acid_chloride", lewis, has("ketal"))[0] == table(Residue)["acid_chloride"].solution
    assert (
        remedy("acid_chloride", left_over("boron_trifluoride", "quench", "Lewis acid"))[0]
        == table(Residue)["acid_chloride"].solution
    )
    assert remedy("bromine", lewis)[0] == "na2so3_10"  # beside the acid of the ice
    assert quench.poured_in(thinks("part"), table(Residue)["thionyl_chloride"]) == "nahco3_sat"
    assert quench.poured_in(thinks("part"), table(Residue)["nitric_acid"]) == "water"  # ice, and base as a wash
    assert quench.poured_in(thinks("part"), table(Residue)["bromine"]) == "na2s2o3_10"


@pytest.mark.parametrize(
    ("residue", "wet"),
    [
        ("bromine", True),
        ("lithium_aluminium_hydride", False),  # its salts are filtered off dry
        ("chromium_vi", True),
        ("ketene", False),
        ("boronate_hydride", False),
        ("trialkylborane", True),
        ("nitrite", True),  # urea or sulfamic acid, which need water
        ("lead_tetraacetate", True),
        ("boc_anhydride", False),
        ("phosphorus_oxychloride", True),
    ],
)
def test_a_quench_that_brings_water(residue: str, wet: bool) -> None:
    assert quench.quench_brings_water(thinks("part"), table(Residue)[residue]) is wet


# ---- what waits for its own wash


def waits(solution: str, *facts: Fact) -> bool:
    return removal._waits_for_its_own(thinks("part", *facts), "c1", solution)


def test_a_leftover_with_a_wash_of_its_own_waits_for_it() -> None:
    copper = left_over("copper", "wash", "metal salt", "nh4cl_nh3")
    assert waits("water", copper) and waits("hcl_1m", copper) and not waits("nh4cl_nh3", copper)
    assert waits("water", copper, f.Harms(solution="nh4cl_nh3", how="reacts"))
    iron = left_over("iron_salt", "wash", "metal salt", "hcl_1m")
    # Only in acid does iron stay in the water; above pH 6.5 its hydroxide falls.
    assert waits("water", iron) and waits("nahco3_sat", iron) and not waits("khso4_1m", iron)
    assert not waits("water", iron, f.Harms(solution="hcl_1m", how="destroys"))
    hobt = left_over("hobt", "wash", "by-product", "nahco3_sat")
    assert (
        waits("water", hobt)
        and not waits("naoh_1m", hobt)
        and not waits("water", hobt, f.Harms(solution="nahco3_sat", how="x"))
    )
    edu = left_over("edu", "wash", "by-product", "hcl_01m")
    assert not waits("water", edu) and not waits("water")


def test_a_poison_waits_for_base_that_holds_it() -> None:
    azide = left_over("azide_ion", "wash"), f.FirstOut(component="c1", gas="hydrogen azide")
    assert waits("hcl_1m", *azide) and not waits("nahco3_sat", *azide) and not waits("water", *azide)
    assert waits("water", *azide, bottle("na2co3_10"))
    assert not waits("water", *azide, bottle("na2co3_10"), f.Harms(solution="na2co3_10", how="destroys"))
    cyanide = left_over("cyanide", "wash"), f.FirstOut(component="c1", gas="hydrogen cyanide")
    assert waits("nahco3_sat", *cyanide) and not waits("na2co3_10", *cyanide)

    def held(*facts: Fact, solution: str = "na2co3_10") -> bool:
        made = thinks("remove", C1, *cyanide, bottle(solution, general=True), *facts)
        return made.first(f.Takes, solution=solution, component="c1", contacts=2, left=0.0, sure=True) is not None

    assert held() and not held(solution="nahco3_sat") and not held(f.Harms(solution="na2co3_10", how="destroys"))


def test_a_reagent_takes_its_leftover() -> None:
    def taken(residue: str, *facts: Fact) -> set[tuple[str, int]]:
        row = table(Residue)[residue]
        made = thinks("remove", C1, left_over(residue, "wash", row.kind, row.solution), *facts)
        return {(fact["solution"], fact["contacts"]) for _, fact in made.facts_of(f.Takes, component="c1")}

    assert taken("tempo") == {("ascorbate_10", 1)}
    assert taken("copper") == {("nh4cl_nh3", 1)} or taken("copper") == {("nh4cl_nh3", 2)}
    assert taken("hobt") == set()  # bicarbonate takes it as an acid, by its numbers
    harmed = f.Harms(solution="nh4cl_nh3", how="reacts")
    assert taken("copper", harmed) == set()
    assert taken("nickel", f.Harms(solution="edta_01m", how="reacts"), bottle("ammonia_10")) == {("ammonia_10", 2)}
    ammine = thinks(
        "remove", C1, left_over("nickel", "wash"), f.Harms(solution="edta_01m", how="x"), bottle("ammonia_10")
    )
    assert ammine.first(f.Takes, solution="ammonia_10", left=0.0, sure=True) is not None
    assert thinks("remove", C1, left_over("tempo", "wash")).first(f.Takes, left=0.0, sure=True) is not None
    both = (
        f.Harms(solution="edta_01m", how="reacts"),
        f.Harms(solution="ammonia_10", how="reacts"),
        bottle("ammonia_10"),
    )
    assert taken("nickel", *both) == set()


def test_washes_kept_when_the_product_was_carried_through_water() -> None:
    chosen = (
        f.Chosen(solution="nahco3_sat", component="c1", contacts=1),
        f.Chosen(solution="hcl_1m", component="c2", contacts=1),
    )
    others = "benzoic acid; 5 mmol", "pyridine; 5 mmol"
    swap = f.Swap(solution="naoh_1m", back_ph=2.0)

    def kept(*facts: Fact) -> dict[str, str]:
        return choice.kept_solutions(thinks("part", *chosen, *facts, others=others))

    assert kept() == {"c1": "nahco3_sat", "c2": "hcl_1m"}
    behind = f.SwapLeaves(solution="naoh_1m", component="c2", left=0.0, enough=True)
    assert kept(swap, behind) == {"c1": "nahco3_sat"}
    assert kept(swap, f.SwapLeaves(solution="hcl_1m", component="c2", left=0.0, enough=True)) == kept()
    assert kept(swap, f.SwapLeaves(solution="naoh_1m", component="c2", left=0.5, enough=False)) == kept()
    # the harsher of two that take both is kept for both; a miscible solvent keeps its own
    both = takes("hcl_1m", c="c1"), takes("hcl_1m", c="c2")
    assert kept(*both) == {"c1": "hcl_1m", "c2": "hcl_1m"}
    assert kept(*both, is_a("water-miscible solvent", "c1")) == {"c1": "nahco3_sat", "c2": "hcl_1m"}


def test_a_poison_bars_what_would_free_it_unless_a_wash_takes_it_first() -> None:
    azide = left_over("azide_ion", "wash"), f.FirstOut(component="c1", gas="hydrogen azide")
    bottles = bottle("hcl_1m"), bottle("nahco3_sat"), bottle("bleach_5"), bottle("na2co3_10")
    barred = choice.poisoned_solutions(thinks("part", *azide, *bottles))
    assert "hcl_1m" in barred and "na2co3_10" not in barred
    assert choice.poisoned_solutions(thinks("part", *azide, *bottles, takes("na2co3_10"))) == set()
    assert choice.poisoned_solutions(thinks("part", azide[0], *bottles)) == set()
    made = thinks("part", *azide)
    assert choice.goes_before_acid(made, "c1", "na2co3_10") and not choice.goes_before_acid(made, "c1", "hcl_1m")
    assert not choice.goes_before_acid(thinks("part"), "c1", "na2co3_10")
    assert not choice.goes_before_acid(thinks("part", left_over("nitrite", "quench")), "c1", "na2co3_10")
    assert not choice.goes_before_acid(thinks("part", left_over("copper", "wash")), "c1", "na2co3_10")


# ---- what is said of danger


def test_things_that_must_not_stand_in_one_flask() -> None:
    azide = left_over("azide_ion", "wash")
    said = cautions(azide, medium("dichloromethane"))
    assert "pyridine and dichloromethane are in one flask" in said["azidomethane"]
    assert "azidomethane" not in cautions(azide, medium("toluene"))
    bleach = left_over("hypochlorite", "quench", c="c1")
    amine = has("primary_amine", "c2")
    said = cautions(bleach, amine, others=("NaOCl; 5 mmol", "octylamine; 5 mmol"))
    assert "octylamine" in said["chloramine"].lower()
    assert "chloramine" not in cautions(
        bleach, has("primary_amine", "product"), others=("NaOCl; 5 mmol", "benzene; 5 mmol")
    )


def test_what_a_quench_gives_and_how_slowly_it_is_done() -> None:
    violent = cautions(left_over("sodium_hydride", "quench", "hydride"))["danger: sodium_hydride"]
    assert "its quench gives hydrogen" in violent and "open and vented, behind glass" in violent
    mild = cautions(left_over("mcpba", "quench", "oxidant"))["danger: mcpba"]
    assert "open and vented" in mild and "behind glass" not in mild
    washed = cautions(left_over("azide_ion", "wash", "azide source"))["danger: azide_ion"]
    assert "quench" not in washed
    assert not [key for key in cautions(left_over("edu", "wash", "by-product")) if key.startswith("danger")]
    no_gas = cautions(left_over("bromine", "quench", "oxidant"))["danger: bromine"]
    assert "vented" not in no_gas and "its quench gives" not in no_gas


def test_a_poison_that_acid_has_freed_already() -> None:
    poison = left_over("azide_ion", "wash"), f.FirstOut(component="c1", gas="hydrogen azide")

    def said(ph: float, ions: bool = True) -> bool:
        return "poison in the flask" in cautions(*poison, given(f.Pot, ph=ph, ions=ions))

    assert said(6.9) and not said(7.1) and not said(3.0, ions=False)
    assert "above pH 7" in cautions(*poison, given(f.Pot, ph=3.0, ions=True))["poison in the flask"]


def test_haloforms_and_strong_base() -> None:
    chloroform = f.Extraction(solvent="chloroform")
    strong = f.Kept(solution="naoh_1m", component="c1")
    key = "haloform and base"
    assert key in cautions(chloroform, strong)
    assert key not in cautions(chloroform, f.Kept(solution="na2co3_10", component="c1"))
    assert key not in cautions(f.Extraction(solvent="dichloromethane"), strong)
    said = cautions(f.Extraction(solvent="dichloromethane"), strong, medium("acetone"))[key]
    assert "with acetone there" in said and "with acetone there" not in cautions(chloroform, strong)[key]
    assert key in cautions(f.Extraction(solvent="dichloromethane"), strong, others=("acetone; 5 mmol",))
    assert key in cautions(f.Extraction(solvent="toluene"), medium("chloroform"), strong)
    for fact in (
        left_over("alkoxide", "quench", "strong base"),
        left_over("alkali_metal", "quench", "metal"),
        given(f.Harsh, component="c1", kind="a strong base"),
    ):
        assert key in cautions(chloroform, fact)
    assert key not in cautions(chloroform, left_over("grignard", "quench", "organometallic"))
    # What other steps do as well is no wash of the plan.
    assert key not in cautions(chloroform, strong, f.Spared(solution="naoh_1m", component="c1"))


def test_waters_that_are_kept_apart() -> None:
    base = f.Dries(desiccant="mgso4"), f.Extraction(solvent="toluene")
    acid = f.Kept(solution="hcl_1m", component="c1")

    def said(*facts: Fact) -> str:
        return cautions(*base, *facts).get("waste", "")

    sulfite = f.Kept(solution="na2so3_10", component="c1")
    assert "sulfur dioxide" in said(acid, sulfite) and not said(sulfite) and not said(acid)
    assert not said(f.Kept(solution="nh4cl_sat", component="c1"), sulfite)
    poison = f.FirstOut(component="c1", gas="hydrogen azide")
    assert "apart from any acid" in said(poison) and "apart from 1 M" in said(poison, acid)
    assert "halogenated" not in said(poison)
    halogenated = cautions(base[0], f.Extraction(solvent="dichloromethane"), poison)["waste"]
    assert halogenated.endswith("the solvent is halogenated waste")
    quenched = f.Prepares(action="quench", subject="c1"), left_over("mcpba", "quench", "oxidant")
    assert "sulfur dioxide" in said(acid, *quenched)


def test_what_else_would_take_a_leftover_out() -> None:
    def instead(*facts: Fact) -> str:
        made = thinks("warn", C1, f.Outcome(component="c1", low=0.2, mid=0.5, high=0.9, enough=False), *facts)
        return made.first(f.NotRemoved, component="c1")["instead"]

    oxide = left_over("triphenylphosphine_oxide", "other")
    assert instead(oxide) == table(Residue)["triphenylphosphine_oxide"].how.rstrip(".")
    solid = left_over("dcu", "filter")
    assert instead(solid).startswith("chromatograph")
    nac = f.Kept(solution="nac", component="c1")
    metal, organic = left_over("palladium", "wash", "metal salt"), left_over("copper", "wash", "x")
    assert "second treatment" in instead(metal, nac) and "scavenger resin" in instead(metal, nac)
    assert "second treatment" not in instead(metal) and "second treatment" not in instead(organic)
    assert instead(f.Unplaced(component="c1")).startswith("what it does in a funnel")


def test_soaps_fines_and_greasy_ions() -> None:
    layers = given(f.Layers, step=1, organic_density=0.9, aqueous_density=1.1)
    assert "emulsion" in cautions(left_over("activated_carbon", "filter"), layers)
    assert "emulsion" in cautions(left_over("tributyltin", "wash"), layers)
    assert "emulsion" not in cautions(left_over("edu", "wash"), layers)
    assert "emulsion" not in cautions(left_over("activated_carbon", "filter"))
    salt = left_over("quaternary_ammonium_salt", "wash")
    large, small = ("tetrabutylammonium bromide; 2 mmol",), ("tetraethylammonium bromide; 2 mmol",)
    charged = f.Charged(component="c1", charge=1)
    dcm, ether = f.Extraction(solvent="dichloromethane"), f.Extraction(solvent="diethyl_ether")
    assert "holds it" in cautions(salt, charged, dcm, others=large)["greasy ion"]
    assert "holds it" not in cautions(salt, charged, ether, others=large)["greasy ion"]
    assert "greasy ion" in cautions(salt, charged, dcm, others=small)  # eight carbons
    assert "greasy ion" not in cautions(salt, charged, dcm, others=("choline chloride; 2 mmol",))
    assert "greasy ion" not in cautions(salt, f.Charged(component="c1", charge=-1), dcm, others=large)


def test_explosives_are_told_unless_the_leftover_says_so() -> None:
    azide = has("azide", "c1")
    others = ("benzyl azide; 5 mmol",)
    said = cautions(azide, others=others)
    assert any(key == "may explode: azide" for key in said) and "(C + O) / N = 2.3" in said["may explode: azide"]
    assert "may explode: azide" not in cautions(azide, left_over("azide_ion", "wash"), others=others)
    assert "may explode: azide" in cautions(azide, left_over("edu", "wash"), others=others)


def test_a_first_water_that_takes_what_it_finds() -> None:
    def leaves(*facts: Fact, left: float = 0.001) -> bool:
        after = f.AfterPot(component="c1", left=left, enough=True)
        made = thinks("remove", C1, after, given(f.Pot, ph=7.0), *facts)
        return made.first(f.Leaves, component="c1", way="first water") is not None

    brings = f.BringsTo(ph=11.0, reagent="potassium carbonate")
    acid = ionises("c1", "acid", 4.0)
    assert leaves() and leaves(acid, brings) and not leaves(acid)
    assert leaves(acid, medium("water")) and not leaves(
        acid, medium("water"), f.Prepares(action="quench", subject="c2")
    )
    assert not leaves(given(f.Harsh, component="c1", kind="nitric acid")) and leaves(
        given(f.Harsh, component="c1", kind="a strong base")
    )
    assert not leaves(left_over("copper", "wash", "metal salt", "nh4cl_nh3")) and leaves(
        left_over("edu", "wash", "by-product", "hcl_01m")
    )
    assert not leaves(left_over("azide_ion", "wash", "azide source", "na2co3_10"))

    # What a strong acid leaves in a film of sour water is ended all the same.
    def film(ph: float, pka: float) -> bool:
        after = f.AfterPot(component="c1", left=0.0, enough=True)
        made = thinks("remove", C1, after, given(f.Pot, ph=ph), ionises("c1", "acid", pka), medium("water"))
        return made.first(f.Leaves, component="c1", way="first water") is None

    assert film(4.9, 1.9) and not film(5.1, 1.9) and not film(4.9, 2.1)


# ---- a mixture for which there is no plan of ours


def test_a_plan_with_water_for_a_product_that_water_destroys() -> None:
    def judged(refused: str, plan: str, held: float | None = None) -> Any:
        mixture = build("CCOC(=O)c1ccc(C)cc1", [], product_amount="10 mmol")
        return judge(shorthand(plan), Considered(mixture, None, refused, held=held))

    made = judged(
        "product: it reacts with water; no aqueous wash will do.", "dilute toluene 20 | wash water 20 | dry mgso4"
    )
    (found,) = made.findings
    assert made.verdict == "flawed" and (found.kind, found.step, found.quote) == ("loss", 2, "wash water 20")
    assert (
        found.text == "it reacts with water"
        and made.left == {"product": (0.0, 0.0, 0.0)}
        and made.recovered == (0.0, 0.0, 0.0)
    )
    dry = judged("product: it reacts with water; no aqueous wash will do.", "filter | concentrate")
    assert dry.verdict == "ok" and dry.recovered == (1.0, 1.0, 1.0) and dry.findings == ()
    polar = judged(
        "product: it belongs to the water, 3 % stays. Instead strip the water", "extract toluene 20 | set ph pH 4", 0.03
    )
    (found,) = polar.findings
    assert polar.recovered == (0.0, 0.03, 1.0)
    assert (found.kind, found.step, found.remedy, polar.verdict) == ("technique", 1, "strip the water", "minor")
    hopeless = judged("product: it belongs to the water, 2.9 % stays", "wash hcl_1m 20", 0.029)
    assert hopeless.verdict == "flawed" and hopeless.findings[0].step == 1
    # it stays in the water, and nothing is lost; nor by brine on a filter
    for kept in ("take up hcl_1m 20 | set ph pH 7 | filter", "extract toluene 20 aqueous | filter | wash brine 10"):
        assert judged("product: it belongs to the water, 2.9 % stays", kept, 0.029).verdict == "ok"
    poison = "product: acid would make a gas of it; no order of washes parts the two. Destroy it first."
    for plan, kind, step in (("dilute water 20 | set ph pH 2", "hazard", 2), ("dilute water 20", "loss", 1)):
        (found,) = judged(poison, plan).findings
        assert (found.kind, found.step, found.remedy) == (kind, step, "destroy it first")
