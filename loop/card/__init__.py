"""The offline card: one file that finds the fault on a phone, without signal or program."""

from loop.card.content import Card, card
from loop.card.html import index
from loop.card.html import render as to_html
from loop.card.pdf import render as to_pdf

__all__ = ["Card", "card", "index", "to_html", "to_pdf"]
