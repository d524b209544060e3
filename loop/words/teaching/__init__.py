"""The words of the course: one row a thing, with places for the program's own numbers."""
