"""The only code that touches the files of a journal.

Reading, in its order: `files` finds the pages, `parsing` makes values of their bytes (`syntax` says what is wrong with
broken TOML), `reading` types and checks them (`checking` pages against what is `known`, `definitions` journal.toml);
where something is wrong, `shape` finds every one of the `faults` and `placing` its line and column. `snapshot` keeps
what was read, so that only changed pages are read again.
"""
