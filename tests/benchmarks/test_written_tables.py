"""A table that is measured anew takes the place of the old one only: a table among the words of its section stays."""

from __future__ import annotations

from tests.benchmarks.__main__ import with_table

PAGE = """\
## Saving

Of what:

| of | 1 |

More.

Measured on Monday.

| old |

## Pages

Words.
"""
NEW = ["Measured on Friday.", "", "| new |"]


def test_only_the_measured_table_is_written_anew() -> None:
    page = f"# Speed\n\n{PAGE}"
    once = with_table(page, "saving", NEW)
    assert once == page.replace("Monday", "Friday").replace("| old |", "| new |")
    assert with_table(once, "pages", NEW).endswith("Words.\n\n" + "\n".join(NEW) + "\n")
