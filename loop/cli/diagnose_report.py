"""A diagnosis on the terminal: headline, causes, what was read, what to do next."""

from collections.abc import Iterator

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from loop.cli.output import bullets, listed, print_first_last
from loop.diagnose import Diagnosis, NextReading, display_name, reading_text
from loop.diagnose.display import any_of
from loop.diagnose.headline import OVERLAP, odds_text, why_no_step
from loop.units import bare, show
from loop.words.diagnosis import SAY
from loop.words.template import capital

_NARROW = 76
_CAUSES = 4
_NEXT = 3
_COLUMNS = 4
_COLUMN_WIDTH = 20


def print_diagnosis(out: Console, result: Diagnosis) -> None:
    """Prints the whole answer."""
    head = [Text.assemble((result.headline, "bold"), f"  ({result.job.title})")]
    if result.misfit:
        head.append(Text(result.misfit, "bold yellow"))
    if result.groups and not result.misfit and not result.done:
        head.append(Text(result.groups[0].sentence))
    rest = (
        _causes(result),
        _against(result, out.width),
        next_steps(result, _NEXT),
        _notes(result),
    )
    print_first_last(out, Group(*head), (Text(), *rest))


def _causes(result: Diagnosis) -> RenderableType:
    units = result.job.units
    blocks: list[RenderableType] = [Text(SAY("causes-title"), "bold"), *_lines(result), Text("")]
    for cause in result.causes[:_CAUSES]:
        fixed = show(cause.flow_fixed, "flow", units)
        edges = (cause.flow_fixed_low, cause.flow_fixed_high)
        low, high = (bare(flow, "flow", units) for flow in edges)
        band = SAY("with-band", middle=fixed, low=low, high=high)
        body = Group(
            Text(f"{SAY('cause-how-bad')}: {cause.severity_words}"),
            Text(f"{SAY('cause-why')}: {cause.why}"),
            Text.assemble((f"{SAY('cause-fix')}: ", "bold"), capital(cause.fix)),
            Text(f"{SAY('cause-look')}: {cause.look}"),
            Text(f"{SAY('cause-flow')}: {band}"),
        )
        blocks += [
            Text.assemble(
                (f"{cause.title} ({cause.where})", "bold"), f": {odds_text(cause.present)}"
            ),
            Padding(body, (0, 0, 1, 2)),
        ]
    blocks += [Text(SAY("cause-unknown", odds=odds_text(result.unknown))), Text("")]
    return Group(*blocks)


def _lines(result: Diagnosis) -> Iterator[Text]:
    """The likeliest causes by name, each line with the chance that any of its causes is present."""
    for number, line in enumerate(result.lines, 1):
        yield Text(f"{number}. {line.title}: {odds_text(line.probability)}")
    if sum(line.probability for line in result.lines) > OVERLAP:
        yield Text(SAY("causes-together"), "dim")


def _against(result: Diagnosis, width: int) -> RenderableType:
    """One row per reading: as read, healthy, and under each leading fault."""
    units, readings = result.job.units, result.readings
    more = max(width - _NARROW, 0) // _COLUMN_WIDTH + 2
    faults = [cause for cause in result.causes if cause.fault != "healthy"]
    leading = faults[: 1 if width < _NARROW else min(more, _COLUMNS)]
    table = listed("Reading", ("read", "healthy", *(cause.fault for cause in leading)))
    dock = [result.healthy, *(cause.predicted for cause in leading)]
    at_speed = [result.healthy_under_way, *(cause.predicted_under_way for cause in leading)]
    after = [None, *(tried.title for tried in result.actions_tried)]
    for taken, done in zip((readings, *readings.steps), after, strict=True):
        for state, calculated, speed in ((taken, dock, None), (taken.at_speed, at_speed, "")):
            for key, read in state.values.items():
                if key in calculated[0]:
                    values = (read, *(one[key] for one in calculated))
                    texts = (reading_text(key, value, units) for value in values)
                    named_so = SAY(
                        "row-reading", reading=display_name(key), at_speed=speed, after=done
                    )
                    table.add_row(named_so, *texts)
    return Padding(table, (0, 0, 1, 0)) if table.row_count else Text("")


def next_steps(result: Diagnosis, most: int) -> RenderableType:
    """The steps worth taking, best first."""
    if not result.next:
        return Text(f"{SAY(why_no_step(result))}\n")
    blocks: list[RenderableType] = [
        Text.assemble((SAY("next-title"), "bold"), f"  {SAY('next-order')}")
    ]
    for one in result.next[:most]:
        blocks += [
            Text.assemble((one.title, "bold"), f"  {one.minutes:g} min"),
            Padding(_way(result, one), (0, 0, 1, 2)),
        ]
    return Group(*blocks)


def _way(result: Diagnosis, one: NextReading) -> RenderableType:
    titles = {cause.fault: cause.title for cause in result.causes}
    titles |= {f"{c.fault} ({c.where})": f"{c.title} ({c.where})" for c in result.causes}
    alike: dict[str, list[str]] = {}
    for called, value in one.expected.items():
        alike.setdefault(reading_text(one.reading, value, result.job.units), []).append(
            titles[called]
        )
    values = "; ".join(
        SAY("expect-if", value=value, cause=any_of(causes)) for value, causes in alike.items()
    )
    way = capital(one.how.removeprefix(one.hazard).strip())
    lines = [Text(one.hazard, "bold yellow")] if one.hazard else []
    return Group(*lines, Text(f"{SAY('expect-how')}: {way}"), Text(f"{SAY('expect')}: {values}"))


def _notes(result: Diagnosis) -> RenderableType:
    new = [text for text in result.notes if text.removesuffix(".") not in result.headline]
    notes = [Text(text, "dim") for text in new]
    return Group(*notes, Text("\nCautions", "bold"), bullets(result.cautions))
