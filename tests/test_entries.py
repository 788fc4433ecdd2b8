"""What is known of a row without any mixture: that the words hold what a chemist would look up."""

from __future__ import annotations

import pytest

from washlore.rules.entries import Entry, lore_on
from washlore.rules.subjects import SubjectProblem


def entry(question: str, kind: str = "") -> Entry:
    """Return the entry of a kind, or the first; it must name its sources."""
    found = next(e for e in lore_on(question) if kind in ("", e.kind))
    assert found.lines and (found.sources or any("outside" in line for line in found.lines))
    return found


@pytest.mark.parametrize(
    ("question", "kind", "said"),
    [
        ("sat. NaHCO3", "solution", ("pH 8.2", "takes out: carboxylic", "never meets: cyanide", "note: customary")),
        ("10 % thiosulfate", "solution", ("takes out: iodine", "never meets: acid")),
        ("half-saturated brine", "solution", ("1:1 brine and water", "takes out: polar solvents")),
        ("calcium chloride", "desiccant", ("CaCl2, neutral", "holds back: primary alcohol", "harms: orthoester")),
        ("MgSO4", "desiccant", ("MgSO4, acidic", "takes 5 min")),
        ("toluene azeotrope", "desiccant", ("no solid", "not for volatile")),
        ("diethyl ether", "solvent", ("immiscible with water", "forms peroxides", "makes an organic layer", "holds 1.47 %")),
        ("acetone", "solvent", ("miscible with water", "makes no organic layer", "waste: non-halogenated")),
        ("triethylamine", "solvent", ("partly miscible with water", "holds 4.6 % of water")),
        ("ketone", "group", ("stands any pH of a wash", "for example: CC(C)=O")),
        ("alkyl ester", "group", ("stands any acid and up to pH 12.4", "because: hydrolysed")),
        ("acetal", "group", ("stands down to pH 4 and any base", "note: ")),
        ("boronic acid", "group", ("kept from: ",)),
        ("NaH", "reagent", ("used as base", "Cool to 0 C", "never: never water all at once")),
        ("DCC", "reagent", ("used as coupling agent", "danger: potent sensitiser")),
        ("triethylamine", "reagent", ("boils at 89 C", "tertiary amine", "pKa of the conjugate acid 10.8")),
        ("water", "solvent", ("density 1.00",)),
        ("cyanide", "residue", ("taken out by a wash", "wash: 10 % sodium carbonate", "below pH 10.5",
                                "danger: poison", "never: never acid")),
        ("lithium aluminium hydride", "residue", ("quenched before any wash", "gas set free: hydrogen", "where the product",
                                                  "note: the 1 : 1 : 3 rule")),
        ("triphenylphosphine oxide", "residue", ("no wash serves",)),
        ("10 % Na2CO3", "solution", ("mind: with acid it gives carbon dioxide",)),
        ("magnesium turnings", "residue", ("filtered off before the funnel",)),
    ],
)  # fmt: skip
def test_an_entry_says_what_is_looked_up(question: str, kind: str, said: tuple[str, ...]) -> None:
    lines = entry(question, kind).lines
    for words in said:
        assert any(words in line for line in lines), (words, lines)


def test_water_is_not_said_to_mix_with_water() -> None:
    assert not any("miscible" in line for line in entry("water", "solvent").lines)


def test_a_structure_that_no_table_holds() -> None:
    found = entry("CC(C)(C)OC(=O)NCCc1ccccc1")
    assert found.kind == "structure" and found.lines[0].startswith("Boc carbamate: cleaved by strong acid")
    assert sum("log K from water into" in line for line in found.lines) == 3


def test_a_structure_that_must_be_dealt_with_as_a_leftover_too() -> None:
    lines = entry("CCCCCCCC(C)C=O").lines
    assert any(line.startswith("as a leftover (aldehyde") for line in lines)


def test_what_is_outside_is_said_to_be() -> None:
    assert (
        entry("CCCC[Zn]CCCC").lines[0].startswith("outside what is known here: it is a reagent of the kind organozinc")
    )


@pytest.mark.parametrize(
    ("question", "said"),
    [("C1CC", "ring numbers"), ("*CC*", "open attachment point"), ("xyzzy", "not a wash solution")],
)
def test_what_cannot_be_read_is_refused(question: str, said: str) -> None:
    with pytest.raises(SubjectProblem, match=said):
        lore_on(question)


def test_rules_that_name_it_come_along() -> None:
    for question, word in (("bicarbonate", "bicarbonate"), ("1 M NaOH", "hydroxide")):
        rules = entry(question, "solution").rules
        assert rules and any(word in f"{r.title} {r.why}".casefold() for r in rules)
