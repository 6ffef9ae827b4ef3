"""Texts about a journal's data, one subject per module. English, independent of the machine's locale.

Texts are short, plain and exact, without praise, blame or advice. They are plain text, not HTML, and the same on a
page, in print and in a terminal. Import a module as a whole: `dates.day(date)`.
"""
