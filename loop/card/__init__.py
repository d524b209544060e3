"""The offline card: one file that finds the fault on a phone, without signal or program."""
