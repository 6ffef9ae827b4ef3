"""Closing a day and opening the next: what the evening page is offered, what comes back from it, and what that changes.

offer           all of an evening as plain values (`offered`), from:
  closing         habits with what each mark makes of the streak, challenges with the day's prompt
  carry           what the day leaves, and what earlier days left open
  tomorrow        the next day's strip, appointments, routines, and the time it leaves
  capacity        whether that holds what is put on it
  sun, sky        sunrise and sunset              appointments, calendar_text, repeats   calendar files
entered         what a person entered, typed and held to what a page may say; all troubles at once (`fields`)
changes, moves  the changes that makes, page by page, in an order that loses no task
undecided       the tasks that ask to be decided on, and where each waits
deciding        what is decided of them, as changes in the same order
together        writes several pages, all or none   saving          an evening's
month_fill      a month's marks in one go
basis           the pages as they were looked at, in the string that goes out and comes back
"""
