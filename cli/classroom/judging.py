"""One text judged on one mixture, in this process or another: what goes out is bytes and plain text, what comes back JSON."""

from __future__ import annotations

import hashlib
import json
import pickle
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

from washlore.knowledge.records import dataclass

if TYPE_CHECKING:
    from washlore.rules.judge import Considered
    from washlore.rules.marking import Grounds
    from washlore.rules.mixture import Mixture
    from washlore.rules.proposal import Proposal

# What is kept of the record of a judgement; the rest is the same for the whole class.
KEPT = ("verdict", "says", "plan_read", "unread", "findings", "achieves", "left", "product_recovered")


@dataclass(frozen=True)
class Job:
    """A text to judge: its digest, the key of its mixture, its kind (text, csv, toml)."""

    digest: str
    mixture: str
    kind: str
    text: str


@cache
def house() -> str:
    """Return a fingerprint of the tables and the code that a judgement depends on: another one, another judgement."""
    digest = hashlib.blake2b(digest_size=16)
    for package in ("washlore.knowledge", "washlore.rules", "washlore.cli.render"):
        stack = [resources.files(package)]
        while stack:
            for item in sorted(stack.pop().iterdir(), key=lambda entry: entry.name):
                if item.is_dir() and item.name != "__pycache__":
                    stack.append(item)
                elif item.name.endswith((".py", ".csv")):
                    digest.update(item.name.encode() + b"\0" + item.read_bytes())
    return digest.hexdigest()


def mixture_key(mixture: Mixture) -> str:
    """Return a fingerprint of a flask: all that a judgement on it depends on."""
    parts = [
        mixture.title,
        mixture.target,
        mixture.extraction.id if mixture.extraction else "",
        [(s.id, v) for s, v in mixture.reaction_solvents],
        [(c.id, c.name, c.smiles, c.role, c.mmol, c.boiling_c) for c in mixture.components],
    ]
    return hashlib.blake2b(repr(parts).encode(), digest_size=16).hexdigest()


def digest(mixture: str, kind: str, text: str) -> str:
    """Return the fingerprint under which a judgement is kept."""
    return hashlib.blake2b("\0".join((house(), mixture, kind, text)).encode(), digest_size=16).hexdigest()


# In the process that judges -----------------------------------------------------------------------------------------

_considered: dict[str, Mapping[str, Considered]] = {}


def packed(considered: Mapping[str, Considered]) -> bytes:
    """Return mixtures thought through, as bytes for another process."""
    return pickle.dumps(dict(considered), protocol=pickle.HIGHEST_PROTOCOL)


def blob_key(blob: bytes) -> str:
    """Return a name for such bytes."""
    return hashlib.blake2b(blob, digest_size=16).hexdigest()


def begin(blob: bytes) -> None:
    """Take over mixtures that were thought through elsewhere (by this program itself: bytes of a stranger are not read)."""
    _considered.setdefault(blob_key(blob), pickle.loads(blob))


def judge_jobs(key: str, jobs: Iterable[Job]) -> list[tuple[str, str]]:
    """Return (digest, record as JSON) for each job, on the mixtures of ``begin``."""
    return [(job.digest, json.dumps(judged(job, _considered[key][job.mixture]))) for job in jobs]


def judged(job: Job, considered: Considered) -> dict[str, Any]:
    """Return the record of one plan; ``problem`` tells why there is none. Raises nothing: one plan never ends a class."""
    from washlore.cli.common import one_paragraph
    from washlore.cli.render.judgement import check_record
    from washlore.rules.judge import judge
    from washlore.rules.marking import grounds
    from washlore.rules.reading import ReadingError

    try:
        made = judge(_read(job, several=bool(considered.parts)), considered)
        record = check_record(made)
        kept = {key: record[key] for key in KEPT}
        seen = grounds(made)
    except ReadingError as error:
        return {"problem": one_paragraph(str(error))}
    except Exception as error:  # Whatever one plan does, the others are judged.
        return {"problem": f"it could not be judged ({type(error).__name__}: {one_paragraph(str(error))[:200]})"}
    if made.verdict == "unreadable":
        kept["problem"] = "no step of a workup was found in the text"
    kept["grounds"] = asdict(seen)
    kept["look"] = doubts(record, considered.mixture.target)
    return kept


def _read(job: Job, several: bool) -> Proposal:
    from washlore.rules.reading import read_plan, read_table

    return read_plan(job.text, several) if job.kind == "text" else read_table(job.text, job.kind)


def as_grounds(data: Mapping[str, Any]) -> Grounds:
    """Return what a mark rests on from its JSON."""
    from washlore.rules.marking import Fault, Grounds, Leftover

    return Grounds(
        data["verdict"],
        data["recovered"],
        tuple(Leftover(**item) for item in data["impurities"]),
        tuple(Fault(**{**item, "about": tuple(item["about"])}) for item in data["faults"]),
    )


def doubts(record: Mapping[str, Any], target: float) -> list[str]:
    """Return why somebody should look at a judgement: words not read, and findings that hang on a guess or a close number.

    ``target`` is the fraction of an impurity that may be left.
    """
    from washlore.rules.verdict import MUCH_SHARE, MUCH_TIMES

    said = [f"not read: {' '.join(u['words'].split())[:80]!r}" for u in record["unread"] if record["plan_read"]]
    steps = {step["number"]: step for step in record["plan_read"]}
    much = max(MUCH_TIMES * target, MUCH_SHARE)
    for item in record["findings"]:
        guessed = [a for a in steps.get(item["step"], {}).get("assumed", ()) if "volume" in a or "layer" not in a]
        if item["kind"] != "technique" and guessed:
            said.append(f"fallback assumption at step {item['step']}: {'; '.join(guessed)}")
        for name, value in item["numbers"].items():
            if isinstance(value, dict) and value["low"] < much < value["high"]:
                what = (
                    f"of {item['component']} is left"
                    if name == "left" and item["component"]
                    else name.replace("_", " ")
                )
                said.append(f"fragile: {100 * value['low']:.2g} to {100 * value['high']:.2g} % {what}")
    return list(dict.fromkeys(said))
