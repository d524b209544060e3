"""Teaching: the worked explanation, the quiz, and drills on hidden faults."""

from loop.diagnose import named as reading_name
from loop.diagnose.words import title as fault_title
from loop.teach.cases import Case, draw_case, invented_job
from loop.teach.drill import Drill, Look, Outcome
from loop.teach.drill_log import DrillLog, Source, log_text, read_log
from loop.teach.explain import explain
from loop.teach.explanation import Explanation
from loop.teach.quiz import TOPICS, AnswerError, Question, questions
from loop.teach.step import Line, Step

__all__ = [
    "TOPICS",
    "AnswerError",
    "Case",
    "Drill",
    "DrillLog",
    "Explanation",
    "Line",
    "Look",
    "Outcome",
    "Question",
    "Source",
    "Step",
    "draw_case",
    "explain",
    "fault_title",
    "invented_job",
    "log_text",
    "questions",
    "read_log",
    "reading_name",
]
