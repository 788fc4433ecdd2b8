"""What a mixture file or call must hold: each refusal says what was found."""

from __future__ import annotations

import pytest
from readings import short

from washlore.knowledge.names import resolve, row_of
from washlore.knowledge.rows import Companion, Reagent, table
from washlore.rules.mixture import MixtureError, build
from washlore.rules.mixture_file import read_mixture
from washlore.rules.reading import read_plan

PRODUCT = '[product]\nname = "ethyl cinnamate"\namount = "10 mmol"\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('others = ["pyridine", 5]\n' + PRODUCT, "others"),
        (PRODUCT + '[[others]]\nrole = "base"\n', "neither name nor smiles"),
        (PRODUCT + '[[others]]\nname = "pyridine"\nrole = "sponge"\n', "'sponge' is not a role"),
        ('[product]\nname = "ethyl cinnamate"\namount = "2 equiv"\n', "not in equivalents"),
        (PRODUCT + '[[others]]\nname = "pyridine"\namount = "1e-30 mmol"\n', "amount"),
        ('reaction = "DCM"\n' + PRODUCT, "must be a table"),
        (PRODUCT + "[reaction]\nsolvent = 5\n", "must be a name, or a list of names"),
        (PRODUCT + '[reaction]\nsolvent = ["DCM", "water"]\nvolume_ml = [10]\n', "lists of the same length"),
        (PRODUCT + '[reaction]\nsolvent = "DCM"\nvolume_ml = 1e300\n', "too large a number"),
    ],
)
def test_a_mixture_that_cannot_be_used_says_why(tmp_path, text: str, said: str) -> None:
    path = tmp_path / "flask.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(MixtureError, match=said):
        read_mixture(path)


def test_too_many_and_too_large_are_refused(tmp_path) -> None:
    with pytest.raises(MixtureError, match="components are listed"):
        build("ethyl cinnamate", [("pyridine", None, None)] * 200)
    path = tmp_path / "flask.toml"
    path.write_text("#" * 1_100_000, encoding="utf-8")
    with pytest.raises(MixtureError, match="larger than 1 MB"):
        read_mixture(path)


@pytest.mark.parametrize(
    ("text", "step"),
    [
        ("Wash the ether layer 3 times with 20 mL of water.", "wash water 3x20"),
        ("Stir the organic layer with 20 mL of 1 M HCl.", "wash hcl_1m 20"),
        ("Treat the ether layer with magnesium sulfate.", "dry mgso4"),
        ("Treat the aqueous layer with 6 M HCl until pH 2.", "set ph hcl_6m pH2"),
        ("Adjust the aqueous layer to acidic with HCl.", "set ph hcl_1m pH2"),
    ],
)
def test_what_is_done_in_other_words(text: str, step: str) -> None:
    read = read_plan("Wash the ether layer with 20 mL of water. " + text)
    assert [short(s) for s in read.steps[1:]] == [step]


def test_a_reagent_brings_what_it_is_never_without():
    def flask(*others: tuple[str, str]) -> dict[str, float]:
        made = build("4-phenyl-2-butanone", [(name, amount, None) for name, amount in others], product_amount="10 mmol")
        return {c.name: c.mmol for c in made.others if c.role != "solvent"}

    assert flask(("Jones reagent", "5 mmol")) == {"Jones reagent": 5, "sulfuric acid": 8.5}
    assert flask(("Jones reagent", "5 mmol"), ("H2SO4", "2 mmol")) == {"Jones reagent": 5, "sulfuric acid": 2}
    assert list(flask(("O[Cr](O)(=O)=O", "5 mmol"))) == ["Jones reagent"]
    told = build("4-phenyl-2-butanone", [("Jones reagent", "5 mmol", None)]).assumptions
    assert any("Jones reagent brings 8.5 mmol of sulfuric acid along" in note for note in told)


@pytest.mark.parametrize("row", table(Companion).values(), ids=lambda row: row.id)
def test_a_companion_is_a_reagent_of_the_tables(row):
    assert row.reagent in table(Reagent) and row.mmol_per_mmol > 0
    assert row_of(resolve(row.companion).smiles) is not None


def test_what_went_in_by_portions_is_added_up_and_said():
    flask = build(
        "CCOC(=O)c1ccccc1",
        [("triethylamine", "2 mmol", "base"), ("pyridine", None, None), ("Et3N", "3 mmol", "reactant")],
        product_amount="10 mmol",
    )
    amines = [c for c in flask.others if c.name == "triethylamine"]
    assert [(c.mmol, c.role, c.assumed) for c in amines] == [(pytest.approx(5.0), "reactant", False)]
    assert len(flask.others) == 2
    assert "triethylamine is listed 2 times (2 mmol and 3 mmol): 5 mmol in all, added up" in flask.assumptions


def test_an_assumed_amount_is_not_added_to_a_known_one():
    flask = build(
        "CCOC(=O)c1ccccc1", [("pyridine", None, None), ("pyridine", "3 mmol", None)], product_amount="10 mmol"
    )
    assert [c.mmol for c in flask.others] == [pytest.approx(3.0)]
    assert any("(3 mmol, and 1 without an amount): 3 mmol in all" in note for note in flask.assumptions)
    flask = build("CCOC(=O)c1ccccc1", [("pyridine", None, None)] * 3, product_amount="10 mmol")
    assert len(flask.others) == 1 and flask.others[0].assumed
    assert any("is listed 3 times without an amount and is taken once" in note for note in flask.assumptions)


@pytest.mark.parametrize(
    ("others", "words"),
    [
        ([("CCOC(=O)c1ccccc1", "1 mmol", "reactant")], "either kept or removed"),
        ([("naphthalene", "1 mmol", "product"), ("naphthalene", "1 mmol", None)], "either kept or removed"),
        ([("naphthalene", "1 mmol", "product"), ("naphthalene", "1 mmol", "product")], "product twice"),
    ],
)
def test_a_product_on_a_second_row_is_asked_about(others, words):
    with pytest.raises(MixtureError, match=words):
        build("CCOC(=O)c1ccccc1", others, product_amount="10 mmol")
