import marimo

__generated_with = "0.25.2"
app = marimo.App(width="full", app_title="Settings · Duskbook", css_file="../journal/pages/style.css")


with app.setup:
    import datetime as dt

    import marimo as mo

    from journal.pages import controls, file_watch, form_endpoints, page_params, settings_endpoints, version_endpoints
    from journal.pages.forms import EarlierStates, PageCopies, SettingsForm
    from journal.sections import cards


@app.cell
def _():
    # The journal. Only this cell reads the clock.
    folder = page_params.folder(mo.notebook_dir())

    def now():
        return page_params.moment(folder, dt.datetime.now().astimezone())

    def read():
        return page_params.opened(folder, now())

    before_reading = file_watch.seen(folder)
    at_first = read()
    on = page_params.carried(page_params.query().to_dict()) or at_first.today
    get_edits, set_edits = mo.state(0)
    return at_first, before_reading, folder, get_edits, now, on, read, set_edits


@app.cell
def _(before_reading, folder, set_edits):
    file_watch.start(folder, before_reading, lambda: set_edits(lambda count: count + 1))
    return


@app.cell
def _(at_first, get_edits, on, read):
    book = page_params.again(read, at_first) if get_edits() else at_first
    controls.show(
        cards.header("settings", book.settings.title, today=book.today, on=on), cards.read_only(book.read_only)
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
def _(at_first, folder, now, read):
    # Created once, so that what is typed stays on the page when files change.
    form = SettingsForm(
        settings_endpoints.settings(at_first),
        settings_endpoints.answers(read, now),
        journal=form_endpoints.name(folder),
    )
    form
    return (form,)


@app.cell
def _(book, form, get_edits):
    # The form gets edits from outside. It shows them, or asks first if something is typed.
    if get_edits():
        form.push_offer(settings_endpoints.settings(book))
    return


@app.cell
def _(at_first, folder, now):
    # Created once, so that what is looked at stays when files change. A state is read when it is asked for.
    earlier = EarlierStates(
        version_endpoints.earlier(at_first.files, ["settings"]), version_endpoints.earlier_answers(folder, now)
    )
    earlier
    return (earlier,)


@app.cell
def _(book, earlier):
    _ = earlier.push_offer(version_endpoints.earlier(book.files, ["settings"]))
    return


if __name__ == "__main__":
    app.run()
