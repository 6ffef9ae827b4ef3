import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Week · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo

    from journal.pages import care_button, controls, page_params, period_page, picture_route
    from journal.sections import challenge_cards, day_cards, finding_cards, habit_grids, hours_cards, line_cards

    # isort: split
    from journal.sections import mood_cards, page_chapters, picture_cards, search_cards, sleep_cards, task_cards


@app.cell
def _():
    # The journal and the week to open. Only this cell reads the clock.
    page = period_page.PeriodPage(
        "week", mo.notebook_dir(), page_params.query(), lambda: dt.datetime.now().astimezone()
    )
    get_week, set_week = mo.state(page.first_shown())
    get_edits, set_edits = mo.state(0)
    page.watch(set_edits)
    chapters, coming, undecided = page.chapters, page.coming(), page.undecided()
    get_closed, set_closed = mo.state(care_button.NOTHING, allow_self_loops=True)  # shown by the same cell
    return chapters, coming, get_closed, get_edits, get_week, page, set_closed, set_week, undecided


@app.cell
def _(get_edits, page):
    # An edit of a file in any editor reopens the journal.
    book = page.again() if get_edits() else page.at_first
    return (book,)


@app.cell
def _(page, set_week):
    earlier, later = page.arrows(set_week)
    return earlier, later


@app.cell
def _(book, get_week, page):
    week = get_week()
    controls.show(page.head(book, week))
    return (week,)


@app.cell
def _(page):
    # Above all else: nothing of a copy counts. Without one, nothing is shown.
    controls.place("copies", page.copies)
    return


@app.cell
def _(book, get_week, page, set_week):
    picker = page.picker(book, get_week(), set_week)  # built from the state, so the list keeps the focus
    return (picker,)


@app.cell
def _(book, earlier, later, page, picker, undecided, week):
    # A cell of its own: marimo does not run the cell of a list again when a week is chosen in it.
    jumps = page.jumps(*page.to_decide(undecided, book, week))
    controls.place("period", controls.row(earlier, picker, later), jumps)
    return


@app.cell
def _(book, get_closed, set_closed, week):
    close, box = care_button.of_period(book, week, get_closed(), set_closed)
    controls.show(box)
    return (close,)


@app.cell
def _(book, week):
    controls.place("findings", finding_cards.card(book.facts, week))
    return


@app.cell
def _(book, week):
    controls.place("grid", habit_grids.week(book, week))
    return


@app.cell
def _(page):
    # Shown once, so that typed text stays when the week or the files change.
    controls.show(controls.place("review", page.review), controls.place("followed", page.chapters))
    return


@app.cell
def _(undecided):
    controls.place("decide", undecided)
    return


@app.cell
def _(book, coming, page, week):
    is_ahead_shown = page.offer_ahead(coming, book, week)
    # Each chapter has its sentence. Its figures are drawn when it is opened.
    told = [
        task_cards.of_the_week(book, week),
        mood_cards.chapter(book, week),
        sleep_cards.chapter(book, week),
        hours_cards.chapter(book, week),
        challenge_cards.of_the_week(book, week),
        line_cards.read_again_chapter(book, week),
        picture_cards.chapter(book, week, picture_route.address),
        day_cards.appointment_chapter(book, week),
        search_cards.earlier_years(book, week),
    ]
    return is_ahead_shown, told


@app.cell
def _(chapters, is_ahead_shown, told):
    after = [period_page.form_chapter("ahead")] if is_ahead_shown else []
    controls.show(page_chapters.walk(told, chapters.value["opened"], after=after))
    return


@app.cell
def _(chapters, coming, is_ahead_shown):
    sentence = period_page.ahead_sentence()
    controls.chapter("ahead", sentence, coming, chapters.value["opened"], hidden=not is_ahead_shown)
    return


@app.cell
def _(page):
    controls.place("earlier", page.earlier)
    return


if __name__ == "__main__":
    app.run()
