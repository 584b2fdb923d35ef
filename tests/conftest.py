"""Marks by folder, examples of property tests, and the fixture and option of evidence.

`-m quick`: every test of the folders in QUICK that is not marked slow; README's second command.
PADDLEBAR_EXAMPLES: how many examples a property test tries; 20 unless it says more, `.ci/run` says 200.
`evidence`, and `--evidence FILE`, which writes its rows as a table: tests/evidence.py.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from evidence import Recorder, Row, claim_of, markdown, revived, table

TESTS = Path(__file__).parent
QUICK = {"files", "craft", "physics", "flight", "record", "checks"}


@pytest.fixture
def evidence(request: pytest.FixtureRequest) -> Recorder:
    """Assert a figure against a published one and keep it for the table."""
    return Recorder(request.node)


def fills_rows(item: pytest.Item) -> bool:
    return "evidence" in getattr(item, "fixturenames", ())


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--evidence",
        metavar="FILE",
        help="write the table of evidence that this run filled, as Markdown; '-': to the screen. All of it: -m evidence. "
        "With --collect-only: which tests would fill it. With '=', or pytest may take FILE for tests to run.",
    )


def pytest_configure(config: pytest.Config) -> None:
    # no deadline: an example takes longer on a busy machine
    settings.register_profile("paddlebar", max_examples=int(os.environ.get("PADDLEBAR_EXAMPLES", "20")), deadline=None)
    settings.load_profile("paddlebar")
    file = config.getoption("--evidence")
    if file and not hasattr(config, "workerinput"):  # workers of pytest-xdist send their reports to the controller
        if not Path(file).parent.is_dir():
            raise pytest.UsageError(f"--evidence {file}: there is no folder {Path(file).parent}")
        config.pluginmanager.register(Table(file), "table of evidence")


def pytest_itemcollected(item: pytest.Item) -> None:
    """Quick by its folder; whoever asks for the fixture can be chosen by -m evidence."""
    folder = item.path.relative_to(TESTS).parts[0] if item.path.is_relative_to(TESTS) else ""
    if folder in QUICK and item.get_closest_marker("slow") is None:
        item.add_marker("quick")
    if fills_rows(item):
        item.add_marker("evidence")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    """A test that passes without having filled a row would be counted for nothing."""
    yield
    if fills_rows(item) and not revived(item.user_properties):
        pytest.fail(f"{item.nodeid} asks for evidence and records none", pytrace=False)


class Table:
    """Gathers rows where all reports arrive."""

    def __init__(self, file: str) -> None:
        self.file, self.text = file, ""
        self.rows: list[tuple[Row, str]] = []

    def pytest_collection_finish(self, session: pytest.Session) -> None:
        if session.config.option.collectonly:
            claims = [(claim_of(item), item.nodeid) for item in session.items if fills_rows(item)]
            self.text = table(
                ("phenomenon", "source", "test"), [(claim.phenomenon, claim.source, node) for claim, node in claims]
            )

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call":
            reason = str(getattr(report, "wasxfail", ""))
            self.rows += [(row, reason) for row in revived(report.user_properties)]

    def pytest_sessionfinish(self, session: pytest.Session, exitstatus: int) -> None:
        if not session.config.option.collectonly:
            self.text = markdown(self.rows)
            if exitstatus not in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED):
                self.text += "The run ended before its end: these are not all rows.\n"
        if self.file != "-":
            Path(self.file).write_text(self.text, encoding="utf-8")

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        if self.file == "-":
            terminalreporter.write_line(self.text)
