"""A job: reading, checking and editing it, and its classes."""

from loop.job.address import Located, file_numbers, locate
from loop.job.as_toml import write_job
from loop.job.defaults import Defaults
from loop.job.edit import Edit, Insert, Put, Remove, edit
from loop.job.inputs import Inputs, inputs, program_version
from loop.job.layout import end_height
from loop.job.locations import all_parts, map_parts
from loop.job.model import Boat, Job, Sea, Unit
from loop.job.read import file_text, parse_job, parse_toml, read_job, read_toml
from loop.job.service import (
    TRADE_BORES,
    Fitted,
    Price,
    Sizing,
    StrainerChoice,
    Supply,
    Visit,
    bores_above,
)
from loop.job.takes_job import not_a_job, takes_job
from loop.job.toml_edit import edit_text
from loop.mistakes import JobError

__all__ = [
    "TRADE_BORES",
    "Boat",
    "Defaults",
    "Edit",
    "Fitted",
    "Inputs",
    "Insert",
    "Job",
    "JobError",
    "Located",
    "Price",
    "Put",
    "Remove",
    "Sea",
    "Sizing",
    "StrainerChoice",
    "Supply",
    "Unit",
    "Visit",
    "all_parts",
    "bores_above",
    "edit",
    "edit_text",
    "end_height",
    "file_numbers",
    "file_text",
    "inputs",
    "locate",
    "map_parts",
    "not_a_job",
    "parse_job",
    "parse_toml",
    "program_version",
    "read_job",
    "read_toml",
    "takes_job",
    "write_job",
]
