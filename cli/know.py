"""``washlore know``: the tables behind the rules."""

from __future__ import annotations

from typing import Any

import click

from washlore.cli.common import Trouble, command, dump, format_option, near, text_width, troubles, version

TABLES = ("groups", "solutions", "solvents", "desiccants", "reagents", "rules", "sources", "residues")
_SAID = {
    "groups": "functional groups and the pH they stand",
    "solutions": "wash solutions",
    "solvents": "solvents",
    "desiccants": "drying agents",
    "reagents": "compounds known by name or abbreviation",
    "rules": "what follows from what, with the chemistry behind it",
    "sources": "where facts are from",
    "residues": "leftovers that need a remedy of their own",
}


@command()
@click.argument("table", required=False, metavar="[TABLE]")
@click.argument("search", nargs=-1)
@format_option
def know(table: str | None, search: tuple[str, ...], style: str) -> None:
    """List a table, or the rows of it that hold SEARCH.

    TABLE is groups, solutions, solvents, desiccants, reagents, rules, sources or residues.

    \b
      washlore know solutions citric
    """
    with troubles():
        record = know_record(table, " ".join(search))
    if style == "json":
        click.echo(dump(record))
        return
    click.echo(know_text(record, text_width()))


def know_record(name: str | None, search: str) -> dict[str, Any]:
    """Return the rows of a table that hold ``search``; without a name, one row for each table."""
    if name is None:
        rows = [{"id": n, "name": n, "rows": len(_rows(n)), "holds": _SAID[n]} for n in TABLES]
        return {"washlore": {"version": version()}, "table": "tables", "search": "", "rows": rows, "sources": {}}
    wanted = name.casefold()
    wanted = {"desiccant": "desiccants", "drying": "desiccants", "rule": "rules"}.get(wanted, wanted)
    if wanted not in TABLES and f"{wanted}s" in TABLES:
        wanted = f"{wanted}s"
    if wanted not in TABLES:
        raise Trouble(_no_such_table(name, search))
    rows = [row for row in _rows(wanted) if _holds(row, search)]
    if not rows:
        raise Trouble(f"know: no row of {wanted} holds {search!r}; `washlore know {wanted}` lists them all.")
    return {
        "washlore": {"version": version()},
        "table": wanted,
        "search": search,
        "rows": rows,
        "sources": _citations(rows) if wanted != "sources" else {},
    }


def _no_such_table(name: str, search: str) -> str:
    """Say that ``name`` is not a table, and what was likely meant: a table like it, or the rows that hold the words."""
    told = f"know: {name!r} is not a table; "
    if resembling := near(name, TABLES, 1):
        return f"{told}the tables are {', '.join(TABLES)}. Did you mean {resembling[0]}?"
    words = f"{name} {search}".strip()
    held = {table: sum(_holds(row, words) for row in _rows(table)) for table in TABLES}
    found = [f"`washlore know {table} {words}` ({rows})" for table, rows in held.items() if rows]
    if found:
        return f"{told}rows that hold it are shown by {', '.join(found)}."
    return f"{told}the tables are {', '.join(TABLES)}, and none of them holds it."


def _rows(name: str) -> list[dict[str, Any]]:
    """Return the rows of a table as dictionaries; tuples become lists."""
    if name == "rules":
        from washlore.rules.engine import all_lore, judging_lore

        return [
            {
                "id": item.id,
                "family": item.family,
                "stage": item.stage,
                "title": item.title,
                "why": item.why,
                "sources": list(item.sources),
            }
            for item in (*all_lore(), *judging_lore())
        ]
    from dataclasses import asdict

    from washlore.knowledge import rows

    types = {
        "groups": rows.Group,
        "solutions": rows.Solution,
        "solvents": rows.Solvent,
        "desiccants": rows.Desiccant,
        "reagents": rows.Reagent,
        "sources": rows.Source,
        "residues": rows.Residue,
    }
    return [
        {key: list(value) if isinstance(value, tuple) else value for key, value in asdict(row).items()}
        for row in rows.table(types[name]).values()
    ]


def _holds(row: dict[str, Any], search: str) -> bool:
    text = " ".join(
        " ".join(map(str, value)) if isinstance(value, list) else str(value)
        for key, value in row.items()
        if key not in ("smarts", "misses", "becomes") and value is not None
    ).casefold()
    return all(word in text for word in search.casefold().split())


def _citations(rows: list[dict[str, Any]]) -> dict[str, str]:
    from washlore.knowledge.rows import source_text

    keys = {key for row in rows for key in (row.get("sources") or [row["source"]])}
    return {key: source_text(key) for key in sorted(keys)}


def know_text(record: dict[str, Any], width: int) -> str:
    """Return rows of a table as text: a name and its key numbers, then what is said of it."""
    from washlore.cli.render.text import paragraph, sentence

    lines = []
    numbers = {key: str(n) for n, key in enumerate(record["sources"], start=1)}
    for row in record["rows"]:
        head, told = _LINES[record["table"]](row)
        marks = "".join(f" [{numbers[k]}]" for k in row.get("sources") or [row.get("source")] if k in numbers)
        lines.append(paragraph(head + marks, width, "", "    "))
        if told:
            lines.append(paragraph(sentence(told), width, "  "))
    if record["sources"]:
        lines += ["", "Sources"]
        lines += [paragraph(text, width, f"  [{numbers[key]}] ") for key, text in record["sources"].items()]
    if record["table"] == "tables":
        lines += ["", "`washlore know TABLE` lists one of them, `washlore know TABLE WORD` searches it."]
    return "\n".join(lines)


def _sentences(*parts: str) -> str:
    from washlore.cli.render.text import sentence

    return " ".join(sentence(part) for part in parts if part)


def _joined(*parts: str) -> str:
    return "; ".join(part for part in parts if part)


def _group(row: dict[str, Any]) -> tuple[str, str]:
    low, high = row["lowest_ph"], row["highest_ph"]
    stands = (
        "stands any wash"
        if low is None and high is None
        else (f"stands pH {'0' if low is None else f'{low:g}'} to {'14' if high is None else f'{high:g}'}")
    )
    avoid = f"kept from {', '.join(row['avoid'])}" if row["avoid"] else ""
    return f"{row['name']}: {_joined(stands, avoid)}", row["limit_reason"]


def _solution(row: dict[str, Any]) -> tuple[str, str]:
    strength = row["strength"] if row["strength"] and row["strength"].split(" (")[0] not in row["name"] else ""
    numbers = _joined(strength, f"pH {row['ph']:g}", f"{row['density_g_ml']:.2f} g/mL")
    mind = f"mind: {row['never_reason']}" if row["never_reason"] else ""
    return f"{row['name']}: {numbers}", _sentences(row["takes_out"], mind)


def _solvent(row: dict[str, Any]) -> tuple[str, str]:
    held = f"holds {row['water_held_wt_pct']:g} % of water" if row["water_held_wt_pct"] is not None else ""
    use = "" if row["extractant"] else "not to extract with"
    peroxide = "forms peroxides" if row["peroxide_former"] else ""
    return (
        f"{row['name']}: {row['density_g_ml']:.2f} g/mL; boils at {row['boiling_c']:.0f} C; {row['miscibility']} with water",
        _joined(held, use, peroxide, f"waste {row['waste_class']}" if row["waste_class"] else ""),
    )


def _desiccant(row: dict[str, Any]) -> tuple[str, str]:
    return (
        f"{row['name']}: {row['character']}; {row['capacity_g_per_g']:g} g of water per gram; {row['wait_min']:g} min",
        row["reason"],
    )


def _reagent(row: dict[str, Any]) -> tuple[str, str]:
    boils = f"; boils at {row['boiling_c']:.0f} C" if row["boiling_c"] is not None else ""
    also = f"also written {', '.join(row['aliases'])}" if row["aliases"] else ""
    return f"{row['name']}: {row['use']}; {row['smiles']}{boils}", also


def _residue(row: dict[str, Any]) -> tuple[str, str]:
    said = {"quench": "quenched first", "wash": "taken by a wash of its own", "filter": "filtered off"}
    remedy = _joined(said.get(row["action"], "no wash serves"), row["quench_with"])
    return f"{row['name']}: {remedy}", _sentences(row["how"], row["never"])


_LINES = {
    "tables": lambda row: (f"{row['name']}: {row['holds']} ({row['rows']})", ""),
    "groups": _group,
    "solutions": _solution,
    "solvents": _solvent,
    "desiccants": _desiccant,
    "reagents": _reagent,
    "residues": _residue,
    "rules": lambda row: (row["title"], row["why"]),
    "sources": lambda row: (f"{row['citation']} ({row['kind']})", row["note"]),
}
