"""Completion scripts for shells: static text, so that no key press starts this program."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType

from buildcheck.record import Record


class Option(Record):
    """An option's spellings, what it does, and the words that may follow it."""

    names: tuple[str, ...]
    does: str
    words: tuple[str, ...]
    takes_value: bool


class Command(Record):
    """A command, its options, and the words that its first argument may be; files where there are none."""

    name: str
    does: str
    options: tuple[Option, ...]
    words: tuple[str, ...]

    @property
    def spellings(self) -> tuple[str, ...]:
        """Every spelling of every option."""
        return tuple(name for option in self.options for name in option.names)


def commands(parser: argparse.ArgumentParser, topics: Mapping[str, Iterable[str]]) -> list[Command]:
    """The commands of a whole parser; ``topics`` gives words for first arguments that the parser leaves free."""
    actions = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    helps = {choice.dest: choice.help or "" for choice in actions[0]._choices_actions}
    return [
        _command(name, helps[name], command_parser, topics)
        for name, command_parser in sorted(actions[0].choices.items())
    ]


def _command(name: str, does: str, parser: argparse.ArgumentParser, topics: Mapping[str, Iterable[str]]) -> Command:
    options = [_option(action) for action in parser._actions if action.option_strings]
    free = [action for action in parser._actions if not action.option_strings]
    words = topics.get(name, [word for action in free[:1] for word in action.choices or ()])
    return Command(name, does, tuple(options), tuple(sorted(words)))


def _option(action: argparse.Action) -> Option:
    does = (action.help or "").partition(" (")[0].partition(":")[0]
    return Option(tuple(action.option_strings), does, tuple(action.choices or ()), action.nargs != 0)


_BASH = """\
# bash completion for buildcheck: source this file, or put it into ~/.local/share/bash-completion/completions
_buildcheck() {
    local cur="${COMP_WORDS[COMP_CWORD]}" words=""
    case "${COMP_WORDS[1]} ${COMP_WORDS[COMP_CWORD - 1]} $cur" in
%(values)s
    esac
    [ -n "$words" ] || case "${COMP_WORDS[1]} $COMP_CWORD $cur" in
%(options)s
%(firsts)s
        *' 1 '*) words='%(commands)s' ;;
    esac
    [ -n "$words" ] || { COMPREPLY=($(compgen -f -- "$cur")); return; }
    COMPREPLY=($(compgen -W "$words" -- "$cur"))
}
complete -o filenames -F _buildcheck buildcheck
"""
_ZSH = """\
#compdef buildcheck
# zsh completion for buildcheck: put this file as _buildcheck into a folder of $fpath
case "$words[2] $words[CURRENT-1] $words[CURRENT]" in
%(values)s
esac
case "$words[2] $((CURRENT - 1)) $words[CURRENT]" in
%(options)s
%(firsts)s
    *' 1 '*) compadd -- %(commands)s ;;
    *) _files ;;
esac
"""


def bash(known: list[Command]) -> str:
    """For bash 4 and later."""
    return _BASH % _cases(known, "        {pattern}) words='{words}' ;;", "        {pattern}) words='{words}' ;;")


def zsh(known: list[Command]) -> str:
    """For zsh, from a file ``_buildcheck`` in a folder of fpath."""
    return _ZSH % _cases(known, "    {pattern}) compadd -- {words}; return ;;", "    {pattern}) compadd -- {words} ;;")


def _cases(known: list[Command], value: str, other: str) -> dict[str, str]:
    """Branches on ``command previous current`` for options' values, else on ``command position current``."""
    values = [
        value.format(pattern=f"'{command.name} {name} '*", words=" ".join(option.words))
        for command in known
        for option in command.options
        for name in option.names
        if option.words
    ]
    options = [other.format(pattern=f"'{one.name} '*' -'*", words=" ".join(one.spellings)) for one in known]
    firsts = [other.format(pattern=f"'{one.name} 2 '*", words=" ".join(one.words)) for one in known if one.words]
    lines = {"values": values, "options": options, "firsts": firsts}
    return {name: "\n".join(cases) for name, cases in lines.items()} | {"commands": " ".join(one.name for one in known)}


def fish(known: list[Command]) -> str:
    """For fish, from a file ``buildcheck.fish`` in ~/.config/fish/completions."""
    return "".join(f"{line}\n" for line in _fish(known))


def _fish(known: list[Command]) -> Iterator[str]:
    yield "# fish completion for buildcheck: put this file as buildcheck.fish into ~/.config/fish/completions"
    for command in known:
        yield f"complete -c buildcheck -f -n __fish_use_subcommand -a {command.name} -d {_quoted_text(command.does)}"
    for command in known:
        seen = f"complete -c buildcheck -n '__fish_seen_subcommand_from {command.name}'"
        if command.words:
            yield f"{seen} -a {_quoted_words(command.words)}"
        for option in command.options:
            spelled = " ".join(f"-l {name[2:]}" if name.startswith("--") else f"-s {name[1:]}" for name in option.names)
            value = f" -x -a {_quoted_words(option.words)}" if option.words else " -r" if option.takes_value else ""
            yield f"{seen} {spelled}{value} -d {_quoted_text(option.does)}"


def _quoted_words(words: Iterable[str]) -> str:
    return "'" + " ".join(words) + "'"


def _quoted_text(text: str) -> str:
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"


SHELLS: Mapping[str, Callable[[list[Command]], str]] = MappingProxyType({"bash": bash, "fish": fish, "zsh": zsh})
"""Shell -> what writes its script."""
