"""What someone kept elsewhere, brought into her journal: a table of her days, Duskbook's own tables, a calendar.

In its order: `sources` reads the file, `rows` cuts a table into cells, `headings` says what its columns are of, `dates`
and `cells` read what stands in them; `days` (one row a day) and `records` (one row a mark, line, task ...) make `found`
values for pages of these, and `calendar` of a calendar file. `planning` holds them to what the pages say already, and
`saving` writes. Nothing that stands on a page is changed, and what cannot be read costs itself only.
"""
