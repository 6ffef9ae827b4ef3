"""A journal in one file, and back.

`contents` lists the files that are the person's. `archive` has the format, a plain tar with a `manifest` of digests in
front. `new_backup` writes it and reads it back. `restored_journal` puts one into a new folder.
"""
