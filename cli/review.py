"""``washlore review``: judge and mark the plans of a whole class."""

from __future__ import annotations

import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from washlore.cli.common import Trouble, command, dump, spare, text_width, troubles, write_whole

if TYPE_CHECKING:
    from washlore.cli.classroom.assignment import Assignment
    from washlore.cli.classroom.journal import Journal
    from washlore.cli.classroom.results import Result

NOT_ALL_READ = 1
MOST_WORKERS, MOST_ANSWERS, MOST_NAME_WORDS = 256, 500_000, 50_000
# The class of invented students that comes with washlore; its plans are for the mixture ester.
CLASS = "class"
STYLES = ("csv", "xlsx", "jsonl", "parquet")


@command()
@click.argument("assignment", required=False)
@click.argument("plans", required=False, metavar="[PLANS|-]")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Where marks, feedback and the page summary.html go.",
)
@click.option(
    "--table",
    "tables",
    type=click.Choice(STYLES),
    multiple=True,
    help="How to write the table of results; csv by default. Repeat it for several.",
)
@click.option(
    "--feedback",
    type=click.Choice(("html", "md", "none")),
    default="html",
    show_default=True,
    help="How to write one file a student.",
)
@click.option(
    "--report",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write the summary of the class as a page: .html, or .pdf. With --out it is summary.html there anyway.",
)
@click.option("--student", metavar="COLUMN", help="The column that names students; two are joined with +.")
@click.option("--answer", "answers", metavar="COLUMN", multiple=True, help="The column of answers, once a question.")
@click.option("--override", metavar="COLUMN", help="The column of marks that go before the proposed ones.")
@click.option(
    "--overrides",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A table of results with marks in its column override; that of an earlier run in FOLDER is heeded anyway.",
)
@click.option(
    "--workers", type=click.IntRange(1, MOST_WORKERS), default=1, show_default=True, help="Processes that judge."
)
@click.option("--cluster", metavar="ADDRESS", help="A Dask scheduler to judge on; needs washlore[cluster].")
@click.option("--rubric", is_flag=True, help="Print the rubric as TOML, to be put into an assignment file, and stop.")
@click.option(
    "--format", "style", type=click.Choice(("text", "json")), default="text", show_default=True, help="How to print."
)
def review(
    assignment: str | None,
    plans: str | None,
    out: Path | None,
    tables: tuple[str, ...],
    feedback: str,
    report: Path | None,
    student: str | None,
    answers: tuple[str, ...],
    override: str | None,
    overrides: Path | None,
    workers: int,
    cluster: str | None,
    rubric: bool,
    style: str,
) -> None:
    """Judge and mark the plans of a whole class: marks to adjust, feedback to hand out, and what was not understood.

    ASSIGNMENT is a TOML file with the mixtures and the rubric, or a mixture as in `washlore plan`. PLANS is a CSV or XLSX
    file with one row a student (or one row a step), a folder with one text file a student, or - for a CSV on standard
    input. A row that cannot be read is reported in its place and the rest goes on; the exit code is 1 then. A run that
    was interrupted goes on where it stopped when the same command is given again.

    \b
      washlore review ester class              a class of invented students that comes with washlore
      washlore review lab.toml class.xlsx --out marked --table xlsx
    """
    with troubles(), disk(kept=out is not None):
        if rubric:
            click.echo(_rubric(assignment))
            return
        if assignment is None or plans is None:
            what = "no assignment is given" if assignment is None else "no plans are given"
            raise Trouble(
                f"review: {what}; name an assignment (or a mixture such as ester), then the plans: a CSV or XLSX file, a "
                "folder, or - for standard input."
            )
        if tables and out is None:
            raise Trouble("--table: a table of results goes into a folder; name one with --out.")
        if report is not None and report.suffix.lower() not in (".html", ".pdf"):
            raise Trouble(
                f"{report}: the summary of a class is written as .html (a page) or .pdf; name it such as "
                f"{report.stem or 'summary'}.html."
            )
        if report is not None:
            spare(report, assignment, plans)
        from washlore.cli.classroom.assignment import read_assignment

        asked = read_assignment(assignment)
        if out is not None:
            _spares(out, assignment, plans, asked)
        columns = {key: value for key, value in (("student", student), ("override", override)) if value}
        with tempfile.TemporaryDirectory(prefix="washlore-") as scratch:
            folder = _folder(out, Path(scratch))
            run = _Run(asked, folder, out is not None, tables or ("csv",), feedback)
            run.take_in(plans, answers, columns, Path(scratch))
            run.judge(workers, cluster)
            made = run.write(overrides)
        if report is not None:
            from washlore.cli.classroom.summary import summary_page
            from washlore.cli.page.write import write_page

            write_page(report, summary_page(made))
            click.echo(f"Wrote {report}.", err=True)
        _show(made, run, style, out)
    if made["not_read"]:
        click.echo(
            f"{plans}: {made['not_read']} of {made['answers']} plans could not be read; the column problem says why.",
            err=True,
        )
        click.get_current_context().exit(NOT_ALL_READ)


def _spares(out: Path, assignment: str, plans: str, asked: Assignment) -> None:
    """See to it that nothing is written over what is read, nor into the folder that the plans are read from."""
    from washlore.cli.classroom.journal import NAME

    ours = {NAME, "summary.html", "summary.txt", *(f"results.{style}" for style in STYLES)}
    for path in map(Path, (assignment, plans)):
        if path.is_file() and path.name in ours and path.resolve().parent == out.resolve():
            raise Trouble(f"--out {out}: {path} would be written over; name another folder.")
    if Path(plans).is_dir():
        several = len(asked.questions) > 1
        read = [Path(plans) / q.name for q in asked.questions] if several else [Path(plans)]
        if out.resolve() in [folder.resolve() for folder in read]:
            raise Trouble(
                f"--out {out}: is the folder of the plans, and what is written there would be read as plans; name another."
            )


def _rubric(assignment: str | None) -> str:
    from washlore.rules.marking import Rubric, rubric_toml

    if assignment is None:
        return rubric_toml(Rubric())
    from washlore.cli.classroom.assignment import read_assignment

    questions = read_assignment(assignment).questions
    made = [rubric_toml(q.rubric) for q in questions]
    if len(set(made)) == 1:
        return made[0]
    return "\n\n".join(f"# {q.name}\n{text}" for q, text in zip(questions, made, strict=True))


def _shipped(plans: str) -> str:
    """Return the path of the class that comes with washlore where it is asked for by name, else what was given."""
    if plans != CLASS or Path(plans).exists():
        return plans
    from importlib import resources

    return str(resources.files("washlore.cli.examples").joinpath(f"{CLASS}.csv"))


def _folder(out: Path | None, scratch: Path) -> Path:
    if out is None:
        return scratch
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Trouble(f"{out}: no folder can be made there ({error.strerror}); give another --out.") from None
    return out


@contextmanager
def disk(kept: bool) -> Iterator[None]:
    """Turn a full or missing disk into one message; ``kept``: what was judged is in a folder by then."""
    try:
        yield
    except OSError as error:
        if isinstance(error, BrokenPipeError):
            raise
        raise Trouble(
            f"{error.filename or 'the output'}: cannot be used ({error.strerror or type(error).__name__}). "
            f"{'What was judged is kept; put' if kept else 'Put'} it right and give the same command again."
        ) from None


class _Run:
    """One review from the answers to the files."""

    def __init__(self, asked: Assignment, folder: Path, keeps: bool, tables: tuple[str, ...], feedback: str) -> None:
        from washlore.cli.classroom.journal import NAME, Journal

        self.asked, self.folder, self.keeps = asked, folder, keeps
        self.tables = tuple(dict.fromkeys(tables)) if keeps else ()
        self.feedback = feedback if keeps else "none"
        self.notes: list[str] = []
        self.journal: Journal = Journal(folder / NAME)
        self.files = 0

    def take_in(self, plans: str, answers: tuple[str, ...], columns: Mapping[str, str], scratch: Path) -> None:
        """Read all answers into the journal."""
        from washlore.cli.classroom.intake import take_in
        from washlore.cli.classroom.judging import mixture_key

        self.keys = [mixture_key(q.mixture) for q in self.asked.questions]
        intake = take_in(plans, _shipped(plans), self.asked, answers, columns, scratch)
        self.notes += intake.notes
        count = 0
        for count, answer in enumerate(intake.answers, start=1):
            if count > MOST_ANSWERS:
                raise Trouble(f"{plans}: holds more than {MOST_ANSWERS:,} answers; split it and review the parts.")
            self.journal.take(answer, self.keys[answer.question])
        if not count:
            raise Trouble(f"{plans}: holds no answers below its header; put one row a student into it.")
        self.journal.commit()

    def judge(self, workers: int, cluster: str | None) -> None:
        """Judge what is not judged yet."""
        from washlore.cli.classroom.workers import judge_all
        from washlore.rules.judge import consider

        whole, before = self.journal.count("plans"), self.journal.count("judged")
        if before == whole:
            return
        if before:
            click.echo(f"{before:,} of {whole:,} texts were judged before; the rest follows.", err=True)
        considered = {key: consider(q.mixture) for key, q in zip(self.keys, self.asked.questions, strict=True)}
        done = before
        try:
            with _progress(whole, before) as tick:
                for made in judge_all(self.journal.waiting(), considered, workers, cluster):
                    self.journal.keep(made)
                    done += len(made)
                    tick(len(made))
        except BaseException as error:
            self.journal.close()
            if isinstance(error, KeyboardInterrupt) and self.keeps:
                click.echo(
                    f"\nStopped after {done:,} of {whole:,} texts; the same command goes on from there.", err=True
                )
            raise
        self.journal.commit()

    def write(self, overrides: Path | None) -> dict[str, Any]:
        """Write all files, and return the record of the class."""
        from washlore.cli.classroom.cleaning import name_words
        from washlore.cli.classroom.results import assemble, read_overrides
        from washlore.cli.classroom.summary import Tally, summary_page, summary_text
        from washlore.cli.classroom.tables import Tables

        words: set[str] = set()
        for name in self.journal.students():
            if len(words) < MOST_NAME_WORDS:
                words |= name_words(name)
        tally = Tally(self.asked, frozenset(words))
        earlier = [self.folder / f"results.{kind}" for kind in ("csv", "xlsx")] if self.keeps else []
        said = read_overrides(earlier, overrides)
        distinct = self.journal.count("plans")
        with Tables(self.folder, self.tables) as tables:
            for results in assemble(self.journal.outcomes(), self.asked, self._groups(), said):
                tally.add(results)
                for result in results:
                    tables.add(result)
                if self.feedback != "none":
                    self._feedback(results)
        made = tally.record(self.notes, distinct)
        if self.keeps:
            write_whole(self.folder / "summary.html", lambda file: _print(file, summary_page(made)))
            write_whole(self.folder / "summary.txt", lambda file: _print(file, summary_text(made, 100)))
        self.journal.done()
        return made

    def _groups(self) -> dict[str, int]:
        """Return the number of the group of each text that reads like another, counted from 1 in the order of the input."""
        from washlore.cli.classroom.alike import leaders

        leader, note = leaders(self.journal.texts())
        self.notes += [note] if note else []
        sizes: Counter[str] = Counter()
        for digest, count in self.journal.counts():
            sizes[leader.get(digest, digest)] += count
        numbers = {head: n for n, head in enumerate((h for h, size in sizes.items() if size > 1), start=1)}
        return {
            digest: numbers[head]
            for digest, _ in self.journal.counts()
            if (head := leader.get(digest, digest)) in numbers
        }

    def _feedback(self, results: list[Result]) -> None:
        from washlore.cli.classroom.cleaning import file_name
        from washlore.cli.classroom.feedback import feedback_page, feedback_record

        folder = self.folder / "feedback"
        folder.mkdir(exist_ok=True)
        first = results[0].answer
        page = feedback_page(feedback_record(results, self.asked.title), self.feedback)
        write_whole(folder / f"{file_name(first.row, first.student)}.{self.feedback}", lambda file: _print(file, page))
        self.files += 1

    def wrote(self) -> str:
        """Return what was written, in words."""
        names = [f"results.{kind}" for kind in self.tables] + ["summary.html", "summary.txt"]
        said = f"In {self.folder}: {', '.join(names)}"
        if self.files:
            said += f", and {self.files} file{'s' if self.files > 1 else ''} in feedback, one a student"
        return (
            f"{said}. To change a mark, write it into the column override of the table of results and give the same command "
            "again."
        )


def _print(file: Any, text: str) -> None:
    file.write(text if text.endswith("\n") else f"{text}\n")


@contextmanager
def _progress(whole: int, before: int) -> Iterator[Any]:
    """Give a function that counts plans on a bar with rate and time left; nothing is shown but on a terminal."""
    if not sys.stderr.isatty():
        yield lambda count: None
        return
    begun, done = time.monotonic(), 0

    def rate(_: Any) -> str:
        return f"{done / max(time.monotonic() - begun, 1e-3):.0f} a second"

    with click.progressbar(
        length=whole - before, label="plans", file=sys.stderr, show_pos=True, item_show_func=rate, width=24
    ) as bar:

        def tick(count: int) -> None:
            nonlocal done
            done += count
            bar.update(count, "")

        yield tick


def _show(made: dict[str, Any], run: _Run, style: str, out: Path | None) -> None:
    if style == "json":
        click.echo(dump(made))
        return
    from washlore.cli.classroom.summary import summary_text
    from washlore.cli.render.text import paragraph

    width = text_width()
    last = (
        run.wrote()
        if out is not None
        else "Nothing was written. Name a folder with --out to get marks, feedback and this summary as a page."
    )
    click.echo(f"{summary_text(made, width)}\n\n{paragraph(last, width)}")
