"""The parts of every form that writes pages.

base_pages    the page versions that a form starts from, as a string that the form sends back
form_values   the entered values, typed and validated; all problems at once
save_pages    a save of several pages, all or none; it moves no task that is not there any more (`stale_moves`)
earlier_states  the states of a page, and bringing one back
merge_copy    a copy of a page merged into it, or put away
take_back     the undo of a save, unless a task of it was moved on (`moved_since`)
"""
