"""Import of files into a journal: a table of days, tables that Duskbook exported, or a calendar.

The steps: `source_file` reads the file. `csv_rows` splits a table into cells. `headings` maps its columns to fields.
`dates` and `cells` parse the cells. `day_table` (one row per day) and `exported_tables` (one row per mark, line, task
...) collect values for pages with `row_reader`; `spreadsheet` picks one of them, and `calendar` does the same for a
calendar file. `model` has the types. `planning` compares the values with the pages, using `merge_values`, and
`apply_plan` writes. Existing values on pages are never changed. A value that cannot be read affects only itself.
"""
