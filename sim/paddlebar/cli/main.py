"""The command ``paddlebar``: its verbs, and what becomes of an error (one line on standard error, an exit code)."""

from __future__ import annotations

import atexit
import errno
import gc
import os
import sys
from importlib import import_module
from typing import Any

import click

from paddlebar.cli.signals import end_workers, exit_code, heard
from paddlebar.cli.spoken import spoken
from paddlebar.cli.verbs import VERBS
from paddlebar.errors import PaddlebarError, printable

# A verb makes things and ends. Looking through what a thousand imported modules hold takes 0.4 s of 2 and frees nothing.
gc.set_threshold(100_000, 50, 50)
atexit.register(gc.freeze)

BAD_INPUT = 2
UNCOMPILED = "NUMBA_DISABLE_JIT"


class Verbs(click.Group):
    """A group whose verbs may fail in the ways that a user can cause, without a traceback."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """In the order of the list, in which a builder meets them."""
        return list(VERBS)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the verb; its errors become one line and an exit code."""
        code = BAD_INPUT
        compiled()
        try:
            with heard():
                return super().invoke(ctx)
        except PaddlebarError as error:
            complain(spoken(str(error), sys.argv[1:]))
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


def compiled() -> None:
    """Have equations compiled whatever numba is told: uncompiled, a flight cannot read its records, and would take hours."""
    if os.environ.get(UNCOMPILED, "0") not in ("", "0"):
        os.environ[UNCOMPILED] = "0"  # before numba is loaded, and for the processes of this one
        complain(f"{UNCOMPILED} is not heeded: equations are compiled")


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


for name, says in VERBS.items():
    command: click.Command = getattr(import_module(f"paddlebar.cli.{name}"), name)
    command.short_help = says
    main.add_command(command, name)
