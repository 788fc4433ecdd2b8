"""A plan's record as a page, a bench sheet, Markdown or a drawing. The record is all that a page knows."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import count
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from washlore.cli.page import charts
from washlore.cli.page.environment import render, slug
from washlore.cli.page.funnel import funnel
from washlore.cli.page.scheme import lay_out, scheme_lines, step_label
from washlore.cli.page.structures import structure
from washlore.cli.render.text import nature
from washlore.rules.words import amount, listed, share

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# The chart's floor: what is left below it is called "under 0.01 %" everywhere.
FLOOR = 1e-4
# A flow chart broader than this would be too small to read on paper; there its text stands for it.
BROAD = 1200
MOST_SERIES = len(charts.SERIES)


def plan_page(record: dict[str, Any], depth: str = "chemist") -> str:
    """Return the page of a plan."""
    return render(
        "plan.html",
        **_shared(record, depth),
        drawings=_drawings(record),
        chart=left_chart(record),
        broad=lay_out(record).width > BROAD,
        lines=scheme_lines(record, 100),
    )


def plan_sheet(record: dict[str, Any], depth: str = "chemist") -> str:
    """Return the bench sheet of a plan alone, made to fit one sheet of paper."""
    return render("sheet.html", **_shared(record, depth))


def plan_markdown(record: dict[str, Any], depth: str = "chemist") -> str:
    """Return a plan as Markdown."""
    return render("plan.md", **_shared(record, depth), lines=scheme_lines(record, 100)).strip() + "\n"


def scheme_svg(record: dict[str, Any]) -> str:
    """Return the flow chart alone, as an SVG file."""
    return render("scheme.svg", scheme=lay_out(record), record=record, alone=True, told=scheme_words(record))


def _shared(record: dict[str, Any], depth: str) -> dict[str, Any]:
    names = {c["id"]: c["name"] for c in record["components"]}
    numbers = {key: n for n, key in enumerate(record["sources"], start=1)}
    return {
        "record": record,
        "depth": depth,
        "job": job(record),
        "names": names,
        "numbers": numbers,
        "scheme": Markup(
            render("scheme.svg", scheme=lay_out(record), record=record, alone=False, told=scheme_words(record))
        ),
        "funnels": dict(_funnels(record)),
        "step_label": step_label,
        "reactions": reactions(record, names) if depth != "chemist" else {},
        "waste": [s for s in record["streams"] if s["fate"] == "waste"],
        "flasks": [s for s in record["streams"] if s["label"]],
        "general": [c for c in record["cautions"] if not c["steps"] and c["id"] != "fragile"],
        "by_step": _by_step(record),
    }


def _by_step(record: dict[str, Any]) -> dict[int, dict[str, list[Any]]]:
    """Return, for each step, its contacts, cautions, waste and pitfalls."""
    return {
        step["number"]: {
            "contacts": [c for c in record["contacts"] if c["step"] == step["number"]],
            "cautions": [c for c in record["cautions"] if step["number"] in c["steps"] and c["id"] != "fragile"],
            "waste": [s for s in record["streams"] if s["from_step"] == step["number"] and s["fate"] == "waste"],
            "products": [s for s in record["streams"] if s["from_step"] == step["number"] and s["fate"] == "product"],
            "pitfalls": [p for p in record["pitfalls"] if p["step"] == step["number"]],
        }
        for step in record["steps"]
    }


def job(record: dict[str, Any]) -> str:
    """Return the whole job in one line."""
    wanted = [item["name"] for crude in record["crudes"] for item in crude["wanted"]]
    if len(wanted) > 1:
        rest = [c["name"] for c in record["components"] if c["name"] not in wanted]
        beside = f", and leave {listed(rest)} behind" if rest else ""
        told = [f"{share(i['recovered']['mid'])} of {i['name']}" for crude in record["crudes"] for i in crude["wanted"]]
        return (
            f"Part {listed(wanted)} in {record['extraction_solvent']}{beside}: {len(record['steps'])} steps, "
            f"{len(record['crudes'])} crudes. Expect {listed(told)}."
        )
    product, *others = record["components"]
    washes = sum(step["action"] == "wash" for step in record["steps"])
    changes = sum(step["action"] == "take up" for step in record["steps"])
    done = [f"{washes} wash{'es' if washes != 1 else ''}"] if washes else []
    done += ["a trip through the water layer and back"] if changes else []
    dried = next((step["desiccant"] for step in record["steps"] if step["desiccant"]), None)
    done += [f"drying over {dried}"] if dried else []
    against = f" from {listed([c['name'] for c in others])}" if others else ""
    return (
        f"Part {amount(product['mmol'])} of {record['product']}{against} in {record['extraction_solvent']}: "
        f"{listed(done)}. Expect {share(record['product_recovered']['mid'])} of it in the crude."
    )


def scheme_words(record: dict[str, Any]) -> str:
    """Return the flow chart in words, for who cannot see it."""
    return " ".join(line.strip("▼├└│─► ") for line in scheme_lines(record, 10_000))


def _funnels(record: dict[str, Any]) -> Iterator[tuple[int, Any]]:
    sizes = {step["number"]: step["funnel_ml"] for step in record["steps"]}
    for contact in record["contacts"]:
        if contact["portion"] == 1:
            yield contact["step"], funnel(contact, sizes[contact["step"]])


def _drawings(record: dict[str, Any]) -> dict[str, Markup]:
    """Return each component drawn, its deciding atoms marked and its pKa at the site."""
    made = {}
    for item in record["components"]:
        notes = {site["atom"]: f"pKa {site['pka']:.1f}" for site in item["sites"] if site["atom"] in item["atoms"]}
        marked = f" Marked: {', '.join(item['groups'])}." if item["atoms"] and item["groups"] else ""
        told = f"SMILES {item['smiles']}; {nature(item)}.{marked}"
        made[item["id"]] = structure(
            item["smiles"], f"drawn-{slug(item['id'])}", f"Structure of {item['name']}", told, item["atoms"], notes
        )
    return made


def reactions(record: dict[str, Any], names: dict[str, str]) -> dict[int, list[dict[str, Any]]]:
    """Return the proton transfers of each step with the component drawn before and after."""
    numbered: Callable[[], int] = count(1).__next__
    made: dict[int, list[dict[str, Any]]] = {}
    for step in record["steps"]:
        for item in step["reactions"]:
            ident, name = f"transfer-{numbered()}", names[item["component"]]
            acid, base = ("acid", "conjugate base") if item["gives"] else ("base", "conjugate acid")
            made.setdefault(step["number"], []).append(
                {
                    **item,
                    "name": name,
                    "before": structure(
                        item["smiles"], f"{ident}-a", f"{name}, the {acid}", f"SMILES {item['smiles']}", [item["atom"]]
                    ),
                    "after": structure(
                        item["ion_smiles"],
                        f"{ident}-b",
                        f"Its {base}",
                        f"SMILES {item['ion_smiles']}",
                        [item["ion_atom"]],
                    ),
                    "roles": (acid, base),
                }
            )
    return made


def left_chart(record: dict[str, Any]) -> Markup | None:
    """Return the chart of what is left of each component after each contact, or ``None`` without contacts or leftovers."""
    if len(record["crudes"]) > 1:
        return None  # what is left with one product is with none of the others
    others = [c for c in record["components"] if c["role"] != "product"]
    series = [
        (
            item["name"],
            [next((s["kept"] for s in c["shares"] if s["component"] == item["id"]), None) for c in record["contacts"]],
        )
        for item in others
    ]
    series = [(name, [kept for kept in points if kept]) for name, points in series]
    series = [(name, points) for name, points in series if points and len(points) == len(record["contacts"])]
    if not series:
        return None
    several = {c["step"] for c in record["contacts"] if c["portion"] > 1}
    places = ["start"] + [
        f"{c['step']}{'abcdefghij'[c['portion'] - 1]}" if c["step"] in several else str(c["step"])
        for c in record["contacts"]
    ]

    def draw(axes: Axes) -> None:
        x = range(len(places))
        for n, (name, points) in enumerate(series):
            colour, dash = charts.SERIES[n % MOST_SERIES], charts.DASHES[n % MOST_SERIES]
            middle, low, high = ([1.0, *(max(p[k], FLOOR) for p in points)] for k in ("mid", "low", "high"))
            axes.fill_between(x, low, high, color=colour, alpha=0.14, linewidth=0)
            axes.plot(
                x,
                middle,
                color=colour,
                linestyle=dash,
                marker=charts.SIGNS[n % MOST_SERIES],
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
        )
        axes.set_yscale("log")
        axes.set_ylim(FLOOR, 1.3)
        ticks = [1.0, 0.1, 0.01, 0.001, 0.0001]
        axes.set_yticks(ticks, ["100 %", "10 %", "1 %", "0.1 %", "0.01 %"])
        axes.minorticks_off()
        axes.set_xticks(x, places)
        axes.set_xlim(-0.15, len(places) - 0.85)
        axes.set_xlabel("after this step and portion")
        axes.set_ylabel("left with the product")
        axes.grid(axis="y", linewidth=0.6)
        axes.get_figure().legend(loc="outside lower center", ncols=2, frameon=False)

    told = "; ".join(f"{name}: {share(points[-1]['mid'])} left at the end" for name, points in series)
    return charts.chart(
        draw,
        "left",
        "What is left of each component after each portion",
        f"{told}. Target {share(record['target'])}.",
        height=2.9 + 0.24 * ((len(series) + 1) // 2),
    )
