"""The lessons: predict, reveal, change, see, explain; every number is the program's."""

from loop.teach.lessons.figures import Measure
from loop.teach.lessons.lesson import LESSONS, Column, Lesson, PlayedLesson, play, title

__all__ = ["LESSONS", "Column", "Lesson", "Measure", "PlayedLesson", "play", "title"]
