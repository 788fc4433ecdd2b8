"""What commands share: reading a mixture from a file or from options, and errors with one message."""

from __future__ import annotations

import functools
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

import click

from washlore.cli import __version__
from washlore.cli.main import HELP

if TYPE_CHECKING:
    from washlore.rules.mixture import Mixture

BAD_INPUT = 2
FORMATS = ("text", "json")


class Trouble(click.ClickException):
    """Something that the user can put right; the message says where, what was found and what would work."""

    exit_code = BAD_INPUT


def version() -> str:
    """Return the version of the package; asking its metadata would load a mail parser."""
    return __version__


def command(**options: Any) -> Callable[[Callable[..., Any]], click.Command]:
    """Make a command that has our ``--help``."""

    def made(function: Callable[..., Any]) -> click.Command:
        own = click.command(add_help_option=False, **options)(function)
        own.params.append(HELP)
        return own

    return made


def format_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--format text|json``."""
    return click.option(
        "--format", "style", type=click.Choice(FORMATS), default="text", show_default=True, help="How to print."
    )(function)


# Signs that a terminal must have for tables and schemes to be drawn with them.
_DRAWN = "│├─►└▼×"


def plain_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--plain``."""
    return click.option("--plain", is_flag=True, help="Text to be read aloud: no columns, no drawn scheme, no colour.")(
        function
    )


def look(plain: bool) -> str:
    """Return how text is drawn: plain where asked for, ascii where the terminal lacks the signs, else boxes."""
    if plain:
        return "plain"
    try:
        _DRAWN.encode(getattr(sys.stdout, "encoding", None) or "ascii")
    except (UnicodeEncodeError, LookupError):
        return "ascii"
    return "boxes"


def in_ascii(text: str) -> str:
    """Return a text with the signs that a plain terminal lacks written in its own."""
    for sign, own in (("×", "x"), ("µ", "u"), ("±", "+/-"), ("─", "-"), ("│", "|")):
        text = text.replace(sign, own)
    return text


# Marks that turn the direction of writing or hide in text; what they do to a name or a number is never meant. What
# steers a terminal (an escape) comes in plans of others too.
_INVISIBLE = dict.fromkeys(
    [
        *range(0x200B, 0x2010),
        *range(0x202A, 0x202F),
        *range(0x2060, 0x2070),
        0xFEFF,
        0xAD,
        0x61C,
        *range(0xFFF9, 0xFFFC),
    ]
)
_CONTROL = {n: " " for n in (*range(0x20), *range(0x7F, 0xA0)) if n not in (0x09, 0x0A, 0x0D)}


def visible(text: str) -> str:
    """Return a text without control characters, direction marks and halves of surrogate pairs."""
    text = text.translate(_INVISIBLE).translate(_CONTROL)
    return text.encode("utf-8", "replace").decode("utf-8")


def show(text: str, plain: bool = False) -> None:
    """Print a text without what would steer the terminal.

    On a terminal its headings stand out, unless NO_COLOR is set. Nothing is told by colour alone.
    """
    text = visible(text)
    if not plain and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb":
        text = "\n\n".join(_headed(block) for block in text.split("\n\n"))
    click.echo(text)


def _headed(block: str) -> str:
    """Return a block of text with its heading, if it has one, in bold; cautions in red too."""
    first, parted, rest = block.partition("\n")
    if not parted or first.startswith(" ") or not rest.startswith(" "):
        return block
    alarm = first in ("Take care", "Can hurt someone")
    return f"{click.style(first, bold=True, fg='red' if alarm else None)}\n{rest}"


DEPTHS = ("student", "chemist", "instructor")


def depth_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--for student|chemist|instructor``."""
    return click.option(
        "--for",
        "depth",
        type=click.Choice(DEPTHS),
        default="chemist",
        show_default=True,
        help="How much to explain: the chemistry too, just the work, or also what students get wrong.",
    )(function)


_OPTIONS = (
    click.option("--product", metavar="P", help="The compound to keep: a name or a SMILES."),
    click.option("--amount", metavar="A", help='How much of it, such as "10 mmol" or "2.4 g".'),
    click.option(
        "--with",
        "others",
        metavar='"NAME; AMOUNT; ROLE"',
        multiple=True,
        help="Something else in the flask, as left when the reaction stops. Amount and role may be left out. Repeat it.",
    ),
    click.option(
        "--solvent",
        "solvents",
        metavar='"NAME; VOLUME"',
        multiple=True,
        help='What the reaction ran in, such as "DCM; 40 mL". Repeat it for a mixture.',
    ),
    click.option("--extract", metavar="SOLVENT", help="The solvent of the organic layer, or choose (the default)."),
    click.option("--target", type=float, metavar="PERCENT", help="How much of an impurity may be left; 1 by default."),
)


def mixture_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that describe a mixture; they arrive as one dictionary ``given``."""

    @functools.wraps(function)
    def call(*args: Any, **values: Any) -> Any:
        names = ("product", "amount", "others", "solvents", "extract", "target")
        given = {name: values.pop(name) for name in names}
        return function(*args, given=given, **values)

    for option in reversed(_OPTIONS):
        call = option(call)
    return call


def any_given(given: dict[str, Any]) -> bool:
    """Tell whether any option describes a mixture."""
    return any(value not in (None, ()) for value in given.values())


@contextmanager
def troubles() -> Iterator[None]:
    """Turn the errors of knowledge and rules that the user can put right into one message."""
    try:
        yield
    except ValueError as error:
        # Known by where they are defined: importing them here would load the chemistry for every command.
        if not type(error).__module__.startswith("washlore."):
            raise
        raise Trouble(one_paragraph(str(error))) from None


def one_paragraph(text: str) -> str:
    """Return a text without line breaks."""
    return " ".join(text.split())


def examples() -> dict[str, Path]:
    """Return the mixtures that come with washlore, by name."""
    folder = Path(__file__).parent / "examples"
    names = sorted(name for name in os.listdir(folder) if name.endswith(".toml"))  # a glob compiles a pattern for it
    return {name.removesuffix(".toml"): folder / name for name in names}


def read(mixture: str | None, given: dict[str, Any]) -> Mixture:
    """Return the mixture of a file, of a shipped example or of the options; raise ``Trouble`` otherwise."""
    from washlore.rules.mixture_file import read_mixture

    if mixture is None:
        return _from_options(given)
    if any_given(given):
        raise Trouble(
            f"{mixture}: a mixture file and options that describe a mixture are given together; put everything into the "
            "file, or leave the file out and start with --product."
        )
    return read_mixture(find(mixture))


def find(mixture: str) -> Path:
    """Return the path of a mixture file, or of the example of that name."""
    if not mixture.strip():
        raise Trouble(
            f"The name of the mixture is empty; name a file, or one that comes with washlore: {', '.join(examples())}."
        )
    path = Path(mixture)
    try:
        there = path.exists()
    except (OSError, ValueError):
        there = False
    known = examples()
    if not there and mixture in known:
        return known[mixture]
    if not there and not path.suffix:
        raise Trouble(
            f"{mixture}: there is no such file, and no such mixture comes with washlore; those that do are "
            f"{', '.join(known)}."
        )
    return path


def _from_options(given: dict[str, Any]) -> Mixture:
    from washlore.rules.mixture import CHOOSE, build, read_other

    if given["product"] is None:
        raise Trouble(
            "product: none is given; name a mixture file, one of the mixtures that come with washlore "
            f"({', '.join(examples())}), or the compound to keep with --product."
        )
    target = 1.0 if given["target"] is None else given["target"]
    if not 0 < target < 100:
        raise Trouble(f"--target: {target:g} is not a percentage between 0 and 100; 1 leaves one per cent.")
    return build(
        given["product"],
        [read_other(text) for text in given["others"]],
        product_amount=given["amount"],
        solvents=[_solvent(text) for text in given["solvents"]],
        extract=given["extract"] or CHOOSE,
        target=target / 100,
    )


def _solvent(text: str) -> tuple[str, float | None]:
    name, _, volume = (part.strip() for part in text.partition(";"))
    if not volume:
        return name, None
    number, unit = volume.rstrip("mMlL ").strip(), volume.lower().lstrip("0123456789.,+-e ").strip()
    try:
        value = float(number.replace(",", "."))
        factor = {"ml": 1.0, "l": 1000.0, "": 1.0}[unit]
    except (ValueError, KeyError):
        raise Trouble(f"--solvent {text!r}: {volume!r} is not a volume; write it as 40 mL or 0.2 L.") from None
    return name, value * factor


def dump(record: Any) -> str:
    """Return a record as JSON: indented, ASCII only, no NaN or infinity."""
    import json

    return json.dumps(record, indent=2, ensure_ascii=True, allow_nan=False)


def text_width() -> int:
    """Return how wide text is set: the terminal's width within reason."""
    return max(40, min(100, _columns() - 1))


def _columns() -> int:
    """Return the columns of the terminal, as ``shutil`` finds them; that loads several ways to pack files."""
    with suppress(ValueError):
        if (told := int(os.environ.get("COLUMNS", ""))) > 0:
            return told
    with suppress(AttributeError, ValueError, OSError):
        return os.get_terminal_size(sys.__stdout__.fileno()).columns or 80  # type: ignore[union-attr]
    return 80


def write_whole(path: Path, write: Callable[[IO[str]], None]) -> None:
    """Write a text file under another name and move it into place, so that no half file is ever left."""

    def fill(handle: int) -> None:
        with open(handle, "w", encoding="utf-8", newline="") as file:
            write(file)

    _put_in_place(path, fill)


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""

    def fill(handle: int) -> None:
        with open(handle, "wb") as file:
            file.write(content)

    _put_in_place(path, fill)


def _put_in_place(path: Path, fill: Callable[[int], None]) -> None:
    import tempfile

    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent or Path("."))
    except OSError as error:
        raise Trouble(f"{path}: cannot be written ({error.strerror}); name a file in a folder that exists.") from None
    try:
        fill(handle)
        os.chmod(temporary, 0o666 & ~_umask())
        os.replace(temporary, path)
    except OSError as error:
        _remove(temporary)
        raise Trouble(f"{path}: cannot be written ({error.strerror}); name another file.") from None
    except BaseException:
        _remove(temporary)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _remove(path: str) -> None:
    with suppress(OSError):
        os.unlink(path)


def spare(made: Path, *read: str | None) -> None:
    """Raise ``Trouble`` where a file that is to be written is one of those that are read."""
    for path in filter(None, read):
        with suppress(OSError, ValueError):
            if os.path.samefile(made, path):
                raise Trouble(f"{made}: is read here and would be written over; give the report another name.")


def need(module: str, extra: str, what: str) -> None:
    """See to it that an optional library is installed; raise ``Trouble`` with the command that installs it."""
    from importlib.util import find_spec

    if find_spec(module) is None:
        raise Trouble(f"{module} is needed {what} and is not installed; pip install 'washlore[{extra}]' installs it.")


def near(text: str, known: Sequence[str], count: int = 4) -> list[str]:
    """Return the names that resemble a text, the most alike first."""
    import difflib

    by_key = {name.casefold(): name for name in known}
    return [by_key[key] for key in difflib.get_close_matches(text.casefold(), list(by_key), n=count, cutoff=0.55)]
