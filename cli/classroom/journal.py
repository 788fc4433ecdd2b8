"""The journal of a review: answers taken in and judgements made, in one SQLite file, so that a run can be taken up again."""

from __future__ import annotations

import json
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import astuple
from pathlib import Path
from typing import Any

from washlore.cli.classroom.intake import Answer
from washlore.cli.classroom.judging import Job, digest
from washlore.cli.common import Trouble

NAME = "judged.sqlite"
COMMIT_SECONDS = 2.0
TABLES = """
DROP TABLE IF EXISTS answers;
DROP TABLE IF EXISTS plans;
CREATE TABLE answers (row INTEGER, student TEXT, question INTEGER, digest TEXT, override TEXT, late INTEGER, problem TEXT);
CREATE TABLE plans (digest TEXT PRIMARY KEY, mixture TEXT, kind TEXT, text TEXT) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS judged (digest TEXT PRIMARY KEY, record TEXT) WITHOUT ROWID;
"""


class Journal:
    """What a run has taken in and judged. Judgements stay when the run ends, however it ends."""

    def __init__(self, path: Path) -> None:
        self.path = path
        with self._faults():
            self.base = sqlite3.connect(path, timeout=1.0, isolation_level=None)
            self.base.execute("PRAGMA locking_mode = EXCLUSIVE")
            self.base.execute("PRAGMA synchronous = NORMAL")
            self.base.execute("BEGIN IMMEDIATE")
            for statement in filter(str.strip, TABLES.split(";")):
                self.base.execute(statement)
            self.base.execute("DELETE FROM judged WHERE json_extract(record, '$.again')")
            self.base.execute("COMMIT")
            self.base.execute("BEGIN")
        self._committed = time.monotonic()

    @contextmanager
    def _faults(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            said = str(error)
            if "locked" in said:
                raise Trouble(
                    f"{self.path}: another review is writing there; wait for it, or give another --out."
                ) from None
            if "full" in said:
                raise Trouble(
                    f"{self.path}: the disk is full. Make room and give the same command again: it goes on from here."
                ) from None
            if "not a database" in said or "malformed" in said:
                raise Trouble(f"{self.path}: is damaged; delete it and give the same command again.") from None
            raise Trouble(f"{self.path}: cannot be written ({said}); give another --out.") from None

    def take(self, answer: Answer, mixture: str) -> None:
        """Note an answer, and its plan unless the same text is there already."""
        key = "" if answer.problem else digest(mixture, answer.kind, answer.text)
        with self._faults():
            self.base.execute(
                "INSERT INTO answers VALUES (?, ?, ?, ?, ?, ?, ?)",
                (answer.row, answer.student, answer.question, key, answer.override, answer.late, answer.problem),
            )
            if key:
                self.base.execute(
                    "INSERT OR IGNORE INTO plans VALUES (?, ?, ?, ?)",
                    astuple(Job(key, mixture, answer.kind, answer.text)),
                )

    def count(self, which: str) -> int:
        """Return how many ``answers`` or ``plans`` there are, or how many of the plans are ``judged``."""
        where = "plans JOIN judged USING (digest)" if which == "judged" else which
        return int(self.base.execute(f"SELECT count(*) FROM {where}").fetchone()[0])

    def waiting(self) -> Iterator[Job]:
        """Yield the plans that are not judged yet, in the order of their digests, a page at a time."""
        last = ""
        while True:
            rows = self.base.execute(
                "SELECT * FROM plans WHERE digest > ? AND digest NOT IN (SELECT digest FROM judged) ORDER BY digest LIMIT 200",
                (last,),
            ).fetchall()
            if not rows:
                return
            for row in rows:
                yield Job(*row)
            last = rows[-1][0]

    def keep(self, made: list[tuple[str, str]]) -> None:
        """Keep judgements; they are on the disk within a few seconds."""
        with self._faults():
            self.base.executemany("INSERT OR REPLACE INTO judged VALUES (?, ?)", made)
            if time.monotonic() - self._committed > COMMIT_SECONDS:
                self.commit()

    def commit(self) -> None:
        """Put everything on the disk."""
        with self._faults():
            self.base.execute("COMMIT")
            self.base.execute("BEGIN")
        self._committed = time.monotonic()

    def texts(self) -> Iterator[tuple[str, str, str]]:
        """Yield (digest, mixture, text) of all plans, in the order in which they first come in the input."""
        yield from self.base.execute(
            "SELECT p.digest, p.mixture, p.text FROM plans p JOIN "
            "(SELECT digest, min(rowid) AS first FROM answers GROUP BY digest) USING (digest) ORDER BY first"
        )

    def counts(self) -> Iterator[tuple[str, int]]:
        """Yield (digest, number of answers with that text), in the same order."""
        yield from self.base.execute(
            "SELECT digest, count(*) FROM answers WHERE digest != '' GROUP BY digest ORDER BY min(rowid)"
        )

    def students(self) -> Iterator[str]:
        """Yield the names of students."""
        for (name,) in self.base.execute("SELECT DISTINCT student FROM answers"):
            yield name

    def outcomes(self) -> Iterator[tuple[Answer, str, dict[str, Any]]]:
        """Yield (answer, digest, record) in the order of the input; the record holds ``problem`` where there is none."""
        rows = self.base.execute(
            "SELECT a.row, a.student, a.question, a.digest, a.override, a.late, a.problem, p.text, p.kind, j.record "
            "FROM answers a LEFT JOIN plans p USING (digest) LEFT JOIN judged j USING (digest) "
            "ORDER BY a.row, a.question, a.rowid"
        )
        for row, student, question, key, override, late, problem, text, kind, record in rows:
            answer = Answer(row, student, question, text or "", kind or "text", override, bool(late), problem)
            made = json.loads(record) if record else {"problem": problem or "it was not judged"}
            yield answer, key, made

    def done(self) -> None:
        """Forget judgements that this input has no use for, and close."""
        with self._faults():
            self.base.execute("DELETE FROM judged WHERE digest NOT IN (SELECT digest FROM plans)")
        self.close()

    def close(self) -> None:
        """Put everything on the disk and close."""
        with self._faults():
            if self.base.in_transaction:
                self.base.execute("COMMIT")
            self.base.close()
