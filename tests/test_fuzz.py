"""Hostile inputs: a fixed budget of each kind, text of any kind, and what the fuzzer found, kept."""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from washlore.cli.main import main as cli
from washlore.knowledge import names
from washlore.rules.judge import consider, judge
from washlore.rules.mixture import MixtureError, build
from washlore.rules.mixture_file import read_mixture
from washlore.rules.reading import read_plan

sys.path.insert(0, str(Path(__file__).resolve().parent / "fuzz"))
import fuzz


@pytest.mark.parametrize(
    ("kind", "count"),
    [
        ("plans", 400),
        ("tables", 400),
        ("molecules", 120),
        ("names", 60),
        ("mixtures", 80),
        ("options", 40),
        ("files", 60),
    ],
)
def test_nothing_breaks_it(kind, count):
    assert fuzz.run(kind, count, seed=2026, keep=None) == []


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(st.text(max_size=300))
def test_any_text_is_read_as_a_plan_or_said_to_be_none(text):
    plan = read_plan(text)
    assert all(0 <= step.start <= step.end <= len(text) for step in plan.steps)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=60))
def test_any_text_is_a_structure_or_refused_with_words(text):
    try:
        assert names.resolve(text).smiles
    except names.NameProblem as problem:
        assert len(str(problem)) > 15


# Each of these broke something once.
FOUND = [
    "saturated with in vacuo.\n. rinsed with caprolactam; pH 7-8 extracted with",  # a sentence that begins with a point
    "acidified to pH 2; separate and discard; basified; separate and discard",  # a pH set where no water is left
    "cooled to the organic layer ca. 20 mL; AcCl.\n1 M sulfuric acid\n10 % thiourea basified with (DMT-MM separate and discard "
    "followed by N-acetyl-L-cysteine neutralised with\n- laver avec",
]


@pytest.mark.parametrize("text", FOUND)
def test_what_was_found_stays_found(text):
    for product, others in (("CCOC(=O)c1ccccc1", ("pyridine", "benzoic acid")), ("CCCCCCN", ("acetophenone",))):
        flask = build(
            product, [(o, None, None) for o in others], product_amount="10 mmol", solvents=[("dichloromethane", 40.0)]
        )
        judge(read_plan(text), consider(flask))


STRUCTURES = [
    "[2H]OC(=NCO)Nc1c(Br)cccc1[Se]C",  # deuterium on the oxygen of an imidic acid
    "C1CCN(C1)c1ccn~cc1.COCCOCCl",  # a bond of any kind, in a part that cannot stand alone
    "[Li]<-[CH](CC(=O)Cl)(N=[N+]=[N-])C(C)(N)N",  # an arrow from a carbon that has no electrons to give
    # Brackets that are not closed, once tried in every way for minutes
    "c[CH3][Sn]([CH3])([CH3])[O]C[C@H](O)[C@H]1OC(=O)C(ON=[N+]=[N3][Sn]([CH3])([CH3])[O]C[C@HO[)]@(CH]1O-])=C1[aq. Na2CO3O-]",
    "c[CHchlo3][Sn]([CH3]C[C@H](O)[C@H]1OC(=O)C(ON=[N+]=[N-[Cs+].[])=C1[aalH3]C[C@H](O)[C@H]1OC(=O)C(ON=[N+]=[N-[Cs+].[])=C1",
]


@pytest.mark.parametrize("smiles", STRUCTURES)
def test_a_structure_that_broke_something_is_looked_at(smiles):
    assert not fuzz.tried(fuzz.targets(0, 1)["molecules"], smiles, random.Random(0)).trouble


NAPHTHALENE = 'product = "naphthalene"\n'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (NAPHTHALENE + "[reaction]\nsolvent = -3", "must be a name, or a list of names; found -3"),
        (NAPHTHALENE + '[reaction]\nsolvent = ["ether", "toluene"]\nvolume_ml = 40', "lists of the same length"),
        (NAPHTHALENE + '[reaction]\nsolvent = "ether"\nvolume_ml = 1' + "0" * 400, "too large a number"),
        (NAPHTHALENE + "[target]\nleft_percent = inf", "too large a number"),
        (NAPHTHALENE + "x = 1" + "0" * 5000, "more digits than can be read"),
        ("x = " + "[" * 100_000, "nested too deep"),
        ("#" * 1_000_001, "larger than 1 MB"),
        # Once a table of 360 GB, half a minute, four seconds, and messages of a megabyte
        (NAPHTHALENE + "a." * 300_000 + "a = 1", "a key has more than 8 parts"),
        ("[" + "a . " * 200_000 + "a]", "a key has more than 8 parts"),
        (NAPHTHALENE + "x = {" + "'a'." * 200_000 + "a = 1}", "a key has more than 8 parts"),
        (NAPHTHALENE + '[[others]]\nname = "aniline"\n' * 30_000, "30000 components are listed; up to 60"),
        (NAPHTHALENE + "[reaction]\nsolvent = [" + '"ether", ' * 90_000 + "]", "90000 solvents are listed"),
        (NAPHTHALENE + f'[[others]]\nname = "aniline"\nrole = "{"x" * 900_000}"', "'xx[^ ]{,60} is not a role"),
        (NAPHTHALENE + f'[[others]]\nname = "aniline"\namount = "{"1" * 900_000} mmol"', "'11[^ ]{,60} is inf mmol"),
        (NAPHTHALENE + f"[target]\nleft_percent = [{'1, ' * 300_000}]", r"found \[1, .{,60}$"),
    ],
)
def test_a_mixture_file_that_cannot_be_used_is_refused_with_words(tmp_path, text, words):
    begun = time.process_time()
    file = tmp_path / "flask.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(MixtureError, match=words):
        read_mixture(file)
    assert CliRunner().invoke(cli, ["plan", str(file)]).exit_code == 2
    assert time.process_time() - begun < 4


def test_why_not_a_drying_agent_in_a_plan_that_dries_nothing():
    done = CliRunner().invoke(cli, ["why", "--product", "CCS", "--amount", "4 mmol", "not", "CaCl2"])
    assert done.exit_code == 0 and "nothing is dried" in done.output


def test_a_table_may_hold_many_points_where_they_are_no_key(tmp_path):
    file = tmp_path / "flask.toml"
    salt = ".".join(["[Na+]"] * 60 + ["[Cl-]"] * 60)
    dots = "a." * 200
    file.write_text(f'# {dots}\ntitle = "{dots}"\n{NAPHTHALENE}[[others]]\nsmiles = "{salt}"', encoding="utf-8")
    assert read_mixture(file).title == dots
