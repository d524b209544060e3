"""The local page: what it answers, what it refuses, and how it works in a browser."""
