"""Declarations of the commands: options and help, one small file per command."""
