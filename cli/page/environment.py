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
from markupsafe import Markup

from washlore.cli.common import version
from washlore.cli.render.text import band, sentence
from washlore.rules.words import amount, listed, share

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
        "share": share,
        "band": lambda values: band(values["low"], values["high"]),
        "amount": amount,
        "listed": listed,
        "sentence": sentence,
        "number": number,
        "slug": slug,
        "md": markdown,
    }
    return made


def render(template: str, **values: Any) -> str:
    """Return a template filled in. ``values`` are escaped unless they are ``Markup``."""
    style = Markup(resources.files(FOLDER).joinpath("style.css").read_text(encoding="utf-8"))  # our own file
    return environment().get_template(template).render(style=style, version=version(), **values)


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
