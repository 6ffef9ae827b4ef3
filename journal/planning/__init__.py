"""A day before and while it is lived, and the days to come.

day_schema     the values that the day's page shows
day_offer      a journal and a day -> those values
day_changes    the changes of an edit to the page of the day, except its tasks (`edit_context`)
task_changes   the changes of an edit to a task
day_edits      an edit, read, saved at once and undone
week_ahead     the seven days from tomorrow (`habits_ahead`)
task_days      putting a task on one of them
"""
