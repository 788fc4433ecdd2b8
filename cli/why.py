"""``washlore why``: the reasons behind a plan, and against what is not in it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from washlore.cli.common import (
    Trouble,
    any_given,
    command,
    dump,
    examples,
    format_option,
    look,
    mixture_options,
    one_paragraph,
    plain_option,
    read,
    show,
    text_width,
    troubles,
)


@command()
@click.argument("words", nargs=-1, metavar="[MIXTURE] [not] SUBJECT")
@click.option("--unless", "turned", is_flag=True, help="Name the smallest changes that would turn the decision.")
@mixture_options
@plain_option
@format_option
def why(words: tuple[str, ...], turned: bool, given: dict[str, Any], plain: bool, style: str) -> None:
    """Give the reasons for a part of a plan, or against what is not in it.

    SUBJECT is a step number, a wash solution, a compound in the flask, a drying agent or a solvent. `not` in front
    asks why it is not used. Without a mixture, what is known of SUBJECT is told.

    \b
      washlore why ester 2
      washlore why ester bicarbonate
      washlore why ester not 1 M NaOH
      washlore why ester bicarbonate --unless
      washlore why brine
    """
    mixture, question = _split(words, any_given(given))
    if not question:
        about = (
            f"{mixture} is a mixture; say what to ask about it"
            if mixture
            else "no subject is given; ask about something"
        )
        raise Trouble(
            f"why: {about}: a step number, a solution, a compound, a drying agent or a solvent, such as "
            f"`washlore why {mixture or 'ester'} bicarbonate`."
        )
    if question.strip().lower() == "not":
        raise Trouble("why: after not comes what is not used, such as `washlore why ester not 1 M NaOH`.")
    if turned and mixture is None and not any_given(given):
        raise Trouble(
            "why: --unless asks about a decision of a plan; name a mixture too, such as `washlore why ester bicarbonate --unless`."
        )
    with troubles():
        from washlore.rules.subjects import SubjectProblem

        try:
            record = _record(mixture, given, question, turned)
        except SubjectProblem as error:
            # What looks like the name of a file and is none was taken for a part of the question.
            named = len(words) > 1 and mixture is None and not any_given(given) and Path(words[0]).suffix[1:].isalpha()
            lacking = f" There is no file {words[0]!r} either." if named else ""
            raise Trouble(f"why: {one_paragraph(str(error))}{lacking}") from None
    if style == "json":
        click.echo(dump(record))
        return
    from washlore.cli.render.reasons import why_text

    show(why_text(record, text_width(), look(plain)), plain)


def _record(mixture: str | None, given: dict[str, Any], question: str, turned: bool) -> dict[str, Any]:
    if mixture is None and not any_given(given):
        from washlore.cli.render.reasons import lore_record
        from washlore.rules import entries

        return lore_record(question, entries.lore_on(question))
    from washlore.cli.kept import considered
    from washlore.cli.render.reasons import why_record
    from washlore.rules import explain

    plan = considered(mixture, given, lambda wanted: not turned and explain.rests_on_best(question, wanted))
    answers = explain.why(plan, question)
    if plan.draws == 1 and any(answer.tells_bands for answer in answers):
        plan = considered(mixture, given)
        answers = explain.why(plan, question)
    record = why_record(plan.mixture.title, question, answers)
    if turned:
        from washlore.cli.render.reasons import unless_record
        from washlore.rules.unless import unless

        record["unless"] = [unless_record(item) for item in unless(plan, read(mixture, given), question)]
    return record


def _split(words: tuple[str, ...], described: bool) -> tuple[str | None, str]:
    """Return the mixture, if the first word names one, and the question.

    Where options describe the mixture, a first word that names one too is only taken for one if more words follow.
    """
    if words and _names_mixture(words[0]) and not (described and len(words) == 1):
        return words[0], " ".join(words[1:])
    return None, " ".join(words)


def _names_mixture(word: str) -> bool:
    if word.endswith(".toml") or word in examples():
        return True
    try:
        return Path(word).is_file() or (("/" in word or "\\" in word) and Path(word).exists())
    except (OSError, ValueError):
        return False
