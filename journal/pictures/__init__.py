"""The pictures of a day: files beside its page, which names them. What lies in such a file is not trusted.

A picture may come from anywhere and say anything. So its name has no part of a path, only a plain file of bounded size
is read, and its head is checked before a decoder sees it (`picture_shape`). A picture is never executed, and never
leaves the journal as it is: pages and exports show what was drawn from it anew.
"""
