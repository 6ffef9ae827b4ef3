"""The review of a week, month or year: its form, and the save of what was entered.

questions     the prompts of journal.toml, each with its answer on the page
review_form   the values that the form shows
save_review   the changes to the page, and to journal.toml if prompts changed
"""
