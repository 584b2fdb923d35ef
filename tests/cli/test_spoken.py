"""Errors of the package name an argument; on the command line they name the option that was typed."""

from __future__ import annotations

import inspect

import pytest

import paddlebar
from paddlebar.cli.main import main
from paddlebar.cli.spoken import OPTIONS, spoken


@pytest.mark.parametrize(
    ("said", "typed"),
    [
        ("overrides: bar: no such key", "--set: bar: no such key"),
        ("x: craft.bar.gain: lowest should be", "--x: craft.bar.gain: lowest should be"),
        ("limits.spin: input should be", "--spin: input should be"),
        ("start, stop: should rise", "--from, --to: should rise"),
        ("a.toml:3: bar.arm_mm: strikes (as changed by a.toml and overrides)", "a.toml:3: bar.arm_mm: strikes (as changed by a.toml and --set)"),
        ("models/x.toml:3: key: rule", "models/x.toml:3: key: rule"),
        ("nothing of the kind", "nothing of the kind"),
    ],
)  # fmt: skip
def test_arguments_become_options(said, typed):
    assert spoken(said) == typed


def test_a_file_called_like_an_argument_stays_a_file():
    assert spoken("x: no such file", ["map", "x"]) == "x: no such file"


def test_every_word_is_an_argument_of_the_package_and_every_option_one_of_a_verb():
    functions = [getattr(paddlebar, name) for name in paddlebar.NAMES if name[0].islower()]
    methods = [paddlebar.Flight.mean_spin]
    arguments = {name for function in [*functions, *methods] for name in inspect.signature(function).parameters}
    options = {word for verb in main.commands.values() for option in verb.params for word in option.opts}
    names = {word for key in OPTIONS for word in key.split(", ")}
    assert names <= arguments
    assert {word for each in OPTIONS.values() for word in each.split(", ")} <= options
