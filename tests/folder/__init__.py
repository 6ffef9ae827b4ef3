"""Tests of `journal.folder`: discovering, reading, checking and caching the files of a journal."""
