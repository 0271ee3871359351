"""The report's template: compiled to Python code as a wheel holds it, or parsed from its text as in a checkout.

The code counts only for the text and the version of Jinja that it was compiled from.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import jinja2
from jinja2 import BaseLoader, DictLoader, Environment, ModuleLoader, StrictUndefined, Template

from buildcheck.core.package_data import compiled_template_dir
from buildcheck.output.markdown import md

_NAME = "report.md.j2"
_KEY = "key.json"
_VERSION = vars(jinja2).get("__version__")
"""None where Jinja does not name its version without a search of the installed packages."""


@cache
def report_template() -> Template:
    """The template, to be rendered."""
    text, folder = _text(), compiled_template_dir()
    loader = ModuleLoader(folder) if _is_current(folder, text) else DictLoader({_NAME: text})
    return _environment(loader).get_template(_NAME)


def compile_template(folder: Path) -> None:
    """Write the template as code, and what it counts for."""
    text = _text()
    _environment(DictLoader({_NAME: text})).compile_templates(folder, zip=None)
    (folder / _KEY).write_text(json.dumps(_key(text)), encoding="utf-8")


def _text() -> str:
    return (Path(__file__).with_name("templates") / _NAME).read_text(encoding="utf-8")


def _is_current(folder: Path, text: str) -> bool:
    try:
        return _VERSION is not None and bool(json.loads((folder / _KEY).read_text(encoding="utf-8")) == _key(text))
    except (OSError, ValueError):  # absent, as in a checkout, or not whole
        return False


def _key(text: str) -> dict[str, str | None]:
    return {"jinja2": _VERSION, _NAME: text}


def _environment(loader: BaseLoader) -> Environment:
    environment = Environment(
        loader=loader,
        undefined=StrictUndefined,
        autoescape=False,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["md"] = md
    return environment
