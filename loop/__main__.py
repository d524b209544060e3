"""`python -m loop`."""

from loop.cli import main

main()
