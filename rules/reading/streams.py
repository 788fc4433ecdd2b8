"""Which layer each step of a workup is done to, where several layers are worked up: flask A, the acid extract, the ether.

A wash parts a water layer from an organic one, an extraction an organic layer from its water: each is a stream of its own.
The words of a step, those before it, and headings say which it goes on with; where they do not, what is done tells.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from washlore.knowledge.records import dataclass
from washlore.knowledge.rows import Solution, table
from washlore.rules.proposal import Proposal, ReadStep


@dataclass(frozen=True)
class Stream:
    """A layer that may be worked up: ``parent`` is the place of the one it is parted from, in step ``born`` (from 1).

    The first is the reaction mixture, then the organic layer: it has no parent, and is born in step 0. ``label`` is what the
    text calls it, empty where it has no name.
    """

    phase: str
    parent: int
    born: int
    label: str = ""


@dataclass(frozen=True)
class Streams:
    """All streams of a text, and for each step the place of the one it is done to.

    ``joined`` are steps whose water is added to that of an earlier one, with the place of that stream; ``rinses`` are washes of
    a solid.
    """

    streams: tuple[Stream, ...]
    of_step: tuple[int, ...]
    joined: Mapping[int, int]
    rinses: frozenset[int]

    def children(self, place: int) -> list[int]:
        """Return the streams that are parted from one, in order."""
        return [n for n, stream in enumerate(self.streams) if stream.parent == place and n != place]

    def chain(self, place: int) -> list[int]:
        """Return the streams from the first to this one."""
        found = [place]
        while self.streams[found[0]].parent >= 0:
            found.insert(0, self.streams[found[0]].parent)
        return found

    def steps_of(self, place: int) -> list[int]:
        """Return the numbers of the steps that are done to a stream."""
        return [n for n, of in enumerate(self.of_step, start=1) if of == place]


_NATURES = {
    "acid": r"acid(?:ic|ified)?|hcl|hydrochloric(?: acid)?|h2so4|sulph?uric(?: acid)?|citric(?: acid)?",
    "nahco3_sat": r"nahco3|bicarb(?:onate)?|(?:sodium )?(?:bicarbonate|hydrogen ?carbonate)",
    "na2co3": r"na2co3|k2co3|(?:sodium |potassium )?carbonate",
    "base": r"bas(?:e|ic|ified)|alkaline|naoh|koh|(?:sodium |potassium )?hydroxide",
}
_NATURE = "|".join(f"(?P<{key}>{words})" for key, words in _NATURES.items())
_PART = r"(?:layers?|phases?|extracts?|solutions?|fractions?|portions?|wash(?:es|ings?)?)"
_SOLVENT = (
    r"(?:organic|ether(?:eal)?|et2o|mtbe|tbme|dcm|ch2cl2|dichloromethane|methylene chloride|chloroform|chcl3|etoac|"
    r"ethyl acetate|toluene|hexanes?|pentane|petroleum ether)"
)
_FIRST = r"(?P<first>remaining|original|initial|left[- ]?over|neutral|residual|first)"
_ORDINAL = r"(?P<ordinal>first|second|third|fourth|1st|2nd|3rd|4th)"
_DETERMINER = r"(?:the|combined|both|all|each|your|these|this|that|saved|reserved|pooled)"
_VESSEL = r"(?:flask|beaker|erlenmeyer|vessel|tube|vial|container|bottle|funnel)"
_CALLED = r"(?:labell?ed\s+|marked\s+|called\s+|no\.?\s+|number\s+)?[\"'#(]?"
_NOT_COUNTED = r"(?!\s*(?:m[lL]\b|M\b|N\b|%|[x×]|:\d|\.\d|times|more|portions?|separate|further))"
# The kinds of words that name a stream; a bare letter needs something to stand in.
_REFERENCE = re.compile(
    rf"\b(?:{_VESSEL}s?\s+{_CALLED}(?P<label>(?-i:[A-H]|I{{1,3}}|IV)|[1-9])|{_PART}\s+{_CALLED}(?P<letter>(?-i:[A-H])))"
    rf"\b{_NOT_COUNTED}"
    rf"|\b(?:{_DETERMINER}\s+)*(?:{_ORDINAL}\s+)?(?:(?:{_NATURE})\s+)?(?P<aqueous>(?:aqueous|aq\.?|water)\s+{_PART}|{_PART}(?=\b)|{_VESSEL}(?=\b))"
    rf"|\b(?:{_DETERMINER}\s+)*(?:{_FIRST}\s+)?(?P<organic>{_SOLVENT}\s+{_PART}|(?<=the ){_SOLVENT}\b(?!\s*\())",
    re.I,
)
_SET_ASIDE = (
    r"keep|kept|sav(?:e|ed|ing)|discard(?:ed|ing)?|retain(?:ed)?|collect(?:ed)?|set(?:ting)? aside|reserv(?:e|ed)|"
    r"remov(?:e|ed)|drain(?:ed)?|run|ran|draw(?:n)?|separat(?:e|ed)|put|pour(?:ed)?|transfer(?:red)?|label(?:l?ed)?|"
    r"call(?:ed)?|mark(?:ed)?|pool(?:ed)?"
)
_ASIDE_BEFORE = re.compile(rf"\b(?:{_SET_ASIDE})(?:\s+(?:off|out|aside|together|apart|as|in|into|it|them))*\W*$", re.I)
_ASIDE_AFTER = re.compile(
    rf"^\W*(?:(?:is|are|was|were|being|then|both|again|together|off|to be|goes|go|went)\W+)*(?:{_SET_ASIDE})\b", re.I
)
_TO = re.compile(r"\b(?:with|by|using|to|into|from|of|in)\s+(?:the\s+)?$", re.I)
_MEASURED = re.compile(r"(?:\bm?L|\bM|\bN|%|\bsat(?:urated|d)?\.?|\bdil(?:ute|\.)?|\bcold|\bconc(?:entrated|\.)?)\s+$")
# What a verb that is a step by itself is done to: "evaporate the ether".
_OBJECT = re.compile(r"\s+(?:the|both|each|combined)\b[^.,;:()]*", re.I)
_BOUNDARY = re.compile(r"[.;!?]\s+(?=[A-Z(\d•*–-]|$)|\n+|;\s")
_HEADING = re.compile(r"^[\s#*•–-]*(?:\d{1,2}[.)]\s*)?(?P<words>[^\n.]{3,60}?)\s*:?[\s*]*$")
_PARTED = re.compile(r"\b(?:separat|layers?\b|shak|funnel|drain)", re.I)
_JOINS = re.compile(
    r"\b(?:add|return|combin|join|pool|unit)\w*\b[^.;]{0,40}?\b(?:to|with|into)\s+the\s+(?:organic|original|first|main|remaining|ether\w*)\b",
    re.I,
)
# What may stand beside the name of a stream in a heading: "Workup of flask A".
MOST_BESIDE = 12
_BETWEEN = frozenset({"vent", "wait", "combine", "check ph", "discard", "cool"})
_ENDS = ("concentrate", "evaporate")


def _label(found: re.Match[str]) -> str:
    """Return the letter or number that a stream goes by, empty where it has none."""
    return found["label"] or found["letter"] or ""


def streams_of(proposal: Proposal) -> Streams:
    """Return the streams of a read workup and the one that each step is done to."""
    return _Follower(proposal).run()


class _Follower:
    """Goes through the steps with the streams known so far."""

    def __init__(self, proposal: Proposal) -> None:
        self.text, self.steps = proposal.text, proposal.steps
        self.streams = [Stream("organic", -1, 0)]
        self.here = 0
        self.finished: set[int] = set()
        self.of_step: list[int] = []
        self.parted = 0  # the water layer that was parted last
        self.joined: dict[int, int] = {}
        self.rinses: set[int] = set()
        self.solids: set[int] = set()  # streams that a solid was filtered from

    def run(self) -> Streams:
        end = 0
        for number, step in enumerate(self.steps, start=1):
            between = self.text[end : max(end, step.start)]
            cut = max((found.end() for found in _BOUNDARY.finditer(between)), default=0)
            self._told_between(end, end + cut)
            following = self.steps[number].start if number < len(self.steps) else len(self.text)
            what = _OBJECT.match(self.text, step.end, max(step.end, following))
            self._do(number, step, f"{between[cut:]}{step.words}{what[0] if what else ''}")
            self._joined_again(end + cut, step.end)
            end = max(end, step.end)
        self._told_between(end, len(self.text))
        return Streams(tuple(self.streams), tuple(self.of_step), self.joined, frozenset(self.rinses))

    # Words

    def _told_between(self, start: int, stop: int) -> None:
        """Take names for what was parted last, and headings: whole lines after the end of a sentence."""
        self._joined_again(start, stop)
        place = start
        for line in self.text[start:stop].splitlines(keepends=True):
            before = self.text[:place].rstrip(" \t")
            whole = (not before or before[-1] == "\n") and before.rstrip()[-1:] in ("", *".:;!?)*#")
            heading = _HEADING.match(line) if whole else None
            place += len(line)
            if heading and self._is_heading(heading["words"]):
                meant = self._meant(heading["words"], heading=True)
                self.here = self.here if meant is None else meant
                continue
            for found in _REFERENCE.finditer(line):
                self._name(_label(found))

    def _joined_again(self, start: int, stop: int) -> None:
        """Let an extract that is added to the organic layer be finished there."""
        done = len(self.of_step)
        if done and self.steps[done - 1].action == "combine":
            start = min(start, self.steps[done - 1].start)  # the verb may be a step by itself
        if self.here and self.streams[self.here].phase == "organic" and _JOINS.search(self.text[start:stop]):
            self.finished.add(self.here)
            self.here = 0

    @staticmethod
    def _is_heading(words: str) -> bool:
        """Tell whether a line does little more than name a stream."""
        found = _REFERENCE.search(words)
        return found is not None and len(words) - len(found[0]) <= MOST_BESIDE

    def _name(self, label: str) -> None:
        if label and self._labelled(label) is None and self.parted and not self.streams[self.parted].label:
            old = self.streams[self.parted]
            self.streams[self.parted] = Stream(old.phase, old.parent, old.born, label)

    def _just_named(self, label: str) -> bool:
        """Take a new name right after a wash for the water of it; tell whether it was one."""
        last = len(self.of_step)
        fresh = self.parted and (self.streams[self.parted].born == last or self.joined.get(last) == self.parted)
        if not label or not fresh or self._labelled(label) is not None or self.streams[self.parted].label:
            return False
        self._name(label)
        return True

    def _labelled(self, label: str) -> int | None:
        return next((n for n, stream in enumerate(self.streams) if stream.label == label), None)

    def _waters(self) -> list[int]:
        return [n for n, stream in enumerate(self.streams) if stream.phase == "aqueous"]

    def _organic(self) -> int:
        """Return the organic layer that is meant where nothing more is said: that of the branch until it is dry."""
        place = self.here
        if self.streams[place].phase == "organic" and place not in self.finished:
            return place
        child = next((n for n in reversed(range(len(self.streams))) if self.streams[n].parent == place), None)
        if child is not None and self.streams[child].phase == "organic" and child not in self.finished:
            return child
        return 0

    def _meant(self, words: str, heading: bool = False) -> int | None:
        """Return the stream that some words name, the last of them; ``None`` where they name none."""
        meant = None
        for found in _REFERENCE.finditer(words):
            before, after = words[: found.start()], words[found.end() :]
            if not heading and self._just_named(_label(found)):
                continue
            if not heading and (_ASIDE_BEFORE.search(before) or _ASIDE_AFTER.search(after)):
                self._name(_label(found))
                continue
            if not heading and not _label(found) and (_TO.search(before) or _MEASURED.search(before)):
                continue
            place = self._referred(found, heading)
            if place is not None:
                meant = place
        return meant

    def _referred(self, found: re.Match[str], heading: bool) -> int | None:
        waters = self._waters()
        if label := _label(found):
            known = self._labelled(label)
            order = "ABCDEFGH".find(label) if label.isalpha() and len(label) == 1 else -1
            if known is None and 0 <= order < len(waters) and not self.streams[waters[order]].label:
                known = waters[order]
            return known
        if found["organic"]:
            return 0 if found["first"] or heading else self._organic()
        nature = next((key for key in _NATURES if found[key]), "")
        alike = [n for n in waters if not nature or self._is(n, nature)]
        if found["ordinal"]:
            order = ("first", "second", "third", "fourth", "1st", "2nd", "3rd", "4th").index(
                found["ordinal"].lower()
            ) % 4
            return alike[order] if order < len(alike) else None
        water = bool(re.match(r"(?:aqueous|aq|water)", found["aqueous"] or "", re.I))
        if not nature and not water:
            return None
        open_ones = [n for n in alike if n not in self.finished] or alike
        if self.here in open_ones:
            return self.here
        parent = self.streams[self.here].parent
        if parent in alike and not nature:
            return parent  # the water that this extract was taken from
        return max(open_ones, key=lambda n: (self._is_kept(n), n), default=None)

    def _is_kept(self, place: int) -> bool:
        """Tell whether a water is one that is meant to be gone on with: that of the reaction, or one drawn and kept."""
        step = self.steps[self.streams[place].born - 1]
        return step.action in ("extract", "take up") or step.phase_kept == "aqueous"

    def _is(self, place: int, nature: str) -> bool:
        row = table(Solution).get(self.steps[self.streams[place].born - 1].solution)
        if row is None:
            return False
        return row.acts_as == nature if nature in ("acid", "base") else row.id.startswith(nature.partition("_")[0])

    # What is done

    def _do(self, number: int, step: ReadStep, words: str) -> None:
        meant = self._meant(words)
        if meant is not None:
            self.here = meant
        if step.action == "set ph":
            self._to_water(step, meant)
        elif step.action == "extract":
            self._extract(number, meant)
        elif step.action in ("wash", "rinse") and self.here in self.solids and meant is None:
            self.rinses.add(number)
        elif step.action in ("wash", "take up") or (
            step.action == "dilute" and (_is_a_wash(step) or self._is_shaken(number, step))
        ):
            self._wash(number, step, meant)
        elif step.action == "dry" and self.streams[self.here].phase == "aqueous":
            self.here = self._organic()
        self.of_step.append(self.here)
        if step.action in _ENDS and self.here:
            self.finished.add(self.here)
            self.finished.add(self.streams[self.here].parent)
        if step.action in ("filter", "filter off desiccant") and self.streams[self.here].phase == "aqueous":
            self.finished.add(self.here)  # a solid is collected
            self.solids.add(self.here)
        for found in _REFERENCE.finditer(words):
            self._name(_label(found))

    def _to_water(self, step: ReadStep, meant: int | None) -> None:
        """Choose the water that is made acidic or basic: one that is the other, and not yet done with."""
        waters = self._waters()
        if not waters or meant in waters or (self.here in waters and self.here not in self.finished):
            return
        parent = self.streams[self.here].parent
        if parent in waters and parent not in self.finished:
            self.here = parent
            return
        row = table(Solution).get(step.solution)
        acid = row.acts_as == "acid" if row is not None else (step.target_ph or 7.0) < 7.0
        wanted = [n for n in waters if self._is(n, "base" if acid else "acid") and n not in self.finished]
        wanted = wanted or [n for n in waters if self._is_kept(n) and n not in self.finished]
        if wanted:
            self.here = wanted[-1]

    def _extract(self, number: int, meant: int | None) -> None:
        """Make an organic layer of what is extracted from water, or add to the one made before."""
        place = self.here
        if self.streams[place].phase == "organic" and place and (meant is None or meant == place):
            if not self._moved_since(place):
                return  # once more: added to what was extracted before
            place = self.streams[place].parent
        if self.streams[place].phase == "aqueous":
            self.streams.append(Stream("organic", place, number))
            self.here = len(self.streams) - 1
        elif not place:
            self._part(number)  # the water of the reaction

    def _moved_since(self, place: int) -> bool:
        """Tell whether the water of an extract was changed after that was taken."""
        parent = self.streams[place].parent
        return any(of == parent for of in self.of_step[self.streams[place].born :])

    def _wash(self, number: int, step: ReadStep, meant: int | None) -> None:
        """Part water from the organic layer; a wash with a solvent rinses the water."""
        if step.solvent and not step.solution and step.solvent != "water":
            return
        row = table(Solution).get(step.solution)
        draws = row is not None and row.acts_as in ("acid", "base")
        if self.streams[self.here].phase == "aqueous":
            self.here = self._organic()
        if draws and self._only_rinsed(self.here):
            self.here = 0
        if (before := self._same_wash(step)) is not None:
            self.joined[number] = before
            return
        self._part(number)

    def _part(self, number: int) -> None:
        self.streams.append(Stream("aqueous", self.here, number))
        self.parted = len(self.streams) - 1

    def _is_shaken(self, number: int, step: ReadStep) -> bool:
        """Tell whether an acid or base that is added to an organic layer is shaken with it and parted at once."""
        row = table(Solution).get(step.solution)
        if row is None or row.acts_as not in ("acid", "base") or self.streams[self.here].phase != "organic":
            return False
        onward = next((s for s in self.steps[number:] if s.action not in _BETWEEN), None)
        words = self.text[step.end : onward.start if onward else len(self.text)]
        return (onward is None or onward.action != "extract" or ":" in words) and bool(_PARTED.search(words))

    def _only_rinsed(self, place: int) -> bool:
        """Tell whether an extract is of water whose pH nobody has changed: a rinse, of which no more is made."""
        parent = self.streams[place].parent
        return "set ph" not in (self.steps[n].action for n, of in enumerate(self.of_step) if of == parent)

    def _same_wash(self, step: ReadStep) -> int | None:
        """Return the water of a wash with the same solution right before this one: nobody keeps the two apart."""
        for number in range(len(self.of_step), 0, -1):
            earlier = self.steps[number - 1]
            if self.of_step[number - 1] != self.here or earlier.action in _BETWEEN:
                continue
            if earlier.solution != step.solution or not step.solution:
                return None
            return self.joined.get(number) or next(
                (n for n, stream in enumerate(self.streams) if stream.born == number and stream.phase == "aqueous"),
                None,
            )
        return None


def _is_a_wash(step: ReadStep) -> bool:
    """Tell whether what is added to the funnel is parted from it again: its water is kept."""
    return bool(step.solution) and bool(step.phase_kept or step.layer_kept)
