"""JSON Schemas of the files of a journal, for editors: made from the types, the manual and the checks of the files."""
