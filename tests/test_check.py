"""``washlore check``: exit codes, the record and its schema, the text, and what cannot be read."""

from __future__ import annotations

import json
import time
from importlib import resources

import jsonschema
import pytest
from click.testing import CliRunner, Result

from washlore.cli.main import main

SOUND = (
    "Wash with 2 x 15 mL of 1 M HCl, then with 2 x 15 mL sat. NaHCO3 and 15 mL of brine. Dry over MgSO4, filter, rinse the "
    "solid and evaporate."
)
ESTER = ("--product", "CCOC(=O)/C=C/c1ccccc1", "--with", "pyridine; 12 mmol", "--with", "benzoic acid; 1 mmol")
FLASK = (*ESTER, "--solvent", "DCM; 40 mL")


def check(*args: str, text: str | None = None) -> Result:
    return CliRunner().invoke(main, ["check", *args], input=text)


def record(*args: str, text: str | None = None) -> dict:
    result = check(*args, "--format", "json", text=text)
    assert result.stdout.isascii()
    made = json.loads(result.stdout)
    schema = json.loads(resources.files("washlore.cli.schemas").joinpath("check.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(made)
    return made


def test_a_sound_plan_is_ok_and_says_what_was_checked():
    result = check(*FLASK, "--plan", SOUND)
    assert result.exit_code == 0, result.output
    assert "Sound." in result.stdout and "Checked:" in result.stdout and "Instead" not in result.stdout
    made = record(*FLASK, "--plan", SOUND)
    assert made["verdict"] == "ok" and made["findings"] == [] and made["checked"]
    assert len(made["plan_read"]) >= 6 and made["achieves"]
    assert made["product_recovered"]["mid"] > 0.95
    for step in made["plan_read"]:
        assert SOUND[step["start"] : step["end"]] == step["words"]


def test_a_flawed_plan_ends_with_code_1_and_quotes_the_words():
    plan = "Wash twice with 20 mL of brine. Dry over MgSO4, filter and evaporate."
    result = check(*FLASK, "--plan", plan)
    assert result.exit_code == 1, result.output
    assert "pyridine" in result.stdout and "Instead" in result.stdout and "Flawed" in result.stdout
    made = record(*FLASK, "--plan", plan)
    kinds = {item["kind"] for item in made["findings"]}
    assert made["verdict"] == "flawed" and kinds == {"leftover"}
    assert {item["component"] for item in made["findings"]} == {"pyridine", "benzoic acid"}
    for item in made["findings"]:
        assert item["text"] and item["remedy"] and set(item["sources"]) <= set(made["sources"])


def test_a_dangerous_plan_is_called_so():
    args = ("--product", "CCOC(=O)c1ccccc1", "--with", "sodium cyanide; 10 mmol", "--solvent", "DCM; 40 mL")
    plan = "Wash with 20 mL of 1 M HCl and brine, dry over Na2SO4, filter and concentrate."
    made = record(*args, "--plan", plan)
    assert made["verdict"] == "dangerous" and made["findings"][0]["kind"] == "hazard"
    assert "hydrogen cyanide" in made["findings"][0]["text"]
    assert check(*args, "--plan", plan).exit_code == 1


@pytest.mark.parametrize("text", ["", "   ", "hello there", "The yield was 80 %."])
def test_an_unreadable_plan_is_no_clean_bill(text):
    result = check(*FLASK, "--plan", text)
    assert result.exit_code == 2, result.output
    assert "sat. NaHCO3" in result.output and "Sound" not in result.output


def test_unreadable_has_a_record_of_its_own():
    made = record(*FLASK, "--plan", "hello there")
    assert made["verdict"] == "unreadable" and made["plan_read"] == [] and made["checked"] == []


def test_plan_from_file_and_from_standard_input(tmp_path):
    file = tmp_path / "plan.txt"
    file.write_text(SOUND, encoding="utf-8")
    assert check("ester", str(file)).exit_code in (0, 1)
    assert check(*FLASK, str(file)).exit_code == 0
    assert check(*FLASK, "-", text=SOUND).exit_code == 0


def test_against_shows_our_plan_beside_theirs():
    made = record(*FLASK, "--plan", SOUND, "--against")
    assert [row["theirs"] for row in made["against"] if row["theirs"]] == list(range(1, len(made["plan_read"]) + 1))
    assert any(row["ours"] for row in made["against"])
    assert "our plan" in check(*FLASK, "--plan", SOUND, "--against").stdout


@pytest.mark.parametrize(
    ("args", "word"),
    [
        (("ester",), "--plan"),
        ((), "mixture"),
        (("ester", "no-such-file.txt"), "no such file"),
        (("ester", "one", "two"), "one too many"),
        ((*FLASK, "."), "folder"),
        (("nothing-like-it", "--plan", SOUND), "no such"),
    ],
)
def test_bad_input_is_one_message(args, word):
    result = check(*args)
    assert result.exit_code == 2 and word in result.output and "Traceback" not in result.output
    assert len(result.output.strip().splitlines()) <= 2


def test_a_binary_file_is_refused(tmp_path):
    file = tmp_path / "plan.txt"
    file.write_bytes(b"\x81\x8d\x8f\x90\x9d" * 20)
    assert check("ester", str(file)).exit_code == 2


def test_a_product_that_water_destroys_is_judged_without_a_plan_of_ours():
    args = ("--product", "O=C(Cl)CCc1ccccc1", "--with", "pyridine; 2 mmol", "--solvent", "DCM; 20 mL")
    made = record(*args, "--plan", SOUND, "--against")
    assert made["verdict"] == "flawed" and made["findings"][0]["kind"] == "loss"


@pytest.mark.parametrize("width", ["40", "80", "120"])
def test_text_keeps_to_the_width(width, monkeypatch):
    monkeypatch.setenv("COLUMNS", width)
    result = check(
        *FLASK, "--plan", "Wash twice with 20 mL of brine. Dry over MgSO4, filter and evaporate.", "--against"
    )
    assert result.exit_code == 1
    assert max(len(line) for line in result.stdout.splitlines()) <= max(int(width), 60)


HOSTILE = {
    "control characters": "wash\x00 with\x07 brine\x1b[31m, dry over \x08MgSO4, filter",
    "emoji": "🧪🧪 wash with brine 🧂🧂, dry 🌬️ over MgSO4, filter 🧻, rotovap 🎉",
    "right to left": "\u202ewash with water\u202c اغسل بالماء ثم بمحلول ملحي",
    "numbers": "1 2 3 4 5 6.7 8,9 10e5 -3 4/5 " * 200,
    "another language": "有機層を飽和重曹水と飽和食塩水で洗浄し、硫酸マグネシウムで乾燥した。",
    "one word": "w" * 29_000,
    "brackets": "(" * 5_000 + "wash with water" + ")" * 5_000,
    "lists": "wash with water, brine, " * 1_200,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_has_an_honest_outcome_in_time(name):
    begun = time.process_time()
    result = check(*FLASK, "-", text=HOSTILE[name])
    took = time.process_time() - begun
    assert result.exit_code in (0, 1, 2) and "Traceback" not in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert took < 2


def test_a_megabyte_is_refused_at_once(tmp_path):
    file = tmp_path / "plan.txt"
    file.write_text("wash with water. " * 70_000, encoding="utf-8")
    result = check(*FLASK, str(file))
    assert result.exit_code == 2 and "1 MB" in result.output and "Traceback" not in result.output
    file.write_text("wash with water. " * 5_000, encoding="utf-8")
    assert check(*FLASK, str(file)).exit_code == 2
