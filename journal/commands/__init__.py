"""The work behind each command of `journal.cli`.

    usage_errors                    usage errors as one line, and the exit codes
    command_help, command_language  help in the language of a command line, and which that is
    arguments, field_options        types of arguments; the options of `log` for the fields of a day
    number_arguments, path_arguments  types of arguments that are numbers, and paths
    terminal_questions              questions: yes or no, a value, a password
    clock                           now and today; only this module and the notebooks read the clock
    open_journal                    open a journal and mention its problems
    start, habit_questions          the questions for a new journal; schedule_words has the everyday words of a language
    page                            open a page in the browser
    log                             write a day
    check                           list all problems
    show, show_catalogue            a measure as a frame; measures, their periods and keys
    print_frame, print_rows         a frame, and rows without a frame, as a table, JSON or CSV
    table_words                     the words of a table: its heads, and codes that people read
    quick_streaks                   `show streaks` from kept_streaks, without a library; changed_days reads pages again
    history_command                 the command `history`: page_history does the work
    export_group                    the commands of `export`: retrospective, sheets, export_files do the work
    import_group                    the commands of `import`: import_files does the work

`journal.cli` imports what a command needs when that command runs, so that `--help` answers at once.
"""
