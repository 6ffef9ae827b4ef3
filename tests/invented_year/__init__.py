"""The example year, made: `python -m tests.invented_year [FOLDER]` writes the same bytes every time.

The stages, each taking the days of `story` and adding to them:

    story       what kind of day each one is: work or free, ill, away, blank, written late
    weather     sky and temperatures
    marks       habits and challenges, as coins that know nothing of mood
    mood        mood and energy, which know of the habits: the planted truth is here
    meetings    appointments
    hours       the strip, planned and as it went
    tasks       chains of tasks, from jobs, routines and the household
    words       hand-written lines, laid on days that they fit
    toml_text   a day as the text of its page
    folder      every file of the journal

Nothing here reads a clock or imports the package `journal`. Each subject draws from its own
`random.Random`, seeded by name, so that a change to one leaves the others as they were.
"""
