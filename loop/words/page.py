"""Replies of the local page's server when it cannot do what is asked."""

from loop.words.template import Sayings

PAGE: dict[str, str] = {
    # What a person sees.
    "not-offered": "this fix is no longer offered; the loop has changed",
    "changed-outside": "the file has been changed outside this page since it was read",
    "no-job-file": "{file}: no such file in this folder",
    "cannot-write": "{file}: cannot be written: {why}",
    "pump-outside": "pump file {file} is outside this folder; copy it beside the job",
    "no-job-name": "{file} is not the name of a job file in this folder",
    "no-lesson": "there is no lesson with this number",
    "two-sizings": "two sizings are running already; wait for one or cancel it",
    "sizing-stopped": "the sizing was stopped before it was done",
    "sizing-ended": "this sizing has ended",
    "too-long": "this takes longer than the page waits; run loop check in a terminal",
    "busy": "the page is busy with other loops; try again",
    "failed": "the program failed; its terminal says more",
    "row-cannot": "{address} cannot do this",
    # Requests that the page itself never makes.
    "ask-edits": "edits must be a list",
    "ask-edit": "an edit must put a value, insert a part or remove one, at an address",
    "ask-action": "an action needs its finding's number, its own, and its words",
    "ask-mark": "the file's mark must be text",
    "ask-text": "the job's text is missing",
    "ask-file": "a file name is missing",
    "ask-sheet": "a sheet is pdf or html",
    "ask-drill": "a drill needs a job, or none, and a number from 0",
    "ask-pump": "the pump must be a table",
    "ask-table": "the request must be a table",
    "ask-json": "the request is not JSON",
    # A pump from paper.
    "pump-name": "name: small letters, digits and dashes, such as my-pump-300",
    "pump-no-name": "Name of the pump: give one, such as my-pump-300",
    "pump-points": "points: over {most} kB; a curve is a few lines",
    "pump-text": "{name}: must be text of at most {most} characters",
    "pdf-not-read": "this file is not a PDF that can be read",
    "pdf-no-reader": "to read PDF files: pip install pypdfium2; or use a picture of the page",
    "pdf-slow": "this page takes too long to draw; use a picture of it",
    "pdf-pages": "this PDF has {count} pages",
    # A drill.
    "drill-level": "the level is 1, 2 or 3",
    "drill-lines": "a call takes at most {most} lines",
    "drill-line": "a line is text of at most {most} characters",
    # The gate.
    "gate-address": "this address is not the page's own",
    "gate-origin": "another page may not send requests to this one",
    "gate-token": "the page's token is missing; load the page again",
    "gate-terminal": "open the address that the terminal shows, with its token",
    "gate-slow": "the request took too long to arrive",
    "gate-large": "more than {most} kB",
}
SAY = Sayings(PAGE)
