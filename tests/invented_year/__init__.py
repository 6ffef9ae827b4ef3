"""The generator of the example year: `python -m tests.invented_year [FOLDER]` writes the same bytes every time.

The stages. Each takes the days of `story` and adds to them:

    story       the kind of each day: work or free, ill, away, blank, written late
    weather     sky and temperatures
    marks       habits and challenges: random draws, independent of mood
    mood        mood and energy, which depend on the habits: the planted effects
    meetings    appointments
    hours       planned and actual hours
    tasks       chains of tasks, from jobs, routines and the household
    words       hand-written lines, placed on days that fit them
    toml_text   a day as the text of its page
    folder      all files of the journal

Nothing here reads a clock or imports the package `journal`. Each subject draws from its own
`random.Random`, seeded by name, so a change to one does not affect the others.
"""
