"""The same examples in every run, so that a run that fails can be run again."""

from hypothesis import settings

settings.register_profile("steady", derandomize=True, database=None)
settings.load_profile("steady")
