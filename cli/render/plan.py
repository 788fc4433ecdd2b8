"""A plan as terminal text, from its record."""

from __future__ import annotations

from typing import Any

from washlore.cli.render.text import INDENT, heading, paragraph, sentence, table_text
from washlore.rules.words import LEAST_SAID, amount, between, share, spread


def plan_text(record: dict[str, Any], width: int, depth: str = "chemist", look: str = "boxes") -> str:
    """Return a plan as text; ``depth`` is student, chemist or instructor.

    ``look``: boxes (tables, and the scheme in box characters), ascii (the scheme without them), or plain, to be read
    aloud: no scheme and no columns.
    """
    blocks = [
        paragraph(sentence(record["title"]).rstrip("."), width),
        _flask(record, width),
        _steps(record, width, depth),
    ]
    if look != "plain":
        from washlore.cli.page.scheme import scheme_lines

        lines = [f"{INDENT}{line}" for line in scheme_lines(record, width - len(INDENT), look == "ascii")]
        blocks.append("\n".join([heading("Where it goes"), *lines]))
    blocks.append(_expected(record, width, look == "plain"))
    if record["not_removed"]:
        told = [paragraph(sentence(item["text"]), width, INDENT) for item in record["not_removed"]]
        told += [paragraph(sentence(item["text"]), width, INDENT) for item in record["windows"] if item["suggested"]]
        blocks.append("\n".join([heading("What washing does not take out"), *told]))
    # What is fragile stands under what to expect.
    cautions = [item for item in record["cautions"] if item["id"] != "fragile"]
    if cautions:
        told = [paragraph(sentence(item["text"]), width, f"{INDENT}- ") for item in cautions]
        blocks.append("\n".join([heading("Take care"), *told]))
    if record["assumptions"]:
        told = [paragraph(sentence(text), width, f"{INDENT}- ") for text in record["assumptions"]]
        blocks.append("\n".join([heading("Assumed"), *told]))
    blocks.append(
        paragraph(
            "To hear the reasons: `washlore why`, the same mixture, and a step number, a solution or a compound. With "
            "`not` before a solution it says why that one is not used.",
            width,
        )
    )
    return "\n\n".join(blocks)


def _flask(record: dict[str, Any], width: int) -> str:
    lines = [heading("In the flask")]
    for item in record["components"]:
        quantity = f"{amount(item['mmol'])}{' assumed' if item['amount_assumed'] else ''}"
        role = "" if item["name"] == "the product" else f" ({item['role']})"
        said = f"{item['name']}{role}, {item['formula']}, {quantity}, {nature(item)}"
        lines.append(paragraph(sentence(said), width, INDENT, INDENT * 2))
        lines.append(paragraph(_read_as(item), width, INDENT * 2, INDENT * 3))
    return "\n".join(lines)


def nature(item: dict[str, Any]) -> str:
    """Say what a component is in the funnel, with the pKa that decides it."""
    kind = item["behaviour"]
    said = {
        "amphoteric": "acid and base at once",
        "permanent ion": "an ion at any pH",
        "neutral": "neutral",
        "reactive residue": "still reactive",
    }.get(kind, f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}")
    for wanted in ("acid", "base"):
        if kind in (wanted, f"weak {wanted}"):
            values = [s["pka"] for s in item["sites"] if s["kind"] == wanted]
            if values:
                pka = min(values) if wanted == "acid" else max(values)
                said += f" ({'' if wanted == 'acid' else 'conjugate acid '}pKa {pka:.1f})"
    return said


def _read_as(item: dict[str, Any]) -> str:
    """Say which structure a text was read as, and by what."""
    if item["origin"] == "SMILES":
        if item["name"] == item["smiles"]:
            return "read as a SMILES"
        return f"read as the SMILES {item['smiles']}"
    where = {
        "reagent table": "from the table of reagents",
        "solvent table": "from the table of solvents",
        "chemicals": "from the chemicals package",
        "quench": "formed by the quench",
    }.get(item["origin"], item["origin"])
    written = "" if item["written"] == item["name"] else f"{item['written']} "
    return f"{written}read as {item['smiles']}, {where}"


def _steps(record: dict[str, Any], width: int, depth: str) -> str:
    lines = [heading("What to do")]
    # Said once, for the step that asks for the largest.
    layered = [step["funnel_ml"] for step in record["steps"] if step["layer_kept"]]
    funnel = max(layered) if layered and all(layered) else None
    parted = len(record["crudes"]) > 1
    block = ""
    for step in record["steps"]:
        if parted and _block(step) != block:
            block = _block(step)
            lines.append(f"{INDENT}{block}")
        number = f"{step['number']}."
        first = f"{INDENT}{number:<4}"
        lines.append(paragraph(sentence(step["instruction"]), width, first))
        said = sentence(step["reason"])
        if step["spent_ph"] is not None and step["action"] in ("wash", "take up") and step["solution"] != "brine":
            said += f" The first portion ends near pH {round(step['spent_ph']) + 0}."
        if step["layer_kept"] and step["action"] != "wash":
            sure = "" if step["layer_sure"] else "probably "
            said += f" The {step['phase_kept']} layer is {sure}the {step['layer_kept']} one."
        if funnel and step["layer_kept"]:
            said += f" A {funnel} mL separating funnel is large enough."
            funnel = None
        lines.append(paragraph(said, width, " " * len(first)))
        lines += [paragraph(text, width, " " * len(first)) for text in _explained(record, step, depth)]
    return "\n".join(lines)


def _explained(record: dict[str, Any], step: dict[str, Any], depth: str) -> list[str]:
    """Return what a student or an instructor is told of a step beyond what to do."""
    if depth == "chemist":
        return []
    told = [f"{sentence(lesson['title'])} {sentence(lesson['why'])}" for lesson in step["lessons"]]
    told += [transfer_words(item) for item in step["reactions"]]
    if depth == "instructor":
        told += [
            f"Students often think: {item['belief']} Say: {item['fact']}"
            for item in record["pitfalls"]
            if item["step"] == step["number"]
        ]
    return told


def transfer_words(item: dict[str, Any]) -> str:
    """Return a proton transfer in words, with its equation and both pKa."""
    said = sentence(item["text"]).rstrip(".")
    return f"{said}: {item['equation']} (pKa {item['pka_giving']:.1f} against {item['pka_formed']:.1f})."


def _block(step: dict[str, Any]) -> str:
    """Return under which heading a step of a scheme stands: sharing out, or one flask of the several."""
    makes = (step["organic_to"] or "", step["aqueous_to"] or "")
    if step["stream"] == "reaction mixture" or step["action"] in ("part", "take up", "rinse water"):
        return "Share out"
    for text in (step["stream"], *makes):
        for kind in ("flask ", "extract "):
            if text.startswith(kind):
                return f"Flask {text.removeprefix(kind)}"
    return "The organic layer"


def _crudes(record: dict[str, Any], width: int, plain: bool) -> str:
    """Return what each stream of a scheme ends in."""
    lines = [heading("What to expect in the crude products")]
    rows = []
    for crude in record["crudes"]:
        for item in crude["wanted"]:
            if not crude["computed"]:
                back = f"{share(item['recovered']['mid'])} in the water"
                rows.append([item["name"], crude["stream"], back, "", "as a solid; its solubility decides"])
                continue
            beside = [o for o in crude["others"] if o["left"]["mid"] > LEAST_SAID]
            also = "; ".join(f"{share(o['left']['mid'])} of {o['name']}" for o in beside[:3])
            told = [
                f"{share(item[k]['mid'])}{spread(item[k]['low'], item[k]['mid'], item[k]['high'])}"
                for k in ("recovered", "purity")
            ]
            rows.append([item["name"], crude["stream"], *told, also])
    lines.append(table_text(("product", "from", "recovered", "share of the crude", "beside it"), rows, width, plain))
    lines.append(
        paragraph(
            "In brackets the range that holds nine cases in ten. The share is by mass, without solvent and water. Keep every "
            "layer, labelled, until all products are weighed.",
            width,
            INDENT,
        )
    )
    wanted = {item["name"] for crude in record["crudes"] for item in crude["wanted"]}
    rest = [[c["name"], share(c["left"]["mid"]), c["fate"]] for c in record["components"] if c["name"] not in wanted]
    if rest:
        lines.append(table_text(("of the rest", "most in any crude", "where it goes"), rest, width, plain))
    return "\n".join(lines)


def _expected(record: dict[str, Any], width: int, plain: bool) -> str:
    if len(record["crudes"]) > 1 or len(record["crudes"][0]["wanted"]) > 1:
        return _crudes(record, width, plain)
    lines = [heading("What to expect in the crude product")]
    back = record["product_recovered"]
    middle = share(back["mid"])
    about = "" if middle.startswith(("over", "under")) else "about "
    told = f"{about}{middle} of {record['product']}"
    said = sentence(told + spread(back["low"], back["mid"], back["high"], "range: "))
    lines.append(paragraph(f"{said} A range holds nine cases in ten.", width, INDENT))
    rows = [
        [item["name"], share(item["left"]["mid"]), between(item["left"]["low"], item["left"]["high"]), item["fate"]]
        for item in record["components"]
        if item["role"] != "product"
    ]
    if rows:
        lines.append(table_text(("of the rest", "left", "range", "where it goes"), rows, width, plain))
    lines += [paragraph(f"Fragile: {item['text']}.", width, INDENT, INDENT * 2) for item in record["fragile"]]
    return "\n".join(lines)
