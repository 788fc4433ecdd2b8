"""A written workup of a flask with several products: each is followed through the layers that hold it, and judged there."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from washlore.knowledge.arrays import np
from washlore.knowledge.records import replace
from washlore.rules.account import Achieved
from washlore.rules.bench import LAYER_ASSUMED, Bench
from washlore.rules.judge import CHECKED, Considered, Judgement, Part, consider, judge
from washlore.rules.judging.facts import KINDS
from washlore.rules.mixture import Component, Mixture
from washlore.rules.plan import make_plan
from washlore.rules.proposal import ELSEWHERE, Proposal, ReadStep
from washlore.rules.reading.streams import Streams, streams_of
from washlore.rules.reckon import PlanRefused
from washlore.rules.verdict import VERDICTS, Found, verdict_on

# Of what the plan brings home from a water layer; a solid that is collected there is not computed.
FOUND = 0.05
CARRIES = "carries"
# After these a residue is no crude yet.
GOES_ON = ("dilute", "extract", "take up")


def alone(mixture: Mixture, wanted: Component) -> Mixture:
    """Return the same flask with one product; the others are something that must not be in it."""
    first = replace(mixture.product, id=wanted.id, role="reactant")
    others = tuple(
        first if c.id == wanted.id else replace(c, role="reactant") if c.role == "product" else c
        for c in mixture.others
    )
    if wanted.id == "product":
        return replace(mixture, others=others)
    return replace(mixture, product=replace(wanted, id="product"), others=others)


def consider_each(mixture: Mixture, draws: int) -> Considered:
    """Think a flask with several products through, once for each of them."""
    each = tuple((c, consider(alone(mixture, c), draws)) for c in mixture.wanted)
    try:
        crudes = make_plan(mixture, 1).crudes
    except PlanRefused:
        crudes = ()
    together = tuple(frozenset(crude.wanted) for crude in crudes if len(crude.wanted) > 1)
    return Considered(mixture, None, parts=each, together=together)


def judge_each(proposal: Proposal, considered: Considered) -> Judgement:
    """Judge a read plan for each product, in the layers that hold it; the verdict is that of the worst."""
    streams = streams_of(proposal)
    parts = []
    for component, one in considered.parts:
        place = _stream_with(proposal, streams, one)
        parts.append(Part(component, _name(streams, place), judge(path(proposal, streams, place), one)))
    parts = [_in_fairness(part, parts[:n], considered.together) for n, part in enumerate(parts)]
    worst = max((part.judgement.verdict for part in parts), key=VERDICTS.index)
    left: dict[str, tuple[float, float, float]] = {}
    assumed: dict[int, tuple[str, ...]] = {}
    for part in parts:
        for c, band in part.judgement.left.items():
            if c != "product":
                own = own_id(part, c)
                left[own] = max(left.get(own, band), band, key=lambda b: b[1])
        for number, told in part.judgement.assumed.items():
            assumed[number] = tuple(dict.fromkeys((*assumed.get(number, ()), *told)))
    bands = np.array([part.judgement.recovered for part in parts])
    low, middle, high = (float(v) for v in bands.mean(axis=0))
    achieved: dict[int, Achieved] = {}
    for item in (a for part in parts for a in part.judgement.achieves):
        # What a step carries into a flask of its own, it also takes out of the others.
        if item.step not in achieved or item.text.startswith(CARRIES):
            achieved[item.step] = item
    return Judgement(
        _as_done(proposal, parts),
        considered,
        _merged(parts),
        tuple(achieved[number] for number in sorted(achieved)),
        left,
        (low, middle, high),
        worst,
        CHECKED,
        assumed,
        next((p.judgement.left_to for p in parts if p.judgement.left_to), ""),
        parts=tuple(parts),
    )


def with_product(proposal: Proposal, considered: Considered) -> Proposal:
    """Return a plan for one product without what it does to layers that the product is not in, where it works up several.

    So does who strips a neutral by-product off before the acid is brought back from its water.
    """
    streams = streams_of(proposal)
    if len(_worked_up(proposal, streams)) < 2:
        return proposal
    return path(proposal, streams, _stream_with(proposal, streams, considered))


def _worked_up(proposal: Proposal, streams: Streams) -> set[int]:
    """Return the streams that end as something dry, or as a solid from water."""
    found = set()
    for place, stream in enumerate(streams.streams):
        done = [proposal.steps[n - 1].action for n in streams.steps_of(place)]
        # What is taken up again after its solvent was stripped is not at its end there.
        end = max((n for n, action in enumerate(done) if action in GOES_ON), default=-1)
        if "concentrate" in done[end + 1 :] or (
            stream.phase == "aqueous" and any(a.startswith("filter") for a in done)
        ):
            found.add(place)
    return found


# Where a product goes


def _stream_with(proposal: Proposal, streams: Streams, one: Considered) -> int:
    """Return the place of the stream that holds most of a product, as far as the plan works it up."""
    if one.plan is None:
        return 0
    place = 0
    while True:
        waters = [n for n in streams.children(place) if streams.streams[n].phase == "aqueous"]
        if not waters:
            return place
        bench = _carried(proposal, streams, place, one)
        stays = _middle(bench.recovered)
        into = max(waters, key=lambda n: _share_in(streams, bench, n))
        if _share_in(streams, bench, into) <= stays:
            return place
        extracts = [n for n in streams.children(into) if streams.streams[n].phase == "organic"]
        brought = {n: _middle(_carried(proposal, streams, n, one).recovered) for n in extracts}
        best = max(brought, key=lambda n: brought[n], default=None)
        if best is not None and (brought[best] > FOUND or not _collects(proposal, streams, into)):
            place = best
            continue
        return into if streams.steps_of(into) else place


def _carried(proposal: Proposal, streams: Streams, place: int, one: Considered) -> Bench:
    assert one.plan is not None
    return Bench(one.plan, path(proposal, streams, place), numbers=one.numbers).run()


def _middle(values: np.ndarray) -> float:
    return float(np.median(values))


def _share_in(streams: Streams, bench: Bench, water: int) -> float:
    """Return the share of the product that the washes which made a water layer took along."""
    first = bench.acts[streams.streams[water].born - 1]
    if first.read.action == "extract" and first.after is not None:
        return 1.0 - _middle(bench.share("product", first.after))  # what the water of the reaction has kept
    numbers = [streams.streams[water].born, *(n for n, into in streams.joined.items() if into == water)]
    acts = [bench.acts[n - 1] for n in numbers]
    return sum(_middle(bench.share("product", act.aside)) for act in acts if act.aside is not None)


def _collects(proposal: Proposal, streams: Streams, place: int) -> bool:
    return any(proposal.steps[n - 1].action.startswith("filter") for n in streams.steps_of(place))


# The steps on the way there


def path(proposal: Proposal, streams: Streams, place: int) -> Proposal:
    """Return the plan with only the steps that the product in a stream goes through; the others are done elsewhere.

    The numbers of the steps stay as they are, and where layers part the one that leads there is kept.
    """
    chain = streams.chain(place)
    ends = {one: streams.streams[after].born for one, after in pairwise(chain)}
    made: list[ReadStep] = []
    dried = False
    for number, step in enumerate(proposal.steps, start=1):
        done = _on_path(streams, chain, ends, number, step)
        if done is None:
            made.append(
                replace(step, action=ELSEWHERE, solution="", solvent="", desiccant="", target_ph=None, assumed=())
            )
            continue
        if done.action in ("filter", "filter off desiccant"):
            done = replace(done, action="filter off desiccant" if dried else "filter")
        dried = done.action == "dry" or (dried and done.action not in ("wash", "extract", "take up", "set ph"))
        made.append(done)
    return replace(proposal, steps=tuple(made))


def _on_path(
    streams: Streams, chain: Sequence[int], ends: dict[int, int], number: int, step: ReadStep
) -> ReadStep | None:
    place = streams.of_step[number - 1]
    stream = streams.streams[place]
    if place not in chain:
        drawn = place and stream.parent in chain and step.action == "extract" and number < ends.get(stream.parent, 1e9)
        return _keeping(step, "extract", "aqueous") if drawn else None
    if number > ends.get(place, number):
        # What is said of the shaking itself belongs to both layers.
        return step if step.action == "vent" and number == ends[place] + 1 else None
    if number in streams.rinses:
        return replace(step, action="rinse")
    if number in streams.joined:
        return None  # a further portion of an earlier wash
    water = next((n for n, s in enumerate(streams.streams) if s.born == number and s.phase == "aqueous"), None)
    if water is not None and step.action == "extract":
        return _keeping(step, "extract", "aqueous") if number == ends.get(place) else step
    if water is not None and step.action in ("wash", "take up", "dilute"):
        more = sum(1 for into in streams.joined.values() if into == water)
        kept = ("take up", "aqueous") if number == ends.get(place) else ("wash", "organic")
        return replace(_keeping(step, *kept), repeats=step.repeats + more)
    if step.action == "extract":
        return _keeping(step, "extract", "organic")
    return step


def _keeping(step: ReadStep, action: str, phase: str) -> ReadStep:
    assumed = tuple(text for text in step.assumed if LAYER_ASSUMED not in text)
    return replace(step, action=action, phase_kept=phase, layer_kept="", assumed=assumed)


def _name(streams: Streams, place: int) -> str:
    """Return what a stream is called: flask A, the aqueous layers of step 1, the organic layer."""
    if not place:
        return "the organic layer"
    stream = streams.streams[place]
    water = stream if stream.phase == "aqueous" else streams.streams[stream.parent]
    return f"flask {water.label}" if water.label else f"the aqueous layer of step {water.born}"


def _as_done(proposal: Proposal, parts: Sequence[Part]) -> Proposal:
    """Return the plan with what its layers tell of some steps: a solid that is filtered and rinsed, no drying agent."""
    steps = []
    for number, step in enumerate(proposal.steps):
        done = [p.judgement.proposal.steps[number].action for p in parts]
        action = next((a for a in done if a in ("filter", "filter off desiccant", "rinse")), step.action)
        steps.append(replace(step, action=action))
    return replace(proposal, steps=tuple(steps))


# What is found


def own_id(part: Part, component: str) -> str:
    """Return the id in the whole flask of a component as it is called where one product is followed."""
    if component == "product":
        return part.product.id
    return "product" if component == part.product.id else component


def _in_fairness(part: Part, earlier: Sequence[Part], together: Sequence[frozenset[str]]) -> Part:
    """Return the judgement on one product without what is said of it elsewhere, or held against nobody.

    Two products in one layer stay with one another: that is said of the first. What is lost is not judged for its purity too.
    ``together`` are products that no wash parts.
    """
    made = part.judgement
    lost = made.recovered[1] < FOUND
    said = {p.product.id for p in earlier if p.place == part.place}
    said |= {c for group in together if part.product.id in group for c in group}
    findings = tuple(
        item
        for item in made.findings
        if item.kind != "leftover"
        or not (lost or (item.components and {own_id(part, c) for c in item.components} <= said))
    )
    left = {c: band for c, band in made.left.items() if c == "product" or not (lost or own_id(part, c) in said)}
    target, purified = made.considered.mixture.target, bool(made.proposal.purified)
    verdict = verdict_on(findings, target, purified) if made.considered.plan else made.verdict
    return replace(part, judgement=replace(made, findings=findings, left=left, verdict=verdict))


def _merged(parts: Sequence[Part]) -> tuple[Found, ...]:
    """Return the findings of all parts, what is said of several products once."""
    found: dict[tuple[str, int, str], Found] = {}
    for part in parts:
        for item in part.judgement.findings:
            alike = (item.rule, item.step, "" if item.kind in ("hazard", "technique") else part.product.id)
            if alike in found:
                continue
            text = item.text if not alike[2] else f"{part.product.name}: {item.text}"
            found[alike] = replace(
                item,
                text=text,
                component=own_id(part, item.component) if item.component else "",
                components=tuple(own_id(part, c) for c in item.components),
            )
    return tuple(sorted(found.values(), key=lambda item: (KINDS.index(item.kind), item.step)))
