"""`loop faults`: what the fault turned out to be, counted over a folder of jobs."""

from loop.cli.options import console, free_place, print_json, write_whole
from loop.cli.output import fitted, listed
from loop.cli.streams import complain
from loop.diagnose.experience import BoatKind, Season, counted, jobs_in
from loop.diagnose.faults import FAULTS
from loop.job import JobError
from loop.words.commands import SAY
from loop.words.faults import title


def faults(
    folder: str | None,
    season: Season | None,
    kind: BoatKind | None,
    output: str | None,
    as_json: bool,
    force: bool,
) -> None:
    """Count the faults found, over all visits; without a folder, list the faults."""
    out = console()
    if folder is None and (output or as_json or season or kind):
        raise JobError([SAY("faults-without-folder")])
    if output:
        free_place(output, force)
    if folder is None:
        table = listed(SAY("head-fault"), texts=[SAY("head-what")])
        for fault in FAULTS:
            table.add_row(fault.name, title(fault.name))
        table.columns[0].no_wrap = True  # a name is typed as it is shown
        out.print(table)
        return
    jobs, problems = jobs_in(folder)
    found = counted(jobs, season, kind)
    for line in problems:
        complain(SAY("skipped", problem=line))
    if output:
        write_whole(output, found.to_toml())
    if as_json:
        print_json(found.to_dict())
        return
    how = SAY("visits-how") if found.unsaid else None
    out.print(SAY("visits", said=found.visits, unsaid=found.unsaid, how=how))
    table = listed(SAY("head-fault"), map(SAY, ("head-visits", "head-weight")))
    weights = found.priors()
    for name, count in sorted(found.counts.items(), key=lambda item: -item[1]):
        table.add_row(title(name), f"{count:g}", f"{100 * weights[name]:.1f}%")
    if found.counts:
        out.print(fitted(table, out.width))
    for text in found.unknown:
        out.print(SAY("visits-unknown", text=repr(text)))
