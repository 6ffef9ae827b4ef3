"""Questions in a terminal, in the spoken language. click reads the lines; its own words would be English.

    if terminal_questions.agreed("Write 3 pages?"):           Write 3 pages? [y/N]:
    title = terminal_questions.ask("Title", "My journal", read)  Title [My journal]:

A yes may be typed in the spoken language or in English. Ctrl-C and the end of the input raise `click.Abort`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import click

from journal.language.catalogue import _, _p

T = TypeVar("T")


def agreed(question: str, *, err: bool = False) -> bool:
    """Ask until the answer is yes or no. Enter alone is no. With `err` it is asked on standard error."""
    while True:
        answer = _line(_("{question} [y/N]: ", question=question), err=err).strip()
        if not answer:
            return False
        meant = yes_or_no(answer)
        if meant is not None:
            return meant
        click.echo(_("Error: invalid input"), err=err)


def yes_or_no(answer: str) -> bool | None:
    """Return whether an answer says yes, None if it says neither yes nor no.

    >>> yes_or_no("Yes"), yes_or_no("n"), yes_or_no("later")
    (True, False, None)
    """
    if answer.casefold() in ("y", "yes", _p("answer", "y"), _p("answer", "yes")):
        return True
    return False if answer.casefold() in ("n", "no", _p("answer", "n"), _p("answer", "no")) else None


def ask(question: str, proposed: str, read: Callable[[str], T], *, shown: bool = True, err: bool = False) -> T:
    """Ask until `read` parses the answer. Enter alone takes the proposal. The message of a ValueError is shown.

    With `shown` the proposal stands in brackets, if there is one.
    """
    prompt = f"{question} [{proposed}]: " if shown and proposed else f"{question}: "
    while True:
        answer = _line(prompt, err=err) or proposed
        try:
            return read(answer.strip())
        except ValueError as error:
            click.echo(_("Error: {message}", message=error), err=err)


def password(question: str, *, twice: bool) -> str:
    """Ask for a password without showing it, until it is not empty, and if `twice` until both are the same."""
    while True:
        typed = _hidden(question)
        if not twice or typed == _hidden(_("The same once more")):
            return typed
        click.echo(_("Error: The two entered values do not match."))


def _hidden(question: str) -> str:
    while not (typed := str(_line(f"{question}: ", hidden=True))):
        pass
    return typed


def _line(prompt: str, *, err: bool = False, hidden: bool = False) -> str:
    return str(click.prompt(prompt, default="", show_default=False, prompt_suffix="", hide_input=hidden, err=err))
