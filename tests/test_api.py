"""The public functions, imported and called as a user would."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

import washlore.knowledge
import washlore.rules
from washlore.knowledge import distribution, log_k, sites
from washlore.rules import Step, build, make_plan, read_mixture, run_ledger


def test_sites_log_k_and_distribution_agree() -> None:
    """Log D of benzoic acid two units above its pKa is two units under its log K."""
    acid = sites("OC(=O)c1ccccc1")
    assert [site.kind for site in acid] == ["acid"]
    assert acid[0].pka == pytest.approx(4.2, abs=0.05)
    whole = log_k("OC(=O)c1ccccc1", "diethyl_ether").value
    assert 1.5 < whole < 2.3
    assert distribution("OC(=O)c1ccccc1", "diethyl_ether", acid[0].pka + 2).value == pytest.approx(whole - 2, abs=0.05)


def test_a_wash_by_hand() -> None:
    """One portion of water takes of a neutral what its log K says: 1 / (1 + K * 40 / 20), salt and solutes aside."""
    mixture = build(
        "CCOC(=O)/C=C/c1ccccc1", [("OC1CCCC1", "0.1 mmol", None)], product_amount="1 mmol", solvents=[("toluene", 40)]
    )
    book = run_ledger(mixture, [Step("wash", solution="water", volume_ml=20)])
    held = 10 ** log_k("OC1CCCC1", "toluene").value * 40 / 20
    assert book.left("c1")[0] == pytest.approx(held / (1 + held), rel=0.02)
    assert book.left("c1").shape == (book.sheet.draws,)
    assert np.all((book.left("c1") >= 0) & (book.left("c1") <= 1))


def test_a_mixture_file_gives_a_plan(tmp_path) -> None:
    file = tmp_path / "ester.toml"
    file.write_text(
        '[product]\nsmiles = "CCOC(=O)c1ccccc1"\namount = "10 mmol"\n[[others]]\nname = "benzoic acid"\namount = "1 mmol"\n'
    )
    plan = make_plan(read_mixture(file))
    assert any(step.solution == "nahco3_sat" for step in plan.steps)
    assert plan.left["c1"][1] < 0.01 < 0.9 < plan.recovered[1]


@pytest.mark.parametrize("package", [washlore.knowledge, washlore.rules], ids=lambda p: p.__name__)
def test_public_names_are_there_and_documented(package) -> None:
    for name in package.__all__:
        assert getattr(package, name).__doc__
        assert name in package.__doc__
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = package.nothing


def test_the_package_itself_loads_nothing() -> None:
    code = "import sys, washlore.rules; assert not {'numpy', 'rdkit', 'experta'} & set(sys.modules)"
    subprocess.run([sys.executable, "-c", code], check=True)
