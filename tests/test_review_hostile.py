"""Hostile input is data: bounded time and memory, one message, nothing run, nothing written where it should not be."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
import time
import zipfile
from pathlib import Path
from types import SimpleNamespace

import openpyxl
import pytest
from click.testing import CliRunner, Result

from washlore.cli.classroom import spreadsheets
from washlore.cli.classroom.cleaning import anonymous, file_name, no_formula, plain_text
from washlore.cli.classroom.results import their_words
from washlore.cli.main import main

GOOD = "Wash with 2 x 15 mL of 1 M HCl, 2 x 15 mL sat. NaHCO3 and 15 mL brine. Dry over MgSO4, filter, evaporate."


def review(*args: str | Path, text: bytes | None = None) -> Result:
    result = CliRunner().invoke(main, ["review", *map(str, args)], input=text)
    assert "Traceback" not in result.output and not isinstance(
        result.exception, (Exception,) if result.exit_code > 2 else ()
    )
    return result


def rows_for(folder: Path, *rows: list[str]) -> list[dict]:
    path = folder / "c.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([["student", "answer"], *rows])
    result = review("ester", path, "--out", folder / "o", "--table", "jsonl", "--table", "csv", "--table", "xlsx")
    assert result.exit_code in (0, 1), result.output
    return [json.loads(line) for line in (folder / "o" / "results.jsonl").read_text("ascii").splitlines()]


@pytest.mark.parametrize(
    "cell",
    [
        "=1+1",
        "+1",
        "-1",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        " =1",
        "\n=1",
        '=HYPERLINK("http://example.org")',
        "=cmd|' /C x'!A0",
    ],
)
def test_formulas_are_made_plain(cell):
    assert str(no_formula(cell)).startswith("'")


def test_numbers_and_words_are_left_alone():
    assert [no_formula(v) for v in ("wash", "2 x 15 mL", -1.5, None, "")] == ["wash", "2 x 15 mL", -1.5, None, ""]


def test_formulas_in_names_and_answers_run_in_no_table(tmp_path):
    rows_for(tmp_path, ["=1+1", f"={GOOD}"], ["@x", f"- {GOOD}"], ["+y", f"-{GOOD} =cmd()"])
    with (tmp_path / "o" / "results.csv").open(encoding="utf-8-sig", newline="") as file:
        for row in csv.reader(file):
            for cell in row:
                assert not cell.startswith(("=", "+", "@", "\t", "\r")), cell
                assert not cell.startswith("-") or cell[1:].replace(".", "").isdigit(), cell
    for row in openpyxl.load_workbook(tmp_path / "o" / "results.xlsx").active:
        assert all(cell.data_type != "f" for cell in row)


@pytest.mark.parametrize(
    ("name", "made"),
    [
        ("../../etc/passwd", "0007-etc-passwd"),
        ("..\\..\\windows", "0007-windows"),
        ("/abs", "0007-abs"),
        ("a\0b\n\u202ec", "0007-a-b-c"),
        ("CON", "0007-con-"),
        ("", "0007"),
        ("日本", "0007"),
        ("é" * 500, "0007-" + "e" * 60),
        ("<script>", "0007-script"),
        ("a" * 300, "0007-" + "a" * 60),
    ],
)
def test_file_names_are_safe(name, made):
    assert file_name(7, name).rstrip("-") == made.rstrip("-")
    assert "/" not in file_name(7, name) and len(file_name(7, name)) < 80


def test_files_stay_in_their_folder_and_twins_keep_apart(tmp_path):
    rows_for(tmp_path, ["../../evil", GOOD], ["Twin", GOOD], ["Twin", GOOD], ["twin ", GOOD])
    assert sorted(p.name for p in (tmp_path / "o" / "feedback").iterdir()) == [
        "0002-evil.html",
        "0003-twin.html",
        "0004-twin.html",
        "0005-twin.html",
    ]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["c.csv", "o"]


def test_marks_that_cannot_be_seen_change_nothing(tmp_path):
    hidden = "".join(f"{c}\u200b" for c in GOOD[:20]) + "\u202e" + GOOD[20:] + "\x00\x07\x1b[31m\ufeff"
    rows = rows_for(tmp_path, ["Ficta\u202e Madeup\x1b", hidden], ["Hypo", GOOD])
    assert rows[0]["student"] == "Ficta Madeup" and rows[0]["mark"] == rows[1]["mark"] == 10
    for path in (tmp_path / "o").rglob("*"):
        if path.suffix in (".html", ".txt", ".csv"):
            text = path.read_text("utf-8-sig")
            assert not set(text) & {"\u202e", "\u200b", "\x1b", "\x00", "\x07"}, path


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ("pH < 7 and 3 > 2", "pH < 7 and 3 > 2"),
        ("<p>a</p><p>b</p>", "a\n\nb"),
        ("a<br>b<br/>c", "a\nb\nc"),
        ("NaHCO<sub>3</sub> &amp; brine&nbsp;x", "NaHCO3 & brine x"),
        ("<ol><li>wash</li><li>dry</li></ol>", "1. wash\n\n2. dry"),
        ("<style>p{}</style><script>x</script>wash", "wash"),
        ("<p>unclosed <b>wash", "unclosed wash"),
        ("a < b <c> d", "a < b <c> d"),
        ("<!-- hidden --><p>wash</p>", "wash"),
        ("\ud800 lone", "? lone"),
        ("<!DOCTYPE html><p class='a'>pH < 7<![if x]> b<![endif]></p>", "pH < 7 b"),
        ("<p><o:p>wash</o:p>   \n   it</p><!-- never ended", "wash it\n<!-- never ended"),
    ],
)
def test_html_becomes_text(cell, text):
    assert plain_text(cell) == text


def test_nested_tags_take_no_longer_than_their_length():
    begun = time.process_time()
    for piece in ("<div>", "<p", "<b><", "&amp", "<ol><li>", "</p>", "<!--", "<![CDATA[", "<script>", "<a href='"):
        plain_text((piece * 80_000)[:400_000])
        plain_text("<p>" + (piece * 80_000)[:400_000])
    plain_text("<p>" + " " * 400_000)
    assert time.process_time() - begun < 20


def test_quotes_are_anonymous():
    assert anonymous("wash with HCl", "Hcl Nobody") == ""
    assert anonymous("ask me at a@b.org or 123456", "Ficta") == "ask me at ... or ..."
    assert anonymous("wash as Mocka says", "Ficta", {"mocka"}) == ""


def test_answers_out_of_all_bounds_are_told_and_the_rest_is_judged(tmp_path):
    smiles = "C" * 10_000
    rows = rows_for(
        tmp_path,
        ["ten megabytes", "wash with water " * 640_000],
        ["a molecule", f"Wash {smiles} with 20 mL brine. Dry over MgSO4, filter, evaporate."],
        ["brackets", "(" * 20_000],
        ["words", "wash with water and " * 1_400],
        ["fine", GOOD],
    )
    assert "characters" in rows[0]["problem"] and rows[4]["mark"] == 10
    assert rows[1]["verdict"] in ("flawed", "unreadable", "minor", "ok", "dangerous")
    assert rows[2]["problem"]


def test_a_mixture_with_a_molecule_of_ten_thousand_atoms_is_refused(tmp_path):
    (tmp_path / "c.csv").write_text(f'student,answer\nFicta,"{GOOD}"\n')
    (tmp_path / "lab.toml").write_text(f'[product]\nsmiles = "{"C" * 10_000}"\n')
    result = review(tmp_path / "lab.toml", tmp_path / "c.csv")
    assert result.exit_code == 2 and len(result.output) < 2_000


def bomb(path: Path, megabytes: int) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        with archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as sheet:
            for _ in range(megabytes):
                sheet.write(b"0" * 1_000_000)
    return path


def test_a_zip_bomb_is_refused_before_it_goes_off(tmp_path):
    path = bomb(tmp_path / "c.xlsx", 700)
    assert path.stat().st_size < 10_000_000
    begun = time.process_time()
    result = review("ester", path)
    assert result.exit_code == 2 and "unpack to 700 MB" in result.output
    assert time.process_time() - begun < 10


def test_entities_do_not_unfold(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(["student", "answer"])
    good = tmp_path / "good.xlsx"
    book.save(good)
    bad = tmp_path / "bad.xlsx"
    laughs = b'<!DOCTYPE x [<!ENTITY a "ha">' + b"".join(
        b'<!ENTITY %s "%s">' % (bytes([98 + n]), b"&%s;" % bytes([97 + n]) * 10) for n in range(9)
    )
    with zipfile.ZipFile(good) as old, zipfile.ZipFile(bad, "w") as new:
        for item in old.infolist():
            data = old.read(item)
            if item.filename == "xl/worksheets/sheet1.xml":
                data = (
                    laughs
                    + b"]>"
                    + data.replace(
                        b"<sheetData>", b"<sheetData><row r='3'><c t='inlineStr'><is><t>&j;</t></is></c></row>"
                    )
                )
            new.writestr(item, data)
    assert review("ester", bad).exit_code == 2


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "empty"),
        (b"\n\n\n", "empty"),
        (b"student,answer\n", "no answers"),
        (b"PK\x03\x04 broken", "damaged"),
        (b"\xd0\xcf\x11\xe0 old", ".xls"),
        (b"%PDF-1.7", "not a table"),
        (b"\x00\x01\x02\x03" * 100, "not a table"),
        (b"a,b\n" + b"\xff\xfe\x00" * 50, "column"),
        (b'"' * 100_001, ""),
        (b"x" * 100_000, "column"),
    ],
)
def test_what_is_no_class_is_one_message(tmp_path, content, word):
    path = tmp_path / "c.csv"
    path.write_bytes(content)
    result = review("ester", path)
    assert result.exit_code == 2 and word in result.output and len(result.output) < 2_500, result.output


def test_a_quote_that_is_never_closed_takes_the_rest_and_is_told(tmp_path):
    path = tmp_path / "c.csv"
    path.write_text(f'student,answer\nFicta,"{GOOD}"\nHypo,"{GOOD}\n' + f"Mocka,{GOOD}\n" * 3_000)
    result = review("ester", path, "--out", tmp_path / "o", "--table", "jsonl")
    rows = [json.loads(line) for line in (tmp_path / "o" / "results.jsonl").read_text("ascii").splitlines()]
    assert result.exit_code == 1 and rows[0]["mark"] == 10 and "characters" in rows[1]["problem"]


def test_a_line_without_end_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(spreadsheets, "MOST_CELL", 100_000)
    path = tmp_path / "c.csv"
    path.write_text(f'student,answer\nFicta,"{GOOD}"\nHypo,{"x" * 300_000}\n')
    result = review("ester", path, "--out", tmp_path / "o", "--table", "jsonl")
    assert result.exit_code == 1 and "100,000 characters" in result.output


def test_a_million_rows_are_refused_in_bounded_time_and_memory(tmp_path):
    held = io.StringIO()
    csv.writer(held).writerow(["Ficta Madeup", GOOD])
    path = tmp_path / "c.csv"
    with path.open("w") as file:
        file.write("student,answer\n")
        for _ in range(1_000):
            file.write(held.getvalue() * 1_000)
    # VmHWM is of the program itself; ru_maxrss would count what the process that started it held.
    code = (
        "import re; from washlore.cli.main import main\n"
        "try: main()\nfinally: print(int(re.search(r'VmHWM:\\s+(\\d+)', open('/proc/self/status').read())[1]) // 1024)"
    )
    if sys.platform != "linux":
        code = "from washlore.cli.main import main; main()"
    done = subprocess.run([sys.executable, "-c", code, "review", "ester", str(path)], capture_output=True, text=True)
    assert done.returncode == 2 and "more than 200,000 rows" in done.stderr
    if sys.platform == "linux":
        assert int(done.stdout.split()[-1]) < 400


def test_standard_input_has_an_end(monkeypatch):
    monkeypatch.setattr(spreadsheets, "MOST_BYTES", 1_000)
    assert "Split it" in review("ester", "-", text=b"student,answer\n" + b"x" * 5_000).output


def test_nothing_asks_the_network(tmp_path):
    path = tmp_path / "c.csv"
    path.write_text(f'student,answer\nFicta,"{GOOD} https://example.org/x.png"\n')
    code = (
        "import socket, sys\n"
        "def no(*a, **k): raise AssertionError('network')\n"
        "socket.socket.connect = no; socket.getaddrinfo = no\n"
        "from washlore.cli.main import main; main()"
    )
    command = [
        sys.executable,
        "-c",
        code,
        "review",
        "ester",
        str(path),
        "--out",
        str(tmp_path / "o"),
        "--table",
        "xlsx",
    ]
    assert subprocess.run(command, capture_output=True).returncode == 0
    assert "<img" not in (tmp_path / "o" / "feedback" / "0002-ficta.html").read_text("utf-8")


def test_words_that_end_in_nothing_but_commas_are_quoted_in_no_time():
    begun = time.process_time()
    text = "washed with brine" + ", ;" * 9_000 + "x"
    record = {"plan_read": [{"number": 1, "start": 0, "end": 17}]}
    result = SimpleNamespace(record=record, answer=SimpleNamespace(kind="text", text=text))
    assert their_words(result, {"step": 1, "quote": ""}).startswith("washed with brine")
    result.answer.text = "washed with brine and then, 2."
    assert their_words(result, {"step": 1, "quote": ""}) == "washed with brine"
    assert time.process_time() - begun < 1


@pytest.mark.parametrize("name", ["x" * 400 + ".toml", "x" * 400, "a\\u0000b.toml", "."])
def test_a_mixture_of_an_assignment_whose_name_no_file_can_have(tmp_path, name):
    (tmp_path / "lab.toml").write_text(f'[[question]]\nmixture = "{name}"\n', encoding="utf-8")
    result = review(tmp_path / "lab.toml", "class")
    assert result.exit_code == 2 and "kept" not in result.stderr and len(result.stderr) > 40
