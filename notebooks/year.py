import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Year · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo

    from journal.pages import book_widget, care_button, controls, page_params, period_page, picture_route
    from journal.sections import cards, day_cards, finding_cards, habit_cards, line_cards, link_cards, mood_cards

    # isort: split
    from journal.sections import page_chapters, picture_cards, pixel_cards, search_cards, sleep_cards, task_cards


@app.cell
def _():
    # The journal and the year to open. Only this cell reads the clock.
    page = period_page.PeriodPage(
        "year", mo.notebook_dir(), page_params.query(), lambda: dt.datetime.now().astimezone()
    )
    get_year, set_year = mo.state(page.first_shown())
    get_edits, set_edits = mo.state(0)
    page.watch(set_edits)
    chapters = page.chapters
    get_closed, set_closed = mo.state(care_button.NOTHING, allow_self_loops=True)  # shown by the same cell
    get_shown, set_shown = mo.state("mood")
    bound = book_widget.YearBook(page.at_first, page.first_shown())
    return bound, chapters, get_closed, get_edits, get_shown, get_year, page, set_closed, set_shown, set_year


@app.cell
def _(get_edits, page):
    # An edit of a file in any editor reopens the journal.
    book = page.again() if get_edits() else page.at_first
    return (book,)


@app.cell
def _(page, set_year):
    earlier, later = page.arrows(set_year)
    return earlier, later


@app.cell
def _(book, bound, get_year, page):
    year = get_year()
    bound.follow(book, year)
    controls.show(page.head(book, year))
    return (year,)


@app.cell
def _(page):
    # Above all else: nothing of a copy counts. Without one, nothing is shown.
    controls.place("copies", page.copies)
    return


@app.cell
def _(book, earlier, get_year, later, page, set_year):
    picker = page.picker(book, get_year(), set_year)  # built from the state, so the list keeps the focus
    controls.place("period", controls.row(earlier, picker, later), page.jumps())
    return (picker,)


@app.cell
def _(book, get_closed, set_closed, year):
    close, box = care_button.of_period(book, year, get_closed(), set_closed)
    controls.show(box)
    return (close,)


@app.cell
def _(book, year):
    controls.place("findings", finding_cards.card(book.facts, year))
    return


@app.cell
def _(book, get_shown, set_shown, year):
    quantities = habit_cards.quantities(book.states_in(year), book.settings)
    shown = controls.quantity(quantities, get_shown(), set_shown)
    return quantities, shown


@app.cell
def _(book, get_shown, quantities, shown, year):
    drawn = pixel_cards.draw(book, year, get_shown(), quantities)
    controls.place("grid", cards.figure(drawn), controls.row(shown))
    return


@app.cell
def _(page):
    # Shown once, so that typed text stays when the year or the files change.
    controls.show(controls.place("review", page.review), controls.place("followed", page.chapters))
    return


@app.cell
def _(book, year):
    # Each chapter has its sentence. Its figures are drawn when it is opened.
    told = [
        habit_cards.through_the_year(book, year),
        mood_cards.chapter(book, year),
        link_cards.chapter(book, year),
        sleep_cards.chapter(book, year),
        task_cards.through_the_year(book, year),
        line_cards.memory_chapter(book, year),
        picture_cards.chapter(book, year, picture_route.address),
        day_cards.logged_chapter(book, year),
    ]
    return (told,)


@app.cell
def _(chapters, told):
    controls.show(page_chapters.walk(told, chapters.value["opened"], after=[period_page.form_chapter("book")]))
    return


@app.cell
def _(bound, chapters):
    controls.chapter("book", book_widget.sentence(), bound, chapters.value["opened"])
    return


@app.cell
def _():
    wanted = controls.search_field()
    controls.place("find", controls.row(wanted))
    return (wanted,)


@app.cell
def _(book, wanted):
    controls.show(search_cards.matches(book.tables.lines, wanted.value))
    return


@app.cell
def _(page):
    controls.place("earlier", page.earlier)
    return


if __name__ == "__main__":
    app.run()
