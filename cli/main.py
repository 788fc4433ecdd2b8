"""The command group. Commands are imported when they are called, so that help and version need no chemistry."""

from __future__ import annotations

import contextlib
import gc
import importlib
import os
import sys
from collections.abc import Iterator, Sequence
from typing import Any

import click

# Each command: where it is, and what it does in one line (here, so that ``--help`` imports none of them).
COMMANDS = {
    "plan": ("washlore.cli.plan:plan", "Work out the aqueous workup of a mixture."),
    "why": ("washlore.cli.why:why", "Give the reasons for a step, a solution or a component, or against one."),
    "know": ("washlore.cli.know:know", "Look things up in the tables: solutions, groups, rules, sources."),
    "new": ("washlore.cli.new:new", "Write a mixture file to fill in."),
    "properties": ("washlore.cli.properties:properties", "Tabulate pKa and log K for a list of structures."),
    "check": ("washlore.cli.check:check", "Judge a workup that somebody else wrote."),
    "review": ("washlore.cli.review:review", "Judge and mark the plans of a whole class."),
}
START = """\
washlore works out how to wash an organic reaction, and says why.

  washlore plan ester                       the workup of a mixture that comes with washlore
  washlore plan ester --report ester.html   the same as a page to look at, print and take to the hood
  washlore why ester bicarbonate            the reasons for a part of it
  washlore check ester plan.txt             what a workup that somebody wrote would do
  washlore new mine.toml                    a mixture file of your own, to fill in
  washlore --help                           all commands

In a terminal `washlore COMMAND --help` shows each command with an example.
"""
BAD_INPUT, INTERRUPTED = 2, 130
# Commands that go on for as long as there are rows.
LONG = ("review", "properties")


class Group(click.Group):
    """A group that imports a command when it is called and turns every foreseen error into one message."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of the commands in the order of use."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return a command."""
        if cmd_name not in COMMANDS:
            return None
        module, _, name = COMMANDS[cmd_name][0].partition(":")
        return getattr(importlib.import_module(module), name)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or name those that there are."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            raise click.UsageError(f"{args[0]!r} is not a command; the commands are {', '.join(COMMANDS)}.", ctx)
        name, command, rest = super().resolve_command(ctx, args)
        if command is not None and not ctx.resilient_parsing:
            _given_once(click.Context(command, ctx, name), command, rest)
        return name, command, rest

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, said) for name, (_, said) in COMMANDS.items()])

    def main(  # type: ignore[override]
        self, args: Sequence[str] | None = None, prog_name: str | None = None, **extra: Any
    ) -> Any:
        """Run a command line: bad input ends with code 2 and one message, an interrupt with 130."""
        extra.pop("standalone_mode", None)
        _fill_missing_streams()
        _tolerate_plain_terminals()
        given = sys.argv[1:] if args is None else list(args)
        try:
            with _uncollected() if given[:1] and given[0] not in LONG else contextlib.nullcontext():
                code = super().main(args, prog_name or "washlore", standalone_mode=False, **extra)
            sys.stdout.flush()
        except (KeyboardInterrupt, click.Abort):
            code = INTERRUPTED
        except BrokenPipeError:
            code = _hush()
        except (
            OSError
        ) as error:  # a full disk, most often; what concerns a file that was named is told where it is opened
            click.echo(
                f"washlore: the system refused: {error.strerror or error}. Nothing, or a part, is written.", err=True
            )
            _hush()
            code = BAD_INPUT
        except click.ClickException as error:
            from washlore.cli.common import visible

            said = _usage(error) if isinstance(error, click.UsageError) else error.format_message()
            click.echo(visible(said), err=True)
            code = error.exit_code
        sys.exit(code if isinstance(code, int) else 0)


def _given_once(ctx: click.Context, command: click.Command, args: Sequence[str]) -> None:
    """Refuse an option with one value that is given twice: the first value would be left out without a word."""
    try:
        given = command.make_parser(ctx).parse_args(list(args))[2]
    except click.UsageError as error:
        error.ctx = error.ctx or ctx
        raise
    for option in given:
        if isinstance(option, click.Option) and not (option.multiple or option.is_flag) and given.count(option) > 1:
            also = '; a further product is --with "NAME; AMOUNT; product"' if option.name == "product" else ""
            raise click.UsageError(
                f"{option.opts[0]} is given {given.count(option)} times and takes one value{also}.", ctx
            )


@contextlib.contextmanager
def _uncollected() -> Iterator[None]:
    """Leave the search for cyclic garbage out: a short command ends before there is any, and spends a tenth of it there."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.freeze()  # counts what there is as looked at, so that the search does not begin at once
            gc.unfreeze()
            gc.enable()


def _usage(error: click.UsageError) -> str:
    where = error.ctx.command_path if error.ctx is not None else "washlore"
    return f"{where}: {error.format_message().rstrip('.')}. `{where} --help` lists what can be given."


def _fill_missing_streams() -> None:
    """Read nothing from, and write to nowhere, what whoever started the program has closed."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115 (as long as the process)


def _tolerate_plain_terminals() -> None:
    """Let a terminal that cannot show a sign such as × show a question mark."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _hush() -> int:
    """Leave nothing for the interpreter to flush into a pipe that nobody reads."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 1


def _version(ctx: click.Context, parameter: click.Parameter, wanted: bool) -> None:
    if not wanted or ctx.resilient_parsing:
        return
    from washlore.cli import __version__

    click.echo(f"washlore {__version__}")
    ctx.exit()


def _help(ctx: click.Context, parameter: click.Parameter, wanted: bool) -> None:
    if wanted and not ctx.resilient_parsing:
        click.echo(ctx.get_help(), color=ctx.color)
        ctx.exit()


# The one that click adds looks for its translation first, and loads for it what formats numbers.
HELP = click.Option(
    ["-h", "--help"],
    is_flag=True,
    callback=_help,
    expose_value=False,
    is_eager=True,
    help="Show this message and exit.",
)


@click.group(cls=Group, invoke_without_command=True, add_help_option=False)
@click.option(
    "--version", is_flag=True, callback=_version, expose_value=False, is_eager=True, help="Show the version and stop."
)
@click.pass_context
def main(ctx: click.Context) -> None:
    """Work out the aqueous workup of an organic reaction, with the reasons.

    Names or structures go in; washes, their order, drying and what is left come out.

    \b
      washlore plan ester

    Names of commands and options are completed by the tab key once the shell is told, for bash by
    `eval "$(_WASHLORE_COMPLETE=bash_source washlore)"` in ~/.bashrc (zsh: zsh_source; fish: fish_source, piped to
    source).
    """
    if ctx.invoked_subcommand is None:
        click.echo(START, nl=False)


main.params.append(HELP)


def run() -> None:
    """Be the program ``washlore``: as ``main``, and a short command that is done leaves without taking itself apart."""
    # What numpy starts for each core, on matrices that one core multiplies in microseconds, is a tenth of a short command.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Of the functions that RDKit's libraries could call, those that are called are looked up.
    if hasattr(os, "RTLD_LAZY"):
        sys.setdlopenflags(os.RTLD_LAZY)
    try:
        main()
    except SystemExit as end:
        if (sys.argv[1:2] and sys.argv[1] in LONG) or not isinstance(end.code, int):
            raise
        for stream in (sys.stdout, sys.stderr):
            with contextlib.suppress(OSError, ValueError, AttributeError):
                stream.flush()
        os._exit(end.code)
