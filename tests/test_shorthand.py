"""Plans in the shorthand of the judging rules' cases."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import pytest

from washlore.knowledge.rows import Solution, table
from washlore.rules.judging.cases import PlanCase, shorthand


def test_shorthand_says_what_a_plan_says() -> None:
    wash, acid, extract, dry = shorthand(
        "wash hcl_1m 2x15 aqueous top | set ph pH 2.5 | extract ethyl_acetate 3x20.5 | dry mgso4"
    ).steps
    assert (wash.action, wash.solution, wash.repeats, wash.volume_ml) == ("wash", "hcl_1m", 2, 15.0)
    assert (wash.phase_kept, wash.layer_kept) == ("aqueous", "top")
    assert (acid.action, acid.target_ph) == ("set ph", 2.5)
    assert (extract.solvent, extract.repeats, extract.volume_ml) == ("ethyl_acetate", 3, 20.5)
    assert dry.desiccant == "mgso4" and wash.words == "wash hcl_1m 2x15 aqueous top"
    text = "wash water 10 | wash brine 3x conc"
    first, second = shorthand(text).steps
    assert (first.repeats, second.repeats, second.strength) == (1, 3, "conc")
    assert [text[s.start : s.end] for s in (first, second)] == ["wash water 10", "wash brine 3x conc"]
    listed = shorthand("wash water | dry mgso4", bullets=True)
    assert listed.text.count("\n- ") == 2 and [listed.text[s.start : s.end] for s in listed.steps] == [
        "wash water",
        "dry mgso4",
    ]
    assert (
        shorthand("extract water 20").steps[0].solvent == "water"
        and shorthand("wash water 20").steps[0].solution == "water"
    )
    for wrong in ("ponder water", "wash unobtainium"):
        with pytest.raises(ValueError, match=wrong.split()[-1] if "wash" in wrong else "no action"):
            shorthand(wrong)
    assert table(Solution)["water"].acts_as == "neutral"


def test_words_stand_in_any_order_behind_the_action() -> None:
    (step,) = shorthand("set ph pH 2.5 hcl_6m conc 12x20").steps
    assert (step.target_ph, step.solution, step.strength, step.repeats, step.volume_ml) == (
        2.5,
        "hcl_6m",
        "conc",
        12,
        20.0,
    )
    (quench,) = shorthand("quench all at once hcl_3m 20").steps
    assert (quench.solution, quench.volume_ml, quench.words) == ("hcl_3m", 20.0, "quench all at once hcl_3m 20")
    (water,) = shorthand("wash water 12x").steps
    assert (water.solution, water.repeats, water.volume_ml) == ("water", 12, None)
    (rinse,) = shorthand("rinse water 5").steps
    assert (rinse.solvent, rinse.solution) == ("water", "")
    (layer,) = shorthand("wash water organic bottom").steps
    assert (layer.phase_kept, layer.layer_kept) == ("organic", "bottom")


def test_places_are_those_of_the_words_in_the_text() -> None:
    text = "  wash water |dry mgso4 |   concentrate"
    assert [text[s.start : s.end] for s in shorthand(text).steps] == ["wash water", "dry mgso4", "concentrate"]
    assert shorthand(text).text == text and shorthand("vent").text == "vent"
    assert shorthand("vent", bullets=True).text == "\n- vent"


@pytest.mark.parametrize("word", ["30s", "x", "ex", "1ax", "ph", "pH2", "concs", "topmost"])
def test_a_word_that_is_none_of_it_is_named(word: str) -> None:
    with pytest.raises(ValueError, match=f"'{word}' in 'wash water {word}' is no solution, solvent, drying agent"):
        shorthand(f"wash water {word}")


@pytest.mark.parametrize("text", ["", "washing water", "wash water | ponder"])
def test_a_step_begins_with_an_action(text: str) -> None:
    with pytest.raises(ValueError, match="begins with no action; the actions are"):
        shorthand(text)


def test_the_longest_action_is_the_one_meant() -> None:
    assert [s.action for s in shorthand("filter | filter off desiccant").steps] == ["filter", "filter off desiccant"]


def test_a_case_is_running_text_unless_it_says_so_and_stays_as_written() -> None:
    case = PlanCase("reason", "product", plan="vent")
    assert case.bullets is False and len({case, PlanCase("reason", "product", plan="vent")}) == 1
    with pytest.raises(FrozenInstanceError):
        case.plan = "dry"  # type: ignore[misc]
