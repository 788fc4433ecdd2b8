"""The command line: every command on every mixture that comes with it, and every bad input that can be foreseen."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from washlore.cli.common import examples
from washlore.cli.main import COMMANDS, main
from washlore.cli.render.reasons import why_record, why_text
from washlore.rules import explain

ESTER = "CCOC(=O)/C=C/c1ccccc1"
EXAMPLES = sorted(examples())


def run(*args: str, stdin: str | None = None) -> Result:
    return CliRunner().invoke(main, list(args), input=stdin)


@cache
def record(*args: str) -> dict:
    result = run(*args, "--format", "json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def refused(*args: str, stdin: str | None = None) -> str:
    """Run a command that must refuse, and return its message."""
    result = run(*args, stdin=stdin)
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    message = result.stderr.strip()
    assert message and "Traceback" not in message
    assert "\n" not in message, "one paragraph"
    return message


def plan(*args: str) -> tuple[str, ...]:
    return ("plan", *args)


# Where to start


def test_alone_it_says_where_to_start():
    result = run()
    assert result.exit_code == 0
    shown = [line.split() for line in result.stdout.splitlines() if line.startswith("  washlore ")]
    assert shown and all(words[1] in COMMANDS or words[1] == "--help" for words in shown)


def test_version_is_that_of_the_package():
    from importlib.metadata import version

    assert run("--version").stdout == f"washlore {version('washlore')}\n"


@pytest.mark.parametrize("command", ["plan", "why", "know", "new", "properties"])
def test_help(command):
    assert command in run("--help").stdout
    result = run(command, "--help")
    assert result.exit_code == 0 and "Usage" in result.stdout


# plan


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("columns", ["40", "80", "200"])
def test_plan_of_an_example_fits_the_terminal(name, columns, monkeypatch):
    monkeypatch.setenv("COLUMNS", columns)
    result = run("plan", name)
    assert result.exit_code == 0, result.output
    width = max(40, int(columns))
    too_wide = [line for line in result.stdout.splitlines() if len(line) > width and " " in line.strip()]
    assert [line for line in too_wide if max(map(len, line.split())) < width - 12] == []
    for part in ("In the flask", "What to do", "What to expect", "Take care"):
        assert part in result.stdout


@pytest.mark.parametrize("name", EXAMPLES)
def test_text_holds_what_the_record_holds(name):
    text = " ".join(run("plan", name).stdout.split())
    made = record("plan", name)
    for step in made["steps"]:
        assert f"{step['number']}. {step['instruction'][:20]}" in text
    for item in made["components"]:
        assert item["name"].casefold() in text.casefold()
    for item in made["cautions"]:
        assert item["text"][1:40] in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_text_shows_no_ids(name):
    from washlore.knowledge.rows import Solution, table
    from washlore.rules.engine import all_lore

    shown = run("plan", name).stdout + run("why", name, "product").stdout + run("why", name, "1").stdout
    words = set(shown.replace("(", " ").replace(")", " ").replace(".", " ").replace(",", " ").split())
    assert words.isdisjoint({key for key in table(Solution) if "_" in key})
    assert words.isdisjoint({item.id for item in all_lore() if "-" in item.id})


def test_ester_example_is_the_textbook_workup():
    made = record("plan", "ester")
    washes = [step["solution"] for step in made["steps"] if step["action"] == "wash"]
    assert washes == ["hcl_1m", "nahco3_sat", "brine"]
    assert made["extraction_solvent"] == "dichloromethane"
    assert {step["layer_kept"] for step in made["steps"] if step["action"] == "wash"} == {"bottom"}


def test_options_say_the_same_as_a_file(tmp_path):
    file = tmp_path / "m.toml"
    file.write_text(
        f'title = "t"\n[product]\nsmiles = "{ESTER}"\namount = "10 mmol"\n'
        '[[others]]\nname = "benzoic acid"\namount = "2 mmol"\nrole = "reactant"\n'
        '[reaction]\nsolvent = "DCM"\nvolume_ml = 40\n[extraction]\nsolvent = "MTBE"\n[target]\nleft_percent = 2\n'
    )
    by_file = record("plan", str(file))
    by_options = record(
        *plan("--product", ESTER, "--amount", "10 mmol", "--with", "benzoic acid; 2 mmol; reactant"),
        *("--solvent", "DCM; 0.04 L", "--extract", "MTBE", "--target", "2"),
    )
    assert {k: v for k, v in by_file.items() if k != "title"} == {k: v for k, v in by_options.items() if k != "title"}


def test_missing_amounts_are_assumed_and_said():
    made = record(*plan("--product", ESTER, "--with", "pyridine"))
    assert len(made["assumptions"]) == 2
    assert all(item["amount_assumed"] for item in made["components"])
    assert "Assumed" in run(*plan("--product", ESTER, "--with", "pyridine")).stdout


def test_an_example_is_found_from_any_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("plan", EXAMPLES[0]).exit_code == 0


def test_a_file_goes_before_an_example_of_its_name(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("ester").write_text(f'title = "mine"\n[product]\nsmiles = "{ESTER}"\n')
    assert run("plan", "ester").stdout.startswith("Mine\n")


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (plan("--product", "C1CC("), "product"),
        (plan("--product", ""), "product"),
        (plan("--product", "   "), "product"),
        (plan(""), "name of the mixture is empty"),
        (("why", "ester", "not"), "after not comes what is not used"),
        (plan("--product", "CC(=O)O>>CC(=O)OC"), "reaction"),
        (plan("--product", "C" * 5000), "5,000"),
        (plan("--product", ESTER, "--with", "frobnicene"), "frobnicene"),
        (plan("--product", ESTER, "--with", "trietylamine"), "triethylamine"),
        (plan("--product", ESTER, "--with", "pyridine; -2 mmol"), "not positive"),
        (plan("--product", ESTER, "--with", "pyridine; 0 mmol"), "not positive"),
        (plan("--product", ESTER, "--with", "pyridine; lots"), "lots"),
        (plan("--product", ESTER, "--with", "pyridine; 2 mmol; spectator"), "spectator"),
        (plan("--product", ESTER, "--with", ""), "component 1"),
        (plan("--product", ESTER, "--amount", "5 parsec"), "5 parsec"),
        (plan("--product", ESTER, "--amount", "1 equiv"), "product"),
        (plan("--product", ESTER, "--with", f"{ESTER}; 1 mmol"), "product"),
        (plan("--product", ESTER, "--with", "EDC; 2 mmol"), "EDC"),
        (plan("--product", ESTER, "--extract", "acetone"), "miscible"),
        (plan("--product", ESTER, "--extract", "frob"), "solvent"),
        (plan("--product", ESTER, "--solvent", "DCM; a bit"), "a bit"),
        (plan("--product", ESTER, "--solvent", "DCM; -4 mL"), "volume"),
        (plan("--product", ESTER, "--target", "0"), "target"),
        (plan("--product", ESTER, "--target", "nan"), "target"),
        (plan("--product", ESTER, "--format", "xml"), "xml"),
        (plan("--product", "O=C(Cl)CCc1ccccc1", "--with", "pyridine"), "product"),
        (plan("--product", "O=C=Nc1ccccc1", "--with", "triethylamine"), "product"),
        (plan(), "product"),
        (plan("--with", "pyridine"), "product"),
        (plan("ester", "--product", ESTER), "together"),
        (plan("ester", "--extract", "MTBE"), "together"),
        (plan("nosuch.toml"), "nosuch.toml"),
        (plan("nosuch"), "ester"),
        (plan("ester", "amide"), "plan"),
        (plan("--nonsense"), "nonsense"),
        (("frob",), "plan, why, know, new, properties"),
        (("why",), "no subject"),
        (("why", "ester"), "ester"),
        (("why", "ester", "frobnicene"), "frobnicene"),
        (("why", "ester", "99"), "steps 1 to"),
        (("why", "ester", "0"), "steps 1 to"),
        (("why", "ester", "bicarbonete"), "hydrogen carbonate"),
        (("why", "nosuch.toml", "brine"), "nosuch.toml"),
        (("why", "frobnicene"), "frobnicene"),
        (("why", "--product", "O=C=Nc1ccccc1", "brine"), "product"),
        (("know", "frob"), "none of them holds it"),
        (("know", "solutons"), "Did you mean solutions?"),
        (("know", "citric", "acid"), "`washlore know solutions citric acid`"),
        (("know", "solutions", "frobnicene"), "frobnicene"),
        (("properties", "nosuch.csv"), "nosuch.csv"),
    ],
)
def test_bad_input_gets_one_message(args, said):
    assert said in refused(*args)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("title = \n", "TOML"),
        ('title = "no product"\n', "product"),
        ('[product]\nname = "ethyl benzoate"\ncolour = "red"\n', "colour"),
        ('tilte = "x"\n[product]\nname = "ethyl benzoate"\n', "tilte"),
        ('[product]\nname = "ethyl benzoate"\namount = 5\n', "amount"),
        ("[product]\n", "neither"),
        ('others = 3\n[product]\nname = "ethyl benzoate"\n', "others"),
        ('[product]\nname = "ethyl benzoate"\n[target]\nleft_percent = "few"\n', "left_percent"),
        ('[product]\nname = "ethyl benzoate"\n[target]\nleft_percent = 0\n', "target"),
        ('[product]\nname = "ethyl benzoate"\n[reaction]\nvolume_ml = 3\n', "volume_ml"),
        ('[product]\nname = "ethyl benzoate"\n[extraction]\nsolvent = "methanol"\n', "miscible"),
        ('[product]\nname = "ethyl benzoate"\n[[others]]\nname = "EDC"\n', "EDC"),
        ("\x00", "TOML"),
    ],
)
def test_a_bad_file_gets_one_message_that_names_it(tmp_path, text, said):
    file = tmp_path / "bad.toml"
    file.write_text(text)
    message = refused("plan", str(file))
    assert message.startswith(str(file)) and said in message


def test_a_file_that_is_not_text_and_a_folder(tmp_path):
    file = tmp_path / "latin.toml"
    file.write_bytes(b'title = "\xe9"\n')
    assert "UTF-8" in refused("plan", str(file))
    assert "folder" in refused("plan", str(tmp_path))
    assert "folder" in refused("properties", str(tmp_path))


# why


@cache
def example_plan(name: str):
    from washlore.rules.mixture_file import read_mixture
    from washlore.rules.plan import make_plan

    return make_plan(read_mixture(examples()[name]), 64)


@pytest.mark.parametrize("name", EXAMPLES)
def test_why_answers_about_every_part_of_a_plan(name):
    made = record("plan", name)
    subjects = [str(step["number"]) for step in made["steps"]]
    subjects += [item["name"] for item in made["components"]]
    subjects += [step[key] for step in made["steps"] for key in ("solution_name", "desiccant", "solvent") if step[key]]
    for subject in dict.fromkeys(subjects):
        answers = explain.why(example_plan(name), subject)
        assert answers and answers[0].in_plan and answers[0].reasons, subject
        shown = why_text(why_record(name, subject, answers), 80)
        assert "Sources" in shown and max(map(len, shown.splitlines())) <= 80


@pytest.mark.parametrize("name", EXAMPLES)
def test_why_not_always_has_an_answer_with_its_source(name):
    asked = ["brine", "1 M NaOH", "1 M HCl", "10 % citric acid", "bleach", "sodium sulfate", "hexane", "water", "EDTA"]
    for subject in asked:
        answers = explain.why(example_plan(name), f"not {subject}")
        assert answers and all(answer.reasons and answer.sources for answer in answers), subject


def test_why_goes_down_to_the_atom():
    shown = " ".join(run("why", "ester", "p-toluic acid").stdout.split())
    assert "(O) of " in shown and "pKa 4." in shown and "[1]" in shown and "Sources" in shown


def test_why_without_a_mixture_tells_the_lore():
    shown = run("why", "brine").stdout
    assert "saturated sodium chloride" in shown and "Rules that name it" in shown and "Sources" in shown
    assert "pKa" in run("why", "DMAP").stdout


def test_why_with_options_instead_of_a_file():
    result = run("why", "--product", ESTER, "--with", "benzoic acid; 2 mmol", "not", "1 M NaOH")
    assert result.exit_code == 0 and "not in the plan" in result.stdout


# know


def test_know_lists_its_tables():
    shown = run("know").stdout
    assert all(
        name in shown for name in ("groups", "solutions", "solvents", "desiccants", "reagents", "rules", "sources")
    )


@pytest.mark.parametrize(
    "table", ["groups", "solutions", "solvents", "desiccants", "reagents", "rules", "sources", "residues"]
)
def test_know_lists_a_table_in_text_and_json(table):
    shown = run("know", table).stdout
    made = record("know", table)
    assert len(made["rows"]) > 5
    assert len(shown.splitlines()) >= len(made["rows"])


def test_know_searches_all_words():
    found = {row["id"] for row in record("know", "solutions", "hydrogen", "carbonate", "saturated")["rows"]}
    assert "nahco3_sat" in found and "hcl_1m" not in found


# new


def test_new_writes_a_file_that_runs(tmp_path):
    file = tmp_path / "mine.toml"
    result = run("new", str(file))
    assert result.exit_code == 0 and str(file) in result.stdout
    assert run("plan", str(file)).exit_code == 0
    assert [path.name for path in tmp_path.iterdir()] == ["mine.toml"]


def test_new_refuses_to_overwrite_without_force(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text("mine")
    assert "--force" in refused("new", str(file))
    assert file.read_text() == "mine"
    assert run("new", str(file), "--force").exit_code == 0
    assert "[product]" in file.read_text()


def test_new_says_where_it_cannot_write(tmp_path):
    assert "folder" in refused("new", str(tmp_path))
    assert "cannot be written" in refused("new", str(tmp_path / "no" / "mine.toml"))


# properties


def test_properties_keeps_bad_rows_in_place(tmp_path):
    file = tmp_path / "in.csv"
    file.write_text("name,SMILES\nacid,CC(=O)O\nbad,C1CC\nempty,\namine,CCN(CC)CC\n")
    result = run("properties", str(file))
    assert result.exit_code == 1
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    assert [row["row"] for row in rows] == ["1", "2", "3", "4"]
    assert rows[0]["problem"] == "" and "acid pKa 4.7" in rows[0]["sites"]
    assert rows[1]["problem"] and rows[1]["sites"] == "" and rows[2]["problem"]
    assert float(rows[3]["ethyl_acetate_log_k"]) > 0 and float(rows[3]["ethyl_acetate_sigma"]) > 0
    assert "2 of 4" in result.stderr
    assert [row["name"] for row in rows] == ["acid", "bad", "empty", "amine"]
    assert [row["SMILES"] for row in rows] == ["CC(=O)O", "C1CC", "", "CCN(CC)CC"]


def test_properties_keep_the_columns_of_the_file(tmp_path):
    """Names of ours that the file has too are marked; a row with too many cells is reported, a short one is filled."""
    file = tmp_path / "in.csv"
    file.write_text('row,smiles,,note,note\n7,CCO,x,"a, b",c\n8,CO,1,2,3,4\n9,C\n')
    result = run("properties", str(file))
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    assert [row["row_computed"] for row in rows] == ["1", "2", "3"] and [row["row"] for row in rows] == ["7", "8", "9"]
    assert rows[0]["column_3"] == "x" and rows[0]["note"] == "a, b" and rows[0]["note_5"] == "c"
    assert "6 cells" in rows[1]["problem"] and rows[1]["sites"] == "" and rows[2]["problem"] == ""
    made = json.loads(run("properties", str(file), "--format", "json").stdout)
    assert made["rows"][0]["given"] == {"row": "7", "smiles": "CCO", "column_3": "x", "note": "a, b", "note_5": "c"}
    assert made["rows"][1]["problem"] == rows[1]["problem"]


def test_properties_are_written_as_they_are_read():
    """A record is out before the next row is asked for, so a list of any length needs no memory."""
    from washlore.cli import properties as command

    def rows():
        yield ["CCO"]
        assert "CCO" in out.getvalue()
        yield ["CO"]

    for style in ("csv", "json"):
        out = io.StringIO()
        command._write(out, command._Records(command.Given(["smiles"], 0, rows()), None), style)
        assert "CO" in out.getvalue()


def test_properties_survive_a_row_that_defeats_the_estimates(tmp_path, monkeypatch):
    from washlore.knowledge import acidity

    real = acidity.sites

    def fails(smiles: str) -> object:
        if smiles == "CO":
            raise ZeroDivisionError("by zero")
        return real(smiles)

    monkeypatch.setattr(acidity, "sites", fails)
    file = tmp_path / "in.csv"
    file.write_text("smiles\nCO\nCCO\n")
    result = run("properties", str(file))
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    assert result.exit_code == 1 and "ZeroDivisionError" in rows[0]["problem"] and rows[1]["problem"] == ""


def test_properties_of_good_rows_from_standard_input_to_a_file(tmp_path):
    out = tmp_path / "out.json"
    result = run("properties", "-", "--column", "s", "--format", "json", "--out", str(out), stdin="s\nOc1ccccc1\n")
    assert result.exit_code == 0 and result.stdout == ""
    made = json.loads(out.read_text())
    assert made["rows"][0]["sites"][0]["pka"] == pytest.approx(9.99, abs=0.1)
    assert made["rows"][0]["sites"][0]["source"] in made["sources"]


@pytest.mark.parametrize(("text", "said"), [("", "empty"), ("a,b\n1,2\n", "no column"), ("smiles\n\x00\n", "")])
def test_properties_of_a_bad_file(tmp_path, text, said):
    file = tmp_path / "in.csv"
    file.write_text(text)
    result = run("properties", str(file))
    assert result.exit_code in (1, 2) and said in result.stderr and "Traceback" not in result.output


# As a program


def program(*args: str, **extra: object) -> subprocess.CompletedProcess[str]:
    code = "from washlore.cli.main import main; main()"
    return subprocess.run([sys.executable, "-c", code, *args], capture_output=True, text=True, timeout=120, **extra)  # type: ignore[call-overload]


def test_program_refuses_without_a_traceback():
    done = program("plan", "--product", "C1CC(")
    assert done.returncode == 2 and done.stdout == "" and "Traceback" not in done.stderr


def test_program_survives_a_reader_that_leaves():
    code = (
        "import sys, subprocess\n"
        "p = subprocess.Popen([sys.executable, '-c', 'from washlore.cli.main import run; run()', 'know', 'groups'],"
        " stdout=subprocess.PIPE, stderr=subprocess.PIPE)\n"
        "p.stdout.read(10); p.stdout.close()\n"
        "sys.stdout.write(p.stderr.read().decode()); sys.exit(p.wait())"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120)
    assert "Traceback" not in done.stdout and "BrokenPipe" not in done.stdout


def test_an_interrupt_ends_quietly(monkeypatch):
    import washlore.rules.plan

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(washlore.rules.plan, "make_plan", stop)
    result = run("plan", "ester")
    assert result.exit_code == 130 and result.output.strip() == ""


def test_a_terminal_without_the_signs_gets_a_plan_too():
    import os

    done = program("plan", "ester", env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0 and "15 mL" in done.stdout and done.stderr == ""


@pytest.mark.parametrize(
    ("args", "code", "told"),
    [
        (("--version",), 0, "washlore "),
        (("know", "reagents", "--format", "json"), 0, '"rows"'),
        (("check", "ester", "--plan", "Washed with 1 M NaOH, dried over MgSO4, evaporated."), 1, ""),
        (("plan", "no such flask"), 2, ""),
    ],
)
def test_the_program_that_is_installed_writes_all_and_ends_with_the_code(args, code, told, tmp_path):
    with (tmp_path / "out").open("wb") as out, (tmp_path / "err").open("wb") as err:
        done = subprocess.run(
            [sys.executable, "-c", "from washlore.cli.main import run; run()", *args],
            stdout=out,
            stderr=err,
            timeout=120,
        )
    assert done.returncode == code
    shown = CliRunner().invoke(main, list(args))
    assert shown.exit_code == code and told in shown.stdout
    assert (tmp_path / "out").read_text("utf-8") == shown.stdout
    assert (tmp_path / "err").read_text("utf-8") == shown.stderr
