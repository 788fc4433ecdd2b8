"""What would turn a decision: the smallest changes, each one such as a chemist would name.

The mixtures are of our own making; which change must be named is common practice of the trade.
"""

from __future__ import annotations

from functools import cache

import pytest

from washlore.rules import build
from washlore.rules.mixture import Mixture, read_other
from washlore.rules.plan import Plan, decide, make_plan
from washlore.rules.subjects import SubjectProblem
from washlore.rules.suppose import Supposition, supposing
from washlore.rules.unless import MOST_ASKED, USUAL_COMPONENTS, Turn, Unless, how_sure, unless

ESTER = "CCOC(=O)/C=C/c1ccccc1"
BOC = "CC(C)(C)OC(=O)NCCc1ccccc1"
PMB_ETHER = "COc1ccc(COCCCc2ccccc2)cc1"


@cache
def mixture(product: str, others: tuple[str, ...], solvent: str = "DCM", extract: str = "choose") -> Mixture:
    return build(
        product,
        [read_other(o) for o in others],
        product_amount="10 mmol",
        solvents=[(solvent, 40)],
        extract=extract,
    )


@cache
def planned(*given: object) -> Plan:
    return make_plan(mixture(*given), 64)  # type: ignore[arg-type]


def test_the_more_is_in_the_flask_or_meant_the_less_is_asked_of_each() -> None:
    few = ("triethylamine; 15 mmol",)
    many = (
        *few,
        "DMAP; 1 mmol",
        "HOBt; 2 mmol",
        "phenol; 2 mmol",
        "acetophenone; 1 mmol",
        "pyridine; 3 mmol",
        "DMF; 9 mmol",
    )
    one, crowded = (unless(planned(BOC, o), mixture(BOC, o), "MTBE") for o in (few, many))
    assert one[0].asked <= MOST_ASKED and crowded[0].asked <= MOST_ASKED * USUAL_COMPONENTS / 8
    three = unless(planned(BOC, few), mixture(BOC, few), "citrate")
    assert len(three) == 3 and sum(x.asked for x in three) <= MOST_ASKED


def asked(question: str, *given: object) -> Unless:
    """Return the first answer, having seen that it keeps to what is promised of every answer."""
    found = unless(planned(*given), mixture(*given), question)[0]  # type: ignore[arg-type]
    assert found.asked <= MOST_ASKED
    assert [t.size for t in found.turns] == sorted(t.size for t in found.turns)
    return found


def turn(found: Unless, what: str) -> Turn:
    return next(t for t in found.turns if t.what == what)


def test_a_group_of_the_product_keeps_hydrochloric_acid_out() -> None:
    found = asked("not 1 M HCl", BOC, ("triethylamine; 15 mmol",))
    assert not found.in_plan and found.decision == "1 M hydrochloric acid is not in the plan"
    assert "Boc" in turn(found, "group").text


def test_an_impurity_brings_its_wash() -> None:
    found = asked("bicarbonate", ESTER, ("benzoic acid; 2 mmol",))
    assert found.in_plan
    assert turn(found, "absent").text == "benzoic acid were not in the flask"
    pka = turn(found, "pka")
    assert pka.threshold is not None and pka.threshold > 4.9  # a weaker acid would not go with bicarbonate
    assert pka.sure


def test_the_threshold_is_where_it_turns() -> None:
    """The decision on the near side of the threshold is the old one, on the far side the new one."""
    given = (ESTER, ("benzoic acid; 2 mmol",))
    pka = turn(asked("bicarbonate", *given), "pka")
    assert pka.threshold is not None and pka.now is not None
    acid = mixture(*given).component("c1").principal.smiles
    for by, there in ((pka.threshold - pka.now - 0.1, True), (pka.threshold - pka.now + 0.1, False)):
        with supposing(Supposition("pka", acid, "acid", by)):
            assert any(s.solution == "nahco3_sat" for s in decide(mixture(*given)).steps) is there


def test_more_of_a_phenol_asks_for_a_stronger_base() -> None:
    """Carbonate takes a millimole of nitrophenol; much more spends it, and hydroxide is needed."""
    found = asked("not 1 M NaOH", PMB_ETHER, ("4-nitrophenol; 1 mmol",), "ethyl acetate")
    assert not found.in_plan
    more = turn(found, "amount")
    assert more.threshold is not None and 1.5 < more.threshold <= 10 and "or more (now 1 mmol)" in more.text
    weaker = turn(found, "pka")
    assert weaker.threshold is not None and weaker.threshold > 7.2 and weaker.sure


def test_with_little_of_a_neutral_an_acid_need_not_go_through_base() -> None:
    """An acid is carried through base to shed a ketone; where there is little ketone that is not worth it."""
    given = ("OC(=O)CCc1ccc(Cl)cc1", ("acetophenone; 5 mmol",), "ethyl acetate")
    found = asked("1", *given)
    assert found.in_plan and found.subject == "10 % sodium carbonate"
    less = turn(found, "amount")
    assert less.threshold is not None and less.threshold < 1 and "no more than" in less.text and less.unit == "mmol"


def test_what_is_quenched_is_why_there_is_a_quench() -> None:
    found = asked("ammonium chloride", ESTER, ("NaH; 5 mmol",), "THF")
    assert found.in_plan and turn(found, "absent").subject == "sodium hydride"


@pytest.mark.parametrize(
    ("question", "subject"),
    [("step 3", "magnesium sulfate"), ("drying agent", "magnesium sulfate"), ("4", "step 4")],
)
def test_without_a_wash_nothing_is_dried(question: str, subject: str) -> None:
    """The drying agent and its filtration are there for the water of the washes, and those for the acid."""
    found = asked(question, ESTER, ("benzoic acid; 2 mmol",))
    assert found.in_plan and found.subject == subject
    assert {t.text for t in found.turns} == {"benzoic acid were not in the flask"}


def test_a_solvent_that_was_asked_for_is_there_because_it_was() -> None:
    given = (ESTER, ("pyridine; 20 mmol",), "DCM", "MTBE")
    found = asked("MTBE", *given)
    assert found.in_plan and [t.what for t in found.turns] == ["solvent"]
    assert found.turns[0].text == "methyl tert-butyl ether were not asked for as the organic layer"
    other = asked("not ethyl acetate", *given)
    assert not other.in_plan and other.decision == "ethyl acetate is not in the plan"


def test_what_is_lost_of_a_glycol_hangs_on_how_it_parts_and_on_how_clean_it_must_be() -> None:
    found = asked("product", "OCCOCCO", ("pyridine; 3 mmol",), "THF")
    assert not found.in_plan and found.decision == "less than nine tenths of diethylene glycol is kept"
    parts = turn(found, "log_k")
    assert parts.now is not None and parts.threshold is not None and parts.threshold > parts.now
    target = turn(found, "target")
    assert target.threshold is not None and target.now == 0.01 < target.threshold and "at least" in target.text


def test_of_a_greasy_product_no_change_of_one_thing_loses_much() -> None:
    found = asked("product", ESTER, ("benzoic acid; 2 mmol",))
    assert found.in_plan and found.decision == "nine tenths of ethyl cinnamate are kept" and not found.turns


def test_what_stays_and_what_goes_is_said_of_a_component() -> None:
    given = (ESTER, ("benzoic acid; 2 mmol", "acetophenone; 3 mmol"))
    assert asked("acetophenone", *given).decision == "more than 1.0 % of acetophenone is left"
    assert asked("benzoic acid", *given).decision == "no more than 1.0 % of benzoic acid is left"


def test_several_products_are_refused() -> None:
    several = build("benzoic acid", [(BOC, "5 mmol", "product")], solvents=[("DCM", 40)])
    with pytest.raises(SubjectProblem, match="one product"):
        unless(make_plan(several, 8), several, "bicarbonate")


def test_how_sure_goes_by_the_distance_in_sigmas() -> None:
    assert "16 %" in how_sure(0.5, 0.5)
    assert "does not lie there" in how_sure(2.0, 0.2)
    assert "exact" in how_sure(1.0, 0.0)
