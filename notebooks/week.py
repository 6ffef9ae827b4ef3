import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Week · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo
    import polars as pl

    from journal.charts import week_days
    from journal.measures import completion, lines, streaks
    from journal.pages import care_button, controls, form_endpoints, period_page
    from journal.pages.forms import TriageForm, WeekAheadForm
    from journal.sections import cards

    # isort: split
    from journal.sections import (
        care_box,
        challenge_cards,
        day_cards,
        finding_cards,
        habit_cards,
        hours_cards,
        line_cards,
        mood_cards,
        search_cards,
        sleep_cards,
        task_cards,
    )


@app.cell
def _():
    # The journal and the week to open. Only this cell reads the clock.
    page = period_page.PeriodPage("week", mo.notebook_dir(), mo.query_params(), lambda: dt.datetime.now().astimezone())
    get_week, set_week = mo.state(page.first_shown())
    get_edits, set_edits = mo.state(0)
    page.watch(set_edits)
    get_closed, set_closed = mo.state(care_button.NOTHING, allow_self_loops=True)  # shown by the same cell
    return get_closed, get_edits, get_week, page, set_closed, set_week


@app.cell
def _(get_edits, page):
    get_edits()  # an edit of a file in any editor reopens the journal
    book = page.again()
    return (book,)


@app.cell
def _(page, set_week):
    earlier, later = page.arrows(set_week)
    return earlier, later


@app.cell
def _(book, get_week, page):
    week = get_week()
    tables, settings, today = book.tables, book.settings, book.today
    within = pl.col("date").is_between(week.first, week.last)
    lived = page.lived(book, week)
    controls.show(page.head(book, week, lived))
    return lived, settings, tables, today, week, within


@app.cell
def _(book, earlier, get_week, later, page, set_week):
    picker = page.picker(book, get_week(), set_week)  # built from the state, so the list keeps the focus
    controls.row(earlier, picker, later)
    return (picker,)


@app.cell
def _(book, get_closed, page, set_closed, settings, tables, today, week):
    long = care_box.signs(tables.days, book.nights, settings, week, today)
    close, box = care_button.box(long, page.folder, get_closed(), set_closed, today)
    controls.show(box)
    return (close,)


@app.cell
def _(book, settings, tables, today, week, within):
    states = book.states
    rates = completion.rates(book.occasions.filter(within), week_starts=settings.week_starts)
    until_then = book.occasions.filter(pl.col("to") <= week.last)
    running = streaks.streaks(until_then, today=min(today, week.last), blank=settings.blank)
    written = lines.lines(tables.lines.filter(within))
    controls.show(finding_cards.card(book.facts, week))
    return rates, running, states, written


@app.cell
def _(book, lived, rates, running, settings, states, tables, today, week, within, written):
    this_week = states.filter(within)
    drawn = week_days.draw(
        this_week, tables.days, week, habit_cards.names(settings), settings.mood, today=today, rates=rates
    )
    controls.show(
        cards.columns(
            [
                cards.figure(drawn),
                cards.card("Tasks", day_cards.tasks(tables.tasks.filter(within))),
                task_cards.most_carried(tables.tasks, week, today),
                cards.card("Appointments", day_cards.appointments(tables.appointments.filter(within), settings)),
                cards.card("Nights", sleep_cards.week(book, week)),
            ],
            [
                cards.card("Habits", habit_cards.week(this_week, rates, running, settings, today)),
                challenge_cards.week(tables, week, settings, today),
                mood_cards.summary(lived, settings),
                cards.card(
                    "To read again", line_cards.to_read_again(written, nothing="Nothing was written this week.")
                ),
                search_cards.earlier_years(tables.lines, week),
            ],
        ),
    )
    return


@app.cell
def _(page):
    page.review
    return


@app.cell
def _(page):
    # Created once, so choices stay on the page when the week or the files change.
    offered = form_endpoints.to_decide(page.read(), page.first_shown())
    undecided = TriageForm(
        offered, form_endpoints.decisions(page.read, page.moment), journal=form_endpoints.name(page.folder)
    )
    undecided
    return (undecided,)


@app.cell
def _(book, undecided, week):
    undecided.push_offer(form_endpoints.to_decide(book, week))
    return


@app.cell
def _(page):
    # Created once, so the way to take a put back stays on the page.
    coming = WeekAheadForm(
        form_endpoints.ahead(page.at_first, page.first_shown()), form_endpoints.moves(page.read, page.moment)
    )
    coming
    return (coming,)


@app.cell
def _(book, coming, week):
    coming.push_offer(form_endpoints.ahead(book, week))
    return


@app.cell
def _(settings, tables, week):
    controls.show(cards.figure(hours_cards.strips(tables, settings, week)), hours_cards.section(tables, settings, week))
    return


if __name__ == "__main__":
    app.run()
