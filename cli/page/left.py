"""Charts of what is left with a product after each portion, on the way to each crude."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from washlore.cli.page import charts
from washlore.rules.words import listed, share

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# The chart's floor: what is left below it is called "under 0.01 %" everywhere.
FLOOR = 1e-4
NOTHING = {"low": 0.0, "mid": 0.0, "high": 0.0}
PORTIONS = "abcdefghijklmnopqrstuvwxyz"

# Where it was measured, such as "2b", and the shares there by component id.
Point = tuple[str, dict[str, dict[str, float]]]


def left_charts(record: dict[str, Any]) -> list[Markup]:
    """Return the chart of each crude, first to last; none without contacts, or where nothing else was in the flask.

    ``record`` is that of a plan, or of a judged one with what is followed.
    """
    crudes = record.get("crudes", [])
    if len(crudes) < 2:
        wanted = {c["id"] for c in record["components"] if c["role"] == "product"}
        made = [
            _chart(record, _by_contact(record), wanted, "left", "What is left of each component after each portion")
        ]
    else:
        made = []
        for n, crude in enumerate(crudes, start=1):
            names = [item["name"] for item in crude["wanted"]]
            wanted = {c["id"] for c in record["components"] if c["name"] in names}
            title = f"What is with {listed(names)} after each portion, on the way to the crude"
            made.append(_chart(record, _on_the_way(record, crude["stream"]), wanted, f"left-{n}", title))
    return [chart for chart in made if chart is not None]


def _by_contact(record: dict[str, Any]) -> list[Point]:
    return [
        (_place(record, contact), {s["component"]: s["kept"] for s in contact["shares"]})
        for contact in record["contacts"]
    ]


def _place(record: dict[str, Any], contact: dict[str, Any]) -> str:
    several = sum(other["step"] == contact["step"] for other in record["contacts"]) > 1
    return f"{contact['step']}{PORTIONS[(contact['portion'] - 1) % len(PORTIONS)] if several else ''}"


def _on_the_way(record: dict[str, Any], crude: str) -> list[Point]:
    """Return what is with a crude's product from the mixture on; where its layer is drawn off, all portions together."""
    stream = next(s for s in record["streams"] if s["fate"] == "product" and s["name"].endswith(crude))
    made: list[Point] = []
    while stream["from_step"] is not None:
        met = [c for c in record["contacts"] if c["step"] == stream["from_step"]]
        if met and met[0]["kept"] == stream["kind"]:
            made += [(_place(record, c), {s["component"]: s["kept"] for s in c["shares"]}) for c in reversed(met)]
        elif met:
            made.append((str(stream["from_step"]), {h["component"]: h["share"] for h in stream["holds"]}))
        before = stream["from_step"]
        stream = next(s for s in record["streams"] if s["to_step"] == before and s["fate"] == "goes on")
    return made[::-1]


def _chart(record: dict[str, Any], points: list[Point], wanted: set[str], ident: str, title: str) -> Markup | None:
    followed = {s["component"] for contact in record["contacts"] for s in contact["shares"]}
    series = [
        (item["name"], [shares.get(item["id"], NOTHING) for _, shares in points])
        for item in record["components"]
        if item["id"] in followed - wanted
    ]
    if not series or not points:
        return None
    places = ["start", *(place for place, _ in points)]

    def draw(axes: Axes) -> None:
        x = range(len(places))
        for n, (name, kept) in enumerate(series):
            look = n % len(charts.SERIES)
            colour = charts.SERIES[look]
            middle, low, high = ([1.0, *(max(p[k], FLOOR) for p in kept)] for k in ("mid", "low", "high"))
            axes.fill_between(x, low, high, color=colour, alpha=0.14, linewidth=0)
            axes.plot(
                x,
                middle,
                color=colour,
                linestyle=charts.DASHES[look],
                marker=charts.SIGNS[look],
                markersize=5,
                label=name,
                clip_on=False,
                zorder=3,
            )
        axes.axhline(record["target"], color=charts.WARN, linewidth=1.2, linestyle=(0, (6, 3)))
        axes.text(
            len(places) - 0.95,
            record["target"] * 1.12,
            f"target {100 * record['target']:g} %",
            color=charts.WARN,
            ha="right",
            va="bottom",
            zorder=4,
            bbox={"facecolor": charts.PAPER, "edgecolor": "none", "pad": 1.0, "alpha": 0.8},
        )
        axes.set_yscale("log")
        axes.set_ylim(FLOOR, 1.3)
        axes.set_yticks([1.0, 0.1, 0.01, 0.001, 0.0001], ["100 %", "10 %", "1 %", "0.1 %", "0.01 %"])
        axes.minorticks_off()
        axes.set_xticks(x, places)
        axes.set_xlim(-0.15, len(places) - 0.85)
        axes.set_xlabel("after this step and portion")
        axes.set_ylabel("left with the product")
        axes.grid(axis="y", linewidth=0.6)
        figure = axes.get_figure()
        if figure is not None:
            figure.legend(loc="outside lower center", ncols=2, frameon=False)

    told = "; ".join(f"{name}: {share(kept[-1]['mid'])} left at the end" for name, kept in series)
    return charts.chart(
        draw,
        ident,
        title,
        f"{told}. Target {share(record['target'])}.",
        height=2.9 + 0.24 * ((len(series) + 1) // 2),
    )
