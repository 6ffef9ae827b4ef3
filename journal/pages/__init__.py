"""What the notebooks share: the server and its door, the parts of a page as HTML, and the words on it."""
