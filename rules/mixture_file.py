"""A mixture as a TOML file, or as the table that such a file is parsed to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from washlore.knowledge.spelling import short
from washlore.rules.mixture import CHOOSE, Mixture, MixtureError, build
from washlore.rules.toml_text import parsed

LARGEST_NUMBER = 1e9
LARGEST_FILE = 1_000_000


def read_mixture(path: Path) -> Mixture:
    """Read a mixture file (TOML; see ``washlore new``). Raises ``MixtureError`` naming file, table and key."""
    import tomllib

    text = _text_of(path)
    try:
        data = parsed(text)
    except tomllib.TOMLDecodeError as error:
        raise MixtureError(f"{path}: is not TOML: {error}; `washlore new` writes a file that works.") from None
    try:
        return mixture_from_table(data, default_title=path.stem)
    except MixtureError as error:
        raise MixtureError(f"{path}: {error}") from None


def _text_of(path: Path) -> str:
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
        text = raw.decode().removeprefix("\ufeff")
    except FileNotFoundError:
        raise MixtureError(f"{path}: there is no such file; `washlore new {path}` writes a template.") from None
    except IsADirectoryError:
        raise MixtureError(f"{path}: is a folder; name a mixture file in it.") from None
    except PermissionError:
        raise MixtureError(f"{path}: may not be read; ask for the right to read it, or name another file.") from None
    except UnicodeDecodeError:
        raise MixtureError(f"{path}: is not text in UTF-8; save it as UTF-8, or name another file.") from None
    except (OSError, ValueError) as error:
        raise MixtureError(f"{str(path)!r}: cannot be read ({type(error).__name__}); name another file.") from None
    if len(raw) > LARGEST_FILE:
        raise MixtureError(f"{path}: is larger than 1 MB; no mixture needs that, so name another file.")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def mixture_from_table(data: Mapping[str, Any], default_title: str = "") -> Mixture:
    """Return the mixture that a parsed TOML table describes; raises ``MixtureError``."""
    _only(data, "the file", ("title", "product", "others", "reaction", "extraction", "target"))
    product = _table(data, "product")
    _only(product, "[product]", ("name", "smiles", "amount"))
    reaction = _table(data, "reaction", {})
    _only(reaction, "[reaction]", ("solvent", "volume_ml"))
    extraction = _table(data, "extraction", {})
    _only(extraction, "[extraction]", ("solvent",))
    goal = _table(data, "target", {})
    _only(goal, "[target]", ("left_percent",))
    others = data.get("others", [])
    if not isinstance(others, list):
        raise MixtureError("others: must be a list of tables; write [[others]] before each component.")
    rows = []
    for number, entry in enumerate(others, start=1):
        where = f"[[others]] number {number}"
        if not isinstance(entry, dict):
            raise MixtureError(f"{where}: must be a table with name or smiles.")
        _only(entry, where, ("name", "smiles", "amount", "role"))
        identity, called = _identity(entry, where)
        rows.append((identity, _text(entry, "amount", where), _text(entry, "role", where), called))
    identity, called = _identity(product, "[product]")
    return build(
        identity,
        rows,
        product_label=called,
        product_amount=_text(product, "amount", "[product]"),
        solvents=_solvent_rows(reaction),
        extract=_text(extraction, "solvent", "[extraction]") or CHOOSE,
        target=_number(goal.get("left_percent", 1.0), "[target] left_percent") / 100,
        title=_text(data, "title", "the file") or default_title,
    )


def _table(data: Mapping[str, Any], key: str, default: Any = None) -> Mapping[str, Any]:
    value = data.get(key, default)
    if value is None:
        raise MixtureError(f"[{key}]: is missing; a mixture needs at least a product with a name or smiles.")
    if isinstance(value, str) and key == "product":
        return {"name": value}
    if not isinstance(value, dict):
        raise MixtureError(f"{key}: must be a table; write [{key}] on a line of its own.")
    return value


def _only(data: Mapping[str, Any], where: str, known: Sequence[str]) -> None:
    for key in data:
        if key not in known:
            raise MixtureError(f"{where}: {short(key)} is not a key here; the keys are {', '.join(known)}.")


def _identity(entry: Mapping[str, Any], where: str) -> tuple[str, str | None]:
    """Return (what to read the structure from, what to call it); a name beside a SMILES is a label."""
    name, smiles = _text(entry, "name", where), _text(entry, "smiles", where)
    if smiles:
        return smiles, name
    if not name:
        raise MixtureError(f"{where}: neither name nor smiles is given.")
    return name, None


def _text(entry: Mapping[str, Any], key: str, where: str) -> str | None:
    value = entry.get(key)
    if value is None:
        return None
    if not isinstance(value, str):
        raise MixtureError(f'{where}: {key} must be text in quotes, such as {key} = "2.5 mmol"; found {_shown(value)}.')
    return value


def _number(value: Any, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise MixtureError(f"{where}: must be a number; found {_shown(value)}.")
    if abs(value) > LARGEST_NUMBER:
        raise MixtureError(f"{where}: is too large a number to be measured out; give it in mL or per cent.")
    return float(value)


def _solvent_rows(reaction: Mapping[str, Any]) -> list[tuple[str, float | None]]:
    solvent, volume = reaction.get("solvent"), reaction.get("volume_ml")
    if solvent is None:
        if volume is not None:
            raise MixtureError("[reaction]: volume_ml is given without a solvent.")
        return []
    names_ = [solvent] if isinstance(solvent, str) else solvent
    if not isinstance(names_, list) or not all(isinstance(n, str) for n in names_):
        raise MixtureError(f"[reaction]: solvent must be a name, or a list of names; found {_shown(solvent)}.")
    volumes = volume if isinstance(volume, list) else [None] * len(names_) if volume is None else [volume]
    if len(volumes) != len(names_):
        raise MixtureError("[reaction]: solvent and volume_ml must be lists of the same length.")
    return [
        (n, None if v is None else _number(v, "[reaction] volume_ml")) for n, v in zip(names_, volumes, strict=True)
    ]


def _shown(value: Any) -> str:
    shown = repr(value)
    return shown if len(shown) <= 60 else f"{shown[:57]}..."
