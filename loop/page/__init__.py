"""The local page: a loop to change on screen, built on the functions that the commands call."""
