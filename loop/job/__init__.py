"""A job: reading it, checking it, and the classes it is made of."""

from loop.job.inputs import Inputs, inputs, program_version
from loop.job.layout import end_height
from loop.job.locations import all_parts, file_numbers
from loop.job.model import Boat, Defaults, Job, Sea, Unit
from loop.job.read import JobError, parse_job, parse_toml, read_job, read_toml
from loop.job.service import (
    TRADE_BORES,
    Fitted,
    Price,
    Sizing,
    StrainerChoice,
    Supply,
    Visit,
)

__all__ = [
    "TRADE_BORES",
    "Boat",
    "Defaults",
    "Fitted",
    "Inputs",
    "Job",
    "JobError",
    "Price",
    "Sea",
    "Sizing",
    "StrainerChoice",
    "Supply",
    "Unit",
    "Visit",
    "all_parts",
    "end_height",
    "file_numbers",
    "inputs",
    "parse_job",
    "parse_toml",
    "program_version",
    "read_job",
    "read_toml",
]
