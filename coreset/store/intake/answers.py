"""What is told and what is asked of a sheet. A code and its blanks; the words come from the catalogue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from coreset.text import say


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Something that was found or guessed in a sheet, and done without asking."""

    code: str
    blanks: Mapping[str, Any] = field(default_factory=dict)

    @property
    def words(self) -> str:
        """The sentence."""
        return say(f"intake.told.{self.code}", **self.blanks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Something that only a person can say; until it is answered nothing is taken.

    `code` is the key of the answer, `kind` that of the words, `choices` what may be answered.
    """

    code: str
    kind: str
    choices: tuple[str, ...]
    blanks: Mapping[str, Any] = field(default_factory=dict)

    @property
    def words(self) -> str:
        """The question."""
        return say(f"intake.ask.{self.kind}", **self.blanks)


def choice_words(choice: str) -> str:
    """What an answer means."""
    return say(f"intake.choice.{choice}")


class IntakeAnswers:
    """Answers as given, and what is told or still asked on the way through a sheet."""

    def __init__(self, answers: Mapping[str, str]) -> None:
        self._answers = answers
        self.told: list[Told] = []
        self.questions: list[Question] = []

    def tell(self, code: str, **blanks: Any) -> None:
        """Note something that needs no answer."""
        self.told.append(Told(code=code, blanks=blanks))

    def given(self, code: str, choices: tuple[str, ...]) -> str:
        """The answer to a question that need not be asked, or an empty text."""
        answer = self._answers.get(code, "")
        return answer if answer in choices else ""

    def ask(self, code: str, choices: tuple[str, ...], *, kind: str = "", **blanks: Any) -> str:
        """The answer given, or an empty text and the question noted."""
        answer = self.given(code, choices)
        if not answer:
            self.questions.append(Question(code=code, kind=kind or code, choices=choices, blanks=blanks))
        return answer
