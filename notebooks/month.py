import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Month · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo

    from journal.pages import care_button, controls, page_params, period_page, picture_route, trial_endpoints
    from journal.sections import finding_cards, habit_cards, hours_cards, line_cards, link_cards

    # isort: split
    from journal.sections import mood_cards, page_chapters, picture_cards, sleep_cards, task_cards, trial_cards


@app.cell
def _():
    # The journal and the month to open. Only this cell reads the clock.
    page = period_page.PeriodPage(
        "month", mo.notebook_dir(), page_params.query(), lambda: dt.datetime.now().astimezone()
    )
    get_month, set_month = mo.state(page.first_shown())
    get_edits, set_edits = mo.state(0)
    page.watch(set_edits)
    chapters = page.chapters
    get_closed, set_closed = mo.state(care_button.NOTHING, allow_self_loops=True)  # shown by the same cell
    return chapters, get_closed, get_edits, get_month, page, set_closed, set_month


@app.cell
def _(get_edits, page):
    # An edit of a file in any editor reopens the journal.
    book = page.again() if get_edits() else page.at_first
    return (book,)


@app.cell
def _(page, set_month):
    earlier, later = page.arrows(set_month)
    return earlier, later


@app.cell
def _(book, get_month, page):
    month = get_month()
    controls.show(page.head(book, month))
    return (month,)


@app.cell
def _(page):
    # Above all else: nothing of a copy counts. Without one, nothing is shown.
    controls.place("copies", page.copies)
    return


@app.cell
def _(book, earlier, get_month, later, page, set_month):
    picker = page.picker(book, get_month(), set_month)  # built from the state, so the list keeps the focus
    controls.place("period", controls.row(earlier, picker, later), page.jumps())
    return (picker,)


@app.cell
def _(book, get_closed, set_closed, month):
    close, box = care_button.of_period(book, month, get_closed(), set_closed)
    controls.show(box)
    return (close,)


@app.cell
def _(book, month):
    controls.place("findings", finding_cards.card(book.facts, month))
    return


@app.cell
def _(page):
    # The grid with its decisions. Created once, so that an open choice stays when the month or the files change.
    deciding = page.deciding()
    controls.place("grid-wide", deciding)
    return (deciding,)


@app.cell
def _(book, deciding, month, page):
    page.offer_decisions(deciding, book, month)
    return


@app.cell
def _(page):
    # Shown once, so that typed text stays when the month or the files change.
    controls.show(controls.place("review", page.review), controls.place("followed", page.chapters))
    return


@app.cell
def _(book, month):
    # Each chapter has its sentence. Its figures are drawn when it is opened.
    told = [
        mood_cards.chapter(book, month),
        sleep_cards.chapter(book, month),
        hours_cards.chapter(book, month),
        task_cards.carried(book, month),
        habit_cards.challenges(book, month),
        link_cards.chapter(book, month, first=book.tables.opened),
        line_cards.memory_chapter(book, month),
        picture_cards.chapter(book, month, picture_route.address),
    ]
    return (told,)


@app.cell
def _(chapters, told):
    controls.show(page_chapters.walk(told, chapters.value["opened"], after=[period_page.form_chapter("lot")]))
    return


@app.cell
def _(page):
    # Created once, so that a plan that is typed stays when the month or the files change.
    trials = page.trials()
    return (trials,)


@app.cell
def _(book, chapters, trials):
    trials.push_offer(trial_endpoints.trials(book))
    results = trial_cards.results(book) if "lot" in chapters.value["opened"] else page_chapters.drawing()
    controls.chapter("lot", trial_cards.sentence(book), trials, chapters.value["opened"], results)
    return


@app.cell
def _(page):
    # Created once, so that what was read of a photograph stays when the month or the files change.
    controls.place("paper", page.paper())
    return


@app.cell
def _(page):
    controls.place("earlier", page.earlier)
    return


if __name__ == "__main__":
    app.run()
