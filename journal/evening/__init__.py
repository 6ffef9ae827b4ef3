"""The evening form: closing a day and opening the next one.

form_build      the values that the form shows (`form_schema`), from:
  habit_preview   habits with the streak each mark would give, challenges with the day's prompt
  carryover       the tasks of the day, and open tasks of earlier days
  tomorrow        the next day's strip, appointments, routines, and free time
  fit_offer       whether the planned tasks fit in that time, by the estimate of `capacity`
  task_rows       the tasks on the next day's page, and undated ones
  sun, calendars  sunrise and sunset; appointments of calendar files
  broken_files    the files that cannot be read, and what that means here
form_read       the entered values, typed (`entered`) and validated (`form_check`); all problems at once
page_changes    the changes to each page, in an order that loses no task
task_moves      the tasks of the day, and of the next one (`next_day_tasks`), as such changes (`task_steps`)
triage_list     the tasks to decide on
triage_save     the decisions, as changes in the same order
save_evening    the save of an evening (`journal.saving` saves several pages, all or none)
month_fill      the marks of a month (`month_rows`), saved at once
"""
