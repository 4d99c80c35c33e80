"""Somebody's own sheet of readings -> readings of a study: what was guessed is shown, what is doubtful is asked."""

from coreset.store.intake.answers import Question, Told, choice_words
from coreset.store.intake.take_in import Intake, heads_in, take_in

__all__ = ["Intake", "Question", "Told", "choice_words", "heads_in", "take_in"]
