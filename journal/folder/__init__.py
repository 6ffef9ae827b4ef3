"""The only code that touches the files of a journal."""
