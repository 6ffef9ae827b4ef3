import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Day · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo

    from journal.pages import (
        controls,
        day_endpoints,
        file_watch,
        form_endpoints,
        page_params,
        picture_endpoints,
        version_endpoints,
    )
    from journal.pages.forms import DayForm, DayPictures, EarlierStates, PageCopies
    from journal.sections import cards


@app.cell
def _():
    # The journal and the day to open. Only this cell reads the clock.
    folder = page_params.folder(mo.notebook_dir())
    query = page_params.query()

    def now():
        return page_params.moment(folder, dt.datetime.now().astimezone())

    def read():
        return page_params.opened(folder, now())

    before_reading = file_watch.seen(folder)
    at_first = read()
    first = page_params.day_shown(query.to_dict(), at_first.today)
    get_day, set_day = mo.state(first)
    get_edits, set_edits = mo.state(0)
    return at_first, before_reading, first, folder, get_day, get_edits, now, query, read, set_day, set_edits


@app.cell
def _(before_reading, folder, set_edits):
    file_watch.start(folder, before_reading, lambda: set_edits(lambda count: count + 1))
    return


@app.cell
def _(at_first, get_edits, read):
    book = page_params.again(read, at_first) if get_edits() else at_first
    return (book,)


@app.cell
def _(book, get_day, query):
    # The address of today names no day, so that it is tomorrow's page tomorrow.
    if get_day() != book.today:
        query["on"] = get_day().isoformat()
    elif "on" in query:
        query.remove("on")
    controls.show(
        cards.header("day", book.settings.title, today=book.today, on=get_day()),
        cards.problems(book.settled_problems, book.read_only),
    )
    return


@app.cell
def _(at_first, folder, now):
    # Above all else: nothing of a copy counts. Without one, nothing is shown.
    copies = PageCopies(version_endpoints.copies(at_first.files), version_endpoints.copy_answers(folder, now))
    copies
    return (copies,)


@app.cell
def _(book, copies):
    _ = copies.push_offer(version_endpoints.copies(book.files))
    return


@app.cell
def _(at_first, first, folder, now, read, set_day):
    # Created once, so typed text stays on the page when files change.
    sheet = DayForm(
        day_endpoints.day_page(at_first, first, now()),
        day_endpoints.day_answers(read, now, set_day),
        journal=form_endpoints.name(folder),
    )
    sheet
    return (sheet,)


@app.cell
def _(book, get_edits, now, sheet):
    # An edit from outside shows at once. What is typed and not saved yet stays.
    if get_edits():
        sheet.push_offer(day_endpoints.day_page(book, dt.date.fromisoformat(sheet.day), now()))
    return


@app.cell
def _(at_first, first, folder, now, read):
    # Created once, so that a caption that is typed stays.
    pictures = DayPictures(
        picture_endpoints.day_pictures_of(at_first, first),
        picture_endpoints.picture_answers(read, now),
        journal=form_endpoints.name(folder),
    )
    pictures
    return (pictures,)


@app.cell
def _(book, get_day, pictures):
    _ = pictures.push_offer(picture_endpoints.day_pictures_of(book, get_day()))
    return


@app.cell
def _(at_first, first, folder, now):
    # Created once, so that what is looked at stays when files change. A state is read when it is asked for.
    earlier = EarlierStates(
        version_endpoints.earlier(at_first.files, [first.isoformat(), "undated"]),
        version_endpoints.earlier_answers(folder, now),
    )
    earlier
    return (earlier,)


@app.cell
def _(book, earlier, get_day):
    _ = earlier.push_offer(version_endpoints.earlier(book.files, [get_day().isoformat(), "undated"]))
    return


if __name__ == "__main__":
    app.run()
