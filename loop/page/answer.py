"""From a job's text to everything the page shows of it, and the changes the page asks for."""

from collections.abc import Mapping, Sequence
from typing import Any

from loop.check import CheckResult, check, to_json
from loop.job import Edit, Insert, Job, JobError, Put, Remove, edit, edit_text, parse_toml
from loop.page.folder import THIS_FILE, Folder
from loop.page.picture import picture
from loop.page.rows import as_tables, own
from loop.page.wishes import wished
from loop.tomlfile import tables
from loop.words import told
from loop.words.action_words import action_text
from loop.words.first_lines import all_well, first_lines
from loop.words.page import SAY
from loop.words.speaker import Speaker
from loop.words.template import capital

# Most changes in one request; a drag sends one or two.
_MOST_EDITS = 200


def answer(folder: Folder, text: str, what_if: Sequence[Edit] = ()) -> dict[str, Any]:
    """What the page shows of a job: its own text, the check, the picture.

    `what_if` are changes that are tried and not kept, such as a fouled strainer. Raises JobError
    listing every mistake.
    """
    folder.guard(text)
    job = parse_toml(text, THIS_FILE, folder.root)
    tried = edit(job, what_if, str(folder.root)) if what_if else job
    result = check(tried)
    return {
        "text": text,
        "job": _job(text, job),
        "check": to_json(result),
        **_said(result),
        "picture": picture(result),
        "what_if": bool(what_if),
        "volts": job.pump.voltage,
        "direct": job.pump.curve.drive == "dc",
    }


def changed(folder: Folder, text: str, edits: Sequence[Edit]) -> str:
    """The text of a job with these changes; raises JobError listing every mistake."""
    folder.guard(text)
    after = edit_text(text, edits, str(folder.root))
    folder.guard(after)
    return after


def wish_done(folder: Folder, text: str, wish: Any) -> tuple[str, str]:
    """The text of a job after a command on one row, and the row's new address.

    Raises JobError listing every mistake.
    """
    folder.guard(text)
    edits, address = wished(text, wish, str(folder.root))
    return changed(folder, text, edits), address


def acted(folder: Folder, text: str, finding: int, action: int, words: str) -> str:
    """The text of a job with one action of one finding applied, both numbered as in the check.

    `words` is the action's text. Raises JobError if the text there is another.
    """
    folder.guard(text)
    job = parse_toml(text, THIS_FILE, folder.root)
    result = check(job)
    offered = _fixes(result)[finding : finding + 1] if finding >= 0 else []
    if not offered or words not in offered[0][max(action, 0) : action + 1]:
        raise JobError([SAY("not-offered")])
    return changed(folder, text, result.findings[finding].actions[action].edits(job))


def read_edits(items: Any) -> list[Edit]:
    """Edits from a request; raises JobError if it holds anything else."""
    if not isinstance(items, list) or len(items) > _MOST_EDITS:
        raise JobError([SAY("ask-edits")])
    return [_edit(item) for item in items]


def _edit(item: Any) -> Edit:
    address = item.get("address") if isinstance(item, Mapping) else None
    if isinstance(address, str) and len(address) <= 200:
        if item.get("do") == "put":
            return Put(address, item.get("value"))
        if item.get("do") == "insert" and isinstance(item.get("part"), Mapping):
            return Insert(address, item["part"])
        if item.get("do") == "remove":
            return Remove(address)
    raise JobError([SAY("ask-edit")])


def _said(result: CheckResult) -> dict[str, Any]:
    """The first lines (cause and fix, or that all is well) and every finding.

    ``whole`` is whether the first lines already say everything in the first finding.
    """
    told_, first = _told(result), first_lines(result.findings, result.job)
    if first is None:
        cause = all_well(result.findings, result.job)
        return {"first": {"cause": cause, "fix": "", "whole": False}, "told": told_}
    cause, fix = f"{capital(first.cause)}.", f"{capital(first.fix)}." * bool(first.fix)
    whole = [cause] == told_[0]["messages"] and fix == told_[0]["fix"]
    return {"first": {"cause": cause, "fix": fix, "whole": whole}, "told": told_}


def _told(result: CheckResult) -> list[dict[str, Any]]:
    """The findings as text, each with its actions: finding number, action number, text."""
    fixes = _fixes(result)
    return [
        {
            "code": one.code,
            "level": one.level,
            "title": one.title,
            "places": list(one.places) if len(one.numbers) > 1 else [],
            "messages": [f"{capital(message)}." for message in one.messages],
            "fix": f"{capital(one.fix)}." * bool(one.fix),
            "source": one.source,
            "tries": _tries([(number, fixes[number]) for number in one.numbers]),
        }
        for one in told(result.findings, result.job)
    ]


def _tries(fixes: Sequence[tuple[int, Sequence[str]]]) -> list[list[Any]]:
    """Each distinct action once, with the first finding and action number that has its text."""
    found: dict[str, list[Any]] = {}
    for number, texts in fixes:
        for action, words in enumerate(texts):
            found.setdefault(words, [number, action, words])
    return list(found.values())


def _fixes(result: CheckResult) -> list[list[str]]:
    """The text of each finding's actions, in the order of the check."""
    speaker = Speaker(result.job)
    return [
        [action_text(action, speaker, tried=True) for action in finding.actions]
        for finding in result.findings
    ]


def _job(text: str, job: Job) -> dict[str, Any]:
    """The job as in its file: rows in flow order, and the other tables."""
    file = tables(text, "job")
    return {
        "title": job.title,
        "units": job.units,
        "rows": as_tables(job, file),
        "tables": {name: own(file.get(name, {})) for name in ("water", "boat", "defaults")},
        "units_cooled": [own(unit) for unit in file.get("condenser", [])],
    }
