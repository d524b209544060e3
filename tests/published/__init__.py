"""Checks against outside sources: values printed in books, standards and tables, and ours."""
