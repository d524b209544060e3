"""The same examples in every run, so that a run that fails can be run again, however slowly."""

from hypothesis import settings

settings.register_profile("steady", derandomize=True, database=None, deadline=None)
settings.load_profile("steady")
