"""The lessons: predict, reveal, change, see, explain; every number is the program's."""

from loop.teach.lessons.lesson import Column, Lesson, Measure, Played, play, title
from loop.teach.lessons.ten import LESSONS

__all__ = ["LESSONS", "Column", "Lesson", "Measure", "Played", "play", "title"]
