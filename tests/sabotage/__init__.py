"""Sound loops, the ways to install them wrong, and the law that none of those is good."""
