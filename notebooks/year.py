import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Year · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo
    import polars as pl

    from journal.charts import rates_by_month
    from journal.measures import completion, coverage, lines, streaks
    from journal.pages import care_button, controls, period_page
    from journal.pages.book_widget import YearBook
    from journal.sections import cards, search_cards

    # isort: split
    from journal.sections import (
        care_box,
        day_cards,
        finding_cards,
        habit_cards,
        line_cards,
        link_cards,
        mood_cards,
        pixel_cards,
        sleep_cards,
        task_cards,
    )


@app.cell
def _():
    # The journal and the year to open. Only this cell reads the clock.
    page = period_page.PeriodPage("year", mo.notebook_dir(), mo.query_params(), lambda: dt.datetime.now().astimezone())
    get_year, set_year = mo.state(page.first_shown())
    get_edits, set_edits = mo.state(0)
    page.watch(set_edits)
    get_closed, set_closed = mo.state(care_button.NOTHING, allow_self_loops=True)  # shown by the same cell
    get_shown, set_shown = mo.state("mood")
    bound = YearBook(page.at_first, page.first_shown())
    return bound, get_closed, get_edits, get_shown, get_year, page, set_closed, set_shown, set_year


@app.cell
def _(get_edits, page):
    get_edits()  # an edit of a file in any editor reopens the journal
    book = page.again()
    return (book,)


@app.cell
def _(page, set_year):
    earlier, later = page.arrows(set_year)
    return earlier, later


@app.cell
def _(book, bound, get_year, page):
    year = get_year()
    bound.follow(book, year)
    tables, settings, today = book.tables, book.settings, book.today
    within = pl.col("date").is_between(year.first, year.last)
    lived = page.lived(book, year)
    controls.show(page.head(book, year, lived))
    return lived, settings, tables, today, year, within


@app.cell
def _(book, earlier, get_year, later, page, set_year):
    picker = page.picker(book, get_year(), set_year)  # built from the state, so the list keeps the focus
    controls.row(earlier, picker, later)
    return (picker,)


@app.cell
def _(book, get_closed, page, set_closed, settings, tables, today, year):
    long = care_box.signs(tables.days, book.nights, settings, year, today)
    close, box = care_button.box(long, page.folder, get_closed(), set_closed, today)
    controls.show(box)
    return (close,)


@app.cell
def _(book, settings, tables, today, within, year):
    states = book.states
    occasions = book.occasions.filter(within)
    rates = completion.rates(occasions, by="month", week_starts=settings.week_starts)
    best = streaks.streaks(occasions, today=today, blank=settings.blank)
    memories = lines.lines(tables.lines.filter(within, pl.col("kind") == "memory"))
    controls.show(finding_cards.card(book.facts, year))
    return best, memories, rates, states


@app.cell
def _(get_shown, set_shown, settings, states, within):
    offered = habit_cards.quantities(states.filter(within), settings)
    shown = controls.quantity(offered, get_shown(), set_shown)
    controls.row(shown)
    return (offered,)


@app.cell
def _(get_shown, offered, settings, states, tables, today, year):
    drawn = pixel_cards.draw(get_shown(), offered, tables.days, states, settings, year=year, today=today)
    controls.show(cards.figure(drawn))
    return


@app.cell
def _(best, lived, settings):
    controls.show(
        cards.columns(
            [
                cards.card("Best streaks", habit_cards.best_streaks(best, settings)),
            ],
            [
                mood_cards.summary(lived, settings, "How the year was"),
                cards.card(
                    "Days logged",
                    day_cards.months_logged(coverage.coverage(lived, by="month", week_starts=settings.week_starts)),
                ),
            ],
        ),
    )
    return


@app.cell
def _(page):
    page.review
    return


@app.cell
def _(book, lived, memories, rates, settings, states, tables, today, year):
    controls.show(
        cards.figure(rates_by_month.draw(rates, habit_cards.names(settings), year.first.year)),
        mood_cards.line(tables.days, lived, settings, year),
        mood_cards.weekdays(lived, settings),
        link_cards.section(states, tables, settings, first=year.first, last=year.last, today=today),
        link_cards.measured(tables, book.nights, settings, period=year, today=today),
        sleep_cards.section(book, year),
        task_cards.section(tables.tasks, year, today),
        cards.card(
            "Memories through the year", line_cards.memories_by_month(memories, nothing="No memory was written.")
        ),
    )
    return


@app.cell
def _():
    wanted = search_cards.field()
    controls.row(wanted)
    return (wanted,)


@app.cell
def _(tables, wanted):
    controls.show(search_cards.matches(tables.lines, wanted.value))
    return


@app.cell
def _(bound):
    bound
    return


if __name__ == "__main__":
    app.run()
