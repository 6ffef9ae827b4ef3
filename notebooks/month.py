import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Month · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo
    import polars as pl

    from journal.measures import challenges, completion, lines, streaks
    from journal.pages import care_button, controls, form_endpoints, period_page, setup_endpoints
    from journal.pages.forms import HabitDecisions
    from journal.sections import cards
    from journal.wording import dates

    # isort: split
    from journal.sections import (
        care_box,
        finding_cards,
        habit_cards,
        hours_cards,
        line_cards,
        link_cards,
        mood_cards,
        sleep_cards,
        task_cards,
    )


@app.cell
def _():
    # The journal and the month to open. Only this cell reads the clock.
    page = period_page.PeriodPage("month", mo.notebook_dir(), mo.query_params(), lambda: dt.datetime.now().astimezone())
    get_month, set_month = mo.state(page.first_shown())
    get_edits, set_edits = mo.state(0)
    page.watch(set_edits)
    get_closed, set_closed = mo.state(care_button.NOTHING, allow_self_loops=True)  # shown by the same cell
    return get_closed, get_edits, get_month, page, set_closed, set_month


@app.cell
def _(get_edits, page):
    get_edits()  # an edit of a file in any editor reopens the journal
    book = page.again()
    return (book,)


@app.cell
def _(page, set_month):
    earlier, later = page.arrows(set_month)
    return earlier, later


@app.cell
def _(book, get_month, page):
    month = get_month()
    tables, settings, today = book.tables, book.settings, book.today
    within = pl.col("date").is_between(month.first, month.last)
    lived = page.lived(book, month)
    controls.show(page.head(book, month, lived))
    return lived, settings, tables, today, month, within


@app.cell
def _(book, earlier, get_month, later, page, set_month):
    picker = page.picker(book, get_month(), set_month)  # built from the state, so the list keeps the focus
    controls.row(earlier, picker, later)
    return (picker,)


@app.cell
def _(book, get_closed, month, page, set_closed, settings, tables, today):
    long = care_box.signs(tables.days, book.nights, settings, month, today)
    close, box = care_button.box(long, page.folder, get_closed(), set_closed, today)
    controls.show(box)
    return (close,)


@app.cell
def _(book, month, settings, tables, today, within):
    states = book.states
    rates = completion.rates(book.occasions.filter(within), week_starts=settings.week_starts)
    until_then = book.occasions.filter(pl.col("to") <= month.last)
    running = streaks.streaks(until_then, today=min(today, month.last), blank=settings.blank)
    in_force = running.filter(pl.col("habit").is_in(states.filter(within)["habit"].unique().implode()))
    totals = completion.totals(states.filter(within), week_starts=settings.week_starts)
    ticked = challenges.totals(tables.ticks, today=min(today, month.last))
    memories = lines.lines(tables.lines.filter(within, pl.col("kind") == "memory"))
    controls.show(finding_cards.card(book.facts, month))
    return in_force, memories, rates, states, ticked, totals


@app.cell
def _(in_force, month, rates, settings, states, today):
    controls.show(habit_cards.grid(states, rates, in_force, month, settings, today=today))
    return


@app.cell
def _(page):
    # Created once, so what is typed stays on the page when the month or the files change.
    decisions = HabitDecisions(
        setup_endpoints.habit_decisions(page.at_first, page.first_shown()),
        setup_endpoints.habit_decision_answers(page.read, page.moment),
        journal=form_endpoints.name(page.folder),
    )
    decisions
    return (decisions,)


@app.cell
def _(book, decisions, month):
    decisions.push_offer(setup_endpoints.habit_decisions(book, month))
    return


@app.cell
def _(book, in_force, lived, month, settings, tables, ticked, today):
    controls.show(
        cards.columns(
            [
                cards.card("Streaks", habit_cards.running_and_longest(in_force, settings)),
                task_cards.most_carried(tables.tasks, month, today),
            ],
            [
                habit_cards.changes_since_before(book.occasions, month, settings),
                habit_cards.challenges(ticked, month, settings),
                mood_cards.summary(lived, settings),
            ],
        ),
    )
    return


@app.cell
def _(page):
    page.review
    return


@app.cell
def _(book, lived, memories, month, rates, settings, states, tables, ticked, today, totals):
    controls.show(
        habit_cards.challenge_days(tables, ticked, month, settings, today),
        mood_cards.line(tables.days, lived, settings, month),
        sleep_cards.section(book, month),
        hours_cards.section(tables, settings, month),
        cards.card("To remember", line_cards.memories(memories, nothing="No memory was written this month.")),
        line_cards.words_of(tables.lines, month, settings),
        link_cards.section(states, tables, settings, first=tables.opened or month.first, last=month.last, today=today),
        cards.card("Rates", habit_cards.rate_table(rates, totals, settings, f"Rates, {dates.title(month)}")),
    )
    return


if __name__ == "__main__":
    app.run()
