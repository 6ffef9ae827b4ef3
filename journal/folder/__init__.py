"""Access to the files of a journal. No other package opens them.

Reading takes these steps. `discover` lists the pages, by their `file_names`. `toml_read` parses their bytes, and
`syntax_problem` finds the place of a syntax error. `reading` converts the values to types and validates them:
`check_day` for pages, against the names in `page_names`, and `check_settings` for journal.toml. For a file with
problems, `type_errors` collects all `faults`, and `source_position` gives each its line and column. `snapshot` caches
the result, so only changed pages are read again.

`writing` writes them. `history` keeps every version of a page that is replaced or written, as `history_records` in a
file of its own, and `differences` says in words what changed from one to another.
"""
