"""The report of a plan, opened in a real browser: whole, readable, printable, and true to the record."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from flasks import FOUR_PRODUCTS, TWO_PRODUCTS

from washlore.cli.common import examples
from washlore.cli.main import main
from washlore.cli.page import report
from washlore.cli.page.browser import find_browser
from washlore.cli.page.environment import formula, told_band
from washlore.cli.page.funnel import BOTTOM, TOP, height_of, share_below
from washlore.cli.page.scheme import lay_out, scheme_lines
from washlore.rules.words import between, share

WIDTHS = (360, 768, 1280)
EXAMPLES = sorted(examples())
HARD = (
    FOUR_PRODUCTS,
    TWO_PRODUCTS,
    ("--product", "CCOC(=O)c1ccccc1", "--with", "pyridine", "--solvent", "THF; 30 mL"),
    ("--product", "CCOC(=O)c1ccccc1", "--with", "benzoyl chloride; 1 mmol", "--with", "DMF; 3 mL"),
    ("--product", "CCOC(=O)c1ccccc1", "--with", "[Na+].[O-]C(=O)CCN; 1 mmol", "--with", "CC[NH+](CC)CC.[Cl-]; 1 mmol"),
    ("--product", "OC(=O)CCc1ccccc1", "--with", "1-octanol; 5 mmol", "--solvent", "DCM; 40 mL"),
)


def run(*args: str) -> str:
    result = CliRunner().invoke(main, ["plan", *args], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.stdout


@cache
def record(*args: str) -> dict:
    return json.loads(run(*args, "--format", "json"))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("reports")


def written(folder: Path, name: str, *options: str) -> Path:
    path = folder / f"{name}{'-'.join(options).replace('--', '')}.html"
    if not path.exists():
        run(name, "--report", str(path), *options)
    return path


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_a_report_fits_and_has_no_fault(opened, folder, name, width, scheme):
    path = written(folder, name, "--for", "instructor")
    seen = opened(path, viewport={"width": width, "height": 800}, color_scheme=scheme)
    assert seen.overflow() == []
    assert seen.faults() == []
    assert seen.complaints == []
    assert seen.requests == [path.as_uri()]


def test_the_sheet_fits_a_phone(opened, folder):
    seen = opened(written(folder, "amine", "--sheet"), viewport={"width": 360, "height": 740})
    assert seen.overflow() == []
    assert seen.faults() == []


def test_folds_ticks_and_blanks_work_by_keyboard(opened, folder):
    page = opened(written(folder, "ester")).page
    page.locator("#reasons ~ details summary").first.focus()
    assert not page.locator("details").first.evaluate("e => e.open")
    page.keyboard.press("Enter")
    assert page.locator("#reasons ~ details").first.evaluate("e => e.open")
    page.keyboard.press("Space")
    assert not page.locator("#reasons ~ details").first.evaluate("e => e.open")
    page.keyboard.press("Enter")
    for _ in range(20):  # the tree goes on inside: fold after fold is reached, beside links to sources, and opened
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.tagName") == "SUMMARY":
            page.keyboard.press("Enter")
    assert page.locator("#reasons ~ details details[open] details[open] details[open]").count() >= 1
    page.locator("#tick-1").focus()
    page.keyboard.press("Space")
    assert page.locator("#tick-1").is_checked()
    page.keyboard.press("Tab")
    page.keyboard.type("44")
    assert page.evaluate("document.activeElement.value") == "44"


def numbers_of(value: object) -> set[float]:
    if isinstance(value, dict):
        return {n for inner in value.values() for n in numbers_of(inner)}
    if isinstance(value, list):
        return {n for inner in value for n in numbers_of(inner)}
    return {float(value)} if isinstance(value, int | float) and not isinstance(value, bool) else set()


def texts_of(value: object) -> list[str]:
    if isinstance(value, dict):
        return [t for inner in value.values() for t in texts_of(inner)]
    if isinstance(value, list):
        return [t for inner in value for t in texts_of(inner)]
    return [value] if isinstance(value, str) else []


NUMBER = re.compile(r"\d+(?:\.\d+)?")


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_number_on_the_page_is_the_records(opened, folder, name):
    """A number on the page is a ``data`` element that holds a number of the record, or stands in words of the record."""
    made = record(name)
    page = opened(written(folder, name, "--for", "instructor")).page
    known = numbers_of(made)
    shown = page.evaluate("[...document.querySelectorAll('data')].map(e => [e.value, e.textContent])")
    assert len(shown) > 40
    for value, text in shown:
        assert float(value) in known, (value, text)
        read = float(NUMBER.search(text).group())
        size = float(value) * (100 if "%" in text or (0 < float(value) < 1 and read > 1) else 1)
        limit = text.startswith(("under", "over"))
        assert limit or read == pytest.approx(abs(size), rel=0.06, abs=0.51), (value, text)
    rest = page.evaluate(
        """() => {
          const copy = document.body.cloneNode(true);
          copy.querySelectorAll('data, svg, sub, sup, .mark, .n, footer').forEach(e => e.remove());
          return copy.textContent;
        }"""
    )
    words = " ".join(texts_of(made)) + " " + report.job(made) + " " + " ".join(scheme_lines(made, 10_000))
    allowed = set(NUMBER.findall(words)) | {f"{n:g}" for n in known if n < 30} | {"0.5", "0.01"}
    odd = [n for n in NUMBER.findall(rest) if n not in allowed and n.rstrip("0").rstrip(".") not in allowed]
    rounded = {f"{n:.1f}" for n in known}
    assert [n for n in odd if n not in rounded] == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_the_sheet_is_one_page_of_paper(opened, folder, name, paper):
    from pypdf import PdfReader

    page = opened(written(folder, name, "--sheet")).page
    assert len(PdfReader(io.BytesIO(page.pdf(format=paper))).pages) == 1


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_the_report_prints_on_few_pages_within_the_margins_with_every_step(opened, folder, paper, name):
    from pypdf import PdfReader

    seen = opened(written(folder, name), viewport={"width": 700, "height": 1000}, color_scheme="dark")
    reader = PdfReader(io.BytesIO(seen.page.pdf(format=paper, print_background=True)))
    text = " ".join(" ".join(page.extract_text().split()) for page in reader.pages)
    for step in record(name)["steps"]:
        assert step["instruction"][:40] in text
    assert len(reader.pages) <= 5
    assert "Open a line" not in text
    seen.page.emulate_media(media="print")
    assert seen.page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(252, 251, 248)"
    assert seen.overflow() == []


def test_a_pdf_is_printed_by_the_browser(folder):
    from pypdf import PdfReader

    if find_browser() is None:
        pytest.skip("no browser was found")
    path = folder / "ester.pdf"
    run("ester", "--report", str(path), "--sheet")
    reader = PdfReader(path)
    assert len(reader.pages) == 1
    assert "magnesium sulfate" in reader.pages[0].extract_text()


def test_without_a_browser_a_pdf_is_refused_with_what_would_work(folder, monkeypatch):
    monkeypatch.setenv("WASHLORE_BROWSER", "no-such-browser")
    result = CliRunner().invoke(main, ["plan", "ester", "--report", str(folder / "x.pdf")])
    assert result.exit_code == 2
    assert "install Chromium" in result.output and "x.html" in result.output
    assert not (folder / "x.pdf").exists()


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--report", "x.docx"), ".html (a page)"),
        (("--report", "x"), "x.html"),
        (("--report", "x.svg", "--sheet"), "x.html or x.pdf"),
        (("--sheet",), "--report sheet.html"),
        (("--report", "no/such/folder/x.html"), "cannot be written"),
    ],
)
def test_what_cannot_be_written_is_said(options, says):
    result = CliRunner().invoke(main, ["plan", "ester", *options])
    assert result.exit_code == 2
    assert says in result.output


@pytest.mark.parametrize("args", [*((name,) for name in EXAMPLES), *HARD], ids=" ".join)
def test_every_way_of_writing_takes_every_plan(folder, args):
    made = record(*args)
    for depth in ("student", "chemist", "instructor"):
        page = report.plan_page(made, depth)
        assert len(page.encode()) < 1_000_000
        assert ("Students often think" in page) == (depth == "instructor")
        for step in made["steps"]:
            assert f'id="tick-{step["number"]}"' in page
        idents = re.findall(r'\bid="([^"]+)"', page)
        assert len(idents) == len(set(idents))
        assert all(ref in idents for ref in re.findall(r'href="#([^"]+)"', page))
    text = report.plan_markdown(made, "student")
    assert text.startswith("# ") and "```text" in text
    tables = [line for line in text.splitlines() if line.startswith("|")]
    assert {line.count("|") for line in tables} == {7}
    assert text.count("\n- [ ] ") == len(made["steps"])
    drawn = ET.fromstring(report.scheme_svg(made))
    assert drawn.attrib["role"] == "img"


@pytest.mark.parametrize("args", [*((name,) for name in EXAMPLES), *HARD], ids=" ".join)
def test_boxes_of_the_scheme_do_not_overlap(args):
    apart_all(lay_out(record(*args)).boxes)


def apart_all(boxes):
    for n, one in enumerate(boxes):
        for two in boxes[n + 1 :]:
            apart = (
                one.x + one.width <= two.x
                or two.x + two.width <= one.x
                or one.y + one.height <= two.y
                or two.y + two.height <= one.y
            )
            assert apart, (one.lines, two.lines)


def two_products() -> dict:
    """Return a record whose streams go on in two ways, as in a separation of an acid from a neutral."""
    made = json.loads(json.dumps(record("ester")))
    made["steps"] = made["steps"][:3]
    base = {"label": None, "volume_ml": 20.0, "mass_g": None, "ph": None, "goes_to": None, "holds": []}
    made["streams"] = [
        {
            **base,
            "id": "m",
            "kind": "mixture",
            "name": "the mixture",
            "from_step": None,
            "to_step": 1,
            "fate": "goes on",
        },
        {**base, "id": "a", "kind": "organic", "name": "flask A", "from_step": 1, "to_step": 2, "fate": "goes on"},
        {**base, "id": "b", "kind": "aqueous", "name": "flask B", "from_step": 1, "to_step": 3, "fate": "goes on"},
        {**base, "id": "p", "kind": "solid", "name": "product A", "from_step": 2, "to_step": None, "fate": "product"},
        {**base, "id": "w", "kind": "aqueous", "name": "waste of A", "from_step": 2, "to_step": None, "fate": "waste"},
        {**base, "id": "q", "kind": "solid", "name": "product B", "from_step": 3, "to_step": None, "fate": "product"},
    ]
    for stream, label in zip(made["streams"][3:], ("P1", "W1", "P2"), strict=True):
        stream["label"] = label
    return made


def test_a_scheme_of_two_products_is_a_tree():
    made = two_products()
    boxes = lay_out(made).boxes
    apart_all(boxes)
    assert sum(box.shape == "product" for box in boxes) == 2
    assert len({box.x for box in boxes if box.shape == "step"}) == 2
    lines = "\n".join(scheme_lines(made, 80))
    for words in ("flask A", "flask B", "product A", "product B", "waste W1"):
        assert words in lines
    assert all(line.isascii() for line in scheme_lines(made, 80, plain=True))


def test_the_funnel_is_true():
    for part in (0.05, 0.2, 0.5, 0.74):
        assert share_below(height_of(part)) == pytest.approx(part, abs=0.003)
    assert TOP < height_of(0.75) < height_of(0.25) < BOTTOM


def test_formulas_are_set_as_chemists_write_them():
    assert formula("C7H11N2+") == "C<sub>7</sub>H<sub>11</sub>N<sub>2</sub><sup>+</sup>"
    assert formula("CO3^2-") == "CO<sub>3</sub><sup>2−</sup>"
    assert formula("<b>") == "&lt;b&gt;"


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.0056), (0.04, 0.31), (0.998, 1.0), (0.5, 0.5), (0.01, 0.1)])
def test_a_range_reads_as_in_the_terminal_and_holds_its_numbers(low, high):
    made = str(told_band(low, high))
    assert re.sub(r"<[^>]+>", "", made) == between(low, high)
    assert f'value="{high}"' in made or share(high) not in made


def test_a_title_full_of_signs_stays_text():
    made = {**record("ester"), "title": '<img src=x onerror=alert(1)> & "so"'}
    page = report.plan_page(made)
    assert "<img" not in page and "&lt;img" in page
    assert "<img" not in report.scheme_svg(made)


def test_the_same_plan_gives_the_same_page(folder):
    code = "from washlore.cli.main import main; main()"
    pages = []
    for seed in ("1", "2"):
        path = folder / f"seed{seed}.html"
        command = [sys.executable, "-c", code, "plan", "ester", "--report", str(path)]
        subprocess.run(command, check=True, env={"PYTHONHASHSEED": seed}, capture_output=True, timeout=120)
        pages.append(path.read_bytes())
    assert pages[0] == pages[1]
