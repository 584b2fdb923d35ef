"""The command ``paddlebar``: its verbs, and what becomes of an error (one line on standard error, an exit code)."""

from __future__ import annotations

import atexit
import errno
import gc
from typing import Any

import click

from paddlebar.cli.check import check
from paddlebar.cli.fly import fly
from paddlebar.cli.help import help_verb
from paddlebar.cli.improve import improve
from paddlebar.cli.map import map_verb
from paddlebar.cli.margins import margins
from paddlebar.cli.match import match
from paddlebar.cli.new import new
from paddlebar.cli.rank import rank
from paddlebar.cli.replay import replay
from paddlebar.cli.report import report
from paddlebar.cli.signals import end_workers, exit_code, heard
from paddlebar.cli.stand import stand
from paddlebar.cli.yaw import yaw
from paddlebar.errors import PaddlebarError, printable

# A verb makes things and ends. Looking through what a thousand imported modules hold takes 0.4 s of 2 and frees nothing.
gc.set_threshold(100_000, 50, 50)
atexit.register(gc.freeze)

BAD_INPUT = 2


class Verbs(click.Group):
    """A group whose verbs may fail in the ways that a user can cause, without a traceback."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the verb; its errors become one line and an exit code."""
        code = BAD_INPUT
        try:
            with heard():
                return super().invoke(ctx)
        except PaddlebarError as error:
            complain(str(error))
        except KeyboardInterrupt as error:
            end_workers()
            complain("interrupted; what was not finished was not written")
            code = exit_code(error)
        except OSError as error:
            if error.errno == errno.EPIPE:  # the reader of a pipe has gone: click ends quietly
                raise
            complain(sentence(error))
        except RuntimeError as error:
            if "no locator available" not in str(error):  # numba gives no class and no code for this
                raise
            complain("compiled equations cannot be kept; set NUMBA_CACHE_DIR to a folder that may be written to")
        except MemoryError:
            complain("this takes more memory than there is; ask for less at once")
        return ctx.exit(code)


def complain(what: str) -> None:
    """One line on standard error; what a terminal would obey, in names and texts of files, is written out."""
    click.echo(f"paddlebar: {printable(' '.join(what.split()))}", err=True)


def sentence(error: OSError) -> str:
    """What the disk refused, and where."""
    where = error.filename if error.filename is not None else "output"
    does = "is not there" if isinstance(error, FileNotFoundError) else "cannot be written"
    return f"{where}: {does} ({error.strerror or error})"


def _version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted and not ctx.resilient_parsing:
        from paddlebar import __version__

        click.echo(f"paddlebar {__version__}")
        ctx.exit()


@click.group(cls=Verbs, context_settings={"help_option_names": ["-h", "--help"]}, no_args_is_help=True)
@click.option("--version", is_flag=True, is_eager=True, expose_value=False, callback=_version, help="Show the version.")
def main() -> None:
    """Fly light rubber-powered model helicopters that a weighted paddle bar keeps upright.

    \b
    Example:
      paddlebar new sparrow
      paddlebar check sparrow.toml
      paddlebar stand sparrow.toml
      paddlebar fly sparrow-first-flight.toml

    Exit code: 0 it ran and ended well; 1 it ran and ended badly (tipped over, struck ceiling or wall, failed);
    2 bad input, nothing written.
    """


for verb in (new, check, fly, stand, margins, map_verb, yaw, rank, improve, match, replay, report, help_verb):
    main.add_command(verb)
