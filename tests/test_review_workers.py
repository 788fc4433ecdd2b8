"""Load and faults: processes and a Dask cluster with one worker killed, runs that stop and go on, a full disk."""

from __future__ import annotations

import csv
import errno
import json
import multiprocessing
import os
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from washlore.cli.classroom import journal, tables
from washlore.cli.classroom.judging import Job, digest, mixture_key
from washlore.cli.classroom.workers import ENDED, judge_all
from washlore.cli.main import main
from washlore.rules.judge import Considered, consider
from washlore.rules.mixture import build

COUNT = 140
posix = pytest.mark.skipif(os.name != "posix", reason="kills processes as POSIX does")


@pytest.fixture(scope="module")
def thought() -> dict[str, Considered]:
    flask = build(
        "ethyl benzoate", [("benzoic acid", "1 mmol", None)], product_amount="5 mmol", solvents=[("DCM", 30.0)]
    )
    return {mixture_key(flask): consider(flask)}


def plan(n: int) -> str:
    return f"Wash with {10 + n} mL of sat. NaHCO3 and {15 + n % 7} mL brine. Dry over MgSO4, filter, evaporate."


def jobs_for(key: str, count: int) -> list[Job]:
    return [Job(digest(key, "text", plan(n)), key, "text", plan(n)) for n in range(count)]


def flat(results) -> list[tuple[str, str]]:
    return [pair for batch in results for pair in batch]


def test_processes_say_what_one_process_says(thought):
    jobs = jobs_for(next(iter(thought)), 40)
    here = flat(judge_all(jobs, thought))
    assert sorted(here) == sorted(flat(judge_all(jobs, thought, workers=2)))
    assert len(here) == 40 and all("problem" not in json.loads(record) for _, record in here)


@posix
def test_a_killed_process_costs_no_plan(thought):
    jobs = jobs_for(next(iter(thought)), 120)
    made: list[tuple[str, str]] = []
    killed = False
    for batch in judge_all(jobs, thought, workers=2):
        made += batch
        if not killed:
            os.kill(multiprocessing.active_children()[0].pid, signal.SIGKILL)
            killed = True
    assert sorted(name for name, _ in made) == sorted(job.digest for job in jobs)
    assert all("problem" not in json.loads(record) for _, record in made)


class Deadly:
    """A mixture that ends the process that looks at it."""

    parts = ()

    @property
    def plan(self) -> None:
        os._exit(9)


@posix
def test_a_plan_that_kills_its_process_is_told_and_the_rest_go_on(thought):
    key = next(iter(thought))
    jobs = [*jobs_for(key, 10), Job("x" * 32, "deadly", "text", plan(1)), *jobs_for(key, 20)[10:]]
    made = dict(flat(judge_all(jobs, {**thought, "deadly": Deadly()}, workers=2)))
    assert len(made) == 21
    assert json.loads(made["x" * 32]) == {"problem": ENDED, "again": True}
    assert sum("problem" in json.loads(record) for record in made.values()) == 1


@pytest.fixture(scope="module")
def cluster():
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as made:
        yield made


def test_a_cluster_says_what_one_process_says(thought, cluster):
    jobs = jobs_for(next(iter(thought)), 40)
    assert sorted(flat(judge_all(jobs, thought))) == sorted(
        flat(judge_all(jobs, thought, cluster=cluster.scheduler_address))
    )


@posix
def test_a_killed_worker_of_a_cluster_costs_no_plan(thought, cluster):
    from distributed import Client

    jobs = jobs_for(next(iter(thought)), 160)
    with Client(cluster.scheduler_address, set_as_default=False) as client:
        pids = sorted(client.run(os.getpid).values())
    made: list[tuple[str, str]] = []
    for number, batch in enumerate(judge_all(jobs, thought, cluster=cluster.scheduler_address)):
        made += batch
        if number == 1:
            os.kill(pids[0], signal.SIGKILL)
    assert sorted(name for name, _ in made) == sorted(job.digest for job in jobs)
    assert all("problem" not in json.loads(record) for _, record in made)


def test_a_cluster_that_is_not_there_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr("washlore.cli.classroom.workers.CONNECT_SECONDS", 1)
    path = tmp_path / "c.csv"
    path.write_text(f'student,answer\nFicta,"{plan(1)}"\n')
    result = CliRunner().invoke(main, ["review", "ester", str(path), "--cluster", "tcp://127.0.0.1:9"])
    assert result.exit_code == 2 and "no Dask scheduler answers" in result.output


def test_a_review_on_a_cluster_and_in_processes_writes_the_same(tmp_path, cluster):
    path = class_file(tmp_path, 30)
    ways = ((), ("--workers", "2"), ("--cluster", cluster.scheduler_address))
    texts = []
    for n, way in enumerate(ways):
        out = tmp_path / f"o{n}"
        result = CliRunner().invoke(main, ["review", "ester", str(path), "--out", str(out), *way])
        assert result.exit_code == 0, result.output
        texts.append(
            {p.relative_to(out): p.read_bytes() for p in out.rglob("*") if p.is_file() and p.suffix != ".sqlite"}
        )
    assert texts[0] == texts[1] == texts[2]


# Runs that stop -----------------------------------------------------------------------------------------------------


def class_file(folder: Path, count: int) -> Path:
    path = folder / "class.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["student", "answer"])
        writer.writerows([f"Ficta {n}", plan(n)] for n in range(count))
    return path


def judged(out: Path) -> int:
    try:
        with sqlite3.connect(out / journal.NAME) as base:
            return base.execute("SELECT count(*) FROM judged").fetchone()[0]
    except sqlite3.Error:
        return 0


@posix
@pytest.mark.parametrize(("sign", "code", "workers"), [(signal.SIGKILL, -9, "2"), (signal.SIGINT, 130, "1")])
def test_a_run_that_was_stopped_goes_on(tmp_path, sign, code, workers):
    path, out = class_file(tmp_path, COUNT), tmp_path / "o"
    run = (
        "import washlore.cli.classroom.journal as j; j.COMMIT_SECONDS = 0.2; from washlore.cli.main import main; main()"
    )
    command = ["review", "ester", str(path), "--out", str(out), "--workers", workers]
    # From a file: spawned workers load it again.
    script = tmp_path / "run.py"
    # Started in the background of a shell, the tests would have the interrupt ignored, and so would what they start.
    heed = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
    script.write_text(f"if __name__ == '__main__':\n    {heed}\n    {run}\n")
    going = subprocess.Popen(
        [sys.executable, str(script), *command], stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    deadline = time.monotonic() + 120
    size = 0
    while time.monotonic() < deadline and going.poll() is None and size < 100_000:
        time.sleep(0.05)
        size = (out / journal.NAME).stat().st_size if (out / journal.NAME).exists() else 0
    going.send_signal(sign)
    _, errors = going.communicate(timeout=60)
    assert going.returncode == code, errors
    assert not (out / "results.csv").exists()
    if sign == signal.SIGINT:
        assert "goes on from there" in errors and "Traceback" not in errors
    kept = judged(out)
    assert 0 < kept < COUNT
    result = CliRunner().invoke(main, command)
    assert result.exit_code == 0, result.output
    assert f"{kept} of {COUNT} texts were judged before" in result.stderr
    assert judged(out) == COUNT
    whole = tmp_path / "whole"
    assert CliRunner().invoke(main, [*command[:4], str(whole)]).exit_code == 0
    for name in ("results.csv", "summary.html", "summary.txt"):
        assert (out / name).read_bytes() == (whole / name).read_bytes()


def test_a_full_disk_is_said_and_what_was_judged_is_kept(tmp_path, monkeypatch):
    path, out = class_file(tmp_path, 120), tmp_path / "o"
    command = ["review", "ester", str(path), "--out", str(out), "--table", "csv"]
    monkeypatch.setattr(journal, "COMMIT_SECONDS", 0.0)
    with monkeypatch.context() as full:
        full.setattr(journal, "TABLES", f"{journal.TABLES};\nPRAGMA max_page_count = 60")
        result = CliRunner().invoke(main, command)
    assert result.exit_code == 2 and "disk is full" in result.output and "goes on from here" in result.output
    assert 0 < judged(out) < 120
    assert CliRunner().invoke(main, command).exit_code == 0


def test_a_table_that_cannot_be_written_leaves_the_old_one(tmp_path, monkeypatch):
    path, out = class_file(tmp_path, 5), tmp_path / "o"
    command = ["review", "ester", str(path), "--out", str(out)]
    assert CliRunner().invoke(main, command).exit_code == 0
    before = (out / "results.csv").read_bytes()

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(tables.Csv, "write", full)
    result = CliRunner().invoke(main, command)
    assert result.exit_code == 2 and "No space left" in result.output
    assert (out / "results.csv").read_bytes() == before
    assert not [p for p in out.iterdir() if p.name.startswith(".results")]


def test_two_runs_do_not_write_into_one_folder(tmp_path):
    path, out = class_file(tmp_path, 3), tmp_path / "o"
    out.mkdir()
    other = sqlite3.connect(out / journal.NAME, isolation_level=None)
    other.execute("PRAGMA locking_mode = EXCLUSIVE")
    other.execute("CREATE TABLE x (y)")
    result = CliRunner().invoke(main, ["review", "ester", str(path), "--out", str(out)])
    other.close()
    assert result.exit_code == 2 and "another review" in result.output


def test_a_damaged_journal_is_said(tmp_path):
    path, out = class_file(tmp_path, 3), tmp_path / "o"
    out.mkdir()
    (out / journal.NAME).write_bytes(b"not a database at all" * 50)
    result = CliRunner().invoke(main, ["review", "ester", str(path), "--out", str(out)])
    assert result.exit_code == 2 and "damaged" in result.output


def test_each_text_is_judged_once_and_the_mixture_once(tmp_path, monkeypatch):
    from washlore.cli.classroom import judging
    from washlore.rules import judge as judge_module

    path = tmp_path / "c.csv"
    with path.open("w", newline="") as file:
        csv.writer(file).writerows([["student", "answer"], *([f"Ficta {n}", plan(n % 3)] for n in range(30))])
    counts = {"consider": 0, "judge": 0}
    real_consider, real_judged = judge_module.consider, judging.judged

    def counted_consider(*args, **options):
        counts["consider"] += 1
        return real_consider(*args, **options)

    def counted_judged(*args):
        counts["judge"] += 1
        return real_judged(*args)

    monkeypatch.setattr(judge_module, "consider", counted_consider)
    monkeypatch.setattr(judging, "judged", counted_judged)
    command = ["review", "ester", str(path), "--out", str(tmp_path / "o")]
    assert CliRunner().invoke(main, command).exit_code == 0
    assert counts == {"consider": 1, "judge": 3}
    assert CliRunner().invoke(main, command).exit_code == 0  # all is judged: nothing is done again
    assert counts == {"consider": 1, "judge": 3}
