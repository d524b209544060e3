"""Checks against the outside: what books, standards and tables print, and what this program gives."""
