"""Checks against the outside: what books, standards and tables print, and what we give."""
