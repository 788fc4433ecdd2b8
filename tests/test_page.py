"""What every page shares, looked at in a real browser: it is whole in itself, fits any width, and can be read by all."""

from __future__ import annotations

from pathlib import Path

import pytest
from jinja2 import UndefinedError

from washlore.cli.page.charts import bars
from washlore.cli.page.environment import environment, number, render

WIDTHS = (360, 768, 1280)
PAGE = """{% extends "base.html" %}{% block title %}A page{% endblock %}{% block heading %}<h1>{{ words }}</h1>{% endblock %}
{% block main %}<figure>{{ figure }}</figure><p class="caution"><strong>Careful.</strong> {{ words }}</p>
<details><summary>More</summary><p class="muted">{{ words }}</p></details>
<table class="stack"><caption>Counts</caption><thead>
<tr><th scope="col">verdict</th><th scope="col" class="num">plans</th></tr></thead>
<tbody><tr><th scope="row">sound</th><td class="num" data-label="plans">12</td></tr></tbody></table>{% endblock %}"""
HOSTILE = "<script>alert(1)</script> & \"quoted\" 'too'"


@pytest.fixture
def page(tmp_path: Path) -> Path:
    figure = bars("verdicts", "Verdicts", ["sound", HOSTILE, "dangerous"], [12, 30, 3], "plans")
    template = environment().from_string(PAGE)
    style = (Path(__file__).parents[1] / "cli" / "page" / "templates" / "style.css").read_text(encoding="utf-8")
    from markupsafe import Markup, escape

    path = tmp_path / "a page.html"
    path.write_text(
        template.render(words=escape(HOSTILE), figure=figure, style=Markup(style), version="0"), encoding="utf-8"
    )
    return path


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_a_page_fits_and_can_be_read(opened, page, width, scheme):
    seen = opened(page, viewport={"width": width, "height": 800}, color_scheme=scheme)
    assert seen.overflow() == []
    assert seen.faults() == []
    assert seen.complaints == []
    assert seen.requests == [page.as_uri()]


def test_what_is_written_by_others_stays_text(opened, page):
    seen = opened(page)
    assert seen.page.inner_text("h1") == HOSTILE
    assert seen.page.locator("script").count() == 0
    assert HOSTILE in seen.page.locator("svg desc").text_content()


def test_a_chart_is_the_same_each_time_and_takes_its_colours_from_the_page():
    made = [str(bars("b", "T", ["a", "b"], [1, 2])) for _ in range(2)]
    assert made[0] == made[1]
    assert "var(--ink)" in made[0] and "var(--series-1)" in made[0]
    assert "#0102" not in made[0] and "#0203" not in made[0]
    assert "DejaVu" not in made[0] and "<metadata" not in made[0]


def test_a_template_without_its_value_is_an_error():
    with pytest.raises(UndefinedError):
        environment().from_string("{{ nothing }}").render()
    assert render("base.html").startswith("<!doctype html>")


@pytest.mark.parametrize(("value", "said"), [(1234.0, "1234"), (0.5, "0.5"), (15.0, "15"), (123456.0, "123456")])
def test_numbers_are_written_without_exponents(value, said):
    assert number(value) == said
