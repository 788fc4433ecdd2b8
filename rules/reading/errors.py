"""What cannot be read at all, and how much can."""

from __future__ import annotations

MAX_CHARACTERS = 30_000
MAX_ROWS = 500
MOST_STEPS = 200


class ReadingError(ValueError):
    """A text cannot be read as a plan at all; the message says why and what would work."""
