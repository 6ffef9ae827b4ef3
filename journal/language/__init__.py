"""The language that texts are made in, its facts, and the catalogues with its texts.

It comes before everything that says something, so that a problem of a file is in her language too. A text of ours is
made where it is said: `_("Nothing is due.")`.
"""
