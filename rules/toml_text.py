"""TOML that somebody wrote, parsed so that whatever is wrong with it is one kind of error."""

from __future__ import annotations

import tomllib
from typing import Any


def parsed(text: str) -> dict[str, Any]:
    """Return the table that a text holds; raise ``tomllib.TOMLDecodeError`` also for endless nesting and numbers."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        if (said := str(error)).startswith("Cannot overwrite a value"):
            raise tomllib.TOMLDecodeError(said.replace("Cannot overwrite a value", "a key is given twice", 1)) from None
        raise
    except RecursionError:
        raise tomllib.TOMLDecodeError("it is nested too deep") from None
    except ValueError:
        raise tomllib.TOMLDecodeError("it holds a number of more digits than can be read") from None
