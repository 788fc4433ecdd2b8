"""``washlore review``: answers from every kind of source, and what comes out, read by the libraries that others read it with."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import subprocess
import sys
from importlib import resources
from pathlib import Path

import jsonschema
import openpyxl
import pandas as pd
import pyarrow.parquet as pq
import pytest
from click.testing import CliRunner, Result

from washlore.cli.classroom import alike
from washlore.cli.classroom.columns import find_columns
from washlore.cli.main import main

GOOD = "Wash with 2 x 15 mL of 1 M HCl, 2 x 15 mL sat. NaHCO3 and 15 mL brine. Dry over MgSO4, filter, evaporate."
POOR = "Wash with 2 x 20 mL of brine. Dry over MgSO4, filter, evaporate."
ALL = ("csv", "xlsx", "jsonl", "parquet")


def review(*args: str | Path, text: str | bytes | None = None) -> Result:
    return CliRunner().invoke(main, ["review", *map(str, args)], input=text)


def rows_of(out: Path) -> list[dict]:
    return [json.loads(line) for line in (out / "results.jsonl").read_text("ascii").splitlines()]


def run(
    folder: Path, plans: Path | str, *args: str | Path, mixture: str | Path = "ester", text=None, code=0
) -> list[dict]:
    out = folder / "out"
    result = review(mixture, plans, "--out", out, "--table", "jsonl", *args, text=text)
    assert result.exit_code == code, result.output
    return rows_of(out)


def write_csv(path: Path, rows: list[list[str]], encoding: str = "utf-8", **options: str) -> Path:
    held = io.StringIO()
    csv.writer(held, **options).writerows(rows)
    path.write_bytes(held.getvalue().encode(encoding))
    return path


@pytest.fixture
def plain(tmp_path: Path) -> Path:
    return write_csv(tmp_path / "class.csv", [["student", "answer"], ["Ficta Madeup", GOOD], ["Hypo Unreal", POOR]])


# What goes in -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252", "mac_roman"])
def test_encodings(tmp_path, encoding):
    names = ["Zoë Erfunden", "Renée Müller-Nirgendwo", "François Inventé", "Søren Ingensteds"]
    if encoding == "mac_roman":
        names = ["Zoë Erfunden", "Renée Müller-Nirgendwo", "François Inventé", "André Zéro", "Bjørn Ingensteds"]
    rows = [["student", "answer"], *([name, f"{GOOD} Température: 20 °C, éther."] for name in names)]
    found = run(tmp_path, write_csv(tmp_path / "c.csv", rows, encoding))
    assert [row["student"] for row in found] == names
    assert {row["verdict"] for row in found} <= {"ok", "minor"}


@pytest.mark.parametrize("delimiter", [";", "\t", "|"])
def test_delimiters(tmp_path, delimiter):
    path = write_csv(tmp_path / "c.csv", [["Name", "Response 1"], ["Ficta", GOOD]], delimiter=delimiter)
    assert run(tmp_path, path)[0]["mark"] == 10


def test_the_separator_line_of_a_spreadsheet_is_heeded(tmp_path):
    path = tmp_path / "c.csv"
    path.write_text(f'sep=;\nstudent;answer\nFicta;"{GOOD}"\n', encoding="utf-8")
    assert run(tmp_path, path)[0]["student"] == "Ficta"


def test_a_quiz_export_is_found_its_way_in(tmp_path):
    question = "<p>Work up the ester: wash, dry over MgSO4 and evaporate. What else?</p>"
    html = (
        "<p>Wash with 2 x 15 mL of 1 M HCl</p><ol><li>2 x 15 mL sat. NaHCO<sub>3</sub></li><li>15 mL brine</li></ol>"
        "<div>Dry over MgSO<sub>4</sub>,&nbsp;filter, evaporate.</div><script>alert('no')</script>"
    )
    rows = [["Surname", "First name", "Email address", "State", "Completed", "Grade/10.00", "Question 1", "Response 1"]]
    for n in range(4):
        rows.append(
            ["Madeup", f"Ficta{'abcd'[n]}", "x@example.org", "Finished", "2031-03-04 10:00", "-", question, html]
        )
    result = review(
        "ester", write_csv(tmp_path / "c.csv", rows, "utf-8-sig"), "--out", tmp_path / "o", "--table", "jsonl"
    )
    assert result.exit_code == 0, result.output
    assert "'Response 1'" in result.output and "'First name' and 'Surname'" in result.output
    found = rows_of(tmp_path / "o")
    assert [r["student"] for r in found] == [f"Ficta{x} Madeup" for x in "abcd"]
    assert all(r["mark"] == 10 for r in found) and "alert" not in json.dumps(found)


def test_columns_are_found_by_what_they_hold():
    header = ["id", "name", "88: How would you work this up?", "1.0", "comment"]
    sample = [["1", "Ficta", GOOD, "0", "fine"], ["2", "Hypo", POOR, "0", ""]]
    assert find_columns(header, sample, [""], {}, "x").answers == (2,)
    assert find_columns(header, sample, ["comment"], {"student": "id"}, "x").student == (0,)


@pytest.mark.parametrize(
    ("args", "word"),
    [
        (("--answer", "answr"), "'answer'"),
        (("--student", "nobody"), "no column 'nobody'"),
        (("--answer", "answer", "--answer", "student"), "one column for each"),
    ],
)
def test_a_column_that_is_not_there_is_named_with_its_neighbours(plain, args, word):
    result = review("ester", plain, *args)
    assert result.exit_code == 2 and word in result.output


def test_the_summary_alone_is_a_page_of_the_same_record(tmp_path):
    page, out = tmp_path / "class.html", tmp_path / "o"
    assert review("ester", "class", "--report", page).exit_code == 0
    assert review("ester", "class", "--out", out).exit_code == 0
    assert page.read_text("utf-8").strip() == (out / "summary.html").read_text("utf-8").strip()
    refused = review("ester", "class", "--report", tmp_path / "class.doc")
    assert refused.exit_code == 2 and "class.html" in refused.output and not (tmp_path / "class.doc").exists()


def test_two_columns_of_answers_are_asked_about(tmp_path):
    rows = [["student", "first", "second"], ["Ficta", GOOD, POOR], ["Hypo", POOR, GOOD]]
    result = review("ester", write_csv(tmp_path / "c.csv", rows))
    assert result.exit_code == 2 and "'first' and 'second'" in result.output and "--answer" in result.output


def test_xlsx_in(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(["Student ID", "Name", "Answer"])
    book.active.append([1001, "Ficta Madeup", GOOD])
    book.active.append([1002, "Hypo Unreal", "=1+1"])
    path = tmp_path / "c.xlsx"
    book.save(path)
    found = run(tmp_path, path)
    assert [(r["student"], r["verdict"]) for r in found] == [("Ficta Madeup", "ok"), ("Hypo Unreal", "no answer")]


def test_one_row_a_step_in_any_order(tmp_path):
    steps = [
        ("wash", "1 M HCl", "15", "2"),
        ("wash", "sat. NaHCO3", "15", "2"),
        ("wash", "brine", "15", "1"),
        ("dry", "MgSO4", "", ""),
        ("filter", "", "", ""),
        ("evaporate", "", "", ""),
    ]
    rows = [["student", "step", "solution", "volume", "repeats"]]
    for step in steps:
        rows += [["Ficta", *step], ["Hypo", *step]]
    found = run(tmp_path, write_csv(tmp_path / "c.csv", rows))
    assert [(r["student"], r["mark"]) for r in found] == [("Ficta", 10), ("Hypo", 10)]


def test_a_folder_of_texts(tmp_path):
    folder = tmp_path / "plans"
    folder.mkdir()
    (folder / "Ficta Madeup.txt").write_text(GOOD, encoding="utf-8")
    (folder / "Hypo Unreal.md").write_text(POOR, encoding="utf-16")
    (folder / "Mocka.docx").write_bytes(b"PK")
    (folder / ".hidden").write_text("x")
    (folder / "Dummy.txt").symlink_to("/etc/hostname")
    found = run(tmp_path, folder, code=1)
    assert [(r["student"], r["verdict"]) for r in found] == [
        ("Dummy", "unreadable"),
        ("Ficta Madeup", "ok"),
        ("Hypo Unreal", "flawed"),
        ("Mocka", "unreadable"),
    ]
    assert "link" in found[0]["problem"] and "docx" in found[3]["problem"]


def test_standard_input(tmp_path, plain):
    found = run(tmp_path, "-", text=plain.read_bytes())
    assert [r["student"] for r in found] == ["Ficta Madeup", "Hypo Unreal"]


LAB = """\
title = "Lab of nobody"
due = 2031-03-14T17:00:00
[columns]
student = "Who"
handed_in = "When"
[[question]]
name = "One"
mixture = "ester"
column = "A1"
[[question]]
name = "Two"
column = "A2"
mixture = "second.toml"
[question.rubric]
out_of = 4
product = 1
impurities = 2
no_hazard = 1
"""
SECOND = """\
title = "Second"
[product]
name = "ethyl benzoate"
amount = "5 mmol"
[[others]]
name = "benzoic acid"
amount = "1 mmol"
[reaction]
solvent = "DCM"
volume_ml = 30
"""


def test_several_questions_in_a_row_and_a_due_time(tmp_path):
    (tmp_path / "lab.toml").write_text(LAB)
    (tmp_path / "second.toml").write_text(SECOND)
    rows = [["Who", "When", "A1", "A2"], ["Ficta", "2031-03-14 16:59", GOOD, GOOD], ["Hypo", "15 March 2031", POOR, ""]]
    found = run(tmp_path, write_csv(tmp_path / "c.csv", rows), mixture=tmp_path / "lab.toml")
    assert [(r["question"], r["student"], r["mark"], r["late"]) for r in found] == [
        ("One", "Ficta", 10.0, False),
        ("Two", "Ficta", found[1]["mark"], False),
        ("One", "Hypo", found[2]["mark"], True),
        ("Two", "Hypo", None, True),
    ]
    assert found[1]["out_of"] == 4 and found[0]["student_total"] == 10 + found[1]["mark"]
    page = (tmp_path / "out" / "feedback" / "0002-ficta.html").read_text("utf-8")
    assert "One" in page and "Two" in page and "All answers together" in page and "Hypo" not in page


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("mixture = 'ester'\ntitle = 3", "title must be text"),
        ("", "no question"),
        ("colour = 1", "keys are"),
        ("[[question]]\nname = 'x'", "no mixture"),
        ("[[question]]\nmixture = 'nowhere'", "no such"),
        ("mixture = 'ester'\ndue = 'soon'", "due must be"),
        ("mixture = 'ester'\n[rubric]\nout_of = 99", "add up"),
        ("mixture = 'ester'\n[rubric.impurity.water]\npoints = 1", "in no flask"),
        ("not toml", "is not TOML"),
        ("[[question]]\nname = 'x'\nmixture = 'ester'\n[[question]]\nname = 'x'\nmixture = 'amine'", "called alike"),
    ],
)
def test_a_faulty_assignment_is_refused_with_the_place(tmp_path, plain, text, word):
    path = tmp_path / "lab.toml"
    path.write_text(text)
    result = review(path, plain)
    assert result.exit_code == 2 and word in result.output and len(result.output.splitlines()) == 1, result.output


@pytest.mark.parametrize(
    ("args", "word"),
    [
        ((), "no assignment"),
        (("ester",), "no plans"),
        (("ester", "nowhere.csv"), "no such file"),
        (("nothing", "x"), "no such"),
    ],
)
def test_what_is_missing_is_said(args, word):
    result = review(*args)
    assert result.exit_code == 2 and word in result.output


# What comes out -----------------------------------------------------------------------------------------------------


def test_the_tables_say_the_same_to_the_libraries_that_read_them(tmp_path):
    rows = [["student", "answer"], ["Zoë Nobody", GOOD], ["Hypo", POOR], ["=cmd()", POOR], ["Mocka", "nothing here"]]
    out = tmp_path / "o"
    result = review(
        "ester", write_csv(tmp_path / "c.csv", rows), "--out", out, *(x for t in ALL for x in ("--table", t))
    )
    assert result.exit_code == 1, result.output
    lines = rows_of(out)
    frame = pd.read_csv(out / "results.csv", dtype={"override": str}, keep_default_na=False, na_values=[""])
    parquet = pq.read_table(out / "results.parquet").to_pandas()
    sheet = list(openpyxl.load_workbook(out / "results.xlsx").active.iter_rows(values_only=True))
    header = list(sheet[0])
    assert list(frame.columns) == list(parquet.columns) == header
    for n, line in enumerate(lines):
        excel = dict(zip(header, sheet[n + 1], strict=True))
        for made in (frame.iloc[n], parquet.iloc[n], excel):
            for name in ("row", "verdict", "mark", "product_recovered_percent", "worst_leftover_percent"):
                got = made[name]
                assert (got is None or pd.isna(got)) if line[name] is None else got == line[name], name
            for name in ("feedback", "how_the_mark_came_about", "plan_read", "leftovers"):
                got = made[name]
                assert ("" if got is None or (not isinstance(got, str) and pd.isna(got)) else got) == line[name]
    assert [line["student"] for line in lines] == list(parquet["student"]) == ["Zoë Nobody", "Hypo", "=cmd()", "Mocka"]
    assert frame["student"][2] == "'=cmd()" and sheet[3][1] == "'=cmd()"
    assert all(cell.data_type != "f" for line in openpyxl.load_workbook(out / "results.xlsx").active for cell in line)


def test_lines_and_summary_keep_to_their_schema(tmp_path, plain):
    schema = json.loads(resources.files("washlore.cli.schemas").joinpath("review.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    result = review("ester", plain, "--out", tmp_path / "o", "--table", "jsonl", "--format", "json")
    assert result.exit_code == 0 and result.stdout.isascii()
    jsonschema.Draft202012Validator(schema).validate(json.loads(result.stdout))
    row = jsonschema.Draft202012Validator(schema["$defs"]["row"])
    check = json.loads(resources.files("washlore.cli.schemas").joinpath("check.schema.json").read_text("utf-8"))
    for line in rows_of(tmp_path / "o"):
        row.validate(line)
        for name, inner in (("findings", "findings"), ("steps", "plan_read"), ("left", "left")):
            part = {"$defs": check.get("$defs", {}), **check["properties"][inner]}
            jsonschema.Draft202012Validator(part).validate(line[name])


def test_the_same_class_gives_the_same_bytes(tmp_path, plain):
    def prints(out: Path, seed: str) -> dict[str, str]:
        command = [
            sys.executable,
            "-c",
            "from washlore.cli.main import main; main()",
            "review",
            "ester",
            str(plain),
            "--out",
            str(out),
        ]
        command += [x for t in ALL for x in ("--table", t)]
        subprocess.run(command, check=True, capture_output=True, env={**os.environ, "PYTHONHASHSEED": seed})
        return {
            str(p.relative_to(out)): hashlib.sha256(p.read_bytes()).hexdigest()
            for p in sorted(out.rglob("*"))
            if p.is_file() and p.suffix != ".sqlite"
        }

    first = prints(tmp_path / "a", "1")
    assert len(first) == 8
    assert first == prints(tmp_path / "b", "2")
    assert first == prints(tmp_path / "a", "3")  # and again, over what is there


def test_feedback_says_what_is_right_first_and_names_nobody_else(tmp_path):
    rows = [["student", "answer"], ["Ficta Madeup", GOOD], ["Hypo Unreal", f"{POOR} <b>*stars*</b> [a](b)"]]
    for style in ("html", "md"):
        out = tmp_path / style
        assert review("ester", write_csv(tmp_path / "c.csv", rows), "--out", out, "--feedback", style).exit_code == 0
        good, poor = (
            (out / "feedback" / f"{name}.{style}").read_text("utf-8")
            for name in ("0002-ficta-madeup", "0003-hypo-unreal")
        )
        assert "Hypo" not in good and "Ficta" not in poor
        assert poor.index("What is right") < poor.index("What would stay behind") < poor.index("Proposed mark")
        assert "Instead:" in poor and "Instead:" not in good
        assert not (out / "feedback" / f"0003-hypo-unreal.{'md' if style == 'html' else 'html'}").exists()


def test_the_summary_counts_quotes_and_says_three_things(tmp_path):
    rows = [["student", "answer"], *([f"Ficta {'abcdefgh'[n]}unreal", POOR if n else GOOD] for n in range(8))]
    result = review("ester", write_csv(tmp_path / "c.csv", rows), "--format", "json")
    made = json.loads(result.stdout)
    assert len(made["say"]) == 3
    first = made["misconceptions"][0]
    assert first["count"] == 7 and first["rule"] == "brine-removes-nothing" and first["quote"]
    assert made["alike"] == [{"group": 1, "plans": 7, "rows": list(range(3, 10))}]
    assert made["questions"][0]["impurities"][0]["left_behind"] == 7
    assert sum(b["count"] for b in made["questions"][0]["marks"]["bars"]) == 8
    text = review("ester", tmp_path / "c.csv").stdout
    assert "Ficta" not in text and "unreal" not in text and "accus" not in text


def test_a_quote_never_names_the_one_who_wrote_it(tmp_path):
    poor = f"Hypo here, call 5551234 or mail hypo@example.org. {POOR}"
    rows = [["student", "answer"], ["Hypo Unreal", poor]]
    text = review("ester", write_csv(tmp_path / "c.csv", rows)).stdout
    assert "Hypo" not in text and "5551234" not in text and "example.org" not in text


def test_plans_that_read_alike_are_grouped(tmp_path):
    other = "Extract with ether, wash with water, then dry over sodium sulfate, filter it and strip the ether off."
    rows = [["student", "answer"], ["A", POOR], ["B", POOR.replace("20", "25")], ["C", other], ["D", POOR.lower()]]
    assert [r["alike"] for r in run(tmp_path, write_csv(tmp_path / "c.csv", rows))] == [1, 1, None, 1]


def test_many_plans_are_grouped_as_a_few_are(monkeypatch):
    said = [f"{solvent}: {POOR} Pool the {n} layers." for solvent in ("ether", "hexane") for n in range(4)]
    other = [
        f"Filter off the {word}, rinse it with cold water and leave it to dry in air overnight."
        for word in ("solid", "cake")
    ]
    texts = [(str(i), "ester", text) for i, text in enumerate([*said, *other])]
    few = alike.leaders(texts)
    assert set(few[0].values()) == {"0", "8"}
    for most in (0, 1, 3):
        monkeypatch.setattr(alike, "FEW", most)
        assert alike.leaders(texts) == few


def test_an_override_goes_before_and_is_kept(tmp_path, plain):
    out = tmp_path / "o"
    args = ("ester", plain, "--out", out, "--table", "csv", "--table", "jsonl")
    assert review(*args).exit_code == 0
    before = rows_of(out)[1]["mark"]
    frame = pd.read_csv(out / "results.csv", keep_default_na=False)
    frame["override"] = ["", "7,5"]
    frame.to_csv(out / "results.csv", index=False)
    assert review(*args).exit_code == 0
    row = rows_of(out)[1]
    assert (row["mark"], row["proposed_mark"], row["student_total"]) == (7.5, before, 7.5)
    assert "overridden" in row["how_the_mark_came_about"]
    assert "Set by your instructor" in (out / "feedback" / "0003-hypo-unreal.html").read_text("utf-8")
    assert review(*args).exit_code == 0 and rows_of(out)[1]["mark"] == 7.5
    rows = [["student", "answer"], ["Somebody Else", GOOD], ["Quite Another", POOR]]
    write_csv(plain, rows)
    assert review(*args).exit_code == 0
    assert rows_of(out)[1]["mark"] == before and "not used" in rows_of(out)[1]["needs_a_look"]


def test_an_override_column_of_the_input_and_a_bad_one(tmp_path):
    rows = [["student", "answer", "override"], ["A", POOR, "6"], ["B", GOOD, "lots"], ["C", GOOD, "11"]]
    found = run(tmp_path, write_csv(tmp_path / "c.csv", rows))
    assert [r["mark"] for r in found] == [6, 10, 10]
    assert "not a number" in found[1]["needs_a_look"] and "not between" in found[2]["needs_a_look"]


def test_the_rubric_is_printed_and_can_be_used(tmp_path, plain):
    printed = review("--rubric")
    assert printed.exit_code == 0 and "[rubric]" in printed.stdout
    lab = tmp_path / "lab.toml"
    lab.write_text(f'mixture = "ester"\n{printed.stdout}')
    assert [r["mark"] for r in run(tmp_path, plain, mixture=lab)] == [r["mark"] for r in run(tmp_path, plain)]
    assert review(lab, "--rubric").stdout == printed.stdout


def test_a_row_that_cannot_be_read_is_told_in_its_place(tmp_path):
    rows = [
        ["student", "answer"],
        ["A", GOOD],
        ["B", "x" * 40_000],
        ["C", GOOD, "too", "many"],
        ["D", ""],
        ["E", "I forgot."],
    ]
    found = run(tmp_path, write_csv(tmp_path / "c.csv", rows), code=1)
    assert [r["row"] for r in found] == [2, 3, 4, 5, 6]
    assert [bool(r["problem"]) for r in found] == [False, True, True, True, True]
    assert "40,000 characters" in found[1]["problem"] and "4 cells" in found[2]["problem"]
    assert found[3]["verdict"] == "no answer" and found[4]["verdict"] == "unreadable"


def test_nothing_is_written_without_a_folder(tmp_path, plain, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert review("ester", plain).exit_code == 0
    assert [p.name for p in tmp_path.iterdir()] == ["class.csv"]


def test_a_table_needs_a_folder(plain):
    result = review("ester", plain, "--table", "xlsx")
    assert result.exit_code == 2 and "--out" in result.output


def test_a_product_that_water_destroys_is_marked_by_the_product_alone(tmp_path):
    lab = tmp_path / "lab.toml"
    lab.write_text('[product]\nsmiles = "O=C(Cl)CCc1ccccc1"\n[[others]]\nname = "pyridine"\namount = "1 mmol"\n')
    rows = [["student", "answer"], ["A", GOOD], ["B", "Filter off the salt and evaporate the solvent."]]
    found = run(tmp_path, write_csv(tmp_path / "c.csv", rows), mixture=lab)
    assert found[0]["verdict"] == "flawed" and found[0]["mark"] < 5 < found[1]["mark"] == 10


def test_help_loads_no_chemistry():
    code = (
        "import sys; from washlore.cli.main import main\n"
        "try: main()\nexcept SystemExit: pass\n"
        "assert not {'rdkit', 'pandas', 'experta'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code, "review", "--help"], check=True, capture_output=True)


def test_a_summary_page_in_a_real_browser(opened, tmp_path):
    rows = [["student", "answer"], ["Ficta <b>Madeup</b>", GOOD], ["Hypo", f"{POOR} <script>alert(1)</script>"]]
    out = tmp_path / "o"
    assert review("ester", write_csv(tmp_path / "c.csv", rows), "--out", out).exit_code == 0
    for path in (out / "summary.html", *sorted((out / "feedback").iterdir())):
        for width, scheme in ((360, "light"), (768, "dark"), (1280, "light")):
            seen = opened(path, viewport={"width": width, "height": 800}, color_scheme=scheme)
            assert seen.overflow() == [] and seen.complaints == [] and seen.faults() == []
            assert seen.page.locator("script").count() == 0
            assert seen.requests == [path.as_uri()]
        # By keyboard: the first stop jumps to the content, and whatever folds opens.
        seen.page.keyboard.press("Tab")
        seen.page.keyboard.press("Enter")
        assert seen.page.evaluate("document.activeElement.id") == "main"
        for fold in seen.page.locator("summary").all():
            fold.focus()
            seen.page.keyboard.press("Enter")
            assert fold.evaluate("e => e.parentElement.open")
    page = opened(out / "summary.html").page
    assert "Three things to say" in page.inner_text("#say")
    for figure in page.locator("svg[role=img]").all():
        assert figure.locator("desc").text_content()
    assert opened(out / "feedback" / "0002-ficta-b-madeup-b.html").page.inner_text("header").count("<b>Madeup</b>") == 1
