"""The local page: what it answers, what it refuses, and how it feels in a browser."""
