"""What is kept of a mixture on disk: the same answers as without, for nobody but its owner, and never stale."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from washlore.cli import kept
from washlore.cli.common import examples
from washlore.cli.main import main
from washlore.rules import plan as plans

NOTHING = {"product": None, "amount": None, "others": (), "solvents": (), "extract": None, "target": None}
SEVERAL = NOTHING | {
    "product": "naphthalene",
    "amount": "5 mmol",
    "others": ("p-toluidine; 5 mmol; product", "benzoic acid; 5 mmol; product"),
    "solvents": ("ether; 40 mL",),
}


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    monkeypatch.setenv("WASHLORE_CACHE", str(tmp_path / "kept"))
    return tmp_path / "kept"


def said(*args: str) -> str:
    result = CliRunner().invoke(main, list(args))
    assert result.exit_code == 0, result.output
    return result.stdout


def nothing_is_planned(monkeypatch):
    def refuse(*_, **__):
        raise AssertionError("planned again")

    monkeypatch.setattr(plans, "make_plan", refuse)


QUESTIONS = (
    "1",
    "2",
    "brine",
    "not 1 M NaOH",
    "not 1 M HCl",
    "magnesium sulfate",
    "not calcium chloride",
    "ether",
    "water",
)


@pytest.mark.parametrize("example", sorted(examples()))
def test_answers_are_the_same_from_what_was_kept(example, folder, monkeypatch):
    monkeypatch.setenv("WASHLORE_CACHE", "off")
    fresh = [said("why", example, question, "--format", "json") for question in QUESTIONS]
    monkeypatch.setenv("WASHLORE_CACHE", str(folder))
    said("why", example, "1")
    assert len(list(folder.iterdir())) == 1
    nothing_is_planned(monkeypatch)
    assert [said("why", example, question, "--format", "json") for question in QUESTIONS] == fresh


def test_a_scheme_is_kept_with_its_branches(folder, monkeypatch):
    plan = kept.considered(None, SEVERAL)
    nothing_is_planned(monkeypatch)
    again = kept.considered(None, SEVERAL)
    assert again.steps == plan.steps and again.crudes == plan.crudes and len(again.branches) == len(plan.branches) > 1
    assert {i: k.fact for i, k in again.everything.items()} == {i: k.fact for i, k in plan.everything.items()}
    assert {i: k.reasons for i, k in again.known.items()} == {i: k.reasons for i, k in plan.known.items()}


def test_plan_keeps_for_why(folder, monkeypatch):
    said("plan", "amide")
    nothing_is_planned(monkeypatch)
    assert "in the plan" in said("why", "amide", "brine")


def test_another_amount_is_another_mixture(folder, tmp_path):
    file = tmp_path / "m.toml"
    text = examples()["ester"].read_text("utf-8")
    file.write_text(text, "utf-8")
    first = kept._key(str(file), NOTHING)
    file.write_text(text.replace("1.2 mmol", "1.3 mmol"), "utf-8")
    second = kept._key(str(file), NOTHING)
    assert first and second and first != second
    assert kept._key(None, SEVERAL) != kept._key(None, SEVERAL | {"amount": "6 mmol"})


def test_any_file_of_the_package_and_any_version_counts(tmp_path, monkeypatch):
    import hashlib

    def digest() -> bytes:
        found = hashlib.blake2b()
        kept._add_files(found, str(tmp_path))
        return found.digest()

    (tmp_path / "tables").mkdir()
    seen = {digest()}
    for name, content in (
        ("a.py", "x = 1"),
        ("a.py", "x = 2"),
        ("tables/t.csv", "id"),
        ("tables/t.csv", "ie"),
        ("e.toml", ""),
    ):
        (tmp_path / name).write_text(content)
        seen.add(digest())
    assert len(seen) == 6
    (tmp_path / "__pycache__").mkdir()
    (tmp_path / "__pycache__" / "a.py").write_text("")
    assert digest() in seen
    usual, real = kept._everything_installed(), os.listdir
    monkeypatch.setattr(os, "listdir", lambda path: [*real(path), "rdkit-9999.1.dist-info"])
    assert kept._everything_installed() != usual


def test_the_key_covers_tables_and_rules():
    covered: list[str] = []

    class Reading:
        def update(self, data: bytes) -> None:
            covered.append(data[:200].decode("utf-8", "replace").split(" ")[0])

    for package in ("knowledge", "rules", "cli"):
        kept._add_files(Reading(), str(Path(kept.__file__).parents[1] / package))
    assert {"solutions.csv", "pka_measured.csv", "removal.py", "ledger.py", "ester.toml", "kept.py"} <= set(covered)


class Bad:
    def __reduce__(self):
        return os.system, ("echo ran > ran",)


@pytest.mark.parametrize("content", [b"", b"nonsense", pickle.dumps(Bad()), pickle.dumps(os.getcwd), pickle.dumps([1])])
def test_what_we_did_not_write_is_not_used(content, folder, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    plan = kept.considered("ester", NOTHING)
    (file,) = folder.iterdir()
    file.write_bytes(content)
    os.chmod(file, 0o600)
    assert kept.considered("ester", NOTHING).steps == plan.steps
    assert not (tmp_path / "ran").exists()
    assert file.read_bytes() != content


@pytest.mark.skipif(os.name != "posix", reason="owners and modes as POSIX has them")
@pytest.mark.parametrize("what", ["folder", "file", "link"])
def test_what_others_may_write_is_left_alone(what, folder, tmp_path, monkeypatch):
    kept.considered("ester", NOTHING)
    (file,) = folder.iterdir()
    if what == "link":
        os.rename(folder, tmp_path / "elsewhere")
        os.symlink(tmp_path / "elsewhere", folder)
    else:
        os.chmod(folder if what == "folder" else file, 0o777)
    planned = []
    real = plans.make_plan
    monkeypatch.setattr(plans, "make_plan", lambda *a: planned.append(1) or real(*a))
    kept.considered("ester", NOTHING)
    assert planned
    if what == "file":
        assert not file.stat().st_mode & 0o077, "written anew, for its owner alone"


@pytest.mark.skipif(os.name != "posix", reason="modes as POSIX has them")
def test_what_is_kept_is_for_its_owner(folder):
    kept.considered("ester", NOTHING)
    (file,) = folder.iterdir()
    assert folder.stat().st_mode & 0o777 == 0o700 and file.stat().st_mode & 0o777 == 0o600


def test_a_home_that_cannot_be_written_to_is_no_trouble(tmp_path, monkeypatch):
    monkeypatch.delenv("WASHLORE_CACHE", raising=False)
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    (tmp_path / "file").write_text("")
    for home in (str(tmp_path / "file"), "/dev/null", ""):
        monkeypatch.setenv("HOME", home)
        monkeypatch.setenv("LOCALAPPDATA", home)
        assert kept._folder() is None or home == ""
        assert "in the plan" in said("why", "ester", "brine")


def test_off_keeps_nothing(tmp_path, monkeypatch):
    monkeypatch.setenv("WASHLORE_CACHE", "off")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    said("why", "ester", "brine")
    assert not list(tmp_path.iterdir())


def test_the_oldest_goes(folder, monkeypatch):
    folder.mkdir(mode=0o700)
    for i in range(kept.MOST_KEPT + 5):
        (folder / f"{i}").write_text("")
        os.utime(folder / f"{i}", (i, i))
    kept.considered("ester", NOTHING)
    names = {p.name for p in folder.iterdir()}
    assert len(names) == kept.MOST_KEPT and "0" not in names and str(kept.MOST_KEPT + 4) in names


def loaded_numpy(*words):
    code = "import sys\nfrom washlore.cli.main import main\ntry:\n    main()\nexcept SystemExit:\n    print('numpy' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True)
    return told.stdout.splitlines()[-1] == "True"


def test_no_number_is_drawn_for_what_the_best_estimates_answer(folder):
    """The bands need numpy, which takes as long to load as RDKit; why there is a wash does not hang on them."""
    assert not loaded_numpy("why", "ester", "brine")
    assert [p.name.endswith(kept.AT_BEST) for p in folder.iterdir()] == [True]
    assert loaded_numpy("why", "ester", "pyridine")
    assert sorted(p.name.endswith(kept.AT_BEST) for p in folder.iterdir()) == [False, True]
    assert not loaded_numpy("why", "ester", "pyridine") and not loaded_numpy("why", "ester", "not", "bicarbonate")


@pytest.mark.parametrize(
    "question", ["brine", "not 1 M NaOH", "ethyl acetate", "sodium sulfate", "2", "pyridine", "drying"]
)
def test_the_best_estimates_answer_as_the_whole_plan_does(question, monkeypatch, tmp_path):
    monkeypatch.setenv("WASHLORE_CACHE", str(tmp_path / "one"))
    alone = CliRunner().invoke(main, ["why", "ester", *question.split(), "--format", "json"])
    monkeypatch.setenv("WASHLORE_CACHE", str(tmp_path / "two"))
    CliRunner().invoke(main, ["plan", "ester"])
    assert alone.output == CliRunner().invoke(main, ["why", "ester", *question.split(), "--format", "json"]).output


def test_bad_input_is_told_as_ever(folder):
    result = CliRunner().invoke(main, ["why", "no_such.toml", "brine"])
    assert result.exit_code == 2 and "no_such.toml" in result.output
    result = CliRunner().invoke(main, ["why", "ester", "--product", "CCO", "brine", "2"])
    assert result.exit_code == 2
    assert not folder.exists() or not list(folder.iterdir())
