"""The tool runs no code but its own, and speaks to nobody."""

from __future__ import annotations

import ast
import json
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
import sources
from judged import ROOT

from buildcheck.cli.arguments import COMMANDS

FORBIDDEN_CALLS = {"eval", "exec", "compile", "__import__", "breakpoint", "system", "popen", "loads_pickle"}
FORBIDDEN_MODULES = {
    "asyncio", "code", "ctypes", "dill", "ftplib", "http", "imaplib", "marshal", "pickle", "requests", "runpy",
    "shelve",
    "smtplib", "socket", "socketserver", "ssl", "telnetlib", "urllib", "webbrowser", "xmlrpc", "yaml",
}  # fmt: skip
MODULES = sorted(sources.MODULES.values())
NO_SOCKETS = """\
import sys
def refuse(event, arguments):
    if event.startswith(("socket.", "urllib.", "http.", "ftplib.", "smtplib.")) and event != "socket.gethostname":
        sys.stderr.write(f"network: {event}\\n")
        raise SystemExit(99)
sys.addaudithook(refuse)
from buildcheck.cli.main import main
"""
EACH = """\
import json
for words in json.loads(sys.argv[1]):
    code = main(words)
    sys.stderr.write(f"{words[0]}: {code}\\n")
"""


@cache
def uses(path: Path) -> frozenset[str]:
    """Names of modules imported and functions called."""
    return frozenset(used_names(path))


def used_names(path: Path) -> Iterator[str]:
    for node in sources.nodes(path):
        match node:
            case ast.Import(names=names):
                yield from (f"import {name.name.split('.')[0]}" for name in names)
            case ast.ImportFrom(module="urllib.parse"):
                yield "names to quote"
            case ast.ImportFrom(module=str(module)):
                yield f"import {module.split('.')[0]}"
            case ast.Call(func=ast.Name(id=name)) | ast.Call(func=ast.Attribute(attr=name, value=ast.Name(id="os"))):
                yield f"{name}()"
            case ast.keyword(arg="shell", value=ast.Constant(value=True)):
                yield "shell"


def test_no_module_evaluates_code_or_opens_a_connection() -> None:
    forbidden = {*(f"{name}()" for name in FORBIDDEN_CALLS), *(f"import {name}" for name in FORBIDDEN_MODULES), "shell"}
    assert len(MODULES) > 100
    word = re.compile(rf"\b({'|'.join([*FORBIDDEN_CALLS, *FORBIDDEN_MODULES, 'shell'])})\b")
    suspects = [path for path in MODULES if word.search(path.read_text(encoding="utf-8"))]
    found = {path.name: names for path in suspects if (names := forbidden & uses(path))}
    assert found == {"record.py": {"exec()"}}, "record.py compiles constructors from our own field names alone"


def test_git_is_the_only_program_that_is_started() -> None:
    assert [
        path.name for path in MODULES if b"subprocess" in path.read_bytes() and "import subprocess" in uses(path)
    ] == ["git.py"]


def test_templates_come_from_the_package_alone() -> None:
    loaders = [path for path in MODULES if "jinja2" in path.read_text(encoding="utf-8")]
    assert loaders
    for path in loaders:
        text = path.read_text(encoding="utf-8")
        assert "from_string" not in text
        assert "FileSystemLoader" not in text


def test_no_schema_refers_to_anything_but_itself() -> None:
    def references(node: object) -> Iterator[str]:
        if isinstance(node, dict):
            yield from (value for key, value in node.items() if key in ("$ref", "$dynamicRef"))
        for child in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
            yield from references(child)

    found = [one for path in (ROOT / "schemas").glob("*.json") for one in references(json.loads(path.read_text()))]
    assert found
    assert [one for one in found if not one.startswith("#/$defs/")] == []


WORDS = {
    "advise": ["advise", "b"], "check": ["check"], "compare": ["compare", "HEAD"], "explain": ["explain", "quench"],
    "log": ["log", "b"], "plan": ["plan", "b"], "report": ["report"], "rules": ["rules", "--test"],
    "schemas": ["schemas", "."],
    "start": ["start", "new"],
}  # fmt: skip


@pytest.fixture(scope="module")
def repository(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("repository")
    shutil.copytree(ROOT / "example_build", folder / "b")
    for words in (["init", "-q"], ["add", "-A"], ["-c", "user.name=t", "-c", "user.email=t", "commit", "-qm", "first"]):
        subprocess.run(["git", *words], cwd=folder, check=True)
    return folder


def test_no_command_opens_a_socket(repository: Path) -> None:
    """In one process, which ends at the first socket."""
    commands = sorted(set(COMMANDS) & set(WORDS))
    call = [sys.executable, "-c", NO_SOCKETS + EACH, json.dumps([WORDS[command] for command in commands])]
    done = subprocess.run(call, cwd=repository, capture_output=True, text=True, check=False)
    assert "network" not in done.stderr
    ended = dict(re.findall(r"^(\w+): ([01])$", done.stderr, re.M))
    assert (done.returncode, list(ended)) == (0, commands), done.stderr


def test_the_watch_for_sockets_works() -> None:
    program = NO_SOCKETS + "import socket\nsocket.socket()"
    assert subprocess.run([sys.executable, "-c", program], capture_output=True, check=False).returncode == 99
