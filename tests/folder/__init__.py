"""Tests of `journal.folder`: finding, reading, checking and keeping the files of a journal."""
