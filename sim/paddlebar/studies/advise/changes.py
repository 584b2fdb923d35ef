"""A description with changes laid over it, masses and the weight of the whole following: what is flown is what --set would give."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit

from paddlebar.craft.following_masses import followed
from paddlebar.craft.limits import check_limits
from paddlebar.files.checks import WEIGHING_SHARE, sum_g
from paddlebar.files.override import as_setting
from paddlebar.files.scenario import Scenario
from paddlebar.studies.axes import open_text

WEIGHED = "craft.all_up_g"


class Description:
    """The scenario that advice is for."""

    def __init__(self, scenario: Scenario) -> None:
        self.plain = scenario
        self.weighed = scenario.craft.all_up_g
        document = tomlkit.parse(open_text(scenario))
        if self.weighed is not None:  # a craft that is changed weighs something else; what the scale missed stays
            document["craft"].pop("all_up_g")
        self.text = tomlkit.dumps(document)
        self.own_g = sum_g(scenario.craft)
        self._read: dict[str, tuple[Scenario, dict[str, Any]]] = {}

    def scenario(self, changes: Mapping[str, Any]) -> tuple[Scenario, dict[str, Any]]:
        """The scenario with changes made, and all that changed: what was asked for, and the masses that followed.

        Raises: BadInput, one line, for what no file may say
        """
        named = repr(sorted(changes.items()))
        if named not in self._read:  # flown from three launches, by fly, and told: read once
            self._read[named] = self._with(changes)
        return self._read[named]

    def _with(self, changes: Mapping[str, Any]) -> tuple[Scenario, dict[str, Any]]:
        found, moved = followed(self.text, changes)
        check_limits(found)
        whole = {**changes, **moved}
        if self.weighed is not None:
            weighs, total = self.weighed, sum_g(found.craft)
            if abs(total - self.own_g) > 1e-9:
                missed = self.weighed - self.own_g  # by the scale, as far as a file may say so of a lighter craft
                most = 0.99 * WEIGHING_SHARE * total
                weighs = whole[WEIGHED] = round(total + min(max(missed, -most), most), 3)
            found = found.model_copy(update={"craft": found.craft.model_copy(update={"all_up_g": weighs})})
        return found, whole

    def changes(self, changes: Mapping[str, Any]) -> dict[str, Any]:
        """All that changed against the plain description."""
        return self.scenario(changes)[1]

    def settings(self, changes: Mapping[str, Any], before: Mapping[str, Any]) -> tuple[str, ...]:
        """As --set takes them: what these changes have that those before had not."""
        old = self.changes(before)
        return tuple(setting(key, value) for key, value in self.changes(changes).items() if old.get(key) != value)


def setting(key: str, value: Any) -> str:
    """``key=value`` as --set takes it, to as many digits as a hand can set."""
    return as_setting(key, float(f"{value:.6g}") if isinstance(value, float) else value)
