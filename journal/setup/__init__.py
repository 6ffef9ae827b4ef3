"""Edits of journal.toml from the pages.

schedule_fields    the schedule of a habit or routine as fields of a form, and back
schedule_entered   the fields as a page sends them, typed and checked
coming_days        the next due days of a schedule, in words
"""
