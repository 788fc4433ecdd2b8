"""Templates of pages and their style sheet."""
