"""What stands behind the commands: their arguments, their words for what is wrong, and the work of each.

    refusals    every wrong usage as one line, and the exit codes
    arguments   folders, days, stretches of days and ports as they are typed
    clock       the one place outside the notebooks that reads the clock
    catalogue   what `show` can show: measures, periods, keys
    show        a measure of a journal as a frame            printing    a frame as a table, JSON or CSV
    check       every problem of a journal                   page        open a page in the browser
    log         a day's marks and lines                      start       the questions a new journal begins with

`journal.cli` imports what a command needs when that command runs, so that `--help` answers at once.
"""
