"""The class as a whole: counts kept while results go by, and the record and the words made of them at the end."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from washlore.cli.classroom.assignment import Assignment
from washlore.cli.classroom.cleaning import anonymous, clipped, one_line
from washlore.cli.classroom.results import KINDS, Result, their_words
from washlore.cli.common import version
from washlore.knowledge.records import dataclass, field

VERDICTS = ("ok", "minor", "flawed", "dangerous", "unreadable")
SAID = {
    "ok": "sound",
    "minor": "sound, something to polish",
    "flawed": "flawed",
    "dangerous": "dangerous",
    "unreadable": "not read",
}
KIND_SAID = {
    "hazard": "can hurt someone",
    "loss": "loses product",
    "leftover": "leaves something behind",
    "technique": "could be done better",
}
# What one case of a kind weighs when the three things to say are chosen.
WEIGHT = {"hazard": 100.0, "loss": 10.0, "leftover": 6.0, "technique": 1.0}
MOST_SHOWN, MOST_PROBLEMS, MOST_GROUPS, MOST_STEPS, MOST_ROWS_SHOWN = 12, 30, 20, 8, 12
SHORT_QUOTE, GOOD_QUOTE, MOST_QUOTE, MOST_REMEDIES = 20, 70, 140, 200
THINGS = 3


@dataclass
class _Misconception:
    title: str
    kind: str
    count: int = 0
    quote: str = ""
    rank: tuple[int, str] = (10**6, "")
    remedies: Counter[str] = field(default_factory=Counter)
    about: Counter[str] = field(default_factory=Counter)


@dataclass
class _Impurity:
    target: float
    count: int = 0
    over: int = 0
    shares: Counter[float] = field(default_factory=Counter)


@dataclass
class _Question:
    verdicts: Counter[str] = field(default_factory=Counter)
    marks: Counter[float] = field(default_factory=Counter)
    recovered: Counter[float] = field(default_factory=Counter)
    impurities: dict[str, _Impurity] = field(default_factory=dict)
    answers: int = 0


class Tally:
    """Counts of a class, of a size that does not grow with it."""

    def __init__(self, assignment: Assignment, names: frozenset[str] = frozenset()) -> None:
        self.assignment = assignment
        self.names = names
        self.questions = [_Question() for _ in assignment.questions]
        self.misconceptions: dict[str, _Misconception] = {}
        self.wrong: Counter[str] = Counter()
        self.used: Counter[str] = Counter()
        self.alike: dict[int, list[int]] = {}
        self.sizes: Counter[int] = Counter()
        self.problems: list[tuple[int, str, str]] = []
        self.counts: Counter[str] = Counter()

    def add(self, results: Sequence[Result]) -> None:
        """Count the results of one student."""
        self.counts["students"] += 1
        for result in results:
            self._answer(result)

    def _answer(self, result: Result) -> None:
        question = self.questions[result.answer.question]
        if result.blank:
            self.counts["blank"] += 1
            return
        question.answers += 1
        self.counts["answers"] += 1
        self.counts["late"] += result.answer.late
        self.counts["look"] += bool(result.look)
        self.counts["overridden"] += result.override is not None
        if result.mark is not None:
            question.marks[result.mark] += 1
        if result.alike is not None:
            self.sizes[result.alike] += 1
            rows = self.alike.setdefault(result.alike, [])
            if len(rows) < MOST_ROWS_SHOWN:
                rows.append(result.answer.row)
        if result.problem:
            question.verdicts["unreadable"] += 1
            self.counts["problems"] += 1
            if len(self.problems) < MOST_PROBLEMS:
                self.problems.append((result.answer.row, result.question.name, clipped(result.problem, 200)))
            return
        question.verdicts[result.verdict] += 1
        self._judged(result, question)

    def _judged(self, result: Result, question: _Question) -> None:
        record = result.record
        question.recovered[_bin(record["product_recovered"]["mid"])] += 1
        for item in record["grounds"]["impurities"]:
            seen = question.impurities.setdefault(item["name"], _Impurity(item["target"]))
            seen.count += 1
            seen.over += item["left"] > item["target"]
            seen.shares[_bin(item["left"])] += 1
        steps = {s["number"]: what_step(s) for s in record["plan_read"]}
        self.used.update(set(steps.values()))
        self.wrong.update(
            {steps[f["step"]] for f in record["findings"] if f["step"] in steps and f["kind"] != "technique"}
        )
        for rule in dict.fromkeys(f["rule"] for f in record["findings"]):
            self._finding(rule, [f for f in record["findings"] if f["rule"] == rule], result)

    def _finding(self, rule: str, findings: Sequence[Mapping[str, Any]], result: Result) -> None:
        first = findings[0]
        seen = self.misconceptions.setdefault(rule, _Misconception(first["title"], first["kind"]))
        seen.count += 1
        # A rule may find a hazard in one plan and less in another: the worse is what the class hears.
        seen.kind = min(seen.kind, first["kind"], key=KINDS.index)
        for fault in result.record["grounds"]["faults"]:
            if fault["rule"] == rule:
                seen.about.update(set(fault["about"]))
        if first["remedy"] and (first["remedy"] in seen.remedies or len(seen.remedies) < MOST_REMEDIES):
            seen.remedies[first["remedy"]] += 1
        words = their_words(result, first)
        words = words if len(words) >= SHORT_QUOTE else result.answer.text
        quote = anonymous(clipped(words, MOST_QUOTE), result.answer.student, self.names)
        rank = (abs(len(quote) - GOOD_QUOTE), quote)
        if quote and rank < seen.rank:
            seen.quote, seen.rank = quote, rank

    # The record ---------------------------------------------------------------------------------------------------

    def record(self, notes: Sequence[str], distinct: int) -> dict[str, Any]:
        """Return the record of the class. Shares are between 0 and 1; ``count`` counts plans."""
        from washlore.rules.engine import judging_lore
        from washlore.rules.marking import rubric_toml

        whys = {lore.id: one_line(lore.why) for lore in judging_lore()}
        judged = self.counts["answers"] - self.counts["problems"]
        found = sorted(
            self.misconceptions.items(), key=lambda item: (KINDS.index(item[1].kind), -item[1].count, item[0])
        )
        misconceptions = [
            {
                "rule": rule,
                "kind": seen.kind,
                "title": seen.title,
                "why": whys.get(rule, ""),
                "count": seen.count,
                "share": _part(seen.count, judged),
                "about": [name for name, _ in _common(seen.about, 4)],
                "quote": seen.quote,
                "remedy": _common(seen.remedies, 1)[0][0] if seen.remedies else "",
            }
            for rule, seen in found
        ]
        made: dict[str, Any] = {
            "washlore": {"version": version()},
            "title": self.assignment.title,
            "students": self.counts["students"],
            "answers": self.counts["answers"],
            "judged": judged,
            "distinct": distinct,
            "not_read": self.counts["problems"],
            "blank": self.counts["blank"],
            "needs_a_look": self.counts["look"],
            "overridden": self.counts["overridden"],
            "late": self.counts["late"],
            "questions": [
                self._question(q, counts) for q, counts in zip(self.assignment.questions, self.questions, strict=True)
            ],
            "misconceptions": misconceptions,
            "steps": [
                {"step": step, "wrong": count, "used": self.used[step]}
                for step, count in _common(self.wrong, MOST_STEPS)
            ],
            "alike": [
                {"group": group, "plans": self.sizes[group], "rows": self.alike[group]}
                for group in sorted(self.sizes, key=lambda g: (-self.sizes[g], g))[:MOST_GROUPS]
            ],
            "alike_plans": sum(self.sizes.values()),
            "problems": [
                {"row": row, "question": question, "reason": reason} for row, question, reason in self.problems
            ],
            "notes": list(notes),
            "rubric": rubric_toml(self.assignment.questions[0].rubric),
        }
        made["say"] = things_to_say(made)
        return made

    def _question(self, question: Any, counts: _Question) -> dict[str, Any]:
        whole = sum(counts.verdicts.values())
        return {
            "name": question.name,
            "mixture": question.mixture.title,
            "product": _listed([c.name for c in question.mixture.wanted]),
            "answers": whole,
            "verdicts": [
                {"verdict": v, "says": SAID[v], "count": counts.verdicts[v], "share": _part(counts.verdicts[v], whole)}
                for v in VERDICTS
            ],
            "marks": _marks(counts.marks, question.rubric.out_of),
            "product_recovered": _middle(counts.recovered),
            "impurities": sorted(
                (
                    {
                        "name": name,
                        "target": seen.target,
                        "left_behind": seen.over,
                        "share": _part(seen.over, seen.count),
                        "median_left": _middle(seen.shares),
                    }
                    for name, seen in counts.impurities.items()
                ),
                key=lambda item: (-item["left_behind"], item["name"]),
            ),
        }


def _bin(value: float) -> float:
    return float(f"{value:.2g}")


def _part(count: int, whole: int) -> float:
    return float(f"{count / whole:.3g}") if whole else 0.0


def _common(counts: Counter[str], most: int) -> list[tuple[str, int]]:
    return sorted(counts.items(), key=lambda item: (-item[1], item[0]))[:most]


def _middle(counts: Mapping[float, int]) -> float | None:
    whole = sum(counts.values())
    passed = 0
    for value in sorted(counts):
        passed += counts[value]
        if 2 * passed >= whole:
            return value
    return None


def _marks(counts: Counter[float], out_of: float) -> dict[str, Any]:
    number = sum(counts.values())
    edges = [float(f"{out_of * n / 10:.6g}") for n in range(11)]
    bars = [0] * 10
    for mark, count in counts.items():
        bars[min(9, max(0, math.floor(10 * mark / out_of + 1e-9)))] += count
    return {
        "out_of": out_of,
        "count": number,
        "mean": round(sum(m * c for m, c in counts.items()) / number, 2) if number else None,
        "median": _middle(counts),
        "lowest": min(counts, default=None),
        "highest": max(counts, default=None),
        "bars": [{"from": edges[n], "to": edges[n + 1], "count": bars[n]} for n in range(10)],
    }


def what_step(step: Mapping[str, Any]) -> str:
    """Return what a step does and with what, without volumes."""
    what = step["solution_name"] or step["solvent"] or step["desiccant"]
    joined = {"wash": "with", "dry": "over", "extract": "with", "quench": "with", "rinse": "with", "take up": "in"}
    return f"{step['action']} {joined.get(step['action'], 'with')} {what}" if what else step["action"]


def things_to_say(made: Mapping[str, Any]) -> list[str]:
    """Return three things to say at the start of the next lab: what went wrong most and worst, else what went right."""
    ranked = sorted(made["misconceptions"], key=lambda m: (-WEIGHT[m["kind"]] * m["count"], m["rule"]))
    said = []
    for item in ranked[:THINGS]:
        about = f" It was {_listed(item['about'])} here." if item["about"] and item["kind"] == "leftover" else ""
        remedy = f" Instead: {item['remedy'].rstrip('.')}." if item["remedy"] else ""
        said.append(
            f"{item['title'].rstrip('.')}. {item['why'].rstrip('.')}.{about}{remedy} "
            f"({item['count']} of {made['judged']} plans)"
        )
    praise = []
    for question in made["questions"]:
        for item in question["impurities"]:
            if made["judged"] and item["share"] <= 0.2:
                praise.append(
                    f"What most of you know already: {item['name']} comes out. "
                    f"({round(100 * (1 - item['share']))} % of the plans for {question['product']})"
                )
        if question["product_recovered"] is not None and question["product_recovered"] >= 0.95:
            praise.append(f"Half of you or more keep over 95 % of {question['product']}: the layers are in good hands.")
    said += praise[: THINGS - len(said)]
    if len(said) < THINGS and made["judged"]:
        said.append("Read the data sheet of each compound before the lab, and ask before improvising.")
    return said


def _listed(names: Sequence[str]) -> str:
    from washlore.rules.words import listed

    return listed(list(names))


# Words --------------------------------------------------------------------------------------------------------------


def summary_text(made: Mapping[str, Any], width: int) -> str:
    """Return the record of a class as text."""
    from washlore.cli.render.text import INDENT, heading, paragraph, sentence, table_text

    blocks = [paragraph(one_line(made["title"]), width), paragraph(counted(made), width)]
    if made["say"]:
        lines = [
            heading("Three things to say at the start of the next lab" if len(made["say"]) == 3 else "To say next time")
        ]
        lines += [paragraph(said, width, f"{INDENT}{n}. ") for n, said in enumerate(made["say"], start=1)]
        blocks.append("\n".join(lines))
    if made["misconceptions"]:
        lines = [heading("What was not understood, hazards first")]
        for item in made["misconceptions"][:MOST_SHOWN]:
            lines.append(
                paragraph(
                    f"{item['title']}: {plans(item['count'])} ({KIND_SAID[item['kind']]}; rule {item['rule']}).",
                    width,
                    f"{INDENT}- ",
                )
            )
            if item["quote"]:
                lines.append(paragraph(f'One wrote: "{item["quote"]}"', width, INDENT * 2))
            if item["remedy"]:
                lines.append(paragraph(sentence(f"Instead: {item['remedy']}"), width, INDENT * 2))
        blocks.append("\n".join(lines))
    for question in made["questions"]:
        blocks.append(_question_text(question, width))
    if made["steps"]:
        rows = [(str(s["wrong"]), str(s["used"]), s["step"]) for s in made["steps"]]
        blocks.append(
            "\n".join([heading("Which step goes wrong"), table_text(("wrong in", "used in", "step"), rows, width)])
        )
    if made["alike"]:
        lines = [heading("Nearly the same wording"), paragraph(ALIKE, width, INDENT)]
        lines += [paragraph(f"{group_said(group)}.", width, f"{INDENT}- ") for group in made["alike"]]
        blocks.append("\n".join(lines))
    if made["problems"]:
        lines = [heading("Could not be read")]
        lines += [paragraph(problem_said(p), width, f"{INDENT}- ") for p in made["problems"]]
        rest = made["not_read"] - len(made["problems"])
        lines += (
            [paragraph(f"and {rest} more; the table of results has them all.", width, f"{INDENT}- ")] if rest else []
        )
        blocks.append("\n".join(lines))
    if made["notes"]:
        blocks.append(
            "\n".join([heading("How it was read"), *(paragraph(n, width, f"{INDENT}- ") for n in made["notes"])])
        )
    return "\n\n".join(blocks)


ALIKE = (
    "Plans that share notes, a script or a lab partner often read alike. This says nothing about how it came about; it "
    "spares looking at each."
)


def counted(made: Mapping[str, Any]) -> str:
    """Return how many of what there are, in sentences."""
    said = f"{plans(made['answers'])} of {made['students']} student{'s' if made['students'] != 1 else ''}"
    said += f", {made['distinct']} different texts" if made["distinct"] != made["answers"] else ""
    said += f". {made['judged']} judged, {made['not_read']} not read"
    said += f", {made['needs_a_look']} to look at"
    said += " (the column needs_a_look says why)" if made["needs_a_look"] else ""
    said += f", {made['blank']} without an answer" if made["blank"] else ""
    said += f", {made['overridden']} marks overridden" if made["overridden"] else ""
    said += f", {made['late']} late" if made["late"] else ""
    return f"{said}. The marks are proposals."


def plans(count: int) -> str:
    """Return a count of plans in words."""
    return f"{count} plan{'' if count == 1 else 's'}"


def group_said(group: Mapping[str, Any]) -> str:
    """Return a group of plans that read alike, in words."""
    more = ", ..." if group["plans"] > len(group["rows"]) else ""
    return f"group {group['group']}: {plans(group['plans'])}, rows {', '.join(map(str, group['rows']))}{more}"


def problem_said(item: Mapping[str, Any]) -> str:
    """Return an answer that could not be read, in words."""
    which = f", {item['question']}" if item["question"] else ""
    return f"row {item['row']}{which}: {item['reason'].rstrip('.')}."


def _question_text(question: Mapping[str, Any], width: int) -> str:
    from washlore.cli.render.text import INDENT, heading, paragraph, table_text
    from washlore.rules.words import share

    lines = [heading(question["name"] or "Verdicts and marks")]
    if question["name"]:
        lines.append(paragraph(one_line(question["mixture"]), width, INDENT))
    rows = [(str(v["count"]), f"{100 * v['share']:.0f} %", v["says"]) for v in question["verdicts"]]
    lines.append(table_text(("plans", "share", "verdict"), rows, width))
    marks = question["marks"]
    if marks["count"]:
        lines.append(
            paragraph(
                f"Marks: {marks['mean']:g} on average, {marks['median']:g} in the middle, from {marks['lowest']:g} to "
                f"{marks['highest']:g}, of {marks['out_of']:g}.",
                width,
                INDENT,
            )
        )
    if question["impurities"]:
        lines.append(
            table_text(
                ("over the target in", "left in the middle", "impurity"),
                [
                    (
                        plans(i["left_behind"]),
                        share(i["median_left"]) if i["median_left"] is not None else "",
                        i["name"],
                    )
                    for i in question["impurities"]
                ],
                width,
            )
        )
    return "\n".join(lines)


def summary_page(made: Mapping[str, Any]) -> str:
    """Return the record of a class as an HTML page with charts."""
    from washlore.cli.page.charts import bars
    from washlore.cli.page.environment import render

    charts = []
    for n, question in enumerate(made["questions"], start=1):
        verdicts = {v["says"]: v["count"] for v in question["verdicts"] if v["count"] or v["verdict"] != "unreadable"}
        marks = {f"{b['from']:g} to {b['to']:g}": b["count"] for b in reversed(question["marks"]["bars"])}
        left = {clipped(i["name"], 40): i["left_behind"] for i in question["impurities"]}
        shown = (("verdicts", "Verdicts", verdicts), ("marks", "Marks", marks), ("left", "Left behind", left))
        charts.append(
            {
                key: bars(
                    f"{key}-{n}", title, list(counts), list(counts.values()), said=[plans(c) for c in counts.values()]
                )
                for key, title, counts in shown
                if counts
            }
        )
    return render(
        "class.html",
        made=made,
        charts=charts,
        counted=counted(made),
        kinds=KIND_SAID,
        alike=ALIKE,
        groups=[group_said(g) for g in made["alike"]],
        problems=[problem_said(p) for p in made["problems"]],
        plans=plans,
        most=MOST_SHOWN,
    )
