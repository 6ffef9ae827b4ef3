import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Evening · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo

    from journal.pages import (
        controls,
        file_watch,
        form_endpoints,
        page_params,
        paper_endpoints,
        picture_endpoints,
        setup_endpoints,
        version_endpoints,
    )
    from journal.pages.forms import DayPictures, EarlierStates, EveningForm, PageCopies, PaperSheets, TimeOff
    from journal.sections import cards


@app.cell
def _():
    # The journal and the evening to open. Only this cell reads the clock.
    folder = page_params.folder(mo.notebook_dir())

    def now():
        return page_params.moment(folder, dt.datetime.now().astimezone())

    def read():
        return page_params.opened(folder, now())

    before_reading = file_watch.seen(folder)
    at_first = read()
    query = page_params.query().to_dict()
    day, coming = page_params.evening(query, at_first.today), page_params.still_to_come(query, at_first.today)
    get_edits, set_edits = mo.state(0)
    get_day, set_day = mo.state(day)
    return at_first, before_reading, coming, day, folder, get_day, get_edits, now, read, set_day, set_edits


@app.cell
def _(before_reading, folder, set_edits):
    file_watch.start(folder, before_reading, lambda: set_edits(lambda count: count + 1))
    return


@app.cell
def _(at_first, day, get_edits, read):
    book = page_params.again(read, at_first) if get_edits() else at_first
    controls.show(
        cards.header("evening", book.settings.title, today=book.today, on=day),
        cards.problems(book.settled_problems, book.read_only),
    )
    return (book,)


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
def _(at_first, coming, day, folder, now, read, set_day):
    # Created once, so typed text stays on the page when files change.
    sheet = EveningForm(
        form_endpoints.evening_at(at_first, day, coming),
        form_endpoints.answers(read, now, set_day),
        journal=form_endpoints.name(folder),
    )
    sheet
    return (sheet,)


@app.cell
def _(at_first, day, folder, now, read):
    # Created once, so that a caption that is typed stays.
    pictures = DayPictures(
        picture_endpoints.day_pictures_of(at_first, day),
        picture_endpoints.picture_answers(read, now),
        journal=form_endpoints.name(folder),
    )
    pictures
    return (pictures,)


@app.cell
def _(at_first, folder, now, read):
    # Created once, so that what was read of a photograph stays when files change.
    paper = PaperSheets(
        paper_endpoints.sheets_of(at_first),
        paper_endpoints.sheet_answers(read, now),
        journal=form_endpoints.name(folder),
    )
    paper
    return


@app.cell
def _(book, get_day, pictures):
    _ = pictures.push_offer(picture_endpoints.day_pictures_of(book, get_day()))
    return


@app.cell
def _(at_first, folder, now, read):
    time_off = TimeOff(
        setup_endpoints.time_off(at_first),
        setup_endpoints.time_off_answers(read, now),
        journal=form_endpoints.name(folder),
    )
    time_off
    return (time_off,)


@app.cell
def _(book, get_edits, sheet, time_off):
    # The form gets edits from outside. It shows them, or asks first if something is typed.
    if get_edits():
        sheet.push_offer(form_endpoints.evening(book, dt.date.fromisoformat(sheet.day)))
        time_off.push_offer(setup_endpoints.time_off(book))
    return


@app.cell
def _(at_first, day, folder, now):
    # Created once, so that what is looked at stays when files change. A state is read when it is asked for.
    earlier = EarlierStates(
        version_endpoints.earlier(at_first.files, version_endpoints.evening_keys(day, at_first.today)),
        version_endpoints.earlier_answers(folder, now),
    )
    earlier
    return (earlier,)


@app.cell
def _(book, earlier, get_day):
    _ = earlier.push_offer(version_endpoints.earlier(book.files, version_endpoints.evening_keys(get_day(), book.today)))
    return


if __name__ == "__main__":
    app.run()
