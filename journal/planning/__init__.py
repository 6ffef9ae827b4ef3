"""Planning of days to come: the week ahead, and putting a task on one of its days."""
