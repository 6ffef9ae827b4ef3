"""Random journal.toml texts of some habits, time off and other tables, with comments and blank lines in odd places."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from journal.folder import toml_read
from tests.choosing import Chooser

HABITS = ("walk", "read", "swim")
_SCHEDULES = ('every = "FREQ=DAILY"', "every = 'FREQ=WEEKLY;BYDAY=MO'", 'times = 3\nper = "week"')
_OTHERS = (
    '[[challenges]]\nkey = "letters"\nname = "Letters"\nfrom = 2025-03-01\nuntil = 2025-03-30',
    '[[routines]]\ntitle = "Stock"\nevery = "FREQ=WEEKLY"\nfrom = 2025-01-03',
    '[prompts]\nweek = [\n  "What?",  # first\n]',
    "[mood]\nlow = 1\nhigh = 5",
    '[lines]\nstop_words = ["got"]',
)


@st.composite
def settings_texts(draw: Any) -> tuple[str, dict[str, Any]]:
    """A text with its values. Each habit has one or two definitions, the second from 1 March 2025."""
    choose = Chooser(draw, at_once=256)
    blocks = [block for key in HABITS for block in _definitions(choose, key)]
    blocks += [_rest(choose, i) for i in range(choose.one((0, 0, 1, 2)))]
    blocks += [block for block in _OTHERS if choose.flip()]
    if choose.flip(4):
        blocks = choose.order(blocks)
    text = "# The top.\n" * choose.one((0, 1)) + 'title = "A test"' + _remark(choose)
    for block in blocks:
        text += "\n" * choose.one((1, 2, 2, 2, 3)) + "# about it\n" * choose.one((0, 0, 1)) + block
    text += "\n" * choose.one((0, 1, 1, 2)) + choose.one(("", "", "# The end.", "# The end.\n"))
    if choose.flip(4):
        text = text.replace("\n", "\r\n")
    return text, toml_read.values("journal.toml", text)


def _definitions(choose: Chooser, key: str) -> list[str]:
    texts = [_definition(choose, key, "2025-01-01")]
    return [*texts, _definition(choose, key, "2025-03-01")] if choose.flip(4) else texts


def _definition(choose: Chooser, key: str, start: str) -> str:
    lines = [f'name = "{key.capitalize()}"', choose.one(_SCHEDULES), f"from = {start}"]
    if choose.flip(3):
        lines.append("until = 2025-12-31")
    if choose.flip(3):
        lines += ["target = 20", 'unit = "pages"', 'aim = "at least"']
    lines = choose.order(lines) if choose.flip(4) else lines
    return "\n".join(["[[habits]]", f'key = "{key}"', *(line + _remark(choose) for line in lines)])


def _rest(choose: Chooser, number: int) -> str:
    habits = choose.one(("", '\nhabits = ["walk"]', '\nhabits = ["walk", "read"]'))
    return f"[[rests]]\nfrom = 2025-02-0{number + 1}{_remark(choose)}\nuntil = 2025-02-10{habits}"


def _remark(choose: Chooser) -> str:
    return choose.one(("", "", "", "  # so far", " "))
