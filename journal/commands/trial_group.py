"""The commands of `duskbook trial`: their arguments and options. The work is in `trial_commands`."""

from __future__ import annotations

import datetime as dt

import click

from journal.commands import command_help, shell_completion
from journal.commands.arguments import DayParam, journal_argument, journal_folder
from journal.commands.number_arguments import WholeInRange, WholeNumber


@command_help.group("trial", no_args_is_help=False, invoke_without_command=True)
@click.pass_context
def trial(context: click.Context) -> None:
    """Do a habit on the days that are drawn by lot, and compare them with the other days.

    Not for medicines, doses, diets, sleep deprivation, alcohol, or anything that a doctor has prescribed or forbidden.

    \b
    duskbook trial make my-journal
    duskbook trial list my-journal
    duskbook trial result walk my-journal
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


@trial.command("make", short_help="Plan a trial and draw its lots.")
@journal_argument
@click.option("--question", metavar="TEXT", help="What you want to know, in your words.")
@click.option(
    "--habit", metavar="HABIT", shell_complete=shell_completion.habits, help="The habit to do by lot, by key or name."
)
@click.option(
    "--outcome", metavar="OUTCOME", shell_complete=shell_completion.outcomes,
    help="What is looked at: mood, energy, sleep or a counted habit.",
)  # fmt: skip
@click.option("--lag", type=WholeInRange(0, 1), metavar="DAYS", help="0: the same day; 1: the day after.")
@click.option("--from", "start", type=DayParam(), metavar="DAY", help="The first day, after today.")
@click.option("--days", type=WholeNumber("84"), metavar="N", help="How many days.")
@click.option("--block", type=WholeNumber("2"), metavar="N", help="Days in a block, 2 to 14.")
@click.option("--washout", type=WholeNumber("0"), metavar="N", help="Days left out at the start of each block.")
@click.option("--yes", is_flag=True, help="Draw without asking.")
@click.option("--sure", is_flag=True, help="It is nothing that a trial is not for, whatever its words.")
def make(
    *,
    folder: str | None,
    question: str | None,
    habit: str | None,
    outcome: str | None,
    lag: int | None,
    start: dt.date | None,
    days: int | None,
    block: int | None,
    washout: int | None,
    yes: bool,
    sure: bool,
) -> int:
    """Plan a trial, say how long it must run, and draw its lots after a yes.

    What is not given as an option is asked for. The seed of the draw is written to journal.toml with the plan, before
    the first day.

    \b
    duskbook trial make my-journal
    duskbook trial make my-journal --habit walk --outcome mood --lag 1 --days 84 --yes
    """
    from journal.commands import trial_commands

    given = {
        "question": question, "habit": habit, "outcome": outcome, "lag": lag, "from": start, "days": days,
        "block": block, "washout": washout,
    }  # fmt: skip
    return trial_commands.make(journal_folder(folder, "trial make"), given, yes=yes, sure=sure)


@trial.command("list", short_help="List the trials.")
@journal_argument
def listed(*, folder: str | None) -> int:
    """List the trials: the plan of each, and how far it is. "duskbook show trials" has their numbers.

    \b
    duskbook trial list my-journal
    """
    from journal.commands import trial_commands

    return trial_commands.list_trials(journal_folder(folder, "trial list"))


@trial.command("stop", short_help="Stop a trial: nothing is drawn after today.")
@click.argument("key", shell_complete=shell_completion.trials)
@journal_argument
@click.option("--yes", is_flag=True, help="Stop it without asking.")
def stop(*, key: str, folder: str | None, yes: bool) -> int:
    """Stop the trial KEY. Today stays as drawn. That it was stopped early is told with its result.

    \b
    duskbook trial stop walk my-journal
    """
    from journal.commands import trial_commands

    return trial_commands.stop(journal_folder(folder, f"trial stop {key}"), key, yes=yes)


@trial.command("look", short_help="Ask for the result before the end.")
@click.argument("key", shell_complete=shell_completion.trials)
@journal_argument
@click.option("--yes", is_flag=True, help="Note it without asking.")
def look(*, key: str, folder: str | None, yes: bool) -> int:
    """Show the result of the trial KEY before its end. That you asked is noted with it, and told with its result.

    \b
    duskbook trial look walk my-journal
    """
    from journal.commands import trial_commands

    return trial_commands.look(journal_folder(folder, f"trial look {key}"), key, yes=yes)


@trial.command("result", short_help="Print the result of a trial that is over.")
@click.argument("key", shell_complete=shell_completion.trials)
@journal_argument
def result(*, key: str, folder: str | None) -> int:
    """Print the result of the trial KEY.

    \b
    duskbook trial result walk my-journal
    """
    from journal.commands import trial_commands

    return trial_commands.result(journal_folder(folder, f"trial result {key}"), key)
