"""The record of a judgement as a page or as Markdown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from washlore.cli.page import charts
from washlore.cli.page.environment import render
from washlore.cli.page.left import FLOOR, left_charts
from washlore.cli.page.report import BROAD, funnels, reactions, scheme_words
from washlore.cli.page.scheme import lay_out, scheme_lines
from washlore.cli.render.judgement import KINDS, PUT_RIGHT, WORTH_TELLING, explained
from washlore.rules.words import share

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def check_page(record: dict[str, Any], depth: str = "chemist") -> str:
    """Return the page of a judgement, followed or not."""
    view = _view(record)
    scheme = lay_out(view) if view["streams"] else None
    drawn = scheme and render("scheme.svg", scheme=scheme, record=view, alone=False, told=scheme_words(view))
    return render(
        "check.html",
        **_shared(record, depth),
        chart=None if record.get("products") else left_chart(record),
        charts=left_charts(view) if view["contacts"] and not record.get("products") else [],
        scheme=Markup(drawn or ""),
        broad=scheme is not None and scheme.width > BROAD,
        funnels=dict(funnels(view)),
        contacts={n: [c for c in view["contacts"] if c["step"] == n] for n in {c["step"] for c in view["contacts"]}},
        reactions=reactions(view, {c["id"]: c["name"] for c in view["components"]}) if depth != "chemist" else {},
    )


def check_markdown(record: dict[str, Any], depth: str = "chemist") -> str:
    """Return a judgement as Markdown."""
    return render("check.md", **_shared(record, depth)).strip() + "\n"


def check_scheme(record: dict[str, Any]) -> str | None:
    """Return the flow chart of a judged plan alone, as an SVG file, or ``None`` where nothing could be followed."""
    view = _view(record)
    if not view["streams"]:
        return None
    return render("scheme.svg", scheme=lay_out(view), record=view, alone=True, told=scheme_words(view))


def _view(record: dict[str, Any]) -> dict[str, Any]:
    """Return the record in the form that charts are drawn from; without what is followed there is nothing to draw."""
    bare: dict[str, Any] = {"contacts": [], "streams": [], "components": []}
    return {**bare, **record, "steps": record["plan_read"]}


def _shared(record: dict[str, Any], depth: str) -> dict[str, Any]:
    view = _view(record)
    return {
        "record": record,
        "depth": depth,
        "kinds": KINDS,
        "against": record.get("against") or [],
        "numbers": {key: n for n, key in enumerate(record["sources"], start=1)},
        "explained": lambda item: explained(record, item, depth),
        "lines": scheme_lines(view, 100) if view["streams"] else [],
        "put_right": PUT_RIGHT if record.get("put_right") else "",
        "worth_telling": WORTH_TELLING,
    }


def left_chart(record: dict[str, Any]) -> Markup | None:
    """Return the chart of what a judged plan would leave, with ours beside it, or ``None`` where nothing else is there."""
    rows = record["left"]
    if not rows:
        return None

    def draw(axes: Axes) -> None:
        for place, item in enumerate(rows):
            low, middle, high = (max(item["left"][k], FLOOR) for k in ("low", "mid", "high"))
            axes.plot([low, high], [place, place], color=charts.SERIES[0], linewidth=4, alpha=0.4, clip_on=False)
            axes.plot([middle], [place], color=charts.SERIES[0], marker="o", clip_on=False)
            if item["left_by_our_plan"]:
                ours = max(item["left_by_our_plan"]["mid"], FLOOR)
                axes.plot(
                    [ours], [place], color=charts.SERIES[1], marker="s", fillstyle="none", markersize=9, clip_on=False
                )
        axes.set_xscale("log")
        axes.set_xlim(FLOOR, 1.3)
        axes.set_xticks([1e-4, 1e-3, 1e-2, 1e-1, 1.0], ["0.01 %", "0.1 %", "1 %", "10 %", "100 %"])
        axes.minorticks_off()
        axes.set_yticks(range(len(rows)), [item["name"] for item in rows])
        axes.tick_params(axis="y", pad=10)  # a square on the edge leaves the name free
        axes.invert_yaxis()
        axes.set_xlabel("left with the product")
        axes.grid(axis="x", linewidth=0.6)

    told = "; ".join(f"{item['name']}: {share(item['left']['mid'])}" for item in rows)
    return charts.chart(
        draw, "would-be-left", "What the proposed plan would leave", told, height=1.0 + 0.36 * len(rows)
    )
