"""Finds the schemas and rules that travel with the tool: in a checkout beside the package, else inside the wheel."""

from __future__ import annotations

from functools import cache
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parents[1]


@cache
def _data_dir(name: str) -> Path:
    """The checkout wins: an editable install may carry a stale second copy."""
    checkout = _PACKAGE.parent
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    return _PACKAGE / "data" / name


def schemas_dir() -> Path:
    """Folder with ``<name>.schema.json`` files."""
    return _data_dir("schemas")


def rules_dir() -> Path:
    """Folder with ``<area>/<id>.yaml`` rule files."""
    return _data_dir("rules")


def prepared_rules_file() -> Path:
    """The rules of ``rules_dir()`` as data, which a wheel holds beside them; a checkout has no such file."""
    return rules_dir().parent / "prepared_rules.json"


def compiled_template_dir() -> Path:
    """The report's template as code, which a wheel holds; a checkout has no such folder."""
    return rules_dir().parent / "compiled_template"
