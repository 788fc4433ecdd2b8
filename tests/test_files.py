"""What is read and what is written: the wrong kind of file, encodings, options given twice, and nothing of the user's lost."""

from __future__ import annotations

import io
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from washlore.cli.main import main
from washlore.cli.properties import read_rows

PLAN = "Washed with sat. NaHCO3 (2 x 15 mL) and brine, dried over MgSO4, filtered, evaporated."
CLASS = f'student,answer\nA,"{PLAN}"\nB,"{PLAN} Weighed."\n'


def run(*args: str | Path, stdin: bytes = b""):
    return CliRunner().invoke(main, [str(arg) for arg in args], input=stdin)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="there is no file without an end")
@pytest.mark.parametrize(
    "args", [["plan", "/dev/zero"], ["check", "ester", "/dev/zero"], ["review", "/dev/zero", "class"]]
)
def test_a_file_without_an_end_is_refused(args):
    done = run(*args)
    assert done.exit_code == 2 and "1 MB" in done.stderr


@pytest.mark.parametrize("args", [["plan"], ["check", "ester"], ["review", "ester"], ["review"], ["properties"]])
def test_a_file_that_may_not_be_read_is_told_as_that(args, tmp_path, monkeypatch):
    path = tmp_path / "x.csv"
    path.write_text("smiles\nCCO\n", encoding="utf-8")

    usual = io.open

    def refused(file, *given, **named):
        if str(file) == str(path):
            raise PermissionError(13, "Permission denied", str(path))
        return usual(file, *given, **named)

    monkeypatch.setattr("io.open", refused)
    monkeypatch.setattr("builtins.open", refused)
    done = run(*args, path, *(["class"] if args == ["review"] else []))
    assert done.exit_code == 2 and "x.csv" in done.stderr and "UTF-8" not in done.stderr
    assert "may not be read" in done.stderr or "ermission" in done.stderr


def test_a_folder_that_may_not_be_read_is_not_said_to_be_unwritable(tmp_path, monkeypatch):
    def refused(_):
        raise PermissionError(13, "Permission denied", str(tmp_path))

    monkeypatch.setattr("pathlib.Path.iterdir", refused)
    done = run("review", "ester", tmp_path)
    assert done.exit_code == 2 and "cannot be read (Permission denied)" in done.stderr


def test_a_reader_that_leaves_the_list_of_a_file_is_no_trouble_with_the_file(tmp_path):
    file = tmp_path / "many.csv"
    file.write_text("smiles\n" + "CCO\n" * 200, encoding="utf-8")
    code = "from washlore.cli.main import main\nmain()"
    with subprocess.Popen(
        [sys.executable, "-c", code, "properties", str(file)], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as program:
        program.stdout.read(10)
        program.stdout.close()
        assert program.stderr.read() == b""


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"])
def test_a_plan_is_read_in_any_usual_encoding(encoding):
    done = run("check", "ester", "-", stdin=PLAN.replace("2 x", "2 ×").encode(encoding, "replace"))
    assert done.exit_code == 1 and done.output.count("sodium hydrogen carbonate") > 0 and "2 × 15 mL" in done.output


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("smiles;name\nCCO;a, b\n", ["CCO", "a, b"]),
        ('\ufeff"SMILES"\tname\nCCO\tx\n', ["CCO", "x"]),
        ("name,smiles\n1;2,CCO\n", ["1;2", "CCO"]),
        ("\n\nsmiles\nCCO\n", ["CCO"]),
    ],
)
def test_molecules_may_stand_between_commas_semicolons_or_tabs(text, cells):
    given = read_rows("x", io.StringIO(text), "smiles")
    assert list(given.rows) == [cells] and cells[given.place] == "CCO"


def test_standard_input_is_called_that():
    assert run("properties", "-").stderr.startswith("standard input: is empty")


def test_a_file_that_is_no_table_is_not_asked_for_its_columns(tmp_path):
    (tmp_path / "class.csv").write_bytes(bytes(range(1, 256)) * 20)
    done = run("review", "ester", tmp_path / "class.csv")
    assert done.exit_code == 2 and "is not a table" in done.stderr


def test_marks_are_taken_from_a_table_and_not_from_a_folder(tmp_path):
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    done = run("review", "ester", tmp_path / "class.csv", "--overrides", tmp_path)
    assert done.exit_code == 2 and "is a folder; name a CSV or XLSX file in it" in done.stderr


# Nothing that is the user's is written over ------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["results.csv", "summary.txt"])
def test_the_answers_of_a_class_are_not_written_over(name, tmp_path):
    plans = tmp_path / name
    plans.write_text(CLASS, encoding="utf-8")
    done = run("review", "ester", plans, "--out", tmp_path)
    assert done.exit_code == 2 and "would be written over" in done.stderr
    assert plans.read_text(encoding="utf-8") == CLASS and [p.name for p in tmp_path.iterdir()] == [name]


def test_what_is_written_does_not_go_among_the_plans(tmp_path):
    (tmp_path / "anna.txt").write_text(PLAN, encoding="utf-8")
    done = run("review", "ester", tmp_path, "--out", tmp_path / ".." / tmp_path.name)
    assert done.exit_code == 2 and "folder of the plans" in done.stderr
    assert run("review", "ester", tmp_path, "--out", tmp_path / "marked").exit_code == 0
    assert run("review", "ester", tmp_path, "--out", tmp_path / "marked").exit_code == 0


def test_a_report_does_not_go_over_the_plan_it_is_about(tmp_path):
    plan = tmp_path / "plan.md"
    plan.write_text(PLAN, encoding="utf-8")
    for args in (["check", "ester", plan, "--report", plan], ["plan", plan, "--report", plan]):
        done = run(*args)
        assert (
            done.exit_code == 2 and "would be written over" in done.stderr and plan.read_text(encoding="utf-8") == PLAN
        )


# Options -----------------------------------------------------------------------------------------------------------


def test_an_option_with_one_value_given_twice_is_not_half_heeded():
    done = run("plan", "--product", "naphthalene", "--product", "aniline")
    assert done.exit_code == 2 and "--product is given 2 times" in done.stderr and 'product"' in done.stderr
    assert run("plan", "ester", "--format", "json", "--format", "text").exit_code == 2
    assert run("plan", "ester", "--plain", "--plain").exit_code == 0


def test_a_value_that_is_left_out_is_told_with_the_command():
    assert run("plan", "ester", "--for").stderr.endswith("plan --help` lists what can be given.\n")


def test_a_key_given_twice_is_told_as_that(tmp_path):
    file = tmp_path / "x.toml"
    file.write_text('product = "aniline"\nproduct = "ether"\n', encoding="utf-8")
    assert "a key is given twice (at line 2" in run("plan", file).stderr


@pytest.mark.parametrize(
    ("option", "text", "meant"),
    [
        ("--solvent", "ether 40 mL", '"ether; 40 mL"'),
        ("--solvent", "ether, 40 mL", '"ether; 40 mL"'),
        ("--with", "aniline, 5 mmol, base", '"aniline; 5 mmol; base"'),
        ("--with", "acetic acid 0,5 g", '"acetic acid; 0,5 g"'),
    ],
)
def test_a_name_and_an_amount_without_a_semicolon(option, text, meant):
    done = run("plan", "--product", "naphthalene", option, text)
    assert (
        done.exit_code == 2
        and "is a name and an amount; each has its own place" in done.stderr
        and meant in done.stderr
    )


@pytest.mark.parametrize("words", [["step", "2"], ["2"], ["step 2"]])
def test_a_step_without_a_plan_is_told_to_want_one(words):
    done = run("why", *words)
    assert done.exit_code == 2 and "is a step of a plan; name its mixture first" in done.stderr


def test_a_mixture_file_that_is_not_there_is_told_of():
    assert "There is no file 'flask.tml' either." in run("why", "flask.tml", "brine").stderr
    assert "file" not in run("why", "nonsense", "brine").stderr


@pytest.mark.parametrize("question", ["1" * 5000, "a " * 5000, "step " + "9" * 30])
def test_a_question_without_end_is_refused(question):
    for args in (["why", "ester", question], ["why", question]):
        done = run(*args)
        assert done.exit_code == 2 and done.stderr.startswith("why:") and len(done.stderr) < 400


def test_a_solvent_of_blanks_is_refused_at_once():
    begun = time.process_time()
    done = run("plan", "--product", "naphthalene", "--solvent", "ether" + " " * 100_000 + "b")
    assert done.exit_code == 2 and time.process_time() - begun < 2


# Signs that steer a terminal ---------------------------------------------------------------------------------------

STEERS = "washed with \x1b[8mbrine\x1b[2J and \u202ewater\u200b, dried over MgSO4, evaporated\x1b]0;title\x07"


def test_a_plan_cannot_steer_the_terminal_of_who_judges_it(monkeypatch, tmp_path):
    """An escape in a plan could hide the verdict on it; only the signs that make headings bold are ours."""
    monkeypatch.setenv("NO_COLOR", "1")
    plain = CliRunner().invoke(main, ["check", "ester", "--plan", STEERS], color=True).output
    assert "brine" in plain and not set(plain) & set("\x1b\x07\u202e\u200b")
    for name in ("x.html", "x.md", "x.svg"):
        run("check", "ester", "--plan", STEERS, "--report", tmp_path / name)
        assert not set((tmp_path / name).read_text(encoding="utf-8")) & set("\x1b\x07\u202e\u200b")


def test_a_title_and_a_message_cannot_steer_it_either(tmp_path):
    file = tmp_path / "x.toml"
    file.write_text('title = "\\u001b[2Jred"\nproduct = "naphthalene"\n', encoding="utf-8")
    assert "\x1b[2J" not in CliRunner().invoke(main, ["plan", str(file)], color=True).output
    done = CliRunner().invoke(main, ["plan", "\x1b[2Jx.toml"], color=True)
    assert done.exit_code == 2 and "\x1b" not in done.stderr
