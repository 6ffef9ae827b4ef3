"""Edits of journal.toml from the pages.

schedule_fields     the schedule of a habit or routine as fields of a form, and back
schedule_entered    the fields as a page sends them, typed and checked
coming_days         the next due days of a schedule, in words
habit_words         a definition of a habit in words
settings_tables     the definitions of habits and the time off while they are edited
decision_days       the days that a decision of a month proposes
decision_effects    what a decision writes to journal.toml, and how it is taken back
decision_form       the decisions of a month as the page shows them
change_proposals    the changes that a habit's own record proposes
changed_schedule    a schedule from a later day on
changed_definition  a changed definition of a habit as it was entered
change_preview      the next due days of a change before it is saved
save_decision       the save of a decision
time_off_form       the list of time off as a page shows it
save_time_off       the save of one time off
trial_form          the trials by lot as a page lists them, and what a new one starts from
trial_entered       the plan of a trial as it was entered
trial_advice        what is said of a plan before its lots are drawn: how long, and whether it is for that
save_trial          the save of a trial: drawn, stopped, looked at or called off
setting_fields      the fields of journal.toml outside of lists: labels, controls, options
field_values        a value of the file as a control shows it, and back
file_values         the values of journal.toml with their defaults
what_hangs          the days whose pages name a part of journal.toml
settings_form       the values that the settings page shows
entered_settings    the values that were entered, as changes of the file
changed_lines       the lines of the file that a change adds and removes
save_settings       the save, and the change that it would make
setting_lists       the lists of tables, with the fields of a row
row_facts           the values of a table that the settings page only shows, in words
setting_sections    the parts of the settings page
row_schedules       the schedule of a table: as fields, in words, and as it was entered
place_facts         the sun at a place today, and the town of its time zone
zone_town           the town that a time zone is named for
calendar_view       what each calendar path shows this week
mend_settings       the broken places of journal.toml, and the save of one
"""
