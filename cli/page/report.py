"""A plan's record as a page, a bench sheet, Markdown or a drawing. The record is all that a page knows."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import count
from typing import Any

from markupsafe import Markup

from washlore.cli.page.environment import render, slug
from washlore.cli.page.funnel import funnel
from washlore.cli.page.left import left_charts
from washlore.cli.page.scheme import lay_out, scheme_lines, step_label
from washlore.cli.page.structures import structure
from washlore.cli.render.plan import nature
from washlore.rules.words import amount, listed, share

# A flow chart broader than this would be too small to read on paper; there its text stands for it.
BROAD = 1200


def plan_page(record: dict[str, Any], depth: str = "chemist") -> str:
    """Return the page of a plan."""
    return render(
        "plan.html",
        **_shared(record, depth),
        drawings=_drawings(record),
        charts=left_charts(record),
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
        "funnels": dict(funnels(record)),
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


def funnels(record: dict[str, Any]) -> Iterator[tuple[int, Any]]:
    """Yield the number of each step in which two layers meet, with its funnel."""
    sizes = {step["number"]: step.get("funnel_ml") for step in record["steps"]}
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
    found = [(step["number"], item) for step in record["steps"] for item in step.get("reactions", ())]
    for step_number, item in found + [(item["step"], item) for item in record.get("reactions", ())]:
        ident, name = f"transfer-{numbered()}", names[item["component"]]
        acid, base = ("acid", "conjugate base") if item["gives"] else ("base", "conjugate acid")
        made.setdefault(step_number, []).append(
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
