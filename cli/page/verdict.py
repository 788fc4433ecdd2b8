"""The record of a judgement as a page or as Markdown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from washlore.cli.page import charts
from washlore.cli.page.environment import render
from washlore.cli.page.report import FLOOR
from washlore.cli.render.judgement import KINDS
from washlore.rules.words import share

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def check_page(record: dict[str, Any]) -> str:
    """Return the page of a judgement."""
    return render("check.html", **_shared(record), chart=left_chart(record))


def check_markdown(record: dict[str, Any]) -> str:
    """Return a judgement as Markdown."""
    return render("check.md", **_shared(record)).strip() + "\n"


def _shared(record: dict[str, Any]) -> dict[str, Any]:
    return {
        "record": record,
        "kinds": KINDS,
        "against": record.get("against") or [],
        "numbers": {key: n for n, key in enumerate(record["sources"], start=1)},
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
        axes.invert_yaxis()
        axes.set_xlabel("left with the product")
        axes.grid(axis="x", linewidth=0.6)

    told = "; ".join(f"{item['name']}: {share(item['left']['mid'])}" for item in rows)
    return charts.chart(
        draw, "would-be-left", "What the proposed plan would leave", told, height=1.0 + 0.36 * len(rows)
    )
