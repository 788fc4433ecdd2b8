"""Charts as SVG that belongs to the page: it takes its colours from the style sheet and its font from the text.

matplotlib draws; the colours it is given are stand-ins, put in place of which are the variables of the style sheet, so
that one drawing serves light, dark and print. The same chart is the same text, byte for byte.
"""

from __future__ import annotations

import io
import logging
import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from markupsafe import Markup, escape

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Stand-in -> variable of the style sheet. Colours that no drawing would hold by chance.
INK, MUTED, LINE, PAPER, WARN = "#010203", "#010204", "#010205", "#010206", "#010207"
SERIES = ("#020301", "#020302", "#020303", "#020304", "#020305", "#020306")
_NAMES = {INK: "ink", MUTED: "muted", LINE: "line", PAPER: "paper", WARN: "warn"} | {
    colour: f"series-{n}" for n, colour in enumerate(SERIES, start=1)
}
# Of what is told apart by colour, dashes and signs tell too.
DASHES = ("-", "--", ":", "-.", (0, (5, 1, 1, 1, 1, 1)), (0, (8, 2)))
SIGNS = ("o", "s", "^", "D", "v", "P")
# Narrow, so that the words in it can still be read on a phone.
WIDTH_IN = 5.0
_SETTINGS: Any = {
    "svg.fonttype": "none",
    "svg.hashsalt": "washlore",
    "font.size": 11,
    "axes.edgecolor": LINE,
    "axes.labelcolor": INK,
    "text.color": INK,
    "xtick.color": MUTED,
    "ytick.color": MUTED,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "grid.color": LINE,
    "axes.spines.top": False,
    "axes.spines.right": False,
}


def chart(
    draw: Callable[[Axes], None], ident: str, title: str, description: str, width: float = WIDTH_IN, height: float = 3.0
) -> Markup:
    """Return what ``draw(axes)`` draws as an inline SVG, ``width`` by ``height`` inches at most.

    ``ident`` starts every id in it, and must be unique in the page; ``title`` and ``description`` are read aloud.
    """
    logging.getLogger("matplotlib").setLevel(logging.ERROR)  # that it has no place for a cache is nothing to tell
    from matplotlib import rc_context
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    with rc_context(_SETTINGS):
        figure = Figure(figsize=(width, height), layout="constrained")
        figure.patch.set_visible(False)
        axes = figure.add_subplot()
        axes.patch.set_visible(False)
        draw(axes)
        held = io.StringIO()
        FigureCanvasSVG(figure).print_svg(held, metadata={"Date": None})
    return _dressed(held.getvalue(), ident, title, description)


def _dressed(drawn: str, ident: str, title: str, description: str) -> Markup:
    """Return an SVG of matplotlib as part of a page."""
    drawn = drawn[drawn.index("<svg") :]
    drawn = re.sub(r"\s*<metadata>.*?</metadata>", "", drawn, flags=re.DOTALL)
    drawn = re.sub(r"<style.*?</style>", "", drawn, flags=re.DOTALL)
    drawn = re.sub(r'\bid="', f'id="{ident}-', drawn)
    drawn = re.sub(r"url\(#", f"url(#{ident}-", drawn)
    drawn = re.sub(r'(?:xlink:)?href="#', f'href="#{ident}-', drawn)
    drawn = re.sub(r'font-family: [^;"]*;? ?', "", drawn)
    for colour, name in _NAMES.items():
        drawn = drawn.replace(colour, f"var(--{name})")
    box = re.search(r'viewBox="[^"]*"', drawn)
    head = (
        f'<svg class="chart" xmlns="http://www.w3.org/2000/svg" {box.group() if box else ""} role="img" '
        f'aria-labelledby="{ident}-title {ident}-desc"><title id="{ident}-title">{escape(title)}</title>'
        f'<desc id="{ident}-desc">{escape(description)}</desc>'
    )
    return Markup(head + drawn[drawn.index(">") + 1 :].strip())  # every text in it was escaped by matplotlib or above


def bars(
    ident: str, title: str, labels: Sequence[str], values: Sequence[float], unit: str = "", said: Sequence[str] = ()
) -> Markup:
    """Return horizontal bars, the first on top, each with its value written behind it.

    ``said`` holds the words behind each bar where the plain number would not do; they make up the description too.
    """
    said = list(said) or [f"{value:g}{f' {unit}' if unit else ''}" for value in values]

    def draw(axes: Axes) -> None:
        places = range(len(labels))
        drawn = axes.barh(places, values, color=SERIES[0], height=0.62)
        axes.set_yticks(places, labels)
        axes.invert_yaxis()
        axes.bar_label(drawn, labels=said, padding=4, color=INK)
        axes.margins(x=0.18)
        axes.set_xlim(left=0)
        axes.xaxis.set_visible(False)
        axes.spines["bottom"].set_visible(False)
        axes.tick_params(axis="y", length=0)

    told = "; ".join(f"{label}: {word}" for label, word in zip(labels, said, strict=True))
    return chart(draw, ident, title, told, WIDTH_IN, 0.6 + 0.36 * max(1, len(labels)))
