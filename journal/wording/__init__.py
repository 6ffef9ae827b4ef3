"""Texts about a journal's data in the spoken language, one subject per module. The machine's locale has no part in it.

Texts are short, plain and exact, without praise, blame or advice. They are plain text, not HTML, and the same on a
page, in print and in a terminal. Import a module as a whole: `dates.day(date)`.
"""
