"""The templates and what they share: one style sheet, escaping, and the words for numbers.

A page is one file: no script, no network (its own policy forbids both), its style and its figures inside it.
``base.html`` is what a page extends; its blocks are ``title``, ``heading``, ``contents`` and ``main``.
"""

from __future__ import annotations

import re
from functools import cache
from importlib import resources
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from washlore.cli.common import version
from washlore.cli.render.plan import nature
from washlore.cli.render.text import sentence
from washlore.rules.words import amount, between, listed, share

FOLDER = "washlore.cli.page.templates"


@cache
def environment() -> Environment:
    """Return the environment of the templates. HTML and SVG are escaped; a name that a template lacks is an error."""
    made = Environment(
        loader=PackageLoader("washlore.cli.page", "templates"),
        autoescape=lambda name: name is not None and name.endswith((".html", ".svg")),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {
        "share": lambda value: told(value, share(value)),
        "band": lambda values: told_band(values["low"], values["high"]),
        "amount": lambda value: told(value, amount(value)),
        "number": lambda value, digits=3: told(value, number(value, digits)),
        "ph": lambda value: told(value, f"{round(value) + 0}"),
        "words_share": share,
        "words_band": lambda values: between(values["low"], values["high"]),
        "words_amount": amount,
        "words_number": number,
        "words_ph": lambda value: f"{round(value) + 0}",
        "listed": listed,
        "sentence": sentence,
        "capital": capital,
        "slug": slug,
        "md": markdown,
        "formula": formula,
        "nature": nature,
    }
    return made


def render(template: str, **values: Any) -> str:
    """Return a template filled in. ``values`` are escaped unless they are ``Markup``."""
    style = Markup(resources.files(FOLDER).joinpath("style.css").read_text(encoding="utf-8"))  # our own file
    return environment().get_template(template).render(style=style, version=version(), **values)


def capital(text: str) -> str:
    """Return a text that begins with a capital where it begins with a plain word (not with a locant, as in p-xylene)."""
    word = (text.split() or [""])[0].rstrip(",:;.")
    return text[0].upper() + text[1:] if word.isalpha() and word.islower() else text


def told(value: float, text: str) -> Markup:
    """Return the words for a number with the number itself beside them, for whoever reads the page by program."""
    return Markup('<data value="{}">{}</data>').format(value, text)


def told_band(low: float, high: float) -> Markup:
    """Return the words for a range, as the terminal says it, with the numbers beside them."""
    made = Markup().join([escape(between(low, high))])
    for value in (low, high):
        for text in (share(value), share(value).removesuffix(" %")):
            if text in made and f">{text}<" not in made:
                made = Markup(str(made).replace(text, str(told(value, text)), 1))
                break
    return made


_CHARGE = re.compile(r"(?:\^(\d+))?([+-])$")


def formula(text: str) -> Markup:
    """Return a formula or an equation (``C8H8O2 + HCO3- -> ...``) with figures and charges in their places."""
    made = []
    for word in text.split(" "):
        if word == "->":
            made.append(Markup('<span role="img" aria-label="gives">→</span>'))
        elif word == "+" or not word:
            made.append(escape(word))
        else:
            charge = _CHARGE.search(word) if word[0].isalpha() else None
            body = word[: charge.start()] if charge else word
            parts = [
                Markup("<sub>{}</sub>").format(part) if n % 2 else escape(part)
                for n, part in enumerate(re.split(r"(?<=[A-Za-z)])(\d+)", body))
            ]
            if charge:
                parts.append(Markup("<sup>{}{}</sup>").format(charge[1] or "", "+" if charge[2] == "+" else "−"))
            made.append(Markup("").join(parts))
    return Markup(" ").join(made)


def number(value: float, digits: int = 3) -> str:
    """Return a number with no more figures than it deserves: whole from 100 up, never with an exponent."""
    return f"{value:.0f}" if abs(value) >= 100 else f"{float(f'{value:.{digits}g}'):g}"


def slug(text: str) -> str:
    """Return a text as an identifier for use in an address."""
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-") or "x"


def markdown(text: str) -> str:
    """Return a text on one line in which nothing is a sign of Markdown, a tag or a link."""
    plain = re.sub(r"([\\`*_{}\[\]#|~$!])", r"\\\1", " ".join(text.split()))
    return plain.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace("://", ":&#47;/")
