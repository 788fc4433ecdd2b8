"""TOML that somebody wrote, parsed so that whatever is wrong with it is one kind of error."""

from __future__ import annotations

import re
import tomllib
from typing import Any

# Every part of a dotted key costs the parser room for all the parts before it.
MOST_PARTS = 8
_STRING_OR_COMMENT = r"""(?x) "(?:[^"\\\n]|\\.)*+" | '[^'\n]*+' | \#[^\n]*+"""
_LONG_KEY = rf"(?<![\w-])(?:[\w-]++[ \t]*+\.[ \t]*+){{{MOST_PARTS}}}"


def parsed(text: str) -> dict[str, Any]:
    """Return the table that a text holds; raise ``tomllib.TOMLDecodeError`` also for endless nesting, keys and numbers."""
    if text.count(".") >= MOST_PARTS and re.search(_LONG_KEY, re.sub(_STRING_OR_COMMENT, "s", text)):
        raise tomllib.TOMLDecodeError(f"a key has more than {MOST_PARTS} parts")
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
