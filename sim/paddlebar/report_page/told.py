"""The account of a flight with the advice that was flown for it."""

from __future__ import annotations

from paddlebar.errors import BadInput, PaddlebarError
from paddlebar.files.load import parse_scenario
from paddlebar.progress import SILENT, Progress
from paddlebar.studies.advise.study import Advised, advised
from paddlebar.studies.report.gathered import Account, AnyFlight, account


def told(flight: AnyFlight, name: str, *, with_margins: bool = True, progress: Progress = SILENT) -> Account:
    """See studies/report/gathered.py; a flight that did not go well is advised on as well, which takes up to a minute."""
    found = None if flight.flew_well else _advised(flight, name, progress)
    suggestions, missing = (found.suggestions, found.missing) if found is not None else ((), "")
    return account(flight, name, with_margins=with_margins, suggestions=suggestions, missing=missing, progress=progress)


def _advised(flight: AnyFlight, name: str, progress: Progress) -> Advised | None:
    """None where this machine cannot read the description; the account says so."""
    try:
        return advised(parse_scenario(flight.effective_toml, name), progress=progress)
    except (BadInput, PaddlebarError):
        return None
