"""What a command tells on standard error about a case that it takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from coreset.text import say

if TYPE_CHECKING:
    from coreset.case import Case


def note_zero_limits(case: Case) -> None:
    """Tell on standard error of limits of 0, which version 0.1.0 read as no limit."""
    from coreset.store.folder.check_money import zero_limits

    for field in zero_limits(case):
        typer.echo(say("cli.check.zero_limit", field=field), err=True)


def note_broken_signatures(case: Case) -> None:
    """Say on standard error which signatures do not fit the content of their study."""
    from coreset.case.signature import signature_state, signer

    for study in case.studies:
        if signature_state(study) == "broken":
            typer.echo(say("cli.check.broken", study=study.study, signed=signer(study.signed)), err=True)


RESAMPLES, DRAWS, REPLICATIONS = 100, 1_000, 20
"""Sizes of an answer that nobody reads: enough for whatever refuses a case."""


def refuse_unanswerable(case: Case, *, quiet: bool) -> None:
    """Nothing, if the case can be answered: what `assess` refuses, `check` refuses, by asking for a small answer.

    Raises
    ------
    CoresetError
        As `assess` would.
    """
    from coreset.assess import assess
    from coreset.cli.progress import watched

    with watched(quiet=quiet) as told:
        assess(
            case,
            resamples=RESAMPLES,
            draws=DRAWS,
            replications=REPLICATIONS,
            progress=lambda stage, share: told(share, say(f"cli.stage.{stage}")),
        )
