"""Completion of commands in a shell: a plain script, made from the parser of the commands itself.

The script walks the words of the line as far as they are commands, and offers what may stand after
them: further commands, after a hyphen options, and what an option may be where that is a list.
Everything else is completed as the name of a file.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from shlex import quote
from typing import TypeAlias

from tiecoat.cli.late_parser import LateParser


@dataclass(frozen=True)
class CompletionLevel:
    """What may stand after some commands; each word and option with what it means.

    `values` has of each option that takes something what that may be: nothing where that is a
    name, a number or a file.
    """

    commands: tuple[str, ...]
    words: Mapping[str, str]
    options: Mapping[str, str]
    values: Mapping[str, tuple[str, ...]]

    @property
    def at(self) -> str:
        """The commands as the scripts put them together: each behind a blank."""
        return "".join(f" {one}" for one in self.commands)


def levels_of(
    parser: argparse.ArgumentParser, commands: tuple[str, ...] = ()
) -> Iterator[CompletionLevel]:
    """Yield what may stand after each command, the program itself first."""
    words: dict[str, str] = {}
    options: dict[str, str] = {}
    values: dict[str, tuple[str, ...]] = {}
    below: list[tuple[str, argparse.ArgumentParser]] = []
    if isinstance(parser, LateParser):
        parser.complete()
    expand = parser._get_formatter()._expand_help
    for action in parser._actions:
        told = expand(action) if action.help else ""
        named = {str(one): told for one in action.choices or ()}
        if isinstance(action, argparse._SubParsersAction):
            named |= {one.dest: one.help or "" for one in action._choices_actions}
            below += action.choices.items()
        if not action.option_strings:
            words |= named
            continue
        options |= dict.fromkeys(action.option_strings, told)
        if action.nargs != 0:
            values |= dict.fromkeys(action.option_strings, tuple(named))
    yield CompletionLevel(commands, words, options, values)
    for name, one in below:
        yield from levels_of(one, (*commands, name))


def _bash(levels: Iterable[CompletionLevel]) -> Iterator[str]:
    every = [*levels]
    yield '# For bash. In ~/.bashrc: eval "$(tiecoat completion bash)"'
    yield "_tiecoat() {"
    yield '    local at="" i words="" flags=""'
    yield '    local current="${COMP_WORDS[COMP_CWORD]}" before="${COMP_WORDS[COMP_CWORD-1]}"'
    yield "    for ((i = 1; i < COMP_CWORD; i++)); do"
    yield '        case "$at ${COMP_WORDS[i]}" in'
    yield f'            {_either(every)}) at="$at ${{COMP_WORDS[i]}}" ;;'
    yield "        esac"
    yield "    done"
    yield '    case "$at" in'
    for level in every:
        words, flags = (quote(" ".join(said)) for said in (level.words, level.options))
        yield f"        {quote(level.at)}) words={words} flags={flags} ;;"
    yield "    esac"
    yield '    [[ "$current" == -* ]] && words="$flags"'
    yield '    case "$at $before" in'
    for level in every:
        for option, may_be in level.values.items():
            yield f"        {quote(f'{level.at} {option}')}) words={quote(' '.join(may_be))} ;;"
    yield "    esac"
    yield '    COMPREPLY=($(compgen -W "$words" -- "$current"))'
    yield "}"
    yield "complete -o default -F _tiecoat tiecoat"


def _zsh(levels: Iterable[CompletionLevel]) -> Iterator[str]:
    every = [*levels]
    yield "#compdef tiecoat"
    yield '# For zsh. In ~/.zshrc, below compinit: eval "$(tiecoat completion zsh)"'
    yield "_tiecoat() {"
    yield '    local at="" word'
    yield "    local -a found flags"
    yield '    for word in "${(@)words[2,CURRENT-1]}"; do'
    yield '        case "$at $word" in'
    yield f'            ({_either(every)}) at="$at $word" ;;'
    yield "        esac"
    yield "    done"
    yield '    case "$at ${words[CURRENT-1]}" in'
    for level in every:
        for option, may_be in level.values.items():
            place = quote(f"{level.at} {option}")
            offered = f"compadd -- {' '.join(map(quote, may_be))}" if may_be else "_files"
            yield f"        ({place}) {offered}; return ;;"
    yield "    esac"
    yield '    case "$at" in'
    for level in every:
        found, flags = (
            " ".join(quote(f"{name}:{_brief(words)}") for name, words in told.items())
            for told in (level.words, level.options)
        )
        yield f"        ({quote(level.at)}) found=({found}) flags=({flags}) ;;"
    yield "    esac"
    yield '    [[ "${words[CURRENT]}" == -* ]] && found=("${flags[@]}")'
    yield "    _describe tiecoat found"
    yield "    _files"
    yield "}"
    yield "compdef _tiecoat tiecoat"


def _fish(levels: Iterable[CompletionLevel]) -> Iterator[str]:
    every = [*levels]
    known = " ".join(_fish_text(one.at) for one in every if one.commands)
    yield "# For fish. Once: tiecoat completion fish > ~/.config/fish/completions/tiecoat.fish"
    yield "function __tiecoat_is_at"
    yield "    set -l at ''"
    yield "    for word in (commandline -opc)[2..]"
    yield f'        if contains -- "$at $word" {known}'
    yield '            set at "$at $word"'
    yield "        end"
    yield "    end"
    yield '    test "$at" = "$argv[1]"'
    yield "end"
    for level in every:
        is_at = f"complete -c tiecoat -n {_fish_text(f'__tiecoat_is_at {_fish_text(level.at)}')}"
        for word, said in level.words.items():
            yield f"{is_at} -a {_fish_text(word)} -d {_fish_text(_brief(said))}"
        for option, said in level.options.items():
            long = "-l" if option.startswith("--") else "-s"
            may_be = level.values.get(option)
            takes = "" if may_be is None else " -r"
            offered = f" -fa {_fish_text(' '.join(may_be))}" if may_be else ""
            named = f"{is_at} {long} {option.lstrip('-')}{takes}{offered}"
            yield f"{named} -d {_fish_text(_brief(said))}"


def _either(levels: Iterable[CompletionLevel]) -> str:
    """Return the pattern of everything that is a command, in bash and zsh."""
    return "|".join(quote(one.at) for one in levels if one.commands)


def _brief(said: str) -> str:
    """Return of what is told its first sentence, in one line."""
    return " ".join(said.split()).partition("; ")[0]


def _fish_text(said: str) -> str:
    return "'" + said.replace("\\", "\\\\").replace("'", "\\'") + "'"


Shell: TypeAlias = Callable[[Iterable[CompletionLevel]], Iterator[str]]
SHELLS: dict[str, Shell] = {"bash": _bash, "zsh": _zsh, "fish": _fish}


def completion(parser: argparse.ArgumentParser, shell: str) -> str:
    """Return the script that completes the commands of a parser in one of `SHELLS`."""
    return "\n".join(SHELLS[shell](levels_of(parser))) + "\n"
