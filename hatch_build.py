"""Puts the shipped rules as plain data and the report's template as code into the wheel: no start parses them."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class PreparedData(BuildHookInterface):  # type: ignore[type-arg]
    """Adds both to ``buildcheck/data``. An editable install parses what its checkout holds."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Write them to a folder that lasts until the wheel is complete."""
        if version == "editable":
            return
        sys.path.insert(0, self.root)
        try:
            from buildcheck.output.report.template import compile_template
            from buildcheck.rules.rule_loader import prepare_rules
        finally:
            sys.path.remove(self.root)
        self._folder = TemporaryDirectory()
        folder = Path(self._folder.name)
        (folder / "prepared_rules.json").write_text(prepare_rules(), encoding="utf-8")
        compile_template(folder / "compiled_template")
        for path in sorted(folder.iterdir()):
            build_data["force_include"][str(path)] = f"buildcheck/data/{path.name}"

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """Remove the folder."""
        if version != "editable":
            self._folder.cleanup()
