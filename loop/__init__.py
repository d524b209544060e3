"""Seawater loops."""
