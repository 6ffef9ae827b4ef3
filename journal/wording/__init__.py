"""What is told of a journal in words, one subject a module. English, and independent of the machine's locale.

Short, plain and exact: no praise, no scolding, no advice. Everything here is text, not HTML, and the same on a page, in
print and in a terminal. A module is imported as a whole: `dates.day(date)`.
"""
