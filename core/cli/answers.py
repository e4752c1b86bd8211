"""What `--json` prints: one object for each command, whose fields stand here and in `--help`.

A field that is there keeps its name, its place and its meaning as long as `format` stays the same;
others may be added. A script therefore passes over what it does not know.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeAlias

FORMAT = 1
Fields: TypeAlias = dict[str, tuple[str, str]]  # path -> type ("?": or null), meaning

COMMON: Fields = {
    "format": ("whole", "of these fields; rises when one is taken out or means something else"),
    "tiecoat": ("text", "version of the program"),
    "command": ("text", 'such as "held show"; "" of tiecoat alone'),
    "lab": ("text", "absolute path of the lab"),
    "exit_code": ("whole", "what the command exits with"),
}
ERROR: Fields = {
    "error.sort": (
        "text",
        "such as NotALab; then there is none of the fields of the command",
    ),
    "error.message": ("text", "what is told on the errors' stream"),
}
FILES: Fields = {
    "files[].name": ("text", "of the file"),
    "files[].status": ("text", "filed, known, held, waiting or damaged"),
    "files[].said": ("text", "where it went, or why not, in words"),
    "files[].held": ("text?", "its id among the held"),
    "files[].reason": ("text?", "code of the reason for which it is held"),
    "files[].rows": ("whole", "rows that were filed of it"),
    "files[].tables[].kind": ("text", "of a table that it went to"),
    "files[].tables[].batch": ("text", "of that table"),
    "files[].tables[].measurements": ("whole", "that went there"),
    "files[].remarks[]": ("text", "what is odd about it: code and text"),
    "counts.filed": ("whole", "files that were filed"),
    "counts.known": ("whole", "that had been filed before"),
    "counts.held": ("whole", "that are held"),
    "counts.waiting": ("whole", "that are left for later"),
    "counts.damaged": ("whole", "whose original is not what it was"),
    "notices[]": ("text", "about the program itself, such as a reader that was left out"),
}


def _of_held(where: str) -> Fields:
    return {
        f"{where}.id": ("text", "names it in commands"),
        f"{where}.name": ("text", "of the file"),
        f"{where}.folder": ("text", "below the inbox that it came from"),
        f"{where}.since": ("text", "when it was held (ISO 8601, UTC)"),
        f"{where}.sha256": ("text", "of its original"),
        f"{where}.reason": ("text", "code of the reason"),
        f"{where}.text": ("text", "the reason in words"),
        f"{where}.advice": ("text", "what mends it"),
        f"{where}.faults_total": ("whole", "faults found, of which the first are listed"),
        f"{where}.faults[].sentence": ("text", "the fault in one line"),
        f"{where}.faults[].reason": ("text", "its own code"),
        f"{where}.faults[].file": ("text?", "of the same export, where it is not the main one"),
        f"{where}.faults[].at": ("text?", "place in a nested file, such as /points/3/f"),
        f"{where}.faults[].words": ("text?", "the fault in the words of its reader"),
        f"{where}.faults[].sheet": ("text?", "of a workbook"),
        f"{where}.faults[].row": ("whole?", "counted from 1"),
        f"{where}.faults[].column": ("text?", "title of the column"),
        f"{where}.faults[].found": ("text?", "what stands there"),
        f"{where}.faults[].expected": ("text?", "what was expected"),
    }


def _of_verdict(where: str) -> Fields:
    return {
        f"{where}.batch": ("text", "whose verdict it is"),
        f"{where}.candidate": ("text", "raw material of that batch"),
        f"{where}.dose_percent": ("number?", "of it"),
        f"{where}.property": ("text", "on which property, with its circumstances"),
        f"{where}.outcome": ("text", "what is concluded"),
        f"{where}.step": ("text", "how strong: from strongly better to strongly worse"),
        f"{where}.standing": ("text", "firm, conditional, or as the study states"),
        f"{where}.if_alike": ("text", "what else would be concluded on the condition, else empty"),
        f"{where}.condition": ("text", "that condition in words; empty where nothing rests on it"),
        f"{where}.because": ("text", "why"),
        f"{where}.effect_is": ("text", "difference, ratio or probability of superiority"),
        f"{where}.effect": ("number?", "against the control"),
        f"{where}.low": ("number?", "of its interval, adjusted over the candidates"),
        f"{where}.high": ("number?", "of the same"),
        f"{where}.unit": ("text", "of the values"),
        f"{where}.p": ("number?", "of no difference, adjusted over candidates and properties"),
        f"{where}.p_over_candidates": ("number?", "the same, adjusted over the candidates alone"),
        f"{where}.p_alone": ("number?", "the same, adjusted for nothing"),
        f"{where}.p_alone_if_alike": ("number?", "that if the panels of all batches scatter alike"),
        f"{where}.n": ("whole", "panels of the candidate"),
        f"{where}.n_control": ("whole", "panels of the control"),
    }


STATE: Fields = {
    "service.running": ("bool", "whether a service runs and moves"),
    "service.said": ("text", "how it is, in words"),
    "service.state": ("text?", "at its last beat: starting, watching or stopping"),
    "service.beat": ("text?", "when that was (ISO 8601, UTC)"),
    "service.since": ("text?", "when it started"),
    "service.pid": ("whole?", "its process"),
    "service.host": ("text?", "its computer"),
    "service.version": ("text?", "its version of tiecoat"),
    "service.settling": ("whole?", "files in the inboxes that have not settled"),
    "service.queue": ("whole?", "files that are being taken in"),
    "service.last_error": ("text?", "the latest trouble, also when it is over"),
    "service.last_error_at": ("text?", "when that began"),
    "held": ("whole", "held files"),
    "remarked": ("whole", "measurements that are filed with a remark"),
    "troubles[]": ("text", "what is in the way of the service now"),
}
LEFT_OUT: Fields = {"left_out[]": ("text", "what could not be computed, and why")}
ANSWERS: Mapping[str, Fields] = {
    "": STATE
    | {
        "waiting": ("whole?", "files in the inboxes; null where a service takes them in"),
        "kinds[]": ("text", "kinds that something is filed of"),
        "batches": ("whole", "batches that something is filed of"),
        "next[].command": ("text", "a command that comes next"),
        "next[].does": ("text", "what it does"),
    },
    "service status": STATE,
    "take": FILES,
    "held assign": FILES,
    "held retry": FILES,
    "supersede": FILES,
    "refile": FILES,
    "held": {
        "total": ("whole", "held files that fit; those listed may be fewer: --limit"),
        "damage": ("text?", "what is wrong with the journal of the lab; null where it is whole"),
    }
    | _of_held("files[]"),
    "held show": _of_held("file") | {"file.first_lines[]": ("text", "how the file begins")},
    "held discard": {"files[]": ("text", "ids of the files that are held no longer")},
    "measurements": {
        "total": ("whole", "measurements that fit; those listed may be fewer: --limit"),
        "measurements[].measurement": ("text", "its id"),
        "measurements[].kind": ("text", "what it is"),
        "measurements[].batch": ("text", "whose it is"),
        "measurements[].panel": ("text?", "null for wet paint"),
        "measurements[].measured_at": ("text?", "when (ISO 8601, UTC)"),
        "measurements[].rows": ("whole", "of it"),
        "measurements[].file": ("text", "name of the export that it came from"),
        "measurements[].sha256": ("text", "of that export"),
        "measurements[].withdrawn": ("text?", "superseded or retracted; null where it counts"),
        "measurements[].remark": ("text?", "what is odd about it"),
    },
    "retract": {"measurements[]": ("text", "ids of those that were retracted")},
    "reinstate": {"measurements[]": ("text", "ids of those that count again")},
    "try": {
        "name": ("text", "of the file"),
        "beside[]": ("text", "names of other files that it would be taken with"),
        "awaits.files[]": ("text", "names of files that an inbox would wait for"),
        "awaits.for_s": ("number", "for how long, in seconds"),
        "reader": ("text?", "name and version of the reader that reads it"),
        "kinds[].kind": ("text", "that would be filed of it"),
        "kinds[].rows": ("whole", "rows of it"),
        "remarks[]": ("text", "what would be remarked: code and text"),
        "held.reason": ("text?", "code of the reason for which it would be held"),
        "held.text": ("text?", "that reason in words"),
        "held.advice": ("text?", "what mends it"),
        "held.faults[]": ("text", "each fault in one line"),
        "left_out[]": ("text", "readers that were left out, and why"),
    },
    "contents": {
        "kinds[].kind": ("text", "what is filed"),
        "kinds[].batches": ("whole", "of so many batches"),
        "kinds[].panels": ("whole", "and so many panels"),
        "kinds[].measurements": ("whole", "measurements that count"),
        "kinds[].rows": ("whole", "their rows"),
        "kinds[].first": ("text?", "when the first was measured (ISO 8601, UTC)"),
        "kinds[].last": ("text?", "and the last"),
        "remarks[]": ("text", "how many measurements have which remark"),
    },
    "evaluate": {
        "results[].quantity": ("text", "what it is, such as modulus"),
        "results[].batch": ("text", "whose it is"),
        "results[].panel": ("text", '"" for wet paint and what is pooled over panels'),
        "results[].measurement": ("text", 'that it came from; "" where it is pooled over several'),
        "results[].exposure_h": ("number?", "hours of exposure"),
        "results[].condition": ("text", "under which it holds, such as 0.1 Hz"),
        "results[].value": ("number?", "null where it is not determinable"),
        "results[].unit": ("text", '"" for a plain number'),
        "results[].standard_error": ("number?", "where the data allow one"),
        "results[].low": ("number?", "of the 95 % interval, or the bound that the method names"),
        "results[].high": ("number?", "of the same"),
        "results[].n": ("whole", "observations behind it"),
        "results[].method": ("text", "how it was computed, with the source"),
        "results[].reason": ("text", "why it is not determinable"),
        "results[].flags": ("text", 'what must be known of it; "; " between several'),
        "to": ("text?", "the file that they were written to; then they are not listed"),
    }
    | LEFT_OUT,
    "compare": {
        "control": ("text", "batch of the control"),
    }
    | _of_verdict("verdicts[]")
    | {
        "pairs[].against": ("text", "batch of the candidate that it is compared with"),
    }
    | _of_verdict("pairs[]")
    | {
        "summary[]": ("text", "what it comes to, in sentences"),
        "recommendations[].application": ("text", "for which use; empty of the study itself"),
        "recommendations[].batch": ("text", "what is recommended; empty where nothing is"),
        "recommendations[].first": ("text", "what is clearly first of what could be ranked"),
        "recommendations[].missing[].property": ("text", "what keeps it from being recommended"),
        "recommendations[].missing[].lack": ("text", "why: untested, cannot tell, worse, ..."),
        "recommendations[].missing[].condition": ("text", "on which it is shown only"),
        "recommendations[].missing[].batches[]": ("text", "candidates without it, else none"),
        "recommendations[].missing[].needed": ("whole?", "how many of each would settle it"),
        "recommendations[].next_best": ("text", "where nothing is recommended: the next in rank"),
        "recommendations[].undecided[].property": ("text", "what would decide between these two"),
        "recommendations[].undecided[].lack": ("text", "what is the matter with it"),
        "recommendations[].undecided[].condition": ("text", "on which it is shown only"),
        "recommendations[].undecided[].batches[]": ("text", "of which of the two"),
        "recommendations[].undecided[].needed": ("whole?", "how many of each would settle it"),
        "recommendations[].said": ("text", "the recommendation in a sentence"),
        "reaches[].property": ("text", "one compared by the order of panels, or by counts"),
        "reaches[].batches[]": ("text", "the candidates of which it holds"),
        "reaches[].n": ("whole", "panels of each of them"),
        "reaches[].n_control": ("whole", "panels of the control"),
        "reaches[].least_p": ("number", "the smallest p that can come out"),
        "reaches[].least_p_adjusted": ("number", "the same over candidates and properties"),
        "reaches[].enough": ("whole?", "panels of each with which a difference can be shown"),
        "reaches[].said": ("text", "the same in a sentence"),
        "adjusted": ("text", "over which comparisons intervals and p are adjusted"),
        "not_compared[]": ("text", "what is filed of these batches and not compared"),
        "left_out_by_study[]": ("text", "panels and doses that the study does not name"),
        "problems[]": ("text", "what stood in the way"),
    }
    | LEFT_OUT,
    "why": {
        "links[].first": ("text", "a property, with its circumstances"),
        "links[].second": ("text", "the one that it is held against"),
        "links[].level": ("text", "between batches (of their means), or within batches"),
        "links[].batches": ("whole", "of which both are known"),
        "links[].panels": ("whole", "so; 0 where one of them belongs to the batch"),
        "links[].n": ("whole", "pairs that the correlation is of"),
        "links[].value": ("number?", "rank correlation"),
        "links[].low": ("number?", "of its 95 % interval"),
        "links[].high": ("number?", "of the same"),
        "links[].method": ("text", "how it was found"),
        "links[].reason": ("text", "why there is none"),
        "cautions[]": ("text", "how it must be read"),
        "can_be_paired[].name": ("text", "of a result; listed without a study and a pair"),
        "can_be_paired[].kind": ("text", "that it is a result of"),
        "can_be_paired[].conditions[]": ("text", "each may stand behind the name, after a comma"),
        "can_be_paired[].batches": ("whole", "of which there is a value"),
        "can_be_paired[].panels": ("whole", "so; 0 where it belongs to the batch"),
    }
    | LEFT_OUT,
    "report": {
        "page": ("text", "path of the report"),
        "slides": ("text?", "path of the slides, where they were asked for"),
        "workbook": ("text?", "path of the workbook, where it was asked for"),
        "verdicts": ("whole", "verdicts in it"),
        "problems[]": ("text", "what stood in the way"),
    }
    | LEFT_OUT,
    "overlay": {
        "pictures[].name": ("text", "of the picture"),
        "pictures[].path": ("text?", "of its overlay; null where it could not be drawn"),
        "pictures[].remark": ("text", "what stood in the way"),
    },
    "readers": {
        "readers[].name": ("text", "of a reader"),
        "readers[].source": ("text", "where it comes from"),
        "readers[].version": ("text", "of it"),
        "readers[].kind": ("text", "that it reads"),
        "readers[].author": ("text", "who wrote it, as it says; may be empty"),
        "readers[].goes_before[]": ("text", "readers that are not asked for what it claims"),
        "kinds[].name": ("text", "of a kind"),
        "kinds[].source": ("text", "where it comes from"),
        "kinds[].per": ("text", "what its measurements belong to: batch or panel"),
        "kinds[].columns[].name": ("text", "of a column"),
        "kinds[].columns[].unit": ("text", "as pint writes it; empty for none"),
        "kinds[].columns[].is": ("text", "what it means"),
        "evaluations[].name": ("text", "of an evaluation"),
        "evaluations[].source": ("text", "where it comes from"),
        "properties[].name": ("text", "of a property that an evaluation brings to studies"),
        "properties[].quantity": ("text", "as the results call it"),
        "properties[].evaluation": ("text", "that brings it"),
        "figures[].name": ("text", "of a figure of reports"),
        "figures[].kind": ("text", "that it shows"),
        "figures[].title": ("text", "its heading"),
        "figures[].source": ("text", "where it comes from"),
        "pages[].name": ("text", "of a page of reports"),
        "pages[].kind": ("text", "without which there is no such page; may be empty"),
        "pages[].title": ("text", "its heading"),
        "pages[].source": ("text", "where it comes from"),
        "commands[].name": ("text", "of a command that a plugin brings"),
        "commands[].does": ("text", "what it does"),
        "commands[].source": ("text", "where it comes from"),
        "left_out[]": ("text", "what was left out, and why"),
    },
    "reindex": {
        "tables": ("whole", "that are indexed"),
        "measurements": ("whole", "in them"),
        "damaged[]": ("text", "tables that do not open or lack something"),
    },
    "verify": {
        "originals": ("whole", "that were looked at"),
        "bytes": ("whole", "of them"),
        "records": ("whole", "lines of the journal"),
        "tables": ("whole", "that were looked at"),
        "measurements": ("whole", "in them"),
        "passed_over": ("whole", "originals and tables that were proved before: with --changed"),
        "findings[].code": ("text", "what is wrong"),
        "findings[].where": ("text", "in the lab"),
        "findings[].said": ("text", "what was found"),
        "findings[].advice": ("text", "what to do"),
        "remarks[]": ("text", "worth knowing, and no damage"),
    },
    "upgrade": {
        "changed[].kind": ("text", "that has changed"),
        "changed[].tables": ("whole", "of it that are not as it is today"),
        "changed[].changes[]": ("text", "what has changed"),
        "changed[].upgraded": ("bool", "whether the tables have followed"),
        "changed[].refused": ("text?", "why they cannot"),
        "changed[].samples[]": ("text", "values of a few rows before and after: with --show"),
        "absent[]": ("text", "kinds with tables that no plugin brings"),
        "left_out[]": ("text", "plugins that were left out, and why"),
    },
    "reference": {
        "entries[].chapter": ("text", "that the entry stands in"),
        "entries[].name": ("text", "of it"),
        "entries[].summary": ("text", "it in one line"),
        "entries[].text": ("text?", "all of it, as Markdown: where a word names it"),
        "pages[]": ("text", "files that were written: with --html"),
        "left_out[]": ("text", "plugins that were left out, and why"),
    },
    "merge": {
        "there": ("whole", "files of that lab: what follows to here, held and left out"),
        "files": ("whole", "that came with measurements"),
        "measurements": ("whole", "that came"),
        "known": ("whole", "files that came and whose values this lab had"),
        "waiting": ("whole", "files that came and wait, as there"),
        "discarded": ("whole", "files that came and were discarded there"),
        "gone_on": ("whole", "files that came, of which nothing is filed: they went on as others"),
        "decided": ("whole", "measurements that are retracted or count again, as there"),
        "here": ("whole", "files that this lab had already"),
        "held[].name": ("text", "of a file that contradicts this lab"),
        "held[].held": ("text", "its id among the held"),
        "held[].said": ("text", "what it contradicts"),
        "left_out[].name": ("text", "of a file that does not come"),
        "left_out[].why": ("text", "why not, and what to do"),
        "open[].name": ("text", "of a file or measurement of which the labs say otherwise"),
        "open[].why": ("text", "what each says, and what settles it"),
        "changed[]": ("text", "settings that files were filed by there, and are others here"),
        "notices[]": ("text", "worth knowing"),
        "in_place": ("bool", "whether anything came; with --show nothing does"),
    },
    "publish": {
        "name": ("text", "of the lab in the lake"),
        "kinds[].kind": ("text", "that the lab has published"),
        "kinds[].changed[]": ("text", "batches that were added or replaced there"),
        "kinds[].gone[]": ("text", "batches that were taken out there"),
        "kinds[].refused": ("text?", "why nothing of the kind could be published"),
        "deleted": ("whole", "files that were deleted: with --tidy"),
    },
    "rebuild": {
        "exports": ("whole", "that it was made again from"),
        "measurements": ("whole", "that were made"),
        "in_place": ("bool", "whether the new archive is in place"),
        "differs": ("bool", "whether anything came out otherwise than it was filed"),
        "gone[]": ("text", "measurements that were filed and not made again"),
        "added[]": ("text", "measurements that are new"),
        "lost[]": ("text", "files whose original is lost or changed"),
        "held[]": ("text", "files that were filed and would be held now"),
        "left_out[]": ("text", "readers that were left out, and why"),
    },
}


def add_json(parser: argparse.ArgumentParser, name: str) -> None:
    """Let a command answer for scripts, and tell in its help by which fields."""
    if name in ANSWERS:
        tell_fields(parser, ANSWERS[name])


def tell_fields(parser: argparse.ArgumentParser, fields: Fields) -> None:
    """Let a command answer for scripts by these fields."""
    parser.add_argument(
        "--json",
        action="store_true",
        default=argparse.SUPPRESS,
        help="print one JSON object, whose fields stand below",
    )
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    every = {**COMMON, **fields, **ERROR}
    width = max(map(len, every))
    lines = [f"  {path:<{width}}  {sort:<7}  {said}" for path, (sort, said) in every.items()]
    before = [parser.epilog, ""] if parser.epilog else []
    parser.epilog = "\n".join([*before, "--json prints (? = may be null):", *lines])


def answer(options: argparse.Namespace, code: int, values: Mapping[str, Any]) -> int:
    """Print the answer of a command for scripts, and return its exit code."""
    from tiecoat import __version__

    said = {
        "format": FORMAT,
        "tiecoat": __version__,
        "command": options.name,
        "lab": str(Path(options.lab).absolute()),
        "exit_code": code,
        **values,
    }
    print(json.dumps(_plain(said), ensure_ascii=False, allow_nan=False, indent=2))
    return code


def answer_error(options: argparse.Namespace, code: int, error: BaseException) -> None:
    """Print why a command could not be done, where its answer is for a script."""
    if options.json:
        told = {"sort": type(error).__name__, "message": str(error)}
        answer(options, code, {"error": told})


def _plain(value: Any) -> Any:
    """Return a value as JSON has it: no number where there is none, times as ISO 8601."""
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if value is None or isinstance(value, str | bool | int):
        return value
    if hasattr(value, "item"):  # a number of numpy
        return _plain(value.item())
    if isinstance(value, float):
        return value if abs(value) < float("inf") else None
    return str(value)
