"""A journal in one file, and back.

`contents` lists the files that are the person's. `archive` has the format, a plain tar with a `manifest` of digests in
front. `age_file` encrypts it with a password, and `opened_backup` reads both. `new_backup` writes one and reads it
back. `restored_journal` puts one into a new folder, and `past_day` puts its pages back to an earlier day.
"""
