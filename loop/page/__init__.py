"""The local page: a loop on a screen, to be changed, over the functions the commands call."""
