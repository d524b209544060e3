"""The page's JSON requests: each is a table, and so is its answer."""

import re
from collections.abc import Callable
from typing import Any, TypeAlias

from loop.job import JobError, parse_toml
from loop.job.draft import draft
from loop.job.questions import complete_answers
from loop.page import paper
from loop.page.answer import acted, answer, changed, read_edits, wish_done
from loop.page.drills import asked, drill_tables
from loop.page.folder import THIS_FILE, Folder
from loop.page.lessons import lesson_tables
from loop.page.picture import scales
from loop.units import System, system_of
from loop.words.page import SAY

_LONGEST_TITLE = 60
Table: TypeAlias = dict[str, Any]


class Answers:
    """The answers for one folder; each raises JobError listing every mistake."""

    def __init__(self, folder: Folder) -> None:
        self.folder = folder

    @property
    def by_name(self) -> dict[str, Callable[[Table], Table]]:
        """Each answer by its route's name."""
        return {
            "answer": self.answer,
            "act": self.act,
            "save": self.save,
            "new": self.new,
            "lesson": self.lesson,
            "drill": self.drill,
            "pump/check": self.pump_check,
            "pump/save": self.pump_save,
        }

    @property
    def bodies(self) -> dict[str, Callable[[Table], Table]]:
        """Answers whose "body" is a file."""
        return {"sheet": self.sheet, "card": self.card}

    def answer(self, asked: Table) -> Table:
        """A job's text, changed by edits or by a row command, with everything shown of it."""
        text = text_of(asked)
        edits, at = read_edits(asked.get("edits", [])), ""
        if edits:
            text = changed(self.folder, text, edits)
        if "wish" in asked:
            text, at = wish_done(self.folder, text, asked["wish"])
        shown = answer(self.folder, text, read_edits(asked.get("what_if", [])))
        return {**shown, "at": at}

    def act(self, asked: Table) -> Table:
        """A job after one action of one finding."""
        finding, action, words = (asked.get(key) for key in ("finding", "action", "words"))
        if not (isinstance(finding, int) and isinstance(action, int) and isinstance(words, str)):
            raise JobError([SAY("ask-action")])
        return answer(self.folder, acted(self.folder, text_of(asked), finding, action, words))

    def save(self, asked: Table) -> Table:
        """Writes a job file if it still has the given mark; else raises ConflictError."""
        text, mark = text_of(asked), asked.get("mark")
        if not isinstance(mark, str | None):
            raise JobError([SAY("ask-mark")])
        answer(self.folder, text)
        return {"mark": self.folder.write(_name(asked), text, mark)}

    def new(self, asked: Table) -> Table:
        """Creates a job file of typical sizes, all marked as guesses, named after its title."""
        title = _name(asked).strip()[:_LONGEST_TITLE]
        name = re.sub(r"[^\w .-]+", "-", title).strip(" .-_").removesuffix(".toml") + ".toml"
        values, guessed = complete_answers({"title": title, "units": _units(asked)})
        mark = self.folder.write(name, draft(values, guessed), None)
        return {"name": name, "mark": mark}

    def lesson(self, asked: Table) -> Table:
        """A lesson with its loops."""
        number = asked.get("number")
        try:
            return lesson_tables(number if isinstance(number, int) else 0, _units(asked))
        except IndexError:
            raise JobError([SAY("no-lesson")]) from None

    def drill(self, asked_: Table) -> Table:
        """A drill's call after the given lines."""
        which, lines = asked(asked_, self.folder)
        return drill_tables(which, lines, asked_.get("over") is True)

    def pump_check(self, asked: Table) -> Table:
        """A pump's curve as it would be used."""
        return {
            **paper.checked_curve(asked.get("pump")),
            "scales": scales(_units(asked)),
        }

    def pump_save(self, asked: Table) -> Table:
        """Writes a pump file."""
        name, text = paper.pump_file(asked.get("pump"))
        self.folder.write(name, text, None)
        return {"name": name}

    def sheet(self, asked: Table) -> Table:
        """The job sheet for a text as "body"; the form is ``pdf`` or ``html``."""
        from loop.sheet import to_html, to_pdf
        from loop.sheet.compose import sheet

        text, form = text_of(asked), asked.get("form")
        if form not in ("pdf", "html"):
            raise JobError([SAY("ask-sheet")])
        self.folder.guard(text)
        content = sheet(parse_toml(text, THIS_FILE, self.folder.root))
        return {"body": to_pdf(content) if form == "pdf" else to_html(content).encode("utf-8")}

    def card(self, asked: Table) -> Table:
        """The card of a job file as "body", as `loop card` writes it."""
        from loop.card import card, to_html
        from loop.diagnose import prepare
        from loop.sheet.compose import sheet

        name = _name(asked)
        text = self.folder.read(name).text
        self.folder.guard(text, name)
        job = parse_toml(text, name, self.folder.root)
        return {"body": to_html(card(prepare(job), sheet(job)))}


def text_of(asked: Any) -> str:
    """The job text of a request; raises JobError if there is none."""
    text = asked.get("text") if isinstance(asked, dict) else None
    if not isinstance(text, str):
        raise JobError([SAY("ask-text")])
    return text


def _name(asked: Table) -> str:
    name = asked.get("name")
    if not isinstance(name, str):
        raise JobError([SAY("ask-file")])
    return name


def _units(asked: Table) -> System:
    return system_of(asked.get("units"))
