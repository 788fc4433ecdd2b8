"""The JSON that commands print keeps to the schemas in the package, and rests on sources."""

from __future__ import annotations

import json
from functools import cache
from importlib import resources

import jsonschema
import pytest
from click.testing import CliRunner
from rdkit import Chem

from washlore.cli.common import examples
from washlore.cli.main import main
from washlore.cli.render.record import told
from washlore.knowledge.rows import Solution, Source, table

EXAMPLES = sorted(examples())
# Mixtures that between them show every kind of step, behaviour and caution.
FURTHER = (
    ("--product", "OC(=O)CCc1ccccc1", "--with", "1-octanol; 5 mmol", "--solvent", "DCM; 40 mL"),
    ("--product", "NCCCCCCCC", "--with", "acetophenone", "--solvent", "THF; 20 mL"),
    ("--product", "CCOC(=O)c1ccccc1", "--with", "benzoyl chloride; 1 mmol", "--with", "DMF; 3 mL"),
    (
        "--product",
        "CCOC(=O)c1ccccc1",
        "--with",
        "CCCC[N+](CCCC)(CCCC)CCCC.[Br-]; 1 mmol",
        "--with",
        "potassium carbonate",
    ),
    ("--product", "CCOC(=O)c1ccccc1", "--with", "[Na+].[O-]C(=O)CCN; 1 mmol", "--with", "CC[NH+](CC)CC.[Cl-]; 1 mmol"),
    ("--product", "C1(c2ccccc2)CO1", "--with", "mCPBA; 1 mmol", "--solvent", "DCM"),
    ("--product", "OCCCCO", "--with", "benzoic acid"),
    ("--product", "phenol", "--with", "4-nitrophenol", "--with", "benzoic acid", "--solvent", "EtOAc; 40 mL"),
    ("--product", "CCOC(=O)c1ccccc1", "--with", "DMF; 10 mL", "--with", "benzoic acid", "--extract", "chlorobenzene"),
    ("--product", "CCOC(=O)c1ccccc1", "--amount", "2 mol", "--with", "benzoic acid"),
)
PLANS = [("plan", name) for name in EXAMPLES] + [("plan", *args) for args in FURTHER]


@cache
def schema(name: str) -> jsonschema.Draft202012Validator:
    text = resources.files("washlore.cli.schemas").joinpath(f"{name}.schema.json").read_text(encoding="utf-8")
    found = json.loads(text)
    jsonschema.Draft202012Validator.check_schema(found)
    return jsonschema.Draft202012Validator(found)


@cache
def printed(*args: str) -> dict:
    result = CliRunner().invoke(main, [*args, "--format", "json"])
    assert result.exit_code == 0, result.output
    assert result.stdout.isascii()

    def no(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(result.stdout, parse_constant=no)


@pytest.mark.parametrize("args", PLANS, ids=" ".join)
def test_plan_keeps_to_its_schema(args):
    schema("plan").validate(printed(*args))


@pytest.mark.parametrize("args", PLANS, ids=" ".join)
def test_every_chain_of_reasons_reaches_a_source(args):
    made = printed(*args)
    for part in ("components", "steps", "cautions", "not_removed", "fragile", "windows"):
        for item in made[part]:
            cited = [key for reason in told(item["because"]) for key in reason["sources"]]
            assert cited, (part, item)
            assert set(cited) <= set(made["sources"])
            assert item["because"][0]["text"]
    assert set(made["sources"]) <= set(table(Source))


@pytest.mark.parametrize("args", PLANS, ids=" ".join)
def test_sites_count_atoms_in_the_components_smiles(args):
    for item in printed(*args)["components"]:
        mol = Chem.MolFromSmiles(item["smiles"])
        for site in item["sites"]:
            atom = mol.GetAtomWithIdx(site["atom"])
            assert atom.GetAtomicNum() != 1
            if "carboxylic" in site["class"] or "phenol" in site["class"]:
                assert atom.GetSymbol() == "O", (item["smiles"], site)
            if "amine" in site["class"] or "pyridine" in site["class"]:
                assert atom.GetSymbol() == "N", (item["smiles"], site)


def test_sites_of_a_salt_are_counted_behind_the_parts_before():
    made = printed(
        "plan", "--product", "CCOC(=O)c1ccccc1", "--with", "CCCC[N+](CCCC)(CCCC)CCCC.[O-]C(=O)c1ccccc1; 1 mmol"
    )
    item = made["components"][1]
    mol = Chem.MolFromSmiles(item["smiles"])
    found = {(mol.GetAtomWithIdx(site["atom"]).GetSymbol(), site["kind"]) for site in item["sites"]}
    assert found == {("O", "acid")}


@pytest.mark.parametrize("args", PLANS, ids=" ".join)
def test_bands_are_in_order_and_steps_count_up(args):
    made = printed(*args)
    for item in made["components"]:
        assert item["left"]["low"] <= item["left"]["mid"] <= item["left"]["high"]
    assert made["product_recovered"] == made["components"][0]["left"]
    assert [step["number"] for step in made["steps"]] == list(range(1, len(made["steps"]) + 1))
    assert made["components"][0]["role"] == "product"
    assert made["components"][0]["name"] == made["product"]


@pytest.mark.parametrize(
    "args",
    [
        ("why", "ester", "2"),
        ("why", "ester", "not", "1 M NaOH"),
        ("why", "amine", "product"),
        ("why", "amide", "not", "magnesium sulfate"),
        ("why", "ester", "not", "MTBE"),
        ("why", "brine"),
        ("why", "DMAP"),
        ("why", "acetal"),
    ],
    ids=" ".join,
)
def test_why_keeps_to_its_schema(args):
    made = printed(*args)
    schema("why").validate(made)
    assert made["sources"]


@pytest.mark.parametrize(
    "name", [None, "groups", "solutions", "solvents", "desiccants", "reagents", "rules", "sources", "residues"]
)
def test_know_keeps_to_its_schema(name):
    schema("know").validate(printed("know", *([name] if name else [])))


def test_properties_keep_to_their_schema(tmp_path):
    file = tmp_path / "in.csv"
    file.write_text("smiles\nCC(=O)O\nnope\nC[NH+](C)C.[Cl-]\n")
    result = CliRunner().invoke(main, ["properties", str(file), "--format", "json"])
    assert result.exit_code == 1
    schema("properties").validate(json.loads(result.stdout))


@pytest.mark.parametrize("args", PLANS, ids=" ".join)
def test_solutes_are_formulas(args):
    for step in printed(*args)["steps"]:
        if step["solution"] and table(Solution)[step["solution"]].solute:
            assert step["solute"] == table(Solution)[step["solution"]].formula
        elif step["solution"]:
            assert step["solute"] is None


def test_the_wheel_is_told_of_schemas_and_examples():
    names = {path.name for path in resources.files("washlore.cli.schemas").iterdir()}
    assert {"plan.schema.json", "why.schema.json", "know.schema.json", "properties.schema.json"} <= names
    assert len(EXAMPLES) == 3
