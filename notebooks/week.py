import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Week · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo
    import polars as pl

    import journal
    from journal.charts import week_days, week_strips
    from journal.measures import completion, coverage, hours, lines, mood, states, streaks
    from journal.pages import cards, controls, days, habits, opening, watching, wording, written


@app.cell
def _():
    # Which journal, and the week it opens at. The clock is read here and nowhere else on this page.
    folder = opening.folder(mo.notebook_dir())

    def read():
        return journal.open(folder, today=opening.today(folder, dt.datetime.now().astimezone()))

    query = mo.query_params()
    at_first = read()
    get_week, set_week = mo.state(opening.first_shown("week", query.to_dict(), at_first))
    get_edits, set_edits = mo.state(0)
    return at_first, folder, get_edits, get_week, query, read, set_edits, set_week


@app.cell
def _(folder, set_edits):
    watching.start(folder, lambda: set_edits(lambda count: count + 1))
    return


@app.cell
def _(get_edits, read):
    get_edits()  # an edit of a page in any editor reads the journal again; what has not changed is in the cache
    book = read()
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
    within = pl.col("date").is_between(week.first, week.last)
    kept = coverage.coverage(book.tables.days.filter(within, pl.col("date") <= book.today))
    controls.show(
        cards.header(
            "week", book.settings.title, today=book.today, on=opening.anchor(week, query.to_dict(), book.today)
        ),
        cards.problems(book.problems),
        cards.heading(wording.title(week), days.kept(kept)),
    )
    return week, within


@app.cell
def _(earlier, later, picker):
    controls.row(earlier, picker, later)
    return


@app.cell
def _(book, week, within):
    tables, settings, today = book.tables, book.settings, book.today
    stated = states.states(tables.marks, today=today)
    occasions = states.occasions(stated, today=today, week_starts=settings.week_starts)
    rates = completion.rates(occasions.filter(within))
    until_then = occasions.filter(pl.col("to") <= week.last)
    running = streaks.streaks(until_then, today=min(today, week.last), blank=settings.blank)
    moods = mood.summary(tables.days.filter(within), low=settings.mood.low, high=settings.mood.high)
    energy = mood.summary(
        tables.days.filter(within), column="energy", low=settings.energy.low, high=settings.energy.high
    )
    spent = hours.totals(tables.hours.filter(within))
    said = lines.lines(tables.lines.filter(within))
    return energy, moods, rates, running, said, settings, spent, stated, tables, today


@app.cell
def _(energy, moods, rates, running, said, settings, spent, stated, tables, today, week, within):
    this_week = stated.filter(within)
    controls.show(
        cards.figure(
            week_days.draw(
                this_week, tables.days, week, habits.names(settings), settings.mood, today=today, rates=rates
            )
        ),
        cards.columns(
            [
                cards.card("Habits", habits.week(this_week, rates, running, settings, today)),
                cards.card(
                    "How the days were",
                    days.scale(tables.days.filter(within), "mood", settings.mood),
                    days.felt(moods, energy, settings),
                ),
                cards.card("Tasks", days.tasks(tables.tasks.filter(within))),
            ],
            [
                cards.card("To read again", written.to_read_again(said, nothing="Nothing was written this week.")),
                cards.card("Looking back", written.reflection(tables.reflections, week, settings.prompts.week)),
                cards.card("Appointments", days.appointments(tables.appointments.filter(within), settings)),
                cards.card("Hours by category", days.hours(spent, settings)),
            ],
        ),
        cards.figure(week_strips.draw(tables.hours, days.categories(settings), week, clock=settings.clock)),
    )
    return


if __name__ == "__main__":
    app.run()
