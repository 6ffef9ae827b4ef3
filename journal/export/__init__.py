"""Exports: the year as a book, sheets for a paper notebook, plain text, tables and a calendar.

`audience` runs first: it removes what a reader may not see from the frames and settings, before anything is counted,
drawn or put into words. No later step can reveal it.
"""
