"""Sound loops, the ways in which they are installed wrong, and the law that none is good."""
