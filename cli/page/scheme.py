"""The separation scheme: streams of the record as a flow chart, in boxes to be drawn or in lines of text.

What goes on runs down; what is thrown away goes off to the right. A step whose streams go on in two ways makes two
columns. The same tree makes the drawing (``lay_out``) and the text (``scheme_lines``).
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from washlore.cli.common import in_ascii
from washlore.knowledge.records import dataclass, field
from washlore.rules.words import listed, share

# Shares below this are left out of the chart: it tells where things go, the tables tell what is left.
LEAST_TOLD = 0.005
MOST_NAMES = 6
COLUMN, SIDE, GAP, MARGIN = 262.0, 206.0, 26.0, 8.0
LINE, PAD, DOWN = 18.0, 9.0, 24.0
# Characters to a line; the widths above are made for the font of the template.
IN_COLUMN, IN_SIDE = 34, 25


@dataclass
class Box:
    """A box: ``shape`` is mixture, step, kept, waste or product; ``kind`` of the stream colours it."""

    shape: str
    kind: str
    tag: str
    lines: list[str]
    x: float = 0.0
    y: float = 0.0
    width: float = COLUMN
    height: float = 0.0


@dataclass
class Scheme:
    """The chart: boxes, and arrows as lists of (x, y)."""

    boxes: list[Box] = field(default_factory=list)
    arrows: list[list[tuple[float, float]]] = field(default_factory=list)
    width: float = 0.0
    height: float = 0.0
    # Where the side of each column, by its x, is free again.
    clear: dict[float, float] = field(default_factory=dict)


def step_label(step: dict[str, Any]) -> str:
    """Return what is done in a step, in a few words."""
    if "read_as" in step:
        return f"{step['read_as'][0].upper()}{step['read_as'][1:]}"
    portions = ""
    if step["volume_ml"]:
        portions = f"{step['volume_ml']:g}\u00a0mL"
        if step["repeats"] > 1:
            portions = f"{step['repeats']}\u00a0×\u00a0{portions}"
    solution = step["solution_name"] or ""
    product = listed(step["for"]) if step["for"] else "the product"
    with_it = {
        "wash": f"with {solution}",
        "take up": f"into {solution}",
        "extract": f"with {step['solvent']}",
        "rinse water": f"with {step['solvent']}",
        "dilute": step["solvent"],
        "set ph": f"to {step['target_ph']:g} with {step['solute']}" if step["target_ph"] is not None else "",
        "neutralise": f"to pH {step['target_ph']:g} with {step['solute']}" if step["target_ph"] is not None else "",
        "dry": f"over {step['desiccant']}",
        "quench": " and ".join(step["for"]),
        "filter": f"off {' and '.join(step['for'])}",
        "concentrate": "to dryness",
    }.get(step["action"], "")
    verb = {
        "take up": f"Take {product}",
        "rinse water": "Rinse the water",
        "dilute": "Add",
        "set ph": "Bring the pH",
        "neutralise": "Bring the water",
        "filter off desiccant": "Filter off the drying agent; rinse",
        "evaporate": "Strip the solvent",
        "concentrate": "Strip",
    }.get(step["action"], step["action"].capitalize())
    said = " ".join(filter(None, (verb, with_it)))
    return f"{said}, {portions}" if portions else said


def holds_words(stream: dict[str, Any], names: dict[str, str]) -> list[str]:
    """Return what a stream holds, each with its share of what the flask held at first, the most first."""
    told = sorted(
        (item for item in stream["holds"] if item["share"]["mid"] >= LEAST_TOLD),
        key=lambda item: -item["share"]["mid"],
    )
    # A number and its sign stay together (the space between does not break).
    words = [f"{names[i['component']]} {share(i['share']['mid'])}".replace(" %", "\u00a0%") for i in told[:MOST_NAMES]]
    return words + ([f"and {len(told) - MOST_NAMES} more"] if len(told) > MOST_NAMES else [])


def stream_title(stream: dict[str, Any], layer: str = "") -> str:
    """Return the name of a stream with its place in the funnel, its volume or mass, and its pH."""
    said = stream["name"].removeprefix("the ")
    said = f"{said[0].upper()}{said[1:]}"
    if layer:
        said += f" ({layer})"
    if stream["volume_ml"]:
        said += f", {stream['volume_ml']:.0f}\u00a0mL"
    if stream["mass_g"]:
        said += f", {stream['mass_g']:g}\u00a0g"
    if stream["ph"] is not None:
        said += f", pH\u00a0{round(stream['ph']) + 0}"
    return said


def layer_of(record: dict[str, Any], stream: dict[str, Any]) -> str:
    """Return top or bottom for a layer that comes out of a funnel, and nothing for anything else."""
    met = [c for c in record["contacts"] if c["step"] == stream["from_step"]]
    return met[-1][stream["kind"]]["layer"] if met and stream["kind"] in ("organic", "aqueous") else ""


def forks(record: dict[str, Any], number: int) -> bool:
    """Tell whether two layers part in a step."""
    return any(c["step"] == number for c in record["contacts"])


# The drawing ---------------------------------------------------------------------------------------------------


def lay_out(record: dict[str, Any]) -> Scheme:
    """Return the chart of a plan's record."""
    made = Scheme()
    start = next(s for s in record["streams"] if s["from_step"] is None)
    _, height = _place_stream(record, made, start, MARGIN, MARGIN, None)
    made.height = height + MARGIN
    made.width = max(box.x + box.width for box in made.boxes) + MARGIN
    return made


def _box(made: Scheme, shape: str, kind: str, tag: str, text: Sequence[str], x: float, y: float, width: float) -> Box:
    wide = IN_COLUMN if width == COLUMN else IN_SIDE
    lines = [line for one in text for line in textwrap.wrap(one, wide, break_long_words=True)]
    box = Box(shape, kind, tag, lines, x, y, width)
    box.height = LINE * (len(lines) + (1 if tag else 0)) + 2 * PAD
    made.boxes.append(box)
    return box


def _place_stream(
    record: dict[str, Any], made: Scheme, stream: dict[str, Any], x: float, y: float, above: Box | None
) -> tuple[float, float]:
    """Draw a stream and all that comes of it from (x, y) on; return the right edge and the lower edge of it."""
    names = {c["id"]: c["name"] for c in record["components"]}
    box = None
    if stream["from_step"] is None:
        box = _box(made, "mixture", "mixture", "", ["Reaction mixture", *_few(list(names.values()))], x, y, COLUMN)
    elif stream["fate"] == "product":
        told = holds_words(stream, names)
        box = _box(
            made,
            "product",
            stream["kind"],
            f"KEEP · flask {stream['label']}",
            [stream_title(stream), *_few(told)],
            x,
            y,
            COLUMN,
        )
    elif forks(record, stream["from_step"]):
        told = holds_words(stream, names)
        title = stream_title(stream, layer_of(record, stream))
        box = _box(made, "kept", stream["kind"], "KEEP", [title, *_few(told)], x, y, COLUMN)
    if box is not None:
        if above is not None:
            _down(made, above, box)
        above, y = box, y + box.height + DOWN
    if stream["to_step"] is None:
        return x + COLUMN, y - DOWN
    return _place_step(record, made, stream["to_step"], x, y, above)


def _few(words: list[str]) -> list[str]:
    return [", ".join(words)] if words else []


def _down(made: Scheme, above: Box, below: Box) -> None:
    """Draw an arrow from one box to one below it."""
    if abs(above.x - below.x) < 1:
        middle = above.x + above.width / 2
        made.arrows.append([(middle, above.y + above.height), (middle, below.y)])
    else:
        level = above.y + above.height / 2
        middle = below.x + below.width / 2
        made.arrows.append([(above.x + above.width, level), (middle, level), (middle, below.y)])


def _place_step(
    record: dict[str, Any], made: Scheme, number: int, x: float, y: float, above: Box | None
) -> tuple[float, float]:
    names = {c["id"]: c["name"] for c in record["components"]}
    step = next(s for s in record["steps"] if s["number"] == number)
    box = _box(made, "step", "", "", [f"{number}. {step_label(step)}"], x, y, COLUMN)
    out = [s for s in record["streams"] if s["from_step"] == number]
    aside = [s for s in out if s["fate"] in ("waste", "joins")]
    if aside:
        # The arrow to the waste starts below what stands there already.
        box.y = max(box.y, made.clear.get(x, 0.0) + LINE / 2 - box.height / 2)
    if above is not None:
        _down(made, above, box)
    y = box.y + box.height + DOWN
    right, low, side = x + COLUMN, y - DOWN, y
    for stream in aside:
        told = holds_words(stream, names)
        title = stream_title(stream, layer_of(record, stream))
        shape = "waste" if stream["fate"] == "waste" else "kept"
        tag = f"WASTE · flask {stream['label']}" if shape == "waste" else f"KEEP · into step {stream['to_step']}"
        box_aside = _box(made, shape, stream["kind"], tag, [title, *_few(told)], x + COLUMN + GAP, side, SIDE)
        if side == y:
            _down(made, box, box_aside)
        side += box_aside.height + LINE / 2
        right, low = box_aside.x + SIDE, max(low, box_aside.y + box_aside.height)
        made.clear[x] = low
    onward = [s for s in out if s not in aside]
    column, source = x, box
    for stream in onward:
        reached = _place_stream(record, made, stream, column, y, source)
        right, low = max(right, reached[0]), max(low, reached[1])
        column = right + GAP
    return right, low


# The text ------------------------------------------------------------------------------------------------------

BOXES = {"down": "│", "fork": "├─►", "end": "└─►", "point": "▼"}
ASCII = {"down": "|", "fork": "|-->", "end": "`-->", "point": "v"}


def scheme_lines(record: dict[str, Any], width: int, plain: bool = False) -> list[str]:
    """Return the chart as lines of text, ``width`` characters at most; ``plain`` uses no signs beyond ASCII."""
    signs = ASCII if plain else BOXES
    start = next(s for s in record["streams"] if s["from_step"] is None)
    names = [c["name"] for c in record["components"]]
    lines = _wrapped(f"Reaction mixture: {', '.join(names)}", "", "", width)
    lines += _stream_lines(record, start, "", width, signs)
    return [in_ascii(line) for line in lines] if plain else lines


def _wrapped(text: str, first: str, rest: str, width: int) -> list[str]:
    made = textwrap.wrap(text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False) or [first]
    return [line.replace("\u00a0", " ") for line in made]


def _stream_lines(
    record: dict[str, Any], stream: dict[str, Any], lead: str, width: int, signs: dict[str, str]
) -> list[str]:
    names = {c["id"]: c["name"] for c in record["components"]}
    lines = []
    while stream["to_step"] is not None:
        number = stream["to_step"]
        step = next(s for s in record["steps"] if s["number"] == number)
        lines += _wrapped(
            f"{number}. {step_label(step)}", f"{lead}{signs['point']} ", f"{lead}{signs['down']}    ", width
        )
        out = [s for s in record["streams"] if s["from_step"] == number]
        for waste in (s for s in out if s["fate"] == "waste"):
            told = ", ".join(holds_words(waste, names))
            said = f"waste {waste['label']}: {_lowered(stream_title(waste, layer_of(record, waste)))}"
            said += f": {told}" if told else ""
            first = f"{lead}{signs['fork']} "
            lines += _wrapped(said, first, f"{lead}{signs['down']}{' ' * (len(signs['fork']) + 2)}", width)
        for joins in (s for s in out if s["fate"] == "joins"):
            said = f"keep: {_lowered(stream_title(joins, layer_of(record, joins)))}, into step {joins['to_step']}"
            lines += _wrapped(said, f"{lead}{signs['fork']} ", f"{lead}{signs['down']}    ", width)
        onward = [s for s in out if s["fate"] not in ("waste", "joins")]
        for other in onward[1:]:
            title = _lowered(stream_title(other, layer_of(record, other)))
            lines += _wrapped(f"keep: {title}", f"{lead}{signs['fork']} ", f"{lead}{signs['down']}    ", width)
            lines += _stream_lines(record, other, f"{lead}{signs['down']}   ", width, signs)
        if len(onward) > 1:
            title = _lowered(stream_title(onward[0], layer_of(record, onward[0])))
            lines += _wrapped(f"keep: {title}", f"{lead}{signs['point']} ", f"{lead}{signs['down']}    ", width)
        if not onward:  # a side branch that has joined the main one again
            return lines
        stream = onward[0]
    told = ", ".join(holds_words(stream, names))
    said = f"keep {stream['label']}: {_lowered(stream_title(stream))}" + (f": {told}" if told else "")
    return lines + _wrapped(said, f"{lead}{signs['end']} ", f"{lead}{' ' * (len(signs['end']) + 1)}", width)


def _lowered(text: str) -> str:
    return text[0].lower() + text[1:]
