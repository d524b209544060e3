"""Words of the course, in rows with blanks for the program's own numbers."""
