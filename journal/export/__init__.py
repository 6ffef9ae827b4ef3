"""What leaves the journal: the year as a book, sheets for a paper notebook, plain text, tables and a calendar.

Who may see an export is settled first, by `audience`: what a reader may not see is taken out of the journal's frames
and settings before anything is counted, drawn or worded, so it cannot come out of any of them.
"""
