"""Paper sheets as data, from which they are printed and by which their photographs are read.

frame         the size of a sheet, its corner codes and its dots
sheet_code    the content of a corner code, and its modules
layout        the boxes of a sheet, and its digest
month_plan    journal -> columns of a month
month_layout  columns -> boxes
day_plan      journal -> what a day's sheet has boxes for
day_layout    that -> boxes
year_layout   a year -> fields
sheet_reader  a picture -> the mark in each box of each sheet in it
sheet_fields  the marks -> the values of the days, and what is in doubt
sheet_import  these values -> an import (`task_marks`, `half_hours`)
handwriting   the lines that are written by hand -> a picture of the day
photographs   picture files -> all of this
paper_form    the same on a page: a photograph read, asked about, saved
"""
