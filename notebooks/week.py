import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Week · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo
    import polars as pl

    import journal
    from journal.charts import week_days
    from journal.measures import completion, coverage, lines, states, streaks
    from journal.pages import cards, controls, opening, watching, wording

    # isort: split
    from journal.pages import care, days, felt, findings, habits, night, spent, written


@app.cell
def _():
    # Which journal, and the week it opens at. The clock is read here and nowhere else on this page.
    folder = opening.folder(mo.notebook_dir())

    def read():
        return journal.open(folder, today=opening.today(folder, dt.datetime.now().astimezone()))

    query = mo.query_params()
    before_reading = watching.seen(folder)
    at_first = read()
    get_week, set_week = mo.state(opening.first_shown("week", query.to_dict(), at_first))
    get_edits, set_edits = mo.state(0)
    return at_first, before_reading, folder, get_edits, get_week, query, read, set_edits, set_week


@app.cell
def _(before_reading, folder, set_edits):
    watching.start(folder, before_reading, lambda: set_edits(lambda count: count + 1))
    return


@app.cell
def _(at_first, get_edits, read):
    get_edits()  # an edit of a page in any editor reads the journal again; what has not changed is in the cache
    book = opening.again(read, at_first)
    weeks = opening.choices("week", book)
    return book, weeks


@app.cell
def _(at_first, set_week):
    earlier, later = controls.arrows(opening.choices("week", at_first), set_week)
    return earlier, later


@app.cell
def _(get_week, set_week, weeks):
    picker = controls.picker(weeks, get_week(), set_week)
    return (picker,)


@app.cell
def _(book, get_week, query):
    week = get_week()
    query["week"] = week.key
    tables, settings, today = book.tables, book.settings, book.today
    within = pl.col("date").is_between(week.first, week.last)
    lived = coverage.kept(tables.days, opened=tables.opened, today=today).filter(within)
    controls.show(
        cards.header("week", settings.title, today=today, on=opening.anchor(week, query.to_dict(), today)),
        cards.problems(book.problems),
        cards.heading(wording.title(week), days.kept(coverage.coverage(lived))),
    )
    return lived, settings, tables, today, week, within


@app.cell
def _(earlier, later, picker):
    controls.row(earlier, picker, later)
    return


@app.cell
def _(settings, tables, today, week):
    slept = night.of(tables, settings, today)
    controls.show(care.box(tables.days, slept.nights, settings, week, today), findings.card(tables, settings, week))
    return (slept,)


@app.cell
def _(settings, tables, today, week, within):
    stated = states.states(tables.marks, today=today)
    occasions = states.occasions(stated, today=today, week_starts=settings.week_starts)
    rates = completion.rates(occasions.filter(within))
    until_then = occasions.filter(pl.col("to") <= week.last)
    running = streaks.streaks(until_then, today=min(today, week.last), blank=settings.blank)
    said = lines.lines(tables.lines.filter(within))
    return rates, running, said, stated


@app.cell
def _(lived, rates, running, said, settings, slept, stated, tables, today, week, within):
    this_week = stated.filter(within)
    drawn = week_days.draw(
        this_week, tables.days, week, habits.names(settings), settings.mood, today=today, rates=rates
    )
    controls.show(
        cards.columns(
            [
                cards.figure(drawn),
                cards.card("Tasks", days.tasks(tables.tasks.filter(within))),
                cards.card("Appointments", days.appointments(tables.appointments.filter(within), settings)),
                cards.card("Nights", night.week(slept, week, settings)),
            ],
            [
                cards.card("Habits", habits.week(this_week, rates, running, settings, today)),
                felt.summary(lived, settings),
                cards.card("To read again", written.to_read_again(said, nothing="Nothing was written this week.")),
                cards.card("Looking back", written.reflection(tables.reflections, week, settings.prompts.week)),
            ],
        ),
        cards.figure(spent.strips(tables, settings, week)),
        spent.section(tables, settings, week),
    )
    return


if __name__ == "__main__":
    app.run()
