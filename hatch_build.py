"""Puts the shipped rules into the wheel as plain data too, so that no start of the program parses them."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class PreparedRules(BuildHookInterface):  # type: ignore[type-arg]
    """Adds ``buildcheck/data/prepared_rules.json``. An editable install parses the rules of its checkout."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Write the file to a folder that lasts until the wheel is complete."""
        if version == "editable":
            return
        sys.path.insert(0, self.root)
        try:
            from buildcheck.rules.rule_loader import prepare_rules
        finally:
            sys.path.remove(self.root)
        self._folder = TemporaryDirectory()
        path = Path(self._folder.name) / "prepared_rules.json"
        path.write_text(prepare_rules(), encoding="utf-8")
        build_data["force_include"][str(path)] = "buildcheck/data/prepared_rules.json"

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """Remove the folder."""
        if version != "editable":
            self._folder.cleanup()
